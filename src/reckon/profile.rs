//! A round core whose radius runs evenly within each of several segments: what strands are wound on and
//! bodies are laid over. Steps of radius stand *between* segments.

use super::sound;

/// A stretch of core along its axis; the radius runs evenly from `r0` to `r1`. All mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Along the axis.
    pub length: f64,
    /// Radius at its beginning.
    pub r0: f64,
    /// Radius at its end.
    pub r1: f64,
}

impl Segment {
    /// Along the slope: the hypotenuse of its length and its rise, mm.
    pub fn slope(&self) -> f64 {
        self.length.hypot(self.r1 - self.r0)
    }

    /// Whether its figures are finite and not below nought.
    pub fn is_sound(&self) -> bool {
        sound(&[self.length, self.r0, self.r1])
    }
}

/// The length of all segments together along the axis, mm; `None` where a figure is unsound.
pub fn length(profile: &[Segment]) -> Option<f64> {
    if !profile.iter().all(Segment::is_sound) {
        return None;
    }
    super::finite(profile.iter().map(|segment| segment.length).sum())
}
