//! What a run takes of each material, and which share of a pack that is.

use super::formulas::*;
use super::work::Planner;
use crate::card::{Card, Need};
use crate::diagnostic::At;
use crate::dressing::{Gives, HookChart, Material, Pack, Size};
use crate::measure::{Unit, words};
use crate::why::{Fig, Formula, Standing, cross};
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

/// A material's use by one run.
pub(super) struct Use {
    /// The material's key: folded name, with the size where that matters.
    pub(super) key: String,
    pub(super) name: String,
    pub(super) unit: Unit,
    pub(super) amount: Fig,
    /// Share of a pack and the exact cost.
    pub(super) cost: Option<(Fig, Fig)>,
    pub(super) pack: Option<String>,
    /// Why it has no cost.
    pub(super) open: Option<String>,
}

/// The formulas for one unit of amount: sum, flies x amount, share of a pack told in the same unit.
fn by_unit(unit: Unit) -> (&'static Formula<Decimal>, &'static Formula<Decimal>, &'static Formula<Decimal>) {
    match unit {
        Unit::M => (&SUM_M, &TIMES_M, &SHARE_M),
        Unit::G => (&SUM_G, &TIMES_G, &SHARE_G),
        Unit::Ml => (&SUM_ML, &TIMES_ML, &SHARE_ML),
        Unit::Mm2 => (&SUM_MM2, &TIMES_MM2, &SHARE_MM2),
        Unit::Feather => (&SUM_FEATHER, &TIMES_FEATHER, &SHARE_FEATHER),
        Unit::Fibre => (&SUM_FIBRE, &TIMES_FIBRE, &SHARE_FIBRE),
        _ => (&SUM_ONE, &TIMES_ONE, &SHARE_ONE),
    }
}

/// The sum of amounts of one unit.
pub(super) fn sum_of(unit: Unit) -> &'static Formula<Decimal> {
    by_unit(unit).0
}

/// What a run takes, material by material.
pub(super) fn of_run(p: &mut Planner<'_>, run: usize, key: &str, card: &Card, flies: Fig) -> Vec<Use> {
    let mut groups: Vec<(String, Vec<&Need>)> = Vec::new();
    for need in &card.needs {
        let group = match &need.size {
            Some(size) => format!("{} {size}", need.material),
            None => need.material.clone(),
        };
        match groups.iter_mut().find(|(name, needs)| *name == group && unit_of(card, needs) == Some(card.sheet.at(need.amount).unit)) {
            Some((_, needs)) => needs.push(need),
            None => groups.push((group, vec![need])),
        }
    }
    groups.iter().filter_map(|(group, needs)| one(p, run, key, card, flies, group, needs)).collect()
}

fn unit_of(card: &Card, needs: &[&Need]) -> Option<Unit> {
    needs.first().map(|need| card.sheet.at(need.amount).unit)
}

fn one(p: &mut Planner<'_>, run: usize, key: &str, card: &Card, flies: Fig, group: &str, needs: &[&Need]) -> Option<Use> {
    let unit = unit_of(card, needs)?;
    let (sum, times, _) = by_unit(unit);
    let mut stem = format!("{key}.{group}");
    if p.figures.find(&format!("{stem}.amount")).is_some() {
        // One material in two ways of measuring: the second tells its unit.
        stem = format!("{stem} in {}", unit.name());
    }
    let mut each = Vec::new();
    for need in needs {
        each.push(p.taken(run, card, need.amount, &format!("{key}.{}.a-fly", need.part))?);
    }
    let a_fly = match each.as_slice() {
        [only] => *only,
        several => p.work(&format!("{stem}.a-fly"), sum, several)?,
    };
    let amount = p.work(&format!("{stem}.amount"), times, &[flies, a_fly])?;
    let hook = needs.iter().any(|need| need.part == "hook");
    let (name, packs) = if hook {
        let chart = p.shelf.charts.get(&words::fold(&card.chart))?;
        (format!("hook {} {}", chart.name.value, card.size), hook_packs(chart, &card.size))
    } else {
        let material = p.shelf.materials.get(&needs.first()?.material)?;
        let sized = needs.first()?.size.as_ref().map_or_else(String::new, |size| format!(" {size}"));
        (format!("{}{sized}", material.name.value), material.packs.iter().collect())
    };
    let mut used = Use { key: if hook { name.clone() } else { group.to_owned() }, name, unit, amount, cost: None, pack: None, open: None };
    if p.sent.contains(&needs.first()?.material) {
        used.open = Some("sent by the customer, so it costs nothing here".to_owned());
        return Some(used);
    }
    if packs.is_empty() {
        used.open = Some("no pack with a price is known for it".to_owned());
        return Some(used);
    }
    // The cheapest by the share of a pack this run takes.
    let mut best: Option<(Decimal, usize, Share)> = None;
    let mut reason = None;
    for (nth, pack) in packs.iter().enumerate() {
        match share(p, card, needs, amount, flies, pack, unit, run) {
            Ok(share) => {
                let cost = share.value.checked_mul(pack.price.value)?;
                if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
                    best = Some((cost, nth, share));
                }
            }
            Err(why) => reason = reason.or(Some(why)),
        }
    }
    let Some((_, nth, share)) = best else {
        used.open = reason;
        return Some(used);
    };
    let pack = packs.get(nth)?;
    let packs_fig = share.set(p, &stem)?;
    let price_key = p.figures.free_key(&format!("{stem}.pack-price"));
    let price = p.figures.given(price_key, pack.price.value, Unit::Money, Standing::Stated, place(&pack.price.at));
    let cost = p.work(&format!("{stem}.cost-exact"), &PACK_COST, &[packs_fig, price])?;
    used.cost = Some((packs_fig, cost));
    used.pack = Some(in_words(p, pack));
    Some(used)
}

fn hook_packs<'a>(chart: &'a HookChart, size: &Size) -> Vec<&'a Pack> {
    chart.packs.iter().filter(|pack| pack.sizes.is_empty() || pack.sizes.contains(size)).collect()
}

/// A share of a pack found but not yet set on the sheet.
struct Share {
    value: Decimal,
    formula: &'static Formula<Decimal>,
    known: Vec<Fig>,
    given: Vec<(&'static str, Decimal, Unit, Standing, String)>,
    /// The known figures come first, the given ones after.
    run_card: Option<(usize, Fig, &'static str)>,
}

impl Share {
    fn set(self, p: &mut Planner<'_>, stem: &str) -> Option<Fig> {
        let mut inputs = self.known;
        if let Some((run, fig, key)) = self.run_card {
            let taken = p.taken_value(run, fig)?;
            let unit = taken.1;
            let set = p.figures.given(p.figures.free_key(&format!("{stem}.{key}")), taken.0, unit, taken.2, taken.3);
            p.from_card.insert(set, (run, fig));
            inputs.push(set);
        }
        for (key, value, unit, standing, from) in self.given {
            let key = p.figures.free_key(&format!("{stem}.{key}"));
            inputs.push(p.figures.given(key, value, unit, standing, from));
        }
        p.work(&format!("{stem}.packs"), self.formula, &inputs)
    }
}

#[expect(clippy::too_many_arguments, reason = "one need met by one pack takes all of these")]
fn share(p: &Planner<'_>, card: &Card, needs: &[&Need], amount: Fig, flies: Fig, pack: &Pack, unit: Unit, run: usize) -> Result<Share, String> {
    let from = place(&pack.at);
    let need = needs.first().ok_or("nothing is needed")?;
    let material = p.shelf.materials.get(&need.material);
    let amount_value = p.figures.value(amount);
    let too_small = || "a figure of its pack is nought or too large".to_owned();
    if let Some(known) = need.share.filter(|_| needs.len() == 1) {
        let a_fly = cross(card.sheet.value(known)).ok_or_else(too_small)?;
        let value = p.figures.value(flies).checked_mul(a_fly).ok_or_else(too_small)?;
        return Ok(Share { value, formula: &SHARE_KNOWN, known: vec![flies], given: Vec::new(), run_card: Some((run, known, "share-a-fly")) });
    }
    let holds = |unit: Unit| pack.unit.convert(pack.holds, unit).filter(|holds| *holds > Decimal::ZERO);
    if pack.unit != Unit::Piece
        && let Some(holds) = holds(unit)
    {
        let value = amount_value.checked_div(holds).ok_or_else(too_small)?;
        let (_, _, formula) = by_unit(unit);
        return Ok(Share { value, formula, known: vec![amount], given: vec![("pack-holds", holds, unit, Standing::Stated, from)], run_card: None });
    }
    let pieces = match (pack.unit, unit) {
        (Unit::Piece, _) | (Unit::One, Unit::Feather | Unit::Fibre | Unit::Mm2) | (Unit::Feather, Unit::Fibre | Unit::Mm2) => {
            // A pair is two.
            if matches!(pack.noun.as_str(), "pair" | "pairs") && unit == Unit::Mm2 {
                pack.holds.checked_mul(Decimal::TWO).ok_or_else(too_small)?
            } else {
                pack.holds
            }
        }
        _ => return Err(format!("its pack is told in {}, its use in {}", unit_words(pack), unit.name())),
    };
    let held = ("pack-holds", pieces, Unit::Piece, Standing::Stated, from);
    let material = material.ok_or_else(|| "its pack is told in pieces".to_owned())?;
    match unit {
        Unit::Feather => {
            let (gives, standing, from) =
                feathers_of(material, need.size.as_ref()).ok_or("how many feathers of that size it gives is not said (`gives: {14: 140}`)")?;
            let value = amount_value.checked_div(gives).and_then(|share| share.checked_div(pieces)).ok_or_else(too_small)?;
            Ok(Share {
                value,
                formula: &SHARE_OF_CAPE,
                known: vec![amount],
                given: vec![("gives", gives, Unit::Feather, standing, from), held],
                run_card: None,
            })
        }
        Unit::Fibre => {
            let told = material.fibres.as_ref().ok_or("how many fibres one gives is not said (`fibres: 400`)")?;
            let fibres = Decimal::from_f64(told.value).ok_or_else(too_small)?;
            let per_piece = ("fibres", fibres, Unit::Fibre, Standing::Stated, place(&told.at));
            match &material.gives {
                Some(gives) if pack.unit == Unit::Piece => match &gives.value {
                    Gives::Feathers(by_size) => {
                        let all: Decimal = by_size.values().sum();
                        let value =
                            amount_value.checked_div(fibres).and_then(|v| v.checked_div(all)).and_then(|v| v.checked_div(pieces)).ok_or_else(too_small)?;
                        let all = ("feathers", all, Unit::Feather, Standing::Stated, format!("{}, all sizes together", place(&gives.at)));
                        Ok(Share { value, formula: &SHARE_OF_SKIN, known: vec![amount], given: vec![per_piece, all, held], run_card: None })
                    }
                    Gives::Flies { .. } => patch(amount, amount_value, fibres, pieces, per_piece, held).ok_or_else(too_small),
                },
                _ => patch(amount, amount_value, fibres, pieces, per_piece, held).ok_or_else(too_small),
            }
        }
        Unit::Mm2 => {
            let vane = card
                .sheet
                .find(&format!("{}.share-of-vane", need.part))
                .filter(|_| needs.len() == 1)
                .ok_or("how long its usable vane is is not said (`usable: 60 mm`)")?;
            let each = cross(card.sheet.value(vane)).ok_or_else(too_small)?;
            let value = p.figures.value(flies).checked_mul(each).and_then(|v| v.checked_div(pieces)).ok_or_else(too_small)?;
            Ok(Share { value, formula: &SHARE_OF_QUILLS, known: vec![flies], given: vec![held], run_card: Some((run, vane, "vane-a-fly")) })
        }
        Unit::One => {
            let value = amount_value.checked_div(pieces).ok_or_else(too_small)?;
            Ok(Share { value, formula: &SHARE_OF_PIECES, known: vec![amount], given: vec![held], run_card: None })
        }
        _ => Err(format!("its pack is told in {}, its use in {}", unit_words(pack), unit.name())),
    }
}

type Given = (&'static str, Decimal, Unit, Standing, String);

fn patch(amount: Fig, value: Decimal, fibres: Decimal, pieces: Decimal, per_piece: Given, held: Given) -> Option<Share> {
    let value = value.checked_div(fibres)?.checked_div(pieces)?;
    Some(Share { value, formula: &SHARE_OF_PATCH, known: vec![amount], given: vec![per_piece, held], run_card: None })
}

/// Feathers of a size in a whole cape: of that size, else of the nearest size the bench knows, marked so.
fn feathers_of(material: &Material, size: Option<&Size>) -> Option<(Decimal, Standing, String)> {
    let told = material.gives.as_ref()?;
    let Gives::Feathers(by_size) = &told.value else { return None };
    let size = size?;
    if let Some(number) = by_size.get(size).filter(|number| **number > Decimal::ZERO) {
        return Some((*number, Standing::Stated, place(&told.at)));
    }
    let (near, number) = by_size.iter().filter(|(_, number)| **number > Decimal::ZERO).min_by_key(|(other, _)| (other.rank(false) - size.rank(false)).abs())?;
    Some((*number, Standing::Assumed, format!("{}: size {size} is not given, the nearest, {near}, is taken", place(&told.at))))
}

fn unit_words(pack: &Pack) -> String {
    if pack.unit == Unit::Piece {
        if pack.noun.is_empty() { "pieces".to_owned() } else { format!("{}s", pack.noun.trim_end_matches('s')) }
    } else if pack.unit == Unit::One {
        "a plain number".to_owned()
    } else {
        pack.unit.name().to_owned()
    }
}

fn in_words(p: &Planner<'_>, pack: &Pack) -> String {
    let what = match pack.unit {
        Unit::Piece if pack.holds == Decimal::ONE || pack.noun.ends_with('s') => format!("{} {}", pack.holds.normalize(), pack.noun),
        Unit::Piece => format!("{} {}s", pack.holds.normalize(), pack.noun),
        Unit::One => pack.holds.normalize().to_string(),
        unit => format!("{} {}", pack.holds.normalize(), unit.name()),
    };
    let supplier = pack.supplier.as_ref().map_or_else(String::new, |told| {
        let name = p.shelf.suppliers.get(&words::fold(&told.value)).map_or(&told.value, |supplier| &supplier.name.value);
        format!(", {name}")
    });
    format!("{} at {}{supplier}", what.trim(), p.currency.text(pack.price.value))
}

/// A place in a file, in words.
pub(super) fn place(at: &At) -> String {
    crate::card::place(at)
}
