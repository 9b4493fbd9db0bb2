//! Bodies by their thickness: dubbed on the silk, or spun in a loop of it.

use super::super::Stretch;
use super::super::formulas::*;
use super::super::profile::inputs;
use super::super::worker::Worker;
use super::ground::{Growth, ground};
use super::strand::stretches;
use super::{Making, Piece, Reckoned, THICK_RIGHT, Taken, can_lie, laid, loss, own, shares};
use crate::diagnostic::{Diagnostic, Told};
use crate::dressing::{Laid, Length, Part, Way};
use crate::measure::Unit;
use crate::why::{Fig, Standing};

/// A body of one material or several, mixed or one after the other.
pub(in crate::card) fn body(w: &mut Worker<'_>, nth: usize, part: &Part, pieces: &[Piece<'_>], making: &mut Making) -> Option<Vec<Taken>> {
    let (name, at) = (part.name.value.as_str(), &part.name.at);
    can_lie(w, part, pieces, &[Laid::Together, Laid::OneAfterTheOther])?;
    let Some(rule) = &part.fields.thick else {
        return w.missing(name, "how thick it is", THICK_RIGHT);
    };
    let (first, second) = match &rule.value {
        Length::One(terms) => {
            let fig = w.sum(&format!("{name}.thick"), terms, &rule.at)?;
            (fig, fig)
        }
        Length::Taper(a, b) => (w.sum(&format!("{name}.thick-start"), a, &rule.at)?, w.sum(&format!("{name}.thick-end"), b, &rule.at)?),
        Length::Between(..) => {
            w.fault(Diagnostic::error("a body's thickness is one length or a taper", rule.at.clone()).right("`rising to` instead of `to`"));
            return None;
        }
    };
    for fig in [first, second] {
        if w.value(fig) <= 0.0 {
            w.fault(
                Diagnostic::error(format!("this comes to {:.2} mm on a {} {}", w.value(fig), w.chart.name.value, w.size), rule.at.clone())
                    .right("a thickness above nought"),
            );
            return None;
        }
    }
    let Some(ground) = ground(w, nth, part, making)? else {
        w.fault(Diagnostic::error(format!("\"{name}\" begins and ends at one place"), at.clone()).right("`from:` and `to:` with two places"));
        return None;
    };
    making.part.thick = Some((first, second));
    thinner(w, part, rule, (ground.from, first), (ground.to, second), &ground.beneath)?;
    if making.part.way == Way::Spun {
        let silk = spun_loop(w, part)?;
        making.silk.push(silk);
    }
    making.growth.push(Growth::Body { ground: ground.clone(), across: (first, second) });
    let volume = |w: &mut Worker<'_>, stem: &str, ground: &super::ground::Ground, a: Fig, b: Fig| {
        w.work(&format!("{stem}.volume"), &BODY_VOLUME, &inputs(&[ground.from, ground.to, a, b], &ground.beneath), at)
    };
    let mut volumes = Vec::new();
    if let [only] = pieces {
        volumes.push(volume(w, &only.stem, &ground, first, second)?);
    } else if laid(part) == Laid::OneAfterTheOther {
        let shares = shares(w, part, pieces)?;
        for ((piece, own), ours) in pieces.iter().zip(stretches(w, &ground, pieces, &shares)?).zip(&mut making.part.pieces) {
            let (a, b) = (ground.across(w, (first, second), own.from)?, ground.across(w, (first, second), own.to)?);
            ours.span = Some((own.from, own.to));
            volumes.push(volume(w, &piece.stem, &own, a, b)?);
        }
    } else {
        let whole = volume(w, name, &ground, first, second)?;
        for (piece, share) in pieces.iter().zip(shares(w, part, pieces)?) {
            volumes.push(w.work(&format!("{}.volume", piece.stem), &SHARED_VOLUME, &[share, whole], at)?);
        }
    }
    let mut taken = Vec::new();
    for (piece, volume) in pieces.iter().zip(volumes) {
        let assumed = (0.15, Standing::Assumed, "assumed, no source: the material does not say `density`; weigh what a few flies take, or say `gives`");
        let density = own(w, &piece.stem, "density", piece.material.density.as_ref(), Unit::GPerCm3, assumed);
        let loss = loss(w, piece);
        taken.push(Reckoned { formula: &BODY_MASS, inputs: vec![volume, density, loss], volume: Some(volume) }.into());
    }
    Some(taken)
}

/// The silk of the loop a body is spun in.
fn spun_loop(w: &mut Worker<'_>, part: &Part) -> Option<Fig> {
    let name = part.name.value.as_str();
    let key = format!("{name}.loop");
    let length = match &part.fields.loop_length {
        Some(rule) => w.length(&key, rule)?,
        None => w.sheet.given(key, 40.0, Unit::Mm, Standing::Usual, "usual at benches, no source; say `loop:` with the part"),
    };
    w.work(&format!("{name}.loop-silk"), &LOOP_TWICE, &[length], &part.name.at)
}

/// A body thinner than what lies beneath it cannot be made.
fn thinner(w: &mut Worker<'_>, part: &Part, rule: &Told<Length>, start: (Fig, Fig), end: (Fig, Fig), beneath: &[Stretch]) -> Option<()> {
    let (s0, d0, s1, d1) = (w.value(start.0), w.value(start.1), w.value(end.0), w.value(end.1));
    let outside = |s: f64| d0 + (d1 - d0) * (s - s0) / (s1 - s0);
    let ends = beneath.iter().flat_map(|stretch| [(stretch.from, stretch.across_from), (stretch.to, stretch.across_to)]);
    let worst = ends
        .map(|(s, across)| (w.value(s), w.value(across)))
        .filter(|(s, across)| outside(*s) < across - 1e-9)
        .max_by(|a, b| (a.1 - outside(a.0)).total_cmp(&(b.1 - outside(b.0))));
    let Some((s, across)) = worst else { return Some(()) };
    w.fault(
        Diagnostic::error(
            format!(
                "\"{}\" would be thinner than what lies beneath it: {:.2} mm over {across:.2} mm, {s:.2} mm behind the eye on a {} {}",
                part.name.value,
                outside(s),
                w.chart.name.value,
                w.size
            ),
            rule.at.clone(),
        )
        .right(match w.hook.gap {
            Some(gap) => format!("at least {across:.2} mm there ({:.2} gap), or less beneath it", across / w.value(gap)),
            None => format!("at least {across:.2} mm there, or less beneath it"),
        }),
    );
    None
}
