//! Screens as they come out for a line of keys: every sign, and the style of every cell. The bench is
//! `tests/cases/screens/`; the snapshots are read by a person before they are accepted.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use crate::book::Book;
use crate::support::cases;
use herl::bench;
use herl::tui::app::App;
use herl::tui::keys::{ACTIONS, Key};
use herl::tui::queue::{Command, Happened, Now, Whole};
use herl::tui::style::Theme;
use herl::tui::{Desk, Look};
use proptest::prelude::*;
use ratatui::buffer::{Buffer, Cell};
use ratatui::layout::Rect;
use std::fmt::Write as _;
use std::sync::{Arc, LazyLock};

pub(crate) fn desk() -> Desk {
    static DESK: LazyLock<Desk> = LazyLock::new(|| {
        let loaded = bench::load(&cases().join("screens"));
        Desk::of(loaded.bench, &loaded.findings, None)
    });
    DESK.clone()
}

/// The program after a line of keys; a word in quotes is typed letter by letter, and `+90s` is time that passes.
pub(crate) fn after(desk: Desk, look: Look, size: [u16; 2], keys: &str) -> App {
    played(desk, look, size, keys).0
}

/// The same, and the book it was played against.
pub(crate) fn played(desk: Desk, look: Look, [columns, rows]: [u16; 2], keys: &str) -> (App, Book) {
    let mut app = App::new(desk, look);
    let mut book = Book::default();
    book.take(&mut app, Happened::Resized(columns, rows));
    for word in keys.split_whitespace() {
        if let Some(seconds) = word.strip_prefix('+').and_then(|rest| rest.strip_suffix('s')?.parse::<u64>().ok()) {
            book.pass(seconds * 1000);
            book.take(&mut app, Happened::Due);
            continue;
        }
        let typed = word.strip_prefix('"').and_then(|rest| rest.strip_suffix('"'));
        let keys: Vec<Key> = match typed {
            Some(text) => text.chars().map(Key::Char).collect(),
            None => vec![Key::read(word).unwrap_or_else(|| panic!("{word} is no key"))],
        };
        for key in keys {
            assert!(!book.take(&mut app, Happened::Pressed(key)), "{word} does not leave");
        }
    }
    (app, book)
}

pub(crate) fn painted(app: &App, [columns, rows]: [u16; 2]) -> Buffer {
    let mut buf = Buffer::empty(Rect::new(0, 0, columns, rows));
    app.draw(&mut buf);
    buf
}

pub(crate) fn text(buf: &Buffer) -> String {
    let row = |y| {
        let mut text = String::new();
        let mut skip = 0;
        for x in 0..buf.area.width {
            let symbol = buf.cell((x, y)).map_or(" ", Cell::symbol);
            if skip == 0 {
                text.push_str(symbol);
                skip = unicode_width::UnicodeWidthStr::width(symbol).saturating_sub(1);
            } else {
                skip -= 1;
            }
        }
        text.trim_end().to_owned()
    };
    (0..buf.area.height).map(row).collect::<Vec<_>>().join("\n")
}

/// The styles as a second picture, one letter a style, and what each letter stands for.
pub(crate) fn styles(buf: &Buffer) -> String {
    let style = |cell: &Cell| format!("{:?} on {:?} {:?}", cell.fg, cell.bg, cell.modifier).replace("Modifier", "").replace("NONE", "");
    let mut known: Vec<String> = Vec::new();
    let mut picture = String::new();
    for y in 0..buf.area.height {
        let mut row = String::new();
        for x in 0..buf.area.width {
            let style = style(buf.cell((x, y)).unwrap());
            let nth = known.iter().position(|one| *one == style).unwrap_or_else(|| {
                known.push(style);
                known.len() - 1
            });
            row.push(char::from_u32(u32::from('a') + nth as u32).unwrap());
        }
        // The last run of a row goes to its end.
        let last = row.chars().last().unwrap();
        writeln!(picture, "{}{last}", row.trim_end_matches(last)).unwrap();
    }
    for (nth, style) in known.iter().enumerate() {
        writeln!(picture, "{} {}", char::from_u32(u32::from('a') + nth as u32).unwrap(), style.trim_end()).unwrap();
    }
    picture
}

/// A screen as it is compared: its text, then its styles.
pub(crate) fn picture(buf: &Buffer) -> String {
    format!("{}\n\n{}", text(buf), styles(buf))
}

/// Compares a screen, text and styles, with its snapshot of this name.
pub(crate) fn snapshot(name: &str, look: Look, size: [u16; 2], keys: &str) {
    let app = after(desk(), look, size, keys);
    let buf = painted(&app, size);
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_description(if keys.is_empty() { "as it opens".to_owned() } else { keys.to_owned() });
    settings.bind(|| insta::assert_snapshot!(name, picture(&buf)));
}

pub(crate) const SMALL: [u16; 2] = [80, 24];
pub(crate) const LARGE: [u16; 2] = [120, 40];

#[test]
fn dressings_as_they_open() {
    snapshot("dressings_small", Look::default(), SMALL, "");
    snapshot("dressings_large", Look::default(), LARGE, "");
}

#[test]
fn a_part_chosen_on_another_size_and_variant() {
    snapshot("part_small", Look::default(), SMALL, "Down \"sv\" Tab Down");
    snapshot("part_large", Look::default(), LARGE, "Down \"sv\" Tab Down Right");
}

#[test]
fn why_a_figure_is_what_it_is() {
    snapshot("why_small", Look::default(), SMALL, "Down Tab Down w");
    snapshot("why_large", Look::default(), LARGE, "Down Tab Down Right Right w Enter");
}

#[test]
fn a_list_narrowed_by_a_filter() {
    snapshot("filter_small", Look::default(), SMALL, "/ \"DUN\"");
}

#[test]
fn a_size_that_cannot_be_worked_and_a_file_that_cannot_be_read() {
    snapshot("fault_small", Look::default(), SMALL, "Down Down s");
    snapshot("broken_small", Look::default(), SMALL, "End");
}

#[test]
fn orders_planned() {
    snapshot("orders_small", Look::default(), SMALL, "o");
    snapshot("orders_large", Look::default(), LARGE, "o Tab Right Right");
    snapshot("order_why_large", Look::default(), LARGE, "o Tab Tab Down w Enter Down Enter");
    snapshot("order_fault_small", Look::default(), SMALL, "o Down");
}

fn demo_desk() -> Desk {
    let loaded = bench::load(&std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo"));
    Desk::of(loaded.bench, &loaded.findings, None)
}

#[test]
fn the_sections_of_a_plan() {
    let shown = |name: &str, size: [u16; 2], keys: &str| {
        let mut settings = insta::Settings::clone_current();
        settings.set_snapshot_path("../snapshots");
        settings.set_prepend_module_to_snapshot(false);
        settings.set_description(keys);
        settings.bind(|| insta::assert_snapshot!(name, text(&painted(&after(demo_desk(), Look::default(), size, keys), size))));
    };
    let order = "o / \"upper\" Enter Tab";
    shown("plan_flies_small", SMALL, order);
    shown("plan_buy_small", SMALL, &format!("{order} Tab Tab"));
    shown("plan_buy_large", LARGE, &format!("{order} Tab Tab End"));
    shown("plan_time_small", SMALL, &format!("{order} Tab Tab Tab"));
    shown("plan_time_large", LARGE, &format!("{order} Tab Tab Tab Down Right"));
    shown("plan_price_small", SMALL, &format!("{order} Tab Tab Tab Tab"));
    shown("plan_price_large", LARGE, &format!("{order} Tab Tab Tab Tab End"));
    shown("plan_tried_out_large", LARGE, &format!("{order} + Down + h h j s"));
}

#[test]
fn what_is_tried_out_moves_every_figure_and_goes_again() {
    let order = "o / \"upper\" Enter Tab";
    let shown = |keys: &str| text(&painted(&after(demo_desk(), Look::default(), LARGE, &format!("{order} {keys}")), LARGE));
    let as_ordered = shown("");
    for key in ["+", "h", "H", "j", "s"] {
        let tried = shown(key);
        assert!(tried.contains("tried out: ") && tried != as_ordered, "{key}\n{tried}");
        assert_eq!(shown(&format!("{key} x")), as_ordered, "{key}");
    }
    // A half dozen more and fewer by the dozen ends where it was, and fewer than a dozen are not taken away.
    assert_eq!(shown("+ -"), as_ordered);
    assert_eq!(shown("-"), as_ordered);
    // Rejects cannot be fewer than none.
    assert!(shown("J J J J J J J J").contains("rejects 0 %"));
}

#[test]
fn help_on_both_sizes() {
    snapshot("help_small", Look::default(), SMALL, "?");
    snapshot("help_large", Look::default(), LARGE, "Down Tab ?");
}

#[test]
fn without_colours_and_without_unicode() {
    let plain = Look { colour: false, unicode: false, ..Look::default() };
    snapshot("plain_small", plain.clone(), SMALL, "Down Tab Down");
    snapshot("plain_orders_small", plain, SMALL, "o Tab");
}

#[test]
fn a_bright_bench_with_256_colours_and_a_left_handed_vice() {
    let theme = herl::bench::theme::built_in().into_iter().find(|theme: &Theme| theme.name == "bright bench").unwrap();
    snapshot("bright_small", Look { theme, true_colour: false, mirrored: true, ..Look::default() }, SMALL, "Down Tab Down");
}

#[test]
fn nothing_is_coloured_without_colours() {
    for keys in ["", "Down Tab", "Tab w", "o Tab", "?", "End"] {
        let app = after(desk(), Look { colour: false, ..Look::default() }, SMALL, keys);
        let buf = painted(&app, SMALL);
        assert!(buf.content.iter().all(|cell| cell.fg == ratatui::style::Color::Reset && cell.bg == ratatui::style::Color::Reset), "{keys}");
    }
}

#[test]
fn everything_moves_with_the_size_and_comes_back() {
    let keys = ["Down Tab", "Down Tab s", "Down Tab s s", "Down Tab s S", "Down Tab - +"];
    let [first, second, third, back, and_back] = keys.map(|keys| text(&painted(&after(desk(), Look::default(), SMALL, keys), SMALL)));
    assert!(first != second && second != third && first != third);
    assert_eq!(first, back);
    assert_eq!(first, and_back);
    for (screen, length) in [(&first, "10.0 ±0.5"), (&second, "8.4 ±0.5"), (&third, "7.0 ±0.5")] {
        assert!(screen.contains(length), "a tail of one shank at this size: {length}\n{screen}");
    }
}

#[test]
fn leaving_works_from_every_screen() {
    for keys in ["", "Tab", "Tab w", "o", "o Tab", "o Tab w Enter", "?", "o ?", "End", "a", "d"] {
        let mut app = after(desk(), Look::default(), SMALL, keys);
        assert_eq!(app.update(Happened::Pressed(Key::Char('q')), Now::default()), [Command::Leave], "{keys}");
        let mut app = after(desk(), Look::default(), SMALL, keys);
        assert_eq!(app.update(Happened::HungUp, Now::default()), [Command::Leave], "{keys}");
    }
    let mut typing = after(desk(), Look::default(), SMALL, "/");
    assert_eq!(typing.update(Happened::Pressed(Key::Char('q')), Now::default()), [], "a q can be looked for");
    assert_eq!(typing.update(Happened::Pressed(Key::Control('c')), Now::default()), [Command::Leave]);
}

#[test]
fn the_help_lists_every_action() {
    let rows: Vec<String> = after(desk(), Look::default(), SMALL, "").help().iter().map(|line| format!("{}\t{}", line.term, line.text)).collect();
    for action in ACTIONS {
        let keys = action.keys.iter().map(Key::to_string).collect::<Vec<_>>().join(" ");
        assert_eq!(rows.iter().filter(|row| **row == format!("{keys}\t{}", action.help)).count(), 1, "{keys}: {}", action.help);
    }
}

#[test]
fn a_file_cannot_command_the_terminal() {
    let mut desk = desk();
    let evil = "\u{1b}[2J\u{1b}]0;x\u{7}\u{202e}Dun";
    desk.title = evil.to_owned();
    desk.notice = Some(evil.to_owned());
    for broken in &mut desk.broken {
        broken.name = evil.to_owned();
        broken.report = evil.to_owned();
    }
    for dressing in desk.dressings.values_mut() {
        dressing.name.value = evil.to_owned();
        dressing.kind.value = evil.to_owned();
    }
    for order in desk.orders.values_mut() {
        order.name.value = evil.to_owned();
    }
    for keys in ["", "Tab", "Tab w", "End", "o", "o Tab", "o Tab w", "?"] {
        let buf = painted(&after(desk.clone(), Look::default(), LARGE, keys), LARGE);
        let bad = |c: char| c.is_control() || ('\u{202a}'..='\u{202e}').contains(&c);
        assert!(buf.content.iter().all(|cell| !cell.symbol().contains(bad)), "{keys}");
    }
}

pub(crate) fn any_key() -> impl Strategy<Value = Key> {
    let named: Vec<Key> = ACTIONS.iter().flat_map(|action| action.keys).copied().filter(|key| *key != Key::Char('q') && *key != Key::Control('c')).collect();
    prop_oneof![9 => proptest::sample::select(named), 1 => any::<char>().prop_map(Key::Char)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn no_keys_at_any_size_make_it_fall(
        keys in proptest::collection::vec(any_key(), 0..40),
        sizes in proptest::collection::vec((0u16..=200, 0u16..=60), 1..4),
        unicode in any::<bool>(),
        colour in any::<bool>(),
    ) {
        let mut app = App::new(desk(), Look { unicode, colour, ..Look::default() });
        let mut book = Book::default();
        for (nth, key) in keys.iter().enumerate() {
            book.take(&mut app, Happened::Pressed(*key));
            let (columns, rows) = sizes[nth % sizes.len()];
            book.take(&mut app, Happened::Resized(columns, rows));
            let buf = painted(&app, [columns, rows]);
            prop_assert_eq!(buf.area.width, columns);
        }
    }
}

#[test]
fn an_empty_bench_says_how_to_begin() {
    let mut desk = desk();
    desk.dressings.clear();
    desk.orders.clear();
    desk.broken.clear();
    assert!(text(&painted(&after(desk.clone(), Look::default(), SMALL, ""), SMALL)).contains("No dressing yet."));
    assert!(text(&painted(&after(desk.clone(), Look::default(), SMALL, "o"), SMALL)).contains("No order yet."));
    painted(&after(desk, Look::default(), [1, 1], "Tab w o Tab w / a ?"), [1, 1]);
}

#[test]
fn what_was_chosen_stays_chosen_when_the_rest_has_been_read() {
    let (first, unread) = bench::load_some(&cases().join("screens"), 2);
    assert!(unread > 0);
    let part = Desk::of(first.bench, &first.findings, None).unread(unread);
    let mut app = after(part, Look::default(), LARGE, "down");
    let before = text(&painted(&app, LARGE));
    assert!(before.contains(&format!("reading {unread} more dressings")), "{before}");
    let chosen = |screen: &str| screen.lines().nth(1).unwrap().split('│').nth(1).unwrap().to_owned();
    app.update(Happened::Read(Whole(Arc::new(desk()))), Now::default());
    let whole = text(&painted(&app, LARGE));
    assert_eq!(chosen(&before), chosen(&whole), "the same dressing is looked at");
    assert!(!whole.contains("more dressings"), "{whole}");
    for dressing in desk().dressings.values() {
        assert!(whole.contains(dressing.name.value.as_str()), "{} is in the list\n{whole}", dressing.name.value);
    }
    app.update(Happened::Pressed(Key::Char('o')), Now::default());
    assert!(text(&painted(&app, LARGE)).contains("Lodge trial box"), "orders are there now");
}
