//! Forms of bunches and slips: where tails, wings, throats and cases stand and how they are rounded.

use super::WorkedPart;
use super::form::{Form, P3, Works};
use super::hook_line::{P2, drawn};
use crate::dressing::Way;

/// Where a bunch or slip stands.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stance {
    /// Straight back from the tie-in.
    Back,
    Upright,
    Divided,
    OverTheBack,
    Flat,
    Spent,
    Beneath,
}

impl Works<'_> {
    /// How the part was said to stand; else by its name and place, as the words of the trade go: a throat hangs
    /// beneath, a wing stands in a dry fly and lies over the back in others, and what is tied in at the rear is a tail.
    fn stance(&self, part: &WorkedPart) -> Stance {
        let shape = part.shape;
        let name = part.name.to_lowercase();
        let named = |words: &[&str]| words.iter().any(|word| name.contains(word));
        let s = self.tied_in(part);
        if shape.beneath {
            Stance::Beneath
        } else if shape.spent {
            Stance::Spent
        } else if shape.over_the_back {
            Stance::OverTheBack
        } else if shape.flat {
            Stance::Flat
        } else if shape.divided {
            Stance::Divided
        } else if shape.upright {
            Stance::Upright
        } else if named(&["tail", "tag", "butt"]) {
            Stance::Back
        } else if named(&["throat", "beard", "legs"]) {
            Stance::Beneath
        } else if named(&["post"]) || (named(&["wing"]) && self.card.kind.to_lowercase().contains("dry")) {
            Stance::Upright
        } else if s < self.hook.shank / 2.0 {
            Stance::OverTheBack
        } else {
            Stance::Back
        }
    }

    pub(super) fn bunch(&self, part: &WorkedPart) -> Vec<Form> {
        let Some(length) = self.mm(part.length).or(self.mm(part.fibre)).filter(|length| *length > 0.0) else { return Vec::new() };
        let s = self.tied_in(part);
        let stance = self.stance(part);
        let bundle = part.thick.map_or(0.0, |(across, _)| drawn(&self.card.sheet, across)).min(10.0);
        let fibre = self.mm(part.width).filter(|width| *width > 0.0).unwrap_or(0.06).min(0.5);
        let counted = self.mm(part.count).filter(|count| *count >= 1.0).map(|count| count.round().min(48.0) as u32);
        let lift = self.hook.wire / 2.0;
        let fan = |toward: P3, spread: f64, count: u32, lift: f64| {
            let even = stance == Stance::Back;
            Form::Fan { s, lift, toward: unit(toward), length, spread, count: count.max(1), bundle, fibre, even }
        };
        let hair = counted.unwrap_or(18);
        match stance {
            Stance::Back => vec![fan([1.0, 0.0, 0.0], 0.14, counted.unwrap_or(8), lift)],
            Stance::Upright => vec![fan([0.06, 1.0, 0.0], 0.22, hair, lift)],
            // The far wing first: it lies behind the near one.
            Stance::Divided => vec![fan([-0.16, 1.0, -0.38], 0.13, hair.div_ceil(2), lift), fan([0.22, 1.0, 0.38], 0.13, hair.div_ceil(2), lift)],
            Stance::OverTheBack => vec![fan([1.0, 0.34, 0.0], 0.12, hair, lift)],
            Stance::Flat => vec![fan([1.0, 0.1, 0.0], 0.06, hair, lift)],
            Stance::Spent => vec![fan([0.1, 0.05, -1.0], 0.22, hair.div_ceil(2), 0.0), fan([0.1, 0.05, 1.0], 0.22, hair.div_ceil(2), 0.0)],
            Stance::Beneath => vec![fan([1.0, -0.75, 0.0], 0.16, counted.unwrap_or(10), -lift)],
        }
    }

    pub(super) fn slip(&self, part: &WorkedPart) -> Vec<Form> {
        if self.is_case(part) {
            return self.case(part);
        }
        let Some(length) = self.mm(part.length).or(self.mm(part.fibre)).filter(|length| *length > 0.0) else { return Vec::new() };
        let s = self.tied_in(part);
        let width = self.mm(part.width).filter(|width| *width > 0.0).unwrap_or(length / 5.0);
        let lift = self.hook.wire / 2.0;
        let leaf = |toward: P3, aside: f64, lift: f64| {
            let toward = unit(toward);
            let tip = toward.map(|along| along * length);
            Form::Leaf { s, lift, outline: slip_outline(toward, length, width, aside), tip }
        };
        let two = part.way == Way::Pair || self.mm(part.count).is_some_and(|count| count >= 2.0);
        let both = |far: P3, near: P3, lift: f64| if two { vec![leaf(far, -0.3, lift), leaf(near, 0.3, lift)] } else { vec![leaf(near, 0.0, lift)] };
        match self.stance(part) {
            Stance::Back => both([1.0, 0.1, -0.08], [1.0, 0.0, 0.0], lift),
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
        let radius = |s: f64| rounds.iter().filter_map(|profile| across_at(profile, s)).fold(self.hook.wire, f64::max) / 2.0;
        let thick = self.mm(part.strand_thick).filter(|thick| *thick > 0.0).unwrap_or(0.25).min(2.0);
        let ([x, y], _) = self.line.at(low);
        let strides = 12;
        let place = |i: usize| low + (high - low) * i as f64 / strides as f64;
        let at = |s: f64, off: f64| {
            let [px, py] = self.line.beside(s, off);
            [px - x, py - y, 0.0]
        };
        // It is drawn a third of the way down the side, as a strip as broad as the thorax lies.
        let mut outline: Vec<P3> = (0..=strides).map(|i| at(place(i), radius(place(i)) + thick)).collect();
        outline.extend((0..=strides).rev().map(|i| at(place(i), radius(place(i)) * 0.45)));
        let tip = at(high, radius(high) + thick);
        vec![Form::Leaf { s: low, lift: 0.0, outline, tip }]
    }

    fn round_of(&self, part: &WorkedPart) -> Vec<Vec<P2>> {
        if part.span.is_none() || !matches!(part.way, Way::Wound | Way::Weight | Way::Rope | Way::Dubbed | Way::Spun) {
            return Vec::new();
        }
        let round = |form| match form {
            Form::Round { profile, .. } => Some(profile),
            _ => None,
        };
        self.part(part).into_iter().filter_map(round).collect()
    }
}

/// Diameter of a profile at a place; `None` outside it.
pub(super) fn across_at(profile: &[P2], s: f64) -> Option<f64> {
    profile.iter().zip(profile.iter().skip(1)).find(|(a, b)| a[0] <= s && s <= b[0]).map(|(a, b)| {
        let part = if b[0] > a[0] { (s - a[0]) / (b[0] - a[0]) } else { 0.0 };
        a[1] + (b[1] - a[1]) * part
    })
}

/// The same direction with length 1.
pub(super) fn unit(toward: P3) -> P3 {
    let size = toward.iter().map(|along| along * along).sum::<f64>().sqrt();
    if size > 0.0 { toward.map(|along| along / size) } else { [1.0, 0.0, 0.0] }
}

/// A slip of quill: narrow where it is tied in, full width in its middle, rounded to its tip. It reaches exactly
/// `length` along `toward`, and is exactly `width` broad.
fn slip_outline(toward: P3, length: f64, width: f64, aside: f64) -> Vec<P3> {
    // Shares of length and of half the width, and how far the middle line is bowed, chosen by eye.
    const SIDE: [[f64; 3]; 9] = [
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
    // Square to `toward` in the plane of the hook; a slip that lies out to the side is broad along the hook.
    let square = if toward[2].abs() > 0.9 { [1.0, 0.0, 0.0] } else { unit([-toward[1], toward[0], 0.0]) };
    let point = |share: f64, half: f64, bow: f64, side: f64| {
        let across = (side * half + bow) * width / 2.0;
        [0, 1, 2].map(|axis| {
            let out = if axis == 2 { aside * width * share.min(0.5) } else { 0.0 };
            toward.get(axis).unwrap_or(&0.0) * length * share + square.get(axis).unwrap_or(&0.0) * across + out
        })
    };
    let upper = SIDE.iter().map(|[share, half, bow]| point(*share, *half, *bow, 1.0));
    let lower = SIDE.iter().rev().skip(1).map(|[share, half, bow]| point(*share, *half, *bow, -1.0));
    upper.chain(lower).collect()
}
