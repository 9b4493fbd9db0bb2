//! Several materials in one part, and which of its forms are of which: together, one after the other, married edge to edge,
//! one on each side.

use super::leaf::band;
use super::{Form, Made, Works};
use crate::card::hook_line::{Backbone, P2, drawn};
use crate::card::{WorkedPart, WorkedPiece};
use crate::dressing::{Laid, Way};

/// The forms of a part shared out among its materials.
pub(super) fn lay(works: &Works<'_>, part: &WorkedPart, forms: Vec<(Form, Option<Backbone>)>) -> Vec<Made> {
    let pieces = part.pieces.len();
    if pieces < 2 {
        return forms.into_iter().map(|(form, line)| Made { form, line, piece: 0 }).collect();
    }
    // Of two alike, the far one is made first.
    let twins = forms.len();
    let share = |(nth, (form, line)): (usize, (Form, Option<Backbone>))| -> Vec<Made> {
        let shared = match part.laid {
            Laid::Married => married(works, part, &form),
            Laid::OneAfterTheOther => in_turn(works, part, &form),
            Laid::Together => together(works, part, &form),
            Laid::OneEachSide if twins > 1 => vec![(nth % pieces, form)],
            Laid::OneEachSide => vec![(0, form)],
        };
        shared.into_iter().map(|(piece, form)| Made { form, line: line.clone(), piece }).collect()
    };
    forms.into_iter().enumerate().flat_map(share).collect()
}

/// How much of the whole each material has by what it says of itself, with running ends from 0 to 1.
fn shares(works: &Works<'_>, part: &WorkedPart, of: impl Fn(&WorkedPiece) -> Option<crate::why::Fig>) -> Vec<[f64; 2]> {
    let told: Vec<Option<f64>> = part.pieces.iter().map(|piece| works.mm(of(piece)).filter(|value| *value > 0.0)).collect();
    let all_told = told.iter().all(Option::is_some);
    let values: Vec<f64> = told.into_iter().map(|value| value.filter(|_| all_told).unwrap_or(1.0)).collect();
    let total: f64 = values.iter().sum();
    let mut end = 0.0;
    values
        .into_iter()
        .map(|value| {
            let from = end;
            end += value / total;
            [from, end]
        })
        .collect()
}

/// Bands of a leaf, the first material at its lower edge: the edge that lies nearer the hook.
fn married(works: &Works<'_>, part: &WorkedPart, form: &Form) -> Vec<(usize, Form)> {
    let Form::Leaf { s, lift, outline, tip, stem } = form else { return together(works, part, form) };
    let bands = shares(works, part, |piece| piece.width);
    let cut = |(nth, [from, to]): (usize, &[f64; 2])| {
        let outline = band(outline, 1.0 - to, 1.0 - from);
        (nth, Form::Leaf { s: *s, lift: *lift, outline, tip: *tip, stem: stem.clone() })
    };
    bands.iter().enumerate().map(cut).collect()
}

/// Stretches along the hook, or turns, in the order the materials go on.
fn in_turn(works: &Works<'_>, part: &WorkedPart, form: &Form) -> Vec<(usize, Form)> {
    let mm = |fig| drawn(&works.card.sheet, fig);
    let by_turns = shares(works, part, |piece| piece.turns);
    let [from, to] = works.way_of(part);
    // Where each material begins and ends: where it says so, else by its turns.
    let place = |nth: usize| {
        let own = part.pieces.get(nth).and_then(|piece| piece.span).map(|(a, b)| [mm(a), mm(b)]);
        let [a, b] = by_turns.get(nth).copied().unwrap_or([0.0, 1.0]);
        own.unwrap_or([from + (to - from) * a, from + (to - from) * b])
    };
    let ends = (0..part.pieces.len()).map(|nth| (nth, place(nth)));
    match form {
        Form::Round { profile, furred, floor } if (to - from).abs() > 1e-9 => {
            ends.map(|(nth, [a, b])| (nth, Form::Round { profile: between(profile, a.min(b), a.max(b)), furred: *furred, floor: *floor })).collect()
        }
        Form::Coil { span, turns, across, over, other_way, touching } if (to - from).abs() > 1e-9 => {
            // One of several never has more turns than all of them, whatever its ends say.
            let part_of = |[a, b]: [f64; 2]| turns * ((b - a) / (to - from)).abs().min(1.0);
            ends.filter(|(_, [a, b])| (a - b).abs() > 1e-9)
                .map(|(nth, [a, b])| {
                    let span = if span[0] == from && span[1] == to { [a, b] } else { *span };
                    (nth, Form::Coil { span, turns: part_of([a, b]), across: *across, over: over.clone(), other_way: *other_way, touching: *touching })
                })
                .collect()
        }
        Form::Ring { span, turns, fibre, over, lean, each, trim } => {
            let at = |share: f64| span[0] + (span[1] - span[0]) * share;
            let one = |(nth, [a, b]): (usize, &[f64; 2])| {
                let ring = Form::Ring {
                    span: [at(*a), at(*b)],
                    turns: (turns * (b - a)).max(0.5),
                    fibre: *fibre,
                    over: over.clone(),
                    lean: [lean[0] + (lean[1] - lean[0]) * a, lean[0] + (lean[1] - lean[0]) * b],
                    each: *each,
                    trim: *trim,
                };
                (nth, ring)
            };
            by_turns.iter().enumerate().map(one).collect()
        }
        _ => together(works, part, form),
    }
}

/// Fibres of all materials mixed; of what is not of fibres, the first shows.
fn together(works: &Works<'_>, part: &WorkedPart, form: &Form) -> Vec<(usize, Form)> {
    let parts = shares(works, part, |piece| piece.count);
    match form {
        Form::Fan { s, lift, toward, length, spread, count, bundle, fibre, even, course, trim } => {
            let one = |(nth, [from, to]): (usize, &[f64; 2])| {
                let count = (f64::from(*count) * (to - from)).round().max(1.0) as u32;
                // The second lies a little within the first, so that both are seen.
                let spread = spread * (1.0 - 0.3 * nth as f64 / parts.len() as f64);
                let fan = Form::Fan {
                    s: *s,
                    lift: *lift,
                    toward: *toward,
                    length: *length,
                    spread,
                    count,
                    bundle: *bundle,
                    fibre: *fibre,
                    even: *even,
                    course: *course,
                    trim: *trim,
                };
                (nth, fan)
            };
            parts.iter().enumerate().map(one).collect()
        }
        Form::Ring { span, turns, fibre, over, lean, each, trim } if part.way == Way::Hackle => {
            let share = (turns / parts.len() as f64).max(0.5);
            let pitch = (span[1] - span[0]) / turns.max(1.0) / parts.len() as f64;
            let ring = |nth: usize| {
                let off = pitch * nth as f64;
                let span = [span[0] + off, span[1] - pitch * (parts.len() - 1 - nth) as f64];
                (nth, Form::Ring { span, turns: share, fibre: *fibre, over: over.clone(), lean: *lean, each: *each, trim: *trim })
            };
            (0..parts.len()).map(ring).collect()
        }
        // Strands wound together show as bands in turn.
        Form::Coil { span, turns, across, over, other_way, touching: false } => {
            let pitch = (span[1] - span[0]) / turns.max(1.0);
            let strand = |nth: usize| {
                let off = (pitch.signum() * across * nth as f64).clamp(-pitch.abs(), pitch.abs());
                let span = [span[0] + off, span[1] + off];
                (nth, Form::Coil { span, turns: *turns, across: *across, over: over.clone(), other_way: *other_way, touching: false })
            };
            (0..parts.len()).map(strand).collect()
        }
        other => vec![(0, other.clone())],
    }
}

/// A profile between two places.
fn between(profile: &[P2], low: f64, high: f64) -> Vec<P2> {
    let at = |s: f64| super::across_at(profile, s).map(|across| [s, across]);
    let mut cut: Vec<P2> = at(low).into_iter().collect();
    cut.extend(profile.iter().filter(|[s, _]| *s > low && *s < high));
    cut.extend(at(high));
    cut
}
