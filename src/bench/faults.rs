//! Faults as they are found, file by file: told in full up to a bound, counted beyond it.

use crate::diagnostic::{At, Diagnostic, Severity, nearest};
use std::cell::{Cell, RefCell};
use std::collections::HashMap;
use std::path::Path;
use std::sync::Arc;

/// The most faults of one file that are told; a file with more is wrong in one way over and over.
const MOST_OF_A_FILE: usize = 200;

/// How many names are held against unknown ones, at most, to say which was meant.
const MOST_COMPARED: usize = 60_000;

/// The same for one file of a folder, of which there may be a thousand.
const MOST_COMPARED_OF_A_FILE: usize = 6_000;

/// Faults as they are found.
pub(crate) struct Faults {
    list: RefCell<Vec<Diagnostic>>,
    tallies: RefCell<HashMap<Arc<Path>, Tally>>,
    errors: Cell<usize>,
    shallow: Cell<usize>,
    compared: Cell<usize>,
}

/// The faults of one file.
#[derive(Clone, Copy, Default)]
struct Tally {
    told: usize,
    untold: usize,
    untold_errors: usize,
}

impl Default for Faults {
    fn default() -> Self {
        Faults { list: RefCell::default(), tallies: RefCell::default(), errors: Cell::new(0), shallow: Cell::new(0), compared: Cell::new(MOST_COMPARED) }
    }
}

impl Faults {
    /// For the meaning of one file of many.
    pub(crate) fn of_one_file() -> Self {
        Faults { compared: Cell::new(MOST_COMPARED_OF_A_FILE), ..Faults::default() }
    }

    pub(crate) fn push(&self, fault: Diagnostic) {
        if fault.is_error() {
            self.errors.set(self.errors.get() + 1);
        }
        if let Some(at) = &fault.at {
            let mut tallies = self.tallies.borrow_mut();
            let tally = tallies.entry(at.file.clone()).or_default();
            if tally.told >= MOST_OF_A_FILE {
                tally.untold += 1;
                tally.untold_errors += usize::from(fault.is_error());
                return;
            }
            tally.told += 1;
        }
        self.list.borrow_mut().push(fault);
    }

    /// Tells an error that leaves everything else as it was meant: a key that can have stood for nothing else.
    pub(crate) fn push_shallow(&self, fault: Diagnostic) {
        self.shallow.set(self.shallow.get() + 1);
        self.push(fault);
    }

    /// Takes over what was found elsewhere.
    pub(crate) fn absorb(&self, other: Faults) {
        self.shallow.set(self.shallow.get() + other.shallow.get());
        other.list.into_inner().into_iter().for_each(|fault| self.push(fault));
        for (file, more) in other.tallies.into_inner().into_iter().filter(|(_, more)| more.untold > 0) {
            let mut tallies = self.tallies.borrow_mut();
            let tally = tallies.entry(file).or_default();
            tally.untold += more.untold;
            tally.untold_errors += more.untold_errors;
            self.errors.set(self.errors.get() + more.untold_errors);
        }
    }

    /// Counts faults of a file that were not even looked at.
    pub(crate) fn count_more(&self, file: &Arc<Path>, errors: usize) {
        let mut tallies = self.tallies.borrow_mut();
        let tally = tallies.entry(file.clone()).or_default();
        tally.untold += errors;
        tally.untold_errors += errors;
        self.errors.set(self.errors.get() + errors);
    }

    /// Whether so much was told of a file that nothing more of it will be.
    pub(crate) fn enough(&self, file: &Arc<Path>) -> bool {
        self.tallies.borrow().get(file).is_some_and(|tally| tally.told >= MOST_OF_A_FILE)
    }

    /// The nearest of `known`, unless that was asked so often that the answer is not worth the wait.
    pub(crate) fn nearest<'a>(&self, at: &At, word: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
        if self.enough(&at.file) {
            return None;
        }
        let left = self.compared.get();
        let known: Vec<&str> = known.take(left).collect();
        self.compared.set(left - known.len());
        nearest(word, known)
    }

    /// `did you mean "x"?` for [`Faults::nearest`].
    pub(crate) fn did_you_mean<'a>(&self, at: &At, word: &str, known: impl Iterator<Item = &'a str>) -> Option<String> {
        self.nearest(at, word, known).map(|name| format!("did you mean \"{name}\"?"))
    }

    /// All of them, in the order found.
    pub(crate) fn into_list(self) -> Vec<Diagnostic> {
        let mut list = self.list.into_inner();
        for (file, tally) in self.tallies.into_inner().into_iter().filter(|(_, tally)| tally.untold > 0) {
            let all = grouped(tally.told + tally.untold);
            let are = if tally.untold == 1 { "is" } else { "are" };
            let what = format!("{all} faults stand in this file; {} are told here, {} more {are} not", tally.told, grouped(tally.untold));
            let first = list.iter().position(|fault| fault.at.as_ref().is_some_and(|at| at.file == file)).unwrap_or(list.len());
            let severity = if tally.untold_errors > 0 { Severity::Error } else { Severity::Advice };
            let fault = Diagnostic { severity, ..Diagnostic::error(what, At::file(file)) };
            list.insert(first, fault.right("mend these and look again; many are likely one slip over and over"));
        }
        list
    }

    /// How many errors there are so far.
    pub(crate) fn errors(&self) -> usize {
        self.errors.get()
    }

    /// How many errors there are so far that leave their file without its meaning.
    pub(crate) fn deep(&self) -> usize {
        self.errors.get() - self.shallow.get()
    }

    /// The errors told so far.
    pub(crate) fn errors_so_far(&self) -> Vec<Diagnostic> {
        self.list.borrow().iter().filter(|fault| fault.is_error()).cloned().collect()
    }
}

/// `99,700`.
fn grouped(number: usize) -> String {
    let digits = number.to_string();
    let signs = digits.char_indices().flat_map(|(nth, digit)| {
        let comma = nth > 0 && (digits.len() - nth).is_multiple_of(3);
        comma.then_some(',').into_iter().chain([digit])
    });
    signs.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faults_beyond_the_bound_are_counted() {
        let faults = Faults::default();
        let at = At::file(Path::new("x.yaml"));
        for nth in 0..12_345 {
            faults.push(Diagnostic::error(format!("fault {nth}"), at.clone()));
        }
        assert_eq!(faults.errors(), 12_345);
        let list = faults.into_list();
        assert_eq!(list.len(), MOST_OF_A_FILE + 1);
        assert_eq!(list[0].what, "12,345 faults stand in this file; 200 are told here, 12,145 more are not");
        assert_eq!([grouped(1), grouped(100), grouped(1000), grouped(1_234_567)], ["1", "100", "1,000", "1,234,567"]);
    }
}
