//! The worked card as a table: hook and silk, then a row a part, then coats; lengths, numbers, amounts, places.

use crate::card::{Card, WorkedPart};
use crate::dressing::{HookShape, Shelf, Way};
use crate::measure::{Lengths, Unit, Words};
use crate::paper::card::materials_of;
use crate::tui::ink::Glyphs;
use crate::tui::widgets::figures::{Cell, Column, Line, Table};
use crate::tui::widgets::reason::significant;
use crate::why::Fig;

const COLUMNS: &[Column] = &[
    Column { head: "length mm", least: 11 },
    Column { head: "number", least: 12 },
    Column { head: "a fly takes", least: 15 },
    Column { head: "from mm", least: 8 },
    Column { head: "to mm", least: 8 },
    Column { head: "thick mm", least: 9 },
    Column { head: "thick at end", least: 12 },
];

/// The table of a card.
pub fn table(card: &Card, shelf: &Shelf, glyphs: &Glyphs) -> Table {
    let teller = Teller { card, shelf, glyphs };
    let mut lines = vec![teller.hook(), teller.silk()];
    lines.extend(card.parts.iter().enumerate().map(|(nth, part)| teller.part(nth, part)));
    let known = |name: &str| name == "hook" || name == "silk" || card.parts.iter().any(|part| part.name == name);
    for need in card.needs.iter().filter(|need| !known(&need.part)) {
        let mut cells = vec![Cell::default(); COLUMNS.len()];
        teller.set(&mut cells, 2, Some(need.amount), |_, text| text);
        lines.push(Line { name: Words::new(&need.part), of: teller.material(&need.material), cells, part: None });
    }
    lines.push(teller.bare_hook());
    Table { heads: ["part", "of"], columns: columns(card.shown.lengths), name: 9, lines, totals: false }
}

/// The columns, with the unit of lengths in their heads.
fn columns(lengths: Lengths) -> Vec<Column> {
    const IN_INCHES: &[(&str, &str)] = &[("length mm", "length in"), ("from mm", "from in"), ("to mm", "to in"), ("thick mm", "thick in")];
    let mut columns = COLUMNS.to_vec();
    if lengths == Lengths::Inches {
        for column in &mut columns {
            // Three decimals need more room than one.
            if let Some((_, head)) = IN_INCHES.iter().find(|(mm, _)| *mm == column.head) {
                (column.head, column.least) = (head, column.least + 2);
            }
        }
    }
    columns
}

struct Teller<'a> {
    card: &'a Card,
    shelf: &'a Shelf,
    glyphs: &'a Glyphs,
}

impl Teller<'_> {
    /// Sets a cell to a figure; `say` makes its text of the plain figure.
    fn set(&self, cells: &mut [Cell], column: usize, fig: Option<Fig>, say: impl FnOnce(Fig, String) -> String) {
        if let (Some(fig), Some(cell)) = (fig, cells.get_mut(column)) {
            let text = say(fig, self.figure(fig));
            *cell = Cell { text, fig: Some(fig), standing: Some(self.card.sheet.at(fig).standing) };
        }
    }

    fn figure(&self, fig: Fig) -> String {
        let row = self.card.sheet.at(fig);
        match row.unit {
            Unit::Mm if self.card.shown.lengths == Lengths::Inches => self.card.shown.lengths.plain(row.value, 3),
            Unit::Mm => mm(row.value),
            Unit::One => significant(row.value, 3),
            Unit::Feather => format!("{} {}", self.card.shown.numbers.text(&significant(row.value, 2)), Unit::Feather.name()),
            unit => format!("{} {}", self.card.shown.numbers.text(&significant(row.value, 3)), unit.name()),
        }
    }

    /// A length with its tolerance, where that is reckoned.
    fn length(&self, fig: Fig, text: String) -> String {
        let sheet = &self.card.sheet;
        let key = sheet.key(fig);
        match (sheet.find(&format!("{key}.low")), sheet.find(&format!("{key}.high"))) {
            (Some(low), Some(high)) => {
                let within = (sheet.value(high) - sheet.value(low)) / 2.0;
                let lengths = self.card.shown.lengths;
                let within = if lengths == Lengths::Inches { lengths.plain(within, 3) } else { tenths(within) };
                format!("{text} {}{within}", self.glyphs.within)
            }
            _ => text,
        }
    }

    fn material(&self, name: &str) -> Words {
        Words::new(self.shelf.materials.get(name).map_or(name, |material| material.name.value.as_str()))
    }

    fn hook(&self) -> Line {
        let mut cells = vec![Cell::default(); COLUMNS.len()];
        let hook = &self.card.hook;
        let wire = if hook.shape == HookShape::Tube { "outside" } else { "wire" };
        for (column, fig, word) in [(0, Some(hook.shank), "shank"), (1, hook.gap, "gap"), (2, Some(hook.wire), wire)] {
            self.set(&mut cells, column, fig, |_, text| format!("{word} {text}"));
        }
        Line { name: Words::new("hook"), of: Words::new(&format!("{} {}", self.card.chart, self.card.size)), cells, part: None }
    }

    /// What else there is of the hook.
    fn bare_hook(&self) -> Line {
        let mut cells = vec![Cell::default(); COLUMNS.len()];
        let hook = &self.card.hook;
        let figures = [
            (0, Some(hook.eye), if hook.shape == HookShape::Tube { "head" } else { "eye" }),
            (1, hook.barb, "barb"),
            (2, Some(hook.mass), "mass"),
            (3, hook.point, "point"),
            (4, Some(hook.bend), if hook.shape.has_bend() { "bend" } else { "end" }),
            (5, Some(hook.overall), "overall"),
        ];
        for (column, fig, word) in figures {
            self.set(&mut cells, column, fig, |_, text| format!("{word} {text}"));
        }
        Line { name: Words::new("bare hook"), of: Words::default(), cells, part: None }
    }

    fn silk(&self) -> Line {
        let mut cells = vec![Cell::default(); COLUMNS.len()];
        let need = self.card.needs.iter().find(|need| need.part == "silk");
        self.set(&mut cells, 2, need.map(|need| need.amount), |_, text| text);
        Line { name: Words::new("silk"), of: self.material(&self.card.silk), cells, part: None }
    }

    fn part(&self, nth: usize, part: &WorkedPart) -> Line {
        let mut cells = vec![Cell::default(); COLUMNS.len()];
        match (part.length, part.fibre) {
            (Some(length), _) => self.set(&mut cells, 0, Some(length), |fig, text| self.length(fig, text)),
            (None, fibre) => self.set(&mut cells, 0, fibre, |fig, text| self.length(fig, text)),
        }
        let word = |word: &str, text: String| if text == "1" { format!("1 {}", word.trim_end_matches('s')) } else { format!("{text} {word}") };
        match (part.turns, part.count) {
            (Some(turns), _) => self.set(&mut cells, 1, Some(turns), |_, text| word("turns", text)),
            (None, count) => self.set(&mut cells, 1, count, |fig, text| match part.way {
                // Nobody counts a part of a fibre.
                Way::Bunch => word("fibres", if text.contains('.') { format!("{:.0}", self.card.sheet.value(fig)) } else { text }),
                Way::Slip => word("slips", text),
                _ => text,
            }),
        }
        self.set(&mut cells, 2, part.amount, |_, text| text);
        let (from, to) = part.span.map_or((part.tied_in, None), |(from, to)| (Some(from), Some(to)));
        self.set(&mut cells, 3, from, |_, text| text);
        self.set(&mut cells, 4, to, |_, text| text);
        let thick = part.thick.or_else(|| part.strand_thick.map(|thick| (thick, thick)));
        self.set(&mut cells, 5, thick.map(|(start, _)| start), |_, text| text);
        self.set(&mut cells, 6, thick.filter(|(start, end)| start != end).map(|(_, end)| end), |_, text| text);
        Line { name: Words::new(&part.name), of: Words::new(&materials_of(part, self.shelf)), cells, part: Some(nth) }
    }
}

/// A tolerance to a tenth of a mm; finer only where there is nothing before it.
fn tenths(value: f64) -> String {
    if value >= 0.1 { format!("{value:.1}") } else { significant(value, 1) }
}

/// Millimetres as dividers are set: to a tenth, to a hundredth under 2 mm.
pub fn mm(value: f64) -> String {
    if value.abs() < 2.0 { format!("{value:.2}") } else { format!("{value:.1}") }
}
