//! Colours: how far apart two of them look.
//!
//! Sources: the difference is CIEDE2000 (ISO/CIE 11664-6), as in G. Sharma, W. Wu and E. N. Dalal, *Color Research and
//! Application* 30 (2005) 21; a colour of a screen is brought to CIELAB (ISO/CIE 11664-4) by sRGB (IEC 61966-2-1), white
//! D65. The arithmetic is the package `palette`'s.

use super::finite;
use palette::color_difference::Ciede2000;
use palette::{FromColor, Lab as Package, Srgb, white_point::D65};

/// A colour by its lightness (0 to 100), its redness (green below nought) and its yellowness (blue below nought).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lab {
    /// L*.
    pub lightness: f64,
    /// a*.
    pub red: f64,
    /// b*.
    pub yellow: f64,
}

impl Lab {
    /// The colour that a screen shows for this red, green and blue.
    ///
    /// ```
    /// use herl::reckon::colour::Lab;
    /// let grey = Lab::of_screen([0x76, 0x76, 0x76]);
    /// assert!((grey.lightness - 49.637).abs() < 1e-2 && grey.red.abs() < 1e-2);
    /// ```
    pub fn of_screen(rgb: [u8; 3]) -> Self {
        let [red, green, blue] = rgb.map(|part| f64::from(part) / 255.0);
        let lab: Package<D65, f64> = Package::from_color(Srgb::new(red, green, blue));
        Lab { lightness: lab.l, red: lab.a, yellow: lab.b }
    }

    /// How far this colour looks from another (CIEDE2000). `None` where a figure is not finite, a lightness not within 0
    /// and 100, or a redness or yellowness beyond 1,000 either way.
    ///
    /// ```
    /// use herl::reckon::colour::Lab;
    /// let one = Lab { lightness: 50.0, red: 2.6772, yellow: -79.7751 };
    /// let other = Lab { lightness: 50.0, red: 0.0, yellow: -82.7485 };
    /// assert_eq!(format!("{:.4}", one.difference(other).unwrap()), "2.0425");
    /// ```
    pub fn difference(self, other: Self) -> Option<f64> {
        let sound = |lab: Lab| (0.0..=100.0).contains(&lab.lightness) && [lab.red, lab.yellow].iter().all(|part| part.is_finite() && part.abs() <= 1000.0);
        if !(sound(self) && sound(other)) {
            return None;
        }
        let of = |lab: Lab| Package::<D65, f64>::new(lab.lightness, lab.red, lab.yellow);
        finite(of(self).difference(of(other)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_difference_is_the_same_both_ways(rgb in any::<[u8; 3]>(), other in any::<[u8; 3]>()) {
            let (one, two) = (Lab::of_screen(rgb), Lab::of_screen(other));
            let (there, back) = (one.difference(two).unwrap(), two.difference(one).unwrap());
            prop_assert!((there - back).abs() < 1e-9 && there >= 0.0);
            prop_assert!((there < 1e-9) == (rgb == other));
        }

        #[test]
        fn any_figures_are_taken_without_panic(a in any::<f64>(), b in any::<f64>(), c in any::<f64>()) {
            let _ = Lab { lightness: a, red: b, yellow: c }.difference(Lab { lightness: b, red: c, yellow: a });
        }
    }
}
