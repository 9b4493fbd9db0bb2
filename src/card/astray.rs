//! What a card has to say of its dressing beside the custom of its kind: what stays open because nobody says it, and
//! what is said but lies outside all that was published for that kind of fly.

use super::WorkedPart;
use super::complete::{Ground, called};
use super::custom::{self, Meaning, Row};
use super::worker::Worker;
use crate::diagnostic::{At, Diagnostic, nearest};
use crate::dressing::{HookLength, Landmark, Length, Of, Part, Place, Term};
use crate::measure::{Unit, words::Words};

/// Tells both as advice.
pub(super) fn told(w: &mut Worker<'_>, parts: &[WorkedPart]) {
    open(w);
    let mut ground = Ground::new(&w.parts, w.dressing, w.chart.shape);
    ground.look_for_bead(&w.parts, w.shelf);
    let found: Vec<Diagnostic> = w.parts.iter().zip(parts).flat_map(|(part, worked)| outside(w, &ground, part, worked, parts)).collect();
    found.into_iter().for_each(|advice| w.advise(advice));
}

/// What is open, in one piece of advice with its mend.
fn open(w: &mut Worker<'_>) {
    let Some(first) = w.missing.first() else { return };
    let kind = &w.dressing.kind;
    let of_part = |part: &Part| -> Option<String> {
        let what: Vec<&str> = w.missing.iter().filter(|missing| missing.part == part.name.value).map(|missing| missing.what).collect();
        (!what.is_empty()).then(|| format!("of \"{}\": {}", part.name.value, what.join(", ")))
    };
    let what = w.parts.iter().filter_map(|part| of_part(part)).collect::<Vec<_>>().join("; ");
    let custom = custom::Custom::of(&kind.value, w.dressing.like.as_ref().map(|like| like.value.as_str()));
    let advice = match custom.name() {
        None => {
            let what = format!("no custom is known of the kind \"{}\", so this stays open and out of the amounts: {what}", Words::new(&kind.value));
            Diagnostic::advice(what, kind.at.clone()).right(format!("`like:` and {}; or say it in the part: {}", likely(&kind.value), first.right))
        }
        Some(name) => Diagnostic::advice(
            format!("neither this dressing nor the custom of {name} says it, so this stays open and out of the amounts: {what}"),
            kind.at.clone(),
        )
        .right(format!("say it in the part: {}; or `like:` another kind", first.right)),
    };
    w.advise(advice);
}

/// Kinds a dresser may mean: near in spelling, or of one word with what was written; else all there are.
fn likely(kind: &str) -> String {
    let kinds = custom::kinds();
    let words: Vec<String> = kind.to_lowercase().split(|c: char| !c.is_alphabetic()).filter(|word| word.len() > 3).map(str::to_owned).collect();
    let near = nearest(kind, kinds.iter().copied());
    let alike = kinds.iter().copied().filter(|kind| kind.split([' ', '-']).any(|own| words.iter().any(|word| word == own)));
    let found: Vec<&str> = near.into_iter().chain(alike.filter(|kind| Some(*kind) != near)).collect();
    if found.is_empty() { format!("one of {}", kinds.join(", ")) } else { format!("a kind that has one, such as {}", found.join(" or ")) }
}

/// What a dressing says of a part and no published source bears out.
fn outside(w: &Worker<'_>, ground: &Ground, part: &Part, worked: &WorkedPart, all: &[WorkedPart]) -> Vec<Diagnostic> {
    let Some(known) = called(part) else { return Vec::new() };
    let fields = &part.fields;
    let eye = Sight { w, ground, all };
    let length = fields.length.as_ref().map(|told| &told.at).or(fields.reach.as_ref().map(|told| &told.at));
    let looked_at: [(&str, Option<&At>, Option<f64>, bool); 5] = [
        ("length", length, worked.length.map(|fig| w.value(fig)), true),
        ("fibre", fields.fibre.as_ref().map(|told| &told.at), worked.fibre.map(|fig| w.value(fig)), true),
        ("width", fields.width.as_ref().map(|told| &told.at), worked.width.map(|fig| w.value(fig)), true),
        ("count", fields.count.as_ref().map(|told| &told.at), worked.count.map(|fig| w.value(fig)), false),
        ("turns", fields.turns.as_ref().map(|told| &told.at), worked.turns.map(|fig| w.value(fig)), false),
    ];
    let mut found = Vec::new();
    for (field, at, value, is_length) in looked_at {
        let (Some(at), Some(value)) = (at.filter(|at| at.rule.is_none()), value) else { continue };
        let mut rows = ground.custom.rows(known, field, Some(worked.way));
        if field == "length" {
            let nearest = rows.first().map(|row| row.kind);
            let reach = ground.custom.rows(known, "reach", Some(worked.way));
            rows.extend(reach.into_iter().filter(|row| nearest.is_none_or(|kind| kind == row.kind)));
        }
        // What nobody published is no ground to find fault with a dressing.
        if !rows.iter().any(|row| row.is_published()) {
            continue;
        }
        let ranges: Vec<(f64, f64, &Row)> = rows.into_iter().filter_map(|row| eye.range(row, worked).map(|(low, high)| (low, high, row))).collect();
        let low = ranges.iter().map(|(low, ..)| *low).fold(f64::INFINITY, f64::min);
        let high = ranges.iter().map(|(_, high, _)| *high).fold(f64::NEG_INFINITY, f64::max);
        if low > high || (low - 1e-6..=high + 1e-6).contains(&value) {
            continue;
        }
        let mut sources: Vec<&str> = Vec::new();
        for (_, _, row) in &ranges {
            if !sources.contains(&row.source) {
                sources.push(row.source);
            }
        }
        let shown = |value: f64| if is_length { format!("{value:.1}") } else { format!("{value:.1}").trim_end_matches(".0").to_owned() };
        let unit = if is_length { " mm" } else { "" };
        let range = if high - low < 1e-6 { shown(low) } else { format!("{} to {}", shown(low), shown(high)) };
        let kind = ranges.first().map_or("", |(_, _, row)| row.kind);
        found.push(
            Diagnostic::advice(
                format!(
                    "{field} of \"{}\": {}{unit} on a {} {}; by the custom of {kind} {range}{unit} ({})",
                    part.name.value,
                    shown(value),
                    Words::new(&w.chart.name.value),
                    w.size,
                    sources.join("; ")
                ),
                at.clone(),
            )
            .right("nothing to do if it is meant so"),
        );
    }
    found
}

/// Rules of the custom seen on this hook, for comparing only.
struct Sight<'a> {
    w: &'a Worker<'a>,
    ground: &'a Ground,
    all: &'a [WorkedPart],
}

impl Sight<'_> {
    /// The two ends of what a row allows; `None` where it cannot be had on this hook.
    fn range(&self, row: &Row, worked: &WorkedPart) -> Option<(f64, f64)> {
        match row.field {
            "count" | "turns" => match row.meaning {
                Meaning::Numbers(low, high) => Some((low.to_f64(), high.to_f64())),
                _ => None,
            },
            "reach" => {
                let (place, _) = self.ground.place(row)?;
                let length = (self.place(&place)? - self.w.value(worked.tied_in?)).abs();
                Some((length, length))
            }
            _ => match self.ground.length(row)?.0 {
                Length::One(terms) => self.sum(&terms).map(|one| (one, one)),
                Length::Between(a, b) | Length::Taper(a, b) => Some((self.sum(&a)?, self.sum(&b)?)),
            },
        }
    }

    fn sum(&self, terms: &[Term]) -> Option<f64> {
        terms.iter().try_fold(0.0, |sum, term| Some(sum + term.times.to_f64() * self.measure(&term.of)?))
    }

    fn measure(&self, of: &Of) -> Option<f64> {
        let hook = &self.w.hook;
        let fig = match of {
            Of::Nought => return Some(0.0),
            Of::Unit(unit) => return crate::measure::Quantity { figure: crate::measure::Fraction::ONE, unit: *unit }.in_unit(Unit::Mm),
            Of::Hook(HookLength::Gap) => hook.gap?,
            Of::Hook(HookLength::Shank) => hook.shank,
            Of::Hook(HookLength::FreeShank) => self.w.marks.free_shank,
            Of::Hook(HookLength::Overall) => hook.overall,
            Of::Hook(HookLength::HookWire) => hook.wire,
            Of::Hook(HookLength::Eye) => hook.eye,
            Of::Part(name) => {
                let part = self.all.iter().find(|part| part.name == *name)?;
                match (part.length.or(part.fibre), part.span) {
                    (Some(fig), _) => fig,
                    (None, Some((from, to))) => return Some((self.w.value(from) - self.w.value(to)).abs()),
                    (None, None) => return None,
                }
            }
        };
        Some(self.w.value(fig))
    }

    /// A place straight behind the eye; marks of other parts are not looked up.
    fn place(&self, place: &Place) -> Option<f64> {
        let hook = &self.w.hook;
        let mark = match &place.mark {
            Landmark::Eye => self.w.marks.eye_rear,
            Landmark::Barb => hook.barb?,
            Landmark::Point => hook.point?,
            Landmark::Bend => hook.bend,
            Landmark::ShankEnd => hook.shank,
            Landmark::Bead => self.w.marks.bead,
            Landmark::Start(_) | Landmark::Middle(_) | Landmark::End(_) => return None,
        };
        Some(self.w.value(mark) + self.sum(&place.off)?)
    }
}
