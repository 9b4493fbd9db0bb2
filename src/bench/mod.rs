//! A dresser's files: a bench folder turned into meaning, with every fault collected.
//!
//! Text becomes nodes ([`yaml`]), nodes become nouns of [`crate::dressing`], and whatever is wrong on the way is told
//! with its place. One broken thing never hides the others: a broken material takes itself out, and the
//! dressings that use it, and nothing else.

pub mod cards;
mod charts;
mod checks;
mod colours;
pub mod demo;
mod dressings;
pub mod edit;
mod faults;
pub mod find;
pub mod keys_file;
pub mod locate;
mod materials;
pub mod names;
mod node;
mod orders;
pub mod packs;
mod parts;
mod reader;
pub mod report;
pub mod revise;
pub mod settings;
mod sizes;
mod steps;
mod stock;
mod syntax;
mod terms;
pub mod theme;
mod traps;
mod value;
mod ways;
pub mod yaml;

use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Dressing, Habits, HookChart, Making, Material, Order, Shelf, Supplier, Terms};
use crate::measure::words::fold;
pub(crate) use faults::Faults;
use indexmap::IndexMap;
use node::Map;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use stock::{Goods, Names, Stock};
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
    /// The theme its screens have.
    pub theme: theme::Theme,
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
#[derive(Clone, Debug)]
pub struct Broken {
    /// The file, as the user would name it.
    pub file: Arc<Path>,
    /// What it is called, as far as could be read; else the file's own name.
    pub name: String,
    /// A dressing that has no worse fault than a key too many, as it is without that key: its other faults show when
    /// its cards are worked. Not to be used otherwise.
    pub meant: Option<Dressing>,
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

impl Sort {
    /// In a word.
    fn word(self) -> &'static str {
        match self {
            Sort::Material => "material",
            Sort::Dressing => "dressing",
            Sort::Chart => "chart",
            Sort::Supplier => "supplier",
            Sort::Variant => "variant",
        }
    }
}

/// Names that later files are looked up against.
struct Known {
    charts: Names,
    materials: Names,
    dressings: Names,
}

impl Bench {
    /// What a dressing or an order of this bench is read against.
    fn shelves(&self) -> dressings::Shelves<'_> {
        dressings::Shelves {
            charts: Goods { names: &self.known.charts, good: &self.shelf.charts },
            materials: Goods { names: &self.known.materials, good: &self.shelf.materials },
        }
    }
}

/// Reads a bench. Whatever is wrong with it stands in the findings; what is right can be used.
pub fn load(dir: &Path) -> Loaded {
    load_some(dir, usize::MAX).0
}

/// Reads the beginning of a bench: all but its orders and the dressings beyond the first so many. Gives how many
/// files are left unread; nought, and the bench is whole.
pub fn load_some(dir: &Path, most: usize) -> (Loaded, usize) {
    let faults = Faults::default();
    let mut renamed = Vec::new();
    let mut makings = IndexMap::new();
    let (mut terms, habits) = match open(dir, "bench.yaml", &faults) {
        Some((source, map)) => terms::read(&source, &map, &faults),
        None => (Terms::default(), Habits::default()),
    };
    terms.amiss = faults.errors_so_far().into_iter().filter(terms::weighs).collect();
    let theme = theme::of_bench(dir, terms.theme.as_ref(), &faults);
    let mut suppliers: Stock<Supplier> = Stock::new("a supplier", "materials.yaml");
    let mut materials: Stock<Material> = Stock::new("a material", "materials.yaml");
    match open(dir, "materials.yaml", &faults) {
        Some((source, map)) => {
            let mut shelves = materials::Shelves { suppliers: &mut suppliers, materials: &mut materials, makings: &mut makings, renamed: &mut renamed };
            materials::read(&source, &map, &mut shelves, &faults);
        }
        None => {
            suppliers.names.unread = true;
            materials.names.unread = true;
        }
    }
    let mut charts: Stock<HookChart> = Stock::new("a hook chart", "hooks.yaml");
    match open(dir, "hooks.yaml", &faults) {
        Some((source, map)) => charts::read(&source, &map, suppliers.goods(), &mut charts, &mut renamed, &faults),
        None => charts.names.unread = true,
    }
    let mut broken = Vec::new();
    let mut dressings: Stock<Dressing> = Stock::new("a dressing", "a file of its own in dressings/");
    let shelves = dressings::Shelves { charts: charts.goods(), materials: materials.goods() };
    let mut files = folder(dir, "dressings", &faults);
    let rest = files.len().saturating_sub(most);
    files.truncate(most);
    let read = |(path, file): &(PathBuf, Arc<Path>)| {
        understood(path, file, "dressing", |source, map, own| dressings::read(source, map, &shelves, &mut own.renamed, &own.faults))
    };
    for one in cards::shared_out(&files, read) {
        put(one, &mut dressings, &mut broken, &mut renamed, &faults, Some);
    }
    let mut orders: Stock<Order> = Stock::new("an order", "a file of its own in orders/");
    // An order may ask for any dressing, so none is read before all of those are.
    let files = if rest == 0 { folder(dir, "orders", &faults) } else { Vec::new() };
    let goods = dressings.goods();
    let read =
        |(path, file): &(PathBuf, Arc<Path>)| understood(path, file, "order", |source, map, own| orders::read(source, map, goods, &shelves, &own.faults));
    for one in cards::shared_out(&files, read) {
        put(one, &mut orders, &mut broken, &mut renamed, &faults, |_| None);
    }
    for was in &renamed {
        let names = match was.sort {
            Sort::Material => Some(&materials.names),
            Sort::Dressing => Some(&dressings.names),
            Sort::Chart => Some(&charts.names),
            Sort::Supplier => Some(&suppliers.names),
            Sort::Variant => None,
        };
        match names {
            Some(names) => still_there(&was.was, names.place(&fold(&was.was.value)), &faults),
            None => {
                let own = was.now.split_once(" / ").and_then(|(dressing, _)| dressings.good.get(dressing));
                let variant = own.and_then(|dressing| dressing.variants.get(&fold(&was.was.value)));
                still_there(&was.was, variant.map(|variant| &variant.name.at), &faults);
            }
        }
    }
    names::claimed_twice(&renamed).into_iter().for_each(|fault| faults.push(fault));
    let known = Known { charts: charts.names, materials: materials.names, dressings: dressings.names };
    let shelf = Shelf { terms, charts: charts.good, materials: materials.good, suppliers: suppliers.good };
    let bench = Bench { dir: dir.to_owned(), shelf, habits, theme, makings, dressings: dressings.good, orders: orders.good, broken, renamed, known };
    (Loaded { bench, findings: faults.into_list() }, rest)
}

/// Tells a name said to be left behind that something still bears.
fn still_there(was: &Told<String>, bearer: Option<&At>, faults: &Faults) {
    let Some(bearer) = bearer else { return };
    let fault = Diagnostic::error(format!("\"{}\" is no name left behind: something still bears it", was.value), was.at.clone());
    faults.push(fault.also("it stands here", bearer.clone()).right("the name this one had before, or take the line away"));
}

/// Reads an order that stands anywhere, against a bench. `None` when anything is wrong with it.
pub fn load_order(path: &Path, bench: &Bench) -> (Option<Order>, Vec<Diagnostic>) {
    let faults = Faults::default();
    let file: Arc<Path> = path.into();
    let order = match yaml::read(path, &file, &faults) {
        Read::Text(source) => yaml::parse(&source, &faults).and_then(|map| {
            let before = faults.errors();
            let shelves = bench.shelves();
            let dressings = Goods { names: &bench.known.dressings, good: &bench.dressings };
            orders::read(&source, &map, dressings, &shelves, &faults).filter(|_| before == 0)
        }),
        Read::Absent => {
            faults.push(Diagnostic::error("there is no such file", At::file(file)).right("an order's file, such as `orders/lodge.yaml`"));
            None
        }
        Read::Refused => None,
    };
    (order, faults.into_list())
}

/// The keys of one of the bench's own files, which must be there.
fn open(dir: &Path, name: &'static str, faults: &Faults) -> Option<(Source, Map)> {
    let file: Arc<Path> = Path::new(name).into();
    match yaml::read(&dir.join(name), &file, faults) {
        Read::Text(source) => {
            let map = yaml::parse(&source, faults)?;
            Some((source, map))
        }
        Read::Absent => {
            faults.push(
                Diagnostic::error("the bench has no such file", At::file(file))
                    .right("a bench has bench.yaml, hooks.yaml and materials.yaml, and dressings in dressings/"),
            );
            None
        }
        Read::Refused => None,
    }
}

/// The YAML files of one of the bench's folders by name, each as a path and as the user would name it.
fn folder(dir: &Path, name: &str, faults: &Faults) -> Vec<(PathBuf, Arc<Path>)> {
    let listed = std::fs::read_dir(dir.join(name)).and_then(|entries| entries.map(|entry| entry.map(|entry| entry.file_name())).collect::<Result<Vec<_>, _>>());
    let mut names = match listed {
        Ok(names) => names,
        Err(error) if error.kind() == ErrorKind::NotFound => Vec::new(),
        Err(error) => {
            faults.push(Diagnostic::error(format!("the folder cannot be read: {error}"), At::file(Path::new(name))));
            Vec::new()
        }
    };
    names.retain(|name| {
        let path = Path::new(name);
        let hidden = path.to_string_lossy().starts_with('.');
        !hidden && path.extension().is_some_and(|ending| ending == "yaml" || ending == "yml")
    });
    names.sort();
    names.into_iter().map(|file| (dir.join(name).join(&file), Path::new(name).join(&file).into())).collect()
}

/// What reading one file's meaning brings about besides it.
#[derive(Default)]
struct Own {
    faults: Faults,
    renamed: Vec<Renamed>,
}

/// A file of a folder, understood by itself.
struct Understood<T> {
    file: Arc<Path>,
    /// What it is called, as far as could be read.
    name: Told<String>,
    /// What is wrong with it as text.
    as_text: Faults,
    meant: Option<T>,
    own: Own,
}

/// Reads and understands one file of a folder; changes nothing else of the bench, so that many are read at once.
fn understood<T>(path: &Path, file: &Arc<Path>, key: &str, read: impl FnOnce(&Source, &Map, &mut Own) -> Option<T>) -> Understood<T> {
    let as_text = Faults::default();
    let source = match yaml::read(path, file, &as_text) {
        Read::Text(source) => Some(source),
        Read::Absent => {
            let fault = Diagnostic::error("the folder has this name in it, but there is no file behind it", At::file(file.clone()));
            as_text.push(fault.right("is it a link to a file that was moved? mend the link, or take it away"));
            None
        }
        Read::Refused => None,
    };
    let map = source.as_ref().and_then(|source| yaml::parse(source, &as_text));
    let name = match map.as_ref().and_then(|map| map.get(key)) {
        Some(node::Node::Text(scalar)) => Told::new(scalar.text.clone(), At::file(file.clone()).key(key)),
        _ => Told::new(guess(source.as_ref(), file, key), At::file(file.clone())),
    };
    let mut own = Own { faults: Faults::of_one_file(), renamed: Vec::new() };
    let meant = source.as_ref().zip(map.as_ref()).and_then(|(source, map)| read(source, map, &mut own));
    Understood { file: file.clone(), name, as_text, meant, own }
}

/// Puts one file of a folder into `stock`, or into `broken`.
fn put<T>(
    one: Understood<T>,
    stock: &mut Stock<T>,
    broken: &mut Vec<Broken>,
    renamed: &mut Vec<Renamed>,
    faults: &Faults,
    keep: impl FnOnce(T) -> Option<Dressing>,
) {
    let (before, before_deep) = (faults.errors(), faults.deep());
    let Understood { file, name, as_text, meant, own } = one;
    faults.absorb(as_text);
    let claimed = stock.names.claim(&name, faults);
    faults.absorb(own.faults);
    renamed.extend(own.renamed);
    match meant {
        Some(thing) if claimed && faults.errors() == before => {
            stock.good.insert(fold(&name.value), thing);
        }
        meant => {
            if faults.errors() == before {
                stock.names.silent.insert(fold(&name.value));
            }
            let meant = meant.filter(|_| claimed && faults.deep() == before_deep).and_then(keep);
            broken.push(Broken { file, name: name.value, meant });
        }
    }
}

/// What a broken file is called, as far as can be seen; else the name of the file itself.
fn guess(source: Option<&Source>, file: &Path, key: &str) -> String {
    let said = source.and_then(|source| {
        let value = source.text.lines().find_map(|line| line.strip_prefix(key)?.strip_prefix(':'))?;
        let name = value.split(" #").next()?.trim().trim_matches(['"', '\'']).trim();
        (!name.is_empty()).then(|| name.to_owned())
    });
    said.unwrap_or_else(|| file.file_stem().map(|stem| stem.to_string_lossy().replace('-', " ")).unwrap_or_default())
}
