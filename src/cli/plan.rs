//! `herl plan`: an order worked out.

use super::out::Out;
use super::{Surroundings, Verdict};
use std::path::Path;

/// What `herl plan` is asked.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The order's name or file
    #[arg(value_name = "ORDER")]
    pub order: String,
    /// Print the plan as JSON
    #[arg(long)]
    pub json: bool,
    /// Say how the figure with this key was reckoned
    #[arg(long, value_name = "KEY")]
    pub why: Option<String>,
}

/// Not wired yet, and says so.
pub(super) fn run(_: &Args, _: Option<&Path>, _: &Surroundings, out: &mut Out) -> Verdict {
    out.trouble("herl: plan is not built yet");
    Verdict::Usage
}
