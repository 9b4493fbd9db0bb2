//! What is done at the vice, as it is booked.

use serde::{Deserialize, Serialize};

/// The version of the events' written form; written as `v` with each.
pub const VERSION: u8 = 1;

/// How much one press covers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Depth {
    /// A press a step.
    #[default]
    Step,
    /// A press a stage.
    Stage,
    /// A press a fly.
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

/// What was done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "did", rename_all = "kebab-case")]
pub enum Did {
    /// A sitting was begun, at this depth. The steady clock begins anew with it.
    Opened {
        /// How much a press covers from now on.
        depth: Depth,
    },
    /// Went on: the step, stage or fly in hand is done.
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
}

/// One event of a run.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Written", into = "Written")]
pub struct Event {
    /// Its number within the run, from 1 without a gap.
    pub number: u32,
    /// When, by the calendar: milliseconds of UTC since 1970. Only told, never reckoned with: such clocks are set back and forth.
    pub at: i64,
    /// Milliseconds of a steady clock since the sitting was opened; what durations are reckoned from.
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
        if v == VERSION { Ok(Event { number, at, ran_ms, did }) } else { Err(format!("events of version {v} are not known here, only of {VERSION}")) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_event_is_written_with_its_version_and_read_back() {
        let event = Event { number: 3, at: 1_700_000_000_000, ran_ms: 4200, did: Did::Depth { to: Depth::Stage } };
        let text = serde_json::to_string(&event).unwrap();
        assert_eq!(text, r#"{"v":1,"number":3,"at":1700000000000,"ran_ms":4200,"did":"depth","to":"stage"}"#);
        assert_eq!(serde_json::from_str::<Event>(&text).unwrap(), event);
        let on = Event { did: Did::WentOn, ..event };
        assert!(serde_json::to_string(&on).unwrap().ends_with(r#""did":"went-on"}"#));
    }

    #[test]
    fn another_version_is_told_and_not_guessed_at() {
        let fault = serde_json::from_str::<Event>(r#"{"v":2,"number":1,"at":0,"ran_ms":0,"did":"on"}"#).unwrap_err();
        assert!(fault.to_string().contains("version 2"), "{fault}");
    }
}
