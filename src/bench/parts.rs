//! Parts of a dressing, in the dressing itself and in its changes.

use super::reader::Reader;
use super::stock::{Goods, Lookup};
use super::value::{Bounds, Value};
use super::ways;
use crate::diagnostic::{Diagnostic, Told, all_of};
use crate::dressing::{HookLength, Laid, Length, Material, Of, Part, PartFields, Place, Term, Turns, Way};
use crate::measure::words::fold;
use crate::measure::{Fault, Fraction, Quantity, Unit};

/// What a part is read against.
pub(crate) struct Ground<'a> {
    /// Folded names of all parts of the dressing.
    pub(crate) parts: &'a [&'a str],
    /// The bench's materials.
    pub(crate) materials: Goods<'a, Material>,
    /// Looks names up for this dressing.
    pub(crate) lookup: &'a Lookup<'a>,
}

/// Words that may follow a count.
pub(super) const COUNTED: &[&str] = &["fibres", "fibers", "slips", "strands", "pairs", "pair"];

/// The most turns one part may have; a long tube's ribs and beds come nowhere near.
const MOST_TURNS: f64 = 500.0;
/// The most strands wound together.
const MOST_STRANDS: f64 = 100.0;

/// Words that stand for something else where a part might be named.
const TAKEN: &[&str] = &["barb", "point", "bend", "hook", "silk", "thread", "add", "leave-out", "at-size", "formerly", "note", "to", "behind", "before", "the"];

/// Reads the name of a part: letters, spaces, hyphens; no word of the hook, no unit. Gives it folded.
pub(crate) fn name(told: &Told<String>) -> Result<Told<String>, Fault> {
    let folded = fold(&told.value);
    let whole = 0..told.value.len();
    if let Some((at, sign)) = told.value.char_indices().find(|(_, c)| !(c.is_alphabetic() || *c == ' ' || *c == '-')) {
        return Err(Fault::new(format!("the name of a part has no \"{sign}\" in it"), at..at + sign.len_utf8()).right("letters, spaces and hyphens"));
    }
    if HookLength::is_word(&folded) || TAKEN.contains(&folded.as_str()) {
        return Err(Fault::new(format!("\"{folded}\" means something else here, so no part can bear the name"), whole)
            .right(format!("`{folded} part`, or another name")));
    }
    if let Some(at) = taken_within(&folded) {
        return Err(Fault::new(format!("\"{at}\" in a name would be taken for part of a place or a length"), whole).right("another name, such as `rear body`"));
    }
    if Unit::read(&folded).is_some() {
        return Err(Fault::new(format!("\"{folded}\" is a unit, so no part can bear the name"), whole).right("another name"));
    }
    Ok(Told::new(folded, told.at.clone()))
}

/// Words of a name that lengths and places are read by: no longer name could be told from them.
fn taken_within(folded: &str) -> Option<&str> {
    const BEGINNINGS: &[&str] = &["start of", "middle of", "end of", "behind", "before", "in front of", "round the bend", "the", "x"];
    let word = folded.split(' ').find(|word| *word == "to" || word.starts_with('-') || word.ends_with('-'));
    word.or_else(|| BEGINNINGS.iter().copied().find(|begins| folded.strip_prefix(begins).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))))
}

/// A part's folded name where one is referred to; else the fault is told.
pub(crate) fn refer(told: &Told<String>, ground: &Ground<'_>, faults: &super::Faults) -> Option<Told<String>> {
    let folded = fold(&told.value);
    if ground.parts.contains(&folded.as_str()) {
        return Some(Told::new(folded, told.at.clone()));
    }
    let right = faults
        .did_you_mean(&told.at, &folded, ground.parts.iter().copied())
        .unwrap_or_else(|| all_of(ground.parts.iter().copied(), "this dressing has no parts"));
    faults.push(Diagnostic::error(format!("\"{}\" is not a part of this dressing", told.value), told.at.clone()).right(right));
    None
}

/// Reads a part that is declared. `also` reads keys that stand only here. Its name has been read before.
pub(crate) fn declared(value: &Value<'_>, ground: &Ground<'_>, also: impl FnOnce(&mut Reader<'_>)) -> Option<Part> {
    let mut r = value.reader("a part")?;
    let name = r.need("part", "add it, such as `part: wing`").and_then(|v| v.text());
    also(&mut r);
    let fields = fields(&mut r, ground);
    let carried = fields.carries_on.is_some() || r.has("carries-on");
    if fields.of.is_none() && !r.has("of") && !carried {
        r.faults.push(Diagnostic::error("the part does not say what it is made of", value.at.clone()).right("`of:` and a material of this bench"));
    }
    ways::together(&fields, r.faults);
    r.end();
    Some(Part { name: self::name(&name?).ok()?, fields: fields.into() })
}

/// Reads what is said of a part.
pub(crate) fn fields(r: &mut Reader<'_>, ground: &Ground<'_>) -> PartFields {
    let faults = r.faults;
    // Taken note of by the dresser; nothing is reckoned from them.
    let _ = r.get("one side stripped").map(|v| v.yes());
    let _ = r.get("dull side").map(|v| v.choice(&[("forward", ()), ("back", ())]));
    let place = |value: Option<Value<'_>>| value.and_then(|v| self::place(&v, ground.parts));
    let length = |value: Option<Value<'_>>, taper: bool| value.and_then(|v| self::length(&v, ground.parts, taper));
    let count = |value: Option<Value<'_>>, words: &[&str]| value.and_then(|v| v.counted(Bounds { nought: false, most: 100_000.0 }, words, "6"));
    let part = |value: Option<Value<'_>>| value.and_then(|v| v.text()).and_then(|told| refer(&told, ground, faults));
    let (of, several) = r.get("of").map(|v| ways::of(&v, ground)).unwrap_or_default();
    let fields = PartFields {
        of,
        several,
        laid: r.get("laid").and_then(|v| v.choice(Laid::ALL)),
        on: r.get("on").and_then(|v| ways::base(&v, ground)),
        under: part(r.get("under")),
        carries_on: part(r.get("carries-on")),
        beyond: length(r.get("beyond"), false),
        clip: r.get("clip").and_then(|v| ways::clip(&v, ground.parts)),
        loop_length: length(r.get("loop"), false),
        way: r.get("as").and_then(|v| v.choice(Way::ALL)),
        at: place(r.get("at")),
        from: place(r.get("from")),
        to: place(r.get("to")),
        over: part(r.get("over")),
        length: length(r.get("length"), false),
        reach: place(r.get("reach")),
        thick: length(r.get("thick"), true),
        count: count(r.get("count"), COUNTED),
        width: length(r.get("width"), false),
        fibre: length(r.get("fibre|fiber"), false),
        turns: r.get("turns").and_then(|v| turns(&v, ground)),
        strands: r.get("strands").and_then(|v| v.counted(Bounds { nought: false, most: MOST_STRANDS }, &["strands"], "2")),
        drops: count(r.get("drops"), &["drops", "drop"]),
        coats: count(r.get("coats"), &["coats", "coat"]),
        amount: r.get("amount").and_then(|v| amount(&v)),
        other_way: r.get("way").and_then(|v| v.choice(&[("the other way", true), ("with the silk", false)])),
        tied_down_by: part(r.get("tied down by")),
        shape: r.get("shape").and_then(|v| ways::shape(&v)),
        by_the: r.get("by the").and_then(|v| v.choice(&[("tip", "tip".to_owned()), ("butt", "butt".to_owned())])),
        note: r.get("note").and_then(|v| v.prose()),
    };
    if let (Some(length), Some(reach)) = (&fields.length, &fields.reach) {
        faults.push(
            Diagnostic::error("`length` and `reach` say the same in two ways", reach.at.the_key())
                .also("the length", length.at.the_key())
                .right("keep one of the two"),
        );
    }
    fields
}

/// A place on the hook.
pub(crate) fn place(value: &Value<'_>, parts: &[&str]) -> Option<Told<Place>> {
    let told = value.text()?;
    let place = value.told(place_in(&told.value, 0, parts))?;
    Some(place)
}

/// Reads a place that stands `from` bytes into its value.
pub(crate) fn place_in(text: &str, from: usize, parts: &[&str]) -> Result<Place, Fault> {
    let place = Place::read(text, parts).map_err(|fault| Fault { within: fault.within.start + from..fault.within.end + from, ..fault })?;
    if let Some(what) = absurd(&place.off) {
        return Err(Fault::new(what, from..from + text.len()).right("a place on the hook, such as `1 mm before the barb`"));
    }
    Ok(place)
}

/// A length, or a taper where that is allowed.
pub(super) fn length(value: &Value<'_>, parts: &[&str], taper: bool) -> Option<Told<Length>> {
    let told = value.text()?;
    length_in(value, &told.value, 0, parts, taper)
}

/// Reads a length that stands `from` bytes into its value.
pub(super) fn length_in(value: &Value<'_>, text: &str, from: usize, parts: &[&str], taper: bool) -> Option<Told<Length>> {
    let read = Length::read(text, parts).map_err(|fault| Fault { within: fault.within.start + from..fault.within.end + from, ..fault });
    let mut length = value.told(read)?;
    if from > 0 {
        length.at = value.at.bytes(from..from + text.len());
    }
    let sums: Vec<&[Term]> = match &length.value {
        Length::One(terms) => vec![terms],
        Length::Between(a, b) => vec![a, b],
        Length::Taper(a, b) if taper => vec![a, b],
        Length::Taper(..) => {
            value.wrong("only a thickness rises or falls from one figure to another", "one figure, or a range such as `1.5 to 2 gap`");
            return None;
        }
    };
    for terms in sums {
        if let Some(what) = nought_or_less(terms).or_else(|| absurd(terms)) {
            value.wrong(what, "a length such as `1.5 gap` or `8 mm`");
            return None;
        }
    }
    Some(length)
}

/// The sum in mm where it leans on nothing but units.
fn in_mm(terms: &[Term]) -> Option<f64> {
    terms.iter().try_fold(0.0, |sum, term| match term.of {
        Of::Nought => Some(sum),
        Of::Unit(unit) => Some(sum + term.times.to_f64() * unit.factor()),
        Of::Hook(_) | Of::Part(_) => None,
    })
}

fn nought_or_less(terms: &[Term]) -> Option<String> {
    let factor = match terms {
        [one] => one.times.to_f64(),
        _ => in_mm(terms)?,
    };
    match factor {
        _ if factor < 0.0 => Some("a length cannot be less than nought".to_owned()),
        _ if factor == 0.0 => Some("a length of nought is no length".to_owned()),
        _ => None,
    }
}

fn absurd(terms: &[Term]) -> Option<String> {
    if in_mm(terms).is_some_and(|mm| mm.abs() > Bounds::PART.most) {
        return Some("no fly has a length over 1 m; is the unit right?".to_owned());
    }
    let times = terms.iter().find(|term| matches!(term.of, Of::Hook(_) | Of::Part(_)) && term.times.to_f64().abs() > 100.0)?;
    Some(format!("no fly has {} times a measure of its hook", times.times))
}

fn turns(value: &Value<'_>, ground: &Ground<'_>) -> Option<Told<Turns>> {
    let told = value.text()?;
    let folded = fold(&told.value);
    if folded == "touching" || folded == "to fill" {
        return Some(Told::new(Turns::Touching, told.at));
    }
    let split = folded.split_once(',').and_then(|(behind, before)| {
        let behind = behind.trim().strip_suffix("behind")?.trim_end();
        let (before, of) = before.trim().split_once("before")?;
        let of = of.trim();
        let of = if ground.parts.contains(&of) { of } else { of.strip_prefix("the ").unwrap_or(of).trim() };
        Some((Fraction::parse(behind)?, Fraction::parse(before)?, of.to_owned()))
    });
    if let Some((_, _, of)) = &split
        && !of.is_empty()
    {
        let end = told.value.trim_end().len();
        let name = Told::new(of.clone(), told.at.bytes(end.saturating_sub(of.len())..end));
        refer(&name, ground, value.faults)?;
    }
    let turns = match split {
        Some((behind, before, of)) => Turns::Split { behind, before, of },
        None => {
            let bare = folded.strip_suffix("turns").or_else(|| folded.strip_suffix("turn")).unwrap_or(&folded).trim_end();
            match Fraction::parse(bare) {
                Some(count) => Turns::Count(count),
                None => {
                    let comma = bare.split_once(',').filter(|(a, b)| Fraction::parse(a).is_some() && Fraction::parse(b).is_some());
                    match comma {
                        Some((a, b)) => value.wrong("a decimal takes a point, not a comma", format!("`{a}.{}`", b.trim())),
                        None => {
                            value.wrong(
                                format!("\"{}\" is not a number of turns", told.value),
                                "`5`, `2½`, `touching`, `to fill` or `4 behind, 3 before the wing`",
                            );
                        }
                    }
                    return None;
                }
            }
        }
    };
    let counts = match &turns {
        Turns::Count(count) => vec![*count],
        Turns::Split { behind, before, .. } => vec![*behind, *before],
        Turns::Touching => Vec::new(),
    };
    let sum: f64 = counts.iter().map(|count| count.to_f64()).sum();
    if counts.iter().any(|count| count.is_negative()) || sum <= 0.0 || sum > MOST_TURNS {
        value.wrong(format!("turns are more than nought, and {MOST_TURNS} at most"), "`5`, `2½`, `touching` or `4 behind, 3 before the wing`");
        return None;
    }
    Some(Told::new(turns, told.at))
}

fn amount(value: &Value<'_>) -> Option<Told<Quantity>> {
    let told = value.text()?;
    let amount = value.told(Quantity::read(&told.value))?;
    let figure = amount.value.figure;
    if figure.is_negative() || figure.is_nought() || figure.to_f64() > 100_000.0 {
        value.wrong("an amount is more than nothing, and what one fly takes", "such as `0.02 g`, `30 mm` or `1`");
        return None;
    }
    Some(amount)
}
