//! Changes that hold at some sizes only: `16`, `14-16`, `16 and smaller`, `10 and larger`.

use super::{PartFields, Size};
use crate::diagnostic::{At, Told};

/// Changes to parts at some sizes.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// At which sizes.
    pub rule: SizeRule,
    /// By part.
    pub parts: Vec<(Told<String>, PartFields)>,
    /// Where it was told.
    pub at: At,
}

/// Which sizes a change holds at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SizeRule {
    /// These sizes.
    These(Vec<Size>),
    /// All from one size to another, both among them.
    Range(Size, Size),
    /// A size and all on one side of it.
    Open {
        /// From this size on.
        from: Size,
        /// To the smaller hooks, else to the larger.
        smaller: bool,
    },
}

impl SizeRule {
    /// Reads a rule; `None` when it is none.
    ///
    /// ```
    /// use herl::dressing::{Size, SizeRule};
    /// let fits = |rule: &str, size: &str| SizeRule::read(rule).unwrap().fits(&Size::read(size).unwrap(), false);
    /// assert!(fits("16 and smaller", "18") && !fits("16 and smaller", "14"));
    /// assert!(fits("14-16", "15") && fits("10 and larger", "1/0") && fits("12, 14", "14"));
    /// assert!(SizeRule::read("small").is_none());
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        let lower = text.to_lowercase();
        for (ending, smaller) in [("and smaller", true), ("and larger", false), ("and up", false), ("and down", true)] {
            if let Some(size) = lower.strip_suffix(ending) {
                return Some(SizeRule::Open { from: Size::read(size)?, smaller });
            }
        }
        if let Some((from, to)) = lower.split_once('-').or_else(|| lower.split_once(" to ")).or_else(|| lower.split_once('–')) {
            return Some(SizeRule::Range(Size::read(from)?, Size::read(to)?));
        }
        let sizes: Option<Vec<Size>> = text.split(',').map(Size::read).collect();
        sizes.filter(|sizes| !sizes.is_empty()).map(SizeRule::These)
    }

    /// Whether it holds at `size`.
    pub fn fits(&self, size: &Size, old_scale: bool) -> bool {
        let rank = size.rank(old_scale);
        match self {
            SizeRule::These(sizes) => sizes.iter().any(|one| one.rank(old_scale) == rank),
            SizeRule::Range(a, b) => {
                let (a, b) = (a.rank(old_scale), b.rank(old_scale));
                (a.min(b)..=a.max(b)).contains(&rank)
            }
            SizeRule::Open { from, smaller: true } => rank >= from.rank(old_scale),
            SizeRule::Open { from, smaller: false } => rank <= from.rank(old_scale),
        }
    }
}
