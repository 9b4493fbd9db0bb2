//! What stands in the ledger as JSON, with its version: what was done, and what a run was begun with.

use crate::vice::{Begun, Did, OLDEST, Outline, VERSION};
use serde::{Deserialize, Serialize};

/// What was done, as stored: an event without the columns of its own.
#[derive(Serialize, Deserialize)]
struct Deed<D> {
    v: u8,
    #[serde(flatten)]
    did: D,
}

/// What a run was begun with.
#[derive(Serialize, Deserialize)]
struct Frozen<B> {
    v: u8,
    begun: B,
}

/// What a run of the first form was begun with: its steps.
#[derive(Deserialize)]
struct FrozenSteps {
    outline: Outline,
}

/// The version alone, so that it is told before anything else is tried.
#[derive(Deserialize)]
struct Version {
    v: u8,
}

const FROZEN: u8 = 2;
const FROZEN_STEPS: u8 = 1;

pub(super) fn did(did: &Did) -> Result<String, String> {
    serde_json::to_string(&Deed { v: VERSION, did }).map_err(|fault| fault.to_string())
}

pub(super) fn read_did(text: &str) -> Result<Did, String> {
    known(text, OLDEST, VERSION)?;
    serde_json::from_str::<Deed<Did>>(text).map(|deed| deed.did).map_err(|fault| fault.to_string())
}

pub(super) fn frozen(begun: &Begun) -> Result<String, String> {
    serde_json::to_string(&Frozen { v: FROZEN, begun }).map_err(|fault| fault.to_string())
}

/// What a run was begun with; `flies`: how many, which runs of the first form tell beside it.
pub(super) fn read_frozen(text: &str, flies: u32) -> Result<Begun, String> {
    let read = if known(text, FROZEN_STEPS, FROZEN)? == FROZEN_STEPS {
        serde_json::from_str::<FrozenSteps>(text).map(|frozen| Begun::of_steps(frozen.outline, flies))
    } else {
        serde_json::from_str::<Frozen<Begun>>(text).map(|frozen| frozen.begun)
    };
    read.map_err(|fault| fault.to_string())
}

fn known(text: &str, oldest: u8, newest: u8) -> Result<u8, String> {
    let Version { v } = serde_json::from_str(text).map_err(|fault| fault.to_string())?;
    if (oldest..=newest).contains(&v) { Ok(v) } else { Err(format!("it is written in version {v}, and only {oldest} to {newest} are known here")) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vice::Depth;

    #[test]
    fn what_was_done_is_written_with_its_version_and_read_back() {
        for one in [
            Did::Opened { depth: Some(Depth::Fly) },
            Did::Opened { depth: None },
            Did::On,
            Did::Back,
            Did::Depth { to: Depth::Step },
            Did::Paused,
            Did::WentOn,
            Did::Closed,
        ] {
            let text = did(&one).unwrap();
            assert!(text.starts_with("{\"v\":2,\"did\":\""), "{text}");
            assert_eq!(read_did(&text).unwrap(), one);
        }
        assert!(read_did(r#"{"v":3,"did":"mended"}"#).unwrap_err().contains("version 3"));
        assert!(read_did(r#"{"v":1,"did":"mended"}"#).unwrap_err().contains("mended"));
    }
}
