//! CSV out and in (RFC 4180): what stands on the shelf, and everything that moved.
//!
//! A spreadsheet takes a cell that begins with `= + - @` or a tab or line end for a formula. Such cells go out with an
//! apostrophe before them, and come in without it. What comes in is booked whole or not at all; every row that cannot be
//! booked is told with its line.

use super::act::Fault;
use super::deeds::{New, Writer};
use super::{Error, Ledger, history, lots, things};
use crate::diagnostic::nearest;
use crate::measure::money::Currency;
use crate::measure::{Unit, Words};
use crate::stores::quantity::{millionths, mm};
use crate::stores::{Goods, Kind, Lot, LotId, LotSays, Movement, MovementId, Price, Quality, Refusal, Thing, ThingId};
use csv::{ByteRecord, ReaderBuilder, Terminator, WriterBuilder};
use jiff::civil::Date;
use rusqlite::Connection;
use rust_decimal::Decimal;
use std::collections::HashMap;
use std::io::{Read, Write};
use std::path::Path;

/// What is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// What there is, a row a lot.
    Balances,
    /// Everything that moved; can be read back in.
    Movements,
}

/// How far reading in or writing out has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Going {
    /// Rows done.
    pub rows: u64,
    /// Rows that cannot be booked so far.
    pub bad: u64,
}

/// What was read in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Imported {
    /// Rows booked.
    pub rows: u64,
    /// Things that were new to the ledger.
    pub new_things: u64,
    /// Lots made.
    pub lots: u64,
}

/// How often progress is told.
const EVERY: u64 = 500;
/// No cell of a shelf is longer.
const LONGEST: usize = 2000;

const GOODS: [&str; 8] = ["goods", "name", "size", "fibre mm", "revision", "variant", "quality", "unit"];
const OF_LOT: [&str; 11] = ["lot", "customer", "supplier", "received", "price", "currency", "dye lot", "swatch", "proof", "apart until", "note"];
const MOVED: [&str; 9] = ["at", "movement", "kind", "in", "out", "run", "order", "takes back", "reason"];
const HELD: [&str; 3] = ["holds", "set aside", "closed"];

/// A cell as it goes out. What begins with one of the signs, or with apostrophes before one, gets an apostrophe more, so
/// that reading back is exact.
fn guarded(cell: &str) -> String {
    if begins_a_formula(cell) { format!("'{cell}") } else { cell.to_owned() }
}

/// A cell as it came in, without the mark.
fn unguarded(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if begins_a_formula(rest) => rest,
        _ => cell,
    }
}

fn begins_a_formula(cell: &str) -> bool {
    cell.trim_start_matches('\'').starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠'])
}

fn text(words: Option<&Words>) -> String {
    words.map_or_else(String::new, |words| words.as_str().to_owned())
}

fn goods_cells(thing: &Thing) -> Vec<String> {
    let [mut fibre, mut made, mut variant_name, mut as_good] = [const { String::new() }; 4];
    let kind = match &thing.goods {
        Goods::Material { fibre_um, .. } => {
            fibre = fibre_um.map_or_else(String::new, |um| mm(um).to_string());
            "material"
        }
        Goods::Hook { .. } => "hook",
        Goods::Fly { revision, variant, quality, .. } => {
            (made, variant_name, as_good) = (revision.to_string(), text(variant.as_ref()), quality.name().to_owned());
            "fly"
        }
    };
    let size = text(thing.goods.size());
    vec![kind.to_owned(), thing.goods.name().to_string(), size, fibre, made, variant_name, as_good, thing.unit.name().to_owned()]
}

fn lot_cells(lot: Option<&Lot>) -> Vec<String> {
    let Some(lot) = lot else { return vec![String::new(); OF_LOT.len()] };
    let says = &lot.says;
    let day = |day: Option<Date>| day.map_or_else(String::new, |day| day.to_string());
    vec![
        lot.id.to_string(),
        text(lot.customer.as_ref()),
        text(says.supplier.as_ref()),
        day(says.received),
        says.price.as_ref().map_or_else(String::new, |price| price.amount().to_string()),
        says.price.as_ref().map_or_else(String::new, |price| price.currency.code().to_owned()),
        text(says.dye_lot.as_ref()),
        if says.swatch { "yes".to_owned() } else { String::new() },
        text(says.proof.as_ref()),
        day(says.apart_until),
        text(says.note.as_ref()),
    ]
}

fn moved_cells(movement: &Movement) -> Vec<String> {
    let number = |number: Option<i64>| number.map_or_else(String::new, |number| number.to_string());
    let at = jiff::Timestamp::from_millisecond(movement.at).map_or_else(|_| String::new(), |at| at.to_string());
    let (came, went) = if movement.quantity.is_sign_negative() { (None, Some(-movement.quantity)) } else { (Some(movement.quantity), None) };
    let quantity = |quantity: Option<Decimal>| quantity.map_or_else(String::new, |quantity| quantity.normalize().to_string());
    vec![
        at,
        movement.id.to_string(),
        movement.kind.name().to_owned(),
        quantity(came),
        quantity(went),
        number(movement.run),
        text(movement.order.as_ref()),
        number(movement.reverses.map(|was| was.0)),
        text(movement.reason.as_ref()),
    ]
}

impl Ledger {
    /// Writes what there is, or everything that moved, as CSV: a head, then a row each. `name`: the file's name, for errors.
    /// `progress` stops it by giving `false`. Gives how many rows were written.
    ///
    /// # Errors
    /// Stopped; the disk.
    pub fn export(&self, what: What, name: &Path, out: impl Write, mut progress: impl FnMut(Going) -> bool) -> Result<u64, Error> {
        let mut csv = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(out);
        let head = match what {
            What::Movements => [MOVED.as_slice(), &GOODS, &OF_LOT].concat(),
            What::Balances => [GOODS.as_slice(), &HELD, &OF_LOT].concat(),
        };
        let refuse = |said: csv::Error| Error::File { path: name.to_owned(), doing: "writing it", said: said.into() };
        csv.write_record(&head).map_err(refuse)?;
        let things: HashMap<ThingId, Vec<String>> = self.things()?.iter().map(|thing| (thing.id, goods_cells(thing))).collect();
        let mut rows = 0;
        // An error of writing does not fit the reading's; it waits here.
        let mut failed = None;
        let mut write = |cells: Vec<String>| -> bool {
            rows += 1;
            let written = csv.write_record(cells.iter().map(|cell| guarded(cell)));
            if let Err(said) = written {
                failed = Some(refuse(said));
            } else if rows % EVERY == 0 && !progress(Going { rows, bad: 0 }) {
                failed = Some(Error::Stores(Refusal::Stopped));
            }
            failed.is_none()
        };
        let cells_of = |thing: ThingId| things.get(&thing).cloned().unwrap_or_else(|| vec![String::new(); GOODS.len()]);
        self.look("writing the stores out", |at| {
            let lots: HashMap<LotId, Lot> = lots::every_lot(at)?.into_iter().map(|lot| (lot.id, lot)).collect();
            match what {
                What::Movements => history::each(at, |movement| {
                    let lot = movement.lot.and_then(|lot| lots.get(&lot));
                    write([moved_cells(movement), cells_of(movement.thing), lot_cells(lot)].concat())
                }),
                What::Balances => {
                    let mut all = at.prepare_cached(
                        "select thing, lot, quantity, coalesce((select sum(quantity) from set_aside where set_aside.thing = balance.thing
                        and set_aside.lot = balance.lot), 0) from balance order by thing, lot",
                    )?;
                    let mut rows = all.query([])?;
                    while let Some(row) = rows.next()? {
                        let (holds, aside): (i64, i64) = (row.get(2)?, row.get(3)?);
                        let lot = lots::in_lot(row.get(1)?).and_then(|lot| lots.get(&lot));
                        let figures = [holds, aside].map(|all| crate::stores::quantity::of_millionths(all).to_string());
                        let closed = if lot.is_some_and(|lot| lot.closed) { "yes" } else { "" };
                        let held = vec![figures[0].clone(), figures[1].clone(), closed.to_owned()];
                        if !write([cells_of(ThingId(row.get(0)?)), held, lot_cells(lot)].concat()) {
                            break;
                        }
                    }
                    Ok(())
                }
            }
        })?;
        if let Some(failed) = failed {
            return Err(failed);
        }
        csv.flush().map_err(|said| Error::File { path: name.to_owned(), doing: "writing it", said })?;
        Ok(rows)
    }

    /// Reads movements in, as [`Ledger::export`] writes them or by fewer columns: the head names them; `name` and one of `in`
    /// and `out` are needed. Rows of one lot are known by the same mark under `lot`, which is this file's own: lots the ledger
    /// has already are not touched. `at`: the moment for rows that tell none, ms of UTC. `progress` stops it by giving `false`.
    ///
    /// # Errors
    /// Every row that cannot be booked, by its line and with the reason: nothing of the file is booked then. Stopped; a
    /// ledger opened for reading; the disk.
    pub fn import(&mut self, at: i64, name: &Path, from: impl Read, mut progress: impl FnMut(Going) -> bool) -> Result<Imported, Error> {
        let mut csv = ReaderBuilder::new().flexible(true).has_headers(false).from_reader(Lines { from, at: 0, ends: Vec::new() });
        let refuse = |said: csv::Error| Error::File { path: name.to_owned(), doing: "reading it", said: said.into() };
        let mut record = ByteRecord::new();
        let there = csv.read_byte_record(&mut record).map_err(refuse)?;
        let head = if there { Head::read(&record) } else { Err(Words::new("the file is empty; a head of columns and a row each would be right")) };
        let head = head.map_err(|why| Error::Stores(Refusal::Rows { bad: vec![(1, why)] }))?;
        let mut failed = None;
        let done = self.act("reading the stores in", |deed| {
            let things_before: i64 = deed.query_row("select count(*) from thing", [], |row| row.get(0))?;
            let mut reading = Reading { at: deed, now: at, lots: HashMap::new(), movements: HashMap::new() };
            let (mut going, mut bad) = (Going { rows: 0, bad: 0 }, Vec::new());
            loop {
                match csv.read_byte_record(&mut record) {
                    Ok(true) => {}
                    Ok(false) => break,
                    Err(said) => {
                        failed = Some(refuse(said));
                        return Err(Refusal::Stopped.into());
                    }
                }
                let line = csv.get_ref().line(csv.position().byte(), &record);
                going.rows += 1;
                match reading.row(&head, &record, line) {
                    Ok(()) => {}
                    Err(Fault::Refused(why)) => bad.push((line, Words::new(&why.to_string()))),
                    // What a row asks for and the tables refuse is the row's fault.
                    Err(Fault::Database(said)) if said.sqlite_error_code() == Some(rusqlite::ErrorCode::ConstraintViolation) => {
                        bad.push((
                            line,
                            Words::new("it does not fit the rows before: more goes out of its lot than is there, or it takes back what was otherwise"),
                        ));
                    }
                    Err(other) => return Err(other),
                }
                going.bad = bad.len() as u64;
                if going.rows.is_multiple_of(EVERY) && !progress(going) {
                    return Err(Refusal::Stopped.into());
                }
            }
            if !bad.is_empty() {
                return Err(Refusal::Rows { bad }.into());
            }
            let things: i64 = deed.query_row("select count(*) from thing", [], |row| row.get(0))?;
            Ok(Imported { rows: going.rows, new_things: things.abs_diff(things_before), lots: reading.lots.len() as u64 })
        });
        match failed {
            Some(failed) => Err(failed),
            None => done,
        }
    }
}

/// A file that is read, and where its lines end: the reader of rows counts the two signs of a line end as they come, and
/// would tell a line too few.
struct Lines<R> {
    from: R,
    at: u64,
    ends: Vec<u64>,
}

impl<R: Read> Read for Lines<R> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let long = self.from.read(into)?;
        let read = into.get(..long).unwrap_or_default();
        self.ends.extend(read.iter().zip(self.at..).filter(|(byte, _)| **byte == b'\n').map(|(_, at)| at));
        self.at += long as u64;
        Ok(long)
    }
}

impl<R> Lines<R> {
    /// The line a row begins in; `end`: the byte behind it.
    fn line(&self, end: u64, row: &ByteRecord) -> u64 {
        let before = self.ends.partition_point(|at| *at < end);
        // Its own line end is read with it, or only half of it.
        let own = before.checked_sub(1).and_then(|last| self.ends.get(last)).is_some_and(|at| at + 1 == end);
        let within = row.as_slice().iter().filter(|byte| **byte == b'\n').count();
        (before + usize::from(!own)).saturating_sub(within) as u64
    }
}

/// Which column of a file tells what.
struct Head {
    columns: Vec<&'static str>,
}

impl Head {
    fn read(record: &ByteRecord) -> Result<Self, Words> {
        let known = || MOVED.into_iter().chain(GOODS).chain(OF_LOT);
        let mut columns = Vec::new();
        for (nth, cell) in record.iter().enumerate() {
            let cell = std::str::from_utf8(cell).map_err(|_| Words::new("the head is no UTF-8 text; save it as UTF-8"))?;
            let cell = crate::measure::words::fold(cell.trim_start_matches('\u{feff}'));
            if nth == 0 && record.len() == 1 && cell.contains(';') {
                return Err(Words::new("the columns are parted by semicolons; commas would be right"));
            }
            let Some(column) = known().find(|known| *known == cell) else {
                let near = nearest(&cell, known()).map_or_else(String::new, |near| format!("; is \"{near}\" meant?"));
                return Err(Words::new(&format!("no column is called \"{cell}\"{near}")));
            };
            if columns.contains(&column) {
                return Err(Words::new(&format!("the column \"{column}\" is there twice; once would be right")));
            }
            columns.push(column);
        }
        if !columns.contains(&"name") || !(columns.contains(&"in") || columns.contains(&"out")) {
            return Err(Words::new("a head with `name` and with `in` or `out` is needed"));
        }
        Ok(Head { columns })
    }
}

/// A row's cells, by column.
struct Cells<'a> {
    head: &'a Head,
    record: &'a ByteRecord,
}

fn amiss(what: String, right: &str) -> Refusal {
    Refusal::Senseless { what, right: right.to_owned() }
}

impl<'a> Cells<'a> {
    /// The cell of a column without its mark and the spaces round it; `None` where it is empty or there is no such column.
    fn get(&self, column: &str) -> Result<Option<&'a str>, Refusal> {
        let Some(nth) = self.head.columns.iter().position(|known| *known == column) else { return Ok(None) };
        let Some(cell) = self.record.get(nth) else { return Ok(None) };
        if cell.len() > LONGEST {
            return Err(amiss(format!("`{column}` is longer than any name or remark"), "a shorter text"));
        }
        let cell = std::str::from_utf8(cell).map_err(|_| amiss(format!("`{column}` is no UTF-8 text"), "a file saved as UTF-8"))?;
        Ok(Some(unguarded(cell).trim()).filter(|cell| !cell.is_empty()))
    }

    fn words(&self, column: &str) -> Result<Option<Words>, Refusal> {
        Ok(self.get(column)?.map(Words::new))
    }

    fn read<T>(&self, column: &str, right: &str, read: impl FnOnce(&str) -> Option<T>) -> Result<Option<T>, Refusal> {
        let Some(cell) = self.get(column)? else { return Ok(None) };
        read(cell).map(Some).ok_or_else(|| amiss(format!("`{column}`: \"{cell}\" cannot be read"), right))
    }

    fn figure(&self, column: &str) -> Result<Option<Decimal>, Refusal> {
        self.read(column, "a figure such as `12` or `0.25`", |cell| Decimal::from_str_exact(cell).ok())
    }

    fn goods(&self) -> Result<(Goods, Unit), Refusal> {
        let name = self.words("name")?.ok_or_else(|| amiss("no `name`".to_owned(), "the material's, the chart's or the dressing's name"))?;
        let size = self.words("size")?;
        let sized = |size: Option<Words>| size.ok_or_else(|| amiss("no `size`".to_owned(), "a hook size"));
        let goods = match self.get("goods")?.unwrap_or("material") {
            "material" => {
                let fibre = self.figure("fibre mm")?.map(|mm| {
                    let um = mm.checked_mul(Decimal::from(1000)).filter(Decimal::is_integer).and_then(|um| u32::try_from(um).ok()).filter(|um| *um > 0);
                    um.ok_or_else(|| amiss(format!("`fibre mm`: {mm} is no fibre length"), "millimetres such as `6.4`"))
                });
                Goods::Material { name, size, fibre_um: fibre.transpose()? }
            }
            "hook" => Goods::Hook { chart: name, size: sized(size)? },
            "fly" => {
                let revision = self.read("revision", "a whole number", |cell| cell.parse().ok())?.unwrap_or(1);
                let quality = self.read("quality", "good, second or sample", |cell| Quality::ALL.into_iter().find(|one| one.name() == cell))?;
                Goods::Fly { dressing: name, revision, size: sized(size)?, variant: self.words("variant")?, quality: quality.unwrap_or(Quality::Good) }
            }
            other => return Err(amiss(format!("`goods`: \"{other}\" is none of them"), "material, hook or fly")),
        };
        let unit = self.read("unit", "a unit such as `m`, `g` or `feathers`", |cell| things::read_unit(cell).or_else(|| Unit::read(cell)))?;
        Ok((goods, unit.unwrap_or(Unit::One)))
    }

    fn says(&self) -> Result<LotSays, Refusal> {
        let day = |column: &str| self.read(column, "a day such as `2026-11-25`", |cell| cell.parse::<Date>().ok());
        let currency = self.read("currency", "three letters such as `GBP` (ISO 4217)", Currency::new)?;
        let price = match (self.figure("price")?, currency) {
            (Some(price), Some(currency)) if !price.is_sign_negative() => {
                let digits = currency.digits();
                let whole = Price::of(price, currency);
                Some(whole.ok_or_else(|| amiss(format!("`price`: {price} has more digits than its currency"), &format!("{digits} digits after the point")))?)
            }
            (Some(price), Some(_)) => return Err(amiss(format!("`price`: {price} is less than nothing"), "what was paid")),
            (Some(_), None) => return Err(amiss("a `price` without its `currency`".to_owned(), "three letters such as `GBP` beside it")),
            (None, _) => None,
        };
        let swatch = self.read("swatch", "yes or no", |cell| match cell {
            "yes" => Some(true),
            "no" => Some(false),
            _ => None,
        })?;
        Ok(LotSays {
            supplier: self.words("supplier")?,
            received: day("received")?,
            price,
            dye_lot: self.words("dye lot")?,
            swatch: swatch.unwrap_or(false),
            proof: self.words("proof")?,
            apart_until: day("apart until")?,
            note: self.words("note")?,
        })
    }
}

/// A lot of the file.
struct ReadLot {
    id: LotId,
    says: LotSays,
    customer: Option<Words>,
    /// The line it was first told in.
    line: u64,
}

/// What has been read so far.
struct Reading<'a> {
    at: &'a Connection,
    now: i64,
    /// Lots by their thing and the file's mark (or the line, where it has none), with what was said of them and where.
    lots: HashMap<(ThingId, String), ReadLot>,
    /// Movements by the file's own numbers.
    movements: HashMap<String, MovementId>,
}

impl Reading<'_> {
    fn row(&mut self, head: &Head, record: &ByteRecord, line: u64) -> Result<(), Fault> {
        if record.len() != head.columns.len() {
            let (cells, columns) = (record.len(), head.columns.len());
            return Err(amiss(format!("{cells} cells under {columns} columns"), "as many cells as columns; a comma within a cell needs quotes round it").into());
        }
        let cells = Cells { head, record };
        let (goods, told) = cells.goods()?;
        let (came, went) = (cells.figure("in")?, cells.figure("out")?);
        let kind = cells.read("kind", "received, used, made, counted, wasted, returned, corrected or delivered", Kind::read)?;
        let quantity = match (came, went) {
            (Some(came), None) => came,
            (None, Some(went)) => -went,
            _ => return Err(amiss("a row tells `in` or `out`, and not both".to_owned(), "one of them").into()),
        };
        let kind = kind.unwrap_or(if went.is_some() { Kind::Used } else { Kind::Received });
        if came.or(went).is_some_and(|figure| figure.is_sign_negative()) || (quantity.is_zero() && kind != Kind::Counted) {
            return Err(amiss("a quantity is more than nothing".to_owned(), "a figure over 0 under `in` or `out`").into());
        }
        let (says, customer) = (cells.says()?, cells.words("customer")?);
        let at = cells.read("at", "a moment such as `2026-11-25T12:00:00Z`, or a day", moment)?.unwrap_or(self.now);
        let (run, reason, order) = (cells.get("run")?, cells.get("reason")?, cells.words("order")?);
        let reverses = match cells.get("takes back")? {
            None => None,
            Some(number) => {
                let was = self.movements.get(number).copied();
                Some(was.ok_or_else(|| amiss(format!("`takes back`: no row before this one has {number} under `movement`"), "the number of a row before"))?)
            }
        };
        let fits = match kind {
            // What takes another back is held against that one by the tables.
            _ if reverses.is_some() => true,
            Kind::Received => came.is_some(),
            Kind::Used | Kind::Wasted | Kind::Returned | Kind::Delivered => went.is_some(),
            Kind::Made | Kind::Counted | Kind::Corrected => true,
        };
        if !fits {
            return Err(amiss(format!("what is {} does not go that way", kind.name()), "the other of `in` and `out`, or another `kind`,").into());
        }
        let mark = cells.get("lot")?.map(str::to_owned);
        let number = cells.get("movement")?;
        let (thing, kept) = things::thing_or_new(self.at, at, &goods, told)?;
        let quantity = millionths(things::in_unit(quantity, told, kept, &goods)?)?;
        let lot = self.lot(at, thing, mark, customer, says, line, &goods)?;
        let whole = lots::held(self.at, thing, lot)?.0.saturating_add(quantity);
        // Only what a run used can leave the loose goods below nought, here as anywhere.
        if whole < 0 && quantity < 0 && (lot.is_some() || run.is_none()) {
            return Err(amiss(format!("more of {goods} goes out than is there"), "what came in, in a row before").into());
        }
        let reason = match (reason, run) {
            (Some(reason), Some(run)) => Some(format!("{reason}; run {run} of the file")),
            (None, Some(run)) => Some(format!("run {run} of the file")),
            (reason, None) => reason.map(|reason| Words::new(reason).to_string()),
        };
        let mut writer = Writer::new(self.at, at)?;
        let order = order.as_ref();
        let id = writer.put(&New { thing, lot, quantity, kind, run: None, order, reverses, reason: reason.as_deref() })?;
        if let Some(number) = number {
            self.movements.insert(number.to_owned(), id);
        }
        Ok(())
    }

    #[allow(clippy::too_many_arguments, reason = "a row's cells that tell of its lot")]
    fn lot(
        &mut self,
        at: i64,
        thing: ThingId,
        mark: Option<String>,
        customer: Option<Words>,
        says: LotSays,
        line: u64,
        goods: &Goods,
    ) -> Result<Option<LotId>, Fault> {
        let bare = says == LotSays::default();
        let Some(mark) = mark.or_else(|| (!bare || customer.is_some()).then(|| format!("\u{0}{line}"))) else { return Ok(None) };
        if let Some(read) = self.lots.get(&(thing, mark.clone())) {
            let same = read.customer.as_ref().map(Words::folded) == customer.as_ref().map(Words::folded) && says == read.says;
            let silent = bare && customer.is_none();
            if !(same || silent) {
                let what = format!("lot {} of {goods} is told otherwise in line {}", mark.trim_start_matches('\u{0}'), read.line);
                return Err(amiss(what, "the same in each of its rows, or nothing after the first,").into());
            }
            return Ok(Some(read.id));
        }
        let id = lots::new_lot(self.at, at, thing, customer.as_ref(), None, &says)?;
        self.lots.insert((thing, mark), ReadLot { id, says, customer, line });
        Ok(Some(id))
    }
}

/// A moment: with its offset from UTC, or a day, whose first moment by UTC is taken.
fn moment(text: &str) -> Option<i64> {
    let day = || Some(text.parse::<Date>().ok()?.at(0, 0, 0, 0));
    let whole = text.parse::<jiff::Timestamp>().ok();
    whole.or_else(|| jiff::tz::TimeZone::UTC.to_timestamp(day()?).ok()).map(jiff::Timestamp::as_millisecond)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_cell_comes_back_as_it_went_and_is_no_formula_on_the_way(cell in "['=+@\t\r -]{0,4}[a-z0-9=+-]{0,6}") {
            let out = guarded(&cell);
            prop_assert!(!out.starts_with(['=', '+', '-', '@', '\t', '\r']), "{}", out);
            prop_assert_eq!(unguarded(&out), cell);
        }
    }
}
