//! The sections of a plan beside its flies and materials: what is bought, when the work is done, what each run is priced
//! at.

use super::{count, hours, money};
use crate::measure::Unit;
use crate::paper::table::Table;
use crate::plan::{Bought, Plan, Run};
use crate::why::Fig;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// How wide the chart's bars are in print.
const BAR: usize = 24;

/// A run's name, with its variant.
pub fn name(run: &Run) -> String {
    run.variant.as_ref().map_or_else(|| run.dressing.clone(), |variant| format!("{}, {variant}", run.dressing))
}

/// A share as shown: `95 %`, `99.7 %`.
pub fn share(plan: &Plan, fig: Fig) -> String {
    let percent = plan.figures.value(fig) * Decimal::ONE_HUNDRED;
    plan.numbers.text(&format!("{} %", percent.round_dp(1).normalize())).into_owned()
}

/// An amount left over, on hand or short, with its unit.
pub fn amount(plan: &Plan, fig: Fig) -> String {
    let row = plan.figures.at(fig);
    let value = row.value;
    let text = match row.unit {
        Unit::G if value.abs() < Decimal::ONE => format!("{} mg", (value * Decimal::from(1000)).round_dp(1).normalize()),
        Unit::Mm2 | Unit::Fibre => format!("{} {}", value.round_dp(0).normalize(), row.unit.name()),
        Unit::Feather => format!("{} {}", value.round_dp(1).normalize(), row.unit.name()),
        unit => format!("{} {}", value.round_dp(2).normalize(), unit.name()),
    };
    plan.numbers.text(text.trim_end()).into_owned()
}

/// What is known of the rejects, and how all is tied, in words.
pub fn how(plan: &Plan) -> Vec<String> {
    let mut text = Vec::new();
    if plan.tied == crate::dressing::Tied::ByStages {
        text.push("tied by stages: as many are started as the confidence asks for, and all are tied".to_owned());
        let beyond = plan.runs.iter().filter_map(|run| Some((run, run.surplus.map(|fig| plan.figures.value(fig)).filter(|value| *value > Decimal::ZERO)?)));
        let beyond: Vec<String> = beyond.map(|(run, flies)| format!("{} {} {}", plan.numbers.text(&format!("{flies:.1}")), name(run), run.size)).collect();
        if !beyond.is_empty() {
            text.push(format!("on the average these pass beyond what is wanted and become finished flies: {}", beyond.join(", ")));
        }
    }
    if plan.buying.is_some() && plan.materials.iter().all(|line| line.on_hand.is_none()) {
        text.push("nothing is known to be in the stores, so all that is laid out is bought".to_owned());
    }
    if plan.no_rejects {
        text.push("no rejects are reckoned with where none are stated (`rejects: 5 %`) and none were tied before".to_owned());
    }
    text
}

/// What is bought, supplier by supplier.
pub fn buy(plan: &Plan) -> String {
    let Some(buying) = &plan.buying else { return "buy: nothing is short\n".to_owned() };
    let mut table = Table::new(&["buy", ">packs", "of", ">cost", ">left over"]);
    for parcel in &buying.parcels {
        let lead = parcel.lead.map_or_else(String::new, |lead| format!(", {} days", count(plan, lead)));
        table.row(vec![format!("{}{lead}", parcel.supplier.as_deref().unwrap_or("from anywhere"))]);
        for line in &parcel.lines {
            let cells = [
                format!("  {}", line.material),
                count(plan, line.packs),
                plan.numbers.text(&line.pack).into_owned(),
                money(plan, Some(line.cost)),
                left(plan, line),
            ];
            table.row(cells.to_vec());
        }
        if let Some(carriage) = parcel.carriage {
            let free = if plan.figures.value(carriage).is_zero() { "free for so much" } else { "" };
            table.row(vec!["  carriage".to_owned(), String::new(), free.to_owned(), money(plan, Some(carriage))]);
        }
        table.row(vec!["  in all".to_owned(), String::new(), String::new(), money(plan, Some(parcel.sum))]);
    }
    let proved = buying.bound.map_or_else(String::new, |bound| format!("not proved; none is under {}", money(plan, Some(bound))));
    table.row(vec!["all that is bought".to_owned(), String::new(), proved, money(plan, Some(buying.sum))]);
    table.text()
}

/// Hours with their range, the day each run is begun and ready, and the chart by days.
pub fn time(plan: &Plan) -> String {
    let mut table = Table::new(&["time", ">size", ">tied", ">hours", ">from", ">to", "begun", "ready"]);
    let chart = plan.chart.as_ref();
    for (nth, run) in in_order(plan).into_iter().filter_map(|nth| Some((nth, plan.runs.get(nth)?))) {
        let laid = chart.and_then(|chart| chart.runs.iter().find(|laid| laid.run == nth));
        let (low, high) = run.hours_range.unzip();
        table.row(vec![
            name(run),
            run.size.text().to_owned(),
            tied(plan, run.tied),
            hours(plan, run.hours),
            hours(plan, low),
            hours(plan, high),
            laid.map(|laid| laid.begun.to_string()).unwrap_or_default(),
            laid.map(|laid| laid.ready.to_string()).unwrap_or_default(),
        ]);
    }
    let all = &plan.totals;
    let (low, high) = all.hours_range.unzip();
    table.row(vec!["all".to_owned(), String::new(), String::new(), hours(plan, Some(all.hours)), hours(plan, low), hours(plan, high)]);
    let mut text = table.text();
    for line in when(plan) {
        text.push_str(&line);
        text.push('\n');
    }
    for line in days(plan, BAR, ['=', '.']) {
        text.push_str(&line);
        text.push('\n');
    }
    text
}

/// The runs in the order in which they are tied; those that are not laid out last.
pub fn in_order(plan: &Plan) -> Vec<usize> {
    let laid = || plan.chart.iter().flat_map(|chart| &chart.runs).map(|laid| laid.run);
    laid().chain((0..plan.runs.len()).filter(|nth| !laid().any(|run| run == *nth))).collect()
}

/// What is left over of what is bought, with its unit.
pub fn left(plan: &Plan, line: &Bought) -> String {
    if line.in_packs {
        return plan.numbers.text(&format!("{} of a pack", plan.figures.value(line.left).round_dp(2).normalize())).into_owned();
    }
    amount(plan, line.left)
}

/// Flies tied on the average, with a decimal where they are no whole number.
pub fn tied(plan: &Plan, fig: Fig) -> String {
    plan.numbers.text(&plan.figures.value(fig).round_dp(1).normalize().to_string()).into_owned()
}

/// The days in words: ready, in the customer's hands, the chance of it.
pub fn when(plan: &Plan) -> Vec<String> {
    let Some(chart) = &plan.chart else { return Vec::new() };
    let mut text = vec![format!("ready {}, with the customer from {} on", chart.ready, chart.in_hand)];
    if let Some(chance) = chart.chance {
        let late = chart.late.map_or_else(String::new, |wanted| format!("; at the expected hours later than the {wanted} wanted"));
        text.push(format!("chance of being ready to post in time: {}{late}", self::chance(plan, chance)));
    }
    text
}

/// A chance, never told as sure where it is not.
pub fn chance(plan: &Plan, fig: Fig) -> String {
    let value = plan.figures.value(fig);
    if value > Decimal::new(999, 3) {
        return "over 99.9 %".to_owned();
    }
    if value < Decimal::new(1, 3) { "under 0.1 %".to_owned() } else { share(plan, fig) }
}

/// A bar a day, `columns` wide at most, with the signs for hours worked and hours there; and what is tied.
pub fn days(plan: &Plan, columns: usize, [full, empty]: [char; 2]) -> Vec<String> {
    let Some(chart) = &plan.chart else { return Vec::new() };
    let value = |fig: Fig| plan.figures.value(fig).to_f64().unwrap_or(0.0);
    let most = chart.days.iter().map(|day| value(day.there)).fold(0.0, f64::max).max(1e-9);
    let cells = |hours: f64| ((hours / most * columns as f64).round() as usize).min(columns);
    chart
        .days
        .iter()
        .map(|day| {
            let worked: Decimal = day.work.iter().map(|(_, hours)| plan.figures.value(*hours)).sum();
            let done = cells(worked.to_f64().unwrap_or(0.0)).max(1);
            let there = cells(value(day.there)).max(done);
            let mut runs: Vec<String> = Vec::new();
            for run in day.work.iter().filter_map(|(run, _)| plan.runs.get(*run)) {
                let run = format!("{} {}", name(run), run.size);
                if !runs.contains(&run) {
                    runs.push(run);
                }
            }
            let bar: String = std::iter::repeat_n(full, done).chain(std::iter::repeat_n(empty, there - done)).collect();
            let sums = plan.numbers.text(&format!("{worked:.1} of {:.1} h", plan.figures.value(day.there))).into_owned();
            let week = format!("{:?}", day.date.weekday());
            format!("{} {}  {bar:<columns$}  {sums}  {}", week.get(..3).unwrap_or(&week), day.date, runs.join("; "))
        })
        .collect()
}

/// What each run is priced at, what that earns, and what would earn the bench's rate.
pub fn prices(plan: &Plan) -> String {
    let mut table = Table::new(&["price", ">size", ">a dozen", "priced", ">of the run", ">earns an hour", ">a dozen at the rate"]);
    for run in &plan.runs {
        let priced = if run.price_changed { format!("{}, adjusted", run.priced.word()) } else { run.priced.word().to_owned() };
        table.row(vec![
            name(run),
            run.size.text().to_owned(),
            money(plan, run.price_a_dozen),
            priced,
            money(plan, run.price),
            money(plan, run.earns),
            money(plan, run.price_at_rate),
        ]);
    }
    table.text()
}
