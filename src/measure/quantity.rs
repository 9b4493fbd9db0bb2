//! A figure with its unit, as a dresser writes it: `8.5 mm`, `3/8 in`, `12 %`, `4 min a dozen`.

use super::{Dimension, Fraction, Unit};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::ops::Range;

/// An exact figure with the unit it was written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Quantity {
    /// The figure as written.
    pub figure: Fraction,
    /// Its unit as written; [`Unit::One`] where none stood.
    pub unit: Unit,
}

/// What is wrong with a short text, which of its bytes, and what would be right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// What is wrong.
    pub what: String,
    /// Which bytes of the text.
    pub within: Range<usize>,
    /// What would be right.
    pub right: Option<String>,
}

impl Fault {
    /// A fault in these bytes.
    pub fn new(what: impl Into<String>, within: Range<usize>) -> Self {
        Fault { what: what.into(), within, right: None }
    }

    /// Adds what would be right.
    #[must_use]
    pub fn right(mut self, right: impl Into<String>) -> Self {
        self.right = Some(right.into());
        self
    }
}

impl Quantity {
    /// Reads a figure and a unit: `8.5 mm`, `8.5mm`, `3/8 in`, `100`, `12 %` (which is 0.12).
    ///
    /// ```
    /// use herl::measure::{Quantity, Unit};
    /// let q = Quantity::read("3/8 in").unwrap();
    /// assert_eq!(q.in_unit(Unit::Mm), Some(9.525));
    /// assert!(Quantity::read("1,5 mm").unwrap_err().right.unwrap().contains("1.5 mm"));
    /// ```
    pub fn read(text: &str) -> Result<Self, Fault> {
        let lead = text.len() - text.trim_start().len();
        let bare = text.trim();
        let whole = lead..lead + bare.len();
        if bare.is_empty() {
            return Err(Fault::new("nothing stands here", 0..text.len()).right("a figure with its unit, such as `8.5 mm`"));
        }
        let (negative, body) = match bare.strip_prefix('-') {
            Some(rest) => (true, rest.trim_start()),
            None => (false, bare),
        };
        if let Some(rest) = bare.strip_prefix('+').filter(|rest| Fraction::read(rest.trim_start()).is_some()) {
            return Err(Fault::new("a plus sign is not needed here", whole).right(format!("`{}`", rest.trim_start())));
        }
        let Some((figure, used)) = Fraction::read(body) else {
            if let Some((what, long)) = Fraction::amiss(body) {
                let from = whole.end - body.len();
                return Err(Fault::new(what, from..from + long).right("a figure such as `1.5` or `2/3`"));
            }
            return Err(Fault::new(format!("\"{bare}\" does not begin with a figure"), whole).right("a figure with its unit, such as `8.5 mm`"));
        };
        let figure = if negative { figure.negative() } else { figure };
        let rest = body.get(used..).unwrap_or_default();
        if let Some(fault) = comma(bare, body, used, &whole) {
            return Err(fault);
        }
        let word = rest.trim();
        if word.is_empty() {
            return Ok(Quantity { figure, unit: Unit::One });
        }
        if word == "%" {
            let hundredth = Fraction::new(1, 100).and_then(|h| figure.times(h));
            return hundredth.map(|figure| Quantity { figure, unit: Unit::One }).ok_or_else(|| Fault::new("the figure is too large", whole));
        }
        match Unit::read(word) {
            Some(unit) => Ok(Quantity { figure, unit }),
            None => {
                let from = whole.end - word.len();
                Err(Fault::new(format!("\"{word}\" is not a unit known here"), from..whole.end)
                    .right("one of mm, cm, m, in, ft, yd, g, mg, oz, ml, s, min, h, days, %"))
            }
        }
    }

    /// The figure in `unit`; `None` when it measures something else.
    pub fn in_unit(self, unit: Unit) -> Option<f64> {
        if self.unit == unit {
            return Some(self.figure.to_f64());
        }
        self.decimal_in(unit)?.to_f64()
    }

    /// The figure in `unit` as a decimal; `None` when it measures something else or is too large.
    pub fn decimal_in(self, unit: Unit) -> Option<Decimal> {
        self.unit.convert(self.figure.to_decimal()?, unit)
    }

    /// What it measures.
    pub fn dimension(self) -> Dimension {
        self.unit.dimension()
    }
}

/// `1,5 mm` is told to be `1.5 mm`; `1,234 mm` could be either, and says so by the same hint.
fn comma(bare: &str, body: &str, used: usize, whole: &Range<usize>) -> Option<Fault> {
    let rest = body.get(used..)?;
    let after = rest.strip_prefix(',')?;
    after
        .starts_with(|c: char| c.is_ascii_digit())
        .then(|| Fault::new("a decimal takes a point, not a comma", whole.clone()).right(format!("`{}`", bare.replacen(',', ".", 1))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_yard_is_exact() {
        assert_eq!(Quantity::read("100 yd").unwrap().decimal_in(Unit::M), Some(Decimal::new(9144, 2)));
        assert_eq!(Quantity::read("100 m").unwrap().decimal_in(Unit::M), Some(Decimal::from(100)));
    }

    proptest! {
        #[test]
        fn any_text_is_read_without_panic(text in "\\PC{0,16}") {
            let _ = Quantity::read(&text);
        }
    }
}
