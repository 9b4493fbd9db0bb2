//! The nouns of the bench: dressing, part, step, size, length and place rules, hook chart, material, order, and
//! the bench's own terms. Values as meant, each with the place in the file that told it; no YAML here.

pub mod anew;
pub mod change;
pub mod habits;
pub mod hook;
pub mod length;
pub mod making;
pub mod material;
pub mod order;
pub mod part;
pub mod place;
pub mod recipe;
pub mod scan;
pub mod shelf;
pub mod size;
pub mod step;
pub mod terms;

pub use change::{Change, SizeRule};
pub use habits::Habits;
pub use hook::{EyeTurn, HookChart, HookFigure, HookMeasure, HookShape, Rides, XRule};
pub use length::{HookLength, Length, Of, Term};
pub use making::Making;
pub use material::{Charge, Cut, Gives, Keep, Material, Pack, Supplier};
pub use order::{Order, OrderLine, Price, Tied};
pub use part::{Base, Clip, Held, Laid, Part, PartFields, Shape, Stuff, Turns, Way};
pub use place::{Landmark, Place};
pub use recipe::{Dressing, Silk, Variant};
pub use shelf::Shelf;
pub use size::Size;
pub use step::{Act, Bed, Per, Step, Time, When};
pub use terms::{Allowance, Asks, Extra, ListedPrice, Profit, Terms, WarmUp};
