//! `herl reckon packs`, `cuts` and `setting` as they are called.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use std::process::{Command, Output, Stdio};

fn herl(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_herl")).arg("reckon").args(arguments).stdin(Stdio::null()).output().unwrap()
}

/// The JSON of a call, which must end with this code.
fn told(arguments: &[&str], code: i32) -> Value {
    let done = herl(&[arguments, &["--json"]].concat());
    assert_eq!(done.status.code(), Some(code), "{arguments:?}: {}", String::from_utf8_lossy(&done.stdout));
    assert!(done.stderr.is_empty(), "with --json everything goes to standard output");
    serde_json::from_slice(&done.stdout).unwrap()
}

fn words(arguments: &[&str]) -> (String, String, Option<i32>) {
    let done = herl(arguments);
    (String::from_utf8(done.stdout).unwrap(), String::from_utf8(done.stderr).unwrap(), done.status.code())
}

/// The `error` of a call that must be refused.
fn refusal(arguments: &[&str]) -> String {
    told(arguments, 1)["error"].as_str().unwrap_or_else(|| panic!("{arguments:?} was not refused")).to_owned()
}

/// Case 0 of the table of packs: 34 wanted, 100 for 3.99 are the cheapest.
#[test]
fn the_cheapest_packs() {
    let packs = ["packs", "--need", "34", "--pack", "12=2.99*0", "--pack", "24=5.99", "--pack", "36=8.37", "--pack", "50=21.58", "--pack", "100=3.99"];
    let answer = told(&packs, 0);
    assert_eq!((&answer["cost"], &answer["units"], &answer["packs"], &answer["left"]), (&json!(3.99), &json!(100), &json!(1), &json!(66)));
    assert_eq!((&answer["feasible"], &answer["proved"]), (&json!(true), &json!(true)));
    let (out, trouble, code) = words(&packs);
    assert!(out.starts_with("cost   3.99  (no choice is better)\n") && out.contains("1 x 100 at 3.99"), "{out}");
    assert!(trouble.is_empty() && code == Some(0));
    // In whole minor units it is the same, and whole.
    assert_eq!(told(&["packs", "--need", "34", "--pack", "24=599", "--pack", "100=399"], 0)["cost"], json!(399));
}

#[test]
fn needs_and_sizes_in_parts_and_with_units() {
    let answer = told(&["packs", "--need", "62.5 m", "--pack", "10 m=1.20", "--pack", "100yd=9.999*1", "--pack", "2.5m = 0.35"], 0);
    assert_eq!((&answer["units"], &answer["cost"], &answer["packs"]), (&json!(62.5), &json!(7.55), &json!(7)));
    assert!(refusal(&["packs", "--need", "62.5 m", "--pack", "10=1.20"]).contains("no unit"));
    assert!(refusal(&["packs", "--need", "62.5 m", "--pack", "10 g=1.20"]).contains("not a size"));
    assert!(refusal(&["packs", "--need", "62.5", "--pack", "10 m=1.20"]).contains("has a unit"));
}

#[test]
fn what_cannot_be_bought_ends_with_one() {
    let packs = ["packs", "--need", "155", "--pack", "24=8.59*3"];
    assert_eq!(told(&packs, 1), json!({ "feasible": false, "need": 155, "most": 72 }));
    let (out, trouble, code) = words(&packs);
    assert!(out.is_empty() && trouble.contains("hold 72") && trouble.contains("right"), "{trouble}");
    assert_eq!(code, Some(1));
    assert_eq!(told(&["packs", "--need", "1", "--pack", "24=8.59*0"], 1)["feasible"], json!(false));
}

/// V. Chvatal, *Linear Programming* (1983), chapter 13: 453 raws of 100 in.
#[test]
fn the_fewest_pieces() {
    let cuts = ["cuts", "--stock", "100", "--piece", "14x211", "--piece", "31x395", "--piece", "36x610", "--piece", "45x97"];
    let answer = told(&cuts, 0);
    assert_eq!((&answer["pieces"], &answer["bound"], &answer["proved"]), (&json!(453), &json!(453), &json!(true)));
    let times: u64 = answer["plan"].as_array().unwrap().iter().map(|pattern| pattern["times"].as_u64().unwrap()).sum();
    assert_eq!(times, 453);
    assert!(words(&cuts).0.starts_with("pieces  453  (proved: fewer are not enough)\n"));
}

#[test]
fn lengths_are_exact_in_any_unit() {
    // Six of 14 in are 84 in to the hair; with a kerf of a tenth of a millimetre it takes half a millimetre more.
    let pieces = |stock: &str, kerf: &str| told(&["cuts", "--stock", stock, "--kerf", kerf, "--piece", "14 in x 6"], 0)["pieces"].clone();
    assert_eq!(pieces("84 in", "0"), json!(1));
    assert_eq!(pieces("2133.6 mm", "0"), json!(1));
    assert_eq!(pieces("2133.599 mm", "0"), json!(2));
    assert_eq!(pieces("2134.1 mm", "0.1 mm"), json!(1));
    assert_eq!(pieces("2134.099 mm", "0.1 mm"), json!(2));
    let plan = told(&["cuts", "--stock", "1 m", "--kerf", "0.5 mm", "--piece", "355.6mmx2"], 0);
    assert_eq!(plan["plan"][0], json!({ "times": 1, "cut": [{ "length_mm": 355.6, "count": 2 }], "left_mm": 287.8 }));
    assert!(refusal(&["cuts", "--stock", "84", "--piece", "14 in x 6"]).contains("no unit"));
}

/// Case 0 of the table of unequal stock: four pieces, 385 together.
#[test]
fn offcuts() {
    let stock = ["117", "97", "91", "80", "65", "54", "44", "34", "30"].map(|length| ["--offcut", length]).concat();
    let offcuts = [&["cuts"], &stock[..], &["--piece", "56x4", "--piece", "50x1", "--piece", "18x2", "--piece", "12x4"]].concat();
    let answer = told(&offcuts, 0);
    assert_eq!((&answer["pieces"], &answer["length"], &answer["proved"]), (&json!(4), &json!(385), &json!(true)));
    assert_eq!(told(&["cuts", "--offcut", "10", "--piece", "11x1"], 1), json!({ "feasible": false }));
    // Beside new stock they come first: of that one piece less than without them.
    let both = told(&["cuts", "--stock", "100 mm", "--offcut", "30 mm", "--offcut", "55 mm", "--offcut", "26 mm", "--piece", "25mm x 6"], 0);
    assert_eq!((&both["new"], &both["pieces"], &both["length_mm"], &both["bound"]), (&json!(1), &json!(2), &json!(55), &json!(1)));
    assert_eq!(both["plan"][1], json!({ "stock_mm": 55, "new": false, "times": 1, "cut": [{ "length_mm": 25, "count": 2 }], "left_mm": 5 }));
    assert_eq!(told(&["cuts", "--stock", "9", "--offcut", "10", "--piece", "11x1"], 1), json!({ "feasible": false }));
    assert_eq!(herl(&["cuts", "--piece", "5x1"]).status.code(), Some(2));
}

#[test]
fn a_length_over_the_stock_is_told() {
    let told = refusal(&["cuts", "--stock", "100", "--kerf", "3", "--piece", "20x3", "--piece", "101x1"]);
    assert!(told.contains("\"101x1\"") && told.contains("101 cannot be cut from stock of 100"), "{told}");
    // One as long as the stock needs no cut, whatever the kerf.
    assert_eq!(self::told(&["cuts", "--stock", "100", "--kerf", "3", "--piece", "100x2"], 0)["pieces"], json!(2));
}

/// The hands wait before the other run's first work until the rack comes free: 110 min.
#[test]
fn the_shortest_setting() {
    let setting = ["setting", "--run", "10,31", "--run", "12,24,5,38,8", "--rack", "1", "--hands", "1"];
    let answer = told(&setting, 0);
    assert_eq!((&answer["makespan_min"], &answer["proved"]), (&json!(110), &json!(true)));
    assert_eq!(answer["starts"], json!([[69], [0, 36, 79]]));
    assert!(words(&setting).0.starts_with("finished after  110 min (1 h 50)  (proved: none is shorter)\n"));
    // Without a rack's limit nothing holds the two apart but the hands.
    assert_eq!(told(&["setting", "--run", "60,120,30"], 0)["makespan_min"], json!(210));
}

/// Case 58 of the table (releases before their runs), case 0 of racks in flies, and case 80 with two pairs of hands.
#[test]
fn releases_places_and_more_hands() {
    let released =
        told(&["setting", "--release", "120", "--run", "19,60", "--release=120", "--run", "15,120,45", "--run", "35", "--run", "52,60,46", "--rack", "2"], 0);
    assert_eq!(released["makespan_min"], json!(300));
    assert!(released["starts"][0][0].as_u64().unwrap() >= 120 && released["starts"][2][0].as_u64().unwrap() < 120);
    let in_flies = told(&["setting", "--run", "12@94,60,14", "--run", "8@85,60,38", "--run", "12@53,30,16", "--rack", "12"], 0);
    assert_eq!(in_flies["makespan_min"], json!(300));
    let two = ["setting", "--run", "69,30,11", "--run", "10,60,57", "--run", "39,60,28", "--run", "15,60,19", "--rack", "2", "--hands", "2"];
    assert_eq!(told(&two, 0)["makespan_min"], json!(149));
    assert_eq!(told(&["setting", "--run", "7.5,2 h,0.25"], 0)["makespan_min"], json!(127.75));
}

#[test]
fn every_fault_of_a_setting_is_told() {
    let told = refusal(&["setting", "--run", "60,x", "--run", "0,10", "--run", "0@5", "--run", "", "--rack", "-1", "--hands", "many", "--nodes", "1.5"]);
    for part in ["\"60,x\"", "\"0,10\"", "\"0@5\"", "--rack", "--hands", "--nodes"] {
        assert!(told.contains(part), "{part} is missing from: {told}");
    }
    assert!(refusal(&["setting", "--run", "13@5,5", "--rack", "12"]).contains("13 places"));
    assert!(refusal(&["setting", "--run", "5,5", "--rack", "0"]).contains("rack"));
    assert!(refusal(&["setting", "--run", "5", "--hands", "0"]).contains("hands"));
    assert!(refusal(&["setting", "--run", "5", "--hands", "1000"]).contains("60 pairs"));
    assert!(refusal(&["setting", "--run", "5", "--release", "9"]).contains("no run follows"));
    assert_eq!(herl(&["setting", "--rack", "1"]).status.code(), Some(2));
}

#[test]
fn figures_that_are_none_are_refused_and_nothing_panics() {
    let bad = [
        "",
        " ",
        "NaN",
        "-3",
        "-0.1",
        "inf",
        "1e9",
        "99999999999999999999999",
        "9999999999999999",
        "1/3",
        "0",
        "1/0",
        "½½",
        "٣",
        "=",
        "x",
        "*",
        "@",
        ",",
        "1,5",
        "1=",
        "5%",
    ];
    for text in bad {
        assert!(!refusal(&["packs", "--need", text, "--pack", "10=1"]).is_empty(), "{text}");
        assert!(!refusal(&["packs", "--need", "5", "--pack", &format!("{text}=1")]).is_empty(), "{text}");
        assert!(!refusal(&["cuts", "--stock", text, "--piece", "10x1"]).is_empty(), "{text}");
        assert!(!refusal(&["cuts", "--stock", "50", "--piece", &format!("{text}x3")]).is_empty(), "{text}");
        assert!(!refusal(&["cuts", "--stock", "50", "--piece", &format!("3x{text}")]).is_empty(), "{text}");
        if text != "1,5" {
            assert!(!refusal(&["setting", "--run", text]).is_empty(), "{text}");
        }
    }
    for text in ["", "NaN", "-3", "1e9", "99999999999999999999999", "1.5"] {
        assert!(!refusal(&["packs", "--need", "5", "--pack", &format!("3=1*{text}")]).is_empty(), "{text}");
    }
    for wrong in ["10", "10=", "=1", "10=1=2", "10=1*2*3", "10=-1", "10=1e30"] {
        assert!(refusal(&["packs", "--need", "5", "--pack", wrong]).contains("--pack"), "{wrong}");
    }
}

#[test]
fn ten_thousand_pieces_are_no_trouble() {
    assert_eq!(told(&["cuts", "--stock", "100", "--piece", "14x10000", "--piece", "33x10000"], 0)["proved"], json!(true));
    let texts: Vec<String> = (0..2_000).map(|nth| format!("{}x5", 300 + nth * 7919 % 4001)).collect();
    let pieces: Vec<&str> = texts.iter().flat_map(|text| ["--piece", text]).collect();
    let answer = told(&[&["cuts", "--stock", "9000", "--kerf", "2"], &pieces[..]].concat(), 0);
    assert!(answer["bound"].as_u64().unwrap() <= answer["pieces"].as_u64().unwrap());
    assert_eq!(told(&["packs", "--need", "1000000000", "--pack", "7=0.31", "--pack", "100=4.05"], 0)["proved"], json!(true));
    assert!(refusal(&["packs", "--need", "999999999999", "--pack", "1=9999999999999"]).contains("too large"));
}

#[test]
fn a_search_cut_short_says_what_it_has_proved() {
    let runs: Vec<String> = (0..14).map(|n| format!("{},{},{}", 10 + n * 7 % 11, 40 + n * 13 % 29, 5 + n * 5 % 7)).collect();
    let runs: Vec<&str> = runs.iter().flat_map(|run| ["--run", run]).collect();
    let answer = told(&[&["setting", "--rack", "2", "--nodes", "50"], &runs[..]].concat(), 0);
    assert_eq!(answer["proved"], json!(false));
    assert!(answer["bound_min"].as_f64().unwrap() < answer["makespan_min"].as_f64().unwrap());
    assert!(words(&[&["setting", "--rack", "2", "--nodes", "50"], &runs[..]].concat()).0.contains("not proved"));
}
