//! The tray counted at the end of a stage: one key less for each fly that is missing.

use super::at_hand::AtHand;
use super::tying::foot;
use super::words;
use crate::tui::ink::{fill, put, row, wrap};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::widgets::Paint;
use crate::vice::View;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// How far a stage of the tray has come, asked on the way out.
pub(super) fn draw_reached(view: &View, flies: u32, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    let Some((nth, on_it)) = view.tray else { return };
    let key = |deed, wish| paint.look.keys.key(deed, Place::Tray, wish).unwrap_or_default();
    let text = format!(
        "How many of the tray's {} have stage {} of {}? {flies}. {}: one more. {}: so many, and the sitting ends.",
        on_it + 1 - nth,
        view.stage,
        view.stages,
        key(Deed::More, Key::Up),
        key(Deed::GoOn, Key::Char(' '))
    );
    fill(buf, area, paint.styles.plain);
    asked(&text, &format!("{flies} done"), buf, area, paint);
}

pub(super) fn draw(at_hand: &AtHand, view: &View, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    let area = foot(at_hand, view, buf, area, paint);
    let Some((_, on_it)) = view.tray else { return };
    let here = on_it.saturating_sub(at_hand.number as usize);
    let key = |deed, wish| paint.look.keys.key(deed, Place::Tray, wish).unwrap_or_default();
    let text = format!(
        "Stage {} of {} is done. Count the tray: {here} of {on_it} flies are here. {}: one fewer. {}: on.",
        view.stage,
        view.stages,
        key(Deed::Fewer, Key::Down),
        key(Deed::GoOn, Key::Char(' '))
    );
    asked(&text, &format!("{here} here"), buf, area, paint);
}

/// What is asked in words, and the number that stands there as large as it goes.
fn asked(text: &str, number: &str, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    let lines = wrap(text, usize::from(area.width));
    for (nth, line) in lines.iter().enumerate() {
        let place = row(area, u16::try_from(nth).unwrap_or(u16::MAX));
        put(buf, place, place.x, place.y, line, paint.styles.title);
    }
    let used = u16::try_from(lines.len() + 1).unwrap_or(u16::MAX).min(area.height);
    words::draw_large(buf, Rect { y: area.y + used, height: area.height - used, ..area }, &[number], paint);
}
