//! Tests of the library and the program as a whole, in one binary.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bad_files;
mod good_files;
mod properties;
mod support;
