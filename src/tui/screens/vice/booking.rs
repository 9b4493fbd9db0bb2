//! What the run took of each material: as reckoned, unless it was counted, or weighed before and after.
//!
//! Figures typed go to the material chosen and stay there, also when another is chosen, until they are taken or rubbed
//! out. The run is not booked while some are typed and not taken.

use super::forms::{Figure, amount, below, flies, foot, has_figure, head, key, rows_of, with_unit};
use crate::tui::ink::{fill, fit, put, put_right, row, width};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::widgets::Paint;
use crate::vice::{Begun, Did, How, Run, Taken, Unweighed};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// What is typed of a material.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Entry {
    /// What was really used, in the material's unit.
    Counted(Figure),
    /// Its weight in grams: before the run and, once that is taken, after it.
    Weighed { before: Figure, after: Option<Figure> },
}

impl Entry {
    fn is_empty(&self) -> bool {
        match self {
            Entry::Counted(figure) => figure.is_empty(),
            Entry::Weighed { before, after } => before.is_empty() && after.is_none(),
        }
    }

    /// Where the next figure goes.
    fn last(&mut self) -> &mut Figure {
        match self {
            Entry::Counted(figure) | Entry::Weighed { after: Some(figure), .. } | Entry::Weighed { before: figure, after: None } => figure,
        }
    }
}

/// The form.
#[derive(Clone, Debug, Default)]
pub struct Booking {
    chosen: usize,
    entries: BTreeMap<usize, Entry>,
    said: Option<String>,
}

impl Booking {
    /// Nothing is told yet but what the run itself was told.
    pub fn new(_: &Run) -> Self {
        Booking::default()
    }

    /// Takes the answer that something is booked: what was typed for it is done with, and the next material is chosen.
    pub fn booked(&mut self, did: &Did, run: &Run) {
        if let Did::Used { nth, .. } = did {
            self.entries.remove(&(*nth as usize));
            self.chosen = (*nth as usize + 1).min(run.begun().materials.len().saturating_sub(1));
        }
    }

    /// Does what a key asks; gives what is to be booked.
    pub fn go(&mut self, deed: Deed, run: &Run) -> Option<Did> {
        self.said = None;
        let last = run.begun().materials.len().saturating_sub(1);
        match deed {
            Deed::Up => self.chosen = self.chosen.saturating_sub(1),
            Deed::Down => self.chosen = (self.chosen + 1).min(last),
            Deed::Turn => self.turn(run),
            Deed::Rub => self.rub(),
            Deed::GoOn | Deed::Take => return self.on(run),
            _ => {}
        }
        None
    }

    /// Types into the material chosen; what is no part of a number is passed over.
    pub fn type_in(&mut self, text: &str, run: &Run) {
        if has_figure(text) && self.chosen < run.begun().materials.len() {
            self.said = None;
            self.entries.entry(self.chosen).or_insert_with(|| Entry::Counted(Figure::default())).last().type_in(text);
        }
    }

    /// Whether something is typed for the material chosen, so that there is something to rub out.
    pub fn typing(&self) -> bool {
        self.entries.contains_key(&self.chosen)
    }

    /// By counting or by weighing.
    fn turn(&mut self, run: &Run) {
        let Some(taken) = run.taken_of(self.chosen) else { return };
        match self.entries.get(&self.chosen) {
            Some(Entry::Weighed { .. }) => {
                self.entries.insert(self.chosen, Entry::Counted(Figure::default()));
            }
            Some(counted) if !counted.is_empty() => {
                self.said = Some("A number is typed: it is to be taken or rubbed out first.".to_owned());
            }
            _ if taken.material.weighs().is_none() => self.said = Some(no_grams(&taken)),
            _ => {
                self.entries.insert(self.chosen, Entry::Weighed { before: Figure::default(), after: None });
            }
        }
    }

    fn rub(&mut self) {
        match self.entries.get_mut(&self.chosen) {
            Some(Entry::Weighed { after, .. }) if after.as_ref().is_some_and(Figure::is_empty) => *after = None,
            Some(entry) if entry.is_empty() => {
                self.entries.remove(&self.chosen);
            }
            Some(entry) => entry.last().rub(),
            None => {}
        }
    }

    /// Takes what is typed for the material chosen, else books the run.
    fn on(&mut self, run: &Run) -> Option<Did> {
        self.entries.retain(|nth, entry| *nth == self.chosen && matches!(entry, Entry::Weighed { .. }) || !entry.is_empty());
        let Some(entry) = self.entries.get_mut(&self.chosen) else {
            let Some((nth, name)) = self.entries.keys().find_map(|nth| Some((*nth, &run.begun().materials.get(*nth)?.name))) else {
                return Some(Did::On);
            };
            self.said = Some(format!("For {name} something is typed that is neither taken nor rubbed out."));
            self.chosen = nth;
            return None;
        };
        let taken = run.taken_of(self.chosen)?;
        let nth = u32::try_from(self.chosen).ok()?;
        let no_number = |typed: &str| Some(format!("\"{typed}\" is no number; 12 or 0.35 would be right."));
        match entry {
            Entry::Counted(figure) => {
                let Some(amount) = figure.value() else {
                    self.said = no_number(figure.text());
                    return None;
                };
                Some(Did::Used { nth, amount, how: How::Counted })
            }
            Entry::Weighed { before, after } => {
                if before.is_empty() {
                    self.said = Some("What did it weigh before the run, in grams?".to_owned());
                    return None;
                }
                let Some(grams) = before.value() else {
                    self.said = no_number(before.text());
                    return None;
                };
                let Some(figure) = after else {
                    *after = Some(Figure::default());
                    return None;
                };
                if figure.is_empty() {
                    self.said = Some("What does it weigh after the run, in grams?".to_owned());
                    return None;
                }
                let Some(then) = figure.value() else {
                    self.said = no_number(figure.text());
                    return None;
                };
                match taken.material.weighed(grams, then) {
                    Ok(amount) => Some(Did::Used { nth, amount, how: How::Weighed { before: grams, after: then } }),
                    Err(Unweighed::Gained) => {
                        let (before, after) = (before.text(), figure.text());
                        self.said = Some(format!("{after} g after is more than {before} g before: one of them is to be rubbed out and typed anew."));
                        None
                    }
                    Err(Unweighed::NoGrams) => {
                        self.said = Some(no_grams(&taken));
                        None
                    }
                    Err(why @ Unweighed::TooLarge) => {
                        self.said = Some(format!("With these weights {why}."));
                        None
                    }
                }
            }
        }
    }

    /// Paints the form.
    pub fn draw(&self, run: &Run, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let styles = paint.styles;
        fill(buf, area, styles.plain);
        let counts = run.counts();
        let mut right = format!("{} begun", flies(counts.started));
        let taken = run.taken();
        let bad = taken.iter().fold(0u32, |sum, taken| sum.saturating_add(taken.reckoned.bad));
        for (count, what) in [(counts.stripped, "stripped"), (bad, if bad == 1 { "bad hook" } else { "bad hooks" })] {
            if count > 0 {
                right.push_str(&format!("{}{count} {what}", paint.glyphs.dot));
            }
        }
        let key = |deed, wish| key(paint, deed, Place::Booking, wish);
        let (take, on) = (key(Deed::Take, Key::Enter), key(Deed::GoOn, Key::Char(' ')));
        let meant = format!("As reckoned, unless told here: figures and {take}, or {} and the two weights.", key(Deed::Turn, Key::Tab));
        let body = head(buf, area, "Booking out", &right, &meant, paint);
        let mut said = Vec::new();
        // Where there is room, what each amount comes from stands beneath it, else that of the chosen one below them all.
        let pitch = if 2 * taken.len() + 5 <= usize::from(body.height) { 2 } else { 1 };
        let typing = self.entries.get(&self.chosen).is_some_and(|entry| *entry != Entry::Counted(Figure::default()));
        if let Some(chosen) = taken.get(self.chosen).filter(|_| pitch == 1 || typing) {
            said.push((self.told(chosen), styles.plain));
            said.extend(self.far(chosen).map(|line| (line, styles.weak)));
        }
        match &self.said {
            Some(line) => said.push((line.clone(), styles.fault)),
            None if self.entries.values().all(Entry::is_empty) => {
                let told = taken.iter().filter(|taken| taken.told.is_some()).count();
                let line = match (taken.len(), told) {
                    (0, _) => format!("No material is booked for this run. {on}: the run is done."),
                    (_, 0) => format!("{on}: all is booked as reckoned, and the run is done."),
                    (all, told) if all == told => format!("{on}: all is booked as told, and the run is done."),
                    (_, told) => format!("{on}: {told} as told, the others as reckoned, and the run is done."),
                };
                said.push((line, styles.title));
            }
            None => said.push((format!("{take} takes what is typed."), styles.title)),
        }
        let body = foot(buf, body, &said);
        self.table(&taken, pitch, buf, body, paint);
    }

    fn table(&self, taken: &[Taken<'_>], pitch: u16, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let (styles, cut) = (paint.styles, paint.glyphs.cut);
        let shown: Vec<[String; 2]> = taken
            .iter()
            .map(|one| {
                let unit = one.material.unit.as_str();
                let used = one.told.map_or_else(String::new, |(used, _)| with_unit(&amount(used), unit));
                [with_unit(&amount(one.reckoned.amount), unit), used]
            })
            .collect();
        let widest =
            |nth: usize, least: usize| shown.iter().filter_map(|row| row.get(nth)).map(|text| width(text)).max().unwrap_or(0).max(least).min(20) as u16;
        // On a narrow screen one column has both: what was really used, else what was reckoned.
        let narrow = area.width < 60;
        let (by, used, reckoned) = (9, widest(1, if narrow { 10 } else { 14 }), if narrow { 0 } else { widest(0, 8) });
        let name = area.width.saturating_sub(by + used + reckoned + 7).min(60);
        let reckoned_end = area.x + name + 2 + reckoned;
        let used_end = reckoned_end + 2 + used;
        let heading = row(area, 0);
        put(buf, heading, heading.x + 1, heading.y, &fit("material", usize::from(name), cut), styles.quiet);
        if !narrow {
            put_right(buf, heading, reckoned_end, heading.y, "reckoned", styles.quiet);
        }
        put_right(buf, heading, used_end, heading.y, if narrow { "amount" } else { "really used" }, styles.quiet);
        put(buf, heading, used_end + 2, heading.y, "by", styles.quiet);
        for (nth, place) in rows_of(below(area, 1), self.chosen, taken.len(), pitch) {
            let (Some(one), Some([by_card, told])) = (taken.get(nth), shown.get(nth)) else { continue };
            let chosen = nth == self.chosen;
            let style = if chosen {
                styles.chosen
            } else if one.told.is_some() {
                styles.title
            } else {
                styles.plain
            };
            if chosen {
                fill(buf, place, style);
            }
            put(buf, place, place.x + 1, place.y, &fit(one.material.name.as_str(), usize::from(name), cut), style);
            if !narrow {
                put_right(buf, place, reckoned_end, place.y, by_card, if one.told.is_some() && !chosen { styles.quiet } else { style });
            }
            let (text, by) = match self.entries.get(&nth) {
                Some(Entry::Counted(figure)) if !figure.is_empty() => {
                    let unit = one.material.unit.as_str();
                    (format!("{}{}{}", paint.glyphs.open, with_unit(&format!("{}_", figure.text()), unit), paint.glyphs.close), "typed")
                }
                Some(Entry::Weighed { before, after }) => {
                    let after = after.as_ref().map_or(String::new(), |after| format!(" - {}", after.text()));
                    (format!("{}{}{after}_ g{}", paint.glyphs.open, before.text(), paint.glyphs.close), "typed")
                }
                _ => (if narrow && one.told.is_none() { by_card.clone() } else { told.clone() }, one.by()),
            };
            put_right(buf, place, used_end, place.y, &fit(&text, usize::from(used) + 1, cut), style);
            put(buf, place, used_end + 2, place.y, by, style);
            if pitch > 1 {
                let beneath = Rect { y: place.y + 1, ..place };
                let text = fit(&how(one), usize::from(place.width).saturating_sub(4), cut);
                put(buf, beneath.intersection(area), place.x + 3, beneath.y, &text, styles.quiet);
            }
        }
    }

    /// A word of doubt where what is typed is far from what was reckoned: grams typed for metres, a point forgotten.
    fn far(&self, taken: &Taken<'_>) -> Option<String> {
        let used = match self.entries.get(&self.chosen)? {
            Entry::Counted(figure) => figure.value()?,
            Entry::Weighed { before, after } => taken.material.weighed(before.value()?, after.as_ref()?.value()?).ok()?,
        };
        let by_card = taken.reckoned.amount;
        let far = used > by_card.checked_mul(FAR)? || used.checked_mul(FAR)? < by_card;
        let unit = taken.material.unit.as_str();
        far.then(|| format!("That is {}, far from the {} reckoned: look once more.", with_unit(&amount(used), unit), with_unit(&amount(by_card), unit)))
    }

    /// The material chosen, in full: what its amount was reckoned from, or what is being typed.
    fn told(&self, taken: &Taken<'_>) -> String {
        let unit = taken.material.unit.as_str();
        match self.entries.get(&self.chosen) {
            Some(Entry::Counted(figure)) if !figure.is_empty() => format!("{} of {}: really used", with_unit(figure.text(), unit), taken.material.name),
            Some(Entry::Weighed { before, after: None }) => format!("{} weighed before the run: {} g", taken.material.name, blank(before)),
            Some(Entry::Weighed { before, after: Some(after) }) => {
                format!("{} weighed before the run: {} g, after it: {} g", taken.material.name, before.text(), blank(after))
            }
            _ => format!("{}: {}", taken.material.name, how(taken)),
        }
    }
}

/// What is typed is doubted, not refused, from so many times what was reckoned, or so small a part of it: our own mark.
const FAR: Decimal = Decimal::from_parts(3, 0, 0, false, 0);

/// What is typed, or where it will stand.
fn blank(figure: &Figure) -> &str {
    if figure.is_empty() { "__" } else { figure.text() }
}

/// What an amount was reckoned from, or how it is known.
fn how(taken: &Taken<'_>) -> String {
    let reckoned = &taken.reckoned;
    let unit = taken.material.unit.as_str();
    let begun = match reckoned.back {
        0 => format!("{} begun", reckoned.begun),
        back => format!("({} begun - {back} stripped)", reckoned.begun),
    };
    let bad = if reckoned.bad > 0 { format!(" + {} bad", reckoned.bad) } else { String::new() };
    let by_card = format!("{} a fly x {begun}{bad} = {}", with_unit(&amount(reckoned.a_fly), unit), with_unit(&amount(reckoned.amount), unit));
    match taken.told {
        None => by_card,
        Some((used, How::Counted)) => format!("{} counted; by the card {by_card}", with_unit(&used.normalize().to_string(), unit)),
        Some((used, How::Weighed { before, after })) => format!("{before} g - {after} g: {}; by the card {by_card}", with_unit(&amount(used), unit)),
    }
}

/// What is missing for weighing.
fn no_grams(taken: &Taken<'_>) -> String {
    let material = taken.material;
    if Begun::is_length(material) {
        format!("What a metre of {} weighs is not known: `tex:`, or `width:` and `density:`, of it in materials.yaml would tell. Count it here.", material.name)
    } else {
        format!("{} is not told by weight: count it here.", material.name)
    }
}
