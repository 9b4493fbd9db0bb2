//! The fewest pieces of stock from which lengths are cut, all stock of one length (cuts.rs tells how many of one
//! length come out of one piece; unequal.rs has stock of which every piece is another length).
//!
//! Every cut costs a kerf, but k lengths want only k - 1 cuts where the last ends at the end of the stock: so lengths
//! with a kerf each are packed into stock with one kerf more. Sources: P. C. Gilmore and R. E. Gomory, "A linear
//! programming approach to the cutting-stock problem", Operations Research 9 (1961), for the relaxation by patterns
//! (relaxed.rs); A. A. Farley, "A note on bounding a class of linear programming problems, including cutting stock
//! problems", Operations Research 38 (1990), for the bound out of it; S. Martello and P. Toth, *Knapsack Problems*
//! (1990), chapter 8, for the bound L2. The relaxation is worked in floating figures, but only points the way: the
//! bound is worked again from its prices in whole numbers, and what is not settled by it is settled by a complete
//! search in whole numbers (complete.rs).

mod complete;
mod pattern;
mod relaxed;

use super::search::{Amiss, Budget, common};
use relaxed::{Prices, Relaxed};

/// Lengths wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Piece {
    /// How long.
    pub length: u64,
    /// How many.
    pub count: u64,
}

/// How one piece of stock is cut, and how many are cut so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pattern {
    /// How many pieces of stock are cut so.
    pub times: u64,
    /// How many of each length, in the order of the plan's lengths.
    pub counts: Vec<u64>,
}

/// How the lengths are cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// The different lengths, longest first.
    pub lengths: Vec<u64>,
    /// The patterns; together they give just what is wanted.
    pub patterns: Vec<Pattern>,
    /// Pieces of stock used.
    pub pieces: u64,
    /// What no plan can use less than.
    pub bound: u64,
    /// Whether none uses less.
    pub proved: bool,
}

/// The longest length, stock or kerf taken.
pub const LONGEST: u64 = 1_000_000_000_000;
/// The most of one length taken.
pub const MOST: u64 = 1_000_000_000;
/// The most different entries taken.
pub const ENTRIES: usize = 10_000;
/// With more lengths than this only the first plan and the simple bounds are worked.
const KINDS: usize = 250;

/// Nodes of the first, short look through all plans.
const SHORT: u64 = 20_000;

/// Lengths and stock as the search sees them, the kerf in both and their common measure taken out.
#[derive(Clone, Debug)]
struct Question {
    /// The lengths, longest first, no two the same.
    sizes: Vec<u64>,
    /// How many of each.
    wanted: Vec<u64>,
    /// What a piece of stock holds.
    room: u64,
}

/// The fewest pieces of `stock` from which the pieces can be cut. Refused with the place of the piece that is nought,
/// too large, or longer than the stock (one past the last stands for the stock or the kerf).
///
/// ```
/// use herl::reckon::cutting::{Piece, fewest};
/// use herl::reckon::search::Budget;
/// let plan = fewest(100, 0, &[Piece { length: 45, count: 2 }, Piece { length: 35, count: 2 }, Piece { length: 20, count: 2 }], &mut Budget::of(1000)).unwrap();
/// assert_eq!((plan.pieces, plan.bound), (2, 2));
/// // Six lengths of 14 in, and a saw that takes nothing: 84 in just hold them, and 83 in do not.
/// assert_eq!(fewest(84, 0, &[Piece { length: 14, count: 6 }], &mut Budget::of(1000)).unwrap().pieces, 1);
/// assert_eq!(fewest(83, 0, &[Piece { length: 14, count: 6 }], &mut Budget::of(1000)).unwrap().pieces, 2);
/// ```
pub fn fewest(stock: u64, kerf: u64, pieces: &[Piece], budget: &mut Budget) -> Result<Plan, Amiss> {
    if stock == 0 {
        return Err(Amiss::Nought(pieces.len()));
    }
    if stock > LONGEST || kerf > LONGEST {
        return Err(Amiss::TooLarge(pieces.len()));
    }
    let kinds = kinds(pieces)?;
    if let Some(nth) = pieces.iter().position(|piece| piece.length > stock) {
        return Err(Amiss::DoesNotFit(nth));
    }
    let question = Question::new(stock, kerf, &kinds);
    let mut search = Search::new(&question);
    search.run(budget);
    let lengths = kinds.iter().map(|kind| kind.length).collect();
    let Search { best, bound, .. } = search;
    let pieces = best.iter().map(|pattern| pattern.times).sum();
    Ok(Plan { lengths, patterns: gathered(best), pieces, bound, proved: bound >= pieces })
}

/// The different lengths, longest first, with how many of each; those of which none is wanted are left out.
pub(super) fn kinds(pieces: &[Piece]) -> Result<Vec<Piece>, Amiss> {
    if pieces.len() > ENTRIES {
        return Err(Amiss::TooMany(ENTRIES));
    }
    for (nth, piece) in pieces.iter().enumerate() {
        if piece.length == 0 {
            return Err(Amiss::Nought(nth));
        }
        if piece.length > LONGEST || piece.count > MOST {
            return Err(Amiss::TooLarge(nth));
        }
    }
    let mut kinds: Vec<Piece> = pieces.iter().filter(|piece| piece.count > 0).copied().collect();
    kinds.sort_by_key(|kind| std::cmp::Reverse(kind.length));
    kinds.dedup_by(|next, kept| {
        let same = next.length == kept.length;
        if same {
            kept.count += next.count;
        }
        same
    });
    Ok(kinds)
}

/// Equal patterns as one, most used first.
fn gathered(mut patterns: Vec<Pattern>) -> Vec<Pattern> {
    patterns.sort_by(|a, b| b.counts.cmp(&a.counts));
    patterns.dedup_by(|next, kept| {
        let same = next.counts == kept.counts;
        if same {
            kept.times += next.times;
        }
        same
    });
    patterns.sort_by_key(|pattern| std::cmp::Reverse(pattern.times));
    patterns
}

impl Question {
    fn new(stock: u64, kerf: u64, kinds: &[Piece]) -> Self {
        let measure = kinds.iter().fold(0, |measure, kind| common(kind.length + kerf, measure)).max(1);
        Question {
            sizes: kinds.iter().map(|kind| (kind.length + kerf) / measure).collect(),
            wanted: kinds.iter().map(|kind| kind.count).collect(),
            room: (stock + kerf) / measure,
        }
    }

    /// With other numbers wanted.
    fn with(&self, wanted: Vec<u64>) -> Self {
        Question { sizes: self.sizes.clone(), wanted, room: self.room }
    }

    fn size(&self, wanted: &[u64]) -> u128 {
        self.sizes.iter().zip(wanted).map(|(size, count)| u128::from(*size) * u128::from(*count)).sum()
    }

    /// Each piece filled with the longest that still goes in.
    fn longest_first(&self) -> Vec<Pattern> {
        let mut left = self.wanted.clone();
        let mut patterns = Vec::new();
        let mut first = 0;
        while first < left.len() {
            if left[first] == 0 {
                first += 1;
                continue;
            }
            let mut room = self.room;
            let mut counts = vec![0; left.len()];
            for nth in first..left.len() {
                counts[nth] = left[nth].min(room / self.sizes[nth]);
                room -= counts[nth] * self.sizes[nth];
            }
            patterns.push(take(&mut left, counts));
        }
        patterns
    }

    /// The greater of the bound by size and of L2: with a limit set, all that cannot share a piece of stock with one
    /// of that limit stands alone, all above half a piece apart, and the rest fills what those leave.
    fn simple_bound(&self) -> u64 {
        let room = u128::from(self.room);
        let mut bound = self.size(&self.wanted).div_ceil(room);
        let limits: Vec<u64> = self.sizes.iter().copied().filter(|size| *size * 2 <= self.room).collect();
        // Every so-manieth limit is enough where there are thousands; each gives a bound.
        let every = limits.len().div_ceil(500).max(1);
        for limit in limits.into_iter().step_by(every) {
            let (mut alone, mut apart, mut left_by_those, mut rest) = (0_u128, 0_u128, 0_u128, 0_u128);
            for (size, count) in self.sizes.iter().zip(&self.wanted).map(|(size, count)| (*size, u128::from(*count))) {
                if size > self.room - limit {
                    alone += count;
                } else if size * 2 > self.room {
                    apart += count;
                    left_by_those += count * u128::from(self.room - size);
                } else if size >= limit {
                    rest += count * u128::from(size);
                }
            }
            bound = bound.max(alone + apart + rest.saturating_sub(left_by_those).div_ceil(room));
        }
        let halves: u128 = self.sizes.iter().zip(&self.wanted).filter(|(size, _)| **size * 2 > self.room).map(|(_, count)| u128::from(*count)).sum();
        u64::try_from(bound.max(halves)).unwrap_or(u64::MAX)
    }
}

/// Takes a pattern off what is left as often as it goes.
fn take(left: &mut [u64], counts: Vec<u64>) -> Pattern {
    let times = left.iter().zip(&counts).filter(|(_, count)| **count > 0).map(|(left, count)| left / count).min().unwrap_or(0);
    left.iter_mut().zip(&counts).for_each(|(left, count)| *left -= count * times);
    Pattern { times, counts }
}

fn number(patterns: &[Pattern]) -> u64 {
    patterns.iter().map(|pattern| pattern.times).sum()
}

struct Search<'a> {
    question: &'a Question,
    best: Vec<Pattern>,
    bound: u64,
    /// Patterns the relaxations came upon; good beginnings for the next.
    pool: Vec<Vec<u64>>,
}

impl<'a> Search<'a> {
    fn new(question: &'a Question) -> Self {
        Search { question, best: question.longest_first(), bound: question.simple_bound(), pool: Vec::new() }
    }

    fn done(&self) -> bool {
        self.bound >= number(&self.best)
    }

    fn run(&mut self, budget: &mut Budget) {
        if self.done() || self.question.sizes.len() > KINDS {
            return;
        }
        let used = number(&self.best);
        let Some(relaxed) = relaxed::solve(self.question, &mut self.pool, Some(used), budget) else { return };
        self.bound = self.bound.max(relaxed.bound);
        let prices = relaxed.prices.clone();
        for way in 0..4 {
            if self.done() || budget.is_spent() {
                return;
            }
            self.round(&relaxed, way, budget);
            if way == 0 {
                // What is small is settled here, before it is rounded another way.
                self.look_through(&prices, Some(SHORT), false, budget);
            }
        }
        self.look_through(&prices, None, true, budget);
    }

    /// Rounds the relaxation down, one pattern up, and relaxes what is left again, until nothing is left.
    fn round(&mut self, relaxed: &Relaxed, way: usize, budget: &mut Budget) {
        let mut left = self.question.wanted.clone();
        let mut patterns: Vec<Pattern> = Vec::new();
        let mut now = relaxed.clone();
        for step in 0_usize.. {
            let mut fractions: Vec<(f64, u128, usize)> = Vec::new();
            for (nth, (counts, times)) in now.patterns.iter().enumerate() {
                let whole = (times + 1e-6).floor();
                let mut more = whole as u64;
                while more > 0 {
                    let pattern = once(&mut left, counts, more);
                    if pattern.times == 0 {
                        break;
                    }
                    more -= pattern.times;
                    patterns.push(pattern);
                }
                fractions.push((times - whole, self.question.size(counts), nth));
            }
            // The greatest fraction goes up; another way takes another at one of its steps.
            fractions.sort_by(|a, b| b.0.total_cmp(&a.0).then(b.1.cmp(&a.1)));
            let other = if way > 0 && (step + way).is_multiple_of(3) { way.div_ceil(3) } else { 0 };
            if let Some((fraction, _, nth)) = fractions.get(other.min(fractions.len().saturating_sub(1)))
                && *fraction > 1e-6
            {
                patterns.push(once(&mut left, &now.patterns[*nth].0, 1));
            }
            patterns.retain(|pattern| pattern.times > 0);
            let rest = self.question.with(left.clone());
            let by_length = rest.longest_first();
            let used = number(&patterns);
            if used + number(&by_length) < number(&self.best) {
                self.best = patterns.iter().cloned().chain(by_length.iter().cloned()).collect();
            }
            if self.done() || left.iter().all(|count| *count == 0) || used + rest.simple_bound() >= number(&self.best) {
                return;
            }
            match relaxed::solve(&rest, &mut self.pool, None, budget) {
                Some(next) if used + next.bound < number(&self.best) => now = next,
                _ => return,
            }
        }
    }

    /// Looks through all there is for a plan with one piece less, again and again; where there is none, the best is
    /// proved.
    fn look_through(&mut self, prices: &Prices, nodes: Option<u64>, relaxing: bool, budget: &mut Budget) {
        while !self.done() {
            match complete::plan(self.question, prices, number(&self.best) - 1, nodes, relaxing, budget) {
                complete::Found::Plan(patterns) => self.best = patterns,
                complete::Found::None => self.bound = number(&self.best),
                complete::Found::Unknown => return,
            }
        }
    }
}

/// As much of a pattern as is still wanted, `times` at most while all of it is.
fn once(left: &mut [u64], counts: &[u64], times: u64) -> Pattern {
    let counts: Vec<u64> = left.iter().zip(counts).map(|(left, count)| *count.min(left)).collect();
    let times = left.iter().zip(&counts).filter(|(_, count)| **count > 0).map(|(left, count)| left / count).min().unwrap_or(0).min(times);
    left.iter_mut().zip(&counts).for_each(|(left, count)| *left -= count * times);
    Pattern { times, counts }
}

#[cfg(test)]
mod tests;
