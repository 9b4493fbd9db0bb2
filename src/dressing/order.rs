//! An order as wished for: dressings, sizes and numbers.

use super::Size;
use crate::diagnostic::Told;
use indexmap::IndexMap;
use rust_decimal::Decimal;

/// An order.
#[derive(Clone, Debug)]
pub struct Order {
    /// Its name.
    pub name: Told<String>,
    /// For whom.
    pub customer: Option<Told<String>>,
    /// The day it is to be in the customer's hands.
    pub wanted: Option<Told<jiff::civil::Date>>,
    /// Days in the post.
    pub post_days: Option<Told<Decimal>>,
    /// Postage of this order.
    pub postage: Option<Told<Decimal>>,
    /// How its flies are tied.
    pub tied: Option<Told<Tied>>,
    /// What is charged beside the price for all its lines (folded names).
    pub extras: Vec<Told<String>>,
    /// What the customer sends.
    pub customer_sends: Vec<Told<String>>,
    /// Its lines.
    pub lines: Vec<OrderLine>,
    /// A remark.
    pub note: Option<String>,
}

/// One dressing of an order.
#[derive(Clone, Debug)]
pub struct OrderLine {
    /// The dressing's name.
    pub dressing: Told<String>,
    /// How many flies of each size.
    pub sizes: Vec<(Told<Size>, Told<u32>)>,
    /// The variant, folded.
    pub variant: Option<Told<String>>,
    /// Another chart.
    pub hook: Option<Told<String>>,
    /// A stated price.
    pub price: Option<Told<Price>>,
    /// Share of flies that do not pass.
    pub rejects: Option<Told<Decimal>>,
    /// What is charged beside the price (folded names).
    pub extras: Vec<Told<String>>,
    /// Agreed substitutes: this material, by that one (folded names).
    pub instead: IndexMap<String, Told<String>>,
}

/// A price for one fly or a dozen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Price {
    /// The sum.
    pub sum: Decimal,
    /// For so many flies: 1 or 12.
    pub flies: u32,
}

/// How the flies of a run are tied.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tied {
    /// One after another, each to its end.
    #[default]
    FlyByFly,
    /// All to the end of one stage, then all to the end of the next.
    ByStages,
}
