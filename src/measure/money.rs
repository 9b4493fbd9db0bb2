//! Currencies (ISO 4217) and rounding to their minor unit.

use rust_decimal::{Decimal, RoundingStrategy};

/// A currency by its ISO 4217 letters, with the digits of its minor unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Currency {
    code: String,
    digits: u32,
}

// ISO 4217 list of 2026-01-01: all that is not two digits (as carried in Mozilla's CurrencyDataGenerated.h).
const NO_DIGITS: &[&str] = &["BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF", "XPF"];
const THREE_DIGITS: &[&str] = &["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"];
const FOUR_DIGITS: &[&str] = &["CLF", "UYW"];

impl Currency {
    /// A currency by its three letters; `None` when they are not three capital letters.
    pub fn new(code: &str) -> Option<Self> {
        if code.len() != 3 || !code.bytes().all(|b| b.is_ascii_uppercase()) {
            return None;
        }
        let digits = match code {
            c if NO_DIGITS.contains(&c) => 0,
            c if THREE_DIGITS.contains(&c) => 3,
            c if FOUR_DIGITS.contains(&c) => 4,
            _ => 2,
        };
        Some(Currency { code: code.to_owned(), digits })
    }

    /// No currency: ISO 4217 keeps the letters XXX for that.
    pub fn none() -> Self {
        Currency { code: "XXX".to_owned(), digits: 2 }
    }

    /// The three letters.
    pub fn code(&self) -> &str {
        &self.code
    }

    /// Digits after the point in the minor unit.
    pub fn digits(&self) -> u32 {
        self.digits
    }

    /// The amount as text with just the minor unit's digits, unrounded input rounded half away from nought.
    pub fn text(&self, amount: Decimal) -> String {
        format!("{:.*}", self.digits as usize, amount.round_dp_with_strategy(self.digits, RoundingStrategy::MidpointAwayFromZero))
    }
}

/// How money is brought to its minor unit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Rounding {
    /// A half goes away from nought.
    #[default]
    HalfUp,
    /// A half goes to the even neighbour.
    HalfEven,
}

impl Rounding {
    /// The amount at `digits` digits.
    pub fn round(self, amount: Decimal, digits: u32) -> Decimal {
        let strategy = match self {
            Rounding::HalfUp => RoundingStrategy::MidpointAwayFromZero,
            Rounding::HalfEven => RoundingStrategy::MidpointNearestEven,
        };
        amount.round_dp_with_strategy(digits, strategy)
    }
}
