//! What has changed between a card that was kept and the same fly as it would be worked today: figure by figure, part by part,
//! step by step, in the words of the card, the most telling first.

mod parts;
mod steps;

use super::Card;
use super::text::{named, shown};
use crate::measure::Words;
use crate::why::{Fig, Row};
use std::collections::HashSet;

/// Figures nearer to each other than this share of the larger are the same.
const SAME: f64 = 1e-9;

/// What a difference is about, the most telling first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Topic {
    /// The dressing itself: its revision, its name, the size.
    Revision,
    /// What the fly is made of.
    Material,
    /// A part: there or gone, how it goes on, how it stands.
    Part,
    /// A figure of the hook or of a part: a place, a length, turns, a count.
    Figure,
    /// A step: there or gone, its words, its time.
    Step,
    /// What one fly takes.
    Amount,
    /// A figure the others were worked from.
    Beneath,
}

/// One difference.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// What it is about.
    pub topic: Topic,
    /// What differs: a figure's key, a part, a step.
    pub what: Words,
    /// As it was; `None` where it was not there.
    pub was: Option<Words>,
    /// As it is; `None` where it is gone.
    pub is: Option<Words>,
}

impl std::fmt::Display for Difference {
    /// `tail.length: 10.3 mm -> 9.5 mm`; `rib: gone (gold wire, wound)`; `rib: new (gold wire, wound)`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let what = &self.what;
        match (&self.was, &self.is) {
            (Some(was), Some(is)) => write!(f, "{what}: {was} -> {is}"),
            (Some(was), None) => write!(f, "{what}: gone ({was})"),
            (None, Some(is)) => write!(f, "{what}: new ({is})"),
            (None, None) => write!(f, "{what}"),
        }
    }
}

/// All that differs, by topic; within a topic in the order of the card.
pub fn differs(then: &Card, now: &Card) -> Vec<Difference> {
    let mut found = Found::default();
    found.text(Topic::Revision, "revision", Some(&then.revision.to_string()), Some(&now.revision.to_string()));
    found.text(Topic::Revision, "dressing", Some(&then.dressing), Some(&now.dressing));
    found.text(Topic::Revision, "kind", Some(&then.kind), Some(&now.kind));
    found.text(Topic::Revision, "size", Some(then.size.text()), Some(now.size.text()));
    found.text(Topic::Revision, "variant", then.variant.as_deref(), now.variant.as_deref());
    parts::materials(then, now, &mut found);
    parts::parts(then, now, &mut found);
    figures(then, now, &mut found);
    steps::steps(then, now, &mut found);
    let mut all = found.0;
    all.sort_by_key(|difference| difference.topic);
    all
}

#[derive(Default)]
struct Found(Vec<Difference>);

impl Found {
    /// Notes what is not the same.
    fn text(&mut self, topic: Topic, what: &str, was: Option<&str>, is: Option<&str>) {
        if was != is {
            self.0.push(Difference { topic, what: Words::new(what), was: was.map(Words::new), is: is.map(Words::new) });
        }
    }

    /// Notes figures that are not the same.
    fn figure(&mut self, topic: Topic, what: &str, was: Option<&Row<f64>>, is: Option<&Row<f64>>) {
        match (was, is) {
            (Some(was), Some(is)) if !same(was, is) => {
                let (was, is) = apart(was, is);
                self.text(topic, what, Some(&was), Some(&is));
            }
            (Some(_), Some(_)) => {}
            _ => self.text(topic, what, was.map(shown).as_deref(), is.map(shown).as_deref()),
        }
    }
}

fn same(was: &Row<f64>, is: &Row<f64>) -> bool {
    was.unit == is.unit && (was.value == is.value || (was.value - is.value).abs() <= SAME * was.value.abs().max(is.value.abs()))
}

/// Both as shown on a card, or with as many decimals as it takes to tell them apart.
fn apart(was: &Row<f64>, is: &Row<f64>) -> (String, String) {
    let pair = (shown(was), shown(is));
    if pair.0 != pair.1 {
        return pair;
    }
    let with_unit = |figure: String, row: &Row<f64>| format!("{figure} {}", row.unit.name()).trim_end().to_owned();
    let fine = |decimals: usize| (with_unit(format!("{:.decimals$}", was.value), was), with_unit(format!("{:.decimals$}", is.value), is));
    let exact = || (with_unit(format!("{:e}", was.value), was), with_unit(format!("{:e}", is.value), is));
    (2..16).map(fine).find(|(was, is)| was != is).unwrap_or_else(exact)
}

/// The named figures. Those of a part that is gone or new go without saying, and so do the ends of a tolerance whose middle or
/// width is told; times stand with their steps.
fn figures(then: &Card, now: &Card, found: &mut Found) {
    let changed: HashSet<&str> = parts::gone_or_new(then, now);
    let (main, taken) = (main(then, now), taken(then, now));
    let differs = |key: &str| match (row(then, key), row(now, key)) {
        (Some(was), Some(is)) => !same(was, is),
        (was, is) => was.is_some() != is.is_some(),
    };
    let added = now.sheet.keys().filter(|key| then.sheet.find(key).is_none());
    for key in then.sheet.keys().chain(added).filter(|key| named(key) && !key.starts_with("step ")) {
        if changed.iter().any(|part| key.strip_prefix(part).is_some_and(|rest| rest.starts_with('.'))) {
            continue;
        }
        let middle = key.strip_suffix(".low").or_else(|| key.strip_suffix(".high"));
        if middle.is_some_and(|middle| differs(middle) || differs(&format!("{middle}.within"))) {
            continue;
        }
        let topic = match key {
            key if taken.contains(key) => Topic::Amount,
            key if main.contains(key) => Topic::Figure,
            _ => Topic::Beneath,
        };
        found.figure(topic, key, row(then, key), row(now, key));
    }
}

fn row<'a>(card: &'a Card, key: &str) -> Option<&'a Row<f64>> {
    card.sheet.find(key).map(|fig| card.sheet.at(fig))
}

/// Keys of the figures the cards themselves point to, and the tolerances of these.
fn main(then: &Card, now: &Card) -> HashSet<String> {
    let mut all = HashSet::new();
    for card in [then, now] {
        let hook = &card.hook;
        let of_hook = [hook.gap, Some(hook.shank), Some(hook.wire), Some(hook.overall), Some(hook.eye), hook.barb, hook.point, hook.angle, hook.inside];
        let mut figs: Vec<Fig> = of_hook.into_iter().flatten().collect();
        for part in &card.parts {
            figs.extend([part.tied_in, part.length, part.fibre, part.turns, part.count, part.width].into_iter().flatten());
            figs.extend([part.span, part.thick].into_iter().flatten().flat_map(|(a, b)| [a, b]));
            for piece in &part.pieces {
                figs.extend([piece.turns, piece.count, piece.width].into_iter().flatten());
            }
            all.insert(format!("{}.length", part.name));
        }
        all.extend(figs.into_iter().map(|fig| card.sheet.key(fig).to_owned()));
    }
    let within: Vec<String> = all.iter().flat_map(|key| [".within", ".low", ".high"].map(|end| format!("{key}{end}"))).collect();
    all.extend(within);
    all
}

/// Keys of what one fly takes.
fn taken(then: &Card, now: &Card) -> HashSet<String> {
    let of = |card: &Card| -> Vec<String> {
        let parts = card.parts.iter().flat_map(|part| part.amount.into_iter().chain(part.pieces.iter().filter_map(|piece| piece.amount)));
        parts.chain(card.needs.iter().map(|need| need.amount)).map(|fig| card.sheet.key(fig).to_owned()).collect()
    };
    of(then).into_iter().chain(of(now)).collect()
}

#[cfg(test)]
mod tests;
