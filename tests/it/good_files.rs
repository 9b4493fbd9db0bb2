//! Good files, and what they come to mean.

use crate::support::{good_bench, read};
use herl::bench::{Loaded, Sort};
use herl::dressing::{Act, Allowance, Cut, Gives, Profit, Size, Turns, Way};
use herl::measure::{Fraction, Lengths, Unit};
use rust_decimal::Decimal;
use std::fs;

/// Loads the good bench with some files laid over it; nothing may be wrong.
fn loaded(files: &[(&str, &str)]) -> Loaded {
    let bench = good_bench();
    for (file, text) in files {
        fs::write(bench.path().join(file), text).unwrap();
    }
    let (loaded, page) = read(bench.path());
    assert_eq!(page, "nothing to mend\n");
    loaded
}

fn size(text: &str) -> Size {
    Size::read(text).unwrap()
}

const OLD_HOOKS: &str = "charts:
  old scale:
    eye: up
    one-x: even size
    figures: published
    source: a catalogue
    sizes:
      1: {gape: 6 mm, shank: 12 mm, hook-wire: 0.6 mm, barb: {is: 11 mm, figures: measured, source: my own gauge}}
      00: {gap: 3/16 in, shank: 8 mm, hook-wire: 0.4 mm}
  no:
    formerly: yes
    sizes:
      12: {gap: 5 mm, shank: 10 mm, hook-wire: 0.5 mm}
      2/0: {gap: 9 mm, shank: 18 mm, hook-wire: 0.8 mm}
  dry-standard:
    sizes:
      12: {gap: 5.0 mm, shank: 10.0 mm, hook-wire: 0.45 mm}
      16: {gap: 3.5 mm, shank: 7.0 mm, hook-wire: 0.36 mm}
";

#[test]
fn sizes_and_names_arrive_as_written() {
    let loaded = loaded(&[("hooks.yaml", OLD_HOOKS)]);
    let old = &loaded.bench.shelf.charts["old scale"];
    assert_eq!(old.sizes.keys().map(Size::text).collect::<Vec<_>>(), ["1", "00"], "00 is not nought");
    assert!(old.old_scale());
    let barb = &old.sizes[&size("1")][&herl::dressing::HookMeasure::Barb];
    assert_eq!((barb.value, barb.standing, barb.source.as_str()), (11.0, herl::why::Standing::Measured, "my own gauge"));
    // 3/16 in of 25.4 mm (exact since 1959).
    assert!((old.sizes[&size("00")][&herl::dressing::HookMeasure::Gap].value - 4.7625).abs() < 1e-12);
    assert_eq!(loaded.bench.shelf.charts["no"].name.value, "no", "no is not false");
    let renamed = &loaded.bench.renamed[0];
    assert_eq!((renamed.sort, renamed.was.value.as_str(), renamed.now.as_str()), (Sort::Chart, "yes", "no"));
}

const MATERIALS: &str = "suppliers:
  Withy Street Supplies: {carriage: 4.50, free-over: 60.00, lead: 6 days, prices: with tax, tax: 20 %, as-of: 2026-11-01}
materials:
  primrose, fine:
    denier: 50
  gold wire, fine:
    width: 0.12 mm
    lost-at-tie: 5 mm
    grip: 40 mm
    loss: 3 %
    cut: a length for several flies
    packs:
      - {supplier: withy  street supplies, holds: 100 yd, price: 1.50}
      - holds: 10 m
        price: 2.40
  blue dun cock:
    kind: cape
    color: \"#8d99a6\"
    gives: {12: 60, 14: 140}
    usable: 55 mm
    substitutes: [badger cock]
    packs:
      - {holds: 1 cape, price: 38.00}
  badger cock:
    formerly: [badger, badger hackle]
  olive dubbing:
    keep: by eye
    gives: 12 dozen of 14
  made burnt wings, 16:
    kind: made part
    made-from:
      - {of: blue dun cock, amount: 2}
    time: 25 min a dozen
    dries: 0 h
";

#[test]
fn materials_mean_what_they_say() {
    let loaded = loaded(&[("materials.yaml", MATERIALS)]);
    let shelf = &loaded.bench.shelf;
    let wire = &shelf.materials["gold wire, fine"];
    assert_eq!(wire.cut.as_ref().unwrap().value, Cut::ALengthForSeveral);
    assert_eq!(wire.loss.as_ref().unwrap().value, 0.03);
    let pack = &wire.packs[0];
    assert_eq!((pack.holds, pack.unit, pack.price.value), (Decimal::from(100), Unit::Yard, "1.50".parse().unwrap()));
    assert_eq!(pack.supplier.as_ref().unwrap().value, "withy street supplies", "a supplier is found without case");
    let cape = &shelf.materials["blue dun cock"];
    assert_eq!((cape.packs[0].unit, cape.packs[0].noun.as_str()), (Unit::Piece, "cape"));
    assert_eq!(cape.colour, Some([0x8d, 0x99, 0xa6]));
    assert!(matches!(&cape.gives.as_ref().unwrap().value, Gives::Feathers(by_size) if by_size[&size("14")] == Decimal::from(140)));
    let dubbing = &shelf.materials["olive dubbing"];
    assert_eq!(dubbing.gives.as_ref().unwrap().value, Gives::Flies { flies: Decimal::from(144), size: size("14") });
    // 50 denier is 50 g in 9,000 m: 5.556 tex (ISO 1144: tex is grams in 1,000 m).
    assert!((shelf.materials["primrose, fine"].tex.as_ref().unwrap().value - 50.0 / 9.0).abs() < 1e-9);
    let supplier = &shelf.suppliers["withy street supplies"];
    assert_eq!((supplier.lead_days, supplier.with_tax, supplier.tax), (Some(Decimal::from(6)), Some(true), Some("0.2".parse().unwrap())));
    let making = &loaded.bench.makings["made burnt wings, 16"];
    assert_eq!(making.from[0].0.value, "blue dun cock");
    assert_eq!(loaded.bench.renamed.iter().filter(|renamed| renamed.sort == Sort::Material).count(), 2);
}

const TERMS: &str = "bench: Alder Yard
currency: JPY
rate: 1800
allowance: 12 % of the day
overhead: 8 %
mark-up: 33 %
working: {mon: 18:00-21:30, sat: \"9:00-13:00, 14:00-17:00\"}
away: [2026-12-24 to 2027-01-02, 2027-02-01]
rack: 48 flies
hand: left
units: mm and in
numbers: 1,234.56
rounding: half even
confidence: 95 %
cell: 1:2
prices:
  - {kind: upwinged dry, sizes: 10-18, a dozen: 27.00}
  - each: 3
hackle-gauge: {12: 7.9 mm, 00: 4 mm}
defaults: {bind: 5 turns, start: 40 mm, mount: 15 s, restart: 15 s, piece: 1 ft, travel: 1 mm}
tax: 20 %
";

#[test]
fn terms_mean_what_they_say() {
    let loaded = loaded(&[("bench.yaml", TERMS)]);
    let terms = &loaded.bench.shelf.terms;
    assert_eq!((terms.currency.code(), terms.currency.digits()), ("JPY", 0));
    assert_eq!(terms.allowance.as_ref().unwrap().value, Allowance { share: "0.12".parse().unwrap(), of_the_day: true });
    assert_eq!(terms.profit.as_ref().unwrap().value, Profit::MarkUp("0.33".parse().unwrap()));
    assert_eq!((terms.prices[0].price.value.flies, terms.prices[1].price.value.flies), (12, 1));
    assert_eq!(terms.piece.as_ref().unwrap().value, 304.8);
    assert!(terms.hackle_gauge.contains_key(&size("00")));
    assert!(terms.left_handed && terms.shown.lengths == Lengths::Both && terms.cell == Some(0.5));
    let habits = &loaded.bench.habits;
    assert_eq!(habits.working.iter().map(|(_, spans)| spans.len()).collect::<Vec<_>>(), [1, 2]);
    assert_eq!(habits.away.len(), 2);
    assert_eq!(habits.rack.as_ref().unwrap().value, 48);
}

const DRESSING: &str = "dressing: Full Sedge
kind: sedge
formerly: Half Sedge
hook: dry-standard
sizes: 12-16
silks:
  body: primrose, fine
  head: olive dubbing
within: ±0.5 mm
parts:
  - part: Body
    of: OLIVE  dubbing
    as: dubbed
    from: barb
    to: 1/3 shank behind the eye
    thick: 0.25 gap rising to 0.4 gap
  - {part: under-rib, of: \"gold wire, fine\", as: wound, over: body, turns: 2½, way: the other way}
  - part: hackle
    of: blue dun cock
    as: hackle
    at: 1 eye before the end of body
    fiber: 1.5 gap
    turns: 4 behind, 3 before the wing
    by the: tip
    one side stripped: yes
    dull side: forward
  - part: wing
    of: blue dun cock
    as: bunch
    count: 8 fibres
    at: 1/4 shank behind the eye
    length: 1.5 to 2 gap
    shape: upright, split 45 deg
at-size:
  16 and smaller:
    under-rib: {turns: 4}
variants:
  dark:
    formerly: gloomy
    body: {of: \"gold wire, fine\"}
    add:
      - part: egg
        of: olive dubbing
        as: dubbed
        after: body
        from: barb
        to: 1 mm before the barb
        thick: 1.5 mm
  bare:
    leave-out: under-rib
    silk: olive dubbing
steps:
  - when: before
    do: Pinch the barb.
    time: 4 min a dozen
  - silk: touching, 1 eye behind the eye to barb
    time: 25 s
  - tie-in: [under-rib]
    wind: [body, under-rib]
    silk: 3 turns at barb
    do: Body, then {under-rib.turns} turns over {body.length}; gap {hook.gap}.
  - finish: 5 turns
  - when: after
    coat: primrose, fine
    time: 5 s a fly
    dries: 8 h
";

#[test]
fn a_dressing_means_what_it_says() {
    let loaded = loaded(&[("dressings/full.yaml", DRESSING)]);
    let dressing = &loaded.bench.dressings["full sedge"];
    assert_eq!(dressing.sizes.iter().map(|told| told.value.text()).collect::<Vec<_>>(), ["12", "16"], "a range is the chart's own sizes");
    assert_eq!(dressing.silks[0].of.value, "primrose, fine");
    assert_eq!(dressing.parts[0].fields.of.as_ref().unwrap().value, "olive dubbing", "names are folded");
    assert_eq!(dressing.parts[1].fields.turns.as_ref().unwrap().value, Turns::Count(Fraction::new(5, 2).unwrap()));
    assert_eq!(dressing.parts[2].fields.fibre.as_ref().unwrap().value.to_string(), "1.5 gap");
    assert!(matches!(dressing.parts[2].fields.turns.as_ref().unwrap().value, Turns::Split { .. }));
    assert!(dressing.parts[3].fields.shape.as_ref().unwrap().value.divided);
    let at = |size_text: &str, variant| dressing.parts_for(&size(size_text), false, variant).unwrap();
    assert_eq!(at("16", None)[1].fields.turns.as_ref().unwrap().value, Turns::Count(Fraction::whole(4)));
    assert_eq!(at("12", Some("dark")).iter().map(|part| part.name.value.as_str()).collect::<Vec<_>>(), ["body", "egg", "under-rib", "hackle", "wing"]);
    assert_eq!(at("12", Some("dark"))[0].fields.of.as_ref().unwrap().value, "gold wire, fine");
    assert_eq!(at("12", Some("dark"))[1].fields.way.as_ref().unwrap().value, Way::Dubbed);
    let acts = &dressing.steps[2].acts;
    assert!(
        matches!(&acts[..], [Act::TieIn(_), Act::Wind(wound), Act::SilkTurns { at: Some(_), .. }] if wound.len() == 2),
        "acts stand in the order written: {acts:?}"
    );
    let renamed: Vec<_> = loaded.bench.renamed.iter().map(|renamed| (renamed.sort, renamed.now.as_str())).collect();
    assert_eq!(renamed, [(Sort::Dressing, "full sedge"), (Sort::Variant, "full sedge / dark")]);
}

#[test]
fn a_file_may_begin_with_a_mark_and_have_line_ends_of_another_system() {
    let text = format!("\u{feff}---\n{DRESSING}").replace('\n', "\r\n");
    let loaded = loaded(&[("dressings/full.yaml", &text)]);
    assert!(loaded.bench.dressings.contains_key("full sedge"));
}

#[test]
fn the_demo_has_nothing_to_mend() {
    let dir = tempfile::tempdir().unwrap();
    for (file, text) in herl::bench::demo::FILES {
        let path = dir.path().join(file);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    let (loaded, page) = read(dir.path());
    assert_eq!(page, "nothing to mend\n");
    assert!(!loaded.bench.dressings.is_empty() && !loaded.bench.orders.is_empty());
}
