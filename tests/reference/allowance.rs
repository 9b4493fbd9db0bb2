//! How many to start so that enough pass.

use crate::rows::{agree, rows};
use herl::reckon::allowance::{History, passing, to_start};

/// Against exact fractions; the chance of one fewer falls short.
#[test]
fn every_start_of_the_table() {
    for row in rows(include_str!("data/reject_allowance.csv"), 260) {
        let (wanted, reject, confidence) = (row.figure("good_needed") as u64, row.figure("reject_rate"), row.figure("confidence"));
        let what = format!("{wanted} at {reject} with {confidence}");
        let found = to_start(wanted, reject, confidence).unwrap();
        assert_eq!(found.start as f64, row.figure("start"), "{what}");
        agree(&what, Some(found.probability), row.figure("prob_at_start"), 1e-12);
        let fewer = passing(found.start - 1, wanted, reject).unwrap().0;
        assert!((fewer - row.figure("prob_at_start_minus_1")).abs() < 1e-12, "{what}: {fewer}");
    }
}

/// The posterior predictive, against another program's beta-binomial and its sum.
#[test]
fn every_start_from_a_little_history() {
    for row in rows(include_str!("data/reject_allowance_unsure.csv"), 60) {
        let count = |column| row.figure(column) as u64;
        let history = History { rejected: count("past_rejects"), made: count("past_made"), prior: row.figure("prior_a_b") };
        let what = format!("{history:?}, {}", row.text("good_needed"));
        let found = history.to_start(count("good_needed"), row.figure("confidence")).unwrap();
        assert_eq!(found.start, count("start"), "{what}");
        agree(&what, Some(found.probability), row.figure("prob_at_start"), 1e-10);
    }
}

/// The rule worked for the usual orders at 95 % passing, with 90, 95 and 99 %: the figures of another program.
#[test]
fn dozens_at_one_reject_in_twenty() {
    for (wanted, starts) in [(12, [14, 14, 15]), (24, [27, 27, 29]), (36, [40, 40, 42]), (48, [53, 53, 55]), (72, [78, 79, 81]), (144, [155, 157, 159])] {
        for (start, confidence) in starts.into_iter().zip([0.90, 0.95, 0.99]) {
            assert_eq!(to_start(wanted, 0.05, confidence).unwrap().start, start, "{wanted} with {confidence}");
        }
    }
    assert_eq!(to_start(36, 0.02, 0.95).unwrap().start, 38);
    assert_eq!(to_start(36, 0.10, 0.95).unwrap().start, 44);
    // Of a packet of hooks a third of which had a bad eye: 36 wanted.
    assert_eq!(to_start(36, 0.34, 0.95).unwrap().start, 64);
}
