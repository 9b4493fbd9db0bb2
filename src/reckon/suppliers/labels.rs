//! Purchases for one need, and how they are held against each other and put together.

use super::super::packs::{Kind, Tally};
use super::SUMS;

/// How much dearer than the cheapest it is at least: as it is, and at the prices less the shares taken off, in shares.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Excess {
    pub(super) plain: u64,
    pub(super) shares: u64,
}

impl Excess {
    pub(super) fn within(self, slack: Excess) -> bool {
        self.plain <= slack.plain && self.shares <= slack.shares
    }
}

/// The sums to be reached, the shares taken off, and how much dearer than the cheapest all needs together may be bought.
pub(super) struct Goal {
    pub(super) sums: Vec<u64>,
    pub(super) pull: Vec<u64>,
    pub(super) slack: Excess,
}

/// A purchase, whole or in part.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Label {
    pub(super) tally: Tally,
    /// What it costs at the prices less the shares taken off, in shares.
    pub(super) shared: u64,
    pub(super) excess: Excess,
    /// What is spent with each supplier whose sum is watched, up to that sum.
    pub(super) spent: [u64; SUMS],
}

impl Goal {
    pub(super) fn together(&self, a: &Label, b: &Label) -> Label {
        let mut spent = [0; SUMS];
        for (nth, sum) in self.sums.iter().enumerate() {
            spent[nth] = a.spent[nth].saturating_add(b.spent[nth]).min(*sum);
        }
        let excess = Excess { plain: a.excess.plain.saturating_add(b.excess.plain), shares: a.excess.shares.saturating_add(b.excess.shares) };
        Label { tally: a.tally.plus(b.tally), shared: a.shared.saturating_add(b.shared), excess, spent }
    }

    pub(super) fn no_worse(&self, a: &Label, b: &Label) -> bool {
        a.tally <= b.tally && (0..self.sums.len()).all(|nth| a.spent[nth] >= b.spent[nth])
    }

    /// Keeps a label unless one there is no worse, and lets go of those it is no worse than.
    pub(super) fn keep<T>(&self, label: Label, with: T, labels: &mut Vec<Label>, withs: &mut Vec<T>) {
        if labels.iter().any(|other| self.no_worse(other, &label)) {
            return;
        }
        let mut nth = 0;
        while nth < labels.len() {
            if self.no_worse(&label, &labels[nth]) {
                labels.swap_remove(nth);
                withs.swap_remove(nth);
            } else {
                nth += 1;
            }
        }
        labels.push(label);
        withs.push(with);
    }
}

/// A label with the way it came.
pub(super) struct Step {
    pub(super) label: Label,
    pub(super) need: usize,
    pub(super) before: usize,
    pub(super) offer: usize,
}

/// The labels of one need while they grow.
pub(super) struct Labels<'a> {
    pub(super) goal: &'a Goal,
    /// The least cost of covering what is left, by what is left.
    pub(super) least: Vec<u64>,
    /// The same at the prices less the shares taken off.
    pub(super) least_shared: Vec<u64>,
    /// Places in `all`, by what is left.
    pub(super) at: Vec<Vec<usize>>,
    pub(super) all: Vec<Step>,
}

impl Labels<'_> {
    /// What is left to cover after one more of a kind.
    pub(super) fn after(&self, from: usize, kind: &Kind) -> usize {
        (self.all[from].need as u64).saturating_sub(kind.size) as usize
    }

    /// One more of an offer; the new label's place where it is worth keeping.
    pub(super) fn step(&mut self, from: usize, place: usize, kind: &Kind, shared: u64, original: &Kind, sum: Option<usize>) -> Option<usize> {
        let Step { label, need, .. } = self.all[from];
        let room = sum.is_some_and(|nth| label.spent[nth] < self.goal.sums[nth]);
        if need == 0 && (!room || kind.price == 0) {
            return None;
        }
        let rest = self.after(from, kind);
        let mut label = Label { tally: label.tally.plus(original.one()), shared: label.shared.saturating_add(shared), ..label };
        if let Some(nth) = sum {
            label.spent[nth] = label.spent[nth].saturating_add(kind.price).min(self.goal.sums[nth]);
        }
        let above = |cost: u64, least: &[u64]| cost.saturating_add(least[rest]).saturating_sub(least[least.len() - 1]);
        label.excess = Excess { plain: above(label.tally.cost, &self.least), shares: above(label.shared, &self.least_shared) };
        if !label.excess.within(self.goal.slack) {
            return None;
        }
        let (goal, all) = (self.goal, &self.all);
        if self.at[rest].iter().any(|nth| goal.no_worse(&all[*nth].label, &label)) {
            return None;
        }
        self.at[rest].retain(|nth| !goal.no_worse(&label, &all[*nth].label));
        let place_of_it = self.all.len();
        self.at[rest].push(place_of_it);
        self.all.push(Step { label, need: rest, before: from, offer: place });
        Some(place_of_it)
    }
}

/// The purchases kept for one need.
pub(super) struct Purchases {
    pub(super) places: Vec<usize>,
    pub(super) done: Vec<Label>,
    pub(super) ends: Vec<usize>,
    pub(super) steps: Vec<Step>,
}

impl Purchases {
    /// Adds the packs of a purchase to the counts.
    pub(super) fn add(&self, which: usize, counts: &mut [u64]) {
        let mut at = self.ends[which];
        while at != 0 {
            let step = &self.steps[at];
            counts[self.places[step.offer]] += 1;
            at = step.before;
        }
    }
}
