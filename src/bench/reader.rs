//! Keys with values, to be asked for one by one. What was not asked for in the end is unknown.

use super::Faults;
use super::node::{Map, Node};
use super::traps;
use super::value::Value;
use super::yaml::Source;
use crate::diagnostic::{At, Diagnostic, Told, all_of};

/// Keys without which everything else means what it did.
const WEIGHTLESS: &[&str] = &["revision", "formerly", "note", "like"];

/// A key that was asked for.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Asked {
    key: &'static str,
    /// Shown when all keys are listed: not a second spelling.
    listed: bool,
}

/// A mapping that remembers what it was asked for.
pub(crate) struct Reader<'a> {
    source: &'a Source,
    map: &'a Map,
    /// Where the mapping stands.
    pub(crate) at: At,
    /// What it describes: `a part`, `a material`.
    what: &'static str,
    asked: Vec<Asked>,
    named: Vec<String>,
    /// Where faults go.
    pub(crate) faults: &'a Faults,
}

impl<'a> Reader<'a> {
    pub(crate) fn new(source: &'a Source, map: &'a Map, at: At, what: &'static str, faults: &'a Faults) -> Self {
        Reader { source, map, at, what, asked: Vec::new(), named: Vec::new(), faults }
    }

    /// The value of a key, if it is there. `keys` are spellings of one key with `|` between, the house's own first.
    pub(crate) fn get(&mut self, keys: &'static str) -> Option<Value<'a>> {
        self.asked.extend(keys.split('|').enumerate().map(|(nth, key)| Asked { key, listed: nth == 0 }));
        let mut given = keys.split('|').filter_map(|key| Some((key, self.map.get(key)?)));
        let (key, node) = given.next()?;
        for (other, _) in given {
            let fault = Diagnostic::error(format!("\"{other}\" and \"{key}\" say the same"), self.at.key(other).the_key());
            self.faults.push(fault.also("the other one", self.at.key(key).the_key()).right("keep one of the two"));
        }
        if *node == Node::Nothing {
            traps::nothing_after(self.source, self.map, &self.at, key, self.faults);
            return None;
        }
        if let Some(rest) = traps::cut_decimal(self.map, &self.at, key, self.faults) {
            self.know_name(rest);
            return None;
        }
        Some(Value { source: self.source, node, at: self.at.key(key), faults: self.faults })
    }

    /// Whether the key is there at all.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.map.contains_key(key)
    }

    /// Whether one of the spellings (with `|` between) is there.
    pub(crate) fn has_any(&self, keys: &str) -> bool {
        keys.split('|').any(|key| self.map.contains_key(key))
    }

    /// Counts a name of the dresser's own among the keys that are known.
    pub(crate) fn know_name(&mut self, name: &str) {
        self.named.push(name.to_owned());
    }

    /// Counts a key among those that are known, without reading it.
    pub(crate) fn know(&mut self, key: &'static str) {
        self.asked.push(Asked { key, listed: true });
    }

    /// The value of a key that must be there.
    pub(crate) fn need(&mut self, keys: &'static str, right: &str) -> Option<Value<'a>> {
        let value = self.get(keys);
        let empty = keys.split('|').any(|key| self.map.contains_key(key));
        if value.is_none() && !empty {
            let key = keys.split('|').next().unwrap_or(keys);
            self.faults.push(Diagnostic::error(format!("{} has no `{key}`", self.what), self.at.clone()).right(right));
        }
        value
    }

    /// Text, if it is there.
    pub(crate) fn text(&mut self, keys: &'static str) -> Option<Told<String>> {
        self.get(keys)?.text()
    }

    /// A remark.
    pub(crate) fn note(&mut self) -> Option<String> {
        self.get("note")?.prose().map(|told| told.value)
    }

    /// Keys that were not asked for so far, with their values: names of the dresser's own.
    pub(crate) fn others(&mut self) -> Vec<(Told<String>, Value<'a>)> {
        let others = self.map.iter().filter(|(key, _)| !self.asked.iter().any(|asked| asked.key == key.as_str()) && !self.named.contains(key));
        others
            .map(|(key, node)| {
                let at = self.at.key(key);
                (Told::new(key.clone(), at.the_key()), Value { source: self.source, node, at, faults: self.faults })
            })
            .collect()
    }

    /// Its keys in the order of the file.
    pub(crate) fn in_order(&self) -> impl Iterator<Item = &'a str> + use<'a> {
        self.map.keys().map(String::as_str)
    }

    /// Tells every key that nobody asked for.
    pub(crate) fn end(self) {
        self.end_among(&[]);
    }

    /// Tells every key that nobody asked for, where `names` of the dresser's own would be right as well.
    pub(crate) fn end_among(mut self, names: &[&str]) {
        for (key, value) in self.others() {
            if *value.node == Node::Nothing {
                traps::nothing_after(self.source, self.map, &self.at, &key.value, self.faults);
                continue;
            }
            let known = self.asked.iter().map(|asked| asked.key).chain(names.iter().copied());
            // What has a name calls it by what it is: `bench: Alder Yard`.
            let own = self.what.rsplit(' ').next().filter(|own| key.value == "name" && self.asked.iter().any(|asked| asked.key == *own));
            let near = own.or_else(|| self.faults.nearest(&key.at, &key.value, known));
            let right = match near {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => {
                    let listed = self.asked.iter().filter(|asked| asked.listed).map(|asked| asked.key);
                    all_of(listed.chain(names.iter().copied()), "no key at all")
                }
            };
            let what = if names.is_empty() {
                format!("\"{}\" is not a key of {}", key.value, self.what)
            } else {
                format!("\"{}\" is neither a part nor a key of {}", key.value, self.what)
            };
            let fault = Diagnostic::error(what, key.at).right(right);
            // Without what a known key was to say, other faults may be none at all.
            if near.is_none_or(|near| WEIGHTLESS.contains(&near)) {
                self.faults.push_shallow(fault);
            } else {
                self.faults.push(fault);
            }
        }
    }
}
