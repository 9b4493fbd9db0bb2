//! What stands on the shelf: things, their lots, what moved, and what can be said from that.
//!
//! A balance is the sum of its movements and nothing else ([`balance`]). Movements are only ever added; what was a slip is
//! reversed by another. Everything here is pure: the ledger keeps it, the bench's files name it, and both are asked
//! elsewhere.

pub mod balance;
pub mod counting;
pub mod eye;
pub mod factor;
mod goods;
mod lot;
pub mod low;
pub mod low_figures;
mod movement;
pub mod quantity;
mod refusal;
pub mod skin;
pub mod substitutes;
pub mod typed;

pub use eye::{ByEye, InUse};
pub use goods::{Goods, Named, Quality, Sort, Thing, ThingId};
pub use lot::{Lot, LotId, LotSays, Price, Share};
pub use movement::{Drawn, Filter, Kind, Movement, MovementId};
pub use refusal::Refusal;
