//! The hook's figures: from the chart, between two sizes of it, or by rule of thumb; each marked so. What holds for
//! every shape stands here; a shank that is bent, a tube and a bare shank each have a file of their own.

mod bent;
mod formulas;
pub(crate) mod path;
mod without_bend;

use super::Hook;
use super::formulas::*;
use super::worker::{Along, Marks, from};
use crate::diagnostic::{Diagnostic, Told};
use crate::dressing::{HookChart, HookMeasure, HookShape, Size};
use crate::measure::Unit;
use crate::why::{Fig, Formula, Geometry, Standing};
use formulas::*;

/// Density of hook steel, g/cm³.
const STEEL: f64 = 7.85;
const STEEL_SOURCE: &str = "steel, rolled: SImetric, Density of metals; the same in Physical Properties of Textile Fibres, ch. 5";
const THUMB: &str = "rule of thumb, no source: measure a hook and put the figure in the chart";

/// A fault, or nothing to say beyond the faults already told.
type Made<T> = Result<T, Box<Diagnostic>>;

/// Puts the hook's figures on to the sheet.
pub(crate) fn work(sheet: &mut Geometry, chart: &HookChart, size: &Told<Size>, bead: Option<Fig>) -> Result<(Hook, Marks), Vec<Diagnostic>> {
    let mut making = Making { sheet, chart, size, bead };
    let mut faults = Vec::new();
    let mut needed = Vec::new();
    for measure in chart.shape.needs() {
        match making.given(*measure) {
            Some(fig) => needed.push(fig),
            None => faults.push(not_in_chart(chart, size, *measure)),
        }
    }
    faults.dedup_by(|a, b| a.what == b.what);
    let made = match (chart.shape, needed.as_slice()) {
        (HookShape::Tube, [length, outside, inside]) => making.tube(*length, *outside, *inside),
        (HookShape::BareShank, [shank, wire]) => making.bare_shank(*shank, *wire),
        (HookShape::Straight | HookShape::Double, [gap, shank, wire]) => making.straight(*gap, *shank, *wire),
        (HookShape::Curved | HookShape::Swimming, [gap, shank, wire]) => making.curved(*gap, *shank, *wire),
        (HookShape::Jig, [gap, shank, wire]) => making.jig(*gap, *shank, *wire),
        _ => return Err(faults),
    };
    made.map_err(|fault| vec![*fault])
}

/// A hook being worked.
struct Making<'a> {
    sheet: &'a mut Geometry,
    chart: &'a HookChart,
    size: &'a Told<Size>,
    bead: Option<Fig>,
}

/// What every hook with a bend has.
#[derive(Clone, Copy)]
struct Common {
    gap: Fig,
    shank: Fig,
    wire: Fig,
    eye: Fig,
    barb: Fig,
    point: Fig,
}

impl Making<'_> {
    fn v(&self, fig: Fig) -> f64 {
        self.sheet.value(fig)
    }

    /// A fault of the chart's figures for this size.
    fn broken(&self, what: &str) -> Box<Diagnostic> {
        let figures = self.chart.sizes.get(&self.size.value).and_then(|figures| figures.values().next());
        let at = figures.map_or_else(|| self.chart.name.at.clone(), |figure| figure.at.clone());
        let fault = Diagnostic::error(format!("{what} (chart \"{}\", size {})", self.chart.name.value, self.size.value), at);
        Box::new(fault.right("figures that go together: measure one hook again"))
    }

    fn row(&mut self, key: &str, formula: &'static Formula<f64>, inputs: &[Fig]) -> Made<Fig> {
        self.sheet.work(key, formula, inputs).ok_or_else(|| self.broken("the hook's figures have no result"))
    }

    /// A chart's figure, or one between two of its sizes; `None` when the chart does not give it there.
    fn given(&mut self, measure: HookMeasure) -> Option<Fig> {
        figure(self.sheet, self.chart, &self.size.value, measure)
    }

    /// A chart's figure, else a sum of others by rule of thumb.
    fn rule(&mut self, measure: HookMeasure, terms: &[(f64, Fig)]) -> Made<Fig> {
        match self.given(measure) {
            Some(fig) => Ok(fig),
            None => self.thumb(&format!("hook.{}", measure.key()), terms),
        }
    }

    fn thumb(&mut self, key: &str, terms: &[(f64, Fig)]) -> Made<Fig> {
        let mut inputs = Vec::new();
        for (times, fig) in terms {
            let times_key = self.sheet.free_key(&format!("{key}.times"));
            inputs.push(self.sheet.given(times_key, *times, Unit::One, Standing::RuleOfThumb, THUMB));
            inputs.push(*fig);
        }
        self.row(key, &SUM_OF_LENGTHS, &inputs)
    }

    /// A chart's angle, else a usual one, degrees.
    fn angle(&mut self, measure: HookMeasure, usual: f64) -> Fig {
        match self.given(measure) {
            Some(fig) => fig,
            None => self.sheet.given(format!("hook.{}", measure.key()), usual, Unit::Degree, Standing::RuleOfThumb, THUMB),
        }
    }

    /// The eye, and nothing less than a ring of the wire.
    fn eye(&mut self, wire: Fig) -> Made<Fig> {
        self.rule(HookMeasure::Eye, &[(2.5, wire)])
    }

    fn sound_eye(&self, eye: Fig, wire: Fig) -> Made<()> {
        let (eye, wire) = (self.v(eye), self.v(wire));
        if eye < 2.0 * wire {
            return Err(self.broken(&format!("an eye of {eye:.2} mm is no longer than twice its wire of {wire:.2} mm")));
        }
        Ok(())
    }

    fn sound_point(&self, hook: Common, overall: Fig) -> Made<()> {
        let (gap, wire) = (self.v(hook.gap), self.v(hook.wire));
        if wire > gap / 2.0 {
            return Err(self.broken(&format!("a wire of {wire:.2} mm does not go with a gap of {gap:.2} mm: it is more than half of it")));
        }
        let (point, barb, shank) = (self.v(hook.point), self.v(hook.barb), self.v(hook.shank));
        if point <= 0.0 || point > shank || barb < point || barb > self.v(overall) {
            return Err(self
                .broken(&format!("point at {point:.2} mm and barb at {barb:.2} mm do not go with a shank of {shank:.2} mm: the point lies before the barb")));
        }
        Ok(())
    }

    /// The mass of so much wire, of steel where the chart does not say otherwise.
    fn wire_mass(&mut self, length: Fig, wire: Fig) -> Made<Fig> {
        let density = match &self.chart.density {
            Some(told) => self.sheet.given("hook.density", told.value, Unit::GPerCm3, Standing::Stated, from(&told.at)),
            None => self.sheet.given("hook.steel-density", STEEL, Unit::GPerCm3, Standing::Published, STEEL_SOURCE),
        };
        self.row("hook.mass", &WIRE_MASS, &[length, wire, density])
    }

    /// The places every hook has. `bend`: its rearmost, along the wire.
    fn marks(&mut self, shank: Fig, eye: Fig, bend: Fig, wire_end: Fig, along: Option<Along>) -> Made<Marks> {
        let eye_rear = self.sheet.given("hook.eye-rear", 0.0, Unit::Mm, Standing::Stated, "places are counted from here");
        let bead = self.bead.unwrap_or(eye_rear);
        let free_shank = self.row("hook.free-shank", &FREE_SHANK, &[shank, bead, eye])?;
        Ok(Marks { eye_rear, bend, bead, free_shank, wire_end, along })
    }

    fn straight(&mut self, gap: Fig, shank: Fig, wire: Fig) -> Made<(Hook, Marks)> {
        let eye = self.eye(wire)?;
        let overall = self.rule(HookMeasure::Overall, &[(1.0, eye), (1.0, shank), (0.45, gap), (1.0, wire)])?;
        let barb = self.rule(HookMeasure::Barb, &[(1.0, shank), (-0.2, gap)])?;
        let point = self.rule(HookMeasure::Point, &[(1.0, shank), (-0.5, gap)])?;
        let common = Common { gap, shank, wire, eye, barb, point };
        if self.v(overall) - self.v(eye) - self.v(shank) - self.v(wire) / 2.0 <= 0.0 {
            return Err(self.no_room(overall, eye, shank));
        }
        self.sound_eye(eye, wire)?;
        self.sound_point(common, overall)?;
        let negative_one = self.sheet.given("hook.bend.times", -1.0, Unit::One, Standing::Stated, "the eye's length is taken away");
        let bend = self.row("hook.bend", &PLACE, &[overall, negative_one, eye])?;
        let arc = self.row("hook.bend-arc", &BEND_ARC, &[overall, eye, shank, wire, gap])?;
        let along = self.row("hook.bend-along-wire", &ALONG_BEND, &[shank, arc])?;
        let wire_end = self.row("hook.bend-end", &WIRE_END, &[shank, arc])?;
        let double = self.chart.shape == HookShape::Double;
        let formula = if double { &WIRE_LENGTH_DOUBLE } else { &WIRE_LENGTH };
        let wire_length = self.row("hook.wire-length", formula, &[eye, wire, shank, arc, point])?;
        let mass = self.wire_mass(wire_length, wire)?;
        let (mut across, mut angle) = (wire, None);
        if double {
            across = self.row("hook.across", &TWO_WIRES, &[wire])?;
            angle = Some(self.angle(HookMeasure::Spread, 70.0));
        }
        let straighten = Along { formula: &ALONG_STRAIGHT, inputs: vec![shank, overall, eye, wire, gap], level_to: Some(shank) };
        let marks = self.marks(shank, eye, along, wire_end, Some(straighten))?;
        Ok((Hook { across, angle, ..self.hook(common, overall, bend, mass) }, marks))
    }

    fn no_room(&self, overall: Fig, eye: Fig, shank: Fig) -> Box<Diagnostic> {
        self.broken(&format!(
            "overall {:.2} mm leaves no room for the bend behind the eye ({:.2} mm) and the shank ({:.2} mm)",
            self.v(overall),
            self.v(eye),
            self.v(shank)
        ))
    }

    fn hook(&self, common: Common, overall: Fig, bend: Fig, mass: Fig) -> Hook {
        let Common { gap, shank, wire, eye, barb, point } = common;
        Hook { gap: Some(gap), barb: Some(barb), point: Some(point), ..self.without_bend(shank, wire, overall, eye, bend, mass) }
    }
}

/// What stands against the hook of one of a chart's own sizes: figures that do not go together, or are missing.
pub fn faults(chart: &HookChart, size: &Size) -> Vec<Diagnostic> {
    let told = Told::new(size.clone(), chart.name.at.clone());
    work(&mut Geometry::new(), chart, &told, None).err().into_iter().flatten().collect()
}

/// One figure of a chart at a size, in mm with its standing, given or between two given; `None` where the chart does
/// not reach.
pub fn one(chart: &HookChart, size: &Size, measure: HookMeasure) -> Option<(f64, Standing)> {
    let mut sheet = Geometry::new();
    let fig = figure(&mut sheet, chart, size, measure)?;
    Some((sheet.value(fig), sheet.at(fig).standing))
}

/// A chart's figure, or one between two of its sizes; `None` when the chart does not give it there.
fn figure(sheet: &mut Geometry, chart: &HookChart, size: &Size, measure: HookMeasure) -> Option<Fig> {
    let (larger, smaller) = chart.around(size, measure)?;
    let key = format!("hook.{}", measure.key());
    let given = |sheet: &mut Geometry, key: &str, size: &Size| -> Option<Fig> {
        let told = chart.sizes.get(size)?.get(&measure)?;
        let source = if told.source.is_empty() { from(&told.at) } else { format!("{}; {}", told.at.in_words(), told.source).into() };
        Some(sheet.given(key, told.value, measure.unit(), told.standing, source))
    };
    if larger == smaller {
        return given(sheet, &key, larger);
    }
    let old = chart.old_scale();
    let at_larger = given(sheet, &format!("{key}.at {larger}"), larger)?;
    let at_smaller = given(sheet, &format!("{key}.at {smaller}"), smaller)?;
    let mut rank = |of: &Size, standing: Standing| {
        let key = format!("hook.rank of {of}");
        match sheet.find(&key) {
            Some(fig) => fig,
            None => sheet.given(key, of.rank(old) as f64, Unit::One, standing, "the place of the size among sizes"),
        }
    };
    let (rank_larger, rank_smaller) = (rank(larger, Standing::Stated), rank(smaller, Standing::Stated));
    // The size itself is not in the chart, so whatever rests on its rank is an interpolation.
    let rank_here = rank(size, Standing::Interpolated);
    let formula = if measure.unit() == Unit::Degree { &INTERPOLATE_ANGLE } else { &INTERPOLATE };
    sheet.work(key, formula, &[at_larger, at_smaller, rank_larger, rank_smaller, rank_here])
}

fn not_in_chart(chart: &HookChart, size: &Told<Size>, measure: HookMeasure) -> Diagnostic {
    let given: Vec<&str> = chart.sizes_by_rank().iter().map(|size| size.text()).collect();
    if chart.sizes.contains_key(&size.value) {
        return Diagnostic::error(format!("chart \"{}\" gives no {} for size {}", chart.name.value, measure.key(), size.value), chart.name.at.clone())
            .right(format!("`{}:` in mm under size {}", measure.key(), size.value));
    }
    Diagnostic::error(format!("size {} is not in the chart \"{}\", nor between two sizes of it", size.value, chart.name.value), size.at.clone())
        .also("the chart", chart.name.at.clone())
        .right(format!("a size from {} to {}", given.first().unwrap_or(&"?"), given.last().unwrap_or(&"?")))
}
