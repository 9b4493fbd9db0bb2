//! What is another from the fly in hand on: a lot, the box of hooks, a figure. What it is now is typed.

use super::forms::{foot, head, key, rows};
use crate::measure::Words;
use crate::tui::ink::{fill, fit, put, width};
use crate::tui::keys::{self, Deed, Key};
use crate::tui::widgets::Paint;
use crate::vice::{Did, Place, Run};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// No lot is written longer.
const LONGEST: usize = 60;

/// The form.
#[derive(Clone, Debug)]
pub struct Change {
    /// What can be another.
    what: Vec<Words>,
    chosen: usize,
    typed: String,
    said: Option<&'static str>,
}

impl Change {
    /// Nothing is typed.
    pub fn new(run: &Run) -> Self {
        let begun = run.begun();
        let of_material = |hook: bool| begun.materials.iter().filter(move |material| material.hook == hook);
        let hooks = of_material(true).map(|hook| Words::new(&format!("box of {}", hook.name)));
        let lots = of_material(false).map(|material| Words::new(&format!("lot of {}", material.name)));
        let lengths = begun.lengths.iter().map(|length| length.what.clone());
        Change { what: hooks.chain(lots).chain(lengths).chain([Words::new("something else")]).collect(), chosen: 0, typed: String::new(), said: None }
    }

    /// Takes the answer that something is booked: what was typed for it is done with.
    pub fn booked(&mut self, did: &Did, _: &Run) {
        if matches!(did, Did::Changed { .. }) {
            self.typed.clear();
        }
    }

    /// Types what it is now.
    pub fn type_in(&mut self, text: &str) {
        self.said = None;
        for c in Words::new(text).as_str().chars() {
            if width(&self.typed) < LONGEST && !(c == ' ' && (self.typed.is_empty() || self.typed.ends_with(' '))) {
                self.typed.push(c);
            }
        }
    }

    /// Does what a key asks; gives what is to be booked.
    pub fn go(&mut self, deed: Deed, _: &Run) -> Option<Did> {
        self.said = None;
        match deed {
            Deed::Up => self.chosen = self.chosen.saturating_sub(1),
            Deed::Down => self.chosen = (self.chosen + 1).min(self.what.len().saturating_sub(1)),
            Deed::Rub => drop(self.typed.pop()),
            Deed::GoOn | Deed::Take if self.typed.trim().is_empty() => {
                self.said = Some("What is it now? A lot's number, a box or a length is to be typed first.")
            }
            Deed::GoOn | Deed::Take => return Some(Did::Changed { what: self.what.get(self.chosen)?.clone(), to: Words::new(self.typed.trim()) }),
            _ => {}
        }
        None
    }

    /// Paints the form.
    pub fn draw(&self, run: &Run, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let (styles, cut) = (paint.styles, paint.glyphs.cut);
        fill(buf, area, styles.plain);
        // The fly in hand, else the next to be begun: as the run itself has it.
        let from = match run.place() {
            Some(Place::Fly { fly, .. }) => fly,
            _ => run.counts().started.saturating_add(1),
        };
        let title = format!("What changes from fly {from} on?");
        let body = head(buf, area, &title, "", "The flies before it keep what they were tied with; both stand with the run.", paint);
        let key = |deed, wish| key(paint, deed, keys::Place::Change, wish);
        let mut said = Vec::new();
        if let Some(last) = run.changes().last() {
            said.push((format!("Noted last: {}: {}, from fly {} on.", last.what, last.to, last.from_fly), styles.quiet));
        }
        match self.said {
            Some(line) => said.push((line.to_owned(), styles.fault)),
            None => said.push((
                format!(
                    "{} and {} choose what; type what it is now; {} notes it.",
                    key(Deed::Up, Key::Up),
                    key(Deed::Down, Key::Down),
                    key(Deed::Take, Key::Enter)
                ),
                styles.title,
            )),
        }
        let body = foot(buf, body, &said);
        let widest = self.what.iter().map(|what| width(what.as_str())).max().unwrap_or(0);
        let name = widest.min(usize::from(body.width) / 2).min(48);
        for (nth, place) in rows(body, self.chosen, self.what.len()) {
            let Some(what) = self.what.get(nth) else { continue };
            let chosen = nth == self.chosen;
            let style = if chosen { styles.chosen } else { styles.plain };
            let cell = Rect { width: (name as u16).saturating_add(2).min(place.width), ..place };
            if chosen {
                fill(buf, cell, style);
            }
            put(buf, cell, place.x + 1, place.y, &fit(what.as_str(), name, cut), style);
            if chosen {
                let x = cell.right().saturating_add(1);
                let room = usize::from(place.right().saturating_sub(x)).saturating_sub(7);
                // The end of what is typed is seen.
                let mut shown = self.typed.as_str();
                while width(shown) > room {
                    shown = shown.char_indices().nth(1).map_or("", |(at, _)| shown.get(at..).unwrap_or_default());
                }
                let after = put(buf, place, x, place.y, "now: ", styles.quiet);
                let after = put(buf, place, after, place.y, shown, styles.title);
                put(buf, place, after, place.y, "_", styles.title);
            } else if let Some(noted) = run.changes().iter().rev().find(|change| change.what == *what) {
                let text = format!("{} from fly {} on", noted.to, noted.from_fly);
                let x = cell.right().saturating_add(1);
                put(buf, place, x, place.y, &fit(&text, usize::from(place.right().saturating_sub(x)), cut), styles.quiet);
            }
        }
    }
}
