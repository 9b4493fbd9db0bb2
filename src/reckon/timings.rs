//! Timings: how many are needed, how far they spread, and how long so many flies take.
//!
//! Sources: the number needed is that of time study: *Introduction to Work Study* (International Labour Office), and
//! Krajewski, Malhotra and Ritzman, *Operations Management*: n = (z s / (h x))². Times are never below nought and
//! lean to the long side, so one is taken as log-normal; a sum of them is taken as log-normal again with the sum's own
//! mean and variance: L. F. Fenton, *IRE Transactions on Communications Systems* 8 (1960) 57. Standard time itself is in
//! [`standard_time`](super::standard_time).

use super::chance::{normal, normal_quantile, two_sided};
use super::means;
use super::proportion::Interval;
use super::{finite, sound};

pub use super::means::Spread;

/// Mean and standard deviation of timings. `None` with fewer than two, or one that is below nought or not finite.
///
/// ```
/// let seen = herl::reckon::timings::spread(&[3.5, 3.2, 4.1, 3.6, 3.9]).unwrap();
/// assert_eq!(format!("{:.2} {:.4}", seen.mean, seen.sd), "3.66 0.3507");
/// ```
pub fn spread(timings: &[f64]) -> Option<Spread> {
    if sound(timings) { means::spread(timings) } else { None }
}

/// How many timings make the mean sure to within a share of it: `(z sd / (within mean))²`, not yet rounded up. `z` is of
/// the confidence, such as [`two_sided`]. `None` where the mean, the share or `z` is nought or a figure unsound.
///
/// ```
/// use herl::reckon::timings::needed;
/// let n = needed(3.66, 0.350_713_558, 0.05, 1.96).unwrap();
/// assert_eq!((format!("{n:.2}").as_str(), n.ceil()), ("14.11", 15.0));
/// ```
pub fn needed(mean: f64, sd: f64, within: f64, z: f64) -> Option<f64> {
    if !sound(&[mean, sd, within, z]) || mean == 0.0 || within == 0.0 || z == 0.0 {
        return None;
    }
    finite((z * sd / (within * mean)).powi(2))
}

/// The short form of the International Labour Office, for 95.45 % and 5 %:
/// `(40 sqrt(n sum(x²) - sum(x)²) / sum(x))²`, where the deviation is over the whole count.
pub fn needed_short(timings: &[f64]) -> Option<f64> {
    let sum: f64 = timings.iter().sum();
    if timings.is_empty() || !sound(timings) || sum == 0.0 {
        return None;
    }
    let squares: f64 = timings.iter().map(|time| time * time).sum();
    finite((40.0 * (timings.len() as f64 * squares - sum * sum).max(0.0).sqrt() / sum).powi(2))
}

/// A time that is not the same each time: its mean and its variance, in one unit and its square.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moments {
    /// The mean.
    pub mean: f64,
    /// The variance: the standard deviation squared.
    pub variance: f64,
}

impl Moments {
    /// A time of this mean and standard deviation. `None` where one is below nought or not finite.
    pub fn new(mean: f64, sd: f64) -> Option<Self> {
        let variance = finite(sd * sd)?;
        sound(&[mean, sd]).then_some(Moments { mean, variance })
    }

    /// The time of `flies` of such a time each, independent of one another: both moments times their number.
    pub fn of(self, flies: u64) -> Option<Self> {
        let flies = flies as f64;
        Some(Moments { mean: finite(self.mean * flies)?, variance: finite(self.variance * flies)? })
    }

    /// As [`of`](Self::of), where mean and deviation are known from so many `timings` only: the mean may itself be off by
    /// its standard error, and it is off the same way for every fly. `None` without timings.
    pub fn of_known_from(self, flies: u64, timings: u64) -> Option<Self> {
        if timings == 0 {
            return None;
        }
        let sum = self.of(flies)?;
        let off = (flies as f64).powi(2) * self.variance / timings as f64;
        Some(Moments { mean: sum.mean, variance: finite(sum.variance + off)? })
    }

    /// This time and another, independent of it.
    pub fn and(self, other: Self) -> Option<Self> {
        Some(Moments { mean: finite(self.mean + other.mean)?, variance: finite(self.variance + other.variance)? })
    }

    /// The standard deviation.
    pub fn sd(self) -> f64 {
        self.variance.sqrt()
    }

    /// Mean and deviation of the logarithm of a log-normal time with these moments: `sigma² = ln(1 + variance/mean²)`,
    /// `mu = ln(mean) - sigma²/2`. `None` where the mean is nought.
    pub fn logarithms(self) -> Option<(f64, f64)> {
        if self.mean == 0.0 {
            return None;
        }
        let share = self.variance.sqrt() / self.mean;
        let square = (share * share).ln_1p();
        Some((finite(self.mean.ln() - square / 2.0)?, finite(square.sqrt())?))
    }

    /// The time that is kept with this probability.
    pub fn kept(self, probability: f64) -> Option<f64> {
        if self.mean == 0.0 && self.variance == 0.0 {
            return normal_quantile(probability).map(|_| 0.0);
        }
        let (mu, sigma) = self.logarithms()?;
        finite((mu + sigma * normal_quantile(probability)?).exp())
    }

    /// Between which two times it lies with this confidence, as often under as over.
    pub fn range(self, confidence: f64) -> Option<Interval> {
        let z = two_sided(confidence)?;
        if self.mean == 0.0 && self.variance == 0.0 {
            return Some(Interval { low: 0.0, high: 0.0 });
        }
        let (mu, sigma) = self.logarithms()?;
        Some(Interval { low: finite((mu - sigma * z).exp())?, high: finite((mu + sigma * z).exp())? })
    }

    /// Chance that it takes no longer than `limit`.
    pub fn chance_within(self, limit: f64) -> Option<f64> {
        if !sound(&[limit]) {
            return None;
        }
        if self.variance == 0.0 {
            return Some(f64::from(u8::from(self.mean <= limit)));
        }
        if limit == 0.0 {
            return Some(0.0);
        }
        let (mu, sigma) = self.logarithms()?;
        normal((limit.ln() - mu) / sigma)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_range_holds_what_it_says(mean in 0.1_f64..1e4, share in 0.01_f64..2.0, flies in 1_u64..1000, confidence in 0.1_f64..0.99) {
            let sum = Moments::new(mean, mean * share).unwrap().of(flies).unwrap();
            let range = sum.range(confidence).unwrap();
            let inside = sum.chance_within(range.high).unwrap() - sum.chance_within(range.low).unwrap();
            prop_assert!((inside - confidence).abs() < 1e-9);
            prop_assert!((sum.kept(0.5 + confidence / 2.0).unwrap() / range.high - 1.0).abs() < 1e-9);
            // The log-normal's own mean is the sum's.
            let (mu, sigma) = sum.logarithms().unwrap();
            prop_assert!(((mu + sigma * sigma / 2.0).exp() / sum.mean - 1.0).abs() < 1e-9);
        }

        #[test]
        fn fewer_timings_make_a_wider_range(mean in 1.0_f64..100.0, share in 0.05_f64..0.5, flies in 2_u64..200, timings in 2_u64..50) {
            let one = Moments::new(mean, mean * share).unwrap();
            let sure = one.of(flies).unwrap();
            let some = one.of_known_from(flies, timings).unwrap();
            let few = one.of_known_from(flies, timings - 1).unwrap();
            prop_assert!(sure.variance < some.variance && some.variance < few.variance && sure.mean == few.mean);
        }

        #[test]
        fn the_spread_does_not_hang_on_the_order_or_on_what_is_added(times in prop::collection::vec(0.0_f64..100.0, 2..40), more in 0.0_f64..1e6) {
            let seen = spread(&times).unwrap();
            let moved: Vec<f64> = times.iter().rev().map(|time| time + more).collect();
            let again = spread(&moved).unwrap();
            prop_assert!((again.mean - seen.mean - more).abs() < 1e-6 && (again.sd - seen.sd).abs() < 1e-6);
        }

        #[test]
        fn any_figures_are_taken_without_panic(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), n in any::<u64>()) {
            let _ = (needed(a, b, c, a), spread(&[a, b, c]), needed_short(&[a, b, c]));
            if let Some(one) = Moments::new(a, b) {
                let _ = (one.of(n), one.of_known_from(n, n), one.range(c), one.kept(c), one.chance_within(c), one.and(one));
            }
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(spread(&[1.0]), None);
        assert_eq!(spread(&[1.0, -1.0]), None);
        assert_eq!(needed(0.0, 1.0, 0.05, 2.0), None);
        assert_eq!(needed(1.0, 1.0, 0.0, 2.0), None);
        assert_eq!(needed_short(&[0.0, 0.0]), None);
        assert_eq!(Moments::new(-1.0, 0.0), None);
        assert_eq!(Moments::new(5.0, 1.0).unwrap().range(1.0), None);
    }

    #[test]
    fn a_time_without_spread_is_itself() {
        let sure = Moments::new(6.0, 0.0).unwrap().of(10).unwrap();
        assert_eq!(sure.chance_within(59.9), Some(0.0));
        assert_eq!(sure.chance_within(60.0), Some(1.0));
        let range = sure.range(0.9).unwrap();
        assert!((range.low - 60.0).abs() < 1e-12 && range.low == range.high);
    }
}
