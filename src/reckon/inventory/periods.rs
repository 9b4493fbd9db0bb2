//! When to order where each period's need is known: the cheapest plan.
//!
//! Source: H. M. Wagner and T. M. Whitin, *Management Science* 5 (1958) 89: in a cheapest plan an order comes only where
//! nothing is left, so that it covers whole periods.

use super::super::{finite, sound};

/// The most periods: each pair of them is looked at.
pub const MOST_PERIODS: usize = 5_000;

/// A plan of orders.
#[derive(Clone, Debug, PartialEq)]
pub struct Orders {
    /// How much is ordered in each period.
    pub orders: Vec<f64>,
    /// What it costs: orders, holding, and the goods where they have a price.
    pub cost: f64,
}

/// The cheapest orders for these needs, one a period: each order costs `order`, each unit held over to the next period
/// `holding`, and a unit bought in a period what `prices` says (all nothing where it is empty). A period without need
/// before its order's first takes no order. `None` where a figure is unsound, prices are not as many as needs, or there
/// are over five thousand periods.
///
/// ```
/// use herl::reckon::inventory::periods::cheapest;
/// let plan = cheapest(&[90.0, 120.0, 80.0, 70.0], 500.0, 2.0, &[]).unwrap();
/// assert_eq!((plan.orders, plan.cost), (vec![210.0, 0.0, 150.0, 0.0], 1380.0));
/// ```
pub fn cheapest(needs: &[f64], order: f64, holding: f64, prices: &[f64]) -> Option<Orders> {
    let all_sound = sound(needs) && sound(prices) && sound(&[order, holding]);
    if !all_sound || needs.len() > MOST_PERIODS || !(prices.is_empty() || prices.len() == needs.len()) {
        return None;
    }
    // From the last period to the first: the least cost from here on, and the period before which its order ends.
    let periods = needs.len();
    let mut least = vec![0.0_f64; periods + 1];
    let mut until = vec![0_usize; periods];
    for from in (0..periods).rev() {
        let price = prices.get(from).copied().unwrap_or(0.0);
        let (mut best, mut end) = (f64::INFINITY, from + 1);
        let (mut bought, mut held) = (0.0, 0.0);
        for (to, need) in needs.iter().enumerate().skip(from) {
            bought += need;
            held += holding * (to - from) as f64 * need;
            let set_up = if bought > 0.0 { order } else { 0.0 };
            let cost = set_up + price * bought + held + least.get(to + 1)?;
            if cost < best {
                (best, end) = (cost, to + 1);
            }
        }
        *least.get_mut(from)? = finite(best)?;
        *until.get_mut(from)? = end;
    }
    let mut orders = vec![0.0; periods];
    let mut from = 0;
    while from < periods {
        let end = *until.get(from)?;
        *orders.get_mut(from)? = needs.get(from..end)?.iter().sum();
        from = end;
    }
    Some(Orders { orders, cost: *least.first()? })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The cost of ordering in the periods marked, each order lasting until the next; `None` where a need comes first.
    fn cost(needs: &[f64], order: f64, holding: f64, prices: &[f64], marked: u32) -> Option<f64> {
        let (mut sum, mut last) = (0.0, None);
        for (i, need) in needs.iter().enumerate() {
            if marked & (1 << i) != 0 {
                last = Some(i);
                sum += order;
            }
            match last {
                Some(at) => sum += need * (prices[at] + holding * (i - at) as f64),
                None if *need > 0.0 => return None,
                None => {}
            }
        }
        Some(sum)
    }

    proptest! {
        #[test]
        fn no_other_plan_is_cheaper(
            needs in prop::collection::vec(prop_oneof![Just(0.0), 1.0_f64..100.0], 1..9), order in 0.0_f64..300.0, holding in 0.0_f64..3.0, fall in 0.0_f64..2.0,
        ) {
            let prices: Vec<f64> = (0..needs.len()).map(|i| 3.0 + fall * (i % 3) as f64).collect();
            let plan = cheapest(&needs, order, holding, &prices).unwrap();
            let least = (0..1_u32 << needs.len()).filter_map(|marked| cost(&needs, order, holding, &prices, marked)).fold(f64::INFINITY, f64::min);
            prop_assert!((plan.cost - least).abs() < 1e-9 * least.max(1.0), "{} {least}", plan.cost);
            prop_assert!((plan.orders.iter().sum::<f64>() - needs.iter().sum::<f64>()).abs() < 1e-9);
        }
    }

    #[test]
    fn the_ends() {
        assert_eq!(cheapest(&[], 1.0, 1.0, &[]), Some(Orders { orders: vec![], cost: 0.0 }));
        assert_eq!(cheapest(&[0.0, 0.0], 9.0, 1.0, &[]), Some(Orders { orders: vec![0.0, 0.0], cost: 0.0 }));
        assert_eq!(cheapest(&[1.0, -1.0], 9.0, 1.0, &[]), None);
        assert_eq!(cheapest(&[1.0, 1.0], 9.0, 1.0, &[1.0]), None);
        assert_eq!(cheapest(&vec![1.0; MOST_PERIODS + 1], 9.0, 1.0, &[]), None);
        assert!(cheapest(&vec![1.0; 2_000], 9.0, 1.0, &[]).is_some());
    }
}
