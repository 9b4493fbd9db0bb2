//! The terminal: the only place that knows of screens, keys and cells.
//!
//! What happens (a key, a new size of the window, a signal) goes through one queue into [`app::App::update`], which
//! is pure: it changes the state and answers with commands, which [`fulfil`] alone carries out; what comes of them goes
//! through [`app::App::update`] again. Screens are painted from the state alone.

pub mod app;
pub mod figure;
pub mod fulfil;
pub mod ink;
pub mod keys;
pub mod letters;
pub mod queue;
mod run;
pub mod screens;
pub mod style;
pub mod widgets;

pub use run::{Rest, run};
pub use style::Theme;

use crate::bench::Bench;
use crate::bench::report::render;
use crate::bench::yaml::text_of;
use crate::diagnostic::Diagnostic;
use crate::dressing::{Dressing, Habits, Making, Order, Shelf};
use indexmap::IndexMap;
use std::path::Path;
use style::{Colours, Depth};

/// What is laid on the desk: a bench as it was read.
#[derive(Clone, Debug)]
pub struct Desk {
    /// The bench's name.
    pub title: String,
    /// Charts, materials, terms.
    pub shelf: Shelf,
    /// How made parts are made, by folded name.
    pub makings: IndexMap<String, Making>,
    /// Hours of work, days away, the rack.
    pub habits: Habits,
    /// Dressings by folded name.
    pub dressings: IndexMap<String, Dressing>,
    /// Orders by folded name.
    pub orders: IndexMap<String, Order>,
    /// Files that cannot be used as they are.
    pub broken: Vec<Broken>,
    /// Something to know before the work begins, such as that this is a copy of the demo bench.
    pub notice: Option<String>,
    /// Dressings that are still being read, and the orders with them.
    pub unread: usize,
}

impl Desk {
    /// What the screens show of a bench, with what was found wrong in its files.
    pub fn of(bench: Bench, findings: &[Diagnostic], notice: Option<String>) -> Self {
        let told = |file: &Path| -> String {
            let own: Vec<Diagnostic> = findings.iter().filter(|fault| fault.at.as_ref().is_some_and(|at| *at.file == *file)).cloned().collect();
            render(&own, &|file| text_of(&bench.dir.join(file)))
        };
        let mut broken: Vec<Broken> = Vec::new();
        for file in &bench.broken {
            broken.push(Broken { name: file.name.clone(), report: told(&file.file), order: file.file.starts_with("orders") });
        }
        // Faults of the bench's own files stand beside the broken dressings: they must not be missed.
        let errors = findings.iter().filter(|fault| fault.is_error()).filter_map(|fault| fault.at.as_ref());
        let mut others: Vec<&Path> = errors.map(|at| &*at.file).filter(|file| !bench.broken.iter().any(|broken| *broken.file == **file)).collect();
        others.sort();
        others.dedup();
        broken.extend(others.iter().map(|file| Broken { name: file.display().to_string(), report: told(file), order: false }));
        Desk {
            title: bench.shelf.terms.name.clone(),
            shelf: bench.shelf,
            makings: bench.makings,
            habits: bench.habits,
            dressings: bench.dressings,
            orders: bench.orders,
            broken,
            notice,
            unread: 0,
        }
    }

    /// The same, while so many dressings are still being read.
    #[must_use]
    pub fn unread(self, unread: usize) -> Self {
        Desk { unread, ..self }
    }
}

/// A file that cannot be used as it is.
#[derive(Clone, Debug)]
pub struct Broken {
    /// What it is called.
    pub name: String,
    /// What is wrong with it, as shown at the command line.
    pub report: String,
    /// It is an order; else a dressing, or a file of the bench itself.
    pub order: bool,
}

/// How things are shown, and which keys do them.
#[derive(Clone, Debug)]
pub struct Look {
    /// Colours; without them bold, underline and reverse carry everything (`NO_COLOR`).
    pub colour: bool,
    /// The terminal shows any colour, not only 256 (`COLORTERM`).
    pub true_colour: bool,
    /// The terminal shows more than ASCII.
    pub unicode: bool,
    /// The colours.
    pub theme: Theme,
    /// Width of a cell over its height; asked of the terminal where `None`, half where it does not tell.
    pub cell: Option<f64>,
    /// The eye is drawn at the left, as in a left-handed vice.
    pub mirrored: bool,
    /// The keys in force; the foot, the help and every hint show these.
    pub keys: keys::Keymap,
    /// A bell may ring.
    pub bell: bool,
}

impl Default for Look {
    fn default() -> Self {
        Look {
            colour: true,
            true_colour: true,
            unicode: true,
            theme: Theme::default(),
            cell: None,
            mirrored: false,
            keys: keys::Keymap::default(),
            bell: false,
        }
    }
}

impl Look {
    /// How things can be shown, by what the environment says: `NO_COLOR` (no-color.org), `TERM`, `COLORTERM`, and the
    /// locale of POSIX. `variable` gives a variable that is set and not empty.
    pub fn of_environment(variable: &dyn Fn(&str) -> Option<String>) -> Self {
        let term = variable("TERM").unwrap_or_default();
        let deep = variable("COLORTERM").is_some_and(|told| told == "truecolor" || told == "24bit") || term.ends_with("-direct");
        // Where no locale is told at all, as in a bare container, the terminal itself nearly always shows UTF-8.
        let locale = ["LC_ALL", "LC_CTYPE", "LANG"].iter().find_map(|name| variable(name)).map(|locale| locale.to_lowercase());
        let unicode = locale.is_none_or(|locale| locale.contains("utf-8") || locale.contains("utf8"));
        Look { colour: variable("NO_COLOR").is_none() && term != "dumb", true_colour: deep, unicode, ..Look::default() }
    }

    /// The theme's colours, if any are shown.
    pub fn colours(&self) -> Option<&Colours> {
        self.theme.colours.as_ref().filter(|_| self.colour)
    }

    /// How many colours are used.
    pub fn depth(&self) -> Depth {
        match (self.colours().is_some(), self.true_colour) {
            (false, _) => Depth::None,
            (true, false) => Depth::Indexed,
            (true, true) => Depth::Full,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_environment_says_what_can_be_shown() {
        let look = |set: &[(&str, &str)]| {
            let set: Vec<(String, String)> = set.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect();
            Look::of_environment(&move |name| set.iter().find(|(key, _)| key == name).map(|(_, value)| value.clone()))
        };
        assert_eq!(look(&[("NO_COLOR", "1"), ("COLORTERM", "truecolor")]).depth(), Depth::None);
        assert_eq!(look(&[("TERM", "xterm-256color")]).depth(), Depth::Indexed);
        assert!(look(&[("LANG", "en_GB.UTF-8")]).unicode);
        assert!(!look(&[("LC_ALL", "C"), ("LANG", "en_GB.UTF-8")]).unicode);
    }
}
