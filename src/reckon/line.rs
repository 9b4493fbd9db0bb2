//! Work that passes through stations in line: how long it takes by the number passed on at once, and the best order of
//! jobs through two stations.
//!
//! Sources: S. M. Johnson, "Optimal two- and three-stage production schedules with setup times included", Naval
//! Research Logistics Quarterly 1 (1954), for the order; the passage of transfer batches is the recursion of the flow
//! shop: a batch begins at a station when it has come there and the batch before it has left.

/// The most batches that are followed one by one.
const BATCHES: u64 = 1_000_000;

/// When the first of `pieces` is through all stations, `by` of them passed on at once; each station's time is for one
/// piece. `None` without stations or pieces, for `by` of nought, or where a time is too large.
pub fn first_through(stations: &[u64], pieces: u64, by: u64) -> Option<u64> {
    let (last, before) = stations.split_last()?;
    let first = by.min(pieces);
    if first == 0 {
        return None;
    }
    let waits = before.iter().try_fold(0_u64, |sum, time| sum.checked_add(time.checked_mul(first)?))?;
    waits.checked_add(*last)
}

/// When all of `pieces` are through all stations, `by` of them passed on at once (the last batch may be smaller);
/// `None` as for [`first_through`], and for more than a million batches.
///
/// ```
/// use herl::reckon::line::{all_through, first_through};
/// assert_eq!((first_through(&[2, 3], 12, 12), all_through(&[2, 3], 12, 12)), (Some(27), Some(60)));
/// assert_eq!((first_through(&[2, 3], 12, 4), all_through(&[2, 3], 12, 4)), (Some(11), Some(44)));
/// ```
pub fn all_through(stations: &[u64], pieces: u64, by: u64) -> Option<u64> {
    if stations.is_empty() || pieces == 0 || by == 0 || pieces.div_ceil(by) > BATCHES {
        return None;
    }
    // When each station is done with the batch before.
    let mut done = vec![0_u64; stations.len()];
    let mut left = pieces;
    while left > 0 {
        let batch = by.min(left);
        left -= batch;
        let mut come = 0;
        for (done, time) in done.iter_mut().zip(stations) {
            *done = come.max(*done).checked_add(time.checked_mul(batch)?)?;
            come = *done;
        }
    }
    done.last().copied()
}

/// The order in which jobs of two times go through two stations one after the other soonest, and when they are
/// through: first those shorter at the first station, by that time, then the others by the time at the second, longest
/// first. `None` where the times are too large.
///
/// ```
/// assert_eq!(herl::reckon::line::two_stations(&[(4, 3), (2, 7)]), Some((vec![1, 0], 12)));
/// ```
pub fn two_stations(jobs: &[(u64, u64)]) -> Option<(Vec<usize>, u64)> {
    let mut order: Vec<usize> = (0..jobs.len()).collect();
    order.sort_by_key(|nth| match jobs[*nth] {
        (first, second) if first < second => (false, first),
        (_, second) => (true, u64::MAX - second),
    });
    let (mut first, mut second) = (0_u64, 0_u64);
    for nth in &order {
        first = first.checked_add(jobs[*nth].0)?;
        second = first.max(second).checked_add(jobs[*nth].1)?;
    }
    Some((order, second))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn orders(left: Vec<usize>) -> Vec<Vec<usize>> {
        if left.is_empty() {
            return vec![Vec::new()];
        }
        let with = |first: usize| {
            let others = left.iter().copied().filter(|other| *other != first).collect();
            orders(others).into_iter().map(move |rest| [vec![first], rest].concat())
        };
        left.iter().copied().flat_map(with).collect()
    }

    proptest! {
        #[test]
        fn no_order_is_sooner_through(jobs in proptest::collection::vec((0_u64..9, 0_u64..9), 0..6)) {
            let through = |order: &[usize]| order.iter().fold((0, 0), |(first, second), nth| {
                let first = first + jobs[*nth].0;
                (first, first.max(second) + jobs[*nth].1)
            }).1;
            let (order, time) = two_stations(&jobs).unwrap();
            prop_assert_eq!(through(&order), time);
            prop_assert_eq!(orders((0..jobs.len()).collect()).iter().map(|order| through(order)).min(), Some(time));
        }

        #[test]
        fn fewer_at_once_are_never_later(stations in proptest::collection::vec(0_u64..9, 1..5), pieces in 1_u64..30, by in 2_u64..30) {
            // Halves of a batch follow one another where the whole did.
            prop_assume!(by % 2 == 0);
            prop_assert!(all_through(&stations, pieces, by / 2) <= all_through(&stations, pieces, by));
            prop_assert!(first_through(&stations, pieces, by / 2) <= first_through(&stations, pieces, by));
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(first_through(&[], 1, 1), None);
        assert_eq!(first_through(&[1], 1, 0), None);
        assert_eq!(first_through(&[u64::MAX, 1], 2, 2), None);
        assert_eq!(all_through(&[1], 0, 1), None);
        assert_eq!(all_through(&[1], u64::MAX, 1), None);
        assert_eq!(all_through(&[u64::MAX], 2, 2), None);
        assert_eq!(two_stations(&[(u64::MAX, 1), (1, 1)]), None);
        assert_eq!(two_stations(&[]), Some((vec![], 0)));
    }
}
