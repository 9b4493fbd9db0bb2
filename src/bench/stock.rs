//! Things by name: charts, materials, suppliers. A name that is unknown, broken or given twice is told here.

use super::Faults;
use crate::diagnostic::{At, Diagnostic, Told, did_you_mean};
use crate::measure::words::fold;
use indexmap::IndexMap;
use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;

/// Things of one sort by folded name, the broken ones remembered by name alone.
pub(crate) struct Stock<T> {
    /// `a material`, `a hook chart`.
    what: &'static str,
    /// The file they stand in.
    file: &'static str,
    /// Those that can be used.
    pub(crate) good: IndexMap<String, T>,
    places: IndexMap<String, At>,
    /// Their file could not be read, so nothing is known of any.
    pub(crate) unread: bool,
}

impl<T> Stock<T> {
    pub(crate) fn new(what: &'static str, file: &'static str) -> Self {
        Stock { what, file, good: IndexMap::new(), places: IndexMap::new(), unread: false }
    }

    /// Takes in what was read under `name`; nothing of it is kept if reading it told an error.
    pub(crate) fn add(&mut self, name: &Told<String>, faults: &Faults, read: impl FnOnce() -> Option<T>) {
        let folded = fold(&name.value);
        if let Some(first) = self.places.get(&folded) {
            faults.push(
                Diagnostic::error(format!("\"{}\" is named twice; case and double spaces do not tell names apart", name.value), name.at.clone())
                    .also("named first here", first.clone())
                    .right("give one of them another name"),
            );
            return;
        }
        self.places.insert(folded.clone(), name.at.clone());
        let before = faults.errors();
        if let Some(thing) = read()
            && faults.errors() == before
        {
            self.good.insert(folded, thing);
        }
    }

    /// Whether a name is known, broken things among them.
    pub(crate) fn knows(&self, folded: &str) -> bool {
        self.places.contains_key(folded)
    }
}

/// Looks names up for one file; what is broken elsewhere is told once only.
pub(crate) struct Lookup<'a> {
    faults: &'a Faults,
    once: RefCell<BTreeSet<(&'static str, String)>>,
    /// Something the file leans on is broken or could not be read.
    pub(crate) spoilt: Cell<bool>,
}

impl<'a> Lookup<'a> {
    pub(crate) fn new(faults: &'a Faults) -> Self {
        Lookup { faults, once: RefCell::default(), spoilt: Cell::new(false) }
    }

    /// The folded name, if there is such a thing; else the fault is told.
    pub(crate) fn name<T>(&self, stock: &Stock<T>, name: &Told<String>) -> Option<Told<String>> {
        let folded = fold(&name.value);
        if stock.good.contains_key(&folded) {
            return Some(Told::new(folded, name.at.clone()));
        }
        self.spoilt.set(true);
        if stock.unread || !self.once.borrow_mut().insert((stock.what, folded.clone())) {
            return None;
        }
        let fault = match stock.places.get(&folded) {
            Some(place) => Diagnostic::error(format!("\"{}\" has a fault of its own in {}", name.value, stock.file), name.at.clone())
                .also("it stands here", place.clone())
                .right("mend that one first"),
            None => Diagnostic::error(format!("\"{}\" is not {} of this bench", name.value, stock.what), name.at.clone())
                .right(did_you_mean(&folded, stock.places.keys().map(String::as_str)).unwrap_or_else(|| format!("write it into {}, or use one that stands there", stock.file))),
        };
        self.faults.push(fault);
        None
    }

    /// The thing of that name; else the fault is told.
    pub(crate) fn thing<'s, T>(&self, stock: &'s Stock<T>, name: &Told<String>) -> Option<&'s T> {
        self.name(stock, name).and_then(|name| stock.good.get(&name.value))
    }
}
