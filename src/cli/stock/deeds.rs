//! What is booked: received, used, made, wasted, put right, taken back. What was booked is told with its number, what is
//! on hand now, and how to take it back.

use super::asked::{self, Amount, What, lot, some_amount, unit_name, words};
use super::{Fault, Shop};
use crate::cli::Verdict;
use crate::cli::asked::{quoted, value};
use crate::cli::out::Out as Print;
use crate::ledger::{Booked, Correction, Ledger, Make, Out, Receipt, To};
use crate::measure::words::fold;
use crate::measure::{Dimension, Unit, Words};
use crate::stores::balance::Balance;
use crate::stores::{Goods, LotSays, Movement, MovementId, Thing, ThingId};
use rust_decimal::Decimal;
use serde_json::{Value, json};

/// What came.
#[derive(Debug, clap::Args)]
pub struct Receive {
    /// What is meant.
    #[command(flatten)]
    pub what: What,
    /// How much, with its unit: 25, `10 m`, `1 cape`
    #[arg(value_name = "AMOUNT", value_parser = value)]
    pub amount: String,
    /// More of a lot that is there; a lot of its own where left out
    #[arg(long, value_name = "LOT")]
    pub lot: Option<i64>,
    /// In no lot at all
    #[arg(long, conflicts_with_all = ["lot", "supplier", "price", "dye_lot", "proof", "apart_until", "customer"])]
    pub loose: bool,
    /// Who it came from
    #[arg(long, value_name = "NAME", conflicts_with = "lot")]
    pub supplier: Option<String>,
    /// The day it came; today where left out
    #[arg(long, value_name = "DAY", conflicts_with = "lot")]
    pub on: Option<String>,
    /// What all of it cost, in the bench's currency
    #[arg(long, value_name = "SUM", conflicts_with = "lot")]
    pub price: Option<String>,
    /// The dyer's number
    #[arg(long, value_name = "NUMBER", conflicts_with = "lot")]
    pub dye_lot: Option<String>,
    /// A swatch of it was kept
    #[arg(long, conflicts_with = "lot")]
    pub swatch: bool,
    /// Reference of its proof of origin
    #[arg(long, value_name = "REFERENCE", conflicts_with = "lot")]
    pub proof: Option<String>,
    /// Kept apart from the others until this day: a new skin may carry moth
    #[arg(long, value_name = "DAY", conflicts_with = "lot")]
    pub apart_until: Option<String>,
    /// The customer whose own goods they are
    #[arg(long, value_name = "NAME")]
    pub customer: Option<String>,
    /// Full packs this is, of goods kept by eye
    #[arg(long, value_name = "N")]
    pub packs: Option<u32>,
    /// A thing of its own though what is there is kept in another unit: a whole cape beside plucked feathers
    #[arg(long)]
    pub another_unit: bool,
    /// A remark on the lot
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
    /// Print what was booked as JSON
    #[arg(long)]
    pub json: bool,
}

/// Out of which lot, for whom, and why.
#[derive(Clone, Debug, clap::Args)]
pub struct From {
    /// Out of this lot; out of what is free where left out
    #[arg(long, value_name = "LOT")]
    pub lot: Option<i64>,
    /// For this customer: opens their own goods
    #[arg(long, value_name = "NAME")]
    pub customer: Option<String>,
    /// For this order: opens what it has set aside
    #[arg(long, value_name = "ORDER")]
    pub order: Option<String>,
    /// A reason or a remark
    #[arg(long, value_name = "TEXT")]
    pub reason: Option<String>,
}

/// What was used.
#[derive(Debug, clap::Args)]
pub struct Use {
    /// What is meant.
    #[command(flatten)]
    pub what: What,
    /// How much; left out with --pack
    #[arg(value_name = "AMOUNT", value_parser = value, required_unless_present = "pack", conflicts_with = "pack")]
    pub amount: Option<String>,
    /// Open the next full pack of goods kept by eye
    #[arg(long, conflicts_with_all = ["lot", "customer", "order", "reason"])]
    pub pack: bool,
    /// Out of what, for whom and why.
    #[command(flatten)]
    pub from: From,
    /// Print what was booked as JSON
    #[arg(long)]
    pub json: bool,
}

/// What was wasted.
#[derive(Debug, clap::Args)]
pub struct Waste {
    /// What is meant.
    #[command(flatten)]
    pub what: What,
    /// How much
    #[arg(value_name = "AMOUNT", value_parser = value)]
    pub amount: String,
    /// Out of what, for whom and why.
    #[command(flatten)]
    pub from: From,
    /// Print what was booked as JSON
    #[arg(long)]
    pub json: bool,
}

/// What was made.
#[derive(Debug, clap::Args)]
pub struct MakeOf {
    /// What is meant.
    #[command(flatten)]
    pub what: What,
    /// How many good ones
    #[arg(value_name = "AMOUNT", value_parser = value)]
    pub amount: String,
    /// What went into all of it, `NAME=AMOUNT`, once for each; by `made-from` in materials.yaml where left out
    #[arg(long, value_name = "NAME=AMOUNT")]
    pub of: Vec<String>,
    /// How many were spoilt besides
    #[arg(long, value_name = "AMOUNT", value_parser = value)]
    pub spoilt: Option<String>,
    /// A remark
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
    /// Print what was booked as JSON
    #[arg(long)]
    pub json: bool,
}

/// What is put right.
#[derive(Debug, clap::Args)]
pub struct Correct {
    /// What is meant.
    #[command(flatten)]
    pub what: What,
    /// By how much: `+5`, `-0.5 m`
    #[arg(value_name = "BY", allow_hyphen_values = true)]
    pub by: String,
    /// Why
    #[arg(long, value_name = "TEXT")]
    pub reason: String,
    /// Of this lot; of the loose goods where left out
    #[arg(long, value_name = "LOT")]
    pub lot: Option<i64>,
    /// Print what was booked as JSON
    #[arg(long)]
    pub json: bool,
}

/// What is taken back.
#[derive(Debug, clap::Args)]
pub struct Undo {
    /// The movement's number
    #[arg(value_name = "NUMBER")]
    pub movement: i64,
    /// Why
    #[arg(long, value_name = "TEXT")]
    pub reason: Option<String>,
    /// Print what was booked as JSON
    #[arg(long)]
    pub json: bool,
}

pub(super) fn receive(shop: &Shop, asked: &Receive, out: &mut Print) -> Result<Verdict, Fault> {
    let amount = some_amount(&asked.amount)?;
    let reading = shop.reading()?;
    let goods = shop.goods(&asked.what, reading.as_ref())?;
    let things = reading.as_ref().map_or(Ok(Vec::new()), |ledger| ledger.things_of(&goods))?;
    let unit = unit_of_receipt(shop, asked, amount, &goods, &things)?;
    let to = match (asked.lot, asked.loose) {
        (Some(number), _) => {
            let id = crate::stores::LotId(number);
            let there = reading.as_ref().map(|ledger| ledger.lot(id)).transpose()?;
            there.ok_or_else(|| Fault::new(format!("there is no lot {number}"), "leave `--lot` out: a lot of its own is made"))?;
            To::Lot(id)
        }
        (None, true) => To::Loose,
        (None, false) => To::NewLot(says(shop, asked)?),
    };
    let customer = words(asked.customer.as_ref());
    let receipt =
        Receipt { goods: goods.clone(), quantity: amount.figure, unit, to, customer, order: None, packs: asked.packs, reason: words(asked.note.as_ref()) };
    drop(reading);
    let mut ledger = shop.writing(out)?;
    let booked = ledger.receive(shop.now, &receipt)?;
    shop.tell(&ledger, &booked, out)?;
    cautions(shop, asked, &goods, unit, out);
    Ok(Verdict::Fine)
}

/// The unit goods come in: as told, if what is there or a pack is measured so.
fn unit_of_receipt(shop: &Shop, asked: &Receive, amount: Amount, goods: &Goods, things: &[Thing]) -> Result<Unit, Fault> {
    let packs = shop.material(goods).map(|material| material.packs.iter().map(|pack| pack.unit).collect::<Vec<_>>()).unwrap_or_default();
    let kept: Vec<Unit> = things.iter().map(|thing| thing.unit).collect();
    let usual: Vec<Unit> = if kept.is_empty() { packs } else { [kept, packs].concat() };
    let counted = !matches!(goods, Goods::Material { .. });
    let Some(unit) = amount.unit else {
        if counted || usual.is_empty() || usual.contains(&Unit::One) {
            return Ok(Unit::One);
        }
        let first = usual.first().copied().unwrap_or(Unit::One);
        let right = format!("add the unit, such as `{}`", shop.shown(amount.figure, first, goods));
        return Err(Fault::new(format!("{} has no unit, and {goods} is kept or sold in {}", quoted(&asked.amount), unit_name(first)), right));
    };
    if matches!(unit.dimension(), Dimension::Time | Dimension::Density | Dimension::LinearDensity | Dimension::Angle) || counted && unit != Unit::One {
        return Err(Fault::new(
            format!("{goods} cannot be kept in {}", unit_name(unit)),
            if counted { "a plain number" } else { "an amount such as `10 m`, `5 g`, `25` or `1 cape`" },
        ));
    }
    if !usual.is_empty() && !asked.another_unit && !usual.iter().any(|known| known.dimension() == unit.dimension()) {
        let first = usual.first().copied().unwrap_or(Unit::One);
        let right = format!("an amount in {}; or `--another-unit`, if it is to be kept in {} besides", unit_name(first), unit_name(unit));
        return Err(Fault::new(format!("{goods} is kept or sold in {}, which {} does not measure", unit_name(first), unit_name(unit)), right));
    }
    Ok(unit)
}

fn says(shop: &Shop, asked: &Receive) -> Result<LotSays, Fault> {
    let supplier = match words(asked.supplier.as_ref()) {
        None => None,
        Some(name) => {
            let suppliers = &shop.opened.bench.shelf.suppliers;
            match suppliers.get(&name.folded()) {
                Some(known) => Some(Words::new(&known.name.value)),
                None => {
                    let known = suppliers.values().map(|supplier| supplier.name.value.as_str());
                    let right = crate::diagnostic::near_or_all(name.as_str(), known, "write it under `suppliers:` in materials.yaml first");
                    return Err(Fault::new(format!("{} is not a supplier of this bench", quoted(name.as_str())), right));
                }
            }
        }
    };
    let on = asked.on.as_ref().map(|text| asked::day("--on", text)).transpose()?;
    let price = asked.price.as_ref().map(|text| shop.price(text)).transpose()?;
    if price.is_some() && asked.customer.is_some() {
        return Err(Fault::new("a customer's own goods have no price here", "leave `--price` out"));
    }
    Ok(LotSays {
        supplier,
        received: on.or(Some(shop.today)),
        price,
        dye_lot: words(asked.dye_lot.as_ref()),
        swatch: asked.swatch,
        proof: words(asked.proof.as_ref()),
        apart_until: asked.apart_until.as_ref().map(|text| asked::day("--apart-until", text)).transpose()?,
        note: words(asked.note.as_ref()),
    })
}

/// What is said beside goods that came: protected kinds, and moth. Short, and deferring.
fn cautions(shop: &Shop, asked: &Receive, goods: &Goods, unit: Unit, out: &mut Print) {
    if asked.lot.is_some() {
        return;
    }
    let Some(material) = shop.material(goods) else { return };
    if let Some(ask) = material.ask.as_ref().filter(|_| asked.proof.is_none()) {
        out.trouble(&format!(
            "advice: {} for {} was not noted; `--proof` keeps its reference with the lot. Which feathers and skins may be kept, sold or posted is for the law of the places they go through",
            Words::new(&ask.value),
            goods
        ));
    }
    let skin = unit == Unit::Piece
        && material.packs.iter().any(|pack| ["cape", "neck", "saddle", "patch", "skin", "tail", "wing", "mask", "crest", "body"].contains(&pack.noun.as_str()));
    if skin && asked.apart_until.is_none() {
        out.trouble("advice: a new skin may carry moth: keep it apart, closed and dry, and look again after some weeks (`--apart-until DAY`); with a moth killer, its label is the rule");
    }
}

fn taken(shop: &Shop, ledger: &Ledger, what: &What, amount: &str, from: &From) -> Result<Out, Fault> {
    let amount = some_amount(amount)?;
    let goods = shop.goods(what, Some(ledger))?;
    let thing = shop.thing(ledger, &goods, amount.unit)?;
    let quantity = shop.in_unit(amount, &thing)?;
    Ok(Out {
        thing: thing.id,
        quantity,
        lot: lot(from.lot),
        customer: words(from.customer.as_ref()),
        order: words(from.order.as_ref()),
        reason: words(from.reason.as_ref()),
    })
}

pub(super) fn use_up(shop: &Shop, asked: &Use, out: &mut Print) -> Result<Verdict, Fault> {
    let Some(amount) = &asked.amount else { return open_pack(shop, asked, out) };
    some_amount(amount)?;
    let mut ledger = shop.writing_there(out)?;
    let gone = taken(shop, &ledger, &asked.what, amount, &asked.from)?;
    let booked = ledger.use_up(shop.now, &gone)?;
    shop.tell(&ledger, &booked, out)?;
    Ok(Verdict::Fine)
}

fn open_pack(shop: &Shop, asked: &Use, out: &mut Print) -> Result<Verdict, Fault> {
    let mut ledger = shop.writing_there(out)?;
    let goods = shop.goods(&asked.what, Some(&ledger))?;
    let thing = shop.thing(&ledger, &goods, None)?;
    let seen = ledger.open_pack(shop.now, thing.id)?;
    let spare = shop.material(&goods).and_then(|material| material.spare.as_ref().map(|told| told.value));
    let low = seen.low(spare);
    if shop.json {
        out.json(
            &json!({ "schema": 1, "thing": goods.to_string(), "full-packs": seen.full, "in-use": seen.in_use.map(crate::stores::InUse::name), "low": low }),
        );
    } else {
        out.line(&format!("opened a pack of {goods}; {} full beside it", seen.full));
        if low {
            out.line("that is fewer than are to be spare: it is on the list of `herl stock low`");
        }
    }
    Ok(Verdict::Fine)
}

pub(super) fn waste(shop: &Shop, asked: &Waste, out: &mut Print) -> Result<Verdict, Fault> {
    some_amount(&asked.amount)?;
    let mut ledger = shop.writing_there(out)?;
    let gone = taken(shop, &ledger, &asked.what, &asked.amount, &asked.from)?;
    let booked = ledger.waste(shop.now, &gone)?;
    shop.tell(&ledger, &booked, out)?;
    Ok(Verdict::Fine)
}

pub(super) fn make(shop: &Shop, asked: &MakeOf, out: &mut Print) -> Result<Verdict, Fault> {
    let amount = some_amount(&asked.amount)?;
    let spoilt = asked.spoilt.as_ref().map(|text| asked::amount(text)).transpose()?.map_or(Decimal::ZERO, |amount| amount.figure);
    let mut ledger = shop.writing_there(out)?;
    let goods = shop.goods(&asked.what, Some(&ledger))?;
    let unit = amount.unit.or_else(|| shop.thing(&ledger, &goods, None).ok().map(|thing| thing.unit)).unwrap_or(Unit::One);
    let mut makings = Vec::new();
    for (name, amount) in makings_of(shop, asked, &goods, amount.figure.saturating_add(spoilt))? {
        let what = What { name, which: asked::Which::default() };
        let making = shop.goods(&what, Some(&ledger))?;
        let thing = shop.thing(&ledger, &making, amount.unit)?;
        makings.push(Out::of(thing.id, shop.in_unit(amount, &thing)?));
    }
    let says = LotSays { received: Some(shop.today), note: words(asked.note.as_ref()), ..LotSays::default() };
    let made = Receipt { to: To::NewLot(says), ..Receipt::of(goods, amount.figure, unit) };
    let booked = ledger.make(shop.now, &Make { makings, made, lost: spoilt })?;
    shop.tell(&ledger, &booked, out)?;
    Ok(Verdict::Fine)
}

/// What goes into so many: as told, else by `made-from`, for the spoilt ones too.
fn makings_of(shop: &Shop, asked: &MakeOf, goods: &Goods, all: Decimal) -> Result<Vec<(String, Amount)>, Fault> {
    if !asked.of.is_empty() {
        return asked
            .of
            .iter()
            .map(|text| {
                let (name, amount) =
                    text.rsplit_once('=').ok_or_else(|| Fault::new(format!("--of {} has no `=`", quoted(text)), "`--of \"gold wire, fine=2 m\"`"))?;
                Ok((name.trim().to_owned(), some_amount(amount)?))
            })
            .collect();
    }
    let making = shop.opened.bench.makings.get(&fold(goods.name().as_str())).filter(|making| !making.from.is_empty());
    let making = making
        .ok_or_else(|| Fault::new(format!("nothing says what {goods} is made from"), "`--of NAME=AMOUNT`, once for each; or `made-from:` in materials.yaml"))?;
    making
        .from
        .iter()
        .map(|(of, each)| {
            let name = shop.opened.bench.shelf.materials.get(&of.value).map_or(of.value.as_str(), |material| material.name.value.as_str());
            let figure = each.value.figure.to_decimal().and_then(|each| each.checked_mul(all)).map(|figure| figure.round_dp(6).normalize());
            let figure = figure.ok_or(crate::stores::Refusal::TooLarge)?;
            Ok((name.to_owned(), Amount { figure, unit: Some(each.value.unit).filter(|unit| *unit != Unit::One) }))
        })
        .collect()
}

pub(super) fn correct(shop: &Shop, asked: &Correct, out: &mut Print) -> Result<Verdict, Fault> {
    let text = asked.by.trim();
    let (less, text) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let amount = some_amount(text)?;
    if Words::new(&asked.reason).folded().is_empty() {
        return Err(Fault::new("a correction without a reason", "a word on why, behind `--reason`"));
    }
    let mut ledger = shop.writing_there(out)?;
    let goods = shop.goods(&asked.what, Some(&ledger))?;
    let thing = shop.thing(&ledger, &goods, amount.unit)?;
    let by = shop.in_unit(amount, &thing)?;
    let by = if less { -by } else { by };
    let booked = ledger.correct(shop.now, &Correction { thing: thing.id, lot: lot(asked.lot), by, reason: Words::new(asked.reason.trim()) })?;
    shop.tell(&ledger, &booked, out)?;
    Ok(Verdict::Fine)
}

pub(super) fn undo(shop: &Shop, asked: &Undo, out: &mut Print) -> Result<Verdict, Fault> {
    let mut ledger = shop.writing_there(out)?;
    let booked = ledger.undo(shop.now, MovementId(asked.movement), words(asked.reason.as_ref()).as_ref())?;
    shop.tell(&ledger, &booked, out)?;
    Ok(Verdict::Fine)
}

impl Shop {
    /// Tells what was booked, what is on hand now, and how it is taken back.
    pub(super) fn tell(&self, ledger: &Ledger, booked: &Booked, out: &mut Print) -> Result<(), Fault> {
        let mut touched: Vec<Thing> = Vec::new();
        for movement in &booked.movements {
            if !touched.iter().any(|thing| thing.id == movement.thing) {
                touched.push(ledger.thing(movement.thing)?);
            }
        }
        let balances = ledger.balances()?;
        let balance = |id: ThingId| balances.iter().find(|balance| balance.thing == id);
        if self.json {
            let name = |id: ThingId| touched.iter().find(|thing| thing.id == id);
            let rows: Vec<Value> = booked.movements.iter().map(|movement| movement_json(movement, name(movement.thing))).collect();
            let now: Vec<Value> = touched.iter().filter_map(|thing| Some(balance_json(thing, balance(thing.id)?))).collect();
            out.json(&json!({ "schema": 1, "booked": booked.deed.0, "movements": rows, "on-hand": now, "undo": format!("herl stock undo {}", booked.deed) }));
            return Ok(());
        }
        for movement in &booked.movements {
            let Some(thing) = touched.iter().find(|thing| thing.id == movement.thing) else { continue };
            out.line(&self.said(movement, thing));
        }
        for thing in &touched {
            if let Some(balance) = balance(thing.id) {
                out.line(&self.there_now(thing, balance));
            }
        }
        out.line(&format!("booked as movement {}; `herl stock undo {}` takes it back", booked.deed, booked.deed));
        Ok(())
    }

    fn said(&self, movement: &Movement, thing: &Thing) -> String {
        let much = self.shown(movement.quantity.abs(), thing.unit, &thing.goods);
        let (way, sign) = if movement.quantity.is_sign_negative() { ("out of", "-") } else { ("into", "+") };
        let place = movement.lot.map_or_else(|| "loose goods".to_owned(), |lot| format!("lot {lot}"));
        let back = movement.reverses.map_or_else(String::new, |was| format!(", takes back movement {was}"));
        format!("{}  {}: {sign}{much} {way} {place}{back}", movement.kind.name(), thing.goods)
    }

    /// `gold wire, fine: 22.5 m on hand, 4 m of it set aside`.
    pub(super) fn there_now(&self, thing: &Thing, balance: &Balance) -> String {
        let shown = |quantity: Decimal| self.shown(quantity, thing.unit, &thing.goods);
        let mut line = format!("{}: {} on hand now", thing.goods, shown(balance.on_hand));
        if !balance.set_aside.is_zero() {
            line.push_str(&format!(", {} of it set aside, {} free", shown(balance.set_aside), shown(balance.free())));
        }
        if !balance.customers.is_zero() {
            line.push_str(&format!(", and {} of customers' own", shown(balance.customers)));
        }
        line
    }
}

/// A movement as JSON; quantities are text, exact.
pub(super) fn movement_json(movement: &Movement, thing: Option<&Thing>) -> Value {
    json!({
        "movement": movement.id.0,
        "deed": movement.deed.0,
        "at": jiff::Timestamp::from_millisecond(movement.at).ok().map(|at| at.to_string()),
        "thing": thing.map(|thing| thing.goods.to_string()),
        "lot": movement.lot.map(|lot| lot.0),
        "quantity": movement.quantity.normalize().to_string(),
        "unit": thing.map(|thing| thing.unit.name()),
        "kind": movement.kind.name(),
        "run": movement.run,
        "order": movement.order,
        "takes-back": movement.reverses.map(|id| id.0),
        "taken-back-by": movement.reversed_by.map(|id| id.0),
        "reason": movement.reason,
    })
}

/// What there is of a thing, as JSON.
pub(super) fn balance_json(thing: &Thing, balance: &Balance) -> Value {
    let text = |quantity: Decimal| quantity.normalize().to_string();
    let goods = &thing.goods;
    json!({
        "thing": goods.to_string(),
        "sort": goods.sort().name(),
        "name": goods.name(),
        "size": goods.size(),
        "unit": thing.unit.name(),
        "on-hand": text(balance.on_hand),
        "loose": text(balance.loose),
        "set-aside": text(balance.set_aside),
        "free": text(balance.free()),
        "customers": text(balance.customers),
    })
}
