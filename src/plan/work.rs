//! Working a plan: run by run, then the materials and the money of the whole order.

use super::cost::{self, Worked};
use super::run::{self, Draft, draft};
use super::{Given, Plan, days};
use crate::card::Card;
use crate::diagnostic::Diagnostic;
use crate::dressing::{Dressing, Order, Shelf, Size, Tied};
use crate::measure::{Currency, Unit, words};
use crate::why::{Fig, Figures, Formula, Source, Standing, cross};
use indexmap::IndexMap;
use rust_decimal::Decimal;
use std::collections::{HashMap, HashSet};

/// The plan while it is being worked.
pub(super) struct Planner<'a> {
    pub(super) shelf: &'a Shelf,
    pub(super) given: &'a Given,
    /// How all its flies are tied.
    pub(super) stages: Tied,
    /// Finished flies that lines before have taken.
    pub(super) drawer: HashMap<(String, Size, Option<String>), Decimal>,
    /// A run has no share of rejects, told or learnt.
    pub(super) no_rejects: bool,
    pub(super) dressings: &'a IndexMap<String, Dressing>,
    pub(super) currency: Currency,
    pub(super) figures: Figures,
    pub(super) from_card: HashMap<Fig, (usize, Fig)>,
    pub(super) cards: Vec<Card>,
    /// The runs' keys, in order.
    pub(super) run_keys: Vec<String>,
    /// What the customer sends, folded.
    pub(super) sent: HashSet<String>,
    pub(super) open: Vec<String>,
    pub(super) advice: Vec<Diagnostic>,
}

impl Planner<'_> {
    /// Works a figure under a key not yet taken.
    pub(super) fn work(&mut self, key: &str, formula: &'static Formula<Decimal>, inputs: &[Fig]) -> Option<Fig> {
        let key = self.figures.free_key(key);
        self.figures.work(key, formula, inputs)
    }

    /// A given figure shared by many rows.
    pub(super) fn common(&mut self, key: &str, value: Decimal, unit: Unit, standing: Standing, from: impl Into<Source>) -> Fig {
        match self.figures.find(key) {
            Some(fig) => fig,
            None => self.figures.given(key, value, unit, standing, from),
        }
    }

    /// A figure of a run's card, carried over the one crossing.
    pub(super) fn taken(&mut self, run: usize, card: &Card, fig: Fig, key: &str) -> Option<Fig> {
        let row = card.sheet.at(fig);
        let from = format!("the card of this run, {}", card.sheet.key(fig));
        let key = self.figures.free_key(key);
        let set = self.figures.given(key, cross(row.value)?, row.unit, row.standing, from);
        self.from_card.insert(set, (run, fig));
        Some(set)
    }

    /// A figure of a run's card as it would be carried over: value, unit, standing, from where.
    pub(super) fn taken_value(&self, run: usize, fig: Fig) -> Option<(Decimal, Unit, Standing, String)> {
        let card = self.cards.get(run)?;
        let row = card.sheet.at(fig);
        Some((cross(row.value)?, row.unit, row.standing, format!("the card of this run, {}", card.sheet.key(fig))))
    }
}

/// Plans an order. `dressings` are by folded name; `given` is what is known beside them.
///
/// # Errors
/// Everything that stands against it: terms of money and time that could not be read, dressings, sizes or variants
/// that are not there, cards that cannot be worked, an order without flies.
pub fn work(order: &Order, dressings: &IndexMap<String, Dressing>, shelf: &Shelf, given: &Given) -> Result<Plan, Vec<Diagnostic>> {
    let mut planner = Planner {
        shelf,
        given,
        stages: given.wish.tied.or(order.tied.as_ref().map(|told| told.value)).unwrap_or_default(),
        drawer: HashMap::new(),
        no_rejects: false,
        dressings,
        currency: shelf.terms.currency.clone(),
        figures: Figures::new(),
        from_card: HashMap::new(),
        cards: Vec::new(),
        run_keys: Vec::new(),
        sent: order.customer_sends.iter().map(|told| words::fold(&told.value)).collect(),
        open: Vec::new(),
        advice: Vec::new(),
    };
    // Terms that were refused cannot be left out: the sums would be wrong without a word.
    let mut faults = shelf.terms.amiss.clone();
    let mut drafts: Vec<Draft> = Vec::new();
    if let Err(found) = run::extras(&planner, &order.extras) {
        faults.extend(found);
    }
    for line in &order.lines {
        for (size, count) in &line.sizes {
            match draft(&mut planner, line, size, count) {
                Ok(run) => drafts.push(run),
                Err(found) => found.into_iter().for_each(|fault| {
                    // A fault of a dressing met again for another line or size is the same fault.
                    if !faults.iter().any(|other: &Diagnostic| other.at == fault.at && other.what == fault.what) {
                        faults.push(fault);
                    }
                }),
            }
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    if drafts.is_empty() {
        return Err(vec![Diagnostic::error("the order asks for no flies", order.name.at.clone()).right("`flies:` with a dressing and `sizes:`")]);
    }
    planner.run_keys = drafts.iter().map(|draft| draft.key.clone()).collect();
    let Some(money) = cost::work(&mut planner, order, &mut drafts) else {
        return Err(vec![
            Diagnostic::error("the order's money is too large to reckon, or something is divided by nought", order.name.at.clone())
                .right("smaller numbers of flies, prices or rates; an allowance and a margin below 100 %"),
        ]);
    };
    let Worked { runs, materials, totals, buying } = money;
    let chart = days::work(&mut planner, order, &drafts, buying.as_ref(), totals.hours, totals.hours_stray);
    Ok(Plan {
        order: order.name.value.clone(),
        customer: order.customer.as_ref().map(|told| told.value.clone()),
        wanted: order.wanted.as_ref().map(|told| told.value),
        currency: planner.currency,
        numbers: shelf.terms.shown.numbers,
        figures: planner.figures,
        from_card: planner.from_card,
        runs,
        materials,
        totals,
        buying,
        chart,
        tied: planner.stages,
        no_rejects: planner.no_rejects,
        open: planner.open,
        advice: planner.advice,
    })
}
