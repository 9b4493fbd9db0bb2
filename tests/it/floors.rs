//! Each floor of the house uses only what stands below it, and a terminal, a YAML reader, a database and a clock are
//! each let in at one place only.
#![allow(clippy::unwrap_used, reason = "a test's own helpers")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Which floors a floor may use, besides itself.
const ALLOWED: &[(&str, &[&str])] = &[
    ("measure", &[]),
    ("diagnostic", &[]),
    ("why", &["diagnostic", "measure"]),
    ("reckon", &["measure"]),
    ("dressing", &["diagnostic", "measure", "why"]),
    ("card", &["diagnostic", "dressing", "measure", "reckon", "why"]),
    ("vice", &["card", "dressing", "measure", "reckon", "why"]),
    ("stores", &["dressing", "measure", "reckon", "why"]),
    ("ledger", &["diagnostic", "measure", "stores", "vice"]),
    ("plan", &["card", "diagnostic", "dressing", "measure", "reckon", "why"]),
    ("bench", &["card", "diagnostic", "dressing", "measure", "plan", "reckon", "stores", "why"]),
    ("paper", &["card", "diagnostic", "dressing", "measure", "plan", "stores", "vice", "why"]),
    ("tui", &["bench", "card", "diagnostic", "dressing", "ledger", "measure", "paper", "plan", "stores", "vice", "why"]),
    ("cli", &["bench", "card", "diagnostic", "dressing", "ledger", "measure", "paper", "plan", "reckon", "stores", "tui", "vice", "why"]),
    ("lib", &["bench", "card", "cli", "diagnostic", "dressing", "ledger", "measure", "paper", "plan", "reckon", "stores", "tui", "vice", "why"]),
    ("main", &["cli"]),
];

/// Packages that belong to one floor (or two) only.
const AT_HOME: &[(&str, &[&str])] = &[
    ("ratatui", &["tui"]),
    ("crossterm", &["tui"]),
    ("serde_yaml", &["bench"]),
    ("rusqlite", &["ledger"]),
    ("signal_hook", &["tui"]),
    ("clap", &["cli"]),
    ("csv", &["ledger", "paper"]),
    ("tempfile", &["bench", "ledger"]),
    ("std::fs", &["bench", "cli", "ledger"]),
    ("std::time", &["ledger", "main", "tui"]),
    ("std::env", &["main"]),
];

/// Within the terminal's floor, the places that touch the world outside the state: the ledger and the clocks.
const IMPURE: &[(&str, &str)] =
    &[("Ledger::open", "tui/fulfil.rs"), ("std::time", "tui/run.rs"), ("SystemTime", "tui/run.rs"), ("Instant", "tui/run.rs"), ("TimeZone", "tui/run.rs")];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// The code of a file without its tests, comments and doctests.
fn code(path: &Path) -> String {
    let text = std::fs::read_to_string(path).unwrap();
    let text = text.split("#[cfg(test)]\nmod tests").next().unwrap().to_owned();
    text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

#[test]
fn each_floor_uses_only_what_stands_below_it() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&src, &mut files);
    assert!(files.len() > 40, "the sources were read");
    let mut wrong = Vec::new();
    for file in &files {
        let inside = file.strip_prefix(&src).unwrap();
        if inside.ends_with("tests.rs") || inside.ends_with("sample.rs") {
            continue;
        }
        let floor = inside.components().next().unwrap().as_os_str().to_str().unwrap().trim_end_matches(".rs").to_owned();
        let code = code(file);
        let allowed: BTreeSet<&str> = ALLOWED.iter().find(|(name, _)| *name == floor).map(|(_, allowed)| allowed.iter().copied().collect()).unwrap_or_default();
        assert!(ALLOWED.iter().any(|(name, _)| *name == floor), "{floor} has no row in the table of floors");
        for (place, _) in code.match_indices("crate::") {
            let used: String = code[place + 7..].chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            if used != floor && !allowed.contains(used.as_str()) && ALLOWED.iter().any(|(name, _)| *name == used) {
                wrong.push(format!("{} uses {used}", inside.display()));
            }
        }
        for (what, home) in IMPURE {
            if floor == "tui" && code.contains(what) && inside != Path::new(home) {
                wrong.push(format!("{} uses {what}", inside.display()));
            }
        }
        for (package, homes) in AT_HOME {
            if code.contains(&format!("{package}::")) && !homes.contains(&floor.as_str()) {
                wrong.push(format!("{} uses {package}", inside.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
