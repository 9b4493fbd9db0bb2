//! `herl stock`: what stands on the shelf, and what is done with it. Everything is read and looked at before the ledger is
//! opened for writing; each action is one deed, told with its number, by which it is taken back.

pub mod asked;
pub mod counting;
pub mod deeds;
pub mod exchange;
pub mod look;
pub mod low;
pub mod sheet;
pub mod whole;

use super::opened::{Opened, open};
use super::out::Out;
use super::{Surroundings, Verdict};
use crate::bench::names;
use crate::ledger::{Error, Ledger};
use clap::Subcommand;
use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use serde_json::json;
use std::path::Path;

/// What `herl stock` is asked.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// What to do
    #[command(subcommand)]
    pub act: Act,
}

/// What is done with the stores.
#[derive(Debug, Subcommand)]
pub enum Act {
    /// What there is of everything: on hand, set aside, free
    List(look::List),
    /// Book in goods that came
    Receive(deeds::Receive),
    /// Book out what was used beside the runs, or open a pack of goods kept by eye
    Use(deeds::Use),
    /// Book parts made beforehand: their makings go out, they come in at what the makings cost
    Make(deeds::MakeOf),
    /// Book out what was spoilt, lost or thrown away
    Waste(deeds::Waste),
    /// Tell what is there: books the difference
    Count(counting::CountOf),
    /// Tell what is there by weight: metres of a spool, grams, or pieces by a weighed sample
    Weigh(counting::Weigh),
    /// Put a quantity right by more or less, with a reason
    Correct(deeds::Correct),
    /// What moved: of one thing, or of all, the newest first
    History(look::History),
    /// What is running low, and by which rule
    Low(low::LowOf),
    /// Take back a movement, with all that was booked in the same go
    Undo(deeds::Undo),
    /// A sheet to count by, for printing: a line each to write on
    Sheet(sheet::SheetOf),
    /// Write everything that moved to a CSV file
    Export(exchange::Export),
    /// Read movements in from a CSV file: all of them or none
    Import(exchange::Import),
}

impl Act {
    fn json(&self) -> bool {
        match self {
            Act::List(asked) => asked.json,
            Act::Receive(asked) => asked.json,
            Act::Use(asked) => asked.json,
            Act::Make(asked) => asked.json,
            Act::Waste(asked) => asked.json,
            Act::Count(asked) => asked.json,
            Act::Weigh(asked) => asked.json,
            Act::Correct(asked) => asked.json,
            Act::History(asked) => asked.json,
            Act::Low(asked) => asked.json,
            Act::Undo(asked) => asked.json,
            Act::Sheet(asked) => asked.json,
            Act::Export(asked) => asked.json,
            Act::Import(asked) => asked.json,
        }
    }
}

/// Why a command books or tells nothing.
#[derive(Debug)]
pub(super) struct Fault {
    what: String,
    right: Option<String>,
}

impl Fault {
    pub(super) fn new(what: impl Into<String>, right: impl Into<String>) -> Self {
        Fault { what: what.into(), right: Some(right.into()) }
    }

    pub(super) fn tell(&self, json: bool, out: &mut Out) -> Verdict {
        if json {
            out.json(&json!({ "error": self.what, "right": self.right }));
        } else {
            out.trouble(&format!("error: {}", self.what));
            if let Some(right) = &self.right {
                out.trouble(&format!("right: {right}"));
            }
        }
        Verdict::Findings
    }
}

impl From<Error> for Fault {
    fn from(error: Error) -> Self {
        Fault { what: error.to_string(), right: None }
    }
}

impl From<crate::stores::Refusal> for Fault {
    fn from(refusal: crate::stores::Refusal) -> Self {
        Fault { what: refusal.to_string(), right: None }
    }
}

/// The bench a command works on, and the moment it is called.
pub(super) struct Shop {
    opened: Opened,
    /// Milliseconds of UTC since 1970.
    now: i64,
    today: jiff::civil::Date,
    json: bool,
}

impl Shop {
    pub(super) fn new(opened: Opened, json: bool) -> Self {
        let now = Timestamp::now().as_millisecond();
        Shop { opened, now, today: on_the_wall(now).date(), json }
    }

    /// The ledger for reading; `None` where nothing was booked yet.
    fn reading(&self) -> Result<Option<Ledger>, Fault> {
        Ok(Ledger::open_reading(&self.opened.bench.dir)?)
    }

    /// The ledger for writing. Names that moved in the files move in it first.
    fn writing(&self, out: &mut Out) -> Result<Ledger, Fault> {
        let mut ledger = Ledger::open_for_writing(&self.opened.bench.dir)?;
        self.opened.name_things(&mut ledger, self.now, out)?;
        Ok(ledger)
    }

    /// The same, but no ledger is made where there is none.
    fn writing_there(&self, out: &mut Out) -> Result<Ledger, Fault> {
        match self.reading()? {
            Some(there) => drop(there),
            None => return Err(Fault::new("nothing was booked in at this bench yet", "`herl stock receive` first")),
        }
        self.writing(out)
    }

    fn text(&self, plain: &str) -> String {
        self.opened.bench.shelf.terms.shown.numbers.text(plain).into_owned()
    }
}

/// A moment as the clock on the wall shows it; in UTC where the system tells no zone.
pub(super) fn on_the_wall(ms: i64) -> DateTime {
    let zone = TimeZone::try_system().unwrap_or(TimeZone::UTC);
    Timestamp::from_millisecond(ms).map_or(DateTime::MIN, |at| zone.to_datetime(at))
}

impl Opened {
    /// Brings names that moved in the files (`formerly:`) into the ledger, and says which did.
    pub(super) fn name_things(&self, ledger: &mut Ledger, now: i64, out: &mut Out) -> Result<(), Error> {
        // A file that cannot be read names nothing, and moves nothing.
        for renaming in ledger.name_things(now, &names::names(&self.bench))? {
            let (sort, was, is) = (renaming.sort.name(), renaming.was, renaming.now);
            if renaming.moved {
                out.trouble(&format!("the {sort} \"{was}\" is \"{is}\" from now on; what was booked under the old name goes on with it"));
            } else {
                out.trouble(&format!(
                    "advice: the ledger knows a {sort} \"{is}\" besides \"{was}\"; what was booked under each stays its own, and `formerly` moves nothing"
                ));
            }
        }
        Ok(())
    }
}

pub(super) fn run(args: &Args, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let opened = match open(bench, surroundings, out) {
        Ok(opened) => opened,
        Err(verdict) => return verdict,
    };
    let shop = Shop::new(opened, args.act.json());
    let here = surroundings.folder.as_deref().unwrap_or(Path::new("."));
    let done = match &args.act {
        Act::List(asked) => look::list(&shop, asked, out),
        Act::Receive(asked) => deeds::receive(&shop, asked, out),
        Act::Use(asked) => deeds::use_up(&shop, asked, out),
        Act::Make(asked) => deeds::make(&shop, asked, out),
        Act::Waste(asked) => deeds::waste(&shop, asked, out),
        Act::Count(asked) => counting::count(&shop, asked, out),
        Act::Weigh(asked) => counting::weigh(&shop, asked, out),
        Act::Correct(asked) => deeds::correct(&shop, asked, out),
        Act::History(asked) => look::history(&shop, asked, out),
        Act::Low(asked) => low::low(&shop, asked, out),
        Act::Undo(asked) => deeds::undo(&shop, asked, out),
        Act::Sheet(asked) => sheet::sheet(&shop, asked, out),
        Act::Export(asked) => exchange::export(&shop, asked, here, out),
        Act::Import(asked) => exchange::import(&shop, asked, here, out),
    };
    let verdict = done.unwrap_or_else(|fault| fault.tell(shop.json, out));
    shop.opened.remind(out);
    verdict
}
