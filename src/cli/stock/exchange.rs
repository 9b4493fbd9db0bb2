//! CSV out and in.

use super::{Fault, Shop};
use crate::cli::Verdict;
use crate::cli::out::Out;
use crate::ledger::{Error, Going, What};
use crate::measure::Words;
use crate::stores::Refusal;
use serde_json::json;
use std::fs::{File, OpenOptions};
use std::io::{BufReader, BufWriter, IsTerminal, Write};
use std::path::{Path, PathBuf};

/// What is written, and where.
#[derive(Debug, clap::Args)]
pub struct Export {
    /// The file; one that is there is not written over
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// What there is, a row a lot, in place of everything that moved
    #[arg(long)]
    pub balances: bool,
    /// Tell as JSON how much was written
    #[arg(long)]
    pub json: bool,
}

/// What is read in.
#[derive(Debug, clap::Args)]
pub struct Import {
    /// The file, as `herl stock export` writes it or with fewer columns: `name`, and `in` or `out`
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Tell as JSON how much was booked, or which rows cannot be
    #[arg(long)]
    pub json: bool,
}

/// So many bad rows are told one by one in words; JSON has them all.
const MOST_TOLD: usize = 50;

/// Progress on one line of a terminal's standard error, and nowhere else.
pub(super) struct Progress {
    shown: bool,
    on_a_terminal: bool,
}

impl Progress {
    pub(super) fn new() -> Self {
        Progress { shown: false, on_a_terminal: std::io::stderr().is_terminal() }
    }

    /// A line in place of the last one. Standard error may be gone; that is no fault of the work.
    pub(super) fn tell(&mut self, line: &str) {
        if self.on_a_terminal {
            self.shown = true;
            let _ = write!(std::io::stderr(), "\r{:<60}", Words::new(line).as_str());
        }
    }

    pub(super) fn end(&mut self) {
        if std::mem::take(&mut self.shown) {
            let _ = write!(std::io::stderr(), "\r{:<60}\r", "");
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.end();
    }
}

fn rows(count: u64) -> String {
    if count == 1 { "1 row".to_owned() } else { format!("{count} rows") }
}

pub(super) fn export(shop: &Shop, asked: &Export, here: &Path, out: &mut Out) -> Result<Verdict, Fault> {
    let ledger =
        shop.reading()?.ok_or_else(|| Fault::new("nothing was booked at this bench yet, so there is nothing to write", "`herl stock receive` first"))?;
    let path = here.join(&asked.file);
    let shown = Words::new(&asked.file.to_string_lossy());
    let refuse = |said: &std::io::Error| Fault::new(format!("{shown} could not be written: {said}"), "a file in a folder that can be written");
    let file = OpenOptions::new().write(true).create_new(true).open(&path).map_err(|said| match said.kind() {
        std::io::ErrorKind::AlreadyExists => Fault::new(format!("{shown} is there already and is not written over"), "another name"),
        _ => refuse(&said),
    })?;
    let mut progress = Progress::new();
    let what = if asked.balances { What::Balances } else { What::Movements };
    let mut writer = BufWriter::new(file);
    let told = |going: Going| {
        progress.tell(&format!("writing: {}", rows(going.rows)));
        true
    };
    let done = ledger.export(what, &asked.file, &mut writer, told).map_err(Fault::from).and_then(|count| {
        let file = writer.into_inner().map_err(|said| refuse(said.error()))?;
        file.sync_all().map_err(|said| refuse(&said))?;
        Ok(count)
    });
    progress.end();
    let count = match done {
        Ok(count) => count,
        Err(fault) => {
            // Half a file would be taken for a whole one.
            let _ = std::fs::remove_file(&path);
            return Err(fault);
        }
    };
    if shop.json {
        out.json(&json!({ "schema": 1, "rows": count, "file": shown }));
    } else {
        out.line(&format!("{} written to {shown}", rows(count)));
    }
    Ok(Verdict::Fine)
}

pub(super) fn import(shop: &Shop, asked: &Import, here: &Path, out: &mut Out) -> Result<Verdict, Fault> {
    let path = here.join(&asked.file);
    let shown = Words::new(&asked.file.to_string_lossy());
    let file = File::open(&path).map_err(|said| Fault::new(format!("{shown} could not be opened: {said}"), "a CSV file"))?;
    if file.metadata().is_ok_and(|about| !about.is_file()) {
        return Err(Fault::new(format!("{shown} is not a plain file"), "a CSV file"));
    }
    let mut ledger = shop.writing(out)?;
    let mut progress = Progress::new();
    let told = |going: Going| {
        let bad = if going.bad == 0 { String::new() } else { format!(", {} cannot be booked", going.bad) };
        progress.tell(&format!("reading: {}{bad}", rows(going.rows)));
        true
    };
    let done = ledger.import(shop.now, &asked.file, BufReader::new(file), told);
    progress.end();
    match done {
        Ok(done) => {
            if shop.json {
                out.json(&json!({ "schema": 1, "rows": done.rows, "new-things": done.new_things, "lots": done.lots }));
            } else {
                let (rows, file) = (rows(done.rows), &shown);
                out.line(&format!("{rows} of {file} booked: {} new on the shelf, {} lots", done.new_things, done.lots));
                out.line("`herl stock history` tells the movements, by whose numbers each can be taken back");
            }
            Ok(Verdict::Fine)
        }
        Err(Error::Stores(Refusal::Rows { bad })) => {
            if shop.json {
                let all: Vec<_> = bad.iter().map(|(line, why)| json!({ "line": line, "why": why })).collect();
                out.json(&json!({ "error": format!("{shown}: {} cannot be booked, so nothing was", rows(bad.len() as u64)), "rows": all }));
            } else {
                out.trouble(&format!("error: {shown}: {} cannot be booked, so nothing of the file was", rows(bad.len() as u64)));
                for (line, why) in bad.iter().take(MOST_TOLD) {
                    out.trouble(&format!("  line {line}: {why}"));
                }
                if let Some(more) = bad.len().checked_sub(MOST_TOLD).filter(|more| *more > 0) {
                    out.trouble(&format!("  and {more} more; `--json` tells them all"));
                }
            }
            Ok(Verdict::Findings)
        }
        Err(error) => Err(error.into()),
    }
}
