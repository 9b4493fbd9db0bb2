//! The silk's way through a fly: beds, binds, open travel, start and finish, each length on the sheet.

use super::formulas::*;
use super::place_and_length::width_of;
use super::profile::inputs;
use super::worker::{Worker, from};
use super::{Need, Stretch};
use crate::diagnostic::{At, Told};
use crate::dressing::Way;
use crate::measure::{Unit, words};
use crate::why::{Fig, Source, Standing};

/// The tying silk while a fly is tied.
pub(super) struct Silk {
    /// The first word of its keys.
    stem: &'static str,
    material: String,
    width: Fig,
    thick: Fig,
    /// Pitch of open turns, where the bench says one; else travel is told by the plain distance.
    pitch: Option<Fig>,
    bind: Fig,
    one_layer: Fig,
    /// Where it hangs; `None` before it is started.
    hangs: Option<Fig>,
    lengths: Vec<Fig>,
}

impl Silk {
    /// Starts a silk; one that only finishes travels and binds as the other does.
    pub(super) fn start(w: &mut Worker<'_>, stem: &'static str, told: &Told<String>, like: Option<&Silk>) -> Option<Self> {
        let material = w.material(&told.value)?;
        let width = width_of(w, stem, &told.value, &told.at)?;
        let thick = match &material.thick {
            Some(thick) => w.told(&format!("{stem}.thick"), thick, Unit::Mm, Standing::Stated),
            None => width,
        };
        let terms = &w.shelf.terms;
        let key = format!("{stem}.start");
        let start = match &terms.start {
            Some(start) => w.told(&key, start, Unit::Mm, Standing::Stated),
            None => w.sheet.given(key, 40.0, Unit::Mm, Standing::Usual, "usual at benches, no source; set `start:` under defaults in bench.yaml"),
        };
        let bind = match (like, &terms.bind) {
            (Some(like), _) => like.bind,
            (None, Some(bind)) => w.sheet.given("silk.bind-turns", bind.value.to_f64(), Unit::One, Standing::Stated, from(&bind.at)),
            (None, None) => {
                w.sheet.given("silk.bind-turns", 5.0, Unit::One, Standing::Usual, "usual at benches, no source; set `bind:` under defaults in bench.yaml")
            }
        };
        let pitch = match like {
            Some(like) => like.pitch,
            None => terms.travel.as_ref().map(|travel| w.told("silk.travel-pitch", travel, Unit::Mm, Standing::Stated)),
        };
        let one_layer = w.common("one-layer", 1.0, Unit::One, Standing::Stated, "touching turns build one layer");
        Some(Silk { stem, material: words::fold(&told.value), width, thick, pitch, bind, one_layer, hangs: None, lengths: vec![start] })
    }

    /// Silk that goes into something else, such as a loop.
    pub(super) fn also(&mut self, length: Fig) {
        self.lengths.push(length);
    }

    /// The material, folded.
    pub(super) fn material(&self) -> &str {
        &self.material
    }

    /// Whether it has been started.
    pub(super) fn hangs(&self) -> bool {
        self.hangs.is_some()
    }

    /// Takes the silk to a place in open turns: by the distance, or by turns of the bench's own pitch.
    pub(super) fn travel(&mut self, w: &mut Worker<'_>, to: Fig, at: &At) -> Option<()> {
        let Some(here) = self.hangs.replace(to) else { return Some(()) };
        if (w.value(here) - w.value(to)).abs() < 1e-9 {
            return Some(());
        }
        let Some(pitch) = self.pitch else {
            let key = w.sheet.fresh_key(&format!("{}.travel", self.stem));
            self.lengths.push(w.work(&key, &DISTANCE, &[here, to], at)?);
            return Some(());
        };
        let key = w.sheet.fresh_key(&format!("{}.open-turns", self.stem));
        let turns = w.work(&key, &OPEN_TURNS, &[here, to, pitch], at)?;
        let beneath = w.beneath(here, to)?;
        self.lay(w, "travel", turns, &beneath, at)
    }

    /// A bed of touching turns from one place to another, which builds a layer.
    pub(super) fn bed(&mut self, w: &mut Worker<'_>, start: Fig, end: Fig, at: &At) -> Option<()> {
        self.travel(w, start, at)?;
        self.hangs = Some(end);
        if (w.value(start) - w.value(end)).abs() < 1e-9 {
            return Some(());
        }
        let beneath = w.beneath(start, end)?;
        let key = w.sheet.fresh_key(&format!("{}.bed-turns", self.stem));
        let turns = w.work(&key, &TOUCHING, &inputs(&[self.width], &beneath), at)?;
        self.lay(w, "bed", turns, &beneath, at)?;
        w.profile.bed(&mut w.sheet, start, end, self.thick, self.one_layer)
    }

    /// So many turns from one place to another, evenly, or at one place.
    pub(super) fn turns(&mut self, w: &mut Worker<'_>, count: &Told<crate::measure::Fraction>, span: Option<(Fig, Fig)>) -> Option<()> {
        let at = &count.at;
        let key = w.sheet.fresh_key(&format!("{}.turns", self.stem));
        let turns = w.sheet.given(key, count.value.to_f64(), Unit::One, Standing::Stated, from(at));
        let (start, end) = match span.or(self.hangs.map(|here| (here, here))) {
            Some(span) => span,
            None => (w.marks.bead, w.marks.bead),
        };
        self.travel(w, start, at)?;
        self.hangs = Some(end);
        if (w.value(start) - w.value(end)).abs() < 1e-9 {
            return self.rings(w, "turned", turns, start, at);
        }
        let beneath = w.beneath(start, end)?;
        self.lay(w, "turned", turns, &beneath, at)
    }

    /// Binds something down at a place.
    pub(super) fn bind(&mut self, w: &mut Worker<'_>, place: Fig, at: &At) -> Option<()> {
        self.travel(w, place, at)?;
        self.rings(w, "bind", self.bind, place, at)
    }

    /// Binds something down that no step names: its turns are counted, its moment is not known.
    pub(super) fn bind_unnamed(&mut self, w: &mut Worker<'_>, place: Fig, at: &At) -> Option<()> {
        self.rings(w, "bind", self.bind, place, at)
    }

    /// Binds where the silk hangs.
    pub(super) fn bind_here(&mut self, w: &mut Worker<'_>, at: &At) -> Option<()> {
        match self.hangs {
            Some(here) => self.rings(w, "bind", self.bind, here, at),
            None => Some(()),
        }
    }

    /// Whips off at the head.
    pub(super) fn finish(&mut self, w: &mut Worker<'_>, count: f64, standing: Standing, source: impl Into<Source>, at: &At) -> Option<()> {
        let half = w.common(
            "silk.finish-place.times",
            0.5,
            Unit::One,
            Standing::Usual,
            "the middle of the head, half an eye behind the eye or bead: usual, no source",
        );
        let place = match w.sheet.find("silk.finish-place") {
            Some(fig) => fig,
            None => w.work("silk.finish-place", &PLACE, &[w.marks.bead, half, w.hook.eye], at)?,
        };
        self.travel(w, place, at)?;
        let key = w.sheet.free_key(&format!("{}.finish-turns", self.stem));
        let turns = w.sheet.given(key, count, Unit::One, standing, source);
        self.rings(w, "finish", turns, place, at)
    }

    fn rings(&mut self, w: &mut Worker<'_>, stem: &str, turns: Fig, place: Fig, at: &At) -> Option<()> {
        let across = w.across(place)?;
        let key = w.sheet.fresh_key(&format!("{}.{stem}", self.stem));
        self.lengths.push(w.work(&key, &RINGS, &[turns, self.thick, across], at)?);
        Some(())
    }

    fn lay(&mut self, w: &mut Worker<'_>, stem: &str, turns: Fig, beneath: &[Stretch], at: &At) -> Option<()> {
        let key = w.sheet.fresh_key(&format!("{}.{stem}", self.stem));
        self.lengths.push(w.work(&key, &WOUND, &inputs(&[turns, self.thick], beneath), at)?);
        Some(())
    }

    /// All the silk one fly takes.
    pub(super) fn total(self, w: &mut Worker<'_>, told: &Told<String>) -> Option<Need> {
        let material = w.material(&told.value)?;
        let stem = self.stem;
        let loss = match &material.loss {
            Some(loss) => w.told(&format!("{stem}.loss"), loss, Unit::One, Standing::Stated),
            None => w.sheet.given(format!("{stem}.loss"), 0.0, Unit::One, Standing::Stated, "none stated in materials.yaml"),
        };
        let lost = match &material.lost_at_tie {
            Some(lost) => w.told(&format!("{stem}.lost-at-tie"), lost, Unit::Mm, Standing::Stated),
            None => w.sheet.given(format!("{stem}.lost-at-tie"), 0.0, Unit::Mm, Standing::Stated, "none stated in materials.yaml"),
        };
        let mut all = vec![loss, lost];
        all.extend(&self.lengths);
        let amount = w.work(&format!("{stem}.amount"), &SILK_TOTAL, &all, &told.at)?;
        let part = if stem == "silk" { "silk" } else { "head silk" };
        Some(Need { part: part.to_owned(), material: self.material, size: None, way: Way::Wound, amount, share: None, share_of_piece: None, along: None })
    }
}
