//! A time told by three figures: the least, the likeliest and the most.
//!
//! Source: D. G. Malcolm and others, *Operations Research* 7 (1959) 646 (PERT), as in D. R. Anderson and others, *An
//! Introduction to Management Science*: mean `(least + 4 likeliest + most) / 6`, variance `((most - least) / 6)²`. Along a
//! chain of work both are added, and the sum is taken as normal.

use super::chance::normal;
use super::sound;
use super::timings::Moments;

/// Mean and variance of a time told by three figures. `None` unless they are sound and in order.
///
/// ```
/// let time = herl::reckon::pert::three(4.0, 5.0, 12.0).unwrap();
/// assert_eq!((time.mean, format!("{:.4}", time.variance).as_str()), (6.0, "1.7778"));
/// ```
pub fn three(least: f64, likeliest: f64, most: f64) -> Option<Moments> {
    if !sound(&[least, likeliest, most]) || least > likeliest || likeliest > most {
        return None;
    }
    Moments::new((least + 4.0 * likeliest + most) / 6.0, (most - least) / 6.0)
}

/// The time of one after another, each independent of the others.
pub fn chain(times: &[Moments]) -> Option<Moments> {
    times.iter().try_fold(Moments::new(0.0, 0.0)?, |sum, time| sum.and(*time))
}

/// Chance that a chain is done by `due`, taken as normal.
pub fn by(time: Moments, due: f64) -> Option<f64> {
    if !sound(&[due]) {
        return None;
    }
    if time.variance == 0.0 {
        return Some(f64::from(u8::from(time.mean <= due)));
    }
    normal((due - time.mean) / time.sd())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_out_of_order_give_none() {
        assert_eq!(three(5.0, 4.0, 12.0), None);
        assert_eq!(three(4.0, 13.0, 12.0), None);
        assert_eq!(three(-1.0, 4.0, 12.0), None);
        assert_eq!(three(f64::NAN, 4.0, 12.0), None);
        let sure = three(3.0, 3.0, 3.0).unwrap();
        assert_eq!((by(sure, 2.9), by(sure, 3.0), by(sure, f64::NAN)), (Some(0.0), Some(1.0), None));
        assert_eq!(chain(&[]), Moments::new(0.0, 0.0));
    }
}
