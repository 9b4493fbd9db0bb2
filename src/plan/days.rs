//! When: the runs laid into the bench's hours of work, with its days away, what must come by post, and what dries.
//!
//! Runs with the same silk, then the same dressing, follow one another, larger sizes first. The hands always take up the
//! first run in that order that can go on: whose materials are there, whose coats are dry, for whose flies the rack has
//! room. What dries takes no hands, overnight or over a day away.

use super::run::Draft;
use super::work::Planner;
use super::{Buying, Chart, Day, Laid};
use crate::dressing::{Habits, Order};
use crate::measure::Unit;
use crate::reckon::timings::Moments;
use crate::why::{Fig, Standing, cross};
use jiff::ToSpan;
use jiff::civil::Date;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

formula! { CHANCE: "probability that the hours needed are no more than those there", [Hour, Hour, Hour] then [] gives One,
"log-normal flies, their sum by its first two moments: L. F. Fenton (1960)",
|x| match x { [there, hours, stray] => cross(Moments::new(hours.to_f64()?, stray.to_f64()?)?.chance_within(there.to_f64()?.max(0.0))?), _ => None } }

const DAY: i64 = 86_400;
/// As many days are looked ahead.
const HORIZON: i64 = 1_500;
/// As many lots of flies are followed.
const MOST_LOTS: usize = 20_000;

/// The bench's hours, counted in seconds from the beginning of the first day.
struct Hours<'a> {
    first: Date,
    habits: &'a Habits,
}

impl Hours<'_> {
    fn date(&self, day: i64) -> Option<Date> {
        self.first.checked_add(day.days()).ok()
    }

    /// Spans of work on a day, in seconds of that day.
    fn spans(&self, day: i64) -> Vec<(i64, i64)> {
        let Some(date) = self.date(day) else { return Vec::new() };
        if self.habits.away.iter().any(|away| away.value.0 <= date && date <= away.value.1) {
            return Vec::new();
        }
        let week = self.habits.working.iter().find(|(weekday, _)| *weekday == date.weekday());
        let second = |time: &jiff::civil::Time| i64::from(time.hour()) * 3600 + i64::from(time.minute()) * 60;
        week.map(|(_, spans)| spans.iter().map(|(from, to)| (second(from), second(to))).collect()).unwrap_or_default()
    }

    /// Seconds of work on a day.
    fn there(&self, day: i64) -> i64 {
        self.spans(day).iter().map(|(from, to)| to - from).sum()
    }

    /// The next moment of work at or after `at`, and how long from there on without a break.
    fn next(&self, at: i64) -> Option<(i64, i64)> {
        let mut day = at.div_euclid(DAY);
        while day <= HORIZON {
            for (from, to) in self.spans(day) {
                let (from, to) = (day * DAY + from, day * DAY + to);
                if at < to {
                    let begin = at.max(from);
                    return Some((begin, to - begin));
                }
            }
            day += 1;
        }
        None
    }

    /// Seconds of work from one moment to another; below nought where the second is the earlier.
    fn between(&self, from: i64, to: i64) -> i64 {
        if to < from {
            return -self.between(to, from);
        }
        let within = |day: i64| -> i64 { self.spans(day).iter().map(|(a, b)| ((day * DAY + b).min(to) - (day * DAY + a).max(from)).max(0)).sum() };
        (from.div_euclid(DAY)..=to.div_euclid(DAY).min(HORIZON)).map(within).sum()
    }
}

/// A run while it is laid out.
struct Going {
    run: usize,
    /// Of each stretch the seconds of work and of drying.
    stretches: Vec<(i64, i64)>,
    flies: u64,
    /// The stretch in hand, and flies of it that are done.
    at: usize,
    done: u64,
    /// Before when it cannot go on.
    from: i64,
    begun: Option<i64>,
    ready: i64,
}

/// Lays the runs out. `None` where the bench does not say when it works, the day is not known, or no run has a time.
pub(super) fn work(p: &mut Planner<'_>, order: &Order, drafts: &[Draft], buying: Option<&Buying>, hours: Fig, stray: Option<Fig>) -> Option<Chart> {
    let first = p.given.today?;
    let given = p.given;
    if given.habits.working.iter().all(|(_, spans)| spans.is_empty()) {
        p.open.push("when it can be ready: bench.yaml says no hours of `working:`".to_owned());
        return None;
    }
    let calendar = Hours { first, habits: &given.habits };
    let rack = given.habits.rack.as_ref().map(|told| u64::from(told.value));
    let mut going: Vec<Going> = Vec::new();
    for run in in_order(drafts) {
        let Some((draft, worked)) = drafts.get(run).and_then(|draft| Some((draft, draft.hours?))) else { continue };
        let seconds = p.figures.value(worked).to_f64()? * 3600.0;
        if seconds <= 0.0 {
            continue;
        }
        let lead = buying.iter().flat_map(|buying| &buying.parcels).filter(|parcel| parcel.lines.iter().any(|line| line.runs.contains(&run)));
        let lead = lead.filter_map(|parcel| parcel.lead).map(|lead| p.figures.value(lead)).max().unwrap_or_default();
        let stretches = draft.stretches.iter().map(|stretch| ((seconds * stretch.share).ceil() as i64, stretch.dries.ceil() as i64)).collect();
        let flies = p.figures.value(draft.many.tied).ceil().to_u64()?.max(1);
        let from = lead.ceil().to_i64()?.checked_mul(DAY)?;
        going.push(Going { run, stretches, flies, at: 0, done: 0, from, begun: None, ready: 0 });
    }
    if going.is_empty() {
        return None;
    }
    let Some((work, end)) = lay(&calendar, rack, &mut going) else {
        p.open.push("when it can be ready: the work does not go into the bench's hours of the next four years, or is in too many small lots".to_owned());
        return None;
    };
    tell(p, order, &calendar, &going, &work, end, hours, stray)
}

/// Runs in the order in which they are tied: by silk as first met, then by dressing as first met, then the larger first.
fn in_order(drafts: &[Draft]) -> Vec<usize> {
    let first = |same: &dyn Fn(&Draft) -> bool| drafts.iter().position(same).unwrap_or(0);
    let mut runs: Vec<(usize, usize, i64, usize)> = drafts
        .iter()
        .enumerate()
        .map(|(nth, draft)| {
            (first(&|other| other.silk == draft.silk), first(&|other| other.dressing == draft.dressing && other.silk == draft.silk), draft.larger, nth)
        })
        .collect();
    runs.sort_unstable();
    runs.into_iter().map(|(.., nth)| nth).collect()
}

/// Seconds of work by day and run, and when the hands are done.
type Work = (Vec<(i64, usize, i64)>, i64);

fn lay(calendar: &Hours<'_>, rack: Option<u64>, going: &mut [Going]) -> Option<Work> {
    let mut work: Vec<(i64, usize, i64)> = Vec::new();
    // What is on the rack: until when, and how many.
    let mut drying: Vec<(i64, u64)> = Vec::new();
    let (mut now, mut end, mut lots) = (0_i64, 0_i64, 0_usize);
    loop {
        if going.iter().all(|run| run.at >= run.stretches.len()) {
            return Some((work, end));
        }
        lots += 1;
        if lots > MOST_LOTS {
            return None;
        }
        now = calendar.next(now)?.0;
        drying.retain(|(until, _)| *until > now);
        let taken: u64 = drying.iter().map(|(_, flies)| *flies).sum();
        let free = rack.map(|rack| rack.saturating_sub(taken));
        let lot = |run: &Going| -> Option<u64> {
            let (_, dries) = run.stretches.get(run.at)?;
            let left = run.flies - run.done;
            Some(if *dries == 0 { left } else { left.min(rack.unwrap_or(left)).max(1) })
        };
        let can = |run: &Going| -> bool {
            let dries = run.stretches.get(run.at).is_some_and(|(_, dries)| *dries > 0);
            run.from <= now && lot(run).is_some_and(|lot| !dries || free.is_none_or(|free| lot <= free))
        };
        let Some(run) = going.iter_mut().find(|run| can(run)) else {
            // The hands wait for what comes next: a parcel, a coat that is dry, a place on the rack.
            let waits = going.iter().filter(|run| run.at < run.stretches.len()).map(|run| run.from).chain(drying.iter().map(|(until, _)| *until));
            now = waits.filter(|at| *at > now).min()?;
            continue;
        };
        let flies = lot(run)?;
        let (whole, dries) = *run.stretches.get(run.at)?;
        // Of the whole stretch this lot's part, without a second lost in the parting.
        let part = |flies: u64| (i128::from(whole) * i128::from(flies) / i128::from(run.flies)) as i64;
        let mut left = part(run.done + flies) - part(run.done);
        let mut at = now;
        run.begun.get_or_insert(now);
        while left > 0 {
            let (begin, there) = calendar.next(at)?;
            let spent = left.min(there);
            match work.last_mut() {
                Some((day, last, seconds)) if *day == begin.div_euclid(DAY) && *last == run.run => *seconds += spent,
                _ => work.push((begin.div_euclid(DAY), run.run, spent)),
            }
            left -= spent;
            at = begin + spent;
        }
        now = at;
        end = end.max(at);
        run.ready = run.ready.max(at + dries);
        if dries > 0 {
            drying.push((at + dries, flies));
        }
        run.done += flies;
        if run.done >= run.flies {
            run.at += 1;
            run.done = 0;
            run.from = at + dries;
        }
    }
}

#[expect(clippy::too_many_arguments, reason = "all that was laid out, told at once")]
fn tell(
    p: &mut Planner<'_>,
    order: &Order,
    calendar: &Hours<'_>,
    going: &[Going],
    work: &[(i64, usize, i64)],
    end: i64,
    hours: Fig,
    stray: Option<Fig>,
) -> Option<Chart> {
    let from = format!("laid into the bench's hours from {} on", calendar.first);
    let standing = p.figures.at(hours).standing;
    let in_days = |p: &mut Planner<'_>, key: &str, day: i64| p.figures.given(p.figures.free_key(key), Decimal::from(day), Unit::Day, standing, from.clone());
    let keys: Vec<String> = p.run_keys.clone();
    let mut runs = Vec::new();
    for run in going {
        let key = keys.get(run.run)?;
        let (begun, ready) = (run.begun?.div_euclid(DAY), run.ready.div_euclid(DAY));
        in_days(p, &format!("{key}.begun-in"), begun);
        in_days(p, &format!("{key}.ready-in"), ready);
        runs.push(Laid { run: run.run, begun: calendar.date(begun)?, ready: calendar.date(ready)? });
    }
    let last = going.iter().map(|run| run.ready).max()?;
    let ready = last.div_euclid(DAY);
    in_days(p, "order.ready-in", ready);
    let post = order.post_days.as_ref().map(|told| told.value.ceil().to_i64()).unwrap_or(Some(0))?;
    let ready_in = p.figures.find("order.ready-in")?;
    let in_hand = calendar.date(ready.checked_add(post)?)?;
    if let Some(told) = &order.post_days {
        let post = p.figures.given("order.post", told.value.ceil(), Unit::Day, Standing::Stated, super::needs::place(&told.at));
        p.work("order.in-hand-in", &DAYS_SUM, &[ready_in, post])?;
    }
    let mut days: Vec<Day> = Vec::new();
    for (day, run, seconds) in work {
        let spent = cross(*seconds as f64 / 3600.0)?;
        let date = calendar.date(*day)?;
        if days.last().is_none_or(|last| last.date != date) {
            let there = cross(calendar.there(*day) as f64 / 3600.0)?;
            let there = p.figures.given(format!("day {date}.there"), there, Unit::Hour, Standing::Stated, "bench.yaml, `working:` and `away:`");
            days.push(Day { date, there, work: Vec::new() });
        }
        let fig = p.figures.given(p.figures.free_key(&format!("day {date}.{}", keys.get(*run)?)), spent, Unit::Hour, standing, from.clone());
        days.last_mut()?.work.push((*run, fig));
    }
    let (mut chance, mut late) = (None, None);
    if let Some(wanted) = &order.wanted {
        let to_post = wanted.value.checked_sub(post.days()).ok()?;
        let day = i64::from(calendar.first.until(to_post).ok()?.get_days());
        // All must be dry at the end of that day.
        let cutoff = (day + 1) * DAY - (last - end);
        let spare = cross(calendar.between(end, cutoff) as f64 / 3600.0)?;
        let told = format!("hours of work between the end of the work and the day to post by, {to_post}");
        let spare = p.figures.given("order.hours-to-spare", spare, Unit::Hour, standing, told);
        let there = p.work("order.hours-there", &super::formulas::HOURS_SUM, &[hours, spare])?;
        if let Some(stray) = stray {
            chance = p.work("order.chance", &CHANCE, &[there, hours, stray]);
        }
        late = (in_hand > wanted.value).then_some(wanted.value);
    }
    Some(Chart { runs, days, ready: calendar.date(ready)?, in_hand, chance, late })
}

formula! { DAYS_SUM: "sum", [] then [Day] gives Day, "arithmetic", |x| x.iter().try_fold(Decimal::ZERO, |all, one| all.checked_add(*one)) }

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::{Weekday, time};

    /// Work on Monday and Thursday evening, three hours each; the first day is a Monday.
    fn habits() -> Habits {
        let evening = vec![(time(18, 0, 0, 0), time(21, 0, 0, 0))];
        Habits { working: vec![(Weekday::Monday, evening.clone()), (Weekday::Thursday, evening)], ..Habits::default() }
    }

    fn run(run: usize, stretches: &[(i64, i64)], flies: u64) -> Going {
        Going { run, stretches: stretches.to_vec(), flies, at: 0, done: 0, from: 0, begun: None, ready: 0 }
    }

    fn laid(rack: Option<u64>, going: &mut [Going]) -> Work {
        let habits = habits();
        lay(&Hours { first: jiff::civil::date(2026, 11, 23), habits: &habits }, rack, going).unwrap()
    }

    #[test]
    fn work_goes_on_the_next_evening() {
        let mut going = [run(0, &[(4 * 3600, 0)], 12)];
        let (work, end) = laid(None, &mut going);
        assert_eq!(work, [(0, 0, 3 * 3600), (3, 0, 3600)]);
        assert_eq!(end, 3 * DAY + 19 * 3600);
    }

    #[test]
    fn a_coat_dries_overnight_without_hands_and_the_next_waits_for_it() {
        let mut going = [run(0, &[(3600, 8 * 3600), (1800, 8 * 3600)], 12), run(1, &[(3600, 0)], 6)];
        let (work, end) = laid(None, &mut going);
        // While the first coat dries the other run is tied; the second coat is laid on Thursday.
        assert_eq!(work, [(0, 0, 3600), (0, 1, 3600), (3, 0, 1800)]);
        assert_eq!((end, going[0].ready), (3 * DAY + 18 * 3600 + 1800, 3 * DAY + 26 * 3600 + 1800));
    }

    #[test]
    fn a_small_rack_takes_the_flies_in_lots() {
        let mut going = [run(0, &[(3600, 12 * 3600)], 12)];
        let (work, _) = laid(Some(6), &mut going);
        assert_eq!(work, [(0, 0, 1800), (3, 0, 1800)]);
    }

    #[test]
    fn a_day_away_is_no_day_of_work() {
        let mut habits = habits();
        let day = jiff::civil::date(2026, 11, 23);
        habits.away = vec![crate::diagnostic::Told::new((day, day), crate::diagnostic::At::file(std::path::PathBuf::from("bench.yaml")))];
        let calendar = Hours { first: day, habits: &habits };
        assert_eq!(calendar.next(0), Some((3 * DAY + 18 * 3600, 3 * 3600)));
        assert_eq!(calendar.between(0, 8 * DAY), 6 * 3600);
        assert_eq!(calendar.between(8 * DAY, 0), -6 * 3600);
    }

    #[test]
    fn hours_that_never_come_are_told() {
        let habits = Habits::default();
        let calendar = Hours { first: jiff::civil::date(2026, 11, 23), habits: &habits };
        assert_eq!(calendar.next(0), None);
    }
}
