//! The cheapest packs for several needs at once from several suppliers, who charge carriage or, from some sum on, none.
//!
//! Every supplier is in one of three states: nothing is bought there, carriage is paid, or the goods reach the sum from
//! which it is free. A search by depth goes through the states; suppliers not settled yet are taken as free of
//! carriage, and every need by itself at its cheapest (packs.rs), which is the bound. Where all are settled and no sum
//! has to be reached, that is the answer. Where one has to, the needs hang together. Then goods that bring a supplier
//! nearer to his sum are first taken as cheaper by a share, and what the whole comes to at such prices, the shares of
//! the sums added, is a sharper bound (Lagrange's; A. M. Geoffrion in *Mathematical Programming Study* 2, 1974). Within
//! it all purchases for each need are kept that are not dearer than the best answer allows, less those that cost no
//! less and bring no supplier nearer to his sum (labels, as in resource-constrained shortest paths: S. Irnich and
//! G. Desaulniers in *Column Generation*, Springer 2005, chapter 2), and put together need by need. All in whole numbers.

mod labels;

use super::packs::{self, Kind, Pack, Tally};
use super::search::{Amiss, Budget};
use labels::{Excess, Goal, Label, Labels, Purchases, Step};
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
/// Into how many shares a price is parted.
const SHARES: u64 = 64;

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
    /// Where sums are still to be reached, with the bound; looked at when all else is settled.
    waiting: Vec<(u64, State)>,
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

/// A state whose sums are still to be reached.
struct Pulled {
    state: State,
    /// Suppliers whose sums must be reached, and those sums.
    free: Vec<usize>,
    sums: Vec<u64>,
    /// The shares taken off their prices.
    pull: Vec<u64>,
    /// The bound without them, with them (in shares), and the greater of both.
    plain: u64,
    shares: u64,
    bound: u64,
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
        Search {
            needs,
            suppliers,
            offers,
            kinds,
            offering,
            singles: HashMap::new(),
            order,
            best: None,
            waiting: Vec::new(),
            unsearched: u64::MAX,
            root: 0,
            budget,
        }
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
        let mut waiting = std::mem::take(&mut self.waiting);
        waiting.sort_by_key(|(bound, _)| *bound);
        let mut pulled = Vec::new();
        for (bound, state) in waiting {
            pulled.extend(self.pulled(state, bound)?);
        }
        // What promises most comes first, so that the others are held against a better answer.
        pulled.sort_by_key(|pulled| pulled.bound);
        for pulled in pulled {
            self.reach(&pulled)?;
        }
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
        self.waiting.push((bound, state));
        Ok(())
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

    /// A state with its sums and a sharper bound; `None` where it cannot be as good as the best.
    fn pulled(&mut self, state: State, bound: u64) -> Result<Option<Pulled>, Amiss> {
        let Some(best) = self.best.as_ref().map(|(best, _)| *best) else { return Ok(None) };
        let free: Vec<usize> = (0..self.suppliers.len()).filter(|nth| state.free >> nth & 1 == 1).collect();
        let sums: Vec<u64> = free.iter().filter_map(|nth| self.suppliers[*nth].free_from).collect();
        let all = sums.iter().fold(state.carriage, |all, sum| all.saturating_add(*sum));
        if bound > best.cost || all > best.cost {
            return Ok(None);
        }
        if free.len() > SUMS || self.budget.is_spent() {
            self.unsearched = self.unsearched.min(bound);
            return Ok(None);
        }
        let Some((pull, shares)) = self.pull(state, &free, &sums)? else { return Ok(None) };
        Ok(Some(Pulled { state, free, sums, pull, plain: bound, shares, bound: bound.max(shares.div_ceil(SHARES)) }))
    }

    /// The best purchase in which every supplier taken as free reaches his sum. At first only the sums are watched
    /// that pull at the prices; where what comes of it leaves another short, that is watched too.
    fn reach(&mut self, pulled: &Pulled) -> Result<(), Amiss> {
        let mut watched: Vec<usize> = (0..pulled.free.len()).filter(|nth| pulled.pull[*nth] > 0).collect();
        loop {
            let Some(best) = self.best.as_ref().map(|(best, _)| *best) else { return Ok(()) };
            let (plain, shares) = (best.cost.checked_sub(pulled.plain), best.cost.saturating_mul(SHARES).checked_sub(pulled.shares));
            let (Some(plain), Some(shares)) = (plain, shares) else { return Ok(()) };
            let of = |list: &[u64]| watched.iter().map(|nth| list[*nth]).collect::<Vec<u64>>();
            let free: Vec<usize> = watched.iter().map(|nth| pulled.free[*nth]).collect();
            let goal = Goal { sums: of(&pulled.sums), pull: of(&pulled.pull), slack: Excess { plain, shares } };
            let Some(found) = self.put_together(pulled, &free, &goal)? else { return Ok(()) };
            let spent = self.spent(&found);
            let before = watched.len();
            watched.extend((0..pulled.free.len()).filter(|nth| spent[pulled.free[*nth]] < pulled.sums[*nth]));
            watched.sort_unstable();
            watched.dedup();
            self.offer_as_best(found);
            if watched.len() == before {
                return Ok(());
            }
        }
    }

    /// The best purchase that reaches the sums watched; `None` where none is as good as the best.
    fn put_together(&mut self, pulled: &Pulled, free: &[usize], goal: &Goal) -> Result<Option<Vec<u64>>, Amiss> {
        let Some(best) = self.best.as_ref().map(|(best, _)| *best) else { return Ok(None) };
        let (state, bound) = (pulled.state, pulled.bound);
        let mut together = vec![Label::default()];
        let mut trail: Vec<Vec<(usize, usize)>> = Vec::new();
        let mut purchases = Vec::new();
        for need in 0..self.needs.len() {
            let Some(found) = self.labels(need, state.allowed, free, goal)? else {
                self.unsearched = self.unsearched.min(bound);
                return Ok(None);
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
                    if !self.budget.spend(1 + next.len() as u64 / 16, Some(best.cost), self.root) {
                        self.unsearched = self.unsearched.min(bound);
                        return Ok(None);
                    }
                    let label = goal.together(a, b);
                    let reaches = goal.sums.iter().enumerate().all(|(nth, sum)| label.spent[nth].saturating_add(most[need + 1][nth]) >= *sum);
                    if label.excess.within(goal.slack) && reaches {
                        goal.keep(label, (from, which), &mut next, &mut steps);
                    }
                }
            }
            together = next;
            trail.push(steps);
        }
        let Some(end) = (0..together.len()).min_by_key(|nth| together[*nth].tally) else { return Ok(None) };
        let mut counts = vec![0; self.offers.len()];
        let mut at = end;
        for need in (0..self.needs.len()).rev() {
            let (from, which) = trail[need][at];
            purchases[need].add(which, &mut counts);
            at = from;
        }
        Ok(Some(counts))
    }

    /// Which share of each supplier's prices, out of [`SHARES`], gives the sharpest bound, and that bound in shares.
    /// What is bought at such prices is as good a purchase as any and may become the best.
    fn pull(&mut self, state: State, free: &[usize], sums: &[u64]) -> Result<Option<(Vec<u64>, u64)>, Amiss> {
        let mut pull = vec![0; free.len()];
        let Some((mut bound, _)) = self.at(state, free, sums, &pull)? else { return Ok(None) };
        for _ in 0..if free.len() > 1 { 2 } else { 1 } {
            for nth in 0..free.len() {
                // The larger the share, the more is spent there: the least at which the sum is reached is looked for.
                let (mut low, mut high) = (0, SHARES);
                while low < high {
                    let share = (low + high) / 2;
                    let mut other = pull.clone();
                    other[nth] = share;
                    let Some((found, spent)) = self.at(state, free, sums, &other)? else { return Ok(None) };
                    if found > bound {
                        (bound, pull) = (found, other);
                    }
                    if spent[free[nth]] >= sums[nth] { high = share } else { low = share + 1 }
                }
            }
        }
        Ok(Some((pull, bound)))
    }

    /// The bound with these shares taken off, and what is spent by supplier; `None` where a need cannot be covered.
    fn at(&mut self, state: State, free: &[usize], sums: &[u64], pull: &[u64]) -> Result<Option<(u64, Vec<u64>)>, Amiss> {
        let mut bound = state.carriage.saturating_mul(SHARES);
        for (sum, share) in sums.iter().zip(pull) {
            bound = bound.saturating_add(sum.saturating_mul(*share));
        }
        let mut counts = vec![0; self.offers.len()];
        for need in 0..self.needs.len() {
            self.budget.spend(8, self.best.as_ref().map(|(best, _)| best.cost), self.root);
            let (places, kinds) = self.open(need, state.allowed);
            let shared = self.shared(&places, &kinds, free, pull);
            let Some(choice) = packs::choose(self.needs[need], &shared, self.budget)? else { return Ok(None) };
            bound = bound.saturating_add(choice.bound);
            places.iter().zip(choice.counts).for_each(|(place, count)| counts[*place] = count);
        }
        let spent = self.spent(&counts);
        self.offer_as_best(counts);
        Ok(Some((bound, spent)))
    }

    /// The kinds at their prices in shares, less the shares taken off.
    fn shared(&self, places: &[usize], kinds: &[Kind], free: &[usize], pull: &[u64]) -> Vec<Kind> {
        let share = |place: &usize| free.iter().position(|nth| *nth == self.offers[*place].supplier).map_or(0, |nth| pull[nth]);
        places.iter().zip(kinds).map(|(place, kind)| Kind { price: kind.price * (SHARES - share(place)), ..*kind }).collect()
    }

    /// All purchases for one need that are worth looking at; `None` where the budget ran out.
    fn labels(&mut self, need: usize, allowed: u64, free: &[usize], goal: &Goal) -> Result<Option<Purchases>, Amiss> {
        let (places, kinds) = self.open(need, allowed);
        let measure = kinds.iter().filter(|kind| kind.most > 0).fold(0, |measure, kind| super::search::common(kind.size, measure)).max(1);
        let scaled: Vec<Kind> = kinds.iter().map(|kind| Kind { size: (kind.size / measure).max(1), ..*kind }).collect();
        let whole = self.needs[need].div_ceil(measure);
        let shared = self.shared(&places, &scaled, free, &goal.pull);
        let least = |kinds: &[Kind]| packs::table(whole, kinds).map(|table| table.cells.iter().map(|tally| tally.cost).collect::<Vec<u64>>());
        let (Some(least), Some(least_shared)) = (least(&scaled), least(&shared)) else { return Ok(None) };
        let mut labels = Labels { goal, least, least_shared, at: vec![Vec::new(); whole as usize + 1], all: Vec::new() };
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
                    let others = labels.at[labels.after(from, kind)].len() as u64;
                    if !self.budget.spend(1 + others / 16, self.best.as_ref().map(|(best, _)| best.cost), self.root) {
                        return Ok(None);
                    }
                    next.extend(labels.step(from, place, kind, shared[place].price, original, sum));
                }
                layer = next;
            }
        }
        let done = labels.at.first().map(|ends| ends.iter().map(|end| labels.all[*end].label).collect()).unwrap_or_default();
        let ends = labels.at.first().cloned().unwrap_or_default();
        Ok(Some(Purchases { places, done, ends, steps: labels.all }))
    }
}

#[cfg(test)]
mod tests;
