//! A booked run is movements: what it took goes out, the flies it made come in, with the event that books it or not at all.
//!
//! Materials go out as told, else as reckoned by the card, to the millionth; of the order the run is for, what that has set
//! aside goes first. What the shelf does not have goes out of the loose goods, below nought: the run did use it, and
//! the next count sets it right.

use super::act::Fault;
use super::deeds::{self, New, Out, Writer};
use super::{Error, Ledger, NewRun, RunId, encode, lots, things};
use crate::measure::{Unit, Words};
use crate::stores::quantity::{of_millionths, reckoned};
use crate::stores::{Goods, Kind, LotId, LotSays, MovementId, Quality, Refusal, ThingId};
use crate::vice::{How, Kind as For, Run, Taken};
use rusqlite::{Connection, OptionalExtension, Transaction, params};
use rust_decimal::Decimal;

/// What a run was reckoned to take of a thing, and what it took.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// Of what.
    pub thing: ThingId,
    /// The run.
    pub run: RunId,
    /// By the card, in the thing's unit.
    pub reckoned: Decimal,
    /// Really, in the thing's unit; as reckoned where nobody said.
    pub used: Decimal,
    /// Whether somebody counted or weighed it: only then is there something to learn.
    pub told: bool,
}

/// Whether a run's materials and flies are booked: it is done, and was one that is booked at its end.
pub(super) fn is_booked(run: &Run) -> bool {
    run.run_done() && run.begun().whole
}

/// The goods a run calls by this name.
fn goods(at: &Connection, taken: &Taken<'_>, size: &Words) -> Result<Goods, Fault> {
    let name = taken.material.name.as_str();
    if taken.material.hook {
        // The chart's name and the size, one space between; sizes may have spaces themselves.
        let of_size = name.strip_suffix(size.as_str()).map(str::trim_end).filter(|chart| !chart.is_empty());
        return Ok(match of_size.map(|chart| (chart, size.as_str())).or_else(|| name.rsplit_once(' ')) {
            Some((chart, size)) => Goods::hook(chart, size),
            None => Goods::hook(name, size.as_str()),
        });
    }
    let whole = super::names::number(at, crate::stores::Sort::Material, None, name)?.is_some();
    Ok(match name.rsplit_once(", size ") {
        Some((name, size)) if !whole && !name.is_empty() && !size.is_empty() => Goods::sized(name, size),
        _ => Goods::material(name),
    })
}

/// Books a run that is done. `missing`: what cannot be booked at all is left out, for a run of long ago.
pub(super) fn book(at: &Connection, now: i64, id: RunId, begun: &NewRun, run: &Run, missing: bool) -> Result<(), Fault> {
    let mut writer = Writer::new(at, now)?;
    let order: Option<String> = at.query_row("select order_name from run_for where run = ?", [id.0], |row| row.get(0)).optional()?;
    let order = order.map(Words::from);
    let mut seen = Vec::new();
    for taken in run.taken() {
        let amounts = reckoned(taken.amount()).and_then(|used| Ok((used, reckoned(taken.reckoned.amount)?)));
        let (used, by_card) = match amounts {
            Err(_) if missing => continue,
            amounts => amounts?,
        };
        let goods = goods(at, &taken, &begun.size)?;
        let told = things::read_unit(taken.material.unit.as_str()).unwrap_or(Unit::One);
        let (thing, kept) = things::thing_or_new(at, now, &goods, told)?;
        let kept_in = |all: i64| -> Result<i64, Refusal> { reckoned(things::in_unit(of_millionths(all), told, kept, &goods)?) };
        let (used, by_card) = (kept_in(used)?, kept_in(by_card)?);
        if used > 0 {
            let out = Out { order: order.clone(), ..Out::of(thing, of_millionths(used)) };
            deeds::take_out(&mut writer, &out, Kind::Used, Some(id.0), true)?;
        }
        let how = match taken.told {
            None => "reckoned",
            Some((_, How::Counted)) => "counted",
            Some((_, How::Weighed { .. })) => "weighed",
        };
        seen.push((thing, by_card.max(0), used.max(0), how));
    }
    let counts = run.counts();
    let flies = match run.begun().kind {
        For::Sample => vec![(Quality::Sample, counts.tied)],
        For::Counted => vec![(Quality::Good, counts.passed), (Quality::Second, counts.seconds)],
    };
    for (quality, flies) in flies.into_iter().filter(|(_, flies)| *flies > 0) {
        let NewRun { dressing, revision, size, variant, .. } = begun;
        let goods = Goods::Fly { dressing: dressing.clone(), revision: *revision, size: size.clone(), variant: variant.clone(), quality };
        let (thing, _) = things::thing_or_new(at, now, &goods, Unit::One)?;
        let there: Option<i64> = at.query_row("select id from lot where run = ? and thing = ?", [id.0, thing.0], |row| row.get(0)).optional()?;
        let lot = match there {
            Some(lot) => LotId(lot),
            None => {
                let says = LotSays { received: Some(deeds::day(now)), ..LotSays::default() };
                lots::new_lot(at, now, thing, None, Some(id.0), &says)?
            }
        };
        let quantity = i64::from(flies) * 1_000_000;
        let order = order.as_ref();
        writer.put(&New { thing, lot: Some(lot), quantity, kind: Kind::Made, run: Some(id.0), order, reverses: None, reason: None })?;
    }
    let Some(deed) = writer.deed() else { return Ok(()) };
    const SQL: &str = "insert into use_seen (deed, run, thing, reckoned, used, how) values (?, ?, ?, ?, ?, ?)
        on conflict do update set reckoned = reckoned + excluded.reckoned, used = used + excluded.used";
    for (thing, by_card, used, how) in seen {
        at.prepare_cached(SQL)?.execute(params![deed.0, id.0, thing.0, by_card, used, how])?;
    }
    Ok(())
}

/// Takes back what a run booked.
pub(super) fn unbook(at: &Connection, now: i64, id: RunId) -> Result<(), Fault> {
    const STANDING: &str = "select distinct deed from movement where run = ? and reverses is null
        and not exists (select 1 from movement back where back.reverses = movement.id)";
    let deeds: Vec<i64> = at.prepare(STANDING)?.query_map([id.0], |row| row.get(0))?.collect::<Result<_, _>>()?;
    for deed in deeds {
        deeds::reverse(&mut Writer::new(at, now)?, MovementId(deed), Some("the booking of the run was taken back"))?;
    }
    Ok(())
}

/// Turns the runs booked before there were stores into movements. A run that cannot be read is left out: it is told where
/// it is read, and must not keep the ledger from opening.
pub(super) fn book_all(at: &Transaction<'_>) -> rusqlite::Result<()> {
    let mut all =
        at.prepare("select id, dressing, revision, size, variant, flies, begun_at, frozen, done_at from run where done_at is not null order by done_at, id")?;
    let rows: Vec<(NewRun, RunId, i64)> = all
        .query_map([], |row| {
            let (flies, frozen): (u32, String) = (row.get(5)?, row.get(7)?);
            let Ok(begun) = encode::read_frozen(&frozen, flies) else { return Ok(None) };
            let new = NewRun {
                dressing: Words::from(row.get::<_, String>(1)?),
                revision: row.get(2)?,
                size: Words::from(row.get::<_, String>(3)?),
                variant: row.get::<_, Option<String>>(4)?.map(Words::from),
                begun_at: row.get(6)?,
                begun,
                card: None,
                sample: None,
            };
            Ok(Some((new, RunId(row.get(0)?), row.get(8)?)))
        })?
        .filter_map(Result::transpose)
        .collect::<Result<_, _>>()?;
    for (new, id, done_at) in rows {
        let Some(run) = state(at, &new, id)? else { continue };
        if is_booked(&run) {
            let save = "savepoint before_run";
            at.execute_batch(save)?;
            match book(at, done_at, id, &new, &run, true) {
                Ok(()) => {}
                Err(Fault::Database(fault)) if fault.sqlite_error_code() != Some(rusqlite::ErrorCode::ConstraintViolation) => return Err(fault),
                Err(_) => at.execute_batch("rollback to before_run")?,
            }
            at.execute_batch("release before_run")?;
        }
    }
    Ok(())
}

fn state(at: &Connection, begun: &NewRun, id: RunId) -> rusqlite::Result<Option<Run>> {
    let mut all = at.prepare_cached("select number, at, ran_ms, did from event where run = ? order by number")?;
    let rows: Vec<(u32, i64, i64, String)> =
        all.query_map([id.0], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?)))?.collect::<Result<_, _>>()?;
    let event = |(number, at, ran_ms, did): (u32, i64, i64, String)| {
        Some(crate::vice::Event { number, at, ran_ms: ran_ms.unsigned_abs(), did: encode::read_did(&did).ok()? })
    };
    let events: Option<Vec<_>> = rows.into_iter().map(event).collect();
    Ok(events.and_then(|events| Run::replay(begun.begun.clone(), events).ok()))
}

impl Ledger {
    /// Says which order a run is for, so that its booking takes what that has set aside; `None` is no order.
    ///
    /// # Errors
    /// No such run; a ledger opened for reading; the disk.
    pub fn run_is_for(&mut self, run: RunId, order: Option<&Words>) -> Result<(), Error> {
        self.run(run)?;
        self.act("saying what a run is for", |deed| {
            deed.execute("delete from run_for where run = ?", [run.0])?;
            if let Some(order) = order.filter(|order| !order.folded().is_empty()) {
                deed.execute("insert into run_for (run, order_name) values (?, ?)", params![run.0, order.as_str()])?;
            }
            Ok(())
        })
    }

    /// What runs were reckoned to take and took, since the learning was last forgotten, in the order they were booked: of
    /// one thing, or of all.
    ///
    /// # Errors
    /// The disk.
    pub fn seen(&self, thing: Option<ThingId>) -> Result<Vec<Seen>, Error> {
        const SQL: &str = "select thing, run, reckoned, used, how from use_seen
            where (?1 is null or thing = ?1) and not exists (select 1 from movement where reverses = use_seen.deed)
            and deed > coalesce((select max(after) from factor_reset where factor_reset.thing = use_seen.thing), -1)
            order by thing, deed";
        self.look("reading what was used", |at| {
            let mut all = at.prepare_cached(SQL)?;
            let rows = all.query_map([thing.map(|thing| thing.0)], |row| {
                Ok(Seen {
                    thing: ThingId(row.get(0)?),
                    run: RunId(row.get(1)?),
                    reckoned: of_millionths(row.get(2)?),
                    used: of_millionths(row.get(3)?),
                    told: row.get::<_, String>(4)? != "reckoned",
                })
            })?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// Forgets what runs taught about the use of a thing: learning begins anew with the next run.
    ///
    /// # Errors
    /// No such thing; a ledger opened for reading; the disk.
    pub fn forget_use(&mut self, at: i64, thing: ThingId) -> Result<(), Error> {
        self.act("forgetting what was learnt", |deed| {
            things::thing(deed, thing)?;
            deed.execute("insert into factor_reset (thing, at, after) values (?, ?, (select coalesce(max(id), 0) from movement))", [thing.0, at])?;
            Ok(())
        })
    }
}
