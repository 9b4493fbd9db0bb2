//! Wire by number: the American wire gauge and the British standard wire gauge.
//!
//! Source of the American: ASTM B258, in which 36 gauge is 0.005 in, 0000 gauge is 0.46 in and the 39 steps between
//! are of one ratio: `diameter = 0.005 in x 92^((36 - number) / 39)`.
//! Source of the British: BS 3737:1964, a table (the imperial scale of the Order in Council of 1883). The tests hold
//! every other number against a published copy; those between are from memory and lie on the same even steps.

use super::finite;

/// Diameter in mm of an American wire gauge number from 5/0 (written -4) to 56; 0 is -0, 2/0 is -1, 3/0 is -2.
/// `None` outside.
///
/// ```
/// use herl::reckon::gauge::american;
/// assert!((american(36).unwrap() - 0.127).abs() < 1e-12);
/// assert!((american(-3).unwrap() - 11.684).abs() < 1e-12);
/// ```
pub fn american(number: i32) -> Option<f64> {
    if !(-4..=56).contains(&number) {
        return None;
    }
    finite(0.005 * 25.4 * 92_f64.powf(f64::from(36 - number) / 39.0))
}

/// Diameters in ten-thousandths of an inch, from 7/0 to 50.
const BRITISH: [u16; 57] = [
    5000, 4640, 4320, 4000, 3720, 3480, 3240, 3000, 2760, 2520, 2320, 2120, 1920, 1760, 1600, 1440, 1280, 1160, 1040, 920, 800, 720, 640, 560, 480, 400, 360,
    320, 280, 240, 220, 200, 180, 164, 148, 136, 124, 116, 108, 100, 92, 84, 76, 68, 60, 52, 48, 44, 40, 36, 32, 28, 24, 20, 16, 12, 10,
];

/// Diameter in mm of a British standard wire gauge number from 7/0 (written -6) to 50. `None` outside.
///
/// ```
/// use herl::reckon::gauge::british;
/// assert!((british(20).unwrap() - 0.9144).abs() < 1e-12);
/// assert!((british(-3).unwrap() - 10.16).abs() < 1e-12);
/// assert_eq!(british(51), None);
/// ```
pub fn british(number: i32) -> Option<f64> {
    let place = usize::try_from(number.checked_add(6)?).ok()?;
    finite(f64::from(*BRITISH.get(place)?) * 25.4 / 10_000.0)
}

/// The number of a gauge as written: `36`, `0`, `2/0`, `000`; `None` when it is none.
///
/// ```
/// use herl::reckon::gauge::number;
/// assert_eq!(number("4/0"), Some(-3));
/// assert_eq!(number("0000"), Some(-3));
/// assert_eq!(number("28"), Some(28));
/// assert_eq!(number("0/0"), None);
/// ```
pub fn number(text: &str) -> Option<i32> {
    let digits = |text: &str| !text.is_empty() && text.len() <= 4 && text.bytes().all(|b| b.is_ascii_digit());
    let noughts = match text.strip_suffix("/0") {
        Some(count) if digits(count) => count.parse::<i32>().ok()?,
        Some(_) => return None,
        None if !text.is_empty() && text.len() <= 6 && text.bytes().all(|b| b == b'0') => i32::try_from(text.len()).ok()?,
        None => return text.parse().ok().filter(|_| digits(text)),
    };
    (noughts >= 1).then_some(1 - noughts)
}
