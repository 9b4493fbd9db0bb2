//! bench.yaml: the bench's own terms and habits.

use super::Faults;
use super::materials::flies_in;
use super::node::Map;
use super::reader::Reader;
use super::value::{Bounds, Value, day, pieces};
use super::yaml::Source;
use crate::diagnostic::{Diagnostic, Key, Told};
use crate::dressing::{Allowance, Asks, Extra, Habits, ListedPrice, Price, Profit, SizeRule, Terms, WarmUp};
use crate::measure::words::fold;
use crate::measure::{Currency, Fault, Fraction, Lengths, Numbers, Quantity, Rounding, Unit};
use jiff::civil::{Time, Weekday};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;

/// Keys that no sum of money and no time rests on.
const WEIGHTLESS: &[&str] = &["bench", "hand", "units", "theme", "cell", "rack", "working", "away", "confidence", "numbers", "note"];

/// Whether a fault of bench.yaml leaves the money and the hours of a plan in doubt. A key nobody knows does: it may
/// have been meant for the rate.
pub(crate) fn weighs(fault: &Diagnostic) -> bool {
    match fault.at.as_ref().and_then(|at| at.path.first()) {
        Some(Key::Name(key)) => !WEIGHTLESS.contains(&key.as_str()),
        _ => true,
    }
}

/// Reads bench.yaml.
pub(crate) fn read(source: &Source, map: &Map, faults: &Faults) -> (Terms, Habits) {
    let mut r = Reader::new(source, map, source.at(), "a bench", faults);
    let mut terms = Terms::default();
    let mut habits = Habits::default();
    if let Some(name) = r.need("bench", "a name, such as `bench: Alder Yard`").and_then(|v| v.text()) {
        terms.name = name.value;
    }
    if let Some(value) = r.need("currency", "the three letters of ISO 4217, such as `currency: GBP`")
        && let Some(code) = value.text()
    {
        match Currency::new(code.value.trim()) {
            Some(currency) => terms.currency = currency,
            None => value.wrong(format!("\"{}\" is not a currency", code.value), "three capital letters (ISO 4217), such as `GBP`, `EUR` or `USD`"),
        }
    }
    terms.rate = r.get("rate").and_then(|v| v.money());
    terms.allowance = r.get("allowance").and_then(|v| allowance(&v));
    terms.overhead = r.get("overhead").and_then(|v| v.share(Decimal::TEN));
    terms.profit = profit(&mut r);
    terms.rounding =
        r.get("rounding").and_then(|v| v.choice(&[("half up", Rounding::HalfUp), ("half even", Rounding::HalfEven)])).map_or(Rounding::HalfUp, |t| t.value);
    terms.left_handed = r.get("hand").and_then(|v| v.choice(&[("right", false), ("left", true)])).is_some_and(|t| t.value);
    let lengths = [("mm", Lengths::Mm), ("mm and in", Lengths::Both), ("in", Lengths::Inches)];
    terms.shown.lengths = r.get("units").and_then(|v| v.choice(&lengths)).map_or(Lengths::Mm, |told| told.value);
    terms.theme = r.text("theme");
    terms.cell = r.get("cell").and_then(|v| cell(&v));
    if let Some(prices) = r.get("prices") {
        terms.prices = prices.items("prices").iter().filter_map(listed).collect();
    }
    terms.consumables = r.get("consumables").and_then(|v| v.price());
    terms.packing = r.get("packing").and_then(|v| v.money());
    terms.postage = r.get("postage").and_then(|v| v.money());
    for (name, value) in r.get("extras").map(|v| v.entries("extras")).unwrap_or_default() {
        extra(&name, &value, &mut terms);
    }
    terms.breaks = r.get("breaks").map(|v| breaks(&v)).unwrap_or_default();
    terms.price_step = r.get("price-step").and_then(|v| {
        let told = v.money()?;
        if told.value.is_zero() {
            v.wrong("nothing can be rounded to a step of nought", "`0.50`");
            return None;
        }
        Some(told)
    });
    terms.least = r.get("least").and_then(|v| v.whole(1, 10_000, &["flies", "fly"], "6 flies"));
    if let Some(gauge) = r.get("hackle-gauge") {
        for (size, value) in gauge.entries("sizes of hackle") {
            let mm = value.mm(Bounds::PART, "5.0 mm");
            if let (Some(size), Some(mm)) = (super::value::size(&size, faults), mm) {
                terms.hackle_gauge.insert(size.value, mm);
            }
        }
    }
    if let Some(mut d) = r.get("defaults").and_then(|v| v.reader("the defaults")) {
        terms.bind = d.get("bind").and_then(|v| v.counted(Bounds { nought: true, most: 1000.0 }, &["turns", "turn"], "5 turns"));
        terms.start = d.get("start").and_then(|v| v.mm(Bounds::WASTE, "40 mm"));
        terms.mount = d.get("mount").and_then(|v| v.within(Unit::S, Bounds::TIME, "15 s"));
        terms.restart = d.get("restart").and_then(|v| v.within(Unit::S, Bounds::TIME, "15 s"));
        terms.piece = d.get("piece").and_then(|v| v.mm(Bounds::PIECE, "300 mm"));
        terms.travel = d.get("travel").and_then(|v| v.mm(Bounds::PART, "1 mm"));
        terms.at_step = d.get("step-by-step").and_then(|v| v.whole(0, 10_000, &["flies", "fly"], "3 flies"));
        terms.at_step_again = d.get("again-each").and_then(|v| v.whole(0, 10_000, &["flies", "fly"], "12 flies"));
        terms.pause_beyond = d.get("pause-beyond").and_then(|v| {
            let told = v.counted(Bounds { nought: false, most: 1000.0 }, &["times"], "4 times")?;
            if told.value.to_f64() < 1.0 {
                v.wrong("what takes less than the expected time is no pause", "`4 times`, or another number from 1 on");
                return None;
            }
            Some(Told { value: told.value.to_f64(), at: told.at })
        });
        terms.rejects = d.get("rejects").and_then(|v| rejects(&v));
        terms.strays = d.get("strays").and_then(|v| v.share(Decimal::ONE));
        terms.learning = d.get("learning").and_then(|v| learning(&v));
        terms.warm_up = d.get("warm-up").and_then(|v| warm_up(&v));
        terms.rest_after = d.get("rest-after").and_then(|v| v.within(Unit::S, Bounds::TIME, "40 min"));
        d.end();
    }
    habits.rack = r.get("rack").and_then(|v| v.whole(1, 100_000, &["flies", "fly"], "48 flies"));
    habits.working = r.get("working").map(|v| working(&v)).unwrap_or_default();
    if let Some(value) = r.get("away") {
        habits.away = value.items("days away").iter().filter_map(away).collect();
    }
    habits.confidence = r.get("confidence").and_then(|v| confidence(&v));
    terms.shown.numbers = r.get("numbers").and_then(|v| numbers(&v)).unwrap_or_default();
    habits.tax = r.get("tax").and_then(|v| v.share(Decimal::ONE));
    habits.note = r.note();
    r.end();
    (terms, habits)
}

/// The largest allowance on time.
fn most_allowance() -> Decimal {
    Decimal::new(90, 2)
}

/// Above which a margin multiplies the cost by twenty.
fn most_margin() -> Decimal {
    Decimal::new(95, 2)
}

fn allowance(value: &Value<'_>) -> Option<Told<Allowance>> {
    let told = value.text()?;
    let kinds = [("of job time", false), ("of the day", true)];
    let Some((share, of_the_day)) = kinds.iter().find_map(|(ending, day)| Some((told.value.trim_end().strip_suffix(ending)?.trim_end(), *day))) else {
        value
            .wrong(format!("\"{}\" does not say what it is a share of", told.value), "`12 % of job time` or `12 % of the day`; the two give different answers");
        return None;
    };
    let quantity = value.told(Quantity::read(share))?.value;
    match quantity.decimal_in(Unit::One).filter(|_| share.contains('%')) {
        Some(share) if !share.is_sign_negative() && share > most_allowance() => {
            value.wrong("an allowance over 90 % leaves next to no time for the work", "`12 % of job time` or `12 % of the day`");
            None
        }
        Some(share) if !share.is_sign_negative() => Some(Told::new(Allowance { share, of_the_day }, told.at)),
        _ => {
            value.wrong(format!("\"{share}\" is not a share under 100 %"), "`12 % of job time` or `12 % of the day`");
            None
        }
    }
}

fn profit(r: &mut Reader<'_>) -> Option<Told<Profit>> {
    let margin = r.get("margin");
    let mark_up = r.get("mark-up");
    if let (Some(margin), Some(mark_up)) = (&margin, &mark_up) {
        r.faults.push(
            Diagnostic::error("a margin and a mark-up are two ways of saying the same", mark_up.at.the_key())
                .also("the margin", margin.at.the_key())
                .right("keep one: a margin is a share of the price, a mark-up a share of the cost"),
        );
    }
    if let Some(value) = margin {
        let share = value.share(Decimal::ONE)?;
        if share.value >= most_margin() {
            value.wrong("a margin is a share of the price and stays under 95 %", "`margin: 25 %`, or `mark-up:` for a share of the cost");
            return None;
        }
        return Some(share.map(Profit::Margin));
    }
    Some(mark_up?.share(Decimal::ONE_HUNDRED)?.map(Profit::MarkUp))
}

fn listed(value: &Value<'_>) -> Option<ListedPrice> {
    let mut r = value.reader("a listed price")?;
    let kind = r.text("kind");
    let sizes = r.get("sizes").and_then(|v| {
        let told = v.text()?;
        let rule = SizeRule::read(&told.value);
        if rule.is_none() {
            v.wrong(format!("\"{}\" names no sizes", told.value), "`10-18`, `12, 14` or `16 and smaller`");
        }
        rule
    });
    let dozen = r.get("a dozen");
    let each = r.get("each");
    let price = match (dozen, each) {
        (Some(dozen), None) => dozen.money().map(|sum| sum.map(|sum| Price { sum, flies: 12 })),
        (None, Some(each)) => each.money().map(|sum| sum.map(|sum| Price { sum, flies: 1 })),
        _ => {
            value.wrong("a listed price is for a dozen or for each", "`a dozen: 27.00` or `each: 2.50`");
            None
        }
    };
    r.end();
    Some(ListedPrice { kind, sizes, price: price? })
}

fn working(value: &Value<'_>) -> Vec<(Weekday, Vec<(Time, Time)>)> {
    const DAYS: &[(&str, Weekday)] = &[
        ("mon", Weekday::Monday),
        ("tue", Weekday::Tuesday),
        ("wed", Weekday::Wednesday),
        ("thu", Weekday::Thursday),
        ("fri", Weekday::Friday),
        ("sat", Weekday::Saturday),
        ("sun", Weekday::Sunday),
    ];
    let Some(mut r) = value.reader("the week's hours of work") else { return Vec::new() };
    let mut week = Vec::new();
    for (name, day) in DAYS {
        let Some(value) = r.get(name) else { continue };
        let Some(told) = value.text() else { continue };
        let mut spans: Vec<(Time, Time)> = Vec::new();
        for (piece, from) in pieces(&told.value) {
            let span = span(piece).filter(|(from, to)| from < to && spans.last().is_none_or(|(_, before)| before <= from));
            match span {
                Some(span) => spans.push(span),
                None => {
                    let fault = Fault::new(format!("\"{piece}\" is not a span of the day"), from..from + piece.len());
                    value.fault(fault.right("from and to, the earlier first, as in `18:00-21:30`; several with commas between, in quotes if inside { }"));
                }
            }
        }
        week.push((*day, spans));
    }
    r.end();
    week
}

fn span(text: &str) -> Option<(Time, Time)> {
    let (from, to) = text.split_once('-').or_else(|| text.split_once('–'))?;
    Some((clock(from)?, clock(to)?))
}

fn clock(text: &str) -> Option<Time> {
    let (hour, minute) = text.trim().split_once(':')?;
    let two = |text: &str| text.len() <= 2 && !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !two(hour) || minute.len() != 2 || !two(minute) {
        return None;
    }
    Time::new(hour.parse().ok()?, minute.parse().ok()?, 0, 0).ok()
}

fn away(value: &Value<'_>) -> Option<Told<(jiff::civil::Date, jiff::civil::Date)>> {
    let told = value.text()?;
    let days = match told.value.split_once(" to ") {
        Some((from, to)) => day(from).zip(day(to)),
        None => day(&told.value).map(|day| (day, day)),
    };
    match days.filter(|(from, to)| from <= to) {
        Some(days) => Some(Told::new(days, told.at)),
        None => {
            value.wrong(format!("\"{}\" names no days", told.value), "`2026-12-24 to 2027-01-02`, or one day");
            None
        }
    }
}

/// A share of flies that do not pass: nearly all of them is a slip of the pen.
pub(super) fn rejects(value: &Value<'_>) -> Option<Told<Decimal>> {
    let share = value.share(Decimal::ONE)?;
    if share.value > most_allowance() {
        value.wrong("with over 90 % of the flies rejected there is nothing to plan", "a share such as `5 %`");
        return None;
    }
    Some(share)
}

fn learning(value: &Value<'_>) -> Option<Told<Decimal>> {
    let share = value.share(Decimal::ONE)?;
    if share.value < Decimal::new(50, 2) {
        value.wrong("at each doubling more than half of the time is left", "what is left of it, such as `92 %`");
        return None;
    }
    Some(share)
}

fn warm_up(value: &Value<'_>) -> Option<Told<WarmUp>> {
    let mut r = value.reader("a warm-up")?;
    let flies = r.need("flies", "how many flies it lasts, such as `flies: 3`").and_then(|v| v.whole(0, 10_000, &["flies", "fly"], "3"));
    let more = r.need("more", "how much longer each takes, such as `more: 30 %`").and_then(|v| v.share(Decimal::TEN));
    r.end();
    Some(Told::new(WarmUp { flies: flies?.value, more: more?.value }, value.at.clone()))
}

/// `1.20 a dozen`, `0.15 each`, `5.00 a run` or `15 %`.
fn extra(name: &Told<String>, value: &Value<'_>, terms: &mut Terms) {
    let Some(told) = value.text() else { return };
    let asks = if told.value.contains('%') {
        value.share(Decimal::TEN).map(|share| share.map(Asks::Share))
    } else if let Some(sum) = told.value.trim_end().strip_suffix("a run") {
        value.told(super::value::money(sum.trim_end())).map(|sum| sum.map(Asks::Run))
    } else {
        value.price().map(|price| price.map(Asks::Flies))
    };
    let Some(asks) = asks else { return };
    if let Some(first) = terms.extras.get(&fold(&name.value)) {
        let fault = Diagnostic::error(format!("the extra \"{}\" is there twice; case and double spaces do not tell names apart", name.value), name.at.clone());
        value.faults.push(fault.also("the other one", first.name.at.clone()).right("keep one of the two"));
        return;
    }
    terms.extras.insert(fold(&name.value), Extra { name: name.clone(), asks });
}

/// Shares taken off by the number of flies, the smallest number first.
fn breaks(value: &Value<'_>) -> Vec<(u32, Told<Decimal>)> {
    let mut all: Vec<(u32, Told<Decimal>)> = Vec::new();
    for (name, value) in value.entries("numbers of flies") {
        let flies = flies_in(&name.value).filter(|flies| flies.fract().is_zero()).and_then(|flies| flies.to_u32());
        if flies.is_none() {
            let fault = Diagnostic::error(format!("\"{}\" is not a number of flies", name.value), name.at.clone());
            value.faults.push(fault.right("`3 dozen: 5 %`, or `36: 5 %`"));
        }
        let share = value.share(most_allowance());
        let Some((flies, share)) = flies.zip(share) else { continue };
        if let Some((_, first)) = all.iter().find(|(other, _)| *other == flies) {
            let fault = Diagnostic::error(format!("what is taken off from {flies} flies on is said twice"), name.at.clone());
            value.faults.push(fault.also("said first here", first.at.the_key()).right("keep one of the two"));
            continue;
        }
        all.push((flies, share));
    }
    all.sort_by_key(|(flies, _)| *flies);
    all
}

fn confidence(value: &Value<'_>) -> Option<Told<f64>> {
    let share = value.share_f64(Decimal::ONE)?;
    if share.value < 0.5 || share.value >= 1.0 {
        value.wrong("a confidence lies from 50 % to under 100 %", "`95 %`");
        return None;
    }
    Some(share)
}

fn cell(value: &Value<'_>) -> Option<f64> {
    let told = value.text()?;
    let figure = |text: &str| Fraction::parse(text).map(Fraction::to_f64).filter(|figure| *figure > 0.0);
    let ratio = told.value.split_once(':').and_then(|(wide, high)| Some(figure(wide)? / figure(high)?));
    let ratio = ratio.filter(|ratio| (0.1..=10.0).contains(ratio));
    if ratio.is_none() {
        value.wrong(format!("\"{}\" is not the shape of a cell", told.value), "width to height, such as `1:2`");
    }
    ratio
}

fn numbers(value: &Value<'_>) -> Option<Numbers> {
    let ways = [
        ("1,234.56", Some(','), '.'),
        ("1234.56", None, '.'),
        ("1 234.56", Some(' '), '.'),
        ("1.234,56", Some('.'), ','),
        ("1 234,56", Some(' '), ','),
        ("1234,56", None, ','),
        ("1'234.56", Some('\''), '.'),
    ];
    let choices: Vec<(&str, Numbers)> = ways.iter().map(|(shown, thousands, decimal)| (*shown, Numbers { thousands: *thousands, decimal: *decimal })).collect();
    value.choice(&choices).map(|told| told.value)
}
