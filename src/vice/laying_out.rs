//! What is laid out before the first fly of a run: how many of each thing, with the figures on the card's own sheet, so
//! that every number of the list can be asked why.

use super::begun::{Item, Of};
use crate::card::{Card, Need, WorkedPart};
use crate::dressing::{Cut, Per, Shelf, Way, When};
use crate::measure::{Unit, Words, words};
use crate::why::{Fig, Formula, Standing};
use std::collections::BTreeSet;

static FLIES_TO_HOOKS: Formula<f64> = Formula {
    text: "flies / (1 - share of bad hooks), rounded up to a whole hook",
    takes: &[Unit::One, Unit::One],
    then: &[],
    gives: Unit::One,
    source: "arithmetic",
    of: |x| match x {
        [flies, bad] if *bad < 1.0 => whole(flies / (1.0 - bad)),
        _ => None,
    },
};

static WHOLE_THINGS: Formula<f64> = Formula {
    text: "flies x what one fly takes, rounded up to a whole one",
    takes: &[Unit::One, Unit::One],
    then: &[],
    gives: Unit::One,
    source: "arithmetic",
    of: |x| whole(x.iter().product()),
};

static WHOLE_FEATHERS: Formula<f64> = Formula {
    text: "flies x feathers a fly, rounded up to a whole feather",
    takes: &[Unit::One, Unit::Feather],
    then: &[],
    gives: Unit::Feather,
    source: "arithmetic",
    of: |x| whole(x.iter().product()),
};

static WHOLE_PIECES: Formula<f64> = Formula {
    text: "flies / flies a piece, rounded up to a whole piece",
    takes: &[Unit::One, Unit::One],
    then: &[],
    gives: Unit::One,
    source: "arithmetic",
    of: |x| match x {
        [flies, each] if *each > 0.0 => whole(flies / each),
        _ => None,
    },
};

static LENGTH_CUT: Formula<f64> = Formula {
    text: "wound + 2 x lost at tie + grip",
    takes: &[Unit::Mm, Unit::Mm, Unit::Mm],
    then: &[],
    gives: Unit::Mm,
    source: "the three wastes of a length cut for one fly",
    of: |x| match x {
        [wound, lost, grip] => Some(wound + 2.0 * lost + grip),
        _ => None,
    },
};

/// Up to a whole one; what is a whole one but for the last bits of a float stays it.
fn whole(number: f64) -> Option<f64> {
    Some((number - 1e-9).ceil().max(0.0)).filter(|number| number.is_finite())
}

/// The list for so many flies. The card's sheet gets its figures, with keys that begin with `laying out`.
pub(super) fn items(card: &mut Card, shelf: &Shelf, flies: u32) -> Vec<Item> {
    let many = card.sheet.given("laying out.flies", f64::from(flies), Unit::One, Standing::Stated, "the flies of the run");
    let mut list = List { card, shelf, flies, many, items: Vec::new(), told: BTreeSet::new() };
    list.hooks();
    list.steps_before();
    for nth in 0..list.card.parts.len() {
        let part = list.card.parts[nth].clone();
        list.part(&part);
    }
    list.silk();
    list.the_rest();
    list.items
}

struct List<'a> {
    card: &'a mut Card,
    shelf: &'a Shelf,
    flies: u32,
    many: Fig,
    items: Vec<Item>,
    /// Materials that have a line of their own.
    told: BTreeSet<String>,
}

impl List<'_> {
    fn say(&mut self, of: Of, text: String, key: Option<Fig>) {
        let key = key.map(|fig| self.card.sheet.key(fig).to_owned());
        self.items.push(Item { of, text: Words::new(&text), seconds: None, key });
    }

    fn name(&self, material: &str) -> String {
        self.shelf.materials.get(material).map_or_else(|| material.to_owned(), |found| found.name.value.clone())
    }

    /// So many whole ones for the run, and the figure of it.
    fn count(&mut self, key: &str, formula: &'static Formula<f64>, inputs: &[Fig]) -> Option<(f64, Fig)> {
        let key = self.card.sheet.free_key(&format!("laying out.{key}"));
        self.card.sheet.units_fit(&formula.into(), inputs).then_some(())?;
        let fig = self.card.sheet.work(key, formula, inputs)?;
        Some((self.card.sheet.value(fig), fig))
    }

    fn hooks(&mut self) {
        let chart = self.shelf.charts.get(&words::fold(&self.card.chart));
        let name = format!("{} {}", self.card.chart, self.card.size);
        // A dressing that says itself what is done before the vice says this too.
        let look = if self.card.steps.iter().any(|step| step.when == When::Before) { "" } else { " Look at eye and point." };
        let bad = chart.and_then(|chart| chart.bad.as_ref()).and_then(|told| Some((rust_decimal::prelude::ToPrimitive::to_f64(&told.value)?, told.at.clone())));
        let Some((share, at)) = bad.filter(|(share, _)| *share > 0.0) else {
            self.say(Of::Hooks, format!("Count out {} {name}.{look}", hooks(f64::from(self.flies))), Some(self.many));
            return;
        };
        let bad = self.card.sheet.given("laying out.bad-hooks", share, Unit::One, Standing::Stated, crate::card::place(&at));
        let Some((number, fig)) = self.count("hooks", &FLIES_TO_HOOKS, &[self.many, bad]) else { return };
        let text = format!("Count out {} {name}: about {:.0} in 100 are bad.{look}", hooks(number), share * 100.0);
        self.say(Of::Hooks, text, Some(fig));
    }

    fn steps_before(&mut self) {
        let before: Vec<_> = self.card.steps.iter().filter(|step| step.when == When::Before).cloned().collect();
        for step in before {
            let seconds = step.time.map(|(fig, per)| for_run(self.card.sheet.value(fig), per, self.flies));
            self.items.push(Item { of: Of::Step, text: Words::new(&step.text), seconds, key: step.time.map(|(fig, _)| self.card.sheet.key(fig).to_owned()) });
        }
    }

    fn part(&mut self, part: &WorkedPart) {
        if part.carries_on.is_some() {
            return;
        }
        let alone = part.pieces.len() <= 1;
        let pieces: Vec<(String, Option<Fig>)> = match alone {
            true => vec![(part.material.clone(), part.amount)],
            false => part.pieces.iter().map(|piece| (piece.material.clone(), piece.amount)).collect(),
        };
        for (material, amount) in pieces {
            let stem = if alone { part.name.clone() } else { format!("{}.{material}", part.name) };
            self.piece(part, &stem, &material, amount);
        }
    }

    fn piece(&mut self, part: &WorkedPart, stem: &str, material: &str, amount: Option<Fig>) {
        let (name, shown) = (self.name(material), part.name.clone());
        let row = |list: &Self, field: &str| list.card.sheet.find(&format!("{stem}.{field}"));
        let kind = self.shelf.materials.get(material).and_then(|found| found.kind.as_ref()).map(|kind| kind.value.to_lowercase());
        let made = kind.as_deref() == Some("made part");
        let cut = self.shelf.materials.get(material).and_then(|found| found.cut.as_ref()).map(|cut| cut.value);
        match part.way {
            Way::Whole if amount.is_some() => {
                let Some(amount) = amount else { return };
                let Some((number, fig)) = self.count(stem, &WHOLE_THINGS, &[self.many, amount]) else { return };
                let verb = if made { "Have made" } else { "Count out" };
                let on_hooks = kind.as_deref() == Some("bead");
                let across = self.width(part).map(|mm| format!(", {mm:.1} mm")).unwrap_or_default();
                let end = if on_hooks { ", and thread one on each hook" } else { "" };
                self.say(if made { Of::MadeParts } else { Of::Things }, format!("{verb} {number:.0} {name}{across} for the {shown}{end}."), Some(fig));
            }
            Way::Hackle if amount.is_some() => {
                let Some(amount) = amount else { return };
                let Some((number, fig)) = self.count(stem, &WHOLE_FEATHERS, &[self.many, amount]) else { return };
                let fibre = part.fibre.map(|fig| format!(", fibres of {:.1} mm", self.card.sheet.value(fig))).unwrap_or_default();
                self.say(
                    Of::Feathers,
                    format!("Pluck and size {number:.0} feathers of {name} for the {shown}{fibre}, in {} piles, one a fly.", self.flies),
                    Some(fig),
                );
            }
            Way::Wound | Way::Weight | Way::Rope if matches!(cut, Some(Cut::ALengthAFly | Cut::ALengthForSeveral)) => {
                let each = row(self, "flies-a-piece");
                let lengths = match (each, row(self, "piece")) {
                    (Some(each), Some(piece)) => {
                        let counted = self.count(&format!("{stem}.pieces"), &WHOLE_PIECES, &[self.many, each]);
                        counted.map(|(number, fig)| (number, self.card.sheet.value(piece), self.card.sheet.value(each), fig))
                    }
                    _ => None,
                };
                if let Some((number, mm, each, fig)) = lengths {
                    self.say(Of::Lengths, format!("Cut {} of {mm:.0} mm of {name} for the {shown}: {each:.0} flies each.", pieces(number)), Some(fig));
                } else if let (Some(wound), Some(lost), Some(grip)) = (row(self, "wound"), row(self, "lost-at-tie"), row(self, "grip")) {
                    let Some((mm, fig)) = self.count(&format!("{stem}.length"), &LENGTH_CUT, &[wound, lost, grip]) else { return };
                    self.say(Of::Lengths, format!("Cut {} of {:.0} mm of {name} for the {shown}.", pieces(f64::from(self.flies)), mm.ceil()), Some(fig));
                } else {
                    return;
                }
            }
            _ if made => {
                let Some((number, fig)) = amount.and_then(|amount| self.count(stem, &WHOLE_THINGS, &[self.many, amount])) else { return };
                self.say(Of::MadeParts, format!("Have made {number:.0} {name} for the {shown}."), Some(fig));
            }
            _ => return,
        }
        self.told.insert(material.to_owned());
    }

    fn width(&self, part: &WorkedPart) -> Option<f64> {
        part.width.map(|fig| self.card.sheet.value(fig)).filter(|mm| *mm > 0.0)
    }

    fn silk(&mut self) {
        let silks: Vec<String> = [Some(self.card.silk.clone()), self.card.head_silk.clone()].into_iter().flatten().collect();
        let names: Vec<String> = silks.iter().map(|silk| self.name(silk)).collect();
        self.told.extend(silks);
        if !names.is_empty() {
            let bobbins = if names.len() == 1 { "a bobbin" } else { "a bobbin each" };
            self.say(Of::Silk, format!("Silk in {bobbins}: {}.", names.join("; ")), None);
        }
    }

    fn the_rest(&mut self) {
        let mut names: Vec<String> = Vec::new();
        for Need { part, material, way, .. } in &self.card.needs {
            if part == "hook" || *way == Way::Coat || self.told.contains(material) {
                continue;
            }
            let name = self.name(material);
            if !names.contains(&name) {
                names.push(name);
            }
        }
        if !names.is_empty() {
            self.say(Of::Other, format!("Ready to hand: {}.", names.join("; ")), None);
        }
    }
}

/// Seconds for a run of so many flies.
pub(super) fn for_run(seconds: f64, per: Per, flies: u32) -> f64 {
    match per {
        Per::Fly => seconds * f64::from(flies),
        Per::Dozen => seconds * f64::from(flies) / 12.0,
        Per::Run => seconds,
    }
}

fn hooks(number: f64) -> String {
    if number == 1.0 { "1 hook of".to_owned() } else { format!("{number:.0} hooks of") }
}

fn pieces(number: f64) -> String {
    if number == 1.0 { "1 piece".to_owned() } else { format!("{number:.0} pieces") }
}
