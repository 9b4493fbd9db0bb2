//! `herl reckon learn`: what a number of flies takes when practice makes each one quicker.

use super::Answer;
use super::share::{SURE, count};
use crate::cli::asked::{self, Asked, Measure, shown};
use crate::measure::{Fault, Unit};
use crate::reckon::learning::{self, Learning};
use serde_json::json;

/// A time, over 0, up to a million hours; in minutes, which a bare figure is too.
const TIME: Measure = Measure { noun: "a time", unit: Unit::Minute, bare: true, over_nought: true, most: 60e6, example: "12 min" };
/// What is left of a time at each doubling.
const RATE: Measure = Measure { noun: "a rate", example: "0.9 or 90 %", ..SURE };

/// What a number of flies takes when practice makes each one quicker.
#[derive(Debug, clap::Args)]
pub struct Learn {
    /// Time of the first, such as "12 min"; a bare figure is in minutes
    #[arg(long, value_name = "T", allow_hyphen_values = true, value_parser = asked::value)]
    pub first: String,
    /// What is left of the time each time the number doubles, such as 0.9 or "90 %"
    #[arg(long, value_name = "R", allow_hyphen_values = true, value_parser = asked::value)]
    pub rate: String,
    /// How many: a number, or such as "3 dozen"
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = asked::value)]
    pub count: String,
    /// What the rate is of
    #[arg(long, value_name = "CURVE")]
    pub curve: Of,
    /// Print as JSON
    #[arg(long)]
    pub json: bool,
}

/// What the rate is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Of {
    /// Of the time of each (Crawford)
    Unit,
    /// Of the average up to each (Wright)
    Average,
}

pub(super) fn learn(given: &Learn, asked: &mut Asked) -> Option<Answer> {
    let first = asked.figure("--first", &given.first, &TIME);
    let rate = asked.figure("--rate", &given.rate, &RATE);
    let count = count(asked, "--count", &given.count, 1);
    let (curve, name, formula, source) = match given.curve {
        Of::Unit => (learning::Curve::Unit, "unit", "the n-th takes first x n^b, b = log2(rate); total = their sum", "Crawford's curve"),
        Of::Average => {
            let formula = "the first n take first x n^b on average, b = log2(rate); total = first x n^(1 + b)";
            (learning::Curve::Average, "average", formula, "Wright's curve, Journal of the Aeronautical Sciences 3 (1936)")
        }
    };
    let (first, rate, count) = (first?, rate?, count?);
    let Some(learning) = Learning::new(curve, first, rate) else {
        let fault = Fault::new("with so small a rate of the average the second would take no time", 0..given.rate.len());
        return asked.refuse("--rate", &given.rate, fault.right("a rate over 0.5, or --curve unit"));
    };
    let (Some(total), Some(last), Some(average)) = (learning.total(count), learning.unit(count), learning.average(count)) else {
        let fault = Fault::new("the time cannot be reckoned from these figures", 0..given.first.len());
        return asked.refuse("--first", &given.first, fault);
    };
    let hours = if total >= 60.0 { format!("  ({} h)", shown(total / 60.0)) } else { String::new() };
    Some(Answer {
        json: json!({ "total_min": total, "last_min": last, "average_min": average }),
        lines: vec![
            format!("total    {} min{hours}", shown(total)),
            format!("last     {} min", shown(last)),
            format!("average  {} min", shown(average)),
            String::new(),
            format!("first {} min, rate {}, {count} of them, curve of the {name}", shown(first), shown(rate)),
            format!("formula  {formula}"),
            format!("source   {source}; Heizer, Render and Munson, Operations Management, module E"),
        ],
    })
}
