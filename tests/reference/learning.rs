//! Learning curves: factors, printed examples, and curves fitted to times.

use crate::rows::{agree, rows};
use herl::reckon::learning::{Curve, Learning, part_fixed, practised, rate_by_total, to_a_floor};
use herl::reckon::own_times::{Timed, fit};
use serde_json::Value;

/// Against 30-digit arithmetic.
#[test]
fn every_factor_of_the_table() {
    for row in rows(include_str!("data/learning_factors.csv"), 109) {
        let (rate, n) = (row.figure("rate"), row.figure("n") as u64);
        let what = format!("{rate} {n}");
        let unit = Learning::new(Curve::Unit, 1.0, rate).unwrap();
        let average = Learning::new(Curve::Average, 1.0, rate).unwrap();
        agree(&what, unit.unit(n), row.figure("crawford_unit_factor"), 1e-13);
        agree(&what, unit.total(n), row.figure("crawford_total_factor"), 1e-13);
        agree(&what, average.average(n), row.figure("wright_cum_average_factor"), 1e-13);
        agree(&what, average.total(n), row.figure("wright_total_factor"), 1e-13);
        agree(&what, average.unit(n), row.figure("wright_unit_factor"), 1e-12);
    }
}

fn file() -> Value {
    serde_json::from_str(include_str!("data/learning_fits.json")).unwrap()
}

fn list<'a>(file: &'a Value, part: &str, count: usize) -> &'a [Value] {
    let list = file[part].as_array().unwrap();
    assert_eq!(list.len(), count, "records of {part}");
    list
}

fn figure(record: &Value, key: &str) -> f64 {
    record[key].as_f64().unwrap_or_else(|| panic!("no figure {key}"))
}

fn figures(record: &Value, key: &str) -> Vec<f64> {
    record[key].as_array().unwrap().iter().map(|figure| figure.as_f64().unwrap()).collect()
}

/// Least squares in logarithms, by two other programs and 30-digit arithmetic.
#[test]
fn every_curve_through_times() {
    for record in list(&file(), "fits", 13) {
        let what = format!("times {}", record["id"]);
        let times: Vec<Timed> = figures(record, "unit_times").into_iter().zip(1..).map(|(time, n)| Timed { number: f64::from(n), time }).collect();
        let fit = fit(&times).unwrap();
        agree(&what, Some(fit.line.power), figure(record, "slope"), 1e-12);
        agree(&what, Some(fit.line.first), figure(record, "first_unit"), 1e-12);
        agree(&what, Some(fit.line.rate()), figure(record, "rate"), 1e-12);
        agree(&what, Some(fit.explained), figure(record, "r_squared"), 1e-11);
        agree(&what, Some(fit.power_error), figure(record, "slope_se"), 1e-11);
        let [low, high] = figures(record, "slope_ci95")[..] else { panic!("two bounds") };
        let within = fit.power_within(0.95).unwrap();
        agree(&what, Some(within.low), low, 1e-9);
        agree(&what, Some(within.high), high, 1e-9);
        let next = times.len() as f64 + 1.0;
        agree(&what, fit.line.at(next).map(f64::ln), figure(record, "next_unit_ln_pred"), 1e-12);
        let [low, high] = figures(record, "next_unit_ln_pi90")[..] else { panic!("two bounds") };
        let within = fit.next_within(next, 0.9).unwrap();
        agree(&what, Some(within.low.ln()), low, 1e-9);
        agree(&what, Some(within.high.ln()), high, 1e-9);
    }
}

/// The examples printed in textbooks, to the digits printed, and to arithmetic by 30 digits. One book adds up rounded
/// factors: its 1121.4 is 1121.32.
#[test]
fn every_printed_example() {
    for record in list(&file(), "worked", 10) {
        let curve = if record["model"] == "crawford" { Curve::Unit } else { Curve::Average };
        let learning = Learning::new(curve, figure(record, "first"), figure(record, "rate")).unwrap();
        let n = record["n"].as_u64().unwrap();
        let got = match record["quantity"].as_str().unwrap() {
            "unit" => learning.unit(n),
            "total" => learning.total(n),
            _ => learning.average(n),
        };
        agree(&record.to_string(), got, figure(record, "exact"), 1e-12);
        agree(&record.to_string(), got, figure(record, "printed"), 2e-4);
    }
    for record in list(&file(), "inverse", 1) {
        let rate = rate_by_total(figure(record, "first"), figure(record, "total"), record["n"].as_u64().unwrap());
        agree("rate", rate, figure(record, "rate"), 1e-12);
    }
}

#[test]
fn the_other_curves() {
    for record in list(&file(), "other_models", 3) {
        let (first, rate) = (figure(record, "first"), figure(record, "rate"));
        for n in [1, 2, 5, 10, 50] {
            let key = n.to_string();
            agree("de Jong", part_fixed(first, rate, figure(record, "M"), n), figure(&record["dejong_unit"], &key), 1e-12);
            agree("Stanford", practised(first, rate, figure(record, "B"), n), figure(&record["stanford_b_unit"], &key), 1e-12);
            agree("floor", to_a_floor(first, rate, figure(record, "plateau"), n), figure(&record["plateau_unit"], &key), 1e-12);
        }
    }
}

/// "learningCurve", B. C. Boehmke and J. K. Freels (AFIT): its printed totals, and figures worked from its inputs.
#[test]
fn totals_of_great_numbers() {
    let of = |curve, first, rate| Learning::new(curve, first, rate).unwrap();
    let (unit, average) = (of(Curve::Unit, 100.0, 0.85), of(Curve::Average, 100.0, 0.85));
    assert_eq!(format!("{:.3}", unit.total(125).unwrap()), "5201.085");
    assert_eq!(format!("{:.4}", unit.unit(125).unwrap()), "32.2365");
    assert_eq!(format!("{:.3} {:.4}", average.total(125).unwrap(), average.unit(125).unwrap()), "4029.559 24.7014");
    assert_eq!(format!("{:.3}", unit.total(25).unwrap() - average.total(25).unwrap()), "304.711");
    assert_eq!(format!("{:.0}", unit.total(1_000_000).unwrap()), "5119612");
    // From the 201st, which takes 125 h, to the 500th, at 75 %.
    let first = 125.0 / 201_f64.powf(0.75_f64.log2());
    let block = of(Curve::Unit, first, 0.75).from_to(201, 500).unwrap();
    assert_eq!(format!("{block:.2}"), "30350.47");
    // Of 300 made by three departments, which take 70, 45 and 25 h for the first; the third may take 30.
    let departments = |third| of(Curve::Average, 70.0, 0.85).total(300).unwrap() + of(Curve::Average, 45.0, 0.87).total(300).unwrap() + third;
    let third = |first| of(Curve::Average, first, 0.8).total(300).unwrap();
    assert_eq!(format!("{:.2} {:.2}", departments(third(25.0)), third(30.0) - third(25.0)), "11000.96 239.13");
    // A rate of 87 % where 85 % was planned, over 250.
    let slower = of(Curve::Average, 1.0, 0.87).total(250).unwrap() / of(Curve::Average, 1.0, 0.85).total(250).unwrap();
    assert_eq!(format!("{:.2}", 100.0 * (slower - 1.0)), "20.35");
}

/// "Learning Curve Mathematics" (R. M. Wideman): at 80 % the average of two is 80 %, the second 60 %, the average of four 64 % of the first.
/// Practice exams of ACCA Performance Management: 1,000 h, 80 %: four at 640 h on average; 2,000 h: two take 3,200 h; 81 %: 656.1 h. Two
/// rates from figures (OpenTuition): 12.5 h and 34.3 h for 8, 70 %; 1,500 and 9,000 for 16, 78.25 %.
#[test]
fn averages_as_printed() {
    let of = |first, rate| Learning::new(Curve::Average, first, rate).unwrap();
    agree("two", of(100.0, 0.8).average(2), 80.0, 1e-12);
    agree("the second", of(100.0, 0.8).unit(2), 60.0, 1e-12);
    agree("four", of(1000.0, 0.8).average(4), 640.0, 1e-12);
    agree("two", of(2000.0, 0.8).total(2), 3200.0, 1e-12);
    agree("four", of(1000.0, 0.81).average(4), 656.1, 1e-12);
    agree("rate", rate_by_total(12.5, 34.3, 8), 0.7, 1e-12);
    agree("rate", rate_by_total(1500.0, 9000.0, 16), 0.375_f64.powf(0.25), 1e-12);
    assert_eq!(format!("{:.2}", 100.0 * rate_by_total(1500.0, 9000.0, 16).unwrap()), "78.25");
}

/// The table of factors at 80 % that textbooks print to four places.
#[test]
fn factors_at_eighty_per_cent() {
    let learning = Learning::new(Curve::Unit, 1.0, 0.8).unwrap();
    let units = [1.0, 0.8, 0.7021, 0.64, 0.5956, 0.5617, 0.5345, 0.512, 0.4929, 0.4765];
    for (n, wanted) in (1..).zip(units) {
        agree("unit", learning.unit(n), wanted, 1.5e-4);
    }
    let totals =
        [(2, 1.8), (3, 2.5021), (4, 3.1421), (5, 3.7377), (6, 4.2994), (8, 5.3459), (10, 6.3154), (12, 7.2268), (20, 10.4849), (24, 11.9538), (30, 14.0199)];
    for (n, wanted) in totals {
        agree("total", learning.total(n), wanted, 3e-5);
    }
}
