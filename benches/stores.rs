//! How long the stores take: every balance of a ledger of many years, and one movement until it is on the disk, beside the
//! same insert done bare. Figures and floors stand in DEVELOPERS.md. `cargo bench --bench stores`.
#![allow(clippy::unwrap_used, missing_docs, reason = "a benchmark fails by panicking")]

use herl::ledger::{FILE, Going, Ledger, Out, Receipt, What};
use herl::measure::Unit;
use herl::stores::{Filter, Goods};
use mimalloc::MiMalloc;
use rusqlite::{Connection, params};
use rust_decimal::Decimal;
use std::path::Path;
use std::time::{Duration, Instant};

/// As the program has it.
#[global_allocator]
static MEMORY: MiMalloc = MiMalloc;

const THINGS: i64 = 500;
const MOVEMENTS: i64 = 1_000_000;

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let bench = folder.path();
    let began = Instant::now();
    filled(bench);
    println!("{MOVEMENTS} movements over {THINGS} materials written in {:.1} s, {} MB", began.elapsed().as_secs_f64(), size(bench));

    let ledger = Ledger::open_reading(bench).unwrap().unwrap();
    told("all balances", &times(50, || assert_eq!(ledger.balances().unwrap().len(), usize::try_from(THINGS).unwrap())), Some(50.0));
    let thing = ledger.balances().unwrap()[7].thing;
    told("all things by name", &times(50, || drop(ledger.things().unwrap())), None);
    told("lots of one material", &times(50, || drop(ledger.lots(thing).unwrap())), None);
    told("the last 50 movements", &times(50, || drop(ledger.movements(&Filter { most: Some(50), ..Filter::default() }).unwrap())), None);
    told("a material's last 200, with balances", &times(50, || drop(ledger.history(thing, Some(200)).unwrap())), None);
    let year: Vec<i64> = (0..=12).map(|month| MOVEMENTS * 1000 - (12 - month) * 2_592_000).collect();
    told("use of all, twelve spans", &times(5, || drop(ledger.use_between(&year).unwrap())), None);
    told("verify, all of it", &times(1, || assert!(ledger.verify(&[]).unwrap().sound())), None);
    told("all movements as CSV", &times(1, || assert!(ledger.export(What::Movements, Path::new("x"), std::io::sink(), |_| true).unwrap() > 0)), None);
    told(
        "a copy",
        &times(1, || {
            ledger.backup_to(&bench.join("copy.db"), |_, _| true).unwrap();
        }),
        None,
    );
    drop(ledger);

    durable(bench);

    let rows: String = (0..100_000).map(|nth| format!("feather {},{},feathers,{}\r\n", nth % 500, 1 + nth % 7, nth % 5000)).collect();
    let rows = format!("name,in,unit,lot\r\n{rows}");
    let other = tempfile::tempdir().unwrap();
    let mut ledger = Ledger::open_for_writing(other.path()).unwrap();
    let all = |_: Going| true;
    told("100,000 rows of CSV read in", &times(1, || assert_eq!(ledger.import(0, Path::new("x"), rows.as_bytes(), all).unwrap().rows, 100_000)), None);
}

/// Two lots a material, and movements in turns: in, and three times out.
fn filled(bench: &Path) {
    let mut ledger = Ledger::open_for_writing(bench).unwrap();
    for nth in 0..THINGS {
        for _ in 0..2 {
            ledger.receive(0, &Receipt::of(Goods::material(&format!("material {nth}")), 1000.into(), Unit::G)).unwrap();
        }
    }
    drop(ledger);
    let mut raw = Connection::open(bench.join(FILE)).unwrap();
    let all = raw.transaction().unwrap();
    {
        let mut insert = all.prepare("insert into movement (id, deed, at, thing, lot, quantity, kind) values (?1, ?1, ?2, ?3, ?4, ?5, ?6)").unwrap();
        for id in THINGS * 2 + 1..=MOVEMENTS {
            let (thing, round) = (id * 7919 % THINGS + 1, id / THINGS);
            let (quantity, kind) = if round % 4 == 0 { (3_000_000, "received") } else { (-1_000_000, "used") };
            insert.execute(params![id, id * 1000, thing, (thing - 1) * 2 + 1 + round % 2, quantity, kind]).unwrap();
        }
    }
    all.commit().unwrap();
}

/// One movement until it is on the disk; the same row in a bare table of the same disk and the same settings, in turns,
/// so that whatever else the disk does falls on both.
fn durable(bench: &Path) {
    let bare = tempfile::tempdir_in(bench.parent().unwrap()).unwrap();
    let raw = Connection::open(bare.path().join("bare.db")).unwrap();
    raw.query_row("pragma journal_mode = wal", [], |_| Ok(())).unwrap();
    raw.execute_batch(
        "pragma synchronous = full; create table movement (id integer primary key, at integer, thing integer, lot integer, quantity integer, kind text) strict",
    )
    .unwrap();
    let mut ledger = Ledger::open_for_writing(bench).unwrap();
    let thing = ledger.balances().unwrap()[7].thing;
    let lot = ledger.lots(thing).unwrap()[0].id;
    let out = Out { lot: Some(lot), ..Out::of(thing, Decimal::new(1, 6)) };
    let (mut own, mut plain) = (Vec::new(), Vec::new());
    for _ in 0..2000 {
        plain.push(time(|| {
            raw.prepare_cached("insert into movement (at, thing, lot, quantity, kind) values (?, ?, ?, ?, ?)")
                .unwrap()
                .execute(params![0, thing.0, lot.0, -1, "used"])
                .unwrap();
        }));
        own.push(time(|| drop(ledger.use_up(0, &out).unwrap())));
    }
    told("one insert, bare, on the disk", &plain, None);
    told("one movement, on the disk", &own, None);
    let middle = |all: &[Duration]| sorted(all)[all.len() / 2].as_secs_f64();
    println!("{:<40} {:>9.2} times the bare insert (floor 1.5)", "", middle(&own) / middle(&plain));
}

fn time(one: impl FnOnce()) -> Duration {
    let began = Instant::now();
    one();
    began.elapsed()
}

fn times(often: usize, mut one: impl FnMut()) -> Vec<Duration> {
    (0..often).map(|_| time(&mut one)).collect()
}

fn sorted(all: &[Duration]) -> Vec<Duration> {
    let mut all = all.to_vec();
    all.sort_unstable();
    all
}

fn told(what: &str, all: &[Duration], floor: Option<f64>) {
    let (all, ms) = (sorted(all), |time: Duration| time.as_secs_f64() * 1000.0);
    let floor = floor.map_or_else(String::new, |floor| format!("  (floor {floor} ms)"));
    let worst = all.last().copied().unwrap_or_default();
    println!("{what:<40} {:>9.3} ms in the middle, {:>9.3} ms at worst{floor}", ms(all[all.len() / 2]), ms(worst));
}

fn size(bench: &Path) -> u64 {
    std::fs::metadata(bench.join(FILE)).unwrap().len() / 1_000_000
}
