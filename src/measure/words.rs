//! Text that is safe to show: no control and no bidirectional-override characters, by construction.

use serde::{Deserialize, Serialize};
use std::fmt;

/// A line of text with nothing in it that could command a terminal or turn a line about.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(from = "String", into = "String")]
pub struct Words(Box<str>);

impl Words {
    /// Takes any text; a tab or line end becomes a space, any other control or bidirectional mark `\u{FFFD}`.
    pub fn new(text: &str) -> Self {
        Words(text.chars().map(safe).collect::<String>().into_boxed_str())
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The form names are compared in: lower case, single spaces.
    pub fn folded(&self) -> String {
        fold(&self.0)
    }
}

/// The form names are compared in: lower case, single spaces.
///
/// ```
/// assert_eq!(herl::measure::words::fold("Gold  Wire, fine"), "gold wire, fine");
/// ```
pub fn fold(name: &str) -> String {
    // Most names come folded already, and this is asked for very often.
    let mut last = b' ';
    let folded = name.bytes().all(|b| {
        let fits = b.is_ascii_graphic() && !b.is_ascii_uppercase() || (b == b' ' && last != b' ');
        last = b;
        fits
    });
    if folded && last != b' ' {
        return name.to_owned();
    }
    name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

fn safe(c: char) -> char {
    match c {
        '\t' | '\n' | '\r' => ' ',
        // Unicode UAX #9: embeddings, overrides, isolates and their marks; line and paragraph separators.
        '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{2028}' | '\u{2029}' => '\u{FFFD}',
        // Zero-width characters and the byte order mark hide in names.
        '\u{200B}'..='\u{200D}' | '\u{2060}' | '\u{FEFF}' => '\u{FFFD}',
        c if c.is_control() => '\u{FFFD}',
        c => c,
    }
}

impl fmt::Display for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl From<&str> for Words {
    fn from(text: &str) -> Self {
        Words::new(text)
    }
}

impl From<String> for Words {
    fn from(text: String) -> Self {
        Words::new(&text)
    }
}

impl From<Words> for String {
    fn from(words: Words) -> Self {
        words.0.into_string()
    }
}

impl AsRef<str> for Words {
    fn as_ref(&self) -> &str {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_commands_a_terminal_survives() {
        let words = Words::new("a\u{1b}[2Jb\u{202e}c\nd\u{9b}e");
        assert!(!words.as_str().chars().any(|c| c.is_control() || c == '\u{202e}'), "{words}");
    }

    #[test]
    fn text_read_back_from_a_store_is_cleaned_again() {
        let words: Words = serde_json::from_str(r#""a\u001b[2Jb""#).unwrap();
        assert_eq!(words, Words::new("a\u{fffd}[2Jb"));
        assert_eq!(serde_json::to_string(&words).unwrap(), "\"a\u{fffd}[2Jb\"");
    }
}
