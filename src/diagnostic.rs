//! What is wrong with a dresser's file, where, and what would be right.
//!
//! A diagnostic carries a *path of keys* into the file, not a line: lines are looked up only when the
//! diagnostic is shown, so that meaning can be checked long after the text was parsed.

use std::ops::Range;
use std::path::Path;
use std::sync::Arc;

/// One stride of a path into a file: a key of a mapping or a place in a list (counted from 0).
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Key {
    /// A key of a mapping, as written.
    Name(String),
    /// A place in a list, from 0.
    Nth(usize),
}

/// A place in a dresser's file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct At {
    /// The file, as the user would name it.
    pub file: Arc<Path>,
    /// The keys that lead to the value; shared, since every told value carries its place about with it.
    pub path: Arc<[Key]>,
    /// Bytes of a one-line value that are at fault; `None` is the whole value.
    pub within: Option<Range<usize>>,
    /// The fault lies in the last key itself, not in its value.
    pub on_key: bool,
    /// Line and column (from 1) where they are known already, as from the YAML reader itself.
    pub exact: Option<(usize, usize)>,
    /// The rule that stands in where the file says nothing; the place is then that of what it stands in for.
    pub rule: Option<Arc<Rule>>,
}

/// A rule that stands in where a dresser's file says nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rule {
    /// It is the custom of the kind of fly; else only what is usual at benches.
    pub custom: bool,
    /// As it would stand in the file.
    pub text: String,
    /// Whose rule it is, and where it was published.
    pub source: String,
}

impl At {
    /// The file as a whole.
    pub fn file(file: impl Into<Arc<Path>>) -> Self {
        At { file: file.into(), path: Arc::new([]), within: None, on_key: false, exact: None, rule: None }
    }

    /// The value under `key`.
    #[must_use]
    pub fn key(&self, key: &str) -> Self {
        self.deeper(Key::Name(key.to_owned()))
    }

    /// The `nth` value of a list, from 0.
    #[must_use]
    pub fn nth(&self, nth: usize) -> Self {
        self.deeper(Key::Nth(nth))
    }

    /// The key itself that leads here.
    #[must_use]
    pub fn the_key(&self) -> Self {
        At { on_key: true, within: None, ..self.clone() }
    }

    /// These bytes of the value. A rule that stands in has no bytes of its own in the file.
    #[must_use]
    pub fn bytes(&self, within: Range<usize>) -> Self {
        if self.rule.is_some() {
            return self.clone();
        }
        At { within: Some(within), on_key: false, ..self.clone() }
    }

    /// A line and column (from 1) the YAML reader named.
    #[must_use]
    pub fn line(&self, line: usize, column: usize) -> Self {
        At { exact: Some((line, column)), ..self.clone() }
    }

    /// This place, with the rule that stands in for what is not said there.
    #[must_use]
    pub fn ruled(&self, rule: Rule) -> Self {
        At { rule: Some(Arc::new(rule)), ..self.clone() }
    }

    /// What this value stands in.
    #[must_use]
    pub fn parent(&self) -> Self {
        let above = self.path.split_last().map_or(&[][..], |(_, above)| above);
        At { path: above.into(), within: None, ..self.clone() }
    }

    /// The place in words: `dressings/sallow-dun.yaml, parts 3, turns`; or the rule that stands in there.
    pub fn in_words(&self) -> String {
        if let Some(rule) = &self.rule {
            return format!("{}: `{}`", rule.source, rule.text);
        }
        let mut text = self.file.to_string_lossy().into_owned();
        for key in self.path.iter() {
            match key {
                Key::Name(name) => {
                    text.push_str(", ");
                    text.push_str(name);
                }
                Key::Nth(nth) => {
                    text.push(' ');
                    text.push_str(&(nth + 1).to_string());
                }
            }
        }
        text
    }

    fn deeper(&self, key: Key) -> Self {
        let path = self.path.iter().cloned().chain([key]).collect();
        At { file: self.file.clone(), path, within: None, on_key: false, exact: None, rule: None }
    }
}

/// A value together with the place in a file that told it.
#[derive(Clone, Debug, PartialEq)]
pub struct Told<T> {
    /// What was said.
    pub value: T,
    /// Where it was said.
    pub at: At,
}

impl<T> Told<T> {
    /// Ties a value to its place.
    pub fn new(value: T, at: At) -> Self {
        Told { value, at }
    }

    /// The same place with another value.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Told<U> {
        Told { value: change(self.value), at: self.at }
    }
}

/// Whether a fault stops the file from being used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The file (or the part named) cannot be used until it is mended.
    Error,
    /// Usable; the dresser may want to know.
    Advice,
}

/// One fault: what is wrong, where, and what would be right.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnostic {
    /// Error or advice.
    pub severity: Severity,
    /// What is wrong, as a sentence without its full stop.
    pub what: String,
    /// Where; `None` where the fault has no place.
    pub at: Option<At>,
    /// Other places that belong to the fault, each with what stands there.
    pub also: Vec<(String, At)>,
    /// What would be right.
    pub right: Option<String>,
}

impl Diagnostic {
    /// An error at a place.
    pub fn error(what: impl Into<String>, at: At) -> Self {
        Diagnostic { severity: Severity::Error, what: what.into(), at: Some(at), also: Vec::new(), right: None }
    }

    /// Advice at a place.
    pub fn advice(what: impl Into<String>, at: At) -> Self {
        Diagnostic { severity: Severity::Advice, ..Diagnostic::error(what, at) }
    }

    /// Adds what would be right.
    #[must_use]
    pub fn right(mut self, right: impl Into<String>) -> Self {
        self.right = Some(right.into());
        self
    }

    /// Adds what would be right, where something is known.
    #[must_use]
    pub fn right_if(mut self, right: Option<String>) -> Self {
        self.right = right.or(self.right);
        self
    }

    /// Adds another place that belongs to the fault.
    #[must_use]
    pub fn also(mut self, what: impl Into<String>, at: At) -> Self {
        self.also.push((what.into(), at));
        self
    }

    /// Whether it is an error.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// The nearest of `known` to `word` when it is near enough to be a slip of the pen.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A slip of the pen is a short word; the comparison takes the product of both lengths.
    if word.len() > 100 {
        return None;
    }
    let word = Letters::new(word);
    known
        .into_iter()
        .filter(|name| name.len() <= 100)
        .filter_map(|name| {
            let other = Letters::new(name);
            if !word.may_be(&other) {
                return None;
            }
            let distance = strsim::damerau_levenshtein(&word.folded, &other.folded);
            let likeness = strsim::jaro_winkler(&word.folded, &other.folded);
            (distance <= word.slips(&other) || likeness > 0.9).then_some((distance, likeness, name))
        })
        .min_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)))
        .map(|(_, _, name)| name)
}

/// A word's letters, counted: most words are told apart by them at a glance.
struct Letters {
    folded: String,
    long: usize,
    of_each: [u8; 32],
}

impl Letters {
    fn new(word: &str) -> Self {
        let folded = word.to_lowercase();
        let mut of_each = [0; 32];
        let mut long = 0;
        for c in folded.chars() {
            long += 1;
            // Letters that share a count make words seem nearer, never farther.
            if let Some(count) = of_each.get_mut(c as usize % 32) {
                *count += 1;
            }
        }
        Letters { folded, long, of_each }
    }

    /// How many slips of the pen two words may be apart. One more is let pass where they begin alike.
    fn slips(&self, other: &Letters) -> usize {
        let short = self.long.min(other.long);
        let alike = self.folded.chars().next() == other.folded.chars().next();
        1 + if alike || short > 4 { short / 3 } else { 0 }
    }

    /// Whether the letters they share leave any chance of their being near.
    fn may_be(&self, other: &Letters) -> bool {
        let shared: usize = self.of_each.iter().zip(&other.of_each).map(|(a, b)| usize::from(*a.min(b))).sum();
        let (longer, shorter) = (self.long.max(other.long), self.long.min(other.long));
        // Jaro's likeness is a third of (shared / one + shared / other + at most 1); Winkler adds at most four tenths
        // of what is missing, so that 0.9 needs 5/6 of Jaro's.
        longer - shared.min(longer) <= self.slips(other) || (shorter > 0 && shared as f64 * (1.0 / longer as f64 + 1.0 / shorter as f64) > 1.5 - 1e-9)
    }
}

/// `did you mean "x"?` for the nearest of `known`, if any is near.
pub fn did_you_mean<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    nearest(word, known).map(|name| format!("did you mean \"{name}\"?"))
}

/// The nearest of `known`, else all of them; `none` where there are none to name.
pub fn near_or_all<'a>(word: &str, known: impl IntoIterator<Item = &'a str>, none: &str) -> String {
    let known: Vec<&str> = known.into_iter().collect();
    if known.is_empty() {
        return none.to_owned();
    }
    did_you_mean(word, known.iter().copied()).unwrap_or_else(|| all_of(known, none))
}

/// All of them, as a hint; `none` where there are none to name.
pub fn all_of<'a>(known: impl IntoIterator<Item = &'a str>, none: &str) -> String {
    let known: Vec<&str> = known.into_iter().collect();
    if known.is_empty() { none.to_owned() } else { format!("one of {}", known.join(", ")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_name_and_nonsense_does_not() {
        assert_eq!(nearest("gold wire fin", ["gold wire, fine", "silver wire"]), Some("gold wire, fine"));
        assert_eq!(nearest("zebra", ["gold wire, fine", "silver wire"]), None);
        assert_eq!(near_or_all("zebra", ["gold wire", "silver wire"], "none here"), "one of gold wire, silver wire");
        assert_eq!(near_or_all("gold wir", ["gold wire", "silver wire"], "none here"), "did you mean \"gold wire\"?");
        assert_eq!(near_or_all("zebra", [], "none here"), "none here");
    }
}
