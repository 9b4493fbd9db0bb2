//! What a plan goes by beside the order, the dressings and the shelf: the bench's days, what is in the stores, what was
//! tied before, the day it is made on, and what is tried out.

use crate::dressing::{Habits, Size, Tied};
use crate::measure::Unit;
use crate::reckon::own_times::Timed;
use jiff::civil::Date;
use rust_decimal::Decimal;
use std::collections::HashMap;

/// All of it; by default the stores are empty, nothing was tied before, and no day is known.
#[derive(Clone, Debug, Default)]
pub struct Given {
    /// Hours of work, days away, the rack, the confidence.
    pub habits: Habits,
    /// What is there, and what was tied before.
    pub stock: Stock,
    /// The day the plan is made on; without it nothing is laid out by days.
    pub today: Option<Date>,
    /// What is tried out.
    pub wish: Wish,
}

/// What is in the stores, and what earlier runs tell.
#[derive(Clone, Debug, Default)]
pub struct Stock {
    /// On hand by the key of the plan's line ([`MaterialLine::key`](super::MaterialLine::key) without its `all `): the
    /// material's folded name, with the size where that matters, or `hook CHART SIZE`.
    pub on_hand: HashMap<String, OnHand>,
    /// Flies that are tied and belong to nobody.
    pub finished: Vec<Finished>,
    /// Earlier runs, a row a dressing and size.
    pub past: Vec<Past>,
}

/// An amount on hand.
#[derive(Clone, Debug, PartialEq)]
pub struct OnHand {
    /// How much.
    pub amount: Decimal,
    /// In which unit; an amount in another than the plan's counts only where one converts into the other.
    pub unit: Unit,
    /// From where it is known, in words.
    pub from: String,
}

/// Finished flies in the drawer.
#[derive(Clone, Debug, PartialEq)]
pub struct Finished {
    /// The dressing's folded name.
    pub dressing: String,
    /// The size.
    pub size: Size,
    /// The variant's folded name.
    pub variant: Option<String>,
    /// How many.
    pub flies: u32,
}

/// What earlier runs of a dressing and size tell.
#[derive(Clone, Debug, PartialEq)]
pub struct Past {
    /// The dressing's folded name.
    pub dressing: String,
    /// The size.
    pub size: Size,
    /// How many flies were tied.
    pub made: u32,
    /// How many of them did not pass.
    pub rejected: u32,
    /// Timed flies: which it was, counted from the first ever tied, and seconds at the vice, mounting with it.
    pub times: Vec<Timed>,
}

impl Stock {
    /// Finished flies of this dressing, size and variant (folded names).
    pub fn finished(&self, dressing: &str, size: &Size, variant: Option<&str>) -> u32 {
        let same = |flies: &&Finished| flies.dressing == dressing && flies.size == *size && flies.variant.as_deref() == variant;
        self.finished.iter().filter(same).fold(0, |all, flies| all.saturating_add(flies.flies))
    }

    /// What was tied of this dressing (folded name) in this size.
    pub fn past(&self, dressing: &str, size: &Size) -> Option<&Past> {
        self.past.iter().find(|past| past.dressing == dressing && past.size == *size)
    }

    /// Own times of this dressing in this size, else in the nearest size that has some.
    pub fn times(&self, dressing: &str, size: &Size) -> Option<&Past> {
        let timed = self.past.iter().filter(|past| past.dressing == dressing && !past.times.is_empty());
        timed.min_by_key(|past| (past.size.rank(false).saturating_sub(size.rank(false)).abs(), past.size.text().to_owned()))
    }
}

/// What is tried out on a plan without a word of its file being changed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wish {
    /// Dozens more or fewer of a run, by its place in the order; a run keeps one fly at least.
    pub dozens: HashMap<usize, i32>,
    /// Another rate an hour.
    pub rate: Option<Decimal>,
    /// Another share of rejects, for all runs.
    pub rejects: Option<Decimal>,
    /// Another way of tying.
    pub tied: Option<Tied>,
}

impl Wish {
    /// Whether nothing is tried out.
    pub fn is_none(&self) -> bool {
        self.rate.is_none() && self.rejects.is_none() && self.tied.is_none() && self.dozens.values().all(|dozens| *dozens == 0)
    }

    /// The flies of a run as tried out.
    pub fn flies(&self, run: usize, asked: u32) -> u32 {
        let more = i64::from(self.dozens.get(&run).copied().unwrap_or(0)) * 12;
        if more == 0 {
            return asked;
        }
        u32::try_from((i64::from(asked) + more).max(1)).unwrap_or(u32::MAX).min(100_000)
    }
}
