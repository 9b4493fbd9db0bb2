//! Documents: a card in, a paper out. Pure text; nothing here knows of files or printers.

mod ink;
pub mod svg;
pub mod why;
