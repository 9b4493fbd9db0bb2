//! The state at the vice: the fold of a run's events.

use super::{Depth, Did, Event, Outline};
use std::collections::BTreeMap;
use std::fmt;

/// A place in the run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// How many flies are done.
    pub fly: u32,
    /// How many steps of the fly in hand are done.
    pub step: usize,
}

/// Why an event does not fit the state. The state is then as it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refused {
    /// Its number is not the next one.
    Number {
        /// The number that comes next.
        next: u64,
        /// The number it has.
        has: u32,
    },
    /// No sitting is open.
    NotOpen,
    /// The hands rest.
    Resting,
    /// The hands do not rest.
    NotResting,
    /// There is no place before this one.
    AtTheStart,
    /// The last fly is done.
    RunDone,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refused::Number { next, has } => write!(f, "event {has} does not follow: the next one is {next}"),
            Refused::NotOpen => f.write_str("no sitting is open"),
            Refused::Resting => f.write_str("the sitting is paused"),
            Refused::NotResting => f.write_str("the sitting is not paused"),
            Refused::AtTheStart => f.write_str("this is the first place of the run"),
            Refused::RunDone => f.write_str("the last fly of the run is done"),
        }
    }
}

impl std::error::Error for Refused {}

/// Whether time counts, and since when on the steady clock (ms).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hands {
    Away,
    Working { since: u64 },
    Resting,
}

/// A run at the vice: where it stands, and the time spent at each place.
///
/// Going back takes back the last press, whatever it covered, and going on from there returns to where one was;
/// only a change of depth forgets what lay ahead, so that the new depth holds at once. Time counts for the place
/// it is spent at, and a place lies between two presses, so nothing is lost or counted twice by going to and fro.
#[derive(Clone, Debug, PartialEq)]
pub struct Sitting {
    pub(super) outline: Outline,
    pub(super) flies: u32,
    pub(super) depth: Depth,
    pub(super) hands: Hands,
    /// Steps done, of all flies together.
    pub(super) done: u64,
    /// The places pressed on from, that led here: always rising, and all below `done`.
    pub(super) behind: Vec<u64>,
    /// The places gone back from, the nearest last.
    ahead: Vec<u64>,
    /// Milliseconds spent at each place.
    pub(super) spent: BTreeMap<u64, u64>,
    number: u32,
}

impl Sitting {
    /// A run of so many flies, not yet begun. A run of none is done at once.
    pub fn new(outline: Outline, flies: u32) -> Self {
        Sitting {
            outline,
            flies,
            depth: Depth::default(),
            hands: Hands::Away,
            done: 0,
            behind: Vec::new(),
            ahead: Vec::new(),
            spent: BTreeMap::new(),
            number: 0,
        }
    }

    /// The state after these events.
    ///
    /// # Errors
    /// The first event that does not fit.
    pub fn replay<'a>(outline: Outline, flies: u32, events: impl IntoIterator<Item = &'a Event>) -> Result<Self, Refused> {
        let mut sitting = Sitting::new(outline, flies);
        for event in events {
            sitting.take(event)?;
        }
        Ok(sitting)
    }

    /// The event that would be next; `at` in ms of UTC since 1970, `ran_ms` on the steady clock of the sitting.
    pub fn event(&self, did: Did, at: i64, ran_ms: u64) -> Event {
        // The very last number has no next: it is then refused as not following.
        Event { number: self.number.saturating_add(1), at, ran_ms, did }
    }

    /// Takes an event.
    ///
    /// # Errors
    /// An event that does not fit here; nothing has changed then.
    pub fn take(&mut self, event: &Event) -> Result<(), Refused> {
        let next = u64::from(self.number) + 1;
        if u64::from(event.number) != next {
            return Err(Refused::Number { next, has: event.number });
        }
        if self.hands == Hands::Away && !matches!(event.did, Did::Opened { .. }) {
            return Err(Refused::NotOpen);
        }
        let resting = self.hands == Hands::Resting;
        match event.did {
            Did::On if self.run_done() => return Err(Refused::RunDone),
            Did::On | Did::Paused if resting => return Err(Refused::Resting),
            Did::WentOn if !resting => return Err(Refused::NotResting),
            Did::Back if self.behind.is_empty() => return Err(Refused::AtTheStart),
            // A sitting that was cut off has no end of its own; what came after its last event is not known.
            Did::Opened { .. } => {}
            _ => self.count_time(event.ran_ms),
        }
        self.number = event.number;
        match event.did {
            Did::Opened { depth } => {
                self.go_deep(depth);
                self.hands = Hands::Working { since: event.ran_ms };
            }
            Did::On => {
                let to = self.ahead.pop().unwrap_or_else(|| self.end_of_press());
                self.behind.push(std::mem::replace(&mut self.done, to));
            }
            Did::Back => {
                if let Some(to) = self.behind.pop() {
                    self.ahead.push(std::mem::replace(&mut self.done, to));
                }
            }
            Did::Depth { to } => self.go_deep(to),
            Did::Paused => self.hands = Hands::Resting,
            Did::WentOn => self.hands = Hands::Working { since: event.ran_ms },
            Did::Closed => self.hands = Hands::Away,
        }
        Ok(())
    }

    /// How much a press covers.
    pub fn depth(&self) -> Depth {
        self.depth
    }

    /// The outline it goes by.
    pub fn outline(&self) -> &Outline {
        &self.outline
    }

    /// How many flies the run has.
    pub fn flies(&self) -> u32 {
        self.flies
    }

    /// The number of the last event; 0 before the first.
    pub fn last_number(&self) -> u32 {
        self.number
    }

    /// Where the run stands.
    pub fn place(&self) -> Place {
        self.place_of(self.done)
    }

    /// Whether the last fly is done.
    pub fn run_done(&self) -> bool {
        self.done >= self.total()
    }

    fn go_deep(&mut self, depth: Depth) {
        if depth != self.depth {
            self.depth = depth;
            self.ahead.clear();
        }
    }

    /// Time since the last event goes to the place in hand. A clock that ran backward counts nothing.
    fn count_time(&mut self, ran_ms: u64) {
        let Hands::Working { since } = self.hands else { return };
        if !self.run_done() {
            let spent = self.spent.entry(self.done).or_default();
            *spent = spent.saturating_add(ran_ms.saturating_sub(since));
        }
        self.hands = Hands::Working { since: since.max(ran_ms) };
    }

    pub(super) fn a_fly(&self) -> u64 {
        self.outline.count() as u64
    }

    fn total(&self) -> u64 {
        u64::from(self.flies).saturating_mul(self.a_fly())
    }

    pub(super) fn place_of(&self, done: u64) -> Place {
        let fly = done.checked_div(self.a_fly()).and_then(|fly| u32::try_from(fly).ok()).unwrap_or(self.flies);
        let step = done.checked_rem(self.a_fly()).and_then(|step| usize::try_from(step).ok()).unwrap_or(0);
        Place { fly, step }
    }

    /// Where a press leads by the depth alone: never beyond the fly, so never beyond the run.
    pub(super) fn end_of_press(&self) -> u64 {
        let Place { step, .. } = self.place();
        let end = match self.depth {
            Depth::Step => step + 1,
            Depth::Stage => self.outline.stage(self.outline.stage_of(step)).end,
            Depth::Fly => self.outline.count(),
        };
        self.done.saturating_add(end.saturating_sub(step) as u64).min(self.total())
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{OPENED, go, outline};
    use super::*;
    use proptest::prelude::*;

    fn at(sitting: &Sitting) -> (u32, usize) {
        (sitting.place().fly, sitting.place().step)
    }

    #[test]
    fn each_depth_covers_its_own_stretch() {
        let mut sitting = Sitting::new(outline(&[0, 0, 1, 1, 2]), 3);
        go(&mut sitting, [(OPENED, 0), (Did::On, 1)]);
        assert_eq!(at(&sitting), (0, 1), "a step");
        go(&mut sitting, [(Did::Depth { to: Depth::Stage }, 1), (Did::On, 1)]);
        assert_eq!(at(&sitting), (0, 2), "the rest of its stage");
        go(&mut sitting, [(Did::On, 1)]);
        assert_eq!(at(&sitting), (0, 4), "a whole stage");
        go(&mut sitting, [(Did::Depth { to: Depth::Fly }, 1), (Did::On, 1)]);
        assert_eq!(at(&sitting), (1, 0), "the rest of the fly");
        go(&mut sitting, [(Did::On, 1), (Did::On, 1)]);
        assert!(sitting.run_done());
        assert_eq!(at(&sitting), (3, 0));
        let beyond = sitting.event(Did::On, 0, 9);
        assert_eq!(sitting.clone().take(&beyond), Err(Refused::RunDone));
    }

    #[test]
    fn back_takes_back_the_last_press_even_when_the_depth_changed() {
        let mut sitting = Sitting::new(outline(&[0, 0, 1, 1, 2]), 2);
        go(&mut sitting, [(OPENED, 0), (Did::On, 1), (Did::Depth { to: Depth::Fly }, 0), (Did::On, 1)]);
        assert_eq!(at(&sitting), (1, 0));
        go(&mut sitting, [(Did::Back, 1)]);
        assert_eq!(at(&sitting), (0, 1), "where the press was made");
        go(&mut sitting, [(Did::Back, 1), (Did::Depth { to: Depth::Stage }, 1), (Did::On, 1)]);
        assert_eq!(at(&sitting), (0, 2), "a new depth holds at once");
    }

    #[test]
    fn what_does_not_fit_is_refused_and_changes_nothing() {
        let fresh = Sitting::new(outline(&[0, 1]), 1);
        for (did, why) in [(Did::On, Refused::NotOpen), (Did::Closed, Refused::NotOpen)] {
            let mut sitting = fresh.clone();
            assert_eq!(sitting.take(&fresh.event(did, 0, 0)), Err(why));
            assert_eq!(sitting, fresh);
        }
        let mut open = fresh.clone();
        go(&mut open, [(OPENED, 0)]);
        assert_eq!(open.clone().take(&open.event(Did::Back, 0, 5)), Err(Refused::AtTheStart));
        assert_eq!(open.clone().take(&open.event(Did::WentOn, 0, 5)), Err(Refused::NotResting));
        let again = Event { number: 1, ..open.event(Did::On, 0, 5) };
        assert_eq!(open.clone().take(&again), Err(Refused::Number { next: 2, has: 1 }));
        go(&mut open, [(Did::Paused, 5)]);
        assert_eq!(open.clone().take(&open.event(Did::On, 0, 9)), Err(Refused::Resting));
        assert!(Sitting::new(outline(&[0]), 0).run_done(), "a run of no flies has nothing to do");
    }

    #[test]
    fn a_sitting_that_was_cut_off_is_opened_again_at_the_same_place() {
        let mut sitting = Sitting::new(outline(&[0, 0, 1]), 2);
        go(&mut sitting, [(OPENED, 0), (Did::On, 4000), (Did::On, 2000)]);
        let place = sitting.place();
        // No `Closed` was booked; the steady clock begins anew.
        go(&mut sitting, [(OPENED, 0), (Did::On, 3000)]);
        assert_eq!((place, at(&sitting)), (Place { fly: 0, step: 2 }, (1, 0)));
        assert_eq!(sitting.spent.values().copied().collect::<Vec<_>>(), [4000, 2000, 3000]);
    }

    #[test]
    fn a_clock_that_runs_backward_counts_nothing() {
        let mut sitting = Sitting::new(outline(&[0, 0]), 1);
        for (did, ran) in [(OPENED, 1000), (Did::On, 500), (Did::On, 1200)] {
            let event = sitting.event(did, 0, ran);
            sitting.take(&event).unwrap();
        }
        assert_eq!(sitting.spent.values().copied().collect::<Vec<_>>(), [0, 200]);
    }

    fn did() -> impl Strategy<Value = Did> {
        let depth = || prop_oneof![Just(Depth::Step), Just(Depth::Stage), Just(Depth::Fly)];
        prop_oneof![
            1 => depth().prop_map(|depth| Did::Opened { depth }),
            12 => Just(Did::On),
            5 => Just(Did::Back),
            2 => depth().prop_map(|to| Did::Depth { to }),
            1 => Just(Did::Paused),
            2 => Just(Did::WentOn),
            1 => Just(Did::Closed),
        ]
    }

    fn stages() -> impl Strategy<Value = Vec<usize>> {
        proptest::collection::vec(0usize..2, 0..9).prop_map(|strides| {
            let mut stage = 0;
            let rest = strides.into_iter().map(|stride| {
                stage += stride;
                stage
            });
            std::iter::once(0).chain(rest.collect::<Vec<_>>()).collect()
        })
    }

    proptest! {
        #[test]
        fn replay_rebuilds_the_state(stages in stages(), flies in 0u32..5, all in proptest::collection::vec((did(), 0u64..10_000), 0..120)) {
            let mut sitting = Sitting::new(outline(&stages), flies);
            let first = (OPENED, 0);
            let events = go(&mut sitting, std::iter::once(first).chain(all));
            let text = serde_json::to_string(&events).unwrap();
            let read: Vec<Event> = serde_json::from_str(&text).unwrap();
            prop_assert_eq!(&read, &events);
            let again = Sitting::replay(outline(&stages), flies, &read).unwrap();
            prop_assert_eq!(again, sitting);
        }

        #[test]
        fn back_then_on_returns_and_the_place_stays_within_the_run(stages in stages(), flies in 1u32..5, all in proptest::collection::vec((did(), 0u64..10_000), 0..120)) {
            let mut sitting = Sitting::new(outline(&stages), flies);
            go(&mut sitting, [(OPENED, 0)]);
            for one in all {
                go(&mut sitting, [one]);
                prop_assert!(sitting.done <= sitting.total());
                prop_assert!(sitting.place().step < sitting.outline.count());
                prop_assert_eq!(sitting.run_done(), sitting.place().fly == flies);
                prop_assert!(sitting.behind.is_sorted_by(|a, b| a < b) && sitting.behind.last().is_none_or(|last| *last < sitting.done));
                let mut tried = sitting.clone();
                if go(&mut tried, [(Did::Back, 1)]).len() == 1 && sitting.hands != Hands::Resting {
                    prop_assert!(tried.done < sitting.done);
                    prop_assert_eq!(go(&mut tried, [(Did::On, 1)]).len(), 1);
                    prop_assert_eq!(tried.place(), sitting.place());
                }
            }
        }

        #[test]
        fn only_working_time_before_the_end_counts_and_none_is_lost(stages in stages(), flies in 1u32..4, all in proptest::collection::vec((did(), 0u64..10_000), 0..80)) {
            let mut sitting = Sitting::new(outline(&stages), flies);
            let (mut ran, mut worked) = (0, 0);
            for (did, after) in std::iter::once((OPENED, 0)).chain(all) {
                let before = (sitting.hands, sitting.run_done());
                let new = matches!(did, Did::Opened { .. });
                let event = sitting.event(did, 0, if new { 0 } else { ran + after });
                if sitting.take(&event).is_err() {
                    continue;
                }
                if matches!(before, (Hands::Working { .. }, false)) && !new {
                    worked += after;
                }
                ran = event.ran_ms;
            }
            prop_assert_eq!(sitting.spent.values().sum::<u64>(), worked);
        }
    }
}
