//! A rule said anew so that it gives the length that was measured: the same rule with one figure changed.
//!
//! A length measured on one hook does not say how it goes with other hooks, so the rule keeps what it is ruled by. A
//! single proportion gets another factor; a sum, and a place that a tip reaches, get another figure of mm; a range is
//! moved and keeps its width. Figures are the shortest decimals near enough to what was measured.

use super::{Length, Of, Place, Term};
use crate::measure::{Fraction, Unit};

/// How near a rule must come to what was measured, mm: half of the last figure a card shows.
pub const NEAR: f64 = 0.05;

/// What rounding may take of it: not the whole, so that a card never shows the next figure.
const SLACK: f64 = NEAR - 1e-6;

/// A length rule, or the one end of a taper, that gives so many mm on the hook on which it now gives `now`. `None`
/// where no such rule can be written.
pub fn length(rule: &Length, end: Option<End>, now: f64, wanted: f64) -> Option<Length> {
    Some(match (rule, end) {
        (Length::One(terms), None) => Length::One(sum(terms, now, wanted)?),
        (Length::Between(low, high), None) => between(low, high, now, wanted)?,
        (Length::Taper(first, second), Some(End::First)) => Length::Taper(sum(first, now, wanted)?, second.clone()),
        (Length::Taper(first, second), Some(End::Second)) => Length::Taper(first.clone(), sum(second, now, wanted)?),
        _ => return None,
    })
}

/// An end of a taper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Where the part begins.
    First,
    /// Where it ends.
    Second,
}

/// The same place, so many mm further toward the bend.
pub fn place(rule: &Place, by: f64) -> Option<Place> {
    Some(Place { mark: rule.mark.clone(), off: shifted(&rule.off, by)? })
}

fn sum(terms: &[Term], now: f64, wanted: f64) -> Option<Vec<Term>> {
    match terms {
        [one] => {
            let times = match &one.of {
                Of::Unit(unit) => shortest(wanted / unit.factor(), SLACK / unit.factor(), 1)?,
                Of::Hook(_) | Of::Part(_) => {
                    let base = now / one.times.to_f64();
                    shortest(wanted / base, SLACK / base.abs(), 2).filter(|times| times.as_whole().is_none_or(|whole| whole != 0))?
                }
                Of::Nought => return None,
            };
            Some(vec![Term { times, ..one.clone() }])
        }
        _ => shifted(terms, wanted - now),
    }
}

/// The sum with its last figure of mm (or in) changed; with one added where it has none.
fn shifted(terms: &[Term], by: f64) -> Option<Vec<Term>> {
    let mut terms = terms.to_vec();
    let nth = terms.iter().rposition(|term| matches!(term.of, Of::Unit(_)));
    let (nth, unit, old) = match nth.and_then(|nth| terms.get(nth).map(|term| (nth, term))) {
        Some((nth, Term { times, of: Of::Unit(unit), .. })) => (nth, *unit, times.to_f64()),
        _ => {
            terms.push(Term { times: Fraction::NOUGHT, of: Of::Unit(Unit::Mm), within: 0..0 });
            (terms.len() - 1, Unit::Mm, 0.0)
        }
    };
    let times = shortest(old + by / unit.factor(), SLACK / unit.factor(), 1)?;
    if times.is_nought() {
        terms.remove(nth);
    } else if let Some(term) = terms.get_mut(nth) {
        term.times = times;
    }
    Some(terms)
}

/// Both ends moved alike.
fn between(low: &[Term], high: &[Term], now: f64, wanted: f64) -> Option<Length> {
    if let ([a], [b]) = (low, high)
        && a.of == b.of
    {
        let (base, first) = match &a.of {
            Of::Unit(unit) => (unit.factor(), 1),
            Of::Hook(_) | Of::Part(_) => (now / ((a.times.to_f64() + b.times.to_f64()) / 2.0), 2),
            Of::Nought => return None,
        };
        let by = shortest((wanted - now) / base, SLACK / base.abs(), first)?;
        // A third of a gap and a decimal would make a fraction nobody sets dividers by.
        let moved = |term: &Term| {
            let sum = term.times.plus(by)?;
            let times = if ends(sum) { sum } else { rounded(sum.to_f64(), 3)? };
            Some(vec![Term { times, ..term.clone() }])
        };
        return Some(Length::Between(moved(a)?, moved(b)?));
    }
    let by = shortest(wanted - now, SLACK, 1)?.to_f64();
    Some(Length::Between(shifted(low, by)?, shifted(high, by)?))
}

/// Whether it is written as a decimal.
fn ends(figure: Fraction) -> bool {
    !figure.to_string().contains('/')
}

/// The shortest decimal, of so many places at least where it needs them and five at most, this near to a figure.
fn shortest(figure: f64, near: f64, first: u32) -> Option<Fraction> {
    (first..=5).filter_map(|places| rounded(figure, places)).find(|short| (short.to_f64() - figure).abs() <= near)
}

fn rounded(figure: f64, places: u32) -> Option<Fraction> {
    let below = 10_i64.checked_pow(places)?;
    let above = (figure * below as f64).round();
    if above.is_finite() && above.abs() < 1e15 { Fraction::new(above as i64, below) } else { None }
}

/// The text of a length rule with what is otherwise changed in place; `None` where it cannot be read back.
pub fn length_text(text: &str, old: &Length, new: &Length, parts: &[&str]) -> Option<String> {
    let same = |text: &String| Length::read(text, parts).is_ok_and(|read| read == *new);
    let sums = |length: &Length| match length {
        Length::One(a) => vec![a.clone()],
        Length::Between(a, b) | Length::Taper(a, b) => vec![a.clone(), b.clone()],
    };
    let in_place = in_place(text, &sums(old), &sums(new)).filter(same);
    in_place.or_else(|| Some(new.to_string()).filter(same))
}

/// The text of a place with what is otherwise changed in place; `None` where it cannot be read back.
pub fn place_text(text: &str, old: &Place, new: &Place, parts: &[&str]) -> Option<String> {
    let same = |text: &String| Place::read(text, parts).is_ok_and(|read| read == *new);
    let in_place = in_place(text, std::slice::from_ref(&old.off), std::slice::from_ref(&new.off)).filter(same);
    in_place.or_else(|| Some(new.to_string()).filter(same))
}

/// Figures that are otherwise are put where the old ones stand, and a term that is new behind the others. Whether it
/// means what it should is for whoever reads it back.
fn in_place(text: &str, old: &[Vec<Term>], new: &[Vec<Term>]) -> Option<String> {
    let mut edits: Vec<(std::ops::Range<usize>, String)> = Vec::new();
    for (old, new) in old.iter().zip(new) {
        for (was, is) in old.iter().zip(new).filter(|(was, is)| was.times != is.times) {
            let stands = text.get(was.within.clone())?;
            let figure = magnitude(is.times).to_string();
            let bare = stands.strip_prefix('-').unwrap_or(stands).trim_start();
            let lead = stands.len() - bare.len();
            let (long, blank) = Fraction::read(bare).map_or((0, " "), |(_, long)| (long, ""));
            let from = was.within.start + lead;
            edits.push((from..from + long, format!("{figure}{blank}")));
        }
        match new.get(old.len()..) {
            None => return None,
            Some([]) => {}
            Some(added) => {
                let end = old.last().map_or(text.trim_end().len(), |last| last.within.end);
                let signed = |term: &Term| format!(" {} {} mm", if term.times.is_negative() { '-' } else { '+' }, magnitude(term.times));
                edits.push((end..end, added.iter().map(signed).collect()));
            }
        }
    }
    edits.sort_by_key(|(range, _)| range.start);
    let mut whole = text.to_owned();
    for (range, with) in edits.into_iter().rev() {
        whole.get(range.clone())?;
        whole.replace_range(range, &with);
    }
    Some(whole)
}

fn magnitude(figure: Fraction) -> Fraction {
    if figure.is_negative() { figure.negative() } else { figure }
}

#[cfg(test)]
mod tests {
    use super::super::length::tests::PARTS;
    use super::*;

    fn anew(text: &str, now: f64, wanted: f64) -> String {
        let old = Length::read(text, PARTS).unwrap();
        let new = length(&old, None, now, wanted).unwrap();
        length_text(text, &old, &new, PARTS).unwrap()
    }

    fn moved(text: &str, by: f64) -> String {
        let old = Place::read(text, PARTS).unwrap();
        let new = place(&old, by).unwrap();
        place_text(text, &old, &new, PARTS).unwrap()
    }

    #[test]
    fn a_single_proportion_gets_another_factor_and_keeps_its_word() {
        assert_eq!(anew("1 shank", 8.7, 9.2), "1.06 shank");
        assert_eq!(anew("shank", 8.7, 9.2), "1.06 shank");
        assert_eq!(anew("2/3 shank", 6.0, 6.6), "0.73 shank");
        assert_eq!(anew("1½ gapes", 6.0, 6.6), "1.65 gapes");
        assert_eq!(anew("2 x gap", 8.0, 8.4), "2.1 x gap");
        assert_eq!(anew("Wing  case", 8.0, 8.4), "1.05 Wing  case");
        // With the stroke behind it the figure before it is another: the rule is said in the plain way.
        assert_eq!(anew("shank / 3", 3.0, 3.6), "0.4 shank");
        // Two places are not near enough on a long base, so three.
        assert_eq!(anew("1 shank", 30.0, 30.1), "1.003 shank");
    }

    #[test]
    fn a_length_in_a_unit_stays_in_it_and_a_sum_gets_another_figure_of_mm() {
        assert_eq!(anew("10 mm", 10.0, 10.6), "10.6 mm");
        assert_eq!(anew("10 mm", 10.0, 10.65), "10.65 mm");
        assert_eq!(anew("3/8 in", 9.525, 10.2), "0.4 in");
        assert_eq!(anew("1.2 cm", 12.0, 12.7), "1.27 cm");
        assert_eq!(anew("body + 1 mm", 9.0, 9.5), "body + 1.5 mm");
        assert_eq!(anew("body + 1 mm + tail", 9.0, 8.6), "body + 0.6 mm + tail");
        assert_eq!(anew("body + tail", 9.0, 9.5), "body + tail + 0.5 mm");
        assert_eq!(anew("body + 1 mm", 9.0, 7.5), "1 body - 0.5 mm");
        assert_eq!(anew("body + 1 mm", 9.0, 8.0), "1 body");
        assert_eq!(anew("shank - 2 mm", 9.0, 9.5), "shank - 1.5 mm");
    }

    #[test]
    fn a_range_is_moved_and_keeps_its_width() {
        assert_eq!(anew("1.5 to 2 gap", 8.75, 9.1), "1.57 to 2.07 gap");
        assert_eq!(anew("1.25 gap to 1.5 gape", 5.5, 6.0), "1.38 gap to 1.63 gape");
        assert_eq!(anew("8 to 9 mm", 8.5, 9.1), "8.6 to 9.6 mm");
        assert_eq!(anew("1 gap to body + 1 mm", 6.0, 6.4), "1 gap + 0.4 mm to body + 1.4 mm");
        assert_eq!(anew("1/3 to 2/3 gap", 2.0, 2.4), "0.433 to 0.767 gap");
    }

    #[test]
    fn one_end_of_a_taper_is_changed_and_the_other_stays() {
        let old = Length::read("0.4 gap falling to 0.28 gap", PARTS).unwrap();
        let new = length(&old, Some(End::Second), 1.4, 1.6).unwrap();
        assert_eq!(length_text("0.4 gap falling to 0.28 gap", &old, &new, PARTS).unwrap(), "0.4 gap falling to 0.32 gap");
        assert_eq!(length(&old, None, 1.4, 1.6), None);
    }

    #[test]
    fn a_place_is_moved_by_its_figure_of_mm() {
        assert_eq!(moved("bend + 1 mm", 0.3), "bend + 1.3 mm");
        assert_eq!(moved("bend", 0.3), "bend + 0.3 mm");
        assert_eq!(moved("bend", -0.3), "bend - 0.3 mm");
        assert_eq!(moved("bend + 0.5 mm", -0.5), "bend");
        assert_eq!(moved("bend + 0.5 mm", -0.7), "bend - 0.2 mm");
        assert_eq!(moved("1 mm before the barb", -0.4), "1.4 mm before the barb");
        assert_eq!(moved("end of body", 0.4), "end of body + 0.4 mm");
        assert_eq!(moved("1/3 shank behind the eye", 0.4), "1/3 shank + 0.4 mm behind the eye");
        assert_eq!(moved("1 mm behind the bead", -1.0), "behind the bead");
    }
}
