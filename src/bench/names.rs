//! The names a bench's files have, with those they had before: what the ledger is told, so that what was booked under an
//! old name goes on under the new one.

use super::{Bench, Renamed, Sort};
use crate::diagnostic::Diagnostic;
use crate::measure::Words;
use crate::measure::words::fold;
use crate::stores::{self, Named};
use std::collections::BTreeMap;

/// Every name of the files: materials, charts, dressings with their variants, suppliers, and the customers of its orders.
pub fn names(bench: &Bench) -> Vec<Named> {
    let mut all = Vec::new();
    let mut put = |sort: stores::Sort, own: Option<Sort>, of: Option<&str>, name: &str| {
        let key = of.map_or_else(|| fold(name), |of| format!("{} / {}", fold(of), fold(name)));
        let formerly = bench.renamed.iter().filter(|was| Some(was.sort) == own && was.now == key).map(|was| Words::new(&was.was.value)).collect();
        all.push(Named { sort, of: of.map(Words::new), name: Words::new(name), formerly });
    };
    for material in bench.shelf.materials.values() {
        put(stores::Sort::Material, Some(Sort::Material), None, &material.name.value);
    }
    for chart in bench.shelf.charts.values() {
        put(stores::Sort::Chart, Some(Sort::Chart), None, &chart.name.value);
    }
    for dressing in bench.dressings.values() {
        put(stores::Sort::Dressing, Some(Sort::Dressing), None, &dressing.name.value);
        for variant in dressing.variants.values() {
            put(stores::Sort::Variant, Some(Sort::Variant), Some(&dressing.name.value), &variant.name.value);
        }
    }
    for supplier in bench.shelf.suppliers.values() {
        put(stores::Sort::Supplier, Some(Sort::Supplier), None, &supplier.name.value);
    }
    let customers: BTreeMap<String, &str> =
        bench.orders.values().filter_map(|order| order.customer.as_ref()).map(|told| (fold(&told.value), told.value.as_str())).collect();
    for name in customers.into_values() {
        put(stores::Sort::Customer, None, None, name);
    }
    all
}

/// Old names that two things of one sort claim: nobody knows which of them goes on with what was booked.
pub(super) fn claimed_twice(renamed: &[Renamed]) -> Vec<Diagnostic> {
    let mut faults = Vec::new();
    let mut seen: BTreeMap<(&str, &str, String), &Renamed> = BTreeMap::new();
    for one in renamed {
        let within = if one.sort == Sort::Variant { one.now.split_once(" / ").map_or("", |(dressing, _)| dressing) } else { "" };
        match seen.get(&(one.sort.word(), within, fold(&one.was.value))) {
            Some(first) if first.now != one.now => {
                let fault = Diagnostic::error(format!("\"{}\" is said to be the former name of two", one.was.value), one.was.at.clone());
                faults.push(fault.also("said first here", first.was.at.clone()).right("leave it with the one that goes on with what was booked under it"));
            }
            Some(_) => {}
            None => {
                seen.insert((one.sort.word(), within, fold(&one.was.value)), one);
            }
        }
    }
    faults
}
