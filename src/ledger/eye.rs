//! Goods kept by eye: each look, each pack opened, each pack that came, one after the other; the last one holds.

use super::act::Fault;
use super::{Error, Ledger, things};
use crate::stores::{ByEye, InUse, Movement, MovementId, Refusal, ThingId};
use rusqlite::{Connection, OptionalExtension, Row, params};

const LOOK: &str = "select thing, full, in_use, at from eye_look";

fn columns(row: &Row<'_>) -> rusqlite::Result<ByEye> {
    let in_use: Option<String> = row.get(2)?;
    Ok(ByEye { thing: ThingId(row.get(0)?), full: row.get(1)?, in_use: in_use.and_then(|text| InUse::read(&text)), at: row.get(3)? })
}

fn last(at: &Connection, thing: ThingId) -> Result<Option<ByEye>, Fault> {
    Ok(at.prepare_cached(&format!("{LOOK} where thing = ? order by id desc limit 1"))?.query_row([thing.0], columns).optional()?)
}

pub(super) fn put(at: &Connection, look: ByEye, movement: Option<MovementId>) -> Result<(), Fault> {
    const SQL: &str = "insert into eye_look (at, thing, full, in_use, movement) values (?, ?, ?, ?, ?)";
    if look.full > 1_000_000 {
        return Err(Refusal::TooLarge.into());
    }
    at.prepare_cached(SQL)?.execute(params![look.at, look.thing.0, look.full, look.in_use.map(InUse::name), movement.map(|id| id.0)])?;
    Ok(())
}

fn none(thing: ThingId) -> ByEye {
    ByEye { thing, full: 0, in_use: None, at: 0 }
}

/// Full packs came.
pub(super) fn come(at: &Connection, now: i64, thing: ThingId, packs: u32, by: MovementId) -> Result<(), Fault> {
    let had = last(at, thing)?.unwrap_or(none(thing));
    put(at, ByEye { full: had.full.saturating_add(packs), at: now, ..had }, Some(by))
}

/// The packs that came by a movement that is taken back are gone again (or are there again).
pub(super) fn go(at: &Connection, now: i64, was: &Movement, by: MovementId) -> Result<(), Fault> {
    const SQL: &str =
        "select full, coalesce((select full from eye_look before where before.thing = look.thing and before.id < look.id order by id desc limit 1), 0)
        from eye_look look where movement = ?1";
    let change: Option<(u32, u32)> = at.prepare_cached(SQL)?.query_row([was.id.0], |row| Ok((row.get(0)?, row.get(1)?))).optional()?;
    let Some((after, before)) = change else { return Ok(()) };
    let had = last(at, was.thing)?.unwrap_or(none(was.thing));
    let full = had.full.saturating_add(before).saturating_sub(after);
    put(at, ByEye { full, at: now, ..had }, Some(by))
}

impl Ledger {
    /// What there is of all goods kept by eye.
    ///
    /// # Errors
    /// The disk.
    pub fn by_eye(&self) -> Result<Vec<ByEye>, Error> {
        self.look("reading the stores", |at| {
            let mut all = at.prepare_cached(&format!("{LOOK} where id in (select max(id) from eye_look group by thing) order by thing"))?;
            let rows = all.query_map([], columns)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// Tells what there is of a thing kept by eye.
    ///
    /// # Errors
    /// No such thing; a ledger opened for reading; the disk.
    pub fn looked(&mut self, at: i64, thing: ThingId, full: u32, in_use: Option<InUse>) -> Result<ByEye, Error> {
        self.act("looking at the shelf", |deed| {
            things::thing(deed, thing)?;
            let look = ByEye { thing, full, in_use, at };
            put(deed, look, None)?;
            Ok(look)
        })
    }

    /// Opens the next full pack.
    ///
    /// # Errors
    /// There is no full one; a ledger opened for reading; the disk.
    pub fn open_pack(&mut self, at: i64, thing: ThingId) -> Result<ByEye, Error> {
        self.act("opening a pack", |deed| {
            let whole = things::thing(deed, thing)?;
            let had = last(deed, thing)?.unwrap_or(none(thing));
            let none_full = || Refusal::Senseless { what: format!("{whole}: no full pack is there to open"), right: "a look at the shelf".to_owned() };
            let look = ByEye { at, ..had.opened().ok_or_else(none_full)? };
            put(deed, look, None)?;
            Ok(look)
        })
    }
}
