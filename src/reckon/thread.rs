//! Linear density, thickness and length of threads.
//!
//! Sources: ISO 1144 (tex: grams per 1,000 m; decitex a tenth of it; denier: grams per 9,000 m); metric count
//! Nm: metres per gram; English cotton count Ne: hanks of 840 yd per pound. The thickness is by definition:
//! linear density = density x packing x pi/4 x diameter²; with a packing of 1 it is the 35.68 sqrt(tex/density)
//! micrometres of Morton and Hearle, *Physical Properties of Textile Fibres*, chapter 3.

use super::{finite, sound};
use std::f64::consts::PI;

/// Grams per 1,000 m of a thread of cotton count 1: 453.592 37 g on 840 yd of 0.9144 m.
const TEX_TIMES_COTTON_COUNT: f64 = 453.592_37 * 1000.0 / (840.0 * 0.9144);

/// A scale of linear density.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Grams per metre.
    Kilotex,
    /// Grams per 1,000 m.
    Tex,
    /// Grams per 10,000 m.
    Decitex,
    /// Grams per 9,000 m.
    Denier,
    /// Metres per gram (Nm).
    MetricCount,
    /// Hanks of 840 yd per pound (Ne).
    CottonCount,
}

impl Scale {
    /// A figure of this scale in tex; `None` where it is nought, below it or not finite.
    ///
    /// ```
    /// use herl::reckon::thread::Scale;
    /// assert_eq!(Scale::Denier.to_tex(72.0), Some(8.0));
    /// ```
    pub fn to_tex(self, figure: f64) -> Option<f64> {
        if !sound(&[figure]) || figure == 0.0 {
            return None;
        }
        finite(match self {
            Scale::Kilotex => figure * 1000.0,
            Scale::Tex => figure,
            Scale::Decitex => figure / 10.0,
            Scale::Denier => figure / 9.0,
            Scale::MetricCount => 1000.0 / figure,
            Scale::CottonCount => TEX_TIMES_COTTON_COUNT / figure,
        })
    }

    /// A figure in tex on this scale; `None` where it is nought, below it or not finite.
    ///
    /// ```
    /// use herl::reckon::thread::Scale;
    /// assert_eq!(Scale::Decitex.of_tex(7.8), Some(78.0));
    /// ```
    pub fn of_tex(self, tex: f64) -> Option<f64> {
        if !sound(&[tex]) || tex == 0.0 {
            return None;
        }
        finite(match self {
            Scale::Kilotex => tex / 1000.0,
            Scale::Tex => tex,
            Scale::Decitex => tex * 10.0,
            Scale::Denier => tex * 9.0,
            Scale::MetricCount => 1000.0 / tex,
            Scale::CottonCount => TEX_TIMES_COTTON_COUNT / tex,
        })
    }
}

/// Diameter of a round thread, mm: `sqrt(4 tex / (pi x 1000 x density x packing))`.
///
/// `density` of the fibre in g/cm³; `packing` is the share of the thread's section that is fibre, over 0 and
/// up to 1. `None` where a figure is nought or out of these bounds.
///
/// ```
/// let mm = herl::reckon::thread::diameter(8.0, 1.38, 1.0).unwrap();
/// assert!((mm - 0.0859).abs() < 5e-5);
/// ```
pub fn diameter(tex: f64, density: f64, packing: f64) -> Option<f64> {
    if !sound(&[tex, density, packing]) || density == 0.0 || packing == 0.0 || packing > 1.0 || tex == 0.0 {
        return None;
    }
    finite((4.0 * tex / (PI * 1000.0 * density * packing)).sqrt())
}

/// Length of thread left on a spool, m: `(gross - tare) x 1000 / tex`, masses in g. `None` where the empty
/// spool is heavier than the full one, or a figure is unsound.
///
/// ```
/// assert_eq!(herl::reckon::thread::spool_length(13.0, 12.0, 8.0), Some(125.0));
/// ```
pub fn spool_length(gross: f64, tare: f64, tex: f64) -> Option<f64> {
    if !sound(&[gross, tare, tex]) || tex == 0.0 || gross < tare {
        return None;
    }
    finite((gross - tare) * 1000.0 / tex)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(Scale::Denier.to_tex(0.0), None);
        assert_eq!(Scale::MetricCount.of_tex(f64::NAN), None);
        assert_eq!(diameter(8.0, 1.4, 1.2), None);
        assert_eq!(diameter(8.0, 0.0, 1.0), None);
        assert_eq!(spool_length(10.0, 12.0, 8.0), None);
        assert_eq!(spool_length(12.0, 10.0, 0.0), None);
        assert_eq!(spool_length(f64::MAX, 0.0, 1e-300), None);
    }
}
