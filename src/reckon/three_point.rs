//! A duration guessed at by three figures: the shortest, the likeliest and the longest it could take.
//!
//! Source: the three-point estimate of PERT (D. G. Malcolm, J. H. Roseboom, C. E. Clark and W. Fazar, "Application of a
//! technique for research and development program evaluation", Operations Research 7, 1959).

use super::{finite, sound};

/// Mean and variance by the three figures: `(a + 4m + b) / 6` and `((b - a) / 6)²`, in their unit and its square.
/// `None` unless shortest <= likeliest <= longest.
///
/// ```
/// let (mean, variance) = herl::reckon::three_point::estimate(4.0, 5.0, 12.0).unwrap();
/// assert_eq!(mean, 6.0);
/// assert!((variance - 1.7778).abs() < 1e-4);
/// ```
pub fn estimate(shortest: f64, likeliest: f64, longest: f64) -> Option<(f64, f64)> {
    if !sound(&[shortest, likeliest, longest]) || shortest > likeliest || likeliest > longest {
        return None;
    }
    let mean = finite((shortest + 4.0 * likeliest + longest) / 6.0)?;
    let sixth = (longest - shortest) / 6.0;
    Some((mean, finite(sixth * sixth)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(estimate(2.0, 1.0, 3.0), None);
        assert_eq!(estimate(1.0, 4.0, 3.0), None);
        assert_eq!(estimate(-1.0, 2.0, 3.0), None);
        assert_eq!(estimate(1.0, f64::NAN, 3.0), None);
        assert_eq!(estimate(f64::MAX, f64::MAX, f64::MAX), None);
    }
}
