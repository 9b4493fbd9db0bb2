//! The card while it is being worked: the sheet, the faults met, and how a rule becomes a figure.

use super::formulas::*;
pub(crate) use super::origin::{from, standing};
use super::profile::Profile;
use super::{Hook, Stretch};
use crate::diagnostic::{At, Diagnostic, Severity, Told};
use crate::dressing::{Dressing, HookChart, HookLength, HookShape, Landmark, Length, Material, Of, Part, Place, Shelf, Size, Term};
use crate::measure::{Unit, words};
use crate::why::{Fig, Geometry, Source, Standing};
use foldhash::fast::FixedState;
use std::collections::HashMap;
use std::rc::Rc;

/// Which figure of a part a rule leans on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Lean {
    /// Where it begins, or is tied in.
    Start,
    /// Where it ends.
    End,
    /// How long it is.
    Length,
}

pub(crate) struct Worker<'a> {
    pub(crate) sheet: Geometry,
    pub(crate) dressing: &'a Dressing,
    pub(crate) shelf: &'a Shelf,
    pub(crate) chart: &'a HookChart,
    pub(crate) size: &'a Size,
    pub(crate) parts: Vec<Rc<Part>>,
    /// Whether what a pack is known to give may be asked for.
    pub(crate) asks_packs: bool,
    pub(crate) hook: Hook,
    pub(crate) marks: Marks,
    pub(crate) profile: Profile,
    /// What has been built beyond the hook, by the part whose core it is on.
    pub(crate) off: HashMap<usize, Profile>,
    pub(crate) faults: Vec<Diagnostic>,
    pub(crate) advice: Vec<Diagnostic>,
    /// What is said neither by the dressing nor by a custom.
    pub(crate) missing: Vec<Missing>,
    /// Names of parts that have something open.
    pub(crate) open: Vec<String>,
    /// The variant's name, if one is worked.
    pub(crate) variant: Option<String>,
    known: HashMap<(usize, Lean), Option<Fig>, FixedState>,
    /// Rules being worked just now, for showing a circle.
    under_way: Vec<(usize, Lean)>,
}

/// Something that is said neither by the dressing nor by a custom.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Missing {
    /// The part.
    pub(crate) part: String,
    /// In words: `how long it is`.
    pub(crate) what: &'static str,
    /// What would say it.
    pub(crate) right: String,
}

/// How a place on the wire becomes one straight along the hook.
#[derive(Clone)]
pub(crate) struct Along {
    /// Takes the place, then the inputs.
    pub(crate) formula: &'static crate::why::Formula<f64>,
    pub(crate) inputs: Vec<Fig>,
    /// As far as here the wire runs level, and both are one.
    pub(crate) level_to: Option<Fig>,
}

/// Places of the hook on the sheet, mm along the wire from the rear of the eye.
#[derive(Clone)]
pub(crate) struct Marks {
    pub(crate) eye_rear: Fig,
    /// Rearmost of the bend, along the wire.
    pub(crate) bend: Fig,
    /// Rear of the bead; the eye's rear without one.
    pub(crate) bead: Fig,
    pub(crate) free_shank: Fig,
    pub(crate) wire_end: Fig,
    /// `None`: the wire is level throughout.
    pub(crate) along: Option<Along>,
}

impl<'a> Worker<'a> {
    /// Begins a card on a sheet that has the hook on it.
    pub(crate) fn new(
        sheet: Geometry,
        ground: (&'a Dressing, &'a Shelf),
        on: (&'a HookChart, &'a Size),
        parts: Vec<Part>,
        (hook, marks): (Hook, Marks),
    ) -> Self {
        let ((dressing, shelf), (chart, size)) = (ground, on);
        let profile = Profile::bare(marks.eye_rear, marks.wire_end, hook.across);
        Worker {
            sheet,
            dressing,
            shelf,
            chart,
            size,
            asks_packs: true,
            parts: parts.into_iter().map(Rc::new).collect(),
            hook,
            marks,
            profile,
            off: HashMap::new(),
            faults: Vec::new(),
            advice: Vec::new(),
            missing: Vec::new(),
            open: Vec::new(),
            variant: None,
            known: HashMap::default(),
            under_way: Vec::new(),
        }
    }

    pub(crate) fn material(&self, name: &str) -> Option<&'a Material> {
        self.shelf.materials.get(&words::fold(name))
    }

    pub(crate) fn value(&self, fig: Fig) -> f64 {
        self.sheet.value(fig)
    }

    pub(crate) fn fault(&mut self, fault: Diagnostic) {
        // A rule that only stands in spoils no card: what it would have said stays open.
        if let Some(rule) = fault.at.as_ref().and_then(|at| at.rule.clone()) {
            let what = format!("{}: {} cannot be had here, so this stays open", fault.what, rule.source);
            return self.advise(Diagnostic { severity: Severity::Advice, what, ..fault });
        }
        if !self.faults.contains(&fault) {
            self.faults.push(fault);
        }
    }

    /// Notes what nobody says; always `None`.
    pub(crate) fn missing<T>(&mut self, part: &str, what: &'static str, right: impl Into<String>) -> Option<T> {
        let missing = Missing { part: part.to_owned(), what, right: right.into() };
        if !self.missing.contains(&missing) {
            self.missing.push(missing);
        }
        None
    }

    pub(crate) fn advise(&mut self, advice: Diagnostic) {
        if !self.advice.contains(&advice) {
            self.advice.push(advice);
        }
    }

    /// A figure of the dressing: stated, or as well known as the rule that stands in for it.
    pub(crate) fn said(&mut self, key: &str, value: f64, unit: Unit, at: &At) -> Fig {
        self.sheet.given(key, value, unit, standing(at), from(at))
    }

    /// A figure told by a file.
    pub(crate) fn told<T: Copy + Into<f64>>(&mut self, key: &str, told: &Told<T>, unit: Unit, standing: Standing) -> Fig {
        self.sheet.given(key, told.value.into(), unit, standing, from(&told.at))
    }

    /// Works a figure; a result that is not finite becomes a fault at `at`.
    pub(crate) fn work(&mut self, key: &str, formula: &'static crate::why::Formula<f64>, inputs: &[Fig], at: &At) -> Option<Fig> {
        let fig = self.sheet.work(key, formula, inputs);
        if fig.is_none() {
            let figures: Vec<String> = inputs.iter().map(|fig| format!("{:.4}", self.value(*fig))).collect();
            self.fault(
                Diagnostic::error(format!("{key} has no result ({} of {})", formula.text, figures.join(", ")), at.clone())
                    .right("figures that go together; look at the hook's and the material's"),
            );
        }
        fig
    }

    /// The figure of a hook measure.
    fn hook_length(&mut self, length: HookLength, at: &At) -> Option<Fig> {
        let shape = self.hook.shape;
        let found = match length {
            HookLength::Gap => self.hook.gap,
            HookLength::HookWire if shape == HookShape::Tube => None,
            HookLength::Shank => Some(self.hook.shank),
            HookLength::FreeShank => Some(self.marks.free_shank),
            HookLength::Overall => Some(self.hook.overall),
            HookLength::HookWire => Some(self.hook.wire),
            HookLength::Eye => Some(self.hook.eye),
        };
        if found.is_none() {
            let what = if length == HookLength::Gap { "gap" } else { "wire" };
            let name = &self.chart.name.value;
            self.fault(
                Diagnostic::error(format!("a {} has no {what} to measure by (\"{name}\")", shape.word()), at.clone())
                    .right("its length (`shank` or `overall`), another part, or a length in mm"),
            );
        }
        found
    }

    /// A place that only hooks with a bend have.
    fn of_the_bend(&mut self, found: Option<Fig>, what: &str, at: &At) -> Option<Fig> {
        let shape = self.hook.shape;
        if found.is_none() {
            let name = &self.chart.name.value;
            self.fault(
                Diagnostic::error(format!("a {} has no {what} (\"{name}\")", shape.word()), at.clone())
                    .right("a place counted from the eye, its front end, such as `1/2 shank behind the eye`; its rear end is `1 shank behind the eye`"),
            );
        }
        found
    }

    /// The terms of a rule as inputs of a formula: how many, of which length.
    fn terms(&mut self, key: &str, terms: &[Term], at: &At) -> Option<Vec<Fig>> {
        let mut inputs = Vec::new();
        for term in terms {
            let measure = match &term.of {
                Of::Nought => self.unit_length(key, 0.0, at),
                Of::Unit(unit) => {
                    let mm = crate::measure::Quantity { figure: term.times, unit: *unit }.in_unit(Unit::Mm)?;
                    let fig = self.unit_length(key, mm, at);
                    inputs.push(self.sheet_once(key));
                    inputs.push(fig);
                    continue;
                }
                Of::Hook(length) => self.hook_length(*length, &at.bytes(term.within.clone()))?,
                Of::Part(name) => self.lean_on(name, Lean::Length, &at.bytes(term.within.clone()))?,
            };
            let times_key = self.sheet.free_key(&format!("{key}.times"));
            inputs.push(self.said(&times_key, term.times.to_f64(), Unit::One, at));
            inputs.push(measure);
        }
        Some(inputs)
    }

    fn unit_length(&mut self, key: &str, mm: f64, at: &At) -> Fig {
        let key = self.sheet.free_key(&format!("{key}.stated"));
        self.said(&key, mm, Unit::Mm, at)
    }

    fn sheet_once(&mut self, key: &str) -> Fig {
        let key = self.sheet.free_key(&format!("{key}.times"));
        self.sheet.given(key, 1.0, Unit::One, Standing::Stated, "a length in its own unit counts once")
    }

    /// A sum of terms as one figure.
    pub(crate) fn sum(&mut self, key: &str, terms: &[Term], at: &At) -> Option<Fig> {
        if let [Term { times, of: Of::Unit(unit), .. }] = terms {
            let mm = crate::measure::Quantity { figure: *times, unit: *unit }.in_unit(Unit::Mm)?;
            return Some(self.said(key, mm, Unit::Mm, at));
        }
        let inputs = self.terms(key, terms, at)?;
        self.work(key, &SUM_OF_LENGTHS, &inputs, at)
    }

    /// A length rule as a figure with its tolerance beside it (`key.low`, `key.high`).
    pub(crate) fn length(&mut self, key: &str, rule: &Told<Length>) -> Option<Fig> {
        let at = &rule.at;
        let fig = match &rule.value {
            Length::One(terms) => {
                let fig = self.sum(key, terms, at)?;
                self.tolerance(key, fig, at)?;
                fig
            }
            Length::Between(low, high) => {
                let low = self.sum(&format!("{key}.low"), low, at)?;
                let high = self.sum(&format!("{key}.high"), high, at)?;
                if self.value(low) > self.value(high) {
                    self.fault(
                        Diagnostic::error(format!("the range runs from {:.2} mm down to {:.2} mm", self.value(low), self.value(high)), at.clone())
                            .right("the smaller end first"),
                    );
                }
                self.work(key, &MIDDLE, &[low, high], at)?
            }
            Length::Taper(..) => {
                self.fault(
                    Diagnostic::error("a taper (`rising to`) is for the thickness of a body", at.clone())
                        .right("one length, or a range such as `1.5 to 2 gap`"),
                );
                return None;
            }
        };
        if self.value(fig) <= 0.0 || self.value(fig) > 1000.0 {
            self.fault(
                Diagnostic::error(format!("this comes to {:.2} mm on a {} {}", self.value(fig), self.chart.name.value, self.size), at.clone())
                    .right("a length above nought and under a metre"),
            );
            return None;
        }
        Some(fig)
    }

    /// How near the next fly must be.
    pub(crate) fn tolerance(&mut self, key: &str, fig: Fig, at: &At) -> Option<()> {
        let within = match &self.dressing.within {
            Some(within) => self.told(&format!("{key}.within"), &within.clone(), Unit::Mm, Standing::Stated),
            None => {
                let share = self.common("within.share", 0.05, Unit::One, Standing::Usual, "the usual 5 % where a dressing does not say `within`");
                let least = self.common("within.least", 0.3, Unit::Mm, Standing::Usual, "the usual least of 0.3 mm where a dressing does not say `within`");
                self.work(&format!("{key}.within"), &TOLERANCE, &[fig, share, least], at)?
            }
        };
        self.work(&format!("{key}.low"), &LOW, &[fig, within], at)?;
        self.work(&format!("{key}.high"), &HIGH, &[fig, within], at)?;
        Some(())
    }

    /// A figure shared by many rows, set once.
    pub(crate) fn common(&mut self, key: &str, value: f64, unit: Unit, standing: Standing, source: impl Into<Source>) -> Fig {
        match self.sheet.find(key) {
            Some(fig) => fig,
            None => self.sheet.given(key, value, unit, standing, source),
        }
    }

    /// A figure that whoever wants it first works out.
    pub(crate) fn once(&mut self, key: &str, make: impl FnOnce(&mut Self, &str) -> Option<Fig>) -> Option<Fig> {
        match self.sheet.find(key) {
            Some(fig) => Some(fig),
            None => make(self, key),
        }
    }

    /// A place on the hook as a figure along the wire.
    pub(crate) fn place(&mut self, key: &str, place: &Told<Place>) -> Option<Fig> {
        let fig = self.place_anywhere(key, place)?;
        let (s, end) = (self.value(fig), self.value(self.marks.wire_end));
        if !(-1e-9..=end + 1e-9).contains(&s) {
            let last = match self.hook.shape {
                HookShape::Tube => "tube",
                HookShape::BareShank => "shank",
                _ => "bend",
            };
            let what =
                if s < 0.0 { format!("this lies {:.2} mm before the eye", -s) } else { format!("this lies {:.2} mm beyond the end of the {last}", s - end) };
            self.fault(
                Diagnostic::error(format!("{what} on a {} {}", self.chart.name.value, self.size), place.at.clone())
                    .right(format!("a place between the eye (0) and the end of the {last} ({end:.2} mm)")),
            );
            return None;
        }
        Some(fig)
    }

    fn place_anywhere(&mut self, key: &str, place: &Told<Place>) -> Option<Fig> {
        let at = &place.at;
        let mark = match &place.value.mark {
            Landmark::Eye => self.marks.eye_rear,
            Landmark::Barb => self.of_the_bend(self.hook.barb, "barb", at)?,
            Landmark::Point => self.of_the_bend(self.hook.point, "point", at)?,
            Landmark::Bend => self.marks.bend,
            Landmark::ShankEnd => self.of_the_bend(self.hook.gap.map(|_| self.hook.shank), "bend to go round", at)?,
            Landmark::Bead => self.bead(at)?,
            Landmark::Start(name) => self.lean_on(name, Lean::Start, at)?,
            Landmark::End(name) => self.lean_on(name, Lean::End, at)?,
            Landmark::Middle(name) => {
                let start = self.lean_on(name, Lean::Start, at)?;
                let end = self.lean_on(name, Lean::End, at)?;
                let middle = self.sheet.free_key(&format!("{key}.middle"));
                self.work(&middle, &MIDDLE, &[start, end], at)?
            }
        };
        let mut inputs = vec![mark];
        inputs.extend(self.terms(key, &place.value.off, at)?);
        self.work(key, &PLACE, &inputs, at)
    }

    fn bead(&mut self, at: &At) -> Option<Fig> {
        if self.marks.bead == self.marks.eye_rear {
            self.fault(
                Diagnostic::error("this dressing has no bead to be behind", at.clone())
                    .right("a part that is `as: whole`, of a material whose `kind:` is bead and that says its `width:`"),
            );
            return None;
        }
        Some(self.marks.bead)
    }

    /// The straight place (mm from the rear of the eye along the hook's axis) a tip reaches.
    fn straight(&mut self, key: &str, place: &Told<Place>) -> Option<Fig> {
        if place.value.mark == Landmark::Bend {
            let mut inputs = vec![self.hook.bend];
            inputs.extend(self.terms(key, &place.value.off, &place.at)?);
            return self.work(key, &PLACE, &inputs, &place.at);
        }
        if self.level(None) {
            return self.place_anywhere(key, place);
        }
        let along = self.place_anywhere(&format!("{key}.along-wire"), place)?;
        if self.level(Some(along)) {
            return self.work(key, &PLACE, &[along], &place.at);
        }
        self.straightened(key, along, &place.at)
    }

    /// Whether a place (or, with none, every place on the shank) lies as far behind the eye as along the wire.
    fn level(&self, place: Option<Fig>) -> bool {
        match (&self.marks.along, place) {
            (None, _) => true,
            (Some(Along { level_to: Some(end), .. }), Some(place)) => self.value(place) <= self.value(*end) + 1e-9,
            (Some(_), _) => false,
        }
    }

    /// A place along the wire as one straight along the hook.
    fn straightened(&mut self, key: &str, place: Fig, at: &At) -> Option<Fig> {
        let Some(Along { formula, inputs, .. }) = self.marks.along.clone().filter(|_| !self.level(Some(place))) else { return Some(place) };
        let mut all = vec![place];
        all.extend(inputs);
        self.work(key, formula, &all, at)
    }

    /// The length of a part told by the place it reaches.
    pub(crate) fn reach(&mut self, key: &str, part: &str, tied_in: Fig, reach: &Told<Place>) -> Option<Fig> {
        let tip = self.straight(&format!("{part}.tip"), reach)?;
        let tied_in = self.straightened(&format!("{part}.tied-in-straight"), tied_in, &reach.at)?;
        let fig = self.work(key, &DISTANCE, &[tip, tied_in], &reach.at)?;
        self.tolerance(key, fig, &reach.at)?;
        if self.value(fig) < 1e-6 {
            self.fault(
                Diagnostic::error(format!("\"{part}\" is tied in where it is to reach, so it has no length"), reach.at.clone()).right("a place further off"),
            );
            return None;
        }
        Some(fig)
    }

    /// A figure of another part, worked now if it has not been; a circle is a fault that shows it.
    pub(crate) fn lean_on(&mut self, name: &str, lean: Lean, at: &At) -> Option<Fig> {
        let Some(nth) = self.parts.iter().position(|part| part.name.value == words::fold(name)) else {
            self.fault(
                Diagnostic::error(format!("\"{name}\" is not a part of this fly"), at.clone())
                    .right("the name of a part; it may be one the variant leaves out"),
            );
            return None;
        };
        self.figure_of(nth, lean, at)
    }

    pub(crate) fn figure_of(&mut self, nth: usize, lean: Lean, at: &At) -> Option<Fig> {
        if let Some(known) = self.known.get(&(nth, lean)) {
            return *known;
        }
        if let Some(start) = self.under_way.iter().position(|step| *step == (nth, lean)) {
            let circle = self.under_way.split_off(start);
            self.circle(&circle, at);
            self.under_way.extend(circle);
            return None;
        }
        self.under_way.push((nth, lean));
        let fig = super::place_and_length::figure(self, nth, lean, at);
        self.under_way.pop();
        self.known.insert((nth, lean), fig);
        fig
    }

    fn circle(&mut self, circle: &[(usize, Lean)], at: &At) {
        let mut names: Vec<String> = circle.iter().map(|(nth, _)| self.parts[*nth].name.value.clone()).collect();
        names.dedup();
        names.push(names.first().cloned().unwrap_or_default());
        let mut fault = Diagnostic::error(format!("these lengths lean on each other in a circle: {}", names.join(" -> ")), at.clone())
            .right("give one of them by the hook (gap, shank) or in mm");
        // The last of them is where the circle closes, which is the place of the fault itself.
        for (nth, lean) in circle.iter().take(circle.len().saturating_sub(1)) {
            let part = &self.parts[*nth];
            let fields = &part.fields;
            let length = fields.length.as_ref().or(fields.fibre.as_ref()).map(|told| &told.at);
            let place = match lean {
                Lean::Start => [fields.at.as_ref(), fields.from.as_ref()],
                Lean::End => [fields.to.as_ref(), None],
                Lean::Length => [fields.reach.as_ref(), fields.to.as_ref()],
            };
            let place = place.into_iter().flatten().map(|told| &told.at);
            let place = if *lean == Lean::Length { length.into_iter().chain(place).next() } else { place.into_iter().next() };
            let place = place.unwrap_or(&part.name.at).clone();
            fault = fault.also(format!("\"{}\" stands in the circle", part.name.value), place);
        }
        // A circle through a rule that only stands in is that rule's fault, wherever it was met.
        if let Some(ruled) = fault.also.iter().map(|(_, at)| at).find(|at| at.rule.is_some()).cloned() {
            fault.at = Some(ruled);
            fault.also.clear();
        }
        // One circle is told once, from wherever it was first met.
        if !self.faults.iter().any(|other| other.what.starts_with("these lengths lean")) {
            self.fault(fault);
        }
    }

    /// The stretches beneath a span.
    pub(crate) fn beneath(&mut self, from: Fig, to: Fig) -> Option<Vec<Stretch>> {
        self.profile.between(&mut self.sheet, from, to)
    }

    /// The diameter at a place.
    pub(crate) fn across(&mut self, place: Fig) -> Option<Fig> {
        self.profile.across(&mut self.sheet, place)
    }
}
