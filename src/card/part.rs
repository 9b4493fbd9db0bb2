//! A part worked out: what one fly takes of it, by the way it goes on.

use super::amount::{self, Making, Piece, Reckoned, Taken};
use super::formulas::*;
use super::worker::{Lean, Worker, from};
use super::{Clipped, Need, WorkedPart, WorkedPiece};
use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Base, Clip, Gives, Material, Part, Size, Way};
use crate::measure::{Dimension, Unit};
use crate::why::{Fig, Formula, Standing};

/// A part worked, what one fly needs for it, and what it leaves on the hook.
pub(super) struct Made {
    /// The part, what it adds to the profile, and the silk it takes besides.
    pub(super) making: Making,
    /// What a fly needs: a row a material; none for fibres that only go on.
    pub(super) needs: Vec<Need>,
}

/// Works a part as it is when its turn comes: the profile holds what lies beneath.
///
/// `None`: it has a fault, which was told. A part without an amount has something open: neither the dressing nor a
/// custom says it, so that what it takes and what it adds to the hook are not known.
pub(super) fn work(w: &mut Worker<'_>, nth: usize) -> Option<Made> {
    let faults = w.faults.len();
    let part = w.parts.get(nth)?.clone();
    let Some(way) = part.fields.way.as_ref().map(|way| way.value) else {
        w.fault(how_it_goes_on(&part));
        return None;
    };
    let pieces = amount::pieces(w, &part)?;
    goes_on(w, &part, way)?;
    let tied_in = w.figure_of(nth, Lean::Start, &part.name.at);
    let clip = clipped(w, &part)?;
    let mut making = Making { part: begun(&part, way, tied_in, &pieces, clip), growth: Vec::new(), silk: Vec::new() };
    amount::unsaid(w, &part, &pieces);
    let needs = made(w, nth, &part, &pieces, &mut making);
    if needs.is_none() && w.faults.len() > faults {
        return None;
    }
    if needs.is_none() {
        making.growth.clear();
        making.silk.clear();
    }
    Some(Made { making, needs: needs.unwrap_or_default() })
}

/// What would say how a part goes on.
fn how_it_goes_on(part: &Part) -> Diagnostic {
    Diagnostic::error(
        format!("how \"{}\" goes on is not said, and neither the custom of this kind of fly nor the kind of its material tells", part.name.value),
        part.name.at.clone(),
    )
    .right(format!("`as:` and one of {}", Way::ALL.iter().map(|(word, _)| *word).collect::<Vec<_>>().join(", ")))
}

/// Makes the part and gives what a fly needs for it; `None` where something is open or wrong.
fn made(w: &mut Worker<'_>, nth: usize, part: &Part, pieces: &[Piece<'_>], making: &mut Making) -> Option<Vec<Need>> {
    let way = making.part.way;
    let taken = match way {
        Way::Wound | Way::Weight | Way::Rope => amount::wound(w, nth, part, pieces, making)?,
        Way::Hackle => amount::hackle(w, nth, part, pieces, making)?,
        Way::Bunch => amount::bunch(w, nth, part, pieces, making)?,
        Way::Dubbed | Way::Spun => amount::body(w, nth, part, pieces, making)?,
        Way::Slip | Way::Strip | Way::Sheet => amount::flat(w, nth, part, pieces, making)?,
        Way::Pair => amount::pair(w, nth, part, pieces, making)?,
        Way::Whole => amount::whole(w, nth, part, pieces, making)?,
        Way::Coat => amount::coat(w, part, pieces)?,
    };
    if let Some(Told { value: Base::Loop, at }) = &part.fields.on {
        loop_of_silk(w, part, making, &at.clone())?;
    }
    let Some(told) = &part.fields.carries_on else { return needs(w, part, way, pieces, taken, making) };
    let source = format!("the fibres of \"{}\" go on in this part, and are counted there", told.value);
    making.part.amount = Some(w.sheet.given(format!("{}.amount", part.name.value), 0.0, amount::unit_of(way), Standing::Stated, source));
    Some(Vec::new())
}

/// The part as it stands before its amounts are known.
fn begun(part: &Part, way: Way, tied_in: Option<Fig>, pieces: &[Piece<'_>], clip: Option<Clipped>) -> WorkedPart {
    let piece =
        |piece: &Piece<'_>| WorkedPiece { material: piece.name.clone(), span: None, turns: None, count: None, width: None, strand_thick: None, amount: None };
    let first = pieces.first();
    WorkedPart {
        name: part.name.value.clone(),
        material: first.map(|piece| piece.name.clone()).unwrap_or_default(),
        pieces: pieces.iter().map(piece).collect(),
        laid: amount::laid(part),
        way,
        on: part.fields.on.as_ref().map_or(Base::Hook, |on| on.value.clone()),
        carries_on: part.fields.carries_on.as_ref().map(|told| told.value.clone()),
        clip,
        shape: part.fields.shape.as_ref().map(|shape| shape.value).unwrap_or_default(),
        tied_in,
        span: None,
        length: None,
        fibre: None,
        thick: None,
        turns: None,
        turns_split: None,
        count: None,
        width: None,
        strand_thick: None,
        flue: first.and_then(|piece| piece.material.flue.as_ref()).map(|flue| flue.value),
        other_way: part.fields.other_way.as_ref().is_some_and(|other| other.value),
        beneath: Vec::new(),
        beyond: Vec::new(),
        amount: None,
        by_custom: part.fields.said().into_iter().filter(|(_, at)| at.rule.is_some()).map(|(key, _)| key.into()).collect(),
    }
}

/// Whether a part of this way can go on what it is said to go on; else the fault is told.
fn goes_on(w: &mut Worker<'_>, part: &Part, way: Way) -> Option<()> {
    let Some(on) = &part.fields.on else { return Some(()) };
    let (fits, right) = match on.value {
        Base::Hook => return Some(()),
        Base::Post(_) => (way == Way::Hackle, "`as: hackle`, or take `on:` away"),
        Base::Needle(_) | Base::Nylon(_) | Base::Loop => (!matches!(way, Way::Whole | Way::Coat), "a part that is wound, dubbed or tied on it"),
    };
    if let Base::Post(post) = &on.value
        && *post == part.name.value
    {
        w.fault(
            Diagnostic::error(format!("\"{post}\" cannot go round its own post"), on.at.clone()).right("the part whose post it is, such as `post of wing`"),
        );
        return None;
    }
    if !fits {
        let onto = match on.value {
            Base::Post(_) => "round a post",
            Base::Needle(_) => "on a needle",
            Base::Nylon(_) => "on nylon",
            Base::Loop => "on a loop",
            Base::Hook => "on the hook",
        };
        w.fault(Diagnostic::error(format!("a part that is `as: {}` does not go {onto}", way.word()), on.at.clone()).right(right));
        return None;
    }
    Some(())
}

/// How far the part is clipped, the length on the sheet.
fn clipped(w: &mut Worker<'_>, part: &Part) -> Option<Option<Clipped>> {
    Some(match &part.fields.clip {
        None => None,
        Some(Told { value: Clip::LevelWithPoint, .. }) => Some(Clipped::LevelWithPoint),
        Some(Told { value: Clip::Beneath, .. }) => Some(Clipped::Beneath),
        Some(Told { value: Clip::To(rule), at }) => Some(Clipped::To(w.length(&format!("{}.clip", part.name.value), &Told::new(rule.clone(), at.clone()))?)),
    })
}

/// The silk of a loop that a part is made on: twice its length.
fn loop_of_silk(w: &mut Worker<'_>, part: &Part, making: &mut Making, at: &At) -> Option<()> {
    let name = part.name.value.as_str();
    if w.sheet.find(&format!("{name}.loop-silk")).is_some() {
        return Some(());
    }
    let length = match &part.fields.loop_length {
        Some(rule) => w.length(&format!("{name}.loop"), rule)?,
        None => match w.sheet.find(&format!("{name}.beyond")).or(w.sheet.find(&format!("{name}.length"))) {
            Some(fig) => fig,
            None => {
                w.fault(
                    Diagnostic::error(format!("how long the loop of \"{name}\" is is not said"), at.clone()).right("`loop: 40 mm`, or `beyond:` with a length"),
                );
                return None;
            }
        },
    };
    making.silk.push(w.work(&format!("{name}.loop-silk"), &LOOP_TWICE, &[length], at)?);
    Some(())
}

/// What a fly needs of each material, and the part's amount as their sum.
fn needs(w: &mut Worker<'_>, part: &Part, way: Way, pieces: &[Piece<'_>], taken: Vec<Taken>, making: &mut Making) -> Option<Vec<Need>> {
    let name = part.name.value.as_str();
    if let Some(told) = part.fields.amount.as_ref().filter(|_| pieces.len() > 1) {
        let fault = Diagnostic::error(format!("\"{name}\" has several materials, and an amount does not tell which of them"), told.at.clone());
        w.fault(fault.right("a part of each material with its own amount, or leave `amount` out"));
        return None;
    }
    let mut needs = Vec::new();
    for (piece, taken) in pieces.iter().zip(taken) {
        let mut share = None;
        let amount = if let Some(told) = &part.fields.amount {
            stated(w, name, told, way)?
        } else if let Some(Told { value: Gives::Flies { flies, size }, at }) = piece.material.gives.as_ref().filter(|_| w.asks_packs) {
            let (given, by_pack) = given_flies(w, &piece.stem, piece.material, *flies, size, at, taken.reckoned)?;
            share = Some(by_pack);
            given
        } else {
            taken.reckoned.named(w, &piece.stem, &part.name.at)?
        };
        let of_piece = if part.fields.amount.is_some() { (None, None) } else { (taken.share_of_piece, taken.along) };
        needs.push(Need {
            part: name.to_owned(),
            material: piece.name.clone(),
            size: taken.size,
            way,
            amount,
            share,
            share_of_piece: of_piece.0,
            along: of_piece.1,
        });
    }
    for (ours, need) in making.part.pieces.iter_mut().zip(&needs) {
        ours.amount = Some(need.amount);
    }
    let amounts: Vec<Fig> = needs.iter().map(|need| need.amount).collect();
    making.part.amount = match amounts.as_slice() {
        [only] => Some(*only),
        several => Some(w.work(&format!("{name}.amount"), amount::sum_of(amount::unit_of(way)), several, &part.name.at)?),
    };
    Some(needs)
}

/// A coat a finishing step puts on: one drop, one coat.
pub(super) fn step_coat(w: &mut Worker<'_>, of: &Told<String>) -> Option<Need> {
    let material = w.material(&of.value)?;
    let folded = crate::measure::words::fold(&of.value);
    let mut name = folded.clone();
    if w.parts.iter().any(|part| part.name.value == name) || w.sheet.find(&format!("{name}.drops")).is_some() {
        name = w.sheet.fresh_key(&format!("coat of {folded}"));
    }
    let drops = w.sheet.given(format!("{name}.drops"), 1.0, Unit::One, Standing::Usual, "one drop a head: usual, no source");
    let coats = w.sheet.given(format!("{name}.coats"), 1.0, Unit::One, Standing::Stated, from(&of.at));
    let amount = amount::coating(w, &name, material, drops, coats, &of.at)?.named(w, &name, &of.at)?;
    Some(Need { part: name, material: folded, size: None, way: Way::Coat, amount, share: None, share_of_piece: None, along: None })
}

/// A stated amount wins over whatever is reckoned.
fn stated(w: &mut Worker<'_>, name: &str, told: &Told<crate::measure::Quantity>, way: Way) -> Option<Fig> {
    let unit = amount::unit_of(way);
    let quantity = told.value;
    let value = quantity
        .in_unit(unit)
        .or_else(|| (quantity.dimension() == Dimension::Number && matches!(unit, Unit::Feather | Unit::Fibre)).then(|| quantity.figure.to_f64()));
    match value.filter(|value| *value > 0.0) {
        Some(value) => Some(w.sheet.given(format!("{name}.amount"), value, unit, Standing::Stated, from(&told.at))),
        None => {
            let right = if unit == Unit::One { "a plain number".to_owned() } else { format!("an amount above nought in {}", unit.name()) };
            w.fault(Diagnostic::error(format!("this amount does not fit a part that is `as: {}`", way.word()), told.at.clone()).right(right));
            None
        }
    }
}

/// What a pack gives, as known at the bench, wins over what is reckoned: scaled from the size it is known for.
/// Gives the amount a fly and the share of a pack.
fn given_flies(
    w: &mut Worker<'_>,
    name: &str,
    material: &Material,
    flies: rust_decimal::Decimal,
    size: &Size,
    at: &At,
    reckoned: Reckoned,
) -> Option<(Fig, Fig)> {
    use rust_decimal::prelude::ToPrimitive;
    let flies = w.sheet.given(format!("{name}.flies-a-pack"), flies.to_f64()?, Unit::One, Standing::Stated, from(at));
    let share_key = format!("{name}.share-of-pack");
    let volume = reckoned.volume;
    let reckoned_amount = w.work(&format!("{name}.reckoned"), reckoned.formula, &reckoned.inputs, &material.name.at)?;
    let there = match super::elsewhere(w, name, size, if volume.is_some() { "volume" } else { "amount" }) {
        Ok(there) => there.filter(|there| *there > 0.0),
        // What stands against the dressing at any size is told with it, not with the material.
        Err(faults) if !faults.iter().any(|fault| fault.at.as_ref() == Some(&w.dressing.name.at)) => {
            faults.into_iter().for_each(|fault| w.fault(fault));
            return None;
        }
        Err(_) => None,
    };
    let Some(there) = there else {
        w.fault(
            Diagnostic::error(
                format!("\"{}\" is known to give so many flies of size {size}, but this dressing cannot be worked at that size", material.name.value),
                at.clone(),
            )
            .right("a size that the dressing's hook chart has"),
        );
        return None;
    };
    let from_there = format!("this dressing's card at size {size}");
    let share = match volume {
        Some(volume) => {
            let there = w.sheet.given(format!("{name}.volume at {size}"), there, Unit::Mm3, w.sheet.at(volume).standing, from_there);
            w.work(&share_key, &GIVES_BY_VOLUME, &[flies, volume, there], at)?
        }
        None => {
            let standing = w.sheet.at(reckoned_amount).standing;
            let ratio = w.sheet.given(format!("{name}.ratio to {size}"), w.value(reckoned_amount) / there, Unit::One, standing, from_there);
            w.work(&share_key, &GIVES_BY_RATIO, &[flies, ratio], at)?
        }
    };
    let amount_key = format!("{name}.amount");
    let holds = material.packs.first().map(|pack| (pack.holds, pack.unit, pack.at.clone()));
    let unit = w.sheet.at(reckoned_amount).unit;
    let formula: Option<&'static Formula<f64>> = match unit {
        Unit::G => Some(&SHARE_OF_PACK_G),
        Unit::M => Some(&SHARE_OF_PACK_M),
        _ => None,
    };
    let measured = holds.and_then(|(holds, pack_unit, at)| Some((pack_unit.convert(holds, unit)?.to_f64()?, at)));
    let amount = match (formula, measured) {
        (Some(formula), Some((holds, pack_at))) => {
            let holds = w.sheet.given(format!("{name}.pack-holds"), holds, unit, Standing::Stated, from(&pack_at));
            w.work(&amount_key, formula, &[share, holds], at)?
        }
        _ => {
            // The pack is not told in the unit of the amount, so the reckoned figure stands beside the share.
            let (formula, inputs) = (reckoned.formula, reckoned.inputs);
            w.work(&amount_key, formula, &inputs, at)?
        }
    };
    Some((amount, share))
}
