//! How many to start so that enough pass: the allowance for rejects.
//!
//! Sources: with a known share of rejects, the least n for which a binomial count of passes reaches what is wanted with
//! the confidence asked: A. H. Bowker and G. J. Lieberman, *Engineering Statistics*; the NIST/SEMATECH e-Handbook
//! 1.3.6.6.18. With a share known from a few earlier pieces only, the share itself is uncertain; the count is then
//! beta-binomial, the posterior predictive of A. Gelman and others, *Bayesian Data Analysis*, chapter 2, and the
//! allowance is wider.
//!
//! Where decimal figures make chance and confidence equal, binary ones may fall a hair apart; a chance of failing that
//! is over the one allowed by less than a million-millionth part counts as equal.

use super::chance::{between, binomial};

/// Beyond this a count is no longer exact in binary figures.
const MOST_STARTED: u64 = 1 << 53;
/// The most pieces wanted, and the most rejects gone through, where the share is uncertain.
const MOST_UNSURE: u64 = 10_000_000;
/// Within this share two chances are equal.
const EQUAL: f64 = 1e-12;

/// How many to start, and with which probability enough of them pass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// How many.
    pub start: u64,
    /// The probability that as many as wanted pass, or more.
    pub probability: f64,
}

/// Whether a chance of failing keeps the confidence.
fn kept(failing: f64, confidence: f64) -> bool {
    // The confidence was rounded to binary once, and so was the difference.
    failing <= (1.0 - confidence) * (1.0 + EQUAL) + f64::EPSILON / 2.0
}

/// A probability that keeps the confidence: where it is a hair under, it is the same.
fn told(probability: f64, confidence: f64) -> f64 {
    probability.max(confidence)
}

/// Chances that of `start` pieces `wanted` or more pass, and that fewer do, each being rejected with the probability
/// `reject`. `None` where that is not a share.
///
/// ```
/// // At least 72 good ones of 76, of which one in twenty is bad.
/// let (enough, _) = herl::reckon::allowance::passing(76, 72, 0.05).unwrap();
/// assert_eq!(format!("{enough:.6}"), "0.668898");
/// ```
pub fn passing(start: u64, wanted: u64, reject: f64) -> Option<(f64, f64)> {
    if !(0.0..=1.0).contains(&reject) || start > MOST_STARTED {
        return None;
    }
    if start < wanted {
        return Some((0.0, 1.0));
    }
    if reject == 0.0 || wanted == 0 {
        return Some((1.0, 0.0));
    }
    binomial(start - wanted, start, reject, 1.0 - reject)
}

/// The least number to start so that `wanted` or more pass with this confidence, each being rejected with the
/// probability `reject`. `None` where the confidence is not between 0 and 1 (or 1 where none is rejected), where none ever
/// passes, or where more than nine thousand million million would have to be started.
///
/// ```
/// use herl::reckon::allowance::to_start;
/// assert_eq!(to_start(36, 0.05, 0.95).unwrap().start, 40);
/// assert_eq!(to_start(36, 0.05, 0.99).unwrap().start, 42);
/// ```
pub fn to_start(wanted: u64, reject: f64, confidence: f64) -> Option<Start> {
    let sure = between(confidence) || (confidence == 1.0 && reject == 0.0);
    if !sure || !(0.0..1.0).contains(&reject) || wanted > MOST_STARTED {
        return None;
    }
    let enough = |start: u64| passing(start, wanted, reject).map(|(_, failing)| kept(failing, confidence));
    // Twice as many more each time, then halving between the last two.
    let (mut too_few, mut more) = (None, 0_u64);
    let mut start = wanted;
    while !enough(start)? {
        too_few = Some(start);
        more = (more * 2).max(1);
        start = wanted.checked_add(more).filter(|start| *start <= MOST_STARTED)?;
    }
    if let Some(mut few) = too_few {
        while start - few > 1 {
            let middle = few + (start - few) / 2;
            if enough(middle)? {
                start = middle;
            } else {
                few = middle;
            }
        }
    }
    Some(Start { start, probability: told(passing(start, wanted, reject)?.0, confidence) })
}

/// What is known of rejects from earlier pieces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct History {
    /// How many were rejected.
    pub rejected: u64,
    /// Out of how many.
    pub made: u64,
    /// What was believed before any was made: as if so many had passed and so many been rejected. 1 says that any share
    /// was as likely as any other; a half is Jeffreys' prior.
    pub prior: f64,
}

impl History {
    /// The share of rejects expected of the next piece.
    pub fn expected(&self) -> Option<f64> {
        let (rejects, passes) = self.counts()?;
        Some(rejects / (rejects + passes))
    }

    /// Rejects and passes, each with what was believed before.
    fn counts(&self) -> Option<(f64, f64)> {
        let sound = self.rejected <= self.made && self.made <= MOST_STARTED && self.prior > 0.0 && self.prior <= 1e6;
        sound.then(|| (self.prior + self.rejected as f64, self.prior + (self.made - self.rejected) as f64))
    }

    /// The least number to start so that `wanted` or more pass with this confidence. `None` where the confidence is not
    /// between 0 and 1, or where the history tells so little that it would take more than ten million rejects.
    ///
    /// ```
    /// use herl::reckon::allowance::History;
    /// let ten_good = History { rejected: 0, made: 10, prior: 1.0 };
    /// assert_eq!(ten_good.to_start(24, 0.95).unwrap().start, 32);
    /// ```
    pub fn to_start(&self, wanted: u64, confidence: f64) -> Option<Start> {
        let (rejects, passes) = self.counts()?;
        if !between(confidence) || wanted > MOST_UNSURE {
            return None;
        }
        // Chance of f rejects before the last of the wanted passes; that of none is a product, whose logarithm is summed
        // so that it cannot vanish.
        let mut logarithm: f64 = (0..wanted).map(|pass| -(rejects / (passes + pass as f64)).ln_1p()).sum();
        let (mut term, mut sum) = (1.0, 1.0);
        for f in 0..=MOST_UNSURE {
            let probability = sum * logarithm.exp();
            if kept(1.0 - probability, confidence) {
                return Some(Start { start: wanted + f, probability: told(probability.min(1.0), confidence) });
            }
            let (n, f) = (wanted as f64, f as f64);
            term *= (n + f) / (f + 1.0) * ((rejects + f) / (rejects + passes + n + f));
            sum += term;
            if sum > 1e200 {
                term *= 1e-200;
                sum *= 1e-200;
                logarithm += 200.0 * std::f64::consts::LN_10;
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_is_the_least_number(wanted in 1_u64..400, reject in 0.0_f64..0.9, confidence in 0.05_f64..0.999) {
            let found = to_start(wanted, reject, confidence).unwrap();
            prop_assert!(found.start >= wanted && found.probability >= confidence);
            if found.start > wanted {
                prop_assert!(passing(found.start - 1, wanted, reject).unwrap().0 < confidence);
            }
        }

        #[test]
        fn more_confidence_and_more_rejects_need_more(wanted in 1_u64..200, reject in 0.0_f64..0.5, confidence in 0.5_f64..0.9) {
            let start = |reject, confidence| to_start(wanted, reject, confidence).unwrap().start;
            prop_assert!(start(reject, confidence + 0.09) >= start(reject, confidence));
            prop_assert!(start(reject + 0.1, confidence) >= start(reject, confidence));
        }

        #[test]
        fn little_history_needs_more_than_much(wanted in 1_u64..200, tens in 1_u64..20, confidence in 0.6_f64..0.99) {
            let known = |many: u64| History { rejected: tens * many, made: 20 * tens * many, prior: 0.5 }.to_start(wanted, confidence).unwrap();
            // A vast history is as good as a known share.
            let sure = to_start(wanted, 0.05, confidence).unwrap().start;
            prop_assert!(known(1_000_000).start.abs_diff(sure) <= 1);
            prop_assert!(known(1).start + 1 >= sure);
            prop_assert!(known(1).probability >= confidence - 1e-9);
        }

        #[test]
        fn any_figures_are_taken_without_panic(wanted in any::<u64>(), start in any::<u64>(), reject in any::<f64>(), confidence in any::<f64>()) {
            let _ = (passing(start, wanted, reject), to_start(wanted, reject, confidence));
            let _ = History { rejected: wanted, made: start, prior: reject }.to_start(3, confidence);
        }
    }

    #[test]
    fn a_chance_just_as_great_as_asked_is_enough() {
        // 1 - 0.1² is 0.99 and 0.9³ is 0.729: neither is so in binary.
        assert_eq!(to_start(1, 0.1, 0.99).unwrap().start, 2);
        assert_eq!(to_start(3, 0.1, 0.729), Some(Start { start: 3, probability: 0.729 }));
        assert_eq!(to_start(1, 0.1, 0.999_999_99).unwrap().start, 8);
        assert_eq!(to_start(1, 0.1, 0.999_999_991).unwrap().start, 9);
    }

    #[test]
    fn the_ends() {
        assert_eq!(to_start(36, 0.0, 0.99), Some(Start { start: 36, probability: 1.0 }));
        assert_eq!(to_start(36, 0.0, 1.0).unwrap().start, 36);
        assert_eq!(to_start(0, 0.5, 0.99), Some(Start { start: 0, probability: 1.0 }));
        for (reject, confidence) in [(1.0, 0.9), (-0.1, 0.9), (0.1, 0.0), (0.1, 1.0), (f64::NAN, 0.5), (0.5, f64::NAN)] {
            assert_eq!(to_start(36, reject, confidence), None);
        }
        // A thousand million, of which half are bad: mean and deviation of the normal stand in for it.
        let many = to_start(1_000_000_000, 0.5, 0.95).unwrap();
        let beyond = (many.start - 2_000_000_000) as f64 / 2e9_f64.sqrt();
        assert!((beyond - 1.644_854).abs() < 1e-3, "{beyond}");
        assert!(to_start(1_000_000_000, 0.999_999, 0.95).unwrap().start > 999_000_000_000_000);
        assert_eq!(to_start(1_000_000_000, 0.999_999_999_999, 0.95), None);
        let unknown = History { rejected: 0, made: 0, prior: 0.5 };
        assert_eq!(unknown.to_start(1_000_000, 0.99), None);
        assert!(unknown.to_start(1_000, 0.5).is_some());
        // A chance of no reject that no binary figure can hold.
        assert!(History { rejected: 500, made: 10_000, prior: 1.0 }.to_start(100_000, 0.9).is_some());
    }
}
