//! Three dressings and an order worked apart from this program (`worked/README.md` tells how): every figure of
//! the cards within a millionth of a millionth, every sum of money to the minor unit.

use herl::bench;
use herl::card::{self, Card};
use herl::diagnostic::Told;
use herl::dressing::Size;
use herl::measure::{Unit, words::fold};
use herl::plan::{self, Plan};
use rust_decimal::Decimal;
use serde_json::Value;
use std::path::Path;

fn here() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/worked")
}

fn expected() -> Value {
    serde_json::from_str(&std::fs::read_to_string(here().join("expected.json")).unwrap()).unwrap()
}

fn bench() -> bench::Bench {
    let loaded = bench::load(&here().join("bench"));
    let errors: Vec<_> = loaded.findings.iter().filter(|fault| fault.is_error()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    loaded.bench
}

/// The key the program knows a worked figure by; `None` for what is only a note of the other reckoning.
fn key(theirs: &str) -> Option<String> {
    Some(match theirs {
        // There, the rearmost of the bend along the wire is called bend, and straight from the eye bend-straight.
        "hook.bend" => "hook.bend-along-wire".to_owned(),
        "hook.bend-straight" => "hook.bend".to_owned(),
        "free shank" => "hook.free-shank".to_owned(),
        "finish.at" => "silk.finish-place".to_owned(),
        "silk.beds" | "silk.binds" | "silk.travel" | "silk.finish" | "silk.wound" | "silk.thick" => return None,
        "hackle.feathers-a-fly" => "hackle.feathers".to_owned(),
        other if other.ends_with(".drops") => format!("{other}-used"),
        // Coverage is told there for open turns too; here as layers, which are nought for them.
        other if other.ends_with(".coverage") || other.ends_with(".gauge") => return None,
        other => other.to_owned(),
    })
}

fn work(bench: &bench::Bench, told: &Value) -> Card {
    let dressing = bench.dressings.get(&fold(told["dressing"].as_str().unwrap())).unwrap();
    let size = Told::new(Size::read(told["size"].as_str().unwrap()).unwrap(), dressing.name.at.clone());
    card::work(dressing, &size, told["variant"].as_str(), None, &bench.shelf).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

#[test]
fn every_figure_of_three_cards_agrees_with_a_reckoning_apart() {
    let bench = bench();
    let mut compared = 0;
    let mut wrong = Vec::new();
    for told in expected()["cards"].as_array().unwrap() {
        let card = work(&bench, told);
        for (theirs, value) in told["figures"].as_object().unwrap() {
            let (Some(key), Some(value)) = (key(theirs), value.as_f64()) else { continue };
            let Some(fig) = card.sheet.find(&key) else {
                wrong.push(format!("{} {}: no figure {key}", card.dressing, card.size));
                continue;
            };
            let ours = card.sheet.value(fig);
            if (ours - value).abs() > 1e-9 * value.abs().max(1e-3) {
                wrong.push(format!("{} {} {:?}: {key} is {ours}, worked apart {value}", card.dressing, card.size, card.variant));
            }
            compared += 1;
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(compared > 200, "only {compared} figures were compared");
}

#[test]
fn the_sums_of_silk_agree_by_their_kinds() {
    let bench = bench();
    for told in expected()["cards"].as_array().unwrap() {
        let card = work(&bench, told);
        for (theirs, stem) in [("silk.beds", "silk.bed."), ("silk.binds", "silk.bind."), ("silk.travel", "silk.travel."), ("silk.finish", "silk.finish.")] {
            let ours: f64 = card.sheet.rows().filter(|(_, key, row)| key.starts_with(stem) && row.unit == Unit::Mm).map(|(_, _, row)| row.value).sum();
            let value = told["figures"][theirs].as_f64().unwrap();
            assert!((ours - value).abs() < 1e-9 * value, "{} {}: {theirs} is {ours}, worked apart {value}", card.dressing, card.size);
        }
    }
}

fn order(bench: &bench::Bench) -> Plan {
    let order = bench.orders.values().next().unwrap();
    plan::work(order, &bench.dressings, &bench.shelf, &plan::Given::default()).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

fn decimal(value: &Value) -> Decimal {
    // Their strings carry thirty digits; a decimal here keeps twenty-eight.
    Decimal::from_str_exact(value.as_str().unwrap()).or_else(|_| value.as_str().unwrap().get(..28).unwrap().parse()).unwrap()
}

#[test]
fn the_order_of_three_dozen_each_agrees_to_the_minor_unit() {
    let bench = bench();
    let plan = order(&bench);
    let expected = expected();
    let find = |key: &str| plan.figures.value(plan.figures.find(key).unwrap_or_else(|| panic!("no figure {key}")));
    let lines = expected["order"]["lines"].as_array().unwrap();
    assert_eq!(lines.len(), plan.runs.len());
    for (run, told) in plan.runs.iter().zip(lines) {
        let key = &run.key;
        for (name, theirs) in [
            ("materials-exact", "materials"),
            ("labour-exact", "labour"),
            ("overhead-exact", "overhead"),
            ("cost-exact", "cost"),
            ("hours", "hours"),
            ("earns", "earns an hour"),
        ] {
            let (ours, value) = (find(&format!("{key}.{name}")), decimal(&told[theirs]));
            // A reckoned price is rounded by the dozen here, so what it earns may differ by the rounding.
            let near = if name == "earns" { Decimal::new(1, 2) } else { Decimal::new(1, 7) };
            assert!((ours - value).abs() < near, "{key}: {name} is {ours}, worked apart {value}");
        }
        assert_eq!(find(&format!("{key}.seconds-a-fly")), decimal(&told["time a fly"]), "{key}");
        let price = decimal(&told["rounded"]["price"]);
        assert_eq!(find(&format!("{key}.price")), price, "{key}");
        for used in told["uses"].as_array().unwrap() {
            let cost = decimal(&used["cost"]);
            let near = |fig: Decimal| (fig - cost).abs() < Decimal::new(1, 7);
            let met = plan.figures.rows().any(|(_, own, row)| own.starts_with(key.as_str()) && own.contains("cost-exact") && near(row.value));
            assert!(met, "{key}: no material costs {cost} ({})", used["material"]);
        }
    }
    let total = &expected["order"]["total"];
    for (ours, theirs) in [(plan.totals.materials, "materials"), (plan.totals.cost, "cost"), (plan.totals.price.unwrap(), "price")] {
        assert_eq!(
            plan.figures.value(ours),
            decimal(&total[theirs]).round_dp_with_strategy(2, rust_decimal::RoundingStrategy::MidpointAwayFromZero),
            "{theirs}"
        );
    }
    assert!((plan.figures.value(plan.totals.hours) - decimal(&expected["order"]["hours"])).abs() < Decimal::new(1, 9));
}
