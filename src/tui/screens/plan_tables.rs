//! A plan as tables: a row a run with the whole order at the foot, and a row a material.

use crate::measure::{Unit, Words};
use crate::plan::Plan;
use crate::tui::widgets::figures::{Cell, Column, Line, Table};
use crate::tui::widgets::reason::significant;
use crate::why::Fig;
use rust_decimal::prelude::ToPrimitive;

const RUNS: &[Column] = &[
    Column { head: "flies", least: 5 },
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
    Column { head: "cost", least: 8 },
    Column { head: "packs", least: 8 },
    Column { head: "whole packs", least: 13 },
    Column { head: "by the pack of", least: 14 },
];

/// The runs, and the whole order at the foot.
pub fn runs(plan: &Plan) -> Table {
    let teller = Teller { plan };
    let mut lines: Vec<Line> = plan
        .runs
        .iter()
        .map(|run| {
            let variant = run.variant.as_deref().map_or_else(String::new, |variant| format!(" {variant}"));
            let dozen = run.price_a_dozen.map(|fig| teller.cell(fig)).map(|cell| Cell { text: format!("{} {}", run.priced.word(), cell.text), ..cell });
            let figs = [Some(run.flies), run.hours, Some(run.cost), run.price, run.earns, None, Some(run.cost_a_dozen), Some(run.materials), run.labour];
            let mut cells = teller.cells(&figs);
            cells.extend(teller.cells(&[Some(run.overhead), Some(run.cost_a_fly)]));
            if let Some(place) = cells.get_mut(5) {
                *place = dozen.unwrap_or_else(|| Cell { text: run.priced.word().to_owned(), ..Cell::default() });
            }
            for (column, fig, missing) in [(1, run.hours, "open"), (3, run.price, "open")] {
                if let (None, Some(cell)) = (fig, cells.get_mut(column)) {
                    missing.clone_into(&mut cell.text);
                }
            }
            Line { name: Words::new(&run.dressing), of: Words::new(&format!("{}{variant}", run.size)), cells, part: None }
        })
        .collect();
    let all = &plan.totals;
    let figs = [Some(all.flies), Some(all.hours), Some(all.cost), all.price, all.earns, None, Some(all.cost_a_dozen), Some(all.materials), Some(all.labour)];
    let mut cells = teller.cells(&figs);
    cells.extend(teller.cells(&[Some(all.overhead), Some(all.cost_a_fly)]));
    if let (None, Some(cell)) = (all.price, cells.get_mut(3)) {
        "open".clone_into(&mut cell.text);
    }
    lines.push(Line { name: Words::new("all"), of: Words::default(), cells, part: None });
    Table { heads: ["run", "size"], columns: RUNS.to_vec(), name: 12, lines, totals: true }
}

/// The materials.
pub fn materials(plan: &Plan) -> Table {
    let teller = Teller { plan };
    let lines = plan
        .materials
        .iter()
        .map(|line| {
            let mut cells = teller.cells(&[Some(line.amount), line.cost, line.packs, line.whole_packs]);
            if let Some(cell) = cells.get_mut(0)
                && line.unit != Unit::One
            {
                cell.text = format!("{} {}", cell.text, line.unit.name());
            }
            if let (None, Some(cell)) = (line.cost, cells.get_mut(1)) {
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
    Table { heads: ["material", ""], columns: MATERIALS.to_vec(), name: 20, lines, totals: false }
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
