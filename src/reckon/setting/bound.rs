//! What no arrangement that goes on from a setting can be shorter than.

use std::collections::BinaryHeap;

/// A piece of work that must be done on something that does one thing at a time.
#[derive(Clone, Copy, Debug)]
pub(super) struct Job {
    /// Before when it cannot begin.
    pub(super) head: u64,
    /// How long it takes.
    pub(super) length: u64,
    /// What comes after it at least.
    pub(super) tail: u64,
}

/// Jackson's schedule: the job with the longest tail first, broken off where a longer tail comes in. It is the best
/// there is with interruptions, so that none without is shorter.
pub(super) fn one_at_a_time(jobs: &mut [Job]) -> u64 {
    jobs.sort_unstable_by_key(|job| job.head);
    let mut waiting: BinaryHeap<(u64, u64)> = BinaryHeap::new();
    let (mut now, mut bound, mut next) = (0_u64, 0_u64, 0);
    while next < jobs.len() || !waiting.is_empty() {
        if waiting.is_empty() {
            now = now.max(jobs[next].head);
        }
        while next < jobs.len() && jobs[next].head <= now {
            waiting.push((jobs[next].tail, jobs[next].length));
            next += 1;
        }
        let Some((tail, left)) = waiting.pop() else { continue };
        let until = if next < jobs.len() { jobs[next].head } else { u64::MAX };
        if now + left <= until {
            now += left;
            bound = bound.max(now + tail);
        } else {
            waiting.push((tail, left - (until - now)));
            now = until;
        }
    }
    bound
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The greatest of least head + lengths + least tail over all sets of jobs, which is the same (Carlier 1982).
    fn by_sets(jobs: &[Job]) -> u64 {
        let sets = 1_u32..1 << jobs.len();
        let of = |set: u32| {
            let chosen: Vec<&Job> = jobs.iter().enumerate().filter(|(nth, _)| set >> nth & 1 == 1).map(|(_, job)| job).collect();
            let head = chosen.iter().map(|job| job.head).min().unwrap_or(0);
            let tail = chosen.iter().map(|job| job.tail).min().unwrap_or(0);
            head + chosen.iter().map(|job| job.length).sum::<u64>() + tail
        };
        sets.map(of).max().unwrap_or(0)
    }

    proptest! {
        #[test]
        fn the_schedule_is_the_bound_by_sets(jobs in proptest::collection::vec((0_u64..20, 1_u64..9, 0_u64..20), 0..7)) {
            let mut jobs: Vec<Job> = jobs.into_iter().map(|(head, length, tail)| Job { head, length, tail }).collect();
            let by_sets = by_sets(&jobs);
            prop_assert_eq!(one_at_a_time(&mut jobs), by_sets);
        }
    }
}
