//! What moved.

use super::{LotId, ThingId};
use crate::measure::Words;
use rust_decimal::Decimal;
use std::fmt;

/// The ledger's own number of a movement; the first of a deed is also the deed's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct MovementId(pub i64);

impl fmt::Display for MovementId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

/// Why something moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// Came in.
    Received,
    /// Used up, by a run or by hand.
    Used,
    /// Made: makings go out, what was made comes in.
    Made,
    /// The difference a count found; nought where it found none.
    Counted,
    /// Spoilt, lost, thrown out.
    Wasted,
    /// Went back: to a supplier, or left-overs to their customer.
    Returned,
    /// Put right.
    Corrected,
    /// Delivered: finished flies that left the bench.
    Delivered,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Kind; 8] = [Kind::Received, Kind::Used, Kind::Made, Kind::Counted, Kind::Wasted, Kind::Returned, Kind::Corrected, Kind::Delivered];

    /// As shown, and as the ledger writes it.
    pub fn name(self) -> &'static str {
        match self {
            Kind::Received => "received",
            Kind::Used => "used",
            Kind::Made => "made",
            Kind::Counted => "counted",
            Kind::Wasted => "wasted",
            Kind::Returned => "returned",
            Kind::Corrected => "corrected",
            Kind::Delivered => "delivered",
        }
    }

    /// The kind of this name.
    pub fn read(name: &str) -> Option<Self> {
        Kind::ALL.into_iter().find(|kind| kind.name() == name)
    }
}

/// A movement as booked: never changed, never deleted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Movement {
    /// Its number; later ones have greater numbers.
    pub id: MovementId,
    /// The first movement of the deed it belongs to: all of one deed were booked at once, and are undone at once.
    pub deed: MovementId,
    /// When, in milliseconds of UTC since 1970.
    pub at: i64,
    /// What moved.
    pub thing: ThingId,
    /// Of which lot; loose goods, of which no lot is known, where `None`.
    pub lot: Option<LotId>,
    /// How much, in the thing's unit: in above nought, out below.
    pub quantity: Decimal,
    /// Why.
    pub kind: Kind,
    /// The run it belongs to, by its number.
    pub run: Option<i64>,
    /// The order it belongs to, by its name.
    pub order: Option<Words>,
    /// The movement it takes back.
    pub reverses: Option<MovementId>,
    /// The movement that takes it back.
    pub reversed_by: Option<MovementId>,
    /// A reason or a remark.
    pub reason: Option<Words>,
}

impl Movement {
    /// Whether it still counts for what it says: neither taken back nor itself a taking back.
    pub fn stands(&self) -> bool {
        self.reverses.is_none() && self.reversed_by.is_none()
    }
}

/// Which movements are asked for; what is not said does not matter.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Filter {
    /// Of this thing.
    pub thing: Option<ThingId>,
    /// Of this lot.
    pub lot: Option<LotId>,
    /// Of this kind.
    pub kind: Option<Kind>,
    /// Of this run.
    pub run: Option<i64>,
    /// Of this order.
    pub order: Option<Words>,
    /// From this moment on, ms of UTC.
    pub from: Option<i64>,
    /// Before this moment, ms of UTC.
    pub before: Option<i64>,
    /// Only with numbers below this one: the next page.
    pub below: Option<MovementId>,
    /// No more than so many, the newest; all where `None`.
    pub most: Option<u32>,
}

/// How much of which lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Drawn {
    /// The lot; loose goods where `None`.
    pub lot: Option<LotId>,
    /// How much.
    pub quantity: Decimal,
}
