//! Counting arithmetic: what is typed at a drawer, and whether a difference is worth a word.
//!
//! Numbers, fractions and sums, exactly: `25`, `2 1/2`, `2 + 1/2`, `3*25 + 7`, `(4 + 3) x 25`. A point is a decimal point.

use super::Refusal;
use super::quantity::millionths;
use crate::measure::Fraction;
use rust_decimal::Decimal;

/// The longest line that is read, in bytes; nobody counts a drawer in more.
const LONGEST: usize = 200;
/// How deep brackets may stand in one another.
const DEEPEST: u32 = 20;

/// Reads what was typed at a drawer.
///
/// # Errors
/// What cannot be read, with where; what is no exact figure of six decimals; what is less than nothing.
///
/// ```
/// use herl::stores::counting::read;
/// assert_eq!(read("3*25 + 7").unwrap(), 82.into());
/// assert_eq!(read("2 + 1/2").unwrap(), "2.5".parse().unwrap());
/// assert!(read("3*").unwrap_err().to_string().contains("end"));
/// ```
pub fn read(text: &str) -> Result<Decimal, Refusal> {
    if text.len() > LONGEST {
        return Err(amiss("a line longer than any count".to_owned()));
    }
    let mut line = Line { text, at: 0, deep: 0 };
    let sum = line.sum()?;
    if line.peek().is_some() {
        return Err(line.unread());
    }
    if sum.is_negative() {
        return Err(amiss(format!("{} is less than nothing", text.trim())));
    }
    let exact = sum.to_decimal().filter(|quantity| Fraction::parse(&quantity.to_string()) == Some(sum));
    let quantity = exact.ok_or_else(|| Refusal::Senseless {
        what: format!("{} cannot be written with six decimals", text.trim()),
        right: "a figure such as `0.333`, or another unit".to_owned(),
    })?;
    millionths(quantity).map(|_| quantity.normalize())
}

fn amiss(what: String) -> Refusal {
    Refusal::Senseless { what, right: "a number, a fraction or a sum, such as `2 + 1/2` or `3*25 + 7`,".to_owned() }
}

struct Line<'a> {
    text: &'a str,
    at: usize,
    deep: u32,
}

impl Line<'_> {
    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or_default()
    }

    /// The next sign that is no space.
    fn peek(&mut self) -> Option<char> {
        let rest = self.rest();
        self.at += rest.len() - rest.trim_start().len();
        self.rest().chars().next()
    }

    fn unread(&mut self) -> Refusal {
        match self.peek() {
            Some(sign) => amiss(format!("\"{sign}\" cannot be read there")),
            None => amiss("the line ends too soon".to_owned()),
        }
    }

    fn take(&mut self, signs: &[char]) -> Option<char> {
        let next = self.peek().filter(|sign| signs.contains(sign))?;
        self.at += next.len_utf8();
        Some(next)
    }

    fn sum(&mut self) -> Result<Fraction, Refusal> {
        let mut sum = self.product()?;
        while let Some(sign) = self.take(&['+', '-', '\u{2212}']) {
            let next = self.product()?;
            sum = sum.plus(if sign == '+' { next } else { next.negative() }).ok_or(Refusal::TooLarge)?;
        }
        Ok(sum)
    }

    fn product(&mut self) -> Result<Fraction, Refusal> {
        let mut product = self.factor()?;
        while let Some(sign) = self.take(&['*', 'x', '\u{d7}', '/', '\u{f7}']) {
            let next = self.factor()?;
            product = if matches!(sign, '/' | '\u{f7}') {
                if next.is_nought() {
                    return Err(amiss("nothing can be divided by 0".to_owned()));
                }
                product.over(next)
            } else {
                product.times(next)
            }
            .ok_or(Refusal::TooLarge)?;
        }
        Ok(product)
    }

    fn factor(&mut self) -> Result<Fraction, Refusal> {
        if self.take(&['(']).is_some() {
            self.deep += 1;
            if self.deep > DEEPEST {
                return Err(amiss("too many brackets".to_owned()));
            }
            let inside = self.sum()?;
            self.deep -= 1;
            return if self.take(&[')']).is_some() { Ok(inside) } else { Err(self.unread()) };
        }
        match self.peek() {
            Some(sign) if sign.is_ascii_digit() || sign == '.' || !sign.is_ascii() => {}
            _ => return Err(self.unread()),
        }
        let Some((figure, long)) = Fraction::read(self.rest()).filter(|(_, long)| *long > 0) else { return Err(self.unread()) };
        self.at += long;
        // A decimal comma would be read as two figures.
        match self.rest().chars().next() {
            Some(',') => Err(amiss("a comma cannot be read there; a decimal is written with a point, so".to_owned())),
            _ => Ok(figure),
        }
    }
}

/// Whether a difference is large enough to ask for a reason: more than a tenth of what was expected and more than one of
/// its unit, or anything where nothing was expected. The marks are this bench's own.
pub fn asks_why(expected: Decimal, found: Decimal) -> bool {
    let off = (found - expected).abs();
    off > Decimal::ONE && off.saturating_mul(Decimal::TEN) > expected.abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn sums_and_fractions_come_out_exactly() {
        for (text, is) in [
            ("25", "25"),
            (" 0 ", "0"),
            ("2.5", "2.5"),
            ("2 1/2", "2.5"),
            ("1\u{bd}", "1.5"),
            ("2+1/2", "2.5"),
            ("3 * 25 + 7", "82"),
            ("3x25-5", "70"),
            ("(4 + 3) \u{d7} 25", "175"),
            ("1/3 + 2/3", "1"),
            ("0.1 + 0.2", "0.3"),
            ("100/8", "12.5"),
        ] {
            assert_eq!(read(text).map_err(|told| told.to_string()), Ok(is.parse().unwrap()), "{text}");
        }
    }

    #[test]
    fn what_cannot_be_read_is_told_with_what_would_be_right() {
        for (text, said) in [
            ("", "ends too soon"),
            ("3*", "ends too soon"),
            ("3 +* 4", "\"*\""),
            ("(1 + 2", "ends too soon"),
            ("1,5", "point"),
            ("1/0", ""),
            ("3 - 5", "less than nothing"),
            ("1/3", "six decimals"),
            ("12 hooks", "\"h\""),
            ("999999999999999999", ""),
            ("99999999999*99999999999", ""),
        ] {
            let told = read(text).unwrap_err().to_string();
            assert!(told.contains(said), "{text}: {told}");
        }
        assert!(read(&"(".repeat(150)).is_err() && read(&"1+".repeat(150)).is_err());
    }

    proptest! {
        #[test]
        fn no_line_brings_it_down(text in "[0-9+*/x(). ½,-]{0,24}") {
            if let Ok(quantity) = read(&text) {
                prop_assert!(quantity >= Decimal::ZERO && millionths(quantity).is_ok());
            }
        }

        #[test]
        fn boxes_and_singles_add_up(boxes in 0u32..1000, each in 0u32..1000, singles in 0u32..1000) {
            prop_assert_eq!(read(&format!("{boxes}*{each} + {singles}")).unwrap(), Decimal::from(u64::from(boxes) * u64::from(each) + u64::from(singles)));
        }
    }
}
