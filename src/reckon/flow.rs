//! Pieces through several stations, one after another, carried on in batches.
//!
//! Source: by definition, as in the flow shop of S. M. Johnson, *Naval Research Logistics Quarterly* 1 (1954) 61: a
//! station begins a batch when it is there and the one before it is done. With stations of one and the same time this is
//! the rule of workshop courses: the first piece is out after `(stations - 1) batch + 1` times, all after
//! `(stations - 1) batch + pieces`.

use super::{finite, sound};

/// The most batches at stations that are followed.
const MOST_STEPS: u64 = 10_000_000;

/// When pieces are out of the last station, from the beginning, in the unit of the stations' times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flow {
    /// When the first is.
    pub first: f64,
    /// When all are.
    pub all: f64,
}

/// The flow of `pieces` through stations of these times a piece, carried on in batches of `batch` (the last may be
/// smaller). `None` without stations or pieces, with a batch of none, or where batches by stations are over ten
/// million.
///
/// ```
/// use herl::reckon::flow::{Flow, through};
/// assert_eq!(through(&[1.0, 1.0, 1.0], 10, 10), Some(Flow { first: 21.0, all: 30.0 }));
/// assert_eq!(through(&[1.0, 1.0, 1.0], 10, 1), Some(Flow { first: 3.0, all: 12.0 }));
/// ```
pub fn through(stations: &[f64], pieces: u64, batch: u64) -> Option<Flow> {
    if stations.is_empty() || !sound(stations) || pieces == 0 || batch == 0 {
        return None;
    }
    let steps = pieces.div_ceil(batch).checked_mul(stations.len() as u64)?;
    if steps > MOST_STEPS {
        return None;
    }
    // When each station is done with what it has had so far.
    let mut free = vec![0.0_f64; stations.len()];
    let mut first = None;
    let mut left = pieces;
    while left > 0 {
        let carried = left.min(batch);
        let mut there = 0.0_f64;
        let mut begun = 0.0;
        for (time, free) in stations.iter().zip(&mut free) {
            begun = there.max(*free);
            there = begun + time * carried as f64;
            *free = there;
        }
        first = first.or(Some(begun + stations.last()?));
        left -= carried;
    }
    Some(Flow { first: finite(first?)?, all: finite(*free.last()?)? })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn smaller_batches_are_never_later(stations in prop::collection::vec(0.0_f64..10.0, 1..6), pieces in 1_u64..60, batch in 1_u64..60) {
            let now = through(&stations, pieces, batch).unwrap();
            let one = through(&stations, pieces, 1).unwrap();
            prop_assert!(one.all <= now.all + 1e-9 && one.first <= now.first + 1e-9);
            // The slowest station sets the pace, and all in one batch take the sum.
            let slowest = stations.iter().fold(0.0_f64, |most, time| most.max(*time));
            prop_assert!(now.all >= slowest * pieces as f64 - 1e-9);
            let whole = through(&stations, pieces, pieces).unwrap();
            prop_assert!((whole.all - stations.iter().sum::<f64>() * pieces as f64).abs() < 1e-9);
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(through(&[], 3, 1), None);
        assert_eq!(through(&[1.0], 0, 1), None);
        assert_eq!(through(&[1.0], 3, 0), None);
        assert_eq!(through(&[-1.0], 3, 1), None);
        assert_eq!(through(&[1.0], u64::MAX, 1), None);
        assert!(through(&[1.0], u64::MAX, u64::MAX).is_some());
    }
}
