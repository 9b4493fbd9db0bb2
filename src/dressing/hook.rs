//! Hook charts: a table of one style of hook, each figure with its standing and source.

use super::{Pack, Size};
use crate::diagnostic::{At, Told};
use crate::measure::Unit;
use crate::why::Standing;
use indexmap::IndexMap;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// A chart of one style of hook.
#[derive(Clone, Debug)]
pub struct HookChart {
    /// Its name.
    pub name: Told<String>,
    /// Its shape.
    pub shape: HookShape,
    /// Whether the point rides down or up.
    pub rides: Rides,
    /// Direction of the eye.
    pub eye: EyeTurn,
    /// What one X of length means.
    pub one_x: XRule,
    /// What it is made of: density, g/cm³; steel of a hook where it is not told.
    pub density: Option<Told<f64>>,
    /// Share found unusable, such as 0.02.
    pub bad: Option<Told<Decimal>>,
    /// Packs it is sold in.
    pub packs: Vec<Pack>,
    /// Figures by size.
    pub sizes: IndexMap<Size, IndexMap<HookMeasure, HookFigure>>,
    /// A remark.
    pub note: Option<String>,
}

/// The shape of a hook, or of what stands for one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HookShape {
    /// A straight shank.
    #[default]
    Straight,
    /// A shank curved like a shrimp.
    Curved,
    /// A shank that bends down and up again.
    Swimming,
    /// The eye stands up from the shank, so that the point rides up.
    Jig,
    /// Two bends on one shank.
    Double,
    /// A tube; it has no gap, no barb and no point.
    Tube,
    /// A shank without a bend.
    BareShank,
}

impl HookShape {
    /// Every shape with its words.
    pub const ALL: &'static [(&'static str, HookShape)] = &[
        ("straight", HookShape::Straight),
        ("curved", HookShape::Curved),
        ("swimming", HookShape::Swimming),
        ("jig", HookShape::Jig),
        ("double", HookShape::Double),
        ("tube", HookShape::Tube),
        ("bare shank", HookShape::BareShank),
    ];

    /// Its words.
    pub fn word(self) -> &'static str {
        HookShape::ALL.iter().find(|(_, shape)| *shape == self).map_or("", |(word, _)| word)
    }

    /// Whether it has a bend, and so a gap, a barb and a point.
    pub fn has_bend(self) -> bool {
        !matches!(self, HookShape::Tube | HookShape::BareShank)
    }

    /// The measures a chart must give of it.
    pub fn needs(self) -> &'static [HookMeasure] {
        match self {
            HookShape::Tube => &[HookMeasure::Overall, HookMeasure::Outside, HookMeasure::Inside],
            HookShape::BareShank => &[HookMeasure::Shank, HookMeasure::HookWire],
            _ => &[HookMeasure::Gap, HookMeasure::Shank, HookMeasure::HookWire],
        }
    }

    /// The measures a chart may give besides; for what is left out stands a rule of thumb.
    pub fn allows(self) -> &'static [HookMeasure] {
        use HookMeasure::{Angle, Barb, Eye, Front, Overall, Point, Spread, Turn};
        match self {
            HookShape::Straight => &[Overall, Eye, Barb, Point],
            HookShape::Curved | HookShape::Swimming => &[Overall, Eye, Barb, Point, Turn],
            HookShape::Jig => &[Overall, Eye, Barb, Point, Front, Angle],
            HookShape::Double => &[Overall, Eye, Barb, Point, Spread],
            HookShape::Tube => &[],
            HookShape::BareShank => &[Overall, Eye],
        }
    }

    /// How it rides where its chart does not say: a jig with the point up, all else with the point down.
    pub fn rides(self) -> Rides {
        if self == HookShape::Jig { Rides::PointUp } else { Rides::PointDown }
    }
}

/// How a hook rides.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rides {
    /// Point down.
    #[default]
    PointDown,
    /// Point up.
    PointUp,
}

/// Which way the eye is turned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EyeTurn {
    /// Toward the point.
    #[default]
    Down,
    /// In line with the shank.
    Straight,
    /// Away from the point.
    Up,
}

/// What one X of length means; the trade disagrees.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum XRule {
    /// One whole number: a 6 2X long has the shank of a 4.
    #[default]
    WholeNumber,
    /// One catalogue (even) size: a 14 1X long has the shank of a 12.
    EvenSize,
}

impl XRule {
    /// The size whose shank a hook has that is so many X long (below nought: short). Numbers only.
    pub fn shank_size(self, size: &Size, long: i64) -> Option<Size> {
        let step = match self {
            XRule::WholeNumber => 1,
            XRule::EvenSize => 2,
        };
        Size::of_rank(size.rank(false).checked_sub(long.checked_mul(step)?)?, false)
    }
}

/// The measures of a hook a chart may give.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HookMeasure {
    /// From the point square to the shank.
    Gap,
    /// From the rear of the eye to the start of the bend, along the wire.
    Shank,
    /// Diameter of the wire.
    HookWire,
    /// From the front of the eye to the outside of the bend; of a tube, its length.
    Overall,
    /// Length of the eye along the hook.
    Eye,
    /// The barb, from the rear of the eye.
    Barb,
    /// The point, from the rear of the eye.
    Point,
    /// Of a jig: from the rear of the eye to the corner where the shank begins to run level.
    Front,
    /// Of a curved or swimming hook: how far the shank turns from the eye to the bend, degrees.
    Turn,
    /// Of a jig: how steeply the front stands to the shank, degrees.
    Angle,
    /// Of a double: the angle between its two bends, seen from the front, degrees.
    Spread,
    /// Of a tube: its outside diameter.
    Outside,
    /// Of a tube: the diameter of its bore.
    Inside,
}

impl HookMeasure {
    /// Every measure with its key.
    pub const ALL: &'static [(&'static str, HookMeasure)] = &[
        ("gap", HookMeasure::Gap),
        ("shank", HookMeasure::Shank),
        ("hook-wire", HookMeasure::HookWire),
        ("overall", HookMeasure::Overall),
        ("eye", HookMeasure::Eye),
        ("barb", HookMeasure::Barb),
        ("point", HookMeasure::Point),
        ("front", HookMeasure::Front),
        ("turn", HookMeasure::Turn),
        ("angle", HookMeasure::Angle),
        ("spread", HookMeasure::Spread),
        ("outside", HookMeasure::Outside),
        ("inside", HookMeasure::Inside),
    ];

    /// Its key.
    pub fn key(self) -> &'static str {
        HookMeasure::ALL.iter().find(|(_, measure)| *measure == self).map_or("", |(key, _)| key)
    }

    /// The unit it is told in: degrees for angles, else mm.
    pub fn unit(self) -> Unit {
        match self {
            HookMeasure::Turn | HookMeasure::Angle | HookMeasure::Spread => Unit::Degree,
            _ => Unit::Mm,
        }
    }
}

/// One figure of a chart.
#[derive(Clone, Debug)]
pub struct HookFigure {
    /// In the measure's own unit: mm, or degrees for an angle.
    pub value: f64,
    /// How well it is known.
    pub standing: Standing,
    /// Where from, in words.
    pub source: String,
    /// Where it was told.
    pub at: At,
}

impl HookChart {
    /// Whether the chart counts upward (an old scale with 00, 000).
    pub fn old_scale(&self) -> bool {
        self.sizes.keys().any(Size::is_noughts)
    }

    /// The chart's sizes from the largest hook to the smallest.
    pub fn sizes_by_rank(&self) -> Vec<&Size> {
        let mut sizes: Vec<&Size> = self.sizes.keys().collect();
        sizes.sort_by_key(|size| size.rank(self.old_scale()));
        sizes
    }

    /// The given sizes on both sides of `size`: the size itself twice when it is given, its neighbours when it
    /// lies between, `None` when it lies outside or `measure` is not given for both.
    pub fn around(&self, size: &Size, measure: HookMeasure) -> Option<(&Size, &Size)> {
        let old = self.old_scale();
        let rank = size.rank(old);
        let given = || self.sizes.iter().filter(|(_, figures)| figures.contains_key(&measure)).map(|(size, _)| size);
        if let Some(same) = given().find(|other| other.rank(old) == rank) {
            return Some((same, same));
        }
        let larger = given().filter(|other| other.rank(old) < rank).max_by_key(|other| other.rank(old))?;
        let smaller = given().filter(|other| other.rank(old) > rank).min_by_key(|other| other.rank(old))?;
        Some((larger, smaller))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_x_under_both_rules() {
        let size = |text| Size::read(text).unwrap();
        assert_eq!(XRule::WholeNumber.shank_size(&size("6"), 2), Some(size("4")));
        assert_eq!(XRule::EvenSize.shank_size(&size("14"), 1), Some(size("12")));
    }
}
