//! How many of one length come out of one piece.
//!
//! Source: whole division. In binary figures a division that comes out even may fall a hair short, so a
//! quotient within a thousand-millionth of a whole number is that number.

use super::sound;

/// How near to a whole number a quotient counts as that number, as a share of it.
const EVEN: f64 = 1e-9;

/// How many lengths of `used` come out of `piece` when `grip` is lost once: `floor((piece - grip) / used)`;
/// all in one unit. `None` where `used` is nought, a figure is unsound, or the number passes four thousand million.
///
/// ```
/// use herl::reckon::cuts::lengths_in;
/// assert_eq!(lengths_in(355.6, 50.8, 50.8), Some(6));
/// // The binary quotient here is 2.9999999999999982:
/// assert_eq!(lengths_in(2.3, 2.0, 0.1), Some(3));
/// assert_eq!(lengths_in(355.0, 50.8, 50.8), Some(5));
/// assert_eq!(lengths_in(10.0, 20.0, 1.0), Some(0));
/// ```
pub fn lengths_in(piece: f64, grip: f64, used: f64) -> Option<u32> {
    if !sound(&[piece, grip, used]) || used == 0.0 {
        return None;
    }
    let quotient = ((piece - grip) / used).max(0.0);
    let nearest = quotient.round();
    let whole = if (quotient - nearest).abs() <= EVEN * nearest { nearest } else { quotient.floor() };
    (whole <= f64::from(u32::MAX)).then_some(whole as u32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_piece_cut_to_measure_gives_what_it_was_cut_for(flies in 1_u32..500, used in 1_u32..4000, grip in 0_u32..2000) {
            // All in tenths of a millimetre, so that the sum is what a ruler would say.
            let tenth = |n: u32| f64::from(n) / 10.0;
            let piece = tenth(flies * used + grip);
            prop_assert_eq!(lengths_in(piece, tenth(grip), tenth(used)), Some(flies));
            prop_assert_eq!(lengths_in(piece - 0.09, tenth(grip), tenth(used)), Some(flies - 1));
        }

        #[test]
        fn any_figures_are_taken_without_panic(a in any::<f64>(), b in any::<f64>(), c in any::<f64>()) {
            let _ = lengths_in(a, b, c);
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        assert_eq!(lengths_in(1.0, 0.0, 0.0), None);
        assert_eq!(lengths_in(f64::NAN, 0.0, 1.0), None);
        assert_eq!(lengths_in(1e300, 0.0, 1e-300), None);
    }
}
