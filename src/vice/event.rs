//! What is done in a run, as it is booked.

use super::Part;
use crate::measure::Words;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// The version of the events' written form; written as `v` with each.
pub const VERSION: u8 = 2;
/// The oldest version that is read: it knew fewer things to do, and wrote them alike.
pub const OLDEST: u8 = 1;

/// How much one press covers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Depth {
    /// A press a step.
    #[default]
    Step,
    /// A press a stage.
    Stage,
    /// A press a fly; by stages, a stage of the whole tray.
    Fly,
}

impl Depth {
    /// As shown.
    pub fn name(self) -> &'static str {
        match self {
            Depth::Step => "step",
            Depth::Stage => "stage",
            Depth::Fly => "fly",
        }
    }

    /// The next deeper one, and from the deepest back to `Step`.
    #[must_use]
    pub fn next(self) -> Self {
        match self {
            Depth::Step => Depth::Stage,
            Depth::Stage => Depth::Fly,
            Depth::Fly => Depth::Step,
        }
    }
}

/// What becomes of a fly that does not match the sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fate {
    /// Put right; it passes after all.
    Mended,
    /// Sound, but not like the sample.
    Second,
    /// Cut off the hook; hook and bead go back to the stores.
    Stripped,
    /// Nothing of it is kept.
    Lost,
}

impl Fate {
    /// Every fate.
    pub const ALL: [Fate; 4] = [Fate::Mended, Fate::Second, Fate::Stripped, Fate::Lost];

    /// As shown.
    pub fn name(self) -> &'static str {
        match self {
            Fate::Mended => "mended",
            Fate::Second => "second",
            Fate::Stripped => "stripped",
            Fate::Lost => "lost",
        }
    }
}

/// Flies that fail for one reason and end alike.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Bad {
    /// Why.
    pub why: Words,
    /// What becomes of them.
    pub fate: Fate,
    /// How many.
    pub flies: u32,
}

/// How an amount that was really used is known.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "by", rename_all = "kebab-case")]
pub enum How {
    /// Counted or measured.
    Counted,
    /// Weighed before the run and after it, in grams.
    Weighed {
        /// Before.
        before: Decimal,
        /// After.
        after: Decimal,
    },
}

/// What was done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "did", rename_all = "kebab-case")]
pub enum Did {
    /// A sitting was begun. The steady clock begins anew with it.
    Opened {
        /// How much a press covers from now on; as before where it is not said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        depth: Option<Depth>,
    },
    /// Went on: what is in hand is done, as it is expected to be done (all there, all passed, all as reckoned).
    On,
    /// Went back to the place before.
    Back,
    /// How much a press covers was changed.
    Depth {
        /// From now on.
        to: Depth,
    },
    /// The hands rest; time does not count.
    Paused,
    /// The hands work again.
    WentOn,
    /// The sitting was left; the run waits.
    Closed,
    /// A thing of the laying out is done.
    Ticked {
        /// How many bad ones were found with it.
        bad: u32,
    },
    /// Something went wrong with the fly in hand: back to where it can be caught again. It is no reject.
    Mishap,
    /// The fly in hand was put aside half done, and the next one taken up.
    PutAside,
    /// A fly put aside was taken up again; what is in hand half done is put aside for it.
    TookUp {
        /// The fly's number in the run.
        fly: u32,
    },
    /// The fly in hand was given up.
    GaveUp,
    /// The tray was counted at the end of a stage.
    TrayCounted {
        /// How many flies are missing.
        missing: u32,
    },
    /// How far a stage of the tray has come, told when it is left in the middle.
    Reached {
        /// Flies done since the last press.
        flies: u32,
    },
    /// The run was made longer.
    More {
        /// By so many flies.
        flies: u32,
    },
    /// Turned to another part of the run by hand.
    Turned {
        /// To this one.
        to: Part,
    },
    /// A tray was looked over beside the sample: those that are not bad pass.
    LookedOver {
        /// Those that fail; more than are waiting are taken from those that had passed.
        bad: Vec<Bad>,
        /// Left for another time.
        left: u32,
    },
    /// A length of the sample was held against the card.
    Measured {
        /// Which length, by its place in the list.
        nth: u32,
        /// What it is, in micrometres; as it should be where it is not said.
        um: Option<u32>,
    },
    /// The sample is agreed, as this revision of the dressing.
    Agreed {
        /// The revision.
        revision: u32,
    },
    /// Something is another from the fly in hand on: a lot, a box of hooks, a figure.
    Changed {
        /// What.
        what: Words,
        /// What it is now.
        to: Words,
    },
    /// What was really used of a material.
    Used {
        /// Which material, by its place in the list.
        nth: u32,
        /// How much, in the material's unit.
        amount: Decimal,
        /// How that is known.
        how: How,
    },
    /// The run is booked: what is not told otherwise was used as reckoned.
    Booked,
    /// A question that waited was answered.
    Answered {
        /// The event that raised it, by its number.
        about: u32,
        /// The answer.
        answer: Words,
    },
    /// Something done before counts as not done.
    TookBack {
        /// Its number.
        number: u32,
    },
}

impl Did {
    /// Whether it can be taken back. What only tells of time and of how the keys work cannot, nor what has left the
    /// run behind (an agreed sample stands in the dressing's file).
    pub fn can_be_taken_back(&self) -> bool {
        use Did::{Agreed, Closed, Depth, Opened, Paused, TookBack, WentOn};
        !matches!(self, Opened { .. } | Depth { .. } | Paused | WentOn | Closed | Agreed { .. } | TookBack { .. })
    }
}

/// One event of a run.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Written", into = "Written")]
pub struct Event {
    /// Its number within the run, from 1 without a gap.
    pub number: u32,
    /// When, by the calendar: milliseconds of UTC since 1970. Only told, and what drying is reckoned from (the hands are
    /// away then, and the steady clock with them).
    pub at: i64,
    /// Milliseconds of a steady clock since the sitting was opened; what hands' times are reckoned from.
    pub ran_ms: u64,
    /// What was done.
    pub did: Did,
}

/// An event as written.
#[derive(Serialize, Deserialize)]
struct Written {
    v: u8,
    number: u32,
    at: i64,
    ran_ms: u64,
    #[serde(flatten)]
    did: Did,
}

impl From<Event> for Written {
    fn from(Event { number, at, ran_ms, did }: Event) -> Self {
        Written { v: VERSION, number, at, ran_ms, did }
    }
}

impl TryFrom<Written> for Event {
    type Error = String;

    fn try_from(Written { v, number, at, ran_ms, did }: Written) -> Result<Self, String> {
        if (OLDEST..=VERSION).contains(&v) {
            Ok(Event { number, at, ran_ms, did })
        } else {
            Err(format!("events of version {v} are not known here, only of {OLDEST} to {VERSION}"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_event_is_written_with_its_version_and_read_back() {
        let event = Event { number: 3, at: 1_700_000_000_000, ran_ms: 4200, did: Did::Depth { to: Depth::Stage } };
        let text = serde_json::to_string(&event).unwrap();
        assert_eq!(text, r#"{"v":2,"number":3,"at":1700000000000,"ran_ms":4200,"did":"depth","to":"stage"}"#);
        assert_eq!(serde_json::from_str::<Event>(&text).unwrap(), event);
        let on = Event { did: Did::WentOn, ..event };
        assert!(serde_json::to_string(&on).unwrap().ends_with(r#""did":"went-on"}"#));
    }

    #[test]
    fn what_the_first_version_wrote_is_read() {
        let opened: Event = serde_json::from_str(r#"{"v":1,"number":1,"at":0,"ran_ms":0,"did":"opened","depth":"fly"}"#).unwrap();
        assert_eq!(opened.did, Did::Opened { depth: Some(Depth::Fly) });
    }

    #[test]
    fn amounts_are_written_to_the_last_place() {
        let how = How::Weighed { before: "12.310".parse().unwrap(), after: "12.05".parse().unwrap() };
        let event = Event { number: 9, at: 0, ran_ms: 0, did: Did::Used { nth: 2, amount: "0.260".parse().unwrap(), how } };
        let text = serde_json::to_string(&event).unwrap();
        assert!(text.contains(r#""amount":"0.260","how":{"by":"weighed","before":"12.310","after":"12.05"}"#), "{text}");
        assert_eq!(serde_json::from_str::<Event>(&text).unwrap(), event);
    }

    #[test]
    fn another_version_is_told_and_not_guessed_at() {
        let fault = serde_json::from_str::<Event>(r#"{"v":3,"number":1,"at":0,"ran_ms":0,"did":"on"}"#).unwrap_err();
        assert!(fault.to_string().contains("version 3"), "{fault}");
    }
}
