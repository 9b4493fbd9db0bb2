//! Wire by number: the American wire gauge.
//!
//! Source: ASTM B258, in which 36 gauge is 0.005 in, 0000 gauge is 0.46 in and the 39 steps between are of one
//! ratio: `diameter = 0.005 in x 92^((36 - number) / 39)`.

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

/// The number of a gauge as written: `36`, `0`, `2/0`, `000`; `None` when it is none.
///
/// ```
/// use herl::reckon::gauge::american_number;
/// assert_eq!(american_number("4/0"), Some(-3));
/// assert_eq!(american_number("0000"), Some(-3));
/// assert_eq!(american_number("28"), Some(28));
/// assert_eq!(american_number("0/0"), None);
/// ```
pub fn american_number(text: &str) -> Option<i32> {
    let digits = |text: &str| !text.is_empty() && text.len() <= 4 && text.bytes().all(|b| b.is_ascii_digit());
    let noughts = match text.strip_suffix("/0") {
        Some(count) if digits(count) => count.parse::<i32>().ok()?,
        Some(_) => return None,
        None if !text.is_empty() && text.len() <= 6 && text.bytes().all(|b| b == b'0') => i32::try_from(text.len()).ok()?,
        None => return text.parse().ok().filter(|_| digits(text)),
    };
    (noughts >= 1).then_some(1 - noughts)
}
