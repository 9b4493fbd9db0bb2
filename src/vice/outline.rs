//! The outline of a fly: its steps at the vice, grouped in stages, with their words and expected times.
//!
//! It is kept with the run when the run begins. A dressing may be changed between two sittings; the flies of one
//! run are still tied by the steps they were begun with, and a place in the run still means the same step.

use crate::card::Card;
use crate::dressing::{Per, Time, When};
use crate::measure::Words;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::ops::Range;

/// The version of the outline's written form.
const VERSION: u8 = 1;

/// One step at the vice.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// Its place among all steps of the card, from 0.
    pub card: usize,
    /// The stage it belongs to, from 0.
    pub stage: usize,
    /// What to do, with its figures.
    pub text: Words,
    /// Seconds it is expected to take for one fly; a time for a dozen counts a twelfth, a time for a run nothing.
    pub seconds: Option<f64>,
    /// The key of that time on the card's sheet, for whoever asks why.
    pub key: Option<String>,
}

/// The steps of one fly at the vice; there is at least one.
///
/// A *stage* is a stretch of steps that ends with something wound: all that makes ready for it (silk laid, parts
/// tied in, wings raised) and the winding itself. Steps that follow the last winding (a wing tied in over the
/// back, the finish, its coat) are the last stage. So one stage puts one thing on the hook, and the fly can be
/// left at its end.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Written", into = "Written")]
pub struct Outline {
    steps: Vec<Step>,
    whole: Option<f64>,
}

/// An outline that cannot be one: what is wrong with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unfit {
    /// It is of a version not known here.
    Version(u8),
    /// It has no steps at the vice.
    NoSteps,
    /// The step with this number (from 1) does not follow the one before, or its time is no time.
    Step(usize),
    /// The time of the whole fly is no time.
    Whole,
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unfit::Version(version) => write!(f, "its version is {version}, and only {VERSION} is known here"),
            Unfit::NoSteps => f.write_str("no step is done at the vice"),
            Unfit::Step(number) => write!(f, "step {number} does not follow the step before it, or has a time that is none"),
            Unfit::Whole => f.write_str("the time of a whole fly is no time"),
        }
    }
}

impl std::error::Error for Unfit {}

/// An outline as written.
#[derive(Serialize, Deserialize)]
struct Written {
    v: u8,
    steps: Vec<Step>,
    whole: Option<f64>,
}

impl From<Outline> for Written {
    fn from(Outline { steps, whole }: Outline) -> Self {
        Written { v: VERSION, steps, whole }
    }
}

impl TryFrom<Written> for Outline {
    type Error = Unfit;

    fn try_from(Written { v, steps, whole }: Written) -> Result<Self, Unfit> {
        if v != VERSION {
            return Err(Unfit::Version(v));
        }
        Outline::new(steps, whole)
    }
}

impl Outline {
    /// An outline of these steps; `whole`: seconds of a whole fly, where one figure is told for it.
    ///
    /// # Errors
    /// No steps; steps that do not follow one another on the card; stages that leave a gap; times below nought.
    pub fn new(steps: Vec<Step>, whole: Option<f64>) -> Result<Self, Unfit> {
        let sound = |seconds: Option<f64>| seconds.is_none_or(|seconds| seconds.is_finite() && seconds >= 0.0);
        if steps.is_empty() {
            return Err(Unfit::NoSteps);
        }
        let mut before: Option<&Step> = None;
        for (nth, step) in steps.iter().enumerate() {
            let follows = before.map_or(step.stage == 0, |last| step.card > last.card && step.stage.checked_sub(last.stage).is_some_and(|gap| gap <= 1));
            if !follows || !sound(step.seconds) || step.card == usize::MAX {
                return Err(Unfit::Step(nth + 1));
            }
            before = Some(step);
        }
        if sound(whole) { Ok(Outline { steps, whole }) } else { Err(Unfit::Whole) }
    }

    /// The steps of a card that are done at the vice. `whole`: the dressing's one figure for the time, where it has
    /// one; it then stands for the fly in place of the sum of its steps.
    ///
    /// # Errors
    /// The card has no step at the vice.
    pub fn of(card: &Card, whole: Option<Time>) -> Result<Self, Unfit> {
        let mut steps = Vec::new();
        let mut stage = 0;
        let mut wound = false;
        for (nth, step) in card.steps.iter().enumerate().filter(|(_, step)| step.when == When::AtTheVice) {
            if wound {
                stage += 1;
            }
            wound = !step.winds.is_empty();
            let time = step.time.and_then(|(fig, per)| Some((a_fly(card.sheet.value(fig), per)?, card.sheet.key(fig).to_owned())));
            let (seconds, key) = time.unzip();
            steps.push(Step { card: nth, stage, text: Words::new(&step.text), seconds, key });
        }
        Outline::new(steps, whole.and_then(|time| a_fly(time.seconds.to_f64(), time.per)))
    }

    /// The steps, in order.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// Seconds of a whole fly, where one figure was told for it.
    pub fn whole(&self) -> Option<f64> {
        self.whole
    }

    /// How many steps a fly has; at least 1.
    pub fn count(&self) -> usize {
        self.steps.len()
    }

    /// How many stages a fly has; at least 1.
    pub fn stages(&self) -> usize {
        self.steps.last().map_or(1, |step| step.stage + 1)
    }

    /// The stage of the step with this place, from 0; the last for a place beyond.
    pub fn stage_of(&self, step: usize) -> usize {
        self.steps.get(step).or(self.steps.last()).map_or(0, |step| step.stage)
    }

    /// The steps of a stage, by place; an empty stretch at the end for a stage beyond.
    pub fn stage(&self, stage: usize) -> Range<usize> {
        self.steps.partition_point(|step| step.stage < stage)..self.steps.partition_point(|step| step.stage <= stage)
    }

    /// How many of *all* the card's steps are done once `steps` of the fly's are.
    pub fn on_card(&self, steps: usize) -> usize {
        match self.steps.get(steps) {
            // Steps before the vice are done before the fly is begun.
            Some(next) if steps == 0 => next.card,
            _ => steps.checked_sub(1).and_then(|last| self.steps.get(last)).or(self.steps.last()).map_or(0, |last| last.card + 1),
        }
    }
}

/// Seconds for one fly.
fn a_fly(seconds: f64, per: Per) -> Option<f64> {
    match per {
        Per::Fly => Some(seconds),
        Per::Dozen => Some(seconds / 12.0),
        // Done once for all flies: it says nothing of the one in hand.
        Per::Run => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::card::sample;
    use crate::measure::{Fraction, Unit};
    use crate::why::Standing;

    #[test]
    fn a_stage_ends_with_what_is_wound_and_the_rest_is_the_last() {
        // Wing; tail and rib; body and rib wound; hackle tied in and wound.
        let outline = Outline::of(&sample::dry(), None).unwrap();
        assert_eq!(outline.steps().iter().map(|step| step.stage).collect::<Vec<_>>(), [0, 0, 0, 1]);
        assert_eq!((outline.stages(), outline.stage(0), outline.stage(1), outline.stage(2)), (2, 0..3, 3..4, 4..4));
        let mut card = sample::dry();
        let finish = crate::card::WorkedStep { winds: Vec::new(), ties: Vec::new(), text: "five turns,\u{1b}[2J whip off".to_owned(), ..card.steps[0].clone() };
        card.steps.push(finish);
        let outline = Outline::of(&card, None).unwrap();
        assert_eq!(outline.stages(), 3);
        assert!(!outline.steps()[4].text.as_str().contains('\u{1b}'), "no text of a file reaches the screen raw");
    }

    #[test]
    fn steps_off_the_vice_are_left_out_but_counted_for_the_drawing() {
        let mut card = sample::dry();
        card.steps[0].when = When::Before;
        card.steps[3].when = When::After;
        let outline = Outline::of(&card, None).unwrap();
        assert_eq!((outline.count(), outline.on_card(0), outline.on_card(1), outline.on_card(2), outline.on_card(9)), (2, 1, 2, 3, 3));
        for step in &mut card.steps {
            step.when = When::After;
        }
        assert_eq!(Outline::of(&card, None), Err(Unfit::NoSteps));
    }

    #[test]
    fn a_time_for_a_dozen_counts_a_twelfth_and_keeps_its_key() {
        let mut card = sample::dry();
        let fig = card.sheet.given("step 1.time", 60.0, Unit::S, Standing::Stated, "a sample");
        card.steps[0].time = Some((fig, Per::Dozen));
        card.steps[1].time = Some((fig, Per::Run));
        let whole = Time { seconds: Fraction::whole(360), per: Per::Fly };
        let outline = Outline::of(&card, Some(whole)).unwrap();
        assert_eq!((outline.steps()[0].seconds, outline.steps()[0].key.as_deref()), (Some(5.0), Some("step 1.time")));
        assert_eq!((outline.steps()[1].seconds, outline.whole()), (None, Some(360.0)));
    }

    #[test]
    fn an_outline_is_written_and_read_back_and_a_broken_one_refused() {
        let outline = Outline::of(&sample::dry(), None).unwrap();
        let text = serde_json::to_string(&outline).unwrap();
        assert!(text.starts_with(r#"{"v":1,"steps":[{"card":0,"stage":0,"#), "{text}");
        assert_eq!(serde_json::from_str::<Outline>(&text).unwrap(), outline);
        for (broken, said) in [
            (text.replacen("\"v\":1", "\"v\":7", 1), "version is 7"),
            (text.replacen("\"stage\":1", "\"stage\":5", 1), "step 4"),
            (r#"{"v":1,"steps":[],"whole":null}"#.to_owned(), "no step"),
        ] {
            let fault = serde_json::from_str::<Outline>(&broken).unwrap_err().to_string();
            assert!(fault.contains(said), "{fault}");
        }
    }
}
