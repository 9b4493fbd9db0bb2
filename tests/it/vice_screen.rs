//! The vice on the screen: a walk at every depth as it comes out for a line of keys, what is booked for them, and what
//! happens when nothing can be booked.

use crate::book::Book;
use crate::screens::{LARGE, SMALL, after, any_key, desk, painted, played, snapshot, text};
use herl::bench;
use herl::tui::app::App;
use herl::tui::keys::Key;
use herl::tui::queue::{Command, Happened, Now};
use herl::tui::{Desk, Look};
use herl::vice::{Depth, Did, Part};
use proptest::prelude::*;
use std::sync::LazyLock;

/// The fly of the screens' bench, begun: its second dressing, three flies, the second step after 42 seconds.
const TYING: &str = "Down t \"3\" Enter n Space +42s";

#[test]
fn the_question_before_a_run() {
    snapshot("vice_how_many_small", Look::default(), SMALL, "t \"36\"");
}

#[test]
fn a_step_with_its_figures_and_the_fly_as_far_as_that() {
    snapshot("vice_step_small", Look::default(), SMALL, TYING);
    snapshot("vice_step_large", Look::default(), LARGE, TYING);
    snapshot("vice_first_small", Look::default(), SMALL, "t Enter");
    snapshot("vice_laid_out_small", Look::default(), SMALL, "t Enter Space Up Up Space");
    snapshot("vice_laid_out_large", Look::default(), LARGE, "t Enter Space Up Up Space");
}

#[test]
fn a_stage() {
    snapshot("vice_stage_small", Look::default(), SMALL, &format!("{TYING} Tab"));
    snapshot("vice_stage_large", Look::default(), LARGE, &format!("{TYING} Tab"));
}

#[test]
fn a_whole_fly_in_figures() {
    snapshot("vice_fly_small", Look::default(), SMALL, "Down Down t \"3\" Enter n Tab Tab Space +80s");
    snapshot("vice_fly_large", Look::default(), LARGE, "Down Down t \"3\" Enter n Tab Tab Space +80s");
}

const HUGE: [u16; 2] = [200, 60];

#[test]
fn a_large_window_shows_more_and_never_otherwise() {
    snapshot("vice_step_huge", Look::default(), HUGE, TYING);
    snapshot("vice_fly_huge", Look::default(), HUGE, &format!("{TYING} Tab Tab"));
    snapshot("vice_left_bare_huge", Look { mirrored: true, colour: false, ..Look::default() }, HUGE, TYING);
}

#[test]
fn the_step_alone_as_large_as_the_window() {
    snapshot("vice_far_small", Look::default(), SMALL, &format!("{TYING} f"));
    snapshot("vice_far_huge", Look::default(), HUGE, &format!("{TYING} f"));
    snapshot("vice_far_plain_small", Look { colour: false, unicode: false, ..Look::default() }, SMALL, &format!("{TYING} f"));
    let back = text(&painted(&after(desk(), Look::default(), SMALL, &format!("{TYING} f f")), SMALL));
    assert_eq!(back, text(&painted(&after(desk(), Look::default(), SMALL, TYING), SMALL)), "and back");
}

#[test]
fn by_stages_the_tray_is_counted() {
    let tray = "Down t Tab \"6\" Enter n Tab";
    snapshot("vice_tray_small", Look::default(), SMALL, &format!("{tray} Space +50s Space +70s"));
    snapshot("vice_tray_counted_small", Look::default(), SMALL, &format!("{tray} Space Space Space Space Space Space Down"));
    let counted = format!("{tray} Space Space Space Space Space Space Down Space");
    let (_, book) = played(desk(), Look::default(), SMALL, &counted);
    assert_eq!(dids(&book, 0).last(), Some(&Did::TrayCounted { missing: 1 }));
}

#[test]
fn what_has_dried_is_told_on_whatever_screen_and_rings_once() {
    let demo = bench::load(&std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo"));
    let demo = Desk::of(demo.bench, &demo.findings, None);
    let (mut app, mut book) = played(demo, Look::default(), SMALL, "t \"1\" Enter n Tab Tab Space");
    let shown = text(&painted(&app, SMALL));
    assert!(shown.contains("finishing") && shown.contains("dries 8:00:00") && shown.contains("safety sheet"), "{shown}");
    book.take(&mut app, Happened::Pressed(Key::Char(' ')));
    book.take(&mut app, Happened::Pressed(Key::Char('d')));
    let hours = book.state(0).clocks()[0].until - book.state(0).clocks()[0].from;
    assert_eq!(app.due(), Some(hours as u64), "nothing else is due");
    book.pass(hours as u64 - 1);
    assert_eq!(app.update(Happened::Due, book.now()), [], "not yet");
    book.pass(1);
    assert_eq!(app.update(Happened::Due, book.now()), [Command::Ring]);
    assert!(text(&painted(&app, SMALL)).contains("varnish of Ashgarth Dun 12 is dry"), "{}", text(&painted(&app, SMALL)));
    book.pass(1000);
    assert_eq!((app.update(Happened::Due, book.now()), app.due()), (vec![], None), "once");
}

#[test]
fn a_sitting_asks_only_on_the_way_out_and_what_is_not_answered_holds() {
    let keys = "Down t Enter n Space m Space Space Space";
    let shown = text(&painted(&after(desk(), Look::default(), SMALL, keys), SMALL));
    assert!(shown.contains("1 question waits") && shown.contains("step"), "nothing is asked over the fly\n{shown}");
    let (app, book) = played(desk(), Look::default(), SMALL, &format!("{keys} e"));
    assert!(text(&painted(&app, SMALL)).contains("what went wrong?"));
    assert_ne!(dids(&book, 0).last(), Some(&Did::Closed));
    let (_, book) = played(desk(), Look::default(), SMALL, &format!("{keys} e e"));
    assert_eq!(dids(&book, 0).last(), Some(&Did::Closed), "and it ends without an answer");
    let (_, book) = played(desk(), Look::default(), SMALL, &format!("{keys} e 2 e"));
    let answered = dids(&book, 0).iter().filter(|did| matches!(did, Did::Answered { answer, .. } if answer.as_str() == "step missed")).count();
    assert_eq!(answered, 1);
}

#[test]
fn a_pause_and_the_end() {
    snapshot("vice_paused_small", Look::default(), SMALL, &format!("{TYING} p +600s"));
    snapshot("vice_done_small", Look::default(), SMALL, "t \"1\" Enter n Tab Tab +301s Space n Enter Enter");
}

#[test]
fn runs_to_go_on_with() {
    let keys = "t Enter n Tab Tab +330s Space +90s e d Down s t \"24\" Enter n Space +7200s e";
    snapshot("vice_runs_small", Look::default(), SMALL, keys);
    snapshot("vice_runs_large", Look::default(), LARGE, keys);
    snapshot("vice_no_runs_small", Look::default(), SMALL, "r");
}

#[test]
fn without_colours_in_ascii_and_left_handed() {
    let plain = Look { colour: false, unicode: false, mirrored: true, ..Look::default() };
    snapshot("vice_plain_small", plain.clone(), SMALL, TYING);
    snapshot("vice_plain_paused_small", plain, SMALL, &format!("{TYING} Tab p"));
    snapshot("vice_bare_large", Look { colour: false, ..Look::default() }, LARGE, TYING);
}

fn dids(book: &Book, run: usize) -> Vec<Did> {
    book.runs[run].1.iter().map(|event| event.did.clone()).collect()
}

const OPENED: Did = Did::Opened { depth: None };
/// The laying out passed over.
const LAID_OUT: Did = Did::Turned { to: Part::Tying };

#[test]
fn each_press_is_an_event_with_its_time() {
    let (_, book) = played(desk(), Look::default(), SMALL, "t \"2\" Enter n +5s Space +7s PageDown +1s Backspace +2s Tab p +600s Space +3s Enter e");
    let run = &book.runs[0].0;
    assert_eq!((run.begun.flies, run.dressing.as_str(), run.size.as_str(), run.variant.is_none()), (2, "Culvert Nymph", "12", true));
    let stage = Did::Depth { to: Depth::Stage };
    assert_eq!(dids(&book, 0), [OPENED, LAID_OUT, Did::On, Did::On, Did::Back, stage, Did::Paused, Did::WentOn, Did::On, Did::Closed]);
    assert_eq!(book.runs[0].1.iter().map(|event| event.ran_ms / 1000).collect::<Vec<_>>(), [0, 0, 5, 12, 13, 15, 15, 615, 618, 618]);
    assert_eq!(book.state(0).run_ms(), 18_000, "a pause does not count");
}

#[test]
fn the_other_screens_leave_the_fly_in_the_vice() {
    let (app, book) = played(desk(), Look::default(), SMALL, "t Enter n Space Esc Down s o Tab r Space");
    assert_eq!(dids(&book, 0), [OPENED, LAID_OUT, Did::On, Did::On], "looking about books nothing");
    assert!(text(&painted(&app, SMALL)).contains("step 3 of"), "and the place is the same");
    let (app, _) = played(desk(), Look::default(), SMALL, "t Enter n Space o");
    let elsewhere = text(&painted(&app, SMALL));
    assert!(elsewhere.contains("vice: fly 1") && elsewhere.contains("‹orders›"), "{elsewhere}");
}

#[test]
fn another_run_makes_room_of_the_one_in_the_vice() {
    let (app, book) = played(desk(), Look::default(), SMALL, "t Enter n Space d Down t \"5\" Enter n");
    assert_eq!(dids(&book, 0), [OPENED, LAID_OUT, Did::On, Did::Closed]);
    assert_eq!((dids(&book, 1), book.runs[1].0.begun.flies), (vec![OPENED, LAID_OUT], 5));
    assert!(text(&painted(&app, SMALL)).contains("fly 1 of 5"));
    let (app, book) = played(desk(), Look::default(), SMALL, "t Enter n Space Space d Down t \"5\" Enter n e Enter");
    assert_eq!(dids(&book, 0).last(), Some(&OPENED), "the first of the list is gone on with");
    assert!(text(&painted(&app, SMALL)).contains("step 3 of"), "where it was left");
}

#[test]
fn leaving_closes_the_sitting_and_asks_nothing() {
    for keys in ["t Enter n", "t Enter n Space p", "t Enter n Tab d", "t Enter n ?", "t Enter n w", "t Enter n d t"] {
        let (mut app, mut book) = played(desk(), Look::default(), SMALL, keys);
        assert!(book.take(&mut app, Happened::Pressed(Key::Char('q'))), "{keys}");
        assert_eq!(dids(&book, 0).last(), Some(&Did::Closed), "{keys}");
        let (mut app, mut book) = played(desk(), Look::default(), SMALL, keys);
        assert!(book.take(&mut app, Happened::HungUp));
        assert_eq!(dids(&book, 0).last(), Some(&Did::Closed), "{keys}");
    }
    let (mut app, mut book) = played(desk(), Look::default(), SMALL, "t Enter n e");
    assert!(book.take(&mut app, Happened::Pressed(Key::Char('q'))));
    assert_eq!(dids(&book, 0), [OPENED, LAID_OUT, Did::Closed], "a sitting is closed once");
}

#[test]
fn what_is_not_booked_is_not_shown_as_done() {
    let (mut app, mut book) = played(desk(), Look::default(), SMALL, "t Enter n Space +5s");
    let before = text(&painted(&app, SMALL));
    book.full = Some("ledger.db: the disk is full, so nothing was booked");
    for key in [Key::Char(' '), Key::Backspace, Key::Tab, Key::Char('p')] {
        assert!(!book.take(&mut app, Happened::Pressed(key)));
        let shown = text(&painted(&app, SMALL));
        assert!(shown.contains("the disk is full"), "{key}: {shown}");
        assert!(shown.contains("step 2 of") && shown.contains("‹step›") && !shown.contains("PAUSED"), "{key} is not counted\n{shown}");
    }
    assert_eq!(dids(&book, 0), [OPENED, LAID_OUT, Did::On]);
    book.full = None;
    book.take(&mut app, Happened::Pressed(Key::Char('x')));
    assert_eq!(text(&painted(&app, SMALL)), before, "all is as it was before");
    book.take(&mut app, Happened::Pressed(Key::Char(' ')));
    assert_eq!(dids(&book, 0), [OPENED, LAID_OUT, Did::On, Did::On]);
}

#[test]
fn a_run_that_could_not_be_begun_or_opened_can_be_tried_again() {
    let (mut app, mut book) = played(desk(), Look::default(), SMALL, "t \"7\"");
    book.full = Some("no room");
    book.take(&mut app, Happened::Pressed(Key::Enter));
    let shown = text(&painted(&app, SMALL));
    assert!(book.runs.is_empty() && shown.contains("no room") && shown.contains("flies 7"), "the number typed stands\n{shown}");
    book.full = None;
    book.take(&mut app, Happened::Pressed(Key::Enter));
    assert_eq!(dids(&book, 0), [OPENED]);
    // Taken up again, but its sitting cannot be opened.
    for key in [Key::Char('e'), Key::Char('r')] {
        book.take(&mut app, Happened::Pressed(key));
    }
    book.full = Some("no room");
    book.take(&mut app, Happened::Pressed(Key::Enter));
    assert!(text(&painted(&app, SMALL)).contains("no room"));
    book.full = None;
    book.take(&mut app, Happened::Pressed(Key::Char(' ')));
    assert_eq!(dids(&book, 0), [OPENED, Did::Closed, OPENED]);
}

#[test]
fn a_sitting_that_was_cut_off_is_opened_anew_before_anything_else() {
    for cut_off in ["t Enter n Space +9s Space", "t Enter n Space +9s Space p"] {
        let (_, mut book) = played(desk(), Look::default(), SMALL, cut_off);
        let before = dids(&book, 0);
        let mut app = App::new(desk(), Look::default());
        book.pass(3_600_000);
        book.take(&mut app, Happened::Pressed(Key::Char('r')));
        book.full = Some("no room");
        for key in [Key::Enter, Key::Backspace, Key::Tab, Key::Char('p'), Key::Char(' '), Key::Char('e'), Key::Enter] {
            book.take(&mut app, Happened::Pressed(key));
            assert_eq!((dids(&book, 0), app.due()), (before.clone(), None), "{key}: no time runs, nothing is booked");
        }
        let shown = text(&painted(&app, SMALL));
        assert!(shown.contains("No sitting is open") && shown.contains("step 3 of") && shown.contains("this fly 0:09"), "{shown}");
        book.full = None;
        for key in [Key::Char(' '), Key::Char(' ')] {
            book.take(&mut app, Happened::Pressed(key));
        }
        assert_eq!(dids(&book, 0)[before.len()..], [OPENED, Did::On], "the first press opens, the second goes on");
    }
}

#[test]
fn a_run_the_ledger_knows_otherwise_is_put_down() {
    let (mut app, mut book) = played(desk(), Look::default(), SMALL, "t Enter n Space");
    book.take(&mut app, Happened::Failed { what: "event 3 was booked by another program".to_owned(), stale: true });
    let shown = text(&painted(&app, SMALL));
    assert!(shown.contains("Runs to go on with") && shown.contains("fly 1 of 12") && shown.contains("another program"), "{shown}");
}

#[test]
fn time_moves_on_only_while_it_is_seen_and_runs() {
    let due = |keys: &str| after(desk(), Look::default(), SMALL, keys).due();
    assert_eq!(due("t Enter n"), Some(1000));
    for still in ["", "t", "t Enter n p", "t Enter n Esc", "t Enter n o", "t Enter n ?", "t Enter n e", "r", "t \"1\" Enter n Tab Tab Space n Enter Enter"] {
        assert_eq!(due(still), None, "{still}");
    }
    let (mut app, mut book) = played(desk(), Look::default(), SMALL, "t Enter n");
    book.pass(2300);
    book.take(&mut app, Happened::Due);
    assert_eq!(app.due(), Some(700), "to the next whole second");
}

#[test]
fn one_or_more_flies_are_right() {
    let flies = |keys: &str| played(desk(), Look::default(), SMALL, keys).1.runs.first().map(|(run, _)| run.begun.flies);
    assert_eq!(flies("t Enter"), Some(12));
    assert_eq!(flies("t \"0\" Enter"), None);
    assert_eq!(flies("t Backspace Backspace Enter"), None);
    assert_eq!(flies("t \"999999999\" Enter"), Some(9999));
    assert_eq!(flies("t Up PageUp Down Down Enter"), Some(23));
    assert_eq!(flies("t Down Down Down Down Down Down Down Down Down Down Down Down Down Enter"), Some(1));
    assert_eq!(flies("t Esc Enter"), None);
}

#[test]
fn the_drawing_goes_with_the_steps_and_stands_still() {
    // The rule in mm beneath it says where it stands.
    let screens: Vec<String> = ["", " Space", " Space Space", " Space Space Space", " Space Space Space p", " Tab", " Tab Tab Tab"]
        .iter()
        .map(|keys| text(&painted(&after(desk(), Look::default(), LARGE, &format!("t Enter n{keys}")), LARGE)))
        .collect();
    let rule = |screen: &String| screen.lines().find(|line| line.contains('┴')).and_then(|line| line.split('│').nth(1).map(str::to_owned)).unwrap();
    let fly = |screen: &String| screen.lines().filter_map(|line| line.split('│').nth(1)).collect::<String>();
    assert!(screens.iter().all(|screen| rule(screen) == rule(&screens[0])), "the frame is that of the whole fly");
    assert!(fly(&screens[0]) != fly(&screens[1]) && fly(&screens[1]) != fly(&screens[2]), "each step is seen");
    assert_eq!(fly(&screens[3]), fly(&screens[4]), "a pause moves nothing");
}

#[test]
fn a_dressing_that_was_changed_keeps_its_steps_and_is_not_drawn_wrong() {
    static OTHER: LazyLock<Desk> = LazyLock::new(|| {
        let bench = crate::support::cases().join("screens");
        let folder = tempfile::tempdir().unwrap();
        crate::support::lay(&bench, folder.path());
        let path = folder.path().join("dressings/sallow-dun.yaml");
        let changed = std::fs::read_to_string(&path).unwrap().replace("revision: 2\n", "revision: 3\n");
        std::fs::write(&path, changed).unwrap();
        let loaded = bench::load(folder.path());
        Desk::of(loaded.bench, &loaded.findings, None)
    });
    let (_, mut book) = played(desk(), Look::default(), SMALL, "Down t Enter n Space e");
    let mut app = App::new(OTHER.clone(), Look::default());
    for key in [Key::Char('r'), Key::Enter] {
        book.take(&mut app, Happened::Pressed(key));
    }
    let shown = text(&painted(&app, SMALL));
    assert!(shown.contains("moved on to revision 3") && shown.contains("step 2 of"), "{shown}");
    book.take(&mut app, Happened::Pressed(Key::Char('i')));
    assert!(text(&painted(&app, SMALL)).contains("revision: 2 -> 3"), "what differs is told");
    book.take(&mut app, Happened::Pressed(Key::Escape));
    for key in [Key::Tab, Key::Tab, Key::Char('w'), Key::Char(' ')] {
        book.take(&mut app, Happened::Pressed(key));
        painted(&app, SMALL);
    }
    let mut gone = desk();
    gone.dressings.clear();
    let mut app = App::new(gone, Look::default());
    for key in [Key::Char('r'), Key::Enter] {
        book.take(&mut app, Happened::Pressed(key));
    }
    assert!(text(&painted(&app, SMALL)).contains("not on the bench any more"));
}

#[test]
fn why_at_the_vice_is_about_what_is_in_hand() {
    let app = after(desk(), Look::default(), LARGE, "t Enter n Space w");
    let shown = text(&painted(&app, LARGE));
    assert!(shown.contains("Why") && shown.contains(".length"), "{shown}");
}

#[test]
fn what_is_sharp_or_has_vapours_is_told_once_at_the_start() {
    let caution = |keys: &str| text(&painted(&after(desk(), Look::default(), LARGE, keys), LARGE)).contains("Points are sharp");
    assert!(caution("t Enter"));
    assert!(!caution("t Enter Space"));
    assert!(!caution("t Enter n"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn no_keys_at_any_size_make_the_vice_fall(
        keys in proptest::collection::vec((any_vice_key(), 0u64..100_000), 0..40),
        sizes in proptest::collection::vec((0u16..=200, 0u16..=60), 1..4),
        unicode in any::<bool>(),
        colour in any::<bool>(),
        mirrored in any::<bool>(),
        flies in 1u32..4,
    ) {
        let mut app = App::new(desk(), Look { unicode, colour, mirrored, ..Look::default() });
        let mut book = Book::default();
        for key in ["t", &flies.to_string(), "Enter"] {
            book.take(&mut app, Happened::Pressed(Key::read(key).unwrap()));
        }
        for (nth, (key, ms)) in keys.iter().enumerate() {
            book.pass(*ms);
            book.full = (ms % 7 == 0).then_some("the disk is full");
            book.take(&mut app, Happened::Pressed(*key));
            let (columns, rows) = sizes[nth % sizes.len()];
            book.take(&mut app, Happened::Resized(columns, rows));
            prop_assert_eq!(painted(&app, [columns, rows]).area.width, columns);
            prop_assert!(app.due().is_none_or(|ms| (1..=1000).contains(&ms)));
        }
        for nth in 0..book.runs.len() {
            let run = book.state(nth);
            prop_assert!(run.counts().agree() && run.view(0).steps.end <= run.outline().count());
        }
    }
}

/// Keys of the vice oftener than all others.
fn any_vice_key() -> impl Strategy<Value = Key> {
    let own = [
        "Space",
        "Backspace",
        "Tab",
        "p",
        "e",
        "r",
        "Enter",
        "Esc",
        "t",
        "w",
        "?",
        "Down",
        "Up",
        "Left",
        "Right",
        "d",
        "n",
        "m",
        "a",
        "g",
        "u",
        "f",
        "c",
        "l",
        "i",
        "+",
        "1",
        "5",
        ".",
    ];
    prop_oneof![4 => proptest::sample::select(own.map(|name| Key::read(name).unwrap()).to_vec()), 1 => any_key()]
}

#[test]
fn a_clock_set_back_harms_nothing() {
    let mut app = App::new(desk(), Look::default());
    let mut book = Book::default();
    for key in [Key::Char('t'), Key::Enter] {
        book.take(&mut app, Happened::Pressed(key));
    }
    app.update(Happened::Due, Now { utc_ms: i64::MIN, ..Now::default() });
    painted(&app, SMALL);
    app.update(Happened::Due, Now { utc_ms: i64::MAX, steady_ms: u64::MAX, ..Now::default() });
    painted(&app, SMALL);
}
