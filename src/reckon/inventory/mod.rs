//! Stock: how much to order, and when. One question a file: the quantity alone, needs by period, one season, when to
//! order again, both together, and what is seldom asked for.
//!
//! Sources: L. V. Snyder and Z.-J. M. Shen, *Fundamentals of Supply Chain Theory*; E. A. Silver, D. F. Pyke and D. J.
//! Thomas, *Inventory and Production Management in Supply Chains*. The loss functions say by how much a demand that
//! spreads passes a stock on the average: Snyder and Shen, appendix C.3.

pub mod both;
pub mod periods;
pub mod quantity;
pub mod reorder;
pub mod season;
pub mod seldom;

use super::chance::{normal, normal_height, poisson};
use super::{finite, sound};

/// A demand that spreads normally: its mean and its standard deviation over the time in question.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Its mean.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
}

impl Demand {
    /// How many deviations a stock stands over the mean.
    fn over(&self, stock: f64) -> f64 {
        (stock - self.mean) / self.sd
    }

    /// How much is lacking on the average.
    pub fn lacking(&self, stock: f64) -> Option<f64> {
        if !(sound(&[self.mean, self.sd]) && stock.is_finite()) {
            return None;
        }
        if self.sd == 0.0 {
            return Some((self.mean - stock).max(0.0));
        }
        finite(self.sd * loss(self.over(stock))?)
    }

    /// Half the mean square of what is lacking, with the lack itself counted where there is one.
    fn lacking_twice(&self, stock: f64) -> Option<f64> {
        if self.sd == 0.0 {
            return Some((self.mean - stock).max(0.0).powi(2) / 2.0);
        }
        let z = self.over(stock);
        let over = normal(-z)?;
        finite(self.sd * self.sd * (((z * z + 1.0) * over - z * normal_height(z)) / 2.0).max(0.0))
    }
}

/// By how much a standard normal figure passes `z` on the average.
fn loss(z: f64) -> Option<f64> {
    finite((normal_height(z) - z * normal(-z)?).max(0.0))
}

/// By how much a Poisson count of this mean passes `stock` on the average.
fn poisson_lacking(stock: u64, mean: f64) -> Option<f64> {
    let beyond = poisson(stock, mean)?.1;
    let reached = match stock.checked_sub(1) {
        None => 1.0,
        Some(under) => poisson(under, mean)?.1,
    };
    finite((mean * reached - stock as f64 * beyond).max(0.0))
}

/// The least stock that a Poisson count of this mean keeps within with the probability `share`.
fn poisson_stock(share: f64, mean: f64) -> Option<u64> {
    // A chance as great as asked but for the last digits is as great.
    let enough = |stock: u64| poisson(stock, mean).map(|(_, beyond)| beyond <= (1.0 - share) * (1.0 + 1e-12));
    if enough(0)? {
        return Some(0);
    }
    let (mut few, mut stock) = (0, 1_u64);
    while !enough(stock)? {
        few = stock;
        stock *= 2;
    }
    while stock - few > 1 {
        let middle = few + (stock - few) / 2;
        if enough(middle)? {
            stock = middle;
        } else {
            few = middle;
        }
    }
    Some(stock)
}

/// Whether all are finite and over nought.
fn over_nought(figures: &[f64]) -> bool {
    figures.iter().all(|figure| figure.is_finite() && *figure > 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon::chance::poisson_term;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn what_is_lacking_is_the_sum_of_what_is_lacking(stock in 0_u64..40, mean in 0.01_f64..40.0) {
            let sum: f64 = (stock..400).map(|count| (count - stock) as f64 * poisson_term(count, mean).unwrap()).sum();
            prop_assert!((poisson_lacking(stock, mean).unwrap() - sum).abs() < 1e-11);
        }

        #[test]
        fn the_loss_falls_by_what_is_left_over(z in -6.0_f64..6.0) {
            // The slope of the loss is the chance of a lack, and of twice the loss the loss.
            let (step, demand) = (1e-4, Demand { mean: 0.0, sd: 1.0 });
            let slope = (loss(z - step).unwrap() - loss(z + step).unwrap()) / (2.0 * step);
            prop_assert!((slope - normal(-z).unwrap()).abs() < 1e-7);
            let slope = (demand.lacking_twice(z - step).unwrap() - demand.lacking_twice(z + step).unwrap()) / (2.0 * step);
            prop_assert!((slope - loss(z).unwrap()).abs() < 1e-7);
        }

        #[test]
        fn a_poisson_stock_is_the_least(share in 0.01_f64..0.999, mean in 0.01_f64..2000.0) {
            let stock = poisson_stock(share, mean).unwrap();
            prop_assert!(poisson(stock, mean).unwrap().0 >= share - 1e-12);
            prop_assert!(stock == 0 || poisson(stock - 1, mean).unwrap().0 < share);
        }
    }

    #[test]
    fn a_demand_without_spread_lacks_what_is_short() {
        let sure = Demand { mean: 10.0, sd: 0.0 };
        assert_eq!((sure.lacking(4.0), sure.lacking(12.0), sure.lacking_twice(4.0)), (Some(6.0), Some(0.0), Some(18.0)));
        assert_eq!(Demand { mean: f64::NAN, sd: 1.0 }.lacking(1.0), None);
    }
}
