//! The one impure file beside the loop itself: carries out what the state asks for, against the bench's ledger, and
//! answers with what became of it. An answer comes only when the ledger is safe on the disk.

use super::Desk;
use super::queue::{Command, Happened, Whole};
use super::screens::vice::Waiting;
use crate::bench;
use crate::ledger::{Error, Ledger, RunId};
use crate::vice::{Did, Event};
use std::path::PathBuf;
use std::sync::Arc;

/// Carries commands out on one bench.
pub struct Fulfil {
    bench: PathBuf,
    /// Open for writing from the first booking until the sitting is closed; the bench's lock is held so long.
    ledger: Option<Ledger>,
}

impl Fulfil {
    /// For the bench in this folder; nothing is opened yet.
    pub fn new(bench: PathBuf) -> Self {
        Fulfil { bench, ledger: None }
    }

    /// Does what is asked; gives what came of it, for [`App::update`](super::app::App::update). Leaving and
    /// the bell are the loop's own.
    pub fn carry_out(&mut self, command: Command) -> Option<Happened> {
        let done = match command {
            Command::Leave | Command::Ring => return None,
            Command::Reread => return Some(self.read_anew()),
            Command::LetGo => {
                self.let_go();
                return None;
            }
            Command::Runs => self.runs(),
            Command::Begin(run) => self.writing().and_then(|ledger| ledger.begin_run(&run)).and_then(|id| self.taken_up(id)),
            Command::TakeUp(run) => self.taken_up(run),
            Command::Book(run, event) => self.book(run, event),
        };
        Some(done.unwrap_or_else(|error| {
            let stale = matches!(error, Error::NumberTaken { .. } | Error::NoRun { .. } | Error::Damaged { .. });
            Happened::Failed { what: error.to_string(), stale }
        }))
    }

    /// The runs that are open, read without making a ledger and without its lock.
    fn runs(&self) -> Result<Happened, Error> {
        let read = |ledger: &Ledger| -> Result<Happened, Error> {
            let rows = ledger.open_runs()?;
            // A run that cannot be read hides no other.
            let waiting = rows.into_iter().map(|row| Waiting { state: ledger.state(row.id).map_err(|error| error.to_string()), row }).collect();
            Ok(Happened::Runs(waiting, ledger.notice()))
        };
        match &self.ledger {
            Some(ledger) => read(ledger),
            None => Ledger::open_reading(&self.bench)?.as_ref().map_or_else(|| Ok(Happened::Runs(Vec::new(), None)), read),
        }
    }

    fn taken_up(&mut self, run: RunId) -> Result<Happened, Error> {
        let ledger = self.writing()?;
        Ok(Happened::TakenUp(Box::new(ledger.run(run)?), Box::new(ledger.state(run)?), ledger.card(run)?))
    }

    fn book(&mut self, run: RunId, event: Event) -> Result<Happened, Error> {
        self.writing()?.append(run, &event)?;
        if event.did == Did::Closed {
            self.let_go();
        }
        Ok(Happened::Booked(run, event))
    }

    fn read_anew(&self) -> Happened {
        let loaded = bench::load(&self.bench);
        Happened::Read(Whole(Arc::new(Desk::of(loaded.bench, &loaded.findings, None))))
    }

    fn let_go(&mut self) {
        // What was booked is safe whether or not it can be brought into the ledger's own file just now.
        drop(self.ledger.take().map(Ledger::close));
    }

    fn writing(&mut self) -> Result<&mut Ledger, Error> {
        let ledger = match self.ledger.take() {
            Some(ledger) => ledger,
            None => Ledger::open_for_writing(&self.bench)?,
        };
        Ok(self.ledger.insert(ledger))
    }
}
