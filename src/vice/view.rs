//! What the vice shows: the part of the run, fly N of M, the steps in hand, how far the drawing goes, elapsed and expected.

use super::state::{Hands, Press as Pressed};
use super::{Begun, Change, Clock, Counts, Depth, Did, Half, Part, Place, Question, Run};
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
    /// Nothing is left to be done.
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

/// What is to be seen at one moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct View {
    /// How it stands.
    pub state: State,
    /// The part of the run.
    pub part: Part,
    /// What became of the flies.
    pub counts: Counts,
    /// How much a press covers.
    pub depth: Depth,
    /// The fly in hand, by its number in the run, from 1; the last one begun where none is in hand.
    pub fly: u32,
    /// Of how many: those to be tied, and those given up.
    pub flies: u32,
    /// The steps the next press covers, by place in the outline; empty where no fly is in hand.
    pub steps: Range<usize>,
    /// The stage in hand, from 1.
    pub stage: usize,
    /// Of how many.
    pub stages: usize,
    /// By stages: the fly of the tray in hand, from 1, and how many are on it.
    pub tray: Option<(usize, usize)>,
    /// The stage is done and the tray is to be counted.
    pub counting: bool,
    /// The place in the list of what is laid out, measured or finished, from 0.
    pub item: usize,
    /// How many of the card's steps are done: the fly as it is now.
    pub done: usize,
    /// How many of the card's steps are done after the next press: the fly as the steps in hand leave it. What they tie
    /// in hangs loose in the drawing until the step that winds it.
    pub upto: usize,
    /// Milliseconds of work on the fly in hand (else on what is in hand), pauses left out.
    pub elapsed_ms: u64,
    /// Milliseconds of work since the last press, or spent here before.
    pub here_ms: u64,
    /// Expected for the whole fly, at normal pace: without allowance and without mounting the hook.
    pub expected: Option<Expected>,
    /// Expected for what is in hand.
    pub expected_here: Option<Expected>,
    /// Milliseconds of work since the last rest.
    pub spell_ms: u64,
    /// A rest is due: the bench's own spell is over.
    pub rest_due: bool,
}

/// The time a press took.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Timing {
    /// The fly, from 1; the first of them where a press covered several of a tray.
    pub fly: u32,
    /// How many flies it covered.
    pub flies: u32,
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

impl Run {
    /// What a key does here; `None`: nothing. The big key first ends a pause, so that no step is passed over by a
    /// hand that only comes back to work. Where there is no press to go back over, back takes back what was done last.
    pub fn means(&self, press: Press) -> Option<Did> {
        let resting = matches!(self.state.hands, Hands::Resting { .. });
        match press {
            _ if self.state.hands == Hands::Away => None,
            Press::On | Press::Pause if resting => Some(Did::WentOn),
            Press::On => (!matches!(self.state.part, Part::Done | Part::Agreeing)).then_some(Did::On),
            Press::Pause => Some(Did::Paused),
            Press::Back if self.state.can_go_back() => Some(Did::Back),
            Press::Back => self.last_done().map(|number| Did::TookBack { number }),
            Press::Depth => (self.state.part == Part::Tying).then(|| Did::Depth { to: self.state.depth.next() }),
        }
    }

    /// What is to be seen when the sitting's steady clock says `ran_ms`.
    pub fn view(&self, ran_ms: u64) -> View {
        let state = &self.state;
        let outline = &self.begun.outline;
        let done = state.part == Part::Done;
        let running = match state.hands {
            Hands::Working { since } if !done => ran_ms.saturating_sub(since),
            _ => 0,
        };
        let place = state.place();
        let count = outline.count();
        let in_hand = state.in_hand().filter(|_| state.part == Part::Tying);
        let steps = match in_hand {
            Some(Half { step, .. }) => step..state.end_of_press(outline).0,
            None => count..count,
        };
        let tray = state.tray.as_ref().filter(|_| state.hand.is_none());
        let covered = tray.map_or(1, |tray| state.end_of_press(outline).1.saturating_sub(tray.nth).max(1));
        let stage = in_hand.map_or(outline.stages(), |half| outline.stage_of(half.step) + 1);
        let fly = in_hand.map_or(state.started, |half| half.fly).max(u32::from(!done));
        let expected_here = match place {
            Some(Place::Fly { .. }) => {
                self.begun.expected(steps.clone()).map(|expected| Expected { ms: expected.ms.saturating_mul(covered as u64), ..expected })
            }
            Some(Place::LayingOut(nth)) => self.begun.layout.get(nth).and_then(|item| once(item.seconds)),
            Some(Place::Finishing(nth)) => self.begun.finishing.get(nth).and_then(|finish| once(finish.seconds)),
            _ => None,
        };
        let here = place.map_or(0, |place| self.spent_at(place)).saturating_add(running);
        let spell_ms = if matches!(state.hands, Hands::Working { .. }) { state.spell.saturating_add(running) } else { state.spell };
        View {
            state: match state.hands {
                _ if done => State::RunDone,
                Hands::Away => State::Away,
                Hands::Working { .. } => State::Tying,
                Hands::Resting { .. } => State::Resting,
            },
            part: state.part,
            counts: self.counts(),
            depth: state.depth,
            fly,
            flies: state.target.saturating_add(state.given_up.len() as u32),
            stage,
            stages: outline.stages(),
            tray: tray.map(|tray| ((tray.nth + 1).min(tray.flies.len()), tray.flies.len())),
            counting: tray.is_some_and(|tray| tray.counting) && state.part == Part::Tying,
            item: match state.part {
                Part::LayingOut => state.ticked.len(),
                Part::Measuring => state.measured.len(),
                _ => state.finished,
            },
            done: in_hand.map_or_else(|| outline.on_card(count), |half| outline.on_card(half.step)),
            upto: outline.on_card(steps.end),
            elapsed_ms: if in_hand.is_some() { self.fly_ms(fly).saturating_add(running) } else { here },
            here_ms: here,
            expected: self.begun.expected(0..count),
            expected_here,
            spell_ms,
            rest_due: self.begun.habits.is_some_and(|habits| spell_ms >= habits.rest_after_ms),
            steps,
        }
    }

    /// Where time goes now; `None` where nothing is in hand.
    pub fn place(&self) -> Option<Place> {
        self.state.place()
    }

    /// Milliseconds spent at a place up to the last event, pauses left out.
    pub fn spent_at(&self, place: Place) -> u64 {
        let of = |all: &std::collections::BTreeMap<Place, u64>| all.get(&place).copied().unwrap_or(0);
        of(&self.state.spent).saturating_sub(of(&self.state.idle))
    }

    /// Milliseconds of work on a fly (from 1) up to the last event, pauses left out. A press that covered several flies
    /// of a tray counts for each of them alike.
    pub fn fly_ms(&self, fly: u32) -> u64 {
        let (first, last) = (Place::Fly { fly, step: 0 }, Place::Fly { fly, step: usize::MAX });
        let sum = |all: &std::collections::BTreeMap<Place, u64>| all.range(first..=last).fold(0u64, |sum, (_, ms)| sum.saturating_add(*ms));
        let mut ms = sum(&self.state.spent).saturating_sub(sum(&self.state.idle));
        // Only by stages does a press cover several flies.
        let shared = if self.begun.tray.is_some() { self.state.presses.as_slice() } else { &[] };
        for press in shared.iter().filter(|press| press.tray.as_ref().is_some_and(|covered| covered.len() > 1)) {
            let (all, flies) = (self.press_ms(press), press.tray.as_ref().map_or(1, |covered| covered.len()) as u64);
            // The flies of a tray have numbers that follow one another, but for those taken off it.
            let covers = (press.fly..press.fly.saturating_add(u32::try_from(flies).unwrap_or(u32::MAX))).contains(&fly);
            if press.fly == fly {
                ms = ms.saturating_sub(all).saturating_add(all / flies + all % flies);
            } else if covers {
                ms = ms.saturating_add(all / flies);
            }
        }
        ms
    }

    /// Milliseconds of work on the run up to the last event, pauses left out.
    pub fn run_ms(&self) -> u64 {
        let sum = |all: &std::collections::BTreeMap<Place, u64>| all.values().fold(0u64, |sum, ms| sum.saturating_add(*ms));
        sum(&self.state.spent).saturating_sub(sum(&self.state.idle))
    }

    /// Milliseconds that were taken for pauses nobody told of.
    pub fn idle_ms(&self) -> u64 {
        self.state.idle.values().fold(0, |sum, ms| sum.saturating_add(*ms))
    }

    /// What each press took that led here, in order. Time spent at a place that was left by going back is in the
    /// press that covered it in the end; so the timings of a fly that is done add up to its time. Presses that a mishap
    /// made nought stand here too: look at [`Run::marks`].
    pub fn timings(&self) -> Vec<Timing> {
        let one = |press: &Pressed| Timing {
            fly: press.fly,
            flies: press.tray.as_ref().map_or(1, |covered| u32::try_from(covered.len()).unwrap_or(u32::MAX)),
            steps: press.steps.clone(),
            ms: self.press_ms(press),
        };
        self.state.presses.iter().map(one).collect()
    }

    fn press_ms(&self, press: &Pressed) -> u64 {
        press.steps.clone().fold(0u64, |sum, step| sum.saturating_add(self.spent_at(Place::Fly { fly: press.fly, step })))
    }

    /// The flies put aside half done.
    pub fn aside(&self) -> &[Half] {
        &self.state.aside
    }

    /// The flies tied to their end, in order.
    pub fn tied(&self) -> &[u32] {
        &self.state.tied
    }

    /// The drying clocks, in the order they were set.
    pub fn clocks(&self) -> &[Clock] {
        &self.state.clocks
    }

    /// The questions that wait, answered or not, in order.
    pub fn questions(&self) -> &[Question] {
        &self.state.questions
    }

    /// What is another from some fly on.
    pub fn changes(&self) -> &[Change] {
        &self.state.changes
    }

    /// Lengths of the sample in micrometres, in the order of the list; `None` is as it should be.
    pub fn measured(&self) -> &[Option<u32>] {
        &self.state.measured
    }

    /// The revision the sample was agreed as.
    pub fn agreed(&self) -> Option<u32> {
        self.state.agreed
    }

    /// How many bad ones were found with what was ticked, in the order of the list.
    pub fn found_bad(&self) -> &[u32] {
        &self.state.ticked
    }
}

impl Begun {
    /// How long steps are expected to take. A whole fly: own time, else the one figure told for it, else the sum of its
    /// steps; `None` where none has one.
    pub fn expected(&self, steps: Range<usize>) -> Option<Expected> {
        if steps == (0..self.outline.count()) {
            if let Some(own) = &self.own {
                return Some(Expected { ms: own.ms, untold: 0 });
            }
            if let Some(seconds) = self.outline.whole() {
                return Some(Expected { ms: ms(seconds), untold: 0 });
            }
        }
        let steps = self.outline.steps().get(steps)?;
        let told: Vec<f64> = steps.iter().filter_map(|step| step.seconds).collect();
        (!told.is_empty()).then(|| Expected { ms: ms(told.iter().sum()), untold: steps.len() - told.len() })
    }
}

fn once(seconds: Option<f64>) -> Option<Expected> {
    seconds.map(|seconds| Expected { ms: ms(seconds), untold: 0 })
}

/// Seconds, to the nearest millisecond.
fn ms(seconds: f64) -> u64 {
    // Sound by the outline: not below nought; what is too large stays at the largest.
    (seconds * 1000.0).round() as u64
}

#[cfg(test)]
mod tests {
    use super::super::sample::{OPENED, depth, go, outline, steps};
    use super::*;
    use crate::card::{form, sample};
    use crate::vice::Outline;

    #[test]
    fn the_view_says_fly_steps_drawing_and_times() {
        let mut run = Run::new(steps(&[0, 0, 1, 1, 2], 3));
        go(&mut run, [(OPENED, 0), (Did::On, 4000), (Did::On, 6000), (depth(Depth::Stage), 0)]);
        let view = run.view(12_500);
        assert_eq!((view.state, view.fly, view.flies, view.counts.tied), (State::Tying, 1, 3, 0));
        assert_eq!((view.steps, view.stage, view.stages, view.done, view.upto), (2..4, 2, 3, 2, 4));
        assert_eq!((view.elapsed_ms, view.here_ms), (12_500, 2500));
        assert_eq!(view.expected, Some(Expected { ms: 50_000, untold: 0 }));
        assert_eq!(view.expected_here, Some(Expected { ms: 20_000, untold: 0 }));
    }

    #[test]
    fn pauses_are_left_out_and_the_next_fly_begins_at_nought() {
        let mut run = Run::new(steps(&[0, 0], 2));
        go(&mut run, [(OPENED, 0), (Did::On, 1000), (Did::Paused, 500), (Did::WentOn, 60_000), (Did::On, 300)]);
        assert_eq!((run.fly_ms(1), run.fly_ms(2), run.view(61_900).elapsed_ms), (1800, 0, 100));
        go(&mut run, [(Did::Paused, 100)]);
        assert_eq!((run.view(99_000).state, run.view(99_000).elapsed_ms), (State::Resting, 100));
        assert_eq!(run.means(Press::On), Some(Did::WentOn), "the big key only wakes");
    }

    #[test]
    fn timings_are_by_press_and_add_up_after_going_to_and_fro() {
        let mut run = Run::new(steps(&[0, 0, 0, 1], 2));
        go(&mut run, [(OPENED, 0), (Did::On, 100), (Did::On, 20), (Did::Back, 3), (Did::Back, 4), (depth(Depth::Fly), 0), (Did::On, 1000), (Did::On, 70)]);
        let one = |fly, ms| Timing { fly, flies: 1, steps: 0..4, ms };
        assert_eq!(run.timings(), [one(1, 1127), one(2, 70)]);
        assert_eq!((run.fly_ms(1), run.run_ms()), (1127, 1197));
        let view = run.view(5000);
        assert_eq!((view.state, view.fly, view.steps, view.upto), (State::RunDone, 2, 4..4, 4));
        assert_eq!(run.means(Press::On), None);
        assert_eq!(run.means(Press::Back), Some(Did::Back), "a press too many can be taken back");
    }

    #[test]
    fn a_press_for_a_whole_tray_is_shared_among_its_flies() {
        let mut run = Run::new(Begun { tray: Some(4), ..steps(&[0, 1], 4) });
        go(&mut run, [(OPENED, 0), (depth(Depth::Fly), 0), (Did::On, 402), (Did::On, 0), (depth(Depth::Stage), 0), (Did::On, 50)]);
        assert_eq!((1..=4).map(|fly| run.fly_ms(fly)).collect::<Vec<_>>(), [152, 100, 100, 100]);
        assert_eq!(run.timings().iter().map(|timing| (timing.flies, timing.ms)).collect::<Vec<_>>(), [(4, 402), (1, 50)]);
    }

    #[test]
    fn a_rib_hangs_loose_until_the_step_that_winds_it() {
        let card = sample::dry();
        let puts = form::forms(&card);
        let seen = |upto: usize| puts.iter().filter(|put| put.part == Some(2) && put.seen(upto)).map(|put| put.form.clone()).collect::<Vec<_>>();
        let mut run = Run::new(Begun::of_steps(Outline::of(&card, None).unwrap(), 1));
        go(&mut run, [(OPENED, 0), (Did::On, 1)]);
        assert_eq!(run.view(1).upto, 2);
        let loose = seen(run.view(1).upto);
        go(&mut run, [(Did::On, 2)]);
        let wound = seen(run.view(2).upto);
        assert!(!loose.is_empty() && !wound.is_empty() && loose != wound, "{loose:?} then {wound:?}");
    }

    #[test]
    fn a_step_without_a_time_is_told() {
        let mut steps = outline(&[0, 0, 1]).steps().to_vec();
        steps[1].seconds = None;
        let mut run = Run::new(Begun::of_steps(Outline::new(steps.clone(), None).unwrap(), 1));
        assert_eq!(run.view(0).expected, Some(Expected { ms: 20_000, untold: 1 }));
        go(&mut run, [(OPENED, 0), (Did::On, 1)]);
        assert_eq!(run.view(1).expected_here, None);
        let whole = Run::new(Begun::of_steps(Outline::new(steps, Some(1e300)).unwrap(), 1));
        assert_eq!(whole.view(0).expected, Some(Expected { ms: u64::MAX, untold: 0 }));
    }

    #[test]
    fn a_rest_is_offered_after_a_spell_and_a_short_pause_is_none() {
        let mut run = Run::new(Begun { habits: Some(super::super::Habits::default()), ..steps(&[0], 9) });
        go(&mut run, [(OPENED, 0), (Did::On, 30 * 60_000)]);
        assert!(!run.view(30 * 60_000).rest_due);
        assert!(run.view(40 * 60_000).rest_due);
        go(&mut run, [(Did::Paused, 11 * 60_000), (Did::WentOn, 60_000)]);
        assert!(run.view(42 * 60_000).rest_due, "a minute is no rest");
        go(&mut run, [(Did::Paused, 1000), (Did::WentOn, 5 * 60_000)]);
        assert!(!run.view(48 * 60_000).rest_due);
    }
}
