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
    let surroundings = Surroundings { folder: std::env::current_dir().ok(), variables: std::env::vars_os().collect(), today: today() };
    cli::run(std::env::args_os(), &surroundings)
}

/// The day by the clock on the wall; by UTC where no time zone is to be found.
fn today() -> Option<jiff::civil::Date> {
    let now = jiff::Timestamp::try_from(std::time::SystemTime::now()).ok()?;
    Some(jiff::tz::TimeZone::try_system().unwrap_or(jiff::tz::TimeZone::UTC).to_datetime(now).date())
}
