//! The stores: what stands on the shelf, drawer by drawer, and beside the chosen line what is known of it: its lots, what
//! moved and why, what was used by month. Deeds go through small forms; counting has a part of its own.

mod count;
mod form;
pub mod shelf;
mod words;

use crate::measure::Words;
use crate::stores::low::Pace;
use crate::stores::substitutes::stand_ins;
use crate::stores::{MovementId, ThingId};
use crate::tui::Desk;
use crate::tui::ink::{fill, first_shown, fit, put, put_right, row, width};
use crate::tui::keys::{Deed, Place};
use crate::tui::queue::{Command, Now, ShelfDeed};
use crate::tui::widgets::Paint;
use crate::tui::widgets::list::{Entry, List};
use crate::tui::widgets::page::{self, Scroll, Text, Tone};
use count::Counting;
use form::{For, Form, movement_in_words};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use rust_decimal::Decimal;
use shelf::{Detail, Item, Needs, Shelves, day, items, months, needs};
use std::collections::HashMap;

/// The order of the list.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Order {
    /// By drawer.
    #[default]
    Drawer,
    /// By name.
    Name,
    /// What is low first.
    LowFirst,
}

/// The screen's state.
#[derive(Default)]
pub struct Stores {
    /// The list.
    pub list: List,
    shelves: Option<Shelves>,
    items: Vec<Item>,
    used: HashMap<ThingId, Vec<Decimal>>,
    needs: Needs,
    /// Use and needs are read, after the first sight.
    whole: bool,
    order: Order,
    /// The keys go to what moved.
    beside: bool,
    moved: usize,
    detail: Option<Detail>,
    /// The thing whose detail is asked for.
    asked: Option<ThingId>,
    form: Option<Form>,
    counting: Option<Counting>,
    now: i64,
}

impl Stores {
    /// What is to be read when the screen is turned to.
    pub fn open_up(&mut self, now: Now) -> Vec<Command> {
        self.now = now.utc_ms;
        vec![Command::Stores]
    }

    /// Takes what the ledger has.
    pub fn take(&mut self, shelves: Shelves, desk: &Desk, now: Now) {
        self.now = now.utc_ms;
        self.shelves = Some(shelves);
        (self.detail, self.asked) = (None, None);
        self.lay(desk);
    }

    /// The bench's files were read anew.
    pub fn desk_changed(&mut self, desk: &Desk) {
        self.whole = false;
        self.lay(desk);
    }

    /// Lays the list out anew; what is chosen stays chosen.
    fn lay(&mut self, desk: &Desk) {
        let Some(shelves) = &self.shelves else { return };
        self.items = items(desk, shelves, &self.used, &self.needs, day(self.now));
        match self.order {
            Order::Drawer => {}
            Order::Name => self.items.sort_by_cached_key(|item| item.name().to_lowercase()),
            Order::LowFirst => self.items.sort_by_key(|item| (item.low.is_none(), item.pace == Pace::Moving)),
        }
        let grouped = self.order == Order::Drawer;
        let entry = |item: &Item| Entry {
            id: item.id(),
            name: Words::new(&item.name()),
            group: Words::new(if grouped { &item.drawer } else { "" }),
            also: format!("{} {}", item.drawer.to_lowercase(), if item.low.is_some() { "low" } else { "" }),
            broken: false,
        };
        self.list.replace(self.items.iter().map(entry).collect());
        if let (Some(counting), Some(shelves)) = (&mut self.counting, &self.shelves) {
            counting.take(&self.items, &shelves.lots, desk);
        }
    }

    /// What was used by month.
    pub fn take_used(&mut self, used: Vec<(ThingId, Vec<Decimal>)>, desk: &Desk) {
        self.used = used.into_iter().collect();
        self.lay(desk);
    }

    /// What is known of one thing.
    pub fn take_detail(&mut self, detail: Detail) {
        self.asked = None;
        self.moved = self.moved.min(detail.history.len().saturating_sub(1));
        self.detail = Some(detail);
    }

    /// Something is booked: the form is done with, and all is read anew.
    pub fn shelved(&mut self) -> Vec<Command> {
        self.form = None;
        self.whole = false;
        vec![Command::Stores]
    }

    /// A line of a count is safe.
    pub fn counted(&mut self, id: &str, count: crate::ledger::CountId, line: crate::ledger::CountLine) {
        if let Some(counting) = &mut self.counting {
            counting.counted(id, count, line);
        }
    }

    /// A line of a count was taken out.
    pub fn uncounted(&mut self, id: &str) {
        if let Some(counting) = &mut self.counting {
            counting.uncounted(id);
        }
    }

    /// A count is over.
    pub fn count_over(&mut self) -> Vec<Command> {
        self.counting = None;
        self.shelved()
    }

    /// What was asked for was not done: what is typed stays.
    pub fn failed(&mut self) {
        if let Some(form) = &mut self.form {
            form.sent = false;
        }
        if let Some(counting) = &mut self.counting {
            counting.failed();
        }
        // A detail that cannot be read is not asked for over and over.
    }

    /// What is still to be read for what is shown.
    pub fn wants(&mut self) -> Option<Command> {
        let thing = self.item()?.thing?;
        let there = self.detail.as_ref().is_some_and(|detail| detail.thing == thing);
        if there || self.asked == Some(thing) || self.counting.is_some() {
            return None;
        }
        self.asked = Some(thing);
        self.moved = 0;
        Some(Command::StoreOf(thing))
    }

    /// Whether use and needs are still to be read, once the first sight stands.
    pub fn waits(&self) -> bool {
        self.shelves.is_some() && !self.whole
    }

    /// Plans the orders and asks for the use by month; after the first sight, for both take longer.
    pub fn rest(&mut self, desk: &Desk, now: Now) -> Vec<Command> {
        self.now = now.utc_ms;
        self.whole = true;
        self.needs = needs(desk);
        vec![Command::Used(months(now.utc_ms))]
    }

    fn item(&self) -> Option<&Item> {
        let id = &self.list.chosen()?.id;
        self.items.iter().find(|item| item.id() == *id)
    }

    /// Where keys go.
    pub fn place(&self) -> Place {
        match (&self.form, &self.counting) {
            (Some(_), _) => Place::StoresForm,
            (None, Some(counting)) if counting.ending => Place::CountEnd,
            (None, Some(_)) => Place::Counting,
            _ if self.beside => Place::Thing,
            _ => Place::Stores,
        }
    }

    /// Types into the form or the line of the count.
    pub fn type_in(&mut self, text: &str) {
        if let Some(form) = &mut self.form {
            form.type_in(text);
        } else if let Some(counting) = self.counting.as_mut().filter(|counting| !counting.ending) {
            counting.type_in(text);
        }
    }

    /// A step back. Where a count is left, how much of it is entered is read anew.
    pub fn back(&mut self) -> Vec<Command> {
        if self.form.take().is_some() {
        } else if let Some(counting) = &mut self.counting {
            // What was entered is safe; the count is gone on with when it is turned to again.
            if !counting.back() {
                self.counting = None;
                return vec![Command::Stores];
            }
        } else if self.beside {
            self.beside = false;
        } else {
            self.list.set_filter(String::new());
        }
        Vec::new()
    }

    /// Whether a deed would do anything now.
    pub fn open(&self, deed: Deed) -> bool {
        if self.form.is_some() || self.counting.is_some() {
            return true;
        }
        let item = self.item();
        let known = item.is_some_and(|item| item.thing.is_some());
        match deed {
            Deed::Stores => false,
            Deed::Back => self.beside || !self.list.filter().is_empty(),
            Deed::Filter | Deed::SortBy | Deed::Count => !self.items.is_empty(),
            Deed::Receive | Deed::Onward => item.is_some(),
            Deed::MakeParts => item.is_some_and(|item| item.drawer == shelf::MADE),
            Deed::OpenPack => item.is_some_and(|item| item.by_eye.is_some_and(|seen| seen.full > 0)),
            Deed::TakeOut | Deed::ThrowOut | Deed::PutRight => known,
            Deed::Undo => self.undone().is_some(),
            _ => true,
        }
    }

    /// The movement that would be taken back: the chosen one, else the newest that still stands.
    fn undone(&self) -> Option<(MovementId, String)> {
        let item = self.item()?;
        let detail = self.detail.as_ref().filter(|detail| Some(detail.thing) == item.thing)?;
        let line = if self.beside { detail.history.get(self.moved) } else { detail.history.iter().find(|line| line.movement.stands()) }?;
        Some((line.movement.id, movement_in_words(&line.movement, item.unit)))
    }

    /// Does what a key asks; gives commands, or what is wrong.
    pub fn go(&mut self, deed: Deed, page: usize, desk: &Desk, now: Now) -> Result<Vec<Command>, String> {
        self.now = now.utc_ms;
        let shelf = |deed: Option<ShelfDeed>| deed.map(|deed| Command::Shelf(now.utc_ms, Box::new(deed))).into_iter().collect();
        if let Some(form) = &mut self.form {
            return Ok(shelf(form.go(deed, desk, now.utc_ms, self.detail.as_ref())));
        }
        if let Some(counting) = &mut self.counting {
            return Ok(shelf(counting.go(deed, page)));
        }
        let what = match deed {
            Deed::SortBy => {
                self.order = match self.order {
                    Order::Drawer => Order::Name,
                    Order::Name => Order::LowFirst,
                    Order::LowFirst => Order::Drawer,
                };
                self.lay(desk);
                return Ok(Vec::new());
            }
            Deed::Onward | Deed::Backward => {
                self.beside = !self.beside && self.item().is_some();
                return Ok(Vec::new());
            }
            Deed::Count => {
                let Some(shelves) = &self.shelves else { return Ok(Vec::new()) };
                let mut inorder = self.items.clone();
                shelf::by_drawer(&mut inorder);
                let counting = Counting::new(&inorder, &shelves.lots, shelves.count.as_ref(), desk);
                if counting.is_empty() {
                    return Err("nothing on this bench is counted yet: add materials to materials.yaml first".to_owned());
                }
                self.counting = Some(counting);
                return Ok(Vec::new());
            }
            Deed::OpenPack => {
                let item = self.item();
                return match item.and_then(|item| Some((item.thing?, item.by_eye?))) {
                    Some((thing, seen)) if seen.full > 0 => Ok(shelf(Some(ShelfDeed::OpenPack(thing)))),
                    _ => Err("there is no full pack of it to open".to_owned()),
                };
            }
            Deed::Receive => For::Receive,
            Deed::TakeOut => For::TakeOut,
            Deed::ThrowOut => For::ThrowOut,
            Deed::MakeParts => For::Make,
            Deed::PutRight => For::PutRight,
            Deed::Undo => match self.undone() {
                Some((movement, told)) => For::Undo(movement, told),
                None => return Err("nothing that moved here can be taken back".to_owned()),
            },
            deed if self.beside => {
                let last = self.detail.as_ref().map_or(0, |detail| detail.history.len().saturating_sub(1));
                let mut scroll = Scroll(self.moved);
                scroll.go(deed, page, last);
                self.moved = scroll.0;
                return Ok(Vec::new());
            }
            deed => {
                self.list.go(deed, page);
                return Ok(Vec::new());
            }
        };
        if let Some(item) = self.item().cloned() {
            self.form = Some(Form::new(what, &item, self.detail.as_ref(), &self.items, desk)?);
        }
        Ok(Vec::new())
    }

    /// What is low and what stands still, and the cautions of a shelf.
    pub fn advice(&self) -> Vec<Text> {
        let mut text = Vec::new();
        let low: Vec<&Item> = self.items.iter().filter(|item| item.low.is_some()).collect();
        let heading = if low.is_empty() { "Nothing is low." } else { "Low: for the buying list" };
        text.push(Text::new(Tone::Head, heading));
        text.extend(low.iter().map(|item| Text::new(Tone::Weak, format!("{}: {}", item.name(), words::low(item).unwrap_or_default()))));
        let still: Vec<&Item> = self.items.iter().filter(|item| item.pace != Pace::Moving).collect();
        if !still.is_empty() {
            text.extend([Text::new(Tone::Plain, ""), Text::new(Tone::Head, "Slow, or standing still")]);
            text.extend(still.iter().map(|item| Text::new(Tone::Plain, format!("{}: {}", item.name(), words::pace(item).unwrap_or_default()))));
        }
        let unproved: Vec<String> = self.items.iter().filter(|item| item.unproved).map(Item::name).collect();
        if !unproved.is_empty() {
            text.extend([Text::new(Tone::Plain, ""), Text::new(Tone::Head, "Proof of origin is asked for, and not noted with every lot")]);
            text.push(Text::new(Tone::Weak, unproved.join("; ")));
        }
        text.extend([Text::new(Tone::Plain, ""), Text::new(Tone::Head, "Keeping it")]);
        text.extend(words::CAUTIONS.iter().map(|(term, caution)| Text::of(*term, *caution)));
        text
    }

    /// Paints the screen.
    pub fn draw(&self, buf: &mut Buffer, area: Rect, desk: &Desk, typing: bool, paint: Paint<'_>) {
        fill(buf, area, paint.styles.plain);
        if let Some(counting) = &self.counting {
            counting.draw(buf, area, paint);
            return;
        }
        let Some(shelves) = &self.shelves else {
            put(buf, area, area.x, area.y, "reading the stores", paint.styles.quiet);
            return;
        };
        if self.items.is_empty() {
            let text = [
                Text::new(Tone::Head, "Nothing on the shelf yet."),
                Text::new(Tone::Plain, "Write your materials into materials.yaml of this bench; then count them here, or book in what comes."),
            ];
            page::draw(buf, area, &text, Scroll::default(), paint);
            return;
        }
        let (list, beside) = if area.width >= 110 {
            let wide = (area.width - 56).min(90);
            (Rect { width: wide, ..area }, Rect { x: area.x + wide + 2, width: area.width - wide - 2, ..area })
        } else if area.height >= 12 {
            let low = if self.beside { area.height * 2 / 3 } else { area.height * 2 / 5 };
            let height = area.height - low;
            (Rect { height: height - 1, ..area }, Rect { y: area.y + height, height: low, ..area })
        } else if self.beside {
            (Rect { height: 0, ..area }, area)
        } else {
            (area, Rect { height: 0, ..area })
        };
        self.table(buf, list, typing, shelves, paint);
        if list.height > 0 && beside.height > 0 && beside.y > list.y {
            let line = Rect { y: beside.y - 1, height: 1, ..area };
            put(buf, line, line.x, line.y, &paint.glyphs.level.repeat(usize::from(line.width)), paint.styles.quiet);
        } else if list.height > 0 && beside.height > 0 {
            for y in beside.top()..beside.bottom() {
                put(buf, area, beside.x - 2, y, paint.glyphs.upright, paint.styles.quiet);
            }
        }
        if beside.height > 0 {
            self.thing(buf, beside, desk, paint);
        }
    }

    /// Paints the form that lies over the screen, if one does.
    pub fn draw_over(&self, buf: &mut Buffer, body: Rect, paint: Paint<'_>) {
        if let Some(form) = &self.form {
            form.draw(buf, body, paint);
        }
    }

    fn table(&self, buf: &mut Buffer, area: Rect, typing: bool, shelves: &Shelves, paint: Paint<'_>) {
        let (styles, cut) = (paint.styles, paint.glyphs.cut);
        if area.is_empty() {
            return;
        }
        let head = row(area, 0);
        let (aside, free) = (if area.width >= 72 { 11 } else { 0 }, if area.width >= 44 { 14 } else { 0 });
        let held = if area.width >= 60 { 21 } else { (area.width / 4).clamp(8, 21) };
        let name = area.width.saturating_sub(held + aside + free + 3);
        let ends = [area.x + 2 + name + held, area.x + 2 + name + held + aside, area.x + 2 + name + held + aside + free];
        let filter = self.list.filter();
        let title = if typing || !filter.is_empty() {
            format!("/{filter}{}", if typing { "_" } else { "" })
        } else {
            match self.order {
                Order::Drawer => "by drawer".to_owned(),
                Order::Name => "by name".to_owned(),
                Order::LowFirst => "low first".to_owned(),
            }
        };
        put(buf, head, head.x, head.y, &fit(&title, usize::from(name), cut), if typing { styles.title } else { styles.quiet });
        put_right(buf, head, ends[0], head.y, "on hand", styles.quiet);
        if aside > 0 {
            put_right(buf, head, ends[1], head.y, "set aside", styles.quiet);
        }
        if free > 0 {
            put_right(buf, head, ends[2], head.y, "free", styles.quiet);
        }
        let foot = u16::from(shelves.count.is_some() && area.height >= 6);
        if let Some((count, _)) = shelves.count.as_ref().filter(|_| foot > 0) {
            let line = row(area, area.height - 1);
            let text = format!(
                "A count is open, {} entered: nothing of it is booked yet.",
                if count.lines == 1 { "1 line".to_owned() } else { format!("{} lines", count.lines) }
            );
            put(buf, line, line.x, line.y, &fit(&text, usize::from(line.width), cut), styles.weak);
        }
        let body = Rect { y: area.y + 1, height: area.height.saturating_sub(1 + foot), ..area };
        let shown = self.list.shown();
        if shown.is_empty() {
            put(buf, body, body.x, body.y, "nothing fits", styles.quiet);
            return;
        }
        let mut rows: Vec<Result<&Item, &str>> = Vec::new();
        let mut drawer = None;
        for item in shown.iter().filter_map(|nth| self.items.get(*nth)) {
            if self.order == Order::Drawer && drawer != Some(&item.drawer) {
                drawer = Some(&item.drawer);
                rows.push(Err(&item.drawer));
            }
            rows.push(Ok(item));
        }
        let chosen = self.list.chosen().map(|entry| entry.id.as_str());
        let is_chosen = |item: &Item| chosen.is_some_and(|id| id == item.id());
        let at = rows.iter().position(|shown| shown.is_ok_and(is_chosen)).unwrap_or(0);
        let first = first_shown(at, rows.len(), usize::from(body.height));
        for (nth, shown) in rows.iter().enumerate().skip(first).take(usize::from(body.height)) {
            let line = row(body, (nth - first) as u16);
            let item = match shown {
                Err(drawer) => {
                    put(buf, line, line.x, line.y, &fit(drawer, usize::from(line.width), cut), styles.quiet);
                    continue;
                }
                Ok(item) => item,
            };
            let style = match (nth == at, self.beside) {
                (true, false) => styles.chosen,
                (true, true) => styles.kept,
                _ if item.low.is_some() => styles.weak,
                _ => styles.plain,
            };
            if nth == at {
                fill(buf, line, style);
            }
            put(buf, line, line.x, line.y, &words::marks(item), style);
            put(buf, line, line.x + 2, line.y, &fit(&item.name(), usize::from(name.saturating_sub(1)), cut), style);
            put_right(buf, line, ends[0], line.y, &fit(&words::on_hand(item), usize::from(held), cut), style);
            if let Some(balance) = item.balance.as_ref().filter(|_| item.by_eye.is_none() && item.counts()) {
                if aside > 0 && !balance.set_aside.is_zero() {
                    put_right(buf, line, ends[1], line.y, &words::number(balance.set_aside), style);
                }
                if free > 0 {
                    put_right(buf, line, ends[2], line.y, &fit(&words::quantity(balance.free(), item.unit), usize::from(free - 1), cut), style);
                }
            }
        }
    }

    /// What is known of the chosen line.
    fn thing(&self, buf: &mut Buffer, area: Rect, desk: &Desk, paint: Paint<'_>) {
        let (styles, cut, columns) = (paint.styles, paint.glyphs.cut, usize::from(area.width));
        let Some(item) = self.item() else { return };
        let detail = self.detail.as_ref().filter(|detail| Some(detail.thing) == item.thing);
        let mut said: Vec<(String, ratatui::style::Style)> = Vec::new();
        let mut title = item.name();
        if !item.used.is_empty() {
            let spark = words::spark(&item.used, paint.look.unicode);
            let used = format!("used by month {spark}");
            if width(&title) + width(&used) + 2 <= columns {
                title = format!("{title}{}{used}", " ".repeat(columns - width(&title) - width(&used)));
            } else {
                said.push((used, styles.plain));
            }
        }
        said.extend(words::low(item).map(|text| (text, styles.weak)));
        said.extend(words::pace(item).map(|text| (text.to_owned(), styles.weak)));
        if item.low.is_some() {
            said.extend(self.substitutes(item, desk).map(|text| (text, styles.plain)));
        }
        if let Some(balance) = item.balance.as_ref().filter(|balance| !balance.set_aside.is_zero()) {
            said.push((format!("{} set aside for orders", words::quantity(balance.set_aside, item.unit)), styles.plain));
        }
        said.extend(item.apart.map(|until| (format!("~ kept apart until {until}: look for moth before it goes to the others"), styles.weak)));
        if item.owned {
            said.push(("c a customer's own goods are among them: for that customer alone".to_owned(), styles.plain));
        }
        if item.stranger {
            said.push(("? the bench's files do not know this name; `formerly:` beside the new one moves it".to_owned(), styles.weak));
        }
        if let Some(ask) = item.material(desk).and_then(|material| material.ask.as_ref()) {
            let proved = if item.unproved { "not noted with every lot" } else { "ask for it when buying" };
            said.push((format!("{}: {proved}", Words::new(&ask.value)), styles.weak));
        }
        if item.drawer == shelf::FLIES {
            said.push(("offered first to the next order that asks for this fly".to_owned(), styles.quiet));
        }
        for lot in detail.into_iter().flat_map(|detail| &detail.lots).filter(|lot| !lot.holds.is_zero() && !lot.closed) {
            let mut told = vec![if item.skin { words::share(lot) } else { words::quantity(lot.holds, item.unit) }];
            let says = &lot.says;
            told.extend(lot.customer.as_ref().map(|by| format!("{by}'s own")));
            told.extend(says.supplier.as_ref().map(|from| format!("from {from}")));
            told.extend(says.received.map(|day| day.to_string()));
            told.extend(says.dye_lot.as_ref().map(|dye| format!("dye lot {dye}")));
            told.extend(says.proof.as_ref().map(|proof| format!("proof {proof}")));
            said.push((format!("lot {}: {}", lot.id, told.join(", ")), styles.plain));
        }
        if item.thing.is_none() {
            said.push(("Nothing of it was ever booked in or counted.".to_owned(), styles.quiet));
        }
        let head = row(area, 0);
        put(buf, head, head.x, head.y, &fit(&title, columns, cut), styles.title);
        // What moved has what is left, half the room at least.
        let rows = usize::from(area.height.saturating_sub(1));
        let history = detail.map(|detail| detail.history.as_slice()).unwrap_or_default();
        let kept = if history.is_empty() { 0 } else { (rows / 2).min(history.len() + 1) };
        let above = said.len().min(rows.saturating_sub(kept));
        for (nth, (text, style)) in said.iter().take(above).enumerate() {
            let line = row(area, 1 + nth as u16);
            let more = said.len() > above && nth + 1 == above;
            let text = if more { format!("{text}{}and {} more", paint.glyphs.dot, said.len() - above) } else { text.clone() };
            put(buf, line, line.x, line.y, &fit(&text, columns, cut), *style);
        }
        let room = rows.saturating_sub(above);
        if room < 2 || history.is_empty() {
            return;
        }
        let heading = row(area, 1 + above as u16);
        put(buf, heading, heading.x, heading.y, "what moved, the newest first", styles.quiet);
        let room = room - 1;
        let first = first_shown(if self.beside { self.moved } else { 0 }, history.len(), room);
        for (nth, one) in history.iter().enumerate().skip(first).take(room) {
            let line = row(area, (2 + above + nth - first) as u16);
            let movement = &one.movement;
            let style = if self.beside && nth == self.moved {
                styles.chosen
            } else if movement.stands() {
                styles.plain
            } else {
                styles.quiet
            };
            if self.beside && nth == self.moved {
                fill(buf, line, style);
            }
            let sign = if movement.quantity > Decimal::ZERO { "+" } else { "" };
            let day = day(movement.at).map(|day| day.to_string()).unwrap_or_default();
            let mut text = format!("{day} {:<9} {:>9}", movement.kind.name(), format!("{sign}{}", words::number(movement.quantity)));
            text.push_str(&format!(" {:>9}", words::number(one.after)));
            let mut why: Vec<String> = Vec::new();
            why.extend(movement.reverses.map(|was| format!("takes back {was}")));
            why.extend(movement.reversed_by.map(|_| "taken back".to_owned()));
            why.extend(movement.run.map(|run| format!("run {run}")));
            why.extend(movement.order.as_ref().map(|order| format!("for {order}")));
            why.extend(movement.reason.as_ref().map(ToString::to_string));
            text.push_str(&format!("  {}", why.join(", ")));
            put(buf, line, line.x, line.y, &fit(text.trim_end(), columns, cut), style);
        }
    }

    /// What may stand in for what is short, in a line.
    fn substitutes(&self, item: &Item, desk: &Desk) -> Option<String> {
        let material = item.material(desk)?;
        let free = |key: &str| {
            let free = |item: &&Item| matches!(item.goods, crate::stores::Goods::Material { .. }) && item.goods.name().folded() == key;
            let found = self.items.iter().filter(free);
            found
                .filter_map(|item| item.by_eye.map(|seen| Decimal::from(seen.full) + Decimal::from(u8::from(seen.in_use.is_some()))).or_else(|| item.free()))
                .max()
        };
        let all = stand_ins(&desk.shelf, material, free);
        let told: Vec<String> = all
            .iter()
            .take(3)
            .map(|one| {
                let mut how = Vec::new();
                if one.declared {
                    how.push("declared".to_owned());
                }
                how.extend(one.across.map(|across| format!("{:.0} % across", across * 100.0)));
                how.extend(one.colour.map(|off| format!("colour {off:.0} off")));
                let name = Words::new(&one.name).to_string();
                if how.is_empty() { name } else { format!("{name} ({})", how.join(", ")) }
            })
            .collect();
        (!told.is_empty()).then(|| format!("may stand in: {}", told.join("; ")))
    }
}
