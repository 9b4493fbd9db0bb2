//! Strands wound, one or several, ropes twisted of them, and weight: helix length and the three wastes.

use super::super::Stretch;
use super::super::formulas::*;
use super::super::place_and_length::{counted, width_of};
use super::super::profile::inputs;
use super::super::worker::{Worker, from, standing};
use super::ground::{Ground, ground};
use super::{
    Growth, Making, Piece, Reckoned, TURNS_RIGHT, Taken, can_lie, carried, laid, loss, lost_and_grip, number, numbers, own, pieces, shares, sum_of_numbers,
};
use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Cut, Laid, Part, Turns, Way};
use crate::measure::Unit;
use crate::why::{Fig, Standing};

/// A wound strand, several side by side, a rope, or weight.
pub(in crate::card) fn wound(w: &mut Worker<'_>, nth: usize, part: &Part, pieces: &[Piece<'_>], making: &mut Making) -> Option<Vec<Taken>> {
    let name = part.name.value.as_str();
    let rope = making.part.way == Way::Rope;
    can_lie(w, part, pieces, if rope { &[Laid::Together] } else { &[Laid::Together, Laid::OneAfterTheOther] })?;
    let width = strand_width(w, part)?;
    let ground = ground(w, nth, part, making)?;
    if pieces.len() > 1 && laid(part) == Laid::OneAfterTheOther {
        return in_turn(w, part, pieces, ground, width, making);
    }
    let thick = strand_thick(w, part, pieces, width)?;
    let beneath = ground.as_ref().map_or(&[][..], |ground| &ground.beneath);
    (making.part.width, making.part.strand_thick) = (Some(width), Some(thick));
    let turns = turns(w, part, width, beneath, making)?;
    making.part.turns = Some(turns);
    let wound = helix(w, name, turns, thick, beneath, making.part.tied_in, &part.name.at)?;
    for ours in &mut making.part.pieces {
        ours.turns = Some(turns);
    }
    if let Some(ground) = ground {
        making.growth.push(Growth::Strand { stem: name.to_owned(), weight: making.part.way == Way::Weight, ground, turns, width, thick });
    }
    let length = if rope { twisted(w, name, wound, &part.name.at)? } else { wound };
    if part.fields.carries_on.is_some() {
        return carried::taken(w, part, pieces, length);
    }
    let strands = strands(w, part, pieces)?;
    let mut taken = Vec::new();
    for (piece, strands) in pieces.iter().zip(strands) {
        let one = strand(w, piece, length, &part.name.at)?;
        taken.push(times(w, piece, strands, one, &part.name.at)?.into());
    }
    Some(taken)
}

/// So many strands of what one takes.
fn times(w: &mut Worker<'_>, piece: &Piece<'_>, strands: Option<Fig>, one: Reckoned, at: &At) -> Option<Reckoned> {
    let Some(strands) = strands else { return Some(one) };
    let one = w.work(&format!("{}.one-strand", piece.stem), one.formula, &one.inputs, at)?;
    Some(Reckoned::new(&STRANDS, vec![strands, one]))
}

/// Materials wound one after the other, each over its own stretch.
fn in_turn(w: &mut Worker<'_>, part: &Part, pieces: &[Piece<'_>], ground: Option<Ground>, mean: Fig, making: &mut Making) -> Option<Vec<Taken>> {
    let (name, at) = (part.name.value.as_str(), &part.name.at);
    let shares = shares(w, part, pieces)?;
    let beneath = ground.as_ref().map_or(&[][..], |ground| &ground.beneath);
    let whole = match part.fields.turns.as_ref().is_some_and(|told| counted(&told.value).is_some()) || ground.is_none() {
        true => Some(turns(w, part, mean, beneath, making)?),
        false => None,
    };
    let grounds = match &ground {
        Some(ground) => stretches(w, ground, pieces, &shares)?.into_iter().map(Some).collect(),
        None => vec![None; pieces.len()],
    };
    let strands = strands(w, part, pieces)?;
    let (mut taken, mut all_turns, mut lengths) = (Vec::new(), Vec::new(), Vec::new());
    for (nth, ((piece, ground), strands)) in pieces.iter().zip(grounds).zip(strands).enumerate() {
        let stem = &piece.stem;
        let width = width_of(w, stem, &piece.name, &piece.at)?;
        let thick = piece_thick(w, piece, width);
        let beneath = ground.as_ref().map_or(&[][..], |ground| &ground.beneath);
        let turns_key = format!("{stem}.turns");
        let turns = match whole {
            Some(whole) => w.work(&turns_key, &SHARED, &[*shares.get(nth)?, whole], at)?,
            None => w.work(&turns_key, &TOUCHING, &inputs(&[width], beneath), at)?,
        };
        let wound = helix(w, stem, turns, thick, beneath, making.part.tied_in, at)?;
        let one = strand(w, piece, wound, at)?;
        taken.push(times(w, piece, strands, one, at)?.into());
        if let Some(ours) = making.part.pieces.get_mut(nth) {
            (ours.turns, ours.width, ours.strand_thick) = (Some(turns), Some(width), Some(thick));
            ours.span = ground.as_ref().map(|ground| (ground.from, ground.to));
        }
        if let Some(ground) = ground {
            making.growth.push(Growth::Strand { stem: stem.clone(), weight: making.part.way == Way::Weight, ground, turns, width, thick });
        }
        all_turns.push(turns);
        lengths.push(wound);
    }
    making.part.turns = Some(sum_of_numbers(w, &format!("{name}.turns"), &all_turns, at)?);
    making.part.width = Some(mean);
    making.part.strand_thick = making.part.pieces.first().and_then(|first| first.strand_thick);
    w.work(&format!("{name}.wound"), &LENGTHS, &lengths, at)?;
    Some(taken)
}

/// The ground parted by shares, in the order the materials are named.
pub(super) fn stretches(w: &mut Worker<'_>, ground: &Ground, pieces: &[Piece<'_>], shares: &[Fig]) -> Option<Vec<Ground>> {
    let mut all = Vec::new();
    let mut from = ground.from;
    for (nth, piece) in pieces.iter().enumerate() {
        let to = if nth + 1 == pieces.len() {
            ground.to
        } else {
            let mut inputs = vec![ground.from, ground.to];
            inputs.extend(shares.iter().take(nth + 1));
            w.work(&format!("{}.to", piece.stem), &ALONG, &inputs, &piece.at)?
        };
        all.push(ground.between(w, from, to)?);
        from = to;
    }
    Some(all)
}

/// The pitch of a part's strand or strands: stated, by the thread's linear density, or assumed and said so; of several
/// side by side the sum; of a rope the diameter by the sections of its strands.
pub(in crate::card) fn strand_width(w: &mut Worker<'_>, part: &Part) -> Option<Fig> {
    let key = format!("{}.width", part.name.value);
    if let Some(fig) = w.sheet.find(&key) {
        return Some(fig);
    }
    let pieces = pieces(w, part)?;
    let rope = part.fields.way.as_ref().is_some_and(|way| way.value == Way::Rope);
    let carried = part.fields.carries_on.is_some();
    if let ([only], false, false) = (pieces.as_slice(), rope, carried) {
        return width_of(w, &part.name.value, &only.name, &only.at);
    }
    let in_turn = laid(part) == Laid::OneAfterTheOther && pieces.len() > 1;
    let how_many = if in_turn { shares(w, part, &pieces)?.into_iter().map(Some).collect() } else { strands(w, part, &pieces)? };
    let mut inputs = Vec::new();
    for (piece, how_many) in pieces.iter().zip(how_many) {
        let stem = if piece.alone { format!("{}.strand", piece.stem) } else { piece.stem.clone() };
        let width = width_of(w, &stem, &piece.name, &piece.at)?;
        inputs.extend([how_many.unwrap_or_else(|| once(w)), width]);
    }
    w.work(&key, if rope { &ROPE_ACROSS } else { &SUM_OF_LENGTHS }, &inputs, &part.name.at)
}

fn once(w: &mut Worker<'_>) -> Fig {
    w.common("once", 1.0, Unit::One, Standing::Stated, "a length counted once")
}

/// How many strands of each material; `None` where there is one of a single material.
fn strands(w: &mut Worker<'_>, part: &Part, pieces: &[Piece<'_>]) -> Option<Vec<Option<Fig>>> {
    let key = format!("{}.strands", part.name.value);
    let rope = part.fields.way.as_ref().is_some_and(|way| way.value == Way::Rope);
    if part.fields.carries_on.is_some() && part.fields.strands.is_none() {
        return Some(vec![Some(carried::how_many(w, part)?); pieces.len()]);
    }
    let whole = match &part.fields.strands {
        Some(told) => Some(number(w, &key, told)),
        None if rope && pieces.len() == 1 => {
            let fault = Diagnostic::error(format!("how many strands the rope \"{}\" is twisted of is not said", part.name.value), part.name.at.clone());
            w.fault(fault.right("`strands: 3`, or several materials under `of:`"));
            return None;
        }
        None => None,
    };
    let each = (pieces.len() > 1).then_some((1.0, "one strand, as the dressing does not say `count`"));
    if laid(part) == Laid::OneAfterTheOther && pieces.len() > 1 {
        // So many strands are wound all along, whichever material it is.
        let mut all = Vec::new();
        for piece in pieces {
            all.push(match &piece.count {
                Some(told) => Some(number(w, &format!("{}.strands", piece.stem), told)),
                None => whole,
            });
        }
        return Some(all);
    }
    numbers(w, part, pieces, "strands", whole, each)
}

/// Thickness of the strands, one or several side by side (as thick as they are on the whole).
fn strand_thick(w: &mut Worker<'_>, part: &Part, pieces: &[Piece<'_>], width: Fig) -> Option<Fig> {
    let key = format!("{}.thick", part.name.value);
    if part.fields.way.as_ref().is_some_and(|way| way.value == Way::Rope) {
        return Some(width);
    }
    if let [only] = pieces {
        let width = w.sheet.find(&format!("{}.strand.width", only.stem)).unwrap_or(width);
        return Some(piece_thick(w, only, width));
    }
    let strands = strands(w, part, pieces)?;
    let mut inputs = Vec::new();
    for (piece, strands) in pieces.iter().zip(strands) {
        let width = w.sheet.find(&format!("{}.width", piece.stem))?;
        let thick = piece_thick(w, piece, width);
        inputs.extend([strands.unwrap_or_else(|| once(w)), width, thick]);
    }
    w.work(&key, &MEAN_THICK, &inputs, &part.name.at)
}

fn piece_thick(w: &mut Worker<'_>, piece: &Piece<'_>, width: Fig) -> Fig {
    match &piece.material.thick {
        Some(thick) => w.told(&format!("{}.thick", piece.stem), thick, Unit::Mm, Standing::Stated),
        None => width,
    }
}

/// The length of each strand of a rope.
fn twisted(w: &mut Worker<'_>, name: &str, wound: Fig, at: &At) -> Option<Fig> {
    let take_up = w.common(
        &format!("{name}.take-up"),
        0.1,
        Unit::One,
        Standing::Assumed,
        "assumed, no source: a strand is a tenth longer than the rope it is twisted into; measure one, or say `amount`",
    );
    w.work(&format!("{name}.strand-length"), &TAKEN_UP, &[wound, take_up], at)
}

/// The helix of a strand over what it is wound on, or rings at one place.
pub(super) fn helix(w: &mut Worker<'_>, stem: &str, turns: Fig, thick: Fig, beneath: &[Stretch], tied_in: Option<Fig>, at: &At) -> Option<Fig> {
    let key = format!("{stem}.wound");
    let (Some(first), Some(last)) = (beneath.first(), beneath.last()) else {
        let across = w.across(tied_in?)?;
        return w.work(&key, &RINGS, &[turns, thick, across], at);
    };
    for (key, fig) in [("beneath-at-eye-end", first.across_from), ("beneath-at-bend-end", last.across_to)] {
        w.once(&format!("{stem}.{key}"), |w, key| w.work(key, &PLACE, &[fig], at))?;
    }
    w.work(&key, &WOUND, &inputs(&[turns, thick], beneath), at)
}

/// How many turns: told, or touching over what lies beneath.
pub(super) fn turns(w: &mut Worker<'_>, part: &Part, width: Fig, beneath: &[Stretch], making: &mut Making) -> Option<Fig> {
    let key = format!("{}.turns", part.name.value);
    if let Some(Told { value: Turns::Split { behind, before, .. }, at }) = &part.fields.turns {
        making.part.turns_split = Some((behind.to_f64(), before.to_f64()));
        w.common(&format!("{key}-behind"), behind.to_f64(), Unit::One, standing(at), from(at));
        w.common(&format!("{key}-before"), before.to_f64(), Unit::One, standing(at), from(at));
    }
    let count = part.fields.turns.as_ref().and_then(|turns| counted(&turns.value).map(|count| (count, turns.at.clone())));
    if let Some((count, at)) = count {
        return Some(w.common(&key, count, Unit::One, standing(&at), from(&at)));
    }
    // At one place turns cannot touch from end to end; over something they are as many as are told.
    if beneath.is_empty() || (part.fields.turns.is_none() && part.fields.over.is_some()) {
        return w.missing(&part.name.value, "how many turns it has", TURNS_RIGHT);
    }
    w.work(&key, &TOUCHING, &inputs(&[width], beneath), &part.name.at)
}

/// What is cut or drawn off for a wound length: the three wastes.
fn strand(w: &mut Worker<'_>, piece: &Piece<'_>, wound: Fig, at: &At) -> Option<Reckoned> {
    let (name, material) = (piece.stem.as_str(), piece.material);
    let (lost, grip) = lost_and_grip(w, piece);
    let loss = loss(w, piece);
    let cut = material.cut.as_ref().map(|cut| cut.value).unwrap_or_default();
    Some(match cut {
        Cut::OffTheSpool => Reckoned::new(&STRAND_OFF_SPOOL, vec![wound, lost, loss]),
        Cut::ALengthAFly => Reckoned::new(&STRAND_A_LENGTH, vec![wound, lost, grip, loss]),
        Cut::ALengthForSeveral => {
            let told = material.piece.as_ref().or(material.usable.as_ref()).or(w.shelf.terms.piece.as_ref());
            let piece = own(w, name, "piece", told, Unit::Mm, (300.0, Standing::Assumed, "assumed 300 mm, for want of `piece:` in materials.yaml"));
            let flies = w.work(&format!("{name}.flies-a-piece"), &FLIES_A_PIECE, &[piece, grip, wound, lost], at)?;
            if w.value(flies) < 1.0 {
                let told = told.map_or_else(|| at.clone(), |told| told.at.clone());
                w.fault(
                    Diagnostic::error(
                        format!(
                            "a piece of {:.1} mm serves no fly: \"{name}\" takes {:.1} mm, with {:.1} mm lost at each end and {:.1} mm of grip",
                            w.value(piece),
                            w.value(wound),
                            w.value(lost),
                            w.value(grip)
                        ),
                        told,
                    )
                    .also(format!("needed for \"{name}\""), at.clone())
                    .right("a longer `piece:`, or `cut: off the spool`"),
                );
                return None;
            }
            Reckoned::new(&STRAND_SHARED, vec![piece, flies, loss])
        }
    })
}
