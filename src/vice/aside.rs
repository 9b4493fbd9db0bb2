//! The flies put aside half done: which, how far, and since when.

use super::run::Run;
use super::state::{Half, State};
use std::collections::BTreeMap;

/// A fly put aside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Aside {
    /// The fly, and how many of its steps are done.
    pub half: Half,
    /// Since when, ms of UTC since 1970.
    pub since: i64,
}

impl Run {
    /// The flies put aside half done, in the order in which they were; since when is read off the events, so that
    /// taking something back tells true here too.
    pub fn put_aside(&self) -> Vec<Aside> {
        let void = self.taken_back();
        let mut state = State::new(&self.begun);
        let mut since: BTreeMap<u32, i64> = BTreeMap::new();
        for event in self.events() {
            if void.contains(&event.number) || state.take(&self.begun, event).is_err() {
                state.pass(event.ran_ms);
                continue;
            }
            since.retain(|fly, _| state.aside.iter().any(|half| half.fly == *fly));
            for half in &state.aside {
                since.entry(half.fly).or_insert(event.at);
            }
        }
        self.aside().iter().filter_map(|half| Some(Aside { half: *half, since: since.get(&half.fly).copied()? })).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{OPENED, go, steps};
    use super::super::{Depth, Did};
    use super::*;

    fn told(run: &Run) -> Vec<(u32, usize, i64)> {
        run.put_aside().iter().map(|aside| (aside.half.fly, aside.half.step, aside.since - 1_700_000_000_000)).collect()
    }

    #[test]
    fn a_fly_lies_there_since_it_was_put_aside_last() {
        let mut run = Run::new(steps(&[0, 0, 1], 9));
        go(&mut run, [(OPENED, 0), (Did::On, 100), (Did::PutAside, 20)]);
        assert_eq!(told(&run), [(1, 1, 120)]);
        // The second is put aside for the first; then the first again.
        go(&mut run, [(Did::On, 30), (Did::On, 30), (Did::TookUp { fly: 1 }, 20)]);
        assert_eq!(told(&run), [(2, 2, 200)]);
        let taken_up = run.last_done().unwrap();
        go(&mut run, [(Did::TookBack { number: taken_up }, 5)]);
        assert_eq!(told(&run), [(1, 1, 120)], "as if it had not been taken up");
        go(&mut run, [(Did::TookUp { fly: 1 }, 5), (Did::PutAside, 10)]);
        assert!(told(&run).contains(&(1, 1, 220)), "{:?}", told(&run));
        go(&mut run, [(Did::Depth { to: Depth::Fly }, 0), (Did::TookUp { fly: 2 }, 1), (Did::On, 1)]);
        assert!(told(&run).iter().all(|(fly, ..)| *fly != 2), "{:?}", told(&run));
    }
}
