//! Plans against every plan there is.

use super::*;
use proptest::prelude::*;

/// Whether the lengths go into these rooms, each tried in every one.
fn goes(sizes: &[u64], rooms: &mut [u64]) -> bool {
    let Some((size, others)) = sizes.split_first() else { return true };
    (0..rooms.len()).any(|nth| {
        if rooms[nth] < *size {
            return false;
        }
        rooms[nth] -= size;
        let done = goes(others, rooms);
        rooms[nth] += size;
        done
    })
}

/// The fewest pieces and the least length of those, over every choice there is.
fn by_trial(stocks: &[u64], kerf: u64, pieces: &[Piece]) -> Option<(usize, u64)> {
    let sizes: Vec<u64> = pieces.iter().flat_map(|piece| vec![piece.length + kerf; piece.count as usize]).collect();
    let choices = (0..1_u32 << stocks.len()).map(|set| (0..stocks.len()).filter(|nth| set >> nth & 1 == 1).map(|nth| stocks[nth]).collect::<Vec<u64>>());
    choices
        .filter(|choice| goes(&sizes, &mut choice.iter().map(|stock| stock + kerf).collect::<Vec<u64>>()))
        .map(|choice| (choice.len(), choice.iter().sum()))
        .min()
}

proptest! {
    #[test]
    fn the_plan_is_the_best_there_is(
        stocks in proptest::collection::vec(5_u64..60, 0..6),
        pieces in proptest::collection::vec((4_u64..30, 0_u64..3).prop_map(|(length, count)| Piece { length, count }), 0..4),
        kerf in 0_u64..3,
    ) {
        let outcome = fewest(&stocks, kerf, &pieces, &mut Budget::of(1_000_000)).unwrap();
        let told = match &outcome {
            Outcome::Plan(plan) => {
                prop_assert!(plan.proved && plan.bound == plan.cuts.len() as u64);
                for (nth, length) in plan.lengths.iter().enumerate() {
                    let wanted: u64 = pieces.iter().filter(|piece| piece.length == *length).map(|piece| piece.count).sum();
                    prop_assert_eq!(plan.cuts.iter().map(|cut| cut.counts[nth]).sum::<u64>(), wanted);
                }
                for cut in &plan.cuts {
                    let number: u64 = cut.counts.iter().sum();
                    let length: u64 = cut.counts.iter().zip(&plan.lengths).map(|(count, length)| count * length).sum();
                    prop_assert!(length + (number - 1) * kerf <= stocks[cut.stock]);
                }
                let mut used: Vec<usize> = plan.cuts.iter().map(|cut| cut.stock).collect();
                used.sort_unstable();
                used.dedup();
                prop_assert_eq!(used.len(), plan.cuts.len());
                Some((plan.cuts.len(), plan.length))
            }
            Outcome::Impossible => None,
            Outcome::Unknown => panic!("the budget is more than enough"),
        };
        prop_assert_eq!(told, by_trial(&stocks, kerf, &pieces));
    }

    #[test]
    fn any_figures_are_taken_without_panic(
        stocks in proptest::collection::vec(any::<u64>(), 0..5),
        kerf in any::<u64>(),
        pieces in proptest::collection::vec((any::<u64>(), any::<u64>()), 0..5),
        shift in 0_u32..64,
    ) {
        let pieces: Vec<Piece> = pieces.into_iter().map(|(length, count)| Piece { length: length >> shift, count: count >> 34 }).collect();
        let stocks: Vec<u64> = stocks.into_iter().map(|stock| stock >> shift).collect();
        let _ = fewest(&stocks, kerf >> shift, &pieces, &mut Budget::of(1000));
    }
}

/// The fewest new pieces, then offcuts, then the least length, over every choice there is.
fn offcuts_by_trial(offcuts: &[u64], stock: u64, pieces: &[Piece]) -> (usize, usize, u64) {
    let sizes: Vec<u64> = pieces.iter().flat_map(|piece| vec![piece.length; piece.count as usize]).collect();
    let of = |new: usize, set: u32| {
        let choice: Vec<u64> = (0..offcuts.len()).filter(|nth| set >> nth & 1 == 1).map(|nth| offcuts[nth]).collect();
        let mut rooms: Vec<u64> = choice.iter().copied().chain(vec![stock; new]).collect();
        goes(&sizes, &mut rooms).then(|| (new, choice.len(), choice.iter().sum()))
    };
    (0..).find_map(|new| (0..1_u32 << offcuts.len()).filter_map(|set| of(new, set)).min()).unwrap()
}

proptest! {
    #[test]
    fn of_new_stock_no_more_is_taken_than_must_be(
        offcuts in proptest::collection::vec(5_u64..50, 0..5),
        pieces in proptest::collection::vec((4_u64..30, 0_u64..3).prop_map(|(length, count)| Piece { length, count }), 0..4),
        stock in 30_u64..60,
    ) {
        let Outcome::Plan(plan) = offcuts_first(&offcuts, stock, 0, &pieces, &mut Budget::of(1_000_000)).unwrap() else { panic!() };
        let new: u64 = plan.cuts.iter().filter(|cut| cut.stock == offcuts.len()).map(|cut| cut.times).sum();
        let used = plan.cuts.iter().filter(|cut| cut.stock < offcuts.len()).count();
        prop_assert!(plan.proved && plan.bound == new);
        prop_assert_eq!((new as usize, used, plan.length), offcuts_by_trial(&offcuts, stock, &pieces));
        for (nth, length) in plan.lengths.iter().enumerate() {
            let wanted: u64 = pieces.iter().filter(|piece| piece.length == *length).map(|piece| piece.count).sum();
            prop_assert_eq!(plan.cuts.iter().map(|cut| cut.times * cut.counts[nth]).sum::<u64>(), wanted);
        }
        // Without a budget there is a plan still.
        let Outcome::Plan(short) = offcuts_first(&offcuts, stock, 0, &pieces, &mut Budget::of(0)).unwrap() else { panic!() };
        prop_assert!(short.bound <= new);
        for cut in short.cuts.iter().chain(&plan.cuts) {
            let length: u64 = cut.counts.iter().zip(&plan.lengths).map(|(count, length)| count * length).sum();
            prop_assert!(length <= *offcuts.get(cut.stock).unwrap_or(&stock));
        }
    }
}

#[test]
fn a_length_only_an_offcut_holds() {
    let pieces = [Piece { length: 50, count: 1 }, Piece { length: 20, count: 3 }];
    let Ok(Outcome::Plan(plan)) = offcuts_first(&[55], 40, 0, &pieces, &mut Budget::of(1000)) else { panic!() };
    assert_eq!((plan.cuts.len(), plan.bound, plan.proved), (3, 2, true));
    assert_eq!(offcuts_first(&[45], 40, 0, &pieces, &mut Budget::of(1000)), Ok(Outcome::Impossible));
    assert!(offcuts_first(&[45], 0, 0, &pieces, &mut Budget::of(1000)).is_err());
    assert!(offcuts_first(&[45], u64::MAX, u64::MAX, &pieces, &mut Budget::of(1000)).is_err());
}

#[test]
fn many_offcuts_get_a_plan_within_the_budget() {
    let stocks: Vec<u64> = (0..60).map(|nth| 40 + nth * 37 % 71).collect();
    let pieces = [(38, 9), (27, 12), (22, 15), (13, 20)].map(|(length, count)| Piece { length, count });
    let Ok(Outcome::Plan(plan)) = fewest(&stocks, 1, &pieces, &mut Budget::of(200_000)) else { panic!() };
    assert!(plan.bound as usize <= plan.cuts.len() && plan.cuts.len() as u64 <= plan.bound + 1);
}

#[test]
fn what_has_no_meaning_is_refused() {
    let piece = [Piece { length: 3, count: 1 }];
    let mut budget = Budget::of(100);
    assert_eq!(fewest(&[5, 0], 0, &piece, &mut budget), Err(Amiss::Nought(2)));
    assert_eq!(fewest(&[u64::MAX], 0, &piece, &mut budget), Err(Amiss::TooLarge(1)));
    assert_eq!(fewest(&[2], 0, &piece, &mut budget), Ok(Outcome::Impossible));
    assert_eq!(fewest(&[], 0, &piece, &mut budget), Ok(Outcome::Impossible));
}
