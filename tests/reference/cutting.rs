//! The fewest pieces of stock, all of one length or each of another.

use crate::packs::{cases, whole};
use herl::reckon::cutting::{Piece, Plan, fewest};
use herl::reckon::search::Budget;
use herl::reckon::unequal::{self, Outcome};
use serde_json::Value;

/// Many times what the hardest case here needs.
const NODES: u64 = 20_000_000;

fn pieces(case: &Value) -> Vec<Piece> {
    whole(&case["piece_lengths"]).into_iter().zip(whole(&case["demand"])).map(|(length, count)| Piece { length, count }).collect()
}

/// Works a plan, which must be proved, and fails unless it cuts just what is wanted from stock that is long enough.
fn proved(stock: u64, kerf: u64, pieces: &[Piece]) -> Plan {
    let plan = fewest(stock, kerf, pieces, &mut Budget::of(NODES)).unwrap();
    assert!(plan.proved && plan.bound == plan.pieces, "{pieces:?}");
    assert_eq!(plan.patterns.iter().map(|pattern| pattern.times).sum::<u64>(), plan.pieces);
    for pattern in &plan.patterns {
        let cut: u64 = pattern.counts.iter().zip(&plan.lengths).map(|(count, length)| count * length).sum();
        let number: u64 = pattern.counts.iter().sum();
        assert!(cut + (number - 1) * kerf <= stock);
    }
    for (nth, length) in plan.lengths.iter().enumerate() {
        let wanted: u64 = pieces.iter().filter(|piece| piece.length == *length).map(|piece| piece.count).sum();
        assert_eq!(plan.patterns.iter().map(|pattern| pattern.times * pattern.counts[nth]).sum::<u64>(), wanted);
    }
    plan
}

/// 100 cases with kerfs, in 30 of which cutting the longest first takes too many; two solvers agree on each. Among the
/// two published ones are the paper rolls (73) and the raws of 100 in (453) of V. Chvatal, *Linear Programming* (1983),
/// chapter 13.
#[test]
fn the_fewest_pieces() {
    for (of, count) in [("cases", 100), ("published", 2)] {
        for case in cases(include_str!("data/cutting_stock.json"), count, of) {
            let plan = proved(case["stock_length"].as_u64().unwrap(), case["kerf"].as_u64().unwrap(), &pieces(&case));
            assert_eq!(plan.pieces, case["optimum_bars"].as_u64().unwrap(), "{case}");
        }
    }
}

/// Problem sets with other stock (inputs as printed, least numbers worked by a mixed-integer solver): stock 110 with
/// five lengths, 47; stock 22 with three, 74; stock 6,450 with four, 18.
#[test]
fn the_fewest_pieces_of_other_problem_sets() {
    let pieces = |wanted: &[(u64, u64)]| wanted.iter().map(|(length, count)| Piece { length: *length, count: *count }).collect::<Vec<_>>();
    assert_eq!(proved(110, 0, &pieces(&[(20, 48), (45, 35), (50, 24), (55, 10), (75, 8)])).pieces, 47);
    assert_eq!(proved(22, 0, &pieces(&[(7, 110), (5, 120), (3, 80)])).pieces, 74);
    assert_eq!(proved(6450, 0, &pieces(&[(677, 10), (756, 40), (1746, 33), (1876, 10)])).pieces, 18);
}

/// Ten of the problems u120 of E. Falkenauer in the OR-Library, of 120 lengths each.
#[test]
fn the_problems_of_120_lengths() {
    for case in cases(include_str!("data/cutting_u120.json"), 10, "cases") {
        let pieces: Vec<Piece> = whole(&case["items"]).into_iter().map(|length| Piece { length, count: 1 }).collect();
        let plan = proved(case["capacity"].as_u64().unwrap(), 0, &pieces);
        assert_eq!(plan.pieces, case["optimum"].as_u64().unwrap(), "{}", case["name"]);
    }
}

/// 30 cases of stock of which each piece is another length: two solvers agree on the fewest pieces, and on the least
/// length of those.
#[test]
fn the_fewest_of_unequal_pieces() {
    for case in cases(include_str!("data/cutting_unequal.json"), 30, "cases") {
        let stocks = whole(&case["stocks"]);
        let outcome = unequal::fewest(&stocks, 0, &pieces(&case), &mut Budget::of(NODES)).unwrap();
        if !case["feasible"].as_bool().unwrap() {
            assert_eq!(outcome, Outcome::Impossible, "{case}");
            continue;
        }
        let Outcome::Plan(plan) = outcome else { panic!("no plan for {case}") };
        assert!(plan.proved);
        assert_eq!(plan.cuts.len() as u64, case["fewest_stocks"].as_u64().unwrap(), "{case}");
        assert_eq!(plan.length, case["least_length_used_at_that"].as_u64().unwrap(), "{case}");
    }
}
