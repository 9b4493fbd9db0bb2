//! The shortest arrangement of a few runs of work and drying, with so many pairs of hands and so many rack places.
//!
//! A run is work, dry, work ...: a work needs one pair of hands without a break, and the drying after it begins at its
//! end and holds its places on the rack until it is dry, not until the next work begins. So a place must be free at
//! the moment the work *ends*, and it can pay to let the hands wait before a work that has no place yet.
//!
//! Works are set one after another in the order in which they end. In that order all dryings set before have begun, so
//! that the places they hold only grow fewer, and every limit on a work's beginning is of the form "not before":
//! beginning each as early as these let it is then the best for its order, and trying all orders (and, with several
//! pairs of hands, which of them does it) leaves out nothing. Settings with the same works done are held against each
//! other: one that is no later in anything makes the other superfluous. What is left is bounded from below by the
//! longest run, by the hands' work (Jackson's schedule with interruptions) and by the rack, and goes on in layers, in
//! each of which no more than so many settings are kept; where none had to be dropped, the best found is proved.
//!
//! Sources: P. Brucker, *Scheduling Algorithms*, 5th edition (2007), for single machines with time lags and for
//! Jackson's bound; P. Baptiste, C. Le Pape and W. Nuijten, *Constraint-Based Scheduling* (2001), for the bound by energy.

mod bound;
mod state;

use super::search::{Amiss, Budget};
use state::{State, Trail};
use std::collections::HashMap;

/// A work and the drying after it, in one unit of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Step {
    /// How long it keeps a pair of hands.
    pub work: u64,
    /// How long it holds its places on the rack; nought where nothing dries.
    pub dry: u64,
}

/// A run: its steps one after another.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Run {
    /// Its steps; the next work begins when the one before is dry, or later.
    pub steps: Vec<Step>,
    /// How many places on the rack it takes while it dries.
    pub places: u64,
    /// Before when it cannot begin.
    pub release: u64,
}

/// How the runs are laid out in time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Arrangement {
    /// When all is done and dry.
    pub makespan: u64,
    /// When each work of each run begins.
    pub starts: Vec<Vec<u64>>,
    /// Which pair of hands does it, from nought.
    pub hands: Vec<Vec<usize>>,
    /// What no arrangement can be shorter than.
    pub bound: u64,
    /// Whether none is shorter.
    pub proved: bool,
}

/// The most runs taken.
pub const RUNS: usize = 60;
/// The most works taken, of all runs together.
pub const WORKS: usize = 240;
/// The longest time taken.
pub const LONGEST: u64 = 1_000_000_000_000;
/// The most pairs of hands taken.
pub const HANDS: usize = 60;
/// The most settings kept in one layer, and the bytes that the layer after them may come to.
const WIDEST: usize = 100_000;
const BYTES: usize = 200_000_000;

/// The shortest arrangement; `rack` is `None` without limit. Refused with the place of the run that takes more places
/// than there are, has no work or a work of nought, or is too long.
///
/// ```
/// use herl::reckon::search::Budget;
/// use herl::reckon::setting::{Run, Step, shortest};
/// let run = |steps: &[(u64, u64)]| Run { steps: steps.iter().map(|(work, dry)| Step { work: *work, dry: *dry }).collect(), places: 1, release: 0 };
/// let runs = [run(&[(10, 31)]), run(&[(12, 24), (5, 38), (8, 0)])];
/// let arrangement = shortest(&runs, 1, Some(1), &mut Budget::of(10_000)).unwrap();
/// assert_eq!((arrangement.makespan, arrangement.proved), (110, true));
/// // The hands wait from 41 to 69, so that the first run's work ends when the rack comes free.
/// assert_eq!(arrangement.starts, [vec![69], vec![0, 36, 79]]);
/// ```
pub fn shortest(runs: &[Run], hands: usize, rack: Option<u64>, budget: &mut Budget) -> Result<Arrangement, Amiss> {
    sound(runs, hands, rack)?;
    Ok(Search::new(runs, hands, rack).run(budget))
}

fn sound(runs: &[Run], hands: usize, rack: Option<u64>) -> Result<(), Amiss> {
    if hands == 0 {
        return Err(Amiss::Nothing);
    }
    if runs.len() > RUNS {
        return Err(Amiss::TooMany(RUNS));
    }
    if hands > HANDS {
        return Err(Amiss::TooMany(HANDS));
    }
    if runs.iter().map(|run| run.steps.len()).sum::<usize>() > WORKS {
        return Err(Amiss::TooMany(WORKS));
    }
    for (nth, run) in runs.iter().enumerate() {
        if run.steps.is_empty() || run.steps.iter().any(|step| step.work == 0) {
            return Err(Amiss::Nought(nth));
        }
        if run.steps.iter().any(|step| step.work > LONGEST || step.dry > LONGEST) || run.release > LONGEST || run.places > LONGEST {
            return Err(Amiss::TooLarge(nth));
        }
        if run.steps.iter().any(|step| step.dry > 0) && rack.is_some_and(|rack| run.places > rack) {
            return Err(Amiss::DoesNotFit(nth));
        }
    }
    Ok(())
}

/// The question as the search sees it: equal runs stand together.
struct Question<'a> {
    runs: &'a [Run],
    /// The runs' places in the list, equal ones side by side.
    order: Vec<usize>,
    /// Which kind each place in `order` is of; equal runs have the same.
    kind: Vec<usize>,
    hands: usize,
    /// `u64::MAX` without limit.
    rack: u64,
    works: usize,
}

impl<'a> Question<'a> {
    fn new(runs: &'a [Run], hands: usize, rack: Option<u64>) -> Self {
        let mut order: Vec<usize> = (0..runs.len()).collect();
        order.sort_by(|a, b| runs[*a].cmp(&runs[*b]));
        let mut kind = Vec::new();
        for place in 0..order.len() {
            let same = place > 0 && runs[order[place]] == runs[order[place - 1]];
            kind.push(if same { kind[place - 1] } else { place });
        }
        let most = runs.iter().fold(0_u64, |sum, run| sum.saturating_add(run.places));
        let rack = rack.filter(|rack| *rack < most).unwrap_or(u64::MAX);
        Question { runs, order, kind, hands, rack, works: runs.iter().map(|run| run.steps.len()).sum() }
    }

    fn run(&self, place: usize) -> &Run {
        &self.runs[self.order[place]]
    }
}

struct Search<'a> {
    question: Question<'a>,
    root: u64,
    best: Option<(u64, Vec<Trail>)>,
}

/// How a passage through the layers ended.
enum Passage {
    /// Nothing had to be dropped.
    Whole,
    /// Settings were dropped, the least bound among them.
    Dropped(u64),
}

impl<'a> Search<'a> {
    fn new(runs: &'a [Run], hands: usize, rack: Option<u64>) -> Self {
        Search { question: Question::new(runs, hands, rack), root: 0, best: None }
    }

    fn run(mut self, budget: &mut Budget) -> Arrangement {
        let start = State::start(&self.question);
        self.root = start.bound;
        let mut bound = self.root;
        // Each may have as many after it as there are runs, and each of those holds all runs.
        let number = self.question.order.len().max(1);
        let widest = (BYTES / (number * self.question.hands * (200 + 32 * number))).clamp(64, WIDEST);
        let mut width = 1;
        loop {
            let passage = self.pass(&start, width, budget);
            let best = self.makespan();
            bound = match passage {
                Passage::Whole => best,
                Passage::Dropped(least) => bound.max(least.min(best)),
            };
            if bound >= best || budget.is_spent() || width >= widest {
                break;
            }
            width = (width * 8).min(widest);
        }
        self.arrangement(bound)
    }

    fn makespan(&self) -> u64 {
        self.best.as_ref().map_or(u64::MAX, |(makespan, _)| *makespan)
    }

    /// Goes through all layers and keeps `width` settings in each. The first, of width one, goes to its end whatever
    /// the budget says, so that there is an arrangement.
    fn pass(&mut self, start: &State, width: usize, budget: &mut Budget) -> Passage {
        let question = &self.question;
        let mut dropped = u64::MAX;
        let mut trails: Vec<Trail> = Vec::new();
        let mut layer = vec![start.clone()];
        // A node of many works takes longer than one of few.
        let weight = 1 + question.works as u64 / 16;
        for _ in 0..question.works {
            let mut next: Vec<State> = Vec::new();
            let mut same: HashMap<Vec<u8>, Vec<usize>> = HashMap::new();
            for state in &layer {
                let best = self.best.as_ref().map(|(makespan, _)| *makespan);
                if best.is_some() && budget.is_spent() {
                    dropped = dropped.min(state.bound);
                    continue;
                }
                let children = state.children(question);
                budget.spend(weight * children.len() as u64, best, self.root);
                for child in children {
                    if best.is_none_or(|best| child.bound < best) {
                        child.keep(&mut next, &mut same);
                    }
                }
            }
            next.retain(|state| !state.superfluous);
            next.sort_by_key(|state| (state.bound, state.lateness()));
            if next.len() > width {
                dropped = dropped.min(next[width].bound);
                next.truncate(width);
            }
            next.iter_mut().for_each(|state| state.write_down(&mut trails));
            layer = next;
            if layer.is_empty() {
                break;
            }
        }
        if let Some(state) = layer.iter().min_by_key(|state| state.span)
            && self.best.as_ref().is_none_or(|(best, _)| state.span < *best)
        {
            self.best = Some((state.span, state.trail(&trails)));
        }
        if dropped == u64::MAX { Passage::Whole } else { Passage::Dropped(dropped) }
    }

    fn arrangement(self, bound: u64) -> Arrangement {
        let runs = self.question.runs;
        let mut starts: Vec<Vec<u64>> = vec![Vec::new(); runs.len()];
        let mut hands: Vec<Vec<usize>> = vec![Vec::new(); runs.len()];
        let (makespan, trail) = self.best.unwrap_or_default();
        // When each pair of hands comes free, found again from the beginnings in the order of time.
        let mut in_time = trail;
        in_time.sort_by_key(|work| (work.start, work.start + runs[work.run].steps[work.step].work));
        let mut free = vec![0; self.question.hands];
        for work in in_time {
            let nth = (0..free.len()).find(|nth| free[*nth] <= work.start).unwrap_or(0);
            free[nth] = work.start + runs[work.run].steps[work.step].work;
            starts[work.run].push(work.start);
            hands[work.run].push(nth);
        }
        Arrangement { makespan, starts, hands, bound: bound.min(makespan), proved: bound >= makespan }
    }
}

#[cfg(test)]
mod tests;
