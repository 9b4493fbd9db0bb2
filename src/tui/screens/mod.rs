//! The screens; each owns its state and paints itself from it.

pub mod card_table;
pub mod dressings;
pub mod fly;
pub mod orders;
pub mod plan_tables;
pub mod stores;
pub mod vice;

use super::widgets::list::Entry;
use super::widgets::page::{Text, Tone};
use super::{Broken, Desk};
use crate::diagnostic::Diagnostic;
use crate::measure::Words;

/// Before the number of a broken file in its id; no name has it.
const BROKEN: &str = "\u{0}broken ";

/// Entries for what cannot be read: orders, or all else.
fn broken(desk: &Desk, orders: bool) -> Vec<Entry> {
    let entry = |(nth, broken): (usize, &Broken)| Entry {
        id: format!("{BROKEN}{nth}"),
        name: Words::new(&broken.name),
        group: Words::new("cannot be read"),
        also: String::new(),
        broken: true,
    };
    desk.broken.iter().enumerate().filter(|(_, broken)| broken.order == orders).map(entry).collect()
}

/// What is wrong with the broken file of this id.
fn report<'a>(desk: &'a Desk, id: &str) -> Option<&'a str> {
    let nth: usize = id.strip_prefix(BROKEN)?.parse().ok()?;
    desk.broken.get(nth).map(|broken| broken.report.as_str())
}

/// Faults or advice as text: what, where, what would be right.
pub(super) fn told(found: &[Diagnostic]) -> Vec<Text> {
    let mut text = Vec::new();
    for one in found {
        let tone = if one.is_error() { Tone::Fault } else { Tone::Weak };
        text.push(Text::new(tone, Words::new(&one.what).as_str()));
        if let Some(at) = &one.at {
            text.push(Text::new(Tone::Quiet, format!("  in {}", at.in_words())));
        }
        for (what, at) in &one.also {
            text.push(Text::new(Tone::Quiet, format!("  {}: {}", Words::new(what), at.in_words())));
        }
        if let Some(right) = &one.right {
            text.push(Text::new(Tone::Plain, format!("  right: {}", Words::new(right))));
        }
        text.push(Text::new(Tone::Plain, ""));
    }
    text
}
