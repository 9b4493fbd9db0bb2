//! Bad files, each with the exact message it must give.
//!
//! A case is a folder of `tests/cases/bad/`: its files are laid over the good bench of `tests/cases/base/`
//! (those named in `absent.txt` are taken away), and `expected.txt` is the whole report.
//! `HERL_ACCEPT=1 cargo test --test it bad_files` writes the reports as they are now; read every one of them.

use crate::support::{cases, good_bench, lay, report};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

#[test]
fn the_good_bench_is_good() {
    let bench = good_bench();
    let (loaded, page) = report(bench.path());
    assert_eq!(page, "nothing to mend\n");
    assert_eq!((loaded.bench.dressings.len(), loaded.bench.orders.len()), (1, 1));
    assert!(loaded.bench.broken.is_empty());
}

#[test]
fn every_bad_file_gives_its_message() {
    let accept = std::env::var_os("HERL_ACCEPT").is_some();
    let mut wrong = String::new();
    let mut seen = 0;
    let mut folders: Vec<_> = fs::read_dir(cases().join("bad")).unwrap().map(|entry| entry.unwrap().path()).collect();
    folders.sort();
    for case in folders {
        seen += 1;
        let bench = good_bench();
        lay(&case, bench.path());
        fs::remove_file(bench.path().join("expected.txt")).ok();
        if let Ok(absent) = fs::read_to_string(case.join("absent.txt")) {
            absent.lines().for_each(|file| fs::remove_file(bench.path().join(file)).unwrap());
        }
        let (loaded, page) = report(bench.path());
        assert!(!loaded.findings.is_empty(), "{} finds nothing wrong", case.display());
        let shared_files_are_good = ["bench.yaml", "hooks.yaml", "materials.yaml", "absent.txt"].iter().all(|file| !case.join(file).exists());
        if shared_files_are_good {
            assert!(loaded.bench.dressings.contains_key("alder dun"), "{}: one broken file hid a good dressing", case.display());
        }
        let expected = case.join("expected.txt");
        if accept {
            fs::write(&expected, &page).unwrap();
        } else if fs::read_to_string(&expected).unwrap_or_default() != page {
            writeln!(wrong, "== {}\n{page}", case.display()).unwrap();
        }
    }
    assert!(seen > 40, "the folder of bad files is there");
    assert!(wrong.is_empty(), "these say something else than expected:\n{wrong}");
}

/// The report on a bench with one more dressing, of these bytes.
fn with_dressing(bytes: &[u8]) -> String {
    let bench = good_bench();
    fs::write(bench.path().join("dressings").join("bad-sedge.yaml"), bytes).unwrap();
    let (loaded, page) = report(bench.path());
    assert!(loaded.bench.dressings.contains_key("alder dun"), "the good dressing is still there");
    assert_eq!(loaded.bench.broken.len(), 1, "the bad one is known to be broken");
    page
}

#[test]
fn a_file_too_large_is_refused_before_it_is_read() {
    let page = with_dressing(&vec![b'a'; 10 * 1024 * 1024]);
    assert_eq!(
        page,
        "error: dressings/bad-sedge.yaml: the file has 10.0 MB; the largest that is read has 4 MB\n  right: a bench file is a few hundred lines; is this another kind of file?\n\n1 error in 1 file\n"
    );
}

#[test]
fn what_is_no_file_is_not_opened() {
    let bench = good_bench();
    fs::create_dir(bench.path().join("dressings").join("folder.yaml")).unwrap();
    let (loaded, page) = report(bench.path());
    assert_eq!(page, "error: dressings/folder.yaml: this is not a plain file\n\n1 error in 1 file\n");
    assert_eq!((loaded.bench.dressings.len(), loaded.bench.broken[0].name.as_str()), (1, "folder"));
}

#[cfg(unix)]
#[test]
fn a_link_to_nothing_is_told() {
    let bench = good_bench();
    std::os::unix::fs::symlink("nowhere.yaml", bench.path().join("dressings").join("d.yaml")).unwrap();
    let (loaded, page) = report(bench.path());
    assert_eq!(
        page,
        "error: dressings/d.yaml: the folder has this name in it, but there is no file behind it\n  right: is it a link to a file that was moved? mend the link, or take it away\n\n1 error in 1 file\n"
    );
    assert_eq!((loaded.bench.dressings.len(), loaded.bench.broken[0].name.as_str()), (1, "d"));
}

#[test]
fn lines_that_end_in_a_carriage_return_alone_are_lines() {
    let bench = good_bench();
    fs::write(bench.path().join("bench.yaml"), "# My bench\rbench: Test Yard\rcurrency: GBP\rrate: x\r").unwrap();
    let (_, page) = report(bench.path());
    assert!(page.starts_with("error: bench.yaml:4:7: \"x\" is not a sum of money\n   4 | rate: x\n     |       ^\n"), "{page}");
}

#[test]
fn bytes_that_are_no_letters_are_shown_where_they_stand() {
    let page = with_dressing(b"dressing: Bad Sedge\nkind: \xc3\xa9t\xe9 sedge\n");
    assert_eq!(
        page,
        "error: dressings/bad-sedge.yaml:2:9: the byte E9 here is not part of any letter in UTF-8\n   2 | kind: ét\u{fffd} sedge\n     |         ^\n  right: save the file as UTF-8 in your editor\n\n1 error in 1 file\n"
    );
}

#[test]
fn aliases_that_unfold_without_end_are_refused() {
    let mut text = "dressing: Bad Sedge\na0: &a0 [x, x, x, x, x, x, x, x, x]\n".to_owned();
    for level in 1..12 {
        let inner = vec![format!("*a{}", level - 1); 9].join(", ");
        writeln!(text, "a{level}: &a{level} [{inner}]").unwrap();
    }
    let page = with_dressing(text.as_bytes());
    assert_eq!(
        page,
        "error: dressings/bad-sedge.yaml: its aliases (& and *) unfold to more than any bench could hold; this fault has no one place\n  right: write the things out instead of pointing at them with *\n\n1 error in 1 file\n"
    );
    // One long list, many times over: few aliases, and still too much.
    let list = vec!["x"; 5000].join(", ");
    let again = vec!["*a"; 500].join(", ");
    assert!(with_dressing(format!("dressing: Bad Sedge\na: &a [{list}]\nb: [{again}]\n").as_bytes()).contains("unfold"));
    // One long text, many times over: few nodes, and still too many bytes; and a figure that takes long to read.
    for long in [format!("\"{}\"", "x".repeat(100_000)), format!("0.{}1", "0".repeat(100_000))] {
        let again = vec!["*a"; 1000].join(", ");
        assert!(with_dressing(format!("dressing: Bad Sedge\na: &a {long}\nb: [{again}]\n").as_bytes()).contains("unfold"));
    }
    // An alias of itself.
    assert!(with_dressing(b"dressing: Bad Sedge\na: &a [*a]\n").starts_with("error: dressings/bad-sedge.yaml"));
}

#[test]
fn nesting_a_thousand_deep_is_refused_with_its_place() {
    let flow = format!("dressing: Bad Sedge\nparts: {}{}\n", "[".repeat(1000), "]".repeat(1000));
    let page = with_dressing(flow.as_bytes());
    assert!(page.starts_with("error: dressings/bad-sedge.yaml:2:108: here one thing stands inside another more than 100 deep\n"), "{page}");
    assert!(page.ends_with("  right: a bench file goes five or six deep; is a bracket not closed?\n\n1 error in 1 file\n"), "{page}");
    let mut block = "dressing: Bad Sedge\n".to_owned();
    for level in 0..1000 {
        writeln!(block, "{}k:", " ".repeat(level)).unwrap();
    }
    let page = with_dressing(block.as_bytes());
    assert!(page.contains("one thing stands inside another more than 100 deep"), "{page}");
    // A file of nothing but opening brackets is refused at once.
    assert!(with_dressing("[".repeat(4_000_000).as_bytes()).contains("more than 100 deep"));
}

#[test]
fn a_flood_of_faults_is_told_in_part_each_with_its_line() {
    let head = "dressing: Bad Sedge\nkind: sedge\nhook: dry-standard\nsizes: 12, 14\nsilk: primrose, fine\n";
    let body = "parts:\n  - part: body\n    of: olive dubbing\n    as: dubbed\n    from: barb\n    to: 1/3 shank behind the eye\n    thick: 0.25 gap\n";
    let many = |line: &dyn Fn(usize) -> String, times: usize| (0..times).map(line).collect::<String>();
    let begun = std::time::Instant::now();
    let page = with_dressing(format!("{head}{body}{}", "k: 1\n".repeat(20_000)).as_bytes());
    assert!(page.starts_with("error: dressings/bad-sedge.yaml: 20,000 faults stand in this file; 200 are told here, 19,800 more are not\n"), "{page}");
    assert!(
        page.contains("error: dressings/bad-sedge.yaml:14:1: \"k\" is given twice\n  14 | k: 1\n     | ^\n  given first here: dressings/bad-sedge.yaml:13:1\n")
    );
    let page = with_dressing(format!("{head}{body}{}", many(&|nth| format!("k{nth}: 1\n"), 20_000)).as_bytes());
    assert!(page.contains("error: dressings/bad-sedge.yaml:212:1: \"k199\" is not a key of a dressing\n 212 | k199: 1\n     | ^^^^\n"), "{page}");
    let page = with_dressing(format!("{head}{body}steps:\n{}", "  - do: x\n    time: 2\n".repeat(10_000)).as_bytes());
    assert!(page.contains("a dressing has 200 steps at most") && page.contains("bad-sedge.yaml:211:11: \"2\" has no unit of time"), "{page}");
    let page = with_dressing(format!("{head}{body}{}", "  - part: tail\n    of: hare\n".repeat(10_000)).as_bytes());
    assert!(page.contains("a dressing has 60 parts at most"), "{page}");
    let page = with_dressing(format!("{}{body}", head.replace("12, 14", &many(&|nth| format!("{}, ", nth % 9000 + 1), 50_000))).as_bytes());
    assert!(page.contains("size 1 is given twice"), "{page}");
    // Quadratic work takes minutes; this bound is wide enough for a slow machine that does other things too.
    assert!(begun.elapsed().as_secs() < 30, "{:?}", begun.elapsed());
}

#[test]
fn an_order_from_anywhere_is_read_against_the_bench() {
    let bench = good_bench();
    let (loaded, _) = report(bench.path());
    let file = bench.path().join("elsewhere.yaml");
    fs::write(&file, "order: Second box\nflies:\n  - {dressing: alder  DUN, sizes: {16: 1 1/2 dozen}}\n").unwrap();
    let (order, findings) = herl::bench::load_order(&file, &loaded.bench);
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(order.unwrap().lines[0].sizes[0].1.value, 18);
    let (order, findings) = herl::bench::load_order(Path::new("gone.yaml"), &loaded.bench);
    assert!(order.is_none() && findings.len() == 1);
}
