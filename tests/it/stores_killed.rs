//! The stores under whatever befalls them: programs killed in the middle of writing, two that write at once, a ledger that
//! is held by another, cut short, or cannot be written.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test's own helpers")]

use crate::stores::{NOON, open};
use herl::ledger::{Error, FILE, Found, Ledger, Make, Out, Receipt};
use herl::measure::{Unit, Words};
use herl::stores::{Filter, Goods, Kind, Movement, MovementId, ThingId};
use rusqlite::Connection;
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

const WORKS_AT: &str = "HERL_TEST_WORKS_AT";
const TAKES_TURNS_AT: &str = "HERL_TEST_TAKES_TURNS_AT";
const SEED: &str = "HERL_KILL_SEED";

fn receipt(name: &str, quantity: i64) -> Receipt {
    Receipt::of(Goods::material(name), quantity.into(), Unit::G)
}

fn say(text: &str) {
    let mut out = std::io::stdout();
    writeln!(out, "\n{text}").unwrap();
    out.flush().unwrap();
}

/// Not a check by itself: the program that is started, and killed. It says each deed once it is booked, with its movements.
#[test]
fn works_until_it_is_killed() {
    let Some(bench) = std::env::var_os(WORKS_AT).map(PathBuf::from) else { return };
    let mut ledger = open(&bench);
    let said = |deed: MovementId, movements: &[Movement]| say(&format!("booked {deed} {}", movements.len()));
    let floss = ledger.receive(NOON, &receipt("floss", 1000)).unwrap();
    said(floss.deed, &floss.movements);
    let flank = ledger.receive(NOON, &receipt("flank", 1000)).unwrap();
    said(flank.deed, &flank.movements);
    let floss_first = floss.deed.0;
    let (floss, flank) = (floss.movements[0].thing, flank.movements[0].thing);
    let order = Words::new("Lodge trial box");
    let started = Instant::now();
    let mut used: Option<MovementId> = None;
    // Each program begins with another kind of deed, so that every kind is cut off.
    for step in floss_first.. {
        if started.elapsed() > Duration::from_secs(20) {
            return;
        }
        let booked = match step % 6 {
            0 => ledger.receive(NOON, &receipt("floss", 7)).unwrap(),
            1 => {
                let makings = vec![Out::of(floss, Decimal::ONE), Out::of(flank, Decimal::ONE)];
                let booked = ledger.make(NOON, &Make { makings, made: receipt("wings", 2), lost: 0.into() }).unwrap();
                assert_eq!(booked.movements.len(), 3);
                booked
            }
            2 => {
                let booked = ledger.use_up(NOON, &Out::of(floss, Decimal::new(25, 1))).unwrap();
                used = Some(booked.deed);
                booked
            }
            3 => {
                ledger.set_aside(NOON, &order, floss, None, Decimal::new(1, 3), None).unwrap();
                say(&format!("aside {}", aside(&ledger)));
                continue;
            }
            4 => {
                let count = ledger.count_begin(NOON, None).unwrap();
                let there = ledger.balances().unwrap().iter().find(|balance| balance.thing == flank).unwrap().on_hand;
                let found = Found::Whole { thing: flank, quantity: there };
                ledger.count_line(NOON, count, &found, &Words::new("as thought"), None).unwrap();
                ledger.count_book(NOON, count).unwrap().0.unwrap()
            }
            _ => match used.take() {
                Some(used) => ledger.undo(NOON, used, None).unwrap(),
                None => ledger.waste(NOON, &Out::of(floss, Decimal::ONE)).unwrap(),
            },
        };
        said(booked.deed, &booked.movements);
    }
}

fn aside(ledger: &Ledger) -> Decimal {
    ledger.aside(None).unwrap().iter().map(|aside| aside.quantity).sum()
}

fn start(test: &str, variable: &str, bench: &Path) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", test, "--nocapture", "--test-threads=1"])
        .env(variable, bench)
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit())
        .spawn()
        .unwrap()
}

/// What a killed program had said.
struct Said {
    booked: Vec<(MovementId, usize)>,
    aside: Decimal,
}

fn killed(bench: &Path, after: Duration) -> Said {
    let mut program = start("stores_killed::works_until_it_is_killed", WORKS_AT, bench);
    let mut lines = BufReader::new(program.stdout.take().unwrap()).lines();
    let mut said = Said { booked: Vec::new(), aside: Decimal::ZERO };
    let mut hear = |line: &str| {
        let words: Vec<&str> = line.split(' ').collect();
        match words.as_slice() {
            ["booked", deed, movements] => said.booked.push((MovementId(deed.parse().unwrap()), movements.parse().unwrap())),
            ["aside", quantity] => said.aside = quantity.parse().unwrap(),
            _ => return false,
        }
        true
    };
    lines.by_ref().map_while(Result::ok).find(|line| hear(line)).expect("the program booked something");
    std::thread::sleep(after);
    program.kill().unwrap();
    program.wait().unwrap();
    // What was still in the pipe was said before the kill.
    for line in lines.map_while(Result::ok) {
        hear(&line);
    }
    said
}

/// Kills a program at work so many times; what it had said must be there, and nothing half done.
fn kills(times: u32, mut seed: u64) {
    let mut random = move || {
        // Knuth's constants for 64 bits (The Art of Computer Programming, volume 2, 3.3.4); the high bits are the good ones.
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        seed >> 33
    };
    let (mut bench, mut heard) = (tempfile::tempdir().unwrap(), 0);
    for round in 0..times {
        if round % 40 == 39 {
            bench = tempfile::tempdir().unwrap();
        }
        let said = killed(bench.path(), Duration::from_micros(random() % 60_000));
        let ledger = open(bench.path());
        let verified = ledger.verify(&[]).unwrap();
        assert!(verified.sound(), "round {round}: {verified:?}");
        let mut deeds: BTreeMap<MovementId, Vec<Movement>> = BTreeMap::new();
        for movement in ledger.movements(&Filter::default()).unwrap() {
            deeds.entry(movement.deed).or_default().push(movement);
        }
        for (deed, movements) in &said.booked {
            assert_eq!(deeds.get(deed).map(Vec::len), Some(*movements), "round {round}: deed {deed} was answered for");
        }
        let last = said.booked.last().unwrap().0;
        let beyond = deeds.range((std::ops::Bound::Excluded(last), std::ops::Bound::Unbounded)).count();
        assert!(beyond <= 1, "round {round}: {beyond} deeds that were not answered for");
        for (deed, movements) in &deeds {
            let whole = if movements[0].kind == Kind::Made { 3 } else { 1 };
            assert_eq!(movements.len(), whole, "round {round}: deed {deed} is whole");
        }
        let there = aside(&ledger);
        assert!(there >= said.aside, "round {round}: {there} aside, {} answered for", said.aside);
        heard += said.booked.len();
    }
    println!("{times} kills, {heard} deeds answered for, none lost and none half done");
}

#[test]
fn no_deed_that_was_answered_for_is_lost_to_a_kill_and_none_is_half_done() {
    kills(20, 7);
}

#[test]
#[ignore = "some minutes; the command stands in DEVELOPERS.md"]
fn a_thousand_kills() {
    let seed = std::env::var(SEED).ok().and_then(|seed| seed.parse().ok()).unwrap_or_else(|| u64::from(std::process::id()));
    println!("{SEED}={seed}");
    kills(1000, seed);
}

/// Not a check by itself: one of two programs that write in turns, as often as each is let in.
#[test]
fn takes_turns() {
    let Some(bench) = std::env::var_os(TAKES_TURNS_AT).map(PathBuf::from) else { return };
    for _ in 0..25 {
        let mut ledger = loop {
            match Ledger::open_for_writing(&bench) {
                Ok(ledger) => break ledger,
                Err(Error::InUse { .. }) => std::thread::sleep(Duration::from_millis(1)),
                Err(other) => panic!("{other}"),
            }
        };
        let booked = ledger.receive(NOON, &receipt("floss", 1)).unwrap();
        say(&format!("booked {}", booked.deed));
        ledger.close().unwrap();
    }
}

#[test]
fn two_programs_that_write_at_once_lose_nothing() {
    let bench = tempfile::tempdir().unwrap();
    let programs = [(); 2].map(|()| start("stores_killed::takes_turns", TAKES_TURNS_AT, bench.path()));
    let mut said: Vec<i64> = Vec::new();
    for mut program in programs {
        let lines = BufReader::new(program.stdout.take().unwrap()).lines().map_while(Result::ok);
        said.extend(lines.filter_map(|line| line.strip_prefix("booked ").and_then(|deed| deed.parse::<i64>().ok())));
        assert!(program.wait().unwrap().success());
    }
    said.sort_unstable();
    assert_eq!(said, (1..=50).collect::<Vec<_>>(), "each has its own number");
    let ledger = open(bench.path());
    assert!(ledger.verify(&[]).unwrap().sound());
    assert_eq!(ledger.balances().unwrap()[0].on_hand, 50.into());
}

#[test]
fn one_that_goes_round_the_lock_leaves_no_balance_out_of_step() {
    let bench = tempfile::tempdir().unwrap();
    let mut ledger = open(bench.path());
    let thing = ledger.receive(NOON, &receipt("floss", 1)).unwrap().movements[0].thing;
    let path = bench.path().join(FILE);
    let other = std::thread::spawn(move || {
        let other = Connection::open(path).unwrap();
        other.busy_timeout(Duration::from_secs(20)).unwrap();
        for _ in 0..100 {
            let one = "begin immediate; insert into movement (id, deed, at, thing, quantity, kind)
                select max(id) + 1, max(id) + 1, 0, 1, 1000000, 'received' from movement; commit";
            other.execute_batch(one).unwrap();
        }
    });
    for _ in 0..100 {
        ledger.receive(NOON, &receipt("floss", 1)).unwrap();
    }
    other.join().unwrap();
    let verified = ledger.verify(&[]).unwrap();
    assert!(verified.sound() && verified.movements == 201, "{verified:?}");
    assert_eq!((ledger.balances().unwrap()[0].thing, ledger.balances().unwrap()[0].on_hand), (thing, 201.into()));
}

#[test]
fn a_ledger_held_by_another_or_opened_for_reading_is_told_and_left_as_it_was() {
    let bench = tempfile::tempdir().unwrap();
    let mut ledger = open(bench.path());
    let thing = ledger.receive(NOON, &receipt("floss", 1)).unwrap().movements[0].thing;
    let before = ledger.movements(&Filter::default()).unwrap();
    let other = Connection::open(bench.path().join(FILE)).unwrap();
    other.execute_batch("begin immediate").unwrap();
    let told = ledger.receive(NOON, &receipt("floss", 1)).unwrap_err();
    assert!(matches!(told, Error::Busy { .. }) && told.to_string().contains("nothing was booked"), "{told}");
    other.execute_batch("rollback").unwrap();
    assert_eq!(ledger.movements(&Filter::default()).unwrap(), before);
    ledger.receive(NOON, &receipt("floss", 1)).unwrap();

    let mut reading = Ledger::open_reading(bench.path()).unwrap().unwrap();
    let all: [Result<(), Error>; 6] = [
        reading.receive(NOON, &receipt("floss", 1)).map(drop),
        reading.use_up(NOON, &Out::of(thing, 1.into())).map(drop),
        reading.undo(NOON, before[0].id, None).map(drop),
        reading.set_aside(NOON, &Words::new("box"), thing, None, 1.into(), None).map(drop),
        reading.count_begin(NOON, None).map(drop),
        reading.import(NOON, Path::new("x.csv"), b"name,in\r\nfloss,1\r\n".as_slice(), |_| true).map(drop),
    ];
    for told in all {
        assert!(matches!(told, Err(Error::ReadingOnly { .. })), "{told:?}");
    }
    assert_eq!(reading.movements(&Filter::default()).unwrap().len(), 2);
}

#[test]
fn stores_cut_short_are_told_and_left_as_they_were() {
    let bench = tempfile::tempdir().unwrap();
    let mut ledger = open(bench.path());
    for _ in 0..200 {
        ledger.receive(NOON, &receipt("floss", 1)).unwrap();
    }
    ledger.close().unwrap();
    let path = bench.path().join(FILE);
    let whole = std::fs::read(&path).unwrap();
    let all = Ledger::open_reading(bench.path()).unwrap().unwrap().movements(&Filter::default()).unwrap();
    for length in [5000, whole.len() / 2, whole.len() - 1] {
        std::fs::write(&path, &whole[..length]).unwrap();
        for told in [Ledger::open_for_writing(bench.path()).unwrap_err(), Ledger::open_reading(bench.path()).unwrap_err()] {
            assert!(matches!(told, Error::Damaged { .. }) && told.to_string().contains("left as it was"), "{told}");
        }
        assert_eq!(std::fs::read(&path).unwrap(), whole[..length]);
    }
    // Overwritten in its middle: what can be read is read, what cannot is told, and nothing panics.
    for page in 1..whole.len() / 4096 {
        let mut bytes = whole.clone();
        bytes[page * 4096 + 8..(page + 1) * 4096].fill(0xA5);
        std::fs::write(&path, &bytes).unwrap();
        let Ok(Some(ledger)) = Ledger::open_reading(bench.path()) else { continue };
        let _ = (ledger.balances(), ledger.things(), ledger.lots(ThingId(1)), ledger.movements(&Filter::default()), ledger.by_eye(), ledger.aside(None));
        // A page of an empty table holds nothing to lose.
        let seen = ledger.verify(&[]).map_or(true, |verified| !verified.sound());
        assert!(seen || ledger.movements(&Filter::default()).unwrap() == all, "page {page}: what is harmed is seen");
    }
}
