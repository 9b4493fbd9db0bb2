//! A dresser's files: a bench folder turned into meaning, with every fault collected.
//!
//! Text becomes nodes ([`yaml`]), nodes become nouns of [`crate::dressing`], and whatever is wrong on the way is told
//! with its place. One broken thing never hides the others: a broken material takes itself out, and the
//! dressings that use it, and nothing else.

mod charts;
mod checks;
mod colours;
mod dressings;
pub mod locate;
mod materials;
mod node;
mod orders;
mod packs;
mod parts;
mod reader;
mod sizes;
mod steps;
mod stock;
mod syntax;
mod terms;
mod traps;
mod value;
pub mod yaml;

use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Dressing, Habits, HookChart, Making, Material, Order, Shelf, Supplier, Terms};
use crate::measure::words::fold;
use indexmap::IndexMap;
use node::Map;
use std::cell::{Cell, RefCell};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use stock::Stock;
use yaml::{Read, Source};

/// A bench, and what was found wrong in its files.
pub struct Loaded {
    /// The bench, less what is broken.
    pub bench: Bench,
    /// Faults and advice, in the order of the files.
    pub findings: Vec<Diagnostic>,
}

/// A bench as meant.
pub struct Bench {
    /// Its folder.
    pub dir: PathBuf,
    /// Terms, charts, materials and suppliers.
    pub shelf: Shelf,
    /// Hours, days away and other habits.
    pub habits: Habits,
    /// What made parts are made from, by folded name of the material.
    pub makings: IndexMap<String, Making>,
    /// Dressings by folded name.
    pub dressings: IndexMap<String, Dressing>,
    /// Orders by folded name.
    pub orders: IndexMap<String, Order>,
    /// Files of dressings and orders that cannot be used as they are.
    pub broken: Vec<Broken>,
    /// Names left behind.
    pub renamed: Vec<Renamed>,
    /// What later files are looked up against: broken names among the good.
    known: Known,
}

/// A file of a dressing or an order that cannot be used as it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Broken {
    /// The file, as the user would name it.
    pub file: Arc<Path>,
    /// What it is called, as far as could be read; else the file's own name.
    pub name: String,
}

/// A name left behind: `formerly:` in a dresser's file. The ledger knows things by numbers of its own.
#[derive(Clone, Debug)]
pub struct Renamed {
    /// What sort of thing it is.
    pub sort: Sort,
    /// Its name before.
    pub was: Told<String>,
    /// Its folded name now; `dressing / variant` for a variant.
    pub now: String,
}

/// Sorts of things that have names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sort {
    /// A material.
    Material,
    /// A dressing.
    Dressing,
    /// A hook chart.
    Chart,
    /// A supplier.
    Supplier,
    /// A variant of a dressing.
    Variant,
}
