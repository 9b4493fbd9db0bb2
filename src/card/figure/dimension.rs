//! A length written beside the fly: the line that tells it runs along what it measures, moved aside to where it and its
//! figure cover least.
//!
//! ```text
//!      |<------ 10.3 mm ------>|      the line, with its ends square over those of what it measures
//!      ______________________
//!      tip                  tie
//! ```

use super::room::Room;
use super::{Mark, Shape};
use crate::card::hook_line::P2;
use crate::why::{Fig, Geometry};

/// A length beside the fly; points in mm as those of the marks.
#[derive(Clone, Debug, PartialEq)]
pub struct Dimension {
    /// The part, by its place in [`Card::parts`](crate::card::Card::parts).
    pub part: usize,
    /// What it measures on the fly, from end to end.
    pub of: Vec<P2>,
    /// The line that tells it: the same, moved aside.
    pub line: Vec<P2>,
    /// Which way is away from what it measures, at each end of the line (of length 1).
    pub away: [P2; 2],
    /// The card's figure of it.
    pub fig: Fig,
    /// The middle of the room where the figure is written.
    pub label: P2,
    /// It is seen in its true length; what stands out toward the one who looks is not.
    pub is_true: bool,
}

/// How far the line lies from what it measures at least, and how far apart two places are that it may have, as shares of
/// the drawing's larger side (by eye).
const OFF: f64 = 0.035;
const STRIDE: f64 = 0.0125;
/// The furthest place.
const PLACES: u32 = 40;

/// Lines whose figures are tried.
const TRIED: usize = 16;

/// The dimension of a part that has a length among these marks: its line between these corners of the drawing where that
/// can be, its figure in a room of this width and height.
pub fn dimension(marks: &[Mark], figures: &Geometry, part: usize, corners: (P2, P2), label: P2) -> Option<Dimension> {
    let off = |points: &[P2], fig: Fig| (way(points) - figures.value(fig)).abs();
    let measured = marks.iter().filter(|mark| mark.part == Some(part)).filter_map(|mark| match &mark.shape {
        Shape::Measured(points, fig) if way(points) > 1e-6 => Some((points, *fig)),
        _ => None,
    });
    // Of two wings, the one that is seen in its true length.
    let (of, fig) = measured.min_by(|(a, fig), (b, other)| off(a, *fig).total_cmp(&off(b, *other)))?;
    let is_true = off(of, fig) <= 0.02 * figures.value(fig).abs() + 0.05;
    let room = Room::of(marks, corners)?;
    let squares = squares(of);
    let aside = |off: f64| {
        let away: Vec<P2> = squares.iter().map(|square| square.map(|along| along * off.signum())).collect();
        let line: Vec<P2> = of.iter().zip(&away).map(|(point, away)| [point[0] + off.abs() * away[0], point[1] + off.abs() * away[1]]).collect();
        // Above rather than below, where all else is equal.
        (covered(&room, &line) + 0.8 * off.abs() / room.size() + if off < 0.0 { 0.005 } else { 0.0 }, line, away)
    };
    let places = (0..PLACES).map(|nth| (OFF + STRIDE * f64::from(nth)) * room.size());
    let mut lines: Vec<_> = places.flat_map(|off| [off, -off]).map(aside).collect();
    lines.sort_by(|a, b| a.0.total_cmp(&b.0));
    let tried = lines.into_iter().take(TRIED).filter_map(|(cost, line, away)| {
        let (hides, at) = written(&room, &line, &away, label)?;
        Some((cost + hides, line, away, at))
    });
    let (_, line, away, label) = tried.min_by(|a, b| a.0.total_cmp(&b.0))?;
    let away = [*away.first()?, *away.last()?];
    Some(Dimension { part, of: of.clone(), line, away, fig, label, is_true })
}

/// What a point beyond the drawing costs: nothing is seen there.
const BEYOND: f64 = 6.0;

/// Which share of a line lies over the fly.
fn covered(room: &Room, line: &[P2]) -> f64 {
    let (mut covered, mut count) = (0.0, 0.0);
    for (a, b) in line.iter().zip(line.iter().skip(1)) {
        let strides = ((b[0] - a[0]).hypot(b[1] - a[1]) / room.field()).ceil().clamp(1.0, 400.0) as u32;
        for i in 0..=strides {
            covered += room.taken(between(*a, *b, f64::from(i) / f64::from(strides))).unwrap_or(BEYOND);
            count += 1.0;
        }
    }
    covered / f64::max(count, 1.0)
}

/// Where the figure of a line is written, and what that costs: clear of the line on the side away from the fly if that can
/// be, else on it, else between it and the fly; near its middle.
fn written(room: &Room, line: &[P2], away: &[P2], [wide, high]: P2) -> Option<(f64, P2)> {
    let whole = way(line);
    let mut best: Option<(f64, P2)> = None;
    for along in [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8] {
        let (at, away) = if line.len() == 2 {
            (between(*line.first()?, *line.last()?, along), *away.first()?)
        } else {
            let nth = ((line.len() - 1) as f64 * along).round() as usize;
            (*line.get(nth)?, *away.get(nth)?)
        };
        let clear = (away[0].abs() * wide + away[1].abs() * high) / 2.0 + 0.6 * high;
        let on_line = away[1].abs() * wide + away[0].abs() * high;
        // On a short line the figure would hide the line.
        let hidden = if on_line > 0.6 * whole { 0.8 } else { 0.0 };
        for (off, cost) in [(clear, 0.0), (0.0, 0.03 + hidden), (-clear, 0.08)] {
            let middle = [at[0] + off * away[0], at[1] + off * away[1]];
            let cost = cost + 3.0 * hides(room, middle, [wide, high]) + 0.1 * (along - 0.5).abs();
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, middle));
            }
        }
    }
    best
}

/// Which share of a room about a point lies over the fly.
fn hides(room: &Room, middle: P2, [wide, high]: P2) -> f64 {
    const COLUMNS: i32 = 12;
    const ROWS: i32 = 4;
    let share = |i: i32, of: i32| f64::from(i) / f64::from(of) - 0.5;
    let points = (0..=ROWS).flat_map(|row| (0..=COLUMNS).map(move |column| [share(column, COLUMNS) * wide, share(row, ROWS) * high]));
    points.map(|off| room.taken([middle[0] + off[0], middle[1] + off[1]]).unwrap_or(BEYOND)).sum::<f64>() / f64::from((COLUMNS + 1) * (ROWS + 1))
}

fn between(a: P2, b: P2, share: f64) -> P2 {
    [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]
}

/// Length of a line of points.
fn way(points: &[P2]) -> f64 {
    points.iter().zip(points.iter().skip(1)).map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1])).sum()
}

/// Directions square to a line at each of its points, the upper side where it runs level.
fn squares(points: &[P2]) -> Vec<P2> {
    let upward = points.first().zip(points.last()).is_some_and(|(a, b)| b[0] < a[0]);
    let square = |nth: usize| {
        let (a, b) = (points.get(nth.saturating_sub(1)), points.get(nth + 1).or(points.last()));
        let (a, b) = (a.copied().unwrap_or_default(), b.copied().unwrap_or_default());
        let size = (b[0] - a[0]).hypot(b[1] - a[1]).max(1e-12);
        let square = [-(b[1] - a[1]) / size, (b[0] - a[0]) / size];
        if upward { square.map(|along| -along) } else { square }
    };
    (0..points.len()).map(square).collect()
}

#[cfg(test)]
mod tests;
