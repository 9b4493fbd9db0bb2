//! The words of the steps, with their figures filled in.

use super::worker::Worker;
use super::{WorkedPart, WorkedStep};
use crate::diagnostic::{Diagnostic, Told, did_you_mean};
use crate::dressing::{Act, Bed, Step};
use crate::measure::{Unit, Words};
use crate::why::{Geometry, Row, Standing};

/// Steps with their texts and times; `outline` holds the parts each ties in and winds.
pub(super) fn steps(w: &mut Worker<'_>, steps: &[Step], outline: &[(usize, Vec<usize>, Vec<usize>)], parts: &[WorkedPart]) -> Vec<WorkedStep> {
    let mut all = Vec::new();
    for (nth, ties, winds) in outline {
        let Some(step) = steps.get(*nth) else { continue };
        let text = match &step.text {
            Some(told) => fill(w, told),
            None => usual(step),
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
            Some(fig) => text.push_str(&shown(w.sheet.at(fig))),
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

/// The words of a step that says nothing itself.
pub(super) fn usual(step: &Step) -> String {
    let mut said = Vec::new();
    for act in &step.acts {
        match act {
            Act::Silk { bed, from, to } => {
                let how = match bed {
                    Bed::Touching => "Silk in touching turns".to_owned(),
                    Bed::Open => "Silk in open turns".to_owned(),
                    Bed::Turns(count) => format!("{count} turns of silk"),
                };
                said.push(format!("{how}, {} to {}.", from.value, to.value));
            }
            Act::SilkTurns { turns, .. } => said.push(format!("{} turns of silk.", turns.value)),
            Act::Finish(count) => said.push(format!("{} turns, whip off.", count.value)),
            Act::Coat(of) => said.push(format!("One coat of {}.", of.value)),
            Act::TieIn(parts) => said.push(format!("Tie in the {}.", told(parts))),
            Act::Wind(parts) => said.push(format!("Wind the {}.", told(parts))),
            Act::Fold(parts) => said.push(format!("Bring the {} over and tie down.", told(parts))),
            Act::Stand(parts) => said.push(format!("Raise the {}.", told(parts))),
            Act::Clip(parts) => said.push(format!("Clip the {}.", told(parts))),
            Act::TurnOver => said.push("Turn the hook over.".to_owned()),
        }
    }
    said.join(" ")
}

fn told(parts: &[Told<String>]) -> String {
    parts.iter().map(|part| part.value.as_str()).collect::<Vec<_>>().join(", ")
}

/// The figures a dresser reads on the card, in order.
pub fn named_figures(sheet: &Geometry) -> impl Iterator<Item = (&str, &Row<f64>)> {
    sheet.rows().filter(|(_, key, _)| named(key)).map(|(_, key, row)| (key, row))
}
