//! A complete search for a plan with so many pieces of stock.
//!
//! Piece of stock after piece: each takes the longest length left, and with it a pattern to which nothing more can be
//! added (one to which something can is never better). At the relaxation's prices a pattern falls short of the dearest
//! by its loss; all losses together are given by what is wanted and the number of pieces, so that only patterns
//! within what is left of that loss come into question. What is left of the lengths after some pieces is tried once.

use super::super::search::Budget;
use super::relaxed::{self, Prices};
use super::{Pattern, Question};
use std::collections::HashMap;

/// What came of it.
pub(super) enum Found {
    /// A plan.
    Plan(Vec<Pattern>),
    /// There is none.
    None,
    /// The nodes ran out.
    Unknown,
}

/// The most remainders remembered.
const REMEMBERED: usize = 200_000;
/// The most patterns looked at for one piece of stock.
const PATTERNS: usize = 20_000;
/// The most pieces: one a step of depth.
const DEEPEST: u64 = 2_000;

/// Looks for a plan with `pieces` pieces of stock or fewer, with so many nodes of the budget.
pub(super) fn plan(question: &Question, prices: &Prices, pieces: u64, nodes: Option<u64>, relaxing: bool, budget: &mut Budget) -> Found {
    if pieces > DEEPEST {
        return Found::Unknown;
    }
    let loss = u128::from(pieces) * u128::from(prices.dearest);
    let Some(loss) = loss.checked_sub(prices.worth(&question.wanted)) else { return Found::None };
    let waste = u128::from(pieces) * u128::from(question.room);
    let Some(waste) = waste.checked_sub(question.size(&question.wanted)) else { return Found::None };
    let nodes = nodes.unwrap_or(u64::MAX).min(budget.left());
    let mut best_rate = vec![(0, 1); question.sizes.len() + 1];
    for nth in (0..question.sizes.len()).rev() {
        let (price, size) = best_rate[nth + 1];
        let own = (prices.each[nth], question.sizes[nth]);
        let dearer = u128::from(own.0) * u128::from(size) > u128::from(price) * u128::from(own.1);
        best_rate[nth] = if dearer { own } else { (price, size) };
    }
    let mut search =
        Complete { question, prices, best_rate, failed: HashMap::new(), chosen: Vec::new(), nodes, cut_short: false, relaxing, pool: Vec::new(), budget };
    let mut left = question.wanted.clone();
    if search.look(&mut left, pieces, loss, waste) {
        return Found::Plan(search.chosen.into_iter().map(|counts| Pattern { times: 1, counts }).collect());
    }
    if search.cut_short { Found::Unknown } else { Found::None }
}

struct Complete<'a, 'b> {
    question: &'a Question,
    prices: &'a Prices,
    /// The price and size of the kind dearest for its size, from each kind on.
    best_rate: Vec<(u64, u64)>,
    /// Remainders for which so many pieces are not enough.
    failed: HashMap<Vec<u64>, u64>,
    chosen: Vec<Vec<u64>>,
    nodes: u64,
    cut_short: bool,
    /// Whether what is left is relaxed anew at every step: slower, and sharper.
    relaxing: bool,
    pool: Vec<Vec<u64>>,
    budget: &'a mut Budget<'b>,
}

/// A pattern that comes into question.
struct Candidate {
    loss: u64,
    waste: u64,
    counts: Vec<u64>,
}

impl Complete<'_, '_> {
    fn look(&mut self, left: &mut Vec<u64>, pieces: u64, loss: u128, waste: u128) -> bool {
        let Some(first) = left.iter().position(|count| *count > 0) else { return true };
        if pieces == 0 {
            return false;
        }
        if self.failed.get(left).is_some_and(|failed| *failed >= pieces) {
            return false;
        }
        if self.relaxing && !self.may_be_enough(left, pieces) {
            self.remember(left, pieces);
            return false;
        }
        let candidates = self.candidates(left, first, loss, waste);
        for candidate in candidates {
            if !self.step() {
                return false;
            }
            left.iter_mut().zip(&candidate.counts).for_each(|(left, count)| *left -= count);
            self.chosen.push(candidate.counts.clone());
            if self.look(left, pieces - 1, loss - u128::from(candidate.loss), waste - u128::from(candidate.waste)) {
                return true;
            }
            self.chosen.pop();
            left.iter_mut().zip(&candidate.counts).for_each(|(left, count)| *left += count);
            if self.cut_short {
                return false;
            }
        }
        if !self.cut_short {
            self.remember(left, pieces);
        }
        false
    }

    fn remember(&mut self, left: &[u64], pieces: u64) {
        if self.failed.len() < REMEMBERED {
            self.failed.insert(left.to_vec(), pieces);
        }
    }

    /// Whether the relaxation of what is left does not ask for more pieces.
    fn may_be_enough(&mut self, left: &[u64], pieces: u64) -> bool {
        let rest = self.question.with(left.to_vec());
        relaxed::solve(&rest, &mut self.pool, Some(pieces + 1), self.budget).is_none_or(|relaxed| relaxed.bound <= pieces)
    }

    fn step(&mut self) -> bool {
        if self.nodes == 0 || !self.budget.spend(1, None, 0) {
            self.cut_short = true;
            return false;
        }
        self.nodes -= 1;
        true
    }

    /// The patterns with the longest length left that lose and waste no more than there is, the least loss first.
    fn candidates(&mut self, left: &[u64], first: usize, loss: u128, waste: u128) -> Vec<Candidate> {
        let least_worth = u128::from(self.prices.dearest).saturating_sub(loss);
        let mut found = Vec::new();
        let mut counts = vec![0; left.len()];
        counts[first] = 1;
        let room = self.question.room - self.question.sizes[first];
        let mut from = Walk { left, least_worth, waste, counts: &mut counts, found: &mut found };
        self.walk(&mut from, first, room, self.prices.each[first], None);
        found.sort_by(|a, b| (a.loss, a.waste).cmp(&(b.loss, b.waste)).then_with(|| b.counts.cmp(&a.counts)));
        found
    }

    /// All counts of the kinds from `nth` on; `smallest` is the smallest length of which some was left out.
    fn walk(&mut self, walk: &mut Walk, nth: usize, room: u64, worth: u64, smallest: Option<u64>) {
        if self.cut_short || walk.found.len() >= PATTERNS {
            self.cut_short |= walk.found.len() >= PATTERNS;
            return;
        }
        let Some(size) = self.question.sizes.get(nth).copied() else {
            let maximal = smallest.is_none_or(|size| size > room);
            if maximal && u128::from(room) <= walk.waste && u128::from(worth) >= walk.least_worth {
                let loss = self.prices.dearest.saturating_sub(worth);
                walk.found.push(Candidate { loss, waste: room, counts: walk.counts.clone() });
            }
            return;
        };
        let (price, rate_size) = self.best_rate[nth];
        let most = u128::from(worth) + u128::from(room) * u128::from(price) / u128::from(rate_size);
        if most < walk.least_worth {
            return;
        }
        let already = walk.counts[nth];
        let mut more = (walk.left[nth] - already).min(room / size);
        if walk.left[nth] == already {
            return self.walk(walk, nth + 1, room, worth, smallest);
        }
        if !self.step() {
            return;
        }
        loop {
            walk.counts[nth] = already + more;
            let out = if already + more < walk.left[nth] { Some(smallest.map_or(size, |smallest| smallest.min(size))) } else { smallest };
            self.walk(walk, nth + 1, room - more * size, worth + more * self.prices.each[nth], out);
            if more == 0 {
                break;
            }
            more -= 1;
        }
        walk.counts[nth] = already;
    }
}

/// A walk through the patterns for one piece of stock.
struct Walk<'a> {
    left: &'a [u64],
    least_worth: u128,
    waste: u128,
    counts: &'a mut Vec<u64>,
    found: &'a mut Vec<Candidate>,
}
