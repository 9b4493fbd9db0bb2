//! The run in the vice: what a key means in each part of it, and which page shows it.

use super::drawn::{Drawn, Today};
use super::{done, head, listed, tray, tying};
use crate::dressing::Way;
use crate::ledger::RunRow;
use crate::tui::Desk;
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::queue::{Command, Now};
use crate::tui::widgets::Paint;
use crate::tui::widgets::page::{Scroll, Text, Tone};
use crate::tui::widgets::why::{Subject, Why};
use crate::vice::{Depth, Did, Event, Kind, Part, Press, Run, State, View};
use crate::why::Fig;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::ops::Range;

/// A run in the vice.
pub(super) struct AtHand {
    pub(super) row: RunRow,
    pub(super) run: Run,
    /// Its sitting is open, by this program: one that was cut off before is none.
    pub(super) open: bool,
    /// When the sitting was opened, on the program's steady clock, ms.
    opened: u64,
    pub(super) fly: Drawn,
    pub(super) today: Today,
    pub(super) scroll: Scroll,
    /// The step alone, as large as the window.
    pub(super) far: bool,
    /// Bad ones found with what is ticked next, or flies missing from the tray.
    pub(super) number: u32,
    /// Whether a press of this sitting was booked: until then it says what to mind.
    pub(super) pressed: bool,
}

impl AtHand {
    pub(super) fn new(row: RunRow, run: Run, card: Option<&str>, desk: &Desk, now: Now) -> Self {
        let fly = Drawn::new(&row.begun, card, desk);
        let today = fly.today(&row.begun, desk);
        AtHand { row, run, open: false, opened: now.steady_ms, fly, today, scroll: Scroll::default(), far: false, number: 0, pressed: false }
    }

    /// Where the keys go.
    pub(super) fn place(&self) -> Place {
        match self.run.part() {
            Part::LayingOut => Place::LayingOut,
            Part::Tying if self.run.view(0).counting => Place::Tray,
            Part::Tying => Place::Vice,
            Part::Measuring => Place::Measuring,
            Part::Agreeing => Place::Agreeing,
            Part::Finishing => Place::Finishing,
            Part::LookingOver => Place::LookingOver,
            Part::Booking => Place::Booking,
            Part::Done => Place::RunDone,
        }
    }

    pub(super) fn desk_changed(&mut self, desk: &Desk) {
        if self.fly.card().is_none() {
            self.fly = Drawn::new(&self.row.begun, None, desk);
        }
        self.today = self.fly.today(&self.row.begun, desk);
    }

    /// Milliseconds of this sitting.
    pub(super) fn ran(&self, now: Now) -> u64 {
        if self.open { now.steady_ms.saturating_sub(self.opened) } else { 0 }
    }

    pub(super) fn view(&self, now: Now) -> View {
        let view = self.run.view(self.ran(now));
        View { state: if self.open || view.state == State::RunDone { view.state } else { State::Away }, ..view }
    }

    fn book(&self, did: Did, now: Now) -> Command {
        Command::Book(self.row.id, self.run.event(did, now.utc_ms, self.ran(now)))
    }

    /// Opens a sitting; the clock of it begins now.
    pub(super) fn begin(&mut self, now: Now) -> Command {
        self.opened = now.steady_ms;
        self.book(Did::Opened { depth: None }, now)
    }

    pub(super) fn close(&self, now: Now) -> Option<Command> {
        self.open.then(|| self.book(Did::Closed, now))
    }

    /// Takes an event that is safely booked; false when the run is to be put down.
    pub(super) fn booked(&mut self, event: &Event) -> bool {
        if self.run.take(event.clone()).is_err() {
            return false;
        }
        self.scroll = Scroll::default();
        self.number = 0;
        match event.did {
            Did::Closed => return false,
            Did::Opened { .. } => self.open = true,
            _ => self.pressed = true,
        }
        true
    }

    pub(super) fn type_in(&mut self, _text: &str) {}

    pub(super) fn back(&mut self) -> bool {
        false
    }

    /// Does what a key asks; `None`: the run is put down without an end to the sitting, for none is open.
    pub(super) fn go(&mut self, deed: Deed, page: usize, desk: &Desk, now: Now) -> Option<Vec<Command>> {
        if !self.open {
            // Where no sitting is open (its opening could not be booked, say), the big key opens one.
            return match deed {
                Deed::GoOn | Deed::Take => Some(vec![self.begin(now)]),
                Deed::EndSitting => None,
                _ => Some(Vec::new()),
            };
        }
        let _ = desk;
        let did = match deed {
            Deed::GoOn | Deed::Take => self.on(),
            Deed::GoBack => self.run.means(Press::Back),
            Deed::Rest => self.run.means(Press::Pause),
            Deed::Depth => self.run.means(Press::Depth),
            Deed::Undo => self.run.last_done().map(|number| Did::TookBack { number }),
            Deed::EndSitting => Some(Did::Closed),
            Deed::Mishap => Some(Did::Mishap),
            Deed::PutAside => Some(Did::PutAside),
            Deed::GiveUp => Some(Did::GaveUp),
            Deed::TakeAside => self.run.aside().first().map(|half| Did::TookUp { fly: half.fly }),
            Deed::MoreFlies => Some(Did::More { flies: 1 }),
            Deed::NextPart => self.next_part().map(|to| Did::Turned { to }),
            Deed::Far => {
                self.far = !self.far;
                None
            }
            Deed::More | Deed::Fewer if self.place() == Place::Tray => {
                let tray = u32::try_from(self.run.view(0).counts.in_hand).unwrap_or(u32::MAX);
                self.number = if deed == Deed::Fewer { (self.number + 1).min(tray) } else { self.number.saturating_sub(1) };
                None
            }
            Deed::More | Deed::Fewer if self.place() == Place::LayingOut => {
                self.number = if deed == Deed::More { (self.number + 1).min(9999) } else { self.number.saturating_sub(1) };
                None
            }
            _ => {
                self.scroll.go(deed, page, self.run.outline().count() * 4);
                None
            }
        };
        Some(did.map(|did| self.book(did, now)).into_iter().collect())
    }

    /// What the big key books.
    fn on(&self) -> Option<Did> {
        match (self.run.means(Press::On)?, self.place()) {
            (Did::On, Place::LayingOut) if self.number > 0 => Some(Did::Ticked { bad: self.number }),
            (Did::On, Place::Tray) if self.number > 0 => Some(Did::TrayCounted { missing: self.number }),
            (did, _) => Some(did),
        }
    }

    fn next_part(&self) -> Option<Part> {
        let begun = self.run.begun();
        match self.run.part() {
            Part::LayingOut => Some(Part::Tying),
            part @ (Part::Tying | Part::Finishing) if begun.whole && begun.kind == Kind::Counted => Some(begun.after(part)),
            Part::Booking => Some(Part::LookingOver),
            _ => None,
        }
    }

    /// Whether a deed would do anything now.
    pub(super) fn open(&self, deed: Deed) -> bool {
        let part = self.run.part();
        match deed {
            Deed::GoOn | Deed::Take => !self.open || self.run.means(Press::On).is_some(),
            Deed::GoBack => self.open && self.run.means(Press::Back).is_some(),
            Deed::Undo => self.open && self.run.last_done().is_some(),
            Deed::Rest => self.open && part != Part::Done,
            Deed::Depth | Deed::Mishap | Deed::PutAside | Deed::GiveUp => self.open && part == Part::Tying,
            Deed::TakeAside => self.open && part == Part::Tying && !self.run.aside().is_empty(),
            Deed::NextPart => self.open && self.next_part().is_some(),
            Deed::MoreFlies => self.open && self.run.begun().whole && self.run.begun().kind == Kind::Counted,
            Deed::NoteChange => self.open && self.run.begun().whole,
            Deed::Questions => !self.run.questions().is_empty(),
            Deed::Differs => !matches!(self.today, Today::Same),
            Deed::Why => self.figure().is_some(),
            Deed::Vice => false,
            _ => true,
        }
    }

    /// Why the figure of what is in hand is what it is.
    pub(super) fn why(&self, _now: Now) -> Option<Why> {
        Some(Why::new(Subject::Card(self.fly.card()?.clone()), self.figure()?))
    }

    /// The figure of what is in hand that is asked about: of the laying out its number; at the vice of the first part its
    /// length, fibre, turns, number or amount, else the step's time.
    fn figure(&self) -> Option<Fig> {
        let card = self.fly.card()?;
        let view = self.run.view(0);
        let begun = self.run.begun();
        let keyed = |key: Option<&String>| card.sheet.find(key?);
        match view.part {
            Part::LayingOut => keyed(begun.layout.get(view.item)?.key.as_ref()),
            Part::Measuring => keyed(Some(&begun.lengths.get(view.item)?.key)),
            Part::Finishing => card.steps.get(begun.finishing.get(view.item)?.card).and_then(|step| step.time.map(|(fig, _)| fig).or(step.dries)),
            Part::Tying => {
                let of_part = |nth: usize| card.parts.get(nth).and_then(|part| part.length.or(part.fibre).or(part.turns).or(part.count).or(part.amount));
                let time = || keyed(self.run.outline().steps().get(view.steps.start)?.key.as_ref());
                self.parts_of(view.steps.clone()).into_iter().find_map(of_part).or_else(time)
            }
            _ => None,
        }
    }

    /// The parts that steps tie in or wind, by place on the card.
    pub(super) fn parts_of(&self, steps: Range<usize>) -> Vec<usize> {
        let steps = self.run.outline().steps().get(steps).unwrap_or_default();
        let Some(card) = self.fly.card() else { return Vec::new() };
        let mut parts: Vec<usize> =
            steps.iter().filter_map(|step| card.steps.get(step.card)).flat_map(|step| step.ties.iter().chain(&step.winds).copied()).collect();
        parts.sort_unstable();
        parts.dedup();
        parts
    }

    /// What has changed in the dressing's file since the run was begun.
    pub(super) fn differs(&self) -> Vec<Text> {
        match &self.today {
            Today::Same => Vec::new(),
            Today::Gone => vec![Text::new(
                Tone::Plain,
                "The dressing is not on the bench any more, not in this size and variant, or cannot be worked. The run goes on as it was begun.",
            )],
            Today::Moved { differs, .. } => {
                let mut text = vec![Text::new(Tone::Plain, "The run goes on as it was begun: was -> is today."), Text::new(Tone::Plain, "")];
                text.extend(differs.iter().map(|one| Text::new(Tone::Plain, one.to_string())));
                text
            }
        }
    }

    /// How long the flies that are left take, in words.
    pub(super) fn more(&self) -> Option<String> {
        None
    }

    /// Milliseconds until the screen shows another time; `None` while no time runs.
    pub(super) fn due(&self, now: Now) -> Option<u64> {
        let view = self.view(now);
        let clocks = self.run.clocks().iter().any(|clock| clock.until > now.utc_ms) && view.part >= Part::Finishing;
        (view.state == State::Tying || clocks).then(|| 1000 - view.here_ms % 1000)
    }

    /// What stands below the words, and whether it stands out.
    pub(super) fn said(&self, view: &View, paint: Paint<'_>) -> Vec<(String, bool)> {
        let key = |deed, wish| paint.look.keys.key(deed, self.place(), wish).unwrap_or_default();
        let on = || key(Deed::GoOn, Key::Char(' '));
        let mut said = Vec::new();
        match view.state {
            State::Resting => said.push((format!("PAUSED: time stands still; {} goes back to work and passes over no step.", on()), true)),
            State::Away => said.push((format!("No sitting is open: {} opens one.", on()), true)),
            State::Tying | State::RunDone => {}
        }
        if view.state == State::Tying && view.rest_due {
            said.push((
                format!("{} min at work: a rest is due whenever it suits ({} pauses).", view.spell_ms / 60_000, key(Deed::Rest, Key::Char('p'))),
                false,
            ));
        }
        if view.part == Part::Tying && !self.run.aside().is_empty() && view.state != State::RunDone {
            let flies: Vec<String> = self.run.aside().iter().map(|half| half.fly.to_string()).collect();
            said.push((format!("put aside: fly {} ({} takes it up again)", flies.join(", "), key(Deed::TakeAside, Key::Char('t'))), false));
        }
        let waiting = self.run.questions().iter().filter(|question| question.answer.is_none()).count();
        if waiting > 0 {
            let word = if waiting == 1 { "question waits" } else { "questions wait" };
            said.push((format!("{waiting} {word}: {}", key(Deed::Questions, Key::Char('l'))), false));
        }
        match &self.today {
            Today::Moved { revision, .. } if *revision != self.row.begun.revision => {
                said.push((
                    format!(
                        "The file has moved on to revision {revision}; this run stays at {} ({}: what differs).",
                        self.row.begun.revision,
                        key(Deed::Differs, Key::Char('i'))
                    ),
                    false,
                ));
            }
            Today::Moved { .. } => {
                said.push((format!("The file has changed; this run stays as it was begun ({}: what differs).", key(Deed::Differs, Key::Char('i'))), false))
            }
            Today::Gone if self.row.begun.card.is_some() || self.fly.card().is_some() => {
                said.push(("The dressing is not on the bench any more; the run stays as it was begun.".to_owned(), false))
            }
            Today::Same | Today::Gone => {}
        }
        said.extend(self.caution(view.part).map(|text| (text, false)));
        if let Drawn::Nothing(why) = self.fly {
            said.push((why.to_owned(), false));
        }
        said
    }

    /// What to mind, once a run, where it belongs: of points at the first press, of lead while it is laid out, of vapour and
    /// lamp before the first coat.
    fn caution(&self, part: Part) -> Option<String> {
        const COATS: &str = "Varnish and resin: fresh air, no flame, the lamp never in the eyes, and what the label and safety sheet of yours say.";
        let coats = self.fly.card().is_none_or(|card| card.needs.iter().any(|need| need.way == Way::Coat));
        let lead = self.fly.card().is_some_and(|card| card.needs.iter().any(|need| need.material.contains("lead")));
        let first = self.run.last_done().is_none();
        match part {
            Part::LayingOut if first => Some(format!(
                "Points are sharp: mind fingers and eyes, your own and others'.{}",
                if lead { " Lead: wash hands, keep it from food and children; some waters forbid it." } else { "" }
            )),
            Part::Tying if first && !self.run.begun().whole => Some(format!(
                "Points are sharp: mind fingers and eyes, your own and others'.{}",
                if coats { " Varnish and resin: fresh air, and what their label and safety sheet say." } else { "" }
            )),
            Part::Finishing if self.run.clocks().is_empty() && coats => Some(COATS.to_owned()),
            _ => None,
        }
    }

    pub(super) fn draw(&self, buf: &mut Buffer, area: Rect, desk: &Desk, now: Now, paint: Paint<'_>) {
        crate::tui::ink::fill(buf, area, paint.styles.plain);
        let view = self.view(now);
        let used = head::draw(self, &view, buf, area, paint);
        let body = Rect { y: area.y + used, height: area.height - used, ..area };
        match view.part {
            Part::LayingOut | Part::Finishing => listed::draw(self, &view, buf, body, now, paint),
            Part::Tying if view.counting => tray::draw(self, &view, buf, body, paint),
            Part::Tying if self.far && view.state != State::Resting && !view.steps.is_empty() => tying::draw_far(self, &view, buf, area, desk, paint),
            Part::Tying => tying::draw(self, &view, buf, body, desk, paint),
            _ => done::draw(self, &view, buf, body, desk, now, paint),
        }
    }
}

/// Whether a depth can be chosen here: the depths' line shows it.
pub(super) fn depths(view: &View) -> Option<Depth> {
    (view.part == Part::Tying).then_some(view.depth)
}
