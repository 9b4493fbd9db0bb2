//! Outlines, runs and events for the tests of this floor.

use super::begun::{Finish, Habits, Item, Length, Material, Of};
use super::{Begun, Depth, Did, Event, Outline, Run, Step};
use crate::measure::Words;

/// A sitting begun.
pub(super) const OPENED: Did = Did::Opened { depth: None };

/// Steps with these stages, ten seconds each.
pub(super) fn outline(stages: &[usize]) -> Outline {
    let step = |(nth, stage): (usize, &usize)| Step { card: nth, stage: *stage, text: Words::new("tie"), seconds: Some(10.0), key: None };
    Outline::new(stages.iter().enumerate().map(step).collect(), None).unwrap()
}

/// A run of the first form.
pub(super) fn steps(stages: &[usize], flies: u32) -> Begun {
    Begun::of_steps(outline(stages), flies)
}

/// A run with every part: two things to lay out, one coat, two lengths, two materials.
pub(super) fn whole(stages: &[usize], flies: u32) -> Begun {
    let item = |of, text| Item { of, text: Words::new(text), seconds: Some(60.0), key: None };
    let length = |key: &str, mm| Length { key: key.to_owned(), what: Words::new(key), mm, within: (mm - 0.5, mm + 0.5) };
    let material = |name, hook| Material { name: Words::new(name), unit: Words::new(""), a_fly: 1.into(), hook, comes_back: hook, grams: None };
    Begun {
        layout: vec![item(Of::Hooks, "Count out the hooks."), item(Of::Feathers, "Size the hackles.")],
        finishing: vec![Finish { card: 9, text: Words::new("One coat."), seconds: Some(5.0), dries_ms: Some(28_800_000), what: Words::new("varnish") }],
        lengths: vec![length("tail.length", 8.9), length("hackle.fibre", 7.9)],
        materials: vec![material("hook", true), material("hackle", false)],
        habits: Some(Habits::default()),
        whole: true,
        ..steps(stages, flies)
    }
}

/// Takes what is done, each so many ms after the last; gives the events taken.
pub(super) fn go(run: &mut Run, all: impl IntoIterator<Item = (Did, u64)>) -> Vec<Event> {
    let mut ran = run.events().last().map_or(0, |event| event.ran_ms);
    let mut taken = Vec::new();
    for (did, after) in all {
        ran = if matches!(did, Did::Opened { .. }) { 0 } else { ran + after };
        let event = run.event(did, 1_700_000_000_000 + ran as i64, ran);
        if run.take(event.clone()).is_ok() {
            taken.push(event);
        }
    }
    taken
}

/// A depth, shortly.
pub(super) fn depth(to: Depth) -> Did {
    Did::Depth { to }
}
