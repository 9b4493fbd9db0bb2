//! The sheet of figures: every number with its derivation.
//!
//! A figure gets on to a sheet in two ways only: *given* (value, unit, standing, from where), or *worked* by
//! applying a [`Formula`] to figures already on it, which computes and records in one act. So no input can be
//! left out, nothing is written twice, and any row can be computed again from its inputs. One key is the
//! `--why` key, the JSON key and the `{part.field}` of a step's text.

use crate::diagnostic::At;
use crate::measure::Unit;
use foldhash::fast::FixedState;
use indexmap::IndexMap;
use indexmap::map::Entry;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::collections::HashMap;
use std::fmt;
use std::sync::Arc;

mod kept;

pub use kept::KeptFormula;

/// How well a figure is known, strongest first. A worked figure is as weak as its weakest input.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// Measured by the dresser.
    Measured,
    /// Learnt from own work.
    Learnt,
    /// Stated in a dresser's file.
    Stated,
    /// Published; the source is named.
    Published,
    /// The custom of the kind of fly.
    Custom,
    /// Usual at benches.
    Usual,
    /// A rule of thumb.
    RuleOfThumb,
    /// Interpolated between two given figures.
    Interpolated,
    /// Assumed, for want of anything better.
    Assumed,
}

impl Standing {
    /// As shown.
    pub fn name(self) -> &'static str {
        match self {
            Standing::Measured => "measured",
            Standing::Learnt => "learnt",
            Standing::Stated => "stated",
            Standing::Published => "published",
            Standing::Custom => "custom",
            Standing::Usual => "usual",
            Standing::RuleOfThumb => "rule of thumb",
            Standing::Interpolated => "interpolated",
            Standing::Assumed => "assumed",
        }
    }
}

/// A formula: its text, the units it takes and gives, its source, and the function itself.
pub struct Formula<V: 'static> {
    /// The formula in words and signs, as shown by `why`.
    pub text: &'static str,
    /// Units of the first inputs, in order.
    pub takes: &'static [Unit],
    /// Units of the inputs after those, repeated as often as needed.
    pub then: &'static [Unit],
    /// Unit of the result.
    pub gives: Unit,
    /// Where the formula comes from.
    pub source: &'static str,
    /// The function; `None` when there is no finite result.
    pub of: fn(&[V]) -> Option<V>,
}

/// What a worked row was worked by.
#[derive(Clone)]
pub enum Working<V: 'static> {
    /// A formula of this program: the row can be worked again.
    Own(&'static Formula<V>),
    /// The words of the formula, read back with a sheet that was kept: the row can say why, but not be worked again.
    Kept(Arc<KeptFormula>),
}

impl<V> Working<V> {
    /// The formula in words and signs.
    pub fn text(&self) -> &str {
        match self {
            Working::Own(formula) => formula.text,
            Working::Kept(kept) => &kept.text,
        }
    }

    /// Where the formula comes from.
    pub fn source(&self) -> &str {
        match self {
            Working::Own(formula) => formula.source,
            Working::Kept(kept) => &kept.source,
        }
    }

    /// Units of the first inputs, in order.
    pub fn takes(&self) -> &[Unit] {
        match self {
            Working::Own(formula) => formula.takes,
            Working::Kept(kept) => &kept.takes,
        }
    }

    /// Units of the inputs after those, repeated as often as needed.
    pub fn then(&self) -> &[Unit] {
        match self {
            Working::Own(formula) => formula.then,
            Working::Kept(kept) => &kept.then,
        }
    }
}

impl<V> From<&'static Formula<V>> for Working<V> {
    fn from(formula: &'static Formula<V>) -> Self {
        Working::Own(formula)
    }
}

/// A row of one sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Fig(u32);

/// Where a given figure was given. A place is put into words only when somebody asks.
#[derive(Clone, Debug, PartialEq)]
pub enum Source {
    /// At a place in a dresser's file, or by the rule that stands in there.
    Told(At),
    /// Some other way, in words.
    Words(Cow<'static, str>),
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Source::Told(at) => f.write_str(&at.in_words()),
            Source::Words(words) => f.write_str(words),
        }
    }
}

impl From<&'static str> for Source {
    fn from(words: &'static str) -> Self {
        Source::Words(Cow::Borrowed(words))
    }
}

impl From<String> for Source {
    fn from(words: String) -> Self {
        Source::Words(Cow::Owned(words))
    }
}

impl From<&Source> for Source {
    fn from(source: &Source) -> Self {
        source.clone()
    }
}

/// Where a figure comes from.
#[derive(Clone)]
pub enum Origin<V: 'static> {
    /// Given, from the place named.
    Given {
        /// The place or the words it was given by.
        from: Source,
    },
    /// Worked from other rows.
    Worked {
        /// By this formula.
        formula: Working<V>,
        /// From these rows.
        inputs: Vec<Fig>,
    },
}

/// One figure.
#[derive(Clone)]
pub struct Row<V: 'static> {
    /// Its value.
    pub value: V,
    /// Its unit.
    pub unit: Unit,
    /// How well it is known.
    pub standing: Standing,
    /// Where it comes from.
    pub origin: Origin<V>,
}

/// Figures by key, in the order they were set.
#[derive(Clone)]
pub struct Sheet<V: 'static> {
    /// Hashed alike in every run: nothing here hangs on chance.
    rows: IndexMap<String, Row<V>, FixedState>,
    /// How many figures in between each stem has had.
    numbers: HashMap<String, u32, FixedState>,
}

impl<V: Copy> Default for Sheet<V> {
    fn default() -> Self {
        Sheet::new()
    }
}

impl<V: Copy> Sheet<V> {
    /// An empty sheet.
    pub fn new() -> Self {
        Sheet { rows: IndexMap::with_capacity_and_hasher(256, FixedState::default()), numbers: HashMap::default() }
    }

    /// The row; rows are only made by this sheet, so it is there.
    pub fn at(&self, fig: Fig) -> &Row<V> {
        &self.rows[fig.0 as usize]
    }

    /// The row's value.
    pub fn value(&self, fig: Fig) -> V {
        self.at(fig).value
    }

    /// The row's key.
    pub fn key(&self, fig: Fig) -> &str {
        self.rows.get_index(fig.0 as usize).map_or("", |(key, _)| key)
    }

    /// The row of this key.
    pub fn find(&self, key: &str) -> Option<Fig> {
        self.rows.get_index_of(key).and_then(|i| u32::try_from(i).ok()).map(Fig)
    }

    /// All rows with their keys.
    pub fn rows(&self) -> impl Iterator<Item = (Fig, &str, &Row<V>)> {
        self.rows.iter().enumerate().map(|(i, (key, row))| (Fig(i as u32), key.as_str(), row))
    }

    /// All keys.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.rows.keys().map(String::as_str)
    }

    /// A key not yet taken: `key` itself, else with a number behind it.
    pub fn free_key(&self, key: &str) -> String {
        if !self.rows.contains_key(key) {
            return key.to_owned();
        }
        let mut number = 2;
        loop {
            let next = format!("{key}.{number}");
            if !self.rows.contains_key(&next) {
                return next;
            }
            number += 1;
        }
    }

    /// A key for a figure in between that nobody names: the stem with the next number.
    pub fn fresh_key(&mut self, stem: &str) -> String {
        loop {
            let number = self.numbers.entry(stem.to_owned()).or_insert(0);
            *number += 1;
            let key = format!("{stem}.{number}");
            if !self.rows.contains_key(&key) {
                return key;
            }
        }
    }

    fn put(&mut self, key: &str, row: Row<V>) -> Fig {
        let index = match self.rows.entry(key.to_owned()) {
            Entry::Vacant(free) => {
                let index = free.index();
                free.insert(row);
                index
            }
            Entry::Occupied(_) => self.rows.insert_full(self.free_key(key), row).0,
        };
        Fig(index as u32)
    }

    /// Sets a figure that was given.
    pub fn given(&mut self, key: impl AsRef<str>, value: V, unit: Unit, standing: Standing, from: impl Into<Source>) -> Fig {
        self.put(key.as_ref(), Row { value, unit, standing, origin: Origin::Given { from: from.into() } })
    }

    /// Works a figure from others and sets it. `None`: not finite, too large, or nought below the line.
    pub fn work(&mut self, key: impl AsRef<str>, formula: &'static Formula<V>, inputs: &[Fig]) -> Option<Fig> {
        let values: Vec<V> = inputs.iter().map(|fig| self.value(*fig)).collect();
        let standing = inputs.iter().map(|fig| self.at(*fig).standing).max()?;
        debug_assert!(self.units_fit(&formula.into(), inputs), "{} for {}", formula.text, key.as_ref());
        let value = (formula.of)(&values)?;
        let row = Row { value, unit: formula.gives, standing, origin: Origin::Worked { formula: formula.into(), inputs: inputs.to_vec() } };
        Some(self.put(key.as_ref(), row))
    }

    /// Whether the row is one of this sheet's.
    pub fn has(&self, fig: Fig) -> bool {
        (fig.0 as usize) < self.rows.len()
    }

    /// Works the row again from its inputs; `None` for a given row, for one read back with a kept sheet, or where no
    /// result is had.
    pub fn again(&self, fig: Fig) -> Option<V> {
        match &self.at(fig).origin {
            Origin::Given { .. } | Origin::Worked { formula: Working::Kept(_), .. } => None,
            Origin::Worked { formula: Working::Own(formula), inputs } => {
                let values: Vec<V> = inputs.iter().map(|fig| self.value(*fig)).collect();
                (formula.of)(&values)
            }
        }
    }

    /// Whether the inputs have the units the formula takes.
    pub fn units_fit(&self, formula: &Working<V>, inputs: &[Fig]) -> bool {
        let (takes, then) = (formula.takes(), formula.then());
        let wanted = takes.iter().chain(then.iter().cycle().take(if then.is_empty() { 0 } else { usize::MAX }));
        let fits = inputs.iter().zip(wanted).filter(|(fig, unit)| self.at(**fig).unit == **unit).count();
        fits == inputs.len() && inputs.len() >= takes.len()
    }
}

/// A worked card's figures: geometry, in `f64`.
pub type Geometry = Sheet<f64>;
/// A plan's figures: amounts, hours and money, in `Decimal`.
pub type Figures = Sheet<Decimal>;

/// THE crossing from geometry to stock and money: nine decimals, half to even. Rounding up happens only
/// where something is pulled or bought.
pub fn cross(value: f64) -> Option<Decimal> {
    Decimal::from_f64_retain(value).map(|exact| exact.round_dp(9))
}

#[cfg(test)]
mod tests {
    use super::*;

    static DOUBLE: Formula<f64> =
        Formula { text: "twice a length", takes: &[Unit::Mm], then: &[], gives: Unit::Mm, source: "arithmetic", of: |x| x.first().map(|a| a * 2.0) };

    #[test]
    fn a_worked_figure_is_as_weak_as_its_input_and_works_again() {
        let mut sheet = Geometry::new();
        let gap = sheet.given("hook.gap", 5.0, Unit::Mm, Standing::Published, "a chart");
        let twice = sheet.work("twice", &DOUBLE, &[gap]).unwrap();
        assert_eq!(sheet.at(twice).standing, Standing::Published);
        assert_eq!(sheet.again(twice), Some(10.0));
    }

    #[test]
    fn the_crossing_keeps_nine_decimals_half_even() {
        assert_eq!(cross(0.1), Some(Decimal::new(1, 1)));
        assert_eq!(cross(f64::NAN), None);
    }
}
