//! What cards are worked from beside the dressing: charts, materials, suppliers and the bench's terms.

use super::{HookChart, Material, Supplier, Terms};
use indexmap::IndexMap;

/// Everything on the bench a card may ask for, by folded name ([`crate::measure::words::fold`]).
#[derive(Clone, Debug)]
pub struct Shelf {
    /// The bench's terms.
    pub terms: Terms,
    /// Hook charts.
    pub charts: IndexMap<String, HookChart>,
    /// Materials.
    pub materials: IndexMap<String, Material>,
    /// Suppliers.
    pub suppliers: IndexMap<String, Supplier>,
}
