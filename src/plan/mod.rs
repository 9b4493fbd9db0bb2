//! An order planned: flies, materials with their wastes, hours, cost and price, every figure on one sheet.
//!
//! Money is exact until it is shown: each sum is rounded once, by itself, and what lines as shown leave over or
//! short of the whole as shown stands on a line of its own.

mod cost;
mod formulas;
mod needs;
mod run;
mod time;
mod work;

pub use work::work;

use crate::card::Card;
use crate::diagnostic::Diagnostic;
use crate::dressing::{Price, Size};
use crate::measure::{Currency, Numbers, Unit};
use crate::why::{Fig, Figures};
use std::collections::HashMap;

/// An order planned.
#[derive(Clone)]
pub struct Plan {
    /// The order's name.
    pub order: String,
    /// For whom.
    pub customer: Option<String>,
    /// The day it is wanted.
    pub wanted: Option<jiff::civil::Date>,
    /// The currency of all money here.
    pub currency: Currency,
    /// How money and amounts are shown.
    pub numbers: Numbers,
    /// Every figure, with its derivation.
    pub figures: Figures,
    /// Which figure of which run's card a figure was taken from.
    pub from_card: HashMap<Fig, (usize, Fig)>,
    /// A run for each dressing, size and variant.
    pub runs: Vec<Run>,
    /// Materials over the whole order.
    pub materials: Vec<MaterialLine>,
    /// The order as a whole.
    pub totals: Totals,
    /// What has no cost or time yet, and why: the totals are without it.
    pub open: Vec<String>,
    /// Advice met on the way.
    pub advice: Vec<Diagnostic>,
}

/// The flies of one dressing, size and variant.
#[derive(Clone)]
pub struct Run {
    /// The beginning of its figures' keys.
    pub key: String,
    /// The dressing's name.
    pub dressing: String,
    /// The size.
    pub size: Size,
    /// The variant.
    pub variant: Option<String>,
    /// Its worked card.
    pub card: Card,
    /// How many flies.
    pub flies: Fig,
    /// Hours at standard time; `None` where no time is known.
    pub hours: Option<Fig>,
    /// Seconds a fly before the allowance.
    pub seconds_a_fly: Option<Fig>,
    /// Materials, money.
    pub materials: Fig,
    /// Labour, money.
    pub labour: Option<Fig>,
    /// Overhead, money.
    pub overhead: Fig,
    /// Materials, labour and overhead.
    pub cost: Fig,
    /// Cost of one fly.
    pub cost_a_fly: Fig,
    /// Cost of a dozen.
    pub cost_a_dozen: Fig,
    /// Price of a dozen.
    pub price_a_dozen: Option<Fig>,
    /// Price of the run.
    pub price: Option<Fig>,
    /// Where the price comes from.
    pub priced: Priced,
    /// What the price earns an hour at the vice.
    pub earns: Option<Fig>,
}

/// Where a price comes from, strongest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Priced {
    /// Stated in the order.
    Stated(Price),
    /// From the bench's price list.
    Listed(Price),
    /// Worked out from the cost.
    Reckoned,
    /// The bench says neither a list nor a margin.
    Open,
}

impl Priced {
    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Priced::Stated(_) => "stated",
            Priced::Listed(_) => "listed",
            Priced::Reckoned => "from cost",
            Priced::Open => "open",
        }
    }
}

/// One material over the whole order.
#[derive(Clone)]
pub struct MaterialLine {
    /// The beginning of its figures' keys.
    pub key: String,
    /// Its name as written, with the size where that matters.
    pub name: String,
    /// The unit of the amount.
    pub unit: Unit,
    /// How much the order takes.
    pub amount: Fig,
    /// Share of a pack, where packs are known.
    pub packs: Option<Fig>,
    /// Whole packs that hold it.
    pub whole_packs: Option<Fig>,
    /// The pack it is costed by, in words: `10 m at 2.40, Withy Street Supplies`.
    pub pack: Option<String>,
    /// Its cost; `None` where it has none yet.
    pub cost: Option<Fig>,
    /// Runs that use it.
    pub runs: Vec<usize>,
}

/// The order as a whole.
#[derive(Clone, Copy)]
pub struct Totals {
    /// Flies.
    pub flies: Fig,
    /// Hours; without runs whose time is open.
    pub hours: Fig,
    /// Materials, money.
    pub materials: Fig,
    /// Labour, money.
    pub labour: Fig,
    /// Overhead, money.
    pub overhead: Fig,
    /// What rounding the three heads leaves of the cost.
    pub rounding: Fig,
    /// What rounding the materials' lines leaves of the materials.
    pub materials_rounding: Fig,
    /// Cost.
    pub cost: Fig,
    /// Cost of one fly, over all.
    pub cost_a_fly: Fig,
    /// Cost of a dozen, over all.
    pub cost_a_dozen: Fig,
    /// Price, where every run has one.
    pub price: Option<Fig>,
    /// What it earns an hour.
    pub earns: Option<Fig>,
}
