//! What can be drawn of a run: the card it was begun with, as it was kept; and how today's differs from it.

use super::dressing_of;
use crate::card::differs::{Difference, Topic, differs};
use crate::card::hook_line::P2;
use crate::card::{self, Card, frozen};
use crate::dressing::Dressing;
use crate::ledger::NewRun;
use crate::measure::words::fold;
use crate::tui::Desk;
use crate::tui::screens::fly;
use crate::vice::Outline;
use std::rc::Rc;

/// What can be drawn of a run.
pub(super) enum Drawn {
    /// The card it was begun with.
    Card { card: Rc<Card>, frame: Option<(P2, P2)> },
    /// None that its steps belong to; what is told instead.
    Nothing(&'static str),
}

/// How the dressing stands today beside the run.
pub(super) enum Today {
    /// As it is tied.
    Same,
    /// Otherwise.
    Moved { revision: u32, differs: Vec<Difference> },
    /// It is not there any more, or cannot be worked.
    Gone,
}

const CHANGED: &str = "The dressing has been changed since this run was begun. The steps are those it was begun with; it cannot be drawn with them any more.";
const GONE: &str =
    "The dressing of this run is not on the bench any more, not in this size and variant, or cannot be worked. The steps are those the run was begun with.";

impl Drawn {
    pub(super) fn card(&self) -> Option<&Rc<Card>> {
        match self {
            Drawn::Card { card, .. } => Some(card),
            Drawn::Nothing(_) => None,
        }
    }

    pub(super) fn frame(&self) -> Option<(P2, P2)> {
        match self {
            Drawn::Card { frame, .. } => *frame,
            Drawn::Nothing(_) => None,
        }
    }

    fn of(card: Card) -> Self {
        let frame = fly::frame(&card);
        Drawn::Card { card: Rc::new(card), frame }
    }

    /// The card a run was begun with: as it was kept with the run, else (a run of the first form keeps none) worked anew
    /// where its steps are still those it was begun with.
    pub(super) fn new(begun: &NewRun, kept: Option<&str>, desk: &Desk) -> Self {
        if let Some(card) = kept.and_then(|text| frozen::thaw(text).ok()) {
            return Drawn::of(card);
        }
        let Some(dressing) = dressing_of(begun, desk) else { return Drawn::Nothing(GONE) };
        let Some(card) = worked(begun, dressing, desk) else { return Drawn::Nothing(GONE) };
        let steps = |outline: &Outline| outline.steps().iter().map(|step| (step.card, step.stage, step.text.clone())).collect::<Vec<_>>();
        let now = Outline::of(&card, dressing.time.as_ref().map(|time| time.value));
        if begun.revision != card.revision || !now.is_ok_and(|now| steps(&now) == steps(&begun.begun.outline)) {
            return Drawn::Nothing(CHANGED);
        }
        Drawn::of(card)
    }

    /// How the dressing stands today.
    pub(super) fn today(&self, begun: &NewRun, desk: &Desk) -> Today {
        let Some(then) = self.card() else { return Today::Same };
        // While the bench is still being read a dressing may only not be there yet.
        let gone = || if desk.unread > 0 { Today::Same } else { Today::Gone };
        let Some(dressing) = dressing_of(begun, desk) else { return gone() };
        let Some(now) = worked(begun, dressing, desk) else { return gone() };
        // The figures of the laying out are the run's own, and what others were worked from says nothing new.
        let mut differs = differs(then, &now);
        differs.retain(|one| one.topic != Topic::Beneath && !one.what.as_str().starts_with("laying out"));
        if differs.is_empty() { Today::Same } else { Today::Moved { revision: now.revision, differs } }
    }
}

/// The card of a run's dressing, size and variant as it is worked today.
pub(super) fn worked(begun: &NewRun, dressing: &Dressing, desk: &Desk) -> Option<Card> {
    let size = dressing.sizes.iter().find(|size| size.value.text() == begun.size.as_str())?;
    let variant = begun.variant.as_ref().map(|variant| fold(variant.as_str()));
    let known = variant.as_ref().is_none_or(|variant| dressing.variants.contains_key(variant));
    card::work(dressing, size, variant.as_deref(), None, &desk.shelf).ok().filter(|_| known)
}
