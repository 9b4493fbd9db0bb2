//! The stores in the ledger: every deed is whole, every balance is the sum of its movements, and nothing is lost.
#![allow(clippy::unwrap_used, reason = "a test's own helpers")]

use crate::support;
use herl::ledger::{Booked, Correction, Error, FILE, Found, Ledger, Make, NewRun, Out, Receipt, RunId, To, What};
use herl::measure::money::Currency;
use herl::measure::{Unit, Words};
use herl::stores::{Filter, Goods, InUse, Kind, LotId, LotSays, Movement, MovementId, Named, Price, Quality, Refusal, Share, Sort, ThingId, balance};
use herl::vice::{self, Bad, Begun, Depth, Did, Fate, How, Item, Material, Of, Outline, Step};
use proptest::prelude::*;
use rusqlite::Connection;
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use std::path::Path;
use tempfile::TempDir;

pub(crate) const NOON: i64 = 1_767_268_800_000;

fn number(text: &str) -> Decimal {
    text.parse().unwrap()
}

fn words(text: &str) -> Words {
    Words::new(text)
}

pub(crate) fn open(bench: &Path) -> Ledger {
    Ledger::open_for_writing(bench).unwrap()
}

fn bench() -> (TempDir, Ledger) {
    let bench = tempfile::tempdir().unwrap();
    let ledger = open(bench.path());
    (bench, ledger)
}

/// Goods in a lot of their own that cost so many pence.
fn lot(name: &str, quantity: &str, pence: i64) -> Receipt {
    let price = Some(Price { minor: pence, currency: Currency::new("GBP").unwrap() });
    Receipt { to: To::NewLot(LotSays { price, ..LotSays::default() }), ..Receipt::of(Goods::material(name), number(quantity), Unit::One) }
}

fn came(booked: &Booked) -> (ThingId, Option<LotId>) {
    let last = booked.movements.last().unwrap();
    (last.thing, last.lot)
}

fn out(thing: ThingId, quantity: &str) -> Out {
    Out::of(thing, number(quantity))
}

fn refusal(told: Result<impl std::fmt::Debug, Error>) -> Refusal {
    match told.unwrap_err() {
        Error::Stores(refusal) => refusal,
        other => panic!("{other}"),
    }
}

fn holds(ledger: &Ledger, thing: ThingId) -> (Decimal, Decimal, Decimal) {
    let balance = ledger.balances().unwrap().into_iter().find(|balance| balance.thing == thing).unwrap();
    (balance.on_hand, balance.loose, balance.set_aside)
}

fn sound(ledger: &Ledger) {
    let verified = ledger.verify(&[]).unwrap();
    assert!(verified.sound(), "{verified:?}");
}

#[test]
fn what_comes_in_and_goes_out_stands_in_the_balance_to_the_last_place() {
    let (_bench, mut ledger) = bench();
    let metres = |quantity: &str, unit| Receipt::of(Goods::material("Gold Wire, fine"), number(quantity), unit);
    let (wire, first) = came(&ledger.receive(NOON, &metres("10", Unit::M)).unwrap());
    // The same goods, spelt otherwise and told in another unit: 10 yd are 9.144 m exactly (since 1959).
    let yards = Receipt { goods: Goods::material("gold  wire, FINE"), ..metres("10", Unit::Yard) };
    assert_eq!(came(&ledger.receive(NOON, &yards).unwrap()).0, wire);
    ledger.use_up(NOON + 1, &Out { lot: first, ..out(wire, "0.052134") }).unwrap();
    assert_eq!(holds(&ledger, wire).0, number("19.091866"));
    assert_eq!(ledger.lot(first.unwrap()).unwrap().holds, number("9.947866"));
    let lines = ledger.history(wire, None).unwrap();
    assert_eq!(lines.iter().map(|line| line.after).collect::<Vec<_>>(), [number("19.091866"), number("19.144"), number("10")]);
    let wanted = Filter { kind: Some(Kind::Used), ..Filter::default() };
    assert_eq!(ledger.movements(&wanted).unwrap().len(), 1);
    let page = ledger.movements(&Filter { most: Some(2), ..Filter::default() }).unwrap();
    let next = ledger.movements(&Filter { most: Some(2), below: Some(page[1].id), ..Filter::default() }).unwrap();
    assert_eq!(page.iter().chain(&next).map(|movement| movement.id.0).collect::<Vec<_>>(), [3, 2, 1]);
    sound(&ledger);
}

#[test]
fn what_cannot_be_is_refused_with_words_and_nothing_of_it_is_booked() {
    let (_bench, mut ledger) = bench();
    let (hooks, first) = came(&ledger.receive(NOON, &lot("hooks", "100", 1150)).unwrap());
    let other = came(&ledger.receive(NOON, &lot("beads", "50", 400)).unwrap()).1;
    let before = ledger.movements(&Filter::default()).unwrap();
    let said = |told: Result<Booked, Error>, part: &str| {
        let told = told.unwrap_err();
        assert!(matches!(told, Error::Stores(_)) && told.to_string().contains(part) && told.to_string().contains("nothing was booked"), "{told}");
    };
    said(ledger.use_up(NOON, &out(hooks, "0.0000001")), "six decimals");
    said(ledger.use_up(NOON, &out(hooks, "101")), "there are 100 to take and 101 would be wanted");
    said(ledger.use_up(NOON, &out(hooks, "0")), "over 0");
    said(ledger.waste(NOON, &out(hooks, "-3")), "over 0");
    said(ledger.use_up(NOON, &Out { lot: other, ..out(hooks, "1") }), "not of hooks");
    said(ledger.use_up(NOON, &Out { lot: Some(LotId(99)), ..out(hooks, "1") }), "lot 99 is not known");
    said(ledger.use_up(NOON, &out(ThingId(99), "1")), "thing 99 is not known");
    said(ledger.receive(NOON, &lot("", "1", 1)), "without a name");
    said(ledger.receive(NOON, &lot("hooks", "99999999999", 1)), "no store holds so much");
    said(ledger.receive(NOON, &Receipt::of(Goods::sized("beads", " "), 1.into(), Unit::One)), "empty size");
    said(ledger.receive(NOON, &Receipt { to: To::Loose, customer: Some(words("Osier Water")), ..lot("hooks", "1", 1) }), "a lot of their own");
    said(ledger.receive(NOON, &Receipt { customer: Some(words("Osier Water")), ..lot("hooks", "1", 1) }), "no price");
    let correction = Correction { thing: hooks, lot: first, by: number("-101"), reason: words("fell") };
    said(ledger.correct(NOON, &correction), "there are 100 to take");
    said(ledger.correct(NOON, &Correction { reason: words(" "), by: 1.into(), ..correction }), "why");
    assert!(matches!(refusal(ledger.undo(NOON, MovementId(99), None)), Refusal::Unknown { .. }));
    ledger.close_lot(first.unwrap(), true).unwrap();
    said(ledger.use_up(NOON, &Out { lot: first, ..out(hooks, "1") }), "closed");
    said(ledger.use_up(NOON, &out(hooks, "1")), "there are 0 to take");
    assert_eq!(ledger.movements(&Filter::default()).unwrap(), before);
    assert_eq!(ledger.things().unwrap().len(), 2, "no thing is left of what was refused");
    sound(&ledger);
}

#[test]
fn one_lot_serves_a_whole_use_where_one_is_enough_and_loose_goods_come_last() {
    let (_bench, mut ledger) = bench();
    let (floss, small) = came(&ledger.receive(NOON, &lot("floss", "5", 100)).unwrap());
    let large = came(&ledger.receive(NOON, &lot("floss", "9", 100)).unwrap()).1;
    ledger.receive(NOON, &Receipt { to: To::Loose, ..Receipt::of(Goods::material("floss"), 4.into(), Unit::One) }).unwrap();
    let drawn = |booked: Booked| booked.movements.iter().map(|movement| (movement.lot, -movement.quantity)).collect::<Vec<_>>();
    assert_eq!(drawn(ledger.use_up(NOON, &out(floss, "4")).unwrap()), [(small, 4.into())], "the smallest that is enough");
    assert_eq!(drawn(ledger.use_up(NOON, &out(floss, "11")).unwrap()), [(large, 9.into()), (small, 1.into()), (None, 1.into())]);
    // What is kept apart is left alone until its day, and can be asked for by its number.
    let says = LotSays { apart_until: Some("2026-02-01".parse().unwrap()), ..LotSays::default() };
    let skin = Receipt { to: To::NewLot(says), ..Receipt::of(Goods::material("blue dun cock"), 1.into(), Unit::Piece) };
    let (cape, apart) = came(&ledger.receive(NOON, &skin).unwrap());
    assert!(matches!(refusal(ledger.use_up(NOON, &out(cape, "0.25"))), Refusal::NotSoMuch { .. }));
    assert_eq!(drawn(ledger.use_up(NOON + 31 * 86_400_000, &out(cape, "0.25")).unwrap()), [(apart, number("0.25"))]);
    sound(&ledger);
}

#[test]
fn made_parts_cost_what_their_makings_cost_and_those_spoilt_are_paid_by_the_good_ones() {
    let (_bench, mut ledger) = bench();
    let (flank, _) = came(&ledger.receive(NOON, &lot("partridge flank", "40", 1000)).unwrap());
    let (varnish, _) = came(&ledger.receive(NOON, &lot("varnish", "3", 100)).unwrap());
    let made = Receipt::of(Goods::sized("burnt wings", "16"), 10.into(), Unit::One);
    let make = Make { makings: vec![out(flank, "24"), out(varnish, "1")], made, lost: 2.into() };
    let booked = ledger.make(NOON, &make).unwrap();
    assert_eq!(booked.movements.iter().map(|movement| movement.quantity).collect::<Vec<_>>(), [(-24).into(), (-1).into(), Decimal::TEN]);
    assert!(booked.movements[2].reason.as_ref().unwrap().as_str().contains("2 spoilt"));
    // 24 of 40 for 10.00 are 6.00, a third of 1.00 is 0.333...: rounded once, 6.33.
    let wings = ledger.lot(booked.movements[2].lot.unwrap()).unwrap();
    assert_eq!(wings.says.price.as_ref().map(|price| price.minor), Some(633));
    assert_eq!(wings.cost_of(5.into()), Some(number("3.165")));
    // Nothing is known of the cost of loose goods, nor then of what is made of them.
    let (loose, _) = came(&ledger.receive(NOON, &Receipt { to: To::Loose, ..lot("hen", "5", 0) }).unwrap());
    let again = Make { makings: vec![out(flank, "2"), out(loose, "1")], ..make.clone() };
    let lot = ledger.make(NOON, &again).unwrap().movements[2].lot.unwrap();
    assert_eq!(ledger.lot(lot).unwrap().says.price, None);
    // All of it or nothing: a making that is not there leaves the other where it was.
    let before = holds(&ledger, flank);
    assert!(ledger.make(NOON, &Make { makings: vec![out(flank, "1"), out(loose, "99")], ..make }).is_err());
    assert_eq!(holds(&ledger, flank), before);
    // And all of it is taken back at once.
    ledger.undo(NOON, booked.movements[0].id, Some(&words("counted wrongly"))).unwrap();
    assert_eq!((holds(&ledger, flank).0, holds(&ledger, varnish).0), (38.into(), 3.into()));
    sound(&ledger);
}

#[test]
fn taking_back_adds_reversing_entries_and_once_only() {
    let (bench, mut ledger) = bench();
    let came_in = ledger.receive(NOON, &lot("hooks", "100", 1150)).unwrap();
    let (hooks, _) = came(&came_in);
    let used = ledger.use_up(NOON, &out(hooks, "30")).unwrap();
    let told = refusal(ledger.undo(NOON, came_in.deed, None));
    assert!(matches!(told, Refusal::UsedSince { .. }) && told.to_string().contains("hooks"), "{told}");
    let back = ledger.undo(NOON + 5, used.deed, None).unwrap();
    assert_eq!((back.movements[0].reverses, back.movements[0].quantity, back.movements[0].kind), (Some(used.deed), 30.into(), Kind::Used));
    assert!(matches!(refusal(ledger.undo(NOON, used.deed, None)), Refusal::TakenBack { .. }));
    assert_eq!(ledger.movement(used.deed).unwrap().reversed_by, Some(back.deed));
    assert_eq!(ledger.use_between(&[NOON - 1, NOON + 1]).unwrap(), [(hooks, vec![Decimal::ZERO])], "nothing was used after all");
    // Again, and then all from the first.
    ledger.undo(NOON, back.deed, None).unwrap();
    assert_eq!(holds(&ledger, hooks).0, 70.into());
    let received = came(&came_in).1.unwrap();
    assert_eq!(ledger.lot(received).unwrap().came_in, 100.into());
    let other_in = ledger.receive(NOON, &lot("beads", "5", 100)).unwrap();
    let gone = ledger.undo(NOON, other_in.deed, None).unwrap();
    assert_eq!(ledger.lot(came(&other_in).1.unwrap()).unwrap().came_in, 0.into());
    ledger.undo(NOON, gone.deed, None).unwrap();
    assert_eq!(ledger.lot(came(&other_in).1.unwrap()).unwrap().came_in, 5.into(), "and there again");
    assert_eq!(ledger.use_between(&[NOON - 1, NOON + 1, NOON + 99]).unwrap()[0].1[0], 30.into());
    sound(&ledger);
    drop(ledger);
    let other = Connection::open(bench.path().join(FILE)).unwrap();
    for statement in [
        "update movement set quantity = 1",
        "delete from movement",
        "insert or replace into movement select * from movement",
        "update lot set thing = 1, customer = 1",
        "delete from lot",
        "update thing set unit = 'g'",
        "insert into movement values (9, 9, 0, 1, 1, -999000000, 'used', null, null, null, null, null)",
        "insert into movement values (9, 9, 0, 1, 1, 5000000, 'used', null, null, null, null, null)",
        "insert into movement values (9, 9, 0, 1, 77, 5, 'received', null, null, null, null, null)",
        "insert into movement values (9, 9, 0, 1, 1, 'some', 'received', null, null, null, null, null)",
        "insert into movement values (9, 9, 0, 1, 1, 9e300, 'received', null, null, null, null, null)",
        "insert into movement values (9, 9, 0, 1, 1, 1, 'given', null, null, null, null, null)",
        "insert into movement values (9, 9, 0, 1, 1, 30000000, 'used', null, null, 2, 2, null)",
        "insert into set_aside values ('box', 'box', 1, 1, 999000000, 0)",
    ] {
        assert!(other.execute_batch(statement).is_err(), "{statement}");
    }
    sound(&open(bench.path()));
}

#[test]
fn a_name_that_moves_takes_all_that_was_booked_along() {
    let (_bench, mut ledger) = bench();
    let (wire, _) = came(&ledger.receive(NOON, &lot("gold wire", "10", 240)).unwrap());
    let (tinsel, _) = came(&ledger.receive(NOON, &lot("oval tinsel", "5", 240)).unwrap());
    let hooks = came(&ledger.receive(NOON, &Receipt::of(Goods::hook("dry-standard", "14"), 100.into(), Unit::One)).unwrap()).0;
    let named = |sort, name: &str, formerly: &[&str]| Named { formerly: formerly.iter().map(|was| words(was)).collect(), ..Named::new(sort, name) };
    let moved =
        ledger.name_things(NOON + 1, &[named(Sort::Material, "Gold Wire, fine", &["gold wire"]), named(Sort::Chart, "dry", &["dry-standard"])]).unwrap();
    assert_eq!(moved.iter().map(|one| (one.was.as_str(), one.moved)).collect::<Vec<_>>(), [("gold wire", true), ("dry-standard", true)]);
    assert_eq!(ledger.thing(wire).unwrap().goods, Goods::material("Gold Wire, fine"));
    assert_eq!(ledger.thing(hooks).unwrap().goods, Goods::hook("dry", "14"));
    assert_eq!(ledger.things_of(&Goods::material("gold wire")).unwrap()[0].id, wire, "the old name still finds it");
    assert_eq!(ledger.names_of(Sort::Material, &words("gold wire, fine")).unwrap(), [words("Gold Wire, fine"), words("gold wire")]);
    assert!(ledger.name_things(NOON + 2, &[named(Sort::Material, "gold wire, fine", &["gold wire"])]).unwrap()[0].moved, "spelt as the file spells it");
    assert!(ledger.name_things(NOON + 2, &[named(Sort::Material, "gold wire, fine", &["gold wire"])]).unwrap().is_empty(), "and then there is nothing to do");
    // Two names are exchanged in one go.
    let exchanged =
        ledger.name_things(NOON + 3, &[named(Sort::Material, "oval tinsel", &["gold wire, fine"]), named(Sort::Material, "gold wire, fine", &["oval tinsel"])]);
    assert!(exchanged.unwrap().iter().all(|one| one.moved));
    assert_eq!(ledger.thing(wire).unwrap().goods, Goods::material("oval tinsel"));
    assert_eq!(ledger.thing(tinsel).unwrap().goods, Goods::material("gold wire, fine"));
    // What is another thing's name already is not taken from it.
    let clash = ledger.name_things(NOON + 4, &[named(Sort::Material, "oval tinsel", &["gold wire, fine"])]).unwrap();
    assert!(clash.iter().all(|one| !one.moved) && clash.len() == 1, "{clash:?}");
    let strangers = ledger.verify(&[Named::new(Sort::Material, "gold wire, fin"), Named::new(Sort::Chart, "dry")]).unwrap().strangers;
    let told: Vec<_> = strangers.iter().map(|one| (one.name.as_str(), one.nearest.as_ref().map(Words::as_str), one.on_hand)).collect();
    assert_eq!(told, [("gold wire, fine", Some("gold wire, fin"), true), ("oval tinsel", None, true)]);
    sound(&ledger);
}

#[test]
fn what_is_set_aside_is_kept_for_its_order() {
    let (_bench, mut ledger) = bench();
    let (floss, first) = came(&ledger.receive(NOON, &lot("floss", "10", 100)).unwrap());
    let (lodge, osier) = (words("Lodge trial box"), words("Osier box"));
    let aside = ledger.set_aside(NOON, &lodge, floss, None, 6.into(), None).unwrap();
    assert_eq!((aside[0].lot, aside[0].quantity), (first, 6.into()));
    let told = refusal(ledger.set_aside(NOON, &osier, floss, None, 5.into(), None));
    assert!(told.to_string().contains("there are 4 to take and 5 would be wanted (6 more set aside for orders)"), "{told}");
    let told = refusal(ledger.use_up(NOON, &out(floss, "5")));
    assert!(matches!(told, Refusal::NotSoMuch { .. }) && told.to_string().contains("6 more set aside"), "{told}");
    let corrected = Correction { thing: floss, lot: first, by: (-5).into(), reason: words("damp") };
    assert!(matches!(refusal(ledger.correct(NOON, &corrected)), Refusal::NotSoMuch { .. }));
    // For the order itself it is there, and what it takes is not set aside any more.
    ledger.use_up(NOON, &Out { order: Some(lodge.clone()), ..out(floss, "4") }).unwrap();
    assert_eq!(holds(&ledger, floss), (6.into(), 0.into(), 2.into()));
    ledger.use_up(NOON, &Out { order: Some(lodge.clone()), ..out(floss, "3") }).unwrap();
    assert_eq!(holds(&ledger, floss), (3.into(), 0.into(), 0.into()), "beyond that it takes what is free");
    ledger.set_aside(NOON, &osier, floss, first, 2.into(), None).unwrap();
    assert_eq!(ledger.aside(Some(&osier)).unwrap().len(), 1);
    assert_eq!(ledger.free(&words("osier  BOX"), None).unwrap()[0].quantity, 2.into(), "names compare folded");
    assert!(ledger.aside(None).unwrap().is_empty());
    sound(&ledger);
}

#[test]
fn a_customer_s_own_goods_are_for_that_customer_alone() {
    let (_bench, mut ledger) = bench();
    let osier = words("The Osier Water Club");
    let theirs = Receipt { customer: Some(osier.clone()), ..Receipt::of(Goods::hook("barbless", "14"), 50.into(), Unit::One) };
    let (hooks, lot) = came(&ledger.receive(NOON, &theirs).unwrap());
    let balance = &ledger.balances().unwrap()[0];
    assert_eq!((balance.on_hand, balance.customers), (0.into(), 50.into()));
    assert!(matches!(refusal(ledger.use_up(NOON, &out(hooks, "1"))), Refusal::NotSoMuch { .. }));
    assert!(matches!(refusal(ledger.use_up(NOON, &Out { lot, ..out(hooks, "1") })), Refusal::Owned { .. }));
    ledger.use_up(NOON, &Out { customer: Some(words("the osier water club")), ..out(hooks, "48") }).unwrap();
    let left = ledger.lots_of_customers().unwrap();
    assert_eq!(left.iter().map(|lot| (lot.holds, lot.customer.clone())).collect::<Vec<_>>(), [(2.into(), Some(osier.clone()))]);
    ledger.return_(NOON, &Out { lot, customer: Some(osier), ..out(hooks, "2") }).unwrap();
    assert!(ledger.lots_of_customers().unwrap().is_empty());
    sound(&ledger);
}

#[test]
fn goods_kept_by_eye_and_skins_are_told_by_what_is_seen() {
    let (_bench, mut ledger) = bench();
    let silk = Receipt { packs: Some(2), to: To::Loose, ..Receipt::of(Goods::material("primrose silk"), 200.into(), Unit::M) };
    let came_in = ledger.receive(NOON, &silk).unwrap();
    let (silk, _) = came(&came_in);
    assert_eq!(ledger.open_pack(NOON + 1, silk).unwrap().full, 1);
    ledger.looked(NOON + 2, silk, 1, Some(InUse::NearlyDone)).unwrap();
    let seen = ledger.by_eye().unwrap();
    assert_eq!((seen[0].full, seen[0].in_use, seen[0].low(None), seen[0].low(Some(2))), (1, Some(InUse::NearlyDone), false, true));
    ledger.undo(NOON + 3, came_in.deed, None).unwrap();
    assert_eq!(ledger.by_eye().unwrap()[0].full, 0, "the packs went with what they came with");
    assert!(ledger.open_pack(NOON + 4, silk).is_err());

    let (cape, skin) = came(&ledger.receive(NOON, &Receipt::of(Goods::material("blue dun cock"), 1.into(), Unit::Piece)).unwrap());
    ledger.skin_left(NOON, skin.unwrap(), Share::ThreeQuarters).unwrap();
    assert_eq!(holds(&ledger, cape).0, number("0.75"));
    // Plucked: a share of the skin out, feathers into their drawer.
    let drawer = Goods::Material { name: words("blue dun cock"), size: Some(words("14")), fibre_um: Some(6400) };
    let pluck = Make { makings: vec![Out { lot: skin, ..out(cape, "0.25") }], made: Receipt::of(drawer.clone(), 36.into(), Unit::Feather), lost: 0.into() };
    ledger.make(NOON, &pluck).unwrap();
    let things = ledger.things_named(Sort::Material, &words("Blue Dun Cock")).unwrap();
    assert_eq!(
        things.iter().map(|thing| (thing.goods.clone(), thing.unit)).collect::<Vec<_>>(),
        [(Goods::material("blue dun cock"), Unit::Piece), (drawer, Unit::Feather)]
    );
    assert_eq!(Share::nearest(ledger.lot(skin.unwrap()).unwrap().holds), Share::Half);
    sound(&ledger);
}

#[test]
fn a_count_is_left_half_done_and_resumed_and_booked_all_at_once() {
    let (bench, mut ledger) = bench();
    let (hooks, first) = came(&ledger.receive(NOON, &lot("hooks", "100", 1150)).unwrap());
    let second = came(&ledger.receive(NOON, &lot("hooks", "50", 600)).unwrap()).1;
    let (beads, bag) = came(&ledger.receive(NOON, &lot("beads", "30", 300)).unwrap());
    let silk = came(&ledger.receive(NOON, &Receipt { packs: Some(3), to: To::Loose, ..lot("silk", "300", 0) }).unwrap()).0;
    ledger.set_aside(NOON, &words("box"), beads, bag, 28.into(), None).unwrap();
    let count = ledger.count_begin(NOON, Some(&words("the blue drawers"))).unwrap();
    let whole = |thing, quantity: &str| Found::Whole { thing, quantity: number(quantity) };
    let line = ledger.count_line(NOON, count, &whole(hooks, "145"), &words("100 + 45"), None).unwrap();
    assert_eq!((line.expected, line.difference), (Some(150.into()), Some((-5).into())));
    drop(ledger);

    let mut ledger = open(bench.path());
    assert_eq!(ledger.open_counts().unwrap()[0].lines, 1);
    // Used meanwhile: the difference was found before.
    ledger.use_up(NOON + 1, &Out { lot: second, ..out(hooks, "10") }).unwrap();
    let told = ledger.count_line(NOON + 2, count, &Found::Lot { lot: first.unwrap(), quantity: 90.into() }, &words("90"), None).unwrap_err();
    assert!(told.to_string().contains("one or the other"), "{told}");
    ledger.count_line(NOON + 2, count, &Found::Lot { lot: bag.unwrap(), quantity: 25.into() }, &words("25"), Some(&words("a bag burst"))).unwrap();
    ledger.count_line(NOON + 2, count, &Found::ByEye { thing: silk, full: 1, in_use: Some(InUse::Half) }, &words("1 half"), None).unwrap();
    ledger.count_line(NOON + 3, count, &Found::Lot { lot: bag.unwrap(), quantity: 26.into() }, &words("26"), Some(&words("a bag burst"))).unwrap();
    assert!(matches!(refusal(ledger.count_line(NOON, count, &whole(hooks, "-1"), &words("-1"), None)), Refusal::Senseless { .. }));
    let (booked, freed) = ledger.count_book(NOON + 4, count).unwrap();
    assert_eq!(booked.unwrap().movements.len(), 2);
    assert_eq!(freed.iter().map(|aside| (aside.order.as_str(), aside.quantity)).collect::<Vec<_>>(), [("box", 2.into())], "the order gets less");
    assert_eq!((holds(&ledger, hooks).0, holds(&ledger, beads)), (135.into(), (26.into(), 0.into(), 26.into())));
    assert_eq!(ledger.by_eye().unwrap()[0].full, 1);
    assert!(matches!(refusal(ledger.count_book(NOON, count)), Refusal::CountEnded { .. }));
    // Dropped: nothing is booked.
    let count = ledger.count_begin(NOON, None).unwrap();
    assert!(matches!(refusal(ledger.count_book(NOON, count)), Refusal::NothingCounted));
    ledger.count_line(NOON, count, &whole(hooks, "1"), &words("1"), None).unwrap();
    ledger.count_drop(NOON, count).unwrap();
    assert_eq!((ledger.open_counts().unwrap().len(), holds(&ledger, hooks).0), (0, 135.into()));
    sound(&ledger);
}

fn material(name: &str, unit: &str, a_fly: &str, hook: bool) -> Material {
    Material { name: words(name), unit: words(unit), a_fly: number(a_fly), hook, comes_back: hook, grams: None }
}

/// A run of an invented dressing with its laying out, its looking over and its booking.
fn run(flies: u32, kind: vice::Kind) -> NewRun {
    let step = |(card, stage): (usize, usize)| Step { card, stage, text: words("Wind the rib."), seconds: Some(20.0), key: None };
    let layout = vec![Item { of: Of::Hooks, text: words("Count out the hooks."), seconds: Some(240.0), key: None }];
    let begun = Begun {
        kind,
        layout: if kind == vice::Kind::Sample { Vec::new() } else { layout },
        materials: vec![
            material("dry-standard 14", "", "1", true),
            material("gold wire, fine", "m", "0.052134567", false),
            material("blue dun cock, size 14", "feathers", "0.5", false),
        ],
        whole: true,
        ..Begun::of_steps(Outline::new([(0, 0), (1, 0), (2, 1)].map(step).to_vec(), None).unwrap(), flies)
    };
    NewRun { dressing: words("Sallow Dun"), revision: 2, size: words("14"), variant: Some(words("dark")), begun_at: NOON, begun, card: None, sample: None }
}

fn go(ledger: &mut Ledger, run: RunId, all: impl IntoIterator<Item = Did>) {
    for did in all {
        let state = ledger.state(run).unwrap();
        let event = state.event(did, NOON + i64::from(state.last_number()) * 1000, u64::from(state.last_number()) * 1000);
        ledger.append(run, &event).unwrap();
    }
}

/// Up to its booking: twelve tied, one bad hook, two seconds, one stripped.
fn tied(ledger: &mut Ledger, run: RunId) {
    go(ledger, run, [Did::Opened { depth: Some(Depth::Fly) }, Did::Ticked { bad: 1 }]);
    go(ledger, run, std::iter::repeat_n(Did::On, 12));
    let bad = |fate, flies| Bad { why: words("wing"), fate, flies };
    go(ledger, run, [Did::LookedOver { bad: vec![bad(Fate::Second, 2), bad(Fate::Stripped, 1)], left: 0 }]);
    go(ledger, run, [Did::Used { nth: 1, amount: number("0.7"), how: How::Counted }]);
}

fn fly(quality: Quality) -> Goods {
    Goods::Fly { dressing: words("sallow dun"), revision: 2, size: words("14"), variant: Some(words("dark")), quality }
}

fn of(ledger: &Ledger, goods: &Goods) -> ThingId {
    ledger.things_of(goods).unwrap()[0].id
}

#[test]
fn a_booked_run_takes_its_materials_out_and_brings_its_flies_in() {
    let (_bench, mut ledger) = bench();
    let (hooks, _) = came(&ledger.receive(NOON, &Receipt::of(Goods::hook("dry-standard", "14"), 100.into(), Unit::One)).unwrap());
    let feathers = Receipt::of(Goods::sized("blue dun cock", "14"), 4.into(), Unit::Feather);
    let (drawer, lot) = came(&ledger.receive(NOON, &feathers).unwrap());
    let box_ = words("Lodge trial box");
    ledger.set_aside(NOON, &box_, hooks, None, 95.into(), None).unwrap();
    let id = ledger.begin_run(&run(12, vice::Kind::Counted)).unwrap();
    ledger.run_is_for(id, Some(&box_)).unwrap();
    tied(&mut ledger, id);
    assert!(ledger.movements(&Filter { run: Some(id.0), ..Filter::default() }).unwrap().is_empty(), "nothing before it is booked");
    go(&mut ledger, id, [Did::Booked]);
    // 12 begun, one came back stripped, one bad hook: 12; feathers 6, of which 4 were there; wire as told, never counted in.
    assert_eq!(holds(&ledger, hooks), (88.into(), 0.into(), 83.into()));
    assert_eq!(holds(&ledger, drawer), ((-2).into(), (-2).into(), 0.into()));
    assert_eq!(ledger.lot(lot.unwrap()).unwrap().holds, Decimal::ZERO);
    let wire = of(&ledger, &Goods::material("gold wire, fine"));
    assert_eq!(holds(&ledger, wire).0, number("-0.7"));
    let [good, seconds] = [Quality::Good, Quality::Second].map(|quality| of(&ledger, &fly(quality)));
    assert_eq!((holds(&ledger, good).0, holds(&ledger, seconds).0), (9.into(), 2.into()));
    assert_eq!(ledger.lots(good).unwrap()[0].run, Some(id.0));
    let seen = ledger.seen(Some(wire)).unwrap();
    // 12 flies of 0.052134567 m, to the millionth.
    assert_eq!(seen.iter().map(|seen| (seen.reckoned, seen.used, seen.told)).collect::<Vec<_>>(), [(number("0.625615"), number("0.7"), true)]);
    sound(&ledger);

    // A run's movements are taken back at the vice.
    let booked = ledger.movements(&Filter { run: Some(id.0), ..Filter::default() }).unwrap();
    assert!(matches!(refusal(ledger.undo(NOON, booked[0].id, None)), Refusal::OfARun { .. }));
    let delivered = ledger.deliver(NOON, &out(good, "9")).unwrap();
    let number_of = ledger.state(id).unwrap().last_done().unwrap();
    let back = |ledger: &mut Ledger| {
        let event = ledger.state(id).unwrap().event(Did::TookBack { number: number_of }, NOON + 60_000, 60_000);
        ledger.append(id, &event)
    };
    let told = refusal(back(&mut ledger));
    assert!(matches!(told, Refusal::UsedSince { .. }), "{told}");
    assert!(ledger.state(id).unwrap().run_done(), "and the run is as booked as it was");
    ledger.undo(NOON, delivered.deed, None).unwrap();
    back(&mut ledger).unwrap();
    assert_eq!((holds(&ledger, hooks).0, holds(&ledger, drawer).0, holds(&ledger, wire).0, holds(&ledger, good).0), (100.into(), 4.into(), 0.into(), 0.into()));
    assert!(ledger.seen(None).unwrap().is_empty(), "what was taken back teaches nothing");
    // Booked again, into the same lots of flies.
    go(&mut ledger, id, [Did::Booked]);
    assert_eq!((holds(&ledger, good).0, ledger.lots(good).unwrap().len(), holds(&ledger, wire).0), (9.into(), 1, number("-0.7")));
    ledger.forget_use(NOON, wire).unwrap();
    assert!(ledger.seen(Some(wire)).unwrap().is_empty());
    sound(&ledger);
}

#[test]
fn a_sample_s_materials_go_out_and_it_is_kept_by_itself() {
    let (_bench, mut ledger) = bench();
    let id = ledger.begin_run(&run(1, vice::Kind::Sample)).unwrap();
    go(&mut ledger, id, [Did::Opened { depth: Some(Depth::Fly) }, Did::On, Did::Agreed { revision: 2 }]);
    assert_eq!(holds(&ledger, of(&ledger, &fly(Quality::Sample))).0, 1.into());
    assert_eq!(holds(&ledger, of(&ledger, &Goods::material("gold wire, fine"))).0, number("-0.052135"), "to the millionth, half to even");
    sound(&ledger);
}

#[test]
fn a_run_that_took_more_than_can_be_is_told_and_can_be_put_right() {
    let (_bench, mut ledger) = bench();
    let mut huge = run(1, vice::Kind::Counted);
    huge.begun.materials[1].a_fly = Decimal::MAX;
    let id = ledger.begin_run(&huge).unwrap();
    go(&mut ledger, id, [Did::Opened { depth: Some(Depth::Fly) }, Did::Ticked { bad: 0 }, Did::On, Did::LookedOver { bad: Vec::new(), left: 0 }]);
    let event = ledger.state(id).unwrap().event(Did::Booked, NOON, 9000);
    assert!(matches!(refusal(ledger.append(id, &event)), Refusal::TooLarge));
    assert!(!ledger.state(id).unwrap().run_done() && ledger.movements(&Filter::default()).unwrap().is_empty());
}

#[test]
fn runs_booked_by_the_program_before_become_movements() {
    let kept = support::cases().join("ledger").join("2.db");
    let bench = tempfile::tempdir().unwrap();
    std::fs::copy(kept, bench.path().join(FILE)).unwrap();
    let check = |ledger: &Ledger| {
        let all = ledger.movements(&Filter::default()).unwrap();
        let by = |run: i64| all.iter().filter(|movement| movement.run == Some(run)).count();
        // The booked run: hooks, wire, feathers, dubbing, good flies and seconds; the sample: four materials and itself.
        assert_eq!([by(1), by(2), by(3), by(4), by(5), all.len()], [6, 0, 5, 0, 0, 11]);
        let on_hand = |goods: &Goods| holds(ledger, of(ledger, goods)).0;
        assert_eq!(on_hand(&Goods::hook("dry-standard", "14")), (-13).into(), "12 and one bad, less one stripped; and the sample's");
        assert_eq!(on_hand(&Goods::material("gold wire, fine")), number("-0.752135"), "as told, and the sample's as reckoned");
        assert_eq!(on_hand(&Goods::material("olive dubbing")), number("-0.26"));
        assert_eq!((on_hand(&fly(Quality::Good)), on_hand(&fly(Quality::Second))), (9.into(), 2.into()));
        let told: Vec<_> = ledger.seen(None).unwrap().into_iter().filter(|seen| seen.told).collect();
        assert_eq!(told.iter().map(|seen| (seen.run, seen.used)).collect::<Vec<_>>(), [(RunId(1), number("0.7")), (RunId(1), number("0.25"))]);
        sound(ledger);
    };
    // Looked at as a copy in memory, and brought up in its place.
    check(&Ledger::open_reading(bench.path()).unwrap().unwrap());
    let mut ledger = open(bench.path());
    check(&ledger);
    // The one whose booking had been taken back is booked now.
    go(&mut ledger, RunId(4), [Did::Opened { depth: None }, Did::Booked]);
    assert_eq!(holds(&ledger, of(&ledger, &fly(Quality::Good))).0, 11.into());
    sound(&ledger);
}

#[test]
fn a_ledger_out_of_step_is_told_row_by_row() {
    let (bench, mut ledger) = bench();
    ledger.receive(NOON, &lot("hooks", "100", 1150)).unwrap();
    drop(ledger);
    let other = Connection::open(bench.path().join(FILE)).unwrap();
    other.execute_batch("pragma foreign_keys = off; update balance set quantity = 7; insert into eye_look (at, thing, full) values (0, 77, 1)").unwrap();
    other.execute_batch("drop trigger set_aside_is_there; insert into set_aside values ('box', 'box', 1, 1, 9000000, 0)").unwrap();
    drop(other);
    let found = Ledger::open_reading(bench.path()).unwrap().unwrap().verify(&[Named::new(Sort::Material, "hook")]).unwrap();
    assert!(!found.sound());
    assert_eq!((found.balances[0].kept, found.balances[0].summed, found.movements), (number("0.000007"), 100.into(), 1));
    assert!(found.orphans[0].as_str().contains("eye_look") && found.amiss[0].as_str().contains("more set aside"), "{found:?}");
    assert_eq!(found.strangers[0].nearest.as_ref().map(Words::as_str), Some("hook"));
}

#[test]
fn a_copy_made_while_the_ledger_is_in_use_is_whole_and_writes_over_nothing() {
    let (bench, mut ledger) = bench();
    for nth in 0..300 {
        ledger.receive(NOON + nth, &lot("hooks", "100", 1150)).unwrap();
    }
    let to = bench.path().join("copy.db");
    let mut told = 0;
    // By a program that only reads, while the other has it open.
    let reading = Ledger::open_reading(bench.path()).unwrap().unwrap();
    reading
        .backup_to(&to, |done, all| {
            told += 1;
            done <= all
        })
        .unwrap();
    assert!(told > 0);
    let again = ledger.backup_to(&to, |_, _| true).unwrap_err();
    assert!(matches!(&again, Error::Stores(Refusal::Exists { .. })) && again.to_string().contains("not written over"), "{again}");
    let stopped = bench.path().join("stopped.db");
    assert!(matches!(ledger.backup_to(&stopped, |_, _| false), Err(Error::Stores(Refusal::Stopped))));
    assert!(ledger.backup_to(&bench.path().join("no such folder").join("copy.db"), |_, _| true).is_err());
    let left: Vec<String> = std::fs::read_dir(bench.path()).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    assert!(!stopped.exists() && !left.iter().any(|name| name.starts_with(".ledger-copy")), "{left:?}");
    let other = tempfile::tempdir().unwrap();
    std::fs::copy(&to, other.path().join(FILE)).unwrap();
    let copy = open(other.path());
    assert_eq!(copy.movements(&Filter::default()).unwrap(), ledger.movements(&Filter::default()).unwrap());
    sound(&copy);
}

fn written(ledger: &Ledger, what: What) -> String {
    let mut text = Vec::new();
    ledger.export(what, Path::new("stores.csv"), &mut text, |_| true).unwrap();
    String::from_utf8(text).unwrap()
}

fn read(ledger: &mut Ledger, text: &str) -> Result<herl::ledger::Imported, Error> {
    ledger.import(NOON, Path::new("stores.csv"), text.as_bytes(), |_| true)
}

#[test]
fn what_is_written_out_reads_back_to_the_same_shelf() {
    let (_bench, mut ledger) = bench();
    let says = LotSays {
        supplier: Some(words("Withy Street, \"the old shop\"")),
        received: Some("2026-01-04".parse().unwrap()),
        price: Price::of(number("2.40"), Currency::new("GBP").unwrap()),
        dye_lot: Some(words("=7+1")),
        swatch: true,
        proof: Some(words("@ref, 12")),
        apart_until: Some("2026-02-01".parse().unwrap()),
        note: Some(words("'=kept \"dry\"")),
    };
    let (wire, lot_of) =
        came(&ledger.receive(NOON, &Receipt { to: To::NewLot(says.clone()), ..Receipt::of(Goods::material("-gold wire"), 10.into(), Unit::M) }).unwrap());
    let used = ledger.use_up(NOON + 1, &Out { lot: lot_of, ..out(wire, "0.25") }).unwrap();
    ledger.undo(NOON + 2, used.deed, Some(&words("+ slip"))).unwrap();
    ledger.receive(NOON, &Receipt { customer: Some(words("Osier")), ..Receipt::of(Goods::hook("dry", "2 in"), 5.into(), Unit::One) }).unwrap();
    let drawer = Goods::Material { name: words("dun"), size: Some(words("14")), fibre_um: Some(6350) };
    ledger.receive(NOON, &Receipt { to: To::Loose, ..Receipt::of(drawer, number("36.5"), Unit::Feather) }).unwrap();
    let id = ledger.begin_run(&run(12, vice::Kind::Counted)).unwrap();
    tied(&mut ledger, id);
    go(&mut ledger, id, [Did::Booked]);

    let text = written(&ledger, What::Movements);
    assert!(
        text.contains("\r\n") && text.lines().all(|line| !line.contains(",=") && !line.contains(",+") && !line.contains(",-") && !line.contains(",@")),
        "{text}"
    );
    let (_other_bench, mut other) = bench_and(&text);
    let shelf = |ledger: &Ledger| {
        let balances = ledger.balances().unwrap();
        let mut all: Vec<_> = balances.iter().map(|one| (ledger.thing(one.thing).unwrap().to_string(), one.on_hand, one.loose, one.customers)).collect();
        all.sort();
        all
    };
    assert_eq!(shelf(&other), shelf(&ledger));
    let back = &other.lots(of(&other, &Goods::material("-gold wire"))).unwrap()[0];
    assert_eq!((&back.says, back.came_in), (&says, 10.into()));
    assert_eq!(other.movements(&Filter { kind: Some(Kind::Used), ..Filter::default() }).unwrap().iter().filter(|movement| !movement.stands()).count(), 2);
    sound(&other);
    let balances = written(&ledger, What::Balances);
    assert!(balances.starts_with("goods,name,size,fibre mm,") && balances.contains("36.5"), "{balances}");
    // Reading back is an addition: the second time there is twice as much.
    read(&mut other, &text).unwrap();
    sound(&other);
}

fn bench_and(text: &str) -> (TempDir, Ledger) {
    let (bench, mut ledger) = bench();
    read(&mut ledger, text).unwrap_or_else(|told| panic!("{told}\n{text}"));
    (bench, ledger)
}

#[test]
fn every_bad_row_is_told_by_its_line_and_nothing_of_the_file_is_booked() {
    let (_bench, mut ledger) = bench();
    ledger.receive(NOON, &lot("hooks", "1", 1)).unwrap();
    let before = (ledger.movements(&Filter::default()).unwrap(), ledger.things().unwrap());
    let text = "\u{feff}Name,in,OUT,unit,kind,price,currency,lot,takes back,received,goods\r\n\
        floss,5,,m,,,,,,,\r\n\
        ,5,,m,,,,,,,\r\n\
        floss,5,3,m,,,,,,,\r\n\
        floss,1.2345678,,m,,,,,,,\r\n\
        floss,,9,m,,,,,,,\r\n\
        floss,5,,parsecs,,,,,,,\r\n\
        floss,5,,m,given,,,,,,\r\n\
        floss,\"1,5\",,m,,,,,,,\r\n\
        floss,5,,m,,2.405,GBP,,,,\r\n\
        floss,5,,m,,2.40,,,,,\r\n\
        floss,5,,m,,,,,77,,\r\n\
        floss,5,,m,,,,,,yesterday,\r\n\
        floss,5,,m\r\n\
        floss,5,,m,,,,,,,feather\r\n\
        floss,'-5,,m,,,,,,,\r\n\
        floss,5,,g,used,,,,,,\r\n\
        floss,5,,m,,1.00,GBP,a,,,\r\n\
        floss,5,,m,,2.00,GBP,a,,,\r\n";
    let told = read(&mut ledger, text).unwrap_err();
    let Error::Stores(Refusal::Rows { bad }) = &told else { panic!("{told}") };
    let lines: Vec<u64> = bad.iter().map(|(line, _)| *line).collect();
    assert_eq!(lines, [3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 19], "{told}");
    for (line, said) in [
        (3, "no `name`"),
        (4, "not both"),
        (5, "six decimals"),
        (6, "goes out than is there"),
        (7, "parsecs"),
        (9, "1,5"),
        (10, "digits"),
        (14, "cells"),
        (19, "told otherwise in line 18"),
    ] {
        let why = &bad.iter().find(|(at, _)| *at == line).unwrap().1;
        assert!(why.as_str().contains(said), "{line}: {why}");
    }
    assert!(told.to_string().contains("line 3: ") && told.to_string().contains("nothing was booked"), "{told}");
    for (head, said) in
        [("", "empty"), ("name,int\r\n", "is \"in\" meant?"), ("name;in\r\n", "semicolons"), ("name,in,in\r\n", "twice"), ("in,out\r\n", "`name`")]
    {
        let told = read(&mut ledger, head).unwrap_err().to_string();
        assert!(told.contains(said), "{head}: {told}");
    }
    assert!(ledger.import(NOON, Path::new("x"), b"name,in\r\n\xff\xfe,5\r\n".as_slice(), |_| true).unwrap_err().to_string().contains("UTF-8"));
    assert_eq!((ledger.movements(&Filter::default()).unwrap(), ledger.things().unwrap()), before);
    sound(&ledger);
}

/// A file of so many rows.
fn rows(count: usize) -> String {
    let row = |nth: usize| format!("feather {},{},,feathers,{}\r\n", nth % 40, 1 + nth % 7, nth % 400);
    "name,in,out,unit,lot\r\n".chars().chain((0..count).flat_map(|nth| row(nth).chars().collect::<Vec<_>>())).collect()
}

#[test]
fn a_long_file_shows_how_far_it_is_and_can_be_stopped() {
    let (_bench, mut ledger) = bench();
    let text = rows(3000);
    let mut seen = Vec::new();
    let stopped = ledger.import(NOON, Path::new("stores.csv"), text.as_bytes(), |going| {
        seen.push(going.rows);
        going.rows < 2000
    });
    assert!(matches!(refusal(stopped), Refusal::Stopped));
    assert_eq!(seen, [500, 1000, 1500, 2000]);
    assert!(ledger.things().unwrap().is_empty(), "nothing of it was booked");
    let done = read(&mut ledger, &text).unwrap();
    assert_eq!((done.rows, done.new_things, done.lots), (3000, 40, 400));
    sound(&ledger);
}

#[test]
#[ignore = "100,000 rows; run in release"]
fn a_hundred_thousand_rows_come_in() {
    let (_bench, mut ledger) = bench();
    let began = std::time::Instant::now();
    assert_eq!(read(&mut ledger, &rows(100_000)).unwrap().rows, 100_000);
    println!("100,000 rows in {:?}", began.elapsed());
    sound(&ledger);
}

#[test]
fn what_stands_in_is_what_was_declared_then_what_is_alike_and_colour_comes_last() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    file("bench.yaml", "bench: Alder Yard\ncurrency: GBP\n");
    file("hooks.yaml", "charts: {}\n");
    let of = |name: &str, kind: &str, rest: &str| format!("  {name}:\n    kind: {kind}\n{rest}");
    let materials = [
        of("dun cock", "cape", "    usable: 50 mm\n    colour: \"#8090a0\"\n    substitutes: [badger cock, grizzled hen]\n"),
        of("grizzled hen", "hen cape", ""),
        of("badger cock", "cape", "    usable: 90 mm\n"),
        of("long cock", "cape", "    usable: 80 mm\n    colour: \"#8090a0\"\n"),
        of("red cock", "cape", "    usable: 50 mm\n    colour: \"#a03020\"\n"),
        of("blue cock", "cape", "    usable: 50.5 mm\n    colour: \"#8090b0\"\n"),
        of("plain cock", "cape", "    usable: 50 mm\n"),
        of("no cock left", "cape", "    usable: 50 mm\n"),
        of("gold wire", "wire", ""),
    ];
    file("materials.yaml", &format!("materials:\n{}", materials.concat()));
    let loaded = herl::bench::load(folder.path());
    let shelf = &loaded.bench.shelf;
    let free = |name: &str| (name != "no cock left").then_some(Decimal::ONE);
    let stand_ins = herl::stores::substitutes::stand_ins(shelf, &shelf.materials["dun cock"], free);
    let names: Vec<&str> = stand_ins.iter().map(|one| one.name.as_str()).collect();
    assert_eq!(names, ["badger cock", "grizzled hen", "blue cock", "red cock", "plain cock", "long cock"], "{:?}", loaded.findings.len());
    assert!(stand_ins[0].declared && stand_ins[1].declared && !stand_ins[2].declared);
    assert!(stand_ins[2].colour < stand_ins[3].colour && stand_ins[4].colour.is_none());
}

/// Something done with the stores, by small numbers.
#[derive(Clone, Debug)]
enum Deed {
    Receive { thing: u8, quantity: i64, loose: bool },
    Use { thing: u8, quantity: i64, order: Option<u8> },
    Waste { thing: u8, quantity: i64 },
    Make { from: u8, quantity: i64, made: i64 },
    Correct { thing: u8, by: i64 },
    Aside { thing: u8, quantity: i64, order: u8 },
    Free { order: u8 },
    Count { thing: u8, found: i64 },
    Undo { nth: u8 },
}

fn any_deed() -> impl Strategy<Value = Deed> {
    let quantity = || prop_oneof![1i64..50_000_000, Just(1), 1i64..9];
    prop_oneof![
        3 => (0u8..4, quantity(), any::<bool>()).prop_map(|(thing, quantity, loose)| Deed::Receive { thing, quantity, loose }),
        3 => (0u8..4, quantity(), prop::option::of(0u8..2)).prop_map(|(thing, quantity, order)| Deed::Use { thing, quantity, order }),
        1 => (0u8..4, quantity()).prop_map(|(thing, quantity)| Deed::Waste { thing, quantity }),
        1 => (0u8..4, quantity(), quantity()).prop_map(|(from, quantity, made)| Deed::Make { from, quantity, made }),
        1 => (0u8..4, -20_000_000i64..20_000_000).prop_map(|(thing, by)| Deed::Correct { thing, by }),
        2 => (0u8..4, quantity(), 0u8..2).prop_map(|(thing, quantity, order)| Deed::Aside { thing, quantity, order }),
        1 => (0u8..2).prop_map(|order| Deed::Free { order }),
        1 => (0u8..4, 0i64..60_000_000).prop_map(|(thing, found)| Deed::Count { thing, found }),
        2 => any::<u8>().prop_map(|nth| Deed::Undo { nth }),
    ]
}

/// Does it, and gives what was booked, if anything.
fn do_it(ledger: &mut Ledger, deed: &Deed, things: &[ThingId]) -> Result<Option<Booked>, Error> {
    let of = |all: i64| Decimal::from_i128_with_scale(i128::from(all), 6);
    let order = |nth: u8| words(&format!("order {nth}"));
    let thing = |nth: u8| things[usize::from(nth)];
    Ok(Some(match deed {
        Deed::Receive { thing, quantity, loose } => {
            let to = if *loose { To::Loose } else { To::NewLot(LotSays::default()) };
            ledger.receive(NOON, &Receipt { to, ..Receipt::of(Goods::material(&format!("thing {thing}")), of(*quantity), Unit::G) })?
        }
        Deed::Use { thing: nth, quantity, order: for_ } => ledger.use_up(NOON, &Out { order: for_.map(order), ..Out::of(thing(*nth), of(*quantity)) })?,
        Deed::Waste { thing: nth, quantity } => ledger.waste(NOON, &Out::of(thing(*nth), of(*quantity)))?,
        Deed::Make { from, quantity, made } => {
            let made = Receipt::of(Goods::material("thing 0"), of(*made), Unit::G);
            ledger.make(NOON, &Make { makings: vec![Out::of(thing(*from), of(*quantity))], made, lost: 0.into() })?
        }
        Deed::Correct { thing: nth, by } => ledger.correct(NOON, &Correction { thing: thing(*nth), lot: None, by: of(*by), reason: words("why") })?,
        Deed::Aside { thing: nth, quantity, order: for_ } => {
            ledger.set_aside(NOON, &order(*for_), thing(*nth), None, of(*quantity), None)?;
            return Ok(None);
        }
        Deed::Free { order: for_ } => {
            ledger.free(&order(*for_), None)?;
            return Ok(None);
        }
        Deed::Count { thing: nth, found } => {
            let count = ledger.count_begin(NOON, None)?;
            ledger.count_line(NOON, count, &Found::Whole { thing: thing(*nth), quantity: of(*found) }, &words("x"), None)?;
            return Ok(ledger.count_book(NOON, count)?.0);
        }
        Deed::Undo { nth } => {
            let all = ledger.movements(&Filter::default())?;
            let Some(movement) = all.get(usize::from(*nth) % all.len().max(1)) else { return Ok(None) };
            ledger.undo(NOON, movement.id, None)?
        }
    }))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
    #[test]
    fn whatever_is_done_balances_are_the_sums_of_movements_and_no_more_is_set_aside_than_there_is(deeds in prop::collection::vec(any_deed(), 1..40)) {
        let (_bench, mut ledger) = bench();
        let things: Vec<ThingId> = (0..4)
            .map(|nth| came(&ledger.receive(NOON, &Receipt { to: To::Loose, ..Receipt::of(Goods::material(&format!("thing {nth}")), 1.into(), Unit::G) }).unwrap()).0)
            .collect();
        let mut model: Vec<Movement> = ledger.movements(&Filter::default()).unwrap();
        let mut total: BTreeMap<ThingId, Decimal> = things.iter().map(|thing| (*thing, Decimal::ONE)).collect();
        for deed in &deeds {
            match do_it(&mut ledger, deed, &things) {
                Ok(Some(booked)) => {
                    // What each deed means for the whole of a thing, told beside the ledger.
                    let of = |all: i64| Decimal::from_i128_with_scale(i128::from(all), 6);
                    let mut add = |nth: u8, by: Decimal| *total.get_mut(&things[usize::from(nth)]).unwrap() += by;
                    match deed {
                        Deed::Receive { thing, quantity, .. } => add(*thing, of(*quantity)),
                        Deed::Use { thing, quantity, .. } | Deed::Waste { thing, quantity } => add(*thing, -of(*quantity)),
                        Deed::Make { from, quantity, made } => { add(*from, -of(*quantity)); add(0, of(*made)); }
                        Deed::Correct { thing, by } => add(*thing, of(*by)),
                        Deed::Count { thing, found } => { total.insert(things[usize::from(*thing)], of(*found)); }
                        Deed::Undo { .. } => for movement in &booked.movements { *total.get_mut(&movement.thing).unwrap() += movement.quantity; },
                        Deed::Aside { .. } | Deed::Free { .. } => {}
                    }
                    model.extend(booked.movements);
                }
                Ok(None) => {}
                Err(Error::Stores(_)) => {}
                Err(other) => return Err(TestCaseError::fail(format!("{deed:?}: {other}"))),
            }
            let sums = balance::fold(&model);
            for balance in ledger.balances().unwrap() {
                let lots = ledger.lots(balance.thing).unwrap();
                prop_assert_eq!(balance.on_hand, total[&balance.thing], "{:?}", deed);
                prop_assert_eq!(balance.loose, sums.get(&(balance.thing, None)).copied().unwrap_or_default());
                prop_assert!(balance.loose >= Decimal::ZERO, "only runs go below nought");
                for lot in &lots {
                    prop_assert_eq!(lot.holds, sums.get(&(balance.thing, Some(lot.id))).copied().unwrap_or_default());
                    prop_assert!(lot.holds >= lot.set_aside && lot.set_aside >= Decimal::ZERO);
                }
                prop_assert!(balance.set_aside <= balance.on_hand, "{:?}: {:?}", deed, balance);
            }
        }
        let verified = ledger.verify(&[]).unwrap();
        prop_assert!(verified.sound(), "{:?}", verified);
        prop_assert_eq!(ledger.movements(&Filter::default()).unwrap().len(), model.len());
    }
}
