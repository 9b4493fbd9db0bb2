//! `herl dressing`: what is done to a dressing's own file.

use super::asked::{Asked, Measure};
use super::opened::{Opened, open};
use super::out::Out;
use super::{Surroundings, Verdict, card as of_card, key};
use crate::bench::edit::{self, Filled};
use crate::bench::revise::{self, Measured, Revised};
use crate::card::{self, Card};
use crate::dressing::Dressing;
use crate::measure::{Fault, Unit};
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
    /// Write a new revision into its file, in which lengths measured on a fly come out as they were measured
    Revise(Revise),
}

/// Which dressing is filled in.
#[derive(Debug, clap::Args)]
pub struct Fill {
    /// The dressing's name
    #[arg(value_name = "DRESSING")]
    pub dressing: String,
}

/// Which dressing is revised, and what was measured.
#[derive(Debug, clap::Args)]
pub struct Revise {
    /// The dressing's name
    #[arg(value_name = "DRESSING")]
    pub dressing: String,
    /// The hook size that was tied
    #[arg(long, value_name = "SIZE", value_parser = super::asked::value, allow_hyphen_values = true)]
    pub size: String,
    /// The variant that was tied
    #[arg(long, value_name = "VARIANT")]
    pub variant: Option<String>,
    /// A length by its key on the card, and what it is in mm: tail.length=9.2
    #[arg(long, value_name = "KEY=MM", required = true)]
    pub is: Vec<String>,
    /// What stands beside the revision in the file, such as a date
    #[arg(long, value_name = "TEXT")]
    pub noted: Option<String>,
}

/// A length measured on a fly.
const MEASURED: Measure = Measure { noun: "a length", unit: Unit::Mm, bare: true, over_nought: true, most: 1000.0, example: "9.2 (mm) or 3/8 in" };

pub(super) fn run(args: &Args, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let (Act::Fill(Fill { dressing: name }) | Act::Revise(Revise { dressing: name, .. })) = &args.act;
    let opened = match open(bench, surroundings, out) {
        Ok(opened) => opened,
        Err(verdict) => return verdict,
    };
    let dressing = match opened.dressing(name, out) {
        Ok(dressing) => dressing,
        Err(verdict) => return verdict,
    };
    match &args.act {
        Act::Fill(_) => fill(&opened, dressing, out),
        Act::Revise(asked) => revised(asked, &opened, dressing, out).unwrap_or_else(|verdict| verdict),
    }
}

fn fill(opened: &Opened, dressing: &Dressing, out: &mut Out) -> Verdict {
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

fn revised(asked: &Revise, opened: &Opened, dressing: &Dressing, out: &mut Out) -> Result<Verdict, Verdict> {
    let size = of_card::size(Some(&asked.size), dressing, out)?;
    of_card::variant(asked.variant.as_deref(), dressing, out)?;
    let card = card::work(dressing, &size, asked.variant.as_deref(), None, &opened.bench.shelf).map_err(|faults| {
        opened.tell(&faults, out);
        Verdict::Findings
    })?;
    let mut measured = Vec::new();
    for (key, is_mm) in figures(&asked.is, out)? {
        let (key, was_mm) = on_card(&card, &key, out)?;
        measured.push(Measured { key, size: size.value.clone(), variant: asked.variant.clone(), was_mm, is_mm });
    }
    match revise::revise(&opened.bench, dressing, &measured, asked.noted.as_deref().unwrap_or_default()) {
        Ok(revised) => {
            tell_revised(&revised, out);
            opened.remind(out);
            Ok(Verdict::Fine)
        }
        Err(faults) => {
            opened.tell(&faults, out);
            Ok(Verdict::Findings)
        }
    }
}

/// Each `KEY=MM`.
fn figures(all: &[String], out: &mut Out) -> Result<Vec<(String, f64)>, Verdict> {
    let mut read = Asked::default();
    let mut figures = Vec::new();
    for text in all {
        match text.split_once('=') {
            Some((key, figure)) => figures.push((key.trim().to_owned(), read.figure("--is", figure, &MEASURED))),
            None => figures.push((
                text.clone(),
                read.refuse("--is", text, Fault::new("a key and a length are wanted, with = between", 0..text.len()).right("such as tail.length=9.2")),
            )),
        }
    }
    let all: Option<Vec<(String, f64)>> = figures.into_iter().map(|(key, figure)| Some((key, figure?))).collect();
    all.ok_or_else(|| read.tell(false, out))
}

/// The key as it stands on the card, and what the card says, mm.
fn on_card(card: &Card, asked: &str, out: &mut Out) -> Result<(String, f64), Verdict> {
    match key::find(&card.sheet, asked, &card::text::named, out)? {
        key::Asked::Figure(fig) => Ok((card.sheet.key(fig).to_owned(), card.sheet.value(fig))),
        key::Asked::Schema => {
            out.trouble("error: \"schema\" is no length\nright: a length of the card, such as tail.length");
            Err(Verdict::Findings)
        }
    }
}

fn tell_revised(revised: &Revised, out: &mut Out) {
    if revised.said.is_empty() {
        out.line(&format!("nothing was written: every length is as the card says, and revision {} stands", revised.revision));
        return;
    }
    revised.said.iter().for_each(|line| out.line(line));
    out.line(&format!("revision {} was written into {}; all else in it stands as it stood", revised.revision, revised.file.display()));
    if let Some(backup) = &revised.backup {
        out.line(&format!("the file as it was is kept in {}", backup.display()));
    }
}
