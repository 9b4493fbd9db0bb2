//! `herl card`: a dressing worked out for one hook.

use super::asked::quoted;
use super::key::{self, Asked};
use super::opened::{Opened, on_the_command_line, open};
use super::out::Out;
use super::{Surroundings, Verdict};
use crate::card::{self, Card};
use crate::diagnostic::{Told, near_or_all};
use crate::dressing::{Dressing, Size};
use crate::measure::words::fold;
use crate::paper::{self, json};
use std::path::{Path, PathBuf};

/// What `herl card` is asked.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The dressing's name
    #[arg(value_name = "DRESSING")]
    pub dressing: String,
    /// The hook size; the dressing's first where left out
    #[arg(long, value_name = "SIZE", value_parser = super::asked::value, allow_hyphen_values = true)]
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
    /// Write the fly on its hook, at true scale, to this file
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
}

pub(super) fn run(args: &Args, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    match worked(args, bench, surroundings, out) {
        Ok((opened, card)) => show(args, surroundings, &opened, &card, out),
        Err(verdict) => verdict,
    }
}

fn worked(args: &Args, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Result<(Opened, Card), Verdict> {
    let opened = open(bench, surroundings, out)?;
    let dressing = opened.dressing(&args.dressing, out)?;
    let size = size(args.size.as_deref(), dressing, out)?;
    variant(args.variant.as_deref(), dressing, out)?;
    match card::work(dressing, &size, args.variant.as_deref(), None, &opened.bench.shelf) {
        Ok(card) => Ok((opened, card)),
        Err(faults) => {
            opened.tell(&faults, out);
            Err(Verdict::Findings)
        }
    }
}

/// Looks whether the dressing has the variant.
pub(super) fn variant(asked: Option<&str>, dressing: &Dressing, out: &mut Out) -> Result<(), Verdict> {
    let Some(variant) = asked.filter(|variant| !dressing.variants.contains_key(&fold(variant))) else { return Ok(()) };
    let known = dressing.variants.values().map(|variant| variant.name.value.as_str());
    let hint = near_or_all(variant, known, "no --variant: it has none");
    out.trouble(&format!("error: {} has no variant {}\nright: {hint}", dressing.name.value, quoted(variant)));
    Err(Verdict::Findings)
}

/// The size asked for; the dressing's first where none is.
pub(super) fn size(asked: Option<&str>, dressing: &Dressing, out: &mut Out) -> Result<Told<Size>, Verdict> {
    let own = dressing.sizes.iter().map(|size| size.value.text()).collect::<Vec<_>>().join(", ");
    let Some(asked) = asked else {
        return dressing.sizes.first().cloned().ok_or(Verdict::Findings);
    };
    match Size::read(asked) {
        Some(size) => Ok(dressing.sizes.iter().find(|told| told.value == size).cloned().unwrap_or_else(|| Told::new(size, on_the_command_line()))),
        None => {
            out.trouble(&format!("error: {} is not a hook size\nright: one of {own}, or another size of its hook chart", quoted(asked)));
            Err(Verdict::Findings)
        }
    }
}

fn show(args: &Args, surroundings: &Surroundings, opened: &Opened, card: &Card, out: &mut Out) -> Verdict {
    if let Some(file) = &args.svg
        && let Err(verdict) = write_svg(file, surroundings, opened, card, args.json, out)
    {
        return verdict;
    }
    if let Some(asked) = &args.why {
        return match key::find(&card.sheet, asked, &card::text::named, out) {
            Ok(Asked::Schema) => schema(args.json, out),
            Ok(Asked::Figure(fig)) if args.json => {
                out.json(&json::why(&card.sheet, fig, &|row| json::number(row.value)));
                Verdict::Fine
            }
            Ok(Asked::Figure(fig)) => {
                out.text(&paper::why::of_card(card, fig));
                Verdict::Fine
            }
            Err(verdict) => verdict,
        };
    }
    if args.json {
        out.json(&json::card(card));
    } else if args.svg.is_none() {
        out.text(&paper::card::text(card, &opened.bench.shelf));
    }
    opened.tell(&card.advice, out);
    opened.remind(out);
    Verdict::Fine
}

/// What the number of the JSON's form means.
pub(super) fn schema(as_json: bool, out: &mut Out) -> Verdict {
    let given = "the number of this form of JSON; it changes when a key changes its meaning";
    if as_json {
        out.json(&serde_json::json!({ "key": "schema", "value": json::SCHEMA, "given": given }));
    } else {
        out.line(&format!("schema = {}: {given}", json::SCHEMA));
    }
    Verdict::Fine
}

fn write_svg(file: &Path, surroundings: &Surroundings, opened: &Opened, card: &Card, quiet: bool, out: &mut Out) -> Result<(), Verdict> {
    let drawing = paper::svg::svg(card, &|role, part, piece| paper::colour::of_piece(card, &opened.bench.shelf, role, part, piece));
    if file == Path::new("-") {
        out.text(&drawing);
        return Ok(());
    }
    let path = surroundings.folder.as_deref().unwrap_or(Path::new(".")).join(file);
    // A slip of the pen must not cost a file of the bench.
    let a_drawing = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("svg"));
    if path.is_file() && !a_drawing {
        out.trouble(&format!("error: {} is there already and is no drawing\nright: a new file, such as fly.svg", file.display()));
        return Err(Verdict::Findings);
    }
    match std::fs::write(&path, drawing) {
        Ok(()) => {
            if !quiet {
                out.line(&format!("the drawing is in {}: print it at 100 %, and hold a rule to its bar", file.display()));
            }
            Ok(())
        }
        Err(error) => {
            out.trouble(&format!(
                "error: the drawing could not be written to {}: {error}\nright: a file in a folder that is there and can be written to",
                file.display()
            ));
            Err(Verdict::Findings)
        }
    }
}
