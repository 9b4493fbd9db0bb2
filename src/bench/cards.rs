//! Faults that show only when the cards are worked: circles of lengths, sizes outside a chart, a body thinner
//! than what lies beneath it; and orders that cannot be planned.

use super::Bench;
use crate::card;
use crate::diagnostic::Diagnostic;
use crate::dressing::{Dressing, Size};
use crate::measure::words::fold;
use crate::plan;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Works every card of the bench, each variant at each size, and plans every order; gives what stands against them.
/// A dressing with no worse fault than a key too many is worked too, so that all its faults are told in one go.
pub fn check(bench: &Bench) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    let dressings: Vec<&Dressing> = bench.dressings.values().chain(bench.broken.iter().filter_map(|broken| broken.meant.as_ref())).collect();
    for faults in shared_out(&dressings, |dressing| of_dressing(bench, dressing)) {
        faults.into_iter().for_each(|fault| {
            add(&mut found, fault);
        });
    }
    // A size that no dressing asks for yet is on no card.
    for (chart, size) in bench.shelf.charts.values().flat_map(|chart| chart.sizes.keys().map(move |size| (chart, size))) {
        for fault in card::hook_faults(chart, size) {
            add(&mut found, fault);
        }
    }
    let given = plan::Given { habits: bench.habits.clone(), ..plan::Given::default() };
    for order in bench.orders.values() {
        match plan::work(order, &bench.dressings, &bench.shelf, &given) {
            // What a card says for itself was told with the dressing.
            Ok(plan) => plan.advice.into_iter().filter(|fault| fault.at.as_ref().is_some_and(|at| at.file.starts_with("orders"))).for_each(|fault| {
                add(&mut found, fault);
            }),
            // What stands against a card was told too, unless the order itself brings it about.
            Err(faults) => faults.into_iter().for_each(|fault| {
                add(&mut found, fault);
            }),
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
    // Each with the cards it was met on: advice that holds for some of them says which.
    let mut found: Vec<Diagnostic> = Vec::new();
    let mut met: Vec<Vec<usize>> = Vec::new();
    let mut cards = Vec::new();
    let variants = std::iter::once(None).chain(dressing.variants.values().map(Some));
    for variant in variants {
        let folded = variant.map(|variant| fold(&variant.name.value));
        for size in &dressing.sizes {
            let faults = match card::work(dressing, size, folded.as_deref(), None, &bench.shelf) {
                Ok(card) => card.advice,
                Err(faults) => faults,
            };
            for fault in faults {
                let nth = add(&mut found, fault);
                met.resize(found.len().max(met.len()), Vec::new());
                if let Some(on) = met.get_mut(nth).filter(|on| on.last() != Some(&cards.len())) {
                    on.push(cards.len());
                }
            }
            cards.push((variant.map(|variant| variant.name.value.as_str()), &size.value));
        }
    }
    for (fault, on) in found.iter_mut().zip(met).filter(|(fault, on)| !fault.is_error() && on.len() < cards.len()) {
        fault.what.push_str(&only_in(&on, &cards, dressing.sizes.len()));
    }
    found
}

/// ` (only as written, in size 12; dark, in every size)`.
fn only_in(on: &[usize], cards: &[(Option<&str>, &Size)], sizes: usize) -> String {
    let mut groups: Vec<(Option<&str>, String)> = Vec::new();
    let variants = cards.chunks(sizes.max(1)).count();
    for (nth, of_variant) in cards.chunks(sizes.max(1)).enumerate() {
        let mine: Vec<String> = on.iter().filter_map(|card| of_variant.get(card.checked_sub(nth * sizes)?)).map(|(_, size)| size.to_string()).collect();
        let told = if mine.len() == of_variant.len() { "in every size".to_owned() } else { format!("in size {}", mine.join(", ")) };
        let variant = of_variant.first().and_then(|(variant, _)| *variant);
        if !mine.is_empty() {
            groups.push((variant, told));
        }
    }
    // Where all variants say the same, it is said once.
    if let Some((_, first)) = groups.first().filter(|_| groups.len() == variants)
        && groups.iter().all(|(_, told)| told == first)
    {
        return format!(" (only {first})");
    }
    let told = groups.iter().map(|(variant, told)| format!("{}, {told}", variant.unwrap_or("as written")));
    format!(" (only {})", told.collect::<Vec<_>>().join("; "))
}

/// A fault that comes again at other sizes with other figures is told once; gives its place in the list.
fn add(found: &mut Vec<Diagnostic>, fault: Diagnostic) -> usize {
    let plain = |fault: &Diagnostic| fault.what.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect::<String>();
    found.iter().position(|other| other.at == fault.at && plain(other) == plain(&fault)).unwrap_or_else(|| {
        found.push(fault);
        found.len() - 1
    })
}
