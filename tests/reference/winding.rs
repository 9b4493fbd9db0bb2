//! Strands wound on cylinders, cones and stepped cores, against numerical integration of the arc length.

use crate::rows::{agree, rows};
use herl::reckon::profile::Segment;
use herl::reckon::winding::{arc, touching_turns, wound, wound_touching};
use serde_json::Value;

/// Against 40-digit quadrature by mpmath; the pitch there is along the axis.
#[test]
fn every_segment_is_as_long_as_its_integral() {
    for row in rows(include_str!("data/helix_segment.csv"), 50) {
        let figure = |column| row.figure(column);
        let turns = figure("length_mm") / figure("axial_pitch_mm");
        agree("turns", Some(turns), figure("turns"), 1e-12);
        let got = arc(figure("length_mm"), figure("r0_mm"), figure("r1_mm"), figure("thread_d_mm"), turns);
        agree(row.text("label"), got, figure("arc_mm_mpmath"), 1e-6);
        // The formula is exact, so that it does far better than it is asked to.
        agree(row.text("label"), got, figure("arc_mm_mpmath"), 1e-12);
    }
}

fn composite(part: &str, count: usize) -> Vec<Value> {
    let file: Value = serde_json::from_str(include_str!("data/helix_composite.json")).unwrap();
    assert!(file["source"].as_str().is_some_and(|source| !source.is_empty()), "the file names no source");
    let cases = file[part].as_array().unwrap().clone();
    assert_eq!(cases.len(), count, "cases read");
    cases
}

fn figure(case: &Value, key: &str) -> f64 {
    case[key].as_f64().unwrap_or_else(|| panic!("{key} is no figure"))
}

#[test]
fn a_strand_over_a_stepped_core_is_the_sum_of_its_segments() {
    for case in composite("piecewise", 4) {
        let profile: Vec<Segment> = case["segments_r0_r1_len_mm"]
            .as_array()
            .unwrap()
            .iter()
            .map(|s| Segment { r0: s[0].as_f64().unwrap(), r1: s[1].as_f64().unwrap(), length: s[2].as_f64().unwrap() })
            .collect();
        let label = case["label"].as_str().unwrap();
        let length: f64 = profile.iter().map(|segment| segment.length).sum();
        let turns = length / figure(&case, "pitch_mm");
        agree(label, Some(turns), figure(&case, "turns"), 1e-12);
        agree(label, wound(&profile, figure(&case, "thread_d_mm"), turns), figure(&case, "arc_mm"), 1e-6);
    }
}

/// Layers one on another without sinking into the grooves ("square"), each a cylinder of touching turns.
#[test]
fn layers_of_touching_turns_grow_by_the_strand() {
    for case in composite("layers", 5) {
        let strand = figure(&case, "thread_d_mm");
        let layers = case["layers"].as_u64().unwrap() as u32;
        let mut length = 0.0;
        for layer in 0..layers {
            let radius = figure(&case, "core_r_mm") + f64::from(layer) * strand;
            let core = [Segment { length: figure(&case, "length_mm"), r0: radius, r1: radius }];
            let got = wound_touching(&core, strand, strand).unwrap();
            assert_eq!(Some(got.turns), touching_turns(core[0].length, radius, radius, strand));
            length += got.length;
        }
        agree("layers", Some(length), figure(&case, "arc_square_packing_mm"), 1e-6);
        let outside = figure(&case, "core_r_mm") + f64::from(layers) * strand;
        agree("outside", Some(outside), figure(&case, "outer_r_square_mm"), 1e-12);
    }
}

/// Found the other way about by a root search: this much wire covers this much of the core.
#[test]
fn a_given_length_of_wire_covers_what_it_should() {
    for case in composite("inverse", 5) {
        let (start, covered) = (figure(&case, "r0_mm"), figure(&case, "covered_axial_mm"));
        let end = start + figure(&case, "slope_dr_dx") * covered;
        let got = arc(covered, start, end, figure(&case, "wire_d_mm"), figure(&case, "turns"));
        agree("wire", got, figure(&case, "wire_length_mm"), 1e-6);
    }
}

/// On a slope the strand's width is measured along the slope: turns = hypot(length, rise) / width. Worked
/// here with whole numbers: a 3-4-5 triangle, five widths of 1 mm along the slope.
#[test]
fn touching_turns_are_counted_along_the_slope() {
    let cone = [Segment { length: 3.0, r0: 1.0, r1: 5.0 }];
    let got = wound_touching(&cone, 1.0, 1.0).unwrap();
    assert_eq!(got.turns, 5.0);
    assert_eq!(Some(got.length), arc(3.0, 1.0, 5.0, 1.0, 5.0));
}
