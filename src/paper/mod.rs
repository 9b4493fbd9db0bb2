//! Documents, pure: cards, plans and derivations in, text, JSON and SVG out; one file a form.

pub mod card;
pub mod colour;
mod ink;
pub mod json;
pub mod plan;
pub mod svg;
pub mod table;
pub mod why;
