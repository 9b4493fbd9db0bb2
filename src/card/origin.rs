//! Where a figure comes from and how well it is known, read off the place that told it: a dresser's file, or the rule
//! that stands in where the file says nothing.

use crate::diagnostic::At;
use crate::why::{Source, Standing};

/// How well a figure told at this place is known.
pub(crate) fn standing(at: &At) -> Standing {
    match &at.rule {
        None => Standing::Stated,
        Some(rule) if rule.custom => Standing::Custom,
        Some(_) => Standing::Usual,
    }
}

/// The place as where a figure was given.
pub fn from(at: &At) -> Source {
    Source::Told(at.clone())
}
