//! The cheapest packs for several needs at once from several suppliers, who charge carriage or, from some sum on, none.
//!
//! Every supplier is in one of three states: nothing is bought there, carriage is paid, or the goods reach the sum from
//! which it is free. A search by depth goes through the states; suppliers not settled yet are taken as free of
//! carriage, and every need by itself at its cheapest (packs.rs), which is the bound. Where all are settled and no sum
//! has to be reached, that is the answer. Where one has to, the needs hang together: for each of them all purchases
//! that are not dearer than the best answer allows are kept, less those that cost no less and bring no supplier nearer
//! to his sum (labels, as in resource-constrained shortest paths: S. Irnich and G. Desaulniers in *Column Generation*,
//! Springer 2005, chapter 2), and then put together need by need. All in whole numbers.

use super::packs::{self, Kind, Pack, Tally};
use super::search::{Amiss, Budget};
use std::collections::HashMap;

/// What a supplier asks for carriage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Supplier {
    /// Carriage, in the unit of the prices; once, however much is bought.
    pub carriage: u64,
    /// The sum of goods from which carriage is free; `None` where it never is.
    pub free_from: Option<u64>,
}

/// A pack offered by a supplier.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Offer {
    /// Which supplier, by his place in the list.
    pub supplier: usize,
    /// Which need it covers, by its place in the list.
    pub need: usize,
    /// The pack.
    pub pack: Pack,
}

/// What is bought.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Purchase {
    /// How many of each offer.
    pub counts: Vec<u64>,
    /// Carriage by supplier.
    pub carriage: Vec<u64>,
    /// Goods and carriage.
    pub cost: u64,
    /// Units left over, by need.
    pub left: Vec<u64>,
    /// How many packs.
    pub packs: u64,
    /// What no purchase can cost less than.
    pub bound: u64,
    /// Whether none costs less.
    pub proved: bool,
}

/// The most suppliers taken.
pub const SUPPLIERS: usize = 64;
/// The most suppliers whose sums are watched at once.
const SUMS: usize = 8;

/// The cheapest purchase; of two that cost the same the one with fewer units, then fewer packs, then from suppliers
/// nearer the head of the list. `None` where a need cannot be covered.
pub fn cheapest(needs: &[u64], suppliers: &[Supplier], offers: &[Offer], budget: &mut Budget) -> Result<Option<Purchase>, Amiss> {
    if suppliers.len() > SUPPLIERS {
        return Err(Amiss::TooMany(SUPPLIERS));
    }
    if offers.len() > packs::KINDS * needs.len().max(1) {
        return Err(Amiss::TooMany(packs::KINDS * needs.len().max(1)));
    }
    let mut kinds = Vec::new();
    for (nth, offer) in offers.iter().enumerate() {
        if offer.supplier >= suppliers.len() || offer.need >= needs.len() {
            return Err(Amiss::Nowhere(nth));
        }
        kinds.push(Kind::new(nth, &offer.pack, offer.supplier as u64)?);
    }
    if let Some(nth) = suppliers.iter().position(|supplier| supplier.carriage > packs::DEAREST) {
        return Err(Amiss::TooLarge(nth));
    }
    if let Some(nth) = needs.iter().position(|need| *need > packs::LARGEST) {
        return Err(Amiss::TooLarge(nth));
    }
    Search::new(needs, suppliers, offers, kinds, budget).run()
}

/// The cheapest for one need from some of the suppliers.
#[derive(Clone, Debug)]
struct Single {
    counts: Vec<(usize, u64)>,
    bound: u64,
    proved: bool,
}

struct Search<'a, 'b> {
    needs: &'a [u64],
    suppliers: &'a [Supplier],
    offers: &'a [Offer],
    kinds: Vec<Kind>,
    /// Which suppliers offer something for the need, as bits.
    offering: Vec<u64>,
    singles: HashMap<(usize, u64), Option<Single>>,
    /// Suppliers in the order in which they are settled.
    order: Vec<usize>,
    best: Option<(Tally, Vec<u64>)>,
    /// The least bound of what was left unsearched.
    unsearched: u64,
    root: u64,
    budget: &'a mut Budget<'b>,
}

/// Which suppliers are bought from, and on what terms.
#[derive(Clone, Copy, Default)]
struct State {
    /// Those who may be bought from.
    allowed: u64,
    /// Those whose goods must reach their sums.
    free: u64,
    /// Carriage paid for certain.
    carriage: u64,
}

impl<'a, 'b> Search<'a, 'b> {
    fn new(needs: &'a [u64], suppliers: &'a [Supplier], offers: &'a [Offer], kinds: Vec<Kind>, budget: &'a mut Budget<'b>) -> Self {
        let mut offering = vec![0; needs.len()];
        for offer in offers {
            offering[offer.need] |= 1 << offer.supplier;
        }
        // One who asks nothing, or nothing from the first coin on, is always bought from.
        let charging = |nth: &usize| suppliers[*nth].carriage > 0 && suppliers[*nth].free_from != Some(0);
        let mut order: Vec<usize> = (0..suppliers.len()).filter(charging).collect();
        order.sort_by_key(|nth| std::cmp::Reverse(suppliers[*nth].carriage));
        Search { needs, suppliers, offers, kinds, offering, singles: HashMap::new(), order, best: None, unsearched: u64::MAX, root: 0, budget }
    }

    fn run(mut self) -> Result<Option<Purchase>, Amiss> {
        let mut state = State::default();
        for nth in 0..self.suppliers.len() {
            if !self.order.contains(&nth) {
                state.allowed |= 1 << nth;
            }
        }
        let all = self.order.iter().fold(state.allowed, |all, nth| all | 1 << nth);
        let Some(root) = self.bound(all)? else { return Ok(None) };
        self.root = root;
        self.settle(0, state)?;
        let Some((tally, counts)) = self.best.take() else { return Ok(None) };
        let bound = self.unsearched.min(tally.cost);
        let carriage = self.carriage(&counts);
        let mut left: Vec<u64> = vec![0; self.needs.len()];
        for (offer, count) in self.offers.iter().zip(&counts) {
            left[offer.need] = left[offer.need].saturating_add(offer.pack.size.saturating_mul(*count));
        }
        left.iter_mut().zip(self.needs).for_each(|(left, need)| *left = left.saturating_sub(*need));
        Ok(Some(Purchase { counts, carriage, cost: tally.cost, left, packs: tally.packs, bound, proved: bound == tally.cost }))
    }

    /// The cheapest for one need from the suppliers allowed; worked once.
    fn single(&mut self, need: usize, allowed: u64) -> Result<Option<&Single>, Amiss> {
        let key = (need, allowed & self.offering[need]);
        if !self.singles.contains_key(&key) {
            let (places, kinds) = self.open(need, key.1);
            let choice = packs::choose(self.needs[need], &kinds, self.budget)?;
            let single = choice.map(|choice| Single {
                counts: places.iter().copied().zip(choice.counts).filter(|(_, count)| *count > 0).collect(),
                bound: choice.bound,
                proved: choice.proved,
            });
            self.singles.insert(key, single);
        }
        Ok(self.singles.get(&key).and_then(Option::as_ref))
    }

    /// The offers for a need from the suppliers allowed.
    fn open(&self, need: usize, allowed: u64) -> (Vec<usize>, Vec<Kind>) {
        let open = |nth: &usize| self.offers[*nth].need == need && allowed >> self.offers[*nth].supplier & 1 == 1;
        let places: Vec<usize> = (0..self.offers.len()).filter(open).collect();
        let kinds = places.iter().map(|nth| self.kinds[*nth]).collect();
        (places, kinds)
    }

    /// What the goods cost at least; `None` where the suppliers allowed cannot cover a need.
    fn bound(&mut self, allowed: u64) -> Result<Option<u64>, Amiss> {
        let mut sum = 0_u64;
        for need in 0..self.needs.len() {
            match self.single(need, allowed)? {
                Some(single) => sum = sum.saturating_add(single.bound),
                None => return Ok(None),
            }
        }
        Ok(Some(sum))
    }

    fn settle(&mut self, depth: usize, state: State) -> Result<(), Amiss> {
        let open = self.order[depth..].iter().fold(0, |open, nth| open | 1 << nth);
        let Some(goods) = self.bound(state.allowed | open)? else { return Ok(()) };
        let bound = goods.saturating_add(state.carriage);
        if self.best.as_ref().is_some_and(|(best, _)| bound > best.cost) {
            return Ok(());
        }
        if !self.budget.spend(1, self.best.as_ref().map(|(best, _)| best.cost), self.root) && self.best.is_some() {
            self.unsearched = self.unsearched.min(bound);
            return Ok(());
        }
        let Some(nth) = self.order.get(depth).copied() else { return self.leaf(state, bound) };
        let supplier = self.suppliers[nth];
        let bought = State { allowed: state.allowed | 1 << nth, ..state };
        if supplier.free_from.is_some() {
            self.settle(depth + 1, State { free: bought.free | 1 << nth, ..bought })?;
        }
        self.settle(depth + 1, State { carriage: bought.carriage.saturating_add(supplier.carriage), ..bought })?;
        self.settle(depth + 1, state)
    }

    fn leaf(&mut self, state: State, bound: u64) -> Result<(), Amiss> {
        let mut counts = vec![0; self.offers.len()];
        let mut proved = true;
        for need in 0..self.needs.len() {
            let Some(single) = self.single(need, state.allowed)? else { return Ok(()) };
            proved &= single.proved;
            for (nth, count) in &single.counts {
                counts[*nth] = *count;
            }
        }
        let spent = self.spent(&counts);
        let short: Vec<usize> = (0..self.suppliers.len()).filter(|nth| state.free >> nth & 1 == 1 && self.falls_short(*nth, spent[*nth])).collect();
        self.offer_as_best(counts);
        if short.is_empty() {
            if !proved {
                self.unsearched = self.unsearched.min(bound);
            }
            return Ok(());
        }
        self.reach(state, bound)
    }

    fn spent(&self, counts: &[u64]) -> Vec<u64> {
        let mut spent = vec![0_u64; self.suppliers.len()];
        for (offer, count) in self.offers.iter().zip(counts) {
            spent[offer.supplier] = spent[offer.supplier].saturating_add(offer.pack.price.saturating_mul(*count));
        }
        spent
    }

    fn falls_short(&self, supplier: usize, spent: u64) -> bool {
        self.suppliers[supplier].free_from.is_some_and(|sum| spent < sum)
    }

    /// Carriage by supplier for what is bought.
    fn carriage(&self, counts: &[u64]) -> Vec<u64> {
        let spent = self.spent(counts);
        let mut used = vec![false; self.suppliers.len()];
        for (offer, count) in self.offers.iter().zip(counts) {
            used[offer.supplier] |= *count > 0;
        }
        let owed = |nth: usize| match self.suppliers[nth].free_from {
            _ if !used[nth] => 0,
            Some(sum) if spent[nth] >= sum => 0,
            _ => self.suppliers[nth].carriage,
        };
        (0..self.suppliers.len()).map(owed).collect()
    }

    fn offer_as_best(&mut self, counts: Vec<u64>) {
        let mut tally = self.kinds.iter().zip(&counts).fold(Tally::default(), |sum, (kind, count)| sum.plus(kind.one().times(*count)));
        tally.cost = self.carriage(&counts).iter().fold(tally.cost, |sum, carriage| sum.saturating_add(*carriage));
        if self.best.as_ref().is_none_or(|(best, _)| tally < *best) {
            self.best = Some((tally, counts));
        }
    }

    /// The best purchase in which every supplier taken as free reaches his sum.
    fn reach(&mut self, state: State, bound: u64) -> Result<(), Amiss> {
        let Some(best) = self.best.as_ref().map(|(best, _)| *best) else { return Ok(()) };
        let free: Vec<usize> = (0..self.suppliers.len()).filter(|nth| state.free >> nth & 1 == 1).collect();
        let sums: Vec<u64> = free.iter().filter_map(|nth| self.suppliers[*nth].free_from).collect();
        let to_spend = best.cost.saturating_sub(state.carriage);
        // The goods alone, with one who is paid and not bought from, may already have been better than all of these.
        let Some(slack) = best.cost.checked_sub(bound) else { return Ok(()) };
        if sums.iter().fold(0_u64, |all, sum| all.saturating_add(*sum)) > to_spend {
            return Ok(());
        }
        if free.len() > SUMS {
            self.unsearched = self.unsearched.min(bound);
            return Ok(());
        }
        let goal = Goal { sums, slack };
        let mut together = vec![Label::default()];
        let mut trail: Vec<Vec<(usize, usize)>> = Vec::new();
        let mut purchases = Vec::new();
        for need in 0..self.needs.len() {
            let Some(found) = self.labels(need, state.allowed, &free, &goal)? else {
                self.unsearched = self.unsearched.min(bound);
                return Ok(());
            };
            purchases.push(found);
        }
        // What the needs still to come can bring each supplier at most.
        let mut most = vec![[0_u64; SUMS]; self.needs.len() + 1];
        for need in (0..self.needs.len()).rev() {
            let after = most[need + 1];
            for (sum, most) in most[need].iter_mut().enumerate() {
                let own = purchases[need].done.iter().map(|label| label.spent[sum]).max().unwrap_or(0);
                *most = after[sum].saturating_add(own);
            }
        }
        for (need, found) in purchases.iter().enumerate() {
            let (mut next, mut steps): (Vec<Label>, Vec<(usize, usize)>) = (Vec::new(), Vec::new());
            for (from, a) in together.iter().enumerate() {
                for (which, b) in found.done.iter().enumerate() {
                    if !self.budget.spend(1, Some(best.cost), self.root) {
                        self.unsearched = self.unsearched.min(bound);
                        return Ok(());
                    }
                    let label = goal.together(a, b);
                    let reaches = goal.sums.iter().enumerate().all(|(nth, sum)| label.spent[nth].saturating_add(most[need + 1][nth]) >= *sum);
                    if label.excess <= goal.slack && reaches {
                        goal.keep(label, (from, which), &mut next, &mut steps);
                    }
                }
            }
            together = next;
            trail.push(steps);
        }
        let Some(end) = (0..together.len()).min_by_key(|nth| together[*nth].tally) else { return Ok(()) };
        let mut counts = vec![0; self.offers.len()];
        let mut at = end;
        for need in (0..self.needs.len()).rev() {
            let (from, which) = trail[need][at];
            purchases[need].add(which, &mut counts);
            at = from;
        }
        self.offer_as_best(counts);
        Ok(())
    }

    /// All purchases for one need that are worth looking at; `None` where the budget ran out.
    fn labels(&mut self, need: usize, allowed: u64, free: &[usize], goal: &Goal) -> Result<Option<Purchases>, Amiss> {
        let (places, kinds) = self.open(need, allowed);
        let measure = kinds.iter().filter(|kind| kind.most > 0).fold(0, |measure, kind| super::search::common(kind.size, measure)).max(1);
        let scaled: Vec<Kind> = kinds.iter().map(|kind| Kind { size: (kind.size / measure).max(1), ..*kind }).collect();
        let whole = self.needs[need].div_ceil(measure);
        let Some(table) = packs::table(whole, &scaled) else { return Ok(None) };
        let least: Vec<u64> = table.cells.iter().map(|tally| tally.cost).collect();
        let mut labels = Labels { goal, least, at: vec![Vec::new(); whole as usize + 1], all: Vec::new() };
        labels.at[whole as usize].push(0);
        labels.all.push(Step { label: Label::default(), need: whole as usize, before: 0, offer: 0 });
        for (place, (kind, original)) in scaled.iter().zip(&kinds).enumerate() {
            let sum = free.iter().position(|nth| *nth == self.offers[places[place]].supplier);
            let mut layer: Vec<usize> = labels.at.iter().flatten().copied().collect();
            let mut count = 0;
            while !layer.is_empty() && count < kind.most {
                count += 1;
                let mut next = Vec::new();
                for from in layer {
                    if !self.budget.spend(1, self.best.as_ref().map(|(best, _)| best.cost), self.root) {
                        return Ok(None);
                    }
                    next.extend(labels.step(from, place, kind, original, sum));
                }
                layer = next;
            }
        }
        let done = labels.at.first().map(|ends| ends.iter().map(|end| labels.all[*end].label).collect()).unwrap_or_default();
        let ends = labels.at.first().cloned().unwrap_or_default();
        Ok(Some(Purchases { places, done, ends, steps: labels.all }))
    }
}

/// The sums to be reached, and how much dearer than its own cheapest each need may be bought in all.
struct Goal {
    sums: Vec<u64>,
    slack: u64,
}

/// A purchase, whole or in part.
#[derive(Clone, Copy, Debug, Default)]
struct Label {
    tally: Tally,
    /// What it costs at least above the cheapest.
    excess: u64,
    /// What is spent with each supplier whose sum is watched, up to that sum.
    spent: [u64; SUMS],
}

impl Goal {
    fn together(&self, a: &Label, b: &Label) -> Label {
        let mut spent = [0; SUMS];
        for (nth, sum) in self.sums.iter().enumerate() {
            spent[nth] = a.spent[nth].saturating_add(b.spent[nth]).min(*sum);
        }
        Label { tally: a.tally.plus(b.tally), excess: a.excess.saturating_add(b.excess), spent }
    }

    fn no_worse(&self, a: &Label, b: &Label) -> bool {
        a.tally <= b.tally && (0..self.sums.len()).all(|nth| a.spent[nth] >= b.spent[nth])
    }

    /// Keeps a label unless one there is no worse, and lets go of those it is no worse than.
    fn keep<T>(&self, label: Label, with: T, labels: &mut Vec<Label>, withs: &mut Vec<T>) {
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
struct Step {
    label: Label,
    need: usize,
    before: usize,
    offer: usize,
}

/// The labels of one need while they grow.
struct Labels<'a> {
    goal: &'a Goal,
    /// The least cost of covering what is left, by what is left.
    least: Vec<u64>,
    /// Places in `all`, by what is left.
    at: Vec<Vec<usize>>,
    all: Vec<Step>,
}

impl Labels<'_> {
    /// One more of an offer; the new label's place where it is worth keeping.
    fn step(&mut self, from: usize, place: usize, kind: &Kind, original: &Kind, sum: Option<usize>) -> Option<usize> {
        let Step { label, need, .. } = self.all[from];
        let room = sum.is_some_and(|nth| label.spent[nth] < self.goal.sums[nth]);
        if need == 0 && (!room || kind.price == 0) {
            return None;
        }
        let rest = (need as u64).saturating_sub(kind.size) as usize;
        let mut label = Label { tally: label.tally.plus(original.one()), ..label };
        if let Some(nth) = sum {
            label.spent[nth] = label.spent[nth].saturating_add(kind.price).min(self.goal.sums[nth]);
        }
        let least = self.least[self.least.len() - 1];
        label.excess = label.tally.cost.saturating_add(self.least[rest]).saturating_sub(least);
        if label.excess > self.goal.slack {
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
struct Purchases {
    places: Vec<usize>,
    done: Vec<Label>,
    ends: Vec<usize>,
    steps: Vec<Step>,
}

impl Purchases {
    /// Adds the packs of a purchase to the counts.
    fn add(&self, which: usize, counts: &mut [u64]) {
        let mut at = self.ends[which];
        while at != 0 {
            let step = &self.steps[at];
            counts[self.places[step.offer]] += 1;
            at = step.before;
        }
    }
}

#[cfg(test)]
mod tests;
