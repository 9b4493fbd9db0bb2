//! What may stand in when something is short: first what the dresser declared, in that order; then the same kind of thing,
//! the nearest in size; colour last, and only where both have one. Nothing is ever taken in place of another silently.

use crate::dressing::{Material, Shelf};
use crate::measure::words::fold;
use crate::reckon::colour::Lab;
use rust_decimal::Decimal;

/// A material that may stand in.
#[derive(Clone, Debug, PartialEq)]
pub struct StandIn {
    /// Its name.
    pub name: String,
    /// Whether the dresser declared it.
    pub declared: bool,
    /// How its length or width compares: this one's over the wanted one's; `None` where either is not known.
    pub across: Option<f64>,
    /// How far its colour looks from the wanted one's (CIEDE2000); `None` where either has none.
    pub colour: Option<f64>,
    /// What of it is free, in its unit.
    pub free: Decimal,
}

/// What may stand in for a material, the best first. `free`: what of a material (by its folded name) is free; what has
/// nothing free is left out.
pub fn stand_ins(shelf: &Shelf, wanted: &Material, free: impl Fn(&str) -> Option<Decimal>) -> Vec<StandIn> {
    let own = fold(&wanted.name.value);
    let declared: Vec<String> = wanted.substitutes.iter().map(|name| fold(&name.value)).collect();
    let kind = wanted.kind.as_ref().map(|kind| fold(&kind.value));
    let mut all: Vec<(usize, StandIn)> = Vec::new();
    for (key, material) in &shelf.materials {
        let place = declared.iter().position(|name| name == key);
        let alike = kind.is_some() && material.kind.as_ref().map(|kind| fold(&kind.value)) == kind;
        if *key == own || !(place.is_some() || alike) {
            continue;
        }
        let Some(free) = free(key).filter(|free| *free > Decimal::ZERO) else { continue };
        let colours = wanted.colour.zip(material.colour);
        let colour = colours.and_then(|(one, other)| Lab::of_screen(one).difference(Lab::of_screen(other)));
        let stand_in = StandIn { name: material.name.value.clone(), declared: place.is_some(), across: across(wanted, material), colour, free };
        all.push((place.unwrap_or(usize::MAX), stand_in));
    }
    // Sizes are compared by their ratio, rounded so that colour decides between those that are all but the same.
    let off = |stand_in: &StandIn| stand_in.across.map_or(u32::MAX, |across| (across.ln().abs() * 20.0).round() as u32);
    let colour = |stand_in: &StandIn| stand_in.colour.unwrap_or(f64::INFINITY);
    all.sort_by(|(one_place, one), (other_place, other)| {
        let by_place = one_place.cmp(other_place).then(off(one).cmp(&off(other)));
        by_place.then(colour(one).total_cmp(&colour(other))).then_with(|| one.name.cmp(&other.name))
    });
    all.into_iter().map(|(_, stand_in)| stand_in).collect()
}

/// The usable length of one over the other's, else the width.
fn across(wanted: &Material, other: &Material) -> Option<f64> {
    let ratio = |of: fn(&Material) -> Option<f64>| Some(of(other)? / of(wanted)?).filter(|ratio| ratio.is_finite() && *ratio > 0.0);
    let usable = ratio(|material| material.usable.as_ref().map(|told| told.value));
    usable.or_else(|| ratio(|material| material.width.as_ref().map(|told| told.value)))
}
