//! `herl reckon` as it is called, against figures worked by hand or from the outside tables.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use serde_json::Value;
use std::process::{Command, Output, Stdio};

fn herl(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_herl")).args(arguments).stdin(Stdio::null()).output().unwrap()
}

pub(crate) fn output(arguments: &[&str]) -> String {
    String::from_utf8(herl(arguments).stdout).unwrap()
}

pub(crate) fn trouble(arguments: &[&str]) -> String {
    String::from_utf8(herl(arguments).stderr).unwrap()
}

pub(crate) fn code(arguments: &[&str]) -> i32 {
    herl(arguments).status.code().unwrap_or_else(|| panic!("{arguments:?} was killed"))
}

/// The JSON answer of a call that must go well.
pub(crate) fn answer(arguments: &[&str]) -> Value {
    let done = herl(&[arguments, &["--json"]].concat());
    assert_eq!(done.status.code(), Some(0), "{}", String::from_utf8_lossy(&done.stdout));
    assert!(done.stderr.is_empty());
    serde_json::from_slice(&done.stdout).unwrap()
}

/// The `error` of a call that must be refused.
pub(crate) fn refusal(arguments: &[&str]) -> String {
    let done = herl(&[arguments, &["--json"]].concat());
    assert_eq!(done.status.code(), Some(1), "{arguments:?}");
    assert!(done.stderr.is_empty(), "with --json the fault goes to standard output alone");
    let told: Value = serde_json::from_slice(&done.stdout).unwrap();
    told["error"].as_str().unwrap().to_owned()
}

pub(crate) fn near(got: &Value, wanted: f64) {
    let got = got.as_f64().unwrap();
    assert!((got - wanted).abs() <= 1e-9 * wanted.abs(), "{got} is not {wanted}");
}

const WIND: &[&str] = &["reckon", "wind"];

fn wind<'a>(start: &'a str, end: &'a str, span: &'a str, strand: &'a str, turns: &'a str) -> Vec<&'a str> {
    [WIND, &["--core-start", start, "--core-end", end, "--span", span, "--strand", strand, "--turns", turns]].concat()
}

/// Row "cylinder open rib 5 turns" of the table by 40-digit quadrature (mpmath): the core's radius there is
/// 0.9 mm, so its diameter is 1.8 mm.
#[test]
fn a_rib_of_five_turns() {
    let told = answer(&wind("1.8 mm", "1.8mm", "10 mm", "0.18 mm", "5"));
    near(&told["turns"], 5.0);
    near(&told["length_mm"], 32.669_862_677_256_054);
}

/// Row "cylinder touching thread 0.05" of the same table.
#[test]
fn touching_turns_of_fine_thread() {
    let told = answer(&wind("0.6 mm", "0.6 mm", "12 mm", "0.05 mm", "touching"));
    near(&told["turns"], 240.0);
    near(&told["length_mm"], 490.235_343_844_202_1);
}

/// Of a 3-4-5 triangle: 3 mm along, 4 mm of rise (8 mm of diameter), so 5 mm of slope and ten turns of 0.5 mm.
#[test]
fn touching_turns_follow_the_slope() {
    near(&answer(&wind("1 mm", "9 mm", "3 mm", "0.5 mm", "touching"))["turns"], 10.0);
}

/// In one place a turn is pi times the diameter of the strand's middle line.
#[test]
fn turns_in_one_place() {
    near(&answer(&wind("0.8 mm", "0.8 mm", "0 mm", "0.2 mm", "2½"))["length_mm"], 2.5 * std::f64::consts::PI);
}

#[test]
fn turns_and_inches_are_read_as_dressers_write_them() {
    let whole = answer(&wind("0.1in", "0.1 in", "1/2 in", "0.5mm", "2 1/2"));
    assert_eq!(whole, answer(&wind("2.54 mm", "2.54 mm", "12.7 mm", "0.5 mm", "2.5")));
    assert_eq!(whole, answer(&wind("2.54 mm", "2.54 mm", "12.7 mm", "0.5 mm", "2½")));
}

/// ISO 1144: 72 denier is 8 tex (grams per 9,000 m, grams per 1,000 m). The diameter by the rule of Morton and Hearle,
/// *Physical Properties of Textile Fibres*, chapter 3.
#[test]
fn a_threads_thickness() {
    let thread = answer(&["reckon", "thread", "--denier", "72", "--density", "1.38"]);
    near(&thread["tex"], 8.0);
    near(&thread["dtex"], 80.0);
    near(&thread["denier"], 72.0);
    assert_eq!(thread["packing_standing"], "assumed");
    // 35.6825 sqrt(tex / density) micrometres for a solid round; a quarter of the packing is twice as thick.
    let got = thread["diameter_mm"].as_f64().unwrap();
    assert!((got - 0.035_682_5 * (8.0_f64 / 1.38).sqrt()).abs() < 1e-6, "{got}");
    let by_dtex = answer(&["reckon", "thread", "--dtex", "80", "--density", "1.38 g/cm3"]);
    assert_eq!(by_dtex, thread);
    let packed = answer(&["reckon", "thread", "--tex", "8", "--density", "1.38", "--packing", "0.25"]);
    near(&packed["diameter_mm"], 2.0 * got);
    assert_eq!(packed["packing_standing"], "stated");
}

/// "Denier and the aught system", renegadefishers.com (grams per 9,000 m): a gram of 70 denier is 9,000 / 70 m.
#[test]
fn what_is_left_on_a_spool() {
    let spool = answer(&["reckon", "spool", "--gross", "12.3 g", "--tare", "11.3g", "--denier", "70"]);
    near(&spool["length_m"], 9000.0 / 70.0);
    near(&answer(&["reckon", "spool", "--gross", "1 oz", "--tare", "0 g", "--tex", "28.349523125"])["length_m"], 1000.0);
    assert!(output(&["reckon", "spool", "--gross", "12.3 g", "--tare", "11.3 g", "--denier", "70"]).starts_with("length  128.5714 m\n"));
}

#[test]
fn words_show_the_figure_the_formula_and_the_source() {
    let told = output(&wind("1.8 mm", "1.8 mm", "10 mm", "0.18 mm", "5"));
    for part in ["turns   5", "length  32.6699 mm", "formula", "source"] {
        assert!(told.contains(part), "{part} is missing from:\n{told}");
    }
    let thread = output(&["reckon", "thread", "--denier", "72", "--density", "1.38"]);
    assert!(thread.contains("packing   1  (assumed"), "{thread}");
}

#[test]
fn a_fault_says_what_is_wrong_the_text_and_what_would_be_right() {
    let bare = wind("1.8", "1.8 mm", "10 mm", "0.18 mm", "5");
    assert_eq!(code(&bare), 1);
    assert_eq!(output(&bare), "");
    let told = trouble(&bare);
    for part in ["--core-start", "\"1.8\" has no unit", "given", "right", "1.8 mm"] {
        assert!(told.contains(part), "{part} is missing from:\n{told}");
    }
    assert!(refusal(&bare).contains("1.8 mm"));
}

#[test]
fn every_fault_is_told_at_once() {
    let told = refusal(&wind("-1 mm", "3 g", "10", "nought", "many"));
    for option in ["--core-start", "--core-end", "--span", "--strand", "--turns"] {
        assert!(told.contains(option), "{option} is missing from: {told}");
    }
}

#[test]
fn figures_that_are_none_are_refused_and_nothing_panics() {
    let bad =
        ["-3mm", "-3 mm", "NaN", "nan mm", "inf mm", "-inf", "1e999 mm", "1e999mm", "99999999999999999999 mm", "20 m", "", " ", "mm", "1/0 mm", "½½", "٣ mm"];
    for text in bad {
        for place in 0..4 {
            let mut lengths = ["1 mm"; 4];
            lengths[place] = text;
            let [start, end, span, strand] = lengths;
            assert!(!refusal(&wind(start, end, span, strand, "5")).is_empty());
        }
        assert!(!refusal(&wind("1 mm", "1 mm", "8 mm", "0.1 mm", text)).is_empty());
        assert!(!refusal(&["reckon", "thread", "--denier", text, "--density", "1.4"]).is_empty());
        assert!(!refusal(&["reckon", "thread", "--denier", "70", "--density", text]).is_empty());
        assert!(!refusal(&["reckon", "thread", "--denier", "70", "--density", "1.4", "--packing", text]).is_empty());
        assert!(!refusal(&["reckon", "spool", "--gross", text, "--tare", "1 g", "--denier", "70"]).is_empty());
    }
    assert!(refusal(&wind("1 mm", "1 mm", "8 mm", "0 mm", "touching")).contains("--strand"));
    assert!(refusal(&wind("1 mm", "1 mm", "0 mm", "0.1 mm", "touching")).contains("--span"));
    assert!(refusal(&wind("1 mm", "1 mm", "10 m", "0.000001 mm", "touching")).contains("--strand"));
    assert!(refusal(&["reckon", "spool", "--gross", "1 g", "--tare", "2 g", "--denier", "70"]).contains("lighter"));
    // Scales at a bench read grams, so a bare mass is in grams; a bare length could be mm or inches and is refused.
    near(&answer(&["reckon", "spool", "--gross", "12.3", "--tare", "2 g", "--denier", "70"])["length_m"], 10.3 * 9000.0 / 70.0);
    assert!(refusal(&wind("1", "1 mm", "8 mm", "0.1 mm", "5")).contains("1 mm"));
    assert!(refusal(&["reckon", "thread", "--denier", "70", "--density", "1.4", "--packing", "1.1"]).contains("--packing"));
    assert!(refusal(&["reckon", "thread", "--denier", "8 tex", "--density", "1.4"]).contains("denier"));
}

#[test]
fn usage_faults_end_with_two_and_help_with_nought() {
    let no_span = ["reckon", "wind", "--core-start", "1 mm", "--core-end", "1 mm", "--strand", "0.1 mm", "--turns", "5"];
    let forgotten = ["reckon", "spool", "--gross", "--tare", "1 g", "--denier", "70"];
    let two = ["reckon", "thread", "--denier", "70", "--tex", "8", "--density", "1.4"];
    let none = ["reckon", "thread", "--density", "1.4"];
    for wrong in [&no_span[..], &forgotten, &two, &none, &["reckon"], &["reckon", "wnd"], &["--what"], &["reckon", "wind", "--spin"]] {
        assert_eq!(code(wrong), 2, "{wrong:?}");
        assert!(output(wrong).is_empty() && !trouble(wrong).is_empty(), "{wrong:?}");
    }
    for right in [&["--help"][..], &["--version"], &["reckon", "--help"], &["reckon", "wind", "--help"]] {
        assert_eq!(code(right), 0, "{right:?}");
        assert!(!output(right).is_empty() && trouble(right).is_empty(), "{right:?}");
    }
}

#[test]
fn the_bench_may_be_named_before_or_after_the_command() {
    let spool = ["reckon", "spool", "--gross", "2 g", "--tare", "1 g", "--tex", "8"];
    assert_eq!(code(&[&["--bench", "nowhere"], &spool[..]].concat()), 0);
    assert_eq!(code(&[&spool[..], &["--bench", "nowhere"]].concat()), 0);
}

#[test]
fn nothing_that_commands_a_terminal_comes_through() {
    let hostile = "\u{1b}[2J\u{202e}8 mm\u{9b}";
    let asked = wind(hostile, hostile, hostile, hostile, hostile);
    let unknown = ["reckon", hostile];
    for told in [trouble(&asked), output(&[&asked[..], &["--json"]].concat()), trouble(&unknown)] {
        assert!(!told.is_empty());
        let raw = |c: char| (c.is_control() && c != '\n') || c == '\u{202e}';
        assert!(!told.contains(raw), "{told:?}");
    }
}

#[test]
fn a_reader_who_has_gone_is_met_quietly() {
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    let spool = ["reckon", "spool", "--gross", "2 g", "--tare", "1 g", "--tex", "8"];
    let done = Command::new(env!("CARGO_BIN_EXE_herl")).args(spool).stdout(writer).stderr(Stdio::piped()).output().unwrap();
    assert_eq!(done.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&done.stderr), "");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told() {
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let spool = ["reckon", "spool", "--gross", "2 g", "--tare", "1 g", "--tex", "8"];
    let done = Command::new(env!("CARGO_BIN_EXE_herl")).args(spool).stdout(full).stderr(Stdio::piped()).output().unwrap();
    assert_eq!(done.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&done.stderr).contains("could not be written"));
}

#[cfg(unix)]
#[test]
fn arguments_that_are_no_text_are_a_fault_of_usage() {
    use std::os::unix::ffi::OsStrExt;
    let done = Command::new(env!("CARGO_BIN_EXE_herl")).args(["reckon", "wind", "--span"]).arg(std::ffi::OsStr::from_bytes(b"\xff mm")).output().unwrap();
    assert_eq!(done.status.code(), Some(2));
}
