//! What can go wrong with a ledger, told to the dresser: what, where, what would be right, and that nothing is lost.

use super::act::Fault;
use super::{FILE, LOCK, RunId};
use crate::measure::Words;
use crate::stores::Refusal;
use crate::vice::Refused;
use rusqlite::ErrorCode;
use std::fmt;
use std::path::{Path, PathBuf};

/// What went wrong.
#[derive(Debug)]
pub enum Error {
    /// Another program holds the bench.
    InUse {
        /// The bench's lock file.
        path: PathBuf,
    },
    /// The folder or the ledger in it cannot be written, or the ledger was opened for reading.
    ReadingOnly {
        /// The ledger.
        path: PathBuf,
    },
    /// The file is no ledger of this program.
    NotALedger {
        /// The file.
        path: PathBuf,
        /// What it is instead.
        found: String,
    },
    /// It was written by a newer program.
    Newer {
        /// The ledger.
        path: PathBuf,
        /// Its version.
        has: i64,
        /// The newest version known here.
        known: i64,
    },
    /// It is damaged: cut short, overwritten, or holds what cannot be.
    Damaged {
        /// The ledger.
        path: PathBuf,
        /// What was found.
        found: String,
    },
    /// What was booked last stands in a file beside the ledger, and cannot be taken in without writing.
    LeftBeside {
        /// The ledger.
        path: PathBuf,
        /// The file beside it.
        beside: PathBuf,
    },
    /// Another program kept it busy too long.
    Busy {
        /// The ledger.
        path: PathBuf,
    },
    /// The disk is full.
    Full {
        /// The ledger.
        path: PathBuf,
    },
    /// An event of this number is booked already, by another.
    NumberTaken {
        /// The run.
        run: RunId,
        /// The number.
        number: u32,
    },
    /// There is no such run.
    NoRun {
        /// Its number.
        run: RunId,
    },
    /// An event does not fit the run's state.
    Refused {
        /// The run.
        run: RunId,
        /// The event's number.
        number: u32,
        /// Why.
        why: Refused,
    },
    /// A run that cannot be booked.
    Unfit {
        /// What is wrong with it.
        what: String,
    },
    /// Something of the stores that cannot be booked.
    Stores(Refusal),
    /// The file system refuses.
    File {
        /// The file.
        path: PathBuf,
        /// What was being done, as in "opening it".
        doing: &'static str,
        /// What the system said.
        said: std::io::Error,
    },
    /// The database refuses for another reason.
    Database {
        /// The ledger.
        path: PathBuf,
        /// What was being done, as in "opening it".
        doing: &'static str,
        /// What the database said.
        said: String,
    },
}

impl Error {
    /// What ended an action before its end.
    pub(super) fn of_fault(fault: Fault, doing: &'static str, path: &Path) -> Self {
        match fault {
            Fault::Database(fault) => Error::of(&fault, doing, path),
            Fault::Refused(refusal) => Error::Stores(refusal),
            Fault::Damaged(found) => Error::Damaged { path: path.to_owned(), found },
        }
    }

    /// What the database's own error means for a ledger.
    pub(super) fn of(fault: &rusqlite::Error, doing: &'static str, path: &Path) -> Self {
        let path = path.to_owned();
        match fault.sqlite_error_code() {
            Some(ErrorCode::NotADatabase) => Error::NotALedger { path, found: "it is no SQLite database".to_owned() },
            Some(ErrorCode::DatabaseCorrupt) => Error::Damaged { path, found: fault.to_string() },
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Error::Busy { path },
            Some(ErrorCode::DiskFull) => Error::Full { path },
            Some(ErrorCode::ReadOnly) => Error::ReadingOnly { path },
            _ => Error::Database { path, doing, said: fault.to_string() },
        }
    }

    /// What the file system's error means for a ledger.
    pub(super) fn of_file(said: std::io::Error, doing: &'static str, path: &Path) -> Self {
        use std::io::ErrorKind::{PermissionDenied, ReadOnlyFilesystem, StorageFull};
        let path = path.to_owned();
        match said.kind() {
            PermissionDenied | ReadOnlyFilesystem => Error::ReadingOnly { path: path.with_file_name(FILE) },
            StorageFull => Error::Full { path },
            _ => Error::File { path, doing, said },
        }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let shown = |path: &Path| Words::new(&path.to_string_lossy());
        match self {
            Error::InUse { path } => write!(
                f,
                "{}: this bench is in use by another herl, which may have a run in its vice; leave that one first, or look at the bench without tying ({LOCK} itself need not be removed)",
                shown(path)
            ),
            Error::ReadingOnly { path } => {
                write!(
                    f,
                    "{}: reading only, so nothing can be booked; allow writing in the bench's folder, or copy the bench to a folder of your own",
                    shown(path)
                )
            }
            Error::NotALedger { path, found } => write!(
                f,
                "{}: this is not a ledger of herl ({}); it was left as it was; move it elsewhere, and a new ledger is made in its place when something is booked",
                shown(path),
                Words::new(found)
            ),
            Error::Newer { path, has, known } => {
                write!(
                    f,
                    "{}: this ledger is of version {has}, and this herl knows versions up to {known}; it was left as it was; use a newer herl",
                    shown(path)
                )
            }
            Error::Damaged { path, found } => write!(
                f,
                "{}: this ledger is damaged ({}); it was left as it was; put a copy from before in its place, together with its {FILE}-wal if there is one, and keep the damaged one",
                shown(path),
                Words::new(found)
            ),
            Error::LeftBeside { path, beside } => write!(
                f,
                "{}: what was booked last is still in {}, and reading alone cannot take it in; go on with a run here once, or, where the folder cannot be written, copy both files to a folder of your own",
                shown(path),
                shown(beside)
            ),
            Error::Busy { path } => write!(f, "{}: another program kept the ledger busy, so nothing was booked; try once more", shown(path)),
            Error::Full { path } => {
                write!(f, "{}: the disk is full, so nothing was booked; what was booked before is safe; make room and try once more", shown(path))
            }
            Error::NumberTaken { run, number } => {
                write!(f, "run {run}: event {number} was booked by another program in the meantime; nothing was overwritten; open the run again")
            }
            Error::NoRun { run } => write!(f, "there is no run {run} in this ledger"),
            Error::Refused { run, number, why } => write!(f, "run {run}, event {number}: {why}"),
            Error::Unfit { what } => write!(f, "this run cannot be booked: {}", Words::new(what)),
            Error::Stores(refusal @ (Refusal::Exists { .. } | Refusal::Stopped)) => write!(f, "{refusal}; nothing was changed"),
            Error::Stores(refusal) => write!(f, "{refusal}; nothing was booked"),
            Error::File { path, doing, said } => {
                write!(f, "{}: {doing} failed: {}; nothing was booked; a bench belongs on a disk of this machine", shown(path), Words::new(&said.to_string()))
            }
            Error::Database { path, doing, said } => write!(f, "{}: {doing} failed: {}; nothing was booked", shown(path), Words::new(said)),
        }
    }
}

impl std::error::Error for Error {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hostile_path_or_message_does_not_reach_the_terminal_raw() {
        let path = PathBuf::from("bench\u{1b}[2J/ledger.db");
        let all = [
            Error::InUse { path: path.clone() },
            Error::Damaged { path: path.clone(), found: "\u{9b}2J".to_owned() },
            Error::LeftBeside { path: path.clone(), beside: path.clone() },
            Error::File { path, doing: "opening it", said: std::io::Error::other("\u{202e}x") },
        ];
        for error in all {
            let text = error.to_string();
            assert!(!text.contains(|c: char| c.is_control() || c == '\u{202e}'), "{text}");
        }
    }
}
