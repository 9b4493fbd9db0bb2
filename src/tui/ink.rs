//! Putting text into cells: shortened, wrapped and clipped by what it takes up on the screen. Nothing here can
//! write outside the area it is given.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// The signs a screen is made of, in the terminal's own letters or in plain ones.
#[derive(Clone, Copy, Debug)]
pub struct Glyphs {
    /// Stands where a text was cut off.
    pub cut: &'static str,
    /// Between two parts of the screen.
    pub upright: &'static str,
    /// Under a heading.
    pub level: &'static str,
    /// Before a tolerance.
    pub within: &'static str,
    /// Left of what is chosen among several.
    pub open: &'static str,
    /// Right of it.
    pub close: &'static str,
    /// More lies to the left.
    pub before: &'static str,
    /// More lies to the right.
    pub beyond: &'static str,
    /// More lies above.
    pub above: &'static str,
    /// More lies below.
    pub below: &'static str,
    /// Between two things said, with its spaces.
    pub dot: &'static str,
    /// A cell of a bar: what is done.
    pub full: &'static str,
    /// A cell of a bar: what is to come.
    pub empty: &'static str,
    /// Before what is done.
    pub ticked: &'static str,
    /// Before what is in hand.
    pub here: &'static str,
}

impl Glyphs {
    /// For a terminal that shows Unicode, or for one that does not.
    pub fn new(unicode: bool) -> Self {
        if unicode {
            Glyphs {
                cut: "…",
                upright: "│",
                level: "─",
                within: "±",
                open: "‹",
                close: "›",
                before: "«",
                beyond: "»",
                above: "↑",
                below: "↓",
                dot: " · ",
                full: "█",
                empty: "░",
                ticked: "✓",
                here: "›",
            }
        } else {
            Glyphs {
                cut: "~",
                upright: "|",
                level: "-",
                within: "+-",
                open: "<",
                close: ">",
                before: "<",
                beyond: ">",
                above: "+",
                below: "+",
                dot: ", ",
                full: "#",
                empty: ".",
                ticked: "x",
                here: ">",
            }
        }
    }
}

/// Columns a text takes up.
pub fn width(text: &str) -> usize {
    text.width()
}

/// The text, cut to so many columns with a sign that it was.
pub fn fit(text: &str, columns: usize, cut: &str) -> String {
    if width(text) <= columns {
        return text.to_owned();
    }
    let room = columns.saturating_sub(width(cut));
    let mut short = head(text, room).trim_end().to_owned();
    if columns >= width(cut) {
        short.push_str(cut);
    }
    short
}

/// As much of the beginning as fits into so many columns.
fn head(text: &str, columns: usize) -> &str {
    let mut used = 0;
    let end = text.char_indices().find(|(_, c)| {
        used += c.width().unwrap_or(0);
        used > columns
    });
    end.map_or(text, |(at, _)| text.get(..at).unwrap_or_default())
}

/// The text in lines of at most so many columns, broken between words where that can be done.
pub fn wrap(text: &str, columns: usize) -> Vec<String> {
    if columns == 0 {
        return Vec::new();
    }
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let mut word = word;
        while let Some(line) = lines.last_mut() {
            let gap = usize::from(!line.is_empty());
            if width(line) + gap + width(word) <= columns {
                if gap == 1 {
                    line.push(' ');
                }
                line.push_str(word);
                break;
            }
            if line.is_empty() {
                let part = head(word, columns);
                // A letter wider than the line is left out.
                let part = if part.is_empty() { word.chars().next().map_or("", |c| word.get(..c.len_utf8()).unwrap_or_default()) } else { part };
                if width(part) <= columns {
                    line.push_str(part);
                }
                word = word.get(part.len()..).unwrap_or_default();
                if word.is_empty() {
                    break;
                }
            }
            lines.push(String::new());
        }
    }
    lines
}

/// Writes a text on one row from `x` on, as far as `area` goes; gives the column after it.
pub fn put(buf: &mut Buffer, area: Rect, x: u16, y: u16, text: &str, style: Style) -> u16 {
    let area = area.intersection(buf.area);
    if y < area.top() || y >= area.bottom() || x < area.left() || x >= area.right() {
        return x;
    }
    let room = usize::from(area.right() - x);
    buf.set_stringn(x, y, text, room, style).0
}

/// Writes a text that ends just before column `right`.
pub fn put_right(buf: &mut Buffer, area: Rect, right: u16, y: u16, text: &str, style: Style) {
    let columns = u16::try_from(width(text)).unwrap_or(u16::MAX);
    put(buf, area, right.saturating_sub(columns).max(area.x), y, text, style);
}

/// Gives a whole area one style, and blanks it.
pub fn fill(buf: &mut Buffer, area: Rect, style: Style) {
    let area = area.intersection(buf.area);
    for y in area.top()..area.bottom() {
        for x in area.left()..area.right() {
            if let Some(cell) = buf.cell_mut((x, y)) {
                cell.reset();
                cell.set_style(style);
            }
        }
    }
}

/// One row of an area; empty where the area does not reach so far.
pub fn row(area: Rect, nth: u16) -> Rect {
    if nth < area.height { Rect { y: area.y + nth, height: 1, ..area } } else { Rect { height: 0, ..area } }
}

/// The first row shown of `count`, so that the chosen one is seen, in the middle where it can be.
pub fn first_shown(chosen: usize, count: usize, rows: usize) -> usize {
    chosen.saturating_sub(rows / 2).min(count.saturating_sub(rows))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_long_name_is_cut_and_says_so() {
        assert_eq!(fit("Sallow Dun", 10, "…"), "Sallow Dun");
        assert_eq!(fit("Sallow Dun", 8, "…"), "Sallow…");
        assert_eq!(fit("Sallow Dun", 0, "…"), "");
    }

    proptest! {
        #[test]
        fn nothing_is_wider_than_its_room(text in "\\PC{0,40}", columns in 0usize..20) {
            prop_assert!(width(&fit(&text, columns, "…")) <= columns);
            for line in wrap(&text, columns) {
                prop_assert!(width(&line) <= columns, "{line:?}");
            }
        }
    }
}
