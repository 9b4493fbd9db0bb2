//! Sizes of hooks and hackle. A size is text (`16`, `1/0`, `00`, `2 in`); its rank orders it.

use crate::measure::{Fraction, Quantity, Unit};
use serde::{Deserialize, Serialize};
use std::fmt;

/// A size as the trade writes it.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Size {
    text: String,
    kind: Kind,
}

#[derive(Clone, Debug, PartialEq, Eq, Hash)]
enum Kind {
    /// `16`: a larger number is a smaller hook (the other way on an old scale).
    Number(i32),
    /// `1/0`, `2/0`: larger with the number.
    Aught(i32),
    /// `00`, `000` of an old scale: smaller with each nought.
    Noughts(i32),
    /// `2 in`, `40 mm`: by length, in hundredths of a millimetre.
    Length(i64),
}

impl Size {
    /// Reads a size; `None` when it is none.
    ///
    /// ```
    /// use herl::dressing::Size;
    /// assert_eq!(Size::read(" 16 ").unwrap().text(), "16");
    /// assert!(Size::read("2/0").unwrap().rank(false) < Size::read("1/0").unwrap().rank(false));
    /// assert!(Size::read("00").unwrap().rank(true) > Size::read("1").unwrap().rank(true));
    /// assert!(Size::read("large").is_none());
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        let digits = !text.is_empty() && text.len() <= 4 && text.bytes().all(|b| b.is_ascii_digit());
        let kind = if digits && text.bytes().all(|b| b == b'0') && text.len() > 1 {
            Kind::Noughts(text.len() as i32)
        } else if digits && !text.starts_with('0') || text == "0" {
            Kind::Number(text.parse().ok()?)
        } else if let Some(number) = text.strip_suffix("/0") {
            let number: i32 = number.parse().ok()?;
            if !(1..=99).contains(&number) || text.starts_with('+') {
                return None;
            }
            Kind::Aught(number)
        } else {
            let quantity = Quantity::read(text).ok()?;
            let mm = quantity.in_unit(Unit::Mm).filter(|_| quantity.unit != Unit::One)?;
            if !(mm > 0.0 && mm < 10_000.0) || quantity.figure == Fraction::NOUGHT {
                return None;
            }
            Kind::Length((mm * 100.0).round() as i64)
        };
        Some(Size { text: text.to_owned(), kind })
    }

    /// As written.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Where it stands among sizes: a higher rank is a smaller hook. `old_scale`: the chart counts upward
    /// (0, 1, 2 ... larger with the number; 00 and 000 below 0).
    pub fn rank(&self, old_scale: bool) -> i64 {
        match self.kind {
            Kind::Number(number) if old_scale => -i64::from(number),
            Kind::Number(number) => i64::from(number),
            Kind::Aught(number) => 1 - i64::from(number),
            Kind::Noughts(noughts) => i64::from(noughts) - 1,
            Kind::Length(hundredths) => -hundredths,
        }
    }

    /// Whether it belongs to an old scale only (`00`, `000`).
    pub fn is_noughts(&self) -> bool {
        matches!(self.kind, Kind::Noughts(_))
    }

    /// Whether it is a length (`2 in`): such sizes have no neighbours among numbers.
    pub fn is_length(&self) -> bool {
        matches!(self.kind, Kind::Length(_))
    }

    /// The size with this rank on a scale of numbers; aughts beyond 1.
    pub fn of_rank(rank: i64, old_scale: bool) -> Option<Self> {
        let text = match (rank, old_scale) {
            (rank, true) if rank <= 0 => (-rank).to_string(),
            (rank, true) => "0".repeat(usize::try_from(rank).ok()?.min(4) + 1),
            (rank, false) if rank >= 1 => rank.to_string(),
            (rank, false) => format!("{}/0", 1 - rank),
        };
        Size::read(&text)
    }
}

impl TryFrom<String> for Size {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        Size::read(&text).ok_or_else(|| format!("\"{text}\" is no size"))
    }
}

impl From<Size> for String {
    fn from(size: Size) -> Self {
        size.text
    }
}

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.text)
    }
}
