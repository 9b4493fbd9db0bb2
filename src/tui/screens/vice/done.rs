//! A run that is done, in a few words, and the fly as it is.

use super::at_hand::AtHand;
use super::tying::{foot, halves, time};
use super::{head, words};
use crate::card::figure::View as From;
use crate::card::form::DONE;
use crate::tui::Desk;
use crate::tui::queue::Now;
use crate::tui::screens::fly::Fly;
use crate::tui::widgets::Paint;
use crate::vice::{Part, View};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

pub(super) fn draw(at_hand: &AtHand, view: &View, buf: &mut Buffer, area: Rect, desk: &Desk, _now: Now, paint: Paint<'_>) {
    let card = at_hand.fly.card();
    let (left, drawing) = halves(area, card.is_some());
    if let Some(card) = card {
        Fly { card, view: From::Side, done: DONE, chosen: &[], next: &[], frame: at_hand.fly.frame() }.draw(buf, drawing, desk, paint);
    }
    let left = foot(at_hand, view, buf, left, paint);
    let text = match view.part {
        Part::Done => {
            let ms = at_hand.run.run_ms();
            let each = ms.checked_div(u64::from(view.counts.tied)).unwrap_or(0);
            match view.counts.tied {
                1 => format!("The run is done: 1 fly in {}.", time(ms)),
                flies => format!("The run is done: {flies} flies in {}, {} each.", time(ms), time(each)),
            }
        }
        part => format!("{}: {}", part.words(), head::became(&view.counts, ", ")),
    };
    words::draw(buf, left, &text, Vec::new(), paint);
}
