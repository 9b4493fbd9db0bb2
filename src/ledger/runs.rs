//! Runs and the events of their sittings.

use super::{Access, Error, Ledger, encode};
use crate::measure::Words;
use crate::vice::{Event, Outline, Refused, Sitting};
use rusqlite::{ErrorCode, OptionalExtension, Row, Transaction, TransactionBehavior, params};
use std::fmt;

/// The ledger's own number of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct RunId(pub i64);

impl fmt::Display for RunId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

/// A run to be begun.
#[derive(Clone, Debug, PartialEq)]
pub struct NewRun {
    /// The dressing's name.
    pub dressing: Words,
    /// Its revision.
    pub revision: u32,
    /// The hook size as written.
    pub size: Words,
    /// The variant's name as written.
    pub variant: Option<Words>,
    /// How many flies; at least 1.
    pub flies: u32,
    /// When, in milliseconds of UTC since 1970.
    pub begun_at: i64,
    /// The steps it is tied by, from now to its end.
    pub outline: Outline,
}

/// A run as booked.
#[derive(Clone, Debug, PartialEq)]
pub struct RunRow {
    /// Its number.
    pub id: RunId,
    /// What it was begun with.
    pub begun: NewRun,
    /// When its last fly was done, in milliseconds of UTC since 1970.
    pub done_at: Option<i64>,
    /// When its last event was, in milliseconds of UTC since 1970.
    pub last_at: Option<i64>,
}

const RUN: &str = "select id, dressing, revision, size, variant, flies, begun_at, done_at, frozen,
    (select at from event where run = run.id order by number desc limit 1) from run";

impl Ledger {
    /// Begins a run.
    ///
    /// # Errors
    /// A run without flies, a dressing or a size; a ledger opened for reading; the disk.
    pub fn begin_run(&mut self, run: &NewRun) -> Result<RunId, Error> {
        self.may_write()?;
        let named = |words: &Words| !words.as_str().is_empty();
        if run.flies == 0 {
            return Err(Error::Unfit { what: "it has no flies; one or more would be right".to_owned() });
        }
        if !named(&run.dressing) || !named(&run.size) || run.variant.as_ref().is_some_and(|variant| !named(variant)) {
            return Err(Error::Unfit { what: "it needs the names of its dressing, its size and its variant, if it has one".to_owned() });
        }
        let frozen = encode::frozen(&run.outline).map_err(|what| Error::Unfit { what })?;
        let path = &self.path;
        let fault = |fault: rusqlite::Error| Error::of(&fault, "beginning a run", path);
        let transaction = Transaction::new(&mut self.connection, TransactionBehavior::Immediate).map_err(fault)?;
        let variant = run.variant.as_ref().map(Words::as_str);
        let values = params![run.dressing.as_str(), run.revision, run.size.as_str(), variant, run.flies, run.begun_at, frozen];
        transaction
            .execute("insert into run (dressing, revision, size, variant, flies, begun_at, frozen) values (?, ?, ?, ?, ?, ?, ?)", values)
            .map_err(fault)?;
        let id = RunId(transaction.last_insert_rowid());
        transaction.commit().map_err(fault)?;
        self.sittings.insert(id, Sitting::new(run.outline.clone(), run.flies));
        Ok(id)
    }

    /// Books an event; when this returns, it is on the disk.
    ///
    /// # Errors
    /// An event that does not fit the run's state; a number booked by another in the meantime; a ledger opened for
    /// reading; the disk. Nothing is booked then.
    pub fn append(&mut self, run: RunId, event: &Event) -> Result<(), Error> {
        self.may_write()?;
        // Taken out, and put back only when the event is booked: after any fault the state is made anew from the events.
        let mut sitting = match self.sittings.remove(&run) {
            Some(sitting) => sitting,
            None => self.sitting(run)?,
        };
        let was_done = sitting.run_done();
        if let Err(why) = sitting.take(event) {
            self.sittings.insert(run, sitting);
            return Err(match why {
                Refused::Number { next, has } if u64::from(has) < next => Error::NumberTaken { run, number: has },
                why => Error::Refused { run, number: event.number, why },
            });
        }
        let number = event.number;
        let unfit = |what| Error::Unfit { what };
        let did = encode::did(&event.did).map_err(unfit)?;
        let ran_ms = i64::try_from(event.ran_ms).map_err(|_| unfit(format!("event {number} was {} ms after the sitting began", event.ran_ms)))?;
        let path = &self.path;
        let fault = |fault: rusqlite::Error| Error::of(&fault, "booking an event", path);
        let transaction = Transaction::new(&mut self.connection, TransactionBehavior::Immediate).map_err(fault)?;
        transaction.execute("insert into event (run, number, at, ran_ms, did) values (?, ?, ?, ?, ?)", params![run.0, number, event.at, ran_ms, did]).map_err(
            |told| match told.sqlite_error_code() {
                // The event fits the state known here, so the ledger has moved on.
                Some(ErrorCode::ConstraintViolation) => Error::NumberTaken { run, number },
                _ => fault(told),
            },
        )?;
        if sitting.run_done() != was_done {
            let done_at = sitting.run_done().then_some(event.at);
            transaction.execute("update run set done_at = ? where id = ?", params![done_at, run.0]).map_err(fault)?;
        }
        transaction.commit().map_err(fault)?;
        self.sittings.insert(run, sitting);
        Ok(())
    }

    /// The events of a run, in order.
    ///
    /// # Errors
    /// No such run; an event that cannot be read; the disk.
    pub fn events(&self, run: RunId) -> Result<Vec<Event>, Error> {
        self.run(run)?;
        let fault = |fault: rusqlite::Error| Error::of(&fault, "reading events", &self.path);
        let mut all = self.connection.prepare("select number, at, ran_ms, did from event where run = ? order by number").map_err(fault)?;
        let rows = all.query_map([run.0], |row| Ok((row.get(0)?, row.get(1)?, row.get::<_, i64>(2)?, row.get::<_, String>(3)?))).map_err(fault)?;
        let mut events = Vec::new();
        for row in rows {
            let (number, at, ran_ms, did) = row.map_err(fault)?;
            let did = encode::read_did(&did).map_err(|found| self.damaged(format!("run {run}, event {number}: {found}")))?;
            events.push(Event { number, at, ran_ms: ran_ms.unsigned_abs(), did });
        }
        Ok(events)
    }

    /// A run.
    ///
    /// # Errors
    /// No such run; a run that cannot be read; the disk.
    pub fn run(&self, run: RunId) -> Result<RunRow, Error> {
        let row = self.connection.query_row(&format!("{RUN} where id = ?"), [run.0], columns).optional();
        let row = row.map_err(|fault| Error::of(&fault, "reading a run", &self.path))?;
        self.meant(row.ok_or(Error::NoRun { run })?)
    }

    /// The runs whose last fly is not done, the oldest first.
    ///
    /// # Errors
    /// A run that cannot be read; the disk.
    pub fn open_runs(&self) -> Result<Vec<RunRow>, Error> {
        let fault = |fault: rusqlite::Error| Error::of(&fault, "reading the open runs", &self.path);
        let mut all = self.connection.prepare(&format!("{RUN} where done_at is null order by begun_at, id")).map_err(fault)?;
        let rows: Vec<Columns> = all.query_map([], columns).and_then(Iterator::collect).map_err(fault)?;
        rows.into_iter().map(|row| self.meant(row)).collect()
    }

    /// The state of a run: its events taken from the first.
    ///
    /// # Errors
    /// No such run; a run or an event that cannot be read, or does not follow from those before; the disk.
    pub fn sitting(&self, run: RunId) -> Result<Sitting, Error> {
        let begun = self.run(run)?.begun;
        let events = self.events(run)?;
        Sitting::replay(begun.outline, begun.flies, &events).map_err(|why| self.damaged(format!("run {run}: {why}")))
    }

    fn may_write(&self) -> Result<(), Error> {
        if self.access == Access::Writing { Ok(()) } else { Err(Error::ReadingOnly { path: self.path.clone() }) }
    }

    fn damaged(&self, found: String) -> Error {
        Error::Damaged { path: self.path.clone(), found }
    }

    /// A run's columns as meant.
    fn meant(&self, row: Columns) -> Result<RunRow, Error> {
        let id = RunId(row.id);
        let outline = encode::read_frozen(&row.frozen).map_err(|found| self.damaged(format!("run {id}: {found}")))?;
        let begun = NewRun {
            dressing: Words::from(row.dressing),
            revision: row.revision,
            size: Words::from(row.size),
            variant: row.variant.map(Words::from),
            flies: row.flies,
            begun_at: row.begun_at,
            outline,
        };
        Ok(RunRow { id, begun, done_at: row.done_at, last_at: row.last_at })
    }
}

/// A run as its columns say.
struct Columns {
    id: i64,
    dressing: String,
    revision: u32,
    size: String,
    variant: Option<String>,
    flies: u32,
    begun_at: i64,
    done_at: Option<i64>,
    frozen: String,
    last_at: Option<i64>,
}

fn columns(row: &Row<'_>) -> rusqlite::Result<Columns> {
    Ok(Columns {
        id: row.get(0)?,
        dressing: row.get(1)?,
        revision: row.get(2)?,
        size: row.get(3)?,
        variant: row.get(4)?,
        flies: row.get(5)?,
        begun_at: row.get(6)?,
        done_at: row.get(7)?,
        frozen: row.get(8)?,
        last_at: row.get(9)?,
    })
}
