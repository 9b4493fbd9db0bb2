//! A ledger that is only remembered: it answers the screens as the real one does, so that a line of keys can be played
//! without a disk. The tests of the real one stand in `ledger.rs`, `fulfil.rs` and in the pseudo-terminal.

use herl::ledger::{NewRun, RunId, RunRow};
use herl::tui::app::App;
use herl::tui::fulfil::Fulfil;
use herl::tui::queue::{Command, Happened, Now};
use herl::tui::screens::vice::Waiting;
use herl::vice::{Event, Run};

/// The runs, their events, and the time.
#[derive(Default)]
pub(crate) struct Book {
    pub(crate) runs: Vec<(NewRun, Vec<Event>)>,
    /// What every booking is answered with while the disk is full.
    pub(crate) full: Option<&'static str>,
    /// The stores: a real ledger in a folder of its own, made when it is first asked for.
    stores: Option<(tempfile::TempDir, Fulfil)>,
    steady_ms: u64,
}

impl Book {
    /// Time passes.
    pub(crate) fn pass(&mut self, ms: u64) {
        self.steady_ms += ms;
    }

    fn stores(&mut self) -> &mut Fulfil {
        let (_, fulfil) = self.stores.get_or_insert_with(|| {
            let dir = tempfile::tempdir().unwrap();
            let fulfil = Fulfil::new(dir.path().to_owned());
            (dir, fulfil)
        });
        fulfil
    }

    /// 2026-01-01 12:00 UTC, and what has passed since.
    pub(crate) fn now(&self) -> Now {
        Now { utc_ms: 1_767_268_800_000 + self.steady_ms as i64, steady_ms: self.steady_ms, ..Now::default() }
    }

    /// Lets the program take what happened, and answers what it asks for; true when it leaves.
    pub(crate) fn take(&mut self, app: &mut App, happened: Happened) -> bool {
        let mut commands = app.update(happened, self.now());
        while !commands.is_empty() {
            match commands.remove(0) {
                Command::Leave => return true,
                command => {
                    if let Some(answer) = self.answer(command) {
                        let follows = app.update(answer, self.now());
                        commands.splice(0..0, follows);
                    }
                }
            }
        }
        false
    }

    pub(crate) fn state(&self, nth: usize) -> Run {
        let (run, events) = &self.runs[nth];
        Run::replay(run.begun.clone(), events.iter().cloned()).unwrap()
    }

    fn row(&self, nth: usize) -> RunRow {
        let (run, events) = &self.runs[nth];
        RunRow { id: RunId(nth as i64), begun: run.clone(), done_at: None, last_at: events.last().map(|event| event.at) }
    }

    fn answer(&mut self, command: Command) -> Option<Happened> {
        if let (Some(what), Command::Begin(_) | Command::Book(..)) = (self.full, &command) {
            return Some(Happened::Failed { what: what.to_owned(), stale: false });
        }
        Some(match command {
            Command::Leave | Command::LetGo | Command::Ring | Command::Reread => return None,
            Command::Stores | Command::Used(_) | Command::StoreOf(_) | Command::Shelf(..) => return self.stores().carry_out(command),
            Command::Runs => {
                let open = (0..self.runs.len()).filter(|nth| !self.state(*nth).run_done());
                Happened::Runs(open.map(|nth| Waiting { row: self.row(nth), state: Ok(self.state(nth)) }).collect(), None)
            }
            Command::Begin(run) => {
                self.runs.push((*run, Vec::new()));
                let nth = self.runs.len() - 1;
                Happened::TakenUp(Box::new(self.row(nth)), Box::new(self.state(nth)), self.runs[nth].0.card.clone())
            }
            Command::TakeUp(RunId(nth)) => {
                let nth = nth as usize;
                Happened::TakenUp(Box::new(self.row(nth)), Box::new(self.state(nth)), self.runs[nth].0.card.clone())
            }
            // The dressing's file is not written here; that is tested with the real bench.
            Command::Agree(agree) => return self.answer(Command::Book(agree.run.id, agree.event)),
            Command::Book(RunId(nth), event) => {
                self.state(nth as usize).take(event.clone()).unwrap();
                self.runs[nth as usize].1.push(event.clone());
                Happened::Booked(RunId(nth), event)
            }
        })
    }
}
