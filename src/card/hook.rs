//! The hook's figures: from the chart, between two sizes of it, or by rule of thumb; each marked so.

use super::Hook;
use super::formulas::*;
use super::worker::{Marks, from};
use crate::diagnostic::{Diagnostic, Told};
use crate::dressing::{HookChart, HookMeasure, Size};
use crate::measure::Unit;
use crate::why::{Fig, Formula, Geometry, Standing};

/// Density of hook steel, g/cm³.
const STEEL: f64 = 7.85;
const STEEL_SOURCE: &str = "steel, rolled: SImetric, Density of metals; the same in Physical Properties of Textile Fibres, ch. 5";

/// Puts the hook's figures on to the sheet.
pub(crate) fn work(sheet: &mut Geometry, chart: &HookChart, size: &Told<Size>, bead: Option<Fig>) -> Result<(Hook, Marks), Vec<Diagnostic>> {
    let mut faults = Vec::new();
    let mut need = |sheet: &mut Geometry, measure| match figure(sheet, chart, &size.value, measure) {
        Some(fig) => Some(fig),
        None => {
            faults.push(not_in_chart(chart, size, measure));
            None
        }
    };
    let gap = need(sheet, HookMeasure::Gap);
    let shank = need(sheet, HookMeasure::Shank);
    let wire = need(sheet, HookMeasure::HookWire);
    let (Some(gap), Some(shank), Some(wire)) = (gap, shank, wire) else {
        faults.dedup_by(|a, b| a.what == b.what);
        return Err(faults);
    };
    finish(sheet, chart, size, bead, gap, shank, wire).map_err(|fault| vec![*fault])
}

fn finish(
    sheet: &mut Geometry,
    chart: &HookChart,
    size: &Told<Size>,
    bead: Option<Fig>,
    gap: Fig,
    shank: Fig,
    wire: Fig,
) -> Result<(Hook, Marks), Box<Diagnostic>> {
    let broken = |what: String| {
        let at = chart.sizes.get(&size.value).and_then(|figures| figures.values().next()).map_or_else(|| chart.name.at.clone(), |figure| figure.at.clone());
        Box::new(
            Diagnostic::error(format!("{what} (chart \"{}\", size {})", chart.name.value, size.value), at)
                .right("figures that go together: measure one hook again"),
        )
    };
    let no_result = || broken("the hook's figures have no result".to_owned());
    let rule = |sheet: &mut Geometry, measure: HookMeasure, terms: &[(f64, Fig)]| -> Option<Fig> {
        figure(sheet, chart, &size.value, measure).or_else(|| by_rule_of_thumb(sheet, measure, terms))
    };
    let eye = rule(sheet, HookMeasure::Eye, &[(2.5, wire)]).ok_or_else(no_result)?;
    let overall = rule(sheet, HookMeasure::Overall, &[(1.0, eye), (1.0, shank), (0.45, gap), (1.0, wire)]).ok_or_else(no_result)?;
    let barb = rule(sheet, HookMeasure::Barb, &[(1.0, shank), (-0.2, gap)]).ok_or_else(no_result)?;
    let point = rule(sheet, HookMeasure::Point, &[(1.0, shank), (-0.5, gap)]).ok_or_else(no_result)?;

    let v = |sheet: &Geometry, fig| sheet.value(fig);
    let depth = v(sheet, overall) - v(sheet, eye) - v(sheet, shank) - v(sheet, wire) / 2.0;
    if depth <= 0.0 {
        return Err(broken(format!(
            "overall {:.2} mm leaves no room for the bend behind the eye ({:.2} mm) and the shank ({:.2} mm)",
            v(sheet, overall),
            v(sheet, eye),
            v(sheet, shank)
        )));
    }
    if v(sheet, eye) < 2.0 * v(sheet, wire) {
        return Err(broken(format!("an eye of {:.2} mm is no longer than twice its wire of {:.2} mm", v(sheet, eye), v(sheet, wire))));
    }
    if v(sheet, point) <= 0.0 || v(sheet, point) > v(sheet, shank) || v(sheet, barb) < v(sheet, point) || v(sheet, barb) > v(sheet, overall) {
        return Err(broken(format!(
            "point at {:.2} mm and barb at {:.2} mm do not go with a shank of {:.2} mm: the point lies before the barb",
            v(sheet, point),
            v(sheet, barb),
            v(sheet, shank)
        )));
    }
    let negative_one = sheet.given("hook.bend.times", -1.0, Unit::One, Standing::Stated, "the eye's length is taken away");
    let bend = sheet.work("hook.bend", &PLACE, &[overall, negative_one, eye]).ok_or_else(no_result)?;
    let arc = sheet.work("hook.bend-arc", &BEND_ARC, &[overall, eye, shank, wire, gap]).ok_or_else(no_result)?;
    let along = sheet.work("hook.bend-along-wire", &ALONG_BEND, &[shank, arc]).ok_or_else(no_result)?;
    let wire_end = sheet.work("hook.bend-end", &WIRE_END, &[shank, arc]).ok_or_else(no_result)?;
    let wire_length = sheet.work("hook.wire-length", &WIRE_LENGTH, &[eye, wire, shank, arc, point]).ok_or_else(no_result)?;
    let steel = sheet.given("hook.steel-density", STEEL, Unit::GPerCm3, Standing::Published, STEEL_SOURCE);
    let mass = sheet.work("hook.mass", &WIRE_MASS, &[wire_length, wire, steel]).ok_or_else(no_result)?;

    let eye_rear = sheet.given("hook.eye-rear", 0.0, Unit::Mm, Standing::Stated, "places are counted from here");
    let bead_length = bead.unwrap_or(eye_rear);
    let free_shank = sheet.work("hook.free-shank", &FREE_SHANK, &[shank, bead_length, eye]).ok_or_else(no_result)?;
    let hook = Hook { gap, shank, wire, overall, eye, barb, point, bend, mass, turn: chart.eye };
    Ok((hook, Marks { eye_rear, bend: along, bead: bead_length, free_shank, wire_end }))
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
        let source = if told.source.is_empty() { from(&told.at) } else { format!("{}; {}", from(&told.at), told.source) };
        Some(sheet.given(key, told.mm, Unit::Mm, told.standing, source))
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
    sheet.work(key, &INTERPOLATE, &[at_larger, at_smaller, rank_larger, rank_smaller, rank_here])
}

fn by_rule_of_thumb(sheet: &mut Geometry, measure: HookMeasure, terms: &[(f64, Fig)]) -> Option<Fig> {
    static RULE: &Formula<f64> = &SUM_OF_LENGTHS;
    let key = format!("hook.{}", measure.key());
    let mut inputs = Vec::new();
    for (times, fig) in terms {
        let times_key = sheet.free_key(&format!("{key}.times"));
        inputs.push(sheet.given(
            times_key,
            *times,
            Unit::One,
            Standing::RuleOfThumb,
            "rule of thumb, no source: measure a hook and put the figure in the chart",
        ));
        inputs.push(*fig);
    }
    sheet.work(key, RULE, &inputs)
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
