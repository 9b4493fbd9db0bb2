//! The forms of a run, driven by themselves: what is booked for what is pressed, and how they look. The run is made by
//! hand and its materials are invented.

use crate::screens::{LARGE, SMALL, styles, text};
use herl::measure::Words;
use herl::tui::Look;
use herl::tui::ink::Glyphs;
use herl::tui::keys::Deed;
use herl::tui::queue::Now;
use herl::tui::screens::vice::booking::Booking;
use herl::tui::screens::vice::change::Change;
use herl::tui::screens::vice::looking_over::LookingOver;
use herl::tui::screens::vice::measuring::{Measuring, draw_agreeing};
use herl::tui::screens::vice::put_aside::PutAside;
use herl::tui::screens::vice::questions::Questions;
use herl::tui::style::{Styles, settle};
use herl::tui::widgets::Paint;
use herl::vice::{Bad, Begun, Depth, Did, Fate, Habits, How, Item, Kind, Length, Material, Of, Outline, Part, Run, Step, WORK};
use proptest::prelude::*;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use rust_decimal::Decimal;

const OPENED: Did = Did::Opened { depth: None };
/// 2026-01-01 12:00 UTC.
const NOON: i64 = 1_767_268_800_000;

fn begun(flies: u32) -> Begun {
    let texts =
        ["Bed of silk to the barb.", "Tie in 6 fibres, 8.9 mm long, then the wire.", "Body, then 5 turns of wire.", "Hackle, 7 turns.", "Five turns, whip."];
    let step = |(nth, text): (usize, &&str)| Step { card: nth, stage: nth / 2, text: Words::new(text), seconds: Some(40.0), key: None };
    let length = |what: &str, mm: f64| Length { key: format!("{what}.length"), what: Words::new(what), mm, within: (mm - 0.5, mm + 0.5) };
    let material = |name: &str, unit: &str, a_fly: &str, grams: Option<&str>| Material {
        name: Words::new(name),
        unit: Words::new(unit),
        a_fly: number(a_fly),
        hook: false,
        comes_back: false,
        grams: grams.map(number),
    };
    Begun {
        layout: vec![Item { of: Of::Hooks, text: Words::new("Count out the hooks."), seconds: Some(60.0), key: None }],
        lengths: vec![length("tail", 8.9), length("wing", 11.2), length("hackle fibre", 7.9), length("head", 1.4)],
        materials: vec![
            Material { hook: true, comes_back: true, ..material("dry hook 14", "", "1", None) },
            material("primrose silk, fine", "m", "0.4183", Some("0.0056")),
            material("gold wire, fine", "m", "0.0521", None),
            material("blue dun cock, size 14", "feathers", "1.05", None),
            material("olive dubbing", "g", "0.0213", None),
            material("clear varnish", "drops", "1.1", None),
        ],
        habits: Some(Habits::default()),
        whole: true,
        ..Begun::of_steps(Outline::new(texts.iter().enumerate().map(step).collect(), None).unwrap(), flies)
    }
}

fn number(text: &str) -> Decimal {
    text.parse().unwrap()
}

/// Takes what is done, each so many ms after the last.
fn go(run: &mut Run, all: impl IntoIterator<Item = (Did, u64)>) {
    for (did, after) in all {
        let ran = run.events().last().map_or(0, |event| event.ran_ms) + after;
        run.take(run.event(did, NOON + ran as i64, ran)).unwrap();
    }
}

/// So many flies tied; three hooks were bad.
fn tied(flies: u32) -> Run {
    let mut run = Run::new(begun(flies));
    go(&mut run, [(OPENED, 0), (Did::Ticked { bad: 3 }, 60_000), (Did::Depth { to: Depth::Fly }, 0)]);
    while run.part() == Part::Tying {
        go(&mut run, [(Did::On, 40_000)]);
    }
    assert_eq!((run.part(), run.counts().tied), (Part::LookingOver, flies));
    run
}

fn looked_over(run: &mut Run, bad: &[(&str, Fate, u32)], left: u32) {
    let bad = bad.iter().map(|(why, fate, flies)| Bad { why: Words::new(why), fate: *fate, flies: *flies }).collect();
    go(run, [(Did::LookedOver { bad, left }, 60_000)]);
}

/// A form of a run, for all of them alike.
enum Form {
    LookingOver(LookingOver),
    Booking(Booking),
    Measuring(Measuring),
    Questions(Questions),
    PutAside(PutAside),
    Change(Change),
}

impl Form {
    fn all(run: &Run) -> Vec<Form> {
        vec![
            Form::LookingOver(LookingOver::new(run)),
            Form::Booking(Booking::new(run)),
            Form::Measuring(Measuring::new(run)),
            Form::Questions(Questions::new(run)),
            Form::PutAside(PutAside::new(run)),
            Form::Change(Change::new(run)),
        ]
    }

    fn go(&mut self, deed: Deed, run: &Run) -> Option<Did> {
        match self {
            Form::LookingOver(form) => form.go(deed, run),
            Form::Booking(form) => form.go(deed, run),
            Form::Measuring(form) => form.go(deed, run),
            Form::Questions(form) => form.go(deed, run),
            Form::PutAside(form) => form.go(deed, run),
            Form::Change(form) => form.go(deed, run),
        }
    }

    fn type_in(&mut self, text: &str, run: &Run) -> Option<Did> {
        match self {
            Form::LookingOver(form) => form.type_in(text, run),
            Form::Booking(form) => form.type_in(text, run),
            Form::Measuring(form) => form.type_in(text),
            Form::Questions(form) => return form.type_in(text, run),
            Form::PutAside(form) => form.type_in(text),
            Form::Change(form) => form.type_in(text),
        }
        None
    }

    fn booked(&mut self, did: &Did, run: &Run) {
        match self {
            Form::LookingOver(form) => form.booked(did, run),
            Form::Booking(form) => form.booked(did, run),
            Form::Measuring(form) => form.booked(did, run),
            Form::Questions(form) => form.booked(did, run),
            Form::PutAside(form) => form.booked(did, run),
            Form::Change(form) => form.booked(did, run),
        }
    }

    fn draw(&self, run: &Run, buf: &mut Buffer, area: Rect, paint: Paint<'_>) {
        let now = Now { utc_ms: NOON + 4 * 3_600_000, ..Now::default() };
        match self {
            Form::LookingOver(form) => form.draw(run, buf, area, paint),
            Form::Booking(form) => form.draw(run, buf, area, paint),
            Form::Measuring(form) => form.draw(run, buf, area, paint),
            Form::Questions(form) => form.draw(run, buf, area, paint),
            Form::PutAside(form) => form.draw(run, now, buf, area, paint),
            Form::Change(form) => form.draw(run, buf, area, paint),
        }
    }

    /// Presses a line of keys, as they are meant in these places, and books what comes of them.
    fn press(&mut self, run: &mut Run, keys: &str) -> Vec<Did> {
        let mut all = Vec::new();
        for key in keys.split_whitespace() {
            let did = match key {
                "Up" => self.go(Deed::Up, run),
                "Down" => self.go(Deed::Down, run),
                "Right" => self.go(Deed::More, run),
                "Left" => self.go(Deed::Fewer, run),
                "Tab" => self.go(Deed::Turn, run),
                "Enter" => self.go(Deed::Take, run),
                "Space" => self.go(Deed::GoOn, run),
                "Backspace" => self.go(Deed::Rub, run),
                typed => typed.chars().find_map(|c| self.type_in(c.encode_utf8(&mut [0; 4]), run)),
            };
            if let Some(did) = did {
                go(run, [(did.clone(), 0)]);
                self.booked(&did, run);
                all.push(did);
            }
        }
        all
    }
}

fn painted(look: &Look, [columns, rows]: [u16; 2], draw: impl Fn(&mut Buffer, Rect, Paint<'_>)) -> Buffer {
    let (styles, glyphs) = (Styles::of(look.colours()), Glyphs::new(look.unicode));
    let mut buf = Buffer::empty(Rect::new(0, 0, columns, rows));
    // What lies round a screen: the bars at its head and foot, and a column at either side.
    let area = if columns > 2 && rows > 2 { Rect::new(1, 1, columns - 2, rows - 2) } else { buf.area };
    draw(&mut buf, area, Paint { look, styles: &styles, glyphs: &glyphs });
    settle(&mut buf, look.depth());
    buf
}

fn seen(form: &Form, run: &Run, size: [u16; 2]) -> String {
    text(&painted(&Look::default(), size, |buf, area, paint| form.draw(run, buf, area, paint)))
}

fn snapshot(name: &str, look: &Look, size: [u16; 2], draw: impl Fn(&mut Buffer, Rect, Paint<'_>)) {
    let buf = painted(look, size, draw);
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(name, format!("{}\n\n{}", text(&buf), styles(&buf))));
}

/// Both sizes, and the small one as a terminal shows it that has neither colours nor more than ASCII.
fn snapshots(name: &str, form: &Form, run: &Run) {
    let plain = Look { colour: false, unicode: false, ..Look::default() };
    for (size, look, cells) in [("small", Look::default(), SMALL), ("large", Look::default(), LARGE), ("plain_small", plain, SMALL)] {
        snapshot(&format!("forms_{name}_{size}"), &look, cells, |buf, area, paint| form.draw(run, buf, area, paint));
    }
}

fn bad(why: &str, fate: Fate, flies: u32) -> Bad {
    Bad { why: Words::new(why), fate, flies }
}

#[test]
fn the_rest_of_a_tray_passes() {
    let mut run = tied(12);
    let mut form = Form::LookingOver(LookingOver::new(&run));
    // One of wrong proportions, a second; another stripped; two loose ones mended; one crowded eye cannot be.
    let none = form.press(&mut run, "1 Tab 1 Down Down Down Down 2 Down Right Tab Tab Right");
    assert_eq!((none, run.counts().passed), (Vec::new(), 0), "nothing is booked before the big key");
    snapshots("looking_over", &form, &run);
    let did = form.press(&mut run, "Space");
    let all = vec![
        bad("proportions", Fate::Second, 1),
        bad("proportions", Fate::Stripped, 1),
        bad("loose or slipping", Fate::Mended, 2),
        bad("eye or head crowded", Fate::Mended, 1),
        bad("eye or head crowded", Fate::Stripped, 1),
    ];
    assert_eq!(did, [Did::LookedOver { bad: all, left: 0 }]);
    let counts = run.counts();
    assert_eq!((counts.passed, counts.mended, counts.seconds, counts.stripped, counts.lost), (9, 3, 1, 2, 0));
    assert!(seen(&form, &run, SMALL).contains("- "), "a fresh sheet");
}

#[test]
fn each_reason_has_the_end_that_is_usual() {
    let mut run = tied(20);
    let mut form = Form::LookingOver(LookingOver::new(&run));
    let did = form.press(&mut run, "1 Down 1 Down 1 Down 1 Down 1 Down 1 Down 1 Down 1 Enter");
    let ends = [Fate::Second, Fate::Second, Fate::Second, Fate::Second, Fate::Mended, Fate::Mended, Fate::Lost, Fate::Second];
    let Some(Did::LookedOver { bad, left: 0 }) = did.first() else { panic!("{did:?}") };
    assert_eq!(bad.iter().map(|bad| bad.fate).collect::<Vec<_>>(), ends);
}

#[test]
fn more_than_there_are_cannot_fail() {
    let mut run = tied(5);
    looked_over(&mut run, &[], 2);
    let mut form = Form::LookingOver(LookingOver::new(&run));
    form.press(&mut run, "4");
    let shown = seen(&form, &run, SMALL);
    assert!(shown.contains("2 of them had passed before"), "{shown}");
    form.press(&mut run, "Right Right");
    let shown = seen(&form, &run, SMALL);
    assert!(shown.contains("There are only 5 in all: 2 that wait, and 3 that passed before."), "{shown}");
    form.press(&mut run, "Up Down Down Down Down Down Down Down Down Right");
    let shown = seen(&form, &run, SMALL);
    assert!(shown.contains("There are only 5 in all"), "all five fail, so none can be left\n{shown}");
    assert_eq!(form.press(&mut run, "Space"), [Did::LookedOver { bad: vec![bad("proportions", Fate::Second, 5)], left: 0 }]);
}

#[test]
fn some_are_left_for_another_time_and_the_form_stays() {
    let mut run = tied(5);
    let mut form = Form::LookingOver(LookingOver::new(&run));
    form.press(&mut run, "Down Down Down Down Down Down Down Down Down 9");
    assert!(seen(&form, &run, SMALL).contains("Only 5 wait"));
    form.press(&mut run, "Tab");
    assert!(seen(&form, &run, SMALL).contains("only waits"));
    assert_eq!(form.press(&mut run, "3 Space"), [Did::LookedOver { bad: Vec::new(), left: 3 }]);
    assert_eq!((run.part(), run.counts().waiting, run.counts().passed), (Part::LookingOver, 3, 2));
}

#[test]
fn where_none_waits_those_that_passed_can_fail() {
    let mut run = tied(4);
    looked_over(&mut run, &[], 0);
    go(&mut run, [(Did::Turned { to: Part::LookingOver }, 0)]);
    let mut form = Form::LookingOver(LookingOver::new(&run));
    form.press(&mut run, "Down 2");
    let shown = seen(&form, &run, SMALL);
    assert!(shown.contains("None waits") && !shown.contains("another time"), "{shown}");
    assert_eq!(form.press(&mut run, "Space"), [Did::LookedOver { bad: vec![bad("hackle", Fate::Second, 2)], left: 0 }]);
    assert_eq!((run.counts().passed, run.counts().seconds), (2, 2));
}

#[test]
fn a_row_is_split_only_while_flies_stand_in_it() {
    let mut run = tied(9);
    let mut form = Form::LookingOver(LookingOver::new(&run));
    let proportions = |form: &Form, run: &Run| seen(form, run, SMALL).lines().filter(|line| line.starts_with("  proportions")).count();
    form.press(&mut run, "Tab Tab");
    assert_eq!(proportions(&form, &run), 1, "at nought it only turns");
    form.press(&mut run, "1 Tab");
    assert_eq!(proportions(&form, &run), 2);
    form.press(&mut run, "Down");
    assert_eq!(proportions(&form, &run), 1, "and the new row goes when it is left at nought");
    form.press(&mut run, "Up Tab 1 Tab 1 Tab 1 Tab");
    let shown = seen(&form, &run, SMALL);
    assert!(proportions(&form, &run) == 4 && shown.contains("every end already"), "{shown}");
}

#[test]
fn numbers_are_typed_and_rubbed_out() {
    let mut run = tied(40);
    let mut form = Form::LookingOver(LookingOver::new(&run));
    assert_eq!(
        form.press(&mut run, "12 Backspace 5 Down 3 Down 2 Left Left Left Space"),
        [Did::LookedOver { bad: vec![bad("proportions", Fate::Second, 15), bad("hackle", Fate::Second, 3)], left: 0 }]
    );
}

fn to_book() -> Run {
    let mut run = tied(12);
    looked_over(&mut run, &[("wing", Fate::Stripped, 2), ("eye", Fate::Lost, 1)], 0);
    run
}

#[test]
fn what_is_not_told_is_booked_as_reckoned() {
    let mut run = to_book();
    let mut form = Form::Booking(Booking::new(&run));
    let amounts: Vec<String> = run.taken().iter().map(|taken| taken.amount().normalize().to_string()).collect();
    // Hooks: 12 begun, 2 stripped, 3 bad ones.
    assert_eq!(amounts, ["13", "5.0196", "0.6252", "12.6", "0.2556", "13.2"]);
    assert_eq!(form.press(&mut run, "Space"), [Did::On]);
    assert!(run.run_done());
}

#[test]
fn what_was_counted_or_weighed_is_booked_instead() {
    let mut run = to_book();
    let mut form = Form::Booking(Booking::new(&run));
    let did = form.press(&mut run, "14 Enter Tab 12.310 Enter 12.282 Enter Down Down Tab 3.10 Enter 2.8 Enter");
    let weighed = |before: &str, after: &str| How::Weighed { before: number(before), after: number(after) };
    assert_eq!(
        did,
        [
            Did::Used { nth: 0, amount: number("14"), how: How::Counted },
            // 28 mg of a thread of 5.6 tex (5.6 g a 1,000 m; ISO 1144) are 5 m.
            Did::Used { nth: 1, amount: number("5"), how: weighed("12.310", "12.282") },
            Did::Used { nth: 4, amount: number("0.3"), how: weighed("3.10", "2.8") },
        ]
    );
    form.press(&mut run, "0.5");
    snapshots("booking", &form, &run);
    let Form::Booking(booking) = &form else { panic!("the form is that of the booking") };
    assert!(booking.typing());
    assert_eq!(form.press(&mut run, "Up Up Space"), [], "what is typed is not passed over");
    let shown = seen(&form, &run, SMALL);
    assert!(shown.contains("For clear varnish something is typed"), "{shown}");
    form.press(&mut run, "Backspace Backspace Backspace");
    assert_eq!(form.press(&mut run, "Space"), [Did::On]);
}

#[test]
fn a_wrong_weight_is_told_and_nothing_typed_is_lost() {
    let mut run = to_book();
    let mut form = Form::Booking(Booking::new(&run));
    let shown = |form: &Form, run: &Run| seen(form, run, SMALL).split_whitespace().collect::<Vec<_>>().join(" ");
    form.press(&mut run, "Down Down Tab");
    assert!(shown(&form, &run).contains("`tex:`, or `width:` and `density:`"), "{}", shown(&form, &run));
    assert_eq!(form.press(&mut run, "Up Tab Enter"), []);
    assert!(shown(&form, &run).contains("What did it weigh before the run"), "{}", shown(&form, &run));
    form.press(&mut run, "9.1 Enter Enter");
    assert!(shown(&form, &run).contains("What does it weigh after the run"), "{}", shown(&form, &run));
    assert_eq!(form.press(&mut run, "9.31 Enter"), []);
    let told = shown(&form, &run);
    assert!(told.contains("9.31 g after is more than 9.1 g before") && told.contains("‹9.1 - 9.31_ g›"), "{told}");
    snapshot("forms_booking_wrong_small", &Look::default(), SMALL, |buf, area, paint| form.draw(&run, buf, area, paint));
    let did = form.press(&mut run, "Backspace Backspace Backspace Backspace 9.0 Enter");
    assert!(matches!(&did[..], [Did::Used { nth: 1, how: How::Weighed { .. }, .. }]), "{did:?}");
    // A point alone is no number; counting does not throw what is typed away.
    form.press(&mut run, "Down Down . Enter");
    assert!(shown(&form, &run).contains("\".\" is no number"), "{}", shown(&form, &run));
    form.press(&mut run, "Tab");
    assert!(shown(&form, &run).contains("A number is typed"), "{}", shown(&form, &run));
}

#[test]
fn what_is_far_from_the_reckoned_is_doubted_and_taken_all_the_same() {
    let mut run = to_book();
    let mut form = Form::Booking(Booking::new(&run));
    let doubted = |form: &Form, run: &Run| seen(form, run, SMALL).contains("look once more");
    // Grams typed for metres: a spool of 19.3 g, where about 5 m were used.
    form.press(&mut run, "Down 1");
    assert!(doubted(&form, &run), "1 m is less than a third");
    form.press(&mut run, "Backspace 5.5");
    assert!(!doubted(&form, &run));
    form.press(&mut run, "Backspace Backspace Backspace 19.3");
    assert!(doubted(&form, &run), "{}", seen(&form, &run, SMALL));
    assert_eq!(form.press(&mut run, "Enter"), [Did::Used { nth: 1, amount: number("19.3"), how: How::Counted }]);
}

fn sample() -> Run {
    let mut run = Run::new(Begun { kind: Kind::Sample, ..begun(1) });
    go(&mut run, [(OPENED, 0), (Did::On, 1), (Did::Depth { to: Depth::Fly }, 0), (Did::On, 400_000)]);
    assert_eq!(run.part(), Part::Measuring);
    run
}

#[test]
fn lengths_are_as_they_should_be_or_typed() {
    let mut run = sample();
    let mut form = Form::Measuring(Measuring::new(&run));
    assert_eq!(form.press(&mut run, "Space 10.4 Space"), [Did::On, Did::Measured { nth: 1, um: Some(10_400) }]);
    form.press(&mut run, "8,2");
    snapshots("measuring", &form, &run);
    assert_eq!(form.press(&mut run, "Enter 9999 Enter"), [Did::Measured { nth: 2, um: Some(8_200) }]);
    let shown = seen(&form, &run, SMALL);
    assert!(shown.contains("\"9999\" is no length of a fly in mm"), "{shown}");
    assert_eq!(form.press(&mut run, "Backspace Backspace Backspace Backspace 0 Enter Backspace Enter"), [Did::On]);
    assert_eq!(run.part(), Part::Agreeing);
    for (size, cells) in [("small", SMALL), ("large", LARGE)] {
        snapshot(&format!("forms_agreeing_{size}"), &Look::default(), cells, |buf, area, paint| draw_agreeing(&run, 4, buf, area, paint));
    }
}

#[test]
fn a_sample_like_the_card_changes_nothing() {
    let mut run = sample();
    let mut form = Form::Measuring(Measuring::new(&run));
    assert_eq!(form.press(&mut run, "Space Space 7.9 Enter Space").len(), 4);
    let shown = text(&painted(&Look::default(), SMALL, |buf, area, paint| draw_agreeing(&run, 4, buf, area, paint)));
    assert!(shown.contains("stays as it is") && shown.contains("4 of 4 as the card") && !shown.contains("revision"), "{shown}");
}

/// A mishap, a fly given up, and a long time.
fn with_questions() -> Run {
    let mut run = Run::new(begun(12));
    go(&mut run, [(OPENED, 0), (Did::On, 1000), (Did::On, 40_000), (Did::Mishap, 9000), (Did::On, 30_000), (Did::On, 900_000)]);
    go(&mut run, [(Did::On, 30_000), (Did::On, 30_000), (Did::On, 30_000), (Did::On, 30_000), (Did::GaveUp, 5000)]);
    assert_eq!(run.questions().len(), 3);
    run
}

#[test]
fn questions_are_answered_in_any_order_or_not_at_all() {
    let mut run = with_questions();
    let mut form = Form::Questions(Questions::new(&run));
    let about: Vec<u32> = run.questions().iter().map(|question| question.about).collect();
    let said = |nth: usize, answer: &str| Did::Answered { about: about[nth], answer: Words::new(answer) };
    let spent = run.run_ms();
    assert_eq!(form.press(&mut run, "Space Enter"), [], "the big key only closes");
    assert_eq!(form.press(&mut run, "1"), [said(0, "silk broke")], "a figure answers and goes on");
    snapshots("questions", &form, &run);
    assert_eq!(form.press(&mut run, "Right"), [said(1, WORK)]);
    assert!(run.run_ms() > spent + 700_000, "the time is given back");
    assert_eq!(form.press(&mut run, "Left"), [said(1, "a pause")]);
    assert_eq!(run.run_ms(), spent);
    assert_eq!(form.press(&mut run, "Down 9"), [], "there is no ninth answer");
    assert_eq!(form.press(&mut run, "Right"), [said(2, "hook")], "round from the last");
    assert!(seen(&form, &run, SMALL).contains("all answered"));
}

#[test]
fn a_fly_put_aside_is_chosen() {
    let mut run = Run::new(begun(12));
    go(&mut run, [(OPENED, 0), (Did::On, 1000), (Did::On, 40_000), (Did::PutAside, 2000), (Did::On, 30_000), (Did::On, 30_000), (Did::On, 30_000)]);
    go(&mut run, [(Did::PutAside, 7_200_000), (Did::On, 20_000)]);
    let mut form = Form::PutAside(PutAside::new(&run));
    snapshots("put_aside", &form, &run);
    assert_eq!(form.press(&mut run, "Down Down Enter"), [Did::TookUp { fly: 2 }]);
    let mut other = Form::PutAside(PutAside::new(&run));
    assert_eq!(other.press(&mut run, "1 Space"), [Did::TookUp { fly: 1 }]);
    let mut empty = Run::new(begun(2));
    assert_eq!(Form::PutAside(PutAside::new(&empty)).press(&mut empty, "Down Enter 1 Up"), []);
}

#[test]
fn a_change_is_typed_and_noted_from_the_fly_in_hand_on() {
    let mut run = Run::new(begun(12));
    go(&mut run, [(OPENED, 0), (Did::On, 1000), (Did::Depth { to: Depth::Fly }, 0), (Did::On, 200_000), (Did::On, 200_000)]);
    let mut form = Form::Change(Change::new(&run));
    assert_eq!(form.press(&mut run, "Enter"), []);
    assert!(seen(&form, &run, SMALL).contains("What is it now?"));
    let noted = form.press(&mut run, "Down Down spool-7 Enter");
    assert_eq!(noted, [Did::Changed { what: Words::new("lot of gold wire, fine"), to: Words::new("spool-7") }]);
    assert_eq!(run.changes()[0].from_fly, 3);
    form.press(&mut run, "Up dun\u{1b}[2J-4\u{202e}");
    snapshots("change", &form, &run);
    let did = form.press(&mut run, "Backspace Enter");
    assert_eq!(
        did,
        [Did::Changed { what: Words::new("lot of primrose silk, fine"), to: Words::new("dun\u{fffd}[2J-4") }],
        "what is pasted cannot command the terminal"
    );
}

fn any_deed() -> impl Strategy<Value = Deed> {
    proptest::sample::select(vec![Deed::Up, Deed::Down, Deed::More, Deed::Fewer, Deed::Turn, Deed::Take, Deed::Rub, Deed::GoOn, Deed::First, Deed::PageDown])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn no_form_falls_at_any_size_and_what_it_books_fits(
        presses in proptest::collection::vec(prop_oneof![3 => any_deed().prop_map(Ok), 2 => "[0-9.,]{1,3}|\\PC{1,3}".prop_map(Err)], 0..30),
        sizes in proptest::collection::vec((1u16..=130, 1u16..=45), 1..4),
        which in 0usize..5,
        unicode in any::<bool>(),
        colour in any::<bool>(),
    ) {
        let mut run = match which {
            0 => tied(7),
            1 => to_book(),
            2 => sample(),
            3 => with_questions(),
            _ => Run::new(Begun { materials: Vec::new(), lengths: Vec::new(), layout: Vec::new(), ..begun(1) }),
        };
        if which == 4 {
            go(&mut run, [(OPENED, 0)]);
        }
        let look = Look { unicode, colour, ..Look::default() };
        for mut form in Form::all(&run) {
            // Each form is asked only where the run is at its part; the others are still painted.
            let here = match form {
                Form::LookingOver(_) => run.part() == Part::LookingOver,
                Form::Booking(_) => run.part() == Part::Booking,
                Form::Measuring(_) => run.part() == Part::Measuring,
                Form::PutAside(_) => run.part() == Part::Tying,
                Form::Questions(_) | Form::Change(_) => run.part() != Part::Done,
            };
            for (nth, press) in presses.iter().enumerate() {
                let did = match press {
                    Ok(deed) => form.go(*deed, &run),
                    Err(typed) => form.type_in(typed, &run),
                };
                if let Some(did) = did.filter(|_| here) {
                    let event = run.event(did.clone(), NOON, 0);
                    let mut after = run.clone();
                    prop_assert_eq!(after.take(event), Ok(()), "{:?}", did);
                    // A form stays while its part of the run does.
                    if after.part() == run.part() {
                        run = after;
                        form.booked(&did, &run);
                    }
                }
                let (columns, rows) = sizes[nth % sizes.len()];
                let buf = painted(&look, [columns, rows], |buf, area, paint| form.draw(&run, buf, area, paint));
                let own = |c: char| c.is_control() || ('\u{202a}'..='\u{202e}').contains(&c);
                prop_assert!(buf.content.iter().all(|cell| !cell.symbol().contains(own)));
                painted(&look, [columns, rows], |buf, area, paint| draw_agreeing(&run, 2, buf, area, paint));
            }
        }
    }
}
