//! `herl reckon start`, `learn`, `eoq` and `reorder` as they are called.

use crate::reckon_cli::{answer, code, near, output, refusal, trouble};

fn start<'a>(deliver: &'a str, reject: &'a str, sure: &'a str) -> Vec<&'a str> {
    vec!["reckon", "start", "--deliver", deliver, "--reject", reject, "--sure", sure]
}

fn learn<'a>(first: &'a str, rate: &'a str, count: &'a str, curve: &'a str) -> Vec<&'a str> {
    vec!["reckon", "learn", "--first", first, "--rate", rate, "--count", count, "--curve", curve]
}

fn eoq<'a>(demand: &'a str, order: &'a str, holding: &'a str) -> Vec<&'a str> {
    vec!["reckon", "eoq", "--demand", demand, "--order-cost", order, "--holding", holding]
}

fn reorder<'a>(mean: &'a str, sd: &'a str, lead: &'a str, service: &'a str) -> Vec<&'a str> {
    vec!["reckon", "reorder", "--mean", mean, "--sd", sd, "--lead", lead, "--service", service]
}

/// The rule P(binomial(n, 0.95) >= 36) >= 0.95 and 0.99, worked in exact fractions by another program: 40 and 42.
#[test]
fn three_dozen_at_one_reject_in_twenty() {
    let told = answer(&start("36", "0.05", "0.95"));
    assert_eq!(told["start"], 40);
    near(&told["probability"], 0.951_971_739_745_784_6);
    assert_eq!(told, answer(&start("3 dozen", "5 %", "95%")));
    assert_eq!(answer(&start("36", "1/20", "0.99"))["start"], 42);
    assert!(output(&start("36", "0.05", "0.95")).starts_with("start        40\nprobability  0.952  (that 36 or more pass)\n"));
}

/// Table of the posterior predictive with a flat prior, by another program: 1 of 20 rejected, 24 wanted, 95 %: 32.
#[test]
fn rejects_counted_before() {
    let told = answer(&["reckon", "start", "--deliver", "24", "--rejected", "1", "--of", "20", "--sure", "0.95"]);
    assert_eq!(told["start"], 32);
    near(&told["probability"], 0.966_483_732_442_206);
    let call = |rejected, of| ["reckon", "start", "--deliver", "24", "--rejected", rejected, "--of", of, "--sure", "0.9"];
    assert!(refusal(&call("21", "20")).contains("at most 20"));
    assert!(refusal(&call("-1", "20")).contains("below nought"));
    // Of a share of which nothing is known 24 or more of n pass with (n - 23) / (n + 1).
    assert_eq!(answer(&call("0", "0"))["start"], 239);
    assert!(refusal(&["reckon", "start", "--deliver", "1000000000", "--rejected", "0", "--of", "0", "--sure", "0.9"]).contains("ten million"));
    for wrong in [
        &["reckon", "start", "--deliver", "24", "--rejected", "1", "--sure", "0.9"][..],
        &["reckon", "start", "--deliver", "24", "--of", "20", "--sure", "0.9"],
        &["reckon", "start", "--deliver", "24", "--reject", "0.1", "--rejected", "1", "--of", "20", "--sure", "0.9"],
        &["reckon", "start", "--deliver", "24", "--sure", "0.9"],
    ] {
        assert_eq!(code(wrong), 2, "{wrong:?}");
    }
}

#[test]
fn the_ends_of_counts_and_shares() {
    assert_eq!(answer(&start("36", "0", "1"))["start"], 36);
    assert_eq!(answer(&start("1000000000", "0.5", "0.999"))["start"], 2_000_138_204_u64);
    assert!(refusal(&start("36", "1", "0.9")).contains("none ever passes"));
    assert!(refusal(&start("36", "0.1", "1")).contains("quite sure"));
    assert!(refusal(&start("36", "0.1", "0")).contains("nought"));
    assert!(refusal(&start("1000000000", "0.999999999", "0.9")).contains("cannot be counted"));
    assert!(refusal(&start("0", "0.1", "0.9")).contains("--deliver"));
    // Every fault at once.
    let told = refusal(&start("1.5", "2", "95"));
    assert!(["--deliver", "--reject", "--sure"].iter().all(|option| told.contains(option)), "{told}");
    let words = trouble(&start("36", "1", "0.9"));
    for part in ["herl: --reject:", "given: --reject \"1\"", "right:"] {
        assert!(words.contains(part), "{part} is missing from:\n{words}");
    }
}

/// "learningCurve" (AFIT): Crawford at 85 %, 125 units from 100 h: 5,201.085 h, the last 32.2365 h; Wright 4,029.559 h and
/// 24.7014 h.
#[test]
fn the_two_curves() {
    let unit = answer(&learn("100 h", "0.85", "125", "unit"));
    let hours = |told: &serde_json::Value, key: &str| format!("{:.3}", told[key].as_f64().unwrap() / 60.0);
    assert_eq!((hours(&unit, "total_min"), hours(&unit, "last_min"), hours(&unit, "average_min")), ("5201.085".into(), "32.236".into(), "41.609".into()));
    let average = answer(&learn("100 h", "85 %", "125", "average"));
    assert_eq!((hours(&average, "total_min"), hours(&average, "last_min")), ("4029.559".into(), "24.701".into()));
    // A bare time is in minutes; without learning all take the same.
    near(&answer(&learn("12", "1", "1000000000", "unit"))["total_min"], 12e9);
    assert!(output(&learn("10 min", "80 %", "2 dozen", "unit")).starts_with("total    119.5381 min  (1.9923 h)\n"));
}

#[test]
fn curves_that_cannot_be() {
    assert!(refusal(&learn("10", "0.5", "8", "average")).contains("--curve unit"));
    near(&answer(&learn("10", "0.5", "8", "unit"))["last_min"], 1.25);
    let told = refusal(&learn("0", "1.2", "0", "unit"));
    assert!(["--first", "--rate", "--count"].iter().all(|option| told.contains(option)), "{told}");
    assert_eq!(code(&learn("10", "0.9", "8", "mean")), 2);
}

/// Heizer and Render, *Operations Management*, example 12.3: 200 at a time; 100 a year.
#[test]
fn how_much_to_order() {
    let told = answer(&eoq("1000", "10", "0.50"));
    near(&told["eoq"], 200.0);
    near(&told["cost_per_time"], 100.0);
    assert!(output(&eoq("2400", "5", "4")).starts_with("order  77.4597  (whole: 77)\n"));
    let told = refusal(&eoq("0", "-1", "NaN"));
    assert!(["--demand", "--order-cost", "--holding"].iter().all(|option| told.contains(option)), "{told}");
}

/// The table by another program: a mean of 12 and a deviation of 4 a week, two weeks, 95 %; then with half a week of spread.
#[test]
fn at_which_stock() {
    let told = answer(&reorder("12", "4", "2", "0.95"));
    near(&told["reorder_point"], 33.304_697_229_413_39);
    near(&told["safety_stock"], 9.304_697_229_413_39);
    let told = answer(&[&reorder("12", "4", "2", "95 %")[..], &["--lead-sd", "0.5"]].concat());
    near(&told["reorder_point"], 37.563_810_485_202_45);
    near(&answer(&reorder("10", "0", "3", "0.99"))["reorder_point"], 30.0);
    assert!(refusal(&reorder("12", "4", "2", "1")).contains("quite sure"));
    let told = refusal(&reorder("-12", "4 mm", "1e3", "0"));
    assert!(["--mean", "--sd", "--lead", "--service"].iter().all(|option| told.contains(option)), "{told}");
}

#[test]
fn figures_that_are_none_are_refused_and_nothing_panics() {
    for text in ["-3", "NaN", "inf", "-inf", "1e999", "99999999999999999999", "", " ", "1/0", "½½", "٣", "12 mm", "\u{1b}[2J", "1,5"] {
        for call in [start(text, "0.1", "0.9"), start("36", text, "0.9"), start("36", "0.1", text)] {
            assert!(!refusal(&call).is_empty(), "{call:?}");
        }
        for call in [learn(text, "0.9", "8", "unit"), learn("10", text, "8", "unit"), learn("10", "0.9", text, "average")] {
            assert!(!refusal(&call).is_empty(), "{call:?}");
        }
        for call in [eoq(text, "1", "1"), eoq("1", text, "1"), eoq("1", "1", text)] {
            assert!(!refusal(&call).is_empty(), "{call:?}");
        }
        for call in [reorder(text, "1", "1", "0.9"), reorder("1", text, "1", "0.9"), reorder("1", "1", text, "0.9"), reorder("1", "1", "1", text)] {
            assert!(!refusal(&call).is_empty(), "{call:?}");
        }
    }
}
