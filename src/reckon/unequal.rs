//! Lengths cut from stock of which every piece is another length and there is only one of each: offcuts, feathers.
//! First the fewest pieces, then of those the least length taken.
//!
//! Packing into bins of several sizes, each once. The longest pieces together hold whatever as many others hold, so
//! the number is found by trying the longest one, two, three ...; then pieces are exchanged for shorter ones, and a
//! search by depth looks through every other choice of as many pieces that is shorter still. Whether a choice holds
//! all lengths is settled piece after piece, shortest first, each filled so that nothing more goes in (one into which
//! something more goes is never better), with no more waste in all than the choice leaves. Kerfs as in cutting.rs.

use super::cutting::{ENTRIES, LONGEST, Piece, kinds};
use super::search::{Amiss, Budget};
use std::collections::HashSet;

/// What is cut from one piece of stock.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// Which piece of stock, by its place in the list.
    pub stock: usize,
    /// How many of each length, in the order of the plan's lengths.
    pub counts: Vec<u64>,
}

/// How the lengths are cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// The different lengths, longest first.
    pub lengths: Vec<u64>,
    /// The pieces of stock used.
    pub cuts: Vec<Cut>,
    /// Their length together.
    pub length: u64,
    /// How many pieces any plan needs at least.
    pub bound: u64,
    /// Whether none uses fewer pieces, nor as many with less length.
    pub proved: bool,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// A plan.
    Plan(Plan),
    /// The lengths cannot be cut from this stock.
    Impossible,
    /// The budget ran out before a plan was found.
    Unknown,
}

/// Remainders remembered, and choices that do not hold everything.
const REMEMBERED: usize = 100_000;
/// Such choices that each new one is held against.
const CHOICES: usize = 500;
/// Ways to fill one piece that are looked at.
const WAYS: usize = 20_000;

/// The fewest pieces out of `stocks` from which the lengths can be cut, and the least length of those. Refused with
/// the place of the stock (after the pieces) or piece that is nought or too large.
///
/// ```
/// use herl::reckon::cutting::Piece;
/// use herl::reckon::search::Budget;
/// use herl::reckon::unequal::{Outcome, fewest};
/// let Ok(Outcome::Plan(plan)) = fewest(&[60, 100, 45, 52], 0, &[Piece { length: 25, count: 4 }], &mut Budget::of(1000)) else { panic!() };
/// // One of 100 holds them all, and so do 52 and 60, but that is two.
/// assert_eq!((plan.cuts.len(), plan.length, plan.proved), (1, 100, true));
/// ```
pub fn fewest(stocks: &[u64], kerf: u64, pieces: &[Piece], budget: &mut Budget) -> Result<Outcome, Amiss> {
    let kinds = kinds(pieces)?;
    if stocks.len() > ENTRIES {
        return Err(Amiss::TooMany(ENTRIES));
    }
    if kerf > LONGEST {
        return Err(Amiss::TooLarge(pieces.len() + stocks.len()));
    }
    for (nth, stock) in stocks.iter().enumerate() {
        if *stock == 0 {
            return Err(Amiss::Nought(pieces.len() + nth));
        }
        if *stock > LONGEST {
            return Err(Amiss::TooLarge(pieces.len() + nth));
        }
    }
    let mut order: Vec<usize> = (0..stocks.len()).collect();
    order.sort_by_key(|nth| std::cmp::Reverse(stocks[*nth]));
    let sizes: Vec<u64> = kinds.iter().map(|kind| kind.length + kerf).collect();
    let wanted: Vec<u64> = kinds.iter().map(|kind| kind.count).collect();
    let rooms: Vec<u64> = order.iter().map(|nth| stocks[*nth] + kerf).collect();
    let mut search = Search { sizes, wanted, rooms, best: None, too_little: Vec::new(), sure: true, bound: 0, budget };
    let found = search.run();
    let (sure, bound) = (search.sure, search.bound);
    let Some(Chosen { rooms, ways, .. }) = found else { return Ok(if sure { Outcome::Impossible } else { Outcome::Unknown }) };
    // A piece of which nothing is cut is none taken.
    let cuts: Vec<Cut> =
        rooms.iter().zip(ways).filter(|(_, counts)| counts.iter().any(|count| *count > 0)).map(|(room, counts)| Cut { stock: order[*room], counts }).collect();
    let length = cuts.iter().map(|cut| stocks[cut.stock]).sum();
    Ok(Outcome::Plan(Plan { lengths: kinds.iter().map(|kind| kind.length).collect(), cuts, length, bound, proved: sure }))
}

/// A choice of pieces that holds everything.
#[derive(Clone, Debug)]
struct Chosen {
    /// Places in the rooms, which are longest first.
    rooms: Vec<usize>,
    /// How each is filled.
    ways: Vec<Vec<u64>>,
    total: u128,
}

struct Search<'a, 'b> {
    sizes: Vec<u64>,
    wanted: Vec<u64>,
    rooms: Vec<u64>,
    best: Option<Chosen>,
    /// Choices that do not hold everything, longest first.
    too_little: Vec<Vec<u64>>,
    /// Nothing was left unsearched.
    sure: bool,
    bound: u64,
    budget: &'a mut Budget<'b>,
}

impl Search<'_, '_> {
    fn run(&mut self) -> Option<Chosen> {
        let need: u128 = self.sizes.iter().zip(&self.wanted).map(|(size, count)| u128::from(*size) * u128::from(*count)).sum();
        let (mut number, mut room) = (0, 0_u128);
        while room < need {
            room += u128::from(*self.rooms.get(number)?);
            number += 1;
        }
        while number <= self.rooms.len() {
            if self.sure {
                self.bound = number as u64;
            }
            let longest: Vec<usize> = (0..number).collect();
            if self.holds(&longest) {
                self.shorten();
                self.look(0, number, need, 0, &mut Vec::new());
                return self.best.take();
            }
            if self.budget.is_spent() {
                return None;
            }
            number += 1;
        }
        None
    }

    /// Whether a choice holds everything; it becomes the best where it does and is shorter.
    fn holds(&mut self, choice: &[usize]) -> bool {
        let rooms: Vec<u64> = choice.iter().map(|nth| self.rooms[*nth]).collect();
        let total: u128 = rooms.iter().map(|room| u128::from(*room)).sum();
        if self.too_little.iter().any(|little| little.len() == rooms.len() && little.iter().zip(&rooms).all(|(little, room)| room <= little)) {
            return false;
        }
        let mut filling =
            Filling { sizes: &self.sizes, rooms: &rooms, failed: HashSet::new(), ways: vec![Vec::new(); rooms.len()], cut_short: false, budget: self.budget };
        match filling.fill(&self.wanted) {
            Some(true) => {
                let ways = filling.ways;
                if self.best.as_ref().is_none_or(|best| total < best.total) {
                    self.best = Some(Chosen { rooms: choice.to_vec(), ways, total });
                }
                true
            }
            Some(false) => {
                if self.too_little.len() < CHOICES {
                    self.too_little.push(rooms);
                }
                false
            }
            None => {
                self.sure = false;
                false
            }
        }
    }

    /// Exchanges pieces for the next shorter ones not chosen for as long as that holds everything.
    fn shorten(&mut self) {
        let mut changed = true;
        while changed {
            changed = false;
            let Some(mut choice) = self.best.as_ref().map(|best| best.rooms.clone()) else { return };
            for at in 0..choice.len() {
                let now = choice[at];
                let free: Vec<usize> = (now + 1..self.rooms.len()).rev().filter(|nth| !choice.contains(nth) && self.rooms[*nth] < self.rooms[now]).collect();
                for other in free {
                    let mut with: Vec<usize> = choice.iter().copied().filter(|nth| *nth != now).chain([other]).collect();
                    with.sort_unstable();
                    if self.holds(&with) {
                        changed = true;
                        break;
                    }
                    if self.budget.is_spent() {
                        return;
                    }
                }
                if changed {
                    choice.clear();
                    break;
                }
            }
        }
    }

    /// Every choice of `number` more from `from` on that is shorter than the best and long enough.
    fn look(&mut self, from: usize, number: usize, need: u128, total: u128, choice: &mut Vec<usize>) {
        let Some(best) = self.best.as_ref().map(|best| best.total) else { return };
        if !self.budget.spend(1, Some(best.min(u128::from(u64::MAX)) as u64), self.bound) {
            self.sure = false;
            return;
        }
        if number == 0 {
            if total < best && total >= need {
                let choice = choice.clone();
                self.holds(&choice);
            }
            return;
        }
        let rooms = &self.rooms;
        let shortest: u128 = rooms[rooms.len() - number..].iter().map(|room| u128::from(*room)).sum();
        let Some(longest) = rooms.get(from..from + number).map(|rooms| rooms.iter().map(|room| u128::from(*room)).sum::<u128>()) else { return };
        if total + shortest >= best || total + longest < need {
            return;
        }
        for nth in from..=rooms.len() - number {
            // Of equal pieces the first not passed over stands for all.
            if nth > from && self.rooms[nth] == self.rooms[nth - 1] {
                continue;
            }
            choice.push(nth);
            self.look(nth + 1, number - 1, need, total + u128::from(self.rooms[nth]), choice);
            choice.pop();
            if self.budget.is_spent() {
                self.sure = false;
                return;
            }
        }
    }
}

/// The filling of a choice of pieces, the shortest (the last) first.
struct Filling<'a, 'b> {
    sizes: &'a [u64],
    rooms: &'a [u64],
    failed: HashSet<(usize, Vec<u64>)>,
    ways: Vec<Vec<u64>>,
    cut_short: bool,
    budget: &'a mut Budget<'b>,
}

impl Filling<'_, '_> {
    /// Whether all that is wanted goes in; `None` where the budget ran out first.
    fn fill(&mut self, wanted: &[u64]) -> Option<bool> {
        let need: u128 = self.sizes.iter().zip(wanted).map(|(size, count)| u128::from(*size) * u128::from(*count)).sum();
        let room: u128 = self.rooms.iter().map(|room| u128::from(*room)).sum();
        let Some(waste) = room.checked_sub(need) else { return Some(false) };
        if self.greedily(wanted) {
            return Some(true);
        }
        let found = self.look(self.rooms.len(), &mut wanted.to_vec(), waste);
        if found {
            Some(true)
        } else if self.cut_short {
            None
        } else {
            Some(false)
        }
    }

    /// Each piece filled with the longest that still goes in, the shortest piece first.
    fn greedily(&mut self, wanted: &[u64]) -> bool {
        let mut left = wanted.to_vec();
        for nth in (0..self.rooms.len()).rev() {
            let mut room = self.rooms[nth];
            let counts = self.sizes.iter().zip(left.iter_mut()).map(|(size, left)| {
                let count = (room / size).min(*left);
                room -= count * size;
                *left -= count;
                count
            });
            self.ways[nth] = counts.collect();
        }
        left.iter().all(|count| *count == 0)
    }

    fn look(&mut self, pieces: usize, left: &mut Vec<u64>, waste: u128) -> bool {
        if left.iter().all(|count| *count == 0) {
            self.ways[..pieces].iter_mut().for_each(|way| *way = vec![0; left.len()]);
            return true;
        }
        let Some(nth) = pieces.checked_sub(1) else { return false };
        let key = (nth, left.clone());
        if self.failed.contains(&key) {
            return false;
        }
        let mut found = Vec::new();
        let mut walk = Walk { left, waste, counts: vec![0; left.len()], found: &mut found };
        self.walk(&mut walk, 0, self.rooms[nth], None);
        found.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| b.1.cmp(&a.1)));
        for (wasted, counts) in found {
            if self.cut_short {
                return false;
            }
            left.iter_mut().zip(&counts).for_each(|(left, count)| *left -= count);
            let done = self.look(nth, left, waste - u128::from(wasted));
            left.iter_mut().zip(&counts).for_each(|(left, count)| *left += count);
            if done {
                self.ways[nth] = counts;
                return true;
            }
        }
        if self.failed.len() < REMEMBERED && !self.cut_short {
            self.failed.insert(key);
        }
        false
    }

    /// All counts of the kinds from `nth` on; `smallest` is the smallest length of which some was left out.
    fn walk(&mut self, walk: &mut Walk, nth: usize, room: u64, smallest: Option<u64>) {
        if self.cut_short || walk.found.len() >= WAYS || !self.budget.spend(1, None, 0) {
            self.cut_short = true;
            return;
        }
        let Some(size) = self.sizes.get(nth).copied() else {
            if smallest.is_none_or(|size| size > room) && u128::from(room) <= walk.waste {
                walk.found.push((room, walk.counts.clone()));
            }
            return;
        };
        let most = walk.left[nth].min(room / size);
        for count in (0..=most).rev() {
            walk.counts[nth] = count;
            let out = if count < walk.left[nth] { Some(smallest.map_or(size, |smallest| smallest.min(size))) } else { smallest };
            self.walk(walk, nth + 1, room - count * size, out);
        }
        walk.counts[nth] = 0;
    }
}

/// A walk through the ways to fill one piece.
struct Walk<'a> {
    left: &'a [u64],
    waste: u128,
    counts: Vec<u64>,
    found: &'a mut Vec<(u64, Vec<u64>)>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Whether the lengths go into these rooms, each tried in every one.
    fn goes(sizes: &[u64], rooms: &mut [u64]) -> bool {
        let Some((size, others)) = sizes.split_first() else { return true };
        (0..rooms.len()).any(|nth| {
            if rooms[nth] < *size {
                return false;
            }
            rooms[nth] -= size;
            let done = goes(others, rooms);
            rooms[nth] += size;
            done
        })
    }

    /// The fewest pieces and the least length of those, over every choice there is.
    fn by_trial(stocks: &[u64], kerf: u64, pieces: &[Piece]) -> Option<(usize, u64)> {
        let sizes: Vec<u64> = pieces.iter().flat_map(|piece| vec![piece.length + kerf; piece.count as usize]).collect();
        let choices = (0..1_u32 << stocks.len()).map(|set| (0..stocks.len()).filter(|nth| set >> nth & 1 == 1).map(|nth| stocks[nth]).collect::<Vec<u64>>());
        choices
            .filter(|choice| goes(&sizes, &mut choice.iter().map(|stock| stock + kerf).collect::<Vec<u64>>()))
            .map(|choice| (choice.len(), choice.iter().sum()))
            .min()
    }

    proptest! {
        #[test]
        fn the_plan_is_the_best_there_is(
            stocks in proptest::collection::vec(5_u64..60, 0..6),
            pieces in proptest::collection::vec((4_u64..30, 0_u64..3).prop_map(|(length, count)| Piece { length, count }), 0..4),
            kerf in 0_u64..3,
        ) {
            let outcome = fewest(&stocks, kerf, &pieces, &mut Budget::of(1_000_000)).unwrap();
            let told = match &outcome {
                Outcome::Plan(plan) => {
                    prop_assert!(plan.proved && plan.bound == plan.cuts.len() as u64);
                    for (nth, length) in plan.lengths.iter().enumerate() {
                        let wanted: u64 = pieces.iter().filter(|piece| piece.length == *length).map(|piece| piece.count).sum();
                        prop_assert_eq!(plan.cuts.iter().map(|cut| cut.counts[nth]).sum::<u64>(), wanted);
                    }
                    for cut in &plan.cuts {
                        let number: u64 = cut.counts.iter().sum();
                        let length: u64 = cut.counts.iter().zip(&plan.lengths).map(|(count, length)| count * length).sum();
                        prop_assert!(length + (number - 1) * kerf <= stocks[cut.stock]);
                    }
                    let mut used: Vec<usize> = plan.cuts.iter().map(|cut| cut.stock).collect();
                    used.sort_unstable();
                    used.dedup();
                    prop_assert_eq!(used.len(), plan.cuts.len());
                    Some((plan.cuts.len(), plan.length))
                }
                Outcome::Impossible => None,
                Outcome::Unknown => panic!("the budget is more than enough"),
            };
            prop_assert_eq!(told, by_trial(&stocks, kerf, &pieces));
        }

        #[test]
        fn any_figures_are_taken_without_panic(
            stocks in proptest::collection::vec(any::<u64>(), 0..5),
            kerf in any::<u64>(),
            pieces in proptest::collection::vec((any::<u64>(), any::<u64>()), 0..5),
            shift in 0_u32..64,
        ) {
            let pieces: Vec<Piece> = pieces.into_iter().map(|(length, count)| Piece { length: length >> shift, count: count >> 34 }).collect();
            let stocks: Vec<u64> = stocks.into_iter().map(|stock| stock >> shift).collect();
            let _ = fewest(&stocks, kerf >> shift, &pieces, &mut Budget::of(1000));
        }
    }

    #[test]
    fn many_offcuts_get_a_plan_within_the_budget() {
        let stocks: Vec<u64> = (0..60).map(|nth| 40 + nth * 37 % 71).collect();
        let pieces = [(38, 9), (27, 12), (22, 15), (13, 20)].map(|(length, count)| Piece { length, count });
        let Ok(Outcome::Plan(plan)) = fewest(&stocks, 1, &pieces, &mut Budget::of(200_000)) else { panic!() };
        assert!(plan.bound as usize <= plan.cuts.len() && plan.cuts.len() as u64 <= plan.bound + 1);
    }

    #[test]
    fn what_has_no_meaning_is_refused() {
        let piece = [Piece { length: 3, count: 1 }];
        let mut budget = Budget::of(100);
        assert_eq!(fewest(&[5, 0], 0, &piece, &mut budget), Err(Amiss::Nought(2)));
        assert_eq!(fewest(&[u64::MAX], 0, &piece, &mut budget), Err(Amiss::TooLarge(1)));
        assert_eq!(fewest(&[2], 0, &piece, &mut budget), Ok(Outcome::Impossible));
        assert_eq!(fewest(&[], 0, &piece, &mut budget), Ok(Outcome::Impossible));
    }
}
