//! An order planned: flies, materials with their wastes, hours, cost and price, every figure on one sheet.
//!
//! Money is exact until it is shown: each sum is rounded once, by itself, and what lines as shown leave over or
//! short of the whole as shown stands on a line of its own.

#[macro_use]
mod formulas;
mod buy;
mod cost;
mod days;
mod given;
mod many;
mod needs;
mod price;
mod run;
mod time;
mod work;

pub use given::{Finished, Given, OnHand, Past, Stock, Wish};
pub use work::work;

use crate::card::Card;
use crate::diagnostic::Diagnostic;
use crate::dressing::{Price, Size, Tied};
use crate::measure::{Currency, Numbers, Unit};
use crate::why::{Fig, Figures};
use jiff::civil::Date;
use std::collections::HashMap;

/// An order planned.
#[derive(Clone)]
pub struct Plan {
    /// The order's name.
    pub order: String,
    /// For whom.
    pub customer: Option<String>,
    /// The day it is wanted.
    pub wanted: Option<Date>,
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
    /// What is bought; `None` where nothing is.
    pub buying: Option<Buying>,
    /// The work laid out by days; `None` where the day or the bench's hours are not known.
    pub chart: Option<Chart>,
    /// How its flies are tied.
    pub tied: Tied,
    /// A run has no share of rejects, told or learnt, and so none are reckoned with.
    pub no_rejects: bool,
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
    /// How many flies are delivered.
    pub flies: Fig,
    /// Of them out of the drawer.
    pub drawer: Option<Fig>,
    /// That must be tied and pass.
    pub to_tie: Fig,
    /// Share that does not pass, where one is known.
    pub rejects: Option<Fig>,
    /// Tied on the average; hours and cost go by it.
    pub tied: Fig,
    /// To lay out; by stages to start.
    pub lay_out: Fig,
    /// Passing flies beyond what is wanted, on the average, which become finished flies; by stages only.
    pub surplus: Option<Fig>,
    /// Hours at standard time; `None` where no time is known.
    pub hours: Option<Fig>,
    /// Between which hours it lies with the bench's confidence.
    pub hours_range: Option<(Fig, Fig)>,
    /// Seconds a fly before the allowance.
    pub seconds_a_fly: Option<Fig>,
    /// Materials, money.
    pub materials: Fig,
    /// Labour, money.
    pub labour: Option<Fig>,
    /// Overhead, money.
    pub overhead: Fig,
    /// What is used up beside the materials, where the bench says so.
    pub consumables: Option<Fig>,
    /// Materials, labour, overhead and consumables.
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
    /// Extras, a break, the fewest flies charged or the step have changed it.
    pub price_changed: bool,
    /// What the price earns an hour at the vice.
    pub earns: Option<Fig>,
    /// Price of a dozen that would earn the bench's rate.
    pub price_at_rate: Option<Fig>,
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
    /// The material's folded name, or the hook with its size.
    pub of: String,
    /// The unit of the amount.
    pub unit: Unit,
    /// How much the flies tied take on the average.
    pub amount: Fig,
    /// How much is laid out.
    pub lay_out: Fig,
    /// How much of it is there, where the stores tell.
    pub on_hand: Option<Fig>,
    /// How much is short; `None` where the customer sends it or its stock is not kept.
    pub short: Option<Fig>,
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
    /// Consumables, where the bench says any.
    pub consumables: Option<Fig>,
    /// Packing, where the bench says any.
    pub packing: Option<Fig>,
    /// Postage, where the order or the bench says any.
    pub postage: Option<Fig>,
    /// Between which hours the whole lies with the bench's confidence.
    pub hours_range: Option<(Fig, Fig)>,
    /// How far the hours stray: their standard deviation.
    pub hours_stray: Option<Fig>,
    /// The price that would earn the bench's rate.
    pub price_at_rate: Option<Fig>,
    /// What rounding the heads leaves of the cost.
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

/// What is bought for an order.
#[derive(Clone)]
pub struct Buying {
    /// A parcel a supplier.
    pub parcels: Vec<Parcel>,
    /// What all of it comes to, carriage with it.
    pub sum: Fig,
    /// What no purchase can cost less than, where it is not proved that none is cheaper.
    pub bound: Option<Fig>,
}

/// What one supplier sends.
#[derive(Clone)]
pub struct Parcel {
    /// The beginning of its figures' keys.
    pub key: String,
    /// The supplier; `None` for packs without one.
    pub supplier: Option<String>,
    /// The packs.
    pub lines: Vec<Bought>,
    /// What the packs cost.
    pub goods: Fig,
    /// Carriage, where the supplier has any.
    pub carriage: Option<Fig>,
    /// Goods and carriage.
    pub sum: Fig,
    /// Days from order to hand.
    pub lead: Option<Fig>,
}

/// Packs of one kind that are bought.
#[derive(Clone)]
pub struct Bought {
    /// The material, as written.
    pub material: String,
    /// How many packs.
    pub packs: Fig,
    /// What one holds, in words.
    pub pack: String,
    /// What they cost, with the tax that is paid.
    pub cost: Fig,
    /// What is left over of the material when the order is tied.
    pub left: Fig,
    /// That is told in packs, for the material is used in several sizes or ways.
    pub in_packs: bool,
    /// Runs that use it.
    pub runs: Vec<usize>,
}

/// The work laid into the bench's hours.
#[derive(Clone)]
pub struct Chart {
    /// The runs in the order they are tied.
    pub runs: Vec<Laid>,
    /// The days on which work is done.
    pub days: Vec<Day>,
    /// The day on which all is tied and dry.
    pub ready: Date,
    /// The earliest day in the customer's hands.
    pub in_hand: Date,
    /// Chance of being ready to post in time, where a day is wanted.
    pub chance: Option<Fig>,
    /// The day wanted, where it cannot be kept at the expected hours.
    pub late: Option<Date>,
}

/// When one run is tied.
#[derive(Clone, Copy)]
pub struct Laid {
    /// Which run.
    pub run: usize,
    /// The day it is begun.
    pub begun: Date,
    /// The day it is tied and dry.
    pub ready: Date,
}

/// A day of work.
#[derive(Clone)]
pub struct Day {
    /// The day.
    pub date: Date,
    /// The bench's hours on it.
    pub there: Fig,
    /// Runs and the hours they take of it, in order.
    pub work: Vec<(usize, Fig)>,
}

impl MaterialLine {
    /// Its key in the stores.
    pub fn stock_key(&self) -> &str {
        self.key.strip_prefix("all ").unwrap_or(&self.key)
    }
}
