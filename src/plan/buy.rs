//! What is bought: the cheapest packs over all suppliers for what is short, carriage and free carriage reckoned in.
//!
//! Which packs is found by a search (`reckon::suppliers`) and set as given; that they cover what is short, what they cost
//! and what is left over is worked from it, so that it can be checked.

use super::formulas::*;
use super::needs::{self, InUnit, Use, in_unit, place};
use super::run::Draft;
use super::work::Planner;
use super::{Bought, Buying, MaterialLine, Parcel};
use crate::diagnostic::At;
use crate::dressing::{Pack, Supplier};
use crate::measure::{Unit, words};
use crate::reckon::packs;
use crate::reckon::search::Budget;
use crate::reckon::suppliers::{self, Offer};
use crate::why::{Fig, Standing};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

formula! { CARRIAGE: "carriage, or none where the goods reach the sum from which it is free", [Money, Money] then [Money] gives Money, "the supplier's terms",
|x| match x {
    [goods, _, free] if goods >= free => Some(Decimal::ZERO),
    [_, carriage, ..] => Some(*carriage),
    _ => None,
} }

/// Nodes of the search: a blink.
const NODES: u64 = 1_000_000;
/// Decimals of a need's unit that the search sees.
const FINE: u32 = 6;
/// Decimals of the minor unit that it sees.
const FINER_MONEY: u32 = 2;

/// A need and the packs that may cover it.
struct Want<'a> {
    name: String,
    key: String,
    unit: Unit,
    short: Fig,
    packs: Vec<(&'a Pack, Covers)>,
    runs: Vec<usize>,
    /// It is counted in packs.
    in_packs: bool,
}

/// What a pack covers of a need: on the sheet already, or not yet.
enum Covers {
    Set(Fig),
    Not(Decimal),
}

impl Covers {
    fn value(&self, p: &Planner<'_>) -> Decimal {
        match self {
            Covers::Set(fig) => p.figures.value(*fig),
            Covers::Not(value) => *value,
        }
    }
}

/// Plans the buying. `None` where nothing is short or a sum is too large.
pub(super) fn work(p: &mut Planner<'_>, drafts: &[Draft], lines: &[MaterialLine], digits: Fig) -> Option<Buying> {
    let wants = wants(p, drafts, lines);
    let places = p.currency.digits() + FINER_MONEY;
    let mut sellers: Vec<(String, Option<&Supplier>)> = Vec::new();
    let (mut needs, mut offers, mut offered) = (Vec::new(), Vec::new(), Vec::new());
    for (nth, want) in wants.iter().enumerate() {
        needs.push(scaled(p.figures.value(want.short), FINE)?);
        for (which, (pack, covers)) in want.packs.iter().enumerate() {
            let name = pack.supplier.as_ref().map(|told| words::fold(&told.value)).unwrap_or_default();
            let supplier = match sellers.iter().position(|(other, _)| *other == name) {
                Some(found) => found,
                None => {
                    let known = p.shelf.suppliers.get(&name);
                    sellers.push((name, known));
                    sellers.len() - 1
                }
            };
            let (Some(holds), Some(price)) = (scaled(covers.value(p), FINE), scaled(pack.price.value.checked_mul(on_top(sellers.get(supplier)?.1))?, places))
            else {
                continue;
            };
            if holds == 0 {
                continue;
            }
            offers.push(Offer { supplier, need: nth, pack: packs::Pack { size: holds, price, most: None } });
            offered.push((nth, which, supplier));
        }
    }
    let terms: Option<Vec<suppliers::Supplier>> = sellers
        .iter()
        .map(|(_, known)| {
            let money = |sum: Option<Decimal>| sum.map(|sum| scaled(sum.checked_mul(on_top(*known))?, places));
            let carriage = money(known.and_then(|known| known.carriage)).unwrap_or(Some(0))?;
            let free_from = match money(known.and_then(|known| known.free_over)) {
                Some(sum) => Some(sum?),
                None => None,
            };
            Some(suppliers::Supplier { carriage, free_from })
        })
        .collect();
    let found = match suppliers::cheapest(&needs, &terms?, &offers, &mut Budget::of(NODES)) {
        Ok(Some(found)) => found,
        Ok(None) | Err(_) => {
            p.open.push("what to buy: there are too many packs or suppliers, or figures too large, to choose among".to_owned());
            return None;
        }
    };
    let from = match found.proved {
        true => "the cheapest packs over all suppliers with carriage, found and proved".to_owned(),
        false => "the cheapest packs found; the search was ended before it was proved that none are cheaper".to_owned(),
    };
    let mut parcels: Vec<(usize, Vec<Bought>)> = Vec::new();
    let mut covered: Vec<Vec<Fig>> = wants.iter().map(|want| vec![want.short]).collect();
    for ((nth, which, supplier), count) in offered.iter().zip(&found.counts).filter(|(_, count)| **count > 0) {
        let want = wants.get(*nth)?;
        let (pack, covers) = want.packs.get(*which)?;
        let key = format!("buy {}.pack {}", want.key, which + 1);
        let packs = p.figures.given(format!("{key}.packs"), Decimal::from(*count), Unit::One, standing(p, want.short), from.clone());
        let covers = match covers {
            Covers::Set(fig) => *fig,
            Covers::Not(value) => {
                let from = format!("{}, by what this order's flies take of it", place(&pack.at));
                p.figures.given(format!("{key}.covers"), *value, want.unit, Standing::Stated, from)
            }
        };
        covered.get_mut(*nth)?.extend([packs, covers]);
        let told = p.figures.given(format!("{key}.price"), pack.price.value, Unit::Money, Standing::Stated, place(&pack.price.at));
        let price = with_tax(p, &format!("{key}.paid"), told, sellers.get(*supplier)?.1)?;
        let exact = p.work(&format!("{key}.cost-exact"), &PACK_COST, &[packs, price])?;
        let cost = super::cost::round(p, &format!("{key}.cost"), digits, exact)?;
        let bought = Bought {
            material: want.name.clone(),
            packs,
            pack: needs::pack_in_words(pack),
            cost,
            left: want.short,
            in_packs: want.in_packs,
            runs: want.runs.clone(),
        };
        match parcels.iter_mut().find(|(other, _)| other == supplier) {
            Some((_, goods)) => goods.push(bought),
            None => parcels.push((*supplier, vec![bought])),
        }
    }
    let mut left = Vec::new();
    for (want, covered) in wants.iter().zip(&covered) {
        left.push((want.short, p.work(&format!("buy {}.left", want.key), in_unit(want.unit).left, covered)?));
    }
    for bought in parcels.iter_mut().flat_map(|(_, goods)| goods) {
        bought.left = left.iter().find(|(short, _)| *short == bought.left)?.1;
    }
    parcels.sort_by_key(|(supplier, _)| *supplier);
    let mut all = Vec::new();
    for (supplier, goods) in parcels {
        let (name, known) = sellers.get(supplier)?;
        all.push(parcel(p, name, *known, goods, digits)?);
    }
    if all.is_empty() {
        return None;
    }
    let sums: Vec<Fig> = all.iter().map(|parcel| parcel.sum).collect();
    let sum = p.work("order.buy", &MONEY_SUM, &sums)?;
    let bound = if found.proved { None } else { Some(Decimal::from_i128_with_scale(i128::from(found.bound), places)) };
    let bound = bound.map(|bound| {
        p.figures.given("order.buy-bound", bound, Unit::Money, Standing::Stated, "what no purchase can cost less than, as far as the search came")
    });
    Some(Buying { parcels: all, sum, bound })
}

fn parcel(p: &mut Planner<'_>, name: &str, known: Option<&Supplier>, lines: Vec<Bought>, digits: Fig) -> Option<Parcel> {
    let key = format!("parcel {}", if name.is_empty() { "from anywhere" } else { name });
    let costs: Vec<Fig> = lines.iter().map(|line| line.cost).collect();
    let goods = p.work(&format!("{key}.goods"), &MONEY_SUM, &costs)?;
    let mut carriage = None;
    if let Some((known, sum)) = known.and_then(|known| Some((known, known.carriage?))) {
        let at = known.name.at.key("carriage");
        let told = given(p, &format!("{key}.carriage-told"), sum, &at, Some(known))?;
        let mut inputs = vec![goods, told];
        if let Some(free) = known.free_over {
            inputs.push(given(p, &format!("{key}.free-over"), free, &known.name.at.key("free-over"), Some(known))?);
        }
        let exact = p.work(&format!("{key}.carriage-exact"), &CARRIAGE, &inputs)?;
        carriage = Some(super::cost::round(p, &format!("{key}.carriage"), digits, exact)?);
    }
    let mut parts = vec![goods];
    parts.extend(carriage);
    let sum = p.work(&format!("{key}.sum"), &MONEY_SUM, &parts)?;
    let supplier = known.map(|known| known.name.value.clone()).or_else(|| (!name.is_empty()).then(|| name.to_owned()));
    let lead = known.and_then(|known| known.lead_days).map(|days| {
        let at = known.map(|known| place(&known.name.at.key("lead"))).unwrap_or_default();
        p.figures.given(format!("{key}.lead"), days, Unit::Day, Standing::Stated, at)
    });
    Some(Parcel { key, supplier, lines, goods, carriage, sum, lead })
}

/// A sum as the supplier tells it, and with the tax that comes on top.
fn given(p: &mut Planner<'_>, key: &str, sum: Decimal, at: &At, known: Option<&Supplier>) -> Option<Fig> {
    let told = p.figures.given(key, sum, Unit::Money, Standing::Stated, place(at));
    with_tax(p, &format!("{key}-paid"), told, known)
}

fn with_tax(p: &mut Planner<'_>, key: &str, sum: Fig, known: Option<&Supplier>) -> Option<Fig> {
    match known.and_then(|known| Some((known, known.tax?))).filter(|(known, tax)| known.with_tax == Some(false) && !tax.is_zero()) {
        Some((known, tax)) => {
            let tax = needs::supplier_tax(p, known, tax);
            p.work(key, &WITH_TAX, &[sum, tax])
        }
        None => Some(sum),
    }
}

/// What a supplier's prices are multiplied by where his tax comes on top.
fn on_top(known: Option<&Supplier>) -> Decimal {
    let tax = known.filter(|known| known.with_tax == Some(false)).and_then(|known| known.tax);
    Decimal::ONE + tax.unwrap_or_default()
}

fn standing(p: &Planner<'_>, fig: Fig) -> Standing {
    p.figures.at(fig).standing
}

/// In whole numbers of the last decimal looked at.
fn scaled(value: Decimal, places: u32) -> Option<u64> {
    value.checked_mul(Decimal::from(10_u64.checked_pow(places)?))?.round().to_u64()
}

/// What is short, material by material; sizes of one cape or skin are one need.
fn wants<'a>(p: &mut Planner<'_>, drafts: &'a [Draft], lines: &[MaterialLine]) -> Vec<Want<'a>> {
    let mut groups: Vec<(&str, Vec<&MaterialLine>)> = Vec::new();
    for line in lines.iter().filter(|line| line.short.is_some_and(|short| p.figures.value(short) > Decimal::ZERO)) {
        match groups.iter_mut().find(|(of, _)| *of == line.of) {
            Some((_, group)) => group.push(line),
            None => groups.push((&line.of, vec![line])),
        }
    }
    groups.into_iter().filter_map(|(of, group)| want(p, drafts, of, &group)).collect()
}

fn want<'a>(p: &mut Planner<'_>, drafts: &'a [Draft], of: &str, group: &[&MaterialLine]) -> Option<Want<'a>> {
    let mine = |line: &MaterialLine| -> Vec<&'a Use> {
        let uses = drafts.iter().flat_map(|run| &run.uses);
        uses.filter(|used| used.unit == line.unit && line.key.strip_prefix("all ").is_some_and(|key| key == used.key)).collect()
    };
    let mut runs: Vec<usize> = group.iter().flat_map(|line| line.runs.iter().copied()).collect();
    runs.sort_unstable();
    runs.dedup();
    // Of each line, each pack that covers all its uses, with what one pack covers.
    let mut by_line: Vec<Vec<(&'a Pack, Covers)>> = Vec::new();
    for line in group {
        let uses = mine(line);
        let amount = p.figures.value(line.amount);
        let mut packs = Vec::new();
        for (pack, _) in &uses.first()?.shares {
            let shares: Option<Vec<Decimal>> =
                uses.iter().map(|used| used.shares.iter().find(|(other, _)| other.at == pack.at).map(|(_, share)| *share)).collect();
            let Some(all) = shares.and_then(|shares| shares.iter().try_fold(Decimal::ZERO, |all, one| all.checked_add(*one))) else { continue };
            let Some(covers) = amount.checked_div(all) else { continue };
            // The pack that every use is costed by has its share on the sheet.
            let costed = uses.iter().all(|used| used.pack.as_deref() == Some(needs::in_words(p, pack).as_str()));
            let covers = match line.packs.filter(|_| costed) {
                Some(packs) => Covers::Set(p.work(&format!("{}.pack-covers", line.key), in_unit(line.unit).covers, &[line.amount, packs])?),
                None => Covers::Not(covers),
            };
            packs.push((pack, covers));
        }
        by_line.push(packs);
    }
    if let ([line], Some(packs)) = (group, by_line.pop_if(|_| group.len() == 1)) {
        let key = line.key.strip_prefix("all ")?.to_owned();
        let short = line.short?;
        return (!packs.is_empty()).then(|| Want { name: line.name.clone(), key, unit: line.unit, short, packs, runs, in_packs: false });
    }
    several(p, of, group, by_line, runs)
}

/// Several sizes, or several ways of measuring, of one material: counted in packs of the first kind.
fn several<'a>(p: &mut Planner<'_>, of: &str, group: &[&MaterialLine], by_line: Vec<Vec<(&'a Pack, Covers)>>, runs: Vec<usize>) -> Option<Want<'a>> {
    let first = by_line.first()?;
    let usable: Vec<&'a Pack> =
        first.iter().map(|(pack, _)| *pack).filter(|pack| by_line.iter().all(|packs| packs.iter().any(|(other, _)| other.at == pack.at))).collect();
    let lead = *usable.first()?;
    let material = p.shelf.materials.get(of);
    let together = material.is_some_and(|material| material.gives.is_some()) && group.iter().all(|line| line.unit == Unit::Feather);
    let needed = |p: &Planner<'_>, pack: &Pack| -> Option<Decimal> {
        let mut all: Option<Decimal> = None;
        for (line, packs) in group.iter().zip(&by_line) {
            let covers = packs.iter().find(|(other, _)| other.at == pack.at)?.1.value(p);
            let one = p.figures.value(line.short?).checked_div(covers)?;
            all = Some(match all {
                Some(all) if together && pack.unit == Unit::Piece => all.max(one),
                Some(all) => all.checked_add(one)?,
                None => one,
            });
        }
        all
    };
    let name = material.map_or_else(|| of.to_owned(), |material| material.name.value.clone());
    let mut each = Vec::new();
    for (line, packs) in group.iter().zip(&by_line) {
        let covers = match &packs.iter().find(|(other, _)| other.at == lead.at)?.1 {
            Covers::Set(fig) => *fig,
            Covers::Not(value) => {
                let from = format!("{}, by what this order's flies take of it", place(&lead.at));
                p.figures.given(p.figures.free_key(&format!("{}.pack-covers", line.key)), *value, line.unit, Standing::Stated, from)
            }
        };
        let InUnit { share, .. } = in_unit(line.unit);
        each.push(p.work(&format!("{}.packs-short", line.key), share, &[line.short?, covers])?);
    }
    let by_most = together && lead.unit == Unit::Piece;
    let short = p.work(&format!("all {of}.packs-short-in-all"), if by_most { &MOST } else { &SUM_ONE }, &each)?;
    let packs = usable.iter().filter_map(|pack| Some((*pack, Covers::Not(p.figures.value(short).checked_div(needed(p, pack)?)?)))).collect();
    Some(Want { name, key: of.to_owned(), unit: Unit::One, short, packs, runs, in_packs: true })
}
