//! Faults that show only when the cards are worked: circles of lengths, sizes outside a chart, a body thinner
//! than what lies beneath it; and orders that cannot be planned.

use super::Bench;
use crate::card;
use crate::diagnostic::Diagnostic;
use crate::dressing::Dressing;
use crate::plan;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Works every card of the bench, each variant at each size, and plans every order; gives what stands against them.
/// A dressing with no worse fault than a key too many is worked too, so that all its faults are told in one go.
pub fn check(bench: &Bench) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    let dressings: Vec<&Dressing> = bench.dressings.values().chain(bench.broken.iter().filter_map(|broken| broken.meant.as_ref())).collect();
    for faults in shared_out(&dressings, |dressing| of_dressing(bench, dressing)) {
        faults.into_iter().for_each(|fault| add(&mut found, fault));
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

/// Does the same to each, shared out over the machine's processors in small lots, so that none waits long for another;
/// answers stay in order.
pub(super) fn shared_out<T: Sync, R: Send>(all: &[T], each: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let hands = std::thread::available_parallelism().map_or(1, usize::from).min(all.len().div_ceil(8)).max(1);
    if hands == 1 {
        return all.iter().map(each).collect();
    }
    let lots: Vec<&[T]> = all.chunks(all.len().div_ceil(hands * 16).max(1)).collect();
    let (each, next) = (&each, &AtomicUsize::new(0));
    let lot = |share: &[T]| share.iter().map(each).collect::<Vec<R>>();
    let mut done: Vec<Option<Vec<R>>> = lots.iter().map(|_| None).collect();
    std::thread::scope(|scope| {
        let take = || {
            let mut mine = Vec::new();
            while let Some((nth, share)) = Some(next.fetch_add(1, Ordering::Relaxed)).and_then(|nth| Some((nth, *lots.get(nth)?))) {
                mine.push((nth, lot(share)));
            }
            mine
        };
        let others: Vec<_> = (1..hands).map(|_| scope.spawn(take)).collect();
        let own = take();
        // What came to grief elsewhere is done again below, where its grief is seen.
        for (nth, share) in own.into_iter().chain(others.into_iter().flat_map(|other| other.join().unwrap_or_default())) {
            if let Some(place) = done.get_mut(nth) {
                *place = Some(share);
            }
        }
    });
    lots.iter().zip(done).flat_map(|(share, done)| done.unwrap_or_else(|| lot(share))).collect()
}

fn of_dressing(bench: &Bench, dressing: &Dressing) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    let variants = std::iter::once(None).chain(dressing.variants.keys().map(|name| Some(name.as_str())));
    for variant in variants {
        for size in &dressing.sizes {
            let faults = match card::work(dressing, size, variant, None, &bench.shelf) {
                Ok(card) => card.advice,
                Err(faults) => faults,
            };
            faults.into_iter().for_each(|fault| add(&mut found, fault));
        }
    }
    found
}

/// A fault that comes again at other sizes with other figures is told once.
fn add(found: &mut Vec<Diagnostic>, fault: Diagnostic) {
    let plain = |fault: &Diagnostic| fault.what.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect::<String>();
    if !found.iter().any(|other| other.at == fault.at && plain(other) == plain(&fault)) {
        found.push(fault);
    }
}
