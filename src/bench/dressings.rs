//! A dressing's file.

use super::node::Map;
use super::parts::{self, Ground};
use super::reader::Reader;
use super::stock::{Goods, Lookup};
use super::terms::rejects;
use super::value::Value;
use super::yaml::Source;
use super::{Faults, Renamed, Sort, checks, packs, sizes, steps};
use crate::diagnostic::{Diagnostic, Told, did_you_mean};
use crate::dressing::{Change, Dressing, HookChart, Material, Part, PartFields, Silk, Size, SizeRule, Step, Variant};
use crate::measure::words::fold;
use crate::measure::{Fault, Quantity, Unit};
use indexmap::IndexMap;

/// The most parts one dressing may have.
const MOST_PARTS: usize = 60;
/// The most steps one dressing may have.
const MOST_STEPS: usize = 200;
/// The most sizes, variants or changes by size one dressing may have: every one is put together with every other.
const MOST: usize = 40;

/// The most cards one dressing may have: each size of each variant and of none.
const MOST_CARDS: usize = 500;

/// What the second of two silks is for.
const HEAD: &str = "head";
/// What silks may be for: the work, and the last finish.
const SILKS: &[&str] = &["body", HEAD];

/// What a dressing is read against.
pub(crate) struct Shelves<'s> {
    /// Hook charts.
    pub(crate) charts: Goods<'s, HookChart>,
    /// Materials.
    pub(crate) materials: Goods<'s, Material>,
}

/// Reads a dressing; `None` when more is wrong with it than a key too many, which was told. Whether it can be used is
/// for whoever counts all errors of its file.
pub(crate) fn read(source: &Source, map: &Map, shelves: &Shelves<'_>, renamed: &mut Vec<Renamed>, faults: &Faults) -> Option<Dressing> {
    let before = faults.deep();
    let lookup = Lookup::new(faults);
    let mut r = Reader::new(source, map, source.at(), "a dressing", faults);
    let name = r.need("dressing", "`dressing:` and its name").and_then(|v| v.prose());
    let kind = r.need("kind", "add it, such as `kind: upwinged dry`").and_then(|v| v.text());
    let like = r.text("like");
    let revision = r.get("revision").and_then(|v| v.whole(1, 1_000_000, &[], "2")).map_or(1, |told| told.value);
    let folded = name.as_ref().map(|told| fold(&told.value)).unwrap_or_default();
    let was = packs::formerly(&mut r);
    renamed.extend(was.into_iter().map(|was| Renamed { sort: Sort::Dressing, was, now: folded.clone() }));
    let hook = r.need("hook", "`hook:` and a chart of hooks.yaml").and_then(|v| v.text());
    let chart = hook.as_ref().and_then(|name| lookup.thing(shelves.charts, name));
    let sizes = r.need("sizes", "add it, such as `sizes: 12, 14, 16`").map(|v| sizes_of(&v, chart)).unwrap_or_default();
    let silks = silks(&mut r, shelves, &lookup);
    let within = r.get("within").and_then(|v| within(&v));
    let listed = r.need("parts", "`parts:`, and under it each part after a dash");
    let variants = r.get("variants");
    let names = names(listed.as_ref(), variants.as_ref(), faults);
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let ground = Ground { parts: &names, materials: shelves.materials, lookup: &lookup };
    let parts: Vec<Part> = listed.iter().flat_map(|v| v.items("parts")).take(MOST_PARTS).filter_map(|item| parts::declared(&item, &ground, |_| {})).collect();
    let at_size = r.get("at-size").map(|v| changes(&v, &ground)).unwrap_or_default();
    let variants = variants.map(|v| self::variants(&v, &ground, shelves, &folded, renamed)).unwrap_or_default();
    let cards = sizes.len() * (variants.len() + 1);
    if cards > MOST_CARDS {
        let what = format!("{} sizes in {} variants come to {cards} cards; a dressing has {MOST_CARDS} at most", sizes.len(), variants.len());
        faults.push(Diagnostic::error(what, r.at.key("variants").the_key()).right("another dressing for some of the variants"));
    }
    let steps = r.get("steps").map(|v| self::steps(&v, &ground)).unwrap_or_default();
    let rejects = r.get("rejects").and_then(|v| rejects(&v));
    let time = r.get("time").and_then(|v| v.time());
    let note = r.note();
    r.end();
    let hook = hook?;
    let dressing = Dressing {
        name: name?,
        kind: kind?,
        like,
        revision,
        hook: Told::new(fold(&hook.value), hook.at),
        sizes,
        silks,
        within,
        parts,
        at_size,
        variants,
        steps,
        rejects,
        time,
        note,
    };
    let whole = faults.deep() == before && !lookup.spoilt.get();
    checks::run(&dressing, shelves, whole, faults);
    (whole && faults.deep() == before).then_some(dressing)
}

fn steps(value: &Value<'_>, ground: &Ground<'_>) -> Vec<Step> {
    let items = value.items("steps");
    if items.len() > MOST_STEPS {
        value.wrong(format!("a dressing has {MOST_STEPS} steps at most"), "the steps of one fly");
    }
    items.iter().take(MOST_STEPS).filter_map(|item| steps::read(item, ground)).collect()
}

fn sizes_of(value: &Value<'_>, chart: Option<&HookChart>) -> Vec<Told<Size>> {
    let read = sizes::read(value, |from, to| match chart {
        Some(chart) => {
            let rule = SizeRule::Range(from.clone(), to.clone());
            let given: Vec<Size> = chart.sizes_by_rank().into_iter().filter(|size| rule.fits(size, chart.old_scale())).cloned().collect();
            (!given.is_empty()).then_some(given)
        }
        None => sizes::every(from, to, false),
    });
    if read.len() > MOST {
        value.wrong(format!("a dressing has {MOST} sizes at most"), "the sizes you tie it in");
        return Vec::new();
    }
    read
}

fn silks(r: &mut Reader<'_>, shelves: &Shelves<'_>, lookup: &Lookup<'_>) -> Vec<Silk> {
    if let Some(value) = r.get("silks|threads") {
        if let Some(single) = r.get("silk|thread|tying silk") {
            let fault = Diagnostic::error("`silk` and `silks` say the same in two ways", single.at.the_key());
            r.faults.push(fault.also("the other one", value.at.the_key()).right("keep one of the two"));
        }
        let entries = value.entries("silks");
        for (what, _) in &entries {
            if !SILKS.contains(&fold(&what.value).as_str()) {
                let fault = Diagnostic::error(format!("\"{}\" is no part of the work that a silk is kept for", what.value), what.at.clone());
                let right =
                    did_you_mean(&what.value, SILKS.iter().copied()).unwrap_or_else(|| "`body:` for the work and `head:` for the last finish".to_owned());
                r.faults.push(fault.right(right));
            }
        }
        let mut silks: Vec<Silk> =
            entries.iter().filter_map(|(what, v)| Some(Silk { for_what: fold(&what.value), of: lookup.name(shelves.materials, &v.text()?)? })).collect();
        // The tying silk first.
        silks.sort_by_key(|silk| silk.for_what == HEAD);
        return silks;
    }
    let silk = r.need("silk|thread|tying silk", "`silk:` and a material of this bench").and_then(|v| v.text());
    silk.and_then(|told| lookup.name(shelves.materials, &told)).map(|of| Silk { for_what: String::new(), of }).into_iter().collect()
}

/// `±0.5 mm`.
fn within(value: &Value<'_>) -> Option<Told<f64>> {
    let told = value.text()?;
    let trimmed = told.value.trim_start();
    let bare = ["±", "+/-", "+-"].iter().find_map(|sign| trimmed.strip_prefix(sign)).unwrap_or(trimmed);
    let from = told.value.len() - bare.len();
    let quantity = value.told(Quantity::read(bare).map_err(|fault| Fault { within: fault.within.start + from..fault.within.end + from, ..fault }))?;
    match quantity.value.in_unit(Unit::Mm).filter(|mm| quantity.value.unit != Unit::One && *mm > 0.0 && *mm <= 100.0) {
        Some(mm) => Some(Told::new(mm, told.at)),
        None => {
            value.wrong(format!("\"{}\" does not say how near the next fly must be", told.value), "a length each way, such as `±0.5 mm`");
            None
        }
    }
}

/// The folded names of all parts, the variants' own among them. Names that will not do are told.
fn names(parts: Option<&Value<'_>>, variants: Option<&Value<'_>>, faults: &Faults) -> Vec<String> {
    let own = declared(parts, &[], faults);
    let mut names: Vec<String> = own.iter().map(|told| told.value.clone()).collect();
    for (_, variant) in variants.map(Value::quiet_entries).unwrap_or_default().into_iter().take(MOST) {
        // Two variants may each add an egg; no variant may add a second one.
        let added = declared(variant.quiet_get("add").as_ref(), &own, faults);
        names.extend(added.into_iter().map(|told| told.value));
    }
    names.sort();
    names.dedup();
    names
}

/// The names in one list of parts, each unlike the others and those of `beside`.
fn declared(list: Option<&Value<'_>>, beside: &[Told<String>], faults: &Faults) -> Vec<Told<String>> {
    let Some(list) = list else { return Vec::new() };
    let items = list.quiet_items();
    if items.len() > MOST_PARTS {
        list.wrong(format!("a dressing has {MOST_PARTS} parts at most"), "the parts of one fly");
    }
    let mut names: Vec<Told<String>> = Vec::new();
    for value in items.iter().take(MOST_PARTS).filter_map(|item| item.quiet_get("part")) {
        let Some(text) = value.quiet_text() else { continue };
        match parts::name(&text) {
            Ok(name) => match beside.iter().chain(&names).find(|other| other.value == name.value) {
                Some(first) => {
                    let fault = Diagnostic::error(format!("two parts are named \"{}\"", name.value), name.at.clone());
                    faults.push(fault.also("the first one", first.at.clone()).right("every part has a name of its own"));
                }
                None => names.push(name),
            },
            Err(fault) => value.fault(fault),
        }
    }
    names
}

/// Changes by size.
fn changes(value: &Value<'_>, ground: &Ground<'_>) -> Vec<Change> {
    let entries = value.entries("changes by size");
    if entries.len() > MOST {
        value.wrong(format!("a dressing has {MOST} changes by size at most"), "fewer changes, each for more sizes");
        return Vec::new();
    }
    let mut changes = Vec::new();
    for (text, value) in entries {
        match SizeRule::read(&text.value) {
            Some(rule) => changes.push(Change { rule, parts: replaced(&value.entries("changes to parts"), ground), at: text.at }),
            None => {
                let fault = Diagnostic::error(format!("\"{}\" names no sizes", text.value), text.at);
                value.faults.push(fault.right("`16`, `12, 14`, `14-16`, `16 and smaller` or `10 and larger`"));
            }
        }
    }
    changes
}

/// What is said anew of some parts.
fn replaced(entries: &[(Told<String>, Value<'_>)], ground: &Ground<'_>) -> Vec<(Told<String>, PartFields)> {
    let mut replaced = Vec::new();
    for (name, value) in entries {
        let name = parts::refer(name, ground, value.faults);
        let Some(mut r) = value.reader("a change to a part") else { continue };
        let fields = parts::fields(&mut r, ground);
        r.end();
        replaced.extend(name.map(|name| (name, fields)));
    }
    replaced
}

fn variants(value: &Value<'_>, ground: &Ground<'_>, shelves: &Shelves<'_>, dressing: &str, renamed: &mut Vec<Renamed>) -> IndexMap<String, Variant> {
    let mut variants: IndexMap<String, Variant> = IndexMap::new();
    let entries = value.entries("variants");
    if entries.len() > MOST {
        value.wrong(format!("a dressing has {MOST} variants at most"), "another dressing for some of them");
        return variants;
    }
    for (name, value) in entries {
        let folded = fold(&name.value);
        if let Some(first) = variants.get(&folded) {
            let fault = Diagnostic::error(format!("\"{}\" is named twice; case and double spaces do not tell names apart", name.value), name.at.clone());
            value.faults.push(fault.also("named first here", first.name.at.clone()).right("give one of them another name"));
            continue;
        }
        let Some(mut r) = value.reader("a variant") else { continue };
        let was = packs::formerly(&mut r);
        renamed.extend(was.into_iter().map(|was| Renamed { sort: Sort::Variant, was, now: format!("{dressing} / {folded}") }));
        let hook = r.text("hook").and_then(|name| ground.lookup.name(shelves.charts, &name));
        let silk = r.get("silk|thread|tying silk").and_then(|v| v.text()).and_then(|name| ground.lookup.name(shelves.materials, &name));
        let add = r.get("add").map(|v| v.items("parts to add")).unwrap_or_default().iter().filter_map(|item| added(item, ground)).collect();
        let leave_out = r.get("leave-out").map(|v| v.names("parts to leave out", true)).unwrap_or_default();
        let leave_out = leave_out.iter().filter_map(|told| parts::refer(told, ground, value.faults)).collect();
        let at_size = r.get("at-size").map(|v| changes(&v, ground)).unwrap_or_default();
        r.note();
        let replace = r.others();
        let mut replaces = Vec::new();
        for (part, value) in replace {
            if ground.parts.contains(&fold(&part.value).as_str()) {
                replaces.extend(replaced(&[(part.clone(), value)], ground));
                r.know_name(&part.value);
            }
        }
        r.end_among(ground.parts);
        variants.insert(folded, Variant { name, replace: replaces, add, leave_out, at_size, hook, silk });
    }
    variants
}

/// A part a variant adds, and the part it comes after.
fn added(item: &Value<'_>, ground: &Ground<'_>) -> Option<(Part, Option<Told<String>>)> {
    let mut after = None;
    let part = parts::declared(item, ground, |r| {
        let faults = r.faults;
        after = r.text("after").and_then(|told| parts::refer(&told, ground, faults));
    })?;
    Some((part, after))
}
