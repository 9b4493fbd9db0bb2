//! A run of a dozen flies from laying out to booking, fly by fly and by stages, in the real binary: with a pause, a mishap,
//! a fly put aside and taken up again, something taken back, a power cut in the middle, a drying clock and two flies that
//! fail. What the ledger has in the end is held against what was pressed.

use crate::terminal::Terminal;
use crate::vice::{bench, come_back};
use herl::ledger::{Ledger, RunId};
use herl::vice::{Did, Event, Fate, Part, Run};
use std::path::Path;

/// The demo bench with its first dressing in the question how many; a dozen stands there.
fn asked(bench: &Path) -> Terminal {
    let mut terminal = Terminal::on(bench, 80, 24, &[]);
    terminal.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun, revision"));
    terminal.press("t");
    terminal.wait_for("the question", |screen| screen.contains("How many flies?") && screen.contains("flies 12"));
    terminal
}

fn press(terminal: &mut Terminal, keys: &str, what: &str, seen: &[&str]) {
    terminal.press(keys);
    terminal.wait_for(what, |screen| seen.iter().all(|text| screen.contains(text)));
}

fn run_of(bench: &Path) -> (Run, Vec<Event>) {
    let ledger = Ledger::open_reading(bench).unwrap().unwrap();
    (ledger.state(RunId(1)).unwrap(), ledger.events(RunId(1)).unwrap())
}

/// The time the hands worked by the events alone: between an opening, or the end of a pause, and what comes after it, up to
/// the press that ends the run.
fn worked(events: &[Event]) -> u64 {
    let end = events.iter().rposition(|event| event.did == Did::On).map_or(0, |last| last + 1);
    let events = &events[..end];
    let mut sum = 0;
    let mut since = None;
    for event in events {
        if let (Some(since), false) = (since, matches!(event.did, Did::Opened { .. })) {
            sum += event.ran_ms - since;
        }
        since = match event.did {
            Did::Paused | Did::Closed => None,
            Did::WentOn | Did::Opened { .. } => Some(event.ran_ms),
            _ => since.map(|_| event.ran_ms),
        };
    }
    sum
}

fn count(events: &[Event], of: impl Fn(&Did) -> bool) -> usize {
    events.iter().filter(|event| of(&event.did)).count()
}

#[test]
fn a_dozen_fly_by_fly_from_laying_out_to_booking() {
    let bench = bench();
    let mut terminal = asked(bench.path());
    press(&mut terminal, "\r", "the laying out", &["laying out", "1 of 6", "Count out 13 hooks"]);
    press(&mut terminal, "\u{1b}[A", "a bad hook", &["bad hooks found: 1"]);
    press(&mut terminal, " ", "the next thing", &["2 of 6", "1 bad"]);
    for nth in 3..=6 {
        press(&mut terminal, " ", "the next thing", &[&format!("{nth} of 6")]);
    }
    press(&mut terminal, " ", "the first fly", &["fly 1 of 12", "‹step›", "step 1 of 10"]);

    // The first fly step by step, with a pause; the big key only wakes.
    press(&mut terminal, " ", "a step", &["step 2 of 10"]);
    press(&mut terminal, "p", "a pause", &["PAUSED"]);
    terminal.press(" ");
    terminal.wait_for("work again", |screen| !screen.contains("PAUSED") && screen.contains("step 2 of 10"));
    for step in 3..=10 {
        press(&mut terminal, " ", "a step", &[&format!("step {step} of 10")]);
    }
    press(&mut terminal, " ", "the second fly", &["fly 2 of 12", "step 1 of 10"]);
    // A mishap in the second stage goes back to its beginning.
    for step in 2..=8 {
        press(&mut terminal, " ", "a step", &[&format!("step {step} of 10")]);
    }
    press(&mut terminal, "m", "the beginning of the stage, and a question that waits", &["stage 3 of 4", "step 8 of 10", "1 question waits"]);
    press(&mut terminal, "\t", "a stage", &["‹stage›"]);
    press(&mut terminal, "\t", "a fly", &["‹fly›", "steps 8 to 10"]);
    press(&mut terminal, " ", "the third fly, in one press", &["fly 3 of 12", "‹fly›"]);
    // The third half done and put aside, the fourth given up and that taken back.
    press(&mut terminal, "\t", "steps", &["‹step›"]);
    press(&mut terminal, " ", "a step", &["step 2 of 10"]);
    press(&mut terminal, "a", "the fourth fly", &["fly 4 of 12", "put aside: fly 3"]);
    press(&mut terminal, "g", "another in its place", &["fly 5 of 13"]);
    press(&mut terminal, "u", "as if nothing had been", &["fly 4 of 12", "put aside: fly 3"]);
    press(&mut terminal, "\t\t", "whole flies", &["‹fly›"]);
    for fly in 5..=7 {
        press(&mut terminal, " ", "the next fly", &[&format!("fly {fly} of 12")]);
    }
    press(&mut terminal, "\t", "steps", &["‹step›"]);
    press(&mut terminal, " ", "a step", &["fly 7 of 12", "step 2 of 10"]);

    // The power is cut; the run is at the same place, and nothing is lost.
    let (before, _) = run_of(bench.path());
    terminal.cut_off();
    let mut terminal = come_back(bench.path());
    terminal.wait_for("the same place", |screen| {
        ["fly 7 of 12", "step 2 of 10", "‹step›", "put aside: fly 3", "1 question waits"].iter().all(|text| screen.contains(text))
    });
    assert_eq!(run_of(bench.path()).0.counts(), before.counts());

    // The fly put aside is taken up: the one in hand is half done, so it changes places with it.
    press(&mut terminal, "t", "the third fly again", &["fly 3 of 12", "step 2 of 10", "put aside: fly 7"]);
    press(&mut terminal, "\t\t", "whole flies", &["‹fly›"]);
    press(&mut terminal, " ", "the eighth", &["fly 8 of 12"]);
    for fly in 9..=12 {
        press(&mut terminal, " ", "the next fly", &[&format!("fly {fly} of 12")]);
    }
    press(&mut terminal, " ", "only the one put aside is left", &["no fly in the vice", "11 tied"]);
    press(&mut terminal, " ", "it is taken up", &["fly 7 of 12"]);
    press(&mut terminal, " ", "the finishing, with what to mind", &["finishing", "12 flies", "safety sheet"]);
    press(&mut terminal, " ", "the looking over", &["looking over", "12 wait", "0 passed"]);
    // Meanwhile the clock of the varnish goes, in the list of runs too.
    press(&mut terminal, "\u{1b}[B1\u{1b}[B1", "two fail", &["10 passed, 2 seconds"]);
    press(&mut terminal, "\r", "the booking", &["booking", "10 passed · 2 seconds"]);
    press(&mut terminal, "e", "the question on the way out", &["what went wrong?", "not answered"]);
    press(&mut terminal, "1", "the answer", &["all answered"]);
    press(&mut terminal, " ", "back at the booking", &["Booking out"]);
    press(&mut terminal, "e", "the run waits, and its clock goes", &["booking, 12 tied", "dry at"]);
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);

    let mut terminal = come_back_to(bench.path(), "Booking out");
    press(&mut terminal, "\r", "the end", &["Done: 10 passed", "good at once 83 %"]);
    press(&mut terminal, "q", "leaving", &[]);
    assert_eq!(terminal.ended(), 0);

    let (run, events) = run_of(bench.path());
    let counts = run.counts();
    assert!(counts.agree());
    assert_eq!((run.part(), counts.started, counts.tied, counts.passed, counts.seconds), (Part::Done, 12, 12, 10, 2));
    assert_eq!((counts.given_up, counts.aside, counts.in_hand, counts.mishaps, counts.found_bad), (0, 0, 0, 1, 1));
    assert_eq!(run.bad().iter().map(|bad| (bad.fate, bad.flies)).collect::<Vec<_>>(), [(Fate::Second, 1), (Fate::Second, 1)]);
    assert_eq!(
        run.questions().iter().map(|question| question.answer.as_ref().map(|answer| answer.to_string())).collect::<Vec<_>>(),
        [Some("silk broke".to_owned())]
    );
    // Two ticks of each kind are booked as what they are: the first with its bad hook, the others by the big key.
    assert_eq!(count(&events, |did| matches!(did, Did::Ticked { bad: 1 })), 1);
    assert_eq!(count(&events, |did| matches!(did, Did::Mishap | Did::PutAside | Did::GaveUp | Did::TookBack { .. })), 4);
    assert_eq!(count(&events, |did| matches!(did, Did::Paused)), count(&events, |did| matches!(did, Did::WentOn)));
    assert_eq!(count(&events, |did| matches!(did, Did::Opened { .. })), 3, "three sittings, one of them cut off");
    assert_eq!(run.clocks().len(), 1);
    let finished = events.iter().find(|event| event.at == run.clocks()[0].from).unwrap();
    assert_eq!((run.clocks()[0].until - run.clocks()[0].from, &finished.did), (8 * 3_600_000, &Did::On), "eight hours from the press");
    // Every moment the hands worked is somewhere, and nowhere twice; none was long enough for a pause of its own.
    assert_eq!((run.run_ms(), run.idle_ms()), (worked(&events), 0));
    let flies: u64 = (1..=12).map(|fly| run.fly_ms(fly)).sum();
    assert!(flies > 0 && flies < run.run_ms());
    // The events are numbered without a gap, and times only grow within a sitting.
    assert!(events.iter().zip(1..).all(|(event, number)| event.number == number));
    assert!(events.windows(2).all(|pair| matches!(pair[1].did, Did::Opened { .. }) || pair[0].ran_ms <= pair[1].ran_ms));
}

/// Goes on with the only run there is, at a page that says this.
fn come_back_to(bench: &Path, seen: &str) -> Terminal {
    let mut terminal = Terminal::on(bench, 80, 24, &[]);
    terminal.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun, revision"));
    press(&mut terminal, "r", "the run", &["Runs to go on with", "left just now"]);
    press(&mut terminal, "\r", "the page", &[seen]);
    terminal
}

#[test]
fn a_dozen_by_stages_on_two_trays() {
    let bench = bench();
    let mut terminal = asked(bench.path());
    press(&mut terminal, "\t", "by stages", &["‹by stages›", "trays of 12"]);
    for _ in 0..6 {
        terminal.press("\u{1b}[D");
    }
    terminal.wait_for("trays of six", |screen| screen.contains("trays of 6"));
    press(&mut terminal, "\r", "the laying out", &["laying out"]);
    press(&mut terminal, "n", "the first tray, step by step", &["fly 1 of the tray's 6", "stage 1 of 4", "‹step›"]);
    press(&mut terminal, "\t", "a stage", &["‹stage›"]);
    // The first stage a press a fly; in its middle a pause, a mishap and a fly put aside.
    press(&mut terminal, " ", "the next of the tray", &["fly 2 of the tray's 6"]);
    press(&mut terminal, "p", "a pause", &["PAUSED"]);
    terminal.press(" ");
    terminal.wait_for("work again", |screen| !screen.contains("PAUSED") && screen.contains("fly 2 of the tray's 6"));
    press(&mut terminal, "m", "the same fly, and a question", &["fly 2 of the tray's 6", "1 question waits"]);
    press(&mut terminal, "a", "the third, on a tray of five", &["fly 2 of the tray's 5", "put aside: fly 2"]);
    press(&mut terminal, "u", "it is back", &["fly 2 of the tray's 6"]);
    press(&mut terminal, "a", "and aside again", &["fly 2 of the tray's 5", "put aside: fly 2"]);
    for fly in 3..=5 {
        press(&mut terminal, " ", "the next of the tray", &[&format!("fly {fly} of the tray's 5")]);
    }
    press(&mut terminal, " ", "the count", &["tray of 5", "5 of 5"]);
    press(&mut terminal, "\u{1b}[B", "one fewer", &["4 of 5"]);
    press(&mut terminal, " ", "the second stage", &["fly 1 of the tray's 4", "stage 2 of 4"]);
    // The power is cut in the middle of a stage.
    press(&mut terminal, " ", "the next of the tray", &["fly 2 of the tray's 4"]);
    terminal.cut_off();
    let mut terminal = come_back_to(bench.path(), "fly 2 of the tray's 4");
    // A press a stage of the whole tray; left in its middle, it asks how many have it.
    press(&mut terminal, "\t", "the whole tray", &["‹fly›", "tray of 4"]);
    std::thread::sleep(std::time::Duration::from_millis(20));
    press(&mut terminal, "e", "how many", &["of the tray's 3"]);
    press(&mut terminal, "\u{1b}[A ", "the question that waits", &["what went wrong?"]);
    press(&mut terminal, "e", "the runs", &["Runs to go on with", "stage 2 of 4"]);
    press(&mut terminal, "\r", "the tray, one further", &["tray of 4", "stage 2 of 4"]);
    assert_eq!(run_of(bench.path()).0.view(0).tray, Some((3, 4)), "one by a press, one as told");
    for stage in [2, 3, 4] {
        press(&mut terminal, " ", "the count", &["4 of 4"]);
        if stage < 4 {
            press(&mut terminal, " ", "the next stage", &[&format!("stage {} of 4", stage + 1), "tray of 4"]);
        }
    }
    press(&mut terminal, " ", "the second tray", &["tray of 6", "4 tied", "stage 1 of 4"]);
    // The fly put aside by itself, on top of the tray.
    press(&mut terminal, "t", "the fly put aside", &["fly 2 of 13", "steps 1 to 10 of 10"]);
    press(&mut terminal, " ", "the tray again", &["tray of 6", "5 tied"]);
    for stage in 1..=4 {
        press(&mut terminal, " ", "the count", &["6 of 6"]);
        if stage < 4 {
            press(&mut terminal, " ", "the next stage", &[&format!("stage {} of 4", stage + 1)]);
        }
    }
    press(&mut terminal, " ", "the last tray, of what is wanting", &["tray of 1", "11 tied"]);
    for stage in 1..=4 {
        press(&mut terminal, " ", "the count", &["1 of 1"]);
        if stage < 4 {
            press(&mut terminal, " ", "the next stage", &[&format!("stage {} of 4", stage + 1)]);
        }
    }
    press(&mut terminal, " ", "the finishing", &["finishing", "12 flies"]);
    press(&mut terminal, " ", "the looking over", &["12 wait"]);
    press(&mut terminal, "1\u{1b}[B\u{1b}[B\u{1b}[B\u{1b}[B\u{1b}[B\u{1b}[B1", "two fail", &["1 lost"]);
    press(&mut terminal, "\r", "the booking", &["Booking out"]);
    press(&mut terminal, "\r", "the end", &["Done: 10 passed"]);
    terminal.press("q");
    assert_eq!(terminal.ended(), 0);

    let (run, events) = run_of(bench.path());
    let counts = run.counts();
    assert!(counts.agree());
    assert_eq!((counts.started, counts.tied, counts.given_up, counts.passed, counts.seconds, counts.lost), (13, 12, 1, 10, 1, 1));
    assert_eq!((run.part(), counts.aside, counts.mishaps), (Part::Done, 0, 1));
    assert_eq!((run.run_ms(), run.idle_ms()), (worked(&events), 0));
    assert_eq!(count(&events, |did| matches!(did, Did::TrayCounted { missing: 1 })), 1);
    assert_eq!(count(&events, |did| matches!(did, Did::Reached { flies: 1 })), 1);
}
