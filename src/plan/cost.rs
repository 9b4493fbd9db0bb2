//! The money of a plan. Exact rows first; every sum shown is its exact figure brought to the minor unit by itself,
//! and where shown lines do not add up to the whole shown, the difference stands on a line of its own.

use super::formulas::*;
use super::needs::{place, sum_of};
use super::run::Draft;
use super::work::Planner;
use super::{MaterialLine, Priced, Run, Totals};
use crate::dressing::Profit;
use crate::measure::{Rounding, Unit};
use crate::why::{Fig, Formula, Standing};
use rust_decimal::Decimal;

/// Exact money of one run.
struct Exact {
    materials: Fig,
    labour: Option<Fig>,
    overhead: Fig,
    all: Fig,
}

fn round(p: &mut Planner<'_>, key: &str, digits: Fig, money: Fig) -> Option<Fig> {
    let formula: &'static Formula<Decimal> = match p.shelf.terms.rounding {
        Rounding::HalfUp => &ROUND_HALF_UP,
        Rounding::HalfEven => &ROUND_HALF_EVEN,
    };
    p.work(key, formula, &[digits, money])
}

pub(super) fn work(p: &mut Planner<'_>, drafts: Vec<Draft>) -> Option<(Vec<Run>, Vec<MaterialLine>, Totals)> {
    let terms = &p.shelf.terms;
    let nothing = p.common("nothing", Decimal::ZERO, Unit::Money, Standing::Stated, "where a running total begins");
    let digits =
        p.common("minor-unit-digits", Decimal::from(p.currency.digits()), Unit::One, Standing::Stated, "ISO 4217, for the currency that bench.yaml names");
    let rate = terms.rate.as_ref().map(|told| p.figures.given("rate", told.value, Unit::MoneyAnHour, Standing::Stated, place(&told.at)));
    let overhead = match &terms.overhead {
        Some(told) => p.figures.given("overhead-share", told.value, Unit::One, Standing::Stated, place(&told.at)),
        None => p.figures.given("overhead-share", Decimal::ZERO, Unit::One, Standing::Assumed, "no overhead: bench.yaml says none"),
    };
    if rate.is_none() {
        p.open.push("labour: bench.yaml says no `rate:` an hour".to_owned());
    }
    let exact: Vec<Exact> = drafts.iter().map(|run| exact(p, run, rate, overhead, nothing)).collect::<Option<_>>()?;

    let exact_all: Vec<Fig> = exact.iter().map(|exact| exact.all).collect();
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
    let rounding = p.work("order.rounding", &LESS, &[cost, all_materials, all_labour, all_overhead])?;
    let lines = material_lines(p, &drafts, digits)?;
    let mut line_costs: Vec<Fig> = vec![all_materials];
    line_costs.extend(lines.iter().filter_map(|line| line.cost));
    let materials_rounding = p.work("order.materials.rounding", &LESS, &line_costs)?;

    let flies: Vec<Fig> = drafts.iter().map(|run| run.flies).collect();
    let all_flies = p.work("order.flies", &SUM_ONE, &flies)?;
    let known_hours: Vec<Fig> = drafts.iter().filter_map(|run| run.hours).collect();
    let none = p.common("no-hours", Decimal::ZERO, Unit::Hour, Standing::Stated, "where a sum of hours begins");
    let hours = p.work("order.hours", &HOURS_SUM, if known_hours.is_empty() { std::slice::from_ref(&none) } else { &known_hours })?;
    let cost_a_fly = each(p, "order.cost-a-fly", &A_FLY, digits, exact_cost, all_flies)?;
    let cost_a_dozen = each(p, "order.cost-a-dozen", &A_DOZEN, digits, exact_cost, all_flies)?;

    let mut runs = Vec::new();
    for (draft, exact) in drafts.into_iter().zip(&exact) {
        runs.push(run(p, draft, exact, digits)?);
    }
    let mut run_costs = vec![cost];
    run_costs.extend(runs.iter().map(|run| run.cost));
    p.work("order.runs.rounding", &LESS, &run_costs)?;
    let prices: Option<Vec<Fig>> = runs.iter().map(|run| run.price).collect();
    let price = match prices {
        Some(prices) => Some(p.work("order.price", &MONEY_SUM, &prices)?),
        None => None,
    };
    let timed = runs.iter().all(|run| run.hours.is_some()) && p.figures.value(hours) > Decimal::ZERO;
    let earns = match price.filter(|_| timed) {
        Some(price) => p.work("order.earns", &EARNS, &[price, exact_materials, exact_overhead, hours]),
        None => None,
    };
    let totals = Totals {
        flies: all_flies,
        hours,
        materials: all_materials,
        labour: all_labour,
        overhead: all_overhead,
        rounding,
        materials_rounding,
        cost,
        cost_a_fly,
        cost_a_dozen,
        price,
        earns,
    };
    Some((runs, lines, totals))
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
    let all = p.work(&format!("{key}.cost-exact"), &MONEY_SUM, &all)?;
    Some(Exact { materials, labour, overhead, all })
}

fn each(p: &mut Planner<'_>, key: &str, formula: &'static Formula<Decimal>, digits: Fig, money: Fig, flies: Fig) -> Option<Fig> {
    let exact = p.work(&format!("{key}-exact"), formula, &[money, flies])?;
    round(p, key, digits, exact)
}

fn run(p: &mut Planner<'_>, draft: Draft, exact: &Exact, digits: Fig) -> Option<Run> {
    let key = draft.key.clone();
    let materials = round(p, &format!("{key}.materials"), digits, exact.materials)?;
    let labour = match exact.labour {
        Some(labour) => Some(round(p, &format!("{key}.labour"), digits, labour)?),
        None => None,
    };
    let overhead = round(p, &format!("{key}.overhead"), digits, exact.overhead)?;
    let cost = round(p, &format!("{key}.cost"), digits, exact.all)?;
    let cost_a_fly = each(p, &format!("{key}.cost-a-fly"), &A_FLY, digits, exact.all, draft.flies)?;
    let cost_a_dozen = each(p, &format!("{key}.cost-a-dozen"), &A_DOZEN, digits, exact.all, draft.flies)?;
    let (price_a_dozen, price, priced) = match &draft.price {
        Some((told, priced)) => {
            let sum = p.figures.given(p.figures.free_key(&format!("{key}.price-told")), told.value.sum, Unit::Money, Standing::Stated, place(&told.at));
            let per = p.figures.given(
                p.figures.free_key(&format!("{key}.price-for-flies")),
                Decimal::from(told.value.flies),
                Unit::One,
                Standing::Stated,
                place(&told.at),
            );
            let dozen = p.work(&format!("{key}.price-a-dozen-exact"), &PRICE_FOR_A_DOZEN, &[sum, per])?;
            let dozen = round(p, &format!("{key}.price-a-dozen"), digits, dozen)?;
            let all = p.work(&format!("{key}.price-exact"), &PRICE_OF_RUN, &[sum, draft.flies, per])?;
            (Some(dozen), Some(round(p, &format!("{key}.price"), digits, all)?), *priced)
        }
        None => reckoned_price(p, &key, exact, labour, digits, draft.flies)?,
    };
    let earns = match (price, draft.hours) {
        (Some(price), Some(hours)) if p.figures.value(hours) > Decimal::ZERO => {
            p.work(&format!("{key}.earns"), &EARNS, &[price, exact.materials, exact.overhead, hours])
        }
        _ => None,
    };
    Some(Run {
        key,
        dressing: draft.dressing,
        size: draft.size,
        variant: draft.variant,
        card: draft.card,
        flies: draft.flies,
        hours: draft.hours,
        seconds_a_fly: draft.seconds,
        materials,
        labour,
        overhead,
        cost,
        cost_a_fly,
        cost_a_dozen,
        price_a_dozen,
        price,
        priced,
        earns,
    })
}

/// A price from the cost by margin or mark-up: the run's and a dozen's, each rounded by itself.
fn reckoned_price(p: &mut Planner<'_>, key: &str, exact: &Exact, labour: Option<Fig>, digits: Fig, flies: Fig) -> Option<(Option<Fig>, Option<Fig>, Priced)> {
    let Some(told) = p.shelf.terms.profit.clone().filter(|_| labour.is_some()) else {
        return Some((None, None, Priced::Open));
    };
    let (formula, share) = match told.value {
        Profit::Margin(share) => (&BY_MARGIN, share),
        Profit::MarkUp(share) => (&BY_MARK_UP, share),
    };
    let share = p.common("profit", share, Unit::One, Standing::Stated, place(&told.at));
    let for_run = p.work(&format!("{key}.price-exact"), formula, &[exact.all, share])?;
    let dozen = p.work(&format!("{key}.price-a-dozen-exact"), &A_DOZEN, &[for_run, flies])?;
    let dozen = round(p, &format!("{key}.price-a-dozen"), digits, dozen)?;
    Some((Some(dozen), Some(round(p, &format!("{key}.price"), digits, for_run)?), Priced::Reckoned))
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
            unit,
            amount,
            packs,
            whole_packs,
            pack: mine().find_map(|(_, used)| used.pack.clone()),
            cost,
            runs,
        });
    }
    Some(lines)
}
