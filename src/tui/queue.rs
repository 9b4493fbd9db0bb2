//! What goes through the program's one queue, and what the state answers with.

use super::Desk;
use super::keys::Key;
use super::screens::stores::shelf::{Detail, Shelves};
use super::screens::vice::Waiting;
use crate::ledger::{Aside, Correction, CountId, CountLine, Make, NewRun, Out, Receipt, RunId, RunRow};
use crate::measure::{Unit, Words};
use crate::stores::{Goods, InUse, LotId, MovementId, ThingId};
use crate::vice::{Event, Run};
use rust_decimal::Decimal;
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
    /// A run was begun or taken up again: with the card it was begun with, as it was kept.
    TakenUp(Box<RunRow>, Box<Run>, Option<String>),
    /// The first screen stands.
    Shown,
    /// An event is booked, safe on the disk.
    Booked(RunId, Event),
    /// What stands on the shelf, as asked for.
    Stores(Box<Shelves>),
    /// What was used of each thing between the moments asked for.
    Used(Vec<(ThingId, Vec<Decimal>)>),
    /// What is known of one thing.
    StoreOf(Box<Detail>),
    /// Something is booked in the stores.
    Shelved,
    /// A line of a count is entered; `id`: what the screen knows it by.
    Counted {
        /// What the screen knows it by.
        id: String,
        /// The count.
        count: CountId,
        /// The line.
        line: Box<CountLine>,
    },
    /// A line was taken out of the count again.
    Uncounted(String),
    /// A count is booked, with what orders have no longer set aside; or dropped.
    CountOver {
        /// It was booked, else dropped.
        booked: bool,
        /// What orders lost.
        freed: Vec<Aside>,
    },
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
    /// Seconds the clocks of this place are ahead of UTC now, east of Greenwich; `None` where nobody can tell.
    pub offset_s: Option<i32>,
}

impl Now {
    /// What the clock on the wall shows at a time not far from now, `21:10`; where it is not known how that goes,
    /// `20:10 UTC`. A time beyond a change to summer time or back is told by the clock as it goes now.
    pub fn clock(&self, utc_ms: i64) -> String {
        let minutes = (i128::from(utc_ms) + i128::from(self.offset_s.unwrap_or(0)) * 1000).div_euclid(60_000).rem_euclid(24 * 60);
        let utc = if self.offset_s.is_none() { " UTC" } else { "" };
        format!("{:02}:{:02}{utc}", minutes / 60, minutes % 60)
    }
}

impl Now {
    /// The day by the clock on the wall; `None` for a time beyond all calendars.
    pub fn day(&self) -> Option<jiff::civil::Date> {
        let local = self.utc_ms.checked_add(i64::from(self.offset_s.unwrap_or(0)) * 1000)?;
        let at = jiff::Timestamp::from_millisecond(local).ok()?;
        Some(jiff::tz::Offset::UTC.to_datetime(at).date())
    }
}

/// A sample to be agreed.
#[derive(Clone, Debug, PartialEq)]
pub struct Agree {
    /// The sample.
    pub run: RunRow,
    /// That it is agreed; with the revision it is expected to be.
    pub event: Event,
    /// Lengths that differ: key, what the card said and what it is, mm.
    pub measured: Vec<(String, f64, f64)>,
}

/// What is to be done in the stores: one deed, booked at once or not at all.
#[derive(Clone, Debug, PartialEq)]
pub enum ShelfDeed {
    /// Goods come in.
    Receive(Receipt),
    /// Used up beside the runs.
    UseUp(Out),
    /// Spoilt or thrown out.
    Waste(Out),
    /// Parts made beforehand.
    Make(Make),
    /// A figure put right.
    Correct(Correction),
    /// What the eye saw: full packs, and the one in use.
    Looked(ThingId, u32, Option<InUse>),
    /// The next full pack is opened.
    OpenPack(ThingId),
    /// A movement is taken back, with all that was booked with it.
    Undo(MovementId, Option<Words>),
    /// A line of a count.
    CountLine(Box<Entered>),
    /// A line is taken out of a count again.
    Uncount {
        /// What the screen knows it by.
        id: String,
        /// The count.
        count: CountId,
        /// Of what.
        thing: ThingId,
        /// Of which lot.
        lot: Option<LotId>,
    },
    /// A count is booked.
    CountBook(CountId),
    /// A count is dropped.
    CountDrop(CountId),
}

/// A line of a count as it was entered.
#[derive(Clone, Debug, PartialEq)]
pub struct Entered {
    /// What the screen knows it by.
    pub id: String,
    /// The count; a new one is begun where `None`.
    pub count: Option<CountId>,
    /// The thing, where the ledger knows it.
    pub thing: Option<ThingId>,
    /// Of a lot alone.
    pub lot: Option<LotId>,
    /// What it is, for a thing the ledger does not know yet.
    pub goods: Goods,
    /// Its unit.
    pub unit: Unit,
    /// How much was found, or full packs and the one in use.
    pub found: Seen,
    /// As it was typed.
    pub written: Words,
    /// A reason for what is over or short.
    pub reason: Option<Words>,
}

/// What was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// So much.
    Much(Decimal),
    /// By eye.
    Eye(u32, Option<InUse>),
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
    /// Read the bench anew.
    Reread,
    /// Write what of a sample differs as a new revision of its dressing, and book that it is agreed.
    Agree(Box<Agree>),
    /// Read what stands on the shelf.
    Stores,
    /// Read what was used of each thing between these moments, ms of UTC, which grow.
    Used(Vec<i64>),
    /// Read what is known of one thing.
    StoreOf(ThingId),
    /// Do something in the stores, at this time, ms of UTC.
    Shelf(i64, Box<ShelfDeed>),
    /// Ring the terminal's bell once, where the dresser wants a bell.
    Ring,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_on_the_wall_goes_by_its_place() {
        // 2026-03-01 20:10:59.999 UTC.
        let at = 1_772_395_859_999;
        let clock = |offset_s| Now { offset_s, ..Now::default() }.clock(at);
        assert_eq!(clock(None), "20:10 UTC");
        assert_eq!([0, 3600, 20_700, 14_400, -43_200].map(|offset| clock(Some(offset))), ["20:10", "21:10", "01:55", "00:10", "08:10"]);
        for far in [i64::MIN, i64::MAX, -1] {
            assert_eq!(Now { offset_s: Some(i32::MIN), ..Now::default() }.clock(far).len(), 5);
        }
        assert_eq!(Now::default().clock(-1), "23:59 UTC", "the minute before 1970");
    }
}
