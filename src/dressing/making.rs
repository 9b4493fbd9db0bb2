//! Parts made beforehand by the tray: what they are made from.

use crate::diagnostic::Told;
use crate::measure::Quantity;

/// What one made part takes. Its time stands with the material it becomes.
#[derive(Clone, Debug)]
pub struct Making {
    /// The materials (folded names) and how much of each.
    pub from: Vec<(Told<String>, Told<Quantity>)>,
    /// Seconds it dries, without hands.
    pub dries: Option<Told<f64>>,
}
