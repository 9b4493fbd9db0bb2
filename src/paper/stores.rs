//! What stands on the shelf, as CSV.

use super::csv::{Cell, csv};
use crate::stores::balance::Balance;
use crate::stores::{ByEye, Thing};
use rust_decimal::Decimal;

/// The shelf, a row a thing.
pub fn shelf_csv(rows: &[(Thing, Balance, Option<ByEye>)]) -> String {
    let head = ["sort", "name", "size", "what", "unit", "on hand", "set aside", "free", "customers", "full packs", "in use"];
    csv(&head, rows.iter().map(|(thing, balance, seen)| row(thing, balance, *seen)))
}

fn row(thing: &Thing, balance: &Balance, seen: Option<ByEye>) -> Vec<Cell> {
    let number = |quantity: Decimal| Cell::number(Some(quantity.normalize()));
    vec![
        Cell::text(thing.goods.sort().name()),
        Cell::text(thing.goods.name().as_str()),
        thing.goods.size().map_or(Cell::Empty, |size| Cell::text(size.as_str())),
        Cell::text(thing.goods.to_string()),
        Cell::text(thing.unit.name()),
        number(balance.on_hand),
        number(balance.set_aside),
        number(balance.free()),
        number(balance.customers),
        Cell::number(seen.map(|seen| seen.full)),
        seen.and_then(|seen| seen.in_use).map_or(Cell::Empty, |in_use| Cell::text(in_use.name())),
    ]
}
