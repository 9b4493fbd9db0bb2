//! A plan as plain text: the order, its runs, its materials, what is open, what it comes to.

use super::table::Table;
use crate::measure::Unit;
use crate::plan::{MaterialLine, Plan};
use crate::why::Fig;
use rust_decimal::Decimal;

/// The plan as text.
pub fn text(plan: &Plan) -> String {
    let mut text = head(plan);
    text.push('\n');
    text.push_str(&runs(plan));
    text.push('\n');
    text.push_str(&materials(plan));
    text.push('\n');
    text.push_str(&totals(plan));
    for note in &plan.open {
        text.push_str(&format!("not reckoned in: {note}\n"));
    }
    text
}

fn head(plan: &Plan) -> String {
    let customer = plan.customer.as_ref().map_or_else(String::new, |customer| format!(" for {customer}"));
    let wanted = plan.wanted.map_or_else(String::new, |date| format!(", wanted {date}"));
    format!("{}{customer}{wanted}\n", plan.order)
}

/// Money as shown.
pub fn money(plan: &Plan, fig: Option<Fig>) -> String {
    fig.map_or_else(|| "-".to_owned(), |fig| plan.numbers.text(&plan.currency.text(plan.figures.value(fig))).into_owned())
}

/// Hours as shown.
pub fn hours(plan: &Plan, fig: Option<Fig>) -> String {
    fig.map_or_else(|| "-".to_owned(), |fig| plan.numbers.text(&format!("{:.2}", plan.figures.value(fig).round_dp(2))).into_owned())
}

/// How many flies, as shown.
pub fn count(plan: &Plan, fig: Fig) -> String {
    plan.numbers.text(&plan.figures.value(fig).normalize().to_string()).into_owned()
}

fn runs(plan: &Plan) -> String {
    let mut table =
        Table::new(&["run", ">size", ">flies", ">hours", ">materials", ">labour", ">cost", ">a dozen", ">price a dozen", "priced", ">earns an hour"]);
    for run in &plan.runs {
        let name = run.variant.as_ref().map_or_else(|| run.dressing.clone(), |variant| format!("{}, {variant}", run.dressing));
        table.row(vec![
            name,
            run.size.text().to_owned(),
            count(plan, run.flies),
            hours(plan, run.hours),
            money(plan, Some(run.materials)),
            money(plan, run.labour),
            money(plan, Some(run.cost)),
            money(plan, Some(run.cost_a_dozen)),
            money(plan, run.price_a_dozen),
            run.priced.word().to_owned(),
            money(plan, run.earns),
        ]);
    }
    table.text()
}

/// An amount of a material, with its unit.
pub fn amount(plan: &Plan, line: &MaterialLine) -> String {
    let value = plan.figures.value(line.amount);
    let places = |n: u32| value.round_dp(n).normalize();
    let text = match line.unit {
        Unit::G if value < Decimal::new(1, 1) => format!("about {} mg", (value * Decimal::from(1000)).round_dp(1).normalize()),
        Unit::G => format!("about {} g", places(2)),
        Unit::M => format!("{} m", places(2)),
        Unit::Ml => format!("{} ml", places(2)),
        Unit::Mm2 => format!("{} mm2", places(0)),
        Unit::Feather => format!("{} feathers", places(1)),
        Unit::Fibre => format!("{} fibres", places(0)),
        _ => places(2).to_string(),
    };
    plan.numbers.text(&text).into_owned()
}

/// A share of packs, in two decimals.
pub fn packs(plan: &Plan, fig: Option<Fig>) -> String {
    fig.map_or_else(
        || "-".to_owned(),
        |fig| {
            let value = plan.figures.value(fig);
            let text = if value > Decimal::ZERO && value < Decimal::new(1, 2) { "<0.01".to_owned() } else { format!("{:.2}", value.round_dp(2)) };
            plan.numbers.text(&text).into_owned()
        },
    )
}

fn materials(plan: &Plan) -> String {
    let mut table = Table::new(&["material", ">amount", ">packs", ">whole", ">cost", "costed by"]);
    for line in &plan.materials {
        table.row(vec![
            line.name.clone(),
            amount(plan, line),
            packs(plan, line.packs),
            line.whole_packs.map_or_else(|| "-".to_owned(), |fig| count(plan, fig)),
            money(plan, line.cost),
            line.pack.as_deref().map(|pack| plan.numbers.text(pack).into_owned()).unwrap_or_default(),
        ]);
    }
    if !plan.figures.value(plan.totals.materials_rounding).is_zero() {
        let cells = [
            "rounding".to_owned(),
            String::new(),
            String::new(),
            String::new(),
            money(plan, Some(plan.totals.materials_rounding)),
            "each line is rounded by itself".to_owned(),
        ];
        table.row(cells.to_vec());
    }
    table.text()
}

fn totals(plan: &Plan) -> String {
    let totals = &plan.totals;
    let code = plan.currency.code();
    let mut table = Table::new(&["all together", ">", ""]);
    let mut row = |name: &str, value: String, unit: &str| table.row(vec![name.to_owned(), value, unit.to_owned()]);
    row("flies", count(plan, totals.flies), "");
    row("hours at the bench", hours(plan, Some(totals.hours)), allowance(plan));
    row("materials", money(plan, Some(totals.materials)), code);
    row("labour", money(plan, Some(totals.labour)), code);
    row("overhead", money(plan, Some(totals.overhead)), code);
    if !plan.figures.value(totals.rounding).is_zero() {
        row("rounding", money(plan, Some(totals.rounding)), code);
    }
    row("cost", money(plan, Some(totals.cost)), code);
    row("cost a fly", money(plan, Some(totals.cost_a_fly)), code);
    row("cost a dozen", money(plan, Some(totals.cost_a_dozen)), code);
    row("price", money(plan, totals.price), code);
    row("earns an hour", money(plan, totals.earns), code);
    table.text()
}

/// The allowance's convention, named.
pub fn allowance(plan: &Plan) -> &'static str {
    let worked = plan.runs.iter().find_map(|run| run.hours).map(|fig| &plan.figures.at(fig).origin);
    match worked {
        Some(crate::why::Origin::Worked { formula, .. }) if formula.text().contains("1 -") => "with the allowance as a share of the day",
        Some(crate::why::Origin::Worked { .. }) => "with the allowance as a share of job time",
        _ => "",
    }
}
