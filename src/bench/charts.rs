//! hooks.yaml: hook charts.

use super::node::Map;
use super::packs;
use super::reader::Reader;
use super::sizes::in_words;
use super::stock::{Goods, Lookup, Stock};
use super::value::{Bounds, Value, size};
use super::yaml::Source;
use super::{Faults, Renamed, Sort};
use crate::diagnostic::{Diagnostic, Told};
use crate::dressing::{EyeTurn, HookChart, HookFigure, HookMeasure, Pack, Size, Supplier, XRule};
use crate::measure::words::fold;
use crate::why::Standing;
use indexmap::IndexMap;
use rust_decimal::Decimal;

/// Reads hooks.yaml into `charts`.
pub(crate) fn read(source: &Source, map: &Map, suppliers: Goods<'_, Supplier>, charts: &mut Stock<HookChart>, renamed: &mut Vec<Renamed>, faults: &Faults) {
    let mut r = Reader::new(source, map, source.at(), "the file of hooks", faults);
    let all = r.need("charts", "`charts:`, and under it each chart by its name").map(|v| v.entries("hook charts")).unwrap_or_default();
    // Which of two lists was meant, nobody knows: nothing is said of names that may stand in the other.
    charts.names.unread = source.spoilt_at(&r.at.key("charts"));
    r.end();
    for (name, value) in all {
        charts.add(&name, &value, || chart(&name, &value, suppliers, renamed));
    }
}

fn chart(name: &Told<String>, value: &Value<'_>, suppliers: Goods<'_, Supplier>, renamed: &mut Vec<Renamed>) -> Option<HookChart> {
    let mut r = value.reader("a hook chart")?;
    not_yet(&mut r, "shape", &["straight"], &["curved", "swimming", "jig", "double", "tube", "bare shank"]);
    not_yet(&mut r, "rides", &["point down"], &["point up"]);
    let eye = r.get("eye").and_then(|v| v.choice(&[("down", EyeTurn::Down), ("straight", EyeTurn::Straight), ("up", EyeTurn::Up)]));
    let one_x = r.get("one-x").and_then(|v| v.choice(&[("whole number", XRule::WholeNumber), ("even size", XRule::EvenSize)]));
    let usual = Usual { standing: r.get("figures").and_then(|v| standing(&v)).unwrap_or(Standing::Stated), source: r.text("source") };
    if usual.standing == Standing::Published && usual.source.is_none() {
        r.faults.push(Diagnostic::error("published figures need their source", value.at.key("figures")).right("`source:` and where they were published"));
    }
    let bad = r.get("bad").and_then(|v| v.share(Decimal::ONE));
    let mut sizes = IndexMap::new();
    let given = r.need("sizes", "`sizes:`, and under it each size with its `gap`, `shank` and `hook-wire`");
    for (text, value) in given.map(|v| v.entries("sizes")).unwrap_or_default() {
        let size = size(&text, value.faults);
        let figures = figures(&value, &usual);
        if let (Some(size), Some(figures)) = (size, figures) {
            sizes.insert(size.value, figures);
        }
    }
    let old_scale = sizes.keys().any(Size::is_noughts);
    let lookup = Lookup::new(r.faults);
    let packs = packs::read(&mut r, Some(old_scale), suppliers, &lookup);
    idle_packs(&packs, &sizes, old_scale, r.faults);
    renamed.extend(packs::formerly(&mut r).into_iter().map(|was| Renamed { sort: Sort::Chart, was, now: fold(&name.value) }));
    let note = r.note();
    r.end();
    Some(HookChart {
        shape: crate::dressing::HookShape::Straight,
        rides: crate::dressing::Rides::PointDown,
        name: name.clone(),
        eye: eye.map_or(EyeTurn::Down, |t| t.value),
        one_x: one_x.map_or(XRule::WholeNumber, |t| t.value),
        bad,
        packs,
        sizes,
        note,
    })
}

/// Packs of sizes that the chart does not have, nor any between those it has.
fn idle_packs(packs: &[Pack], sizes: &IndexMap<Size, IndexMap<HookMeasure, HookFigure>>, old_scale: bool, faults: &Faults) {
    let ranks = || sizes.keys().map(|size| size.rank(old_scale));
    let (Some(least), Some(most)) = (ranks().min(), ranks().max()) else { return };
    for pack in packs.iter().filter(|pack| !pack.sizes.is_empty()) {
        if !pack.sizes.iter().any(|size| (least..=most).contains(&size.rank(old_scale))) {
            let fault = Diagnostic::advice("the chart has none of the sizes of this pack, so no hook of it is ever used", pack.at.key("sizes"));
            faults.push(fault.right(format!("the chart gives {}", in_words(sizes.keys()))));
        }
    }
}

/// A key whose other words belong to hooks that cannot be worked out yet.
fn not_yet(r: &mut Reader<'_>, key: &'static str, now: &[&'static str], later: &[&'static str]) {
    let Some(value) = r.get(key) else { return };
    let words: Vec<(&str, bool)> = now.iter().map(|word| (*word, true)).chain(later.iter().map(|word| (*word, false))).collect();
    if let Some(told) = value.choice(&words)
        && !told.value
    {
        value.wrong(format!("hooks of this {key} are not worked out yet"), format!("`{key}: {}`", now.join(", ")));
    }
}

/// What holds for the figures of a chart unless one says otherwise.
struct Usual {
    standing: Standing,
    source: Option<Told<String>>,
}

fn standing(value: &Value<'_>) -> Option<Standing> {
    let words = [("measured", Standing::Measured), ("published", Standing::Published), ("rule of thumb", Standing::RuleOfThumb)];
    value.choice(&words).map(|told| told.value)
}

fn figures(value: &Value<'_>, usual: &Usual) -> Option<IndexMap<HookMeasure, HookFigure>> {
    let mut r = value.reader("a size of a hook chart")?;
    let mut figures = IndexMap::new();
    for (keys, measure, example) in [
        ("gap|gape", HookMeasure::Gap, Some("add it, such as `gap: 5.0 mm`")),
        ("shank", HookMeasure::Shank, Some("add it, such as `shank: 10.0 mm`")),
        ("hook-wire", HookMeasure::HookWire, Some("add it, such as `hook-wire: 0.45 mm`")),
        ("overall", HookMeasure::Overall, None),
        ("eye", HookMeasure::Eye, None),
        ("barb", HookMeasure::Barb, None),
        ("point", HookMeasure::Point, None),
    ] {
        let value = match example {
            Some(example) => r.need(keys, example),
            None => r.get(keys),
        };
        if let Some(figure) = value.and_then(|value| figure(&value, usual)) {
            figures.insert(measure, figure);
        }
    }
    r.end();
    Some(figures)
}

/// `5.0 mm`, or `{is: 5.0 mm, figures: measured, source: ...}`.
fn figure(value: &Value<'_>, usual: &Usual) -> Option<HookFigure> {
    let source = |own: Option<Told<String>>| match own.as_ref().or(usual.source.as_ref()) {
        Some(told) => told.value.clone(),
        None => value.at.file.display().to_string(),
    };
    if !value.is_map() {
        let mm = value.mm(Bounds::HOOK, "5.0 mm")?;
        return Some(HookFigure { mm: mm.value, standing: usual.standing, source: source(None), at: value.at.clone() });
    }
    let mut r = value.reader("a figure")?;
    let mm = r.need("is", "add it, such as `is: 5.0 mm`").and_then(|v| v.mm(Bounds::HOOK, "5.0 mm"));
    let standing = r.get("figures").and_then(|v| standing(&v)).unwrap_or(usual.standing);
    let own = r.text("source");
    r.end();
    Some(HookFigure { mm: mm?.value, standing, source: source(own), at: value.at.clone() })
}
