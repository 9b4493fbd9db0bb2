//! How many flies: from the drawer, to be tied, to be laid out or started, and what becomes of the surplus.
//!
//! *Fly by fly* the work ends when enough have passed: things are laid out for so many that enough pass with the bench's
//! confidence, and hours and cost go by the number that is tied on the average. *By stages* nobody knows before the end
//! how many pass: as many are started as that confidence asks for, and all of them are tied.

use super::needs::place;
use super::work::Planner;
use crate::dressing::{Dressing, OrderLine, Size, Tied};
use crate::measure::{Unit, words};
use crate::reckon::allowance::{self, History};
use crate::why::{Fig, Standing, cross};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

formula! { TO_TIE: "flies - those from the drawer", [One, One] then [] gives One, "arithmetic",
|x| match x { [flies, drawer] => flies.checked_sub(*drawer), _ => None } }
formula! { TIED: "flies to pass / (1 - share rejected)", [One, One] then [] gives One,
"tied until enough have passed: the mean of the negative binomial distribution",
|x| match x { [pass, reject] => pass.checked_div(Decimal::ONE.checked_sub(*reject)?), _ => None } }
formula! { LAY_OUT: "the least number of which so many pass with this confidence", [One, One, One] then [] gives One,
"binomial distribution; A. H. Bowker and G. J. Lieberman, Engineering Statistics",
|x| match x { [pass, reject, sure] => allowance::to_start(pass.to_u64()?, reject.to_f64()?, sure.to_f64()?).map(|start| Decimal::from(start.start)), _ => None } }
formula! { LAY_OUT_BY_PAST: "the least number of which so many pass with this confidence, by rejected, tied and prior", [One, One, One, One, One] then [] gives One,
"beta-binomial distribution; A. Gelman and others, Bayesian Data Analysis, chapter 2",
|x| match x {
    [pass, rejected, made, prior, sure] => {
        let past = History { rejected: rejected.to_u64()?, made: made.to_u64()?, prior: prior.to_f64()? };
        past.to_start(pass.to_u64()?, sure.to_f64()?).map(|start| Decimal::from(start.start))
    }
    _ => None,
} }
formula! { REJECTS_BY_PAST: "(rejected + prior) / (tied + 2 x prior)", [One, One, One] then [] gives One,
"the mean of the beta distribution; A. Gelman and others, Bayesian Data Analysis, chapter 2",
|x| match x { [rejected, made, prior] => rejected.checked_add(*prior)?.checked_div(made.checked_add(prior.checked_mul(Decimal::TWO)?)?), _ => None } }
formula! { PASSING: "probability that so many of those laid out pass", [One, One, One] then [] gives One, "binomial distribution",
|x| match x { [start, pass, reject] => cross(allowance::passing(start.to_u64()?, pass.to_u64()?, reject.to_f64()?)?.0), _ => None } }
formula! { SURPLUS: "flies tied x (1 - share rejected) - flies to pass", [One, One, One] then [] gives One, "arithmetic",
|x| match x { [tied, reject, pass] => Some(tied.checked_mul(Decimal::ONE.checked_sub(*reject)?)?.checked_sub(*pass)?.max(Decimal::ZERO)), _ => None } }

/// What was believed of rejects before any was seen: any share as likely as any other.
const PRIOR: Decimal = Decimal::ONE;

/// The numbers of one run.
#[derive(Clone, Copy)]
pub(super) struct Many {
    /// From the drawer, where any are.
    pub(super) drawer: Option<Fig>,
    /// That must pass.
    pub(super) to_tie: Fig,
    /// Share that does not pass, where one is known.
    pub(super) rejects: Option<Fig>,
    /// Tied on the average; hours and cost go by it.
    pub(super) tied: Fig,
    /// Laid out, or by stages started.
    pub(super) lay_out: Fig,
    /// That pass beyond what is wanted, on the average; by stages only.
    pub(super) surplus: Option<Fig>,
}

/// Works the numbers of one run; `None` where they are too large.
pub(super) fn of_run(p: &mut Planner<'_>, key: &str, line: &OrderLine, dressing: &Dressing, size: &Size, flies: Fig) -> Option<Many> {
    let name = words::fold(&dressing.name.value);
    let variant = line.variant.as_ref().map(|told| words::fold(&told.value));
    let there = Decimal::from(p.given.stock.finished(&name, size, variant.as_deref()));
    let (mut drawer, mut to_tie) = (None, flies);
    if there > Decimal::ZERO {
        // Two lines of one order cannot both have the same flies.
        let taken = p.drawer.entry((name.clone(), size.clone(), variant)).or_insert(Decimal::ZERO);
        let used = (there - *taken).min(p.figures.value(flies));
        *taken += used;
        if used > Decimal::ZERO {
            let fig = p.figures.given(format!("{key}.drawer"), used, Unit::One, Standing::Measured, "finished flies in the stores, offered first");
            drawer = Some(fig);
            to_tie = p.work(&format!("{key}.to-tie"), &TO_TIE, &[flies, fig])?;
        }
    }
    let none = Many { drawer, to_tie, rejects: None, tied: to_tie, lay_out: to_tie, surplus: None };
    let wanted = p.figures.value(to_tie);
    if wanted.is_zero() {
        return Some(none);
    }
    let past = p.given.stock.past(&name, size).filter(|past| past.made > 0);
    let told = line.rejects.as_ref();
    let otherwise = dressing.rejects.as_ref().or(p.shelf.terms.rejects.as_ref());
    if let (None, None, Some(past)) = (&p.given.wish.rejects, told, past) {
        let from = "earlier runs of this dressing and size";
        let rejected = p.figures.given(format!("{key}.rejected-before"), past.rejected.into(), Unit::One, Standing::Learnt, from);
        let made = p.figures.given(format!("{key}.tied-before"), past.made.into(), Unit::One, Standing::Learnt, from);
        let prior = p.common("rejects-prior", PRIOR, Unit::One, Standing::Published, "any share of rejects as likely as any other: Laplace's rule");
        let rejects = p.work(&format!("{key}.rejects"), &REJECTS_BY_PAST, &[rejected, made, prior])?;
        let sure = sure(p)?;
        let Some(lay_out) = p.work(&format!("{key}.lay-out"), &LAY_OUT_BY_PAST, &[to_tie, rejected, made, prior, sure]) else {
            p.open.push(format!("{} {size}: what was tied before is too little to say how many to lay out; none are added", dressing.name.value));
            return Some(none);
        };
        return finish(p, key, none, rejects, lay_out);
    }
    let (share, standing, from) = match (p.given.wish.rejects, told.or(otherwise)) {
        (Some(share), _) => (share, Standing::Assumed, "tried out on the plan".to_owned()),
        (None, Some(told)) => (told.value, Standing::Stated, place(&told.at)),
        (None, None) => {
            p.no_rejects = true;
            return Some(none);
        }
    };
    if share.is_zero() {
        return Some(none);
    }
    let rejects = p.figures.given(format!("{key}.rejects"), share, Unit::One, standing, from);
    let sure = sure(p)?;
    let lay_out = p.work(&format!("{key}.lay-out"), &LAY_OUT, &[to_tie, rejects, sure])?;
    p.work(&format!("{key}.lay-out-enough"), &PASSING, &[lay_out, to_tie, rejects]);
    finish(p, key, none, rejects, lay_out)
}

fn finish(p: &mut Planner<'_>, key: &str, many: Many, rejects: Fig, lay_out: Fig) -> Option<Many> {
    if p.stages == Tied::ByStages {
        let surplus = p.work(&format!("{key}.surplus"), &SURPLUS, &[lay_out, rejects, many.to_tie])?;
        return Some(Many { rejects: Some(rejects), tied: lay_out, lay_out, surplus: Some(surplus), ..many });
    }
    let tied = p.work(&format!("{key}.tied"), &TIED, &[many.to_tie, rejects])?;
    Some(Many { rejects: Some(rejects), tied, lay_out, ..many })
}

/// How sure the bench wants to be.
pub(super) fn sure(p: &mut Planner<'_>) -> Option<Fig> {
    if let Some(fig) = p.figures.find("confidence") {
        return Some(fig);
    }
    let told = p.given.habits.confidence.as_ref();
    let (value, standing, from) = match told {
        Some(told) => (cross(told.value)?, Standing::Stated, place(&told.at)),
        None => (Decimal::new(95, 2), Standing::Assumed, "95 %, for bench.yaml says no `confidence:`".to_owned()),
    };
    Some(p.figures.given("confidence", value, Unit::One, standing, from))
}
