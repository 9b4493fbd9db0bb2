//! The figures behind running low, on a sheet: what is free, what orders lack, at which stock to order again.

use super::low::reorder;
use crate::measure::{Dimension, Unit};
use crate::why::{Fig, Figures, Formula, Standing, cross};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

macro_rules! per_unit {
    ($($unit:ident $free:ident $sum:ident $lacking:ident $point:ident $safety:ident;)*) => {
        $(
            static $free: Formula<Decimal> = Formula {
                text: "on hand - set aside", takes: &[Unit::$unit, Unit::$unit], then: &[], gives: Unit::$unit, source: "arithmetic", of: less,
            };
            static $sum: Formula<Decimal> = Formula {
                text: "sum of what the orders need", takes: &[], then: &[Unit::$unit], gives: Unit::$unit, source: "arithmetic", of: sum,
            };
            static $lacking: Formula<Decimal> = Formula {
                text: "what orders need - what is set aside for them - free, not under nought", takes: &[Unit::$unit, Unit::$unit, Unit::$unit], then: &[],
                gives: Unit::$unit, source: "the bench's own rule", of: lacking,
            };
            static $point: Formula<Decimal> = Formula {
                text: "mean use x lead + z x deviation of use x root of lead, lead in spans of use", takes: &[Unit::One, Unit::One], then: &[Unit::$unit],
                gives: Unit::$unit, source: "Silver, Pyke and Thomas, Inventory and Production Management, chapter 6", of: point,
            };
            static $safety: Formula<Decimal> = Formula {
                text: "z x deviation of use x root of lead, lead in spans of use", takes: &[Unit::One, Unit::One], then: &[Unit::$unit],
                gives: Unit::$unit, source: "Silver, Pyke and Thomas, Inventory and Production Management, chapter 6", of: safety,
            };
        )*
        fn formulas(unit: Unit) -> Option<[&'static Formula<Decimal>; 5]> {
            match unit {
                $(Unit::$unit => Some([&$free, &$sum, &$lacking, &$point, &$safety]),)*
                _ => None,
            }
        }
    };
}

per_unit! {
    One FREE_ONE SUM_ONE LACKING_ONE POINT_ONE SAFETY_ONE;
    M FREE_M SUM_M LACKING_M POINT_M SAFETY_M;
    G FREE_G SUM_G LACKING_G POINT_G SAFETY_G;
    Ml FREE_ML SUM_ML LACKING_ML POINT_ML SAFETY_ML;
    Mm2 FREE_MM2 SUM_MM2 LACKING_MM2 POINT_MM2 SAFETY_MM2;
    Feather FREE_FEATHER SUM_FEATHER LACKING_FEATHER POINT_FEATHER SAFETY_FEATHER;
    Fibre FREE_FIBRE SUM_FIBRE LACKING_FIBRE POINT_FIBRE SAFETY_FIBRE;
    Drop FREE_DROP SUM_DROP LACKING_DROP POINT_DROP SAFETY_DROP;
    Piece FREE_PIECE SUM_PIECE LACKING_PIECE POINT_PIECE SAFETY_PIECE;
}

fn less(x: &[Decimal]) -> Option<Decimal> {
    x.first()?.checked_sub(*x.get(1)?)
}

fn sum(x: &[Decimal]) -> Option<Decimal> {
    x.iter().try_fold(Decimal::ZERO, |all, one| all.checked_add(*one))
}

fn lacking(x: &[Decimal]) -> Option<Decimal> {
    Some(less(x)?.checked_sub(*x.get(2)?)?.max(Decimal::ZERO))
}

fn at(x: &[Decimal]) -> Option<crate::reckon::inventory::reorder::Reorder> {
    let [lead, service, used @ ..] = x else { return None };
    reorder(used, lead.to_f64()?, service.to_f64()?)
}

fn point(x: &[Decimal]) -> Option<Decimal> {
    cross(at(x)?.point)
}

fn safety(x: &[Decimal]) -> Option<Decimal> {
    cross(at(x)?.safety)
}

/// What is known of a thing, all in one unit.
#[derive(Clone, Debug)]
pub struct Known {
    /// The beginning of its keys: its name.
    pub key: String,
    /// The unit of all of it.
    pub unit: Unit,
    /// On hand.
    pub on_hand: Decimal,
    /// Of that, set aside.
    pub set_aside: Decimal,
    /// What each order needs, by its name.
    pub orders: Vec<(String, Decimal)>,
    /// What is set aside for these orders.
    pub set_aside_for_them: Decimal,
    /// What was used in each of some equal spans of time, the latest last.
    pub used: Vec<Decimal>,
    /// Days of such a span.
    pub span_days: u32,
    /// Days from order to hand, and who says so.
    pub lead_days: Option<(Decimal, String)>,
    /// The chance that it is to last until goods come, such as 0.95.
    pub service: Decimal,
}

/// The figures of a thing.
#[derive(Clone, Copy, Debug)]
pub struct LowFigures {
    /// Free.
    pub free: Fig,
    /// What orders lack.
    pub lacking: Fig,
    /// The stock at which to order again, and what of it is for safety.
    pub reorder: Option<(Fig, Fig)>,
}

/// The unit such a sheet is in, for goods kept in this one.
pub fn sheet_unit(unit: Unit) -> Unit {
    match unit.dimension() {
        Dimension::Length => Unit::M,
        Dimension::Mass => Unit::G,
        Dimension::Volume => Unit::Ml,
        Dimension::Area => Unit::Mm2,
        _ => unit,
    }
}

/// Puts a thing's figures on a sheet; `None` where its unit is none that goods are kept in.
pub fn set(sheet: &mut Figures, known: &Known) -> Option<LowFigures> {
    let [free, total, lacking, point, safety] = formulas(known.unit)?;
    let (key, unit) = (&known.key, known.unit);
    let on_hand = sheet.given(format!("{key}.on-hand"), known.on_hand, unit, Standing::Measured, "the ledger: the sum of its movements");
    let aside = sheet.given(format!("{key}.set-aside"), known.set_aside, unit, Standing::Stated, "the ledger: set aside for orders");
    let free = sheet.work(format!("{key}.free"), free, &[on_hand, aside])?;
    let mut needs = Vec::new();
    for (order, need) in &known.orders {
        needs.push(sheet.given(format!("{key}.order {order}"), *need, unit, Standing::Stated, format!("the plan of {order}: `herl plan` says why")));
    }
    if needs.is_empty() {
        needs.push(sheet.given(format!("{key}.no-order"), Decimal::ZERO, unit, Standing::Stated, "no order that is due needs it"));
    }
    let needed = sheet.work(format!("{key}.needed"), total, &needs)?;
    let theirs = sheet.given(format!("{key}.set-aside-for-them"), known.set_aside_for_them, unit, Standing::Stated, "the ledger: set aside for these orders");
    let lacking = sheet.work(format!("{key}.lacking"), lacking, &[needed, theirs, free])?;
    let reorder = known.lead_days.as_ref().and_then(|(days, who)| {
        let spans = days.checked_div(Decimal::from(known.span_days))?.round_dp(9);
        let lead =
            sheet.given(format!("{key}.lead"), spans, Unit::One, Standing::Stated, format!("{days} days of {who}, in spans of {} days", known.span_days));
        let service = sheet.given(format!("{key}.service"), known.service, Unit::One, Standing::Assumed, "the chance that it lasts until the goods come");
        let mut inputs = vec![lead, service];
        for (nth, used) in known.used.iter().enumerate() {
            let from = format!("the ledger: used in the {} days numbered {} (the last is the present)", known.span_days, nth + 1);
            inputs.push(sheet.given(format!("{key}.used.{}", nth + 1), *used, unit, Standing::Measured, from));
        }
        Some((sheet.work(format!("{key}.reorder-point"), point, &inputs)?, sheet.work(format!("{key}.safety"), safety, &inputs)?))
    });
    Some(LowFigures { free, lacking, reorder })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thing_in_figures() {
        let known = Known {
            key: "wire".to_owned(),
            unit: Unit::M,
            on_hand: 40.into(),
            set_aside: 10.into(),
            orders: vec![("Box".to_owned(), 30.into()), ("Tin".to_owned(), 15.into())],
            set_aside_for_them: 10.into(),
            used: [8, 12, 16].map(Decimal::from).to_vec(),
            span_days: 28,
            lead_days: Some((56.into(), "a supplier".to_owned())),
            service: Decimal::new(95, 2),
        };
        let mut sheet = Figures::new();
        let set = set(&mut sheet, &known).unwrap();
        assert_eq!((sheet.value(set.free), sheet.value(set.lacking)), (30.into(), 5.into()));
        // Mean 12, sd 4 a span, two spans of lead: 24 + 1.645 x 4 x root 2 = 33.305 (Silver, Pyke and Thomas, chapter 6).
        let (point, safety) = set.reorder.unwrap();
        assert!((sheet.value(point) - Decimal::new(33_305, 3)).abs() < Decimal::new(1, 3));
        assert!((sheet.value(safety) - Decimal::new(9_305, 3)).abs() < Decimal::new(1, 3));
        for (fig, _, row) in sheet.rows() {
            assert!(sheet.again(fig).is_none_or(|again| again == row.value));
        }
    }
}
