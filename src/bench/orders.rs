//! An order's file.

use super::Faults;
use super::checks::in_chart;
use super::dressings::Shelves;
use super::materials::flies_in;
use super::node::{Map, Node};
use super::reader::Reader;
use super::sizes::in_words;
use super::stock::{Goods, Lookup};
use super::terms::rejects;
use super::value::{Bounds, Value, size};
use super::yaml::Source;
use crate::diagnostic::{At, Diagnostic, Told, near_or_all};
use crate::dressing::{Dressing, Order, OrderLine, PartFields, Size, Tied};
use crate::measure::words::fold;
use crate::measure::{Quantity, Unit};
use indexmap::IndexMap;
use rust_decimal::prelude::ToPrimitive as _;

/// The most flies of one size that an order asks for.
const MOST_FLIES: u32 = 100_000;

/// The most lines one order may have: every one is planned with every other.
const MOST_LINES: usize = 200;

/// Reads an order; `None` when anything is wrong with it, which was told.
pub(crate) fn read(source: &Source, map: &Map, dressings: Goods<'_, Dressing>, shelves: &Shelves<'_>, faults: &Faults) -> Option<Order> {
    let before = faults.errors();
    let lookup = Lookup::new(faults);
    let mut r = Reader::new(source, map, source.at(), "an order", faults);
    let name = r.need("order", "`order:` and its name").and_then(|v| v.prose());
    let customer = r.text("customer");
    let wanted = r.get("wanted").and_then(|v| v.date());
    let post_days = r.get("post").and_then(|v| {
        v.within(Unit::Day, Bounds { nought: true, most: 1000.0 }, "2 days")?;
        let told = v.text()?;
        let days = Quantity::read(&told.value).ok()?.decimal_in(Unit::Day)?;
        Some(Told::new(days, told.at))
    });
    let postage = r.get("postage").and_then(|v| v.money());
    let tied = r.get("tied").and_then(|v| v.choice(&[("fly by fly", Tied::FlyByFly), ("by stages", Tied::ByStages)]));
    let extras = extras(&mut r);
    let customer_sends = r.get("customer-sends").map(|v| v.names("what the customer sends", false)).unwrap_or_default();
    for sent in &customer_sends {
        near_miss(sent, shelves, faults);
    }
    let flies = r.need("flies", "`flies:`, and under it each dressing after a dash").map(|v| lines(&v)).unwrap_or_default();
    let lines = flies.iter().filter_map(|item| line(item, dressings, shelves, &lookup)).collect();
    let note = r.note();
    r.end();
    let order = Order { name: name?, customer, wanted, post_days, postage, tied, extras, customer_sends, lines, note };
    (faults.errors() == before && !lookup.spoilt.get()).then_some(order)
}

fn lines<'a>(value: &Value<'a>) -> Vec<Value<'a>> {
    let mut items = value.items("flies");
    if items.len() > MOST_LINES {
        value.wrong(format!("an order has {MOST_LINES} lines at most"), "one line for all the sizes of a dressing, or two orders");
        items.truncate(MOST_LINES);
    }
    items
}

fn line(item: &Value<'_>, dressings: Goods<'_, Dressing>, shelves: &Shelves<'_>, lookup: &Lookup<'_>) -> Option<OrderLine> {
    let mut r = item.reader("a line of an order")?;
    let faults = r.faults;
    let name = r.need("dressing", "`dressing:` and one of this bench").and_then(|v| v.text());
    let dressing = name.as_ref().and_then(|name| lookup.thing(dressings, name));
    let variant = r.text("variant").and_then(|told| variant(&told, dressing, faults));
    let hook = r.text("hook").and_then(|name| lookup.name(shelves.charts, &name));
    let sizes = r.need("sizes", "add it, such as `sizes: {12: 1 dozen, 14: 2 dozen}`");
    let mut asked: Vec<(Told<Size>, Told<u32>)> = Vec::new();
    for (text, value) in sizes.map(|v| v.entries("sizes")).unwrap_or_default() {
        let size = size(&text, faults);
        let count = flies(&value);
        let Some(size) = size else { continue };
        if let Some(dressing) = dressing {
            let own = variant.as_ref().and_then(|told| dressing.variants.get(&told.value)).and_then(|variant| variant.hook.as_ref());
            let chart = hook.as_ref().or(own).unwrap_or(&dressing.hook);
            tied_in(&size, dressing, hook.as_ref(), shelves.charts.good.get(&chart.value), faults);
        }
        asked.extend(count.map(|count| (size, count)));
    }
    let price = r.get("price").and_then(|v| v.price());
    let rejects = r.get("rejects").and_then(|v| rejects(&v));
    let extras = extras(&mut r);
    let instead = r.get("instead").map(|v| instead(&v, dressing, shelves, lookup)).unwrap_or_default();
    r.note();
    r.end();
    let name = name?;
    Some(OrderLine { dressing: Told::new(fold(&name.value), name.at), sizes: asked, variant, hook, price, rejects, extras, instead })
}

/// Names of the bench's extras; whether it has them is asked when the order is planned.
fn extras(r: &mut Reader<'_>) -> Vec<Told<String>> {
    let names = r.get("extras").map(|v| v.names("extras", false)).unwrap_or_default();
    names.into_iter().map(|told| Told::new(fold(&told.value), told.at)).collect()
}

/// What a customer sends may be anything; a name that is nearly one of the bench's was likely meant to be that one.
fn near_miss(sent: &Told<String>, shelves: &Shelves<'_>, faults: &Faults) {
    let folded = fold(&sent.value);
    if shelves.materials.names.place(&folded).is_some() || shelves.charts.names.place(&folded).is_some() {
        return;
    }
    let known = shelves.materials.names.all().chain(shelves.charts.names.all());
    if let Some(near) = faults.did_you_mean(&sent.at, &folded, known) {
        let fault =
            Diagnostic::advice(format!("\"{}\" is neither a material nor a hook chart of this bench, so nothing is spared by it", sent.value), sent.at.clone());
        faults.push(fault.right(near));
    }
}

fn variant(told: &Told<String>, dressing: Option<&Dressing>, faults: &Faults) -> Option<Told<String>> {
    let dressing = dressing?;
    let folded = fold(&told.value);
    if dressing.variants.contains_key(&folded) {
        return Some(Told::new(folded, told.at.clone()));
    }
    let names = dressing.variants.values().map(|variant| variant.name.value.as_str());
    let right = near_or_all(&folded, names, "leave the line out: it has no variants");
    faults.push(Diagnostic::error(format!("\"{}\" is not a variant of {}", told.value, dressing.name.value), told.at.clone()).right(right));
    None
}

/// A size must be one of the dressing's, and on another hook one of that chart's.
fn tied_in(size: &Told<Size>, dressing: &Dressing, hook: Option<&Told<String>>, chart: Option<&crate::dressing::HookChart>, faults: &Faults) {
    let Some(chart) = chart else { return };
    let rank = size.value.rank(chart.old_scale());
    if !dressing.sizes.iter().any(|own| own.value.rank(chart.old_scale()) == rank) {
        let given = in_words(dressing.sizes.iter().map(|own| &own.value));
        let fault = Diagnostic::error(format!("{} is not tied in size {}", dressing.name.value, size.value), size.at.clone());
        faults.push(
            fault
                .also("its sizes", At::file(dressing.name.at.file.clone()).key("sizes"))
                .right(format!("one of its sizes, {given}, or one more in the dressing")),
        );
    } else if let Some(hook) = hook
        && let Some(fault) = in_chart(size, chart, Some(&hook.at))
    {
        faults.push(fault);
    }
}

fn flies(value: &Value<'_>) -> Option<Told<u32>> {
    let told = value.text()?;
    let flies = flies_in(&told.value).filter(|flies| flies.fract().is_zero()).and_then(|flies| flies.to_u32()).filter(|flies| *flies <= MOST_FLIES);
    if flies.is_none() {
        value.wrong(format!("\"{}\" is not a number of flies", told.value), "`2 dozen`, `half a dozen` or `30`");
    }
    flies.map(|flies| Told::new(flies, told.at))
}

fn instead(value: &Value<'_>, dressing: Option<&Dressing>, shelves: &Shelves<'_>, lookup: &Lookup<'_>) -> IndexMap<String, Told<String>> {
    let mut instead = IndexMap::new();
    for (of, by) in value.entries("substitutes agreed on") {
        if *by.node == Node::Nothing {
            continue; // told as an empty place
        }
        let of = lookup.name(shelves.materials, &of);
        let by = by.text().and_then(|told| lookup.name(shelves.materials, &told));
        let Some((of, by)) = of.zip(by) else { continue };
        if let Some(dressing) = dressing
            && !uses(dressing, &of.value)
        {
            let fault = Diagnostic::error(format!("{} has no \"{}\" in it to be replaced", dressing.name.value, of.value), of.at.clone());
            value.faults.push(fault.right("a material of the dressing, or take the line away"));
        }
        if let Some(first) = instead.get(&of.value) {
            let first: &Told<String> = first;
            let fault =
                Diagnostic::error(format!("what stands in for \"{}\" is said twice; case and double spaces do not tell names apart", of.value), of.at.clone());
            value.faults.push(fault.also("said first here", first.at.the_key()).right("keep one of the two"));
            continue;
        }
        instead.insert(of.value, by);
    }
    instead
}

/// Whether a dressing uses a material (folded name) in any size or variant.
fn uses(dressing: &Dressing, material: &str) -> bool {
    let changed = dressing.at_size.iter().chain(dressing.variants.values().flat_map(|variant| &variant.at_size)).flat_map(|change| &change.parts);
    let replaced = dressing.variants.values().flat_map(|variant| &variant.replace);
    let added = dressing.variants.values().flat_map(|variant| &variant.add).map(|(part, _)| &*part.fields);
    let fields = dressing.parts.iter().map(|part| &*part.fields).chain(changed.chain(replaced).map(|(_, fields)| fields)).chain(added);
    let silks = dressing.silks.iter().map(|silk| &silk.of).chain(dressing.variants.values().filter_map(|variant| variant.silk.as_ref()));
    fields.flat_map(PartFields::materials).chain(silks).any(|of| of.value == material)
}
