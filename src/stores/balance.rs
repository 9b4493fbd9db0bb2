//! Balances: the sum of the movements, what of it is free, and out of which lots something is taken.

use super::{Drawn, Lot, LotId, Movement, ThingId};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// The sums of movements, by thing and lot.
pub type Sums = BTreeMap<(ThingId, Option<LotId>), Decimal>;

/// Adds movements up.
pub fn fold<'a>(movements: impl IntoIterator<Item = &'a Movement>) -> Sums {
    let mut sums = Sums::new();
    for movement in movements {
        let sum = sums.entry((movement.thing, movement.lot)).or_default();
        *sum = sum.saturating_add(movement.quantity);
    }
    sums
}

/// What there is of a thing, in its unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Balance {
    /// Of what.
    pub thing: ThingId,
    /// The bench's own goods, in lots and loose. Below nought where more was used than was ever counted in.
    pub on_hand: Decimal,
    /// Of these, in no lot.
    pub loose: Decimal,
    /// Of these, set aside for orders.
    pub set_aside: Decimal,
    /// Customers' own goods, beside these.
    pub customers: Decimal,
    /// When something last moved, ms of UTC.
    pub last_at: Option<i64>,
}

impl Balance {
    /// Neither used nor set aside; below nought where the shelf is short.
    pub fn free(&self) -> Decimal {
        self.on_hand.saturating_sub(self.set_aside)
    }
}

/// What stands behind a drawing: a lot, or the loose goods.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// The lot; loose goods where `None`.
    pub lot: Option<LotId>,
    /// Neither used nor set aside for others.
    pub free: Decimal,
}

impl Source {
    /// What of a lot can be drawn from it.
    pub fn of(lot: &Lot) -> Self {
        Source { lot: Some(lot.id), free: lot.free() }
    }
}

/// Takes a quantity out of sources in their order, no more from each than is free; gives what was drawn and what is lacking.
pub fn draw(sources: &[Source], wanted: Decimal) -> (Vec<Drawn>, Decimal) {
    let mut left = wanted;
    let mut drawn = Vec::new();
    for source in sources {
        let quantity = left.min(source.free);
        if quantity > Decimal::ZERO {
            drawn.push(Drawn { lot: source.lot, quantity });
            left -= quantity;
        }
    }
    (drawn, left)
}

/// Sources in the order in which one lot serves a whole run where it can: the smallest lot that is enough by itself, else
/// the largest first. Gives also whether one is enough.
pub fn one_lot_first(mut sources: Vec<Source>, wanted: Decimal) -> (Vec<Source>, bool) {
    let enough = sources.iter().filter(|source| source.free >= wanted).min_by_key(|source| source.free).copied();
    if let Some(enough) = enough {
        sources.retain(|source| *source != enough);
        sources.insert(0, enough);
        return (sources, true);
    }
    sources.sort_by_key(|source| std::cmp::Reverse(source.free));
    (sources, false)
}

/// What a count of a whole thing changes, lot by lot. Less than was thought: out of the loose goods first, then out of the
/// lots in their order, the oldest first. More: what the loose goods lacked is made good first, then the newest lot has
/// it; without a lot it is loose. `lots`: what each holds; the changes add up to `found` less the sum of all.
pub fn spread(loose: Decimal, lots: &[(LotId, Decimal)], found: Decimal) -> Vec<Drawn> {
    let held = lots.iter().fold(loose, |sum, (_, holds)| sum.saturating_add(*holds));
    let mut change = found.saturating_sub(held);
    let mut changes = Vec::new();
    let mut put = |lot: Option<LotId>, quantity: Decimal, change: &mut Decimal| {
        if !quantity.is_zero() {
            changes.push(Drawn { lot, quantity });
            *change -= quantity;
        }
    };
    if loose < Decimal::ZERO && !lots.is_empty() {
        // Loose goods below nought are a use nobody knew the lot of: they are evened out first, whatever is found.
        put(None, -loose, &mut change);
    }
    if change > Decimal::ZERO {
        let newest = lots.last().map(|(lot, _)| *lot).filter(|_| loose <= Decimal::ZERO);
        put(newest, change, &mut change);
    } else if change < Decimal::ZERO {
        let from_loose = if lots.is_empty() { -change } else { loose.max(Decimal::ZERO).min(-change) };
        put(None, -from_loose, &mut change);
        for (lot, holds) in lots {
            let out = (*holds).min(-change);
            put(Some(*lot), -out, &mut change);
        }
    }
    changes
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_count_comes_out_and_no_lot_falls_below_nought(loose in -50i64..50, lots in prop::collection::vec(0i64..40, 0..5), found in 0i64..200) {
            let lots: Vec<(LotId, Decimal)> = (1..).map(LotId).zip(lots.into_iter().map(Decimal::from)).collect();
            let changes = spread(loose.into(), &lots, found.into());
            let mut now: BTreeMap<Option<LotId>, Decimal> = lots.iter().map(|(lot, holds)| (Some(*lot), *holds)).collect();
            now.insert(None, loose.into());
            for Drawn { lot, quantity } in &changes {
                *now.get_mut(lot).unwrap() += quantity;
                prop_assert!(!quantity.is_zero());
            }
            prop_assert!(now.values().all(|holds| *holds >= Decimal::ZERO), "{:?}", now);
            prop_assert_eq!(now.values().sum::<Decimal>(), Decimal::from(found));
            let which: std::collections::BTreeSet<_> = changes.iter().map(|change| change.lot).collect();
            prop_assert_eq!(which.len(), changes.len(), "each changed once");
        }

        #[test]
        fn no_more_is_drawn_than_is_free_and_all_of_it_where_there_is_enough(free in prop::collection::vec(-5i64..40, 0..6), wanted in 0i64..120) {
            let sources: Vec<Source> = (1..).zip(&free).map(|(lot, free)| Source { lot: Some(LotId(lot)), free: (*free).into() }).collect();
            let (sources, _) = one_lot_first(sources, wanted.into());
            let (drawn, lacking) = draw(&sources, wanted.into());
            let there: i64 = free.iter().filter(|free| **free > 0).sum();
            prop_assert_eq!(lacking, Decimal::from((wanted - there).max(0)));
            prop_assert_eq!(drawn.iter().map(|drawn| drawn.quantity).sum::<Decimal>() + lacking, Decimal::from(wanted));
            prop_assert!(drawn.iter().all(|drawn| sources.iter().any(|source| source.lot == drawn.lot && source.free >= drawn.quantity)));
        }
    }
}
