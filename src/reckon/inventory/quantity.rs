//! How much to order at a time where demand is steady: what an order costs against what holding costs.
//!
//! Sources: F. W. Harris (1913), the economic order quantity; with backorders, with production at a rate, and with price
//! breaks as in Snyder and Shen, *Fundamentals of Supply Chain Theory*, chapter 3; whole units as in P. H. Zipkin,
//! *Foundations of Inventory Management*: q (q - 1) <= Q² <= q (q + 1). Demand and holding are told for one and the same
//! time, and so is the cost.

use super::over_nought;
use crate::reckon::finite;

/// How much to order at a time, and what it costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Order {
    /// The quantity.
    pub quantity: f64,
    /// Cost of ordering and holding for the time that demand is told for (with price breaks: of the goods too).
    pub cost: f64,
}

/// The economic order quantity: `sqrt(2 order demand / holding)`, at the cost `sqrt(2 order demand holding)`; `order` is
/// the cost of an order, `holding` that of holding one unit. `None` where one is nought, below it or not finite.
///
/// ```
/// use herl::reckon::inventory::quantity::{Order, eoq};
/// assert_eq!(eoq(1000.0, 10.0, 0.5), Some(Order { quantity: 200.0, cost: 100.0 }));
/// ```
pub fn eoq(demand: f64, order: f64, holding: f64) -> Option<Order> {
    if !over_nought(&[demand, order, holding]) {
        return None;
    }
    Some(Order { quantity: finite((2.0 * order * demand / holding).sqrt())?, cost: finite((2.0 * order * demand * holding).sqrt())? })
}

/// The best whole number at a time.
pub fn whole(demand: f64, order: f64, holding: f64) -> Option<Order> {
    let best = eoq(demand, order, holding)?.quantity;
    let cost = |quantity: f64| order * demand / quantity + holding * quantity / 2.0;
    let (less, more) = (best.floor().max(1.0), best.ceil().max(1.0));
    let quantity = if cost(less) <= cost(more) { less } else { more };
    Some(Order { quantity, cost: finite(cost(quantity))? })
}

/// An order with backorders.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Late {
    /// Quantity and cost.
    pub order: Order,
    /// The share of demand that waits.
    pub waiting: f64,
}

/// The order quantity where demand may wait at the cost `late` a unit.
pub fn with_backorders(demand: f64, order: f64, holding: f64, late: f64) -> Option<Late> {
    if !over_nought(&[late]) {
        return None;
    }
    let plain = eoq(demand, order, holding)?;
    let share = late / (holding + late);
    let order = Order { quantity: finite(plain.quantity / share.sqrt())?, cost: finite(plain.cost * share.sqrt())? };
    Some(Late { order, waiting: holding / (holding + late) })
}

/// The quantity to make at a time where making goes at the rate `making`, over the demand.
pub fn with_making(demand: f64, order: f64, holding: f64, making: f64) -> Option<Order> {
    if !(over_nought(&[making]) && making > demand) {
        return None;
    }
    eoq(demand, order, holding * (1.0 - demand / making))
}

/// A price from a quantity on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Break {
    /// From which quantity on; the first from nought.
    pub from: f64,
    /// The price of a unit.
    pub price: f64,
}

/// Whether prices begin at nought, go up in quantity and nowhere in price.
fn in_order(breaks: &[Break]) -> bool {
    let first = breaks.first().is_some_and(|first| first.from == 0.0);
    let prices = breaks.iter().all(|step| over_nought(&[step.price]) && step.from.is_finite());
    first && prices && breaks.windows(2).all(|pair| matches!(pair, [a, b] if a.from < b.from && a.price >= b.price))
}

/// The quantity where the price of a break is for all units; holding costs the share `holding` of the price. `None`
/// where a figure is not over nought, or the breaks do not begin at nought, rise in quantity and never in price.
///
/// ```
/// use herl::reckon::inventory::quantity::{Break, for_all_units};
/// let breaks = [(0.0, 5.0), (1000.0, 4.8), (2000.0, 4.75)].map(|(from, price)| Break { from, price });
/// let best = for_all_units(5000.0, 49.0, 0.2, &breaks).unwrap();
/// assert_eq!((best.quantity, best.cost), (1000.0, 24_725.0));
/// ```
pub fn for_all_units(demand: f64, order: f64, holding: f64, breaks: &[Break]) -> Option<Order> {
    cheapest(breaks, |step, next| {
        let best = eoq(demand, order, holding * step.price)?.quantity;
        // Beyond the next break the unit is cheaper, which that break sees to.
        if next.is_some_and(|next| best >= next) {
            return Some(None);
        }
        let quantity = best.max(step.from);
        let cost = finite(step.price * demand + order * demand / quantity + holding * step.price * quantity / 2.0)?;
        Some(Some(Order { quantity, cost }))
    })
}

/// The quantity where the price of a break is for the units beyond it only.
pub fn for_units_beyond(demand: f64, order: f64, holding: f64, breaks: &[Break]) -> Option<Order> {
    // What the units before the break cost over this break's price.
    let over = |price: f64| -> f64 {
        let mut sum = 0.0;
        for pair in breaks.windows(2) {
            if let [a, b] = pair
                && b.price >= price
            {
                sum += (a.price - b.price) * b.from;
            }
        }
        sum
    };
    cheapest(breaks, |step, next| {
        let over = over(step.price);
        let best = eoq(demand, order + over, holding * step.price)?.quantity;
        let quantity = next.map_or(best, |next| best.min(next)).max(step.from);
        let cost = step.price * demand + (order + over) * demand / quantity + holding * (step.price * quantity + over) / 2.0;
        Some(Some(Order { quantity, cost: finite(cost)? }))
    })
}

/// The cheapest of what each break gives; of two as cheap the smaller.
fn cheapest(breaks: &[Break], at: impl Fn(&Break, Option<f64>) -> Option<Option<Order>>) -> Option<Order> {
    if !in_order(breaks) {
        return None;
    }
    let mut best: Option<Order> = None;
    for (i, step) in breaks.iter().enumerate() {
        let found = at(step, breaks.get(i + 1).map(|next| next.from))?;
        if let Some(found) = found
            && best.is_none_or(|best| found.cost < best.cost)
        {
            best = Some(found);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn breaks() -> impl Strategy<Value = Vec<Break>> {
        prop::collection::vec((1.0_f64..300.0, 0.7_f64..1.0), 0..4).prop_map(|steps| {
            let mut all = vec![Break { from: 0.0, price: 10.0 }];
            for (further, share) in steps {
                let last = all[all.len() - 1];
                all.push(Break { from: last.from + further, price: last.price * share });
            }
            all
        })
    }

    proptest! {
        #[test]
        fn no_other_quantity_is_cheaper(demand in 1.0_f64..1e4, order in 0.1_f64..100.0, holding in 0.01_f64..2.0, quantity in 1.0_f64..3000.0, breaks in breaks()) {
            let at = |quantity: f64| order * demand / quantity + holding * quantity / 2.0;
            let best = eoq(demand, order, holding).unwrap();
            prop_assert!((at(best.quantity) / best.cost - 1.0).abs() < 1e-12);
            prop_assert!(at(quantity) >= best.cost * (1.0 - 1e-12));
            prop_assert!(at(quantity.round()) >= whole(demand, order, holding).unwrap().cost * (1.0 - 1e-12));
            let now = breaks.iter().rfind(|step| step.from <= quantity).unwrap();
            let cost = now.price * demand + order * demand / quantity + holding * now.price * quantity / 2.0;
            prop_assert!(cost >= for_all_units(demand, order, holding, &breaks).unwrap().cost * (1.0 - 1e-12));
            // Bought step by step, the goods cost so much:
            let ends = breaks.iter().skip(1).map(|step| step.from).chain([f64::INFINITY]);
            let goods: f64 = breaks.iter().zip(ends).map(|(step, end)| step.price * (quantity.min(end) - step.from).max(0.0)).sum();
            let cost = (order + goods) * demand / quantity + holding * goods / 2.0;
            prop_assert!(cost >= for_units_beyond(demand, order, holding, &breaks).unwrap().cost * (1.0 - 1e-12));
        }

        #[test]
        fn any_figures_are_taken_without_panic(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
            let _ = (eoq(a, b, c), whole(a, b, c), with_backorders(a, b, c, d), with_making(a, b, c, d));
            let breaks = [Break { from: 0.0, price: a }, Break { from: b, price: c }];
            let _ = (for_all_units(a, b, d, &breaks), for_units_beyond(a, b, d, &breaks));
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(eoq(0.0, 1.0, 1.0), None);
        assert_eq!(eoq(1.0, 1.0, 0.0), None);
        assert_eq!(eoq(-1.0, 1.0, 1.0), None);
        assert_eq!(with_making(10.0, 1.0, 1.0, 10.0), None);
        assert_eq!(for_all_units(1.0, 1.0, 1.0, &[]), None);
        let rising = [Break { from: 0.0, price: 1.0 }, Break { from: 5.0, price: 2.0 }];
        assert_eq!(for_all_units(1.0, 1.0, 1.0, &rising), None);
    }
}
