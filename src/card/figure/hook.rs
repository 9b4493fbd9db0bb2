//! The marks of the bare hook, or of what stands for one.

use super::{Draw, Shape, Tone, View};
use crate::card::hook_line::{Measures, P2, circle};
use crate::dressing::HookShape;

impl Draw {
    pub(super) fn hook(&mut self, hook: &Measures) {
        match (hook.shape, self.view) {
            (HookShape::Tube, _) => self.tube(hook),
            (HookShape::Double, View::Side) => {
                self.mark(0, Tone::Plain, Shape::Area(hook.far_bend().unwrap_or_default()));
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
}
