//! Volumes and masses, closed forms against numerical integration.

use crate::rows::{agree, rows};
use herl::reckon::curve::{Curve, Piece};
use herl::reckon::profile::Segment;
use herl::reckon::solids::{bent_wire_length, drilled_sphere_height, drilled_sphere_volume, half_ellipse, mass, shell, wire_volume};

#[test]
fn bent_wire_and_rings() {
    for row in rows(include_str!("data/bent_wire.csv"), 6) {
        let figure = |column| row.figure(column);
        let length = bent_wire_length(figure("straight_mm"), figure("bend_radius_to_centreline_mm"), figure("arc_deg"), figure("point_mm"));
        agree(row.text("shape"), length, figure("centreline_mm"), 1e-12);
        let volume = wire_volume(length.unwrap(), figure("wire_d_mm"));
        agree(row.text("shape"), volume, figure("volume_mm3"), 1e-12);
        agree(row.text("shape"), mass(volume.unwrap(), 7.85), figure("mass_steel_7850_g"), 1e-12);
    }
}

/// The same wires as a line bent out of pieces, on which every hook that is not straight is laid.
#[test]
fn bent_lines() {
    for row in rows(include_str!("data/bent_wire.csv"), 6) {
        let figure = |column| row.figure(column);
        let turn = figure("arc_deg").to_radians();
        let pieces =
            vec![Piece::Straight(figure("straight_mm")), Piece::Arc(turn * figure("bend_radius_to_centreline_mm"), -turn), Piece::Straight(figure("point_mm"))];
        let line = Curve { start: [0.0, 0.0], heading: 0.3, pieces };
        agree(row.text("shape"), Some(line.length()), figure("centreline_mm"), 1e-12);
        // A ring comes back to where it began.
        if figure("arc_deg") == 360.0 {
            let end = line.at(line.length()).0;
            assert!(end[0].hypot(end[1]) < 1e-9, "{end:?}");
        }
    }
}

#[test]
fn drilled_spheres() {
    for row in rows(include_str!("data/drilled_sphere.csv"), 24) {
        let (diameter, hole) = (row.figure("D_mm"), row.figure("hole_mm"));
        agree("height", drilled_sphere_height(diameter, hole), row.figure("height_mm"), 1e-12);
        let volume = drilled_sphere_volume(diameter, hole);
        agree("volume", volume, row.figure("volume_mm3"), 1e-12);
        agree("mass", mass(volume.unwrap(), row.figure("rho_kg_m3") / 1000.0), row.figure("mass_g"), 1e-12);
    }
}

/// A frustum (diameters a to b, length c) or a tube (outside a, inside b, length c) round a straight hole.
#[test]
fn shells_round_a_straight_hole() {
    for row in rows(include_str!("data/frusta_and_tubes.csv"), 5) {
        let figure = |column| row.figure(column);
        let (start, end, hole) = match row.text("shape") {
            "tube" => (figure("a_mm"), figure("a_mm"), figure("b_mm")),
            _ => (figure("a_mm"), figure("b_mm"), figure("hole_mm")),
        };
        let core = [Segment { length: figure("c_mm"), r0: hole / 2.0, r1: hole / 2.0 }];
        agree(row.text("shape"), shell(&core, start / 2.0, end / 2.0), figure("volume_mm3"), 1e-10);
    }
}

/// The complete elliptic integral of the second kind E(m), m = k²: Abramowitz and Stegun, *Handbook of
/// Mathematical Functions*, table 17.1 (figures from memory, checked by the sum of chords in the module itself).
#[test]
fn half_an_ellipse_by_the_printed_table() {
    for (m, e) in [(0.0, std::f64::consts::FRAC_PI_2), (0.5, 1.350_643_881), (1.0, 1.0)] {
        let short: f64 = (1.0_f64 - m).sqrt();
        agree("E", half_ellipse(1.0, short), 2.0 * e, 1e-9);
        agree("E, axes the other way", half_ellipse(short, 1.0), 2.0 * e, 1e-9);
    }
}
