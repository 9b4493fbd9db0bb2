//! The fly as it grows: step by step on a real card, as large as the vice draws it on a terminal of 80 x 24, 120 x 40 and
//! 200 x 60. The snapshots are read by a person before they are accepted.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use crate::screens::{desk, picture};
use herl::card::figure::View;
use herl::card::{self, Card};
use herl::tui::ink::Glyphs;
use herl::tui::screens::fly::{Fly, frame};
use herl::tui::style::{Styles, settle};
use herl::tui::widgets::Paint;
use herl::tui::{Desk, Look};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Color, Modifier};

/// The room the drawing has at the vice.
const SMALL: [u16; 2] = [36, 17];
const LARGE: [u16; 2] = [56, 33];
const HUGE: [u16; 2] = [96, 53];

fn worked(desk: &Desk, name: &str) -> Card {
    let dressing = desk.dressings.get(name).unwrap();
    card::work(dressing, &dressing.sizes[0], None, None, &desk.shelf).unwrap_or_else(|faults| panic!("{faults:?}"))
}

/// The fly as step `nth` leaves it, with what the step has in hand, and what the next one adds.
fn after(name: &str, nth: usize, look: Look, [columns, rows]: [u16; 2]) -> Buffer {
    let desk = desk();
    let card = worked(&desk, name);
    let parts = |nth: usize| card.steps.get(nth).map_or(Vec::new(), |step| step.ties.iter().chain(&step.winds).copied().collect());
    let (chosen, next) = (parts(nth), parts(nth + 1));
    let area = Rect::new(0, 0, columns, rows);
    let mut buf = Buffer::empty(area);
    let (styles, glyphs) = (Styles::of(look.colours()), Glyphs::new(look.unicode));
    let paint = Paint { look: &look, styles: &styles, glyphs: &glyphs };
    Fly { card: &card, view: View::Side, done: nth + 1, chosen: &chosen, next: &next, frame: frame(&card) }.draw(&mut buf, area, &desk, paint);
    settle(&mut buf, look.depth());
    buf
}

/// Compares the drawing of several steps, one below the other, with its snapshot of this name.
fn snapshot(name: &str, fly: &str, steps: &[usize], look: &Look, size: [u16; 2]) {
    let drawn: Vec<String> = steps.iter().map(|nth| format!("after step {}\n{}", nth + 1, picture(&after(fly, *nth, look.clone(), size)))).collect();
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.bind(|| insta::assert_snapshot!(name, drawn.join("\n")));
}

#[test]
fn step_by_step() {
    snapshot("drawing_small", "sallow dun", &[0, 1, 2, 3, 4, 5, 7], &Look::default(), SMALL);
    snapshot("drawing_large", "sallow dun", &[2, 4, 6], &Look::default(), LARGE);
    snapshot("drawing_huge", "sallow dun", &[2, 7], &Look::default(), HUGE);
}

#[test]
fn left_handed() {
    snapshot("drawing_left_small", "culvert nymph", &[0, 1, 2, 3, 4, 5, 6], &Look { mirrored: true, ..Look::default() }, SMALL);
}

#[test]
fn without_colours_and_in_ascii() {
    let bare = Look { colour: false, ..Look::default() };
    snapshot("drawing_bare_small", "sallow dun", &[2, 4, 7], &bare, SMALL);
    let plain = Look { unicode: false, ..bare };
    snapshot("drawing_ascii_small", "sallow dun", &[2, 4, 5, 7], &plain, SMALL);
    snapshot("drawing_ascii_large", "culvert nymph", &[2, 4], &Look { mirrored: true, ..plain }, LARGE);
}

#[test]
fn without_colours_three_ways_are_still_three() {
    for unicode in [true, false] {
        // The body is wound and in hand, the wing and the tail are tied in before, the rib comes next.
        let buf = after("sallow dun", 4, Look { colour: false, unicode, ..Look::default() }, LARGE);
        let text: Vec<&str> = buf.content.iter().map(|cell| cell.symbol()).collect();
        let with = |modifier: Modifier| buf.content.iter().filter(|cell| cell.symbol() != " " && cell.modifier.contains(modifier)).count();
        assert!(with(Modifier::BOLD) > 20, "the part in hand is bold");
        assert!(with(Modifier::DIM) > 20, "what was tied in before is dim");
        assert!(buf.content.iter().all(|cell| cell.fg == Color::Reset && !cell.modifier.contains(Modifier::BOLD | Modifier::DIM)));
        if !unicode {
            assert!(text.contains(&"#") && text.contains(&":") && text.contains(&"."), "and each has signs of its own: {}", text.concat());
        }
    }
}

#[test]
fn the_length_beside_the_part_in_hand_is_the_cards() {
    let desk = desk();
    let card = worked(&desk, "sallow dun");
    let wanted = [(1, "wing.length"), (2, "tail.length"), (4, "body.length"), (5, "rib.length"), (7, "hackle.fibre")];
    for (step, key) in wanted {
        let told = format!("{:.1} mm", card.sheet.value(card.sheet.find(key).unwrap()));
        for (mirrored, unicode) in [(false, true), (true, true), (true, false)] {
            for size in [SMALL, LARGE, HUGE] {
                let shown = picture(&after("sallow dun", step, Look { mirrored, unicode, ..Look::default() }, size));
                assert!(shown.contains(&told), "{key} {told} at {size:?}:\n{shown}");
            }
        }
    }
}
