//! Dressings: the list, and beside it the fly drawn to scale over its worked card.
//!
//! ```text
//!  upwinged dry      │ Sallow Dun, revision 2              dry-standard: rule of thumb
//!    Sallow Dun      │ size 12 ‹14› 16   variant ‹as written› dark
//!  nymph             │            (the fly, and a rule in mm)
//!    Culvert Nymph   │ part   of               length mm    number    a fly takes  »
//!  ! Broken One      │ tail   blue dun cock   8.8 ±0.4 r   6 fibres s  6.6 fibres s
//! ```

use super::card_table::table;
use super::fly::Fly;
use super::told;
use super::vice::how_many::HowMany;
use crate::card::figure::View;
use crate::card::form::DONE;
use crate::card::{self, Card};
use crate::diagnostic::Diagnostic;
use crate::dressing::Dressing;
use crate::measure::Words;
use crate::tui::Desk;
use crate::tui::ink::{fit, put, put_right, row, width};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::widgets::Paint;
use crate::tui::widgets::figures::{Choice, Table};
use crate::tui::widgets::list::{Entry, List};
use crate::tui::widgets::page::{self, Scroll, Text};
use crate::tui::widgets::reason::{card_figure, reason};
use crate::tui::widgets::why::{Subject, Why};
use crate::vice::Unfit;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::collections::HashMap;
use std::rc::Rc;

fn entries(desk: &Desk) -> Vec<Entry> {
    let mut entries: Vec<Entry> = desk.dressings.iter().map(|(id, dressing)| entry(id, dressing)).collect();
    entries.extend(super::broken(desk, false));
    entries
}

type Worked = Result<Rc<Card>, Rc<Vec<Diagnostic>>>;

/// Which size and variant of a dressing is looked at; variant 0 is the dressing as written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
struct Turn {
    size: usize,
    variant: usize,
}

/// The screen's state.
pub struct Dressings {
    /// The list.
    pub list: List,
    on_card: bool,
    choice: Choice,
    scroll: Scroll,
    below: bool,
    turns: HashMap<String, Turn>,
    cards: HashMap<(String, Turn), Worked>,
}

impl Dressings {
    /// The screen over a desk.
    pub fn new(desk: &Desk) -> Self {
        Dressings {
            list: List::new(entries(desk)),
            on_card: false,
            choice: Choice { line: 2, column: 0 },
            scroll: Scroll::default(),
            below: false,
            turns: HashMap::new(),
            cards: HashMap::new(),
        }
    }

    /// Takes up more of the same bench: what was chosen and worked stays.
    pub fn take(&mut self, desk: &Desk) {
        self.list.replace(entries(desk));
    }

    /// Where the keys go.
    pub fn place(&self) -> Place {
        if self.on_card { Place::Card } else { Place::Dressings }
    }

    fn dressing<'a>(&self, desk: &'a Desk) -> Option<(&'a str, &'a Dressing)> {
        let (id, dressing) = desk.dressings.get_key_value(&self.list.chosen()?.id)?;
        Some((id, dressing))
    }

    fn turn(&self, id: &str) -> Turn {
        self.turns.get(id).copied().unwrap_or_default()
    }

    /// Works the card that is to be shown, if it has not been; it is kept.
    pub fn ensure(&mut self, desk: &Desk) {
        let Some((id, dressing)) = self.dressing(desk) else { return };
        let turn = self.turn(id);
        let key = (id.to_owned(), turn);
        if self.cards.contains_key(&key) {
            return;
        }
        let Some(size) = dressing.sizes.get(turn.size) else { return };
        let variant = turn.variant.checked_sub(1).and_then(|nth| dressing.variants.get_index(nth)).map(|(name, _)| name.as_str());
        let worked = card::work(dressing, size, variant, None, &desk.shelf);
        self.cards.insert(key, worked.map(Rc::new).map_err(Rc::new));
    }

    fn worked(&self, desk: &Desk) -> Option<&Worked> {
        let (id, _) = self.dressing(desk)?;
        self.cards.get(&(id.to_owned(), self.turn(id)))
    }

    fn card(&self, desk: &Desk) -> Option<&Rc<Card>> {
        self.worked(desk)?.as_ref().ok()
    }

    /// Whether a deed would do anything now.
    pub fn open(&self, deed: Deed, desk: &Desk) -> bool {
        let dressing = self.dressing(desk).map(|(_, dressing)| dressing);
        match deed {
            Deed::Size => dressing.is_some_and(|dressing| dressing.sizes.len() > 1),
            Deed::Variant => dressing.is_some_and(|dressing| !dressing.variants.is_empty()),
            Deed::Why | Deed::Below | Deed::Tie => self.card(desk).is_some(),
            Deed::Advice => self.card(desk).is_some_and(|card| !card.advice.is_empty()),
            Deed::Filter => !self.list.is_empty(),
            Deed::Back => self.on_card || !self.list.filter().is_empty(),
            Deed::Dressings => false,
            _ => true,
        }
    }

    /// The question before a run of what is shown; `None` where no card is shown.
    ///
    /// # Errors
    /// The dressing has no step at the vice.
    pub fn how_many(&self, desk: &Desk) -> Option<Result<HowMany, Unfit>> {
        let (_, dressing) = self.dressing(desk)?;
        Some(HowMany::new(self.card(desk)?.clone(), dressing.time.as_ref().map(|time| time.value)))
    }

    /// The derivation of the chosen figure.
    pub fn why(&self, desk: &Desk, paint: Paint<'_>) -> Option<Why> {
        let card = self.card(desk)?;
        let fig = table(card, &desk.shelf, paint.glyphs).at(self.choice)?.1.fig?;
        Some(Why::new(Subject::Card(card.clone()), fig))
    }

    /// Advice met while the card was worked.
    pub fn advice(&self, desk: &Desk) -> Vec<Text> {
        self.card(desk).map(|card| told(&card.advice)).unwrap_or_default()
    }

    /// Does what a key asks.
    pub fn go(&mut self, deed: Deed, page: usize, desk: &Desk, paint: Paint<'_>) {
        match deed {
            Deed::Onward | Deed::Backward => self.on_card = !self.on_card && self.list.chosen().is_some(),
            Deed::Back if self.on_card => self.on_card = false,
            Deed::Back => self.list.set_filter(String::new()),
            Deed::Below => self.below = !self.below,
            Deed::Size | Deed::SizeBefore | Deed::Larger | Deed::Smaller | Deed::Variant | Deed::VariantBefore => self.change(deed, desk),
            _ if !self.on_card => {
                self.list.go(deed, page);
                self.scroll = Scroll::default();
            }
            _ => match self.card(desk) {
                Some(card) => {
                    let table = table(card, &desk.shelf, paint.glyphs);
                    if !table.go(&mut self.choice, deed, page) {
                        self.on_card = false;
                    }
                }
                None if deed == Deed::Left => self.on_card = false,
                None => self.scroll.go(deed, page, self.text(desk).len()),
            },
        }
    }

    fn change(&mut self, deed: Deed, desk: &Desk) {
        let Some((id, dressing)) = self.dressing(desk) else { return };
        let mut turn = self.turn(id);
        let (sizes, variants) = (dressing.sizes.len().max(1), dressing.variants.len() + 1);
        let old = desk.shelf.charts.get(&crate::measure::words::fold(&dressing.hook.value)).is_some_and(|chart| chart.old_scale());
        let rank = |nth: usize| dressing.sizes.get(nth).map_or(0, |size| size.value.rank(old));
        let now = rank(turn.size);
        match deed {
            Deed::Size => turn.size = (turn.size + 1) % sizes,
            Deed::SizeBefore => turn.size = (turn.size + sizes - 1) % sizes,
            Deed::Larger => turn.size = (0..sizes).filter(|nth| rank(*nth) < now).max_by_key(|nth| rank(*nth)).unwrap_or(turn.size),
            Deed::Smaller => turn.size = (0..sizes).filter(|nth| rank(*nth) > now).min_by_key(|nth| rank(*nth)).unwrap_or(turn.size),
            Deed::Variant => turn.variant = (turn.variant + 1) % variants,
            _ => turn.variant = (turn.variant + variants - 1) % variants,
        }
        let id = id.to_owned();
        self.turns.insert(id, turn);
        self.scroll = Scroll::default();
    }

    /// What stands in the place of a card that cannot be shown.
    fn text(&self, desk: &Desk) -> Vec<Text> {
        if let Some(report) = self.list.chosen().and_then(|entry| super::report(desk, &entry.id)) {
            return page::report(report);
        }
        match self.worked(desk) {
            Some(Err(faults)) => {
                let mut text = vec![Text::new(page::Tone::Head, "This cannot be worked at this size:"), Text::new(page::Tone::Plain, "")];
                text.extend(told(faults));
                text
            }
            _ if self.dressing(desk).is_some() => vec![Text::new(page::Tone::Fault, "This dressing names no size.")],
            _ if self.list.is_empty() => vec![
                Text::new(page::Tone::Head, "No dressing yet."),
                Text::new(page::Tone::Plain, "Write the first one into the folder dressings of this bench: a name, a kind, a hook, sizes, silk and parts."),
            ],
            _ => Vec::new(),
        }
    }

    /// Paints the screen.
    pub fn draw(&self, buf: &mut Buffer, area: Rect, desk: &Desk, typing: bool, paint: Paint<'_>) {
        let (left, right) = super::dressings::halves(area, self.on_card);
        if left.width > 0 {
            self.list.draw(buf, left, !self.on_card, typing, paint);
        }
        if left.width > 0 && right.width > 0 {
            for y in right.top()..right.bottom() {
                put(buf, area, right.x - 2, y, paint.glyphs.upright, paint.styles.quiet);
            }
        }
        self.beside(buf, right, desk, paint);
    }

    fn beside(&self, buf: &mut Buffer, area: Rect, desk: &Desk, paint: Paint<'_>) {
        if area.is_empty() {
            return;
        }
        let styles = paint.styles;
        let Some((id, dressing)) = self.dressing(desk) else {
            page::draw(buf, area, &self.text(desk), self.scroll, paint);
            return;
        };
        let turn = self.turn(id);
        let title = row(area, 0);
        let name = format!("{}, revision {}", Words::new(&dressing.name.value), dressing.revision);
        let after = put(buf, title, title.x, title.y, &fit(&name, usize::from(title.width), paint.glyphs.cut), styles.title);
        if let Some(card) = self.card(desk) {
            let trust = [card.hook.gap, Some(card.hook.shank), Some(card.hook.wire)].into_iter().flatten().map(|fig| card.sheet.at(fig).standing).max();
            let text = format!("{}: {}", Words::new(&card.chart), trust.map_or("", |standing| standing.name()));
            if usize::from(title.right().saturating_sub(after)) > width(&text) + 1 {
                put_right(
                    buf,
                    title,
                    title.right(),
                    title.y,
                    &text,
                    if trust.is_some_and(crate::tui::widgets::figures::weak) { styles.weak } else { styles.quiet },
                );
            }
        }
        strip(buf, row(area, 1), dressing, turn, paint);
        let body = Rect { y: area.y + 2.min(area.height), height: area.height.saturating_sub(2), ..area };
        let Some(card) = self.card(desk) else {
            page::draw(buf, body, &self.text(desk), self.scroll, paint);
            return;
        };
        let table = table(card, &desk.shelf, paint.glyphs);
        let foot = u16::from(body.height >= 8);
        let rest = body.height - foot;
        // The drawing gets half, and whatever the card leaves over.
        let drawn = rest.saturating_sub(table.rows()).max(rest / 2);
        let drawing = Rect { height: drawn, ..body };
        let rows = Rect { y: body.y + drawn, height: rest - drawn, ..body };
        self.fly(buf, drawing, card, &table, desk, paint);
        table.draw(buf, rows, self.choice, self.on_card, paint);
        if foot > 0 {
            self.detail(buf, Rect { y: body.bottom() - 1, height: 1, ..body }, card, &table, paint);
        }
    }

    /// The chosen figure in a line: its key, value, tolerance, standing, and how it came about.
    fn detail(&self, buf: &mut Buffer, area: Rect, card: &Card, table: &Table, paint: Paint<'_>) {
        let Some(fig) = table.at(self.choice).and_then(|(_, cell)| cell.fig).filter(|_| self.on_card) else {
            let key = |deed, wish, what: &str| paint.look.keys.key(deed, Place::Dressings, wish).map(|key| format!("{key} {what}"));
            let hints = [key(Deed::Onward, Key::Enter, "goes on to the card's figures"), key(Deed::Tie, Key::Char('t'), "ties it")];
            let hint = hints.into_iter().flatten().collect::<Vec<_>>().join(", ");
            put(buf, area, area.x, area.y, &fit(&hint, usize::from(area.width), paint.glyphs.cut), paint.styles.quiet);
            return;
        };
        let told = reason(&card.sheet, fig, &card_figure);
        let ends = match (card.sheet.find(&format!("{}.low", told.key)), card.sheet.find(&format!("{}.high", told.key))) {
            (Some(low), Some(high)) => format!(" ({:.2} to {:.2})", card.sheet.value(low), card.sheet.value(high)),
            _ => String::new(),
        };
        let how = told.formula.as_ref().map_or(told.source.as_str(), Words::as_str);
        let text = format!("{} {}{ends}, {}: {how}", told.key, told.value, told.standing.name());
        put(buf, area, area.x, area.y, &fit(&text, usize::from(area.width), paint.glyphs.cut), paint.styles.quiet);
    }

    fn fly(&self, buf: &mut Buffer, area: Rect, card: &Card, table: &Table, desk: &Desk, paint: Paint<'_>) {
        let chosen: Vec<usize> = table.at(self.choice).and_then(|(line, _)| line.part).filter(|_| self.on_card).into_iter().collect();
        let view = if self.below { View::Below } else { View::Side };
        Fly { card, view, done: DONE, chosen: &chosen, next: &[], frame: None }.draw(buf, area, desk, paint);
        let line = row(area, 0);
        if self.below {
            put_right(buf, line, line.right(), line.y, "from below", paint.styles.quiet);
        }
        // The material is told in full where the table has to cut it.
        if let Some((chosen, _)) = table.at(self.choice).filter(|_| self.on_card && area.height >= 4) {
            let told =
                if chosen.of.as_str().is_empty() || chosen.of == chosen.name { chosen.name.to_string() } else { format!("{}: {}", chosen.name, chosen.of) };
            let text = fit(&told, usize::from(line.width / 2), paint.glyphs.cut);
            put(buf, line, line.x, line.y, &text, paint.styles.title);
        }
    }
}

/// The list at the left and the rest; on a narrow screen only the one the keys go to.
pub(super) fn halves(area: Rect, beside: bool) -> (Rect, Rect) {
    if area.width < 50 {
        let none = Rect { width: 0, ..area };
        return if beside { (none, area) } else { (area, none) };
    }
    let list = (area.width / 5).clamp(16, 30);
    (Rect { width: list, ..area }, Rect { x: area.x + list + 2, width: area.width - list - 2, ..area })
}

fn entry(id: &str, dressing: &Dressing) -> Entry {
    let of = dressing.parts.iter().filter_map(|part| part.fields.of.as_ref()).map(|of| of.value.as_str());
    let silks = dressing.silks.iter().map(|silk| silk.of.value.as_str());
    let also = of.chain(silks).collect::<Vec<_>>().join(" ").to_lowercase();
    Entry { id: id.to_owned(), name: Words::new(&dressing.name.value), group: Words::new(&dressing.kind.value), also, broken: false }
}

/// The sizes and variants, the one looked at among them marked.
fn strip(buf: &mut Buffer, area: Rect, dressing: &Dressing, turn: Turn, paint: Paint<'_>) {
    let styles = paint.styles;
    let mut x = area.x;
    let mut group = |head: &str, names: Vec<String>, chosen: usize| {
        x = put(buf, area, x, area.y, head, styles.quiet);
        // The chosen one is seen even where not all fit.
        let room = usize::from(area.right().saturating_sub(x)) * 3 / 4;
        let upto = names.iter().take(chosen + 1).map(|name| width(name) + 3).sum::<usize>();
        let first = if upto > room { chosen.saturating_sub(1) } else { 0 };
        if first > 0 {
            x = put(buf, area, x, area.y, &format!(" {}", paint.glyphs.cut), styles.quiet);
        }
        for (nth, name) in names.iter().enumerate().skip(first) {
            let text = if nth == chosen { format!(" {}{name}{}", paint.glyphs.open, paint.glyphs.close) } else { format!(" {name}") };
            x = put(buf, area, x, area.y, &text, if nth == chosen { styles.title } else { styles.plain });
        }
        x = put(buf, area, x, area.y, "   ", styles.plain);
    };
    group("size", dressing.sizes.iter().map(|size| Words::new(size.value.text()).to_string()).collect(), turn.size);
    if !dressing.variants.is_empty() {
        let own = dressing.variants.values().map(|variant| Words::new(&variant.name.value).to_string());
        group("variant", ["as written".to_owned()].into_iter().chain(own).collect(), turn.variant);
    }
}
