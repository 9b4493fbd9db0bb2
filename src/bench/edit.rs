//! How a dresser's files are written: lines are put in at places that were found, every other byte is kept, the result
//! is read back and held against what was meant before, and only then takes the file's place. `revise.rs` stands beside
//! it and writes in the same way.

use super::node::{Map, Node};
use super::yaml::{self, Read, Source};
use super::{Bench, Faults, dressings, locate, syntax};
use crate::card::{self, Card, fill};
use crate::diagnostic::{At, Diagnostic, Key};
use crate::dressing::Dressing;
use crate::measure::Words;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What was written into a dressing's file.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    /// The file, as the user would name it.
    pub file: Arc<Path>,
    /// The lines put in, in their order; none where there was nothing to fill in.
    pub lines: Vec<Written>,
    /// The copy of the file as it was.
    pub backup: Option<PathBuf>,
    /// What was left as it is, and why.
    pub left: Vec<String>,
}

/// A line put in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// Its number, from 1.
    pub line: usize,
    /// Its text without the blanks before it.
    pub text: String,
    /// Whose rule it is.
    pub source: String,
}

/// Lines to put in at a byte.
pub(super) struct Insert {
    pub(super) byte: usize,
    pub(super) lines: Vec<Line>,
}

/// A line to put in. Read again it is the dresser's own word; a remark behind it keeps whose rule it was.
pub(super) struct Line {
    pub(super) text: String,
    pub(super) source: String,
    pub(super) remarked: bool,
}

/// Writes what a dressing leaves out and the custom of its kind says, and the usual steps, into its file.
///
/// # Errors
/// Where it cannot be done without touching what stands there, where the filled dressing would not come out the same,
/// and where the file cannot be written. Nothing is changed then.
pub fn fill(bench: &Bench, dressing: &Dressing) -> Result<Filled, Vec<Diagnostic>> {
    let file = dressing.name.at.file.clone();
    let path = bench.dir.join(&file);
    let bytes = fs::read(&path).map_err(|error| vec![Diagnostic::error(format!("the file cannot be read: {error}"), At::file(file.clone()))])?;
    let (source, map) = read(&path, &file)?;
    let before = meant(bench, &source, &map)?;
    let parts: Vec<Insert> = fill::parts(&before, &bench.shelf).iter().map(|part| into_part(&source, &map, part)).collect::<Result<_, _>>()?;
    let mut left = Vec::new();
    let steps = match into_steps(&source, &map, &usual_steps(bench, &before, &mut left)) {
        Ok(steps) => steps,
        Err(why) => {
            left.push(why);
            None
        }
    };
    if parts.is_empty() && steps.is_none() {
        return Ok(Filled { file, lines: Vec::new(), backup: None, left });
    }
    let with_steps: Vec<&Insert> = parts.iter().chain(&steps).collect();
    let (text, lines) = match checked(bench, &source, &before, &with_steps) {
        Ok(done) => done,
        // Steps that would change another variant or size are left to the habit; the rest can still be written.
        Err(why) if steps.is_some() => {
            left.push(format!("the usual steps were not written: with them {why}"));
            if parts.is_empty() {
                return Ok(Filled { file, lines: Vec::new(), backup: None, left });
            }
            checked(bench, &source, &before, &parts.iter().collect::<Vec<_>>()).map_err(|why| vec![refused(&file, &why)])?
        }
        Err(why) => return Err(vec![refused(&file, &why)]),
    };
    // A byte order mark was taken away before anything was counted.
    let mut whole = bytes.get(..bytes.len().saturating_sub(source.text.len())).unwrap_or_default().to_vec();
    whole.extend_from_slice(text.as_bytes());
    match replace(&path, &bytes, &whole) {
        Ok(backup) => Ok(Filled { file, lines, backup: Some(backup), left }),
        Err(error) => Err(vec![Diagnostic::error(format!("the file could not be written, and is as it was: {error}"), At::file(file))]),
    }
}

/// The usual steps, unless a part has no place yet: a bed of silk written now would end in the wrong place then.
fn usual_steps(bench: &Bench, dressing: &Dressing, left: &mut Vec<String>) -> Vec<fill::OfStep> {
    let card = dressing.sizes.first().and_then(|size| card::work(dressing, size, None, None, &bench.shelf).ok());
    let placeless = card.iter().flat_map(|card| &card.parts).find(|part| part.tied_in.is_none());
    match placeless {
        Some(part) if dressing.steps.is_empty() => {
            left.push(format!("the usual steps were not written: where \"{}\" is tied in is still open", part.name));
            Vec::new()
        }
        _ => fill::steps(dressing, &bench.shelf),
    }
}

fn refused(file: &Arc<Path>, why: &str) -> Diagnostic {
    Diagnostic::error(format!("nothing was written: filled in, {why}"), At::file(file.clone()))
        .right("write into the parts yourself what `herl card` shows, or give the variants and sizes what they need first")
}

pub(super) fn read(path: &Path, file: &Arc<Path>) -> Result<(Source, Map), Vec<Diagnostic>> {
    let faults = Faults::default();
    let read = match yaml::read(path, file, &faults) {
        Read::Text(source) => yaml::parse(&source, &faults).map(|map| (source, map)),
        Read::Absent => {
            faults.push(Diagnostic::error("there is no such file any more", At::file(file.clone())));
            None
        }
        Read::Refused => None,
    };
    let errors = faults.errors();
    read.filter(|_| errors == 0).ok_or_else(|| faults.into_list())
}

/// The dressing a text means on this bench.
pub(super) fn meant(bench: &Bench, source: &Source, map: &Map) -> Result<Dressing, Vec<Diagnostic>> {
    let faults = Faults::default();
    match dressings::read(source, map, &bench.shelves(), &mut Vec::new(), &faults) {
        Some(dressing) => Ok(dressing),
        None => Err(faults.into_list()),
    }
}

/// What a text would mean in the file's place; `Err`: why nothing.
pub(super) fn read_back(bench: &Bench, file: &Arc<Path>, text: String) -> Result<(Source, Map, Dressing), String> {
    let again = Source::new(file.clone(), text);
    let told = |faults: Vec<Diagnostic>| format!("it could not be read again ({})", faults.first().map_or("no reason told", |fault| fault.what.as_str()));
    let faults = Faults::default();
    let map = yaml::parse(&again, &faults).filter(|_| faults.errors() == 0);
    let map = map.ok_or_else(|| told(faults.into_list()))?;
    let after = meant(bench, &again, &map).map_err(told)?;
    Ok((again, map, after))
}

/// Where the lines of a part go: behind the last of its keys that stands on a line of its own.
pub(super) fn into_part(source: &Source, map: &Map, part: &fill::OfPart) -> Result<Insert, Vec<Diagnostic>> {
    let cannot = |why: &str| {
        let what = format!("nothing was written: \"{}\" {why}", part.name);
        vec![Diagnostic::error(what, part.at.clone()).right("one key a line, further in than the dash of the part, without & or *; then try again")]
    };
    let text = &source.text;
    let start = locate::start(text, &part.at).ok_or_else(|| cannot("is not where it was"))?;
    if text.get(start..).is_some_and(|rest| rest.starts_with(['{', '*', '&'])) {
        return Err(cannot("is written in braces, or by an anchor"));
    }
    if anchored(text, start) {
        return Err(cannot("bears an anchor (&), so that other places would change with it"));
    }
    let Some(Node::Map(keys)) = node(map, &part.at.path) else { return Err(cannot("is not where it was")) };
    let last = keys.iter().rev().find_map(|(key, value)| on_one_line(text, &part.at.key(key).the_key(), value));
    let Some((key_start, indent)) = last else { return Err(cannot("is not written as one key a line")) };
    let lines = part
        .lines
        .iter()
        .map(|line| Line { text: format!("{indent}{}: {}", line.key, scalar(&line.text)), source: line.source.clone(), remarked: true })
        .collect();
    Ok(Insert { byte: end_of_line(text, key_start), lines })
}

/// Whether the word before a thing, on its line or the line above, is an anchor.
fn anchored(text: &str, start: usize) -> bool {
    let before = text.get(..start).unwrap_or_default();
    before.trim_end().rsplit([' ', '\t', '\n']).next().is_some_and(|word| word.starts_with('&'))
}

/// Where a key begins that has its value beside it on one line, in block style, and the blanks that bring another key
/// below it.
pub(super) fn on_one_line(text: &str, key: &At, value: &Node) -> Option<(usize, String)> {
    let Node::Text(scalar) = value else { return None };
    let (key_start, value_start) = (locate::start(text, key)?, scalar.start?);
    if scalar.text.contains('\n') || line_start(text, key_start) != line_start(text, value_start) {
        return None;
    }
    let lead = text.get(line_start(text, key_start)..key_start)?;
    let bare = lead.replacen('-', " ", 1);
    bare.chars().all(|c| c == ' ').then_some((key_start, bare))
}

pub(super) fn line_start(text: &str, byte: usize) -> usize {
    text.get(..byte).and_then(|before| before.rfind('\n')).map_or(0, |end| end + 1)
}

/// The byte behind the line's end, or the end of the text.
pub(super) fn end_of_line(text: &str, byte: usize) -> usize {
    text.get(byte..).and_then(|rest| rest.find('\n')).map_or(text.len(), |end| byte + end + 1)
}

pub(super) fn node<'m>(map: &'m Map, path: &[Key]) -> Option<&'m Node> {
    let (Key::Name(first), rest) = path.split_first()? else { return None };
    rest.iter().try_fold(map.get(first)?, |node, key| match (node, key) {
        (Node::Map(map), Key::Name(name)) => map.get(name),
        (Node::List(list), Key::Nth(nth)) => list.get(*nth),
        _ => None,
    })
}

/// The usual steps at the end of the file. `Err`: why they cannot be put there.
fn into_steps(source: &Source, map: &Map, steps: &[fill::OfStep]) -> Result<Option<Insert>, String> {
    if steps.is_empty() {
        return Ok(None);
    }
    let cannot = |why: &str| Err(format!("the usual steps were not written: {why}"));
    if map.contains_key("steps") {
        return cannot("there is a list of steps already, and it is empty");
    }
    let text = &source.text;
    let root = map.iter().find_map(|(key, value)| on_one_line(text, &source.at().key(key).the_key(), value));
    let Some((_, indent)) = root else { return cannot("the file is not written as one key a line") };
    let mut lines = vec![Line { text: format!("{indent}steps:"), source: "usual order, no source".to_owned(), remarked: true }];
    for step in steps {
        for (nth, (key, value)) in step.iter().enumerate() {
            let dash = if nth == 0 { "- " } else { "  " };
            let of_time = *key == "time";
            let source = if of_time { "usual time, from memory" } else { "usual order, no source" };
            lines.push(Line { text: format!("{indent}  {dash}{key}: {}", scalar(value)), source: source.to_owned(), remarked: of_time });
        }
    }
    Ok(Some(Insert { byte: text.len(), lines }))
}

/// Text as YAML reads it back: bare where it may be, else in quotes.
pub(super) fn scalar(text: &str) -> String {
    let safe = text.starts_with(|c: char| c.is_alphanumeric())
        && !text.contains(": ")
        && !text.contains(" #")
        && !text.ends_with([':', ' '])
        && !text.contains(['\n', '\t', '"', '\\'])
        && !matches!(text.to_lowercase().as_str(), "null" | "true" | "false" | "yes" | "no" | "on" | "off");
    if safe || text.is_empty() { text.to_owned() } else { format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\"")) }
}

/// The text with the lines put in, once it has been read back and every card comes out as before; `Err`: what would
/// come out otherwise.
fn checked(bench: &Bench, source: &Source, before: &Dressing, inserts: &[&Insert]) -> Result<(String, Vec<Written>), String> {
    let (text, lines) = put_in(&source.text, inserts);
    let (again, _, after) = read_back(bench, &source.file, text)?;
    let variants = std::iter::once(None).chain(before.variants.keys().map(|name| Some(name.as_str())));
    for variant in variants {
        for size in &before.sizes {
            let of = variant.map_or_else(String::new, |variant| format!(" \"{variant}\""));
            let work = |dressing: &Dressing| card::work(dressing, size, variant, None, &bench.shelf);
            match (work(before), work(&after)) {
                (Ok(then), Ok(now)) => {
                    if let Some(what) = difference(&then, &now) {
                        return Err(format!("size {}{of} would not come out as it does now: {what}", size.value));
                    }
                }
                (Ok(_), Err(faults)) | (Err(faults), _) => {
                    let why = faults.first().map_or("no reason told", |fault| fault.what.as_str());
                    return Err(format!("size {}{of} cannot be worked: {why}", size.value));
                }
            }
        }
    }
    Ok((again.text, lines))
}

/// The first thing in which two cards differ but for where their figures come from.
fn difference(then: &Card, now: &Card) -> Option<String> {
    let (then_all, now_all) = (figures(then), figures(now));
    let other = |(key, value): &(String, f64), list: &[(String, f64)]| !list.iter().any(|(own, same)| own == key && same == value);
    if let Some((key, value)) = then_all.iter().find(|figure| other(figure, &now_all)) {
        let instead = now_all.iter().find(|(own, _)| own == key);
        return Some(instead.map_or_else(|| format!("{key} would be missing"), |(_, instead)| format!("{key} would be {instead:.4}, not {value:.4}")));
    }
    if let Some((key, _)) = now_all.iter().find(|figure| other(figure, &then_all)).or(now_all.get(then_all.len())) {
        return Some(format!("{key} would be new"));
    }
    if then_all != now_all {
        return Some("some figures would come more often".to_owned());
    }
    let ways = |card: &Card| card.parts.iter().map(|part| (part.name.clone(), part.way, part.shape, part.on.clone())).collect::<Vec<_>>();
    if ways(then) != ways(now) {
        return Some("a part would go on or stand in another way".to_owned());
    }
    let steps = |card: &Card| card.steps.iter().map(|step| step.text.clone()).collect::<Vec<_>>();
    (steps(then) != steps(now)).then(|| "a step would read otherwise".to_owned())
}

/// A card's figures by key, less the numbers that only keep keys apart: these hang on the order in which rows were
/// set, which nobody sees.
fn figures(card: &Card) -> Vec<(String, f64)> {
    let plain = |key: &str| key.split('.').filter(|part| !part.bytes().all(|b| b.is_ascii_digit())).collect::<Vec<_>>().join(".");
    let mut all: Vec<(String, f64)> = card.sheet.rows().map(|(_, key, row)| (plain(key), row.value)).collect();
    all.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    all
}

/// Puts lines in; every line that was there stays as it is, in its order.
pub(super) fn put_in(text: &str, inserts: &[&Insert]) -> (String, Vec<Written>) {
    let ending = if text.split_inclusive('\n').next().is_some_and(|line| line.ends_with("\r\n")) { "\r\n" } else { "\n" };
    let mut inserts: Vec<&Insert> = inserts.to_vec();
    inserts.sort_by_key(|insert| insert.byte);
    let (mut whole, mut done, mut written) = (String::new(), 0, Vec::new());
    for insert in inserts {
        whole.push_str(text.get(done..insert.byte).unwrap_or_default());
        done = insert.byte;
        let open_end = !whole.is_empty() && !whole.ends_with('\n');
        for line in &insert.lines {
            if open_end {
                whole.push_str(ending);
            }
            let (number, _) = syntax::line_and_column(&whole, whole.len());
            written.push(Written { line: number, text: line.text.trim_start().to_owned(), source: line.source.clone() });
            whole.push_str(&line.text);
            if line.remarked && !line.source.is_empty() {
                whole.push_str(&format!("  # {}", Words::new(&line.source)));
            }
            if !open_end {
                whole.push_str(ending);
            }
        }
    }
    whole.push_str(text.get(done..).unwrap_or_default());
    (whole, written)
}

/// Puts a file's new bytes in its place if it still holds the old ones; gives the copy of the old ones.
pub(super) fn replace(path: &Path, old: &[u8], new: &[u8]) -> std::io::Result<PathBuf> {
    // A link stays a link: what it leads to is replaced.
    let path = path.canonicalize()?;
    let folder = path.parent().unwrap_or(Path::new("."));
    if fs::read(&path)? != old {
        return Err(std::io::Error::other("it was changed by somebody else just now; try again"));
    }
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".bak");
    let backup = path.with_file_name(name);
    let permissions = fs::metadata(&path)?.permissions();
    for (bytes, to) in [(old, &backup), (new, &path)] {
        let mut beside = tempfile::Builder::new().prefix(".writing-").tempfile_in(folder)?;
        beside.write_all(bytes)?;
        fs::set_permissions(beside.path(), permissions.clone())?;
        beside.as_file().sync_all()?;
        beside.persist(to).map_err(|error| error.error)?;
    }
    // The new name must last as well as the new bytes; where folders cannot be synced, the bytes are safe all the same.
    if let Ok(folder) = fs::File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(backup)
}
