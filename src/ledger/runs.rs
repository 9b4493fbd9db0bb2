//! Runs and the events of their sittings.

use super::{Error, Ledger, encode, run_stores};
use crate::measure::Words;
use crate::vice::{Begun, Event, Kind, Refused, Run};
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
    /// When, in milliseconds of UTC since 1970.
    pub begun_at: i64,
    /// What it is begun with, to its end.
    pub begun: Begun,
    /// The worked card as it is tied, as JSON; `None` for runs of the first form.
    pub card: Option<String>,
    /// The sample it follows.
    pub sample: Option<RunId>,
}

/// A run as booked. Its card is asked for by itself ([`Ledger::card`]).
#[derive(Clone, Debug, PartialEq)]
pub struct RunRow {
    /// Its number.
    pub id: RunId,
    /// What it was begun with.
    pub begun: NewRun,
    /// When nothing of it was left to be done, in milliseconds of UTC since 1970.
    pub done_at: Option<i64>,
    /// When its last event was, in milliseconds of UTC since 1970.
    pub last_at: Option<i64>,
}

const RUN: &str = "select id, dressing, revision, size, variant, flies, begun_at, done_at, frozen,
    (select at from event where run = run.id order by number desc limit 1), sample from run";

impl Ledger {
    /// Begins a run.
    ///
    /// # Errors
    /// A run without flies, a dressing or a size; a ledger opened for reading; the disk.
    pub fn begin_run(&mut self, run: &NewRun) -> Result<RunId, Error> {
        self.may_write()?;
        let named = |words: &Words| !words.as_str().is_empty();
        run.begun.sound().map_err(|unfit| Error::Unfit { what: unfit.to_string() })?;
        if !named(&run.dressing) || !named(&run.size) || run.variant.as_ref().is_some_and(|variant| !named(variant)) {
            return Err(Error::Unfit { what: "it needs the names of its dressing, its size and its variant, if it has one".to_owned() });
        }
        let frozen = encode::frozen(&run.begun).map_err(|what| Error::Unfit { what })?;
        let path = &self.path;
        let fault = |fault: rusqlite::Error| Error::of(&fault, "beginning a run", path);
        let transaction = Transaction::new(&mut self.connection, TransactionBehavior::Immediate).map_err(fault)?;
        let variant = run.variant.as_ref().map(Words::as_str);
        let kind = if run.begun.kind == Kind::Sample { "sample" } else { "counted" };
        let sample = run.sample.map(|sample| sample.0);
        let values = params![run.dressing.as_str(), run.revision, run.size.as_str(), variant, run.begun.flies, run.begun_at, frozen, kind, sample, run.card];
        transaction
            .execute(
                "insert into run (dressing, revision, size, variant, flies, begun_at, frozen, kind, sample, card) values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                values,
            )
            .map_err(fault)?;
        let id = RunId(transaction.last_insert_rowid());
        transaction.commit().map_err(fault)?;
        self.runs.insert(id, Run::new(run.begun.clone()));
        Ok(id)
    }

    /// Books an event; when this returns, it is on the disk. With the event that books a run go its movements: what it
    /// took out of the stores, and the flies it made into them; with the one that takes that back they are reversed.
    ///
    /// # Errors
    /// An event that does not fit the run's state; a number booked by another in the meantime; a ledger opened for
    /// reading; the disk; a booking taken back of which flies have left the stores since. Nothing is booked then.
    pub fn append(&mut self, run: RunId, event: &Event) -> Result<(), Error> {
        self.may_write()?;
        // Taken out, and put back only when the event is booked: after any fault the state is made anew from the events.
        let mut state = match self.runs.remove(&run) {
            Some(state) => state,
            None => self.state(run)?,
        };
        let (was_done, was_booked) = (state.run_done(), run_stores::is_booked(&state));
        if let Err(why) = state.take(event.clone()) {
            self.runs.insert(run, state);
            return Err(match why {
                Refused::Number { next, has } if u64::from(has) < next => Error::NumberTaken { run, number: has },
                why => Error::Refused { run, number: event.number, why },
            });
        }
        let number = event.number;
        let unfit = |what| Error::Unfit { what };
        let did = encode::did(&event.did).map_err(unfit)?;
        let ran_ms = i64::try_from(event.ran_ms).map_err(|_| unfit(format!("event {number} was {} ms after the sitting began", event.ran_ms)))?;
        // Read before the transaction; what a run was begun with is never changed.
        let begun = if run_stores::is_booked(&state) != was_booked { Some(self.run(run)?) } else { None };
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
        if state.run_done() != was_done {
            let done_at = state.run_done().then_some(event.at);
            transaction.execute("update run set done_at = ? where id = ?", params![done_at, run.0]).map_err(fault)?;
        }
        let is_booked = run_stores::is_booked(&state);
        if is_booked != was_booked {
            let moved = match &begun {
                Some(row) if is_booked => run_stores::book(&transaction, event.at, run, &row.begun, &state, false),
                _ => run_stores::unbook(&transaction, event.at, run),
            };
            moved.map_err(|fault| Error::of_fault(fault, "booking a run's materials and flies", path))?;
        }
        transaction.commit().map_err(fault)?;
        self.runs.insert(run, state);
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

    /// The runs of which something is left to do, the oldest first.
    ///
    /// # Errors
    /// A run that cannot be read; the disk.
    pub fn open_runs(&self) -> Result<Vec<RunRow>, Error> {
        self.rows("where done_at is null order by begun_at, id", &[])
    }

    /// Every run, the oldest first.
    ///
    /// # Errors
    /// A run that cannot be read; the disk.
    pub fn all_runs(&self) -> Result<Vec<RunRow>, Error> {
        self.rows("order by begun_at, id", &[])
    }

    /// The number of every run, the oldest first: where one run cannot be read, the others still can.
    ///
    /// # Errors
    /// The disk.
    pub fn run_ids(&self) -> Result<Vec<RunId>, Error> {
        let fault = |fault: rusqlite::Error| Error::of(&fault, "reading runs", &self.path);
        let mut all = self.connection.prepare("select id from run order by begun_at, id").map_err(fault)?;
        let ids = all.query_map([], |row| row.get(0).map(RunId)).map_err(fault)?;
        ids.collect::<Result<_, _>>().map_err(fault)
    }

    /// The runs of a dressing whose flies count, the newest first, as many as are worth learning from.
    ///
    /// # Errors
    /// A run that cannot be read; the disk.
    pub fn runs_of(&self, dressing: &Words) -> Result<Vec<RunRow>, Error> {
        const MOST: i64 = 40;
        self.rows("where dressing = ? and kind = 'counted' order by begun_at desc, id desc limit ?", &[&dressing.as_str(), &MOST])
    }

    fn rows(&self, which: &str, values: &[&dyn rusqlite::ToSql]) -> Result<Vec<RunRow>, Error> {
        let fault = |fault: rusqlite::Error| Error::of(&fault, "reading runs", &self.path);
        let mut all = self.connection.prepare(&format!("{RUN} {which}")).map_err(fault)?;
        let rows: Vec<Columns> = all.query_map(values, columns).and_then(Iterator::collect).map_err(fault)?;
        rows.into_iter().map(|row| self.meant(row)).collect()
    }

    /// The card of a run as it was tied, as JSON; `None` where none was kept.
    ///
    /// # Errors
    /// No such run; the disk.
    pub fn card(&self, run: RunId) -> Result<Option<String>, Error> {
        let card = self.connection.query_row("select card from run where id = ?", [run.0], |row| row.get(0)).optional();
        card.map_err(|fault| Error::of(&fault, "reading a card", &self.path))?.ok_or(Error::NoRun { run })
    }

    /// The state of a run: its events taken from the first.
    ///
    /// # Errors
    /// No such run; a run or an event that cannot be read, or does not follow from those before; the disk.
    pub fn state(&self, run: RunId) -> Result<Run, Error> {
        let begun = self.run(run)?.begun.begun;
        let events = self.events(run)?;
        Run::replay(begun, events).map_err(|why| self.damaged(format!("run {run}: {why}")))
    }

    fn damaged(&self, found: String) -> Error {
        Error::Damaged { path: self.path.clone(), found }
    }

    /// A run's columns as meant.
    fn meant(&self, row: Columns) -> Result<RunRow, Error> {
        let id = RunId(row.id);
        let begun = encode::read_frozen(&row.frozen, row.flies).map_err(|found| self.damaged(format!("run {id}: {found}")))?;
        let begun = NewRun {
            dressing: Words::from(row.dressing),
            revision: row.revision,
            size: Words::from(row.size),
            variant: row.variant.map(Words::from),
            begun_at: row.begun_at,
            begun,
            card: None,
            sample: row.sample.map(RunId),
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
    sample: Option<i64>,
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
        sample: row.get(10)?,
    })
}
