//! Quantities as the ledger keeps them: whole millionths of the thing's unit, exact or refused.

use super::Refusal;
use rust_decimal::Decimal;

/// The most a store holds of one thing, in millionths: nine thousand million of its unit.
pub const MOST: i64 = 9_000_000_000_000_000;

/// A quantity in millionths.
///
/// # Errors
/// More than six decimals; more than any store holds.
///
/// ```
/// use herl::stores::quantity::{millionths, of_millionths};
/// let metres = "0.0521".parse().unwrap();
/// assert_eq!(millionths(metres), Ok(52_100));
/// assert_eq!(of_millionths(52_100), metres);
/// assert!(millionths("0.0000001".parse().unwrap()).is_err());
/// ```
pub fn millionths(quantity: Decimal) -> Result<i64, Refusal> {
    let all = quantity.checked_mul(Decimal::from(1_000_000)).ok_or(Refusal::TooLarge)?;
    if !all.is_integer() {
        return Err(Refusal::TooFine { quantity: quantity.normalize() });
    }
    i64::try_from(all).ok().filter(|all| all.abs() <= MOST).ok_or(Refusal::TooLarge)
}

/// The quantity of so many millionths.
pub fn of_millionths(all: i64) -> Decimal {
    Decimal::from_i128_with_scale(i128::from(all), 6).normalize()
}

/// What a card reckoned, to nine decimals, brought to the millionth the ledger keeps: half to even, as the crossing does.
///
/// # Errors
/// More than any store holds.
pub fn reckoned(quantity: Decimal) -> Result<i64, Refusal> {
    millionths(quantity.round_dp(6))
}

/// Micrometres as millimetres.
pub fn mm(um: u32) -> Decimal {
    Decimal::new(i64::from(um), 3).normalize()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_quantity_is_kept_to_the_last_place_or_refused(units in -9_000_000_000_000_000i64..9_000_000_000_000_000, scale in 0u32..12) {
            let quantity = Decimal::from_i128_with_scale(i128::from(units), scale);
            match millionths(quantity) {
                Ok(all) => prop_assert_eq!(of_millionths(all), quantity),
                Err(Refusal::TooFine { .. }) => prop_assert!(quantity.normalize().scale() > 6),
                Err(Refusal::TooLarge) => prop_assert!(quantity.abs() > Decimal::from(9_000_000_000i64)),
                Err(other) => prop_assert!(false, "{}", other),
            }
        }
    }
}
