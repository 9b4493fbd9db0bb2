//! Flat marks without colour, read off the solid forms for one view. The terminal, ASCII, SVG and print each draw
//! the same marks; they alone know of colours, dots and which way the fly faces.

use super::Card;
use super::form::{Form, P3, Put, Role, forms};
use super::hook_line::{Backbone, Measures, P2, circle};
use super::wing::{across_at, unit};
use crate::dressing::HookShape;
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
}

/// A flat shape, mm; curves are flattened already.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A line with its width.
    Line(Vec<P2>, f64),
    /// A closed area.
    Area(Vec<P2>),
    /// A length of the card with the two points it lies between, for dividers.
    Measured(P2, P2, Fig),
}

/// One mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// The part, by its place in [`Card::parts`].
    pub part: Option<usize>,
    /// What it belongs to.
    pub role: Role,
    /// How it is told from its neighbours.
    pub tone: Tone,
    /// The shape.
    pub shape: Shape,
}

/// The marks of a fly, back to front, when `done` steps are done ([`DONE`](super::form::DONE) for all).
pub fn figure(card: &Card, view: View, done: usize) -> Vec<Mark> {
    let hook = Measures::of(card);
    let mut draw = Draw { line: hook.backbone(), view, marks: Vec::new(), layer: 0, put: None };
    draw.hook(&hook);
    for (order, put) in forms(card).iter().enumerate().filter(|(_, put)| put.seen(done)) {
        draw.layer = order as i64 + 1;
        draw.put = Some((put.part, put.role));
        draw.form(card, put);
    }
    let mut marks = draw.marks;
    marks.sort_by_key(|(layer, _)| *layer);
    marks.into_iter().map(|(_, mark)| mark).collect()
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
    line: Backbone,
    view: View,
    marks: Vec<(i64, Mark)>,
    layer: i64,
    put: Option<(Option<usize>, Role)>,
}

impl Draw {
    fn mark(&mut self, layer: i64, tone: Tone, shape: Shape) {
        let finite = match &shape {
            Shape::Line(points, width) => width.is_finite() && points.iter().flatten().all(|v| v.is_finite()),
            Shape::Area(points) => points.iter().flatten().all(|v| v.is_finite()),
            Shape::Measured(a, b, _) => a.iter().chain(b).all(|v| v.is_finite()),
        };
        if finite {
            let (part, role) = self.put.unwrap_or((None, Role::Hook));
            self.marks.push((layer, Mark { part, role, tone, shape }));
        }
    }

    fn flat(&self, [x, y, out]: P3) -> P2 {
        match self.view {
            // Seen a little from above, so that what stands out to both sides can be told apart; lengths along the
            // hook stay true.
            View::Side => [x, y - 0.2 * out],
            View::Below => [x, out],
        }
    }

    fn hook(&mut self, hook: &Measures) {
        match (hook.shape, self.view) {
            (HookShape::Tube, _) => self.tube(hook),
            (HookShape::Double, View::Side) => {
                // The far bend swings away from the near one about the shank, and so is seen foreshortened.
                let (sin, cos) = hook.angle.sin_cos();
                let far = hook.bare_edge().into_iter().map(|[x, y]| self.flat([x, y * cos, y * sin])).collect();
                self.mark(0, Tone::Plain, Shape::Area(far));
                self.wire(hook);
            }
            (_, View::Side) => self.wire(hook),
            (_, View::Below) => self.hook_from_below(hook),
        }
    }

    fn wire(&mut self, hook: &Measures) {
        self.mark(0, Tone::Plain, Shape::Area(hook.bare_edge()));
        let rings = hook.rings();
        if rings.is_empty() {
            self.mark(0, Tone::Plain, Shape::Line(vec![[-hook.eye, 0.0], [0.0, 0.0]], hook.wire));
        }
        for (ring, width) in rings {
            self.mark(0, Tone::Plain, Shape::Line(ring, width));
        }
    }

    /// A tube by its two walls, open at both ends, and the near edges of its ends.
    fn tube(&mut self, hook: &Measures) {
        let (out, bore, end) = (hook.wire / 2.0, hook.inside / 2.0, hook.shank);
        for (near, far) in [(out, bore), (-out, -bore)] {
            self.mark(0, Tone::Plain, Shape::Area(vec![[0.0, near], [end, near], [end, far], [0.0, far]]));
        }
        for x in [0.0, end] {
            self.mark(0, Tone::Plain, Shape::Line(vec![[x, bore], [x, -bore]], (out - bore).min(0.1)));
        }
    }

    fn hook_from_below(&mut self, hook: &Measures) {
        let line = self.line.clone();
        let level: Vec<P2> = line.line.iter().map(|[x, _]| [*x, 0.0]).collect();
        let rear = hook.overall + hook.front_end() - hook.wire / 2.0;
        if hook.shape == HookShape::Double {
            // Both bends, half the spread to either side.
            for side in [1.0, -1.0] {
                let aside = side * (hook.angle / 2.0).sin();
                let bend = line.line.iter().map(|[x, y]| [*x, y * aside]).collect();
                self.mark(0, Tone::Plain, Shape::Line(bend, hook.wire));
            }
        } else {
            let (low, high) = level.iter().fold((0.0_f64, rear), |(low, high), [x, _]| (low.min(*x), high.max(*x)));
            self.mark(0, Tone::Plain, Shape::Line(vec![[low, 0.0], [high, 0.0]], hook.wire));
        }
        for (ring, width) in hook.rings() {
            let (low, high) = ring.iter().fold((f64::MAX, f64::MIN), |(low, high), [x, _]| (low.min(*x), high.max(*x)));
            let mean = ring.iter().map(|[_, y]| *y).fold(f64::MIN, f64::max) - ring.iter().map(|[_, y]| *y).fold(f64::MAX, f64::min);
            let middle = [(low + high) / 2.0, 0.0];
            self.mark(0, Tone::Plain, Shape::Line(circle(middle, mean / 2.0), width));
        }
    }

    fn form(&mut self, card: &Card, put: &Put) {
        let part = put.part.and_then(|part| card.parts.get(part));
        let length = part.and_then(|part| part.length.or(part.fibre));
        match &put.form {
            Form::Round { profile, furred } => self.round(profile, *furred),
            Form::Coil { span, turns, across, over, other_way, touching } => self.coil(*span, *turns, *across, over, *other_way, *touching),
            Form::Fan { s, lift, toward, length: reach, spread, count, bundle, fibre, even } => {
                self.fan(*s, *lift, *toward, *reach, Brush { spread: *spread, count: *count, bundle: *bundle, fibre: *fibre, even: *even });
                self.measured(*s, *lift, toward.map(|along| along * reach), length);
            }
            Form::Ring { span, turns, fibre, over, lean, each } => {
                self.ring(*span, *turns, *fibre, over, *lean, *each);
                if let Some(fig) = part.and_then(|part| part.fibre) {
                    let s = (span[0] + span[1]) / 2.0;
                    let radius = across_at(over, s).or(over.last().map(|end| end[1])).unwrap_or(0.0) / 2.0;
                    self.measured(s, radius, [0.0, *fibre, 0.0], Some(fig));
                }
            }
            Form::Leaf { s, lift, outline, tip } => {
                let points: Vec<P2> = outline.iter().map(|point| self.lifted(*s, *lift, *point)).collect();
                let far = outline.iter().map(|point| point[2]).fold(0.0, f64::min) < -1e-9;
                let layer = if far && self.view == View::Side { self.layer - FAR } else { self.layer };
                let seam = points.first().map(|first| points.iter().copied().chain([*first]).collect());
                self.mark(layer, Tone::Plain, Shape::Area(points));
                if let Some(seam) = seam {
                    self.mark(layer, Tone::Seam, Shape::Line(seam, 0.05));
                }
                self.measured(*s, *lift, *tip, part.and_then(|part| part.length));
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

    /// A point `off` from what lies `lift` above the wire at `s`.
    fn lifted(&self, s: f64, lift: f64, off: P3) -> P2 {
        let [x, y] = self.line.beside(s, lift);
        self.flat([x + off[0], y + off[1], off[2]])
    }

    fn measured(&mut self, s: f64, lift: f64, off: P3, fig: Option<Fig>) {
        if let Some(fig) = fig {
            let (a, b) = (self.lifted(s, lift, [0.0; 3]), self.lifted(s, lift, off));
            self.mark(self.layer, Tone::Plain, Shape::Measured(a, b, fig));
        }
    }

    fn round(&mut self, profile: &[P2], furred: bool) {
        let dense = thicken(profile);
        let side = |up: f64| -> Vec<P2> { dense.iter().map(|[s, across]| self.edge(*s, up * across / 2.0)).collect() };
        let (mut points, lower) = (side(1.0), side(-1.0));
        points.extend(lower.into_iter().rev());
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

    fn fan(&mut self, s: f64, lift: f64, toward: P3, length: f64, brush: Brush) {
        let (square, out) = frame(toward);
        let aside = if self.view == View::Below { 1.0 } else { 0.0 };
        let layer = if toward[2] < -0.05 && self.view == View::Side { self.layer - FAR } else { self.layer };
        let count = brush.count.clamp(1, 60);
        // The nearest fibre to the middle of the bunch has the full length.
        let inmost = if count % 2 == 1 { 0.0 } else { 1.0 / f64::from(count - 1) };
        for i in 0..count {
            let u = if count == 1 { 0.0 } else { 2.0 * f64::from(i) / f64::from(count - 1) - 1.0 };
            // Fibres lie in no order across the bunch: an angle that never repeats mixes them.
            let v = aside * (f64::from(i) * 2.4).sin();
            let reach = if brush.even { length } else { length * (1.0 - 0.14 * (u * u - inmost * inmost)) };
            let at = |share: f64| {
                let (part, side) = (reach * share, (u * brush.spread).tan() * reach * share + u * brush.bundle / 2.0);
                let depth = (v * brush.spread).tan() * reach * share + v * brush.bundle / 2.0;
                let off = [
                    toward[0] * part + square[0] * side + out[0] * depth,
                    toward[1] * part + square[1] * side + out[1] * depth,
                    toward[2] * part + square[2] * side + out[2] * depth,
                ];
                self.lifted(s, lift, off)
            };
            let points = vec![at(0.0), at(1.0)];
            self.mark(layer, Tone::Plain, Shape::Line(points, brush.fibre));
        }
    }

    /// Fibres above and below the wire, each as long as the figure says. Those that point at the one who looks are left out,
    /// so that what lies beneath can be seen.
    fn ring(&mut self, span: [f64; 2], turns: f64, fibre: f64, over: &[P2], lean: [f64; 2], each: u32) {
        const WIDEST: f64 = 1.05;
        let number = turns.ceil().max(1.0) as usize;
        for turn in 0..number {
            let share = if number == 1 { 0.5 } else { turn as f64 / (number - 1) as f64 };
            let s = span[0] + (span[1] - span[0]) * share;
            let radius = across_at(over, s).unwrap_or_else(|| over.last().map_or(0.0, |end| end[1])) / 2.0;
            let along = lean[0] + (lean[1] - lean[0]) * share;
            for i in 0..each {
                let round = if each == 1 { 0.0 } else { WIDEST * (2.0 * f64::from(i) / f64::from(each - 1) - 1.0) };
                // No two fibres of a hackle lean quite alike.
                let along = along + 0.16 * ((turn as f64 * 7.0 + f64::from(i)) * 2.4).sin();
                for up in [1.0, -1.0] {
                    let (up, out) = (up * round.cos(), round.sin());
                    let (up, out) = if self.view == View::Below { (out, up) } else { (up, out) };
                    let toward = [along.sin(), along.cos() * up, along.cos() * out];
                    let [x, y] = self.line.beside(s, radius * up);
                    let stem = [x, y, radius * out];
                    let tip = [stem[0] + toward[0] * fibre, stem[1] + toward[1] * fibre, stem[2] + toward[2] * fibre];
                    let points = vec![self.flat(stem), self.flat(tip)];
                    self.mark(self.layer, Tone::Plain, Shape::Line(points, 0.05));
                }
            }
        }
    }
}

/// How far behind a form its far half is drawn: behind the hook and all else.
const FAR: i64 = 1_000_000;

struct Brush {
    spread: f64,
    count: u32,
    bundle: f64,
    fibre: f64,
    even: bool,
}

/// Two directions square to `toward` and to each other; the first in the plane of the hook as far as may be.
fn frame(toward: P3) -> (P3, P3) {
    let square = if toward[2].abs() > 0.9 { unit([toward[2], 0.0, -toward[0]]) } else { unit([-toward[1], toward[0], 0.0]) };
    let out = [toward[1] * square[2] - toward[2] * square[1], toward[2] * square[0] - toward[0] * square[2], toward[0] * square[1] - toward[1] * square[0]];
    (square, out)
}

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
