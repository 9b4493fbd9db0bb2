//! Things: what stands on a shelf, each in its own unit.

use super::act::Fault;
use super::{Error, Ledger, names};
use crate::measure::{Unit, Words};
use crate::stores::{Goods, Quality, Refusal, Sort, Thing, ThingId};
use rusqlite::{Connection, OptionalExtension, Row, params};
use rust_decimal::Decimal;

const THING: &str = "select thing.id, kind, known.name, size, fibre_um, revision, variant.name, quality, unit from thing
    join known_as known on known.named = thing.named and known.until is null
    left join known_as variant on variant.named = thing.variant and variant.until is null";

struct Columns {
    id: i64,
    kind: String,
    name: String,
    size: Option<String>,
    fibre_um: Option<u32>,
    revision: Option<u32>,
    variant: Option<String>,
    quality: Option<String>,
    unit: String,
}

fn columns(row: &Row<'_>) -> rusqlite::Result<Columns> {
    Ok(Columns {
        id: row.get(0)?,
        kind: row.get(1)?,
        name: row.get(2)?,
        size: row.get(3)?,
        fibre_um: row.get(4)?,
        revision: row.get(5)?,
        variant: row.get(6)?,
        quality: row.get(7)?,
        unit: row.get(8)?,
    })
}

fn meant(row: Columns) -> Result<Thing, Fault> {
    let amiss = |what: &str| Fault::Damaged(format!("thing {}: {what}", row.id));
    let unit = read_unit(&row.unit).ok_or_else(|| amiss("its unit is none"))?;
    let (name, size) = (Words::from(row.name), row.size.map(Words::from));
    let goods = match (row.kind.as_str(), size, row.revision, row.quality) {
        ("material", size, ..) => Goods::Material { name, size, fibre_um: row.fibre_um },
        ("hook", Some(size), ..) => Goods::Hook { chart: name, size },
        ("fly", Some(size), Some(revision), Some(quality)) => {
            let quality =
                Quality::ALL.into_iter().find(|one| one.name() == quality).ok_or_else(|| Fault::Damaged(format!("thing {}: its quality is none", row.id)))?;
            Goods::Fly { dressing: name, revision, size, variant: row.variant.map(Words::from), quality }
        }
        _ => return Err(Fault::Damaged(format!("thing {}: it is neither a material nor a hook nor a fly", row.id))),
    };
    Ok(Thing { id: ThingId(row.id), goods, unit })
}

pub(super) fn read_unit(name: &str) -> Option<Unit> {
    Unit::ALL.iter().copied().find(|unit| unit.name() == name)
}

/// The thing of this number.
pub(super) fn thing(at: &Connection, id: ThingId) -> Result<Thing, Fault> {
    let row = at.prepare_cached(&format!("{THING} where thing.id = ?"))?.query_row([id.0], columns).optional()?;
    meant(row.ok_or_else(|| Refusal::Unknown { what: format!("thing {id}") })?)
}

fn all(at: &Connection, which: &str, values: &[&dyn rusqlite::ToSql]) -> Result<Vec<Thing>, Fault> {
    let mut all = at.prepare_cached(&format!("{THING} {which}"))?;
    let rows: Vec<Columns> = all.query_map(values, columns)?.collect::<Result<_, _>>()?;
    rows.into_iter().map(meant).collect()
}

/// The columns goods are known by.
struct Key<'a> {
    kind: &'static str,
    named: i64,
    size: Option<&'a str>,
    fibre_um: Option<u32>,
    revision: Option<u32>,
    variant: Option<i64>,
    quality: Option<&'static str>,
}

impl Key<'_> {
    fn found(&self, at: &Connection) -> Result<Vec<(ThingId, Unit)>, Fault> {
        const SQL: &str = "select id, unit from thing where kind = ? and named = ? and coalesce(size, '') = ? and coalesce(fibre_um, 0) = ?
            and coalesce(revision, 0) = ? and coalesce(variant, 0) = ? and coalesce(quality, '') = ? order by id";
        let mut all = at.prepare_cached(SQL)?;
        let values = params![
            self.kind,
            self.named,
            self.size.unwrap_or(""),
            self.fibre_um.unwrap_or(0),
            self.revision.unwrap_or(0),
            self.variant.unwrap_or(0),
            self.quality.unwrap_or("")
        ];
        let rows: Vec<(i64, String)> = all.query_map(values, |row| Ok((row.get(0)?, row.get(1)?)))?.collect::<Result<_, _>>()?;
        let one = |(id, unit): (i64, String)| Ok((ThingId(id), read_unit(&unit).ok_or_else(|| Fault::Damaged(format!("thing {id}: its unit is none")))?));
        rows.into_iter().map(one).collect()
    }
}

fn kind(goods: &Goods) -> &'static str {
    match goods {
        Goods::Material { .. } => "material",
        Goods::Hook { .. } => "hook",
        Goods::Fly { .. } => "fly",
    }
}

fn key<'a>(goods: &'a Goods, named: i64, variant: Option<i64>) -> Key<'a> {
    let (mut fibre, mut made, mut as_good) = (None, None, None);
    match goods {
        Goods::Material { fibre_um, .. } => fibre = *fibre_um,
        Goods::Hook { .. } => {}
        Goods::Fly { revision, quality, .. } => (made, as_good) = (Some(*revision), Some(quality.name())),
    }
    Key { kind: kind(goods), named, size: goods.size().map(Words::as_str), fibre_um: fibre, revision: made, variant, quality: as_good }
}

fn variant_of(goods: &Goods) -> Option<&Words> {
    if let Goods::Fly { variant, .. } = goods { variant.as_ref() } else { None }
}

/// The things these goods are, one for each unit they are kept in.
fn known(at: &Connection, goods: &Goods) -> Result<Vec<(ThingId, Unit)>, Fault> {
    let Some(named) = names::number(at, goods.sort(), None, goods.name().as_str())? else { return Ok(Vec::new()) };
    let variant = match variant_of(goods) {
        None => None,
        Some(name) => match names::number(at, Sort::Variant, Some(named), name.as_str())? {
            None => return Ok(Vec::new()),
            some => some,
        },
    };
    key(goods, named, variant).found(at)
}

/// Of the things these goods are, the one kept in a unit this one can be turned into.
fn fitting(known: &[(ThingId, Unit)], unit: Unit) -> Option<(ThingId, Unit)> {
    let same = known.iter().find(|(_, kept)| *kept == unit);
    same.or_else(|| known.iter().find(|(_, kept)| kept.dimension() == unit.dimension())).copied()
}

/// The thing these goods are in a unit like this one, made where there is none, and the unit it is kept in.
pub(super) fn thing_or_new(at: &Connection, now: i64, goods: &Goods, unit: Unit) -> Result<(ThingId, Unit), Fault> {
    if let Some(found) = fitting(&known(at, goods)?, unit) {
        return Ok(found);
    }
    if goods.size().is_some_and(|size| size.as_str().trim().is_empty()) {
        return Err(Refusal::Senseless { what: "an empty size".to_owned(), right: "a size such as `14`, or none at all".to_owned() }.into());
    }
    if matches!(goods, Goods::Material { fibre_um: Some(0), .. }) {
        return Err(Refusal::Senseless { what: "a fibre length of nothing".to_owned(), right: "a length such as `6.4 mm`".to_owned() }.into());
    }
    let named = names::number_or_new(at, now, goods.sort(), None, goods.name())?;
    let variant = variant_of(goods).map(|name| names::number_or_new(at, now, Sort::Variant, Some(named), name)).transpose()?;
    let key = key(goods, named, variant);
    const SQL: &str = "insert into thing (kind, named, size, fibre_um, revision, variant, quality, unit) values (?, ?, ?, ?, ?, ?, ?, ?)";
    at.prepare_cached(SQL)?.execute(params![key.kind, named, key.size, key.fibre_um, key.revision, key.variant, key.quality, unit.name()])?;
    Ok((ThingId(at.last_insert_rowid()), unit))
}

/// A quantity told in one unit, in the unit it is kept in.
pub(super) fn in_unit(quantity: Decimal, told: Unit, kept: Unit, of: &Goods) -> Result<Decimal, Refusal> {
    if told.dimension() != kept.dimension() {
        return Err(Refusal::Unit { of: Words::new(&of.to_string()), kept, asked: told });
    }
    told.convert(quantity, kept).ok_or(Refusal::TooLarge)
}

impl Ledger {
    /// Everything that ever stood on the shelf, by name.
    ///
    /// # Errors
    /// The disk.
    pub fn things(&self) -> Result<Vec<Thing>, Error> {
        self.look("reading the stores", |at| all(at, "order by kind, known.folded, thing.id", &[]))
    }

    /// A thing by its number.
    ///
    /// # Errors
    /// No such thing; the disk.
    pub fn thing(&self, id: ThingId) -> Result<Thing, Error> {
        self.look("reading the stores", |at| thing(at, id))
    }

    /// The things these goods are: one for each unit they are kept in, often none or one.
    ///
    /// # Errors
    /// The disk.
    pub fn things_of(&self, goods: &Goods) -> Result<Vec<Thing>, Error> {
        self.look("reading the stores", |at| known(at, goods)?.into_iter().map(|(id, _)| thing(at, id)).collect())
    }

    /// Everything that hangs on one name: a material in each of its sizes, a chart's hooks, a dressing's flies.
    ///
    /// # Errors
    /// The disk.
    pub fn things_named(&self, sort: Sort, name: &Words) -> Result<Vec<Thing>, Error> {
        self.look("reading the stores", |at| match names::number(at, sort, None, name.as_str())? {
            None => Ok(Vec::new()),
            Some(number) => all(at, "where thing.named = ? order by thing.id", &[&number]),
        })
    }
}
