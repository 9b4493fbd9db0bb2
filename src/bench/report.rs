//! Findings as people read them: what is wrong, where, the line itself, what would be right.
//!
//! Pure: the text of a file comes from whoever calls. Nothing of a file reaches the page unless it has been made
//! safe ([`Words`]), one sign for one sign, so that the marks below a line still stand where they should.

use super::locate::{Places, Spot, locate};
use crate::diagnostic::{At, Diagnostic, Severity};
use crate::measure::Words;
use indexmap::IndexSet;
use std::collections::{BTreeSet, HashMap};
use std::fmt::Write as _;
use std::ops::Range;
use std::path::Path;
use std::sync::Arc;
use unicode_width::{UnicodeWidthChar as _, UnicodeWidthStr as _};

/// The widest a shown line may be, in columns.
const WIDEST: usize = 160;

/// How many bytes of a line before and after a place are looked at.
const NEAR: usize = 2000;

/// The most findings that are written out in full; the rest are counted.
const MOST: usize = 400;

/// The longest a sentence may be, in characters.
const LONGEST: usize = 600;

/// How many bytes of files are read again, at most, to find the places of findings one by one.
const LOOKS: usize = 8 * 1024 * 1024;

/// How many bytes reading a file again for each of its places may come to before they are looked for all at once.
const ONE_BY_ONE: usize = 1024 * 1024;

/// Writes findings out, file by file as they came and line by line within a file. `text` gives what stands in a
/// file, as the file is named in the findings.
pub fn render(findings: &[Diagnostic], text: &dyn Fn(&Path) -> Option<String>) -> String {
    let mut sought: HashMap<Arc<Path>, Vec<&At>> = HashMap::new();
    for at in findings.iter().take(MOST).flat_map(|finding| finding.at.iter().chain(finding.also.iter().map(|(_, at)| at))) {
        if at.exact.is_none() && !at.path.is_empty() {
            sought.entry(at.file.clone()).or_default().push(at);
        }
    }
    let mut files = Files { text, sought, order: IndexSet::new(), read: HashMap::new(), left: LOOKS };
    // Each with the number of its file, its line and its column.
    let mut shown = Vec::new();
    for finding in findings.iter().take(MOST) {
        let mut page = String::new();
        let place = one(&mut page, finding, &mut files);
        let file = finding.at.as_ref().and_then(|at| files.order.get_index_of(&at.file));
        shown.push((file.map(|file| (file, place)), page));
    }
    shown.sort_by_key(|(place, _)| *place);
    let mut page: String = shown.into_iter().map(|(_, page)| page).collect();
    if findings.len() > MOST {
        let _ = writeln!(page, "... and {} more\n", findings.len() - MOST);
    }
    let _ = writeln!(page, "{}", count(findings));
    page
}

/// Texts of files, each fetched once.
struct Files<'t> {
    text: &'t dyn Fn(&Path) -> Option<String>,
    /// The places that will be asked for.
    sought: HashMap<Arc<Path>, Vec<&'t At>>,
    /// Files in the order they were met.
    order: IndexSet<Arc<Path>>,
    read: HashMap<Arc<Path>, Option<Text>>,
    /// Bytes that may still be read again to find places.
    left: usize,
}

impl Files<'_> {
    /// The text of a place's file and where in it the place is.
    fn spot(&mut self, at: &At) -> Option<(&str, Spot)> {
        self.order.insert(at.file.clone());
        if at.path.is_empty() && at.exact.is_none() {
            return None; // the file as a whole, which may be one that nobody should read
        }
        let read = self.read.entry(at.file.clone()).or_insert_with(|| {
            let text = (self.text)(&at.file)?;
            let sought = self.sought.get(&at.file).map(Vec::as_slice).unwrap_or_default();
            let places = (sought.len().saturating_mul(text.len()) > ONE_BY_ONE).then(|| Places::of(&text, sought.iter().copied())).flatten();
            Some(Text { text, places })
        });
        let Text { text, places } = read.as_ref()?;
        if let Some(spot) = places.as_ref().and_then(|places| places.spot(text, at)) {
            return Some((text, spot));
        }
        self.left = self.left.checked_sub(text.len())?;
        Some((text, locate(text, at)?))
    }
}

/// The text of a file.
struct Text {
    text: String,
    /// The places that are asked for, where there are so many that they were looked for all at once.
    places: Option<Places>,
}

/// `2 errors, 1 piece of advice in 2 files`.
fn count(findings: &[Diagnostic]) -> String {
    let errors = findings.iter().filter(|finding| finding.is_error()).count();
    let advice = findings.len() - errors;
    let files: BTreeSet<&Path> = findings.iter().filter_map(|finding| finding.at.as_ref()).map(|at| &*at.file).collect();
    let errors = match errors {
        0 => None,
        1 => Some("1 error".to_owned()),
        more => Some(format!("{more} errors")),
    };
    let advice = match advice {
        0 => None,
        1 => Some("1 piece of advice".to_owned()),
        more => Some(format!("{more} pieces of advice")),
    };
    let said: Vec<String> = [errors, advice].into_iter().flatten().collect();
    match (said.is_empty(), files.len()) {
        (true, _) => "nothing to mend".to_owned(),
        (false, 0) => said.join(", "),
        (false, 1) => format!("{} in 1 file", said.join(", ")),
        (false, more) => format!("{} in {more} files", said.join(", ")),
    }
}

/// Writes one finding; gives the line and column it is shown at.
fn one(page: &mut String, finding: &Diagnostic, files: &mut Files<'_>) -> Option<(usize, usize)> {
    let word = match finding.severity {
        Severity::Error => "error",
        Severity::Advice => "advice",
    };
    let what = sentence(&finding.what);
    let mut place = None;
    match &finding.at {
        Some(at) => {
            let shown = Shown::new(at, files);
            let _ = writeln!(page, "{word}: {}: {what}", shown.place);
            page.push_str(&shown.lines);
            place = shown.spot;
        }
        None => {
            let _ = writeln!(page, "{word}: {what}");
        }
    }
    for (what, at) in &finding.also {
        let shown = Shown::new(at, files);
        let _ = writeln!(page, "  {}: {}", sentence(what), shown.place);
        page.push_str(&shown.lines);
    }
    if let Some(right) = &finding.right {
        let _ = writeln!(page, "  right: {}", sentence(right));
    }
    page.push('\n');
    place
}

/// A sentence made safe, and cut where it goes on for ever.
fn sentence(text: &str) -> Words {
    match text.char_indices().nth(LONGEST) {
        Some((cut, _)) => Words::new(&format!("{}…", text.get(..cut).unwrap_or_default())),
        None => Words::new(text),
    }
}

/// A place ready to be shown.
struct Shown {
    /// `file:line:column`.
    place: String,
    /// Line and column, where known.
    spot: Option<(usize, usize)>,
    /// The line and the marks below it; empty where the fault has no place.
    lines: String,
}

impl Shown {
    fn new(at: &At, files: &mut Files<'_>) -> Self {
        let file = Words::new(&at.file.to_string_lossy());
        let (spot, lines) = match files.spot(at) {
            Some((text, spot)) => (Some((spot.line, spot.column)), marked(text, &spot)),
            None => (at.exact, String::new()),
        };
        let place = match spot {
            Some((line, column)) => format!("{file}:{line}:{column}"),
            None => file.to_string(),
        };
        Shown { place, spot, lines }
    }
}

/// The line of a spot, and carets below what is meant.
fn marked(text: &str, spot: &Spot) -> String {
    let start = text.get(..spot.bytes.start).and_then(|before| before.rfind('\n')).map_or(0, |end| end + 1);
    let line = text.get(start..).and_then(|rest| rest.split('\n').next()).unwrap_or_default();
    let line = line.strip_suffix('\r').unwrap_or(line);
    let meant = spot.bytes.start.saturating_sub(start)..spot.bytes.end.saturating_sub(start);
    // Of a line without end, what could be shown of it.
    let near = boundary(line, meant.start.saturating_sub(NEAR))..boundary(line, meant.start.saturating_add(NEAR));
    // Made safe sign by sign, so that columns stay what they were.
    let signs: Vec<(usize, char)> = line.get(near.clone()).unwrap_or_default().char_indices().map(|(at, c)| (near.start + at, safe(c))).collect();
    let (signs, cut_before, cut_after) = shortened(&signs, &meant);
    let (cut_before, cut_after) = (cut_before || near.start > 0, cut_after || near.end < line.len());
    let mut shown = String::new();
    let mut marks = String::new();
    if cut_before {
        shown.push('…');
        marks.push(' ');
    }
    for (at, c) in signs {
        shown.push(*c);
        let mark = if meant.contains(at) { '^' } else { ' ' };
        marks.extend(std::iter::repeat_n(mark, c.width().unwrap_or(0)));
    }
    if cut_after {
        shown.push('…');
    }
    if !marks.contains('^') {
        marks.push('^');
    }
    let number = spot.line.to_string();
    let pad = " ".repeat(number.width().max(4));
    format!("{number:>4} | {}\n{pad} | {}\n", shown.trim_end(), marks.trim_end())
}

/// The nearest byte at or before `byte` where a letter begins or the line ends.
fn boundary(line: &str, byte: usize) -> usize {
    let byte = byte.min(line.len());
    (0..=byte).rev().find(|byte| line.is_char_boundary(*byte)).unwrap_or(0)
}

/// One sign as it may be shown.
fn safe(c: char) -> char {
    let mut buffer = [0; 4];
    Words::new(c.encode_utf8(&mut buffer)).as_str().chars().next().unwrap_or(' ')
}

/// The part of a line around what is meant, if the whole is too wide; and whether it was cut on either side.
fn shortened<'s>(signs: &'s [(usize, char)], meant: &Range<usize>) -> (&'s [(usize, char)], bool, bool) {
    let width = |signs: &[(usize, char)]| signs.iter().map(|(_, c)| c.width().unwrap_or(0)).sum::<usize>();
    if width(signs) <= WIDEST {
        return (signs, false, false);
    }
    let at = signs.iter().position(|(at, _)| *at >= meant.start).unwrap_or(signs.len());
    // A third of the room before the place, the rest from it on.
    let mut from = at;
    let mut room = WIDEST / 3;
    while let Some((_, c)) = from.checked_sub(1).and_then(|before| signs.get(before)) {
        match room.checked_sub(c.width().unwrap_or(0)) {
            Some(left) => room = left,
            None => break,
        }
        from -= 1;
    }
    let mut to = at;
    let mut room = WIDEST - WIDEST / 3 + room;
    while let Some((_, c)) = signs.get(to) {
        match room.checked_sub(c.width().unwrap_or(0)) {
            Some(left) => room = left,
            None => break,
        }
        to += 1;
    }
    (signs.get(from..to).unwrap_or_default(), from > 0, to < signs.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_shown_with_its_fault_marked() {
        let text = "a: 1\nwide 漢字: 1.5 gop # x\u{202e}[2J\n";
        let at = At::file(Path::new("x.yaml")).key("wide 漢字").bytes(4..7);
        let finding = Diagnostic::error("\"gop\" is no measure", at).right("did you mean \"gap\"?");
        let page = render(&[finding], &|_| Some(text.to_owned()));
        assert_eq!(
            page,
            "error: x.yaml:2:14: \"gop\" is no measure\n   2 | wide 漢字: 1.5 gop # x\u{fffd}[2J\n     |                ^^^\n  right: did you mean \"gap\"?\n\n1 error in 1 file\n"
        );
    }

    #[test]
    fn a_long_line_is_cut_around_the_place() {
        let text = format!("k: {}WRONG{}\n", "a".repeat(500), "b".repeat(500));
        let at = At::file(Path::new("x.yaml")).key("k").bytes(500..505);
        let page = render(&[Diagnostic::error("no", at)], &|_| Some(text.clone()));
        let line = page.lines().nth(1).unwrap();
        assert!(line.contains("WRONG") && line.contains("…aaa") && line.ends_with("b…"), "{line}");
        let marks = page.lines().nth(2).unwrap();
        assert_eq!(marks.find("^^^^^").map(|at| marks[..at].width()), line.find("WRONG").map(|at| line[..at].width()));
    }

    #[test]
    fn nothing_wrong_says_so() {
        assert_eq!(render(&[], &|_| None), "nothing to mend\n");
    }
}
