//! Every formula a plan works by.

use crate::measure::Rounding;
use crate::reckon::allowance;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

macro_rules! formula {
    ($name:ident: $text:literal, [$($takes:ident),*] then [$($then:ident),*] gives $gives:ident, $source:expr, $of:expr) => {
        pub(crate) static $name: crate::why::Formula<rust_decimal::Decimal> = crate::why::Formula {
            text: $text,
            takes: &[$(crate::measure::Unit::$takes),*],
            then: &[$(crate::measure::Unit::$then),*],
            gives: crate::measure::Unit::$gives,
            source: $source,
            of: |x| { let of: fn(&[rust_decimal::Decimal]) -> Option<rust_decimal::Decimal> = $of; of(x) },
        };
    };
}

fn sum(x: &[Decimal]) -> Option<Decimal> {
    x.iter().try_fold(Decimal::ZERO, |all, one| all.checked_add(*one))
}

fn product(x: &[Decimal]) -> Option<Decimal> {
    x.iter().try_fold(Decimal::ONE, |all, one| all.checked_mul(*one))
}

/// `a / b / c ...`
fn quotient(x: &[Decimal]) -> Option<Decimal> {
    let (first, rest) = x.split_first()?;
    rest.iter().try_fold(*first, |all, one| all.checked_div(*one))
}

fn rounded(x: &[Decimal], rounding: Rounding) -> Option<Decimal> {
    match x {
        [digits, money] => Some(rounding.round(*money, digits.to_u32()?)),
        _ => None,
    }
}

/// The sum of products, pair by pair.
fn pairs(x: &[Decimal]) -> Option<Decimal> {
    x.chunks_exact(2).try_fold(Decimal::ZERO, |all, pair| match pair {
        [a, b] => all.checked_add(a.checked_mul(*b)?),
        _ => None,
    })
}

macro_rules! per_unit {
    ($($total:ident $times:ident $share:ident $short:ident $covers:ident $left:ident, $unit:ident;)*) => {
        $(
            formula! { $total: "sum", [] then [$unit] gives $unit, "arithmetic", sum }
            formula! { $times: "flies x amount a fly", [One, $unit] then [] gives $unit, "arithmetic", product }
            formula! { $share: "amount / what a pack holds", [$unit, $unit] then [] gives One, "material by its share of a pack", quotient }
            formula! { $short: "laid out - on hand, not below nought", [$unit, $unit] then [] gives $unit, "arithmetic",
            |x| match x { [out, there] => Some(out.checked_sub(*there)?.max(Decimal::ZERO)), _ => None } }
            formula! { $covers: "amount / packs it is", [$unit, One] then [] gives $unit, "what one pack covers of it", quotient }
            formula! { $left: "packs x what each covers - what is short", [$unit] then [One, $unit] gives $unit, "arithmetic",
            |x| { let (short, packs) = x.split_first()?; pairs(packs)?.checked_sub(*short) } }
        )*
    };
}

per_unit! {
    SUM_ONE TIMES_ONE SHARE_ONE SHORT_ONE COVERS_ONE LEFT_ONE, One;
    SUM_M TIMES_M SHARE_M SHORT_M COVERS_M LEFT_M, M;
    SUM_G TIMES_G SHARE_G SHORT_G COVERS_G LEFT_G, G;
    SUM_ML TIMES_ML SHARE_ML SHORT_ML COVERS_ML LEFT_ML, Ml;
    SUM_MM2 TIMES_MM2 SHARE_MM2 SHORT_MM2 COVERS_MM2 LEFT_MM2, Mm2;
    SUM_FEATHER TIMES_FEATHER SHARE_FEATHER SHORT_FEATHER COVERS_FEATHER LEFT_FEATHER, Feather;
    SUM_FIBRE TIMES_FIBRE SHARE_FIBRE SHORT_FIBRE COVERS_FIBRE LEFT_FIBRE, Fibre;
}

formula! { SHARE_OF_CAPE: "feathers / feathers of that size in a whole one / whole ones in a pack", [Feather, Feather, Piece] then [] gives One, "what a cape gives, as known at the bench", quotient }
formula! { SHARE_OF_PATCH: "fibres / fibres one gives / ones in a pack", [Fibre, Fibre, Piece] then [] gives One, "what a patch, tail or feather gives, as known at the bench", quotient }
formula! { SHARE_OF_SKIN: "fibres / fibres a feather gives / feathers in a whole one / whole ones in a pack", [Fibre, Fibre, Feather, Piece] then [] gives One, "what a skin gives, as known at the bench", quotient }
formula! { SHARE_OF_QUILLS: "flies x share of a vane a fly / vanes in a pack", [One, One, Piece] then [] gives One, "slips are cut side by side along the vane",
|x| match x { [flies, vane, vanes] => flies.checked_mul(*vane)?.checked_div(*vanes), _ => None } }
formula! { SHARE_OF_SHEETS: "flies x share of a piece a fly / pieces in a pack", [One, One, Piece] then [] gives One, "strips and sheets by their share of a piece",
|x| match x { [flies, share, pieces] => flies.checked_mul(*share)?.checked_div(*pieces), _ => None } }
formula! { SHARE_BY_LENGTH: "flies x length a fly / what a pack holds", [One, M, M] then [] gives One, "a strip used in the width it is sold in",
|x| match x { [flies, length, holds] => flies.checked_mul(*length)?.checked_div(*holds), _ => None } }
formula! { SHARE_KNOWN: "flies x share of a pack a fly", [One, One] then [] gives One, "what a pack gives, as known at the bench", product }
formula! { SHARE_OF_PIECES: "number / pieces in a pack", [One, Piece] then [] gives One, "material by its share of a pack", quotient }

formula! { PACK_COST: "share of a pack x price", [One, Money] then [] gives Money, "material by its share of a pack", product }
formula! { MONEY_SUM: "sum", [] then [Money] gives Money, "arithmetic", sum }
formula! { LESS: "the whole as shown - its lines as shown", [Money] then [Money] gives Money, "what rounding each line by itself leaves over",
|x| { let (whole, lines) = x.split_first()?; whole.checked_sub(sum(lines)?) } }
formula! { ROUND_HALF_UP: "rounded to the minor unit, a half away from nought", [One, Money] then [] gives Money, "ISO 4217 minor unit", |x| rounded(x, Rounding::HalfUp) }
formula! { ROUND_HALF_EVEN: "rounded to the minor unit, a half to the even", [One, Money] then [] gives Money, "ISO 4217 minor unit", |x| rounded(x, Rounding::HalfEven) }
formula! { WHOLE_PACKS: "packs, rounded up to whole ones", [] then [One] gives One, "only what is pulled or bought is rounded up",
|x| Some(sum(x)?.round_dp(12).ceil()) }

formula! { SECONDS_A_FLY: "sum of (time / flies it is for): mounting, the times a fly, the times a dozen", [] then [S, One] gives S, "times of the steps; a time for a dozen counts a twelfth",
|x| x.chunks_exact(2).try_fold(Decimal::ZERO, |all, pair| match pair { [time, flies] => all.checked_add(time.checked_div(*flies)?), _ => None }) }
formula! { SECONDS_A_RUN: "flies x seconds a fly + times of the whole run", [One, S] then [S] gives S, "arithmetic",
|x| match x { [flies, each, once @ ..] => flies.checked_mul(*each)?.checked_add(sum(once)?), _ => None } }
formula! { HOURS_JOB: "time x (1 + allowance) / 3600", [S, One] then [] gives Hour, "standard time, allowance as a share of job time",
|x| match x { [seconds, share] => seconds.checked_mul(Decimal::ONE + share)?.checked_div(Decimal::from(3600)), _ => None } }
formula! { HOURS_DAY: "time / (1 - allowance) / 3600", [S, One] then [] gives Hour, "standard time, allowance as a share of the day",
|x| match x { [seconds, share] => seconds.checked_div(Decimal::ONE - share)?.checked_div(Decimal::from(3600)), _ => None } }
formula! { HOURS_SUM: "sum", [] then [Hour] gives Hour, "arithmetic", sum }
formula! { LABOUR: "hours x rate", [Hour, MoneyAnHour] then [] gives Money, "arithmetic", product }
formula! { OVERHEAD: "share x (materials + labour)", [One, Money] then [Money] gives Money, "the bench's overhead",
|x| { let (share, rest) = x.split_first()?; share.checked_mul(sum(rest)?) } }
formula! { A_FLY: "money / flies", [Money, One] then [] gives Money, "arithmetic", quotient }
formula! { A_DOZEN: "money x 12 / flies", [Money, One] then [] gives Money, "arithmetic",
|x| match x { [money, flies] => money.checked_mul(Decimal::from(12))?.checked_div(*flies), _ => None } }
formula! { BY_MARGIN: "cost / (1 - margin)", [Money, One] then [] gives Money, "margin: a share of the price",
|x| match x { [cost, margin] => cost.checked_div(Decimal::ONE.checked_sub(*margin)?), _ => None } }
formula! { BY_MARK_UP: "cost x (1 + mark-up)", [Money, One] then [] gives Money, "mark-up: a share of the cost",
|x| match x { [cost, up] => cost.checked_mul(Decimal::ONE.checked_add(*up)?), _ => None } }
formula! { PRICE_FOR_A_DOZEN: "price x 12 / flies it is for", [Money, One] then [] gives Money, "arithmetic",
|x| match x { [money, flies] => money.checked_mul(Decimal::from(12))?.checked_div(*flies), _ => None } }
formula! { PRICE_OF_RUN: "price x flies / flies it is for", [Money, One, One] then [] gives Money, "arithmetic",
|x| match x { [price, flies, per] => price.checked_mul(*flies)?.checked_div(*per), _ => None } }
formula! { EARNS: "(price - materials - overhead) / hours", [Money, Money, Money, Hour] then [] gives MoneyAnHour, "what the price leaves for an hour's work",
|x| match x { [price, materials, overhead, hours] => price.checked_sub(*materials)?.checked_sub(*overhead)?.checked_div(*hours), _ => None } }

formula! { HOOKS: "flies x hooks a fly / (1 - share found bad)", [One, One, One] then [] gives One, "hooks are looked over before they are used",
|x| match x { [flies, each, bad] => flies.checked_mul(*each)?.checked_div(Decimal::ONE.checked_sub(*bad)?), _ => None } }
formula! { HOOKS_LAID: "the least number of hooks of which enough are good with this confidence", [One, One, One, One] then [] gives One,
"binomial distribution; A. H. Bowker and G. J. Lieberman, Engineering Statistics",
|x| match x {
    [flies, each, bad, sure] => {
        let wanted = flies.checked_mul(*each)?.ceil().to_u64()?;
        allowance::to_start(wanted, bad.to_f64()?, sure.to_f64()?).map(|start| Decimal::from(start.start))
    }
    _ => None,
} }
formula! { WITH_TAX: "price x (1 + tax)", [Money, One] then [] gives Money, "prices told without tax, which this bench does not get back",
|x| match x { [price, tax] => price.checked_mul(Decimal::ONE.checked_add(*tax)?), _ => None } }
formula! { WITHOUT_TAX: "price / (1 + tax)", [Money, One] then [] gives Money, "a bench that charges tax gets back what it paid; ask the tax office",
|x| match x { [price, tax] => price.checked_div(Decimal::ONE.checked_add(*tax)?), _ => None } }
formula! { WHOLE_CHARGED: "share of a pack / all shares x whole packs x price", [One, One, One, Money] then [] gives Money, "material by whole packs, shared out by use",
|x| match x {
    [share, _, _, _] if share.is_zero() => Some(Decimal::ZERO),
    [share, all, whole, price] => share.checked_div(*all)?.checked_mul(*whole)?.checked_mul(*price),
    _ => None,
} }
formula! { MOST: "the largest", [] then [One] gives One, "one cape gives feathers of all its sizes", |x| x.iter().copied().max() }
