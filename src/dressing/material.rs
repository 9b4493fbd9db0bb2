//! Materials and the suppliers they come from.

use super::{Size, Time};
use crate::diagnostic::{At, Told};
use crate::measure::Unit;
use indexmap::IndexMap;
use rust_decimal::Decimal;

/// A material of the stores.
#[derive(Clone, Debug)]
pub struct Material {
    /// Its name as written.
    pub name: Told<String>,
    /// Its kind: wire, cape, dubbing ... free text.
    pub kind: Option<Told<String>>,
    /// Its colour, red, green, blue.
    pub colour: Option<[u8; 3]>,
    /// Width of a strand (its pitch), of a hair or stem, of a bead across; mm.
    pub width: Option<Told<f64>>,
    /// Thickness of a flat strand; mm.
    pub thick: Option<Told<f64>>,
    /// Outside of a fluffy strand, for the drawing; mm.
    pub flue: Option<Told<f64>>,
    /// Linear density of a thread, in tex.
    pub tex: Option<Told<f64>>,
    /// Density, g/cm³ (of dubbing as laid).
    pub density: Option<Told<f64>>,
    /// Share of a bundle's section that is fibre.
    pub packing: Option<Told<f64>>,
    /// Hole of a bead; mm.
    pub hole: Option<Told<f64>>,
    /// Lost at each tying in, at both ends; mm.
    pub lost_at_tie: Option<Told<f64>>,
    /// Lost once a piece; mm.
    pub grip: Option<Told<f64>>,
    /// Dropped or spoilt, as a share.
    pub loss: Option<Told<f64>>,
    /// How strands are cut.
    pub cut: Option<Told<Cut>>,
    /// Length of a piece cut for several flies; mm.
    pub piece: Option<Told<f64>>,
    /// Usable length of a feather or strand; mm.
    pub usable: Option<Told<f64>>,
    /// Fibres one feather, patch or tail gives.
    pub fibres: Option<Told<f64>>,
    /// Cleaned out of a bunch, as a share.
    pub cleaned_out: Option<Told<f64>>,
    /// Millilitres of a drop.
    pub drop: Option<Told<f64>>,
    /// What a pack gives, as known at the bench.
    pub gives: Option<Told<Gives>>,
    /// How its stock is kept.
    pub keep: Keep,
    /// How it is charged to an order.
    pub charge: Charge,
    /// Full packs to have beside the one in use.
    pub spare: Option<Told<u32>>,
    /// Packs it is sold in.
    pub packs: Vec<Pack>,
    /// Proof to ask for when buying.
    pub ask: Option<Told<String>>,
    /// What may stand in for it.
    pub substitutes: Vec<Told<String>>,
    /// For a made part: time to make it.
    pub time: Option<Told<Time>>,
    /// A remark.
    pub note: Option<String>,
}

/// How a strand is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Cut {
    /// Wound straight off the spool.
    #[default]
    OffTheSpool,
    /// A length cut for each fly.
    ALengthAFly,
    /// One length serves several flies.
    ALengthForSeveral,
}

/// What a pack gives, as known at the bench.
#[derive(Clone, Debug, PartialEq)]
pub enum Gives {
    /// Feathers by gauge size in a whole one.
    Feathers(IndexMap<Size, Decimal>),
    /// So many flies of a size a pack.
    Flies {
        /// How many flies.
        flies: Decimal,
        /// Of which size.
        size: Size,
    },
}

/// How stock is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Keep {
    /// Counted exactly.
    #[default]
    Counted,
    /// By eye: full packs and one in use.
    ByEye,
    /// Not at all.
    NotAtAll,
}

/// How a material is charged to an order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Charge {
    /// By the share of a pack that it takes.
    #[default]
    Share,
    /// By the whole packs that hold it.
    WholePacks,
}

/// A pack as sold.
#[derive(Clone, Debug)]
pub struct Pack {
    /// Who sells it.
    pub supplier: Option<Told<String>>,
    /// Hook sizes it is sold in; empty is all.
    pub sizes: Vec<Size>,
    /// How much it holds, in `unit`.
    pub holds: Decimal,
    /// The unit of `holds`; [`Unit::Piece`] for a cape, patch, quill ...
    pub unit: Unit,
    /// The noun of a piece: cape, patch, quill; empty for measures.
    pub noun: String,
    /// Its price in the bench's currency.
    pub price: Told<Decimal>,
    /// Where it was told.
    pub at: At,
}

/// A supplier.
#[derive(Clone, Debug)]
pub struct Supplier {
    /// Its name.
    pub name: Told<String>,
    /// Carriage a parcel.
    pub carriage: Option<Decimal>,
    /// Carriage is free from this sum.
    pub free_over: Option<Decimal>,
    /// Days from order to hand.
    pub lead_days: Option<Decimal>,
    /// Whether its prices hold the tax.
    pub with_tax: Option<bool>,
    /// Tax rate, such as 0.2.
    pub tax: Option<Decimal>,
    /// The day the prices were noted.
    pub as_of: Option<jiff::civil::Date>,
}
