//! Opening a ledger: looking at the file before it is touched, the lock, the database's settings.

use super::migrations::{self, APPLICATION, NEWEST};
use super::{Access, Error, FILE, LOCK, Ledger, NOT_FOR_GIT};
use rusqlite::backup::Backup;
use rusqlite::config::DbConfig;
use rusqlite::{Connection, ErrorCode, OpenFlags};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{ErrorKind, Read, Write as _};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How long another program may keep the ledger busy before a booking is given up.
const PATIENCE: Duration = Duration::from_secs(2);

/// What a bench under version control leaves out.
const GIT_IGNORE: &str = ".gitignore";

/// The first bytes of every SQLite file, and where its header says what (SQLite file format, section 1.3).
const MAGIC: &[u8; 16] = b"SQLite format 3\0";
const HEADER: usize = 100;
const PAGE_SIZE: usize = 16;
const CHANGES: usize = 24;
const PAGES: usize = 28;
const USER_VERSION: usize = 60;
const APPLICATION_ID: usize = 68;
const PAGES_VALID_FOR: usize = 92;

pub(super) fn for_writing(bench: &Path) -> Result<Ledger, Error> {
    let path = bench.join(FILE);
    // Looked at before the lock, so that a bench with a foreign file gets no lock file either; and again under it.
    is_there(&path)?;
    let lock = lock(bench)?;
    let made_now = !is_there(&path)?;
    let fault = |doing| {
        let path = path.clone();
        move |fault: rusqlite::Error| Error::of(&fault, doing, &path)
    };
    let mut connection = connect(&path, OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE).map_err(fault("opening it"))?;
    // Until the file is known to be ours, closing it must not write to it either.
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true).map_err(fault("opening it"))?;
    is_ours(&connection, &path)?;
    if left_beside(&path).is_some() {
        // The last program did not leave in order; the database mends itself, but a look is worth it.
        sound(&connection, &path)?;
    }
    if connection.is_readonly(rusqlite::MAIN_DB).map_err(fault("opening it"))? {
        return Err(Error::ReadingOnly { path });
    }
    // The tables are made before the write-ahead log is switched on: the file's own header then says whose it is
    // from the first moment, whatever stands in the log.
    connection.pragma_update(None, "synchronous", "full").map_err(fault("setting it up"))?;
    migrations::bring_up(&mut connection).map_err(fault("making its tables"))?;
    connection.query_row("pragma journal_mode = wal", [], |_| Ok(())).map_err(fault("setting it up"))?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false).map_err(fault("setting it up"))?;
    if made_now {
        keep_from_git(bench);
    }
    Ok(Ledger { connection, path, access: Access::Writing, runs: HashMap::new(), _lock: Some(lock) })
}

/// Writes the `.gitignore` of a bench that has none of its own; one that is there is never touched. The ledger is as
/// good without it, so that it cannot be written is no fault.
fn keep_from_git(bench: &Path) {
    if let Ok(mut file) = OpenOptions::new().write(true).create_new(true).open(bench.join(GIT_IGNORE)) {
        let lines: String = NOT_FOR_GIT.iter().map(|name| format!("/{name}\n")).collect();
        drop(file.write_all(format!("# What herl keeps beside its ledger while it is at work.\n{lines}").as_bytes()));
    }
}

pub(super) fn reading(bench: &Path) -> Result<Option<Ledger>, Error> {
    let path = bench.join(FILE);
    if !is_there(&path)? {
        return Ok(None);
    }
    let connection = connect(&path, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(|fault| Error::of(&fault, "opening it", &path))?;
    match migrations::version(&connection) {
        // A write-ahead log needs files beside the ledger even to read; where they cannot be made, it is read as it stands.
        // A journal left by a program that was cut off is not taken in by reading either; that is told there.
        Err(fault) if matches!(fault.sqlite_error_code(), Some(ErrorCode::CannotOpen | ErrorCode::ReadOnly)) => return reading_only(bench),
        _ => is_ours(&connection, &path)?,
    }
    let connection = as_of_now(connection, &path)?;
    Ok(Some(Ledger { connection, path, access: Access::Reading, runs: HashMap::new(), _lock: None }))
}

pub(super) fn reading_only(bench: &Path) -> Result<Option<Ledger>, Error> {
    let path = bench.join(FILE);
    if !is_there(&path)? {
        return Ok(None);
    }
    if let Some(beside) = left_beside(&path) {
        return Err(Error::LeftBeside { path, beside });
    }
    let whole = std::path::absolute(&path).map_err(|said| Error::of_file(said, "opening it", &path))?;
    let connection = connect(Path::new(&immutable(&whole)), OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI)
        .map_err(|fault| Error::of(&fault, "opening it", &path))?;
    is_ours(&connection, &path)?;
    let connection = as_of_now(connection, &path)?;
    Ok(Some(Ledger { connection, path, access: Access::ReadingOnly, runs: HashMap::new(), _lock: None }))
}

/// The ledger with tables of the newest version. One of an earlier version is not changed by looking at it: what is read
/// is then a copy in memory, brought up.
fn as_of_now(connection: Connection, path: &Path) -> Result<Connection, Error> {
    let fault = |fault: rusqlite::Error| Error::of(&fault, "opening it", path);
    if migrations::version(&connection).map_err(fault)? >= NEWEST {
        return Ok(connection);
    }
    let copied = || -> rusqlite::Result<Connection> {
        let mut copy = Connection::open_in_memory()?;
        Backup::new(&connection, &mut copy)?.run_to_completion(1000, Duration::from_millis(1), None)?;
        migrations::bring_up(&mut copy)?;
        Ok(copy)
    };
    copied().map_err(fault)
}

/// A `file:` address that opens without any lock and without files beside it.
fn immutable(path: &Path) -> String {
    let mut address = "file://".to_owned();
    if !path.has_root() || cfg!(windows) {
        address.push('/');
    }
    for byte in path.as_os_str().as_encoded_bytes() {
        match byte {
            b'\\' if cfg!(windows) => address.push('/'),
            b'/' | b':' | b'-' | b'_' | b'.' | b'0'..=b'9' | b'a'..=b'z' | b'A'..=b'Z' => address.push(char::from(*byte)),
            // Writing to a text does not fail.
            other => drop(write!(address, "%{other:02X}")),
        }
    }
    address.push_str("?immutable=1");
    address
}

fn connect(path: &Path, flags: OpenFlags) -> rusqlite::Result<Connection> {
    let connection = Connection::open_with_flags(path, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    connection.busy_timeout(PATIENCE)?;
    // The file may come from elsewhere: nothing in it is run that could reach beyond it, or write past the tables.
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    // Without it, replacing a row would go round the trigger that forbids deleting.
    connection.pragma_update(None, "recursive_triggers", true)?;
    Ok(connection)
}

/// The bench's lock; it goes with this, and however the program ends.
#[derive(Debug)]
pub(super) struct Lock(File);

impl Drop for Lock {
    fn drop(&mut self) {
        // Closing the file is not enough while a program that is just being started (an editor) still shares it.
        // Where unlocking fails, closing remains.
        let _ = self.0.unlock();
    }
}

/// Takes the bench's lock.
fn lock(bench: &Path) -> Result<Lock, Error> {
    let path = bench.join(LOCK);
    let file =
        OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&path).map_err(|said| Error::of_file(said, "opening the lock", &path))?;
    match file.try_lock() {
        Ok(()) => Ok(Lock(file)),
        Err(TryLockError::WouldBlock) => Err(Error::InUse { path }),
        Err(TryLockError::Error(said)) => Err(Error::of_file(said, "locking", &path)),
    }
}

/// The file beside the ledger in which the database keeps what is not in the ledger yet: its write-ahead log, or, while
/// the ledger is being made, its rollback journal. `None` where neither stands there, or only empty.
fn left_beside(path: &Path) -> Option<PathBuf> {
    let beside = ["-wal", "-journal"].map(|ending| path.with_file_name(format!("{FILE}{ending}")));
    beside.into_iter().find(|beside| std::fs::metadata(beside).is_ok_and(|about| about.len() > 0))
}

/// Looks at the file's first bytes without the database: whether a ledger is there (an empty file is none yet).
fn is_there(path: &Path) -> Result<bool, Error> {
    let refuse = |said| Error::of_file(said, "looking at it", path);
    let foreign = |found: &str| Error::NotALedger { path: path.to_owned(), found: found.to_owned() };
    let about = match std::fs::metadata(path) {
        Ok(about) => about,
        Err(said) if said.kind() == ErrorKind::NotFound => return Ok(false),
        Err(said) => return Err(refuse(said)),
    };
    if !about.is_file() {
        return Err(foreign("it is no file"));
    }
    if about.len() == 0 {
        return Ok(false);
    }
    let mut header = Vec::with_capacity(HEADER);
    File::open(path).and_then(|file| file.take(HEADER as u64).read_to_end(&mut header)).map_err(refuse)?;
    let magic = header.get(..MAGIC.len()).unwrap_or(&header);
    if !MAGIC.starts_with(magic) {
        return Err(foreign("it is no SQLite database"));
    }
    let (Some(changes), Some(pages), Some(version), Some(application), Some(valid_for)) =
        (word(&header, CHANGES), word(&header, PAGES), word(&header, USER_VERSION), word(&header, APPLICATION_ID), word(&header, PAGES_VALID_FOR))
    else {
        return Err(Error::Damaged { path: path.to_owned(), found: format!("it is cut short at {} bytes", about.len()) });
    };
    whose(path, i64::from(application.cast_signed()), i64::from(version.cast_signed()))?;
    let size = match (header.get(PAGE_SIZE), header.get(PAGE_SIZE + 1)) {
        (Some(0), Some(1)) => 65_536,
        (Some(high), Some(low)) => u64::from(*high) << 8 | u64::from(*low),
        _ => 0,
    };
    let whole = size.saturating_mul(u64::from(pages));
    // With a log or a journal beside it the file may be shorter than its header says; the database then mends it.
    if changes == valid_for && about.len() < whole && left_beside(path).is_none() {
        return Err(Error::Damaged { path: path.to_owned(), found: format!("it is cut short: {} of {whole} bytes", about.len()) });
    }
    Ok(true)
}

/// Four bytes of the header, the highest first.
fn word(header: &[u8], at: usize) -> Option<u32> {
    header.get(at..at + 4).and_then(|bytes| bytes.try_into().ok()).map(u32::from_be_bytes)
}

/// Refuses a file that another program made, or a newer version of this one.
fn whose(path: &Path, application: i64, version: i64) -> Result<(), Error> {
    let path = path.to_owned();
    if application != i64::from(APPLICATION) {
        return Err(Error::NotALedger { path, found: "it is a database of another program".to_owned() });
    }
    if version > NEWEST {
        return Err(Error::Newer { path, has: version, known: NEWEST });
    }
    if version < 0 { Err(Error::Damaged { path, found: format!("its version is {version}") }) } else { Ok(()) }
}

/// The same by the database, which also sees what stands in the log; a file that is still empty is nobody's.
fn is_ours(connection: &Connection, path: &Path) -> Result<(), Error> {
    let ask = |sql: &str| connection.query_row(sql, [], |row| row.get::<_, i64>(0)).map_err(|fault| Error::of(&fault, "opening it", path));
    let (application, version, tables) = (ask("pragma application_id")?, ask("pragma user_version")?, ask("select count(*) from sqlite_schema")?);
    if (application, version, tables) == (0, 0, 0) { Ok(()) } else { whose(path, application, version) }
}

/// The database's own quick look through the whole file.
fn sound(connection: &Connection, path: &Path) -> Result<(), Error> {
    let found: String = connection.query_row("pragma quick_check(1)", [], |row| row.get(0)).map_err(|fault| Error::of(&fault, "checking it", path))?;
    if found == "ok" { Ok(()) } else { Err(Error::Damaged { path: path.to_owned(), found }) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(unix)]
    #[test]
    fn an_address_hides_nothing_of_the_path_from_the_database() {
        assert_eq!(immutable(Path::new("/a b/c?d#e%41/ledger.db")), "file:///a%20b/c%3Fd%23e%2541/ledger.db?immutable=1");
    }

    #[test]
    fn events_are_on_the_disk_before_they_are_answered_for() {
        let bench = tempfile::tempdir().unwrap();
        let ledger = for_writing(bench.path()).unwrap();
        let ask = |pragma: &str| ledger.connection.pragma_query_value(None, pragma, |row| row.get::<_, rusqlite::types::Value>(0)).unwrap();
        assert_eq!(ask("journal_mode"), "wal".to_owned().into());
        // SQLite: 2 is FULL.
        assert_eq!(ask("synchronous"), 2.into());
        assert_eq!((ask("foreign_keys"), ask("recursive_triggers"), ask("busy_timeout")), (1.into(), 1.into(), 2000.into()));
        assert_eq!(ask("application_id"), i64::from(APPLICATION).into());
    }
}
