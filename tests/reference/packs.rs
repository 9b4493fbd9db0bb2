//! Cheapest packs, from one supplier and from several with carriage.

use herl::reckon::packs::{self, Pack};
use herl::reckon::search::Budget;
use herl::reckon::suppliers::{self, Offer, Supplier};
use serde_json::Value;

/// The cases of a file that names its source.
pub(crate) fn cases(file: &str, count: usize, of: &str) -> Vec<Value> {
    let file: Value = serde_json::from_str(file).unwrap();
    assert!(file["source"].as_str().is_some_and(|source| !source.is_empty()), "the file names no source");
    let cases = file[of].as_array().unwrap().clone();
    assert_eq!(cases.len(), count, "cases read");
    cases
}

/// A list of whole numbers.
pub(crate) fn whole(list: &Value) -> Vec<u64> {
    list.as_array().unwrap().iter().map(|figure| figure.as_u64().unwrap()).collect()
}

/// 120 needs: a constraint solver and a dynamic programme agree on the least cost, on the fewest units at that cost
/// and on the fewest packs at both.
#[test]
fn the_cheapest_packs() {
    for case in cases(include_str!("data/pack_single.json"), 120, "cases") {
        let need = case["need"].as_u64().unwrap();
        // A limit of a thousand stands for none.
        let packs: Vec<Pack> = case["packs_size_price_max"]
            .as_array()
            .unwrap()
            .iter()
            .map(whole)
            .map(|pack| Pack { size: pack[0], price: pack[1], most: (pack[2] < 1000).then_some(pack[2]) })
            .collect();
        let choice = packs::cheapest(need, &packs, &mut Budget::of(1000)).unwrap();
        assert_eq!(choice.is_some(), case["feasible"].as_bool().unwrap(), "{case}");
        let Some(choice) = choice else { continue };
        assert!(choice.proved);
        assert_eq!(choice.cost, case["min_cost"].as_u64().unwrap(), "{case}");
        assert_eq!(choice.units, case["fewest_units_at_min_cost"].as_u64().unwrap(), "{case}");
        assert_eq!(choice.packs, case["fewest_packs_then"].as_u64().unwrap(), "{case}");
        let sum = |of: &dyn Fn(&Pack) -> u64| packs.iter().zip(&choice.counts).map(|(pack, count)| of(pack) * count).sum::<u64>();
        assert_eq!((sum(&|pack| pack.price), sum(&|pack| pack.size)), (choice.cost, choice.units));
    }
}

/// 50 orders to several suppliers: a constraint solver and a mixed-integer solver agree on the least total.
#[test]
fn the_cheapest_suppliers() {
    for case in cases(include_str!("data/pack_suppliers.json"), 50, "cases") {
        let needs = whole(&case["needs"]);
        let suppliers: Vec<Supplier> = case["suppliers_fee_freeover"]
            .as_array()
            .unwrap()
            .iter()
            .map(whole)
            .map(|terms| Supplier { carriage: terms[0], free_from: Some(terms[1]) })
            .collect();
        let offers: Vec<Offer> = case["offers"]
            .as_array()
            .unwrap()
            .iter()
            .map(whole)
            .map(|offer| Offer { supplier: offer[0] as usize, need: offer[1] as usize, pack: Pack { size: offer[2], price: offer[3], most: None } })
            .collect();
        let purchase = suppliers::cheapest(&needs, &suppliers, &offers, &mut Budget::of(2_000_000)).unwrap().unwrap();
        assert!(purchase.proved, "{case}");
        assert_eq!(purchase.cost, case["min_total"].as_u64().unwrap(), "{case}");
        // The total is what the packs come to, and every need is covered.
        let mut goods = vec![0; suppliers.len()];
        let mut covered = vec![0; needs.len()];
        for (offer, count) in offers.iter().zip(&purchase.counts) {
            goods[offer.supplier] += offer.pack.price * count;
            covered[offer.need] += offer.pack.size * count;
        }
        let carriage: Vec<u64> = suppliers
            .iter()
            .zip(&goods)
            .map(|(supplier, goods)| if *goods > 0 && supplier.free_from.is_none_or(|sum| *goods < sum) { supplier.carriage } else { 0 })
            .collect();
        assert_eq!(carriage, purchase.carriage);
        assert_eq!(goods.iter().sum::<u64>() + carriage.iter().sum::<u64>(), purchase.cost);
        let left: Vec<u64> = covered.iter().zip(&needs).map(|(covered, need)| covered.checked_sub(*need).unwrap()).collect();
        assert_eq!(left, purchase.left);
    }
}
