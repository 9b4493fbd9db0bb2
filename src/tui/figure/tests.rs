use super::*;
use crate::card::Card;
use crate::card::figure::{View, growing};
use crate::card::form::DONE;
use crate::card::sample;
use proptest::prelude::*;
use ratatui::style::Color;

struct Look {
    width: u16,
    height: u16,
    ascii: bool,
    mirrored: bool,
    /// The part in hand.
    part: Option<usize>,
}

fn painted(card: &Card, view: View, done: usize, look: &Look) -> Buffer {
    let chosen: Vec<usize> = look.part.into_iter().collect();
    // What the steps after it have to do with.
    let next: Vec<usize> = card.steps.get(done).map_or(Vec::new(), |step| step.ties.iter().chain(&step.winds).copied().collect());
    let marks = growing(card, view, done, &next);
    let area = Rect::new(0, 0, look.width, look.height);
    let mut buf = Buffer::empty(area);
    let painting = Painting {
        marks: &marks,
        figures: &card.sheet,
        styles: &|mark| Style::new().fg(mark.part.map_or(Color::Gray, |part| Color::Indexed(part as u8))),
        stands: &|mark| match mark.part {
            _ if chosen.is_empty() || mark.tone == Tone::Coming => Stand::Plain,
            Some(part) if chosen.contains(&part) => Stand::Bright,
            _ => Stand::Quiet,
        },
        rule: Style::new(),
        length: Style::new(),
        cell: 0.5,
        ascii: look.ascii,
        mirrored: look.mirrored,
        measured: &chosen,
        lengths: Lengths::Mm,
        frame: None,
    };
    painting.render(area, &mut buf);
    buf
}

fn lines(buf: &Buffer) -> Vec<String> {
    let row = |y| (0..buf.area.width).map(|x| buf.cell((x, y)).map_or(" ", |cell| cell.symbol())).collect::<String>();
    (0..buf.area.height).map(row).collect()
}

fn plain_look(width: u16, height: u16) -> Look {
    Look { width, height, ascii: false, mirrored: false, part: None }
}

/// Prints every sample for the eye: `cargo test --lib look_at -- --ignored --nocapture`.
#[test]
#[ignore = "for looking at"]
fn look_at_the_samples() {
    for (name, card) in sample::all() {
        for (width, height) in [(32, 10), (50, 14), (78, 22)] {
            for ascii in [false, true] {
                println!("{name} {width} x {height}");
                println!("{}", lines(&painted(&card, View::Side, DONE, &Look { ascii, ..plain_look(width, height) })).join("\n"));
            }
        }
        println!("{name} from below");
        println!("{}", lines(&painted(&card, View::Below, DONE, &plain_look(50, 14))).join("\n"));
        for part in 0..card.parts.len() {
            println!("{name} left-handed, {} measured", card.parts[part].name);
            let look = Look { mirrored: true, part: Some(part), ..plain_look(60, 18) };
            println!("{}", lines(&painted(&card, View::Side, DONE, &look)).join("\n"));
        }
    }
    let card = sample::dry();
    for done in 0..=card.steps.len() {
        println!("dry after {done} steps");
        println!("{}", lines(&painted(&card, View::Side, done, &plain_look(50, 14))).join("\n"));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn any_size_of_any_fly_is_painted_within_its_cells(width in 1..90_u16, height in 1..30_u16, nth in 0..20_usize, ascii in any::<bool>(), mirrored in any::<bool>()) {
        let all = sample::all();
        let (name, card) = &all[nth % all.len()];
        for view in [View::Side, View::Below] {
            let look = Look { width, height, ascii, mirrored, part: Some(0) };
            let rows = lines(&painted(card, view, DONE, &look));
            prop_assert_eq!(rows.len(), usize::from(height), "{}", name);
            prop_assert!(!ascii || rows.iter().all(|row| row.is_ascii()), "{}: {:?}", name, rows);
        }
    }
}

#[test]
fn materials_side_by_side_differ_without_colour() {
    let card = sample::all().into_iter().find(|(name, _)| *name == "married").unwrap().1;
    let rows = lines(&painted(&card, View::Side, DONE, &Look { ascii: true, ..plain_look(78, 22) })).concat();
    assert!(["#", "=", "%", "+"].iter().all(|sign| rows.contains(sign)), "{rows}");
    let card = sample::all().into_iter().find(|(name, _)| *name == "open").unwrap().1;
    let rows = lines(&painted(&card, View::Side, DONE, &Look { ascii: true, ..plain_look(78, 22) })).concat();
    assert!(rows.matches('.').count() > 20, "what is open is dotted: {rows}");
}
