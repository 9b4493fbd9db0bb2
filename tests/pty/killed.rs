//! Never lost: the real binary is killed (SIGKILL) at random moments while keys stream in. Whatever its screen had shown
//! is in the ledger, in the order in which it was shown, and the run comes back at the same place with the same counts.
//!
//! The moments and the keys hang on one number, which a failure tells; `HERL_KILL_SEED` sets it.

use crate::terminal::Terminal;
use crate::vice::{bench, tying};
use herl::ledger::{Ledger, RunId};
use herl::vice::{Begun, Depth, Event, Part, Run};
use std::path::Path;
use std::time::{Duration, Instant};

const COLUMNS: u16 = 80;
const ROWS: u16 = 24;
/// More flies than are tied in any of these tests.
const FLIES: &str = "9999";
const RUN: RunId = RunId(1);

/// Where the run stands, as the screen shows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Seen {
    fly: u32,
    flies: u32,
    /// The first step of the next press, from 1.
    step: usize,
    depth: Depth,
}

impl Seen {
    /// Read off a screen; `None` where no fly is in the vice there. The only place that knows how the screen looks:
    ///
    /// ```text
    /// Ashgarth Dun 14                              ‹step› stage  fly
    /// fly 3 of 12 · 2 tied                  this fly 2:10 of 6:05
    /// stage 2 of 5 · step 4 of 10          this step 0:12 of 0:45
    /// ```
    fn on(screen: &str) -> Option<Self> {
        let lines: Vec<&str> = screen.lines().collect();
        let marks = [("‹step›", Depth::Step), ("‹stage›", Depth::Stage), ("‹fly›", Depth::Fly)];
        let (nth, depth) =
            lines.iter().enumerate().find_map(|(nth, line)| marks.iter().find(|(mark, _)| line.contains(mark)).map(|(_, depth)| (nth, *depth)))?;
        let after = |line: &str, word: &str| {
            let rest = line.split_once(word)?.1;
            rest.chars().take_while(char::is_ascii_digit).collect::<String>().parse::<u32>().ok()
        };
        let (fly, place) = (lines.get(nth + 1)?.trim_start(), lines.get(nth + 2)?);
        let step = after(place, "step ").or_else(|| after(place, "steps "))?;
        Some(Seen { fly: fly.strip_prefix("fly ").and_then(|_| after(fly, "fly "))?, flies: after(fly, " of ")?, step: step as usize, depth })
    }

    /// As the screen is to show a run.
    fn of(run: &Run) -> Option<Self> {
        let view = run.view(0);
        let shown = view.part == Part::Tying && !view.steps.is_empty() && view.tray.is_none();
        shown.then_some(Seen { fly: view.fly, flies: view.flies, step: view.steps.start + 1, depth: view.depth })
    }
}

/// What a program showed, frame by frame, each only once in a row. What was cut off in the middle was not shown.
fn shown(written: &[u8]) -> Vec<Seen> {
    // Colours and marks are taken back at the end of each frame, and only there.
    const END: &[u8] = b"\x1b[0m";
    let mut screen = vt100::Parser::new(ROWS.try_into().unwrap(), COLUMNS.try_into().unwrap(), 0);
    let mut all = Vec::new();
    let mut from = 0;
    while let Some(end) = written[from..].windows(END.len()).position(|bytes| bytes == END) {
        let to = from + end + END.len();
        screen.process(&written[from..to]);
        from = to;
        all.extend(Seen::on(&screen.screen().contents()));
    }
    all.dedup();
    all
}

/// Numbers that look random and are the same each time (the 64-bit congruence of Knuth's MMIX).
struct Chance(u64);

impl Chance {
    fn below(&mut self, bound: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % bound
    }

    /// On oftener than all others: back, depth, pause, mishap, aside, give up, take back.
    fn key(&mut self) -> &'static str {
        match self.below(100) {
            0..60 => " ",
            60..72 => "\u{1b}[6~",
            72..80 => "\u{7f}",
            80..85 => "\t",
            85..88 => "p",
            88..92 => "m",
            92..94 => "a",
            94..95 => "g",
            _ => "u",
        }
    }
}

/// What the ledger holds of the run.
fn booked(bench: &Path) -> (Begun, Vec<Event>) {
    let ledger = Ledger::open_reading(bench).unwrap().unwrap();
    (ledger.run(RUN).unwrap().begun.begun, ledger.events(RUN).unwrap())
}

/// Opens the run again; with `wait`, until it stands in the vice where it was left.
fn again(bench: &Path, left: &Run, wait: bool) -> Terminal {
    let mut terminal = Terminal::on(bench, COLUMNS, ROWS, &[]);
    terminal.wait_for("the first screen", |screen| screen.contains("Ashgarth Dun, revision"));
    terminal.press("r");
    terminal.wait_for("the run", |screen| screen.contains("Runs to go on with") && screen.contains("left just now"));
    terminal.press("\r");
    if wait {
        let place = Seen::of(left);
        terminal.wait_for(&format!("the vice with {place:?}"), |screen| Seen::on(screen).is_some() && Seen::on(screen) == place);
    }
    terminal
}

fn kills(rounds: u32) {
    let seed = std::env::var("HERL_KILL_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(20_260_101);
    let mut chance = Chance(seed);
    let bench = bench();
    // The run as the last program left it.
    let mut left: Option<Run> = None;
    let mut places = 0;
    for round in 1..=rounds {
        let told = format!("round {round} of {rounds}, HERL_KILL_SEED={seed}");
        let at_once = left.is_some() && chance.below(8) == 0;
        let mut terminal = match &left {
            None => tying(bench.path(), FLIES),
            Some(left) => again(bench.path(), left, !at_once),
        };
        if left.is_none() {
            // So far in that nothing taken back leads out of the tying.
            terminal.press(&" ".repeat(12));
        }
        for _ in 0..if at_once { 0 } else { chance.below(30) } {
            let burst: String = (0..=chance.below(4)).map(|_| chance.key()).collect();
            terminal.press(&burst);
            pass(Duration::from_micros(chance.below(30_000)));
        }
        pass(Duration::from_micros(chance.below(6000)));
        terminal.cut_off();
        terminal.take_rest();

        let shown = shown(terminal.written());
        let (begun, events) = booked(bench.path());
        let mut run = left.take().unwrap_or_else(|| Run::new(begun.clone()));
        assert!(run.begun() == &begun && events.starts_with(run.events()), "{told}: what was booked before stands as it was");
        // Each place shown is there, after the one shown before it.
        let mut new = events[run.events().len()..].iter();
        for seen in &shown {
            while Seen::of(&run) != Some(*seen) {
                let Some(event) = new.next() else {
                    panic!(
                        "{told}: {seen:?} was shown and is not in the ledger\nshown {shown:#?}\nbooked last {:#?}",
                        &events[events.len().saturating_sub(100)..]
                    );
                };
                run.take(event.clone()).unwrap();
            }
        }
        new.for_each(|event| run.take(event.clone()).unwrap());
        assert!(run.counts().agree() && run.part() == Part::Tying, "{told}: {:?}", run.counts());
        assert!(at_once || !shown.is_empty(), "{told}: something was shown");
        places += shown.len();
        left = Some(run);
    }
    // In the end the run comes back whole, at the same place and with the same counts, and is left in order.
    let left = left.unwrap();
    let mut terminal = again(bench.path(), &left, true);
    terminal.press("q");
    assert_eq!(terminal.ended(), 0, "HERL_KILL_SEED={seed}");
    let (begun, events) = booked(bench.path());
    let after = Run::replay(begun, events).unwrap();
    let booked = left.events().len();
    assert_eq!((after.counts(), after.events().len()), (left.counts(), booked + 2), "HERL_KILL_SEED={seed}: a sitting begun and ended, no more");
    eprintln!("{booked} events booked and {places} places shown in {rounds} rounds");
    assert!(booked > rounds as usize * 10 && places > rounds as usize * 3, "{booked} events and {places} places are too few");
}

/// A stretch of time that is part of what is tried; nothing is waited for with it.
fn pass(time: Duration) {
    let until = Instant::now() + time;
    while Instant::now() < until {
        std::thread::sleep(until.saturating_duration_since(Instant::now()));
    }
}

#[test]
fn five_kills_lose_nothing_that_was_shown() {
    kills(5);
}

/// `cargo test --release --test pty two_hundred_kills -- --ignored`
#[test]
#[ignore = "takes minutes; the command stands in DEVELOPERS.md"]
fn two_hundred_kills_lose_nothing_that_was_shown() {
    kills(200);
}

#[test]
fn a_screen_is_read_as_it_looks() {
    let screen =
        " Bench   ‹vice›\nAshgarth Dun 14       step ‹stage›  fly\nfly 13 of 40 · 2 tied    this fly 2:10\nstage 2 of 5 · steps 4 to 6 of 10    here 0:12\n";
    assert_eq!(Seen::on(screen), Some(Seen { fly: 13, flies: 40, step: 4, depth: Depth::Stage }));
    let one = screen.replace("steps 4 to 6", "step 4").replace("step ‹stage›", "‹step› stage ");
    assert_eq!(Seen::on(&one), Some(Seen { fly: 13, flies: 40, step: 4, depth: Depth::Step }));
    assert_eq!(Seen::on("Runs to go on with\nfly 1 of 12, step 3 of 10"), None);
}
