//! The file as it would be: its next revision put in, held against the file as it is, and what is to be said of it.

use super::super::edit;
use super::super::node::{Map, Node};
use super::rule::{Change, spliced};
use super::{LENGTHS, Measured, PLACES, SAME, Sitting, State, cards, is_of, leans_on, near};
use crate::card;
use crate::diagnostic::{At, Key};
use crate::dressing::{Dressing, Size};
use crate::measure::Words;
use crate::why::Fig;
use std::collections::HashSet;

/// The most letters of a note that go into a comment.
const MOST_NOTED: usize = 100;

impl Sitting<'_> {
    /// Holds the file as it would be against the file as it is; gives what is to be said. `Err`: what must not be.
    pub(super) fn held(&self, before: &State, after: &State, measured: &[Measured], changes: &[Change]) -> Result<Vec<String>, String> {
        for path in otherwise(&before.map, &after.map) {
            let own = changes.iter().any(|change| change.path == path) || path == [Key::Name("revision".to_owned())];
            if !own {
                let place = At { path: path.into(), ..At::file(self.file.clone()) };
                return Err(format!("another place would change with it ({}); is there an anchor (&)?", place.in_words()));
            }
        }
        for one in measured {
            if !after.mm(&one.key).is_some_and(|mm| near(mm, one.is_mm)) {
                return Err(format!("\"{}\" would not come to {:.1} mm beside the others", one.key, one.is_mm));
            }
        }
        for (variant, size) in cards(&before.dressing) {
            let work = |dressing: &Dressing| card::work(dressing, size, variant, None, &self.bench.shelf);
            if let (Ok(_), Err(faults)) = (work(&before.dressing), work(&after.dressing)) {
                let of = variant.map_or_else(String::new, |variant| format!(" \"{variant}\""));
                let why = faults.first().map_or("no reason told", |fault| fault.what.as_str());
                return Err(format!("size {}{of} could not be worked then: {why}", size.value));
            }
        }
        self.said(before, after, changes)
    }

    /// What changed, and what changed because it hangs on that.
    fn said(&self, before: &State, after: &State, changes: &[Change]) -> Result<Vec<String>, String> {
        let mm = |state: &State, key: &str| state.mm(key).unwrap_or_default();
        let variant = self.variant.as_deref().map_or_else(String::new, |variant| format!(", {variant}"));
        let mut said: Vec<String> = changes
            .iter()
            .map(|change| {
                let Change { key, place, old, new, besides, .. } = change;
                let (was, is) = (mm(before, key), mm(after, key));
                format!("{key}{place}: {old} -> {new} ({was:.1} mm -> {is:.1} mm on {}{variant}){besides}", with_article(&self.size.value))
            })
            .collect();
        let sheet = &after.card.sheet;
        let changed: HashSet<Fig> = changes.iter().flat_map(|change| [&change.key, &change.own]).filter_map(|key| sheet.find(key)).collect();
        for (fig, key, row) in sheet.rows() {
            let watched = is_of(&after.card, key, LENGTHS) || is_of(&after.card, key, PLACES);
            let told = changes.iter().any(|change| change.key == key);
            let Some(was) = before.mm(key).filter(|was| watched && !told && (was - row.value).abs() > SAME) else { continue };
            if !leans_on(sheet, fig, &changed) {
                return Err(format!("{key} would change too, from {was:.2} mm to {:.2} mm", row.value));
            }
            let how = if changed.contains(&fig) { "changes with it" } else { "hangs on it" };
            said.push(format!("{key} {how}: {was:.1} mm -> {:.1} mm", row.value));
        }
        Ok(said.iter().map(|line| Words::new(line).as_str().to_owned()).collect())
    }
}

/// `a 14`, `an 8`.
fn with_article(size: &Size) -> String {
    let text = size.text();
    let vowel = ["8", "11", "18"].iter().any(|figure| text.starts_with(figure));
    format!("{} {text}", if vowel { "an" } else { "a" })
}

/// The text with the next revision and what changed above it. `Err`: why it cannot be put there.
pub(super) fn numbered(state: &State, revision: u32, changes: &[Change], noted: &str) -> Result<(String, u32), String> {
    let (text, map, root) = (&state.source.text, &state.map, state.source.at());
    let next = revision + 1;
    let noted: String = Words::new(noted).as_str().trim().chars().take(MOST_NOTED).collect();
    let noted = if noted.is_empty() { String::new() } else { format!(", {noted}") };
    let comment =
        |change: &Change| Words::new(&format!("# revision {next}{noted}: {}{} {} -> {}", change.key, change.place, change.old, change.new)).as_str().to_owned();
    let stands = |key: &str| map.get(key).and_then(|value| edit::on_one_line(text, &root.key(key).the_key(), value));
    let put = |text: &str, byte: usize, indent: &str, last: Option<String>| {
        let lines = changes
            .iter()
            .map(comment)
            .chain(last)
            .map(|line| edit::Line { text: format!("{indent}{line}"), source: String::new(), remarked: false })
            .collect();
        edit::put_in(text, &[&edit::Insert { byte, lines }]).0
    };
    if let Some(value) = map.get("revision") {
        let (Some((key, indent)), Node::Text(scalar)) = (stands("revision"), value) else {
            return Err("`revision:` does not stand on a line of its own".to_owned());
        };
        let Some(start) = scalar.start.filter(|start| text.get(*start..).is_some_and(|rest| rest.starts_with(&scalar.text))) else {
            return Err("`revision:` is written with signs for letters".to_owned());
        };
        let text = spliced(text, &(start..start + scalar.text.len()), &next.to_string());
        return Ok((put(&text, edit::line_start(&text, key), &indent, None), next));
    }
    let Some((key, indent)) = stands("kind").or_else(|| stands("dressing")) else {
        return Err("the file is not written as one key a line, so there is no place for `revision:`".to_owned());
    };
    Ok((put(text, edit::end_of_line(text, key), &indent, Some(format!("revision: {next}"))), next))
}

/// Paths of all scalars that are otherwise in two files.
fn otherwise(before: &Map, after: &Map) -> Vec<Vec<Key>> {
    fn flat<'m>(node: &'m Node, path: &mut Vec<Key>, all: &mut Vec<(Vec<Key>, Option<&'m str>)>) {
        match node {
            Node::Nothing => all.push((path.clone(), None)),
            Node::Text(scalar) => all.push((path.clone(), Some(&scalar.text))),
            Node::List(list) => list.iter().enumerate().for_each(|(nth, node)| {
                path.push(Key::Nth(nth));
                flat(node, path, all);
                path.pop();
            }),
            Node::Map(map) => inside(map, path, all),
        }
    }
    fn inside<'m>(map: &'m Map, path: &mut Vec<Key>, all: &mut Vec<(Vec<Key>, Option<&'m str>)>) {
        for (key, node) in map {
            path.push(Key::Name(key.clone()));
            flat(node, path, all);
            path.pop();
        }
    }
    let all = |map| {
        let mut all = Vec::new();
        inside(map, &mut Vec::new(), &mut all);
        all
    };
    let (before, after) = (all(before), all(after));
    let (then, now): (HashSet<_>, HashSet<_>) = (before.iter().collect(), after.iter().collect());
    then.symmetric_difference(&now).map(|(path, _)| path.clone()).collect()
}
