//! Flat marks without colour, read off the solid forms for one view. The terminal, ASCII, SVG and print each draw
//! the same marks; they alone know of colours, dots and which way the fly faces.

mod coming;
pub mod dimension;
mod fibres;
mod hook;
mod measured;
mod room;

use super::form::{Form, P3, Put, Role, across_at, forms};
use super::hook_line::{Backbone, Measures, P2, circle};
use super::{Card, WorkedStep};
use crate::dressing::Rides;
use crate::why::Fig;

/// From where the fly is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// Square to the plane of the hook, a little from above.
    Side,
    /// From straight below.
    Below,
}

/// How a mark is to be told from its neighbours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// As it is.
    Plain,
    /// Furred: a soft surface, as of dubbing.
    Soft,
    /// A seam or edge within a part: the part's colour, darker.
    Seam,
    /// Dotted: its length is open, a usual one is shown.
    Dotted,
    /// Dotted: not there yet, but the next step puts it there.
    Coming,
}

/// A flat shape, mm; curves are flattened already.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A line with its width.
    Line(Vec<P2>, f64),
    /// A closed area.
    Area(Vec<P2>),
    /// A length of the card as it lies on the fly, from one end to the other: straight, or along the hook.
    Measured(Vec<P2>, Fig),
}

/// One mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// The part, by its place in [`Card::parts`].
    pub part: Option<usize>,
    /// Which of the part's materials it is of, by its place in [`WorkedPart::pieces`](super::WorkedPart::pieces).
    pub piece: usize,
    /// What it belongs to.
    pub role: Role,
    /// How it is told from its neighbours.
    pub tone: Tone,
    /// The shape.
    pub shape: Shape,
}

/// The marks of a fly, back to front, when `done` steps are done ([`DONE`](super::form::DONE) for all).
pub fn figure(card: &Card, view: View, done: usize) -> Vec<Mark> {
    growing(card, view, done, &[])
}

/// The same, and dotted over it what the next step that has to do with the parts `next` (by place in [`Card::parts`])
/// makes of them, as they are to be after it.
pub fn growing(card: &Card, view: View, done: usize, next: &[usize]) -> Vec<Mark> {
    let hook = Measures::of(card);
    let line = hook.backbone();
    let mut draw = Draw { line: line.clone(), view, marks: Vec::new(), layer: 0, put: None };
    draw.hook(&hook);
    let forms = forms(card);
    for (order, put) in forms.iter().enumerate().filter(|(_, put)| put.seen(done)) {
        draw.layer = order as i64 + 1;
        draw.put_on(card, put, &line);
    }
    let mut marks = std::mem::take(&mut draw.marks);
    marks.sort_by_key(|(layer, _)| *layer);
    let mut marks: Vec<Mark> = marks.into_iter().map(|(_, mark)| mark).collect();
    let is_next = |put: &&Put| put.part.is_some_and(|part| next.contains(&part));
    let has_to_do = |step: &WorkedStep| step.ties.iter().chain(&step.winds).any(|part| next.contains(part));
    let after = card.steps.iter().skip(done).position(has_to_do).map_or(done, |nth| done + nth).saturating_add(1);
    for put in forms.iter().filter(is_next).filter(|put| put.seen(after) && !put.seen(done)) {
        draw.put_on(card, put, &line);
        marks.extend(coming::outline(draw.marks.drain(..).map(|(_, mark)| mark)));
    }
    if hook.rides == Rides::PointUp && view == View::Side {
        marks.iter_mut().for_each(Mark::turn_over);
    }
    marks
}

impl Mark {
    /// Turns it over as a hook that rides point up does.
    fn turn_over(&mut self) {
        let over = |point: &mut P2| point[1] = -point[1];
        match &mut self.shape {
            Shape::Line(points, _) | Shape::Area(points) | Shape::Measured(points, _) => points.iter_mut().for_each(over),
        }
    }
}

/// The corners of all that is drawn, lowest and highest; measured lengths do not count. `None` for no marks.
pub fn extents(marks: &[Mark]) -> Option<(P2, P2)> {
    let mut found: Option<(P2, P2)> = None;
    for mark in marks {
        let (points, half) = match &mark.shape {
            Shape::Line(points, width) => (points, width / 2.0),
            Shape::Area(points) => (points, 0.0),
            Shape::Measured(..) => continue,
        };
        for [x, y] in points {
            let (low, high) = found.get_or_insert(([*x, *y], [*x, *y]));
            *low = [low[0].min(x - half), low[1].min(y - half)];
            *high = [high[0].max(x + half), high[1].max(y + half)];
        }
    }
    found
}

struct Draw {
    /// The line that what is being drawn stands on.
    line: Backbone,
    view: View,
    marks: Vec<(i64, Mark)>,
    layer: i64,
    put: Option<Owner>,
}

/// What the marks being made belong to.
#[derive(Clone, Copy)]
struct Owner {
    part: Option<usize>,
    role: Role,
    piece: usize,
    open: bool,
}

impl Draw {
    fn mark(&mut self, layer: i64, tone: Tone, shape: Shape) {
        let finite = match &shape {
            Shape::Line(points, width) => width.is_finite() && points.iter().flatten().all(|v| v.is_finite()),
            Shape::Area(points) | Shape::Measured(points, _) => points.iter().flatten().all(|v| v.is_finite()),
        };
        if !finite {
            return;
        }
        let Owner { part, role, piece, open } = self.put.unwrap_or(Owner { part: None, role: Role::Hook, piece: 0, open: false });
        let (tone, shape) = match shape {
            // What is open has no surface: its edge alone is dotted.
            Shape::Area(mut points) if open => {
                points.extend(points.first().copied());
                (Tone::Dotted, Shape::Line(points, 0.08))
            }
            shape if open => (Tone::Dotted, shape),
            shape => (tone, shape),
        };
        self.marks.push((layer, Mark { part, piece, role, tone, shape }));
    }

    fn flat(&self, [x, y, out]: P3) -> P2 {
        match self.view {
            // Seen a little from above, so that what stands out to both sides can be told apart; lengths along the
            // hook stay true.
            View::Side => [x, y - 0.2 * out],
            View::Below => [x, out],
        }
    }

    /// Draws what is put on to the hook's line, or on to one of its own.
    fn put_on(&mut self, card: &Card, put: &Put, hook: &Backbone) {
        self.put = Some(Owner { part: put.part, role: put.role, piece: put.piece, open: put.open });
        self.line = put.line.clone().unwrap_or_else(|| hook.clone());
        self.form(put);
        self.measure(card, put);
    }

    fn form(&mut self, put: &Put) {
        match &put.form {
            Form::Round { profile, furred, floor } => self.round(profile, *furred, *floor),
            Form::Coil { span, turns, across, over, other_way, touching } => self.coil(*span, *turns, *across, over, *other_way, *touching),
            Form::Fan { .. } => self.fan(&put.form),
            Form::Ring { .. } => self.ring(&put.form),
            Form::Leaf { s, lift, outline, stem, .. } => {
                let points: Vec<P2> = outline.iter().map(|point| self.lifted(*s, *lift, *point)).collect();
                let far = outline.iter().map(|point| point[2]).fold(0.0, f64::min) < -1e-9;
                let layer = if far && self.view == View::Side { self.layer - FAR } else { self.layer };
                let seam = points.first().map(|first| points.iter().copied().chain([*first]).collect());
                self.mark(layer, Tone::Plain, Shape::Area(points));
                if let Some(seam) = seam {
                    self.mark(layer, Tone::Seam, Shape::Line(seam, 0.1));
                }
                let stem: Vec<P2> = stem.iter().map(|point| self.lifted(*s, *lift, *point)).collect();
                if stem.len() > 1 {
                    self.mark(layer, Tone::Seam, Shape::Line(stem, 0.12));
                }
            }
            Form::Loose { s, lift, length, across } => {
                let curve = |share: f64| [length * (share - 0.15 * share * share), length * (0.12 * share - 0.5 * share * share), 0.0];
                let points = (0..=8).map(|i| self.lifted(*s, *lift, curve(f64::from(i) / 8.0))).collect();
                self.mark(self.layer, Tone::Plain, Shape::Line(points, *across));
            }
            Form::Ball { s, across } => {
                let middle = self.lifted(*s, 0.0, [0.0; 3]);
                self.mark(self.layer, Tone::Plain, Shape::Area(circle(middle, across / 2.0)));
            }
        }
    }

    /// A point `off` from what lies `lift` from the line at `s`: along the line there, away from the gap, outward.
    fn lifted(&self, s: f64, lift: f64, off: P3) -> P2 {
        let ([x, y], [along, up]) = self.line.at(s);
        let (right, above) = (off[0], off[1] + lift);
        self.flat([x + right * along - above * up, y + right * up + above * along, off[2]])
    }

    fn round(&mut self, profile: &[P2], furred: bool, floor: Option<f64>) {
        let dense = thicken(profile);
        let side = |up: f64| -> Vec<P2> { dense.iter().map(|[s, across]| self.edge(*s, up * across / 2.0)).collect() };
        let (mut points, lower) = (side(1.0), side(-1.0));
        points.extend(lower.into_iter().rev());
        if let (Some(floor), View::Side) = (floor, self.view) {
            points.iter_mut().for_each(|point| point[1] = point[1].max(floor));
        }
        self.mark(self.layer, if furred { Tone::Soft } else { Tone::Plain }, Shape::Area(points));
    }

    /// The edge of something round, `off` mm from the wire.
    fn edge(&self, s: f64, off: f64) -> P2 {
        match self.view {
            View::Side => self.line.beside(s, off),
            View::Below => [self.line.at(s).0[0], off],
        }
    }

    /// One line for each turn: its half toward the one who looks. The silk goes up on the near side and over the top
    /// away from a right-handed dresser (common practice, no source); a strand wound the other way comes down there.
    fn coil(&mut self, span: [f64; 2], turns: f64, across: f64, over: &[P2], other_way: bool, touching: bool) {
        let sign = if other_way { 1.0 } else { -1.0 };
        let (tone, width) = if touching { (Tone::Seam, across * 0.2) } else { (Tone::Plain, across) };
        let lift = if touching { 0.0 } else { across / 2.0 };
        for turn in 0..turns.ceil().max(0.0) as usize {
            // The near half of a turn is its second and third quarter.
            let (begin, end) = (turn as f64 + 0.25, (turn as f64 + 0.75).min(turns));
            if end <= begin {
                continue;
            }
            let point = |i: u32| {
                let wound = begin + (end - begin) * f64::from(i) / 8.0;
                let s = span[0] + (span[1] - span[0]) * wound / turns;
                let radius = across_at(over, s).unwrap_or_else(|| over.last().map_or(0.0, |end| end[1])) / 2.0 + lift;
                self.edge(s, sign * radius * (std::f64::consts::TAU * wound).sin())
            };
            let points = (0..=8).map(point).collect();
            self.mark(self.layer, tone, Shape::Line(points, width));
        }
    }
}

/// How far behind a form its far half is drawn: behind the hook and all else.
const FAR: i64 = 1_000_000;

/// A profile with places in between, so that it follows the line round the bend.
fn thicken(profile: &[P2]) -> Vec<P2> {
    let mut dense: Vec<P2> = Vec::new();
    for (a, b) in profile.iter().zip(profile.iter().skip(1)) {
        let strides = ((b[0] - a[0]).abs() / 0.4).ceil().clamp(1.0, 200.0) as usize;
        dense.extend((0..strides).map(|i| {
            let share = i as f64 / strides as f64;
            [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]
        }));
    }
    dense.extend(profile.last());
    dense
}

#[cfg(test)]
mod tests;
