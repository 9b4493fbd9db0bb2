//! A copy of the ledger, of one moment, made while it may be in use.

use super::{Error, Ledger};
use crate::measure::Words;
use crate::stores::Refusal;
use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};
use std::path::Path;
use std::time::Duration;

/// Pages copied in one step (a page is 4 kB), and how long to wait where another program writes.
const PAGES: i32 = 2000;
const WAIT: Duration = Duration::from_millis(20);
const TRIES: u32 = 500;

impl Ledger {
    /// Writes a copy of the whole ledger to a new file: as it stood at one moment, sound by the database's own look, and
    /// on the disk when this returns. A file that is there is never written over. `progress` is told how many of how many
    /// pages are copied, and stops it by giving `false`.
    ///
    /// # Errors
    /// The file is there already; stopped; the disk. Nothing is left of the copy then.
    pub fn backup_to(&self, to: &Path, mut progress: impl FnMut(u64, u64) -> bool) -> Result<(), Error> {
        let shown = || Words::new(&to.to_string_lossy());
        if to.symlink_metadata().is_ok() {
            return Err(Error::Stores(Refusal::Exists { file: shown() }));
        }
        let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let refuse = |said: std::io::Error| Error::File { path: to.to_owned(), doing: "writing the copy", said };
        // Beside its place, and given its name only when it is whole.
        let file = tempfile::Builder::new().prefix(".ledger-copy-").tempfile_in(folder).map_err(refuse)?;
        let fault = |fault: rusqlite::Error| Error::of(&fault, "writing the copy", to);
        let mut copy = Connection::open(file.path()).map_err(fault)?;
        {
            let backup = Backup::new(&self.connection, &mut copy).map_err(fault)?;
            let mut tries = 0;
            loop {
                let step = backup.step(PAGES).map_err(fault)?;
                let at = backup.progress();
                let all = u64::from(at.pagecount.unsigned_abs());
                if !progress(all.saturating_sub(u64::from(at.remaining.unsigned_abs())), all) {
                    return Err(Error::Stores(Refusal::Stopped));
                }
                match step {
                    StepResult::Done => break,
                    StepResult::More => tries = 0,
                    _ if tries >= TRIES => return Err(Error::Busy { path: self.path.clone() }),
                    _ => {
                        tries += 1;
                        std::thread::sleep(WAIT);
                    }
                }
            }
        }
        // One file that stands by itself: no write-ahead log belongs to it.
        copy.query_row("pragma journal_mode = delete", [], |_| Ok(())).map_err(fault)?;
        let said: String = copy.query_row("pragma integrity_check(1)", [], |row| row.get(0)).map_err(fault)?;
        if said != "ok" {
            return Err(Error::Damaged { path: self.path.clone(), found: said });
        }
        copy.close().map_err(|(_, closing)| fault(closing))?;
        file.as_file().sync_all().map_err(refuse)?;
        let kept = file.persist_noclobber(to).map_err(|told| {
            if told.error.kind() == std::io::ErrorKind::AlreadyExists { Error::Stores(Refusal::Exists { file: shown() }) } else { refuse(told.error) }
        })?;
        kept.sync_all().map_err(refuse)
    }
}
