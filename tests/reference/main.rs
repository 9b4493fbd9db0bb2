//! Checks against figures from outside: one module a family of sources, the figures as small files in `data/`
//! with their sources at their heads, or beside the check where it is a single published example.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod allowance;
mod colour;
mod cutting;
mod gauge;
mod inventory;
mod learning;
mod means;
mod packs;
mod planning;
mod proportion;
mod published;
mod rows;
mod setting;
mod solids;
mod thread;
mod timings;
mod weighing;
mod winding;
mod worked;
