//! Whole things by their number, and coats by their drops.

use super::super::formulas::*;
use super::super::worker::Worker;
use super::{Making, NONE_STATED, Piece, Reckoned, Taken, can_lie, loss, number, numbers, own, own_length, sum_of_numbers};
use crate::diagnostic::{At, Told};
use crate::dressing::{Laid, Material, Part};
use crate::measure::{Fraction, Unit};
use crate::why::{Fig, Standing};

/// Whole things: beads, eyes, made parts.
pub(in crate::card) fn whole(w: &mut Worker<'_>, nth: usize, part: &Part, pieces: &[Piece<'_>], making: &mut Making) -> Option<Vec<Taken>> {
    let name = part.name.value.as_str();
    // A thing is as long as it is made; where the dressing says it, it is for the drawing and the card.
    if part.fields.length.is_some() || part.fields.reach.is_some() {
        making.part.length = Some(own_length(w, nth, part)?);
    }
    can_lie(w, part, pieces, &[Laid::Together, Laid::OneAfterTheOther, Laid::OneEachSide])?;
    let key = format!("{name}.count");
    let count = part.fields.count.as_ref().map(|told| number(w, &key, told));
    let counts = numbers(w, part, pieces, "count", count, Some((1.0, "one, as the dressing does not say `count`")))?;
    let mut taken = Vec::new();
    let mut all = Vec::new();
    for (which, (piece, count)) in pieces.iter().zip(counts).enumerate() {
        let count = count?;
        let loss = loss(w, piece);
        if let Some(ours) = making.part.pieces.get_mut(which) {
            ours.count = Some(count);
        }
        all.push(count);
        taken.push(Reckoned::new(&WHOLES, vec![count, loss]).into());
    }
    making.part.count = Some(sum_of_numbers(w, &key, &all, &part.name.at)?);
    let only = pieces.first()?;
    let across = format!("{name}.across");
    making.part.width = match (w.sheet.find(&across), &only.material.width) {
        (Some(fig), _) => Some(fig),
        (None, Some(width)) => Some(w.told(&across, width, Unit::Mm, Standing::Stated)),
        (None, None) => None,
    };
    Some(taken)
}

/// Drops and coats of varnish or resin.
pub(in crate::card) fn coat(w: &mut Worker<'_>, part: &Part, pieces: &[Piece<'_>]) -> Option<Vec<Taken>> {
    let name = part.name.value.as_str();
    can_lie(w, part, pieces, &[])?;
    let material = pieces.first()?.material;
    let one = |w: &mut Worker<'_>, key: &str, told: Option<&Told<Fraction>>| match told {
        Some(told) => w.said(&format!("{name}.{key}"), told.value.to_f64(), Unit::One, &told.at),
        None => w.sheet.given(format!("{name}.{key}"), 1.0, Unit::One, Standing::Usual, "one, as the dressing does not say"),
    };
    let drops = one(w, "drops", part.fields.drops.as_ref().or(part.fields.count.as_ref()));
    let coats = one(w, "coats", part.fields.coats.as_ref());
    Some(vec![coating(w, name, material, drops, coats, &part.name.at)?.into()])
}

/// So many drops in so many coats, in millilitres.
pub(in crate::card) fn coating(w: &mut Worker<'_>, name: &str, material: &Material, drops: Fig, coats: Fig, at: &At) -> Option<Reckoned> {
    let loss = own(w, name, "loss", material.loss.as_ref(), Unit::One, (0.0, Standing::Stated, NONE_STATED));
    let used = w.work(&format!("{name}.drops-used"), &DROPS, &[drops, coats, loss], at)?;
    let drop = own(
        w,
        name,
        "drop",
        material.drop.as_ref(),
        Unit::Ml,
        (0.05, Standing::Assumed, "assumed, common practice, no source: 20 drops a millilitre; the material does not say `drop`"),
    );
    Some(Reckoned::new(&MILLILITRES, vec![used, drop]))
}
