//! The tray counted at the end of a stage: one key less for each fly that is missing.

use super::at_hand::AtHand;
use super::tying::foot;
use super::words;
use crate::tui::keys::{Deed, Key};
use crate::tui::widgets::Paint;
use crate::vice::View;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

pub(super) fn draw(at_hand: &AtHand, view: &View, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    let area = foot(at_hand, view, buf, area, paint);
    let Some((_, on_it)) = view.tray else { return };
    let here = on_it.saturating_sub(at_hand.number as usize);
    let key = |deed, wish| paint.look.keys.key(deed, at_hand.place(), wish).unwrap_or_default();
    let text = format!(
        "Stage {} of {} is done. Count the tray: {here} of {on_it} flies are here. {}: one fewer.",
        view.stage,
        view.stages,
        key(Deed::Fewer, Key::Down)
    );
    words::draw(buf, area, &text, Vec::new(), paint);
}
