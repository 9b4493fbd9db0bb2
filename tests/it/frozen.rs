//! A card kept as it is and read back: the same drawing at every step, the same documents, the same derivations; and
//! whatever a damaged text holds, words and no panic.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use crate::figures::{cards, demo};
use herl::bench::Bench;
use herl::card::figure::{View, figure};
use herl::card::form::DONE;
use herl::card::frozen::{freeze, thaw};
use herl::card::{self, Card};
use herl::dressing::Shelf;
use herl::paper::{self, json, svg, why};
use herl::why::Origin;
use proptest::prelude::*;
use serde_json::Value;
use std::sync::LazyLock;

static BENCH: LazyLock<Bench> = LazyLock::new(demo);
static TEXTS: LazyLock<Vec<String>> = LazyLock::new(|| cards(&BENCH).iter().step_by(9).map(|card| freeze(card).unwrap()).collect());

fn named(card: &Card) -> String {
    format!("{} {} {:?}", card.dressing, card.size, card.variant)
}

/// Everything a card can be read as.
fn papers(card: &Card, shelf: &Shelf) -> [String; 3] {
    let drawing = svg::svg(card, &|_, part, piece| [80, part.unwrap_or(99) as u8, piece as u8]);
    [paper::card::text(card, shelf), json::card(card).to_string(), drawing]
}

#[test]
fn every_demo_card_thaws_as_it_was_frozen() {
    let mut longest = 0;
    let mut sum = 0;
    let all = cards(&BENCH);
    for card in &all {
        let text = freeze(card).unwrap_or_else(|fault| panic!("{}: {fault}", named(card)));
        let back = thaw(&text).unwrap_or_else(|fault| panic!("{}: {fault}", named(card)));
        assert_eq!(papers(card, &BENCH.shelf), papers(&back, &BENCH.shelf), "{}", named(card));
        for view in [View::Side, View::Below] {
            for done in (0..=card.steps.len() + 1).chain([DONE]) {
                assert!(figure(card, view, done) == figure(&back, view, done), "{}: drawn after {done} steps", named(card));
            }
        }
        for (fig, key, row) in card.sheet.rows() {
            let there = back.sheet.find(key).unwrap();
            assert_eq!(fig, there);
            assert_eq!(row.value.to_bits(), back.sheet.value(there).to_bits(), "{}: {key}", named(card));
            assert_eq!(why::of_card(card, fig), why::of_card(&back, there), "{}: {key}", named(card));
            let of = |card: &Card| json::why(&card.sheet, fig, &|row| json::number(row.value)).to_string();
            assert_eq!(of(card), of(&back), "{}: {key}", named(card));
            if let Origin::Worked { .. } = row.origin {
                assert_eq!(back.sheet.again(there), None, "what is kept is not worked again");
            }
        }
        assert_eq!(card.sheet.rows().count(), back.sheet.rows().count());
        assert!(freeze(&back).unwrap() == text, "{}: frozen again", named(card));
        longest = longest.max(text.len());
        sum += text.len();
    }
    println!("{} cards, {} bytes in the mean, {longest} at most", all.len(), sum / all.len());
    assert!(all.len() > 90 && longest < 200_000, "{} cards, {longest} bytes at most", all.len());
}

/// Reads what may be damaged, and where that makes a card, does all with it that a screen does.
fn use_it(text: &str) -> Result<(), String> {
    let card = thaw(text)?;
    for done in [0, 1, card.steps.len(), DONE] {
        figure(&card, View::Side, done);
        figure(&card, View::Below, done);
    }
    papers(&card, &BENCH.shelf);
    for (fig, ..) in card.sheet.rows().step_by(17) {
        why::of_card(&card, fig);
    }
    card::differs::differs(&card, &card);
    freeze(&card)?;
    Ok(())
}

#[test]
fn what_is_no_kept_card_is_told_in_words() {
    let good = &TEXTS[0];
    for (text, words) in [
        (String::new(), "this kept card cannot be read: "),
        ("[1]".to_owned(), "this kept card cannot be read: "),
        ("{}".to_owned(), "this kept card cannot be read: missing field `v`"),
        ("[".repeat(100_000), "this kept card cannot be read: "),
        (" ".repeat(9_000_000), "8388608 at most are read"),
        (good.replacen("\"v\":1", "\"v\":2", 1), "this card was kept in form 2, and this program reads form 1"),
        (good.replacen("\"v\":1", "\"v\":-1", 1), "this kept card cannot be read: "),
        (good.replacen("\"mm\"", "\"m\\u001b[2Jm\"", 1), "is no unit"),
        (good.replacen("\"size\":\"12\"", "\"size\":\"large\"", 1), "\"large\" is no size"),
        (good.replacen("\"shank\":1", "\"shank\":4000000000", 1), "it points to a row that its sheet has not"),
        (good.replacen("\"ties\":[0]", "\"ties\":[18446744073709551615]", 1), "ties in or winds part"),
        (good.replacen("\"hook.shank\"", "\"hook.gap\"", 1), "hook.gap stands on the sheet twice"),
        (good.replacen("\"revision\":", "\"revision\":1e999,\"x\":", 1), "this kept card cannot be read: number out of range"),
    ] {
        assert_ne!(&text, good, "the text was changed for {words:?}");
        let fault = thaw(&text).map(|card| named(&card)).unwrap_err();
        assert!(fault.contains(words), "{fault}");
        assert!(fault.chars().count() < 400 && !fault.chars().any(char::is_control), "{fault:?}");
    }
}

/// A good text with these inputs of the row of the bend's arc.
fn with_inputs(inputs: &str) -> String {
    let good = &TEXTS[0];
    let row = good.find("[\"hook.bend-arc\"").unwrap();
    let from = row + good[row..].find(",[").unwrap();
    let to = from + good[from..].find(']').unwrap();
    format!("{},[{inputs}{}", &good[..from], &good[to..])
}

#[test]
fn inputs_stand_before_what_is_worked_from_them() {
    let good = thaw(&TEXTS[0]).unwrap();
    let own = good.sheet.find("hook.bend-arc").unwrap();
    let Origin::Worked { inputs, .. } = &good.sheet.at(own).origin else { panic!("the arc of the bend is worked") };
    assert!(!inputs.is_empty());
    for (inputs, words) in [
        ("9", "hook.bend-arc is worked from row 9, which does not stand before it"),
        ("4294967295", "hook.bend-arc is worked from row 4294967295, which does not stand before it"),
        ("4294967296", "this kept card cannot be read"),
        ("-1", "this kept card cannot be read"),
        ("0.5", "this kept card cannot be read"),
        ("", "hook.bend-arc is worked from rows whose units its formula does not take"),
        ("0", "hook.bend-arc is worked from rows whose units its formula does not take"),
    ] {
        let fault = thaw(&with_inputs(inputs)).map(|card| named(&card)).unwrap_err();
        assert!(fault.contains(words), "{inputs}: {fault}");
    }
}

#[test]
fn a_card_of_the_first_form_is_read_for_ever() {
    // Written by this program when the form was new; it is never written again.
    let text = std::fs::read_to_string(crate::support::cases().join("kept-cards/form-1.json")).unwrap();
    let card = thaw(&text).unwrap_or_else(|fault| panic!("{fault}"));
    assert_eq!(paper::card::head(&card), "Ashgarth Dun, size 14, dark: upwinged dry, revision 3\n");
    let tail = card.sheet.find("tail.length").unwrap();
    assert_eq!(paper::card::with_tolerance(&card, tail), "8.7 ±0.5");
    let told = why::of_card(&card, tail);
    assert!(told.contains("given: dressings/ashgarth-dun.yaml, parts 2, length"), "{told}");
    assert!(figure(&card, View::Side, DONE).len() > 50);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_text_cut_short_is_no_card(which in any::<prop::sample::Index>(), at in any::<prop::sample::Index>()) {
        let text = &TEXTS[which.index(TEXTS.len())];
        let mut end = at.index(text.len());
        while !text.is_char_boundary(end) {
            end -= 1;
        }
        prop_assert!(thaw(&text[..end]).is_err());
    }

    #[test]
    fn a_flipped_bit_panics_nowhere(which in any::<prop::sample::Index>(), at in any::<prop::sample::Index>(), bit in 0..7u8) {
        let mut bytes = TEXTS[which.index(TEXTS.len())].clone().into_bytes();
        let at = at.index(bytes.len());
        bytes[at] ^= 1 << bit;
        let _ = use_it(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn any_figures_on_the_sheet_are_drawn_and_told(
        which in any::<prop::sample::Index>(),
        values in prop::collection::vec((any::<prop::sample::Index>(), prop_oneof![
            any::<f64>().prop_filter("JSON has finite figures only", |value| value.is_finite()),
            -1e4..1e4,
            Just(0.0),
            Just(1e308),
            Just(-1e-300),
        ]), 1..60),
    ) {
        let mut kept: Value = serde_json::from_str(&TEXTS[which.index(TEXTS.len())]).unwrap();
        let rows = kept["sheet"]["rows"].as_array_mut().unwrap();
        for (at, value) in values {
            let nth = at.index(rows.len());
            rows[nth][1] = value.into();
        }
        prop_assert_eq!(use_it(&kept.to_string()), Ok(()));
    }

    #[test]
    fn other_numbers_panic_nowhere(
        which in any::<prop::sample::Index>(),
        at in prop::collection::vec((any::<prop::sample::Index>(), prop_oneof![
            any::<f64>().prop_filter("JSON has finite figures only", |value| value.is_finite()).prop_map(|value| format!("{value:?}")),
            any::<i64>().prop_map(|value| value.to_string()),
            (0..500u32).prop_map(|value| value.to_string()),
            Just("1e308".to_owned()),
            Just("-0.0".to_owned()),
            Just("5e-324".to_owned()),
            Just("600".to_owned()),
        ]), 1..12),
    ) {
        let mut text = TEXTS[which.index(TEXTS.len())].clone();
        for (at, number) in at {
            let found = numbers(&text);
            let (from, to) = found[at.index(found.len())];
            text.replace_range(from..to, &number);
        }
        let _ = use_it(&text);
    }
}

/// Where numbers stand in a text outside of quotes.
fn numbers(text: &str) -> Vec<(usize, usize)> {
    let (mut found, mut quoted, mut escaped, mut begun) = (Vec::new(), false, false, None);
    for (at, byte) in text.bytes().enumerate() {
        let digit = !quoted && (byte.is_ascii_digit() || b"+-.e".contains(&byte)) && (begun.is_some() || byte.is_ascii_digit() || byte == b'-');
        match (digit, begun) {
            (true, None) => begun = Some(at),
            (false, Some(from)) => {
                found.push((from, at));
                begun = None;
            }
            _ => {}
        }
        quoted ^= byte == b'"' && !escaped;
        escaped = byte == b'\\' && !escaped;
    }
    found
}
