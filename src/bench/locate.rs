//! From a path of keys to a line and column.
//!
//! Faults carry paths, not lines. When one is shown, the file is read once more by a seed that walks the path
//! and fails on purpose where it ends; the YAML reader writes that place into its error. So there is no second
//! parser, and the cost is paid only where a place is shown.

use super::node::Sought;
use super::syntax::line_and_column;
use super::yaml::{fails_at, seek};
use crate::diagnostic::{At, Key};
use serde::de::{DeserializeSeed, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};
use std::cell::RefCell;
use std::fmt;
use std::ops::Range;

/// A place in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The bytes of the text that are meant, all on that line.
    pub bytes: Range<usize>,
}

/// Where `at` is in the text of its file; `None` for the file as a whole.
pub fn locate(text: &str, at: &At) -> Option<Spot> {
    spot(text, at, |text| find(text, at))
}

fn spot(text: &str, at: &At, find: impl FnOnce(&str) -> Option<(usize, Option<String>)>) -> Option<Spot> {
    let (text, mark) = without_mark(text);
    let bytes = bytes_of(text, at, find)?;
    let (line, column) = line_and_column(text, bytes.start);
    Some(Spot { line, column, bytes: bytes.start + mark..bytes.end + mark })
}

/// The text as the reader of files counts it: without the byte order mark, whose length comes beside it.
fn without_mark(text: &str) -> (&str, usize) {
    match text.strip_prefix('\u{FEFF}') {
        Some(rest) => (rest, '\u{FEFF}'.len_utf8()),
        None => (text, 0),
    }
}

/// Many places of one text, found in one reading: keys and one-line values that stand there letter by letter.
pub(super) struct Places(Sought);

impl Places {
    /// Looks for these places.
    pub(super) fn of<'a>(text: &str, all: impl Iterator<Item = &'a At>) -> Option<Places> {
        let paths = all.filter(|at| at.exact.is_none()).map(|at| at.path.to_vec()).collect();
        seek(without_mark(text).0, Sought { paths, ..Sought::default() }).map(Places)
    }

    /// Where `at` is, if it is among those found or needs no looking for.
    pub(super) fn spot(&self, text: &str, at: &At) -> Option<Spot> {
        let seen = if at.on_key { &self.0.keys } else { &self.0.scalars };
        spot(text, at, |_| seen.borrow().get(&*at.path).map(|(start, scalar)| (*start, Some(scalar.clone()))))
    }
}

fn bytes_of(text: &str, at: &At, find: impl FnOnce(&str) -> Option<(usize, Option<String>)>) -> Option<Range<usize>> {
    if let Some((line, column)) = at.exact {
        let start = byte_of(text, line, column);
        let key = if at.on_key { at.path.last() } else { None };
        return Some(match key {
            Some(Key::Name(key)) => lettered(text, start, key).unwrap_or_else(|| one_letter(text, start)),
            _ => one_letter(text, start),
        });
    }
    let (start, scalar) = find(text)?;
    let on_line = || start..end_of_line(text, start);
    let Some(body) = scalar.filter(|scalar| !scalar.is_empty()).and_then(|scalar| lettered(text, start, &scalar)) else {
        return Some(on_line());
    };
    let meant = match &at.within {
        Some(within) if !at.on_key => {
            let from = (body.start + within.start).min(body.end);
            let to = (body.start + within.end).min(body.end);
            match text.get(from..to) {
                Some(meant) if !meant.is_empty() => from..to,
                // What is missing at the end is shown below the last letter there is.
                _ if from == body.end => from - text.get(body).and_then(|body| body.chars().next_back()).map_or(0, char::len_utf8)..from,
                _ => one_letter(text, from),
            }
        }
        _ => body,
    };
    let end = end_of_line(text, meant.start).max(meant.start);
    Some(meant.start..meant.end.min(end))
}

/// The byte at which the value or key begins.
pub(super) fn start(text: &str, at: &At) -> Option<usize> {
    find(text, at).map(|(start, _)| start)
}

/// The byte at which the value or key begins, and its text if it is a scalar.
fn find(text: &str, at: &At) -> Option<(usize, Option<String>)> {
    if at.path.is_empty() {
        return None;
    }
    let scalar = RefCell::new(None);
    let start = fails_at(text, Find { path: &at.path, on_key: at.on_key, scalar: &scalar })?;
    let start = (start..=text.len()).find(|byte| text.is_char_boundary(*byte))?;
    Some((start, scalar.take()))
}

/// Where `scalar` stands letter by letter at `start`, past a quote if there is one.
fn lettered(text: &str, start: usize, scalar: &str) -> Option<Range<usize>> {
    let rest = text.get(start..)?;
    let lead = usize::from(rest.starts_with(['"', '\'']) && !rest.starts_with(scalar));
    rest.get(lead..)?.starts_with(scalar).then_some(start + lead..start + lead + scalar.len())
}

/// The byte after the last letter of the line that holds byte `start`, comment left out.
fn end_of_line(text: &str, start: usize) -> usize {
    let rest = text.get(start..).unwrap_or_default();
    let line = rest.split('\n').next().unwrap_or_default();
    let line = line.split(" #").next().unwrap_or_default();
    start + line.trim_end().len()
}

fn one_letter(text: &str, start: usize) -> Range<usize> {
    let next = text.get(start..).and_then(|rest| rest.chars().next()).filter(|c| *c != '\n' && *c != '\r');
    start..start + next.map_or(0, char::len_utf8)
}

fn byte_of(text: &str, line: usize, column: usize) -> usize {
    let start: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
    let this = text.get(start..).and_then(|rest| rest.split('\n').next()).unwrap_or_default();
    start + this.chars().take(column.saturating_sub(1)).map(char::len_utf8).sum::<usize>()
}

/// Walks a path and fails at its end.
#[derive(Clone, Copy)]
struct Find<'p> {
    path: &'p [Key],
    on_key: bool,
    scalar: &'p RefCell<Option<String>>,
}

impl<'de> DeserializeSeed<'de> for Find<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        match self.path.first() {
            // Asking for text fails at any node: at a scalar on purpose, at a list or mapping because it is none.
            None => deserializer.deserialize_str(Stop(self.scalar)),
            Some(Key::Nth(_)) => deserializer.deserialize_seq(self),
            Some(Key::Name(_)) => deserializer.deserialize_map(self),
        }
    }
}

impl<'de> Visitor<'de> for Find<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the place looked for")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        let Some((Key::Nth(wanted), path)) = self.path.split_first() else { return Err(A::Error::custom("no such place")) };
        for _ in 0..*wanted {
            if list.next_element::<IgnoredAny>()?.is_none() {
                break;
            }
        }
        list.next_element_seed(Find { path, ..self })?;
        Err(A::Error::custom("no such place"))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        let Some((Key::Name(wanted), path)) = self.path.split_first() else { return Err(A::Error::custom("no such place")) };
        let stop = self.on_key && path.is_empty();
        while let Some(is_it) = map.next_key_seed(IsIt { wanted, stop, scalar: self.scalar })? {
            if is_it {
                return map.next_value_seed(Find { path, ..self });
            }
            map.next_value::<IgnoredAny>()?;
        }
        Err(A::Error::custom("no such place"))
    }
}

/// Fails at a scalar and keeps its text.
struct Stop<'p>(&'p RefCell<Option<String>>);

impl Visitor<'_> for Stop<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the place looked for")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<(), E> {
        self.0.replace(Some(text.to_owned()));
        Err(E::custom("here"))
    }
}

/// Whether a key is the one wanted; fails at it where it is the place itself.
struct IsIt<'p> {
    wanted: &'p str,
    stop: bool,
    scalar: &'p RefCell<Option<String>>,
}

impl<'de> DeserializeSeed<'de> for IsIt<'_> {
    type Value = bool;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<bool, D::Error> {
        deserializer.deserialize_str(self)
    }
}

impl Visitor<'_> for IsIt<'_> {
    type Value = bool;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a key")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<bool, E> {
        if self.stop && text == self.wanted {
            self.scalar.replace(Some(text.to_owned()));
            return Err(E::custom("here"));
        }
        Ok(text == self.wanted)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    const TEXT: &str = "name: Sedge\nparts:\n  - part: wing   # é\n    fibre: 1.5 gop\n  - {part: 'tail', count: 6}\nété: \"x y\"\n";

    fn spot(at: At) -> (usize, usize, &'static str) {
        let spot = locate(TEXT, &at).unwrap();
        (spot.line, spot.column, &TEXT[spot.bytes])
    }

    #[test]
    fn paths_become_lines_and_columns() {
        let file = At::file(Path::new("x.yaml"));
        let fibre = file.key("parts").nth(0).key("fibre");
        assert_eq!(spot(fibre.bytes(4..7)), (4, 16, "gop"));
        assert_eq!(spot(fibre.the_key()), (4, 5, "fibre"));
        assert_eq!(spot(file.key("parts").nth(1).key("part")), (5, 13, "tail"));
        assert_eq!(spot(file.key("parts").nth(1).key("count")), (5, 27, "6"));
        assert_eq!(spot(file.key("parts").nth(0)), (3, 5, "part: wing"));
        assert_eq!(spot(file.key("été").bytes(2..3)), (6, 9, "y"));
        assert_eq!(spot(file.key("parts").the_key().line(2, 1)), (2, 1, "parts"));
        assert_eq!(locate(TEXT, &file), None);
    }

    #[test]
    fn places_found_all_at_once_are_those_found_one_by_one() {
        let file = At::file(Path::new("x.yaml"));
        let (parts, rib) = (file.key("parts"), file.key("parts").nth(1));
        let all = [parts.the_key(), parts.nth(0).key("fibre").bytes(4..7), rib.key("part"), rib.key("part").the_key(), file.key("été")];
        let places = Places::of(TEXT, all.iter()).unwrap();
        for at in &all {
            assert_eq!(places.spot(TEXT, at), locate(TEXT, at), "{at:?}");
        }
        assert!(places.spot(TEXT, &rib).is_none(), "what is no key and no scalar is left to the slow way");
    }

    #[test]
    fn what_is_missing_at_the_end_is_shown_below_the_last_letter() {
        let at = At::file(Path::new("x.yaml")).key("at").bytes(4..4);
        let spot = locate("at: 3 mm           # x\n", &at).unwrap();
        assert_eq!((spot.column, spot.bytes), (8, 7..8));
    }
}
