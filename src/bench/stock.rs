//! Things by name: charts, materials, suppliers. A name that is unknown, broken or given twice is told here.

use super::Faults;
use super::value::Value;
use crate::diagnostic::{Diagnostic, Told};
use crate::measure::words::fold;
use indexmap::IndexMap;
use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;

/// The names of things of one sort, the broken ones among them.
#[derive(Debug)]
pub(crate) struct Names {
    /// `a material`, `a hook chart`.
    what: &'static str,
    /// The file they stand in.
    file: &'static str,
    /// What each is called and where, by folded name.
    places: IndexMap<String, Told<String>>,
    /// Those that cannot be used because of something that was told already.
    pub(crate) silent: BTreeSet<String>,
    /// Their file could not be read, so nothing is known of any.
    pub(crate) unread: bool,
}

impl Names {
    pub(crate) fn new(what: &'static str, file: &'static str) -> Self {
        Names { what, file, places: IndexMap::new(), silent: BTreeSet::new(), unread: false }
    }

    /// Takes a name in; false, and told, if another has it already.
    pub(crate) fn claim(&mut self, name: &Told<String>, faults: &Faults) -> bool {
        let folded = fold(&name.value);
        if let Some(first) = self.places.get(&folded) {
            faults.push(
                Diagnostic::error(format!("\"{}\" is named twice; case and double spaces do not tell names apart", name.value), name.at.clone())
                    .also("named first here", first.at.clone())
                    .right("give one of them another name"),
            );
            return false;
        }
        self.places.insert(folded, name.clone());
        true
    }
}

/// Things of one sort by folded name.
#[derive(Debug)]
pub(crate) struct Stock<T> {
    /// All their names.
    pub(crate) names: Names,
    /// Those that can be used.
    pub(crate) good: IndexMap<String, T>,
}

impl<T> Stock<T> {
    pub(crate) fn new(what: &'static str, file: &'static str) -> Self {
        Stock { names: Names::new(what, file), good: IndexMap::new() }
    }

    /// Takes in what is read from `value` under `name`; nothing of it is kept if reading it told an error, or if
    /// something in it was refused before: of a key given twice nobody knows which was meant.
    pub(crate) fn add(&mut self, name: &Told<String>, value: &Value<'_>, read: impl FnOnce() -> Option<T>) {
        let faults = value.faults;
        let before = faults.errors();
        let claimed = self.names.claim(name, faults);
        if let Some(thing) = read()
            && claimed
            && faults.errors() == before
            && !value.source.spoilt_within(&value.at)
        {
            self.good.insert(fold(&name.value), thing);
        }
    }

    /// To look names up in.
    pub(crate) fn goods(&self) -> Goods<'_, T> {
        Goods { names: &self.names, good: &self.good }
    }
}

/// Things of one sort, to look names up in.
pub(crate) struct Goods<'a, T> {
    /// All their names.
    pub(crate) names: &'a Names,
    /// Those that can be used.
    pub(crate) good: &'a IndexMap<String, T>,
}

impl<T> Clone for Goods<'_, T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Goods<'_, T> {}

/// Looks names up for one file; what is unknown or broken is told once only.
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
    pub(crate) fn name<T>(&self, goods: Goods<'_, T>, name: &Told<String>) -> Option<Told<String>> {
        let folded = fold(&name.value);
        if goods.good.contains_key(&folded) {
            return Some(Told::new(folded, name.at.clone()));
        }
        self.spoilt.set(true);
        self.tell(goods.names, name, &folded);
        None
    }

    /// As [`Lookup::name`], but a thing that is there and broken spoils nothing.
    pub(crate) fn loose_name<T>(&self, goods: Goods<'_, T>, name: &Told<String>) -> Option<Told<String>> {
        let folded = fold(&name.value);
        if goods.names.places.contains_key(&folded) {
            return goods.good.contains_key(&folded).then(|| Told::new(folded, name.at.clone()));
        }
        self.name(goods, name)
    }

    fn tell(&self, names: &Names, name: &Told<String>, folded: &str) {
        if names.unread || names.silent.contains(folded) || !self.once.borrow_mut().insert((names.what, folded.to_owned())) {
            return;
        }
        let fault = match names.places.get(folded) {
            Some(place) => Diagnostic::error(format!("\"{}\" cannot be used until it is mended", name.value), name.at.clone())
                .also("it stands here", place.at.clone())
                .right("see what is said of that one, and mend it first"),
            None => {
                let fault = Diagnostic::error(format!("\"{}\" is not {} of this bench", name.value, names.what), name.at.clone());
                let cut = names
                    .places
                    .iter()
                    .filter(|_| !self.faults.enough(&name.at.file))
                    .find(|(whole, _)| whole.strip_prefix(folded).is_some_and(|rest| rest.starts_with(',')));
                let near = || self.faults.did_you_mean(&name.at, folded, names.places.values().map(|told| told.value.as_str()));
                fault.right(match cut {
                    Some((_, whole)) => format!("did you mean \"{}\"? inside {{ }} or [ ] a name with a comma stands in quotes", whole.value),
                    None => near().unwrap_or_else(|| format!("write it into {}, or use one that stands there", names.file)),
                })
            }
        };
        self.faults.push(fault);
    }

    /// The thing of that name; else the fault is told.
    pub(crate) fn thing<'g, T>(&self, goods: Goods<'g, T>, name: &Told<String>) -> Option<&'g T> {
        self.name(goods, name).and_then(|name| goods.good.get(&name.value))
    }
}
