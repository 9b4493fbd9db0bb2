//! Running low. The bench's own rule first: the last spare opened, or less than the next orders need. Behind it, as advice,
//! the reorder point from lead time and use; and what does not move at all.

use super::ByEye;
use super::balance::Balance;
use crate::reckon::inventory::Demand;
use crate::reckon::inventory::reorder::{Reorder, by_service, over_lead};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// What is asked about a thing.
#[derive(Clone, Debug)]
pub struct Asked<'a> {
    /// What there is.
    pub balance: &'a Balance,
    /// What there is by eye, where it is kept so.
    pub by_eye: Option<ByEye>,
    /// Full packs to have beside the one in use.
    pub spare: Option<u32>,
    /// What the next orders need over what is set aside for them, in the thing's unit.
    pub needed: Decimal,
    /// What is on its way, in the thing's unit.
    pub on_order: Decimal,
    /// What was used in each of some equal spans of time, the latest last, in the thing's unit.
    pub used: &'a [Decimal],
    /// The lead time, in those spans.
    pub lead: Option<f64>,
    /// The chance that it lasts until the goods come, such as 0.95.
    pub service: f64,
}

/// Why something is on the buying list.
#[derive(Clone, Debug, PartialEq)]
pub enum Low {
    /// Fewer full packs than are to be spare.
    LastSpare {
        /// Full packs.
        full: u32,
        /// To be spare.
        spare: u32,
    },
    /// More is used, or set aside, than was ever counted in.
    BelowNought {
        /// What is free: below nought.
        free: Decimal,
    },
    /// Less is free and on its way than the next orders need.
    OrdersNeed {
        /// What is lacking.
        lacking: Decimal,
    },
    /// What is free and on its way has reached the reorder point: advice only.
    AtPoint {
        /// The stock at which to order.
        point: f64,
        /// What of it is for safety.
        safety: f64,
    },
}

/// Whether something is low, by the first rule that says so. Goods kept by eye are low by the eye alone.
pub fn low(asked: &Asked<'_>) -> Option<Low> {
    if let Some(seen) = asked.by_eye {
        let spare = asked.spare.unwrap_or(1);
        return seen.low(asked.spare).then_some(Low::LastSpare { full: seen.full, spare });
    }
    let free = asked.balance.free();
    if free < Decimal::ZERO {
        return Some(Low::BelowNought { free });
    }
    let coming = free.saturating_add(asked.on_order);
    if coming < asked.needed {
        return Some(Low::OrdersNeed { lacking: asked.needed - coming });
    }
    let Reorder { point, safety } = reorder(asked.used, asked.lead?, asked.service)?;
    let spoken_for = coming - asked.needed;
    (spoken_for.to_f64()? <= point).then_some(Low::AtPoint { point, safety })
}

/// The reorder point from what was used in equal spans of time; `None` with fewer than three spans, or where nothing was
/// used in any.
pub fn reorder(used: &[Decimal], lead: f64, service: f64) -> Option<Reorder> {
    by_service(over_lead(demand(used)?, lead, 0.0)?, service)
}

/// Mean and deviation of what was used in equal spans of time.
pub fn demand(used: &[Decimal]) -> Option<Demand> {
    const FEWEST: usize = 3;
    let figures: Vec<f64> = used.iter().map(|used| used.to_f64()).collect::<Option<_>>()?;
    if figures.len() < FEWEST || figures.iter().all(|used| *used == 0.0) {
        return None;
    }
    let spread = crate::reckon::means::spread(&figures)?;
    Some(Demand { mean: spread.mean, sd: spread.sd })
}

/// How stock moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pace {
    /// It is used.
    Moving,
    /// At the pace of its use it lasts longer than so many spans.
    Slow,
    /// It stands, and nothing was used in all the spans.
    Dead,
}

/// How stock moves, by what was used in equal spans of time; `lasts`: spans beyond which it counts as slow.
pub fn pace(on_hand: Decimal, used: &[Decimal], lasts: u32) -> Pace {
    if on_hand <= Decimal::ZERO || used.is_empty() {
        return Pace::Moving;
    }
    let sum = used.iter().fold(Decimal::ZERO, |sum, used| sum.saturating_add(*used));
    if sum <= Decimal::ZERO {
        return Pace::Dead;
    }
    let spans = on_hand.saturating_mul(Decimal::from(used.len()));
    if spans > sum.saturating_mul(Decimal::from(lasts)) { Pace::Slow } else { Pace::Moving }
}

#[cfg(test)]
mod tests {
    use super::super::{InUse, ThingId};
    use super::*;

    fn balance(on_hand: i64, set_aside: i64) -> Balance {
        Balance { thing: ThingId(1), on_hand: on_hand.into(), loose: 0.into(), set_aside: set_aside.into(), customers: 0.into(), last_at: None }
    }

    fn asked<'a>(balance: &'a Balance, used: &'a [Decimal]) -> Asked<'a> {
        Asked { balance, by_eye: None, spare: None, needed: 0.into(), on_order: 0.into(), used, lead: Some(2.0), service: 0.95 }
    }

    #[test]
    fn the_last_spare_opened_is_low_and_the_pack_in_use_does_not_matter() {
        let there = balance(0, 0);
        let seen = |full| Some(ByEye { thing: ThingId(1), full, in_use: Some(InUse::NearlyDone), at: 0 });
        assert_eq!(low(&Asked { by_eye: seen(0), ..asked(&there, &[]) }), Some(Low::LastSpare { full: 0, spare: 1 }));
        assert_eq!(low(&Asked { by_eye: seen(1), ..asked(&there, &[]) }), None);
        assert_eq!(low(&Asked { by_eye: seen(1), spare: Some(2), ..asked(&there, &[]) }), Some(Low::LastSpare { full: 1, spare: 2 }));
        assert_eq!(low(&Asked { by_eye: seen(0), spare: Some(0), ..asked(&there, &[]) }), None, "some want none spare");
    }

    #[test]
    fn orders_speak_before_averages() {
        let there = balance(40, 10);
        assert_eq!(low(&Asked { needed: 36.into(), ..asked(&there, &[]) }), Some(Low::OrdersNeed { lacking: 6.into() }));
        assert_eq!(low(&Asked { needed: 36.into(), on_order: 6.into(), lead: None, ..asked(&there, &[]) }), None);
        assert_eq!(low(&asked(&balance(3, 10), &[])), Some(Low::BelowNought { free: (-7).into() }));
        assert_eq!(low(&asked(&there, &[])), None, "nobody knows what is used");
    }

    #[test]
    fn the_reorder_point_is_that_of_the_handbook() {
        // Mean 12, sd 4 a span, two spans of lead without spread: 24 + 1.645 x 4 x root 2 = 33.3 (Silver, Pyke and Thomas,
        // chapter 6). Of 8, 12 and 16 the mean is 12 and the deviation 4.
        let used: Vec<Decimal> = [8, 12, 16].map(Decimal::from).to_vec();
        let point = reorder(&used, 2.0, 0.95).unwrap();
        assert!((point.point - 33.305).abs() < 1e-3 && (point.safety - 9.305).abs() < 1e-3, "{point:?}");
        assert!(matches!(low(&asked(&balance(33, 0), &used)), Some(Low::AtPoint { .. })));
        assert_eq!(low(&asked(&balance(34, 0), &used)), None);
    }

    #[test]
    fn what_stands_still_is_told_from_what_is_slow() {
        let used: Vec<Decimal> = [0, 2, 0, 2].map(Decimal::from).to_vec();
        assert_eq!(pace(12.into(), &used, 12), Pace::Moving);
        assert_eq!(pace(13.into(), &used, 12), Pace::Slow);
        assert_eq!(pace(1.into(), &[0.into(), 0.into()], 12), Pace::Dead);
        assert_eq!(pace(0.into(), &[0.into()], 12), Pace::Moving, "what is not there does not stand still");
    }
}
