//! `herl keys`: the keys in force, and what is wrong with the file that changes them.

use super::opened::{places, report};
use super::out::Out;
use super::{Surroundings, Verdict};
use crate::bench::locate::locate;
use crate::bench::{keys_file, yaml};
use crate::diagnostic::Diagnostic;
use crate::measure::words::fold;
use crate::paper::table::Table;
use crate::tui::keys::{Key, Keymap, Place, headings};
use serde_json::{Map, Value, json};
use std::path::{Path, PathBuf};

/// What `herl keys` is asked.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// As JSON: every place with everything that works there
    #[arg(long)]
    pub json: bool,
}

/// The keys in force, and how they came to be.
pub(super) struct InForce {
    pub(super) keys: Keymap,
    /// The file that may change them, where there is a folder for it.
    file: Option<PathBuf>,
    /// What is wrong with it; with any error the program's own keys are in force.
    faults: Vec<Diagnostic>,
}

impl InForce {
    /// Reads the file of keys these surroundings lead to.
    pub(super) fn of(surroundings: &Surroundings) -> Self {
        let file = places(surroundings).keys_file();
        let (changes, mut faults) = file.as_deref().map(keys_file::read).unwrap_or_default();
        let read = !faults.iter().any(Diagnostic::is_error);
        let keys = match Keymap::new(&changes) {
            Ok(keys) => Some(keys).filter(|_| read),
            Err(told) => {
                faults.extend(told);
                None
            }
        };
        InForce { keys: keys.unwrap_or_default(), file, faults }
    }

    /// What is wrong, in a line for the screen.
    pub(super) fn notice(&self) -> Option<String> {
        in_a_line(&self.faults, self.file.as_deref())
            .map(|line| format!("{line}; the program's own keys hold until that is mended, and `herl keys` tells more"))
    }
}

/// The first of some errors in a file: `keys.yaml, line 3: "paus" is ... (and 2 faults more)`.
pub(super) fn in_a_line(faults: &[Diagnostic], file: Option<&Path>) -> Option<String> {
    let errors: Vec<&Diagnostic> = faults.iter().filter(|fault| fault.is_error()).collect();
    let (first, more) = errors.split_first()?;
    let name = file.and_then(Path::file_name).map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let exact = first.at.as_ref().and_then(|at| at.exact.map(|(line, _)| line));
    let line = exact.or_else(|| Some(locate(&yaml::text_of(file?)?, first.at.as_ref()?)?.line)).map(|line| format!(", line {line}")).unwrap_or_default();
    let more = match more.len() {
        0 => String::new(),
        1 => " (and 1 fault more)".to_owned(),
        more => format!(" (and {more} faults more)"),
    };
    Some(format!("{name}{line}: {}{more}", first.what))
}

pub(super) fn run(args: &Args, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let in_force = InForce::of(surroundings);
    if !in_force.faults.is_empty() {
        out.trouble(&report(&in_force.faults, Path::new("")));
    }
    let wrong = in_force.faults.iter().any(Diagnostic::is_error);
    if args.json {
        out.json(&document(&in_force));
    } else {
        if wrong {
            out.line("with this file as it is, the program's own keys hold:");
            out.line("");
        }
        table(&in_force, out);
    }
    if wrong { Verdict::Findings } else { Verdict::Fine }
}

/// The actions under the first place where they have these keys.
fn table(in_force: &InForce, out: &mut Out) {
    let listed = in_force.keys.listed(Place::Dressings);
    let mut table = Table::new(&["  action", "keys", "", "what it does"]);
    let mut changed = false;
    for row in listed.iter().flat_map(|(_, rows)| rows) {
        changed |= row.changed;
        let keys = if row.keys.is_empty() { "none".to_owned() } else { row.shown() };
        table.row(vec![format!("  {}", row.action.name), keys, if row.changed { "*" } else { "" }.to_owned(), row.action.help.to_owned()]);
    }
    let text = table.text();
    let mut lines = text.lines();
    lines.by_ref().take(1).for_each(|line| out.line(line));
    for (place, rows) in &listed {
        out.line("");
        out.line(&fold(place.words()));
        lines.by_ref().take(rows.len()).for_each(|line| out.line(line));
    }
    out.line("");
    out.line("an action stands under the first place where it has these keys; --json tells every place");
    match &in_force.file {
        Some(file) => {
            let there = if file.exists() { "" } else { " (there is none yet)" };
            out.line(&format!("{}your own keys: {}{there}", if changed { "* from " } else { "" }, file.display()));
            out.line(&format!("headings there: {}", headings().map(|(name, _)| name).collect::<Vec<_>>().join(", ")));
        }
        None => out.line("there is no folder of yours for settings, so no keys of your own"),
    }
}

/// Every place with every action.
fn document(in_force: &InForce) -> Value {
    let mut all = Map::new();
    for place in Place::ALL {
        let mut here = Map::new();
        for row in in_force.keys.at(*place) {
            let mut keys: Vec<String> = row.keys.iter().map(Key::to_string).collect();
            // Two rows of one name are one action.
            if let Some(before) = here.get(row.action.name).and_then(|told: &Value| told["keys"].as_array()) {
                keys.splice(0..0, before.iter().filter_map(|key| key.as_str().map(str::to_owned)));
            }
            here.insert(row.action.name.to_owned(), json!({ "keys": keys, "changed": row.changed, "help": row.action.help }));
        }
        all.insert(fold(place.words()), Value::Object(here));
    }
    let file = in_force.file.as_ref().map(|file| file.to_string_lossy().into_owned());
    json!({ "schema": 1, "file": file, "places": all })
}
