//! What several screens share.

pub mod figures;
pub mod list;
pub mod page;
pub mod reason;
pub mod why;

use super::Look;
use super::ink::Glyphs;
use super::style::Styles;

/// What a widget is painted with.
#[derive(Clone, Copy)]
pub struct Paint<'a> {
    /// How things are shown.
    pub look: &'a Look,
    /// The styles.
    pub styles: &'a Styles,
    /// The signs.
    pub glyphs: &'a Glyphs,
}
