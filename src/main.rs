//! Arguments in, exit code out.
#![forbid(unsafe_code)]

use herl::cli::{self, Surroundings};
use mimalloc::MiMalloc;
use std::process::ExitCode;

/// A card is some hundreds of small figures with their keys, and a large bench some thousands of cards: what hands out
/// memory is a third of the work.
#[global_allocator]
static MEMORY: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    let surroundings = Surroundings { folder: std::env::current_dir().ok(), variables: std::env::vars_os().collect() };
    cli::run(std::env::args_os(), &surroundings)
}
