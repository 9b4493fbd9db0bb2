//! The flies put aside half done: which of them is taken up again.

use super::forms::{ago, below, head, rows};
use crate::tui::ink::{fill, fit, put, put_right, row, width};
use crate::tui::keys::Deed;
use crate::tui::queue::Now;
use crate::tui::widgets::Paint;
use crate::vice::{Aside, Did, Run};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// The list.
#[derive(Clone, Debug)]
pub struct PutAside {
    flies: Vec<Aside>,
    chosen: usize,
}

impl PutAside {
    /// The flies that are put aside now.
    pub fn new(run: &Run) -> Self {
        PutAside { flies: run.put_aside(), chosen: 0 }
    }

    /// Takes the answer that something is booked.
    pub fn booked(&mut self, _: &Did, run: &Run) {
        self.flies = run.put_aside();
        self.chosen = self.chosen.min(self.flies.len().saturating_sub(1));
    }

    /// Does what a key asks; gives what is to be booked.
    pub fn go(&mut self, deed: Deed, _: &Run) -> Option<Did> {
        match deed {
            Deed::Up => self.chosen = self.chosen.saturating_sub(1),
            Deed::Down => self.chosen = (self.chosen + 1).min(self.flies.len().saturating_sub(1)),
            Deed::GoOn | Deed::Take | Deed::TakeAside => return self.flies.get(self.chosen).map(|aside| Did::TookUp { fly: aside.half.fly }),
            _ => {}
        }
        None
    }

    /// Chooses a fly by the first figure of its number: the next such one below.
    pub fn type_in(&mut self, text: &str) {
        for figure in text.chars().filter(char::is_ascii_digit) {
            let begins = |nth: &usize| self.flies.get(*nth).is_some_and(|aside| aside.half.fly.to_string().starts_with(figure));
            let count = self.flies.len();
            self.chosen = (1..=count).map(|far| (self.chosen + far) % count).find(begins).unwrap_or(self.chosen);
        }
    }

    /// Paints the list.
    pub fn draw(&self, run: &Run, now: Now, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let (styles, cut) = (paint.styles, paint.glyphs.cut);
        fill(buf, area, styles.plain);
        let count = match self.flies.len() {
            1 => "1 fly".to_owned(),
            count => format!("{count} flies"),
        };
        let body = head(buf, area, "Put aside half done", &count, "The one chosen is taken up; what is in hand half done is put aside for it.", paint);
        if self.flies.is_empty() {
            put(buf, row(body, 0), body.x, body.y, &fit("No fly is put aside.", usize::from(body.width), cut), styles.plain);
            return;
        }
        let steps = run.outline();
        let heading = row(body, 0);
        let wide = self.flies.iter().map(|aside| aside.half.fly.to_string().len()).max().unwrap_or(1) as u16;
        let (fly_end, step_x) = (heading.x + 5 + wide, heading.x + 8 + wide);
        put(buf, heading, heading.x + 1, heading.y, "fly", styles.quiet);
        put(buf, heading, step_x, heading.y, "which step comes next", styles.quiet);
        for (nth, place) in rows(below(body, 1), self.chosen, self.flies.len()) {
            let Some(Aside { half, since }) = self.flies.get(nth) else { continue };
            let style = if nth == self.chosen { styles.chosen } else { styles.plain };
            if nth == self.chosen {
                fill(buf, place, style);
            }
            put(buf, place, place.x + 1, place.y, "fly", style);
            put_right(buf, place, fly_end, place.y, &half.fly.to_string(), style);
            let when = if place.width >= 50 { format!("{} ", ago(now.utc_ms.saturating_sub(*since))) } else { String::new() };
            put_right(buf, place, place.right(), place.y, &when, if nth == self.chosen { style } else { styles.quiet });
            let text = steps.steps().get(half.step).map_or("", |step| step.text.as_str());
            let step = format!("step {} of {}: {text}", half.step + 1, steps.count());
            let room = usize::from(place.right().saturating_sub(step_x)).saturating_sub(width(&when) + 2);
            put(buf, place, step_x, place.y, &fit(&step, room, cut), style);
        }
    }
}
