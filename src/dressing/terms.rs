//! The bench's own terms: money, time, and the figures it works by where a file is silent.

use super::{Price, Size, SizeRule};
use crate::diagnostic::{Diagnostic, Told};
use crate::measure::{Currency, Fraction, Rounding, Shown};
use indexmap::IndexMap;
use rust_decimal::Decimal;

/// The bench's terms, from bench.yaml.
#[derive(Clone, Debug)]
pub struct Terms {
    /// The bench's name.
    pub name: String,
    /// The currency of all prices.
    pub currency: Currency,
    /// How money is rounded.
    pub rounding: Rounding,
    /// Money an hour at the vice.
    pub rate: Option<Told<Decimal>>,
    /// Allowance on time.
    pub allowance: Option<Told<Allowance>>,
    /// Overhead as a share of materials and labour.
    pub overhead: Option<Told<Decimal>>,
    /// Margin or mark-up.
    pub profit: Option<Told<Profit>>,
    /// Listed prices.
    pub prices: Vec<ListedPrice>,
    /// The vice is left-handed.
    pub left_handed: bool,
    /// How figures are shown.
    pub shown: Shown,
    /// Fibre length by gauge size; mm.
    pub hackle_gauge: IndexMap<Size, Told<f64>>,
    /// Turns of silk at each tying in.
    pub bind: Option<Told<Fraction>>,
    /// Silk used at the start; mm.
    pub start: Option<Told<f64>>,
    /// Seconds to mount a hook.
    pub mount: Option<Told<f64>>,
    /// Seconds to begin again by stages.
    pub restart: Option<Told<f64>>,
    /// Flies of a run tied step by step at first.
    pub at_step: Option<Told<u32>>,
    /// The first fly of each so many is tied step by step again.
    pub at_step_again: Option<Told<u32>>,
    /// What takes longer than so many times the expected time is taken for a pause.
    pub pause_beyond: Option<Told<f64>>,
    /// Seconds at the vice after which a rest is offered.
    pub rest_after: Option<Told<f64>>,
    /// Length of a piece cut for several flies where none is stated; mm.
    pub piece: Option<Told<f64>>,
    /// Pitch of silk travelling in open turns; mm.
    pub travel: Option<Told<f64>>,
    /// Share of flies that do not pass, where neither the order nor the dressing says one.
    pub rejects: Option<Told<Decimal>>,
    /// How far one fly's time strays from the mean (its standard deviation), as a share of it.
    pub strays: Option<Told<Decimal>>,
    /// What is left of the time of a fly at each doubling of their number.
    pub learning: Option<Told<Decimal>>,
    /// How much longer the first flies of a run take.
    pub warm_up: Option<Told<WarmUp>>,
    /// What is used up beside the materials.
    pub consumables: Option<Told<Price>>,
    /// Packing, once an order.
    pub packing: Option<Told<Decimal>>,
    /// Postage, once an order.
    pub postage: Option<Told<Decimal>>,
    /// What is charged beside the price, by folded name.
    pub extras: IndexMap<String, Extra>,
    /// Less is charged from so many flies of an order on: the number and the share, the smallest number first.
    pub breaks: Vec<(u32, Told<Decimal>)>,
    /// To which sum a dozen's price is rounded up.
    pub price_step: Option<Told<Decimal>>,
    /// The fewest flies of one dressing and size that are charged.
    pub least: Option<Told<u32>>,
    /// A cell's width over its height, where the terminal does not tell.
    pub cell: Option<f64>,
    /// The theme's name.
    pub theme: Option<Told<String>>,
    /// What is wrong with the terms of money and time as they were told. While anything is, no plan can be right:
    /// a rate that was refused is not the same as none.
    pub amiss: Vec<Diagnostic>,
}

impl Default for Terms {
    /// The terms of a bench that says nothing, not even its currency.
    fn default() -> Self {
        Terms {
            name: "Bench".to_owned(),
            currency: Currency::none(),
            rounding: Rounding::default(),
            rate: None,
            allowance: None,
            overhead: None,
            profit: None,
            prices: Vec::new(),
            left_handed: false,
            shown: Shown::default(),
            hackle_gauge: IndexMap::new(),
            bind: None,
            start: None,
            mount: None,
            restart: None,
            at_step: None,
            at_step_again: None,
            pause_beyond: None,
            rest_after: None,
            piece: None,
            travel: None,
            rejects: None,
            strays: None,
            learning: None,
            warm_up: None,
            consumables: None,
            packing: None,
            postage: None,
            extras: IndexMap::new(),
            breaks: Vec::new(),
            price_step: None,
            least: None,
            cell: None,
            theme: None,
            amiss: Vec::new(),
        }
    }
}

/// The allowance on work time, by one of two conventions that give different answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Allowance {
    /// As a share, such as 0.12.
    pub share: Decimal,
    /// Of the day (time / (1 - share)); else of job time (time x (1 + share)).
    pub of_the_day: bool,
}

/// How profit is reckoned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Profit {
    /// A share of the price: cost / (1 - share).
    Margin(Decimal),
    /// A share of the cost: cost x (1 + share).
    MarkUp(Decimal),
}

/// A row of the price list.
#[derive(Clone, Debug)]
pub struct ListedPrice {
    /// For this kind of fly; `None` is any.
    pub kind: Option<Told<String>>,
    /// At these sizes; `None` is all.
    pub sizes: Option<SizeRule>,
    /// The price.
    pub price: Told<Price>,
}

/// The first flies of a run, until the hands know it again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WarmUp {
    /// How many flies.
    pub flies: u32,
    /// How much longer each takes, as a share such as 0.3.
    pub more: Decimal,
}

/// Something charged beside the price, such as barbs pinched or a sample.
#[derive(Clone, Debug)]
pub struct Extra {
    /// Its name as written.
    pub name: Told<String>,
    /// What is charged.
    pub asks: Told<Asks>,
}

/// What an extra is charged by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asks {
    /// By the fly or the dozen.
    Flies(Price),
    /// Once for a dressing and size.
    Run(Decimal),
    /// As a share of the price.
    Share(Decimal),
}
