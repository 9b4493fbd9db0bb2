//! The real binary in a pseudo-terminal: in, about, out, and the terminal as it was. Waits have deadlines; nothing sleeps.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

mod killed;
mod run;
mod terminal;
mod vice;

use terminal::Terminal;

#[test]
fn dressings_another_size_orders_and_out() {
    let mut terminal = Terminal::open(80, 24, &[]);
    let first = terminal.wait_for("the fly on its hook", |screen| screen.contains("Ashgarth Dun, revision") && screen.contains("mm"));
    assert!(first.contains("‹12›"), "the first size of the dressing is shown first\n{first}");
    terminal.press("s");
    let second = terminal.wait_for("the next size", |screen| screen.contains("‹14›"));
    assert_ne!(first, second);
    terminal.press("o");
    terminal.wait_for("the order's plan", |screen| screen.contains("Hollow Tarn half") && screen.contains("flies"));
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
    terminal.assert_restored();
}

#[test]
fn being_asked_to_end_is_leaving() {
    for signal in ["TERM", "HUP", "INT"] {
        let mut terminal = Terminal::open(80, 24, &[]);
        terminal.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun"));
        terminal.signal(signal);
        assert_eq!(terminal.ended(), 0, "SIG{signal}");
        terminal.assert_restored();
    }
}

#[test]
fn the_window_may_become_any_size() {
    let mut terminal = Terminal::open(80, 24, &[]);
    terminal.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun"));
    for [columns, rows] in [[1, 1], [200, 60], [20, 5], [120, 40]] {
        terminal.resize(columns, rows);
    }
    terminal.wait_for("the screen at its last size", |screen| screen.contains("from mm"));
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
    terminal.assert_restored();
}

#[test]
fn nothing_is_asked_of_the_terminal_and_no_colour_is_none() {
    let mut terminal = Terminal::open(80, 24, &[("NO_COLOR", "1")]);
    terminal.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun"));
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
    let written = String::from_utf8_lossy(terminal.written()).into_owned();
    assert!(!written.contains("\u{1b}[6n"), "where the cursor is is never asked");
    let coloured = ["\u{1b}[38;", "\u{1b}[48;"].iter().any(|sequence| written.contains(sequence));
    assert!(!coloured, "NO_COLOR takes every colour away");
}

/// A second without a key: no sign is written and no tick of the processor's clock is used.
#[cfg(target_os = "linux")]
#[test]
fn idle_costs_nothing() {
    let mut terminal = Terminal::open(80, 24, &[]);
    terminal.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun"));
    terminal.quiet();
    let before = terminal.processor_ticks();
    assert_eq!(terminal.quiet(), 0, "nothing is written while nothing happens");
    assert_eq!(terminal.processor_ticks(), before);
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
}

#[test]
fn keys_are_raw_within_and_echoed_again_after() {
    let mut terminal = Terminal::open(80, 24, &[]);
    terminal.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun"));
    let within = terminal.modes();
    terminal.press("\u{3}");
    assert_eq!(terminal.ended(), 0, "Ctrl-c leaves");
    assert_ne!(within, terminal.modes());
    terminal.assert_restored();
}

/// A folder for settings with this file of keys in it.
fn settings(keys: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("herl")).unwrap();
    std::fs::write(folder.path().join("herl/keys.yaml"), keys).unwrap();
    folder
}

#[test]
fn a_bad_file_of_keys_is_told_and_the_own_keys_hold() {
    let settings = settings("at the vice:\n  go on: F13\n  paus: F14\n");
    let mut terminal = Terminal::open(80, 24, &[("XDG_CONFIG_HOME", settings.path().to_str().unwrap())]);
    terminal.wait_for("what is wrong, in which line", |screen| {
        let told = screen.split_whitespace().collect::<Vec<_>>().join(" ");
        told.contains("keys.yaml, line 3: \"paus\" is nothing that can be done at the vice") && told.contains("`herl keys` tells more")
    });
    terminal.press("?");
    terminal.wait_for("the help", |screen| screen.contains("In the list of dressings"));
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
}
