//! Means against each other, and rates.

use crate::rows::agree;
use herl::reckon::means::{paired, signs, spread};
use herl::reckon::rates::{differ, within};
use serde_json::Value;

fn records(part: &str, count: usize) -> Vec<Value> {
    let file: Value = serde_json::from_str(include_str!("data/means_and_rates.json")).unwrap();
    let list = file[part].as_array().unwrap().clone();
    assert_eq!(list.len(), count, "records of {part}");
    list
}

fn figures(record: &Value, key: &str) -> Vec<f64> {
    record[key].as_array().unwrap_or_else(|| panic!("no figures {key}")).iter().map(|figure| figure.as_f64().unwrap()).collect()
}

/// The sleep of ten people with one drug and another (Student 1908), and minutes a piece of two ways of working.
#[test]
fn every_pair_of_means() {
    for record in records("means", 2) {
        let what = record["name"].as_str().unwrap();
        let figure = |key: &str| record[key].as_f64().unwrap();
        let (a, b) = (figures(&record, "a"), figures(&record, "b"));
        let (one, other) = (spread(&a).unwrap(), spread(&b).unwrap());
        for (got, place) in [(one, 0), (other, 1)] {
            agree(what, Some(got.mean), figures(&record, "mean")[place], 1e-13);
            agree(what, Some(got.sd), figures(&record, "sd")[place], 1e-13);
        }
        let welch = one.against(&other).unwrap();
        agree(what, welch.t(), figure("welch_t"), 1e-12);
        agree(what, Some(welch.freedom), figure("welch_df"), 1e-12);
        agree(what, welch.chance(), figure("welch_p"), 1e-11);
        let bounds = welch.within(0.95).unwrap();
        agree(what, Some(bounds.low), figures(&record, "welch_ci95")[0], 1e-10);
        agree(what, Some(bounds.high), figures(&record, "welch_ci95")[1], 1e-10);
        let student = one.against_alike(&other).unwrap();
        agree(what, student.t(), figure("student_t"), 1e-12);
        agree(what, student.chance(), figure("student_p"), 1e-11);
        if a.len() == b.len() {
            let apart = paired(&a, &b).unwrap();
            agree(what, apart.t(), figure("paired_t"), 1e-12);
            agree(what, apart.chance(), figure("paired_p"), 1e-11);
            let seen = figures(&record, "sign");
            agree(what, signs(seen[0] as u64, seen[1] as u64), figure("sign_test_p"), 1e-13);
        }
    }
}

/// Bounds of a rate against another program's, two rates against its exact test.
#[test]
fn every_pair_of_rates() {
    for record in records("poisson_rates", 5) {
        let (count, exposure) = (figures(&record, "count"), figures(&record, "exposure"));
        let bounds = within(count[0] as u64, exposure[0], 0.95).unwrap();
        let wanted = figures(&record, "rate1_garwood95");
        agree("low", Some(bounds.low), wanted[0], 1e-11);
        agree("high", Some(bounds.high), wanted[1], 1e-11);
        let chance = differ(count[0] as u64, exposure[0], count[1] as u64, exposure[1]);
        agree("chance", chance, record["exact_conditional_p"].as_f64().unwrap(), 1e-11);
    }
}
