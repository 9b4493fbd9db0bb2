//! The sample's lengths held against the card, one by one, with dividers; then the page on which it is agreed.

use super::forms::{Figure, below, foot, has_figure, head, key, large, rows, typed};
use crate::tui::ink::{fill, fit, put, put_right, row, width};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::letters::LARGE;
use crate::tui::widgets::Paint;
use crate::vice::{Did, Length, Run};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// No part of a fly is longer, mm: a slip of the point is told at once.
const LONGEST_MM: i64 = 500;

/// What is typed of the length in hand.
#[derive(Clone, Debug, Default)]
pub struct Measuring {
    figure: Figure,
    said: Option<String>,
}

impl Measuring {
    /// Nothing is typed.
    pub fn new(_: &Run) -> Self {
        Measuring::default()
    }

    /// Takes the answer that something is booked.
    pub fn booked(&mut self, did: &Did, _: &Run) {
        if matches!(did, Did::On | Did::Measured { .. } | Did::TookBack { .. }) {
            *self = Measuring::default();
        }
    }

    /// Whether something is typed, so that there is something to rub out.
    pub fn typing(&self) -> bool {
        !self.figure.is_empty()
    }

    /// Types what the length is, mm; what is no part of a number is passed over.
    pub fn type_in(&mut self, text: &str) {
        if has_figure(text) {
            self.said = None;
            self.figure.type_in(text);
        }
    }

    /// Does what a key asks; gives what is to be booked: the length as it should be, or as it was typed.
    pub fn go(&mut self, deed: Deed, run: &Run) -> Option<Did> {
        self.said = None;
        match deed {
            Deed::Rub => self.figure.rub(),
            Deed::GoOn | Deed::Take if self.figure.is_empty() => return Some(Did::On),
            Deed::GoOn | Deed::Take => {
                let mm = self.figure.value().filter(|mm| !mm.is_zero() && *mm <= Decimal::from(LONGEST_MM));
                let um = mm.and_then(|mm| mm.checked_mul(Decimal::ONE_THOUSAND)?.round().to_u32()).filter(|um| *um > 0);
                let Some(um) = um else {
                    let like = run.begun().lengths.get(run.measured().len()).map_or(9.5, |length| length.mm);
                    self.said = Some(format!("\"{}\" is no length of a fly in mm; {like:.1} is what it should be.", self.figure.text()));
                    return None;
                };
                return Some(Did::Measured { nth: u32::try_from(run.measured().len()).ok()?, um: Some(um) });
            }
            _ => {}
        }
        None
    }

    /// Paints the lengths.
    pub fn draw(&self, run: &Run, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let styles = paint.styles;
        fill(buf, area, styles.plain);
        let lengths = &run.begun().lengths;
        let at = run.measured().len();
        let right = format!("length {} of {}", (at + 1).min(lengths.len()), lengths.len());
        let key = |deed, wish| key(paint, deed, Place::Measuring, wish);
        let (take, on) = (key(Deed::Take, Key::Enter), key(Deed::GoOn, Key::Char(' ')));
        let meant = format!("With dividers. {on}: as it should be. Else type what it is in mm, then {take}.");
        let body = head(buf, area, "The sample against the card", &right, &meant, paint);
        let next = if self.figure.is_empty() { format!("{on}: it is as it should be.") } else { format!("{take}: it is {} mm.", self.figure.text()) };
        let mut said: Vec<_> = self.said.clone().map(|line| (line, styles.fault)).into_iter().collect();
        if lengths.get(at).is_some() {
            said.push((next, styles.title));
        }
        let body = foot(buf, body, &said);
        let beside = body.width >= BESIDE && body.height > LARGE;
        let table = if beside { Rect { width: (body.width - 27).min(64), ..body } } else { body };
        self.table(run, buf, table, paint);
        if let (true, Some(length)) = (beside, lengths.get(at)) {
            let place = Rect { x: table.right() + 3, width: body.width - table.width - 3, ..body };
            put(buf, row(place, 0), place.x, place.y, &fit(length.what.as_str(), usize::from(place.width), paint.glyphs.cut), styles.title);
            let place = below(place, 2);
            let within = format!("mm, {:.1} to {:.1}", length.within.0, length.within.1);
            large(buf, place, &format!("{:.1}", length.mm), &within, paint);
            let typed_at = below(place, LARGE + 2);
            if !self.figure.is_empty() && typed_at.height > LARGE {
                large(buf, typed_at, self.figure.text(), "mm on the sample", paint);
            }
        }
    }

    fn table(&self, run: &Run, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let (styles, cut) = (paint.styles, paint.glyphs.cut);
        let lengths = &run.begun().lengths;
        let at = run.measured().len();
        let name = area.width.saturating_sub(SHOULD + FOUND + 4);
        let should_end = area.x + 1 + name + SHOULD;
        let heading = row(area, 0);
        put(buf, heading, heading.x + 1, heading.y, &fit("length", usize::from(name), cut), styles.quiet);
        put_right(buf, heading, should_end, heading.y, "card, mm", styles.quiet);
        put(buf, heading, should_end + 3, heading.y, "sample, mm", styles.quiet);
        for (nth, place) in rows(below(area, 1), at.min(lengths.len().saturating_sub(1)), lengths.len()) {
            let Some(length) = lengths.get(nth) else { continue };
            let found = run.measured_mm(nth);
            let amiss = found.is_some_and(|mm| !length.passes(mm));
            let style = match (nth == at, amiss) {
                (true, _) => styles.chosen,
                (false, true) => styles.fault,
                (false, false) => styles.plain,
            };
            if nth == at {
                fill(buf, place, style);
            }
            put(buf, place, place.x + 1, place.y, &fit(length.what.as_str(), usize::from(name), cut), style);
            let should = format!("{:.1} {}{:.1}", length.mm, paint.glyphs.within, (length.within.1 - length.within.0) / 2.0);
            put_right(buf, place, should_end, place.y, &should, style);
            let x = should_end + 3;
            match (nth == at, run.measured().get(nth)) {
                (true, _) => typed(buf, place, x, self.figure.text(), paint),
                (_, Some(None)) => drop(put(buf, place, x, place.y, "as it should be", style)),
                (_, Some(Some(_))) => {
                    let found = found_in_words(found.unwrap_or(length.mm), length);
                    put(buf, place, x, place.y, &fit(&found, usize::from(FOUND), cut), style);
                }
                (_, None) => {}
            }
        }
    }
}

/// Columns of what it should be, and of what it is.
const SHOULD: u16 = 11;
const FOUND: u16 = 20;
/// Columns from which the length in hand stands in large letters beside the rows.
const BESIDE: u16 = 76;

/// A length in mm, to as many places as it was told.
fn mm(mm: f64) -> String {
    let text = format!("{mm:.3}");
    let short = text.trim_end_matches('0');
    if short.ends_with('.') { format!("{short}0") } else { short.to_owned() }
}

/// What a length is, by how much it is another, and that it does not pass: in words, for colour is never the only sign.
fn found_in_words(found: f64, length: &Length) -> String {
    if !length.differs(found) {
        return format!("{}, as the card", mm(found));
    }
    let by = found - length.mm;
    let word = match (length.passes(found), by >= 0.0) {
        (true, true) => "longer",
        (true, false) => "shorter",
        (false, true) => "TOO LONG",
        (false, false) => "TOO SHORT",
    };
    format!("{}, {:.1} {word}", mm(found), by.abs())
}

/// Paints the page on which a sample is agreed: what differs from the card, and what the big key then does. `revision`: the
/// revision of the dressing's file that is then written, where there is something to write.
pub fn draw_agreeing(run: &Run, revision: u32, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
    let (styles, cut) = (paint.styles, paint.glyphs.cut);
    fill(buf, area, styles.plain);
    let differs = run.differs();
    let amiss = differs.iter().filter(|told| !told.length.passes(told.mm)).count();
    let right = format!("{} of {} as the card", run.begun().lengths.len() - differs.len(), run.begun().lengths.len());
    let meant = "The dressing's file stays as it is until the sample is agreed.";
    let body = head(buf, area, "The sample is to be agreed", &right, meant, paint);
    let mut said = Vec::new();
    if amiss > 0 {
        let line = if amiss == 1 { "1 length does not pass by the card".to_owned() } else { format!("{amiss} lengths do not pass by the card") };
        said.push((format!("{line}: once agreed, the card is changed to it."), styles.weak));
    }
    let key = |deed, wish| key(paint, deed, Place::Agreeing, wish);
    let (on, back) = (key(Deed::GoOn, Key::Char(' ')), key(Deed::GoBack, Key::Backspace));
    let next = if differs.is_empty() {
        format!("{on}: agreed as the card has it; the dressing's file stays as it is.")
    } else {
        let what = if differs.len() == 1 { "the change is" } else { "the changes are" };
        format!("{on}: agreed, {what} written as revision {revision} of the dressing's file. {back}: measure again.")
    };
    said.push((next, styles.title));
    let body = foot(buf, body, &said);
    if differs.is_empty() {
        put(buf, row(body, 0), body.x, body.y, &fit("All lengths are as the card says.", usize::from(body.width), cut), styles.plain);
        return;
    }
    let name = differs.iter().map(|told| width(told.length.what.as_str())).max().unwrap_or(0).min(usize::from(body.width.saturating_sub(34)));
    for (nth, place) in rows(body, 0, differs.len()) {
        let Some(told) = differs.get(nth) else { continue };
        let amiss = !told.length.passes(told.mm);
        let style = if amiss { styles.fault } else { styles.plain };
        put(buf, place, place.x + 1, place.y, &fit(told.length.what.as_str(), name, cut), style);
        let x = place.x.saturating_add(name as u16 + 3);
        let after = put(buf, place, x, place.y, &format!("card {:.1} mm -> sample {} mm", told.length.mm, mm(told.mm)), style);
        if amiss {
            put(buf, place, after + 2, place.y, "does not pass", style);
        }
    }
}
