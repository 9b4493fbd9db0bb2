//! Why a figure is what it is, in words: its formula, its inputs, and where each of them came from. The command line
//! prints the whole tree; the terminal shows one figure at a time and goes from input to input.

use crate::card::Card;
use crate::measure::{Currency, Unit, Words};
use crate::plan::Plan;
use crate::why::{Fig, Origin, Row, Sheet, Standing};
use rust_decimal::Decimal;
use std::collections::HashSet;
use std::fmt;

/// One figure with its derivation, one stride deep.
#[derive(Clone, Debug, PartialEq)]
pub struct Reason {
    /// Its key.
    pub key: Words,
    /// Its value with its unit.
    pub value: Words,
    /// How well it is known.
    pub standing: Standing,
    /// The formula, for a worked figure.
    pub formula: Option<Words>,
    /// Where the formula comes from, or where a given figure was given.
    pub source: Words,
    /// The figures it was worked from, each once, in the order of the formula.
    pub inputs: Vec<Fig>,
}

/// The derivation of one figure, one stride deep; `show` writes a value with its unit.
pub fn reason<V: Copy>(sheet: &Sheet<V>, fig: Fig, show: &dyn Fn(&Row<V>) -> String) -> Reason {
    let row = sheet.at(fig);
    let (formula, source, inputs) = match &row.origin {
        Origin::Given { from } => (None, Words::new(from), Vec::new()),
        Origin::Worked { formula, inputs } => {
            let mut seen = HashSet::new();
            let each = inputs.iter().copied().filter(|input| seen.insert(*input)).collect();
            (Some(Words::new(formula.text)), Words::new(formula.source), each)
        }
    };
    Reason { key: Words::new(sheet.key(fig)), value: Words::new(&show(row)), standing: row.standing, formula, source, inputs }
}

/// A line of an explanation.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// How many figures it lies beneath the one asked for.
    pub depth: usize,
    /// Its text.
    pub text: Words,
}

impl fmt::Display for Line {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:indent$}{}", "", self.text, indent = self.depth * 2)
    }
}

/// How deep the tree is told; what lies deeper can be asked for by its own key.
const DEEPEST: usize = 12;

/// The whole derivation of a figure as an indented tree; a figure met twice is told once.
pub fn explain<V: Copy>(sheet: &Sheet<V>, fig: Fig, show: &dyn Fn(&Row<V>) -> String) -> Vec<Line> {
    let mut teller = Teller { lines: Vec::new(), onward: &|_, _| None };
    teller.tell(sheet, fig, show, 0, &mut HashSet::new());
    teller.lines
}

/// The derivation of a plan's figure; one that was taken from a run's card goes on into that card.
pub fn explain_plan(plan: &Plan, fig: Fig) -> Vec<Line> {
    let onward = |fig: Fig, depth: usize| {
        let (run, on_card) = *plan.from_card.get(&fig)?;
        let card: &Card = &plan.runs.get(run)?.card;
        let mut teller = Teller { lines: Vec::new(), onward: &|_, _| None };
        teller.tell(&card.sheet, on_card, &card_figure, depth + 1, &mut HashSet::new());
        Some(teller.lines)
    };
    let mut teller = Teller { lines: Vec::new(), onward: &onward };
    let currency = &plan.currency;
    teller.tell(&plan.figures, fig, &|row| plan_figure(row, currency), 0, &mut HashSet::new());
    teller.lines
}

struct Teller<'a> {
    lines: Vec<Line>,
    /// The lines of another sheet a given figure was taken from.
    onward: &'a dyn Fn(Fig, usize) -> Option<Vec<Line>>,
}

impl Teller<'_> {
    fn line(&mut self, depth: usize, text: &str) {
        self.lines.push(Line { depth, text: Words::new(text) });
    }

    fn tell<V: Copy>(&mut self, sheet: &Sheet<V>, fig: Fig, show: &dyn Fn(&Row<V>) -> String, depth: usize, told: &mut HashSet<Fig>) {
        let reason = reason(sheet, fig, show);
        let head = format!("{} = {} ({})", reason.key, reason.value, reason.standing.name());
        let leaf = reason.inputs.is_empty();
        if !told.insert(fig) && !leaf {
            self.line(depth, &format!("{head}: told above"));
            return;
        }
        match &reason.formula {
            None => {
                self.line(depth, &format!("{head}: {}", reason.source));
                if let Some(lines) = (self.onward)(fig, depth) {
                    self.lines.extend(lines);
                }
            }
            Some(formula) => {
                self.line(depth, &format!("{head}: {formula}; {}", reason.source));
                if depth >= DEEPEST {
                    self.line(depth + 1, &format!("... ask for {} by itself to go deeper", reason.key));
                    return;
                }
                for input in reason.inputs {
                    self.tell(sheet, input, show, depth + 1, told);
                }
            }
        }
    }
}

/// A figure of a card: lengths to a hundredth of a mm, all else to four figures.
pub fn card_figure(row: &Row<f64>) -> String {
    let text = match row.unit {
        Unit::Mm => format!("{:.2}", row.value),
        _ => significant(row.value, 4),
    };
    with_unit(text, row.unit)
}

/// A figure of a plan: money to its minor unit (exact money further, where it is not yet rounded), all else to nine decimals.
pub fn plan_figure(row: &Row<Decimal>, currency: &Currency) -> String {
    let exact = row.value.round_dp(9).normalize();
    match row.unit {
        Unit::Money | Unit::MoneyAnHour => {
            let rounded = currency.text(row.value);
            let fine = exact.scale() > currency.digits();
            let text = if fine { exact.round_dp(6).normalize().to_string() } else { rounded };
            let hour = if row.unit == Unit::MoneyAnHour { " an hour" } else { "" };
            format!("{text} {}{hour}", currency.code())
        }
        unit => with_unit(exact.to_string(), unit),
    }
}

fn with_unit(text: String, unit: Unit) -> String {
    if unit == Unit::One { text } else { format!("{text} {}", unit.name()) }
}

/// So many significant figures, without idle noughts and never with a power of ten for what a bench weighs.
pub fn significant(value: f64, figures: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { format!("{value}") };
    }
    let magnitude = value.abs().log10().floor();
    let decimals = (figures as f64 - 1.0 - magnitude).clamp(0.0, 9.0) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::why::{Formula, Geometry};

    static SUM: Formula<f64> = Formula { text: "sum", takes: &[], then: &[Unit::Mm], gives: Unit::Mm, source: "arithmetic", of: |x| Some(x.iter().sum()) };

    #[test]
    fn a_figure_met_twice_is_told_once() {
        let mut sheet = Geometry::new();
        let gap = sheet.given("hook.gap", 5.0, Unit::Mm, Standing::Published, "a chart");
        let twice = sheet.work("twice", &SUM, &[gap, gap]).unwrap();
        let all = sheet.work("all", &SUM, &[twice, gap, twice]).unwrap();
        let more = sheet.work("more", &SUM, &[all, twice]).unwrap();
        let text: Vec<String> = explain(&sheet, more, &card_figure).iter().map(Line::to_string).collect();
        assert_eq!(
            text,
            [
                "more = 35.00 mm (published): sum; arithmetic",
                "  all = 25.00 mm (published): sum; arithmetic",
                "    twice = 10.00 mm (published): sum; arithmetic",
                "      hook.gap = 5.00 mm (published): a chart",
                "    hook.gap = 5.00 mm (published): a chart",
                "  twice = 10.00 mm (published): sum; arithmetic: told above",
            ]
        );
    }

    #[test]
    fn small_and_large_figures_keep_what_counts() {
        assert_eq!(significant(0.021_437, 3), "0.0214");
        assert_eq!(significant(1234.4, 3), "1234");
        assert_eq!(significant(2.0, 3), "2");
        assert_eq!(significant(0.0, 3), "0");
    }
}
