//! A drawing in cells: marks in mm painted with Braille dots (or ASCII) over a rule in mm.
//!
//! ```text
//!                  ⢀⡠⠤⠒        the fly, to one scale along and across
//!  ┴─┴─┴─┼─┴─┴─┴─┴─┼─┴─┴       ticks each mm where there is room
//!        5         0  mm       0 at the rear of the eye
//! ```

mod raster;

use crate::card::figure::{Mark, Shape, Tone, extents};
use crate::card::form::Role;
use crate::card::hook_line::P2;
use crate::measure::Lengths;
use crate::measure::shown::INCH;
use crate::why::Geometry;
use raster::{Dot, Raster};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Color, Modifier, Style};

/// What is painted, and how.
pub struct Painting<'a> {
    /// The marks, back to front.
    pub marks: &'a [Mark],
    /// The card's figures, for the length shown with `highlight`.
    pub figures: &'a Geometry,
    /// The colour of a mark.
    pub colours: &'a dyn Fn(&Mark) -> Color,
    /// The style of the rule.
    pub rule: Style,
    /// Width of a cell over its height; half where nothing better is known.
    pub cell: f64,
    /// Plain characters in place of Braille dots.
    pub ascii: bool,
    /// Drawn as in a left-handed vice, with the eye at the left; else at the right.
    pub mirrored: bool,
    /// The part whose length is shown by a line with its mm.
    pub highlight: Option<usize>,
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
        let is_area = |at: usize| self.marks.get(at).is_some_and(|mark| mark.role == Role::Part && matches!(mark.shape, Shape::Area(_)));
        for (at, (mark, dots)) in self.marks.iter().zip(&placed).enumerate() {
            match &mark.shape {
                Shape::Area(_) => raster.area(dots, at, mark.tone == Tone::Soft),
                // Seams finer than a third of a dot would only make a body patchy.
                Shape::Line(_, width) if mark.tone == Tone::Seam => {
                    if width / scale.dot[0] > 0.34 {
                        raster.seam(dots);
                    }
                }
                Shape::Line(..) if mark.tone == Tone::Dotted => raster.dotted(dots, at),
                Shape::Line(_, width) => raster.line(dots, width / scale.dot[0], at, &is_area),
                Shape::Measured(..) => {}
            }
        }
        let label = self.dimension(scale, area, &mut raster);
        for row in 0..area.height {
            for column in 0..area.width {
                let Some((symbol, mark)) = self.cell(&raster, &placed, column, row) else { continue };
                if let (Some(cell), Some(mark)) = (buf.cell_mut((area.x + column, area.y + row)), self.marks.get(mark)) {
                    cell.set_char(symbol).set_style(Style::new().fg((self.colours)(mark)));
                }
            }
        }
        if let Some((text, column, row, mark)) = label {
            let style = self.marks.get(mark).map_or(Style::new(), |mark| Style::new().fg((self.colours)(mark))).add_modifier(Modifier::BOLD);
            buf.set_stringn(area.x + column, area.y + row, text, usize::from(area.width - column), style);
        }
    }

    /// What stands in a cell, and the mark that gives its colour: the topmost, but the hook only where nothing else is.
    fn cell(&self, raster: &Raster, placed: &[Vec<Dot>], column: u16, row: u16) -> Option<(char, usize)> {
        // Dots of a Braille cell by column and row: Unicode, block Braille Patterns.
        const BRAILLE: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];
        let (mut bits, mut top) = (0, None);
        for (x, column_bits) in BRAILLE.iter().enumerate() {
            for (y, bit) in column_bits.iter().enumerate() {
                if let Some(mark) = raster.lit(usize::from(column) * 2 + x, usize::from(row) * 4 + y) {
                    bits |= bit;
                    let hook = self.marks.get(mark).is_some_and(|mark| mark.role == Role::Hook);
                    top = top.max(Some((!hook, mark)));
                }
            }
        }
        let (_, mark) = top?;
        let symbol = if self.ascii {
            let middle = [f64::from(column) * 2.0 + 1.0, f64::from(row) * 4.0 + 2.0];
            placed.get(mark).and_then(|dots| Some(plain(self.marks.get(mark)?, dots, middle)))?
        } else {
            char::from_u32(0x2800 + bits)?
        };
        Some((symbol, mark))
    }

    /// Draws the highlighted part's length beside it, with ticks at both ends; gives its text, where that goes, and the
    /// mark it belongs to.
    fn dimension(&self, scale: &Scale, area: Rect, raster: &mut Raster) -> Option<(String, u16, u16, usize)> {
        let wanted = self.highlight?;
        let measured = |(at, mark): (usize, &Mark)| match mark.shape {
            Shape::Measured(a, b, fig) if mark.part == Some(wanted) => Some((at, a, b, fig)),
            _ => None,
        };
        let (at, a, b, fig) = self.marks.iter().enumerate().find_map(measured)?;
        let mm = self.figures.value(fig);
        let text = format!("{} {}", self.lengths.plain(mm, 1), self.lengths.unit());
        let (mut a, mut b) = (scale.dot(a), scale.dot(b));
        let length = (b[0] - a[0]).hypot(b[1] - a[1]).max(1.0);
        let mut square = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
        // Upward from what lies along the hook, toward the eye from what stands on it: there is room there.
        let toward_eye = -scale.facing * square[0];
        if if square[1].abs() > square[0].abs() { square[1] > 0.0 } else { toward_eye < 0.0 } {
            square = [-square[0], -square[1]];
        }
        let off = 4.0 + 0.2 * length;
        let (width, height) = (f64::from(area.width) * 2.0, f64::from(area.height) * 4.0);
        for point in [&mut a, &mut b] {
            *point = [(point[0] + off * square[0]).clamp(0.0, width - 0.5), (point[1] + off * square[1]).clamp(0.0, height - 0.5)];
        }
        raster.line(&[a, b], 1.0, at, &|_| false);
        for end in [a, b] {
            let tick = |by: f64| [end[0] + by * square[0], end[1] + by * square[1]];
            raster.line(&[tick(-2.0), tick(2.0)], 1.0, at, &|_| false);
        }
        let middle = [(a[0] + b[0]) / 2.0 + 3.0 * square[0], (a[1] + b[1]) / 2.0 + 5.0 * square[1]];
        let room = (width / 2.0 - text.len() as f64).max(0.0);
        let start = match square[0] {
            side if side > 0.5 => middle[0] / 2.0,
            side if side < -0.5 => middle[0] / 2.0 - text.len() as f64,
            _ => middle[0] / 2.0 - text.len() as f64 / 2.0,
        };
        let row = (middle[1] / 4.0).floor().clamp(0.0, height / 4.0 - 1.0);
        Some((text, start.clamp(0.0, room) as u16, row as u16, at))
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

/// The character of a mark in one cell: what is open `.`, round things `o`, solid ones `#` (a second material `=`), lines and the hook's wire by their direction
/// near the middle of the cell.
fn plain(mark: &Mark, dots: &[Dot], middle: Dot) -> char {
    let closed = dots.len() > 8 && dots.first().zip(dots.last()).is_some_and(|(a, b)| (a[0] - b[0]).hypot(a[1] - b[1]) < 1e-6);
    match mark.shape {
        _ if mark.tone == Tone::Dotted => return '.',
        Shape::Line(..) if closed && mark.role == Role::Hook => return 'o',
        Shape::Area(_) if closed => return 'o',
        // Materials side by side in one part are told apart without colour too.
        Shape::Area(_) if mark.role != Role::Hook => return ['#', '=', '%', '+'].get(mark.piece % 4).copied().unwrap_or('#'),
        _ => {}
    }
    let from_middle = |(a, b): &(&Dot, &Dot)| {
        let along = [b[0] - a[0], b[1] - a[1]];
        let size = (along[0] * along[0] + along[1] * along[1]).max(1e-12);
        let share = (((middle[0] - a[0]) * along[0] + (middle[1] - a[1]) * along[1]) / size).clamp(0.0, 1.0);
        (a[0] + share * along[0] - middle[0]).hypot(a[1] + share * along[1] - middle[1])
    };
    let nearest = dots.iter().zip(dots.iter().skip(1)).min_by(|one, other| from_middle(one).total_cmp(&from_middle(other)));
    let Some((a, b)) = nearest else { return '-' };
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
