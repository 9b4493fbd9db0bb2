//! How long a strand is that lies wound on a round core.
//!
//! Source: the arc length of a curve (any calculus text, such as Stewart, *Calculus*, section 13.3). A strand
//! of thickness `t` on a core of radius `r` runs at `R = r + t/2`; its `n` turns advance evenly along the
//! axis while `R` runs evenly from one end to the other, so that, with `u` from 0 to 1,
//!
//! ```text
//! length = integral of sqrt(span² + (r1 - r0)² + (2 pi n R(u))²) du
//! ```
//!
//! The closed form divides by the difference of the two ends, which goes to nought on a cylinder; where the
//! ends are near each other a five-point Gauss-Legendre rule is exact to the last digits instead.

use super::profile::{self, Segment};
use super::{finite, sound};
use std::f64::consts::PI;

/// Length of a strand wound on a cone, mm.
///
/// `span` is along the axis, the radii are those of the core, `thickness` is the strand's across the core,
/// all mm; `turns` need not be whole. No turns give the straight line along the slope; no span gives a flat
/// coil or a ring. `None` where a figure is below nought or the result is not finite.
///
/// ```
/// use herl::reckon::winding::arc;
/// // Ten turns of a strand 0.2 mm thick side by side in one place, on a core 0.8 mm across:
/// let ring = arc(0.0, 0.4, 0.4, 0.2, 10.0).unwrap();
/// assert!((ring - 10.0 * std::f64::consts::PI).abs() < 1e-12);
/// assert_eq!(arc(3.0, 0.5, 4.5, 0.2, 0.0), Some(5.0));
/// assert_eq!(arc(3.0, -0.5, 0.5, 0.2, 1.0), None);
/// ```
pub fn arc(span: f64, core_radius_start: f64, core_radius_end: f64, strand_thickness: f64, turns: f64) -> Option<f64> {
    if !sound(&[span, core_radius_start, core_radius_end, strand_thickness, turns]) {
        return None;
    }
    // Along the slope, and round the core (2 pi n R) at either end.
    let slope = span.hypot(core_radius_end - core_radius_start);
    let round = |radius: f64| 2.0 * PI * turns * (radius + strand_thickness / 2.0);
    let (start, end) = (round(core_radius_start), round(core_radius_end));
    let (middle, difference) = ((start + end) / 2.0, end - start);
    if difference == 0.0 {
        return finite(slope.hypot(start));
    }
    // The integrand bends only near two points `slope` away from the real line, so the rule's error falls a
    // thousandfold with every halving of the difference; at a tenth it is in the last place.
    if difference.abs() <= 0.1 * middle.hypot(slope) {
        return finite(gauss_legendre(|at| slope.hypot(middle + difference * at / 2.0)));
    }
    finite((antiderivative(end, slope) - antiderivative(start, slope)) / difference)
}

/// Integral of `sqrt(slope² + y²)` from 0 to `y`.
fn antiderivative(y: f64, slope: f64) -> f64 {
    let ratio = y / slope;
    // A slope of nothing, or next to it, adds nothing (and 0 x infinity must not be formed).
    let by_slope = if ratio.is_finite() { slope * (slope * ratio.asinh()) } else { 0.0 };
    (y * slope.hypot(y) + by_slope) / 2.0
}

/// Mean of a function over -1 to 1 by the five-point rule (nodes and weights: Abramowitz and Stegun,
/// *Handbook of Mathematical Functions*, table 25.4).
fn gauss_legendre(of: impl Fn(f64) -> f64) -> f64 {
    const OUTER: (f64, f64) = (0.906_179_845_938_664, 0.236_926_885_056_189_08);
    const INNER: (f64, f64) = (0.538_469_310_105_683_1, 0.478_628_670_499_366_47);
    const MIDDLE: f64 = 0.568_888_888_888_888_9;
    let pair = |(node, weight): (f64, f64)| weight * (of(-node) + of(node));
    (pair(OUTER) + pair(INNER) + MIDDLE * of(0.0)) / 2.0
}

/// Turns that touch each other along a slope: `hypot(span, r1 - r0) / pitch`, the pitch being the strand's
/// width; all mm. `None` where the pitch is nought or a figure is below it.
///
/// ```
/// assert_eq!(herl::reckon::winding::touching_turns(3.0, 0.5, 4.5, 0.25), Some(20.0));
/// ```
pub fn touching_turns(span: f64, core_radius_start: f64, core_radius_end: f64, pitch: f64) -> Option<f64> {
    if !sound(&[span, core_radius_start, core_radius_end, pitch]) || pitch == 0.0 {
        return None;
    }
    finite(span.hypot(core_radius_end - core_radius_start) / pitch)
}

/// A strand as wound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wound {
    /// How many turns.
    pub turns: f64,
    /// How long the strand is, mm.
    pub length: f64,
}

/// Length of a strand wound over a profile in a stated number of turns at an even pitch along the axis, mm.
///
/// Each segment takes its share of the turns by its length; a step between segments, or a segment of no
/// length, adds nothing. A profile with no length at all is a ring at the radius it begins with.
/// `None` for an empty profile or an unsound figure.
pub fn wound(profile: &[Segment], strand_thickness: f64, turns: f64) -> Option<f64> {
    let first = profile.first()?;
    let total = profile::length(profile)?;
    if total == 0.0 {
        return arc(0.0, first.r0, first.r0, strand_thickness, turns);
    }
    let mut length = 0.0;
    for segment in profile.iter().filter(|segment| segment.length > 0.0) {
        length += arc(segment.length, segment.r0, segment.r1, strand_thickness, turns * (segment.length / total))?;
    }
    // Also refuses turns that are not sound, which no segment may have seen.
    if sound(&[turns, strand_thickness]) { finite(length) } else { None }
}

/// Turns and length of a strand wound over a profile in touching turns, `pitch` (the strand's width) apart
/// along each segment's own slope. Steps and segments of no length add nothing. All mm; `None` for an empty
/// profile, a pitch of nought or an unsound figure.
pub fn wound_touching(profile: &[Segment], strand_thickness: f64, pitch: f64) -> Option<Wound> {
    let _ = profile.first()?;
    let _ = profile::length(profile)?;
    if !sound(&[strand_thickness, pitch]) || pitch == 0.0 {
        return None;
    }
    let mut wound = Wound { turns: 0.0, length: 0.0 };
    for segment in profile.iter().filter(|segment| segment.length > 0.0) {
        let turns = touching_turns(segment.length, segment.r0, segment.r1, pitch)?;
        wound.turns += turns;
        wound.length += arc(segment.length, segment.r0, segment.r1, strand_thickness, turns)?;
    }
    sound(&[wound.turns, wound.length]).then_some(wound)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The integral by a great many chords of Simpson's rule: another route to the same figure.
    fn by_simpson(span: f64, r0: f64, r1: f64, thickness: f64, turns: f64) -> f64 {
        let at = |u: f64| {
            let radius = r0 + (r1 - r0) * u + thickness / 2.0;
            (span * span + (r1 - r0).powi(2) + (2.0 * PI * turns * radius).powi(2)).sqrt()
        };
        let steps = 20_000;
        let width = 1.0 / f64::from(steps);
        let sum: f64 = (0..steps).map(|i| f64::from(i) * width).map(|u| at(u) + 4.0 * at(u + width / 2.0) + at(u + width)).sum();
        sum * width / 6.0
    }

    fn near(a: f64, b: f64, relative: f64) -> bool {
        (a - b).abs() <= relative * a.abs().max(b.abs())
    }

    #[test]
    fn both_routes_meet_where_one_takes_over_from_the_other() {
        // Cones from all but a cylinder to steep, on both sides of the change of method.
        for rise in [1e-15, 1e-12, 1e-9, 1e-6, 1e-4, 1e-3, 0.01, 0.03, 0.05, 0.07, 0.1, 0.2, 0.5, 1.0, 3.0] {
            for (span, turns) in [(0.0, 5.0), (0.001, 7.0), (8.0, 0.1), (8.0, 40.0), (300.0, 2.0)] {
                let exact = by_simpson(span, 0.5, 0.5 + rise, 0.1, turns);
                let got = arc(span, 0.5, 0.5 + rise, 0.1, turns).unwrap();
                assert!(near(got, exact, 1e-11), "span {span} rise {rise} turns {turns}: {got} is not {exact}");
            }
        }
    }

    #[test]
    fn a_core_may_run_out_to_nothing() {
        for span in [0.0, 1e-9, 1e-200, 2.0] {
            let exact = by_simpson(span, 0.0, 1.0, 0.0, 3.0);
            assert!(near(arc(span, 0.0, 1.0, 0.0, 3.0).unwrap(), exact, 1e-8), "span {span}");
        }
        assert_eq!(arc(0.0, 0.0, 0.0, 0.0, 9.0), Some(0.0));
    }

    #[test]
    fn figures_without_meaning_give_none() {
        for bad in [f64::NAN, f64::INFINITY, -1.0] {
            assert_eq!(arc(bad, 1.0, 1.0, 1.0, 1.0), None);
            assert_eq!(arc(1.0, bad, 1.0, 1.0, 1.0), None);
            assert_eq!(arc(1.0, 1.0, bad, 1.0, 1.0), None);
            assert_eq!(arc(1.0, 1.0, 1.0, bad, 1.0), None);
            assert_eq!(arc(1.0, 1.0, 1.0, 1.0, bad), None);
            assert_eq!(wound(&[Segment { length: 0.0, r0: 1.0, r1: 1.0 }], 0.1, bad), None);
            assert_eq!(wound_touching(&[Segment { length: 1.0, r0: 1.0, r1: 1.0 }], 0.1, bad), None);
        }
        assert_eq!(touching_turns(1.0, 1.0, 1.0, 0.0), None);
        assert_eq!(wound(&[], 0.1, 1.0), None);
        assert_eq!(arc(1.0, 1e300, 1e308, 1.0, 1e308), None);
    }

    #[test]
    fn a_step_adds_nothing() {
        let low = Segment { length: 5.0, r0: 0.3, r1: 0.3 };
        let high = Segment { length: 5.0, r0: 0.7, r1: 0.7 };
        let step = Segment { length: 0.0, r0: 0.3, r1: 0.7 };
        assert_eq!(wound(&[low, step, high], 0.1, 100.0), wound(&[low, high], 0.1, 100.0));
        assert_eq!(wound_touching(&[low, step, high], 0.1, 0.1), wound_touching(&[low, high], 0.1, 0.1));
    }

    #[test]
    fn a_profile_without_length_is_a_ring() {
        let ring = wound(&[Segment { length: 0.0, r0: 0.5, r1: 0.5 }], 0.2, 4.0);
        assert!(near(ring.unwrap(), 4.0 * PI * 1.2, 1e-14));
    }

    proptest! {
        #[test]
        fn the_length_is_that_of_the_integral(span in 0.0..40.0_f64, r0 in 0.0..3.0_f64, r1 in 0.0..3.0_f64, t in 0.0..1.0_f64, n in 0.0..100.0_f64) {
            let exact = by_simpson(span, r0, r1, t, n);
            let got = arc(span, r0, r1, t, n).unwrap();
            prop_assert!(near(got, exact, 1e-9), "{} is not {}", got, exact);
            prop_assert!(near(got, arc(span, r1, r0, t, n).unwrap(), 1e-12), "wound the other way it is as long");
        }

        #[test]
        fn nothing_panics_and_nothing_infinite_comes_back(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>(), e in any::<f64>()) {
            prop_assert!(arc(a, b, c, d, e).is_none_or(f64::is_finite));
            prop_assert!(touching_turns(a, b, c, d).is_none_or(f64::is_finite));
        }
    }
}
