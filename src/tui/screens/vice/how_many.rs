//! The one question before a run: how many flies.

use super::Waiting;
use crate::ledger::NewRun;
use crate::tui::ink::{fit, put, row};
use crate::tui::keys::Deed;
use crate::tui::widgets::Paint;
use crate::tui::widgets::page::frame;
use crate::vice::Begun;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// What a run has when nothing else is typed.
const USUAL: u32 = 12;
/// No bench ties more of one sort in one run.
const MOST: u32 = 9999;

/// The question and what is typed.
pub struct HowMany {
    run: NewRun,
    flies: u32,
    /// The first figure typed takes the place of the number that stands there.
    fresh: bool,
    /// What is told of a run of the same flies that waits already.
    waits: Option<String>,
}

impl HowMany {
    /// Asks about a run.
    pub fn new(run: NewRun) -> Self {
        HowMany { run, flies: USUAL, fresh: true, waits: None }
    }

    /// Tells of a run of the same flies that waits already.
    pub fn tell(&mut self, waits: Option<&Waiting>) {
        self.waits = waits.map(|waiting| {
            let place = waiting.state.as_ref().map(|run| run.view(0)).map(|view| format!(" at fly {} of {}", view.fly, view.flies));
            format!("a run of these waits already{}: r goes on with it", place.unwrap_or_default())
        });
    }

    /// What is asked about.
    pub fn run(&self) -> &NewRun {
        &self.run
    }

    /// The run with the number typed, begun at this time; `None` while that is none.
    pub fn begun(&self, at: i64) -> Option<NewRun> {
        (self.flies > 0).then(|| NewRun { begun_at: at, begun: Begun { flies: self.flies, ..self.run.begun.clone() }, ..self.run.clone() })
    }

    /// Types; what is no figure is passed over.
    pub fn type_in(&mut self, text: &str) {
        for figure in text.chars().filter_map(|c| c.to_digit(10)) {
            let before = if self.fresh { 0 } else { self.flies };
            self.fresh = false;
            self.flies = before.saturating_mul(10).saturating_add(figure).min(MOST);
        }
    }

    /// Does what a key asks.
    pub fn go(&mut self, deed: Deed) {
        self.flies = match deed {
            Deed::Up => self.flies + 1,
            Deed::Down => self.flies.saturating_sub(1).max(1),
            Deed::PageUp => self.flies + 12,
            Deed::PageDown if self.flies > 12 => self.flies - 12,
            Deed::Rub => self.flies / 10,
            _ => return,
        }
        .min(MOST);
        self.fresh = false;
    }

    /// Paints the question over `screen`.
    pub fn draw(&self, buf: &mut Buffer, screen: Rect, paint: Paint<'_>) {
        let inner = frame(buf, screen, "How many flies?", if self.waits.is_some() { 5 } else { 4 }, paint);
        let (styles, columns) = (paint.styles, usize::from(inner.width));
        put(buf, inner, inner.x, inner.y, &fit(&name(&self.run), columns, paint.glyphs.cut), styles.title);
        let line = row(inner, 1);
        let after = put(buf, line, line.x, line.y, "flies ", styles.plain);
        let typed = if self.flies == 0 { String::new() } else { self.flies.to_string() };
        let after = put(buf, line, after, line.y, &typed, if self.fresh { styles.chosen } else { styles.title });
        if !self.fresh {
            put(buf, line, after, line.y, " ", styles.chosen);
        }
        let hint = if self.flies == 0 { "one or more is right" } else { "figures, or up and down by ones, by pages a dozen; Enter begins" };
        let line = row(inner, 2);
        put(buf, line, line.x, line.y, &fit(hint, columns, paint.glyphs.cut), styles.quiet);
        if let Some(waits) = &self.waits {
            let line = row(inner, 3);
            put(buf, line, line.x, line.y, &fit(waits, columns, paint.glyphs.cut), styles.weak);
        }
    }
}

/// What a run is of.
pub fn name(run: &NewRun) -> String {
    let variant = run.variant.as_ref().map(|variant| format!(", {variant}")).unwrap_or_default();
    format!("{} {}{variant}", run.dressing, run.size)
}
