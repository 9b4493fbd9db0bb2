//! What goes through the program's one queue, and what the state answers with.

use super::Desk;
use super::keys::Key;
use super::screens::vice::Waiting;
use crate::ledger::{NewRun, RunId, RunRow};
use crate::vice::{Event, Run};
use std::sync::Arc;

/// What happens to the program; all of it comes through one queue.
#[derive(Clone, Debug, PartialEq)]
pub enum Happened {
    /// A key was pressed.
    Pressed(Key),
    /// A text was pasted.
    Pasted(String),
    /// The window has another size: columns, rows.
    Resized(u16, u16),
    /// The terminal has gone, or the system asks the program to end.
    HungUp,
    /// A time that is shown has moved on.
    Due,
    /// The whole bench has been read.
    Read(Whole),
    /// The open runs, as asked for, and what is to be told of how they were read.
    Runs(Vec<Waiting>, Option<&'static str>),
    /// A run was begun or taken up again.
    TakenUp(Box<RunRow>, Box<Run>),
    /// An event is booked, safe on the disk.
    Booked(RunId, Event),
    /// What was asked for was not done.
    Failed {
        /// What is wrong, and what would be right.
        what: String,
        /// What is known of the run in the vice is not true any more.
        stale: bool,
    },
}

/// A bench read to its end.
#[derive(Clone, Debug)]
pub struct Whole(pub Arc<Desk>);

impl PartialEq for Whole {
    /// Two are the same when they are one and the same.
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

/// The time, read by whoever runs the program and handed in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Now {
    /// Milliseconds of UTC since 1970.
    pub utc_ms: i64,
    /// Milliseconds of a clock that is never set.
    pub steady_ms: u64,
}

/// What is to be done outside the state.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// Leave the program.
    Leave,
    /// Read the open runs.
    Runs,
    /// Begin a run.
    Begin(Box<NewRun>),
    /// Take a run up again.
    TakeUp(RunId),
    /// Book an event of a run.
    Book(RunId, Event),
    /// Let the ledger go, for another program to have it.
    LetGo,
}
