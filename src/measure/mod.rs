//! Lengths, masses, counts, times and money: exact fractions as written, units as one table.

pub mod fraction;
pub mod money;
pub mod quantity;
pub mod shown;
pub mod unit;
pub mod words;

pub use fraction::Fraction;
pub use money::{Currency, Rounding};
pub use quantity::{Fault, Quantity};
pub use shown::{Lengths, Numbers, Shown};
pub use unit::{Dimension, Unit};
pub use words::Words;
