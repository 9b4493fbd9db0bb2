//! The small language of places on the hook: `barb`, `1/3 shank behind the eye`, `1 mm before the barb`,
//! `bend + 1 mm`, `round the bend 2 mm`, `behind the bead`, `end of body`.

use super::length::{Term, measured, sum, sum_from, write_sum};
use super::scan::Scan;
use crate::diagnostic::{did_you_mean, near_or_all};
use crate::measure::Fault;
use std::fmt;

/// A place on the hook: a mark, and how far from it along the wire (positive is toward the bend).
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// The mark it is told by.
    pub mark: Landmark,
    /// How far from the mark; empty for the mark itself.
    pub off: Vec<Term>,
}

/// A mark on the hook or on the fly.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Landmark {
    /// Rear of the eye.
    Eye,
    /// The barb, dropped square on to the shank.
    Barb,
    /// The point, dropped square on to the shank.
    Point,
    /// The rearmost of the bend.
    Bend,
    /// Where the straight shank ends and the bend begins.
    ShankEnd,
    /// The rear of the bead.
    Bead,
    /// Where a part begins.
    Start(String),
    /// Halfway along a part.
    Middle(String),
    /// Where a part ends.
    End(String),
}

const MARKS: &[(&str, Landmark)] =
    &[("eye", Landmark::Eye), ("barb", Landmark::Barb), ("point", Landmark::Point), ("bend", Landmark::Bend), ("bead", Landmark::Bead)];

impl Place {
    /// Reads a place. `parts` are the names of the parts the dressing declares.
    ///
    /// ```
    /// use herl::dressing::Place;
    /// let read = |text: &str| Place::read(text, &["body", "thorax"]).map(|place| place.to_string());
    /// assert_eq!(read("barb").unwrap(), "barb");
    /// assert_eq!(read("eye + 1/3 shank").unwrap(), "1/3 shank behind the eye");
    /// assert_eq!(read("2 eyes behind the eye").unwrap(), "2 eye behind the eye");
    /// assert_eq!(read("1 mm before the barb").unwrap(), "barb - 1 mm");
    /// assert_eq!(read("bend + 1 mm").unwrap(), "bend + 1 mm");
    /// assert_eq!(read("round the bend 2 mm").unwrap(), "round the bend 2 mm");
    /// assert_eq!(read("behind the bead").unwrap(), "behind the bead");
    /// assert_eq!(read("1 mm behind the bead").unwrap(), "1 mm behind the bead");
    /// assert_eq!(read("end of body").unwrap(), "end of body");
    /// assert_eq!(read("0.5 gap before the middle of thorax").unwrap(), "middle of thorax - 0.5 gap");
    /// assert!(read("7 behind the eye").unwrap_err().what.contains("no unit"));
    /// assert!(read("barb - 7").unwrap_err().what.contains("no unit"));
    /// assert!(read("barbs").unwrap_err().right.unwrap().contains("barb"));
    /// ```
    pub fn read(text: &str, parts: &[&str]) -> Result<Self, Fault> {
        let mut scan = Scan::new(text);
        scan.space();
        let place = if let Some(mark) = landmark(&mut scan, parts)? {
            let mut off = Vec::new();
            scan.space();
            if (mark == Landmark::ShankEnd && !scan.end() && !scan.rest().starts_with(['+', '-'])) || scan.take("+") {
                off = sum(&mut scan, parts)?;
            } else if scan.rest().starts_with("- ") && scan.take("-") {
                off = sum_from(&mut scan, parts, true)?;
            }
            Place { mark, off }
        } else {
            let off = sum(&mut scan, parts)?;
            scan.space();
            let toward_bend = scan.take("behind");
            if !toward_bend && !scan.take("before") && !scan.take("in front of") {
                return Err(scan.fault("a length alone is no place").right("a place such as `1/3 shank behind the eye` or `1 mm before the barb`"));
            }
            let Some(mark) = landmark_after_article(&mut scan, parts)? else {
                return Err(unknown(&scan, parts));
            };
            Place { mark, off: if toward_bend { off } else { negated(off) } }
        };
        if !scan.end() {
            let (word, within) = scan.word();
            return Err(Fault::new(format!("\"{word}\" does not belong to a place"), within)
                .right("a place such as `barb`, `bend + 1 mm` or `1/3 shank behind the eye`; minus needs a space on both sides"));
        }
        measured(&place.off)?;
        Ok(place)
    }

    /// The parts it leans on.
    pub fn parts(&self) -> impl Iterator<Item = &str> {
        let marked = match &self.mark {
            Landmark::Start(name) | Landmark::Middle(name) | Landmark::End(name) => Some(name.as_str()),
            _ => None,
        };
        marked.into_iter().chain(self.off.iter().filter_map(|term| match &term.of {
            super::Of::Part(name) => Some(name.as_str()),
            _ => None,
        }))
    }
}

fn negated(terms: Vec<Term>) -> Vec<Term> {
    terms.into_iter().map(|term| Term { times: term.times.negative(), ..term }).collect()
}

fn landmark_after_article(scan: &mut Scan<'_>, parts: &[&str]) -> Result<Option<Landmark>, Fault> {
    let before = scan.pos();
    if !scan.take_words("the") {
        scan.back_to(before);
    }
    scan.space();
    if let Some(found) = scan.longest(MARKS.iter().map(|(word, _)| *word)) {
        return Ok(MARKS.iter().find(|(word, _)| *word == found).map(|(_, mark)| mark.clone()));
    }
    landmark(scan, parts)
}

fn landmark(scan: &mut Scan<'_>, parts: &[&str]) -> Result<Option<Landmark>, Fault> {
    if scan.take_words("behind the bead") {
        return Ok(Some(Landmark::Bead));
    }
    if scan.take_words("round the bend") {
        return Ok(Some(Landmark::ShankEnd));
    }
    for (word, make) in [("start of", Landmark::Start as fn(String) -> Landmark), ("middle of", Landmark::Middle), ("end of", Landmark::End)] {
        if scan.take_words(word) {
            if !scan.take_words("the") {
                scan.space();
            }
            scan.space();
            return match scan.longest(parts.iter().copied()) {
                Some(part) => Ok(Some(make(part.to_owned()))),
                None => {
                    let (word, within) = scan.word();
                    let hint = near_or_all(word, parts.iter().copied(), "another place: this dressing has no parts");
                    Err(Fault::new(format!("\"{word}\" is not a part of this dressing"), within).right(hint))
                }
            };
        }
    }
    let before = scan.pos();
    if scan.take("the") {
        scan.space();
    }
    match scan.longest(MARKS.iter().map(|(word, _)| *word)) {
        Some(found) => Ok(MARKS.iter().find(|(word, _)| *word == found).map(|(_, mark)| mark.clone())),
        None => {
            scan.back_to(before);
            if scan.rest().starts_with(|c: char| c.is_ascii_digit() || "½⅓⅔¼¾.-+".contains(c)) || starts_with_measure(scan, parts) {
                Ok(None)
            } else {
                Err(unknown(scan, parts))
            }
        }
    }
}

/// A place may begin with a measure without a figure: `body behind the eye`.
fn starts_with_measure(scan: &mut Scan<'_>, parts: &[&str]) -> bool {
    let before = scan.pos();
    let found = sum(scan, parts).is_ok();
    scan.back_to(before);
    found
}

fn unknown(scan: &Scan<'_>, parts: &[&str]) -> Fault {
    let (word, within) = scan.word();
    // A part is no place by itself: it has a start and an end.
    if parts.contains(&word) {
        return Fault::new(format!("\"{word}\" is a part, not a place on the hook"), within).right(format!("`start of {word}` or `end of {word}`"));
    }
    let known = MARKS.iter().map(|(mark, _)| *mark).chain(["behind the bead", "round the bend"]).chain(parts.iter().copied());
    let hint =
        did_you_mean(word, known).unwrap_or_else(|| "eye, bend, barb, point, behind the bead, `1/3 shank behind the eye`, or `end of` a part".to_owned());
    Fault::new(format!("\"{word}\" is not a place on the hook"), within).right(hint)
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // From the eye and the bead the trade counts backward: `1/3 shank behind the eye`.
        if let (Landmark::Eye | Landmark::Bead, Some(first)) = (&self.mark, self.off.first())
            && !first.times.is_negative()
        {
            write_sum(f, &self.off)?;
            return f.write_str(if self.mark == Landmark::Eye { " behind the eye" } else { " behind the bead" });
        }
        match &self.mark {
            Landmark::Eye => f.write_str("eye")?,
            Landmark::Barb => f.write_str("barb")?,
            Landmark::Point => f.write_str("point")?,
            Landmark::Bend => f.write_str("bend")?,
            Landmark::ShankEnd => f.write_str("round the bend")?,
            Landmark::Bead => f.write_str("behind the bead")?,
            Landmark::Start(part) => write!(f, "start of {part}")?,
            Landmark::Middle(part) => write!(f, "middle of {part}")?,
            Landmark::End(part) => write!(f, "end of {part}")?,
        }
        let Some(first) = self.off.first() else { return Ok(()) };
        if self.mark == Landmark::ShankEnd && !first.times.is_negative() {
            f.write_str(" ")?;
            return write_sum(f, &self.off);
        }
        if first.times.is_negative() {
            let mut off = self.off.clone();
            if let Some(first) = off.first_mut() {
                first.times = first.times.negative();
            }
            f.write_str(" - ")?;
            write_sum(f, &off)
        } else {
            f.write_str(" + ")?;
            write_sum(f, &self.off)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::length::tests::{PARTS, terms};
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_printed_place_reads_back(off in prop::option::of(terms(true)), mark in 0..9) {
            let part = || "wing case".to_owned();
            let mark = match mark {
                0 => Landmark::Eye,
                1 => Landmark::Barb,
                2 => Landmark::Point,
                3 => Landmark::Bend,
                4 => Landmark::ShankEnd,
                5 => Landmark::Bead,
                6 => Landmark::Start(part()),
                7 => Landmark::Middle(part()),
                _ => Landmark::End(part()),
            };
            let place = Place { mark, off: off.unwrap_or_default() };
            prop_assert_eq!(Place::read(&place.to_string(), PARTS), Ok(place));
        }

        #[test]
        fn words_of_the_language_in_any_order_are_read_without_panic(words in prop::collection::vec(prop::sample::select(vec!["1", "2/3", "eye", "eyes", "bend", "barb", "round the bend", "behind the bead", "end of", "middle of", "body", "behind", "before", "the", "+", "-", "mm", "shank"]), 0..9)) {
            let _ = Place::read(&words.join(" "), PARTS);
        }
    }

    #[test]
    fn behind_is_toward_the_bend_and_before_toward_the_eye() {
        let off = |text: &str| Place::read(text, PARTS).unwrap().off.iter().map(|term| term.times.to_f64()).collect::<Vec<_>>();
        assert_eq!(off("1 mm + 2 eyes before the barb"), [-1.0, -2.0]);
        assert_eq!(off("barb - 1 mm + 2 eyes"), [-1.0, 2.0]);
        assert_eq!(off("1 mm behind the end of body"), [1.0]);
    }
}
