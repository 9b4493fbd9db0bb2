//! A cursor over one line of a rule: what lengths and places are both read with.

use crate::measure::{Fault, Fraction};
use std::ops::Range;

/// A cursor over a rule's text. Names are compared without case.
pub(crate) struct Scan<'a> {
    text: &'a str,
    pos: usize,
}

impl<'a> Scan<'a> {
    pub(crate) fn new(text: &'a str) -> Self {
        Scan { text, pos: 0 }
    }

    pub(crate) fn rest(&self) -> &'a str {
        self.text.get(self.pos..).unwrap_or_default()
    }

    pub(crate) fn pos(&self) -> usize {
        self.pos
    }

    pub(crate) fn back_to(&mut self, pos: usize) {
        self.pos = pos;
    }

    pub(crate) fn end(&self) -> bool {
        self.rest().trim().is_empty()
    }

    pub(crate) fn space(&mut self) -> bool {
        let trimmed = self.rest().trim_start();
        let skipped = self.rest().len() - trimmed.len();
        self.pos += skipped;
        skipped > 0
    }

    /// Takes a sign or word exactly; a word must end at a boundary.
    pub(crate) fn take(&mut self, word: &str) -> bool {
        let rest = self.rest();
        let Some(head) = rest.get(..word.len()) else { return false };
        if !head.eq_ignore_ascii_case(word) {
            return false;
        }
        let ends_in_letter = word.chars().next_back().is_some_and(char::is_alphanumeric);
        let next = rest.get(word.len()..).and_then(|tail| tail.chars().next());
        if ends_in_letter && next.is_some_and(|c| c.is_alphanumeric() || c == '-') {
            return false;
        }
        self.pos += word.len();
        true
    }

    /// Takes words separated by any spaces, with space before them allowed; all or nothing.
    pub(crate) fn take_words(&mut self, words: &str) -> bool {
        let start = self.pos;
        for word in words.split(' ') {
            self.space();
            if !self.take(word) {
                self.pos = start;
                return false;
            }
        }
        true
    }

    pub(crate) fn number(&mut self) -> Option<Fraction> {
        let (figure, used) = Fraction::read(self.rest())?;
        self.pos += used;
        Some(figure)
    }

    /// The longest of `names` that stands here.
    pub(crate) fn longest<'n>(&mut self, names: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
        let start = self.pos;
        let mut best: Option<(&str, usize)> = None;
        // There are many names, and most do not even begin alike.
        let first = self.rest().trim_start().chars().next();
        let begins = |name: &str| name.chars().next().zip(first).is_some_and(|(a, b)| a.eq_ignore_ascii_case(&b));
        for name in names.into_iter().filter(|name| begins(name)) {
            self.pos = start;
            if self.take_words(name) && best.is_none_or(|(_, end)| self.pos > end) {
                best = Some((name, self.pos));
            }
        }
        self.pos = best.map_or(start, |(_, end)| end);
        best.map(|(name, _)| name)
    }

    /// The word that stands here, for saying that it is not known.
    pub(crate) fn word(&self) -> (&'a str, Range<usize>) {
        let rest = self.rest();
        let lead = rest.len() - rest.trim_start().len();
        let body = rest.trim_start();
        let stop = [" + ", " - ", " to ", " rising to ", " falling to ", " behind ", " before ", " x ", " / ", ","]
            .iter()
            .filter_map(|sign| body.find(sign))
            .min()
            .unwrap_or(body.len());
        let word = body.get(..stop).unwrap_or(body).trim_end();
        let from = self.pos + lead;
        (word, from..from + word.len())
    }

    pub(crate) fn fault(&self, what: impl Into<String>) -> Fault {
        let (_, within) = self.word();
        Fault::new(what, within)
    }
}
