//! A dressing as a book prints it: worked by the custom of its kind, held against it, and filled in.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

use herl::bench::{self, edit};
use herl::card::{self, Card, custom};
use herl::why::{Origin, Standing};
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

const MATERIALS: &str = "materials:
  silk, fine: {kind: silk, width: 0.1 mm}
  dun cock: {kind: cape, width: 0.3 mm, usable: 60 mm}
  brown hair: {kind: hair, width: 0.08 mm}
  grey fur: {kind: dubbing, density: 0.1 g/cm3}
  gold wire: {kind: wire, width: 0.12 mm}
  green floss: {kind: floss, width: 0.4 mm}
  mallard: {kind: quill}
  brass bead: {kind: bead, width: 2.5 mm, hole: 1.0 mm}
  lead wire: {kind: lead, width: 0.4 mm}
";
const HOOKS: &str = "charts:
  plain:
    one-x: whole number
    sizes:
      4: {gap: 8.0 mm, shank: 18.0 mm, hook-wire: 0.8 mm}
      6: {gap: 7.0 mm, shank: 15.0 mm, hook-wire: 0.7 mm}
      12: {gap: 5.0 mm, shank: 10.0 mm, hook-wire: 0.45 mm}
      14: {gap: 4.2 mm, shank: 8.4 mm, hook-wire: 0.40 mm}
      16: {gap: 3.5 mm, shank: 7.0 mm, hook-wire: 0.36 mm}
  by-evens:
    one-x: even size
    sizes:
      12: {gap: 5.0 mm, shank: 10.0 mm, hook-wire: 0.45 mm}
      14: {gap: 4.2 mm, shank: 8.4 mm, hook-wire: 0.40 mm}
";

pub(crate) fn lay(dressing: &str) -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    fs::create_dir(dir.path().join("dressings")).unwrap();
    for (name, text) in [("bench.yaml", "bench: Test\ncurrency: GBP\n"), ("materials.yaml", MATERIALS), ("hooks.yaml", HOOKS)] {
        fs::write(dir.path().join(name), text).unwrap();
    }
    fs::write(dir.path().join("dressings/book.yaml"), dressing).unwrap();
    dir
}

fn book(kind: &str, parts: &[(&str, &str)]) -> String {
    let parts: String = parts.iter().map(|(name, of)| format!("  - part: {name}\n    of: {of}\n")).collect();
    format!("dressing: Book Fly\nkind: {kind}\nhook: plain\nsizes: 12, 14\nsilk: silk, fine\nparts:\n{parts}")
}

pub(crate) fn load(dir: &Path) -> bench::Bench {
    let loaded = bench::load(dir);
    assert!(loaded.findings.iter().all(|fault| !fault.is_error()), "{:#?}", loaded.findings);
    loaded.bench
}

/// All cards, each variant at each size.
fn cards(bench: &bench::Bench) -> Vec<Card> {
    let dressing = bench.dressings.values().next().unwrap();
    let variants = std::iter::once(None).chain(dressing.variants.keys().map(|name| Some(name.as_str())));
    variants
        .flat_map(|variant| dressing.sizes.iter().map(move |size| (variant, size)))
        .map(|(variant, size)| card::work(dressing, size, variant, None, &bench.shelf).unwrap_or_else(|faults| panic!("{faults:#?}")))
        .collect()
}

pub(crate) fn value(card: &Card, key: &str) -> f64 {
    card.sheet.value(card.sheet.find(key).unwrap_or_else(|| panic!("no {key}")))
}

const DUN: &[(&str, &str)] = &[("wing", "brown hair"), ("tail", "dun cock"), ("rib", "gold wire"), ("body", "grey fur"), ("hackle", "dun cock")];

#[test]
fn a_dressing_as_a_book_prints_it_works_at_once() {
    let dir = lay(&book("upwinged dry", DUN));
    let card = cards(&load(dir.path())).remove(0);
    // By the tables the custom rests on: tail one shank, wing one shank at a third of it, hackle one and a half gaps
    // (Fly Anglers OnLine, tying tips part 176; Fling and Puterbaugh, The Basic Manual of Fly-Tying).
    assert_eq!(value(&card, "tail.length"), 10.0);
    assert_eq!(value(&card, "wing.length"), 10.0);
    assert!((value(&card, "wing.at") - 10.0 / 3.0).abs() < 1e-12);
    assert_eq!(value(&card, "hackle.fibre"), 7.5);
    assert_eq!(value(&card, "hackle.turns"), 6.0);
    assert!(card.parts.iter().all(|part| part.amount.is_some()), "every part has its amount");
    assert_eq!(card.needs.len(), DUN.len() + 2, "the parts, the hook and the silk");
    assert!(card.advice.is_empty(), "{:#?}", card.advice);
    assert!(card.steps.len() > 8 && card.steps.iter().all(|step| step.time.is_some()), "usual steps with usual times");
}

#[test]
fn usual_steps_tell_the_figures_of_the_card_and_leave_out_what_is_open() {
    let dir = lay(&book("upwinged dry", DUN).replace("hackle\n    of: dun cock", "hackle\n    of: dun cock\n    turns: 4 behind, 3 before the wing"));
    let cards = cards(&load(dir.path()));
    let told = |card: &Card, lead: &str| card.steps.iter().find(|step| step.text.starts_with(lead)).map(|step| step.text.clone()).unwrap_or_default();
    // The custom of the kind, on hooks of 10 and 8.4 mm with their barbs at 9 and 7.56 mm (a fifth of the gap before the
    // shank's end).
    assert_eq!(told(&cards[0], "Tie in the tail"), "Tie in the tail, 8 fibres, 10.0 mm long, 9.0 mm behind the eye.");
    assert_eq!(told(&cards[1], "Tie in the tail"), "Tie in the tail, 8 fibres, 8.4 mm long, 7.6 mm behind the eye.");
    assert_eq!(told(&cards[0], "Wind the hackle"), "Wind the hackle, 4 turns behind and 3 before the wing.");
    assert!(told(&cards[0], "Silk in touching turns").contains("start of body (9.0 mm)"), "{:?}", cards[0].steps);
    assert!(told(&cards[0], "Dub the body").contains("9.0 mm to 3.3 mm behind the eye, "), "{:?}", cards[0].steps);
    assert!(!cards[0].steps.iter().any(|step| step.text.contains("Tie in the body")), "dubbing has no end to tie in");
    assert_eq!(told(&cards[0], "5 turns"), "5 turns, whip off.");
    // Where nobody says them, the words do without.
    let open = cards_of("moth of my own").remove(0);
    assert_eq!(told(&open, "Tie in the tail"), "Tie in the tail.");
    assert!(open.steps.iter().all(|step| !step.text.contains("open)") && !step.text.contains('{')), "{:?}", open.steps);
}

#[test]
fn a_pair_by_custom_is_one_pair_of_two_feathers() {
    for kind in ["winged wet", "upwinged dry"] {
        let dir = lay(&book(kind, &[("wing", "dun cock")]).replace("of: dun cock", "of: dun cock\n    as: pair"));
        let card = cards(&load(dir.path())).remove(0);
        assert_eq!((value(&card, "wing.count"), value(&card, "wing.amount")), (1.0, 2.0), "{kind}");
        assert!(card.steps.iter().any(|step| step.text.starts_with("Tie in the wing, ") && step.text.contains(" long")), "{:?}", card.steps);
    }
}

fn cards_of(kind: &str) -> Vec<Card> {
    cards(&load(lay(&book(kind, DUN)).path()))
}

#[test]
fn what_the_custom_says_is_marked_so_and_tells_its_source() {
    let dir = lay(&book("upwinged dry", DUN).replace("    of: dun cock\n  - part: rib", "    of: dun cock\n    count: 5\n  - part: rib"));
    let card = cards(&load(dir.path())).remove(0);
    let row = |key: &str| card.sheet.at(card.sheet.find(key).unwrap_or_else(|| panic!("no {key}")));
    assert_eq!(row("tail.count").standing, Standing::Stated, "what is said stays as it is said");
    assert_eq!(row("tail.count").value, 5.0);
    assert_eq!(row("tail.length").standing, Standing::Custom);
    assert_eq!(row("rib.turns").standing, Standing::Custom);
    let Origin::Given { from } = &row("tail.length.times").origin else { panic!("a figure of the custom is given") };
    let from = from.to_string();
    assert!(from.contains("custom of upwinged dry") && from.contains("Southern Wisconsin") && from.contains("1 shank"), "{from}");
    let amount = card.parts.iter().find(|part| part.name == "rib").unwrap().amount.unwrap();
    assert!(card.sheet.at(amount).standing >= Standing::Custom, "what rests on the custom is no stronger");
    let time = card.steps[0].time.unwrap().0;
    assert_eq!(card.sheet.at(time).standing, Standing::Usual);
    let wing = card.parts.iter().find(|part| part.name == "wing").unwrap();
    assert!(wing.by_custom.iter().any(|key| key == "as") && wing.by_custom.iter().any(|key| key == "length") && wing.shape.divided);
    let tail = card.parts.iter().find(|part| part.name == "tail").unwrap();
    assert!(!tail.by_custom.iter().any(|key| key == "count"));
}

#[test]
fn without_a_custom_it_stays_open_and_is_named_once_with_its_mend() {
    let dir = lay(&book("moth of my own", DUN));
    let bench = load(dir.path());
    let told = bench::cards::check(&bench);
    assert_eq!(told.len(), 1, "{told:#?}");
    assert!(!told[0].is_error() && told[0].right.as_ref().unwrap().contains("`like:`"), "{told:#?}");
    assert!(told[0].what.contains("of \"tail\": where it is tied in, how long it is, how many fibres it has"), "{}", told[0].what);
    let card = cards(&bench).remove(0);
    assert_eq!(card.parts.len(), DUN.len(), "every part is on the card");
    assert!(card.parts.iter().all(|part| part.length.is_none() && part.amount.is_none() && part.tied_in.is_none()));
    assert_eq!(card.needs.len(), 2, "only the hook and the silk");
    // `like:` mends it.
    let dir = lay(&book("moth of my own\nlike: upwinged dry", DUN));
    let bench = load(dir.path());
    assert!(bench::cards::check(&bench).is_empty());
    assert_eq!(value(&cards(&bench)[0], "tail.length"), 10.0);
}

#[test]
fn a_length_by_an_open_part_is_open_and_a_custom_that_would_close_a_circle_is_not_taken() {
    let parts =
        "  - {part: tail, of: dun cock, as: bunch, count: 6, at: barb}\n  - {part: wing, of: dun cock, as: bunch, count: 6, at: barb, length: 2 x tail}\n";
    let head = |kind: &str| format!("dressing: Book Fly\nkind: {kind}\nhook: plain\nsizes: 12\nsilk: silk, fine\nparts:\n");
    let card = cards(&load(lay(&format!("{}{parts}", head("odd"))).path())).remove(0);
    assert!(card.parts.iter().all(|part| part.length.is_none() && part.amount.is_none()));
    // The custom of the winged wet has the tail as long as the body; here the body ends where the tail does.
    let parts = "  - {part: tail, of: dun cock}\n  - {part: body, of: grey fur, from: barb, to: barb - 0.5 tail}\n";
    let card = cards(&load(lay(&format!("{}{parts}", head("winged wet"))).path())).remove(0);
    assert_eq!(value(&card, "tail.length"), 7.5, "the next row that can be had: a half to a whole shank");
}

#[test]
fn what_lies_behind_the_bead_and_over_other_parts_is_placed_by_them() {
    let parts = [
        ("goldhead", "brass bead"),
        ("lead", "lead wire"),
        ("tail", "dun cock"),
        ("rib", "gold wire"),
        ("abdomen", "grey fur"),
        ("wing case", "mallard"),
        ("thorax", "grey fur"),
    ];
    let dir = lay(&book("goldhead", &parts));
    let card = cards(&load(dir.path())).remove(0);
    assert!(card.parts.iter().all(|part| part.amount.is_some()), "{:#?}", card.advice);
    assert_eq!(value(&card, "thorax.to"), value(&card, "goldhead.length"), "the thorax ends behind the bead");
    assert_eq!(value(&card, "rib.from"), value(&card, "abdomen.from"));
    assert_eq!(value(&card, "abdomen.to"), value(&card, "thorax.from"));
    let case = card.parts.iter().find(|part| part.name == "wing case").unwrap();
    let way = value(&card, "thorax.from") - value(&card, "thorax.to");
    assert!(case.span.is_some() && (value(&card, "wing case.length") - way).abs() < 1e-12, "a case is as long as the way it is brought over");
    let over = format!("Bring the wing case over to {:.1} mm behind the eye and tie down.", value(&card, "wing case.to"));
    assert!(card.steps.iter().any(|step| step.text == over), "{:?}", card.steps);
    // Without one, it ends one eye behind the eye.
    let dir = lay(&book("nymph", &parts[2..]));
    let card = cards(&load(dir.path())).remove(0);
    assert_eq!(value(&card, "thorax.to"), value(&card, "hook.eye"));
}

#[test]
fn every_kind_works_and_is_filled_in_with_its_steps() {
    let parts = [("tail", "dun cock"), ("rib", "gold wire"), ("body", "green floss"), ("wing", "brown hair"), ("hackle", "dun cock")];
    let mut filled = 0;
    for kind in custom::kinds() {
        let text = book(kind, &parts);
        let dir = lay(&text);
        let before = load(dir.path());
        let open: Vec<_> = cards(&before).iter().flat_map(|card| card.parts.clone()).filter(|part| part.amount.is_none()).map(|part| part.name).collect();
        // Some kinds have no wing, and no custom for one.
        let wingless = ["spider", "shrimp", "foam beetle"].contains(&kind);
        assert!(open.iter().all(|part| wingless && part == "wing"), "{kind}: {open:?} stay open");
        let done = edit::fill(&before, before.dressings.values().next().unwrap()).unwrap_or_else(|faults| panic!("{kind}: {faults:#?}"));
        assert!(done.left.is_empty() != wingless, "{kind}: {:?}", done.left);
        same(&cards(&before), &cards(&load(dir.path())), kind);
        filled += 1;
    }
    assert!(filled >= 17);
}

/// Figures by key, less the numbers that only keep keys apart.
fn figures(card: &Card) -> BTreeMap<String, Vec<u64>> {
    let mut all: BTreeMap<String, Vec<u64>> = BTreeMap::new();
    for (_, key, row) in card.sheet.rows() {
        let key = key.split('.').filter(|part| part.parse::<u32>().is_err()).collect::<Vec<_>>().join(".");
        all.entry(key).or_default().push(row.value.to_bits());
    }
    all.values_mut().for_each(|values| values.sort_unstable());
    all
}

fn same(then: &[Card], now: &[Card], what: &str) {
    assert_eq!(then.len(), now.len(), "{what}");
    for (then, now) in then.iter().zip(now) {
        assert_eq!(figures(then), figures(now), "{what}");
        let texts = |card: &Card| card.steps.iter().map(|step| step.text.clone()).collect::<Vec<_>>();
        assert_eq!(texts(then), texts(now), "{what}");
        let ways = |card: &Card| card.parts.iter().map(|part| (part.name.clone(), part.way, part.shape, part.on.clone())).collect::<Vec<_>>();
        assert_eq!(ways(then), ways(now), "{what}");
    }
}

/// Whether the lines of `before` stand in `after`, in their order.
fn still_stand(before: &str, after: &str) -> bool {
    let mut lines = after.lines();
    before.lines().all(|line| lines.any(|other| other == line))
}

#[test]
fn filling_in_keeps_comments_quotes_line_ends_and_a_byte_order_mark() {
    let text = "\u{FEFF}# from an old book\r\ndressing: \"Book Fly\"   # quoted\r\nkind: upwinged dry\r\nhook: plain\r\nsizes: 12, 14\r\nsilk: 'silk, fine'\r\n\r\nparts:\r\n  - part: tail\r\n    # of the best\r\n    of: \"dun cock\"  # or badger\r\n    # left as it is\r\n\r\n  -   part: body\r\n      of: grey fur";
    let dir = lay(text);
    let bench = load(dir.path());
    let before = cards(&bench);
    let done = edit::fill(&bench, &bench.dressings["book fly"]).unwrap();
    let after = fs::read_to_string(dir.path().join("dressings/book.yaml")).unwrap();
    assert!(after.starts_with(text.split("    # left").next().unwrap()), "{after}");
    // What is written reads as the dresser's own word from now on; the remark keeps whose rule it was.
    assert!(after.contains("of: \"dun cock\"  # or badger\r\n    as: bunch  # custom of any fly (common practice, no source)\r\n"), "{after}");
    assert!(after.contains("    time: 25 s  # usual time, from memory\r\n") && after.contains("steps:  # usual order, no source\r\n"), "{after}");
    assert!(done.lines.iter().all(|line| !line.text.contains(" # ")), "the remark is told beside the line");
    assert!(after.contains("\r\n      of: grey fur\r\n      as: dubbed  # "), "{after}");
    assert!(!after.replace("\r\n", "").contains(['\r', '\n']), "every line ends as the file's lines do");
    assert!(!after.ends_with('\n'), "no line end is put where there was none");
    let lines: Vec<&str> = after.lines().collect();
    for line in &done.lines {
        assert_eq!(lines[line.line - 1].trim_start().split("  # ").next(), Some(line.text.as_str()), "the numbers told are those of the file");
    }
    assert_eq!(lines.len(), text.lines().count() + done.lines.len());
    assert!(still_stand(text, &after));
    assert_eq!(fs::read_to_string(done.backup.unwrap()).unwrap(), text, "the file as it was is kept");
    same(&before, &cards(&load(dir.path())), "book");
    let left: Vec<_> = fs::read_dir(dir.path().join("dressings")).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(left.len(), 2, "nothing but the file and its copy: {left:?}");
}

#[test]
fn where_it_cannot_be_filled_in_it_says_why_and_leaves_all_as_it_was() {
    let head = "dressing: Book Fly\nkind: upwinged dry\nhook: plain\nsizes: 12\nsilk: silk, fine\nparts:\n";
    for (parts, why) in [
        ("  - {part: tail, of: dun cock}\n", "braces"),
        ("  - {\n    part: tail,\n    of: dun cock\n    }\n", "braces"),
        ("  - &mine\n    part: tail\n    of: dun cock\n", "anchor"),
        ("  - part: tail\n    of: dun cock\n  - part: body\n    of: grey fur\nvariants:\n  floss:\n    body: {of: green floss}\n", "\"floss\""),
    ] {
        let text = format!("{head}{parts}");
        let dir = lay(&text);
        let bench = load(dir.path());
        let faults = edit::fill(&bench, &bench.dressings["book fly"]).unwrap_err();
        assert!(faults[0].what.contains(why) && faults[0].what.contains("nothing was written") && faults[0].right.is_some(), "{faults:#?}");
        assert_eq!(fs::read_to_string(dir.path().join("dressings/book.yaml")).unwrap(), text);
        assert_eq!(fs::read_dir(dir.path().join("dressings")).unwrap().count(), 1, "no copy is left where nothing was done");
    }
}

#[test]
fn a_proportion_outside_every_source_is_advice_that_names_them() {
    let with = |rule: &str| book("upwinged dry", DUN).replace("    of: dun cock\n  - part: rib", &format!("    of: dun cock\n    {rule}\n  - part: rib"));
    let advice = |rule: &str| bench::cards::check(&load(lay(&with(rule)).path()));
    // Sources run from one shank to one overall (and 1.25 shank): anything between is the custom of somebody.
    for rule in ["length: 1 shank", "length: 1 overall", "length: 1.1 shank", "count: 3", "count: 10"] {
        assert!(advice(rule).is_empty(), "{rule}: {:#?}", advice(rule));
    }
    let told = advice("length: 2 shank");
    assert_eq!(told.len(), 1, "once for all sizes: {told:#?}");
    assert!(!told[0].is_error());
    for part in ["length of \"tail\": 20.0 mm", "10.0 to 13.8 mm", "Feather-Craft", "Fly Anglers OnLine", "antiquefishing.net"] {
        assert!(told[0].what.contains(part), "{part} is not in: {}", told[0].what);
    }
    assert_eq!(advice("count: 20").len(), 1);
    // The rib of this kind was published by nobody: any number will do.
    let ribbed = book("upwinged dry", DUN).replace("of: gold wire\n", "of: gold wire\n    turns: 9\n");
    assert!(bench::cards::check(&load(lay(&ribbed).path())).is_empty());
}

/// What may be written of a part, with a value that does not stand against the custom of the kinds below.
const SAID: &[&str] = &["", "    at: 1/4 shank behind the eye\n", "    length: 0.8 shank\n", "    reach: bend + 2 mm\n", "    count: 7\n", "    turns: 4\n"];

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn filled_in_and_loaded_is_loaded_with_defaults(
        kind in prop::sample::select(vec!["upwinged dry", "nymph", "winged wet", "spider", "parachute", "streamer", "spent spinner", "palmer", "nobody's fly"]),
        names in prop::sample::subsequence(vec!["tail", "rib", "abdomen", "thorax", "wing case", "wing", "front hackle"], 1..7),
        egg in 0..8_u8,
        said in prop::collection::vec((0..SAID.len(), 0..6_usize, any::<bool>()), 8),
        crlf in any::<bool>(),
        last_line_ends in any::<bool>(),
        extras in 0..4_usize,
    ) {
        const OF: [&str; 6] = ["dun cock", "brown hair", "grey fur", "gold wire", "green floss", "mallard"];
        // Now and then a part that no custom knows, which stays open.
        let mut names = names;
        names.extend((egg == 0).then_some("egg"));
        let mut text = format!("dressing: Book Fly # a remark\nkind: \"{kind}\"\nhook: plain\nsizes: 12, 14-16\nsilk: silk, fine\nparts:\n");
        for (name, (key, of, remark)) in names.iter().zip(&said) {
            text.push_str(&format!("  - part: {name}\n"));
            if *remark {
                text.push_str("    # as grandfather had it\n");
            }
            text.push_str(&format!("{}    of: '{}'\n", SAID[*key], OF[*of]));
        }
        match extras {
            1 => text.push_str(&format!("at-size:\n  16 and smaller:\n    {}: {{count: 3}}\n", names[0])),
            2 => text.push_str("variants:\n  lively:\n    add:\n      - part: under-wing\n        of: brown hair\n        after: REAR\n".replace("REAR", names[0]).as_str()),
            3 if names.len() > 1 => text.push_str(&format!("variants:\n  plain:\n    leave-out: {}\n", names[names.len() - 1])),
            _ => {}
        }
        if crlf {
            text = text.replace('\n', "\r\n");
        }
        if !last_line_ends {
            text.truncate(text.trim_end().len());
        }
        let dir = lay(&text);
        let loaded = bench::load(dir.path());
        prop_assume!(loaded.findings.iter().all(|fault| !fault.is_error()));
        let bench = loaded.bench;
        let dressing = &bench.dressings["book fly"];
        let read = || fs::read_to_string(dir.path().join("dressings/book.yaml")).unwrap();
        match edit::fill(&bench, dressing) {
            Ok(done) => {
                let after = read();
                prop_assert!(still_stand(&text, &after), "{after}");
                let removed: Vec<usize> = done.lines.iter().map(|line| line.line - 1).collect();
                let kept: Vec<&str> = after.split('\n').enumerate().filter(|(nth, _)| !removed.contains(nth)).map(|(_, line)| line.trim_end_matches('\r')).collect();
                prop_assert_eq!(kept.join("\n").trim_end().to_owned(), text.replace('\r', "").trim_end().to_owned());
                same(&cards(&bench), &cards(&load(dir.path())), &after);
                let again = load(dir.path());
                let second = edit::fill(&again, &again.dressings["book fly"]);
                prop_assert!(second.is_ok_and(|second| second.lines.is_empty() || !done.left.is_empty()), "once filled in, nothing is left to fill in");
            }
            Err(faults) => {
                prop_assert_eq!(read(), text, "refused, and as it was");
                prop_assert!(faults[0].what.contains("nothing was written"), "{:?}", faults);
            }
        }
    }
}

pub(crate) fn herl(dir: &Path, arguments: &[&str]) -> (Option<i32>, String, String) {
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_herl")).arg("--bench").arg(dir).args(arguments).output().unwrap();
    (done.status.code(), String::from_utf8(done.stdout).unwrap(), String::from_utf8(done.stderr).unwrap())
}

#[test]
fn advice_fails_a_check_only_when_it_is_strict() {
    let dir = lay(&book("nobody's fly", DUN));
    assert_eq!(herl(dir.path(), &["check"]).0, Some(0));
    assert_eq!(herl(dir.path(), &["check", "--strict"]).0, Some(1));
}

#[test]
fn the_command_says_what_it_wrote_and_refuses_with_its_place() {
    let dir = lay(&book("upwinged dry", DUN));
    let (code, out, trouble) = herl(dir.path(), &["dressing", "fill", "book  FLY"]);
    assert_eq!((code, trouble.as_str()), (Some(0), ""));
    assert!(out.contains("length: 1 shank") && out.contains("Southern Wisconsin") && out.contains("book.yaml.bak"), "{out}");
    let (code, out, _) = herl(dir.path(), &["dressing", "fill", "Book Fly"]);
    assert_eq!((code, out.as_str()), (Some(0), "nothing was written: the dressing says all that the custom of its kind would\n"));
    assert_eq!(herl(dir.path(), &["dressing", "fill", "Boak Fly"]).0, Some(1));
    let dir = lay("dressing: Book Fly\nkind: upwinged dry\nhook: plain\nsizes: 12\nsilk: silk, fine\nparts:\n  - {part: tail, of: dun cock}\n");
    let (code, out, trouble) = herl(dir.path(), &["dressing", "fill", "Book Fly"]);
    assert_eq!((code, out.as_str()), (Some(1), ""));
    assert!(trouble.contains("dressings/book.yaml:7:5") && trouble.contains("written in braces"), "{trouble}");
}

fn json(dir: &Path, arguments: &[&str]) -> (Option<i32>, serde_json::Value) {
    let (code, out, trouble) = herl(dir, &[arguments, &["--json"]].concat());
    assert_eq!(trouble, "");
    (code, serde_json::from_str(&out).unwrap())
}

/// flyfishingthesierra.com, hook chart: a 6 2X long has the shank of a 4 (one X, one whole number). C. Larsen, A
/// primer on fly-tying hooks: a 14 1X long is as long as a 12 (one X, one even size).
#[test]
fn one_x_by_the_rule_of_each_chart() {
    let dir = lay(&book("upwinged dry", DUN));
    let (code, told) = json(dir.path(), &["reckon", "x", "--chart", "plain", "--size", "6", "--long", "2"]);
    assert_eq!((code, &told["size"], &told["shank_mm"]), (Some(0), &"4".into(), &18.0.into()));
    let (_, told) = json(dir.path(), &["reckon", "x", "--chart", "By-Evens", "--size", "14", "--long", "1"]);
    assert_eq!((&told["size"], &told["shank_mm"]), (&"12".into(), &10.0.into()));
    // The same X under the other rule is another size; a 13 lies between two of the chart.
    let (_, told) = json(dir.path(), &["reckon", "x", "--chart", "plain", "--size", "14", "--long", "1"]);
    assert_eq!((&told["size"], &told["standing"]), (&"13".into(), &"interpolated".into()));
    assert!((told["shank_mm"].as_f64().unwrap() - 9.2).abs() < 1e-12);
    let (_, told) = json(dir.path(), &["reckon", "x", "--chart", "plain", "--size", "12", "--short", "2"]);
    assert_eq!((&told["size"], &told["shank_mm"]), (&"14".into(), &8.4.into()));
    for (arguments, why) in [
        (["reckon", "x", "--chart", "plain", "--size", "4", "--long", "2"], "beyond the chart"),
        (["reckon", "x", "--chart", "plian", "--size", "4", "--short", "2"], "plain"),
        (["reckon", "x", "--chart", "plain", "--size", "large", "--long", "1"], "not a hook size"),
        (["reckon", "x", "--chart", "plain", "--size", "12", "--long", "0"], "1 to 20"),
        (["reckon", "x", "--chart", "plain", "--size", "12", "--long", "99999999999999999999"], "1 to 20"),
        (["reckon", "x", "--chart", "plain", "--size", "2 in", "--long", "1"], "numbered sizes"),
    ] {
        let (code, told) = json(dir.path(), &arguments);
        assert_eq!(code, Some(1), "{arguments:?}");
        assert!(told["error"].as_str().unwrap().contains(why), "{told}");
    }
}

/// ASTM B258 (formula) and BS 3737:1964 (table); their every row is held in tests/reference/gauge.rs.
#[test]
fn wire_by_its_number() {
    let dir = lay(&book("upwinged dry", DUN));
    for (scale, number, inches) in [("--awg", "0000", 0.46), ("--awg", "4/0", 0.46), ("--awg", "36", 0.005), ("--swg", "28", 0.0148), ("--swg", "2/0", 0.348)] {
        let (code, told) = json(dir.path(), &["reckon", "gauge", scale, number]);
        assert_eq!(code, Some(0));
        assert!((told["diameter_in"].as_f64().unwrap() - inches).abs() < 1e-12 * inches.max(1.0), "{scale} {number}: {told}");
        assert!((told["diameter_mm"].as_f64().unwrap() - inches * 25.4).abs() < 1e-9);
    }
    for (scale, number) in [("--awg", "57"), ("--swg", "51"), ("--swg", "fine"), ("--awg", "-3"), ("--awg", "")] {
        let (code, told) = json(dir.path(), &["reckon", "gauge", scale, number]);
        assert_eq!(code, Some(1));
        assert!(told["error"].as_str().unwrap().contains("not a number of this gauge"), "{told}");
    }
    assert_eq!(herl(dir.path(), &["reckon", "gauge", "--awg", "30", "--swg", "30"]).0, Some(2), "one scale at a time");
}

#[test]
fn a_parachute_hackle_goes_round_its_post() {
    let parts = [("wing", "brown hair"), ("tail", "dun cock"), ("body", "grey fur"), ("hackle", "dun cock")];
    let dir = lay(&book("parachute", &parts));
    let bench = load(dir.path());
    let card = cards(&bench).remove(0);
    // 30 hairs of 0.08 mm at three quarters packed: 0.08 x sqrt(30 / 0.75) across, turned four times by a stem of 0.3 mm.
    let across = 0.08 * (30.0_f64 / 0.75).sqrt();
    assert!((value(&card, "hackle.wound") - 4.0 * std::f64::consts::PI * (across + 0.3)).abs() < 1e-9);
    assert_eq!(value(&card, "hackle.at"), value(&card, "wing.at"));
    let done = edit::fill(&bench, &bench.dressings["book fly"]).unwrap();
    assert!(done.lines.iter().any(|line| line.text == "on: post of wing"), "{done:#?}");
}
