//! The command line: one file a command. Every command prints through [`out::Out`] and nothing else, and
//! answers with a [`Verdict`], which is the exit code.

pub mod asked;
pub mod card;
pub mod check;
pub mod dressing;
mod enter;
mod key;
pub mod keys;
pub mod numbered;
mod opened;
pub mod out;
pub mod plan;
pub mod reckon;
pub mod run;
pub mod solved;
pub mod stock;

use clap::error::ErrorKind;
use clap::{Parser, Subcommand};
use out::Out;
use std::ffi::{OsStr, OsString};
use std::path::PathBuf;
use std::process::ExitCode;

/// What stands round the program when it is called; read once, in `main`.
#[derive(Clone, Debug, Default)]
pub struct Surroundings {
    /// The folder it was called in; `None` where that folder is gone.
    pub folder: Option<PathBuf>,
    /// The variables of the environment.
    pub variables: Vec<(OsString, OsString)>,
    /// The day, by the clock on the wall.
    pub today: Option<jiff::civil::Date>,
}

impl Surroundings {
    /// A variable of the environment, if it is set and not empty.
    pub fn variable(&self, name: &str) -> Option<&OsStr> {
        self.variables.iter().find(|(key, value)| key == name && !value.is_empty()).map(|(_, value)| value.as_os_str())
    }
}

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Done, and nothing to find fault with: exit code 0.
    Fine,
    /// Something is wrong with what was given, or was found: exit code 1.
    Findings,
    /// The command itself was not understood: exit code 2.
    Usage,
}

impl Verdict {
    /// The exit code.
    pub fn code(self) -> u8 {
        match self {
            Verdict::Fine => 0,
            Verdict::Findings => 1,
            Verdict::Usage => 2,
        }
    }
}

/// A bench assistant and batch planner for people who tie fishing flies to order.
#[derive(Debug, Parser)]
#[command(name = "herl", version, about, disable_help_subcommand = true)]
pub struct Args {
    /// The folder of the bench; the one it is called in where left out
    #[arg(long, global = true, value_name = "DIR")]
    pub bench: Option<PathBuf>,
    /// What to do
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Work out a dressing for one hook
    Card(card::Args),
    /// Work out an order: what to lay out, buy, charge
    Plan(plan::Args),
    /// Look through a bench's files for faults
    Check(check::Args),
    /// Write into a dressing's file: what it leaves out, or a new revision with lengths as they were measured
    Dressing(dressing::Args),
    /// Tell of the runs at the vice: all of them, or one with its figures
    Run(run::Args),
    /// Reckon a single figure: a wound length, a thread's or wire's thickness, what is left on a spool, a long hook's shank,
    /// how many to start, what practice makes of the time, how much to order and when, packs, cuts, settings
    Reckon(reckon::Args),
    /// What stands on the shelf: list it, book what came, was used, made, wasted or counted; what runs low
    Stock(Box<stock::Args>),
    /// Write a copy of the ledger to a new file, while it may be in use
    Backup(stock::whole::Backup),
    /// Look whether the ledger is true: sums, what points nowhere, names the files no longer have
    Verify(stock::whole::Verify),
    /// Tell the keys in force, and look through the file that changes them
    Keys(keys::Args),
}

/// Reads the arguments (the program's own name first), does what they ask and gives the exit code.
pub fn run(arguments: impl IntoIterator<Item = OsString>, surroundings: &Surroundings) -> ExitCode {
    let mut out = Out::standard();
    let verdict = answer(arguments, surroundings, &mut out);
    out.finish(verdict)
}

fn answer(arguments: impl IntoIterator<Item = OsString>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let arguments = match Args::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => return not_parsed(&error, out),
    };
    let bench = arguments.bench.as_deref();
    match &arguments.command {
        Some(Command::Card(args)) => card::run(args, bench, surroundings, out),
        Some(Command::Plan(args)) => plan::run(args, bench, surroundings, out),
        Some(Command::Check(args)) => check::run(args, bench, surroundings, out),
        Some(Command::Dressing(args)) => dressing::run(args, bench, surroundings, out),
        Some(Command::Run(args)) => run::run(args, bench, surroundings, out),
        Some(Command::Reckon(args)) => reckon::run(args, bench, surroundings, out),
        Some(Command::Stock(args)) => stock::run(args, bench, surroundings, out),
        Some(Command::Backup(args)) => stock::whole::backup(args, bench, surroundings, out),
        Some(Command::Verify(args)) => stock::whole::verify(args, bench, surroundings, out),
        Some(Command::Keys(args)) => keys::run(args, surroundings, out),
        None => enter::run(bench, surroundings, out),
    }
}

/// Help and the version were asked for and go to standard output; all else is a fault of usage.
fn not_parsed(error: &clap::Error, out: &mut Out) -> Verdict {
    let text = error.render().to_string();
    match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => {
            out.text(&text);
            Verdict::Fine
        }
        _ => {
            out.trouble(&text);
            Verdict::Usage
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_commands_are_put_together_soundly() {
        Args::command().debug_assert();
    }
}
