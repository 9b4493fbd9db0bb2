//! What crosses floors: the real binary, files good and bad, screens, and the house itself.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod bad_files;
mod book;
mod commands;
mod customs;
mod demo;
mod figures;
mod floors;
mod fulfil;
mod good_files;
mod hooks;
mod ledger;
mod properties;
mod proportions;
mod reckon_cli;
mod runs_cli;
mod screens;
mod support;
mod vice_screen;
mod ways;
