//! Formulas of hooks that are not straight.

use super::path;
use crate::card::formulas::formula;
use crate::reckon::{curve, solids};
use std::f64::consts::PI;

const BENT: &str = "geometry: an arc of a circle with its chord level, then half an ellipse";
const CORNER: &str = "geometry: two straight stretches, then half an ellipse";

formula! { INTERPOLATE_ANGLE: "larger's + (smaller's - larger's) x (rank - larger's rank) / (smaller's rank - larger's rank)", [Degree, Degree, One, One, One] then [] gives Degree,
"straight line between two sizes of the chart",
|x| match x { [larger, smaller, rank_larger, rank_smaller, rank] => Some(larger + (smaller - larger) * (rank - rank_larger) / (rank_smaller - rank_larger)), _ => None } }

formula! { SLOPE_DOWN: "turn / 2", [Degree] then [] gives Degree, "geometry: the chord of the shank lies level", |x| x.first().map(|turn| turn / 2.0) }
formula! { SLOPE_UP: "-turn / 2", [Degree] then [] gives Degree, "geometry: the chord of the shank lies level", |x| x.first().map(|turn| -turn / 2.0) }
formula! { EYE_FORWARD: "eye x (1 + cos slope) / 2", [Mm, Degree] then [] gives Mm, "geometry: a ring that stands in line with the wire at its front",
|x| match x { [eye, slope] => Some(eye * (1.0 + slope.to_radians().cos()) / 2.0), _ => None } }
formula! { CHORD: "shank x sin(turn / 2) / (turn / 2)", [Mm, Degree] then [] gives Mm, "geometry: chord of an arc",
|x| match x { [shank, turn] => { let half = turn.to_radians() / 2.0; Some(shank * half.sin() / half) } _ => None } }
formula! { CORNERED: "front x cos angle + (shank - front)", [Mm, Mm, Degree] then [] gives Mm, CORNER,
|x| match x { [shank, front, angle] => Some(front * angle.to_radians().cos() + (shank - front)), _ => None } }

formula! { LIMB_INSIDE: "(radius - gap - wire / 2) x sin((shank - point) / radius), radius = shank / turn", [Mm, Mm, Mm, Mm, Degree] then [] gives Mm,
"geometry: the point lies a gap from the shank, square to it", |x| point(x, 1.0).map(|[limb, _]| limb) }
formula! { LIMB_OUTSIDE: "(radius + gap + wire / 2) x sin((shank - point) / radius), radius = shank / turn", [Mm, Mm, Mm, Mm, Degree] then [] gives Mm,
"geometry: the point lies a gap from the shank, square to it", |x| point(x, -1.0).map(|[limb, _]| limb) }
formula! { ACROSS_INSIDE: "(radius x (1 - cos(drop)) + (gap + wire / 2) x cos(drop) + wire / 2) / 2, radius = shank / turn, drop = (shank - point) / radius", [Mm, Mm, Mm, Mm, Degree] then [] gives Mm,
"geometry: half of how far the lower limb lies from the line the shank ends in", |x| point(x, 1.0).map(|[_, across]| across) }
formula! { ACROSS_OUTSIDE: "((gap + wire / 2) x cos(drop) + wire / 2 - radius x (1 - cos(drop))) / 2, radius = shank / turn, drop = (shank - point) / radius", [Mm, Mm, Mm, Mm, Degree] then [] gives Mm,
"geometry: half of how far the lower limb lies from the line the shank ends in", |x| point(x, -1.0).map(|[_, across]| across) }
formula! { ACROSS_LEVEL: "(gap + wire) / 2", [Mm, Mm] then [] gives Mm, "geometry: from middle to middle of the wire, halved",
|x| match x { [gap, wire] => Some((gap + wire) / 2.0), _ => None } }

formula! { REAR: "shank's end - across x sin slope + root((along x cos slope)^2 + (across x sin slope)^2) + wire / 2", [Mm, Mm, Mm, Mm, Degree] then [] gives Mm, BENT,
|x| match x {
    [end, wire, along, across, slope] => {
        let (sin, cos) = slope.to_radians().sin_cos();
        Some(end - across * sin + (along * cos).hypot(across * sin) + wire / 2.0)
    }
    _ => None,
} }
formula! { DEPTH: "root((rearmost - shank's end - wire / 2 + across x sin slope)^2 - (across x sin slope)^2) / cos slope", [Mm, Mm, Mm, Mm, Degree] then [] gives Mm, BENT,
|x| match x {
    [rear, end, wire, across, slope] => {
        let (sin, cos) = slope.to_radians().sin_cos();
        let (reach, drop) = (rear - end - wire / 2.0 + across * sin, (across * sin).abs());
        (reach > drop).then(|| ((reach - drop) * (reach + drop)).sqrt() / cos).filter(|along| *along > 0.0)
    }
    _ => None,
} }
formula! { REAR_LEVEL: "shank's end + along + wire / 2", [Mm, Mm, Mm] then [] gives Mm, CORNER,
|x| match x { [end, wire, along] => Some(end + along + wire / 2.0), _ => None } }
formula! { DEPTH_LEVEL: "rearmost - shank's end - wire / 2", [Mm, Mm, Mm] then [] gives Mm, CORNER,
|x| match x { [rear, end, wire] => Some(rear - end - wire / 2.0).filter(|along| *along > 0.0), _ => None } }

formula! { HALF_ELLIPSE: "half the girth of an ellipse with these semi-axes", [Mm, Mm] then [] gives Mm, "geometry: complete elliptic integral of the second kind",
|x| match x { [along, across] => solids::half_ellipse(*along, *across), _ => None } }
formula! { TO_REARMOST: "shank + the bend's arc to where it heads square to the hook", [Mm, Mm, Mm, Degree] then [] gives Mm, "geometry: arc of an ellipse, by Simpson's rule",
|x| match x {
    [shank, along, across, slope] => Some(shank + curve::ellipse_arc(*along, *across, path::rearmost(*along, *across, slope.to_radians()))?),
    _ => None,
} }
formula! { WIRE_LENGTH_LIMB: "pi x (eye - wire) + shank + bend's arc + lower limb", [Mm, Mm, Mm, Mm, Mm] then [] gives Mm, "geometry: ring of the eye by its mean diameter, shank, bend, lower limb",
|x| match x { [eye, wire, shank, arc, limb] => Some(PI * (eye - wire).max(0.0) + shank + arc + limb), _ => None } }
formula! { WIRE_LENGTH_DOUBLE: "pi x (eye - wire) + 2 x (shank + bend's arc + (shank - point))", [Mm, Mm, Mm, Mm, Mm] then [] gives Mm, "geometry: one wire bent double: two shanks, two bends, two lower limbs",
|x| match x { [eye, wire, shank, arc, point] => Some(PI * (eye - wire).max(0.0) + 2.0 * (shank + arc + (shank - point).max(0.0))), _ => None } }
formula! { WIRE_LENGTH_BARE: "pi x (eye - wire) + shank", [Mm, Mm, Mm] then [] gives Mm, "geometry: ring of the eye by its mean diameter, shank",
|x| match x { [eye, wire, shank] => Some(PI * (eye - wire).max(0.0) + shank), _ => None } }
formula! { WIRE_LENGTH_LOOPED: "pi x (eye - wire) + shank + pi x (loop - wire)", [Mm, Mm, Mm, Mm] then [] gives Mm, "geometry: rings at both ends by their mean diameters, shank",
|x| match x { [eye, wire, shank, ring] => Some(PI * ((eye - wire).max(0.0) + (ring - wire).max(0.0)) + shank), _ => None } }
formula! { REST: "overall - eye - shank", [Mm, Mm, Mm] then [] gives Mm, "arithmetic",
|x| match x { [overall, eye, shank] => Some(overall - eye - shank), _ => None } }
formula! { TWO_WIRES: "wire x (1 + 2 / pi)", [Mm] then [] gives Mm, "geometry: round as long as a band about two wires side by side",
|x| x.first().map(|wire| wire * (1.0 + 2.0 / PI)) }
formula! { TUBE_MASS: "pi / 4 x (outside^2 - inside^2) x length x density", [Mm, Mm, Mm, GPerCm3] then [] gives G, "geometry: volume of a tube",
|x| match x { [length, outside, inside, density] => solids::mass(PI / 4.0 * (outside - inside) * (outside + inside) * length, *density), _ => None } }

formula! { ALONG_STRAIGHT: "how far behind the eye the place lies, straight along the hook", [Mm, Mm, Mm, Mm, Mm, Mm] then [] gives Mm, "geometry: shank, then half an ellipse",
|x| match x {
    [s, shank, overall, eye, wire, gap] => Some(path::straight(*shank, overall - eye - shank - wire / 2.0, (gap + wire) / 2.0, 0.0).at(*s).0[0]),
    _ => None,
} }
formula! { ALONG_CURVED: "how far behind the eye the place lies, straight along the hook", [Mm, Mm, Degree, Mm, Mm] then [] gives Mm, BENT,
|x| match x { [s, shank, turn, along, across] => Some(path::curved(*shank, turn.to_radians(), *along, *across, 0.0).at(*s).0[0]), _ => None } }
formula! { ALONG_SWIMMING: "how far behind the eye the place lies, straight along the hook", [Mm, Mm, Degree, Mm, Mm] then [] gives Mm, BENT,
|x| match x { [s, shank, turn, along, across] => Some(path::curved(*shank, -turn.to_radians(), *along, *across, 0.0).at(*s).0[0]), _ => None } }
formula! { ALONG_JIG: "how far behind the eye the place lies, straight along the hook", [Mm, Mm, Mm, Degree, Mm, Mm] then [] gives Mm, CORNER,
|x| match x { [s, shank, front, angle, along, across] => Some(path::jig(*shank, *front, angle.to_radians(), [*along, *across], 0.0).at(*s).0[0]), _ => None } }

/// The lower limb and half the bend's width of a shank that turns toward the point (`side` 1) or away from it (-1), from
/// gap, shank, wire, point (mm) and turn (degrees).
fn point(x: &[f64], side: f64) -> Option<[f64; 2]> {
    let [gap, shank, wire, point, turn] = x else { return None };
    let radius = shank / turn.to_radians();
    let drop = (shank - point) / radius;
    let down = gap + wire / 2.0;
    let from_middle = radius - side * down;
    let (limb, across) = (from_middle * drop.sin(), (side * radius * (1.0 - drop.cos()) + down * drop.cos() + wire / 2.0) / 2.0);
    (from_middle > 0.0 && limb >= 0.0 && across > 0.0).then_some([limb, across])
}
