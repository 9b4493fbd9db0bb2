//! Orders: the list, and beside it the plan of the chosen one: its whole, its runs, its materials, what is open.

use super::dressings::halves;
use super::plan_tables::{figure, materials, runs};
use super::told;
use crate::diagnostic::Diagnostic;
use crate::dressing::Order;
use crate::measure::Words;
use crate::plan::{self, Plan};
use crate::tui::Desk;
use crate::tui::ink::{fit, put, put_right, row, width};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::widgets::Paint;
use crate::tui::widgets::figures::{Choice, Table};
use crate::tui::widgets::list::{Entry, List};
use crate::tui::widgets::page::{self, Scroll, Text, Tone};
use crate::tui::widgets::reason::{plan_figure, reason};
use crate::tui::widgets::why::{Subject, Why};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
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
}

/// The screen's state.
pub struct Orders {
    /// The list.
    pub list: List,
    part: Part,
    run: Choice,
    material: Choice,
    scroll: Scroll,
    plans: HashMap<String, Planned>,
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
            run: Choice::default(),
            material: Choice::default(),
            scroll: Scroll::default(),
            plans: HashMap::new(),
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

    /// Plans the order that is to be shown, if it has not been; the plan is kept.
    pub fn ensure(&mut self, desk: &Desk) {
        let Some(id) = self.list.chosen().map(|entry| entry.id.clone()) else { return };
        let Some(order) = desk.orders.get(&id) else { return };
        self.plans.entry(id).or_insert_with(|| plan::work(order, &desk.dressings, &desk.shelf).map(Rc::new).map_err(Rc::new));
    }

    fn planned(&self) -> Option<&Planned> {
        self.plans.get(&self.list.chosen()?.id)
    }

    fn plan(&self) -> Option<&Rc<Plan>> {
        self.planned()?.as_ref().ok()
    }

    /// Whether a deed would do anything now.
    pub fn open(&self, deed: Deed) -> bool {
        match deed {
            Deed::Why => self.plan().is_some(),
            Deed::Advice => self.plan().is_some_and(|plan| !plan.open.is_empty() || !plan.advice.is_empty()),
            Deed::Filter => !self.list.is_empty(),
            Deed::Back => self.part != Part::List || !self.list.filter().is_empty(),
            Deed::Orders => false,
            _ => true,
        }
    }

    /// The derivation of the chosen figure.
    pub fn why(&self) -> Option<Why> {
        let plan = self.plan()?;
        let (table, choice) = match self.part {
            Part::Materials => (materials(plan), self.material),
            _ => (runs(plan), self.run),
        };
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
        text.extend(told(&plan.advice));
        text
    }

    /// Does what a key asks.
    pub fn go(&mut self, deed: Deed, page: usize, desk: &Desk) {
        let around = match self.plan() {
            Some(_) => [Part::List, Part::Runs, Part::Materials].as_slice(),
            None => &[Part::List, Part::Runs],
        };
        let at = around.iter().position(|part| *part == self.part).unwrap_or(0);
        let step = |by: usize| around.get((at + by) % around.len()).copied().unwrap_or_default();
        match deed {
            Deed::Onward if self.list.chosen().is_some() => self.part = step(1),
            Deed::Backward if self.list.chosen().is_some() => self.part = step(around.len() - 1),
            Deed::Back if self.part != Part::List => self.part = Part::List,
            Deed::Back => self.list.set_filter(String::new()),
            _ => match (self.part, self.plan().cloned()) {
                (Part::List, _) => {
                    self.list.go(deed, page);
                    (self.run, self.material, self.scroll) = Default::default();
                }
                (part, Some(plan)) => {
                    let (table, choice) = if part == Part::Runs { (runs(&plan), &mut self.run) } else { (materials(&plan), &mut self.material) };
                    if !table.go(choice, deed, page) {
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
        let used = head(buf, area, plan, paint);
        let body = Rect { y: area.y + used, height: area.height - used, ..area };
        let foot = u16::from(body.height >= 8);
        let rest = body.height - foot;
        let (runs, materials) = (runs(plan), materials(plan));
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
        runs.draw(buf, Rect { height: above, ..body }, self.run, self.part == Part::Runs, paint);
        let below = Rect { y: body.y + above + gap, height: room - above, ..body };
        materials.draw(buf, below, self.material, self.part == Part::Materials, paint);
        if foot > 0 {
            let (table, choice) = if self.part == Part::Materials { (&materials, self.material) } else { (&runs, self.run) };
            detail(buf, Rect { y: body.bottom() - 1, height: 1, ..body }, plan, table, choice, self.part != Part::List, paint);
        }
    }
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
