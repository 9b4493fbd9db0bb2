//! What is still on a skin: about so many feathers of a size, and how far that may be out.
//!
//! `about = gives x left`, where `gives` is what a whole skin is known to give at the bench and `left` the share told by
//! eye; `out = gives x half the way to the next share`. Feathers plucked and sized lie counted in their drawer, so drawers are
//! taken first, and of a skin no more is promised than it gives for sure.

use super::Share;
use rust_decimal::Decimal;

/// An estimate, in feathers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct About {
    /// About so many.
    pub about: Decimal,
    /// Out by so many at most, either way.
    pub out: Decimal,
}

impl About {
    /// So many at least: what can be promised.
    pub fn sure(&self) -> Decimal {
        (self.about - self.out).max(Decimal::ZERO)
    }
}

/// What is on a skin of which this share is left; `gives`: feathers of the size on a whole one.
pub fn estimate(gives: Decimal, left: Decimal) -> About {
    let (gives, left) = (gives.max(Decimal::ZERO), left.max(Decimal::ZERO));
    let about = gives.saturating_mul(left);
    About { about, out: gives.saturating_mul(Share::nearest(left).margin()).min(about) }
}

/// How a need of feathers is met: out of the drawer first, then from skins, and what is lacking.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Met {
    /// From the drawer.
    pub drawer: Decimal,
    /// From skins, where they are sure to have it.
    pub skins: Decimal,
    /// Lacking.
    pub lacking: Decimal,
}

/// Meets a need of feathers; `drawer`: what is free in it; `skins`: the estimates of those that are free.
pub fn meet(wanted: Decimal, drawer: Decimal, skins: &[About]) -> Met {
    let from_drawer = wanted.min(drawer).max(Decimal::ZERO);
    let sure = skins.iter().fold(Decimal::ZERO, |sum, skin| sum.saturating_add(skin.sure()));
    let from_skins = (wanted - from_drawer).min(sure);
    Met { drawer: from_drawer, skins: from_skins, lacking: wanted - from_drawer - from_skins }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_a_cape_gives_about_half_and_less_for_sure() {
        let half = estimate(140.into(), Share::Half.of_one());
        assert_eq!((half.about, half.out, half.sure()), (70.into(), "17.5".parse().unwrap(), "52.5".parse().unwrap()));
        let remnants = estimate(140.into(), Share::Remnants.of_one());
        assert!(remnants.sure() < remnants.about && remnants.sure() > Decimal::ZERO);
        assert_eq!(estimate(140.into(), Decimal::ZERO).about, Decimal::ZERO);
    }

    #[test]
    fn drawers_come_first_and_the_margin_is_not_promised() {
        let half = estimate(140.into(), Share::Half.of_one());
        assert_eq!(meet(60.into(), 36.into(), &[half]), Met { drawer: 36.into(), skins: 24.into(), lacking: 0.into() });
        let met = meet(100.into(), 36.into(), &[half]);
        assert_eq!((met.skins, met.lacking), ("52.5".parse().unwrap(), "11.5".parse().unwrap()));
        assert_eq!(meet(5.into(), (-3).into(), &[]).lacking, 5.into(), "a drawer below nought has none");
    }
}
