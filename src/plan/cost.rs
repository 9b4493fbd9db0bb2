//! The money of a plan. Exact rows first; every sum shown is its exact figure brought to the minor unit by itself,
//! and where shown lines do not add up to the whole shown, the difference stands on a line of its own.

use super::formulas::*;
use super::needs::{in_unit, place, sum_of};
use super::price::{self, Whole};
use super::run::Draft;
use super::work::Planner;
use super::{Buying, MaterialLine, Run, Totals, buy, many};
use crate::diagnostic::Told;
use crate::dressing::{Charge, Order};
use crate::measure::{Rounding, Unit};
use crate::reckon::timings::Moments;
use crate::why::{Fig, Formula, Standing, cross};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// Exact money of one run.
pub(super) struct Exact {
    pub(super) materials: Fig,
    pub(super) labour: Option<Fig>,
    pub(super) overhead: Fig,
    pub(super) consumables: Option<Fig>,
    pub(super) all: Fig,
}

/// All that was worked of an order's money, and what is bought for it.
pub(super) struct Worked {
    pub(super) runs: Vec<Run>,
    pub(super) materials: Vec<MaterialLine>,
    pub(super) totals: Totals,
    pub(super) buying: Option<Buying>,
}

formula! { STRAY_SUM: "square root of the sum of squares", [] then [Hour] gives Hour, "variances of independent times add up",
|x| cross(x.iter().map(|one| one.to_f64().map(|one| one * one)).sum::<Option<f64>>()?.sqrt()) }
formula! { HOURS_LOW: "hours that are under-run as seldom as this confidence says", [Hour, Hour, One] then [] gives Hour, FENTON, |x| cross(range(x)?.0) }
formula! { HOURS_HIGH: "hours that are over-run as seldom as this confidence says", [Hour, Hour, One] then [] gives Hour, FENTON, |x| cross(range(x)?.1) }
formula! { CONSUMED: "flies tied x price / flies it is for", [One, Money, One] then [] gives Money, "what is used up beside the materials",
|x| match x { [flies, price, per] => flies.checked_mul(*price)?.checked_div(*per), _ => None } }
formula! { EARNS_BESIDE: "(price - all costs but labour) / hours", [Money, Hour] then [Money] gives MoneyAnHour, "what the price leaves for an hour's work",
|x| match x {
    [price, hours, costs @ ..] => costs.iter().try_fold(*price, |left, cost| left.checked_sub(*cost))?.checked_div(*hours),
    _ => None,
} }

const FENTON: &str = "log-normal flies, their sum by its first two moments: L. F. Fenton (1960)";

fn range(x: &[Decimal]) -> Option<(f64, f64)> {
    let [mean, stray, sure] = x else { return None };
    let range = Moments::new(mean.to_f64()?, stray.to_f64()?)?.range(sure.to_f64()?)?;
    Some((range.low, range.high))
}

/// Sets the range of some hours beside them.
fn hours_range(p: &mut Planner<'_>, key: &str, hours: Fig, stray: Option<Fig>) -> Option<(Fig, Fig)> {
    let stray = stray?;
    let sure = many::sure(p)?;
    Some((p.work(&format!("{key}.low"), &HOURS_LOW, &[hours, stray, sure])?, p.work(&format!("{key}.high"), &HOURS_HIGH, &[hours, stray, sure])?))
}

/// Charges whole packs where a material is charged so: the packs that hold all the order takes of it, shared out by use.
fn charge(p: &mut Planner<'_>, drafts: &mut [Draft]) -> Option<()> {
    let mut done: Vec<String> = Vec::new();
    let charged = |drafts: &[Draft]| -> Vec<String> {
        let uses = drafts.iter().flat_map(|run| &run.uses);
        uses.filter(|used| used.charge == Charge::WholePacks && used.costed.is_some()).map(|used| used.of.clone()).collect()
    };
    for of in charged(drafts) {
        if done.contains(&of) {
            continue;
        }
        let mut by_key: Vec<(String, Vec<Fig>)> = Vec::new();
        for used in drafts.iter().flat_map(|run| &run.uses).filter(|used| used.of == of) {
            let Some((share, _)) = used.costed else { continue };
            match by_key.iter_mut().find(|(key, _)| *key == used.key) {
                Some((_, shares)) => shares.push(share),
                None => by_key.push((used.key.clone(), vec![share])),
            }
        }
        let mut sums = Vec::new();
        for (key, shares) in &by_key {
            sums.push(p.work(&format!("all {key}.packs-charged-by"), &SUM_ONE, shares)?);
        }
        let all = p.work(&format!("all {of}.packs-in-all"), &SUM_ONE, &sums)?;
        // Feathers of several sizes come off the same cape.
        let feathers = p.shelf.materials.get(&of).is_some_and(|material| material.gives.is_some());
        let most = if feathers { p.work(&format!("all {of}.packs-of-the-size"), &MOST, &sums)? } else { all };
        let whole = p.work(&format!("all {of}.packs-charged"), &WHOLE_PACKS, &[most])?;
        for run in drafts.iter_mut() {
            for used in run.uses.iter_mut().filter(|used| used.of == of) {
                let Some((share, price)) = used.costed else { continue };
                let cost = p.work(&format!("{}.{}.cost-exact", run.key, used.key), &WHOLE_CHARGED, &[share, all, whole, price])?;
                used.cost = Some((share, cost));
            }
        }
        done.push(of);
    }
    Some(())
}

pub(super) fn round(p: &mut Planner<'_>, key: &str, digits: Fig, money: Fig) -> Option<Fig> {
    let formula: &'static Formula<Decimal> = match p.shelf.terms.rounding {
        Rounding::HalfUp => &ROUND_HALF_UP,
        Rounding::HalfEven => &ROUND_HALF_EVEN,
    };
    p.work(key, formula, &[digits, money])
}

pub(super) fn work(p: &mut Planner<'_>, order: &Order, drafts: &mut [Draft]) -> Option<Worked> {
    charge(p, drafts)?;
    let terms = &p.shelf.terms;
    let nothing = p.common("nothing", Decimal::ZERO, Unit::Money, Standing::Stated, "where a running total begins");
    let digits =
        p.common("minor-unit-digits", Decimal::from(p.currency.digits()), Unit::One, Standing::Stated, "ISO 4217, for the currency that bench.yaml names");
    let rate = match (p.given.wish.rate, &terms.rate) {
        (Some(rate), _) => Some(p.figures.given("rate", rate, Unit::MoneyAnHour, Standing::Assumed, "tried out on the plan")),
        (None, Some(told)) => Some(p.figures.given("rate", told.value, Unit::MoneyAnHour, Standing::Stated, place(&told.at))),
        (None, None) => None,
    };
    let overhead = match &terms.overhead {
        Some(told) => p.figures.given("overhead-share", told.value, Unit::One, Standing::Stated, place(&told.at)),
        None => p.figures.given("overhead-share", Decimal::ZERO, Unit::One, Standing::Assumed, "no overhead: bench.yaml says none"),
    };
    if rate.is_none() {
        p.open.push("labour: bench.yaml says no `rate:` an hour".to_owned());
    }
    let exact: Vec<Exact> = drafts.iter().map(|run| exact(p, run, rate, overhead, nothing)).collect::<Option<_>>()?;

    let exact_all: Vec<Fig> = exact.iter().map(|exact| exact.all).collect();
    let packing = once(p, "packing", terms.packing.as_ref(), digits)?;
    let postage = once(p, "postage", order.postage.as_ref().or(terms.postage.as_ref()), digits)?;
    let mut exact_all = exact_all;
    exact_all.extend(packing.into_iter().chain(postage));
    let exact_cost = p.work("order.cost-exact", &MONEY_SUM, &exact_all)?;
    let cost = round(p, "order.cost", digits, exact_cost)?;
    let head = |p: &mut Planner<'_>, name: &str, of: &dyn Fn(&Exact) -> Option<Fig>| -> Option<(Fig, Fig)> {
        let known: Vec<Fig> = exact.iter().filter_map(of).collect();
        let whole = p.work(&format!("order.{name}-exact"), &MONEY_SUM, if known.is_empty() { std::slice::from_ref(&nothing) } else { &known })?;
        Some((whole, round(p, &format!("order.{name}"), digits, whole)?))
    };
    let (exact_materials, all_materials) = head(p, "materials", &|exact| Some(exact.materials))?;
    let (_, all_labour) = head(p, "labour", &|exact| exact.labour)?;
    let (exact_overhead, all_overhead) = head(p, "overhead", &|exact| Some(exact.overhead))?;
    let all_consumables = match exact.iter().any(|exact| exact.consumables.is_some()) {
        true => Some(head(p, "consumables", &|exact| exact.consumables)?),
        false => None,
    };
    let mut heads = vec![cost, all_materials, all_labour, all_overhead];
    heads.extend(all_consumables.map(|(_, shown)| shown).into_iter().chain(packing).chain(postage));
    let rounding = p.work("order.rounding", &LESS, &heads)?;
    let lines = material_lines(p, drafts, digits)?;
    let buying = buy::work(p, drafts, &lines, digits);
    let mut line_costs: Vec<Fig> = vec![all_materials];
    line_costs.extend(lines.iter().filter_map(|line| line.cost));
    let materials_rounding = p.work("order.materials.rounding", &LESS, &line_costs)?;

    let flies: Vec<Fig> = drafts.iter().map(|run| run.flies).collect();
    let all_flies = p.work("order.flies", &SUM_ONE, &flies)?;
    let known_hours: Vec<Fig> = drafts.iter().filter_map(|run| run.hours).collect();
    let none = p.common("no-hours", Decimal::ZERO, Unit::Hour, Standing::Stated, "where a sum of hours begins");
    let hours = p.work("order.hours", &HOURS_SUM, if known_hours.is_empty() { std::slice::from_ref(&none) } else { &known_hours })?;
    let strays: Vec<Fig> = drafts.iter().filter_map(|run| run.stray).collect();
    let stray = if strays.is_empty() { None } else { p.work("order.hours-stray", &STRAY_SUM, &strays) };
    let hours_range = hours_range(p, "order.hours", hours, stray);
    let cost_a_fly = each(p, "order.cost-a-fly", &A_FLY, digits, exact_cost, all_flies)?;
    let cost_a_dozen = each(p, "order.cost-a-dozen", &A_DOZEN, digits, exact_cost, all_flies)?;

    let mut runs = Vec::new();
    let whole = Whole { flies: all_flies, extras: &order.extras };
    for (draft, exact) in drafts.iter().zip(&exact) {
        runs.push(run(p, draft, exact, digits, &whole)?);
    }
    let mut run_costs = vec![cost];
    run_costs.extend(runs.iter().map(|run| run.cost).chain(packing).chain(postage));
    p.work("order.runs.rounding", &LESS, &run_costs)?;
    let prices: Option<Vec<Fig>> = runs.iter().map(|run| run.price).collect();
    let price = match prices {
        Some(prices) => Some(p.work("order.price", &MONEY_SUM, &prices)?),
        None => None,
    };
    let timed = runs.iter().all(|run| run.hours.is_some()) && p.figures.value(hours) > Decimal::ZERO;
    let earns = match price.filter(|_| timed) {
        Some(price) if all_consumables.is_none() && packing.is_none() && postage.is_none() => {
            p.work("order.earns", &EARNS, &[price, exact_materials, exact_overhead, hours])
        }
        Some(price) => {
            let mut inputs = vec![price, hours, exact_materials, exact_overhead];
            inputs.extend(all_consumables.map(|(exact, _)| exact).into_iter().chain(packing).chain(postage));
            p.work("order.earns", &EARNS_BESIDE, &inputs)
        }
        None => None,
    };
    // What leaves the bench's rate an hour is what all of it costs, the labour at that rate.
    let price_at_rate = match rate.filter(|_| timed) {
        Some(_) => Some(round(p, "order.price-at-rate", digits, exact_cost)?),
        None => None,
    };
    let totals = Totals {
        flies: all_flies,
        hours,
        materials: all_materials,
        labour: all_labour,
        overhead: all_overhead,
        consumables: all_consumables.map(|(_, shown)| shown),
        packing,
        postage,
        hours_range,
        hours_stray: stray,
        price_at_rate,
        rounding,
        materials_rounding,
        cost,
        cost_a_fly,
        cost_a_dozen,
        price,
        earns,
    };
    Some(Worked { runs, materials: lines, totals, buying })
}

/// A sum that comes up once an order, brought to the minor unit.
fn once(p: &mut Planner<'_>, name: &str, told: Option<&Told<Decimal>>, digits: Fig) -> Option<Option<Fig>> {
    let Some(told) = told.filter(|told| !told.value.is_zero()) else { return Some(None) };
    let sum = p.figures.given(format!("order.{name}-told"), told.value, Unit::Money, Standing::Stated, place(&told.at));
    Some(Some(round(p, &format!("order.{name}"), digits, sum)?))
}

fn exact(p: &mut Planner<'_>, run: &Draft, rate: Option<Fig>, overhead: Fig, nothing: Fig) -> Option<Exact> {
    let key = &run.key;
    let mut costs: Vec<Fig> = run.uses.iter().filter_map(|used| used.cost.map(|(_, cost)| cost)).collect();
    if costs.is_empty() {
        costs.push(nothing);
    }
    let materials = p.work(&format!("{key}.materials-exact"), &MONEY_SUM, &costs)?;
    let labour = match (run.hours, rate) {
        (Some(hours), Some(rate)) => Some(p.work(&format!("{key}.labour-exact"), &LABOUR, &[hours, rate])?),
        _ => None,
    };
    let mut base = vec![overhead, materials];
    base.extend(labour);
    let overhead = p.work(&format!("{key}.overhead-exact"), &OVERHEAD, &base)?;
    let mut all = vec![materials, overhead];
    all.extend(labour);
    let consumables = match p.shelf.terms.consumables.clone() {
        Some(told) => {
            let price = p.common("consumables", told.value.sum, Unit::Money, Standing::Stated, place(&told.at));
            let per = p.common("consumables-for-flies", told.value.flies.into(), Unit::One, Standing::Stated, place(&told.at));
            Some(p.work(&format!("{key}.consumables-exact"), &CONSUMED, &[run.many.tied, price, per])?)
        }
        None => None,
    };
    all.extend(consumables);
    let all = p.work(&format!("{key}.cost-exact"), &MONEY_SUM, &all)?;
    Some(Exact { materials, labour, overhead, consumables, all })
}

fn each(p: &mut Planner<'_>, key: &str, formula: &'static Formula<Decimal>, digits: Fig, money: Fig, flies: Fig) -> Option<Fig> {
    let exact = p.work(&format!("{key}-exact"), formula, &[money, flies])?;
    round(p, key, digits, exact)
}

fn run(p: &mut Planner<'_>, draft: &Draft, exact: &Exact, digits: Fig, whole: &Whole<'_>) -> Option<Run> {
    let key = draft.key.clone();
    let materials = round(p, &format!("{key}.materials"), digits, exact.materials)?;
    let labour = match exact.labour {
        Some(labour) => Some(round(p, &format!("{key}.labour"), digits, labour)?),
        None => None,
    };
    let overhead = round(p, &format!("{key}.overhead"), digits, exact.overhead)?;
    let consumables = match exact.consumables {
        Some(consumables) => Some(round(p, &format!("{key}.consumables"), digits, consumables)?),
        None => None,
    };
    let cost = round(p, &format!("{key}.cost"), digits, exact.all)?;
    let cost_a_fly = each(p, &format!("{key}.cost-a-fly"), &A_FLY, digits, exact.all, draft.flies)?;
    let cost_a_dozen = each(p, &format!("{key}.cost-a-dozen"), &A_DOZEN, digits, exact.all, draft.flies)?;
    let price = price::of_run(p, draft, exact, digits, whole)?;
    let hours = draft.hours.filter(|hours| p.figures.value(*hours) > Decimal::ZERO);
    let earns = match (price.run, hours, exact.consumables) {
        (Some(price), Some(hours), None) => p.work(&format!("{key}.earns"), &EARNS, &[price, exact.materials, exact.overhead, hours]),
        (Some(price), Some(hours), Some(consumables)) => {
            p.work(&format!("{key}.earns"), &EARNS_BESIDE, &[price, hours, exact.materials, exact.overhead, consumables])
        }
        _ => None,
    };
    // With labour at the bench's rate, what leaves that rate is the cost.
    let price_at_rate = match exact.labour {
        Some(_) => Some(each(p, &format!("{key}.price-at-rate"), &A_DOZEN, digits, exact.all, draft.flies)?),
        None => None,
    };
    let hours_range = match draft.hours {
        Some(hours) => hours_range(p, &format!("{key}.hours"), hours, draft.stray),
        None => None,
    };
    Some(Run {
        key,
        dressing: draft.dressing.clone(),
        size: draft.size.clone(),
        variant: draft.variant.clone(),
        card: draft.card.clone(),
        flies: draft.flies,
        drawer: draft.many.drawer,
        to_tie: draft.many.to_tie,
        rejects: draft.many.rejects,
        tied: draft.many.tied,
        lay_out: draft.many.lay_out,
        surplus: draft.many.surplus,
        hours: draft.hours,
        hours_range,
        seconds_a_fly: draft.seconds,
        materials,
        labour,
        overhead,
        consumables,
        cost,
        cost_a_fly,
        cost_a_dozen,
        price_a_dozen: price.dozen,
        price: price.run,
        priced: price.priced,
        price_changed: price.changed,
        earns,
        price_at_rate,
    })
}

/// Materials over all runs, in the order they are first used.
fn material_lines(p: &mut Planner<'_>, drafts: &[Draft], digits: Fig) -> Option<Vec<MaterialLine>> {
    let mut keys: Vec<(&str, Unit)> = Vec::new();
    for used in drafts.iter().flat_map(|run| &run.uses) {
        if !keys.contains(&(used.key.as_str(), used.unit)) {
            keys.push((&used.key, used.unit));
        }
    }
    let mut lines: Vec<MaterialLine> = Vec::new();
    for (material, unit) in keys {
        let mine = || {
            drafts
                .iter()
                .enumerate()
                .flat_map(|(nth, run)| run.uses.iter().map(move |used| (nth, used)))
                .filter(|(_, used)| used.key == material && used.unit == unit)
        };
        let key = format!("all {material}");
        let amounts: Vec<Fig> = mine().map(|(_, used)| used.amount).collect();
        let amount = p.work(&format!("{key}.amount"), sum_of(unit), &amounts)?;
        let laid: Vec<Fig> = mine().map(|(_, used)| used.lay_out).collect();
        let lay_out = if laid == amounts { amount } else { p.work(&format!("{key}.lay-out"), sum_of(unit), &laid)? };
        let there = p.given.stock.on_hand.get(material);
        let there = there.and_then(|there| Some((there.unit.convert(there.amount, unit)?, there.from.clone())));
        let on_hand = there.map(|(amount, from)| p.figures.given(format!("{key}.on-hand"), amount, unit, Standing::Measured, from));
        let bought = mine().all(|(_, used)| !used.not_bought);
        let short = match on_hand {
            _ if !bought => None,
            Some(there) => Some(p.work(&format!("{key}.short"), in_unit(unit).short, &[lay_out, there])?),
            None => Some(lay_out),
        };
        let (shares, costs): (Vec<Fig>, Vec<Fig>) = mine().filter_map(|(_, used)| used.cost).unzip();
        let (mut packs, mut whole_packs, mut cost) = (None, None, None);
        if !shares.is_empty() {
            packs = Some(p.work(&format!("{key}.packs"), &SUM_ONE, &shares)?);
            whole_packs = Some(p.work(&format!("{key}.whole-packs"), &WHOLE_PACKS, &shares)?);
            let exact = p.work(&format!("{key}.cost-exact"), &MONEY_SUM, &costs)?;
            cost = Some(round(p, &format!("{key}.cost"), digits, exact)?);
        }
        let mut runs: Vec<usize> = mine().map(|(nth, _)| nth).collect();
        runs.dedup();
        let first = mine().next().map(|(_, used)| used)?;
        lines.push(MaterialLine {
            key,
            name: first.name.clone(),
            of: first.of.clone(),
            unit,
            amount,
            lay_out,
            on_hand,
            short,
            packs,
            whole_packs,
            pack: mine().find_map(|(_, used)| used.pack.clone()),
            cost,
            runs,
        });
    }
    Some(lines)
}
