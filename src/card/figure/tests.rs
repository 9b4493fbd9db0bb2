use super::*;
use crate::card::form::DONE;
use crate::card::sample;
use crate::card::{Card, WorkedPart};
use proptest::prelude::*;

/// The lines of a part, and the place it has on the card.
fn lines<'m>(card: &Card, marks: &'m [Mark], name: &str) -> Vec<&'m [P2]> {
    let nth = card.parts.iter().position(|part| part.name == name).unwrap();
    let of_part = marks.iter().filter(|mark| mark.part == Some(nth));
    of_part.filter_map(|mark| if let Shape::Line(points, _) = &mark.shape { Some(points.as_slice()) } else { None }).collect()
}

fn part<'c>(card: &'c Card, name: &str) -> &'c WorkedPart {
    card.parts.iter().find(|part| part.name == name).unwrap()
}

fn side(name: &str) -> (Card, Vec<Mark>) {
    view(name, View::Side)
}

fn view(name: &str, view: View) -> (Card, Vec<Mark>) {
    let card = sample::all().into_iter().find(|(other, _)| *other == name).unwrap().1;
    let marks = figure(&card, view, DONE);
    (card, marks)
}

#[test]
fn split_tails_stand_apart_by_their_degrees() {
    let (card, marks) = view("spinner", View::Below);
    let angles = lines(&card, &marks, "tail").into_iter().map(|line| (line[1][1] - line[0][1]).atan2(line[1][0] - line[0][0]).to_degrees());
    let (low, high) = angles.fold((f64::MAX, f64::MIN), |(low, high), angle| (low.min(angle), high.max(angle)));
    // Fibres of one half lie within two degrees of each other.
    assert!((high - low - 45.0).abs() < 4.0, "{low} to {high}");
}

#[test]
fn spent_wings_lie_out_to_both_sides_by_their_length() {
    let (card, marks) = view("spinner", View::Below);
    let tips = lines(&card, &marks, "wing").into_iter().map(|line| line[1][1]);
    let (low, high) = tips.fold((f64::MAX, f64::MIN), |(low, high), out| (low.min(out), high.max(out)));
    assert!((high - 9.0).abs() < 0.05 && (low + high).abs() < 0.01, "{low} {high}");
}

#[test]
fn every_turn_round_a_post_is_drawn_flat_above_the_hook() {
    let (card, marks) = side("parachute");
    let fibres = lines(&card, &marks, "hackle");
    let mut heights: Vec<f64> = fibres.iter().map(|line| (line[0][1] * 1e3).round()).collect();
    heights.sort_by(f64::total_cmp);
    assert!(fibres.len() >= 5 * 8, "{} fibres", fibres.len());
    for line in fibres {
        let (run, rise) = ((line[1][0] - line[0][0]).abs(), (line[1][1] - line[0][1]).abs());
        assert!(line[0][1] > 0.5, "a stem below the body: {line:?}");
        assert!(rise < 0.7 * run, "a fibre that stands: {line:?}");
    }
    // From below all stems lie round the post, and their tips a fibre away.
    let (card, marks) = view("parachute", View::Below);
    let fibre = card.sheet.value(part(&card, "hackle").fibre.unwrap());
    let foot = card.sheet.value(part(&card, "post").tied_in.unwrap());
    let far = lines(&card, &marks, "hackle").into_iter().map(|line| (line[1][0] - foot).hypot(line[1][1])).fold(0.0, f64::max);
    assert!((far - fibre - 0.6).abs() < 0.15, "{far}");
}

#[test]
fn the_wheel_round_a_post_is_even_whatever_its_turns() {
    for name in ["parachute", "emerger"] {
        let (card, marks) = view(name, View::Below);
        let mut angles: Vec<f64> =
            lines(&card, &marks, "hackle").into_iter().map(|line| (line[1][1] - line[0][1]).atan2(line[1][0] - line[0][0]).to_degrees()).collect();
        angles.sort_by(f64::total_cmp);
        let widest = angles.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
        let even = 360.0 / angles.len() as f64;
        assert!(widest < 2.5 * even, "{name}: {widest} where {even} is even");
    }
}

#[test]
fn six_knotted_legs_stand_apart_and_bend_down() {
    let mut card = sample::all().into_iter().find(|(name, _)| *name == "hopper").unwrap().1;
    let nth = card.parts.iter().position(|part| part.name == "legs").unwrap();
    card.parts[nth].count = Some(card.sheet.given("six", 6.0, crate::measure::Unit::One, crate::why::Standing::Stated, "a test"));
    let marks = figure(&card, View::Side, DONE);
    let legs = lines(&card, &marks, "legs");
    assert_eq!(legs.len(), 6);
    let (fore, aft) = legs.iter().map(|leg| leg[2][0] - leg[0][0]).fold((f64::MAX, f64::MIN), |(low, high), foot| (low.min(foot), high.max(foot)));
    assert!(fore < -2.0 && aft > 2.0, "{fore} {aft}");
    for leg in legs {
        assert!(leg[1][1] > leg[2][1] && leg[2][1] < leg[0][1], "the knee stands above the foot, and the foot hangs: {leg:?}");
    }
}

#[test]
fn as_many_turns_of_rib_are_drawn_as_the_card_tells() {
    for name in ["dry", "shrimp", "jig", "emerger", "swimming", "tube"] {
        let (card, marks) = side(name);
        let turns = card.sheet.value(part(&card, "rib").turns.unwrap());
        assert_eq!(lines(&card, &marks, "rib").len(), turns as usize, "{name}");
    }
}

#[test]
fn a_tail_tip_lies_where_it_reaches() {
    let mut make = sample::Maker::on(
        "Reach",
        "nymph",
        crate::dressing::HookShape::Curved,
        &[(crate::dressing::HookMeasure::Gap, 4.6), (crate::dressing::HookMeasure::Shank, 11.0), (crate::dressing::HookMeasure::HookWire, 0.5)],
    );
    let hook = Measures::of(&make.card);
    let (s, tip) = (10.0, make.card.sheet.value(make.card.hook.bend) + 3.0);
    make.card.sheet.given("tail.tip", tip, crate::measure::Unit::Mm, crate::why::Standing::Stated, "a test");
    make.add("tail", crate::dressing::Way::Bunch, s, |make, part| {
        part.length = Some(make.mm(tip - hook.straight_to(s)));
        part.count = Some(make.one(5.0));
    });
    let marks = figure(&make.card, View::Side, DONE);
    let found = lines(&make.card, &marks, "tail").into_iter().map(|line| line[1][0]).fold(f64::MIN, f64::max);
    // The tie lies half a wire off the line, so a curved shank moves it along by less than that.
    assert!((found - tip).abs() < 0.2, "{found} for {tip}");
}

#[test]
fn a_hook_that_rides_point_up_is_turned_over() {
    let (mut card, up) = side("point-up");
    card.hook.rides = Rides::PointDown;
    let down = figure(&card, View::Side, DONE);
    let ends = |marks: &[Mark]| extents(marks).unwrap();
    let ((low, high), (low_down, high_down)) = (ends(&up), ends(&down));
    assert!((low[1] + high_down[1]).abs() < 1e-9 && (high[1] + low_down[1]).abs() < 1e-9);
}

#[test]
fn clipped_fibres_end_where_they_are_clipped() {
    let (card, marks) = side("shrimp");
    let hook = Measures::of(&card);
    let line = hook.backbone();
    let floor = line.at(line.length()).0[1] + hook.wire / 2.0;
    let lowest = lines(&card, &marks, "legs").into_iter().flatten().map(|point| point[1]).fold(f64::MAX, f64::min);
    assert!(lowest >= floor - 1e-9, "{lowest} below {floor}");
    let (card, marks) = side("burnt");
    let lowest = lines(&card, &marks, "hackle").into_iter().flatten().map(|point| point[1]).fold(f64::MAX, f64::min);
    assert!(lowest > -1.5, "hackle {lowest} below a fly that is clipped beneath");
    let _ = card;
}

#[test]
fn a_body_beyond_the_hook_is_as_long_as_told_and_its_tail_stands_at_its_end() {
    let (card, marks) = side("detached");
    let nth = card.parts.iter().position(|part| part.name == "body").unwrap();
    let body = marks.iter().find_map(|mark| match &mark.shape {
        Shape::Area(points) if mark.part == Some(nth) => Some(points.clone()),
        _ => None,
    });
    let start = Measures::of(&card).backbone().at(7.0).0;
    let far = body.unwrap().into_iter().map(|p| (p[0] - start[0]).hypot(p[1] - start[1])).fold(0.0, f64::max);
    assert!((far - 9.0).abs() < 0.2, "{far}");
    let tail = lines(&card, &marks, "tail").into_iter().map(|line| (line[0][0] - start[0]).hypot(line[0][1] - start[1]));
    assert!(tail.into_iter().all(|off| (off - 9.0).abs() < 0.1));
}

#[test]
fn married_slips_and_bodies_in_turn_show_each_material() {
    let (card, marks) = side("married");
    for (name, count) in [("wing", 4), ("body", 3)] {
        let nth = card.parts.iter().position(|part| part.name == name).unwrap();
        let mut pieces: Vec<usize> =
            marks.iter().filter(|mark| mark.part == Some(nth) && matches!(mark.shape, Shape::Area(_))).map(|mark| mark.piece).collect();
        pieces.sort_unstable();
        pieces.dedup();
        assert_eq!(pieces, (0..count).collect::<Vec<_>>(), "{name}");
    }
}

#[test]
fn what_has_no_length_yet_is_dotted() {
    let (card, marks) = side("open");
    for name in ["tail", "wing", "hackle"] {
        let nth = card.parts.iter().position(|part| part.name == name).unwrap();
        let mut own = marks.iter().filter(|mark| mark.part == Some(nth)).peekable();
        assert!(own.peek().is_some(), "{name} is drawn");
        assert!(own.all(|mark| mark.tone == Tone::Dotted), "{name} is dotted");
    }
    assert!(marks.iter().any(|mark| mark.tone == Tone::Soft), "the body has its length");
}

#[test]
fn under_a_case_nothing_stands_up() {
    let (card, marks) = side("shrimp");
    let line = Measures::of(&card).backbone();
    for fibre in lines(&card, &marks, "legs") {
        let middle = line.at(6.0).0;
        assert!(fibre[1][1] < middle[1] + 0.5, "{fibre:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn every_sample_is_finite_at_any_step(done in 0..12_usize, below in any::<bool>()) {
        for (name, card) in sample::all() {
            let marks = figure(&card, if below { View::Below } else { View::Side }, done);
            prop_assert!(!marks.is_empty(), "{}", name);
            let (low, high) = extents(&marks).unwrap();
            prop_assert!(low.iter().chain(&high).all(|v| v.is_finite() && v.abs() < 200.0), "{} {:?} {:?}", name, low, high);
        }
    }

    #[test]
    fn any_figures_of_parts_are_drawn_without_panic(length in 0.0..2000.0_f64, turns in 0.0..900.0_f64, degrees in 0..400_u16, at in -5.0..60.0_f64, way in 0..13_usize, bits in any::<u16>()) {
        for shape in crate::dressing::HookShape::ALL.iter().map(|(_, shape)| *shape).filter(|shape| shape.has_bend()) {
            use crate::dressing::HookMeasure::{Gap, HookWire, Shank};
            let mut make = sample::Maker::on("Any", "wet", shape, &[(Gap, 5.0), (Shank, 12.0), (HookWire, 0.5)]);
            let way = crate::dressing::Way::ALL[way].1;
            make.add("any", way, at, |make, part| {
                let bit = |nth: u32| bits & (1 << nth) != 0;
                part.length = bit(0).then(|| make.mm(length));
                part.fibre = bit(1).then(|| make.mm(length));
                part.turns = bit(2).then(|| make.one(turns));
                part.span = bit(3).then(|| (make.mm(at), make.mm(length / 7.0)));
                part.count = bit(4).then(|| make.one(turns));
                part.width = bit(5).then(|| make.mm(length / 50.0));
                part.shape.split_degrees = bit(6).then_some(degrees);
                part.shape.knotted = bit(7);
                part.shape.looped = bit(8);
                part.shape.spent = bit(9);
                part.shape.cut = bit(10);
                part.clip = match bits >> 14 {
                    0 => None,
                    1 => Some(crate::card::Clipped::To(make.mm(length / 9.0))),
                    2 => Some(crate::card::Clipped::Beneath),
                    _ => Some(crate::card::Clipped::LevelWithPoint),
                };
                part.on = if bit(12) { crate::dressing::Base::Post("any".to_owned()) } else { crate::dressing::Base::Hook };
                if bit(13) {
                    part.beyond = make.stretches(&[[at, 0.6], [at + length + 0.1, 0.6]]);
                }
            });
            for view in [View::Side, View::Below] {
                let marks = figure(&make.card, view, DONE);
                prop_assert!(extents(&marks).is_some_and(|(low, high)| low.iter().chain(&high).all(|v| v.is_finite())));
            }
        }
    }
}
