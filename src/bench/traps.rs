//! Places where nothing stands, and the comma inside braces that brings them about.
//!
//! In `{gold wire, fine: 2}` YAML sees two keys, the first without a value.

use super::Faults;
use super::node::{Map, Node};
use super::yaml::Source;
use crate::diagnostic::{At, Diagnostic};

/// Tells that nothing stands after `key` in the mapping at `at`.
pub(crate) fn nothing_after(source: &Source, map: &Map, at: &At, key: &str, faults: &Faults) {
    let place = at.key(key).the_key();
    if faults.enough(&at.file) {
        faults.push(Diagnostic::error(format!("nothing stands after \"{key}\""), place));
        return;
    }
    if !in_braces(source, at) {
        let after = source.look(&place).and_then(|spot| source.text.get(spot.bytes.end..)?.split('\n').next());
        let right = match after.map(|after| after.trim_start_matches(['"', '\'', ':']).trim()) {
            Some(after) if after.starts_with('#') => "what follows a # is a comment: put it in quotes if it is the value",
            Some(after) if !after.is_empty() => "write its value; ~ and null mean nothing at all in YAML, so a name like that stands in quotes",
            _ => "write its value, or take the line away",
        };
        faults.push(Diagnostic::error(format!("nothing stands after \"{key}\""), place).right(right));
        return;
    }
    let nth = map.get_index_of(key).unwrap_or_default();
    let before = nth.checked_sub(1).and_then(|nth| map.get_index(nth));
    let after = map.get_index(nth + 1);
    let digits = |text: &str| text.chars().all(|c| c.is_ascii_digit()) && !text.is_empty();
    let comma = || format!("\"{key}\" has no value: inside {{ }} a comma ends what stands before it");
    let (what, right) = match (before, after) {
        (Some((_, Node::Text(value))), _) if digits(&value.text) && key.starts_with(|c: char| c.is_ascii_digit()) => {
            ("a decimal takes a point, not a comma".to_owned(), format!("`{}.{key}`", value.text))
        }
        (Some((name, Node::Text(value))), None) => (comma(), format!("put the text in quotes: `{name}: \"{}, {key}\"`", value.text)),
        (None, Some((rest, _))) => (comma(), format!("put the name in quotes: `\"{key}, {rest}\"`")),
        _ => (comma(), "put a name or text that has a comma in quotes, or write one key a line without braces".to_owned()),
    };
    faults.push(Diagnostic::error(what, place).right(right));
}

/// Tells that nothing stands after a dash.
pub(crate) fn nothing_in_list(at: &At, faults: &Faults) {
    faults.push(Diagnostic::error("nothing stands here", at.clone()).right("write the item, or take its dash or comma away"));
}

fn in_braces(source: &Source, at: &At) -> bool {
    let rest = if at.path.is_empty() { Some(source.text.trim_start()) } else { source.from(at) };
    rest.is_some_and(|rest| rest.starts_with('{'))
}
