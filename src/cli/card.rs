//! `herl card`: a dressing worked out for one hook.

use super::out::Out;
use super::{Surroundings, Verdict};
use std::path::{Path, PathBuf};

/// What `herl card` is asked.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The dressing's name
    #[arg(value_name = "DRESSING")]
    pub dressing: String,
    /// The hook size
    #[arg(long, value_name = "SIZE")]
    pub size: Option<String>,
    /// A variant of the dressing
    #[arg(long, value_name = "VARIANT")]
    pub variant: Option<String>,
    /// Print the card as JSON
    #[arg(long)]
    pub json: bool,
    /// Say how the figure with this key was reckoned
    #[arg(long, value_name = "KEY")]
    pub why: Option<String>,
    /// Write the drawing to this file
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
}

/// Not wired yet, and says so.
pub(super) fn run(_: &Args, _: Option<&Path>, _: &Surroundings, out: &mut Out) -> Verdict {
    out.trouble("herl: card is not built yet");
    Verdict::Usage
}
