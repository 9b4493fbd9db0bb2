//! `herl stock`, `herl backup` and `herl verify`: the real program on a bench of its own.

use crate::support::good_bench;
use herl::ledger::{FILE, Ledger};
use herl::measure::Words;
use herl::stores::Sort;
use rusqlite::Connection;
use serde_json::Value;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn herl(bench: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_herl")).arg("--bench").arg(bench).args(arguments).current_dir(bench).env_clear().env("HOME", bench).output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn trouble(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// Done, and what was printed.
fn good(bench: &Path, arguments: &[&str]) -> String {
    let told = herl(bench, arguments);
    assert_eq!(told.status.code(), Some(0), "{arguments:?}: {}{}", out(&told), trouble(&told));
    out(&told)
}

fn json(bench: &Path, arguments: &[&str]) -> Value {
    serde_json::from_str(&good(bench, arguments)).unwrap()
}

/// Refused, and what was said.
fn bad(bench: &Path, arguments: &[&str]) -> String {
    let told = herl(bench, arguments);
    assert_eq!((told.status.code(), out(&told).as_str()), (Some(1), ""), "{arguments:?}: {}", trouble(&told));
    trouble(&told)
}

fn on_hand(bench: &Path, name: &str) -> String {
    let list = json(bench, &["stock", "list", "--all", "--json"]);
    let row = list["stock"].as_array().unwrap().iter().find(|row| row["thing"] == name);
    row.map_or_else(String::new, |row| row["on-hand"].as_str().unwrap().to_owned())
}

const WIRE: &str = "gold wire, fine";

#[test]
fn what_comes_and_goes_is_told_with_what_is_there_and_how_to_take_it_back() {
    let bench = good_bench();
    let bench = bench.path();
    assert!(good(bench, &["stock", "list"]).contains("nothing is on the shelf yet"));
    let came = good(bench, &["stock", "receive", "Gold  Wire, fine", "10 m", "--supplier", "withy street supplies", "--price", "2.40", "--dye-lot", "7"]);
    assert!(came.contains("+10 m into lot 1") && came.contains("10 m on hand now") && came.contains("herl stock undo 1"), "{came}");
    let gone = json(bench, &["stock", "use", WIRE, "2 1/2 m", "--json"]);
    assert_eq!((&gone["booked"], &gone["on-hand"][0]["on-hand"], &gone["movements"][0]["quantity"]), (&2.into(), &"7.5".into(), &"-2.5".into()));
    good(bench, &["stock", "waste", WIRE, "50 cm", "--lot", "1", "--reason", "kinked"]);
    assert_eq!(on_hand(bench, WIRE), "7");
    let right = good(bench, &["stock", "correct", WIRE, "-1 m", "--lot", "1", "--reason", "a slip"]);
    assert!(right.contains("6 m on hand now"), "{right}");
    let back = good(bench, &["stock", "undo", "4"]);
    assert!(back.contains("takes back movement 4") && back.contains("7 m on hand now"), "{back}");
    assert!(bad(bench, &["stock", "undo", "4"]).contains("taken back already"));
    let count = good(bench, &["stock", "count", WIRE, "2 + 1/2"]);
    assert!(count.contains("2.5 m counted, 4.5 m short, 7 m was expected"), "{count}");
    let history = good(bench, &["stock", "history", WIRE]);
    assert!(history.contains("kinked") && history.contains("takes back 4") && history.lines().count() == 7, "{history}");
    let lots = json(bench, &["stock", "list", "--lots", "--json"]);
    let lot = &lots["stock"][0]["lots"][0];
    assert_eq!(
        (&lot["price"], &lot["supplier"], &lot["dye-lot"], &lot["holds"]),
        (&"2.40".into(), &"Withy Street Supplies".into(), &"7".into(), &"2.5".into())
    );
}

#[test]
fn a_fault_books_nothing_and_says_what_would_be_right() {
    let bench = good_bench();
    let bench = bench.path();
    for (arguments, said) in [
        (&["stock", "receive", "gold wyre, fine", "10 m"][..], "did you mean \"gold wire, fine\"?"),
        (&["stock", "receive", WIRE, "10"], "add the unit, such as `10 m`"),
        (&["stock", "receive", WIRE, "10 g"], "an amount in m"),
        (&["stock", "receive", WIRE, "0 m"], "over 0"),
        (&["stock", "receive", WIRE, "ten m"], "right:"),
        (&["stock", "receive", WIRE, "10 m", "--price", "2.405"], "what the whole lot cost"),
        (&["stock", "receive", WIRE, "10 m", "--supplier", "Withy Street"], "did you mean \"Withy Street Supplies\"?"),
        (&["stock", "receive", WIRE, "10 m", "--on", "yesterday"], "2026-11-20"),
        (&["stock", "receive", WIRE, "10 m", "--quality", "good"], "for finished flies"),
        (&["stock", "receive", WIRE, "10 m", "--lot", "9"], "lot"),
        (&["stock", "use", WIRE, "1 m"], "nothing was booked in"),
        (&["stock", "undo", "1"], "nothing was booked in"),
        (&["backup", "copy.db"], "nothing was booked"),
        (&["stock", "export", "all.csv"], "nothing was booked"),
    ] {
        let told = bad(bench, arguments);
        assert!(told.contains(said), "{arguments:?}: {told}");
    }
    assert!(!bench.join(FILE).exists() && !bench.join("copy.db").exists() && !bench.join("all.csv").exists(), "nothing was written");
    let told = herl(bench, &["stock", "receive", WIRE, "10", "--json"]);
    let told: Value = serde_json::from_str(&out(&told)).unwrap();
    assert!(told["error"].as_str().unwrap().contains("no unit") && told["right"].as_str().unwrap().contains("10 m"));
    assert_eq!(herl(bench, &["stock", "receive", WIRE]).status.code(), Some(2));
    good(bench, &["stock", "receive", WIRE, "10 m"]);
    assert!(bad(bench, &["stock", "use", WIRE, "11 m"]).contains("there are 10 m to take"));
    assert!(bad(bench, &["stock", "use", WIRE, "1 g"]).contains("kept in m"));
    assert!(bad(bench, &["stock", "count", WIRE, "3*"]).contains("ends too soon"));
    assert!(bad(bench, &["stock", "correct", WIRE, "-11 m", "--lot", "1", "--reason", "x"]).contains("10 m"));
    assert!(bad(bench, &["stock", "count", WIRE, "4 m", "--lot", "7"]).contains("lot 7"));
    assert_eq!(json(bench, &["stock", "history", "--json"])["movements"].as_array().unwrap().len(), 1);
    assert!(Ledger::open_reading(bench).unwrap().unwrap().open_counts().unwrap().is_empty(), "no count was left open");
}

#[test]
fn a_count_can_be_left_half_done_and_is_booked_as_one() {
    let bench = good_bench();
    let bench = bench.path();
    good(bench, &["stock", "receive", WIRE, "10 m"]);
    good(bench, &["stock", "receive", "blue dun cock", "1 cape"]);
    good(bench, &["stock", "count", WIRE, "9 m", "--later"]);
    let second = good(bench, &["stock", "count", "blue dun cock", "1/2 cape", "--later"]);
    assert!(second.contains("line 2 of count 1"), "{second}");
    assert_eq!(on_hand(bench, WIRE), "10");
    let booked = good(bench, &["stock", "count", "--book"]);
    assert!(booked.contains("9 m on hand now") && booked.contains("0.5 piece on hand now"), "{booked}");
    good(bench, &["stock", "undo", "3"]);
    assert_eq!((on_hand(bench, WIRE), on_hand(bench, "blue dun cock")), ("10".to_owned(), "1".to_owned()));
    assert!(bad(bench, &["stock", "count", "--book"]).contains("no count is open"));
    good(bench, &["stock", "count", WIRE, "1 m", "--later"]);
    assert!(good(bench, &["stock", "count", "--drop"]).contains("nothing of its 1 lines"));
    assert_eq!(on_hand(bench, WIRE), "10");
}

#[test]
fn a_spool_is_weighed_by_tex_and_pieces_by_a_sample() {
    let bench = good_bench();
    let bench = bench.path();
    good(bench, &["stock", "receive", WIRE, "100 m"]);
    // 20 tex is 20 g a kilometre (ISO 1144): 1 g is 50 m.
    let told = good(bench, &["stock", "weigh", WIRE, "12.5 g", "--empty", "11.5 g", "--tex", "20"]);
    assert!(told.contains("1 g is about 50 m by tex") && told.contains("50 m on hand now"), "{told}");
    // Copper wire of 0.12 mm and 8.96 g/cm3 is 0.10134 g/m by its section: 1.0134 g are 10 m.
    let told = good(bench, &["stock", "weigh", WIRE, "2.0134", "--empty", "1", "--density", "8.96"]);
    assert!(told.contains("is about 10 m by its width and density"), "{told}");
    assert!(bad(bench, &["stock", "weigh", WIRE, "2"]).contains("gives no length"));
    assert!(bad(bench, &["stock", "weigh", WIRE, "2", "--empty", "3", "--tex", "20"]).contains("empty it weighs more"));
    good(bench, &["stock", "receive", "dry-standard", "100", "--size", "12"]);
    // 25 weigh 0.50 g, so 4.00 g are 200; out by 1.96 x hypot(200 x hypot(0.02 / 5, 0.01 / root 12 / 0.5), ...) = 2.85 (GUM 5.1.2).
    let told = good(bench, &["stock", "weigh", "dry-standard", "4.00", "--sample", "25", "--sample-mass", "0.50", "--size", "12"]);
    assert!(told.contains("about 200 by weight, within 3 in 19 of 20") && told.contains("200 on hand now"), "{told}");
    assert!(bad(bench, &["stock", "weigh", "dry-standard", "4", "--sample", "9", "--sample-mass", "0.2", "--size", "12"]).contains("ten pieces or more"));
}

#[test]
fn a_name_that_moved_in_the_files_takes_along_what_was_booked_under_it() {
    let bench = good_bench();
    let bench = bench.path();
    good(bench, &["stock", "receive", "olive dubbing", "3 g"]);
    let file = bench.join("materials.yaml");
    let text = fs::read_to_string(&file).unwrap();
    let renamed = text.replace("olive dubbing:", "green dubbing:");
    fs::write(&file, &renamed).unwrap();
    let told = herl(bench, &["verify"]);
    assert_eq!(told.status.code(), Some(1));
    assert!(
        out(&told).contains("\"olive dubbing\" and the files do not") && out(&told).contains("\"green dubbing\"") && out(&told).contains("sound"),
        "{}",
        out(&told)
    );
    fs::write(&file, renamed.replace("green dubbing:", "green dubbing: {formerly: olive dubbing}")).unwrap();
    assert!(good(bench, &["verify"]).contains("every balance"), "it moves as soon as something is booked");
    let told = herl(bench, &["stock", "use", "green dubbing", "1 g"]);
    assert!(trouble(&told).contains("\"olive dubbing\" is \"green dubbing\" from now on"), "{}", trouble(&told));
    assert!(out(&told).contains("2 g on hand now"), "{}", out(&told));
    let ledger = Ledger::open_reading(bench).unwrap().unwrap();
    let names: Vec<String> = ledger.names_of(Sort::Material, &Words::new("green dubbing")).unwrap().iter().map(ToString::to_string).collect();
    assert_eq!(names, ["green dubbing", "olive dubbing"]);
}

#[test]
fn a_backup_is_the_ledger_as_it_stood_and_nothing_is_written_over() {
    let bench = good_bench();
    let bench = bench.path();
    good(bench, &["stock", "receive", WIRE, "10 m"]);
    {
        // In use meanwhile: the lock is another program's.
        let _in_use = Ledger::open_for_writing(bench).unwrap();
        good(bench, &["backup", "copy.db"]);
        assert!(bad(bench, &["stock", "use", WIRE, "1 m"]).contains("in use"));
    }
    good(bench, &["stock", "use", WIRE, "1 m"]);
    assert!(bad(bench, &["backup", "copy.db"]).contains("there already"));
    let other = good_bench();
    fs::copy(bench.join("copy.db"), other.path().join(FILE)).unwrap();
    assert_eq!((on_hand(other.path(), WIRE), on_hand(bench, WIRE)), ("10".to_owned(), "9".to_owned()));
    assert!(good(other.path(), &["verify"]).contains("1 movements looked through"));
}

#[test]
fn a_ledger_that_does_not_add_up_is_told_and_left_as_it_was() {
    let bench = good_bench();
    let bench = bench.path();
    good(bench, &["stock", "receive", WIRE, "10 m"]);
    let raw = Connection::open(bench.join(FILE)).unwrap();
    raw.execute("update balance set quantity = quantity + 1000000", []).unwrap();
    drop(raw);
    let told = herl(bench, &["verify"]);
    assert_eq!(told.status.code(), Some(1));
    assert!(out(&told).contains("gold wire, fine, lot 1: kept 11, movements say 10") && out(&told).contains("not sound"), "{}", out(&told));
    let told: Value = serde_json::from_str(&out(&herl(bench, &["verify", "--json"]))).unwrap();
    assert_eq!((&told["sound"], &told["balances"][0]["summed"]), (&false.into(), &"10".into()));
}

#[test]
fn what_goes_out_as_csv_comes_in_again_whole_or_not_at_all() {
    let bench = good_bench();
    let bench = bench.path();
    good(bench, &["stock", "receive", WIRE, "10 m", "--note", "=1+1\u{1b}[2J", "--supplier", "Withy Street Supplies"]);
    good(bench, &["stock", "use", WIRE, "4 m", "--reason", "@cmd"]);
    assert!(good(bench, &["stock", "export", "all.csv"]).contains("2 rows"));
    let text = fs::read_to_string(bench.join("all.csv")).unwrap();
    assert!(text.contains("'=1+1") && text.contains("'@cmd") && !text.contains('\u{1b}') && text.ends_with("\r\n"), "{text}");
    assert!(bad(bench, &["stock", "export", "all.csv"]).contains("not written over"));
    let other = good_bench();
    let file = bench.join("all.csv");
    let file = file.to_str().unwrap();
    assert!(good(other.path(), &["stock", "import", file]).contains("2 rows"));
    assert_eq!(on_hand(other.path(), WIRE), "6");
    let third = good_bench();
    fs::write(third.path().join("bad.csv"), "name,unit,in,out\r\n\"gold wire, fine\",m,5,\r\n\"gold wire, fine\",m,,nine\r\n\u{1b}[31mx,ells,1,\r\n").unwrap();
    let told = herl(third.path(), &["stock", "import", "bad.csv"]);
    assert_eq!(told.status.code(), Some(1));
    let said = trouble(&told);
    assert!(said.contains("2 rows cannot be booked") && said.contains("line 3:") && said.contains("line 4:") && !said.contains('\u{1b}'), "{said}");
    assert!(good(third.path(), &["stock", "history"]).contains("nothing moved yet"));
    let told: Value = serde_json::from_str(&out(&herl(third.path(), &["stock", "import", "bad.csv", "--json"]))).unwrap();
    assert_eq!((&told["rows"][0]["line"], told["rows"].as_array().unwrap().len()), (&3.into(), 2));
}

#[test]
fn many_rows_come_in_at_once_and_one_bad_one_among_them_keeps_all_out() {
    let bench = good_bench();
    let bench = bench.path();
    let mut text = "name,unit,in\r\n".to_owned();
    (0..5000).for_each(|_| text.push_str("\"gold wire, fine\",m,0.5\r\n"));
    fs::write(bench.join("many.csv"), &text).unwrap();
    writeln!(text, "\"gold wire, fine\",m,\r").unwrap();
    fs::write(bench.join("one-bad.csv"), &text).unwrap();
    assert!(bad(bench, &["stock", "import", "one-bad.csv"]).contains("line 5002:"));
    assert!(good(bench, &["stock", "history"]).contains("nothing moved yet"));
    let done = herl(bench, &["stock", "import", "many.csv"]);
    assert_eq!(trouble(&done), "", "progress is for a terminal");
    assert_eq!(on_hand(bench, WIRE), "2500");
}

#[test]
fn what_runs_low_is_told_by_the_first_rule_that_says_so_and_says_why() {
    let bench = good_bench();
    let bench = bench.path();
    let file = bench.join("materials.yaml");
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replace("olive dubbing:", "olive dubbing:\n    keep: by eye\n    spare: 1\n")).unwrap();
    let never = json(bench, &["stock", "low", "--json"]);
    let names: Vec<&str> = never["never-booked-in"].as_array().unwrap().iter().map(|row| row["thing"].as_str().unwrap()).collect();
    assert!(names.iter().any(|name| name.starts_with("hook dry-standard")) && !names.contains(&"olive dubbing"), "{names:?}");
    good(bench, &["stock", "receive", "olive dubbing", "3 g", "--packs", "1"]);
    good(bench, &["stock", "receive", WIRE, "10 m"]);
    let hook = names.iter().find(|name| name.starts_with("hook dry-standard")).unwrap().to_string();
    let size = hook.rsplit(' ').next().unwrap();
    good(bench, &["stock", "receive", "dry-standard", "1", "--size", size]);
    let told = good(bench, &["stock", "use", "olive dubbing", "--pack"]);
    assert!(told.contains("0 full beside it") && told.contains("herl stock low"), "{told}");
    let low = good(bench, &["stock", "low"]);
    assert!(low.contains("olive dubbing: the last spare is opened") && low.contains(&format!("{hook}: ")) && low.contains("lacking for the orders"), "{low}");
    let why = good(bench, &["stock", "low", "--why", &format!("{hook}.lacking")]);
    assert!(why.contains("what orders need - what is set aside for them - free") && why.contains("the plan of"), "{why}");
    let why = json(bench, &["stock", "low", "--json", "--why", &format!("{hook}.free")]);
    assert_eq!(why["value"], 1.0);
    assert!(bad(bench, &["stock", "low", "--why", "gold wire, fine.fre"]).contains("did you mean"));
    good(bench, &["stock", "count", "olive dubbing", "2", "--in-use", "half"]);
    assert!(!good(bench, &["stock", "low"]).contains("olive dubbing"));
}

#[test]
fn a_sheet_to_count_by_has_a_line_for_each_thing_and_can_hide_what_is_expected() {
    let bench = good_bench();
    let bench = bench.path();
    good(bench, &["stock", "receive", WIRE, "12.25 m"]);
    good(bench, &["stock", "receive", "dry-standard", "77", "--size", "12"]);
    let sheet = good(bench, &["stock", "sheet"]);
    assert!(sheet.contains("12.25 m  ______________ m") && sheet.contains("HOOKS") && sheet.contains("77"), "{sheet}");
    let blind = good(bench, &["stock", "sheet", "--blind"]);
    assert!(blind.contains(WIRE) && !blind.contains("12.25") && !blind.contains("77"), "{blind}");
    assert_eq!(json(bench, &["stock", "sheet", "--blind", "--json"])["sheet"][0]["lines"][0]["expected"], Value::Null);
}

#[test]
fn made_parts_come_in_at_what_their_makings_cost() {
    let bench = good_bench();
    let bench = bench.path();
    good(bench, &["stock", "receive", WIRE, "10 m", "--price", "2.40"]);
    let told = good(bench, &["stock", "make", "olive dubbing", "8", "--of", "gold wire, fine=5 m", "--spoilt", "2"]);
    assert!(told.contains("-5 m out of lot 1") && told.contains("+8 into lot 2"), "{told}");
    let list = json(bench, &["stock", "list", "olive", "--lots", "--json"]);
    assert_eq!(list["stock"][0]["lots"][0]["price"], "1.20");
    good(bench, &["stock", "undo", "2"]);
    assert_eq!((on_hand(bench, WIRE), on_hand(bench, "olive dubbing")), ("10".to_owned(), "0".to_owned()));
    assert!(bad(bench, &["stock", "make", "olive dubbing", "8"]).contains("made-from"));
}

#[test]
fn protected_kinds_are_asked_for_their_proof_and_new_skins_for_a_time_apart() {
    let bench = good_bench();
    let bench = bench.path();
    let file = bench.join("materials.yaml");
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replace("    usable: 55 mm\n", "    usable: 55 mm\n    ask: proof of origin\n    packs:\n      - {holds: 1 cape, price: 40}\n"))
        .unwrap();
    let told = herl(bench, &["stock", "receive", "blue dun cock", "1 cape"]);
    assert!(trouble(&told).contains("proof of origin") && trouble(&told).contains("law") && trouble(&told).contains("moth"), "{}", trouble(&told));
    let told = herl(bench, &["stock", "receive", "blue dun cock", "1 cape", "--proof", "inv 12", "--apart-until", "2099-01-01"]);
    assert_eq!((told.status.code(), trouble(&told).as_str()), (Some(0), ""));
    // A lot kept apart is left alone, by name it is taken.
    assert!(bad(bench, &["stock", "use", "blue dun cock", "2 capes"]).contains("1 piece"));
    good(bench, &["stock", "use", "blue dun cock", "1 cape", "--lot", "2"]);
}

#[test]
fn a_customers_own_goods_have_no_price_and_serve_nobody_else() {
    let bench = good_bench();
    let bench = bench.path();
    good(bench, &["stock", "receive", WIRE, "3 m", "--customer", "Una Field"]);
    assert!(bad(bench, &["stock", "receive", WIRE, "3 m", "--customer", "Una Field", "--price", "1"]).contains("no price"));
    assert!(bad(bench, &["stock", "use", WIRE, "1 m"]).contains("to take"));
    good(bench, &["stock", "use", WIRE, "1 m", "--customer", "una  field"]);
    let list = json(bench, &["stock", "list", "--json"]);
    assert_eq!((&list["stock"][0]["customers"], &list["stock"][0]["on-hand"]), (&"2".into(), &"0".into()));
}
