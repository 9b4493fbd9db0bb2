//! Exact fractions, as a dresser writes them: `2/3`, `1 1/2`, `1½`, `0.25`.

use rust_decimal::Decimal;
use std::fmt;

/// An exact fraction in lowest terms with a positive denominator.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Fraction {
    above: i64,
    below: i64,
}

impl Fraction {
    /// One.
    pub const ONE: Fraction = Fraction { above: 1, below: 1 };
    /// Nought.
    pub const NOUGHT: Fraction = Fraction { above: 0, below: 1 };

    /// `above / below` in lowest terms; `None` when `below` is nought or the figure is too large.
    pub fn new(above: i64, below: i64) -> Option<Self> {
        if below == 0 || above == i64::MIN || below == i64::MIN {
            return None;
        }
        let common = gcd(above.unsigned_abs(), below.unsigned_abs()).max(1) as i64;
        let sign = if below < 0 { -1 } else { 1 };
        Some(Fraction { above: sign * above / common, below: sign * below / common })
    }

    /// A whole number.
    pub fn whole(number: i64) -> Self {
        Fraction { above: number.max(-i64::MAX), below: 1 }
    }

    /// The same figure with the other sign.
    #[must_use]
    pub fn negative(self) -> Self {
        Fraction { above: -self.above, below: self.below }
    }

    /// Product, unless too large.
    pub fn times(self, other: Self) -> Option<Self> {
        // Cross-cancelling first keeps the figures small.
        let a = Fraction::new(self.above, other.below)?;
        let b = Fraction::new(other.above, self.below)?;
        Fraction::new(a.above.checked_mul(b.above)?, a.below.checked_mul(b.below)?)
    }

    /// Quotient, unless too large or the divisor is nought.
    pub fn over(self, other: Self) -> Option<Self> {
        self.times(Fraction::new(other.below, other.above)?)
    }

    /// Sum, unless too large.
    pub fn plus(self, other: Self) -> Option<Self> {
        let above = self.above.checked_mul(other.below)?.checked_add(other.above.checked_mul(self.below)?)?;
        Fraction::new(above, self.below.checked_mul(other.below)?)
    }

    /// The nearest binary figure.
    pub fn to_f64(self) -> f64 {
        self.above as f64 / self.below as f64
    }

    /// The decimal figure (28 digits where it does not end).
    pub fn to_decimal(self) -> Option<Decimal> {
        Decimal::from(self.above).checked_div(Decimal::from(self.below))
    }

    /// Whether it is below nought.
    pub fn is_negative(self) -> bool {
        self.above < 0
    }

    /// Whether it is nought.
    pub fn is_nought(self) -> bool {
        self.above == 0
    }

    /// The whole number it is, if it is one.
    pub fn as_whole(self) -> Option<i64> {
        (self.below == 1).then_some(self.above)
    }

    /// Reads a figure from the beginning of `text`: `12`, `0.25`, `2/3`, `1 1/2`, `1½`, `½`.
    /// Gives the figure and how many bytes it took. A sign is not read.
    ///
    /// ```
    /// use herl::measure::Fraction;
    /// assert_eq!(Fraction::read("1 1/2 gap"), Some((Fraction::new(3, 2).unwrap(), 5)));
    /// assert_eq!(Fraction::read("1½"), Some((Fraction::new(3, 2).unwrap(), 3)));
    /// assert_eq!(Fraction::read("0.25 gap"), Some((Fraction::new(1, 4).unwrap(), 4)));
    /// assert_eq!(Fraction::read("2/3 shank"), Some((Fraction::new(2, 3).unwrap(), 3)));
    /// assert_eq!(Fraction::read("gap"), None);
    /// ```
    pub fn read(text: &str) -> Option<(Self, usize)> {
        let (first, mut used) = match read_decimal(text) {
            Some(found) => found,
            None => return vulgar(text),
        };
        let Some(rest) = text.get(used..) else { return Some((first, used)) };
        if let Some((part, took)) = vulgar(rest)
            && first.below == 1
        {
            return Some((first.plus(part)?, used + took));
        }
        if let Some((below, took)) = rest.strip_prefix('/').and_then(read_whole)
            && first.below == 1
        {
            return Some((Fraction::new(first.above, below)?, used + 1 + took));
        }
        // `1 1/2`: a whole number, one space, a fraction.
        if first.below == 1
            && let Some(next) = rest.strip_prefix(' ')
            && let Some((above, a)) = read_whole(next)
            && let Some((below, b)) = next.get(a..).and_then(|r| r.strip_prefix('/')).and_then(read_whole)
        {
            used += 1 + a + 1 + b;
            return Some((first.plus(Fraction::new(above, below)?)?, used));
        }
        Some((first, used))
    }

    /// What is wrong with a figure at the beginning of `text` that [`Fraction::read`] does not read, and how many
    /// bytes it has; `None` where none stands there.
    ///
    /// ```
    /// use herl::measure::Fraction;
    /// assert_eq!(Fraction::amiss("1/0 gap"), Some(("nought stands below the line of this fraction", 3)));
    /// assert_eq!(Fraction::amiss("99999999999999999999 mm"), Some(("the figure is too large, or too long, to be read", 20)));
    /// assert_eq!(Fraction::amiss("gap"), None);
    /// ```
    pub fn amiss(text: &str) -> Option<(&'static str, usize)> {
        let long = text.bytes().take_while(|byte| byte.is_ascii_digit() || b"./ ".contains(byte)).count();
        let figure = text.get(..long)?.trim_end();
        if !figure.bytes().any(|byte| byte.is_ascii_digit()) || Fraction::read(text).is_some() {
            return None;
        }
        let below = figure.rsplit_once('/').map(|(_, below)| below);
        let nought = below.is_some_and(|below| !below.is_empty() && below.bytes().all(|byte| byte == b'0'));
        let what = if nought { "nought stands below the line of this fraction" } else { "the figure is too large, or too long, to be read" };
        Some((what, figure.len()))
    }

    /// Reads a figure that must be the whole of `text`.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let (negative, bare) = match text.strip_prefix('-') {
            Some(bare) => (true, bare),
            None => (false, text),
        };
        let (figure, used) = Fraction::read(bare)?;
        (used == bare.len()).then_some(if negative { figure.negative() } else { figure })
    }
}

impl fmt::Display for Fraction {
    /// As a decimal where that ends within nine places, else as `a/b`; [`Fraction::parse`] reads it back.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut rest = self.below;
        for prime in [2, 5] {
            while rest % prime == 0 {
                rest /= prime;
            }
        }
        match self.to_decimal() {
            Some(decimal) if rest == 1 && decimal.scale() <= 9 => write!(f, "{}", decimal.normalize()),
            _ => write!(f, "{}/{}", self.above, self.below),
        }
    }
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

fn read_whole(text: &str) -> Option<(i64, usize)> {
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let number = text.get(..digits)?.parse().ok()?;
    Some((number, digits))
}

fn read_decimal(text: &str) -> Option<(Fraction, usize)> {
    let whole_digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let after = text.get(whole_digits..)?;
    let decimals = match after.strip_prefix('.') {
        Some(tail) => tail.bytes().take_while(u8::is_ascii_digit).count(),
        None => 0,
    };
    if whole_digits == 0 && decimals == 0 {
        return None;
    }
    let used = whole_digits + if decimals > 0 { 1 + decimals } else { 0 };
    let figures: String = text.get(..used)?.chars().filter(char::is_ascii_digit).collect();
    let below = 10_i64.checked_pow(u32::try_from(decimals).ok()?)?;
    Some((Fraction::new(figures.parse().ok()?, below)?, used))
}

/// The ready-made fraction signs of Unicode (½ and its kin).
fn vulgar(text: &str) -> Option<(Fraction, usize)> {
    let sign = text.chars().next()?;
    let (above, below) = match sign {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    };
    Some((Fraction::new(above, below)?, sign.len_utf8()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn what_is_printed_reads_back(above in -1_000_000_i64..1_000_000, below in 1_i64..100_000) {
            let figure = Fraction::new(above, below).unwrap();
            prop_assert_eq!(Fraction::parse(&figure.to_string()), Some(figure));
        }

        #[test]
        fn any_text_is_read_without_panic(text in "\\PC{0,12}") {
            let _ = Fraction::read(&text);
        }
    }
}
