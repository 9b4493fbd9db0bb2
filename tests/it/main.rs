//! x
mod floors;
mod ledger;
mod reckon_cli;
