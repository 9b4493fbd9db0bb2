//! What can stand on a shelf, and what has a name in a dresser's files.

use crate::measure::{Unit, Words};
use std::fmt;

/// The ledger's own number of a thing. Names change, it does not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ThingId(pub i64);

impl fmt::Display for ThingId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

/// Sorts of things that have names of their own. What stands on the shelf is one of them, or hangs on one: a hook on its
/// chart, a fly on its dressing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sort {
    /// A material, a made part among them: materials.yaml names both.
    Material,
    /// A hook chart.
    Chart,
    /// A dressing.
    Dressing,
    /// A variant of a dressing.
    Variant,
    /// A supplier.
    Supplier,
    /// A customer.
    Customer,
}

impl Sort {
    /// Every sort.
    pub const ALL: [Sort; 6] = [Sort::Material, Sort::Chart, Sort::Dressing, Sort::Variant, Sort::Supplier, Sort::Customer];

    /// As shown, and as the ledger writes it.
    pub fn name(self) -> &'static str {
        match self {
            Sort::Material => "material",
            Sort::Chart => "chart",
            Sort::Dressing => "dressing",
            Sort::Variant => "variant",
            Sort::Supplier => "supplier",
            Sort::Customer => "customer",
        }
    }
}

/// A name as the files have it now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// What sort of thing.
    pub sort: Sort,
    /// Of a variant: its dressing's name.
    pub of: Option<Words>,
    /// Its name.
    pub name: Words,
    /// Names it had before.
    pub formerly: Vec<Words>,
}

impl Named {
    /// A name that never was another.
    pub fn new(sort: Sort, name: &str) -> Self {
        Named { sort, of: None, name: Words::new(name), formerly: Vec::new() }
    }
}

/// How a finished fly compares with its sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quality {
    /// Like the sample.
    Good,
    /// Sound, but not like the sample.
    Second,
    /// The sample itself, or another of its sitting.
    Sample,
}

impl Quality {
    /// Every one.
    pub const ALL: [Quality; 3] = [Quality::Good, Quality::Second, Quality::Sample];

    /// As shown, and as the ledger writes it.
    pub fn name(self) -> &'static str {
        match self {
            Quality::Good => "good",
            Quality::Second => "second",
            Quality::Sample => "sample",
        }
    }
}

/// What stands on a shelf, by its names. Names compare folded; sizes as written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Goods {
    /// A material, or a part made beforehand.
    Material {
        /// Its name in materials.yaml.
        name: Words,
        /// The size it is kept by: a bead's, a feather's by the gauge. `None` where it has none (a whole cape).
        size: Option<Words>,
        /// Fibre length of plucked and sized hackle, in micrometres: a drawer.
        fibre_um: Option<u32>,
    },
    /// Hooks of a chart and a size.
    Hook {
        /// The chart's name.
        chart: Words,
        /// The size.
        size: Words,
    },
    /// Finished flies.
    Fly {
        /// The dressing's name.
        dressing: Words,
        /// Its revision.
        revision: u32,
        /// The hook size.
        size: Words,
        /// The variant.
        variant: Option<Words>,
        /// Good, second or sample.
        quality: Quality,
    },
}

impl Goods {
    /// A material without size.
    pub fn material(name: &str) -> Self {
        Goods::Material { name: Words::new(name), size: None, fibre_um: None }
    }

    /// A material of a size.
    pub fn sized(name: &str, size: &str) -> Self {
        Goods::Material { name: Words::new(name), size: Some(Words::new(size)), fibre_um: None }
    }

    /// Hooks.
    pub fn hook(chart: &str, size: &str) -> Self {
        Goods::Hook { chart: Words::new(chart), size: Words::new(size) }
    }

    /// The name it hangs on: the material's, the chart's, the dressing's.
    pub fn name(&self) -> &Words {
        match self {
            Goods::Material { name, .. } => name,
            Goods::Hook { chart, .. } => chart,
            Goods::Fly { dressing, .. } => dressing,
        }
    }

    /// The sort of that name.
    pub fn sort(&self) -> Sort {
        match self {
            Goods::Material { .. } => Sort::Material,
            Goods::Hook { .. } => Sort::Chart,
            Goods::Fly { .. } => Sort::Dressing,
        }
    }

    /// The size, where it has one.
    pub fn size(&self) -> Option<&Words> {
        match self {
            Goods::Material { size, .. } => size.as_ref(),
            Goods::Hook { size, .. } | Goods::Fly { size, .. } => Some(size),
        }
    }
}

impl fmt::Display for Goods {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Goods::Material { name, size, fibre_um } => {
                write!(f, "{name}")?;
                if let Some(size) = size {
                    write!(f, ", size {size}")?;
                }
                if let Some(um) = fibre_um {
                    write!(f, ", fibre {} mm", super::quantity::mm(*um))?;
                }
                Ok(())
            }
            Goods::Hook { chart, size } => write!(f, "hook {chart} {size}"),
            Goods::Fly { dressing, revision, size, variant, quality } => {
                write!(f, "{dressing}, revision {revision}, size {size}")?;
                if let Some(variant) = variant {
                    write!(f, ", {variant}")?;
                }
                match quality {
                    Quality::Good => Ok(()),
                    Quality::Second => f.write_str(", seconds"),
                    Quality::Sample => f.write_str(", samples"),
                }
            }
        }
    }
}

/// A thing of the stores: goods in one unit. What is kept in two units (a whole cape, and feathers plucked from it) is two
/// things.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Thing {
    /// Its number.
    pub id: ThingId,
    /// What it is, by the names it has now.
    pub goods: Goods,
    /// The unit it is kept in; never changed.
    pub unit: Unit,
}

impl fmt::Display for Thing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.goods, f)
    }
}
