//! The fly in the vice as it is shown: where it stands, what is to be done, and what the fly is to look like after it.

use super::at_hand::AtHand;
use super::drawn::Drawn;
use super::far::{self, Far};
use super::words::{self, Told};
use crate::card::Card;
use crate::card::figure::View as From;
use crate::card::form::DONE;
use crate::tui::Desk;
use crate::tui::ink::{fit, put, put_right, row, width, wrap};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::screens::card_table::table;
use crate::tui::screens::fly::Fly;
use crate::tui::widgets::Paint;
use crate::tui::widgets::figures::Line;
use crate::vice::{Depth, View};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::ops::Range;

pub(super) fn draw(at_hand: &AtHand, view: &View, buf: &mut Buffer, body: Rect, desk: &Desk, paint: Paint<'_>) {
    if view.steps.is_empty() {
        let place = foot(at_hand, view, buf, body, paint);
        let on = paint.look.keys.key(Deed::GoOn, Place::Vice, Key::Char(' ')).unwrap_or_default();
        words::draw(buf, place, &format!("All are tied but those put aside. {on} takes the first of them up."), Vec::new(), paint);
    } else if view.depth == Depth::Fly && view.tray.is_none() && at_hand.fly.card().is_some() {
        whole(at_hand, view, buf, body, desk, paint);
    } else {
        part(at_hand, view, buf, body, desk, paint);
    }
}

/// The steps in hand alone, as large as the window.
pub(super) fn draw_far(at_hand: &AtHand, view: &View, buf: &mut Buffer, area: Rect, desk: &Desk, paint: Paint<'_>) {
    let steps = at_hand.run.outline().steps().get(view.steps.clone()).unwrap_or_default();
    let text = steps.iter().map(|step| step.text.as_str()).collect::<Vec<_>>().join(" ");
    let figures: Vec<Told> = match (at_hand.fly.card(), steps) {
        (Some(card), [step]) => in_hand(card, step.card, desk, paint),
        _ => Vec::new(),
    };
    let figures: Vec<(&str, &str)> = figures.iter().map(Told::said).collect();
    let fly = match view.tray {
        Some((nth, on_it)) => format!("{nth} / {on_it}"),
        None => format!("{} / {}", view.fly, view.flies),
    };
    let clock = match view.expected {
        Some(expected) => format!("{} / {}", time(view.elapsed_ms), time(expected.ms)),
        None => time(view.elapsed_ms),
    };
    far::draw(&Far { text: &text, figures: &figures, fly: &fly, time: &clock }, buf, area, paint);
}

/// Writes what stands below the words; gives what is left of their area. The drawing beside them is not moved by it.
pub(super) fn foot(at_hand: &AtHand, view: &View, buf: &mut Buffer, area: Rect, paint: Paint<'_>) -> Rect {
    let mut left = area;
    for (text, stands_out) in at_hand.said(view, paint) {
        let lines = wrap(&text, usize::from(left.width));
        // Something of the words is to be seen beside it in any case.
        let rows = u16::try_from(lines.len()).unwrap_or(u16::MAX).min(left.height / 2);
        let below = Rect { y: left.bottom() - rows, height: rows, ..left };
        let style = if stands_out { paint.styles.chosen } else { paint.styles.weak };
        for (nth, line) in (0..rows).zip(&lines) {
            let place = row(below, nth);
            put(buf, place, place.x, place.y, line, style);
        }
        left.height -= rows;
    }
    left
}

/// The words of a step or a stage, and beside them (below them, on a narrow screen) the fly as they leave it.
fn part(at_hand: &AtHand, view: &View, buf: &mut Buffer, area: Rect, desk: &Desk, paint: Paint<'_>) {
    let (words, drawing) = halves(area, at_hand.fly.card().is_some());
    if let Drawn::Card { card, frame } = &at_hand.fly {
        let end = view.steps.end;
        let (chosen, next) = (at_hand.parts_of(view.steps.clone()), at_hand.parts_of(end..end.saturating_add(1)));
        Fly { card, view: From::Side, done: view.upto, chosen: &chosen, next: &next, frame: *frame }.draw(buf, drawing, desk, paint);
    }
    if words.width < area.width && words.width > 0 {
        for y in words.top()..words.bottom() {
            put(buf, area, words.right() + 1, y, paint.glyphs.upright, paint.styles.quiet);
        }
    }
    let words = foot(at_hand, view, buf, words, paint);
    let steps = at_hand.run.outline().steps();
    if view.depth != Depth::Step {
        list(at_hand, view.steps.clone(), buf, words, paint);
        return;
    }
    let Some(step) = steps.get(view.steps.start) else { return };
    let next = steps.get(view.steps.end).map_or("then the next fly", |next| next.text.as_str());
    let below = if words.height >= 12 { 2 } else { 0 };
    let place = row(words, words.height.saturating_sub(1));
    if below > 0 {
        put(buf, place, place.x, place.y, &fit(&format!("next: {next}"), usize::from(place.width), paint.glyphs.cut), paint.styles.quiet);
    }
    let figures = at_hand.fly.card().map(|card| in_hand(card, step.card, desk, paint)).unwrap_or_default();
    words::draw(buf, Rect { height: words.height - below, ..words }, step.text.as_str(), figures, paint);
}

/// The card's figures of what a step ties in (how many, how long) and winds (how often, how long the fibre).
fn in_hand(card: &Card, step: usize, desk: &Desk, paint: Paint<'_>) -> Vec<Told> {
    let Some(step) = card.steps.get(step) else { return Vec::new() };
    let table = table(card, &desk.shelf, paint.glyphs);
    let several = step.ties.len() + step.winds.len() > 1;
    let mut figures = Vec::new();
    for (part, tied) in step.ties.iter().map(|part| (*part, true)).chain(step.winds.iter().map(|part| (*part, false))) {
        let (Some(of), Some(line)) = (card.parts.get(part), table.lines.iter().find(|line| line.part == Some(part))) else { continue };
        let name = if several { of.name.as_str() } else { "" };
        let cell = |nth: usize| line.cells.get(nth).map(|cell| cell.text.as_str()).filter(|text| !text.is_empty());
        // Turns belong to the winding, not to the tying in.
        let number = cell(1).filter(|_| tied != of.turns.is_some()).and_then(|text| Told::of_card(text, name));
        let what = if of.length.is_some() { "mm long" } else { "mm fibre" };
        let length = cell(0).filter(|_| tied).and_then(|text| Told::of_card(&format!("{} {what}", text.split(' ').next()?), name));
        figures.extend(number.into_iter().chain(length));
    }
    figures
}

/// The words at the left and the drawing at the right; on a narrow screen one below the other.
pub(super) fn halves(area: Rect, drawn: bool) -> (Rect, Rect) {
    let none = Rect { width: 0, height: 0, ..area };
    if !drawn || (area.width < 70 && area.height < 12) {
        return (area, none);
    }
    if area.width < 70 {
        let words = area.height / 2;
        return (Rect { height: words, ..area }, Rect { y: area.y + words, height: area.height - words, ..area });
    }
    let words = area.width / 2 + 1;
    (Rect { width: words, ..area }, Rect { x: area.x + words + 3, width: area.width - words - 3, ..area })
}

/// Steps one below the other, each with its number, as large and as far apart as there is room for; then their figures.
fn list(at_hand: &AtHand, steps: Range<usize>, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    let wide = steps.end.to_string().len() + 1;
    let columns = usize::from(area.width).saturating_sub(wide);
    let texts: Vec<&str> = at_hand.run.outline().steps().get(steps.clone()).unwrap_or_default().iter().map(|step| step.text.as_str()).collect();
    let beside = |place: Rect| Rect { x: place.x + (wide as u16).min(place.width), width: place.width.saturating_sub(wide as u16), ..place };
    let large: Option<Vec<_>> = texts.iter().map(|text| words::middle(text, beside(area), paint)).collect();
    if let Some(large) = large.filter(|large| large.iter().map(|set| usize::from(set.rows()) + 1).sum::<usize>() <= usize::from(area.height)) {
        let mut place = area;
        for (set, nth) in large.iter().zip(steps) {
            put(buf, place, place.x, place.y, &(nth + 1).to_string(), paint.styles.quiet);
            words::draw_middle(set, buf, beside(place), paint);
            let used = (set.rows() + 1).min(place.height);
            place = Rect { y: place.y + used, height: place.height - used, ..place };
        }
        words::draw_large(buf, place, &texts, paint);
        return;
    }
    let mut lines: Vec<(Option<usize>, String)> = Vec::new();
    for nth in steps {
        let Some(step) = at_hand.run.outline().steps().get(nth) else { continue };
        for (row, text) in wrap(step.text.as_str(), columns).into_iter().enumerate() {
            lines.push(((row == 0).then_some(nth + 1), text));
        }
    }
    let rows = usize::from(area.height);
    let firsts = lines.iter().filter(|(number, _)| number.is_some()).count();
    let apart = usize::from(lines.len() + firsts <= rows + 1);
    let hidden = lines.len().saturating_sub(rows);
    let from = at_hand.scroll.0.min(hidden);
    let mut y = 0;
    for (nth, (number, text)) in lines.iter().skip(from).enumerate() {
        y += if number.is_some() && nth > 0 { apart } else { 0 };
        let place = row(area, u16::try_from(y).unwrap_or(u16::MAX));
        if let Some(number) = number {
            put(buf, place, place.x, place.y, &number.to_string(), paint.styles.quiet);
        }
        words::line(buf, beside(place), text, paint);
        y += 1;
    }
    if hidden == 0 && y + 1 < rows {
        let used = (y + 1) as u16;
        words::draw_large(buf, Rect { y: area.y + used, height: area.height - used, ..area }, &texts, paint);
    }
    if hidden > from && rows > 1 {
        let place = row(area, area.height - 1);
        put_right(buf, place, place.right(), place.y, &format!(" {} more below", hidden - from), paint.styles.title);
    }
}

/// A whole fly: every length, number and place of its card on one screen, and the fly where there is room.
fn whole(at_hand: &AtHand, view: &View, buf: &mut Buffer, area: Rect, desk: &Desk, paint: Paint<'_>) {
    let Some(card) = at_hand.fly.card() else { return };
    // The last row is kept for a pause, so that nothing moves with it.
    let kept = u16::from(area.height >= 8);
    let left = foot(at_hand, view, buf, area, paint);
    let area = Rect { height: left.height.min(area.height - kept), ..left };
    let table = table(card, &desk.shelf, paint.glyphs);
    let parts: Vec<&Line> = table.lines.iter().filter(|line| line.part.is_some() || line.name.as_str() == "silk").collect();
    let needed = u16::try_from(parts.len() + 4).unwrap_or(u16::MAX);
    let (beside, below) = (area.width >= 110, area.height.saturating_sub(needed));
    let (figures, drawing) = if beside {
        let wide = area.width * 3 / 5;
        (Rect { width: wide, ..area }, Rect { x: area.x + wide + 1, width: area.width - wide - 1, ..area })
    } else if below >= 6 {
        (Rect { height: needed, ..area }, Rect { y: area.y + needed, height: below, ..area })
    } else {
        (area, Rect { height: 0, ..area })
    };
    let frame = if let Drawn::Card { frame, .. } = &at_hand.fly { *frame } else { None };
    Fly { card, view: From::Side, done: DONE, chosen: &[], next: &[], frame }.draw(buf, drawing, desk, paint);
    in_figures(card, &table.lines, &parts, buf, figures, paint);
}

/// Columns of the whole card: heading, place in the card's table, least width, whether a narrow screen has it too.
const COLUMNS: [(&str, usize, usize, bool); 5] =
    [("number", 1, 10, true), ("length", 0, 9, true), ("from", 3, 6, true), ("to", 4, 6, true), ("thick", 5, 6, false)];

fn in_figures(card: &Card, all: &[Line], parts: &[&Line], buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    let styles = paint.styles;
    let columns = usize::from(area.width);
    let text = |line: &Line, nth: usize| line.cells.get(nth).map(|cell| cell.text.clone()).unwrap_or_default();
    let hook: Vec<String> = ["hook", "bare hook"]
        .into_iter()
        .filter_map(|name| all.iter().find(|line| line.part.is_none() && line.name.as_str() == name))
        .flat_map(|line| [0, 1, 2].into_iter().map(|nth| text(line, nth)).collect::<Vec<_>>())
        .filter(|told| !told.is_empty() && !told.starts_with("mass"))
        .collect();
    let title = row(area, 0);
    put(
        buf,
        title,
        title.x,
        title.y,
        &fit(&format!("hook {}: {} mm", crate::measure::Words::new(card.size.text()), hook.join(", ")), columns, paint.glyphs.cut),
        styles.plain,
    );
    let shown: Vec<_> = COLUMNS.iter().filter(|(.., always)| *always || columns >= 70).collect();
    let wide =
        |(head, nth, least, _): &(&str, usize, usize, bool)| parts.iter().map(|line| width(&text(line, *nth))).max().unwrap_or(0).max(*least).max(width(head));
    let widths: Vec<usize> = shown.iter().map(|column| wide(column)).collect();
    let figures: usize = widths.iter().map(|wide| wide + 2).sum();
    let name = parts.iter().map(|line| width(line.name.as_str())).max().unwrap_or(4).min(columns.saturating_sub(figures).max(6));
    let head = row(area, 2);
    let mut x = head.x.saturating_add(name as u16);
    for ((heading, ..), wide) in shown.iter().zip(&widths) {
        x = x.saturating_add(*wide as u16 + 2);
        put_right(buf, head, x.min(head.right()), head.y, heading, styles.quiet);
    }
    put(buf, head, x.saturating_add(2), head.y, "of", styles.quiet);
    let note = row(area, 1);
    put(buf, note, note.x, note.y, &fit("all in mm; from and to: along the wire, from the rear of the eye", columns, paint.glyphs.cut), styles.quiet);
    // An empty row between them where there is room.
    let step = if usize::from(area.height) >= 3 + 2 * parts.len() { 2 } else { 1 };
    for (nth, line) in parts.iter().enumerate() {
        let place = row(area, u16::try_from(3 + nth * step).unwrap_or(u16::MAX));
        put(buf, place, place.x, place.y, &fit(line.name.as_str(), name, paint.glyphs.cut), styles.plain);
        let mut x = place.x.saturating_add(name as u16);
        for ((_, column, ..), wide) in shown.iter().zip(&widths) {
            x = x.saturating_add(*wide as u16 + 2);
            put_right(buf, place, x.min(place.right()), place.y, &text(line, *column), styles.title);
        }
        let room = usize::from(place.right().saturating_sub(x)).saturating_sub(2);
        put(buf, place, x.saturating_add(2), place.y, &fit(line.of.as_str(), room, paint.glyphs.cut), styles.plain);
    }
}

pub(super) fn numbered(steps: &Range<usize>) -> String {
    if steps.len() == 1 { format!("step {}", steps.end) } else { format!("steps {} to {}", steps.start + 1, steps.end) }
}

/// Minutes and seconds, hours before them where there are any.
pub(super) fn time(ms: u64) -> String {
    let seconds = ms / 1000;
    match (seconds / 3600, seconds / 60 % 60, seconds % 60) {
        (0, minutes, seconds) => format!("{minutes}:{seconds:02}"),
        (hours, minutes, seconds) => format!("{hours}:{minutes:02}:{seconds:02}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_minutes_and_seconds() {
        assert_eq!([0, 59_999, 130_000, 3_730_000].map(time), ["0:00", "0:59", "2:10", "1:02:10"]);
    }
}
