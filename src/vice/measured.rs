//! The sample's lengths against the card: what differs, and whether it passes.

use super::Run;
use super::begun::Length;

/// Half a micrometre: figures are told in whole ones, so that a length on the edge passes whatever its binary form is.
const EDGE: f64 = 0.0005;
/// Lengths are shown in tenths of a millimetre, and dividers tell no more: what is nearer than half of one is the same.
const SAME: f64 = 0.05;

impl Length {
    /// Whether a length (mm) passes.
    pub fn passes(&self, mm: f64) -> bool {
        mm >= self.within.0 - EDGE && mm <= self.within.1 + EDGE
    }

    /// Whether a length (mm) is another than it should be.
    pub fn differs(&self, mm: f64) -> bool {
        (mm - self.mm).abs() > SAME + EDGE
    }
}

/// A length of the sample that is another than the card says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Differs<'a> {
    /// Its place in the list.
    pub nth: usize,
    /// What the card says.
    pub length: &'a Length,
    /// What it is, mm.
    pub mm: f64,
}

impl Run {
    /// What a length of the sample was found to be, mm; `None` where it has not been looked at.
    pub fn measured_mm(&self, nth: usize) -> Option<f64> {
        let length = self.begun.lengths.get(nth)?;
        self.measured().get(nth).map(|um| um.map_or(length.mm, |um| f64::from(um) / 1000.0))
    }

    /// The lengths of the sample that are other than the card says, in the order of the list.
    pub fn differs(&self) -> Vec<Differs<'_>> {
        let told = self.begun.lengths.iter().enumerate().filter_map(|(nth, length)| Some(Differs { nth, length, mm: self.measured_mm(nth)? }));
        told.filter(|told| told.length.differs(told.mm)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{OPENED, go, whole};
    use super::super::{Begun, Did, Kind};
    use super::*;
    use crate::measure::Words;

    #[test]
    fn a_length_on_the_edge_passes() {
        // 8.9 - 0.5 is not 8.4 in binary.
        let length = Length { key: String::new(), what: Words::new("tail"), mm: 8.9, within: (8.9 - 0.5, 8.9 + 0.5) };
        assert!([8.4, 8.9, 9.4].into_iter().all(|mm| length.passes(mm)));
        assert!(!length.passes(8.399) && !length.passes(9.401));
        let shown_as_8_9 = Length { mm: 8.933, ..length };
        assert!(!shown_as_8_9.differs(8.9) && shown_as_8_9.differs(9.0) && shown_as_8_9.differs(8.8));
    }

    #[test]
    fn what_was_not_said_or_is_the_same_does_not_differ() {
        // 8.9 and 7.9 mm by the card.
        let mut run = Run::new(Begun { kind: Kind::Sample, layout: Vec::new(), ..whole(&[0], 1) });
        go(&mut run, [(OPENED, 0), (Did::On, 1)]);
        assert!(run.differs().is_empty() && run.measured_mm(0).is_none());
        go(&mut run, [(Did::Measured { nth: 0, um: Some(8_900) }, 1)]);
        assert!(run.differs().is_empty());
        go(&mut run, [(Did::Measured { nth: 1, um: Some(8_100) }, 1)]);
        assert_eq!(run.differs().iter().map(|told| (told.nth, told.mm, told.length.passes(told.mm))).collect::<Vec<_>>(), [(1, 8.1, true)]);
        let mut as_it_is = Run::new(Begun { kind: Kind::Sample, layout: Vec::new(), ..whole(&[0], 1) });
        go(&mut as_it_is, [(OPENED, 0), (Did::On, 1), (Did::On, 1), (Did::On, 1)]);
        assert_eq!((as_it_is.measured_mm(1), as_it_is.differs().len()), (Some(7.9), 0));
    }
}
