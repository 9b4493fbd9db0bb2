//! Fibres that go on from one part into another: counted once, and long enough for both.

use super::super::formulas::*;
use super::super::worker::{Lean, Worker};
use super::{Piece, Reckoned, Taken};
use crate::diagnostic::{Diagnostic, Told};
use crate::dressing::{Part, PartFields};
use crate::measure::Unit;
use crate::why::{Fig, Standing};
use std::rc::Rc;

/// Gives every part that carries on another the material of that one, and tells what cannot be.
pub(in crate::card) fn resolve(parts: &mut [Part], faults: &mut Vec<Diagnostic>) {
    let names = |fields: &PartFields| fields.materials().map(|told| crate::measure::words::fold(&told.value)).collect::<Vec<_>>();
    for nth in 0..parts.len() {
        let Some(first) = first_of(parts, nth, faults) else { continue };
        let (Some(from), Some(part)) = (parts.get(first).cloned(), parts.get_mut(nth)) else { continue };
        let Some(told) = part.fields.carries_on.clone() else { continue };
        if part.fields.of.is_none() {
            part.fields.of.clone_from(&from.fields.of);
            part.fields.several.clone_from(&from.fields.several);
        } else if names(&part.fields) != names(&from.fields) {
            let at = part.fields.of.as_ref().map_or(&part.name.at, |of| &of.at).clone();
            faults.push(
                Diagnostic::error(format!("\"{}\" carries on the fibres of \"{}\", so it is of the same material", part.name.value, from.name.value), at)
                    .also("carried on here", told.at.clone())
                    .right(format!("leave `of:` out, or say {}", names(&from.fields).join(", "))),
            );
        }
    }
}

/// The part the fibres were tied in with, for a part that carries on; `None` for one that does not, or in a circle.
fn first_of(parts: &[Part], nth: usize, faults: &mut Vec<Diagnostic>) -> Option<usize> {
    let mut here = nth;
    for _ in 0..parts.len() {
        let Some(told) = parts.get(here)?.fields.carries_on.as_ref() else { return (here != nth).then_some(here) };
        here = parts.iter().position(|part| part.name.value == told.value)?;
    }
    let at = parts.get(nth)?.fields.carries_on.as_ref()?.at.clone();
    if !faults.iter().any(|fault| fault.what.starts_with("these parts carry on each other")) {
        faults.push(Diagnostic::error("these parts carry on each other in a circle", at).right("one of them begins with fibres of its own"));
    }
    None
}

/// How many fibres go on: as many as the part has they come from.
pub(super) fn how_many(w: &mut Worker<'_>, part: &Part) -> Option<Fig> {
    let key = format!("{}.fibres", part.name.value);
    if let Some(fig) = w.sheet.find(&key) {
        return Some(fig);
    }
    let mut here = Rc::new(part.clone());
    for _ in 0..w.parts.len() {
        if let Some(told) = &here.fields.count {
            let count = super::number(w, &format!("{}.count", here.name.value), told);
            return w.work(&key, &SUM_ONE, &[count], &part.name.at);
        }
        if let Some(count) = w.sheet.find(&format!("{}.count", here.name.value)) {
            return w.work(&key, &SUM_ONE, &[count], &part.name.at);
        }
        let Some(told) = &here.fields.carries_on else { break };
        here = w.parts.iter().find(|other| other.name.value == told.value)?.clone();
    }
    w.advise(
        Diagnostic::advice(
            format!("how many fibres go on into \"{}\" is not known when it is wound, so it is wound as one", part.name.value),
            part.name.at.clone(),
        )
        .right("`count:` with the part they come from, and that part tied in first"),
    );
    Some(w.sheet.given(key, 1.0, Unit::One, Standing::Assumed, "assumed: the part the fibres come from tells no count"))
}

/// Nothing more is taken for fibres that go on; they are held against the length they must have for all they do.
pub(super) fn taken(w: &mut Worker<'_>, part: &Part, pieces: &[Piece<'_>], length: Fig) -> Option<Vec<Taken>> {
    let told = part.fields.carries_on.as_ref()?;
    let at = &part.name.at;
    let before = run(w, told, w.parts.len())?;
    let all = w.work(&format!("{}.fibre-length", part.name.value), &LENGTHS, &[before, length], at)?;
    for piece in pieces {
        let Some(usable) = piece.material.usable.as_ref().filter(|usable| w.value(all) > usable.value + 1e-9) else { continue };
        w.advise(
            Diagnostic::advice(
                format!(
                    "the fibres that go on from \"{}\" into \"{}\" need {:.1} mm, but only {:.1} mm of \"{}\" can be used",
                    told.value,
                    part.name.value,
                    w.value(all),
                    usable.value,
                    piece.material.name.value
                ),
                told.at.clone(),
            )
            .also("its usable length", usable.at.clone())
            .right("a longer feather, shorter parts, or a bunch of its own for the second"),
        );
    }
    Some(pieces.iter().map(|_| Reckoned::new(&SUM_ONE, Vec::new()).into()).collect())
}

/// How long the fibres are as far as the end of a part.
fn run(w: &mut Worker<'_>, told: &Told<String>, depth: usize) -> Option<Fig> {
    let name = told.value.as_str();
    if let Some(fig) = w.sheet.find(&format!("{name}.fibre-length")) {
        return Some(fig);
    }
    let nth = w.parts.iter().position(|other| other.name.value == name)?;
    let wound = ["strand-length", "wound"].iter().find_map(|key| w.sheet.find(&format!("{name}.{key}")));
    let own = match wound {
        Some(fig) => fig,
        None => w.figure_of(nth, Lean::Length, &told.at)?,
    };
    let Some(before) = w.parts.get(nth)?.fields.carries_on.clone().filter(|_| depth > 0) else { return Some(own) };
    let before = run(w, &before, depth - 1)?;
    let key = w.sheet.fresh_key(&format!("{name}.fibre-length-so-far"));
    w.work(&key, &LENGTHS, &[before, own], &told.at)
}
