//! One figure with its derivation, one stride deep, and how figures are written on a screen: shorter than on paper,
//! where every decimal is told.

use crate::measure::{Currency, Unit, Words};
use crate::why::{Fig, Origin, Row, Sheet, Standing};
use rust_decimal::Decimal;
use std::collections::HashSet;

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
        Origin::Given { from } => (None, Words::from(from.to_string()), Vec::new()),
        Origin::Worked { formula, inputs } => {
            let mut seen = HashSet::new();
            let each = inputs.iter().copied().filter(|input| seen.insert(*input)).collect();
            (Some(Words::new(formula.text())), Words::new(formula.source()), each)
        }
    };
    Reason { key: Words::new(sheet.key(fig)), value: Words::new(&show(row)), standing: row.standing, formula, source, inputs }
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

    #[test]
    fn small_and_large_figures_keep_what_counts() {
        assert_eq!(significant(0.021_437, 3), "0.0214");
        assert_eq!(significant(1234.4, 3), "1234");
        assert_eq!(significant(2.0, 3), "2");
        assert_eq!(significant(0.0, 3), "0");
    }
}
