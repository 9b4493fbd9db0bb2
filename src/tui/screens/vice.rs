//! The vice: the fly in it, or else the runs to go on with.
//!
//! ```text
//!  Ashgarth Dun 14                              ‹step› stage  fly
//!  fly 3 of 12                           this fly 2:10 of 6:05
//!  stage 2 of 5 · step 4 of 10          this step 0:12 of 0:45
//!  ███████░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░
//!  Tie in 7 tail fibres,          │
//!  10.3 mm long.                  │   (the fly as this step
//!                                 │    leaves it, the part in
//!  (its figures in letters of     │    hand standing out)
//!   several cells)                │
//! ```
//!
//! A key becomes an event, the event a command; the state moves on only when the answer says that it is booked.

pub mod booking;
pub mod change;
mod forms;
pub mod how_many;
pub mod looking_over;
pub mod measuring;
pub mod put_aside;
pub mod questions;
mod tying;
mod waiting;
mod words;

use super::fly;
use crate::card::hook_line::P2;
use crate::card::{self, Card};
use crate::dressing::{Dressing, Way};
use crate::ledger::{NewRun, RunId, RunRow};
use crate::measure::words::fold;
use crate::tui::Desk;
use crate::tui::keys::{Deed, Place};
use crate::tui::queue::{Command, Now};
use crate::tui::widgets::Paint;
use crate::tui::widgets::page::Scroll;
use crate::tui::widgets::why::{Subject, Why};
use crate::vice::{Did, Event, Outline, Press, Run, State, View};
use crate::why::Fig;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::rc::Rc;

/// A run that is open.
#[derive(Clone, Debug, PartialEq)]
pub struct Waiting {
    /// The run as booked.
    pub row: RunRow,
    /// Where it stands, or why that cannot be said.
    pub state: Result<Run, String>,
}

/// The screen's state.
#[derive(Default)]
pub struct Vice {
    waiting: Vec<Waiting>,
    chosen: usize,
    notice: Option<&'static str>,
    tying: Option<Tying>,
}

/// A run in the vice.
struct Tying {
    row: RunRow,
    state: Run,
    /// Its sitting is open, by this program: one that was cut off before is none.
    open: bool,
    /// When the sitting was opened, on the program's steady clock, ms.
    opened: u64,
    fly: Drawn,
    /// Cautions, until the first press is booked.
    caution: Option<String>,
    scroll: Scroll,
}

/// What can be drawn of a run.
enum Drawn {
    /// The card it was begun with.
    Card { card: Rc<Card>, frame: Option<(P2, P2)> },
    /// None that its steps belong to; what is told instead.
    Nothing(&'static str),
}

impl Drawn {
    fn card(&self) -> Option<&Rc<Card>> {
        match self {
            Drawn::Card { card, .. } => Some(card),
            Drawn::Nothing(_) => None,
        }
    }
}

const CHANGED: &str = "The dressing has been changed since this run was begun. The steps are those it was begun with; it cannot be drawn with them any more.";
const GONE: &str =
    "The dressing of this run is not on the bench any more, not in this size and variant, or cannot be worked. The steps are those the run was begun with.";

impl Vice {
    /// Where the keys go.
    pub fn place(&self) -> Place {
        if self.tying.is_some() { Place::Vice } else { Place::Runs }
    }

    /// The fly in the vice, from 1.
    pub fn fly(&self) -> Option<u32> {
        self.tying.as_ref().map(|tying| tying.state.view(0).fly)
    }

    /// A run of this dressing, size and variant that waits already.
    pub fn waits(&self, run: &NewRun) -> Option<&Waiting> {
        let same = |begun: &NewRun| (&begun.dressing, &begun.size, &begun.variant) == (&run.dressing, &run.size, &run.variant);
        self.waiting.iter().find(|waiting| same(&waiting.row.begun))
    }

    /// Takes the list of open runs.
    pub fn take_runs(&mut self, waiting: Vec<Waiting>, notice: Option<&'static str>) {
        self.waiting = waiting;
        self.notice = notice;
        self.chosen = self.chosen.min(self.waiting.len().saturating_sub(1));
    }

    /// Puts a run into the vice, and opens a sitting of it.
    pub fn take_up(&mut self, row: RunRow, state: Run, desk: &Desk, now: Now) -> Vec<Command> {
        let fly = drawn(&row, desk);
        let caution = Some(caution(fly.card().map(|card| &**card)));
        let mut tying = Tying { row, state, open: false, opened: now.steady_ms, fly, caution, scroll: Scroll::default() };
        // Also where the last sitting has no end: it was cut off, and this is a new one all the same.
        let open = tying.begin(now);
        self.tying = Some(tying);
        vec![open]
    }

    /// Takes an event that is safely booked.
    pub fn booked(&mut self, run: RunId, event: &Event) -> Vec<Command> {
        let Some(tying) = self.tying.as_mut().filter(|tying| tying.row.id == run) else { return Vec::new() };
        if tying.state.take(event.clone()).is_err() {
            // The ledger has taken what the state does not: the ledger is right, and is read again.
            return self.put_down();
        }
        tying.scroll = Scroll::default();
        match event.did {
            Did::Closed => self.put_down(),
            Did::Opened { .. } => {
                tying.open = true;
                Vec::new()
            }
            _ => {
                tying.caution = None;
                Vec::new()
            }
        }
    }

    /// Takes the run out of the vice without booking anything: the ledger knows better.
    pub fn put_down(&mut self) -> Vec<Command> {
        if self.tying.take().is_some() { vec![Command::LetGo, Command::Runs] } else { Vec::new() }
    }

    /// What ends the sitting in hand, if there is one.
    pub fn close(&self, now: Now) -> Option<Command> {
        self.tying.as_ref().filter(|tying| tying.open).map(|tying| tying.book(Did::Closed, now))
    }

    /// Does what a key asks.
    pub fn go(&mut self, deed: Deed, page: usize, now: Now) -> Vec<Command> {
        let Some(tying) = &mut self.tying else {
            let mut at = Scroll(self.chosen);
            at.go(deed, page, self.waiting.len().saturating_sub(1));
            self.chosen = at.0;
            let chosen = self.waiting.get(self.chosen).filter(|_| deed == Deed::TakeUp);
            return chosen.map(|waiting| Command::TakeUp(waiting.row.id)).into_iter().collect();
        };
        match deed {
            Deed::GoOn => tying.press(Press::On, now),
            Deed::GoBack => tying.press(Press::Back, now),
            Deed::Rest => tying.press(Press::Pause, now),
            Deed::Depth => tying.press(Press::Depth, now),
            Deed::EndSitting if tying.open => vec![tying.book(Did::Closed, now)],
            Deed::EndSitting => self.put_down(),
            _ => {
                tying.scroll.go(deed, page, tying.state.outline().count() * 4);
                Vec::new()
            }
        }
    }

    /// Whether a deed would do anything now.
    pub fn open(&self, deed: Deed) -> bool {
        let Some(tying) = &self.tying else {
            return match deed {
                Deed::TakeUp => !self.waiting.is_empty(),
                Deed::Vice => false,
                _ => true,
            };
        };
        let means = |press| tying.open && tying.state.means(press).is_some();
        match deed {
            Deed::GoOn => means(Press::On) || !tying.open,
            Deed::GoBack => means(Press::Back),
            Deed::Rest | Deed::Depth => tying.open && !tying.state.run_done(),
            Deed::Why => tying.figure().is_some(),
            Deed::Vice => false,
            _ => true,
        }
    }

    /// Why the figure of what is in hand is what it is.
    pub fn why(&self) -> Option<Why> {
        let tying = self.tying.as_ref()?;
        Some(Why::new(Subject::Card(tying.fly.card()?.clone()), tying.figure()?))
    }

    /// Milliseconds until the screen shows another time; `None` while no time runs.
    pub fn due(&self, now: Now) -> Option<u64> {
        let tying = self.tying.as_ref()?;
        let view = tying.view(now);
        (view.state == State::Tying).then(|| 1000 - view.here_ms % 1000)
    }

    /// Paints the screen.
    pub fn draw(&self, buf: &mut Buffer, area: Rect, desk: &Desk, now: Now, paint: Paint<'_>) {
        match &self.tying {
            Some(tying) => tying::draw(tying, buf, area, desk, now, paint),
            None => waiting::draw(&self.waiting, self.chosen, self.notice, buf, area, now, paint),
        }
    }
}

impl Tying {
    fn ran(&self, now: Now) -> u64 {
        if self.open { now.steady_ms.saturating_sub(self.opened) } else { 0 }
    }

    fn view(&self, now: Now) -> View {
        let view = self.state.view(self.ran(now));
        View { state: if self.open || view.state == State::RunDone { view.state } else { State::Away }, ..view }
    }

    fn book(&self, did: Did, now: Now) -> Command {
        Command::Book(self.row.id, self.state.event(did, now.utc_ms, self.ran(now)))
    }

    /// Opens a sitting; the clock of it begins now.
    fn begin(&mut self, now: Now) -> Command {
        self.opened = now.steady_ms;
        self.book(Did::Opened { depth: None }, now)
    }

    /// What a press books; where no sitting is open (its opening could not be booked, say), the big key opens one.
    fn press(&mut self, press: Press, now: Now) -> Vec<Command> {
        if !self.open {
            return if press == Press::On { vec![self.begin(now)] } else { Vec::new() };
        }
        self.state.means(press).map(|did| self.book(did, now)).into_iter().collect()
    }

    /// The parts that the steps in hand tie in or wind, by place on the card.
    fn parts(&self) -> Vec<usize> {
        let view = self.state.view(0);
        let steps = self.state.outline().steps().get(view.steps).unwrap_or_default();
        let Some(card) = self.fly.card() else { return Vec::new() };
        let mut parts: Vec<usize> =
            steps.iter().filter_map(|step| card.steps.get(step.card)).flat_map(|step| step.ties.iter().chain(&step.winds).copied()).collect();
        parts.sort_unstable();
        parts.dedup();
        parts
    }

    /// The figure of what is in hand that is asked about: of its first part, else its time.
    fn figure(&self) -> Option<Fig> {
        let card = self.fly.card()?;
        let of_part = |nth: usize| card.parts.get(nth).and_then(|part| part.length.or(part.fibre).or(part.turns).or(part.count).or(part.amount));
        let view = self.state.view(0);
        let time = || {
            let step = self.state.outline().steps().get(view.steps.start)?;
            card.sheet.find(step.key.as_deref()?)
        };
        self.parts().into_iter().find_map(of_part).or_else(time)
    }
}

/// The card of a run worked anew from the bench, where its steps are still those the run was begun with.
fn drawn(row: &RunRow, desk: &Desk) -> Drawn {
    let begun = &row.begun;
    let worked = |dressing: &Dressing| -> Option<Card> {
        let size = dressing.sizes.iter().find(|size| size.value.text() == begun.size.as_str())?;
        let variant = begun.variant.as_ref().map(|variant| fold(variant.as_str()));
        let known = variant.as_ref().is_none_or(|variant| dressing.variants.contains_key(variant));
        card::work(dressing, size, variant.as_deref(), None, &desk.shelf).ok().filter(|_| known)
    };
    let Some((dressing, card)) = desk.dressings.get(&fold(begun.dressing.as_str())).and_then(|dressing| Some((dressing, worked(dressing)?))) else {
        return Drawn::Nothing(GONE);
    };
    let same = |now: &Outline| {
        let steps = |outline: &Outline| outline.steps().iter().map(|step| (step.card, step.stage, step.text.clone())).collect::<Vec<_>>();
        steps(now) == steps(&begun.begun.outline)
    };
    // A change that shows neither in the revision nor in the steps cannot be known: the ledger keeps no more of the dressing.
    let now = Outline::of(&card, dressing.time.as_ref().map(|time| time.value));
    if begun.revision != card.revision || !now.is_ok_and(|now| same(&now)) {
        return Drawn::Nothing(CHANGED);
    }
    let frame = fly::frame(&card);
    Drawn::Card { card: Rc::new(card), frame }
}

/// What to mind; with a coat, its vapours too.
fn caution(card: Option<&Card>) -> String {
    let mut text = "Points are sharp: mind fingers and eyes, your own and others'.".to_owned();
    if card.is_none_or(|card| card.needs.iter().any(|need| need.way == Way::Coat)) {
        text.push_str(" Varnish and resin: fresh air, and what their label and safety sheet say.");
    }
    text
}
