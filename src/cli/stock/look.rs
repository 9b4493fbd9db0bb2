//! What there is, and what moved.

use super::asked::{What, Which};
use super::deeds::{balance_json, movement_json};
use super::{Fault, Shop};
use crate::cli::Verdict;
use crate::cli::out::Out;
use crate::ledger::{Ledger, Line};
use crate::measure::words::fold;
use crate::paper;
use crate::paper::table::Table;
use crate::stores::balance::Balance;
use crate::stores::{ByEye, Filter, InUse, Lot, Thing, ThingId};
use serde_json::{Value, json};
use std::collections::HashMap;

/// What is listed, and in which form.
#[derive(Debug, clap::Args)]
pub struct List {
    /// Only what has this in its name
    #[arg(value_name = "TEXT")]
    pub text: Option<String>,
    /// With every lot: supplier, day, price, dye lot, proof of origin
    #[arg(long)]
    pub lots: bool,
    /// What nothing is left of as well
    #[arg(long)]
    pub all: bool,
    /// Print the list as JSON
    #[arg(long)]
    pub json: bool,
    /// Print the list as CSV
    #[arg(long, conflicts_with_all = ["json", "lots"])]
    pub csv: bool,
}

/// Which movements are told.
#[derive(Debug, clap::Args)]
pub struct History {
    /// Of this thing; of all where left out
    #[arg(value_name = "NAME")]
    pub name: Option<String>,
    /// Which of that name.
    #[command(flatten)]
    pub which: Which,
    /// So many, the newest
    #[arg(long, value_name = "N", default_value_t = 50)]
    pub most: u32,
    /// Print the movements as JSON
    #[arg(long)]
    pub json: bool,
}

/// A thing, what there is of it, and what there is by eye.
pub(super) type OnShelf = (Thing, Balance, Option<ByEye>);

/// What stands on the shelf, in the order of the names.
pub(super) fn shelf(ledger: &Ledger) -> Result<Vec<OnShelf>, Fault> {
    let mut balances: HashMap<ThingId, Balance> = ledger.balances()?.into_iter().map(|balance| (balance.thing, balance)).collect();
    let mut seen: HashMap<ThingId, ByEye> = ledger.by_eye()?.into_iter().map(|seen| (seen.thing, seen)).collect();
    let things = ledger.things()?;
    let row = |thing: Thing| {
        let balance = balances.remove(&thing.id)?;
        let seen = seen.remove(&thing.id);
        Some((thing, balance, seen))
    };
    Ok(things.into_iter().filter_map(row).collect())
}

pub(super) fn list(shop: &Shop, asked: &List, out: &mut Out) -> Result<Verdict, Fault> {
    let ledger = shop.reading()?;
    let rows = ledger.as_ref().map_or(Ok(Vec::new()), shelf)?;
    let wanted = asked.text.as_ref().map(|text| fold(text));
    let there = |balance: &Balance, seen: Option<ByEye>| {
        !balance.on_hand.is_zero()
            || !balance.customers.is_zero()
            || !balance.set_aside.is_zero()
            || seen.is_some_and(|seen| seen.full > 0 || seen.in_use.is_some())
    };
    let rows: Vec<_> = rows
        .into_iter()
        .filter(|(thing, balance, seen)| {
            wanted.as_ref().is_none_or(|wanted| fold(&thing.goods.to_string()).contains(wanted)) && (asked.all || there(balance, *seen))
        })
        .collect();
    let lots = |thing: &Thing| -> Result<Vec<Lot>, Fault> {
        let all = ledger.as_ref().map_or(Ok(Vec::new()), |ledger| ledger.lots(thing.id))?;
        Ok(all.into_iter().filter(|lot| asked.all || !lot.holds.is_zero()).collect())
    };
    if asked.json {
        let mut all = Vec::new();
        for (thing, balance, seen) in &rows {
            let mut row = balance_json(thing, balance);
            if let (Some(row), Some(seen)) = (row.as_object_mut(), seen) {
                row.insert("full-packs".to_owned(), json!(seen.full));
                row.insert("in-use".to_owned(), json!(seen.in_use.map(InUse::name)));
            }
            if asked.lots
                && let Some(row) = row.as_object_mut()
            {
                row.insert("lots".to_owned(), Value::Array(lots(thing)?.iter().map(lot_json).collect()));
            }
            all.push(row);
        }
        out.json(&json!({ "schema": 1, "stock": all }));
    } else if asked.csv {
        out.csv(&paper::stores::shelf_csv(&rows));
    } else if !rows.is_empty() {
        let mut table = Table::new(&["what", ">on hand", ">set aside", ">free", "besides"]);
        for (thing, balance, seen) in &rows {
            table.row(text_row(shop, thing, balance, *seen));
            if asked.lots {
                for lot in lots(thing)? {
                    table.row(lot_row(shop, thing, &lot));
                }
            }
        }
        out.text(&table.text());
    }
    if rows.is_empty() {
        let nothing = if wanted.is_some() {
            "nothing of that name is on the shelf"
        } else {
            "nothing is on the shelf yet; `herl stock receive NAME AMOUNT` books in what came"
        };
        if asked.json || asked.csv { out.trouble(nothing) } else { out.line(nothing) }
    }
    if let Some(notice) = ledger.as_ref().and_then(Ledger::notice) {
        out.trouble(notice);
    }
    Ok(Verdict::Fine)
}

fn eye(seen: ByEye) -> String {
    format!("by eye: {} full, in use {}", seen.full, seen.in_use.map_or("none", InUse::name))
}

fn text_row(shop: &Shop, thing: &Thing, balance: &Balance, seen: Option<ByEye>) -> Vec<String> {
    let shown = |quantity| shop.shown(quantity, thing.unit, &thing.goods);
    let mut besides: Vec<String> = seen.map(eye).into_iter().collect();
    if !balance.customers.is_zero() {
        besides.push(format!("{} of customers' own", shown(balance.customers)));
    }
    if balance.on_hand.is_sign_negative() && !balance.on_hand.is_zero() {
        besides.push("more went out than was ever counted in: count it".to_owned());
    }
    let aside = if balance.set_aside.is_zero() { String::new() } else { shown(balance.set_aside) };
    vec![thing.goods.to_string(), shown(balance.on_hand), aside, shown(balance.free()), besides.join("; ")]
}

fn lot_row(shop: &Shop, thing: &Thing, lot: &Lot) -> Vec<String> {
    let shown = |quantity| shop.shown(quantity, thing.unit, &thing.goods);
    let says = &lot.says;
    let mut about: Vec<String> = Vec::new();
    about.extend(lot.customer.as_ref().map(|customer| format!("{customer}'s own")));
    about.extend(says.supplier.as_ref().map(ToString::to_string));
    about.extend(says.received.map(|day| day.to_string()));
    about.extend(says.price.as_ref().map(|price| format!("{} {}", shop.text(&price.currency.text(price.amount())), price.currency.code())));
    about.extend(says.dye_lot.as_ref().map(|dye_lot| format!("dye lot {dye_lot}")));
    about.extend(says.swatch.then(|| "swatch kept".to_owned()));
    about.extend(says.proof.as_ref().map(|proof| format!("proof {proof}")));
    about.extend(lot.says.apart_until.filter(|_| lot.apart(shop.today)).map(|day| format!("apart until {day}")));
    about.extend(lot.closed.then(|| "closed".to_owned()));
    about.extend(says.note.as_ref().map(ToString::to_string));
    let aside = if lot.set_aside.is_zero() { String::new() } else { shown(lot.set_aside) };
    vec![format!("  lot {}", lot.id), shown(lot.holds), aside, shown(lot.free()), about.join(", ")]
}

fn lot_json(lot: &Lot) -> Value {
    let says = &lot.says;
    json!({
        "lot": lot.id.0,
        "holds": lot.holds.normalize().to_string(),
        "set-aside": lot.set_aside.normalize().to_string(),
        "came-in": lot.came_in.normalize().to_string(),
        "customer": lot.customer,
        "run": lot.run,
        "closed": lot.closed,
        "supplier": says.supplier,
        "received": says.received.map(|day| day.to_string()),
        "price": says.price.as_ref().map(|price| price.currency.text(price.amount())),
        "currency": says.price.as_ref().map(|price| price.currency.code()),
        "dye-lot": says.dye_lot,
        "swatch": says.swatch,
        "proof": says.proof,
        "apart-until": says.apart_until.map(|day| day.to_string()),
        "note": says.note,
    })
}

pub(super) fn history(shop: &Shop, asked: &History, out: &mut Out) -> Result<Verdict, Fault> {
    let ledger = shop.reading()?;
    let goods = asked.name.as_ref().map(|name| shop.goods(&What { name: name.clone(), which: asked.which.clone() }, ledger.as_ref())).transpose()?;
    let mut lines: Vec<(Line, Option<Thing>, bool)> = Vec::new();
    if let Some(ledger) = &ledger {
        let things: HashMap<ThingId, Thing> = ledger.things()?.into_iter().map(|thing| (thing.id, thing)).collect();
        if let Some(goods) = &goods {
            for thing in ledger.things_of(goods)? {
                lines.extend(ledger.history(thing.id, Some(asked.most))?.into_iter().map(|line| (line, Some(thing.clone()), true)));
            }
        } else {
            let movements = ledger.movements(&Filter { most: Some(asked.most), ..Filter::default() })?;
            lines.extend(
                movements
                    .into_iter()
                    .map(|movement| (Line { after: movement.quantity, movement: movement.clone() }, things.get(&movement.thing).cloned(), false)),
            );
        }
    }
    if asked.json {
        let row = |(line, thing, known): &(Line, Option<Thing>, bool)| {
            let mut row = movement_json(&line.movement, thing.as_ref());
            if let Some(row) = row.as_object_mut().filter(|_| *known) {
                row.insert("after".to_owned(), json!(line.after.normalize().to_string()));
            }
            row
        };
        out.json(&json!({ "schema": 1, "movements": lines.iter().map(row).collect::<Vec<_>>() }));
    } else if lines.is_empty() {
        out.line("nothing moved yet");
    } else {
        let mut table = Table::new(&[">no", "when", "why", "what", ">how much", ">after it", "lot", "remarks"]);
        for (line, thing, known) in &lines {
            table.row(history_row(shop, line, thing.as_ref(), *known));
        }
        out.text(&table.text());
    }
    Ok(Verdict::Fine)
}

fn history_row(shop: &Shop, line: &Line, thing: Option<&Thing>, known: bool) -> Vec<String> {
    let movement = &line.movement;
    let shown = |quantity| thing.map_or_else(String::new, |thing| shop.shown(quantity, thing.unit, &thing.goods));
    let sign = if movement.quantity.is_sign_positive() && !movement.quantity.is_zero() { "+" } else { "" };
    let when = super::on_the_wall(movement.at).strftime("%Y-%m-%d %H:%M").to_string();
    let mut remarks: Vec<String> = Vec::new();
    remarks.extend(movement.reverses.map(|was| format!("takes back {was}")));
    remarks.extend(movement.reversed_by.map(|by| format!("taken back by {by}")));
    remarks.extend(movement.run.map(|run| format!("run {run}")));
    remarks.extend(movement.order.as_ref().map(|order| format!("for {order}")));
    remarks.extend(movement.reason.as_ref().map(ToString::to_string));
    vec![
        movement.id.to_string(),
        when,
        movement.kind.name().to_owned(),
        thing.map_or_else(String::new, |thing| thing.goods.to_string()),
        format!("{sign}{}", shown(movement.quantity)),
        if known { shown(line.after) } else { String::new() },
        movement.lot.map_or_else(String::new, |lot| lot.to_string()),
        remarks.join("; "),
    ]
}
