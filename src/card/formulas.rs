//! Every formula a card works by: text, units, source and function in one place each.

use crate::reckon::profile::Segment;
use crate::reckon::{cuts, solids, thread, winding};
use std::f64::consts::PI;

macro_rules! formula {
    ($(#[$doc:meta])* $name:ident: $text:literal, [$($takes:ident),*] then [$($then:ident),*] gives $gives:ident, $source:expr, $of:expr) => {
        $(#[$doc])*
        pub(crate) static $name: $crate::why::Formula<f64> = $crate::why::Formula {
            text: $text,
            takes: &[$(crate::measure::Unit::$takes),*],
            then: &[$(crate::measure::Unit::$then),*],
            gives: crate::measure::Unit::$gives,
            source: $source,
            of: |x| { let of: fn(&[f64]) -> Option<f64> = $of; of(x).filter(|y| y.is_finite()) },
        };
    };
}
pub(crate) use formula;

formula! { SUM_OF_LENGTHS: "sum of (how many x length)", [] then [One, Mm] gives Mm, "arithmetic",
|x| Some(products(x)) }
formula! { PLACE: "mark + sum of (how many x length)", [Mm] then [One, Mm] gives Mm, "arithmetic, along the wire from the rear of the eye",
|x| Some(x.first()? + products(x.get(1..)?)) }
formula! { MIDDLE: "(one end + other end) / 2", [Mm, Mm] then [] gives Mm, "arithmetic",
|x| match x { [a, b] => Some((a + b) / 2.0), _ => None } }
formula! { DISTANCE: "distance between the two places", [Mm, Mm] then [] gives Mm, "arithmetic",
|x| match x { [a, b] => Some((a - b).abs()), _ => None } }
formula! { TOLERANCE: "share x length, but not under the least", [Mm, One, Mm] then [] gives Mm, "the bench's default: 5 % of a length, not under 0.3 mm",
|x| match x { [length, share, least] => Some((length * share).max(*least)), _ => None } }
formula! { LOW: "length - tolerance, not under nought", [Mm, Mm] then [] gives Mm, "arithmetic",
|x| match x { [length, within] => Some((length - within).max(0.0)), _ => None } }
formula! { HIGH: "length + tolerance", [Mm, Mm] then [] gives Mm, "arithmetic",
|x| match x { [length, within] => Some(length + within), _ => None } }
formula! { INTERPOLATE: "larger's + (smaller's - larger's) x (rank - larger's rank) / (smaller's rank - larger's rank)", [Mm, Mm, One, One, One] then [] gives Mm,
"straight line between two sizes of the chart",
|x| match x { [larger, smaller, rank_larger, rank_smaller, rank] => Some(larger + (smaller - larger) * (rank - rank_larger) / (rank_smaller - rank_larger)), _ => None } }
formula! { SPREAD: "diameter at the place, straight between the two ends", [Mm, Mm, Mm, Mm, Mm] then [] gives Mm, "straight line",
|x| match x {
    [place, from, to, across_from, across_to] if from == to => (place == from).then_some((across_from + across_to) / 2.0),
    [place, from, to, across_from, across_to] => Some(across_from + (across_to - across_from) * (place - from) / (to - from)),
    _ => None,
} }
formula! { LAYER: "diameter beneath + 2 x thickness x layers", [Mm, Mm, One] then [] gives Mm, "geometry: a layer adds its thickness on both sides",
|x| match x { [beneath, thick, layers] => Some(beneath + 2.0 * thick * layers), _ => None } }

formula! { BEND_ARC: "half the girth of an ellipse with semi-axes (overall - eye - shank - wire / 2) and (gap + wire) / 2", [Mm, Mm, Mm, Mm, Mm] then [] gives Mm,
"geometry: complete elliptic integral of the second kind",
|x| match x { [overall, eye, shank, wire, gap] => solids::half_ellipse(overall - eye - shank - wire / 2.0, (gap + wire) / 2.0), _ => None } }
formula! { ALONG_BEND: "shank + half of the bend's arc", [Mm, Mm] then [] gives Mm, "geometry: the rearmost lies halfway round the bend",
|x| match x { [shank, arc] => Some(shank + arc / 2.0), _ => None } }
formula! { WIRE_END: "shank + the bend's arc", [Mm, Mm] then [] gives Mm, "geometry",
|x| match x { [shank, arc] => Some(shank + arc), _ => None } }
formula! { WIRE_LENGTH: "pi x (eye - wire) + shank + bend's arc + (shank - point)", [Mm, Mm, Mm, Mm, Mm] then [] gives Mm, "geometry: ring of the eye by its mean diameter, shank, bend, lower limb",
|x| match x { [eye, wire, shank, arc, point] => Some(PI * (eye - wire).max(0.0) + shank + arc + (shank - point).max(0.0)), _ => None } }
formula! { WIRE_MASS: "length x pi / 4 x wire^2 x density", [Mm, Mm, GPerCm3] then [] gives G, "geometry: volume of a round wire (Pappus-Guldin for its bends)",
|x| match x { [length, wire, density] => solids::mass(solids::wire_volume(*length, *wire)?, *density), _ => None } }
formula! { BEAD_LENGTH: "square root of (diameter^2 - hole^2)", [Mm, Mm] then [] gives Mm, "geometry: height of a sphere with a straight hole (napkin-ring theorem)",
|x| match x { [diameter, hole] => solids::drilled_sphere_height(*diameter, *hole), _ => None } }
formula! { FREE_SHANK: "shank - bead - head", [Mm, Mm, Mm] then [] gives Mm, "arithmetic",
|x| match x { [shank, bead, head] => Some(shank - bead - head), _ => None } }
formula! { THREAD_WIDTH: "square root of (4 x tex / (pi x density x packing x 1000))", [Tex, GPerCm3, One] then [] gives Mm,
"W. E. Morton, J. W. S. Hearle, Physical Properties of Textile Fibres, ch. 3: a round thread of that mass a length",
|x| match x { [tex, density, packing] => thread::diameter(*tex, *density, *packing), _ => None } }

/// Sum of the products of pairs.
fn products(x: &[f64]) -> f64 {
    x.chunks_exact(2).map(|pair| if let [a, b] = pair { a * b } else { 0.0 }).sum()
}

/// Stretches (from, to, diameter, diameter) as a core.
fn core(stretches: &[f64]) -> Vec<Segment> {
    let segment = |s: &[f64]| if let [from, to, a, b] = s { Some(Segment { length: (to - from).abs(), r0: a / 2.0, r1: b / 2.0 }) } else { None };
    stretches.chunks_exact(4).filter_map(segment).collect()
}

formula! { TOUCHING: "sum over stretches of the slope's length / width", [Mm] then [Mm, Mm, Mm, Mm] gives One, "geometry: each turn takes one width along the slope",
|x| core(x.get(1..)?).iter().map(|s| winding::touching_turns(s.length, s.r0, s.r1, *x.first()?)).sum() }
formula! { WOUND: "sum over stretches of the helix's length, at an even pitch along the hook, by core radius + half the thickness", [One, Mm] then [Mm, Mm, Mm, Mm] gives Mm,
"arc length of a curve (any calculus text, e.g. Stewart, Calculus, sec. 13.3)",
|x| winding::wound(&core(x.get(2..)?), *x.get(1)?, *x.first()?) }
formula! { RINGS: "turns x pi x (diameter beneath + thickness)", [One, Mm, Mm] then [] gives Mm, "circumference",
|x| match x { [turns, thick, across] => Some(turns * PI * (across + thick)), _ => None } }
formula! { OPEN_TURNS: "distance / pitch", [Mm, Mm, Mm] then [] gives One, "open turns at an even pitch",
|x| match x { [from, to, pitch] => Some((to - from).abs() / pitch), _ => None } }
formula! { COVERAGE: "turns x width / slope's length", [One, Mm] then [Mm, Mm, Mm, Mm] gives One, "geometry: how many times over the strand covers its span; open turns build nothing",
|x| {
    let slope: f64 = core(x.get(2..)?).iter().map(Segment::slope).sum();
    let covered = x.first()? * x.get(1)? / slope;
    Some(if covered < 1.0 - 1e-9 { 0.0 } else { covered })
} }
formula! { WEIGHT_LAYERS: "turns x width / slope's length, but at least one layer", [One, Mm] then [Mm, Mm, Mm, Mm] gives One, "what lies beneath for its weight is covered whole by what goes over it",
|x| {
    let slope: f64 = core(x.get(2..)?).iter().map(Segment::slope).sum();
    Some((x.first()? * x.get(1)? / slope).max(1.0))
} }
formula! { TURNS_BACK: "start - turns x width", [Mm, One, Mm] then [] gives Mm, "each touching turn takes one width, toward the eye",
|x| match x { [from, turns, width] => Some(from - turns * width), _ => None } }

formula! { STRAND_OFF_SPOOL: "(wound + 2 x lost at each tie) x (1 + loss)", [Mm, Mm, One] then [] gives M, "the three wastes: off the spool",
|x| match x { [wound, lost, loss] => Some((wound + 2.0 * lost) * (1.0 + loss) / 1000.0), _ => None } }
formula! { STRAND_A_LENGTH: "(wound + 2 x lost at each tie + grip) x (1 + loss)", [Mm, Mm, Mm, One] then [] gives M, "the three wastes: a length a fly",
|x| match x { [wound, lost, grip, loss] => Some((wound + 2.0 * lost + grip) * (1.0 + loss) / 1000.0), _ => None } }
formula! { FLIES_A_PIECE: "whole flies in (piece - grip) / (wound + 2 x lost at each tie)", [Mm, Mm, Mm, Mm] then [] gives One, "the three wastes: a length for several flies",
|x| match x { [piece, grip, wound, lost] => cuts::lengths_in(*piece, *grip, wound + 2.0 * lost).map(f64::from), _ => None } }
formula! { STRAND_SHARED: "piece / flies a piece x (1 + loss)", [Mm, One, One] then [] gives M, "the three wastes: a length for several flies",
|x| match x { [piece, flies, loss] if *flies >= 1.0 => Some(piece / flies * (1.0 + loss) / 1000.0), _ => None } }
formula! { STRANDS: "strands x one strand's amount", [One, M] then [] gives M, "arithmetic",
|x| match x { [strands, one] => Some(strands * one), _ => None } }
formula! { SILK_TOTAL: "(sum of all its turns and travels + 2 x lost at each tie) x (1 + loss)", [One, Mm] then [Mm] gives M, "the three wastes: off the spool",
|x| match x { [loss, lost, lengths @ ..] => Some((lengths.iter().sum::<f64>() + 2.0 * lost) * (1.0 + loss) / 1000.0), _ => None } }
formula! { FEATHERS_SHARED: "1 / flies a feather x (1 + loss)", [One, One] then [] gives Feather, "one feather serves several flies",
|x| match x { [flies, loss] if *flies >= 1.0 => Some((1.0 + loss) / flies), _ => None } }
formula! { FEATHERS_EACH: "whole feathers in wound / (usable - grip - 2 x lost at each tie)", [Mm, Mm, Mm, Mm] then [] gives Feather, "one feather is too short: several a fly",
|x| match x { [wound, usable, grip, lost] if usable - grip - 2.0 * lost > 0.0 => Some((wound / (usable - grip - 2.0 * lost) - 1e-9).ceil().max(1.0)), _ => None } }
formula! { FEATHERS: "feathers x (1 + loss)", [Feather, One] then [] gives Feather, "per cent lost",
|x| match x { [feathers, loss] => Some(feathers * (1.0 + loss)), _ => None } }
formula! { BUNDLE: "thickness^2 x packing / fibre^2", [Mm, One, Mm] then [] gives One, "geometry: the fibres' sections fill that share of the bundle's",
|x| match x { [thick, packing, fibre] => Some(thick * thick * packing / (fibre * fibre)), _ => None } }
formula! { FIBRES: "count x (1 + cleaned out) x (1 + loss)", [One, One, One] then [] gives Fibre, "the wastes of a bunch",
|x| match x { [count, cleaned, loss] => Some(count * (1.0 + cleaned) * (1.0 + loss)), _ => None } }
formula! { BODY_VOLUME: "volume of the tapered body - volume of what lies beneath", [Mm, Mm, Mm, Mm] then [Mm, Mm, Mm, Mm] gives Mm3, "geometry: frustums of cones",
|x| match x {
    [from, to, across_from, across_to, beneath @ ..] => {
        // The stretches run from the eye to the bend, whichever way the body is laid.
        let (at_eye, at_bend) = if from <= to { (across_from, across_to) } else { (across_to, across_from) };
        solids::shell(&core(beneath), at_eye / 2.0, at_bend / 2.0)
    }
    _ => None,
} }
formula! { BODY_MASS: "volume x density x (1 + loss)", [Mm3, GPerCm3, One] then [] gives G, "density as laid, so the figure is about",
|x| match x { [volume, density, loss] => Some(volume * density / 1000.0 * (1.0 + loss)), _ => None } }
formula! { SLIPS: "count x width x length x (1 + loss)", [One, Mm, Mm, One] then [] gives Mm2, "area",
|x| match x { [count, width, length, loss] => Some(count * width * length * (1.0 + loss)), _ => None } }
formula! { SLIP_SHARE: "count x width x (1 + loss) / usable length of the vane", [One, Mm, One, Mm] then [] gives One, "slips are cut side by side along the vane",
|x| match x { [count, width, loss, usable] => Some(count * width * (1.0 + loss) / usable), _ => None } }
formula! { WHOLES: "count x (1 + loss)", [One, One] then [] gives One, "per cent lost",
|x| match x { [count, loss] => Some(count * (1.0 + loss)), _ => None } }
formula! { DROPS: "drops x coats x (1 + loss)", [One, One, One] then [] gives Drop, "per cent lost",
|x| match x { [drops, coats, loss] => Some(drops * coats * (1.0 + loss)), _ => None } }
formula! { MILLILITRES: "drops x a drop's volume", [Drop, Ml] then [] gives Ml, "arithmetic",
|x| match x { [drops, drop] => Some(drops * drop), _ => None } }
formula! { GIVES_BY_VOLUME: "1 / flies a pack x this size's volume / that size's volume", [One, Mm3, Mm3] then [] gives One, "what a pack gives, as known at the bench, scaled by the body's volume",
|x| match x { [flies, here, there] => Some(here / there / flies), _ => None } }
formula! { GIVES_BY_RATIO: "1 / flies a pack x this size's amount / that size's amount", [One, One] then [] gives One, "what a pack gives, as known at the bench, scaled by the card's amounts",
|x| match x { [flies, ratio] => Some(ratio / flies), _ => None } }
formula! { SHARE_OF_PACK_G: "share of a pack x what a pack holds", [One, G] then [] gives G, "arithmetic",
|x| match x { [share, holds] => Some(share * holds), _ => None } }
formula! { SHARE_OF_PACK_M: "share of a pack x what a pack holds", [One, M] then [] gives M, "arithmetic",
|x| match x { [share, holds] => Some(share * holds), _ => None } }

formula! { LENGTHS: "sum of lengths", [] then [Mm] gives Mm, "arithmetic",
|x| Some(x.iter().sum()) }
formula! { SHARED: "share x number", [One, One] then [] gives One, "arithmetic",
|x| match x { [share, number] => Some(share * number), _ => None } }
formula! { SHARED_VOLUME: "share x volume", [One, Mm3] then [] gives Mm3, "materials mixed by volume",
|x| match x { [share, volume] => Some(share * volume), _ => None } }
formula! { SHARE_LEFT: "(1 - shares told) / materials that tell none", [One] then [One] gives One, "what is left goes in equal shares",
|x| match x { [open, told @ ..] if *open > 0.0 => Some((1.0 - told.iter().sum::<f64>()) / open), _ => None } }
formula! { ALONG: "start + (sum of shares so far) x (end - start)", [Mm, Mm] then [One] gives Mm, "arithmetic: one after the other",
|x| match x { [start, end, shares @ ..] => Some(start + shares.iter().sum::<f64>() * (end - start)), _ => None } }
formula! { MEAN_THICK: "sum of (strands x width x thickness) / sum of (strands x width)", [] then [One, Mm, Mm] gives Mm, "geometry: as thick on the whole as all of them side by side",
|x| {
    let triples = || x.chunks_exact(3).filter_map(|c| if let [n, width, thick] = c { Some((n * width, *thick)) } else { None });
    let across: f64 = triples().map(|(across, _)| across).sum();
    Some(triples().map(|(across, thick)| across * thick).sum::<f64>() / across)
} }
formula! { ROPE_ACROSS: "square root of the sum of (strands x width^2)", [] then [One, Mm] gives Mm, "no source: the strands' sections add up and no room is left between them",
|x| Some(x.chunks_exact(2).map(|pair| if let [n, width] = pair { n * width * width } else { 0.0 }).sum::<f64>().sqrt()) }
formula! { TAKEN_UP: "wound x (1 + take-up)", [Mm, One] then [] gives Mm, "a strand is longer than the rope it is twisted into",
|x| match x { [wound, take_up] => Some(wound * (1.0 + take_up)), _ => None } }
formula! { LOOP_TWICE: "2 x loop", [Mm] then [] gives Mm, "a loop of silk is two strands",
|x| match x { [length] => Some(2.0 * length), _ => None } }
formula! { BUNDLE_ACROSS: "square root of the sum of (count x fibre^2 / packing)", [] then [One, Mm, One] gives Mm, "geometry: the fibres' sections fill that share of the bundle's",
|x| Some(x.chunks_exact(3).map(|c| if let [count, fibre, packing] = c { count * fibre * fibre / packing } else { 0.0 }).sum::<f64>().sqrt()) }
formula! { PAIRS: "2 x pairs x (1 + loss)", [One, One] then [] gives Feather, "two feathers a pair; per cent lost",
|x| match x { [pairs, loss] => Some(2.0 * pairs * (1.0 + loss)), _ => None } }
formula! { STRIP_SHARE: "count x length x (1 + loss) / usable length of a piece", [One, Mm, One, Mm] then [] gives One, "strips are cut off one after the other",
|x| match x { [count, length, loss, usable] => Some(count * length * (1.0 + loss) / usable), _ => None } }
formula! { SHEET_SHARE: "count x width x length x (1 + loss) / (a piece's width x its usable length)", [One, Mm, Mm, One, Mm, Mm] then [] gives One, "share of a sheet by area; what its edges waste is in the loss",
|x| match x { [count, width, length, loss, across, usable] => Some(count * width * length * (1.0 + loss) / (across * usable)), _ => None } }
formula! { STRIP_RUN: "count x length x (1 + loss)", [One, Mm, One] then [] gives M, "a strip in its own width, by its length",
|x| match x { [count, length, loss] => Some(count * length * (1.0 + loss) / 1000.0), _ => None } }

macro_rules! sums {
    ($($name:ident $unit:ident;)*) => { $( formula! { $name: "sum", [] then [$unit] gives $unit, "arithmetic", |x| Some(x.iter().sum()) } )* };
}

sums! {
    SUM_ONE One;
    SUM_M M;
    SUM_G G;
    SUM_ML Ml;
    SUM_MM2 Mm2;
    SUM_FEATHER Feather;
    SUM_FIBRE Fibre;
}
