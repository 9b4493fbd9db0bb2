//! Mathematics with no trade in it: one formula family a file, its source in the file's own page.
//!
//! Everything here is a pure function of `f64`. Lengths are in mm, masses in g, densities in g/cm³, times in
//! whatever unit they came in. A function gives `None`, never a panic and never a figure that is not finite,
//! where its inputs have no meaning: not a number, infinite, below nought, or nought below the line.

pub mod allowance;
pub mod chance;
pub mod curve;
pub mod cuts;
pub mod gauge;
pub mod inventory;
pub mod learning;
pub mod own_times;
pub mod profile;
pub mod proportion;
pub mod solids;
pub mod standard_time;
pub mod thread;
pub mod timings;
pub mod winding;

/// Whether every figure is finite and not below nought.
fn sound(figures: &[f64]) -> bool {
    figures.iter().all(|figure| figure.is_finite() && *figure >= 0.0)
}

/// The figure, if it is finite.
fn finite(figure: f64) -> Option<f64> {
    figure.is_finite().then_some(figure)
}
