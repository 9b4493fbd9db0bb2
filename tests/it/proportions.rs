//! What must hold whatever the figures: lengths scale with the hook, and do not hang on the order of the parts.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

use herl::bench;
use herl::card::{self, Card};
use proptest::prelude::*;
use std::path::Path;

const MATERIALS: &str = "materials:
  silk: {kind: silk, width: 0.1 mm}
  fibres: {kind: hair, width: 0.1 mm}
  fur: {kind: dubbing, density: 0.1 g/cm3}
  wire: {kind: wire, width: 0.1 mm}
  cape: {kind: cape}
";

/// Parts whose lengths lean on each other and on the hook, by proportion only.
const PARTS: [&str; 5] = [
    "  - {part: tail, of: fibres, as: bunch, count: 6, at: barb, length: 2/3 wing + 1/2 gap}\n",
    "  - {part: wing, of: fibres, as: bunch, count: 20, at: 1/4 shank behind the eye, length: body + 2 eyes}\n",
    "  - {part: body, of: fur, as: dubbed, from: barb, to: 1/3 shank behind the eye, thick: 0.5 gap rising to 0.6 gap}\n",
    "  - {part: rib, of: wire, as: wound, over: body, turns: 5}\n",
    "  - {part: hackle, of: cape, as: hackle, at: end of body, fibre: 1/2 wing + 0.1 overall, turns: 4}\n",
];

fn bench(gap: f64, shank: f64, order: &[usize]) -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let write = |name: &str, text: String| std::fs::write(dir.path().join(name), text).unwrap();
    std::fs::create_dir(dir.path().join("dressings")).unwrap();
    write("bench.yaml", "bench: Test\ncurrency: GBP\n".to_owned());
    write("materials.yaml", MATERIALS.to_owned());
    write(
        "hooks.yaml",
        format!("charts:\n  plain:\n    shape: straight\n    sizes:\n      12: {{gap: {gap:.4} mm, shank: {shank:.4} mm, hook-wire: {:.5} mm}}\n", gap * 0.1),
    );
    let parts: String = order.iter().map(|nth| PARTS[*nth]).collect();
    let steps = "steps:\n  - silk: touching, 1 eye behind the eye to barb\n  - tie-in: [wing, tail, rib]\n  - wind: [body, rib]\n  - tie-in: [hackle]\n  - wind: [hackle]\n  - finish: 5\n";
    write("dressings/test.yaml", format!("dressing: Test\nkind: test\nhook: plain\nsizes: 12\nsilk: silk\nparts:\n{parts}{steps}"));
    dir
}

fn work(dir: &Path) -> Card {
    let loaded = bench::load(dir);
    assert!(loaded.findings.iter().all(|fault| !fault.is_error()), "{:#?}", loaded.findings);
    let dressing = loaded.bench.dressings.values().next().unwrap();
    card::work(dressing, &dressing.sizes[0], None, None, &loaded.bench.shelf).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

fn lengths(card: &Card) -> Vec<(String, f64)> {
    let keys = [
        "tail.length",
        "wing.length",
        "body.from",
        "body.to",
        "body.length",
        "body.thick-start",
        "body.thick-end",
        "rib.length",
        "hackle.fibre",
        "hackle.at",
        "wing.at",
        "tail.at",
        "hook.overall",
        "hook.bend",
    ];
    keys.iter().map(|key| ((*key).to_owned(), card.sheet.value(card.sheet.find(key).unwrap_or_else(|| panic!("no {key}"))))).collect()
}

/// Rules that lean on anything there is, in any order: some go in circles, some come to nothing.
const RULES: &[&str] = &["1 gap", "1/2 body", "tail + 1 mm", "wing", "2/3 rib", "hackle", "1.5 to 2 gap", "body + tail - 1 mm"];
const PLACES: &[&str] =
    &["barb", "start of body", "end of body", "middle of rib", "1/4 shank behind the eye", "1 mm before the end of rib", "1/2 wing behind the eye"];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn parts_may_lean_on_each_other_in_any_way(rules in prop::collection::vec(0..RULES.len(), 4), places in prop::collection::vec(0..PLACES.len(), 4), order in Just([0_usize, 1, 2, 3, 4]).prop_shuffle()) {
        let (rule, place) = (|nth: usize| RULES[rules[nth]], |nth: usize| PLACES[places[nth]]);
        let parts = [
            format!("  - {{part: tail, of: fibres, as: bunch, count: 6, at: {}, length: {}}}\n", place(0), rule(0)),
            format!("  - {{part: wing, of: fibres, as: bunch, count: 20, at: {}, length: {}}}\n", place(1), rule(1)),
            format!("  - {{part: body, of: fur, as: dubbed, from: barb, to: {}, thick: {}}}\n", place(2), if rules[2] == 6 { "2 mm" } else { rule(2) }),
            "  - {part: rib, of: wire, as: wound, over: body, turns: 5}\n".to_owned(),
            format!("  - {{part: hackle, of: cape, as: hackle, at: {}, fibre: {}, turns: 4}}\n", place(3), rule(3)),
        ];
        let dir = bench(5.0, 10.0, &[]);
        let text = std::fs::read_to_string(dir.path().join("dressings/test.yaml")).unwrap();
        let parts: String = order.iter().map(|nth| parts[*nth].as_str()).collect();
        let text = text.split("steps:").next().unwrap().replace("parts:\n", &format!("parts:\n{parts}"));
        std::fs::write(dir.path().join("dressings/test.yaml"), text).unwrap();
        let loaded = bench::load(dir.path());
        let Some(dressing) = loaded.bench.dressings.values().next() else {
            prop_assert!(loaded.findings.iter().any(|fault| fault.is_error()));
            return Ok(());
        };
        match card::work(dressing, &dressing.sizes[0], None, None, &loaded.bench.shelf) {
            Err(faults) => prop_assert!(faults.iter().all(|fault| fault.at.is_some() && fault.right.is_some()), "{faults:#?}"),
            Ok(card) => {
                // A figure told twice would get a second key with a number behind it.
                let twice = card.sheet.keys().find(|key| [".length.2", ".fibre.2", ".from.2", ".to.2", ".at.2", ".turns.2", ".width.2"].iter().any(|end| key.ends_with(end)));
                prop_assert_eq!(twice, None);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn lengths_scale_with_the_hook(gap in 2.0_f64..8.0, ratio in 1.6_f64..3.0, times in 0.5_f64..2.5) {
        let order = [0, 1, 2, 3, 4];
        // Figures as a chart would give them, so that both benches say the same thing.
        let round = |x: f64| (x * 1e4).round() / 1e4;
        let (gap, shank) = (round(gap), round(gap * ratio));
        let small = work(bench(gap, shank, &order).path());
        let large = work(bench(gap * times, shank * times, &order).path());
        for ((key, a), (_, b)) in lengths(&small).into_iter().zip(lengths(&large)) {
            prop_assert!((b - a * times).abs() < 2e-3 * b.abs().max(1.0), "{key}: {a} x {times} is {b}");
        }
    }

    #[test]
    fn lengths_do_not_hang_on_the_order_of_the_parts(order in Just([0_usize, 1, 2, 3, 4]).prop_shuffle()) {
        let written = work(bench(5.0, 10.0, &[0, 1, 2, 3, 4]).path());
        let shuffled = work(bench(5.0, 10.0, &order).path());
        prop_assert_eq!(lengths(&written), lengths(&shuffled));
        let amount = |card: &Card, part: &str| card.sheet.value(card.sheet.find(&format!("{part}.amount")).unwrap());
        for part in ["tail", "wing", "body", "rib", "hackle", "silk"] {
            prop_assert_eq!(amount(&written, part), amount(&shuffled, part), "the amount of {}", part);
        }
    }
}
