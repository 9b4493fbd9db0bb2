//! The question before a run: how many flies, and how they are tied.

use super::Waiting;
use crate::card::{Card, frozen};
use crate::dressing::{Shelf, Time};
use crate::ledger::NewRun;
use crate::measure::Words;
use crate::tui::ink::{fit, put, row, wrap};
use crate::tui::keys::{Deed, Key, Place};
use crate::tui::widgets::Paint;
use crate::tui::widgets::page::frame;
use crate::vice::{Begun, Kind, MOST_ON_A_TRAY, Outline, Unfit, Wanted};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::rc::Rc;

/// What a run has when nothing else is typed.
const USUAL: u32 = 12;
/// No bench ties more of one sort in one run.
const MOST: u32 = 9999;
/// A sample is one fly, or a few.
const MOST_SAMPLES: u32 = 3;

/// How the flies are tied.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    OneByOne,
    ByStages,
    SampleFirst,
}

/// The question and what is typed.
pub struct HowMany {
    run: NewRun,
    card: Rc<Card>,
    whole: Option<Time>,
    flies: u32,
    way: Way,
    tray: u32,
    samples: u32,
    /// The first figure typed takes the place of the number that stands there.
    fresh: bool,
    /// What is told of a run of the same flies that waits already.
    waits: Option<String>,
}

impl HowMany {
    /// Asks about a run of this card. `whole`: the dressing's one figure for the time of a fly, where it has one.
    ///
    /// # Errors
    /// The card has no step at the vice.
    pub fn new(card: Rc<Card>, whole: Option<Time>) -> Result<Self, Unfit> {
        let begun = Begun::of_steps(Outline::of(&card, whole)?, 1);
        let run = NewRun {
            dressing: Words::new(&card.dressing),
            revision: card.revision,
            size: Words::new(card.size.text()),
            variant: card.variant.as_deref().map(Words::new),
            begun_at: 0,
            begun,
            card: None,
            sample: None,
        };
        Ok(HowMany { run, card, whole, flies: USUAL, way: Way::OneByOne, tray: USUAL, samples: 1, fresh: true, waits: None })
    }

    /// Tells of a run of the same flies that waits already.
    pub fn tell(&mut self, waits: Option<&Waiting>) {
        self.waits = waits.map(|waiting| {
            let place = waiting.state.as_ref().map(|run| run.view(0)).map(|view| format!(" at fly {} of {}", view.fly, view.flies));
            format!("a run of these waits already{}: r goes on with it", place.unwrap_or_default())
        });
    }

    /// What is asked about.
    pub fn run(&self) -> &NewRun {
        &self.run
    }

    /// The run as it is asked for, begun at this time; `None` while the number is none.
    pub fn begun(&self, at: i64, shelf: &Shelf) -> Option<NewRun> {
        (self.flies > 0).then_some(())?;
        let wanted = match self.way {
            Way::OneByOne => Wanted { flies: self.flies, ..Wanted::default() },
            Way::ByStages => Wanted { flies: self.flies, tray: Some(self.tray.min(self.flies)), ..Wanted::default() },
            Way::SampleFirst => Wanted { kind: Kind::Sample, flies: self.samples, then: Some(self.flies), ..Wanted::default() },
        };
        self::begun(&self.run, &self.card, self.whole, wanted, shelf, at)
    }

    /// Types; what is no figure is passed over.
    pub fn type_in(&mut self, text: &str) {
        for figure in text.chars().filter_map(|c| c.to_digit(10)) {
            let before = if self.fresh { 0 } else { self.flies };
            self.fresh = false;
            self.flies = before.saturating_mul(10).saturating_add(figure).min(MOST);
        }
    }

    /// Does what a key asks.
    pub fn go(&mut self, deed: Deed) {
        match deed {
            Deed::Turn => {
                self.way = match self.way {
                    Way::OneByOne => Way::ByStages,
                    Way::ByStages => Way::SampleFirst,
                    Way::SampleFirst => Way::OneByOne,
                };
                return;
            }
            Deed::More | Deed::Fewer => {
                let (number, most) = match self.way {
                    Way::SampleFirst => (&mut self.samples, MOST_SAMPLES),
                    _ => (&mut self.tray, MOST_ON_A_TRAY),
                };
                *number = if deed == Deed::More { (*number + 1).min(most) } else { number.saturating_sub(1).max(1) };
                return;
            }
            _ => {}
        }
        self.flies = match deed {
            Deed::Up => self.flies + 1,
            Deed::Down => self.flies.saturating_sub(1).max(1),
            Deed::PageUp => self.flies + 12,
            Deed::PageDown if self.flies > 12 => self.flies - 12,
            Deed::Rub => self.flies / 10,
            _ => return,
        }
        .min(MOST);
        self.fresh = false;
    }

    /// Paints the question over `screen`.
    pub fn draw(&self, buf: &mut Buffer, screen: Rect, paint: Paint<'_>) {
        let inner = frame(buf, screen, "How many flies?", 6 + usize::from(self.waits.is_some()), paint);
        let (styles, columns) = (paint.styles, usize::from(inner.width));
        put(buf, inner, inner.x, inner.y, &fit(&name(&self.run), columns, paint.glyphs.cut), styles.title);
        let line = row(inner, 1);
        let after = put(buf, line, line.x, line.y, "flies ", styles.plain);
        let typed = if self.flies == 0 { String::new() } else { self.flies.to_string() };
        let after = put(buf, line, after, line.y, &typed, if self.fresh { styles.chosen } else { styles.title });
        if !self.fresh {
            put(buf, line, after, line.y, " ", styles.chosen);
        }
        let line = row(inner, 2);
        let mut x = put(buf, line, line.x, line.y, "tied  ", styles.plain);
        for (way, words) in [(Way::OneByOne, "one by one"), (Way::ByStages, "by stages"), (Way::SampleFirst, "a sample first")] {
            let (open, close, style) = if way == self.way { (paint.glyphs.open, paint.glyphs.close, styles.title) } else { (" ", " ", styles.quiet) };
            x = put(buf, line, x, line.y, &format!("{open}{words}{close} "), style);
        }
        let more = match self.way {
            Way::OneByOne => String::new(),
            Way::ByStages => format!("a stage of the whole tray before the next; trays of {} (left, right)", self.tray.min(self.flies.max(1))),
            Way::SampleFirst => match self.samples {
                1 => "1 fly, not counted, then measured and agreed (left, right: more)".to_owned(),
                samples => format!("{samples} flies, not counted, then measured and agreed (left, right)"),
            },
        };
        let line = row(inner, 3);
        put(buf, line, line.x, line.y, &fit(&more, columns, paint.glyphs.cut), styles.plain);
        let begin = paint.look.keys.key(Deed::Begin, Place::HowMany, Key::Enter).unwrap_or_default();
        let hint =
            if self.flies == 0 { "one or more is right".to_owned() } else { format!("figures, or up and down by ones, by pages a dozen; {begin} begins") };
        let waits = self.waits.as_deref().map(|waits| (waits, styles.weak));
        for (nth, (text, style)) in [Some((&*hint, styles.quiet)), waits].into_iter().flatten().enumerate() {
            for (below, text) in wrap(text, columns).iter().take(1).enumerate() {
                let line = row(inner, u16::try_from(4 + nth + below).unwrap_or(u16::MAX));
                put(buf, line, line.x, line.y, text, style);
            }
        }
    }
}

/// A run of a card. A card that is too large to be kept is not kept: the run goes by its steps all the same.
pub(super) fn begun(run: &NewRun, card: &Card, whole: Option<Time>, wanted: Wanted, shelf: &Shelf, at: i64) -> Option<NewRun> {
    let mut card = card.clone();
    let begun = Begun::of(&mut card, whole, wanted, shelf).ok()?;
    Some(NewRun { begun_at: at, begun, card: frozen::freeze(&card).ok(), ..run.clone() })
}

/// What a run is of.
pub fn name(run: &NewRun) -> String {
    let variant = run.variant.as_ref().map(|variant| format!(", {variant}")).unwrap_or_default();
    format!("{} {}{variant}", run.dressing, run.size)
}
