//! The lines above every part of a run: which run, where it stands, how long it takes.
//!
//! ```text
//!  Ashgarth Dun 14                              ‹step› stage  fly
//!  fly 3 of 12 · 2 tied                  this fly 2:10 of 6:05
//!  stage 2 of 5 · step 4 of 10          this step 0:12 of 0:45
//!  ███████░░░░░░░░░░░░░░░░░░░░░░░░░░░░  0:38 to 0:47 more
//! ```

use super::at_hand::{AtHand, depths};
use super::how_many::name;
use super::tying::{numbered, time};
use crate::tui::ink::{fit, put, put_right, row, width};
use crate::tui::queue::Now;
use crate::tui::widgets::Paint;
use crate::vice::{Counts, Depth, Expected, Kind, Part, State, View};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Draws the head; gives the rows it took.
pub(super) fn draw(at_hand: &AtHand, view: &View, buf: &mut Buffer, area: Rect, now: Now, paint: Paint<'_>) -> u16 {
    let styles = paint.styles;
    let dot = paint.glyphs.dot;
    let ([one, two], [times, here]) = (places(at_hand, view, dot), clocks(at_hand, view));
    let mut line = |nth: u16, left: &str, left_style, right: &str, right_style| {
        let place = row(area, nth);
        let columns = usize::from(place.width);
        put_right(buf, place, place.right(), place.y, &fit(right, columns, paint.glyphs.cut), right_style);
        let room = columns.saturating_sub(if right.is_empty() { 0 } else { width(right) + 2 });
        put(buf, place, place.x, place.y, &fit(left, room, paint.glyphs.cut), left_style);
    };
    if area.height < 12 {
        let left = format!("{one}{}{two}", if two.is_empty() { "" } else { dot });
        line(0, &left, styles.title, &times, styles.plain);
        return 1.min(area.height);
    }
    let right = match depths(view) {
        Some(chosen) => [Depth::Step, Depth::Stage, Depth::Fly]
            .into_iter()
            .map(|depth| if depth == chosen { format!("{}{}{}", paint.glyphs.open, depth.name(), paint.glyphs.close) } else { format!(" {} ", depth.name()) })
            .collect(),
        None => part_of(at_hand, view),
    };
    let sample = if at_hand.run.begun().kind == Kind::Sample { ", sample" } else { "" };
    line(0, &format!("{}{sample}", name(&at_hand.row.begun)), styles.plain, &right, styles.quiet);
    line(1, &one, styles.title, &times, styles.title);
    line(2, &two, styles.plain, &here, styles.plain);
    bar(at_hand, view, buf, row(area, 3), now, paint);
    if area.height >= 16 { 5 } else { 4 }
}

/// Where the run stands: the large place and the small one.
fn places(at_hand: &AtHand, view: &View, dot: &str) -> [String; 2] {
    let begun = at_hand.run.begun();
    match view.part {
        Part::LayingOut => ["laying out".to_owned(), format!("{} of {}", view.item + 1, begun.layout.len())],
        Part::Finishing => ["finishing".to_owned(), format!("{} of {}{dot}{} flies", view.item + 1, begun.finishing.len(), view.counts.tied)],
        Part::Tying => {
            let count = at_hand.run.outline().count();
            let tied = if view.counts.tied > 0 { format!("{dot}{} tied", view.counts.tied) } else { String::new() };
            let stage = format!("stage {} of {}", view.stage, view.stages);
            match (view.tray, view.depth) {
                (Some((_, on_it)), _) if view.counting => [format!("tray of {on_it}{tied}"), stage],
                (Some((nth, on_it)), depth) => {
                    let first = if depth == Depth::Fly { format!("tray of {on_it}") } else { format!("fly {nth} of the tray's {on_it}") };
                    let steps = if depth == Depth::Step {
                        format!("step {} of {count}", view.steps.start + 1)
                    } else {
                        format!("{} of {count}", numbered(&view.steps))
                    };
                    [format!("{first}{tied}"), format!("{stage}{dot}{steps}")]
                }
                (None, _) if view.steps.is_empty() => [format!("no fly in the vice{tied}"), String::new()],
                (None, depth) => {
                    let fly = format!("fly {} of {}", view.fly, view.flies);
                    let tied = if view.counts.tied + 1 == view.fly { String::new() } else { tied };
                    let place = match depth {
                        Depth::Step => format!("{stage}{dot}step {} of {count}", view.steps.start + 1),
                        Depth::Stage => format!("{stage}{dot}{} of {count}", numbered(&view.steps)),
                        Depth::Fly => format!("{} of {count}", numbered(&view.steps)),
                    };
                    [format!("{fly}{tied}"), place]
                }
            }
        }
        Part::Measuring => ["measuring the sample".to_owned(), format!("length {} of {}", view.item + 1, begun.lengths.len())],
        Part::Agreeing => ["the sample".to_owned(), "to be agreed".to_owned()],
        Part::LookingOver => ["looking over".to_owned(), format!("{} tied{dot}{} to look over", view.counts.tied, view.counts.waiting)],
        Part::Booking => ["booking".to_owned(), became(&view.counts, dot)],
        Part::Done => ["done".to_owned(), became(&view.counts, dot)],
    }
}

/// What became of the flies; what is nought is left out.
pub(super) fn became(counts: &Counts, dot: &str) -> String {
    let all = [
        (counts.passed, "passed"),
        (counts.mended, "of them mended"),
        (counts.waiting, "to look over"),
        (counts.seconds, "seconds"),
        (counts.stripped, "stripped"),
        (counts.lost, "lost"),
        (counts.given_up, "given up"),
        (counts.aside, "put aside"),
    ];
    let told: Vec<String> = all.iter().filter(|(number, _)| *number > 0).map(|(number, word)| format!("{number} {word}")).collect();
    if told.is_empty() { format!("{} tied", counts.tied) } else { told.join(dot) }
}

/// The large clock and the small one.
fn clocks(at_hand: &AtHand, view: &View) -> [String; 2] {
    let clock = |ms: u64, expected: Option<Expected>| match expected {
        Some(Expected { ms: wanted, untold: 0 }) => format!("{} of {}", time(ms), time(wanted)),
        // Steps without a time are not in it.
        Some(Expected { ms: wanted, .. }) => format!("{} of {} or more", time(ms), time(wanted)),
        None => time(ms),
    };
    match view.part {
        Part::Tying if view.counting => [format!("counting {}", time(view.here_ms)), String::new()],
        Part::Tying if view.tray.is_some() => [format!("here {}", clock(view.here_ms, view.expected_here)), format!("this fly {}", time(view.elapsed_ms))],
        Part::Tying if view.steps.is_empty() => [String::new(), String::new()],
        Part::Tying => {
            let here = match view.depth {
                Depth::Fly if view.steps.len() == at_hand.run.outline().count() => String::new(),
                Depth::Step => format!("this step {}", clock(view.here_ms, view.expected_here)),
                Depth::Stage | Depth::Fly => format!("here {}", clock(view.here_ms, view.expected_here)),
            };
            [format!("this fly {}", clock(view.elapsed_ms, view.expected)), here]
        }
        Part::Done => [format!("{} in all", time(at_hand.run.run_ms())), String::new()],
        _ if view.state == State::Away => [String::new(), String::new()],
        _ => [format!("here {}", clock(view.here_ms, view.expected_here)), format!("{} in all", time(at_hand.run.run_ms()))],
    }
}

/// Which part of how many this is.
fn part_of(at_hand: &AtHand, view: &View) -> String {
    let begun = at_hand.run.begun();
    let parts: Vec<Part> = std::iter::successors(Some(begun.first()), |part| Some(begun.after(*part)).filter(|next| *next != Part::Done)).collect();
    match parts.iter().position(|part| *part == view.part) {
        Some(nth) => format!("part {} of {}", nth + 1, parts.len()),
        None => String::new(),
    }
}

/// How far the part is, and where it can be told, how long the flies that are left take.
fn bar(at_hand: &AtHand, view: &View, buf: &mut Buffer, place: Rect, now: Now, paint: Paint<'_>) {
    let begun = at_hand.run.begun();
    let count = at_hand.run.outline().count() as u64;
    let (gone, all) = match view.part {
        Part::LayingOut => (view.item as u64, begun.layout.len() as u64),
        Part::Measuring => (view.item as u64, begun.lengths.len() as u64),
        Part::Finishing => (view.item as u64, begun.finishing.len() as u64),
        Part::Tying => {
            // By stages, what the tray has of its own steps.
            let in_hand = match view.tray {
                Some((nth, on_it)) => {
                    let stage = at_hand.run.outline().stage(view.stage.saturating_sub(1));
                    (stage.start * on_it + (stage.end - stage.start) * if view.counting { on_it } else { nth - 1 }) as u64
                }
                None if view.steps.is_empty() => 0,
                None => view.steps.start as u64,
            };
            (
                u64::from(view.counts.tied).saturating_mul(count).saturating_add(in_hand),
                u64::from(view.flies.saturating_sub(view.counts.given_up)).saturating_mul(count),
            )
        }
        Part::LookingOver => (u64::from(view.counts.looked_over()), u64::from(view.counts.tied)),
        Part::Agreeing | Part::Booking | Part::Done => (1, 1),
    };
    let more = at_hand.more(now, place.width >= 100).filter(|_| place.width >= 60).unwrap_or_default();
    let wide = place.width.saturating_sub(if more.is_empty() { 0 } else { width(&more) as u16 + 2 });
    let filled = usize::try_from(u64::from(wide).saturating_mul(gone) / all.max(1)).unwrap_or(0).min(usize::from(wide));
    let after = put(buf, place, place.x, place.y, &paint.glyphs.full.repeat(filled), paint.styles.title);
    put(buf, place, after, place.y, &paint.glyphs.empty.repeat(usize::from(wide) - filled), paint.styles.quiet);
    put_right(buf, place, place.right(), place.y, &more, paint.styles.plain);
}
