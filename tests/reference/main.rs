//! Checks against figures from outside: one module a family of sources, the figures as small files in `data/`
//! with their sources at their heads, or beside the check where it is a single published example.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod cutting;
mod gauge;
mod packs;
mod published;
mod rows;
mod setting;
mod solids;
mod thread;
mod winding;
mod worked;
