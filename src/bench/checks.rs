//! What can be told wrong only when a dressing is put together: for every size and variant.

use super::Faults;
use super::dressings::Shelves;
use super::sizes::in_words;
use crate::diagnostic::{At, Diagnostic, Key, Told};
use crate::dressing::{Base, Change, Clip, Dressing, HookChart, Part, PartFields, Size, Turns, Way};
use std::collections::HashSet;
use std::sync::Arc;

/// How many faults of one dressing put together are enough to go on with.
const ENOUGH: usize = 100;

/// Puts the dressing together for every size and variant and tells each fault once. Where it is not `whole`,
/// because something in it could not be read, nothing is told to be missing.
pub(crate) fn run(dressing: &Dressing, shelves: &Shelves<'_>, whole: bool, faults: &Faults) {
    let (mut once, before) = (Once::default(), faults.errors());
    let variants = dressing.variants.iter().map(|(name, variant)| (Some(name.as_str()), variant.hook.as_ref()));
    for (variant, own_hook) in std::iter::once((None, None)).chain(variants) {
        let hook = own_hook.unwrap_or(&dressing.hook);
        let Some(chart) = shelves.charts.good.get(&hook.value) else { continue };
        // Every size with every variant is much to go through where everything is wrong.
        for size in dressing.sizes.iter().take_while(|_| faults.errors() - before < ENOUGH) {
            if let Some(fault) = in_chart(size, chart, own_hook.map(|hook| &hook.at)) {
                once.tell(fault, faults);
                continue;
            }
            match dressing.parts_for(&size.value, chart.old_scale(), variant) {
                Ok(parts) if whole => together(&parts, dressing, variant).into_iter().for_each(|fault| once.tell(fault, faults)),
                Ok(_) => {}
                Err(wrong) => wrong.into_iter().for_each(|fault| once.tell(fault, faults)),
            }
        }
    }
    strangers(dressing).into_iter().for_each(|fault| once.tell(fault, faults));
    if whole {
        idle(dressing, shelves).into_iter().for_each(|fault| once.tell(fault, faults));
    }
}

/// Tells each fault once: a size that is wrong is wrong in every variant. What and where make a fault, whoever meets it.
#[derive(Default)]
struct Once(HashSet<(String, Arc<[Key]>, bool)>);

impl Once {
    fn tell(&mut self, fault: Diagnostic, faults: &Faults) {
        let (path, on_key) = fault.at.as_ref().map(|at| (at.path.clone(), at.on_key)).unwrap_or_default();
        if self.0.insert((fault.what.clone(), path, on_key)) {
            faults.push(fault);
        }
    }
}

/// Parts that a variant changes and that only another variant has.
fn strangers(dressing: &Dressing) -> Vec<Diagnostic> {
    let mut faults = Vec::new();
    for variant in dressing.variants.values() {
        let own = || dressing.parts.iter().chain(variant.add.iter().map(|(part, _)| part));
        let changed = variant.replace.iter().chain(variant.at_size.iter().flat_map(|change| &change.parts));
        for (name, _) in changed.filter(|(name, _)| !own().any(|part| part.name.value == name.value)) {
            let fault = Diagnostic::error(format!("the variant \"{}\" has no part \"{}\"", variant.name.value, name.value), name.at.the_key());
            faults.push(fault.right("`add:` it in this variant too, or take the change away"));
        }
    }
    faults
}

/// Changes at sizes that the dressing is not tied in.
fn idle(dressing: &Dressing, shelves: &Shelves<'_>) -> Vec<Diagnostic> {
    let own = (&dressing.hook, dressing.at_size.as_slice());
    let all =
        std::iter::once(own).chain(dressing.variants.values().map(|variant| (variant.hook.as_ref().unwrap_or(&dressing.hook), variant.at_size.as_slice())));
    let mut found = Vec::new();
    for (hook, changes) in all {
        let Some(chart) = shelves.charts.good.get(&hook.value) else { continue };
        let fits = |change: &Change| dressing.sizes.iter().any(|size| change.rule.fits(&size.value, chart.old_scale()));
        for change in changes.iter().filter(|change| !dressing.sizes.is_empty() && !fits(change)) {
            let fault = Diagnostic::advice("the dressing is tied in no such size, so this changes nothing", change.at.clone());
            found.push(fault.right(format!("sizes it has: {}", in_words(dressing.sizes.iter().map(|told| &told.value)))));
        }
    }
    found
}

/// What a part says of others that cannot be, whichever they are.
fn of_others(part: &Part, parts: &[Part]) -> Vec<Diagnostic> {
    let mut faults = Vec::new();
    let name = &part.name.value;
    if let Some(Told { value: Turns::Split { of, .. }, at }) = &part.fields.turns
        && of == name
    {
        let fault = Diagnostic::error(format!("\"{name}\" cannot go before and behind itself"), at.clone());
        faults.push(fault.right("the part it goes on both sides of, such as `4 behind, 3 before the wing`"));
    }
    if let Some(by) = &part.fields.tied_down_by {
        let wound = |way: Way| matches!(way, Way::Wound | Way::Hackle | Way::Rope | Way::Spun | Way::Strip);
        let way = parts.iter().find(|other| other.name.value == by.value).and_then(|other| other.fields.way.as_ref());
        let what = match way {
            _ if by.value == *name => format!("\"{name}\" cannot tie itself down"),
            Some(way) if !wound(way.value) => format!("\"{}\" is not wound over anything, so it ties nothing down", by.value),
            _ => return faults,
        };
        let fault = Diagnostic::error(what, by.at.clone()).right("a part that is wound over this one, such as a rib");
        faults.push(match way {
            Some(way) if by.value != *name => fault.also("how it goes on", way.at.clone()),
            _ => fault,
        });
    }
    faults
}

/// Whether the chart knows the size, given or between two given.
pub(crate) fn in_chart(size: &Told<Size>, chart: &HookChart, told_by: Option<&At>) -> Option<Diagnostic> {
    if chart.shape.needs().iter().all(|measure| chart.around(&size.value, *measure).is_some()) {
        return None;
    }
    let given = in_words(chart.sizes_by_rank());
    let fault =
        Diagnostic::error(format!("size {} is neither in the chart \"{}\" nor between two sizes that are", size.value, chart.name.value), size.at.clone());
    let fault = fault.also("the chart", chart.name.at.clone()).right(format!("the chart gives {given}; another of these, or its figures in hooks.yaml"));
    Some(match told_by {
        Some(at) => fault.also("this hook", at.clone()),
        None => fault,
    })
}

/// What the parts of one size and variant lean on must be among them.
fn together(parts: &[Part], dressing: &Dressing, variant: Option<&str>) -> Vec<Diagnostic> {
    let mut faults = Vec::new();
    let there = |name: &str| parts.iter().any(|part| part.name.value == name);
    for part in parts {
        faults.extend(of_others(part, parts));
        for (name, at) in leans_on(&part.fields) {
            if there(name) {
                continue;
            }
            let what = match variant {
                Some(variant) => format!("\"{}\" leans on \"{name}\", which the variant \"{variant}\" does not have", part.name.value),
                None => format!("\"{}\" leans on \"{name}\", which only a variant has", part.name.value),
            };
            let fault = Diagnostic::error(what, at.clone());
            let gone = variant.and_then(|variant| dressing.variants.get(variant)).and_then(|v| v.leave_out.iter().find(|gone| gone.value == name));
            let fault = match gone {
                Some(gone) => fault.also("left out here", gone.at.clone()),
                None => fault,
            };
            faults.push(fault.right(format!("say `{}` of \"{}\" anew in the variant, or leave it out as well", key_of(&part.fields, at), part.name.value)));
        }
    }
    faults
}

fn key_of(fields: &PartFields, at: &At) -> &'static str {
    fields.said().into_iter().find(|(_, said)| *said == at).map_or("place", |(key, _)| key)
}

/// Every part that the fields of one lean on, and where they say so.
fn leans_on(fields: &PartFields) -> Vec<(&str, &At)> {
    let mut found: Vec<(&str, &At)> = Vec::new();
    for told in [&fields.over, &fields.under, &fields.carries_on, &fields.tied_down_by].into_iter().flatten() {
        found.push((&told.value, &told.at));
    }
    for told in [&fields.at, &fields.from, &fields.to, &fields.reach].into_iter().flatten() {
        found.extend(told.value.parts().map(|name| (name, &told.at)));
    }
    for told in [&fields.length, &fields.thick, &fields.width, &fields.fibre, &fields.beyond, &fields.loop_length].into_iter().flatten() {
        found.extend(told.value.parts().map(|name| (name, &told.at)));
    }
    if let Some(Told { value: Turns::Split { of, .. }, at }) = &fields.turns
        && !of.is_empty()
    {
        found.push((of, at));
    }
    if let Some(Told { value: Base::Post(name), at }) = &fields.on {
        found.push((name, at));
    }
    if let Some(Told { value: Clip::To(length), at }) = &fields.clip {
        found.extend(length.parts().map(|name| (name, at)));
    }
    for width in fields.several.iter().flat_map(|told| &told.value).filter_map(|stuff| stuff.width.as_ref()) {
        found.extend(width.value.parts().map(|name| (name, &width.at)));
    }
    found
}
