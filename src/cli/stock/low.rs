//! What is running low: the bench's own rule first (the last spare is opened, the orders need more), the reorder point
//! behind it as advice, and what does not move at all.

use super::look::shelf;
use super::{Fault, Shop};
use crate::cli::Verdict;
use crate::cli::key;
use crate::cli::out::Out;
use crate::dressing::{Order, Pack};
use crate::ledger::{Aside, Ledger};
use crate::measure::words::fold;
use crate::measure::{Unit, Words};
use crate::paper;
use crate::paper::table::Table;
use crate::plan;
use crate::stores::balance::Balance;
use crate::stores::low::{self, Asked, Low, Pace};
use crate::stores::low_figures::{self, Known, LowFigures};
use crate::stores::substitutes::stand_ins;
use crate::stores::{Filter, Goods, Thing, ThingId};
use crate::why::Figures;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde_json::json;
use std::collections::HashMap;

/// What is told.
#[derive(Debug, clap::Args)]
pub struct LowOf {
    /// Tell as well what stands still, and what lasts longer than a year
    #[arg(long)]
    pub still: bool,
    /// Print the list as JSON
    #[arg(long)]
    pub json: bool,
    /// Say how the figure with this key was reckoned, such as `gold wire, fine.lacking`
    #[arg(long, value_name = "KEY")]
    pub why: Option<String>,
}

/// Days of a span of use, and how many are looked at: about a year.
const SPAN_DAYS: u32 = 28;
const SPANS: usize = 13;
/// The chance that goods are to last until new ones come; the bench's own, until it says otherwise.
const SERVICE: Decimal = Decimal::from_parts(95, 0, 0, false, 2);

struct Row {
    thing: Thing,
    figures: Option<LowFigures>,
    low: Option<Low>,
    pace: Pace,
}

pub(super) fn low(shop: &Shop, asked: &LowOf, out: &mut Out) -> Result<Verdict, Fault> {
    let ledger = shop.reading()?;
    let (needs, unplanned) = needs(shop);
    let mut sheet = Figures::new();
    let rows = match &ledger {
        Some(ledger) => rows(shop, ledger, &needs, &mut sheet)?,
        None => Vec::new(),
    };
    if let Some(why) = &asked.why {
        let found = key::find(&sheet, why, &|key| !key.contains(".used."), out);
        match found {
            Ok(key::Asked::Figure(fig)) if asked.json => out.json(&paper::json::why(&sheet, fig, &paper::run::number)),
            Ok(key::Asked::Figure(fig)) => out.text(&paper::why::text(&paper::why::explain(&sheet, fig, &|row| paper::why::sum(row, "")))),
            Ok(key::Asked::Schema) => out.line("1"),
            Err(verdict) => return Ok(verdict),
        }
        return Ok(Verdict::Fine);
    }
    // What the orders need and the ledger has never seen.
    let never: Vec<&Need> = needs.iter().filter(|need| !need.seen && ledger.as_ref().is_none_or(|_| !rows.iter().any(|row| need.is(&row.thing)))).collect();
    let free: HashMap<String, Decimal> = rows
        .iter()
        .filter(|row| matches!(row.thing.goods, Goods::Material { .. }))
        .filter_map(|row| Some((row.thing.goods.name().folded(), sheet.value(row.figures?.free))))
        .collect();
    if asked.json {
        let row = |row: &Row| {
            let figure = |fig: fn(LowFigures) -> crate::why::Fig| row.figures.map(|figures| sheet.value(fig(figures)).normalize().to_string());
            json!({
                "thing": row.thing.goods.to_string(), "key": row.thing.goods.to_string(), "unit": low_figures::sheet_unit(row.thing.unit).name(),
                "rule": row.low.as_ref().map(rule), "free": figure(|figures: LowFigures| figures.free), "lacking": figure(|figures: LowFigures| figures.lacking),
                "reorder-point": row.figures.and_then(|figures| figures.reorder).map(|(point, _)| sheet.value(point).normalize().to_string()),
                "stands": match row.pace { Pace::Moving => "moving", Pace::Slow => "slow", Pace::Dead => "still" },
            })
        };
        let wanted = |row: &&Row| row.low.is_some() || asked.still && row.pace != Pace::Moving;
        let never: Vec<_> =
            never.iter().map(|need| json!({ "thing": need.name, "unit": need.unit.name(), "needed": need.sum().normalize().to_string() })).collect();
        out.json(&json!({ "schema": 1, "low": rows.iter().filter(wanted).map(row).collect::<Vec<_>>(), "never-booked-in": never }));
        return Ok(Verdict::Fine);
    }
    let mut said = false;
    for row in rows.iter().filter(|row| row.low.is_some()) {
        said = true;
        tell(shop, row, &sheet, &free, out);
    }
    if !never.is_empty() {
        if said {
            out.line("");
        }
        said = true;
        let mut table = Table::new(&["needed by orders, never booked in", ">how much", "for"]);
        for need in &never {
            let much = shop.text(format!("{} {}", need.sum().round_dp(3).normalize(), need.unit.name()).trim_end());
            let other = rows.iter().find(|row| row.thing.goods.name().folded() == need.of).map(|row| row.thing.unit);
            let remark = other.map_or_else(String::new, |unit| format!("; some is there, kept in {}: look at it", super::asked::unit_name(unit)));
            table.row(vec![Words::new(&need.name).to_string(), much, format!("{}{remark}", need.by())]);
        }
        out.text(&table.text());
    }
    for row in rows.iter().filter(|row| asked.still && row.pace != Pace::Moving) {
        said = true;
        let how = if row.pace == Pace::Dead { "nothing of it was used in a year" } else { "lasts more than a year at the pace of its use" };
        out.line(&format!("{}: {how}", row.thing.goods));
    }
    if !said {
        out.line("nothing is running low");
    }
    unplanned.iter().for_each(|order| {
        out.trouble(&format!("advice: the order \"{}\" cannot be planned, so its needs are not counted; `herl plan` says why", Words::new(order)))
    });
    Ok(Verdict::Fine)
}

fn rule(low: &Low) -> &'static str {
    match low {
        Low::LastSpare { .. } => "last spare opened",
        Low::BelowNought { .. } => "below nought",
        Low::OrdersNeed { .. } => "orders need more",
        Low::AtPoint { .. } => "reorder point",
    }
}

fn tell(shop: &Shop, row: &Row, sheet: &Figures, free: &HashMap<String, Decimal>, out: &mut Out) {
    let (goods, unit) = (&row.thing.goods, low_figures::sheet_unit(row.thing.unit));
    let shown = |quantity: Decimal| shop.shown(quantity.round_dp(3), unit, goods);
    let line = match row.low.as_ref() {
        None => return,
        Some(Low::LastSpare { full: 0, .. }) => format!("{goods}: the last spare is opened; no full pack is left"),
        Some(Low::LastSpare { full, spare }) => format!("{goods}: {full} full, and {spare} are to be spare"),
        Some(Low::BelowNought { free }) => format!("{goods}: {} short of what went out and is set aside; count it", shown(free.abs())),
        Some(Low::OrdersNeed { lacking }) => format!("{goods}: {} lacking for the orders", shown(*lacking)),
        Some(Low::AtPoint { .. }) => {
            let point = row.figures.and_then(|figures| figures.reorder).map(|(point, _)| sheet.value(point)).unwrap_or_default();
            format!("{goods}: advice only: at the stock at which to order again, {}", shown(point))
        }
    };
    let pack = cheapest(shop, goods).map_or_else(String::new, |pack| format!("; {pack}"));
    out.line(&format!("{line}{pack}"));
    if !matches!(row.low, Some(Low::LastSpare { .. })) {
        out.line(&format!(
            "  why: herl stock low --why \"{goods}.{}\"",
            if matches!(row.low, Some(Low::AtPoint { .. })) { "reorder-point" } else { "lacking" }
        ));
    }
    if matches!(row.low, Some(Low::OrdersNeed { .. } | Low::BelowNought { .. }))
        && let Some(material) = shop.material(goods)
    {
        let all = stand_ins(&shop.opened.bench.shelf, material, |key| free.get(key).copied());
        let names: Vec<String> = all.iter().take(3).map(|one| format!("{}{}", Words::new(&one.name), if one.declared { "" } else { " (same kind)" })).collect();
        if !names.is_empty() {
            out.line(&format!("  could stand in: {}", names.join(", ")));
        }
    }
}

/// The pack that is cheapest by what it holds, in words.
fn cheapest(shop: &Shop, goods: &Goods) -> Option<String> {
    let shelf = &shop.opened.bench.shelf;
    let packs: Vec<&Pack> = packs(shop, goods);
    let pack = packs.into_iter().min_by_key(|pack| pack.price.value.checked_div(pack.holds).unwrap_or(Decimal::MAX))?;
    let from = pack
        .supplier
        .as_ref()
        .and_then(|name| shelf.suppliers.get(&fold(&name.value)))
        .map_or_else(String::new, |supplier| format!(", {}", Words::new(&supplier.name.value)));
    let price = shop.text(&shelf.terms.currency.text(pack.price.value));
    Some(format!("a pack holds {} at {price} {}{from}", shop.shown(pack.holds, pack.unit, goods), shelf.terms.currency.code()))
}

fn packs<'a>(shop: &'a Shop, goods: &Goods) -> Vec<&'a Pack> {
    let shelf = &shop.opened.bench.shelf;
    match goods {
        Goods::Material { name, .. } => shelf.materials.get(&name.folded()).map(|material| material.packs.iter().collect()).unwrap_or_default(),
        Goods::Hook { chart, size } => {
            let chart = shelf.charts.get(&chart.folded());
            let fits = |pack: &&Pack| pack.sizes.is_empty() || pack.sizes.iter().any(|own| own.text() == size.as_str());
            chart.map(|chart| chart.packs.iter().filter(fits).collect()).unwrap_or_default()
        }
        Goods::Fly { .. } => Vec::new(),
    }
}

/// What an order that is due needs of one thing, by the name its plan gives it.
struct Need {
    /// As the plan names it.
    name: String,
    /// The folded name of the material; the whole name, of hooks.
    of: String,
    unit: Unit,
    orders: Vec<(String, Decimal)>,
    /// Kept by eye or not at all: nobody counts what is needed of it.
    seen: bool,
}

impl Need {
    fn is(&self, thing: &Thing) -> bool {
        let name = match &thing.goods {
            Goods::Hook { .. } => thing.goods.to_string(),
            Goods::Material { name, size: Some(size), .. } => format!("{name} {size}"),
            Goods::Material { name, size: None, .. } => name.to_string(),
            Goods::Fly { .. } => return false,
        };
        fold(&name) == fold(&self.name) && thing.unit.dimension() == self.unit.dimension()
    }

    fn sum(&self) -> Decimal {
        self.orders.iter().fold(Decimal::ZERO, |sum, (_, need)| sum.saturating_add(*need))
    }

    fn by(&self) -> String {
        self.orders.iter().map(|(order, _)| Words::new(order).to_string()).collect::<Vec<_>>().join(", ")
    }
}

/// What the orders that are due need: those wanted today or later, or on no day. Gives also those that cannot be planned.
fn needs(shop: &Shop) -> (Vec<Need>, Vec<String>) {
    let bench = &shop.opened.bench;
    let due = |order: &&Order| order.wanted.as_ref().is_none_or(|wanted| wanted.value >= shop.today);
    let (mut needs, mut unplanned): (Vec<Need>, Vec<String>) = (Vec::new(), Vec::new());
    for order in bench.orders.values().filter(due) {
        let Ok(plan) = plan::work(order, &bench.dressings, &bench.shelf, &plan::Given { habits: bench.habits.clone(), ..plan::Given::default() }) else {
            unplanned.push(order.name.value.clone());
            continue;
        };
        let sent: Vec<String> = order.customer_sends.iter().map(|sent| fold(&sent.value)).collect();
        for line in &plan.materials {
            let amount = plan.figures.value(line.amount);
            if sent.contains(&fold(&line.name)) {
                continue;
            }
            let name = order.name.value.clone();
            match needs.iter_mut().find(|need| need.name == line.name && need.unit == line.unit) {
                Some(need) => need.orders.push((name, amount)),
                None => {
                    // A sized material is named with its size behind it.
                    let whole = fold(&line.name);
                    let of = [Some(whole.as_str()), whole.rsplit_once(' ').map(|(name, _)| name)]
                        .into_iter()
                        .flatten()
                        .find(|name| bench.shelf.materials.contains_key(*name));
                    let of = of.unwrap_or(&whole).to_owned();
                    let seen = bench.shelf.materials.get(&of).is_some_and(|material| material.keep != crate::dressing::Keep::Counted);
                    needs.push(Need { name: line.name.clone(), of, unit: line.unit, orders: vec![(name, amount)], seen });
                }
            }
        }
    }
    needs.sort_by(|one, other| one.name.cmp(&other.name));
    (needs, unplanned)
}

fn rows(shop: &Shop, ledger: &Ledger, needs: &[Need], sheet: &mut Figures) -> Result<Vec<Row>, Fault> {
    let day = 86_400_000i64;
    let moments: Vec<i64> = (0..=SPANS).rev().map(|back| shop.now + 1 - i64::try_from(back).unwrap_or(0) * i64::from(SPAN_DAYS) * day).collect();
    let used: HashMap<ThingId, Vec<Decimal>> = ledger.use_between(&moments)?.into_iter().collect();
    let aside = ledger.aside(None)?;
    let mut all = Vec::new();
    for (thing, balance, by_eye) in shelf(ledger)? {
        let used = used.get(&thing.id).cloned().unwrap_or_default();
        let known = known(shop, &thing, &balance, needs, &aside, &used);
        let figures = low_figures::set(sheet, &known);
        let unit = known.unit;
        let of_sheet = Balance { on_hand: known.on_hand, set_aside: known.set_aside, ..balance.clone() };
        let spare = shop.material(&thing.goods).and_then(|material| material.spare.as_ref().map(|told| told.value));
        let needed =
            known.orders.iter().fold(Decimal::ZERO, |sum, (_, need)| sum.saturating_add(*need)).saturating_sub(known.set_aside_for_them).max(Decimal::ZERO);
        let lead = known.lead_days.as_ref().and_then(|(days, _)| days.to_f64()).map(|days| days / f64::from(SPAN_DAYS));
        let asked =
            Asked { balance: &of_sheet, by_eye, spare, needed, on_order: Decimal::ZERO, used: &known.used, lead, service: SERVICE.to_f64().unwrap_or(0.95) };
        let low = low::low(&asked);
        // What was not here for all of a year cannot have stood still for one.
        let old = moments.first().map_or(Ok(false), |begin| moved_before(ledger, thing.id, *begin))?;
        let on_hand = thing.unit.convert(balance.on_hand, unit).unwrap_or(balance.on_hand);
        let spans = if known.used.is_empty() { vec![Decimal::ZERO] } else { known.used.clone() };
        let pace = if old { low::pace(on_hand, &spans, u32::try_from(SPANS).unwrap_or(13)) } else { Pace::Moving };
        all.push(Row { thing, figures, low, pace });
    }
    Ok(all)
}

/// Whether anything of it moved before this moment.
fn moved_before(ledger: &Ledger, thing: ThingId, moment: i64) -> Result<bool, Fault> {
    let filter = Filter { thing: Some(thing), before: Some(moment), most: Some(1), ..Filter::default() };
    Ok(!ledger.movements(&filter)?.is_empty())
}

fn known(shop: &Shop, thing: &Thing, balance: &Balance, needs: &[Need], aside: &[Aside], used: &[Decimal]) -> Known {
    let unit = low_figures::sheet_unit(thing.unit);
    let here = |quantity: Decimal, from: Unit| from.convert(quantity, unit).map_or(quantity, |quantity| quantity.normalize());
    let orders: Vec<(String, Decimal)> = needs
        .iter()
        .filter(|need| need.is(thing))
        .flat_map(|need| need.orders.iter().map(|(order, much)| (Words::new(order).to_string(), here(*much, need.unit))))
        .collect();
    let theirs = aside.iter().filter(|aside| aside.thing == thing.id && orders.iter().any(|(order, _)| fold(order) == aside.order.folded()));
    let set_aside_for_them = theirs.fold(Decimal::ZERO, |sum, aside| sum.saturating_add(here(aside.quantity, thing.unit)));
    // What was used before the first use is not known: the bench may not have kept its stores yet.
    let used: Vec<Decimal> = used.iter().skip_while(|used| used.is_zero()).map(|used| here(*used, thing.unit)).collect();
    let suppliers = &shop.opened.bench.shelf.suppliers;
    let leads = packs(shop, &thing.goods).into_iter().filter_map(|pack| {
        let supplier = suppliers.get(&fold(&pack.supplier.as_ref()?.value))?;
        Some((supplier.lead_days?, Words::new(&supplier.name.value).to_string()))
    });
    Known {
        key: thing.goods.to_string(),
        unit,
        on_hand: here(balance.on_hand, thing.unit),
        set_aside: here(balance.set_aside, thing.unit),
        orders,
        set_aside_for_them,
        used,
        span_days: SPAN_DAYS,
        // The slowest, for nobody knows which of them will be asked.
        lead_days: leads.max_by_key(|(days, _)| *days),
        service: SERVICE,
    }
}
