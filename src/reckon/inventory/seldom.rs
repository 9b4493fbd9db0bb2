//! What is asked for only now and then: the mean demand of a period, carried on from one that had any to the next.
//!
//! Sources: J. D. Croston, *Operational Research Quarterly* 23 (1972) 289: size and interval are smoothed each by itself,
//! only where there is demand. A. A. Syntetos and J. E. Boylan, *International Journal of Forecasting* 21 (2005) 303: his
//! quotient is too great on the average, by about `1 / (1 - alpha/2)`.

use super::super::sound;

/// The forecast after each period, `None` before the first demand.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    /// Croston's.
    pub plain: Vec<Option<f64>>,
    /// With Syntetos and Boylan's correction.
    pub corrected: Vec<Option<f64>>,
}

/// The forecasts of a demand by period, smoothed with `alpha` (over 0, up to 1). `None` where a figure is unsound.
///
/// ```
/// let forecast = herl::reckon::inventory::seldom::croston(&[5.0, 0.0, 0.0, 5.0], 0.1).unwrap();
/// assert_eq!(forecast.plain[0], Some(5.0));
/// assert_eq!(format!("{:.4}", forecast.plain[3].unwrap()), "4.1667");
/// ```
pub fn croston(demand: &[f64], alpha: f64) -> Option<Forecast> {
    if !(sound(demand) && alpha > 0.0 && alpha <= 1.0) {
        return None;
    }
    let (mut seen, mut since): (Option<(f64, f64)>, f64) = (None, 0.0);
    let mut plain = Vec::with_capacity(demand.len());
    for size in demand {
        since += 1.0;
        if *size > 0.0 {
            seen = Some(match seen {
                None => (*size, since),
                Some((mean, interval)) => (mean + alpha * (size - mean), interval + alpha * (since - interval)),
            });
            since = 0.0;
        }
        plain.push(seen.map(|(mean, interval)| mean / interval));
    }
    let corrected = plain.iter().map(|forecast| forecast.map(|forecast| forecast * (1.0 - alpha / 2.0))).collect();
    Some(Forecast { plain, corrected })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ends() {
        assert_eq!(croston(&[0.0, 0.0], 0.1).unwrap().plain, vec![None, None]);
        assert_eq!(croston(&[], 0.1).unwrap().plain, vec![]);
        // With all its weight on the last, the forecast is that of the last alone.
        assert_eq!(croston(&[2.0, 0.0, 6.0], 1.0).unwrap().plain[2], Some(3.0));
        for alpha in [0.0, 1.1, f64::NAN] {
            assert_eq!(croston(&[1.0], alpha), None);
        }
        assert_eq!(croston(&[1.0, -1.0], 0.1), None);
    }
}
