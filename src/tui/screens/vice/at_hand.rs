//! The run in the vice: what a key means in each part of it, and which page shows it.

use super::change::Change;
use super::drawn::{Drawn, Today, worked};
use super::filled::{Form, Over};
use super::measuring::draw_agreeing;
use super::put_aside::PutAside;
use super::questions::Questions;
use super::tying::time;
use super::{done, dressing_of, head, how_many, listed, tray, tying};
use crate::ledger::{NewRun, RunRow};
use crate::tui::Desk;
use crate::tui::keys::{Deed, Place};
use crate::tui::queue::{Agree, Command, Now};
use crate::tui::widgets::Paint;
use crate::tui::widgets::page::{Scroll, Text, Tone};
use crate::tui::widgets::why::{Subject, Why};
use crate::vice::report::report;
use crate::vice::times::{self, Estimate};
use crate::vice::{Depth, Did, Event, Kind, Part, Press, Run, State, View, Wanted};
use crate::why::Fig;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::ops::Range;
use std::rc::Rc;

/// Milliseconds within which the big key on a page of its own is taken for one press too many; Enter is not.
const TOO_SOON: u64 = 700;

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
    /// What is filled in at this part of the run.
    form: Form,
    /// What lies over the run.
    over: Option<Over>,
}

impl AtHand {
    pub(super) fn new(row: RunRow, run: Run, card: Option<&str>, desk: &Desk, now: Now) -> Self {
        let fly = Drawn::new(&row.begun, card, desk);
        let today = fly.today(&row.begun, desk);
        let form = Form::of(&run);
        AtHand { row, run, open: false, opened: now.steady_ms, fly, today, scroll: Scroll::default(), far: false, number: 0, form, over: None }
    }

    /// Where the keys go.
    pub(super) fn place(&self) -> Place {
        match self.over {
            Some(Over::Questions(_)) => return Place::Questions,
            Some(Over::PutAside(_)) => return Place::Aside,
            Some(Over::Change(_)) => return Place::Change,
            Some(Over::Reached(_)) => return Place::Tray,
            None => {}
        }
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

    /// Takes an event that is safely booked; gives what follows, `None` when the run is to be put down.
    pub(super) fn booked(&mut self, event: &Event, now: Now) -> Option<Vec<Command>> {
        if self.run.take(event.clone()).is_err() {
            return None;
        }
        self.scroll = Scroll::default();
        self.number = 0;
        match event.did {
            Did::Closed => return None,
            Did::Opened { .. } => self.open = true,
            _ => {}
        }
        if self.form.fits(self.run.part()) {
            self.form.booked(&event.did, &self.run);
        } else {
            self.form = Form::of(&self.run);
        }
        match &mut self.over {
            Some(Over::Questions(form)) => form.booked(&event.did, &self.run),
            // What was asked for is done.
            Some(Over::PutAside(_)) if matches!(event.did, Did::TookUp { .. }) => self.over = None,
            Some(Over::Change(_)) if matches!(event.did, Did::Changed { .. }) => self.over = None,
            Some(Over::PutAside(form)) => form.booked(&event.did, &self.run),
            Some(Over::Change(form)) => form.booked(&event.did, &self.run),
            Some(Over::Reached(_)) => self.over = None,
            None => {}
        }
        // The tray's flies were told on the way out.
        let told = matches!(event.did, Did::Reached { .. });
        let leaves = told && self.unanswered() == 0;
        if told && !leaves {
            self.over = Some(Over::Questions(Questions::new(&self.run)));
        }
        Some(self.close(now).filter(|_| leaves).into_iter().collect())
    }

    /// Types, where something is typed; gives what is to be booked for it.
    pub(super) fn type_in(&mut self, text: &str, now: Now) -> Option<Command> {
        let did = match (&mut self.over, &mut self.form) {
            (Some(Over::Questions(form)), _) if self.open => form.type_in(text, &self.run)?,
            (Some(Over::Questions(_)), _) => return None,
            (Some(Over::PutAside(form)), _) => {
                form.type_in(text);
                return None;
            }
            (Some(Over::Change(form)), _) => {
                form.type_in(text);
                return None;
            }
            (Some(Over::Reached(_)), _) => return None,
            (None, Form::Measuring(form)) => {
                form.type_in(text);
                return None;
            }
            (None, Form::LookingOver(form)) => {
                form.type_in(text, &self.run);
                return None;
            }
            (None, Form::Booking(form)) => {
                form.type_in(text, &self.run);
                return None;
            }
            (None, Form::None) => return None,
        };
        Some(self.book(did, now))
    }

    /// Goes back from what lies over the run; false where nothing does.
    pub(super) fn back(&mut self) -> bool {
        self.over.take().is_some()
    }

    /// What a key does to what lies over the run; `None` where nothing does, or where it is for the run itself.
    fn go_over(&mut self, deed: Deed) -> Option<Option<Did>> {
        let run = &self.run;
        match self.over.as_mut()? {
            Over::Questions(_) if deed == Deed::EndSitting => Some(Some(Did::Closed)),
            Over::Questions(_) if matches!(deed, Deed::GoOn | Deed::Take) => {
                self.over = None;
                Some(None)
            }
            Over::Questions(form) => Some(form.go(deed, run)),
            Over::PutAside(form) => Some(form.go(deed, run)),
            Over::Change(form) => Some(form.go(deed, run)),
            Over::Reached(flies) => Some(match deed {
                Deed::More => {
                    *flies = (*flies + 1).min(left_on_tray(run));
                    None
                }
                Deed::Fewer => {
                    *flies = flies.saturating_sub(1);
                    None
                }
                // None of them: nothing is booked for it.
                Deed::GoOn | Deed::EndSitting => Some(if *flies == 0 { Did::Closed } else { Did::Reached { flies: *flies } }),
                _ => None,
            }),
        }
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
        if let Some(did) = self.go_over(deed) {
            return Some(did.map(|did| self.book(did, now)).into_iter().collect());
        }
        // A hand that only comes back to work passes over nothing.
        let wakes = matches!(deed, Deed::GoOn | Deed::Take) && self.run.means(Press::On) == Some(Did::WentOn);
        // A key held down at the vice does not run on through the judging and the booking.
        let ended = matches!(self.form, Form::LookingOver(_) | Form::Booking(_));
        if deed == Deed::GoOn && ended && !wakes && self.view(now).here_ms < TOO_SOON {
            return Some(Vec::new());
        }
        let own = !matches!(deed, Deed::GoBack | Deed::Rest | Deed::Undo | Deed::EndSitting | Deed::NextPart | Deed::MoreFlies | Deed::Questions);
        if !wakes
            && own
            && let Some(did) = self.form.go(deed, &self.run)
        {
            return Some(did.map(|did| self.book(did, now)).into_iter().collect());
        }
        let did = match deed {
            Deed::GoOn | Deed::Take if !wakes && self.run.part() == Part::Agreeing => return Some(vec![self.agree(now)]),
            Deed::GoOn | Deed::Take if self.run.part() == Part::Done => return Some(self.follows(desk, now)),
            Deed::GoOn | Deed::Take => self.on(),
            Deed::GoBack => self.run.means(Press::Back),
            Deed::Rest => self.run.means(Press::Pause),
            Deed::Depth => self.run.means(Press::Depth),
            Deed::Undo => self.run.last_done().map(|number| Did::TookBack { number }),
            Deed::EndSitting if self.inside_a_stage() => {
                self.over = Some(Over::Reached(0));
                None
            }
            Deed::EndSitting if self.unanswered() > 0 => {
                self.over = Some(Over::Questions(Questions::new(&self.run)));
                None
            }
            Deed::EndSitting => Some(Did::Closed),
            Deed::Questions => {
                self.over = (!self.run.questions().is_empty()).then(|| Over::Questions(Questions::new(&self.run)));
                None
            }
            Deed::NoteChange => {
                self.over = Some(Over::Change(Change::new(&self.run)));
                None
            }
            Deed::TakeAside if self.run.aside().len() > 1 => {
                self.over = Some(Over::PutAside(PutAside::new(&self.run)));
                None
            }
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
                let tray = self.run.view(0).counts.in_hand;
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
        // What does not fit here, a key that only works elsewhere in the run say, books nothing.
        Some(did.filter(|did| self.run.can(did).is_ok()).map(|did| self.book(did, now)).into_iter().collect())
    }

    /// What the big key books.
    fn on(&self) -> Option<Did> {
        match (self.run.means(Press::On)?, self.place()) {
            (Did::On, Place::LayingOut) if self.number > 0 => Some(Did::Ticked { bad: self.number }),
            (Did::On, Place::Tray) if self.number > 0 => Some(Did::TrayCounted { missing: self.number }),
            (did, _) => Some(did),
        }
    }

    /// A press covers the whole tray, and some time has gone into it: how far it is only the dresser knows.
    fn inside_a_stage(&self) -> bool {
        let view = self.run.view(0);
        let begun = self.run.place().is_some_and(|place| self.run.spent_at(place) > 0);
        view.part == Part::Tying && view.tray.is_some() && !view.counting && view.depth == Depth::Fly && begun
    }

    pub(super) fn unanswered(&self) -> usize {
        self.run.questions().iter().filter(|question| question.answer.is_none()).count()
    }

    /// The sample agreed: what of it differs is written as a new revision of the dressing.
    fn agree(&self, now: Now) -> Command {
        let revision = self.row.begun.revision.saturating_add(u32::from(!self.run.differs().is_empty()));
        let event = self.run.event(Did::Agreed { revision }, now.utc_ms, self.ran(now));
        let measured = self.run.differs().iter().map(|one| (one.length.key.clone(), one.length.mm, one.mm)).collect();
        Command::Agree(Box::new(Agree { run: self.row.clone(), event, measured }))
    }

    /// What follows a run that is done: the run of a sample that was agreed; else the sitting ends.
    fn follows(&self, desk: &Desk, now: Now) -> Vec<Command> {
        let end = self.close(now).into_iter();
        let begin = self.following(desk, now).map(|run| Command::Begin(Box::new(run)));
        end.chain(begin).collect()
    }

    fn following(&self, desk: &Desk, now: Now) -> Option<NewRun> {
        let flies = self.run.begun().then.filter(|_| self.run.agreed().is_some())?;
        let dressing = dressing_of(&self.row.begun, desk)?;
        let card = worked(&self.row.begun, dressing, desk)?;
        let run = NewRun { revision: card.revision, sample: Some(self.row.id), ..self.row.begun.clone() };
        let whole = dressing.time.as_ref().map(|time| time.value);
        how_many::begun(&run, &card, whole, Wanted { flies, ..Wanted::default() }, &desk.shelf, now.utc_ms)
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
            _ if self.over.is_some() => true,
            Deed::GoOn | Deed::Take => !self.open || self.run.means(Press::On).is_some() || matches!(part, Part::Agreeing | Part::Done),
            Deed::GoBack => self.open && self.run.means(Press::Back).is_some(),
            Deed::Undo => self.open && self.run.last_done().is_some(),
            Deed::Rest => self.open && part != Part::Done,
            Deed::Depth => self.open && part == Part::Tying,
            Deed::Mishap => self.run.can(&Did::Mishap).is_ok(),
            Deed::PutAside => self.run.can(&Did::PutAside).is_ok(),
            Deed::GiveUp => self.run.can(&Did::GaveUp).is_ok(),
            Deed::TakeAside => self.open && part == Part::Tying && !self.run.aside().is_empty(),
            Deed::NextPart => self.open && self.next_part().is_some(),
            Deed::MoreFlies => self.open && self.run.begun().whole && self.run.begun().kind == Kind::Counted,
            Deed::NoteChange => self.open && self.run.begun().whole,
            Deed::Questions => !self.run.questions().is_empty(),
            Deed::Differs => !matches!(self.today, Today::Same),
            Deed::Why => part == Part::Done || self.figure().is_some(),
            Deed::WhyTime => part == Part::Tying,
            Deed::Vice => false,
            _ => true,
        }
    }

    /// Why the figure of what is in hand is what it is.
    pub(super) fn why(&self, _now: Now) -> Option<Why> {
        if self.run.part() == Part::Done {
            let report = report(&self.run);
            let fig = report.passed_at_once.map(|passed| passed.share).or(report.fly.map(|fly| fly.mean))?;
            return Some(Why::new(Subject::Run(Rc::new(report.sheet)), fig));
        }
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
    pub(super) fn more(&self, now: Now, clock: bool) -> Option<String> {
        let estimate = self.estimate(now)?;
        let ms = |ms: u64| i64::try_from(ms).unwrap_or(i64::MAX);
        let at = |left: u64| now.clock(now.utc_ms.saturating_add(ms(left)));
        let until = if clock && self.open {
            match (at(estimate.low_ms), at(estimate.high_ms)) {
                (low, high) if low == high => format!(", till about {low}"),
                (low, high) => format!(", till {low} to {high}"),
            }
        } else {
            String::new()
        };
        Some(format!("{} to {} more{until}", time(estimate.low_ms), time(estimate.high_ms)))
    }

    fn estimate(&self, now: Now) -> Option<Estimate> {
        times::estimate(&self.run, self.ran(now)).filter(|_| self.run.part() == Part::Tying)
    }

    /// Why the run is expected to take as long as it is.
    pub(super) fn why_time(&self, now: Now) -> Option<Why> {
        let Estimate { sheet, high, .. } = self.estimate(now)?;
        Some(Why::new(Subject::Sheet(Rc::new(sheet)), high))
    }

    /// Milliseconds until the screen shows another time; `None` while no time runs.
    pub(super) fn due(&self, now: Now) -> Option<u64> {
        let view = self.view(now);
        let clocks = self.run.clocks().iter().any(|clock| clock.until > now.utc_ms) && view.part >= Part::Finishing;
        (view.state == State::Tying || clocks).then(|| 1000 - view.here_ms % 1000)
    }

    pub(super) fn draw(&self, buf: &mut Buffer, area: Rect, desk: &Desk, now: Now, paint: Paint<'_>) {
        crate::tui::ink::fill(buf, area, paint.styles.plain);
        let view = self.view(now);
        let used = head::draw(self, &view, buf, area, now, paint);
        let body = Rect { y: area.y + used, height: area.height - used, ..area };
        match view.part {
            Part::LayingOut | Part::Finishing => listed::draw(self, &view, buf, body, now, paint),
            Part::Tying if view.counting => tray::draw(self, &view, buf, body, paint),
            Part::Tying if self.far && view.state != State::Resting && !view.steps.is_empty() => tying::draw_far(self, &view, buf, area, desk, paint),
            Part::Tying => tying::draw(self, &view, buf, body, desk, paint),
            Part::Agreeing => {
                let left = tying::foot(self, &view, buf, body, paint);
                let revision = self.row.begun.revision.saturating_add(u32::from(!self.run.differs().is_empty()));
                draw_agreeing(&self.run, revision, buf, left, paint);
            }
            Part::Measuring | Part::LookingOver | Part::Booking | Part::Done => {
                let left = tying::foot(self, &view, buf, body, paint);
                match &self.form {
                    Form::None => done::draw(self, &view, buf, left, desk, paint),
                    Form::Measuring(form) => form.draw(&self.run, buf, left, paint),
                    Form::LookingOver(form) => form.draw(&self.run, buf, left, paint),
                    Form::Booking(form) => form.draw(&self.run, buf, left, paint),
                }
            }
        }
        match &self.over {
            None => {}
            Some(Over::Questions(form)) => form.draw(&self.run, buf, body, paint),
            Some(Over::PutAside(form)) => form.draw(&self.run, now, buf, body, paint),
            Some(Over::Change(form)) => form.draw(&self.run, buf, body, paint),
            Some(Over::Reached(flies)) => tray::draw_reached(&view, *flies, buf, body, paint),
        }
    }
}

/// Flies of the tray that do not have the stage in hand yet.
fn left_on_tray(run: &Run) -> u32 {
    run.view(0).tray.map_or(0, |(nth, on_it)| u32::try_from(on_it + 1 - nth).unwrap_or(u32::MAX))
}

/// Whether a depth can be chosen here: the depths' line shows it.
pub(super) fn depths(view: &View) -> Option<Depth> {
    (view.part == Part::Tying).then_some(view.depth)
}
