//! Documents, pure: cards, plans, runs and derivations in, text, JSON, CSV and SVG out; one file a form.

pub mod card;
pub mod colour;
pub mod csv;
mod ink;
pub mod json;
pub mod plan;
pub mod run;
pub mod stores;
pub mod svg;
pub mod table;
pub mod why;
