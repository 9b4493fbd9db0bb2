//! Steps: what is done to which parts, when, and how long it takes.

use super::Place;
use crate::diagnostic::{At, Told};
use crate::measure::Fraction;
use serde::{Deserialize, Serialize};

/// One step.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Where it was told.
    pub at: At,
    /// Before the vice, at it, or after.
    pub when: When,
    /// What it does.
    pub acts: Vec<Act>,
    /// What to do, in words, with `{part.field}` figures.
    pub text: Option<Told<String>>,
    /// How long it takes.
    pub time: Option<Told<Time>>,
    /// Seconds it dries afterwards, without hands.
    pub dries: Option<Told<f64>>,
}

/// When a step is done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum When {
    /// Before the vice, for the whole run.
    Before,
    /// At the vice.
    #[default]
    AtTheVice,
    /// Off the vice afterwards, for the whole run.
    After,
}

/// An act of a step.
#[derive(Clone, Debug, PartialEq)]
pub enum Act {
    /// Silk laid from one place to another.
    Silk {
        /// How.
        bed: Bed,
        /// From where.
        from: Told<Place>,
        /// To where.
        to: Told<Place>,
    },
    /// Turns of silk at one place.
    SilkTurns {
        /// How many.
        turns: Told<Fraction>,
        /// Where; where the silk hangs if not said.
        at: Option<Told<Place>>,
    },
    /// Parts tied in.
    TieIn(Vec<Told<String>>),
    /// Parts wound.
    Wind(Vec<Told<String>>),
    /// Parts brought over and tied down.
    Fold(Vec<Told<String>>),
    /// Parts raised, divided or split.
    Stand(Vec<Told<String>>),
    /// Parts trimmed.
    Clip(Vec<Told<String>>),
    /// The hook is turned over.
    TurnOver,
    /// Whipped off with so many turns.
    Finish(Told<Fraction>),
    /// A coat of a material.
    Coat(Told<String>),
}

/// How silk is laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bed {
    /// Each turn against the last.
    Touching,
    /// In open turns.
    Open,
    /// In so many turns.
    Turns(Fraction),
}

/// A time: so many seconds for a fly, a dozen or a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Time {
    /// Seconds.
    pub seconds: Fraction,
    /// For what.
    pub per: Per,
}

/// What a time is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Per {
    /// Each fly.
    Fly,
    /// Each dozen.
    Dozen,
    /// Each run.
    Run,
}
