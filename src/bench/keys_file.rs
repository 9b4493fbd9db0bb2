//! A dresser's own keys: `keys.yaml`, beside the settings, for a pedal belongs to the machine and not to a bench. Here it is
//! only read; which places, actions and keys there are is known where keys are pressed.

use super::Faults;
use super::node::Node;
use super::reader::Reader;
use super::value::Value;
use super::yaml::{self, Read, Source};
use crate::diagnostic::{Diagnostic, Told};
use crate::measure::words::fold;
use std::path::Path;
use std::sync::Arc;

/// One line of the file: an action, and the keys it is to have instead of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// The heading it stands under: a place, or a group of places.
    pub heading: Told<String>,
    /// The action.
    pub action: Told<String>,
    /// Its keys, as they are written; empty for `none`.
    pub keys: Vec<Told<String>>,
}

/// Reads the file; where there is none, nothing is changed. What cannot be read as a heading with actions and keys is told.
pub fn read(path: &Path) -> (Vec<Change>, Vec<Diagnostic>) {
    let file: Arc<Path> = path.into();
    let faults = Faults::default();
    let changes = match yaml::read(path, &file, &faults) {
        Read::Text(source) => of_text(&source, &faults),
        Read::Absent | Read::Refused => Vec::new(),
    };
    (changes, faults.into_list())
}

fn of_text(source: &Source, faults: &Faults) -> Vec<Change> {
    // With every line made a comment it is a file that changes nothing, not one that is empty by mistake.
    if source.text.lines().map(str::trim_start).all(|line| line.is_empty() || line.starts_with('#')) {
        return Vec::new();
    }
    let own = Faults::default();
    let Some(map) = yaml::parse(source, &own) else {
        // Nearly always a sign that YAML takes for one of its own.
        for fault in own.into_list() {
            let right = fault.right.as_ref().map(|right| format!("{right}; a sign that is a key")).unwrap_or_else(|| "a sign that is a key".to_owned());
            faults.push(fault.right(format!("{right} stands in quotes (\"?\") or goes by its name (Question)")));
        }
        return Vec::new();
    };
    faults.absorb(own);
    let mut reader = Reader::new(source, &map, source.at(), "a file of keys", faults);
    let headings = reader.others();
    headings.iter().flat_map(|(heading, actions)| of_heading(heading, actions)).collect()
}

fn of_heading(heading: &Told<String>, actions: &Value<'_>) -> Vec<Change> {
    if *actions.node == Node::Nothing {
        let fault = Diagnostic::error(format!("nothing stands under \"{}\"", heading.value), heading.at.clone());
        actions.faults.push(fault.right("actions with their keys, such as `go on: [Space, F13]`, each further in than the heading; or take the line away"));
        return Vec::new();
    }
    let entries = actions.entries("the actions under a heading").into_iter().filter(|(_, keys)| *keys.node != Node::Nothing);
    entries.filter_map(|(action, keys)| Some(Change { heading: heading.clone(), action, keys: of_action(&keys)? })).collect()
}

/// `None` where what stands there cannot be keys.
fn of_action(value: &Value<'_>) -> Option<Vec<Told<String>>> {
    let before = value.faults.errors();
    let keys = value.names("keys", false);
    if value.faults.errors() > before {
        return None;
    }
    if keys.is_empty() {
        value.wrong("no key stands in this list", "a key or several, or `none` to leave it without any");
        return None;
    }
    let none = !value.is_list() && keys.iter().all(|key| fold(&key.value) == "none");
    Some(if none { Vec::new() } else { keys })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> (Vec<String>, Vec<String>) {
        let faults = Faults::default();
        let changes = of_text(&Source::new(Path::new("keys.yaml").into(), text.to_owned()), &faults);
        let line = |change: &Change| {
            format!("{}/{}={}", change.heading.value, change.action.value, change.keys.iter().map(|key| &*key.value).collect::<Vec<_>>().join(" "))
        };
        (changes.iter().map(line).collect(), faults.into_list().into_iter().map(|fault| fault.what).collect())
    }

    #[test]
    fn one_key_a_list_or_none() {
        let (changes, faults) = of("at the vice:\n  go on: [Space, F13]\n  pause: 5\n  why: none\neverywhere:\n  help:\n    - F1\n    - \"?\"\n");
        assert_eq!(faults, [""; 0]);
        assert_eq!(changes, ["at the vice/go on=Space F13", "at the vice/pause=5", "at the vice/why=", "everywhere/help=F1 ?"]);
        assert_eq!(of("# at the vice:\n\n  # pause: p\n"), (Vec::new(), Vec::new()));
    }

    #[test]
    fn one_broken_line_hides_no_other() {
        let (changes, faults) = of("at the vice:\n  pause:\n  depth: []\n  go on: {a: b}\n  why: y\neverywhere: F1\non a plan:\n");
        assert_eq!(changes, ["at the vice/why=y"]);
        assert_eq!(faults.len(), 5, "{faults:?}");
    }
}
