//! What stands in the ledger as JSON, with its version: what was done, and what a run was begun with.

use crate::vice::{Did, Outline, VERSION};
use serde::{Deserialize, Serialize};

/// What was done, as stored: an event without the columns of its own.
#[derive(Serialize, Deserialize)]
struct Deed<D> {
    v: u8,
    #[serde(flatten)]
    did: D,
}

/// What a run was begun with. A later version keeps the whole card here.
#[derive(Serialize, Deserialize)]
struct Frozen<O> {
    v: u8,
    outline: O,
}

/// The version alone, so that it is told before anything else is tried.
#[derive(Deserialize)]
struct Version {
    v: u8,
}

const FROZEN: u8 = 1;

pub(super) fn did(did: &Did) -> Result<String, String> {
    serde_json::to_string(&Deed { v: VERSION, did }).map_err(|fault| fault.to_string())
}

pub(super) fn read_did(text: &str) -> Result<Did, String> {
    known(text, VERSION)?;
    serde_json::from_str::<Deed<Did>>(text).map(|deed| deed.did).map_err(|fault| fault.to_string())
}

pub(super) fn frozen(outline: &Outline) -> Result<String, String> {
    serde_json::to_string(&Frozen { v: FROZEN, outline }).map_err(|fault| fault.to_string())
}

pub(super) fn read_frozen(text: &str) -> Result<Outline, String> {
    known(text, FROZEN)?;
    serde_json::from_str::<Frozen<Outline>>(text).map(|frozen| frozen.outline).map_err(|fault| fault.to_string())
}

fn known(text: &str, version: u8) -> Result<(), String> {
    let Version { v } = serde_json::from_str(text).map_err(|fault| fault.to_string())?;
    if v == version { Ok(()) } else { Err(format!("it is written in version {v}, and only {version} is known here")) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vice::Depth;

    #[test]
    fn what_was_done_is_written_with_its_version_and_read_back() {
        for one in [Did::Opened { depth: Depth::Fly }, Did::On, Did::Back, Did::Depth { to: Depth::Step }, Did::Paused, Did::WentOn, Did::Closed] {
            let text = did(&one).unwrap();
            assert!(text.starts_with("{\"v\":1,\"did\":\""), "{text}");
            assert_eq!(read_did(&text).unwrap(), one);
        }
        assert!(read_did(r#"{"v":2,"did":"mended"}"#).unwrap_err().contains("version 2"));
        assert!(read_did(r#"{"v":1,"did":"mended"}"#).unwrap_err().contains("mended"));
    }
}
