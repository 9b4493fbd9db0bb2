//! Where a figure comes from and how well it is known, read off the place that told it: a dresser's file, or the rule
//! that stands in where the file says nothing.

use crate::diagnostic::{At, Key};
use crate::measure::words;
use crate::why::Standing;

/// How well a figure told at this place is known.
pub(crate) fn standing(at: &At) -> Standing {
    match &at.rule {
        None => Standing::Stated,
        Some(rule) if rule.custom => Standing::Custom,
        Some(_) => Standing::Usual,
    }
}

/// A place in a file in words: `dressings/sallow-dun.yaml, parts 3, turns`; or the rule that stands in there.
pub fn from(at: &At) -> String {
    if let Some(rule) = &at.rule {
        return words::Words::new(&format!("{}: `{}`", rule.source, rule.text)).as_str().to_owned();
    }
    let mut text = words::Words::new(&at.file.to_string_lossy()).as_str().to_owned();
    for key in &at.path {
        match key {
            Key::Name(name) => {
                text.push_str(", ");
                text.push_str(words::Words::new(name).as_str());
            }
            Key::Nth(nth) => {
                text.push(' ');
                text.push_str(&(nth + 1).to_string());
            }
        }
    }
    text
}
