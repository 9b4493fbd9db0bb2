//! What stands below the page of a run: a pause, a rest that is due, what is put aside, questions that wait, a file that has
//! moved on, and what to mind.

use super::at_hand::AtHand;
use super::drawn::{Drawn, Today};
use crate::dressing::Way;
use crate::tui::keys::{Deed, Key};
use crate::tui::widgets::Paint;
use crate::vice::{Part, State, View};

impl AtHand {
    /// What stands below the words, and whether it stands out.
    pub(super) fn said(&self, view: &View, paint: Paint<'_>) -> Vec<(String, bool)> {
        let key = |deed, wish| paint.look.keys.key(deed, self.place(), wish).unwrap_or_default();
        let on = || key(Deed::GoOn, Key::Char(' '));
        let mut said = Vec::new();
        match view.state {
            State::Resting => said.push((format!("PAUSED: time stands still; {} goes back to work and passes over no step.", on()), true)),
            State::Away => said.push((format!("No sitting is open: {} opens one.", on()), true)),
            State::Tying | State::RunDone => {}
        }
        if view.state == State::Tying && view.rest_due {
            said.push((
                format!("{} min at work: a rest is due whenever it suits ({} pauses).", view.spell_ms / 60_000, key(Deed::Rest, Key::Char('p'))),
                false,
            ));
        }
        if view.part == Part::Tying && !self.run.aside().is_empty() && view.state != State::RunDone {
            let flies: Vec<String> = self.run.aside().iter().map(|half| half.fly.to_string()).collect();
            said.push((format!("put aside: fly {} ({} takes it up again)", flies.join(", "), key(Deed::TakeAside, Key::Char('t'))), false));
        }
        let waiting = self.unanswered();
        if waiting > 0 {
            let word = if waiting == 1 { "question waits" } else { "questions wait" };
            said.push((format!("{waiting} {word}: {}", key(Deed::Questions, Key::Char('l'))), false));
        }
        match &self.today {
            Today::Moved { revision, .. } if *revision != self.row.begun.revision => {
                said.push((
                    format!(
                        "The file has moved on to revision {revision}; this run stays at {} ({}: what differs).",
                        self.row.begun.revision,
                        key(Deed::Differs, Key::Char('i'))
                    ),
                    false,
                ));
            }
            Today::Moved { .. } => {
                said.push((format!("The file has changed; this run stays as it was begun ({}: what differs).", key(Deed::Differs, Key::Char('i'))), false))
            }
            Today::Gone if self.row.begun.card.is_some() || self.fly.card().is_some() => {
                said.push(("The dressing is not on the bench any more; the run stays as it was begun.".to_owned(), false))
            }
            Today::Same | Today::Gone => {}
        }
        said.extend(self.caution(view.part).map(|text| (text, false)));
        if let Drawn::Nothing(why) = self.fly {
            said.push((why.to_owned(), false));
        }
        said
    }

    /// What to mind, once a run, where it belongs: of points at the first press, of lead while it is laid out, of vapour and
    /// lamp before the first coat.
    fn caution(&self, part: Part) -> Option<String> {
        const COATS: &str = "Varnish and resin: fresh air, no flame, the lamp never in the eyes, and what the label and safety sheet of yours say.";
        let coats = self.fly.card().is_none_or(|card| card.needs.iter().any(|need| need.way == Way::Coat));
        let lead = self.fly.card().is_some_and(|card| card.needs.iter().any(|need| need.material.contains("lead")));
        let first = self.run.last_done().is_none();
        match part {
            Part::LayingOut if first => Some(format!(
                "Points are sharp: mind fingers and eyes, your own and others'.{}",
                if lead { " Lead: wash hands, keep it from food and children; some waters forbid it." } else { "" }
            )),
            Part::Tying if first && !self.run.begun().whole => Some(format!(
                "Points are sharp: mind fingers and eyes, your own and others'.{}",
                if coats { " Varnish and resin: fresh air, and what their label and safety sheet say." } else { "" }
            )),
            Part::Finishing if self.run.clocks().is_empty() && coats => Some(COATS.to_owned()),
            _ => None,
        }
    }
}
