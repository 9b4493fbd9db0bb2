//! Bunches of fibres or hair: how many, and how thick the bundle is.

use super::super::formulas::*;
use super::super::worker::Worker;
use super::{
    COUNT_RIGHT, Making, NONE_STATED, Piece, Reckoned, Taken, can_lie, long_enough, loss, number, numbers, own, own_length, pieces, shares, sum_of_numbers,
};
use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Laid, Length, Part, Way};
use crate::measure::Unit;
use crate::why::{Fig, Standing};

/// A bunch by its count or its thickness; several materials each by a count of its own or a share of the part's.
pub(in crate::card) fn bunch(w: &mut Worker<'_>, nth: usize, part: &Part, all: &[Piece<'_>], making: &mut Making) -> Option<Vec<Taken>> {
    can_lie(w, part, all, &[Laid::Together, Laid::OneAfterTheOther, Laid::OneEachSide])?;
    making.part.length = own_length(w, nth, part);
    let Some(length) = making.part.length else {
        // Without a length the bunch is open, however many fibres it has; the card still shows how many.
        let counts = counts(w, part, all)?;
        making.part.count = sum_of_numbers(w, &format!("{}.count", part.name.value), &counts, &part.name.at);
        return None;
    };
    if part.fields.carries_on.is_some() {
        let count = super::carried::how_many(w, part)?;
        making.part.count = Some(count);
        return super::carried::taken(w, part, all, length);
    }
    let counts = counts(w, part, all)?;
    making.part.thick = thick(w, part)?.map(|thick| (thick, thick));
    let mut taken = Vec::new();
    for (which, (piece, count)) in all.iter().zip(&counts).enumerate() {
        let cleaned = own(w, &piece.stem, "cleaned-out", piece.material.cleaned_out.as_ref(), Unit::One, (0.0, Standing::Stated, NONE_STATED));
        let loss = loss(w, piece);
        // A fibre must be long enough in itself.
        if piece.material.fibres.is_some() {
            long_enough(w, part, piece, length);
        }
        if let Some(ours) = making.part.pieces.get_mut(which) {
            ours.count = Some(*count);
        }
        taken.push(Reckoned::new(&FIBRES, vec![*count, cleaned, loss]).into());
    }
    making.part.count = Some(sum_of_numbers(w, &format!("{}.count", part.name.value), &counts, &part.name.at)?);
    Some(taken)
}

/// The bundle's thickness as told, where no count is.
fn thick(w: &mut Worker<'_>, part: &Part) -> Option<Option<Fig>> {
    let Some(rule) = part.fields.thick.as_ref().filter(|_| part.fields.count.is_none()) else { return Some(None) };
    let Length::One(terms) = &rule.value else {
        w.fault(Diagnostic::error("the thickness of a bundle is one length", rule.at.clone()).right("such as `0.5 gap`"));
        return None;
    };
    w.once(&format!("{}.thick", part.name.value), |w, key| w.sum(key, terms, &rule.at)).map(Some)
}

/// How many fibres of each material.
fn counts(w: &mut Worker<'_>, part: &Part, all: &[Piece<'_>]) -> Option<Vec<Fig>> {
    let name = part.name.value.as_str();
    let open = all.iter().any(|piece| piece.count.is_none());
    if let Some(rule) = part.fields.thick.as_ref().filter(|_| part.fields.count.is_none() && open) {
        return by_thickness(w, part, all, rule);
    }
    let whole = part.fields.count.as_ref().map(|told| number(w, &format!("{name}.count"), told));
    let counts: Option<Vec<Fig>> = numbers(w, part, all, "count", whole, None)?.into_iter().collect();
    counts.or_else(|| w.missing(name, "how many fibres it has", COUNT_RIGHT))
}

/// The fibres that fill a bundle, each material its share of it.
fn by_thickness(w: &mut Worker<'_>, part: &Part, all: &[Piece<'_>], rule: &Told<Length>) -> Option<Vec<Fig>> {
    let thick = thick(w, part)??;
    let shares = if all.len() > 1 { Some(shares(w, part, all)?) } else { None };
    let mut counts = Vec::new();
    for (which, piece) in all.iter().enumerate() {
        let Some(fibre) = fibre(w, piece) else {
            w.fault(
                Diagnostic::error(
                    format!("a bundle by its thickness needs the width of one fibre of \"{}\"", piece.material.name.value),
                    piece.material.name.at.the_key(),
                )
                .also("wanted here", rule.at.clone())
                .right("`width:` of one fibre in mm, or `count:` instead of `thick:`"),
            );
            return None;
        };
        let packing = packing(w, piece);
        let count = format!("{}.count", piece.stem);
        let fig = match &shares {
            None => w.once(&count, |w, key| w.work(key, &BUNDLE, &[thick, packing, fibre], &rule.at))?,
            Some(shares) => {
                let whole = w.once(&format!("{}.whole-bundle", piece.stem), |w, key| w.work(key, &BUNDLE, &[thick, packing, fibre], &rule.at))?;
                let share = *shares.get(which)?;
                w.once(&count, |w, key| w.work(key, &SHARED, &[share, whole], &rule.at))?
            }
        };
        counts.push(fig);
    }
    Some(counts)
}

fn fibre(w: &mut Worker<'_>, piece: &Piece<'_>) -> Option<Fig> {
    let told = piece.material.width.as_ref()?;
    w.once(&format!("{}.fibre-width", piece.stem), |w, key| Some(w.told(key, told, Unit::Mm, Standing::Stated)))
}

fn packing(w: &mut Worker<'_>, piece: &Piece<'_>) -> Fig {
    let assumed = (0.75, Standing::Assumed, "assumed share of a bundle that is fibre; the material does not say `packing`");
    own(w, &piece.stem, "packing", piece.material.packing.as_ref(), Unit::One, assumed)
}

/// How thick a part is that something goes round: a bundle by its thickness or its fibres, a whole thing by its
/// width. `Some(None)`: it is not known.
pub(super) fn across(w: &mut Worker<'_>, nth: usize, at: &At) -> Option<Option<Fig>> {
    let part = w.parts.get(nth)?.clone();
    let key = format!("{}.across", part.name.value);
    if let Some(fig) = w.sheet.find(&key) {
        return Some(Some(fig));
    }
    let all = pieces(w, &part)?;
    match part.fields.way.as_ref()?.value {
        Way::Bunch => {}
        Way::Whole => {
            let width = all.first().and_then(|piece| piece.material.width.as_ref());
            return Some(width.map(|width| w.told(&key, width, Unit::Mm, Standing::Stated)));
        }
        _ => return Some(None),
    }
    if let Some(thick) = thick(w, &part)? {
        return Some(Some(thick));
    }
    if all.iter().any(|piece| piece.material.width.is_none()) {
        return Some(None);
    }
    let counts = counts(w, &part, &all)?;
    let mut inputs = Vec::new();
    for (piece, count) in all.iter().zip(counts) {
        let fibre = fibre(w, piece)?;
        inputs.extend([count, fibre, packing(w, piece)]);
    }
    w.work(&key, &BUNDLE_ACROSS, &inputs, at).map(Some)
}
