//! The far view: a step and its figures over the whole screen, to be read across the room.
//!
//! ```text
//!  3/12                         0:42/1:10     the fly and the time, at the edge
//!
//!  TIE IN THE TAIL                            the words, in the largest letters in which all of them fit
//!
//!  7          10.3                            the figures, larger still
//!  FIBRES     MM LONG
//! ```
//!
//! Nothing is cut off: what is too long for letters of one size is set in the next smaller, at last as plain text.

use super::words;
use crate::tui::ink::{fill, fit, put, put_right, row, width, wrap};
use crate::tui::letters::{Set, Size};
use crate::tui::widgets::Paint;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Modifier;

/// What is to be read.
#[derive(Clone, Copy, Debug)]
pub struct Far<'a> {
    /// The step.
    pub text: &'a str,
    /// The card's figures of what is in hand, each with what it counts or measures: shown where the words have none.
    pub figures: &'a [(&'a str, &'a str)],
    /// The fly, `3 / 12`.
    pub fly: &'a str,
    /// The time so far, and the time expected where one is: `0:42 / 1:10`.
    pub time: &'a str,
}

/// Columns between two figures, for each column of a dot.
const GAP: u16 = 3;

/// Fills `area` with it.
pub fn draw(far: &Far<'_>, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    fill(buf, area, paint.styles.plain);
    // A margin of one cell where there is room for it.
    let inner = if area.width >= 40 && area.height >= 12 { Rect { x: area.x + 1, width: area.width - 2, ..area } } else { area };
    let own = words::figures(far.text);
    let figures: Vec<(&str, &str)> = if own.is_empty() { far.figures.to_vec() } else { own.iter().map(words::Told::said).collect() };
    let smallest = *smallest(paint);
    let edges = [smallest.rows(), 1].map(|rows| below(inner, rows + u16::from(inner.height > rows)));
    let edge_fits = smallest.width(far.fly).zip(smallest.width(far.time)).is_some_and(|(fly, time)| fly + time + 4 <= inner.width);
    // What is to be done comes first: the edge gives way before the words lose their letters.
    let tried = if edge_fits { [Some((true, edges[0])), Some((false, edges[1]))] } else { [None, Some((false, edges[1]))] };
    for (in_letters, room) in tried.iter().flatten() {
        if let Some(letters) = Letters::that_fit(far.text, &figures, *room, paint) {
            edge(far, buf, inner, *in_letters, paint);
            letters.draw(buf, *room, paint);
            return;
        }
    }
    let lines = wrap(far.text, usize::from(inner.width)).len();
    let in_letters = edge_fits && lines + figures.len() <= usize::from(edges[0].height);
    edge(far, buf, inner, in_letters, paint);
    plain(far.text, &figures, own.is_empty(), buf, edges[usize::from(!in_letters)], paint);
}

fn smallest(paint: Paint<'_>) -> &'static Size {
    Size::all(paint.look.unicode).first().unwrap_or(&Size::MIDDLE)
}

fn below(area: Rect, rows: u16) -> Rect {
    let rows = rows.min(area.height);
    Rect { y: area.y + rows, height: area.height - rows, ..area }
}

/// The fly and the time along the upper edge.
fn edge(far: &Far<'_>, buf: &mut Buffer, area: Rect, in_letters: bool, paint: Paint<'_>) {
    let (title, quiet) = (paint.styles.title, paint.styles.plain);
    let sides = [(far.fly, title, false), (far.time, quiet, true)];
    if in_letters {
        for (text, style, at_the_right) in sides {
            let Some(set) = Set::of(text, area.width, *smallest(paint)) else { continue };
            let off = if at_the_right { area.width.saturating_sub(set.columns()) } else { 0 };
            set.draw(buf, Rect { x: area.x + off, width: area.width - off, ..area }, paint.glyphs.full, &|_| style);
        }
        return;
    }
    let place = row(area, 0);
    let columns = usize::from(place.width);
    let time = fit(far.time, columns, paint.glyphs.cut);
    put_right(buf, place, place.right(), place.y, &time, quiet.add_modifier(Modifier::BOLD));
    put(buf, place, place.x, place.y, &fit(far.fly, columns.saturating_sub(width(&time) + 1), paint.glyphs.cut), title);
}

/// Figures side by side: each with its columns, its number, and what it counts or measures.
type Row<'a> = Vec<(u16, &'a str, &'a str)>;

/// A step and its figures in letters.
struct Letters<'a> {
    words: Set<'a>,
    figures: Vec<Row<'a>>,
    /// Of the numbers.
    size: Size,
}

impl<'a> Letters<'a> {
    /// The words as large as they go with the figures larger than they, then the figures as large as they go beside that.
    fn that_fit(text: &'a str, figures: &[(&'a str, &'a str)], room: Rect, paint: Paint<'_>) -> Option<Self> {
        let sizes = Size::all(paint.look.unicode);
        for (nth, size) in sizes.iter().enumerate().rev() {
            let Some(words) = Set::of(text, room.width, *size).filter(|words| words.rows() <= room.height) else { continue };
            if figures.is_empty() {
                return Some(Letters { words, figures: Vec::new(), size: *size });
            }
            let left = room.height.saturating_sub(words.rows() + apart(*size));
            let larger = sizes.iter().skip(nth + 1).rev();
            let found =
                larger.filter_map(|size| Some((*size, rows_of(figures, *size, room.width, paint)?))).find(|(size, rows)| rows_high(rows, *size, paint) <= left);
            if let Some((size, figures)) = found {
                return Some(Letters { words, figures, size });
            }
        }
        None
    }

    fn draw(&self, buf: &mut Buffer, room: Rect, paint: Paint<'_>) {
        self.words.draw(buf, room, paint.glyphs.full, &|word| words::style(word, paint));
        let high = rows_high(&self.figures, self.size, paint);
        // The figures stand at the foot, where they are found without looking for them.
        let place = Rect { y: room.bottom().saturating_sub(high), height: high.min(room.height), ..room };
        draw_figures(&self.figures, self.size, buf, place, paint);
    }
}

/// Rows between the words and the figures.
fn apart(size: Size) -> u16 {
    (size.rows() / 3).clamp(1, 4)
}

/// The figures in rows of so many columns; `None` where one is wider than a row or has no form.
fn rows_of<'a>(figures: &[(&'a str, &'a str)], size: Size, columns: u16, paint: Paint<'_>) -> Option<Vec<Row<'a>>> {
    let mut rows: Vec<Row<'a>> = Vec::new();
    let mut used: u16 = 0;
    let gap = GAP.saturating_mul(size.width("I").unwrap_or(1));
    for (number, what) in figures {
        let wide = size.width(number)?.max(smallest(paint).width(what).unwrap_or_else(|| u16::try_from(width(what)).unwrap_or(u16::MAX)));
        if wide > columns {
            return None;
        }
        match rows.last_mut() {
            Some(last) if used + gap + wide <= columns => {
                last.push((wide, number, what));
                used += gap + wide;
            }
            _ => {
                rows.push(vec![(wide, number, what)]);
                used = wide;
            }
        }
    }
    Some(rows)
}

/// Rows of cells a row of figures takes, with what they count beneath.
fn row_high(size: Size, paint: Paint<'_>) -> u16 {
    size.rows() + 1 + smallest(paint).rows()
}

fn rows_high(rows: &[Row<'_>], size: Size, paint: Paint<'_>) -> u16 {
    let count = u16::try_from(rows.len()).unwrap_or(u16::MAX);
    row_high(size, paint).saturating_mul(count).saturating_add(count.saturating_sub(1))
}

fn draw_figures(rows: &[Row<'_>], size: Size, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    let gap = GAP.saturating_mul(size.width("I").unwrap_or(1));
    let mut rest = area;
    for figures in rows {
        let mut x = 0;
        for (wide, number, what) in figures {
            let at = |y: u16| Rect { x: rest.x + x, width: rest.width.saturating_sub(x), ..below(rest, y) };
            if let Some(set) = Set::of(number, rest.width, size) {
                set.draw(buf, at(0), paint.glyphs.full, &|_| paint.styles.title);
            }
            let place = at(size.rows() + 1);
            match Set::of(what, *wide, *smallest(paint)) {
                Some(set) => set.draw(buf, place, paint.glyphs.full, &|_| paint.styles.plain.add_modifier(Modifier::BOLD)),
                None => {
                    put(buf, place, place.x, place.y, what, paint.styles.plain.add_modifier(Modifier::BOLD));
                }
            }
            x += wide + gap;
        }
        rest = below(rest, row_high(size, paint) + 1);
    }
}

/// The words as plain text, far apart where there is room; the figures in letters where they fit beneath, else as text
/// where the words do not have them. What is left over is counted.
fn plain(text: &str, figures: &[(&str, &str)], only_there: bool, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    let columns = usize::from(area.width);
    let mut lines = wrap(text, columns);
    let sizes = Size::all(paint.look.unicode).iter().rev();
    let left = area.height.saturating_sub(u16::try_from(lines.len()).unwrap_or(u16::MAX).saturating_add(1));
    let mut fitting = sizes.filter_map(|size| Some((*size, rows_of(figures, *size, area.width, paint)?)));
    let found = fitting.find(|(size, rows)| !rows.is_empty() && rows_high(rows, *size, paint) <= left);
    let high = match &found {
        Some((size, rows)) => rows_high(rows, *size, paint) + 1,
        None => 0,
    };
    if found.is_none() && only_there {
        lines.extend(figures.iter().flat_map(|(number, what)| wrap(&format!("{number} {what}"), columns)));
    }
    let room = usize::from(area.height - high.min(area.height));
    let step = if 2 * lines.len() <= room + 1 { 2 } else { 1 };
    let hidden = if lines.len() > room { lines.len() - room.saturating_sub(1) } else { 0 };
    for (nth, text) in lines.iter().take(if hidden > 0 { room.saturating_sub(1) } else { room }).enumerate() {
        words::line(buf, row(area, u16::try_from(nth * step).unwrap_or(u16::MAX)), text, paint);
    }
    if hidden > 0 && room > 0 {
        let place = row(area, area.height - 1);
        put(buf, place, place.x, place.y, &fit(&format!("{hidden} more lines"), columns, paint.glyphs.cut), paint.styles.chosen);
    }
    if let Some((size, rows)) = found {
        let high = rows_high(&rows, size, paint);
        draw_figures(&rows, size, buf, Rect { y: area.bottom() - high, height: high, ..area }, paint);
    }
}
