//! How long a run takes: times of the steps or the dressing's one figure, or own times, the mounting of the hook, the
//! allowance; how far that may stray; and the stretches of work and drying it is made of.

use super::formulas::*;
use super::needs::place;
use super::work::Planner;
use crate::card::Card;
use crate::dressing::{Allowance, Dressing, Per, Size, Tied, Time, When};
use crate::measure::{Unit, words};
use crate::reckon::learning::{Curve, Learning};
use crate::reckon::own_times::{self, Line, Stated, Timed};
use crate::why::{Fig, Standing, cross};
use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive, ToPrimitive};

formula! { AT_VISITS: "(mount + restart) x visits to the vice after the first", [S, S, One] then [] gives S, "by stages each fly is mounted and taken up again at every visit",
|x| match x { [mount, restart, more] => mount.checked_add(*restart)?.checked_mul(*more), _ => None } }
formula! { WARMING: "seconds a fly x how much more x flies of the warm-up, or as many as there are", [S, One, One, One] then [] gives S, "arithmetic",
|x| match x { [each, more, flies, tied] => each.checked_mul(*more)?.checked_mul(*flies.min(tied)), _ => None } }
formula! { MIDDLE: "geometric mean", [] then [One] gives One, "the middle in logarithms",
|x| cross((x.iter().map(|one| one.to_f64().map(f64::ln)).sum::<Option<f64>>()? / x.len() as f64).exp()) }
formula! { CURVE_FIRST: "time of the first by the curve of least squares through own times and the stated one", [S, One, One, One] then [S, One] gives S, LEANING,
|x| cross(curve(x)?.first) }
formula! { CURVE_POWER: "power of the number by the curve of least squares through own times and the stated one", [S, One, One, One] then [S, One] gives One, LEANING,
|x| cross(curve(x)?.power) }
formula! { BY_CURVE: "mean of first x number^power over the next flies", [S, One, One, One] then [] gives S, "learning curve of the unit: J. R. Crawford (1944)",
|x| match x {
    [first, power, before, tied] => {
        let (before, flies) = (before.to_u64()?, tied.ceil().to_u64()?.max(1));
        let all = Learning::new(Curve::Unit, first.to_f64()?, power.to_f64()?.exp2())?.from_to(before + 1, before.checked_add(flies)?)?;
        cross(all / flies as f64)
    }
    _ => None,
} }
formula! { OWN_STRAY: "spread of own times about the curve, as a share", [S, One] then [S, One] gives One, "log-normal: the square root of exp(variance of the logarithms) - 1",
|x| {
    let (line, times) = x.split_at_checked(2)?;
    let [first, power] = line else { return None };
    let line = Line { first: first.to_f64()?, power: power.to_f64()? };
    let own = timed(times)?;
    let squares = own.iter().map(|timed| Some((timed.time / line.at(timed.number)?).ln().powi(2))).sum::<Option<f64>>()?;
    cross((squares / (own.len() as f64 - 1.0)).exp_m1().sqrt())
} }
formula! { STRAY: "hours x share a fly strays / square root of flies", [Hour, One, One] then [] gives Hour, "variances of independent times add up",
|x| match x { [hours, share, flies] => cross(hours.to_f64()? * share.to_f64()? / flies.to_f64()?.sqrt()), _ => None } }
formula! { STRAY_OF_FEW: "hours x share a fly strays x square root of (1 / flies + 1 / own times)", [Hour, One, One, One] then [] gives Hour,
"variances of independent times add up; the mean of a few timings is itself off by its standard error",
|x| match x { [hours, share, flies, known] => cross(hours.to_f64()? * share.to_f64()? * (1.0 / flies.to_f64()? + 1.0 / known.to_f64()?).sqrt()), _ => None } }

const LEANING: &str = "least squares in logarithms, the stated time counting as so many own flies: H. Theil and A. S. Goldberger (1961)";
/// As many own times are looked at, the latest.
const MOST_TIMES: usize = 60;

fn timed(pairs: &[Decimal]) -> Option<Vec<Timed>> {
    pairs
        .chunks_exact(2)
        .map(|pair| match pair {
            [time, number] => Some(Timed { number: number.to_f64()?, time: time.to_f64()? }),
            _ => None,
        })
        .collect()
}

fn curve(x: &[Decimal]) -> Option<Line> {
    let (stated, pairs) = x.split_at_checked(4)?;
    let [time, at, rate, weight] = stated else { return None };
    own_times::leaning(&timed(pairs)?, &Stated { time: time.to_f64()?, at: at.to_f64()?, rate: rate.to_f64()?, weight: weight.to_f64()? })
}

/// A stretch of work, as a share of the run's hours, and the seconds every fly dries after it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    pub(super) share: f64,
    pub(super) dries: f64,
}

/// How long a run takes.
pub(super) struct Taken {
    /// Seconds a fly, before warm-up and allowance.
    pub(super) seconds: Fig,
    /// Hours at standard time.
    pub(super) hours: Fig,
    /// How far they stray: their standard deviation.
    pub(super) stray: Option<Fig>,
    /// Work and drying one after the other.
    pub(super) stretches: Vec<Stretch>,
}

/// A time found, with where it belongs.
struct Found {
    fig: Fig,
    per: Per,
    when: When,
}

/// `None` where the dressing says no time at all.
pub(super) fn of_run(p: &mut Planner<'_>, run: usize, key: &str, dressing: &Dressing, card: &Card, size: &Size, tied: Fig) -> Option<Taken> {
    let mut found: Vec<Found> = Vec::new();
    if let Some(told) = &dressing.time {
        let Time { seconds, per } = told.value;
        let fig = p.figures.given(format!("{key}.time"), seconds.to_decimal()?, Unit::S, Standing::Stated, place(&told.at));
        found.push(Found { fig, per, when: When::AtTheVice });
    } else {
        for (nth, step) in card.steps.iter().enumerate() {
            let Some((time, per)) = step.time else { continue };
            let fig = p.taken(run, card, time, &format!("{key}.step {}.time", nth + 1))?;
            found.push(Found { fig, per, when: step.when });
        }
        if found.is_empty() {
            return None;
        }
    }
    let seconds = seconds_a_fly(p, key, dressing, card, size, tied, &found)?;
    let mut once: Vec<Fig> = found.iter().filter(|found| found.per == Per::Run).map(|found| found.fig).collect();
    if p.figures.value(tied).is_zero() {
        once.clear();
    }
    if let Some(told) = p.shelf.terms.warm_up.clone().filter(|told| told.value.flies > 0 && !told.value.more.is_zero()) {
        let more = p.common("warm-up", told.value.more, Unit::One, Standing::Stated, place(&told.at));
        let flies = p.common("warm-up-flies", told.value.flies.into(), Unit::One, Standing::Stated, place(&told.at));
        once.push(p.work(&format!("{key}.warming"), &WARMING, &[seconds, more, flies, tied])?);
    }
    let mut all = vec![tied, seconds];
    all.extend(once);
    let normal = p.work(&format!("{key}.seconds"), &SECONDS_A_RUN, &all)?;
    let (share, of_the_day, standing, from) = match p.shelf.terms.allowance.as_ref() {
        Some(told) => {
            let Allowance { share, of_the_day } = told.value;
            (share, of_the_day, Standing::Stated, format!("{} ({})", place(&told.at), if of_the_day { "a share of the day" } else { "a share of job time" }))
        }
        None => (Decimal::ZERO, false, Standing::Assumed, "no allowance: bench.yaml says none".to_owned()),
    };
    let allowance = p.common("allowance", share, Unit::One, standing, from);
    let hours = p.work(&format!("{key}.hours"), if of_the_day { &HOURS_DAY } else { &HOURS_JOB }, &[normal, allowance])?;
    let stray = if p.figures.value(tied).is_zero() { None } else { stray(p, key, hours, tied) };
    let stretches = stretches(p, card, tied, normal, dressing.time.is_none(), &found);
    Some(Taken { seconds, hours, stray, stretches })
}

fn seconds_a_fly(p: &mut Planner<'_>, key: &str, dressing: &Dressing, card: &Card, size: &Size, tied: Fig, found: &[Found]) -> Option<Fig> {
    let terms = &p.shelf.terms;
    let told = |told: &Option<crate::diagnostic::Told<f64>>, name: &str| match told {
        Some(told) => Some((Decimal::from_f64(told.value)?, Standing::Stated, place(&told.at))),
        None => Some((Decimal::from(15), Standing::Usual, format!("usual at benches, no source; set `{name}:` under defaults in bench.yaml"))),
    };
    let (value, standing, from) = told(&terms.mount, "mount")?;
    let restart = told(&terms.restart, "restart")?;
    let mount = p.common("mount", value, Unit::S, standing, from);
    let one = p.common("for-a-fly", Decimal::ONE, Unit::One, Standing::Stated, "a time for one fly");
    let twelve = p.common("for-a-dozen", Decimal::from(12), Unit::One, Standing::Stated, "a time for a dozen flies");
    let mut inputs = vec![mount, one];
    let visits = visits(card);
    if p.stages == Tied::ByStages && visits > 1 {
        let restart = p.common("restart", restart.0, Unit::S, restart.1, restart.2);
        let from = "the card of this run: a visit ends with something wound";
        let more = p.figures.given(format!("{key}.visits-after-the-first"), Decimal::from(visits - 1), Unit::One, Standing::Stated, from);
        inputs.extend([p.work(&format!("{key}.visits"), &AT_VISITS, &[mount, restart, more])?, one]);
    }
    let mut others = Vec::new();
    for found in found.iter().filter(|found| found.per != Per::Run) {
        let pair = [found.fig, if found.per == Per::Dozen { twelve } else { one }];
        if found.when == When::AtTheVice { inputs.extend(pair) } else { others.extend(pair) }
    }
    let name = words::fold(&dressing.name.value);
    let given = p.given;
    if let Some(past) = given.stock.times(&name, size) {
        let stated = p.work(&format!("{key}.seconds-at-vice-stated"), &SECONDS_A_FLY, &inputs)?;
        if let Some(own) = own(p, key, &past.times, past.made, &past.size, size, stated, tied) {
            inputs = vec![own, one];
        }
    }
    inputs.extend(others);
    p.work(&format!("{key}.seconds-a-fly"), &SECONDS_A_FLY, &inputs)
}

/// How often a fly comes to the vice by stages: a stage ends with something wound.
fn visits(card: &Card) -> u32 {
    let steps = card.steps.iter().filter(|step| step.when == When::AtTheVice);
    steps.fold((1_u32, false), |(stages, wound), step| (stages + u32::from(wound), !step.winds.is_empty())).0
}

/// Seconds a fly at the vice by the curve through own times.
#[expect(clippy::too_many_arguments, reason = "the times, whose they are, and what they are held against")]
fn own(p: &mut Planner<'_>, key: &str, times: &[Timed], made: u32, of: &Size, size: &Size, stated: Fig, tied: Fig) -> Option<Fig> {
    let (standing, from) = match of == size {
        true => (Standing::Learnt, "own times of this dressing and size".to_owned()),
        false => (Standing::Interpolated, format!("own times of size {of}, the nearest that has any")),
    };
    let dozen = "a stated time counts as a dozen own flies; no source";
    let weight = p.common("stated-time-counts-for", Decimal::from(12), Unit::One, Standing::Assumed, dozen);
    let rate = match &p.shelf.terms.learning {
        Some(told) => (told.value, Standing::Stated, place(&told.at)),
        None => (Decimal::ONE, Standing::Assumed, "nothing learnt where no own times tell it: bench.yaml says no `learning:`".to_owned()),
    };
    let rate = p.common("learning", rate.0, Unit::One, rate.1, rate.2);
    let mut pairs = Vec::new();
    for timed in times.iter().rev().take(MOST_TIMES).rev() {
        let (time, number) = (cross(timed.time)?, cross(timed.number)?);
        let nth = pairs.len() / 2 + 1;
        pairs.push(p.figures.given(format!("{key}.own {nth}.time"), time, Unit::S, standing, from.clone()));
        pairs.push(p.figures.given(format!("{key}.own {nth}.number"), number, Unit::One, standing, from.clone()));
    }
    // In the middle of the own flies the stated time moves how high the curve lies, and not how it slopes.
    let numbers: Vec<Fig> = pairs.iter().skip(1).step_by(2).copied().collect();
    let at = p.work(&format!("{key}.stated-time-of-fly"), &MIDDLE, &numbers)?;
    let mut inputs = vec![stated, at, rate, weight];
    inputs.extend(&pairs);
    let first = p.work(&format!("{key}.curve-first"), &CURVE_FIRST, &inputs)?;
    let power = p.work(&format!("{key}.curve-power"), &CURVE_POWER, &inputs)?;
    let before = p.figures.given(format!("{key}.tied-of-it-before"), made.into(), Unit::One, standing, from);
    if pairs.len() >= 6 {
        let mut inputs = vec![first, power];
        inputs.extend(&pairs);
        p.work(&format!("{key}.strays"), &OWN_STRAY, &inputs)?;
        p.figures.given(format!("{key}.own-times"), Decimal::from(pairs.len() / 2), Unit::One, standing, "how many own times there are");
    }
    p.work(&format!("{key}.seconds-at-vice"), &BY_CURVE, &[first, power, before, tied])
}

/// The standard deviation of a run's hours.
fn stray(p: &mut Planner<'_>, key: &str, hours: Fig, tied: Fig) -> Option<Fig> {
    let to = format!("{key}.hours-stray");
    if let (Some(share), Some(known)) = (p.figures.find(&format!("{key}.strays")), p.figures.find(&format!("{key}.own-times"))) {
        return p.work(&to, &STRAY_OF_FEW, &[hours, share, tied, known]);
    }
    let (share, standing, from) = match &p.shelf.terms.strays {
        Some(told) => (told.value, Standing::Stated, place(&told.at)),
        None => (Decimal::new(2, 1), Standing::Assumed, "20 %, no source; set `strays:` under defaults in bench.yaml".to_owned()),
    };
    let share = p.common("strays", share, Unit::One, standing, from);
    p.work(&to, &STRAY, &[hours, share, tied])
}

/// The run's work parted where something dries: all up to the finishing, then each step of that.
fn stretches(p: &Planner<'_>, card: &Card, tied: Fig, normal: Fig, by_steps: bool, found: &[Found]) -> Vec<Stretch> {
    let flies = p.figures.value(tied).to_f64().unwrap_or(0.0);
    let whole = p.figures.value(normal).to_f64().filter(|whole| *whole > 0.0).unwrap_or(1.0);
    let dries = |fig: Option<Fig>| fig.map_or(0.0, |fig| card.sheet.value(fig));
    let before: f64 = card.steps.iter().filter(|step| step.when != When::After).map(|step| dries(step.dries)).sum();
    let mut timed = found.iter();
    let mut after: Vec<Stretch> = Vec::new();
    for step in &card.steps {
        let time = if by_steps && step.time.is_some() { timed.next() } else { None };
        if step.when != When::After {
            continue;
        }
        let seconds = time.filter(|found| found.when == When::After).map_or(0.0, |found| {
            let seconds = p.figures.value(found.fig).to_f64().unwrap_or(0.0);
            match found.per {
                Per::Fly => seconds * flies,
                Per::Dozen => seconds * flies / 12.0,
                Per::Run => seconds,
            }
        });
        after.push(Stretch { share: (seconds / whole).clamp(0.0, 1.0), dries: dries(step.dries) });
    }
    let rest = (1.0 - after.iter().map(|stretch| stretch.share).sum::<f64>()).max(0.0);
    let mut all = vec![Stretch { share: rest, dries: before }];
    for stretch in after {
        // What takes no time and dries no longer hangs on what went before.
        match all.last_mut() {
            Some(last) if stretch.share == 0.0 || last.dries == 0.0 => {
                last.share += stretch.share;
                last.dries += stretch.dries;
            }
            _ => all.push(stretch),
        }
    }
    all
}
