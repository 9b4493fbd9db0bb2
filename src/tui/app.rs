//! The state of the program: which screen, what lies over it, and what a happening changes. Pure: nothing here reads a
//! file or a clock.

use super::ink::{Glyphs, fill, fit, put, put_right, row, width, wrap};
use super::keys::{ACTIONS, Deed, Key, Place, deed, hints};
use super::screens::dressings::Dressings;
use super::screens::orders::Orders;
use super::style::{Styles, settle};
use super::widgets::Paint;
use super::widgets::figures::LETTERS;
use super::widgets::page::{self, Scroll, Text, Tone, frame};
use super::widgets::why::Why;
use super::{Desk, Look};
use crate::measure::Words;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// What happens to the program; all of it comes through one queue.
#[derive(Clone, Debug, PartialEq)]
pub enum Happened {
    /// A key was pressed.
    Pressed(Key),
    /// A text was pasted.
    Pasted(String),
    /// The window has another size: columns, rows.
    Resized(u16, u16),
    /// The terminal has gone, or the system asks the program to end.
    HungUp,
}

/// What is to be done outside the state.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Command {
    /// Leave the program.
    Leave,
}

/// The screens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Screen {
    Dressings,
    Orders,
}

/// What lies over a screen.
enum Over {
    Help(Scroll),
    Advice(Vec<Text>, Scroll),
    Why(Box<Why>),
}

/// The state.
pub struct App {
    desk: Desk,
    look: Look,
    styles: Styles,
    glyphs: Glyphs,
    screen: Screen,
    dressings: Dressings,
    orders: Orders,
    /// The filter of the screen's list is being typed.
    typing: bool,
    over: Vec<Over>,
    /// The desk's notice stands above the foot, until the first key.
    notice: bool,
    size: (u16, u16),
}

impl App {
    /// The program over a desk.
    pub fn new(desk: Desk, look: Look) -> Self {
        let mut app = App {
            styles: Styles::of(look.colours()),
            glyphs: Glyphs::new(look.unicode),
            screen: Screen::Dressings,
            dressings: Dressings::new(&desk),
            orders: Orders::new(&desk),
            typing: false,
            over: Vec::new(),
            notice: desk.notice.is_some(),
            size: (80, 24),
            desk,
            look,
        };
        app.dressings.ensure(&app.desk);
        app
    }

    /// Says the shape of a cell, width over height, where nobody has set it.
    pub fn cell_is(&mut self, shape: f64) {
        self.look.cell.get_or_insert(shape);
    }

    /// Takes what happened and changes the state; gives what is to be done outside it.
    pub fn update(&mut self, happened: Happened) -> Vec<Command> {
        match happened {
            Happened::HungUp => return vec![Command::Leave],
            Happened::Resized(columns, rows) => self.size = (columns, rows),
            Happened::Pasted(text) if self.typing => self.list().type_in(&text),
            Happened::Pasted(_) => {}
            Happened::Pressed(key) => {
                self.notice = false;
                let place = self.place();
                match (deed(key, place), key) {
                    (Some(Deed::Leave | Deed::LeaveAtOnce), _) => return vec![Command::Leave],
                    (Some(deed), _) => self.act(deed),
                    (None, Key::Char(letter)) if place == Place::Filter => self.list().type_in(letter.encode_utf8(&mut [0; 4])),
                    (None, _) => {}
                }
            }
        }
        match self.screen {
            Screen::Dressings => self.dressings.ensure(&self.desk),
            Screen::Orders => self.orders.ensure(&self.desk),
        }
        Vec::new()
    }

    fn list(&mut self) -> &mut super::widgets::list::List {
        match self.screen {
            Screen::Dressings => &mut self.dressings.list,
            Screen::Orders => &mut self.orders.list,
        }
    }

    /// Where keys go now.
    pub fn place(&self) -> Place {
        match (self.over.last(), self.typing, self.screen) {
            (Some(Over::Why(_)), ..) => Place::Why,
            (Some(_), ..) => Place::Page,
            (None, true, _) => Place::Filter,
            (None, false, Screen::Dressings) => self.dressings.place(),
            (None, false, Screen::Orders) => self.orders.place(),
        }
    }

    fn paint(&self) -> Paint<'_> {
        Paint { look: &self.look, styles: &self.styles, glyphs: &self.glyphs }
    }

    fn act(&mut self, deed: Deed) {
        let page = usize::from(self.size.1.saturating_sub(6) / 2).max(1);
        match deed {
            Deed::Help => match self.over.last() {
                Some(Over::Help(_)) => drop(self.over.pop()),
                _ => self.over.push(Over::Help(Scroll::default())),
            },
            Deed::Dressings | Deed::Orders => {
                self.over.clear();
                self.screen = if deed == Deed::Dressings { Screen::Dressings } else { Screen::Orders };
            }
            Deed::Filter => self.typing = true,
            Deed::Keep => self.typing = false,
            Deed::Rub => self.list().rub(),
            Deed::Back if self.over.pop().is_some() => {}
            Deed::Back if self.typing => {
                self.typing = false;
                self.list().set_filter(String::new());
            }
            _ if self.typing => self.list().go(deed, page),
            _ => self.deeper(deed, page),
        }
    }

    fn deeper(&mut self, deed: Deed, page: usize) {
        let last = match self.over.last() {
            Some(Over::Help(_)) => self.last_row(&self.help()),
            Some(Over::Advice(text, _)) => self.last_row(text),
            _ => 0,
        };
        match self.over.last_mut() {
            Some(Over::Help(scroll) | Over::Advice(_, scroll)) => scroll.go(deed, page, last),
            Some(Over::Why(why)) => why.go(deed, page),
            None => self.on_screen(deed, page),
        }
    }

    fn on_screen(&mut self, deed: Deed, page: usize) {
        let paint = Paint { look: &self.look, styles: &self.styles, glyphs: &self.glyphs };
        match (self.screen, deed) {
            (Screen::Dressings, Deed::Why) => self.over.extend(self.dressings.why(&self.desk, paint).map(Box::new).map(Over::Why)),
            (Screen::Orders, Deed::Why) => self.over.extend(self.orders.why().map(Box::new).map(Over::Why)),
            (screen, Deed::Advice) => {
                let text = if screen == Screen::Dressings { self.dressings.advice(&self.desk) } else { self.orders.advice() };
                if !text.is_empty() {
                    self.over.push(Over::Advice(text, Scroll::default()));
                }
            }
            (Screen::Dressings, _) => self.dressings.go(deed, page, &self.desk, paint),
            (Screen::Orders, _) => self.orders.go(deed, page, &self.desk),
        }
    }

    /// Rows a page of text can be scrolled by.
    fn last_row(&self, text: &[Text]) -> usize {
        let (columns, rows) = (usize::from(self.size.0.saturating_sub(4)), usize::from(self.size.1.saturating_sub(4)));
        page::lay(text, columns).len().saturating_sub(rows)
    }

    /// Whether a deed would do anything now.
    fn open(&self, deed: Deed) -> bool {
        match (self.over.last(), self.screen) {
            (Some(Over::Why(why)), _) => match deed {
                Deed::Into => why.ways().0,
                Deed::Out => why.ways().1,
                Deed::Dressings | Deed::Orders => false,
                _ => true,
            },
            (Some(_), _) => !matches!(deed, Deed::Dressings | Deed::Orders),
            (None, _) if self.typing => true,
            (None, Screen::Dressings) => self.dressings.open(deed, &self.desk),
            (None, Screen::Orders) => self.orders.open(deed),
        }
    }

    /// The help: what works here first, then the rest, then the letters behind figures.
    pub fn help(&self) -> Vec<Text> {
        let here = match self.over.iter().rev().find(|over| !matches!(over, Over::Help(_))) {
            Some(Over::Why(_)) => Place::Why,
            Some(_) => Place::Page,
            None if self.screen == Screen::Dressings => self.dressings.place(),
            None => self.orders.place(),
        };
        let mut text = Vec::new();
        let mut told = vec![false; ACTIONS.len()];
        let places = [here].into_iter().chain(Place::ALL.iter().copied().filter(|place| *place != here));
        for place in places {
            let mut rows = Vec::new();
            for (action, told) in ACTIONS.iter().zip(&mut told).filter(|(action, _)| action.places.contains(&place)) {
                if !std::mem::replace(told, true) {
                    let keys = action.keys.iter().map(Key::to_string).collect::<Vec<_>>().join(" ");
                    rows.push(Text::of(keys, action.help));
                }
            }
            if !rows.is_empty() {
                text.push(Text::new(Tone::Head, place.words()));
                text.extend(rows);
                text.push(Text::new(Tone::Plain, ""));
            }
        }
        text.push(Text::new(Tone::Head, "The letter behind a figure: how well it is known"));
        for (standing, letter) in LETTERS {
            text.push(Text::of(letter.to_string(), standing.name()));
        }
        text.push(Text::new(Tone::Plain, "A worked figure is as weak as its weakest input."));
        if let Some(notice) = &self.desk.notice {
            text.extend([Text::new(Tone::Plain, ""), Text::new(Tone::Weak, Words::new(notice).as_str())]);
        }
        text
    }

    /// Paints everything.
    pub fn draw(&self, buf: &mut Buffer) {
        let area = buf.area;
        fill(buf, area, self.styles.plain);
        if area.is_empty() {
            return;
        }
        let paint = self.paint();
        // A very low window is all body.
        let (head, foot) = (u16::from(area.height >= 6), u16::from(area.height >= 3));
        if head > 0 {
            self.draw_head(buf, row(area, 0));
        }
        if foot > 0 {
            self.draw_foot(buf, row(area, area.height - 1));
        }
        let told = self.desk.notice.as_ref().filter(|_| self.notice && area.height >= 16);
        let notice = told.map(|notice| wrap(Words::new(notice).as_str(), usize::from(area.width.saturating_sub(2)))).unwrap_or_default();
        let below = foot + notice.len().min(3) as u16;
        for (nth, line) in notice.iter().take(3).enumerate() {
            put(buf, area, area.x + 1, area.bottom() - below + nth as u16, line, self.styles.weak);
        }
        let body = Rect { y: area.y + head, height: area.height - head - below, ..area };
        // A column is left free at both sides where there is room.
        let margin = u16::from(area.width >= 100);
        let inner = Rect { x: body.x + margin, width: body.width - 2 * margin, ..body };
        match self.screen {
            Screen::Dressings => self.dressings.draw(buf, inner, &self.desk, self.typing, paint),
            Screen::Orders => self.orders.draw(buf, inner, &self.desk, self.typing, paint),
        }
        match self.over.last() {
            None => {}
            Some(Over::Why(why)) => why.draw(buf, body, paint),
            Some(Over::Help(scroll)) => {
                let within = frame(buf, body, "Help", usize::MAX, paint);
                page::draw(buf, within, &self.help(), *scroll, paint);
            }
            Some(Over::Advice(text, scroll)) => {
                let within = frame(buf, body, "Worth knowing", usize::MAX, paint);
                page::draw(buf, within, text, *scroll, paint);
            }
        }
        settle(buf, self.look.depth());
    }

    fn draw_head(&self, buf: &mut Buffer, area: Rect) {
        let styles = &self.styles;
        fill(buf, area, styles.bar);
        let mut screens = String::new();
        for (screen, name) in [(Screen::Dressings, "dressings"), (Screen::Orders, "orders")] {
            let (open, close) = if screen == self.screen { (self.glyphs.open, self.glyphs.close) } else { (" ", " ") };
            screens.push_str(&format!("{open}{name}{close}"));
        }
        let title = Words::new(&self.desk.title);
        let room = usize::from(area.width).saturating_sub(width(&screens) + 3);
        put(buf, area, area.x, area.y, &format!(" {}", fit(title.as_str(), room, self.glyphs.cut)), styles.bar_key(self.look.colours()));
        put_right(buf, area, area.right(), area.y, &screens, styles.bar);
    }

    fn draw_foot(&self, buf: &mut Buffer, area: Rect) {
        let styles = &self.styles;
        fill(buf, area, styles.bar);
        let key_style = styles.bar_key(self.look.colours());
        let mut x = area.x + u16::from(area.width > 1);
        for (key, label) in hints(self.place(), usize::from(area.width).saturating_sub(2), &|deed| self.open(deed)) {
            x = put(buf, area, x, area.y, &key, key_style);
            x = put(buf, area, x, area.y, &format!(" {label}  "), styles.bar);
        }
    }
}
