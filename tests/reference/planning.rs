//! Printed examples of times by three figures, batches through stations, and lots begun again.

use crate::rows::agree;
use herl::reckon::flow::{Flow, through};
use herl::reckon::lots::{Lot, Terms, best};
use herl::reckon::pert::{by, chain, three};
use herl::reckon::standard_time::{Allowance, normal, observed, standard};
use herl::reckon::timings::Moments;

/// D. R. Anderson and others, *An Introduction to Management Science*, p. 384: 4, 5 and 12 weeks are 6 with a variance of
/// 1.78; the whole table; along A, E, H, I, J 17 weeks (the path from memory), with 20 a probability of 0.9655.
#[test]
fn times_by_three_figures() {
    let time = three(4.0, 5.0, 12.0).unwrap();
    assert_eq!(time.mean, 6.0);
    agree("variance", Some(time.variance), 16.0 / 9.0, 1e-14);
    let table = [
        (4.0, 5.0, 12.0, 6.0),
        (1.0, 1.5, 5.0, 2.0),
        (2.0, 3.0, 4.0, 3.0),
        (3.0, 4.0, 11.0, 5.0),
        (2.0, 3.0, 4.0, 3.0),
        (1.5, 2.0, 2.5, 2.0),
        (1.5, 3.0, 4.5, 3.0),
        (2.5, 3.5, 7.5, 4.0),
        (1.5, 2.0, 2.5, 2.0),
        (1.0, 2.0, 3.0, 2.0),
    ];
    let times: Vec<Moments> = table.iter().map(|(least, likeliest, most, _)| three(*least, *likeliest, *most).unwrap()).collect();
    for (time, row) in times.iter().zip(&table) {
        agree("mean", Some(time.mean), row.3, 1e-14);
    }
    let path = chain(&[times[0], times[4], times[7], times[8], times[9]]).unwrap();
    agree("mean", Some(path.mean), 17.0, 1e-14);
    assert_eq!(format!("{:.3} {:.3} {:.4}", path.variance, path.sd(), by(path, 20.0).unwrap()), "2.722 1.650 0.9655");
}

/// *Production and Operations Management* (slides, PERT): nine times by three figures; along A, C, E, H, I 54 days with a
/// variance of 41; and with a mean of 40 and a deviation of 5 it is done by 50 with 0.97725.
#[test]
fn another_network() {
    let table = [
        (3.0, 6.0, 15.0, "7.000"),
        (2.0, 4.0, 14.0, "5.333"),
        (6.0, 12.0, 30.0, "14.000"),
        (2.0, 5.0, 8.0, "5.000"),
        (5.0, 11.0, 17.0, "11.000"),
        (3.0, 6.0, 15.0, "7.000"),
        (3.0, 9.0, 27.0, "11.000"),
        (1.0, 4.0, 7.0, "4.000"),
        (4.0, 19.0, 28.0, "18.000"),
    ];
    let times: Vec<Moments> = table.iter().map(|(least, likeliest, most, _)| three(*least, *likeliest, *most).unwrap()).collect();
    for (time, row) in times.iter().zip(&table) {
        assert_eq!(format!("{:.3}", time.mean), row.3);
    }
    let path = chain(&[times[0], times[2], times[4], times[7], times[8]]).unwrap();
    assert_eq!(format!("{:.3} {:.3} {:.3}", path.mean, path.variance, path.sd()), "54.000 41.000 6.403");
    assert_eq!(format!("{:.5}", by(Moments::new(40.0, 5.0).unwrap(), 50.0).unwrap()), "0.97725");
}

/// "Choosing Batch Sizes and One-Piece Flow" (Rowton) and a slide of the Zero Waste Network: ten pieces through three stations of
/// a minute: all after 30 min, the first after 21 in one batch and after 3 one by one; by the model, all after 20 min in
/// fives and after 12 one by one.
#[test]
fn ten_pieces_through_three_stations() {
    let flow = |batch| through(&[1.0, 1.0, 1.0], 10, batch).unwrap();
    assert_eq!(flow(10), Flow { first: 21.0, all: 30.0 });
    assert_eq!(flow(5).all, 20.0);
    assert_eq!(flow(1), Flow { first: 3.0, all: 12.0 });
}

/// The example of Hillier and Lieberman: one good piece wanted, half of them good, 100 each, 300 to begin, 1,600 if there is
/// none after three runs: 675 on the average: two first, if none is good two or three, then three or four. With two thirds
/// good and two runs 573.25: two, then three.
#[test]
fn one_good_piece_in_three_runs() {
    let terms = Terms { pass: 0.5, each: 100.0, begin: 300.0, short: 1600.0 };
    assert_eq!(best(&terms, 1, 3), Some(Lot { start: 2, cost: 675.0 }));
    // The fewest of those that cost the same.
    assert_eq!(best(&terms, 1, 2), Some(Lot { start: 2, cost: 700.0 }));
    assert_eq!(best(&terms, 1, 1), Some(Lot { start: 3, cost: 800.0 }));
    let better = Terms { pass: 2.0 / 3.0, ..terms };
    let lot = best(&better, 1, 2).unwrap();
    assert_eq!((lot.start, format!("{:.2}", lot.cost).as_str()), (2, "573.25"));
    assert_eq!(best(&better, 1, 1).unwrap().start, 3);
}

/// Stevenson, *Operations Management*, problem 7-3: four elements timed six times, rated 0.90, 0.85, 1.10 and 1.00, 18 % of the
/// job allowed.
#[test]
fn four_elements_of_a_job() {
    let elements = [
        (0.90, [0.44, 0.50, 0.43, 0.45, 0.48, 0.46], "0.460 0.414 0.489"),
        (0.85, [1.50, 1.52, 1.47, 1.51, 1.49, 1.52], "1.502 1.276 1.506"),
        (1.10, [0.84, 0.89, 0.77, 0.83, 0.82, 0.80], "0.825 0.908 1.071"),
        (1.00, [1.10, 1.14, 1.08, 1.14, 1.16, 1.26], "1.147 1.147 1.353"),
    ];
    let (mut all, mut job) = (0.0, 0.0);
    for (rating, timings, wanted) in elements {
        let seen = observed(&timings).unwrap();
        let normal = normal(seen, rating).unwrap();
        let standard = standard(normal, Allowance::OfTheJob(0.18)).unwrap();
        assert_eq!(format!("{seen:.3} {normal:.3} {standard:.3}"), wanted);
        (all, job) = (all + normal, job + standard);
    }
    assert_eq!(format!("{all:.3} {job:.3}"), "3.745 4.419");
}

/// "Observed time for the job", tutorsglobe.com: 210 min over nine workers of four rounds each is 5.8333; rated 0.92 it is 5.3667, with 12 % of the
/// job 6.0107 min.
#[test]
fn nine_workers_of_four_rounds() {
    let normal = normal(210.0 / 36.0, 0.92).unwrap();
    let standard = standard(normal, Allowance::OfTheJob(0.12)).unwrap();
    assert_eq!(format!("{normal:.4} {standard:.4}"), "5.3667 6.0107");
}

/// A deliver count and a pass rate through a whole plan: 36 that pass at 95 %, 40 laid out for 95 % sure, 42 for 99 %
/// (binomial, Bowker and Lieberman, *Engineering Statistics*), and 36 / 0.95 tied on the average.
#[test]
fn a_plan_lays_out_what_the_binomial_says() {
    use herl::diagnostic::{At, Told};
    use rust_decimal::Decimal;
    use std::path::{Path, PathBuf};
    let bench = herl::bench::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo")).bench;
    let mut order = bench.orders.values().next().unwrap().clone();
    let at = At::file(PathBuf::from("orders/tried.yaml"));
    order.lines.truncate(1);
    order.lines[0].sizes.truncate(1);
    order.lines[0].sizes[0].1.value = 36;
    order.lines[0].rejects = Some(Told::new(Decimal::new(5, 2), at.clone()));
    for (confidence, start) in [(0.95, 40), (0.99, 42)] {
        let mut given = herl::plan::Given::default();
        given.habits.confidence = Some(Told::new(confidence, at.clone()));
        let plan = herl::plan::work(&order, &bench.dressings, &bench.shelf, &given).unwrap();
        assert_eq!(plan.figures.value(plan.runs[0].lay_out), Decimal::from(start));
        let tied = plan.figures.value(plan.runs[0].tied);
        assert!((tied - Decimal::from(36) / Decimal::new(95, 2)).abs() < Decimal::new(1, 20));
    }
}
