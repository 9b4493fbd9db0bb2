//! `herl run`: what was done at the vice. Reads the ledger and never makes one.

use super::card::schema;
use super::key::{self, Asked};
use super::opened::folder;
use super::out::Out;
use super::{Surroundings, Verdict};
use crate::ledger::{Error, Ledger, RunId, RunRow};
use crate::paper;
use crate::paper::run::{Brief, Head, Listed};
use crate::vice::Run;
use crate::vice::report::report;
use clap::Subcommand;
use std::path::Path;

/// What `herl run` is asked.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// What is to be told
    #[command(subcommand)]
    pub act: Act,
}

/// What is to be told.
#[derive(Debug, Subcommand)]
pub enum Act {
    /// Every run, the oldest first: what was tied, how far it is, how long it took
    List(List),
    /// One run: what became of its flies, times against what was expected, what goes out of the stores
    Show(Show),
}

/// In which form the runs are told.
#[derive(Debug, clap::Args)]
pub struct List {
    /// Print the list as JSON
    #[arg(long)]
    pub json: bool,
    /// Print the list as CSV
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
}

/// Which run is told, and in which form.
#[derive(Debug, clap::Args)]
pub struct Show {
    /// The run's number, as `herl run list` tells it
    #[arg(value_name = "NUMBER")]
    pub number: i64,
    /// Print the report as JSON
    #[arg(long)]
    pub json: bool,
    /// Print its figures as CSV
    #[arg(long, conflicts_with_all = ["json", "why"])]
    pub csv: bool,
    /// Say how the figure with this key was reckoned
    #[arg(long, value_name = "KEY")]
    pub why: Option<String>,
}

pub(super) fn run(args: &Args, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let told = folder(bench, surroundings, out).and_then(|(dir, notice)| {
        let ledger = Ledger::open_reading(&dir).map_err(|error| refuse(&error, out))?;
        let verdict = match &args.act {
            Act::List(list) => all(list, ledger.as_ref(), out),
            Act::Show(show) => one(show, ledger.as_ref(), out),
        };
        if let Some(notice) = notice {
            out.trouble(&notice);
        }
        verdict
    });
    told.unwrap_or_else(|verdict| verdict)
}

/// So many runs that cannot be read are told one by one.
const MOST_TOLD: usize = 20;

fn refuse(error: &Error, out: &mut Out) -> Verdict {
    out.trouble(&format!("error: {error}"));
    Verdict::Findings
}

/// One run that cannot be read hides none of the others.
fn all(list: &List, ledger: Option<&Ledger>, out: &mut Out) -> Result<Verdict, Verdict> {
    let ids = ledger.map_or(Ok(Vec::new()), Ledger::run_ids).map_err(|error| refuse(&error, out))?;
    let mut faults = Vec::new();
    let mut rows = Vec::new();
    for (id, ledger) in ids.into_iter().filter_map(|id| Some((id, ledger?))) {
        let row = ledger.run(id);
        let state = row.as_ref().map(|_| ledger.state(id));
        faults.extend(row.as_ref().err().or_else(|| state.as_ref().ok()?.as_ref().err()).map(Error::to_string));
        let brief = state.ok().and_then(Result::ok).map(|state| brief(&state));
        rows.push(Listed { number: id.0, head: row.ok().map(|row| head(&row)), brief });
    }
    if list.json {
        out.json(&paper::run::list_json(&rows));
    } else if list.csv {
        out.csv(&paper::run::list_csv(&rows));
    } else if !rows.is_empty() {
        out.text(&paper::run::list_text(&rows));
    }
    if rows.is_empty() {
        let nothing = "no run was begun at this bench yet; `t` on a dressing in `herl` begins one";
        if list.json || list.csv { out.trouble(nothing) } else { out.line(nothing) }
    }
    if faults.is_empty() {
        return Ok(Verdict::Fine);
    }
    faults.iter().take(MOST_TOLD).for_each(|fault| out.trouble(&format!("error: {fault}")));
    if let Some(more) = faults.len().checked_sub(MOST_TOLD).filter(|more| *more > 0) {
        out.trouble(&format!("and {more} more that cannot be read"));
    }
    Err(Verdict::Findings)
}

fn one(show: &Show, ledger: Option<&Ledger>, out: &mut Out) -> Result<Verdict, Verdict> {
    let id = RunId(show.number);
    let ids = ledger.map_or(Ok(Vec::new()), Ledger::run_ids).map_err(|error| refuse(&error, out))?;
    let Some(ledger) = ledger.filter(|_| ids.contains(&id)) else {
        let right = match (ids.iter().min(), ids.iter().max()) {
            (Some(first), Some(last)) if first != last => format!("a number from {first} to {last}; `herl run list` tells which is which"),
            (Some(only), _) => format!("{only}, the only run there is"),
            _ => "a run begun first, with `t` on a dressing in `herl`: there is none at this bench yet".to_owned(),
        };
        out.trouble(&format!("error: there is no run {id} at this bench\nright: {right}"));
        return Err(Verdict::Findings);
    };
    let row = ledger.run(id).map_err(|error| refuse(&error, out))?;
    let state = ledger.state(id).map_err(|error| refuse(&error, out))?;
    let (head, report) = (head(&row), report(&state));
    if let Some(asked) = &show.why {
        // Single flies' times are there too, but too many to be told as hints.
        let named = |key: &str| !key.ends_with(".timing") && !key.contains(".timing.") && !key.starts_with("fly ");
        match key::find(&report.sheet, asked, &named, out)? {
            Asked::Schema => return Ok(schema(show.json, out)),
            Asked::Figure(fig) if show.json => out.json(&paper::json::why(&report.sheet, fig, &paper::run::number)),
            Asked::Figure(fig) => out.text(&paper::why::of_run(&report, fig)),
        }
    } else if show.json {
        out.json(&paper::run::json(&head, &report));
    } else if show.csv {
        out.csv(&paper::run::figures_csv(&report));
    } else {
        out.text(&paper::run::text(&head, &report));
    }
    Ok(Verdict::Fine)
}

fn head(row: &RunRow) -> Head {
    Head {
        number: row.id.0,
        dressing: row.begun.dressing.clone(),
        revision: row.begun.revision,
        size: row.begun.size.clone(),
        variant: row.begun.variant.clone(),
        begun_at: row.begun.begun_at,
        done_at: row.done_at,
        last_at: row.last_at,
        sample: row.begun.sample.map(|sample| sample.0),
    }
}

fn brief(state: &Run) -> Brief {
    let counts = state.counts();
    Brief { kind: state.begun().kind, part: state.part(), flies: state.view(0).flies.saturating_sub(counts.given_up), counts, ms: state.run_ms() }
}
