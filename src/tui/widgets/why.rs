//! The derivation of a figure, one stride at a time: its formula, its inputs with value, unit, standing and where from.
//! Enter goes into an input, Backspace comes out; a plan's figure that was taken from a card goes on into that card.

use super::Paint;
use super::page::{Scroll, Text, Tone, frame, lay};
use super::reason::{Reason, card_figure, plan_figure, reason};
use crate::card::Card;
use crate::measure::Currency;
use crate::plan::Plan;
use crate::tui::ink::{fill, first_shown, fit, put, row, width, wrap};
use crate::tui::keys::{Deed, Key, Place};
use crate::why::{Fig, Figures, Geometry};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::rc::Rc;

/// Whose figures are asked about.
#[derive(Clone)]
pub enum Subject {
    /// A card's.
    Card(Rc<Card>),
    /// A plan's.
    Plan(Rc<Plan>),
    /// Those of a sheet by itself.
    Sheet(Rc<Geometry>),
    /// Those of a run that was reported on; no money among them.
    Run(Rc<Figures>),
}

/// Which sheet a figure stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ground {
    /// The subject's own.
    Own,
    /// The card of a run of the plan.
    Run(usize),
}

/// A figure on the way in.
#[derive(Clone, Copy, Debug)]
struct Stop {
    ground: Ground,
    fig: Fig,
    input: usize,
}

/// The sheet: the figure asked about and the way in from there.
#[derive(Clone)]
pub struct Why {
    subject: Subject,
    first: Stop,
    further: Vec<Stop>,
}

impl Why {
    /// Asks about a figure of the subject's own sheet.
    pub fn new(subject: Subject, fig: Fig) -> Self {
        Why { subject, first: Stop { ground: Ground::Own, fig, input: 0 }, further: Vec::new() }
    }

    fn here(&self) -> Stop {
        self.further.last().copied().unwrap_or(self.first)
    }

    fn here_mut(&mut self) -> &mut Stop {
        self.further.last_mut().unwrap_or(&mut self.first)
    }

    fn reason(&self, ground: Ground, fig: Fig) -> Option<Reason> {
        match (&self.subject, ground) {
            (Subject::Run(sheet), _) => Some(reason(sheet, fig, &|row| plan_figure(row, &Currency::none()))),
            (Subject::Sheet(sheet), _) => Some(reason(sheet, fig, &card_figure)),
            (Subject::Card(card), _) => Some(reason(&card.sheet, fig, &card_figure)),
            (Subject::Plan(plan), Ground::Own) => Some(reason(&plan.figures, fig, &|row| plan_figure(row, &plan.currency))),
            (Subject::Plan(plan), Ground::Run(run)) => Some(reason(&plan.runs.get(run)?.card.sheet, fig, &card_figure)),
        }
    }

    /// The figures a figure leads to.
    fn inputs(&self, stop: Stop) -> Vec<(Ground, Fig)> {
        if let (Subject::Plan(plan), Ground::Own) = (&self.subject, stop.ground)
            && let Some((run, fig)) = plan.from_card.get(&stop.fig)
            && *run < plan.runs.len()
        {
            return vec![(Ground::Run(*run), *fig)];
        }
        self.reason(stop.ground, stop.fig).map(|reason| reason.inputs.into_iter().map(|fig| (stop.ground, fig)).collect()).unwrap_or_default()
    }

    /// Does what a key asks.
    pub fn go(&mut self, deed: Deed, page: usize) {
        let inputs = self.inputs(self.here());
        let last = inputs.len().saturating_sub(1);
        let at = self.here().input;
        match deed {
            Deed::Into => {
                if let Some((ground, fig)) = inputs.get(at) {
                    self.further.push(Stop { ground: *ground, fig: *fig, input: 0 });
                }
                return;
            }
            Deed::Out => {
                self.further.pop();
                return;
            }
            _ => {}
        }
        let mut scroll = Scroll(at);
        scroll.go(deed, page, last);
        self.here_mut().input = scroll.0;
    }

    /// Whether there is an input to go into, and whether there is a way out of one.
    pub fn ways(&self) -> (bool, bool) {
        (!self.inputs(self.here()).is_empty(), !self.further.is_empty())
    }

    /// Paints the sheet over `screen`.
    pub fn draw(&self, buf: &mut Buffer, screen: Rect, paint: Paint<'_>) {
        let stop = self.here();
        let Some(reason) = self.reason(stop.ground, stop.fig) else { return };
        let depth = self.further.len();
        let heading = if depth == 0 { "Why".to_owned() } else { format!("Why, {depth} in") };
        let styles = paint.styles;
        let inputs = self.inputs(stop);
        let crossing = matches!((stop.ground, inputs.first()), (Ground::Own, Some((Ground::Run(_), _))));
        let mut top = Vec::new();
        if depth > 0 {
            top.push(Text::new(Tone::Quiet, self.way()));
        }
        top.push(Text::new(Tone::Head, format!("{} = {}", reason.key, reason.value)));
        match &reason.formula {
            Some(formula) => {
                top.push(Text::new(Tone::Plain, format!("= {formula}")));
                top.push(Text::new(Tone::Quiet, format!("by: {}", reason.source)));
                let word = if inputs.len() == 1 { "its input" } else { "the weakest of its inputs" };
                top.push(Text::new(Tone::Plain, format!("{}, as {word}", reason.standing.name())));
            }
            None => {
                top.push(Text::new(Tone::Plain, format!("{}: {}", reason.standing.name(), reason.source)));
            }
        }
        if crossing {
            let on = paint.look.keys.key(Deed::Into, Place::Why, Key::Enter).map(|key| format!("; {key} goes on there")).unwrap_or_default();
            top.push(Text::new(Tone::Quiet, format!("It was taken from the worked card{on}.")));
        }
        let lines = lay(&top, usize::from(screen.width.saturating_sub(4)));
        // The inputs, their heading, and what is told of the chosen one below them.
        let rows = lines.len() + if inputs.is_empty() { 1 } else { inputs.len() + 6 };
        let inner = frame(buf, screen, &heading, rows.max(9), paint);
        for (nth, (tone, line)) in lines.iter().enumerate() {
            let place = row(inner, u16::try_from(nth).unwrap_or(u16::MAX));
            let style = match tone {
                Tone::Head => styles.title,
                Tone::Quiet => styles.quiet,
                _ => styles.plain,
            };
            put(buf, place, place.x, place.y, line, style);
        }
        let used = u16::try_from(lines.len()).unwrap_or(u16::MAX).saturating_add(1).min(inner.height);
        let rest = Rect { y: inner.y + used, height: inner.height - used, ..inner };
        self.draw_inputs(buf, rest, &inputs, paint);
    }

    /// The keys from the figure asked about to this one.
    fn way(&self) -> String {
        let before = [self.first].into_iter().chain(self.further.iter().copied()).take(self.further.len());
        let keys: Vec<String> = before.filter_map(|stop| Some(self.reason(stop.ground, stop.fig)?.key.to_string())).collect();
        match keys.as_slice() {
            [] => String::new(),
            keys => format!("for {}", keys.iter().rev().take(3).rev().cloned().collect::<Vec<_>>().join(", for ")),
        }
    }

    fn draw_inputs(&self, buf: &mut Buffer, area: Rect, inputs: &[(Ground, Fig)], paint: Paint<'_>) {
        let styles = paint.styles;
        let cut = paint.glyphs.cut;
        if inputs.is_empty() {
            return;
        }
        let reasons: Vec<Reason> = inputs.iter().filter_map(|(ground, fig)| self.reason(*ground, *fig)).collect();
        let chosen = self.here().input.min(reasons.len().saturating_sub(1));
        let columns = usize::from(area.width);
        let widest = |of: &dyn Fn(&Reason) -> usize, most: usize| reasons.iter().map(of).max().unwrap_or(0).min(most);
        let key = widest(&|reason| width(reason.key.as_str()), columns * 2 / 5).max(6);
        let value = widest(&|reason| width(reason.value.as_str()), columns / 4).max(5);
        let standing = widest(&|reason| width(reason.standing.name()), 13).max(8);
        let (key_x, value_x) = (area.x, area.x + key as u16 + 1);
        let (standing_x, told_x) = (value_x + value as u16 + 2, value_x + (value + standing) as u16 + 4);
        let heading = row(area, 0);
        for (x, text) in [(key_x, "input"), (value_x, "value"), (standing_x, "standing"), (told_x, "from")] {
            put(buf, heading, x, heading.y, text, styles.quiet);
        }
        // The chosen input's own source is told in full below the rows.
        let told = reasons.get(chosen).map(|reason| wrap(&from_in_words(reason), columns)).unwrap_or_default();
        let below = if area.height >= 8 { told.len().min(3) as u16 + 1 } else { 0 };
        let rows = usize::from(area.height.saturating_sub(1 + below));
        let first = first_shown(chosen, reasons.len(), rows);
        for (nth, reason) in reasons.iter().enumerate().skip(first).take(rows) {
            let place = row(area, (nth - first) as u16 + 1);
            let style = if nth == chosen { styles.chosen } else { styles.plain };
            if nth == chosen {
                fill(buf, place, style);
            }
            put(buf, place, key_x, place.y, &fit(reason.key.as_str(), key, cut), style);
            put(buf, place, value_x, place.y, &fit(reason.value.as_str(), value, cut), style);
            let mark = if nth == chosen {
                style
            } else if super::figures::weak(reason.standing) {
                styles.weak
            } else {
                styles.plain
            };
            put(buf, place, standing_x, place.y, reason.standing.name(), mark);
            let room = usize::from(area.right().saturating_sub(told_x));
            put(buf, place, told_x, place.y, &fit(&from_in_words(reason), room, cut), style);
        }
        if below > 0 {
            let foot = Rect { y: area.bottom() - below, height: below, ..area };
            for (nth, line) in told.iter().take(usize::from(below - 1)).enumerate() {
                let place = row(foot, nth as u16 + 1);
                put(buf, place, place.x, place.y, line, styles.quiet);
            }
        }
    }
}

/// Where a figure comes from, on one line.
fn from_in_words(reason: &Reason) -> String {
    match &reason.formula {
        Some(formula) => format!("= {formula}"),
        None => reason.source.to_string(),
    }
}
