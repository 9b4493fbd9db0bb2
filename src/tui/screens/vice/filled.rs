//! What is filled in at a part of the run, and what lies over it: one of several forms, each with what is typed in it.

use super::booking::Booking;
use super::change::Change;
use super::looking_over::LookingOver;
use super::measuring::Measuring;
use super::put_aside::PutAside;
use super::questions::Questions;
use crate::tui::keys::Deed;
use crate::vice::{Did, Part, Run};

/// What is filled in at a part of the run.
pub(super) enum Form {
    None,
    Measuring(Measuring),
    LookingOver(LookingOver),
    Booking(Booking),
}

/// What lies over the run.
pub(super) enum Over {
    /// The questions that waited; asked for, or on the way out.
    Questions(Questions),
    /// The flies put aside.
    PutAside(PutAside),
    /// A change from the fly in hand on.
    Change(Change),
    /// How many flies of the tray have the stage that is left in the middle.
    Reached(u32),
}

impl Form {
    pub(super) fn of(run: &Run) -> Self {
        match run.part() {
            Part::Measuring => Form::Measuring(Measuring::new(run)),
            Part::LookingOver => Form::LookingOver(LookingOver::new(run)),
            Part::Booking => Form::Booking(Booking::new(run)),
            _ => Form::None,
        }
    }

    pub(super) fn fits(&self, part: Part) -> bool {
        match self {
            Form::Measuring(_) => part == Part::Measuring,
            Form::LookingOver(_) => part == Part::LookingOver,
            Form::Booking(_) => part == Part::Booking,
            Form::None => !matches!(part, Part::Measuring | Part::LookingOver | Part::Booking),
        }
    }

    pub(super) fn booked(&mut self, did: &Did, run: &Run) {
        match self {
            Form::None => {}
            Form::Measuring(form) => form.booked(did, run),
            Form::LookingOver(form) => form.booked(did, run),
            Form::Booking(form) => form.booked(did, run),
        }
    }

    /// What a key books; `None` where there is no form.
    pub(super) fn go(&mut self, deed: Deed, run: &Run) -> Option<Option<Did>> {
        Some(match self {
            Form::None => return None,
            Form::Measuring(form) => form.go(deed, run),
            Form::LookingOver(form) => form.go(deed, run),
            Form::Booking(form) => form.go(deed, run),
        })
    }
}
