//! Steps where a dressing has none: written from its parts in the usual order, marked so.

use super::worker::{Lean, Worker};
use crate::diagnostic::{At, Told};
use crate::dressing::{Act, Bed, Landmark, Of, Place, Step, Term, Way, When};
use crate::measure::Fraction;

/// The usual steps: a bed of silk back to the rearmost part, all tied in, wound in order, whipped off. What is
/// wound over another part follows it at once; a hackle goes over before the rib that ties it down.
pub(super) fn steps(w: &mut Worker<'_>) -> Vec<Step> {
    let at = w.dressing.name.at.clone();
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
        steps.push(step(&at, Act::Silk { bed: Bed::Touching, from: Told::new(front, at.clone()), to: Told::new(back, at.clone()) }));
    }
    // Fibres that go on from another part are on the hook already; what is folded of them waits for what is wound.
    let (carried, ties): (Vec<usize>, Vec<usize>) = tied.into_iter().partition(|nth| w.parts[*nth].fields.carries_on.is_some());
    steps.extend(ties.into_iter().map(|nth| step(&at, Act::TieIn(vec![name(w, nth, &at)]))));
    steps.extend(winding_order(w).into_iter().map(|nth| step(&at, Act::Wind(vec![name(w, nth, &at)]))));
    let folded = carried.into_iter().filter(|nth| !winds(w, *nth)).collect::<Vec<_>>();
    steps.extend(folded.into_iter().map(|nth| step(&at, Act::TieIn(vec![name(w, nth, &at)]))));
    steps.push(step(&at, Act::Finish(Told::new(Fraction::whole(5), at.clone()))));
    steps
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

fn step(at: &At, act: Act) -> Step {
    Step { at: at.clone(), when: When::AtTheVice, acts: vec![act], text: None, time: None, dries: None }
}
