//! What differs in materials and parts. Parts are the same by name.

use super::{Found, Topic};
use crate::card::{Card, Clipped, WorkedPart};
use crate::dressing::{Base, Laid, Shape};
use std::collections::HashSet;

/// What the fly is made of: the chart of its hook, its silks, the materials of its parts and coats.
pub(super) fn materials(then: &Card, now: &Card, found: &mut Found) {
    let mut note = |what: &str, was: Option<&str>, is: Option<&str>| found.text(Topic::Material, what, was, is);
    note("hook", Some(&then.chart), Some(&now.chart));
    note("silk", Some(&then.silk), Some(&now.silk));
    note("silk of the head", then.head_silk.as_deref(), now.head_silk.as_deref());
    for (was, is) in in_both(then, now) {
        note(&format!("{}, material", is.name), Some(&materials_of(was)), Some(&materials_of(is)));
        note(&format!("{}, size", is.name), size_of_feather(then, was), size_of_feather(now, is));
    }
    for name in besides(then, now) {
        note(name, needed(then, name).as_deref(), needed(now, name).as_deref());
    }
}

/// Parts that are gone, new, in another order, or go on or stand in another way.
pub(super) fn parts(then: &Card, now: &Card, found: &mut Found) {
    let mut note = |what: &str, was: Option<&str>, is: Option<&str>| found.text(Topic::Part, what, was, is);
    for part in then.parts.iter().filter(|part| named(now, &part.name).is_none()) {
        note(&part.name, Some(&in_short(part)), None);
    }
    for part in now.parts.iter().filter(|part| named(then, &part.name).is_none()) {
        note(&part.name, None, Some(&in_short(part)));
    }
    let order = |card: &Card, other: &Card| -> String {
        let common = card.parts.iter().map(|part| part.name.as_str()).filter(|name| named(other, name).is_some());
        common.collect::<Vec<_>>().join(", ")
    };
    note("order of the parts", Some(&order(then, now)), Some(&order(now, then)));
    for (was, is) in in_both(then, now) {
        let mut each = |what: &str, of: &dyn Fn(&WorkedPart) -> Option<String>| note(&format!("{}, {what}", is.name), of(was).as_deref(), of(is).as_deref());
        each("as", &|part| Some(part.way.word().to_owned()));
        each("on", &|part| Some(base(&part.on)));
        each("materials laid", &|part| Some(laid(part.laid).to_owned()));
        each("carries on", &|part| part.carries_on.clone());
        each("clipped", &|part| part.clip.map(clip));
        each("stands", &|part| Some(shape(&part.shape)));
        each("wound", &|part| Some(if part.other_way { "the other way than the silk" } else { "as the silk" }.to_owned()));
        each("turns", &|part| part.turns_split.map(|(behind, before)| format!("{behind} behind, {before} before")));
    }
}

/// Names of the parts that only one of the cards has.
pub(super) fn gone_or_new<'a>(then: &'a Card, now: &'a Card) -> HashSet<&'a str> {
    let only = |card: &'a Card, other: &'a Card| card.parts.iter().map(|part| part.name.as_str()).filter(|name| named(other, name).is_none());
    only(then, now).chain(only(now, then)).collect()
}

fn named<'a>(card: &'a Card, name: &str) -> Option<&'a WorkedPart> {
    card.parts.iter().find(|part| part.name == name)
}

/// Parts that both cards have, in today's order.
fn in_both<'a>(then: &'a Card, now: &'a Card) -> impl Iterator<Item = (&'a WorkedPart, &'a WorkedPart)> {
    now.parts.iter().filter_map(|is| named(then, &is.name).map(|was| (was, is)))
}

fn materials_of(part: &WorkedPart) -> String {
    let all: Vec<&str> = part.pieces.iter().map(|piece| piece.material.as_str()).collect();
    if all.is_empty() { part.material.clone() } else { all.join(" + ") }
}

fn in_short(part: &WorkedPart) -> String {
    format!("{}, {}", materials_of(part), part.way.word())
}

fn size_of_feather<'a>(card: &'a Card, part: &WorkedPart) -> Option<&'a str> {
    card.needs.iter().find(|need| need.part == part.name).and_then(|need| need.size.as_ref()).map(|size| size.text())
}

/// What is needed for something that is neither a part, the hook nor a silk: coats.
fn besides<'a>(then: &'a Card, now: &'a Card) -> Vec<&'a str> {
    let mut names: Vec<&str> = Vec::new();
    for need in then.needs.iter().chain(&now.needs) {
        let told = ["hook", "silk", "head-silk"].contains(&need.part.as_str()) || [then, now].iter().any(|card| named(card, &need.part).is_some());
        if !told && !names.contains(&need.part.as_str()) {
            names.push(&need.part);
        }
    }
    names
}

fn needed(card: &Card, name: &str) -> Option<String> {
    let all: Vec<&str> = card.needs.iter().filter(|need| need.part == name).map(|need| need.material.as_str()).collect();
    (!all.is_empty()).then(|| all.join(" + "))
}

fn base(base: &Base) -> String {
    match base {
        Base::Hook => "the hook".to_owned(),
        Base::Post(part) => format!("the {part}, as a post"),
        Base::Needle(mm) => format!("a needle, {mm} mm"),
        Base::Nylon(mm) => format!("nylon, {mm} mm"),
        Base::Loop => "a loop of silk".to_owned(),
    }
}

fn laid(laid: Laid) -> &'static str {
    Laid::ALL.iter().find(|(_, way)| *way == laid).map_or("", |(words, _)| words)
}

/// The length itself is a figure, and told there.
fn clip(clip: Clipped) -> String {
    match clip {
        Clipped::To(_) => "to a length",
        Clipped::LevelWithPoint => "below, level with the point",
        Clipped::Beneath => "flat beneath",
    }
    .to_owned()
}

fn shape(shape: &Shape) -> String {
    let Shape { upright, divided, spent, flat, over_the_back, beneath, split_degrees, looped, cut, burnt, knotted } = shape;
    let mut words: Vec<String> = [
        (upright, "upright"),
        (divided, "divided"),
        (spent, "spent"),
        (flat, "flat"),
        (over_the_back, "over the back"),
        (beneath, "beneath"),
        (looped, "looped"),
        (cut, "cut to shape"),
        (burnt, "burnt to shape"),
        (knotted, "knotted"),
    ]
    .iter()
    .filter(|(so, _)| **so)
    .map(|(_, word)| (*word).to_owned())
    .collect();
    words.extend(split_degrees.map(|degrees| format!("split by {degrees} degrees")));
    if words.is_empty() { "as it falls".to_owned() } else { words.join(", ") }
}
