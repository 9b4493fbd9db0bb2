//! Whole feathers: hackle wound round the hook, a body or a post, and feathers tied in as pairs.

use super::super::formulas::*;
use super::super::worker::{Lean, Worker, from};
use super::ground::ground;
use super::strand::{helix, stretches, turns};
use super::{
    FIBRE_RIGHT, Making, Piece, Reckoned, TURNS_RIGHT, Taken, bundle, can_lie, laid, long_enough, loss, lost_and_grip, number, numbers, own, own_length, shares,
};
use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Base, Gives, Laid, Part, Size};
use crate::measure::Unit;
use crate::why::{Fig, Standing};

/// Fibre length by hackle size, mm: measured on the gauge printed in E. C. Gregg, How to Tie Flies (1940), p. 31.
/// Used where the bench gives no gauge of its own.
const GAUGE: &[(&str, f64)] = &[("10", 10.3), ("12", 7.9), ("14", 6.4), ("16", 5.0), ("18", 4.3), ("20", 3.3)];

/// Turns of one or more feathers round the hook, a body or a post.
pub(in crate::card) fn hackle(w: &mut Worker<'_>, nth: usize, part: &Part, pieces: &[Piece<'_>], making: &mut Making) -> Option<Vec<Taken>> {
    let (name, at) = (part.name.value.as_str(), &part.name.at);
    let size = gauge(w, nth, part, making);
    can_lie(w, part, pieces, &[Laid::Together, Laid::OneAfterTheOther])?;
    let mut stems = Vec::new();
    for piece in pieces {
        let none = (0.0, Standing::Assumed, "the stem's width is not stated in materials.yaml, and is left out");
        stems.push(own(w, &piece.stem, "stem", piece.material.width.as_ref(), Unit::Mm, none));
    }
    let post = match &part.fields.on {
        Some(Told { value: Base::Post(post), at }) => Some(round_post(w, part, post, at)?),
        _ => None,
    };
    let ground = if post.is_some() { None } else { ground(w, nth, part, making)? };
    if part.fields.turns.is_none() {
        return w.missing(name, "how many turns it has", TURNS_RIGHT);
    }
    let in_turn = pieces.len() > 1 && laid(part) == Laid::OneAfterTheOther;
    let beneath = ground.as_ref().map_or(&[][..], |ground| &ground.beneath);
    let all = turns(w, part, *stems.first()?, beneath, making)?;
    making.part.turns = Some(all);
    let parted = if in_turn { Some(shares(w, part, pieces)?) } else { None };
    let grounds = match (&ground, &parted) {
        (Some(ground), Some(shares)) => stretches(w, ground, pieces, shares)?.into_iter().map(Some).collect(),
        _ => vec![ground; pieces.len()],
    };
    let mut taken = Vec::new();
    for (which, ((piece, ground), stem)) in pieces.iter().zip(grounds).zip(stems).enumerate() {
        let turns = match &parted {
            Some(shares) => w.work(&format!("{}.turns", piece.stem), &SHARED, &[*shares.get(which)?, all], at)?,
            None => all,
        };
        let wound = match post {
            Some(across) => w.work(&format!("{}.wound", piece.stem), &RINGS, &[turns, stem, across], at)?,
            None => {
                let beneath = ground.as_ref().map_or(&[][..], |ground| &ground.beneath);
                helix(w, &piece.stem, turns, stem, beneath, making.part.tied_in, at)?
            }
        };
        if let Some(ours) = making.part.pieces.get_mut(which) {
            ours.turns = Some(turns);
            ours.span = ground.filter(|_| parted.is_some()).map(|ground| (ground.from, ground.to));
        }
        taken.push(Taken { size: size.clone(), ..feathers(w, piece, wound, at)?.into() });
    }
    // Without a fibre nobody knows which feather.
    size.map(|_| taken)
}

/// The diameter a parachute hackle is wound round: the bundle's thickness, else by its fibres, else assumed.
fn round_post(w: &mut Worker<'_>, part: &Part, post: &str, at: &At) -> Option<Fig> {
    let name = part.name.value.as_str();
    let fields = &part.fields;
    if let Some(place) = fields.to.as_ref().or(fields.from.as_ref()).map(|told| &told.at).or(fields.over.as_ref().map(|told| &told.at)) {
        let fault = Diagnostic::error(format!("\"{name}\" goes round a post, so it has no stretch of the hook to go over"), place.clone());
        w.fault(fault.also("on the post", at.clone()).right("take the line away; it lies where the post is"));
        return None;
    }
    let nth = w.parts.iter().position(|other| other.name.value == post)?;
    let key = format!("{name}.post-across");
    if let Some(across) = bundle::across(w, nth, at)? {
        return w.work(&key, &PLACE, &[across], at);
    }
    w.advise(
        Diagnostic::advice(format!("how thick the post of \"{post}\" is is not known, so 1.5 mm is assumed for \"{name}\""), at.clone())
            .right(format!("`thick:` of \"{post}\", or the `width:` of one of its fibres in materials.yaml")),
    );
    Some(w.sheet.given(
        key,
        1.5,
        Unit::Mm,
        Standing::Assumed,
        "assumed, no source: the dressing tells neither the post's thickness nor the width of its fibres",
    ))
}

/// The hackle size whose fibre is nearest to what is wanted.
fn gauge(w: &mut Worker<'_>, nth: usize, part: &Part, making: &mut Making) -> Option<Size> {
    let Some(rule) = &part.fields.fibre else {
        return w.missing(&part.name.value, "how long its fibres are", FIBRE_RIGHT);
    };
    let fibre = match w.sheet.find(&format!("{}.fibre", part.name.value)) {
        Some(fig) => fig,
        None if part.fields.length.is_none() && part.fields.reach.is_none() => w.figure_of(nth, Lean::Length, &rule.at)?,
        None => w.length(&format!("{}.fibre", part.name.value), rule)?,
    };
    making.part.fibre = Some(fibre);
    let wanted = w.value(fibre);
    let own = &w.shelf.terms.hackle_gauge;
    let nearer = |a: f64, b: f64| (a - wanted).abs().total_cmp(&(b - wanted).abs());
    let (size, mm, standing, source) = if own.is_empty() {
        let (size, mm) = GAUGE.iter().min_by(|a, b| nearer(a.1, b.1))?;
        let source = "E. C. Gregg, How to Tie Flies (1940), p. 31, measured on its gauge; bench.yaml has no `hackle-gauge`".into();
        (Size::read(size)?, *mm, Standing::Published, source)
    } else {
        let (size, told) = own.iter().min_by(|a, b| nearer(a.1.value, b.1.value))?;
        (size.clone(), told.value, Standing::Stated, from(&told.at))
    };
    let source = format!("feather size {size}, whose fibre on the gauge is nearest to the fibre wanted: {source}");
    w.sheet.given(format!("{}.gauge", part.name.value), mm, Unit::Mm, standing, source);
    Some(size)
}

/// Feathers a fly for a wound length, or flies a feather.
fn feathers(w: &mut Worker<'_>, piece: &Piece<'_>, wound: Fig, at: &At) -> Option<Reckoned> {
    let (stem, material) = (piece.stem.as_str(), piece.material);
    let loss = loss(w, piece);
    let Some(told) = &material.usable else {
        let one = w.sheet.given(
            format!("{stem}.feathers"),
            1.0,
            Unit::Feather,
            Standing::Assumed,
            "one feather a fly is assumed: the material does not say `usable`",
        );
        return Some(Reckoned::new(&FEATHERS, vec![one, loss]));
    };
    let usable = w.told(&format!("{stem}.usable"), told, Unit::Mm, Standing::Stated);
    let (lost, grip) = lost_and_grip(w, piece);
    let flies = w.work(&format!("{stem}.flies-a-feather"), &FLIES_A_PIECE, &[usable, grip, wound, lost], at)?;
    if w.value(flies) >= 1.0 {
        return Some(Reckoned::new(&FEATHERS_SHARED, vec![flies, loss]));
    }
    if w.value(usable) - w.value(grip) - 2.0 * w.value(lost) <= 0.0 {
        w.fault(
            Diagnostic::error(
                format!(
                    "a feather of {:.1} mm has nothing left to wind once {:.1} mm of grip and {:.1} mm at each end are taken off",
                    w.value(usable),
                    w.value(grip),
                    w.value(lost)
                ),
                told.at.clone(),
            )
            .right("a longer `usable:`, or smaller `grip:` and `lost-at-tie:`"),
        );
        return None;
    }
    let feathers = w.work(&format!("{stem}.feathers"), &FEATHERS_EACH, &[wound, usable, grip, lost], at)?;
    Some(Reckoned::new(&FEATHERS, vec![feathers, loss]))
}

/// Feathers in pairs, as wings: so many pairs, or of each material one side of them.
pub(in crate::card) fn pair(w: &mut Worker<'_>, nth: usize, part: &Part, pieces: &[Piece<'_>], making: &mut Making) -> Option<Vec<Taken>> {
    let (name, at) = (part.name.value.as_str(), &part.name.at);
    can_lie(w, part, pieces, &[Laid::Together, Laid::OneAfterTheOther, Laid::OneEachSide])?;
    let length = own_length(w, nth, part)?;
    making.part.length = Some(length);
    // A feather has a size only where its fibre is said and the material is known by sizes.
    let sized = part.fields.fibre.is_some() && pieces.iter().any(|piece| by_size(piece));
    let size = if sized { Some(gauge(w, nth, part, making)?) } else { None };
    let key = format!("{name}.count");
    let sides = pieces.len() > 1 && laid(part) == Laid::OneEachSide;
    let whole = match &part.fields.count {
        Some(told) => Some(number(w, &key, told)),
        None if pieces.len() == 1 || sides => Some(w.common(&key, 1.0, Unit::One, Standing::Usual, "one pair, as the dressing does not say `count`")),
        None => None,
    };
    let pairs = numbers(w, part, pieces, "count", whole, Some((1.0, "one pair, as the dressing does not say `count`")))?;
    let mut taken = Vec::new();
    for (which, (piece, pairs)) in pieces.iter().zip(pairs).enumerate() {
        let pairs = pairs?;
        let loss = loss(w, piece);
        long_enough(w, part, piece, length);
        if let Some(ours) = making.part.pieces.get_mut(which) {
            ours.count = Some(pairs);
        }
        let size = size.clone().filter(|_| by_size(piece));
        taken.push(Taken { size, ..Reckoned::new(&PAIRS, vec![pairs, loss]).into() });
    }
    let all: Vec<Fig> = making.part.pieces.iter().filter_map(|piece| piece.count).collect();
    making.part.count = Some(super::sum_of_numbers(w, &key, &all, at)?);
    Some(taken)
}

fn by_size(piece: &Piece<'_>) -> bool {
    matches!(piece.material.gives, Some(Told { value: Gives::Feathers(_), .. }))
}
