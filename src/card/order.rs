//! Whether the steps come in an order that can be tied: each part tied in once, and before it is wound.

use super::worker::Worker;
use crate::diagnostic::{Diagnostic, Told};
use crate::dressing::{Act, Step, Way};
use crate::measure::words::fold;

/// Advice on steps as written; nothing here stops a card.
pub(super) fn advise(w: &mut Worker<'_>, steps: &[Step]) {
    for nth in 0..w.parts.len() {
        let part = &w.parts[nth];
        let Some(way) = part.fields.way.as_ref().map(|way| way.value) else { continue };
        let name = part.name.value.clone();
        let tied = named(steps, &name, |act| if let Act::TieIn(parts) = act { Some(parts) } else { None });
        let wound = named(steps, &name, |act| if let Act::Wind(parts) = act { Some(parts) } else { None });
        let winds = matches!(way, Way::Wound | Way::Weight | Way::Hackle | Way::Dubbed | Way::Spun | Way::Rope);
        if let [(_, first), (_, again), ..] = tied.as_slice() {
            let advice = Diagnostic::advice(format!("\"{name}\" is tied in twice"), again.at.clone()).also("the first time", first.at.clone());
            w.advise(advice.right("take it out of one of the steps"));
        }
        if let (Some((when_tied, tie)), Some((when_wound, wind))) = (tied.first(), wound.first())
            && when_wound < when_tied
        {
            let advice = Diagnostic::advice(format!("\"{name}\" is wound before it is tied in"), wind.at.clone()).also("tied in here", tie.at.clone());
            w.advise(advice.right("its `tie-in:` first"));
        }
        if let (Some((_, wind)), false) = (wound.first(), winds) {
            let advice = Diagnostic::advice(format!("\"{name}\" is `as: {}`, which is not wound", way.word()), wind.at.clone());
            w.advise(advice.right("`tie-in:`, or `fold:` for what is brought over"));
        }
        if let (Some((_, tie)), true, true) = (tied.first(), wound.is_empty(), matches!(way, Way::Wound | Way::Hackle | Way::Rope)) {
            w.advise(Diagnostic::advice(format!("\"{name}\" is tied in and never wound"), tie.at.clone()).right("its name in a step's `wind:`"));
        }
    }
}

/// Where acts of one sort name a part: the step's number, and the word in the file.
fn named<'s>(steps: &'s [Step], name: &str, parts: impl Fn(&'s Act) -> Option<&'s Vec<Told<String>>>) -> Vec<(usize, &'s Told<String>)> {
    let acts = steps.iter().enumerate().flat_map(|(nth, step)| step.acts.iter().map(move |act| (nth, act)));
    acts.filter_map(|(nth, act)| Some((nth, parts(act)?)))
        .flat_map(|(nth, told)| told.iter().map(move |told| (nth, told)))
        .filter(|(_, told)| fold(&told.value) == name)
        .collect()
}
