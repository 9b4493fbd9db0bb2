//! What the program books, in an SQLite file of the bench: `ledger.db`.
//!
//! The only floor that knows the database. Two doors lead in: [`Ledger::open_reading`] never makes a file, and
//! [`Ledger::open_for_writing`] makes the ledger when something is first booked, and holds the bench's lock while
//! it is open. The lock is the operating system's and dies with the program that holds it, so a bench is never
//! left locked. Each action is one transaction, and on the disk before it is answered for.

mod act;
mod backup;
mod counts;
mod deeds;
mod encode;
mod error;
mod exchange;
mod eye;
mod history;
mod lots;
mod migrations;
mod names;
mod open;
mod run_stores;
mod runs;
mod shelf;
mod things;
mod verify;

pub use counts::{Count, CountId, CountLine, Found};
pub use deeds::{Booked, Correction, Make, Out, Receipt, To};
pub use error::Error;
pub use exchange::{Going, Imported, What};
pub use history::Line;
pub use lots::Aside;
pub use names::{Renaming, Stranger};
pub use run_stores::Seen;
pub use runs::{NewRun, RunId, RunRow};
pub use shelf::Brief;
pub use verify::{OutOfStep, Verified};

use crate::vice::Run;
use rusqlite::Connection;
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// The ledger's file within the bench's folder.
pub const FILE: &str = "ledger.db";

/// The file whose lock says that the bench is in use. It stays, empty, when the lock is gone.
pub const LOCK: &str = "ledger.lock";

/// What a new bench's `.gitignore` takes in: files that stand beside the ledger while it is in use.
pub const NOT_FOR_GIT: [&str; 3] = ["ledger.db-wal", "ledger.db-shm", LOCK];

/// How a ledger was opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Access {
    /// For reading and writing; the bench's lock is held.
    Writing,
    /// For reading, perhaps while another program writes.
    Reading,
    /// For reading in a folder that cannot be written: as the file stands, without a lock.
    ReadingOnly,
}

/// An open ledger.
#[derive(Debug)]
pub struct Ledger {
    connection: Connection,
    path: PathBuf,
    access: Access,
    /// Runs written to, so that each new event is tried against the state before it is booked.
    runs: HashMap<RunId, Run>,
    // Dropped last: the lock outlives the connection.
    _lock: Option<open::Lock>,
}

impl Ledger {
    /// Opens the ledger of a bench for writing, and makes it first where there is none.
    ///
    /// # Errors
    /// The bench is in use; its folder cannot be written; the file is no ledger, is damaged, or is of a newer
    /// version: it is then left as it was.
    pub fn open_for_writing(bench: &Path) -> Result<Self, Error> {
        open::for_writing(bench)
    }

    /// Opens the ledger of a bench for reading; `None` where nothing was booked yet. Never makes a ledger.
    ///
    /// # Errors
    /// The file is no ledger, is damaged, or is of a newer version; the ledger was left in the middle of its making.
    pub fn open_reading(bench: &Path) -> Result<Option<Self>, Error> {
        open::reading(bench)
    }

    /// Opens the ledger as it stands in a folder that cannot be written, touching nothing there.
    /// [`Ledger::open_reading`] comes here by itself where it must.
    ///
    /// # Errors
    /// As for reading; and where the last events are still in the file beside the ledger, which cannot be taken in
    /// without writing: an older state is never shown for the present one.
    pub fn open_reading_only(bench: &Path) -> Result<Option<Self>, Error> {
        open::reading_only(bench)
    }

    /// How it was opened.
    pub fn access(&self) -> Access {
        self.access
    }

    /// What the dresser is to be told about how it was opened, if anything.
    pub fn notice(&self) -> Option<&'static str> {
        (self.access == Access::ReadingOnly).then_some("reading only: the bench's folder cannot be written, so nothing is booked")
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Leaves the ledger: what still stands in the file beside it is brought into it.
    ///
    /// # Errors
    /// The disk. What was booked is safe even then; it stays in the file beside the ledger.
    pub fn close(self) -> Result<(), Error> {
        // Named first, so dropped last: the lock outlives the connection here too.
        let Ledger { _lock, connection, path, access, .. } = self;
        if access == Access::Writing {
            let done = connection.query_row("pragma wal_checkpoint(truncate)", [], |_| Ok(()));
            done.map_err(|fault| Error::of(&fault, "bringing the last events into it", &path))?;
        }
        connection.close().map_err(|(_, fault)| Error::of(&fault, "closing it", &path))
    }
}
