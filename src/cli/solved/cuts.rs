//! `herl reckon cuts`: the fewest pieces of stock for lengths to be cut.

use super::super::Verdict;
use super::super::asked::{self, Asked, quoted};
use super::super::out::Out;
use super::{Exact, Found, Given, NODES, nodes, number, print, scale, scaled, too_large, unscaled, whole};
use crate::measure::{Fault, Unit};
use crate::reckon::cutting::{self, Piece};
use crate::reckon::search::{Amiss, Budget};
use crate::reckon::unequal::{self, Outcome};
use rust_decimal::Decimal;
use serde_json::{Map, Value, json};

/// Stock, and what is cut from it.
#[derive(Debug, clap::Args)]
pub struct Cuts {
    /// Length of a piece of stock, of which there is no end; bare, or with its unit, as all lengths here
    #[arg(long, value_name = "L", required_unless_present = "offcuts", allow_hyphen_values = true, value_parser = asked::value)]
    pub stock: Option<String>,
    /// A single piece that there is, used before new stock; without --stock nothing else is; once for each
    #[arg(long = "offcut", value_name = "L", allow_hyphen_values = true, value_parser = asked::value)]
    pub offcuts: Vec<String>,
    /// What a cut takes away; nought where left out
    #[arg(long, value_name = "K", default_value = "0", allow_hyphen_values = true, value_parser = asked::value)]
    pub kerf: String,
    /// A length and how many of it, such as 45x97 or "14 in x 6"; once for each
    #[arg(long = "piece", value_name = "LxN", required = true, allow_hyphen_values = true, value_parser = asked::value)]
    pub pieces: Vec<String>,
    /// How many nodes the search may look at
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub nodes: Option<String>,
    /// Print as JSON
    #[arg(long)]
    pub json: bool,
}

const LENGTH: Exact = Exact { noun: "a length over nought", unit: Unit::Mm, over_nought: true, example: "45 or \"14 in\"" };
const KERF: Exact = Exact { noun: "a kerf", unit: Unit::Mm, over_nought: false, example: "0.5 or \"0.5 mm\"" };
const STOCK: &str = "--stock";

pub(in super::super) fn run(given: &Cuts, out: &mut Out) -> Verdict {
    let mut asked = Asked::default();
    let found = work(given, &mut asked);
    print(found, &asked, given.json, out)
}

/// The question in whole numbers.
struct Question {
    stocks: Vec<u64>,
    kerf: u64,
    pieces: Vec<Piece>,
    scale: u32,
    in_mm: bool,
}

fn work(given: &Cuts, asked: &mut Asked) -> Option<Found> {
    let question = question(given, asked);
    let nodes = nodes(asked, given.nodes.as_ref(), NODES);
    let (question, nodes) = (question?, nodes?);
    let mut budget = Budget::of(nodes);
    let refused = match &given.stock {
        Some(_) if !given.offcuts.is_empty() => {
            let (stock, offcuts) = (question.stocks[0], &question.stocks[1..]);
            match unequal::offcuts_first(offcuts, stock, question.kerf, &question.pieces, &mut budget) {
                Ok(outcome) => return Some(of_offcuts(&question, offcuts, Some(stock), &outcome)),
                Err(amiss) => amiss,
            }
        }
        Some(_) => match cutting::fewest(question.stocks[0], question.kerf, &question.pieces, &mut budget) {
            Ok(plan) => return Some(of_stock(&question, &plan)),
            Err(amiss) => amiss,
        },
        None => match unequal::fewest(&question.stocks, question.kerf, &question.pieces, &mut budget) {
            Ok(outcome) => return Some(of_offcuts(&question, &question.stocks, None, &outcome)),
            Err(amiss) => amiss,
        },
    };
    refuse(given, &question, refused, asked)
}

/// A length as it stands on the command line.
struct Length {
    option: &'static str,
    text: String,
    given: Given,
}

impl Length {
    /// Reads `part` of an option's text.
    fn read(option: &'static str, text: &str, part: &str, exact: &Exact, asked: &mut Asked) -> Option<Length> {
        match exact.read(part) {
            Ok(given) => Some(Length { option, text: text.to_owned(), given }),
            Err(fault) => asked.refuse(option, text, fault),
        }
    }

    fn scaled(&self, scale: u32, asked: &mut Asked) -> Option<u64> {
        match scaled(self.given.figure, scale) {
            Some(whole) if whole <= cutting::LONGEST => Some(whole),
            _ => too_large(asked, self.option, &self.text),
        }
    }
}

/// Reads all lengths, which must be bare all of them or have units all of them.
fn question(given: &Cuts, asked: &mut Asked) -> Option<Question> {
    let stocks = given.stock.iter().map(|text| (STOCK, text)).chain(given.offcuts.iter().map(|text| ("--offcut", text)));
    let stocks: Vec<Option<Length>> = stocks.map(|(option, text)| Length::read(option, text, text, &LENGTH, asked)).collect();
    let kerf = Length::read("--kerf", &given.kerf, &given.kerf, &KERF, asked);
    let pieces: Vec<Option<(Length, u64)>> = given.pieces.iter().map(|text| piece(text, asked)).collect();
    let (stocks, kerf) = (stocks.into_iter().collect::<Option<Vec<_>>>()?, kerf?);
    let pieces = pieces.into_iter().collect::<Option<Vec<_>>>()?;
    let mut all: Vec<&Length> = stocks.iter().chain(pieces.iter().map(|(length, _)| length)).collect();
    // A kerf of nought is nought in any unit.
    if !kerf.given.figure.is_zero() {
        all.push(&kerf);
    }
    let in_mm = all.iter().any(|length| length.given.has_unit);
    if let Some(bare) = all.iter().find(|length| length.given.has_unit != in_mm) {
        let fault = Fault::new(format!("{} has no unit, and other lengths have one", quoted(&bare.text)), 0..bare.text.len());
        return asked.refuse(bare.option, &bare.text, fault.right("all lengths with their units, or all bare and of one unit"));
    }
    let scale = scale(&all.iter().map(|length| length.given.figure).collect::<Vec<_>>());
    let stocks: Vec<Option<u64>> = stocks.iter().map(|stock| stock.scaled(scale, asked)).collect();
    let kerf = kerf.scaled(scale, asked);
    let pieces: Vec<Option<Piece>> = pieces.iter().map(|(length, count)| length.scaled(scale, asked).map(|length| Piece { length, count: *count })).collect();
    Some(Question { stocks: stocks.into_iter().collect::<Option<_>>()?, kerf: kerf?, pieces: pieces.into_iter().collect::<Option<_>>()?, scale, in_mm })
}

/// Reads `LxN`.
fn piece(text: &str, asked: &mut Asked) -> Option<(Length, u64)> {
    const PIECE: &str = "--piece";
    let Some((length, count)) = text.rsplit_once(['x', '×', 'X']) else {
        let fault = Fault::new(format!("{} does not say how many", quoted(text)), 0..text.len());
        return asked.refuse(PIECE, text, fault.right("a length, `x` and how many, such as 45x97 or \"14 in x 6\""));
    };
    let count = whole(asked, PIECE, text, count, "how many");
    let length = Length::read(PIECE, text, length, &LENGTH, asked);
    let (count, length) = (count?, length?);
    if count == 0 {
        return asked.refuse(PIECE, text, Fault::new("none of this length is wanted", 0..text.len()).right("one or more, or no such piece"));
    }
    Some((length, count))
}

fn refuse(given: &Cuts, question: &Question, amiss: Amiss, asked: &mut Asked) -> Option<Found> {
    let stock = given.stock.as_deref().unwrap_or_default();
    match amiss {
        Amiss::DoesNotFit(nth) => {
            let text = given.pieces.get(nth).map_or("", String::as_str);
            let fault = Fault::new(
                format!("a length of {} cannot be cut from stock of {}", question.length(question.pieces[nth].length), question.length(question.stocks[0])),
                0..text.len(),
            );
            asked.refuse("--piece", text, fault.right(format!("no longer than the stock, {}", quoted(stock))))
        }
        Amiss::TooLarge(nth) => match given.pieces.get(nth) {
            Some(text) => too_large(asked, "--piece", text),
            None => too_large(asked, STOCK, stock),
        },
        _ => asked.refuse("--piece", &format!("{} of them", given.pieces.len()), Fault::new(format!("more than {} are not taken", cutting::ENTRIES), 0..0)),
    }
}

impl Question {
    fn figure(&self, whole: u64) -> Decimal {
        unscaled(whole, self.scale)
    }

    /// A length in words.
    fn length(&self, whole: u64) -> String {
        let unit = if self.in_mm { " mm" } else { "" };
        format!("{}{unit}", self.figure(whole))
    }

    fn name(&self, name: &str) -> String {
        if self.in_mm { format!("{name}_mm") } else { name.to_owned() }
    }

    /// One pattern as JSON and in words, with what is left of the stock after the last cut.
    fn pattern(&self, stock: u64, lengths: &[u64], counts: &[u64]) -> (Map<String, Value>, String) {
        let cut = lengths.iter().zip(counts).filter(|(_, count)| **count > 0);
        let taken: u64 = cut.clone().map(|(length, count)| (length + self.kerf) * count).sum();
        let left = stock.saturating_sub(taken);
        let list: Vec<Value> = cut.clone().map(|(length, count)| json!({ (self.name("length")): number(self.figure(*length)), "count": count })).collect();
        let words: Vec<String> =
            cut.map(|(length, count)| if *count == 1 { self.length(*length) } else { format!("{count} x {}", self.length(*length)) }).collect();
        let mut json = Map::new();
        json.insert("cut".to_owned(), list.into());
        json.insert(self.name("left"), number(self.figure(left)));
        (json, format!("{}, {} left", words.join(" + "), self.length(left)))
    }
}

fn proof(proved: bool, bound: u64) -> String {
    if proved { "proved: fewer are not enough".to_owned() } else { format!("not proved: {bound} or more are needed; more --nodes may tell") }
}

/// Where the method is told.
const SOURCES: [&str; 3] = [
    "kerf    k lengths need their sum and k - 1 kerfs",
    "method  patterns brought in by their price, a bound in whole numbers, then a complete search",
    "source  Gilmore and Gomory, Operations Research 9 (1961); Farley, Operations Research 38 (1990)",
];

fn of_stock(question: &Question, plan: &cutting::Plan) -> Found {
    let mut lines = vec![format!("pieces  {}  ({})", plan.pieces, proof(plan.proved, plan.bound)), String::new()];
    let mut patterns = Vec::new();
    for pattern in &plan.patterns {
        let (rest, words) = question.pattern(question.stocks[0], &plan.lengths, &pattern.counts);
        lines.push(format!("{} {}: {words}", pattern.times, if pattern.times == 1 { "time" } else { "times" }));
        let mut json = Map::new();
        json.insert("times".to_owned(), pattern.times.into());
        json.extend(rest);
        patterns.push(Value::Object(json));
    }
    lines.push(String::new());
    lines.extend(SOURCES.map(str::to_owned));
    Found { json: json!({ "pieces": plan.pieces, "bound": plan.bound, "proved": plan.proved, "plan": patterns }), lines, verdict: Verdict::Fine }
}

/// Of single pieces, and of new stock where there is some.
fn of_offcuts(question: &Question, offcuts: &[u64], new: Option<u64>, outcome: &Outcome) -> Found {
    let plan = match outcome {
        Outcome::Plan(plan) => plan,
        Outcome::Impossible => {
            let lines = vec!["herl: these lengths cannot be cut from these pieces".to_owned(), "  right: a piece more, or fewer lengths".to_owned()];
            return Found { json: json!({ "feasible": false }), lines, verdict: Verdict::Findings };
        }
        Outcome::Unknown => {
            let lines = vec!["herl: no plan was found within the nodes allowed".to_owned(), "  right: more --nodes".to_owned()];
            return Found { json: json!({ "feasible": Value::Null, "proved": false }), lines, verdict: Verdict::Findings };
        }
    };
    let of_new: u64 = plan.cuts.iter().filter(|cut| cut.stock == offcuts.len()).map(|cut| cut.times).sum();
    let single = plan.cuts.iter().filter(|cut| cut.stock < offcuts.len()).count();
    let least = format!("{} in all, the least for so many{}", question.length(plan.length), if plan.proved { "" } else { ", as far as found" });
    let mut lines = match new {
        Some(_) => vec![format!("new      {of_new}  ({})", proof(plan.proved, plan.bound)), format!("offcuts  {single}  ({least})"), String::new()],
        None => vec![format!("pieces  {single}  ({}; {least})", proof(plan.proved, plan.bound)), String::new()],
    };
    let mut patterns = Vec::new();
    for cut in &plan.cuts {
        let Some(stock) = offcuts.get(cut.stock).copied().or(new) else { continue };
        let (rest, words) = question.pattern(stock, &plan.lengths, &cut.counts);
        let is_new = cut.stock == offcuts.len();
        let times = if is_new { format!("{} new ", cut.times) } else { String::new() };
        lines.push(format!("{times}of {}: {words}", question.length(stock)));
        let mut json = Map::new();
        json.insert(question.name("stock"), number(question.figure(stock)));
        json.insert("new".to_owned(), is_new.into());
        json.insert("times".to_owned(), cut.times.into());
        json.extend(rest);
        patterns.push(Value::Object(json));
    }
    lines.push(String::new());
    lines.push(SOURCES[0].to_owned());
    let mut json = Map::new();
    json.insert("feasible".to_owned(), true.into());
    json.insert("pieces".to_owned(), (of_new + single as u64).into());
    if new.is_some() {
        json.insert("new".to_owned(), of_new.into());
    }
    json.insert(question.name("length"), number(question.figure(plan.length)));
    // With new stock it is of the new pieces that no fewer will do.
    json.insert("bound".to_owned(), plan.bound.into());
    json.insert("proved".to_owned(), plan.proved.into());
    json.insert("plan".to_owned(), patterns.into());
    Found { json: Value::Object(json), lines, verdict: Verdict::Fine }
}
