//! A fly at each depth, in the real binary: begun, left, come back to; the power cut; and a second program.

use crate::terminal::Terminal;
use std::path::Path;
use tempfile::TempDir;

/// A copy of the demo bench to work on.
pub(crate) fn bench() -> TempDir {
    fn lay(from: &Path, to: &Path) {
        std::fs::create_dir_all(to).unwrap();
        for entry in std::fs::read_dir(from).unwrap() {
            let path = entry.unwrap().path();
            let there = to.join(path.file_name().unwrap());
            if path.is_dir() {
                lay(&path, &there);
            } else {
                std::fs::copy(&path, &there).unwrap();
            }
        }
    }
    let folder = tempfile::tempdir().unwrap();
    lay(&Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo"), folder.path());
    folder
}

/// The demo bench with its first dressing begun, so many flies of it.
pub(crate) fn tying(bench: &Path, flies: &str) -> Terminal {
    let mut terminal = Terminal::on(bench, 80, 24, &[]);
    terminal.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun, revision"));
    terminal.press("t");
    terminal.wait_for("the question", |screen| screen.contains("How many flies?"));
    terminal.press(flies);
    terminal.press("\r");
    terminal.wait_for("the laying out", |screen| screen.contains("laying out"));
    terminal.press("n");
    terminal.wait_for("the first step", |screen| screen.contains(&format!("fly 1 of {flies}")) && screen.contains("step 1 of 10"));
    terminal
}

/// Goes on with the only run there is.
pub(crate) fn come_back(bench: &Path) -> Terminal {
    let mut terminal = Terminal::on(bench, 80, 24, &[]);
    terminal.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun, revision"));
    terminal.press("r");
    terminal.wait_for("the run", |screen| screen.contains("Runs to go on with") && screen.contains("left just now"));
    terminal.press("\r");
    terminal.wait_for("the vice", |screen| screen.contains("this fly"));
    terminal
}

const PAGE_DOWN: &str = "\u{1b}[6~";
const PAGE_UP: &str = "\u{1b}[5~";

#[test]
fn a_fly_at_each_depth_with_leaving_and_coming_back() {
    let bench = bench();
    let mut terminal = tying(bench.path(), "3");
    // Step by step, by each of the big keys, and back.
    for (key, step) in [(" ", 2), ("\r", 3), (PAGE_DOWN, 4), (PAGE_UP, 3), ("\u{7f}", 2), (" ", 3)] {
        terminal.press(key);
        terminal.wait_for("the step", |screen| screen.contains(&format!("step {step} of 10")));
    }
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
    terminal.assert_restored();

    let mut terminal = come_back(bench.path());
    terminal.wait_for("the same step", |screen| screen.contains("‹step›") && screen.contains("step 3 of 10") && screen.contains("fly 1 of 3"));
    for step in 4..=10 {
        terminal.press(" ");
        terminal.wait_for("the next step", |screen| screen.contains(&format!("step {step} of 10")));
    }
    terminal.press(" ");
    terminal.wait_for("the next fly", |screen| screen.contains("fly 2 of 3") && screen.contains("step 1 of 10"));

    // By stages.
    terminal.press("\t");
    terminal.wait_for("a stage", |screen| screen.contains("‹stage›") && screen.contains("stage 1 of 4"));
    terminal.press(" ");
    terminal.wait_for("the second stage", |screen| screen.contains("stage 2 of 4"));
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
    let mut terminal = come_back(bench.path());
    terminal.wait_for("the same stage", |screen| screen.contains("‹stage›") && screen.contains("stage 2 of 4") && screen.contains("fly 2 of 3"));
    for stage in 3..=4 {
        terminal.press(" ");
        terminal.wait_for("the next stage", |screen| screen.contains(&format!("stage {stage} of 4")));
    }
    terminal.press(" ");
    terminal.wait_for("the next fly", |screen| screen.contains("fly 3 of 3"));

    // A whole fly.
    terminal.press("\t");
    terminal.wait_for("the card in figures", |screen| screen.contains("‹fly›") && screen.contains("steps 1 to 10 of 10") && screen.contains("24 fibres"));
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
    let mut terminal = come_back(bench.path());
    terminal.wait_for("the same fly", |screen| screen.contains("‹fly›") && screen.contains("fly 3 of 3"));
    terminal.press(" ");
    terminal.wait_for("the finishing", |screen| screen.contains("finishing") && screen.contains("3 flies"));
    terminal.press("e");
    terminal.wait_for("the run waits", |screen| screen.contains("finishing, 3 tied"));
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
    terminal.assert_restored();
}

/// F13 and F14 as terminals send them: the VT220's CSI 25 ~ and 26 ~, what xterm sends for the same (F1 and F2 with
/// Shift), and the keyboard protocol of CSI u.
#[test]
fn a_pedal_has_the_keys_that_the_file_gives_it() {
    let bench = bench();
    let settings = tempfile::tempdir().unwrap();
    std::fs::create_dir(settings.path().join("herl")).unwrap();
    std::fs::write(settings.path().join("herl/keys.yaml"), "at the vice:\n  go on: [F13, Space]\n  go back: [f14, page-up]\n").unwrap();
    let mut terminal = Terminal::on(bench.path(), 80, 24, &[("XDG_CONFIG_HOME", settings.path().to_str().unwrap())]);
    terminal.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun, revision"));
    terminal.press("t");
    terminal.wait_for("the question", |screen| screen.contains("How many flies?"));
    terminal.press("\r");
    terminal.wait_for("the laying out", |screen| screen.contains("laying out"));
    terminal.press("n");
    terminal.wait_for("the first step, with the key at the foot", |screen| screen.contains("step 1 of 10") && screen.contains("F13 on"));
    let keys = [("\u{1b}[25~", 2), ("\u{1b}[1;2P", 3), ("\u{1b}[57376u", 4), ("\u{1b}[26~", 3), ("\u{1b}[1;2Q", 2), (" ", 3), (PAGE_UP, 2)];
    for (key, step) in keys {
        terminal.press(key);
        terminal.wait_for("the step", |screen| screen.contains(&format!("step {step} of 10")));
    }
    terminal.press(PAGE_DOWN);
    terminal.press(" ");
    terminal.wait_for("one step, not two", |screen| screen.contains("step 3 of 10"));
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
}

#[test]
fn a_power_cut_loses_no_press() {
    let bench = bench();
    let mut terminal = tying(bench.path(), "12");
    for step in 2..=4 {
        terminal.press(" ");
        terminal.wait_for("the step", |screen| screen.contains(&format!("step {step} of 10")));
    }
    terminal.press("\t");
    terminal.wait_for("stages", |screen| screen.contains("‹stage›"));
    terminal.cut_off();
    let mut terminal = come_back(bench.path());
    terminal.wait_for("the same place", |screen| screen.contains("‹stage›") && screen.contains("steps 4 to 6 of 10"));
    terminal.press(" ");
    terminal.wait_for("the next stage", |screen| screen.contains("stage 2 of 4"));
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
}

#[test]
fn a_second_program_is_told_that_the_run_is_in_use() {
    let bench = bench();
    let mut first = tying(bench.path(), "12");
    let mut second = Terminal::on(bench.path(), 80, 24, &[]);
    second.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun, revision"));
    second.press("r");
    second.wait_for("the run", |screen| screen.contains("fly 1 of 12"));
    second.press("\r");
    second.wait_for("that it is in use", |screen| screen.contains("in use by another herl"));
    first.press(" ");
    first.wait_for("the first one goes on", |screen| screen.contains("step 2 of 10"));
    second.press("q");
    assert_eq!(second.ended(), 0);
    first.press("q");
    assert_eq!(first.ended(), 0);
}

#[test]
fn being_asked_to_end_at_the_vice_is_leaving() {
    let bench = bench();
    let mut terminal = tying(bench.path(), "2");
    terminal.press(" ");
    terminal.wait_for("the step", |screen| screen.contains("step 2 of 10"));
    terminal.signal("TERM");
    assert_eq!(terminal.ended(), 0);
    terminal.assert_restored();
    let left: Vec<_> = std::fs::read_dir(bench.path()).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    assert!(left.contains(&"ledger.db".to_owned()) && !left.contains(&"ledger.db-wal".to_owned()), "the ledger is left in order: {left:?}");
}

/// While the fly's time runs, only the times are painted, once a second; paused, nothing at all.
#[cfg(target_os = "linux")]
#[test]
fn a_running_clock_costs_little_and_a_pause_nothing() {
    let bench = bench();
    let mut terminal = tying(bench.path(), "12");
    terminal.wait_for("the first second", |screen| screen.contains("this fly 0:01") && screen.contains("this step 0:01"));
    let before = terminal.written().len();
    terminal.wait_for("the fourth second", |screen| screen.contains("this fly 0:04"));
    let written = terminal.written().len() - before;
    assert!(written < 600, "{written} bytes in three seconds");
    for away in ["p", "d"] {
        if away == "d" {
            // The clock runs on, but is not seen here.
            terminal.press(" ");
            terminal.wait_for("work again", |screen| !screen.contains("PAUSED"));
        }
        terminal.press(away);
        terminal.wait_for("stillness", |screen| screen.contains("PAUSED") || screen.contains("vice: fly 1"));
        terminal.quiet();
        let before = terminal.processor_ticks();
        assert_eq!(terminal.quiet(), 0, "nothing is written while nothing is to be seen ({away})");
        assert_eq!(terminal.processor_ticks(), before, "{away}");
    }
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);
}
