//! `herl`: a bench assistant and batch planner for people who tie fishing flies to order.
#![forbid(unsafe_code)]

pub mod bench;
pub mod card;
pub mod cli;
pub mod diagnostic;
pub mod dressing;
pub mod ledger;
pub mod measure;
pub mod paper;
pub mod plan;
pub mod reckon;
pub mod stores;
pub mod tui;
pub mod vice;
pub mod why;
