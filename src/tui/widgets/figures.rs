//! A table of figures, one of them chosen. What does not fit across lies beyond the edge and comes in as the choice
//! goes there; a last row with the totals stays in sight.

use super::Paint;
use crate::measure::Words;
use crate::tui::ink::{fill, first_shown, fit, put, put_right, row, width};
use crate::tui::keys::Deed;
use crate::why::{Fig, Standing};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

/// One figure of the table.
#[derive(Clone, Debug, Default)]
pub struct Cell {
    /// As shown; empty where there is none.
    pub text: String,
    /// The row of its sheet.
    pub fig: Option<Fig>,
    /// How well it is known.
    pub standing: Option<Standing>,
}

/// One row.
#[derive(Clone, Debug)]
pub struct Line {
    /// What it is about.
    pub name: Words,
    /// More of that: the material, the size.
    pub of: Words,
    /// Its figures, one a column.
    pub cells: Vec<Cell>,
    /// The part of a card, by its place there.
    pub part: Option<usize>,
}

/// A column of figures.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Its heading.
    pub head: &'static str,
    /// Columns of the screen it takes at least.
    pub least: usize,
}

/// The table.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// Headings of the two columns of words.
    pub heads: [&'static str; 2],
    /// Columns of figures.
    pub columns: Vec<Column>,
    /// Columns of the screen the name has at least, where it needs them.
    pub name: usize,
    /// Rows.
    pub lines: Vec<Line>,
    /// The last row holds totals and stays in sight.
    pub totals: bool,
}

/// Which figure is chosen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Choice {
    /// The row.
    pub line: usize,
    /// The column wished for; the nearest with a figure is taken.
    pub column: usize,
}

/// Every standing with the letter it is marked with, strongest first.
pub const LETTERS: &[(Standing, char)] = &[
    (Standing::Measured, 'M'),
    (Standing::Learnt, 'L'),
    (Standing::Stated, 'S'),
    (Standing::Published, 'P'),
    (Standing::Custom, 'C'),
    (Standing::Usual, 'U'),
    (Standing::RuleOfThumb, 'R'),
    (Standing::Interpolated, 'I'),
    (Standing::Assumed, 'A'),
];

/// The letter a standing is marked with.
pub fn letter(standing: Standing) -> char {
    LETTERS.iter().find(|(one, _)| *one == standing).map_or(' ', |(_, letter)| *letter)
}

/// Whether figures of this standing are to be looked at twice.
pub fn weak(standing: Standing) -> bool {
    standing >= Standing::RuleOfThumb
}

/// How the width is shared out.
struct Layout {
    name: usize,
    of: usize,
    first: usize,
    shown: Vec<usize>,
}

impl Table {
    /// The choice kept within the table.
    pub fn within(&self, choice: Choice) -> Choice {
        let line = choice.line.min(self.lines.len().saturating_sub(1));
        let Some(cells) = self.lines.get(line).map(|line| &line.cells) else { return Choice::default() };
        let told = |nth: &usize| cells.get(*nth).is_some_and(|cell| !cell.text.is_empty());
        let column = (0..cells.len()).filter(told).min_by_key(|nth| nth.abs_diff(choice.column)).unwrap_or(0);
        Choice { line, column }
    }

    /// The chosen row and figure.
    pub fn at(&self, choice: Choice) -> Option<(&Line, &Cell)> {
        let choice = self.within(choice);
        let line = self.lines.get(choice.line)?;
        Some((line, line.cells.get(choice.column)?))
    }

    /// Moves the choice; false where it would leave the table at the left.
    pub fn go(&self, choice: &mut Choice, deed: Deed, page: usize) -> bool {
        let now = self.within(*choice);
        let last = self.lines.len().saturating_sub(1);
        let told = |nth: &usize| self.lines.get(now.line).and_then(|line| line.cells.get(*nth)).is_some_and(|cell| !cell.text.is_empty());
        match deed {
            Deed::Up => choice.line = now.line.saturating_sub(1),
            Deed::Down => choice.line = (now.line + 1).min(last),
            Deed::PageUp => choice.line = now.line.saturating_sub(page),
            Deed::PageDown => choice.line = (now.line + page).min(last),
            Deed::First => choice.line = 0,
            Deed::Last => choice.line = last,
            Deed::Left => match (0..now.column).rev().find(told) {
                Some(column) => choice.column = column,
                None => return false,
            },
            Deed::Right => choice.column = (now.column + 1..self.columns.len()).find(told).unwrap_or(now.column),
            _ => {}
        }
        true
    }

    /// Rows it takes with its heading.
    pub fn rows(&self) -> u16 {
        u16::try_from(self.lines.len() + 1).unwrap_or(u16::MAX)
    }

    fn wide(&self, nth: usize) -> usize {
        let column = self.columns.get(nth);
        let cell = |line: &Line| line.cells.get(nth).map_or(0, |cell| width(&cell.text) + if cell.standing.is_some() { 2 } else { 0 });
        let widest = self.lines.iter().map(cell).max().unwrap_or(0);
        let letter = if self.marked(nth) { 2 } else { 0 };
        column.map_or(0, |column| column.least.max(width(column.head) + letter).max(widest))
    }

    fn layout(&self, columns: usize, chosen: usize) -> Layout {
        let natural = |of: &dyn Fn(&Line) -> usize, head: &str| self.lines.iter().map(of).max().unwrap_or(0).max(width(head));
        let name_natural = natural(&|line| width(line.name.as_str()), self.heads[0]);
        let of_natural = natural(&|line| width(line.of.as_str()), self.heads[1]);
        let gap = |part: usize| if part == 0 { 0 } else { part + 1 };
        let name = name_natural.min(self.name).min(columns);
        let upto = |first: usize, room: usize| {
            let mut used = 0;
            (first..self.columns.len())
                .take_while(|nth| {
                    used += self.wide(*nth) + usize::from(used > 0);
                    used <= room
                })
                .collect::<Vec<usize>>()
        };
        // From the first column on, or from the first that brings the chosen one into sight.
        let shown_with = |of: usize| {
            let room = columns.saturating_sub(gap(name) + gap(of));
            let first = (0..=chosen).find(|first| upto(*first, room).contains(&chosen)).unwrap_or(chosen);
            (first, upto(first, room), room)
        };
        // The material is cut a little shorter where that lets another column in.
        let least = of_natural.min(if columns < 34 { 0 } else { 8 });
        let most = of_natural.min(if columns < 34 { 0 } else { 10 });
        let of = (least..=most).rev().max_by_key(|of| (shown_with(*of).1.len(), *of)).unwrap_or(0);
        let (first, shown, room) = shown_with(of);
        let used: usize = shown.iter().map(|nth| self.wide(*nth) + 1).sum::<usize>().saturating_sub(1);
        let mut left = room.saturating_sub(used);
        let mut grow = |part: usize, natural: usize| {
            let more = natural.saturating_sub(part).min(left);
            left -= more;
            part + more
        };
        let of = if of == 0 { 0 } else { grow(of, of_natural) };
        let name = grow(name, name_natural);
        Layout { name, of, first, shown }
    }

    /// Paints the table; `active`: the keys go here.
    pub fn draw(&self, buf: &mut Buffer, area: Rect, choice: Choice, active: bool, paint: Paint<'_>) {
        let (styles, cut) = (paint.styles, paint.glyphs.cut);
        fill(buf, area, styles.plain);
        let choice = self.within(choice);
        let layout = self.layout(usize::from(area.width), choice.column);
        let (mut xs, mut x) = (Vec::new(), usize::from(area.x) + layout.name + 1 + if layout.of > 0 { layout.of + 1 } else { 0 });
        for nth in &layout.shown {
            let right = x + self.wide(*nth);
            xs.push((*nth, x as u16, right as u16));
            x = right + 1;
        }
        let of_x = area.x + layout.name as u16 + 1;
        let heading = row(area, 0);
        put(buf, heading, area.x, area.y, &fit(self.heads[0], layout.name, cut), styles.quiet);
        put(buf, heading, of_x, area.y, &fit(self.heads[1], layout.of, cut), styles.quiet);
        for (nth, _, right) in &xs {
            // Figures end two columns before their letter does.
            put_right(
                buf,
                heading,
                right.saturating_sub(if self.marked(*nth) { 2 } else { 0 }),
                area.y,
                self.columns.get(*nth).map_or("", |column| column.head),
                styles.quiet,
            );
        }
        if layout.first > 0 {
            put(buf, heading, xs.first().map_or(area.x, |(_, left, _)| left.saturating_sub(1)), area.y, paint.glyphs.before, styles.title);
        }
        if layout.shown.last().is_some_and(|last| last + 1 < self.columns.len()) {
            put_right(buf, heading, area.right(), area.y, paint.glyphs.beyond, styles.title);
        }
        let rows = usize::from(area.height.saturating_sub(1));
        let pinned = usize::from(self.totals && rows > 1);
        let moving = self.lines.len().saturating_sub(pinned);
        let first = first_shown(choice.line.min(moving.saturating_sub(1)), moving, rows.saturating_sub(pinned));
        let last = first + rows.saturating_sub(pinned);
        let gutter = Rect { x: area.x.saturating_sub(1), width: u16::from(area.x > 0), ..area };
        if first > 0 {
            put(buf, gutter, gutter.x, area.y + 1, paint.glyphs.above, styles.title);
        }
        if last < moving && rows > pinned {
            put(buf, gutter, gutter.x, area.y + (rows - pinned) as u16, paint.glyphs.below, styles.title);
        }
        let shown = (first..moving).take(rows.saturating_sub(pinned)).chain(moving..moving + pinned);
        for (nth, index) in shown.enumerate() {
            let line_area = row(area, nth as u16 + 1);
            let Some(line) = self.lines.get(index) else { continue };
            let here = index == choice.line;
            let total = self.totals && index + 1 == self.lines.len();
            let words = match (here, total) {
                (true, _) if active => styles.title,
                (_, true) => styles.title,
                _ => styles.plain,
            };
            put(buf, line_area, area.x, line_area.y, &fit(line.name.as_str(), layout.name, cut), words);
            if layout.of > 0 {
                put(buf, line_area, of_x, line_area.y, &fit(line.of.as_str(), layout.of, cut), if total { styles.title } else { styles.plain });
            }
            for (column, left, right) in &xs {
                let Some(cell) = line.cells.get(*column).filter(|cell| !cell.text.is_empty()) else { continue };
                let chosen = here && *column == choice.column;
                let base = match (chosen, active) {
                    (true, true) => styles.chosen,
                    (true, false) => styles.kept,
                    _ if total => styles.title,
                    _ => styles.plain,
                };
                self.cell(buf, Rect { x: *left, width: right - left, ..line_area }.intersection(line_area), cell, base, chosen, self.marked(*column), paint);
            }
        }
    }

    fn marked(&self, column: usize) -> bool {
        self.lines.iter().any(|line| line.cells.get(column).is_some_and(|cell| cell.standing.is_some()))
    }

    #[expect(clippy::too_many_arguments, reason = "one cell, its place and its looks")]
    fn cell(&self, buf: &mut Buffer, area: Rect, cell: &Cell, base: Style, chosen: bool, marked: bool, paint: Paint<'_>) {
        let right = area.right().saturating_sub(if marked { 2 } else { 0 });
        let text = fit(&cell.text, usize::from(area.width.saturating_sub(if marked { 2 } else { 0 })), paint.glyphs.cut);
        put_right(buf, area, right, area.y, &text, base);
        if let Some(standing) = cell.standing {
            let style = match (chosen, weak(standing)) {
                (true, _) => base,
                (false, true) => paint.styles.weak,
                (false, false) => paint.styles.quiet,
            };
            put(buf, area, right, area.y, &format!(" {}", letter(standing)), style);
        }
    }
}
