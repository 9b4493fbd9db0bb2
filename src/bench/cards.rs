//! Faults that show only when the cards are worked: circles of lengths, sizes outside a chart, a body thinner
//! than what lies beneath it; and orders that cannot be planned.

use super::Bench;
use crate::card;
use crate::diagnostic::Diagnostic;
use crate::dressing::Dressing;
use crate::plan;

/// Works every card of the bench, each variant at each size, and plans every order; gives what stands against them.
/// A dressing with no worse fault than a key too many is worked too, so that all its faults are told in one go.
pub fn check(bench: &Bench) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for dressing in bench.dressings.values().chain(bench.broken.iter().filter_map(|broken| broken.meant.as_ref())) {
        of_dressing(bench, dressing, &mut found);
    }
    for order in bench.orders.values() {
        match plan::work(order, &bench.dressings, &bench.shelf) {
            // What a card says for itself was told with the dressing.
            Ok(plan) => plan
                .advice
                .into_iter()
                .filter(|fault| fault.at.as_ref().is_some_and(|at| at.file.starts_with("orders")))
                .for_each(|fault| add(&mut found, fault)),
            // What stands against a card was told too, unless the order itself brings it about.
            Err(faults) => faults.into_iter().for_each(|fault| add(&mut found, fault)),
        }
    }
    found
}

fn of_dressing(bench: &Bench, dressing: &Dressing, found: &mut Vec<Diagnostic>) {
    let variants = std::iter::once(None).chain(dressing.variants.keys().map(|name| Some(name.as_str())));
    for variant in variants {
        for size in &dressing.sizes {
            let faults = match card::work(dressing, size, variant, None, &bench.shelf) {
                Ok(card) => card.advice,
                Err(faults) => faults,
            };
            faults.into_iter().for_each(|fault| add(found, fault));
        }
    }
}

/// A fault that comes again at other sizes with other figures is told once.
fn add(found: &mut Vec<Diagnostic>, fault: Diagnostic) {
    let plain = |fault: &Diagnostic| fault.what.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect::<String>();
    if !found.iter().any(|other| other.at == fault.at && plain(other) == plain(&fault)) {
        found.push(fault);
    }
}
