//! A count: drawer by drawer, one line an item, what is expected beside it. Enter on a line where nothing is typed says that
//! all is there. Each line is safe in the ledger as it is entered, so that a count can be left half done; the stores are
//! changed only when it is booked, and then by all of it.

use super::shelf::Item;
use super::words::{number, quantity};
use crate::dressing::Keep;
use crate::ledger::{Brief, CountId, CountLine, Found};
use crate::measure::{Unit, Words};
use crate::stores::counting::asks_why;
use crate::stores::typed::{self, Facts, eye_written};
use crate::stores::{ByEye, Goods, LotId, ThingId};
use crate::tui::Desk;
use crate::tui::ink::{fill, first_shown, fit, put, put_right, row, width, wrap};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::queue::{Entered, Seen, ShelfDeed};
use crate::tui::widgets::Paint;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use rust_decimal::Decimal;
use std::collections::HashMap;

/// A line to be counted.
#[derive(Clone, Debug)]
struct Line {
    id: String,
    drawer: String,
    name: String,
    thing: Option<ThingId>,
    lot: Option<LotId>,
    goods: Goods,
    unit: Unit,
    facts: Facts,
    /// What there is by the stores; nought where they know nothing.
    expected: Decimal,
    known: bool,
    /// Of goods kept by eye, what was seen last.
    eye: Option<Option<ByEye>>,
}

/// What was typed and waits for a reason.
#[derive(Clone, Debug)]
struct Pending {
    found: Seen,
    written: String,
    off: String,
    why: String,
}

/// A count under way.
#[derive(Clone, Debug)]
pub(super) struct Counting {
    count: Option<CountId>,
    lines: Vec<Line>,
    at: usize,
    typed: HashMap<String, String>,
    entered: HashMap<String, CountLine>,
    /// How a weight was read, by line.
    weighed: HashMap<String, String>,
    pending: Option<Pending>,
    said: Option<String>,
    /// What will be booked is shown, and asked.
    pub(super) ending: bool,
    /// A line is asked of the ledger and not answered yet.
    sent: bool,
}

/// No line is longer.
const LONGEST: usize = 80;

impl Counting {
    /// A count of all that is counted; one that was left is gone on with.
    pub(super) fn new(items: &[Item], lots: &[Brief], open: Option<&(crate::ledger::Count, Vec<CountLine>)>, desk: &Desk) -> Counting {
        let mut lines = Vec::new();
        for item in items.iter().filter(|item| item.counts()) {
            let by_eye = item.keep == Keep::ByEye;
            let line = Line {
                id: item.id(),
                drawer: item.drawer.clone(),
                name: item.name(),
                thing: item.thing,
                lot: None,
                goods: item.goods.clone(),
                unit: item.unit,
                facts: item.facts(desk),
                expected: item.balance.as_ref().map(|balance| balance.on_hand).unwrap_or_default(),
                known: item.balance.is_some(),
                eye: by_eye.then_some(item.by_eye),
            };
            let owned = lots.iter().filter(|lot| Some(lot.thing) == item.thing).filter_map(|lot| Some((lot, lot.customer.as_ref()?)));
            let owned: Vec<Line> = owned
                .map(|(lot, by)| Line {
                    id: format!("{} lot {}", line.id, lot.lot),
                    name: format!("{}, {by}'s own", line.name),
                    lot: Some(lot.lot),
                    expected: lot.holds,
                    known: true,
                    eye: None,
                    ..line.clone()
                })
                .collect();
            lines.push(line);
            lines.extend(owned);
        }
        let mut entered = HashMap::new();
        for one in open.into_iter().flat_map(|(_, lines)| lines) {
            let lot = if let Found::Lot { lot, .. } = &one.found { Some(*lot) } else { None };
            if let Some(line) = lines.iter().find(|line| line.thing == Some(one.thing) && line.lot == lot) {
                entered.insert(line.id.clone(), one.clone());
            }
        }
        let at = lines.iter().position(|line| !entered.contains_key(&line.id)).unwrap_or(0);
        let count = open.map(|(count, _)| count.id);
        let (typed, weighed) = (HashMap::new(), HashMap::new());
        Counting { count, lines, at, typed, entered, weighed, pending: None, said: None, ending: false, sent: false }
    }

    /// Whether there is anything to count.
    pub(super) fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// Takes items read anew: what is typed and entered stays.
    pub(super) fn take(&mut self, items: &[Item], lots: &[Brief], desk: &Desk) {
        let here = self.lines.get(self.at).map(|line| line.id.clone());
        let anew = Counting::new(items, lots, None, desk);
        self.lines = anew.lines;
        self.at = here.and_then(|id| self.lines.iter().position(|line| line.id == id)).unwrap_or(0);
    }

    /// Types.
    pub(super) fn type_in(&mut self, text: &str) {
        self.said = None;
        let clean = |had: &str| -> String { Words::new(text).as_str().chars().take(LONGEST.saturating_sub(had.chars().count())).collect() };
        if let Some(pending) = &mut self.pending {
            let more = clean(&pending.why);
            pending.why.push_str(&more);
        } else if let Some(line) = self.lines.get(self.at).filter(|_| !self.sent) {
            let had = self.typed.entry(line.id.clone()).or_default();
            let more = clean(had);
            // A line begins with no space, so that the big key does not leave one behind.
            had.push_str(if had.is_empty() { more.trim_start() } else { &more });
        }
    }

    /// A step back: from the reason to the line, from the end to the lines. False where the count is to be left.
    pub(super) fn back(&mut self) -> bool {
        self.said = None;
        self.pending.take().is_some() || std::mem::take(&mut self.ending)
    }

    /// Does what a key asks; gives what is to be done in the ledger.
    pub(super) fn go(&mut self, deed: Deed, page: usize) -> Option<ShelfDeed> {
        if deed != Deed::Take {
            self.said = None;
        }
        let last = self.lines.len().saturating_sub(1);
        match deed {
            Deed::Take if self.ending => return self.count.filter(|_| !self.entered.is_empty()).map(ShelfDeed::CountBook),
            Deed::DropCount if self.ending => return self.count.map(ShelfDeed::CountDrop),
            Deed::Take if !self.sent => return self.on(),
            Deed::Rub => self.rub(),
            _ if self.pending.is_some() => {}
            Deed::EndCount => self.ending = true,
            Deed::Up => self.at = self.at.saturating_sub(1),
            Deed::Down => self.at = (self.at + 1).min(last),
            Deed::PageUp => self.at = self.at.saturating_sub(page),
            Deed::PageDown => self.at = (self.at + page).min(last),
            Deed::Uncount => {
                let line = self.lines.get(self.at)?;
                self.typed.remove(&line.id);
                let entered = self.entered.get(&line.id)?;
                return Some(ShelfDeed::Uncount { id: line.id.clone(), count: self.count?, thing: entered.thing, lot: line.lot });
            }
            _ => {}
        }
        None
    }

    fn rub(&mut self) {
        if let Some(pending) = &mut self.pending {
            pending.why.pop();
        } else if let Some(text) = self.lines.get(self.at).and_then(|line| self.typed.get_mut(&line.id)) {
            text.pop();
        }
    }

    fn on(&mut self) -> Option<ShelfDeed> {
        let line = self.lines.get(self.at)?;
        if let Some(pending) = self.pending.take() {
            let why = pending.why.trim().to_owned();
            self.sent = true;
            return Some(self.enter(pending.found, &pending.written, Some(why).filter(|why| !why.is_empty())));
        }
        let text = self.typed.get(&line.id).map(|text| text.trim().to_owned()).unwrap_or_default();
        if text.is_empty() {
            if self.entered.contains_key(&line.id) {
                self.next();
                return None;
            }
            if line.eye == Some(None) || !line.known {
                self.said = Some("Nothing was ever counted here, so there is nothing to expect: what is there? 0 where nothing is.".to_owned());
                return None;
            }
            let found = match line.eye {
                Some(Some(seen)) => Seen::Eye(seen.full, seen.in_use),
                _ => Seen::Much(line.expected.max(Decimal::ZERO)),
            };
            self.sent = true;
            return Some(self.enter(found, "as expected", None));
        }
        let found = match line.eye {
            Some(seen) => typed::eye(&text, seen).map(|(full, in_use)| (Seen::Eye(full, in_use), None)),
            None => typed::line(&text, line.facts).map(|typed| (Seen::Much(typed.quantity), typed.said)),
        };
        let (found, said) = match found {
            Ok(found) => found,
            Err(why) => {
                self.said = Some(why.to_string());
                return None;
            }
        };
        match said {
            Some(said) => self.weighed.insert(line.id.clone(), said),
            None => self.weighed.remove(&line.id),
        };
        if let Seen::Much(much) = found
            && line.known
            && far(line.expected, much)
        {
            let off = over_or_short(much - line.expected, line.unit);
            self.pending = Some(Pending { found, written: text, off, why: String::new() });
            return None;
        }
        self.sent = true;
        Some(self.enter(found, &text, None))
    }

    fn enter(&self, found: Seen, written: &str, reason: Option<String>) -> ShelfDeed {
        let line = self.lines.get(self.at);
        ShelfDeed::CountLine(Box::new(Entered {
            id: line.map(|line| line.id.clone()).unwrap_or_default(),
            count: self.count,
            thing: line.and_then(|line| line.thing),
            lot: line.and_then(|line| line.lot),
            goods: line.map_or_else(|| Goods::material(""), |line| line.goods.clone()),
            unit: line.map_or(Unit::One, |line| line.unit),
            found,
            written: Words::new(written),
            reason: reason.map(|reason| Words::new(&reason)),
        }))
    }

    /// To the next line nothing is entered for; behind the last, to the end.
    fn next(&mut self) {
        let open = |(_, line): &(usize, &Line)| !self.entered.contains_key(&line.id);
        match self.lines.iter().enumerate().skip(self.at + 1).find(open) {
            Some((nth, _)) => self.at = nth,
            None if self.at + 1 < self.lines.len() => self.at += 1,
            None => self.ending = true,
        }
    }

    /// A line is safe in the ledger.
    pub(super) fn counted(&mut self, id: &str, count: CountId, entered: CountLine) {
        self.sent = false;
        self.count = Some(count);
        if let Some(line) = self.lines.iter_mut().find(|line| line.id == id) {
            line.thing = Some(entered.thing);
        }
        self.typed.remove(id);
        self.entered.insert(id.to_owned(), entered);
        if self.lines.get(self.at).is_some_and(|line| line.id == id) {
            self.next();
        }
    }

    /// A line was taken out again.
    pub(super) fn uncounted(&mut self, id: &str) {
        self.entered.remove(id);
        self.weighed.remove(id);
    }

    /// What was asked of the ledger was not done: what is typed stays.
    pub(super) fn failed(&mut self) {
        self.sent = false;
    }

    /// What booking would do, in a line.
    fn comes_to(&self) -> String {
        let (mut right, mut over, mut short, mut seen, mut first) = (0, 0, 0, 0, 0);
        for (line, entered) in self.lines.iter().filter_map(|line| Some((line, self.entered.get(&line.id)?))) {
            match entered.difference {
                None => seen += 1,
                Some(_) if !line.known => first += 1,
                Some(off) if off.is_zero() => right += 1,
                Some(off) if off > Decimal::ZERO => over += 1,
                Some(_) => short += 1,
            }
        }
        let left = self.lines.len().saturating_sub(self.entered.len());
        let mut told = vec![format!("{right} as expected"), format!("{over} over"), format!("{short} short")];
        if first > 0 {
            told.push(format!("{first} counted for the first time"));
        }
        if seen > 0 {
            told.push(format!("{seen} by eye"));
        }
        if left > 0 {
            told.push(format!("{left} not counted, which stay as they are"));
        }
        told.join(", ")
    }

    /// Paints the count.
    pub(super) fn draw(&self, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let (styles, cut) = (paint.styles, paint.glyphs.cut);
        fill(buf, area, styles.plain);
        let columns = usize::from(area.width);
        let head = row(area, 0);
        let after = put(buf, head, head.x, head.y, &fit("Counting the shelf", columns, cut), styles.title);
        let done = format!("{} of {} lines", self.entered.len(), self.lines.len());
        if usize::from(head.right().saturating_sub(after)) > width(&done) {
            put_right(buf, head, head.right(), head.y, &done, styles.plain);
        }
        let foot = self.foot(paint, columns);
        let rows = (foot.len() as u16).min(area.height / 2);
        let bottom = Rect { y: area.bottom() - rows, height: rows, ..area };
        for (nth, (text, style)) in foot.iter().enumerate() {
            let line = row(bottom, nth as u16);
            put(buf, line, line.x, line.y, text, *style);
        }
        let top = 1.min(area.height);
        let body = Rect { y: area.y + top, height: area.height.saturating_sub(rows + top), ..area };
        self.table(buf, body, paint);
    }

    fn foot(&self, paint: Paint<'_>, columns: usize) -> Vec<(String, ratatui::style::Style)> {
        let styles = paint.styles;
        let key = |deed, place, wish| paint.look.keys.key(deed, place, wish).unwrap_or_default();
        let mut said: Vec<(String, ratatui::style::Style)> = Vec::new();
        let take = key(Deed::Take, Place::Counting, Key::Enter);
        if self.ending {
            let (book, back, away) = (
                key(Deed::Take, Place::CountEnd, Key::Enter),
                key(Deed::Back, Place::CountEnd, Key::Escape),
                key(Deed::DropCount, Place::CountEnd, Key::Char('x')),
            );
            if self.entered.is_empty() {
                said.push((format!("Nothing is counted yet. {back}: back to the lines."), styles.title));
            } else {
                said.push((format!("{book} books it all at once: {}.", self.comes_to()), styles.title));
                said.push((format!("{back}: back to the lines. {away}: drop the count; nothing of it is booked."), styles.plain));
            }
        } else if let Some(pending) = &self.pending {
            said.push((format!("{}. Why? {}{}_{}", pending.off, paint.glyphs.open, pending.why, paint.glyphs.close), styles.title));
            said.push((format!("{take}: enter it, with the reason or without one."), styles.quiet));
        } else if let Some(text) = &self.said {
            said.push((text.clone(), styles.fault));
        } else if let Some(line) = self.lines.get(self.at) {
            let typed = self.typed.get(&line.id).is_some_and(|text| !text.is_empty());
            let way = match (line.eye.is_some(), typed, self.weighed.get(&line.id)) {
                (_, false, Some(weighed)) => weighed.clone(),
                (_, false, _) if (line.eye == Some(None) || !line.known) && !self.entered.contains_key(&line.id) => {
                    let way =
                        if line.eye.is_some() { "full packs and the one in use, 2h (f full, h half, n nearly done, - none)" } else { "12, 2 + 1/2, 3*25 + 7" };
                    format!("Never counted yet, so nothing is expected: {way}; 0 where nothing is.")
                }
                (true, ..) => format!("Full packs and the one in use: 2h (f full, h half, n nearly done, - none). {take} alone: as expected."),
                (false, true, _) => format!("{take} enters it."),
                (false, false, _) => format!("{take}: as expected. Or 12, 2 + 1/2, 3*25 + 7, or a weight in g: {}.", self.weight_way(line)),
            };
            said.push((way, styles.quiet));
        }
        said.iter().flat_map(|(text, style)| wrap(text, columns).into_iter().map(|line| (line, *style))).collect()
    }

    fn weight_way(&self, line: &Line) -> &'static str {
        match line.unit.dimension() {
            crate::measure::Dimension::Length | crate::measure::Dimension::Mass => "w 12.3 - 4.1, less the empty spool",
            _ => "w 4.1, 25 = 0.5, by a sample",
        }
    }

    fn table(&self, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let (styles, cut) = (paint.styles, paint.glyphs.cut);
        // A heading where the drawer changes, then its lines.
        let mut rows: Vec<Result<usize, &str>> = Vec::new();
        let mut drawer = None;
        for (nth, line) in self.lines.iter().enumerate() {
            if drawer != Some(&line.drawer) {
                drawer = Some(&line.drawer);
                rows.push(Err(&line.drawer));
            }
            rows.push(Ok(nth));
        }
        let wide = area.width;
        let (expects, finds, offs) = (if wide >= 70 { 13 } else { 0 }, (wide / 4).clamp(8, 24), if wide >= 56 { 14 } else { 0 });
        let name = wide.saturating_sub(expects + finds + offs + 5);
        let ends = [area.x + 1 + name + 1 + expects, area.x + 1 + name + 2 + expects + finds, area.x + 1 + name + 3 + expects + finds + offs];
        let heading = row(area, 0);
        if expects > 0 {
            put_right(buf, heading, ends[0], heading.y, "expected", styles.quiet);
        }
        put_right(buf, heading, ends[1], heading.y, "found", styles.quiet);
        if offs > 0 {
            put_right(buf, heading, ends[2], heading.y, "over or short", styles.quiet);
        }
        let body = Rect { y: area.y + 1.min(area.height), height: area.height.saturating_sub(1), ..area };
        let place = rows.iter().position(|shown| *shown == Ok(self.at)).unwrap_or(0);
        let first = first_shown(place, rows.len(), usize::from(body.height));
        for (nth, shown) in rows.iter().skip(first).take(usize::from(body.height)).enumerate() {
            let at = row(body, nth as u16);
            let line = match shown {
                Err(drawer) => {
                    put(buf, at, at.x, at.y, &fit(drawer, usize::from(at.width), cut), styles.quiet);
                    continue;
                }
                Ok(nth) => self.lines.get(*nth).map(|line| (*nth == self.at && !self.ending, line)),
            };
            let Some((chosen, line)) = line else { continue };
            let entered = self.entered.get(&line.id);
            let style = if chosen { styles.chosen } else { styles.plain };
            if chosen {
                fill(buf, at, style);
            }
            let tick = if entered.is_some() { paint.glyphs.ticked } else { " " };
            put(buf, at, at.x, at.y, tick, style);
            put(buf, at, at.x + 2, at.y, &fit(&line.name, usize::from(name.saturating_sub(1)), cut), style);
            if expects > 0 {
                put_right(buf, at, ends[0], at.y, &fit(&expected(line), usize::from(expects), cut), style);
            }
            let typed = self.typed.get(&line.id).filter(|text| !text.is_empty() || chosen);
            let (text, off) = match (typed, entered) {
                (Some(text), None) if chosen => (format!("{}{text}_{}", paint.glyphs.open, paint.glyphs.close), String::new()),
                (Some(text), _) if !text.is_empty() => (format!("{}{text}_{}", paint.glyphs.open, paint.glyphs.close), String::new()),
                (_, Some(entered)) => (
                    found(&entered.found, line.unit),
                    if line.known { entered.difference.map(|off| over_or_short(off, line.unit)).unwrap_or_default() } else { "first count".to_owned() },
                ),
                (_, None) if chosen => (format!("{}_{}", paint.glyphs.open, paint.glyphs.close), String::new()),
                _ => (String::new(), String::new()),
            };
            // The end of a long sum is what is being typed.
            let skip = width(&text).saturating_sub(usize::from(finds) + 1);
            put_right(buf, at, ends[1], at.y, &text.chars().skip(skip).collect::<String>(), style);
            if offs > 0 {
                put_right(buf, at, ends[2], at.y, &fit(&off, usize::from(offs), cut), style);
            }
        }
    }
}

/// Whether a difference is worth a word: more than a tenth, and more than a handful where things are counted by number.
fn far(expected: Decimal, found: Decimal) -> bool {
    const HANDFUL: i64 = 5;
    asks_why(expected, found) && (found - expected).abs() > Decimal::from(HANDFUL)
}

fn expected(line: &Line) -> String {
    match line.eye {
        Some(Some(seen)) => eye_written(seen.full, seen.in_use),
        Some(None) => "-".to_owned(),
        None if !line.known => "-".to_owned(),
        None => quantity(line.expected, line.unit),
    }
}

fn found(found: &Found, unit: Unit) -> String {
    match found {
        Found::Whole { quantity: much, .. } | Found::Lot { quantity: much, .. } => quantity(*much, unit),
        Found::ByEye { full, in_use, .. } => eye_written(*full, *in_use),
    }
}

fn over_or_short(off: Decimal, unit: Unit) -> String {
    if off.is_zero() {
        return "as expected".to_owned();
    }
    let much = if unit.name().is_empty() { number(off.abs()) } else { quantity(off.abs(), unit) };
    format!("{much} {}", if off > Decimal::ZERO { "over" } else { "short" })
}
