//! A grid of dots, two by four to a cell, in which each dot knows the mark that lit it.

/// A point on the grid in dots, x to the right, y down; the middle of the first dot is (0.5, 0.5).
pub(super) type Dot = [f64; 2];

/// Coordinates beyond this many dots are drawn no further: nothing so far off is to be seen.
const FAR: f64 = 1e6;

#[derive(Clone, Copy, Default)]
struct Cell {
    /// The mark on top, counted from 1; 0 for none.
    owner: u32,
    lit: bool,
}

/// How many dots of an area are lit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fill {
    /// All.
    All,
    /// Three of four.
    Most,
    /// Every other.
    Half,
    /// One of four.
    Few,
}

impl Fill {
    fn lights(self, x: i64, y: i64) -> bool {
        match self {
            Fill::All => true,
            // Staggered, so that neither rows nor columns are seen.
            Fill::Most => !Fill::Few.lights(x, y),
            Fill::Half => (x + y) % 2 == 0,
            Fill::Few => y % 2 == 0 && (x + y / 2 * 2 % 4 / 2) % 2 == 0,
        }
    }
}

/// The grid.
pub(super) struct Raster {
    width: usize,
    height: usize,
    dots: Vec<Cell>,
}

impl Raster {
    /// An empty grid of so many dots.
    pub(super) fn new(width: usize, height: usize) -> Self {
        Raster { width, height, dots: vec![Cell::default(); width * height] }
    }

    /// The mark that lit the dot, counted from 0; `None` for a dark dot or one off the grid.
    pub(super) fn lit(&self, x: usize, y: usize) -> Option<usize> {
        let dot = self.index(x as i64, y as i64).and_then(|at| self.dots.get(at))?;
        (dot.lit && dot.owner > 0).then(|| dot.owner as usize - 1)
    }

    fn index(&self, x: i64, y: i64) -> Option<usize> {
        let (x, y) = (usize::try_from(x).ok()?, usize::try_from(y).ok()?);
        (x < self.width && y < self.height).then(|| y * self.width + x)
    }

    fn set(&mut self, x: i64, y: i64, owner: u32, lit: bool) {
        if let Some(dot) = self.index(x, y).and_then(|at| self.dots.get_mut(at)) {
            *dot = Cell { owner, lit };
        }
    }

    /// Darkens a dot without changing what lies there.
    fn darken(&mut self, x: i64, y: i64) {
        if let Some(dot) = self.index(x, y).and_then(|at| self.dots.get_mut(at)) {
            dot.lit = false;
        }
    }

    fn owner(&self, x: i64, y: i64) -> u32 {
        self.index(x, y).and_then(|at| self.dots.get(at)).map_or(0, |dot| dot.owner)
    }

    /// Fills an area by scanlines (even-odd) and draws its edge, so that nothing is too thin to be seen. What lies
    /// beneath is covered.
    pub(super) fn area(&mut self, points: &[Dot], mark: usize, fill: Fill) {
        let owner = mark as u32 + 1;
        let low = points.iter().map(|p| p[1]).fold(f64::MAX, f64::min).max(0.0) as usize;
        let high = points.iter().map(|p| p[1]).fold(f64::MIN, f64::max).clamp(0.0, self.height as f64).ceil() as usize;
        let next = || points.iter().skip(1).chain(points.first());
        for y in low..high.min(self.height) {
            let level = y as f64 + 0.5;
            let crossing = |(a, b): (&Dot, &Dot)| ((a[1] <= level) != (b[1] <= level)).then(|| a[0] + (level - a[1]) / (b[1] - a[1]) * (b[0] - a[0]));
            let mut crossings: Vec<f64> = points.iter().zip(next()).filter_map(crossing).collect();
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2) {
                let [from, to] = pair else { continue };
                let (from, to) = ((from - 0.5).ceil().max(0.0) as i64, (to - 0.5).floor().min(self.width as f64) as i64);
                for x in from..=to {
                    self.set(x, y as i64, owner, fill.lights(x, y as i64));
                }
            }
        }
        for (a, b) in points.iter().zip(next()) {
            self.walk(*a, *b, |raster, x, y| raster.set(x, y, owner, true));
        }
    }

    /// Draws a line at least one dot thick. Where it crosses an area for which `apart` holds (marks counted from 0), a
    /// dark dot is kept on both sides, so that a rib is seen on a body without colours too.
    pub(super) fn line(&mut self, points: &[Dot], thick: f64, mark: usize, apart: &dyn Fn(usize) -> bool) {
        let owner = mark as u32 + 1;
        let radius = if thick < 1.6 { 0.0 } else { (thick / 2.0).min(40.0) };
        let reach = radius.ceil() as i64;
        let strides = || points.iter().zip(points.iter().skip(1));
        for (a, b) in strides() {
            self.walk(*a, *b, |raster, x, y| {
                for x in x - reach - 1..=x + reach + 1 {
                    let below = raster.owner(x, y);
                    if below > 0 && below != owner && apart(below as usize - 1) {
                        raster.darken(x, y);
                    }
                }
            });
        }
        for (a, b) in strides() {
            self.walk(*a, *b, |raster, x, y| {
                for dy in -reach..=reach {
                    for dx in -reach..=reach {
                        if (dx * dx + dy * dy) as f64 <= radius * radius {
                            raster.set(x + dx, y + dy, owner, true);
                        }
                    }
                }
            });
        }
    }

    /// A line of single dots, three apart.
    pub(super) fn dotted(&mut self, points: &[Dot], mark: usize) {
        let owner = mark as u32 + 1;
        let mut count = 0_u32;
        for (a, b) in points.iter().zip(points.iter().skip(1)) {
            self.walk(*a, *b, |raster, x, y| {
                if count.is_multiple_of(3) {
                    raster.set(x, y, owner, true);
                }
                count += 1;
            });
        }
    }

    /// The same, kept clear of what lies to both sides of it: on a dark ground single dots, on an area a dark way with
    /// dots in it.
    pub(super) fn dotted_clear(&mut self, points: &[Dot], mark: usize) {
        for (a, b) in points.iter().zip(points.iter().skip(1)) {
            self.walk(*a, *b, |raster, x, y| (x - 1..=x + 1).for_each(|x| raster.darken(x, y)));
        }
        self.dotted(points, mark);
    }

    /// A seam: a dark line through what lies there.
    pub(super) fn seam(&mut self, points: &[Dot]) {
        for (a, b) in points.iter().zip(points.iter().skip(1)) {
            self.walk(*a, *b, Raster::darken);
        }
    }

    /// Calls for each dot on the straight way from one point to another.
    fn walk(&mut self, a: Dot, b: Dot, mut each: impl FnMut(&mut Self, i64, i64)) {
        if !a.iter().chain(&b).all(|v| v.is_finite() && v.abs() < FAR) {
            return;
        }
        let strides = (b[0] - a[0]).abs().max((b[1] - a[1]).abs()).ceil().max(1.0) as usize;
        for i in 0..=strides {
            let share = i as f64 / strides as f64;
            let (x, y) = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share);
            each(self, x.floor() as i64, y.floor() as i64);
        }
    }
}
