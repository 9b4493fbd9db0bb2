use super::*;
use crate::card::Card;
use crate::card::figure::{View, figure};
use crate::card::form::DONE;
use crate::card::sample;

struct Look {
    width: u16,
    height: u16,
    ascii: bool,
    mirrored: bool,
    highlight: Option<usize>,
}

fn painted(card: &Card, view: View, done: usize, look: &Look) -> Buffer {
    let marks = figure(card, view, done);
    let area = Rect::new(0, 0, look.width, look.height);
    let mut buf = Buffer::empty(area);
    let painting = Painting {
        marks: &marks,
        figures: &card.sheet,
        colours: &|mark| mark.part.map_or(Color::Gray, |part| Color::Indexed(part as u8)),
        rule: Style::new(),
        cell: 0.5,
        ascii: look.ascii,
        mirrored: look.mirrored,
        highlight: look.highlight,
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
    Look { width, height, ascii: false, mirrored: false, highlight: None }
}

/// Prints every sample for the eye: `cargo test --lib look_at -- --ignored --nocapture`.
#[test]
#[ignore = "for looking at"]
fn look_at_the_samples() {
    for (name, card) in [("dry", sample::dry()), ("nymph", sample::nymph()), ("wet", sample::wet()), ("spinner", sample::spinner())] {
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
            let look = Look { mirrored: true, highlight: Some(part), ..plain_look(60, 18) };
            println!("{}", lines(&painted(&card, View::Side, DONE, &look)).join("\n"));
        }
    }
    let card = sample::dry();
    for done in 0..=card.steps.len() {
        println!("dry after {done} steps");
        println!("{}", lines(&painted(&card, View::Side, done, &plain_look(50, 14))).join("\n"));
    }
}
