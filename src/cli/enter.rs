//! `herl` alone: opens the bench in the terminal; where there is none, prints the plan of its largest order and
//! how to go on.

use super::keys::{InForce, in_a_line};
use super::opened::{Opened, open_some, places};
use super::out::Out;
use super::{Surroundings, Verdict};
use crate::bench::{self, settings};
use crate::dressing::Order;
use crate::paper;
use crate::plan;
use crate::tui::{self, Desk, Look};
use std::io::IsTerminal;
use std::path::Path;

/// So many dressings are read before the first screen is shown; the rest while it is looked at.
const AT_FIRST: usize = 40;

pub(super) fn run(bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let on_a_screen = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
    let opened = match open_some(bench, surroundings, if on_a_screen { AT_FIRST } else { usize::MAX }, out) {
        Ok(opened) => opened,
        Err(verdict) => return verdict,
    };
    if on_a_screen { on_the_screen(opened, surroundings, out) } else { in_print(&opened, surroundings, out) }
}

fn on_the_screen(opened: Opened, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let own = InForce::of(surroundings);
    let settings_file = places(surroundings).settings_file();
    let (settings, amiss) = settings_file.as_deref().map(settings::read).unwrap_or_default();
    let amiss = in_a_line(&amiss, settings_file.as_deref());
    let notices: Vec<String> = [own.notice(), amiss, opened.notice.clone()].into_iter().flatten().collect();
    let notice = (!notices.is_empty()).then(|| notices.join(". "));
    let look = Look { keys: own.keys, bell: settings.bell, ..look(&opened, surroundings) };
    let folder = opened.bench.dir.clone();
    let (unread, told, dir) = (opened.unread, notice.clone(), folder.clone());
    let rest: Option<tui::Rest> = (unread > 0).then(|| {
        let rest: tui::Rest = Box::new(move || {
            let loaded = bench::load(&dir);
            Desk::of(loaded.bench, &loaded.findings, told)
        });
        rest
    });
    match tui::run(Desk::of(opened.bench, &opened.findings, notice).unread(unread), look, folder, rest) {
        Ok(None) => Verdict::Fine,
        Ok(Some(failed)) => {
            out.trouble(&format!("error: {failed}"));
            Verdict::Findings
        }
        Err(error) => {
            out.trouble(&format!(
                "error: the terminal cannot be used: {error}\nright: a terminal that can be drawn on, or one of the commands in `herl --help`"
            ));
            Verdict::Findings
        }
    }
}

fn look(opened: &Opened, surroundings: &Surroundings) -> Look {
    let terms = &opened.bench.shelf.terms;
    let variable = |name: &str| surroundings.variable(name).map(|value| value.to_string_lossy().into_owned());
    Look { theme: opened.bench.theme.clone(), cell: terms.cell, mirrored: terms.left_handed, ..Look::of_environment(&variable) }
}

fn given(opened: &Opened, surroundings: &Surroundings) -> plan::Given {
    plan::Given { habits: opened.bench.habits.clone(), today: surroundings.today, ..plan::Given::default() }
}

/// The plan of the bench's largest order, as a taste of the program for whoever has no terminal.
fn in_print(opened: &Opened, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    if let Some(notice) = &opened.notice {
        out.line(notice);
        out.line("");
    }
    let flies = |order: &Order| order.lines.iter().flat_map(|line| &line.sizes).map(|(_, count)| u64::from(count.value)).sum::<u64>();
    let mut verdict = Verdict::Fine;
    match opened.bench.orders.values().max_by_key(|order| flies(order)) {
        None => out.line("there is no order on this bench yet: write one into its folder orders/"),
        Some(order) => match plan::work(order, &opened.bench.dressings, &opened.bench.shelf, &given(opened, surroundings)) {
            Ok(plan) => out.text(&paper::plan::text(&plan)),
            Err(faults) => {
                opened.tell(&faults, out);
                verdict = Verdict::Findings;
            }
        },
    }
    out.line("");
    out.line("how to go on:");
    out.line("  herl                                 in a terminal: the dressings drawn on their hooks, the orders planned");
    if let Some(dressing) = opened.bench.dressings.values().next() {
        out.line(&format!(
            "  herl card \"{}\"{}the worked card of a dressing",
            dressing.name.value,
            " ".repeat(25_usize.saturating_sub(dressing.name.value.len()).max(1))
        ));
    }
    out.line("  herl plan ORDER --why KEY            where a figure comes from");
    out.line("  herl --help                          all commands");
    opened.remind_of_faults(out);
    verdict
}
