//! What the screen of the stores says: quantities, marks, why something is low, and the few cautions of the shelf.

use super::shelf::Item;
use crate::dressing::Keep;
use crate::measure::Unit;
use crate::stores::low::{Low, Pace};
use crate::stores::{ByEye, Lot, Share};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// A quantity as shown: whole numbers whole, others to three figures or a hundredth, whichever is finer.
pub(super) fn number(quantity: Decimal) -> String {
    let short = if quantity.abs() >= Decimal::ONE { quantity.round_dp(2) } else { quantity.round_sf(3).unwrap_or(quantity) };
    short.normalize().to_string()
}

/// A quantity with its unit.
pub(super) fn quantity(quantity: Decimal, unit: Unit) -> String {
    let number = number(quantity);
    match unit.name() {
        "" => number,
        "pieces" if quantity == Decimal::ONE => format!("{number} piece"),
        "feathers" if quantity == Decimal::ONE => format!("{number} feather"),
        name => format!("{number} {name}"),
    }
}

/// What the eye saw.
pub(super) fn by_eye(seen: ByEye) -> String {
    match seen.in_use {
        Some(in_use) => format!("{} full + {}", seen.full, in_use.name()),
        None => format!("{} full", seen.full),
    }
}

/// What there is of an item, in one short text.
pub(super) fn on_hand(item: &Item) -> String {
    match (&item.balance, item.by_eye.filter(|_| item.keep == Keep::ByEye)) {
        (_, Some(seen)) => by_eye(seen),
        (_, None) if item.keep == Keep::NotAtAll => "not kept".to_owned(),
        (None, None) => "not counted yet".to_owned(),
        (Some(balance), None) => {
            let about = if item.skin && !balance.on_hand.is_integer() { "about " } else { "" };
            format!("{about}{}", quantity(balance.on_hand, item.unit))
        }
    }
}

/// The signs before a name, each with its word in the detail: `!` low, `~` kept apart, `c` a customer's own, `?` not in the
/// files.
pub(super) fn marks(item: &Item) -> String {
    let marks = [('!', item.low.is_some()), ('~', item.apart.is_some()), ('c', item.owned), ('?', item.stranger)];
    marks.into_iter().filter(|(_, holds)| *holds).map(|(sign, _)| sign).take(2).collect()
}

/// Why something is on the buying list.
pub(super) fn low(item: &Item) -> Option<String> {
    Some(match item.low.as_ref()? {
        Low::LastSpare { full: 0, .. } => "low: the last full pack is opened".to_owned(),
        Low::LastSpare { full, spare } => format!("low: {full} full, {spare} wanted spare"),
        Low::BelowNought { free } => format!("low: {} more spoken for than there is", quantity(-*free, item.unit)),
        Low::OrdersNeed { lacking } => format!("short: the orders need {} more", quantity(*lacking, item.unit)),
        Low::AtPoint { point, safety } => {
            format!("low, as advice: at or under {point:.1} it is time to order ({safety:.1} of it for safety, 95 %)")
        }
    })
}

/// How it moves, where that is worth a word.
pub(super) fn pace(item: &Item) -> Option<&'static str> {
    match item.pace {
        Pace::Moving => None,
        Pace::Slow => Some("slow: at this year's use it lasts over two years"),
        Pace::Dead => Some("nothing used of it in twelve months"),
    }
}

/// What a skin's lot holds, by eye: its share and how far that may be out.
pub(super) fn share(lot: &Lot) -> String {
    if lot.holds > Decimal::ONE {
        return format!("about {}", number(lot.holds));
    }
    let share = Share::nearest(lot.holds);
    format!("{} left (about {}, {} either way)", share.name(), number(lot.holds), number(share.margin()))
}

/// A line of use, a sign a month, the latest last.
pub(super) fn spark(used: &[Decimal], unicode: bool) -> String {
    let signs: [&str; 9] = if unicode { ["·", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"] } else { [".", "_", "-", "-", "=", "=", "+", "#", "#"] };
    let most = used.iter().max().copied().unwrap_or_default();
    let sign = |used: &Decimal| {
        let level = (most > Decimal::ZERO && *used > Decimal::ZERO)
            .then(|| used.checked_mul(Decimal::from(8))?.checked_div(most).and_then(|level| level.ceil().to_usize()))
            .flatten();
        level.and_then(|level| signs.get(level.clamp(1, 8)).copied()).unwrap_or(signs[0])
    };
    used.iter().map(sign).collect()
}

/// The cautions of a shelf, each once and short. Sources: keeping of feathers and skins (Canadian Conservation Institute on
/// keratin; Florian 1986 on freezing); moth killers (US EPA: a pesticide, the label governs use); protected birds (the US
/// Migratory Bird Treaty Act and Britain's general licences are two of many).
pub(super) const CAUTIONS: &[(&str, &str)] = &[
    ("Moth", "Keep a new skin apart in a closed bag until you are sure nothing lives in it; look for dust in the bag."),
    ("Light and damp", "Dark, dry and cool: light fades and weakens feathers, damp and heat spoil them."),
    (
        "Moth killers",
        "They are pesticides: use one only as its own label says, in a closed box away from where you live. Local rules and the label come first.",
    ),
    (
        "Protected kinds",
        "Some birds and beasts are protected. Keep the proof of origin with the lot, and ask the rules where you and your customer live before you buy, sell or post. This is a reminder, not advice in law.",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_of_use_has_a_sign_a_month() {
        let used: Vec<Decimal> = [0, 1, 4, 8].map(Decimal::from).to_vec();
        assert_eq!(spark(&used, true), "·▁▄█");
        assert_eq!(spark(&used, false), "._=#");
        assert_eq!(spark(&[Decimal::ZERO; 3], true), "···");
        assert_eq!(spark(&["0.01".parse().unwrap(), Decimal::MAX], true), "▁·", "a sum beyond all bounds is no sign");
    }
}
