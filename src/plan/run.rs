//! One run while it is planned: what it takes and how long, before money is rounded.

use super::many::{self, Many};
use super::needs::{self, Use};
use super::time::Stretch;
use super::work::Planner;
use super::{Priced, time};
use crate::card::{self, Card};
use crate::diagnostic::{Diagnostic, Told, did_you_mean, near_or_all};
use crate::dressing::{Dressing, OrderLine, PartFields, Price, Size};
use crate::measure::{Unit, words};
use crate::why::{Fig, Standing};
use rust_decimal::Decimal;
use std::collections::HashSet;

/// A run before its money is rounded.
pub(super) struct Draft {
    pub(super) key: String,
    pub(super) dressing: String,
    pub(super) size: Size,
    pub(super) variant: Option<String>,
    pub(super) card: Card,
    pub(super) flies: Fig,
    pub(super) many: Many,
    /// The tying silk's folded name.
    pub(super) silk: String,
    pub(super) larger: i64,
    pub(super) extras: Vec<Told<String>>,
    pub(super) uses: Vec<Use>,
    pub(super) hours: Option<Fig>,
    pub(super) seconds: Option<Fig>,
    pub(super) stray: Option<Fig>,
    pub(super) stretches: Vec<Stretch>,
    pub(super) price: Option<(Told<Price>, Priced)>,
}

/// Plans one size of one line of an order.
pub(super) fn draft(p: &mut Planner<'_>, line: &OrderLine, size: &Told<Size>, count: &Told<u32>) -> Result<Draft, Vec<Diagnostic>> {
    let dressing = find(p, line)?;
    let variant = match &line.variant {
        Some(told) if !dressing.variants.contains_key(&words::fold(&told.value)) => {
            let known = dressing.variants.values().map(|variant| variant.name.value.as_str());
            let hint = near_or_all(&told.value, known, "no variant: the dressing has none");
            return Err(vec![Diagnostic::error(format!("\"{}\" is not a variant of \"{}\"", told.value, dressing.name.value), told.at.clone()).right(hint)]);
        }
        Some(told) => Some(told.value.clone()),
        None => None,
    };
    if !dressing.sizes.iter().any(|own| own.value == size.value) {
        let own = dressing.sizes.iter().map(|size| size.value.text()).collect::<Vec<_>>().join(", ");
        p.advice.push(
            Diagnostic::advice(format!("\"{}\" is dressed in sizes {own}, not in {}", dressing.name.value, size.value), size.at.clone())
                .right("one of its sizes, or the size added to the dressing"),
        );
    }
    extras(p, &line.extras)?;
    let swapped = swap(p, line, dressing)?;
    let card = card::work(&swapped, size, variant.as_deref(), line.hook.as_ref().map(|hook| hook.value.as_str()), p.shelf).map_err(|faults| {
        // A fault of the size belongs to the order that asks for it.
        faults.into_iter().map(|fault| fault.also("for this line of the order", size.at.clone())).collect::<Vec<_>>()
    })?;
    for advice in &card.advice {
        // The same advice at another size is the same advice.
        if !p.advice.iter().any(|other| other.at == advice.at && other.what == advice.what) {
            p.advice.push(advice.clone());
        }
    }
    let run = p.cards.len();
    let mut key = words::fold(&format!("{} {} {}", dressing.name.value, size.value, variant.as_deref().unwrap_or_default()));
    if p.figures.find(&format!("{key}.flies")).is_some() {
        key = format!("{key} ({})", run + 1);
    }
    let asked = p.given.wish.flies(run, count.value);
    let from = if asked == count.value { needs::place(&count.at) } else { format!("tried out on the plan; {} in {}", count.value, needs::place(&count.at)) };
    let flies = p.figures.given(format!("{key}.flies"), Decimal::from(asked), Unit::One, Standing::Stated, from);
    let Some(many) = many::of_run(p, &key, line, dressing, &size.value, flies) else {
        let what = format!("how many \"{}\" of {} to lay out goes beyond what can be reckoned", dressing.name.value, size.value);
        return Err(vec![Diagnostic::error(what, count.at.clone()).right("fewer flies, or a smaller share of `rejects:`")]);
    };
    p.cards.push(card.clone());
    let uses = needs::of_run(p, run, &key, &card, many);
    let time = time::of_run(p, run, &key, dressing, &card, &size.value, many.tied);
    if time.is_none() {
        p.open.push(format!("{} {}: no time is known; write `time: 6 min a fly`, or times with the steps, into the dressing", dressing.name.value, size.value));
    }
    for part in card.parts.iter().filter(|part| part.amount.is_none()) {
        let note = format!("{} {}: what \"{}\" takes is open; `herl check` tells what would say it", dressing.name.value, size.value, part.name);
        if !p.open.contains(&note) {
            p.open.push(note);
        }
    }
    for used in &uses {
        if let Some(why) = &used.open {
            let note = format!("{}: {why}", used.name);
            if !p.open.contains(&note) {
                p.open.push(note);
            }
        }
    }
    let chart = card.chart.clone();
    Ok(Draft {
        price: price(p, line, dressing, &size.value),
        key,
        dressing: dressing.name.value.clone(),
        size: size.value.clone(),
        variant: card.variant.clone(),
        card,
        flies,
        many,
        silk: dressing.silks.first().map(|silk| words::fold(&silk.of.value)).unwrap_or_default(),
        larger: size.value.rank(p.shelf.charts.get(&words::fold(&chart)).is_some_and(crate::dressing::HookChart::old_scale)),
        extras: line.extras.clone(),
        uses,
        seconds: time.as_ref().map(|taken| taken.seconds),
        hours: time.as_ref().map(|taken| taken.hours),
        stray: time.as_ref().and_then(|taken| taken.stray),
        stretches: time.map(|taken| taken.stretches).unwrap_or_default(),
    })
}

/// Extras must be the bench's.
pub(super) fn extras(p: &Planner<'_>, named: &[Told<String>]) -> Result<(), Vec<Diagnostic>> {
    let known = &p.shelf.terms.extras;
    let wrong = named.iter().filter(|told| !known.contains_key(&told.value));
    let faults: Vec<Diagnostic> = wrong
        .map(|told| {
            let hint = near_or_all(&told.value, known.values().map(|extra| extra.name.value.as_str()), "a row under `extras:` in bench.yaml: it has none");
            Diagnostic::error(format!("\"{}\" is not an extra of this bench", told.value), told.at.clone()).right(hint)
        })
        .collect();
    if faults.is_empty() { Ok(()) } else { Err(faults) }
}

fn find<'a>(p: &Planner<'a>, line: &OrderLine) -> Result<&'a Dressing, Vec<Diagnostic>> {
    p.dressings.get(&words::fold(&line.dressing.value)).ok_or_else(|| {
        let hint = did_you_mean(&line.dressing.value, p.dressings.values().map(|dressing| dressing.name.value.as_str()));
        vec![
            Diagnostic::error(format!("there is no dressing \"{}\" that can be used", line.dressing.value), line.dressing.at.clone())
                .right(hint.unwrap_or_else(|| "the name of a dressing of this bench".to_owned())),
        ]
    })
}

/// The dressing with what was agreed to stand in.
fn swap(p: &Planner<'_>, line: &OrderLine, dressing: &Dressing) -> Result<Dressing, Vec<Diagnostic>> {
    let mut swapped = dressing.clone();
    for to in line.instead.values() {
        if !p.shelf.materials.contains_key(&words::fold(&to.value)) {
            let hint = did_you_mean(&to.value, p.shelf.materials.values().map(|material| material.name.value.as_str()));
            return Err(vec![Diagnostic::error(format!("\"{}\" is not a material of this bench", to.value), to.at.clone()).right_if(hint)]);
        }
    }
    let own = swapped.parts.iter_mut().map(|part| &mut *part.fields);
    let at_size = swapped.at_size.iter_mut().flat_map(|change| &mut change.parts).map(|(_, fields)| fields);
    let mut in_variants = Vec::new();
    let mut silks: Vec<&mut Told<String>> = swapped.silks.iter_mut().map(|silk| &mut silk.of).collect();
    for variant in swapped.variants.values_mut() {
        let added = variant.add.iter_mut().map(|(part, _)| &mut *part.fields);
        let at_size = variant.at_size.iter_mut().flat_map(|change| &mut change.parts);
        in_variants.extend(added.chain(variant.replace.iter_mut().chain(at_size).map(|(_, fields)| fields)));
        silks.extend(variant.silk.as_mut());
    }
    // Each is swapped once, by its name in the dressing: two may stand in for each other.
    let mut met = HashSet::new();
    for of in own.chain(at_size).chain(in_variants).flat_map(PartFields::materials_mut).chain(silks) {
        let name = words::fold(&of.value);
        if let Some((_, to)) = line.instead.iter().find(|(from, _)| words::fold(from) == name) {
            of.value.clone_from(&to.value);
            met.insert(name);
        }
    }
    if let Some((from, to)) = line.instead.iter().find(|(from, _)| !met.contains(&words::fold(from))) {
        return Err(vec![
            Diagnostic::error(format!("\"{}\" does not use \"{from}\", so nothing can stand in for it", dressing.name.value), to.at.the_key())
                .right("a material the dressing uses"),
        ]);
    }
    Ok(swapped)
}

/// Stated in the order, else on the bench's list.
fn price(p: &Planner<'_>, line: &OrderLine, dressing: &Dressing, size: &Size) -> Option<(Told<Price>, Priced)> {
    if let Some(told) = &line.price {
        return Some((told.clone(), Priced::Stated(told.value)));
    }
    let kind = words::fold(&dressing.kind.value);
    let listed = p.shelf.terms.prices.iter().find(|row| {
        row.kind.as_ref().is_none_or(|listed| words::fold(&listed.value) == kind) && row.sizes.as_ref().is_none_or(|sizes| sizes.fits(size, false))
    })?;
    Some((listed.price.clone(), Priced::Listed(listed.price.value)))
}
