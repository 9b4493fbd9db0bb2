//! The screens against a real ledger in a real folder: what is shown as done is on the disk, and what cannot be booked
//! is told.

use crate::screens::{SMALL, desk, painted, text};
use herl::ledger::{FILE, LOCK, Ledger, RunId};
use herl::tui::Look;
use herl::tui::app::App;
use herl::tui::fulfil::Fulfil;
use herl::tui::keys::Key;
use herl::tui::queue::{Command, Happened, Now};
use herl::vice::{Depth, Did, Part};
use std::path::Path;

/// A program over a bench's folder, as the loop runs it.
struct Program {
    app: App,
    fulfil: Fulfil,
    ms: u64,
}

impl Program {
    fn on(bench: &Path) -> Self {
        Program { app: App::new(desk(), Look::default()), fulfil: Fulfil::new(bench.to_owned()), ms: 0 }
    }

    /// Presses keys a second apart; true when one of them left.
    fn press(&mut self, keys: &str) -> bool {
        keys.split_whitespace().any(|name| {
            self.ms += 1000;
            let now = Now { utc_ms: 1_767_268_800_000 + self.ms as i64, steady_ms: self.ms, ..Now::default() };
            let mut commands = self.app.update(Happened::Pressed(Key::read(name).unwrap()), now);
            while !commands.is_empty() {
                match commands.remove(0) {
                    Command::Leave => return true,
                    command => {
                        if let Some(done) = self.fulfil.carry_out(command) {
                            let follows = self.app.update(done, now);
                            commands.splice(0..0, follows);
                        }
                    }
                }
            }
            false
        })
    }

    fn screen(&self) -> String {
        text(&painted(&self.app, SMALL))
    }
}

fn dids(bench: &Path, run: i64) -> Vec<Did> {
    Ledger::open_reading(bench).unwrap().unwrap().events(RunId(run)).unwrap().into_iter().map(|event| event.did).collect()
}

const OPENED: Did = Did::Opened { depth: None };
/// The laying out passed over.
const LAID_OUT: Did = Did::Turned { to: Part::Tying };

#[test]
fn each_press_is_on_the_disk_before_the_next() {
    let bench = tempfile::tempdir().unwrap();
    let mut program = Program::on(bench.path());
    program.press("r d t");
    assert!(std::fs::read_dir(bench.path()).unwrap().next().is_none(), "looking makes no file");
    program.press("3 Enter");
    assert_eq!(dids(bench.path(), 1), [OPENED]);
    program.press("n");
    program.press("Space Tab Space");
    let stage = Did::Depth { to: Depth::Stage };
    assert_eq!(dids(bench.path(), 1), [OPENED, LAID_OUT, Did::On, stage, Did::On]);
    assert!(program.press("q"));
    assert_eq!(dids(bench.path(), 1).last(), Some(&Did::Closed));
}

#[test]
fn the_next_program_goes_on_at_the_same_place() {
    let bench = tempfile::tempdir().unwrap();
    let mut program = Program::on(bench.path());
    program.press("t 3 Enter n Space Space Tab");
    let before = program.screen();
    // No leaving: the power is cut.
    drop(program);
    let mut again = Program::on(bench.path());
    again.press("r");
    assert!(again.screen().contains("fly 1 of 3, step 3 of"), "{}", again.screen());
    again.press("Enter Space Backspace");
    let place =
        |screen: &str| screen.lines().find(|line| line.contains("stage ") && line.contains(" of ")).map(|line| line.split("  ").next().unwrap().to_owned());
    assert_eq!(place(&again.screen()), place(&before));
    assert!(again.screen().contains("‹stage›"), "at the depth it was left at");
}

#[test]
fn a_second_program_is_told_and_may_look() {
    let bench = tempfile::tempdir().unwrap();
    let mut first = Program::on(bench.path());
    first.press("t Enter n Space");
    let mut second = Program::on(bench.path());
    second.press("r");
    assert!(second.screen().contains("fly 1 of 12, step 2 of"), "{}", second.screen());
    second.press("Enter");
    assert!(second.screen().contains("in use by another herl"), "{}", second.screen());
    second.press("d t Enter");
    assert!(second.screen().contains("in use by another herl"));
    first.press("e");
    second.press("Enter");
    assert!(second.screen().contains("laying out"), "once the first has ended its sitting, the second may tie\n{}", second.screen());
    first.press("Space");
    assert_eq!(dids(bench.path(), 1), [OPENED, LAID_OUT, Did::On, Did::Closed]);
    assert_eq!(dids(bench.path(), 2), [OPENED]);
}

#[test]
fn what_cannot_be_written_is_told_and_left_as_it_was() {
    let bench = tempfile::tempdir().unwrap();
    std::fs::write(bench.path().join(FILE), "a letter to a customer").unwrap();
    let mut program = Program::on(bench.path());
    program.press("r");
    assert!(program.screen().contains("not a ledger of herl"), "{}", program.screen());
    program.press("d t Enter");
    assert!(program.screen().contains("not a ledger of herl") && program.screen().contains("How many flies?"), "{}", program.screen());
    assert_eq!(std::fs::read(bench.path().join(FILE)).unwrap(), b"a letter to a customer");
    std::fs::remove_file(bench.path().join(FILE)).unwrap();
    std::fs::create_dir(bench.path().join(LOCK)).unwrap();
    program.press("Enter");
    assert!(program.screen().contains(LOCK), "{}", program.screen());
    std::fs::remove_dir(bench.path().join(LOCK)).unwrap();
    program.press("Enter Space");
    assert_eq!(dids(bench.path(), 1), [OPENED, Did::On]);
}

/// Whoever may write anywhere cannot be kept from it by the folder's mode; then there is nothing to be seen here.
#[cfg(unix)]
#[test]
fn a_bench_that_can_only_be_read_says_so() {
    use std::os::unix::fs::PermissionsExt as _;
    let bench = tempfile::tempdir().unwrap();
    let mode = |mode| std::fs::set_permissions(bench.path(), std::fs::Permissions::from_mode(mode)).unwrap();
    mode(0o555);
    let kept = std::fs::write(bench.path().join("try"), "").is_err();
    let mut program = Program::on(bench.path());
    program.press("t Enter");
    let screen = program.screen();
    mode(0o755);
    assert!(!kept || screen.contains("reading only"), "{screen}");
}
