//! Outlines and events for the tests of this floor.

use super::{Depth, Did, Event, Outline, Sitting, Step};
use crate::measure::Words;

/// A sitting begun at step depth.
pub(super) const OPENED: Did = Did::Opened { depth: Depth::Step };

/// Steps with these stages.
pub(super) fn outline(stages: &[usize]) -> Outline {
    let step = |(nth, stage): (usize, &usize)| Step { card: nth, stage: *stage, text: Words::new("tie"), seconds: Some(10.0), key: None };
    Outline::new(stages.iter().enumerate().map(step).collect(), None).unwrap()
}

/// Takes what is done, each so many ms after the last; gives the events taken.
pub(super) fn go(sitting: &mut Sitting, all: impl IntoIterator<Item = (Did, u64)>) -> Vec<Event> {
    let mut ran = 0;
    let mut taken = Vec::new();
    for (did, after) in all {
        ran = if matches!(did, Did::Opened { .. }) { 0 } else { ran + after };
        let event = sitting.event(did, 1_700_000_000_000 + ran as i64, ran);
        if sitting.take(&event).is_ok() {
            taken.push(event);
        }
    }
    taken
}
