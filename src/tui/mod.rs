//! The terminal: the only place that knows of screens, keys and cells.

pub mod figure;
