//! What became of the flies of a run. Each number is kept by itself, so that it can be seen whether they agree.

use super::{Bad, Fate, Refused, Run};

/// The numbers of a run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Flies begun.
    pub started: u32,
    /// Flies tied to their end.
    pub tied: u32,
    /// Put aside half done.
    pub aside: u32,
    /// In the vice, or on the tray in work.
    pub in_hand: u32,
    /// Given up before their end.
    pub given_up: u32,
    /// Looked over and good; those that were mended among them.
    pub passed: u32,
    /// Looked over, and put right.
    pub mended: u32,
    /// Tied and not yet looked over.
    pub waiting: u32,
    /// Sound, but not like the sample.
    pub seconds: u32,
    /// Cut off the hook.
    pub stripped: u32,
    /// Nothing of them is kept.
    pub lost: u32,
    /// Bad hooks and other bad things found while laying out.
    pub found_bad: u32,
    /// Things that went wrong and were caught again.
    pub mishaps: u32,
}

impl Counts {
    /// Whether every fly begun is somewhere, and once only.
    pub fn agree(&self) -> bool {
        let sum = |all: &[u32]| all.iter().map(|one| u64::from(*one)).sum::<u64>();
        u64::from(self.started) == sum(&[self.tied, self.aside, self.in_hand, self.given_up])
            && u64::from(self.tied) == sum(&[self.passed, self.waiting, self.seconds, self.stripped, self.lost])
            && self.mended <= self.passed.saturating_add(self.seconds).saturating_add(self.stripped).saturating_add(self.lost)
    }

    /// Looked over, and how many of them were good at once or after mending.
    pub fn looked_over(&self) -> u32 {
        self.tied.saturating_sub(self.waiting)
    }
}

/// What the looking over has come to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Looked {
    pub(super) waiting: u32,
    pub(super) passed: u32,
    mended: u32,
    seconds: u32,
    stripped: u32,
    lost: u32,
}

impl Looked {
    /// Whether so many can be bad and so many be left for another time.
    pub(super) fn can(&self, bad: &[Bad], left: u32) -> Result<(), Refused> {
        let all = bad.iter().fold(0u64, |sum, bad| sum + u64::from(bad.flies));
        let of = self.waiting.checked_sub(left).ok_or(Refused::TooMany { of: self.waiting })?;
        let of = of.saturating_add(self.passed);
        if all <= u64::from(of) { Ok(()) } else { Err(Refused::TooMany { of }) }
    }

    /// Takes what was found; it can be.
    pub(super) fn take(&mut self, bad: &[Bad], left: u32) {
        let mut good = self.passed.saturating_add(self.waiting.saturating_sub(left));
        for Bad { fate, flies, .. } in bad {
            let into = match fate {
                Fate::Mended => &mut self.mended,
                Fate::Second => &mut self.seconds,
                Fate::Stripped => &mut self.stripped,
                Fate::Lost => &mut self.lost,
            };
            *into = into.saturating_add(*flies);
            if *fate != Fate::Mended {
                good = good.saturating_sub(*flies);
            }
        }
        self.passed = good;
        self.waiting = self.waiting.min(left);
    }
}

impl Run {
    /// What became of the flies so far.
    pub fn counts(&self) -> Counts {
        let state = &self.state;
        let number = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        let Looked { waiting, passed, mended, seconds, stripped, lost } = state.looked;
        Counts {
            started: state.started,
            tied: number(state.tied.len()),
            aside: number(state.aside.len()),
            in_hand: number(usize::from(state.hand.is_some()) + state.tray.as_ref().map_or(0, |tray| tray.flies.len())),
            given_up: number(state.given_up.len()),
            passed,
            mended,
            waiting,
            seconds,
            stripped,
            lost,
            found_bad: state.ticked.iter().fold(0, |sum, bad| sum.saturating_add(*bad)),
            mishaps: number(state.mishaps.len()),
        }
    }

    /// The flies that failed, by reason and fate, as they were found.
    pub fn bad(&self) -> &[Bad] {
        &self.state.bad
    }
}
