//! Rates: how often something happens in a time, such as mishaps an hour, and whether two rates differ.
//!
//! Sources: F. Garwood, *Biometrika* 28 (1936) 437 (the bounds of a Poisson count); J. Przyborowski and H. Wilenski,
//! *Biometrika* 31 (1940) 313 (two counts: of all that happened, the share that fell to the first is binomial).

use super::chance::{between, binomial_term, chi_square_quantile};
use super::proportion::Interval;
use super::{finite, sound};

/// The most that are counted in two rates: each is a term of their sum.
const MOST_COUNTED: u64 = 1_000_000;

/// Bounds of a rate of which `count` were seen in the time `exposure`, with this confidence, exact.
///
/// ```
/// // None seen in six hours: with 95 % fewer than 0.61 an hour.
/// let rate = herl::reckon::rates::within(0, 6.0, 0.95).unwrap();
/// assert_eq!((rate.low, format!("{:.4}", rate.high).as_str()), (0.0, "0.6148"));
/// ```
pub fn within(count: u64, exposure: f64, confidence: f64) -> Option<Interval> {
    if !between(confidence) || !sound(&[exposure]) || exposure == 0.0 {
        return None;
    }
    let tail = (1.0 - confidence) / 2.0;
    let (count, twice) = (count as f64, 2.0 * exposure);
    let low = if count == 0.0 { 0.0 } else { chi_square_quantile(tail, 2.0 * count)? / twice };
    Some(Interval { low: finite(low)?, high: finite(chi_square_quantile(1.0 - tail, 2.0 * count + 2.0)? / twice)? })
}

/// Chance, both ways, of counts that divide as these do or less likely, if the two rates were one. `None` without
/// exposure, or where more than a million were counted.
pub fn differ(count: u64, exposure: f64, other_count: u64, other_exposure: f64) -> Option<f64> {
    let all = count.checked_add(other_count).filter(|all| *all <= MOST_COUNTED)?;
    let both = finite(exposure + other_exposure)?;
    if !sound(&[exposure, other_exposure]) || exposure == 0.0 || other_exposure == 0.0 {
        return None;
    }
    let (share, rest) = (exposure / both, other_exposure / both);
    let chance = |first: u64| match (first, all - first) {
        (0, others) => rest.powf(others as f64),
        (first, 0) => share.powf(first as f64),
        (first, others) => binomial_term(first as f64, others as f64, share, rest),
    };
    // As likely as this one, within the noise of arithmetic, counts as no likelier.
    let seen = chance(count) * (1.0 + 1e-7);
    let sum: f64 = (0..=all).map(chance).filter(|chance| *chance <= seen).sum();
    finite(sum.min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn bounds_stand_round_the_rate(count in 0_u64..5000, exposure in 0.1_f64..1000.0, confidence in 0.1_f64..0.99) {
            let (bounds, rate) = (within(count, exposure, confidence).unwrap(), count as f64 / exposure);
            prop_assert!(bounds.low <= rate && rate < bounds.high);
        }

        #[test]
        fn any_figures_are_taken_without_panic(n in any::<u64>(), a in any::<f64>(), b in any::<f64>(), few in 0_u64..100) {
            let _ = (within(n, a, b), differ(n, a, few, b), differ(few, a, few, b));
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(within(3, 0.0, 0.9), None);
        assert_eq!(within(3, 1.0, 1.0), None);
        assert_eq!(differ(3, 0.0, 3, 1.0), None);
        assert_eq!(differ(u64::MAX, 1.0, 3, 1.0), None);
        assert_eq!(differ(0, 1.0, 0, 5.0), Some(1.0));
    }
}
