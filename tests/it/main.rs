//! Tests of the library and the program as a whole, in one binary.

mod bad_files;
mod support;
