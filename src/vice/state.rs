//! The state of a run, and what each event changes in it.

use super::counts::Looked;
use super::{Bad, Begun, Depth, Did, Event, How, Part, Refused};
use crate::measure::Words;
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use std::ops::Range;

/// Where time goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// A thing of the laying out, by its place in the list.
    LayingOut(usize),
    /// A fly, and how many of its steps are done.
    Fly {
        /// Its number in the run.
        fly: u32,
        /// Steps done.
        step: usize,
    },
    /// The count of the tray whose first fly is this one, after a stage.
    Counting {
        /// The tray's first fly.
        fly: u32,
        /// The stage, from 0.
        stage: usize,
    },
    /// No fly: only what was put aside is left.
    NoFly,
    /// A length of the sample.
    Measuring(usize),
    /// The sample's agreement.
    Agreeing,
    /// A coat or another thing done after the vice.
    Finishing(usize),
    /// The looking over.
    LookingOver,
    /// The booking.
    Booking,
}

/// Whether time counts, and since when on the steady clock (ms).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hands {
    Away,
    Working { since: u64 },
    Resting { from: u64 },
}

/// A fly half done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Half {
    /// Its number in the run.
    pub fly: u32,
    /// Steps done.
    pub step: usize,
}

/// A tray in work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Tray {
    /// The flies on it.
    pub(super) flies: Vec<u32>,
    pub(super) stage: usize,
    /// How many of them have this stage.
    pub(super) nth: usize,
    /// Steps done of the one in hand.
    pub(super) step: usize,
    /// The stage is done; the tray is to be counted.
    pub(super) counting: bool,
}

/// What came into the vice after a press.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Next {
    /// The same fly, or the next one of the tray.
    Same,
    /// So many fresh flies.
    Fresh(u32),
    /// Nothing: what is left is put aside.
    Nothing,
    /// Nothing: the next part of the run came.
    Part,
}

/// A press that led on at the vice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Press {
    pub(super) fly: u32,
    pub(super) steps: Range<usize>,
    /// The flies of the tray it covered, by place; `None` for a fly by itself.
    pub(super) tray: Option<Range<usize>>,
    pub(super) depth: Depth,
    pub(super) next: Next,
}

/// A drying clock.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Clock {
    /// Which thing of the finishing dries.
    pub finish: usize,
    /// Since when, ms of UTC since 1970.
    pub from: i64,
    /// Until when.
    pub until: i64,
}

/// A question that waits for the end of the tray or the sitting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// The event that raised it.
    pub about: u32,
    /// What is asked.
    pub asked: Asked,
    /// The fly.
    pub fly: u32,
    /// The answer; until there is one the default holds.
    pub answer: Option<Words>,
}

/// What a question asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// What the mishap was.
    Mishap,
    /// Why the fly was given up.
    GivenUp,
    /// Whether a long time was a pause; taken for one until it is answered.
    Pause {
        /// Where it was.
        place: Place,
        /// Milliseconds that were taken out.
        ms: u64,
    },
}

/// Something that is another from a fly on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// From this fly on.
    pub from_fly: u32,
    /// What.
    pub what: Words,
    /// What it is now.
    pub to: Words,
}

/// The answer that says a long time was work after all.
pub const WORK: &str = "work";

/// What is shorter is never taken for a pause, ms.
pub(super) const LEAST_PAUSE: u64 = 60_000;
/// No run is longer.
const MOST: u32 = 99_999;

#[derive(Clone, Debug, PartialEq)]
pub(super) struct State {
    pub(super) part: Part,
    pub(super) hands: Hands,
    pub(super) depth: Depth,
    /// The depth of flies that are not tied step by step for their times.
    pub(super) usual: Depth,
    pub(super) by_hand: bool,
    /// Bad ones found with what was ticked.
    pub(super) ticked: Vec<u32>,
    /// Flies to be tied.
    pub(super) target: u32,
    pub(super) started: u32,
    pub(super) hand: Option<Half>,
    pub(super) tray: Option<Tray>,
    pub(super) aside: Vec<Half>,
    pub(super) tied: Vec<u32>,
    pub(super) given_up: Vec<u32>,
    pub(super) presses: Vec<Press>,
    /// Presses that cannot be gone back over, for something else was done after them.
    pub(super) fence: usize,
    /// How far the presses went that were gone back over: steps done, flies of the tray done.
    pub(super) ahead: Vec<(usize, usize)>,
    pub(super) measured: Vec<Option<u32>>,
    pub(super) finished: usize,
    pub(super) clocks: Vec<Clock>,
    pub(super) looked: Looked,
    pub(super) bad: Vec<Bad>,
    pub(super) used: BTreeMap<usize, (Decimal, How)>,
    pub(super) changes: Vec<Change>,
    pub(super) questions: Vec<Question>,
    pub(super) mishaps: Vec<u32>,
    pub(super) put_aside: Vec<u32>,
    /// Flies that were in hand when a sitting was cut off: what was spent on them after its last event is not known.
    pub(super) cut_off: Vec<u32>,
    pub(super) agreed: Option<u32>,
    /// Milliseconds spent at each place, and those of them that were pauses.
    pub(super) spent: BTreeMap<Place, u64>,
    pub(super) idle: BTreeMap<Place, u64>,
    /// Milliseconds of work since the last rest.
    pub(super) spell: u64,
}

impl State {
    pub(super) fn new(begun: &Begun) -> Self {
        let depth = if begun.tray.is_some() { Depth::Stage } else { Depth::Step };
        State {
            part: begun.first(),
            hands: Hands::Away,
            depth,
            usual: if begun.tray.is_some() || begun.habits.is_none() { depth } else { Depth::Fly },
            by_hand: false,
            ticked: Vec::new(),
            target: begun.flies,
            started: 0,
            hand: None,
            tray: None,
            aside: Vec::new(),
            tied: Vec::new(),
            given_up: Vec::new(),
            presses: Vec::new(),
            fence: 0,
            ahead: Vec::new(),
            measured: Vec::new(),
            finished: 0,
            clocks: Vec::new(),
            looked: Looked::default(),
            bad: Vec::new(),
            used: BTreeMap::new(),
            changes: Vec::new(),
            questions: Vec::new(),
            mishaps: Vec::new(),
            put_aside: Vec::new(),
            cut_off: Vec::new(),
            agreed: None,
            spent: BTreeMap::new(),
            idle: BTreeMap::new(),
            spell: 0,
        }
    }

    /// Whether there is a press to go back over.
    pub(super) fn can_go_back(&self) -> bool {
        self.presses.len() > self.fence
    }

    pub(super) fn away(&self) -> bool {
        self.hands == Hands::Away
    }

    /// Lets time go on without anything done.
    pub(super) fn pass(&mut self, ran_ms: u64) {
        self.count_time(ran_ms);
    }

    pub(super) fn take(&mut self, begun: &Begun, event: &Event) -> Result<(), Refused> {
        if self.away() && !matches!(event.did, Did::Opened { .. }) {
            return Err(Refused::NotOpen);
        }
        self.fits(begun, &event.did)?;
        // A sitting that was cut off has no end of its own; what came after its last event is not known.
        if !matches!(event.did, Did::Opened { .. } | Did::WentOn) {
            self.count_time(event.ran_ms);
        }
        self.change(begun, event);
        if !matches!(event.did, Did::On | Did::Back | Did::Depth { .. } | Did::Paused | Did::WentOn | Did::Closed | Did::Opened { .. }) {
            self.fence = self.presses.len();
            self.ahead.clear();
        }
        Ok(())
    }

    /// Whether an event fits; asked before anything changes.
    pub(super) fn fits(&self, begun: &Begun, did: &Did) -> Result<(), Refused> {
        let at = |part| if self.part == part { Ok(()) } else { Err(Refused::NotHere { part: self.part }) };
        let in_hand = || self.in_hand().map(drop).ok_or(Refused::NoFlyInHand);
        let resting = matches!(self.hands, Hands::Resting { .. });
        match did {
            Did::Opened { .. } | Did::Closed | Did::Depth { .. } => Ok(()),
            Did::On if self.part == Part::Done => Err(Refused::RunDone),
            Did::On if self.part == Part::Agreeing => Err(Refused::NotHere { part: self.part }),
            Did::On | Did::Paused if resting => Err(Refused::Resting),
            Did::On | Did::Paused => Ok(()),
            Did::WentOn => {
                if resting {
                    Ok(())
                } else {
                    Err(Refused::NotResting)
                }
            }
            Did::Back => {
                if self.can_go_back() {
                    Ok(())
                } else {
                    Err(Refused::AtTheStart)
                }
            }
            Did::Ticked { .. } => at(Part::LayingOut),
            Did::Mishap | Did::PutAside | Did::GaveUp => at(Part::Tying).and_then(|()| in_hand()),
            Did::TookUp { fly } => {
                at(Part::Tying).and_then(|()| if self.aside.iter().any(|half| half.fly == *fly) { Ok(()) } else { Err(Refused::NotAside { fly: *fly }) })
            }
            Did::TrayCounted { missing } => match &self.tray {
                Some(tray) if self.part == Part::Tying && self.hand.is_none() && tray.counting => self.no_more(*missing, tray.flies.len()),
                _ => Err(Refused::NoFlyInHand),
            },
            Did::Reached { flies } => match &self.tray {
                Some(tray) if self.part == Part::Tying && self.hand.is_none() && !tray.counting && tray.step == begun.outline.stage(tray.stage).start => {
                    self.no_more(*flies, tray.flies.len() - tray.nth)
                }
                _ => Err(Refused::NoFlyInHand),
            },
            Did::More { flies } => match (self.part, self.target.checked_add(*flies).filter(|all| *all <= MOST)) {
                (Part::Done | Part::Measuring | Part::Agreeing, _) => at(Part::Tying),
                (_, None) => Err(Refused::TooMany { of: MOST.saturating_sub(self.target) }),
                _ => Ok(()),
            },
            Did::Turned { to } => {
                let (now, then) = (self.rank(begun), rank(begun, *to));
                let there = then.is_some() && !matches!(to, Part::Done | Part::LayingOut | Part::Measuring | Part::Agreeing) && *to != self.part;
                if there && now.is_some() && self.part != Part::Done { Ok(()) } else { Err(Refused::NotHere { part: self.part }) }
            }
            Did::LookedOver { bad, left } => at(Part::LookingOver).and_then(|()| self.looked.can(bad, *left)),
            Did::Measured { nth, .. } => at(Part::Measuring).and(if *nth as usize == self.measured.len() { Ok(()) } else { Err(Refused::NoSuch) }),
            Did::Agreed { .. } => at(Part::Agreeing),
            Did::Changed { .. } => {
                if self.part == Part::Done {
                    Err(Refused::RunDone)
                } else {
                    Ok(())
                }
            }
            Did::Used { nth, amount, .. } => at(Part::Booking)
                .and_then(|()| if (*nth as usize) < begun.materials.len() && !amount.is_sign_negative() { Ok(()) } else { Err(Refused::NoSuch) }),
            Did::Booked => at(Part::Booking),
            Did::Answered { about, .. } => {
                if self.questions.iter().any(|question| question.about == *about) {
                    Ok(())
                } else {
                    Err(Refused::NoSuch)
                }
            }
            Did::TookBack { .. } => Err(Refused::NotTheLast),
        }
    }

    fn no_more(&self, asked: u32, of: usize) -> Result<(), Refused> {
        if asked as usize <= of { Ok(()) } else { Err(Refused::TooMany { of: u32::try_from(of).unwrap_or(u32::MAX) }) }
    }

    /// What an event that fits changes.
    fn change(&mut self, begun: &Begun, event: &Event) {
        match &event.did {
            Did::Opened { depth } => {
                if !self.away() {
                    self.cut_off.extend(self.in_hand().filter(|_| self.part == Part::Tying).map(|half| half.fly));
                }
                if let Some(depth) = depth {
                    self.go_deep(*depth);
                }
                self.hands = Hands::Working { since: event.ran_ms };
                self.spell = 0;
                self.fill_the_vice(begun);
            }
            Did::On => self.on(begun, event),
            Did::Back => self.back(),
            Did::Depth { to } => {
                self.go_deep(*to);
                self.usual = *to;
                self.by_hand = true;
            }
            Did::Paused => self.hands = Hands::Resting { from: event.ran_ms },
            Did::WentOn => {
                if let Hands::Resting { from } = self.hands
                    && begun.habits.is_some_and(|habits| event.ran_ms.saturating_sub(from) >= habits.rest_ms)
                {
                    self.spell = 0;
                }
                self.hands = Hands::Working { since: event.ran_ms };
            }
            Did::Closed => self.hands = Hands::Away,
            Did::Ticked { bad } => self.tick(begun, *bad),
            Did::Mishap => self.mishap(begun, event.number),
            Did::PutAside => {
                if let Some(half) = self.out_of_hand(begun) {
                    self.put_aside.push(half.fly);
                    self.aside.push(half);
                }
                self.after_out(begun);
            }
            Did::TookUp { fly } => self.take_up(*fly),
            Did::GaveUp => {
                if let Some(half) = self.out_of_hand(begun) {
                    self.given_up.push(half.fly);
                    self.questions.push(Question { about: event.number, asked: Asked::GivenUp, fly: half.fly, answer: None });
                }
                self.after_out(begun);
            }
            Did::TrayCounted { missing } => self.counted(begun, *missing),
            Did::Reached { flies } => self.reached(begun, *flies as usize),
            Did::More { flies } => {
                self.target = self.target.saturating_add(*flies);
                if rank(begun, self.part) > rank(begun, Part::Tying) && *flies > 0 {
                    self.part = Part::Tying;
                    // What is tied now is to be finished as well.
                    self.finished = 0;
                }
                self.fill_the_vice(begun);
            }
            Did::Turned { to } => self.turn(begun, *to),
            Did::LookedOver { bad, left } => {
                self.looked.take(bad, *left);
                self.bad.extend(bad.iter().filter(|bad| bad.flies > 0).cloned());
                if *left == 0 {
                    self.part = begun.after(Part::LookingOver);
                }
            }
            Did::Measured { um, .. } => self.measure(begun, *um),
            Did::Agreed { revision } => {
                self.agreed = Some(*revision);
                self.part = Part::Done;
            }
            Did::Changed { what, to } => {
                let from_fly = self.in_hand().map_or(self.started.saturating_add(1), |half| half.fly);
                self.changes.push(Change { from_fly, what: what.clone(), to: to.clone() });
            }
            Did::Used { nth, amount, how } => drop(self.used.insert(*nth as usize, (*amount, how.clone()))),
            Did::Booked => self.part = Part::Done,
            Did::Answered { about, answer } => self.answer(*about, answer),
            Did::TookBack { .. } => {}
        }
    }

    fn go_deep(&mut self, depth: Depth) {
        if depth != self.depth {
            self.depth = depth;
            self.ahead.clear();
        }
    }

    fn on(&mut self, begun: &Begun, event: &Event) {
        match self.part {
            Part::LayingOut => {
                self.tick(begun, 0);
                self.fence = self.presses.len();
            }
            Part::Tying => self.press(begun, event.number),
            Part::Measuring => self.measure(begun, None),
            Part::Finishing => {
                if let Some(ms) = begun.finishing.get(self.finished).and_then(|finish| finish.dries_ms).filter(|ms| *ms > 0) {
                    let until = event.at.saturating_add(i64::try_from(ms).unwrap_or(i64::MAX));
                    self.clocks.push(Clock { finish: self.finished, from: event.at, until });
                }
                self.finished += 1;
                if self.finished >= begun.finishing.len() {
                    self.part = begun.after(Part::Finishing);
                }
                self.fence = self.presses.len();
            }
            Part::LookingOver => {
                self.looked.take(&[], 0);
                self.part = begun.after(Part::LookingOver);
                self.fence = self.presses.len();
            }
            Part::Booking => {
                self.part = Part::Done;
                self.fence = self.presses.len();
            }
            Part::Agreeing | Part::Done => {}
        }
    }

    fn tick(&mut self, begun: &Begun, bad: u32) {
        self.ticked.push(bad);
        if self.ticked.len() >= begun.layout.len() {
            self.part = begun.after(Part::LayingOut);
            self.fill_the_vice(begun);
        }
    }

    fn measure(&mut self, begun: &Begun, um: Option<u32>) {
        self.measured.push(um);
        if self.measured.len() >= begun.lengths.len() {
            self.part = begun.after(Part::Measuring);
        }
        self.fence = self.presses.len();
    }

    fn answer(&mut self, about: u32, answer: &Words) {
        let Some(question) = self.questions.iter_mut().find(|question| question.about == about) else { return };
        question.answer = Some(answer.clone());
        if let Asked::Pause { place, ms } = question.asked {
            if answer.as_str() == WORK {
                self.idle.remove(&place);
            } else {
                self.idle.insert(place, ms);
            }
        }
    }

    pub(super) fn spent_on(&self, fly: u32, steps: Range<usize>) -> u64 {
        if steps.is_empty() {
            return 0;
        }
        self.spent.range(Place::Fly { fly, step: steps.start }..Place::Fly { fly, step: steps.end }).fold(0, |sum, (_, ms)| sum.saturating_add(*ms))
    }

    /// Time since the last event goes to the place in hand. A clock that ran backward counts nothing.
    fn count_time(&mut self, ran_ms: u64) {
        let Hands::Working { since } = self.hands else { return };
        let passed = ran_ms.saturating_sub(since);
        if let Some(place) = self.place() {
            let spent = self.spent.entry(place).or_default();
            *spent = spent.saturating_add(passed);
            self.spell = self.spell.saturating_add(passed);
        }
        self.hands = Hands::Working { since: since.max(ran_ms) };
    }

    /// Where time goes now.
    pub(super) fn place(&self) -> Option<Place> {
        Some(match self.part {
            Part::LayingOut => Place::LayingOut(self.ticked.len()),
            Part::Tying => match (self.in_hand(), &self.tray) {
                (Some(Half { fly, step }), _) => Place::Fly { fly, step },
                (None, Some(tray)) => Place::Counting { fly: *tray.flies.first()?, stage: tray.stage },
                (None, None) => Place::NoFly,
            },
            Part::Measuring => Place::Measuring(self.measured.len()),
            Part::Agreeing => Place::Agreeing,
            Part::Finishing => Place::Finishing(self.finished),
            Part::LookingOver => Place::LookingOver,
            Part::Booking => Place::Booking,
            Part::Done => return None,
        })
    }

    fn rank(&self, begun: &Begun) -> Option<usize> {
        rank(begun, self.part)
    }
}

/// The place of a part among those of the run.
fn rank(begun: &Begun, part: Part) -> Option<usize> {
    std::iter::successors(Some(begun.first()), |part| (*part != Part::Done).then(|| begun.after(*part))).position(|one| one == part)
}
