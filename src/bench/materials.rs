//! materials.yaml: suppliers, materials, and what made parts are made from.

use super::node::{Map, Node};
use super::reader::Reader;
use super::stock::{Goods, Lookup, Stock};
use super::value::{Bounds, Value, size};
use super::yaml::Source;
use super::{Faults, Renamed, Sort, colours, packs};
use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Charge, Cut, Gives, Keep, Making, Material, Size, Supplier};
use crate::measure::words::fold;
use crate::measure::{Fraction, Quantity, Unit};
use indexmap::IndexMap;
use rust_decimal::Decimal;

/// What materials.yaml says.
pub(crate) struct Shelves<'s> {
    /// Suppliers.
    pub(crate) suppliers: &'s mut Stock<Supplier>,
    /// Materials.
    pub(crate) materials: &'s mut Stock<Material>,
    /// What made parts are made from, by folded name.
    pub(crate) makings: &'s mut IndexMap<String, Making>,
    /// Names left behind.
    pub(crate) renamed: &'s mut Vec<Renamed>,
}

/// Reads materials.yaml.
pub(crate) fn read(source: &Source, map: &Map, shelves: &mut Shelves<'_>, faults: &Faults) {
    let mut r = Reader::new(source, map, source.at(), "the file of materials", faults);
    let suppliers = r.get("suppliers").map(|v| v.bare_entries("suppliers")).unwrap_or_default();
    let materials = r.need("materials", "`materials:`, and under it each material by its name").map(|v| v.bare_entries("materials")).unwrap_or_default();
    // Which of two lists was meant, nobody knows: nothing is said of names that may stand in the other.
    shelves.suppliers.names.unread = source.spoilt_at(&r.at.key("suppliers"));
    shelves.materials.names.unread = source.spoilt_at(&r.at.key("materials"));
    r.end();
    for (name, value) in suppliers {
        shelves.suppliers.add(&name, &value, || supplier(&name, &value, shelves.renamed));
    }
    let mut leaning = Vec::new();
    for (name, value) in materials {
        let (suppliers, renamed) = (shelves.suppliers.goods(), &mut *shelves.renamed);
        shelves.materials.add(&name, &value, || {
            let (material, made) = material(&name, &value, suppliers, renamed)?;
            leaning.push((fold(&name.value), material.substitutes.clone(), made));
            Some(material)
        });
    }
    // Names of other materials can be looked up only now that all are read.
    let lookup = Lookup::new(faults);
    // A substitute nobody has is told, and the material itself stays good.
    for (name, substitutes, made) in leaning {
        let materials = shelves.materials.goods();
        let stands_in: Vec<Told<String>> = substitutes.iter().filter_map(|other| lookup.name(materials, other)).collect();
        let made = made.map(|making| Making {
            from: making.from.into_iter().filter_map(|(of, amount)| Some((lookup.name(materials, &of)?, amount))).collect(),
            dries: making.dries,
        });
        if let Some(material) = shelves.materials.good.get_mut(&name) {
            material.substitutes = stands_in;
        }
        if let Some(making) = made {
            shelves.makings.insert(name, making);
        }
    }
}

fn supplier(name: &Told<String>, value: &Value<'_>, renamed: &mut Vec<Renamed>) -> Option<Supplier> {
    let empty = Map::new();
    let mut r = reader_or_bare(value, &empty, "a supplier")?;
    let carriage = r.get("carriage").and_then(|v| v.money()).map(|t| t.value);
    let free_over = r.get("free-over").and_then(|v| v.money()).map(|t| t.value);
    let lead = r.get("lead").and_then(|v| v.within(Unit::Day, Bounds { nought: true, most: 1000.0 }, "6 days").and(v.text()));
    let lead_days = lead.and_then(|told| Quantity::read(&told.value).ok()?.decimal_in(Unit::Day));
    let with_tax = r.get("prices").and_then(|v| v.choice(&[("with tax", true), ("without tax", false)])).map(|t| t.value);
    let tax = r.get("tax").and_then(|v| v.share(Decimal::ONE)).map(|t| t.value);
    let as_of = r.get("as-of").and_then(|v| v.date()).map(|t| t.value);
    renamed.extend(packs::formerly(&mut r).into_iter().map(|was| Renamed { sort: Sort::Supplier, was, now: fold(&name.value) }));
    r.note();
    r.end();
    Some(Supplier { name: name.clone(), carriage, free_over, lead_days, with_tax, tax, as_of })
}

/// The keys of a thing, or none where its name stands alone.
fn reader_or_bare<'a>(value: &Value<'a>, empty: &'a Map, what: &'static str) -> Option<Reader<'a>> {
    match value.node {
        Node::Nothing => Some(Reader::new(value.source, empty, value.at.clone(), what, value.faults)),
        _ => value.reader(what),
    }
}

fn material(name: &Told<String>, value: &Value<'_>, suppliers: Goods<'_, Supplier>, renamed: &mut Vec<Renamed>) -> Option<(Material, Option<Making>)> {
    let empty = Map::new();
    let mut reader = reader_or_bare(value, &empty, "a material")?;
    let r = &mut reader;
    let lookup = Lookup::new(value.faults);
    let half = Bounds { nought: false, most: 100.0 };
    let material = Material {
        name: name.clone(),
        kind: r.text("kind"),
        colour: r.get("colour|color").and_then(|v| colours::read(&v)),
        width: r.get("width").and_then(|v| v.mm(half, "0.12 mm")),
        thick: r.get("thick").and_then(|v| v.mm(half, "0.05 mm")),
        flue: r.get("flue").and_then(|v| v.mm(half, "4 mm")),
        tex: tex(r),
        density: r.get("density").and_then(|v| v.within(Unit::GPerCm3, Bounds { nought: false, most: 25.0 }, "0.15 g/cm3")),
        packing: r.get("packing").and_then(|v| packing(&v)),
        hole: r.get("hole").and_then(|v| v.mm(half, "0.8 mm")),
        lost_at_tie: r.get("lost-at-tie").and_then(|v| v.mm(Bounds::WASTE, "5 mm")),
        grip: r.get("grip").and_then(|v| v.mm(Bounds::WASTE, "40 mm")),
        loss: r.get("loss").and_then(|v| v.share_f64(Decimal::TEN)),
        cut: r.get("cut").and_then(|v| {
            let ways = [("off the spool", Cut::OffTheSpool), ("a length a fly", Cut::ALengthAFly), ("a length for several flies", Cut::ALengthForSeveral)];
            v.choice(&ways)
        }),
        piece: r.get("piece").and_then(|v| v.mm(Bounds::PIECE, "300 mm")),
        usable: r.get("usable").and_then(|v| v.mm(Bounds::PIECE, "55 mm")),
        fibres: r
            .get("fibres|fibers")
            .and_then(|v| v.counted(Bounds { nought: false, most: 1e9 }, &["fibres", "fibers"], "80"))
            .map(|t| t.map(Fraction::to_f64)),
        cleaned_out: r.get("cleaned-out").and_then(|v| v.share_f64(Decimal::TEN)),
        drop: r.get("drop").and_then(|v| v.within(Unit::Ml, Bounds { nought: false, most: 10.0 }, "0.05 ml")),
        gives: r.get("gives").and_then(|v| gives(&v)),
        keep: r
            .get("keep")
            .and_then(|v| v.choice(&[("counted", Keep::Counted), ("by eye", Keep::ByEye), ("not at all", Keep::NotAtAll)]))
            .map_or(Keep::Counted, |t| t.value),
        charge: r.get("charge").and_then(|v| v.choice(&[("share", Charge::Share), ("whole pack", Charge::WholePacks)])).map_or(Charge::Share, |t| t.value),
        spare: r.get("spare").and_then(|v| v.whole(0, 1000, &[], "1")),
        packs: packs::read(r, None, suppliers, &lookup),
        ask: r.text("ask"),
        substitutes: substitutes(r),
        time: r.get("time").and_then(|v| v.time()),
        note: r.note(),
    };
    let made = making(r);
    renamed.extend(packs::formerly(r).into_iter().map(|was| Renamed { sort: Sort::Material, was, now: fold(&name.value) }));
    reader.end();
    if let (Some(hole), Some(width)) = (&material.hole, &material.width)
        && hole.value >= width.value
    {
        value.faults.push(
            Diagnostic::error("the hole is as wide as the whole thing", hole.at.clone())
                .also("its width", width.at.clone())
                .right("a hole narrower than the width"),
        );
    }
    Some((material, made))
}

/// How much of a bundle's section is fibre.
fn packing(value: &Value<'_>) -> Option<Told<f64>> {
    let share = value.share_f64(Decimal::ONE)?;
    if share.value <= 0.0 {
        value.wrong("a bundle cannot be all air", "a share such as `75 %`");
        return None;
    }
    Some(share)
}

/// The linear density of a thread, under the key of its unit.
fn tex(r: &mut Reader<'_>) -> Option<Told<f64>> {
    let mut found: Option<(Told<f64>, At)> = None;
    for (key, unit) in [("denier", Unit::Denier), ("dtex", Unit::Dtex), ("tex", Unit::Tex)] {
        let Some(value) = r.get(key) else { continue };
        let bounds = Bounds { nought: false, most: 1e5 };
        let Some(told) = value.counted(bounds, &[key], "50") else { continue };
        let tex = unit.factor() * told.value.to_f64();
        match &found {
            Some((_, first)) => value.faults.push(
                Diagnostic::error("the weight of the thread is said twice", told.at.the_key())
                    .also("said first here", first.the_key())
                    .right("keep one of denier, dtex and tex"),
            ),
            None => found = Some((Told::new(tex, told.at.clone()), told.at)),
        }
    }
    found.map(|(tex, _)| tex)
}

fn substitutes(r: &mut Reader<'_>) -> Vec<Told<String>> {
    r.get("substitutes").map(|v| v.names("substitutes", false)).unwrap_or_default()
}

/// `12 dozen of 14`, or feathers by gauge size.
fn gives(value: &Value<'_>) -> Option<Told<Gives>> {
    if value.is_map() {
        let mut feathers: IndexMap<Size, Decimal> = IndexMap::new();
        for (text, value) in value.entries("sizes") {
            let size = size(&text, value.faults);
            let count = value.figure(Bounds { nought: true, most: 1e6 }, "140").and_then(|told| told.value.to_decimal());
            if let (Some(size), Some(count)) = (size, count) {
                feathers.insert(size.value, count);
            }
        }
        return Some(Told::new(Gives::Feathers(feathers), value.at.clone()));
    }
    let told = value.text()?;
    let read = told.value.split_once(" of ").and_then(|(flies, size)| Some((flies_in(flies)?, Size::read(size.trim_start_matches("size "))?)));
    match read {
        Some((flies, size)) => Some(Told::new(Gives::Flies { flies, size }, told.at)),
        None if told.value.contains("fibre") || told.value.contains("fiber") => {
            value
                .wrong("how many fibres one gives is not told by `gives`", format!("`fibres: {}`", told.value.trim_end_matches(|c: char| !c.is_ascii_digit())));
            None
        }
        None => {
            value.wrong(format!("\"{}\" does not say how many flies of which size", told.value), "`12 dozen of 14`, or feathers by size: `{14: 140, 16: 160}`");
            None
        }
    }
}

/// `12 dozen`, `36`, `1 1/2 dozen`, `half a dozen`: how many flies.
pub(crate) fn flies_in(text: &str) -> Option<Decimal> {
    let text = text.trim();
    let (figure, times) = match ["dozen", "doz"].iter().find_map(|word| text.strip_suffix(word)) {
        Some(rest) => (rest.trim_end(), 12),
        None => (["flies", "fly"].iter().find_map(|word| text.strip_suffix(word)).map_or(text, str::trim_end), 1),
    };
    let figure = match figure {
        "a" if times == 12 => Fraction::ONE,
        "half a" | "a half" | "half" if times == 12 => Fraction::parse("1/2")?,
        figure => Fraction::parse(figure)?,
    };
    let flies = figure.times(Fraction::whole(times))?.to_decimal()?;
    (flies > Decimal::ZERO && flies <= Decimal::from(1_000_000)).then_some(flies)
}

fn making(r: &mut Reader<'_>) -> Option<Making> {
    let dries = r.get("dries").and_then(|v| v.within(Unit::S, Bounds::TIME, "8 h"));
    let value = r.get("made-from");
    let Some(value) = value else {
        return dries.map(|dries| Making { from: Vec::new(), dries: Some(dries) });
    };
    let mut from = Vec::new();
    for item in value.items("materials it is made from") {
        let Some(mut r) = item.reader("a material it is made from") else { continue };
        let of = r.need("of", "a material of this bench").and_then(|v| v.text());
        let amount = r.need("amount", "add it, such as `amount: 2` or `amount: 0.5 g`").and_then(|v| {
            let told = v.text()?;
            let quantity = v.told(Quantity::read(&told.value))?;
            if quantity.value.figure.is_negative() || quantity.value.figure.is_nought() {
                v.wrong("an amount is more than nothing", "such as `2` or `0.5 g`");
                return None;
            }
            Some(quantity)
        });
        r.end();
        from.extend(of.zip(amount));
    }
    Some(Making { from, dries })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flies_are_told_singly_or_by_the_dozen() {
        for (text, flies) in [("30", 30), ("2 dozen", 24), ("a dozen", 12), ("half a dozen", 6), ("1/2 dozen", 6), ("half dozen", 6), ("1 1/2 doz", 18)] {
            assert_eq!(flies_in(text), Some(Decimal::from(flies)), "{text}");
        }
        assert_eq!([flies_in("half a"), flies_in("dozen"), flies_in("0"), flies_in("a few")], [None; 4]);
    }
}
