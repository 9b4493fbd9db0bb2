//! The questions that waited until no fly was in hand. Each has its answers and one that holds while nobody answers, so
//! that all of them can be left.

use super::forms::{below, foot, head, key};
use super::tying::time;
use crate::measure::Words;
use crate::tui::ink::{fill, first_shown, fit, put, put_right, row, width};
use crate::tui::keys::{self, Deed, Key};
use crate::tui::widgets::Paint;
use crate::vice::{Asked, Did, Place, Question, Run};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Which question is chosen.
#[derive(Clone, Debug, Default)]
pub struct Questions {
    chosen: usize,
    /// The next answer booked goes on to the next question.
    onward: bool,
}

impl Questions {
    /// Begins with the first that nobody has answered.
    pub fn new(run: &Run) -> Self {
        let chosen = run.questions().iter().position(|question| question.answer.is_none()).unwrap_or(0);
        Questions { chosen, onward: false }
    }

    /// Takes the answer that something is booked.
    pub fn booked(&mut self, did: &Did, run: &Run) {
        if matches!(did, Did::Answered { .. }) && std::mem::take(&mut self.onward) {
            self.chosen += 1;
        }
        self.chosen = self.chosen.min(run.questions().len().saturating_sub(1));
    }

    /// Does what a key asks; gives what is to be booked. The big key closes the list, which is not this form's to do.
    pub fn go(&mut self, deed: Deed, run: &Run) -> Option<Did> {
        self.onward = false;
        let question = run.questions().get(self.chosen)?;
        let choices = question.asked.choices();
        let at = choices.iter().position(|choice| *choice == question.holds());
        let to = match deed {
            Deed::Up => {
                self.chosen = self.chosen.saturating_sub(1);
                return None;
            }
            Deed::Down => {
                self.chosen = (self.chosen + 1).min(run.questions().len().saturating_sub(1));
                return None;
            }
            Deed::More => at.map_or(0, |at| (at + 1) % choices.len().max(1)),
            Deed::Fewer => at.unwrap_or(0).checked_sub(1).unwrap_or(choices.len().saturating_sub(1)),
            _ => return None,
        };
        answer(question, to)
    }

    /// Takes a figure for the answer with that number, and goes on to the next question once it is booked.
    pub fn type_in(&mut self, text: &str, run: &Run) -> Option<Did> {
        let nth = text.chars().find_map(|c| c.to_digit(10))?.checked_sub(1)?;
        let did = answer(run.questions().get(self.chosen)?, nth as usize);
        self.onward = did.is_some();
        did
    }

    /// Paints the list.
    pub fn draw(&self, run: &Run, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let styles = paint.styles;
        fill(buf, area, styles.plain);
        let questions = run.questions();
        let open = questions.iter().filter(|question| question.answer.is_none()).count();
        let right = match open {
            0 => "all answered".to_owned(),
            1 => "1 not answered".to_owned(),
            open => format!("{open} not answered"),
        };
        let key = |deed, wish| key(paint, deed, keys::Place::Questions, wish);
        let meant = format!("{}, {} or a figure: an answer. Unanswered, what is marked holds.", key(Deed::Fewer, Key::Left), key(Deed::More, Key::Right));
        let body = head(buf, area, "Questions that waited", &right, &meant, paint);
        if questions.is_empty() {
            put(buf, row(body, 0), body.x, body.y, &fit("Nothing is asked.", usize::from(body.width), paint.glyphs.cut), styles.plain);
            return;
        }
        let said = match questions.get(self.chosen).filter(|question| question.answer.is_none()) {
            Some(question) => format!("Not answered: \"{}\" holds.", question.holds()),
            None => String::new(),
        };
        let body = foot(buf, body, &[(said, styles.weak)]);
        // Two rows a question, three where there is room.
        let rows = if usize::from(body.height) >= questions.len() * 3 { 3 } else { 2 };
        let room = (usize::from(body.height) / rows).max(1);
        let first = first_shown(self.chosen, questions.len(), room);
        for (nth, question) in questions.iter().enumerate().skip(first).take(room) {
            let place = below(body, u16::try_from((nth - first) * rows).unwrap_or(u16::MAX));
            one(run, question, nth == self.chosen, buf, place, paint);
        }
    }
}

fn answer(question: &Question, to: usize) -> Option<Did> {
    let choice = question.asked.choices().get(to)?;
    Some(Did::Answered { about: question.about, answer: Words::new(choice) })
}

/// A question and beneath it its answers, the one that holds between signs.
fn one(run: &Run, question: &Question, chosen: bool, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    let (styles, cut) = (paint.styles, paint.glyphs.cut);
    let line = row(area, 0);
    let style = if chosen { styles.chosen } else { styles.plain };
    if chosen {
        fill(buf, line, style);
    }
    // An answer that nobody gave is marked as such.
    let by = if question.answer.is_none() { "not answered " } else { "" };
    put(buf, line, line.x + 1, line.y, &fit(&asked(run, question), usize::from(line.width.saturating_sub(2)).saturating_sub(width(by)), cut), style);
    put_right(buf, line, line.right(), line.y, by, if chosen { style } else { styles.weak });
    let line = row(area, 1);
    let choices = question.asked.choices();
    let mut x = line.x + 1;
    let wide: usize = choices.iter().map(|choice| width(choice) + 5).sum();
    let at = choices.iter().position(|choice| *choice == question.holds());
    let Some(at) = at.filter(|_| wide < usize::from(line.width)) else {
        // No room for all, or it was answered with something that is not among the answers here.
        let of = at.map_or(String::new(), |at| format!(" {} of {}", at + 1, choices.len()));
        let text = format!("{}{}{}{of}", paint.glyphs.open, question.holds(), paint.glyphs.close);
        put(buf, line, x, line.y, &fit(&text, usize::from(line.width).saturating_sub(1), cut), styles.title);
        return;
    };
    for (nth, choice) in choices.iter().enumerate() {
        let holds = nth == at;
        let text = if holds { format!("{}{} {choice}{}", paint.glyphs.open, nth + 1, paint.glyphs.close) } else { format!(" {} {choice} ", nth + 1) };
        let style = if holds { styles.title } else { styles.quiet };
        x = put(buf, line, x, line.y, &text, style);
        x = put(buf, line, x, line.y, " ", styles.plain);
    }
}

/// What is asked, in words.
fn asked(run: &Run, question: &Question) -> String {
    match question.asked {
        Asked::Mishap => format!("Fly {}: what went wrong?", question.fly),
        Asked::GivenUp => format!("Fly {}: why was it given up?", question.fly),
        Asked::Pause { place, ms } => format!("{} beyond the usual: a pause, or work? {}", time(ms), at(run, place)),
    }
}

/// Where time was spent, in words.
fn at(run: &Run, place: Place) -> String {
    let text = |text: Option<&Words>| text.map(|text| format!(", {text}")).unwrap_or_default();
    let begun = run.begun();
    match place {
        Place::LayingOut(nth) => format!("Laying out{}", text(begun.layout.get(nth).map(|item| &item.text))),
        Place::Fly { fly, step } => format!("Fly {fly}, step {} of {}", step + 1, run.outline().count()),
        Place::Counting { fly, .. } => format!("Counting the tray of fly {fly}"),
        Place::NoFly => "No fly in the vice".to_owned(),
        Place::Measuring(nth) => format!("Measuring{}", text(begun.lengths.get(nth).map(|length| &length.what))),
        Place::Agreeing => "Agreeing the sample".to_owned(),
        Place::Finishing(nth) => format!("Finishing{}", text(begun.finishing.get(nth).map(|finish| &finish.text))),
        Place::LookingOver => "Looking over".to_owned(),
        Place::Booking => "Booking out".to_owned(),
    }
}
