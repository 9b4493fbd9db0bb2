//! Orders: the list, and beside it the plan of the chosen one in sections: its flies, what is laid out, what is bought,
//! the time and the days it takes, what it costs and is priced at. Numbers of flies, rate, rejects and the way of tying
//! can be tried out by keys; the order's file stays as it is.

use super::dressings::halves;
use super::plan_tables::{buy, figure, materials, prices, runs, time};
use super::told;
use crate::diagnostic::Diagnostic;
use crate::dressing::Order;
use crate::dressing::Tied;
use crate::measure::Words;
use crate::paper::plan::sections;
use crate::plan::{self, Given, Plan, Wish};
use crate::tui::Desk;
use crate::tui::ink::{fit, put, put_right, row, width};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::widgets::Paint;
use crate::tui::widgets::figures::{Choice, Table};
use crate::tui::widgets::list::{Entry, List};
use crate::tui::widgets::page::{self, Scroll, Text, Tone};
use crate::tui::widgets::reason::{plan_figure, reason};
use crate::tui::widgets::why::{Subject, Why};
use jiff::civil::Date;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use rust_decimal::Decimal;
use std::collections::HashMap;
use std::rc::Rc;

type Planned = Result<Rc<Plan>, Rc<Vec<Diagnostic>>>;

/// The part of the screen the keys go to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Part {
    #[default]
    List,
    Runs,
    Materials,
    Buy,
    Time,
    Prices,
}

impl Part {
    /// The sections of a plan, in order, with what they are called.
    const SECTIONS: &'static [(Part, &'static str)] =
        &[(Part::Runs, "flies"), (Part::Materials, "lay out"), (Part::Buy, "buy"), (Part::Time, "time"), (Part::Prices, "cost and price")];

    /// Its place among the sections.
    fn nth(self) -> usize {
        Part::SECTIONS.iter().position(|(part, _)| *part == self).unwrap_or(0)
    }

    fn table(self, plan: &Plan) -> Table {
        match self {
            Part::List | Part::Runs => runs(plan),
            Part::Materials => materials(plan),
            Part::Buy => buy(plan),
            Part::Time => time(plan),
            Part::Prices => prices(plan),
        }
    }
}

/// By how much a key moves the rate and the rejects.
const RATE_STEP: Decimal = Decimal::from_parts(50, 0, 0, false, 2);
const REJECT_STEP: Decimal = Decimal::from_parts(1, 0, 0, false, 2);
/// The most rejects that can be tried out.
const MOST_REJECTS: Decimal = Decimal::from_parts(90, 0, 0, false, 2);

/// The screen's state.
pub struct Orders {
    /// The list.
    pub list: List,
    part: Part,
    /// The choice in each section.
    choices: [Choice; 5],
    scroll: Scroll,
    plans: HashMap<String, (Option<Date>, Planned)>,
    /// What is tried out, by order.
    wishes: HashMap<String, Wish>,
}

fn entries(desk: &Desk) -> Vec<Entry> {
    let entry = |(id, order): (&String, &Order)| Entry {
        id: id.clone(),
        name: Words::new(&order.name.value),
        group: Words::new(order.customer.as_ref().map_or("no customer", |customer| customer.value.as_str())),
        also: order.lines.iter().map(|line| line.dressing.value.to_lowercase()).collect::<Vec<_>>().join(" "),
        broken: false,
    };
    let mut entries: Vec<Entry> = desk.orders.iter().map(entry).collect();
    entries.extend(super::broken(desk, true));
    entries
}

impl Orders {
    /// The screen over a desk.
    pub fn new(desk: &Desk) -> Self {
        Orders {
            list: List::new(entries(desk)),
            part: Part::List,
            choices: Default::default(),
            scroll: Scroll::default(),
            plans: HashMap::new(),
            wishes: HashMap::new(),
        }
    }

    /// Takes up more of the same bench: what was chosen stays, plans are made anew.
    pub fn take(&mut self, desk: &Desk) {
        self.list.replace(entries(desk));
        self.plans.clear();
    }

    /// Where the keys go.
    pub fn place(&self) -> Place {
        if self.part == Part::List { Place::Orders } else { Place::Plan }
    }

    /// Plans the order that is to be shown, if it has not been for this day; the plan is kept.
    pub fn ensure(&mut self, desk: &Desk, today: Option<Date>) {
        let Some(id) = self.list.chosen().map(|entry| entry.id.clone()) else { return };
        let Some(order) = desk.orders.get(&id) else { return };
        if self.plans.get(&id).is_some_and(|(day, _)| *day == today) {
            return;
        }
        let wish = self.wishes.get(&id).cloned().unwrap_or_default();
        let given = Given { habits: desk.habits.clone(), today, wish, ..Given::default() };
        let planned = plan::work(order, &desk.dressings, &desk.shelf, &given).map(Rc::new).map_err(Rc::new);
        self.plans.insert(id, (today, planned));
    }

    fn planned(&self) -> Option<&Planned> {
        Some(&self.plans.get(&self.list.chosen()?.id)?.1)
    }

    fn choice(&self) -> Choice {
        self.choices.get(self.part.nth()).copied().unwrap_or_default()
    }

    /// What is tried out on the chosen order.
    fn wish(&self) -> Option<&Wish> {
        self.wishes.get(&self.list.chosen()?.id).filter(|wish| !wish.is_none())
    }

    /// Tries something out; the plan is made anew.
    fn try_out(&mut self, deed: Deed) {
        let Some(id) = self.list.chosen().map(|entry| entry.id.clone()) else { return };
        let Some(plan) = self.plan().cloned() else { return };
        let chosen = self.part.table(&plan).at(self.choice()).and_then(|(line, _)| line.part);
        let wish = self.wishes.entry(id.clone()).or_default();
        let told = |key: &str| plan.figures.find(key).map(|fig| plan.figures.value(fig));
        match deed {
            Deed::DozenMore | Deed::DozenFewer => {
                let by = if deed == Deed::DozenMore { 1 } else { -1 };
                for run in chosen.map_or(0..plan.runs.len(), |run| run..run + 1) {
                    let flies = plan.runs.get(run).map(|run| plan.figures.value(run.flies));
                    // A run that is down to its last dozen goes no further, nor does one beyond what an order may ask.
                    let room = flies.is_some_and(|flies| if by < 0 { flies > Decimal::from(12) } else { flies <= Decimal::from(99_000) });
                    if room {
                        *wish.dozens.entry(run).or_insert(0) += by;
                    }
                }
            }
            Deed::RateUp | Deed::RateDown => {
                let now = wish.rate.or_else(|| told("rate")).unwrap_or_default();
                let next = if deed == Deed::RateUp { now.checked_add(RATE_STEP) } else { now.checked_sub(RATE_STEP) };
                wish.rate = Some(next.unwrap_or(now).max(Decimal::ZERO));
            }
            Deed::RejectsUp | Deed::RejectsDown => {
                let first = plan.runs.iter().find_map(|run| run.rejects).map(|fig| plan.figures.value(fig));
                let now = wish.rejects.or(first).unwrap_or_default();
                let next = if deed == Deed::RejectsUp { now + REJECT_STEP } else { now - REJECT_STEP };
                wish.rejects = Some(next.clamp(Decimal::ZERO, MOST_REJECTS));
            }
            Deed::OtherWay => {
                let other = if plan.tied == Tied::ByStages { Tied::FlyByFly } else { Tied::ByStages };
                wish.tied = if wish.tied.is_some() { None } else { Some(other) };
            }
            _ => *wish = Wish::default(),
        }
        self.plans.remove(&id);
    }

    fn plan(&self) -> Option<&Rc<Plan>> {
        self.planned()?.as_ref().ok()
    }

    /// Whether a deed would do anything now.
    pub fn open(&self, deed: Deed) -> bool {
        match deed {
            Deed::Why => self.plan().is_some(),
            Deed::Advice => self.plan().is_some_and(|plan| !plan.open.is_empty() || !plan.advice.is_empty() || !sections::how(plan).is_empty()),
            Deed::Filter => !self.list.is_empty(),
            Deed::Back => self.part != Part::List || !self.list.filter().is_empty(),
            Deed::Orders => false,
            Deed::AsOrdered => self.wish().is_some(),
            Deed::DozenMore | Deed::OtherWay => self.plan().is_some(),
            _ => true,
        }
    }

    /// The derivation of the chosen figure.
    pub fn why(&self) -> Option<Why> {
        let plan = self.plan()?;
        let (table, choice) = (self.part.table(plan), self.choice());
        let fig = table.at(choice)?.1.fig?;
        Some(Why::new(Subject::Plan(plan.clone()), fig))
    }

    /// What is open, and advice met while the order was planned.
    pub fn advice(&self) -> Vec<Text> {
        let Some(plan) = self.plan() else { return Vec::new() };
        let mut text = Vec::new();
        if !plan.open.is_empty() {
            text.push(Text::new(Tone::Head, "Open: the totals are without these"));
            text.extend(plan.open.iter().map(|note| Text::new(Tone::Weak, Words::new(note).as_str())));
            text.push(Text::new(Tone::Plain, ""));
        }
        let how = sections::how(plan);
        if !how.is_empty() {
            text.push(Text::new(Tone::Head, "How it is planned"));
            text.extend(how.iter().map(|note| Text::new(Tone::Plain, Words::new(note).as_str())));
            text.push(Text::new(Tone::Plain, ""));
        }
        text.extend(told(&plan.advice));
        text
    }

    /// Does what a key asks.
    pub fn go(&mut self, deed: Deed, page: usize, desk: &Desk) {
        let around = match self.plan() {
            Some(_) => [Part::List, Part::Runs, Part::Materials, Part::Buy, Part::Time, Part::Prices].as_slice(),
            None => &[Part::List, Part::Runs],
        };
        let at = around.iter().position(|part| *part == self.part).unwrap_or(0);
        let step = |by: usize| around.get((at + by) % around.len()).copied().unwrap_or_default();
        match deed {
            Deed::Onward if self.list.chosen().is_some() => self.part = step(1),
            Deed::Backward if self.list.chosen().is_some() => self.part = step(around.len() - 1),
            Deed::Back if self.part != Part::List => self.part = Part::List,
            Deed::Back => self.list.set_filter(String::new()),
            Deed::DozenMore | Deed::DozenFewer | Deed::RateUp | Deed::RateDown | Deed::RejectsUp | Deed::RejectsDown | Deed::OtherWay | Deed::AsOrdered => {
                self.try_out(deed);
            }
            _ => match (self.part, self.plan().cloned()) {
                (Part::List, _) => {
                    self.list.go(deed, page);
                    (self.choices, self.scroll) = Default::default();
                }
                (part, Some(plan)) => {
                    let table = part.table(&plan);
                    if self.choices.get_mut(part.nth()).is_some_and(|choice| !table.go(choice, deed, page)) {
                        self.part = Part::List;
                    }
                }
                (_, None) if deed == Deed::Left => self.part = Part::List,
                (_, None) => {
                    let last = self.text(desk).len();
                    self.scroll.go(deed, page, last);
                }
            },
        }
    }

    fn text(&self, desk: &Desk) -> Vec<Text> {
        if let Some(report) = self.list.chosen().and_then(|entry| super::report(desk, &entry.id)) {
            return page::report(report);
        }
        match self.planned() {
            Some(Err(faults)) => {
                let mut text = vec![Text::new(Tone::Head, "This order cannot be planned:"), Text::new(Tone::Plain, "")];
                text.extend(told(faults));
                text
            }
            _ if self.list.is_empty() => vec![
                Text::new(Tone::Head, "No order yet."),
                Text::new(Tone::Plain, "Write one into the folder orders of this bench: a name, a customer, and flies with their sizes and numbers."),
            ],
            _ => Vec::new(),
        }
    }

    /// Paints the screen.
    pub fn draw(&self, buf: &mut Buffer, area: Rect, desk: &Desk, typing: bool, paint: Paint<'_>) {
        let (left, right) = halves(area, self.part != Part::List);
        if left.width > 0 {
            self.list.draw(buf, left, self.part == Part::List, typing, paint);
        }
        if left.width > 0 && right.width > 0 {
            for y in right.top()..right.bottom() {
                put(buf, area, right.x - 2, y, paint.glyphs.upright, paint.styles.quiet);
            }
        }
        if right.is_empty() {
            return;
        }
        match self.plan() {
            Some(plan) => self.beside(buf, right, plan, paint),
            None => page::draw(buf, right, &self.text(desk), self.scroll, paint),
        }
    }

    fn beside(&self, buf: &mut Buffer, area: Rect, plan: &Plan, paint: Paint<'_>) {
        let mut used = head(buf, area, plan, paint);
        if let Some(wish) = self.wish() {
            let line = row(area, used.saturating_sub(1));
            let key = paint.look.keys.key(Deed::AsOrdered, Place::Plan, Key::Char('x')).map_or_else(String::new, |key| format!(" ({key}: as ordered)"));
            let text = fit(&tried(plan, wish), usize::from(area.width).saturating_sub(width(&key)), paint.glyphs.cut);
            let after = put(buf, line, line.x, line.y, &text, paint.styles.weak);
            put(buf, line, after, line.y, &key, paint.styles.quiet);
            used = (used + 1).min(area.height);
        }
        if self.part != Part::List {
            self.sections(buf, row(area, used.saturating_sub(1)), paint);
        }
        let body = Rect { y: area.y + used, height: area.height - used, ..area };
        let foot = u16::from(body.height >= 8);
        let rest = Rect { height: body.height - foot, ..body };
        match self.part {
            Part::List | Part::Runs | Part::Materials => self.two_tables(buf, rest, plan, paint),
            Part::Buy => buy(plan).draw(buf, rest, self.choice(), true, paint),
            Part::Prices => prices(plan).draw(buf, rest, self.choice(), true, paint),
            Part::Time => self.time_and_days(buf, rest, plan, paint),
        }
        if foot > 0 {
            detail(buf, Rect { y: body.bottom() - 1, height: 1, ..body }, plan, &self.part.table(plan), self.choice(), self.part != Part::List, paint);
        }
    }

    /// The names of the sections, the one in hand standing out.
    fn sections(&self, buf: &mut Buffer, line: Rect, paint: Paint<'_>) {
        let mut x = line.x;
        for (nth, (part, name)) in Part::SECTIONS.iter().enumerate() {
            if nth > 0 {
                x = put(buf, line, x, line.y, paint.glyphs.dot, paint.styles.quiet);
            }
            let here = *part == self.part;
            let text = if here { format!("{}{name}{}", paint.glyphs.open, paint.glyphs.close) } else { (*name).to_owned() };
            x = put(buf, line, x, line.y, &text, if here { paint.styles.title } else { paint.styles.quiet });
        }
    }

    fn two_tables(&self, buf: &mut Buffer, body: Rect, plan: &Plan, paint: Paint<'_>) {
        let rest = body.height;
        let (runs, materials) = (runs(plan), materials(plan));
        let choice = |part: Part| self.choices.get(part.nth()).copied().unwrap_or_default();
        // One empty row between the two; the one the keys go to takes what it needs and leaves the other four rows.
        let gap = u16::from(rest >= 12);
        let room = rest - gap;
        let (wanted_above, wanted_below) = (runs.rows(), materials.rows());
        let above = if wanted_above.saturating_add(wanted_below) <= room {
            wanted_above
        } else if self.part == Part::Materials {
            room.saturating_sub(wanted_below).max(4).min(room)
        } else {
            wanted_above.min(room.saturating_sub(4))
        };
        runs.draw(buf, Rect { height: above, ..body }, choice(Part::Runs), self.part == Part::Runs, paint);
        let below = Rect { y: body.y + above + gap, height: room - above, ..body };
        materials.draw(buf, below, choice(Part::Materials), self.part == Part::Materials, paint);
    }

    /// The hours and days of the runs, and below them a bar a day.
    fn time_and_days(&self, buf: &mut Buffer, body: Rect, plan: &Plan, paint: Paint<'_>) {
        let sign = |text: &str, or: char| text.chars().next().unwrap_or(or);
        let mut lines = sections::when(plan);
        let bar = if body.width < 80 { 8 } else { 24 };
        lines.extend(sections::days(plan, bar, [sign(paint.glyphs.full, '#'), sign(paint.glyphs.empty, '.')]));
        let table = time(plan);
        let wanted = u16::try_from(lines.len()).unwrap_or(u16::MAX);
        let gap = u16::from(body.height >= 12 && wanted > 0);
        let room = body.height - gap;
        // The chart has a third of the height at least, or what it needs.
        let below = wanted.min(room.saturating_sub(table.rows()).max(room / 3));
        table.draw(buf, Rect { height: room - below, ..body }, self.choice(), true, paint);
        let area = Rect { y: body.bottom() - below, height: below, ..body };
        for (nth, line) in lines.iter().take(usize::from(below)).enumerate() {
            let place = row(area, nth as u16);
            let beyond = lines.len() - nth - 1;
            let text = if nth + 1 == usize::from(below) && beyond > 0 { format!("and {} days more", beyond + 1) } else { line.clone() };
            put(buf, place, place.x, place.y, &fit(Words::new(&text).as_str(), usize::from(area.width), paint.glyphs.cut), paint.styles.plain);
        }
    }
}

/// What is tried out, in words.
fn tried(plan: &Plan, wish: &Wish) -> String {
    let mut said: Vec<String> = Vec::new();
    said.extend(wish.rate.map(|rate| format!("rate {}", plan.numbers.text(&plan.currency.text(rate)))));
    said.extend(wish.rejects.map(|share| format!("rejects {} %", (share * Decimal::ONE_HUNDRED).normalize())));
    said.extend(wish.tied.map(|tied| if tied == Tied::ByStages { "by stages".to_owned() } else { "fly by fly".to_owned() }));
    let mut dozens: Vec<(usize, i32)> = wish.dozens.iter().map(|(run, dozens)| (*run, *dozens)).filter(|(_, dozens)| *dozens != 0).collect();
    dozens.sort_unstable();
    let all = dozens.len() > 1 && dozens.len() == plan.runs.len() && dozens.windows(2).all(|two| matches!(two, [a, b] if a.1 == b.1));
    match dozens.as_slice() {
        [(_, by), ..] if all => said.push(format!("{by:+} dozen of each")),
        some => said.extend(some.iter().filter_map(|(run, by)| {
            let run = plan.runs.get(*run)?;
            Some(format!("{by:+} dozen {} {}", run.dressing, run.size))
        })),
    }
    format!("tried out: {}", Words::new(&said.join(", ")))
}

/// Name, customer and day; the whole order in one line; what is open. Gives the rows it took.
fn head(buf: &mut Buffer, area: Rect, plan: &Plan, paint: Paint<'_>) -> u16 {
    let styles = paint.styles;
    let columns = usize::from(area.width);
    let title = row(area, 0);
    let mut name = Words::new(&plan.order).to_string();
    if let Some(customer) = &plan.customer {
        name = format!("{name}, for {}", Words::new(customer));
    }
    let after = put(buf, title, title.x, title.y, &fit(&name, columns, paint.glyphs.cut), styles.title);
    if let Some(wanted) = plan.wanted {
        let text = format!("wanted {wanted}");
        if usize::from(title.right().saturating_sub(after)) > width(&text) {
            put_right(buf, title, title.right(), title.y, &text, styles.quiet);
        }
    }
    let all = &plan.totals;
    let dot = paint.glyphs.dot;
    let mut said = vec![format!("{} flies", figure(plan, all.flies)), format!("{} h", figure(plan, all.hours)), format!("cost {}", figure(plan, all.cost))];
    said.push(all.price.map_or_else(|| "price open".to_owned(), |price| format!("price {} {}", figure(plan, price), plan.currency.code())));
    said.extend(all.earns.map(|earns| format!("earns {} an hour", figure(plan, earns))));
    let mut lines: Vec<String> = vec![String::new()];
    for item in said {
        match lines.last_mut() {
            Some(line) if line.is_empty() => *line = item,
            Some(line) if width(line) + width(dot) + width(&item) <= columns => line.push_str(&format!("{dot}{item}")),
            _ => lines.push(item),
        }
    }
    let mut used = 1;
    for line in &lines {
        let place = row(area, used);
        put(buf, place, place.x, place.y, &fit(line, columns, paint.glyphs.cut), styles.plain);
        used += 1;
    }
    let notes = plan.open.len() + plan.advice.len();
    if let Some(first) = plan.open.first().or(plan.advice.first().map(|advice| &advice.what)) {
        let line = row(area, used);
        let more = if notes > 1 { format!(" (a: this and {} more)", notes - 1) } else { " (a)".to_owned() };
        let word = if plan.open.is_empty() { "advice" } else { "open" };
        let text = fit(&format!("{word}: {}", Words::new(first)), columns.saturating_sub(width(&more)), paint.glyphs.cut);
        let after = put(buf, line, line.x, line.y, &text, styles.weak);
        put(buf, line, after, line.y, &more, styles.quiet);
        used += 1;
    }
    (used + 1).min(area.height)
}

fn detail(buf: &mut Buffer, area: Rect, plan: &Plan, table: &Table, choice: Choice, active: bool, paint: Paint<'_>) {
    let text = match table.at(choice).and_then(|(_, cell)| cell.fig).filter(|_| active) {
        Some(fig) => {
            let told = reason(&plan.figures, fig, &|row| plan_figure(row, &plan.currency));
            format!("{} {}, {}: {}", told.key, told.value, told.standing.name(), told.formula.unwrap_or(told.source))
        }
        None => {
            let key = |place, wish, what: &str| paint.look.keys.key(Deed::Onward, place, wish).map(|key| format!("{key} {what}"));
            let hints = [key(Place::Orders, Key::Enter, "goes on to the runs"), key(Place::Plan, Key::Tab, "to the materials")];
            hints.into_iter().flatten().collect::<Vec<_>>().join(", ")
        }
    };
    put(buf, area, area.x, area.y, &fit(&text, usize::from(area.width), paint.glyphs.cut), paint.styles.quiet);
}
