//! A setting: some works done, in the order in which they end, each as early as it can be.

use super::Question;
use super::bound::{Job, one_at_a_time};
use std::collections::HashMap;

/// How a run stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Standing {
    /// Which run, by its place in the question's list.
    run: usize,
    /// How many of its works are done.
    done: usize,
    /// Before when its next work cannot begin.
    ready: u64,
}

/// A work set: which, when, and the one set before it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Trail {
    pub(super) run: usize,
    pub(super) step: usize,
    pub(super) start: u64,
    before: usize,
}

/// No work before.
const FIRST: usize = usize::MAX;

/// Some works done.
#[derive(Clone, Debug)]
pub(super) struct State {
    /// The runs as the question orders them; equal ones by works done, then by when they are ready.
    runs: Vec<Standing>,
    /// When each pair of hands comes free, ascending.
    free: Vec<u64>,
    /// What is on the rack: until when, and how many places; ascending.
    held: Vec<(u64, u64)>,
    /// When the last work ended.
    end: u64,
    /// When all that is set is done and dry, but not below the bound that holds for all.
    pub(super) span: u64,
    pub(super) bound: u64,
    /// The last work set.
    last: Option<Trail>,
    /// Where that stands among all that are kept; [`FIRST`] until it is kept.
    trail: usize,
    /// Another is no later in anything.
    pub(super) superfluous: bool,
}

impl State {
    /// Nothing done yet.
    pub(super) fn start(question: &Question) -> Self {
        let runs = (0..question.order.len()).map(|place| Standing { run: question.order[place], done: 0, ready: question.run(place).release }).collect();
        let mut state =
            State { runs, free: vec![0; question.hands], held: Vec::new(), end: 0, span: 0, bound: 0, last: None, trail: FIRST, superfluous: false };
        state.tidy(question);
        state.bound = state.bound(question);
        state
    }

    /// Every setting with one work more.
    pub(super) fn children(&self, question: &Question) -> Vec<State> {
        let mut children = Vec::new();
        for place in 0..self.runs.len() {
            let standing = self.runs[place];
            // Of equal runs that stand alike one is enough.
            let twin = place > 0
                && question.kind[place] == question.kind[place - 1]
                && self.runs[place - 1].done == standing.done
                && self.runs[place - 1].ready == standing.ready;
            if twin || standing.done == question.run(place).steps.len() {
                continue;
            }
            let first = standing.ready.max(self.free[0]);
            // Hands that come free soonest before the work begins are taken, for the others may be wanted sooner; hands
            // that come free later only put it off, which can pay where another work must go in between.
            let mut last = None;
            for nth in 0..self.free.len() {
                let soonest_before = self.free[nth] <= first && self.free.get(nth + 1).is_none_or(|next| *next > first);
                let later = self.free[nth] > first && last != Some(self.free[nth]);
                if soonest_before || later {
                    children.push(self.with(question, place, nth, first.max(self.free[nth])));
                }
                last = Some(self.free[nth]);
            }
        }
        children
    }

    /// With the next work of a run begun at `start` by the pair of hands `nth`.
    fn with(&self, question: &Question, place: usize, nth: usize, start: u64) -> State {
        let run = question.run(place);
        let step = run.steps[self.runs[place].done];
        let mut child = self.clone();
        child.end = start + step.work;
        let dry = child.end + step.dry;
        child.span = child.span.max(dry);
        child.free[nth] = child.end;
        child.free.sort_unstable();
        if step.dry > 0 && question.rack != u64::MAX {
            let at = child.held.partition_point(|held| held.0 < dry);
            child.held.insert(at, (dry, run.places));
        }
        child.last = Some(Trail { run: self.runs[place].run, step: self.runs[place].done, start, before: self.trail });
        child.runs[place].done += 1;
        child.runs[place].ready = dry;
        child.tidy(question);
        child.bound = child.bound(question).max(self.bound);
        child.span = child.span.max(self.bound);
        child
    }

    /// Brings every time that means the same to the same figure: nothing can begin before all that stands against it.
    fn tidy(&mut self, question: &Question) {
        let end = self.end;
        self.held.retain(|held| held.0 > end);
        let least = self.free.first().copied().unwrap_or(0);
        let mut soonest = u64::MAX;
        for (place, standing) in self.runs.iter_mut().enumerate() {
            let run = question.run(place);
            let Some(step) = run.steps.get(standing.done) else {
                standing.ready = 0;
                continue;
            };
            let room = if step.dry > 0 { room(&self.held, end, run.places, question.rack) } else { end };
            standing.ready = standing.ready.max(least).max(room.saturating_sub(step.work));
            soonest = soonest.min(standing.ready);
        }
        if soonest != u64::MAX {
            self.free.iter_mut().for_each(|free| *free = (*free).max(soonest));
        }
        // Equal runs: the one further on first, then the one ready sooner.
        let mut from = 0;
        while from < self.runs.len() {
            let to = (from..self.runs.len()).find(|place| question.kind[*place] != question.kind[from]).unwrap_or(self.runs.len());
            if to - from > 1 {
                self.runs[from..to].sort_by_key(|standing| (std::cmp::Reverse(standing.done), standing.ready));
            }
            from = to;
        }
    }

    fn bound(&self, question: &Question) -> u64 {
        let mut bound = self.span;
        let mut works = Vec::new();
        let mut dryings = Vec::new();
        let (mut work, mut energy) = (0_u64, 0_u128);
        let (mut soonest, mut shortest) = (u64::MAX, u64::MAX);
        let (mut soonest_drying, mut shortest_after) = (u64::MAX, u64::MAX);
        for (place, standing) in self.runs.iter().enumerate() {
            let run = question.run(place);
            let rest = &run.steps[standing.done..];
            let mut head = standing.ready;
            let mut tail: u64 = rest.iter().map(|step| step.work + step.dry).sum();
            if rest.is_empty() {
                continue;
            }
            bound = bound.max(head + tail);
            for step in rest {
                tail -= step.work;
                works.push(Job { head, length: step.work, tail });
                (soonest, shortest, work) = (soonest.min(head), shortest.min(tail), work + step.work);
                head += step.work;
                tail -= step.dry;
                if step.dry > 0 && question.rack != u64::MAX {
                    energy += u128::from(step.dry) * u128::from(run.places);
                    (soonest_drying, shortest_after) = (soonest_drying.min(head), shortest_after.min(tail));
                    if u128::from(run.places) * 2 > u128::from(question.rack) {
                        dryings.push(Job { head, length: step.dry, tail });
                    }
                }
                head += step.dry;
            }
        }
        if works.is_empty() {
            return bound;
        }
        if question.hands == 1 {
            bound = bound.max(one_at_a_time(&mut works));
        } else {
            let busy: Vec<(u64, u64)> = self.free.iter().map(|free| (*free, 1)).collect();
            bound = bound.max(evenly(&busy, soonest, u128::from(work), question.hands as u64).saturating_add(shortest));
        }
        if question.rack != u64::MAX && energy > 0 {
            if dryings.len() > 1 {
                bound = bound.max(one_at_a_time(&mut dryings));
            }
            let even = evenly(&self.held, soonest_drying, energy, question.rack);
            bound = bound.max(even.saturating_add(shortest_after));
        }
        bound
    }

    /// Keeps it in the next layer unless one with the same works done is no later in anything; those it is no later
    /// than are marked as superfluous.
    pub(super) fn keep(self, layer: &mut Vec<State>, same: &mut HashMap<Vec<u8>, Vec<usize>>) {
        let key: Vec<u8> = self.runs.iter().map(|standing| standing.done as u8).collect();
        let others = same.entry(key).or_default();
        if others.iter().any(|nth| layer[*nth].no_later(&self)) {
            return;
        }
        others.retain(|nth| {
            let later = self.no_later(&layer[*nth]);
            layer[*nth].superfluous |= later;
            !later
        });
        others.push(layer.len());
        layer.push(self);
    }

    /// Whether it is no later in anything than another with the same works done.
    fn no_later(&self, other: &State) -> bool {
        self.end <= other.end
            && self.span <= other.span
            && self.free.iter().zip(&other.free).all(|(a, b)| a <= b)
            && self.runs.iter().zip(&other.runs).all(|(a, b)| a.ready <= b.ready)
            && self.holds_no_more(other)
    }

    /// Whether it never holds more places than the other, from the other's last end on.
    fn holds_no_more(&self, other: &State) -> bool {
        if self.held.is_empty() {
            return true;
        }
        let at = |held: &[(u64, u64)], time: u64| held.iter().filter(|held| held.0 > time).map(|held| held.1).sum::<u64>();
        let times = std::iter::once(other.end).chain(other.held.iter().map(|held| held.0));
        times.into_iter().all(|time| at(&self.held, time) <= at(&other.held, time))
    }

    /// How late it is in all, to tell apart those of the same bound.
    pub(super) fn lateness(&self) -> (u128, Option<(u64, usize)>) {
        let runs: u128 = self.runs.iter().map(|standing| u128::from(standing.ready)).sum();
        let hands = self.free.iter().map(|free| u128::from(*free)).sum::<u128>();
        (runs + hands, self.last.map(|last| (last.start, last.run)))
    }

    /// Writes its last work down among those kept, so that what comes of it can name it.
    pub(super) fn write_down(&mut self, trails: &mut Vec<Trail>) {
        if let Some(last) = self.last {
            self.trail = trails.len();
            trails.push(last);
        }
    }

    /// The works set, from the first.
    pub(super) fn trail(&self, trails: &[Trail]) -> Vec<Trail> {
        let mut works = Vec::new();
        let mut at = self.trail;
        while let Some(work) = trails.get(at) {
            works.push(*work);
            at = work.before;
        }
        works.reverse();
        works
    }
}

/// When `places` are free on the rack, from `time` on.
fn room(held: &[(u64, u64)], time: u64, places: u64, rack: u64) -> u64 {
    let mut taken: u64 = held.iter().map(|held| held.1).sum();
    let mut time = time;
    for (until, others) in held {
        if taken.saturating_add(places) <= rack {
            break;
        }
        taken -= others;
        time = *until;
    }
    time
}

/// When so many places times time have been held at the soonest, from `time` on, beside what is on the rack already.
fn evenly(held: &[(u64, u64)], time: u64, mut energy: u128, rack: u64) -> u64 {
    let taken: u64 = held.iter().filter(|held| held.0 > time).map(|held| held.1).sum();
    let (mut time, mut room) = (time, u128::from(rack.saturating_sub(taken)));
    for (until, places) in held.iter().filter(|held| held.0 > time).copied().collect::<Vec<_>>() {
        let stretch = room * u128::from(until - time);
        if energy <= stretch {
            break;
        }
        energy -= stretch;
        time = until;
        room += u128::from(places);
    }
    time.saturating_add(u64::try_from(energy.div_ceil(room.max(1))).unwrap_or(u64::MAX))
}

#[cfg(test)]
mod tests {
    use super::super::{Run, Step};
    use super::*;
    use proptest::prelude::*;

    /// The shortest that comes of a setting, by all orders; fails where a bound on the way is above what comes of it.
    fn shortest_from(state: &State, question: &Question, so_far: u64) -> u64 {
        let children = state.children(question);
        let end = |child: &State| {
            child.last.map_or(0, |last| last.start + question.runs[last.run].steps[last.step].work + question.runs[last.run].steps[last.step].dry)
        };
        let shortest = children.iter().map(|child| shortest_from(child, question, so_far.max(end(child)))).min().unwrap_or(so_far);
        assert!(state.bound <= shortest, "bound {} above {shortest}", state.bound);
        shortest
    }

    proptest! {
        #[test]
        fn no_bound_is_above_what_comes_of_it(
            runs in proptest::collection::vec((proptest::collection::vec((1_u64..60, prop_oneof![1 => Just(0), 3 => 1_u64..200]), 1..3), 1_u64..3, 0_u64..100), 1..4),
            hands in 1_usize..4,
            rack in prop_oneof![1 => Just(None), 4 => (2_u64..6).prop_map(Some)],
        ) {
            let step = |(work, dry): (u64, u64)| Step { work, dry };
            let runs: Vec<Run> =
                runs.into_iter().map(|(steps, places, release)| Run { steps: steps.into_iter().map(step).collect(), places, release }).collect();
            let question = Question::new(&runs, hands, rack);
            shortest_from(&State::start(&question), &question, 0);
        }
    }
}
