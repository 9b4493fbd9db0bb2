//! How a bench wants its figures shown: lengths in mm or inches, numbers with its own marks. What is reckoned, and what
//! is JSON, knows nothing of this.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// One inch, mm (by definition since 1959: exactly).
pub const INCH: f64 = 25.4;

/// How figures are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shown {
    /// Lengths on cards.
    pub lengths: Lengths,
    /// Money and amounts.
    pub numbers: Numbers,
}

/// What lengths on cards are shown in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lengths {
    /// Millimetres.
    #[default]
    Mm,
    /// Millimetres, in the words of steps with inches beside them.
    Both,
    /// Inches.
    Inches,
}

impl Lengths {
    /// A length with its unit, in the words of a step: mm to a tenth, inches to a thousandth.
    ///
    /// ```
    /// use herl::measure::Lengths;
    /// assert_eq!(Lengths::Mm.text(7.62), "7.6 mm");
    /// assert_eq!(Lengths::Both.text(7.62), "7.6 mm (0.300 in)");
    /// assert_eq!(Lengths::Inches.text(7.62), "0.300 in");
    /// ```
    pub fn text(self, mm: f64) -> String {
        match self {
            Lengths::Mm => format!("{mm:.1} mm"),
            Lengths::Both => format!("{mm:.1} mm ({:.3} in)", mm / INCH),
            Lengths::Inches => format!("{:.3} in", mm / INCH),
        }
    }

    /// A length under a heading that names the unit: mm to so many decimals, inches to a thousandth.
    pub fn plain(self, mm: f64, decimals: usize) -> String {
        if self == Lengths::Inches { format!("{:.3}", mm / INCH) } else { format!("{mm:.decimals$}") }
    }

    /// The unit that columns and rules are in.
    pub fn unit(self) -> &'static str {
        if self == Lengths::Inches { "in" } else { "mm" }
    }
}

/// How a number is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Numbers {
    /// What parts the thousands; nothing if `None`.
    #[serde(default)]
    pub thousands: Option<char>,
    /// What stands before the decimals.
    pub decimal: char,
}

impl Default for Numbers {
    /// As a program reads them back: 1234.56.
    fn default() -> Self {
        Numbers { thousands: None, decimal: '.' }
    }
}

impl Numbers {
    /// A text with the numbers in it written so.
    ///
    /// ```
    /// use herl::measure::Numbers;
    /// let numbers = Numbers { thousands: Some('.'), decimal: ',' };
    /// assert_eq!(numbers.text("-1234567.5"), "-1.234.567,5");
    /// assert_eq!(numbers.text("about 0.28 mg"), "about 0,28 mg");
    /// assert_eq!(numbers.text("1000 m, 12"), "1.000 m, 12");
    /// assert_eq!(Numbers::default().text("1234.56"), "1234.56");
    /// ```
    pub fn text<'t>(&self, plain: &'t str) -> Cow<'t, str> {
        if *self == Numbers::default() {
            return Cow::Borrowed(plain);
        }
        let mut text = String::with_capacity(plain.len() + 4);
        let mut rest = plain;
        while let Some(from) = rest.find(|c: char| c.is_ascii_digit()) {
            let (before, number) = rest.split_at(from);
            text.push_str(before);
            let whole = number.find(|c: char| !c.is_ascii_digit()).unwrap_or(number.len());
            for (nth, digit) in number.chars().take(whole).enumerate() {
                if nth > 0 && (whole - nth).is_multiple_of(3) {
                    text.extend(self.thousands);
                }
                text.push(digit);
            }
            rest = number.get(whole..).unwrap_or_default();
            // A point with figures behind it stands before decimals; else it ends a sentence.
            if let Some(decimals) = rest.strip_prefix('.').filter(|behind| behind.starts_with(|c: char| c.is_ascii_digit())) {
                let end = decimals.find(|c: char| !c.is_ascii_digit()).unwrap_or(decimals.len());
                text.push(self.decimal);
                text.push_str(decimals.get(..end).unwrap_or_default());
                rest = decimals.get(end..).unwrap_or_default();
            }
        }
        text.push_str(rest);
        Cow::Owned(text)
    }
}
