//! Counts: begun, entered line by line over as long as it takes, and booked all at once or dropped.
//!
//! A line keeps what the ledger thought when it was entered. The difference is booked, not the figure: what is used or comes in
//! between the entering and the booking stays right.

use super::act::Fault;
use super::deeds::{Booked, New, Writer};
use super::lots::{self, Aside};
use super::{Error, Ledger, eye, things};
use crate::measure::Words;
use crate::stores::balance;
use crate::stores::quantity::{millionths, of_millionths};
use crate::stores::{ByEye, InUse, Kind, LotId, MovementId, Refusal, ThingId};
use rusqlite::{Connection, OptionalExtension, Row, params};
use rust_decimal::Decimal;
use std::fmt;

/// The ledger's own number of a count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct CountId(pub i64);

impl fmt::Display for CountId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

/// A count.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Count {
    /// Its number.
    pub id: CountId,
    /// When it was begun, ms of UTC.
    pub begun_at: i64,
    /// When it was booked or dropped.
    pub ended_at: Option<i64>,
    /// The deed it was booked as; `None` where it was dropped, is still open, or found only goods kept by eye.
    pub booked: Option<MovementId>,
    /// A remark.
    pub note: Option<Words>,
    /// How many lines were entered.
    pub lines: u32,
}

/// What was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Found {
    /// So much of the whole thing, in all the bench's own lots and loose; customers' own goods are counted by their lots.
    Whole {
        /// What.
        thing: ThingId,
        /// How much, in its unit.
        quantity: Decimal,
    },
    /// So much of one lot.
    Lot {
        /// Which.
        lot: LotId,
        /// How much, in its thing's unit.
        quantity: Decimal,
    },
    /// Of goods kept by eye: full packs, and the one in use.
    ByEye {
        /// What.
        thing: ThingId,
        /// Packs not opened.
        full: u32,
        /// The one in use.
        in_use: Option<InUse>,
    },
}

/// A line of a count.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountLine {
    /// What was found.
    pub found: Found,
    /// Its thing.
    pub thing: ThingId,
    /// As it was typed.
    pub written: Words,
    /// What the ledger thought then; `None` for goods kept by eye.
    pub expected: Option<Decimal>,
    /// Over or short: found less expected.
    pub difference: Option<Decimal>,
    /// When, ms of UTC.
    pub at: i64,
    /// The reason given.
    pub reason: Option<Words>,
}

const COUNT: &str = "select id, begun_at, ended_at, booked, note, (select count(*) from count_line where counting = counting.id) from counting";

fn count_columns(row: &Row<'_>) -> rusqlite::Result<Count> {
    Ok(Count {
        id: CountId(row.get(0)?),
        begun_at: row.get(1)?,
        ended_at: row.get(2)?,
        booked: row.get::<_, Option<i64>>(3)?.map(MovementId),
        note: row.get::<_, Option<String>>(4)?.map(Words::from),
        lines: row.get(5)?,
    })
}

fn open(at: &Connection, id: CountId) -> Result<Count, Fault> {
    let count = count(at, id)?;
    if count.ended_at.is_some() { Err(Refusal::CountEnded { count: id.0 }.into()) } else { Ok(count) }
}

fn count(at: &Connection, id: CountId) -> Result<Count, Fault> {
    let count = at.query_row(&format!("{COUNT} where id = ?"), [id.0], count_columns).optional()?;
    count.ok_or_else(|| Refusal::Unknown { what: format!("count {id}") }.into())
}

fn lines(at: &Connection, id: CountId) -> Result<Vec<CountLine>, Fault> {
    const SQL: &str = "select thing, lot, at, written, found, expected, full, in_use, reason from count_line where counting = ? order by at, thing, lot";
    let mut all = at.prepare_cached(SQL)?;
    let rows = all.query_map([id.0], |row| {
        let (thing, lot) = (ThingId(row.get(0)?), lots::in_lot(row.get(1)?));
        let quantity = row.get::<_, Option<i64>>(4)?.map(of_millionths);
        let expected = row.get::<_, Option<i64>>(5)?.map(of_millionths);
        let in_use: Option<String> = row.get(7)?;
        let found = match (quantity, lot) {
            (Some(quantity), Some(lot)) => Found::Lot { lot, quantity },
            (Some(quantity), None) => Found::Whole { thing, quantity },
            (None, _) => Found::ByEye { thing, full: row.get(6)?, in_use: in_use.and_then(|text| InUse::read(&text)) },
        };
        Ok(CountLine {
            found,
            thing,
            written: Words::from(row.get::<_, String>(3)?),
            expected,
            difference: quantity.zip(expected).map(|(found, expected)| found - expected),
            at: row.get(2)?,
            reason: row.get::<_, Option<String>>(8)?.map(Words::from),
        })
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// What the bench's own lots of a thing hold, closed ones among them, the oldest first.
fn own_lots(at: &Connection, thing: ThingId) -> Result<Vec<(LotId, i64)>, Fault> {
    const SQL: &str = "select lot.id, coalesce((select quantity from balance where thing = lot.thing and balance.lot = lot.id), 0) from lot
        where lot.thing = ? and customer is null order by received is null, received, id";
    let mut all = at.prepare_cached(SQL)?;
    let rows = all.query_map([thing.0], |row| Ok((LotId(row.get(0)?), row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

impl Ledger {
    /// Begins a count.
    ///
    /// # Errors
    /// A ledger opened for reading; the disk.
    pub fn count_begin(&mut self, at: i64, note: Option<&Words>) -> Result<CountId, Error> {
        self.act("beginning a count", |deed| {
            deed.execute("insert into counting (begun_at, note) values (?, ?)", params![at, note.map(Words::as_str)])?;
            Ok(CountId(deed.last_insert_rowid()))
        })
    }

    /// The counts not booked and not dropped yet, the oldest first.
    ///
    /// # Errors
    /// The disk.
    pub fn open_counts(&self) -> Result<Vec<Count>, Error> {
        self.look("reading counts", |at| {
            let mut all = at.prepare(&format!("{COUNT} where ended_at is null order by id"))?;
            let rows = all.query_map([], count_columns)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// The lines of a count, in the order they were entered.
    ///
    /// # Errors
    /// No such count; the disk.
    pub fn count_lines(&self, id: CountId) -> Result<Vec<CountLine>, Error> {
        self.look("reading a count", |at| {
            count(at, id)?;
            lines(at, id)
        })
    }

    /// Enters a line, in place of one of the same thing or lot. `written`: as it was typed. Gives the line with what was
    /// expected, so that over or short can be shown.
    ///
    /// # Errors
    /// The count is over; a quantity below nought or too fine; a whole thing besides one of its lots; a ledger opened for
    /// reading; the disk.
    pub fn count_line(&mut self, at: i64, id: CountId, found: &Found, written: &Words, reason: Option<&Words>) -> Result<CountLine, Error> {
        self.act("entering a line of a count", |deed| {
            open(deed, id)?;
            let (thing, lot) = match found {
                Found::Whole { thing, .. } | Found::ByEye { thing, .. } => (things::thing(deed, *thing)?.id, None),
                Found::Lot { lot, .. } => (lots::lot(deed, *lot)?.thing, Some(*lot)),
            };
            let (quantity, by_eye) = match found {
                Found::Whole { quantity, .. } | Found::Lot { quantity, .. } => {
                    let all = millionths(*quantity)?;
                    if all < 0 {
                        return Err(Refusal::Senseless { what: format!("{quantity} is less than nothing"), right: "0 or more".to_owned() }.into());
                    }
                    (Some(all), None)
                }
                Found::ByEye { full, in_use, .. } => (None, Some((*full, *in_use))),
            };
            const OTHERS: &str = "select exists (select 1 from count_line where counting = ?1 and thing = ?2 and lot <> ?3 and (lot = 0 or ?3 = 0)
                and not exists (select 1 from lot where lot.id in (count_line.lot, ?3) and customer is not null))";
            let lot_column = lot.map_or(0, |lot| lot.0);
            if deed.query_row(OTHERS, [id.0, thing.0, lot_column], |row| row.get(0))? {
                let what = format!("{} counted as a whole and by one of its lots", things::thing(deed, thing)?);
                return Err(Refusal::Senseless { what, right: "one or the other".to_owned() }.into());
            }
            let expected = match (quantity, lot) {
                (None, _) => None,
                (Some(_), Some(lot)) => Some(lots::held(deed, thing, Some(lot))?.0),
                (Some(_), None) => {
                    let lots = own_lots(deed, thing)?;
                    Some(lots.iter().fold(lots::loose(deed, thing)?.0, |sum, (_, holds)| sum.saturating_add(*holds)))
                }
            };
            const SQL: &str = "insert into count_line (counting, thing, lot, at, written, found, expected, full, in_use, reason)
                values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) on conflict do update set at = excluded.at, written = excluded.written, found = excluded.found,
                expected = excluded.expected, full = excluded.full, in_use = excluded.in_use, reason = excluded.reason";
            let (full, in_use) = (by_eye.map(|(full, _)| full), by_eye.and_then(|(_, in_use)| in_use).map(InUse::name));
            let reason_text = reason.map(Words::as_str);
            deed.execute(SQL, params![id.0, thing.0, lot_column, at, written.as_str(), quantity, expected, full, in_use, reason_text])?;
            let expected = expected.map(of_millionths);
            let difference = quantity.map(of_millionths).zip(expected).map(|(found, expected)| found - expected);
            Ok(CountLine { found: found.clone(), thing, written: written.clone(), expected, difference, at, reason: reason.cloned() })
        })
    }

    /// Takes a line out of a count again: of a lot, or of the whole thing.
    ///
    /// # Errors
    /// The count is over; a ledger opened for reading; the disk.
    pub fn count_unline(&mut self, id: CountId, thing: ThingId, lot: Option<LotId>) -> Result<(), Error> {
        self.act("taking a line out of a count", |deed| {
            open(deed, id)?;
            let place = params![id.0, thing.0, lot.map_or(0, |lot| lot.0)];
            deed.execute("delete from count_line where counting = ? and thing = ? and lot = ?", place)?;
            Ok(())
        })
    }

    /// Books a count: all its lines at once. Where less is there than was set aside, the orders that asked last get less; gives
    /// what they lost. The deed is `None` where only goods kept by eye were looked at.
    ///
    /// # Errors
    /// Nothing is counted; the count is over; a ledger opened for reading; the disk. Nothing is booked then, and the
    /// lines stay as they were.
    pub fn count_book(&mut self, at: i64, id: CountId) -> Result<(Option<Booked>, Vec<Aside>), Error> {
        self.act("booking a count", |deed| {
            open(deed, id)?;
            let lines = lines(deed, id)?;
            if lines.is_empty() {
                return Err(Refusal::NothingCounted.into());
            }
            let mut writer = Writer::new(deed, at)?;
            let mut freed = Vec::new();
            for line in &lines {
                let thing = line.thing;
                let change = line.difference.unwrap_or_default();
                let changes = match &line.found {
                    Found::ByEye { full, in_use, .. } => {
                        eye::put(deed, ByEye { thing, full: *full, in_use: *in_use, at }, None)?;
                        continue;
                    }
                    Found::Lot { lot, .. } => {
                        let holds = lots::held(deed, thing, Some(*lot))?.0;
                        vec![(Some(*lot), millionths(change)?.max(-holds))]
                    }
                    Found::Whole { .. } => {
                        let lots = own_lots(deed, thing)?;
                        let loose = of_millionths(lots::loose(deed, thing)?.0);
                        let lots: Vec<(LotId, Decimal)> = lots.into_iter().map(|(lot, holds)| (lot, of_millionths(holds))).collect();
                        let held = lots.iter().fold(loose, |sum, (_, holds)| sum.saturating_add(*holds));
                        let found = held.saturating_add(change).max(Decimal::ZERO);
                        let changes = balance::spread(loose, &lots, found);
                        let mut changes = changes.into_iter().map(|one| Ok((one.lot, millionths(one.quantity)?))).collect::<Result<Vec<_>, Refusal>>()?;
                        if changes.is_empty() {
                            changes.push((None, 0));
                        }
                        changes
                    }
                };
                for (lot, quantity) in changes {
                    if quantity < 0 {
                        freed.extend(trim(deed, thing, lot, quantity)?);
                    }
                    let reason = line.reason.as_ref().map(Words::as_str);
                    writer.put(&New { thing, lot, quantity, kind: Kind::Counted, run: None, order: None, reverses: None, reason })?;
                }
            }
            let booked = writer.maybe_done();
            let number = booked.as_ref().map(|booked| booked.deed.0);
            deed.execute("update counting set ended_at = ?, booked = ? where id = ?", params![at, number, id.0])?;
            Ok((booked, freed))
        })
    }

    /// Drops a count: nothing of it is booked. Its lines stay readable.
    ///
    /// # Errors
    /// The count is over; a ledger opened for reading; the disk.
    pub fn count_drop(&mut self, at: i64, id: CountId) -> Result<(), Error> {
        self.act("dropping a count", |deed| {
            open(deed, id)?;
            deed.execute("update counting set ended_at = ? where id = ?", params![at, id.0])?;
            Ok(())
        })
    }
}

/// Makes room for a lot to hold less: what is set aside beyond it is freed, of the order that asked last first.
fn trim(at: &Connection, thing: ThingId, lot: Option<LotId>, change: i64) -> Result<Vec<Aside>, Fault> {
    let (holds, aside) = lots::held(at, thing, lot)?;
    let mut beyond = aside.saturating_sub(holds.saturating_add(change).max(0));
    let mut freed = Vec::new();
    if beyond <= 0 {
        return Ok(freed);
    }
    let mut all = at.prepare_cached("select order_name, quantity, at from set_aside where thing = ? and lot = ? order by at desc, order_key desc")?;
    let place = [thing.0, lot.map_or(0, |lot| lot.0)];
    let rows: Vec<(String, i64, i64)> = all.query_map(place, |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?.collect::<Result<_, _>>()?;
    for (order, quantity, when) in rows {
        let less = quantity.min(beyond);
        if less <= 0 {
            break;
        }
        let order = Words::from(order);
        lots::less_aside(at, &order, thing, lot, less)?;
        freed.push(Aside { order, thing, lot, quantity: of_millionths(less), at: when });
        beyond -= less;
    }
    Ok(freed)
}
