//! A length beside the fly: its line with a tick at both ends, and its figure where it covers least.

use super::raster::{Dot, Raster};
use super::{Painting, Scale, direction};
use crate::card::figure::dimension::Dimension;
use crate::card::text::shown;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Modifier;

/// Half the length of a tick, dots.
const TICK: f64 = 2.5;

impl Painting<'_> {
    pub(super) fn draw_length(&self, dimension: &Dimension, area: Rect, scale: &Scale, buf: &mut Buffer) {
        let (width, height) = (f64::from(area.width) * 2.0, f64::from(area.height) * 4.0);
        let within = |[x, y]: Dot| [x.clamp(0.0, width - 0.5), y.clamp(0.0, height - 0.5)];
        let line: Vec<Dot> = dimension.line.iter().map(|point| within(scale.dot(*point))).collect();
        let ticks = [(line.first(), dimension.away[0]), (line.last(), dimension.away[1])].into_iter().filter_map(|(end, away)| {
            let [x, y] = *end?;
            let toward = [scale.facing * away[0] * TICK, -away[1] * TICK];
            Some([within([x - toward[0], y - toward[1]]), within([x + toward[0], y + toward[1]])])
        });
        if self.ascii {
            self.plain_line(&line, area, buf);
        } else {
            let mut own = Raster::new(usize::from(area.width) * 2, usize::from(area.height) * 4);
            own.line(&line, 1.0, 0, &|_| false);
            ticks.for_each(|tick| own.line(&tick, 1.0, 0, &|_| false));
            for (column, row) in (0..area.height).flat_map(|row| (0..area.width).map(move |column| (column, row))) {
                let Some((bits, _)) = super::lit(&own, &[0], column, row) else { continue };
                let Some(cell) = buf.cell_mut((area.x + column, area.y + row)) else { continue };
                // What of the fly lies in the same cell is still to be seen.
                let below = cell.symbol().chars().next().map_or(0, u32::from);
                let below = if (0x2800..0x2900).contains(&below) { below - 0x2800 } else { 0 };
                if let Some(symbol) = char::from_u32(0x2800 + (bits | below)) {
                    cell.modifier = Modifier::empty();
                    cell.set_char(symbol).set_style(self.length);
                }
            }
        }
        self.write_length(dimension, area, scale, buf);
    }

    /// The line in characters, its ends `+`.
    fn plain_line(&self, line: &[Dot], area: Rect, buf: &mut Buffer) {
        let mut put = |[x, y]: Dot, sign: char| {
            if let Some(cell) = buf.cell_mut((area.x + (x / 2.0) as u16, area.y + (y / 4.0) as u16)) {
                cell.modifier = Modifier::empty();
                cell.set_char(sign).set_style(self.length);
            }
        };
        for (a, b) in line.iter().zip(line.iter().skip(1)) {
            let strides = ((b[0] - a[0]) / 2.0).abs().max(((b[1] - a[1]) / 4.0).abs()).ceil().clamp(1.0, 400.0) as u32;
            for share in (0..=strides).map(|i| f64::from(i) / f64::from(strides)) {
                put([a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share], direction(*a, *b));
            }
        }
        [line.first(), line.last()].into_iter().flatten().for_each(|end| put(*end, '+'));
    }

    /// Writes the figure. What is not seen in its true length is underlined, as a dimension that is out of scale is
    /// (ISO 129-1, from memory).
    fn write_length(&self, dimension: &Dimension, area: Rect, scale: &Scale, buf: &mut Buffer) {
        let text = shown(self.figures.at(dimension.fig));
        let wide = text.len() as u16;
        if wide > area.width {
            return;
        }
        let [x, y] = scale.dot(dimension.label);
        let column = (x / 2.0 - f64::from(wide) / 2.0).round().clamp(0.0, f64::from(area.width - wide)) as u16;
        let row = (y / 4.0).floor().clamp(0.0, f64::from(area.height - 1)) as u16;
        let underlined = if dimension.is_true { Modifier::empty() } else { Modifier::UNDERLINED };
        for column in column..column + wide {
            if let Some(cell) = buf.cell_mut((area.x + column, area.y + row)) {
                // Nothing of what lay here is left, neither bold nor dim.
                cell.modifier = Modifier::empty();
                cell.set_char(' ');
            }
        }
        buf.set_stringn(area.x + column, area.y + row, &text, usize::from(wide), self.length.add_modifier(Modifier::BOLD | underlined));
    }
}
