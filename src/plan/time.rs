//! How long a run takes: times of the steps or the dressing's one figure, the mounting of the hook, the allowance.

use super::formulas::*;
use super::needs::place;
use super::work::Planner;
use crate::card::Card;
use crate::dressing::{Allowance, Dressing, Per, Time};
use crate::measure::Unit;
use crate::why::{Fig, Standing};
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

/// Seconds a fly, and hours of the run at standard time; `None` where the dressing says no time at all.
pub(super) fn of_run(p: &mut Planner<'_>, run: usize, key: &str, dressing: &Dressing, card: &Card, flies: Fig) -> Option<(Fig, Fig)> {
    let mut a_fly: Vec<(Fig, Per)> = Vec::new();
    let mut once = Vec::new();
    if let Some(told) = &dressing.time {
        let Time { seconds, per } = told.value;
        let fig = p.figures.given(format!("{key}.time"), seconds.to_decimal()?, Unit::S, Standing::Stated, place(&told.at));
        if per == Per::Run { once.push(fig) } else { a_fly.push((fig, per)) }
    } else {
        for (nth, step) in card.steps.iter().enumerate() {
            let Some((time, per)) = step.time else { continue };
            let fig = p.taken(run, card, time, &format!("{key}.step {}.time", nth + 1))?;
            if per == Per::Run { once.push(fig) } else { a_fly.push((fig, per)) }
        }
        if a_fly.is_empty() && once.is_empty() {
            return None;
        }
    }
    let terms = &p.shelf.terms;
    let mount = match &terms.mount {
        Some(told) => (Decimal::from_f64(told.value)?, Standing::Stated, place(&told.at)),
        None => (Decimal::from(15), Standing::Usual, "usual at benches, no source; set `mount:` under defaults in bench.yaml".to_owned()),
    };
    let mount = p.common("mount", mount.0, Unit::S, mount.1, mount.2);
    let one = p.common("for-a-fly", Decimal::ONE, Unit::One, Standing::Stated, "a time for one fly");
    let twelve = p.common("for-a-dozen", Decimal::from(12), Unit::One, Standing::Stated, "a time for a dozen flies");
    let mut inputs = vec![mount, one];
    for (fig, per) in a_fly {
        inputs.extend([fig, if per == Per::Dozen { twelve } else { one }]);
    }
    let seconds = p.work(&format!("{key}.seconds-a-fly"), &SECONDS_A_FLY, &inputs)?;
    let mut all = vec![flies, seconds];
    all.extend(once);
    let normal = p.work(&format!("{key}.seconds"), &SECONDS_A_RUN, &all)?;
    let allowance = p.shelf.terms.allowance.as_ref();
    let (share, of_the_day, standing, from) = match allowance {
        Some(told) => {
            let Allowance { share, of_the_day } = told.value;
            (share, of_the_day, Standing::Stated, format!("{} ({})", place(&told.at), if of_the_day { "a share of the day" } else { "a share of job time" }))
        }
        None => (Decimal::ZERO, false, Standing::Assumed, "no allowance: bench.yaml says none".to_owned()),
    };
    let allowance = p.common("allowance", share, Unit::One, standing, from);
    let hours = p.work(&format!("{key}.hours"), if of_the_day { &HOURS_DAY } else { &HOURS_JOB }, &[normal, allowance])?;
    Some((seconds, hours))
}
