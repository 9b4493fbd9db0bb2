//! The hook's own line. Places on a fly are mm along the wire, so everything drawn on it stands on this line:
//! a curved, jig, tube or needle shape is another [`Backbone`], and nothing else changes.
//!
//! Coordinates are mm: `x` from the rear of the eye toward the bend, `y` away from the point. Which way the
//! fly faces is the painter's business.

use super::Card;
use super::hook::path;
use crate::dressing::{EyeTurn, HookShape, Rides};
use crate::reckon::curve::{Curve, Piece, moved};
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

/// The measures of a hook, mm and radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// Its shape.
    pub shape: HookShape,
    /// Whether the point rides down or up.
    pub rides: Rides,
    /// From the point square to the shank, clear; nought where there is no bend.
    pub gap: f64,
    /// Rear of the eye to the start of the bend, along the wire.
    pub shank: f64,
    /// Diameter of the wire; the outside of a tube.
    pub wire: f64,
    /// Diameter the first turns lie on.
    pub across: f64,
    /// Front of the eye to the outside of the bend.
    pub overall: f64,
    /// Outside length of the eye along the wire.
    pub eye: f64,
    /// The barb, from the rear of the eye.
    pub barb: f64,
    /// The point, from the rear of the eye.
    pub point: f64,
    /// Semi-axes of the bend, in the line of the shank's end and square to it.
    pub axes: [f64; 2],
    /// The lower limb.
    pub limb: f64,
    /// Of a jig: the front.
    pub front: f64,
    /// Turn of a curved or swimming shank, angle of a jig, spread of a double; radians.
    pub angle: f64,
    /// The bore of a tube.
    pub inside: f64,
    /// Which way the eye is turned.
    pub turn: EyeTurn,
}

impl Measures {
    /// The measures on a card.
    pub fn of(card: &Card) -> Self {
        let mm = |fig| drawn(&card.sheet, fig);
        let or_nought = |fig: Option<Fig>| fig.map_or(0.0, mm);
        let hook = &card.hook;
        let (gap, shank, wire) = (or_nought(hook.gap), mm(hook.shank), mm(hook.wire).max(1e-3));
        let (overall, eye) = (mm(hook.overall), mm(hook.eye));
        // The bend of a level shank brings the outside of the wire to the overall length. Measures that leave no room
        // for a bend get a very short one.
        let axes = match hook.bend_axes {
            Some((along, across)) => [mm(along), mm(across)],
            None => [overall - eye - shank - wire / 2.0, (gap + wire) / 2.0],
        };
        let point = or_nought(hook.point);
        // The point never lies behind the start of the bend, or there would be no lower limb.
        let limb = hook.limb.map_or((shank - point).max(0.0), mm);
        Measures {
            shape: hook.shape,
            rides: hook.rides,
            gap,
            shank,
            wire,
            across: mm(hook.across).max(1e-3),
            overall,
            eye,
            barb: or_nought(hook.barb),
            point,
            axes: [axes[0].max(wire / 4.0), axes[1].max(wire / 4.0)],
            limb,
            front: or_nought(hook.front).min(shank),
            angle: or_nought(hook.angle).min(150.0).to_radians(),
            inside: or_nought(hook.inside).min(wire),
            turn: hook.turn,
        }
    }

    /// The line of the wire's middle from the rear of the eye, along the shank, round the bend, to the point.
    pub fn wire_line(&self) -> Curve {
        let [along, across] = self.axes;
        match self.shape {
            HookShape::Straight | HookShape::Double => path::straight(self.shank, along, across, self.limb),
            HookShape::Curved => path::curved(self.shank, self.angle, along, across, self.limb),
            HookShape::Swimming => path::curved(self.shank, -self.angle, along, across, self.limb),
            HookShape::Jig => path::jig(self.shank, self.front, self.angle, self.axes, self.limb),
            HookShape::Tube | HookShape::BareShank => path::bare(self.shank),
        }
    }

    /// The same, flattened to well within [`FLAT`].
    pub fn backbone(&self) -> Backbone {
        let mut line: Vec<P2> = vec![[0.0, 0.0]];
        for (piece, from, heading) in self.wire_line().placed() {
            // Places are looked up on it, so it is finer than what is drawn.
            line.extend(flattened(piece, 0.0, &[], FLAT / 10.0).into_iter().skip(1).map(|(point, _)| moved(from, heading, point)));
        }
        Backbone { line }
    }

    /// Where the front of the hook lies, straight from the rear of the eye (not above nought).
    pub fn front_end(&self) -> f64 {
        let heading = self.wire_line().heading;
        if self.shape == HookShape::Tube { 0.0 } else { -self.eye * (1.0 + heading.cos()) / 2.0 }
    }

    /// How far a place lies behind the rear of the eye, straight along the hook.
    pub fn straight_to(&self, s: f64) -> f64 {
        self.wire_line().at(s).0[0]
    }
}

/// The points of a piece in its own frame with the direction square to it there (to the left of its heading), flattened to
/// `flat` mm for lines up to `off` mm beside it. `exact`: angles of a half ellipse that must be among its points.
pub(super) fn flattened(piece: Piece, off: f64, exact: &[f64], flat: f64) -> Vec<(P2, P2)> {
    match piece {
        Piece::Straight(length) => vec![([0.0, 0.0], [0.0, 1.0]), ([length, 0.0], [0.0, 1.0])],
        Piece::Corner(turn) => vec![([0.0, 0.0], [0.0, 1.0]), ([0.0, 0.0], [-turn.sin(), turn.cos()])],
        Piece::Arc(length, turn) => {
            let strides = strides_within(length / turn.abs().max(1e-9) + off, turn.abs(), flat);
            let whole = Curve { start: [0.0, 0.0], heading: 0.0, pieces: vec![piece] };
            let at = |i: usize| {
                let (point, heading) = whole.at(length * i as f64 / strides as f64);
                (point, [-heading.sin(), heading.cos()])
            };
            (0..=strides).map(at).collect()
        }
        Piece::HalfEllipse(along, across) => {
            let strides = strides_within(along.max(across) + off, PI, flat);
            // An even number of strides, so that the middle of the bend is one of the points.
            let mut angles: Vec<f64> = (0..=strides).map(|i| FRAC_PI_2 - PI * i as f64 / strides as f64).collect();
            angles.extend(exact);
            angles.sort_by(|a, b| b.total_cmp(a));
            angles
                .into_iter()
                .map(|angle| {
                    // The middle exactly, not to a rounding of cos and sin.
                    let (sin, cos) = if angle.abs() < 1e-12 { (0.0, 1.0) } else { angle.sin_cos() };
                    let square = [across * cos, along * sin];
                    let size = square[0].hypot(square[1]).max(1e-12);
                    ([along * cos, across * (sin - 1.0)], [square[0] / size, square[1] / size])
                })
                .collect()
        }
    }
}

/// How many straight strides an arc of this radius (mm) and angle needs to lie within [`FLAT`]; even.
pub(super) fn strides(radius: f64, angle: f64) -> usize {
    strides_within(radius, angle, FLAT)
}

fn strides_within(radius: f64, angle: f64, flat: f64) -> usize {
    let most = if radius > flat { 2.0 * (1.0 - flat / radius).acos() } else { FRAC_PI_2 };
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
