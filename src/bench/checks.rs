//! What can be told wrong only when a dressing is put together: for every size and variant.

use super::Faults;
use super::dressings::Shelves;
use super::sizes::in_words;
use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Base, Clip, Dressing, HookChart, Part, PartFields, Size};

/// Puts the dressing together for every size and variant and tells each fault once. Where it is not `whole`,
/// because something in it could not be read, nothing is told to be missing.
pub(crate) fn run(dressing: &Dressing, shelves: &Shelves<'_>, whole: bool, faults: &Faults) {
    let mut found: Vec<Diagnostic> = Vec::new();
    let mut tell = |fault: Diagnostic| {
        // A size that is wrong is wrong in every variant: what and where make a fault, whoever meets it.
        if !found.iter().any(|other| other.at == fault.at && other.what == fault.what) {
            found.push(fault);
        }
    };
    let variants = dressing.variants.iter().map(|(name, variant)| (Some(name.as_str()), variant.hook.as_ref()));
    for (variant, own_hook) in std::iter::once((None, None)).chain(variants) {
        let hook = own_hook.unwrap_or(&dressing.hook);
        let Some(chart) = shelves.charts.good.get(&hook.value) else { continue };
        for size in &dressing.sizes {
            if let Some(fault) = in_chart(size, chart, own_hook.map(|hook| &hook.at)) {
                tell(fault);
                continue;
            }
            match dressing.parts_for(&size.value, chart.old_scale(), variant) {
                Ok(parts) if whole => together(&parts, dressing, variant).into_iter().for_each(&mut tell),
                Ok(_) => {}
                Err(wrong) => wrong.into_iter().for_each(&mut tell),
            }
        }
    }
    strangers(dressing).into_iter().for_each(&mut tell);
    found.into_iter().for_each(|fault| faults.push(fault));
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
