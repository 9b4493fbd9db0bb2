//! Where on a drawing there is room: a grid over it that knows what lies where.

use super::{Mark, Shape, Tone};
use crate::card::hook_line::P2;

/// Columns of the grid; finer than a cell of a terminal, coarser than its dots.
const COLUMNS: usize = 160;
/// Rows it never exceeds, whatever the drawing's shape.
const MOST_ROWS: usize = 320;

/// What lies where.
pub(super) struct Room {
    low: P2,
    high: P2,
    /// mm a field.
    field: f64,
    rows: usize,
    taken: Vec<u8>,
}

/// Something of the fly lies in a field.
const FLY: u8 = 2;
/// What the next step brings does.
const COMING: u8 = 1;

impl Room {
    /// The room between two corners, with these marks in it. `None` where the corners enclose nothing.
    pub(super) fn of(marks: &[Mark], (low, high): (P2, P2)) -> Option<Self> {
        let (wide, tall) = (high[0] - low[0], high[1] - low[1]);
        if !(wide.is_finite() && tall.is_finite() && wide > 1e-6 && tall > 1e-6) {
            return None;
        }
        let field = (wide / COLUMNS as f64).max(tall / MOST_ROWS as f64);
        let rows = ((tall / field).ceil() as usize).clamp(1, MOST_ROWS);
        let mut room = Room { low, high, field, rows, taken: vec![0; COLUMNS * rows] };
        for mark in marks {
            let by = if mark.tone == Tone::Coming { COMING } else { FLY };
            match &mark.shape {
                Shape::Line(points, _) => room.line(points, by),
                Shape::Area(points) => {
                    room.line(points, by);
                    room.area(points, by);
                }
                Shape::Measured(..) => {}
            }
        }
        Some(room)
    }

    /// The larger side of it, mm.
    pub(super) fn size(&self) -> f64 {
        (self.high[0] - self.low[0]).max(self.high[1] - self.low[1])
    }

    /// mm a field.
    pub(super) fn field(&self) -> f64 {
        self.field
    }

    /// How much lies at a point, 0 to 1; `None` outside.
    pub(super) fn taken(&self, point: P2) -> Option<f64> {
        let at = self.index(point)?;
        self.taken.get(at).map(|by| f64::from(*by) / f64::from(FLY))
    }

    fn index(&self, [x, y]: P2) -> Option<usize> {
        let (column, row) = ((x - self.low[0]) / self.field, (y - self.low[1]) / self.field);
        let inside = (0.0..COLUMNS as f64).contains(&column) && (0.0..self.rows as f64).contains(&row);
        inside.then(|| row as usize * COLUMNS + column as usize)
    }

    fn take(&mut self, at: Option<usize>, by: u8) {
        if let Some(taken) = at.and_then(|at| self.taken.get_mut(at)) {
            *taken = (*taken).max(by);
        }
    }

    fn line(&mut self, points: &[P2], by: u8) {
        for (a, b) in points.iter().zip(points.iter().skip(1)) {
            let strides = ((b[0] - a[0]).hypot(b[1] - a[1]) / self.field).ceil().clamp(1.0, 2000.0) as u32;
            for i in 0..=strides {
                let share = f64::from(i) / f64::from(strides);
                self.take(self.index([a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]), by);
            }
        }
    }

    /// The inside of an area, row by row (even-odd).
    fn area(&mut self, points: &[P2], by: u8) {
        let next = || points.iter().skip(1).chain(points.first());
        let (lowest, highest) = points.iter().fold((f64::MAX, f64::MIN), |(low, high), [_, y]| (low.min(*y), high.max(*y)));
        let row_of = |y: f64| ((y - self.low[1]) / self.field).clamp(0.0, self.rows as f64) as usize;
        for row in row_of(lowest)..row_of(highest) {
            let level = self.low[1] + (row as f64 + 0.5) * self.field;
            let crossing = |(a, b): (&P2, &P2)| ((a[1] <= level) != (b[1] <= level)).then(|| a[0] + (level - a[1]) / (b[1] - a[1]) * (b[0] - a[0]));
            let mut crossings: Vec<f64> = points.iter().zip(next()).filter_map(crossing).collect();
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2) {
                let [from, to] = pair else { continue };
                let column = |x: f64| ((x - self.low[0]) / self.field).clamp(0.0, COLUMNS as f64) as usize;
                for column in column(*from)..column(*to) {
                    self.take(Some(row * COLUMNS + column), by);
                }
            }
        }
    }
}
