//! `herl check`: a bench's files looked through for faults.

use super::out::Out;
use super::{Surroundings, Verdict};
use std::path::{Path, PathBuf};

/// What `herl check` is asked.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Files to look through; all of the bench's where left out
    #[arg(value_name = "FILE")]
    pub paths: Vec<PathBuf>,
    /// Take advice for a fault
    #[arg(long)]
    pub strict: bool,
}

/// Not wired yet, and says so.
pub(super) fn run(_: &Args, _: Option<&Path>, _: &Surroundings, out: &mut Out) -> Verdict {
    out.trouble("herl: check is not built yet");
    Verdict::Usage
}
