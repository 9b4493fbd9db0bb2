//! A drawing in cells: marks in mm painted with Braille dots (or ASCII) over a rule in mm.
//!
//! ```text
//!      |--- 5.0 mm ---|
//!                  ⢀⡠⠤⠒        the fly, to one scale along and across
//!  ┴─┴─┴─┼─┴─┴─┴─┴─┼─┴─┴       ticks each mm where there is room
//!        5         0  mm       0 at the rear of the eye
//! ```

mod beside;
mod raster;

use crate::card::figure::dimension::dimension;
use crate::card::figure::{Mark, Shape, Tone, extents};
use crate::card::form::Role;
use crate::card::hook_line::P2;
use crate::measure::Lengths;
use crate::measure::shown::INCH;
use crate::why::Geometry;
use raster::{Dot, Fill, Raster};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

/// How a mark stands to its neighbours; told by its fill and its signs too, for a screen without colours.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stand {
    /// As it is.
    #[default]
    Plain,
    /// Back.
    Quiet,
    /// Out.
    Bright,
}

/// What is painted, and how.
pub struct Painting<'a> {
    /// The marks, back to front.
    pub marks: &'a [Mark],
    /// The card's figures, for the length of `measured`.
    pub figures: &'a Geometry,
    /// The style of a mark.
    pub styles: &'a dyn Fn(&Mark) -> Style,
    /// How a mark stands to the others.
    pub stands: &'a dyn Fn(&Mark) -> Stand,
    /// The style of the rule.
    pub rule: Style,
    /// The style of a length and of the line that tells it.
    pub length: Style,
    /// Width of a cell over its height; half where nothing better is known.
    pub cell: f64,
    /// Plain characters in place of Braille dots.
    pub ascii: bool,
    /// Drawn as in a left-handed vice, with the eye at the left; else at the right.
    pub mirrored: bool,
    /// Parts of which the first that has a length here is measured, by place on the card.
    pub measured: &'a [usize],
    /// What lengths are shown in.
    pub lengths: Lengths,
    /// The corners that are to fit, mm, so that drawings of one fly stand in one place; those of the marks where `None`.
    pub frame: Option<(P2, P2)>,
}

/// One scale for the whole painting: mm to dots.
struct Scale {
    /// mm a dot, along and up.
    dot: [f64; 2],
    /// The dot of the place 0 on the wire's line.
    zero: Dot,
    /// 1 where the bend is to the right, -1 where it is to the left.
    facing: f64,
}

impl Scale {
    fn dot(&self, [x, y]: P2) -> Dot {
        [self.zero[0] + self.facing * x / self.dot[0], self.zero[1] - y / self.dot[1]]
    }

    /// The place in mm that a dot shows.
    fn place(&self, [x, y]: Dot) -> P2 {
        [(x - self.zero[0]) * self.facing * self.dot[0], (self.zero[1] - y) * self.dot[1]]
    }
}

impl Painting<'_> {
    /// Paints into `area`, as far as it lies in the buffer. Any size will do; too small a one shows less.
    pub fn render(&self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        let rule_rows = match area.height {
            0..=3 => 0,
            4..=6 => 1,
            _ => 2,
        };
        let drawing = Rect { height: area.height - rule_rows, ..area };
        if drawing.is_empty() {
            return;
        }
        let Some(scale) = self.scale(drawing) else { return };
        self.draw(drawing, &scale, buf);
        if rule_rows > 0 {
            self.draw_rule(Rect { y: area.y + drawing.height, height: rule_rows, ..area }, &scale, buf);
        }
    }

    /// The largest scale at which everything fits, the fly in the middle.
    fn scale(&self, area: Rect) -> Option<Scale> {
        let (low, high) = self.frame.or_else(|| extents(self.marks))?;
        let cell = if self.cell.is_finite() { self.cell.clamp(0.2, 2.0) } else { 0.5 };
        // Half a cell is left free on both sides where there is room for it.
        let margin = if area.width >= 12 { 2.0 } else { 0.0 };
        let (across, down) = (f64::from(area.width) * 2.0 - margin, f64::from(area.height) * 4.0);
        // A dot is half a cell wide and a quarter high.
        let high_dot = 1.0 / (2.0 * cell);
        let along = ((high[0] - low[0]) / (across - 1.0).max(1.0)).max((high[1] - low[1]) / (down - 1.0).max(1.0) / high_dot).max(1e-6);
        let dot = [along, along * high_dot];
        let facing = if self.mirrored { 1.0 } else { -1.0 };
        let middle = [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0];
        let zero = [f64::from(area.width) - facing * middle[0] / dot[0], f64::from(area.height) * 2.0 + middle[1] / dot[1]];
        Some(Scale { dot, zero, facing })
    }

    fn draw(&self, area: Rect, scale: &Scale, buf: &mut Buffer) {
        let mut raster = Raster::new(usize::from(area.width) * 2, usize::from(area.height) * 4);
        let placed: Vec<Vec<Dot>> = self.marks.iter().map(|mark| points(&mark.shape).iter().map(|p| scale.dot(*p)).collect()).collect();
        let stands: Vec<Stand> = self.marks.iter().map(|mark| (self.stands)(mark)).collect();
        let is_area = |at: usize| self.marks.get(at).is_some_and(|mark| mark.role == Role::Part && matches!(mark.shape, Shape::Area(_)));
        for (at, ((mark, dots), stand)) in self.marks.iter().zip(&placed).zip(&stands).enumerate() {
            match &mark.shape {
                Shape::Area(_) => raster.area(dots, at, fill_of(mark, *stand)),
                // Seams finer than a third of a dot would only make a body patchy.
                Shape::Line(_, width) if mark.tone == Tone::Seam => {
                    if width / scale.dot[0] > 0.34 {
                        raster.seam(dots);
                    }
                }
                // A strand that is to lie over something is seen on it; an outline would only cut it up.
                Shape::Line(..) if mark.tone == Tone::Coming && dots.first() != dots.last() => raster.dotted_clear(dots, at),
                Shape::Line(..) if mark.tone == Tone::Coming => raster.dotted(dots, at),
                Shape::Line(..) if mark.tone == Tone::Dotted => raster.dotted(dots, at),
                Shape::Line(_, width) => raster.line(dots, width / scale.dot[0], at, &is_area),
                Shape::Measured(..) => {}
            }
        }
        let ranks: Vec<u8> = self.marks.iter().zip(&stands).map(|(mark, stand)| self.rank(mark, *stand)).collect();
        for row in 0..area.height {
            for column in 0..area.width {
                let Some((bits, mark)) = lit(&raster, &ranks, column, row) else { continue };
                let Some((mark, dots, stand)) = self.marks.get(mark).zip(placed.get(mark)).zip(stands.get(mark)).map(|((a, b), c)| (a, b, *c)) else {
                    continue;
                };
                let symbol = if self.ascii {
                    Some(plain(mark, stand, dots, [f64::from(column) * 2.0 + 1.0, f64::from(row) * 4.0 + 2.0]))
                } else {
                    char::from_u32(0x2800 + bits)
                };
                if let (Some(cell), Some(symbol)) = (buf.cell_mut((area.x + column, area.y + row)), symbol) {
                    cell.set_char(symbol).set_style((self.styles)(mark));
                }
            }
        }
        let ends = [[0.0, 0.0], [f64::from(area.width) * 2.0, f64::from(area.height) * 4.0]].map(|dot| scale.place(dot));
        let corners = ([ends[0][0].min(ends[1][0]), ends[1][1]], [ends[0][0].max(ends[1][0]), ends[0][1]]);
        // A length has up to seven signs, `10.3 mm`, and is kept half a sign clear of the fly at both ends.
        let label = [16.0 * scale.dot[0], 4.0 * scale.dot[1]];
        if let Some(dimension) = self.measured.iter().find_map(|part| dimension(self.marks, self.figures, *part, corners, label)) {
            self.draw_length(&dimension, area, scale, buf);
        }
    }

    /// Which of the marks in one cell gives it its look: the hook's only where nothing else is, and that of what is
    /// coming in ASCII alone, where a cell has no room for two.
    fn rank(&self, mark: &Mark, stand: Stand) -> u8 {
        match (mark.tone, mark.role) {
            (Tone::Coming, _) if self.ascii => 3,
            (Tone::Coming, _) => 0,
            _ if stand == Stand::Bright && self.ascii => 4,
            (_, Role::Hook) => 1,
            _ => 2,
        }
    }

    /// A rule in mm or inches beneath the drawing, 0 at the rear of the eye.
    fn draw_rule(&self, area: Rect, scale: &Scale, buf: &mut Buffer) {
        const MM: [f64; 8] = [1.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
        // Of an inch: the twentieth is nearest to the millimetre of what has few decimals.
        const INCHES: [f64; 8] = [0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0];
        let (strides, one, least_figure) = if self.lengths == Lengths::Inches { (INCHES, INCH, 0.1) } else { (MM, 1.0, 5.0) };
        let cells_a_mm = 1.0 / (2.0 * scale.dot[0]);
        let stride = |least: f64, cells: f64| strides.into_iter().find(|stride| *stride >= least && stride * one * cells_a_mm >= cells);
        let (Some(tick), Some(figure)) = (stride(0.0, 2.0), stride(least_figure, 5.0)) else { return };
        let base = if self.ascii { "-" } else { "─" };
        for column in 0..area.width {
            buf.set_string(area.x + column, area.y, base, self.rule);
        }
        let column_of = |mm: f64| {
            let column = (scale.dot([mm, 0.0])[0] / 2.0).floor();
            (column >= 0.0 && column < f64::from(area.width)).then_some(column as u16)
        };
        let ends = [0.0, f64::from(area.width) * 2.0].map(|x| (x - scale.zero[0]) * scale.facing * scale.dot[0]);
        let (low, high) = (ends[0].min(ends[1]) / one, ends[0].max(ends[1]) / one);
        let each = |stride: f64| ((low / stride).ceil() as i64..=(high / stride).floor() as i64).map(move |i| i as f64 * stride);
        for column in each(tick).filter_map(|at| column_of(at * one)) {
            buf.set_string(area.x + column, area.y, if self.ascii { "'" } else { "┴" }, self.rule);
        }
        let unit = area.width.saturating_sub(2);
        for (at, column) in each(figure).filter_map(|at| Some((at, column_of(at * one)?))) {
            buf.set_string(area.x + column, area.y, if self.ascii { "|" } else { "┼" }, self.rule);
            // Nought is written without the sign it may have come by.
            let at = if at == 0.0 { 0.0 } else { at };
            let text = if figure < 1.0 { format!("{at:.1}") } else { format!("{at:.0}") };
            let start = column.saturating_sub((text.len() as u16 - 1) / 2);
            if area.height > 1 && start + text.len() as u16 + 1 < unit {
                buf.set_string(area.x + start, area.y + 1, text, self.rule);
            }
        }
        if area.height > 1 && area.width >= 2 {
            buf.set_string(area.x + unit, area.y + 1, self.lengths.unit(), self.rule);
        }
    }
}

fn points(shape: &Shape) -> &[P2] {
    match shape {
        Shape::Line(points, _) | Shape::Area(points) => points,
        Shape::Measured(..) => &[],
    }
}

/// How an area is filled: what stands back with fewer dots, what is furred with fewer than what is smooth.
fn fill_of(mark: &Mark, stand: Stand) -> Fill {
    match (stand, mark.tone == Tone::Soft) {
        _ if mark.role == Role::Hook => Fill::All,
        (Stand::Bright | Stand::Plain, false) => Fill::All,
        (Stand::Bright, true) => Fill::Most,
        (Stand::Plain, true) | (Stand::Quiet, false) => Fill::Half,
        (Stand::Quiet, true) => Fill::Few,
    }
}

/// The dots of a cell as the bits of its Braille sign, and the mark that gives it its look: of the highest rank, then
/// topmost. `None` for a dark cell.
fn lit(raster: &Raster, ranks: &[u8], column: u16, row: u16) -> Option<(u32, usize)> {
    // Dots of a Braille cell by column and row: Unicode, block Braille Patterns.
    const BRAILLE: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];
    let (mut bits, mut top) = (0, None);
    for (x, column_bits) in BRAILLE.iter().enumerate() {
        for (y, bit) in column_bits.iter().enumerate() {
            if let Some(mark) = raster.lit(usize::from(column) * 2 + x, usize::from(row) * 4 + y) {
                bits |= bit;
                top = top.max(ranks.get(mark).map(|rank| (*rank, mark)));
            }
        }
    }
    top.map(|(_, mark)| (bits, mark))
}

/// The character of a mark in one cell: what is open or coming `.`, round things `o`, solid ones `#` (a second material
/// `=`), `:` where they stand back, lines and the hook's wire by their direction near the middle of the cell.
fn plain(mark: &Mark, stand: Stand, dots: &[Dot], middle: Dot) -> char {
    let closed = dots.len() > 8 && dots.first().zip(dots.last()).is_some_and(|(a, b)| (a[0] - b[0]).hypot(a[1] - b[1]) < 1e-6);
    match mark.shape {
        _ if matches!(mark.tone, Tone::Dotted | Tone::Coming) => return '.',
        Shape::Line(..) if closed && mark.role == Role::Hook => return 'o',
        Shape::Area(_) if closed => return 'o',
        // Materials side by side in one part are told apart without colour too.
        Shape::Area(_) if mark.role != Role::Hook => {
            let signs = if stand == Stand::Quiet { [':', ';', '*', '"'] } else { ['#', '=', '%', '+'] };
            return signs.get(mark.piece % 4).copied().unwrap_or('#');
        }
        _ => {}
    }
    let from_middle = |(a, b): &(&Dot, &Dot)| {
        let along = [b[0] - a[0], b[1] - a[1]];
        let size = (along[0] * along[0] + along[1] * along[1]).max(1e-12);
        let share = (((middle[0] - a[0]) * along[0] + (middle[1] - a[1]) * along[1]) / size).clamp(0.0, 1.0);
        (a[0] + share * along[0] - middle[0]).hypot(a[1] + share * along[1] - middle[1])
    };
    let nearest = dots.iter().zip(dots.iter().skip(1)).min_by(|one, other| from_middle(one).total_cmp(&from_middle(other)));
    nearest.map_or('-', |(a, b)| direction(*a, *b))
}

/// The character of a line from one dot to another.
fn direction(a: Dot, b: Dot) -> char {
    let (along, down) = (b[0] - a[0], b[1] - a[1]);
    // 22.5 degrees from either axis.
    match (along.abs(), down.abs()) {
        (x, y) if y <= 0.414 * x => '-',
        (x, y) if x <= 0.414 * y => '|',
        _ if along * down > 0.0 => '\\',
        _ => '/',
    }
}

#[cfg(test)]
mod tests;
