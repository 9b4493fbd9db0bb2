//! What a run is begun with, kept with it to its end: how many, by which steps, what is laid out, coated, measured and
//! booked, and how long a fly is expected to take.
//!
//! A dressing may be changed between two sittings, and own times are learnt meanwhile; the run is still what it was
//! begun as, and a place in it still means the same.

use super::{Outline, Part};
use crate::measure::{Unit, Words};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::fmt;

/// What the flies are for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Tied, measured and agreed before the others; not counted.
    Sample,
    /// To be delivered.
    #[default]
    Counted,
}

/// What a thing of the laying out is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Of {
    /// The hooks: bad ones come out here.
    Hooks,
    /// Something threaded on the hook or counted out: beads, eyes.
    Things,
    /// Feathers, plucked and sized.
    Feathers,
    /// Lengths cut.
    Lengths,
    /// Parts made beforehand.
    MadeParts,
    /// Silk in its bobbin.
    Silk,
    /// A step the dressing says is done before the vice.
    Step,
    /// Anything else that is to lie ready.
    Other,
}

/// A thing of the laying out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Item {
    /// What it is about.
    pub of: Of,
    /// What to do, with its numbers.
    pub text: Words,
    /// Seconds it is expected to take for the run.
    pub seconds: Option<f64>,
    /// The key of its number on the card's sheet, for whoever asks why.
    pub key: Option<String>,
}

/// What is done to all flies of the run after the vice.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Finish {
    /// Its place among all steps of the card, from 0.
    pub card: usize,
    /// What to do.
    pub text: Words,
    /// Seconds it is expected to take for the run.
    pub seconds: Option<f64>,
    /// Milliseconds it dries, without hands.
    pub dries_ms: Option<u64>,
    /// What dries, for the clock.
    pub what: Words,
}

/// A length of the sample to be held against the card.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Length {
    /// Its key on the card's sheet.
    pub key: String,
    /// What it is, in words.
    pub what: Words,
    /// What it should be, mm.
    pub mm: f64,
    /// The least and the most that passes, mm.
    pub within: (f64, f64),
}

/// A material that is booked out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Material {
    /// Its name, with the size where that matters.
    pub name: Words,
    /// Its unit, by its name.
    pub unit: Words,
    /// Reckoned for one fly, in that unit.
    pub a_fly: Decimal,
    /// A hook: a bad one is out as well.
    pub hook: bool,
    /// Comes back whole from a fly that is stripped.
    pub comes_back: bool,
    /// Grams of a metre (or of one), where it can be weighed.
    pub grams: Option<Decimal>,
}

/// What goes by itself, as set at the bench.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Habits {
    /// So many flies are tied step by step at first, the others in one press each.
    pub at_step: u32,
    /// The first fly of each so many is tied step by step again, so that the steps' times stay true; 0 is never.
    pub again: u32,
    /// What takes longer than so many times the expected time is taken for a pause.
    pub pause_beyond: f64,
    /// Milliseconds at the vice after which a rest is offered.
    pub rest_after_ms: u64,
    /// Milliseconds that are a rest.
    pub rest_ms: u64,
}

impl Default for Habits {
    /// The first three to get to know the dressing and one in a dozen after that are this bench's own habit; a rest
    /// after 40 minutes lies within the 30 to 45 minutes of attention that Pheasant gives (quoted at second hand),
    /// of 5 minutes at least. Four times the expected time is our own mark.
    fn default() -> Self {
        Habits { at_step: 3, again: 12, pause_beyond: 4.0, rest_after_ms: 40 * 60_000, rest_ms: 5 * 60_000 }
    }
}

/// Own time of a fly, learnt from earlier runs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Own {
    /// The middle time of a fly, ms.
    pub ms: u64,
    /// From so many flies.
    pub flies: u32,
    /// The size they were of, where none of this size has been tied.
    pub of_size: Option<Words>,
}

/// What a run is begun with.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Written", into = "Written")]
pub struct Begun {
    /// What the flies are for.
    pub kind: Kind,
    /// How many; at least 1.
    pub flies: u32,
    /// Tied by stages, so many on a tray; one by one where `None`.
    pub tray: Option<u32>,
    /// The steps at the vice.
    pub outline: Outline,
    /// The laying out.
    pub layout: Vec<Item>,
    /// After the vice.
    pub finishing: Vec<Finish>,
    /// Lengths of the sample.
    pub lengths: Vec<Length>,
    /// What is booked out.
    pub materials: Vec<Material>,
    /// What goes by itself; nothing does where `None`.
    pub habits: Option<Habits>,
    /// Own time of a fly.
    pub own: Option<Own>,
    /// Whether the flies are looked over and booked. A run of the first form ended with its last fly.
    pub whole: bool,
    /// Of a sample: how many flies the run has that is to follow it.
    pub then: Option<u32>,
}

/// Begun as written: the version and all the rest.
#[derive(Serialize, Deserialize)]
struct Written {
    v: u8,
    kind: Kind,
    flies: u32,
    tray: Option<u32>,
    outline: Outline,
    layout: Vec<Item>,
    finishing: Vec<Finish>,
    lengths: Vec<Length>,
    materials: Vec<Material>,
    habits: Option<Habits>,
    own: Option<Own>,
    whole: bool,
    then: Option<u32>,
}

const VERSION: u8 = 1;

/// No tray holds more.
pub const MOST_ON_A_TRAY: u32 = 1000;

/// What a run cannot be begun with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unfit {
    /// It is of a version not known here.
    Version(u8),
    /// It has no flies.
    NoFlies,
    /// A tray of none, or of more than any tray holds.
    NoTray,
    /// A time, a length or an amount that is none.
    Figure(&'static str),
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unfit::Version(version) => write!(f, "it is of version {version}, and only {VERSION} is known here"),
            Unfit::NoFlies => f.write_str("it has no flies; one or more would be right"),
            Unfit::NoTray => write!(f, "a tray holds one fly or more, up to {MOST_ON_A_TRAY}"),
            Unfit::Figure(of) => write!(f, "{of} is no sound figure"),
        }
    }
}

impl std::error::Error for Unfit {}

impl From<Begun> for Written {
    fn from(begun: Begun) -> Self {
        let Begun { kind, flies, tray, outline, layout, finishing, lengths, materials, habits, own, whole, then } = begun;
        Written { v: VERSION, kind, flies, tray, outline, layout, finishing, lengths, materials, habits, own, whole, then }
    }
}

impl TryFrom<Written> for Begun {
    type Error = Unfit;

    fn try_from(written: Written) -> Result<Self, Unfit> {
        let Written { v, kind, flies, tray, outline, layout, finishing, lengths, materials, habits, own, whole, then } = written;
        if v != VERSION {
            return Err(Unfit::Version(v));
        }
        let begun = Begun { kind, flies, tray, outline, layout, finishing, lengths, materials, habits, own, whole, then };
        begun.sound().map(|()| begun)
    }
}

impl Begun {
    /// A run of nothing but steps at the vice, each press by hand: the first form a run had.
    pub fn of_steps(outline: Outline, flies: u32) -> Self {
        Begun {
            kind: Kind::Counted,
            flies,
            tray: None,
            outline,
            layout: Vec::new(),
            finishing: Vec::new(),
            lengths: Vec::new(),
            materials: Vec::new(),
            habits: None,
            own: None,
            whole: false,
            then: None,
        }
    }

    /// Looks whether a run can be begun with it.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn sound(&self) -> Result<(), Unfit> {
        let time = |seconds: Option<f64>| seconds.is_none_or(|seconds| seconds.is_finite() && seconds >= 0.0);
        let length = |mm: f64| mm.is_finite() && mm >= 0.0;
        let amount = |amount: &Decimal| !amount.is_sign_negative();
        if self.flies == 0 {
            return Err(Unfit::NoFlies);
        }
        if self.tray.is_some_and(|tray| !(1..=MOST_ON_A_TRAY).contains(&tray)) {
            return Err(Unfit::NoTray);
        }
        if !self.layout.iter().all(|item| time(item.seconds)) {
            return Err(Unfit::Figure("a time of the laying out"));
        }
        if !self.finishing.iter().all(|finish| time(finish.seconds)) {
            return Err(Unfit::Figure("a time of the finishing"));
        }
        if !self.lengths.iter().all(|told| length(told.mm) && length(told.within.0) && length(told.within.1)) {
            return Err(Unfit::Figure("a length of the sample"));
        }
        if !self.materials.iter().all(|material| amount(&material.a_fly) && material.grams.as_ref().is_none_or(amount)) {
            return Err(Unfit::Figure("an amount of a material"));
        }
        if self.habits.is_some_and(|habits| !(habits.pause_beyond.is_finite() && habits.pause_beyond >= 1.0)) {
            return Err(Unfit::Figure("the multiple that makes a pause"));
        }
        Ok(())
    }

    /// The part a run begins with.
    pub fn first(&self) -> Part {
        if self.layout.is_empty() { Part::Tying } else { Part::LayingOut }
    }

    /// The part that follows.
    pub fn after(&self, part: Part) -> Part {
        match part {
            Part::LayingOut => Part::Tying,
            Part::Tying if self.kind == Kind::Sample => {
                if self.lengths.is_empty() {
                    Part::Agreeing
                } else {
                    Part::Measuring
                }
            }
            Part::Measuring => Part::Agreeing,
            Part::Tying if !self.whole => Part::Done,
            Part::Tying if !self.finishing.is_empty() => Part::Finishing,
            Part::Tying | Part::Finishing => Part::LookingOver,
            Part::LookingOver => Part::Booking,
            Part::Booking | Part::Agreeing | Part::Done => Part::Done,
        }
    }

    /// Whether a unit's name is that of lengths: such goods are weighed by what a metre weighs.
    pub fn is_length(material: &Material) -> bool {
        material.unit.as_str() == Unit::M.name()
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::outline;
    use super::*;

    #[test]
    fn what_a_run_is_begun_with_is_written_and_read_back() {
        let begun = Begun {
            layout: vec![Item { of: Of::Hooks, text: Words::new("Count out 12 hooks."), seconds: Some(240.0), key: None }],
            finishing: vec![Finish { card: 4, text: Words::new("One coat."), seconds: None, dries_ms: Some(28_800_000), what: Words::new("varnish") }],
            lengths: vec![Length { key: "tail.length".to_owned(), what: Words::new("tail"), mm: 8.9, within: (8.4, 9.4) }],
            materials: vec![Material {
                name: Words::new("gold wire"),
                unit: Words::new("m"),
                a_fly: "0.0521".parse().unwrap(),
                hook: false,
                comes_back: false,
                grams: None,
            }],
            habits: Some(Habits::default()),
            own: Some(Own { ms: 300_000, flies: 14, of_size: Some(Words::new("12")) }),
            whole: true,
            ..Begun::of_steps(outline(&[0, 1]), 12)
        };
        let text = serde_json::to_string(&begun).unwrap();
        assert_eq!(serde_json::from_str::<Begun>(&text).unwrap(), begun);
        for (from, to, said) in
            [("\"v\":1,\"kind\"", "\"v\":9,\"kind\"", "version 9"), ("\"flies\":12", "\"flies\":0", "no flies"), ("\"mm\":8.9", "\"mm\":-1.0", "length")]
        {
            let fault = serde_json::from_str::<Begun>(&text.replacen(from, to, 1)).unwrap_err().to_string();
            assert!(fault.contains(said), "{fault}");
        }
    }

    #[test]
    fn the_parts_follow_one_another_and_those_without_anything_to_do_are_passed_over() {
        let all = |begun: &Begun| std::iter::successors(Some(begun.first()), |part| (*part != Part::Done).then(|| begun.after(*part))).collect::<Vec<_>>();
        let plain = Begun::of_steps(outline(&[0]), 1);
        assert_eq!(all(&plain), [Part::Tying, Part::Done], "the first form");
        let whole = Begun { whole: true, ..plain.clone() };
        assert_eq!(all(&whole), [Part::Tying, Part::LookingOver, Part::Booking, Part::Done]);
        let sample = Begun { kind: Kind::Sample, ..whole };
        assert_eq!(all(&sample), [Part::Tying, Part::Agreeing, Part::Done]);
    }
}
