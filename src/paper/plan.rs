//! A plan as plain text: the order, its flies, what is laid out and bought, the time it takes and the days that is
//! done on, what it costs and is priced at, what is open.

pub mod sections;

use super::table::Table;
use crate::dressing::Tied;
use crate::measure::Unit;
use crate::plan::{MaterialLine, Plan};
use crate::why::Fig;
use rust_decimal::Decimal;

/// The plan as text.
pub fn text(plan: &Plan) -> String {
    let mut text = head(plan);
    for section in [runs(plan), materials(plan), sections::buy(plan), sections::time(plan), sections::prices(plan), totals(plan)] {
        text.push('\n');
        text.push_str(&section);
    }
    for note in sections::how(plan) {
        text.push_str(&format!("note: {note}\n"));
    }
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
    let drawer = plan.runs.iter().any(|run| run.drawer.is_some());
    let allowed = plan.runs.iter().any(|run| run.rejects.is_some());
    let mut heads = vec!["run", ">size", ">flies"];
    if drawer {
        heads.push(">from the drawer");
    }
    if allowed {
        heads.extend([">rejects", if plan.tied == Tied::ByStages { ">start" } else { ">lay out" }, ">tied"]);
    }
    heads.extend([">hours", ">materials", ">labour", ">cost", ">a dozen", ">price a dozen", "priced", ">earns an hour"]);
    let mut table = Table::new(&heads);
    for run in &plan.runs {
        let mut cells = vec![sections::name(run), run.size.text().to_owned(), count(plan, run.flies)];
        if drawer {
            cells.push(run.drawer.map(|fig| count(plan, fig)).unwrap_or_default());
        }
        if allowed {
            cells.extend([
                run.rejects.map_or_else(|| "-".to_owned(), |fig| sections::share(plan, fig)),
                count(plan, run.lay_out),
                sections::tied(plan, run.tied),
            ]);
        }
        cells.extend([
            hours(plan, run.hours),
            money(plan, Some(run.materials)),
            money(plan, run.labour),
            money(plan, Some(run.cost)),
            money(plan, Some(run.cost_a_dozen)),
            money(plan, run.price_a_dozen),
            run.priced.word().to_owned(),
            money(plan, run.earns),
        ]);
        table.row(cells);
    }
    table.text()
}

/// An amount of a material, with its unit.
pub fn amount(plan: &Plan, line: &MaterialLine) -> String {
    in_words(plan, line, line.amount)
}

/// Another amount of the same line.
fn in_words(plan: &Plan, line: &MaterialLine, fig: Fig) -> String {
    let value = plan.figures.value(fig);
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
    let more = plan.materials.iter().any(|line| line.lay_out != line.amount);
    let stores = plan.materials.iter().any(|line| line.on_hand.is_some());
    let mut heads = vec!["material", ">amount"];
    if more {
        heads.push(">lay out");
    }
    if stores {
        heads.extend([">on hand", ">short"]);
    }
    heads.extend([">packs", ">whole", ">cost", "costed by"]);
    let blank = heads.len() - 5;
    let mut table = Table::new(&heads);
    for line in &plan.materials {
        let mut cells = vec![line.name.clone(), amount(plan, line)];
        if more {
            cells.push(in_words(plan, line, line.lay_out));
        }
        if stores {
            cells.extend([line.on_hand, line.short].map(|fig| fig.map_or_else(|| "-".to_owned(), |fig| in_words(plan, line, fig))));
        }
        cells.extend([
            packs(plan, line.packs),
            line.whole_packs.map_or_else(|| "-".to_owned(), |fig| count(plan, fig)),
            money(plan, line.cost),
            line.pack.as_deref().map(|pack| plan.numbers.text(pack).into_owned()).unwrap_or_default(),
        ]);
        table.row(cells);
    }
    if !plan.figures.value(plan.totals.materials_rounding).is_zero() {
        let mut cells = vec!["rounding".to_owned()];
        cells.extend(std::iter::repeat_n(String::new(), blank + 2));
        cells.extend([money(plan, Some(plan.totals.materials_rounding)), "each line is rounded by itself".to_owned()]);
        table.row(cells);
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
    for (name, sum) in [("consumables", totals.consumables), ("packing", totals.packing), ("postage", totals.postage)] {
        if let Some(sum) = sum {
            row(name, money(plan, Some(sum)), code);
        }
    }
    if !plan.figures.value(totals.rounding).is_zero() {
        row("rounding", money(plan, Some(totals.rounding)), code);
    }
    row("cost", money(plan, Some(totals.cost)), code);
    row("cost a fly", money(plan, Some(totals.cost_a_fly)), code);
    row("cost a dozen", money(plan, Some(totals.cost_a_dozen)), code);
    row("price", money(plan, totals.price), code);
    row("earns an hour", money(plan, totals.earns), code);
    row("price at the rate", money(plan, totals.price_at_rate), code);
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
