//! What is done with the stores: received, used, made, wasted, returned, delivered, put right, taken back.

use super::act::Fault;
use super::{Error, Ledger, eye, history, lots, things};
use crate::measure::{Unit, Words};
use crate::stores::balance::{self, Source};
use crate::stores::quantity::{millionths, of_millionths};
use crate::stores::{Drawn, Goods, Kind, Lot, LotId, LotSays, Movement, MovementId, Price, Refusal, Share, ThingId};
use jiff::civil::Date;
use rusqlite::{Connection, ErrorCode, params};
use rust_decimal::{Decimal, RoundingStrategy};

/// Where goods that come in go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum To {
    /// A lot of their own, of which this is known.
    NewLot(LotSays),
    /// More of a lot that is there.
    Lot(LotId),
    /// No lot at all.
    Loose,
}

/// Goods that come in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// What.
    pub goods: Goods,
    /// How much, in `unit`.
    pub quantity: Decimal,
    /// The unit it is told in. A thing seen for the first time is kept in it ever after.
    pub unit: Unit,
    /// Where it goes.
    pub to: To,
    /// The customer whose own goods they are; they go into a lot of their own.
    pub customer: Option<Words>,
    /// The order they came for.
    pub order: Option<Words>,
    /// For goods kept by eye: how many full packs that is.
    pub packs: Option<u32>,
    /// A remark.
    pub reason: Option<Words>,
}

impl Receipt {
    /// Goods of a new lot of which nothing more is known.
    pub fn of(goods: Goods, quantity: Decimal, unit: Unit) -> Self {
        Receipt { goods, quantity, unit, to: To::NewLot(LotSays::default()), customer: None, order: None, packs: None, reason: None }
    }
}

/// Goods that go out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Out {
    /// What.
    pub thing: ThingId,
    /// How much, in the thing's unit.
    pub quantity: Decimal,
    /// Of which lot. Where `None`: what the order has set aside; then one open lot that is enough by itself, else lots the
    /// largest first, and loose goods last. Lots kept apart are left alone.
    pub lot: Option<LotId>,
    /// The customer it is for: opens their own goods.
    pub customer: Option<Words>,
    /// The order it is for: opens what that has set aside.
    pub order: Option<Words>,
    /// A reason or a remark.
    pub reason: Option<Words>,
}

impl Out {
    /// So much of a thing, of whatever lot.
    pub fn of(thing: ThingId, quantity: Decimal) -> Self {
        Out { thing, quantity, lot: None, customer: None, order: None, reason: None }
    }
}

/// Parts made beforehand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Make {
    /// What went into them.
    pub makings: Vec<Out>,
    /// What was made: only what is good. Its lot costs what the makings cost, where all of that is known, unless a price
    /// is told.
    pub made: Receipt,
    /// How many were spoilt in the making, in the same unit; their makings are gone as well.
    pub lost: Decimal,
}

/// A quantity put right by hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Correction {
    /// Of what.
    pub thing: ThingId,
    /// Of which lot; loose goods where `None`.
    pub lot: Option<LotId>,
    /// By how much, in the thing's unit: more above nought, less below.
    pub by: Decimal,
    /// Why.
    pub reason: Words,
}

/// What was booked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Booked {
    /// The deed's number, by which all of it is taken back.
    pub deed: MovementId,
    /// Its movements.
    pub movements: Vec<Movement>,
}

/// One movement to be written.
pub(super) struct New<'a> {
    pub(super) thing: ThingId,
    pub(super) lot: Option<LotId>,
    /// In millionths.
    pub(super) quantity: i64,
    pub(super) kind: Kind,
    pub(super) run: Option<i64>,
    pub(super) order: Option<&'a Words>,
    pub(super) reverses: Option<MovementId>,
    pub(super) reason: Option<&'a str>,
}

/// Writes the movements of one deed.
pub(super) struct Writer<'a> {
    at: &'a Connection,
    now: i64,
    next: i64,
    deed: Option<MovementId>,
    booked: Vec<Movement>,
}

impl<'a> Writer<'a> {
    pub(super) fn new(at: &'a Connection, now: i64) -> Result<Self, Fault> {
        let next = at.prepare_cached("select coalesce(max(id), 0) + 1 from movement")?.query_row([], |row| row.get(0))?;
        Ok(Writer { at, now, next, deed: None, booked: Vec::new() })
    }

    pub(super) fn put(&mut self, new: &New<'_>) -> Result<MovementId, Fault> {
        const SQL: &str = "insert into movement (id, deed, at, thing, lot, quantity, kind, run, order_name, reverses, reason, origin)
            values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, (select coalesce(origin, id) from movement where id = ?10))";
        let id = MovementId(self.next);
        let deed = self.deed.unwrap_or(id);
        let (lot, order, reverses) = (new.lot.map(|lot| lot.0), new.order.map(Words::as_str), new.reverses.map(|was| was.0));
        let values = params![id.0, deed.0, self.now, new.thing.0, lot, new.quantity, new.kind.name(), new.run, order, reverses, new.reason];
        self.at.prepare_cached(SQL)?.execute(values)?;
        self.next += 1;
        self.deed = Some(deed);
        self.booked.push(Movement {
            id,
            deed,
            at: self.now,
            thing: new.thing,
            lot: new.lot,
            quantity: of_millionths(new.quantity),
            kind: new.kind,
            run: new.run,
            order: new.order.cloned(),
            reverses: new.reverses,
            reversed_by: None,
            reason: new.reason.map(Words::new),
        });
        Ok(id)
    }

    pub(super) fn deed(&self) -> Option<MovementId> {
        self.deed
    }

    pub(super) fn maybe_done(self) -> Option<Booked> {
        Some(Booked { deed: self.deed?, movements: self.booked })
    }

    fn done(self) -> Result<Booked, Fault> {
        let nothing = || Refusal::Senseless { what: "nothing to book".to_owned(), right: "a quantity over 0".to_owned() };
        Ok(self.maybe_done().ok_or_else(nothing)?)
    }
}

pub(super) fn more(quantity: Decimal) -> Result<i64, Refusal> {
    match millionths(quantity)? {
        all if all > 0 => Ok(all),
        _ => Err(Refusal::NotMore { quantity }),
    }
}

/// The day of a moment, in UTC: what is kept apart is kept in days.
pub(super) fn day(at: i64) -> Date {
    jiff::Timestamp::from_millisecond(at).map_or(Date::MIN, |at| jiff::tz::TimeZone::UTC.to_datetime(at).date())
}

/// Brings goods in. Gives the movement.
fn bring_in(writer: &mut Writer<'_>, receipt: &Receipt, kind: Kind, price: Option<Price>, reason: Option<&str>) -> Result<MovementId, Fault> {
    let (at, now) = (writer.at, writer.now);
    more(receipt.quantity)?;
    let (thing, kept) = things::thing_or_new(at, now, &receipt.goods, receipt.unit)?;
    let quantity = more(things::in_unit(receipt.quantity, receipt.unit, kept, &receipt.goods)?)?;
    let lot = match (&receipt.to, &receipt.customer) {
        (To::NewLot(says), customer) => {
            let price = says.price.clone().or(price);
            Some(lots::new_lot(at, now, thing, customer.as_ref(), None, &LotSays { price, ..says.clone() })?)
        }
        (To::Lot(lot), customer) => Some(lots::usable(at, *lot, thing, customer.as_ref())?.id),
        (To::Loose, None) => None,
        (To::Loose, Some(customer)) => {
            let what = format!("loose goods of {customer}");
            return Err(Refusal::Senseless { what, right: "a lot of their own, so that nobody else's flies take them".to_owned() }.into());
        }
    };
    let order = receipt.order.as_ref();
    let id = writer.put(&New { thing, lot, quantity, kind, run: None, order, reverses: None, reason })?;
    if let Some(packs) = receipt.packs {
        eye::come(at, now, thing, packs, id)?;
    }
    Ok(id)
}

/// From which lots goods are taken. `short`: what is lacking is taken from the loose goods, below nought if need be.
pub(super) fn sources(at: &Connection, now: i64, out: &Out, short: bool) -> Result<Vec<Drawn>, Fault> {
    let thing = out.thing;
    let mut left = out.quantity;
    let mut all: Vec<Drawn> = Vec::new();
    let mut take = |drawn: Vec<Drawn>| {
        for one in drawn {
            match all.iter_mut().find(|known| known.lot == one.lot) {
                Some(known) => known.quantity += one.quantity,
                None => all.push(one),
            }
        }
    };
    let aside = match &out.order {
        Some(order) => lots::aside_for(at, order, thing)?,
        None => Vec::new(),
    };
    // What the order has set aside is its own, in whatever lot it lies.
    let own: Vec<Source> = aside.iter().map(|(lot, quantity)| Source { lot: *lot, free: of_millionths(*quantity) }).collect();
    let own = own.into_iter().filter(|source| out.lot.is_none() || source.lot == out.lot).collect::<Vec<_>>();
    let (drawn, lacking) = balance::draw(&own, left);
    take(drawn);
    left = lacking;
    if let Some(id) = out.lot {
        let lot = lots::usable(at, id, thing, out.customer.as_ref())?;
        let (drawn, lacking) = balance::draw(&[Source::of(&lot)], left);
        take(drawn);
        left = lacking;
    } else {
        let today = day(now);
        let theirs = |lot: &Lot| lot.customer.as_ref().is_some_and(|by| out.customer.as_ref().is_some_and(|customer| customer.folded() == by.folded()));
        let (own, open): (Vec<Lot>, Vec<Lot>) = lots::open_lots(at, thing)?
            .into_iter()
            .filter(|lot| !lot.apart(today) && (lot.customer.is_none() || theirs(lot)))
            .partition(|lot| lot.customer.is_some());
        let (drawn, lacking) = balance::draw(&own.iter().map(Source::of).collect::<Vec<_>>(), left);
        take(drawn);
        left = lacking;
        let (mut sources, enough) = balance::one_lot_first(open.iter().map(Source::of).collect(), left);
        let (holds, aside) = lots::loose(at, thing)?;
        let loose = Source { lot: None, free: of_millionths(holds.saturating_sub(aside)) };
        sources.insert(if enough { 1 } else { sources.len() }, loose);
        let (drawn, lacking) = balance::draw(&sources, left);
        take(drawn);
        left = lacking;
    }
    if !left.is_zero() && short {
        take(vec![Drawn { lot: None, quantity: left }]);
        left = Decimal::ZERO;
    }
    if !left.is_zero() {
        let whole = things::thing(at, thing)?;
        const ASIDE: &str = "select coalesce(sum(quantity), 0) from set_aside where thing = ?1 and (?2 is null or lot = ?2)";
        let aside: i64 = at.query_row(ASIDE, params![thing.0, out.lot.map(|lot| lot.0)], |row| row.get(0))?;
        let own: i64 = own_aside(&own)?;
        let set_aside = of_millionths(aside.saturating_sub(own));
        let of = Words::new(&whole.to_string());
        return Err(Refusal::NotSoMuch { of, free: out.quantity - left, wanted: out.quantity, unit: whole.unit, set_aside }.into());
    }
    Ok(all)
}

fn own_aside(own: &[Source]) -> Result<i64, Refusal> {
    own.iter().try_fold(0i64, |sum, source| Ok(sum.saturating_add(millionths(source.free)?)))
}

/// Takes goods out. Gives what was drawn.
pub(super) fn take_out(writer: &mut Writer<'_>, out: &Out, kind: Kind, run: Option<i64>, short: bool) -> Result<Vec<Drawn>, Fault> {
    more(out.quantity)?;
    let drawn = sources(writer.at, writer.now, out, short)?;
    for one in &drawn {
        let quantity = millionths(one.quantity)?;
        if let Some(order) = &out.order {
            lots::less_aside(writer.at, order, out.thing, one.lot, quantity)?;
        }
        let reason = out.reason.as_ref().map(Words::as_str);
        writer.put(&New { thing: out.thing, lot: one.lot, quantity: -quantity, kind, run, order: out.order.as_ref(), reverses: None, reason })?;
    }
    Ok(drawn)
}

/// What was drawn cost, exactly, and in which currency; `None` where any of it has no known cost. Customers' own costs
/// nothing.
fn cost_of(at: &Connection, drawn: &[Drawn]) -> Result<Option<(Decimal, Option<Price>)>, Fault> {
    let (mut sum, mut like): (Decimal, Option<Price>) = (Decimal::ZERO, None);
    for one in drawn {
        let Some(id) = one.lot else { return Ok(None) };
        let lot = lots::lot(at, id)?;
        if lot.customer.is_some() {
            continue;
        }
        let (Some(cost), Some(price)) = (lot.cost_of(one.quantity), lot.says.price) else { return Ok(None) };
        if like.as_ref().is_some_and(|like| like.currency != price.currency) {
            return Ok(None);
        }
        sum = sum.saturating_add(cost);
        like = Some(price);
    }
    Ok(Some((sum, like)))
}

impl Ledger {
    /// Books goods in.
    ///
    /// # Errors
    /// A quantity that is none, or finer than a millionth; a lot of another thing; a ledger opened for reading; the disk.
    pub fn receive(&mut self, at: i64, receipt: &Receipt) -> Result<Booked, Error> {
        self.act("booking goods in", |deed| {
            let mut writer = Writer::new(deed, at)?;
            bring_in(&mut writer, receipt, Kind::Received, None, receipt.reason.as_ref().map(Words::as_str))?;
            writer.done()
        })
    }

    /// Books out what was used up beside the runs.
    ///
    /// # Errors
    /// There is not so much free; as for [`Ledger::receive`].
    pub fn use_up(&mut self, at: i64, out: &Out) -> Result<Booked, Error> {
        self.out(at, out, Kind::Used)
    }

    /// Books out what was spoilt, lost or thrown away.
    ///
    /// # Errors
    /// As for [`Ledger::use_up`].
    pub fn waste(&mut self, at: i64, out: &Out) -> Result<Booked, Error> {
        self.out(at, out, Kind::Wasted)
    }

    /// Books out what went back to its supplier, or left-overs that went back to their customer.
    ///
    /// # Errors
    /// As for [`Ledger::use_up`].
    pub fn return_(&mut self, at: i64, out: &Out) -> Result<Booked, Error> {
        self.out(at, out, Kind::Returned)
    }

    /// Books out finished flies that left the bench.
    ///
    /// # Errors
    /// As for [`Ledger::use_up`].
    pub fn deliver(&mut self, at: i64, out: &Out) -> Result<Booked, Error> {
        self.out(at, out, Kind::Delivered)
    }

    fn out(&mut self, at: i64, out: &Out, kind: Kind) -> Result<Booked, Error> {
        self.act("booking goods out", |deed| {
            let mut writer = Writer::new(deed, at)?;
            take_out(&mut writer, out, kind, None, false)?;
            writer.done()
        })
    }

    /// Books parts made beforehand: makings out, made parts in at what the makings cost.
    ///
    /// # Errors
    /// There is not so much free of a making; as for [`Ledger::receive`].
    pub fn make(&mut self, at: i64, make: &Make) -> Result<Booked, Error> {
        self.act("booking what was made", |deed| {
            let mut writer = Writer::new(deed, at)?;
            if millionths(make.lost)? < 0 {
                return Err(Refusal::NotMore { quantity: make.lost }.into());
            }
            let mut drawn = Vec::new();
            for making in &make.makings {
                drawn.extend(take_out(&mut writer, making, Kind::Made, None, false)?);
            }
            let price = match cost_of(deed, &drawn)? {
                Some((sum, Some(like))) => {
                    let sum = sum.round_dp_with_strategy(like.currency.digits(), RoundingStrategy::MidpointAwayFromZero);
                    Price::of(sum, like.currency)
                }
                _ => None,
            };
            let price = price.filter(|_| make.made.customer.is_none());
            let unit = if make.made.unit == Unit::One { String::new() } else { format!(" {}", make.made.unit.name()) };
            let lost = (!make.lost.is_zero()).then(|| format!("{}{unit} spoilt in the making", make.lost.normalize()));
            let said = make.made.reason.as_ref().map(|words| words.as_str().to_owned());
            let reason = [said, lost].into_iter().flatten().reduce(|one, other| format!("{one}; {other}"));
            bring_in(&mut writer, &make.made, Kind::Made, price, reason.as_deref())?;
            writer.done()
        })
    }

    /// Puts a quantity right.
    ///
    /// # Errors
    /// Less would be there than nothing, or than is set aside; no reason; as for [`Ledger::receive`].
    pub fn correct(&mut self, at: i64, correction: &Correction) -> Result<Booked, Error> {
        self.act("putting a quantity right", |deed| {
            let by = millionths(correction.by)?;
            if by == 0 {
                return Err(Refusal::NotMore { quantity: correction.by }.into());
            }
            if correction.reason.folded().is_empty() {
                return Err(Refusal::Senseless { what: "a correction without a reason".to_owned(), right: "a word on why".to_owned() }.into());
            }
            let whole = things::thing(deed, correction.thing)?;
            let lot = match correction.lot {
                None => None,
                Some(id) => {
                    let lot = lots::lot(deed, id)?;
                    if lot.thing != correction.thing {
                        return Err(Refusal::OtherLot { lot: id.0, of: Words::new(&whole.to_string()) }.into());
                    }
                    Some(id)
                }
            };
            let (holds, aside) = lots::held(deed, correction.thing, lot)?;
            if by < 0 && holds.saturating_add(by) < aside {
                let (free, set_aside) = (of_millionths(holds.saturating_sub(aside).max(0)), of_millionths(aside));
                return Err(Refusal::NotSoMuch { of: Words::new(&whole.to_string()), free, wanted: -correction.by, unit: whole.unit, set_aside }.into());
            }
            let mut writer = Writer::new(deed, at)?;
            let reason = Some(correction.reason.as_str());
            let thing = correction.thing;
            writer.put(&New { thing, lot, quantity: by, kind: Kind::Corrected, run: None, order: None, reverses: None, reason })?;
            writer.done()
        })
    }

    /// Tells how much of a skin is left, by eye: books the difference.
    ///
    /// # Errors
    /// No such lot; less would be left than is set aside; a ledger opened for reading; the disk.
    pub fn skin_left(&mut self, at: i64, skin: LotId, left: Share) -> Result<Booked, Error> {
        self.act("looking at a skin", |deed| {
            let lot = lots::lot(deed, skin)?;
            let whole = things::thing(deed, lot.thing)?;
            if left.of_one() < lot.set_aside {
                let free = lot.free();
                let wanted = lot.holds - left.of_one();
                return Err(Refusal::NotSoMuch { of: Words::new(&whole.to_string()), free, wanted, unit: whole.unit, set_aside: lot.set_aside }.into());
            }
            let quantity = millionths(left.of_one() - lot.holds)?;
            let mut writer = Writer::new(deed, at)?;
            let (thing, kind, reason) = (lot.thing, Kind::Counted, Some(left.name()));
            writer.put(&New { thing, lot: Some(skin), quantity, kind, run: None, order: None, reverses: None, reason })?;
            writer.done()
        })
    }

    /// Takes back a movement, with all that was booked in the same deed: reversing entries are added, nothing is deleted.
    /// Taking back a taking back does it again. What an order had set aside before is not set aside again by it.
    ///
    /// # Errors
    /// It is taken back already; what it brought in has gone out since; a run's (that is taken back at the vice); a ledger
    /// opened for reading; the disk.
    pub fn undo(&mut self, at: i64, movement: MovementId, reason: Option<&Words>) -> Result<Booked, Error> {
        self.act("taking back a movement", |deed| {
            let was = history::movement(deed, movement)?;
            if let Some(run) = was.run {
                return Err(Refusal::OfARun { run }.into());
            }
            let mut writer = Writer::new(deed, at)?;
            reverse(&mut writer, was.deed, reason.map(Words::as_str))?;
            writer.done()
        })
    }
}

/// Adds to a deed's movements those that take them back.
pub(super) fn reverse(writer: &mut Writer<'_>, deed: MovementId, reason: Option<&str>) -> Result<(), Fault> {
    let at = writer.at;
    let all = history::of_deed(at, deed)?;
    if let Some(gone) = all.iter().find(|movement| movement.reversed_by.is_some()) {
        return Err(Refusal::TakenBack { movement: gone.id.0 }.into());
    }
    // What comes back in comes first, so that no lot falls below nought on the way.
    let (backward, forward): (Vec<_>, Vec<_>) = all.iter().rev().partition(|movement| movement.quantity.is_sign_negative());
    for was in backward.into_iter().chain(forward) {
        let quantity = -millionths(was.quantity)?;
        let used = || Refusal::UsedSince {
            movement: was.id.0,
            of: things::thing(at, was.thing).map_or_else(|_| Words::new("what"), |thing| Words::new(&thing.to_string())),
        };
        if quantity < 0 && was.run.is_none() {
            let (holds, aside) = lots::held(at, was.thing, was.lot)?;
            if holds.saturating_add(quantity) < aside {
                return Err(used().into());
            }
        }
        let (kind, run, order) = (was.kind, was.run, was.order.as_ref());
        let put = writer.put(&New { thing: was.thing, lot: was.lot, quantity, kind, run, order, reverses: Some(was.id), reason });
        match put {
            // A lot that would fall below nought, or below what is set aside of it.
            Err(Fault::Database(fault)) if fault.sqlite_error_code() == Some(ErrorCode::ConstraintViolation) => return Err(used().into()),
            put => eye::go(at, writer.now, was, put?)?,
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stores::Filter;

    fn some(name: &str) -> Receipt {
        Receipt { reason: Some(Words::new(&"box with the blue lid ".repeat(20))), ..Receipt::of(Goods::material(name), 5.into(), Unit::One) }
    }

    #[test]
    fn a_full_disk_is_told_and_what_was_booked_before_is_safe() {
        let bench = tempfile::tempdir().unwrap();
        let mut ledger = Ledger::open_for_writing(bench.path()).unwrap();
        let thing = ledger.receive(0, &some("gold wire")).unwrap().movements[0].thing;
        let limit = |ledger: &Ledger, pages: i64| ledger.connection.pragma_update(None, "max_page_count", pages).unwrap();
        let pages: i64 = ledger.connection.pragma_query_value(None, "page_count", |row| row.get(0)).unwrap();
        // The limit is SQLite's own stand-in for a disk with no room: it gives the same error.
        limit(&ledger, pages + 2);
        let made = |ledger: &mut Ledger| {
            let make =
                Make { makings: vec![Out::of(thing, Decimal::new(1, 3)), Out::of(thing, Decimal::new(2, 3))], made: some("burnt wings"), lost: 0.into() };
            ledger.make(1, &make)
        };
        let mut booked = 1;
        let told = loop {
            match made(&mut ledger) {
                Ok(deed) => booked += deed.movements.len(),
                Err(told) => break told,
            }
            assert!(booked < 10_000);
        };
        assert!(matches!(told, Error::Full { .. }) && told.to_string().contains("what was booked before is safe"), "{told}");
        let all = ledger.movements(&Filter::default()).unwrap();
        assert_eq!(all.len(), booked, "no half of a deed");
        assert!(ledger.verify(&[]).unwrap().sound());
        limit(&ledger, 1_000_000);
        made(&mut ledger).unwrap();
        assert!(ledger.verify(&[]).unwrap().sound());
    }
}
