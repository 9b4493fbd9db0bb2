//! A run that is done: what came of it, in words and figures; and the fly as it is, where there is room.

use super::at_hand::AtHand;
use super::head::became;
use super::tying::{halves, time};
use super::words;
use crate::card::figure::View as From;
use crate::card::form::DONE;
use crate::measure::Words;
use crate::tui::Desk;
use crate::tui::ink::row;
use crate::tui::ink::{fit, put, wrap};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::screens::fly::Fly;
use crate::tui::widgets::Paint;
use crate::vice::report::{Report, report};
use crate::vice::{Kind, View};
use crate::why::Fig;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

pub(super) fn draw(at_hand: &AtHand, view: &View, buf: &mut Buffer, area: Rect, desk: &Desk, paint: Paint<'_>) {
    let card = at_hand.fly.card();
    let (left, drawing) = halves(area, card.is_some());
    if let Some(card) = card {
        Fly { card, view: From::Side, done: DONE, chosen: &[], next: &[], frame: at_hand.fly.frame() }.draw(buf, drawing, desk, paint);
    }
    if at_hand.run.begun().kind == Kind::Sample {
        words::draw(buf, left, &agreed(at_hand, paint), Vec::new(), paint);
        return;
    }
    let columns = usize::from(left.width);
    let mut y = 0;
    for (head, text) in told(at_hand, view, paint) {
        for (nth, line) in wrap(&text, columns).iter().enumerate() {
            let style = if head && nth == 0 { paint.styles.title } else { paint.styles.plain };
            let place = row(left, y);
            put(buf, place, place.x, place.y, &fit(line, columns, paint.glyphs.cut), style);
            y = y.saturating_add(1);
        }
    }
}

/// A sample that is agreed, and what comes next.
fn agreed(at_hand: &AtHand, paint: Paint<'_>) -> String {
    let revision = at_hand.run.agreed().unwrap_or(at_hand.row.begun.revision);
    let on = paint.look.keys.key(Deed::GoOn, Place::RunDone, Key::Char(' ')).unwrap_or_default();
    match at_hand.run.begun().then {
        Some(flies) => format!("Agreed as revision {revision}. Keep this fly beside the vice. {on}: the run of {flies}."),
        None => format!("Agreed as revision {revision}. Keep this fly beside the vice."),
    }
}

/// What came of the run, line by line; whether a line stands out.
fn told(at_hand: &AtHand, view: &View, paint: Paint<'_>) -> Vec<(bool, String)> {
    let Report { sheet, fly, passed_at_once, steps, stages, bad, made, out, mishaps, .. } = report(&at_hand.run);
    let number = |fig: Fig| sheet.value(fig);
    let clock = |fig: Fig| time((number(fig) * Decimal::ONE_THOUSAND).to_u64().unwrap_or(0));
    let share = |fig: Fig| format!("{:.0} %", number(fig) * Decimal::ONE_HUNDRED);
    let mut lines = vec![(true, format!("Done: {}", became(&view.counts, paint.glyphs.dot)))];
    if made.seconds > 0 || made.good > 0 {
        lines.push((false, format!("for the box: {} good, {} seconds", made.good, made.seconds)));
    }
    if let Some(fly) = fly {
        let expected = fly.expected.map(|fig| format!(", expected {}", clock(fig))).unwrap_or_default();
        lines.push((true, format!("a fly {} on the average{expected}", clock(fly.mean))));
        if number(fly.timed) > Decimal::ONE {
            let timed = number(fly.timed).normalize();
            lines.push((false, format!("{timed} timed: {} to {}, the middle one {}", clock(fly.least), clock(fly.most), clock(fly.median))));
        }
    }
    if let Some(passed) = passed_at_once {
        lines.push((true, format!("good at once {}", share(passed.share))));
        lines.push((false, format!("of all flies tied so, {} to {}", share(passed.low), share(passed.high))));
    }
    for failed in &bad {
        lines.push((false, format!("{}: {} {}", failed.why, number(failed.flies).normalize(), failed.fate.name())));
    }
    if !mishaps.is_empty() {
        lines.push((false, format!("mishaps: {}", mishaps.iter().map(|one| format!("fly {} {}", one.fly, one.what)).collect::<Vec<_>>().join(", "))));
    }
    let slow: Vec<String> = steps
        .iter()
        .chain(&stages)
        .filter(|span| span.over.is_some_and(|over| number(over) > Decimal::ZERO))
        .take(3)
        .map(|span| {
            let which = if span.steps.0 == span.steps.1 { format!("step {}", span.steps.0) } else { format!("steps {} to {}", span.steps.0, span.steps.1) };
            format!("{which} {} for {}", clock(span.time), span.expected.map(clock).unwrap_or_default())
        })
        .collect();
    if !slow.is_empty() {
        lines.push((false, format!("slower than expected: {}", slow.join("; "))));
    }
    let told: Vec<String> = out
        .iter()
        .filter(|out| out.how.is_some())
        .map(|out| Words::new(&format!("{} {} {}", out.name, number(out.amount).normalize(), out.unit)).to_string())
        .collect();
    let as_told = if told.is_empty() { String::new() } else { format!("; as told: {}", told.join(", ")) };
    lines.push((false, format!("booked: {} materials as reckoned{as_told}", out.len() - told.len())));
    let why = paint.look.keys.key(Deed::Why, Place::RunDone, Key::Char('w')).unwrap_or_default();
    lines.push((false, format!("herl run show {} tells all; {why}: why", at_hand.row.id)));
    lines
}
