//! Steps where a dressing has none: written from its parts in the usual order, with usual times, marked so.

use super::custom;
use super::worker::{Lean, Worker};
use crate::diagnostic::{At, Rule, Told};
use crate::dressing::{Act, Bed, Landmark, Of, Per, Place, Step, Term, Time, Way, When};
use crate::measure::Fraction;
use indexmap::IndexMap;
use std::sync::LazyLock;

/// Usual times, as a small table (its page tells what they rest on).
const TIMES: &str = include_str!("usual_times.csv");

/// Two places nearer than this, mm, are one.
const SAME_PLACE: f64 = 1e-6;

/// How long an act usually takes.
struct UsualTime {
    act: &'static str,
    /// For a part that goes on so; for any where `None`.
    goes_on: Option<Way>,
    seconds: Fraction,
    source: &'static str,
}

static TABLE: LazyLock<Vec<UsualTime>> = LazyLock::new(|| {
    let row = |row: Vec<&'static str>| match row.as_slice() {
        [act, goes_on, seconds, source] => Some(UsualTime { act, goes_on: custom::way(goes_on)?, seconds: Fraction::parse(seconds)?, source }),
        _ => None,
    };
    custom::rows(TIMES).filter_map(row).collect()
});

/// The usual steps: a bed of silk back to the rearmost part; then the parts in the order they are told, what lies behind
/// a place wound before anything is tied in at it, so that nothing stands in the way; whipped off. What is wound over
/// another part follows it at once; a hackle goes over before the rib that ties it down.
pub(super) fn steps(w: &mut Worker<'_>) -> Vec<Step> {
    let at = ruled(&w.dressing.name.at, "the steps in the usual order", "usual at benches, no source");
    let mut steps = Vec::new();
    let tied: Vec<usize> = (0..w.parts.len()).filter(|nth| way(w, *nth).is_some_and(|way| !matches!(way, Way::Coat | Way::Whole))).collect();
    // Of each: where it is tied in, and how near the eye it comes.
    let mut places: IndexMap<usize, (f64, f64)> = IndexMap::new();
    for nth in tied.iter().copied() {
        let Some(start) = w.figure_of(nth, Lean::Start, &at).map(|fig| w.value(fig)) else { continue };
        // Only what is wound has an end that others wait for.
        let end = if winds(w, nth) { w.figure_of(nth, Lean::End, &at).map_or(start, |fig| w.value(fig)) } else { start };
        places.insert(nth, (start, start.min(end)));
    }
    let rearmost = places.iter().max_by(|(_, a), (_, b)| a.0.total_cmp(&b.0)).map(|(nth, _)| w.parts[*nth].name.value.clone());
    if let Some(rearmost) = rearmost {
        let bead = w.value(w.marks.bead) > 0.0;
        let front = if bead {
            Place { mark: Landmark::Bead, off: Vec::new() }
        } else {
            let one_eye = Term { times: Fraction::ONE, of: Of::Hook(crate::dressing::HookLength::Eye), within: 0..0 };
            Place { mark: Landmark::Eye, off: vec![one_eye] }
        };
        let back = Place { mark: Landmark::Start(rearmost), off: Vec::new() };
        let act = Act::Silk { bed: Bed::Touching, from: Told::new(front, at.clone()), to: Told::new(back, at.clone()) };
        steps.push(step(&at, "silk", None, act));
    }
    // Fibres that go on from another part are on the hook already; what is folded of them waits for what is wound.
    let (carried, ties): (Vec<usize>, Vec<usize>) = tied.iter().copied().partition(|nth| w.parts[*nth].fields.carries_on.is_some());
    let mut waiting = winding_groups(w);
    let mut ready: Vec<usize> = Vec::new();
    for nth in tied {
        if let Some(here) = places.get(&nth).map(|(start, _)| *start) {
            // A group goes on together, once all of it is on the hook and all of it lies behind the place.
            let done =
                |group: &Vec<usize>| group.iter().all(|nth| ready.contains(nth) && places.get(nth).is_some_and(|(_, front)| *front >= here - SAME_PLACE));
            let (now, later): (Vec<Vec<usize>>, Vec<Vec<usize>>) = waiting.into_iter().partition(done);
            steps.extend(now.into_iter().flatten().map(|nth| wind(w, nth, &at)));
            waiting = later;
        }
        // Dubbing has no end to tie in: it goes on with the silk, or in a loop of it.
        if ties.contains(&nth) && !matches!(way(w, nth), Some(Way::Dubbed | Way::Spun)) {
            steps.push(step(&at, "tie-in", way(w, nth), Act::TieIn(vec![name(w, nth, &at)])));
        }
        ready.push(nth);
    }
    steps.extend(waiting.into_iter().flatten().map(|nth| wind(w, nth, &at)));
    let folded = carried.into_iter().filter(|nth| !winds(w, *nth)).collect::<Vec<_>>();
    steps.extend(folded.into_iter().map(|nth| step(&at, "fold", way(w, nth), Act::TieIn(vec![name(w, nth, &at)]))));
    let brought_over: Vec<usize> = ties.into_iter().filter(|nth| is_brought_over(w, *nth)).collect();
    steps.extend(brought_over.into_iter().map(|nth| step(&at, "fold", way(w, nth), Act::Fold(vec![name(w, nth, &at)]))));
    let turns = ruled(&w.dressing.name.at, "5 turns", "five turns: Fly Anglers OnLine, tying tips part 169 (whip finish)");
    steps.push(step(&at, "finish", None, Act::Finish(Told::new(Fraction::whole(5), turns))));
    steps
}

fn ruled(at: &At, text: &str, source: &str) -> At {
    at.ruled(Rule { custom: false, text: text.to_owned(), source: source.to_owned() })
}

/// A slip that goes from one place to another is tied in at the one and brought over to the other.
fn is_brought_over(w: &Worker<'_>, nth: usize) -> bool {
    let Some(part) = w.parts.get(nth) else { return false };
    let fields = &part.fields;
    let flat = way(w, nth).is_some_and(|way| matches!(way, Way::Slip | Way::Strip | Way::Sheet));
    flat && fields.length.is_none() && fields.reach.is_none() && (fields.to.is_some() || fields.over.is_some())
}

/// What is wound, in order; what lies under or over a part stands in one group with it.
fn winding_groups(w: &Worker<'_>) -> Vec<Vec<usize>> {
    let winds = |nth: usize| winds(w, nth);
    let named = |told: Option<&Told<String>>| told.and_then(|told| w.parts.iter().position(|part| part.name.value == told.value));
    let over = |nth: usize| named(w.parts[nth].fields.over.as_ref());
    let under = |nth: usize| named(w.parts[nth].fields.under.as_ref());
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for nth in (0..w.parts.len()).filter(|nth| winds(*nth) && over(*nth).is_none() && under(*nth).is_none()) {
        // What lies under a part goes on before it.
        let mut group: Vec<usize> = (0..w.parts.len()).filter(|other| winds(*other) && under(*other) == Some(nth)).collect();
        group.push(nth);
        let mut above: Vec<usize> = (0..w.parts.len()).filter(|other| winds(*other) && over(*other) == Some(nth)).collect();
        // Hackles first: the rib goes over them.
        above.sort_by_key(|other| way(w, *other) != Some(Way::Hackle));
        group.extend(above);
        groups.push(group);
    }
    // What is wound over a part that is itself not wound comes last.
    let left: Vec<usize> = (0..w.parts.len()).filter(|nth| winds(*nth) && !groups.iter().flatten().any(|other| other == nth)).collect();
    groups.extend(left.into_iter().map(|nth| vec![nth]));
    groups
}

/// Whether a part is wound.
fn winds(w: &Worker<'_>, nth: usize) -> bool {
    way(w, nth).is_some_and(|way| matches!(way, Way::Wound | Way::Weight | Way::Rope | Way::Hackle | Way::Dubbed | Way::Spun))
}

fn way(w: &Worker<'_>, nth: usize) -> Option<Way> {
    w.parts[nth].fields.way.as_ref().map(|way| way.value)
}

fn name(w: &Worker<'_>, nth: usize, at: &At) -> Told<String> {
    Told::new(w.parts[nth].name.value.clone(), at.clone())
}

fn wind(w: &Worker<'_>, nth: usize, at: &At) -> Step {
    step(at, "wind", way(w, nth), Act::Wind(vec![name(w, nth, at)]))
}

fn step(at: &At, what: &str, way: Option<Way>, act: Act) -> Step {
    let fits = |row: &&UsualTime| row.act == what && (row.goes_on.is_none() || row.goes_on == way);
    let time = TABLE.iter().find(fits).map(|row| {
        let at = ruled(at, &format!("{} s", row.seconds), &format!("usual time, {}", row.source));
        Told::new(Time { seconds: row.seconds, per: Per::Fly }, at)
    });
    Step { at: at.clone(), when: When::AtTheVice, acts: vec![act], text: None, time, dries: None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_usual_time_is_read_and_names_its_source() {
        assert_eq!(TABLE.len(), custom::rows(TIMES).count(), "a row was not understood");
        assert!(TABLE.iter().all(|row| !row.source.is_empty() && !row.seconds.is_negative()));
        for act in ["silk", "tie-in", "wind", "fold", "finish"] {
            assert!(TABLE.iter().any(|row| row.act == act && row.goes_on.is_none()), "{act} has a time for any part");
        }
    }
}
