//! Steps of a dressing: what is done to which parts, and how long it takes.

use super::Faults;
use super::parts::{Ground, place_in, refer};
use super::reader::Reader;
use super::value::{Bounds, Value};
use crate::diagnostic::{Diagnostic, Told, did_you_mean, near_or_all};
use crate::dressing::{Act, Bed, Step, When};
use crate::measure::words::fold;
use crate::measure::{Fault, Fraction, Unit};

/// The acts of a step.
const ACTS: &[&str] = &["silk", "thread", "tie-in", "wind", "fold", "stand", "clip", "turn-over", "finish", "coat"];

/// Figures of a part that a step's text may show.
const FIGURES: &[&str] = &[
    "count",
    "length",
    "length.low",
    "length.high",
    "fibre",
    "fibre.low",
    "fibre.high",
    "thick",
    "thick-start",
    "thick-end",
    "width",
    "turns",
    "turns-behind",
    "turns-before",
    "strands",
    "wound",
    "volume",
    "amount",
    "from",
    "to",
    "at",
    "tip",
    "gauge",
    "feathers",
    "flies-a-feather",
    "flies-a-piece",
    "across",
    "drops",
    "coats",
    "beyond",
    "clip",
    "loop",
];
/// Figures of the hook that a step's text may show.
const SILK_FIGURES: &[&str] = &["amount", "from", "to", "finish-turns"];
const HOOK_FIGURES: &[&str] = &["gap", "shank", "hook-wire", "overall", "eye", "barb", "point", "bend", "mass"];

/// Reads one step.
pub(crate) fn read(value: &Value<'_>, ground: &Ground<'_>) -> Option<Step> {
    let mut r = value.reader("a step")?;
    let when = r.get("when").and_then(|v| v.choice(&[("before", When::Before), ("at the vice", When::AtTheVice), ("after", When::After)]));
    let mut acts = Vec::new();
    for key in r.in_order() {
        act(&mut r, key, ground, &mut acts);
    }
    // Known even where they are not given, so that a slip of the pen is held against every act there is.
    for key in ACTS {
        r.know(key);
    }
    let text = r.get("do").and_then(|v| v.prose());
    if let Some(text) = &text {
        figures(text, ground, r.faults);
    }
    let time = r.get("time").and_then(|v| v.time());
    let dries = r.get("dries").and_then(|v| v.within(Unit::S, Bounds::TIME, "8 h"));
    if !ACTS.iter().any(|key| r.has(key)) && !r.has("do") {
        r.faults.push(
            Diagnostic::error("the step does not say what is done", value.at.clone()).right("`do:` and a sentence, or an act such as `tie-in: [tail, rib]`"),
        );
    }
    r.end();
    Some(Step { at: value.at.clone(), when: when.map_or(When::AtTheVice, |told| told.value), acts, text, time, dries })
}

/// Reads the act that `key` names, if it names one.
fn act(r: &mut Reader<'_>, key: &str, ground: &Ground<'_>, acts: &mut Vec<Act>) {
    let faults = r.faults;
    let parts = |value: Option<Value<'_>>| -> Vec<Told<String>> {
        let names = value.map(|v| v.names("parts", true)).unwrap_or_default();
        names.iter().filter_map(|told| refer(told, ground, faults)).collect()
    };
    match key {
        "silk" => acts.extend(r.get("silk").and_then(|v| silk(&v, ground.parts))),
        "thread" => acts.extend(r.get("thread").and_then(|v| silk(&v, ground.parts))),
        "tie-in" => acts.push(Act::TieIn(parts(r.get("tie-in")))),
        "wind" => acts.push(Act::Wind(parts(r.get("wind")))),
        "fold" => acts.push(Act::Fold(parts(r.get("fold")))),
        "stand" => acts.push(Act::Stand(parts(r.get("stand")))),
        "clip" => acts.push(Act::Clip(parts(r.get("clip")))),
        "turn-over" => acts.extend(r.get("turn-over").and_then(|v| v.yes()).filter(|told| told.value).map(|_| Act::TurnOver)),
        "finish" => {
            let turns = r.get("finish").and_then(|v| v.counted(Bounds { nought: false, most: 1000.0 }, &["turns", "turn"], "5 turns"));
            acts.extend(turns.map(Act::Finish));
        }
        "coat" => {
            // A coat that stands among the parts may be called by the part's name.
            let coat = r.get("coat").and_then(|v| v.text()).and_then(|told| {
                let folded = fold(&told.value);
                if ground.parts.contains(&folded.as_str()) { Some(Told::new(folded, told.at)) } else { ground.lookup.name(ground.materials, &told) }
            });
            acts.extend(coat.map(Act::Coat));
        }
        _ => {}
    }
}

/// `touching, A to B`, `open, A to B`, `4 turns`, `4 turns, A to B`, `4 turns at A`.
fn silk(value: &Value<'_>, parts: &[&str]) -> Option<Act> {
    let told = value.text()?;
    match silk_in(&told, parts) {
        Ok(act) => Some(act),
        Err(fault) => {
            value.fault(fault);
            None
        }
    }
}

fn silk_in(told: &Told<String>, parts: &[&str]) -> Result<Act, Fault> {
    let text = &told.value;
    let example = "`touching, 1 eye behind the eye to barb`, `open, barb to eye`, `4 turns` or `3 turns at barb`";
    let (how, rest) = match text.split_once(',') {
        Some((how, rest)) => (how, Some((rest, how.len() + 1))),
        None => match text.find(" at ") {
            Some(at) => (text.get(..at).unwrap_or(text), Some((text.get(at + 1..).unwrap_or_default(), at + 1))),
            None => (text.as_str(), None),
        },
    };
    let bed = match fold(how).as_str() {
        "touching" => Bed::Touching,
        "open" => Bed::Open,
        other => {
            let count = other.strip_suffix("turns").or_else(|| other.strip_suffix("turn")).and_then(|count| Fraction::parse(count.trim_end()));
            match count.filter(|count| !count.is_negative() && !count.is_nought() && count.to_f64() <= 10_000.0) {
                Some(count) => Bed::Turns(count),
                None => {
                    let what = format!("\"{}\" does not say how the silk is laid", how.trim());
                    return Err(Fault::new(what, 0..how.len()).right(did_you_mean(other, ["touching", "open"]).unwrap_or_else(|| example.to_owned())));
                }
            }
        }
    };
    let place = |text: &str, from: usize| -> Result<Told<_>, Fault> {
        let lead = text.len() - text.trim_start().len();
        let bare = text.trim();
        place_in(bare, from + lead, parts).map(|place| Told::new(place, told.at.bytes(from + lead..from + lead + bare.len())))
    };
    match (bed, rest) {
        (Bed::Turns(count), None) => Ok(Act::SilkTurns { turns: Told::new(count, told.at.clone()), at: None }),
        (Bed::Turns(count), Some((rest, from))) if rest.trim_start().starts_with("at ") => {
            let lead = rest.len() - rest.trim_start().len() + 3;
            let at = place(rest.get(lead..).unwrap_or_default(), from + lead)?;
            Ok(Act::SilkTurns { turns: Told::new(count, told.at.clone()), at: Some(at) })
        }
        (bed, Some((rest, from))) => {
            let Some(middle) = rest.find(" to ") else {
                return Err(Fault::new("the silk is laid from one place to another", from..text.len()).right(example));
            };
            let start = place(rest.get(..middle).unwrap_or_default(), from)?;
            let end = place(rest.get(middle + 4..).unwrap_or_default(), from + middle + 4)?;
            Ok(Act::Silk { bed, from: start, to: end })
        }
        (_, None) => Err(Fault::new("the silk is laid from one place to another", 0..text.len()).right(example)),
    }
}

/// Checks the figures in braces of a step's text.
fn figures(text: &Told<String>, ground: &Ground<'_>, faults: &Faults) {
    let mut from = 0;
    while let Some(open) = text.value.get(from..).and_then(|rest| rest.find('{')).map(|open| open + from) {
        let rest = text.value.get(open + 1..).unwrap_or_default();
        let Some(close) = rest.find(['{', '}']).filter(|close| rest.get(*close..).is_some_and(|rest| rest.starts_with('}'))).map(|close| close + open + 1)
        else {
            let fault = Diagnostic::error("this brace is not closed", text.at.bytes(open..open + 1));
            faults.push(fault.right("a figure of a part in braces, such as `{tail.count}`"));
            return;
        };
        let inner = text.value.get(open + 1..close).unwrap_or_default();
        if let Err((what, right)) = figure(inner, ground.parts) {
            faults.push(Diagnostic::error(what, text.at.bytes(open..close + 1)).right(right));
        }
        from = close + 1;
    }
}

fn figure(inner: &str, parts: &[&str]) -> Result<(), (String, String)> {
    let Some((part, field)) = inner.split_once('.') else {
        return Err((format!("\"{{{inner}}}\" is not a figure of a part"), "a part and a figure with a point between, such as `{tail.count}`".to_owned()));
    };
    let (part, field) = (fold(part), fold(field));
    // Of several beds of silk each has a number: `{silk.from.2}`.
    let is_silk = matches!(part.as_str(), "silk" | "head-silk") && !parts.contains(&part.as_str());
    let numberless = || field.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end_matches('.').to_owned();
    let field = if is_silk { numberless() } else { field };
    let known = if part == "hook" {
        HOOK_FIGURES
    } else if is_silk {
        SILK_FIGURES
    } else if parts.contains(&part.as_str()) {
        FIGURES
    } else {
        let right = near_or_all(&part, parts.iter().copied(), "this dressing has no parts");
        return Err((format!("\"{part}\" is not a part of this dressing"), right));
    };
    if known.contains(&field.as_str()) {
        return Ok(());
    }
    let right = near_or_all(&field, known.iter().copied(), "leave it out");
    Err((format!("\"{field}\" is not a figure of {part}"), right))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::At;
    use std::path::Path;

    fn silk_of(text: &str) -> Result<Act, Fault> {
        silk_in(&Told::new(text.to_owned(), At::file(Path::new("x.yaml"))), &["body"])
    }

    #[test]
    fn silk_is_read_in_all_its_forms() {
        assert!(matches!(silk_of("touching, 1 eye behind the eye to barb").unwrap(), Act::Silk { bed: Bed::Touching, .. }));
        assert!(matches!(silk_of("open, barb to end of body").unwrap(), Act::Silk { bed: Bed::Open, .. }));
        assert!(matches!(silk_of("4 turns").unwrap(), Act::SilkTurns { at: None, .. }));
        assert!(matches!(silk_of("4 turns at barb").unwrap(), Act::SilkTurns { at: Some(_), .. }));
        assert!(matches!(silk_of("4 turns, at barb").unwrap(), Act::SilkTurns { at: Some(_), .. }));
        assert!(matches!(silk_of("4 turns, barb to bend").unwrap(), Act::Silk { bed: Bed::Turns(_), .. }));
        assert_eq!(silk_of("open, barb to barbs").unwrap_err().within, 14..19);
        assert!(silk_of("tuching, eye to barb").unwrap_err().right.unwrap().contains("touching"));
    }
}
