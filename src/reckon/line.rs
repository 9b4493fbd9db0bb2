//! The best order of jobs through two stations in line.
//!
//! Source: S. M. Johnson, "Optimal two- and three-stage production schedules with setup times included", Naval Research
//! Logistics Quarterly 1 (1954). How batches pass through stations stands in flow.rs.

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
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(two_stations(&[(u64::MAX, 1), (1, 1)]), None);
        assert_eq!(two_stations(&[]), Some((vec![], 0)));
    }
}
