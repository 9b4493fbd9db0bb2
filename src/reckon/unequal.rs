//! Lengths cut from stock of which every piece is another length and there is only one of each: offcuts, feathers.
//! First the fewest pieces, then of those the least length taken; or offcuts first, and of new stock as little as goes.
//!
//! Packing into bins of several sizes, each once. The longest pieces together hold whatever as many others hold, so
//! the number is found by trying the longest one, two, three ...; then pieces are exchanged for shorter ones, and a
//! search by depth looks through every other choice of as many pieces that is shorter still. Whether a choice holds
//! all lengths is settled piece after piece, shortest first, each filled so that nothing more goes in (one into which
//! something more goes is never better), with no more waste in all than the choice leaves. Kerfs as in cutting.rs.

use super::cutting::{self, ENTRIES, LONGEST, Piece, kinds};
use super::search::{Amiss, Budget};
use std::collections::HashSet;

/// What is cut from one piece of stock.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// Which piece of stock, by its place in the list; one past the last for a new one.
    pub stock: usize,
    /// How many pieces are cut so: one, but of new stock several.
    pub times: u64,
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
    /// The length of those in the list together.
    pub length: u64,
    /// How many pieces any plan needs at least; of new stock where that is to be had.
    pub bound: u64,
    /// Whether none uses fewer pieces (new ones before all), nor as many with less length.
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
    let question = Question::new(stocks, kerf, pieces)?;
    let mut search = question.search(0, 0, budget);
    let found = search.run();
    let (sure, bound) = (search.sure, search.bound);
    match found {
        Some(chosen) => Ok(Outcome::Plan(question.plan(chosen, 0, bound, sure))),
        None if sure => Ok(Outcome::Impossible),
        None => Ok(Outcome::Unknown),
    }
}

/// As [`fewest`], with new stock of one length without end beside the offcuts: of that as few pieces as will do, then as
/// few offcuts, then the least length of those.
///
/// ```
/// use herl::reckon::cutting::Piece;
/// use herl::reckon::search::Budget;
/// use herl::reckon::unequal::{Outcome, offcuts_first};
/// let pieces = [Piece { length: 25, count: 6 }];
/// let Ok(Outcome::Plan(plan)) = offcuts_first(&[30, 55, 26], 100, 0, &pieces, &mut Budget::of(1000)) else { panic!() };
/// // A new one holds four, and 55 the other two; the place one past the last stands for new stock.
/// assert_eq!(plan.cuts.iter().map(|cut| cut.stock).collect::<Vec<_>>(), [3, 1]);
/// assert_eq!((plan.length, plan.bound, plan.proved), (55, 1, true));
/// ```
pub fn offcuts_first(offcuts: &[u64], stock: u64, kerf: u64, pieces: &[Piece], budget: &mut Budget) -> Result<Outcome, Amiss> {
    let question = Question::new(offcuts, kerf, pieces)?;
    if stock == 0 || stock > LONGEST {
        return Err(if stock == 0 { Amiss::Nought(pieces.len() + offcuts.len()) } else { Amiss::TooLarge(pieces.len() + offcuts.len()) });
    }
    // What no new piece holds must come out of the offcuts, however many new ones there are.
    let long: Vec<Piece> = pieces.iter().filter(|piece| piece.length > stock).copied().collect();
    if !long.is_empty() {
        match fewest(offcuts, kerf, &long, budget)? {
            Outcome::Plan(_) => {}
            none => return Ok(none),
        }
    }
    // What is left when the offcuts have been filled as they come, from new stock.
    let rest = question.rest();
    let new = if rest.iter().all(|piece| piece.length <= stock) { Some(cutting::fewest(stock, kerf, &rest, budget)?) } else { None };
    let most = new.as_ref().map(|plan| plan.pieces);
    let held: u128 = question.rooms.iter().map(|room| u128::from(*room)).sum();
    let room = stock + kerf;
    let least = u64::try_from(question.need().saturating_sub(held).div_ceil(u128::from(room))).unwrap_or(u64::MAX);
    let (mut sure, mut bound) = (true, least);
    for number in least..=most.unwrap_or(least.saturating_add(TRIED)).min(least.saturating_add(TRIED)) {
        let mut search = question.search(number, room, budget);
        let found = search.run();
        sure &= search.sure;
        if sure {
            bound = number;
        }
        if let Some(chosen) = found {
            return Ok(Outcome::Plan(question.plan(chosen, number, bound, sure)));
        }
        if budget.is_spent() {
            break;
        }
    }
    Ok(new.map_or(Outcome::Unknown, |new| Outcome::Plan(question.as_they_come(new, bound))))
}

/// How many more new pieces than the least that may do are tried before the plan by filling is taken.
const TRIED: u64 = 50;

/// Stock and lengths as the search sees them, the kerf in both.
struct Question {
    lengths: Vec<u64>,
    sizes: Vec<u64>,
    wanted: Vec<u64>,
    stocks: Vec<u64>,
    /// The stock's places, longest first, and what each holds.
    order: Vec<usize>,
    rooms: Vec<u64>,
}

impl Question {
    fn new(stocks: &[u64], kerf: u64, pieces: &[Piece]) -> Result<Self, Amiss> {
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
        Ok(Question {
            lengths: kinds.iter().map(|kind| kind.length).collect(),
            sizes: kinds.iter().map(|kind| kind.length + kerf).collect(),
            wanted: kinds.iter().map(|kind| kind.count).collect(),
            rooms: order.iter().map(|nth| stocks[*nth] + kerf).collect(),
            stocks: stocks.to_vec(),
            order,
        })
    }

    fn need(&self) -> u128 {
        self.sizes.iter().zip(&self.wanted).map(|(size, count)| u128::from(*size) * u128::from(*count)).sum()
    }

    /// A search in which so many new pieces that hold `room` are used for certain.
    fn search<'a, 'b>(&self, number: u64, room: u64, budget: &'a mut Budget<'b>) -> Search<'a, 'b> {
        let forced = usize::try_from(number).unwrap_or(usize::MAX).min(ENTRIES);
        let rooms = std::iter::repeat_n(room, forced).chain(self.rooms.iter().copied()).collect();
        Search {
            sizes: self.sizes.clone(),
            wanted: self.wanted.clone(),
            rooms,
            forced,
            best: None,
            too_little: Vec::new(),
            sure: number <= ENTRIES as u64,
            bound: 0,
            budget,
        }
    }

    fn plan(&self, chosen: Chosen, new: u64, bound: u64, proved: bool) -> Plan {
        let forced = new as usize;
        let stock = |room: usize| if room < forced { self.stocks.len() } else { self.order[room - forced] };
        // A piece of which nothing is cut is none taken.
        let used = chosen.rooms.into_iter().zip(chosen.ways).filter(|(_, counts)| counts.iter().any(|count| *count > 0));
        let cuts: Vec<Cut> = used.map(|(room, counts)| Cut { stock: stock(room), times: 1, counts }).collect();
        self.told(cuts, bound, proved)
    }

    fn told(&self, mut cuts: Vec<Cut>, bound: u64, proved: bool) -> Plan {
        cuts.dedup_by(|next, kept| {
            let same = next.stock == self.stocks.len() && next.stock == kept.stock && next.counts == kept.counts;
            kept.times += if same { next.times } else { 0 };
            same
        });
        let length = cuts.iter().filter_map(|cut| self.stocks.get(cut.stock)).sum();
        Plan { lengths: self.lengths.clone(), cuts, length, bound, proved }
    }

    /// Each offcut filled with the longest that still goes in, the shortest offcut first: how, and what is left.
    fn filled(&self) -> (Vec<Cut>, Vec<u64>) {
        let mut left = self.wanted.clone();
        let mut cuts = Vec::new();
        for (room, stock) in self.rooms.iter().zip(&self.order).rev() {
            let counts = fill(&self.sizes, &mut left, *room);
            if counts.iter().any(|count| *count > 0) {
                cuts.push(Cut { stock: *stock, times: 1, counts });
            }
        }
        (cuts, left)
    }

    fn rest(&self) -> Vec<Piece> {
        let (_, left) = self.filled();
        self.lengths.iter().zip(left).filter(|(_, count)| *count > 0).map(|(length, count)| Piece { length: *length, count }).collect()
    }

    /// The offcuts filled as they come, and the rest from new stock.
    fn as_they_come(&self, new: cutting::Plan, bound: u64) -> Plan {
        let spread = |pattern: cutting::Pattern| {
            let count = |length: &u64| new.lengths.iter().position(|other| other == length).map_or(0, |nth| pattern.counts[nth]);
            Cut { stock: self.stocks.len(), times: pattern.times, counts: self.lengths.iter().map(count).collect() }
        };
        let cuts = new.patterns.clone().into_iter().map(spread).chain(self.filled().0).collect();
        self.told(cuts, bound, false)
    }
}

/// Fills a room with the longest that still goes in, and takes it off what is left.
fn fill(sizes: &[u64], left: &mut [u64], mut room: u64) -> Vec<u64> {
    let one = |(size, left): (&u64, &mut u64)| {
        let count = (room / size).min(*left);
        room -= count * size;
        *left -= count;
        count
    };
    sizes.iter().zip(left).map(one).collect()
}

/// A choice of pieces that holds everything.
#[derive(Clone, Debug)]
struct Chosen {
    /// Places in the rooms, which are longest first after those in every choice.
    rooms: Vec<usize>,
    /// How each is filled.
    ways: Vec<Vec<u64>>,
    total: u128,
}

struct Search<'a, 'b> {
    sizes: Vec<u64>,
    wanted: Vec<u64>,
    rooms: Vec<u64>,
    /// How many of the rooms, the first, are in every choice.
    forced: usize,
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
        let of_forced: u128 = self.rooms[..self.forced].iter().map(|room| u128::from(*room)).sum();
        let (mut number, mut room) = (0, of_forced);
        while room < need {
            room += u128::from(*self.rooms.get(self.forced + number)?);
            number += 1;
        }
        while self.forced + number <= self.rooms.len() {
            if self.sure {
                self.bound = number as u64;
            }
            let longest: Vec<usize> = (0..self.forced + number).collect();
            if self.holds(&longest) {
                self.shorten();
                self.look(self.forced, number, need, of_forced, &mut (0..self.forced).collect());
                return self.best.take();
            }
            if self.budget.is_spent() {
                self.sure = false;
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
            for at in self.forced..choice.len() {
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
            self.ways[nth] = fill(self.sizes, &mut left, self.rooms[nth]);
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
mod tests;
