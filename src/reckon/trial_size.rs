//! How many trials each of two groups needs, so that a difference of two proportions is likely to be seen.
//!
//! Sources: J. L. Fleiss, B. Levin and M. C. Paik, *Statistical Methods for Rates and Proportions*, chapter 4 (one common
//! proportion where there is no difference; with the correction for continuity); NIST/SEMATECH e-Handbook 7.2.4.2 (each
//! by its own); J. Cohen, *Statistical Power Analysis for the Behavioral Sciences*, chapter 6 (by arcsines).

use super::chance::{between, normal_quantile, two_sided};
use super::finite;

/// Trials of each group, not yet rounded up, by four ways.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trials {
    /// Each group's spread by its own proportion.
    pub own: f64,
    /// The spread without a difference by the common proportion.
    pub common: f64,
    /// The same, corrected for continuity: for Fisher's test.
    pub corrected: f64,
    /// By arcsines of the roots.
    pub arcsine: f64,
}

/// Trials of each group for the proportions `one` and `other` to be told apart with the probability `power`, where
/// without a difference one is seen with the probability `alpha` at most, both ways. `None` where one of the four is not
/// between 0 and 1, or there is no difference.
///
/// ```
/// let trials = herl::reckon::trial_size::needed(0.1, 0.2, 0.8, 0.05).unwrap();
/// assert_eq!((trials.own.ceil(), trials.common.ceil(), trials.corrected.ceil()), (197.0, 199.0, 219.0));
/// ```
pub fn needed(one: f64, other: f64, power: f64, alpha: f64) -> Option<Trials> {
    if !(between(one) && between(other) && between(power) && between(alpha)) {
        return None;
    }
    let apart = (one - other).abs();
    let (seen, sure) = (two_sided(1.0 - alpha)?, normal_quantile(power)?);
    let (middle, own) = ((one + other) / 2.0, one * (1.0 - one) + other * (1.0 - other));
    let common = ((seen * (2.0 * middle * (1.0 - middle)).sqrt() + sure * own.sqrt()) / apart).powi(2);
    let arcs = 2.0 * one.sqrt().asin() - 2.0 * other.sqrt().asin();
    Some(Trials {
        own: finite((seen + sure).powi(2) * own / (apart * apart))?,
        common: finite(common)?,
        corrected: finite(common / 4.0 * (1.0 + (1.0 + 4.0 / (common * apart)).sqrt()).powi(2))?,
        arcsine: finite(2.0 * ((seen + sure) / arcs).powi(2))?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_smaller_difference_and_more_power_need_more(one in 0.05_f64..0.4, apart in 0.05_f64..0.3, power in 0.55_f64..0.9) {
            let at = |apart: f64, power: f64| needed(one, one + apart, power, 0.05).unwrap();
            let trials = at(apart, power);
            prop_assert!(at(apart, power + 0.05).common > trials.common && at(apart * 0.9, power).own > trials.own);
            prop_assert!(trials.corrected > trials.common);
        }

        #[test]
        fn any_figures_are_taken_without_panic(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
            let _ = needed(a, b, c, d);
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(needed(0.2, 0.2, 0.8, 0.05), None);
        assert_eq!(needed(0.0, 0.2, 0.8, 0.05), None);
        assert_eq!(needed(0.1, 0.2, 1.0, 0.05), None);
    }
}
