//! What is typed on a line of a count, beside plain figures: a weight, and what the eye sees of goods that are not counted.
//!
//! A weight begins with `w` and is what the goods weigh in grams without what they lie in: `w 12.3 - 4.1`, gross less the
//! empty spool. Of a strand it gives a length, by tex or by width and density; of pieces a number, by a weighed sample:
//! `w 4.1, 25 = 0.5`, where 25 pieces weigh 0.5 g. The arithmetic stands in [`reckon::weighing`](crate::reckon::weighing).

use super::{ByEye, InUse, Refusal, counting};
use crate::measure::{Dimension, Unit};
use crate::reckon::thread::spool_length;
use crate::reckon::weighing::{Sample, wire_tex};
use crate::why::cross;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// The fewest pieces of a sample a count is to rest on: with fewer the error of the sample is most of the count's own.
pub const SAMPLE: u64 = 10;

/// Spread of one piece's mass, as a share of its mean, where nobody has measured it: an assumption, and told as one.
pub const SPREAD: f64 = 0.02;

/// What a weight needs to know of a thing.
#[derive(Clone, Copy, Debug)]
pub struct Facts {
    /// The unit it is kept in.
    pub unit: Unit,
    /// Grams a kilometre.
    pub tex: Option<f64>,
    /// Across, mm; of a flat strand `None`, for its section is not known by that.
    pub width: Option<f64>,
    /// g/cm³.
    pub density: Option<f64>,
}

/// What a line says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typed {
    /// How much, in the thing's unit.
    pub quantity: Decimal,
    /// Of a weight: what it came from, and by how much it may be out.
    pub said: Option<String>,
}

fn amiss(what: impl Into<String>, right: &str) -> Refusal {
    Refusal::Senseless { what: what.into(), right: right.to_owned() }
}

/// Reads a line of a count.
///
/// # Errors
/// As [`counting::read`]; a weight of what cannot be weighed.
///
/// ```
/// use herl::measure::Unit;
/// use herl::stores::typed::{Facts, line};
/// let wire = Facts { unit: Unit::M, tex: None, width: Some(0.2), density: Some(8.96) };
/// // A metre of copper wire of 0.2 mm weighs 0.2815 g, by its section and density.
/// assert_eq!(line("w 14.815 - 12", wire).unwrap().quantity, 10.into());
/// assert_eq!(line("3*25 + 7", wire).unwrap().quantity, 82.into());
/// ```
pub fn line(text: &str, facts: Facts) -> Result<Typed, Refusal> {
    match text.trim_start().strip_prefix(['w', 'W']) {
        Some(weight) => weighed(weight, facts),
        None => Ok(Typed { quantity: counting::read(text)?, said: None }),
    }
}

/// A mass in grams; a `g` behind a figure may stand or not.
fn grams(text: &str) -> Result<f64, Refusal> {
    let sum = counting::read(&text.replace(['g', 'G'], ""))?;
    sum.to_f64().ok_or(Refusal::TooLarge)
}

/// The step of the scales, in grams: the last place written of any figure.
fn step(text: &str) -> f64 {
    let places = text.split(|c: char| !c.is_ascii_digit() && c != '.').filter_map(|figure| figure.split_once('.').map(|(_, after)| after.len())).max();
    10_f64.powi(-(places.unwrap_or(0).min(9) as i32))
}

fn weighed(text: &str, facts: Facts) -> Result<Typed, Refusal> {
    const WAY: &str = "`w 12.3 - 4.1`, gross less empty in grams,";
    let (mass, sample) = match text.split_once([',', ';']) {
        Some((mass, sample)) => (mass, Some(sample)),
        None => (text, None),
    };
    if mass.trim().is_empty() {
        return Err(amiss("a weight without a figure", WAY));
    }
    let net = grams(mass)?;
    match (facts.unit.dimension(), sample) {
        (Dimension::Mass, None) => {
            let quantity = Unit::G.convert(crossed(net, 6)?, facts.unit).ok_or(Refusal::TooLarge)?;
            Ok(Typed { quantity, said: None })
        }
        (Dimension::Length, None) => {
            let tex = facts.tex.or_else(|| wire_tex(facts.width?, facts.density?));
            let tex =
                tex.ok_or_else(|| amiss("a weight gives no length here", "a length; or tex, or width and density, with the material, and then the weight"))?;
            let metres = spool_length(net, 0.0, tex).ok_or(Refusal::TooLarge)?;
            let quantity = Unit::M.convert(crossed(metres, 2)?, facts.unit).map(|quantity| quantity.round_dp(6)).ok_or(Refusal::TooLarge)?;
            let by = if facts.tex.is_some() { "tex" } else { "width and density" };
            Ok(Typed { quantity: quantity.normalize(), said: Some(format!("{} g by {by}", crossed(net, 4)?)) })
        }
        (Dimension::Mass | Dimension::Length, Some(_)) => Err(amiss("a sample is for pieces", WAY)),
        (_, None) => Err(amiss("the weight alone gives no number", "a weighed sample behind it: `w 4.1, 25 = 0.5`, 25 of them weigh 0.5 g,")),
        (_, Some(sample)) => pieces(net, mass, sample),
    }
}

fn pieces(net: f64, mass: &str, sample: &str) -> Result<Typed, Refusal> {
    let Some((number, weighs)) = sample.split_once('=') else {
        return Err(amiss("the sample has no `=`", "how many and what they weigh: `25 = 0.5`"));
    };
    let number = counting::read(number)?.to_u64().filter(|number| *number > 0);
    let pieces = number.ok_or_else(|| amiss("a sample of no whole number", "`25 = 0.5`"))?;
    if pieces < SAMPLE {
        return Err(amiss(format!("a sample of {pieces} is too small to count by"), "ten pieces or more"));
    }
    let sample = Sample { pieces, mass: grams(weighs)?, spread: SPREAD, step: step(mass).max(step(weighs)) };
    let counted = sample.count(net).ok_or_else(|| amiss("a sample that weighs nothing", "what so many weigh together, in grams"))?;
    let out = counted.out(0.95).ok_or(Refusal::TooLarge)?.ceil();
    Ok(Typed {
        quantity: Decimal::from(counted.whole()),
        said: Some(format!("about {} by weight, within {out} in 19 of 20 (pieces taken to differ by 2 %)", counted.whole())),
    })
}

fn crossed(figure: f64, places: u32) -> Result<Decimal, Refusal> {
    Ok(cross(figure).ok_or(Refusal::TooLarge)?.round_dp(places).normalize())
}

/// Reads what the eye saw: full packs, and a letter for the one in use: `2h` is two full and one half, `1n` one full and
/// one nearly done, `2f` two full and a fresh one, `2-` none in use. A number alone leaves the one in use as it was.
///
/// # Errors
/// What cannot be read so.
///
/// ```
/// use herl::stores::{InUse, typed::eye};
/// assert_eq!(eye("2 h", None), Ok((2, Some(InUse::Half))));
/// assert!(eye("half", None).is_err());
/// ```
pub fn eye(text: &str, was: Option<ByEye>) -> Result<(u32, Option<InUse>), Refusal> {
    const RIGHT: &str = "full packs and a letter for the one in use, such as `2h` (f full, h half, n nearly done, - none),";
    let text = text.trim();
    let figures = text.bytes().take_while(u8::is_ascii_digit).count();
    let (number, letter) = text.split_at_checked(figures).unwrap_or((text, ""));
    let in_use = match letter.trim() {
        "" => was.and_then(|was| was.in_use),
        "f" | "F" => Some(InUse::Full),
        "h" | "H" => Some(InUse::Half),
        "n" | "N" => Some(InUse::NearlyDone),
        "-" => None,
        _ => return Err(amiss(format!("\"{text}\" cannot be read"), RIGHT)),
    };
    let full = number.parse().ok().filter(|full: &u32| *full <= 1_000_000).ok_or_else(|| amiss(format!("\"{text}\" has no number of full packs"), RIGHT))?;
    Ok((full, in_use))
}

/// As it would be typed.
pub fn eye_written(full: u32, in_use: Option<InUse>) -> String {
    let letter = match in_use {
        Some(InUse::Full) => "f",
        Some(InUse::Half) => "h",
        Some(InUse::NearlyDone) => "n",
        None => "-",
    };
    format!("{full}{letter}")
}

#[cfg(test)]
mod tests {
    use super::super::ThingId;
    use super::*;
    use proptest::prelude::*;

    const HOOKS: Facts = Facts { unit: Unit::One, tex: None, width: None, density: None };

    #[test]
    fn hooks_by_a_weighed_sample_come_with_their_error() {
        let typed = line("w 4.00, 25 = 0.50", HOOKS).unwrap();
        assert_eq!(typed.quantity, 200.into());
        // 200 x hypot(2 % / 5, 0.01 / root 12 / 0.5), 2 % x root 200, 0.01 / root 12 / 0.02: 1.41, 0.28, 0.14; x 1.96 is 2.85 (GUM 5.1.2).
        assert!(typed.said.unwrap().contains("within 3 in 19 of 20"));
        for (text, said) in [("w 4", "sample"), ("w 4, 5 = 0.1", "ten"), ("w", "without a figure"), ("w 4, 25", "`=`"), ("w 4, 25 = 0", "nothing")] {
            let told = line(text, HOOKS).unwrap_err().to_string();
            assert!(told.contains(said), "{text}: {told}");
        }
    }

    #[test]
    fn a_spool_is_weighed_in_metres_by_tex_or_refused() {
        let silk = Facts { unit: Unit::M, tex: Some(20.0), width: None, density: None };
        // 20 tex is 20 g a kilometre (ISO 1144): 1 g is 50 m.
        assert_eq!(line("w 12.5 g - 11.5 g", silk).unwrap().quantity, 50.into());
        let bare = Facts { tex: None, ..silk };
        assert!(line("w 12", bare).unwrap_err().to_string().contains("tex"));
        assert_eq!(line("w 2.5", Facts { unit: Unit::G, ..bare }).unwrap().quantity, "2.5".parse().unwrap());
    }

    #[test]
    fn the_eye_needs_two_signs() {
        let was = ByEye { thing: ThingId(1), full: 3, in_use: Some(InUse::NearlyDone), at: 0 };
        assert_eq!(eye("1", Some(was)), Ok((1, Some(InUse::NearlyDone))));
        assert_eq!(eye("0-", Some(was)), Ok((0, None)));
        for in_use in InUse::ALL.into_iter().map(Some).chain([None]) {
            assert_eq!(eye(&eye_written(7, in_use), None), Ok((7, in_use)));
        }
    }

    proptest! {
        #[test]
        fn no_line_brings_it_down(text in "[wfhn0-9+*/x(). ½,=g-]{0,24}", tex in proptest::option::of(0.0..1e9_f64)) {
            for unit in [Unit::One, Unit::M, Unit::G, Unit::Piece] {
                if let Ok(typed) = line(&text, Facts { unit, tex, width: Some(0.1), density: Some(8.0) }) {
                    prop_assert!(typed.quantity >= Decimal::ZERO);
                }
            }
            let _ = eye(&text, None);
        }
    }
}
