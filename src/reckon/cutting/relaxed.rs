//! The relaxation: patterns used in parts, found by the simplex method with the dearest pattern brought in at each step.
//!
//! Floating figures throughout, except for the bound: at prices in whole numbers, of which no pattern is worth more
//! than `dearest`, all that is wanted is worth so much, and so many pieces of stock are needed for it. That holds for
//! any prices whatever, so that no rounding here can make a bound too high.

use super::super::search::Budget;
use super::Question;
use super::pattern::dearest;

/// Prices of the lengths in whole numbers, and what no pattern is worth more than.
#[derive(Clone, Debug)]
pub(super) struct Prices {
    pub(super) each: Vec<u64>,
    pub(super) dearest: u64,
}

impl Prices {
    /// How many pieces of stock are needed at least.
    pub(super) fn bound(&self, wanted: &[u64]) -> u64 {
        u64::try_from(self.worth(wanted).div_ceil(u128::from(self.dearest.max(1)))).unwrap_or(u64::MAX)
    }

    pub(super) fn worth(&self, wanted: &[u64]) -> u128 {
        self.each.iter().zip(wanted).map(|(price, count)| u128::from(*price) * u128::from(*count)).sum()
    }
}

/// What the relaxation comes to.
#[derive(Clone, Debug)]
pub(super) struct Relaxed {
    /// The patterns used and how often, in parts.
    pub(super) patterns: Vec<(Vec<u64>, f64)>,
    /// The prices that give the best bound.
    pub(super) prices: Prices,
    /// That bound.
    pub(super) bound: u64,
}

/// A whole price for a price of one.
const WHOLE: f64 = 16_777_216.0;
/// What counts as nought.
const NEAR: f64 = 1e-9;
/// The most patterns kept for the relaxations to come.
const POOL: usize = 2000;

/// What stands in the basis.
#[derive(Clone)]
enum Column {
    Pattern(Vec<u64>),
    /// More of a length than is wanted.
    More,
}

/// The basis with its inverse.
struct Basis {
    columns: Vec<Column>,
    inverse: Vec<Vec<f64>>,
    amounts: Vec<f64>,
}

/// Relaxes a question; `None` where nothing is wanted. With `enough` it ends as soon as the bound reaches that.
pub(super) fn solve(question: &Question, pool: &mut Vec<Vec<u64>>, enough: Option<u64>, budget: &mut Budget) -> Option<Relaxed> {
    let kinds: Vec<usize> = (0..question.sizes.len()).filter(|nth| question.wanted[*nth] > 0).collect();
    if kinds.is_empty() {
        return None;
    }
    let sizes: Vec<u64> = kinds.iter().map(|nth| question.sizes[*nth]).collect();
    let wanted: Vec<u64> = kinds.iter().map(|nth| question.wanted[*nth]).collect();
    // Patterns from before that want no more than there is here.
    let here = |pattern: &Vec<u64>| kinds.iter().map(|nth| pattern[*nth]).collect::<Vec<u64>>();
    let fits = |pattern: &&Vec<u64>| pattern.iter().zip(&question.wanted).all(|(count, wanted)| count <= wanted);
    let known: Vec<Vec<u64>> = pool.iter().filter(fits).map(here).collect();
    let mut basis = Basis::new(&sizes, &wanted, question.room);
    let mut best: Option<(Prices, u64)> = None;
    for _ in 0..2000 + 60 * kinds.len() {
        budget.spend(1 + ((kinds.len() * kinds.len()) as u64 >> 6), None, 0);
        let prices = basis.prices();
        if let Some((nth, _)) = prices.iter().enumerate().filter(|(_, price)| **price < -NEAR).min_by(|a, b| a.1.total_cmp(b.1)) {
            let direction = basis.inverse.iter().map(|row| -row[nth]).collect();
            if !basis.bring_in(Column::More, direction) {
                break;
            }
            continue;
        }
        let worth = |pattern: &[u64]| pattern.iter().zip(&prices).map(|(count, price)| *count as f64 * price).sum::<f64>();
        let best_known = known.iter().map(|pattern| (worth(pattern), pattern)).max_by(|a, b| a.0.total_cmp(&b.0)).filter(|known| known.0 > 1.0 + 1e-7);
        if let Some((_, pattern)) = best_known {
            if !basis.bring_in_pattern(pattern.clone()) {
                break;
            }
            continue;
        }
        let each: Vec<u64> = prices.iter().map(|price| (price.max(0.0) * WHOLE) as u64).collect();
        let found = dearest(&sizes, &each, &wanted, question.room, (WHOLE * (1.0 + 1e-6)) as u64, budget);
        let whole = Prices { each, dearest: found.upper };
        let bound = whole.bound(&wanted);
        // Of equal bounds the sharper prices: more worth for the dearest pattern.
        let sharper = |old: &Prices| whole.worth(&wanted) * u128::from(old.dearest) > old.worth(&wanted) * u128::from(whole.dearest);
        if best.as_ref().is_none_or(|(old, _)| sharper(old)) {
            best = Some((whole, bound));
        }
        let settled = enough.is_some_and(|enough| bound >= enough);
        if settled || worth(&found.counts) <= 1.0 + 1e-7 || budget.is_spent() {
            break;
        }
        let mut spread = vec![0; question.sizes.len()];
        kinds.iter().zip(&found.counts).for_each(|(nth, count)| spread[*nth] = *count);
        if pool.len() < POOL && !pool.contains(&spread) {
            pool.push(spread);
        }
        if !basis.bring_in_pattern(found.counts) {
            break;
        }
    }
    let (prices, bound) = best?;
    let spread = |counts: &[u64]| {
        let mut spread = vec![0; question.sizes.len()];
        kinds.iter().zip(counts).for_each(|(nth, count)| spread[*nth] = *count);
        spread
    };
    let patterns = basis.columns.iter().zip(&basis.amounts).filter_map(|(column, amount)| match column {
        Column::Pattern(counts) if *amount > NEAR => Some((spread(counts), *amount)),
        _ => None,
    });
    Some(Relaxed { patterns: patterns.collect(), prices: Prices { each: spread(&prices.each), dearest: prices.dearest }, bound })
}

impl Basis {
    /// A pattern of one length alone for each.
    fn new(sizes: &[u64], wanted: &[u64], room: u64) -> Self {
        let kinds = sizes.len();
        let mut basis = Basis { columns: Vec::new(), inverse: vec![vec![0.0; kinds]; kinds], amounts: Vec::new() };
        for nth in 0..kinds {
            let count = wanted[nth].min(room / sizes[nth]).max(1);
            let mut pattern = vec![0; kinds];
            pattern[nth] = count;
            basis.columns.push(Column::Pattern(pattern));
            basis.inverse[nth][nth] = 1.0 / count as f64;
            basis.amounts.push(wanted[nth] as f64 / count as f64);
        }
        basis
    }

    /// What one more of each length costs.
    fn prices(&self) -> Vec<f64> {
        let mut prices = vec![0.0; self.columns.len()];
        for (column, row) in self.columns.iter().zip(&self.inverse) {
            if matches!(column, Column::Pattern(_)) {
                prices.iter_mut().zip(row).for_each(|(price, figure)| *price += figure);
            }
        }
        prices
    }

    fn bring_in_pattern(&mut self, counts: Vec<u64>) -> bool {
        let some: Vec<(usize, f64)> = counts.iter().enumerate().filter(|(_, count)| **count > 0).map(|(nth, count)| (nth, *count as f64)).collect();
        let direction = self.inverse.iter().map(|row| some.iter().map(|(nth, count)| row[*nth] * count).sum()).collect();
        self.bring_in(Column::Pattern(counts), direction)
    }

    /// Exchanges the column for the one that comes to nought first; `false` where none does.
    fn bring_in(&mut self, column: Column, direction: Vec<f64>) -> bool {
        let mut leaving: Option<(f64, usize)> = None;
        for (nth, along) in direction.iter().enumerate() {
            if *along > 1e-7 {
                let ratio = self.amounts[nth].max(0.0) / along;
                // Of equals the one that changes most, which keeps the inverse sound.
                if leaving.is_none_or(|(least, old)| ratio < least - 1e-12 || (ratio <= least + 1e-12 && *along > direction[old])) {
                    leaving = Some((ratio, nth));
                }
            }
        }
        let Some((ratio, out)) = leaving else { return false };
        let pivot = direction[out];
        let mut row = std::mem::take(&mut self.inverse[out]);
        row.iter_mut().for_each(|figure| *figure /= pivot);
        for (nth, along) in direction.iter().enumerate() {
            if nth != out && along.abs() > 0.0 {
                self.inverse[nth].iter_mut().zip(&row).for_each(|(figure, change)| *figure -= along * change);
                self.amounts[nth] -= along * ratio;
            }
        }
        self.inverse[out] = row;
        self.amounts[out] = ratio;
        self.columns[out] = column;
        true
    }
}
