//! x
mod reckon_cli;
