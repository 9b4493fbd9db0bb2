//! What a screen of the stores asks first: short, and quick whatever has moved.

use super::act::Fault;
use super::lots::in_lot;
use super::{Error, Ledger, things};
use crate::measure::{Unit, Words};
use crate::stores::quantity::of_millionths;
use crate::stores::{Goods, LotId, ThingId};
use jiff::civil::Date;
use rust_decimal::Decimal;

/// A lot in short: what the marks of a list are read off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Brief {
    /// Its number.
    pub lot: LotId,
    /// What it is a lot of.
    pub thing: ThingId,
    /// The customer whose own goods these are.
    pub customer: Option<Words>,
    /// Kept apart from the others until then.
    pub apart_until: Option<Date>,
    /// A proof of origin is noted.
    pub proved: bool,
    /// What it holds now.
    pub holds: Decimal,
}

impl Ledger {
    /// The lots that hold something, in short: no movement is read for it.
    ///
    /// # Errors
    /// The disk.
    pub fn lots_in_short(&self) -> Result<Vec<Brief>, Error> {
        const SQL: &str = "select lot.id, lot.thing, customer.name, lot.apart_until, lot.proof is not null, balance.quantity from lot
            join balance on balance.thing = lot.thing and balance.lot = lot.id and balance.quantity <> 0
            left join known_as customer on customer.named = lot.customer and customer.until is null order by lot.thing, lot.id";
        self.look("reading lots", |at| {
            let mut all = at.prepare_cached(SQL)?;
            let rows = all.query_map([], |row| {
                let day: Option<String> = row.get(3)?;
                Ok(Brief {
                    lot: in_lot(row.get(0)?).unwrap_or(LotId(0)),
                    thing: ThingId(row.get(1)?),
                    customer: row.get::<_, Option<String>>(2)?.map(Words::from),
                    apart_until: day.and_then(|day| day.parse().ok()),
                    proved: row.get(4)?,
                    holds: of_millionths(row.get(5)?),
                })
            })?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// The thing these goods are in a unit like this one; made where there is none, so that it can be counted before
    /// anything of it was ever booked in.
    ///
    /// # Errors
    /// Goods without a name; a ledger opened for reading; the disk.
    pub fn thing_for(&mut self, at: i64, goods: &Goods, unit: Unit) -> Result<ThingId, Error> {
        self.act("naming what stands on the shelf", |deed| Ok::<_, Fault>(things::thing_or_new(deed, at, goods, unit)?.0))
    }
}
