//! The commands of the real program: which bench, exit codes, what is printed where.

use crate::support::{cases, lay};
use std::path::Path;
use std::process::{Command, Output};

/// The program in a folder, with folders of its own for settings and data.
fn herl(home: &Path, folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_herl"))
        .args(arguments)
        .current_dir(folder)
        .env_clear()
        .env("HOME", home)
        .env("XDG_CONFIG_HOME", home.join("settings"))
        .env("XDG_DATA_HOME", home.join("data"))
        .output()
        .unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn trouble(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn demo() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo")
}

#[test]
fn without_a_bench_and_a_terminal_the_demo_is_copied_and_its_order_planned() {
    let home = tempfile::tempdir().unwrap();
    let empty = tempfile::tempdir().unwrap();
    let first = herl(home.path(), empty.path(), &[]);
    assert_eq!(first.status.code(), Some(0), "{}", trouble(&first));
    let page = out(&first);
    assert!(page.contains("a copy of the demo bench was made for you"), "{page}");
    assert!(page.contains("cost a dozen") && page.contains("how to go on"), "{page}");
    assert_eq!(std::fs::read_dir(empty.path()).unwrap().count(), 0, "nothing is written into the folder it is called in");
    let copy = home.path().join("data/herl/demo-bench");
    let changed = copy.join("bench.yaml");
    std::fs::write(&changed, std::fs::read_to_string(&changed).unwrap().replacen("rate:", "rate: 1.00 #", 1)).unwrap();
    let again = herl(home.path(), empty.path(), &[]);
    assert!(out(&again).contains("this is your copy of the demo bench"), "{}", out(&again));
    assert!(std::fs::read_to_string(&changed).unwrap().contains("rate: 1.00 #"), "what was changed in the copy stays");
}

#[test]
fn the_bench_is_the_one_named_or_at_hand_or_of_the_settings() {
    let home = tempfile::tempdir().unwrap();
    let bench = tempfile::tempdir().unwrap();
    lay(&demo(), bench.path());
    let dressings = bench.path().join("dressings");
    for arguments in [&["check"][..], &["--bench", "..", "check"], &["check", "--bench", ".."]] {
        let told = herl(home.path(), &dressings, arguments);
        assert_eq!((told.status.code(), trouble(&told).as_str()), (Some(0), ""), "{arguments:?}");
        assert!(out(&told).contains("nothing to find fault with"), "{}", out(&told));
    }
    let elsewhere = tempfile::tempdir().unwrap();
    std::fs::create_dir_all(home.path().join("settings/herl")).unwrap();
    std::fs::write(home.path().join("settings/herl/settings.yaml"), format!("bench: {}\n", bench.path().display())).unwrap();
    let told = herl(home.path(), elsewhere.path(), &["check"]);
    assert_eq!(told.status.code(), Some(0), "{}", trouble(&told));
    assert!(!home.path().join("data").exists(), "no demo is copied where the settings name a bench");
    let nowhere = herl(home.path(), elsewhere.path(), &["--bench", "no-such-folder", "check"]);
    assert_eq!(nowhere.status.code(), Some(1));
    assert!(trouble(&nowhere).contains("no such folder"), "{}", trouble(&nowhere));
}

#[test]
fn a_broken_dressing_hides_no_other_and_tells_itself_when_asked_for() {
    let home = tempfile::tempdir().unwrap();
    let bench = tempfile::tempdir().unwrap();
    lay(&cases().join("base"), bench.path());
    lay(&cases().join("bad/unknown-measure"), bench.path());
    let bench = bench.path();
    let good = herl(home.path(), bench, &["card", "alder  DUN", "--size", "14"]);
    assert_eq!(good.status.code(), Some(0), "{}", trouble(&good));
    assert!(out(&good).starts_with("Alder Dun, size 14"), "{}", out(&good));
    assert!(trouble(&good).contains("`herl check` tells"), "{}", trouble(&good));
    let broken = herl(home.path(), bench, &["card", "Bad Sedge"]);
    assert_eq!(broken.status.code(), Some(1));
    assert!(trouble(&broken).contains("dressings/bad-sedge.yaml:") && trouble(&broken).contains("right:"), "{}", trouble(&broken));
    let check = herl(home.path(), bench, &["check"]);
    assert_eq!(check.status.code(), Some(1));
    assert!(out(&check).contains("dressings/bad-sedge.yaml:"), "{}", out(&check));
    let one = herl(home.path(), bench, &["check", "dressings/alder-dun.yaml"]);
    assert_eq!(one.status.code(), Some(0), "only the file named is looked at: {}{}", out(&one), trouble(&one));
    let none = herl(home.path(), bench, &["card", "Alder Dunn"]);
    assert_eq!(none.status.code(), Some(1));
    assert!(trouble(&none).contains("did you mean \"Alder Dun\"?"), "{}", trouble(&none));
}

#[test]
fn a_size_between_two_is_worked_and_one_outside_is_refused_with_the_sizes_given() {
    let home = tempfile::tempdir().unwrap();
    let between = herl(home.path(), &demo(), &["card", "Ashgarth Dun", "--size", "13", "--json"]);
    let card: serde_json::Value = serde_json::from_slice(&between.stdout).unwrap();
    assert_eq!(card["figures"]["hook.gap"]["standing"], "interpolated");
    assert_eq!(card["schema"], 1);
    let outside = herl(home.path(), &demo(), &["card", "Ashgarth Dun", "--size", "28"]);
    assert_eq!(outside.status.code(), Some(1));
    assert!(trouble(&outside).contains("size 28 is not in the chart") && trouble(&outside).contains("a size from 10 to 18"), "{}", trouble(&outside));
    let none = herl(home.path(), &demo(), &["card", "Ashgarth Dun", "--size", "big"]);
    assert_eq!(none.status.code(), Some(1));
    assert!(trouble(&none).contains("is not a hook size"), "{}", trouble(&none));
    let usage = herl(home.path(), &demo(), &["card"]);
    assert_eq!(usage.status.code(), Some(2));
}

#[test]
fn a_plan_of_a_file_from_anywhere_tells_its_money_as_text() {
    let home = tempfile::tempdir().unwrap();
    let orders = tempfile::tempdir().unwrap();
    let file = orders.path().join("mine.yaml");
    std::fs::write(&file, "order: Mine\nflies:\n  - dressing: Ashgarth Dun\n    sizes: {12: 3 dozen}\n    price: 30.00 a dozen\n").unwrap();
    let bench = demo();
    let bench = bench.to_str().unwrap();
    let told = herl(home.path(), orders.path(), &["plan", "mine.yaml", "--json", "--bench", bench]);
    assert_eq!(told.status.code(), Some(0), "{}", trouble(&told));
    let plan: serde_json::Value = serde_json::from_slice(&told.stdout).unwrap();
    assert_eq!(plan["figures"]["order.price"]["value"], "90.00");
    assert_eq!(plan["figures"]["order.price"]["currency"], "GBP");
    assert_eq!(plan["figures"]["order.flies"]["value"], 36.0);
    let why = herl(home.path(), orders.path(), &["plan", "mine.yaml", "--bench", bench, "--why", "order.price"]);
    assert!(out(&why).contains("order.price = 90 GBP"), "{}", out(&why));
    let missing = herl(home.path(), orders.path(), &["plan", "min.yaml", "--bench", bench]);
    assert_eq!(missing.status.code(), Some(1));
    std::fs::write(&file, "order: Mine\nflies:\n  - dressing: Ashgarth Dunn\n    sizes: {12: 3 dozen}\n").unwrap();
    let wrong = herl(home.path(), orders.path(), &["plan", "mine.yaml", "--bench", bench]);
    assert_eq!(wrong.status.code(), Some(1));
    assert!(trouble(&wrong).contains("mine.yaml:3:15") && trouble(&wrong).contains("did you mean"), "{}", trouble(&wrong));
}

#[test]
fn what_rests_on_a_refused_value_is_refused() {
    let home = tempfile::tempdir().unwrap();
    let bench = tempfile::tempdir().unwrap();
    lay(&cases().join("base"), bench.path());
    let terms = bench.path().join("bench.yaml");
    for (text, told) in [
        ("bench: Test Yard\ncurrency: GBP\nrate: 17,50\n", "a decimal takes a point"),
        ("bench: Test Yard\ncurrency: GBP\nrate: 17\nallowance: 12 %\n", "what it is a share of"),
        ("bench: Test Yard\ncurrency: GBP\nrate: 17\nrate: 18\n", "\"rate\" is given twice"),
        ("bench: Test Yard\ncurrency: GBP\nrates: 17\n", "\"rates\" is not a key of a bench"),
        ("bench: [\n", "bench.yaml"),
    ] {
        std::fs::write(&terms, text).unwrap();
        let plan = herl(home.path(), bench.path(), &["plan", "First box"]);
        assert_eq!((plan.status.code(), out(&plan).as_str()), (Some(1), ""), "{text}");
        assert!(trouble(&plan).contains(told), "{}", trouble(&plan));
        let card = herl(home.path(), bench.path(), &["card", "Alder Dun"]);
        assert_eq!(card.status.code(), Some(0), "a card needs no money: {}", trouble(&card));
    }
    std::fs::write(&terms, "bench: Test Yard\ncurrency: GBP\nrate: 17\nhand: lefty\n").unwrap();
    let plan = herl(home.path(), bench.path(), &["plan", "First box"]);
    assert_eq!(plan.status.code(), Some(0), "no sum rests on the hand: {}", trouble(&plan));
}

#[test]
fn a_dressing_that_cannot_be_used_is_never_refused_without_a_word() {
    let home = tempfile::tempdir().unwrap();
    let bench = tempfile::tempdir().unwrap();
    lay(&cases().join("base"), bench.path());
    std::fs::write(bench.path().join("hooks.yaml"), "charts:\n  a: {\n").unwrap();
    for arguments in [["card", "Alder Dun"], ["plan", "First box"], ["plan", "orders/first-box.yaml"]] {
        let told = herl(home.path(), bench.path(), &arguments);
        assert_eq!(told.status.code(), Some(1), "{arguments:?}");
        assert!(trouble(&told).contains("error: hooks.yaml"), "{arguments:?}: {}", trouble(&told));
    }
}

#[test]
fn two_materials_may_stand_in_for_each_other() {
    let home = tempfile::tempdir().unwrap();
    let bench = tempfile::tempdir().unwrap();
    lay(&cases().join("base"), bench.path());
    let dressing = bench.path().join("dressings").join("alder-dun.yaml");
    let hackle = "  - {part: hackle, of: blue dun cock, as: hackle, at: 1/4 shank behind the eye, fibre: 1 gap, turns: 4}\n";
    let text = std::fs::read_to_string(&dressing).unwrap();
    std::fs::write(&dressing, text + hackle).unwrap();
    let order =
        "order: Swap\nflies:\n  - dressing: Alder Dun\n    sizes: {12: 1 dozen}\n    instead: {olive dubbing: blue dun cock, blue dun cock: olive dubbing}\n";
    std::fs::write(bench.path().join("orders").join("swap.yaml"), order).unwrap();
    let plan = herl(home.path(), bench.path(), &["plan", "Swap"]);
    assert_eq!(plan.status.code(), Some(0), "{}", trouble(&plan));
    let rows: Vec<String> =
        out(&plan).lines().filter(|line| line.starts_with("blue dun cock") || line.starts_with("olive dubbing")).map(str::to_owned).collect();
    assert!(rows.iter().any(|row| row.starts_with("blue dun cock") && row.contains("mg")), "the body is dubbed with the other: {rows:?}");
    assert!(rows.iter().any(|row| row.starts_with("olive dubbing") && row.contains("feathers")), "and the hackle is of the other: {rows:?}");
}

#[test]
fn a_bench_that_wants_inches_and_its_own_marks_sees_them_and_json_does_not() {
    let home = tempfile::tempdir().unwrap();
    let bench = tempfile::tempdir().unwrap();
    lay(&demo(), bench.path());
    let terms = bench.path().join("bench.yaml");
    let text = std::fs::read_to_string(&terms).unwrap();
    let card = |arguments: &[&str]| out(&herl(home.path(), bench.path(), &[&["card", "Kiln Row Nymph", "--size", "14"], arguments].concat()));
    let (mm, json) = (card(&[]), card(&["--json"]));
    // The shank of the chart's 14 is 8.6 mm; an inch is 25.4 mm.
    assert!(mm.contains("shank 8.60") && mm.contains("from mm"), "{mm}");
    let figures = |page: &str| page.get(page.find("\"figures\"").unwrap()..).unwrap().to_owned();
    let (places, marks) = (text.find("units: mm").unwrap(), text.find("numbers: 1,234.56").unwrap());
    assert!(places < marks);
    std::fs::write(&terms, text.replace("units: mm ", "units: in ").replace("numbers: 1,234.56", "numbers: 1.234,56")).unwrap();
    let inches = card(&[]);
    assert!(inches.contains("shank 0.339") && inches.contains("from in") && inches.contains("length in"), "{inches}");
    assert!(inches.contains("Tie in the rib, 0.307 in behind the eye.") && !inches.contains(" mm "), "{inches}");
    assert!(inches.contains("0,032 m ") && inches.contains("about 6,94 mg"), "amounts take the comma: {inches}");
    assert_eq!(figures(&card(&["--json"])), figures(&json), "JSON stays in mm");
    let plan = out(&herl(home.path(), bench.path(), &["plan", "orders/penny-ferry-big-flies.yaml"]));
    assert!(plan.contains("2.102 fibres") && plan.contains("62,50") && plan.contains("at 5,60, Pump Street Hooks"), "{plan}");
    std::fs::write(&terms, text.replace("units: mm ", "units: mm and in ")).unwrap();
    assert!(card(&[]).contains("Tie in the rib, 7.8 mm (0.307 in) behind the eye."), "{}", card(&[]));
}
