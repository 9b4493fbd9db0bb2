//! Own times: what earlier runs tell of a fly's time, and when the flies of a run will be tied, as a range.
//!
//! A time is learnt from flies that were tied to their end without a break: no mishap, not put aside, no pause that had
//! to be guessed, no sitting cut off in between ([`Run::marked`]). The middle one of them is taken (the median), which a
//! press forgotten or made twice does not move.

use super::run::Run;
use super::state::{Half, Place, Press, State};
use super::{Begun, Kind, Outline, Own, Part, Timing};
use crate::dressing::Size;
use crate::measure::words::fold;
use crate::measure::{Unit, Words};
use crate::reckon::timings::{Moments, spread};
use crate::why::{Fig, Formula, Geometry, Standing};
use std::collections::BTreeSet;

/// So many flies, the last ones tied, are learnt from: the hand grows quicker, and what it took two years ago is no guide.
/// Three dozen is this program's choice.
pub const MOST_FLIES: usize = 36;
/// Fewer flies tell nothing yet. This program's choice.
pub const LEAST_FLIES: usize = 3;

/// How many flies the expected time counts for beside own ones. This program's choice.
const WEIGHT: f64 = 3.0;
/// Own flies from which their own spread is believed. This program's choice.
const SPREAD_FROM: usize = 5;
/// Spread of a fly's time as a share of its mean, until there are so many. Assumed.
const SPREAD: f64 = 0.25;
/// The share of runs that end within the range told.
const WITHIN: f64 = 0.8;

/// An earlier run of the dressing.
#[derive(Clone, Copy, Debug)]
pub struct Earlier<'a> {
    /// Its size as written.
    pub size: &'a Words,
    /// Its variant as written.
    pub variant: Option<&'a Words>,
    /// The run.
    pub run: &'a Run,
}

/// Own time of a fly of this size, from earlier runs of the dressing, the newest first. Of another variant nothing is
/// learnt: it is another fly. A size with no history borrows from the nearest on either side, between them by their
/// ranks, and says from which.
pub fn history(earlier: &[Earlier<'_>], size: &Words, variant: Option<&Words>) -> Option<Own> {
    learnt(earlier, size, variant, &|run| clean(run).iter().rev().map(|fly| run.fly_ms(*fly)).collect())
}

/// Own time of each step, in the order of the outline, where steps were taken one by one; from runs with the same steps.
pub fn step_history(earlier: &[Earlier<'_>], size: &Words, variant: Option<&Words>, outline: &Outline) -> Vec<Option<Own>> {
    let alike: Vec<Earlier<'_>> = earlier.iter().copied().filter(|one| same_steps(one.run.outline(), outline)).collect();
    let of = |step| learnt(&alike, size, variant, &|run: &Run| step_times(run, step).into_iter().rev().collect());
    (0..outline.count()).map(of).collect()
}

/// The middle of times: of an even number, halfway between the two in the middle. `None` of none.
pub fn middle(times: &[u64]) -> Option<u64> {
    let mut all = times.to_vec();
    all.sort_unstable();
    let half = all.len() / 2;
    let upper = *all.get(half)?;
    Some(if all.len().is_multiple_of(2) { all.get(half - 1)?.midpoint(upper) } else { upper })
}

/// What times of one size tell.
struct OfSize<'a> {
    text: &'a Words,
    size: Option<Size>,
    times: Vec<u64>,
}

fn learnt(earlier: &[Earlier<'_>], size: &Words, variant: Option<&Words>, times: &dyn Fn(&Run) -> Vec<u64>) -> Option<Own> {
    let name = |variant: Option<&Words>| variant.map(|name| fold(name.as_str()));
    let wanted = Size::read(size.as_str());
    let same = |text: &Words, read: &Option<Size>| {
        let ranks = |a: &Size, b: &Size| (a.is_length(), a.is_noughts(), a.rank(false)) == (b.is_length(), b.is_noughts(), b.rank(false));
        read.as_ref().zip(wanted.as_ref()).map_or_else(|| fold(text.as_str()) == fold(size.as_str()), |(a, b)| ranks(a, b))
    };
    let mut all: Vec<OfSize<'_>> = Vec::new();
    for one in earlier.iter().filter(|one| one.run.begun().kind == Kind::Counted && name(one.variant) == name(variant)) {
        let nth = all.iter().position(|of| fold(of.text.as_str()) == fold(one.size.as_str())).unwrap_or(all.len());
        if nth == all.len() {
            all.push(OfSize { text: one.size, size: Size::read(one.size.as_str()), times: Vec::new() });
        }
        if let Some(of_size) = all.get_mut(nth) {
            of_size.times.extend(times(one.run));
            of_size.times.truncate(MOST_FLIES);
        }
    }
    all.retain(|of| of.times.len() >= LEAST_FLIES);
    let flies = |of: &OfSize<'_>| u32::try_from(of.times.len()).unwrap_or(u32::MAX);
    if let Some(of) = all.iter().find(|of| same(of.text, &of.size)) {
        return Some(Own { ms: middle(&of.times)?, flies: flies(of), of_size: None });
    }
    // On an old scale numbers count the other way, and only there noughts stand.
    let wanted = wanted?;
    let old = wanted.is_noughts() || all.iter().any(|of| of.size.as_ref().is_some_and(Size::is_noughts));
    let here = wanted.rank(old);
    let away = |of: &OfSize<'_>| of.size.as_ref().filter(|size| size.is_length() == wanted.is_length()).map(|size| size.rank(old).saturating_sub(here));
    let side =
        |larger: bool| all.iter().filter_map(|of| away(of).filter(|way| (*way < 0) == larger).map(|way| (way.unsigned_abs(), of))).min_by_key(|(way, _)| *way);
    match (side(true), side(false)) {
        (Some((before, larger)), Some((after, smaller))) => {
            let (one, other) = (middle(&larger.times)? as f64, middle(&smaller.times)? as f64);
            // Two ranks differ, so the way between is never nought.
            let ms = one + (other - one) * before as f64 / (before + after) as f64;
            let from = Words::from(format!("{} and {}", larger.text, smaller.text));
            Some(Own { ms: ms.round() as u64, flies: flies(larger).saturating_add(flies(smaller)), of_size: Some(from) })
        }
        (Some((_, of)), None) | (None, Some((_, of))) => Some(Own { ms: middle(&of.times)?, flies: flies(of), of_size: Some(of.text.clone()) }),
        (None, None) => None,
    }
}

/// Whether two outlines have the same steps; their words differ from size to size by their figures.
fn same_steps(one: &Outline, other: &Outline) -> bool {
    let places = |outline: &Outline| outline.steps().iter().map(|step| (step.card, step.stage)).collect::<Vec<_>>();
    places(one) == places(other)
}

/// The flies tied to their end without a break, in order.
pub(super) fn clean(run: &Run) -> Vec<u32> {
    let marked = run.marked();
    run.tied().iter().copied().filter(|fly| !marked.contains(fly)).collect()
}

/// What a step took on each of those flies, in order, where it was taken by itself.
pub(super) fn step_times(run: &Run, step: usize) -> Vec<u64> {
    let clean: BTreeSet<u32> = clean(run).into_iter().collect();
    let alone = |timing: &Timing| timing.steps == (step..step + 1) && clean.contains(&timing.fly);
    run.timings().iter().filter(|timing| alone(timing)).map(|timing| timing.ms / u64::from(timing.flies.max(1))).collect()
}

impl Press {
    /// The flies it covered, by number.
    fn covers(&self) -> std::ops::Range<u32> {
        let flies = self.tray.as_ref().map_or(1, |covered| u32::try_from(covered.len()).unwrap_or(u32::MAX));
        self.fly..self.fly.saturating_add(flies)
    }
}

impl Run {
    /// The flies whose time is not that of a fly tied without a break: a mishap befell them, they were put aside, a long
    /// time was taken for a pause, or the sitting was cut off with them in hand. What one press covered of a tray is
    /// marked as one.
    pub fn marked(&self) -> BTreeSet<u32> {
        let State { mishaps, put_aside, cut_off, idle, presses, .. } = &self.state;
        let paused = idle.keys().filter_map(|place| if let Place::Fly { fly, .. } = place { Some(*fly) } else { None });
        let mut marked: BTreeSet<u32> = mishaps.iter().chain(put_aside).chain(cut_off).copied().chain(paused).collect();
        for press in presses.iter().filter(|press| press.covers().len() > 1) {
            if press.covers().any(|fly| marked.contains(&fly)) {
                marked.extend(press.covers());
            }
        }
        marked
    }
}

/// How much work the flies of a run still are, as a range, with the figures behind it.
#[derive(Clone)]
pub struct Estimate {
    /// Milliseconds, the lower bound.
    pub low_ms: u64,
    /// Milliseconds, the upper bound.
    pub high_ms: u64,
    /// Flies still to be tied, those half done among them.
    pub flies: u32,
    /// The spread is assumed: too few flies of this run are timed yet.
    pub assumed: bool,
    /// The lower bound on the sheet.
    pub low: Fig,
    /// The upper bound on the sheet.
    pub high: Fig,
    /// The figures.
    pub sheet: Geometry,
}

macro_rules! formula {
    ($name:ident: $text:literal, [$($takes:ident),*] then [$($then:ident),*] gives $gives:ident, $source:literal, $of:expr) => {
        static $name: Formula<f64> = Formula { text: $text, takes: &[$(Unit::$takes),*], then: &[$(Unit::$then),*], gives: Unit::$gives, source: $source, of: $of };
    };
}

formula! { MEAN: "sum / number", [] then [S] gives S, "arithmetic", |x| Some(x.iter().sum::<f64>() / x.len() as f64).filter(|mean| mean.is_finite()) }
formula! { DEVIATION: "standard deviation of a sample", [] then [S] gives S, "any text on statistics; over one less than the number", |x| spread(x).map(|seen| seen.sd) }
formula! { ALL_STEPS: "time of the steps that have one x all steps / those", [S, One, One] then [] gives S, "assumed: a step without a time takes as long as the others on the average",
|x| match x { [time, all, told] => Some(time * all / told).filter(|time| time.is_finite()), _ => None } }
formula! { LEANING: "(weight x expected + flies x their mean) / (weight + flies)", [One, S, One, S] then [] gives S, "own flies against the expected time, as if that had been seen on so many flies (Gelman and others, Bayesian Data Analysis, chapter 2)",
|x| match x { [weight, expected, flies, mean] => Some((weight * expected + flies * mean) / (weight + flies)).filter(|mean| mean.is_finite()), _ => None } }
formula! { SHARE: "deviation / mean", [S, S] then [] gives One, "arithmetic", |x| match x { [sd, mean] => Some(sd / mean).filter(|share| share.is_finite()), _ => None } }
formula! { SPENT: "sum of the times spent on flies half done, each no more than a whole fly's", [S] then [S] gives S, "arithmetic",
|x| { let (mean, spent) = x.split_first()?; Some(spent.iter().map(|time| time.min(*mean)).sum()) } }
formula! { LEFT: "flies left x time of a fly - what is spent on those half done", [One, S, S] then [] gives S, "arithmetic",
|x| match x { [flies, mean, spent] => Some((flies * mean - spent).max(0.0)).filter(|left| left.is_finite()), _ => None } }
formula! { LEFT_DEVIATION: "with n = work left / time of a fly: time of a fly x spread x sqrt(n + n x n / flies known)", [S, S, One, One] then [] gives S,
"variance of a sum of n times each off by itself, and of their mean, which is off alike for all", |x| match x {
    [left, mean, share, known] if *mean > 0.0 && *known > 0.0 => {
        let flies = left / mean;
        Some(mean * share * (flies + flies * flies / known).sqrt()).filter(|sd| sd.is_finite())
    }
    _ => None,
} }
formula! { LOW: "lower bound of a log-normal time with this mean and deviation: 8 of 10 lie between the bounds, 1 below", [S, S] then [] gives S,
"L. F. Fenton, IRE Transactions on Communications Systems 8 (1960) 57: a sum by its first two moments", |x| bounds(x).map(|(low, _)| low) }
formula! { HIGH: "upper bound of a log-normal time with this mean and deviation: 8 of 10 lie between the bounds, 1 above", [S, S] then [] gives S,
"L. F. Fenton, IRE Transactions on Communications Systems 8 (1960) 57: a sum by its first two moments", |x| bounds(x).map(|(_, high)| high) }

fn bounds(x: &[f64]) -> Option<(f64, f64)> {
    let [mean, sd] = x else { return None };
    Moments::new(*mean, *sd)?.range(WITHIN).map(|range| (range.low, range.high))
}

const EVENTS: &str = "the run's events";

/// How much work the flies of the run still are when the sitting's steady clock says `ran_ms`. From its own flies that
/// were tied without a break, leaning on the expected time while they are few. `None` where nothing is known, or no fly
/// is left to be tied.
pub fn estimate(run: &Run, ran_ms: u64) -> Option<Estimate> {
    let view = run.view(ran_ms);
    let target = run.state.target;
    let flies = target.saturating_sub(view.counts.tied);
    if flies == 0 {
        return None;
    }
    let mut sheet = Geometry::new();
    let one = |sheet: &mut Geometry, key: &str, count: f64, from: &'static str| sheet.given(key, count, Unit::One, Standing::Measured, from);
    let left = one(&mut sheet, "flies-left", f64::from(flies), EVENTS);

    let clean = clean(run);
    let last = clean.get(clean.len().saturating_sub(MOST_FLIES)..).unwrap_or_default();
    let own: Vec<Fig> = last.iter().map(|fly| seconds(&mut sheet, &format!("fly {fly}.time"), run.fly_ms(*fly))).collect();
    let timed = one(&mut sheet, "own.flies", own.len() as f64, "the last three dozen flies of this run tied without a break");
    let own_mean = if own.is_empty() { None } else { sheet.work("own.mean", &MEAN, &own) };
    let expected = expected(&run.begun, &mut sheet);
    let weight = sheet.given("expected.weight", WEIGHT, Unit::One, Standing::Assumed, "this program's choice: the expected time counts as so many flies");
    let (mean, known) = match (own_mean, expected) {
        (Some(own), Some(expected)) => (sheet.work("fly.mean", &LEANING, &[weight, expected, timed, own])?, WEIGHT + last.len() as f64),
        (Some(own), None) => (own, last.len() as f64),
        (None, Some(expected)) => (expected, WEIGHT),
        (None, None) => return None,
    };
    let known = one(&mut sheet, "flies-known", known, "own flies, and those the expected time counts for");

    let deviation = if own.len() >= SPREAD_FROM { sheet.work("own.deviation", &DEVIATION, &own) } else { None };
    let own_spread = deviation.zip(own_mean).and_then(|(sd, mean)| sheet.work("fly.spread", &SHARE, &[sd, mean]));
    let assumed = own_spread.is_none();
    let assumption = "a quarter of a fly's time, until five flies of this run are timed";
    let share = own_spread.unwrap_or_else(|| sheet.given("fly.spread", SPREAD, Unit::One, Standing::Assumed, assumption));

    let mut spent = vec![mean];
    for (fly, ms) in half_done(run, ran_ms) {
        spent.push(seconds(&mut sheet, &format!("fly {fly}.so-far"), ms));
    }
    let spent = sheet.work("half-done", &SPENT, &spent)?;
    let left = sheet.work("left.mean", &LEFT, &[left, mean, spent])?;
    let deviation = sheet.work("left.deviation", &LEFT_DEVIATION, &[left, mean, share, known])?;
    let low = sheet.work("estimate.low", &LOW, &[left, deviation])?;
    let high = sheet.work("estimate.high", &HIGH, &[left, deviation])?;
    let ms = |fig| (sheet.value(fig) * 1000.0).round() as u64;
    Some(Estimate { low_ms: ms(low), high_ms: ms(high), flies, assumed, low, high, sheet })
}

fn seconds(sheet: &mut Geometry, key: &str, ms: u64) -> Fig {
    sheet.given(key, ms as f64 / 1000.0, Unit::S, Standing::Measured, EVENTS)
}

/// The time of a fly as expected when the run was begun.
fn expected(begun: &Begun, sheet: &mut Geometry) -> Option<Fig> {
    let count = begun.outline.count();
    let expected = begun.expected(0..count).filter(|expected| expected.ms > 0)?;
    let (standing, from) = expected_from(begun);
    let given = sheet.given("expected", expected.ms as f64 / 1000.0, Unit::S, standing, from);
    if expected.untold == 0 {
        return Some(given);
    }
    let all = sheet.given("expected.steps", count as f64, Unit::One, Standing::Stated, "the dressing's steps at the vice");
    let told = sheet.given("expected.steps-told", (count - expected.untold) as f64, Unit::One, Standing::Assumed, "steps that have a time");
    sheet.work("expected.whole", &ALL_STEPS, &[given, all, told])
}

/// How well the expected time of a whole fly is known, and from where.
pub(super) fn expected_from(begun: &Begun) -> (Standing, String) {
    match &begun.own {
        Some(Own { flies, of_size: None, .. }) => (Standing::Learnt, format!("the middle time of {flies} flies of earlier runs")),
        Some(Own { flies, of_size: Some(size), .. }) => {
            (Standing::Interpolated, format!("the middle time of {flies} flies of earlier runs in size {size}, for want of any in this one"))
        }
        None if begun.outline.whole().is_some() => (Standing::Stated, "the dressing's time of a whole fly".to_owned()),
        // Whether a step's time was told or is a usual one stands on the card; the weaker is taken.
        None => (Standing::Usual, "the times of the steps, as they stood on the card when the run was begun".to_owned()),
    }
}

/// The flies begun and not tied yet that something was spent on, with the ms spent.
fn half_done(run: &Run, ran_ms: u64) -> Vec<(u32, u64)> {
    let state = &run.state;
    let in_hand = run.state.in_hand().filter(|_| state.part == Part::Tying);
    let tray = state.tray.iter().flat_map(|tray| tray.flies.iter().copied());
    let all: BTreeSet<u32> = state.hand.iter().chain(&state.aside).map(|half| half.fly).chain(tray).collect();
    let spent = |fly: u32| match in_hand {
        Some(Half { fly: here, .. }) if here == fly => run.view(ran_ms).elapsed_ms,
        _ => run.fly_ms(fly),
    };
    all.into_iter().map(|fly| (fly, spent(fly))).filter(|(_, ms)| *ms > 0).collect()
}

#[cfg(test)]
mod tests {
    use super::super::sample::{OPENED, depth, go, outline, steps, whole};
    use super::super::{Depth, Did, Habits, Step};
    use super::*;

    /// A run of flies that took these ms each, in one press.
    fn tied(flies: u32, ms: &[u64]) -> Run {
        let mut run = Run::new(steps(&[0, 0, 1], flies));
        go(&mut run, [(OPENED, 0), (depth(Depth::Fly), 0)]);
        go(&mut run, ms.iter().map(|ms| (Did::On, *ms)));
        run
    }

    fn own(runs: &[(&str, Option<&str>, &Run)], size: &str, variant: Option<&str>) -> Option<(u64, u32, Option<String>)> {
        let words: Vec<_> = runs.iter().map(|(size, variant, _)| (Words::new(size), variant.map(Words::new))).collect();
        let earlier: Vec<_> = words.iter().zip(runs).map(|((size, variant), (.., run))| Earlier { size, variant: variant.as_ref(), run }).collect();
        let own = history(&earlier, &Words::new(size), variant.map(Words::new).as_ref())?;
        Some((own.ms, own.flies, own.of_size.map(String::from)))
    }

    #[test]
    fn the_middle_is_not_moved_by_one_far_off() {
        assert_eq!((middle(&[]), middle(&[7]), middle(&[9, 2, 4]), middle(&[8, 2, 6, 4])), (None, Some(7), Some(4), Some(5)));
        let run = tied(9, &[300_000, 310_000, 305_000, 4_000_000, 200]);
        assert_eq!(own(&[("14", None, &run)], "14", None), Some((305_000, 5, None)));
    }

    #[test]
    fn two_flies_tell_nothing_and_a_size_of_its_own_comes_first() {
        let (few, many) = (tied(9, &[100, 100]), tied(9, &[200, 210, 220]));
        assert_eq!(own(&[("14", None, &few)], "14", None), None);
        assert_eq!(own(&[("14", None, &few), ("12", None, &many)], "14", None), Some((210, 3, Some("12".to_owned()))));
        let more = tied(9, &[90]);
        assert_eq!(own(&[("14", None, &more), ("14", None, &few), ("12", None, &many)], "14", None), Some((100, 3, None)), "two runs together");
    }

    #[test]
    fn a_size_without_history_borrows_between_its_neighbours_by_rank() {
        let (ten, sixteen, eighteen) = (tied(3, &[100_000; 3]), tied(3, &[160_000; 3]), tied(3, &[900_000; 3]));
        let all = [("18", None, &eighteen), ("10", None, &ten), ("16", None, &sixteen)];
        // A third of the way from 10 to 16.
        assert_eq!(own(&all, "12", None), Some((120_000, 6, Some("10 and 16".to_owned()))));
        assert_eq!(own(&all, "2/0", None), Some((100_000, 3, Some("10".to_owned()))));
        assert_eq!(own(&all, "20", None), Some((900_000, 3, Some("18".to_owned()))));
        assert_eq!(own(&all, "2 in", None), None, "a length is no neighbour of a number");
        assert_eq!(own(&all, "large", None), None);
        // The old scale counts the other way: 00 lies below 0, 2 above 1.
        let old = [("00", None, &ten), ("2", None, &sixteen)];
        assert_eq!(own(&old, "0", None), Some((120_000, 6, Some("2 and 00".to_owned()))));
    }

    #[test]
    fn another_variant_is_another_fly() {
        let (dark, plain) = (tied(3, &[100; 3]), tied(3, &[200; 3]));
        let all = [("14", Some("Dark"), &dark), ("14", None, &plain)];
        assert_eq!(own(&all, "14", Some("dark")), Some((100, 3, None)));
        assert_eq!(own(&all, "14", None), Some((200, 3, None)));
        assert_eq!(own(&all, "14", Some("female")), None);
    }

    #[test]
    fn the_last_three_dozen_flies_count() {
        let (new, old) = (tied(30, &[100; 30]), tied(30, &[900; 30]));
        assert_eq!(own(&[("14", None, &new), ("14", None, &old)], "14", None), Some((100, 36, None)));
        let slow_first: Vec<u64> = [900; 30].into_iter().chain([100; 30]).collect();
        assert_eq!(own(&[("14", None, &tied(60, &slow_first))], "14", None), Some((100, 36, None)), "and the last of a run");
    }

    #[test]
    fn flies_with_a_break_teach_nothing() {
        let mut run = Run::new(Begun { layout: Vec::new(), ..whole(&[0, 0, 1], 20) });
        let fly = |ms| [(depth(Depth::Fly), 0), (Did::On, ms)];
        go(&mut run, [(OPENED, 0)]);
        go(&mut run, fly(30_000));
        go(&mut run, [(depth(Depth::Step), 0), (Did::On, 10_000), (Did::Mishap, 5000)]);
        go(&mut run, fly(30_000));
        go(&mut run, [(depth(Depth::Step), 0), (Did::On, 10_000), (Did::PutAside, 1), (Did::TookUp { fly: 3 }, 1)]);
        go(&mut run, fly(30_000));
        // Ten minutes where half a minute is expected: a pause nobody told of. And one that was told.
        go(&mut run, fly(600_000));
        go(&mut run, [(Did::Paused, 10_000), (Did::WentOn, 900_000)]);
        go(&mut run, fly(20_000));
        // Cut off in the middle of a fly; and left in order in the middle of one.
        go(&mut run, [(depth(Depth::Step), 0), (Did::On, 10_000), (OPENED, 0)]);
        go(&mut run, fly(10_000));
        go(&mut run, [(depth(Depth::Step), 0), (Did::On, 10_000), (Did::Closed, 5000), (OPENED, 0)]);
        go(&mut run, fly(15_000));
        assert_eq!(run.tied(), [1, 2, 3, 4, 5, 6, 7]);
        assert_eq!(run.marked().into_iter().collect::<Vec<_>>(), [2, 3, 4, 6]);
        assert_eq!(own(&[("14", None, &run)], "14", None), Some((30_000, 3, None)));
        let about = run.questions().iter().find(|question| question.fly == 4).unwrap().about;
        go(&mut run, [(Did::Answered { about, answer: Words::new(super::super::WORK) }, 1)]);
        assert!(!run.marked().contains(&4), "it was work after all");
    }

    #[test]
    fn a_press_for_a_tray_is_marked_as_one() {
        let mut run = Run::new(Begun { tray: Some(3), layout: Vec::new(), ..whole(&[0, 1], 6) });
        go(&mut run, [(OPENED, 0), (depth(Depth::Stage), 0), (Did::On, 9000), (Did::Mishap, 10), (Did::On, 9000), (Did::On, 9000), (Did::On, 1)]);
        assert_eq!(run.marked().into_iter().collect::<Vec<_>>(), [2]);
        go(&mut run, [(depth(Depth::Fly), 0), (Did::On, 27_000)]);
        assert_eq!(run.marked().into_iter().collect::<Vec<_>>(), [1, 2, 3]);
    }

    #[test]
    fn steps_are_learnt_where_they_were_taken_one_by_one() {
        let mut run = Run::new(Begun { habits: Some(Habits::default()), ..steps(&[0, 0, 1], 9) });
        go(&mut run, [(OPENED, 0)]);
        for late in 0..3 {
            go(&mut run, [(Did::On, 5000 + late), (Did::On, 20_000), (Did::On, 9000)]);
        }
        go(&mut run, [(Did::On, 34_000)]);
        let (size, other) = (Words::new("14"), Words::new("16"));
        let earlier = [Earlier { size: &size, variant: None, run: &run }];
        let ms = |size, outline| step_history(&earlier, size, None, outline).iter().map(|own| own.as_ref().map(|own| own.ms)).collect::<Vec<_>>();
        assert_eq!(ms(&size, run.outline()), [Some(5001), Some(20_000), Some(9000)]);
        assert_eq!(ms(&other, run.outline()), [Some(5001), Some(20_000), Some(9000)], "borrowed");
        assert_eq!(ms(&size, &outline(&[0, 0, 0])), [None, None, None], "other steps");
    }

    fn figure(estimate: &Estimate, key: &str) -> f64 {
        estimate.sheet.find(key).map_or(f64::NAN, |fig| estimate.sheet.value(fig))
    }

    #[test]
    fn an_estimate_leans_on_the_expected_time_until_own_flies_tell() {
        // Thirty seconds are expected. At first that is all that is known: ten flies.
        let mut run = tied(10, &[]);
        let first = estimate(&run, 0).unwrap();
        assert_eq!((first.flies, first.assumed, figure(&first, "left.mean")), (10, true, 300.0));
        // Worked apart: variance 10 x 7.5² + 10² x 7.5² / 3; of the logarithm ln(1 + 2437.5 / 300²) = 0.0267231, halved
        // off its middle; the bounds 1.2815516 deviations to either side.
        assert!((figure(&first, "left.deviation") - 2437.5_f64.sqrt()).abs() < 1e-9);
        assert!((first.low_ms, first.high_ms) == (240_068, 365_008), "{} {}", first.low_ms, first.high_ms);
        // Three flies of 60 s weigh as much as the expectation.
        go(&mut run, [(Did::On, 60_000), (Did::On, 60_000), (Did::On, 60_000)]);
        let few = estimate(&run, 180_000).unwrap();
        assert_eq!((few.flies, few.assumed, figure(&few, "fly.mean"), figure(&few, "left.mean")), (7, true, 45.0, 315.0));
        // Twenty seconds of the fly in hand are done already.
        assert_eq!(figure(&estimate(&run, 200_000).unwrap(), "left.mean"), 295.0);
        assert_eq!(figure(&estimate(&run, 900_000).unwrap(), "left.mean"), 270.0, "one that takes long is no more than done");
        go(&mut run, [(Did::On, 60_000), (Did::On, 66_000)]);
        let known = estimate(&run, 306_000).unwrap();
        assert!(!known.assumed && (figure(&known, "fly.spread") - 2.683_281_573 / 61.2).abs() < 1e-9);
        assert!((known.high_ms - known.low_ms) < (few.high_ms - few.low_ms) / 2);
        for fig in [known.low, known.high] {
            assert_eq!(known.sheet.again(fig), Some(known.sheet.value(fig)));
        }
        go(&mut run, std::iter::repeat_n((Did::On, 60_000), 5));
        assert!(estimate(&run, 0).is_none(), "no fly is left");
    }

    #[test]
    fn nothing_known_is_no_estimate_and_steps_without_a_time_are_like_the_others() {
        let step = |nth, seconds| Step { card: nth, stage: 0, text: Words::new("tie"), seconds, key: None };
        let of = |times: &[Option<f64>]| {
            let steps = times.iter().enumerate().map(|(nth, seconds)| step(nth, *seconds)).collect();
            let mut run = Run::new(Begun::of_steps(Outline::new(steps, None).unwrap(), 2));
            go(&mut run, [(OPENED, 0)]);
            run
        };
        assert!(estimate(&of(&[None, None]), 0).is_none());
        assert_eq!(figure(&estimate(&of(&[Some(10.0), None, Some(20.0)]), 0).unwrap(), "left.mean"), 90.0);
        let mut run = of(&[None]);
        go(&mut run, [(Did::On, 50_000)]);
        assert_eq!(figure(&estimate(&run, 50_000).unwrap(), "left.mean"), 50.0, "one own fly is better than nothing");
        assert!(estimate(&of(&[Some(1e300)]), u64::MAX).is_none_or(|all| all.low_ms <= all.high_ms));
    }

    #[test]
    fn four_runs_of_five_end_within_the_range() {
        // Times as a log-normal with a spread of a fifth gives them, by a fixed row of numbers (a linear congruence).
        let mut seed = 7u64;
        let mut chance = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            ((seed >> 11) as f64 + 0.5) / (1u64 << 53) as f64
        };
        let moments = Moments::new(28_000.0, 5600.0).unwrap();
        let (mut within, all) = (0, 400);
        for _ in 0..all {
            let times: Vec<u64> = (0..24).map(|_| moments.kept(chance()).unwrap().round() as u64).collect();
            let run = tied(24, &times[..8]);
            let so_far = times[..8].iter().sum();
            let left: u64 = times[8..].iter().sum();
            let told = estimate(&run, so_far).unwrap();
            within += u32::from((told.low_ms..=told.high_ms).contains(&left));
        }
        let share = f64::from(within) / f64::from(all);
        assert!((0.74..=0.88).contains(&share), "{share}");
    }
}
