//! What can be wrong with a file before it has any meaning, in plain English: YAML's own traps.

use super::yaml::{DEEPEST, Source};
use crate::diagnostic::{At, Diagnostic};

/// The line and column (in characters), both from 1, of a byte.
pub(super) fn line_and_column(text: &str, byte: usize) -> (usize, usize) {
    let byte = (0..=byte.min(text.len())).rev().find(|byte| text.is_char_boundary(*byte)).unwrap_or(0);
    let before = text.get(..byte).unwrap_or_default();
    let line_start = before.rfind('\n').map_or(0, |end| end + 1);
    (before.matches('\n').count() + 1, before.get(line_start..).unwrap_or_default().chars().count() + 1)
}

/// The word that stands before byte `start` on its line: a tag or an anchor, if the value has one.
pub(super) fn word_before(text: &str, start: usize) -> &str {
    let before = text.get(..start).unwrap_or_default();
    let line = before.rsplit('\n').next().unwrap_or_default();
    let word = line.trim_end_matches(['"', '\'']).trim_end().rsplit([' ', '\t']).next().unwrap_or_default();
    word.trim_start_matches(['[', '{', ','])
}

/// Faults that the YAML reader would tell badly, or be slow over.
pub(super) fn before_parsing(source: &Source) -> Option<Diagnostic> {
    let text = &source.text;
    let place = |byte| {
        let (line, column) = line_and_column(text, byte);
        source.at().line(line, column)
    };
    if let Some((byte, c)) = text.char_indices().find(|(_, c)| !is_printable(*c)) {
        let fault = Diagnostic::error(format!("a control character (U+{:04X}) stands here, which no text file has", u32::from(c)), place(byte));
        return Some(fault.right("take it away; it cannot be seen in most editors"));
    }
    if text.lines().all(|line| line.trim().is_empty() || line.trim_start().starts_with('#') || line.trim_end() == "---") {
        return Some(Diagnostic::error("the file is empty", source.at()).right("write something in it, or take the file away"));
    }
    // The reader grows slow with the square of the brackets that stand open.
    let mut open = 0_usize;
    for (byte, sign) in text.bytes().enumerate() {
        match sign {
            b'[' | b'{' => open += 1,
            b']' | b'}' => open = open.saturating_sub(1),
            _ => continue,
        }
        if open > DEEPEST {
            return Some(too_deep(source, byte));
        }
    }
    None
}

fn too_deep(source: &Source, byte: usize) -> Diagnostic {
    let (line, column) = line_and_column(&source.text, byte);
    Diagnostic::error(format!("here one thing stands inside another more than {DEEPEST} deep"), source.at().line(line, column))
        .right("a bench file goes five or six deep; is a bracket not closed?")
}

/// The first line that says anything.
pub(super) fn first_line(source: &Source) -> At {
    let lines = source.text.lines().enumerate();
    let first = lines.map(|(nth, line)| (nth, line.trim_end())).find(|(_, line)| !line.trim().is_empty() && !line.starts_with('#') && *line != "---");
    first.map_or(source.at(), |(nth, line)| source.at().line(nth + 1, line.chars().take_while(|c| *c == ' ').count() + 1))
}

/// Where a tag stands before everything else: on a line of its own, or after the dashes that begin the file.
pub(super) fn tag_of_the_whole(source: &Source) -> Option<At> {
    let mut lines = source.text.lines().enumerate();
    let (nth, line) = lines.find(|(_, line)| {
        let line = line.trim();
        !line.is_empty() && line != "---" && !line.starts_with(['#', '%'])
    })?;
    let dashes = if line.starts_with("---") { 3 } else { 0 };
    let rest = line.get(dashes..)?;
    let tag = rest.trim_start();
    let alone = !tag.contains([' ', '\t']);
    let column = line.len() - tag.len() + 1;
    (tag.starts_with('!') && (alone || dashes > 0)).then(|| source.at().line(nth + 1, column))
}

/// Aliases that unfold without end.
pub(super) fn endless(source: &Source) -> Diagnostic {
    Diagnostic::error("its aliases (& and *) unfold to more than any bench could hold; this fault has no one place", source.at())
        .right("write the things out instead of pointing at them with *")
}

/// More than one document.
pub(super) fn several_documents(source: &Source) -> Diagnostic {
    let lines = || source.text.lines().enumerate();
    let first = lines().find(|(_, line)| !line.trim().is_empty() && !line.starts_with(['#', '-', '%'])).map_or(0, |(nth, _)| nth);
    let second = lines().find(|(nth, line)| *nth > first && (line.starts_with("---") || line.starts_with("...")));
    let at = match second {
        Some((nth, _)) => source.at().line(nth + 1, 1),
        None => return set_in(source).unwrap_or_else(|| begins(source.at())),
    };
    begins(at)
}

fn begins(at: At) -> Diagnostic {
    Diagnostic::error("a second document begins here; a file holds one", at).right("take the line away, or put the second one in a file of its own")
}

/// The first line of a file set further in than one below it: to YAML, the end of what began there.
fn set_in(source: &Source) -> Option<Diagnostic> {
    let mut lines = source.text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty() && !line.trim_start().starts_with('#') && *line != "---");
    let indent = |line: &str| line.len() - line.trim_start_matches(' ').len();
    let (nth, first) = lines.next()?;
    lines.find(|(_, line)| indent(line) < indent(first))?;
    let fault = Diagnostic::error("this line is set further in than those below", source.at().line(nth + 1, 1));
    Some(fault.right("keys of one thing begin in the same column"))
}

/// The characters a YAML file may hold (YAML 1.2.2, chapter 5.1).
fn is_printable(c: char) -> bool {
    matches!(c, '\t' | '\n' | '\r' | ' '..='~' | '\u{85}' | '\u{A0}'..='\u{D7FF}' | '\u{E000}'..='\u{FFFD}' | '\u{10000}'..) && c != '\u{FEFF}'
}

/// What the YAML reader said, for people.
pub(super) fn plain_english(source: &Source, said: &str, byte: Option<usize>) -> Diagnostic {
    let text = &source.text;
    let Some(byte) = byte else {
        return Diagnostic::error(format!("this is not YAML: {said}"), source.at());
    };
    if said.starts_with("recursion limit exceeded") {
        return too_deep(source, byte);
    }
    let (line, column) = line_and_column(text, byte);
    if let Some((line, column)) = tab_before(text, line) {
        return Diagnostic::error("a tab stands before the text of this line; YAML counts spaces only", source.at().line(line, column))
            .right("spaces: two for each level");
    }
    let here = source.at().line(line, column);
    if let Some(fault) = key_run_on(source, said, line) {
        return fault;
    }
    if let Some((line, column, sign)) = unquoted_sign(text, line) {
        let what = match sign {
            '{' => "a text that begins with { is read as keys with values, up to the }".to_owned(),
            '[' => "a text that begins with [ is read as a list, up to the ]".to_owned(),
            '*' | '&' => format!("a text that begins with {sign} is read as an alias of something else"),
            '!' => "a text that begins with ! is read as a tag".to_owned(),
            '"' | '\'' => "the text goes on after its closing quote".to_owned(),
            _ => format!("a text cannot begin with {sign}"),
        };
        let closed = |sign: char| text.lines().nth(line.saturating_sub(1)).is_some_and(|line| line.contains(sign));
        let right = match sign {
            '"' => "put the whole text in single quotes: '...'",
            '\'' => "put the whole text in double quotes: \"...\"",
            '{' if !closed('}') => "close it with }, or put the whole text in quotes: \"...\"",
            '[' if !closed(']') => "close it with ], or put the whole text in quotes: \"...\"",
            _ => "put the whole text in quotes: \"...\"",
        };
        return Diagnostic::error(what, source.at().line(line, column)).right(right);
    }
    if said.starts_with("did not find expected ',' or")
        && let Some((open, sign)) = still_open(text, byte)
    {
        let (line, column) = line_and_column(text, open);
        let close = if sign == '{' { '}' } else { ']' };
        let fault = Diagnostic::error(format!("the {sign} that opens here is not closed, or a comma is missing within"), source.at().line(line, column));
        return fault.right(format!("close it with {close}, or write it without brackets: one key or one item a line"));
    }
    let (what, right) = translated(said);
    // Quotes that are never closed are shown where they open.
    let here = said.split_once("quoted scalar at line ").and_then(|(_, place)| place_said(place)).map_or(here, |(line, column)| source.at().line(line, column));
    let mut fault = Diagnostic::error(what, here).right(right);
    if said.starts_with("could not find expected ':'") || said.starts_with("did not find expected key") {
        let comment_above = text.lines().nth(line.saturating_sub(2)).is_some_and(|above| above.contains(" #"));
        if comment_above {
            fault.right = Some("the line above ends at its #, for what follows # is a comment; put the text in quotes".to_owned());
        }
    }
    fault
}

/// A line above `line` that should be a key with its value and has no space after its colon, or no colon.
fn key_run_on(source: &Source, said: &str, line: usize) -> Option<Diagnostic> {
    let fits = ["could not find expected ':'", "mapping values are not allowed", "did not find expected <document start>"];
    if !fits.iter().any(|fit| said.contains(fit)) {
        return None;
    }
    let told = |line: &&str| !line.trim().is_empty() && !line.trim_start().starts_with('#') && *line != "---";
    let mut above = source.text.lines().enumerate().take(line.saturating_sub(1)).filter(|(_, line)| told(line)).collect::<Vec<_>>().into_iter().rev();
    let (nth, it) = above.next()?;
    let bare = it.trim_start_matches([' ', '-']);
    let column = it.len() - bare.len();
    let bare = bare.split(" #").next().unwrap_or(bare).trim_end();
    if bare.contains(": ") || bare.ends_with(':') || bare.starts_with(['"', '\'', '{', '[', '*', '&', '!', '|', '>']) {
        return None;
    }
    // Further in than the key above, it is the rest of that one's text.
    let goes_on = above.next().is_some_and(|(_, other)| column > other.len() - other.trim_start_matches([' ', '-']).len());
    if goes_on {
        return None;
    }
    let at = source.at().line(nth + 1, column + 1);
    Some(match bare.split_once(':') {
        Some((key, value)) => Diagnostic::error("no space stands after the colon of this key", at).right(format!("`{key}: {value}`")),
        None => Diagnostic::error("no colon stands after the key of this line", at).right("the key, a colon and a space, then its value: `kind: sedge`"),
    })
}

/// The last bracket that opens before `byte` and is not closed before it.
fn still_open(text: &str, byte: usize) -> Option<(usize, char)> {
    let mut open = Vec::new();
    let mut quote = None;
    let mut before = ' ';
    let mut comment = false;
    for (at, sign) in text.get(..byte)?.char_indices() {
        match (sign, quote) {
            ('\n', _) => comment = false,
            _ if comment => {}
            (sign, Some(quoted)) if sign == quoted => quote = None,
            (_, Some(_)) => {}
            ('#', None) if before.is_whitespace() => comment = true,
            ('"' | '\'', None) if before.is_whitespace() || "{[,".contains(before) => quote = Some(sign),
            // Outside brackets a bracket within a text means nothing.
            ('{' | '[', None) if !open.is_empty() || before.is_whitespace() => open.push((at, sign)),
            ('}' | ']', None) => {
                open.pop();
            }
            _ => {}
        }
        before = sign;
    }
    open.pop()
}

/// `13 column 7`, as the YAML reader says it.
fn place_said(place: &str) -> Option<(usize, usize)> {
    let (line, rest) = place.split_once(" column ")?;
    let digits = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    Some((line.parse().ok()?, rest.get(..digits)?.parse().ok()?))
}

fn translated(said: &str) -> (&'static str, &'static str) {
    let table: &[(&str, &str, &str)] = &[
        (
            "mapping values are not allowed",
            "a key with its value cannot stand here",
            "a text that has a colon and a space in it stands in quotes; keys of one thing begin in the same column",
        ),
        (
            "found unexpected end of stream",
            "the quotes that open here are never closed",
            "close them; if it is an apostrophe, put the whole text in double quotes",
        ),
        ("found unexpected document indicator", "the quotes that open here are never closed", "close them"),
        ("could not find expected ':'", "a key was expected here, with a colon after it", "`key: value`, or quotes round a text that goes over several lines"),
        ("did not find expected ',' or '}'", "a } is missing, or a comma", "close the brace, or write one key a line without braces"),
        ("did not find expected ',' or ']'", "a ] is missing, or a comma", "close the bracket, or write one item a line, each after a dash"),
        (
            "did not find expected '-' indicator",
            "this line fits neither the list above it nor anything else",
            "keys of one item begin in the same column; the next item begins with a dash",
        ),
        ("did not find expected key", "this line fits nothing above it", "keys of one thing begin in the same column"),
        ("block sequence entries are not allowed", "a list cannot begin here", "begin the list on a line of its own"),
        ("unknown anchor", "nothing in this file bears the name after the *", "put a text that begins with * in quotes"),
        ("found undefined tag handle", "a tag (a word after !) is not used in these files", "put a text that begins with ! in quotes"),
        ("found unknown escape character", "a backslash inside double quotes begins a special character", "single quotes instead of double ones"),
        ("found character that cannot start any token", "a text cannot begin with this character", "put the whole text in quotes: \"...\""),
        ("mapping keys are not allowed", "a key cannot stand here", "keys of one thing begin in the same column"),
        ("invalid type", "a key must be plain words", "words, then a colon"),
        ("did not find expected <document start>", "the file begins with something that is no key", "keys with their values, one to a line"),
    ];
    let found = table.iter().find(|(begins, ..)| said.contains(begins));
    found.map_or(("this is not YAML", "keys with their values, one to a line; quotes round a text with signs in it"), |(_, what, right)| (what, right))
}

/// The nearest line at or above `line` with a tab in its indentation.
fn tab_before(text: &str, line: usize) -> Option<(usize, usize)> {
    let lines: Vec<&str> = text.lines().take(line).collect();
    // A tab further up has been read without harm.
    lines.iter().enumerate().rev().take(2).find_map(|(nth, line)| {
        let indent = line.len() - line.trim_start().len();
        let tab = line.get(..indent)?.find('\t')?;
        (indent < line.len()).then_some((nth + 1, tab + 1))
    })
}

/// A value on `line`, or the line above it, that begins with a sign YAML takes for its own.
fn unquoted_sign(text: &str, line: usize) -> Option<(usize, usize, char)> {
    let lines: Vec<&str> = text.lines().take(line).collect();
    lines.iter().enumerate().rev().take(2).find_map(|(nth, line)| {
        let (sign, before) = value_sign(line)?;
        let value = line.get(before..)?;
        let amiss = match sign {
            '{' => !value.trim_end().ends_with('}') && !value.contains(" #"),
            '[' => !value.trim_end().ends_with(']') && !value.contains(" #"),
            quote @ ('"' | '\'') => {
                let after = value.get(1..).and_then(|rest| rest.split_once(quote)).map_or("", |(_, after)| after);
                !after.trim().is_empty() && !after.trim_start().starts_with(['#', ':', ',', quote])
            }
            _ => true,
        };
        amiss.then(|| (nth + 1, line.get(..before).unwrap_or_default().chars().count() + 1, sign))
    })
}

/// The sign a line's value begins with, if it is one of YAML's, and the byte it stands at.
pub(super) fn value_sign(line: &str) -> Option<(char, usize)> {
    let value = line.find(": ").map(|colon| colon + 2).or_else(|| line.find("- ").map(|dash| dash + 2))?;
    let rest = line.get(value..)?;
    let start = value + rest.len() - rest.trim_start().len();
    let sign = line.get(start..)?.chars().next()?;
    "{[*&!@`%\"'".contains(sign).then_some((sign, start))
}
