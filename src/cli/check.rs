//! `herl check`: a bench's files and cards looked through for faults.

use super::opened::{open, report};
use super::out::Out;
use super::{Surroundings, Verdict};
use crate::bench;
use std::path::{Path, PathBuf};

/// What `herl check` is asked.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Files of the bench to look through; all of them where left out
    #[arg(value_name = "FILE")]
    pub paths: Vec<PathBuf>,
    /// Take advice for a fault
    #[arg(long)]
    pub strict: bool,
}

pub(super) fn run(args: &Args, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let mut opened = match open(bench, surroundings, out) {
        Ok(opened) => opened,
        Err(verdict) => return verdict,
    };
    let mut findings = std::mem::take(&mut opened.findings);
    for found in bench::cards::check(&opened.bench) {
        if !findings.contains(&found) {
            findings.push(found);
        }
    }
    let folder = surroundings.folder.as_deref().unwrap_or(Path::new("."));
    // A file is looked for where the command is called, then on the bench.
    let found = |path: &PathBuf| Some(folder.join(path)).filter(|full| full.exists()).unwrap_or_else(|| opened.bench.dir.join(path));
    for path in &args.paths {
        let full = found(path);
        let inside = inside(&full, &opened.bench.dir);
        if inside.is_none() {
            let what = if full.exists() { "is not a file of this bench" } else { "is not there" };
            out.trouble(&format!("error: {} {what}\nright: a file of the bench, such as materials.yaml; another bench is named by --bench", path.display()));
            return Verdict::Findings;
        }
    }
    if !args.paths.is_empty() {
        let wanted: Vec<PathBuf> = args.paths.iter().map(found).filter_map(|full| inside(&full, &opened.bench.dir)).collect();
        findings.retain(|fault| fault.at.as_ref().is_some_and(|at| wanted.iter().any(|file| at.file.starts_with(file))));
    }
    let errors = findings.iter().filter(|fault| fault.is_error()).count();
    if findings.is_empty() {
        let bench = &opened.bench;
        opened.say_which(out);
        if !args.paths.is_empty() {
            out.line(if args.paths.len() == 1 { "nothing to find fault with in that file" } else { "nothing to find fault with in those files" });
            return Verdict::Fine;
        }
        out.line(&format!(
            "nothing to find fault with: {} dressings, {} hook charts, {} materials, {} orders",
            bench.dressings.len(),
            bench.shelf.charts.len(),
            bench.shelf.materials.len(),
            bench.orders.len()
        ));
        return Verdict::Fine;
    }
    opened.say_which(out);
    out.text(&report(&findings, &opened.bench.dir));
    if errors > 0 || args.strict { Verdict::Findings } else { Verdict::Fine }
}

/// The path of a file within the bench, as its diagnostics name it.
fn inside(full: &Path, bench: &Path) -> Option<PathBuf> {
    let (full, bench) = (full.canonicalize().ok()?, bench.canonicalize().ok()?);
    full.strip_prefix(&bench).map(Path::to_path_buf).ok()
}
