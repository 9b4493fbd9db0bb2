//! The vice: the run in it, from laying out to booking, or else the runs to go on with.
//!
//! A key becomes an event, the event a command; the state moves on only when the answer says that it is booked. What is
//! looked at is one of the pages below, by the part of the run.

mod at_hand;
mod below;
pub mod booking;
pub mod change;
mod done;
mod drawn;
pub mod far;
mod filled;
mod forms;
mod head;
pub mod how_many;
mod listed;
pub mod looking_over;
pub mod measuring;
pub mod put_aside;
pub mod questions;
mod tray;
mod tying;
mod waiting;
mod words;

use crate::dressing::Dressing;
use crate::ledger::{NewRun, RunId, RunRow};
use crate::measure::Words;
use crate::tui::Desk;
use crate::tui::keys::{Deed, Place};
use crate::tui::queue::{Command, Now};
use crate::tui::widgets::Paint;
use crate::tui::widgets::page::{Scroll, Text};
use crate::tui::widgets::why::Why;
use crate::vice::{Event, Part, Run};
use at_hand::AtHand;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::collections::BTreeSet;

/// A run that is open.
#[derive(Clone, Debug, PartialEq)]
pub struct Waiting {
    /// The run as booked.
    pub row: RunRow,
    /// Where it stands, or why that cannot be said.
    pub state: Result<Run, String>,
}

/// A drying clock of some run.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Drying {
    run: RunId,
    finish: usize,
    /// What dries, and of which flies.
    what: String,
    until: i64,
}

/// The screen's state.
#[derive(Default)]
pub struct Vice {
    waiting: Vec<Waiting>,
    chosen: usize,
    notice: Option<&'static str>,
    at_hand: Option<AtHand>,
    /// Clocks of all open runs that were still going when they were looked at.
    drying: Vec<Drying>,
    /// Clocks whose end was told.
    told: BTreeSet<(RunId, usize)>,
}

impl Vice {
    /// Where the keys go.
    pub fn place(&self) -> Place {
        self.at_hand.as_ref().map_or(Place::Runs, AtHand::place)
    }

    /// What a run in the vice is at, for the head of the other screens.
    pub fn at(&self) -> Option<String> {
        let view = self.at_hand.as_ref()?.run.view(0);
        Some(match view.part {
            Part::Tying => format!("fly {}", view.fly),
            part => part.words().to_owned(),
        })
    }

    /// A run of this dressing, size and variant that waits already.
    pub fn waits(&self, run: &NewRun) -> Option<&Waiting> {
        let same = |begun: &NewRun| (&begun.dressing, &begun.size, &begun.variant) == (&run.dressing, &run.size, &run.variant);
        self.waiting.iter().find(|waiting| same(&waiting.row.begun))
    }

    /// Takes the list of open runs.
    pub fn take_runs(&mut self, waiting: Vec<Waiting>, notice: Option<&'static str>, now: Now) {
        self.drying.clear();
        for one in &waiting {
            if let Ok(run) = &one.state {
                self.set_clocks(one.row.id, clocks_of(one.row.id, &how_many::name(&one.row.begun), run, now));
            }
        }
        self.waiting = waiting;
        self.notice = notice;
        self.chosen = self.chosen.min(self.waiting.len().saturating_sub(1));
    }

    fn set_clocks(&mut self, id: RunId, clocks: Vec<Drying>) {
        self.drying.retain(|clock| clock.run != id);
        self.drying.extend(clocks);
    }

    /// What has dried since it was last asked, to be told once.
    pub fn dried(&mut self, now: Now) -> Vec<String> {
        let (over, going): (Vec<_>, Vec<_>) = std::mem::take(&mut self.drying).into_iter().partition(|clock| clock.until <= now.utc_ms);
        self.drying = going;
        let mut told = Vec::new();
        for clock in over {
            if self.told.insert((clock.run, clock.finish)) {
                told.push(format!("{} is dry", Words::new(&clock.what)));
            }
        }
        told
    }

    /// Milliseconds until the next clock ends, of whichever run.
    pub fn next_dry(&self, now: Now) -> Option<u64> {
        self.drying.iter().map(|clock| u64::try_from(clock.until.saturating_sub(now.utc_ms)).unwrap_or(0)).min()
    }

    /// Puts a run into the vice, and opens a sitting of it.
    pub fn take_up(&mut self, row: RunRow, run: Run, card: Option<&str>, desk: &Desk, now: Now) -> Vec<Command> {
        self.set_clocks(row.id, clocks_of(row.id, &how_many::name(&row.begun), &run, now));
        let mut at_hand = AtHand::new(row, run, card, desk, now);
        // Also where the last sitting has no end: it was cut off, and this is a new one all the same.
        let open = at_hand.begin(now);
        self.at_hand = Some(at_hand);
        vec![open]
    }

    /// Takes an event that is safely booked.
    pub fn booked(&mut self, run: RunId, event: &Event, now: Now) -> Vec<Command> {
        let Some(at_hand) = self.at_hand.as_mut().filter(|at_hand| at_hand.row.id == run) else { return Vec::new() };
        let Some(follows) = at_hand.booked(event, now) else {
            // It was the end of the sitting, or the ledger has taken what the state does not: the ledger is right, and
            // is read again.
            return self.put_down();
        };
        let clocks = clocks_of(run, &how_many::name(&at_hand.row.begun), &at_hand.run, now);
        self.set_clocks(run, clocks);
        follows
    }

    /// Takes the run out of the vice without booking anything: the ledger knows better.
    pub fn put_down(&mut self) -> Vec<Command> {
        if self.at_hand.take().is_some() { vec![Command::LetGo, Command::Runs] } else { Vec::new() }
    }

    /// What ends the sitting in hand, if there is one.
    pub fn close(&self, now: Now) -> Option<Command> {
        self.at_hand.as_ref().and_then(|at_hand| at_hand.close(now))
    }

    /// Tells the run in hand that the bench was read anew.
    pub fn desk_changed(&mut self, desk: &Desk) {
        if let Some(at_hand) = &mut self.at_hand {
            at_hand.desk_changed(desk);
        }
    }

    /// Types, where something is typed; gives what is to be booked for it.
    pub fn type_in(&mut self, text: &str, now: Now) -> Vec<Command> {
        self.at_hand.as_mut().and_then(|at_hand| at_hand.type_in(text, now)).into_iter().collect()
    }

    /// Does what a key asks.
    pub fn go(&mut self, deed: Deed, page: usize, desk: &Desk, now: Now) -> Vec<Command> {
        let Some(at_hand) = &mut self.at_hand else {
            let mut at = Scroll(self.chosen);
            at.go(deed, page, self.waiting.len().saturating_sub(1));
            self.chosen = at.0;
            let chosen = self.waiting.get(self.chosen).filter(|_| deed == Deed::TakeUp);
            return chosen.map(|waiting| Command::TakeUp(waiting.row.id)).into_iter().collect();
        };
        match at_hand.go(deed, page, desk, now) {
            Some(commands) => commands,
            None => self.put_down(),
        }
    }

    /// Goes back within the vice where something lies over the run; false where nothing does.
    pub fn back(&mut self) -> bool {
        self.at_hand.as_mut().is_some_and(AtHand::back)
    }

    /// Whether a deed would do anything now.
    pub fn open(&self, deed: Deed) -> bool {
        match &self.at_hand {
            Some(at_hand) => at_hand.open(deed),
            None => match deed {
                Deed::TakeUp => !self.waiting.is_empty(),
                Deed::Vice => false,
                _ => true,
            },
        }
    }

    /// Why the figure of what is in hand is what it is.
    pub fn why(&self, now: Now) -> Option<Why> {
        self.at_hand.as_ref()?.why(now)
    }

    /// Why the run in hand is expected to take as long as it is.
    pub fn why_time(&self, now: Now) -> Option<Why> {
        self.at_hand.as_ref()?.why_time(now)
    }

    /// What has changed in the dressing's file since the run in hand was begun.
    pub fn differs(&self) -> Vec<Text> {
        self.at_hand.as_ref().map(AtHand::differs).unwrap_or_default()
    }

    /// Milliseconds until the screen shows another time; `None` while no time runs.
    pub fn due(&self, now: Now) -> Option<u64> {
        self.at_hand.as_ref()?.due(now)
    }

    /// Paints the screen.
    pub fn draw(&self, buf: &mut Buffer, area: Rect, desk: &Desk, now: Now, paint: Paint<'_>) {
        match &self.at_hand {
            Some(at_hand) => at_hand.draw(buf, area, desk, now, paint),
            None => waiting::draw(&self.waiting, self.chosen, self.notice, buf, area, now, paint),
        }
    }
}

/// The clocks of a run that still go.
fn clocks_of(id: RunId, name: &str, run: &Run, now: Now) -> Vec<Drying> {
    let what = |finish: usize| run.begun().finishing.get(finish).map_or("", |finish| finish.what.as_str());
    let going = run.clocks().iter().filter(|clock| clock.until > now.utc_ms);
    going.map(|clock| Drying { run: id, finish: clock.finish, what: format!("{} of {name}", what(clock.finish)), until: clock.until }).collect()
}

/// The dressing of a run as it stands on the bench today.
fn dressing_of<'a>(begun: &NewRun, desk: &'a Desk) -> Option<&'a Dressing> {
    desk.dressings.get(&crate::measure::words::fold(begun.dressing.as_str()))
}
