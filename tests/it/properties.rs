//! What must hold whatever stands in a file: nothing panics, and what cannot be read is told.

use crate::support::{cases, good_bench, report};
use proptest::prelude::*;
use std::fs;
use std::path::Path;

/// Every file of the good bench.
const FILES: &[&str] = &["bench.yaml", "hooks.yaml", "materials.yaml", "dressings/alder-dun.yaml", "orders/first-box.yaml"];

/// Loads the good bench with one file of these bytes, and shows what it has to say.
fn load_with(file: &str, bytes: &[u8]) -> String {
    let bench = good_bench();
    fs::write(bench.path().join(file), bytes).unwrap();
    let (loaded, page) = report(bench.path());
    assert!(!page.chars().any(|c| c.is_control() && c != '\n'), "no control character reaches the page: {page:?}");
    assert!(!loaded.bench.dressings.is_empty() || !loaded.findings.is_empty(), "a dressing that is gone is told of");
    page
}

/// The text of a file of the good bench or, for a dressing, of the demo, which has more in it.
fn good(file: &str) -> String {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo/dressings/ashgarth-dun.yaml");
    fs::read_to_string(if file.starts_with("dressings") { demo } else { cases().join("base").join(file) }).unwrap()
}

/// Pieces of text that mean something to YAML or to a bench.
const PIECES: &[&str] = &[
    "{",
    "}",
    "[",
    "]",
    ",",
    ": ",
    "- ",
    "\n",
    "\n  ",
    "\n    ",
    "\t",
    "#",
    " #",
    "&a ",
    "*a",
    "!x ",
    "!!str ",
    "|",
    ">",
    "'",
    "\"",
    "~",
    "null",
    "? ",
    "<<: ",
    "---\n",
    "...\n",
    "%",
    "@",
    "`",
    "\u{2028}",
    "\u{85}",
    "\r",
    "\u{feff}",
    "漢",
    "½",
    "-1",
    "1e400",
    "99999999999999999999999",
    "0x1F",
    "1/0",
    "00",
    "gap",
    " to ",
    " rising to ",
    "end of body",
    "{body.turns}",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_at_all_are_survived(which in 0..FILES.len(), bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        load_with(FILES[which], &bytes);
    }

    #[test]
    fn any_text_at_all_is_survived(which in 0..FILES.len(), text in "\\PC{0,200}") {
        load_with(FILES[which], text.as_bytes());
    }

    #[test]
    fn a_good_file_with_bits_thrown_in_is_survived(which in 0..FILES.len(), places in prop::collection::vec((0.0..1.0_f64, 0..PIECES.len(), 0..6_usize), 1..4)) {
        let mut text: Vec<char> = good(FILES[which]).chars().collect();
        for (place, piece, gone) in places {
            let at = (place * text.len() as f64) as usize;
            text.splice(at..(at + gone).min(text.len()), PIECES[piece].chars());
        }
        load_with(FILES[which], text.into_iter().collect::<String>().as_bytes());
    }

    #[test]
    fn pieces_alone_are_survived(which in 0..FILES.len(), pieces in prop::collection::vec(0..PIECES.len(), 0..40)) {
        let text: String = pieces.into_iter().map(|piece| PIECES[piece]).collect();
        load_with(FILES[which], text.as_bytes());
    }
}
