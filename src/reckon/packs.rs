//! The cheapest packs that cover a need: least cost, then fewest units bought, then fewest packs.
//!
//! The bounded knapsack turned round to cover instead of fill. Sources: S. Martello and P. Toth, *Knapsack Problems*
//! (1990), chapter 3, for the programme over the need that is left; F. Eisenbrand and R. Weismantel, "Proximity
//! results and faster algorithms for integer programming using the Steinitz lemma", ACM Transactions on Algorithms 16
//! (2020), for the large need: some best purchase differs from the one by least price a unit in no more packs than a
//! few times the largest size, so that all but a core of it is settled beforehand. Where neither fits into memory, a
//! search by depth with the bound by least price a unit does it, within its budget.

use super::search::{Amiss, Budget, common};
use std::cmp::Ordering;

/// A pack that can be bought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pack {
    /// Units in it, in the unit of the need.
    pub size: u64,
    /// Its price, in a whole unit of money small enough for every price.
    pub price: u64,
    /// The most that can be had; `None` without limit.
    pub most: Option<u64>,
}

/// Packs chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// How many of each, in the order given.
    pub counts: Vec<u64>,
    /// What they cost.
    pub cost: u64,
    /// Units in them.
    pub units: u64,
    /// How many packs they are.
    pub packs: u64,
    /// What no choice can cost less than.
    pub bound: u64,
    /// Whether no choice is better.
    pub proved: bool,
}

/// The largest need or size taken.
pub const LARGEST: u64 = 1_000_000_000_000_000;
/// The highest price taken.
pub const DEAREST: u64 = 100_000_000_000;
/// The most kinds of packs taken.
pub const KINDS: usize = 1000;
/// Cells of a table kept at once: 16 MB.
const CELLS: u64 = 500_000;
/// Steps of work upon a table.
const STEPS: u64 = 1 << 26;

/// The cheapest packs that hold `need` units or more; `None` where all there are do not hold that many.
///
/// ```
/// use herl::reckon::packs::{Pack, cheapest};
/// use herl::reckon::search::Budget;
/// let pack = |size, price| Pack { size, price, most: None };
/// let choice = cheapest(62, &[pack(10, 120), pack(25, 240)], &mut Budget::of(1000)).unwrap().unwrap();
/// assert_eq!((choice.counts, choice.cost, choice.units), (vec![4, 1], 720, 65));
/// ```
pub fn cheapest(need: u64, packs: &[Pack], budget: &mut Budget) -> Result<Option<Choice>, Amiss> {
    let kinds = sound(need, packs)?;
    choose(need, &kinds, budget)
}

fn sound(need: u64, packs: &[Pack]) -> Result<Vec<Kind>, Amiss> {
    if packs.len() > KINDS {
        return Err(Amiss::TooMany(KINDS));
    }
    if need > LARGEST {
        return Err(Amiss::TooLarge(packs.len()));
    }
    packs.iter().enumerate().map(|(nth, pack)| Kind::new(nth, pack, 0)).collect()
}

/// A pack as the programme takes it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kind {
    /// Units in it.
    pub(super) size: u64,
    /// Its price.
    pub(super) price: u64,
    /// The most that can be had; `u64::MAX` without limit.
    pub(super) most: u64,
    /// What is added up last of all and wanted least: a supplier's place in the order of preference.
    pub(super) rank: u64,
}

impl Kind {
    pub(super) fn new(nth: usize, pack: &Pack, rank: u64) -> Result<Self, Amiss> {
        match pack.size {
            0 => Err(Amiss::Nought(nth)),
            size if size > LARGEST || pack.price > DEAREST => Err(Amiss::TooLarge(nth)),
            size => Ok(Kind { size, price: pack.price, most: pack.most.unwrap_or(u64::MAX), rank }),
        }
    }

    pub(super) fn one(&self) -> Tally {
        Tally { cost: self.price, units: self.size, packs: 1, rank: self.rank }
    }
}

/// What a purchase comes to; the smaller is the better, the first figure before the second and so on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Tally {
    pub(super) cost: u64,
    pub(super) units: u64,
    pub(super) packs: u64,
    pub(super) rank: u64,
}

impl Tally {
    const NEVER: Tally = Tally { cost: u64::MAX, units: u64::MAX, packs: u64::MAX, rank: u64::MAX };

    pub(super) fn plus(self, other: Tally) -> Tally {
        Tally {
            cost: self.cost.saturating_add(other.cost),
            units: self.units.saturating_add(other.units),
            packs: self.packs.saturating_add(other.packs),
            rank: self.rank.saturating_add(other.rank),
        }
    }

    pub(super) fn times(self, count: u64) -> Tally {
        Tally {
            cost: self.cost.saturating_mul(count),
            units: self.units.saturating_mul(count),
            packs: self.packs.saturating_mul(count),
            rank: self.rank.saturating_mul(count),
        }
    }
}

fn tally(kinds: &[Kind], counts: &[u64]) -> Tally {
    kinds.iter().zip(counts).fold(Tally::default(), |sum, (kind, count)| sum.plus(kind.one().times(*count)))
}

/// The best choice among kinds; ties after the packs are settled by the least rank.
pub(super) fn choose(need: u64, kinds: &[Kind], budget: &mut Budget) -> Result<Option<Choice>, Amiss> {
    // Whatever is bought is a multiple of the sizes' common measure, so the need may be rounded up to one.
    let measure = kinds.iter().filter(|kind| kind.most > 0).fold(0, |measure, kind| common(kind.size, measure)).max(1);
    // One that cannot be had need not be a multiple.
    let scaled: Vec<Kind> = kinds.iter().map(|kind| Kind { size: (kind.size / measure).max(1), ..*kind }).collect();
    let need = need.div_ceil(measure);
    let Some((prefix, bound)) = by_price_a_unit(need, &scaled) else { return Ok(None) };
    let (counts, proved) = match table(need, &scaled) {
        Some(table) => (table.best(), true),
        None => match by_core(need, &scaled, &prefix) {
            Some(counts) => (counts, true),
            None => by_depth(need, &scaled, &prefix, bound, budget),
        },
    };
    let total = tally(kinds, &counts);
    if total.cost == u64::MAX || total.units == u64::MAX {
        let dearest = kinds.iter().enumerate().max_by_key(|(_, kind)| kind.price).map_or(0, |(nth, _)| nth);
        return Err(Amiss::TooLarge(dearest));
    }
    let bound = if proved { total.cost } else { bound };
    Ok(Some(Choice { counts, cost: total.cost, units: total.units, packs: total.packs, bound, proved }))
}

/// By price a unit, then the larger first, then the less rank.
fn cheaper(a: &Kind, b: &Kind) -> Ordering {
    let each = |one: &Kind, other: &Kind| u128::from(one.price) * u128::from(other.size);
    each(a, b).cmp(&each(b, a)).then(b.size.cmp(&a.size)).then(a.rank.cmp(&b.rank))
}

fn order(kinds: &[Kind]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..kinds.len()).filter(|nth| kinds[*nth].most > 0).collect();
    order.sort_by(|a, b| cheaper(&kinds[*a], &kinds[*b]));
    order
}

/// Packs taken by least price a unit while they still go into the need whole, and the bound that the last, taken in
/// part, gives; `None` where all there are do not cover the need.
fn by_price_a_unit(need: u64, kinds: &[Kind]) -> Option<(Vec<u64>, u64)> {
    let mut counts = vec![0; kinds.len()];
    let (mut left, mut cost) = (need, 0_u128);
    for nth in order(kinds) {
        let kind = &kinds[nth];
        let count = (left / kind.size).min(kind.most);
        counts[nth] = count;
        left -= count * kind.size;
        cost += u128::from(count) * u128::from(kind.price);
        if count < kind.most && left > 0 {
            cost += (u128::from(left) * u128::from(kind.price)).div_ceil(u128::from(kind.size));
            left = 0;
        }
        if left == 0 {
            return Some((counts, u64::try_from(cost).unwrap_or(u64::MAX)));
        }
    }
    (left == 0).then_some((counts, 0))
}

/// A kind, or several of one kind as one: limited ones are taken as 1, 2, 4 ... and the rest, each once or not at all.
struct Share {
    nth: usize,
    size: u64,
    tally: Tally,
    count: u64,
    again: bool,
}

fn shares(need: u64, kinds: &[Kind]) -> Vec<Share> {
    let mut shares = Vec::new();
    for (nth, kind) in kinds.iter().enumerate() {
        let enough = need.div_ceil(kind.size);
        if kind.most >= enough && enough > 0 {
            shares.push(Share { nth, size: kind.size, tally: kind.one(), count: 1, again: true });
            continue;
        }
        let (mut left, mut count) = (kind.most.min(enough), 1);
        while left > 0 {
            let taken = count.min(left);
            shares.push(Share { nth, size: kind.size.saturating_mul(taken), tally: kind.one().times(taken), count: taken, again: false });
            left -= taken;
            count *= 2;
        }
    }
    shares
}

/// The best tally for every need up to one, and how it came about.
pub(super) struct Table {
    /// By the need.
    pub(super) cells: Vec<Tally>,
    shares: Vec<Share>,
    /// A bit a share and need: whether the share is in the best for that need among the shares up to it.
    taken: Vec<u64>,
    kinds: usize,
}

/// The table over the need; `None` where it would be too large.
pub(super) fn table(need: u64, kinds: &[Kind]) -> Option<Table> {
    if need >= CELLS {
        return None;
    }
    let shares = shares(need, kinds);
    let width = need + 1;
    if width.saturating_mul(shares.len() as u64) > STEPS {
        return None;
    }
    let width = width as usize;
    let words = width.div_ceil(64);
    let mut cells = vec![Tally::NEVER; width];
    cells[0] = Tally::default();
    let mut taken = vec![0_u64; words * shares.len()];
    for (share, bits) in shares.iter().zip(taken.chunks_mut(words.max(1))) {
        let mut step = |left: usize| {
            let before = cells[(left as u64).saturating_sub(share.size) as usize];
            if before.cost == u64::MAX {
                return;
            }
            let tally = before.plus(share.tally);
            if tally < cells[left] {
                cells[left] = tally;
                bits[left / 64] |= 1 << (left % 64);
            }
        };
        if share.again { (1..width).for_each(&mut step) } else { (1..width).rev().for_each(&mut step) }
    }
    Some(Table { cells, shares, taken, kinds: kinds.len() })
}

impl Table {
    /// How many of each kind make the best for the whole need.
    fn best(&self) -> Vec<u64> {
        let words = self.cells.len().div_ceil(64);
        let mut counts = vec![0; self.kinds];
        let mut left = self.cells.len() - 1;
        for (nth, share) in self.shares.iter().enumerate().rev() {
            while left > 0 && self.taken[nth * words + left / 64] >> (left % 64) & 1 == 1 {
                counts[share.nth] += share.count;
                left = (left as u64).saturating_sub(share.size) as usize;
                if !share.again {
                    break;
                }
            }
        }
        counts
    }
}

/// A large need: all but a core of the packs by least price a unit is settled, the core goes by the table.
fn by_core(need: u64, kinds: &[Kind], prefix: &[u64]) -> Option<Vec<u64>> {
    // Packs added and packs given back can be put in such an order that what is added less what is given back stays
    // within one size either way; had more than this many of them, that sum would come back to where it was, and the
    // packs between could be exchanged at no loss.
    let near = kinds.iter().filter(|kind| kind.most > 0).map(|kind| kind.size).max()?.checked_mul(4)?;
    let settled: Vec<u64> = prefix.iter().map(|count| count.saturating_sub(near)).collect();
    let covered: u64 = settled.iter().zip(kinds).map(|(count, kind)| count * kind.size).sum();
    let core: Vec<Kind> = kinds
        .iter()
        .zip(prefix)
        .zip(&settled)
        .map(|((kind, count), settled)| Kind { most: kind.most.min(count.saturating_add(near)) - settled, ..*kind })
        .collect();
    let table = table(need.saturating_sub(covered), &core)?;
    Some(table.best().iter().zip(&settled).map(|(count, settled)| count + settled).collect())
}

/// The search by depth: the cheapest a unit first, as many as possible first.
struct Depth<'a, 'b> {
    kinds: &'a [Kind],
    order: Vec<usize>,
    counts: Vec<u64>,
    best: Option<(Tally, Vec<u64>)>,
    bound: u64,
    budget: &'a mut Budget<'b>,
}

fn by_depth(need: u64, kinds: &[Kind], prefix: &[u64], bound: u64, budget: &mut Budget) -> (Vec<u64>, bool) {
    let order = order(kinds);
    let mut depth = Depth { kinds, order, counts: vec![0; kinds.len()], best: None, bound, budget };
    depth.first(need, prefix);
    let done = depth.look(0, need, Tally::default());
    let counts = depth.best.map(|(_, counts)| counts).unwrap_or_default();
    (counts, done)
}

impl Depth<'_, '_> {
    /// The packs by least price a unit, made enough by the first kinds that still can be had.
    fn first(&mut self, need: u64, prefix: &[u64]) {
        let mut counts = prefix.to_vec();
        let covered: u64 = counts.iter().zip(self.kinds).map(|(count, kind)| count * kind.size).sum();
        let mut left = need.saturating_sub(covered);
        for nth in self.order.iter().copied() {
            let kind = &self.kinds[nth];
            let more = left.div_ceil(kind.size).min(kind.most - counts[nth]);
            counts[nth] += more;
            left = left.saturating_sub(more.saturating_mul(kind.size));
        }
        self.best = Some((tally(self.kinds, &counts), counts));
    }

    /// `false` where the budget ran out.
    fn look(&mut self, depth: usize, left: u64, so_far: Tally) -> bool {
        if left == 0 {
            if self.best.as_ref().is_none_or(|(best, _)| so_far < *best) {
                self.best = Some((so_far, self.counts.clone()));
            }
            return true;
        }
        let Some(nth) = self.order.get(depth).copied() else { return true };
        let kind = self.kinds[nth];
        let mut count = left.div_ceil(kind.size).min(kind.most);
        loop {
            let covered = count.saturating_mul(kind.size);
            let rest = left.saturating_sub(covered);
            let tally = so_far.plus(kind.one().times(count));
            let promise = self.promise(depth + 1, rest, tally);
            if promise == Ordering::Greater && covered <= left {
                // Fewer of this kind leave more to dearer ones: no better from here on.
                return true;
            }
            let best = self.best.as_ref().map_or(Tally::NEVER, |(best, _)| *best);
            if !self.budget.spend(1, Some(best.cost), self.bound) {
                return false;
            }
            if promise == Ordering::Less || (promise == Ordering::Equal && tally.units.saturating_add(rest) <= best.units) {
                self.counts[nth] = count;
                let done = self.look(depth + 1, rest, tally);
                self.counts[nth] = 0;
                if !done {
                    return false;
                }
            }
            if count == 0 {
                return true;
            }
            count -= 1;
        }
    }

    /// What it would cost with the rest at the next kind's price a unit, held against the best.
    fn promise(&self, depth: usize, rest: u64, so_far: Tally) -> Ordering {
        let Some((best, _)) = &self.best else { return Ordering::Less };
        let more = match self.order.get(depth) {
            _ if rest == 0 => 0,
            None => return Ordering::Greater,
            Some(nth) => (u128::from(rest) * u128::from(self.kinds[*nth].price)).div_ceil(u128::from(self.kinds[*nth].size)),
        };
        (u128::from(so_far.cost) + more).cmp(&u128::from(best.cost))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every choice there is, one kind after another.
    fn every(need: u64, kinds: &[Kind], so_far: Tally, best: &mut Option<Tally>) {
        if so_far.units >= need && best.is_none_or(|best| so_far < best) {
            *best = Some(so_far);
        }
        let Some((kind, others)) = kinds.split_first() else { return };
        for count in 0..=kind.most.min(need.div_ceil(kind.size)) {
            every(need, others, so_far.plus(kind.one().times(count)), best);
        }
    }

    fn packs() -> impl Strategy<Value = Vec<Pack>> {
        let most = prop_oneof![3 => Just(None), 1 => (0_u64..4).prop_map(Some)];
        proptest::collection::vec((1_u64..12, 0_u64..30, most).prop_map(|(size, price, most)| Pack { size, price, most }), 1..5)
    }

    proptest! {
        #[test]
        fn the_choice_is_the_best_there_is(need in 0_u64..40, packs in packs()) {
            let kinds = sound(need, &packs).unwrap();
            let mut best = None;
            every(need, &kinds, Tally::default(), &mut best);
            let choice = cheapest(need, &packs, &mut Budget::of(1000)).unwrap();
            prop_assert_eq!(choice.as_ref().map(|choice| (choice.cost, choice.units, choice.packs)), best.map(|best| (best.cost, best.units, best.packs)));
            if let Some(choice) = choice {
                prop_assert!(choice.counts.iter().zip(&packs).all(|(count, pack)| pack.most.is_none_or(|most| *count <= most)));
                let kinds = sound(need, &packs).unwrap();
                let told = tally(&kinds, &choice.counts);
                prop_assert_eq!((told.cost, told.units, told.packs), (choice.cost, choice.units, choice.packs));
            }
        }

        /// The three ways to the answer agree where all of them can be gone.
        #[test]
        fn the_core_and_the_depth_agree_with_the_table(need in 1_u64..4000, packs in packs()) {
            let kinds = sound(need, &packs).unwrap();
            if let Some((prefix, bound)) = by_price_a_unit(need, &kinds) {
                let by_table = tally(&kinds, &table(need, &kinds).unwrap().best());
                prop_assert_eq!(tally(&kinds, &by_core(need, &kinds, &prefix).unwrap()), by_table);
                let (counts, done) = by_depth(need, &kinds, &prefix, bound, &mut Budget::of(20_000));
                let by_depth = tally(&kinds, &counts);
                prop_assert!(by_depth.units >= need && bound <= by_table.cost);
                prop_assert!(by_depth == by_table || (!done && by_depth > by_table));
            }
        }

        #[test]
        fn any_figures_are_taken_without_panic(need in any::<u64>(), packs in proptest::collection::vec((any::<u64>(), any::<u64>(), any::<Option<u64>>()), 0..4)) {
            let packs: Vec<Pack> = packs.into_iter().map(|(size, price, most)| Pack { size, price, most }).collect();
            let _ = cheapest(need, &packs, &mut Budget::of(1000));
        }
    }

    #[test]
    fn a_need_in_the_thousand_millions_is_proved_by_its_core() {
        let pack = |size, price| Pack { size, price, most: None };
        let choice = cheapest(1_000_000_007, &[pack(1, 10), pack(7, 60), pack(10, 81)], &mut Budget::of(10)).unwrap().unwrap();
        assert!(choice.proved);
        assert_eq!(choice.counts, [0, 1, 100_000_000]);
    }

    #[test]
    fn what_cannot_be_bought_is_none_and_what_has_no_meaning_is_refused() {
        let mut budget = Budget::of(10);
        assert_eq!(cheapest(10, &[Pack { size: 3, price: 1, most: Some(3) }], &mut budget), Ok(None));
        assert_eq!(cheapest(10, &[], &mut budget), Ok(None));
        assert_eq!(cheapest(10, &[Pack { size: 0, price: 1, most: None }], &mut budget), Err(Amiss::Nought(0)));
        assert_eq!(cheapest(10, &[Pack { size: 1, price: u64::MAX, most: None }], &mut budget), Err(Amiss::TooLarge(0)));
        assert_eq!(cheapest(u64::MAX, &[Pack { size: 1, price: 1, most: None }], &mut budget), Err(Amiss::TooLarge(1)));
        assert_eq!(cheapest(LARGEST, &[Pack { size: 1, price: DEAREST, most: None }], &mut budget), Err(Amiss::TooLarge(0)));
    }
}
