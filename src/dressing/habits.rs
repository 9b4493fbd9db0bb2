//! How the bench keeps its days: hours of work, days away, the rack.

use crate::diagnostic::Told;
use jiff::civil::{Date, Time, Weekday};
use rust_decimal::Decimal;

/// The bench's habits, from bench.yaml.
#[derive(Clone, Debug, Default)]
pub struct Habits {
    /// Hours of work by weekday, as spans from one time to another, in order.
    pub working: Vec<(Weekday, Vec<(Time, Time)>)>,
    /// Days away, from and to, both among them.
    pub away: Vec<Told<(Date, Date)>>,
    /// How many flies may dry at once.
    pub rack: Option<Told<u32>>,
    /// How sure the bench wants to be that enough flies pass, such as 0.95.
    pub confidence: Option<Told<f64>>,
    /// Tax on what is sold, such as 0.2.
    pub tax: Option<Told<Decimal>>,
    /// A remark.
    pub note: Option<String>,
}
