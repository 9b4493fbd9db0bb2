//! Documents, pure: cards, plans and derivations in, text, JSON and SVG out; one file a form.

pub mod card;
pub mod colour;
pub mod json;
pub mod plan;
pub mod table;
pub mod why;
