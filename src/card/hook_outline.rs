//! The outline of a hook: the edges of its wire with eye, barb and point, or the walls of a tube. It reaches along the
//! hook exactly from the front of the eye to the outside of the bend.

use super::hook_line::{FLAT, Measures, P2, circle, flattened, strides};
use crate::dressing::{EyeTurn, HookShape};
use crate::reckon::curve::{Piece, moved};

/// The outline of a hook: one edge round the wire and the outside of the eye, and what is open within it.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Closed edge, mm.
    pub edge: Vec<P2>,
    /// The hole of the eye, the bore of a tube; closed, mm. Empty where the eye is too small for one.
    pub holes: Vec<Vec<P2>>,
}

/// The ring of an eye.
#[derive(Clone, Copy)]
struct Ring {
    radius: f64,
    middle: P2,
}

impl Measures {
    /// The outside of the eye's ring; `None` for an eye hardly thicker than the wire, and where there is no eye.
    fn ring(&self) -> Option<Ring> {
        let radius = self.eye / 2.0;
        let room = 0.95 * radius - self.wire / 2.0;
        if room <= 0.0 || self.shape == HookShape::Tube {
            return None;
        }
        let heading = self.wire_line().heading;
        if heading != 0.0 {
            // Where the front of the wire is not level, the eye is drawn in line with it.
            return Some(Ring { radius, middle: moved([0.0, 0.0], heading, [-radius, 0.0]) });
        }
        // A turned eye is let down (or up) as far as the shank still runs into its ring.
        let lift = match self.turn {
            EyeTurn::Straight => 0.0,
            EyeTurn::Down => -room.min(0.3 * self.eye),
            EyeTurn::Up => room.min(0.3 * self.eye),
        };
        Some(Ring { radius, middle: [-radius, lift] })
    }

    /// The wire of the eye is drawn a quarter finer than the shank's, as of a tapered eye (common practice, no
    /// source): an eye of 2.5 wires would else close to a speck.
    fn ring_wire(&self) -> f64 {
        0.75 * self.wire
    }

    /// The rings of the hook's wire: the eye, the loop behind a bare shank. Each as its middle line, closed, and the width
    /// of its wire, mm.
    pub fn rings(&self) -> Vec<(Vec<P2>, f64)> {
        let loops = self.ring().into_iter().chain(self.rear_loop());
        let mean = |ring: &Ring| ring.radius - self.ring_wire() / 2.0;
        loops.filter(|ring| mean(ring) > 0.0).map(|ring| (circle(ring.middle, mean(&ring)), self.ring_wire())).collect()
    }

    /// The loop a bare shank ends in, where it is longer overall than its eye and its shank.
    fn rear_loop(&self) -> Option<Ring> {
        let radius = (self.overall - self.eye - self.shank) / 2.0;
        (self.shape == HookShape::BareShank && radius > self.wire / 2.0).then_some(Ring { radius, middle: [self.shank + radius, 0.0] })
    }

    /// The outline of the whole hook; of a double, of the bend that is nearer. It reaches over the overall length exactly,
    /// and the point lies exactly a gap below the shank.
    pub fn outline(&self) -> Outline {
        if self.shape == HookShape::Tube {
            let wall = |across: f64| vec![[0.0, across / 2.0], [self.shank, across / 2.0], [self.shank, -across / 2.0], [0.0, -across / 2.0]];
            return Outline { edge: wall(self.wire), holes: if self.inside > 0.0 { vec![wall(self.inside)] } else { Vec::new() } };
        }
        let half = self.wire / 2.0;
        let mut edge = self.bare_edge();
        let inner = |ring: &Ring| (ring.radius > self.ring_wire()).then(|| circle(ring.middle, ring.radius - self.ring_wire()));
        let mut holes: Vec<Vec<P2>> = Vec::new();
        if let Some(ring) = self.rear_loop() {
            // The loop is let in between the two edges of the shank's rear end.
            edge = vec![[0.0, half], [self.shank, half]];
            edge.extend(circle(ring.middle, ring.radius).into_iter().map(|[x, y]| [2.0 * ring.middle[0] - x, y]));
            edge.extend([[self.shank, -half], [0.0, -half]]);
            holes.extend(inner(&ring));
        }
        match self.ring() {
            Some(ring) => {
                edge.extend(self.round_the_eye(ring));
                holes.extend(inner(&ring));
            }
            None => edge.extend([[-self.eye, -half], [-self.eye, half]]),
        }
        Outline { edge, holes }
    }

    /// The further of a double's two bends, as seen from the side. The nearer lies in the plane of the drawing, so that its
    /// gap is true; the further is foreshortened by half their spread, for the eye only, or it would hide behind the shank.
    pub fn far_bend(&self) -> Option<Vec<P2>> {
        let share = (self.angle / 2.0).cos();
        (self.shape == HookShape::Double).then(|| self.bare_edge().into_iter().map(|[x, y]| [x, y * share]).collect())
    }

    /// The outside of the eye from the lower edge of the wire forward and back to the upper, its foremost among the points.
    fn round_the_eye(&self, Ring { radius, middle }: Ring) -> Vec<P2> {
        let heading = self.wire_line().heading;
        let half = self.wire / 2.0;
        // Measured from the direction of the wire, where the ring is level or lies in line with it.
        let lift = if heading == 0.0 { middle[1] } else { 0.0 };
        let meets = |level: f64| (level - lift).atan2((radius * radius - (level - lift) * (level - lift)).max(0.0).sqrt());
        let (lower, upper) = (heading + meets(-half), heading + meets(half));
        let at = |angle: f64| [middle[0] + radius * angle.cos(), middle[1] + radius * angle.sin()];
        let mut points = Vec::new();
        let around = |from: f64, to: f64, points: &mut Vec<P2>| {
            let strides = strides(radius, (to - from).abs());
            points.extend((0..=strides).map(|i| at(from + (to - from) * i as f64 / strides as f64)));
        };
        // The ring runs clockwise from the lower edge (an angle a little below the heading) to the upper one.
        around(lower, -3.0, &mut points);
        points.push([middle[0] - radius, middle[1]]);
        around(3.0, upper, &mut points);
        points
    }

    /// The wire alone, without the eye: from the upper side of the shank's front end round the outside of the bend to the
    /// point, and back on the inside with the barb. Closed by the front end of the shank.
    pub fn bare_edge(&self) -> Vec<P2> {
        let half = self.wire / 2.0;
        let (mut outer, mut inner): (Vec<P2>, Vec<P2>) = (Vec::new(), Vec::new());
        let mut side = |from: P2, heading: f64, [x, y]: P2, square: P2, stretch: f64| {
            let beside = |off: f64| moved(from, heading, [x + off * stretch * square[0], y + off * stretch * square[1]]);
            outer.push(beside(half));
            inner.push(beside(-half));
        };
        let placed = self.wire_line().placed();
        let (mut tip, mut round) = (Vec::new(), false);
        for (piece, from, heading) in placed {
            match piece {
                // The lower limb has its taper and its barb.
                Piece::Straight(_) if round => {
                    tip = self.point().into_iter().map(|off| moved(from, heading, off)).collect();
                }
                Piece::Corner(turn) => {
                    // A mitre keeps the wire as thick at the corner as elsewhere.
                    let (sin, cos) = (turn / 2.0).sin_cos();
                    side(from, heading, [0.0, 0.0], [-sin, cos], 1.0 / cos.max(0.2));
                }
                Piece::HalfEllipse(along, across) => {
                    round = true;
                    let rearmost = super::hook::path::rearmost(along, across, -heading);
                    flattened(piece, half, &[rearmost], FLAT).into_iter().for_each(|(point, square)| side(from, heading, point, square, 1.0));
                }
                _ => {
                    let mut points = flattened(piece, half, &[], FLAT);
                    // Next to a corner its mitre is the end.
                    if self.shape == HookShape::Jig {
                        let last = points.len() - 1;
                        points = if from == [0.0, 0.0] { points.drain(..last).collect() } else { points.drain(1..).collect() };
                    }
                    points.into_iter().for_each(|(point, square)| side(from, heading, point, square, 1.0));
                }
            }
        }
        let mut edge = outer;
        edge.extend(tip);
        edge.extend(inner.into_iter().rev());
        edge
    }

    /// Taper, point and barb in the frame of the lower limb: along it toward the point, and square to it away from the
    /// shank. The point lies on the side of the shank.
    fn point(&self) -> Vec<P2> {
        let (half, limb) = (self.wire / 2.0, self.limb);
        // The limb runs forward with the shank on its right.
        let (inside, outside) = (-half, half);
        // How far behind the point the barb stands, along the limb.
        let behind = if self.shank > self.point { limb * (self.barb - self.point) / (self.shank - self.point) } else { 0.0 };
        let barbed = behind > 0.0 && behind < limb + self.axes[0];
        let taper = if barbed { behind.min(limb) } else { limb / 2.0 };
        let mut points = vec![[limb - taper, outside], [limb, inside]];
        if barbed && behind < limb {
            // The sliver of the barb stands into the gap, its tip toward the bend.
            let root = (behind - 1.8 * self.wire).max(0.0);
            points.extend([[limb - root, inside], [limb - behind, inside - 0.7 * self.wire], [limb - (behind - 0.4 * (behind - root)), inside]]);
        }
        points
    }
}

#[cfg(test)]
mod tests;
