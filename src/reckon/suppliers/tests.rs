//! The purchase against every purchase there is.

use super::*;
use proptest::prelude::*;

/// The least of every purchase there is, with at most `most` of an offer.
fn every(needs: &[u64], suppliers: &[Supplier], offers: &[Offer], most: u64) -> Option<(u64, u64, u64)> {
    let mut best = None;
    let mut counts = vec![0_u64; offers.len()];
    loop {
        let mut covered = vec![0; needs.len()];
        let mut goods = vec![0; suppliers.len()];
        let mut used = vec![false; suppliers.len()];
        for (offer, count) in offers.iter().zip(&counts) {
            covered[offer.need] += offer.pack.size * count;
            goods[offer.supplier] += offer.pack.price * count;
            used[offer.supplier] |= *count > 0;
        }
        if covered.iter().zip(needs).all(|(covered, need)| covered >= need) {
            let pays = |nth: &usize| used[*nth] && suppliers[*nth].free_from.is_none_or(|sum| goods[*nth] < sum);
            let carriage: u64 = (0..suppliers.len()).filter(pays).map(|nth| suppliers[nth].carriage).sum();
            let told = (goods.iter().sum::<u64>() + carriage, covered.iter().sum(), counts.iter().sum());
            best = Some(best.map_or(told, |best: (u64, u64, u64)| best.min(told)));
        }
        let limit = |nth: usize| offers[nth].pack.most.unwrap_or(most).min(most);
        let Some(nth) = (0..offers.len()).find(|nth| counts[*nth] < limit(*nth)) else { return best };
        counts[nth] += 1;
        counts[..nth].fill(0);
    }
}

fn question() -> impl Strategy<Value = (Vec<u64>, Vec<Supplier>, Vec<Offer>)> {
    let supplier =
        (0_u64..30, prop_oneof![1 => Just(None), 4 => (1_u64..80).prop_map(Some)]).prop_map(|(carriage, free_from)| Supplier { carriage, free_from });
    let most = prop_oneof![3 => Just(None), 1 => (0_u64..3).prop_map(Some)];
    let offer = (0_usize..3, 0_usize..2, 1_u64..8, 1_u64..20, most).prop_map(|(supplier, need, size, price, most)| Offer {
        supplier,
        need,
        pack: Pack { size, price, most },
    });
    (proptest::collection::vec(1_u64..12, 2), proptest::collection::vec(supplier, 3), proptest::collection::vec(offer, 2..6))
}

proptest! {
    #[test]
    fn the_purchase_is_the_best_there_is((needs, suppliers, offers) in question()) {
        // No more than seven packs of one offer keeps the trial of them all short; the question is limited alike.
        let offers: Vec<Offer> = offers.into_iter().map(|offer| Offer { pack: Pack { most: Some(offer.pack.most.unwrap_or(7).min(7)), ..offer.pack }, ..offer }).collect();
        let purchase = cheapest(&needs, &suppliers, &offers, &mut Budget::of(1_000_000)).unwrap();
        let told = purchase.as_ref().map(|purchase| {
            assert!(purchase.proved);
            (purchase.cost, purchase.left.iter().sum::<u64>() + needs.iter().sum::<u64>(), purchase.packs)
        });
        prop_assert_eq!(told, every(&needs, &suppliers, &offers, 7));
    }

    /// A small budget gives a purchase still, and a bound that holds.
    #[test]
    fn a_small_budget_gives_a_purchase_and_a_bound((needs, suppliers, offers) in question(), nodes in 0_u64..40) {
        let short = cheapest(&needs, &suppliers, &offers, &mut Budget::of(nodes)).unwrap();
        let whole = cheapest(&needs, &suppliers, &offers, &mut Budget::of(1_000_000)).unwrap();
        prop_assert_eq!(short.is_some(), whole.is_some());
        if let (Some(short), Some(whole)) = (short, whole) {
            prop_assert!(short.bound <= whole.cost && whole.cost <= short.cost);
            prop_assert!(!short.proved || short.cost == whole.cost);
        }
    }

    #[test]
    fn any_figures_are_taken_without_panic(
        needs in proptest::collection::vec(any::<u64>(), 0..3),
        suppliers in proptest::collection::vec((any::<u64>(), any::<Option<u64>>()), 0..3),
        offers in proptest::collection::vec((0_usize..4, 0_usize..4, any::<u64>(), any::<u64>(), any::<Option<u64>>()), 0..5),
    ) {
        let suppliers: Vec<Supplier> = suppliers.into_iter().map(|(carriage, free_from)| Supplier { carriage, free_from }).collect();
        let offers: Vec<Offer> =
            offers.into_iter().map(|(supplier, need, size, price, most)| Offer { supplier, need, pack: Pack { size, price, most } }).collect();
        let _ = cheapest(&needs, &suppliers, &offers, &mut Budget::of(1000));
    }
}
