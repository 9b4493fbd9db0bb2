//! The fly on its hook with some of its parts standing out, as more than one screen shows it.

use crate::card::Card;
use crate::card::figure::{Mark, Tone, View, extents, figure};
use crate::card::form::{DONE, Role};
use crate::card::hook_line::P2;
use crate::paper::colour;
use crate::tui::Desk;
use crate::tui::figure::Painting;
use crate::tui::ink::fill;
use crate::tui::style::{CLEAR, SEEN, rgb, seen, toward};
use crate::tui::widgets::Paint;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Color, Modifier};

/// A fly to be painted.
pub struct Fly<'a> {
    /// The card it is drawn from.
    pub card: &'a Card,
    /// From where it is looked at.
    pub view: View,
    /// How many of the card's steps are done.
    pub done: usize,
    /// Parts that stand out, by place in [`Card::parts`]; the first that has a length shows it.
    pub chosen: &'a [usize],
    /// The corners that are to fit, mm; those of what is drawn where `None`.
    pub frame: Option<(P2, P2)>,
}

impl Fly<'_> {
    /// Paints it with its rule into `area`.
    pub fn draw(&self, buf: &mut Buffer, area: Rect, desk: &Desk, paint: Paint<'_>) {
        // Without colours the chosen parts are told by a colour of their own that becomes bold.
        const CHOSEN: Color = Color::Indexed(1);
        fill(buf, area, paint.styles.plain);
        let card = self.card;
        let colours = |mark: &Mark| {
            let is_chosen = mark.part.is_some_and(|part| self.chosen.contains(&part));
            let Some(theme) = paint.look.colours() else {
                return if is_chosen { CHOSEN } else { Color::Reset };
            };
            let own = match mark.role {
                Role::Hook => theme.steel,
                _ => colour::of_piece(card, &desk.shelf, mark.role, mark.part, mark.piece),
            };
            let own = if mark.tone == Tone::Seam { toward(own, theme.ground, 0.4) } else { own };
            // What is not chosen stands back a little.
            let own = if !self.chosen.is_empty() && !is_chosen { toward(own, theme.ground, 0.35) } else { own };
            rgb(seen(own, theme, if is_chosen { CLEAR } else { SEEN }))
        };
        let marks = figure(card, self.view, self.done);
        let painting = Painting {
            marks: &marks,
            figures: &card.sheet,
            colours: &colours,
            rule: paint.styles.quiet,
            cell: paint.look.cell.unwrap_or(0.5),
            ascii: !paint.look.unicode,
            mirrored: paint.look.mirrored,
            highlight: self.chosen.iter().copied().find(|part| card.parts.get(*part).is_some_and(|part| part.length.or(part.fibre).is_some())),
            lengths: card.shown.lengths,
            frame: self.frame,
        };
        painting.render(area, buf);
        let inner = area.intersection(buf.area);
        let places = (inner.top()..inner.bottom()).flat_map(|y| (inner.left()..inner.right()).map(move |x| (x, y)));
        for place in places {
            let Some(cell) = buf.cell_mut(place) else { continue };
            match paint.look.colours() {
                None if cell.fg == CHOSEN => {
                    cell.fg = Color::Reset;
                    cell.modifier |= Modifier::BOLD;
                }
                // The length beside the chosen part is text, and must be read like text.
                Some(theme) if cell.modifier.contains(Modifier::BOLD) => cell.fg = rgb(theme.bright),
                _ => {}
            }
        }
    }
}

/// The corners of everything that is ever seen while the fly is tied, mm: a drawing within them stands still from the
/// bare hook to the last step.
pub fn frame(card: &Card) -> Option<(P2, P2)> {
    let states = (0..=card.steps.len()).chain([DONE]).filter_map(|done| extents(&figure(card, View::Side, done)));
    states.reduce(|(low, high), (lower, higher)| ([low[0].min(lower[0]), low[1].min(lower[1])], [high[0].max(higher[0]), high[1].max(higher[1])]))
}
