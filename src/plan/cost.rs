//! The money of a plan. Exact rows first; then the whole is rounded once, and every sum shown beneath it is
//! brought to the minor unit so that runs and materials alike add up to it.

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

/// Brings sums to the minor unit so that they add up to a whole.
struct Apportion {
    digits: Fig,
    rounding: Rounding,
}

impl Apportion {
    /// The shown sums, in the order of the exact ones; `key` names the shown sum of each.
    fn all(&self, p: &mut Planner<'_>, whole: Fig, exact: &[Fig], key: impl Fn(usize) -> String) -> Option<Vec<Fig>> {
        let formula = match self.rounding {
            Rounding::HalfUp => &APPORTION_HALF_UP,
            Rounding::HalfEven => &APPORTION_HALF_EVEN,
        };
        (0..exact.len())
            .map(|nth| {
                let line = p.common(&format!("line {nth}"), Decimal::from(nth), Unit::One, Standing::Stated, "which line it is, from 0");
                let mut inputs = vec![*exact.get(nth)?, self.digits, line, whole];
                inputs.extend(exact);
                p.work(&key(nth), formula, &inputs)
            })
            .collect()
    }
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

    let apportion = Apportion { digits, rounding: p.shelf.terms.rounding };
    let column = |of: &dyn Fn(&Exact) -> Option<Fig>| exact.iter().map(of).collect::<Vec<Option<Fig>>>();
    let columns =
        [("materials", column(&|exact| Some(exact.materials))), ("labour", column(&|exact| exact.labour)), ("overhead", column(&|exact| Some(exact.overhead)))];
    // The whole first, then its three heads, then each head's runs: every level adds up to the one above.
    let exact_all: Vec<Fig> = exact.iter().map(|exact| exact.all).collect();
    let exact_cost = p.work("order.cost-exact", &MONEY_SUM, &exact_all)?;
    let cost = round(p, "order.cost", digits, exact_cost)?;
    let mut heads = Vec::new();
    for (name, column) in &columns {
        let known: Vec<Fig> = column.iter().flatten().copied().collect();
        heads.push(p.work(&format!("order.{name}-exact"), &MONEY_SUM, if known.is_empty() { std::slice::from_ref(&nothing) } else { &known })?);
    }
    let shown_heads = apportion.all(p, cost, &heads, |nth| format!("order.{}", columns.get(nth).map_or("", |(name, _)| name)))?;
    let mut shown_columns = Vec::new();
    for ((name, column), head) in columns.iter().zip(&shown_heads) {
        let known: Vec<(usize, Fig)> = column.iter().enumerate().filter_map(|(nth, fig)| fig.map(|fig| (nth, fig))).collect();
        let figs: Vec<Fig> = known.iter().map(|(_, fig)| *fig).collect();
        let keys: Vec<String> = known.iter().filter_map(|(nth, _)| drafts.get(*nth)).map(|draft| format!("{}.{name}", draft.key)).collect();
        let shown = apportion.all(p, *head, &figs, |nth| keys.get(nth).cloned().unwrap_or_default())?;
        let mut whole_column: Vec<Option<Fig>> = vec![None; drafts.len()];
        for ((nth, _), fig) in known.iter().zip(shown) {
            if let Some(cell) = whole_column.get_mut(*nth) {
                *cell = Some(fig);
            }
        }
        shown_columns.push(whole_column);
    }
    let [materials, labour, overheads]: [Vec<Option<Fig>>; 3] = shown_columns.try_into().ok()?;
    let [all_materials, all_labour, all_overhead]: [Fig; 3] = shown_heads.try_into().ok()?;
    let lines = material_lines(p, &drafts, &apportion, all_materials)?;

    let flies: Vec<Fig> = drafts.iter().map(|run| run.flies).collect();
    let all_flies = p.work("order.flies", &SUM_ONE, &flies)?;
    let known_hours: Vec<Fig> = drafts.iter().filter_map(|run| run.hours).collect();
    let none = p.common("no-hours", Decimal::ZERO, Unit::Hour, Standing::Stated, "where a sum of hours begins");
    let hours = p.work("order.hours", &HOURS_SUM, if known_hours.is_empty() { std::slice::from_ref(&none) } else { &known_hours })?;
    let cost_a_fly = each(p, "order.cost-a-fly", &A_FLY, digits, exact_cost, all_flies)?;
    let cost_a_dozen = each(p, "order.cost-a-dozen", &A_DOZEN, digits, exact_cost, all_flies)?;

    let mut runs = Vec::new();
    for (nth, (draft, exact)) in drafts.into_iter().zip(&exact).enumerate() {
        let shown: Vec<Fig> = [&materials, &labour, &overheads].into_iter().filter_map(|column| column.get(nth).copied().flatten()).collect();
        let cost = p.work(&format!("{}.cost", draft.key), &MONEY_SUM, &shown)?;
        runs.push(run(
            p,
            draft,
            exact,
            cost,
            digits,
            materials.get(nth).copied().flatten()?,
            labour.get(nth).copied().flatten(),
            overheads.get(nth).copied().flatten()?,
        )?);
    }
    let prices: Option<Vec<Fig>> = runs.iter().map(|run| run.price).collect();
    let price = match prices {
        Some(prices) => Some(p.work("order.price", &MONEY_SUM, &prices)?),
        None => None,
    };
    let timed = runs.iter().all(|run| run.hours.is_some()) && p.figures.value(hours) > Decimal::ZERO;
    let earns = match price.filter(|_| timed) {
        Some(price) => {
            let [materials, _, overhead]: [Fig; 3] = heads.try_into().ok()?;
            p.work("order.earns", &EARNS, &[price, materials, overhead, hours])
        }
        None => None,
    };
    let totals =
        Totals { flies: all_flies, hours, materials: all_materials, labour: all_labour, overhead: all_overhead, cost, cost_a_fly, cost_a_dozen, price, earns };
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

#[expect(clippy::too_many_arguments, reason = "the columns of one run's money")]
fn run(p: &mut Planner<'_>, draft: Draft, exact: &Exact, cost: Fig, digits: Fig, materials: Fig, labour: Option<Fig>, overhead: Fig) -> Option<Run> {
    let key = draft.key.clone();
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

/// A price from the cost by margin or mark-up: a dozen's is rounded, the run's follows from it.
fn reckoned_price(p: &mut Planner<'_>, key: &str, exact: &Exact, labour: Option<Fig>, digits: Fig, flies: Fig) -> Option<(Option<Fig>, Option<Fig>, Priced)> {
    let Some(told) = p.shelf.terms.profit.clone().filter(|_| labour.is_some()) else {
        return Some((None, None, Priced::Open));
    };
    let (formula, share) = match told.value {
        Profit::Margin(share) => (&BY_MARGIN, share),
        Profit::MarkUp(share) => (&BY_MARK_UP, share),
    };
    let share = p.common("profit", share, Unit::One, Standing::Stated, &place(&told.at));
    let for_run = p.work(&format!("{key}.price-by-cost"), formula, &[exact.all, share])?;
    let dozen = p.work(&format!("{key}.price-a-dozen-exact"), &A_DOZEN, &[for_run, flies])?;
    let dozen = round(p, &format!("{key}.price-a-dozen"), digits, dozen)?;
    let twelve = p.common("for-a-dozen", Decimal::from(12), Unit::One, Standing::Stated, "a time or price for a dozen flies");
    let all = p.work(&format!("{key}.price-exact"), &PRICE_OF_RUN, &[dozen, flies, twelve])?;
    Some((Some(dozen), Some(round(p, &format!("{key}.price"), digits, all)?), Priced::Reckoned))
}

/// Materials over all runs, in the order they are first used.
fn material_lines(p: &mut Planner<'_>, drafts: &[Draft], apportion: &Apportion, whole: Fig) -> Option<Vec<MaterialLine>> {
    let mut keys: Vec<(&str, Unit)> = Vec::new();
    for used in drafts.iter().flat_map(|run| &run.uses) {
        if !keys.contains(&(used.key.as_str(), used.unit)) {
            keys.push((&used.key, used.unit));
        }
    }
    let mut lines: Vec<MaterialLine> = Vec::new();
    let mut costed: Vec<(usize, Fig)> = Vec::new();
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
        let (mut packs, mut whole_packs) = (None, None);
        if !shares.is_empty() {
            packs = Some(p.work(&format!("{key}.packs"), &SUM_ONE, &shares)?);
            whole_packs = Some(p.work(&format!("{key}.whole-packs"), &WHOLE_PACKS, &shares)?);
            let exact = p.work(&format!("{key}.cost-exact"), &MONEY_SUM, &costs)?;
            costed.push((lines.len(), exact));
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
            cost: None,
            runs,
        });
    }
    let exact: Vec<Fig> = costed.iter().map(|(_, exact)| *exact).collect();
    let keys: Vec<String> = costed.iter().filter_map(|(nth, _)| lines.get(*nth)).map(|line| format!("{}.cost", line.key)).collect();
    let shown = apportion.all(p, whole, &exact, |nth| keys.get(nth).cloned().unwrap_or_default())?;
    for ((nth, _), fig) in costed.iter().zip(shown) {
        if let Some(line) = lines.get_mut(*nth) {
            line.cost = Some(fig);
        }
    }
    Some(lines)
}
