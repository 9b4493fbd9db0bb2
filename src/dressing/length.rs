//! The small language of lengths: `1.5 gap`, `2/3 shank`, `body + 1 mm`, `1.5 to 2 gap`, `0.25 gap rising to 0.4 gap`.
//!
//! A length is a sum of terms, each an exact figure times a unit, a measure of the hook, or another part.
//! A range (`to`) or a taper (`rising to`, `falling to`) stands only outermost. Minus needs its spaces, since
//! names of parts may have hyphens; names are found by the longest match among those the dressing declares.

use super::scan::Scan;
use crate::diagnostic::did_you_mean;
use crate::measure::{Dimension, Fault, Fraction, Unit};
use std::fmt;
use std::ops::Range;

/// A length as ruled.
#[derive(Clone, Debug, PartialEq)]
pub enum Length {
    /// One figure.
    One(Vec<Term>),
    /// Anything from the first to the second.
    Between(Vec<Term>, Vec<Term>),
    /// From the first, evenly, to the second (a taper).
    Taper(Vec<Term>, Vec<Term>),
}

/// A figure times a measure.
#[derive(Clone, Debug)]
pub struct Term {
    /// How many; negative when taken away.
    pub times: Fraction,
    /// Of what.
    pub of: Of,
    /// Which bytes of the rule said so.
    pub within: Range<usize>,
}

impl PartialEq for Term {
    /// Two terms are alike when they mean the same, wherever they stand.
    fn eq(&self, other: &Self) -> bool {
        self.times == other.times && self.of == other.of
    }
}

/// What a term measures by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Of {
    /// Nothing: a bare nought.
    Nought,
    /// A unit of length.
    Unit(Unit),
    /// A measure of the hook.
    Hook(HookLength),
    /// The length of another part.
    Part(String),
}

/// Measures of the hook that lengths are ruled by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HookLength {
    /// From the point square to the shank.
    Gap,
    /// From the rear of the eye to the start of the bend.
    Shank,
    /// The shank less the bead's seat and the head.
    FreeShank,
    /// From the front of the eye to the outside of the bend.
    Overall,
    /// Diameter of the wire.
    HookWire,
    /// Length of the eye along the hook.
    Eye,
}

impl HookLength {
    const SPELLINGS: &'static [(&'static str, HookLength)] = &[
        ("gap", HookLength::Gap),
        ("gaps", HookLength::Gap),
        ("gape", HookLength::Gap),
        ("gapes", HookLength::Gap),
        ("free shank", HookLength::FreeShank),
        ("shank", HookLength::Shank),
        ("shanks", HookLength::Shank),
        ("overall", HookLength::Overall),
        ("hook-wire", HookLength::HookWire),
        ("hook-wires", HookLength::HookWire),
        ("eye", HookLength::Eye),
        ("eyes", HookLength::Eye),
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            HookLength::Gap => "gap",
            HookLength::Shank => "shank",
            HookLength::FreeShank => "free shank",
            HookLength::Overall => "overall",
            HookLength::HookWire => "hook-wire",
            HookLength::Eye => "eye",
        }
    }

    /// Whether the word is one of the hook's, so that no part may bear it.
    pub fn is_word(word: &str) -> bool {
        HookLength::SPELLINGS.iter().any(|(spelling, _)| spelling.eq_ignore_ascii_case(word))
    }
}

impl Length {
    /// Reads a rule. `parts` are the names of the parts the dressing declares.
    ///
    /// ```
    /// use herl::dressing::Length;
    /// let read = |text: &str| Length::read(text, &["body", "wing case"]).map(|length| length.to_string());
    /// assert_eq!(read("1.5 gap").unwrap(), "1.5 gap");
    /// assert_eq!(read("gap").unwrap(), "1 gap");
    /// assert_eq!(read("2/3 shank").unwrap(), "2/3 shank");
    /// assert_eq!(read("1½ gape").unwrap(), "1.5 gap");
    /// assert_eq!(read("3/8 in").unwrap(), "0.375 in");
    /// assert_eq!(read("body + 1 mm").unwrap(), "1 body + 1 mm");
    /// assert_eq!(read("shank - 2 eyes").unwrap(), "1 shank - 2 eye");
    /// assert_eq!(read("2 x gap").unwrap(), "2 gap");
    /// assert_eq!(read("shank / 3").unwrap(), "1/3 shank");
    /// assert_eq!(read("1.5 to 2 gap").unwrap(), "1.5 gap to 2 gap");
    /// assert_eq!(read("0.25 gap rising to 0.4 gap").unwrap(), "0.25 gap rising to 0.4 gap");
    /// assert_eq!(read("wing case + 1/2 body").unwrap(), "1 wing case + 0.5 body");
    /// assert!(read("1.5").unwrap_err().what.contains("no unit"));
    /// assert!(read("1.5 gop").unwrap_err().right.unwrap().contains("gap"));
    /// assert!(read("3 g").unwrap_err().what.contains("not a length"));
    /// ```
    pub fn read(text: &str, parts: &[&str]) -> Result<Self, Fault> {
        let mut scan = Scan::new(text);
        let mut first = sum(&mut scan, parts)?;
        scan.space();
        let length = if scan.take("rising to") || scan.take("falling to") {
            Length::Taper(first, sum(&mut scan, parts)?)
        } else if scan.take("to") {
            let second = sum(&mut scan, parts)?;
            // `1.5 to 2 gap`: the bare first figure is of what the second is of.
            if let ([bare], [like]) = (first.as_mut_slice(), second.as_slice())
                && bare.of == Of::Nought
                && !bare.times.is_nought()
            {
                bare.of = like.of.clone();
            }
            Length::Between(first, second)
        } else {
            Length::One(first)
        };
        if !scan.end() {
            let (word, within) = scan.word();
            return Err(Fault::new(format!("\"{word}\" does not belong to a length"), within)
                .right("a sum such as `1.5 gap`, `2/3 shank` or `body + 1 mm`; minus needs a space on both sides"));
        }
        measured(length.terms())?;
        Ok(length)
    }

    /// All its terms.
    pub fn terms(&self) -> impl Iterator<Item = &Term> {
        let (first, second): (&[Term], &[Term]) = match self {
            Length::One(a) => (a, &[]),
            Length::Between(a, b) | Length::Taper(a, b) => (a, b),
        };
        first.iter().chain(second)
    }

    /// The parts it leans on.
    pub fn parts(&self) -> impl Iterator<Item = &str> {
        self.terms().filter_map(|term| match &term.of {
            Of::Part(name) => Some(name.as_str()),
            _ => None,
        })
    }
}

/// A figure other than nought must be of something.
pub(crate) fn measured<'a>(terms: impl IntoIterator<Item = &'a Term>) -> Result<(), Fault> {
    match terms.into_iter().find(|term| term.of == Of::Nought && !term.times.is_nought()) {
        None => Ok(()),
        Some(term) => {
            let figure = if term.times.is_negative() { term.times.negative() } else { term.times };
            Err(Fault::new(format!("{figure} has no unit"), term.within.clone()).right(format!("`{figure} mm`, or a proportion such as `{figure} gap`")))
        }
    }
}

/// Reads a sum of terms, stopping where something else begins.
pub(crate) fn sum(scan: &mut Scan<'_>, parts: &[&str]) -> Result<Vec<Term>, Fault> {
    sum_from(scan, parts, false)
}

/// Reads a sum whose first term is taken away where `negative`.
pub(crate) fn sum_from(scan: &mut Scan<'_>, parts: &[&str], negative: bool) -> Result<Vec<Term>, Fault> {
    let mut terms = vec![term(scan, parts, negative)?];
    loop {
        let before = scan.pos();
        let spaced = scan.space();
        if scan.take("+") {
            terms.push(term(scan, parts, false)?);
        } else if spaced && scan.rest().starts_with("- ") && scan.take("-") {
            terms.push(term(scan, parts, true)?);
        } else {
            scan.back_to(before);
            return Ok(terms);
        }
    }
}

fn term(scan: &mut Scan<'_>, parts: &[&str], negative: bool) -> Result<Term, Fault> {
    scan.space();
    let start = scan.pos();
    if scan.rest().starts_with('+') {
        return Err(Fault::new("a plus sign is not needed here", start..start + 1).right("the figure alone; a plus stands between two lengths"));
    }
    let negative = negative ^ (scan.rest().starts_with('-') && scan.take("-"));
    let number = scan.number();
    if number.is_none()
        && let Some((what, long)) = Fraction::amiss(scan.rest())
    {
        return Err(Fault::new(what, scan.pos()..scan.pos() + long).right("a figure such as `1.5` or `2/3`"));
    }
    if let Some(fault) = comma(scan, number, start) {
        return Err(fault);
    }
    if number.is_some() {
        let before = scan.pos();
        scan.space();
        if !(scan.take("x") || scan.take("×") || scan.take("*")) {
            scan.back_to(before);
        }
    }
    let of = measure(scan, parts, number)?;
    let mut times = number.unwrap_or(Fraction::ONE);
    loop {
        let before = scan.pos();
        scan.space();
        let too_large = |scan: &Scan<'_>| Fault::new("the figure is too large, or nought stands below the line", start..scan.pos());
        if scan.take("/") {
            scan.space();
            let below = scan.number().ok_or_else(|| scan.fault("a figure must follow the stroke"))?;
            times = times.over(below).ok_or_else(|| too_large(scan))?;
        } else if of != Of::Nought && (scan.take("x") || scan.take("×") || scan.take("*")) {
            scan.space();
            let by = scan.number().ok_or_else(|| scan.fault("a figure must follow the x"))?;
            times = times.times(by).ok_or_else(|| too_large(scan))?;
        } else {
            scan.back_to(before);
            break;
        }
    }
    Ok(Term { times: if negative { times.negative() } else { times }, of, within: start..scan.pos() })
}

fn comma(scan: &Scan<'_>, number: Option<Fraction>, start: usize) -> Option<Fault> {
    let whole = number?.as_whole()?;
    let after = scan.rest().strip_prefix(',')?;
    let digits = after.bytes().take_while(u8::is_ascii_digit).count();
    let decimals = after.get(..digits).filter(|d| !d.is_empty())?;
    let (measure, _) = Scan::new(after.get(digits..).unwrap_or_default()).word();
    let right = format!("{whole}.{decimals} {measure}");
    Some(Fault::new("a decimal takes a point, not a comma", start..scan.pos() + 1 + digits).right(format!("`{}`", right.trim_end())))
}

fn measure(scan: &mut Scan<'_>, parts: &[&str], number: Option<Fraction>) -> Result<Of, Fault> {
    let before = scan.pos();
    scan.space();
    let units = Unit::ALL.iter().flat_map(|unit| unit.spellings().iter().map(move |spelling| (*spelling, *unit)));
    let hook = HookLength::SPELLINGS;
    let names =
        units.clone().filter(|_| number.is_some()).map(|(spelling, _)| spelling).chain(hook.iter().map(|(spelling, _)| *spelling)).chain(parts.iter().copied());
    let start = scan.pos();
    if let Some(found) = scan.longest(names) {
        if let Some((_, length)) = hook.iter().find(|(spelling, _)| *spelling == found) {
            return Ok(Of::Hook(*length));
        }
        if let Some(part) = parts.iter().find(|part| **part == found) {
            return Ok(Of::Part((*part).to_owned()));
        }
        if let Some((_, unit)) = units.clone().find(|(spelling, _)| *spelling == found) {
            if unit.dimension() != Dimension::Length {
                return Err(Fault::new(format!("\"{found}\" is not a length"), start..scan.pos())
                    .right("a length in mm, cm, in, or a proportion of gap, shank or a part"));
            }
            return Ok(Of::Unit(unit));
        }
    }
    scan.back_to(before);
    let (word, within) = scan.word();
    let begins = |sign: &str| word == sign || scan.rest().trim_start().starts_with(&format!("{sign} "));
    if number.is_some() && (word.is_empty() || ["+", "-", "/", "to", "rising", "falling", "behind", "before"].iter().any(|sign| begins(sign))) {
        return Ok(Of::Nought);
    }
    if word.is_empty() {
        return Err(Fault::new("a length is missing here", within).right("a length such as `1.5 gap`, `8 mm` or `body`"));
    }
    let known: Vec<&str> = hook.iter().map(|(spelling, _)| *spelling).chain(parts.iter().copied()).chain(["mm", "cm", "in"]).collect();
    let hint = did_you_mean(word, known).unwrap_or_else(|| "gap, shank, overall, hook-wire, eye, a unit such as mm, or the name of a part".to_owned());
    Err(Fault::new(format!("\"{word}\" is neither a unit, a measure of the hook, nor a part of this dressing"), within).right(hint))
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Length::One(terms) => write_sum(f, terms),
            Length::Between(a, b) => {
                write_sum(f, a)?;
                f.write_str(" to ")?;
                write_sum(f, b)
            }
            Length::Taper(a, b) => {
                write_sum(f, a)?;
                f.write_str(" rising to ")?;
                write_sum(f, b)
            }
        }
    }
}

pub(crate) fn write_sum(f: &mut fmt::Formatter<'_>, terms: &[Term]) -> fmt::Result {
    for (nth, term) in terms.iter().enumerate() {
        let figure = match (nth, term.times.is_negative()) {
            (0, _) => term.times,
            (_, true) => {
                f.write_str(" - ")?;
                term.times.negative()
            }
            (_, false) => {
                f.write_str(" + ")?;
                term.times
            }
        };
        match &term.of {
            Of::Nought => write!(f, "{figure}")?,
            Of::Unit(unit) => write!(f, "{figure} {}", unit.name())?,
            Of::Hook(length) => write!(f, "{figure} {}", length.word())?,
            Of::Part(name) => write!(f, "{figure} {name}")?,
        }
    }
    Ok(())
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use proptest::prelude::*;

    pub(in crate::dressing) const PARTS: &[&str] = &["body", "wing case", "tail", "under-wing"];

    fn fraction() -> impl Strategy<Value = Fraction> {
        (1_i64..400, 1_i64..60).prop_map(|(above, below)| Fraction::new(above, below).unwrap())
    }

    fn of() -> impl Strategy<Value = Of> {
        prop_oneof![
            prop::sample::select(vec![Unit::Mm, Unit::Cm, Unit::Inch, Unit::M]).prop_map(Of::Unit),
            prop::sample::select(vec![HookLength::Gap, HookLength::Shank, HookLength::FreeShank, HookLength::Overall, HookLength::HookWire, HookLength::Eye])
                .prop_map(Of::Hook),
            prop::sample::select(PARTS.to_vec()).prop_map(|name| Of::Part(name.to_owned())),
        ]
    }

    /// A sum whose first term may be taken away only where `signed`.
    pub(in crate::dressing) fn terms(signed: bool) -> impl Strategy<Value = Vec<Term>> {
        prop::collection::vec((fraction(), of(), any::<bool>()), 1..4).prop_map(move |list| {
            let term = |(nth, (times, of, less)): (usize, (Fraction, Of, bool))| {
                let times = if less && (signed || nth > 0) { times.negative() } else { times };
                Term { times, of, within: 0..0 }
            };
            list.into_iter().enumerate().map(term).collect()
        })
    }

    proptest! {
        #[test]
        fn a_printed_length_reads_back(first in terms(false), second in terms(false), kind in 0..3) {
            let length = match kind {
                0 => Length::One(first),
                1 => Length::Between(first, second),
                _ => Length::Taper(first, second),
            };
            prop_assert_eq!(Length::read(&length.to_string(), PARTS), Ok(length));
        }

        #[test]
        fn any_text_is_read_without_panic(text in "\\PC{0,40}") {
            let _ = Length::read(&text, PARTS);
        }

        #[test]
        fn words_of_the_language_in_any_order_are_read_without_panic(words in prop::collection::vec(prop::sample::select(vec!["1", "2/3", "1½", "gap", "shank", "body", "wing case", "mm", "to", "rising to", "+", "-", "x", "/", "behind", "the", "eye", ",", "9999999999999999999"]), 0..9)) {
            let _ = Length::read(&words.join(" "), PARTS);
        }
    }

    #[test]
    fn a_part_with_a_hyphen_is_not_a_minus() {
        let length = Length::read("under-wing - 1 mm", PARTS).unwrap();
        assert_eq!(length.to_string(), "1 under-wing - 1 mm");
        assert!(Length::read("shank -1 mm", PARTS).unwrap_err().right.unwrap().contains("minus needs a space"));
    }

    #[test]
    fn a_fault_points_at_its_own_bytes() {
        let fault = Length::read("1.5 gap + 2 gop", PARTS).unwrap_err();
        assert_eq!((fault.within, fault.right.as_deref()), (12..15, Some("did you mean \"gap\"?")));
        assert_eq!(Length::read("1,5 mm", PARTS).unwrap_err().right.as_deref(), Some("`1.5 mm`"));
    }
}
