//! `herl reckon packs`, `cuts` and `setting`: what a search finds. Their figures are exact: decimals are scaled to whole
//! numbers before anything is searched, and scaled back after. Each is given a budget of nodes, `--nodes`, within which
//! it proves its answer or else tells the bound it has proved.

pub mod cuts;
pub mod packs;
pub mod setting;

use super::Verdict;
use super::asked::{Asked, quoted};
use super::out::Out;
use crate::measure::{Fault, Quantity, Unit};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde_json::{Number, Value};

/// Nodes of a setting, which is many figures, and of a pattern or pack where nothing is said: a few seconds of either.
const SETTINGS: u64 = 5_000_000;
const NODES: u64 = 40_000_000;

/// What came of a search, in words and as JSON.
struct Found {
    json: Value,
    lines: Vec<String>,
    verdict: Verdict,
}

/// Prints what was found, or tells all that is wrong with what was given.
fn print(found: Option<Found>, asked: &Asked, as_json: bool, out: &mut Out) -> Verdict {
    let Some(found) = found else { return asked.tell(as_json, out) };
    if as_json {
        out.json(&found.json);
    } else {
        let bad = found.verdict != Verdict::Fine;
        found.lines.iter().for_each(|line| if bad { out.trouble(line) } else { out.line(line) });
    }
    found.verdict
}

/// What an exact figure stands for.
#[derive(Clone, Copy)]
struct Exact {
    /// In words, with its article: "a length".
    noun: &'static str,
    /// The unit its figure is brought to; [`Unit::One`] for what is as bare as it was written.
    unit: Unit,
    /// Whether it must be more than nought.
    over_nought: bool,
    /// What would be right.
    example: &'static str,
}

/// A figure read exactly, and whether it was written with a unit.
#[derive(Clone, Copy)]
struct Given {
    figure: Decimal,
    has_unit: bool,
}

impl Exact {
    /// Reads a figure, with or without a unit, to the last digit.
    fn read(&self, text: &str) -> Result<Given, Fault> {
        let wrong = |what: String| Fault::new(what, 0..text.len()).right(format!("{}, such as {}", self.noun, self.example));
        let quantity = Quantity::read(text).map_err(|fault| if fault.right.is_some() && fault.what.contains("comma") { fault } else { wrong(fault.what) })?;
        if text.contains('%') {
            return Err(wrong(format!("{} is a share, not {}", quoted(text), self.noun)));
        }
        let has_unit = quantity.unit != Unit::One;
        if has_unit && quantity.unit.dimension() != self.unit.dimension() {
            return Err(wrong(format!("{} is in {}, which is not {}", quoted(text), quantity.unit.name(), self.noun)));
        }
        let in_unit = if has_unit { quantity.unit.convert(quantity.figure.to_decimal().unwrap_or_default(), self.unit) } else { quantity.figure.to_decimal() };
        let Some(figure) = in_unit.map(|figure| figure.normalize()) else {
            return Err(wrong(format!("{} is too large to reckon with", quoted(text))));
        };
        if figure.scale() > DIGITS {
            return Err(wrong(format!("{} has more than {DIGITS} digits after the point, or no end of them", quoted(text))));
        }
        if figure.is_sign_negative() && !figure.is_zero() {
            return Err(wrong(format!("{} is below nought", quoted(text))));
        }
        if figure.is_zero() && self.over_nought {
            return Err(wrong(format!("{} is nought", quoted(text))));
        }
        Ok(Given { figure, has_unit })
    }
}

/// Digits after the point that are taken.
const DIGITS: u32 = 9;

/// A whole number.
fn whole(asked: &mut Asked, option: &'static str, text: &str, within: &str, noun: &str) -> Option<u64> {
    match within.trim().parse::<u64>() {
        Ok(number) => Some(number),
        Err(_) => {
            let digits = !within.trim().is_empty() && within.trim().bytes().all(|byte| byte.is_ascii_digit());
            let what = if digits { "is too large to reckon with" } else { "is no whole number, nought or more" };
            asked.refuse(option, text, Fault::new(format!("{} {what}", quoted(within)), 0..text.len()).right(format!("{noun}, such as 3")))
        }
    }
}

/// Nodes as asked for, or as usual.
fn nodes(asked: &mut Asked, given: Option<&String>, usual: u64) -> Option<u64> {
    match given {
        Some(text) => whole(asked, "--nodes", text, text, "a number of nodes"),
        None => Some(usual),
    }
}

/// How many digits after the point all of them need.
fn scale(figures: &[Decimal]) -> u32 {
    figures.iter().map(Decimal::scale).max().unwrap_or(0)
}

/// A figure as a whole number of its last digit; `None` where it is too large.
fn scaled(figure: Decimal, scale: u32) -> Option<u64> {
    figure.checked_mul(Decimal::from(10_u64.checked_pow(scale)?))?.to_u64()
}

/// The other way.
fn unscaled(whole: u64, scale: u32) -> Decimal {
    Decimal::from(whole).checked_div(Decimal::from(10_u64.pow(scale.min(DIGITS)))).unwrap_or_default().normalize()
}

/// A decimal as a number of JSON: whole where it is whole.
fn number(figure: Decimal) -> Value {
    match figure.normalize() {
        whole if whole.scale() == 0 => whole.to_u64().map_or(Value::Null, |whole| Value::Number(whole.into())),
        other => other.to_f64().and_then(Number::from_f64).map_or(Value::Null, Value::Number),
    }
}

/// A fault of figures that are too large for the search.
fn too_large<T>(asked: &mut Asked, option: &'static str, text: &str) -> Option<T> {
    asked.refuse(option, text, Fault::new(format!("{} is too large to reckon with", quoted(text)), 0..text.len()))
}
