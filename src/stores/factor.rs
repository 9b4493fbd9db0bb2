//! The use factor: what the bench really uses of a material against what its cards reckon, learnt from runs after which it
//! was counted or weighed.
//!
//! `factor = (1 + sum of weight x used / reckoned) / (1 + sum of weights)`, kept between 0.5 and 5. A run's weight is its
//! reckoned amount over the mean of all, so that the sum is a ratio of totals (the ratio estimator of W. G. Cochran,
//! *Sampling Techniques*, chapter 6) and three flies teach less than thirty-six; times 0.8 for each run since, so that old
//! habits fade. The 1 stands for the card: one mean run used just as reckoned, so that a single run does not turn
//! everything about. The 0.8, the 1 and the bounds are this bench's own.

use crate::measure::Unit;
use crate::why::{Fig, Figures, Formula, Standing};
use rust_decimal::Decimal;

/// A run after which a material was counted or weighed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Used {
    /// Which run, in words.
    pub run: String,
    /// By the card alone, without any factor; in the material's unit.
    pub reckoned: Decimal,
    /// Really, in the same unit.
    pub used: Decimal,
}

/// The least factor that is believed.
pub const LEAST: Decimal = Decimal::from_parts(5, 0, 0, false, 1);
/// The greatest.
pub const MOST: Decimal = Decimal::from_parts(5, 0, 0, false, 0);
/// What a run counts against the one after it.
const FADES: Decimal = Decimal::from_parts(8, 0, 0, false, 1);
/// Runs that are looked at: older ones weigh nothing any more.
const RUNS: usize = 24;

static FACTOR: Formula<Decimal> = Formula {
    text: "(1 + sum of weight x used / reckoned) / (1 + sum of weights), not under 0.5 and not over 5",
    takes: &[],
    then: &[Unit::One, Unit::One],
    gives: Unit::One,
    source: "ratio of totals (Cochran, Sampling Techniques, chapter 6), old runs fading, one run as reckoned beside them; weights and bounds are this bench's own",
    of: |figures| {
        let (mut above, mut below) = (Decimal::ONE, Decimal::ONE);
        for pair in figures.chunks_exact(2) {
            let [ratio, weight] = pair else { return None };
            above = above.checked_add(ratio.checked_mul(*weight)?)?;
            below = below.checked_add(*weight)?;
        }
        Some(above.checked_div(below)?.clamp(LEAST, MOST).round_dp(6).normalize())
    },
};

/// An amount of one unit times the use factor.
const fn learnt(units: &'static [Unit; 2]) -> Formula<Decimal> {
    Formula {
        text: "reckoned x use factor",
        takes: units,
        then: &[],
        gives: units[0],
        source: "the bench's own use",
        of: |figures| Some(figures.first()?.checked_mul(*figures.get(1)?)?.round_dp(9).normalize()),
    }
}

static OF_M: Formula<Decimal> = learnt(&[Unit::M, Unit::One]);
static OF_G: Formula<Decimal> = learnt(&[Unit::G, Unit::One]);
static OF_ML: Formula<Decimal> = learnt(&[Unit::Ml, Unit::One]);
static OF_MM2: Formula<Decimal> = learnt(&[Unit::Mm2, Unit::One]);
static OF_FEATHERS: Formula<Decimal> = learnt(&[Unit::Feather, Unit::One]);
static OF_FIBRES: Formula<Decimal> = learnt(&[Unit::Fibre, Unit::One]);
static OF_DROPS: Formula<Decimal> = learnt(&[Unit::Drop, Unit::One]);
static OF_ONE: Formula<Decimal> = learnt(&[Unit::One, Unit::One]);

/// Puts a material's use factor on a sheet, under `key`, with each run's ratio and weight; runs in their order, the latest
/// last. `None` where no run tells anything: then the card speaks alone.
pub fn learn(sheet: &mut Figures, key: &str, runs: &[Used]) -> Option<Fig> {
    let telling: Vec<&Used> = runs.iter().filter(|run| run.reckoned > Decimal::ZERO && run.used >= Decimal::ZERO).collect();
    let telling = telling.get(telling.len().saturating_sub(RUNS)..)?;
    let total = telling.iter().try_fold(Decimal::ZERO, |sum, run| sum.checked_add(run.reckoned))?;
    let mean = total.checked_div(Decimal::from(telling.len()))?;
    let mut inputs = Vec::with_capacity(2 * telling.len());
    let mut fade = Decimal::ONE;
    for (nth, run) in telling.iter().enumerate().rev() {
        let weight = run.reckoned.checked_div(mean)?.checked_mul(fade)?.round_dp(9).normalize();
        let ratio = run.used.checked_div(run.reckoned)?.round_dp(9).normalize();
        let said = format!("{}: {} used, {} reckoned", run.run, run.used.normalize(), run.reckoned.normalize());
        let ratio = sheet.given(format!("{key}.run-{}", nth + 1), ratio, Unit::One, Standing::Learnt, said);
        let weight = sheet.given(format!("{key}.weight-{}", nth + 1), weight, Unit::One, Standing::Learnt, "its share of what runs take, and its age");
        inputs.extend([ratio, weight]);
        fade = fade.checked_mul(FADES)?.round_dp(9);
    }
    sheet.work(key, &FACTOR, &inputs)
}

/// An amount by the card times the use factor, in the amount's unit. `None` where no card reckons in that unit.
pub fn apply(sheet: &mut Figures, key: &str, reckoned: Fig, factor: Fig) -> Option<Fig> {
    let formula = match sheet.at(reckoned).unit {
        Unit::M => &OF_M,
        Unit::G => &OF_G,
        Unit::Ml => &OF_ML,
        Unit::Mm2 => &OF_MM2,
        Unit::Feather => &OF_FEATHERS,
        Unit::Fibre => &OF_FIBRES,
        Unit::Drop => &OF_DROPS,
        Unit::One => &OF_ONE,
        _ => return None,
    };
    sheet.work(key, formula, &[reckoned, factor])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn run(reckoned: i64, used: i64) -> Used {
        Used { run: "run 1".to_owned(), reckoned: Decimal::new(reckoned, 2), used: Decimal::new(used, 2) }
    }

    fn factor(runs: &[Used]) -> Option<Decimal> {
        let mut sheet = Figures::new();
        let fig = learn(&mut sheet, "gold wire.use-factor", runs)?;
        assert_eq!(sheet.again(fig), Some(sheet.value(fig)), "it can be worked again from what stands on the sheet");
        Some(sheet.value(fig))
    }

    #[test]
    fn one_run_moves_it_half_way_and_many_bring_it_there() {
        assert_eq!(factor(&[]), None);
        assert_eq!(factor(&[run(100, 150)]), Some("1.25".parse().unwrap()));
        let many = factor(&vec![run(100, 150); 24]).unwrap();
        // The weights add up to (1 - 0.8^24) / 0.2, a little under 5.
        assert!(many > "1.41".parse().unwrap() && many < "1.42".parse().unwrap(), "{many}");
        assert_eq!(factor(&[run(0, 7), run(100, 100)]), Some(Decimal::ONE), "a run that was to use none says nothing");
    }

    #[test]
    fn an_amount_is_told_with_its_factor() {
        let mut sheet = Figures::new();
        let factor = learn(&mut sheet, "gold wire.use-factor", &[run(100, 150)]).unwrap();
        let reckoned = sheet.given("gold wire.reckoned", "0.0521".parse().unwrap(), Unit::M, Standing::Stated, "the card");
        let learnt = apply(&mut sheet, "gold wire.amount", reckoned, factor).unwrap();
        assert_eq!((sheet.value(learnt), sheet.at(learnt).unit), ("0.065125".parse().unwrap(), Unit::M));
    }

    #[test]
    fn a_large_run_teaches_more_than_a_small_one_and_a_late_one_more_than_an_early_one() {
        let (small_off, large_off) = (factor(&[run(300, 300), run(30, 60)]).unwrap(), factor(&[run(30, 30), run(300, 600)]).unwrap());
        assert!(small_off < large_off);
        assert!(factor(&[run(100, 200), run(100, 100)]).unwrap() < factor(&[run(100, 100), run(100, 200)]).unwrap());
    }

    #[test]
    fn a_run_far_out_stays_within_bounds() {
        assert_eq!(factor(&vec![run(1, 100_000); 9]), Some(MOST));
        assert_eq!(factor(&vec![run(100_000, 0); 24]), Some(LEAST));
    }

    proptest! {
        #[test]
        fn it_lies_between_the_card_and_what_was_seen(runs in prop::collection::vec((1i64..1_000_000, 0i64..1_000_000), 1..40)) {
            let runs: Vec<Used> = runs.into_iter().map(|(reckoned, used)| run(reckoned, used)).collect();
            let found = factor(&runs).unwrap();
            let ratios = || runs.iter().map(|run| run.used / run.reckoned);
            let slack = Decimal::new(1, 5);
            let low = ratios().min().unwrap().min(Decimal::ONE).clamp(LEAST, MOST) - slack;
            let high = ratios().max().unwrap().max(Decimal::ONE).clamp(LEAST, MOST) + slack;
            prop_assert!(low <= found && found <= high, "{} {} {}", low, found, high);
        }
    }
}
