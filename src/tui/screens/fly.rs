//! The fly on its hook with some of its parts standing out, as more than one screen shows it.

use crate::card::Card;
use crate::card::figure::{Mark, Tone, View, extents, figure, growing};
use crate::card::form::{DONE, Role};
use crate::card::hook_line::P2;
use crate::paper::colour;
use crate::tui::Desk;
use crate::tui::figure::{Painting, Stand};
use crate::tui::ink::fill;
use crate::tui::style::{CLEAR, SEEN, rgb, seen, toward};
use crate::tui::widgets::Paint;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};

/// A fly to be painted.
pub struct Fly<'a> {
    /// The card it is drawn from.
    pub card: &'a Card,
    /// From where it is looked at.
    pub view: View,
    /// How many of the card's steps are done.
    pub done: usize,
    /// Parts that stand out, by place in [`Card::parts`]; the first that has a length on the drawing is measured.
    pub chosen: &'a [usize],
    /// Parts that one more step adds to, shown dotted as they are to be after it.
    pub next: &'a [usize],
    /// The corners that are to fit, mm; those of what is drawn where `None`.
    pub frame: Option<(P2, P2)>,
}

impl Fly<'_> {
    /// Paints it with its rule into `area`.
    pub fn draw(&self, buf: &mut Buffer, area: Rect, desk: &Desk, paint: Paint<'_>) {
        fill(buf, area, paint.styles.plain);
        let marks = growing(self.card, self.view, self.done, self.next);
        let painting = Painting {
            marks: &marks,
            figures: &self.card.sheet,
            styles: &|mark| self.style(mark, desk, paint),
            stands: &|mark| self.stand(mark),
            rule: paint.styles.quiet,
            length: paint.styles.title,
            cell: paint.look.cell.unwrap_or(0.5),
            ascii: !paint.look.unicode,
            mirrored: paint.look.mirrored,
            measured: self.chosen,
            lengths: self.card.shown.lengths,
            frame: self.frame,
        };
        painting.render(area, buf);
    }

    /// The part in hand stands out, what was tied before it back; with none in hand all is as it is.
    fn stand(&self, mark: &Mark) -> Stand {
        match mark.part {
            _ if self.chosen.is_empty() || mark.tone == Tone::Coming => Stand::Plain,
            Some(part) if self.chosen.contains(&part) => Stand::Bright,
            _ => Stand::Quiet,
        }
    }

    fn style(&self, mark: &Mark, desk: &Desk, paint: Paint<'_>) -> Style {
        let stand = self.stand(mark);
        let Some(theme) = paint.look.colours() else {
            // Without colours bold and dim carry it.
            let plain = paint.styles.plain;
            return match stand {
                Stand::Bright => plain.add_modifier(Modifier::BOLD),
                Stand::Quiet if mark.role != Role::Hook => plain.add_modifier(Modifier::DIM),
                _ => plain,
            };
        };
        let own = match mark.role {
            Role::Hook => theme.steel,
            _ => colour::of_piece(self.card, &desk.shelf, mark.role, mark.part, mark.piece),
        };
        let own = if mark.tone == Tone::Seam { toward(own, theme.ground, 0.4) } else { own };
        let own = if stand == Stand::Quiet { toward(own, theme.ground, 0.35) } else { own };
        let clear = stand == Stand::Bright || mark.tone == Tone::Coming;
        Style::new().fg(rgb(seen(own, theme, if clear { CLEAR } else { SEEN })))
    }
}

/// The corners of everything that is ever seen while the fly is tied, mm: a drawing within them stands still from the
/// bare hook to the last step.
pub fn frame(card: &Card) -> Option<(P2, P2)> {
    let states = (0..=card.steps.len()).chain([DONE]).filter_map(|done| extents(&figure(card, View::Side, done)));
    states.reduce(|(low, high), (lower, higher)| ([low[0].min(lower[0]), low[1].min(lower[1])], [high[0].max(higher[0]), high[1].max(higher[1])]))
}
