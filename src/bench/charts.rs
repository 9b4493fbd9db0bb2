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
use crate::dressing::{EyeTurn, HookChart, HookFigure, HookMeasure, HookShape, Pack, Rides, Size, Supplier, XRule};
use crate::measure::{Unit, words::fold};
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
    let shape = r.get("shape").and_then(|v| v.choice(HookShape::ALL)).map_or(HookShape::Straight, |told| told.value);
    let rides = r.get("rides").and_then(|v| v.choice(&[("point down", Rides::PointDown), ("point up", Rides::PointUp)]));
    let eye = r.get("eye").and_then(|v| v.choice(&[("down", EyeTurn::Down), ("straight", EyeTurn::Straight), ("up", EyeTurn::Up)]));
    let one_x = r.get("one-x").and_then(|v| v.choice(&[("whole number", XRule::WholeNumber), ("even size", XRule::EvenSize)]));
    let usual = Usual { standing: r.get("figures").and_then(|v| standing(&v)).unwrap_or(Standing::Stated), source: r.text("source") };
    if usual.standing == Standing::Published && usual.source.is_none() {
        r.faults.push(Diagnostic::error("published figures need their source", value.at.key("figures")).right("`source:` and where they were published"));
    }
    let density = r.get("density").and_then(|v| v.within(Unit::GPerCm3, DENSITY, "7.85 g/cm3"));
    let mut of_all = IndexMap::new();
    for (keys, measure) in ANGLES {
        if let Some(value) = r.get(keys) {
            of_all.extend(of_shape(shape, *measure, &value).and_then(|()| figure(&value, *measure, &usual)).map(|figure| (*measure, figure)));
        }
    }
    let bad = r.get("bad").and_then(|v| v.share(Decimal::ONE));
    let mut sizes = IndexMap::new();
    let given = r.need("sizes", "`sizes:`, and under it each size with its figures: of a hook `gap`, `shank` and `hook-wire`");
    for (text, value) in given.map(|v| v.entries("sizes")).unwrap_or_default() {
        let size = size(&text, value.faults);
        let figures = figures(&value, shape, &of_all, &usual);
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
        shape,
        rides: rides.map_or_else(|| shape.rides(), |told| told.value),
        density,
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

/// What holds for the figures of a chart unless one says otherwise.
struct Usual {
    standing: Standing,
    source: Option<Told<String>>,
}

fn standing(value: &Value<'_>) -> Option<Standing> {
    let words = [("measured", Standing::Measured), ("published", Standing::Published), ("rule of thumb", Standing::RuleOfThumb)];
    value.choice(&words).map(|told| told.value)
}

/// Angles are mostly alike in all sizes of a chart, so they may be told once for all of them.
const ANGLES: &[(&str, HookMeasure)] = &[("turn", HookMeasure::Turn), ("angle", HookMeasure::Angle), ("spread", HookMeasure::Spread)];

/// Every measure with its spellings and an example.
const MEASURES: &[(&str, HookMeasure, &str)] = &[
    ("gap|gape", HookMeasure::Gap, "5.0 mm"),
    ("shank", HookMeasure::Shank, "10.0 mm"),
    ("hook-wire", HookMeasure::HookWire, "0.45 mm"),
    ("overall", HookMeasure::Overall, "13.2 mm"),
    ("eye", HookMeasure::Eye, "1.1 mm"),
    ("barb", HookMeasure::Barb, "9.0 mm"),
    ("point", HookMeasure::Point, "7.5 mm"),
    ("front", HookMeasure::Front, "1.6 mm"),
    ("turn", HookMeasure::Turn, "60 deg"),
    ("angle", HookMeasure::Angle, "60 deg"),
    ("spread", HookMeasure::Spread, "70 deg"),
    ("outside", HookMeasure::Outside, "3.0 mm"),
    ("inside", HookMeasure::Inside, "2.2 mm"),
];

/// Densities from cork to tungsten and beyond, g/cm³.
const DENSITY: Bounds = Bounds { nought: false, most: 25.0 };
/// No hook is bent further than this, degrees; a jig's front stands square at most.
const ANGLE: Bounds = Bounds { nought: false, most: 120.0 };
const SQUARE: Bounds = Bounds { nought: false, most: 90.0 };

/// Tells a measure that hooks of this shape do not have.
fn of_shape(shape: HookShape, measure: HookMeasure, value: &Value<'_>) -> Option<()> {
    if shape.needs().contains(&measure) || shape.allows().contains(&measure) {
        return Some(());
    }
    let what = match (shape, measure) {
        (HookShape::Tube, HookMeasure::Shank) => "the shank of a tube is its length, `overall`".to_owned(),
        (HookShape::Tube, HookMeasure::HookWire) => "a tube has no wire".to_owned(),
        (HookShape::Tube | HookShape::BareShank, _) => format!("a {} has no {}", shape.word(), measure.key()),
        _ => format!("a hook of the shape \"{}\" has no {}", shape.word(), measure.key()),
    };
    let own: Vec<String> = shape.needs().iter().chain(shape.allows()).map(|measure| format!("`{}`", measure.key())).collect();
    value.faults.push(Diagnostic::error(what, value.at.the_key()).right(format!("its figures are {}", own.join(", "))));
    None
}

fn figures(value: &Value<'_>, shape: HookShape, of_all: &IndexMap<HookMeasure, HookFigure>, usual: &Usual) -> Option<IndexMap<HookMeasure, HookFigure>> {
    let mut r = value.reader("a size of a hook chart")?;
    let mut figures = of_all.clone();
    for (keys, measure, example) in MEASURES {
        let value = if shape.needs().contains(measure) {
            r.need(keys, &format!("add it, such as `{}: {example}`", measure.key()))
        } else if r.has_any(keys) {
            r.get(keys)
        } else {
            if shape.allows().contains(measure) {
                r.know(measure.key());
            }
            None
        };
        let Some(value) = value else { continue };
        if of_shape(shape, *measure, &value).is_some()
            && let Some(figure) = figure(&value, *measure, usual)
        {
            figures.insert(*measure, figure);
        }
    }
    r.end();
    Some(figures)
}

/// `5.0 mm`, or `{is: 5.0 mm, figures: measured, source: ...}`.
fn figure(value: &Value<'_>, measure: HookMeasure, usual: &Usual) -> Option<HookFigure> {
    let source = |own: Option<Told<String>>| match own.as_ref().or(usual.source.as_ref()) {
        Some(told) => told.value.clone(),
        None => value.at.file.display().to_string(),
    };
    let read = |value: &Value<'_>| match measure.unit() {
        Unit::Degree if measure == HookMeasure::Angle => value.within(Unit::Degree, SQUARE, "60 deg"),
        Unit::Degree => value.within(Unit::Degree, ANGLE, "60 deg"),
        _ => value.mm(Bounds::HOOK, "5.0 mm"),
    };
    if !value.is_map() {
        let told = read(value)?;
        return Some(HookFigure { value: told.value, standing: usual.standing, source: source(None), at: value.at.clone() });
    }
    let mut r = value.reader("a figure")?;
    let told = r.need("is", "add it, such as `is: 5.0 mm`").and_then(|v| read(&v));
    let standing = r.get("figures").and_then(|v| standing(&v)).unwrap_or(usual.standing);
    let own = r.text("source");
    r.end();
    Some(HookFigure { value: told?.value, standing, source: source(own), at: value.at.clone() })
}
