//! What a part is wound over: a stretch of the hook, a needle or a strand beyond it, or both; and how it grows.

use super::super::Stretch;
use super::super::formulas::*;
use super::super::profile::{Profile, inputs};
use super::super::worker::{Lean, Worker, from};
use super::{Making, bundle};
use crate::diagnostic::Diagnostic;
use crate::dressing::{Base, Part, Way};
use crate::measure::Unit;
use crate::why::{Fig, Standing};

/// Two places nearer than this are one (mm).
const SAME_PLACE: f64 = 1e-9;

/// What a part is wound over, from its beginning to its end.
#[derive(Clone, Debug)]
pub(in crate::card) struct Ground {
    /// Where it begins.
    pub(super) from: Fig,
    /// Where it ends.
    pub(super) to: Fig,
    /// The stretch that lies on the hook.
    on_hook: Option<(Fig, Fig)>,
    /// The stretch beyond the hook, and the part whose core it goes on.
    beyond: Option<(usize, Fig, Fig)>,
    /// What lies beneath, eye to bend and on beyond.
    pub(super) beneath: Vec<Stretch>,
}

/// What a part adds to what lies on the hook.
#[derive(Clone, Debug)]
pub(in crate::card) enum Growth {
    /// Layers of a strand.
    Strand {
        /// The first words of its keys.
        stem: String,
        /// It lies beneath for its weight.
        weight: bool,
        ground: Ground,
        turns: Fig,
        width: Fig,
        thick: Fig,
    },
    /// A body's outside, at its beginning and at its end.
    Body { ground: Ground, across: (Fig, Fig) },
}

/// What a part lies over. `Some(None)`: it stays at one place.
pub(super) fn ground(w: &mut Worker<'_>, nth: usize, part: &Part, making: &mut Making) -> Option<Option<Ground>> {
    let from = w.figure_of(nth, Lean::Start, &part.name.at)?;
    let to = w.figure_of(nth, Lean::End, &part.name.at)?;
    let on_hook = ((w.value(from) - w.value(to)).abs() > SAME_PLACE).then_some((from, to));
    if on_hook.is_some() {
        making.part.span = on_hook;
        // Whoever measures by it has set it already; else it is set here, so that the card shows it. A length that is
        // said of a part with a span is what others measure by.
        let said = part.fields.length.is_some() || part.fields.reach.is_some();
        let key = format!("{}.{}", part.name.value, if said || part.fields.beyond.is_some() { "span" } else { "length" });
        w.once(&key, |w, key| w.work(key, &DISTANCE, &[from, to], &part.name.at))?;
        making.part.beneath = w.beneath(from, to)?;
    }
    let fields = &part.fields;
    if fields.beyond.is_some() && fields.length.is_none() && fields.reach.is_none() && fields.fibre.is_none() {
        w.figure_of(nth, Lean::Length, &part.name.at)?;
    }
    let beyond = match host(w, nth) {
        Some(host) => Some(off_the_hook(w, host)?),
        None => None,
    };
    let Some((host, base, tip)) = beyond else {
        let ground = on_hook.map(|_| Ground { from, to, on_hook, beyond: None, beneath: making.part.beneath.clone() });
        return Some(ground);
    };
    making.part.beyond = w.off.get_mut(&host)?.between(&mut w.sheet, base, tip)?;
    let mut beneath = making.part.beneath.clone();
    beneath.extend(&making.part.beyond);
    // What begins nearest the bend begins at the far end beyond it.
    let (from, to) = match on_hook {
        Some((from, to)) if w.value(from) > w.value(to) => (tip, to),
        _ => (from, tip),
    };
    Some(Some(Ground { from, to, on_hook, beyond: Some((host, base, tip)), beneath }))
}

/// The part whose core beyond the hook this one goes on: itself, or what it is wound over.
fn host(w: &Worker<'_>, nth: usize) -> Option<usize> {
    let mut here = nth;
    for _ in 0..w.parts.len() {
        let fields = &w.parts.get(here)?.fields;
        let off_hook = matches!(fields.on.as_ref().map(|on| &on.value), Some(Base::Needle(_) | Base::Nylon(_) | Base::Loop));
        if fields.beyond.is_some() || off_hook {
            return Some(here);
        }
        let leans = fields.over.as_ref().or(fields.under.as_ref()).filter(|_| fields.at.is_none() && fields.from.is_none())?;
        here = w.parts.iter().position(|part| part.name.value == leans.value)?;
    }
    None
}

/// The stretch beyond the hook of a part that has one: the part, where it leaves the hook, its far end.
fn off_the_hook(w: &mut Worker<'_>, host: usize) -> Option<(usize, Fig, Fig)> {
    let part = w.parts.get(host)?.clone();
    let name = part.name.value.as_str();
    let start = w.figure_of(host, Lean::Start, &part.name.at)?;
    let end = w.figure_of(host, Lean::End, &part.name.at)?;
    let base = if w.value(start) > w.value(end) { start } else { end };
    let key = format!("{name}.beyond-end");
    if let Some(tip) = w.sheet.find(&key) {
        return Some((host, base, tip));
    }
    let length = if let Some(rule) = &part.fields.beyond {
        w.once(&format!("{name}.beyond"), |w, key| w.length(key, rule))?
    } else if part.fields.length.is_some() {
        w.figure_of(host, Lean::Length, &part.name.at)?
    } else {
        let at = part.fields.on.as_ref().map_or(&part.name.at, |on| &on.at).clone();
        w.fault(
            Diagnostic::error(format!("how far \"{name}\" goes on beyond the hook is not said"), at).right("`beyond:` with a length, such as `beyond: 8 mm`"),
        );
        return None;
    };
    let once = w.common("once", 1.0, Unit::One, Standing::Stated, "a length counted once");
    let tip = w.work(&key, &PLACE, &[base, once, length], &part.name.at)?;
    let core = core(w, host, &part)?;
    w.off.insert(host, Profile::bare(base, tip, core));
    Some((host, base, tip))
}

/// Diameter of what a part is made on beyond the hook.
fn core(w: &mut Worker<'_>, host: usize, part: &Part) -> Option<Fig> {
    let key = format!("{}.core", part.name.value);
    match part.fields.on.as_ref().map(|on| (&on.value, &on.at)) {
        Some((Base::Needle(mm) | Base::Nylon(mm), at)) => Some(w.sheet.given(key, *mm, Unit::Mm, Standing::Stated, from(at))),
        Some((Base::Loop, at)) => {
            let twice = w.common("silk.loop-strands", 2.0, Unit::One, Standing::Stated, "a loop is two strands of silk");
            let silk = w.sheet.find("silk.width")?;
            w.work(&key, &ROPE_ACROSS, &[twice, silk], at)
        }
        _ if part.fields.way.as_ref().is_some_and(|way| way.value == Way::Bunch) => bundle::across(w, host, &part.name.at)?,
        _ => {
            let at = part.fields.beyond.as_ref().map_or(&part.name.at, |told| &told.at).clone();
            let what = format!("what \"{}\" is made on beyond the hook is not said", part.name.value);
            w.fault(Diagnostic::error(what, at).right("`on: needle 0.6 mm`, `on: nylon 0.4 mm` or `on: loop`"));
            None
        }
    }
}

impl Ground {
    /// The stretch of it between two places that lie within.
    pub(super) fn between(&self, w: &mut Worker<'_>, a: Fig, b: Fig) -> Option<Ground> {
        let on_hook = self.on_hook.and_then(|(from, to)| overlap(w, (a, b), (from, to)));
        let beyond = self.beyond.and_then(|(host, base, tip)| overlap(w, (a, b), (base, tip)).map(|(low, high)| (host, low, high)));
        let mut beneath = match on_hook {
            Some((low, high)) => w.beneath(low, high)?,
            None => Vec::new(),
        };
        if let Some((host, low, high)) = beyond {
            beneath.extend(w.off.get_mut(&host)?.between(&mut w.sheet, low, high)?);
        }
        Some(Ground { from: a, to: b, on_hook, beyond, beneath })
    }

    /// The diameter at a place of what runs evenly from one diameter where it begins to another where it ends.
    pub(super) fn across(&self, w: &mut Worker<'_>, (first, second): (Fig, Fig), place: Fig) -> Option<Fig> {
        if first == second || place == self.from {
            return Some(first);
        }
        if place == self.to {
            return Some(second);
        }
        let key = w.sheet.fresh_key("profile");
        w.sheet.work(key, &SPREAD, &[place, self.from, self.to, first, second])
    }
}

/// What two stretches have in common, the lower place first.
fn overlap(w: &Worker<'_>, a: (Fig, Fig), b: (Fig, Fig)) -> Option<(Fig, Fig)> {
    let ordered = |(x, y): (Fig, Fig)| if w.value(x) <= w.value(y) { (x, y) } else { (y, x) };
    let ((a0, a1), (b0, b1)) = (ordered(a), ordered(b));
    let low = if w.value(a0) >= w.value(b0) { a0 } else { b0 };
    let high = if w.value(a1) <= w.value(b1) { a1 } else { b1 };
    (w.value(high) - w.value(low) > SAME_PLACE).then_some((low, high))
}

/// The profile after a part: a body sets it, a strand builds on it, the rest leave it.
pub(in crate::card) fn grow(w: &mut Worker<'_>, growth: &Growth) -> Option<()> {
    match growth {
        Growth::Body { ground, across } => {
            for (host, low, high) in stretches(ground) {
                let ends = ((low, ground.across(w, *across, low)?), (high, ground.across(w, *across, high)?));
                match host {
                    None => w.profile.shape(&mut w.sheet, ends.0, ends.1)?,
                    Some(host) => w.off.get_mut(&host)?.shape(&mut w.sheet, ends.0, ends.1)?,
                }
            }
        }
        Growth::Strand { stem, weight, ground, turns, width, thick } => {
            let formula = if *weight { &WEIGHT_LAYERS } else { &COVERAGE };
            let layers = w.sheet.work(format!("{stem}.layers"), formula, &inputs(&[*turns, *width], &ground.beneath))?;
            if w.value(layers) == 0.0 {
                return Some(());
            }
            for (host, low, high) in stretches(ground) {
                match host {
                    None => w.profile.lay(&mut w.sheet, low, high, *thick, layers)?,
                    Some(host) => w.off.get_mut(&host)?.lay(&mut w.sheet, low, high, *thick, layers)?,
                }
            }
        }
    }
    Some(())
}

fn stretches(ground: &Ground) -> impl Iterator<Item = (Option<usize>, Fig, Fig)> + use<> {
    let on_hook = ground.on_hook.map(|(from, to)| (None, from, to));
    let beyond = ground.beyond.map(|(host, base, tip)| (Some(host), base, tip));
    on_hook.into_iter().chain(beyond)
}
