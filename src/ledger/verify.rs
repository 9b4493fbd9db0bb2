//! Looking whether a ledger is true: the database's own look, balances against movements, what points nowhere, and names
//! the files do not have.

use super::act::Fault;
use super::names::{self, Stranger};
use super::{Error, Ledger, RunId, run_stores};
use crate::measure::Words;
use crate::stores::quantity::of_millionths;
use crate::stores::{LotId, Named, ThingId};
use rusqlite::Connection;
use rust_decimal::Decimal;

/// A balance that is not the sum of its movements.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutOfStep {
    /// Of what.
    pub thing: ThingId,
    /// Of which lot; loose goods where `None`.
    pub lot: Option<LotId>,
    /// The balance as kept.
    pub kept: Decimal,
    /// The sum of the movements.
    pub summed: Decimal,
}

/// What was found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Verified {
    /// What the database itself finds wrong.
    pub integrity: Vec<Words>,
    /// Balances out of step with their movements.
    pub balances: Vec<OutOfStep>,
    /// Rows that point at what is not there.
    pub orphans: Vec<Words>,
    /// More set aside than there is; sums past what SQL adds up.
    pub amiss: Vec<Words>,
    /// Runs that cannot be read, each with why.
    pub runs: Vec<Words>,
    /// Runs that are booked and have no movements: they could not be turned into any when the stores began.
    pub unbooked: Vec<RunId>,
    /// Names the ledger knows and the files do not. This is no damage: the files moved on.
    pub strangers: Vec<Stranger>,
    /// How many movements were looked through.
    pub movements: u64,
}

impl Verified {
    /// Whether the ledger is true; strangers do not count against it.
    pub fn sound(&self) -> bool {
        self.integrity.is_empty() && self.balances.is_empty() && self.orphans.is_empty() && self.amiss.is_empty() && self.runs.is_empty()
    }
}

impl Ledger {
    /// Looks through the whole ledger. `names`: those the bench's files have. Changes nothing.
    ///
    /// # Errors
    /// The disk, or damage so deep that nothing more can be read.
    pub fn verify(&self, names: &[Named]) -> Result<Verified, Error> {
        let mut found = self.look("verifying it", |at| {
            // Of one moment, whatever another program writes meanwhile.
            at.execute_batch("savepoint verifying")?;
            let found = look_through(at, names);
            at.execute_batch("release verifying")?;
            found
        })?;
        for id in self.run_ids()? {
            match self.state(id) {
                Err(Error::Damaged { found: why, .. }) => found.runs.push(Words::new(&why)),
                Err(other) => return Err(other),
                Ok(run) if run_stores::is_booked(&run) && expects_movements(&run) => {
                    let moved = self.look("verifying it", |at| {
                        Ok(at.query_row("select exists (select 1 from movement where run = ?)", [id.0], |row| row.get::<_, bool>(0))?)
                    })?;
                    if !moved {
                        found.unbooked.push(id);
                    }
                }
                Ok(_) => {}
            }
        }
        Ok(found)
    }
}

fn expects_movements(run: &crate::vice::Run) -> bool {
    let counts = run.counts();
    counts.passed > 0 || counts.seconds > 0 || run.taken().iter().any(|taken| !taken.amount().is_zero())
}

fn look_through(at: &Connection, names: &[Named]) -> Result<Verified, Fault> {
    let mut found = Verified::default();
    let texts = |sql: &str| -> Result<Vec<Words>, Fault> {
        let mut all = at.prepare(sql)?;
        let rows = all.query_map([], |row| row.get::<_, String>(0).map(Words::from))?;
        Ok(rows.collect::<Result<_, _>>()?)
    };
    found.integrity = texts("pragma integrity_check(100)")?;
    found.integrity.retain(|text| text.as_str() != "ok");
    found.movements = at.query_row("select count(*) from movement", [], |row| row.get::<_, i64>(0))?.unsigned_abs();
    const SUMS: &str = "select thing, lot, sum(kept), sum(summed) from (
            select thing, lot, quantity as kept, 0 as summed from balance
            union all select thing, coalesce(lot, 0), 0, quantity from movement)
        group by thing, lot having sum(kept) <> sum(summed) order by thing, lot";
    const CAME_IN: &str = "select 'what came into lot ' || lot || ' of thing ' || thing || ' is not the sum of its movements' from (
            select thing, lot, came_in from balance
            union all select movement.thing, coalesce(movement.lot, 0), -movement.quantity from movement left join movement was on was.id = movement.origin
                where movement.kind in ('received', 'made') and coalesce(was.quantity, movement.quantity) > 0)
        group by thing, lot having sum(came_in) <> 0 order by thing, lot";
    let mut all = at.prepare(SUMS)?;
    let rows = all.query_map([], |row| {
        let lot = super::lots::in_lot(row.get(1)?);
        Ok(OutOfStep { thing: ThingId(row.get(0)?), lot, kept: of_millionths(row.get(2)?), summed: of_millionths(row.get(3)?) })
    })?;
    found.balances = rows.collect::<Result<_, _>>()?;
    let mut all = at.prepare("pragma foreign_key_check")?;
    let rows = all.query_map([], |row| {
        let (table, number, parent): (String, Option<i64>, String) = (row.get(0)?, row.get(1)?, row.get(2)?);
        Ok(Words::new(&format!("{table} {} points at a {parent} that is not there", number.map_or_else(|| "row".to_owned(), |number| number.to_string()))))
    })?;
    found.orphans = rows.collect::<Result<_, _>>()?;
    // What no foreign key can say: lot 0 stands for loose goods there.
    for (table, which) in [("balance", "lot <> 0"), ("set_aside", "lot <> 0"), ("count_line", "lot <> 0")] {
        let sql = format!(
            "select '{table} of thing ' || thing || ' points at lot ' || lot || ', which is not there or another thing''s' from {table}
            where {which} and not exists (select 1 from lot where lot.id = {table}.lot and lot.thing = {table}.thing)"
        );
        found.orphans.extend(texts(&sql)?);
    }
    found.orphans.extend(texts(
        "select 'what is named ' || id || ' has no name' from named where not exists (select 1 from known_as where named = named.id and until is null)",
    )?);
    found.amiss = texts(
        "select 'lot ' || lot || ' of thing ' || thing || ' has more set aside than it holds' from set_aside where lot <> 0 group by thing, lot
        having sum(quantity) > coalesce((select quantity from balance where balance.thing = set_aside.thing and balance.lot = set_aside.lot), 0)",
    )?;
    found.amiss.extend(texts(
        "select 'movement ' || id || ' takes back another one than it says' from movement where reverses is not null and not exists (
            select 1 from movement was where was.id = movement.reverses and was.thing = movement.thing and was.lot is movement.lot and was.quantity = -movement.quantity)",
    )?);
    found.amiss.extend(texts(
        "select 'movement ' || id || ' belongs to deed ' || deed || ', which another movement began' from movement
        where deed <> id and (select deed from movement first where first.id = movement.deed) is not deed",
    )?);
    found.amiss.extend(texts(CAME_IN)?);
    found.strangers = names::strangers(at, names)?;
    Ok(found)
}
