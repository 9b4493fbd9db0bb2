//! Flat things by their area: slips of quill, strips over the back, sheets.

use super::super::formulas::*;
use super::super::worker::{Lean, Worker};
use super::{Making, Piece, Reckoned, Taken, WIDTH_RIGHT, can_lie, laid, loss, number, numbers, own_length, shares};
use crate::diagnostic::{Diagnostic, Told};
use crate::dressing::{Laid, Length, Part, Way};
use crate::measure::Unit;
use crate::why::{Fig, Standing};

/// What a slip, strip or sheet is called in a fault.
fn measure_of_flat(way: Way) -> &'static str {
    match way {
        Way::Strip => "a strip",
        Way::Sheet => "a sheet",
        _ => "a slip",
    }
}

/// A slip, strip or sheet: count x width x length. Married slips lie edge to edge, so that their widths add up.
pub(in crate::card) fn flat(w: &mut Worker<'_>, nth: usize, part: &Part, pieces: &[Piece<'_>], making: &mut Making) -> Option<Vec<Taken>> {
    let (name, at) = (part.name.value.as_str(), &part.name.at);
    let way = making.part.way;
    can_lie(w, part, pieces, &[Laid::Together, Laid::OneAfterTheOther, Laid::Married, Laid::OneEachSide])?;
    let several = pieces.len() > 1;
    let (married, in_turn, sides) =
        (several && laid(part) == Laid::Married, several && laid(part) == Laid::OneAfterTheOther, several && laid(part) == Laid::OneEachSide);
    let widths = widths(w, part, pieces, way, married)?;
    let length = length(w, nth, part, way, making)?;
    let source = match way {
        Way::Strip => "one strip, as the dressing does not say `count`",
        Way::Sheet => "one sheet, as the dressing does not say `count`",
        _ => "one slip, as the dressing does not say `count`",
    };
    let key = format!("{name}.count");
    let whole = match &part.fields.count {
        Some(told) => Some(number(w, &key, told)),
        None if !several || married || in_turn => Some(w.common(&key, 1.0, Unit::One, Standing::Usual, source)),
        None => None,
    };
    // Married or end to end, every material is in every one of them; else they are shared out.
    let counts = if married || in_turn {
        let mut all = Vec::new();
        for piece in pieces {
            all.push(match &piece.count {
                Some(told) => Some(number(w, &format!("{}.count", piece.stem), told)),
                None => whole,
            });
        }
        all
    } else {
        let each = if sides { "one on its side, as the dressing does not say `count`" } else { source };
        numbers(w, part, pieces, "count", whole, Some((1.0, each)))?
    };
    let lengths = if in_turn { parted(w, part, pieces, length)? } else { vec![length; pieces.len()] };
    let mut taken = Vec::new();
    for (which, (piece, ((count, width), length))) in pieces.iter().zip(counts.iter().zip(&widths).zip(&lengths)).enumerate() {
        let (count, width, length) = ((*count)?, *width, *length);
        if let Some(ours) = making.part.pieces.get_mut(which) {
            (ours.count, ours.width) = (Some(count), Some(width));
        }
        taken.push(area(w, part, piece, way, [count, width, length])?);
    }
    let own: Vec<Fig> = counts.into_iter().flatten().collect();
    making.part.count = if married || in_turn { whole.or(own.first().copied()) } else { Some(super::sum_of_numbers(w, &key, &own, at)?) };
    making.part.width = match (widths.as_slice(), married) {
        (several, true) => Some(w.once(&format!("{name}.width"), |w, key| w.work(key, &LENGTHS, several, at))?),
        (several, false) => several.first().copied(),
    };
    making.part.length = Some(length);
    // How thick it is lies in nothing that is reckoned, but shows in the drawing: foam is seen by it.
    let thick = pieces.first().and_then(|piece| piece.material.thick.as_ref()).filter(|_| way != Way::Slip && part.fields.thick.is_none());
    making.part.strand_thick = thick.map(|told| w.told(&format!("{name}.thick"), told, Unit::Mm, Standing::Stated));
    if part.fields.carries_on.is_some() {
        return super::carried::taken(w, part, pieces, length);
    }
    Some(taken)
}

/// The length of a flat thing: said, else the stretch it is laid over.
fn length(w: &mut Worker<'_>, nth: usize, part: &Part, way: Way, making: &mut Making) -> Option<Fig> {
    let fields = &part.fields;
    let said = fields.length.is_some() || fields.reach.is_some();
    // What goes from one place to another is drawn as a case over all between, however long it is cut.
    let from_to = fields.at.is_none() && (fields.to.is_some() || (fields.from.is_none() && fields.over.is_some()));
    if said && from_to {
        let (from, to) = (w.figure_of(nth, Lean::Start, &part.name.at)?, w.figure_of(nth, Lean::End, &part.name.at)?);
        making.part.span = ((w.value(from) - w.value(to)).abs() > 1e-9).then_some((from, to));
    }
    if said || (way == Way::Slip && !from_to) {
        return own_length(w, nth, part);
    }
    let from = w.figure_of(nth, Lean::Start, &part.name.at)?;
    let to = w.figure_of(nth, Lean::End, &part.name.at)?;
    if (w.value(from) - w.value(to)).abs() > 1e-9 {
        making.part.span = Some((from, to));
    } else if fields.beyond.is_none() {
        return w.missing(&part.name.value, "how long it is", "`length:` such as `1 shank`, or `from:` and `to:` with two places");
    }
    w.figure_of(nth, Lean::Length, &part.name.at)
}

/// Each material's share of the length, end to end.
fn parted(w: &mut Worker<'_>, part: &Part, pieces: &[Piece<'_>], length: Fig) -> Option<Vec<Fig>> {
    let shares = shares(w, part, pieces)?;
    let mut all = Vec::new();
    for (piece, share) in pieces.iter().zip(shares) {
        all.push(w.work(&format!("{}.length", piece.stem), &SUM_OF_LENGTHS, &[share, length], &piece.at)?);
    }
    Some(all)
}

/// The width of each material: its own, else the part's (of married slips a share of it), else the material's.
fn widths(w: &mut Worker<'_>, part: &Part, pieces: &[Piece<'_>], way: Way, married: bool) -> Option<Vec<Fig>> {
    let name = part.name.value.as_str();
    let open = pieces.iter().any(|piece| piece.width.is_none());
    let whole = match part.fields.width.as_ref().filter(|_| open) {
        Some(rule) => Some(one_width(w, &format!("{name}.{}", if married { "whole-width" } else { "width" }), rule, way)?),
        None => None,
    };
    let shares = if married && open && whole.is_some() { Some(shares(w, part, pieces)?) } else { None };
    let mut all = Vec::new();
    for (which, piece) in pieces.iter().enumerate() {
        let key = format!("{}.width", piece.stem);
        let share = shares.as_ref().and_then(|shares| shares.get(which).copied());
        all.push(match (&piece.width, whole, share) {
            (Some(rule), ..) => one_width(w, &key, rule, way)?,
            (None, Some(whole), Some(share)) => w.work(&key, &SUM_OF_LENGTHS, &[share, whole], &piece.at)?,
            (None, Some(whole), None) => whole,
            (None, None, _) => match piece.material.width.as_ref().filter(|_| way != Way::Slip) {
                Some(width) => w.told(&key, width, Unit::Mm, Standing::Stated),
                None => return w.missing(name, "how wide it is", WIDTH_RIGHT),
            },
        });
    }
    Some(all)
}

fn one_width(w: &mut Worker<'_>, key: &str, rule: &Told<Length>, way: Way) -> Option<Fig> {
    match &rule.value {
        Length::One(terms) => w.sum(key, terms, &rule.at),
        _ => {
            w.fault(Diagnostic::error(format!("the width of {} is one length", measure_of_flat(way)), rule.at.clone()).right("such as `0.5 gap`"));
            None
        }
    }
}

/// The area, and which share of a piece as sold it is.
fn area(w: &mut Worker<'_>, part: &Part, piece: &Piece<'_>, way: Way, [count, width, length]: [Fig; 3]) -> Option<Taken> {
    let (stem, at, material) = (piece.stem.as_str(), &part.name.at, piece.material);
    let loss = loss(w, piece);
    let usable = material.usable.as_ref().map(|told| w.told(&format!("{stem}.usable"), told, Unit::Mm, Standing::Stated));
    // A strip that is as wide as its material is cut off in its own width; else the piece's width tells what it gives.
    let own_width = way != Way::Slip && part.fields.width.is_none() && piece.width.is_none();
    let across = material.width.as_ref().filter(|_| way != Way::Slip && !own_width);
    let across = across.map(|told| w.told(&format!("{stem}.piece-width"), told, Unit::Mm, Standing::Stated));
    let share_of_piece = match (usable, across) {
        (None, _) => None,
        (Some(usable), _) if own_width => Some(w.work(&format!("{stem}.share-of-piece"), &STRIP_SHARE, &[count, length, loss, usable], at)?),
        (Some(usable), Some(across)) => Some(w.work(&format!("{stem}.share-of-piece"), &SHEET_SHARE, &[count, width, length, loss, across, usable], at)?),
        (Some(usable), None) => Some(w.work(&format!("{stem}.share-of-vane"), &SLIP_SHARE, &[count, width, loss, usable], at)?),
    };
    let along = if own_width { Some(w.work(&format!("{stem}.run"), &STRIP_RUN, &[count, length, loss], at)?) } else { None };
    Some(Taken { share_of_piece, along, ..Reckoned::new(&SLIPS, vec![count, width, length, loss]).into() })
}
