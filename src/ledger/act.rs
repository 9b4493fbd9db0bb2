//! One action is one transaction: either all of it is on the disk when it is answered for, or nothing of it is.

use super::{Access, Error, Ledger};
use crate::stores::Refusal;
use rusqlite::{Connection, Transaction, TransactionBehavior};

/// What can end an action before its end.
#[derive(Debug)]
pub(super) enum Fault {
    /// The database.
    Database(rusqlite::Error),
    /// It cannot be booked.
    Refused(Refusal),
    /// The ledger holds what cannot be.
    Damaged(String),
}

impl From<rusqlite::Error> for Fault {
    fn from(fault: rusqlite::Error) -> Self {
        Fault::Database(fault)
    }
}

impl From<Refusal> for Fault {
    fn from(refusal: Refusal) -> Self {
        Fault::Refused(refusal)
    }
}

impl Ledger {
    /// Does all of it, or nothing. The lock on the file is taken at once, so that what is read in it still holds when
    /// something is written by it.
    pub(super) fn act<T>(&mut self, doing: &'static str, deed: impl FnOnce(&Transaction<'_>) -> Result<T, Fault>) -> Result<T, Error> {
        self.may_write()?;
        let path = &self.path;
        let told = |fault: Fault| Error::of_fault(fault, doing, path);
        let transaction = Transaction::new(&mut self.connection, TransactionBehavior::Immediate).map_err(|fault| told(fault.into()))?;
        let done = deed(&transaction).map_err(told)?;
        transaction.commit().map_err(|fault| told(fault.into()))?;
        Ok(done)
    }

    /// Reads, and changes nothing.
    pub(super) fn look<T>(&self, doing: &'static str, at: impl FnOnce(&Connection) -> Result<T, Fault>) -> Result<T, Error> {
        at(&self.connection).map_err(|fault| Error::of_fault(fault, doing, &self.path))
    }

    pub(super) fn may_write(&self) -> Result<(), Error> {
        if self.access == Access::Writing { Ok(()) } else { Err(Error::ReadingOnly { path: self.path.clone() }) }
    }
}
