//! From a key at the vice to the frame painted anew, on 200 x 60, over the demo bench's first dressing, at each
//! depth, in a run that does not end. The 99th percentile is to stay under 4 ms; with the ledger on a disk each press waits for that disk as well,
//! and is told apart. Figures stand in DEVELOPERS.md. `cargo bench --bench vice`.
#![allow(clippy::unwrap_used, missing_docs, reason = "a benchmark fails by panicking")]

use herl::bench;
use herl::tui::app::App;
use herl::tui::fulfil::Fulfil;
use herl::tui::keys::Key;
use herl::tui::queue::{Command, Happened, Now};
use herl::tui::{Desk, Look};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::path::Path;
use std::time::{Duration, Instant};

const AREA: Rect = Rect { x: 0, y: 0, width: 200, height: 60 };

struct Program {
    app: App,
    fulfil: Fulfil,
    shown: Buffer,
    steady_ms: u64,
}

/// What one press took: the state and the frame, and the ledger.
struct Took {
    own: Duration,
    disk: Duration,
}

impl Program {
    fn press(&mut self, key: Key) -> Took {
        self.steady_ms += 900;
        let now = Now { utc_ms: 1_767_268_800_000 + self.steady_ms as i64, steady_ms: self.steady_ms, ..Now::default() };
        let begun = Instant::now();
        let mut disk = Duration::ZERO;
        let mut commands = self.app.update(Happened::Pressed(key), now);
        while !commands.is_empty() {
            let command = commands.remove(0);
            if command == Command::Leave {
                break;
            }
            let at = Instant::now();
            let answer = self.fulfil.carry_out(command);
            disk += at.elapsed();
            if let Some(answer) = answer {
                let follows = self.app.update(answer, now);
                commands.splice(0..0, follows);
            }
        }
        let mut next = Buffer::empty(AREA);
        self.app.draw(&mut next);
        std::hint::black_box(self.shown.diff(&next).len());
        self.shown = next;
        Took { own: begun.elapsed().saturating_sub(disk), disk }
    }
}

fn percentile(all: &mut [Duration], percent: usize) -> Duration {
    all.sort();
    all[(all.len() * percent / 100).min(all.len() - 1)]
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo");
    let loaded = bench::load(&demo);
    let desk = Desk::of(loaded.bench, &loaded.findings, None);
    let mut app = App::new(desk, Look::default());
    app.update(Happened::Resized(AREA.width, AREA.height), Now::default());
    let mut program = Program { app, fulfil: Fulfil::new(folder.path().to_owned()), shown: Buffer::empty(AREA), steady_ms: 0 };
    for key in [Key::Char('t'), Key::Char('9'), Key::Char('9'), Key::Char('9'), Key::Enter, Key::Char('n')] {
        program.press(key);
    }
    let mut took = Vec::new();
    // Three flies by step as the run begins, then at each depth to and fro, so that there are presses enough.
    for nth in 0..2000 {
        let key = match nth % 20 {
            19 => Key::Tab,
            9 | 13 => Key::Backspace,
            _ => Key::Char(' '),
        };
        took.push(program.press(key));
    }
    let mut own: Vec<Duration> = took.iter().map(|took| took.own).collect();
    let mut all: Vec<Duration> = took.iter().map(|took| took.own + took.disk).collect();
    let mut disk: Vec<Duration> = took.iter().map(|took| took.disk).collect();
    for (what, times) in [("key to frame, without the disk", &mut own), ("the ledger alone", &mut disk), ("key to frame, booked on the disk", &mut all)] {
        println!(
            "{what}: middle {:?}, 99 % within {:?}, most {:?} ({} presses)",
            percentile(times, 50),
            percentile(times, 99),
            percentile(times, 100),
            times.len()
        );
    }
}
