//! From a file to its nodes: the only file that calls the YAML library.
//!
//! The library is `serde_yaml` 0.9.34, which its author no longer maintains; it was chosen all the same, and
//! everything asked of it stands behind the functions here, so that another can take its place.
//! It reads YAML as a machine would; what a dresser needs is kept around it: files are capped before they are
//! read, bytes and brackets looked at before they are parsed, and its messages are turned into plain English.

use super::Faults;
use super::locate::{self, Spot};
use super::node::{Map, Node, Sought, Survey, TOO_MANY, Take, Twice, Walk};
use super::syntax;
use crate::diagnostic::{At, Diagnostic, Key};
use serde::de::DeserializeSeed;
use serde_yaml::Deserializer;
use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::fs::File;
use std::io::{ErrorKind, Read as _};
use std::path::Path;
use std::sync::Arc;

/// The largest file that is read, in bytes.
pub const LARGEST: u64 = 4 * 1024 * 1024;

/// The most levels one thing may stand inside another.
pub const DEEPEST: usize = 100;

/// A file that was read.
pub(crate) struct Source {
    /// As the user would name it.
    pub(crate) file: Arc<Path>,
    /// Its text, without a byte order mark.
    pub(crate) text: String,
    /// Bytes that may still be read again to look for places.
    left: Cell<usize>,
    /// Where something was refused before it had any meaning: a key given twice, a tag.
    spoilt: RefCell<BTreeSet<Vec<Key>>>,
    /// So much was refused that the whole file counts.
    all_spoilt: Cell<bool>,
}

/// How many bytes of a file are read again, at most, to look for places while it is loaded.
const LOOKS: usize = 4 * 1024 * 1024;

impl Source {
    /// A text that is known by this name.
    pub(crate) fn new(file: Arc<Path>, text: String) -> Self {
        Source { file, text, left: Cell::new(LOOKS), spoilt: RefCell::default(), all_spoilt: Cell::new(false) }
    }

    /// Whether something was refused at a place or within it before it had any meaning.
    pub(crate) fn spoilt_within(&self, at: &At) -> bool {
        let spoilt = self.spoilt.borrow();
        self.all_spoilt.get() || spoilt.range(at.path.to_vec()..).next().is_some_and(|path| path.starts_with(&at.path))
    }

    /// Whether the very key at a place was refused.
    pub(crate) fn spoilt_at(&self, at: &At) -> bool {
        self.all_spoilt.get() || self.spoilt.borrow().contains(&*at.path)
    }

    /// Looks for a place: reads the file again. `None` also when that was done too often, as only a file of
    /// nothing but faults needs.
    pub(crate) fn look(&self, at: &At) -> Option<Spot> {
        self.left.set(self.left.get().checked_sub(self.text.len())?);
        locate::locate(&self.text, at)
    }

    /// What stands at a place, to the end of the file.
    pub(crate) fn from(&self, at: &At) -> Option<&str> {
        self.left.set(self.left.get().checked_sub(self.text.len())?);
        self.text.get(locate::start(&self.text, at)?..)
    }

    /// The file as a whole.
    pub(crate) fn at(&self) -> At {
        At::file(self.file.clone())
    }
}

/// What became of reading a file.
pub(crate) enum Read {
    /// Here it is.
    Text(Source),
    /// There is no such file.
    Absent,
    /// It cannot be read; that was told.
    Refused,
}

/// Reads the file at `path`, which the user knows as `file`. Faults are told.
pub(crate) fn read(path: &Path, file: &Arc<Path>, faults: &Faults) -> Read {
    let at = At::file(file.clone());
    let bytes = match bytes(path) {
        Ok(bytes) => bytes,
        Err(NoBytes::Amiss { what, right }) => {
            faults.push(Diagnostic::error(what, at).right_if(right.map(str::to_owned)));
            return Read::Refused;
        }
        Err(NoBytes::Absent) => return Read::Absent,
    };
    match String::from_utf8(bytes) {
        Ok(text) => {
            let text = text.strip_prefix('\u{FEFF}').map(str::to_owned).unwrap_or(text);
            Read::Text(Source::new(file.clone(), ended(text)))
        }
        Err(error) => {
            let good = error.utf8_error().valid_up_to();
            let (head, tail) = error.as_bytes().split_at(good);
            let (line, column) = syntax::line_and_column(&String::from_utf8_lossy(head), good);
            let byte = tail.first().copied().unwrap_or_default();
            faults.push(
                Diagnostic::error(format!("the byte {byte:02X} here is not part of any letter in UTF-8"), at.line(line, column))
                    .right("save the file as UTF-8 in your editor"),
            );
            Read::Refused
        }
    }
}

/// Why there are no bytes.
enum NoBytes {
    /// There is no such file.
    Absent,
    /// The file will not do.
    Amiss { what: String, right: Option<&'static str> },
}

/// The bytes of a file.
fn bytes(path: &Path) -> Result<Vec<u8>, NoBytes> {
    let cannot = |error: std::io::Error| match error.kind() {
        ErrorKind::NotFound => NoBytes::Absent,
        _ => NoBytes::Amiss { what: format!("the file cannot be read: {error}"), right: None },
    };
    // Asked before it is opened: opening a pipe would wait for somebody to write.
    let about = std::fs::metadata(path).map_err(cannot)?;
    if !about.is_file() {
        return Err(NoBytes::Amiss { what: "this is not a plain file".to_owned(), right: None });
    }
    let too_large = |size: u64| {
        let tenths = (size * 10).div_ceil(1024 * 1024);
        let what = format!("the file has {}.{} MB; the largest that is read has 4 MB", tenths / 10, tenths % 10);
        NoBytes::Amiss { what, right: Some("a bench file is a few hundred lines; is this another kind of file?") }
    };
    if about.len() > LARGEST {
        return Err(too_large(about.len()));
    }
    let mut bytes = Vec::new();
    File::open(path).map_err(cannot)?.take(LARGEST + 1).read_to_end(&mut bytes).map_err(cannot)?;
    // It may have grown since it was asked.
    if bytes.len() as u64 > LARGEST { Err(too_large(bytes.len() as u64)) } else { Ok(bytes) }
}

/// What stands in a file, for showing lines of it: bytes that are no letters become signs that say so. `None`
/// where [`load`](super::load) would not read it either.
pub fn text_of(path: &Path) -> Option<String> {
    bytes(path).ok().map(|bytes| ended(String::from_utf8_lossy(&bytes).into_owned()))
}

/// Lines that end in a carriage return alone, as on old machines, end as all others do; no byte moves.
fn ended(text: String) -> String {
    if text.contains('\n') || !text.contains('\r') { text } else { text.replace('\r', "\n") }
}

/// The keys of a file with their values. Faults are told; `None` when there is nothing to go on with.
pub(crate) fn parse(source: &Source, faults: &Faults) -> Option<Map> {
    if let Some(fault) = syntax::before_parsing(source) {
        faults.push(fault);
        return None;
    }
    let walk = Walk::new(&source.text);
    let node = Survey(&walk)
        .deserialize(Deserializer::from_str(&source.text))
        .and_then(|shape| Take { walk: &walk, shape: &shape }.deserialize(Deserializer::from_str(&source.text)));
    let node = match node {
        Ok(node) => node,
        Err(error) => {
            faults.push(told(source, &error));
            return None;
        }
    };
    tags(source, &walk, &node, faults);
    given_twice(source, walk.twice.take(), faults);
    if walk.more.get() > 0 {
        source.all_spoilt.set(true);
        faults.count_more(&source.file, walk.more.get());
    }
    match node {
        Node::Map(map) => Some(map),
        _ => {
            faults.push(
                Diagnostic::error("the file does not begin with a key", syntax::first_line(source))
                    .right("keys with their values, one to a line, such as `dressing: Sallow Dun`"),
            );
            None
        }
    }
}

/// Tells every tag.
fn tags(source: &Source, walk: &Walk<'_>, node: &Node, faults: &Faults) {
    let tell = |at: At| {
        source.spoilt.borrow_mut().insert(at.path.to_vec());
        faults.push(
            Diagnostic::error("a tag (a word after !) is not used in these files", at)
                .right("take the tag away, or put the text in quotes if it begins with !"),
        );
    };
    let whole = syntax::tag_of_the_whole(source);
    whole.iter().for_each(|at| tell(at.clone()));
    for (path, start) in walk.tagged_keys.take() {
        let (line, column) = syntax::line_and_column(&source.text, start);
        tell(At { path: path.into(), on_key: true, ..source.at() }.line(line, column));
    }
    let tagged: BTreeSet<Vec<Key>> = walk.tagged.take().into_iter().filter(|path| whole.is_none() || !path.is_empty()).collect();
    let hidden: Vec<Vec<Key>> = hidden_tags(source, node).into_iter().filter(|path| !tagged.contains(path)).collect();
    tagged.into_iter().chain(hidden).for_each(|path| tell(At { path: path.into(), ..source.at() }));
}

/// What an item of a list is called, whose first key this is.
fn item_of(key: &str) -> &str {
    match key {
        "part" => "part",
        "dressing" => "line",
        "supplier" | "holds" => "pack",
        "of" => "material",
        "kind" => "price",
        _ => "one",
    }
}

/// Tells every key that is given twice.
fn given_twice(source: &Source, all: Vec<Twice>, faults: &Faults) {
    // Where a dash is missing, every key of the next item is there twice: that is one fault.
    let mut run_on: Option<Vec<Key>> = None;
    for twice in all {
        source.spoilt.borrow_mut().insert(twice.path.clone());
        let (key, item) = match twice.path.split_last() {
            Some((Key::Name(key), item)) => (key.clone(), item.to_vec()),
            _ => (String::new(), Vec::new()),
        };
        let begins_again = twice.is_first && matches!(item.last(), Some(Key::Nth(_)));
        if run_on.as_ref() == Some(&item) && !begins_again {
            continue;
        }
        let first = At { path: twice.path.into(), on_key: true, ..source.at() };
        let again = match twice.again.filter(|_| !faults.enough(&source.file)) {
            Some(start) => {
                let (line, column) = syntax::line_and_column(&source.text, start);
                first.line(line, column)
            }
            None => first.clone(),
        };
        let fault = Diagnostic::error(format!("\"{key}\" is given twice"), again).also("given first here", first);
        if begins_again {
            faults.push(fault.right(format!("a dash before it, if another {} begins here: each begins with a dash; else keep one of the two", item_of(&key))));
            run_on = Some(item);
        } else {
            faults.push(fault.right("keep one of the two"));
        }
    }
}

/// Turns an error of the library into a fault.
fn told(source: &Source, error: &serde_yaml::Error) -> Diagnostic {
    let said = error.to_string();
    if said.contains(TOO_MANY) || said.starts_with("repetition limit exceeded") {
        return syntax::endless(source);
    }
    if said.contains("more than one document") {
        return syntax::several_documents(source);
    }
    let place = error.location().map(|location| location.index());
    syntax::plain_english(source, &said, place)
}

/// Tags of YAML's own (`!!str`) pass the library without a word. Before a scalar they are seen in the line;
/// elsewhere the place is looked for, and not often, since each look reads the file again.
fn hidden_tags(source: &Source, node: &Node) -> Vec<Vec<Key>> {
    if !source.text.contains("!!") && !source.text.contains("!<") {
        return Vec::new();
    }
    let (mut seen, mut doubtful) = (Vec::new(), Vec::new());
    unlettered(&source.text, node, &mut Vec::new(), &mut seen, &mut doubtful);
    doubtful.retain(|path| {
        let at = At { path: path.clone().into(), ..source.at() };
        source.from(&at).is_some_and(|rest| rest.starts_with('!'))
    });
    seen.into_iter().chain(doubtful).collect()
}

/// Sorts places into those that are seen to bear a tag and those that may.
fn unlettered(text: &str, node: &Node, path: &mut Vec<Key>, seen: &mut Vec<Vec<Key>>, doubtful: &mut Vec<Vec<Key>>) {
    let mut inside = |key: Key, node: &Node| {
        path.push(key);
        unlettered(text, node, path, seen, doubtful);
        path.pop();
    };
    match node {
        Node::Nothing => doubtful.push(path.clone()),
        Node::Text(scalar) => match scalar.start {
            Some(start) if syntax::word_before(text, start).starts_with('!') => seen.push(path.clone()),
            Some(_) => {}
            None => doubtful.push(path.clone()),
        },
        Node::List(list) => {
            list.iter().enumerate().for_each(|(nth, item)| inside(Key::Nth(nth), item));
            doubtful.push(path.clone());
        }
        Node::Map(map) => {
            map.iter().for_each(|(key, value)| inside(Key::Name(key.clone()), value));
            doubtful.push(path.clone());
        }
    }
}

/// Reads a text once and gives where those of the places sought that are keys or one-line values begin.
pub(super) fn seek(text: &str, sought: Sought) -> Option<Sought> {
    let walk = Walk::seeking(text, sought);
    let shape = Survey(&walk).deserialize(Deserializer::from_str(text)).ok()?;
    Take { walk: &walk, shape: &shape }.deserialize(Deserializer::from_str(text)).ok()?;
    walk.sought()
}

/// Runs `seed` over the text; gives the byte at which it failed.
pub(super) fn fails_at<'de, S: DeserializeSeed<'de>>(text: &'de str, seed: S) -> Option<usize> {
    seed.deserialize(Deserializer::from_str(text)).err()?.location().map(|location| location.index())
}
