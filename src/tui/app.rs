//! The state of the program: which screen, what lies over it, and what a happening changes. Pure: nothing here reads a
//! file or a clock.

use super::ink::{Glyphs, fill, fit, put, put_right, row, width, wrap};
use super::keys::{Deed, Key, Place};
use super::queue::{Command, Happened, Now};
use super::screens::dressings::Dressings;
use super::screens::orders::Orders;
use super::screens::stores::Stores;
use super::screens::vice::Vice;
use super::screens::vice::how_many::HowMany;
use super::style::{Styles, settle};
use super::widgets::Paint;
use super::widgets::figures::LETTERS;
use super::widgets::page::{self, Scroll, Text, Tone, frame};
use super::widgets::why::Why;
use super::{Desk, Look};
use crate::measure::Words;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::sync::Arc;

/// The screens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Screen {
    Dressings,
    Orders,
    Stores,
    Vice,
}

/// What lies over a screen.
enum Over {
    Help(Scroll),
    Advice(Vec<Text>, Scroll),
    Differs(Vec<Text>, Scroll),
    Why(Box<Why>),
    HowMany(Box<HowMany>),
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
    stores: Stores,
    vice: Vice,
    /// The screen looked at before the vice.
    before: Screen,
    /// The filter of the screen's list is being typed.
    typing: bool,
    over: Vec<Over>,
    /// The desk's notice stands above the foot, until the first key.
    notice: bool,
    /// What could not be done, until the next key.
    failed: Option<String>,
    /// What has dried meanwhile, until the next key.
    told: Option<String>,
    /// The program is about to end.
    leaving: bool,
    now: Now,
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
            stores: Stores::default(),
            vice: Vice::default(),
            before: Screen::Dressings,
            typing: false,
            over: Vec::new(),
            notice: desk.notice.is_some(),
            failed: None,
            told: None,
            leaving: false,
            now: Now::default(),
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

    /// Takes what happened, and when, and changes the state; gives what is to be done outside it.
    pub fn update(&mut self, happened: Happened, now: Now) -> Vec<Command> {
        self.now = now;
        let mut commands = match happened {
            Happened::HungUp => self.leave(),
            Happened::Resized(columns, rows) => {
                self.size = (columns, rows);
                Vec::new()
            }
            Happened::Pasted(text) => self.type_in(&text),
            Happened::Pressed(key) => self.press(key),
            Happened::Due if self.screen == Screen::Stores && self.stores.waits() => self.stores.rest(&self.desk, now),
            Happened::Due => Vec::new(),
            Happened::Read(whole) => {
                self.desk = Arc::unwrap_or_clone(whole.0);
                self.dressings.take(&self.desk);
                self.orders.take(&self.desk);
                self.stores.desk_changed(&self.desk);
                self.vice.desk_changed(&self.desk);
                Vec::new()
            }
            // The clocks of runs that wait go on, whatever is looked at.
            Happened::Shown => vec![Command::Runs],
            Happened::Runs(waiting, notice) => {
                self.vice.take_runs(waiting, notice, now);
                if let Some(Over::HowMany(asking)) = self.over.last_mut() {
                    asking.tell(self.vice.waits(asking.run()));
                }
                Vec::new()
            }
            Happened::TakenUp(row, run, card) => {
                self.over.clear();
                self.show_vice();
                self.vice.take_up(*row, *run, card.as_deref(), &self.desk, now)
            }
            Happened::Booked(run, event) => {
                let follows = self.vice.booked(run, &event, now);
                let agreed = matches!(event.did, crate::vice::Did::Agreed { .. });
                // Whoever leaves does not look at the runs again.
                match (self.leaving, agreed) {
                    (true, _) => Vec::new(),
                    (false, true) => [Command::Reread].into_iter().chain(follows).collect(),
                    (false, false) => follows,
                }
            }
            Happened::Stores(shelves) => {
                self.stores.take(*shelves, &self.desk, now);
                Vec::new()
            }
            Happened::Used(used) => {
                self.stores.take_used(used, &self.desk);
                Vec::new()
            }
            Happened::StoreOf(detail) => {
                self.stores.take_detail(*detail);
                Vec::new()
            }
            Happened::Shelved => {
                self.told = Some("booked".to_owned());
                self.stores.shelved()
            }
            Happened::Counted { id, count, line } => {
                self.stores.counted(&id, count, *line);
                Vec::new()
            }
            Happened::Uncounted(id) => {
                self.stores.uncounted(&id);
                Vec::new()
            }
            Happened::CountOver { booked, freed } => {
                self.told = Some(count_over(booked, &freed));
                self.stores.count_over()
            }
            Happened::Failed { what, stale } => {
                self.failed = Some(what);
                self.stores.failed();
                if stale { self.vice.put_down() } else { Vec::new() }
            }
        };
        match self.screen {
            Screen::Dressings => self.dressings.ensure(&self.desk),
            Screen::Orders => self.orders.ensure(&self.desk, now.day()),
            Screen::Stores if !self.leaving => commands.extend(self.stores.wants()),
            Screen::Stores | Screen::Vice => {}
        }
        let dried = self.vice.dried(now);
        if !dried.is_empty() && !self.leaving {
            self.told = Some(dried.join("; "));
            commands.push(Command::Ring);
        }
        commands
    }

    /// Milliseconds until what is shown is not true any more; `None` where it stays true.
    pub fn due(&self) -> Option<u64> {
        let shown = self.vice.due(self.now).filter(|_| self.screen == Screen::Vice && self.over.is_empty());
        // What takes longer is read once the first sight of the stores stands.
        let rest = (self.screen == Screen::Stores && self.stores.waits()).then_some(1);
        rest.into_iter().chain(shown).chain(self.vice.next_dry(self.now)).min()
    }

    /// What could not be done last, if that is so.
    pub fn failed(&self) -> Option<&str> {
        self.failed.as_deref()
    }

    fn press(&mut self, key: Key) -> Vec<Command> {
        self.notice = false;
        self.failed = None;
        self.told = None;
        let place = self.place();
        match (self.look.keys.deed(key, place), key) {
            (Some(Deed::Leave | Deed::LeaveAtOnce), _) => self.leave(),
            (Some(deed), _) => self.act(deed),
            (None, Key::Char(letter)) => self.type_in(letter.encode_utf8(&mut [0; 4])),
            (None, _) => Vec::new(),
        }
    }

    fn leave(&mut self) -> Vec<Command> {
        self.failed = None;
        self.leaving = true;
        self.vice.close(self.now).into_iter().chain([Command::Leave]).collect()
    }

    fn type_in(&mut self, text: &str) -> Vec<Command> {
        match self.over.last_mut() {
            Some(Over::HowMany(asking)) => asking.type_in(text),
            Some(_) => {}
            None if self.screen == Screen::Vice => return self.vice.type_in(text, self.now),
            None if self.typing => {
                if let Some(list) = self.list() {
                    list.type_in(text);
                }
            }
            None if self.screen == Screen::Stores => self.stores.type_in(text),
            None => {}
        }
        Vec::new()
    }

    fn show_vice(&mut self) {
        self.typing = false;
        if self.screen != Screen::Vice {
            self.before = std::mem::replace(&mut self.screen, Screen::Vice);
        }
    }

    fn list(&mut self) -> Option<&mut super::widgets::list::List> {
        match self.screen {
            Screen::Dressings => Some(&mut self.dressings.list),
            Screen::Orders => Some(&mut self.orders.list),
            Screen::Stores => Some(&mut self.stores.list),
            Screen::Vice => None,
        }
    }

    /// Where keys go now.
    pub fn place(&self) -> Place {
        match (self.over.last(), self.typing, self.screen) {
            (Some(Over::Why(_)), ..) => Place::Why,
            (Some(Over::HowMany(_)), ..) => Place::HowMany,
            (Some(_), ..) => Place::Page,
            (None, true, _) => Place::Filter,
            (None, false, _) => self.place_of_screen(),
        }
    }

    fn place_of_screen(&self) -> Place {
        match self.screen {
            Screen::Dressings => self.dressings.place(),
            Screen::Orders => self.orders.place(),
            Screen::Stores => self.stores.place(),
            Screen::Vice => self.vice.place(),
        }
    }

    fn paint(&self) -> Paint<'_> {
        Paint { look: &self.look, styles: &self.styles, glyphs: &self.glyphs }
    }

    fn act(&mut self, deed: Deed) -> Vec<Command> {
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
            Deed::Stores => {
                self.over.clear();
                self.screen = Screen::Stores;
                return self.stores.open_up(self.now);
            }
            Deed::Vice => {
                self.over.clear();
                self.show_vice();
                return if self.vice.at().is_none() { vec![Command::Runs] } else { Vec::new() };
            }
            Deed::LookUp => self.screen = self.before,
            Deed::Filter => self.typing = true,
            Deed::Keep => self.typing = false,
            Deed::Back if self.over.pop().is_some() => {}
            Deed::Back if self.typing => {
                self.typing = false;
                if let Some(list) = self.list() {
                    list.set_filter(String::new());
                }
            }
            Deed::Back if self.screen == Screen::Stores => return self.stores.back(),
            Deed::Back if self.screen == Screen::Vice => {
                if !self.vice.back() {
                    self.screen = self.before;
                }
            }
            _ if self.typing => {
                if let Some(list) = self.list() {
                    if deed == Deed::Rub { list.rub() } else { list.go(deed, page) }
                }
            }
            _ => return self.deeper(deed, page),
        }
        Vec::new()
    }

    fn deeper(&mut self, deed: Deed, page: usize) -> Vec<Command> {
        let last = match self.over.last() {
            Some(Over::Help(_)) => self.last_row(&self.help()),
            Some(Over::Advice(text, _) | Over::Differs(text, _)) => self.last_row(text),
            _ => 0,
        };
        match self.over.last_mut() {
            Some(Over::Help(scroll) | Over::Advice(_, scroll) | Over::Differs(_, scroll)) => scroll.go(deed, page, last),
            Some(Over::Why(why)) => why.go(deed, page),
            Some(Over::HowMany(asking)) if deed == Deed::Begin => {
                let begun = asking.begun(self.now.utc_ms, &self.desk.shelf).map(|run| Command::Begin(Box::new(run)));
                // A run that is in the vice makes room.
                return begun.map(|begin| self.vice.close(self.now).into_iter().chain([begin]).collect()).unwrap_or_default();
            }
            Some(Over::HowMany(asking)) => asking.go(deed),
            None => return self.on_screen(deed, page),
        }
        Vec::new()
    }

    fn on_screen(&mut self, deed: Deed, page: usize) -> Vec<Command> {
        let paint = Paint { look: &self.look, styles: &self.styles, glyphs: &self.glyphs };
        match (self.screen, deed) {
            (Screen::Dressings, Deed::Why) => self.over.extend(self.dressings.why(&self.desk, paint).map(Box::new).map(Over::Why)),
            (Screen::Orders, Deed::Why) => self.over.extend(self.orders.why().map(Box::new).map(Over::Why)),
            (Screen::Vice, Deed::Why) => self.over.extend(self.vice.why(self.now).map(Box::new).map(Over::Why)),
            (Screen::Vice, Deed::WhyTime) => self.over.extend(self.vice.why_time(self.now).map(Box::new).map(Over::Why)),
            (Screen::Vice, Deed::Differs) => {
                let text = self.vice.differs();
                if !text.is_empty() {
                    self.over.push(Over::Differs(text, Scroll::default()));
                }
            }
            (Screen::Vice, _) => return self.vice.go(deed, page, &self.desk, self.now),
            (Screen::Dressings, Deed::Tie) => return self.ask_how_many(),
            (screen, Deed::Advice) => {
                let text = match screen {
                    Screen::Dressings => self.dressings.advice(&self.desk),
                    Screen::Stores => self.stores.advice(),
                    _ => self.orders.advice(),
                };
                if !text.is_empty() {
                    self.over.push(Over::Advice(text, Scroll::default()));
                }
            }
            (Screen::Dressings, _) => self.dressings.go(deed, page, &self.desk, paint),
            (Screen::Orders, _) => self.orders.go(deed, page, &self.desk),
            (Screen::Stores, _) => match self.stores.go(deed, page, &self.desk, self.now) {
                Ok(commands) => return commands,
                Err(what) => self.failed = Some(what),
            },
        }
        Vec::new()
    }

    fn ask_how_many(&mut self) -> Vec<Command> {
        match self.dressings.how_many(&self.desk) {
            None => return Vec::new(),
            Some(Ok(asking)) => self.over.push(Over::HowMany(Box::new(asking))),
            Some(Err(unfit)) => {
                self.failed = Some(format!("this dressing cannot be tied step by step: {unfit}; steps without `when:` would be right"));
                return Vec::new();
            }
        }
        vec![Command::Runs]
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
                Deed::Dressings | Deed::Orders | Deed::Stores | Deed::Vice => false,
                _ => true,
            },
            (Some(Over::HowMany(_)), _) => true,
            (Some(_), _) => !matches!(deed, Deed::Dressings | Deed::Orders | Deed::Stores | Deed::Vice),
            (None, _) if self.typing => true,
            (None, Screen::Dressings) => self.dressings.open(deed, &self.desk),
            (None, Screen::Orders) => self.orders.open(deed),
            (None, Screen::Stores) => self.stores.open(deed),
            (None, Screen::Vice) => self.vice.open(deed),
        }
    }

    /// The help: what works here first, then the rest, then the letters behind figures.
    pub fn help(&self) -> Vec<Text> {
        let here = match self.over.iter().rev().find(|over| !matches!(over, Over::Help(_))) {
            Some(Over::Why(_)) => Place::Why,
            Some(Over::HowMany(_)) => Place::HowMany,
            Some(_) => Place::Page,
            None => self.place_of_screen(),
        };
        let mut text = Vec::new();
        for (place, rows) in self.look.keys.listed(here) {
            let rows: Vec<Text> = rows.iter().filter(|row| !row.keys.is_empty()).map(|row| Text::of(row.shown(), row.action.help)).collect();
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
        let told = self.desk.notice.as_ref().filter(|_| self.notice && area.height >= 16).map(|notice| (notice, self.styles.weak, 3));
        let told = self.told.as_ref().map(|dried| (dried, self.styles.title, 2)).or(told);
        let told = self.failed.as_ref().map(|failed| (failed, self.styles.fault, usize::from(area.height / 3))).or(told);
        let (style, most) = told.map_or((self.styles.plain, 0), |(_, style, most)| (style, most));
        let mut notice = told.map(|(text, ..)| wrap(Words::new(text).as_str(), usize::from(area.width.saturating_sub(2)))).unwrap_or_default();
        notice.truncate(most);
        let below = foot + u16::try_from(notice.len()).unwrap_or(0);
        for (nth, line) in notice.iter().enumerate() {
            put(buf, area, area.x + 1, area.bottom() - below + nth as u16, line, style);
        }
        let body = Rect { y: area.y + head, height: area.height - head - below, ..area };
        // A column is left free at both sides where there is room.
        let margin = u16::from(area.width >= 100);
        let inner = Rect { x: body.x + margin, width: body.width - 2 * margin, ..body };
        match self.screen {
            Screen::Dressings => self.dressings.draw(buf, inner, &self.desk, self.typing, paint),
            Screen::Orders => self.orders.draw(buf, inner, &self.desk, self.typing, paint),
            Screen::Stores => self.stores.draw(buf, inner, &self.desk, self.typing, paint),
            Screen::Vice => self.vice.draw(buf, inner, &self.desk, self.now, paint),
        }
        match self.over.last() {
            None if self.screen == Screen::Stores => self.stores.draw_over(buf, body, paint),
            None => {}
            Some(Over::Why(why)) => why.draw(buf, body, paint),
            Some(Over::HowMany(asking)) => asking.draw(buf, body, paint),
            Some(Over::Help(scroll)) => {
                let within = frame(buf, body, "Help", usize::MAX, paint);
                page::draw(buf, within, &self.help(), *scroll, paint);
            }
            Some(Over::Advice(text, scroll)) => {
                let within = frame(buf, body, "Worth knowing", usize::MAX, paint);
                page::draw(buf, within, text, *scroll, paint);
            }
            Some(Over::Differs(text, scroll)) => {
                let within = frame(buf, body, "What differs from the dressing's file", usize::MAX, paint);
                page::draw(buf, within, text, *scroll, paint);
            }
        }
        settle(buf, self.look.depth());
    }

    fn draw_head(&self, buf: &mut Buffer, area: Rect) {
        let styles = &self.styles;
        fill(buf, area, styles.bar);
        let mut screens = String::new();
        // Elsewhere it is seen that a fly is in the vice.
        let vice = self.vice.at().filter(|_| self.screen != Screen::Vice).map_or_else(|| "vice".to_owned(), |at| format!("vice: {at}"));
        for (screen, name) in [(Screen::Dressings, "dressings"), (Screen::Orders, "orders"), (Screen::Stores, "stores"), (Screen::Vice, &*vice)] {
            let (open, close) = if screen == self.screen { (self.glyphs.open, self.glyphs.close) } else { (" ", " ") };
            screens.push_str(&format!("{open}{name}{close}"));
        }
        let unread = if self.desk.unread > 0 { format!(" (reading {} more dressings)", self.desk.unread) } else { String::new() };
        let title = Words::new(&format!("{}{unread}", self.desk.title));
        let room = usize::from(area.width).saturating_sub(width(&screens) + 3);
        put(buf, area, area.x, area.y, &format!(" {}", fit(title.as_str(), room, self.glyphs.cut)), styles.bar_key(self.look.colours()));
        put_right(buf, area, area.right(), area.y, &screens, styles.bar);
    }

    fn draw_foot(&self, buf: &mut Buffer, area: Rect) {
        let styles = &self.styles;
        fill(buf, area, styles.bar);
        let key_style = styles.bar_key(self.look.colours());
        let mut x = area.x + u16::from(area.width > 1);
        for (key, label) in self.look.keys.hints(self.place(), usize::from(area.width).saturating_sub(2), &|deed| self.open(deed)) {
            x = put(buf, area, x, area.y, &key, key_style);
            x = put(buf, area, x, area.y, &format!(" {label}  "), styles.bar);
        }
    }
}

/// What is to be told when a count is over.
fn count_over(booked: bool, freed: &[crate::ledger::Aside]) -> String {
    if !booked {
        return "the count is dropped; nothing of it is booked".to_owned();
    }
    let mut orders: Vec<&str> = freed.iter().map(|aside| aside.order.as_str()).collect();
    orders.sort_unstable();
    orders.dedup();
    match orders.is_empty() {
        true => "the count is booked".to_owned(),
        false => format!("the count is booked; less is there than was set aside, so these orders have less now: {}", orders.join(", ")),
    }
}
