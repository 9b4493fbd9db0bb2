//! A sitting at the vice: which fly and which step are in hand, what a key press means there, how long it takes.
//!
//! The state is the fold of its [`Event`]s over the [`Outline`] of a card's steps at the vice, and nothing else:
//! no clock, terminal or database is asked, times come in with the events. So leaving and coming back, a power
//! cut, and reading a run over next season are one thing: the events are taken again from the first.

mod event;
mod outline;
#[cfg(test)]
mod sample;
mod sitting;
mod view;

pub use event::{Depth, Did, Event, VERSION};
pub use outline::{Outline, Step, Unfit};
pub use sitting::{Place, Refused, Sitting};
pub use view::{Expected, Press, State, Timing, View};
