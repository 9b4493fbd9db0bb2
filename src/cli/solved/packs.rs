//! `herl reckon packs`: the cheapest packs for a need.

use super::super::Verdict;
use super::super::asked::{self, Asked, quoted};
use super::super::out::Out;
use super::{Exact, Found, Given, NODES, nodes, number, print, scale, scaled, too_large, unscaled, whole};
use crate::measure::{Fault, Quantity, Unit};
use crate::reckon::packs::{Choice, KINDS, Pack, cheapest};
use crate::reckon::search::{Amiss, Budget};
use rust_decimal::Decimal;
use serde_json::json;

/// A need, and the packs it can be covered with.
#[derive(Debug, clap::Args)]
pub struct Packs {
    /// How much is needed, such as 62 or "62.5 m"
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub need: String,
    /// A pack: its size, its price, and the most that can be had, such as 25=2.40 or 25=2.40*3; once for each
    #[arg(long = "pack", value_name = "SIZE=PRICE[*MAX]", required = true, allow_hyphen_values = true, value_parser = asked::value)]
    pub packs: Vec<String>,
    /// How many nodes the search may look at, should it need to search
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub nodes: Option<String>,
    /// Print as JSON
    #[arg(long)]
    pub json: bool,
}

/// A pack as given.
struct Told {
    size: Given,
    price: Decimal,
    /// Digits after the point that the price was written with.
    digits: usize,
    most: Option<u64>,
}

const PRICE: Exact = Exact { noun: "a price", unit: Unit::One, over_nought: false, example: "2.40" };

pub(in super::super) fn run(given: &Packs, out: &mut Out) -> Verdict {
    let mut asked = Asked::default();
    let found = work(given, &mut asked);
    print(found, &asked, given.json, out)
}

/// A size or need is measured in whatever the need is written in.
fn size(noun: &'static str, unit: Unit) -> Exact {
    Exact { noun, unit, over_nought: true, example: "25, 62.5 or \"10 m\"" }
}

fn work(given: &Packs, asked: &mut Asked) -> Option<Found> {
    let unit = Quantity::read(&given.need).map_or(Unit::One, |quantity| quantity.unit);
    let need = match size("a need", unit).read(&given.need) {
        Ok(need) => Some(need),
        Err(fault) => asked.refuse("--need", &given.need, fault),
    };
    let told: Vec<Option<Told>> = given.packs.iter().map(|text| pack(text, unit, asked)).collect();
    let nodes = nodes(asked, given.nodes.as_ref(), NODES);
    let (need, told, nodes) = (need?, told.into_iter().collect::<Option<Vec<Told>>>()?, nodes?);
    let scale_of_size = scale(&told.iter().map(|pack| pack.size.figure).chain([need.figure]).collect::<Vec<_>>());
    let scale_of_price = scale(&told.iter().map(|pack| pack.price).collect::<Vec<_>>());
    let Some(whole_need) = scaled(need.figure, scale_of_size) else { return too_large(asked, "--need", &given.need) };
    let mut packs = Vec::new();
    for (pack, text) in told.iter().zip(&given.packs) {
        let (Some(size), Some(price)) = (scaled(pack.size.figure, scale_of_size), scaled(pack.price, scale_of_price)) else {
            return too_large(asked, "--pack", text);
        };
        packs.push(Pack { size, price, most: pack.most });
    }
    match cheapest(whole_need, &packs, &mut Budget::of(nodes)) {
        Ok(Some(choice)) => Some(found(&told, &choice, need.figure, unit, scale_of_size, scale_of_price)),
        Ok(None) => Some(impossible(&told, need.figure, unit)),
        Err(Amiss::TooLarge(nth)) => match given.packs.get(nth) {
            Some(text) => too_large(asked, "--pack", text),
            None => too_large(asked, "--need", &given.need),
        },
        Err(_) => asked.refuse("--pack", &format!("{} of them", packs.len()), Fault::new(format!("more than {KINDS} packs are not taken"), 0..0)),
    }
}

/// Reads `SIZE=PRICE[*MAX]`.
fn pack(text: &str, unit: Unit, asked: &mut Asked) -> Option<Told> {
    const RIGHT: &str = "its size, `=` and its price, then `*` and the most that can be had, such as 25=2.40 or 25=2.40*3";
    let Some((size_text, rest)) = text.split_once('=') else {
        return asked.refuse("--pack", text, Fault::new(format!("{} has no price", quoted(text)), 0..text.len()).right(RIGHT));
    };
    let (price_text, most) = match rest.split_once('*') {
        Some((price, most)) => (price, Some(whole(asked, "--pack", text, most, "the most that can be had")?)),
        None => (rest, None),
    };
    let has_unit = Quantity::read(size_text).is_ok_and(|size| size.unit != Unit::One);
    if has_unit && unit == Unit::One {
        let fault = Fault::new(format!("{} has a unit, and the need has none", quoted(size_text)), 0..text.len());
        return asked.refuse("--pack", text, fault.right("sizes and the need all with units, or all bare"));
    }
    let mut read = |exact: Exact, part: &str| match exact.read(part) {
        Ok(given) => Some(given),
        Err(fault) => asked.refuse("--pack", text, fault),
    };
    let (size, price) = (read(size("a size", unit), size_text)?, read(PRICE, price_text)?);
    if !size.has_unit && unit != Unit::One {
        let fault = Fault::new(format!("{} has no unit, and the need has one", quoted(size_text)), 0..text.len());
        return asked.refuse("--pack", text, fault.right("sizes and the need all with units, or all bare"));
    }
    let digits = price_text.trim().split_once('.').map_or(0, |(_, digits)| digits.len().min(9));
    Some(Told { size, price: price.figure, digits, most })
}

/// A figure with the need's unit.
fn with_unit(figure: Decimal, unit: Unit) -> String {
    format!("{figure} {}", unit.name()).trim_end().to_owned()
}

fn found(told: &[Told], choice: &Choice, need: Decimal, unit: Unit, scale_of_size: u32, scale_of_price: u32) -> Found {
    let cost = unscaled(choice.cost, scale_of_price);
    let units = unscaled(choice.units, scale_of_size);
    let left = units - need;
    let bound = unscaled(choice.bound, scale_of_price);
    let bought: Vec<(&Told, u64)> = told.iter().zip(choice.counts.iter().copied()).filter(|(_, count)| *count > 0).collect();
    let list: Vec<_> = bought.iter().map(|(pack, count)| json!({ "size": number(pack.size.figure), "price": number(pack.price), "count": count })).collect();
    let proved = if choice.proved { "no choice is better".to_owned() } else { format!("not proved: none costs less than {bound}") };
    // Sums are shown with as many digits as any price was written with.
    let digits = told.iter().map(|pack| pack.digits).max().unwrap_or(0).max(scale_of_price as usize);
    let mut lines = vec![
        format!("cost   {cost:.digits$}  ({proved})"),
        format!("units  {}", with_unit(units, unit)),
        format!("packs  {}", choice.packs),
        format!("left   {}", with_unit(left, unit)),
        String::new(),
    ];
    lines.extend(bought.iter().map(|(pack, count)| format!("{count} x {} at {:.digits$}", with_unit(pack.size.figure, unit), pack.price)));
    lines.push(String::new());
    lines.push("method  least cost, then fewest units, then fewest packs: a bounded knapsack that covers".to_owned());
    lines.push("source  Martello and Toth, Knapsack Problems (1990), chapter 3".to_owned());
    let json = json!({
        "feasible": true,
        "cost": number(cost),
        "units": number(units),
        "packs": choice.packs,
        "left": number(left),
        "bought": list,
        "proved": choice.proved,
        "bound": number(bound),
    });
    Found { json, lines, verdict: Verdict::Fine }
}

fn impossible(told: &[Told], need: Decimal, unit: Unit) -> Found {
    let held = told.iter().filter_map(|pack| pack.size.figure.checked_mul(Decimal::from(pack.most?))).sum::<Decimal>().normalize();
    let lines = vec![
        format!("herl: all packs there are hold {}, and {} are needed", with_unit(held, unit), with_unit(need, unit)),
        "  right: a pack more, or a higher limit on one".to_owned(),
    ];
    Found { json: json!({ "feasible": false, "need": number(need), "most": number(held) }), lines, verdict: Verdict::Findings }
}
