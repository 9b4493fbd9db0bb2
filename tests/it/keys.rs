//! Keys of a dresser's own: the file, what is wrong with it, and what the screens and `herl keys` then show.

use crate::screens::{SMALL, after, desk, painted, text};
use crate::support::cases;
use crate::{book::Book, screens};
use herl::bench::{keys_file, report, yaml};
use herl::tui::Look;
use herl::tui::app::App;
use herl::tui::keys::{ACTIONS, Deed, Key, Keymap, Place, headings};
use herl::tui::queue::{Command, Happened, Now};
use herl::vice::Did;
use proptest::prelude::*;
use std::fmt::Write as _;
use std::path::Path;
use std::process::Output;

/// The keys of a file with this text; a fault fails the test.
fn keys(text: &str) -> Keymap {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("keys.yaml");
    std::fs::write(&path, text).unwrap();
    let (changes, faults) = keys_file::read(&path);
    assert_eq!(faults, []);
    Keymap::new(&changes).unwrap_or_else(|faults| panic!("{faults:?}"))
}

fn look(text: &str) -> Look {
    Look { keys: keys(text), ..Look::default() }
}

/// Everything that is wrong with a file, as people read it.
fn wrong(path: &Path) -> String {
    let (changes, mut faults) = keys_file::read(path);
    faults.extend(Keymap::new(&changes).err().into_iter().flatten());
    report::render(&faults, &yaml::text_of).replace(&path.display().to_string(), "keys.yaml")
}

const PEDAL: &str = "at the vice:
  go on: [Space, F13]
  go back: F14
  pause: none
everywhere:
  help: [F1, \"?\"]
  why: y
on a plan:
  why: [Enter, F9]
in the list of dressings:
  onward: Right
";

/// `HERL_ACCEPT=1` writes the reports as they are now; read every one of them.
#[test]
fn every_bad_file_of_keys_gives_its_message() {
    let accept = std::env::var_os("HERL_ACCEPT").is_some();
    let (mut other, mut seen) = (String::new(), 0);
    let mut files: Vec<_> = std::fs::read_dir(cases().join("keys")).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|ending| ending == "yaml"));
    files.sort();
    for path in files {
        seen += 1;
        let (page, expected) = (wrong(&path), path.with_extension("txt"));
        assert!(page.contains("error: keys.yaml") && page.contains("  right: "), "{}: {page}", path.display());
        if accept {
            std::fs::write(&expected, &page).unwrap();
        } else if std::fs::read_to_string(&expected).unwrap_or_default() != page {
            writeln!(other, "== {}\n{page}", path.display()).unwrap();
        }
    }
    assert!(seen > 8, "the folder of bad files is there");
    assert!(other.is_empty(), "these say something else than expected:\n{other}");
}

#[test]
fn an_action_that_is_named_has_these_keys_and_no_others() {
    let keys = keys(PEDAL);
    let does = |key: &str, place| keys.deed(Key::read(key).unwrap(), place);
    assert_eq!([does("F13", Place::Vice), does("Space", Place::Vice), does("F14", Place::Vice)], [Some(Deed::GoOn), Some(Deed::GoOn), Some(Deed::GoBack)]);
    assert_eq!(["Enter", "PageDown", "Backspace", "PageUp", "p", "w"].map(|key| does(key, Place::Vice)), [None; 6]);
    assert_eq!([does("Tab", Place::Vice), does("e", Place::Vice)], [Some(Deed::Depth), Some(Deed::EndSitting)], "what is not named keeps its own");
    assert_eq!([does("F1", Place::Runs), does("?", Place::Card), does("F1", Place::Filter)], [Some(Deed::Help), Some(Deed::Help), None]);
    assert_eq!([does("y", Place::Vice), does("y", Place::Card)], [Some(Deed::Why); 2]);
    assert_eq!([does("y", Place::Plan), does("F9", Place::Plan), does("w", Place::Plan)], [None, Some(Deed::Why), None], "the nearer heading counts");
    assert_eq!(["Right", "Tab", "Enter"].map(|key| does(key, Place::Dressings)), [Some(Deed::Onward), None, None], "two rows of one name are one action");
    assert_eq!(does("Enter", Place::Orders), Some(Deed::Onward));
}

#[test]
fn nothing_takes_the_last_way_out_away() {
    let text = "everywhere:\n  leave: none\n  leave at once: F10\n  help: none\n  back: none\n  elsewhere: none\n";
    for place in Place::ALL {
        let keys = keys(text);
        assert_eq!([Key::Control('c'), Key::F(10)].map(|key| keys.deed(key, *place)), [Some(Deed::LeaveAtOnce); 2], "{place:?}");
        assert!(!keys.hints(*place, 200, &|_| true).iter().any(|(_, label)| *label == "leave"), "{place:?}");
    }
    let mut app = after(desk(), look(text), SMALL, "t Enter q Esc ?");
    assert!(text_of(&app).contains("fly 1 of 12"), "the keys that are gone do nothing");
    assert_eq!(app.update(Happened::Pressed(Key::Control('c')), Now::default()).last(), Some(&Command::Leave));
}

fn text_of(app: &App) -> String {
    text(&painted(app, SMALL))
}

#[test]
fn foot_help_and_hints_show_the_keys_in_force() {
    screens::snapshot("keys_help_small", look(PEDAL), SMALL, "t Enter F1");
    screens::snapshot("keys_dressings_small", look(PEDAL), SMALL, "");
    let all = after(desk(), look(PEDAL), SMALL, "").help();
    let row = |keys: &str| all.iter().filter(|line| line.term == keys).count();
    assert_eq!([row("F1 ?"), row("Space F13"), row("Enter F9"), row("p"), row("Space Enter PageDown")], [1, 1, 1, 0, 0]);
}

#[test]
fn a_pedal_goes_on_and_back() {
    let mut app = App::new(desk(), look(PEDAL));
    let mut book = Book::default();
    for key in ["t", "Enter", "F13", "F13", "F14", "p", "PageDown"] {
        book.take(&mut app, Happened::Pressed(Key::read(key).unwrap()));
    }
    let did: Vec<&Did> = book.runs[0].1.iter().map(|event| &event.did).skip(1).collect();
    assert_eq!(did, [&Did::On, &Did::On, &Did::Back]);
}

#[test]
fn every_action_of_every_place_can_be_given_a_key() {
    for (heading, places) in headings() {
        for action in ACTIONS.iter().filter(|action| action.places.iter().any(|place| places.contains(place))) {
            let keys = keys(&format!("{heading}:\n  {}: F24\n", action.name));
            let place = places.iter().find(|place| action.places.contains(place)).unwrap();
            assert_eq!(keys.deed(Key::F(24), *place), Some(action.deed), "{heading}: {}", action.name);
        }
    }
}

fn herl(home: &Path, arguments: &[&str]) -> Output {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_herl"));
    command.args(arguments).current_dir(home).env_clear().env("XDG_CONFIG_HOME", home).output().unwrap()
}

fn squeezed(page: &str) -> String {
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_command_tells_the_keys_in_force_and_checks_the_file() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("herl").join("keys.yaml");
    let told = |arguments: &[&str]| {
        let output = herl(home.path(), arguments);
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
        (output.status.code().unwrap(), text(&output.stdout), text(&output.stderr))
    };
    let (code, page, trouble) = told(&["keys"]);
    assert_eq!((code, trouble.as_str()), (0, ""));
    assert!(squeezed(&page).contains(" go on Space Enter PageDown this step") && page.contains("keys.yaml (there is none yet)"), "{page}");

    std::fs::create_dir(path.parent().unwrap()).unwrap();
    std::fs::write(&path, PEDAL).unwrap();
    let (code, page, trouble) = told(&["keys"]);
    assert_eq!((code, trouble.as_str()), (0, ""));
    assert!(squeezed(&page).contains(" go on Space F13 * this step") && squeezed(&page).contains(" pause none * pause:"), "{page}");
    let (code, page, _) = told(&["keys", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&page).unwrap();
    let places = &json["places"];
    assert_eq!((code, &json["schema"], &json["file"]), (0, &serde_json::json!(1), &serde_json::json!(path.to_str().unwrap())));
    assert_eq!(places["with a fly in the vice"]["go on"], serde_json::json!({"keys": ["Space", "F13"], "changed": true, "help": ACTIONS[0].help}));
    assert_eq!(places["with a fly in the vice"]["pause"]["keys"], serde_json::json!([]));
    assert_eq!(places["in the list of orders"]["onward"]["keys"], serde_json::json!(["Tab", "Enter", "Right"]));

    std::fs::write(&path, "at the vice:\n  paus: F13\n").unwrap();
    let (code, page, trouble) = told(&["keys"]);
    assert_eq!(code, 1);
    assert!(trouble.contains("keys.yaml:2:3: \"paus\"") && trouble.contains("did you mean \"pause\"?"), "{trouble}");
    assert!(page.contains("program's own keys hold") && page.contains("Space Enter PageDown"), "{page}");
}

proptest! {
    #[test]
    fn no_file_of_keys_makes_it_fall(text in "(everywhere|at the vice|in a list|x): ?\n( {1,3}(go on|why|help|back|left|leave at once|\\PC{0,4}): ?(\\[?[a-z]?,? ?(F[0-9]{1,2}|Ctrl-.|\\PC{0,3})\\]?)?\n){0,5}") {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("keys.yaml");
        std::fs::write(&path, &text).unwrap();
        let (changes, _) = keys_file::read(&path);
        if let Ok(keys) = Keymap::new(&changes) {
            for place in Place::ALL {
                prop_assert_eq!(keys.deed(Key::Control('c'), *place), Some(Deed::LeaveAtOnce));
            }
        }
    }
}
