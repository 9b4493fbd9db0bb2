use super::*;
use crate::card::hook::path;
use crate::card::hook_line::{Backbone, drawn};
use crate::card::sample;
use crate::dressing::{HookMeasure, HookShape};
use crate::why::{Geometry, Standing};
use proptest::prelude::*;

/// The measures of a hook whose chart gives these figures; `None` where they do not go together. With them the sheet.
fn worked(shape: HookShape, figures: &[(HookMeasure, f64)]) -> Option<(Measures, Geometry)> {
    let mut card = sample::dry();
    (card.sheet, card.hook) = sample::hook_of(shape, figures)?;
    Some((Measures::of(&card), card.sheet))
}

fn all(gap: f64, shank: f64, wire: f64) -> Vec<(HookShape, Vec<(HookMeasure, f64)>)> {
    use HookMeasure::{Gap, HookWire, Inside, Outside, Overall, Shank};
    let with_bend = vec![(Gap, gap), (Shank, shank), (HookWire, wire)];
    let mut all: Vec<_> = [HookShape::Straight, HookShape::Curved, HookShape::Swimming, HookShape::Jig, HookShape::Double]
        .into_iter()
        .map(|shape| (shape, with_bend.clone()))
        .collect();
    all.push((HookShape::Tube, vec![(Overall, shank + 3.0), (Outside, 1.0 + wire), (Inside, wire)]));
    all.push((HookShape::BareShank, vec![(Shank, shank), (HookWire, wire)]));
    all.push((HookShape::BareShank, vec![(Shank, shank), (HookWire, wire), (Overall, shank + 6.0 * wire)]));
    all
}

fn reach(points: &[P2]) -> (f64, f64) {
    points.iter().fold((f64::MAX, f64::MIN), |(low, high), p| (low.min(p[0]), high.max(p[0])))
}

fn figure(sheet: &Geometry, key: &str) -> f64 {
    sheet.value(sheet.find(key).unwrap_or_else(|| panic!("{key}")))
}

#[test]
fn the_outline_reaches_from_the_front_of_the_eye_to_the_outside_of_the_bend() {
    for (shape, figures) in all(5.0, 10.0, 0.45) {
        let (hook, sheet) = worked(shape, &figures).unwrap();
        let (front, rear) = reach(&hook.outline().edge);
        let told = figure(&sheet, "hook.overall");
        assert!((rear - front - told).abs() < 1e-9, "{shape:?}: {front} to {rear}, overall {told}");
        if shape != HookShape::Tube {
            assert!((rear - figure(&sheet, "hook.bend")).abs() < 1e-9, "{shape:?}: the rearmost at {rear}");
        }
    }
}

#[test]
fn a_stated_overall_length_is_kept() {
    use HookMeasure::{Gap, HookWire, Overall, Shank, Turn};
    for (shape, turn) in [(HookShape::Curved, 75.0), (HookShape::Swimming, 35.0)] {
        let figures = [(Gap, 4.4), (Shank, 9.0), (HookWire, 0.5), (Overall, 12.4), (Turn, turn)];
        let (hook, sheet) = worked(shape, &figures).unwrap();
        let (front, rear) = reach(&hook.outline().edge);
        assert!((rear - front - 12.4).abs() < 1e-9 && figure(&sheet, "hook.overall") == 12.4, "{shape:?}: {}", rear - front);
    }
    let (hook, _) = worked(HookShape::Jig, &[(Gap, 4.4), (Shank, 9.0), (HookWire, 0.5), (Overall, 11.5)]).unwrap();
    let (front, rear) = reach(&hook.outline().edge);
    assert!((rear - front - 11.5).abs() < 1e-9);
}

#[test]
fn the_point_lies_a_gap_from_the_shank_square_to_it() {
    for (shape, figures) in all(5.0, 10.0, 0.45).into_iter().filter(|(shape, _)| shape.has_bend()) {
        let (hook, _) = worked(shape, &figures).unwrap();
        // Where the point drops on to the shank, half the wire and the gap away from its middle.
        let (on_shank, heading) = hook.wire_line().at(hook.point);
        let down = hook.wire / 2.0 + hook.gap;
        let wanted = [on_shank[0] + down * heading.sin(), on_shank[1] - down * heading.cos()];
        let found = hook.bare_edge().into_iter().any(|p| (p[0] - wanted[0]).hypot(p[1] - wanted[1]) < 1e-9);
        assert!(found, "{shape:?}: no point at {wanted:?}");
    }
}

#[test]
fn places_run_along_the_wire() {
    for (shape, figures) in all(5.0, 10.0, 0.45) {
        let (hook, sheet) = worked(shape, &figures).unwrap();
        let line = hook.backbone();
        let told = if shape.has_bend() { figure(&sheet, "hook.bend-end") + hook.limb } else { hook.shank };
        assert!((line.length() - told).abs() < 0.02, "{shape:?}: {} drawn, {told} told", line.length());
        assert_runs_along(&line, &hook);
        let wire = figure(&sheet, "hook.overall");
        assert!(wire.is_finite());
        if shape.has_bend() {
            let rings = std::f64::consts::PI * (hook.eye - hook.wire);
            let wires = if shape == HookShape::Double { 2.0 } else { 1.0 };
            assert!((figure(&sheet, "hook.wire-length") - rings - wires * line.length()).abs() < 0.04, "{shape:?}");
            // The rearmost along the wire is where the line turns back.
            let (rearmost, _) = line.at(figure(&sheet, "hook.bend-along-wire"));
            assert!((rearmost[0] - (figure(&sheet, "hook.bend") - hook.wire / 2.0)).abs() < 0.02, "{shape:?}: {rearmost:?}");
        }
    }
}

fn assert_runs_along(line: &Backbone, hook: &Measures) {
    for share in [0.1, 0.35, 0.6, 0.85] {
        let s = share * line.length();
        let (flat, exact) = (line.at(s).0, hook.wire_line().at(s).0);
        assert!((flat[0] - exact[0]).hypot(flat[1] - exact[1]) < 0.04, "{:?} at {s}: {flat:?} {exact:?}", hook.shape);
    }
}

#[test]
fn a_double_is_wound_over_both_its_wires() {
    let (hook, sheet) = worked(HookShape::Double, &all(5.0, 10.0, 0.45)[4].1).unwrap();
    // Two circles of diameter 1 side by side: a band about them is 2 + pi long.
    assert!((hook.across - 0.45 * (2.0 + std::f64::consts::PI) / std::f64::consts::PI).abs() < 1e-12);
    assert!(figure(&sheet, "hook.mass") > 1.8 * figure(&worked(HookShape::Straight, &all(5.0, 10.0, 0.45)[0].1).unwrap().1, "hook.mass"));
}

#[test]
fn a_straight_shank_is_the_bent_one_that_does_not_turn() {
    let straight = path::straight(10.0, 2.0, 2.7, 2.5);
    let curved = path::curved(10.0, 1e-9, 2.0, 2.7, 2.5);
    for s in [0.0, 4.0, 10.0, 12.0, 16.0] {
        let (a, b) = (straight.at(s).0, curved.at(s).0);
        assert!((a[0] - b[0]).hypot(a[1] - b[1]) < 1e-6, "{a:?} {b:?}");
    }
}

#[test]
fn a_slip_of_the_pen_is_drawn_no_larger_than_a_metre() {
    let mut sheet = Geometry::new();
    let huge = sheet.given("huge", 1e12, crate::measure::Unit::Mm, Standing::Stated, "a test");
    assert_eq!(drawn(&sheet, huge), 1000.0);
}

proptest! {
    #[test]
    fn any_hook_has_a_finite_outline_of_its_own_length(
        share in 0.15..0.7_f64, shank in 1.0..80.0_f64, wire in 0.1..2.0_f64, angle in 1.0..119.0_f64, turn in 0..3_usize
    ) {
        for (shape, mut figures) in all(share * shank, shank, wire) {
            figures.extend(shape.allows().iter().filter(|measure| measure.unit() == crate::measure::Unit::Degree).map(|measure| (*measure, if *measure == HookMeasure::Angle { angle * 0.75 } else { angle })));
            let Some((mut hook, sheet)) = worked(shape, &figures) else { continue };
            hook.turn = [EyeTurn::Down, EyeTurn::Straight, EyeTurn::Up][turn];
            let outline = hook.outline();
            prop_assert!(outline.edge.iter().chain(outline.holes.iter().flatten()).flatten().all(|v| v.is_finite()), "{:?}", shape);
            let (front, rear) = reach(&outline.edge);
            prop_assert!((rear - front - figure(&sheet, "hook.overall")).abs() < 1e-6, "{:?}: {} {}", shape, front, rear);
        }
    }

    #[test]
    fn measures_of_any_kind_give_finite_marks(
        figures in prop::collection::vec(0.0..60.0_f64, 10), shape in 0..7_usize
    ) {
        let mut hook = worked(HookShape::Straight, &all(5.0, 10.0, 0.45)[0].1).unwrap().0;
        hook.shape = HookShape::ALL[shape].1;
        let [gap, shank, wire, eye, barb, point, front, angle, along, across] = figures.as_slice() else { return Ok(()) };
        hook = Measures { gap: *gap, shank: *shank, wire: wire.max(1e-3), eye: *eye, barb: *barb, point: *point, front: front.min(*shank),
            angle: (angle * 2.0).to_radians(), axes: [along.max(1e-3), across.max(1e-3)], limb: (shank - point).max(0.0), ..hook };
        let outline = hook.outline();
        prop_assert!(outline.edge.iter().flatten().all(|v| v.is_finite()));
        prop_assert!(hook.backbone().line.iter().flatten().all(|v| v.is_finite()));
        prop_assert!(hook.rings().iter().flat_map(|(ring, _)| ring).flatten().all(|v| v.is_finite()));
    }
}
