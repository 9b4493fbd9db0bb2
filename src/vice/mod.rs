//! A run of flies, from laying out to booking: which fly and which step are in hand, what a key press means there, how
//! long it takes, what became of each fly.
//!
//! The state is the fold of a run's [`Event`]s over what it was [`Begun`] with, and nothing else: no clock, terminal or
//! database is asked, times come in with the events. So leaving and coming back, a power cut, taking something back, and
//! reading a run over next season are one thing: the events are taken again from the first.

mod aside;
mod asked;
mod begun;
mod booking;
mod counts;
mod event;
mod in_hand;
mod laying_out;
mod measured;
mod outline;
mod part;
mod prepare;
pub mod report;
mod run;
#[cfg(test)]
mod sample;
mod state;
pub mod times;
mod view;

pub use aside::Aside;
pub use begun::{Begun, Finish, Habits, Item, Kind, Length, MOST_ON_A_TRAY, Material, Of, Own, Unfit as UnfitRun};
pub use booking::{Reckoned, Taken, Unweighed, reckoned};
pub use counts::Counts;
pub use event::{Bad, Depth, Did, Event, Fate, How, OLDEST, VERSION};
pub use measured::Differs;
pub use outline::{Outline, Step, Unfit};
pub use part::Part;
pub use prepare::Wanted;
pub use run::{Refused, Run};
pub use state::{Asked, Change, Clock, Half, Place, Question, WORK};
pub use view::{Expected, Press, State, Timing, View};
