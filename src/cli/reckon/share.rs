//! Counts and shares on the command line: whole numbers, dozens, shares that may be written in per cent.

use crate::cli::asked::{Asked, Measure, quoted};
use crate::measure::{Fault, Fraction, Unit};

/// The most things counted.
const MOST: f64 = 1e9;
/// A share of rejects, from 0; one of all is told by itself.
pub(super) const REJECT: Measure = Measure { noun: "a share", unit: Unit::One, bare: true, over_nought: false, most: 1.0, example: "0.05 or 5 %" };
/// A share over 0, up to 1.
pub(super) const SURE: Measure = Measure { noun: "a share", unit: Unit::One, bare: true, over_nought: true, most: 1.0, example: "0.95 or 95 %" };
/// A figure of anything, 0 to a million million.
pub(super) const FIGURE: Measure = Measure { noun: "a figure", unit: Unit::One, bare: true, over_nought: false, most: 1e12, example: "12.5" };
/// The same, over 0.
pub(super) const OVER_NOUGHT: Measure = Measure { over_nought: true, ..FIGURE };

/// A whole number from `least` to a thousand million, or so many dozen.
pub(super) fn count(asked: &mut Asked, option: &'static str, text: &str, least: u64) -> Option<u64> {
    let bare = text.trim();
    let (figure, times) = match ["dozen", "doz"].iter().find_map(|word| bare.strip_suffix(word)) {
        Some(figure) => (figure, 12),
        None => (bare, 1),
    };
    let whole = Fraction::parse(figure).and_then(|figure| figure.times(Fraction::whole(times)));
    let fault = |what: String| Fault::new(what, 0..text.len());
    let right = "a whole number such as 36, or 3 dozen";
    match whole.map(|whole| (whole, whole.as_whole())) {
        None => {
            // A figure that is one but cannot be read is too long, or has nought below its line.
            let what = Fraction::amiss(figure.trim_start_matches('-').trim_start()).map_or("is no count", |(what, _)| what);
            asked.refuse(option, text, fault(format!("{}: {what}", quoted(text))).right(right))
        }
        Some((whole, _)) if whole.is_negative() => asked.refuse(option, text, fault(format!("{} is below nought", quoted(text))).right(right)),
        Some((_, None)) => asked.refuse(option, text, fault(format!("{} is no whole number", quoted(text))).right(right)),
        Some((_, Some(whole))) => match u64::try_from(whole) {
            Ok(whole) if whole < least => asked.refuse(option, text, fault(format!("{} is less than {least}", quoted(text))).right(right)),
            Ok(whole) if whole as f64 <= MOST => Some(whole),
            _ => asked.refuse(option, text, fault(format!("{} is more than the most taken here, {MOST}", quoted(text))).right(right)),
        },
    }
}

/// A confidence: over 0 and under 1.
pub(super) fn sure(asked: &mut Asked, option: &'static str, text: &str) -> Option<f64> {
    let share = asked.figure(option, text, &SURE)?;
    if share == 1.0 {
        let fault = Fault::new("nothing makes it quite sure", 0..text.len());
        return asked.refuse(option, text, fault.right("a share under 1, such as 0.95 or 95 %"));
    }
    Some(share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_as_dressers_write_them() {
        for (text, wanted) in [("36", Some(36)), (" 3 dozen", Some(36)), ("1½ doz", Some(18)), ("1000000000", Some(1_000_000_000)), ("12/4", Some(3))] {
            assert_eq!(count(&mut Asked::default(), "--deliver", text, 1), wanted, "{text}");
        }
        for text in ["0", "-3", "1.5", "1000000001", "99999999999999999999", "NaN", "", "3 mm", "1/0", "5 %", "dozen", "1e3", "¼"] {
            assert_eq!(count(&mut Asked::default(), "--deliver", text, 1), None, "{text}");
        }
    }
}
