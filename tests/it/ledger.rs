//! The ledger as a file on a disk: made late, never taken from another program, and true after whatever befalls it.
#![allow(clippy::unwrap_used, reason = "a test's own helpers")]

use herl::ledger::{Access, Error, FILE, LOCK, Ledger, NOT_FOR_GIT, NewRun, RunId};
use herl::measure::Words;
use herl::vice::{Begun, Depth, Did, Event, Outline, Place, Refused, Run, Step};
use rusqlite::Connection;
use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

const NOON: i64 = 1_767_268_800_000;

fn bench() -> TempDir {
    tempfile::tempdir().unwrap()
}

fn files(bench: &Path) -> BTreeSet<String> {
    std::fs::read_dir(bench).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
}

/// A run of an invented dressing: five steps in three stages.
fn new_run(flies: u32) -> NewRun {
    let step = |(card, stage): (usize, usize)| Step { card, stage, text: Words::new("Wind the rib."), seconds: Some(20.0), key: None };
    NewRun {
        dressing: Words::new("Sallow Dun"),
        revision: 2,
        size: Words::new("14"),
        variant: None,
        begun_at: NOON,
        begun: Begun::of_steps(Outline::new([(0, 0), (1, 0), (2, 1), (3, 1), (4, 2)].map(step).to_vec(), None).unwrap(), flies),
        card: None,
        sample: None,
    }
}

/// Books what is done, a second apart; gives the state.
fn go(ledger: &mut Ledger, run: RunId, all: impl IntoIterator<Item = Did>) -> Run {
    let mut state = ledger.state(run).unwrap();
    for did in all {
        let event = next(&state, did);
        ledger.append(run, &event).unwrap();
        state.take(event).unwrap();
    }
    state
}

fn next(state: &Run, did: Did) -> Event {
    let after = u64::from(state.last_number()) * 1000;
    state.event(did, NOON + i64::from(state.last_number()) * 1000, after)
}

const OPENED: Did = Did::Opened { depth: None };

#[test]
fn reading_never_makes_a_file() {
    let bench = bench();
    assert!(Ledger::open_reading(bench.path()).unwrap().is_none());
    assert!(Ledger::open_reading_only(bench.path()).unwrap().is_none());
    assert_eq!(files(bench.path()), BTreeSet::new(), "the folder is as empty as it was");
    assert!(Ledger::open_reading(&bench.path().join("no such folder")).unwrap().is_none());
    // A file that was made and not yet filled is no ledger yet, and is one after the first booking.
    std::fs::write(bench.path().join(FILE), "").unwrap();
    assert!(Ledger::open_reading(bench.path()).unwrap().is_none());
    Ledger::open_for_writing(bench.path()).unwrap().begin_run(&new_run(1)).unwrap();
    assert_eq!(Ledger::open_reading(bench.path()).unwrap().unwrap().open_runs().unwrap().len(), 1);
}

#[test]
fn leaving_and_coming_back_is_at_the_same_place() {
    let bench = bench();
    let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
    let run = ledger.begin_run(&new_run(3)).unwrap();
    let left = go(&mut ledger, run, [OPENED, Did::On, Did::On, Did::Depth { to: Depth::Stage }, Did::On, Did::Back, Did::Closed]);
    ledger.close().unwrap();
    assert_eq!(files(bench.path()), BTreeSet::from([".gitignore".to_owned(), FILE.to_owned(), LOCK.to_owned()]), "nothing stays beside the ledger");

    let ledger = Ledger::open_reading(bench.path()).unwrap().unwrap();
    let open = ledger.open_runs().unwrap();
    assert_eq!(open.iter().map(|run| (run.id, run.begun.clone())).collect::<Vec<_>>(), [(run, new_run(3))]);
    assert_eq!(open[0].last_at, Some(NOON + 6000));
    let again = ledger.state(run).unwrap();
    assert_eq!(again, left);
    assert_eq!((again.place(), again.depth()), (Some(Place::Fly { fly: 1, step: 2 }), Depth::Stage));
    assert_eq!(ledger.events(run).unwrap().len(), 7);
    assert_eq!(ledger.access(), Access::Reading);
}

#[test]
fn a_new_ledger_is_kept_from_git_unless_the_bench_says_itself_what_is() {
    let (new, own) = (bench(), bench());
    std::fs::write(own.path().join(".gitignore"), "*.pdf\n").unwrap();
    for bench in [&new, &own] {
        Ledger::open_for_writing(bench.path()).unwrap();
    }
    let text = std::fs::read_to_string(new.path().join(".gitignore")).unwrap();
    for name in NOT_FOR_GIT {
        assert!(text.lines().any(|line| line == format!("/{name}")), "{text}");
    }
    assert_eq!(std::fs::read_to_string(own.path().join(".gitignore")).unwrap(), "*.pdf\n", "one that is there is never touched");
    std::fs::remove_file(new.path().join(".gitignore")).unwrap();
    Ledger::open_for_writing(new.path()).unwrap();
    assert!(!new.path().join(".gitignore").exists(), "what the dresser took away is not put back");
}

#[test]
fn a_run_is_open_until_its_last_fly_is_done_and_again_when_that_is_taken_back() {
    let bench = bench();
    let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
    let (one, other) = (ledger.begin_run(&new_run(1)).unwrap(), ledger.begin_run(&new_run(1)).unwrap());
    let open = |ledger: &Ledger| ledger.open_runs().unwrap().iter().map(|run| run.id).collect::<Vec<_>>();
    go(&mut ledger, one, [Did::Opened { depth: Some(Depth::Fly) }, Did::On]);
    assert_eq!(open(&ledger), [other]);
    assert_eq!(ledger.run(one).unwrap().done_at, Some(NOON + 1000));
    go(&mut ledger, one, [Did::Back]);
    assert_eq!(open(&ledger), [one, other]);
    go(&mut ledger, one, [Did::On, Did::Closed]);
    assert_eq!(open(&ledger), [other]);
}

#[test]
fn what_does_not_fit_is_not_booked() {
    let bench = bench();
    let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
    let run = ledger.begin_run(&new_run(1)).unwrap();
    let state = go(&mut ledger, run, [OPENED]);
    let refused = ledger.append(run, &next(&state, Did::Back)).unwrap_err();
    assert!(matches!(refused, Error::Refused { why: Refused::AtTheStart, .. }), "{refused}");
    let gap = Event { number: 9, ..next(&state, Did::On) };
    assert!(matches!(ledger.append(run, &gap), Err(Error::Refused { why: Refused::Number { next: 2, has: 9 }, .. })));
    let late = Event { ran_ms: u64::MAX, ..next(&state, Did::On) };
    assert!(matches!(ledger.append(run, &late), Err(Error::Unfit { .. })));
    assert!(matches!(ledger.append(RunId(77), &next(&state, Did::On)), Err(Error::NoRun { run: RunId(77) })));
    assert!(matches!(ledger.begin_run(&new_run(0)), Err(Error::Unfit { .. })));
    assert!(matches!(ledger.begin_run(&NewRun { size: Words::new(""), ..new_run(1) }), Err(Error::Unfit { .. })));
    assert_eq!(ledger.events(run).unwrap().len(), 1);
    go(&mut ledger, run, [Did::On]);
    let mut reading = Ledger::open_reading(bench.path()).unwrap().unwrap();
    assert!(matches!(reading.begin_run(&new_run(1)), Err(Error::ReadingOnly { .. })));
    assert!(matches!(reading.append(run, &next(&state, Did::On)), Err(Error::ReadingOnly { .. })));
}

#[test]
fn a_second_program_is_told_that_the_bench_is_in_use() {
    let bench = bench();
    let ledger = Ledger::open_for_writing(bench.path()).unwrap();
    let told = Ledger::open_for_writing(bench.path()).unwrap_err();
    assert!(matches!(told, Error::InUse { .. }) && told.to_string().contains("in use"), "{told}");
    assert!(Ledger::open_reading(bench.path()).unwrap().is_some(), "looking is still allowed");
    drop(ledger);
    Ledger::open_for_writing(bench.path()).unwrap();
}

#[test]
fn a_second_writer_s_same_number_fails_and_the_first_one_s_event_stands() {
    let bench = bench();
    let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
    let run = ledger.begin_run(&new_run(2)).unwrap();
    let state = go(&mut ledger, run, [OPENED, Did::On]);
    // One that goes round the lock.
    let other = Connection::open(bench.path().join(FILE)).unwrap();
    let insert = "insert into event (run, number, at, ran_ms, did) values (?, ?, 0, 2500, '{\"v\":1,\"did\":\"paused\"}')";
    other.execute(insert, (run.0, 3)).unwrap();
    let taken = ledger.append(run, &next(&state, Did::On)).unwrap_err();
    assert!(matches!(taken, Error::NumberTaken { number: 3, .. }), "{taken}");
    assert_eq!(ledger.events(run).unwrap()[2].did, Did::Paused);
    // The state is made anew from what is booked, and work goes on from there.
    go(&mut ledger, run, [Did::WentOn, Did::On]);
    assert_eq!(ledger.events(run).unwrap().len(), 5);
    // A number left out is refused by the database itself.
    other.execute(insert, (run.0, 9)).unwrap_err();
}

#[test]
fn events_and_runs_are_never_changed_or_deleted() {
    let bench = bench();
    let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
    let run = ledger.begin_run(&new_run(1)).unwrap();
    go(&mut ledger, run, [OPENED, Did::On]);
    let before = ledger.events(run).unwrap();
    let other = Connection::open(bench.path().join(FILE)).unwrap();
    for statement in [
        "update event set ran_ms = 0",
        "delete from event",
        "insert or replace into event values (1, 2, 0, 0, '{}')",
        "delete from run",
        "update run set frozen = '{}'",
        "update run set flies = 99",
        "insert into event values (42, 1, 0, 0, '{}')",
        "insert into event values (1, 3, 0, 'soon', '{}')",
        "insert into event values (1, 3, 0, 0, 'no json')",
    ] {
        assert!(other.execute_batch(statement).is_err(), "{statement}");
    }
    assert_eq!(ledger.events(run).unwrap(), before);
}

/// The file's bytes before, and the error each way of opening gives, the bytes being the same afterwards.
fn refused(bench: &Path) -> (Error, Error) {
    let path = bench.join(FILE);
    let before = std::fs::read(&path).unwrap();
    let errors = (Ledger::open_for_writing(bench).unwrap_err(), Ledger::open_reading(bench).unwrap_err());
    assert_eq!(std::fs::read(&path).unwrap(), before, "the file was left as it was");
    for error in [&errors.0, &errors.1] {
        let text = error.to_string();
        assert!(text.contains(FILE) && text.contains("left as it was"), "{text}");
    }
    errors
}

#[test]
fn a_foreign_file_is_told_and_left_as_it_was() {
    let bench = bench();
    let path = bench.path().join(FILE);
    for bytes in [b"tail: 6 fibres of dun cock\n".repeat(40), b"SQL".iter().copied().chain([0; 3]).collect()] {
        std::fs::write(&path, bytes).unwrap();
        let (writing, reading) = refused(bench.path());
        assert!(matches!((writing, reading), (Error::NotALedger { .. }, Error::NotALedger { .. })));
    }
    std::fs::remove_file(&path).unwrap();
    let other = Connection::open(&path).unwrap();
    other.execute_batch("pragma journal_mode = wal; create table score (points integer); insert into score values (7)").unwrap();
    other.close().unwrap();
    let (writing, reading) = refused(bench.path());
    assert!(matches!((writing, reading), (Error::NotALedger { .. }, Error::NotALedger { .. })));
    assert_eq!(files(bench.path()), BTreeSet::from([FILE.to_owned()]), "not even a lock file");
    let points: i64 = Connection::open(&path).unwrap().query_row("select points from score", [], |row| row.get(0)).unwrap();
    assert_eq!(points, 7);
    std::fs::remove_file(&path).unwrap();
    std::fs::create_dir(&path).unwrap();
    assert!(matches!(Ledger::open_for_writing(bench.path()), Err(Error::NotALedger { .. })));
}

/// A ledger with one run, left in order.
fn written(bench: &Path) -> RunId {
    let mut ledger = Ledger::open_for_writing(bench).unwrap();
    let run = ledger.begin_run(&new_run(40)).unwrap();
    go(&mut ledger, run, std::iter::once(OPENED).chain(std::iter::repeat_n(Did::On, 150)));
    ledger.close().unwrap();
    run
}

#[test]
fn a_newer_ledger_is_told_and_left_as_it_was() {
    let bench = bench();
    written(bench.path());
    let other = Connection::open(bench.path().join(FILE)).unwrap();
    other.pragma_update(None, "user_version", 99).unwrap();
    other.close().unwrap();
    let (writing, reading) = refused(bench.path());
    assert!(matches!((&writing, &reading), (Error::Newer { has: 99, .. }, Error::Newer { has: 99, .. })), "{writing} {reading}");
    assert!(writing.to_string().contains("newer herl"), "{writing}");
}

#[test]
fn a_ledger_cut_short_anywhere_is_told_and_left_as_it_was() {
    let bench = bench();
    written(bench.path());
    let whole = std::fs::read(bench.path().join(FILE)).unwrap();
    assert!(whole.len() > 3 * 4096, "several pages: {}", whole.len());
    for length in [1, 15, 16, 50, 99, 100, 1000, 4095, 4096, 9000, whole.len() - 4096, whole.len() - 1] {
        std::fs::write(bench.path().join(FILE), &whole[..length]).unwrap();
        let (writing, reading) = refused(bench.path());
        assert!(matches!((&writing, &reading), (Error::Damaged { .. }, Error::Damaged { .. })), "{length}: {writing} {reading}");
    }
}

#[test]
fn a_ledger_overwritten_in_its_middle_gives_an_error_and_never_a_panic() {
    let bench = bench();
    let run = written(bench.path());
    let whole = std::fs::read(bench.path().join(FILE)).unwrap();
    for page in 0..whole.len() / 4096 {
        let mut bytes = whole.clone();
        bytes[page * 4096 + 100..(page + 1) * 4096].fill(0xA5);
        std::fs::write(bench.path().join(FILE), &bytes).unwrap();
        let read = || -> Result<_, Error> {
            let ledger = Ledger::open_reading(bench.path())?.unwrap();
            Ok((ledger.open_runs()?, ledger.state(run)?))
        };
        if let Err(error) = read() {
            assert!(matches!(error, Error::Damaged { .. } | Error::NoRun { .. } | Error::Database { .. }), "page {page}: {error}");
        }
        assert_eq!(std::fs::read(bench.path().join(FILE)).unwrap(), bytes, "page {page}");
    }
}

#[test]
fn a_folder_that_cannot_be_written_is_read_and_says_so() {
    let bench = bench();
    let run = written(bench.path());
    std::fs::remove_file(bench.path().join(LOCK)).unwrap();
    let before = files(bench.path());
    let locked = lock_folder(bench.path(), true);
    let ledger = if locked { Ledger::open_reading(bench.path()) } else { Ledger::open_reading_only(bench.path()) };
    let writing = locked.then(|| Ledger::open_for_writing(bench.path()).unwrap_err());
    let events = ledger.as_ref().unwrap().as_ref().unwrap().events(run).unwrap().len();
    lock_folder(bench.path(), false);
    let ledger = ledger.unwrap().unwrap();
    assert_eq!((ledger.access(), events), (Access::ReadingOnly, 151));
    assert!(ledger.notice().unwrap().starts_with("reading only"));
    assert!(writing.is_none_or(|error| matches!(error, Error::ReadingOnly { .. }) && error.to_string().contains("reading only")));
    drop(ledger);
    assert_eq!(files(bench.path()), before, "nothing was put beside it");
}

/// Forbids (or allows) writing in a folder; gives whether it is then forbidden indeed: it is not to an administrator.
fn lock_folder(folder: &Path, locked: bool) -> bool {
    let mut permissions = std::fs::metadata(folder).unwrap().permissions();
    #[cfg(unix)]
    std::os::unix::fs::PermissionsExt::set_mode(&mut permissions, if locked { 0o555 } else { 0o755 });
    #[cfg(not(unix))]
    permissions.set_readonly(locked);
    std::fs::set_permissions(folder, permissions).unwrap();
    let probe = folder.join("probe");
    let forbidden = std::fs::write(&probe, "").is_err();
    let _ = std::fs::remove_file(probe);
    forbidden
}

#[test]
fn events_left_beside_a_ledger_are_never_passed_over() {
    let (here, copy) = (bench(), bench());
    let mut ledger = Ledger::open_for_writing(here.path()).unwrap();
    let run = ledger.begin_run(&new_run(2)).unwrap();
    go(&mut ledger, run, [OPENED, Did::On]);
    // As a copy made while the ledger is in use.
    for file in [FILE, NOT_FOR_GIT[0]] {
        std::fs::copy(here.path().join(file), copy.path().join(file)).unwrap();
    }
    let error = Ledger::open_reading_only(copy.path()).unwrap_err();
    assert!(matches!(error, Error::LeftBeside { .. }) && error.to_string().contains(NOT_FOR_GIT[0]), "{error}");
    assert_eq!(Ledger::open_reading(copy.path()).unwrap().unwrap().events(run).unwrap().len(), 2);
    assert_eq!(Ledger::open_for_writing(copy.path()).unwrap().events(run).unwrap().len(), 2);
}

const WRITES_TO: &str = "HERL_TEST_WRITES_TO";

/// Not a check by itself: the program that the next test starts, and kills. It says each number once it is booked.
#[test]
fn writes_until_it_is_killed() {
    let Some(bench) = std::env::var_os(WRITES_TO).map(PathBuf::from) else { return };
    let mut ledger = Ledger::open_for_writing(&bench).unwrap();
    let run = match ledger.open_runs().unwrap().first() {
        Some(run) => run.id,
        None => ledger.begin_run(&new_run(1_000_000)).unwrap(),
    };
    let mut state = ledger.state(run).unwrap();
    let mut out = std::io::stdout();
    let started = Instant::now();
    let mut did = OPENED;
    while started.elapsed() < Duration::from_secs(20) {
        let event = next(&state, did);
        let number = event.number;
        ledger.append(run, &event).unwrap();
        state.take(event).unwrap();
        writeln!(out, "\nbooked {number}").unwrap();
        out.flush().unwrap();
        did = if number.is_multiple_of(7) { Did::Back } else { Did::On };
    }
}

/// Starts the program that writes to this bench.
fn start(bench: &Path) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "ledger::writes_until_it_is_killed", "--nocapture", "--test-threads=1"])
        .env(WRITES_TO, bench)
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit())
        .spawn()
        .unwrap()
}

/// Numbers from 1 to 40 by a fixed rule: the powers of 7 modulo 41.
fn spread() -> impl Iterator<Item = u64> {
    std::iter::successors(Some(1u64), |number| Some(number * 7 % 41))
}

#[test]
fn a_program_killed_while_it_makes_the_ledger_leaves_nothing_that_stops_the_next() {
    for wait in spread().take(30) {
        let bench = bench();
        let mut program = start(bench.path());
        let deadline = Instant::now() + Duration::from_secs(20);
        while !bench.path().join(FILE).exists() {
            assert!(Instant::now() < deadline, "the program made no ledger");
            std::thread::yield_now();
        }
        std::thread::sleep(Duration::from_micros(wait * 60));
        program.kill().unwrap();
        program.wait().unwrap();
        if let Err(error) = Ledger::open_reading(bench.path()) {
            assert!(matches!(error, Error::LeftBeside { .. }), "after {wait}: {error}");
        }
        let mut ledger = Ledger::open_for_writing(bench.path()).unwrap_or_else(|error| panic!("after {wait}: {error}"));
        let run = ledger.begin_run(&new_run(1)).unwrap();
        go(&mut ledger, run, [OPENED, Did::On]);
    }
}

#[test]
fn no_event_that_was_answered_for_is_lost_to_a_kill() {
    let bench = bench();
    let mut booked = 0;
    for (round, wait) in spread().take(20).enumerate() {
        let mut program = start(bench.path());
        let mut lines = BufReader::new(program.stdout.take().unwrap()).lines();
        let number = |line: &str| line.strip_prefix("booked ").and_then(|number| number.parse::<u32>().ok());
        let first = lines.by_ref().find_map(|line| number(&line.unwrap())).expect("the program booked something");
        assert_eq!(first, booked + 1, "it went on where the last one was killed");
        std::thread::sleep(Duration::from_millis(wait));
        program.kill().unwrap();
        program.wait().unwrap();
        // What was still in the pipe was said before the kill.
        let last = lines.map_while(Result::ok).filter_map(|line| number(&line)).last().unwrap_or(first);
        let ledger = Ledger::open_for_writing(bench.path()).expect("the lock died with the program");
        let run = ledger.open_runs().unwrap()[0].id;
        let events = ledger.events(run).unwrap();
        let there = u32::try_from(events.len()).unwrap();
        assert!(there == last || there == last + 1, "round {round}: {last} answered for, {there} there");
        assert!(events.iter().zip(1..).all(|(event, number)| event.number == number));
        assert_eq!(ledger.state(run).unwrap().last_number(), there);
        assert!(there > booked, "round {round} booked something");
        booked = there;
    }
    let check = Connection::open(bench.path().join(FILE)).unwrap();
    assert_eq!(check.query_row("pragma integrity_check", [], |row| row.get::<_, String>(0)).unwrap(), "ok");
}

/// Ledgers as earlier versions of the program left them, by the version of their tables: begun and left in a terminal
/// with the demo bench. The first stands at its third step of the second fly of three; its second run is done. The second
/// was written by the library: a run booked, one at the vice, a sample, one whose booking was taken back, one of the first
/// form.
fn earlier(version: i64) -> TempDir {
    let bench = bench();
    let kept = crate::support::cases().join("ledger").join(format!("{version}.db"));
    std::fs::copy(&kept, bench.path().join(FILE)).unwrap_or_else(|fault| panic!("a ledger of version {version} is to be kept at {}: {fault}", kept.display()));
    bench
}

fn version(bench: &Path) -> i64 {
    Connection::open(bench.join(FILE)).unwrap().pragma_query_value(None, "user_version", |row| row.get(0)).unwrap()
}

/// Everything a ledger holds, as the database has it.
fn held(bench: &Path) -> Vec<String> {
    let database = Connection::open(bench.join(FILE)).unwrap();
    let mut all = Vec::new();
    for table in [
        "select id || dressing || revision || size || flies || begun_at || coalesce(done_at, '') || frozen from run",
        "select run || '.' || number || ' ' || at || ' ' || ran_ms || did from event",
    ] {
        let mut rows = database.prepare(table).unwrap();
        all.extend(rows.query_map([], |row| row.get::<_, String>(0)).unwrap().map(Result::unwrap));
    }
    all
}

#[test]
fn a_ledger_of_every_earlier_version_is_brought_up_and_nothing_booked_in_it_is_changed() {
    let new = bench();
    written(new.path());
    let newest = version(new.path());
    assert!(newest > 2);
    for from in 1..newest {
        let bench = earlier(from);
        assert_eq!(version(bench.path()), from);
        let before = held(bench.path());
        Ledger::open_for_writing(bench.path()).unwrap().close().unwrap();
        assert_eq!((version(bench.path()), held(bench.path())), (newest, before), "nothing booked is changed by bringing it up");
        let ledger = Ledger::open_reading(bench.path()).unwrap().unwrap();
        assert!(ledger.verify(&[]).unwrap().sound());
        assert!(ledger.all_runs().unwrap().iter().all(|row| ledger.state(row.id).is_ok()));
    }
}

#[test]
fn a_ledger_of_the_first_version_is_gone_on_with() {
    let bench = earlier(1);
    let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
    let [open, done] = [RunId(1), RunId(2)];
    assert_eq!(ledger.open_runs().unwrap().iter().map(|row| row.id).collect::<Vec<_>>(), [open]);
    let state = ledger.state(open).unwrap();
    assert_eq!((state.place(), state.depth(), state.counts().tied), (Some(Place::Fly { fly: 2, step: 2 }), Depth::Step, 1));
    assert_eq!((state.fly_ms(1), state.run_ms()), (17_593 - 1014, 19_415 - 1014), "a pause of a second is left out");
    assert!(ledger.state(done).unwrap().run_done() && ledger.card(done).unwrap().is_none());
    // It goes on where it was, and ends with its last fly: no looking over and no booking were known then.
    go(&mut ledger, open, [OPENED, Did::Depth { to: Depth::Fly }, Did::On, Did::On]);
    assert!(ledger.state(open).unwrap().run_done());
    assert!(ledger.open_runs().unwrap().is_empty());
    assert_eq!(ledger.runs_of(&Words::new("Ashgarth Dun")).unwrap().len(), 2);
    let all = ledger.events(open).unwrap();
    assert_eq!((all.len(), &all[0].did), (20, &Did::Opened { depth: Some(Depth::Step) }));
    assert!(ledger.things().unwrap().is_empty(), "nothing was known of materials and good flies then, and nothing is made up");
    ledger.begin_run(&new_run(1)).unwrap();
}

#[test]
fn a_ledger_of_an_earlier_version_is_read_without_being_changed() {
    for locked in [false, true] {
        let bench = earlier(1);
        let before = std::fs::read(bench.path().join(FILE)).unwrap();
        let ledger = if locked { Ledger::open_reading_only(bench.path()) } else { Ledger::open_reading(bench.path()) };
        let ledger = ledger.unwrap().unwrap();
        let all = ledger.all_runs().unwrap();
        assert_eq!(all.iter().map(|row| ledger.state(row.id).unwrap().counts().tied).collect::<Vec<_>>(), [1, 2]);
        assert!(ledger.card(RunId(1)).unwrap().is_none());
        drop(ledger);
        assert_eq!(std::fs::read(bench.path().join(FILE)).unwrap(), before);
    }
}

#[test]
fn an_event_that_cannot_be_is_told_with_its_run_and_number_and_hides_no_other_run() {
    for (did, said) in [
        (r#"{"v":2,"did":"juggled"}"#, "juggled"),
        (r#"{"v":9,"did":"on"}"#, "version 9"),
        (r#"{"v":0,"did":"on"}"#, "version 0"),
        (r#"{"v":2,"did":"ticked","bad":-1}"#, "-1"),
        (r#"{"v":2,"did":"more","flies":5000000000}"#, "5000000000"),
        (r#"{"v":2,"did":"used","nth":0,"amount":"a lot","how":{"by":"counted"}}"#, "a lot"),
        (r#"{"v":2,"did":"used","nth":0,"amount":"1","how":{"by":"guess"}}"#, "guess"),
        (r#"{"v":2,"did":"turned","to":"resting"}"#, "resting"),
        (r#"{"did":"on"}"#, "missing field `v`"),
        (r#"{"v":2}"#, "did"),
        ("[]", ""),
        ("7", ""),
        ("null", ""),
        (r#""\u001b[2J""#, ""),
        // Sound, but not here.
        (r#"{"v":2,"did":"back"}"#, "first place"),
        (r#"{"v":2,"did":"booked"}"#, "tying"),
        (r#"{"v":2,"did":"took-back","number":99}"#, "last thing done"),
        (r#"{"v":2,"did":"took-up","fly":4294967295}"#, "4294967295"),
        (r#"{"v":2,"did":"more","flies":4294967295}"#, "only"),
    ] {
        let bench = bench();
        let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
        let (bad, good) = (ledger.begin_run(&new_run(2)).unwrap(), ledger.begin_run(&new_run(2)).unwrap());
        for run in [bad, good] {
            go(&mut ledger, run, [OPENED]);
        }
        drop(ledger);
        let other = Connection::open(bench.path().join(FILE)).unwrap();
        other.execute("insert into event (run, number, at, ran_ms, did) values (1, 2, 0, 9, ?)", [did]).unwrap();
        let before = held(bench.path());

        let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
        let told = ledger.state(bad).unwrap_err();
        let text = told.to_string();
        assert!(matches!(told, Error::Damaged { .. }) && text.contains("run 1") && text.contains(said), "{did}: {text}");
        assert!(!text.contains(char::is_control), "{text:?}");
        // Nothing is booked on top of it, and the others go on.
        let on = Event { number: 3, at: NOON, ran_ms: 10, did: Did::On };
        assert!(matches!(ledger.append(bad, &on), Err(Error::Damaged { .. })), "{did}");
        assert_eq!(ledger.run_ids().unwrap(), [bad, good]);
        assert_eq!(held(bench.path()), before, "{did}: everything stands where it stood");
        go(&mut ledger, good, [Did::On]);
    }
}

#[test]
fn a_run_that_cannot_be_read_is_told_and_hides_no_other_run() {
    for (flies, frozen, said) in [
        (2, r#"{"v":2}"#, "begun"),
        (2, r#"{"v":7,"begun":{}}"#, "version 7"),
        (2, r#"{"v":1,"outline":{"v":1,"steps":[],"whole":null}}"#, "no step"),
        (2, r#"{"v":1,"outline":{"v":1,"steps":[{"card":0,"stage":0,"text":"x","seconds":-4.0,"key":null}],"whole":null}}"#, "step 1"),
        (2, "[1, 2]", ""),
    ] {
        let bench = bench();
        let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
        let good = ledger.begin_run(&new_run(2)).unwrap();
        go(&mut ledger, good, [OPENED]);
        let other = Connection::open(bench.path().join(FILE)).unwrap();
        other.execute("insert into run (dressing, revision, size, flies, begun_at, frozen) values ('Sallow Dun', 1, '12', ?, 0, ?)", (flies, frozen)).unwrap();
        let bad = RunId(2);
        let text = ledger.state(bad).unwrap_err().to_string();
        assert!(text.contains("run 2") && text.contains(said) && text.contains("left as it was"), "{frozen}: {text}");
        assert_eq!(ledger.run_ids().unwrap(), [bad, good], "the oldest first");
        go(&mut ledger, good, [Did::On]);
    }
}
