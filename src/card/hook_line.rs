//! The hook's own line. Places on a fly are mm along the wire, so everything drawn on it stands on this line:
//! a curved, jig, tube or needle shape is another [`Backbone`], and nothing else changes.
//!
//! Coordinates are mm: `x` from the rear of the eye toward the bend, `y` away from the point. Which way the
//! fly faces is the painter's business.

use super::Card;
use crate::dressing::EyeTurn;
use crate::why::{Fig, Geometry};
use std::f64::consts::{FRAC_PI_2, PI};

/// A point in the plane of the hook, mm.
pub type P2 = [f64; 2];

/// How far a flattened curve may lie from the true one, mm: finer than a print or a screen shows.
pub const FLAT: f64 = 0.02;

/// No drawing is larger than this, mm; a figure beyond it is a slip that must not exhaust the painter.
const LARGEST: f64 = 1000.0;

/// A figure of the sheet as the drawing can use it: mm, finite, not below nought.
pub(crate) fn drawn(sheet: &Geometry, fig: Fig) -> f64 {
    let value = sheet.value(fig);
    if value.is_finite() { value.clamp(0.0, LARGEST) } else { 0.0 }
}

/// The measures of a straight hook, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// From the point square to the shank, clear.
    pub gap: f64,
    /// Rear of the eye to the start of the bend.
    pub shank: f64,
    /// Diameter of the wire.
    pub wire: f64,
    /// Front of the eye to the outside of the bend.
    pub overall: f64,
    /// Outside length of the eye along the hook.
    pub eye: f64,
    /// The barb, from the rear of the eye.
    pub barb: f64,
    /// The point, from the rear of the eye.
    pub point: f64,
    /// Which way the eye is turned.
    pub turn: EyeTurn,
}

/// The outline of a hook: one edge round the wire and the outside of the eye, and the hole of the eye.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Closed edge, mm.
    pub edge: Vec<P2>,
    /// The hole; empty where the eye is too small for one.
    pub hole: Vec<P2>,
}

impl Measures {
    /// The measures on a card.
    pub fn of(card: &Card) -> Self {
        let mm = |fig| drawn(&card.sheet, fig);
        Measures {
            gap: mm(card.hook.gap),
            shank: mm(card.hook.shank),
            wire: mm(card.hook.wire).max(1e-3),
            overall: mm(card.hook.overall),
            eye: mm(card.hook.eye),
            barb: mm(card.hook.barb),
            point: mm(card.hook.point),
            turn: card.hook.turn,
        }
    }

    /// The bend's semi-axis along the hook, mm: it brings the outside of the wire to the overall length. Measures
    /// that leave no room for a bend get a very short one.
    fn along(&self) -> f64 {
        (self.overall - self.eye - self.shank - self.wire / 2.0).max(self.wire / 4.0)
    }

    /// The bend's semi-axis square to the hook, mm.
    fn across(&self) -> f64 {
        (self.gap + self.wire) / 2.0
    }

    /// The point never lies behind the start of the bend, or there would be no lower limb.
    fn tip(&self) -> f64 {
        self.point.min(self.shank)
    }

    /// Angles of the flattened bend from the shank round to the lower limb; an even number of strides, so that
    /// the rearmost of the bend is one of the points.
    fn angles(&self) -> Vec<f64> {
        let widest = self.along().max(self.across()) + self.wire / 2.0;
        let strides = strides(widest, PI);
        (0..=strides).map(|i| FRAC_PI_2 - PI * i as f64 / strides as f64).collect()
    }

    /// A point of the bend `off` mm outside the wire's centre line (inside where negative).
    fn bend(&self, angle: f64, off: f64) -> P2 {
        let (a, b) = (self.along(), self.across());
        // The rearmost point exactly, not to a rounding of cos and sin.
        let (sin, cos) = if angle.abs() < 1e-12 { (0.0, 1.0) } else { angle.sin_cos() };
        let normal = [cos / a, sin / b];
        let size = normal[0].hypot(normal[1]);
        [self.shank + a * cos + off * normal[0] / size, -b + b * sin + off * normal[1] / size]
    }

    /// The centre line of the wire from the rear of the eye, along the shank, round the bend, to the point.
    pub fn backbone(&self) -> Backbone {
        let mut line = vec![[0.0, 0.0]];
        line.extend(self.angles().into_iter().map(|angle| self.bend(angle, 0.0)));
        line.push([self.tip(), -2.0 * self.across()]);
        Backbone { line }
    }

    /// The outside radius of the eye and the middle of its ring; `None` for an eye hardly thicker than the wire.
    fn ring(&self) -> Option<(f64, P2)> {
        let radius = self.eye / 2.0;
        let room = 0.95 * radius - self.wire / 2.0;
        if room <= 0.0 {
            return None;
        }
        // A turned eye is let down (or up) as far as the shank still runs into its ring.
        let lift = match self.turn {
            EyeTurn::Straight => 0.0,
            EyeTurn::Down => -room.min(0.3 * self.eye),
            EyeTurn::Up => room.min(0.3 * self.eye),
        };
        Some((radius, [-radius, lift]))
    }

    /// The wire of the eye is drawn a quarter finer than the shank's, as of a tapered eye (common practice, no
    /// source): an eye of 2.5 wires would else close to a speck.
    fn ring_wire(&self) -> f64 {
        0.75 * self.wire
    }

    /// The middle line of the eye's ring as a closed line, and the width of its wire, mm.
    pub fn eye_ring(&self) -> Option<(Vec<P2>, f64)> {
        let (radius, middle) = self.ring()?;
        let mean = radius - self.ring_wire() / 2.0;
        (mean > 0.0).then(|| (circle(middle, mean), self.ring_wire()))
    }

    /// The outline of the whole hook. It reaches from `-eye` to `overall - eye` exactly, and its point lies
    /// exactly a gap below the shank.
    pub fn outline(&self) -> Outline {
        let half = self.wire / 2.0;
        let mut edge = self.bare_edge();
        let Some((radius, [x, y])) = self.ring() else {
            edge.extend([[-self.eye, -half], [-self.eye, half]]);
            return Outline { edge, hole: Vec::new() };
        };
        let meets = |level: f64| (level - y).atan2((radius * radius - (level - y) * (level - y)).max(0.0).sqrt());
        let (lower, upper) = (meets(-half), meets(half));
        let around = |from: f64, to: f64, edge: &mut Vec<P2>| {
            let strides = strides(radius, (to - from).abs());
            edge.extend((0..=strides).map(|i| {
                let angle = from + (to - from) * i as f64 / strides as f64;
                [x + radius * angle.cos(), y + radius * angle.sin()]
            }));
        };
        around(lower, -3.0, &mut edge);
        edge.push([-self.eye, y]);
        around(3.0, upper, &mut edge);
        let inner = radius - self.ring_wire();
        Outline { edge, hole: if inner > 0.0 { circle([x, y], inner) } else { Vec::new() } }
    }

    /// The wire alone, without the eye: from the top of the shank's front end round the outside of the bend to the
    /// point, and back on the inside with the barb. Closed by the front end of the shank.
    pub fn bare_edge(&self) -> Vec<P2> {
        let half = self.wire / 2.0;
        let (tip, inside) = (self.tip(), -(self.gap + half));
        let outside = inside - self.wire;
        let barbed = self.barb > tip && self.barb < self.shank + self.along();
        let taper = if barbed { self.barb.min(self.shank) } else { tip + (self.shank - tip) / 2.0 };
        let mut edge = vec![[0.0, half]];
        edge.extend(self.angles().into_iter().map(|angle| self.bend(angle, half)));
        edge.extend([[taper, outside], [tip, inside]]);
        if barbed && self.barb < self.shank {
            // The sliver of the barb stands into the gap, its tip toward the bend.
            let root = (self.barb - 1.8 * self.wire).max(tip);
            edge.extend([[root, inside], [self.barb, inside + 0.7 * self.wire], [self.barb - 0.4 * (self.barb - root), inside]]);
        }
        edge.extend(self.angles().into_iter().rev().map(|angle| self.bend(angle, -half)));
        edge.push([0.0, -half]);
        edge
    }
}

/// How many straight strides an arc of this radius (mm) and angle needs to lie within [`FLAT`]; even.
fn strides(radius: f64, angle: f64) -> usize {
    let most = if radius > FLAT { 2.0 * (1.0 - FLAT / radius).acos() } else { FRAC_PI_2 };
    let number = (angle / most).ceil().clamp(4.0, 400.0) as usize;
    number + number % 2
}

/// A circle as a closed line.
pub(crate) fn circle(middle: P2, radius: f64) -> Vec<P2> {
    let strides = strides(radius, 2.0 * PI);
    let turn = |i: usize| 2.0 * PI * i as f64 / strides as f64;
    (0..=strides).map(|i| [middle[0] + radius * turn(i).cos(), middle[1] + radius * turn(i).sin()]).collect()
}

/// The line a fly is built on: places are mm along it from its first point.
#[derive(Clone, Debug, PartialEq)]
pub struct Backbone {
    /// The line, flattened to [`FLAT`], mm.
    pub line: Vec<P2>,
}

impl Backbone {
    /// The point at `s` mm along the line and the direction of growing `s` there (of length 1). Beyond its ends
    /// the line goes straight on.
    pub fn at(&self, s: f64) -> (P2, P2) {
        let mut left = s;
        let mut last = ([0.0, 0.0], [1.0, 0.0]);
        for (a, b) in self.line.iter().zip(self.line.iter().skip(1)) {
            let length = (b[0] - a[0]).hypot(b[1] - a[1]);
            if length < 1e-12 {
                continue;
            }
            let tangent = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
            if left <= length {
                return ([a[0] + left * tangent[0], a[1] + left * tangent[1]], tangent);
            }
            left -= length;
            last = (*b, tangent);
        }
        let (end, tangent) = last;
        ([end[0] + left * tangent[0], end[1] + left * tangent[1]], tangent)
    }

    /// The point `off` mm square to the line at `s`, on the side away from the gap where positive.
    pub fn beside(&self, s: f64, off: f64) -> P2 {
        let ([x, y], [along, up]) = self.at(s);
        [x - off * up, y + off * along]
    }

    /// Length of the line, mm.
    pub fn length(&self) -> f64 {
        self.line.iter().zip(self.line.iter().skip(1)).map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1])).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn hook(turn: EyeTurn) -> Measures {
        Measures { gap: 5.0, shank: 10.0, wire: 0.45, overall: 13.2, eye: 1.1, barb: 9.0, point: 7.5, turn }
    }

    fn reach(points: &[P2]) -> (f64, f64) {
        points.iter().fold((f64::MAX, f64::MIN), |(low, high), p| (low.min(p[0]), high.max(p[0])))
    }

    #[test]
    fn the_outline_reaches_from_the_front_of_the_eye_to_the_outside_of_the_bend() {
        for turn in [EyeTurn::Down, EyeTurn::Straight, EyeTurn::Up] {
            let hook = hook(turn);
            let (front, rear) = reach(&hook.outline().edge);
            assert_eq!(front, -hook.eye);
            assert!((rear - (hook.overall - hook.eye)).abs() < 1e-12, "{rear}");
        }
    }

    #[test]
    fn the_point_lies_a_gap_below_the_shank() {
        let hook = hook(EyeTurn::Down);
        let edge = hook.bare_edge();
        assert!(edge.iter().any(|p| p[0] == hook.point && (-hook.wire / 2.0 - p[1] - hook.gap).abs() < 1e-12));
    }

    #[test]
    fn places_go_on_round_the_bend() {
        let hook = hook(EyeTurn::Down);
        let line = hook.backbone();
        assert_eq!(line.at(4.0), ([4.0, 0.0], [1.0, 0.0]));
        let half_way = (line.length() - hook.shank - (hook.shank - hook.point)) / 2.0 + hook.shank;
        let (rearmost, down) = line.at(half_way);
        assert!((rearmost[0] - (hook.overall - hook.eye - hook.wire / 2.0)).abs() < FLAT, "{rearmost:?}");
        assert!(down[1] < -0.9);
        let (end, forward) = line.at(line.length());
        assert!((end[0] - hook.point).abs() < 1e-9 && forward[0] < -0.999);
    }

    #[test]
    fn the_bend_is_as_long_as_an_ellipse_of_its_axes() {
        // Ramanujan's second approximation of an ellipse's circumference (from memory; good to 1e-5 here).
        let hook = hook(EyeTurn::Down);
        let (a, b) = (hook.along(), hook.across());
        let h = ((a - b) / (a + b)).powi(2);
        let half = PI * (a + b) / 2.0 * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
        let drawn = hook.backbone().length() - hook.shank - (hook.shank - hook.point);
        assert!((drawn - half).abs() < 0.01 * half, "{drawn} {half}");
    }

    proptest! {
        #[test]
        fn any_hook_has_a_finite_outline_of_its_own_length(
            gap in 0.5..40.0_f64, shank in 1.0..80.0_f64, wire in 0.1..2.0_f64, eyes in 1.1..6.0_f64, bend in 0.3..1.5_f64
        ) {
            let eye = eyes * wire;
            let overall = eye + shank + bend * gap + wire;
            let hook = Measures { gap, shank, wire, overall, eye, barb: shank * 0.9, point: shank * 0.7, turn: EyeTurn::Down };
            let outline = hook.outline();
            prop_assert!(outline.edge.iter().chain(&outline.hole).flatten().all(|v| v.is_finite()));
            let (front, rear) = reach(&outline.edge);
            prop_assert!((rear - front - overall).abs() < 1e-9);
        }
    }
}
