//! The formulas of a report.

use crate::measure::Unit;
use crate::reckon::chance::two_sided;
use crate::reckon::proportion::{Interval, Method, interval};
use crate::reckon::timings;
use crate::why::{Formula, cross};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// The confidence of bounds, two-sided.
const CONFIDENCE: f64 = 0.95;
/// How near a mean is to be sure, as a share of it.
const NEAR: f64 = 0.05;

macro_rules! formula {
    ($name:ident: $text:literal, [$($takes:ident),*] then [$($then:ident),*] gives $gives:ident, $source:literal, $of:expr) => {
        pub(super) static $name: Formula<Decimal> = Formula {
            text: $text,
            takes: &[$(Unit::$takes),*],
            then: &[$(Unit::$then),*],
            gives: Unit::$gives,
            source: $source,
            of: |x| { let of: fn(&[Decimal]) -> Option<Decimal> = $of; of(x) },
        };
    };
}

fn sum(x: &[Decimal]) -> Option<Decimal> {
    x.iter().try_fold(Decimal::ZERO, |all, one| all.checked_add(*one))
}

fn quotient(x: &[Decimal]) -> Option<Decimal> {
    match x {
        [a, b] => a.checked_div(*b),
        _ => None,
    }
}

fn middle(x: &[Decimal]) -> Option<Decimal> {
    let mut all = x.to_vec();
    all.sort_unstable();
    let half = all.len() / 2;
    let upper = *all.get(half)?;
    if all.len().is_multiple_of(2) { upper.checked_add(*all.get(half - 1)?)?.checked_div(Decimal::TWO) } else { Some(upper) }
}

fn wilson(x: &[Decimal], end: fn(Interval) -> f64) -> Option<Decimal> {
    match x {
        [good, of] => cross(end(interval(good.to_u64()?, of.to_u64()?, CONFIDENCE, Method::Wilson)?)),
        _ => None,
    }
}

fn numbers(x: &[Decimal]) -> Option<Vec<f64>> {
    x.iter().map(Decimal::to_f64).collect()
}

formula! { SUM: "sum", [] then [S] gives S, "arithmetic", sum }
formula! { MEAN: "sum / number", [] then [S] gives S, "arithmetic", |x| sum(x)?.checked_div(Decimal::from(x.len())) }
formula! { MIDDLE: "the one in the middle; of an even number halfway between the two", [] then [S] gives S, "median", middle }
formula! { LEAST: "the least", [] then [S] gives S, "arithmetic", |x| x.iter().min().copied() }
formula! { MOST: "the most", [] then [S] gives S, "arithmetic", |x| x.iter().max().copied() }
formula! { AGAINST: "time / expected", [S, S] then [] gives One, "arithmetic", quotient }
formula! { OVER: "time - expected", [S, S] then [] gives S, "arithmetic", |x| match x { [a, b] => a.checked_sub(*b), _ => None } }
formula! { DEVIATION: "standard deviation of a sample", [] then [S] gives S, "any text on statistics; over one less than the number",
|x| cross(timings::spread(&numbers(x)?)?.sd) }
formula! { NEEDED: "(z x deviation / (0.05 x mean))², rounded up; z of 95 %", [S, S] then [] gives One,
"number of timings for a mean sure to within a twentieth: Krajewski, Malhotra and Ritzman, Operations Management",
|x| match x { [sd, mean] => cross(timings::needed(mean.to_f64()?, sd.to_f64()?, NEAR, two_sided(CONFIDENCE)?)?).map(|needed| needed.ceil()), _ => None } }
formula! { LOOKED_OVER: "tied - not yet looked over", [One, One] then [] gives One, "arithmetic", |x| match x { [a, b] => a.checked_sub(*b), _ => None } }
formula! { AT_ONCE: "looked over - failed, whatever became of them", [One, One] then [] gives One, "arithmetic",
|x| match x { [a, b] => a.checked_sub(*b).map(|left| left.max(Decimal::ZERO)), _ => None } }
formula! { SHARE: "good at once / looked over", [One, One] then [] gives One, "arithmetic", quotient }
formula! { WILSON_LOW: "lower bound of that share, 95 %, two-sided", [One, One] then [] gives One,
"score interval: E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209", |x| wilson(x, |bounds| bounds.low) }
formula! { WILSON_HIGH: "upper bound of that share, 95 %, two-sided", [One, One] then [] gives One,
"score interval: E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209", |x| wilson(x, |bounds| bounds.high) }

macro_rules! out_per_unit {
    ($($name:ident, $unit:ident;)*) => {
        $(formula! { $name: "a fly's amount x (flies begun - flies it came back from) + bad ones found", [$unit, One, One] then [$unit] gives $unit,
        "what is spoilt is used as well; what comes back whole comes back from stripped flies",
        |x| match x { [a_fly, begun, back, bad @ ..] => a_fly.checked_mul(begun.checked_sub(*back)?)?.checked_add(sum(bad)?), _ => None } })*

        /// The formula of what goes out in this unit; `None` for units no amount is in.
        pub(super) fn out_of(unit: Unit) -> Option<&'static Formula<Decimal>> {
            match unit {
                $(Unit::$unit => Some(&$name),)*
                _ => None,
            }
        }
    };
}

out_per_unit! {
    OUT_ONE, One;
    OUT_M, M;
    OUT_G, G;
    OUT_ML, Ml;
    OUT_MM2, Mm2;
    OUT_FEATHER, Feather;
    OUT_FIBRE, Fibre;
    OUT_PIECE, Piece;
    OUT_DROP, Drop;
}
