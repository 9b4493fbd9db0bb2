//! What crosses floors: the real binary, files good and bad, screens, and the house itself.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod bad_files;
mod book;
mod commands;
mod customs;
mod demo;
mod differs;
mod drawing;
mod far;
mod figures;
mod floors;
mod frozen;
mod fulfil;
mod good_files;
mod hooks;
mod ledger;
mod plans;
mod properties;
mod proportions;
mod reckon_cli;
mod reckon_counts;
mod revise;
mod runs_cli;
mod screens;
mod solved_cli;
mod stock_cli;
mod stores;
mod stores_killed;
mod stores_screen;
mod support;
mod vice_forms;
mod vice_screen;
mod ways;
