//! What a run is priced at: what is stated, what the list says, or what the cost comes to; extras, breaks, the fewest
//! flies that are charged and the step that prices are rounded to.
//!
//! A stated price is all that is asked: nothing comes on top and nothing off. On a listed or reckoned one the extras come
//! first, then the shares (a rush, a break by dozens), then the step, up.

use super::Priced;
use super::cost::{Exact, round};
use super::formulas::*;
use super::needs::place;
use super::run::Draft;
use super::work::Planner;
use crate::diagnostic::Told;
use crate::dressing::{Asks, Profit};
use crate::measure::Unit;
use crate::why::{Fig, Standing};
use rust_decimal::Decimal;

formula! { WITH_EXTRAS: "price a dozen + extras a dozen", [Money] then [Money] gives Money, "arithmetic", |x| x.iter().try_fold(Decimal::ZERO, |all, one| all.checked_add(*one)) }
formula! { BY_SHARES: "price x (1 + extra shares) x (1 - break)", [Money, One, One] then [] gives Money, "the bench's list",
|x| match x { [price, more, less] => price.checked_mul(Decimal::ONE.checked_add(*more)?)?.checked_mul(Decimal::ONE.checked_sub(*less)?), _ => None } }
formula! { TO_STEP: "price, up to the next step", [Money, Money] then [] gives Money, "the bench's list",
|x| match x { [price, step] => price.checked_div(*step)?.round_dp(9).ceil().checked_mul(*step), _ => None } }
formula! { CHARGED: "flies, or the fewest that are charged", [One, One] then [] gives One, "the bench's list", |x| x.iter().copied().max() }
formula! { SHARES: "sum", [] then [One] gives One, "arithmetic", |x| x.iter().try_fold(Decimal::ZERO, |all, one| all.checked_add(*one)) }

/// The price of a dozen and of the run, as shown.
pub(super) struct Price {
    pub(super) dozen: Option<Fig>,
    pub(super) run: Option<Fig>,
    pub(super) priced: Priced,
    /// Extras, a break, the fewest flies or the step have changed it.
    pub(super) changed: bool,
}

/// What the whole order brings to each run's price.
pub(super) struct Whole<'a> {
    /// Flies of the order.
    pub(super) flies: Fig,
    /// Extras asked for all its lines.
    pub(super) extras: &'a [Told<String>],
}

pub(super) fn of_run(p: &mut Planner<'_>, draft: &Draft, exact: &Exact, digits: Fig, whole: &Whole<'_>) -> Option<Price> {
    let key = &draft.key;
    let open = Price { dozen: None, run: None, priced: Priced::Open, changed: false };
    let (base, told, priced) = match &draft.price {
        Some((told, priced)) => {
            let sum = p.figures.given(p.figures.free_key(&format!("{key}.price-told")), told.value.sum, Unit::Money, Standing::Stated, place(&told.at));
            let per = p.figures.given(
                p.figures.free_key(&format!("{key}.price-for-flies")),
                Decimal::from(told.value.flies),
                Unit::One,
                Standing::Stated,
                place(&told.at),
            );
            (None, Some((sum, per)), *priced)
        }
        None => {
            let Some(profit) = p.shelf.terms.profit.clone().filter(|_| exact.labour.is_some()) else { return Some(open) };
            let (formula, share) = match profit.value {
                Profit::Margin(share) => (&BY_MARGIN, share),
                Profit::MarkUp(share) => (&BY_MARK_UP, share),
            };
            let share = p.common("profit", share, Unit::One, Standing::Stated, place(&profit.at));
            (Some((exact.all, formula, share)), None, Priced::Reckoned)
        }
    };
    let plain = matches!(priced, Priced::Stated(_)) || !changes(p, draft, whole);
    if plain {
        let (dozen, run) = match (base, told) {
            (_, Some((sum, per))) => (
                p.work(&format!("{key}.price-a-dozen-exact"), &PRICE_FOR_A_DOZEN, &[sum, per])?,
                p.work(&format!("{key}.price-exact"), &PRICE_OF_RUN, &[sum, draft.flies, per])?,
            ),
            (Some((cost, formula, share)), None) => {
                let run = p.work(&format!("{key}.price-exact"), formula, &[cost, share])?;
                (p.work(&format!("{key}.price-a-dozen-exact"), &A_DOZEN, &[run, draft.flies])?, run)
            }
            (None, None) => return Some(open),
        };
        let dozen = round(p, &format!("{key}.price-a-dozen"), digits, dozen)?;
        return Some(Price { dozen: Some(dozen), run: Some(round(p, &format!("{key}.price"), digits, run)?), priced, changed: false });
    }
    let dozen = match (base, told) {
        (_, Some((sum, per))) => p.work(&format!("{key}.price-a-dozen-listed"), &PRICE_FOR_A_DOZEN, &[sum, per])?,
        (Some((cost, formula, share)), None) => {
            let run = p.work(&format!("{key}.price-by-cost"), formula, &[cost, share])?;
            p.work(&format!("{key}.price-a-dozen-by-cost"), &A_DOZEN, &[run, draft.flies])?
        }
        (None, None) => return Some(open),
    };
    let plain = dozen;
    let (dozen, once) = extras(p, draft, dozen, whole)?;
    let dozen = round(p, &format!("{key}.price-a-dozen"), digits, dozen)?;
    let flies = match p.shelf.terms.least.clone() {
        Some(told) => {
            let least = p.common("least-charged", told.value.into(), Unit::One, Standing::Stated, place(&told.at));
            p.work(&format!("{key}.flies-charged"), &CHARGED, &[draft.flies, least])?
        }
        None => draft.flies,
    };
    let twelve = p.common("a-dozen", Decimal::from(12), Unit::One, Standing::Stated, "a dozen");
    let mut parts = vec![p.work(&format!("{key}.price-of-flies"), &PRICE_OF_RUN, &[dozen, flies, twelve])?];
    parts.extend(once);
    let run = p.work(&format!("{key}.price-exact"), &MONEY_SUM, &parts)?;
    let value = |fig: Fig| p.figures.value(fig);
    let changed = parts.len() > 1 || value(dozen) != value(plain) || value(flies) != value(draft.flies);
    Some(Price { dozen: Some(dozen), run: Some(round(p, &format!("{key}.price"), digits, run)?), priced, changed })
}

/// Whether anything of the bench's list beside the price itself touches this run.
fn changes(p: &Planner<'_>, draft: &Draft, whole: &Whole<'_>) -> bool {
    let terms = &p.shelf.terms;
    let flies = p.figures.value(whole.flies);
    let few = terms.least.as_ref().is_some_and(|told| Decimal::from(told.value) > p.figures.value(draft.flies));
    let broken = terms.breaks.iter().any(|(from, _)| Decimal::from(*from) <= flies);
    !draft.extras.is_empty() || !whole.extras.is_empty() || few || broken || terms.price_step.is_some()
}

/// The price of a dozen with all that comes on top and off, and what is charged once.
fn extras(p: &mut Planner<'_>, draft: &Draft, dozen: Fig, whole: &Whole<'_>) -> Option<(Fig, Vec<Fig>)> {
    let key = &draft.key;
    let terms = &p.shelf.terms;
    let (mut a_dozen, mut shares, mut once) = (vec![dozen], Vec::new(), Vec::new());
    let mut named: Vec<&Told<String>> = Vec::new();
    for told in draft.extras.iter().chain(whole.extras) {
        // Asked for the line and for the order is asked for once.
        if named.iter().all(|other| other.value != told.value) {
            named.push(told);
        }
    }
    for told in named {
        let Some(extra) = terms.extras.get(&told.value) else { continue };
        let (at, stem) = (place(&extra.asks.at), format!("extra {}", told.value));
        match extra.asks.value {
            Asks::Flies(price) => {
                let sum = p.common(&stem, price.sum, Unit::Money, Standing::Stated, at.clone());
                let per = p.common(&format!("{stem}.flies"), price.flies.into(), Unit::One, Standing::Stated, at);
                a_dozen.push(p.work(&format!("{key}.{stem}"), &PRICE_FOR_A_DOZEN, &[sum, per])?);
            }
            Asks::Run(sum) => once.push(p.common(&stem, sum, Unit::Money, Standing::Stated, at)),
            Asks::Share(share) => shares.push(p.common(&stem, share, Unit::One, Standing::Stated, at)),
        }
    }
    let mut price = if a_dozen.len() > 1 { p.work(&format!("{key}.price-a-dozen-with-extras"), &WITH_EXTRAS, &a_dozen)? } else { dozen };
    let flies = p.figures.value(whole.flies);
    let off = terms.breaks.iter().rev().find(|(from, _)| Decimal::from(*from) <= flies);
    if off.is_some() || !shares.is_empty() {
        let off = match off {
            Some((_, told)) => p.common("break", told.value, Unit::One, Standing::Stated, place(&told.at)),
            None => p.common("no-break", Decimal::ZERO, Unit::One, Standing::Stated, "no break for so few flies"),
        };
        let more = match shares.as_slice() {
            [] => p.common("no-extra-share", Decimal::ZERO, Unit::One, Standing::Stated, "no extra by a share of the price"),
            shares => p.work(&format!("{key}.extra-shares"), &SHARES, shares)?,
        };
        price = p.work(&format!("{key}.price-a-dozen-by-shares"), &BY_SHARES, &[price, more, off])?;
    }
    if let Some(step) = &terms.price_step {
        let step = p.common("price-step", step.value, Unit::Money, Standing::Stated, place(&step.at));
        price = p.work(&format!("{key}.price-a-dozen-to-step"), &TO_STEP, &[price, step])?;
    }
    Some((price, once))
}
