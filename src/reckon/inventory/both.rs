//! At which stock to order again and how much, together: whenever the stock falls to r, order Q.
//!
//! Source: Snyder and Shen, *Fundamentals of Supply Chain Theory*, chapter 5: demand over the lead time is normal, what
//! is short waits. The best pair has one and the same cost rate at both ends of the stock and on the average: Y.-S.
//! Zheng, *Management Science* 38 (1992) 87; where demand comes one by one, the best stocks are taken on one after
//! another: A. Federgruen and Y.-S. Zheng, *Operations Research* 40 (1992) 808. Three short ways are given with it.

use super::super::chance::normal_quantile;
use super::super::finite;
use super::quantity::{eoq, with_backorders};
use super::{Demand, over_nought, poisson_lacking, poisson_stock};

/// The most stocks that are taken on one after another.
const MOST_STOCKS: u32 = 20_000;
/// The greatest mean for which they are: each chance takes some terms for each root of it.
const MOST_MEAN: f64 = 1e6;

/// What it costs, for one and the same time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terms {
    /// Demand in that time.
    pub demand: f64,
    /// Cost of an order.
    pub order: f64,
    /// Cost of holding a unit for that time.
    pub holding: f64,
    /// Cost of a unit's being short for that time.
    pub short: f64,
}

/// At which stock to order, and how much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// The stock at which to order.
    pub point: f64,
    /// How much.
    pub quantity: f64,
}

/// The root of a function that falls from `low` to `high`, by halving.
fn root(mut low: f64, mut high: f64, falling: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    for _ in 0..200 {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            break;
        }
        if falling(middle)? > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    finite(low + (high - low) / 2.0)
}

impl Terms {
    fn sound(&self, lead: Demand) -> bool {
        over_nought(&[self.demand, self.order, self.holding, self.short]) && super::sound(&[lead.mean, lead.sd])
    }

    /// The share of time in which nothing should be short.
    fn ratio(&self) -> f64 {
        self.short / (self.short + self.holding)
    }

    /// Cost rate where stock and orders together make `stock`.
    fn rate(&self, lead: Demand, stock: f64) -> Option<f64> {
        finite(self.holding * (stock - lead.mean) + (self.holding + self.short) * lead.lacking(stock)?)
    }

    /// The cost rate summed over all stocks from the point to the point and the quantity.
    fn summed(&self, lead: Demand, pair: Pair) -> Option<f64> {
        let (low, high) = (pair.point - lead.mean, pair.point + pair.quantity - lead.mean);
        let lacking = lead.lacking_twice(pair.point)? - lead.lacking_twice(pair.point + pair.quantity)?;
        finite(self.holding * pair.quantity * (low + high) / 2.0 + (self.holding + self.short) * lacking)
    }

    /// What a pair costs; `lead` is the demand over the lead time.
    pub fn cost(&self, lead: Demand, pair: Pair) -> Option<f64> {
        if !(self.sound(lead) && over_nought(&[pair.quantity]) && pair.point.is_finite()) {
            return None;
        }
        finite((self.order * self.demand + self.summed(lead, pair)?) / pair.quantity)
    }

    /// The best point for a quantity: the cost rate is the same at both ends.
    pub fn point_for(&self, lead: Demand, quantity: f64) -> Option<Pair> {
        if !(self.sound(lead) && over_nought(&[quantity])) {
            return None;
        }
        let cheapest = lead.mean + normal_quantile(self.ratio())? * lead.sd;
        let point = root(cheapest - quantity, cheapest, |point| Some(self.rate(lead, point)? - self.rate(lead, point + quantity)?))?;
        Some(Pair { point, quantity })
    }

    /// The best pair.
    pub fn best(&self, lead: Demand) -> Option<Pair> {
        // What the average is over the rate at the ends, times the quantity: it falls as the quantity grows.
        let over = |quantity: f64| {
            let pair = self.point_for(lead, quantity)?;
            Some(self.order * self.demand + self.summed(lead, pair)? - quantity * self.rate(lead, pair.point)?)
        };
        let low = self.with_backorders(lead)?.quantity;
        let mut high = low;
        while over(high)? > 0.0 {
            high = finite(high * 2.0)?;
        }
        self.point_for(lead, root(low / 2.0, high, over)?)
    }

    /// The economic quantity, and safety stock as if all were ordered each time.
    pub fn with_safety(&self, lead: Demand) -> Option<Pair> {
        if !self.sound(lead) {
            return None;
        }
        let quantity = eoq(self.demand, self.order, self.holding)?.quantity;
        Some(Pair { point: finite(lead.mean + normal_quantile(self.ratio())? * lead.sd)?, quantity })
    }

    /// The economic quantity with backorders, and the best point for it.
    pub fn with_backorders(&self, lead: Demand) -> Option<Pair> {
        self.point_for(lead, with_backorders(self.demand, self.order, self.holding, self.short)?.order.quantity)
    }

    /// The pair by loss functions, as if nothing were ever short just after goods came in.
    pub fn by_losses(&self, lead: Demand) -> Option<Pair> {
        if !self.sound(lead) {
            return None;
        }
        let both = self.holding + self.short;
        self.settled(|quantity| {
            let wanted = self.holding * quantity / both;
            let (low, high) = (lead.mean - wanted - lead.sd, lead.mean + 40.0 * lead.sd);
            let point = root(low, high, |point| Some(lead.lacking(point)? - wanted))?;
            Some((point, 2.0 * (self.order * self.demand + both * lead.lacking_twice(point)?) / self.holding))
        })
    }

    /// The pair and its cost by the mean stock, where being short costs `short` a unit however long: G. Hadley and T. M.
    /// Whitin, *Analysis of Inventory Systems* (1963). `None` where even no stock at all would be too much.
    pub fn by_mean_stock(&self, lead: Demand) -> Option<(Pair, f64)> {
        if !self.sound(lead) {
            return None;
        }
        let pair = self.settled(|quantity| {
            let point = lead.mean + normal_quantile(1.0 - quantity * self.holding / (self.short * self.demand))? * lead.sd;
            Some((point, 2.0 * self.demand * (self.order + self.short * lead.lacking(point)?) / self.holding))
        })?;
        let held = self.holding * (pair.point - lead.mean + pair.quantity / 2.0);
        let cost = held + (self.order + self.short * lead.lacking(pair.point)?) * self.demand / pair.quantity;
        Some((pair, finite(cost)?))
    }

    /// Point and quantity by turns, from the economic quantity on, until they stay. `next` gives the point for a quantity
    /// and the square of the quantity for that point.
    fn settled(&self, next: impl Fn(f64) -> Option<(f64, f64)>) -> Option<Pair> {
        let mut quantity = eoq(self.demand, self.order, self.holding)?.quantity;
        for _ in 0..10_000 {
            let (point, square) = next(quantity)?;
            let better = finite(square.sqrt())?;
            if (better - quantity).abs() <= 1e-13 * quantity {
                return Some(Pair { point, quantity: better });
            }
            quantity = better;
        }
        None
    }

    /// The best pair and its cost where demand comes one by one (Poisson), with this mean over the lead time. `None` where
    /// the mean is over a million or the quantity would be
    /// over twenty thousand.
    pub fn one_by_one(&self, mean: f64) -> Option<(i64, u32, f64)> {
        if !self.sound(Demand { mean, sd: 0.0 }) || mean > MOST_MEAN {
            return None;
        }
        let rate = |stock: i64| -> Option<f64> {
            let lacking = match u64::try_from(stock) {
                Ok(stock) => poisson_lacking(stock, mean)?,
                Err(_) => mean - stock as f64,
            };
            finite(self.holding * (stock as f64 - mean + lacking) + self.short * lacking)
        };
        // The stock with the least rate, then of those on either side the cheaper, as long as it lies under the average.
        let best = i64::try_from(poisson_stock(self.ratio(), mean)?).ok()?;
        let (mut point, mut quantity) = (best - 1, 1_u32);
        let mut sum = self.order * self.demand + rate(best)?;
        loop {
            let average = sum / f64::from(quantity);
            let (below, above) = (rate(point)?, rate(point + i64::from(quantity) + 1)?);
            if below.min(above) >= average {
                return Some((point, quantity, average));
            }
            if quantity == MOST_STOCKS {
                return None;
            }
            sum += below.min(above);
            quantity += 1;
            if below <= above {
                point -= 1;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn terms() -> impl Strategy<Value = Terms> {
        (1.0_f64..2000.0, 0.5_f64..100.0, 0.05_f64..5.0, 0.1_f64..50.0).prop_map(|(demand, order, holding, short)| Terms { demand, order, holding, short })
    }

    proptest! {
        #[test]
        fn no_other_pair_is_cheaper(terms in terms(), mean in 0.1_f64..200.0, sd in 0.0_f64..60.0, further in -50.0_f64..50.0, more in -0.5_f64..2.0) {
            let lead = Demand { mean, sd };
            let best = terms.best(lead).unwrap();
            let cost = terms.cost(lead, best).unwrap();
            let other = terms.cost(lead, Pair { point: best.point + further, quantity: best.quantity * (1.0 + more) }).unwrap();
            prop_assert!(other >= cost * (1.0 - 1e-9), "{cost} {other}");
            for short in [terms.with_safety(lead), terms.with_backorders(lead)] {
                prop_assert!(terms.cost(lead, short.unwrap()).unwrap() >= cost * (1.0 - 1e-9));
            }
        }

        #[test]
        fn no_other_whole_pair_is_cheaper(terms in terms(), mean in 0.1_f64..30.0, point in -10_i64..60, quantity in 1_u32..80) {
            let (_, _, best) = terms.one_by_one(mean).unwrap();
            let lacking = |stock: i64| u64::try_from(stock).map_or(mean - stock as f64, |stock| poisson_lacking(stock, mean).unwrap());
            let rate = |stock: i64| terms.holding * (stock as f64 - mean + lacking(stock)) + terms.short * lacking(stock);
            let sum: f64 = (point + 1..=point + i64::from(quantity)).map(rate).sum();
            prop_assert!((terms.order * terms.demand + sum) / f64::from(quantity) >= best * (1.0 - 1e-9));
        }

        #[test]
        fn any_figures_are_taken_without_panic(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>(), e in any::<f64>()) {
            let (terms, lead) = (Terms { demand: a, order: b, holding: c, short: d }, Demand { mean: e, sd: a });
            let _ = (terms.best(lead), terms.by_losses(lead), terms.by_mean_stock(lead), terms.with_safety(lead), terms.one_by_one(e));
        }
    }

    #[test]
    fn without_spread_it_is_the_quantity_with_backorders() {
        let terms = Terms { demand: 1300.0, order: 8.0, holding: 0.225, short: 5.0 };
        let best = terms.best(Demand { mean: 100.0, sd: 0.0 }).unwrap();
        let plain = with_backorders(1300.0, 8.0, 0.225, 5.0).unwrap();
        assert!((best.quantity / plain.order.quantity - 1.0).abs() < 1e-6);
        assert!((best.point - (100.0 - plain.waiting * plain.order.quantity)).abs() < 1e-3);
        assert_eq!(Terms { order: 0.0, ..terms }.best(Demand { mean: 1.0, sd: 1.0 }), None);
        // Bounded work: the economic quantity here is far over what is gone through one by one.
        assert_eq!(Terms { demand: 1e6, order: 1e5, holding: 1.0, short: 10.0 }.one_by_one(1e5), None);
    }
}
