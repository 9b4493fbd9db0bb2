//! The marks of fibres: fans that leave one place, rings that stand out all round.

use super::{Draw, FAR, Shape, Tone, View};
use crate::card::form::{Course, Form, P3, across_at, unit};
use crate::card::hook_line::P2;
use std::f64::consts::PI;

impl Draw {
    /// One line a fibre.
    pub(super) fn fan(&mut self, form: &Form) {
        let Form::Fan { s, lift, toward, length, spread, count, bundle, fibre, even, course, trim } = form else { return };
        let (square, out) = frame(*toward);
        let aside = if self.view == View::Below { 1.0 } else { 0.0 };
        let layer = if toward[2] < -0.05 && self.view == View::Side { self.layer - FAR } else { self.layer };
        let count = (*count).clamp(1, 60);
        // The nearest fibre to the middle of the bunch has the full length.
        let inmost = if count % 2 == 1 { 0.0 } else { 1.0 / f64::from(count - 1) };
        for i in 0..count {
            let u = if count == 1 { 0.0 } else { 2.0 * f64::from(i) / f64::from(count - 1) - 1.0 };
            // Fibres lie in no order across the bunch: an angle that never repeats mixes them.
            let v = aside * (f64::from(i) * 2.4).sin();
            let reach = if *even { *length } else { length * (1.0 - 0.14 * (u * u - inmost * inmost)) };
            let reach = trim.reach.map_or(reach, |most| reach.min(most));
            // A point of the fibre: so far along the bunch, and so far across it besides its share of the spread.
            let at = |part: f64, across: f64| {
                let side = (u * spread).tan() * part + u * bundle / 2.0 + across;
                let depth = (v * spread).tan() * part + v * bundle / 2.0;
                let off = [
                    toward[0] * part + square[0] * side + out[0] * depth,
                    toward[1] * part + square[1] * side + out[1] * depth,
                    toward[2] * part + square[2] * side + out[2] * depth,
                ];
                self.lifted(*s, *lift, off)
            };
            let points: Vec<P2> = match course {
                Course::Straight => vec![at(0.0, 0.0), at(reach, 0.0)],
                // Out on one side and back on the other, the turn at the full length.
                Course::Loop => {
                    let wide = 0.16 * length * (1.0 - 0.3 * u.abs());
                    (0..=20).map(|i| PI * f64::from(i) / 20.0).map(|angle| at(reach * angle.sin(), wide * (2.0 * angle).sin())).collect()
                }
                // Out to the knot, then bent toward the point's side by a right angle and a little more.
                Course::Knee => {
                    let (thigh, shin) = (0.5 * reach, 0.5 * reach);
                    let knee = |part: f64, up: f64| self.lifted(*s, *lift, [toward[0] * part, toward[1] * part + up, toward[2] * part]);
                    vec![at(0.0, 0.0), knee(thigh, 0.12 * reach), knee(thigh + 0.25 * shin, 0.12 * reach - 0.95 * shin)]
                }
            };
            self.fibre(layer, points, *fibre, trim.floor);
        }
    }

    /// A fibre, cut off where it runs lower than `floor` when seen from the side.
    fn fibre(&mut self, layer: i64, points: Vec<P2>, width: f64, floor: Option<f64>) {
        let points = match (floor, self.view) {
            (Some(floor), View::Side) => above(points, floor),
            _ => points,
        };
        if points.len() > 1 {
            self.mark(layer, Tone::Plain, Shape::Line(points, width));
        }
    }

    /// Fibres on both sides of the line, each as long as the figure says. Those that point at the one who looks are left
    /// out, so that what lies beneath can be seen.
    pub(super) fn ring(&mut self, form: &Form) {
        let Form::Ring { span, turns, fibre, over, lean, each, trim } = form else { return };
        let number = turns.ceil().max(1.0) as usize;
        for turn in 0..number {
            let share = if number == 1 { 0.5 } else { turn as f64 / (number - 1) as f64 };
            let s = span[0] + (span[1] - span[0]) * share;
            let radius = across_at(over, s).unwrap_or_else(|| over.last().map_or(0.0, |end| end[1])) / 2.0;
            let fibre = trim.reach.map_or(*fibre, |most| fibre.min((most - radius).max(0.05)));
            let along = lean[0] + (lean[1] - lean[0]) * share;
            // Round a post fibres lie flatter, and from below the whole wheel is seen.
            let on_post = self.line.at(s).1[1].abs() > 0.7;
            let standing = on_post && self.view == View::Below;
            for i in 0..*each {
                let round = if *each == 1 { 0.0 } else { 1.05 * (2.0 * f64::from(i) / f64::from(each - 1) - 1.0) };
                // No two fibres of a hackle lean quite alike.
                let along = along + if on_post { 0.08 } else { 0.16 } * ((turn as f64 * 7.0 + f64::from(i)) * 2.4).sin();
                for side in [1.0, -1.0] {
                    if trim.under_case && side > 0.0 && self.view == View::Side {
                        continue;
                    }
                    let (up, out) = (side * round.cos(), round.sin());
                    let (up, out) = match self.view {
                        // Turn upon turn the spokes of a wheel fall between those beneath.
                        View::Below if standing => {
                            let (sin, cos) = (PI * (f64::from(i) + turn as f64 / number as f64) / f64::from(*each)).sin_cos();
                            (side * cos, side * sin)
                        }
                        View::Below => (out, up),
                        View::Side => (up, out),
                    };
                    let toward = [along.sin(), along.cos() * up, along.cos() * out];
                    let stem = [0.0, radius * up, radius * out];
                    let tip = [toward[0] * fibre, stem[1] + toward[1] * fibre, stem[2] + toward[2] * fibre];
                    let points = vec![self.lifted(s, 0.0, stem), self.lifted(s, 0.0, tip)];
                    self.fibre(self.layer, points, 0.05, trim.floor);
                }
            }
        }
    }
}

/// As much of a line as lies above a height.
fn above(points: Vec<P2>, floor: f64) -> Vec<P2> {
    let mut kept: Vec<P2> = Vec::new();
    for point in points {
        match kept.last().copied() {
            _ if point[1] >= floor => kept.push(point),
            Some(last) => {
                let share = (last[1] - floor) / (last[1] - point[1]).max(1e-12);
                kept.push([last[0] + (point[0] - last[0]) * share, floor]);
                return kept;
            }
            None => return kept,
        }
    }
    kept
}

/// Two directions square to `toward` and to each other; the first in the plane of the hook as far as may be.
fn frame(toward: P3) -> (P3, P3) {
    let square = if toward[2].abs() > 0.9 { unit([toward[2], 0.0, -toward[0]]) } else { unit([-toward[1], toward[0], 0.0]) };
    let out = [toward[1] * square[2] - toward[2] * square[1], toward[2] * square[0] - toward[0] * square[2], toward[0] * square[1] - toward[1] * square[0]];
    (square, out)
}
