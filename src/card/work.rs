//! Working a card: the hook, then the steps in order, each part as its turn comes.

use super::silk::Silk;
use super::worker::{Lean, Worker, from, standing};
use super::{Card, Need, WorkedPart};
use super::{amount, astray, complete, formulas::*, hook, order, part, text, usual};
use crate::diagnostic::{Diagnostic, Told};
use crate::dressing::{Act, Bed, Dressing, Material, Part, Shelf, Size, Step, Way};
use crate::measure::{Unit, words};
use crate::why::{Fig, Geometry, Standing};
use std::rc::Rc;

/// Works a dressing for one hook size and variant (by folded name), on its own chart or another (by folded name).
///
/// # Errors
/// Everything that stands against it: a size outside the chart, a circle of lengths, a body thinner than what
/// lies beneath it, a figure left unsaid ...
pub fn work(dressing: &Dressing, size: &Told<Size>, variant: Option<&str>, chart: Option<&str>, shelf: &Shelf) -> Result<Card, Vec<Diagnostic>> {
    let (worker, silk, variant) = set_up(dressing, size, variant, chart, shelf)?;
    run(worker, silk, variant)
}

/// The usual steps of a dressing at one of its sizes, with their words; `None` where it cannot be worked.
pub(super) fn usual_steps(dressing: &Dressing, size: &Told<Size>, shelf: &Shelf) -> Option<Vec<Step>> {
    let card = work(dressing, size, None, None, shelf).ok()?;
    let (mut worker, ..) = set_up(dressing, size, None, None, shelf).ok()?;
    let mut steps = usual::steps(&mut worker);
    let words = text::usual(&steps, &worker.parts, &card.sheet);
    for (step, words) in steps.iter_mut().zip(words) {
        step.text = words.map(|words| Told::new(words, step.at.clone()));
    }
    Some(steps)
}

/// The parts of one size and variant with what the custom says of them.
pub(super) fn completed(dressing: &Dressing, size: &Told<Size>, variant: Option<&str>, shelf: &Shelf) -> Result<Vec<Part>, Vec<Diagnostic>> {
    let (worker, ..) = set_up(dressing, size, variant, None, shelf)?;
    Ok(worker.parts.iter().map(|part| Part::clone(part)).collect())
}

/// A worker with everything laid out, the silk, and the variant's name as written.
type SetUp<'a> = (Worker<'a>, Option<Silks>, Option<String>);

/// The tying silk, and that of the last finish where it is another.
type Silks = (Told<String>, Option<Told<String>>);

fn set_up<'a>(
    dressing: &'a Dressing,
    size: &'a Told<Size>,
    variant: Option<&str>,
    chart: Option<&str>,
    shelf: &'a Shelf,
) -> Result<SetUp<'a>, Vec<Diagnostic>> {
    let chosen = variant.and_then(|name| dressing.variants.get(&words::fold(name)));
    let own = chosen.and_then(|variant| variant.hook.as_ref()).unwrap_or(&dressing.hook);
    let chart_name = chart.map_or_else(|| words::fold(&own.value), words::fold);
    let Some(chart) = shelf.charts.get(&chart_name) else {
        return Err(vec![Diagnostic::error(format!("there is no hook chart \"{}\"", own.value), own.at.clone())]);
    };
    let mut parts = dressing.parts_for(&size.value, chart.old_scale(), variant.map(words::fold).as_deref())?;
    let mut faults = Vec::new();
    amount::resolve(&mut parts, &mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }
    complete::parts(&mut parts, dressing, shelf, chart.shape);
    let mut sheet = Geometry::new();
    let bead = bead(&mut sheet, &parts, shelf);
    let hook = hook::work(&mut sheet, chart, size, bead)?;
    let worker = Worker::new(sheet, (dressing, shelf), (chart, &size.value), parts, hook);
    let silk = chosen.and_then(|variant| variant.silk.clone()).or_else(|| dressing.silks.first().map(|silk| silk.of.clone()));
    let silk = silk.map(|silk| (silk, dressing.silks.get(1).map(|silk| silk.of.clone())));
    Ok((worker, silk, chosen.map(|variant| variant.name.value.clone())))
}

/// A figure of one part on the card of another size, for what a pack is known to give there.
///
/// # Errors
/// What stands against the other card.
pub(super) fn elsewhere(w: &Worker<'_>, part: &str, size: &Size, field: &str) -> Result<Option<f64>, Vec<Diagnostic>> {
    // The other card is worked without what packs give, so that it cannot ask for this one in turn.
    let told = Told::new(size.clone(), w.dressing.name.at.clone());
    let (mut worker, silk, variant) = set_up(w.dressing, &told, w.variant.as_deref(), Some(&w.chart.name.value), w.shelf)?;
    worker.asks_packs = false;
    let card = run(worker, silk, variant)?;
    Ok(card.sheet.find(&format!("{part}.{field}")).map(|fig| card.sheet.value(fig)))
}

/// The bead's length along the hook, if the fly has one: the first whole part of a material whose kind is a bead.
fn bead(sheet: &mut Geometry, parts: &[Part], shelf: &Shelf) -> Option<Fig> {
    let (part, material) = parts.iter().find_map(|part| {
        let of = part.fields.of.as_ref()?;
        let material = shelf.materials.get(&words::fold(&of.value))?;
        (part.fields.way.as_ref()?.value == Way::Whole && is_bead(material)).then_some((part, material))
    })?;
    let name = &part.name.value;
    let width = material.width.as_ref()?;
    let across = sheet.given(format!("{name}.across"), width.value, Unit::Mm, Standing::Stated, from(&width.at));
    match &material.hole {
        Some(hole) => {
            let hole = sheet.given(format!("{name}.hole"), hole.value, Unit::Mm, Standing::Stated, from(&hole.at));
            sheet.work(format!("{name}.length"), &BEAD_LENGTH, &[across, hole])
        }
        None => {
            let none = sheet.given(
                format!("{name}.hole"),
                0.0,
                Unit::Mm,
                Standing::Assumed,
                "the hole is not stated in materials.yaml, so the bead's whole diameter is taken for its length",
            );
            sheet.work(format!("{name}.length"), &BEAD_LENGTH, &[across, none])
        }
    }
}

pub(super) fn is_bead(material: &Material) -> bool {
    material.kind.as_ref().is_some_and(|kind| kind.value.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|word| word == "bead" || word == "beads"))
}

struct Bench<'a, 'b> {
    w: Worker<'a>,
    silk: Silk,
    /// The silk of the last finish, where it is another.
    head: Option<Silk>,
    /// Finishes still to come.
    finishes: usize,
    worked: Vec<Option<(WorkedPart, Vec<Need>)>>,
    tried: Vec<bool>,
    coats: Vec<Need>,
    named_in_wind: &'b [String],
    named_in_tie: &'b [String],
}

fn run(mut w: Worker<'_>, silks: Option<Silks>, variant: Option<String>) -> Result<Card, Vec<Diagnostic>> {
    let Some((silk_told, head_told)) = silks else {
        return Err(vec![Diagnostic::error("no silk is named", w.dressing.name.at.clone()).right("`silk:` with a material")]);
    };
    w.variant.clone_from(&variant);
    let steps =
        if w.dressing.steps.is_empty() { usual::steps(&mut w) } else { w.dressing.steps.iter().filter(|step| concerns(step, &w.parts)).cloned().collect() };
    if !w.dressing.steps.is_empty() {
        order::advise(&mut w, &steps);
    }
    let wound = named(&steps, |act| if let Act::Wind(parts) = act { Some(parts) } else { None });
    let tied = named(&steps, |act| if let Act::TieIn(parts) = act { Some(parts) } else { None });
    let Some(silk) = Silk::start(&mut w, "silk", &silk_told, None) else {
        return Err(no_silk(w, &silk_told));
    };
    let head = match &head_told {
        Some(told) => match Silk::start(&mut w, "head-silk", told, Some(&silk)) {
            Some(head) => Some(head),
            None => return Err(no_silk(w, told)),
        },
        None => None,
    };
    let finishes = steps.iter().flat_map(|step| &step.acts).filter(|act| matches!(act, Act::Finish(_))).count();
    let count = w.parts.len();
    let mut bench =
        Bench { w, silk, head, finishes, worked: vec![None; count], tried: vec![false; count], coats: Vec::new(), named_in_wind: &wound, named_in_tie: &tied };
    let mut outline = Vec::new();
    for (nth, step) in steps.iter().enumerate() {
        let (ties, winds) = bench.step(step);
        outline.push((nth, ties, winds));
    }
    for nth in 0..count {
        if !bench.tried[nth] {
            bench.unnamed(nth);
            bench.make(nth);
        }
    }
    let Bench { mut w, silk, head, worked, coats, .. } = bench;
    let silk_name = silk.material().to_owned();
    let silk_need = silk.total(&mut w, &silk_told);
    let head_silk = head.as_ref().map(|head| head.material().to_owned());
    let head_need = head.zip(head_told).and_then(|(head, told)| head.total(&mut w, &told));
    let one = w.sheet.given("hook.amount", 1.0, Unit::One, Standing::Stated, "one hook a fly; the chart's bad ones are added when a run is planned");
    let hook_need = Need {
        part: "hook".to_owned(),
        material: words::fold(&w.chart.name.value),
        size: Some(w.size.clone()),
        way: Way::Whole,
        amount: one,
        share: None,
        share_of_piece: None,
        along: None,
    };
    let mut parts = Vec::new();
    let mut needs = vec![hook_need];
    needs.extend(silk_need);
    needs.extend(head_need);
    for (part, own) in worked.into_iter().flatten() {
        parts.push(part);
        needs.extend(own);
    }
    needs.extend(coats);
    if parts.len() < count && w.faults.is_empty() {
        w.fault(Diagnostic::error("a part of this fly could not be worked", w.dressing.name.at.clone()));
    }
    if w.faults.is_empty() {
        astray::told(&mut w, &parts);
    }
    let worked_steps = if w.faults.is_empty() { text::steps(&mut w, &steps, &outline, &parts) } else { Vec::new() };
    if !w.faults.is_empty() {
        return Err(w.faults);
    }
    Ok(Card {
        sheet: w.sheet,
        dressing: w.dressing.name.value.clone(),
        kind: w.dressing.kind.value.clone(),
        revision: w.dressing.revision,
        size: w.size.clone(),
        variant,
        chart: w.chart.name.value.clone(),
        shown: w.shelf.terms.shown,
        hook: w.hook,
        silk: silk_name,
        head_silk,
        parts,
        steps: worked_steps,
        needs,
        advice: w.advice,
    })
}

/// The folded names of all parts that acts of one sort name.
fn named<'s>(steps: &'s [Step], parts: impl Fn(&'s Act) -> Option<&'s Vec<Told<String>>>) -> Vec<String> {
    steps.iter().flat_map(|step| &step.acts).filter_map(parts).flatten().map(|told| words::fold(&told.value)).collect()
}

fn no_silk(mut w: Worker<'_>, told: &Told<String>) -> Vec<Diagnostic> {
    w.fault(Diagnostic::error(format!("the silk \"{}\" is not a material of this bench", told.value), told.at.clone()));
    w.faults
}

/// Whether a step has anything to do on this fly: one that only handles parts the variant has not is passed over,
/// with its time.
fn concerns(step: &Step, parts: &[Rc<Part>]) -> bool {
    let handled = |act: &Act| match act {
        Act::TieIn(names) | Act::Wind(names) | Act::Fold(names) | Act::Stand(names) | Act::Clip(names) => {
            Some(names.iter().any(|name| parts.iter().any(|part| part.name.value == words::fold(&name.value))))
        }
        _ => None,
    };
    step.acts.is_empty() || step.acts.iter().any(|act| handled(act).unwrap_or(true))
}

impl Bench<'_, '_> {
    /// Does a step; gives the parts it ties in and winds.
    fn step(&mut self, step: &Step) -> (Vec<usize>, Vec<usize>) {
        let mut acts: Vec<&Act> = step.acts.iter().collect();
        acts.sort_by_key(|act| turn(act));
        let (mut ties, mut winds) = (Vec::new(), Vec::new());
        for act in acts {
            match act {
                Act::TieIn(parts) => ties.extend(self.indices(parts)),
                Act::Wind(parts) => winds.extend(self.indices(parts)),
                Act::Fold(parts) => ties.extend(self.on_already(parts)),
                _ => {}
            }
            // A missing figure has been told as a fault; the rest of the steps may show more.
            let _ = self.act(act, step);
        }
        (ties, winds)
    }

    fn indices(&self, parts: &[Told<String>]) -> Vec<usize> {
        parts.iter().filter_map(|told| self.w.parts.iter().position(|part| part.name.value == words::fold(&told.value))).collect()
    }

    /// Parts that are folded without being tied in: fibres that go on from another part are on the hook already.
    fn on_already(&self, parts: &[Told<String>]) -> Vec<usize> {
        let untied = |nth: &usize| {
            let part = &self.w.parts[*nth];
            part.fields.carries_on.is_some() && !self.named_in_tie.contains(&part.name.value) && !self.named_in_wind.contains(&part.name.value)
        };
        self.indices(parts).into_iter().filter(untied).collect()
    }

    fn act(&mut self, act: &Act, step: &Step) -> Option<()> {
        let at = &step.at;
        match act {
            Act::Silk { bed, from, to } => {
                let start = self.w.sheet.fresh_key("silk.from");
                let start = self.w.place(&start, from)?;
                let end = self.w.sheet.fresh_key("silk.to");
                let end = self.w.place(&end, to)?;
                match bed {
                    Bed::Touching => self.silk.bed(&mut self.w, start, end, at),
                    Bed::Open => {
                        self.silk.travel(&mut self.w, start, at)?;
                        self.silk.travel(&mut self.w, end, at)
                    }
                    Bed::Turns(count) => self.silk.turns(&mut self.w, &Told::new(*count, from.at.clone()), Some((start, end))),
                }
            }
            Act::SilkTurns { turns, at: place } => {
                let span = match place {
                    Some(place) => {
                        let key = self.w.sheet.fresh_key("silk.at");
                        let fig = self.w.place(&key, place)?;
                        Some((fig, fig))
                    }
                    None => None,
                };
                self.silk.turns(&mut self.w, turns, span)
            }
            Act::TieIn(parts) => {
                for nth in self.indices(parts) {
                    let place = self.w.figure_of(nth, Lean::Start, at);
                    match place {
                        Some(place) => self.silk.bind(&mut self.w, place, at)?,
                        None => self.silk.bind_here(&mut self.w, at)?,
                    }
                    let name = &self.w.parts[nth].name.value;
                    if !self.named_in_wind.contains(name) {
                        self.make(nth);
                    }
                }
                Some(())
            }
            Act::Wind(parts) => {
                for nth in self.indices(parts) {
                    // The silk waits at the far end, under the last turns.
                    if let Some(end) = self.w.figure_of(nth, Lean::End, at).filter(|_| self.silk.hangs()) {
                        self.silk.travel(&mut self.w, end, at)?;
                    }
                    self.make(nth);
                }
                Some(())
            }
            Act::Fold(parts) => {
                for _ in self.indices(parts) {
                    self.silk.bind_here(&mut self.w, at)?;
                }
                for nth in self.on_already(parts) {
                    self.make(nth);
                }
                Some(())
            }
            Act::Finish(count) => {
                self.finishes = self.finishes.saturating_sub(1);
                let last = if self.finishes == 0 { self.head.as_mut() } else { None };
                last.unwrap_or(&mut self.silk).finish(&mut self.w, count.value.to_f64(), standing(&count.at), from(&count.at), at)
            }
            Act::Coat(of) => {
                // A coat that stands among the parts is that part, not one more.
                let folded = words::fold(&of.value);
                let part = |part: &Rc<Part>| {
                    let is_coat = part.fields.way.as_ref().is_some_and(|way| way.value == Way::Coat);
                    is_coat && (part.name.value == folded || part.fields.of.as_ref().is_some_and(|own| words::fold(&own.value) == folded))
                };
                if let Some(nth) = self.w.parts.iter().position(part) {
                    self.make(nth);
                    return Some(());
                }
                let need = part::step_coat(&mut self.w, of)?;
                self.coats.push(need);
                Some(())
            }
            Act::Stand(_) | Act::Clip(_) | Act::TurnOver => Some(()),
        }
    }

    /// A part that no written step ties in or winds: it is worked last, and the dresser is told. Beads and coats go
    /// on without a step of their own.
    fn unnamed(&mut self, nth: usize) {
        let part = &self.w.parts[nth];
        let own = part.fields.way.as_ref().is_some_and(|way| matches!(way.value, Way::Whole | Way::Coat));
        if !own && !self.w.dressing.steps.is_empty() {
            let advice = Diagnostic::advice(format!("no step ties in or winds \"{}\", so it is taken to go on last", part.name.value), part.name.at.clone());
            self.w.advise(advice.right("its name in a step's `tie-in:` or `wind:`"));
            let at = self.w.parts[nth].name.at.clone();
            if let Some(place) = self.w.figure_of(nth, Lean::Start, &at) {
                let _ = self.silk.bind_unnamed(&mut self.w, place, &at);
            }
        }
    }

    /// Works a part now and lets the profile grow by it.
    fn make(&mut self, nth: usize) {
        if std::mem::replace(&mut self.tried[nth], true) {
            return;
        }
        self.lies_under(nth);
        let Some(made) = part::work(&mut self.w, nth) else { return };
        if made.making.part.amount.is_none() {
            self.w.open.push(made.making.part.name.clone());
        }
        let grown = made.making.growth.iter().try_for_each(|growth| amount::grow(&mut self.w, growth));
        if grown.is_none() && self.w.faults.is_empty() {
            let at = self.w.parts[nth].name.at.clone();
            self.w.fault(Diagnostic::error(format!("what lies on the hook after \"{}\" has no result", made.making.part.name), at));
        }
        made.making.silk.iter().for_each(|length| self.silk.also(*length));
        self.worked[nth] = Some((made.making.part, made.needs));
    }

    /// What lies under a part goes on before it; the dresser is told where the steps have it the other way.
    fn lies_under(&mut self, nth: usize) {
        let part = &self.w.parts[nth];
        let Some(told) = &part.fields.under else { return };
        let other = self.w.parts.iter().position(|other| other.name.value == told.value);
        if other.and_then(|other| self.tried.get(other)).is_some_and(|tried| *tried) {
            let what = format!("\"{}\" lies under \"{}\", but goes on after it", part.name.value, told.value);
            let advice = Diagnostic::advice(what, told.at.clone()).right("its name in an earlier step, or before the other in one `wind:`");
            self.w.advise(advice);
        }
    }
}

/// Within one step: silk first, then what is tied in, wound, folded, and last the finish and its coat.
fn turn(act: &Act) -> u8 {
    match act {
        Act::TurnOver => 0,
        Act::Silk { .. } | Act::SilkTurns { .. } => 1,
        Act::TieIn(_) => 2,
        Act::Stand(_) => 3,
        Act::Wind(_) => 4,
        Act::Fold(_) => 5,
        Act::Clip(_) => 6,
        Act::Finish(_) => 7,
        Act::Coat(_) => 8,
    }
}
