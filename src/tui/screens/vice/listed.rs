//! A list that is walked with the big key: what is laid out before the vice, what is finished after it. What is in hand
//! stands large, the list with its ticks below; at the finishing with the clocks of what dries.

use super::at_hand::AtHand;
use super::tying::{foot, time};
use super::words;
use crate::tui::ink::{first_shown, fit, put, put_right, row, width};
use crate::tui::keys::{Deed, Key};
use crate::tui::queue::Now;
use crate::tui::widgets::Paint;
use crate::vice::{Of, Part, View};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Modifier;

pub(super) fn draw(at_hand: &AtHand, view: &View, buf: &mut Buffer, area: Rect, now: Now, paint: Paint<'_>) {
    let begun = at_hand.run.begun();
    let texts: Vec<&str> = match view.part {
        Part::LayingOut => begun.layout.iter().map(|item| item.text.as_str()).collect(),
        _ => begun.finishing.iter().map(|finish| finish.text.as_str()).collect(),
    };
    let area = foot(at_hand, view, buf, area, paint);
    // The list takes what it needs, up to half.
    let rows = u16::try_from(texts.len()).unwrap_or(u16::MAX).min(area.height / 2);
    let list = Rect { y: area.bottom() - rows, height: rows, ..area };
    let above = Rect { height: (area.height - rows).saturating_sub(1), ..area };
    let counted = bad(at_hand, view, paint);
    let used = u16::from(counted.is_some() && above.height > 2);
    if let Some(text) = texts.get(view.item) {
        // What is to be counted out or measured, and no other number of the line.
        let figure = words::first_figure(text);
        words::draw_with(buf, Rect { height: above.height - used, ..above }, text, figure.as_deref(), paint);
    }
    if let Some(text) = counted.filter(|_| used > 0) {
        let place = row(above, above.height - 1);
        put(buf, place, place.x, place.y, &fit(&text, usize::from(place.width), paint.glyphs.cut), paint.styles.title);
    }
    let first = first_shown(view.item.min(texts.len().saturating_sub(1)), texts.len(), usize::from(rows));
    for (nth, text) in texts.iter().enumerate().skip(first) {
        let place = row(list, u16::try_from(nth - first).unwrap_or(u16::MAX));
        let (sign, style) = match nth.cmp(&view.item) {
            std::cmp::Ordering::Less => (paint.glyphs.ticked, paint.styles.quiet),
            std::cmp::Ordering::Equal => (paint.glyphs.here, paint.styles.title.add_modifier(Modifier::BOLD)),
            std::cmp::Ordering::Greater => (" ", paint.styles.plain),
        };
        let end = ended(at_hand, view, nth, now);
        put_right(buf, place, place.right(), place.y, &end, paint.styles.plain);
        put(buf, place, place.x, place.y, sign, style);
        let room = usize::from(place.width).saturating_sub(2 + if end.is_empty() { 0 } else { width(&end) + 2 });
        put(buf, place, place.x + 2.min(place.width), place.y, &fit(text, room, paint.glyphs.cut), style);
    }
}

/// How many bad ones were found with what is in hand.
fn bad(at_hand: &AtHand, view: &View, paint: Paint<'_>) -> Option<String> {
    let of = at_hand.run.begun().layout.get(view.item).map(|item| item.of)?;
    // Of silk and wire there are no bad ones to be counted.
    (view.part == Part::LayingOut && matches!(of, Of::Hooks | Of::Things | Of::MadeParts | Of::Feathers)).then(|| {
        let what = if of == Of::Hooks { "bad hooks" } else { "bad ones" };
        let key = |deed, wish| paint.look.keys.key(deed, at_hand.place(), wish).unwrap_or_default();
        let more = key(Deed::More, Key::Up);
        match at_hand.number {
            0 => format!("{what} found: none ({more}: one)"),
            number => format!("{what} found: {number} ({more}: one more)"),
        }
    })
}

/// What stands at the end of a line: bad ones that were found, a drying clock.
fn ended(at_hand: &AtHand, view: &View, nth: usize, now: Now) -> String {
    if view.part == Part::LayingOut {
        return match at_hand.run.found_bad().get(nth) {
            Some(bad) if *bad > 0 => format!("{bad} bad"),
            _ => String::new(),
        };
    }
    let Some(clock) = at_hand.run.clocks().iter().rev().find(|clock| clock.finish == nth) else {
        let dries = at_hand.run.begun().finishing.get(nth).and_then(|finish| finish.dries_ms).filter(|ms| *ms > 0);
        return dries.map(|ms| format!("dries {}", time(ms))).unwrap_or_default();
    };
    drying(clock.until, now)
}

/// A clock in words.
pub(super) fn drying(until: i64, now: Now) -> String {
    match u64::try_from(until.saturating_sub(now.utc_ms)) {
        Ok(left) if left > 0 => format!("dry at {}, {} more", now.clock(until), time(left)),
        _ => "dry".to_owned(),
    }
}
