//! After a run, or in the middle of it: what became of its flies, how long everything took against what was expected, what
//! it took of each material. Every figure stands on one sheet with its reason.

mod build;
mod formulas;

use super::{Change, Counts, Fate, How, Kind, Part};
use crate::measure::{Unit, Words};
use crate::why::{Fig, Figures};
use rust_decimal::Decimal;

pub use build::report;

/// Everything there is to tell of a run.
#[derive(Clone)]
pub struct Report {
    /// The figures: times in seconds, counts, shares, amounts in their units.
    pub sheet: Figures,
    /// What the flies were for.
    pub kind: Kind,
    /// The part the run is in.
    pub part: Part,
    /// What became of the flies.
    pub counts: Counts,
    /// Share of the flies looked over that were good at once, and between which bounds it lies.
    pub passed_at_once: Option<Between>,
    /// The time of a fly tied without a break; `None` where none was.
    pub fly: Option<FlyTimes>,
    /// The parts of the run that took time, in order.
    pub parts: Vec<(Part, Fig)>,
    /// Milliseconds of work on the run, pauses left out.
    pub all: Fig,
    /// Time the hands rested, as told.
    pub rested: Fig,
    /// Time taken for pauses nobody told of.
    pub taken_out: Fig,
    /// Steps that were timed by themselves, the slowest against expectation first.
    pub steps: Vec<Span>,
    /// Stages likewise.
    pub stages: Vec<Span>,
    /// Flies that failed, by reason and fate.
    pub bad: Vec<Failed>,
    /// What went wrong and was caught again.
    pub mishaps: Vec<Happening>,
    /// Flies given up before their end.
    pub given_up: Vec<Happening>,
    /// Long times that were or were not taken for pauses.
    pub pauses: Vec<Pause>,
    /// What became another from a fly on.
    pub changes: Vec<Change>,
    /// What is to be booked out.
    pub out: Vec<Out>,
    /// The sample's lengths that were measured.
    pub lengths: Vec<Measured>,
    /// The revision the sample was agreed as.
    pub agreed: Option<u32>,
    /// Flies for the boxes; none of a sample.
    pub made: Made,
}

/// A share and its bounds.
#[derive(Clone, Copy, Debug)]
pub struct Between {
    /// The share.
    pub share: Fig,
    /// Its lower bound.
    pub low: Fig,
    /// Its upper bound.
    pub high: Fig,
}

/// Times of a fly.
#[derive(Clone, Copy, Debug)]
pub struct FlyTimes {
    /// From so many flies.
    pub timed: Fig,
    /// Mean.
    pub mean: Fig,
    /// The one in the middle.
    pub median: Fig,
    /// The quickest.
    pub least: Fig,
    /// The slowest.
    pub most: Fig,
    /// As expected when the run was begun.
    pub expected: Option<Fig>,
    /// Mean over expected.
    pub against: Option<Fig>,
    /// How many flies must be timed for the mean to be sure within a twentieth.
    pub needed: Option<Fig>,
}

/// The time of a step or a stage.
#[derive(Clone, Debug)]
pub struct Span {
    /// Its number, from 1.
    pub number: usize,
    /// The steps it covers, by number, first and last.
    pub steps: (usize, usize),
    /// What is done; of a stage its first step.
    pub text: Words,
    /// How often it was timed.
    pub timed: usize,
    /// Mean time for a fly.
    pub time: Fig,
    /// As expected.
    pub expected: Option<Fig>,
    /// Longer than expected by so much.
    pub over: Option<Fig>,
}

/// Flies that failed for one reason and ended alike.
#[derive(Clone, Debug)]
pub struct Failed {
    /// Why.
    pub why: Words,
    /// What became of them.
    pub fate: Fate,
    /// How many.
    pub flies: Fig,
}

/// Something that befell a fly.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Happening {
    /// The fly.
    pub fly: u32,
    /// What is known of it: the answer, or what holds without one.
    pub what: Words,
    /// Whether somebody said so.
    pub answered: bool,
}

/// A long time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pause {
    /// The fly it was with.
    pub fly: u32,
    /// Milliseconds beyond what is work in any case.
    pub ms: u64,
    /// Whether it was taken out of the fly's time.
    pub taken_out: bool,
    /// Whether somebody said so.
    pub answered: bool,
}

/// What goes out of the stores.
#[derive(Clone, Debug)]
pub struct Out {
    /// The material.
    pub name: Words,
    /// Its unit.
    pub unit: Words,
    /// By the card.
    pub reckoned: Fig,
    /// What goes out.
    pub amount: Fig,
    /// How that is known; `None` where it is as reckoned.
    pub how: Option<How>,
}

/// A length of the sample.
#[derive(Clone, Debug)]
pub struct Measured {
    /// What it is.
    pub what: Words,
    /// As the card says, mm.
    pub card: Fig,
    /// As it is, mm.
    pub is: Fig,
    /// Whether it passes.
    pub passes: bool,
}

/// Flies a run made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Made {
    /// To be delivered.
    pub good: u32,
    /// Sound, but not like the sample.
    pub seconds: u32,
}

/// Seconds of so many milliseconds, exactly.
pub fn seconds(ms: u64) -> Decimal {
    Decimal::from_i128_with_scale(i128::from(ms), 3).normalize()
}

/// The unit of this name; a plain number where no unit has it.
fn unit(name: &str) -> Unit {
    Unit::ALL.iter().copied().find(|unit| unit.name() == name).unwrap_or(Unit::One)
}

#[cfg(test)]
mod tests;
