//! Lengths measured on a sample become a new revision of the dressing's file.
//!
//! What a rule comes to on a hook is arithmetic: the chart's shank of a 14 is 8.4 mm and its gap 4.2 mm, so that
//! 1.06 shank is 8.904 mm.

use super::customs::{herl, lay, load, value};
use super::support;
use herl::bench::revise::{Measured, Revised, revise};
use herl::card::{self, Card};
use herl::diagnostic::{Diagnostic, Told};
use herl::dressing::{Dressing, Size};
use proptest::prelude::*;
use std::fs;
use std::path::Path;

const BOOK: &str = "# from an old book
dressing: \"Book Fly\"   # quoted
kind: upwinged dry
revision: 2            # mine
hook: plain
sizes: 12, 14, 16
silk: 'silk, fine'

parts:
  - part: tail
    of: dun cock
    as: bunch
    count: 6
    at: barb
    length: 1 shank      # as long as the shank
  # of the best
  - part: wing
    of: brown hair
    as: bunch
    count: 20
    at: 1/3 shank behind the eye
    reach: 'bend + 1 mm'
  - {part: under-wing, of: brown hair, as: bunch, count: 12, at: 1/3 shank behind the eye, length: tail + 1 mm}
  - part: body
    of: grey fur
    as: dubbed
    from: barb
    to: 1/3 shank behind the eye
    thick: 0.3 gap rising to 0.4 gap
  - part: hackle
    of: dun cock
    as: hackle
    at: 1 mm behind the eye
    fibre: 1.5 to 2 gap
    turns: 4
    clip: to 1.2 gap

at-size:
  16:
    tail: {length: 0.9 shank}

variants:
  long:
    wing: {reach: bend}
    tail: {length: \"3/8 in\"}
    at-size:
      16:
        tail:
          length: 6 mm
";

fn size(text: &str) -> Size {
    Size::read(text).unwrap()
}

fn card(bench: &herl::bench::Bench, dressing: &Dressing, of: &str, variant: Option<&str>) -> Card {
    let told = Told::new(size(of), dressing.name.at.clone());
    card::work(dressing, &told, variant, None, &bench.shelf).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

/// What was measured, with what the card says beside it.
fn measured(bench: &herl::bench::Bench, dressing: &Dressing, (of, variant): (&str, Option<&str>), lengths: &[(&str, f64)]) -> Vec<Measured> {
    let card = card(bench, dressing, of, variant);
    let one = |(key, is_mm): &(&str, f64)| Measured {
        key: (*key).to_owned(),
        size: size(of),
        variant: variant.map(str::to_owned),
        was_mm: card.sheet.find(key).map_or(1.0, |fig| card.sheet.value(fig)),
        is_mm: *is_mm,
    };
    lengths.iter().map(one).collect()
}

/// Revises a dressing that is alone on its bench; gives the file's text afterwards, the copy's beside it.
fn revised(text: &str, of: (&str, Option<&str>), lengths: &[(&str, f64)]) -> (String, Result<Revised, Vec<Diagnostic>>) {
    let dir = lay(text);
    let bench = load(dir.path());
    let dressing = bench.dressings.values().next().unwrap();
    let done = revise(&bench, dressing, &measured(&bench, dressing, of, lengths), "2026-11-25");
    let read = |name: &str| fs::read(dir.path().join("dressings").join(name)).map(|bytes| String::from_utf8(bytes).unwrap());
    let after = read("book.yaml").unwrap();
    match &done {
        Ok(revised) if !revised.said.is_empty() => {
            assert_eq!(read("book.yaml.bak").unwrap(), text, "the file as it was is kept");
            let bench = load(dir.path());
            let dressing = bench.dressings.values().next().unwrap();
            assert_eq!(dressing.revision, revised.revision);
            let card = card(&bench, dressing, of.0, of.1);
            for (key, is) in lengths {
                assert!((value(&card, key) - is).abs() <= 0.05 + 1e-9, "{key}: {} and not {is}", value(&card, key));
            }
        }
        _ => {
            assert_eq!(after, text, "nothing was written");
            assert_eq!(fs::read_dir(dir.path().join("dressings")).unwrap().count(), 1, "no copy is left where nothing was done");
        }
    }
    (after, done)
}

/// The book's text with revision 3, one line of it otherwise.
fn expected(comment: &str, from: &str, to: &str) -> String {
    assert_eq!(BOOK.matches(from).count(), 1, "{from}");
    BOOK.replace(from, to).replace("revision: 2  ", &format!("# revision 3, 2026-11-25: {comment}\nrevision: 3  "))
}

#[test]
fn every_rule_is_said_anew_where_it_stands_and_every_other_byte_is_kept() {
    // Of variant, key, length; the comment; what stood and what stands; what is said.
    type Case<'a> = ((&'a str, Option<&'a str>), (&'a str, f64), &'a str, (&'a str, &'a str), &'a str);
    let cases: &[Case<'_>] = &[
        (
            ("14", None),
            ("tail.length", 8.9),
            "tail.length 1 shank -> 1.06 shank",
            ("length: 1 shank  ", "length: 1.06 shank  "),
            "tail.length: 1 shank -> 1.06 shank (8.4 mm -> 8.9 mm on a 14)",
        ),
        // On a 14 the bend's outside is 0.45 gap + wire behind the shank: 8.4 + 1.89 + 0.4 = 10.69 mm; the wing stands at
        // 2.8 mm, so that a tip 1 mm beyond makes it 8.89 mm.
        (
            ("14", None),
            ("wing.length", 9.2),
            "wing.length reach bend + 1 mm -> reach bend + 1.3 mm",
            ("reach: 'bend + 1 mm'", "reach: 'bend + 1.3 mm'"),
            "wing.length: reach bend + 1 mm -> reach bend + 1.3 mm (8.9 mm -> 9.2 mm on a 14)",
        ),
        (
            ("14", None),
            ("under-wing.length", 10.0),
            "under-wing.length tail + 1 mm -> tail + 1.6 mm",
            ("length: tail + 1 mm}", "length: tail + 1.6 mm}"),
            "under-wing.length: tail + 1 mm -> tail + 1.6 mm (9.4 mm -> 10.0 mm on a 14)",
        ),
        (
            ("14", None),
            ("hackle.fibre", 7.8),
            "hackle.fibre 1.5 to 2 gap -> 1.61 to 2.11 gap",
            ("fibre: 1.5 to 2 gap", "fibre: 1.61 to 2.11 gap"),
            "hackle.fibre: 1.5 to 2 gap -> 1.61 to 2.11 gap (7.4 mm -> 7.8 mm on a 14); the range is as wide as it was",
        ),
        (
            ("14", None),
            ("hackle.clip", 5.5),
            "hackle.clip 1.2 gap -> 1.31 gap",
            ("clip: to 1.2 gap", "clip: to 1.31 gap"),
            "hackle.clip: 1.2 gap -> 1.31 gap (5.0 mm -> 5.5 mm on a 14)",
        ),
        (
            ("12", None),
            ("body.thick-end", 2.2),
            "body.thick-end 0.3 gap rising to 0.4 gap -> 0.3 gap rising to 0.44 gap",
            ("rising to 0.4 gap", "rising to 0.44 gap"),
            "body.thick-end: 0.3 gap rising to 0.4 gap -> 0.3 gap rising to 0.44 gap (2.0 mm -> 2.2 mm on a 12)",
        ),
        // The place that wins for the card, not the part.
        (
            ("16", None),
            ("tail.length", 6.0),
            "tail.length (at-size 16) 0.9 shank -> 0.86 shank",
            ("{length: 0.9 shank}", "{length: 0.86 shank}"),
            "tail.length (at-size 16): 0.9 shank -> 0.86 shank (6.3 mm -> 6.0 mm on a 16)",
        ),
        (
            ("14", Some("long")),
            ("wing.length", 8.2),
            "wing.length (variant long) reach bend -> reach bend + 0.3 mm",
            ("{reach: bend}", "{reach: bend + 0.3 mm}"),
            "wing.length (variant long): reach bend -> reach bend + 0.3 mm (7.9 mm -> 8.2 mm on a 14, long)",
        ),
        (
            ("14", Some("long")),
            ("tail.length", 10.2),
            "tail.length (variant long) 3/8 in -> 0.4 in",
            ("\"3/8 in\"", "\"0.4 in\""),
            "tail.length (variant long): 3/8 in -> 0.4 in (9.5 mm -> 10.2 mm on a 14, long)",
        ),
        (
            ("16", Some("long")),
            ("tail.length", 6.4),
            "tail.length (variant long, at-size 16) 6 mm -> 6.4 mm",
            ("length: 6 mm", "length: 6.4 mm"),
            "tail.length (variant long, at-size 16): 6 mm -> 6.4 mm (6.0 mm -> 6.4 mm on a 16, long)",
        ),
    ];
    for (of, length, comment, (from, to), said) in cases {
        let (after, done) = revised(BOOK, *of, &[*length]);
        let done = done.unwrap_or_else(|faults| panic!("{length:?}: {faults:#?}"));
        assert_eq!(after, expected(comment, from, to));
        assert_eq!((done.revision, done.said[0].as_str(), &*done.file), (3, *said, Path::new("dressings/book.yaml")));
    }
}

#[test]
fn what_hangs_on_a_length_is_named_and_other_sizes_scale() {
    let dir = lay(BOOK);
    let bench = load(dir.path());
    let dressing = bench.dressings.values().next().unwrap();
    let done = revise(&bench, dressing, &measured(&bench, dressing, ("14", None), &[("tail.length", 8.9)]), "").unwrap();
    assert_eq!(done.said[1..], ["under-wing.length hangs on it: 9.4 mm -> 9.9 mm".to_owned()]);
    let after = load(dir.path());
    let now = |of, variant, key: &str| value(&card(&after, after.dressings.values().next().unwrap(), of, variant), key);
    assert!((now("12", None, "tail.length") - 10.6).abs() < 1e-9, "1.06 of a shank of 10 mm");
    assert_eq!(now("16", None, "tail.length"), 0.9 * 7.0, "what is said otherwise for a size stays");
    assert_eq!(now("14", Some("long"), "tail.length"), 9.525);
    assert!(fs::read_to_string(dir.path().join("dressings/book.yaml")).unwrap().contains("\n# revision 3: tail.length 1 shank"), "nothing was noted");
}

#[test]
fn several_lengths_are_changed_together_those_that_others_hang_on_first() {
    // The under-wing was measured as the card has it; its rule hangs on the tail, so that it is said anew.
    let (after, done) = revised(BOOK, ("14", None), &[("under-wing.length", 9.4), ("tail.length", 8.9), ("hackle.clip", 5.04)]);
    assert_eq!(
        after,
        BOOK.replace("length: 1 shank  ", "length: 1.06 shank  ").replace("length: tail + 1 mm", "length: tail + 0.5 mm").replace(
            "revision: 2  ",
            "# revision 3, 2026-11-25: tail.length 1 shank -> 1.06 shank\n# revision 3, 2026-11-25: under-wing.length tail + 1 mm -> tail + 0.5 mm\nrevision: 3  "
        )
    );
    assert_eq!(done.unwrap().said.len(), 2);
}

#[test]
fn with_nothing_measured_otherwise_no_file_is_touched() {
    for lengths in [&[][..], &[("tail.length", 8.4), ("hackle.fibre", 7.4)]] {
        let (_, done) = revised(BOOK, ("14", None), lengths);
        let done = done.unwrap();
        assert_eq!((done.revision, done.said.len(), done.backup), (2, 0, None));
    }
}

#[test]
fn what_is_left_to_the_custom_is_written_into_the_part_and_a_first_revision_into_the_file() {
    let text = "dressing: Book Fly\r\nkind: upwinged dry   # as printed\r\nhook: plain\r\nsizes: 12, 14\r\nsilk: silk, fine\r\nparts:\r\n  - part: tail\r\n    of: dun cock\r\n  -   part: hackle\r\n      # of the best\r\n      of: dun cock # or badger";
    let (after, done) = revised(text, ("14", None), &[("tail.length", 8.9)]);
    let with = |comment: &str| text.replace("printed\r\n", &format!("printed\r\n# revision 2, 2026-11-25: {comment}\r\nrevision: 2\r\n"));
    assert_eq!(
        after,
        with("tail.length 1 shank -> 1.06 shank")
            .replace("  - part: tail\r\n    of: dun cock\r\n", "  - part: tail\r\n    of: dun cock\r\n    length: 1.06 shank\r\n")
    );
    assert_eq!(done.unwrap().said, ["tail.length: 1 shank -> 1.06 shank (8.4 mm -> 8.9 mm on a 14); the custom said it before, now the part does"]);
    let (after, _) = revised(text, ("14", None), &[("hackle.fibre", 7.0)]);
    assert_eq!(
        after,
        format!("{}\r\n      fibre: 1.67 gap", with("hackle.fibre 1 1/2 gap -> 1.67 gap").replace("1 1/2 gap", rule(text, "hackle.fibre").as_str()))
    );
    // Where the file says no kind of its own place, the revision stands behind the name.
    let text = text.replace("kind: upwinged dry   # as printed\r\n", "").replace("parts:", "\"kind\": \"upwinged\\x20dry\"\r\nparts:");
    let (after, _) = revised(&text, ("14", None), &[("tail.length", 8.9)]);
    assert!(
        after.starts_with("dressing: Book Fly\r\n# revision 2, 2026-11-25: tail.length 1 shank -> 1.06 shank\r\nrevision: 2\r\nhook: plain\r\n"),
        "{after}"
    );
}

/// The custom's rule for a length, as it was revised.
fn rule(text: &str, key: &str) -> String {
    let (_, done) = revised(text, ("14", None), &[(key, 7.0)]);
    done.unwrap().said[0].split(": ").nth(1).unwrap().split(" -> ").next().unwrap().to_owned()
}

#[test]
fn marks_and_line_ends_of_any_sort_are_kept() {
    let short = "dressing: Book Fly\nkind: upwinged dry\nrevision: \"9\"\nhook: plain\nsizes: 14\nsilk: silk, fine\nparts:\n  - {part: tail, of: dun cock, as: bunch, count: 6, at: barb, length: 1 shank}";
    let after = short
        .replace("length: 1 shank", "length: 1.06 shank")
        .replace("revision: \"9\"", "# revision 10, 2026-11-25: tail.length 1 shank -> 1.06 shank\nrevision: \"10\"");
    for (mark, end) in [("", "\n"), ("\u{FEFF}", "\r\n"), ("\u{FEFF}", "\r"), ("", "\r")] {
        let laid = |text: &str| format!("{mark}{}", text.replace('\n', end));
        assert_eq!(revised(&laid(short), ("14", None), &[("tail.length", 8.9)]).0, laid(&after), "{mark:?} {end:?}");
    }
}

#[test]
fn where_it_cannot_be_done_it_says_why_and_what_to_change_by_hand() {
    let part = |rule: &str| {
        format!(
            "dressing: Book Fly\nkind: odd\nhook: plain\nsizes: 14, 16\nsilk: silk, fine\nparts:\n  - part: tail\n    of: dun cock\n    as: bunch\n    count: 6\n    at: barb\n    {rule}\n"
        )
    };
    let flow = "{dressing: Book Fly, kind: odd, hook: plain, sizes: 14, silk: 'silk, fine', parts: [{part: tail, of: dun cock, as: bunch, count: 6, at: barb, length: 1 shank}]}\n";
    let custom = "dressing: Book Fly\nkind: upwinged dry\nhook: plain\nsizes: 14\nsilk: silk, fine\nparts:\n";
    let tail = ("tail.length", 8.9);
    let cases: Vec<(String, (&str, f64), &str)> = vec![
        (BOOK.to_owned(), ("body.length", 5.0), "the way from one place to another"),
        (BOOK.to_owned(), ("hook.shank", 9.0), "no length of a part"),
        (BOOK.to_owned(), ("tail.count", 7.0), "no length that a part says"),
        (
            BOOK.replace("as: dubbed", "as: wound").replace("    thick: 0.3 gap rising to 0.4 gap\n", "    turns: 6\n").replace("grey fur", "gold wire"),
            ("body.width", 0.2),
            "from the material",
        ),
        (BOOK.to_owned(), ("horn.length", 7.0), "the card has no length \"horn.length\""),
        (BOOK.to_owned(), ("tail.length", f64::NAN), "cannot be NaN mm"),
        (BOOK.to_owned(), ("tail.length", -1.0), "cannot be -1 mm"),
        (BOOK.to_owned(), ("tail.length", 1001.0), "cannot be 1001 mm"),
        (part("length: \"1\\x20shank\""), tail, "signs for letters"),
        (part("length: >-\n      1\n      shank"), tail, "several lines"),
        (flow.to_owned(), tail, "not written as one key a line"),
        (format!("{custom}  - {{part: tail, of: dun cock}}\n"), tail, "braces"),
        (format!("{custom}  - &mine\n    part: tail\n    of: dun cock\n"), tail, "anchor"),
        // Both sizes are said by one text.
        (part("length: 2 gap\nat-size:\n  14: &small\n    tail: {length: 1 shank}\n  16: *small"), tail, "anchor"),
        // Shorter by so much that nothing is left of it on the smaller hook.
        (part("length: shank - 1 mm"), ("tail.length", 1.0), "size 16 could not be worked"),
    ];
    for (text, length, why) in cases {
        let (_, done) = revised(&text, ("14", None), &[length]);
        let faults = done.map(|done| done.said).unwrap_err();
        assert!(faults[0].what.contains(why) && faults[0].what.contains("nothing was written") && faults[0].right.is_some(), "{length:?} {why}: {faults:#?}");
    }
    // A hackle along the body is another part to the custom, with a shorter fibre: a line of the part would change it.
    let parts = "  - part: body\n    of: grey fur\n  - part: hackle\n    of: dun cock\n";
    let text = format!("{custom}{parts}variants:\n  palmered:\n    hackle: {{over: body}}\n");
    let (_, done) = revised(&text, ("14", None), &[("hackle.fibre", 7.0)]);
    let faults = done.unwrap_err();
    assert!(faults[0].what.contains("a line of the part would hold there too"), "{faults:#?}");
}

#[test]
fn a_file_or_a_card_that_is_another_by_now_is_refused() {
    let dir = lay(BOOK);
    let bench = load(dir.path());
    let dressing = bench.dressings.values().next().unwrap();
    let path = dir.path().join("dressings/book.yaml");
    let refused = |lengths: &[Measured], why: &str| {
        let before = fs::read(&path).unwrap();
        let faults = revise(&bench, dressing, lengths, "").unwrap_err();
        assert!(faults[0].what.contains(why), "{faults:#?}");
        assert_eq!(fs::read(&path).unwrap(), before);
    };
    let mut lengths = measured(&bench, dressing, ("14", None), &[("tail.length", 8.9), ("hackle.fibre", 7.0)]);
    let first = lengths.clone();
    lengths[0].was_mm = 9.0;
    refused(&lengths, "is 8.4 mm on the card now, not 9.0 mm");
    lengths = first.clone();
    lengths[1].size = size("16");
    refused(&lengths, "measured on another fly");
    lengths = first.clone();
    lengths[1] = Measured { is_mm: 9.4, ..lengths[0].clone() };
    refused(&lengths, "measured twice");
    lengths = first.iter().cloned().map(|one| Measured { variant: Some("shrot".to_owned()), ..one }).collect();
    refused(&lengths, "no variant \"shrot\"");
    fs::write(&path, BOOK.replace("count: 20", "count: 22")).unwrap();
    refused(&first, "changed since the bench was read");
    // A remark changes nothing that was measured, and is kept.
    fs::write(&path, BOOK.replace("# mine", "# still mine")).unwrap();
    revise(&bench, dressing, &first, "a\nb: \u{1b}[2J").unwrap();
    let after = fs::read_to_string(&path).unwrap();
    assert!(
        after.contains("revision: 3            # still mine\n") && after.contains("# revision 3, a b: \u{FFFD}[2J: tail.length 1 shank -> 1.06 shank\n"),
        "{after}"
    );
    fs::remove_file(&path).unwrap();
    assert!(revise(&bench, dressing, &first, "").is_err());
}

#[test]
fn the_command_tells_what_it_wrote_and_refuses_with_its_place() {
    let dir = lay(BOOK);
    let revise = |more: &[&str]| herl(dir.path(), &[&["dressing", "revise", "book fly", "--size", "14"], more].concat());
    let (code, out, trouble) = revise(&["--is", "Tail.length=8.4"]);
    assert_eq!((code, out.as_str(), trouble.as_str()), (Some(0), "nothing was written: every length is as the card says, and revision 2 stands\n", ""));
    for (more, code, why) in [
        (&["--is", "tail.length"][..], 1, "a key and a length are wanted"),
        (&["--is", "tail.length=long"], 1, "is no figure"),
        (&["--is", "tail.length=-3"], 1, "below nought"),
        (&["--is", "tial.length=9"], 1, "did you mean \"tail.length\"?"),
        (&["--is", "tail.length=9", "--variant", "shrot"], 1, "has no variant"),
        (&["--is", "body.length=3"], 1, "dressings/book.yaml:24:11"),
        (&[], 2, "--is"),
    ] {
        let (got, out, trouble) = revise(more);
        assert_eq!((got, out.as_str()), (Some(code), ""), "{more:?}");
        assert!(trouble.contains(why), "{more:?}: {trouble}");
    }
    let (code, out, trouble) = revise(&["--is", "tail.length=8.9", "--is", "wing.length=3/8 in", "--noted", "2026-11-25"]);
    assert_eq!((code, trouble.as_str()), (Some(0), ""));
    for line in [
        "tail.length: 1 shank -> 1.06 shank (8.4 mm -> 8.9 mm on a 14)\n",
        "wing.length: reach bend + 1 mm -> reach bend + 1.6 mm (8.9 mm -> 9.5 mm on a 14)\n",
        "under-wing.length hangs on it: 9.4 mm -> 9.9 mm\n",
        "revision 3 was written into dressings/book.yaml",
        "book.yaml.bak",
    ] {
        assert!(out.contains(line), "{out}");
    }
}

/// Lengths of a card that might be measured.
fn lengths(card: &Card) -> Vec<String> {
    let fields = ["length", "fibre", "thick", "thick-start", "thick-end", "width", "beyond", "clip", "loop"];
    let of_part = |key: &&str| key.rsplit_once('.').is_some_and(|(part, field)| fields.contains(&field) && card.parts.iter().any(|own| own.name == part));
    card.sheet.keys().filter(of_part).map(str::to_owned).collect()
}

thread_local! {
    static DEMO: (tempfile::TempDir, herl::bench::Bench) = {
        let dir = tempfile::tempdir().unwrap();
        support::lay(&Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo"), dir.path());
        let bench = load(dir.path());
        (dir, bench)
    };
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any lengths of any demo dressing, from a fifth shorter to three tenths longer: they come out as measured with
    /// every other line standing, or they are refused in words and nothing is written.
    #[test]
    fn any_length_of_the_demo_bench_is_refused_or_comes_out(
        nth in 0..1000_usize,
        which in 0..1000_usize,
        picked in prop::collection::vec((0..1000_usize, 800..1300_u32), 1..4),
    ) {
        DEMO.with(|(dir, bench)| {
            let dressing = &bench.dressings[nth % bench.dressings.len()];
            let variants: Vec<Option<&str>> = std::iter::once(None).chain(dressing.variants.keys().map(|name| Some(name.as_str()))).collect();
            let variant = variants[which % variants.len()];
            let of = dressing.sizes[which / variants.len() % dressing.sizes.len()].value.text();
            let then = card(bench, dressing, of, variant);
            let all = lengths(&then);
            let mut asked: Vec<(&str, f64)> = Vec::new();
            for (pick, permille) in &picked {
                let key = all[pick % all.len()].as_str();
                let is = (value(&then, key) * f64::from(*permille) / 100.0).round() / 10.0;
                if !asked.iter().any(|(other, _)| *other == key) {
                    asked.push((key, is));
                }
            }
            let path = dir.path().join(&dressing.name.at.file);
            let text = fs::read_to_string(&path).unwrap();
            let done = revise(bench, dressing, &measured(bench, dressing, (of, variant), &asked), "a test");
            let after = fs::read_to_string(&path).unwrap();
            let read = (text != after).then(|| load(dir.path()));
            fs::write(&path, &text).unwrap();
            let what = format!("{} {of} {variant:?} {asked:?}", dressing.name.value);
            let said = match done {
                Ok(done) => done.said,
                Err(faults) => {
                    prop_assert_eq!(&after, &text, "{}", what);
                    prop_assert!(faults[0].what.contains("nothing was written") && faults[0].right.is_some(), "{}: {:?}", what, faults);
                    return Ok(());
                }
            };
            let read = read.as_ref().unwrap_or(bench);
            let now = card(read, &read.dressings[nth % bench.dressings.len()], of, variant);
            for (key, is) in &asked {
                prop_assert!((value(&now, key) - is).abs() <= 0.05 + 1e-9, "{}: {} comes to {}", what, key, value(&now, key));
            }
            for (_, other, row) in then.sheet.rows().filter(|(_, other, _)| all.iter().any(|key| key == other)) {
                let same = (value(&now, other) - row.value).abs() < 1e-9;
                prop_assert!(same || said.iter().any(|line| line.starts_with(other)), "{}: {} changed without a word", what, other);
            }
            prop_assert_eq!(now.revision, then.revision + u32::from(!said.is_empty()), "{}", what);
            // Every line stands but those of the rules and that of the revision.
            let rules = said.iter().filter(|line| line.contains(" -> ") && !line.contains(" with it: ") && !line.contains(" hangs on it: ")).count();
            let first = |line: &str| !text.contains("\nrevision:") && line == "revision: 2";
            let mut left: Vec<&str> = after.lines().filter(|line| !line.starts_with(&format!("# revision {}, a test: ", now.revision)) && !first(line)).collect();
            let (mut changed, mut added) = (0, 0);
            for (nth, line) in text.lines().enumerate() {
                if left.get(nth) == Some(&line) {
                    continue;
                }
                if left.get(nth + 1) == Some(&line) {
                    left.remove(nth);
                    added += 1;
                } else {
                    changed += 1;
                }
            }
            prop_assert!(changed <= rules + 1 && changed + added <= rules + 1 , "{}: {}", what, after);
            // A line of the last part may stand at the end.
            prop_assert!(left.len() - text.lines().count() + added <= rules, "{}: {}", what, after);
            Ok(())
        })?;
    }
}
