//! What has changed since a card was kept, told over a dressing's file that went on.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::figures::demo;
use crate::support::lay;
use herl::bench::{self, Bench};
use herl::card::differs::{Topic, differs};
use herl::card::frozen::{freeze, thaw};
use herl::card::{self, Card};
use std::fs;
use std::path::Path;

/// The dressing that is changed.
const NAME: &str = "ashgarth dun";

fn worked(bench: &Bench) -> Card {
    let dressing = &bench.dressings[NAME];
    card::work(dressing, &dressing.sizes[1], None, None, &bench.shelf).unwrap()
}

/// The demo's dressing, kept; then its file changed, each of these texts for the other; then set against it.
fn after(changes: &[(&str, &str)]) -> Vec<(Topic, String)> {
    let then = thaw(&freeze(&worked(&demo())).unwrap()).unwrap();
    let dir = tempfile::tempdir().unwrap();
    lay(&Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo"), dir.path());
    let file = dir.path().join("dressings/ashgarth-dun.yaml");
    let text = changes.iter().fold(fs::read_to_string(&file).unwrap(), |text, (old, new)| {
        assert!(text.contains(old), "the demo's dressing says {old:?}");
        text.replacen(old, new, 1)
    });
    fs::write(&file, text).unwrap();
    let loaded = bench::load(dir.path());
    assert!(loaded.findings.iter().all(|found| !found.is_error()), "{:#?}", loaded.findings);
    differs(&then, &worked(&loaded.bench)).into_iter().map(|found| (found.topic, found.to_string())).collect()
}

fn of(found: &[(Topic, String)], topic: Topic) -> Vec<&str> {
    found.iter().filter(|(of, _)| *of == topic).map(|(_, text)| text.as_str()).collect()
}

#[test]
fn nothing_differs_from_a_file_that_stayed() {
    assert_eq!(after(&[]), []);
    assert_eq!(after(&[("# What is done, in order.", "# In order.")]), [], "a remark is no difference");
}

#[test]
fn a_changed_proportion_is_told_as_the_length_it_comes_to() {
    let found = after(&[("revision: 3", "revision: 4"), ("at: barb\n    length: 1 shank", "at: barb\n    length: 1 1/4 shank")]);
    assert_eq!(found[0], (Topic::Revision, "revision: 3 -> 4".to_owned()));
    assert_eq!(of(&found, Topic::Figure), ["tail.length: 8.7 mm -> 10.9 mm"]);
    assert_eq!(
        of(&found, Topic::Step),
        ["step 6: Tie in 7 tail fibres, 8.7 mm long. (Female, a small ball of yellow next; else the wire.) -> \
         Tie in 7 tail fibres, 10.9 mm long. (Female, a small ball of yellow next; else the wire.)"]
    );
    assert!(found.is_sorted_by_key(|(topic, _)| *topic), "{found:#?}");
}

#[test]
fn a_changed_material_is_told_before_what_it_takes() {
    let found = after(&[("of: gold wire, fine", "of: silver wire, fine"), ("turns: 4\n", "turns: 5\n")]);
    assert_eq!(found[0], (Topic::Material, "rib, material: gold wire, fine -> silver wire, fine".to_owned()));
    assert_eq!(of(&found, Topic::Figure), ["rib.width: 0.10 mm -> 0.12 mm", "rib.turns: 4 -> 5"]);
    assert!(of(&found, Topic::Amount).iter().any(|text| text.starts_with("rib.amount: ")), "{found:#?}");
}

#[test]
fn steps_and_parts_that_come_and_go_are_told_once() {
    let rib = "  - part: rib\n    of: gold wire, fine\n    as: wound\n    over: body                 # begins and ends where the body does\n    way: the other way         \
               # against the turns of the silk, so that it binds\n    turns: 4\n";
    let wind = "  - wind: rib\n    do: Wire the other way in open turns, and off behind the wing. (Not on the female.)\n    time: 20 s\n";
    let found = after(&[(rib, ""), (wind, ""), ("[tail, egg, rib]", "[tail, egg]"), ("    leave-out: [rib]\n", "")]);
    assert_eq!(of(&found, Topic::Part), ["rib: gone (gold wire, fine, wound)"]);
    assert_eq!(
        of(&found, Topic::Step),
        ["step 6, ties in: tail, rib -> tail", "step 8: gone (Wire the other way in open turns, and off behind the wing. (Not on the female.))"]
    );
    assert!(!found.iter().any(|(_, text)| text.starts_with("rib.")), "the figures of a part that is gone go without saying: {found:#?}");
    let found = after(&[("do: Clear the eye, five turns, whip off.\n    time: 20 s", "do: Clear the eye, whip off.\n    time: 25 s")]);
    assert_eq!(of(&found, Topic::Step), ["step 11: Clear the eye, five turns, whip off. -> Clear the eye, whip off.", "step 11, time: 20 s -> 25 s"]);
}
