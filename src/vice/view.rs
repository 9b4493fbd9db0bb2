//! What the vice shows: fly N of M, the steps in hand, how far the drawing goes, elapsed and expected.

use super::sitting::Hands;
use super::{Depth, Did, Outline, Sitting};
use std::ops::Range;

/// How it stands with the run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// No sitting is open.
    Away,
    /// The hands work, and time counts.
    Tying,
    /// The hands rest.
    Resting,
    /// The last fly is done.
    RunDone,
}

/// A time that is expected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Expected {
    /// Milliseconds.
    pub ms: u64,
    /// How many steps have no time of their own and are not in it: where not 0, it is too short, and to be marked.
    pub untold: usize,
}

/// What is to be seen at the vice at one moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct View {
    /// How it stands.
    pub state: State,
    /// How much a press covers.
    pub depth: Depth,
    /// The fly in hand, from 1; the last one when the run is done; 0 only in a run of no flies.
    pub fly: u32,
    /// Of how many.
    pub flies: u32,
    /// Flies done.
    pub flies_done: u32,
    /// The steps the next press covers, by place in the outline; empty when the run is done.
    pub steps: Range<usize>,
    /// The stage in hand, from 1.
    pub stage: usize,
    /// Of how many.
    pub stages: usize,
    /// How many of the card's steps are done: the fly as it is now.
    pub done: usize,
    /// How many of the card's steps are done after the next press: the fly as the steps in hand leave it. What they tie
    /// in hangs loose in the drawing until the step that winds it.
    pub upto: usize,
    /// Milliseconds of work on the fly in hand, pauses left out.
    pub elapsed_ms: u64,
    /// Milliseconds of work since the last press, or spent here before.
    pub here_ms: u64,
    /// Expected for the whole fly, at normal pace: without allowance and without mounting the hook.
    pub expected: Option<Expected>,
    /// Expected for the steps in hand.
    pub expected_here: Option<Expected>,
}

/// The time a press took.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Timing {
    /// The fly, from 1.
    pub fly: u32,
    /// The steps it covered, by place in the outline.
    pub steps: Range<usize>,
    /// Milliseconds of work, pauses left out.
    pub ms: u64,
}

/// A key of the vice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Press {
    /// On.
    On,
    /// Back.
    Back,
    /// Pause, and on again.
    Pause,
    /// The next depth.
    Depth,
}

impl Sitting {
    /// What a key does here; `None`: nothing. The big key first ends a pause, so that no step is passed over by a
    /// hand that only comes back to work.
    pub fn means(&self, press: Press) -> Option<Did> {
        match (press, self.hands) {
            (_, Hands::Away) => None,
            (Press::On | Press::Pause, Hands::Resting) => Some(Did::WentOn),
            (Press::On, Hands::Working { .. }) => (!self.run_done()).then_some(Did::On),
            (Press::Pause, Hands::Working { .. }) => Some(Did::Paused),
            (Press::Back, _) => (!self.behind.is_empty()).then_some(Did::Back),
            (Press::Depth, _) => Some(Did::Depth { to: self.depth.next() }),
        }
    }

    /// What is to be seen when the sitting's steady clock says `ran_ms`.
    pub fn view(&self, ran_ms: u64) -> View {
        let place = self.place();
        let run_done = self.run_done();
        let count = self.outline.count();
        let (step, end) = if run_done { (count, count) } else { (place.step, place.step + usize::try_from(self.end_of_press() - self.done).unwrap_or(0)) };
        let running = match self.hands {
            Hands::Working { since } if !run_done => ran_ms.saturating_sub(since),
            _ => 0,
        };
        let fly = if run_done { self.flies } else { place.fly + 1 };
        let state = match self.hands {
            _ if run_done => State::RunDone,
            Hands::Away => State::Away,
            Hands::Working { .. } => State::Tying,
            Hands::Resting => State::Resting,
        };
        View {
            state,
            depth: self.depth,
            fly,
            flies: self.flies,
            flies_done: place.fly,
            steps: step..end,
            stage: self.outline.stage_of(step) + 1,
            stages: self.outline.stages(),
            done: self.outline.on_card(step),
            upto: self.outline.on_card(end),
            elapsed_ms: self.fly_ms(fly).saturating_add(running),
            here_ms: self.spent.get(&self.done).copied().unwrap_or(0).saturating_add(running),
            expected: expected_fly(&self.outline),
            expected_here: if step == 0 && end == count { expected_fly(&self.outline) } else { expected(&self.outline, step..end) },
        }
    }

    /// Milliseconds of work on a fly (from 1) up to the last event, pauses left out.
    pub fn fly_ms(&self, fly: u32) -> u64 {
        let Some(before) = fly.checked_sub(1) else { return 0 };
        let start = u64::from(before).saturating_mul(self.a_fly());
        self.spent_in(start..start.saturating_add(self.a_fly()))
    }

    /// Milliseconds of work on the run up to the last event, pauses left out.
    pub fn run_ms(&self) -> u64 {
        self.spent_in(0..u64::MAX)
    }

    /// What each press took that led here, in order. Time spent at a place that was left by going back is in the
    /// press that covered it in the end; so the timings of a fly that is done add up to its time.
    pub fn timings(&self) -> Vec<Timing> {
        let ends = self.behind.iter().copied().skip(1).chain([self.done]);
        self.behind
            .iter()
            .copied()
            .zip(ends)
            .map(|(from, to)| {
                let place = self.place_of(from);
                let covered = usize::try_from(to.saturating_sub(from)).unwrap_or(0);
                Timing { fly: place.fly.saturating_add(1), steps: place.step..place.step.saturating_add(covered), ms: self.spent_in(from..to) }
            })
            .collect()
    }

    fn spent_in(&self, places: Range<u64>) -> u64 {
        self.spent.range(places).fold(0, |sum, (_, ms)| sum.saturating_add(*ms))
    }
}

/// A whole fly: the one figure told for it, else the sum of its steps.
fn expected_fly(outline: &Outline) -> Option<Expected> {
    match outline.whole() {
        Some(seconds) => Some(Expected { ms: ms(seconds), untold: 0 }),
        None => expected(outline, 0..outline.count()),
    }
}

/// The sum of the times of these steps; `None` where none has one.
fn expected(outline: &Outline, steps: Range<usize>) -> Option<Expected> {
    let steps = outline.steps().get(steps)?;
    let told: Vec<f64> = steps.iter().filter_map(|step| step.seconds).collect();
    (!told.is_empty()).then(|| Expected { ms: ms(told.iter().sum()), untold: steps.len() - told.len() })
}

/// Seconds, to the nearest millisecond.
fn ms(seconds: f64) -> u64 {
    // Sound by the outline: not below nought; what is too large stays at the largest.
    (seconds * 1000.0).round() as u64
}

#[cfg(test)]
mod tests {
    use super::super::sample::{OPENED, go, outline};
    use super::*;
    use crate::card::{form, sample};

    #[test]
    fn the_view_says_fly_steps_drawing_and_times() {
        let mut sitting = Sitting::new(outline(&[0, 0, 1, 1, 2]), 3);
        go(&mut sitting, [(OPENED, 0), (Did::On, 4000), (Did::On, 6000), (Did::Depth { to: Depth::Stage }, 0)]);
        let view = sitting.view(12_500);
        assert_eq!((view.state, view.fly, view.flies, view.flies_done), (State::Tying, 1, 3, 0));
        assert_eq!((view.steps, view.stage, view.stages, view.done, view.upto), (2..4, 2, 3, 2, 4));
        assert_eq!((view.elapsed_ms, view.here_ms), (12_500, 2500));
        assert_eq!(view.expected, Some(Expected { ms: 50_000, untold: 0 }));
        assert_eq!(view.expected_here, Some(Expected { ms: 20_000, untold: 0 }));
    }

    #[test]
    fn pauses_are_left_out_and_the_next_fly_begins_at_nought() {
        let mut sitting = Sitting::new(outline(&[0, 0]), 2);
        go(&mut sitting, [(OPENED, 0), (Did::On, 1000), (Did::Paused, 500), (Did::WentOn, 60_000), (Did::On, 300)]);
        assert_eq!((sitting.fly_ms(1), sitting.fly_ms(2), sitting.view(61_900).elapsed_ms), (1800, 0, 100));
        go(&mut sitting, [(Did::Paused, 61_900)]);
        assert_eq!((sitting.view(99_000).state, sitting.view(99_000).elapsed_ms), (State::Resting, 100));
        assert_eq!(sitting.means(Press::On), Some(Did::WentOn), "the big key only wakes");
    }

    #[test]
    fn timings_are_by_press_and_add_up_after_going_to_and_fro() {
        let mut sitting = Sitting::new(outline(&[0, 0, 0, 1]), 2);
        let fly = Did::Depth { to: Depth::Fly };
        go(&mut sitting, [(OPENED, 0), (Did::On, 100), (Did::On, 20), (Did::Back, 3), (Did::Back, 4), (fly, 0), (Did::On, 1000), (Did::On, 70)]);
        let timings = sitting.timings();
        assert_eq!(timings, [Timing { fly: 1, steps: 0..4, ms: 1127 }, Timing { fly: 2, steps: 0..4, ms: 70 }]);
        assert_eq!((sitting.fly_ms(1), sitting.run_ms()), (1127, 1197));
        let view = sitting.view(5000);
        assert_eq!((view.state, view.fly, view.steps, view.upto, view.elapsed_ms), (State::RunDone, 2, 4..4, 4, 70));
        assert_eq!(sitting.means(Press::On), None);
        assert_eq!(sitting.means(Press::Back), Some(Did::Back), "a press too many can be taken back");
    }

    #[test]
    fn a_rib_hangs_loose_until_the_step_that_winds_it() {
        let card = sample::dry();
        let puts = form::forms(&card);
        let seen = |upto: usize| puts.iter().filter(|put| put.part == Some(2) && put.seen(upto)).map(|put| put.form.clone()).collect::<Vec<_>>();
        let mut sitting = Sitting::new(Outline::of(&card, None).unwrap(), 1);
        go(&mut sitting, [(OPENED, 0), (Did::On, 1)]);
        assert_eq!(sitting.view(1).upto, 2);
        let loose = seen(sitting.view(1).upto);
        go(&mut sitting, [(Did::On, 2)]);
        let wound = seen(sitting.view(2).upto);
        assert!(!loose.is_empty() && !wound.is_empty() && loose != wound, "{loose:?} then {wound:?}");
    }

    #[test]
    fn a_step_without_a_time_is_told() {
        let mut steps = outline(&[0, 0, 1]).steps().to_vec();
        steps[1].seconds = None;
        let mut sitting = Sitting::new(Outline::new(steps.clone(), None).unwrap(), 1);
        assert_eq!(sitting.view(0).expected, Some(Expected { ms: 20_000, untold: 1 }));
        go(&mut sitting, [(OPENED, 0), (Did::On, 1)]);
        assert_eq!(sitting.view(1).expected_here, None);
        let whole = Sitting::new(Outline::new(steps, Some(1e300)).unwrap(), 1);
        assert_eq!(whole.view(0).expected, Some(Expected { ms: u64::MAX, untold: 0 }));
    }
}
