//! The search against a trial of all whole beginnings, which knows nothing of orders.

use super::*;
use proptest::prelude::*;

/// Whether all works can be begun somewhere so that everything is done and dry by `by`: each work in turn is tried at
/// every whole time, and hands and rack are counted minute by minute.
fn can_end(runs: &[Run], hands: usize, rack: Option<u64>, by: u64) -> bool {
    struct Trial<'a> {
        runs: &'a [Run],
        hands: u64,
        rack: u64,
        working: Vec<u64>,
        drying: Vec<u64>,
        by: u64,
    }
    impl Trial<'_> {
        fn goes(&mut self, run: usize, step: usize, ready: u64) -> bool {
            let Some(now) = self.runs.get(run) else { return true };
            let Some(Step { work, dry }) = now.steps.get(step).copied() else {
                return self.goes(run + 1, 0, self.runs.get(run + 1).map_or(0, |next| next.release));
            };
            let rest: u64 = now.steps[step..].iter().map(|step| step.work + step.dry).sum();
            let places = now.places;
            for start in ready..=self.by.saturating_sub(rest) {
                if start + rest > self.by {
                    break;
                }
                let (end, until) = (start + work, start + work + dry);
                self.working[start as usize..end as usize].iter_mut().for_each(|busy| *busy += 1);
                self.drying[end as usize..until as usize].iter_mut().for_each(|held| *held += places);
                let fits = self.working.iter().all(|busy| *busy <= self.hands) && self.drying.iter().all(|held| *held <= self.rack);
                let done = fits && self.goes(run, step + 1, until);
                self.working[start as usize..end as usize].iter_mut().for_each(|busy| *busy -= 1);
                self.drying[end as usize..until as usize].iter_mut().for_each(|held| *held -= places);
                if done {
                    return true;
                }
            }
            false
        }
    }
    let (working, drying) = (vec![0; by as usize], vec![0; by as usize]);
    let mut trial = Trial { runs, hands: hands as u64, rack: rack.unwrap_or(u64::MAX), working, drying, by };
    trial.goes(0, 0, runs.first().map_or(0, |run| run.release))
}

fn by_trial(runs: &[Run], hands: usize, rack: Option<u64>) -> u64 {
    (0..).find(|by| can_end(runs, hands, rack, *by)).unwrap()
}

/// Fails unless the arrangement keeps every rule.
fn holds(runs: &[Run], hands: usize, rack: Option<u64>, arrangement: &Arrangement) {
    let length = arrangement.makespan as usize;
    let mut working = vec![vec![0; length]; hands];
    let mut drying = vec![0; length];
    let mut last = 0;
    for (nth, run) in runs.iter().enumerate() {
        let mut ready = run.release;
        for (step, now) in run.steps.iter().enumerate() {
            let start = arrangement.starts[nth][step];
            assert!(start >= ready);
            let end = start + now.work;
            ready = end + now.dry;
            working[arrangement.hands[nth][step]][start as usize..end as usize].iter_mut().for_each(|busy| *busy += 1);
            drying[end as usize..ready as usize].iter_mut().for_each(|held| *held += run.places);
        }
        last = last.max(ready);
    }
    assert_eq!(last, arrangement.makespan);
    assert!(working.iter().flatten().all(|busy| *busy <= 1));
    assert!(drying.iter().all(|held| rack.is_none_or(|rack| *held <= rack)));
}

fn runs(most: usize, steps: usize) -> impl Strategy<Value = Vec<Run>> {
    let step = (1_u64..6, prop_oneof![1 => Just(0), 3 => 1_u64..9]).prop_map(|(work, dry)| Step { work, dry });
    let run = (proptest::collection::vec(step, 1..=steps), 1_u64..3, prop_oneof![2 => Just(0), 1 => 0_u64..8]).prop_map(|(steps, places, release)| Run {
        steps,
        places,
        release,
    });
    proptest::collection::vec(run, 1..=most)
}

fn long_runs() -> impl Strategy<Value = Vec<Run>> {
    let step = (1_u64..90, prop_oneof![1 => Just(0), 2 => 1_u64..60, 2 => 60_u64..300]).prop_map(|(work, dry)| Step { work, dry });
    let run = (proptest::collection::vec(step, 1..=2), 1_u64..3, prop_oneof![2 => Just(0), 1 => 0_u64..200]).prop_map(|(steps, places, release)| Run {
        steps,
        places,
        release,
    });
    proptest::collection::vec(run, 1..=3)
}

/// The shortest over every order in which works can end and every pair of hands for each, each work as early as that
/// lets it: no bound, and no setting is held against another.
fn by_orders(runs: &[Run], hands: usize, rack: Option<u64>) -> u64 {
    #[derive(Clone)]
    struct Set {
        done: Vec<usize>,
        ready: Vec<u64>,
        free: Vec<u64>,
        dryings: Vec<(u64, u64)>,
        end: u64,
        last: u64,
    }
    fn go(runs: &[Run], rack: u64, set: &Set) -> u64 {
        let mut best = u64::MAX;
        for (nth, run) in runs.iter().enumerate() {
            let Some(step) = run.steps.get(set.done[nth]) else { continue };
            for hand in 0..set.free.len() {
                let mut end = (set.ready[nth].max(set.free[hand]) + step.work).max(set.end);
                while step.dry > 0 && set.dryings.iter().filter(|drying| drying.0 > end).map(|drying| drying.1).sum::<u64>() + run.places > rack {
                    end = set.dryings.iter().map(|drying| drying.0).filter(|until| *until > end).min().unwrap();
                }
                let mut next = set.clone();
                next.done[nth] += 1;
                next.ready[nth] = end + step.dry;
                next.free[hand] = end;
                next.dryings.push((end + step.dry, run.places));
                next.end = end;
                next.last = next.last.max(end + step.dry);
                best = best.min(go(runs, rack, &next));
            }
        }
        if best == u64::MAX { set.last } else { best }
    }
    let ready = runs.iter().map(|run| run.release).collect();
    let set = Set { done: vec![0; runs.len()], ready, free: vec![0; hands], dryings: Vec::new(), end: 0, last: 0 };
    go(runs, rack.unwrap_or(u64::MAX), &set)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_trial_is_shorter(runs in runs(3, 2), hands in 1_usize..4, rack in prop_oneof![Just(None), (2_u64..5).prop_map(Some)]) {
        let arrangement = shortest(&runs, hands, rack, &mut Budget::of(1_000_000)).unwrap();
        prop_assert!(arrangement.proved);
        holds(&runs, hands, rack, &arrangement);
        prop_assert_eq!(arrangement.makespan, by_trial(&runs, hands, rack));
    }

    /// One place on the rack, where waiting pays.
    #[test]
    fn no_trial_is_shorter_on_a_full_rack(runs in prop_oneof![runs(3, 2), runs(2, 3)], hands in 1_usize..3) {
        let runs: Vec<Run> = runs.into_iter().map(|run| Run { places: 1, ..run }).collect();
        let arrangement = shortest(&runs, hands, Some(1), &mut Budget::of(1_000_000)).unwrap();
        prop_assert!(arrangement.proved);
        holds(&runs, hands, Some(1), &arrangement);
        prop_assert_eq!(arrangement.makespan, by_trial(&runs, hands, Some(1)));
    }

    /// Long times, at which a bound that takes too much would show.
    #[test]
    fn no_order_is_shorter(runs in long_runs(), hands in 1_usize..4, rack in prop_oneof![1 => Just(None), 4 => (2_u64..6).prop_map(Some)]) {
        let arrangement = shortest(&runs, hands, rack, &mut Budget::of(1_000_000)).unwrap();
        prop_assert!(arrangement.proved);
        holds(&runs, hands, rack, &arrangement);
        prop_assert_eq!(arrangement.makespan, by_orders(&runs, hands, rack));
    }

    /// Equal runs are told apart by nothing but their places.
    #[test]
    fn no_trial_is_shorter_with_equal_runs(runs in prop_oneof![runs(2, 1), runs(1, 2)], hands in 1_usize..3, rack in 2_u64..4) {
        let runs: Vec<Run> = runs.iter().chain(&runs).cloned().collect();
        let arrangement = shortest(&runs, hands, Some(rack), &mut Budget::of(1_000_000)).unwrap();
        prop_assert!(arrangement.proved);
        holds(&runs, hands, Some(rack), &arrangement);
        prop_assert_eq!(arrangement.makespan, by_trial(&runs, hands, Some(rack)));
    }

    #[test]
    fn a_small_budget_gives_an_arrangement_and_a_bound(runs in runs(6, 3), hands in 1_usize..3, nodes in 0_u64..300) {
        let short = shortest(&runs, hands, Some(2), &mut Budget::of(nodes)).unwrap();
        let whole = shortest(&runs, hands, Some(2), &mut Budget::of(400_000)).unwrap();
        holds(&runs, hands, Some(2), &short);
        prop_assert!(short.bound <= whole.makespan && whole.bound <= short.makespan);
        prop_assert_eq!(short.proved, short.bound == short.makespan);
    }

    #[test]
    fn any_figures_are_taken_without_panic(
        runs in proptest::collection::vec((proptest::collection::vec((any::<u64>(), any::<u64>()), 0..3), any::<u64>(), any::<u64>()), 0..4),
        hands in 0_usize..80,
        rack in any::<Option<u64>>(),
    ) {
        let step = |(work, dry): (u64, u64)| Step { work, dry };
        let runs: Vec<Run> =
            runs.into_iter().map(|(steps, places, release)| Run { steps: steps.into_iter().map(step).collect(), places, release }).collect();
        let _ = shortest(&runs, hands, rack, &mut Budget::of(1000));
    }
}

#[test]
fn what_has_no_meaning_is_refused() {
    let run = |work, dry, places| Run { steps: vec![Step { work, dry }], places, release: 0 };
    let mut budget = Budget::of(100);
    assert_eq!(shortest(&[run(1, 1, 1)], 0, None, &mut budget), Err(Amiss::Nothing));
    assert_eq!(shortest(&[run(1, 1, 1), run(0, 1, 1)], 1, None, &mut budget), Err(Amiss::Nought(1)));
    assert_eq!(shortest(&[run(1, 1, 5)], 1, Some(4), &mut budget), Err(Amiss::DoesNotFit(0)));
    assert_eq!(shortest(&[run(1, 0, 5)], 1, Some(4), &mut budget).map(|arrangement| arrangement.makespan), Ok(1));
    assert_eq!(shortest(&[run(u64::MAX, 0, 1)], 1, None, &mut budget), Err(Amiss::TooLarge(0)));
    assert_eq!(shortest(&vec![run(1, 1, 1); RUNS + 1], 1, None, &mut budget), Err(Amiss::TooMany(RUNS)));
}

#[test]
fn the_watcher_ends_it_with_an_arrangement_in_hand() {
    // Fourteen runs that differ, so that it goes on for a while.
    let runs: Vec<Run> = (0..14)
        .map(|n| Run { steps: vec![Step { work: 10 + n * 7 % 11, dry: 40 + n * 13 % 29 }, Step { work: 5 + n * 5 % 7, dry: 0 }], places: 1, release: 0 })
        .collect();
    let mut watch = |progress: crate::reckon::search::Progress| progress.best.is_none();
    let arrangement = shortest(&runs, 1, Some(2), &mut Budget::watched(u64::MAX, &mut watch)).unwrap();
    holds(&runs, 1, Some(2), &arrangement);
    assert!(!arrangement.proved && arrangement.bound < arrangement.makespan);
}
