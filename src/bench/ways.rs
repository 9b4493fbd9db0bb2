//! The ways a part goes on, as a dresser says them: several materials, what it goes on, how it is clipped, its shape.

use super::Faults;
use super::parts::{COUNTED, Ground, length, length_in, refer};
use super::value::{Bounds, Value, pieces};
use crate::diagnostic::{Diagnostic, Told, did_you_mean, near_or_all};
use crate::dressing::{Base, Clip, PartFields, Shape, Stuff, Way};
use crate::measure::words::fold;
use crate::measure::{Fault, Fraction, Quantity, Unit};

/// The most materials one part may have.
const MOST: usize = 12;

/// The material of a part, or all of several with the first of them.
pub(super) fn of(value: &Value<'_>, ground: &Ground<'_>) -> (Option<Told<String>>, Option<Told<Vec<Stuff>>>) {
    if value.is_map() {
        value.wrong("one material is said in a line, several in a list", "`of:` and a material, or under it each material after a dash");
        return (None, None);
    }
    if !value.is_list() {
        return (value.prose().and_then(|told| ground.lookup.name(ground.materials, &told)), None);
    }
    let items = value.items("materials");
    if items.is_empty() {
        value.wrong("the list of materials is empty", "each material on a line of its own, after a dash");
    }
    if items.len() > MOST {
        value.wrong(format!("a part has {MOST} materials at most"), "two parts, or a blend made beforehand");
        return (None, None);
    }
    let told = items.len();
    let stuffs: Vec<Stuff> = items.iter().filter_map(|item| stuff(item, ground)).collect();
    // One that is wrong was told; the part must not go on without it.
    if stuffs.len() < told || stuffs.is_empty() {
        return (None, None);
    }
    (stuffs.first().map(|stuff| stuff.of.clone()), Some(Told::new(stuffs, value.at.clone())))
}

/// One of several materials: its name, or keys with its count, width or share.
fn stuff(value: &Value<'_>, ground: &Ground<'_>) -> Option<Stuff> {
    if !value.is_map() {
        let of = ground.lookup.name(ground.materials, &value.prose()?)?;
        return Some(Stuff { of, count: None, width: None, share: None });
    }
    let mut r = value.reader("one of several materials")?;
    let of = r.need("of", "`of:` and a material of this bench").and_then(|v| v.prose()).and_then(|told| ground.lookup.name(ground.materials, &told));
    let count = r.get("count").and_then(|v| v.counted(Bounds { nought: false, most: 100_000.0 }, COUNTED, "6"));
    let width = r.get("width").and_then(|v| length(&v, ground.parts, false));
    let share = r.get("share").and_then(|v| share(&v));
    if let (Some(count), Some(share)) = (&count, &share) {
        let fault = Diagnostic::error("`count` and `share` say the same in two ways", share.at.the_key());
        r.faults.push(fault.also("the count", count.at.the_key()).right("keep one of the two"));
    }
    r.end();
    Some(Stuff { of: of?, count, width, share })
}

/// `1/3`, `0.25`, `40 %`.
fn share(value: &Value<'_>) -> Option<Told<Fraction>> {
    let told = value.text()?;
    let read = Quantity::read(&told.value).ok().filter(|quantity| quantity.unit == Unit::One).map(|quantity| quantity.figure);
    let Some(figure) = read.filter(|figure| !figure.is_negative() && !figure.is_nought() && figure.to_f64() < 1.0) else {
        value.wrong(format!("\"{}\" is not a share of the part", told.value), "more than nought and less than the whole, such as `1/3` or `40 %`");
        return None;
    };
    Some(Told::new(figure, told.at))
}

/// What a part goes on.
pub(super) fn base(value: &Value<'_>, ground: &Ground<'_>) -> Option<Told<Base>> {
    const WORDS: &[&str] = &["hook", "loop", "post", "needle", "nylon"];
    const RIGHT: &str = "`hook`, `post of wing`, `needle 0.6 mm`, `nylon 0.4 mm` or `loop`";
    let told = value.text()?;
    let text = told.value.trim_end();
    match fold(text).as_str() {
        "hook" => return Some(told.map(|_| Base::Hook)),
        "loop" => return Some(told.map(|_| Base::Loop)),
        _ => {}
    }
    let lead = text.len() - text.trim_start().len();
    let after = |word: &str| -> Option<(&str, usize)> {
        let head = text.get(lead..lead + word.len()).filter(|head| head.eq_ignore_ascii_case(word))?;
        let rest = text.get(lead + head.len()..).filter(|rest| rest.is_empty() || rest.starts_with(char::is_whitespace))?;
        let bare = rest.trim_start();
        Some((bare, text.len() - bare.len()))
    };
    if let Some((name, from)) = after("post of the").or_else(|| after("post of")).filter(|(name, _)| !name.is_empty()) {
        let part = refer(&Told::new(name.to_owned(), told.at.bytes(from..text.len())), ground, value.faults)?;
        return Some(Told::new(Base::Post(part.value), told.at));
    }
    for (word, make) in [("needle", Base::Needle as fn(f64) -> Base), ("nylon", Base::Nylon)] {
        let Some((across, from)) = after(word) else { continue };
        if across.is_empty() {
            value.wrong(format!("how thick the {word} is is not said"), format!("`{word} 0.6 mm`"));
            return None;
        }
        let read = Quantity::read(across).map_err(|fault| Fault { within: fault.within.start + from..fault.within.end + from, ..fault });
        let quantity = value.told(read)?.value;
        return match quantity.in_unit(Unit::Mm).filter(|mm| quantity.unit != Unit::One && (0.01..=10.0).contains(mm)) {
            Some(mm) => Some(Told::new(make(mm), told.at)),
            None => {
                value.fault(Fault::new(format!("\"{across}\" is not the thickness of the {word}"), from..text.len()).right(format!("`{word} 0.6 mm`")));
                None
            }
        };
    }
    let word = text.split_whitespace().next().unwrap_or(text);
    let right = did_you_mean(word, WORDS.iter().copied()).unwrap_or_else(|| RIGHT.to_owned());
    value.wrong(format!("\"{text}\" is nothing a part goes on"), right);
    None
}

/// How far a part is clipped.
pub(super) fn clip(value: &Value<'_>, parts: &[&str]) -> Option<Told<Clip>> {
    const WORDS: &[&str] = &["below level with the point", "flat beneath", "to 0.8 gap"];
    let told = value.text()?;
    match fold(&told.value).as_str() {
        "below level with the point" | "below, level with the point" | "level with the point" => return Some(told.map(|_| Clip::LevelWithPoint)),
        "flat beneath" => return Some(told.map(|_| Clip::Beneath)),
        _ => {}
    }
    let text = told.value.as_str();
    let lead = text.len() - text.trim_start().len();
    if text.get(lead..lead + 3).is_some_and(|head| head.eq_ignore_ascii_case("to ")) {
        let length = length_in(value, text.get(lead + 3..).unwrap_or_default(), lead + 3, parts, false)?;
        return Some(Told::new(Clip::To(length.value), length.at));
    }
    let right = near_or_all(&fold(text), WORDS.iter().copied(), "leave it out");
    value.wrong(format!("\"{text}\" does not say how the part is clipped"), right);
    None
}

/// How a part stands or lies.
pub(super) fn shape(value: &Value<'_>) -> Option<Told<Shape>> {
    const WORDS: &[&str] = &["upright", "divided", "spent", "flat", "over the back", "beneath", "split", "split 45 deg", "loop", "cut", "burnt", "knotted"];
    let told = value.text()?;
    let mut shape = Shape::default();
    for (piece, from) in pieces(&told.value) {
        let word = fold(piece);
        match word.as_str() {
            "upright" => shape.upright = true,
            "divided" | "split" => shape.divided = true,
            "spent" => shape.spent = true,
            "flat" => shape.flat = true,
            "over the back" => shape.over_the_back = true,
            "beneath" => shape.beneath = true,
            "loop" => shape.looped = true,
            "cut" => shape.cut = true,
            "burnt" => shape.burnt = true,
            "knotted" => shape.knotted = true,
            _ => match split_angle(&word) {
                Some(Some(degrees)) => (shape.divided, shape.split_degrees) = (true, Some(degrees)),
                Some(None) => {
                    value.fault(
                        Fault::new(format!("\"{piece}\" is no angle to split by"), from..from + piece.len())
                            .right("whole degrees from 1 to 180, such as `split 45 deg`"),
                    );
                    return None;
                }
                None => {
                    let right = did_you_mean(&word, WORDS.iter().copied()).unwrap_or_else(|| format!("one or more of {}", WORDS.join(", ")));
                    value.fault(Fault::new(format!("\"{piece}\" is not a shape known here"), from..from + piece.len()).right(right));
                    return None;
                }
            },
        }
    }
    Some(Told::new(shape, told.at))
}

/// `split 45 deg`: the degrees; `Some(None)` where they will not do.
fn split_angle(word: &str) -> Option<Option<u16>> {
    let rest = word.strip_prefix("split ")?;
    let figure = ["degrees", "degree", "deg", "°"].iter().find_map(|unit| rest.strip_suffix(unit)).unwrap_or(rest);
    let figure = Fraction::parse(figure.trim())?;
    Some(figure.as_whole().and_then(|whole| u16::try_from(whole).ok()).filter(|degrees| (1..=180).contains(degrees)))
}

/// What a declared part says that does not go together.
pub(super) fn together(fields: &PartFields, faults: &Faults) {
    if let (Some(laid), None, Some(of)) = (&fields.laid, &fields.several, &fields.of) {
        let fault = Diagnostic::error("`laid` tells how several materials lie, but the part has one", laid.at.the_key());
        faults.push(fault.also("its material", of.at.clone()).right("a list of materials under `of:`, or take the line away"));
    }
    let spun = fields.way.as_ref().is_none_or(|way| way.value == Way::Spun);
    let on_loop = fields.on.as_ref().is_some_and(|on| on.value == Base::Loop);
    if let Some(loop_length) = fields.loop_length.as_ref().filter(|_| !spun && !on_loop) {
        let fault = Diagnostic::error("`loop` is the length of silk a part is spun in, but this part is not spun", loop_length.at.the_key());
        faults.push(fault.right("`as: spun`, `on: loop`, or take the line away"));
    }
    if let (Some(under), Some(over)) = (&fields.under, &fields.over) {
        let fault = Diagnostic::error("a part takes its span from what it lies over or under, not from both", under.at.the_key());
        faults.push(fault.also("the other one", over.at.the_key()).right("keep one of the two, or say `from:` and `to:` instead"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_angle_is_whole_degrees() {
        assert_eq!(split_angle("split 45 deg"), Some(Some(45)));
        assert_eq!(split_angle("split 45°"), Some(Some(45)));
        assert_eq!(split_angle("split 200 deg"), Some(None));
        assert_eq!(split_angle("split 22.5 deg"), Some(None));
        assert_eq!(split_angle("split wide"), None);
        assert_eq!(split_angle("divided"), None);
    }
}
