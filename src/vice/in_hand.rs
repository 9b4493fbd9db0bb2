//! What a press at the vice leads to, and how flies come into the vice and out of it: by themselves or by the tray.

use super::state::{Asked, Half, LEAST_PAUSE, Next, Place, Press, Question, State, Tray};
use super::{Begun, Depth, Outline, Part};
use std::ops::Range;

impl State {
    /// The big key at the vice.
    pub(super) fn press(&mut self, begun: &Begun, number: u32) {
        if self.hand.is_none() && self.tray.is_none() {
            // Only what was put aside is left.
            if let Some(half) = self.aside.first().copied() {
                self.take_up(half.fly);
            }
            self.fence = self.presses.len();
            return;
        }
        if self.hand.is_none() && self.tray.as_ref().is_some_and(|tray| tray.counting) {
            self.counted(begun, 0);
            self.fence = self.presses.len();
            self.ahead.clear();
            return;
        }
        let (to, done) = self.ahead.pop().unwrap_or_else(|| self.end_of_press(&begun.outline));
        if let Some(half) = &mut self.hand {
            let Half { fly, step } = *half;
            half.step = to;
            let ended = to >= begun.outline.count();
            let depth = self.depth;
            self.take_out_pause(begun, fly, step..to, 1, number);
            let mut next = Next::Same;
            if ended {
                self.hand = None;
                self.tied.push(fly);
                self.looked.waiting += 1;
                next = self.fill_the_vice(begun);
            }
            self.presses.push(Press { fly, steps: step..to, tray: None, depth, next });
        } else if let Some(tray) = &mut self.tray {
            let (from, step) = (tray.nth, tray.step);
            let Some(fly) = tray.flies.get(from).copied() else { return };
            (tray.nth, tray.step) = if to >= begun.outline.stage(tray.stage).end { (done, begun.outline.stage(tray.stage).start) } else { (from, to) };
            tray.counting = tray.nth >= tray.flies.len();
            let covered = done.max(from + 1) - from;
            self.take_out_pause(begun, fly, step..to, covered, number);
            self.presses.push(Press { fly, steps: step..to, tray: Some(from..from + covered), depth: self.depth, next: Next::Same });
            self.depth_on_tray(begun);
        }
    }

    pub(super) fn back(&mut self) {
        let Some(press) = self.presses.pop() else { return };
        let Press { fly, steps, tray: in_tray, depth, next } = press;
        self.idle.remove(&Place::Fly { fly, step: steps.start });
        self.questions.retain(|question| !matches!(question.asked, Asked::Pause { place, .. } if place == Place::Fly { fly, step: steps.start }));
        if let (Some(covered), Some(tray)) = (in_tray, &mut self.tray) {
            self.ahead.push((steps.end, covered.end));
            (tray.nth, tray.step, tray.counting) = (covered.start, steps.start, false);
            if !self.by_hand {
                self.depth = depth;
            }
            return;
        }
        self.ahead.push((steps.end, 1));
        match next {
            Next::Same => {}
            Next::Fresh(flies) => {
                self.started -= flies.min(self.started);
                self.hand = None;
                // A tray was filled only where none was there.
                if flies > 1 || self.tray.as_ref().is_some_and(|tray| tray.flies.first() == Some(&(self.started + 1))) {
                    self.tray = None;
                }
            }
            Next::Nothing => {}
            Next::Part => self.part = Part::Tying,
        }
        if next != Next::Same {
            self.tied.pop();
            self.looked.waiting = self.looked.waiting.saturating_sub(1);
            self.depth = depth;
        }
        self.hand = Some(Half { fly, step: steps.start });
    }

    /// Brings what is to be tied next into the vice, where nothing is in it; the next part where nothing is left.
    pub(super) fn fill_the_vice(&mut self, begun: &Begun) -> Next {
        if self.part != Part::Tying || self.hand.is_some() || self.tray.is_some() {
            return Next::Nothing;
        }
        let half = u32::try_from(self.aside.len()).unwrap_or(u32::MAX);
        let needed = self.target.saturating_sub(self.tied.len() as u32).saturating_sub(half);
        if needed == 0 {
            if self.aside.is_empty() {
                self.part = begun.after(Part::Tying);
                return Next::Part;
            }
            return Next::Nothing;
        }
        let flies = begun.tray.map_or(1, |tray| tray.min(needed));
        let first = self.started.saturating_add(1);
        self.started = self.started.saturating_add(flies);
        if begun.tray.is_some() {
            self.tray = Some(Tray { flies: (first..first.saturating_add(flies)).collect(), stage: 0, nth: 0, step: 0, counting: false });
            self.depth_on_tray(begun);
        } else {
            self.hand = Some(Half { fly: first, step: 0 });
            self.depth = self.depth_of(begun, first);
        }
        Next::Fresh(flies)
    }

    /// How much a press covers on a fresh fly.
    fn depth_of(&self, begun: &Begun, fly: u32) -> Depth {
        let Some(habits) = begun.habits else { return self.depth };
        let again = habits.again > 0 && fly > habits.at_step && fly > habits.again && (fly - 1).is_multiple_of(habits.again);
        if again || (!self.by_hand && fly <= habits.at_step) { Depth::Step } else { self.usual }
    }

    /// How much a press covers on the next fly of the tray: the first flies go through each stage step by step.
    fn depth_on_tray(&mut self, begun: &Begun) {
        let (Some(habits), Some(tray), false) = (begun.habits, &self.tray, self.by_hand) else { return };
        if let Some(fly) = tray.flies.get(tray.nth).filter(|_| tray.step == begun.outline.stage(tray.stage).start) {
            self.depth = if *fly <= habits.at_step { Depth::Step } else { self.usual };
        }
    }

    pub(super) fn mishap(&mut self, begun: &Begun, number: u32) {
        let start = |step| begun.outline.stage(begun.outline.stage_of(step)).start;
        let fly = if let Some(half) = &mut self.hand {
            half.step = start(half.step);
            half.fly
        } else if let Some(tray) = &mut self.tray {
            tray.step = start(tray.step);
            tray.flies.get(tray.nth).copied().unwrap_or_default()
        } else {
            return;
        };
        self.mishaps.push(fly);
        self.questions.push(Question { about: number, asked: Asked::Mishap, fly, answer: None });
    }

    /// The fly in hand: the one by itself, else the tray's next one.
    pub(super) fn in_hand(&self) -> Option<Half> {
        self.hand.or_else(|| {
            let tray = self.tray.as_ref().filter(|tray| !tray.counting)?;
            Some(Half { fly: *tray.flies.get(tray.nth)?, step: tray.step })
        })
    }

    /// Takes the fly in hand out of the vice.
    pub(super) fn out_of_hand(&mut self, begun: &Begun) -> Option<Half> {
        let half = self.in_hand()?;
        if self.hand.take().is_none()
            && let Some(tray) = &mut self.tray
        {
            tray.flies.remove(tray.nth);
            tray.step = begun.outline.stage(tray.stage).start;
            tray.counting = tray.nth >= tray.flies.len();
        }
        Some(half)
    }

    pub(super) fn after_out(&mut self, begun: &Begun) {
        if self.tray.as_ref().is_some_and(|tray| tray.flies.is_empty()) {
            self.tray = None;
        }
        self.fill_the_vice(begun);
    }

    pub(super) fn take_up(&mut self, fly: u32) {
        let Some(nth) = self.aside.iter().position(|half| half.fly == fly) else { return };
        let half = self.aside.remove(nth);
        match self.hand.replace(half) {
            // The one that was to be next is not begun yet.
            Some(Half { fly, step: 0 }) if fly == self.started => self.started -= 1,
            Some(other) => {
                self.put_aside.push(other.fly);
                self.aside.push(other);
            }
            None => {}
        }
    }

    pub(super) fn counted(&mut self, begun: &Begun, missing: u32) {
        let Some(tray) = &mut self.tray else { return };
        let here = tray.flies.len().saturating_sub(missing as usize);
        self.given_up.extend(tray.flies.drain(here..));
        if tray.flies.is_empty() {
            self.tray = None;
        } else if tray.stage + 1 >= begun.outline.stages() {
            self.looked.waiting += tray.flies.len() as u32;
            self.tied.append(&mut tray.flies);
            self.tray = None;
        } else {
            tray.stage += 1;
            (tray.nth, tray.step, tray.counting) = (0, begun.outline.stage(tray.stage).start, false);
            self.depth_on_tray(begun);
        }
        self.fill_the_vice(begun);
    }

    pub(super) fn reached(&mut self, begun: &Begun, flies: usize) {
        let Some(tray) = &mut self.tray else { return };
        let (from, steps) = (tray.nth, begun.outline.stage(tray.stage));
        let Some(fly) = tray.flies.get(from).copied().filter(|_| flies > 0) else { return };
        tray.nth += flies;
        tray.counting = tray.nth >= tray.flies.len();
        self.presses.push(Press { fly, steps, tray: Some(from..from + flies), depth: self.depth, next: Next::Same });
    }

    pub(super) fn turn(&mut self, begun: &Begun, to: Part) {
        if self.part == Part::Tying {
            match self.hand.take() {
                Some(Half { fly, step: 0 }) if fly == self.started => self.started -= 1,
                Some(half) => {
                    self.put_aside.push(half.fly);
                    self.aside.push(half);
                }
                None => {}
            }
            if let Some(tray) = self.tray.take() {
                let stage = begun.outline.stage(tray.stage);
                let done = |nth: usize| {
                    if nth < tray.nth || tray.counting {
                        stage.end
                    } else if nth == tray.nth {
                        tray.step
                    } else {
                        stage.start
                    }
                };
                self.aside.extend(tray.flies.iter().enumerate().map(|(nth, fly)| Half { fly: *fly, step: done(nth).min(begun.outline.count() - 1) }));
                self.put_aside.extend(&tray.flies);
            }
        }
        self.part = to;
        self.fill_the_vice(begun);
    }

    /// What took far longer than expected was a pause nobody told of, until somebody says otherwise.
    fn take_out_pause(&mut self, begun: &Begun, fly: u32, steps: Range<usize>, flies: usize, number: u32) {
        let Some(habits) = begun.habits else { return };
        let Some(expected) = begun.expected(steps.clone()).map(|expected| expected.ms.saturating_mul(flies as u64)) else { return };
        let all = self.spent_on(fly, steps.clone());
        // Saturates where the expected time is beyond all measure.
        let limit = ((expected as f64 * habits.pause_beyond) as u64).max(LEAST_PAUSE);
        if all > limit {
            let (place, ms) = (Place::Fly { fly, step: steps.start }, all - limit);
            self.idle.insert(place, ms);
            self.questions.push(Question { about: number, asked: Asked::Pause { place, ms }, fly, answer: None });
        }
    }

    /// Where a press leads by the depth alone: steps done, and flies of the tray done.
    pub(super) fn end_of_press(&self, outline: &Outline) -> (usize, usize) {
        if let Some(Half { step, .. }) = self.hand {
            let to = match self.depth {
                Depth::Step => step + 1,
                Depth::Stage => outline.stage(outline.stage_of(step)).end,
                Depth::Fly => outline.count(),
            };
            return (to.clamp(step + 1, outline.count()), 1);
        }
        let Some(tray) = &self.tray else { return (outline.count(), 1) };
        let stage = outline.stage(tray.stage);
        match self.depth {
            Depth::Step if tray.step + 1 < stage.end => (tray.step + 1, tray.nth),
            Depth::Fly if tray.step == stage.start => (stage.end, tray.flies.len()),
            _ => (stage.end, tray.nth + 1),
        }
    }
}
