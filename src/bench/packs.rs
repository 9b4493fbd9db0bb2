//! Packs as sold, of hooks and of materials.

use super::reader::Reader;
use super::sizes;
use super::stock::{Goods, Lookup};
use super::value::{Value, noun};
use crate::diagnostic::{Told, did_you_mean};
use crate::dressing::{Pack, Supplier};
use crate::measure::{Dimension, Fraction, Quantity, Unit};
use rust_decimal::Decimal;

/// What is sold by the piece, as a dresser says it.
const PIECES: &[&str] = &[
    "cape", "neck", "saddle", "patch", "tail", "quill", "wing", "skin", "crest", "mask", "foot", "pair", "sheet", "head", "plume", "herl", "length", "hank",
    "skein", "spool", "reel", "bobbin", "card", "box", "packet", "pack", "bag", "bottle", "jar", "pot", "tube", "stick", "cake", "roll", "strip", "bunch",
    "feather", "body", "pad",
];

/// Things that are sold by number: `25 beads` are 25.
const NUMBERED: &[&str] = &["hook", "bead", "eye", "cone"];

/// The packs under `packs`. `hooks`: of `Some(old scale)`, the packs may name sizes.
pub(crate) fn read(r: &mut Reader<'_>, hooks: Option<bool>, suppliers: Goods<'_, Supplier>, lookup: &Lookup<'_>) -> Vec<Pack> {
    let Some(value) = r.get("packs") else { return Vec::new() };
    value.items("packs").iter().filter_map(|value| pack(value, hooks, suppliers, lookup)).collect()
}

fn pack(value: &Value<'_>, hooks: Option<bool>, suppliers: Goods<'_, Supplier>, lookup: &Lookup<'_>) -> Option<Pack> {
    let mut r = value.reader("a pack")?;
    let supplier = r.text("supplier").and_then(|name| lookup.loose_name(suppliers, &name));
    let sizes = match hooks {
        Some(old_scale) => {
            let read = r.get("sizes").map(|v| sizes::read(&v, |from, to| sizes::every(from, to, old_scale)));
            read.unwrap_or_default().into_iter().map(|told| told.value).collect()
        }
        None => Vec::new(),
    };
    let example = if hooks.is_some() { "add it, such as `holds: 100`" } else { "add it, such as `holds: 10 m`, `holds: 5 g` or `holds: 1 cape`" };
    let holds = r.need("holds", example).and_then(|v| holds(&v, hooks.is_some()));
    let price = r.need("price", "add it, such as `price: 2.40`").and_then(|v| v.money());
    r.end();
    let (holds, unit, noun) = holds?;
    Some(Pack { supplier, sizes, holds, unit, noun, price: price?, at: value.at.clone() })
}

fn holds(value: &Value<'_>, hooks: bool) -> Option<(Decimal, Unit, String)> {
    let told = value.text()?;
    let (figure, unit, word) = match Quantity::read(&told.value) {
        Ok(quantity) => (quantity.figure, quantity.unit, String::new()),
        Err(fault) => match by_the_piece(&told.value) {
            Some((figure, word)) if NUMBERED.contains(&word.as_str()) => (figure, Unit::One, String::new()),
            Some((figure, word)) => (figure, Unit::Piece, word),
            None => {
                let word = told.value.get(fault.within.clone()).unwrap_or_default().to_owned();
                let near = did_you_mean(&word, PIECES.iter().copied()).filter(|_| fault.what.contains("unit"));
                value.fault(if let Some(near) = near { fault.right(near) } else { fault });
                return None;
            }
        },
    };
    if hooks && unit != Unit::One {
        value.wrong(format!("\"{}\" is {}, where a number of hooks is wanted", told.value, noun(unit.dimension())), "`holds: 100`");
        return None;
    }
    if matches!(unit.dimension(), Dimension::Time | Dimension::Density | Dimension::LinearDensity) {
        value.wrong(format!("no pack holds {}", noun(unit.dimension())), "an amount such as `10 m`, `5 g`, `25` or `1 cape`");
        return None;
    }
    match figure.to_decimal().filter(|holds| *holds > Decimal::ZERO && *holds <= Decimal::from(1_000_000)) {
        Some(holds) => Some((holds, unit, word)),
        None => {
            value.wrong("a pack holds more than nothing, and not millions", "an amount such as `10 m`, `5 g`, `25` or `1 cape`");
            None
        }
    }
}

/// `1 cape`, `6 quills`: how many, and of what.
pub fn by_the_piece(text: &str) -> Option<(Fraction, String)> {
    let (figure, used) = Fraction::read(text.trim())?;
    let word = text.trim().get(used..)?.trim().to_lowercase();
    let noun = PIECES.iter().chain(NUMBERED).find(|noun| word == **noun || word.strip_suffix('s') == Some(noun) || word.strip_suffix("es") == Some(noun))?;
    Some((figure, (*noun).to_owned()))
}

/// What a pack holds, read from a noun alone: a piece, or a plain number.
pub fn noun_unit(word: &str) -> Option<Unit> {
    let (_, noun) = by_the_piece(&format!("1 {word}"))?;
    Some(if NUMBERED.contains(&noun.as_str()) { Unit::One } else { Unit::Piece })
}

/// Old names under `formerly`.
pub(crate) fn formerly(r: &mut Reader<'_>) -> Vec<Told<String>> {
    r.get("formerly").map(|value| value.names("old names", false)).unwrap_or_default()
}
