//! The line of a hook's wire, from the rear of the eye: one place for the formulas and for the drawing.

use crate::reckon::curve::{Curve, Piece};

const REAR_OF_THE_EYE: [f64; 2] = [0.0, 0.0];

/// A level shank, half an ellipse, a lower limb; all mm.
pub(crate) fn straight(shank: f64, along: f64, across: f64, limb: f64) -> Curve {
    let pieces = vec![Piece::Straight(shank), Piece::HalfEllipse(along, across), Piece::Straight(limb)];
    Curve { start: REAR_OF_THE_EYE, heading: 0.0, pieces }
}

/// A shank that turns evenly, as an arc of a circle whose chord lies level: toward the point where `turn` (radians) is
/// positive, as of a curved hook; away from it where negative, as of a swimming one.
pub(crate) fn curved(shank: f64, turn: f64, along: f64, across: f64, limb: f64) -> Curve {
    let pieces = vec![Piece::Arc(shank, -turn), Piece::HalfEllipse(along, across), Piece::Straight(limb)];
    Curve { start: REAR_OF_THE_EYE, heading: turn / 2.0, pieces }
}

/// A front that stands at `angle` (radians) to the rest of the shank, with the eye on the point's side; the shank is
/// measured along the wire, the front with it.
pub(crate) fn jig(shank: f64, front: f64, angle: f64, [along, across]: [f64; 2], limb: f64) -> Curve {
    let pieces = vec![Piece::Straight(front), Piece::Corner(-angle), Piece::Straight(shank - front), Piece::HalfEllipse(along, across), Piece::Straight(limb)];
    Curve { start: REAR_OF_THE_EYE, heading: angle, pieces }
}

/// A tube or a shank without a bend.
pub(crate) fn bare(length: f64) -> Curve {
    Curve { start: REAR_OF_THE_EYE, heading: 0.0, pieces: vec![Piece::Straight(length)] }
}

/// The parameter (radians) at which half an ellipse reaches furthest along the hook, when it begins `slope` (radians) down
/// from level.
pub(crate) fn rearmost(along: f64, across: f64, slope: f64) -> f64 {
    (across * slope.sin()).atan2(along * slope.cos())
}
