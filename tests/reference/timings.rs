//! How many timings are needed, and what time a number of flies takes.

use crate::rows::agree;
use herl::reckon::chance::two_sided;
use herl::reckon::timings::{Moments, needed, needed_short, spread};

/// The number needed for the timings given, rounded to one decimal and up.
fn so_many(timings: &[f64], within: f64, z: f64) -> (String, f64) {
    let seen = spread(timings).unwrap();
    let n = needed(seen.mean, seen.sd, within, z).unwrap();
    (format!("{n:.1}"), n.ceil())
}

/// Heizer and Render, a problem of time study (inputs as printed; the answer by the formula of Krajewski, Malhotra and
/// Ritzman): 3.5, 3.2, 4.1, 3.6, 3.9 min to 5 % with 95 %: mean 3.66, deviation 0.3507, 14.11, so 15.
#[test]
fn five_timings_are_too_few() {
    let timings = [3.5, 3.2, 4.1, 3.6, 3.9];
    let seen = spread(&timings).unwrap();
    assert_eq!(format!("{:.2} {:.4}", seen.mean, seen.sd), "3.66 0.3507");
    assert_eq!(so_many(&timings, 0.05, 1.96), ("14.1".to_owned(), 15.0));
    assert_eq!(so_many(&timings, 0.05, two_sided(0.95).unwrap()).1, 15.0);
}

/// "How many work cycles should be timed", homework.zookal.com (inputs): 5.2, 5.5, 5.8, 5.3, 5.5, 5.1 min to 1 % with 94 % (z 1.88): 77.6, so 78; and one whose
/// answer page (jiskha.com 1910111) is wrong: 5.2, 5.5, 6.6, 5.3, 5.5, 5.1 min to 2 % with 99 % takes 161.8, so 162.
#[test]
fn finer_timings_need_more() {
    assert_eq!(so_many(&[5.2, 5.5, 5.8, 5.3, 5.5, 5.1], 0.01, 1.88), ("77.6".to_owned(), 78.0));
    assert_eq!(so_many(&[5.2, 5.5, 6.6, 5.3, 5.5, 5.1], 0.02, two_sided(0.99).unwrap()), ("161.8".to_owned(), 162.0));
}

/// Lecture notes MEE308, time study: mean 65, deviation 5, to 5 % with 97 % (z 2.17): 11.14, so 12.
#[test]
fn by_mean_and_deviation() {
    let n = needed(65.0, 5.0, 0.05, 2.17).unwrap();
    agree("n", Some(n), 11.145, 1e-4);
    assert_eq!(n.ceil(), 12.0);
}

/// *Introduction to Work Study* (International Labour Office), from memory: 7, 6, 7, 7, 6 needs 8.815, so 9.
#[test]
fn the_short_form() {
    assert_eq!(format!("{:.3}", needed_short(&[7.0, 6.0, 7.0, 7.0, 6.0]).unwrap()), "8.815");
}

/// Fenton, *IRE Transactions* CS-8 (1960) 57: the sum's mean and variance are the sums of theirs, and its logarithm is
/// normal. With a mean of e^(1/2) and the variance of a standard log-normal, e (e - 1), one time's logarithm is standard
/// normal, so that its quantiles are e^z.
#[test]
fn a_standard_log_normal_time() {
    use std::f64::consts::E;
    let one = Moments::new(E.sqrt(), (E * (E - 1.0)).sqrt()).unwrap();
    let range = one.range(0.95).unwrap();
    agree("low", Some(range.low), (-1.959_963_984_540_054_f64).exp(), 1e-12);
    agree("high", Some(range.high), 1.959_963_984_540_054_f64.exp(), 1e-12);
    agree("half", one.chance_within(1.0), 0.5, 1e-12);
    let dozen = one.of(12).unwrap();
    agree("mean", Some(dozen.mean), 12.0 * E.sqrt(), 1e-14);
    agree("variance", Some(dozen.variance), 12.0 * E * (E - 1.0), 1e-14);
    // Of a great many the log-normal is normal: the central limit.
    let many = one.of(1_000_000).unwrap();
    agree("many", Some(many.range(0.95).unwrap().high), many.mean + 1.959_964 * many.sd(), 1e-5);
}
