//! Goods kept by eye: full packs and one in use. Silk, varnish, wax, dubbing: what nobody counts, and everybody sees.

use super::ThingId;

/// How much of the pack in use is left.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum InUse {
    /// Nearly done.
    NearlyDone,
    /// Half.
    Half,
    /// Full, or nearly.
    Full,
}

impl InUse {
    /// Every one, the fullest first.
    pub const ALL: [InUse; 3] = [InUse::Full, InUse::Half, InUse::NearlyDone];

    /// As shown, and as the ledger writes it.
    pub fn name(self) -> &'static str {
        match self {
            InUse::Full => "full",
            InUse::Half => "half",
            InUse::NearlyDone => "nearly done",
        }
    }

    /// The one of this name.
    pub fn read(name: &str) -> Option<Self> {
        InUse::ALL.into_iter().find(|one| one.name() == name)
    }
}

/// What is there of goods kept by eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ByEye {
    /// What.
    pub thing: ThingId,
    /// Packs not opened.
    pub full: u32,
    /// The one in use; `None` where none is.
    pub in_use: Option<InUse>,
    /// When it was last looked at or changed, ms of UTC.
    pub at: i64,
}

impl ByEye {
    /// What is there when the next pack is opened; `None` where there is none to open.
    #[must_use]
    pub fn opened(self) -> Option<Self> {
        Some(ByEye { full: self.full.checked_sub(1)?, in_use: Some(InUse::Full), ..self })
    }

    /// Whether it belongs on the buying list: fewer full packs than are to be spare (one where nobody says).
    pub fn low(&self, spare: Option<u32>) -> bool {
        self.full < spare.unwrap_or(1)
    }
}
