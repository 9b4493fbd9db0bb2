//! Mathematics with no trade in it: one formula family a file, its source in the file's own page.
//!
//! The searches (packs, suppliers, cutting, unequal, setting, line) work in whole numbers of whatever unit their caller scales
//! to, and take a budget of nodes (search.rs). Everything else here is a pure function of `f64`. Lengths are in mm, masses in g, densities in g/cm³, times in
//! whatever unit they came in. A function gives `None`, never a panic and never a figure that is not finite,
//! where its inputs have no meaning: not a number, infinite, below nought, or nought below the line; or where the work
//! would have no bound. Numbers of chapters and sections in the sources are from memory.

pub mod allowance;
pub mod chance;
pub mod colour;
pub mod curve;
pub mod cuts;
pub mod cutting;
pub mod flow;
pub mod gauge;
pub mod inventory;
pub mod learning;
pub mod line;
pub mod lots;
pub mod means;
pub mod own_times;
pub mod packs;
pub mod pert;
pub mod profile;
pub mod proportion;
pub mod rates;
pub mod search;
pub mod setting;
pub mod solids;
pub mod standard_time;
pub mod suppliers;
pub mod thread;
pub mod timings;
pub mod trial_size;
pub mod unequal;
pub mod weighing;
pub mod winding;

/// Whether every figure is finite and not below nought.
fn sound(figures: &[f64]) -> bool {
    figures.iter().all(|figure| figure.is_finite() && *figure >= 0.0)
}

/// The figure, if it is finite.
fn finite(figure: f64) -> Option<f64> {
    figure.is_finite().then_some(figure)
}
