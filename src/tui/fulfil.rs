//! The one impure file beside the loop itself: carries out what the state asks for, against the bench's ledger, and
//! answers with what became of it. An answer comes only when the ledger is safe on the disk.

use super::Desk;
use super::queue::{Agree, Command, Entered, Happened, Seen, ShelfDeed, Whole};
use super::screens::stores::shelf::{Detail, Shelves};
use super::screens::vice::Waiting;
use crate::bench;
use crate::bench::revise::{Measured, revise};
use crate::ledger::{Error, Found, Ledger, NewRun, RunId, RunRow};
use crate::measure::words::fold;
use crate::stores::ThingId;
use crate::vice::times::{self, Earlier};
use crate::vice::{Did, Event, Run};
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
            Command::Agree(agree) => self.agree(*agree),
            Command::LetGo => {
                self.let_go();
                return None;
            }
            Command::Runs => self.runs(),
            Command::Begin(run) => self.begin(*run),
            Command::TakeUp(run) => self.taken_up(run),
            Command::Book(run, event) => self.book(run, event),
            Command::Stores => self.stores(),
            Command::Used(moments) => self.used(&moments),
            Command::StoreOf(thing) => self.store_of(thing),
            Command::Shelf(at, deed) => self.shelf(at, *deed),
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

    /// Begins a run with what was learnt from earlier ones of its dressing.
    fn begin(&mut self, mut run: NewRun) -> Result<Happened, Error> {
        let ledger = self.writing()?;
        // A run that cannot be read teaches nothing, and hides no other.
        let earlier: Vec<(RunRow, Run)> =
            ledger.runs_of(&run.dressing)?.into_iter().filter_map(|row| Some((ledger.state(row.id).ok()?, row))).map(|(state, row)| (row, state)).collect();
        let earlier: Vec<Earlier<'_>> = earlier.iter().map(|(row, run)| Earlier { size: &row.begun.size, variant: row.begun.variant.as_ref(), run }).collect();
        run.begun.own = times::history(&earlier, &run.size, run.variant.as_ref());
        let id = ledger.begin_run(&run)?;
        self.taken_up(id)
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

    fn reading<T>(&self, nothing: T, read: impl FnOnce(&Ledger) -> Result<T, Error>) -> Result<T, Error> {
        match &self.ledger {
            Some(ledger) => read(ledger),
            None => Ledger::open_reading(&self.bench)?.as_ref().map_or(Ok(nothing), read),
        }
    }

    /// What stands on the shelf, read without making a ledger and without its lock.
    fn stores(&self) -> Result<Happened, Error> {
        let shelves = self.reading(Shelves::default(), |ledger| {
            let count = match ledger.open_counts()?.into_iter().next() {
                Some(count) => Some((ledger.count_lines(count.id)?, count)),
                None => None,
            };
            Ok(Shelves {
                things: ledger.things()?,
                balances: ledger.balances()?,
                by_eye: ledger.by_eye()?,
                lots: ledger.lots_in_short()?,
                count: count.map(|(lines, count)| (count, lines)),
                notice: ledger.notice(),
            })
        })?;
        Ok(Happened::Stores(Box::new(shelves)))
    }

    fn used(&self, moments: &[i64]) -> Result<Happened, Error> {
        Ok(Happened::Used(self.reading(Vec::new(), |ledger| ledger.use_between(moments))?))
    }

    fn store_of(&self, thing: ThingId) -> Result<Happened, Error> {
        /// Movements that are shown of a thing; older ones stand in the ledger.
        const MOST: u32 = 200;
        let nothing = Detail { thing, lots: Vec::new(), history: Vec::new() };
        let detail = self.reading(nothing, |ledger| Ok(Detail { thing, lots: ledger.lots(thing)?, history: ledger.history(thing, Some(MOST))? }))?;
        Ok(Happened::StoreOf(Box::new(detail)))
    }

    /// Does a deed of the stores. The ledger is let go again where no run holds it, so that the command line has it.
    fn shelf(&mut self, at: i64, deed: ShelfDeed) -> Result<Happened, Error> {
        let held = self.ledger.is_some();
        let done = self.writing().and_then(|ledger| shelved(ledger, at, deed));
        if !held {
            self.let_go();
        }
        done
    }

    fn read_anew(&self) -> Happened {
        let loaded = bench::load(&self.bench);
        Happened::Read(Whole(Arc::new(Desk::of(loaded.bench, &loaded.findings, None))))
    }

    fn agree(&mut self, agree: Agree) -> Result<Happened, Error> {
        let Agree { run, mut event, measured } = agree;
        let begun = &run.begun;
        let refused = |what: String| Error::Unfit { what };
        if !measured.is_empty() {
            let bench = bench::load(&self.bench).bench;
            let name = fold(begun.dressing.as_str());
            let dressing =
                bench.dressings.get(&name).ok_or_else(|| refused(format!("the dressing {} is not on the bench, or cannot be read", begun.dressing)))?;
            let size = dressing.sizes.iter().find(|size| size.value.text() == begun.size.as_str());
            let size = size.ok_or_else(|| refused(format!("{} is no size of {} any more", begun.size, begun.dressing)))?.value.clone();
            let variant = begun.variant.as_ref().map(|variant| variant.as_str().to_owned());
            let one = |(key, was_mm, is_mm): (String, f64, f64)| Measured { key, size: size.clone(), variant: variant.clone(), was_mm, is_mm };
            let measured: Vec<Measured> = measured.into_iter().map(one).collect();
            let noted = day(event.at);
            // The ledger is open, so the bench is this program's alone; what cannot be written is told, and the sample waits.
            let revised = revise(&bench, dressing, &measured, &noted).map_err(|faults| {
                let told = faults.iter().map(|fault| match &fault.right {
                    Some(right) => format!("{}; right: {right}", fault.what),
                    None => fault.what.clone(),
                });
                refused(told.collect::<Vec<_>>().join("; "))
            })?;
            event.did = Did::Agreed { revision: revised.revision };
        }
        self.book(run.id, event)
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

fn shelved(ledger: &mut Ledger, at: i64, deed: ShelfDeed) -> Result<Happened, Error> {
    match deed {
        ShelfDeed::Receive(receipt) => drop(ledger.receive(at, &receipt)?),
        ShelfDeed::UseUp(out) => drop(ledger.use_up(at, &out)?),
        ShelfDeed::Waste(out) => drop(ledger.waste(at, &out)?),
        ShelfDeed::Make(make) => drop(ledger.make(at, &make)?),
        ShelfDeed::Correct(correction) => drop(ledger.correct(at, &correction)?),
        ShelfDeed::Looked(thing, full, in_use) => drop(ledger.looked(at, thing, full, in_use)?),
        ShelfDeed::OpenPack(thing) => drop(ledger.open_pack(at, thing)?),
        ShelfDeed::Undo(movement, reason) => drop(ledger.undo(at, movement, reason.as_ref())?),
        ShelfDeed::CountLine(entered) => return counted(ledger, at, *entered),
        ShelfDeed::Uncount { id, count, thing, lot } => {
            ledger.count_unline(count, thing, lot)?;
            return Ok(Happened::Uncounted(id));
        }
        ShelfDeed::CountBook(count) => {
            let (_, freed) = ledger.count_book(at, count)?;
            return Ok(Happened::CountOver { booked: true, freed });
        }
        ShelfDeed::CountDrop(count) => {
            ledger.count_drop(at, count)?;
            return Ok(Happened::CountOver { booked: false, freed: Vec::new() });
        }
    }
    Ok(Happened::Shelved)
}

/// Enters a line of a count; the count, and the thing, are made where there are none yet.
fn counted(ledger: &mut Ledger, at: i64, entered: Entered) -> Result<Happened, Error> {
    let thing = match entered.thing {
        Some(thing) => thing,
        None => ledger.thing_for(at, &entered.goods, entered.unit)?,
    };
    let count = match entered.count {
        Some(count) => count,
        None => ledger.count_begin(at, None)?,
    };
    let found = match (entered.found, entered.lot) {
        (Seen::Much(quantity), None) => Found::Whole { thing, quantity },
        (Seen::Much(quantity), Some(lot)) => Found::Lot { lot, quantity },
        (Seen::Eye(full, in_use), _) => Found::ByEye { thing, full, in_use },
    };
    let line = ledger.count_line(at, count, &found, &entered.written, entered.reason.as_ref())?;
    Ok(Happened::Counted { id: entered.id, count, line: Box::new(line) })
}

/// The day of a time, as ISO 8601 writes it; in UTC, for a remark in a file has no zone.
fn day(at: i64) -> String {
    jiff::Timestamp::from_millisecond(at).map(|at| jiff::tz::Offset::UTC.to_datetime(at).date().to_string()).unwrap_or_default()
}
