//! Arguments in, exit code out.
#![forbid(unsafe_code)]

use herl::cli::{self, Surroundings};
use std::process::ExitCode;

fn main() -> ExitCode {
    let surroundings = Surroundings { folder: std::env::current_dir().ok(), variables: std::env::vars_os().collect() };
    cli::run(std::env::args_os(), &surroundings)
}
