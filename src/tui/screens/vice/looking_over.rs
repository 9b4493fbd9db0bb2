//! A tray judged beside the sample: how many fail, why, and what becomes of them; the others pass.
//!
//! ```text
//!  fails for             how many   what becomes of them
//!  proportions                  1   second                  ██████   ██████
//!  proportions                  1   stripped                ██  ██   ██  ██
//!  hackle                       .   second                  ██████   ██  ██ ...
//!  left for another time        4                           pass     fail
//! ```
//!
//! What is entered is booked in one event and not before the big key is pressed; what could not be booked stands.

use super::forms::{below, flies, foot, head, key, large, rows};
use crate::measure::Words;
use crate::tui::ink::{fill, fit, put, put_right, row};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::letters::{LARGE, large_width};
use crate::tui::widgets::Paint;
use crate::vice::{Bad, Counts, Did, Fate, Run};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

/// What a fly fails for, and what mostly becomes of it. The fates are our own: what only wants a touch is mended, what
/// is sound but unlike the sample is a second, and a hook that is not sound goes to nobody.
const REASONS: &[(&str, Fate)] = &[
    ("proportions", Fate::Second),
    ("hackle", Fate::Second),
    ("wing", Fate::Second),
    ("body or rib", Fate::Second),
    ("loose or slipping", Fate::Mended),
    ("eye or head crowded", Fate::Mended),
    ("hook", Fate::Lost),
    ("other", Fate::Second),
];

/// A row: flies that fail for one reason and end alike.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Entry {
    /// Which reason, by its place in the list.
    why: usize,
    fate: Fate,
    flies: u32,
}

/// What is entered.
#[derive(Clone, Debug)]
pub struct LookingOver {
    entries: Vec<Entry>,
    left: u32,
    /// The row chosen; the one after the entries is what is left for another time.
    chosen: usize,
    /// The first figure typed takes the place of the number that stands there.
    fresh: bool,
    said: Option<String>,
}

impl LookingOver {
    /// Nothing fails yet.
    pub fn new(_: &Run) -> Self {
        let entries = REASONS.iter().enumerate().map(|(why, (_, fate))| Entry { why, fate: *fate, flies: 0 }).collect();
        LookingOver { entries, left: 0, chosen: 0, fresh: true, said: None }
    }

    /// Takes the answer that something is booked: only then is what was entered gone.
    pub fn booked(&mut self, did: &Did, run: &Run) {
        if matches!(did, Did::LookedOver { .. }) {
            *self = LookingOver::new(run);
        }
    }

    /// Does what a key asks; gives what is to be booked.
    pub fn go(&mut self, deed: Deed, run: &Run) -> Option<Did> {
        self.said = None;
        let (number, fresh) = (self.number(), self.fresh);
        self.fresh = true;
        match deed {
            Deed::Up => self.step(false, run),
            Deed::Down => self.step(true, run),
            Deed::More => self.set(number.saturating_add(1), run),
            Deed::Fewer => self.set(number.saturating_sub(1), run),
            Deed::Rub => {
                self.fresh = fresh;
                self.set(number / 10, run);
            }
            Deed::Turn => self.turn(),
            Deed::GoOn | Deed::Take => {
                // Whatever changed under it: more than there are is never booked.
                let most = most(&run.counts());
                if self.left > run.counts().waiting || self.fails().saturating_add(self.left) > most {
                    self.said = Some(format!("There are only {most} in all."));
                    return None;
                }
                let bad = self.entries.iter().filter(|entry| entry.flies > 0);
                let bad = bad.map(|entry| Bad { why: Words::new(reason(entry.why)), fate: entry.fate, flies: entry.flies });
                return Some(Did::LookedOver { bad: bad.collect(), left: self.left });
            }
            _ => self.fresh = fresh,
        }
        None
    }

    /// Types a number into the row chosen; what is no figure is passed over.
    pub fn type_in(&mut self, text: &str, run: &Run) {
        for figure in text.chars().filter_map(|c| c.to_digit(10)) {
            self.said = None;
            let before = if self.fresh { 0 } else { self.number() };
            self.fresh = false;
            self.set(before.saturating_mul(10).saturating_add(figure), run);
        }
    }

    /// Whether something is entered that is not booked yet.
    pub fn typing(&self) -> bool {
        self.fails() > 0 || self.left > 0
    }

    fn number(&self) -> u32 {
        self.entries.get(self.chosen).map_or(self.left, |entry| entry.flies)
    }

    fn fails(&self) -> u32 {
        self.entries.iter().fold(0, |sum, entry| sum.saturating_add(entry.flies))
    }

    /// Sets the number of the row chosen, where there are so many.
    fn set(&mut self, number: u32, run: &Run) {
        let counts = run.counts();
        let others = self.fails().saturating_add(self.left).saturating_sub(self.number());
        let (waiting, most) = (counts.waiting, most(&counts));
        let for_left = self.chosen >= self.entries.len();
        if for_left && number > waiting {
            self.said = Some(format!("Only {waiting} {}: no more can be left for another time.", wait(waiting)));
        } else if number > self.number() && number.saturating_add(others) > most {
            self.said = Some(match counts.passed {
                0 => format!("There are only {} to look over.", flies(most)),
                passed => format!("There are only {most} in all: {waiting} that {}, and {passed} that passed before.", wait(waiting)),
            });
        } else if let Some(entry) = self.entries.get_mut(self.chosen) {
            entry.flies = number;
        } else {
            self.left = number;
        }
    }

    /// Up or down a row. A row that was split off and stands at nought goes when it is left.
    fn step(&mut self, down: bool, run: &Run) {
        let last = if run.counts().waiting > 0 { self.entries.len() } else { self.entries.len().saturating_sub(1) };
        let alone = |entry: &Entry| self.entries.iter().filter(|other| other.why == entry.why).count() == 1;
        let goes = self.entries.get(self.chosen).is_some_and(|entry| entry.flies == 0 && !alone(entry));
        match (down, goes) {
            (true, false) => self.chosen = (self.chosen + 1).min(last),
            (false, false) => self.chosen = self.chosen.saturating_sub(1),
            (_, true) => {
                self.entries.remove(self.chosen);
                self.chosen = if down { self.chosen.min(last - 1) } else { self.chosen.saturating_sub(1) };
            }
        }
    }

    /// Another fate for the row chosen. Where flies stand in it already, they keep theirs, and a row is split off.
    fn turn(&mut self) {
        let Some(entry) = self.entries.get(self.chosen).cloned() else {
            self.said = Some("What is left for another time only waits.".to_owned());
            return;
        };
        let same = |other: &&Entry| other.why == entry.why;
        let taken: Vec<Fate> = self.entries.iter().filter(same).map(|other| other.fate).collect();
        let at = Fate::ALL.iter().position(|fate| *fate == entry.fate).unwrap_or(0);
        let next = Fate::ALL.iter().cycle().skip(at + 1).take(Fate::ALL.len() - 1).find(|fate| !taken.contains(fate));
        let Some(fate) = next.copied() else {
            self.said = Some(format!("{} stands with every end already.", reason(entry.why)));
            return;
        };
        if entry.flies == 0 {
            self.entries[self.chosen].fate = fate;
            return;
        }
        let after = self.entries.iter().rposition(|other| other.why == entry.why).unwrap_or(self.chosen);
        self.entries.insert(after + 1, Entry { fate, flies: 0, ..entry });
        self.chosen = after + 1;
    }

    /// Flies that pass at once: of those that wait, or of those that passed where none does.
    fn passes(&self, counts: &Counts) -> u32 {
        let of = if counts.waiting > 0 { counts.waiting.saturating_sub(self.left) } else { counts.passed };
        of.saturating_sub(self.fails())
    }

    /// How many of those that fail had passed before.
    fn had_passed(&self, counts: &Counts) -> u32 {
        self.fails().saturating_sub(counts.waiting.saturating_sub(self.left))
    }

    /// What the big key would make of the run, in words.
    fn comes_to(&self, counts: &Counts) -> String {
        let of = |fate| self.entries.iter().filter(|entry| entry.fate == fate).fold(0u32, |sum, entry| sum.saturating_add(entry.flies));
        let [mended, seconds, stripped, lost] = Fate::ALL.map(of);
        let gone = seconds.saturating_add(stripped).saturating_add(lost);
        let passed = counts.passed.saturating_add(counts.waiting.saturating_sub(self.left)).saturating_sub(gone);
        let mut told = vec![format!("{passed} passed")];
        if mended > 0 {
            told.push(format!("{mended} of them mended"));
        }
        if seconds > 0 {
            told.push(if seconds == 1 { "1 second".to_owned() } else { format!("{seconds} seconds") });
        }
        if stripped > 0 {
            told.push(format!("{stripped} stripped"));
        }
        if lost > 0 {
            told.push(format!("{lost} lost"));
        }
        if self.left > 0 {
            told.push(format!("{} left for another time", self.left));
        }
        told.join(", ")
    }

    /// Paints the form.
    pub fn draw(&self, run: &Run, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let styles = paint.styles;
        fill(buf, area, styles.plain);
        let counts = run.counts();
        let right = format!("{} {}{}{} passed", counts.waiting, wait(counts.waiting), paint.glyphs.dot, counts.passed);
        let meant = if counts.waiting > 0 {
            "In daylight, beside the sample. What fails is entered here; the rest pass."
        } else {
            "None waits. A fly that has passed can still fail: enter it here."
        };
        let body = head(buf, area, "Looking over", &right, meant, paint);
        let mut said = Vec::new();
        let had_passed = self.had_passed(&counts);
        if had_passed > 0 && counts.waiting > 0 {
            let line = format!("{had_passed} of them had passed before: only {} {}.", counts.waiting - self.left, wait(counts.waiting - self.left));
            said.push((line, styles.weak));
        }
        said.extend(self.said.clone().map(|line| (line, styles.fault)));
        if let Some(entry) = self.entries.get(self.chosen).filter(|_| area.height >= 18) {
            said.push((format!("{}: {}", entry.fate.name(), in_words(entry.fate)), styles.quiet));
        }
        let on = key(paint, Deed::GoOn, Place::LookingOver, Key::Char(' '));
        said.push((format!("{on}: {}.", self.comes_to(&counts)), styles.title));
        let body = foot(buf, body, &said);
        if body.width < BESIDE {
            let numbers = format!("{} pass, {} fail", self.passes(&counts), self.fails());
            let line = row(body, 0);
            put(buf, line, line.x, line.y, &fit(&numbers, usize::from(line.width), paint.glyphs.cut), styles.title);
            self.table(&counts, buf, below(body, 1), paint);
            return;
        }
        self.table(&counts, buf, Rect { width: TABLE, ..body }, paint);
        let beside = Rect { x: body.x + TABLE + 3, width: body.width - TABLE - 3, ..body };
        let used = self.numbers(&counts, buf, beside, paint);
        look_at(run, buf, below(beside, used), paint);
    }

    fn table(&self, counts: &Counts, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let (styles, cut) = (paint.styles, paint.glyphs.cut);
        let number_end = area.x + NAME + 9;
        let fate_x = number_end + 3;
        let heading = row(area, 0);
        put(buf, heading, heading.x + 1, heading.y, "fails for", styles.quiet);
        put_right(buf, heading, number_end, heading.y, "how many", styles.quiet);
        put(buf, heading, fate_x, heading.y, "what becomes", styles.quiet);
        let count = self.entries.len() + usize::from(counts.waiting > 0);
        for (nth, place) in rows(below(area, 1), self.chosen, count) {
            let entry = self.entries.get(nth);
            let number = entry.map_or(self.left, |entry| entry.flies);
            let style: Style = if nth == self.chosen {
                styles.chosen
            } else if number > 0 {
                styles.title
            } else {
                styles.plain
            };
            if nth == self.chosen {
                fill(buf, place, style);
            }
            let name = entry.map_or("left for another time", |entry| reason(entry.why));
            put(buf, place, place.x + 1, place.y, &fit(name, usize::from(NAME), cut), style);
            let number = if number > 0 { number.to_string() } else { NONE.to_owned() };
            put_right(buf, place, number_end, place.y, &number, style);
            let Some(entry) = entry else { continue };
            let fate = if nth == self.chosen {
                format!("{}{}{}", paint.glyphs.open, entry.fate.name(), paint.glyphs.close)
            } else {
                format!(" {}", entry.fate.name())
            };
            put(buf, place, fate_x - 1, place.y, &fate, style);
        }
    }

    /// How many pass and fail, as large as can be; gives the rows it took.
    fn numbers(&self, counts: &Counts, buf: &mut Buffer, area: Rect, paint: Paint<'_>) -> u16 {
        let (pass, fail) = (self.passes(counts).to_string(), self.fails().to_string());
        let wide = |number: &str| large_width(number).unwrap_or(u16::MAX).max(4);
        let beside = wide(&pass).saturating_add(3).saturating_add(wide(&fail)) <= area.width;
        let rows = LARGE + 2;
        if beside {
            let used = large(buf, area, &pass, "pass", paint);
            let rest = Rect { x: area.x + used + 3, width: area.width.saturating_sub(used + 3), ..area };
            large(buf, rest, &fail, "fail", paint);
            return if area.height > LARGE { rows } else { 2 };
        }
        if area.height >= 2 * rows - 1 {
            large(buf, Rect { height: rows, ..area }, &pass, "pass", paint);
            large(buf, below(area, rows), &fail, "fail", paint);
            return 2 * rows;
        }
        let line = Rect { height: 1.min(area.height), ..area };
        large(buf, line, &format!("{pass} pass, {fail}"), "fail", paint);
        2
    }
}

/// Stands where no fly is.
const NONE: &str = "-";
/// Columns of a reason, and of the whole table.
const NAME: u16 = 21;
const TABLE: u16 = NAME + 9 + 3 + 12;
/// Columns from which the numbers stand beside the table.
const BESIDE: u16 = TABLE + 3 + 16;

fn reason(why: usize) -> &'static str {
    REASONS.get(why).map_or("other", |(name, _)| name)
}

/// What a fate means.
fn in_words(fate: Fate) -> &'static str {
    match fate {
        Fate::Mended => "put right; it passes after all.",
        Fate::Second => "sound, but not like the sample.",
        Fate::Stripped => "cut off the hook; hook and bead go back to the stores.",
        Fate::Lost => "nothing of it is kept.",
    }
}

/// Flies that can be failed or left.
fn most(counts: &Counts) -> u32 {
    counts.waiting.saturating_add(counts.passed)
}

fn wait(count: u32) -> &'static str {
    if count == 1 { "waits" } else { "wait" }
}

/// What is to be looked at: the eye first (an inspector's first look at any fly is for cement and material in it), then
/// the lengths of the card with what still passes; and what failed before.
fn look_at(run: &Run, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    let (styles, cut) = (paint.styles, paint.glyphs.cut);
    let columns = usize::from(area.width);
    // What failed before tells what to look at as well.
    let mut before: Vec<Bad> = Vec::new();
    for bad in run.bad() {
        match before.iter_mut().find(|one| (&one.why, one.fate) == (&bad.why, bad.fate)) {
            Some(one) => one.flies = one.flies.saturating_add(bad.flies),
            None => before.push(bad.clone()),
        }
    }
    let mut lines = vec![("to look at".to_owned(), styles.quiet), ("the eye clear, the point whole".to_owned(), styles.plain)];
    for length in &run.begun().lengths {
        let (least, most) = length.within;
        lines.push((format!("{} {least:.1} to {most:.1} mm", fit(length.what.as_str(), columns.saturating_sub(18), cut)), styles.plain));
    }
    if !before.is_empty() {
        lines.push((String::new(), styles.plain));
        lines.push(("failed before".to_owned(), styles.quiet));
    }
    lines.extend(before.iter().map(|bad| (format!("{} {}, {}", bad.flies, bad.why, bad.fate.name()), styles.plain)));
    let rows = usize::from(area.height);
    let hidden = lines.len().saturating_sub(rows);
    if rows < 2 {
        return;
    }
    let shown = if hidden > 0 { rows - 1 } else { rows };
    for (nth, (text, style)) in (0..).zip(lines.iter().take(shown)) {
        let line = row(area, nth);
        put(buf, line, line.x, line.y, &fit(text, columns, cut), *style);
    }
    if hidden > 0 {
        let line = row(area, area.height - 1);
        put(buf, line, line.x, line.y, &fit(&format!("and {} more", hidden + 1), columns, cut), styles.quiet);
    }
}
