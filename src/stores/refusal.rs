//! What cannot be booked, and what would be right.

use crate::measure::{Unit, Words};
use rust_decimal::Decimal;
use std::fmt;

/// Why something cannot be booked. Nothing of it is booked then.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// More than six decimals.
    TooFine {
        /// The figure.
        quantity: Decimal,
    },
    /// No store holds so much.
    TooLarge,
    /// A quantity that has to be more than nothing.
    NotMore {
        /// The figure.
        quantity: Decimal,
    },
    /// There is not so much.
    NotSoMuch {
        /// Of what.
        of: Words,
        /// Free to be taken.
        free: Decimal,
        /// Asked for.
        wanted: Decimal,
        /// The unit.
        unit: Unit,
        /// Set aside for orders besides.
        set_aside: Decimal,
    },
    /// Nothing of this number, or this name, is known.
    Unknown {
        /// What was asked for, in words.
        what: String,
    },
    /// The lot is another thing's.
    OtherLot {
        /// The lot.
        lot: i64,
        /// Whose lot was wanted.
        of: Words,
    },
    /// The lot is closed.
    Closed {
        /// The lot.
        lot: i64,
    },
    /// A customer's own goods were asked for somebody else.
    Owned {
        /// The lot.
        lot: i64,
        /// The customer.
        by: Words,
    },
    /// The unit does not measure what the thing is kept in.
    Unit {
        /// Of what.
        of: Words,
        /// Its unit.
        kept: Unit,
        /// The unit asked for.
        asked: Unit,
    },
    /// It is taken back already.
    TakenBack {
        /// The movement.
        movement: i64,
    },
    /// What came in has been used since.
    UsedSince {
        /// The movement.
        movement: i64,
        /// Of what.
        of: Words,
    },
    /// The movement is a run's: it is taken back at the vice.
    OfARun {
        /// The run.
        run: i64,
    },
    /// The count is booked or dropped.
    CountEnded {
        /// The count.
        count: i64,
    },
    /// A count of nothing.
    NothingCounted,
    /// A figure without sense.
    Senseless {
        /// What is wrong with it.
        what: String,
        /// What would be right.
        right: String,
    },
    /// There is a file of this name already.
    Exists {
        /// The file.
        file: Words,
    },
    /// Rows of a file that cannot be booked; so none is.
    Rows {
        /// Line and reason, in the order of the file.
        bad: Vec<(u64, Words)>,
    },
    /// Stopped by the dresser before its end.
    Stopped,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let of = |unit: &Unit| if unit.name().is_empty() { String::new() } else { format!(" {}", unit.name()) };
        match self {
            Refusal::TooFine { quantity } => {
                write!(f, "{quantity} has more than six decimals, and quantities are kept to the millionth; write it with six at most")
            }
            Refusal::TooLarge => f.write_str("no store holds so much; look at the figure and its unit once more"),
            Refusal::NotMore { quantity } => write!(f, "{quantity} is not more than nothing; a quantity over 0 would be right"),
            Refusal::NotSoMuch { of: what, free, wanted, unit, set_aside } => {
                let (free, wanted) = (free.normalize(), wanted.normalize());
                write!(f, "{what}: there {} {free}{} to take and {wanted} would be wanted", if free == Decimal::ONE { "is" } else { "are" }, of(unit))?;
                if !set_aside.is_zero() {
                    write!(f, " ({} more set aside for orders)", set_aside.normalize())?;
                }
                f.write_str("; take less, count it first, or book in what came")
            }
            Refusal::Unknown { what } => write!(f, "{} is not known in the stores", Words::new(what)),
            Refusal::OtherLot { lot, of: what } => write!(f, "lot {lot} is not of {what}; a lot of its own would be right"),
            Refusal::Closed { lot } => write!(f, "lot {lot} is closed; open it again, or take another"),
            Refusal::Owned { lot, by } => write!(f, "lot {lot} is {by}'s own goods, kept for {by} alone; take another lot"),
            Refusal::Unit { of: what, kept, asked } => {
                let name = |unit: &Unit| if unit.name().is_empty() { "a plain number".to_owned() } else { unit.name().to_owned() };
                write!(f, "{what} is kept in {}, which {} does not measure", name(kept), name(asked))
            }
            Refusal::TakenBack { movement } => write!(f, "movement {movement} is taken back already"),
            Refusal::UsedSince { movement, of: what } => {
                write!(f, "movement {movement} cannot be taken back: some of {what} it brought has gone out since; take that back first, or count it")
            }
            Refusal::OfARun { run } => write!(f, "this was booked by run {run}; take the booking back at the vice"),
            Refusal::CountEnded { count } => write!(f, "count {count} is over; begin another"),
            Refusal::NothingCounted => f.write_str("nothing is counted yet; enter a line, or drop the count"),
            Refusal::Senseless { what, right } => write!(f, "{}; {} would be right", Words::new(what), Words::new(right)),
            Refusal::Exists { file } => write!(f, "{file} is there already and is not written over; give another name"),
            Refusal::Rows { bad } => {
                const SHOWN: usize = 20;
                write!(f, "{} of its rows cannot be booked, so none was", bad.len())?;
                for (line, why) in bad.iter().take(SHOWN) {
                    write!(f, "; line {line}: {why}")?;
                }
                if bad.len() > SHOWN { write!(f, "; and {} more", bad.len() - SHOWN) } else { Ok(()) }
            }
            Refusal::Stopped => f.write_str("stopped before its end"),
        }
    }
}

impl std::error::Error for Refusal {}
