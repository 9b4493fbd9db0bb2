//! A page of text to read and to scroll, in a frame over the screen or in a part of it.

use super::Paint;
use crate::measure::Words;
use crate::tui::ink::{fill, fit, put, put_right, row, wrap};
use crate::tui::keys::Deed;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// How a line is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Plain text.
    Plain,
    /// A heading.
    Head,
    /// What stands back.
    Quiet,
    /// What is wrong.
    Fault,
    /// What is weak, or worth knowing.
    Weak,
}

/// A line of a page: where it is too long it goes on below, set in a little.
#[derive(Clone, Debug)]
pub struct Text {
    /// How it is meant.
    pub tone: Tone,
    /// What stands before it in a column of its own; empty for none.
    pub term: String,
    /// What it says.
    pub text: String,
    /// Its spaces count, as where a sign stands beneath a letter: it is cut off rather than broken between words.
    pub exact: bool,
}

impl Text {
    /// A line.
    pub fn new(tone: Tone, text: impl Into<String>) -> Self {
        Text { tone, term: String::new(), text: text.into(), exact: false }
    }

    /// A line behind a term in a column of its own.
    pub fn of(term: impl Into<String>, text: impl Into<String>) -> Self {
        Text { term: term.into(), ..Text::new(Tone::Plain, text) }
    }

    /// A line whose spaces count.
    pub fn exact(tone: Tone, text: impl Into<String>) -> Self {
        Text { exact: true, ..Text::new(tone, text) }
    }
}

/// A report of faults as it is printed: lines of a file and the marks beneath them keep their places, all else is
/// broken between words.
pub fn report(text: &str) -> Vec<Text> {
    text.lines()
        .map(|line| {
            let line = Words::new(line).to_string();
            let quoted = line.trim_start().trim_start_matches(|c: char| c.is_ascii_digit()).trim_start().starts_with('|');
            let tone = if line.starts_with("error") { Tone::Fault } else { Tone::Plain };
            if quoted { Text::exact(tone, line) } else { Text::new(tone, line) }
        })
        .collect()
}

/// The lines as they come out at this width.
pub fn lay(text: &[Text], columns: usize) -> Vec<(Tone, String)> {
    let mut lines = Vec::new();
    for line in text {
        if line.exact || line.text.is_empty() {
            lines.push((line.tone, line.text.clone()));
            continue;
        }
        const TERM: usize = 20;
        let term = TERM.min(columns / 3);
        let lead = line.text.len() - line.text.trim_start().len();
        let (first, next) = match line.term.as_str() {
            "" => (" ".repeat(lead.min(columns / 2)), " ".repeat((lead + 2).min(columns / 2))),
            told => (format!("  {:<term$} ", fit(told, term, "")), " ".repeat(term + 3)),
        };
        for (nth, part) in wrap(&line.text, columns.saturating_sub(next.len())).into_iter().enumerate() {
            lines.push((line.tone, format!("{}{part}", if nth == 0 { &first } else { &next })));
        }
    }
    lines
}

/// Where a page stands.
#[derive(Clone, Copy, Debug, Default)]
pub struct Scroll(pub usize);

impl Scroll {
    /// Scrolls; the end is held when it is painted.
    pub fn go(&mut self, deed: Deed, page: usize, last: usize) {
        self.0 = match deed {
            Deed::Up => self.0.saturating_sub(1),
            Deed::Down => self.0 + 1,
            Deed::PageUp => self.0.saturating_sub(page),
            Deed::PageDown => self.0 + page,
            Deed::First => 0,
            Deed::Last => last,
            _ => self.0,
        }
        .min(last);
    }
}

/// Paints a page as far as it goes; says where more lies below.
pub fn draw(buf: &mut Buffer, area: Rect, text: &[Text], scroll: Scroll, paint: Paint<'_>) {
    let styles = paint.styles;
    fill(buf, area, styles.plain);
    let lines = lay(text, usize::from(area.width));
    let rows = usize::from(area.height);
    let first = scroll.0.min(lines.len().saturating_sub(rows));
    for (nth, (tone, line)) in lines.iter().skip(first).take(rows).enumerate() {
        let style = match tone {
            Tone::Plain => styles.plain,
            Tone::Head => styles.title,
            Tone::Quiet => styles.quiet,
            Tone::Fault => styles.fault,
            Tone::Weak => styles.weak,
        };
        let place = row(area, nth as u16);
        put(buf, place, place.x, place.y, &fit(line, usize::from(place.width), paint.glyphs.cut), style);
    }
    let below = lines.len().saturating_sub(first + rows);
    if below > 0 && area.height > 1 {
        let place = row(area, area.height - 1);
        put_right(buf, place, place.right(), place.y, &format!(" {below} more below"), styles.title);
    }
}

/// A frame over the lower part of the screen with a heading and so many rows within, where there is room for them; gives
/// what lies within.
pub fn frame(buf: &mut Buffer, screen: Rect, heading: &str, rows: usize, paint: Paint<'_>) -> Rect {
    let height = u16::try_from(rows).unwrap_or(u16::MAX).saturating_add(2).min(screen.height);
    let area = Rect { y: screen.bottom() - height, height, ..screen };
    fill(buf, area, paint.styles.plain);
    if area.height < 4 || area.width < 12 {
        return area;
    }
    let glyphs = paint.glyphs;
    let level = glyphs.level.repeat(usize::from(area.width));
    for y in [area.top(), area.bottom() - 1] {
        put(buf, area, area.x, y, &level, paint.styles.quiet);
    }
    for y in area.top() + 1..area.bottom() - 1 {
        put(buf, area, area.x, y, glyphs.upright, paint.styles.quiet);
        put(buf, area, area.right() - 1, y, glyphs.upright, paint.styles.quiet);
    }
    let heading = fit(&format!(" {heading} "), usize::from(area.width).saturating_sub(4), glyphs.cut);
    put(buf, area, area.x + 2, area.y, &heading, paint.styles.title);
    Rect { x: area.x + 2, y: area.y + 1, width: area.width - 4, height: area.height - 2 }
}
