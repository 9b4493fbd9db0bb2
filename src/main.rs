//! Arguments in, exit code out.
#![forbid(unsafe_code)]

fn main() {}
