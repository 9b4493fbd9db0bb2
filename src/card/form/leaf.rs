//! Forms of what is flat: slips of quill, pairs of feathers, cut wings, strips, and cases brought over the back.

use super::bunch::Stance;
use super::{Form, P3, Works, across_at, unit};
use crate::card::WorkedPart;
use crate::card::hook_line::P2;
use crate::dressing::Way;

impl Works<'_> {
    pub(super) fn flat(&self, part: &WorkedPart) -> Vec<Form> {
        if self.is_case(part) {
            return self.case(part);
        }
        let length = self.length(part);
        let s = self.tied_in(part);
        // A strip or sheet that is cut to shape is no wing unless it is called one.
        let plain = matches!(part.way, Way::Strip | Way::Sheet) && !part.name.to_lowercase().contains("wing");
        let shaped = (part.shape.cut || part.shape.burnt) && !plain;
        let feather = matches!(part.way, Way::Pair | Way::Whole) && !shaped;
        let (rounding, usual) = match part.way {
            _ if shaped => (WING, 0.45),
            Way::Pair | Way::Whole => (FEATHER, 0.28),
            Way::Strip | Way::Sheet => (STRIP, 0.15),
            _ => (SLIP, 0.2),
        };
        // The width of a bunch is that of its fibres.
        let told = self.mm(part.width).filter(|width| *width > 0.0 && part.way != Way::Bunch);
        let width = told.unwrap_or(length * usual);
        let lift = self.hook.across / 2.0;
        let leaf = |toward: P3, aside: f64, lift: f64| {
            let toward = unit(toward);
            let tip = toward.map(|along| along * length);
            let stem = if feather { vec![[0.0; 3], tip.map(|along| along * 0.92)] } else { Vec::new() };
            Form::Leaf { s, lift, outline: outline(rounding, toward, length, width, aside), tip, stem }
        };
        let two = part.way == Way::Pair || shaped || self.mm(part.count).is_some_and(|count| count >= 2.0);
        let both = |far: P3, near: P3, lift: f64| if two { vec![leaf(far, -0.3, lift), leaf(near, 0.3, lift)] } else { vec![leaf(near, 0.0, lift)] };
        if let (Some(degrees), true) = (part.shape.split_degrees, two) {
            let (sin, cos) = (f64::from(degrees.min(180)).to_radians() / 2.0).sin_cos();
            return match self.stance(part) {
                Stance::Upright | Stance::Divided => both([0.0, cos, -sin], [0.1, cos, sin], lift),
                _ => both([cos, 0.0, -sin], [cos, 0.0, sin], lift),
            };
        }
        let back = self.back(part);
        match self.stance(part) {
            Stance::Back => both([back[0], back[1] + 0.1, -0.08], back, lift),
            Stance::Upright => both([0.1, 1.0, -0.1], [0.2, 1.0, 0.0], lift),
            Stance::Divided => both([0.0, 1.0, -0.38], [0.3, 1.0, 0.38], lift),
            Stance::OverTheBack => both([1.0, 0.42, -0.05], [1.0, 0.36, 0.0], lift),
            Stance::Flat => both([1.0, 0.12, -0.1], [1.0, 0.08, 0.0], lift),
            Stance::Spent => vec![leaf([0.1, 0.05, -1.0], 0.0, 0.0), leaf([0.1, 0.05, 1.0], 0.0, 0.0)],
            Stance::Beneath => both([1.0, -0.8, -0.1], [1.0, -0.75, 0.0], -lift),
        }
    }

    /// A strip brought over the back from one place to another: a wing case, a shell back. It lies on all that is
    /// wound there.
    fn case(&self, part: &WorkedPart) -> Vec<Form> {
        let [low, high] = self.span(part);
        let rounds: Vec<Vec<P2>> = self.card.parts.iter().flat_map(|other| self.round_of(other)).collect();
        let radius = |s: f64| rounds.iter().filter_map(|profile| across_at(profile, s)).fold(self.hook.across, f64::max) / 2.0;
        let thick = self.mm(part.strand_thick).filter(|thick| *thick > 0.0).unwrap_or(0.25).min(2.0);
        let ([x, y], [along, up]) = self.line.at(low);
        let strides = 24_usize;
        let place = |i: usize| low + (high - low) * i as f64 / strides as f64;
        let at = |s: f64, off: f64| {
            let [px, py] = self.line.beside(s, off);
            // As seen from the place it begins at.
            let (right, above) = (px - x, py - y);
            [right * along + above * up, above * along - right * up, 0.0]
        };
        // It is drawn a third of the way down the side, as a strip as broad as the thorax lies, and rounds down to both
        // of its ties.
        let rise = |i: usize| (6.0 * i.min(strides - i) as f64 / strides as f64).min(1.0).sqrt();
        let upper = |i: usize| radius(place(i)) * 0.45 + (radius(place(i)) * 0.55 + thick) * rise(i).max(0.35);
        let mut outline: Vec<P3> = (0..=strides).map(|i| at(place(i), upper(i))).collect();
        outline.extend((0..=strides).rev().map(|i| at(place(i), radius(place(i)) * 0.45)));
        let tip = at(high, radius(high) + thick);
        vec![Form::Leaf { s: low, lift: 0.0, outline, tip, stem: Vec::new() }]
    }

    pub(super) fn round_of(&self, part: &WorkedPart) -> Vec<Vec<P2>> {
        // Not by way of the part's own forms: how those are clipped hangs on what is round about them.
        match part.way {
            _ if part.span.is_none() => Vec::new(),
            Way::Dubbed | Way::Spun => vec![self.dubbed_outside(part)],
            Way::Wound | Way::Weight | Way::Rope => self
                .wound(part)
                .into_iter()
                .filter_map(|form| match form {
                    Form::Round { profile, .. } => Some(profile),
                    _ => None,
                })
                .collect(),
            _ => Vec::new(),
        }
    }
}

/// How something flat is rounded: shares of its length and of half its width, and how far its middle line is bowed; chosen
/// by eye. The first stands at the tie, the last at the tip.
type Rounding = [[f64; 3]];

/// A slip of quill: narrow where it is tied in, full width in its middle, rounded to its tip.
const SLIP: &Rounding = &[
    [0.0, 0.4, 0.0],
    [0.12, 0.72, 0.03],
    [0.28, 0.95, 0.08],
    [0.45, 1.0, 0.1],
    [0.65, 0.98, 0.08],
    [0.8, 0.85, 0.03],
    [0.91, 0.6, -0.04],
    [0.97, 0.34, -0.1],
    [1.0, 0.0, -0.14],
];

/// A feather: widest before its middle, drawn out to a soft tip.
const FEATHER: &Rounding = &[
    [0.0, 0.12, 0.0],
    [0.1, 0.6, 0.0],
    [0.22, 0.9, 0.0],
    [0.38, 1.0, 0.0],
    [0.58, 0.95, 0.0],
    [0.76, 0.75, 0.0],
    [0.9, 0.45, 0.0],
    [0.97, 0.2, 0.0],
    [1.0, 0.0, 0.0],
];

/// A wing cut or burnt to the outline of a fly's: narrow at its root, broad and round toward its tip, its front edge the
/// straighter.
const WING: &Rounding = &[
    [0.0, 0.14, 0.1],
    [0.15, 0.34, 0.06],
    [0.35, 0.68, -0.02],
    [0.55, 0.92, -0.06],
    [0.72, 1.0, -0.06],
    [0.86, 0.86, -0.02],
    [0.95, 0.55, 0.05],
    [0.99, 0.22, 0.1],
    [1.0, 0.0, 0.12],
];

/// A strip: as broad at its end as where it is tied in.
const STRIP: &Rounding = &[[0.0, 1.0, 0.0], [0.5, 1.0, 0.0], [0.97, 1.0, 0.0], [1.0, 0.9, 0.0]];

/// An outline that reaches exactly `length` along `toward`, and is exactly `width` broad.
fn outline(rounding: &Rounding, toward: P3, length: f64, width: f64, aside: f64) -> Vec<P3> {
    // Square to `toward` in the plane of the hook; what lies out to the side is broad along the hook.
    let square = if toward[2].abs() > 0.9 { [1.0, 0.0, 0.0] } else { unit([-toward[1], toward[0], 0.0]) };
    let point = |share: f64, half: f64, bow: f64, side: f64| {
        let across = (side * half + bow) * width / 2.0;
        [0, 1, 2].map(|axis| {
            let out = if axis == 2 { aside * width * share.min(0.5) } else { 0.0 };
            toward.get(axis).unwrap_or(&0.0) * length * share + square.get(axis).unwrap_or(&0.0) * across + out
        })
    };
    let upper = rounding.iter().map(|[share, half, bow]| point(*share, *half, *bow, 1.0));
    let lower = rounding.iter().rev().map(|[share, half, bow]| point(*share, *half, *bow, -1.0));
    upper.chain(lower).collect()
}

/// A band of an outline made by [`outline`], from one share of its width to another (0 at the first edge, 1 at the other).
pub(super) fn band(outline: &[P3], from: f64, to: f64) -> Vec<P3> {
    let pairs = || outline.iter().zip(outline.iter().rev()).take(outline.len() / 2);
    let between = |(a, b): (&P3, &P3), share: f64| [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share, a[2] + (b[2] - a[2]) * share];
    let upper = pairs().map(|pair| between(pair, from));
    let lower: Vec<P3> = pairs().map(|pair| between(pair, to)).collect();
    upper.chain(lower.into_iter().rev()).collect()
}
