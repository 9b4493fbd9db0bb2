//! The runs to go on with: of what, how far, and when they were left.

use super::Waiting;
use super::forms::ago;
use super::how_many::name;
use super::listed::drying;
use super::tying::time;
use crate::measure::Words;
use crate::tui::ink::{fill, first_shown, fit, put, put_right, row, width, wrap};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::queue::Now;
use crate::tui::widgets::Paint;
use crate::vice::Part;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

pub(super) fn draw(waiting: &[Waiting], chosen: usize, notice: Option<&str>, buf: &mut Buffer, area: Rect, now: Now, paint: Paint<'_>) {
    let styles = paint.styles;
    fill(buf, area, styles.plain);
    let columns = usize::from(area.width);
    let mut y = 0;
    put(buf, row(area, y), area.x, area.y, "Runs to go on with", styles.title);
    y += 1;
    if let Some(notice) = notice {
        let place = row(area, y);
        put(buf, place, place.x, place.y, &fit(notice, columns, paint.glyphs.cut), styles.weak);
        y += 1;
    }
    if waiting.is_empty() {
        let tie = paint.look.keys.key(Deed::Tie, Place::Dressings, Key::Char('t')).unwrap_or_default();
        let none = format!("No run is open. Choose a dressing in the size and variant wanted, and press {tie}: it is tied from there.");
        for line in wrap(&none, columns) {
            y += 1;
            let place = row(area, y);
            put(buf, place, place.x, place.y, &line, styles.plain);
        }
        return;
    }
    let rows = Rect { y: area.y + (y + 1).min(area.height), height: area.height.saturating_sub(y + 1), ..area };
    let names: Vec<String> = waiting.iter().map(|one| name(&one.row.begun)).collect();
    let wide = names.iter().map(|name| width(name)).max().unwrap_or(0).min(columns / 2);
    let first = first_shown(chosen, waiting.len(), usize::from(rows.height));
    for (nth, (one, name)) in waiting.iter().zip(&names).enumerate().skip(first) {
        let place = row(rows, u16::try_from(nth - first).unwrap_or(u16::MAX));
        let style = if nth == chosen { styles.chosen } else { styles.plain };
        if nth == chosen {
            buf.set_style(place.intersection(buf.area), style);
        }
        let after = put(buf, place, place.x, place.y, &format!(" {}", fit(name, wide, paint.glyphs.cut)), style);
        let (how_far, broken) = how_far(one, now);
        let left = one.row.last_at.map(|last| format!("left {} ", ago(now.utc_ms.saturating_sub(last)))).unwrap_or_else(|| "not begun ".to_owned());
        let left = if columns >= 60 { left } else { String::new() };
        let x = (place.x.saturating_add(wide as u16 + 3)).max(after);
        let room = usize::from(place.right().saturating_sub(x)).saturating_sub(width(&left) + 2);
        let far_style = if broken && nth != chosen { styles.fault } else { style };
        put(buf, place, x, place.y, &fit(&how_far, room, paint.glyphs.cut), far_style);
        put_right(buf, place, place.right(), place.y, &left, if nth == chosen { style } else { styles.quiet });
    }
}

/// How far a run is, and whether that could not be read.
fn how_far(one: &Waiting, now: Now) -> (String, bool) {
    match &one.state {
        Ok(run) => {
            let view = run.view(0);
            let worked = run.run_ms();
            let spent = if worked >= 1000 { format!(", {} so far", time(worked)) } else { String::new() };
            let wanted = view.flies.saturating_sub(view.counts.given_up);
            let at = match view.part {
                Part::Tying if view.tray.is_some() => format!("{} of {wanted} tied, stage {} of {}", view.counts.tied, view.stage, view.stages),
                Part::Tying if view.steps.is_empty() => format!("{} of {wanted} tied", view.counts.tied),
                Part::Tying => format!("fly {} of {}, step {} of {}", view.fly, view.flies, view.steps.start + 1, run.outline().count()),
                part => format!("{}, {} tied", part.words(), view.counts.tied),
            };
            let dries = run.clocks().iter().map(|clock| clock.until).max().filter(|until| *until > now.utc_ms);
            let dries = dries.map(|until| format!(", {}", drying(until, now))).unwrap_or_default();
            (format!("{at}{spent}{dries}"), false)
        }
        Err(why) => (Words::new(why).to_string(), true),
    }
}
