//! What moved, read back.

use super::act::Fault;
use super::{Error, Ledger, lots};
use crate::measure::Words;
use crate::stores::quantity::of_millionths;
use crate::stores::{Filter, Kind, LotId, Movement, MovementId, Refusal, ThingId};
use rusqlite::types::Value;
use rusqlite::{Connection, OptionalExtension, Row, params_from_iter};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// A line of a thing's history.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What moved.
    pub movement: Movement,
    /// What there was of the thing after it, in all lots, customers' own among them.
    pub after: Decimal,
}

const MOVEMENT: &str = "select id, deed, at, thing, coalesce(lot, 0), quantity, kind, run, order_name, reverses, reason,
    (select back.id from movement back where back.reverses = movement.id) from movement";

type Columns = (Movement, String);

fn columns(row: &Row<'_>) -> rusqlite::Result<Columns> {
    let text = |nth| Ok::<_, rusqlite::Error>(row.get::<_, Option<String>>(nth)?.map(Words::from));
    let movement = Movement {
        id: MovementId(row.get(0)?),
        deed: MovementId(row.get(1)?),
        at: row.get(2)?,
        thing: ThingId(row.get(3)?),
        lot: lots::in_lot(row.get(4)?),
        quantity: of_millionths(row.get(5)?),
        kind: Kind::Used,
        run: row.get(7)?,
        order: text(8)?,
        reverses: row.get::<_, Option<i64>>(9)?.map(MovementId),
        reversed_by: row.get::<_, Option<i64>>(11)?.map(MovementId),
        reason: text(10)?,
    };
    Ok((movement, row.get(6)?))
}

fn meant((movement, kind): Columns) -> Result<Movement, Fault> {
    let kind = Kind::read(&kind).ok_or_else(|| Fault::Damaged(format!("movement {}: its kind is none", movement.id)))?;
    Ok(Movement { kind, ..movement })
}

pub(super) fn movement(at: &Connection, id: MovementId) -> Result<Movement, Fault> {
    let row = at.prepare_cached(&format!("{MOVEMENT} where id = ?"))?.query_row([id.0], columns).optional()?;
    meant(row.ok_or_else(|| Refusal::Unknown { what: format!("movement {id}") })?)
}

/// The movements of a deed: they were numbered in one go.
pub(super) fn of_deed(at: &Connection, deed: MovementId) -> Result<Vec<Movement>, Fault> {
    const NEXT: &str = "select coalesce(min(id), 9223372036854775807) from (select id from movement where id > ?1 and deed <> ?1 order by id limit 1)";
    let next: i64 = at.prepare_cached(NEXT)?.query_row([deed.0], |row| row.get(0))?;
    all(at, "where id >= ? and id < ? order by id", vec![deed.0.into(), next.into()])
}

pub(super) fn all(at: &Connection, which: &str, values: Vec<Value>) -> Result<Vec<Movement>, Fault> {
    let mut all = at.prepare_cached(&format!("{MOVEMENT} {which}"))?;
    let rows = all.query_map(params_from_iter(values), columns)?;
    rows.map(|row| meant(row?)).collect()
}

/// Goes through every movement, the oldest first, until `one` gives `false`.
pub(super) fn each(at: &Connection, mut one: impl FnMut(&Movement) -> bool) -> Result<(), Fault> {
    let mut all = at.prepare_cached(&format!("{MOVEMENT} order by id"))?;
    let mut rows = all.query([])?;
    while let Some(row) = rows.next()? {
        if !one(&meant(columns(row)?)?) {
            break;
        }
    }
    Ok(())
}

/// The movements a filter lets through, the newest first.
fn filtered(at: &Connection, filter: &Filter) -> Result<Vec<Movement>, Fault> {
    let mut which = Vec::new();
    let mut values: Vec<Value> = Vec::new();
    let mut add = |clause: &'static str, value: Option<Value>| {
        if let Some(value) = value {
            which.push(clause);
            values.push(value);
        }
    };
    add("thing = ?", filter.thing.map(|thing| thing.0.into()));
    add("lot = ?", filter.lot.map(|lot: LotId| lot.0.into()));
    add("kind = ?", filter.kind.map(|kind| kind.name().to_owned().into()));
    add("run = ?", filter.run.map(Into::into));
    add("order_name = ?", filter.order.as_ref().map(|order| order.as_str().to_owned().into()));
    add("at >= ?", filter.from.map(Into::into));
    add("at < ?", filter.before.map(Into::into));
    add("id < ?", filter.below.map(|id| id.0.into()));
    let whole = if which.is_empty() { String::new() } else { format!("where {}", which.join(" and ")) };
    let most = filter.most.map_or(-1, i64::from);
    all(at, &format!("{whole} order by id desc limit {most}"), values)
}

impl Ledger {
    /// A movement.
    ///
    /// # Errors
    /// No such movement; the disk.
    pub fn movement(&self, id: MovementId) -> Result<Movement, Error> {
        self.look("reading movements", |at| movement(at, id))
    }

    /// The movements a filter lets through, the newest first. The filter's `below` and `most` make pages of it.
    ///
    /// # Errors
    /// The disk.
    pub fn movements(&self, filter: &Filter) -> Result<Vec<Movement>, Error> {
        self.look("reading movements", |at| filtered(at, filter))
    }

    /// A thing's history: its movements, the newest first, each with what there was after it.
    ///
    /// # Errors
    /// The disk.
    pub fn history(&self, thing: ThingId, most: Option<u32>) -> Result<Vec<Line>, Error> {
        self.look("reading movements", |at| {
            let movements = filtered(at, &Filter { thing: Some(thing), most, ..Filter::default() })?;
            let now: i64 = at.prepare_cached("select coalesce(sum(quantity), 0) from balance where thing = ?")?.query_row([thing.0], |row| row.get(0))?;
            let mut after = of_millionths(now);
            let mut lines = Vec::with_capacity(movements.len());
            for movement in movements {
                let before = after - movement.quantity;
                lines.push(Line { movement, after });
                after = before;
            }
            Ok(lines)
        })
    }

    /// What was used of each thing (by runs, by hand, as makings, and flies delivered), between each two of the moments
    /// given, which grow. What was taken back counts against the time it was used in. For lines of use and for what is
    /// needed over a lead time.
    ///
    /// # Errors
    /// The disk.
    pub fn use_between(&self, moments: &[i64]) -> Result<Vec<(ThingId, Vec<Decimal>)>, Error> {
        // What was taken back, or done again, counts for the moment of what it goes back to.
        const SQL: &str = "select thing, at, -quantity from movement
            where at >= ?1 and origin is null and quantity < 0 and kind in ('used', 'made', 'delivered')
            union all select movement.thing, was.at, -movement.quantity from movement join movement was on was.id = movement.origin
            where movement.origin is not null and was.at >= ?1 and was.quantity < 0 and was.kind in ('used', 'made', 'delivered')";
        self.look("reading what was used", |at| {
            let (Some(first), spans) = (moments.first(), moments.len().saturating_sub(1)) else { return Ok(Vec::new()) };
            let mut all = at.prepare_cached(SQL)?;
            let mut rows = all.query([first])?;
            let mut used: BTreeMap<ThingId, Vec<i128>> = BTreeMap::new();
            while let Some(row) = rows.next()? {
                let (thing, when, quantity): (i64, i64, i64) = (row.get(0)?, row.get(1)?, row.get(2)?);
                let Some(span) = moments.partition_point(|moment| *moment <= when).checked_sub(1).filter(|span| *span < spans) else { continue };
                if let Some(sum) = used.entry(ThingId(thing)).or_insert_with(|| vec![0; spans]).get_mut(span) {
                    *sum += i128::from(quantity);
                }
            }
            // More than nine thousand million units a movement there are not, nor so many movements that this could not be told.
            let told = |sum: i128| Decimal::try_from_i128_with_scale(sum, 6).map_or(Decimal::MAX, |sum| sum.normalize());
            let used = used.into_iter().map(|(thing, sums)| (thing, sums.into_iter().map(told).collect())).collect();
            Ok(used)
        })
    }
}
