//! A plan as tables: flies, a row a run with the whole order at the foot; what is laid out, a row a material; what is
//! bought, a row a kind of pack; time and prices, a row a run.

use crate::measure::{Unit, Words};
use crate::paper::plan::sections;
use crate::plan::{Plan, Run};
use crate::tui::widgets::figures::{Cell, Column, Line, Table};
use crate::tui::widgets::reason::significant;
use crate::why::Fig;
use rust_decimal::prelude::ToPrimitive;

const RUNS: &[Column] = &[
    Column { head: "flies", least: 5 },
    Column { head: "lay out", least: 7 },
    Column { head: "hours", least: 7 },
    Column { head: "cost", least: 8 },
    Column { head: "price", least: 8 },
    Column { head: "earns an hour", least: 13 },
    Column { head: "price a dozen", least: 13 },
    Column { head: "cost a dozen", least: 12 },
    Column { head: "materials", least: 9 },
    Column { head: "labour", least: 8 },
    Column { head: "overhead", least: 8 },
    Column { head: "cost a fly", least: 10 },
];

const MATERIALS: &[Column] = &[
    Column { head: "amount", least: 14 },
    Column { head: "lay out", least: 14 },
    Column { head: "on hand", least: 8 },
    Column { head: "short", least: 8 },
    Column { head: "cost", least: 8 },
    Column { head: "packs", least: 8 },
    Column { head: "whole packs", least: 13 },
    Column { head: "by the pack of", least: 14 },
];

const BUY: &[Column] =
    &[Column { head: "packs", least: 5 }, Column { head: "a pack of", least: 10 }, Column { head: "cost", least: 8 }, Column { head: "left over", least: 12 }];

const TIME: &[Column] = &[
    Column { head: "tied", least: 5 },
    Column { head: "hours", least: 7 },
    Column { head: "from", least: 6 },
    Column { head: "to", least: 6 },
    Column { head: "begun", least: 10 },
    Column { head: "ready", least: 10 },
];

const PRICES: &[Column] = &[
    Column { head: "cost", least: 8 },
    Column { head: "price", least: 8 },
    Column { head: "earns an hour", least: 13 },
    Column { head: "a dozen", least: 8 },
    Column { head: "priced", least: 9 },
    Column { head: "dozen at the rate", least: 17 },
    Column { head: "consumables", least: 11 },
];

/// The runs, and the whole order at the foot.
pub fn runs(plan: &Plan) -> Table {
    let teller = Teller { plan };
    let mut lines: Vec<Line> = plan
        .runs
        .iter()
        .enumerate()
        .map(|(nth, run)| {
            let dozen = run.price_a_dozen.map(|fig| teller.cell(fig)).map(|cell| Cell { text: format!("{} {}", run.priced.word(), cell.text), ..cell });
            let laid = (run.lay_out != run.flies).then_some(run.lay_out);
            let figs = [Some(run.flies), laid, run.hours, Some(run.cost), run.price, run.earns, None, Some(run.cost_a_dozen), Some(run.materials), run.labour];
            let mut cells = teller.cells(&figs);
            cells.extend(teller.cells(&[Some(run.overhead), Some(run.cost_a_fly)]));
            if let Some(place) = cells.get_mut(6) {
                *place = dozen.unwrap_or_else(|| Cell { text: run.priced.word().to_owned(), ..Cell::default() });
            }
            for (column, fig, missing) in [(2, run.hours, "open"), (4, run.price, "open")] {
                if let (None, Some(cell)) = (fig, cells.get_mut(column)) {
                    missing.clone_into(&mut cell.text);
                }
            }
            Line { name: Words::new(&run.dressing), of: of_run(run), cells, part: Some(nth) }
        })
        .collect();
    let all = &plan.totals;
    let figs =
        [Some(all.flies), None, Some(all.hours), Some(all.cost), all.price, all.earns, None, Some(all.cost_a_dozen), Some(all.materials), Some(all.labour)];
    let mut cells = teller.cells(&figs);
    cells.extend(teller.cells(&[Some(all.overhead), Some(all.cost_a_fly)]));
    if let (None, Some(cell)) = (all.price, cells.get_mut(4)) {
        "open".clone_into(&mut cell.text);
    }
    lines.push(Line { name: Words::new("all"), of: Words::default(), cells, part: None });
    without_empty(Table { heads: ["run", "size"], columns: RUNS.to_vec(), name: 12, lines, totals: true })
}

/// The materials.
pub fn materials(plan: &Plan) -> Table {
    let teller = Teller { plan };
    let lines = plan
        .materials
        .iter()
        .map(|line| {
            let laid = (line.lay_out != line.amount).then_some(line.lay_out);
            let short = line.on_hand.and(line.short);
            let mut cells = teller.cells(&[Some(line.amount), laid, line.on_hand, short, line.cost, line.packs, line.whole_packs]);
            for cell in cells.iter_mut().take(4).filter(|cell| line.unit != Unit::One && !cell.text.is_empty()) {
                cell.text = format!("{} {}", cell.text, line.unit.name());
            }
            if let (None, Some(cell)) = (line.cost, cells.get_mut(4)) {
                "open".clone_into(&mut cell.text);
            }
            // The pack is told in words; asked why, it is the share of it that has a derivation.
            cells.push(Cell {
                text: line.pack.as_deref().map_or_else(String::new, |pack| Words::new(&plan.numbers.text(pack)).to_string()),
                fig: line.packs,
                standing: None,
            });
            Line { name: Words::new(&line.name), of: Words::default(), cells, part: None }
        })
        .collect();
    without_empty(Table { heads: ["material", ""], columns: MATERIALS.to_vec(), name: 20, lines, totals: false })
}

/// The table without the columns in which nothing stands.
fn without_empty(mut table: Table) -> Table {
    let told = |nth: usize| table.lines.iter().any(|line| line.cells.get(nth).is_some_and(|cell| !cell.text.is_empty()));
    let told: Vec<bool> = (0..table.columns.len()).map(told).collect();
    for line in &mut table.lines {
        line.cells = std::mem::take(&mut line.cells).into_iter().zip(&told).filter(|(_, told)| **told).map(|(cell, _)| cell).collect();
    }
    table.columns = table.columns.into_iter().zip(&told).filter(|(_, told)| **told).map(|(column, _)| column).collect();
    table
}

/// The size and variant of a run.
fn of_run(run: &Run) -> Words {
    let variant = run.variant.as_deref().map_or_else(String::new, |variant| format!(" {variant}"));
    Words::new(&format!("{}{variant}", run.size))
}

/// What is bought: packs supplier by supplier, carriage, sums; all of it at the foot.
pub fn buy(plan: &Plan) -> Table {
    let teller = Teller { plan };
    let mut lines = Vec::new();
    for parcel in plan.buying.iter().flat_map(|buying| &buying.parcels) {
        let supplier = Words::new(parcel.supplier.as_deref().unwrap_or("from anywhere"));
        for line in &parcel.lines {
            let mut cells = teller.cells(&[Some(line.packs), None, Some(line.cost), Some(line.left)]);
            if let Some(cell) = cells.get_mut(1) {
                cell.text = Words::new(&plan.numbers.text(&line.pack)).to_string();
                cell.fig = Some(line.packs);
            }
            if let Some(cell) = cells.get_mut(3) {
                cell.text = sections::left(plan, line);
            }
            lines.push(Line { name: Words::new(&line.material), of: supplier.clone(), cells, part: None });
        }
        for (name, fig) in [("carriage", parcel.carriage), ("in all", Some(parcel.sum)), ("days", parcel.lead)] {
            if let Some(fig) = fig {
                lines.push(Line { name: Words::new(name), of: supplier.clone(), cells: teller.cells(&[None, None, Some(fig), None]), part: None });
            }
        }
    }
    if let Some(buying) = &plan.buying {
        lines.push(Line { name: Words::new("all"), of: Words::default(), cells: teller.cells(&[None, None, Some(buying.sum), None]), part: None });
    }
    Table { heads: ["buy", "from"], columns: BUY.to_vec(), name: 18, lines, totals: true }
}

/// Hours and their range, the days, run by run in the order they are tied; the whole at the foot.
pub fn time(plan: &Plan) -> Table {
    let teller = Teller { plan };
    let mut lines: Vec<Line> = sections::in_order(plan)
        .into_iter()
        .filter_map(|nth| {
            let run = plan.runs.get(nth)?;
            let laid = plan.chart.as_ref().and_then(|chart| chart.runs.iter().find(|laid| laid.run == nth));
            let (low, high) = run.hours_range.unzip();
            let mut cells = teller.cells(&[Some(run.tied), run.hours, low, high]);
            for (what, date) in [("begun-in", laid.map(|laid| laid.begun)), ("ready-in", laid.map(|laid| laid.ready))] {
                let fig = plan.figures.find(&format!("{}.{what}", run.key)).filter(|_| date.is_some());
                cells.push(Cell { text: date.map(|date| date.to_string()).unwrap_or_default(), fig, standing: None });
            }
            if let (None, Some(cell)) = (run.hours, cells.get_mut(1)) {
                "open".clone_into(&mut cell.text);
            }
            Some(Line { name: Words::new(&run.dressing), of: of_run(run), cells, part: Some(nth) })
        })
        .collect();
    let (low, high) = plan.totals.hours_range.unzip();
    let mut cells = teller.cells(&[None, Some(plan.totals.hours), low, high, None]);
    if let Some(chart) = &plan.chart {
        cells.push(Cell { text: chart.ready.to_string(), fig: plan.figures.find("order.ready-in"), standing: None });
    }
    lines.push(Line { name: Words::new("all"), of: Words::default(), cells, part: None });
    if let Some(chance) = plan.chart.as_ref().and_then(|chart| chart.chance) {
        let cell = Cell { text: sections::chance(plan, chance), fig: Some(chance), standing: Some(plan.figures.at(chance).standing) };
        let mut cells = vec![Cell::default(); 5];
        cells.push(cell);
        lines.insert(lines.len() - 1, Line { name: Words::new("chance to post in time"), of: Words::default(), cells, part: None });
    }
    without_empty(Table { heads: ["time", "size"], columns: TIME.to_vec(), name: 16, lines, totals: true })
}

/// Prices run by run, what they earn and what would earn the bench's rate; what comes once an order; the whole at the foot.
pub fn prices(plan: &Plan) -> Table {
    let teller = Teller { plan };
    let mut lines: Vec<Line> = plan
        .runs
        .iter()
        .enumerate()
        .map(|(nth, run)| {
            let mut cells = teller.cells(&[Some(run.cost), run.price, run.earns, run.price_a_dozen, None, run.price_at_rate, run.consumables]);
            if let Some(cell) = cells.get_mut(4) {
                cell.text = if run.price_changed { format!("{}, adjusted", run.priced.word()) } else { run.priced.word().to_owned() };
                cell.fig = run.price_a_dozen;
            }
            Line { name: Words::new(&run.dressing), of: of_run(run), cells, part: Some(nth) }
        })
        .collect();
    let all = &plan.totals;
    for (name, fig) in [("consumables", all.consumables), ("packing", all.packing), ("postage", all.postage)] {
        if let Some(fig) = fig {
            lines.push(Line { name: Words::new(name), of: Words::default(), cells: teller.cells(&[Some(fig)]), part: None });
        }
    }
    let mut cells = teller.cells(&[Some(all.cost), all.price, all.earns, None, None, None, None]);
    if let (Some(fig), Some(cell)) = (all.price_at_rate, cells.get_mut(5)) {
        *cell = Cell { text: format!("{} in all", figure(plan, fig)), fig: Some(fig), standing: None };
    }
    lines.push(Line { name: Words::new("all"), of: Words::default(), cells, part: None });
    without_empty(Table { heads: ["price", "size"], columns: PRICES.to_vec(), name: 16, lines, totals: true })
}

struct Teller<'a> {
    plan: &'a Plan,
}

impl Teller<'_> {
    fn cells(&self, figs: &[Option<Fig>]) -> Vec<Cell> {
        figs.iter().map(|fig| fig.map_or_else(Cell::default, |fig| self.cell(fig))).collect()
    }

    fn cell(&self, fig: Fig) -> Cell {
        let row = self.plan.figures.at(fig);
        Cell { text: figure(self.plan, fig), fig: Some(fig), standing: Some(row.standing) }
    }
}

/// A figure of a plan for a table: money to its minor unit, hours to a hundredth, whole numbers whole.
pub fn figure(plan: &Plan, fig: Fig) -> String {
    let row = plan.figures.at(fig);
    let text = match row.unit {
        Unit::Money | Unit::MoneyAnHour => plan.currency.text(row.value),
        Unit::Hour => format!("{:.2}", row.value),
        _ if row.value.fract().is_zero() => row.value.trunc().to_string(),
        _ => row.value.to_f64().map_or_else(|| row.value.to_string(), |value| significant(value, 3)),
    };
    plan.numbers.text(&text).into_owned()
}
