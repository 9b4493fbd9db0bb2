//! A report from the state of a run.

use super::super::run::Run;
use super::super::state::{Asked, Place, State};
use super::super::times::{clean, expected_from};
use super::super::{Bad, Did, Fate, How, Kind, Part, Taken, Timing};
use super::{Between, Failed, FlyTimes, Happening, Made, Measured, Out, Pause, Report, Span, formulas as f, seconds, unit};
use crate::measure::{Unit, Words};
use crate::why::{Fig, Figures, Standing, cross};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

const EVENTS: &str = "the run's events";

/// Everything there is to tell of a run as far as it has come.
pub fn report(run: &Run) -> Report {
    let mut sheet = Figures::new();
    let counts = run.counts();
    let by = Counted::new(&mut sheet, run);
    let passed_at_once = passed(&mut sheet, &by);
    let fly = fly_times(&mut sheet, run);
    let parts = parts(&mut sheet, run);
    let all: Vec<Fig> = parts.iter().map(|(_, fig)| *fig).collect();
    let all = sum(&mut sheet, "time.all", &all);
    let rested = seconds_of(&mut sheet, "time.rested", rested(run), "the pauses that were told");
    let taken_out = seconds_of(&mut sheet, "time.taken-out", run.idle_ms(), "what was longer than the stated multiple of the expected time");
    let (steps, stages) = spans(&mut sheet, run);
    let out = run.taken().iter().filter_map(|taken| out(&mut sheet, taken, &by)).collect();
    let lengths = (0..run.begun.lengths.len()).filter_map(|nth| length(&mut sheet, run, nth)).collect();
    let good = if run.begun.kind == Kind::Sample { Made { good: 0, seconds: 0 } } else { Made { good: counts.passed, seconds: counts.seconds } };
    Report {
        kind: run.begun.kind,
        part: run.part(),
        counts,
        passed_at_once,
        fly,
        parts,
        all,
        rested,
        taken_out,
        steps,
        stages,
        bad: by.bad,
        mishaps: happenings(run, |asked| matches!(asked, Asked::Mishap)),
        given_up: given_up(run),
        pauses: pauses(run),
        changes: run.changes().to_vec(),
        out,
        lengths,
        agreed: run.agreed(),
        made: good,
        sheet,
    }
}

/// Counts on the sheet.
struct Counted {
    started: Fig,
    tied: Fig,
    waiting: Fig,
    failed: Fig,
    bad: Vec<Failed>,
}

impl Counted {
    fn new(sheet: &mut Figures, run: &Run) -> Self {
        let counts = run.counts();
        let mut one = |key: &str, count: u32| sheet.given(format!("flies.{key}"), Decimal::from(count), Unit::One, Standing::Measured, EVENTS);
        let (started, tied) = (one("started", counts.started), one("tied", counts.tied));
        for (key, count) in
            [("aside", counts.aside), ("in-hand", counts.in_hand), ("given-up", counts.given_up), ("passed", counts.passed), ("mended", counts.mended)]
        {
            one(key, count);
        }
        let waiting = one("waiting", counts.waiting);
        for (key, count) in [("seconds", counts.seconds), ("stripped", counts.stripped), ("lost", counts.lost)] {
            one(key, count);
        }
        let mut by: BTreeMap<(Fate, &Words), u32> = BTreeMap::new();
        for Bad { why, fate, flies } in run.bad() {
            let all = by.entry((*fate, why)).or_default();
            *all = all.saturating_add(*flies);
        }
        let failed = one("failed", by.values().fold(0, |all, flies| all.saturating_add(*flies)));
        let mut rest = |key: String, count: u32| sheet.given(key, Decimal::from(count), Unit::One, Standing::Measured, EVENTS);
        rest("mishaps".to_owned(), counts.mishaps);
        rest("found-bad".to_owned(), counts.found_bad);
        let mut bad: Vec<(u32, Failed)> = by
            .into_iter()
            .map(|((fate, why), flies)| (flies, Failed { why: why.clone(), fate, flies: rest(format!("bad {why}, {}.flies", fate.name()), flies) }))
            .collect();
        bad.sort_by_key(|(flies, _)| std::cmp::Reverse(*flies));
        Counted { started, tied, waiting, failed, bad: bad.into_iter().map(|(_, failed)| failed).collect() }
    }
}

fn passed(sheet: &mut Figures, by: &Counted) -> Option<Between> {
    let looked_over = sheet.work("flies.looked-over", &f::LOOKED_OVER, &[by.tied, by.waiting])?;
    let at_once = sheet.work("flies.good-at-once", &f::AT_ONCE, &[looked_over, by.failed])?;
    let share = sheet.work("pass-rate", &f::SHARE, &[at_once, looked_over])?;
    let low = sheet.work("pass-rate.low", &f::WILSON_LOW, &[at_once, looked_over])?;
    let high = sheet.work("pass-rate.high", &f::WILSON_HIGH, &[at_once, looked_over])?;
    Some(Between { share, low, high })
}

fn seconds_of(sheet: &mut Figures, key: impl AsRef<str>, ms: u64, from: &'static str) -> Fig {
    sheet.given(key, seconds(ms), Unit::S, Standing::Measured, from)
}

/// The sum; nought where it is none or out of all bounds.
fn sum(sheet: &mut Figures, key: &str, all: &[Fig]) -> Fig {
    let worked = if all.is_empty() { None } else { sheet.work(key, &f::SUM, all) };
    worked.unwrap_or_else(|| sheet.given(key, Decimal::ZERO, Unit::S, Standing::Measured, EVENTS))
}

fn fly_times(sheet: &mut Figures, run: &Run) -> Option<FlyTimes> {
    let clean = clean(run);
    let within: BTreeSet<u32> = clean.iter().copied().collect();
    let mut times = Vec::new();
    for fly in run.tied() {
        let marked = !within.contains(fly);
        let from = if marked { "the run's events; not tied without a break, so in no mean" } else { EVENTS };
        let fig = seconds_of(sheet, format!("fly {fly}.time"), run.fly_ms(*fly), from);
        if !marked {
            times.push(fig);
        }
    }
    let timed = Decimal::from(clean.len());
    let timed =
        sheet.given("fly.timed", timed, Unit::One, Standing::Measured, "flies tied to their end without a mishap, a pause guessed at or being put aside");
    let mean = sheet.work("fly.mean", &f::MEAN, &times)?;
    let (middle, least, most) =
        (sheet.work("fly.median", &f::MIDDLE, &times)?, sheet.work("fly.least", &f::LEAST, &times)?, sheet.work("fly.most", &f::MOST, &times)?);
    let deviation = sheet.work("fly.deviation", &f::DEVIATION, &times);
    let needed = deviation.and_then(|sd| sheet.work("fly.timings-needed", &f::NEEDED, &[sd, mean]));
    let count = run.begun.outline.count();
    let expected = run.begun.expected(0..count).map(|expected| {
        let (standing, from) = expected_from(&run.begun);
        let from = if expected.untold == 0 { from } else { format!("{from}; {} steps without a time are not in it", expected.untold) };
        sheet.given("fly.expected", seconds(expected.ms), Unit::S, standing, from)
    });
    let against = expected.and_then(|expected| sheet.work("fly.against-expected", &f::AGAINST, &[mean, expected]));
    Some(FlyTimes { timed, mean, median: middle, least, most, expected, against, needed })
}

/// The part of the run a place belongs to.
fn part_of(place: &Place) -> Part {
    match place {
        Place::LayingOut(_) => Part::LayingOut,
        Place::Fly { .. } | Place::Counting { .. } | Place::NoFly => Part::Tying,
        Place::Measuring(_) => Part::Measuring,
        Place::Agreeing => Part::Agreeing,
        Place::Finishing(_) => Part::Finishing,
        Place::LookingOver => Part::LookingOver,
        Place::Booking => Part::Booking,
    }
}

fn parts(sheet: &mut Figures, run: &Run) -> Vec<(Part, Fig)> {
    let State { spent, idle, .. } = &run.state;
    let mut by: BTreeMap<Part, u64> = BTreeMap::new();
    for (place, ms) in spent {
        let all = by.entry(part_of(place)).or_default();
        *all = all.saturating_add(ms.saturating_sub(idle.get(place).copied().unwrap_or(0)));
    }
    by.into_iter().map(|(part, ms)| (part, seconds_of(sheet, format!("time.{}", part.words().replace(' ', "-")), ms, EVENTS))).collect()
}

/// Milliseconds the hands rested, as told: from a pause to going on or to the end of the sitting.
fn rested(run: &Run) -> u64 {
    let mut since = None;
    let mut all = 0u64;
    for event in run.events() {
        match event.did {
            Did::Paused => since = Some(event.ran_ms),
            Did::WentOn | Did::Closed => all = all.saturating_add(since.take().map_or(0, |since: u64| event.ran_ms.saturating_sub(since))),
            // A sitting that was cut off while the hands rested: how long is not known.
            Did::Opened { .. } => since = None,
            _ => {}
        }
    }
    all
}

/// Times of steps and of stages, the slowest against expectation first.
fn spans(sheet: &mut Figures, run: &Run) -> (Vec<Span>, Vec<Span>) {
    let clean: BTreeSet<u32> = clean(run).into_iter().collect();
    let timings: Vec<Timing> = run.timings().into_iter().filter(|timing| clean.contains(&timing.fly)).collect();
    let outline = run.outline();
    let all_of = |stretch: &Range<usize>| times_of(&timings, stretch);
    let steps = (0..outline.count()).filter_map(|nth| span(sheet, run, "step", nth, nth..nth + 1, &all_of(&(nth..nth + 1)))).collect();
    let stages = (0..outline.stages()).filter_map(|nth| span(sheet, run, "stage", nth, outline.stage(nth), &all_of(&outline.stage(nth)))).collect();
    (slowest(sheet, steps), slowest(sheet, stages))
}

/// The times (ms a fly) of a stretch of steps: of each fly that was timed at its beginning and its end.
fn times_of(timings: &[Timing], stretch: &Range<usize>) -> Vec<u64> {
    let mut by_fly: BTreeMap<u32, (usize, u64)> = BTreeMap::new();
    for timing in timings.iter().filter(|timing| stretch.start <= timing.steps.start && timing.steps.end <= stretch.end) {
        let (steps, ms) = by_fly.entry(timing.fly).or_default();
        *steps += timing.steps.len();
        *ms = ms.saturating_add(timing.ms / u64::from(timing.flies.max(1)));
    }
    by_fly.into_values().filter(|(steps, _)| *steps == stretch.len()).map(|(_, ms)| ms).collect()
}

fn span(sheet: &mut Figures, run: &Run, what: &str, nth: usize, steps: Range<usize>, times: &[u64]) -> Option<Span> {
    if times.is_empty() {
        return None;
    }
    let key = format!("{what} {}", nth + 1);
    let each: Vec<Fig> = times.iter().map(|ms| seconds_of(sheet, sheet.free_key(&format!("{key}.timing")), *ms, EVENTS)).collect();
    let time = sheet.work(format!("{key}.time"), &f::MEAN, &each)?;
    let outline = run.outline();
    let told = outline.steps().get(steps.clone())?;
    let whole = told.iter().all(|step| step.seconds.is_some());
    let from = "the times of the steps, as they stood on the card when the run was begun";
    // What the steps were told to take, even where own time of a whole fly is known.
    let expected = whole.then(|| told.iter().filter_map(|step| step.seconds).sum::<f64>()).map(|all| (all * 1000.0).round() as u64);
    let expected = expected.map(|ms| sheet.given(format!("{key}.expected"), seconds(ms), Unit::S, Standing::Usual, from));
    let over = expected.and_then(|expected| sheet.work(format!("{key}.over"), &f::OVER, &[time, expected]));
    Some(Span { number: nth + 1, steps: (steps.start + 1, steps.end), text: told.first()?.text.clone(), timed: times.len(), time, expected, over })
}

fn slowest(sheet: &Figures, mut all: Vec<Span>) -> Vec<Span> {
    // Those nothing was expected of come last, the longest first.
    all.sort_by_key(|span| std::cmp::Reverse((span.over.map(|over| sheet.value(over)), sheet.value(span.time))));
    all
}

fn happenings(run: &Run, of: fn(&Asked) -> bool) -> Vec<Happening> {
    let asked = run.questions().iter().filter(|question| of(&question.asked));
    asked.map(|question| Happening { fly: question.fly, what: Words::new(question.holds()), answered: question.answer.is_some() }).collect()
}

fn given_up(run: &Run) -> Vec<Happening> {
    let mut all = happenings(run, |asked| matches!(asked, Asked::GivenUp));
    let asked: BTreeSet<u32> = all.iter().map(|one| one.fly).collect();
    let missing = run.state.given_up.iter().filter(|fly| !asked.contains(fly));
    all.extend(missing.map(|fly| Happening { fly: *fly, what: Words::new("missing when the tray was counted"), answered: true }));
    all.sort_by_key(|one| one.fly);
    all
}

fn pauses(run: &Run) -> Vec<Pause> {
    let one = |question: &super::super::Question| match question.asked {
        Asked::Pause { place, ms } => {
            Some(Pause { fly: question.fly, ms, taken_out: run.state.idle.contains_key(&place), answered: question.answer.is_some() })
        }
        _ => None,
    };
    run.questions().iter().filter_map(one).collect()
}

fn out(sheet: &mut Figures, taken: &Taken<'_>, by: &Counted) -> Option<Out> {
    let (material, reckoned) = (taken.material, taken.reckoned);
    let (name, of) = (&material.name, unit(material.unit.as_str()));
    let card = "the card as it stood when the run was begun";
    let a_fly = sheet.given(format!("{name}.a-fly"), reckoned.a_fly, of, Standing::Stated, card);
    let back = sheet.given(
        format!("{name}.came-back"),
        Decimal::from(reckoned.back),
        Unit::One,
        Standing::Measured,
        "flies that were stripped, where it comes back whole",
    );
    let bad = sheet.given(format!("{name}.found-bad"), Decimal::from(reckoned.bad), of, Standing::Measured, "bad ones found while laying out");
    let formula = f::out_of(of);
    let worked = formula.and_then(|formula| sheet.work(format!("{name}.reckoned"), formula, &[a_fly, by.started, back, bad]));
    let reckoned = worked.unwrap_or_else(|| sheet.given(format!("{name}.reckoned"), reckoned.amount, of, Standing::Stated, card));
    let Some((told, how)) = taken.told else {
        return Some(Out { name: name.clone(), unit: material.unit.clone(), reckoned, amount: reckoned, how: None });
    };
    let from = match how {
        How::Counted => "told at the booking: counted or measured".to_owned(),
        How::Weighed { before, after } => format!("told at the booking: {before} g before the run, {after} g after it"),
    };
    let amount = sheet.given(format!("{name}.used"), told, of, Standing::Measured, from);
    Some(Out { name: name.clone(), unit: material.unit.clone(), reckoned, amount, how: Some(how.clone()) })
}

fn length(sheet: &mut Figures, run: &Run, nth: usize) -> Option<Measured> {
    let told = run.begun.lengths.get(nth)?;
    let is = run.measured_mm(nth)?;
    let card = sheet.given(format!("{}.card", told.key), cross(told.mm)?, Unit::Mm, Standing::Stated, "the card of the sample");
    let from = if run.measured().get(nth).copied().flatten().is_some() { "the sample, measured" } else { "the sample: as it should be" };
    let is_fig = sheet.given(format!("{}.sample", told.key), cross(is)?, Unit::Mm, Standing::Measured, from);
    Some(Measured { what: told.what.clone(), card, is: is_fig, passes: told.passes(is) })
}
