//! What the custom and usual habit say of a dressing, as it would be written into its file.

use super::{amount, complete, work};
use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Act, Bed, Dressing, HookShape, Part, PartFields, Per, Shelf, Size, Step, Turns};
use crate::measure::words;

/// A key with its value, and whose rule it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// The key.
    pub key: &'static str,
    /// Its value as written.
    pub text: String,
    /// Whose rule it is, and where it was published.
    pub source: String,
}

/// What a part leaves out and the custom of its kind says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OfPart {
    /// The part's name.
    pub name: String,
    /// Where the part stands.
    pub at: At,
    /// Keys to write, in order.
    pub lines: Vec<Line>,
}

/// What the dressing's parts leave out, those that variants add among them. A part that leaves out nothing is not
/// told.
pub fn parts(dressing: &Dressing, shelf: &Shelf) -> Vec<OfPart> {
    let shape = shelf.charts.get(&words::fold(&dressing.hook.value)).map_or(HookShape::Straight, |chart| chart.shape);
    let complete = |parts: &mut Vec<Part>| {
        // What cannot be carried on is told when the card is worked.
        amount::resolve(parts, &mut Vec::new());
        complete::parts(parts, dressing, shelf, shape);
    };
    let mut own = dressing.parts.clone();
    complete(&mut own);
    let mut all: Vec<OfPart> = own.iter().map(of_part).collect();
    for variant in dressing.variants.values() {
        let mut parts = dressing.parts.clone();
        variant.put_in(&mut parts);
        complete(&mut parts);
        let added = |part: &&Part| variant.add.iter().any(|(added, _)| added.name == part.name);
        all.extend(parts.iter().filter(added).map(of_part));
    }
    all.retain(|part| !part.lines.is_empty());
    all
}

/// The parts of one size and variant (by folded name) with what the custom says of them, as their card is worked by.
///
/// # Errors
/// What stands against the parts put together, or the hook.
pub fn completed(dressing: &Dressing, size: &Told<Size>, variant: Option<&str>, shelf: &Shelf) -> Result<Vec<Part>, Vec<Diagnostic>> {
    work::completed(dressing, size, variant, shelf)
}

fn of_part(part: &Part) -> OfPart {
    let at = part.name.at.parent();
    let ruled = part.fields.said().into_iter().filter_map(|(key, at)| at.rule.as_ref().map(|rule| (key, rule)));
    let lines = ruled.map(|(key, rule)| Line { key, text: written(&part.fields, key, &rule.text), source: rule.source.clone() }).collect();
    OfPart { name: part.name.value.clone(), at, lines }
}

/// The value as it is read back.
fn written(fields: &PartFields, key: &str, rule: &str) -> String {
    match (key, &fields.turns) {
        ("turns", Some(told)) => match &told.value {
            Turns::Count(count) => count.to_string(),
            _ => rule.to_owned(),
        },
        _ => rule.to_owned(),
    }
}

/// A usual step as it would be written: its keys with their values, the first the act.
pub type OfStep = Vec<(&'static str, String)>;

/// The usual steps of a dressing that has none, at its first size; empty where it has some.
pub fn steps(dressing: &Dressing, shelf: &Shelf) -> Vec<OfStep> {
    if !dressing.steps.is_empty() {
        return Vec::new();
    }
    dressing.sizes.first().and_then(|size| work::usual_steps(dressing, size, shelf)).unwrap_or_default().iter().map(of_step).collect()
}

fn of_step(step: &Step) -> OfStep {
    let mut keys: OfStep = Vec::new();
    let names = |parts: &[Told<String>]| parts.iter().map(|part| part.value.as_str()).collect::<Vec<_>>().join(", ");
    for act in &step.acts {
        keys.push(match act {
            Act::Silk { bed, from, to } => {
                let how = match bed {
                    Bed::Touching => "touching".to_owned(),
                    Bed::Open => "open".to_owned(),
                    Bed::Turns(count) => format!("{count} turns"),
                };
                ("silk", format!("{how}, {} to {}", from.value, to.value))
            }
            Act::SilkTurns { turns, at: None } => ("silk", format!("{} turns", turns.value)),
            Act::SilkTurns { turns, at: Some(at) } => ("silk", format!("{} turns at {}", turns.value, at.value)),
            Act::TieIn(parts) => ("tie-in", names(parts)),
            Act::Wind(parts) => ("wind", names(parts)),
            Act::Fold(parts) => ("fold", names(parts)),
            Act::Stand(parts) => ("stand", names(parts)),
            Act::Clip(parts) => ("clip", names(parts)),
            Act::TurnOver => ("turn-over", "yes".to_owned()),
            Act::Finish(count) => ("finish", format!("{} turns", count.value)),
            Act::Coat(of) => ("coat", of.value.clone()),
        });
    }
    keys.extend(step.text.iter().map(|text| ("do", text.value.clone())));
    if let Some(time) = &step.time {
        let per = match time.value.per {
            Per::Fly => "",
            Per::Dozen => " a dozen",
            Per::Run => " a run",
        };
        keys.push(("time", format!("{} s{per}", time.value.seconds)));
    }
    keys
}
