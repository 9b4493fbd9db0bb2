//! The shortest arrangement of work and drying, and work that passes through stations in line.

use crate::packs::{cases, whole};
use herl::reckon::line::two_stations;
use herl::reckon::search::Budget;
use herl::reckon::setting::{Arrangement, Run, Step, shortest};
use serde_json::Value;

/// Many times what the hardest case here needs.
const NODES: u64 = 2_000_000;

/// A run of times: work, dry, work ...
fn run(times: &Value, places: u64, release: u64) -> Run {
    let steps = whole(times).chunks(2).map(|step| Step { work: step[0], dry: step.get(1).copied().unwrap_or(0) }).collect();
    Run { steps, places, release }
}

/// Fails unless the arrangement keeps every rule and ends when it says.
fn holds(runs: &[Run], hands: usize, rack: Option<u64>, arrangement: &Arrangement) {
    let (mut works, mut dryings) = (Vec::new(), Vec::new());
    for (run, starts) in runs.iter().zip(&arrangement.starts) {
        assert_eq!(run.steps.len(), starts.len());
        let mut ready = run.release;
        for (step, start) in run.steps.iter().zip(starts) {
            assert!(*start >= ready, "a work begins before the one before it is dry");
            let end = start + step.work;
            ready = end + step.dry;
            works.push((*start, end, 1));
            dryings.push((end, ready, run.places));
        }
        assert!(ready <= arrangement.makespan);
    }
    let at_once = |taken: &[(u64, u64, u64)]| {
        let at = |time: u64| taken.iter().filter(|(from, to, _)| *from <= time && time < *to).map(|(_, _, places)| places).sum::<u64>();
        taken.iter().map(|(from, _, _)| at(*from)).max().unwrap_or(0)
    };
    assert!(at_once(&works) <= hands as u64, "more works at once than hands");
    assert!(rack.is_none_or(|rack| at_once(&dryings) <= rack), "more on the rack than it holds");
    assert!(works.iter().chain(&dryings).any(|(_, end, _)| *end == arrangement.makespan));
    for (hand, _) in (0..hands).enumerate() {
        let mut own: Vec<(u64, u64)> = Vec::new();
        for (run, (starts, by)) in runs.iter().zip(arrangement.starts.iter().zip(&arrangement.hands)) {
            own.extend(run.steps.iter().zip(starts.iter().zip(by)).filter(|(_, (_, by))| **by == hand).map(|(step, (start, _))| (*start, start + step.work)));
        }
        own.sort_unstable();
        assert!(own.windows(2).all(|pair| pair[0].1 <= pair[1].0), "one pair of hands does two things at once");
    }
}

fn proved(case: &Value, runs: &[Run], hands: usize, rack: Option<u64>) {
    let arrangement = shortest(runs, hands, rack, &mut Budget::of(NODES)).unwrap();
    assert_eq!((arrangement.makespan, arrangement.bound, arrangement.proved), (case["makespan"].as_u64().unwrap(), arrangement.makespan, true), "{case}");
    holds(runs, hands, rack, &arrangement);
}

fn of_batches(case: &Value) {
    let release = |nth: usize| case["release"].get(nth).and_then(Value::as_u64).unwrap_or(0);
    let runs: Vec<Run> = case["batches"].as_array().unwrap().iter().enumerate().map(|(nth, times)| run(times, 1, release(nth))).collect();
    proved(case, &runs, case["workers"].as_u64().unwrap() as usize, case["rack_places"].as_u64());
}

/// 41 settings with one pair of hands or two, releases and rack places: proved by a constraint solver, most of them by
/// trying all orders too.
#[test]
fn work_and_drying() {
    cases(include_str!("data/work_and_drying.json"), 41, "cases").iter().for_each(of_batches);
}

/// 25 settings in which hands that wait reach what hands that never wait cannot.
#[test]
fn waiting_pays() {
    cases(include_str!("data/waiting_pays.json"), 25, "cases").iter().for_each(of_batches);
}

/// 13 settings in which a run takes a place on the rack for each fly.
#[test]
fn a_rack_counted_in_flies() {
    for case in cases(include_str!("data/work_and_drying.json"), 13, "rack_in_flies") {
        let runs: Vec<Run> = case["batches_size_stages"].as_array().unwrap().iter().map(|batch| run(&batch[1], batch[0].as_u64().unwrap(), 0)).collect();
        proved(&case, &runs, 1, case["rack_capacity_flies"].as_u64());
    }
}

/// 11 sets of jobs through two stations, against all orders.
#[test]
fn through_two_stations() {
    for case in cases(include_str!("data/work_and_drying.json"), 11, "johnson") {
        let times: Vec<(u64, u64)> = case["two_machine_times"].as_array().unwrap().iter().map(whole).map(|job| (job[0], job[1])).collect();
        assert_eq!(two_stations(&times).unwrap().1, case["makespan"].as_u64().unwrap(), "{case}");
    }
}

/// Stevenson, *Operations Management*, question 16.4 as printed at holooly.com (cleaning and painting): D E C F A B, of
/// which the two that tie at the end may change places; its 51 h are worked here. The problem of five jobs at
/// tutorsglobe.com, 5/8 3/9 8/7 7/2 4/6: B E A C D, 35.
#[test]
fn two_printed_sequences() {
    let printed = two_stations(&[(5, 5), (4, 3), (8, 9), (2, 7), (6, 8), (12, 15)]).unwrap();
    assert_eq!((&printed.0[..4], printed.1), (&[3, 4, 2, 5][..], 51));
    assert_eq!(two_stations(&[(5, 8), (3, 9), (8, 7), (7, 2), (4, 6)]).unwrap(), (vec![1, 4, 0, 2, 3], 35));
}
