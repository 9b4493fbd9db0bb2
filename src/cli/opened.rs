//! Opening a bench for a command: which one, what is wrong with it, and a dressing or an order of it by name.

use super::asked::quoted;
use super::out::Out;
use super::{Surroundings, Verdict};
use crate::bench::find::{self, find};
use crate::bench::{self, Bench};
use crate::diagnostic::{At, Diagnostic, did_you_mean, near_or_all};
use crate::dressing::{Dressing, Order};
use crate::measure::words::fold;
use std::path::{Path, PathBuf};

/// A bench as a command finds it.
pub(super) struct Opened {
    pub(super) bench: Bench,
    /// What is wrong with its files.
    pub(super) findings: Vec<Diagnostic>,
    /// What to tell whoever opened it: that it is a private copy of the demo bench, say.
    pub(super) notice: Option<String>,
    /// Dressings that have not been read yet, and with them the orders.
    pub(super) unread: usize,
}

/// Opens the bench named, or the one these surroundings lead to.
pub(super) fn open(named: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Result<Opened, Verdict> {
    open_some(named, surroundings, usize::MAX, out)
}

/// Opens a bench, but reads no more than so many of its dressings at first.
pub(super) fn open_some(named: Option<&Path>, surroundings: &Surroundings, most: usize, out: &mut Out) -> Result<Opened, Verdict> {
    some_quietly(named, surroundings, most).map_err(|faults| {
        out.trouble(&report(&faults, Path::new("")));
        Verdict::Findings
    })
}

/// The same, for a command that tells faults in its own form.
pub(super) fn quietly(named: Option<&Path>, surroundings: &Surroundings) -> Result<Opened, Vec<Diagnostic>> {
    some_quietly(named, surroundings, usize::MAX)
}

/// The folder of the bench alone, for a command that reads none of its files, and what to tell whoever asked.
pub(super) fn folder(named: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Result<(PathBuf, Option<String>), Verdict> {
    match find(named, &places(surroundings)) {
        Ok(found) => Ok((found.dir.clone(), found.said())),
        Err(faults) => {
            out.trouble(&report(&faults, Path::new("")));
            Err(Verdict::Findings)
        }
    }
}

fn some_quietly(named: Option<&Path>, surroundings: &Surroundings, most: usize) -> Result<Opened, Vec<Diagnostic>> {
    let found = find(named, &places(surroundings))?;
    let (loaded, unread) = bench::load_some(&found.dir, most);
    Ok(Opened { bench: loaded.bench, findings: loaded.findings, notice: found.said(), unread })
}

/// The folders a bench is looked for in, and the settings.
pub(super) fn places(surroundings: &Surroundings) -> find::Surroundings {
    let folder = |variable: &str, below_home: &str| -> Option<PathBuf> {
        // XDG Base Directory Specification 0.8: unset, empty or relative counts as not there.
        let own = surroundings.variable(variable).map(PathBuf::from).filter(|path| path.is_absolute());
        own.or_else(|| surroundings.variable("HOME").map(|home| PathBuf::from(home).join(below_home)).filter(|path| path.is_absolute()))
    };
    find::Surroundings {
        cwd: surroundings.folder.clone().unwrap_or_default(),
        config_dir: folder("XDG_CONFIG_HOME", ".config"),
        data_dir: folder("XDG_DATA_HOME", ".local/share"),
    }
}

impl Opened {
    /// A dressing by its name.
    pub(super) fn dressing(&self, name: &str, out: &mut Out) -> Result<&Dressing, Verdict> {
        if let Some(dressing) = self.bench.dressings.get(&fold(name)) {
            return Ok(dressing);
        }
        // A dressing whose file is broken is told with what breaks it.
        if let Some(broken) = self.bench.broken.iter().find(|broken| broken.file.starts_with("dressings") && fold(&broken.name) == fold(name)) {
            self.tell_broken(&broken.file, out);
            return Err(Verdict::Findings);
        }
        let known = self.bench.dressings.values().map(|dressing| dressing.name.value.as_str());
        let hint = near_or_all(name, known, "a bench with dressings in it (this one has none): name its folder with --bench");
        out.trouble(&format!("error: there is no dressing {} on this bench\nright: {hint}", quoted(name)));
        self.remind(out);
        Err(Verdict::Findings)
    }

    /// An order by its file or its name; findings of a file from elsewhere are told.
    pub(super) fn order(&mut self, asked: &str, surroundings: &Surroundings, out: &mut Out) -> Result<Order, Verdict> {
        let path = surroundings.folder.as_deref().unwrap_or(Path::new(".")).join(asked);
        if !path.is_file() {
            let within = self.bench.dir.join("orders").join(asked);
            for path in [within.clone(), within.with_extension("yaml")] {
                if path.is_file() {
                    return self.order_file(&path, out);
                }
            }
            if let Some(order) = self.bench.orders.get(&fold(asked)) {
                return Ok(order.clone());
            }
            if let Some(broken) = self.bench.broken.iter().find(|broken| broken.file.starts_with("orders") && fold(&broken.name) == fold(asked)) {
                self.tell_broken(&broken.file, out);
                return Err(Verdict::Findings);
            }
            let known = self.bench.orders.values().map(|order| order.name.value.as_str());
            let hint = did_you_mean(asked, known.clone()).unwrap_or_else(|| match known.collect::<Vec<_>>().join(", ") {
                none if none.is_empty() => "the path of an order's file (this bench has none of its own)".to_owned(),
                names => format!("the path of an order's file, or one of {names}"),
            });
            out.trouble(&format!("error: there is no order {}, neither as a file nor by its name on this bench\nright: {hint}", quoted(asked)));
            return Err(Verdict::Findings);
        }
        self.order_file(&path, out)
    }

    fn order_file(&self, path: &Path, out: &mut Out) -> Result<Order, Verdict> {
        // An order of this bench has been read already, and is named as the bench names it.
        if let (Ok(full), Ok(dir)) = (path.canonicalize(), self.bench.dir.canonicalize())
            && let Ok(inside) = full.strip_prefix(&dir)
        {
            if let Some(order) = self.bench.orders.values().find(|order| *order.name.at.file == *inside) {
                return Ok(order.clone());
            }
            if self.bench.broken.iter().any(|broken| *broken.file == *inside) {
                self.tell_broken(inside, out);
                return Err(Verdict::Findings);
            }
        }
        let (order, findings) = bench::load_order(path, &self.bench);
        self.tell(&findings, out);
        order.filter(|_| !findings.iter().any(Diagnostic::is_error)).ok_or(Verdict::Findings)
    }

    /// Tells what breaks a file: what is said of it, else what is said of those it leans on.
    fn tell_broken(&self, file: &Path, out: &mut Out) {
        let of = |wanted: &dyn Fn(&Path) -> bool| -> Vec<Diagnostic> {
            self.findings.iter().filter(|fault| fault.is_error() && fault.at.as_ref().is_some_and(|at| wanted(&at.file))).cloned().collect()
        };
        let own = of(&|of| of == file);
        if !own.is_empty() {
            self.tell(&own, out);
            return;
        }
        out.trouble(&format!("error: {} leans on a file of this bench that could not be read", file.display()));
        self.tell(&of(&|of| !of.starts_with("dressings") && !of.starts_with("orders")), out);
    }

    /// Tells findings on standard error.
    pub(super) fn tell(&self, findings: &[Diagnostic], out: &mut Out) {
        if !findings.is_empty() {
            out.trouble(&report(findings, &self.bench.dir));
        }
    }

    /// That this is the private copy of the demo bench, where it is.
    pub(super) fn say_which(&self, out: &mut Out) {
        if let Some(notice) = &self.notice {
            out.trouble(notice);
        }
    }

    /// Which bench this is, if it is not the dresser's own, and one line about faults elsewhere on it, which hide
    /// nothing here.
    pub(super) fn remind(&self, out: &mut Out) {
        self.say_which(out);
        self.remind_of_faults(out);
    }

    /// One line about faults elsewhere on the bench.
    pub(super) fn remind_of_faults(&self, out: &mut Out) {
        let errors = self.findings.iter().filter(|fault| fault.is_error()).count();
        if errors > 0 {
            let (is, them) = if errors == 1 { ("is 1 fault", "it") } else { ("are faults", "them") };
            let number = if errors == 1 { String::new() } else { format!("{errors} ") };
            out.trouble(&format!("there {} in the files of this bench; `herl check` tells {them}", is.replace("faults", &format!("{number}faults"))));
        }
    }
}

/// Findings as text, with the lines they speak of; `dir` is the bench's folder.
pub(super) fn report(findings: &[Diagnostic], dir: &Path) -> String {
    bench::report::render(findings, &|file| bench::yaml::text_of(&dir.join(file)))
}

/// The place of a word on the command line, for a diagnostic.
pub(super) fn on_the_command_line() -> At {
    At::file(Path::new("the command line"))
}
