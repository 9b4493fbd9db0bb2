//! Normal and standard time of work measurement.
//!
//! Source: time study as in *Introduction to Work Study* (International Labour Office) and any text on
//! operations management. Two customs of the allowance exist and give different figures, so each is named.

use super::{finite, sound};

/// Allowance for rest and needs, as a share such as 0.15.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Allowance {
    /// Added to the job: `normal x (1 + share)`.
    OfTheJob(f64),
    /// Taken out of the day: `normal / (1 - share)`.
    OfTheDay(f64),
}

/// Mean of timings, in their unit; `None` without any.
pub fn observed(timings: &[f64]) -> Option<f64> {
    if timings.is_empty() || !sound(timings) {
        return None;
    }
    finite(timings.iter().sum::<f64>() / timings.len() as f64)
}

/// Normal time: the observed time times the rating of the worker's pace (1 is normal).
pub fn normal(observed: f64, rating: f64) -> Option<f64> {
    sound(&[observed, rating]).then_some(observed * rating).and_then(finite)
}

/// Standard time: the normal time with its allowance. `None` where a day's allowance is the whole day or more.
///
/// ```
/// use herl::reckon::standard_time::{Allowance, standard};
/// assert_eq!(standard(10.0, Allowance::OfTheJob(0.25)), Some(12.5));
/// assert_eq!(standard(10.0, Allowance::OfTheDay(0.2)), Some(12.5));
/// ```
pub fn standard(normal: f64, allowance: Allowance) -> Option<f64> {
    if !sound(&[normal]) {
        return None;
    }
    match allowance {
        Allowance::OfTheJob(share) if sound(&[share]) => finite(normal * (1.0 + share)),
        Allowance::OfTheDay(share) if sound(&[share]) && share < 1.0 => finite(normal / (1.0 - share)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(observed(&[]), None);
        assert_eq!(observed(&[1.0, f64::NAN]), None);
        assert_eq!(standard(1.0, Allowance::OfTheDay(1.0)), None);
        assert_eq!(standard(1.0, Allowance::OfTheJob(-0.1)), None);
        assert_eq!(standard(1.0, Allowance::OfTheJob(f64::NAN)), None);
    }
}
