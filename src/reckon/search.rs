//! What the long searches have in common: a budget of nodes, a watcher who may end them, and what is said of figures
//! that none of them can work on.
//!
//! A budget counts nodes and no time, so that the same question gets the same answer on every machine. Where it runs
//! out, the best answer found so far stands beside the bound that is proved, and is not called proved itself.

use std::fmt;

/// How far a search has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Nodes looked at so far.
    pub nodes: u64,
    /// The best answer so far, in the search's own unit; `None` before the first.
    pub best: Option<u64>,
    /// What no answer can be below, as far as is proved.
    pub bound: u64,
}

/// How many nodes lie between two reports to the watcher.
const REPORT: u64 = 1024;

/// The nodes a search may look at, and who watches it.
pub struct Budget<'a> {
    limit: u64,
    used: u64,
    reported: u64,
    stopped: bool,
    watch: Option<&'a mut dyn FnMut(Progress) -> bool>,
}

impl fmt::Debug for Budget<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Budget").field("limit", &self.limit).field("used", &self.used).field("stopped", &self.stopped).finish_non_exhaustive()
    }
}

impl<'a> Budget<'a> {
    /// So many nodes, watched by nobody.
    pub fn of(nodes: u64) -> Self {
        Budget { limit: nodes, used: 0, reported: 0, stopped: false, watch: None }
    }

    /// So many nodes; `watch` is told every thousand nodes or so how far it has come, and ends the search by `false`.
    pub fn watched(nodes: u64, watch: &'a mut dyn FnMut(Progress) -> bool) -> Self {
        Budget { watch: Some(watch), ..Budget::of(nodes) }
    }

    /// Takes `nodes` off; `false` where nothing is left or the watcher has ended the search.
    pub(super) fn spend(&mut self, nodes: u64, best: Option<u64>, bound: u64) -> bool {
        if self.stopped {
            return false;
        }
        self.used = self.used.saturating_add(nodes);
        if self.used - self.reported >= REPORT {
            self.reported = self.used;
            if let Some(watch) = &mut self.watch
                && !watch(Progress { nodes: self.used, best, bound })
            {
                self.stopped = true;
            }
        }
        if self.used > self.limit {
            self.stopped = true;
        }
        !self.stopped
    }

    /// Whether it ran out, or was ended.
    pub fn is_spent(&self) -> bool {
        self.stopped
    }

    /// Nodes looked at.
    pub fn used(&self) -> u64 {
        self.used
    }

    /// Nodes left.
    pub(super) fn left(&self) -> u64 {
        if self.stopped { 0 } else { self.limit.saturating_sub(self.used) }
    }
}

/// Why a question cannot be worked at all. Numbers are the place of the thing in its list, from nought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Amiss {
    /// The size, length or time of this one is nought.
    Nought(usize),
    /// This one is too large to reckon with.
    TooLarge(usize),
    /// This one is larger than what it must go into.
    DoesNotFit(usize),
    /// This one speaks of another that is not there.
    Nowhere(usize),
    /// There are more of them than the most that are taken.
    TooMany(usize),
    /// There is nothing to do it with.
    Nothing,
}

/// Greatest common divisor; of nought and a number it is that number.
pub(super) fn common(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { common(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_budget_ends_after_its_nodes() {
        let mut budget = Budget::of(3);
        assert!((0..3).all(|_| budget.spend(1, None, 0)));
        assert!(!budget.spend(1, None, 0) && budget.is_spent());
    }

    #[test]
    fn a_watcher_hears_of_it_and_may_end_it() {
        let mut heard = Vec::new();
        let mut watch = |progress: Progress| {
            heard.push(progress.nodes);
            heard.len() < 2
        };
        let mut budget = Budget::watched(u64::MAX, &mut watch);
        let mut nodes = 0;
        while budget.spend(1, Some(5), 4) {
            nodes += 1;
        }
        assert_eq!(nodes, 2047);
        assert_eq!(heard, [1024, 2048]);
    }
}
