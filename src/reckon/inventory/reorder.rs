//! At which stock to order again: what the lead time takes, and some for safety.
//!
//! Source: Silver, Pyke and Thomas, *Inventory and Production Management in Supply Chains*, chapter 6: over a lead time
//! that itself spreads the demand has the variance `lead sd² + mean² lead_sd²`; service is the chance that nothing is
//! lacking before the goods come, or the share of demand that is met at once.

use super::super::chance::normal_quantile;
use super::super::{finite, sound};
use super::{Demand, loss, over_nought, poisson_lacking, poisson_stock};
use crate::reckon::chance::least;

/// At which stock to order, and how much of it is for safety.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reorder {
    /// The stock at which to order.
    pub point: f64,
    /// What of it stands over the mean demand of the lead time; below nought where a lack is likelier than not.
    pub safety: f64,
}

/// The demand over a lead time: `demand` is that of one unit of time, `lead` the lead time in that unit, with its own
/// spread.
pub fn over_lead(demand: Demand, lead: f64, lead_sd: f64) -> Option<Demand> {
    if !sound(&[demand.mean, demand.sd, lead, lead_sd]) {
        return None;
    }
    let sd = (demand.sd * lead.sqrt()).hypot(demand.mean * lead_sd);
    Some(Demand { mean: finite(demand.mean * lead)?, sd: finite(sd)? })
}

/// The reorder point that lasts through the lead time with the probability `service`. `None` where that is not between 0
/// and 1.
///
/// ```
/// use herl::reckon::inventory::{Demand, reorder::{by_service, over_lead}};
/// let lead = over_lead(Demand { mean: 12.0, sd: 4.0 }, 2.0, 0.5).unwrap();
/// assert_eq!(format!("{:.3}", by_service(lead, 0.95).unwrap().point), "37.564");
/// ```
pub fn by_service(lead: Demand, service: f64) -> Option<Reorder> {
    if !sound(&[lead.mean, lead.sd]) {
        return None;
    }
    let safety = finite(normal_quantile(service)? * lead.sd)?;
    Some(Reorder { point: finite(lead.mean + safety)?, safety })
}

/// The least whole stock that lasts through the lead time with the probability `service` where demand comes one by one
/// (Poisson) with this mean, and how much is lacking on the average.
pub fn one_by_one(mean: f64, service: f64) -> Option<(u64, f64)> {
    if !(service > 0.0 && service < 1.0) {
        return None;
    }
    let point = poisson_stock(service, mean)?;
    Some((point, poisson_lacking(point, mean)?))
}

/// The reorder point at which the share `filled` of demand is met at once, `quantity` being ordered each time: so much
/// that `(1 - filled) quantity` is lacking on the average.
pub fn by_share_filled(lead: Demand, quantity: f64, filled: f64) -> Option<Reorder> {
    if !(sound(&[lead.mean]) && over_nought(&[lead.sd, quantity]) && filled > 0.0 && filled < 1.0) {
        return None;
    }
    let lacking = (1.0 - filled) * quantity / lead.sd;
    // Under the mean the loss is what is short and the loss over the mean as far.
    let k = if lacking <= loss(0.0)? { least(0.0, 40.0, |k| Some(loss(k)? <= lacking))? } else { -least(0.0, lacking, |k| Some(k + loss(k)? >= lacking))? };
    let safety = finite(k * lead.sd)?;
    Some(Reorder { point: finite(lead.mean + safety)?, safety })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_share_filled_comes_back(mean in 0.0_f64..100.0, sd in 0.1_f64..30.0, quantity in 1.0_f64..300.0, filled in 0.01_f64..0.999) {
            let lead = Demand { mean, sd };
            let found = by_share_filled(lead, quantity, filled).unwrap();
            let lacking = lead.lacking(found.point).unwrap();
            prop_assert!((lacking - (1.0 - filled) * quantity).abs() < 1e-9 * quantity, "{lacking}");
        }

        #[test]
        fn any_figures_are_taken_without_panic(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
            let demand = Demand { mean: a, sd: b };
            let _ = (over_lead(demand, c, d), by_service(demand, c), one_by_one(a, c), by_share_filled(demand, c, d));
        }
    }

    #[test]
    fn figures_without_meaning_give_none() {
        let lead = Demand { mean: 10.0, sd: 2.0 };
        for service in [0.0, 1.0, -1.0, f64::NAN] {
            assert_eq!(by_service(lead, service), None);
            assert_eq!(one_by_one(3.0, service), None);
            assert_eq!(by_share_filled(lead, 5.0, service), None);
        }
        assert_eq!(over_lead(lead, -1.0, 0.0), None);
        assert_eq!(by_service(Demand { mean: 10.0, sd: 0.0 }, 0.99), Some(Reorder { point: 10.0, safety: 0.0 }));
    }
}
