//! From a card to a run: what it is begun with, read off the card and the shelf.

use super::begun::{Begun, Finish, Habits, Kind, Length, Material, Own};
use super::{Outline, Unfit, laying_out};
use crate::card::{Card, Need};
use crate::dressing::{Shelf, Time, Way, When};
use crate::measure::{Unit, Words};
use crate::reckon::solids;
use crate::reckon::thread::Scale;
use crate::why::cross;
use rust_decimal::Decimal;

/// What is asked for beside the card.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wanted {
    /// What the flies are for.
    pub kind: Kind,
    /// How many.
    pub flies: u32,
    /// By stages, so many on a tray.
    pub tray: Option<u32>,
    /// Own time of a fly, learnt.
    pub own: Option<Own>,
    /// Of a sample: how many flies are to follow it.
    pub then: Option<u32>,
}

impl Begun {
    /// A run of a card. `whole`: the dressing's one figure for the time of a fly, where it has one. The card's sheet gets
    /// the figures of the laying out.
    ///
    /// # Errors
    /// The card has no step at the vice.
    pub fn of(card: &mut Card, whole: Option<Time>, wanted: Wanted, shelf: &Shelf) -> Result<Self, Unfit> {
        let Wanted { kind, flies, tray, own, then } = wanted;
        let outline = Outline::of(card, whole)?;
        let layout = laying_out::items(card, shelf, flies);
        Ok(Begun {
            kind,
            flies,
            tray,
            outline,
            layout,
            finishing: if kind == Kind::Sample { Vec::new() } else { finishing(card, shelf, flies) },
            lengths: lengths(card),
            materials: materials(card, shelf),
            habits: Some(habits(shelf)),
            own,
            whole: true,
            then,
        })
    }
}

fn habits(shelf: &Shelf) -> Habits {
    let (terms, usual) = (&shelf.terms, Habits::default());
    Habits {
        at_step: terms.at_step.as_ref().map_or(usual.at_step, |told| told.value),
        again: terms.at_step_again.as_ref().map_or(usual.again, |told| told.value),
        pause_beyond: terms.pause_beyond.as_ref().map_or(usual.pause_beyond, |told| told.value),
        // Told in seconds, sound by the reader.
        rest_after_ms: terms.rest_after.as_ref().map_or(usual.rest_after_ms, |told| (told.value * 1000.0) as u64),
        rest_ms: usual.rest_ms,
    }
}

fn finishing(card: &Card, shelf: &Shelf, flies: u32) -> Vec<Finish> {
    let coats: Vec<&Need> = card.needs.iter().filter(|need| need.way == Way::Coat).collect();
    let after: Vec<_> = card.steps.iter().enumerate().filter(|(_, step)| step.when == When::After).collect();
    // Which coat a step lays is told only where there are as many of one as of the other.
    let told = coats.len() == after.len();
    let of = |nth: usize, text: &str| match coats.get(nth).filter(|_| told) {
        Some(need) => shelf.materials.get(&need.material).map_or_else(|| need.material.clone(), |material| material.name.value.clone()),
        None => text.split(['.', ',', ';']).next().unwrap_or_default().to_owned(),
    };
    let one = |(nth, (place, step)): (usize, (usize, &crate::card::WorkedStep))| Finish {
        card: place,
        text: Words::new(&step.text),
        seconds: step.time.map(|(fig, per)| laying_out::for_run(card.sheet.value(fig), per, flies)),
        // Sound on the card: a time, not below nought.
        dries_ms: step.dries.map(|fig| (card.sheet.value(fig) * 1000.0).round() as u64),
        what: Words::new(&of(nth, &step.text)),
    };
    after.into_iter().enumerate().map(one).collect()
}

/// The lengths a sample is held against: of every part its length, its fibre, and how long its body is.
fn lengths(card: &Card) -> Vec<Length> {
    let mut all = Vec::new();
    for part in &card.parts {
        let figures = [("", part.length), (" fibre", part.fibre)];
        for (what, fig) in figures.into_iter().filter_map(|(what, fig)| Some((what, fig?))) {
            let (mm, key) = (card.sheet.value(fig), card.sheet.key(fig).to_owned());
            let at = |field: &str| card.sheet.find(&format!("{key}.{field}")).map(|fig| card.sheet.value(fig));
            let within = match (at("low"), at("high"), at("within")) {
                (Some(low), Some(high), _) => (low, high),
                (_, _, Some(within)) => ((mm - within).max(0.0), mm + within),
                _ => (mm, mm),
            };
            all.push(Length { key, what: Words::new(&format!("{}{what}", part.name)), mm, within });
        }
    }
    all
}

/// What one fly takes, material by material; what is open is left out, as it is on the card.
fn materials(card: &Card, shelf: &Shelf) -> Vec<Material> {
    let mut all: Vec<Material> = Vec::new();
    for need in &card.needs {
        let row = card.sheet.at(need.amount);
        let (hook, Some(a_fly)) = (need.part == "hook", cross(row.value)) else { continue };
        let known = shelf.materials.get(&need.material);
        let name = match (hook, &need.size) {
            (true, _) => format!("{} {}", card.chart, card.size),
            (false, size) => {
                let name = known.map_or(need.material.as_str(), |material| &material.name.value);
                size.as_ref().map_or_else(|| name.to_owned(), |size| format!("{name}, size {size}"))
            }
        };
        let (name, unit) = (Words::new(&name), Words::new(row.unit.name()));
        if let Some(found) = all.iter_mut().find(|material| material.name == name && material.unit == unit) {
            found.a_fly = found.a_fly.checked_add(a_fly).unwrap_or(found.a_fly);
            continue;
        }
        let bead = known.and_then(|material| material.kind.as_ref()).is_some_and(|kind| kind.value.eq_ignore_ascii_case("bead"));
        let grams = known.filter(|_| row.unit == Unit::M).and_then(grams_a_metre).or_else(|| (row.unit == Unit::G).then_some(Decimal::ONE));
        all.push(Material { name, unit, a_fly, hook, comes_back: hook || (bead && need.way == Way::Whole), grams });
    }
    all
}

/// What a metre weighs: by the thread's linear density, else as a round strand of its width and density.
fn grams_a_metre(material: &crate::dressing::Material) -> Option<Decimal> {
    let by_tex = material.tex.as_ref().and_then(|tex| Scale::Kilotex.of_tex(tex.value));
    let round = || solids::mass(solids::wire_volume(1000.0, material.width.as_ref()?.value)?, material.density.as_ref()?.value);
    by_tex.or_else(round).and_then(cross).filter(|grams| !grams.is_zero())
}
