//! Volumes, masses and lengths of simple bodies: shells between round profiles, a drilled sphere, bent wire,
//! half an ellipse.
//!
//! Sources: solids of revolution and the napkin-ring theorem as in Zwillinger, *CRC Standard Mathematical
//! Tables and Formulae*; a bent rod by the theorem of Pappus and Guldin; the ellipse by the complete elliptic
//! integral of the second kind through the arithmetic-geometric mean (Abramowitz and Stegun, section 17.6).

use super::profile::{self, Segment};
use super::{finite, sound};
use std::f64::consts::PI;

/// How far, as a share of itself, an outer radius may lie beneath the inner one and still be taken as equal:
/// room for the last digits of binary figures only.
const SAME_RADIUS: f64 = 1e-9;

/// Volume between a core and an outside whose radius runs evenly from `outer_start` to `outer_end` over the
/// whole of it; mm³ from mm. `None` where the outside runs beneath the core, or a figure is unsound.
///
/// The section is a square of evenly running radii, so Simpson's rule over each segment is exact; it is
/// written here as the product of difference and sum, which loses nothing where a shell is thin.
///
/// ```
/// use herl::reckon::{profile::Segment, solids::shell};
/// let tube = shell(&[Segment { length: 10.0, r0: 0.5, r1: 0.5 }], 1.0, 1.0).unwrap();
/// assert!((tube - 7.5 * std::f64::consts::PI).abs() < 1e-12);
/// ```
pub fn shell(core: &[Segment], outer_start: f64, outer_end: f64) -> Option<f64> {
    let total = profile::length(core)?;
    if !sound(&[outer_start, outer_end]) {
        return None;
    }
    let outer = |at: f64| outer_start + (outer_end - outer_start) * (at / total);
    let (mut volume, mut at) = (0.0, 0.0);
    for segment in core.iter().filter(|segment| segment.length > 0.0) {
        let (o0, o1) = (outer(at), outer(at + segment.length));
        at += segment.length;
        let (d0, d1) = (above(o0, segment.r0)?, above(o1, segment.r1)?);
        let (s0, s1) = (o0 + segment.r0, o1 + segment.r1);
        volume += segment.length * PI * (2.0 * (d0 * s0 + d1 * s1) + d0 * s1 + d1 * s0) / 6.0;
    }
    finite(volume)
}

/// How far `outer` lies above `inner`; `None` when it lies beneath.
fn above(outer: f64, inner: f64) -> Option<f64> {
    let difference = outer - inner;
    (difference >= -SAME_RADIUS * inner).then_some(difference.max(0.0))
}

/// Height of a sphere drilled through its middle, mm: `sqrt(diameter² - hole²)`. `None` where the hole is
/// wider than the sphere.
///
/// ```
/// assert_eq!(herl::reckon::solids::drilled_sphere_height(5.0, 3.0), Some(4.0));
/// ```
pub fn drilled_sphere_height(diameter: f64, hole: f64) -> Option<f64> {
    if !sound(&[diameter, hole]) || hole > diameter {
        return None;
    }
    finite(((diameter - hole) * (diameter + hole)).sqrt())
}

/// Volume of a sphere drilled through its middle, mm³ from mm: `pi/6 x height³`, whatever the sphere.
pub fn drilled_sphere_volume(diameter: f64, hole: f64) -> Option<f64> {
    finite(PI / 6.0 * drilled_sphere_height(diameter, hole)?.powi(3))
}

/// Length of a bent wire's middle line, mm: `straight + radius x angle + tail`; the radius is that of the
/// middle line, the angle in degrees.
pub fn bent_wire_length(straight: f64, radius: f64, degrees: f64, tail: f64) -> Option<f64> {
    sound(&[straight, radius, degrees, tail]).then_some(straight + radius * degrees.to_radians() + tail).and_then(finite)
}

/// Volume of a round wire, bent or straight, mm³ from mm: `length x pi/4 x diameter²`.
pub fn wire_volume(length: f64, diameter: f64) -> Option<f64> {
    sound(&[length, diameter]).then_some(length * PI / 4.0 * diameter * diameter).and_then(finite)
}

/// Mass, g, of a volume in mm³ at a density in g/cm³.
///
/// ```
/// assert_eq!(herl::reckon::solids::mass(2000.0, 7.85), Some(15.7));
/// ```
pub fn mass(volume: f64, density: f64) -> Option<f64> {
    sound(&[volume, density]).then_some(volume * density / 1000.0).and_then(finite)
}

/// Length of half an ellipse with these semi-axes, in their unit: `2 a E(sqrt(1 - (b/a)²))`.
///
/// ```
/// use herl::reckon::solids::half_ellipse;
/// assert!((half_ellipse(1.0, 1.0).unwrap() - std::f64::consts::PI).abs() < 1e-15);
/// assert_eq!(half_ellipse(3.0, 0.0), Some(6.0));
/// ```
pub fn half_ellipse(semi_axis: f64, other_semi_axis: f64) -> Option<f64> {
    if !sound(&[semi_axis, other_semi_axis]) {
        return None;
    }
    let (long, short) = (semi_axis.max(other_semi_axis), semi_axis.min(other_semi_axis));
    let ratio = short / long;
    // So flat that it is a line, twice the long semi-axis; also keeps nought from below the line.
    if long == 0.0 || ratio < 1e-9 {
        return finite(2.0 * long);
    }
    // E = K (1 - sum of 2^(i-1) c_i²), K = pi / (2 agm); each round doubles the digits, so ten are ample.
    let (mut a, mut b) = (1.0_f64, ratio);
    let mut weight = 0.5;
    let mut sum = weight * (1.0 - ratio) * (1.0 + ratio);
    for _ in 0..10 {
        let c = (a - b) / 2.0;
        (a, b) = ((a + b) / 2.0, (a * b).sqrt());
        weight *= 2.0;
        sum += weight * c * c;
    }
    finite(2.0 * long * (PI / (2.0 * a)) * (1.0 - sum))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_body_thinner_than_its_core_has_no_volume() {
        let core = [Segment { length: 4.0, r0: 0.3, r1: 0.6 }];
        assert_eq!(shell(&core, 0.5, 0.5), None);
        assert_eq!(shell(&core, 0.3, 0.6), Some(0.0));
        assert_eq!(shell(&core, f64::NAN, 0.6), None);
        assert_eq!(shell(&[], 0.3, 0.6), Some(0.0));
    }

    #[test]
    fn a_shell_is_the_difference_of_two_frusta() {
        let frustum = |l: f64, a: f64, b: f64| PI * l / 3.0 * (a * a + a * b + b * b);
        let core = [Segment { length: 2.0, r0: 0.2, r1: 0.4 }, Segment { length: 6.0, r0: 0.5, r1: 0.3 }];
        let got = shell(&core, 0.6, 1.4).unwrap();
        let want = frustum(8.0, 0.6, 1.4) - frustum(2.0, 0.2, 0.4) - frustum(6.0, 0.5, 0.3);
        assert!((got - want).abs() < 1e-13 * want, "{got} is not {want}");
    }

    #[test]
    fn half_an_ellipse_agrees_with_a_sum_of_chords() {
        for (a, b) in [(1.0, 0.5), (2.0, 5.0), (1.0, 0.01), (3.0, 2.9)] {
            // Chords of an even division of the angle, refined once by Richardson's rule.
            let chords = |n: u32| -> f64 {
                let at = |i: u32| (a * (PI * f64::from(i) / f64::from(n)).cos(), b * (PI * f64::from(i) / f64::from(n)).sin());
                (0..n).map(|i| (at(i + 1).0 - at(i).0).hypot(at(i + 1).1 - at(i).1)).sum()
            };
            let want = (4.0 * chords(40_000) - chords(20_000)) / 3.0;
            let got = half_ellipse(a, b).unwrap();
            assert!((got - want).abs() < 1e-11 * want, "{a} by {b}: {got} is not {want}");
        }
    }

    #[test]
    fn a_hole_wider_than_its_sphere_is_refused() {
        assert_eq!(drilled_sphere_height(1.0, 1.5), None);
        assert_eq!(drilled_sphere_volume(1.5, 1.5), Some(0.0));
    }

    proptest! {
        #[test]
        fn nothing_infinite_comes_back(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
            prop_assert!(half_ellipse(a, b).is_none_or(f64::is_finite));
            prop_assert!(drilled_sphere_volume(a, b).is_none_or(f64::is_finite));
            prop_assert!(bent_wire_length(a, b, c, d).is_none_or(f64::is_finite));
            let core = [Segment { length: a, r0: b, r1: b }];
            prop_assert!(shell(&core, c, d).is_none_or(f64::is_finite));
        }
    }
}
