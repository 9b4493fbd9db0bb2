//! The demo bench proves the model: every construction stands in it, is drawn, and is planned.

use crate::figures::{cards, demo};
use herl::card::form::{DONE, forms};
use herl::dressing::{Base, Clip, HookShape, Laid, Way};
use herl::plan;
use std::collections::BTreeSet;

#[test]
fn there_is_enough_of_everything() {
    let bench = demo();
    let (dressings, charts, materials) = (bench.dressings.len(), bench.shelf.charts.len(), bench.shelf.materials.len());
    assert!(dressings >= 18 && charts >= 6 && materials >= 60, "{dressings} dressings, {charts} charts, {materials} materials");
    assert!(bench.shelf.suppliers.len() >= 3 && bench.orders.len() >= 4);
    // Nothing on the shelf that no dressing takes: a newcomer who follows a name finds what it is for.
    let taken: BTreeSet<String> = cards(&bench).iter().flat_map(|card| card.needs.iter().map(|need| need.material.clone())).collect();
    let idle: Vec<&String> = bench.shelf.charts.keys().chain(bench.shelf.materials.keys()).filter(|name| !taken.contains(*name)).collect();
    assert!(idle.is_empty(), "taken by no fly: {idle:?}");
    let ordered: BTreeSet<&str> = bench.orders.values().flat_map(|order| &order.lines).map(|line| line.dressing.value.as_str()).collect();
    assert!(bench.dressings.keys().all(|name| ordered.contains(name.as_str())), "every dressing is in an order: {ordered:?}");
}

#[test]
fn every_construction_stands_in_it() {
    let bench = demo();
    let shapes: Vec<HookShape> = bench.shelf.charts.values().map(|chart| chart.shape).collect();
    for shape in [HookShape::Straight, HookShape::Curved, HookShape::Jig, HookShape::Double, HookShape::Tube] {
        assert!(shapes.contains(&shape), "no chart is {}", shape.word());
    }
    let parts: Vec<_> = bench.dressings.values().flat_map(|dressing| &dressing.parts).map(|part| &part.fields).collect();
    let ways: Vec<Way> = parts.iter().filter_map(|part| part.way.as_ref()).map(|way| way.value).collect();
    for way in [Way::Wound, Way::Hackle, Way::Bunch, Way::Dubbed, Way::Rope, Way::Slip, Way::Strip, Way::Sheet, Way::Whole, Way::Weight, Way::Coat] {
        assert!(ways.contains(&way), "nothing is `as: {}`", way.word());
    }
    let shape = |said: fn(&herl::dressing::Shape) -> bool| parts.iter().any(|part| part.shape.as_ref().is_some_and(|shape| said(&shape.value)));
    let laid = |how: Laid| parts.iter().any(|part| part.laid.as_ref().is_some_and(|laid| laid.value == how));
    let on = |base: fn(&Base) -> bool| parts.iter().any(|part| part.on.as_ref().is_some_and(|on| base(&on.value)));
    assert!(on(|base| matches!(base, Base::Post(_))), "hackle round a post");
    assert!(on(|base| matches!(base, Base::Needle(_))) && parts.iter().any(|part| part.beyond.is_some()), "a body beyond the hook");
    assert!(laid(Laid::Married) && laid(Laid::OneAfterTheOther), "several materials");
    assert!(parts.iter().filter(|part| part.carries_on.is_some()).count() >= 2, "fibres that go on, and on again");
    assert!(shape(|shape| shape.spent) && shape(|shape| shape.split_degrees.is_some()) && shape(|shape| shape.knotted));
    assert!(parts.iter().any(|part| part.clip.as_ref().is_some_and(|clip| clip.value == Clip::LevelWithPoint)), "fibres clipped");
    assert!(bench.dressings.values().any(|dressing| dressing.silks.len() > 1), "two silks");
}

#[test]
fn every_part_is_drawn_and_nothing_is_to_be_mended() {
    let bench = demo();
    for card in cards(&bench) {
        assert!(card.advice.is_empty(), "{}: {:?}", card.dressing, card.advice);
        let puts = forms(&card);
        for (nth, part) in card.parts.iter().enumerate().filter(|(_, part)| part.way != Way::Coat) {
            let own = || puts.iter().filter(|put| put.part == Some(nth));
            assert!(own().next().is_some(), "{} {}: \"{}\" is not drawn", card.dressing, card.size, part.name);
            assert!(part.way == Way::Weight || own().any(|put| put.seen(DONE)), "{} {}: \"{}\" is not to be seen", card.dressing, card.size, part.name);
            assert!(own().all(|put| !put.open), "{}: \"{}\" has no length", card.dressing, part.name);
        }
    }
}

#[test]
fn every_order_plans_with_nothing_open_but_what_the_customer_sends() {
    let bench = demo();
    for order in bench.orders.values() {
        let plan = plan::work(order, &bench.dressings, &bench.shelf, &plan::Given::default()).unwrap_or_else(|faults| panic!("{faults:#?}"));
        let sent: Vec<&str> = order.customer_sends.iter().map(|told| told.value.as_str()).collect();
        let meant = |open: &String| sent.iter().any(|name| open.starts_with(name)) && open.contains("sent by the customer");
        assert!(plan.open.iter().all(meant), "{}: {:?}", order.name.value, plan.open);
        assert_eq!(plan.open.len(), sent.len(), "{}", order.name.value);
        assert!(plan.runs.iter().all(|run| run.hours.is_some()), "{}: every run has its hours", order.name.value);
    }
}
