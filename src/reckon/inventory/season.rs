//! How much to lay in once, for a season whose demand is not known.
//!
//! Source: the newsvendor's question: Snyder and Shen, *Fundamentals of Supply Chain Theory*, chapter 4: lay in so much
//! that demand is met with the probability `short / (over + short)`.

use super::super::chance::{normal_height, normal_quantile};
use super::super::{finite, sound};
use super::{Demand, over_nought, poisson_lacking, poisson_stock};

/// What a unit left over and a unit short cost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Costs {
    /// Of one left over.
    pub over: f64,
    /// Of one short.
    pub short: f64,
}

impl Costs {
    /// Of goods bought at `cost` and sold at `price`, of which the rest brings `rest`. `None` unless the price is over the
    /// cost and that over the rest.
    pub fn of_goods(price: f64, cost: f64, rest: f64) -> Option<Self> {
        let costs = Costs { over: cost - rest, short: price - cost };
        over_nought(&[costs.over, costs.short]).then_some(costs)
    }

    /// The probability with which demand is to be met.
    pub fn ratio(&self) -> Option<f64> {
        over_nought(&[self.over, self.short]).then(|| self.short / (self.over + self.short))
    }
}

/// How much to lay in, and what leavings and lacks cost on the average.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stock {
    /// How much.
    pub stock: f64,
    /// The cost.
    pub cost: f64,
}

/// For a normal demand.
///
/// ```
/// use herl::reckon::inventory::{Demand, season::{Costs, normal}};
/// let stock = normal(Costs { over: 0.18, short: 0.7 }, Demand { mean: 50.0, sd: 8.0 }).unwrap();
/// assert_eq!(format!("{:.1} {:.3}", stock.stock, stock.cost), "56.6 1.998");
/// ```
pub fn normal(costs: Costs, demand: Demand) -> Option<Stock> {
    if !sound(&[demand.mean, demand.sd]) {
        return None;
    }
    let z = normal_quantile(costs.ratio()?)?;
    let cost = (costs.over + costs.short) * demand.sd * normal_height(z);
    Some(Stock { stock: finite(demand.mean + z * demand.sd)?, cost: finite(cost)? })
}

/// For a Poisson demand of this mean.
pub fn poisson(costs: Costs, mean: f64) -> Option<Stock> {
    let stock = poisson_stock(costs.ratio()?, mean)?;
    let lacking = poisson_lacking(stock, mean)?;
    let stock = stock as f64;
    Some(Stock { stock, cost: finite(costs.over * (stock - mean + lacking) + costs.short * lacking)? })
}

/// For a demand that takes one of these values, each with its probability; in any order. `None` where the probabilities
/// do not make one whole.
pub fn listed(costs: Costs, demand: &[(f64, f64)]) -> Option<Stock> {
    let ratio = costs.ratio()?;
    let whole: f64 = demand.iter().map(|(_, share)| share).sum();
    if demand.iter().any(|(value, share)| !sound(&[*value, *share])) || (whole - 1.0).abs() > 1e-9 {
        return None;
    }
    let mut demand = demand.to_vec();
    demand.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut met = 0.0;
    let stock = demand.iter().find(|(_, share)| {
        met += share;
        met >= ratio * (1.0 - 1e-12)
    });
    let stock = stock.or(demand.last())?.0;
    let cost = demand.iter().map(|(value, share)| share * if *value > stock { costs.short * (value - stock) } else { costs.over * (stock - value) });
    Some(Stock { stock, cost: finite(cost.sum())? })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn no_other_stock_is_cheaper(over in 0.1_f64..10.0, short in 0.1_f64..10.0, mean in 0.1_f64..60.0, sd in 0.1_f64..20.0, other in 0_u64..120) {
            let costs = Costs { over, short };
            let at = |stock: f64, lacking: f64| over * (stock - mean + lacking) + short * lacking;
            let best = poisson(costs, mean).unwrap();
            prop_assert!(at(other as f64, poisson_lacking(other, mean).unwrap()) >= best.cost - 1e-9);
            let demand = Demand { mean, sd };
            let best = normal(costs, demand).unwrap();
            prop_assert!((at(best.stock, demand.lacking(best.stock).unwrap()) - best.cost).abs() < 1e-9);
            prop_assert!(at(other as f64, demand.lacking(other as f64).unwrap()) >= best.cost - 1e-9);
        }

        #[test]
        fn any_figures_are_taken_without_panic(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
            let costs = Costs { over: a, short: b };
            let _ = (normal(costs, Demand { mean: c, sd: d }), poisson(costs, c), listed(costs, &[(c, d), (a, b)]), Costs::of_goods(a, b, c));
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(Costs::of_goods(2.0, 2.0, 1.0), None);
        assert_eq!(poisson(Costs { over: 0.0, short: 1.0 }, 3.0), None);
        assert_eq!(listed(Costs { over: 1.0, short: 1.0 }, &[(1.0, 0.5), (2.0, 0.4)]), None);
        assert_eq!(listed(Costs { over: 1.0, short: 1.0 }, &[]), None);
    }
}
