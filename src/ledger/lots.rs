//! Lots, what they hold, and what of it is set aside for orders.

use super::act::Fault;
use super::{Error, Ledger, names, things};
use crate::measure::Words;
use crate::measure::money::Currency;
use crate::stores::balance::{self, Balance, Source};
use crate::stores::quantity::{millionths, of_millionths};
use crate::stores::{Lot, LotId, LotSays, Price, Refusal, Sort, ThingId};
use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, Row, params};
use rust_decimal::Decimal;

/// What is set aside for an order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Aside {
    /// The order's name.
    pub order: Words,
    /// What.
    pub thing: ThingId,
    /// Of which lot; loose goods where `None`.
    pub lot: Option<LotId>,
    /// How much.
    pub quantity: Decimal,
    /// Since when, ms of UTC.
    pub at: i64,
}

const LOT: &str = "select lot.id, lot.thing, customer.name, lot.run, supplier.name, lot.received, lot.price, lot.currency, lot.dye_lot, lot.swatch, lot.proof,
    lot.apart_until, lot.note, lot.closed, coalesce((select quantity from balance where balance.thing = lot.thing and balance.lot = lot.id), 0),
    coalesce((select sum(quantity) from set_aside where set_aside.thing = lot.thing and set_aside.lot = lot.id), 0),
    coalesce((select came_in from balance where balance.thing = lot.thing and balance.lot = lot.id), 0)
    from lot
    left join known_as customer on customer.named = lot.customer and customer.until is null
    left join known_as supplier on supplier.named = lot.supplier and supplier.until is null";

type Columns = (LotIds, Says, [i64; 3]);
type LotIds = (i64, i64, Option<String>, Option<i64>, bool);
type Says = (Option<String>, Option<String>, Option<i64>, Option<String>, Option<String>, bool, Option<String>, Option<String>, Option<String>);

fn columns(row: &Row<'_>) -> rusqlite::Result<Columns> {
    let ids = (row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?, row.get(13)?);
    let says = (row.get(4)?, row.get(5)?, row.get(6)?, row.get(7)?, row.get(8)?, row.get(9)?, row.get(10)?, row.get(11)?, row.get(12)?);
    Ok((ids, says, [row.get(14)?, row.get(15)?, row.get(16)?]))
}

fn meant((ids, says, [holds, aside, came_in]): Columns) -> Result<Lot, Fault> {
    let (id, thing, customer, run, closed) = ids;
    let (supplier, received, price, currency, dye_lot, swatch, proof, apart_until, note) = says;
    let amiss = |what: &str| Fault::Damaged(format!("lot {id}: {what}"));
    let date = |text: Option<String>| text.map(|text| text.parse::<Date>().map_err(|_| amiss("one of its days is none"))).transpose();
    let price = match (price, currency) {
        (Some(minor), Some(code)) => Some(Price { minor, currency: Currency::new(&code).ok_or_else(|| amiss("its currency is none"))? }),
        _ => None,
    };
    let words = |text: Option<String>| text.map(Words::from);
    Ok(Lot {
        id: LotId(id),
        thing: ThingId(thing),
        customer: words(customer),
        run,
        closed,
        holds: of_millionths(holds),
        set_aside: of_millionths(aside),
        came_in: of_millionths(came_in),
        says: LotSays {
            supplier: words(supplier),
            received: date(received)?,
            price,
            dye_lot: words(dye_lot),
            swatch,
            proof: words(proof),
            apart_until: date(apart_until)?,
            note: words(note),
        },
    })
}

pub(super) fn lot(at: &Connection, id: LotId) -> Result<Lot, Fault> {
    let row = at.prepare_cached(&format!("{LOT} where lot.id = ?"))?.query_row([id.0], columns).optional()?;
    meant(row.ok_or_else(|| Refusal::Unknown { what: format!("lot {id}") })?)
}

/// The lots of a thing that are not closed, the oldest first: by the day they came, then by number.
pub(super) fn open_lots(at: &Connection, thing: ThingId) -> Result<Vec<Lot>, Fault> {
    lots(at, "where lot.thing = ? and lot.closed = 0 order by lot.received is null, lot.received, lot.id", thing)
}

fn lots(at: &Connection, which: &str, thing: ThingId) -> Result<Vec<Lot>, Fault> {
    let mut all = at.prepare_cached(&format!("{LOT} {which}"))?;
    let rows: Vec<Columns> = all.query_map([thing.0], columns)?.collect::<Result<_, _>>()?;
    rows.into_iter().map(meant).collect()
}

/// Every lot there is.
pub(super) fn every_lot(at: &Connection) -> Result<Vec<Lot>, Fault> {
    let mut all = at.prepare_cached(&format!("{LOT} order by lot.id"))?;
    let rows: Vec<Columns> = all.query_map([], columns)?.collect::<Result<_, _>>()?;
    rows.into_iter().map(meant).collect()
}

/// Makes a lot.
pub(super) fn new_lot(at: &Connection, now: i64, thing: ThingId, customer: Option<&Words>, run: Option<i64>, says: &LotSays) -> Result<LotId, Fault> {
    let customer = customer.map(|name| names::number_or_new(at, now, Sort::Customer, None, name)).transpose()?;
    const SQL: &str = "insert into lot (thing, customer, run) values (?, ?, ?)";
    at.prepare_cached(SQL)?.execute(params![thing.0, customer, run])?;
    let id = LotId(at.last_insert_rowid());
    say(at, now, id, customer.is_some(), says)?;
    Ok(id)
}

fn say(at: &Connection, now: i64, id: LotId, owned: bool, says: &LotSays) -> Result<(), Fault> {
    if owned && says.price.is_some() {
        return Err(Refusal::Senseless { what: "a customer's own goods with a price".to_owned(), right: "no price: they cost nothing here".to_owned() }.into());
    }
    if says.price.as_ref().is_some_and(|price| price.minor < 0) {
        return Err(Refusal::Senseless { what: "a price below nought".to_owned(), right: "what was paid, or no price".to_owned() }.into());
    }
    let supplier = says.supplier.as_ref().map(|name| names::number_or_new(at, now, Sort::Supplier, None, name)).transpose()?;
    const SQL: &str =
        "update lot set supplier = ?, received = ?, price = ?, currency = ?, dye_lot = ?, swatch = ?, proof = ?, apart_until = ?, note = ? where id = ?";
    let text = |words: &Option<Words>| words.as_ref().map(|words| words.as_str().to_owned());
    at.prepare_cached(SQL)?.execute(params![
        supplier,
        says.received.map(|day| day.to_string()),
        says.price.as_ref().map(|price| price.minor),
        says.price.as_ref().map(|price| price.currency.code()),
        text(&says.dye_lot),
        says.swatch,
        text(&says.proof),
        says.apart_until.map(|day| day.to_string()),
        text(&says.note),
        id.0
    ])?;
    Ok(())
}

/// Loose goods: what there is and what of it is set aside, in millionths.
pub(super) fn loose(at: &Connection, thing: ThingId) -> Result<(i64, i64), Fault> {
    held(at, thing, None)
}

/// What a lot (or the loose goods) holds and what of it is set aside, in millionths.
pub(super) fn held(at: &Connection, thing: ThingId, lot: Option<LotId>) -> Result<(i64, i64), Fault> {
    const SQL: &str = "select coalesce((select quantity from balance where thing = ?1 and lot = ?2), 0),
        coalesce((select sum(quantity) from set_aside where thing = ?1 and lot = ?2), 0)";
    Ok(at.prepare_cached(SQL)?.query_row([thing.0, lot.map_or(0, |lot| lot.0)], |row| Ok((row.get(0)?, row.get(1)?)))?)
}

/// What an order has set aside of a thing, in millionths, by lot.
pub(super) fn aside_for(at: &Connection, order: &Words, thing: ThingId) -> Result<Vec<(Option<LotId>, i64)>, Fault> {
    let mut all = at.prepare_cached("select lot, quantity from set_aside where thing = ? and order_key = ? order by lot")?;
    let rows = all.query_map(params![thing.0, order.folded()], |row| Ok((in_lot(row.get(0)?), row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// A lot's column: loose goods are 0 there.
pub(super) fn in_lot(column: i64) -> Option<LotId> {
    (column != 0).then_some(LotId(column))
}

/// Takes so much (in millionths) off what an order has set aside of a lot; what it has less stays nothing.
pub(super) fn less_aside(at: &Connection, order: &Words, thing: ThingId, lot: Option<LotId>, quantity: i64) -> Result<(), Fault> {
    let key = order.folded();
    let place = params![thing.0, lot.map_or(0, |lot| lot.0), key, quantity];
    at.prepare_cached("delete from set_aside where thing = ?1 and lot = ?2 and order_key = ?3 and quantity <= ?4")?.execute(place)?;
    at.prepare_cached("update set_aside set quantity = quantity - ?4 where thing = ?1 and lot = ?2 and order_key = ?3 and quantity > ?4")?.execute(place)?;
    Ok(())
}

impl Ledger {
    /// What there is of everything, in order of the things' numbers.
    ///
    /// # Errors
    /// The disk.
    pub fn balances(&self) -> Result<Vec<Balance>, Error> {
        const SQL: &str = "select thing.id,
            coalesce(sum(balance.quantity) filter (where lot.customer is null), 0),
            coalesce(sum(balance.quantity) filter (where balance.lot = 0), 0),
            coalesce(sum(balance.quantity) filter (where lot.customer is not null), 0),
            coalesce((select sum(quantity) from set_aside where set_aside.thing = thing.id
                and not exists (select 1 from lot owned where owned.id = set_aside.lot and owned.customer is not null)), 0),
            (select at from movement where movement.thing = thing.id order by id desc limit 1)
            from thing left join balance on balance.thing = thing.id left join lot on lot.id = balance.lot
            group by thing.id order by thing.id";
        self.look("reading the stores", |at| {
            let mut all = at.prepare_cached(SQL)?;
            let rows = all.query_map([], |row| {
                Ok(Balance {
                    thing: ThingId(row.get(0)?),
                    on_hand: of_millionths(row.get(1)?),
                    loose: of_millionths(row.get(2)?),
                    customers: of_millionths(row.get(3)?),
                    set_aside: of_millionths(row.get(4)?),
                    last_at: row.get(5)?,
                })
            })?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// The lots of a thing, closed ones last, the oldest first.
    ///
    /// # Errors
    /// The disk.
    pub fn lots(&self, thing: ThingId) -> Result<Vec<Lot>, Error> {
        self.look("reading lots", |at| lots(at, "where lot.thing = ? order by lot.closed, lot.received is null, lot.received, lot.id", thing))
    }

    /// A lot.
    ///
    /// # Errors
    /// No such lot; the disk.
    pub fn lot(&self, id: LotId) -> Result<Lot, Error> {
        self.look("reading lots", |at| lot(at, id))
    }

    /// Lots of customers' own goods that hold something: what is to be listed for return.
    ///
    /// # Errors
    /// The disk.
    pub fn lots_of_customers(&self) -> Result<Vec<Lot>, Error> {
        self.look("reading lots", |at| {
            let mut all = at.prepare_cached(&format!("{LOT} where lot.customer is not null order by customer.folded, lot.id"))?;
            let rows: Vec<Columns> = all.query_map([], columns)?.collect::<Result<_, _>>()?;
            let lots: Vec<Lot> = rows.into_iter().map(meant).collect::<Result<_, _>>()?;
            Ok(lots.into_iter().filter(|lot| !lot.holds.is_zero()).collect())
        })
    }

    /// Puts right what is known of a lot.
    ///
    /// # Errors
    /// No such lot; a price for a customer's own goods; a ledger opened for reading; the disk.
    pub fn lot_says(&mut self, at: i64, id: LotId, says: &LotSays) -> Result<(), Error> {
        self.act("writing about a lot", |deed| {
            let owned = lot(deed, id)?.customer.is_some();
            say(deed, at, id, owned, says)
        })
    }

    /// Closes a lot, so that nothing more is drawn from it, or opens it again.
    ///
    /// # Errors
    /// No such lot; a ledger opened for reading; the disk.
    pub fn close_lot(&mut self, id: LotId, closed: bool) -> Result<(), Error> {
        self.act("closing a lot", |deed| {
            let changed = deed.execute("update lot set closed = ? where id = ?", params![closed, id.0])?;
            if changed == 0 { Err(Refusal::Unknown { what: format!("lot {id}") }.into()) } else { Ok(()) }
        })
    }

    /// Sets aside so much of a thing for an order, over what the order has already. Without a lot the bench's own are taken:
    /// one that is enough by itself where there is one, else the largest first, loose goods last; gives what was set aside,
    /// so that more than one lot can be told.
    ///
    /// # Errors
    /// Less is free than is asked for (nothing is set aside then); a customer's own lot (`customer` has to be theirs); a
    /// ledger opened for reading; the disk.
    pub fn set_aside(
        &mut self,
        at: i64,
        order: &Words,
        thing: ThingId,
        lot_id: Option<LotId>,
        quantity: Decimal,
        customer: Option<&Words>,
    ) -> Result<Vec<Aside>, Error> {
        self.act("setting aside", |deed| {
            if order.folded().is_empty() {
                return Err(Refusal::Senseless { what: "an order without a name".to_owned(), right: "its name or number".to_owned() }.into());
            }
            let wanted = millionths(quantity)?;
            if wanted <= 0 {
                return Err(Refusal::NotMore { quantity }.into());
            }
            let whole = things::thing(deed, thing)?;
            let sources = match lot_id {
                Some(id) => {
                    let lot = usable(deed, id, thing, customer)?;
                    vec![Source::of(&lot)]
                }
                None => {
                    let own = open_lots(deed, thing)?.into_iter().filter(|lot| lot.customer.is_none());
                    let (mut sources, enough) = balance::one_lot_first(own.map(|lot| Source::of(&lot)).collect(), quantity);
                    let (holds, aside) = loose(deed, thing)?;
                    let loose = Source { lot: None, free: of_millionths(holds.saturating_sub(aside)) };
                    sources.insert(if enough { 1 } else { sources.len() }, loose);
                    sources
                }
            };
            let (drawn, lacking) = balance::draw(&sources, quantity);
            if !lacking.is_zero() {
                let aside: i64 = deed.query_row("select coalesce(sum(quantity), 0) from set_aside where thing = ?", [thing.0], |row| row.get(0))?;
                let free = quantity - lacking;
                let of = Words::new(&whole.to_string());
                return Err(Refusal::NotSoMuch { of, free, wanted: quantity, unit: whole.unit, set_aside: of_millionths(aside) }.into());
            }
            const SQL: &str = "insert into set_aside (order_name, order_key, thing, lot, quantity, at) values (?, ?, ?, ?, ?, ?)
                on conflict do update set quantity = quantity + excluded.quantity, at = excluded.at";
            let mut all = Vec::new();
            for one in drawn {
                let values = params![order.as_str(), order.folded(), thing.0, one.lot.map_or(0, |lot| lot.0), millionths(one.quantity)?, at];
                deed.prepare_cached(SQL)?.execute(values)?;
                all.push(Aside { order: order.clone(), thing, lot: one.lot, quantity: one.quantity, at });
            }
            Ok(all)
        })
    }

    /// Frees what is set aside for an order: of one thing, or of all. Gives what was freed.
    ///
    /// # Errors
    /// A ledger opened for reading; the disk.
    pub fn free(&mut self, order: &Words, thing: Option<ThingId>) -> Result<Vec<Aside>, Error> {
        self.act("freeing what was set aside", |deed| {
            let mut freed = aside(deed, Some(order))?;
            freed.retain(|aside| thing.is_none_or(|thing| aside.thing == thing));
            for one in &freed {
                let place = params![order.folded(), one.thing.0, one.lot.map_or(0, |lot| lot.0)];
                deed.prepare_cached("delete from set_aside where order_key = ? and thing = ? and lot = ?")?.execute(place)?;
            }
            Ok(freed)
        })
    }

    /// All that is set aside: for one order, or for all.
    ///
    /// # Errors
    /// The disk.
    pub fn aside(&self, order: Option<&Words>) -> Result<Vec<Aside>, Error> {
        self.look("reading what is set aside", |at| aside(at, order))
    }
}

fn aside(at: &Connection, order: Option<&Words>) -> Result<Vec<Aside>, Fault> {
    const SQL: &str = "select order_name, thing, lot, quantity, at from set_aside where ?1 is null or order_key = ?1 order by order_key, thing, lot";
    let mut all = at.prepare_cached(SQL)?;
    let rows = all.query_map([order.map(Words::folded)], |row| {
        Ok(Aside {
            order: Words::from(row.get::<_, String>(0)?),
            thing: ThingId(row.get(1)?),
            lot: in_lot(row.get(2)?),
            quantity: of_millionths(row.get(3)?),
            at: row.get(4)?,
        })
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// A lot that this thing can be taken from, for this customer or for anybody.
pub(super) fn usable(at: &Connection, id: LotId, thing: ThingId, customer: Option<&Words>) -> Result<Lot, Fault> {
    let lot = lot(at, id)?;
    if lot.thing != thing {
        return Err(Refusal::OtherLot { lot: id.0, of: Words::new(&things::thing(at, thing)?.to_string()) }.into());
    }
    if lot.closed {
        return Err(Refusal::Closed { lot: id.0 }.into());
    }
    match &lot.customer {
        Some(by) if customer.is_none_or(|customer| customer.folded() != by.folded()) => Err(Refusal::Owned { lot: id.0, by: by.clone() }.into()),
        _ => Ok(lot),
    }
}
