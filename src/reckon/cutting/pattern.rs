//! The pattern worth most at given prices: a bounded knapsack, in whole numbers.

use super::super::search::Budget;

/// A pattern, and what none is worth more than: its own worth, unless the search for it took too long.
#[derive(Clone, Debug)]
pub(super) struct Dearest {
    pub(super) counts: Vec<u64>,
    pub(super) upper: u64,
}

/// Up to so many steps a table over the room is quicker than a search.
const STEPS: u64 = 20_000;
/// Up to so many it is better than a search that has no end.
const MANY_STEPS: u64 = 50_000_000;
/// Nodes of a search that need only find a pattern worth enough, and of one that is to find the dearest.
const NODES: u64 = 5_000;
const MANY_NODES: u64 = 500_000;

/// The pattern of the greatest worth with at most `most` of each size in `room`; where that would take long, any worth
/// more than `enough`.
pub(super) fn dearest(sizes: &[u64], prices: &[u64], most: &[u64], room: u64, enough: u64, budget: &mut Budget) -> Dearest {
    let parts: Vec<Part> = parts(sizes, prices, most, room);
    let steps = room.saturating_add(1).saturating_mul(parts.len() as u64);
    let mut by_table_of = |most_steps: u64| {
        // A node of a search takes about as long as 64 steps.
        (steps <= most_steps && budget.spend(1 + (steps >> 6), None, 0)).then(|| by_table(&parts, sizes.len(), room as usize))
    };
    if let Some(found) = by_table_of(STEPS) {
        return found;
    }
    let found = by_depth(sizes, prices, most, room, NODES);
    let worth: u64 = found.counts.iter().zip(prices).map(|(count, price)| count * price).sum();
    if worth == found.upper || worth > enough {
        budget.spend(1 + NODES / 4, None, 0);
        return found;
    }
    if let Some(found) = by_table_of(MANY_STEPS) {
        return found;
    }
    budget.spend(MANY_NODES / 4, None, 0);
    by_depth(sizes, prices, most, room, MANY_NODES)
}

/// Several of one size as one: 1, 2, 4 ... and the rest.
struct Part {
    nth: usize,
    count: u64,
    size: usize,
    worth: u64,
}

fn parts(sizes: &[u64], prices: &[u64], most: &[u64], room: u64) -> Vec<Part> {
    let mut parts = Vec::new();
    for (nth, size) in sizes.iter().enumerate() {
        let mut left = most[nth].min(room / size);
        let mut count = 1;
        while left > 0 && prices[nth] > 0 {
            let taken = count.min(left);
            parts.push(Part { nth, count: taken, size: (size * taken) as usize, worth: prices[nth] * taken });
            left -= taken;
            count *= 2;
        }
    }
    parts
}

fn by_table(parts: &[Part], kinds: usize, room: usize) -> Dearest {
    let mut worth = vec![0_u64; room + 1];
    let words = (room + 1).div_ceil(64);
    let mut taken = vec![0_u64; words * parts.len()];
    for (part, bits) in parts.iter().zip(taken.chunks_mut(words)) {
        for room in (part.size..=room).rev() {
            let with = worth[room - part.size] + part.worth;
            if with > worth[room] {
                worth[room] = with;
                bits[room / 64] |= 1 << (room % 64);
            }
        }
    }
    let mut counts = vec![0; kinds];
    let mut left = room;
    for (part, bits) in parts.iter().zip(taken.chunks(words)).rev() {
        if bits[left / 64] >> (left % 64) & 1 == 1 {
            counts[part.nth] += part.count;
            left -= part.size;
        }
    }
    Dearest { counts, upper: worth[room] }
}

/// A search by depth, the dearest for its size first, as many as possible first.
struct Depth<'a> {
    sizes: &'a [u64],
    prices: &'a [u64],
    most: &'a [u64],
    order: Vec<usize>,
    counts: Vec<u64>,
    best: Vec<u64>,
    worth: u64,
    nodes: u64,
}

fn by_depth(sizes: &[u64], prices: &[u64], most: &[u64], room: u64, nodes: u64) -> Dearest {
    let mut order: Vec<usize> = (0..sizes.len()).filter(|nth| prices[*nth] > 0 && most[*nth] > 0).collect();
    order.sort_by(|a, b| (u128::from(prices[*b]) * u128::from(sizes[*a])).cmp(&(u128::from(prices[*a]) * u128::from(sizes[*b]))));
    let none = vec![0; sizes.len()];
    let mut depth = Depth { sizes, prices, most, order, counts: none.clone(), best: none, worth: 0, nodes };
    let whole = depth.look(0, room, 0);
    let upper = if whole { depth.worth } else { depth.at_most(0, room) };
    Dearest { counts: depth.best, upper }
}

impl Depth<'_> {
    /// What the kinds from `depth` on add at most, the last in part.
    fn at_most(&self, depth: usize, mut room: u64) -> u64 {
        let mut worth = 0;
        for nth in &self.order[depth..] {
            let count = self.most[*nth].min(room / self.sizes[*nth]);
            worth += count * self.prices[*nth];
            room -= count * self.sizes[*nth];
            if count < self.most[*nth] {
                let more = u128::from(room) * u128::from(self.prices[*nth]) / u128::from(self.sizes[*nth]);
                return worth + more as u64;
            }
        }
        worth
    }

    /// `false` where it took too long.
    fn look(&mut self, depth: usize, room: u64, so_far: u64) -> bool {
        if so_far > self.worth {
            self.worth = so_far;
            self.best.clone_from(&self.counts);
        }
        let Some(nth) = self.order.get(depth).copied() else { return true };
        let mut count = self.most[nth].min(room / self.sizes[nth]);
        loop {
            if self.nodes == 0 {
                return false;
            }
            self.nodes -= 1;
            let (rest, worth) = (room - count * self.sizes[nth], so_far + count * self.prices[nth]);
            if worth + self.at_most(depth + 1, rest) <= self.worth {
                // Fewer of this kind leave more to kinds worth less for their size.
                return true;
            }
            self.counts[nth] = count;
            let whole = self.look(depth + 1, rest, worth);
            self.counts[nth] = 0;
            if !whole {
                return false;
            }
            if count == 0 {
                return true;
            }
            count -= 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn table_and_search_find_the_same_worth(
            kinds in proptest::collection::vec((1_u64..40, 0_u64..50, 0_u64..5), 1..7),
            room in 0_u64..120,
        ) {
            let of = |which: fn(&(u64, u64, u64)) -> u64| kinds.iter().map(which).collect::<Vec<_>>();
            let (sizes, prices, most) = (of(|kind| kind.0), of(|kind| kind.1), of(|kind| kind.2));
            let table = by_table(&parts(&sizes, &prices, &most, room), sizes.len(), room as usize);
            let depth = by_depth(&sizes, &prices, &most, room, u64::MAX);
            prop_assert_eq!(table.upper, depth.upper);
            for found in [table, depth] {
                prop_assert!(found.counts.iter().zip(&most).all(|(count, most)| count <= most));
                prop_assert!(found.counts.iter().zip(&sizes).map(|(count, size)| count * size).sum::<u64>() <= room);
                prop_assert_eq!(found.counts.iter().zip(&prices).map(|(count, price)| count * price).sum::<u64>(), found.upper);
            }
        }
    }
}
