//! Learning curves: each doubling of the number made takes the same share off the time.
//!
//! Sources: T. P. Wright, *Journal of the Aeronautical Sciences* 3 (1936) 122, whose curve is of the average up to the
//! n-th; J. R. Crawford (1944), whose curve is of the n-th itself; both as in Heizer, Render and Munson, *Operations
//! Management*, module E. J. R. de Jong, *Ergonomics* 1 (1957) 51, where a share of the work cannot be learnt; H. Asher,
//! *Cost-Quantity Relationships in the Airframe Industry* (RAND R-291, 1956), the curve of Stanford for whoever has
//! made some before. Long sums are by Euler and Maclaurin's formula (Abramowitz and Stegun 23.1.30), so that a thousand
//! million take no longer than a hundred.

use super::{finite, sound};

/// What the curve is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Curve {
    /// Crawford's: the time of the n-th is `first x n^b`.
    Unit,
    /// Wright's: the average of the first n is `first x n^b`.
    Average,
}

/// A learning curve: the first one's time, and the share that is left of it (or of the average) at each doubling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learning {
    /// What the curve is of.
    pub curve: Curve,
    /// Time of the first, in any unit.
    first: f64,
    /// The power b of the number: the logarithm of the rate to base 2.
    power: f64,
}

/// How many terms of a sum are added one by one; behind them the formula is whole to the last digit.
const PLAIN: u64 = 64;

impl Learning {
    /// The curve with this time of the first and this rate, such as 0.85. `None` where the time is not sound or the rate
    /// not over 0, and for a curve of the average also where the rate is a half or less: the second would take no time.
    pub fn new(curve: Curve, first: f64, rate: f64) -> Option<Self> {
        let least = if curve == Curve::Average { 0.5 } else { 0.0 };
        (sound(&[first, rate]) && rate > least).then(|| Learning { curve, first, power: rate.log2() })
    }

    /// The time of the n-th; n from 1.
    ///
    /// ```
    /// use herl::reckon::learning::{Curve, Learning};
    /// assert!((Learning::new(Curve::Unit, 100.0, 0.8).unwrap().unit(4).unwrap() - 64.0).abs() < 1e-12);
    /// assert!((Learning::new(Curve::Average, 100.0, 0.8).unwrap().unit(2).unwrap() - 60.0).abs() < 1e-12);
    /// ```
    pub fn unit(&self, n: u64) -> Option<f64> {
        let number = (n > 0).then_some(n as f64)?;
        finite(match self.curve {
            Curve::Unit => self.first * number.powf(self.power),
            Curve::Average if n == 1 => self.first,
            // n^(1+b) - (n-1)^(1+b), without taking one great figure from another.
            Curve::Average => {
                let power = 1.0 + self.power;
                self.first * number.powf(power) * -(power * (-1.0 / number).ln_1p()).exp_m1()
            }
        })
    }

    /// The time of the first n together; nought for none.
    ///
    /// ```
    /// use herl::reckon::learning::{Curve, Learning};
    /// let hours = Learning::new(Curve::Unit, 100.0, 0.85).unwrap().total(125).unwrap();
    /// assert_eq!(format!("{hours:.3}"), "5201.085");
    /// ```
    pub fn total(&self, n: u64) -> Option<f64> {
        finite(match (self.curve, n) {
            (_, 0) => 0.0,
            (Curve::Unit, n) => self.first * sum_of_powers(n, self.power),
            (Curve::Average, n) => self.first * (n as f64).powf(1.0 + self.power),
        })
    }

    /// The time of those from the `from`-th to the `to`-th, both with it. `None` where `from` is 0 or over `to`.
    pub fn from_to(&self, from: u64, to: u64) -> Option<f64> {
        if from == 0 || from > to {
            return None;
        }
        // One great sum less another loses digits only where the part is small against the whole.
        if to - from < PLAIN {
            return finite((from..=to).map(|n| self.unit(n)).sum::<Option<f64>>()?);
        }
        finite(self.total(to)? - self.total(from - 1)?)
    }

    /// The average of the first n.
    pub fn average(&self, n: u64) -> Option<f64> {
        finite(self.total(n)? / (n > 0).then_some(n as f64)?)
    }
}

/// `1^b + 2^b + ... + n^b`.
fn sum_of_powers(n: u64, b: f64) -> f64 {
    let few = n.min(PLAIN);
    // The small ones first.
    let plain: f64 = if b < 0.0 { (1..=few).rev().map(|i| (i as f64).powf(b)).sum() } else { (1..=few).map(|i| (i as f64).powf(b)).sum() };
    if n == few {
        return plain;
    }
    let (a, z) = (few as f64, n as f64);
    // The integral from a to z, right at b = -1 and near it too.
    let (power, ratio) = (1.0 + b, (z / a).ln());
    let integral = match power * ratio {
        0.0 => ratio,
        near if near.abs() < 1.0 => a.powf(power) * near.exp_m1() / power,
        _ => (z.powf(power) - a.powf(power)) / power,
    };
    let third = b * (b - 1.0) * (b - 2.0);
    let fifth = third * (b - 3.0) * (b - 4.0);
    let slope = |order: i32, factor: f64| factor * (z.powf(b) * z.powi(-order) - a.powf(b) * a.powi(-order));
    let rest = slope(1, b) / 12.0 - slope(3, third) / 720.0 + slope(5, fifth) / 30_240.0;
    plain + integral + (z.powf(b) - a.powf(b)) / 2.0 + rest
}

/// The rate of a curve of the average by which the first takes `first` and the first n together `total`; n from 2.
///
/// ```
/// // 12.5 h for the first and 34.3 h for eight: 0.7.
/// assert!((herl::reckon::learning::rate_by_total(12.5, 34.3, 8).unwrap() - 0.7).abs() < 1e-12);
/// ```
pub fn rate_by_total(first: f64, total: f64, n: u64) -> Option<f64> {
    if !sound(&[first, total]) || first == 0.0 || n < 2 {
        return None;
    }
    let n = n as f64;
    finite((total / (first * n)).powf(1.0 / n.log2()))
}

/// De Jong's time of the n-th: of the first's time the share `fixed` is not learnt; the rest falls by `rate` at each
/// doubling.
pub fn part_fixed(first: f64, rate: f64, fixed: f64, n: u64) -> Option<f64> {
    if !(0.0..=1.0).contains(&fixed) {
        return None;
    }
    Some(first * fixed + (1.0 - fixed) * Learning::new(Curve::Unit, first, rate)?.unit(n)?).and_then(finite)
}

/// The time of the n-th by Stanford's curve, for whoever comes with the practice of `before` made already: `first x
/// (n + before)^b`.
pub fn practised(first: f64, rate: f64, before: f64, n: u64) -> Option<f64> {
    if !sound(&[first, rate, before]) || rate == 0.0 || n == 0 {
        return None;
    }
    finite(first * (n as f64 + before).powf(rate.log2()))
}

/// The time of the n-th where it falls no further than to `floor`.
pub fn to_a_floor(first: f64, rate: f64, floor: f64, n: u64) -> Option<f64> {
    let time = Learning::new(Curve::Unit, first, rate)?.unit(n)?;
    sound(&[floor]).then_some(time.max(floor))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_total_is_the_sum_of_its_units(first in 0.1_f64..1000.0, rate in 0.51_f64..1.2, n in 1_u64..3000) {
            for curve in [Curve::Unit, Curve::Average] {
                let learning = Learning::new(curve, first, rate).unwrap();
                let sum: f64 = (1..=n).map(|i| learning.unit(i).unwrap()).sum();
                let total = learning.total(n).unwrap();
                prop_assert!((sum / total - 1.0).abs() < 1e-11, "{curve:?}: {sum} {total}");
                prop_assert!((learning.average(n).unwrap() * n as f64 / total - 1.0).abs() < 1e-12);
                let part = learning.from_to(n.div_ceil(2), n).unwrap();
                prop_assert!((part + learning.total(n.div_ceil(2) - 1).unwrap() - total).abs() <= 1e-11 * total);
            }
        }

        #[test]
        fn a_doubling_takes_the_rate(first in 0.1_f64..1000.0, rate in 0.51_f64..1.0, n in 1_u64..1_000_000) {
            let unit = Learning::new(Curve::Unit, first, rate).unwrap();
            prop_assert!((unit.unit(2 * n).unwrap() / unit.unit(n).unwrap() - rate).abs() < 1e-12);
            let average = Learning::new(Curve::Average, first, rate).unwrap();
            prop_assert!((average.average(2 * n).unwrap() / average.average(n).unwrap() - rate).abs() < 1e-12);
            let back = rate_by_total(first, average.total(n + 1).unwrap(), n + 1).unwrap();
            prop_assert!((back / rate - 1.0).abs() < 1e-9);
        }

        #[test]
        fn any_figures_are_taken_without_panic(first in any::<f64>(), rate in any::<f64>(), other in any::<f64>(), n in any::<u64>(), m in any::<u64>()) {
            for curve in [Curve::Unit, Curve::Average] {
                if let Some(learning) = Learning::new(curve, first, rate) {
                    let _ = (learning.unit(n), learning.total(n), learning.average(n), learning.from_to(m, n));
                }
            }
            let _ = (rate_by_total(first, rate, n), part_fixed(first, rate, other, n), practised(first, rate, other, n), to_a_floor(first, rate, other, n));
        }
    }

    #[test]
    fn without_learning_all_take_the_same() {
        for curve in [Curve::Unit, Curve::Average] {
            let same = Learning::new(curve, 7.0, 1.0).unwrap();
            assert_eq!(same.total(1_000_000_000), Some(7e9));
            assert!((same.unit(1_000_000_000).unwrap() - 7.0).abs() < 1e-9);
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(Learning::new(Curve::Unit, 1.0, 0.0), None);
        assert_eq!(Learning::new(Curve::Average, 1.0, 0.5), None);
        assert_eq!(Learning::new(Curve::Unit, f64::NAN, 0.9), None);
        assert_eq!(Learning::new(Curve::Unit, -1.0, 0.9), None);
        let learning = Learning::new(Curve::Unit, 1.0, 0.9).unwrap();
        assert_eq!((learning.unit(0), learning.average(0), learning.total(0)), (None, None, Some(0.0)));
        assert_eq!((learning.from_to(0, 3), learning.from_to(4, 3)), (None, None));
        assert_eq!(rate_by_total(1.0, 2.0, 1), None);
        assert_eq!(part_fixed(1.0, 0.9, 1.1, 3), None);
    }
}
