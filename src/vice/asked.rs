//! The questions of a run and what can be answered: each has its choices, and one of them holds until it is answered.

use super::state::{Asked, Question, WORK};

/// It was none of the others, or nobody has said.
const OTHER: &str = "other";
/// What a long time is taken for.
const PAUSE: &str = "a pause";

impl Asked {
    /// What can be answered, in the order it is shown.
    pub fn choices(self) -> &'static [&'static str] {
        match self {
            Asked::Mishap => &["silk broke", "step missed", "material broke or slipped", OTHER],
            Asked::GivenUp => &["hook", "proportions", "material", OTHER],
            Asked::Pause { .. } => &[PAUSE, WORK],
        }
    }

    /// What holds while it is not answered.
    pub fn unanswered(self) -> &'static str {
        match self {
            Asked::Mishap | Asked::GivenUp => OTHER,
            Asked::Pause { .. } => PAUSE,
        }
    }
}

impl Question {
    /// The answer, or what holds without one.
    pub fn holds(&self) -> &str {
        self.answer.as_ref().map_or(self.asked.unanswered(), |answer| answer.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::super::Place;
    use super::*;
    use crate::measure::Words;

    #[test]
    fn what_holds_unanswered_can_be_answered_too() {
        for asked in [Asked::Mishap, Asked::GivenUp, Asked::Pause { place: Place::LookingOver, ms: 1 }] {
            assert!(asked.choices().contains(&asked.unanswered()));
            let question = Question { about: 1, asked, fly: 1, answer: None };
            assert_eq!(question.holds(), asked.unanswered());
            assert_eq!(Question { answer: Some(Words::new("the cat")), ..question }.holds(), "the cat");
        }
        assert!(Asked::Pause { place: Place::LookingOver, ms: 1 }.choices().contains(&WORK), "the answer that gives the time back");
    }
}
