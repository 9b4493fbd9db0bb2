use super::*;
use crate::card::figure::{View, extents, figure};
use crate::card::form::DONE;
use crate::card::sample;
use crate::card::{Card, WorkedPart};
use crate::measure::Unit;
use crate::why::Standing;

/// A figure of seven signs on a drawing of some eighty columns, mm.
const LABEL: P2 = [2.8, 0.8];

/// A sample's card, with the way of each part along the hook and beyond it, as the working of a card sets it.
fn card(name: &str) -> Card {
    let mut card = sample::all().into_iter().find(|(other, _)| *other == name).unwrap().1;
    let spans: Vec<(String, f64)> =
        card.parts.iter().filter_map(|part| part.span.map(|(from, to)| (part.name.clone(), (card.sheet.value(from) - card.sheet.value(to)).abs()))).collect();
    for (name, way) in spans {
        card.sheet.given(format!("{name}.span"), way, Unit::Mm, Standing::Stated, "a sample");
    }
    let ends = |part: &WorkedPart| Some((part.beyond.first()?.from, part.beyond.last()?.to));
    let beyond: Vec<(String, f64)> =
        card.parts.iter().filter_map(|part| ends(part).map(|(from, to)| (part.name.clone(), card.sheet.value(to) - card.sheet.value(from)))).collect();
    for (name, way) in beyond {
        card.sheet.given(format!("{name}.beyond"), way, Unit::Mm, Standing::Stated, "a sample");
    }
    card
}

fn of(card: &Card, name: &str) -> Option<Dimension> {
    let nth = card.parts.iter().position(|part| part.name == name).unwrap();
    let marks = figure(card, View::Side, DONE);
    dimension(&marks, &card.sheet, nth, extents(&marks).unwrap(), LABEL)
}

#[test]
fn the_line_is_as_long_as_the_cards_figure() {
    // A tail's length, a hackle's fibre, a body's and a rib's way along the hook, a bead's diameter, a wing case.
    for (fly, part, wanted) in [
        ("dry", "tail", 10.0),
        ("dry", "hackle", 7.5),
        ("dry", "body", 9.0 - 3.3),
        ("dry", "rib", 9.0 - 3.3),
        ("nymph", "bead", 2.4),
        ("nymph", "tail", 4.5),
        ("nymph", "thorax", 5.0 - 2.4),
        ("nymph", "wing case", 5.0 - 2.4),
        ("wet", "wing", 13.5),
        ("detached", "body", 9.0),
    ] {
        let card = card(fly);
        let found = of(&card, part).unwrap_or_else(|| panic!("{fly}: no length of its {part}"));
        assert!((card.sheet.value(found.fig) - wanted).abs() < 1e-9, "{fly} {part} tells {}", card.sheet.value(found.fig));
        assert!((way(&found.of) - wanted).abs() < 0.02, "{fly} {part} runs over {}", way(&found.of));
        assert!(found.is_true, "{fly} {part}");
        // On a straight hook the line beside it is as long; its ends stand square over the ends of what it measures.
        assert!((way(&found.line) - wanted).abs() < 0.02, "{fly} {part}: {}", way(&found.line));
        for (end, on_line) in [(found.of.first(), found.line.first()), (found.of.last(), found.line.last())] {
            let (end, on_line) = (end.unwrap(), on_line.unwrap());
            let off = [on_line[0] - end[0], on_line[1] - end[1]];
            let along = [found.of[1][0] - found.of[0][0], found.of[1][1] - found.of[0][1]];
            assert!((off[0] * along[0] + off[1] * along[1]).abs() < 1e-6, "{fly} {part}: {off:?} is not square to {along:?}");
        }
    }
}

#[test]
fn round_a_bent_shank_a_body_is_measured_along_the_wire() {
    let card = card("shrimp");
    let nth = card.parts.iter().position(|part| part.span.is_some()).unwrap();
    let name = card.parts[nth].name.clone();
    let found = of(&card, &name).unwrap();
    let (from, to) = card.parts[nth].span.unwrap();
    let wanted = (card.sheet.value(from) - card.sheet.value(to)).abs();
    assert!((way(&found.of) - wanted).abs() < 0.03 && (card.sheet.value(found.fig) - wanted).abs() < 1e-9, "{name}: {} for {wanted}", way(&found.of));
    assert!(found.of.len() > 2, "and bends with it");
}

#[test]
fn a_wing_that_points_at_the_one_who_looks_says_that_it_is_not_in_its_true_length() {
    let found = of(&card("spinner"), "wing").unwrap();
    assert!(!found.is_true && way(&found.of) < 4.0);
    assert!(of(&card("spinner"), "body").unwrap().is_true);
}

#[test]
fn the_line_covers_nothing_of_the_fly_where_there_is_room() {
    // The body before the hackle stands over it.
    for (fly, part, done) in
        [("dry", "tail", DONE), ("dry", "wing", DONE), ("dry", "body", 3), ("nymph", "tail", DONE), ("wet", "wing", DONE), ("spinner", "tail", DONE)]
    {
        let card = card(fly);
        let nth = card.parts.iter().position(|other| other.name == part).unwrap();
        let marks = figure(&card, View::Side, done);
        // As much room about it as a wide screen has.
        let (low, high) = extents(&marks).unwrap();
        let corners = ([low[0] - 3.0, low[1] - 3.0], [high[0] + 3.0, high[1] + 3.0]);
        let found = dimension(&marks, &card.sheet, nth, corners, LABEL).unwrap();
        let room = Room::of(&marks, corners).unwrap();
        let covered = covered(&room, &found.line);
        assert!(covered < 0.06, "{fly} {part}: {covered} of the line lies over the fly");
        let hidden = hides(&room, found.label, LABEL);
        assert!(hidden < 0.02, "{fly} {part}: {hidden} of the figure lies over the fly");
        for point in &found.line {
            assert!((0..2).all(|axis| point[axis] >= corners.0[axis] && point[axis] <= corners.1[axis]), "{fly} {part}: {point:?} beyond the drawing");
        }
    }
}

#[test]
fn what_has_no_length_on_the_card_is_not_measured() {
    let mut card = card("dry");
    let nth = card.parts.iter().position(|part| part.name == "tail").unwrap();
    card.parts[nth].length = None;
    assert_eq!(of(&card, "tail"), None);
    // Tied in and not yet wound, a rib has its length on the hook still before it.
    let rib = card.parts.iter().position(|part| part.name == "rib").unwrap();
    let marks = figure(&card, View::Side, 2);
    assert_eq!(dimension(&marks, &card.sheet, rib, extents(&marks).unwrap(), LABEL), None);
}
