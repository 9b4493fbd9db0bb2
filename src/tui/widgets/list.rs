//! A list by groups with a filter that narrows it letter by letter.

use super::Paint;
use crate::measure::Words;
use crate::tui::ink::{fill, first_shown, fit, put, row};
use crate::tui::keys::Deed;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// One entry.
#[derive(Clone, Debug)]
pub struct Entry {
    /// What it is known by outside the list.
    pub id: String,
    /// Its name.
    pub name: Words,
    /// The group it stands under.
    pub group: Words,
    /// More words the filter looks at, in lower case.
    pub also: String,
    /// It cannot be used.
    pub broken: bool,
}

/// The list, which entry is chosen, and the filter.
#[derive(Clone, Debug, Default)]
pub struct List {
    entries: Vec<Entry>,
    chosen: usize,
    filter: String,
}

impl List {
    /// A list; entries of one group are brought together where the first of them stands, the rest keeps its order.
    pub fn new(entries: Vec<Entry>) -> Self {
        let mut groups: Vec<Words> = Vec::new();
        for entry in &entries {
            if !groups.contains(&entry.group) {
                groups.push(entry.group.clone());
            }
        }
        let mut sorted = entries;
        sorted.sort_by_key(|entry| groups.iter().position(|group| *group == entry.group));
        List { entries: sorted, chosen: 0, filter: String::new() }
    }

    /// Puts other entries in; the filter stays, and what was chosen stays chosen where it is among them.
    pub fn replace(&mut self, entries: Vec<Entry>) {
        let chosen = self.entries.get(self.chosen).map(|entry| entry.id.clone());
        let filter = std::mem::take(&mut self.filter);
        *self = List::new(entries);
        self.chosen = chosen.and_then(|id| self.entries.iter().position(|entry| entry.id == id)).unwrap_or(0);
        self.set_filter(filter);
    }

    /// The chosen entry, if any is to be seen.
    pub fn chosen(&self) -> Option<&Entry> {
        self.entries.get(self.chosen).filter(|_| self.filter.is_empty() || self.shown().contains(&self.chosen))
    }

    /// All there are.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The filter as typed.
    pub fn filter(&self) -> &str {
        &self.filter
    }

    /// What the filter leaves: entries with every word of it in their name or group; where there are none, those with
    /// every word there or among their further words.
    pub(crate) fn shown(&self) -> Vec<usize> {
        let filter = self.filter.to_lowercase();
        let fitting = |further: bool| -> Vec<usize> {
            let fits = |entry: &Entry| {
                let also = if further { entry.also.as_str() } else { "" };
                let all = format!("{} {} {also}", entry.name.as_str().to_lowercase(), entry.group.as_str().to_lowercase());
                filter.split_whitespace().all(|word| all.contains(word))
            };
            self.entries.iter().enumerate().filter(|(_, entry)| fits(entry)).map(|(nth, _)| nth).collect()
        };
        let named = fitting(false);
        if named.is_empty() { fitting(true) } else { named }
    }

    /// Sets the filter; what was chosen stays chosen where it still fits, else the first that does.
    pub fn set_filter(&mut self, filter: String) {
        self.filter = filter;
        let shown = self.shown();
        if !shown.contains(&self.chosen) {
            self.chosen = shown.first().copied().unwrap_or(self.chosen);
        }
    }

    /// Types into the filter.
    pub fn type_in(&mut self, text: &str) {
        const LONGEST: usize = 80;
        let room = LONGEST.saturating_sub(self.filter.chars().count());
        let clean: String = Words::new(text).as_str().chars().take(room).collect();
        self.set_filter(format!("{}{clean}", self.filter));
    }

    /// Rubs the filter's last letter out.
    pub fn rub(&mut self) {
        let mut filter = self.filter.clone();
        filter.pop();
        self.set_filter(filter);
    }

    /// Goes up or down; `page` is what a page holds.
    pub fn go(&mut self, deed: Deed, page: usize) {
        let shown = self.shown();
        let at = shown.iter().position(|nth| *nth == self.chosen).unwrap_or(0);
        let last = shown.len().saturating_sub(1);
        let to = match deed {
            Deed::Up => at.saturating_sub(1),
            Deed::Down => at + 1,
            Deed::PageUp => at.saturating_sub(page),
            Deed::PageDown => at + page,
            Deed::First => 0,
            Deed::Last => last,
            _ => at,
        };
        if let Some(nth) = shown.get(to.min(last)) {
            self.chosen = *nth;
        }
    }

    /// Paints the list; `active`: the keys go here; `typing`: into the filter.
    pub fn draw(&self, buf: &mut Buffer, area: Rect, active: bool, typing: bool, paint: Paint<'_>) {
        let styles = paint.styles;
        fill(buf, area, styles.plain);
        let mut area = area;
        if typing || !self.filter.is_empty() {
            let line = row(area, 0);
            let style = if typing { styles.title } else { styles.quiet };
            let after = put(buf, line, line.x, line.y, "/", style);
            // The end of a long filter is what is being typed.
            let room = usize::from(line.width).saturating_sub(2);
            let from = self.filter.chars().count().saturating_sub(room);
            let after = put(buf, line, after, line.y, &self.filter.chars().skip(from).collect::<String>(), style);
            if typing {
                put(buf, line, after, line.y, " ", styles.chosen);
            }
            area = Rect { y: area.y + line.height, height: area.height - line.height, ..area };
        }
        let shown = self.shown();
        if shown.is_empty() {
            let text = if self.entries.is_empty() { "nothing here yet" } else { "nothing fits" };
            put(buf, area, area.x, area.y, text, styles.quiet);
            return;
        }
        // Rows: a heading where the group changes, then its entries.
        let mut rows: Vec<Result<usize, &Words>> = Vec::new();
        let mut group = None;
        for nth in &shown {
            let Some(entry) = self.entries.get(*nth) else { continue };
            if group != Some(&entry.group) {
                group = Some(&entry.group);
                if !entry.group.as_str().is_empty() {
                    rows.push(Err(&entry.group));
                }
            }
            rows.push(Ok(*nth));
        }
        let at = rows.iter().position(|shown| *shown == Ok(self.chosen)).unwrap_or(0);
        let first = first_shown(at, rows.len(), usize::from(area.height));
        for (nth, shown) in rows.iter().skip(first).take(usize::from(area.height)).enumerate() {
            let line = row(area, nth as u16);
            let columns = usize::from(line.width);
            match shown {
                Err(group) => {
                    put(buf, line, line.x, line.y, &fit(group.as_str(), columns, paint.glyphs.cut), styles.quiet);
                }
                Ok(nth) => {
                    let Some(entry) = self.entries.get(*nth) else { continue };
                    let chosen = *nth == self.chosen;
                    let style = match (chosen, active) {
                        (true, true) => styles.chosen,
                        (true, false) => styles.kept,
                        _ if entry.broken => styles.fault,
                        _ => styles.plain,
                    };
                    let sign = if entry.broken { "!" } else { " " };
                    let text = fit(&format!("{sign}{}", entry.name), columns, paint.glyphs.cut);
                    if chosen {
                        buf.set_style(line.intersection(buf.area), style);
                    }
                    put(buf, line, line.x, line.y, &text, style);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list() -> List {
        let entry = |name: &str, group: &str| Entry {
            id: name.to_owned(),
            name: Words::new(name),
            group: Words::new(group),
            also: if name == "Reed Smut" { "gold wire, fine".to_owned() } else { String::new() },
            broken: false,
        };
        List::new(vec![entry("Sallow Dun", "dry"), entry("Culvert Nymph", "nymph"), entry("Reed Smut", "dry")])
    }

    #[test]
    fn words_in_any_order_and_any_case_find_an_entry() {
        let mut list = list();
        list.type_in("DRY sal");
        assert_eq!(list.shown().len(), 1);
        list.set_filter("WIRE gold".to_owned());
        assert_eq!(list.chosen().map(|entry| entry.name.as_str()), Some("Reed Smut"));
        list.set_filter("zebra".to_owned());
        assert!(list.chosen().is_none());
        list.set_filter(String::new());
        assert_eq!(list.shown().len(), 3);
    }

    #[test]
    fn groups_stand_together_and_the_ends_hold() {
        let mut list = list();
        list.go(Deed::Down, 5);
        assert_eq!(list.chosen().map(|entry| entry.name.as_str()), Some("Reed Smut"));
        list.go(Deed::PageDown, 50);
        list.go(Deed::Down, 5);
        assert_eq!(list.chosen().map(|entry| entry.name.as_str()), Some("Culvert Nymph"));
    }
}
