//! Chances: the normal, Student, chi-square, beta, binomial and Poisson distributions and their quantiles.
//!
//! Sources: M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions*, chapters 6, 7 and 26: the error
//! function, the incomplete gamma and beta functions and how the distributions hang on them (26.4, 26.5, 26.7). The
//! binomial term is C. Loader's, "Fast and accurate computation of binomial probabilities" (2000), which keeps its
//! digits where factorials in logarithms lose theirs: a bench may ask for a thousand million. The continued fraction
//! of the incomplete beta (26.5.8) is worked by the method of Lentz and Thompson, as in Press and others, *Numerical
//! Recipes*. Quantiles are found by halving, so that they hang on nothing but their distribution.

use libm::{erfc, lgamma};
use std::f64::consts::{PI, SQRT_2};

/// The most terms of a series or a continued fraction that are worked; the gamma function's need some eight times the
/// root of its shape, the beta function's a few hundred.
const MOST_TERMS: u32 = 1_000_000;
/// The greatest shape of the gamma function that is worked.
const MOST_SHAPE: f64 = 1e10;
/// What stands for nought below the line of a continued fraction.
const TINY: f64 = 1e-300;

/// Whether it is a probability between nought and one, neither of them.
pub(super) fn between(share: f64) -> bool {
    share > 0.0 && share < 1.0
}

/// Chance that a standard normal figure is at most `z`. `None` where `z` is not a number.
///
/// ```
/// use herl::reckon::chance::normal;
/// assert!((normal(1.959_963_984_540_054).unwrap() - 0.975).abs() < 1e-15);
/// assert_eq!(normal(f64::NEG_INFINITY), Some(0.0));
/// ```
pub fn normal(z: f64) -> Option<f64> {
    (!z.is_nan()).then(|| 0.5 * erfc(-z / SQRT_2))
}

/// Height of the standard normal curve at `z`.
pub(super) fn normal_height(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// The figure that a standard normal one is at most with this probability. `None` at 0, at 1 and outside.
pub fn normal_quantile(probability: f64) -> Option<f64> {
    if !between(probability) {
        return None;
    }
    let z = over(probability.min(1.0 - probability))?;
    Some(if probability < 0.5 { -z } else { z })
}

/// The figure not below nought that a standard normal one passes with this probability, which is a half at most. No z
/// over 39 leaves a probability a computer knows.
fn over(tail: f64) -> Option<f64> {
    least(0.0, 40.0, |z| Some(0.5 * erfc(z / SQRT_2) <= tail))
}

/// The z between whose negative and itself a standard normal figure lies with this confidence.
///
/// ```
/// let z = herl::reckon::chance::two_sided(0.95).unwrap();
/// assert!((z - 1.959_963_984_540_054).abs() < 1e-14);
/// ```
pub fn two_sided(confidence: f64) -> Option<f64> {
    if between(confidence) { over((1.0 - confidence) / 2.0) } else { None }
}

/// Chance that a figure of Student's distribution is over `t`. `None` without degrees of freedom.
pub fn student_over(t: f64, freedom: f64) -> Option<f64> {
    if t.is_nan() || !(freedom > 0.0 && freedom.is_finite()) {
        return None;
    }
    let square = t * t;
    let tail = if square.is_finite() { 0.5 * beta(freedom / 2.0, 0.5, freedom / (freedom + square), square / (freedom + square))?.0 } else { 0.0 };
    Some(if t < 0.0 { 1.0 - tail } else { tail })
}

/// The figure that one of Student's distribution is at most with this probability.
///
/// ```
/// let t = herl::reckon::chance::student_quantile(0.975, 10.0).unwrap();
/// assert!((t - 2.228_138_851_986_274).abs() < 1e-12);
/// ```
pub fn student_quantile(probability: f64, freedom: f64) -> Option<f64> {
    if !between(probability) {
        return None;
    }
    let tail = probability.min(1.0 - probability);
    if tail == 0.5 {
        return Some(0.0);
    }
    let t = least(0.0, f64::MAX.sqrt(), |t| Some(student_over(t, freedom)? <= tail))?;
    Some(if probability < 0.5 { -t } else { t })
}

/// Chance that a chi-square figure is over `x`. `None` where a figure is unsound.
pub fn chi_square_over(x: f64, freedom: f64) -> Option<f64> {
    gamma(freedom / 2.0, x / 2.0).map(|(_, over)| over)
}

/// The figure that a chi-square one is at most with this probability.
pub fn chi_square_quantile(probability: f64, freedom: f64) -> Option<f64> {
    if !between(probability) {
        return None;
    }
    // The smaller tail keeps the digits.
    least(0.0, f64::MAX, |x| {
        let (under, over) = gamma(freedom / 2.0, x / 2.0)?;
        Some(if probability <= 0.5 { under >= probability } else { over <= 1.0 - probability })
    })
}

/// Chances that a Poisson count of this mean is at most `count`, and that it is more.
pub fn poisson(count: u64, mean: f64) -> Option<(f64, f64)> {
    gamma(count as f64 + 1.0, mean).map(|(under, over)| (over, under))
}

/// Chance that a Poisson count of this mean is just `count`.
pub fn poisson_term(count: u64, mean: f64) -> Option<f64> {
    if !(mean.is_finite() && mean >= 0.0) {
        return None;
    }
    Some(match (mean == 0.0, count) {
        (true, 0) => 1.0,
        (true, _) => 0.0,
        (false, 0) => (-mean).exp(),
        (false, count) => event_term(count as f64, mean),
    })
}

/// `exp(-mean) mean^count / count!`, by way of Stirling's formula; a count over nought, whole or not.
fn event_term(count: f64, mean: f64) -> f64 {
    (-stirling_rest(count) - away(count, mean)).exp() / (2.0 * PI * count).sqrt()
}

/// The shares of the gamma distribution under and over `x` (Abramowitz and Stegun 6.5.29 and 6.5.31).
fn gamma(shape: f64, x: f64) -> Option<(f64, f64)> {
    if !(shape > 0.0 && shape <= MOST_SHAPE && x >= 0.0) {
        return None;
    }
    if x < f64::MIN_POSITIVE {
        return Some((0.0, 1.0));
    }
    let before = if x.is_finite() { event_term(shape, x) } else { 0.0 };
    if before == 0.0 {
        return Some(if x < shape { (0.0, 1.0) } else { (1.0, 0.0) });
    }
    if x < shape + 1.0 {
        let (mut sum, mut term) = (1.0, 1.0);
        for n in 1..=MOST_TERMS {
            term *= x / (shape + f64::from(n));
            sum += term;
            if term <= sum * f64::EPSILON / 4.0 {
                let under = (before * sum).min(1.0);
                return Some((under, 1.0 - under));
            }
        }
        return None;
    }
    let mut b = x + 1.0 - shape;
    let (mut c, mut d) = (1.0 / TINY, 1.0 / b);
    let mut fraction = d;
    for n in 1..=MOST_TERMS {
        let n = f64::from(n);
        let above = n * (shape - n);
        b += 2.0;
        d = 1.0 / kept(above * d + b);
        c = kept(b + above / c);
        fraction *= d * c;
        if (d * c - 1.0).abs() <= f64::EPSILON {
            let over = (before * shape * fraction).clamp(0.0, 1.0);
            return Some((1.0 - over, over));
        }
    }
    None
}

/// The figure, or a tiny one for nought.
fn kept(figure: f64) -> f64 {
    if figure.abs() < TINY { TINY } else { figure }
}

/// Chances that `events` of `trials` or fewer come out, and that more do, each with the probability `share`; `rest`
/// is 1 - share, told apart so that neither loses its digits.
pub fn binomial(events: u64, trials: u64, share: f64, rest: f64) -> Option<(f64, f64)> {
    if events >= trials {
        return Some((1.0, 0.0));
    }
    let (a, b) = (events as f64 + 1.0, (trials - events) as f64);
    beta(a, b, share, rest).map(|(under, over)| (over, under))
}

/// Shares of the beta distribution under and over `x`: `I(x; a, b)` and `1 - I(x; a, b)`; `rest` is 1 - x. `None`
/// where a parameter is not over nought or a share not within 0 and 1.
///
/// ```
/// // Of two fair throws, one or fewer comes out with three quarters.
/// let (under, over) = herl::reckon::chance::beta(2.0, 1.0, 0.5, 0.5).unwrap();
/// assert!((under - 0.25).abs() < 1e-15 && (over - 0.75).abs() < 1e-15);
/// ```
pub fn beta(a: f64, b: f64, x: f64, rest: f64) -> Option<(f64, f64)> {
    let sound = a > 0.0 && b > 0.0 && a.is_finite() && b.is_finite() && (0.0..=1.0).contains(&x) && (0.0..=1.0).contains(&rest);
    if !sound {
        return None;
    }
    if x == 0.0 {
        return Some((0.0, 1.0));
    }
    if rest == 0.0 {
        return Some((1.0, 0.0));
    }
    if x <= (a + 1.0) / (a + b + 2.0) {
        let under = beta_tail(a, b, x, rest)?;
        Some((under, 1.0 - under))
    } else {
        let over = beta_tail(b, a, rest, x)?;
        Some((1.0 - over, over))
    }
}

/// The tail on the side where the continued fraction converges.
fn beta_tail(a: f64, b: f64, x: f64, rest: f64) -> Option<f64> {
    let before = binomial_term(a, b, x, rest) * b / (a + b);
    if before == 0.0 {
        return Some(0.0);
    }
    let (mut c, mut d) = (1.0, 1.0 / kept(1.0 - (a + b) * x / (a + 1.0)));
    let mut fraction = d;
    for term in 1..=MOST_TERMS {
        let m = f64::from(term);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / kept(1.0 + even * d);
        c = kept(1.0 + even / c);
        fraction *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / kept(1.0 + odd * d);
        c = kept(1.0 + odd / c);
        fraction *= d * c;
        if (d * c - 1.0).abs() <= f64::EPSILON {
            return Some((before * fraction).clamp(0.0, 1.0));
        }
    }
    None
}

/// The x under which the beta distribution has this share.
pub fn beta_quantile(a: f64, b: f64, share: f64) -> Option<f64> {
    if !between(share) {
        return None;
    }
    least(0.0, 1.0, |x| {
        let (under, over) = beta(a, b, x, 1.0 - x)?;
        Some(if share <= 0.5 { under >= share } else { over <= 1.0 - share })
    })
}

/// Chance of just `hits` and `misses`, with the probability `share` of a hit and `rest` of a miss: Loader's way. Both
/// counts over nought, whole or not (then of the gamma function).
pub(super) fn binomial_term(hits: f64, misses: f64, share: f64, rest: f64) -> f64 {
    let trials = hits + misses;
    let exponent = stirling_rest(trials) - stirling_rest(hits) - stirling_rest(misses) - away(hits, trials * share) - away(misses, trials * rest);
    exponent.exp() * (trials / (2.0 * PI * hits * misses)).sqrt()
}

/// What Stirling's formula leaves out of the logarithm of a factorial.
fn stirling_rest(n: f64) -> f64 {
    if n <= 15.0 {
        return lgamma(n + 1.0) - (n + 0.5) * n.ln() + n - 0.5 * (2.0 * PI).ln();
    }
    let square = n * n;
    (1.0 / 12.0 - (1.0 / 360.0 - (1.0 / 1260.0 - (1.0 / 1680.0 - 1.0 / 1188.0 / square) / square) / square) / square) / n
}

/// `x ln(x / mean) + mean - x`, by its series where the two are near each other.
fn away(x: f64, mean: f64) -> f64 {
    if (x - mean).abs() >= 0.1 * (x + mean) {
        return if x == 0.0 { mean } else { x * (x / mean).ln() + mean - x };
    }
    let v = (x - mean) / (x + mean);
    let mut sum = (x - mean) * v;
    let mut power = 2.0 * x * v;
    // v is under a tenth, so that a dozen terms are plenty.
    for term in 1..100_u32 {
        power *= v * v;
        let next = sum + power / f64::from(2 * term + 1);
        if next == sum {
            break;
        }
        sum = next;
    }
    sum
}

/// The least figure from `low` to `high` (neither below nought) at which `reached` holds, which holds from there on.
/// Halves the row of all figures a computer knows, so that sixty-four steps find it to the last digit. `None` where it
/// is not reached at `high`.
pub(super) fn least(low: f64, high: f64, reached: impl Fn(f64) -> Option<bool>) -> Option<f64> {
    if reached(low)? {
        return Some(low);
    }
    if !reached(high)? {
        return None;
    }
    // Figures not below nought stand in the same order as their bits.
    let (mut low, mut high) = (low.to_bits(), high.to_bits());
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if reached(f64::from_bits(middle))? {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(f64::from_bits(high))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_figures_are_taken_without_panic(a in any::<f64>(), b in any::<f64>(), x in any::<f64>(), n in any::<u64>()) {
            let _ = (normal(x), normal_quantile(x), two_sided(x), student_over(x, a), student_quantile(x, a));
            let _ = (chi_square_over(x, a), chi_square_quantile(x, a), poisson(n, x), poisson_term(n, x));
            let _ = (beta(a, b, x, 1.0 - x), beta_quantile(a, b, x));
        }

        #[test]
        fn quantiles_come_back(p in 0.001_f64..0.999, freedom in 1.0_f64..1000.0, b in 0.5_f64..500.0) {
            prop_assert!((normal(normal_quantile(p).unwrap()).unwrap() - p).abs() < 1e-14);
            prop_assert!((student_over(student_quantile(p, freedom).unwrap(), freedom).unwrap() - (1.0 - p)).abs() < 1e-12);
            prop_assert!((chi_square_over(chi_square_quantile(p, freedom).unwrap(), freedom).unwrap() - (1.0 - p)).abs() < 1e-11);
            let x = beta_quantile(freedom, b, p).unwrap();
            prop_assert!((beta(freedom, b, x, 1.0 - x).unwrap().0 - p).abs() < 1e-11);
        }

        #[test]
        fn binomial_is_the_sum_of_its_terms(trials in 2_u64..60, share in 0.01_f64..0.99, some in 0.0_f64..1.0) {
            let events = (some * (trials - 1) as f64) as u64;
            let (rest, n) = (1.0 - share, trials as f64);
            let term = |k: u64| if k == 0 { rest.powf(n) } else { binomial_term(k as f64, (trials - k) as f64, share, rest) };
            let sum: f64 = (0..=events).map(term).sum();
            prop_assert!((binomial(events, trials, share, rest).unwrap().0 - sum).abs() < 1e-13);
        }

        #[test]
        fn poisson_is_the_sum_of_its_terms(count in 0_u64..60, mean in 0.01_f64..60.0) {
            let sum: f64 = (0..=count).filter_map(|k| poisson_term(k, mean)).sum();
            prop_assert!((poisson(count, mean).unwrap().0 - sum).abs() < 1e-12);
        }
    }

    /// Student's distribution has a closed form with one and with two degrees of freedom (Abramowitz and Stegun 26.7.3-4).
    #[test]
    fn student_by_its_closed_forms() {
        for t in [0.1, 1.0, 3.0, 50.0] {
            assert!((student_over(t, 1.0).unwrap() - (1.0_f64 / t).atan() / PI).abs() < 4e-15);
            assert!((student_over(t, 2.0).unwrap() - 0.5 * (1.0 - t / (2.0 + t * t).sqrt())).abs() < 1e-14);
        }
    }

    /// Of a very great number the middle of the binomial is its mean, and a step of a deviation away is normal.
    #[test]
    fn a_thousand_million_keep_their_digits() {
        let (n, sd) = (1_000_000_000_u64, (1e9_f64 * 0.25).sqrt());
        let (under, over) = binomial(n / 2, n, 0.5, 0.5).unwrap();
        // By symmetry the two differ by the middle term, 1 / sqrt(pi n / 2).
        assert!(((under - over) - (PI * 5e8).sqrt().recip()).abs() < 1e-10, "{under} {over}");
        let (under, _) = binomial(n / 2 + sd as u64, n, 0.5, 0.5).unwrap();
        assert!((under - normal(1.0).unwrap()).abs() < 1e-4);
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(normal(f64::NAN), None);
        for share in [0.0, 1.0, -0.1, 1.1, f64::NAN] {
            assert_eq!(normal_quantile(share), None);
            assert_eq!(two_sided(share), None);
            assert_eq!(student_quantile(share, 3.0), None);
            assert_eq!(beta_quantile(1.0, 1.0, share), None);
        }
        assert_eq!(student_over(1.0, 0.0), None);
        assert_eq!(beta(0.0, 1.0, 0.5, 0.5), None);
        assert_eq!(poisson(3, f64::NAN), None);
    }
}
