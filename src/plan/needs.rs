//! What a run takes of each material, and which share of a pack that is.

use super::formulas::*;
use super::many::{self, Many};
use super::work::Planner;
use crate::card::{Card, Need};
use crate::diagnostic::At;
use crate::dressing::{Charge, Gives, HookChart, Keep, Material, Pack, Size, Supplier, Way};
use crate::measure::{Unit, words};
use crate::why::{Fig, Formula, Standing, cross};
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

/// A material's use by one run.
pub(super) struct Use {
    /// The material's key: folded name, with the size where that matters.
    pub(super) key: String,
    pub(super) name: String,
    /// Folded name of the material, or of the hook with its size: what is bought together.
    pub(super) of: String,
    pub(super) unit: Unit,
    /// What the flies tied take of it on the average.
    pub(super) amount: Fig,
    /// What is laid out of it.
    pub(super) lay_out: Fig,
    /// Packs it comes in, and the share of each that the amount is.
    pub(super) shares: Vec<(Pack, Decimal)>,
    /// How its cost is charged.
    pub(super) charge: Charge,
    /// The customer sends it, or its stock is not kept.
    pub(super) not_bought: bool,
    /// What the cost is worked from: share of a pack and price.
    pub(super) costed: Option<(Fig, Fig)>,
    /// Share of a pack and the exact cost.
    pub(super) cost: Option<(Fig, Fig)>,
    pub(super) pack: Option<String>,
    /// Why it has no cost.
    pub(super) open: Option<String>,
}

/// The formulas for one unit of amount.
#[derive(Clone, Copy)]
pub(super) struct InUnit {
    pub(super) sum: &'static Formula<Decimal>,
    times: &'static Formula<Decimal>,
    /// Share of a pack told in the same unit.
    pub(super) share: &'static Formula<Decimal>,
    pub(super) short: &'static Formula<Decimal>,
    pub(super) covers: &'static Formula<Decimal>,
    pub(super) left: &'static Formula<Decimal>,
}

pub(super) fn in_unit(unit: Unit) -> InUnit {
    macro_rules! of {
        ($sum:ident $times:ident $share:ident $short:ident $covers:ident $left:ident) => {
            InUnit { sum: &$sum, times: &$times, share: &$share, short: &$short, covers: &$covers, left: &$left }
        };
    }
    match unit {
        Unit::M => of!(SUM_M TIMES_M SHARE_M SHORT_M COVERS_M LEFT_M),
        Unit::G => of!(SUM_G TIMES_G SHARE_G SHORT_G COVERS_G LEFT_G),
        Unit::Ml => of!(SUM_ML TIMES_ML SHARE_ML SHORT_ML COVERS_ML LEFT_ML),
        Unit::Mm2 => of!(SUM_MM2 TIMES_MM2 SHARE_MM2 SHORT_MM2 COVERS_MM2 LEFT_MM2),
        Unit::Feather => of!(SUM_FEATHER TIMES_FEATHER SHARE_FEATHER SHORT_FEATHER COVERS_FEATHER LEFT_FEATHER),
        Unit::Fibre => of!(SUM_FIBRE TIMES_FIBRE SHARE_FIBRE SHORT_FIBRE COVERS_FIBRE LEFT_FIBRE),
        _ => of!(SUM_ONE TIMES_ONE SHARE_ONE SHORT_ONE COVERS_ONE LEFT_ONE),
    }
}

/// The sum of amounts of one unit.
pub(super) fn sum_of(unit: Unit) -> &'static Formula<Decimal> {
    in_unit(unit).sum
}

/// What a run takes, material by material.
pub(super) fn of_run(p: &mut Planner<'_>, run: usize, key: &str, card: &Card, many: Many) -> Vec<Use> {
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
    groups.iter().filter_map(|(group, needs)| one(p, run, key, card, many, group, needs)).collect()
}

fn unit_of(card: &Card, needs: &[&Need]) -> Option<Unit> {
    needs.first().map(|need| card.sheet.at(need.amount).unit)
}

fn one(p: &mut Planner<'_>, run: usize, key: &str, card: &Card, many: Many, group: &str, needs: &[&Need]) -> Option<Use> {
    let unit = unit_of(card, needs)?;
    let InUnit { sum, times, .. } = in_unit(unit);
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
    let hook = needs.iter().any(|need| need.part == "hook");
    let flies = many.tied;
    let bad = if hook { bad(p, card) } else { None };
    let amount = match bad {
        Some(bad) => p.work(&format!("{stem}.amount"), &HOOKS, &[flies, a_fly, bad])?,
        None => p.work(&format!("{stem}.amount"), times, &[flies, a_fly])?,
    };
    let lay_out = match bad {
        Some(bad) => {
            let sure = many::sure(p)?;
            p.work(&format!("{stem}.lay-out"), &HOOKS_LAID, &[many.lay_out, a_fly, bad, sure])?
        }
        None if many.lay_out == flies => amount,
        None => p.work(&format!("{stem}.lay-out"), times, &[many.lay_out, a_fly])?,
    };
    let (name, packs) = if hook {
        let chart = p.shelf.charts.get(&words::fold(&card.chart))?;
        (format!("hook {} {}", chart.name.value, card.size), hook_packs(chart, &card.size))
    } else {
        let material = p.shelf.materials.get(&needs.first()?.material)?;
        let sized = needs.first()?.size.as_ref().map_or_else(String::new, |size| format!(" {size}"));
        (format!("{}{sized}", material.name.value), material.packs.iter().collect())
    };
    let material = p.shelf.materials.get(&needs.first()?.material).filter(|_| !hook);
    let key = if hook { name.clone() } else { group.to_owned() };
    let mut used = Use {
        of: if hook { name.clone() } else { needs.first()?.material.clone() },
        key,
        name,
        unit,
        amount,
        lay_out,
        shares: Vec::new(),
        charge: material.map(|material| material.charge).unwrap_or_default(),
        not_bought: material.is_some_and(|material| material.keep == Keep::NotAtAll),
        costed: None,
        cost: None,
        pack: None,
        open: None,
    };
    if p.sent.contains(&needs.first()?.material) {
        used.not_bought = true;
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
                used.shares.push(((*pack).clone(), share.value));
                let cost = share.value.checked_mul(paid_value(p, pack)?)?;
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
    let price = paid(p, &stem, pack, price)?;
    if used.charge == Charge::Share {
        let cost = p.work(&format!("{stem}.cost-exact"), &PACK_COST, &[packs_fig, price])?;
        used.cost = Some((packs_fig, cost));
    }
    used.costed = Some((packs_fig, price));
    used.pack = Some(in_words(p, pack));
    Some(used)
}

/// The share of a chart's hooks that is found bad, where it is more than none.
fn bad(p: &mut Planner<'_>, card: &Card) -> Option<Fig> {
    let told = p.shelf.charts.get(&words::fold(&card.chart))?.bad.clone().filter(|told| !told.value.is_zero())?;
    Some(p.common(&format!("bad of {}", words::fold(&card.chart)), told.value, Unit::One, Standing::Stated, place(&told.at)))
}

/// The supplier's tax, and whether it is to be added to a price or taken out of it: a bench that charges tax itself gets
/// back what it paid, any other does not.
fn tax<'a>(p: &Planner<'a>, pack: &Pack) -> Option<(&'a Supplier, Decimal, bool)> {
    let supplier = p.shelf.suppliers.get(&words::fold(&pack.supplier.as_ref()?.value))?;
    let tax = supplier.tax.filter(|tax| !tax.is_zero())?;
    match (p.given.habits.tax.is_some(), supplier.with_tax?) {
        (false, false) => Some((supplier, tax, true)),
        (true, true) => Some((supplier, tax, false)),
        _ => None,
    }
}

/// What a pack costs the bench.
fn paid_value(p: &Planner<'_>, pack: &Pack) -> Option<Decimal> {
    match tax(p, pack) {
        Some((_, tax, true)) => pack.price.value.checked_mul(Decimal::ONE + tax),
        Some((_, tax, false)) => pack.price.value.checked_div(Decimal::ONE + tax),
        None => Some(pack.price.value),
    }
}

/// The same as a figure.
fn paid(p: &mut Planner<'_>, stem: &str, pack: &Pack, price: Fig) -> Option<Fig> {
    let Some((supplier, tax, on_top)) = tax(p, pack) else { return Some(price) };
    let tax = supplier_tax(p, supplier, tax);
    p.work(&format!("{stem}.pack-paid"), if on_top { &WITH_TAX } else { &WITHOUT_TAX }, &[price, tax])
}

/// A supplier's tax as a figure.
pub(super) fn supplier_tax(p: &mut Planner<'_>, supplier: &Supplier, tax: Decimal) -> Fig {
    let key = format!("tax of {}", words::fold(&supplier.name.value));
    p.common(&key, tax, Unit::One, Standing::Stated, place(&supplier.name.at))
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
    /// Figures of the run's card, their sum after the known figures and before the given ones, with the sum's formula.
    of_card: Option<OfCard>,
}

/// Figures of one fly read off the run's card, one for each part that takes the material.
struct OfCard {
    run: usize,
    figs: Vec<Fig>,
    key: &'static str,
}

impl Share {
    fn set(self, p: &mut Planner<'_>, stem: &str) -> Option<Fig> {
        let mut inputs = self.known;
        if let Some(OfCard { run, figs, key }) = self.of_card {
            let mut each = Vec::new();
            for fig in figs {
                let (value, unit, standing, from) = p.taken_value(run, fig)?;
                let set = p.figures.given(p.figures.free_key(&format!("{stem}.{key}")), value, unit, standing, from);
                p.from_card.insert(set, (run, fig));
                each.push(set);
            }
            inputs.push(match each.as_slice() {
                [only] => *only,
                several => {
                    let unit = p.figures.at(*several.first()?).unit;
                    p.work(&format!("{stem}.{key}-in-all"), sum_of(unit), several)?
                }
            });
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
        return Ok(Share {
            value,
            formula: &SHARE_KNOWN,
            known: vec![flies],
            given: Vec::new(),
            of_card: Some(OfCard { run, figs: vec![known], key: "share-a-fly" }),
        });
    }
    let holds = |unit: Unit| pack.unit.convert(pack.holds, unit).filter(|holds| *holds > Decimal::ZERO);
    if pack.unit != Unit::Piece
        && let Some(holds) = holds(unit)
    {
        let value = amount_value.checked_div(holds).ok_or_else(too_small)?;
        return Ok(Share {
            value,
            formula: in_unit(unit).share,
            known: vec![amount],
            given: vec![("pack-holds", holds, unit, Standing::Stated, from)],
            of_card: None,
        });
    }
    // A strip that is used in the width it is sold in, off a card told by its length.
    if unit == Unit::Mm2
        && let Some(holds) = holds(Unit::M)
        && let Some((figs, a_fly)) = of_card(card, needs, |need| need.along)
    {
        let value = p.figures.value(flies).checked_mul(a_fly).and_then(|v| v.checked_div(holds)).ok_or_else(too_small)?;
        let given = vec![("pack-holds", holds, Unit::M, Standing::Stated, from)];
        return Ok(Share { value, formula: &SHARE_BY_LENGTH, known: vec![flies], given, of_card: Some(OfCard { run, figs, key: "length-a-fly" }) });
    }
    // Feathers that are not told by size come out of a plain number of them.
    if unit == Unit::Feather && pack.unit == Unit::One && need.size.is_none() {
        let value = amount_value.checked_div(pack.holds).ok_or_else(too_small)?;
        let given = vec![("pack-holds", pack.holds, Unit::Feather, Standing::Stated, from)];
        return Ok(Share { value, formula: &SHARE_FEATHER, known: vec![amount], given, of_card: None });
    }
    let pairs = pack.unit == Unit::Piece && pack.noun == "pair";
    if unit == Unit::Feather && pairs {
        let feathers = pack.holds.checked_mul(Decimal::TWO).ok_or_else(too_small)?;
        let value = amount_value.checked_div(feathers).ok_or_else(too_small)?;
        let given = vec![("pack-holds", feathers, Unit::Feather, Standing::Stated, format!("{from}, two feathers a pair"))];
        return Ok(Share { value, formula: &SHARE_FEATHER, known: vec![amount], given, of_card: None });
    }
    let pieces = match (pack.unit, unit) {
        (Unit::Piece, _) | (Unit::One, Unit::Feather | Unit::Fibre | Unit::Mm2) | (Unit::Feather, Unit::Fibre | Unit::Mm2) => {
            // A pair is two.
            if pairs && unit == Unit::Mm2 { pack.holds.checked_mul(Decimal::TWO).ok_or_else(too_small)? } else { pack.holds }
        }
        _ => return Err(format!("its pack is told in {}, its use in {}", unit_words(pack), unit.name())),
    };
    let held = ("pack-holds", pieces, Unit::Piece, Standing::Stated, from);
    let material = material.ok_or_else(|| "its pack is told in pieces".to_owned())?;
    match unit {
        Unit::Feather => {
            let (gives, standing, from) = feathers_of(material, need.size.as_ref()).ok_or("how many feathers it gives is not said (`gives: {14: 140}`)")?;
            let value = amount_value.checked_div(gives).and_then(|share| share.checked_div(pieces)).ok_or_else(too_small)?;
            Ok(Share { value, formula: &SHARE_OF_CAPE, known: vec![amount], given: vec![("gives", gives, Unit::Feather, standing, from), held], of_card: None })
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
                        Ok(Share { value, formula: &SHARE_OF_SKIN, known: vec![amount], given: vec![per_piece, all, held], of_card: None })
                    }
                    Gives::Flies { .. } => patch(amount, amount_value, fibres, pieces, per_piece, held).ok_or_else(too_small),
                },
                _ => patch(amount, amount_value, fibres, pieces, per_piece, held).ok_or_else(too_small),
            }
        }
        Unit::Mm2 => {
            let (figs, each) = of_card(card, needs, |need| need.share_of_piece).ok_or("how long a usable piece of it is is not said (`usable: 60 mm`)")?;
            let value = p.figures.value(flies).checked_mul(each).and_then(|v| v.checked_div(pieces)).ok_or_else(too_small)?;
            let slips = needs.iter().all(|need| need.way == Way::Slip);
            let (formula, key) = if slips { (&SHARE_OF_QUILLS, "vane-a-fly") } else { (&SHARE_OF_SHEETS, "piece-a-fly") };
            Ok(Share { value, formula, known: vec![flies], given: vec![held], of_card: Some(OfCard { run, figs, key }) })
        }
        Unit::One => {
            let value = amount_value.checked_div(pieces).ok_or_else(too_small)?;
            Ok(Share { value, formula: &SHARE_OF_PIECES, known: vec![amount], given: vec![held], of_card: None })
        }
        _ => Err(format!("its pack is told in {}, its use in {}", unit_words(pack), unit.name())),
    }
}

/// A figure of every need off the card, and their sum as it crosses; `None` where one of them has none.
fn of_card(card: &Card, needs: &[&Need], figure: impl Fn(&Need) -> Option<Fig>) -> Option<(Vec<Fig>, Decimal)> {
    let figs: Option<Vec<Fig>> = needs.iter().map(|need| figure(need)).collect();
    let figs = figs.filter(|figs| !figs.is_empty())?;
    let sum = figs.iter().try_fold(Decimal::ZERO, |sum, fig| sum.checked_add(cross(card.sheet.value(*fig))?))?;
    Some((figs, sum))
}

type Given = (&'static str, Decimal, Unit, Standing, String);

fn patch(amount: Fig, value: Decimal, fibres: Decimal, pieces: Decimal, per_piece: Given, held: Given) -> Option<Share> {
    let value = value.checked_div(fibres)?.checked_div(pieces)?;
    Some(Share { value, formula: &SHARE_OF_PATCH, known: vec![amount], given: vec![per_piece, held], of_card: None })
}

/// Feathers of a size in a whole cape: of that size, else of the nearest size the bench knows, marked so.
fn feathers_of(material: &Material, size: Option<&Size>) -> Option<(Decimal, Standing, String)> {
    let told = material.gives.as_ref()?;
    let Gives::Feathers(by_size) = &told.value else { return None };
    let Some(size) = size else {
        let all: Decimal = by_size.values().sum();
        return (all > Decimal::ZERO).then(|| (all, Standing::Stated, format!("{}, all sizes together", place(&told.at))));
    };
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

/// What a pack holds, in words.
pub(super) fn pack_in_words(pack: &Pack) -> String {
    let what = match pack.unit {
        Unit::Piece if pack.holds == Decimal::ONE || pack.noun.ends_with('s') => format!("{} {}", pack.holds.normalize(), pack.noun),
        Unit::Piece => format!("{} {}s", pack.holds.normalize(), pack.noun),
        Unit::One => pack.holds.normalize().to_string(),
        unit => format!("{} {}", pack.holds.normalize(), unit.name()),
    };
    what.trim().to_owned()
}

/// A pack with its price and who sells it.
pub(super) fn in_words(p: &Planner<'_>, pack: &Pack) -> String {
    let supplier = pack.supplier.as_ref().map_or_else(String::new, |told| {
        let name = p.shelf.suppliers.get(&words::fold(&told.value)).map_or(&told.value, |supplier| &supplier.name.value);
        format!(", {name}")
    });
    format!("{} at {}{supplier}", pack_in_words(pack), p.currency.text(pack.price.value))
}

/// A place in a file, in words.
pub(super) fn place(at: &At) -> String {
    at.in_words()
}
