//! Hooks whose shank is bent: curved toward the point, swimming (down and up again), and the jig with its standing eye.
//!
//! The hook lies so that the chord of a curved shank, and the rear of a jig's, is level; `overall` and every reach are
//! measured along that level. The gap of a curved shank is measured from the point square to the shank, as everywhere, so
//! the lower limb follows from the gap and from where the point drops on to the shank.

use super::formulas::*;
use super::{Common, Made, Making};
use crate::card::Hook;
use crate::card::formulas::*;
use crate::card::worker::{Along, Marks};
use crate::dressing::{HookMeasure, HookShape};
use crate::why::Fig;

/// How far a curved shank turns from the eye to the bend where the chart does not say, degrees.
const USUAL_TURN: f64 = 60.0;
/// The same of a swimming shank.
const USUAL_SWIM: f64 = 40.0;
/// How steeply a jig's front stands where the chart does not say, degrees.
const USUAL_ANGLE: f64 = 60.0;

impl Making<'_> {
    pub(super) fn curved(&mut self, gap: Fig, shank: Fig, wire: Fig) -> Made<(Hook, Marks)> {
        let inside = self.chart.shape == HookShape::Curved;
        let turn = self.angle(HookMeasure::Turn, if inside { USUAL_TURN } else { USUAL_SWIM });
        let common = self.common(gap, shank, wire)?;
        let slope = self.row("hook.bend-slope", if inside { &SLOPE_DOWN } else { &SLOPE_UP }, &[turn])?;
        let round = [gap, shank, wire, common.point, turn];
        let (Some(limb), Some(across)) = (
            self.sheet.work("hook.lower-limb", if inside { &LIMB_INSIDE } else { &LIMB_OUTSIDE }, &round),
            self.sheet.work("hook.bend-across", if inside { &ACROSS_INSIDE } else { &ACROSS_OUTSIDE }, &round),
        ) else {
            let (gap, shank, turn) = (self.v(gap), self.v(shank), self.v(turn));
            return Err(self.broken(&format!("a shank of {shank:.2} mm that turns {turn:.0} degrees leaves no room for a gap of {gap:.2} mm and the point")));
        };
        let end = self.row("hook.shank-end", &CHORD, &[shank, turn])?;
        let eye_forward = self.row("hook.eye-forward", &EYE_FORWARD, &[common.eye, slope])?;
        let (overall, rear, along) = match self.given(HookMeasure::Overall) {
            Some(overall) => {
                let rear = self.less("hook.bend", overall, eye_forward)?;
                let Some(along) = self.sheet.work("hook.bend-along", &DEPTH, &[rear, end, wire, across, slope]) else {
                    return Err(self.no_room(overall, eye_forward, end));
                };
                (overall, rear, along)
            }
            None => {
                let along = self.thumb("hook.bend-along", &[(0.45, gap), (0.5, wire)])?;
                let rear = self.row("hook.bend", &REAR, &[end, wire, along, across, slope])?;
                let one = self.one("hook.overall.times");
                (self.row("hook.overall", &PLACE, &[rear, one, eye_forward])?, rear, along)
            }
        };
        self.sound_eye(common.eye, wire)?;
        self.sound_point(common, overall)?;
        let arc = self.row("hook.bend-arc", &HALF_ELLIPSE, &[along, across])?;
        let rearmost = self.row("hook.bend-along-wire", &TO_REARMOST, &[shank, along, across, slope])?;
        let wire_end = self.row("hook.bend-end", &WIRE_END, &[shank, arc])?;
        let length = self.row("hook.wire-length", &WIRE_LENGTH_LIMB, &[common.eye, wire, shank, arc, limb])?;
        let mass = self.wire_mass(length, wire)?;
        let formula = if inside { &ALONG_CURVED } else { &ALONG_SWIMMING };
        let straighten = Along { formula, inputs: vec![shank, turn, along, across], level_to: None };
        let marks = self.marks(shank, common.eye, rearmost, wire_end, Some(straighten))?;
        Ok((Hook { angle: Some(turn), bend_axes: Some((along, across)), limb: Some(limb), ..self.hook(common, overall, rear, mass) }, marks))
    }

    pub(super) fn jig(&mut self, gap: Fig, shank: Fig, wire: Fig) -> Made<(Hook, Marks)> {
        let angle = self.angle(HookMeasure::Angle, USUAL_ANGLE);
        let common = self.common(gap, shank, wire)?;
        let front = self.rule(HookMeasure::Front, &[(1.5, common.eye)])?;
        if self.v(front) >= self.v(common.point) {
            let (front, point) = (self.v(front), self.v(common.point));
            return Err(self.broken(&format!("a front of {front:.2} mm does not end before the point at {point:.2} mm")));
        }
        let across = self.row("hook.bend-across", &ACROSS_LEVEL, &[gap, wire])?;
        let end = self.row("hook.shank-end", &CORNERED, &[shank, front, angle])?;
        let eye_forward = self.row("hook.eye-forward", &EYE_FORWARD, &[common.eye, angle])?;
        let (overall, rear, along) = match self.given(HookMeasure::Overall) {
            Some(overall) => {
                let rear = self.less("hook.bend", overall, eye_forward)?;
                let Some(along) = self.sheet.work("hook.bend-along", &DEPTH_LEVEL, &[rear, end, wire]) else {
                    return Err(self.no_room(overall, eye_forward, end));
                };
                (overall, rear, along)
            }
            None => {
                let along = self.thumb("hook.bend-along", &[(0.45, gap), (0.5, wire)])?;
                let rear = self.row("hook.bend", &REAR_LEVEL, &[end, wire, along])?;
                let one = self.one("hook.overall.times");
                (self.row("hook.overall", &PLACE, &[rear, one, eye_forward])?, rear, along)
            }
        };
        self.sound_eye(common.eye, wire)?;
        self.sound_point(common, overall)?;
        let arc = self.row("hook.bend-arc", &HALF_ELLIPSE, &[along, across])?;
        let rearmost = self.row("hook.bend-along-wire", &ALONG_BEND, &[shank, arc])?;
        let wire_end = self.row("hook.bend-end", &WIRE_END, &[shank, arc])?;
        let length = self.row("hook.wire-length", &WIRE_LENGTH, &[common.eye, wire, shank, arc, common.point])?;
        let mass = self.wire_mass(length, wire)?;
        let straighten = Along { formula: &ALONG_JIG, inputs: vec![shank, front, angle, along, across], level_to: None };
        let marks = self.marks(shank, common.eye, rearmost, wire_end, Some(straighten))?;
        Ok((Hook { angle: Some(angle), front: Some(front), bend_axes: Some((along, across)), ..self.hook(common, overall, rear, mass) }, marks))
    }

    fn common(&mut self, gap: Fig, shank: Fig, wire: Fig) -> Made<Common> {
        let eye = self.eye(wire)?;
        let barb = self.rule(HookMeasure::Barb, &[(1.0, shank), (-0.2, gap)])?;
        let point = self.rule(HookMeasure::Point, &[(1.0, shank), (-0.5, gap)])?;
        if self.v(point) <= 0.0 || self.v(point) > self.v(shank) {
            let (point, shank) = (self.v(point), self.v(shank));
            return Err(self.broken(&format!("the point at {point:.2} mm does not drop on to a shank of {shank:.2} mm")));
        }
        Ok(Common { gap, shank, wire, eye, barb, point })
    }
}
