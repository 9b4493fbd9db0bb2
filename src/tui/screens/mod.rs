//! The screens; each owns its state and paints itself from it.

pub mod card_table;
pub mod dressings;
pub mod orders;
pub mod plan_tables;

use super::widgets::page::{Text, Tone};
use crate::card;
use crate::diagnostic::Diagnostic;
use crate::measure::Words;

/// Faults or advice as text: what, where, what would be right.
pub(super) fn told(found: &[Diagnostic]) -> Vec<Text> {
    let mut text = Vec::new();
    for one in found {
        let tone = if one.is_error() { Tone::Fault } else { Tone::Weak };
        text.push(Text::new(tone, Words::new(&one.what).as_str()));
        if let Some(at) = &one.at {
            text.push(Text::new(Tone::Quiet, format!("  in {}", card::place(at))));
        }
        for (what, at) in &one.also {
            text.push(Text::new(Tone::Quiet, format!("  {}: {}", Words::new(what), card::place(at))));
        }
        if let Some(right) = &one.right {
            text.push(Text::new(Tone::Plain, format!("  right: {}", Words::new(right))));
        }
        text.push(Text::new(Tone::Plain, ""));
    }
    text
}
