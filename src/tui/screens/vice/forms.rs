//! What the forms of a run share: a number while it is typed, the lines round a form, its rows, and numbers that can be
//! read from an arm's length.

use crate::tui::ink::{first_shown, fit, put, put_right, row, width, wrap};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::letters::{LARGE, draw_large, large_width};
use crate::tui::widgets::Paint;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use rust_decimal::Decimal;

/// A number while it is typed: figures, and a point among them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Figure(String);

/// No figure at a bench is longer.
const LONGEST: usize = 12;

impl Figure {
    /// Types; a comma is taken for the point, what is no part of a number is passed over.
    pub(super) fn type_in(&mut self, text: &str) {
        for c in text.chars() {
            let point = matches!(c, '.' | ',');
            let fits = c.is_ascii_digit() || (point && !self.0.contains('.'));
            if fits && self.0.len() < LONGEST {
                self.0.push(if point { '.' } else { c });
            }
        }
    }

    /// Takes the last sign away.
    pub(super) fn rub(&mut self) {
        self.0.pop();
    }

    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// As it is typed so far.
    pub(super) fn text(&self) -> &str {
        &self.0
    }

    /// The number; `None` while it is none.
    pub(super) fn value(&self) -> Option<Decimal> {
        let bare = self.0.trim_end_matches('.');
        if bare.starts_with('.') { format!("0{bare}").parse().ok() } else { bare.parse().ok() }
    }
}

/// Whether a text has a figure in it that could be typed.
pub(super) fn has_figure(text: &str) -> bool {
    text.chars().any(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
}

/// An amount as shown: whole numbers whole, others to three figures or a hundredth, whichever is finer.
pub(super) fn amount(amount: Decimal) -> String {
    let short = if amount.abs() >= Decimal::ONE { amount.round_dp(2) } else { amount.round_sf(3).unwrap_or(amount) };
    short.normalize().to_string()
}

/// A number with its unit.
pub(super) fn with_unit(number: &str, unit: &str) -> String {
    if unit.is_empty() { number.to_owned() } else { format!("{number} {unit}") }
}

/// So many flies, in words.
pub(super) fn flies(count: u32) -> String {
    if count == 1 { "1 fly".to_owned() } else { format!("{count} flies") }
}

/// How long ago, in the largest unit.
pub(super) fn ago(ms: i64) -> String {
    const MINUTE: i64 = 60_000;
    match ms {
        ..MINUTE => "just now".to_owned(),
        ms if ms < 60 * MINUTE => format!("{} min ago", ms / MINUTE),
        ms if ms < 48 * 60 * MINUTE => format!("{} h ago", ms / (60 * MINUTE)),
        ms => format!("{} days ago", ms / (24 * 60 * MINUTE)),
    }
}

/// The key of a deed in a place as it is set; the one wished for where several do it.
pub(super) fn key(paint: Paint<'_>, deed: Deed, place: Place, wish: Key) -> String {
    paint.look.keys.key(deed, place, wish).unwrap_or_default()
}

/// Takes rows off the top of an area.
pub(super) fn below(area: Rect, rows: u16) -> Rect {
    let rows = rows.min(area.height);
    Rect { y: area.y + rows, height: area.height - rows, ..area }
}

/// Writes a form's title, what stands at its right, and where there is room for it how it is meant; gives what is left.
pub(super) fn head(buf: &mut Buffer, area: Rect, title: &str, right: &str, meant: &str, paint: Paint<'_>) -> Rect {
    let (styles, cut) = (paint.styles, paint.glyphs.cut);
    let columns = usize::from(area.width);
    let line = row(area, 0);
    let right = if width(title) + 2 + width(right) <= columns { right } else { "" };
    put(buf, line, line.x, line.y, &fit(title, columns, cut), styles.title);
    put_right(buf, line, line.right(), line.y, right, styles.plain);
    if area.height < 12 {
        return below(area, 1);
    }
    let lines = wrap(meant, columns);
    let shown = u16::try_from(lines.len()).unwrap_or(u16::MAX).min(2);
    for (nth, text) in (1..=shown).zip(&lines) {
        let line = row(area, nth);
        put(buf, line, line.x, line.y, text, styles.quiet);
    }
    below(area, 1 + shown + u16::from(area.height >= 14))
}

/// Writes lines at the foot of an area, the last ones left out where it is low; gives what is left above them.
pub(super) fn foot(buf: &mut Buffer, area: Rect, said: &[(String, Style)]) -> Rect {
    let lines: Vec<(String, Style)> =
        said.iter().flat_map(|(text, style)| wrap(text, usize::from(area.width)).into_iter().map(|line| (line, *style))).collect();
    let rows = u16::try_from(lines.len()).unwrap_or(u16::MAX).min(area.height / 3);
    let at = below(area, area.height - rows);
    for (nth, (text, style)) in (0..rows).zip(&lines) {
        let line = row(at, nth);
        put(buf, line, line.x, line.y, text, *style);
    }
    Rect { height: area.height - rows, ..area }
}

/// The rows of a list that are seen, by place, each with its row on the screen; the chosen one is among them. Every other
/// row is free where there is room, so that they are told apart from an arm's length.
pub(super) fn rows(area: Rect, chosen: usize, count: usize) -> impl Iterator<Item = (usize, Rect)> {
    rows_of(area, chosen, count, if count * 2 <= usize::from(area.height) + 1 { 2 } else { 1 })
}

/// The same, each so many rows below the one before.
pub(super) fn rows_of(area: Rect, chosen: usize, count: usize, pitch: u16) -> impl Iterator<Item = (usize, Rect)> {
    let room = usize::from(area.height.div_ceil(pitch.max(1)));
    let first = first_shown(chosen, count, room);
    (first..count).take(room).map(move |nth| (nth, row(area, u16::try_from(nth - first).unwrap_or(u16::MAX).saturating_mul(pitch))))
}

/// A number in large letters with what it counts beneath it; small, on one row, where the area is too low or narrow.
/// Gives the columns it took.
pub(super) fn large(buf: &mut Buffer, area: Rect, number: &str, counts: &str, paint: Paint<'_>) -> u16 {
    let (styles, cut) = (paint.styles, paint.glyphs.cut);
    let wide = large_width(number).filter(|wide| *wide <= area.width && area.height > LARGE);
    let Some(wide) = wide else {
        let after = put(buf, row(area, 0), area.x, area.y, &fit(&format!("{number} {counts}"), usize::from(area.width), cut), styles.title);
        return after - area.x;
    };
    draw_large(buf, area, 0, number, paint.glyphs.full, styles.title);
    let line = row(area, LARGE);
    put(buf, line, line.x, line.y, &fit(counts, usize::from(area.width), cut), styles.plain);
    wide.max(u16::try_from(width(counts)).unwrap_or(u16::MAX)).min(area.width)
}

/// Writes what is typed into a row that is chosen, with a sign where the next one comes, so that it is seen without
/// colours too.
pub(super) fn typed(buf: &mut Buffer, area: Rect, x: u16, text: &str, paint: Paint<'_>) {
    put(buf, area, x, area.y, &format!("{}{text}_{}", paint.glyphs.open, paint.glyphs.close), paint.styles.chosen);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_typed_with_one_point() {
        let value = |text: &str| {
            let mut figure = Figure::default();
            figure.type_in(text);
            (figure.text().to_owned(), figure.value().map(|value| value.to_string()))
        };
        let told = |text: &str, value: &str| (text.to_owned(), Some(value.to_owned()));
        assert_eq!(value("12,5 g"), told("12.5", "12.5"));
        assert_eq!(value(".05"), told(".05", "0.05"));
        assert_eq!(value("7."), told("7.", "7"));
        assert_eq!(value("1.2.3"), told("1.23", "1.23"));
        assert_eq!(value("."), (".".to_owned(), None));
        assert_eq!(value("-"), (String::new(), None));
        assert_eq!(value("99999999999999999999").1.as_deref(), Some("999999999999"));
    }

    #[test]
    fn amounts_keep_what_counts() {
        let shown = |text: &str| amount(text.parse().unwrap());
        assert_eq!(["12345", "17.0", "1.8756", "0.072941", "0.000123456", "0"].map(shown), ["12345", "17", "1.88", "0.0729", "0.000123", "0"]);
    }
}
