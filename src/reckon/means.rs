//! Means: how far figures spread, between which bounds their mean lies, and whether two means differ.
//!
//! Sources: Student (W. S. Gosset), *Biometrika* 6 (1908) 1; B. L. Welch, *Biometrika* 34 (1947) 28, for two that do not
//! spread alike; mean and deviation are worked as the figures come: B. P. Welford, *Technometrics* 4 (1962) 419.

use super::chance::{between, binomial, student_over, student_quantile};
use super::finite;
use super::proportion::Interval;

/// What figures tell: how many, their mean and their standard deviation, in the figures' unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// How many there are.
    pub count: u64,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation (of a sample: over one less than the count).
    pub sd: f64,
}

/// Mean and standard deviation. `None` with fewer than two figures, or one that is not finite.
pub fn spread(figures: &[f64]) -> Option<Spread> {
    if figures.len() < 2 {
        return None;
    }
    let (mut mean, mut squares) = (0.0, 0.0);
    for (before, figure) in figures.iter().enumerate() {
        let off = figure - mean;
        mean += off / (before as f64 + 1.0);
        squares += off * (figure - mean);
    }
    let sd = (squares / (figures.len() as f64 - 1.0)).sqrt();
    Some(Spread { count: figures.len() as u64, mean: finite(mean)?, sd: finite(sd)? })
}

/// Whether two means differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Apart {
    /// The first less the second.
    pub difference: f64,
    /// Its standard error.
    pub error: f64,
    /// Degrees of freedom.
    pub freedom: f64,
}

impl Apart {
    /// How many of its errors the difference is. `None` where nothing spreads.
    pub fn t(&self) -> Option<f64> {
        finite(self.difference / self.error)
    }

    /// Chance, both ways, of a difference as great if there were none.
    pub fn chance(&self) -> Option<f64> {
        Some(2.0 * student_over(self.t()?.abs(), self.freedom)?)
    }

    /// Bounds of the difference.
    pub fn within(&self, confidence: f64) -> Option<Interval> {
        around(self.difference, self.error, self.freedom, confidence)
    }
}

fn around(middle: f64, error: f64, freedom: f64, confidence: f64) -> Option<Interval> {
    if !between(confidence) {
        return None;
    }
    let half = student_quantile(0.5 + confidence / 2.0, freedom)? * error;
    Some(Interval { low: finite(middle - half)?, high: finite(middle + half)? })
}

impl Spread {
    /// Whether it can be one of figures.
    fn sound(&self) -> bool {
        self.count >= 2 && self.mean.is_finite() && self.sd.is_finite() && self.sd >= 0.0
    }

    /// The variance of the mean.
    fn of_mean(&self) -> f64 {
        self.sd * self.sd / self.count as f64
    }

    /// Bounds of the mean with this confidence: `mean +- t sd / sqrt(count)`.
    ///
    /// ```
    /// let seen = herl::reckon::means::spread(&[4.0, 5.0, 6.0]).unwrap();
    /// let bounds = seen.within(0.95).unwrap();
    /// assert_eq!(format!("{:.3} {:.3}", bounds.low, bounds.high), "2.516 7.484");
    /// ```
    pub fn within(&self, confidence: f64) -> Option<Interval> {
        if !self.sound() {
            return None;
        }
        around(self.mean, self.of_mean().sqrt(), self.count as f64 - 1.0, confidence)
    }

    /// This mean against another, by Welch: each spreads in its own way. `None` where neither spreads.
    pub fn against(&self, other: &Spread) -> Option<Apart> {
        if !(self.sound() && other.sound()) {
            return None;
        }
        let (one, two) = (self.of_mean(), other.of_mean());
        let freedom = (one + two).powi(2) / (one * one / (self.count as f64 - 1.0) + two * two / (other.count as f64 - 1.0));
        Some(Apart { difference: finite(self.mean - other.mean)?, error: finite((one + two).sqrt())?, freedom: finite(freedom)? })
    }

    /// This mean against another, by Student: both spread alike.
    pub fn against_alike(&self, other: &Spread) -> Option<Apart> {
        if !(self.sound() && other.sound()) {
            return None;
        }
        let (one, two) = (self.count as f64, other.count as f64);
        let freedom = one + two - 2.0;
        let variance = ((one - 1.0) * self.sd * self.sd + (two - 1.0) * other.sd * other.sd) / freedom;
        Some(Apart { difference: finite(self.mean - other.mean)?, error: finite((variance * (1.0 / one + 1.0 / two)).sqrt())?, freedom })
    }
}

/// Pairs, the first of each against the second. `None` unless both have as many figures, two or more.
pub fn paired(one: &[f64], other: &[f64]) -> Option<Apart> {
    if one.len() != other.len() {
        return None;
    }
    let differences: Vec<f64> = one.iter().zip(other).map(|(one, other)| one - other).collect();
    let spread = spread(&differences)?;
    Some(Apart { difference: spread.mean, error: spread.of_mean().sqrt(), freedom: spread.count as f64 - 1.0 })
}

/// Chance, both ways, of so few (or so many) pairs in which the first is greater, if either were as likely: the sign
/// test; pairs that are alike count for nothing. `None` where all are.
pub fn signs(greater: u64, smaller: u64) -> Option<f64> {
    let all = greater.checked_add(smaller).filter(|all| *all > 0)?;
    let fewer = binomial(greater.min(smaller), all, 0.5, 0.5)?.0;
    Some((2.0 * fewer).min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_spread_does_not_hang_on_the_order_or_on_what_is_added(figures in prop::collection::vec(-100.0_f64..100.0, 2..40), more in -1e6_f64..1e6) {
            let seen = spread(&figures).unwrap();
            let moved: Vec<f64> = figures.iter().rev().map(|figure| figure + more).collect();
            let again = spread(&moved).unwrap();
            prop_assert!((again.mean - seen.mean - more).abs() < 1e-6 && (again.sd - seen.sd).abs() < 1e-6);
        }

        #[test]
        fn bounds_leave_out_nought_where_the_chance_is_small(one in prop::collection::vec(0.0_f64..10.0, 3..20), other in prop::collection::vec(1.0_f64..12.0, 3..20)) {
            let (one, other) = (spread(&one).unwrap(), spread(&other).unwrap());
            for apart in [one.against(&other).unwrap(), one.against_alike(&other).unwrap()] {
                let bounds = apart.within(0.95).unwrap();
                let leaves_out = bounds.low > 0.0 || bounds.high < 0.0;
                prop_assert!(leaves_out == (apart.chance().unwrap() < 0.05));
            }
        }

        #[test]
        fn any_figures_are_taken_without_panic(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), n in any::<u64>()) {
            let _ = (spread(&[a, b, c]), paired(&[a, b], &[b, c]), signs(n, n / 2));
            let (one, other) = (Spread { count: n, mean: a, sd: b }, Spread { count: 3, mean: c, sd: a });
            let _ = one.within(c);
            for apart in [one.against(&other), one.against_alike(&other)].into_iter().flatten() {
                let _ = (apart.t(), apart.chance(), apart.within(b));
            }
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(spread(&[1.0]), None);
        assert_eq!(spread(&[1.0, f64::NAN]), None);
        let same = spread(&[2.0, 2.0]).unwrap();
        assert_eq!(same.against(&same), None);
        assert_eq!(same.within(1.0), None);
        assert_eq!(paired(&[1.0, 2.0], &[1.0]), None);
        assert_eq!((signs(0, 0), signs(3, 3), signs(u64::MAX, 1)), (None, Some(1.0), None));
    }
}
