//! Lots: goods of one purchase that match, and what is known of them.

use super::ThingId;
use crate::measure::Words;
use crate::measure::money::Currency;
use jiff::civil::Date;
use rust_decimal::Decimal;
use std::fmt;

/// The ledger's own number of a lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct LotId(pub i64);

impl fmt::Display for LotId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

/// A sum of money in the minor unit of its currency.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Price {
    /// Minor units: pence, cents.
    pub minor: i64,
    /// The currency.
    pub currency: Currency,
}

impl Price {
    /// The sum in the currency's major unit, exactly.
    pub fn amount(&self) -> Decimal {
        Decimal::from_i128_with_scale(i128::from(self.minor), self.currency.digits())
    }

    /// A sum of the major unit; `None` where it has more digits than the minor unit, or is too large.
    pub fn of(amount: Decimal, currency: Currency) -> Option<Self> {
        let minor = amount.checked_mul(Decimal::from(10u64.checked_pow(currency.digits())?))?.normalize();
        let minor = minor.is_integer().then(|| i64::try_from(minor).ok())??;
        Some(Price { minor, currency })
    }
}

/// How much of a skin is left, told by eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Share {
    /// Nothing.
    Gone,
    /// Bits round the edge, for which an eighth is taken.
    Remnants,
    /// A quarter.
    Quarter,
    /// A half.
    Half,
    /// Three quarters.
    ThreeQuarters,
    /// The whole skin.
    Whole,
}

impl Share {
    /// Every share, the most first.
    pub const ALL: [Share; 6] = [Share::Whole, Share::ThreeQuarters, Share::Half, Share::Quarter, Share::Remnants, Share::Gone];

    /// As shown.
    pub fn name(self) -> &'static str {
        match self {
            Share::Gone => "gone",
            Share::Remnants => "remnants",
            Share::Quarter => "a quarter",
            Share::Half => "half",
            Share::ThreeQuarters => "three quarters",
            Share::Whole => "whole",
        }
    }

    /// As a share of a whole skin.
    pub fn of_one(self) -> Decimal {
        let eighths = match self {
            Share::Gone => 0,
            Share::Remnants => 1,
            Share::Quarter => 2,
            Share::Half => 4,
            Share::ThreeQuarters => 6,
            Share::Whole => 8,
        };
        Decimal::new(eighths * 125, 3).normalize()
    }

    /// The share nearest to this much of a skin; of two as near the lesser.
    pub fn nearest(left: Decimal) -> Self {
        let off = |share: &Share| (left - share.of_one()).abs();
        Share::ALL.into_iter().rev().min_by_key(off).unwrap_or(Share::Gone)
    }

    /// How far a share told by eye may be out, as a share of a whole skin: half the way to the next.
    pub fn margin(self) -> Decimal {
        match self {
            Share::Gone => Decimal::ZERO,
            Share::Remnants => Decimal::new(625, 4),
            _ => Decimal::new(125, 3),
        }
    }
}

/// What is known of a lot beyond what it holds. It may be put right at any time.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LotSays {
    /// Who it came from.
    pub supplier: Option<Words>,
    /// The day it came, or was made.
    pub received: Option<Date>,
    /// What the whole lot cost; of made parts what their makings cost. A customer's own goods have none.
    pub price: Option<Price>,
    /// The dyer's number.
    pub dye_lot: Option<Words>,
    /// A swatch of it was kept.
    pub swatch: bool,
    /// Reference of its proof of origin.
    pub proof: Option<Words>,
    /// Kept apart from the others until then: a new skin may carry moth.
    pub apart_until: Option<Date>,
    /// A remark.
    pub note: Option<Words>,
}

/// A lot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lot {
    /// Its number.
    pub id: LotId,
    /// What it is a lot of.
    pub thing: ThingId,
    /// The customer whose own goods these are.
    pub customer: Option<Words>,
    /// The run that made it, by its number.
    pub run: Option<i64>,
    /// What is known of it.
    pub says: LotSays,
    /// Nothing more is drawn from it.
    pub closed: bool,
    /// All that ever came into it, in the thing's unit: what its price is for.
    pub came_in: Decimal,
    /// What it holds now.
    pub holds: Decimal,
    /// What of that is set aside.
    pub set_aside: Decimal,
}

impl Lot {
    /// What is neither used nor set aside.
    pub fn free(&self) -> Decimal {
        self.holds - self.set_aside
    }

    /// Whether it is kept apart on this day.
    pub fn apart(&self, today: Date) -> bool {
        self.says.apart_until.is_some_and(|until| today < until)
    }

    /// What this much of it cost, exactly, in its currency's major unit; `None` where the price or all that came in is
    /// not known.
    pub fn cost_of(&self, quantity: Decimal) -> Option<Decimal> {
        let price = self.says.price.as_ref()?.amount();
        price.checked_mul(quantity)?.checked_div(self.came_in)
    }
}
