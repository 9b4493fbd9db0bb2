//! Checks against figures from outside: one module a family of sources, the figures as small files in `data/`
//! with their sources at their heads, or beside the check where it is a single published example.

mod gauge;
mod published;
mod rows;
mod solids;
mod thread;
mod winding;
