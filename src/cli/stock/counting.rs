//! Counting from the command line: one line at once, or several into a count that is booked as a whole.

use super::asked::{self, What, lot, words};
use super::{Fault, Shop};
use crate::cli::Verdict;
use crate::cli::asked::{Asked, DENSITY, MASS, Measure, linear_density, value};
use crate::cli::out::Out;
use crate::dressing::Keep;
use crate::ledger::{Count, CountId, CountLine, Found, Ledger};
use crate::measure::{Dimension, Unit, Words};
use crate::reckon::thread::spool_length;
use crate::reckon::weighing::{Sample, wire_tex};
use crate::stores::{Goods, InUse, Thing, counting};
use crate::why::cross;
use rust_decimal::Decimal;
use serde_json::json;

/// What was counted.
#[derive(Debug, clap::Args)]
pub struct CountOf {
    /// A material, a hook chart or a dressing, by its name in the bench's files
    #[arg(value_name = "NAME", required_unless_present_any = ["book", "drop"])]
    pub name: Option<String>,
    /// What is there: 25, `10 m`, `3*25 + 7`; full packs, of goods kept by eye
    #[arg(value_name = "AMOUNT", value_parser = value, required_unless_present_any = ["book", "drop"])]
    pub amount: Option<String>,
    /// Which of that name.
    #[command(flatten)]
    pub which: asked::Which,
    /// In this lot; in all of them together where left out
    #[arg(long, value_name = "LOT")]
    pub lot: Option<i64>,
    /// Of goods kept by eye: how much is left of the pack in use
    #[arg(long, value_name = "HOW MUCH", value_parser = ["full", "half", "nearly done", "none"])]
    pub in_use: Option<String>,
    /// Why it is over or short
    #[arg(long, value_name = "TEXT")]
    pub reason: Option<String>,
    /// Keep the line in the open count and book nothing yet
    #[arg(long, conflicts_with_all = ["book", "drop"])]
    pub later: bool,
    /// Book the open count: all its lines at once
    #[arg(long, conflicts_with_all = ["name", "drop"])]
    pub book: bool,
    /// Drop the open count: nothing of it is booked
    #[arg(long, conflicts_with = "name")]
    pub drop: bool,
    /// Print what was booked as JSON
    #[arg(long)]
    pub json: bool,
}

/// What was weighed.
#[derive(Debug, clap::Args)]
pub struct Weigh {
    /// What is meant.
    #[command(flatten)]
    pub what: What,
    /// What it weighs with what it lies in, in grams
    #[arg(value_name = "GROSS", value_parser = value)]
    pub gross: String,
    /// What it lies in, empty, in grams: the spool, the box
    #[arg(long, value_name = "MASS", default_value = "0 g", value_parser = value)]
    pub empty: String,
    /// Grams a kilometre of the strand; by the material's tex, or its width and density, where left out
    #[arg(long, value_name = "TEX", value_parser = value)]
    pub tex: Option<String>,
    /// The strand's density, where the material has none
    #[arg(long, value_name = "DENSITY", value_parser = value)]
    pub density: Option<String>,
    /// Of pieces: how many were weighed together as a sample, ten or more
    #[arg(long, value_name = "N", requires = "sample_mass")]
    pub sample: Option<u64>,
    /// What the sample weighs, in grams
    #[arg(long, value_name = "MASS", requires = "sample", value_parser = value)]
    pub sample_mass: Option<String>,
    /// The scales' step, in grams
    #[arg(long, value_name = "MASS", default_value = "0.01 g", value_parser = value)]
    pub step: String,
    /// In this lot; in all of them together where left out
    #[arg(long, value_name = "LOT")]
    pub lot: Option<i64>,
    /// Why it is over or short
    #[arg(long, value_name = "TEXT")]
    pub reason: Option<String>,
    /// Print what was booked as JSON
    #[arg(long)]
    pub json: bool,
}

/// The fewest pieces of a sample that a count may rest on.
const SAMPLE: u64 = 10;
/// Spread of one piece's mass as a share of its mean, where nobody measured it: assumed, and told as such.
const SPREAD: f64 = 0.02;
const STEP: Measure = Measure { over_nought: true, most: 1000.0, example: "0.01 g", ..MASS };

pub(super) fn count(shop: &Shop, asked: &CountOf, out: &mut Out) -> Result<Verdict, Fault> {
    if asked.book || asked.drop {
        return end(shop, asked.drop, out);
    }
    let (Some(name), Some(typed)) = (&asked.name, &asked.amount) else { return Err(Fault::new("nothing to count", "a name and what is there")) };
    let amount = asked::amount(typed)?;
    let what = What { name: name.clone(), which: asked.which.clone() };
    let goods = shop.goods(&what, shop.reading()?.as_ref())?;
    let material = shop.material(&goods);
    let by_eye = asked.in_use.is_some() || material.is_some_and(|material| material.keep == Keep::ByEye);
    if by_eye && asked.lot.is_some() {
        return Err(Fault::new(format!("{goods} is kept by eye, not by lots"), "leave `--lot` out"));
    }
    let mut ledger = shop.writing_there(out)?;
    let thing = shop.thing(&ledger, &goods, amount.unit.filter(|_| !by_eye))?;
    let found = if by_eye {
        let full = u32::try_from(amount.figure.mantissa()).ok().filter(|_| amount.figure.is_integer() && amount.unit.is_none_or(|unit| unit == Unit::Piece));
        let full = full.ok_or_else(|| Fault::new(format!("{goods} is kept by eye"), "a number of full packs, and `--in-use half` for the one in use"))?;
        let was = ledger.by_eye()?.into_iter().find(|seen| seen.thing == thing.id).and_then(|seen| seen.in_use);
        let in_use = asked.in_use.as_ref().map_or(was, |word| InUse::read(word));
        Found::ByEye { thing: thing.id, full, in_use }
    } else {
        let quantity = shop.in_unit(amount, &thing)?;
        match lot(asked.lot) {
            Some(lot) => Found::Lot { lot, quantity },
            None => Found::Whole { thing: thing.id, quantity },
        }
    };
    let reason = words(asked.reason.as_ref());
    if asked.later {
        let id = match open_count(&ledger)? {
            Some(count) => count.id,
            None => ledger.count_begin(shop.now, None)?,
        };
        let line = ledger.count_line(shop.now, id, &found, &Words::new(typed), reason.as_ref())?;
        tell_line(shop, &thing, &line, out);
        let lines = ledger.count_lines(id)?.len();
        if shop.json {
            out.json(&json!({ "schema": 1, "count": id.0, "lines": lines, "booked": null }));
        } else {
            out.line(&format!("kept as line {lines} of count {id}; `herl stock count --book` books it, `--drop` drops it"));
        }
        return Ok(Verdict::Fine);
    }
    booked_at_once(shop, &mut ledger, &thing, &found, &Words::new(typed), reason.as_ref(), out)
}

/// A count of one line, booked at once; where it cannot be, no count stays open.
fn booked_at_once(
    shop: &Shop,
    ledger: &mut Ledger,
    thing: &Thing,
    found: &Found,
    typed: &Words,
    reason: Option<&Words>,
    out: &mut Out,
) -> Result<Verdict, Fault> {
    let id = ledger.count_begin(shop.now, None)?;
    let line = ledger.count_line(shop.now, id, found, typed, reason);
    let line = match line {
        Ok(line) => line,
        Err(error) => {
            ledger.count_drop(shop.now, id)?;
            return Err(error.into());
        }
    };
    tell_line(shop, thing, &line, out);
    book(shop, ledger, id, out)
}

fn tell_line(shop: &Shop, thing: &Thing, line: &CountLine, out: &mut Out) {
    if shop.json {
        return;
    }
    let shown = |quantity: Decimal| shop.shown(quantity, thing.unit, &thing.goods);
    match &line.found {
        Found::ByEye { full, in_use, .. } => {
            let open = in_use.map_or("none in use", InUse::name);
            out.line(&format!("{}: {full} full, the one in use {open}", thing.goods));
        }
        Found::Whole { quantity, .. } | Found::Lot { quantity, .. } => {
            let (expected, difference) = (line.expected.unwrap_or_default(), line.difference.unwrap_or_default());
            let off = if difference.is_zero() {
                "as expected".to_owned()
            } else {
                format!("{} {}, {} was expected", shown(difference.abs()), if difference.is_sign_negative() { "short" } else { "over" }, shown(expected))
            };
            out.line(&format!("{}: {} counted, {off}", thing.goods, shown(*quantity)));
            if counting::asks_why(expected, *quantity) && line.reason.is_none() {
                out.trouble("advice: that is far off; `--reason` keeps why");
            }
        }
    }
}

fn open_count(ledger: &Ledger) -> Result<Option<Count>, Fault> {
    Ok(ledger.open_counts()?.into_iter().next_back())
}

fn end(shop: &Shop, drop: bool, out: &mut Out) -> Result<Verdict, Fault> {
    let mut ledger = shop.writing_there(out)?;
    let count = open_count(&ledger)?.ok_or_else(|| Fault::new("no count is open", "`herl stock count NAME AMOUNT --later` begins one"))?;
    if drop {
        ledger.count_drop(shop.now, count.id)?;
        if shop.json {
            out.json(&json!({ "schema": 1, "count": count.id.0, "dropped": true }));
        } else {
            out.line(&format!("count {} is dropped: nothing of its {} lines was booked", count.id, count.lines));
        }
        return Ok(Verdict::Fine);
    }
    book(shop, &mut ledger, count.id, out)
}

fn book(shop: &Shop, ledger: &mut Ledger, id: CountId, out: &mut Out) -> Result<Verdict, Fault> {
    let (booked, freed) = ledger.count_book(shop.now, id)?;
    for aside in &freed {
        let thing = ledger.thing(aside.thing)?;
        let much = shop.shown(aside.quantity, thing.unit, &thing.goods);
        out.trouble(&format!("advice: {much} of {} is no longer set aside for {}: there is less than was thought", thing.goods, aside.order));
    }
    match booked {
        Some(booked) => shop.tell(ledger, &booked, out)?,
        None if shop.json => out.json(&json!({ "schema": 1, "count": id.0, "booked": null, "by-eye": true })),
        None => out.line(&format!("count {id} is booked; goods kept by eye move nothing")),
    }
    Ok(Verdict::Fine)
}

pub(super) fn weigh(shop: &Shop, asked: &Weigh, out: &mut Out) -> Result<Verdict, Fault> {
    let mut read = Asked::default();
    let gross = read.figure("GROSS", &asked.gross, &MASS);
    let empty = read.figure("--empty", &asked.empty, &MASS);
    let step = read.figure("--step", &asked.step, &STEP);
    let tex = asked.tex.as_ref().map(|text| read.figure("--tex", text, &linear_density(Unit::Tex)));
    let density = asked.density.as_ref().map(|text| read.figure("--density", text, &DENSITY));
    let sample = asked.sample_mass.as_ref().map(|text| read.figure("--sample-mass", text, &Measure { over_nought: true, ..MASS }));
    let (Some(gross), Some(empty), Some(step), false) = (gross, empty, step, [tex, density, sample].iter().any(|figure| matches!(figure, Some(None)))) else {
        return Ok(read.tell(shop.json, out));
    };
    let (tex, density, sample) = (tex.flatten(), density.flatten(), sample.flatten());
    if empty > gross {
        return Err(Fault::new("empty it weighs more than with the goods", "the gross mass first, and the empty spool or box behind `--empty`"));
    }
    let goods = shop.goods(&asked.what, shop.reading()?.as_ref())?;
    let mut ledger = shop.writing_there(out)?;
    let thing = weighed_thing(shop, &ledger, &goods, asked.sample.is_some())?;
    let net = gross - empty;
    let (quantity, how) = match asked.sample.zip(sample) {
        Some((pieces, mass)) => by_sample(pieces, mass, step, net)?,
        None => by_mass(shop, &goods, &thing, net, tex, density)?,
    };
    if !shop.json {
        out.line(&how);
    } else {
        out.trouble(&how);
    }
    let found = match lot(asked.lot) {
        Some(lot) => Found::Lot { lot, quantity },
        None => Found::Whole { thing: thing.id, quantity },
    };
    let typed = Words::new(&format!("w {} - {}", asked.gross, asked.empty));
    booked_at_once(shop, &mut ledger, &thing, &found, &typed, words(asked.reason.as_ref()).as_ref(), out)
}

/// What is weighed: of goods kept in several units the one that a weight tells of.
fn weighed_thing(shop: &Shop, ledger: &Ledger, goods: &Goods, sample: bool) -> Result<Thing, Fault> {
    let things = ledger.things_of(goods)?;
    let told = |unit: Unit| matches!(unit.dimension(), Dimension::Length | Dimension::Mass);
    let fitting: Vec<&Thing> = things.iter().filter(|thing| told(thing.unit) != sample).collect();
    match fitting.as_slice() {
        [only] => Ok((*only).clone()),
        _ => shop.thing(ledger, goods, None),
    }
}

fn by_sample(pieces: u64, mass: f64, step: f64, net: f64) -> Result<(Decimal, String), Fault> {
    if pieces < SAMPLE {
        return Err(Fault::new(format!("a sample of {pieces} is too small to count by"), "ten pieces or more"));
    }
    let counted = Sample { pieces, mass, spread: SPREAD, step }.count(net);
    let counted = counted.and_then(|counted| Some((counted.whole(), counted.out(0.95)?.ceil())));
    let (whole, within) = counted.ok_or_else(|| Fault::new("no number comes of these masses", "what the sample weighs, and the whole, in grams"))?;
    Ok((Decimal::from(whole), format!("about {whole} by weight, within {within} in 19 of 20 (pieces taken to differ by 2 %)")))
}

fn by_mass(shop: &Shop, goods: &Goods, thing: &Thing, net: f64, tex: Option<f64>, density: Option<f64>) -> Result<(Decimal, String), Fault> {
    let crossed = |figure: f64, places: u32| cross(figure).map(|figure| figure.round_dp(places).normalize()).ok_or(crate::stores::Refusal::TooLarge);
    let grams = crossed(net, 4)?;
    match thing.unit.dimension() {
        Dimension::Mass => {
            let quantity = Unit::G.convert(grams, thing.unit).ok_or(crate::stores::Refusal::TooLarge)?;
            Ok((quantity.normalize(), format!("{grams} g by the scales")))
        }
        Dimension::Length => {
            let material = shop.material(goods);
            let told = |of: fn(&crate::dressing::Material) -> Option<f64>| material.and_then(of);
            let own = told(|material| material.tex.as_ref().map(|told| told.value));
            // A flat strand's section is not known by its width.
            let round = told(|material| material.width.as_ref().filter(|_| material.thick.is_none()).map(|told| told.value));
            let dense = density.or_else(|| told(|material| material.density.as_ref().map(|told| told.value)));
            let (tex, by) = match (tex.or(own), round.zip(dense).and_then(|(width, density)| wire_tex(width, density))) {
                (Some(tex), _) => (tex, "tex"),
                (None, Some(tex)) => (tex, "its width and density"),
                (None, None) => {
                    return Err(Fault::new(format!("a weight gives no length of {goods}"), "`--tex`, or `--density` for a round wire of known width"));
                }
            };
            let metres = spool_length(net, 0.0, tex).ok_or(crate::stores::Refusal::TooLarge)?;
            let metres = crossed(metres, 2)?;
            let quantity = Unit::M.convert(metres, thing.unit).map(|quantity| quantity.round_dp(6).normalize()).ok_or(crate::stores::Refusal::TooLarge)?;
            Ok((quantity, format!("{grams} g is about {metres} m by {by}")))
        }
        _ => Err(Fault::new(format!("{goods} is counted, and its weight alone gives no number"), "a weighed sample: `--sample 25 --sample-mass 0.5`")),
    }
}
