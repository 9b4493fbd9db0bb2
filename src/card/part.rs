//! A part worked out: what one fly takes of it, by the way it goes on.

use super::formulas::*;
use super::place_and_length::{counted, strand_width};
use super::profile::inputs;
use super::worker::{Lean, Worker, from, standing};
use super::{Need, Stretch, WorkedPart};
use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Cut, Gives, Length, Material, Part, Size, Turns, Way};
use crate::measure::{Dimension, Unit};
use crate::why::{Fig, Standing};

/// Fibre length by hackle size, mm: measured on the gauge printed in E. C. Gregg, How to Tie Flies (1940), p. 31.
/// Used where the bench gives no gauge of its own.
const GAUGE: &[(&str, f64)] = &[("10", 10.3), ("12", 7.9), ("14", 6.4), ("16", 5.0), ("18", 4.3), ("20", 3.3)];

/// Works a part as it is when its turn comes: the profile holds what lies beneath.
///
/// `None`: it has a fault, which was told. A part without a need has something open: no dressing and no custom says
/// it, so that what it takes is not known.
pub(super) fn work(w: &mut Worker<'_>, nth: usize) -> Option<(WorkedPart, Option<Need>)> {
    let faults = w.faults.len();
    let part = w.parts[nth].clone();
    let name = part.name.value.clone();
    let of = part.fields.of.clone()?;
    let Some(way) = part.fields.way.as_ref().map(|way| way.value) else {
        w.fault(how_it_goes_on(&part));
        return None;
    };
    let material = w.material(&of.value)?;
    let tied_in = w.figure_of(nth, Lean::Start, &part.name.at);
    let mut worked = WorkedPart {
        name: name.clone(),
        material: crate::measure::words::fold(&of.value),
        way,
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
        flue: material.flue.as_ref().map(|flue| flue.value),
        other_way: part.fields.other_way.as_ref().is_some_and(|other| other.value),
        beneath: Vec::new(),
        amount: None,
        by_custom: part.fields.said().into_iter().filter(|(_, at)| at.rule.is_some()).map(|(key, _)| key).collect(),
    };
    let need = need(w, nth, &part, material, &mut worked);
    if need.is_none() && w.faults.len() > faults {
        return None;
    }
    worked.amount = need.as_ref().map(|need| need.amount);
    Some((worked, need))
}

/// What would say how a part goes on.
fn how_it_goes_on(part: &Part) -> Diagnostic {
    Diagnostic::error(
        format!("how \"{}\" goes on is not said, and neither the custom of this kind of fly nor the kind of its material tells", part.name.value),
        part.name.at.clone(),
    )
    .right(format!("`as:` and one of: {}", Way::ALL.iter().map(|(word, _)| *word).collect::<Vec<_>>().join(", ")))
}

/// Notes what the part wants for its way and nobody says, whatever else is open: all of it is told in one go.
fn unsaid(w: &mut Worker<'_>, part: &Part, way: Way) {
    let (name, fields) = (part.name.value.as_str(), &part.fields);
    let _: Option<()> = match way {
        Way::Hackle if fields.turns.is_none() => w.missing(name, "how many turns it has", TURNS_RIGHT),
        Way::Wound if fields.turns.is_none() && fields.over.is_some() => w.missing(name, "how many turns it has", TURNS_RIGHT),
        Way::Slip if fields.width.is_none() => w.missing(name, "how wide it is", WIDTH_RIGHT),
        Way::Dubbed if fields.thick.is_none() => w.missing(name, "how thick it is", THICK_RIGHT),
        _ => None,
    };
}

const TURNS_RIGHT: &str = "`turns:` with a number, such as `3` or `4 behind, 3 before the wing`";
const WIDTH_RIGHT: &str = "`width:` such as `0.5 gap`";
const THICK_RIGHT: &str = "`thick:` such as `0.3 gap`, or `0.25 gap rising to 0.4 gap`";

/// What one fly needs of a part; `None` where something is open or wrong.
fn need(w: &mut Worker<'_>, nth: usize, part: &Part, material: &Material, worked: &mut WorkedPart) -> Option<Need> {
    let (name, way) = (part.name.value.clone(), worked.way);
    unsaid(w, part, way);
    let mut size = None;
    let reckoned = match way {
        Way::Wound | Way::Weight => wound(w, nth, part, material, worked)?,
        Way::Hackle => {
            size = gauge(w, nth, part, worked);
            hackle(w, nth, part, material, worked).filter(|_| size.is_some())?
        }
        Way::Bunch => bunch(w, nth, part, material, worked)?,
        Way::Dubbed => dubbed(w, nth, part, material, worked)?,
        Way::Slip => slip(w, nth, part, material, worked)?,
        Way::Whole => whole(w, part, material, worked)?,
        Way::Coat => coat(w, part, material)?,
        Way::Spun | Way::Rope | Way::Strip | Way::Sheet | Way::Pair => {
            let at = part.fields.way.as_ref().map_or(&part.name.at, |way| &way.at);
            w.fault(
                Diagnostic::error(format!("`as: {}` cannot be worked yet", way.word()), at.clone())
                    .right("wound, hackle, bunch, dubbed, slip, whole, weight or coat"),
            );
            return None;
        }
    };
    let mut share = None;
    let amount = if let Some(told) = &part.fields.amount {
        stated(w, &name, told, way)?
    } else if let Some(Told { value: Gives::Flies { flies, size }, at }) = &material.gives {
        let (given, by_pack) = given_flies(w, &name, material, *flies, &size.clone(), &at.clone(), reckoned)?;
        share = Some(by_pack);
        given
    } else {
        reckoned.named(w, &name, &part.name.at)?
    };
    Some(Need { part: name, material: worked.material.clone(), size, way, amount, share })
}

/// An amount before the bench's own knowledge is asked: the last formula and its inputs, not yet on the sheet as
/// `part.amount`, and what it scales by with the size.
pub(super) struct Reckoned {
    formula: &'static crate::why::Formula<f64>,
    inputs: Vec<Fig>,
    /// The body's volume, by which `gives` is scaled.
    volume: Option<Fig>,
}

impl Reckoned {
    fn named(self, w: &mut Worker<'_>, name: &str, at: &At) -> Option<Fig> {
        w.work(&format!("{name}.amount"), self.formula, &self.inputs, at)
    }
}

/// A material's own figure as a row `part.key`, or a default that says so.
fn own(w: &mut Worker<'_>, name: &str, key: &str, told: Option<&Told<f64>>, unit: Unit, default: (f64, Standing, &str)) -> Fig {
    let key = format!("{name}.{key}");
    if let Some(fig) = w.sheet.find(&key) {
        return fig;
    }
    match told {
        Some(told) => w.told(&key, told, unit, Standing::Stated),
        None => w.sheet.given(key, default.0, unit, default.1, default.2),
    }
}

const NONE_STATED: &str = "none stated in materials.yaml";

fn loss(w: &mut Worker<'_>, name: &str, material: &Material) -> Fig {
    own(w, name, "loss", material.loss.as_ref(), Unit::One, (0.0, Standing::Stated, NONE_STATED))
}

fn lost_and_grip(w: &mut Worker<'_>, name: &str, material: &Material) -> (Fig, Fig) {
    let lost = own(w, name, "lost-at-tie", material.lost_at_tie.as_ref(), Unit::Mm, (0.0, Standing::Stated, NONE_STATED));
    let grip = own(w, name, "grip", material.grip.as_ref(), Unit::Mm, (0.0, Standing::Stated, NONE_STATED));
    (lost, grip)
}

fn span(w: &mut Worker<'_>, nth: usize, part: &Part, worked: &mut WorkedPart) -> Option<Vec<Stretch>> {
    let from = w.figure_of(nth, Lean::Start, &part.name.at)?;
    let to = w.figure_of(nth, Lean::End, &part.name.at)?;
    if (w.value(from) - w.value(to)).abs() < 1e-9 {
        return Some(Vec::new());
    }
    worked.span = Some((from, to));
    // Whoever measures by it has set it already; else it is set here, so that the card shows it. A length that is said
    // of a part with a span is what others measure by.
    let key = format!("{}.length", part.name.value);
    if part.fields.length.is_none() && part.fields.reach.is_none() && w.sheet.find(&key).is_none() {
        w.work(&key, &DISTANCE, &[from, to], &part.name.at)?;
    }
    worked.beneath = w.beneath(from, to)?;
    Some(worked.beneath.clone())
}

/// The helix of a strand over its span, or rings at one place.
fn helix(w: &mut Worker<'_>, part: &Part, turns: Fig, thick: Fig, beneath: &[Stretch], tied_in: Option<Fig>) -> Option<Fig> {
    let key = format!("{}.wound", part.name.value);
    if beneath.is_empty() {
        let across = w.across(tied_in?)?;
        return w.work(&key, &RINGS, &[turns, thick, across], &part.name.at);
    }
    let (first, last) = (beneath.first()?, beneath.last()?);
    for (key, fig) in [("beneath-at-eye-end", first.across_from), ("beneath-at-bend-end", last.across_to)] {
        let key = format!("{}.{key}", part.name.value);
        if w.sheet.find(&key).is_none() {
            w.work(&key, &PLACE, &[fig], &part.name.at)?;
        }
    }
    w.work(&key, &WOUND, &inputs(&[turns, thick], beneath), &part.name.at)
}

fn turns(w: &mut Worker<'_>, part: &Part, width: Fig, beneath: &[Stretch], worked: &mut WorkedPart) -> Option<Fig> {
    let key = format!("{}.turns", part.name.value);
    if let Some(Told { value: Turns::Split { behind, before, .. }, .. }) = &part.fields.turns {
        worked.turns_split = Some((behind.to_f64(), before.to_f64()));
    }
    let count = part.fields.turns.as_ref().and_then(|turns| counted(&turns.value).map(|count| (count, turns.at.clone())));
    if let Some((count, at)) = count {
        return Some(w.common(&key, count, Unit::One, standing(&at), &from(&at)));
    }
    if beneath.is_empty() {
        return w.missing(&part.name.value, "how many turns it has", TURNS_RIGHT);
    }
    if part.fields.turns.is_none() && part.fields.over.is_some() {
        return w.missing(&part.name.value, "how many turns it has", TURNS_RIGHT);
    }
    w.work(&key, &TOUCHING, &inputs(&[width], beneath), &part.name.at)
}

fn wound(w: &mut Worker<'_>, nth: usize, part: &Part, material: &Material, worked: &mut WorkedPart) -> Option<Reckoned> {
    let name = part.name.value.as_str();
    let width = strand_width(w, part)?;
    let thick = match &material.thick {
        Some(thick) => w.told(&format!("{name}.thick"), thick, Unit::Mm, Standing::Stated),
        None => width,
    };
    let beneath = span(w, nth, part, worked)?;
    (worked.width, worked.strand_thick) = (Some(width), Some(thick));
    let turns = turns(w, part, width, &beneath, worked)?;
    worked.turns = Some(turns);
    let wound = helix(w, part, turns, thick, &beneath, worked.tied_in)?;
    let one = strand(w, name, material, wound, &part.name.at)?;
    match &part.fields.strands {
        None => Some(one),
        Some(told) => {
            let strands = w.said(&format!("{name}.strands"), told.value.to_f64(), Unit::One, &told.at);
            let one = w.work(&format!("{name}.one-strand"), one.formula, &one.inputs, &part.name.at)?;
            Some(Reckoned { formula: &STRANDS, inputs: vec![strands, one], volume: None })
        }
    }
}

/// What is cut or drawn off for a wound length: the three wastes.
fn strand(w: &mut Worker<'_>, name: &str, material: &Material, wound: Fig, at: &At) -> Option<Reckoned> {
    let (lost, grip) = lost_and_grip(w, name, material);
    let loss = loss(w, name, material);
    let cut = material.cut.as_ref().map(|cut| cut.value).unwrap_or_default();
    Some(match cut {
        Cut::OffTheSpool => Reckoned { formula: &STRAND_OFF_SPOOL, inputs: vec![wound, lost, loss], volume: None },
        Cut::ALengthAFly => Reckoned { formula: &STRAND_A_LENGTH, inputs: vec![wound, lost, grip, loss], volume: None },
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
            Reckoned { formula: &STRAND_SHARED, inputs: vec![piece, flies, loss], volume: None }
        }
    })
}

/// The hackle size whose fibre is nearest to what is wanted.
fn gauge(w: &mut Worker<'_>, nth: usize, part: &Part, worked: &mut WorkedPart) -> Option<Size> {
    let Some(rule) = &part.fields.fibre else {
        return w.missing(&part.name.value, "how long its fibres are", "`fibre:` such as `1.5 gap`");
    };
    let fibre = match w.sheet.find(&format!("{}.fibre", part.name.value)) {
        Some(fig) => fig,
        None if part.fields.length.is_none() && part.fields.reach.is_none() => w.figure_of(nth, Lean::Length, &rule.at)?,
        None => w.length(&format!("{}.fibre", part.name.value), rule)?,
    };
    worked.fibre = Some(fibre);
    let wanted = w.value(fibre);
    let own = &w.shelf.terms.hackle_gauge;
    let nearer = |a: f64, b: f64| (a - wanted).abs().total_cmp(&(b - wanted).abs());
    let (size, mm, standing, source) = if own.is_empty() {
        let (size, mm) = GAUGE.iter().min_by(|a, b| nearer(a.1, b.1))?;
        let source = "E. C. Gregg, How to Tie Flies (1940), p. 31, measured on its gauge; bench.yaml has no `hackle-gauge`".to_owned();
        (Size::read(size)?, *mm, Standing::Published, source)
    } else {
        let (size, told) = own.iter().min_by(|a, b| nearer(a.1.value, b.1.value))?;
        (size.clone(), told.value, Standing::Stated, from(&told.at))
    };
    let source = format!("feather size {size}, whose fibre on the gauge is nearest to the fibre wanted: {source}");
    w.sheet.given(format!("{}.gauge", part.name.value), mm, Unit::Mm, standing, source);
    Some(size)
}

fn hackle(w: &mut Worker<'_>, nth: usize, part: &Part, material: &Material, worked: &mut WorkedPart) -> Option<Reckoned> {
    let name = part.name.value.as_str();
    let stem =
        own(w, name, "stem", material.width.as_ref(), Unit::Mm, (0.0, Standing::Assumed, "the stem's width is not stated in materials.yaml, and is left out"));
    let beneath = span(w, nth, part, worked)?;
    if part.fields.turns.is_none() {
        return w.missing(name, "how many turns it has", TURNS_RIGHT);
    }
    let turns = turns(w, part, stem, &beneath, worked)?;
    worked.turns = Some(turns);
    let wound = helix(w, part, turns, stem, &beneath, worked.tied_in)?;
    let loss = loss(w, name, material);
    let Some(told) = &material.usable else {
        let one = w.sheet.given(
            format!("{name}.feathers"),
            1.0,
            Unit::Feather,
            Standing::Assumed,
            "one feather a fly is assumed: the material does not say `usable`",
        );
        return Some(Reckoned { formula: &FEATHERS, inputs: vec![one, loss], volume: None });
    };
    let usable = w.told(&format!("{name}.usable"), told, Unit::Mm, Standing::Stated);
    let (lost, grip) = lost_and_grip(w, name, material);
    let flies = w.work(&format!("{name}.flies-a-feather"), &FLIES_A_PIECE, &[usable, grip, wound, lost], &part.name.at)?;
    if w.value(flies) >= 1.0 {
        return Some(Reckoned { formula: &FEATHERS_SHARED, inputs: vec![flies, loss], volume: None });
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
    let feathers = w.work(&format!("{name}.feathers"), &FEATHERS_EACH, &[wound, usable, grip, lost], &part.name.at)?;
    Some(Reckoned { formula: &FEATHERS, inputs: vec![feathers, loss], volume: None })
}

fn bunch(w: &mut Worker<'_>, nth: usize, part: &Part, material: &Material, worked: &mut WorkedPart) -> Option<Reckoned> {
    let name = part.name.value.as_str();
    worked.length = own_length(w, nth, part);
    let count_key = format!("{name}.count");
    let count = match (&part.fields.count, &part.fields.thick) {
        (Some(count), _) => w.said(&count_key, count.value.to_f64(), Unit::One, &count.at),
        (None, Some(rule)) => {
            let Length::One(terms) = &rule.value else {
                w.fault(Diagnostic::error("the thickness of a bundle is one length", rule.at.clone()).right("such as `0.5 gap`"));
                return None;
            };
            let thick = w.sum(&format!("{name}.thick"), terms, &rule.at)?;
            worked.thick = Some((thick, thick));
            let Some(told) = &material.width else {
                w.fault(
                    Diagnostic::error(
                        format!("a bundle by its thickness needs the width of one fibre of \"{}\"", material.name.value),
                        material.name.at.the_key(),
                    )
                    .also("wanted here", rule.at.clone())
                    .right("`width:` of one fibre in mm, or `count:` instead of `thick:`"),
                );
                return None;
            };
            let fibre = w.told(&format!("{name}.fibre-width"), told, Unit::Mm, Standing::Stated);
            let packing = own(
                w,
                name,
                "packing",
                material.packing.as_ref(),
                Unit::One,
                (0.75, Standing::Assumed, "assumed share of a bundle that is fibre; the material does not say `packing`"),
            );
            w.work(&count_key, &BUNDLE, &[thick, packing, fibre], &rule.at)?
        }
        (None, None) => {
            return w.missing(name, "how many fibres it has", "`count: 6`, or `thick:` of the bundle such as `0.5 gap`");
        }
    };
    worked.count = Some(count);
    // Without a length the bunch is open, however many fibres it has.
    worked.length?;
    let cleaned = own(w, name, "cleaned-out", material.cleaned_out.as_ref(), Unit::One, (0.0, Standing::Stated, NONE_STATED));
    let loss = loss(w, name, material);
    // A fibre must be long enough in itself.
    if let (Some(usable), Some(length)) = (&material.usable, worked.length)
        && material.fibres.is_some()
        && w.value(length) > usable.value
    {
        w.advise(
            Diagnostic::advice(
                format!("\"{name}\" is {:.1} mm long here, but only {:.1} mm of \"{}\" can be used", w.value(length), usable.value, material.name.value),
                part.name.at.clone(),
            )
            .right("a longer material, or a shorter part"),
        );
    }
    Some(Reckoned { formula: &FIBRES, inputs: vec![count, cleaned, loss], volume: None })
}

fn own_length(w: &mut Worker<'_>, nth: usize, part: &Part) -> Option<Fig> {
    if part.fields.length.is_none() && part.fields.reach.is_none() {
        return w.missing(&part.name.value, "how long it is", "`length:` such as `1 shank`, or `reach:` with a place such as `bend + 1 mm`");
    }
    w.figure_of(nth, Lean::Length, &part.name.at)
}

fn dubbed(w: &mut Worker<'_>, nth: usize, part: &Part, material: &Material, worked: &mut WorkedPart) -> Option<Reckoned> {
    let name = part.name.value.as_str();
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
    let beneath = span(w, nth, part, worked)?;
    let Some((start, end)) = worked.span else {
        w.fault(Diagnostic::error(format!("\"{name}\" begins and ends at one place"), part.name.at.clone()).right("`from:` and `to:` with two places"));
        return None;
    };
    worked.thick = Some((first, second));
    thinner(w, part, rule, (start, first), (end, second), &beneath)?;
    let volume = w.work(&format!("{name}.volume"), &BODY_VOLUME, &inputs(&[start, end, first, second], &beneath), &part.name.at)?;
    let density = own(
        w,
        name,
        "density",
        material.density.as_ref(),
        Unit::GPerCm3,
        (0.15, Standing::Assumed, "assumed, no source: the material does not say `density`; weigh what a few flies take, or say `gives`"),
    );
    let loss = loss(w, name, material);
    Some(Reckoned { formula: &BODY_MASS, inputs: vec![volume, density, loss], volume: Some(volume) })
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
        .right(format!("at least {across:.2} mm there ({:.2} gap), or less beneath it", across / w.value(w.hook.gap))),
    );
    None
}

fn slip(w: &mut Worker<'_>, nth: usize, part: &Part, material: &Material, worked: &mut WorkedPart) -> Option<Reckoned> {
    let name = part.name.value.as_str();
    let Some(rule) = &part.fields.width else {
        return w.missing(name, "how wide it is", WIDTH_RIGHT);
    };
    let width = match &rule.value {
        Length::One(terms) => w.sum(&format!("{name}.width"), terms, &rule.at)?,
        _ => {
            w.fault(Diagnostic::error("the width of a slip is one length", rule.at.clone()).right("such as `0.5 gap`"));
            return None;
        }
    };
    worked.width = Some(width);
    let count = match &part.fields.count {
        Some(told) => w.said(&format!("{name}.count"), told.value.to_f64(), Unit::One, &told.at),
        None => w.sheet.given(format!("{name}.count"), 1.0, Unit::One, Standing::Usual, "one slip, as the dressing does not say `count`"),
    };
    worked.count = Some(count);
    let fields = &part.fields;
    let brought_over = fields.to.is_some() || (fields.over.is_some() && fields.at.is_none() && fields.from.is_none());
    let length = if fields.length.is_none() && fields.reach.is_none() && brought_over {
        // A wing case or a back is as long as the way it is brought over.
        let length = w.figure_of(nth, Lean::Length, &part.name.at)?;
        span(w, nth, part, worked)?;
        length
    } else {
        let length = own_length(w, nth, part)?;
        worked.length = Some(length);
        length
    };
    let loss = loss(w, name, material);
    if let Some(told) = &material.usable {
        let usable = w.told(&format!("{name}.usable"), told, Unit::Mm, Standing::Stated);
        w.work(&format!("{name}.share-of-vane"), &SLIP_SHARE, &[count, width, loss, usable], &part.name.at)?;
    }
    Some(Reckoned { formula: &SLIPS, inputs: vec![count, width, length, loss], volume: None })
}

fn whole(w: &mut Worker<'_>, part: &Part, material: &Material, worked: &mut WorkedPart) -> Option<Reckoned> {
    let name = part.name.value.as_str();
    let count = match &part.fields.count {
        Some(told) => w.said(&format!("{name}.count"), told.value.to_f64(), Unit::One, &told.at),
        None => w.sheet.given(format!("{name}.count"), 1.0, Unit::One, Standing::Usual, "one, as the dressing does not say `count`"),
    };
    worked.count = Some(count);
    let across = format!("{name}.across");
    worked.width = match (w.sheet.find(&across), &material.width) {
        (Some(fig), _) => Some(fig),
        (None, Some(width)) => Some(w.told(&across, width, Unit::Mm, Standing::Stated)),
        (None, None) => None,
    };
    let loss = loss(w, name, material);
    Some(Reckoned { formula: &WHOLES, inputs: vec![count, loss], volume: None })
}

fn coat(w: &mut Worker<'_>, part: &Part, material: &Material) -> Option<Reckoned> {
    let name = part.name.value.as_str();
    let one = |w: &mut Worker<'_>, key: &str, told: Option<&Told<crate::measure::Fraction>>| match told {
        Some(told) => w.said(&format!("{name}.{key}"), told.value.to_f64(), Unit::One, &told.at),
        None => w.sheet.given(format!("{name}.{key}"), 1.0, Unit::One, Standing::Usual, "one, as the dressing does not say"),
    };
    let drops = one(w, "drops", part.fields.drops.as_ref().or(part.fields.count.as_ref()));
    let coats = one(w, "coats", part.fields.coats.as_ref());
    coating(w, name, material, drops, coats, &part.name.at)
}

/// So many drops in so many coats, in millilitres.
fn coating(w: &mut Worker<'_>, name: &str, material: &Material, drops: Fig, coats: Fig, at: &At) -> Option<Reckoned> {
    let loss = loss(w, name, material);
    let used = w.work(&format!("{name}.drops-used"), &DROPS, &[drops, coats, loss], at)?;
    let drop = own(
        w,
        name,
        "drop",
        material.drop.as_ref(),
        Unit::Ml,
        (0.05, Standing::Assumed, "assumed, common practice, no source: 20 drops a millilitre; the material does not say `drop`"),
    );
    Some(Reckoned { formula: &MILLILITRES, inputs: vec![used, drop], volume: None })
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
    let amount = coating(w, &name, material, drops, coats, &of.at)?.named(w, &name, &of.at)?;
    Some(Need { part: name, material: folded, size: None, way: Way::Coat, amount, share: None })
}

/// A stated amount wins over whatever is reckoned.
fn stated(w: &mut Worker<'_>, name: &str, told: &Told<crate::measure::Quantity>, way: Way) -> Option<Fig> {
    let unit = unit_of(way);
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

/// The unit a way's amount is told in.
pub(super) fn unit_of(way: Way) -> Unit {
    match way {
        Way::Wound | Way::Weight | Way::Rope => Unit::M,
        Way::Hackle | Way::Pair => Unit::Feather,
        Way::Bunch => Unit::Fibre,
        Way::Dubbed | Way::Spun => Unit::G,
        Way::Slip | Way::Strip | Way::Sheet => Unit::Mm2,
        Way::Whole => Unit::One,
        Way::Coat => Unit::Ml,
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
    let formula = match unit {
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
