//! Charts of every shape of hook, from the file to the card: figures, places, reaches, and the paper.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

use crate::support::good_bench;
use herl::card::{self, Card};
use herl::diagnostic::Told;
use herl::dressing::{HookShape, Rides, Size};
use herl::why::{Origin, Standing};
use std::fs;

const HOOKS: &str = "
  shrimp-curve:
    shape: curved
    turn: 70 deg
    sizes:
      12: {gap: 4.6 mm, shank: 10.5 mm, hook-wire: 0.5 mm}
  pool-swimmer:
    shape: swimming
    sizes:
      12: {gap: 4.6 mm, shank: 14 mm, hook-wire: 0.5 mm}
  jig-sixty:
    shape: jig
    eye: straight
    figures: measured
    sizes:
      12: {gap: 4.6 mm, shank: 11 mm, hook-wire: 0.5 mm, front: 1.6 mm, angle: {is: 60 deg, figures: rule of thumb}}
  low-double:
    shape: double
    rides: point up
    sizes:
      12: {gap: 6 mm, shank: 14 mm, hook-wire: 0.6 mm}
  slim-tube:
    shape: tube
    density: 8.5 g/cm3
    sizes:
      25 mm: {overall: 25 mm, outside: 3.0 mm, inside: 2.2 mm}
      45 mm: {overall: 45 mm, outside: 3.4 mm, inside: 2.4 mm}
  long-shank:
    shape: bare shank
    sizes:
      25 mm: {shank: 25 mm, hook-wire: 0.9 mm, overall: 31 mm}
";

/// The card of a fly with a body and a wing that reaches behind the bend, on one of these charts.
fn work(chart: &str, size: &str) -> Card {
    with_text(chart, size).0
}

/// The same with the card as text.
fn with_text(chart: &str, size: &str) -> (Card, String) {
    let bench = good_bench();
    let file = bench.path().join("hooks.yaml");
    let hooks = fs::read_to_string(&file).unwrap() + HOOKS.trim_start_matches('\n');
    fs::write(&file, hooks).unwrap();
    let dressing = format!(
        "dressing: Test Fly\nkind: wet\nhook: {chart}\nsizes: {size}\nsilk: primrose, fine\nparts:\n  - part: body\n    of: olive dubbing\n    as: dubbed\n    \
         from: 4/5 shank behind the eye\n    to: 1/3 shank behind the eye\n    thick: 4 mm\n  - part: wing\n    of: blue dun cock\n    as: bunch\n    count: 12\n    \
         at: 1/4 shank behind the eye\n    reach: bend + 2 mm\n"
    );
    fs::write(bench.path().join("dressings").join("test-fly.yaml"), dressing).unwrap();
    let loaded = herl::bench::load(bench.path());
    assert!(loaded.findings.is_empty(), "{:#?}", loaded.findings);
    let dressing = &loaded.bench.dressings["test fly"];
    let size = Told::new(Size::read(size).unwrap(), dressing.name.at.clone());
    let card = card::work(dressing, &size, None, None, &loaded.bench.shelf).unwrap_or_else(|faults| panic!("{faults:#?}"));
    let text = herl::paper::card::text(&card, &loaded.bench.shelf);
    (card, text)
}

fn figure(card: &Card, key: &str) -> f64 {
    card.sheet.value(card.sheet.find(key).unwrap_or_else(|| panic!("no {key}")))
}

#[test]
fn a_reach_on_a_bent_shank_is_measured_straight_along_the_hook() {
    // Worked by hand: the chord from the eye to a quarter of an arc's length. The place lies at an angle of turn / 4 along
    // the arc; its height falls out, its run is R (sin(turn / 2) - sin(turn / 4)).
    let card = work("shrimp-curve", "12");
    let turn = 70.0_f64.to_radians();
    let radius = 10.5 / turn;
    let run = radius * ((turn / 2.0).sin() - (turn / 4.0).sin());
    let wing = figure(&card, "hook.bend") + 2.0 - run;
    assert!((figure(&card, "wing.length") - wing).abs() < 1e-9, "{} {wing}", figure(&card, "wing.length"));
    // A jig: its front climbs at 60 degrees, so half of it is run; then the shank is level.
    let card = work("jig-sixty", "12");
    let run = 0.8 + (11.0 / 4.0 - 1.6);
    assert!((figure(&card, "wing.length") - (figure(&card, "hook.bend") + 2.0 - run)).abs() < 1e-9);
    assert!((figure(&card, "hook.eye-forward") - 1.25 * 0.75).abs() < 1e-12);
}

#[test]
fn a_tube_weighs_what_its_walls_weigh_and_goes_between_two_sizes() {
    let card = work("slim-tube", "25 mm");
    // pi / 4 x (9 - 4.84) x 25 mm3 at 8.5 g/cm3, worked by hand.
    assert!((figure(&card, "hook.mass") - 0.694_292_2).abs() < 1e-6, "{}", figure(&card, "hook.mass"));
    assert_eq!((card.hook.gap.is_some(), card.hook.shape), (false, HookShape::Tube));
    assert_eq!(figure(&card, "hook.free-shank"), 22.0);
    // The first turns lie on its outside.
    let body = card.parts.iter().find(|part| part.name == "body").unwrap();
    assert!(card.sheet.value(body.beneath[0].across_from) >= 3.0);
    let between = work("slim-tube", "35 mm");
    assert_eq!(figure(&between, "hook.outside"), 3.2);
    assert_eq!(between.sheet.at(between.hook.wire).standing, Standing::Interpolated);
}

#[test]
fn angles_keep_their_standing_and_every_row_works_again() {
    for (chart, size) in
        [("shrimp-curve", "12"), ("pool-swimmer", "12"), ("jig-sixty", "12"), ("low-double", "12"), ("slim-tube", "30 mm"), ("long-shank", "25 mm")]
    {
        let (card, text) = with_text(chart, size);
        for (fig, key, row) in card.sheet.rows() {
            if let Origin::Worked { formula, inputs } = &row.origin {
                assert_eq!(card.sheet.again(fig), Some(row.value), "{chart}: {key}");
                assert!(card.sheet.units_fit(formula, inputs), "{chart}: the units of {key}");
            }
        }
        assert!(text.contains(card.hook.shape.word()), "{text}");
        let svg = herl::paper::svg::svg(&card, &|_, _, _| [80, 80, 80]);
        assert!(svg.contains("id=\"hook\"") && !svg.contains("NaN"), "{chart}");
    }
    let jig = work("jig-sixty", "12");
    assert_eq!(jig.hook.rides, Rides::PointUp);
    assert_eq!(jig.sheet.at(jig.hook.angle.unwrap()).standing, Standing::RuleOfThumb);
    assert_eq!(jig.sheet.at(jig.hook.front.unwrap()).standing, Standing::Measured);
    let swimmer = work("pool-swimmer", "12");
    assert_eq!(swimmer.sheet.at(swimmer.hook.angle.unwrap()).standing, Standing::RuleOfThumb);
    assert_eq!(work("low-double", "12").hook.rides, Rides::PointUp);
    assert!((figure(&work("long-shank", "25 mm"), "hook.rear-loop") - 3.75).abs() < 1e-12);
}
