//! A card kept as it is: frozen to one text when a run is begun, and thawed for as long as the run is kept. The dressing's
//! file and the formulas of this program may change meanwhile; the thawed card is still drawn, read and asked why as the card
//! it was made from.
//!
//! The text is JSON: `{"v":1,"sheet":...,"card":...}`, the sheet as in `why/kept.rs`, the card by the names of its fields, and
//! whatever is not, not so, or empty left out. What is read is not trusted: it may come from a damaged file.

use super::{Card, Clipped, Hook, Need, Stretch, WorkedPart, WorkedPiece, WorkedStep};
use crate::dressing::Base;
use crate::measure::Words;
use crate::why::{Fig, Geometry};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::fmt::Display;

/// The number of this form. It grows when a text of the old form would be misread; [`thaw`] then reads both.
pub const VERSION: u32 = 1;

/// A text longer than this is no card, bytes: the longest dressing that can be read comes to a small part of it.
const LONGEST: usize = 8 * 1024 * 1024;
/// More parts than this are no fly's; a dresser's file may have 60.
const MOST_PARTS: usize = 100;
/// More steps than this are no fly's; a dresser's file may have 200.
const MOST_STEPS: usize = 500;
/// More materials than this are no part's; a dresser's file may have 12.
const MOST_PIECES: usize = 20;
/// More stretches than this lie beneath no fly's parts, all of them together.
const MOST_STRETCHES: usize = 10_000;
/// Longer than this no fault is told, characters: it may quote the text.
const FAULT: usize = 300;

#[derive(Serialize)]
struct Kept<'a> {
    v: u32,
    sheet: &'a Geometry,
    card: Value,
}

#[derive(Deserialize)]
struct ReadBack {
    sheet: Geometry,
    card: Card,
}

#[derive(Deserialize)]
struct Version {
    v: u32,
}

/// The card as a text that [`thaw`] reads back: the same drawing at every step, the same figures and derivations. Advice is
/// not kept, and a place in a file only in words.
///
/// # Errors
/// In words, where the card holds what cannot be written (a figure that is not finite) or would not be read back.
pub fn freeze(card: &Card) -> Result<String, String> {
    bear_out(card).map_err(cannot_keep)?;
    let rest = serde_json::to_value(card).map_err(cannot_keep)?;
    let kept = Kept { v: VERSION, sheet: &card.sheet, card: without_nothing(rest) };
    let text = serde_json::to_string(&kept).map_err(cannot_keep)?;
    if text.len() > LONGEST {
        return Err(cannot_keep(format_args!("it comes to {} bytes, and {LONGEST} at most are kept", text.len())));
    }
    Ok(text)
}

/// The card a text of [`freeze`] holds.
///
/// # Errors
/// In words: a text that is no such JSON or too long, a version that this program does not know, figures that do not bear
/// each other out.
pub fn thaw(text: &str) -> Result<Card, String> {
    if text.len() > LONGEST {
        return Err(cannot_read(format_args!("it is {} bytes long, and {LONGEST} at most are read", text.len())));
    }
    let Version { v } = serde_json::from_str(text).map_err(cannot_read)?;
    if v != VERSION {
        return Err(format!("this card was kept in form {v}, and this program reads form {VERSION}: a newer one may read it"));
    }
    let ReadBack { sheet, card } = serde_json::from_str(text).map_err(cannot_read)?;
    let card = Card { sheet, ..card };
    bear_out(&card).map_err(cannot_read)?;
    Ok(card)
}

fn cannot_keep(fault: impl Display) -> String {
    told("this card cannot be kept", fault)
}

fn cannot_read(fault: impl Display) -> String {
    told("this kept card cannot be read", fault)
}

fn told(what: &str, fault: impl Display) -> String {
    let fault: String = fault.to_string().chars().take(FAULT).collect();
    format!("{what}: {}", Words::from(fault))
}

/// Leaves out of objects what is not (`null`), not so, or empty: it is read back so.
fn without_nothing(value: Value) -> Value {
    match value {
        Value::Object(fields) => {
            let fields = fields.into_iter().map(|(key, value)| (key, without_nothing(value)));
            Value::Object(fields.filter(|(_, value)| !is_nothing(value)).collect())
        }
        Value::Array(items) => Value::Array(items.into_iter().map(without_nothing).collect()),
        other => other,
    }
}

fn is_nothing(value: &Value) -> bool {
    match value {
        Value::Null | Value::Bool(false) => true,
        Value::Array(items) => items.is_empty(),
        Value::Object(fields) => fields.is_empty(),
        _ => false,
    }
}

/// Whether everything the card points to is there, and all of it within what a fly can have.
fn bear_out(card: &Card) -> Result<(), String> {
    let stretches = card.parts.iter().map(|part| part.beneath.len() + part.beyond.len()).sum();
    let pieces = card.parts.iter().map(|part| part.pieces.len()).max().unwrap_or(0);
    for (what, number, most) in [
        ("parts", card.parts.len(), MOST_PARTS),
        ("steps", card.steps.len(), MOST_STEPS),
        ("materials in one part", pieces, MOST_PIECES),
        ("stretches beneath its parts", stretches, MOST_STRETCHES),
    ] {
        if number > most {
            return Err(format!("it has {number} {what}, and {most} at most are kept"));
        }
    }
    if let Some(fig) = figs(card).into_iter().find(|fig| !card.sheet.has(*fig)) {
        return Err(format!("it points to a row that its sheet has not ({fig:?})"));
    }
    for (nth, step) in card.steps.iter().enumerate() {
        if let Some(part) = step.ties.iter().chain(&step.winds).find(|part| **part >= card.parts.len()) {
            return Err(format!("step {} ties in or winds part {}, and there are {}", nth + 1, part.saturating_add(1), card.parts.len()));
        }
    }
    let finite = |value: &f64| value.is_finite();
    for part in &card.parts {
        let base = match &part.on {
            Base::Needle(mm) | Base::Nylon(mm) => finite(mm),
            Base::Hook | Base::Post(_) | Base::Loop => true,
        };
        if !base || !part.flue.iter().all(finite) || !part.turns_split.iter().all(|(behind, before)| finite(behind) && finite(before)) {
            return Err(format!("\"{}\" has a figure that is not finite", part.name));
        }
    }
    Ok(())
}

/// Every row the card points to. Each field is named, so that one that is added cannot be forgotten here.
fn figs(card: &Card) -> Vec<Fig> {
    let Card {
        sheet: _,
        dressing: _,
        kind: _,
        revision: _,
        size: _,
        variant: _,
        chart: _,
        shown: _,
        hook,
        silk: _,
        head_silk: _,
        parts,
        steps,
        needs,
        advice: _,
    } = card;
    let mut all = Vec::new();
    of_hook(hook, &mut all);
    parts.iter().for_each(|part| of_part(part, &mut all));
    for WorkedStep { when: _, ties: _, winds: _, text: _, time, dries } in steps {
        all.extend(time.map(|(fig, _)| fig));
        all.extend(dries);
    }
    for Need { part: _, material: _, size: _, way: _, amount, share, share_of_piece, along } in needs {
        all.push(*amount);
        all.extend([share, share_of_piece, along].into_iter().flatten());
    }
    all
}

fn of_hook(hook: &Hook, all: &mut Vec<Fig>) {
    #[rustfmt::skip]
    let Hook {
        shape: _, rides: _, gap, shank, wire, across, overall, eye, barb, point, bend, bend_axes, limb, front, angle, inside, mass, turn: _,
    } = hook;
    all.extend([shank, wire, across, overall, eye, bend, mass]);
    all.extend([gap, barb, point, limb, front, angle, inside].into_iter().flatten());
    all.extend(bend_axes.iter().flat_map(both));
}

fn of_part(part: &WorkedPart, all: &mut Vec<Fig>) {
    #[rustfmt::skip]
    let WorkedPart {
        name: _, material: _, pieces, laid: _, way: _, on: _, carries_on: _, clip, shape: _, tied_in, span, length, fibre, thick, turns,
        turns_split: _, count, width, strand_thick, flue: _, other_way: _, beneath, beyond, amount, by_custom: _,
    } = part;
    for WorkedPiece { material: _, span, turns, count, width, strand_thick, amount } in pieces {
        all.extend(span.iter().flat_map(both));
        all.extend([turns, count, width, strand_thick, amount].into_iter().flatten());
    }
    match clip {
        Some(Clipped::To(fig)) => all.push(*fig),
        Some(Clipped::LevelWithPoint | Clipped::Beneath) | None => {}
    }
    all.extend([tied_in, length, fibre, turns, count, width, strand_thick, amount].into_iter().flatten());
    all.extend(span.iter().chain(thick).flat_map(both));
    all.extend(beneath.iter().chain(beyond).flat_map(|Stretch { from, to, across_from, across_to }| [*from, *to, *across_from, *across_to]));
}

fn both((one, other): &(Fig, Fig)) -> [Fig; 2] {
    [*one, *other]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::card::figure::{View, figure};
    use crate::card::form::DONE;
    use crate::card::sample;
    use crate::measure::Unit;
    use crate::why::Standing;
    use proptest::prelude::*;

    #[test]
    fn every_construction_is_drawn_from_its_kept_card() {
        for (name, card) in sample::all() {
            let back = thaw(&freeze(&card).unwrap()).unwrap();
            for view in [View::Side, View::Below] {
                for done in [0, 1, 2, 3, DONE] {
                    assert!(figure(&card, view, done) == figure(&back, view, done), "{name}, {done} steps done");
                }
            }
            assert_eq!(format!("{:?}{:?}{:?}", card.parts, card.steps, card.needs), format!("{:?}{:?}{:?}", back.parts, back.steps, back.needs), "{name}");
        }
    }

    #[test]
    fn figures_come_back_to_the_last_bit() {
        let mut card = sample::dry();
        let values = [0.1, 1.0 / 3.0, f64::MAX, f64::MIN_POSITIVE, 5e-324, -0.0, 1e22, 0.1 + 0.2, 9_007_199_254_740_993.0, -123_456.789e-30];
        let figs: Vec<Fig> = values.iter().map(|value| card.sheet.given("odd", *value, Unit::One, Standing::Stated, "here")).collect();
        let back = thaw(&freeze(&card).unwrap()).unwrap();
        for (fig, value) in figs.iter().zip(values) {
            assert_eq!(back.sheet.value(*fig).to_bits(), value.to_bits(), "{value:e}");
        }
    }

    proptest! {
        #[test]
        fn any_figures_come_back_to_the_last_bit(values in prop::collection::vec(prop_oneof![any::<f64>(), 0.0..100.0], 100)) {
            let values: Vec<f64> = values.into_iter().filter(|value| value.is_finite()).collect();
            let mut card = sample::dry();
            let figs: Vec<Fig> = values.iter().map(|value| card.sheet.given("odd", *value, Unit::One, Standing::Stated, "here")).collect();
            let back = thaw(&freeze(&card).unwrap()).unwrap();
            for (fig, value) in figs.iter().zip(values) {
                prop_assert_eq!(back.sheet.value(*fig).to_bits(), value.to_bits());
            }
        }
    }

    #[test]
    fn what_json_has_no_word_for_is_not_kept() {
        let mut card = sample::dry();
        card.sheet.given("odd", f64::NAN, Unit::Mm, Standing::Stated, "here");
        assert_eq!(freeze(&card).unwrap_err(), "this card cannot be kept: odd is not a finite figure");
        let mut card = sample::dry();
        card.parts[0].flue = Some(f64::INFINITY);
        assert!(freeze(&card).unwrap_err().ends_with("has a figure that is not finite"));
        let mut card = sample::dry();
        let part = card.parts[0].clone();
        card.parts.resize(MOST_PARTS + 1, part);
        assert_eq!(freeze(&card).unwrap_err(), "this card cannot be kept: it has 101 parts, and 100 at most are kept");
    }
}
