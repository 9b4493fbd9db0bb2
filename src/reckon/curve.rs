//! A line in a plane, bent out of straight stretches, arcs of circles and half ellipses that run into each other.
//!
//! Sources: elementary plane geometry; the arc of an ellipse by Simpson's rule on its speed (any calculus text, such as
//! Stewart, *Calculus*, sections 8.1 and 7.7).

use std::f64::consts::{FRAC_PI_2, PI};

/// A point of the plane.
pub type Point = [f64; 2];

/// One piece of a line; lengths in one unit, angles in radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Piece {
    /// Straight on, so far.
    Straight(f64),
    /// An arc of a circle: its length, and how far it turns, to the left where positive.
    Arc(f64, f64),
    /// A sharp turn on the spot, to the left where positive.
    Corner(f64),
    /// Half an ellipse to the right, begun and ended square to its axis across: semi-axis along the heading, semi-axis
    /// across it.
    HalfEllipse(f64, f64),
}

/// A line from its first point on.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Where it begins.
    pub start: Point,
    /// Where it heads at first, radians from the first axis.
    pub heading: f64,
    /// Its pieces in order.
    pub pieces: Vec<Piece>,
}

impl Piece {
    /// Its length.
    pub fn length(self) -> f64 {
        match self {
            Piece::Straight(length) | Piece::Arc(length, _) => length,
            Piece::Corner(_) => 0.0,
            Piece::HalfEllipse(along, across) => super::solids::half_ellipse(along, across).unwrap_or(0.0),
        }
    }

    /// How far its end is turned from its beginning.
    fn turn(self) -> f64 {
        match self {
            Piece::Straight(_) => 0.0,
            Piece::Arc(_, turn) | Piece::Corner(turn) => turn,
            Piece::HalfEllipse(..) => -PI,
        }
    }

    /// The point `s` along it, in its own frame (along its first heading, to the left of it), and the heading there.
    fn at(self, s: f64) -> (Point, f64) {
        match self {
            Piece::Straight(_) => ([s, 0.0], 0.0),
            Piece::Arc(length, turn) => {
                let angle = if length > 0.0 { turn * s / length } else { 0.0 };
                (chord(s, angle), angle)
            }
            Piece::Corner(turn) => ([0.0, 0.0], turn),
            Piece::HalfEllipse(along, across) => {
                let angle = ellipse_angle(along, across, s);
                let (sin, cos) = angle.sin_cos();
                ([along * cos, across * (sin - 1.0)], (-across * cos).atan2(along * sin))
            }
        }
    }

    fn end(self) -> Point {
        match self {
            Piece::HalfEllipse(_, across) => [0.0, -2.0 * across],
            other => other.at(other.length()).0,
        }
    }
}

/// The end of an arc of this length that turns by `angle`, in the frame of its beginning.
fn chord(length: f64, angle: f64) -> Point {
    // sin(x)/x and (1 - cos x)/x, sound where the arc is all but straight.
    let half = angle / 2.0;
    let sinc = if half.abs() < 1e-6 { 1.0 - half * half / 6.0 } else { half.sin() / half };
    [length * sinc * half.cos(), length * sinc * half.sin()]
}

impl Curve {
    /// The length of all pieces.
    pub fn length(&self) -> f64 {
        self.pieces.iter().map(|piece| piece.length()).sum()
    }

    /// Each piece with the point and heading it begins at.
    pub fn placed(&self) -> Vec<(Piece, Point, f64)> {
        let (mut from, mut heading) = (self.start, self.heading);
        let mut all = Vec::new();
        for piece in &self.pieces {
            all.push((*piece, from, heading));
            from = moved(from, heading, piece.end());
            heading += piece.turn();
        }
        all
    }

    /// The point `s` along the line, and the heading there. Beyond its ends the line goes straight on.
    ///
    /// ```
    /// use herl::reckon::curve::{Curve, Piece};
    /// let line = Curve { start: [0.0, 0.0], heading: 0.0, pieces: vec![Piece::Straight(3.0), Piece::HalfEllipse(1.0, 1.0)] };
    /// let (point, heading) = line.at(3.0 + std::f64::consts::FRAC_PI_2);
    /// assert!((point[0] - 4.0).abs() < 1e-9 && (point[1] + 1.0).abs() < 1e-9);
    /// assert!((heading + std::f64::consts::FRAC_PI_2).abs() < 1e-9);
    /// ```
    pub fn at(&self, s: f64) -> (Point, f64) {
        let mut left = s;
        let placed = self.placed();
        for (nth, (piece, from, heading)) in placed.iter().enumerate() {
            let length = piece.length();
            let last = nth + 1 == placed.len();
            if !last && (left > length || length == 0.0) {
                left -= length;
                continue;
            }
            let within = left.clamp(0.0, length);
            let (point, turned) = piece.at(within);
            let (there, heading) = (moved(*from, *heading, point), heading + turned);
            return (moved(there, heading, [left - within, 0.0]), heading);
        }
        (moved(self.start, self.heading, [s, 0.0]), self.heading)
    }
}

/// `off` in the frame that stands at `from` and looks along `heading`.
pub fn moved(from: Point, heading: f64, off: Point) -> Point {
    // A level line stays level to the last digit.
    if heading == 0.0 {
        return [from[0] + off[0], from[1] + off[1]];
    }
    let (sin, cos) = heading.sin_cos();
    [from[0] + off[0] * cos - off[1] * sin, from[1] + off[0] * sin + off[1] * cos]
}

/// Length of an ellipse's arc from its top (the end of the axis `across`) round toward the end of the axis `along`, down to
/// `angle` (radians of the usual parameter; pi/2 at the top, -pi/2 at the foot). `None` where a figure is unsound.
///
/// ```
/// use herl::reckon::curve::ellipse_arc;
/// assert!((ellipse_arc(2.0, 2.0, 0.0).unwrap() - std::f64::consts::PI).abs() < 1e-12);
/// ```
pub fn ellipse_arc(along: f64, across: f64, angle: f64) -> Option<f64> {
    if !super::sound(&[along, across]) || !(-FRAC_PI_2 - 1e-9..=FRAC_PI_2 + 1e-9).contains(&angle) {
        return None;
    }
    const STRIDES: u32 = 512;
    let speed = |angle: f64| (along * angle.sin()).hypot(across * angle.cos());
    let width = (FRAC_PI_2 - angle) / f64::from(STRIDES);
    let weight = |i: u32| match i {
        0 | STRIDES => 1.0,
        i if i % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let sum: f64 = (0..=STRIDES).map(|i| weight(i) * speed(FRAC_PI_2 - width * f64::from(i))).sum();
    super::finite(sum * width / 3.0)
}

/// The angle at which the arc from the top is `s` long.
fn ellipse_angle(along: f64, across: f64, s: f64) -> f64 {
    let (mut low, mut high) = (-FRAC_PI_2, FRAC_PI_2);
    for _ in 0..50 {
        let middle = (low + high) / 2.0;
        match ellipse_arc(along, across, middle) {
            Some(arc) if arc > s => low = middle,
            _ => high = middle,
        }
    }
    (low + high) / 2.0
}

#[cfg(test)]
mod tests {
    use super::super::solids::half_ellipse;
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_whole_arc_is_half_the_ellipse(along in 0.05..30.0_f64, across in 0.05..30.0_f64) {
            let whole = half_ellipse(along, across).unwrap();
            prop_assert!((ellipse_arc(along, across, -FRAC_PI_2).unwrap() - whole).abs() < 1e-5 * whole);
            prop_assert!((ellipse_arc(along, across, 0.0).unwrap() * 2.0 - whole).abs() < 1e-5 * whole);
        }

        #[test]
        fn a_stride_along_the_line_is_as_long_as_its_points_are_apart(
            length in 1.0..30.0_f64, turn in -2.0..2.0_f64, along in 0.3..5.0_f64, across in 0.3..5.0_f64, share in 0.0..0.999_f64
        ) {
            let pieces = vec![Piece::Arc(length, turn), Piece::HalfEllipse(along, across), Piece::Straight(2.0)];
            let line = Curve { start: [1.0, 2.0], heading: 0.4, pieces };
            let s = share * line.length();
            let ((a, heading), (b, _)) = (line.at(s), line.at(s + 1e-4));
            prop_assert!(((b[0] - a[0]).hypot(b[1] - a[1]) - 1e-4).abs() < 1e-7, "{a:?} {b:?}");
            prop_assert!((b[0] - a[0] - 1e-4 * heading.cos()).abs() < 1e-6);
        }
    }
}
