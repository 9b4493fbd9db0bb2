//! A learning curve drawn through one's own times, leaning on a stated one where there are few.
//!
//! Sources: a power of the number is a straight line in logarithms, fitted by least squares: any text on regression,
//! such as N. R. Draper and H. Smith, *Applied Regression Analysis*, chapters 1 and 2 (standard error of the slope,
//! bounds of one more observation). What was known before is put in as if so many observations of it had been made: H.
//! Theil and A. S. Goldberger, *International Economic Review* 2 (1961) 65; A. Gelman and others, *Bayesian Data
//! Analysis*, chapter 14. With no own times the stated curve comes out, with a great many the own.

use super::chance::student_quantile;
use super::proportion::Interval;
use super::{finite, sound};

/// One timed fly: which one it was, from 1, and how long it took.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Timed {
    /// Its number.
    pub number: f64,
    /// Its time.
    pub time: f64,
}

/// A curve: the time of the n-th is `first x n^power`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Time of the first.
    pub first: f64,
    /// The power of the number.
    pub power: f64,
}

impl Line {
    /// The time of the n-th.
    pub fn at(&self, number: f64) -> Option<f64> {
        if !(number > 0.0 && number.is_finite()) {
            return None;
        }
        finite(self.first * number.powf(self.power))
    }

    /// What is left of the time at each doubling.
    pub fn rate(&self) -> f64 {
        self.power.exp2()
    }
}

/// A curve through own times alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// The curve.
    pub line: Line,
    /// Share of the spread in logarithms that the curve explains.
    pub explained: f64,
    /// Standard error of the power.
    pub power_error: f64,
    /// Deviation of the logarithms from the curve.
    pub off: f64,
    /// How many times there were.
    pub count: usize,
    mean: f64,
    spread: f64,
}

/// Sums of the logarithms of numbers and times.
struct Sums {
    count: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
    yy: f64,
}

/// The logarithms; `None` where a number or a time is not over nought and finite.
fn logarithms(times: &[Timed]) -> Option<Vec<(f64, f64)>> {
    let over = |figure: f64| figure > 0.0 && figure.is_finite();
    times.iter().map(|timed| (over(timed.number) && over(timed.time)).then(|| (timed.number.ln(), timed.time.ln()))).collect()
}

/// The sums about (`x0`, `y0`).
fn sums(points: &[(f64, f64)], x0: f64, y0: f64) -> Sums {
    let mut sums = Sums { count: points.len() as f64, x: 0.0, y: 0.0, xx: 0.0, xy: 0.0, yy: 0.0 };
    for (x, y) in points {
        let (x, y) = (x - x0, y - y0);
        sums.x += x;
        sums.y += y;
        sums.xx += x * x;
        sums.xy += x * y;
        sums.yy += y * y;
    }
    sums
}

/// The curve of least squares in logarithms. `None` with fewer than three times, or where all have one number.
///
/// ```
/// use herl::reckon::own_times::{Timed, fit};
/// let times: Vec<Timed> = (1..=8).map(|n| Timed { number: f64::from(n), time: 10.0 * f64::from(n).powf(-0.25) }).collect();
/// let fit = fit(&times).unwrap();
/// assert!((fit.line.first - 10.0).abs() < 1e-9 && (fit.line.rate() - 0.5_f64.powf(0.25)).abs() < 1e-9);
/// ```
pub fn fit(times: &[Timed]) -> Option<Fit> {
    let points = logarithms(times)?;
    if points.len() < 3 {
        return None;
    }
    let count = points.len() as f64;
    let (x0, y0) = (points.iter().map(|point| point.0).sum::<f64>() / count, points.iter().map(|point| point.1).sum::<f64>() / count);
    let about = sums(&points, x0, y0);
    if about.xx <= 1e-12 {
        return None;
    }
    let power = about.xy / about.xx;
    let left: f64 = points.iter().map(|(x, y)| (y - y0 - power * (x - x0)).powi(2)).sum();
    let explained = if about.yy == 0.0 { 1.0 } else { 1.0 - left / about.yy };
    let off = (left / (count - 2.0)).sqrt();
    let first = finite((y0 - power * x0).exp())?;
    let line = Line { first, power: finite(power)? };
    Some(Fit { line, explained, power_error: off / about.xx.sqrt(), off, count: points.len(), mean: x0, spread: about.xx })
}

impl Fit {
    /// Student's quantile of a two-sided confidence.
    fn student(&self, confidence: f64) -> Option<f64> {
        student_quantile(0.5 + confidence / 2.0, self.count as f64 - 2.0)
    }

    /// Bounds of the power.
    pub fn power_within(&self, confidence: f64) -> Option<Interval> {
        let half = self.student(confidence)? * self.power_error;
        Some(Interval { low: self.line.power - half, high: self.line.power + half })
    }

    /// Between which times the one of this number will lie.
    pub fn next_within(&self, number: f64, confidence: f64) -> Option<Interval> {
        let middle = self.line.at(number)?.ln();
        let away = number.ln() - self.mean;
        let half = self.student(confidence)? * self.off * (1.0 + 1.0 / self.count as f64 + away * away / self.spread).sqrt();
        Some(Interval { low: finite((middle - half).exp())?, high: finite((middle + half).exp())? })
    }
}

/// A stated curve, and how much it counts against own times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// The stated time.
    pub time: f64,
    /// Of which fly it is the time: as a rule one well after the beginning.
    pub at: f64,
    /// What is left of the time at each doubling.
    pub rate: f64,
    /// How many own flies it counts for.
    pub weight: f64,
}

/// The curve through own times and the stated one: that counts for `weight` flies at its own place, and for the power as
/// if as many had stood one doubling from it. `None` where a figure is unsound, or there is neither weight nor fit.
///
/// ```
/// use herl::reckon::own_times::{Stated, leaning};
/// let stated = Stated { time: 6.0, at: 12.0, rate: 0.9, weight: 6.0 };
/// let line = leaning(&[], &stated).unwrap();
/// assert!((line.at(12.0).unwrap() - 6.0).abs() < 1e-12 && (line.rate() - 0.9).abs() < 1e-12);
/// ```
pub fn leaning(times: &[Timed], stated: &Stated) -> Option<Line> {
    let Stated { time, at, rate, weight } = *stated;
    if !sound(&[time, at, rate, weight]) || time == 0.0 || at == 0.0 || rate == 0.0 {
        return None;
    }
    if weight == 0.0 {
        return fit(times).map(|fit| fit.line);
    }
    // Off the stated line, about its place: what the own times add to it.
    let power = rate.log2();
    let points: Vec<(f64, f64)> = logarithms(times)?.into_iter().map(|(x, y)| (x - at.ln(), y - time.ln() - power * (x - at.ln()))).collect();
    let own = sums(&points, 0.0, 0.0);
    let doubling = weight * std::f64::consts::LN_2.powi(2);
    let (a, b, c) = (own.count + weight, own.x, own.xx + doubling);
    let whole = a * c - b * b;
    let (higher, steeper) = ((own.y * c - own.xy * b) / whole, (own.xy * a - own.y * b) / whole);
    let power = finite(power + steeper)?;
    let first = finite((time.ln() + higher - power * at.ln()).exp())?;
    Some(Line { first, power })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn timed(times: &[f64]) -> Vec<Timed> {
        times.iter().enumerate().map(|(i, time)| Timed { number: i as f64 + 1.0, time: *time }).collect()
    }

    proptest! {
        #[test]
        fn the_leaning_curve_stands_between_the_stated_and_the_own(
            times in prop::collection::vec(1.0_f64..20.0, 3..40), time in 1.0_f64..20.0, at in 1.0_f64..50.0, rate in 0.6_f64..1.0,
        ) {
            let times = timed(&times);
            let own = fit(&times).unwrap().line;
            let with = |weight| leaning(&times, &Stated { time, at, rate, weight }).unwrap();
            let (light, heavy) = (with(1e-9), with(1e12));
            prop_assert!((light.power - own.power).abs() < 1e-5 && (light.first / own.first - 1.0).abs() < 1e-5);
            prop_assert!((heavy.rate() - rate).abs() < 1e-6 && (heavy.at(at).unwrap() / time - 1.0).abs() < 1e-6);
            prop_assert_eq!(with(0.0), own);
        }

        #[test]
        fn the_leaning_curve_makes_its_squares_least(
            times in prop::collection::vec(1.0_f64..20.0, 0..20), weight in 0.1_f64..50.0, up in -0.1_f64..0.1, steep in -0.1_f64..0.1,
        ) {
            let times = timed(&times);
            let stated = Stated { time: 7.0, at: 10.0, rate: 0.85, weight };
            let squares = |line: Line| {
                let own: f64 = times.iter().map(|t| (t.time.ln() - line.at(t.number).unwrap().ln()).powi(2)).sum();
                let height = (line.at(10.0).unwrap() / 7.0).ln();
                own + weight * height * height + weight * ((line.power - 0.85_f64.log2()) * std::f64::consts::LN_2).powi(2)
            };
            let best = leaning(&times, &stated).unwrap();
            let other = Line { first: best.first * up.exp(), power: best.power + steep };
            prop_assert!(squares(best) <= squares(other) + 1e-9);
        }

        #[test]
        fn any_figures_are_taken_without_panic(figures in prop::collection::vec(any::<f64>(), 0..8), a in any::<f64>(), b in any::<f64>()) {
            let times = timed(&figures);
            if let Some(fit) = fit(&times) {
                let _ = (fit.power_within(a), fit.next_within(a, b));
            }
            let _ = leaning(&times, &Stated { time: a, at: b, rate: a, weight: b });
        }
    }

    #[test]
    fn too_few_times_or_one_number_give_none() {
        assert_eq!(fit(&timed(&[3.0, 2.0])), None);
        assert_eq!(fit(&[Timed { number: 4.0, time: 2.0 }; 5]), None);
        assert_eq!(fit(&timed(&[3.0, 0.0, 2.0])), None);
        assert_eq!(leaning(&timed(&[3.0]), &Stated { time: 3.0, at: 12.0, rate: 0.9, weight: 0.0 }), None);
        // Where own times have one number only, the stated curve still says how it slopes.
        let line = leaning(&[Timed { number: 12.0, time: 8.0 }; 4], &Stated { time: 4.0, at: 12.0, rate: 0.9, weight: 4.0 }).unwrap();
        assert!((line.rate() - 0.9).abs() < 1e-12 && (line.at(12.0).unwrap() - 32_f64.sqrt()).abs() < 1e-9);
    }
}
