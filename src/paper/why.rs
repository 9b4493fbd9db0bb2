//! Where a figure comes from, told line by line: the formula, its inputs, and where each of those came from.
//! Pure; the command line prints the lines, the terminal's why sheet walks through them.

use crate::card::Card;
use crate::measure::{Unit, Words};
use crate::plan::Plan;
use crate::vice::report::Report;
use crate::why::{Fig, Origin, Row, Sheet, Standing, Working};
use rust_decimal::Decimal;
use std::collections::HashSet;

/// Deeper than this a derivation is not told at once; ask for the figure itself.
const DEEPEST: usize = 8;

/// One figure of a derivation.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// How deep it lies below the figure asked for (which is 0).
    pub depth: usize,
    /// The row it tells.
    pub fig: Fig,
    /// Its key.
    pub key: String,
    /// Value and unit.
    pub value: String,
    /// How well it is known.
    pub standing: Standing,
    /// The formula it was worked by, or where it was given.
    pub how: String,
    /// The formula's source; `None` for a given figure.
    pub source: Option<String>,
    /// What it is to the formula above it, where that is not plain from its key: `stretch 2, to`.
    pub role: String,
    /// Its inputs were told higher up already (or lie too deep), so they are not told here.
    pub cut: bool,
}

/// Tells a figure and everything beneath it.
pub fn explain<V: Copy>(sheet: &Sheet<V>, fig: Fig, show: &dyn Fn(&Row<V>) -> String) -> Vec<Line> {
    let mut lines = Vec::new();
    tell(sheet, (fig, String::new()), show, 0, &mut HashSet::new(), &mut lines);
    lines
}

fn tell<V: Copy>(sheet: &Sheet<V>, (fig, role): (Fig, String), show: &dyn Fn(&Row<V>) -> String, depth: usize, told: &mut HashSet<Fig>, lines: &mut Vec<Line>) {
    let row = sheet.at(fig);
    let again = !told.insert(fig);
    let key = Words::new(sheet.key(fig)).as_str().to_owned();
    let (value, standing) = (show(row), row.standing);
    match &row.origin {
        Origin::Given { from } => {
            let how = Words::from(from.to_string()).as_str().to_owned();
            lines.push(Line { depth, fig, key, value, standing, how, source: None, role, cut: false });
        }
        Origin::Worked { formula, inputs } => {
            let cut = again || depth >= DEEPEST;
            lines.push(Line { depth, fig, key, value, standing, how: formula.text().to_owned(), source: Some(formula.source().to_owned()), role, cut });
            if !cut {
                for (nth, input) in inputs.iter().enumerate() {
                    tell(sheet, (*input, role_of(formula, nth)), show, depth + 1, told, lines);
                }
            }
        }
    }
}

/// What the nth input is to a formula that goes over stretches of what lies beneath.
fn role_of<V>(formula: &Working<V>, nth: usize) -> String {
    let Some(nth) = nth.checked_sub(formula.takes().len()).filter(|_| formula.then() == [Unit::Mm; 4]) else { return String::new() };
    let what = ["begins at", "ends at", "diameter where it begins", "diameter where it ends"];
    format!("stretch {}, {}", nth / 4 + 1, what.get(nth % 4).unwrap_or(&""))
}

/// A card's figure, six decimals at the most.
pub fn figure(row: &Row<f64>) -> String {
    let magnitude = row.value.abs();
    let text = if row.value == 0.0 || (1e-4..1e9).contains(&magnitude) { trimmed(&format!("{:.6}", row.value)) } else { format!("{:.4e}", row.value) };
    with_unit(&text, row.unit)
}

/// A plan's figure, with the currency for money.
pub fn sum(row: &Row<Decimal>, currency: &str) -> String {
    let text = row.value.round_dp(9).normalize().to_string();
    match row.unit {
        Unit::Money => format!("{text} {currency}"),
        Unit::MoneyAnHour => format!("{text} {currency} an hour"),
        unit => with_unit(&text, unit),
    }
}

fn trimmed(text: &str) -> String {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text.to_owned() }
}

fn with_unit(text: &str, unit: Unit) -> String {
    if unit == Unit::One { text.to_owned() } else { format!("{text} {}", unit.name()) }
}

/// The lines as indented text.
pub fn text(lines: &[Line]) -> String {
    let mut text = String::new();
    for line in lines {
        let indent = "  ".repeat(line.depth);
        let role = if line.role.is_empty() { String::new() } else { format!("[{}] ", line.role) };
        text.push_str(&format!("{indent}{role}{} = {}  ({})\n", line.key, line.value, line.standing.name()));
        match &line.source {
            None => text.push_str(&format!("{indent}    given: {}\n", line.how)),
            Some(source) => {
                text.push_str(&format!("{indent}    = {}\n{indent}    source: {source}\n", line.how));
                if line.cut {
                    text.push_str(&format!("{indent}    (its own figures: ask --why \"{}\")\n", line.key));
                }
            }
        }
    }
    text
}

/// A figure of a card told as text.
pub fn of_card(card: &Card, fig: Fig) -> String {
    text(&explain(&card.sheet, fig, &figure))
}

/// A figure of a run's report told as text.
pub fn of_run(report: &Report, fig: Fig) -> String {
    text(&explain(&report.sheet, fig, &|row| sum(row, "")))
}

/// A figure of a plan told as text; figures taken from a card are told on through it.
pub fn of_plan(plan: &Plan, fig: Fig) -> String {
    let lines = explain(&plan.figures, fig, &|row| sum(row, plan.currency.code()));
    let mut all = text(&lines);
    let mut told = HashSet::new();
    for line in &lines {
        let Some((run, on_card)) = plan.from_card.get(&line.fig) else { continue };
        let Some(run) = plan.runs.get(*run) else { continue };
        if told.insert((run.key.clone(), *on_card)) {
            all.push_str(&format!("\non the card of {}:\n", run.key));
            all.push_str(&of_card(&run.card, *on_card));
        }
    }
    all
}
