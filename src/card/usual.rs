//! Steps where a dressing has none: written from its parts in the usual order, with usual times, marked so.

use super::custom;
use super::worker::{Lean, Worker};
use crate::diagnostic::{At, Rule, Told};
use crate::dressing::{Act, Bed, Landmark, Of, Per, Place, Step, Term, Time, Way, When};
use crate::measure::Fraction;
use std::sync::LazyLock;

/// Usual times, as a small table (its page tells what they rest on).
const TIMES: &str = include_str!("usual_times.csv");

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

/// The usual steps: a bed of silk back to the rearmost part, all tied in, wound in order, whipped off. What is
/// wound over another part follows it at once; a hackle goes over before the rib that ties it down.
pub(super) fn steps(w: &mut Worker<'_>) -> Vec<Step> {
    let at = ruled(&w.dressing.name.at, "the steps in the usual order", "usual at benches, no source");
    let mut steps = Vec::new();
    let tied: Vec<usize> = (0..w.parts.len()).filter(|nth| way(w, *nth).is_some_and(|way| !matches!(way, Way::Coat | Way::Whole))).collect();
    let mut starts: Vec<(usize, f64)> = Vec::new();
    for nth in tied.iter().copied() {
        if let Some(fig) = w.figure_of(nth, Lean::Start, &at) {
            starts.push((nth, w.value(fig)));
        }
    }
    let rearmost = starts.iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(nth, _)| w.parts[*nth].name.value.clone());
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
    let (carried, ties): (Vec<usize>, Vec<usize>) = tied.into_iter().partition(|nth| w.parts[*nth].fields.carries_on.is_some());
    steps.extend(ties.iter().map(|nth| step(&at, "tie-in", way(w, *nth), Act::TieIn(vec![name(w, *nth, &at)]))));
    steps.extend(winding_order(w).into_iter().map(|nth| step(&at, "wind", way(w, nth), Act::Wind(vec![name(w, nth, &at)]))));
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

fn winding_order(w: &Worker<'_>) -> Vec<usize> {
    let winds = |nth: usize| winds(w, nth);
    let named = |told: Option<&Told<String>>| told.and_then(|told| w.parts.iter().position(|part| part.name.value == told.value));
    let over = |nth: usize| named(w.parts[nth].fields.over.as_ref());
    let under = |nth: usize| named(w.parts[nth].fields.under.as_ref());
    let mut order = Vec::new();
    for nth in (0..w.parts.len()).filter(|nth| winds(*nth) && over(*nth).is_none() && under(*nth).is_none()) {
        // What lies under a part goes on before it.
        order.extend((0..w.parts.len()).filter(|other| winds(*other) && under(*other) == Some(nth)));
        order.push(nth);
        let mut above: Vec<usize> = (0..w.parts.len()).filter(|other| winds(*other) && over(*other) == Some(nth)).collect();
        // Hackles first: the rib goes over them.
        above.sort_by_key(|other| way(w, *other) != Some(Way::Hackle));
        order.extend(above);
    }
    // What is wound over a part that is itself not wound comes last.
    let left: Vec<usize> = (0..w.parts.len()).filter(|nth| winds(*nth) && !order.contains(nth)).collect();
    order.extend(left);
    order
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
