//! The parts of a run.

use serde::{Deserialize, Serialize};

/// A part of a run, in the order in which they come; a sample is measured and agreed where the flies of another run
/// are finished, looked over and booked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// What is done before the vice, for the whole run.
    LayingOut,
    /// At the vice.
    Tying,
    /// The sample's lengths are held against the card.
    Measuring,
    /// The sample is agreed as it is.
    Agreeing,
    /// What is done after the vice, for the whole run.
    Finishing,
    /// The flies are judged beside the sample.
    LookingOver,
    /// What was used is booked out.
    Booking,
    /// Nothing is left to do.
    Done,
}

impl Part {
    /// As shown.
    pub fn words(self) -> &'static str {
        match self {
            Part::LayingOut => "laying out",
            Part::Tying => "tying",
            Part::Measuring => "measuring",
            Part::Agreeing => "agreeing",
            Part::Finishing => "finishing",
            Part::LookingOver => "looking over",
            Part::Booking => "booking",
            Part::Done => "done",
        }
    }
}
