//! What crosses floors: the real binary, files good and bad, screens, and the house itself.

mod bad_files;
mod customs;
mod figures;
mod floors;
mod properties;
mod reckon_cli;
mod support;
