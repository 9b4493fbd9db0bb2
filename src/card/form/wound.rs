//! Forms of what is wound and of what is dubbed: bodies, ribs, chenilles, spun heads.

use super::{Form, Trim, Works};
use crate::card::hook_line::{P2, drawn};
use crate::card::{Clipped, WorkedPart};
use crate::dressing::Way;

impl Works<'_> {
    pub(super) fn wound(&self, part: &WorkedPart) -> Vec<Form> {
        let (beneath, [low, high]) = (self.beneath(part), self.span(part));
        let width = self.mm(part.width).unwrap_or(0.0);
        let thick = self.mm(part.strand_thick).unwrap_or(width);
        let turns = self.turns(part);
        let coil = |over: Vec<P2>, turns: f64, touching: bool| {
            let across = if width > 0.0 { width } else { 0.1 };
            Form::Coil { span: self.way_of(part), turns, across, over, other_way: part.other_way, touching }
        };
        if self.is_open(part) {
            let mut forms = vec![coil(beneath.clone(), turns.unwrap_or(1.0), false)];
            forms.extend(self.flue(part, &beneath));
            return forms;
        }
        let layers = self.coverage(part).unwrap_or(1.0).max(1.0);
        let outer: Vec<P2> = beneath.iter().map(|[s, across]| [*s, across + 2.0 * thick * layers]).collect();
        let seams = turns.filter(|_| layers < 1.5 && high > low).map(|turns| coil(outer.clone(), turns, true));
        let mut forms = Vec::new();
        let flue = self.flue(part, &outer);
        if high > low {
            forms.push(Form::Round { profile: outer, furred: false, floor: None });
        } else if let Some(turns) = turns {
            // A collar of a strand, turn beside turn toward the eye.
            let room = (turns * width).min(low.max(0.0));
            let across = beneath.last().map_or(self.hook.wire, |end| end[1]) + 2.0 * thick;
            forms.push(Form::Round { profile: vec![[low - room, across], [low, across]], furred: false, floor: None });
        }
        forms.extend(seams);
        forms.extend(flue);
        forms
    }

    /// The flue of a fluffy strand stands out to its outside diameter, measured from the middle of the strand.
    pub(super) fn flue(&self, part: &WorkedPart, over: &[P2]) -> Option<Form> {
        let flue = part.flue.filter(|flue| flue.is_finite() && *flue > 0.0)?.min(50.0);
        let turns = self.turns(part).unwrap_or(8.0);
        let each = (60.0 / turns).clamp(1.0, 4.0) as u32;
        Some(Form::Ring { span: self.way_of(part), turns, fibre: flue / 2.0, over: over.to_vec(), lean: [-0.25, 0.25], each, trim: Trim::default() })
    }

    /// The outside of a dubbed or spun body: place and diameter, eye to bend.
    pub(super) fn dubbed_outside(&self, part: &WorkedPart) -> Vec<P2> {
        let (beneath, [from, to]) = (self.beneath(part), self.way_of(part));
        let thick = part.thick.map(|(a, b)| (drawn(&self.card.sheet, a), drawn(&self.card.sheet, b)));
        let clipped = self.clipped_ball(part);
        let [low, high] = [from.min(to), from.max(to)];
        let outer = |s: f64, across: f64| match (clipped, thick) {
            (Some(wide), _) => (wide * rounded((s - low) / (high - low).max(1e-9))).max(across),
            (_, Some((a, b))) if (to - from).abs() > 1e-12 => (a + (b - a) * ((s - from) / (to - from)).clamp(0.0, 1.0)).max(across),
            (_, Some((a, b))) => a.max(b).max(across),
            (_, None) => 2.0 * across,
        };
        // A clipped ball needs places in between to be seen round.
        let beneath = if clipped.is_some() { divided(&beneath, 16) } else { beneath };
        beneath.iter().map(|[s, across]| [*s, outer(*s, *across)]).collect()
    }

    /// The diameter a spun head is clipped to.
    fn clipped_ball(&self, part: &WorkedPart) -> Option<f64> {
        match part.clip {
            Some(Clipped::To(fig)) if part.way == Way::Spun => Some(2.0 * drawn(&self.card.sheet, fig)),
            _ => None,
        }
    }

    pub(super) fn dubbed(&self, part: &WorkedPart) -> Vec<Form> {
        let trim = self.trim(part);
        let clipped = self.clipped_ball(part).is_some();
        let floor = trim.floor.filter(|_| part.way == Way::Spun);
        let mut forms = vec![Form::Round { profile: self.dubbed_outside(part), furred: true, floor }];
        // The longest hairs stand out round a loop of fur; what is clipped to a ball has none.
        if let (Some(fibre), false) = (self.mm(part.fibre).filter(|fibre| *fibre > 0.0), clipped) {
            let turns = self.turns(part).unwrap_or(8.0).clamp(2.0, 40.0);
            let lean = if self.swept() { [0.5, 0.75] } else { [-0.2, 0.3] };
            forms.push(Form::Ring { span: self.way_of(part), turns, fibre, over: self.beneath(part), lean, each: 3, trim });
        }
        forms
    }
}

/// A ball's diameter as a share of its widest, along its length from 0 to 1; the ends are a little flat.
fn rounded(share: f64) -> f64 {
    let off = 2.0 * share.clamp(0.0, 1.0) - 1.0;
    (1.0 - 0.8 * off * off).sqrt()
}

/// A profile with so many places a stretch.
fn divided(profile: &[P2], into: u32) -> Vec<P2> {
    let mut all: Vec<P2> = Vec::new();
    for (a, b) in profile.iter().zip(profile.iter().skip(1)) {
        all.extend((0..into).map(|i| f64::from(i) / f64::from(into)).map(|share| [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]));
    }
    all.extend(profile.last());
    all
}
