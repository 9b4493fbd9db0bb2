//! `herl run`: the real program over a ledger that was written by events, as the vice writes it.

use crate::support::good_bench;
use herl::ledger::{FILE, Ledger, NewRun, RunId};
use herl::measure::Words;
use herl::vice::{Bad, Begun, Depth, Did, Fate, Finish, Habits, How, Item, Kind, Length, Material, Of, Outline, Step};
use rusqlite::Connection;
use serde_json::Value;
use std::path::Path;
use std::process::{Command, Output};

/// 2026-01-01 12:00 UTC (20,454 days after 1970-01-01).
const NOON: i64 = 1_767_268_800_000;

fn herl(bench: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_herl")).arg("--bench").arg(bench).args(arguments).env_clear().env("HOME", bench).output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn trouble(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn json(bench: &Path, arguments: &[&str]) -> Value {
    let told = herl(bench, arguments);
    assert_eq!(told.status.code(), Some(0), "{}", trouble(&told));
    serde_json::from_str(&out(&told)).unwrap()
}

fn material(name: &str, unit: &str, a_fly: &str) -> Material {
    Material { name: Words::new(name), unit: Words::new(unit), a_fly: a_fly.parse().unwrap(), hook: false, comes_back: false, grams: None }
}

fn begun(kind: Kind, flies: u32) -> Begun {
    let step = |(nth, stage, text): (usize, usize, &str)| Step { card: nth, stage, text: Words::new(text), seconds: Some(60.0), key: None };
    let steps = [(0, 0, "Tie in the tail."), (1, 0, "Wind the body."), (2, 1, "Wind the hackle.")].map(step).to_vec();
    Begun {
        kind,
        layout: vec![Item { of: Of::Hooks, text: Words::new("Count out the hooks."), seconds: Some(60.0), key: None }],
        finishing: vec![Finish { card: 3, text: Words::new("One coat."), seconds: Some(10.0), dries_ms: Some(3_600_000), what: Words::new("varnish") }],
        lengths: vec![Length { key: "tail.length".to_owned(), what: Words::new("tail"), mm: 8.9, within: (8.4, 9.4) }],
        materials: vec![Material { hook: true, comes_back: true, ..material("hook fine dry 14", "", "1") }, material("gold wire", "m", "0.05")],
        habits: Some(Habits::default()),
        whole: true,
        ..Begun::of_steps(Outline::new(steps, None).unwrap(), flies)
    }
}

fn begin(ledger: &mut Ledger, dressing: &str, begun: Begun) -> RunId {
    let run = NewRun {
        dressing: Words::new(dressing),
        revision: 3,
        size: Words::new("14"),
        variant: Some(Words::new("dark")),
        begun_at: NOON,
        begun,
        card: None,
        sample: None,
    };
    ledger.begin_run(&run).unwrap()
}

/// Books what is done, each so many seconds after the last.
fn go(ledger: &mut Ledger, run: RunId, all: impl IntoIterator<Item = (Did, u64)>) {
    let mut state = ledger.state(run).unwrap();
    let mut ran = state.events().last().map_or(0, |event| event.ran_ms);
    for (did, after) in all {
        ran = if matches!(did, Did::Opened { .. }) { 0 } else { ran + after * 1000 };
        let event = state.event(did, NOON + ran as i64, ran);
        ledger.append(run, &event).unwrap();
        state.take(event).unwrap();
    }
}

const OPENED: Did = Did::Opened { depth: None };

/// A bench with three runs: a sample agreed, four flies through every part, and one in the middle of its tying.
fn written() -> tempfile::TempDir {
    let bench = good_bench();
    let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
    let sample = begin(&mut ledger, "Sallow Dun", begun(Kind::Sample, 1));
    go(&mut ledger, sample, [(OPENED, 0), (Did::On, 30), (Did::On, 70), (Did::On, 80), (Did::On, 60)]);
    go(&mut ledger, sample, [(Did::Measured { nth: 0, um: Some(9600) }, 20), (Did::Agreed { revision: 4 }, 10), (Did::Closed, 0)]);
    let run = begin(&mut ledger, "Sallow Dun", begun(Kind::Counted, 4));
    go(&mut ledger, run, [(OPENED, 0), (Did::Ticked { bad: 1 }, 90), (Did::On, 55), (Did::On, 100), (Did::On, 45)]);
    go(&mut ledger, run, [(Did::On, 60), (Did::Mishap, 20), (Did::On, 50), (Did::On, 70), (Did::On, 50), (Did::Depth { to: Depth::Fly }, 0)]);
    go(&mut ledger, run, [(Did::On, 190), (Did::Paused, 10), (Did::WentOn, 600), (Did::GaveUp, 20), (Did::On, 170), (Did::On, 40)]);
    let bad = vec![Bad { why: Words::new("hackle"), fate: Fate::Second, flies: 1 }];
    go(&mut ledger, run, [(Did::LookedOver { bad, left: 0 }, 60), (Did::Used { nth: 1, amount: "0.31".parse().unwrap(), how: How::Counted }, 20)]);
    go(&mut ledger, run, [(Did::Booked, 5), (Did::Closed, 0)]);
    let open = begin(&mut ledger, "Whinfell Dun", begun(Kind::Counted, 12));
    go(&mut ledger, open, [(OPENED, 0), (Did::On, 60), (Did::On, 60)]);
    bench
}

#[test]
fn no_ledger_is_an_empty_list_and_none_is_made() {
    let bench = good_bench();
    let told = herl(bench.path(), &["run", "list"]);
    assert_eq!(told.status.code(), Some(0));
    assert!(out(&told).contains("no run was begun"), "{}", out(&told));
    assert_eq!(json(bench.path(), &["run", "list", "--json"])["runs"], serde_json::json!([]));
    let rows = herl(bench.path(), &["run", "list", "--csv"]);
    assert!(out(&rows).ends_with("seconds of work\r\n") && trouble(&rows).contains("no run was begun"), "{}", out(&rows));
    let none = herl(bench.path(), &["run", "show", "1"]);
    assert_eq!(none.status.code(), Some(1));
    assert!(trouble(&none).contains("there is no run 1") && trouble(&none).contains("begun first"), "{}", trouble(&none));
    assert!(!bench.path().join(FILE).exists());
}

#[test]
fn the_list_tells_every_run_and_how_far_it_is() {
    let bench = written();
    let page = out(&herl(bench.path(), &["run", "list"]));
    let lines: Vec<String> = page.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect();
    assert_eq!(
        lines,
        [
            "run dressing size variant kind begun part flies tied passed seconds time",
            "1 Sallow Dun 14 dark sample 2026-01-01 12:00 UTC done 1 1 0 0 4:30",
            "2 Sallow Dun 14 dark counted 2026-01-01 12:00 UTC done 4 4 3 1 17:35",
            "3 Whinfell Dun 14 dark counted 2026-01-01 12:00 UTC tying 12 0 0 0 2:00",
        ]
    );
    let told = json(bench.path(), &["run", "list", "--json"]);
    let run = &told["runs"][1];
    assert_eq!((&run["dressing"], &run["kind"], &run["part"], &run["flies"]["given-up"]), (&"Sallow Dun".into(), &"counted".into(), &"done".into(), &1.into()));
    assert_eq!((run["begun"].as_str().unwrap(), run["seconds-of-work"].as_f64()), ("2026-01-01T12:00:00Z", Some(1055.0)));
    assert_eq!(told["runs"][2]["done"], Value::Null);
    let rows = herl(bench.path(), &["run", "list", "--csv"]);
    let text = out(&rows);
    assert!(text.lines().count() == 4 && text.matches("\r\n").count() == 4, "{text:?}");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.iter().map(|row| &row[11]).collect::<Vec<_>>(), ["1", "4", "0"]);
}

#[test]
fn a_report_agrees_with_what_was_done() {
    let bench = written();
    let told = json(bench.path(), &["run", "show", "2", "--json"]);
    let figure = |key: &str| told["figures"][key]["value"].as_f64().unwrap_or(f64::NAN);
    for (key, is) in [
        ("flies.started", 5.0),
        ("flies.tied", 4.0),
        ("flies.given-up", 1.0),
        ("flies.passed", 3.0),
        ("flies.seconds", 1.0),
        ("found-bad", 1.0),
        ("mishaps", 1.0),
        ("pass-rate", 0.75),
        ("fly.timed", 3.0),
        ("fly.mean", 560.0 / 3.0),
        ("fly.median", 190.0),
        ("fly.least", 170.0),
        ("fly.most", 200.0),
        ("fly.expected", 180.0),
        ("time.laying-out", 90.0),
        ("time.looking-over", 60.0),
        ("time.rested", 600.0),
        ("time.all", 1055.0),
        ("hook fine dry 14.reckoned", 6.0),
        ("gold wire.reckoned", 0.25),
        ("gold wire.used", 0.31),
    ] {
        assert!((figure(key) - is).abs() < 1e-9, "{key}: {}", figure(key));
    }
    assert_eq!(told["out"][1]["by"], "counted");
    assert_eq!(told["made"][0]["good"], 3);
    assert_eq!(told["steps"][0]["step"], 2, "the slowest against expectation first");
    assert!(told["figures"]["pass-rate"]["low"].as_f64().unwrap() < 0.75);
    // Whatever a key of the report stands for is among its figures.
    for key in ["parts", "steps", "stages", "failed", "out"].iter().flat_map(|list| told[*list].as_array().unwrap()) {
        for name in ["time", "expected", "over", "flies", "amount", "reckoned"] {
            assert!(key[name].as_str().is_none_or(|name| told["figures"][name]["value"].is_number()), "{key}");
        }
    }

    let page = out(&herl(bench.path(), &["run", "show", "2"]));
    for line in [
        "run 2: Sallow Dun, size 14, dark, revision 3",
        "counted; begun 2026-01-01 12:00 UTC; done",
        "good at once: 75 %",
        "hackle",
        "made: 3 good; seconds: 1",
    ] {
        assert!(page.contains(line), "{line}\n{page}");
    }
    assert!(page.contains("mishap") && page.contains("(nobody said)"), "{page}");
    let rows = out(&herl(bench.path(), &["run", "show", "2", "--csv"]));
    assert!(rows.starts_with("figure,value,unit,standing\r\n") && rows.contains("\r\ngold wire.used,0.31,m,measured\r\n"), "{rows}");
    let sample = out(&herl(bench.path(), &["run", "show", "1"]));
    assert!(sample.contains("agreed as revision 4") && sample.contains("9.6 mm") && sample.contains("beyond what passes"), "{sample}");
}

#[test]
fn why_a_figure_is_what_it_is() {
    let bench = written();
    let why = |key: &str| herl(bench.path(), &["run", "show", "2", "--why", key]);
    let told = out(&why("pass-rate.high"));
    assert!(told.contains("E. B. Wilson") && told.contains("flies.looked-over") && told.contains("given: the run's events"), "{told}");
    assert!(out(&why("gold wire.used")).contains("told at the booking"));
    assert!(out(&why("figures[\"fly.mean\"].value")).contains("fly 1.time = 200 s"));
    let told = json(bench.path(), &["run", "show", "2", "--why", "fly.median", "--json"]);
    assert_eq!((told["value"].as_f64(), told["inputs"].as_array().map(Vec::len)), (Some(190.0), Some(3)));
    let wrong = why("fly.maen");
    assert_eq!(wrong.status.code(), Some(1));
    assert!(trouble(&wrong).contains("fly.mean"), "{}", trouble(&wrong));
}

#[test]
fn usage_and_numbers_that_are_none() {
    let bench = written();
    for arguments in
        [&["run"][..], &["run", "show"], &["run", "show", "two"], &["run", "list", "--json", "--csv"], &["run", "show", "1", "--csv", "--why", "x"]]
    {
        assert_eq!(herl(bench.path(), arguments).status.code(), Some(2), "{arguments:?}");
    }
    for number in ["0", "4", "9223372036854775807"] {
        let told = herl(bench.path(), &["run", "show", number]);
        assert_eq!(told.status.code(), Some(1));
        assert!(trouble(&told).contains("a number from 1 to 3"), "{}", trouble(&told));
    }
}

#[test]
fn hostile_names_are_harmless_in_every_form() {
    let bench = good_bench();
    let hostile = "=HYPERLINK(\"http://x\")\u{1b}[2J\u{202e},\r\n-1";
    let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
    let begun = Begun { materials: vec![material("@sum(1)", "m", "0.1")], ..begun(Kind::Counted, 1) };
    let run = begin(&mut ledger, hostile, begun);
    go(&mut ledger, run, [(OPENED, 0), (Did::On, 1), (Did::Mishap, 1)]);
    go(&mut ledger, run, [(Did::Changed { what: Words::new(hostile), to: Words::new(hostile) }, 1)]);
    drop(ledger);
    for arguments in [
        &["run", "list"][..],
        &["run", "list", "--json"],
        &["run", "list", "--csv"],
        &["run", "show", "1"],
        &["run", "show", "1", "--json"],
        &["run", "show", "1", "--csv"],
    ] {
        let told = herl(bench.path(), arguments);
        assert_eq!(told.status.code(), Some(0), "{}", trouble(&told));
        let text = out(&told);
        assert!(!text.contains(|c: char| (c.is_control() && !matches!(c, '\n' | '\r')) || c == '\u{202e}'), "{arguments:?} {text:?}");
        if arguments.contains(&"--csv") {
            let mut reader = csv::Reader::from_reader(text.as_bytes());
            for cell in reader.records().map(Result::unwrap).flat_map(|row| row.iter().map(str::to_owned).collect::<Vec<_>>()) {
                assert!(!cell.starts_with(['=', '+', '@']), "{cell}");
            }
        }
    }
}

#[test]
fn a_run_that_cannot_be_read_is_told_and_hides_none_of_the_others() {
    let bench = written();
    let other = Connection::open(bench.path().join(FILE)).unwrap();
    other.execute_batch("insert into event (run, number, at, ran_ms, did) values (3, 4, 0, 1, '{\"v\":2,\"did\":\"juggled\"}')").unwrap();
    other.execute_batch("insert into run (dressing, revision, size, flies, begun_at, frozen) values ('Ash', 1, '12', 1, 0, '{}')").unwrap();
    drop(other);
    let told = herl(bench.path(), &["run", "list"]);
    assert_eq!(told.status.code(), Some(1));
    assert!(trouble(&told).contains("run 3, event 4") && trouble(&told).contains("juggled") && trouble(&told).contains("run 4"), "{}", trouble(&told));
    let page = out(&told);
    assert_eq!(page.lines().count(), 5, "{page}");
    assert!(page.contains("17:35") && page.contains("Whinfell Dun"), "{page}");
    assert_eq!(herl(bench.path(), &["run", "show", "2"]).status.code(), Some(0));
    let damaged = herl(bench.path(), &["run", "show", "3"]);
    assert_eq!((damaged.status.code(), out(&damaged).as_str()), (Some(1), ""));
    assert!(trouble(&damaged).contains("left as it was"));
}

#[test]
fn a_ledger_of_the_first_version_is_told_too() {
    let bench = good_bench();
    std::fs::copy(crate::support::cases().join("ledger").join("1.db"), bench.path().join(FILE)).unwrap();
    let page = out(&herl(bench.path(), &["run", "list"]));
    assert!(page.contains("Ashgarth Dun") && page.contains("tying") && page.contains("done"), "{page}");
    let told = json(bench.path(), &["run", "show", "1", "--json"]);
    assert_eq!(told["figures"]["flies.tied"]["value"].as_f64(), Some(1.0));
}
