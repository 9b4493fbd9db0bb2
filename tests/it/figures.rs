//! The sheet's promises, held over the whole demo bench: every worked figure can be worked again from its
//! inputs, every number printed as JSON answers to `--why`, and drawing, card and plan tell one length.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

use herl::bench::{self, Bench};
use herl::card::figure::{View, extents, figure};
use herl::card::form::{DONE, Form, forms};
use herl::card::{self, Card};
use herl::paper::json;
use herl::plan::{self, Plan};
use herl::why::{Origin, Sheet, cross};
use serde_json::Value;
use std::path::Path;
use std::process::Command;

pub(crate) fn demo() -> Bench {
    let loaded = bench::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo"));
    assert!(loaded.findings.is_empty(), "{:#?}", loaded.findings);
    loaded.bench
}

pub(crate) fn cards(bench: &Bench) -> Vec<Card> {
    let mut all = Vec::new();
    for dressing in bench.dressings.values() {
        let variants = std::iter::once(None).chain(dressing.variants.keys().map(|name| Some(name.as_str())));
        for variant in variants {
            for size in &dressing.sizes {
                all.push(card::work(dressing, size, variant, None, &bench.shelf).unwrap_or_else(|faults| panic!("{faults:#?}")));
            }
        }
    }
    assert!(!all.is_empty(), "there are cards to look at");
    all
}

fn plans(bench: &Bench) -> Vec<Plan> {
    let all: Vec<Plan> = bench
        .orders
        .values()
        .map(|order| plan::work(order, &bench.dressings, &bench.shelf, &plan::Given::default()).unwrap_or_else(|faults| panic!("{faults:#?}")))
        .collect();
    assert!(!all.is_empty(), "there are plans to look at");
    all
}

pub(crate) fn works_again<V: Copy + PartialEq + std::fmt::Debug>(sheet: &Sheet<V>) -> usize {
    let mut worked = 0;
    for (fig, key, row) in sheet.rows() {
        if let Origin::Worked { formula, inputs } = &row.origin {
            assert_eq!(sheet.again(fig), Some(row.value), "{key} worked again from its inputs");
            assert!(sheet.units_fit(formula, inputs), "{key}: the units of its inputs are those of \"{}\"", formula.text());
            assert_eq!(inputs.iter().map(|input| sheet.at(*input).standing).max(), Some(row.standing), "{key} is as weak as its weakest input");
            worked += 1;
        }
    }
    worked
}

#[test]
fn every_worked_figure_works_again_from_its_inputs() {
    let bench = demo();
    let worked: usize = cards(&bench).iter().map(|card| works_again(&card.sheet)).sum();
    assert!(worked > 1000, "only {worked} figures of cards were worked again");
    let worked: usize = plans(&bench).iter().map(|plan| works_again(&plan.figures)).sum();
    assert!(worked > 200, "only {worked} figures of plans were worked again");
}

/// Every number in a document, by its path; money is text and counts too.
fn numbers(value: &Value, path: &str, found: &mut Vec<String>) {
    match value {
        Value::Number(_) => found.push(path.to_owned()),
        Value::Object(map) => {
            for (key, value) in map {
                if key == "value" && map.contains_key("currency") {
                    found.push(format!("{path}[\"value\"]"));
                } else {
                    numbers(value, &format!("{path}[\"{key}\"]"), found);
                }
            }
        }
        Value::Array(list) => list.iter().enumerate().for_each(|(nth, value)| numbers(value, &format!("{path}[{nth}]"), found)),
        _ => {}
    }
}

/// The key a path stands for.
fn key(path: &str) -> Option<String> {
    let inside = path.strip_prefix("[\"figures\"][\"")?;
    let (key, rest) = inside.split_once("\"]")?;
    match rest {
        "[\"value\"]" => Some(key.to_owned()),
        "[\"low\"]" => Some(format!("{key}.low")),
        "[\"high\"]" => Some(format!("{key}.high")),
        _ => None,
    }
}

#[test]
fn every_number_of_the_json_is_a_figure_of_the_sheet() {
    let bench = demo();
    let mut seen = 0;
    let mut look = |document: &Value, has: &dyn Fn(&str) -> bool| {
        let mut found = Vec::new();
        numbers(document, "", &mut found);
        for path in found {
            let answered = path == "[\"schema\"]" || key(&path).is_some_and(|key| has(&key));
            assert!(answered, "{path} answers to no --why");
            seen += 1;
        }
    };
    for card in cards(&bench) {
        look(&json::card(&card), &|key| card.sheet.find(key).is_some());
    }
    for plan in plans(&bench) {
        look(&json::plan(&plan), &|key| plan.figures.find(key).is_some());
    }
    assert!(seen > 2000, "only {seen} numbers were seen");
}

fn herl(arguments: &[&str]) -> (String, String, Option<i32>) {
    let out =
        Command::new(env!("CARGO_BIN_EXE_herl")).args(["--bench", "recipes-demo"]).args(arguments).current_dir(env!("CARGO_MANIFEST_DIR")).output().unwrap();
    (String::from_utf8(out.stdout).unwrap(), String::from_utf8(out.stderr).unwrap(), out.status.code())
}

#[test]
fn the_real_program_answers_why_of_every_number_of_a_card() {
    let bench = demo();
    let name = bench.dressings.values().next().unwrap().name.value.clone();
    let (printed, _, code) = herl(&["card", &name, "--json"]);
    assert_eq!(code, Some(0));
    let mut found = Vec::new();
    numbers(&serde_json::from_str(&printed).unwrap(), "", &mut found);
    assert!(found.len() > 30);
    // Each start of the program costs a little, so every seventh is asked; the sheet was asked for all above.
    for path in found.iter().step_by(7) {
        let (answer, trouble, code) = herl(&["card", &name, "--why", path]);
        assert_eq!(code, Some(0), "--why {path}: {trouble}");
        assert!(answer.contains(" = "), "--why {path} tells a figure: {answer}");
    }
    let (_, trouble, code) = herl(&["card", &name, "--why", "wing.colour"]);
    assert_eq!(code, Some(1));
    assert!(trouble.contains("there is no figure") && trouble.contains("right:"), "{trouble}");
}

#[test]
fn drawing_card_and_plan_tell_one_length() {
    let bench = demo();
    let mut lengths = 0;
    for card in cards(&bench) {
        for put in forms(&card) {
            let Some(part) = put.part.and_then(|nth| card.parts.get(nth)) else { continue };
            let drawn = match put.form {
                Form::Fan { length, .. } => length,
                Form::Ring { fibre, .. } => fibre,
                _ => continue,
            };
            // The flue of a herl is drawn too, but is no length of the card.
            let Some(told) = part.length.or(part.fibre).map(|fig| card.sheet.value(fig)) else { continue };
            assert!((drawn - told).abs() < 1e-9, "{} {}: {} is drawn {drawn} mm long and told {told}", card.dressing, card.size, part.name);
            lengths += 1;
        }
        let (low, high) = extents(&figure(&card, View::Side, DONE)).unwrap();
        assert!(high[0] - low[0] >= card.sheet.value(card.hook.overall) - 1e-6, "{}: the hook is drawn whole", card.dressing);
    }
    assert!(lengths > 20, "only {lengths} lengths were compared");
    for plan in plans(&bench) {
        assert!(!plan.from_card.is_empty());
        for (fig, (run, on_card)) in &plan.from_card {
            let card = &plan.runs[*run].card;
            assert_eq!(Some(plan.figures.value(*fig)), cross(card.sheet.value(*on_card)), "{}", plan.figures.key(*fig));
        }
    }
}
