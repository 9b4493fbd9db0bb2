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
    let comma = || format!("\"{key}\" has no value: inside {{ }} a comma ends what stands before it");
    let (what, right) = match (before, after) {
        (Some((name, Node::Text(value))), None) => (comma(), format!("put the text in quotes: `{name}: \"{}, {key}\"`", value.text)),
        (None, Some((rest, _))) => (comma(), format!("put the name in quotes: `\"{key}, {rest}\"`")),
        (None, None) => (format!("\"{key}\" has no value"), format!("`{{{key}: ...}}`: a key, a colon and a space, then its value")),
        _ => (comma(), "put a name or text that has a comma in quotes, or write one key a line without braces".to_owned()),
    };
    faults.push(Diagnostic::error(what, place).right(right));
}

/// Where a value is the whole part of a decimal whose comma ended it, inside braces: the key that the rest became.
/// Told here, and once: it is not two faults.
pub(crate) fn cut_decimal<'m>(map: &'m Map, at: &At, key: &str, faults: &Faults) -> Option<&'m str> {
    let nth = map.get_index_of(key)?;
    let (Some((_, Node::Text(value))), Some((rest, Node::Nothing))) = (map.get_index(nth), map.get_index(nth + 1)) else { return None };
    let whole = !value.text.is_empty() && value.text.bytes().all(|byte| byte.is_ascii_digit());
    if !whole || !rest.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let fault = Diagnostic::error("a decimal takes a point, not a comma: inside { } a comma ends what stands before it", at.key(key));
    faults.push(fault.right(format!("`{key}: {}.{rest}`", value.text)));
    Some(rest)
}

/// Tells that nothing stands after a dash.
pub(crate) fn nothing_in_list(at: &At, faults: &Faults) {
    faults.push(Diagnostic::error("nothing stands here", at.clone()).right("write the item, or take its dash or comma away"));
}

fn in_braces(source: &Source, at: &At) -> bool {
    let rest = if at.path.is_empty() { Some(source.text.trim_start()) } else { source.from(at) };
    rest.is_some_and(|rest| rest.starts_with('{'))
}
