//! Where a part begins and ends and how long it is, worked when first wanted.

use super::amount::strand_width;
use super::formulas::*;
use super::worker::{Lean, Worker, from, standing};
use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Base, Part, Turns, Way};
use crate::measure::{Unit, words};
use crate::why::{Fig, Standing};

/// One figure of a part; called only through [`Worker::figure_of`], which keeps and guards it.
pub(super) fn figure(w: &mut Worker<'_>, nth: usize, lean: Lean, at: &At) -> Option<Fig> {
    let part = w.parts[nth].clone();
    match lean {
        Lean::Start => start(w, nth, &part),
        Lean::End => end(w, nth, &part),
        Lean::Length => length(w, nth, &part, at),
    }
}

fn start(w: &mut Worker<'_>, nth: usize, part: &Part) -> Option<Fig> {
    let name = part.name.value.as_str();
    if let Some(place) = &part.fields.at {
        return w.place(&format!("{name}.at"), place);
    }
    if let Some(place) = &part.fields.from {
        return w.place(&format!("{name}.from"), place);
    }
    if let Some(other) = part.fields.over.as_ref().or(part.fields.under.as_ref()) {
        let fig = w.lean_on(&other.value, Lean::Start, &other.at)?;
        return w.work(&format!("{name}.from"), &PLACE, &[fig], &other.at);
    }
    // A hackle round a post lies where the post is.
    if let Some(Told { value: Base::Post(post), at }) = &part.fields.on {
        let fig = w.lean_on(post, Lean::Start, at)?;
        return w.work(&format!("{name}.at"), &PLACE, &[fig], at);
    }
    // `4 behind, 3 before the wing`: on both sides of where the wing stands.
    if let Some(Told { value: Turns::Split { of, .. }, at }) =
        part.fields.turns.as_ref().filter(|told| matches!(&told.value, Turns::Split { of, .. } if !of.is_empty()))
    {
        let fig = w.lean_on(of, Lean::Start, at)?;
        return w.work(&format!("{name}.at"), &PLACE, &[fig], at);
    }
    match part.fields.way.as_ref().map(|way| way.value) {
        // A bead sits against the eye and a coat goes on the head where nothing else is said.
        Some(Way::Whole | Way::Coat) => Some(w.marks.eye_rear),
        _ => {
            let mut right = "`at:` with a place such as `barb`, or `from:` and `to:`".to_owned();
            let others = other_names(w, nth);
            if !others.is_empty() {
                right.push_str(&format!(", or `over:` another part ({others})"));
            }
            w.missing(name, "where it is tied in", right)
        }
    }
}

fn end(w: &mut Worker<'_>, nth: usize, part: &Part) -> Option<Fig> {
    let name = part.name.value.as_str();
    if let Some(place) = &part.fields.to {
        return w.place(&format!("{name}.to"), place);
    }
    let anchored = part.fields.at.is_some() || part.fields.from.is_some();
    if let Some(other) = part.fields.over.as_ref().or(part.fields.under.as_ref()).filter(|_| !anchored) {
        let fig = w.lean_on(&other.value, Lean::End, &other.at)?;
        return w.work(&format!("{name}.to"), &PLACE, &[fig], &other.at);
    }
    let start = w.figure_of(nth, Lean::Start, &part.name.at)?;
    if part.fields.from.is_none() {
        return Some(start);
    }
    // Counted turns from a place run on toward the eye, each one width.
    if let (Some(Way::Weight | Way::Wound | Way::Rope), Some(turns)) = (part.fields.way.as_ref().map(|way| way.value), &part.fields.turns)
        && let Some(count) = counted(&turns.value)
    {
        let width = strand_width(w, part)?;
        let turns = w.common(&format!("{name}.turns"), count, Unit::One, standing(&turns.at), from(&turns.at));
        return w.work(&format!("{name}.to"), &TURNS_BACK, &[start, turns, width], &part.name.at);
    }
    if part.fields.way.as_ref().is_some_and(|way| matches!(way.value, Way::Wound | Way::Rope | Way::Dubbed | Way::Spun | Way::Weight))
        && part.fields.beyond.is_none()
    {
        return w.missing(name, "where it ends", "`to:` with a place such as `1/3 shank behind the eye`");
    }
    Some(start)
}

fn length(w: &mut Worker<'_>, nth: usize, part: &Part, at: &At) -> Option<Fig> {
    let name = part.name.value.as_str();
    if let Some(rule) = &part.fields.length {
        return w.length(&format!("{name}.length"), rule);
    }
    if let Some(reach) = &part.fields.reach {
        let tied_in = w.figure_of(nth, Lean::Start, at)?;
        return w.reach(&format!("{name}.length"), name, tied_in, reach);
    }
    if let Some(rule) = &part.fields.fibre {
        return w.length(&format!("{name}.fibre"), rule);
    }
    let way = part.fields.way.as_ref().map(|way| way.value);
    let fields = &part.fields;
    let spanned = fields.to.is_some() || fields.over.is_some() || fields.under.is_some() || fields.beyond.is_some();
    if !spanned && matches!(way, Some(Way::Bunch | Way::Slip | Way::Pair | Way::Strip | Way::Sheet | Way::Hackle)) {
        return w.missing(name, "how long it is", "`length:` such as `1 shank`, or `reach:` with a place such as `bend + 1 mm`");
    }
    let start = w.figure_of(nth, Lean::Start, at)?;
    let end = w.figure_of(nth, Lean::End, at)?;
    if let Some(rule) = &part.fields.beyond {
        let beyond = w.once(&format!("{name}.beyond"), |w, key| w.length(key, rule))?;
        let mut lengths = vec![beyond];
        if start != end {
            lengths.insert(0, w.once(&format!("{name}.span"), |w, key| w.work(key, &DISTANCE, &[start, end], at))?);
        }
        return w.work(&format!("{name}.length"), &LENGTHS, &lengths, at);
    }
    if start == end {
        w.fault(
            Diagnostic::error(format!("\"{name}\" has no length to measure by"), at.clone())
                .right(format!("a part with a `length:` or with `from:` and `to:` ({})", other_names(w, nth))),
        );
        return None;
    }
    w.once(&format!("{name}.length"), |w, key| w.work(key, &DISTANCE, &[start, end], at))
}

/// The number of turns, where it is a number.
pub(super) fn counted(turns: &Turns) -> Option<f64> {
    match turns {
        Turns::Count(count) => Some(count.to_f64()),
        Turns::Split { behind, before, .. } => Some(behind.to_f64() + before.to_f64()),
        Turns::Touching => None,
    }
}

/// The width of a material as a strand.
pub(super) fn width_of(w: &mut Worker<'_>, name: &str, material: &str, at: &At) -> Option<Fig> {
    let key = format!("{name}.width");
    if let Some(fig) = w.sheet.find(&key) {
        return Some(fig);
    }
    let known = w.material(material)?;
    if let Some(width) = &known.width {
        return Some(w.told(&key, width, Unit::Mm, Standing::Stated));
    }
    if let Some(tex) = &known.tex {
        let tex = w.told(&format!("{name}.tex"), tex, Unit::Tex, Standing::Stated);
        let density = match &known.density {
            Some(density) => w.told(&format!("{name}.density"), density, Unit::GPerCm3, Standing::Stated),
            None => w.sheet.given(
                format!("{name}.density"),
                1.38,
                Unit::GPerCm3,
                Standing::Assumed,
                "polyester, as in Physical Properties of Textile Fibres, ch. 5; the material does not say `density`",
            ),
        };
        let packing = match &known.packing {
            Some(packing) => w.told(&format!("{name}.packing"), packing, Unit::One, Standing::Stated),
            None => w.sheet.given(format!("{name}.packing"), 1.0, Unit::One, Standing::Assumed, "a solid round thread; the material does not say `packing`"),
        };
        return w.work(&key, &THREAD_WIDTH, &[tex, density, packing], at);
    }
    w.advise(
        Diagnostic::advice(format!("\"{}\" has no width, so 0.1 mm is assumed for a strand of it", words::Words::new(material)), known.name.at.the_key())
            .right("`width:` in mm (of a thread, `denier:` with `density:` will do)"),
    );
    Some(w.sheet.given(key, 0.1, Unit::Mm, Standing::Assumed, "assumed, for want of a width in materials.yaml"))
}

fn other_names(w: &Worker<'_>, nth: usize) -> String {
    w.parts.iter().enumerate().filter(|(other, _)| *other != nth).map(|(_, part)| part.name.value.as_str()).collect::<Vec<_>>().join(", ")
}
