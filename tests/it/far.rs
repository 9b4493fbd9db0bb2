//! The far view: steps short and long, with figures and without, as they come out on a small and on a large terminal. The
//! snapshots are read by a person before they are accepted.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::screens::{picture, text};
use herl::tui::Look;
use herl::tui::ink::Glyphs;
use herl::tui::screens::vice::far::{self, Far};
use herl::tui::style::{Styles, settle};
use herl::tui::widgets::Paint;
use proptest::prelude::*;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

const SMALL: [u16; 2] = [80, 24];
const HUGE: [u16; 2] = [200, 60];

const SHORT: Far<'_> = Far { text: "Wind the rib.", figures: &[("4", "turns")], fly: "3 / 12", time: "0:42 / 1:10" };
const BARE: Far<'_> = Far { text: "Whip off.", figures: &[], fly: "36 / 36", time: "0:07" };
const USUAL: Far<'_> = Far {
    text: "Tie in 24 fibres of flank, tips over the eye, 10.3 mm long.",
    figures: &[("24", "fibres"), ("10.3", "mm long")],
    fly: "3 / 12",
    time: "0:42 / 1:10",
};
const LONG: Far<'_> = Far {
    text: "Stand the wing up, part it in two even halves, and hold it with figure-of-eight turns; then silk on in touching turns \
           to above the barb, and back in open turns to a third of the shank behind the eye.",
    figures: &[],
    fly: "107 / 144",
    time: "12:03 / 11:30",
};
const LONGEST: Far<'_> = Far {
    text: "Look at eye and point, and pinch the barb. Pluck hackle with fibres of 7.5 mm; lay it by. Start the silk an eye's \
           length back. Lay a bed to mid-shank, no thicker than it must be, for all that comes after lies on it. Tie in 24 fibres \
           of flank, tips over the eye, 10.3 mm long; stand them up, part them, and bind the butts down to a slope that the \
           body can lie on. Then 5 turns of silk behind them, 3 before, and leave it hanging where the tail is to be tied in, \
           above the barb. Look once more whether both halves are even, from the front and from above: what is uneven now \
           cannot be mended when the hackle is on. Wax the silk well before anything is dubbed on it.",
    figures: &[],
    fly: "3 / 12",
    time: "0:42 / 1:10",
};

fn shown(far: &Far<'_>, look: &Look, [columns, rows]: [u16; 2]) -> Buffer {
    let area = Rect::new(0, 0, columns, rows);
    let mut buf = Buffer::empty(area);
    let (styles, glyphs) = (Styles::of(look.colours()), Glyphs::new(look.unicode));
    far::draw(far, &mut buf, area, Paint { look, styles: &styles, glyphs: &glyphs });
    settle(&mut buf, look.depth());
    buf
}

fn snapshot(name: &str, views: &[Far<'_>], look: &Look, size: [u16; 2]) {
    let all: Vec<String> = views.iter().map(|far| picture(&shown(far, look, size))).collect();
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.bind(|| insta::assert_snapshot!(name, all.join("\n-----\n")));
}

#[test]
fn steps_across_the_room() {
    snapshot("far_small", &[SHORT, BARE, USUAL, LONG, LONGEST], &Look::default(), SMALL);
    snapshot("far_huge", &[SHORT, USUAL, LONG, LONGEST], &Look::default(), HUGE);
}

#[test]
fn steps_across_the_room_in_ascii() {
    let plain = Look { colour: false, unicode: false, ..Look::default() };
    snapshot("far_ascii_small", &[SHORT, USUAL, LONG], &plain, SMALL);
    snapshot("far_ascii_huge", &[USUAL, LONG], &plain, HUGE);
    for far in [SHORT, BARE, USUAL, LONG, LONGEST] {
        for size in [SMALL, HUGE, [33, 9]] {
            assert!(text(&shown(&far, &plain, size)).is_ascii());
        }
    }
}

#[test]
fn a_name_that_has_no_letters_here_is_written_plain() {
    let far = Far { text: "Tie in 6 fibres of gr\u{e5} hare\u{b2}.", ..SHORT };
    let shown = text(&shown(&far, &Look::default(), SMALL));
    assert!(shown.contains("Tie in 6 fibres of gr\u{e5} hare\u{b2}."), "{shown}");
}

#[test]
fn figures_the_words_do_not_have_are_shown_however_little_room_there_is() {
    let shown = text(&shown(&SHORT, &Look::default(), [20, 4]));
    assert!(shown.contains("Wind the rib.") && shown.contains("4 turns"), "{shown}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Plain text is whole, or says how much is left over; letters are whole by their making.
    #[test]
    fn nothing_is_cut_off_in_silence(
        words in proptest::collection::vec("[a-z\u{e0}-\u{ff}0-9]{1,12}", 0..80),
        columns in 0u16..=200,
        rows in 0u16..=60,
        unicode in any::<bool>(),
    ) {
        // A letter without a form keeps all of it plain.
        let step = format!("\u{b2} {}", words.join(" "));
        let far = Far { text: &step, ..LONG };
        let look = Look { unicode, ..Look::default() };
        let shown = text(&shown(&far, &look, [columns, rows]));
        if columns >= 14 && rows >= 4 {
            let flat = shown.split_whitespace().collect::<Vec<_>>();
            let whole = words.iter().all(|word| flat.contains(&word.as_str()));
            prop_assert!(whole || shown.contains("more lines"), "{step}\n{shown}");
        }
    }

    #[test]
    fn any_room_will_do(text in "\\PC{0,120}", number in "[0-9.]{1,6}", what in "\\PC{0,20}", columns in 0u16..=200, rows in 0u16..=60, unicode in any::<bool>()) {
        let figures = [(number.as_str(), what.as_str())];
        let far = Far { text: &text, figures: &figures, fly: "3 / 12", time: "0:42" };
        prop_assert_eq!(shown(&far, &Look { unicode, ..Look::default() }, [columns, rows]).area.width, columns);
    }
}
