//! Runs as text, JSON and CSV: the list of them, and the report of one.

use super::csv::{Cell, csv};
use super::json;
use super::table::Table;
use crate::measure::Words;
use crate::vice::report::{Happening, Out, Report, Span};
use crate::vice::{Counts, How, Kind, Part};
use crate::why::{Fig, Row};
use jiff::Timestamp;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde_json::{Value, json};

/// Which run it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// Its number.
    pub number: i64,
    /// The dressing's name.
    pub dressing: Words,
    /// The dressing's revision.
    pub revision: u32,
    /// The hook's size.
    pub size: Words,
    /// The variant.
    pub variant: Option<Words>,
    /// When it was begun, ms of UTC since 1970.
    pub begun_at: i64,
    /// When nothing of it was left to do, likewise.
    pub done_at: Option<i64>,
    /// When the last thing was done, likewise.
    pub last_at: Option<i64>,
    /// The sample it follows.
    pub sample: Option<i64>,
}

/// How far a run has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Brief {
    /// What its flies are for.
    pub kind: Kind,
    /// The part it is in.
    pub part: Part,
    /// How many flies are to be tied.
    pub flies: u32,
    /// What became of them.
    pub counts: Counts,
    /// Milliseconds of work.
    pub ms: u64,
}

/// A row of the list: what could be read of a run.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// Its number.
    pub number: i64,
    /// Which it is; `None` where that cannot be read.
    pub head: Option<Head>,
    /// How far it has come; `None` where that cannot be read.
    pub brief: Option<Brief>,
}

/// Whether the flies count.
pub fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Sample => "sample",
        Kind::Counted => "counted",
    }
}

/// A moment by ISO 8601, in UTC; `None` out of all bounds.
fn moment(ms: i64) -> Option<String> {
    Timestamp::from_millisecond(ms).ok().map(|moment| moment.to_string())
}

/// The same for the eye, to the minute.
fn minute(ms: i64) -> String {
    let whole = moment(ms.saturating_sub(ms.rem_euclid(60_000)));
    let told = whole.as_deref().and_then(|text| text.strip_suffix(":00Z")).map(|text| text.replacen('T', " ", 1));
    told.map_or_else(|| "at no time".to_owned(), |text| text + " UTC")
}

/// A time of work: `9.3 s`, `4:07`, `1:02:45`.
pub fn time(seconds: Decimal) -> String {
    let minute = Decimal::from(60);
    if seconds.abs() < minute {
        return format!("{:.1} s", seconds.round_dp(1));
    }
    let sign = if seconds.is_sign_negative() { "-" } else { "" };
    let whole = seconds.abs().round().to_u64().unwrap_or(u64::MAX);
    let (hours, minutes, seconds) = (whole / 3600, whole / 60 % 60, whole % 60);
    if hours == 0 { format!("{sign}{minutes}:{seconds:02}") } else { format!("{sign}{hours}:{minutes:02}:{seconds:02}") }
}

fn seconds(ms: u64) -> Decimal {
    crate::vice::report::seconds(ms)
}

/// The runs as text.
pub fn list_text(all: &[Listed]) -> String {
    let mut table = Table::new(&[">run", "dressing", "size", "variant", "kind", "begun", "part", ">flies", ">tied", ">passed", ">seconds", ">time"]);
    for one in all {
        let head = one.head.as_ref();
        let told = |of: &dyn Fn(&Head) -> String| head.map_or_else(|| "?".to_owned(), of);
        let brief = |of: &dyn Fn(&Brief) -> String| one.brief.as_ref().map_or_else(|| "?".to_owned(), of);
        table.row(vec![
            one.number.to_string(),
            told(&|head| head.dressing.to_string()),
            told(&|head| head.size.to_string()),
            told(&|head| head.variant.as_ref().map_or_else(String::new, Words::to_string)),
            brief(&|brief| kind(brief.kind).to_owned()),
            told(&|head| minute(head.begun_at)),
            brief(&|brief| brief.part.words().to_owned()),
            brief(&|brief| brief.flies.to_string()),
            brief(&|brief| brief.counts.tied.to_string()),
            brief(&|brief| brief.counts.passed.to_string()),
            brief(&|brief| brief.counts.seconds.to_string()),
            brief(&|brief| time(seconds(brief.ms))),
        ]);
    }
    table.text()
}

/// The runs as JSON.
pub fn list_json(all: &[Listed]) -> Value {
    let one = |one: &Listed| {
        let mut told = head_json(one.number, one.head.as_ref());
        if let (Value::Object(told), Some(brief)) = (&mut told, &one.brief) {
            let counts = &brief.counts;
            told.insert("kind".to_owned(), json!(kind(brief.kind)));
            told.insert("part".to_owned(), json!(brief.part.words()));
            told.insert(
                "flies".to_owned(),
                json!({
                    "wanted": brief.flies, "started": counts.started, "tied": counts.tied, "aside": counts.aside, "in-hand": counts.in_hand,
                    "given-up": counts.given_up, "passed": counts.passed, "mended": counts.mended, "waiting": counts.waiting,
                    "seconds": counts.seconds, "stripped": counts.stripped, "lost": counts.lost,
                }),
            );
            told.insert("seconds-of-work".to_owned(), exact(seconds(brief.ms)));
        }
        if let (Value::Object(told), true) = (&mut told, one.head.is_none() || one.brief.is_none()) {
            told.insert("damaged".to_owned(), json!(true));
        }
        told
    };
    json!({ "schema": json::SCHEMA, "runs": all.iter().map(one).collect::<Vec<_>>() })
}

fn head_json(number: i64, head: Option<&Head>) -> Value {
    let Some(head) = head else { return json!({ "run": number }) };
    json!({
        "run": number,
        "dressing": head.dressing.as_str(),
        "revision": head.revision,
        "size": head.size.as_str(),
        "variant": head.variant.as_ref().map(Words::as_str),
        "begun": moment(head.begun_at),
        "done": head.done_at.and_then(moment),
        "last": head.last_at.and_then(moment),
        "sample": head.sample,
    })
}

/// The runs as CSV.
pub fn list_csv(all: &[Listed]) -> String {
    let headings = [
        "run",
        "dressing",
        "revision",
        "size",
        "variant",
        "kind",
        "begun",
        "done",
        "part",
        "flies",
        "started",
        "tied",
        "aside",
        "in hand",
        "given up",
        "passed",
        "mended",
        "waiting",
        "seconds",
        "stripped",
        "lost",
        "seconds of work",
    ];
    let row = |one: &Listed| {
        let head = one.head.as_ref();
        let brief = one.brief.as_ref();
        let text = |text: Option<&str>| text.map_or(Cell::Empty, Cell::text);
        let mut cells = vec![
            Cell::number(Some(one.number)),
            text(head.map(|head| head.dressing.as_str())),
            Cell::number(head.map(|head| head.revision)),
            text(head.map(|head| head.size.as_str())),
            text(head.and_then(|head| head.variant.as_ref()).map(Words::as_str)),
            text(brief.map(|brief| kind(brief.kind))),
            text(head.and_then(|head| moment(head.begun_at)).as_deref()),
            text(head.and_then(|head| head.done_at).and_then(moment).as_deref()),
            text(brief.map(|brief| brief.part.words())),
            Cell::number(brief.map(|brief| brief.flies)),
        ];
        let counts = brief.map(|brief| &brief.counts);
        let each = counts
            .map(|all| [all.started, all.tied, all.aside, all.in_hand, all.given_up, all.passed, all.mended, all.waiting, all.seconds, all.stripped, all.lost]);
        cells.extend((0..11).map(|nth| Cell::number(each.and_then(|each| each.get(nth).copied()))));
        cells.push(Cell::number(brief.map(|brief| seconds(brief.ms))));
        cells
    };
    csv(&headings, all.iter().map(row))
}

/// A run's report as text.
pub fn text(head: &Head, report: &Report) -> String {
    let mut text = title(head, report);
    let mut section = |rows: Option<String>| {
        if let Some(rows) = rows {
            text.push('\n');
            text.push_str(&rows);
        }
    };
    section(Some(flies(report)));
    section(fly(report));
    section(parts(report));
    section(spans(report, "step", &report.steps));
    section(spans(report, "stage", &report.stages));
    section(bad(report));
    section(befell(report));
    section(lengths(report));
    section(out(report));
    section(made(report));
    text
}

fn title(head: &Head, report: &Report) -> String {
    let variant = head.variant.as_ref().map_or_else(String::new, |variant| format!(", {variant}"));
    let agreed = report.agreed.map_or_else(String::new, |revision| format!(", agreed as revision {revision}"));
    let sample = head.sample.map_or_else(String::new, |sample| format!(", by the sample of run {sample}"));
    let stands = match (head.done_at, head.last_at) {
        (Some(done), _) => format!("done {}", minute(done)),
        (None, Some(last)) => format!("at {}, last at work {}", report.part.words(), minute(last)),
        (None, None) => format!("at {}", report.part.words()),
    };
    format!(
        "run {}: {}, size {}{variant}, revision {}\n{}{sample}{agreed}; begun {}; {stands}\n",
        head.number,
        head.dressing,
        head.size,
        head.revision,
        kind(report.kind),
        minute(head.begun_at)
    )
}

fn value(report: &Report, fig: Fig) -> Decimal {
    report.sheet.value(fig)
}

/// A figure rounded for the eye, with its unit.
fn figure(report: &Report, fig: Fig) -> String {
    let row = report.sheet.at(fig);
    let text = row.value.round_dp(3).normalize().to_string();
    if row.unit.name().is_empty() { text } else { format!("{text} {}", row.unit.name()) }
}

fn flies(report: &Report) -> String {
    let counts = &report.counts;
    let mut table = Table::new(&["flies", ">"]);
    // A sample's flies are measured, not looked over.
    let sample = report.kind == Kind::Sample;
    let always: &[&str] = if sample { &["started", "tied"] } else { &["started", "tied", "passed"] };
    for (name, count) in [
        ("started", counts.started),
        ("tied", counts.tied),
        ("put aside", counts.aside),
        ("in hand", counts.in_hand),
        ("given up", counts.given_up),
        ("not yet looked over", counts.waiting),
        ("passed", counts.passed),
        ("mended among them", counts.mended),
        ("seconds", counts.seconds),
        ("stripped", counts.stripped),
        ("lost", counts.lost),
        ("mishaps caught again", counts.mishaps),
        ("bad hooks and things found", counts.found_bad),
    ] {
        if always.contains(&name) || (count > 0 && !(sample && name == "not yet looked over")) {
            table.row(vec![name.to_owned(), count.to_string()]);
        }
    }
    let mut text = table.text();
    if let Some(rate) = report.passed_at_once {
        let percent = |fig| (value(report, fig) * Decimal::ONE_HUNDRED).round_dp(0).normalize();
        text.push_str(&format!(
            "good at once: {} % of those looked over; of many tied alike {} to {} % would be (95 % sure)\n",
            percent(rate.share),
            percent(rate.low),
            percent(rate.high)
        ));
    }
    text
}

fn fly(report: &Report) -> Option<String> {
    let fly = report.fly.as_ref()?;
    let mut table = Table::new(&["a fly tied without a break", ">"]);
    let mut row = |name: &str, told: String| table.row(vec![name.to_owned(), told]);
    row("timed", figure(report, fly.timed));
    for (name, fig) in [("mean", fly.mean), ("median", fly.median), ("least", fly.least), ("most", fly.most)] {
        row(name, time(value(report, fig)));
    }
    if let (Some(expected), Some(against)) = (fly.expected, fly.against) {
        row("expected", time(value(report, expected)));
        row("mean against expected", format!("{:.2} times", value(report, against).round_dp(2)));
    }
    if let Some(needed) = fly.needed {
        row("to be timed for a mean within 5 %", figure(report, needed));
    }
    Some(table.text())
}

fn parts(report: &Report) -> Option<String> {
    let mut table = Table::new(&["time", ">"]);
    for (part, fig) in &report.parts {
        table.row(vec![part.words().to_owned(), time(value(report, *fig))]);
    }
    table.row(vec!["all the work".to_owned(), time(value(report, report.all))]);
    for (name, fig) in [("rested, as told", report.rested), ("taken for pauses", report.taken_out)] {
        if !value(report, fig).is_zero() {
            table.row(vec![name.to_owned(), time(value(report, fig))]);
        }
    }
    (!report.parts.is_empty()).then(|| table.text())
}

fn spans(report: &Report, what: &str, all: &[Span]) -> Option<String> {
    let mut table = Table::new(&[&format!(">{what}"), ">timed", ">mean", ">expected", ">over", "do"]);
    for span in all {
        let told = |fig: Option<Fig>| fig.map_or_else(|| "-".to_owned(), |fig| time(value(report, fig)));
        let text = if span.steps.0 == span.steps.1 { span.text.to_string() } else { format!("steps {} to {}: {}", span.steps.0, span.steps.1, span.text) };
        table.row(vec![span.number.to_string(), span.timed.to_string(), time(value(report, span.time)), told(span.expected), told(span.over), text]);
    }
    (!all.is_empty()).then(|| table.text())
}

fn bad(report: &Report) -> Option<String> {
    let mut table = Table::new(&["failed for", "became", ">flies"]);
    for bad in &report.bad {
        table.row(vec![bad.why.to_string(), bad.fate.name().to_owned(), figure(report, bad.flies)]);
    }
    (!table.is_empty()).then(|| table.text())
}

/// What an answer is marked with where nobody gave it.
fn marked(answered: bool) -> &'static str {
    if answered { "" } else { " (nobody said)" }
}

fn befell(report: &Report) -> Option<String> {
    let mut table = Table::new(&[">fly", "what befell it", ""]);
    let mut rows = |what: &str, all: &[Happening]| {
        for one in all {
            table.row(vec![one.fly.to_string(), what.to_owned(), format!("{}{}", one.what, marked(one.answered))]);
        }
    };
    rows("mishap", &report.mishaps);
    rows("given up", &report.given_up);
    for pause in &report.pauses {
        let taken = if pause.taken_out { "taken for a pause" } else { "work after all" };
        table.row(vec![pause.fly.to_string(), format!("{} too long", time(seconds(pause.ms))), format!("{taken}{}", marked(pause.answered))]);
    }
    for change in &report.changes {
        table.row(vec![change.from_fly.to_string(), format!("from here on, {}", change.what), change.to.to_string()]);
    }
    (!table.is_empty()).then(|| table.text())
}

fn lengths(report: &Report) -> Option<String> {
    let mut table = Table::new(&["length of the sample", ">by the card", ">as it is", ""]);
    for length in &report.lengths {
        let passes = if length.passes { "" } else { "beyond what passes" };
        table.row(vec![length.what.to_string(), figure(report, length.card), figure(report, length.is), passes.to_owned()]);
    }
    (!table.is_empty()).then(|| table.text())
}

/// How an amount is known, in a word.
fn known(out: &Out) -> &'static str {
    match out.how {
        None => "reckoned",
        Some(How::Counted) => "counted",
        Some(How::Weighed { .. }) => "weighed",
    }
}

fn out(report: &Report) -> Option<String> {
    let mut table = Table::new(&["out of the stores", ">amount", "by", ">reckoned"]);
    for out in &report.out {
        let reckoned = if out.how.is_some() { figure(report, out.reckoned) } else { String::new() };
        table.row(vec![out.name.to_string(), figure(report, out.amount), known(out).to_owned(), reckoned]);
    }
    (!table.is_empty()).then(|| table.text())
}

fn made(report: &Report) -> Option<String> {
    let made = report.made;
    (made.good > 0 || made.seconds > 0).then(|| format!("made: {} good; seconds: {}\n", made.good, made.seconds))
}

/// A figure as JSON.
pub fn number(row: &Row<Decimal>) -> Value {
    exact(row.value)
}

fn exact(value: Decimal) -> Value {
    value.to_f64().map_or(Value::Null, json::number)
}

/// A run's report as JSON.
pub fn json(head: &Head, report: &Report) -> Value {
    let key = |fig: Fig| report.sheet.key(fig).to_owned();
    let span = |what: &str, span: &Span| {
        json!({
            what: span.number, "first-step": span.steps.0, "last-step": span.steps.1, "do": span.text.as_str(), "timed": span.timed,
            "time": key(span.time), "expected": span.expected.map(key), "over": span.over.map(key),
        })
    };
    let happening = |one: &Happening| json!({ "fly": one.fly, "what": one.what.as_str(), "answered": one.answered });
    let weight = |out: &Out| match &out.how {
        Some(How::Weighed { before, after }) => json!({ "before": exact(*before), "after": exact(*after) }),
        _ => Value::Null,
    };
    let mut told = head_json(head.number, Some(head));
    let rest = json!({
        "kind": kind(report.kind),
        "part": report.part.words(),
        "agreed": report.agreed,
        "pass-rate": report.passed_at_once.map(|rate| key(rate.share)),
        "parts": report.parts.iter().map(|(part, fig)| json!({ "part": part.words(), "time": key(*fig) })).collect::<Vec<_>>(),
        "steps": report.steps.iter().map(|one| span("step", one)).collect::<Vec<_>>(),
        "stages": report.stages.iter().map(|one| span("stage", one)).collect::<Vec<_>>(),
        "failed": report.bad.iter().map(|bad| json!({ "why": bad.why.as_str(), "became": bad.fate.name(), "flies": key(bad.flies) })).collect::<Vec<_>>(),
        "mishaps": report.mishaps.iter().map(happening).collect::<Vec<_>>(),
        "given-up": report.given_up.iter().map(happening).collect::<Vec<_>>(),
        "pauses": report.pauses.iter().map(|pause| json!({
            "fly": pause.fly, "seconds": exact(seconds(pause.ms)), "taken-out": pause.taken_out, "answered": pause.answered,
        })).collect::<Vec<_>>(),
        "changes": report.changes.iter().map(|change| json!({ "from-fly": change.from_fly, "what": change.what.as_str(), "to": change.to.as_str() })).collect::<Vec<_>>(),
        "lengths": report.lengths.iter().map(|length| json!({
            "what": length.what.as_str(), "card": key(length.card), "is": key(length.is), "passes": length.passes,
        })).collect::<Vec<_>>(),
        "out": report.out.iter().map(|out| json!({
            "of": out.name.as_str(), "unit": out.unit.as_str(), "amount": key(out.amount), "reckoned": key(out.reckoned), "by": known(out), "weight": weight(out),
        })).collect::<Vec<_>>(),
        "made": [{
            "dressing": head.dressing.as_str(), "revision": head.revision, "size": head.size.as_str(), "variant": head.variant.as_ref().map(Words::as_str),
            "run": head.number, "good": report.made.good, "seconds": report.made.seconds,
        }],
        "figures": json::figures(&report.sheet, &number),
    });
    if let (Value::Object(told), Value::Object(rest)) = (&mut told, rest) {
        told.insert("schema".to_owned(), json!(json::SCHEMA));
        told.extend(rest);
    }
    told
}

/// The figures of a run's report as CSV, one a row.
pub fn figures_csv(report: &Report) -> String {
    let row = |(_, key, row): (Fig, &str, &Row<Decimal>)| {
        vec![Cell::text(key), Cell::Number(row.value.round_dp(9).normalize().to_string()), Cell::text(row.unit.name()), Cell::text(row.standing.name())]
    };
    csv(&["figure", "value", "unit", "standing"], report.sheet.rows().map(row))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_and_moments_for_the_eye() {
        let s = |text: &str| time(text.parse().unwrap());
        assert_eq!([s("9.34"), s("-4"), s("59.96"), s("247.2"), s("-75"), s("3765")], ["9.3 s", "-4.0 s", "60.0 s", "4:07", "-1:15", "1:02:45"]);
        assert_eq!(time(Decimal::MAX), "5124095576030431:00:15");
        // 1970-01-01 is day nought; 2026-01-01 is 20,454 days later (ISO 8601).
        let noon = (20_454 * 24 + 12) * 3_600_000;
        assert_eq!((minute(noon + 61_500), moment(noon + 1_500).unwrap()), ("2026-01-01 12:01 UTC".to_owned(), "2026-01-01T12:00:01.5Z".to_owned()));
        assert_eq!((minute(noon), minute(i64::MAX), moment(i64::MIN)), ("2026-01-01 12:00 UTC".to_owned(), "at no time".to_owned(), None));
        assert_eq!((minute(-1), minute(i64::MIN)), ("1969-12-31 23:59 UTC".to_owned(), "at no time".to_owned()));
    }
}
