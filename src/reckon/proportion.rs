//! Proportions: between which bounds a share lies of which some were seen, and whether two shares differ.
//!
//! Sources: E. B. Wilson, *Journal of the American Statistical Association* 22 (1927) 209; C. J. Clopper and E. S.
//! Pearson, *Biometrika* 26 (1934) 404; R. G. Newcombe, *Statistics in Medicine* 17 (1998) 857 (one proportion, with
//! the correction for continuity) and 873 (the difference of two, method 10); A. Agresti and B. A. Coull, *American
//! Statistician* 52 (1998) 119; L. D. Brown, T. T. Cai and A. DasGupta, *Statistical Science* 16 (2001) 101 (Jeffreys);
//! R. A. Fisher, *The Design of Experiments* (1935), chapter 2.

use super::chance::{beta_quantile, between, binomial_term, chi_square_over, two_sided};

/// The most things that are counted in a table of two proportions: each is a term of its sum.
const MOST_COUNTED: u64 = 1_000_000;

/// Between which bounds a figure lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// The lower bound.
    pub low: f64,
    /// The upper bound.
    pub high: f64,
}

/// How the bounds of a proportion are found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Wilson's score interval: right on the average, and of sense even with none or all.
    Wilson,
    /// Wilson's with a correction for continuity: seldom under the confidence.
    WilsonCorrected,
    /// Clopper and Pearson's: never under the confidence, and so wide.
    ClopperPearson,
    /// Agresti and Coull's: Wilson's middle with a plain width.
    AgrestiCoull,
    /// Of equal tails by Jeffreys' prior, not set to 0 or 1 where none or all were seen.
    Jeffreys,
}

/// Bounds of a proportion of which `hits` of `trials` were seen, with this two-sided confidence. `None` without
/// trials, with more hits than trials, or where the confidence is not between 0 and 1.
///
/// ```
/// use herl::reckon::proportion::{Method, interval};
/// // Newcombe 1998: 81 of 263.
/// let seen = interval(81, 263, 0.95, Method::Wilson).unwrap();
/// assert_eq!(format!("{:.4} {:.4}", seen.low, seen.high), "0.2553 0.3662");
/// ```
pub fn interval(hits: u64, trials: u64, confidence: f64, method: Method) -> Option<Interval> {
    if trials == 0 || hits > trials || !between(confidence) {
        return None;
    }
    let z = two_sided(confidence)?;
    let tail = (1.0 - confidence) / 2.0;
    let (none, all) = (hits == 0, hits == trials);
    let (x, n) = (hits as f64, trials as f64);
    let misses = (trials - hits) as f64;
    let (low, high) = match method {
        Method::Wilson => {
            let (low, high) = wilson(x, n, z);
            (if none { 0.0 } else { low }, if all { 1.0 } else { high })
        }
        Method::WilsonCorrected => {
            let (share, z2) = (x / n, z * z);
            let below = (z2 - 2.0 - 1.0 / n + 4.0 * share * (misses + 1.0)).max(0.0).sqrt();
            let above = (z2 + 2.0 - 1.0 / n + 4.0 * share * (misses - 1.0)).max(0.0).sqrt();
            let low = (2.0 * x + z2 - 1.0 - z * below) / (2.0 * (n + z2));
            let high = (2.0 * x + z2 + 1.0 + z * above) / (2.0 * (n + z2));
            (if none { 0.0 } else { low }, if all { 1.0 } else { high })
        }
        Method::ClopperPearson => {
            (if none { 0.0 } else { beta_quantile(x, misses + 1.0, tail)? }, if all { 1.0 } else { 1.0 - beta_quantile(misses, x + 1.0, tail)? })
        }
        Method::AgrestiCoull => {
            let n = n + z * z;
            let middle = (x + z * z / 2.0) / n;
            let half = z * (middle * (1.0 - middle) / n).sqrt();
            (middle - half, middle + half)
        }
        Method::Jeffreys => (beta_quantile(x + 0.5, misses + 0.5, tail)?, 1.0 - beta_quantile(misses + 0.5, x + 0.5, tail)?),
    };
    Some(Interval { low: low.clamp(0.0, 1.0), high: high.clamp(0.0, 1.0) })
}

/// Wilson's bounds, as they come out.
fn wilson(x: f64, n: f64, z: f64) -> (f64, f64) {
    let middle = x + z * z / 2.0;
    let half = z * (x * ((n - x) / n) + z * z / 4.0).sqrt();
    ((middle - half) / (n + z * z), (middle + half) / (n + z * z))
}

/// Two groups: hits and trials of each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Two {
    /// Hits of the first.
    pub hits: u64,
    /// Trials of the first.
    pub trials: u64,
    /// Hits of the second.
    pub other_hits: u64,
    /// Trials of the second.
    pub other_trials: u64,
}

impl Two {
    /// The two groups; `None` where one has more hits than trials, no trials, or both together over a million.
    pub fn new(hits: u64, trials: u64, other_hits: u64, other_trials: u64) -> Option<Self> {
        let sound = hits <= trials && other_hits <= other_trials && trials > 0 && other_trials > 0;
        let few = trials <= MOST_COUNTED && other_trials <= MOST_COUNTED && trials + other_trials <= MOST_COUNTED;
        (sound && few).then_some(Two { hits, trials, other_hits, other_trials })
    }

    /// Bounds of the first proportion less the second, with this confidence: Newcombe's method 10, of the two Wilson
    /// intervals.
    pub fn difference(&self, confidence: f64) -> Option<Interval> {
        let one = interval(self.hits, self.trials, confidence, Method::Wilson)?;
        let other = interval(self.other_hits, self.other_trials, confidence, Method::Wilson)?;
        let (p, q) = (self.hits as f64 / self.trials as f64, self.other_hits as f64 / self.other_trials as f64);
        Some(Interval { low: p - q - (p - one.low).hypot(other.high - q), high: p - q + (one.high - p).hypot(q - other.low) })
    }

    /// Fisher's exact test.
    pub fn fisher(&self) -> Option<Fisher> {
        let hits = self.hits + self.other_hits;
        let (from, to) = (hits.saturating_sub(self.other_trials), hits.min(self.trials));
        // As likely as this one, within the noise of arithmetic, counts as no likelier.
        let seen = self.chance_of(self.hits) * (1.0 + 1e-7);
        let (mut two_sided, mut greater, mut less) = (0.0, 0.0, 0.0);
        for first in from..=to {
            let chance = self.chance_of(first);
            if chance <= seen {
                two_sided += chance;
            }
            if first >= self.hits {
                greater += chance;
            }
            if first <= self.hits {
                less += chance;
            }
        }
        let sound = |sum: f64| sum.is_finite().then_some(sum.min(1.0));
        Some(Fisher { two_sided: sound(two_sided)?, greater: sound(greater)?, less: sound(less)? })
    }

    /// Chance of so many hits in the first group, all four sums of the table being what they are: hypergeometric, by
    /// binomial terms of one and the same share, which falls out.
    fn chance_of(&self, first: u64) -> f64 {
        let (hits, all) = (self.hits + self.other_hits, self.trials + self.other_trials);
        if hits == 0 || hits == all {
            return 1.0;
        }
        let share = hits as f64 / all as f64;
        let rest = (all - hits) as f64 / all as f64;
        let term = |hits: u64, trials: u64| match (hits, trials - hits) {
            (0, misses) => rest.powf(misses as f64),
            (hits, 0) => share.powf(hits as f64),
            (hits, misses) => binomial_term(hits as f64, misses as f64, share, rest),
        };
        term(first, self.trials) * term(hits - first, self.other_trials) / term(hits, all)
    }

    /// Chance of a chi-square (Pearson's, one degree of freedom) as great as this table's if the two proportions were
    /// one, with Yates' correction for continuity where `corrected`. `None` where a sum of the table is nought: no
    /// difference can be seen.
    pub fn chi_square(&self, corrected: bool) -> Option<f64> {
        let [a, b, c, d] = [self.hits, self.trials - self.hits, self.other_hits, self.other_trials - self.other_hits].map(|count| count as f64);
        let all = a + b + c + d;
        let below = (a + b) * (c + d) * (a + c) * (b + d);
        if below == 0.0 {
            return None;
        }
        let apart = (a * d - b * c).abs();
        let apart = if corrected { (apart - all / 2.0).max(0.0) } else { apart };
        chi_square_over(all * apart * apart / below, 1.0)
    }
}

/// Chances by Fisher's exact test of a table like this one if the two proportions were one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fisher {
    /// Of a table no likelier than this one.
    pub two_sided: f64,
    /// Of as many hits or more in the first group.
    pub greater: f64,
    /// Of as many hits or fewer in the first group.
    pub less: f64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const ALL: [Method; 5] = [Method::Wilson, Method::WilsonCorrected, Method::ClopperPearson, Method::AgrestiCoull, Method::Jeffreys];

    proptest! {
        #[test]
        fn bounds_stand_round_the_share_and_mirror(trials in 1_u64..2000, some in 0.0_f64..=1.0, confidence in 0.5_f64..0.999) {
            let hits = (some * trials as f64) as u64;
            let share = hits as f64 / trials as f64;
            for method in ALL {
                let seen = interval(hits, trials, confidence, method).unwrap();
                let other = interval(trials - hits, trials, confidence, method).unwrap();
                prop_assert!((seen.low - (1.0 - other.high)).abs() < 1e-12 && (seen.high - (1.0 - other.low)).abs() < 1e-12, "{method:?}");
                prop_assert!(0.0 <= seen.low && seen.low < seen.high && seen.high <= 1.0, "{method:?}");
                // Jeffreys' leaves out 0 and 1 even where none or all were seen.
                prop_assert!(method == Method::Jeffreys || (seen.low <= share + 1e-12 && share <= seen.high + 1e-12), "{method:?}");
            }
        }

        #[test]
        fn fishers_tails_share_the_table_itself(n in 1_u64..60, m in 1_u64..60, some in 0.0_f64..=1.0, others in 0.0_f64..=1.0) {
            let two = Two::new((some * n as f64) as u64, n, (others * m as f64) as u64, m).unwrap();
            let told = two.fisher().unwrap();
            prop_assert!((told.greater + told.less - 1.0 - two.chance_of(two.hits)).abs() < 1e-12);
            prop_assert!(told.two_sided >= told.greater.min(told.less) - 1e-12);
        }

        #[test]
        fn any_figures_are_taken_without_panic(hits in any::<u64>(), trials in any::<u64>(), confidence in any::<f64>()) {
            for method in ALL {
                let _ = interval(hits, trials, confidence, method);
            }
        }
    }

    #[test]
    fn counts_out_of_all_bounds_are_worked_or_refused() {
        for method in ALL {
            let seen = interval(500_000_000, 1_000_000_000, 0.95, method).unwrap();
            assert!((seen.high - seen.low - 2.0 * 1.959_964 * 0.5 / 1e9_f64.sqrt()).abs() < 1e-8, "{method:?} {seen:?}");
            assert_eq!(interval(0, 0, 0.95, method), None);
            assert_eq!(interval(2, 1, 0.95, method), None);
            assert_eq!(interval(1, 2, 1.0, method), None);
            assert_eq!(interval(1, 2, f64::NAN, method), None);
        }
        assert_eq!(Two::new(1, 0, 1, 1), None);
        assert_eq!(Two::new(1, u64::MAX, 1, 2), None);
        assert_eq!(Two::new(0, 5, 0, 5).unwrap().chi_square(false), None);
    }
}
