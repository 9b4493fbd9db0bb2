//! What a run took of each material: as reckoned from its card, unless it was told what was really used.
//!
//! Reckoned = a fly's amount x (flies begun - flies it came back from) + bad hooks found. What is spoilt is used as well, so
//! flies begun count and not flies that passed; what comes back whole (a hook, a bead) comes back from flies that were
//! stripped.

use super::begun::{Material, Of};
use super::{How, Run};
use crate::measure::Unit;
use rust_decimal::Decimal;
use std::fmt;

/// An amount reckoned from the card, with what it was reckoned from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reckoned {
    /// For one fly, in the material's unit.
    pub a_fly: Decimal,
    /// Flies begun.
    pub begun: u32,
    /// Flies it came back from.
    pub back: u32,
    /// Bad ones found, which are out too.
    pub bad: u32,
    /// For the run, in the material's unit.
    pub amount: Decimal,
}

/// A material of a run and what the run took of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taken<'a> {
    /// The material.
    pub material: &'a Material,
    /// By the card.
    pub reckoned: Reckoned,
    /// What was really used, in the material's unit, and how that is known; where it was told.
    pub told: Option<(Decimal, &'a How)>,
}

impl Taken<'_> {
    /// What is booked out, in the material's unit.
    pub fn amount(&self) -> Decimal {
        self.told.map_or(self.reckoned.amount, |(amount, _)| amount)
    }

    /// What spoke, in a word.
    pub fn by(&self) -> &'static str {
        match self.told {
            None => "reckoned",
            Some((_, How::Counted)) => "counted",
            Some((_, How::Weighed { .. })) => "weighed",
        }
    }
}

/// Why two weights give no amount.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unweighed {
    /// What a metre of it (or one of it) weighs is not known.
    NoGrams,
    /// It was heavier after the run than before.
    Gained,
    /// No amount is so large.
    TooLarge,
}

impl fmt::Display for Unweighed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Unweighed::NoGrams => "what a metre of it (or one of it) weighs is not known",
            Unweighed::Gained => "it was heavier after the run than before",
            Unweighed::TooLarge => "no run uses so much",
        })
    }
}

impl std::error::Error for Unweighed {}

impl Material {
    /// Grams of one unit of it; `None` where it cannot be weighed. What is reckoned in grams is its own weight.
    pub fn weighs(&self) -> Option<Decimal> {
        let own = (self.unit.as_str() == Unit::G.name()).then_some(Decimal::ONE);
        own.or(self.grams).filter(|grams| !grams.is_zero())
    }

    /// The amount used, in the material's unit, by its weight in grams before the run and after it:
    /// (before - after) / grams of one, to nine decimals.
    ///
    /// # Errors
    /// It cannot be weighed, or has gained.
    pub fn weighed(&self, before: Decimal, after: Decimal) -> Result<Decimal, Unweighed> {
        let grams = self.weighs().ok_or(Unweighed::NoGrams)?;
        let used = before.checked_sub(after).ok_or(Unweighed::TooLarge)?;
        if used.is_sign_negative() && !used.is_zero() {
            return Err(Unweighed::Gained);
        }
        let amount = used.checked_div(grams).ok_or(Unweighed::TooLarge)?;
        Ok(amount.round_dp(9).normalize())
    }
}

impl Run {
    /// What the run took of each material, in the order of the list.
    pub fn taken(&self) -> Vec<Taken<'_>> {
        let materials = &self.begun.materials;
        (0..materials.len()).filter_map(|nth| self.taken_of(nth)).collect()
    }

    /// What the run took of the material with this place in the list.
    pub fn taken_of(&self, nth: usize) -> Option<Taken<'_>> {
        let told = self.state.used.get(&nth).map(|(amount, how)| (*amount, how));
        Some(Taken { material: self.begun.materials.get(nth)?, reckoned: reckoned(self, nth)?, told })
    }
}

/// What the run took of the material with this place in the list, by its card; `None` where there is no such material.
pub fn reckoned(run: &Run, nth: usize) -> Option<Reckoned> {
    let material = run.begun.materials.get(nth)?;
    let counts = run.counts();
    let back = if material.comes_back { counts.stripped.min(counts.started) } else { 0 };
    let bad = bad(run, nth);
    let amount = material.a_fly.saturating_mul(Decimal::from(counts.started - back)).saturating_add(Decimal::from(bad));
    Some(Reckoned { a_fly: material.a_fly, begun: counts.started, back, bad, amount })
}

/// Bad ones found of a material while laying out. Only hooks are looked through one by one and thrown out; where a run
/// lays out as many sorts of hooks as it books, each has its own bad ones, else the first has all.
fn bad(run: &Run, nth: usize) -> u32 {
    let hooks = |material: &&Material| material.hook;
    let materials = &run.begun.materials;
    if !materials.get(nth).is_some_and(|material| material.hook) {
        return 0;
    }
    let of_hooks = |(item, bad): (&super::Item, &u32)| (item.of == Of::Hooks).then_some(*bad);
    let found: Vec<u32> = run.begun.layout.iter().zip(run.found_bad()).filter_map(of_hooks).collect();
    let place = materials.iter().take(nth).filter(hooks).count();
    let sorts = run.begun.layout.iter().filter(|item| item.of == Of::Hooks).count();
    if sorts == materials.iter().filter(hooks).count() {
        found.get(place).copied().unwrap_or(0)
    } else if place == 0 {
        found.iter().fold(0, |sum, bad| sum.saturating_add(*bad))
    } else {
        0
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{OPENED, go, whole};
    use super::super::{Bad, Begun, Did, Fate};
    use super::*;
    use crate::measure::Words;

    fn material(name: &str, unit: &str, a_fly: &str) -> Material {
        Material { name: Words::new(name), unit: Words::new(unit), a_fly: a_fly.parse().unwrap(), hook: false, comes_back: false, grams: None }
    }

    fn number(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    /// Six flies begun, one of them given up; two hooks found bad; one fly stripped, one lost.
    fn tied(materials: Vec<Material>) -> Run {
        let mut run = Run::new(Begun { materials, finishing: Vec::new(), habits: None, ..whole(&[0], 5) });
        go(&mut run, [(OPENED, 0), (Did::Ticked { bad: 2 }, 0), (Did::Ticked { bad: 1 }, 0), (Did::On, 1), (Did::GaveUp, 1)]);
        go(&mut run, std::iter::repeat_n((Did::On, 1), 4));
        let bad = |fate| Bad { why: Words::new("wing"), fate, flies: 1 };
        go(&mut run, [(Did::LookedOver { bad: vec![bad(Fate::Stripped), bad(Fate::Lost)], left: 0 }, 1)]);
        assert_eq!((run.part(), run.counts().started), (super::super::Part::Booking, 6));
        run
    }

    #[test]
    fn what_is_spoilt_is_used_and_what_is_stripped_comes_back() {
        let hook = Material { hook: true, comes_back: true, ..material("hook", "", "1") };
        let bead = Material { comes_back: true, ..material("bead", "", "1") };
        let run = tied(vec![hook, bead, material("wire", "m", "0.0521")]);
        let amounts: Vec<Decimal> = run.taken().iter().map(Taken::amount).collect();
        // Six begun less one stripped, and two bad hooks; wire for all six.
        assert_eq!(amounts, [number("7"), number("5"), number("0.3126")]);
        assert_eq!(reckoned(&run, 3), None);
    }

    #[test]
    fn what_was_told_speaks_before_what_was_reckoned() {
        let mut run = tied(vec![material("wire", "m", "0.0521")]);
        assert_eq!(run.taken()[0].by(), "reckoned");
        go(&mut run, [(Did::Used { nth: 0, amount: number("0.35"), how: How::Counted }, 1)]);
        assert_eq!((run.taken()[0].amount(), run.taken()[0].by()), (number("0.35"), "counted"));
        let number_of = run.last_done().unwrap();
        go(&mut run, [(Did::TookBack { number: number_of }, 1)]);
        assert_eq!((run.taken()[0].amount(), run.taken()[0].by()), (number("0.3126"), "reckoned"));
    }

    #[test]
    fn bad_hooks_are_of_the_sort_they_were_laid_out_with() {
        let hook = |name| Material { hook: true, ..material(name, "", "1") };
        let of = |run: &Run| run.taken().iter().map(|taken| taken.reckoned.bad).collect::<Vec<_>>();
        assert_eq!(of(&tied(vec![hook("hook"), hook("rear hook"), material("wire", "m", "0")])), [2, 0, 0], "one sort is laid out, the first has all");
        let mut begun = Begun { materials: vec![hook("hook"), material("wire", "m", "0"), hook("rear hook")], ..whole(&[0], 5) };
        begun.layout[1].of = Of::Hooks;
        let mut run = Run::new(begun);
        go(&mut run, [(OPENED, 0), (Did::Ticked { bad: 2 }, 0), (Did::Ticked { bad: 1 }, 0)]);
        assert_eq!(of(&run), [2, 0, 1]);
    }

    #[test]
    fn a_spool_weighed_before_and_after_gives_metres() {
        // A thread of 20 tex weighs 20 g a 1,000 m (ISO 1144), so 0.25 g are 12.5 m.
        let silk = Material { grams: Some(number("0.020")), ..material("silk", "m", "1") };
        assert_eq!(silk.weighed(number("12.31"), number("12.06")), Ok(number("12.5")));
        assert_eq!(silk.weighed(number("12.06"), number("12.060")), Ok(Decimal::ZERO));
        assert_eq!(silk.weighed(number("12.06"), number("12.31")), Err(Unweighed::Gained));
        assert_eq!(material("silk", "m", "1").weighed(number("2"), number("1")), Err(Unweighed::NoGrams));
        let nought = Material { grams: Some(Decimal::ZERO), ..material("silk", "m", "1") };
        assert_eq!(nought.weighed(number("2"), number("1")), Err(Unweighed::NoGrams));
        assert_eq!(material("dubbing", "g", "0.01").weighed(number("2.5"), number("1.9")), Ok(number("0.6")), "grams are their own weight");
        let light = Material { grams: Some(number("0.0000000001")), ..material("silk", "m", "1") };
        assert_eq!(light.weighed(Decimal::MAX, Decimal::ZERO), Err(Unweighed::TooLarge));
    }
}
