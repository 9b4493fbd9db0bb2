//! What differs in the steps. They have no names, so they are set against each other in their order: by their words where these
//! are the same, else by the parts they tie in and wind.

use super::{Found, Topic, shown};
use crate::card::{Card, WorkedStep};
use crate::dressing::{Per, When};
use crate::why::Fig;

/// Steps gone, new, or worded, timed or placed otherwise.
pub(super) fn steps(then: &Card, now: &Card, found: &mut Found) {
    for pair in paired(then, now) {
        match pair {
            (Some(was), Some(is)) => changed(then, now, (was, is), found),
            (Some(was), None) => found.text(Topic::Step, &name(was), then.steps.get(was).map(in_words).as_deref(), None),
            (None, Some(is)) => found.text(Topic::Step, &name(is), None, now.steps.get(is).map(in_words).as_deref()),
            (None, None) => {}
        }
    }
}

fn name(nth: usize) -> String {
    format!("step {}", nth + 1)
}

fn changed(then: &Card, now: &Card, (was, is): (usize, usize), found: &mut Found) {
    let (Some(before), Some(after)) = (then.steps.get(was), now.steps.get(is)) else { return };
    let name = if was == is { name(was) } else { format!("{}, now {}", name(was), is + 1) };
    found.text(Topic::Step, &name, Some(&in_words(before)), Some(&in_words(after)));
    for (what, of) in [("ties in", ties as fn(&Card, &WorkedStep) -> String), ("winds", winds)] {
        let of = |card: &Card, step: &WorkedStep| Some(of(card, step)).filter(|parts| !parts.is_empty());
        found.text(Topic::Step, &format!("{name}, {what}"), of(then, before).as_deref(), of(now, after).as_deref());
    }
    time(then, now, &format!("{name}, time"), (before.time, after.time), found);
    let dries = |step: &WorkedStep| step.dries.map(|fig| (fig, Per::Run));
    time(then, now, &format!("{name}, drying"), (dries(before), dries(after)), found);
}

type Timed = Option<(Fig, Per)>;

fn time(then: &Card, now: &Card, what: &str, (was, is): (Timed, Timed), found: &mut Found) {
    if let (Some((was, per)), Some((is, other))) = (was, is)
        && per == other
    {
        found.figure(Topic::Step, what, Some(then.sheet.at(was)), Some(now.sheet.at(is)));
        return;
    }
    let words = |card: &Card, time: Timed| {
        time.map(|(fig, per)| {
            let per = match per {
                Per::Fly => "a fly",
                Per::Dozen => "a dozen",
                Per::Run => "a run",
            };
            format!("{} {per}", shown(card.sheet.at(fig)))
        })
    };
    found.text(Topic::Step, what, words(then, was).as_deref(), words(now, is).as_deref());
}

fn in_words(step: &WorkedStep) -> String {
    let when = match step.when {
        When::Before => "before the vice: ",
        When::AtTheVice => "",
        When::After => "off the vice: ",
    };
    format!("{when}{}", step.text)
}

fn parts<'a>(card: &'a Card, which: &[usize]) -> Vec<&'a str> {
    which.iter().filter_map(|nth| card.parts.get(*nth)).map(|part| part.name.as_str()).collect()
}

fn ties(card: &Card, step: &WorkedStep) -> String {
    parts(card, &step.ties).join(", ")
}

fn winds(card: &Card, step: &WorkedStep) -> String {
    parts(card, &step.winds).join(", ")
}

/// A step as it is set against others: its words, and the parts it has in hand.
struct Seen<'a> {
    step: &'a WorkedStep,
    ties: Vec<&'a str>,
    winds: Vec<&'a str>,
}

impl<'a> Seen<'a> {
    fn all(card: &'a Card) -> Vec<Self> {
        card.steps.iter().map(|step| Seen { step, ties: parts(card, &step.ties), winds: parts(card, &step.winds) }).collect()
    }

    fn has_parts(&self) -> bool {
        !self.ties.is_empty() || !self.winds.is_empty()
    }

    /// How likely it is the same step: nought for surely not.
    fn likeness(&self, other: &Seen<'_>) -> u32 {
        let alike = self.ties == other.ties && self.winds == other.winds;
        let share = |a: &[&str], b: &[&str]| a.iter().any(|name| b.contains(name));
        match (self.step.text == other.step.text, alike) {
            (true, true) => 8,
            (true, false) => 6,
            (false, true) if self.has_parts() => 4,
            // Neither has a part in hand, and no word tells them apart: so much as nothing, but more than nought.
            (false, true) => 1,
            (false, false) if share(&self.ties, &other.ties) || share(&self.winds, &other.winds) => 3,
            (false, false) => 0,
        }
    }
}

/// Both cards' steps in order, the same ones together: of all ways to pair them without crossing, the likeliest.
fn paired(then: &Card, now: &Card) -> Vec<(Option<usize>, Option<usize>)> {
    let (before, after) = (Seen::all(then), Seen::all(now));
    // best[i][j]: the most likeness to be had of all steps from i and from j on.
    let mut best = vec![vec![0u32; after.len() + 1]; before.len() + 1];
    let like = |i: usize, j: usize| before.get(i).zip(after.get(j)).map_or(0, |(was, is)| was.likeness(is));
    for i in (0..before.len()).rev() {
        for j in (0..after.len()).rev() {
            let paired = match like(i, j) {
                0 => 0,
                likeness => likeness + best[i + 1][j + 1],
            };
            best[i][j] = paired.max(best[i + 1][j]).max(best[i][j + 1]);
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut pairs = Vec::new();
    while i < before.len() && j < after.len() {
        let likeness = like(i, j);
        if likeness > 0 && best[i][j] == likeness + best[i + 1][j + 1] {
            pairs.push((Some(i), Some(j)));
            (i, j) = (i + 1, j + 1);
        } else if best[i][j] == best[i + 1][j] {
            pairs.push((Some(i), None));
            i += 1;
        } else {
            pairs.push((None, Some(j)));
            j += 1;
        }
    }
    pairs.extend((i..before.len()).map(|i| (Some(i), None)));
    pairs.extend((j..after.len()).map(|j| (None, Some(j))));
    pairs
}
