//! `herl`: a bench assistant and batch planner for people who tie fishing flies to order.
#![forbid(unsafe_code)]

pub mod bench;
pub mod card;
pub mod diagnostic;
pub mod dressing;
pub mod measure;
pub mod why;
