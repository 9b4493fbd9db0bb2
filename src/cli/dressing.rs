//! `herl dressing`: what is done to a dressing's own file.

use super::opened::open;
use super::out::Out;
use super::{Surroundings, Verdict};
use crate::bench::edit::{self, Filled};
use clap::Subcommand;
use std::path::Path;

/// What `herl dressing` is asked.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// What to do
    #[command(subcommand)]
    pub act: Act,
}

/// What is done to a dressing's file.
#[derive(Debug, Subcommand)]
pub enum Act {
    /// Write what the dressing leaves out into its file: proportions by the custom of its kind, and the usual steps
    Fill(Fill),
}

/// Which dressing is filled in.
#[derive(Debug, clap::Args)]
pub struct Fill {
    /// The dressing's name
    #[arg(value_name = "DRESSING")]
    pub dressing: String,
}

pub(super) fn run(args: &Args, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let Act::Fill(fill) = &args.act;
    let opened = match open(bench, surroundings, out) {
        Ok(opened) => opened,
        Err(verdict) => return verdict,
    };
    let dressing = match opened.dressing(&fill.dressing, out) {
        Ok(dressing) => dressing,
        Err(verdict) => return verdict,
    };
    match edit::fill(&opened.bench, dressing) {
        Ok(filled) => {
            tell(&filled, out);
            opened.remind(out);
            Verdict::Fine
        }
        Err(faults) => {
            opened.tell(&faults, out);
            Verdict::Findings
        }
    }
}

/// What was written, line by line, with whose rule it is.
fn tell(filled: &Filled, out: &mut Out) {
    if filled.lines.is_empty() {
        out.line("nothing was written: the dressing says all that the custom of its kind would");
    } else {
        let wide = filled.lines.iter().map(|line| line.text.chars().count()).max().unwrap_or(0).min(48);
        for line in &filled.lines {
            out.line(&format!("{:>4}  {:<wide$}  {}", line.line, line.text, line.source));
        }
        let count = filled.lines.len();
        let lines = if count == 1 { "1 line was".to_owned() } else { format!("{count} lines were") };
        out.line(&format!("{lines} written into {}; every line that stood there still stands", filled.file.display()));
    }
    if let Some(backup) = &filled.backup {
        out.line(&format!("the file as it was is kept in {}", backup.display()));
    }
    filled.left.iter().for_each(|left| out.trouble(&format!("advice: {left}")));
}
