//! What the next step puts on, by its outline alone: a surface by its edge, fibres by the room they take, a strand by
//! the way it runs.

use super::{Mark, Shape, Tone};
use crate::card::hook_line::P2;

/// Lines of one form that are still told apart one by one; more are fibres.
const FEW: usize = 2;

/// The outline of one form.
pub(super) fn outline(form: impl Iterator<Item = Mark>) -> Vec<Mark> {
    let (mut made, mut lines): (Vec<Mark>, Vec<Mark>) = (Vec::new(), Vec::new());
    for mark in form.filter(|mark| mark.tone != Tone::Seam) {
        match &mark.shape {
            Shape::Area(points) => {
                let edge = points.iter().chain(points.first()).copied().collect();
                made.push(Mark { tone: Tone::Coming, shape: Shape::Line(edge, WIDTH), ..mark });
            }
            Shape::Line(..) => lines.push(mark),
            Shape::Measured(..) => {}
        }
    }
    // A strand's turns have bends and lie apart; fibres are straight and many.
    let points = |mark: &Mark| if let Shape::Line(points, _) = &mark.shape { points.clone() } else { Vec::new() };
    if lines.len() > FEW && lines.iter().all(|line| points(line).len() == 2) {
        let edge = hull(lines.iter().flat_map(points).collect());
        lines.truncate(1);
        made.extend(lines.into_iter().map(|line| Mark { tone: Tone::Coming, shape: Shape::Line(edge.clone(), WIDTH), ..line }));
    } else {
        made.extend(lines.into_iter().map(|line| Mark { tone: Tone::Coming, shape: Shape::Line(points(&line), WIDTH), ..line }));
    }
    made
}

/// Width of a dotted line, mm.
const WIDTH: f64 = 0.08;

/// The convex hull as a closed line (A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions",
/// Information Processing Letters 9, 1979).
fn hull(mut points: Vec<P2>) -> Vec<P2> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    let half = |points: &mut dyn Iterator<Item = P2>| {
        let mut chain: Vec<P2> = Vec::new();
        for point in points {
            while let [.., a, b] = chain.as_slice()
                && (b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0]) <= 0.0
            {
                chain.pop();
            }
            chain.push(point);
        }
        chain
    };
    let mut edge = half(&mut points.iter().copied());
    edge.pop();
    edge.extend(half(&mut points.iter().rev().copied()));
    edge
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hull_of_a_square_with_something_in_it_is_the_square() {
        let points = vec![[0.0, 0.0], [2.0, 2.0], [1.0, 1.0], [2.0, 0.0], [0.5, 1.0], [0.0, 2.0], [1.0, 0.0]];
        assert_eq!(hull(points), [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0], [0.0, 0.0]]);
        assert_eq!(hull(vec![[1.0, 1.0]]), [[1.0, 1.0]]);
        assert!(hull(Vec::new()).is_empty());
    }
}
