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
    use proptest::prelude::*;

    /// Values as a damaged ledger could hold them.
    fn any_json() -> impl Strategy<Value = serde_json::Value> {
        let leaf = prop_oneof![
            Just(serde_json::Value::Null),
            any::<bool>().prop_map(Into::into),
            any::<i64>().prop_map(Into::into),
            any::<f64>().prop_map(|number| serde_json::Number::from_f64(number).map_or(serde_json::Value::Null, Into::into)),
            "[a-z0-9.-]{0,8}".prop_map(Into::into),
            proptest::sample::select(vec!["on", "ticked", "used", "looked-over", "weighed", "counted", "stage", "tying"]).prop_map(Into::into),
        ];
        let key = proptest::sample::select(vec![
            "v", "did", "bad", "flies", "nth", "amount", "how", "by", "before", "after", "to", "depth", "begun", "outline", "um", "x",
        ]);
        leaf.prop_recursive(3, 24, 6, move |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..4).prop_map(Into::into),
                prop::collection::vec((key.clone(), inner), 0..6).prop_map(|all| all
                    .into_iter()
                    .map(|(key, value)| (key.to_owned(), value))
                    .collect::<serde_json::Map<_, _>>()
                    .into()),
            ]
        })
    }

    proptest! {
        #[test]
        fn whatever_stands_there_is_read_or_told(mut value in any_json(), version in 0u8..4, text in ".{0,40}", flies in any::<u32>()) {
            if let Some(map) = value.as_object_mut() {
                map.insert("v".to_owned(), version.into());
            }
            for text in [value.to_string(), text] {
                if let Err(fault) = read_did(&text) {
                    prop_assert!(!fault.is_empty());
                }
                if let Err(fault) = read_frozen(&text, flies) {
                    prop_assert!(!fault.is_empty());
                }
            }
        }
    }

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
