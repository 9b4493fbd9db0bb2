//! Counting by the scales: how long is the wire on a spool, how many hooks are in a box.
//!
//! Sources: a wire's mass a metre is its section by its density, by definition; a spool of thread is in
//! [`thread`](super::thread). Pieces are counted by the mean mass of a weighed sample, whose standard error is the
//! pieces' own spread over the root of their number: any text on sampling. What the scales do not show lies evenly
//! within one step of them, with a standard uncertainty of the step by the root of 12: JCGM 100:2008 (GUM), 4.3.7; the
//! parts of an uncertainty add as squares: 5.1.2.

use super::chance::two_sided;
use super::thread::spool_length;
use super::{finite, sound};
use std::f64::consts::PI;

/// Grams a kilometre (tex) of a round wire: `1000 pi/4 diameter² density`; mm and g/cm³.
pub fn wire_tex(diameter: f64, density: f64) -> Option<f64> {
    let over = sound(&[diameter, density]) && diameter > 0.0 && density > 0.0;
    over.then_some(250.0 * PI * diameter * diameter * density).and_then(finite)
}

/// Length of wire left on a spool, m; masses in g, diameter in mm, density in g/cm³.
///
/// ```
/// // A metre of copper wire of 0.2 mm weighs 0.2815 g.
/// let metres = herl::reckon::weighing::wire_length(12.2815, 12.0, 0.2, 8.96).unwrap();
/// assert!((metres - 1.0).abs() < 1e-4);
/// ```
pub fn wire_length(gross: f64, tare: f64, diameter: f64, density: f64) -> Option<f64> {
    spool_length(gross, tare, wire_tex(diameter, density)?)
}

/// A sample of counted pieces, weighed together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// How many; ten or more for a count to trust.
    pub pieces: u64,
    /// Their mass, in any unit.
    pub mass: f64,
    /// The standard deviation of one piece's mass as a share of its mean, such as 0.01.
    pub spread: f64,
    /// The step of the scales, in the unit of the mass.
    pub step: f64,
}

/// A number of pieces by weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Counted {
    /// The mass by the mean mass of a piece, not rounded.
    pub pieces: f64,
    /// Its standard uncertainty.
    pub off: f64,
}

impl Counted {
    /// The nearest whole number.
    pub fn whole(&self) -> u64 {
        self.pieces.round() as u64
    }

    /// By how many pieces the count may be out with this confidence, such as 0.95.
    pub fn out(&self, confidence: f64) -> Option<f64> {
        finite(two_sided(confidence)? * self.off)
    }
}

impl Sample {
    /// Mass of a piece. `None` where there is no piece, or a figure without sense.
    pub fn piece(&self) -> Option<f64> {
        let whole = sound(&[self.mass, self.spread, self.step]) && self.pieces > 0 && self.mass > 0.0;
        whole.then(|| self.mass / self.pieces as f64).and_then(finite)
    }

    /// How many pieces have this mass. The error of the sample goes with the count, the spread of the pieces themselves
    /// with its root, and the step of the scales counts at both weighings.
    ///
    /// ```
    /// use herl::reckon::weighing::Sample;
    /// let hooks = Sample { pieces: 25, mass: 0.5, spread: 0.01, step: 0.0 };
    /// let counted = hooks.count(4.0).unwrap();
    /// assert_eq!(counted.whole(), 200);
    /// // 1 % by the root of 25 of 200, and 1 % of the root of 200.
    /// assert!((counted.off - (0.4_f64.powi(2) + 0.0002 * 100.0).sqrt()).abs() < 1e-12);
    /// ```
    pub fn count(&self, mass: f64) -> Option<Counted> {
        let piece = self.piece()?;
        if !sound(&[mass]) {
            return None;
        }
        let pieces = finite(mass / piece).filter(|pieces| *pieces <= 1e15)?;
        let blind = self.step / 12_f64.sqrt();
        let of_sample = pieces * (self.spread / (self.pieces as f64).sqrt()).hypot(blind / self.mass);
        let of_pieces = self.spread * pieces.sqrt();
        let off = of_sample.hypot(of_pieces).hypot(blind / piece);
        Some(Counted { pieces, off: finite(off)? })
    }
}

/// How many pieces a sample needs so that its own error is at most the share `within`: `(spread / within)²`, rounded up.
pub fn sample_needed(spread: f64, within: f64) -> Option<u64> {
    if !sound(&[spread, within]) || within == 0.0 {
        return None;
    }
    let needed = finite((spread / within).powi(2))?.max(1.0);
    // A quotient that is whole but for the last digits is that whole number.
    let near = needed.round();
    let needed = if (needed - near).abs() <= 1e-9 * near { near } else { needed.ceil() };
    (needed <= 1e15).then_some(needed as u64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_weighed_count_comes_back(pieces in 1_u64..5000, sample in 10_u64..200, mass in 0.001_f64..1.0, spread in 0.0_f64..0.05) {
            let sample = Sample { pieces: sample, mass: mass * sample as f64, spread, step: 0.01 };
            let counted = sample.count(mass * pieces as f64).unwrap();
            prop_assert_eq!(counted.whole(), pieces);
            // A greater sample errs less, and the whole can be no surer than its own spread.
            let greater = Sample { pieces: sample.pieces * 4, mass: sample.mass * 4.0, ..sample };
            prop_assert!(greater.count(mass * pieces as f64).unwrap().off <= counted.off);
            prop_assert!(counted.off >= spread * (pieces as f64).sqrt() - 1e-9);
        }

        #[test]
        fn any_figures_are_taken_without_panic(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>(), n in any::<u64>()) {
            let _ = (wire_length(a, b, c, d), sample_needed(a, b));
            if let Some(counted) = (Sample { pieces: n, mass: a, spread: b, step: c }).count(d) {
                let _ = (counted.whole(), counted.out(a));
            }
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(wire_tex(0.0, 8.9), None);
        assert_eq!(wire_length(1.0, 2.0, 0.1, 8.9), None);
        let none = Sample { pieces: 0, mass: 1.0, spread: 0.0, step: 0.0 };
        assert_eq!(none.count(1.0), None);
        assert_eq!(Sample { pieces: 10, mass: 0.0, ..none }.count(1.0), None);
        assert_eq!(sample_needed(0.01, 0.0), None);
        assert_eq!((sample_needed(0.01, 0.001), sample_needed(0.0, 0.01), sample_needed(0.015, 0.001)), (Some(100), Some(1), Some(225)));
    }
}
