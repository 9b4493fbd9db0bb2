//! A run: the fold of its events over what it was begun with.

use super::state::State;
use super::{Begun, Depth, Did, Event, Outline, Part};
use std::collections::BTreeSet;
use std::fmt;

/// Why an event does not fit the state. The state is then as it was.
#[derive(Clone, Debug, PartialEq, Eq)]
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
    /// The run is done.
    RunDone,
    /// It belongs to another part of the run.
    NotHere {
        /// The part the run is in.
        part: Part,
    },
    /// No fly is in the vice.
    NoFlyInHand,
    /// No such fly is put aside.
    NotAside {
        /// Its number.
        fly: u32,
    },
    /// There are not so many.
    TooMany {
        /// How many there are.
        of: u32,
    },
    /// There is no such thing in the list.
    NoSuch,
    /// Only the last thing done can be taken back, and this is not it.
    NotTheLast,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refused::Number { next, has } => write!(f, "event {has} does not follow: the next one is {next}"),
            Refused::NotOpen => f.write_str("no sitting is open"),
            Refused::Resting => f.write_str("the sitting is paused"),
            Refused::NotResting => f.write_str("the sitting is not paused"),
            Refused::AtTheStart => f.write_str("this is the first place of the run"),
            Refused::RunDone => f.write_str("the run is done"),
            Refused::NotHere { part } => write!(f, "the run is at {}, where this is not done", part.words()),
            Refused::NoFlyInHand => f.write_str("no fly is in the vice"),
            Refused::NotAside { fly } => write!(f, "fly {fly} is not put aside"),
            Refused::TooMany { of } => write!(f, "there are only {of}"),
            Refused::NoSuch => f.write_str("there is no such thing in the list"),
            Refused::NotTheLast => f.write_str("only the last thing done can be taken back"),
        }
    }
}

impl std::error::Error for Refused {}

/// A run at the vice: where it stands, what became of its flies, and the time spent at each place.
///
/// Going back takes back the last press, whatever it covered, and going on from there returns to where one was; only a
/// change of depth forgets what lay ahead, so that the new depth holds at once. What is taken back counts as if it had
/// not been done; the time of it stays with what was in hand. Time counts for the place it is spent at, and a place lies
/// between two presses, so nothing is lost or counted twice by going to and fro.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    pub(super) begun: Begun,
    events: Vec<Event>,
    pub(super) state: State,
}

impl Run {
    /// A run not yet sat down to.
    pub fn new(begun: Begun) -> Self {
        let state = State::new(&begun);
        Run { begun, events: Vec::new(), state }
    }

    /// The run after these events.
    ///
    /// # Errors
    /// The first event that does not fit.
    pub fn replay(begun: Begun, events: impl IntoIterator<Item = Event>) -> Result<Self, Refused> {
        let mut run = Run::new(begun);
        for event in events {
            run.take(event)?;
        }
        Ok(run)
    }

    /// The event that would be next; `at` in ms of UTC since 1970, `ran_ms` on the steady clock of the sitting.
    pub fn event(&self, did: Did, at: i64, ran_ms: u64) -> Event {
        // The very last number has no next: it is then refused as not following.
        Event { number: self.last_number().saturating_add(1), at, ran_ms, did }
    }

    /// Whether something can be done here.
    ///
    /// # Errors
    /// Why it cannot.
    pub fn can(&self, did: &Did) -> Result<(), Refused> {
        match did {
            Did::Opened { .. } => Ok(()),
            _ if self.state.away() => Err(Refused::NotOpen),
            Did::TookBack { number } if self.last_done() == Some(*number) => Ok(()),
            did => self.state.fits(&self.begun, did),
        }
    }

    /// Takes an event.
    ///
    /// # Errors
    /// An event that does not fit here; nothing has changed then.
    pub fn take(&mut self, event: Event) -> Result<(), Refused> {
        let next = u64::from(self.last_number()) + 1;
        if u64::from(event.number) != next {
            return Err(Refused::Number { next, has: event.number });
        }
        match event.did {
            Did::TookBack { number } => {
                if self.state.away() {
                    return Err(Refused::NotOpen);
                }
                if self.last_done() != Some(number) {
                    return Err(Refused::NotTheLast);
                }
                self.events.push(event);
                self.state = self.folded();
            }
            _ => {
                self.state.take(&self.begun, &event)?;
                self.events.push(event);
            }
        }
        Ok(())
    }

    /// The state with what was taken back left out.
    fn folded(&self) -> State {
        let void = self.taken_back();
        let mut state = State::new(&self.begun);
        for event in &self.events {
            // What followed a thing taken back can only be what tells of time, so it fits; were it not so, its time
            // still counts.
            if void.contains(&event.number) || state.take(&self.begun, event).is_err() {
                state.pass(event.ran_ms);
            }
        }
        state
    }

    pub(super) fn taken_back(&self) -> BTreeSet<u32> {
        self.events.iter().filter_map(|event| if let Did::TookBack { number } = event.did { Some(number) } else { None }).collect()
    }

    /// The number of the last thing done that can be taken back.
    pub fn last_done(&self) -> Option<u32> {
        let void = self.taken_back();
        let last =
            self.events.iter().rev().find(|event| !void.contains(&event.number) && (event.did.can_be_taken_back() || matches!(event.did, Did::Agreed { .. })));
        last.filter(|event| event.did.can_be_taken_back()).map(|event| event.number)
    }

    /// What was done last that can be taken back.
    pub fn last_deed(&self) -> Option<&Did> {
        let number = self.last_done()?;
        self.events.iter().rev().find(|event| event.number == number).map(|event| &event.did)
    }

    /// What it was begun with.
    pub fn begun(&self) -> &Begun {
        &self.begun
    }

    /// The outline it goes by.
    pub fn outline(&self) -> &Outline {
        &self.begun.outline
    }

    /// Everything that was done, in order.
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// The number of the last event; 0 before the first.
    pub fn last_number(&self) -> u32 {
        self.events.last().map_or(0, |event| event.number)
    }

    /// The part the run is in.
    pub fn part(&self) -> Part {
        self.state.part
    }

    /// How much a press covers.
    pub fn depth(&self) -> Depth {
        self.state.depth
    }

    /// Whether nothing is left to be done.
    pub fn run_done(&self) -> bool {
        self.state.part == Part::Done
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{OPENED, go, outline, steps, whole};
    use super::super::{Bad, Fate, Kind};
    use super::*;
    use crate::measure::Words;
    use proptest::prelude::*;

    fn at(run: &Run) -> (u32, usize) {
        let view = run.view(0);
        (view.counts.tied, if view.part == Part::Tying { view.steps.start } else { 0 })
    }

    #[test]
    fn each_depth_covers_its_own_stretch() {
        let mut run = Run::new(steps(&[0, 0, 1, 1, 2], 3));
        go(&mut run, [(OPENED, 0), (Did::On, 1)]);
        assert_eq!(at(&run), (0, 1), "a step");
        go(&mut run, [(Did::Depth { to: Depth::Stage }, 1), (Did::On, 1)]);
        assert_eq!(at(&run), (0, 2), "the rest of its stage");
        go(&mut run, [(Did::On, 1)]);
        assert_eq!(at(&run), (0, 4), "a whole stage");
        go(&mut run, [(Did::Depth { to: Depth::Fly }, 1), (Did::On, 1)]);
        assert_eq!(at(&run), (1, 0), "the rest of the fly");
        go(&mut run, [(Did::On, 1), (Did::On, 1)]);
        assert!(run.run_done());
        assert_eq!(at(&run), (3, 0));
        let beyond = run.event(Did::On, 0, 9);
        assert_eq!(run.clone().take(beyond), Err(Refused::RunDone));
    }

    #[test]
    fn back_takes_back_the_last_press_even_when_the_depth_changed() {
        let mut run = Run::new(steps(&[0, 0, 1, 1, 2], 2));
        go(&mut run, [(OPENED, 0), (Did::On, 1), (Did::Depth { to: Depth::Fly }, 0), (Did::On, 1)]);
        assert_eq!(at(&run), (1, 0));
        go(&mut run, [(Did::Back, 1)]);
        assert_eq!(at(&run), (0, 1), "where the press was made");
        go(&mut run, [(Did::Back, 1), (Did::Depth { to: Depth::Stage }, 1), (Did::On, 1)]);
        assert_eq!(at(&run), (0, 2), "a new depth holds at once");
    }

    #[test]
    fn what_does_not_fit_is_refused_and_changes_nothing() {
        let fresh = Run::new(steps(&[0, 1], 1));
        for (did, why) in [(Did::On, Refused::NotOpen), (Did::Closed, Refused::NotOpen)] {
            let mut run = fresh.clone();
            assert_eq!(run.take(fresh.event(did, 0, 0)), Err(why));
            assert_eq!(run, fresh);
        }
        let mut open = fresh.clone();
        go(&mut open, [(OPENED, 0)]);
        assert_eq!(open.clone().take(open.event(Did::Back, 0, 5)), Err(Refused::AtTheStart));
        assert_eq!(open.clone().take(open.event(Did::WentOn, 0, 5)), Err(Refused::NotResting));
        assert_eq!(open.clone().take(open.event(Did::TookUp { fly: 4 }, 0, 5)), Err(Refused::NotAside { fly: 4 }));
        assert_eq!(open.clone().take(open.event(Did::Booked, 0, 5)), Err(Refused::NotHere { part: Part::Tying }));
        let again = Event { number: 1, ..open.event(Did::On, 0, 5) };
        assert_eq!(open.clone().take(again), Err(Refused::Number { next: 2, has: 1 }));
    }

    #[test]
    fn a_run_goes_through_its_parts_and_its_counts_agree() {
        let mut run = Run::new(whole(&[0, 0, 1], 4));
        go(&mut run, [(OPENED, 0), (Did::Ticked { bad: 1 }, 60_000), (Did::On, 30_000)]);
        assert_eq!(run.part(), Part::Tying);
        // The third fly is put aside after a step, a mishap befalls the second.
        go(&mut run, [(Did::Depth { to: Depth::Fly }, 0), (Did::On, 30_000), (Did::Depth { to: Depth::Step }, 0), (Did::On, 9000), (Did::Mishap, 1000)]);
        assert_eq!(at(&run), (1, 0), "back to the beginning of its stage");
        go(&mut run, [(Did::Depth { to: Depth::Fly }, 0), (Did::On, 30_000), (Did::Depth { to: Depth::Step }, 0), (Did::On, 9000), (Did::PutAside, 1000)]);
        let counts = run.counts();
        assert_eq!((counts.started, counts.tied, counts.aside, counts.in_hand, counts.given_up), (4, 2, 1, 1, 0));
        go(&mut run, [(Did::GaveUp, 5000)]);
        assert_eq!(run.counts().started, 5, "another one is begun in its place");
        go(&mut run, [(Did::TookUp { fly: 3 }, 100)]);
        assert_eq!((run.counts().started, run.counts().aside, at(&run)), (4, 0, (2, 1)), "the one not yet begun waits; the other goes on where it was");
        go(&mut run, [(Did::Depth { to: Depth::Fly }, 0), (Did::On, 8000), (Did::On, 30_000)]);
        assert_eq!(run.part(), Part::Finishing);
        go(&mut run, [(Did::On, 20_000)]);
        assert_eq!((run.part(), run.clocks().len()), (Part::LookingOver, 1));
        let bad = vec![Bad { why: Words::new("hackle"), fate: Fate::Second, flies: 1 }, Bad { why: Words::new("eye"), fate: Fate::Mended, flies: 1 }];
        go(&mut run, [(Did::LookedOver { bad, left: 0 }, 60_000)]);
        let counts = run.counts();
        assert_eq!((counts.passed, counts.mended, counts.seconds, counts.waiting), (3, 1, 1, 0));
        assert_eq!(run.part(), Part::Booking);
        go(&mut run, [(Did::Booked, 10_000), (Did::Closed, 0)]);
        assert!(run.run_done());
        assert!(run.counts().agree());
    }

    #[test]
    fn a_tray_goes_through_stage_by_stage_and_is_counted() {
        let mut run = Run::new(Begun { tray: Some(3), ..whole(&[0, 0, 1], 5) });
        go(&mut run, [(OPENED, 0), (Did::On, 0), (Did::On, 0)]);
        assert_eq!((run.part(), run.depth()), (Part::Tying, Depth::Step), "the first flies step by step");
        go(&mut run, [(Did::On, 10), (Did::On, 10)]);
        assert_eq!((run.view(0).tray, run.depth()), (Some((2, 3)), Depth::Step));
        go(&mut run, [(Did::Depth { to: Depth::Stage }, 0), (Did::On, 10), (Did::On, 10)]);
        assert!(run.view(0).counting, "the first stage of three flies is done");
        go(&mut run, [(Did::TrayCounted { missing: 1 }, 5)]);
        assert_eq!((run.counts().in_hand, run.counts().given_up, run.view(0).steps), (2, 1, 2..3));
        go(&mut run, [(Did::Depth { to: Depth::Fly }, 0), (Did::On, 20), (Did::On, 1)]);
        assert_eq!((run.counts().tied, run.counts().in_hand), (2, 3), "the next tray makes up for the one missing");
        go(&mut run, [(Did::Reached { flies: 2 }, 10), (Did::On, 10), (Did::On, 1), (Did::On, 10), (Did::On, 1)]);
        assert_eq!((run.part(), run.counts().tied), (Part::Finishing, 5));
        assert!(run.counts().agree());
    }

    #[test]
    fn on_a_tray_the_first_flies_go_step_by_step_through_each_stage() {
        let mut run = Run::new(Begun { tray: Some(5), layout: Vec::new(), ..whole(&[0, 0, 1, 1], 5) });
        go(&mut run, [(OPENED, 0)]);
        for _ in 0..2 {
            let mut depths = Vec::new();
            while !run.view(0).counting {
                depths.push(run.depth());
                go(&mut run, [(Did::On, 10_000)]);
            }
            assert_eq!(depths, [[Depth::Step; 6].as_slice(), &[Depth::Stage; 2]].concat());
            go(&mut run, [(Did::On, 1000)]);
        }
    }

    #[test]
    fn flies_tied_later_are_finished_as_well() {
        let mut run = Run::new(Begun { layout: Vec::new(), ..whole(&[0], 1) });
        go(&mut run, [(OPENED, 0), (Did::On, 1), (Did::On, 1), (Did::On, 1), (Did::More { flies: 1 }, 1), (Did::On, 1)]);
        assert_eq!((run.part(), run.view(0).item, run.counts().waiting), (Part::Finishing, 0, 1));
    }

    #[test]
    fn the_last_thing_done_is_taken_back_and_its_time_stays() {
        let mut run = Run::new(whole(&[0, 0, 1], 2));
        go(&mut run, [(OPENED, 0), (Did::On, 10), (Did::On, 10)]);
        let before = run.counts();
        go(&mut run, [(Did::GaveUp, 700)]);
        let number = run.last_done().unwrap();
        let wrong = run.event(Did::TookBack { number: number - 1 }, 0, 720);
        assert_eq!(run.take(wrong), Err(Refused::NotTheLast));
        go(&mut run, [(Did::TookBack { number }, 50)]);
        assert_eq!(run.counts(), before);
        assert_eq!((run.fly_ms(1), run.run_ms()), (750, 770));
        assert_eq!(run.last_done(), Some(number - 1), "and the thing before it can be taken back next");
    }

    #[test]
    fn flies_that_passed_can_fail_later() {
        let mut run = Run::new(Begun { layout: Vec::new(), finishing: Vec::new(), ..whole(&[0], 6) });
        go(&mut run, [(OPENED, 0)]);
        go(&mut run, std::iter::repeat_n((Did::On, 10), 6));
        go(&mut run, [(Did::LookedOver { bad: Vec::new(), left: 2 }, 10)]);
        assert_eq!((run.counts().passed, run.counts().waiting, run.part()), (4, 2, Part::LookingOver));
        let lost = |flies| vec![Bad { why: Words::new("eye"), fate: Fate::Lost, flies }];
        let too_many = run.event(Did::LookedOver { bad: lost(7), left: 0 }, 0, 0);
        assert_eq!(run.take(too_many), Err(Refused::TooMany { of: 6 }));
        go(&mut run, [(Did::LookedOver { bad: lost(3), left: 0 }, 10)]);
        assert_eq!((run.counts().passed, run.counts().lost, run.part()), (3, 3, Part::Booking));
        go(&mut run, [(Did::More { flies: 3 }, 0)]);
        assert_eq!((run.part(), run.view(0).flies), (Part::Tying, 9), "more are tied for those that failed");
    }

    #[test]
    fn the_first_flies_go_step_by_step_and_one_of_each_dozen_again() {
        let mut run = Run::new(Begun { layout: Vec::new(), ..whole(&[0, 0, 1], 30) });
        go(&mut run, [(OPENED, 0)]);
        let mut by_step = Vec::new();
        while run.part() == Part::Tying {
            if run.depth() == Depth::Step && run.view(0).steps.start == 0 {
                by_step.push(run.view(0).fly);
            }
            go(&mut run, [(Did::On, 10_000)]);
        }
        assert_eq!(by_step, [1, 2, 3, 13, 25]);
    }

    #[test]
    fn three_dozen_flies_take_at_most_two_presses_each_after_the_third() {
        for steps in [1, 4, 10, 15, 17] {
            let mut run = Run::new(Begun { layout: Vec::new(), ..whole(&vec![0; steps], 36) });
            go(&mut run, [(OPENED, 0)]);
            let mut presses = 0;
            while run.part() == Part::Tying {
                presses += u32::from(run.view(0).fly > 3);
                go(&mut run, [(Did::On, 10_000)]);
            }
            assert!(presses <= 2 * 33, "{presses} presses for 33 flies of {steps} steps");
        }
    }

    #[test]
    fn a_depth_chosen_by_hand_holds() {
        let mut run = Run::new(Begun { layout: Vec::new(), ..whole(&[0, 0, 1], 15) });
        go(&mut run, [(OPENED, 0), (Did::Depth { to: Depth::Stage }, 0), (Did::On, 1), (Did::On, 1)]);
        assert_eq!((run.view(0).fly, run.depth()), (2, Depth::Stage));
    }

    #[test]
    fn a_pause_that_nobody_told_of_is_taken_out_and_asked_about() {
        // Ten seconds a step are expected.
        let mut run = Run::new(Begun { layout: Vec::new(), ..whole(&[0, 0, 1], 5) });
        go(&mut run, [(OPENED, 0), (Did::On, 9000), (Did::On, 600_000), (Did::On, 11_000)]);
        assert_eq!(run.fly_ms(1), 9000 + 60_000 + 11_000, "a minute is left of ten");
        let asked = run.questions().to_vec();
        assert_eq!((asked.len(), asked[0].fly), (1, 1));
        go(&mut run, [(Did::Answered { about: asked[0].about, answer: Words::new("work") }, 0)]);
        assert_eq!(run.fly_ms(1), 620_000);
    }

    #[test]
    fn a_sample_is_measured_and_agreed() {
        let mut run = Run::new(Begun { kind: Kind::Sample, ..whole(&[0, 0, 1], 1) });
        go(&mut run, [(OPENED, 0), (Did::On, 1), (Did::On, 1), (Did::Depth { to: Depth::Fly }, 0), (Did::On, 1)]);
        assert_eq!(run.part(), Part::Measuring);
        go(&mut run, [(Did::On, 1), (Did::Measured { nth: 1, um: Some(9_200) }, 1)]);
        assert_eq!((run.part(), run.measured().to_vec()), (Part::Agreeing, vec![None, Some(9_200)]));
        go(&mut run, [(Did::Agreed { revision: 2 }, 1)]);
        assert!(run.run_done());
        assert_eq!(run.last_done(), None, "the dressing's file has it now");
    }

    fn any_did() -> impl Strategy<Value = Did> {
        let depth = prop_oneof![Just(Depth::Step), Just(Depth::Stage), Just(Depth::Fly)];
        let part = prop_oneof![Just(Part::LayingOut), Just(Part::Tying), Just(Part::Finishing), Just(Part::LookingOver), Just(Part::Booking), Just(Part::Done)];
        let fate = prop_oneof![Just(Fate::Mended), Just(Fate::Second), Just(Fate::Stripped), Just(Fate::Lost)];
        let bad = prop::collection::vec((fate, 0u32..4).prop_map(|(fate, flies)| Bad { why: Words::new("eye"), fate, flies }), 0..3);
        prop_oneof![
            8 => Just(Did::On),
            3 => Just(Did::Back),
            1 => Just(OPENED),
            1 => Just(Did::Closed),
            1 => Just(Did::Paused),
            1 => Just(Did::WentOn),
            1 => depth.prop_map(|to| Did::Depth { to }),
            1 => (0u32..3).prop_map(|bad| Did::Ticked { bad }),
            1 => Just(Did::Mishap),
            1 => Just(Did::PutAside),
            1 => (1u32..9).prop_map(|fly| Did::TookUp { fly }),
            1 => Just(Did::GaveUp),
            1 => (0u32..4).prop_map(|missing| Did::TrayCounted { missing }),
            1 => (0u32..4).prop_map(|flies| Did::Reached { flies }),
            1 => (0u32..3).prop_map(|flies| Did::More { flies }),
            1 => part.prop_map(|to| Did::Turned { to }),
            1 => (bad, 0u32..3).prop_map(|(bad, left)| Did::LookedOver { bad, left }),
            1 => (0u32..3).prop_map(|nth| Did::Used { nth, amount: 2.into(), how: super::super::How::Counted }),
            1 => Just(Did::Booked),
            1 => (0u32..40).prop_map(|about| Did::Answered { about, answer: Words::new("work") }),
            2 => (0u32..80).prop_map(|number| Did::TookBack { number }),
        ]
    }

    proptest! {
        #[test]
        fn counts_agree_and_a_replay_is_the_same_after_any_events(
            dids in prop::collection::vec((any_did(), 0u64..100_000), 0..80), tray in prop::option::of(1u32..4), flies in 1u32..6,
        ) {
            let mut run = Run::new(Begun { tray, ..whole(&[0, 0, 1, 2], flies) });
            go(&mut run, [(OPENED, 0)]);
            let mut ran = 0;
            for (did, after) in dids {
                // Taking back is aimed at the last thing where it can be.
                let did = match (did, run.last_done()) {
                    (Did::TookBack { .. }, Some(number)) => Did::TookBack { number },
                    (did, _) => did,
                };
                ran = if did == OPENED { 0 } else { ran + after };
                let before = run.clone();
                if run.take(run.event(did, 1_700_000_000_000 + ran as i64, ran)).is_err() {
                    prop_assert_eq!(&run, &before, "refused, so nothing has changed");
                }
                prop_assert!(run.counts().agree(), "{:?}", run.counts());
                let view = run.view(ran);
                prop_assert!(view.steps.end <= run.outline().count());
            }
            let again = Run::replay(run.begun().clone(), run.events().to_vec());
            prop_assert_eq!(again, Ok(run));
        }

        #[test]
        fn back_and_on_return_to_the_same_place(
            dids in prop::collection::vec((any_did(), 0u64..50_000), 0..50), tray in prop::option::of(1u32..4),
        ) {
            let mut run = Run::new(Begun { tray, ..whole(&[0, 0, 1, 2], 4) });
            go(&mut run, [(OPENED, 0)]);
            go(&mut run, dids.into_iter().filter(|(did, _)| !matches!(did, Did::Closed | Did::Paused)));
            let mut there = run.clone();
            if there.take(there.event(Did::Back, 0, u64::MAX / 4)).is_ok() && there.take(there.event(Did::On, 0, u64::MAX / 4)).is_ok() {
                let (was, is) = (run.view(0), there.view(0));
                prop_assert_eq!((was.part, was.fly, was.steps.start, was.counts, was.counting), (is.part, is.fly, is.steps.start, is.counts, is.counting));
            }
        }

        #[test]
        fn no_time_is_lost(dids in prop::collection::vec((prop_oneof![Just(Did::On), Just(Did::Back), Just(Did::Mishap), Just(Did::PutAside), Just(Did::TookUp { fly: 1 })], 0u64..9000), 0..40)) {
            // Without habits nothing is taken for a pause.
            let mut run = Run::new(Begun { habits: None, ..Begun { layout: Vec::new(), ..whole(&[0, 1], 4) } });
            go(&mut run, [(OPENED, 0)]);
            let mut all = 0;
            let mut ran = 0;
            for (did, after) in dids {
                ran += after;
                let counts = run.part() != Part::Done && run.place().is_some();
                if run.take(run.event(did, 0, ran)).is_ok() {
                    all += if counts { after } else { 0 };
                } else {
                    ran -= after;
                }
            }
            prop_assert_eq!(run.run_ms(), all);
        }
    }

    #[test]
    fn the_outline_is_the_one_it_was_begun_with() {
        let begun = steps(&[0, 1], 2);
        assert_eq!(Run::new(begun).outline(), &outline(&[0, 1]));
    }
}
