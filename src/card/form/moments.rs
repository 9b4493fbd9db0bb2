//! When the forms of a part are to be seen: from which step on, until which, and over what.

use super::Works;
use crate::card::WorkedPart;
use crate::dressing::Way;

impl Works<'_> {
    /// After how many steps the part is tied in, and after how many it is as it stays.
    pub(super) fn moments(&self, index: usize, part: &WorkedPart) -> (usize, usize) {
        let steps = &self.card.steps;
        let tied = steps.iter().position(|step| step.ties.contains(&index)).map(|at| at + 1);
        let wound = steps.iter().position(|step| step.winds.contains(&index)).map(|at| at + 1);
        let (tied, wound) = match (tied, wound) {
            (Some(tied), Some(wound)) => (tied.min(wound), wound),
            (Some(at), None) | (None, Some(at)) => (at, at),
            // A bead goes on before all else; what no step names goes on when all is done.
            (None, None) if part.way == Way::Whole => (0, 0),
            (None, None) => (steps.len(), steps.len()),
        };
        if !self.is_case(part) {
            return (tied, wound);
        }
        // A case is brought over when all that it covers is wound.
        let below = self.card.parts.iter().enumerate().filter(|(_, other)| self.is_beneath(other, part));
        (tied, below.map(|(at, other)| self.moments(at, other).1).fold(wound, usize::max))
    }

    /// The order of parts that are finished in one step: as it winds them; a case after all; where no step says it, as
    /// listed, but a rib after what it is wound over.
    pub(super) fn order(&self, index: usize, part: &WorkedPart) -> usize {
        let count = self.card.parts.len();
        if self.is_case(part) {
            return 4 * count + index;
        }
        if let Some(at) = self.card.steps.iter().find_map(|step| step.winds.iter().position(|wound| *wound == index)) {
            return 2 * count + at;
        }
        let last = self.card.parts.iter().enumerate().filter(|(_, other)| self.is_beneath(other, part)).map(|(at, _)| at).max();
        match last {
            Some(last) if part.way == Way::Wound && self.is_open(part) && last > index => 2 * last + 1,
            _ => 2 * index,
        }
    }

    /// Something flat that is brought from one place over to another.
    pub(super) fn is_case(&self, part: &WorkedPart) -> bool {
        let [low, high] = self.span(part);
        matches!(part.way, Way::Slip | Way::Pair | Way::Strip | Way::Sheet) && high - low > 1e-9
    }

    /// After how many steps a case lies over the middle of a part that stands out all round.
    pub(super) fn under_case(&self, part: &WorkedPart) -> Option<usize> {
        let [low, high] = self.span(part);
        let middle = (low + high) / 2.0;
        let over = |other: &WorkedPart| {
            let [from, to] = self.span(other);
            self.is_case(other) && from - 1e-9 <= middle && middle <= to + 1e-9
        };
        self.card.parts.iter().enumerate().filter(|(_, other)| over(other)).map(|(at, other)| self.moments(at, other).1).min()
    }

    /// Whether `other` is something round and closed that shares a stretch of the wire with `part`.
    pub(super) fn is_beneath(&self, other: &WorkedPart, part: &WorkedPart) -> bool {
        let ([low, high], [from, to]) = (self.span(part), self.span(other));
        let round = matches!(other.way, Way::Dubbed | Way::Spun) || (matches!(other.way, Way::Wound | Way::Rope | Way::Weight) && !self.is_open(other));
        round && from.max(low) < to.min(high) - 1e-9
    }

    /// A weight is seen only until something closed is wound over the whole of it.
    pub(super) fn covered(&self, index: usize, part: &WorkedPart) -> usize {
        if part.way != Way::Weight {
            return usize::MAX;
        }
        let [low, high] = self.span(part);
        let covers = |other: &WorkedPart| {
            let [from, to] = self.span(other);
            from <= low + 1e-9 && to >= high - 1e-9 && (other.way == Way::Dubbed || (other.way == Way::Wound && !self.is_open(other)))
        };
        let over = |(at, other): (usize, &WorkedPart)| (at != index && covers(other)).then(|| self.moments(at, other).1);
        self.card.parts.iter().enumerate().filter_map(over).filter(|at| *at >= self.moments(index, part).1).min().unwrap_or(usize::MAX)
    }
}
