//! Every way a part goes on, held against figures worked by hand: the bench `tests/cases/ways` is made of round
//! numbers (hook 12: gap 5, shank 10, wire 0.5, eye 1, barb at 9, point at 7.5; silk 0.1, so that a bed of it makes
//! the shank 0.7 mm thick).

use crate::figures::works_again;
use crate::support::cases;
use herl::bench::{self, Bench};
use herl::card::figure::{View, extents, figure};
use herl::card::form::DONE;
use herl::card::{self, Card};
use herl::dressing::Base;
use herl::measure::words::fold;
use herl::plan::{self, Plan};
use proptest::prelude::*;
use std::f64::consts::PI;
use std::path::Path;

fn load(dir: &Path) -> Bench {
    let loaded = bench::load(dir);
    assert!(loaded.findings.is_empty(), "{:#?}", loaded.findings);
    loaded.bench
}

fn ways() -> Bench {
    load(&cases().join("ways"))
}

fn card_of(bench: &Bench, name: &str) -> Card {
    let dressing = bench.dressings.get(&fold(name)).unwrap_or_else(|| panic!("no {name}"));
    card::work(dressing, &dressing.sizes[0], None, None, &bench.shelf).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

fn value(card: &Card, key: &str) -> f64 {
    let fig = card.sheet.find(key).unwrap_or_else(|| {
        panic!("no figure {key} among {:?}", card.sheet.keys().filter(|k| k.starts_with(key.split('.').next().unwrap())).collect::<Vec<_>>())
    });
    card.sheet.value(fig)
}

fn holds(card: &Card, figures: &[(&str, f64)]) {
    for (key, worked) in figures {
        let ours = value(card, key);
        assert!((ours - worked).abs() < 1e-9 * worked.abs().max(1.0), "{} {key}: {ours}, by hand {worked}", card.dressing);
    }
}

/// So many turns over a length of one thickness, by the middle of the strand.
fn helix(length: f64, turns: f64, middle: f64) -> f64 {
    length.hypot(turns * PI * middle)
}

#[test]
fn a_hackle_goes_round_the_post() {
    let bench = ways();
    // 48 fibres of 0.1 mm, three quarters of the bundle filled: sqrt(48 x 0.01 / 0.75) = 0.8 mm. With the stem of
    // 0.2 mm a turn is pi x 1 mm; five are 15.708 mm. (55 - 5) / 15.708 = 3.18: three flies a feather.
    let card = card_of(&bench, "Parachute");
    holds(
        &card,
        &[
            ("wing.across", 0.8),
            ("hackle.post-across", 0.8),
            ("hackle.at", 2.5),
            ("hackle.wound", 5.0 * PI),
            ("hackle.amount", 1.0 / 3.0),
            ("hackle.clip", 4.0),
        ],
    );
    assert_eq!(card.parts[1].on, Base::Post("wing".to_owned()));
    assert!(card.parts[1].beneath.is_empty() && card.parts[1].span.is_none(), "nothing of the hook lies beneath it");
    // A post told by its thickness, and named before it is tied in: 0.3 gap = 1.5 mm; 5 x pi x 1.7 mm, one fly a feather.
    let card = card_of(&bench, "Thick Post");
    holds(&card, &[("hackle.post-across", 1.5), ("hackle.wound", 5.0 * PI * 1.7), ("hackle.amount", 1.0), ("wing.count", 168.75)]);
}

#[test]
fn a_rope_is_as_thick_as_its_strands_and_its_strands_are_longer_than_it() {
    let card = card_of(&ways(), "Ropes");
    // Three herls of 0.3 and a wire of 0.1: sqrt(3 x 0.09 + 0.01) = sqrt(0.28). Seven turns over 7 mm of 0.7 mm.
    let across = 0.28_f64.sqrt();
    let strand = 1.1 * helix(7.0, 7.0, 0.7 + across);
    holds(&card, &[("body.width", across), ("body.strand-length", strand)]);
    // Herl is cut a length a fly and loses 5 mm at each end; wire comes off the spool and loses nothing.
    holds(&card, &[("body.herl.amount", 3.0 * (strand + 10.0) / 1000.0), ("body.gold wire.amount", strand / 1000.0)]);
    holds(&card, &[("body.amount", (4.0 * strand + 30.0) / 1000.0)]);
    // Two herls at one place: three rings of pi x (0.7 + sqrt(0.18)); seven open turns beneath built nothing.
    let ring = 3.0 * PI * (0.7 + 0.18_f64.sqrt());
    holds(&card, &[("collar.wound", ring), ("collar.amount", 2.0 * (1.1 * ring + 10.0) / 1000.0)]);
}

#[test]
fn what_is_spun_takes_a_loop_of_silk_and_blends_by_volume() {
    let card = card_of(&ways(), "Shrimp");
    // 8 mm, 2 mm thick over 0.7: pi / 4 x (4 - 0.49) x 8 mm3, three quarters at 0.2 and a quarter at 0.1 g/cm3.
    let volume = PI / 4.0 * (4.0 - 0.49) * 8.0;
    holds(&card, &[("body.volume", volume), ("body.hare fur.amount", 0.75 * volume * 0.2e-3), ("body.seal fur.amount", 0.25 * volume * 0.1e-3)]);
    holds(&card, &[("body.loop", 50.0), ("body.loop-silk", 100.0)]);
    let silk = card.sheet.at(card.sheet.find("silk.amount").unwrap());
    let herl::why::Origin::Worked { inputs, .. } = &silk.origin else { panic!("the silk is worked") };
    assert!(inputs.iter().any(|fig| card.sheet.key(*fig) == "body.loop-silk"), "the loop is in the silk");
    // Where the dressing says no loop, 40 mm is usual.
    holds(&card_of(&ways(), "Carried Nymph"), &[("thorax.loop-silk", 80.0)]);
}

#[test]
fn strips_and_sheets_go_by_their_area() {
    let card = card_of(&ways(), "Shrimp");
    // From the barb at 9 to 1: 8 mm of the 3 mm strip, a tenth lost: 26.4 mm2, or 8.8 mm of the card.
    holds(&card, &[("back.amount", 26.4), ("back.run", 0.0088)]);
    // Two of 4 x 6 mm out of sheets of 100 x 150 mm.
    holds(&card, &[("head.amount", 48.0), ("head.share-of-piece", 48.0 / 15_000.0), ("shroud.amount", 10.0)]);
}

#[test]
fn fibres_that_go_on_are_counted_once_and_must_be_long_enough() {
    let card = card_of(&ways(), "Carried Nymph");
    // Nine fibres of 0.1 mm as a rope: sqrt(9 x 0.01) = 0.3 mm, touching over 4 mm of 0.7 mm: 40 / 3 turns.
    let turns = 4.0 / 0.3;
    let strand = 1.1 * helix(4.0, turns, 1.0);
    holds(&card, &[("body.fibres", 9.0), ("body.width", 0.3), ("body.turns", turns), ("body.strand-length", strand)]);
    holds(&card, &[("body.amount", 0.0), ("case.amount", 0.0), ("tail.amount", 9.0)]);
    // Tail 5 mm, then the body, then the case 3 mm.
    holds(&card, &[("body.fibre-length", 5.0 + strand), ("case.fibre-length", 8.0 + strand)]);
    let of_tail: Vec<&str> = card.needs.iter().filter(|need| need.material == "cock tail").map(|need| need.part.as_str()).collect();
    assert_eq!(of_tail, ["tail"], "counted once, with the part they were tied in with");
    assert!(card.advice.is_empty(), "80 mm of fibre is enough: {:?}", card.advice);
    // The rope makes the body 0.7 + 2 x 0.3 mm thick; the rib of 0.1 mm goes over that.
    holds(&card, &[("rib.wound", helix(4.0, 5.0, 1.3 + 0.1))]);
}

#[test]
fn a_weight_lies_under_the_part_it_is_told_to() {
    let card = card_of(&ways(), "Carried Nymph");
    // Lead of 0.4 mm touching over the thorax's 3 mm: 7.5 turns over 0.7 mm. The thorax, 2 mm thick, lies on 1.5 mm.
    holds(&card, &[("weight.from", 5.0), ("weight.to", 2.0), ("weight.turns", 7.5), ("weight.amount", helix(3.0, 7.5, 1.1) / 1000.0)]);
    holds(&card, &[("thorax.volume", PI / 4.0 * (4.0 - 2.25) * 3.0)]);
}

#[test]
fn pairs_are_two_feathers_and_one_each_side_takes_half_of_each() {
    let card = card_of(&ways(), "Streamer");
    holds(&card, &[("wing.white neck.amount", 2.0), ("wing.teal flank.amount", 2.0), ("wing.amount", 4.0), ("cheeks.amount", 2.0)]);
    let size = |part: &str| card.needs.iter().find(|need| need.part == part).unwrap().size.as_ref().map(|size| size.text().to_owned());
    assert_eq!(size("cheeks"), None);
    // 6 mm of fibre is nearest to the 6.4 mm of a 14 on the gauge printed by Gregg (1940).
    assert_eq!(size("sides"), Some("14".to_owned()));
}

#[test]
fn strands_side_by_side_and_one_after_the_other() {
    let card = card_of(&ways(), "Streamer");
    // Floss of 0.2 and 0.4 mm side by side: 10 turns of 0.6 over 6 mm; (0.2 x 0.1 + 0.4 x 0.3) / 0.6 thick.
    let thick = 0.14 / 0.6;
    let wound = helix(6.0, 10.0, 0.7 + thick);
    holds(&card, &[("body.width", 0.6), ("body.turns", 10.0), ("body.thick", thick), ("body.wound", wound)]);
    holds(&card, &[("body.yellow floss.amount", wound / 1000.0), ("body.black floss.amount", wound / 1000.0), ("body.amount", wound / 500.0)]);
    // Four turns over 1 mm: a quarter of both in yellow (0.1 mm thick), the rest in black (0.3 mm thick).
    let (yellow, black) = (helix(0.25, 1.0, 0.8), helix(0.75, 3.0, 1.0));
    holds(&card, &[("tag.yellow floss.turns", 1.0), ("tag.black floss.turns", 3.0), ("tag.yellow floss.to", 8.75)]);
    holds(&card, &[("tag.yellow floss.wound", yellow), ("tag.black floss.wound", black), ("tag.amount", (yellow + black) / 1000.0)]);
    // A throat of twelve fibres of two materials is six of each.
    holds(&card, &[("throat.cock tail.amount", 6.0), ("throat.post yarn.amount", 6.0), ("throat.amount", 12.0)]);
}

#[test]
fn married_slips_add_their_widths() {
    let card = card_of(&ways(), "Married Wing");
    // Two wings, 10 mm long, of 2 + 1.5 + 1 mm.
    holds(
        &card,
        &[("wing.width", 4.5), ("wing.red goose.amount", 40.0), ("wing.blue goose.amount", 30.0), ("wing.red goose 2.amount", 20.0), ("wing.amount", 90.0)],
    );
    holds(&card, &[("horns.red goose.amount", 5.0), ("horns.blue goose.amount", 5.0)]);
}

#[test]
fn a_body_beyond_the_hook_lies_on_its_needle() {
    let card = card_of(&ways(), "Detached");
    // A frustum of a cone, 8 mm, 1.2 to 0.8 mm thick, round a needle of 0.6 mm: pi x 8 / 12 x (1.44 + 0.96 + 0.64) less
    // pi / 4 x 0.36 x 8.
    let volume = PI * 8.0 / 12.0 * (1.44 + 0.96 + 0.64) - PI / 4.0 * 0.36 * 8.0;
    holds(&card, &[("body.core", 0.6), ("body.volume", volume), ("body.beyond-end", 15.5)]);
    // The rib lies on the body's taper: four turns over 8 mm, as a chain of many short chords.
    let chords = 400_000;
    let at = |n: u32| {
        let part = f64::from(n) / f64::from(chords);
        let (angle, radius) = (2.0 * PI * 4.0 * part, (1.2 - 0.4 * part) / 2.0 + 0.05);
        [8.0 * part, radius * angle.cos(), radius * angle.sin()]
    };
    let chord = |n: u32| at(n).iter().zip(at(n + 1)).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt();
    let chain: f64 = (0..chords).map(chord).sum();
    let rib = value(&card, "rib.wound");
    assert!((rib - chain).abs() < 1e-6, "{rib} mm by formula, {chain} mm by chords");
    // 5.5 mm on the shank and 5 mm on nylon of 0.3 mm, in touching turns of 0.2 mm (0.1 mm thick).
    let wound = helix(5.5, 27.5, 0.8) + helix(5.0, 25.0, 0.4);
    holds(&card, &[("abdomen.turns", 52.5), ("abdomen.wound", wound), ("abdomen.length", 10.5), ("abdomen.amount", wound / 1000.0)]);
    // A loop of silk is two strands of 0.1 mm: as thick as sqrt(2) of them. Its silk goes twice over its 2 mm.
    let across = 0.1 * 2.0_f64.sqrt();
    holds(&card, &[("tag.core", across), ("tag.wound", helix(2.0, 4.0, across + 0.3)), ("tag.loop-silk", 4.0)]);
    // Fibres over the back from 2 to 9 and 6 mm beyond.
    holds(&card, &[("back.length", 13.0)]);
    assert_eq!(card.parts[4].shape.split_degrees, Some(45));
    let body = &card.parts[0];
    assert_eq!((body.span, body.beyond.len(), body.on.clone()), (None, 1, Base::Needle(0.6)));
}

#[test]
fn a_second_silk_does_the_last_finish() {
    let card = card_of(&ways(), "Streamer");
    // Start 40 mm and five turns of pi x (0.5 + 0.2) mm half an eye behind the eye, before the bed begins.
    holds(&card, &[("head-silk.amount", (40.0 + 5.0 * PI * 0.7) / 1000.0)]);
    assert_eq!((card.silk.as_str(), card.head_silk.as_deref()), ("olive silk", Some("black silk")));
    let turns: Vec<f64> = card.sheet.rows().filter(|(_, key, _)| key.contains("silk.finish-turns")).map(|(_, _, row)| row.value).collect();
    assert_eq!(turns, [2.0, 5.0], "the first finish is the body's");
}

#[test]
fn the_amount_of_several_is_the_sum_of_each() {
    let bench = ways();
    let mut several = 0;
    for dressing in bench.dressings.values() {
        let card = card_of(&bench, &dressing.name.value);
        for part in card.parts.iter().filter(|part| part.pieces.len() > 1) {
            let needs: f64 = card.needs.iter().filter(|need| need.part == part.name).map(|need| card.sheet.value(need.amount)).sum();
            let own: f64 = part.pieces.iter().filter_map(|piece| piece.amount).map(|fig| card.sheet.value(fig)).sum();
            let whole = card.sheet.value(part.amount.unwrap());
            assert!((whole - needs).abs() < 1e-12 && (whole - own).abs() < 1e-12, "{} {}: {whole}, {needs}, {own}", card.dressing, part.name);
            several += 1;
        }
    }
    assert!(several >= 9, "only {several} parts of several materials were looked at");
}

#[test]
fn every_figure_of_every_way_works_again() {
    let bench = ways();
    let worked: usize = bench.dressings.values().map(|dressing| works_again(&card_of(&bench, &dressing.name.value).sheet)).sum();
    assert!(worked > 400, "only {worked} figures were worked again");
    assert!(works_again(&order(&bench).figures) > 150);
}

/// Whatever is drawn of these ways, nothing of it panics or leaves the finite.
#[test]
fn every_way_can_be_drawn() {
    let bench = ways();
    for dressing in bench.dressings.values() {
        let card = card_of(&bench, &dressing.name.value);
        let (low, high) = extents(&figure(&card, View::Side, DONE)).unwrap();
        assert!(low.iter().chain(&high).all(|x| x.is_finite() && x.abs() < 100.0), "{}: {low:?} to {high:?}", card.dressing);
    }
}

#[test]
fn what_goes_on_after_the_part_it_lies_under_is_pointed_out() {
    let dir = copy();
    let text = "dressing: Late\nkind: nymph\nhook: plain\nsizes: 12\nsilk: olive silk\nparts:\n  - {part: thorax, of: hare fur, as: dubbed, from: barb, to: point, thick: 2 mm}\n  - {part: lead, of: lead wire, as: weight, under: thorax}\nsteps:\n  - tie-in: [thorax, lead]\n  - wind: [thorax, lead]\n";
    std::fs::write(dir.path().join("dressings/late.yaml"), text).unwrap();
    let advice = card_of(&load(dir.path()), "Late").advice;
    assert!(advice.iter().any(|advice| advice.what == "\"lead\" lies under \"thorax\", but goes on after it"), "{advice:?}");
}

fn order(bench: &Bench) -> Plan {
    plan::work(bench.orders.values().next().unwrap(), &bench.dressings, &bench.shelf, &plan::Given::default()).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

#[test]
fn packs_are_shared_by_length_area_and_pairs() {
    let plan = order(&ways());
    let packs = |run: &str, material: &str| {
        let key = format!("{run} 12.{material}.packs");
        let fig = plan.figures.find(&key).unwrap_or_else(|| panic!("no {key}"));
        plan.figures.value(fig).to_string().parse::<f64>().unwrap()
    };
    // Twelve flies each. 8.8 mm of a card of 2 m; 48 mm2 of four sheets of 15,000; 10 mm2 of 50 cm2.
    for (run, material, share) in [
        ("shrimp", "shell back", 12.0 * 0.0088 / 2.0),
        ("shrimp", "foam", 12.0 * 48.0 / 15_000.0 / 4.0),
        ("shrimp", "latex", 12.0 * 10.0 / 5000.0),
        // Four feathers a fly out of ten pairs; two out of 25.
        ("streamer", "teal flank", 12.0 * 4.0 / 20.0),
        ("streamer", "white neck", 12.0 * 2.0 / 25.0),
        // Slips of 2 and 1 mm in two wings and one of 1 mm, along 100 mm of vane, two quills a pack; then two pairs.
        ("married wing", "red goose", 12.0 * (0.04 + 0.02 + 0.01) / 2.0),
        ("married wing", "blue goose", 12.0 * (0.03 + 0.01) / 4.0),
    ] {
        let ours = packs(run, material);
        assert!((ours - share).abs() < 1e-9, "{run} {material}: {ours} packs, by hand {share}");
    }
}

/// The ways bench without its dressings.
fn copy() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    for file in ["bench.yaml", "hooks.yaml", "materials.yaml"] {
        std::fs::copy(cases().join("ways").join(file), dir.path().join(file)).unwrap();
    }
    std::fs::create_dir(dir.path().join("dressings")).unwrap();
    dir
}

/// A body by its way and materials, on the hook of the ways bench.
fn body(of: &str, laid: &str, thick: (f64, f64)) -> Card {
    let dir = copy();
    let (start, end) = thick;
    let text = format!(
        "dressing: Body\nkind: test\nhook: plain\nsizes: 12\nsilk: olive silk\nparts:\n  - part: body\n    as: dubbed\n    from: barb\n    to: 1 eye behind the eye\n    thick: {start:.4} mm rising to {end:.4} mm\n    of:{of}\n{laid}"
    );
    std::fs::write(dir.path().join("dressings/body.yaml"), text).unwrap();
    card_of(&load(dir.path()), "Body")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// However a body is parted among materials, mixed or in bands, its parts make the whole of it.
    #[test]
    fn a_body_parted_is_the_body(first in 1_u32..50, second in 1_u32..49, start in 0.8_f64..2.0, end in 0.8_f64..2.0) {
        let of = format!("\n      - {{of: hare fur, share: {first} %}}\n      - {{of: hare fur, share: {second} %}}\n      - hare fur");
        let whole = value(&body(" hare fur", "", (start, end)), "body.amount");
        for laid in ["    laid: together\n", "    laid: one after the other\n"] {
            let card = body(&of, laid, (start, end));
            let parted = value(&card, "body.amount");
            prop_assert!((parted - whole).abs() < 1e-12, "{parted} g of three, {whole} g of one, {laid}");
            prop_assert_eq!(card.needs.iter().filter(|need| need.part == "body").count(), 3);
        }
    }
}
