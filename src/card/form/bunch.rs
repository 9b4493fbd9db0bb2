//! Forms of bunches: where tails, wings, posts, throats and legs stand and how their fibres run.

use super::{Course, Form, P3, Works, unit};
use crate::card::WorkedPart;
use crate::card::hook_line::drawn;

/// Where a bunch or slip stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stance {
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
    pub(super) fn stance(&self, part: &WorkedPart) -> Stance {
        let shape = part.shape;
        let name = part.name.to_lowercase();
        let named = |words: &[&str]| words.iter().any(|word| name.contains(word));
        let s = self.tied_in(part);
        if self.is_post(part) {
            Stance::Upright
        } else if shape.beneath {
            Stance::Beneath
        } else if shape.spent {
            Stance::Spent
        } else if shape.over_the_back {
            Stance::OverTheBack
        } else if shape.flat {
            Stance::Flat
        } else if shape.divided && !(self.at_the_rear(s) && !shape.upright && !named(&["wing", "post"])) {
            Stance::Divided
        } else if shape.upright {
            Stance::Upright
        } else if named(&["tail", "tag", "butt"]) {
            Stance::Back
        } else if named(&["throat", "beard", "legs"]) {
            Stance::Beneath
        } else if named(&["post"]) || (named(&["wing"]) && self.card.kind.to_lowercase().contains("dry")) {
            Stance::Upright
        } else if self.at_the_rear(s) {
            Stance::Back
        } else {
            Stance::OverTheBack
        }
    }

    /// The length of a bunch or of something flat; where none is known, a usual one (common practice): half the shank for
    /// what hangs beneath, else the shank.
    pub(super) fn length(&self, part: &WorkedPart) -> f64 {
        let usual = if self.stance(part) == Stance::Beneath { 0.5 * self.hook.shank } else { self.hook.shank };
        self.mm(part.length).or(self.mm(part.fibre)).filter(|length| *length > 0.0).unwrap_or(usual)
    }

    /// The direction toward the rear along the whole hook, as seen from a place on the wire: a part told by the place it
    /// reaches is as long as its reach is straight, so its tip lies level with its tie.
    pub(super) fn back(&self, part: &WorkedPart) -> P3 {
        let s = self.tied_in(part);
        let reaches = self.card.sheet.find(&format!("{}.tip", part.name)).is_some();
        let (_, [along, up]) = self.line.at(s);
        if reaches { [along, -up, 0.0] } else { [1.0, 0.0, 0.0] }
    }

    pub(super) fn bunch(&self, part: &WorkedPart) -> Vec<Form> {
        if part.shape.cut || part.shape.burnt {
            return self.flat(part);
        }
        let length = self.length(part);
        let s = self.tied_in(part);
        let stance = self.stance(part);
        let bundle = part.thick.map_or(0.0, |(across, _)| drawn(&self.card.sheet, across)).min(10.0);
        let fibre = self.mm(part.width).filter(|width| *width > 0.0).unwrap_or(0.06).min(0.5);
        let counted = self.mm(part.count).filter(|count| *count >= 1.0).map(|count| count.round().min(48.0) as u32);
        let lift = self.hook.across / 2.0;
        let course = match part.shape {
            shape if shape.knotted => Course::Knee,
            shape if shape.looped => Course::Loop,
            _ => Course::Straight,
        };
        let trim = self.trim(part);
        let fan = |toward: P3, spread: f64, count: u32, lift: f64| {
            let even = stance == Stance::Back;
            let fibre = if course == Course::Straight { fibre } else { fibre.max(0.12) };
            Form::Fan { s, lift, toward: unit(toward), length, spread, count: count.max(1), bundle, fibre, even, course, trim }
        };
        let hair = counted.unwrap_or(18);
        let half = hair.div_ceil(2);
        if course == Course::Knee {
            // Legs on both sides, the knot halfway down: one a side is a hopper's and points back, more are spread from
            // the rear to the front (by eye).
            let each = counted.unwrap_or(6).div_ceil(2).min(6);
            let along = |nth: u32| 0.75 - if each > 1 { 1.3 * f64::from(nth) / f64::from(each - 1) } else { 0.0 };
            let legs = |side: f64, up: f64| (0..each).map(move |nth| ([along(nth), up, side], 0.0, 1, 0.0));
            return legs(-0.45, 0.1).chain(legs(0.45, 0.02)).map(|(toward, spread, count, lift)| fan(toward, spread, count, lift)).collect();
        }
        // A tail that is split without saying how far: half a right angle, as in a thorax dun (from memory).
        let parted = (part.shape.divided && stance == Stance::Back).then_some(45);
        if let Some(degrees) = part.shape.split_degrees.or(parted) {
            return self.split(stance, f64::from(degrees.min(180)).to_radians(), counted.unwrap_or(if stance == Stance::Back { 6 } else { 18 }), &fan, lift);
        }
        match stance {
            Stance::Back => vec![fan(self.back(part), 0.14, counted.unwrap_or(8), lift)],
            Stance::Upright if self.is_post(part) => vec![fan([0.0, 1.0, 0.0], 0.09, hair, self.across_over(s) / 2.0)],
            Stance::Upright => vec![fan([0.06, 1.0, 0.0], 0.22, hair, lift)],
            // The far wing first: it lies behind the near one.
            Stance::Divided => vec![fan([-0.16, 1.0, -0.38], 0.13, half, lift), fan([0.22, 1.0, 0.38], 0.13, half, lift)],
            Stance::OverTheBack => vec![fan([1.0, 0.34, 0.0], 0.12, hair, lift)],
            Stance::Flat => vec![fan([1.0, 0.1, 0.0], 0.06, hair, lift)],
            Stance::Spent => vec![fan([0.1, 0.05, -1.0], 0.22, half, 0.0), fan([0.1, 0.05, 1.0], 0.22, half, 0.0)],
            // What is long is no throat but a wing tied in below, as where the point rides up: it lies nearer the hook.
            Stance::Beneath if length > 0.7 * self.hook.shank => vec![fan([1.0, -0.3, 0.0], 0.1, hair, -lift)],
            Stance::Beneath => vec![fan([1.0, -0.75, 0.0], 0.16, counted.unwrap_or(10), -lift)],
        }
    }

    /// Whether a place lies in the rear half of the hook.
    fn at_the_rear(&self, s: f64) -> bool {
        s >= self.hook.shank / 2.0
    }

    /// Whether another part goes round this one as its post.
    fn is_post(&self, part: &WorkedPart) -> bool {
        let named = |base: &crate::dressing::Base| matches!(base, crate::dressing::Base::Post(name) if name.to_lowercase() == part.name.to_lowercase());
        self.card.parts.iter().any(|other| named(&other.on))
    }

    /// Two halves with this angle (radians) between them: tails to the left and right of the hook, wings above it.
    fn split(&self, stance: Stance, angle: f64, count: u32, fan: &dyn Fn(P3, f64, u32, f64) -> Form, lift: f64) -> Vec<Form> {
        let (sin, cos) = (angle / 2.0).sin_cos();
        let toward = |side: f64| match stance {
            Stance::Back | Stance::Flat | Stance::OverTheBack => [cos, 0.0, side * sin],
            Stance::Beneath => [0.5, -cos, side * sin],
            _ => [0.0, cos, side * sin],
        };
        let each = count.div_ceil(2);
        let spread = if stance == Stance::Back { 0.03 } else { 0.13 };
        vec![fan(toward(-1.0), spread, each, lift), fan(toward(1.0), spread, each, lift)]
    }
}
