//! How many to start at a time where it may be begun again: the least cost on the average.
//!
//! Source: the example of reject allowances of F. S. Hillier and G. J. Lieberman, *Introduction to Operations Research*,
//! chapter on dynamic programming: the last run first; what is still wanted after it costs the penalty.

use super::chance::{between, binomial_term};
use super::{finite, sound};

/// The most steps of arithmetic.
const MOST_STEPS: f64 = 2e7;

/// What a run costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terms {
    /// The probability that a piece passes.
    pub pass: f64,
    /// Cost of each piece started.
    pub each: f64,
    /// Cost of beginning a run.
    pub begin: f64,
    /// Cost of not having enough in the end.
    pub short: f64,
}

/// How many to start in the next run, and what it all costs on the average.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lot {
    /// How many; the fewest where several cost the same; none where it is not worth while.
    pub start: u64,
    /// The cost.
    pub cost: f64,
}

/// The best lot where `wanted` more are wanted and so many `runs` are left. `None` where a figure is unsound, a piece
/// costs nothing, or it would take too long.
///
/// ```
/// use herl::reckon::lots::{Terms, best};
/// let terms = Terms { pass: 0.5, each: 100.0, begin: 300.0, short: 1600.0 };
/// let lot = best(&terms, 1, 3).unwrap();
/// assert_eq!((lot.start, lot.cost), (2, 675.0));
/// ```
pub fn best(terms: &Terms, wanted: u32, runs: u32) -> Option<Lot> {
    let whole = between(terms.pass) && sound(&[terms.each, terms.begin, terms.short]) && terms.each > 0.0;
    // No lot that costs as much as the penalty is worth while.
    let most = terms.short / terms.each;
    if !whole || (most + 1.0) * f64::from(wanted).powi(2) * f64::from(runs) > MOST_STEPS || f64::from(runs) > MOST_STEPS {
        return None;
    }
    let wanted = wanted as usize;
    // The least cost with so many still wanted; none wanted cost nothing.
    let mut after: Vec<f64> = (0..=wanted).map(|still| if still == 0 { 0.0 } else { terms.short }).collect();
    let mut lot = Lot { start: 0, cost: *after.last()? };
    for _ in 0..runs {
        let mut now = vec![0.0];
        for still in 1..=wanted {
            lot = best_of(terms, &after, still)?;
            now.push(lot.cost);
        }
        after = now;
    }
    (wanted > 0).then_some(lot).or(Some(Lot { start: 0, cost: 0.0 }))
}

/// The best lot with `still` wanted, where what comes after costs `after` by what is wanted then.
fn best_of(terms: &Terms, after: &[f64], still: usize) -> Option<Lot> {
    let mut best = Lot { start: 0, cost: *after.get(still)? };
    let mut start = 1_u64;
    loop {
        let spent = terms.begin + terms.each * start as f64;
        if spent >= best.cost {
            return Some(best);
        }
        let mut cost = spent;
        for pass in 0..still.min(start as usize + 1) {
            cost += chance(terms.pass, pass, start) * after.get(still - pass)?;
        }
        // Two that cost the same but for the last digits are as good.
        if finite(cost)? < best.cost * (1.0 - 1e-12) {
            best = Lot { start, cost };
        }
        start += 1;
    }
}

/// Chance that just so many pass.
fn chance(share: f64, pass: usize, start: u64) -> f64 {
    let (pass, all) = (pass as f64, start as f64);
    let rest = 1.0 - share;
    if pass == 0.0 {
        rest.powf(all)
    } else if pass == all {
        share.powf(all)
    } else {
        binomial_term(pass, all - pass, share, rest)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn another_run_never_costs_more(pass in 0.1_f64..0.99, each in 1.0_f64..20.0, begin in 0.0_f64..50.0, short in 0.0_f64..500.0, wanted in 0_u32..8, runs in 0_u32..4) {
            let terms = Terms { pass, each, begin, short };
            let (one, more) = (best(&terms, wanted, runs).unwrap(), best(&terms, wanted, runs + 1).unwrap());
            prop_assert!(more.cost <= one.cost + 1e-9 && one.cost <= short);
            prop_assert!(best(&terms, wanted + 1, runs).unwrap().cost >= one.cost - 1e-9);
        }

        #[test]
        fn any_figures_are_taken_without_panic(pass in any::<f64>(), each in any::<f64>(), begin in any::<f64>(), short in any::<f64>(), wanted in any::<u32>(), runs in any::<u32>()) {
            let _ = best(&Terms { pass, each, begin, short }, wanted, runs % 50);
        }
    }

    #[test]
    fn the_ends() {
        let terms = Terms { pass: 0.5, each: 1.0, begin: 0.0, short: 10.0 };
        assert_eq!(best(&terms, 0, 3), Some(Lot { start: 0, cost: 0.0 }));
        assert_eq!(best(&terms, 3, 0), Some(Lot { start: 0, cost: 10.0 }));
        assert_eq!(best(&Terms { each: 0.0, ..terms }, 3, 1), None);
        assert_eq!(best(&Terms { pass: 1.5, ..terms }, 3, 1), None);
        assert_eq!(best(&Terms { short: 1e12, ..terms }, 100, 3), None);
    }
}
