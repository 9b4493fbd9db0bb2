//! What stands for a hook and has no bend: a tube, a bare shank. Neither has a gap, a barb or a point; their rearmost is
//! their rear end.

use super::formulas::*;
use super::{Made, Making};
use crate::card::Hook;
use crate::card::formulas::*;
use crate::card::worker::{Marks, from};
use crate::dressing::HookMeasure;
use crate::measure::Unit;
use crate::why::{Fig, Standing};

/// Density of a plastic tube where the chart does not say, g/cm³.
const PLASTIC: f64 = 0.95;
const PLASTIC_SOURCE: &str = "assumed, a plastic tube (polyethylene, from memory): the chart does not say `density`";

impl Making<'_> {
    /// `outside - ...` and the like need a count of one or less.
    pub(super) fn one(&mut self, key: &str) -> Fig {
        let key = self.sheet.free_key(key);
        self.sheet.given(key, 1.0, Unit::One, Standing::Stated, "both lengths are added")
    }

    /// One length less another.
    pub(super) fn less(&mut self, key: &str, whole: Fig, part: Fig) -> Made<Fig> {
        let times = self.sheet.given(format!("{key}.times"), -1.0, Unit::One, Standing::Stated, "this length is taken away");
        self.row(key, &PLACE, &[whole, times, part])
    }

    pub(super) fn tube(&mut self, length: Fig, outside: Fig, inside: Fig) -> Made<(Hook, Marks)> {
        let (out, bore) = (self.v(outside), self.v(inside));
        if bore >= out {
            return Err(self.broken(&format!("a bore of {bore:.2} mm does not go into a tube of {out:.2} mm")));
        }
        // A tube has no eye to count its head by; as much of it is left free as it is thick.
        let head = self.thumb("hook.eye", &[(1.0, outside)])?;
        if self.v(head) >= self.v(length) {
            return Err(self.broken(&format!("a tube of {:.2} mm is no longer than it is thick", self.v(length))));
        }
        let density = match &self.chart.density {
            Some(told) => self.sheet.given("hook.density", told.value, Unit::GPerCm3, Standing::Stated, from(&told.at)),
            None => self.sheet.given("hook.density", PLASTIC, Unit::GPerCm3, Standing::Assumed, PLASTIC_SOURCE),
        };
        let mass = self.row("hook.mass", &TUBE_MASS, &[length, outside, inside, density])?;
        let end = self.row("hook.shank", &PLACE, &[length])?;
        let marks = self.marks(end, head, end, end, None)?;
        Ok((Hook { inside: Some(inside), ..self.without_bend(end, outside, length, head, end, mass) }, marks))
    }

    pub(super) fn bare_shank(&mut self, shank: Fig, wire: Fig) -> Made<(Hook, Marks)> {
        let eye = self.eye(wire)?;
        self.sound_eye(eye, wire)?;
        let overall = self.rule(HookMeasure::Overall, &[(1.0, eye), (1.0, shank)])?;
        let rear = self.less("hook.bend", overall, eye)?;
        let rest = self.row("hook.rear-loop", &REST, &[overall, eye, shank])?;
        let loop_is = self.v(rest);
        if loop_is < -1e-9 {
            let (overall, eye, shank) = (self.v(overall), self.v(eye), self.v(shank));
            return Err(self.broken(&format!("overall {overall:.2} mm is shorter than the eye ({eye:.2} mm) and the shank ({shank:.2} mm)")));
        }
        let length = if loop_is > 1e-9 {
            if loop_is < 2.0 * self.v(wire) {
                let wire = self.v(wire);
                return Err(self.broken(&format!("behind the shank {loop_is:.2} mm are left, too little for a loop of {wire:.2} mm wire")));
            }
            self.row("hook.wire-length", &WIRE_LENGTH_LOOPED, &[eye, wire, shank, rest])?
        } else {
            self.row("hook.wire-length", &WIRE_LENGTH_BARE, &[eye, wire, shank])?
        };
        let mass = self.wire_mass(length, wire)?;
        let marks = self.marks(shank, eye, shank, shank, None)?;
        Ok((self.without_bend(shank, wire, overall, eye, rear, mass), marks))
    }

    pub(super) fn without_bend(&self, shank: Fig, wire: Fig, overall: Fig, eye: Fig, bend: Fig, mass: Fig) -> Hook {
        Hook {
            shape: self.chart.shape,
            rides: self.chart.rides,
            gap: None,
            shank,
            wire,
            across: wire,
            overall,
            eye,
            barb: None,
            point: None,
            bend,
            bend_axes: None,
            limb: None,
            front: None,
            angle: None,
            inside: None,
            mass,
            turn: self.chart.eye,
        }
    }
}
