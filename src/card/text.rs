//! The words of the steps, with their figures filled in.

use super::usual_words::Speaker;
use super::worker::Worker;
use super::{WorkedPart, WorkedStep};
use crate::diagnostic::{Diagnostic, Told, did_you_mean};
use crate::dressing::{Part, Step};
use crate::measure::{Lengths, Unit, Words};
use crate::why::{Geometry, Row, Standing};
use std::rc::Rc;

/// Steps with their texts and times; `outline` holds the parts each ties in and winds.
pub(super) fn steps(w: &mut Worker<'_>, steps: &[Step], outline: &[(usize, Vec<usize>, Vec<usize>)], parts: &[WorkedPart]) -> Vec<WorkedStep> {
    let mut all = Vec::new();
    let usual = usual(steps, &w.parts, &w.sheet);
    for (nth, ties, winds) in outline {
        let Some(step) = steps.get(*nth) else { continue };
        let text = match (&step.text, usual.get(*nth)) {
            (Some(told), _) => fill(w, told),
            (None, Some(Some(text))) => fill(w, &Told::new(text.clone(), step.at.clone())),
            (None, _) => String::new(),
        };
        let key = format!("step {}", nth + 1);
        let time = step.time.as_ref().map(|told| {
            let fig = w.said(&format!("{key}.time"), told.value.seconds.to_f64(), Unit::S, &told.at);
            (fig, told.value.per)
        });
        let dries = step.dries.as_ref().map(|told| w.told(&format!("{key}.dries"), told, Unit::S, Standing::Stated));
        let known = |list: &[usize]| list.iter().copied().filter(|nth| *nth < parts.len()).collect();
        all.push(WorkedStep { when: step.when, ties: known(ties), winds: known(winds), text, time, dries });
    }
    all
}

/// The words of each step that says nothing itself, with fields for the figures of this card.
pub(super) fn usual(steps: &[Step], parts: &[Rc<Part>], sheet: &Geometry) -> Vec<Option<String>> {
    let mut speaker = Speaker::new(parts, sheet, steps);
    let say = |step: &Step| {
        if step.text.is_some() {
            speaker.pass(step);
            return None;
        }
        Some(speaker.say(step))
    };
    steps.iter().map(say).collect()
}

/// Puts figures in place of `{part.field}`.
fn fill(w: &mut Worker<'_>, told: &Told<String>) -> String {
    let mut text = String::new();
    let mut rest = told.value.as_str();
    let mut done = 0;
    while let Some(open) = rest.find('{') {
        let (before, after) = rest.split_at(open);
        text.push_str(before);
        let Some(close) = after.find('}') else {
            w.fault(
                Diagnostic::error("a brace is opened and not closed", told.at.bytes(done + open..told.value.len()))
                    .right("`{part.field}`, such as `{tail.length}`"),
            );
            return text;
        };
        let key = after.get(1..close).unwrap_or_default().trim();
        match w.sheet.find(key) {
            Some(fig) => text.push_str(&in_words(w.sheet.at(fig), w.shelf.terms.shown.lengths)),
            // What is open is told so; the card's advice says what would mend it.
            None if w.open.iter().any(|part| key.rsplit_once('.').is_some_and(|(of, _)| of == part)) => text.push_str("(open)"),
            // A part that only other variants have is no slip of the pen: the step says that this fly has none.
            None if left_out(w, key) => text.push_str(&format!("(no {})", key.split('.').next().unwrap_or_default())),
            None => {
                let known: Vec<&str> = w.sheet.keys().filter(|key| named(key)).collect();
                let part = key.split('.').next().unwrap_or_default();
                let of_part: Vec<&str> = known.iter().copied().filter(|key| key.split('.').next() == Some(part)).take(12).collect();
                let hint = did_you_mean(key, known.iter().copied()).unwrap_or_else(|| {
                    if of_part.is_empty() {
                        "the name of a part, a point, and a figure of it, such as `{tail.length}`".to_owned()
                    } else {
                        format!("one of {}", of_part.join(", "))
                    }
                });
                let place = told.at.bytes(done + open..done + open + close + 1);
                w.fault(Diagnostic::error(format!("{{{}}} is not a figure of this card", Words::new(key)), place).right(hint));
            }
        }
        done += open + close + 1;
        rest = after.get(close + 1..).unwrap_or_default();
    }
    text.push_str(rest);
    text
}

/// Whether a figure is of a part that the dressing has and this variant has not.
fn left_out(w: &Worker<'_>, key: &str) -> bool {
    let part = key.split('.').next().unwrap_or_default();
    w.dressing.part_names().contains(&part) && !w.parts.iter().any(|own| own.name.value == part)
}

/// Whether a key names a figure a dresser would ask for (not one in between).
pub fn named(key: &str) -> bool {
    let in_between = key.starts_with("profile.") || key.contains(".times") || key.contains(".stated");
    let turn_of_silk = (key.starts_with("silk.") || key.starts_with("head-silk.")) && key.ends_with(|c: char| c.is_ascii_digit());
    !in_between && !turn_of_silk
}

/// A figure in the words of a step; lengths as the bench shows them.
fn in_words(row: &Row<f64>, lengths: Lengths) -> String {
    if row.unit == Unit::Mm { lengths.text(row.value) } else { shown(row) }
}

/// A figure as a dresser reads it: two decimals of a mm, whole counts bare.
pub fn shown(row: &Row<f64>) -> String {
    let figure = |decimals: usize| {
        let text = format!("{:.decimals$}", row.value);
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
    };
    match row.unit {
        Unit::Mm => format!("{:.1} mm", row.value),
        Unit::One => figure(2),
        Unit::M => format!("{:.3} m", row.value),
        Unit::G => format!("{:.4} g", row.value),
        Unit::S => format!("{} s", figure(1)),
        unit => format!("{} {}", figure(3), unit.name()),
    }
}

/// The figures a dresser reads on the card, in order.
pub fn named_figures(sheet: &Geometry) -> impl Iterator<Item = (&str, &Row<f64>)> {
    sheet.rows().filter(|(_, key, _)| named(key)).map(|(_, key, row)| (key, row))
}
