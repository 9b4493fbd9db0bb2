//! A sheet to count by, for printing: what there is, kind by kind, each with a line to write on.

use super::look::{OnShelf, shelf};
use super::{Fault, Shop};
use crate::cli::Verdict;
use crate::cli::out::Out;
use crate::dressing::Keep;
use crate::paper::table::Table;
use crate::stores::{ByEye, Goods, InUse, Thing};
use serde_json::json;
use std::collections::BTreeMap;

/// What stands on the sheet.
#[derive(Debug, clap::Args)]
pub struct SheetOf {
    /// Leave out what is expected, so that it is counted and not ticked
    #[arg(long)]
    pub blind: bool,
    /// Print the sheet's lines as JSON
    #[arg(long)]
    pub json: bool,
}

/// A line to write on.
const LINE: &str = "______________";

pub(super) fn sheet(shop: &Shop, asked: &SheetOf, out: &mut Out) -> Result<Verdict, Fault> {
    let ledger = shop.reading()?;
    let rows = ledger.as_ref().map_or(Ok(Vec::new()), shelf)?;
    let mut drawers: BTreeMap<(u8, String), Vec<OnShelf>> = BTreeMap::new();
    for row in rows {
        if shop.material(&row.0.goods).is_none_or(|material| material.keep != Keep::NotAtAll) {
            drawers.entry(drawer(shop, &row.0.goods)).or_default().push(row);
        }
    }
    if asked.json {
        let line = |(thing, balance, seen): &OnShelf| {
            let expected = (!asked.blind).then(|| balance.on_hand.normalize().to_string());
            let (full, in_use) =
                (seen.filter(|_| !asked.blind).map(|seen| seen.full), seen.filter(|_| !asked.blind).and_then(|seen| seen.in_use).map(InUse::name));
            json!({ "what": thing.goods.to_string(), "unit": thing.unit.name(), "by-eye": by_eye(shop, thing, *seen), "expected": expected, "full-packs": full, "in-use": in_use })
        };
        let all: Vec<_> = drawers.iter().map(|((_, drawer), rows)| json!({ "drawer": drawer, "lines": rows.iter().map(line).collect::<Vec<_>>() })).collect();
        out.json(&json!({ "schema": 1, "day": shop.today.to_string(), "sheet": all }));
        return Ok(Verdict::Fine);
    }
    if drawers.is_empty() {
        out.line("there is nothing to count yet: nothing was ever booked in at this bench");
        return Ok(Verdict::Fine);
    }
    out.line(&format!("Count of {}, {}", shop.opened.bench.shelf.terms.name, shop.today));
    out.line(&format!("begun {LINE}   ended {LINE}"));
    for ((_, drawer), rows) in &drawers {
        out.line("");
        out.line(&drawer.to_uppercase());
        let mut table = if asked.blind { Table::new(&["what", "found", "remarks"]) } else { Table::new(&["what", ">expected", "found", "remarks"]) };
        for (thing, balance, seen) in rows {
            let eye = by_eye(shop, thing, *seen);
            let expected = match seen {
                Some(seen) if eye => format!("{} full, {}", seen.full, seen.in_use.map_or("none in use", InUse::name)),
                _ => shop.shown(balance.on_hand, thing.unit, &thing.goods),
            };
            let unit = shop.shown(rust_decimal::Decimal::TWO, thing.unit, &thing.goods);
            let unit = unit.trim_start_matches(|c: char| c.is_ascii_digit()).trim_start();
            let found = if eye { "____ full, in use ____".to_owned() } else { format!("{LINE} {unit}").trim_end().to_owned() };
            let cells = [Some(thing.goods.to_string()), (!asked.blind).then_some(expected), Some(found), Some(LINE.to_owned())];
            table.row(cells.into_iter().flatten().collect());
        }
        out.text(&table.text());
    }
    out.line("");
    out.line("sums and fractions may be entered as written: 3*25 + 7, 2 + 1/2");
    Ok(Verdict::Fine)
}

fn by_eye(shop: &Shop, thing: &Thing, seen: Option<ByEye>) -> bool {
    shop.material(&thing.goods).map_or(seen.is_some(), |material| material.keep == Keep::ByEye)
}

/// Where it lies, as far as the files tell: materials by their kind, then hooks, then finished flies.
fn drawer(shop: &Shop, goods: &Goods) -> (u8, String) {
    match goods {
        Goods::Material { .. } => match shop.material(goods).and_then(|material| material.kind.as_ref()) {
            Some(kind) => (0, kind.value.clone()),
            None => (1, "other materials".to_owned()),
        },
        Goods::Hook { .. } => (2, "hooks".to_owned()),
        Goods::Fly { .. } => (3, "finished flies".to_owned()),
    }
}
