//! What has been built on the hook so far: diameter along the wire, in stretches, every figure on the sheet.

use super::Stretch;
use super::formulas::{LAYER, SPREAD};
use crate::why::{Fig, Geometry};
use std::collections::HashSet;

/// Two places nearer than this are one (mm).
const SAME_PLACE: f64 = 1e-9;

/// The thickness profile, eye to bend.
#[derive(Clone, Debug)]
pub(crate) struct Profile {
    stretches: Vec<Stretch>,
    /// The bare wire.
    wire: Fig,
    /// Diameters that are nothing but silk on the bare wire.
    bedded: HashSet<Fig>,
}

impl Profile {
    /// The bare wire from one place to another.
    pub(crate) fn bare(from: Fig, to: Fig, wire: Fig) -> Self {
        Profile { stretches: vec![Stretch { from, to, across_from: wire, across_to: wire }], wire, bedded: HashSet::new() }
    }

    /// Notes that whatever lies between two places on the bare wire is silk alone.
    pub(crate) fn bed(&mut self, sheet: &mut Geometry, a: Fig, b: Fig, thick: Fig, layers: Fig) -> Option<()> {
        let before: Vec<Fig> = self.between(sheet, a, b)?.iter().flat_map(|s| [s.across_from, s.across_to]).collect();
        let bare = before.iter().all(|across| *across == self.wire || self.bedded.contains(across));
        self.lay(sheet, a, b, thick, layers)?;
        if bare {
            let (low, high) = ordered(sheet, a, b);
            let laid: Vec<Fig> = self.within(sheet, low, high).flat_map(|nth| [self.stretches[nth].across_from, self.stretches[nth].across_to]).collect();
            self.bedded.extend(laid);
        }
        Some(())
    }

    /// The diameter at a place: where two stretches meet, that of the one on the eye's side; but the bare wire does
    /// not count where a bed of silk begins.
    pub(crate) fn across(&self, sheet: &mut Geometry, place: Fig) -> Option<Fig> {
        let s = sheet.value(place);
        let stretch = self.stretches.iter().find(|stretch| s <= sheet.value(stretch.to) + SAME_PLACE)?;
        if (s - sheet.value(stretch.to)).abs() <= SAME_PLACE {
            let next = self.stretches.iter().find(|next| (s - sheet.value(next.from)).abs() <= SAME_PLACE && sheet.value(next.to) > s + SAME_PLACE);
            let bed = next.filter(|next| stretch.across_to == self.wire && self.bedded.contains(&next.across_from));
            return Some(bed.map_or(stretch.across_to, |bed| bed.across_from));
        }
        if (s - sheet.value(stretch.from)).abs() <= SAME_PLACE {
            return Some(stretch.across_from);
        }
        spread(sheet, place, *stretch)
    }

    /// Cuts the profile at a place, so that stretches begin and end there.
    fn cut(&mut self, sheet: &mut Geometry, place: Fig) -> Option<()> {
        let s = sheet.value(place);
        let inside = |stretch: &Stretch| s > sheet.value(stretch.from) + SAME_PLACE && s < sheet.value(stretch.to) - SAME_PLACE;
        let Some(nth) = self.stretches.iter().position(inside) else { return Some(()) };
        let whole = self.stretches[nth];
        let across = spread(sheet, place, whole)?;
        self.stretches[nth] = Stretch { to: place, across_to: across, ..whole };
        self.stretches.insert(nth + 1, Stretch { from: place, across_from: across, ..whole });
        Some(())
    }

    /// The stretches between two places, eye to bend; none for a span of nought.
    pub(crate) fn between(&mut self, sheet: &mut Geometry, a: Fig, b: Fig) -> Option<Vec<Stretch>> {
        self.cut(sheet, a)?;
        self.cut(sheet, b)?;
        let (low, high) = ordered(sheet, a, b);
        Some(self.within(sheet, low, high).map(|nth| self.stretches[nth]).collect())
    }

    fn within(&self, sheet: &Geometry, low: Fig, high: Fig) -> impl Iterator<Item = usize> + use<> {
        let (low, high) = (sheet.value(low) - SAME_PLACE, sheet.value(high) + SAME_PLACE);
        let inside: Vec<usize> = self
            .stretches
            .iter()
            .enumerate()
            .filter(|(_, stretch)| sheet.value(stretch.from) >= low && sheet.value(stretch.to) <= high)
            .filter(|(_, stretch)| sheet.value(stretch.to) - sheet.value(stretch.from) > SAME_PLACE)
            .map(|(nth, _)| nth)
            .collect();
        inside.into_iter()
    }

    /// Lays so many layers of a thickness between two places.
    pub(crate) fn lay(&mut self, sheet: &mut Geometry, a: Fig, b: Fig, thick: Fig, layers: Fig) -> Option<()> {
        self.between(sheet, a, b)?;
        let (low, high) = ordered(sheet, a, b);
        for nth in self.within(sheet, low, high) {
            let stretch = self.stretches[nth];
            let thicker = |sheet: &mut Geometry, across: Fig| {
                let key = sheet.fresh_key("profile");
                sheet.work(key, &LAYER, &[across, thick, layers])
            };
            let across_from = thicker(sheet, stretch.across_from)?;
            let across_to = if stretch.across_to == stretch.across_from { across_from } else { thicker(sheet, stretch.across_to)? };
            self.stretches[nth] = Stretch { across_from, across_to, ..stretch };
        }
        Some(())
    }

    /// Sets the diameter between two places to a taper.
    pub(crate) fn shape(&mut self, sheet: &mut Geometry, a: (Fig, Fig), b: (Fig, Fig)) -> Option<()> {
        self.between(sheet, a.0, b.0)?;
        let ((low, across_from), (high, across_to)) = if sheet.value(a.0) <= sheet.value(b.0) { (a, b) } else { (b, a) };
        let inside: Vec<usize> = self.within(sheet, low, high).collect();
        let Some(first) = inside.first().copied() else { return Some(()) };
        self.stretches.drain(first..first + inside.len());
        self.stretches.insert(first, Stretch { from: low, to: high, across_from, across_to });
        Some(())
    }
}

fn ordered(sheet: &Geometry, a: Fig, b: Fig) -> (Fig, Fig) {
    if sheet.value(a) <= sheet.value(b) { (a, b) } else { (b, a) }
}

fn spread(sheet: &mut Geometry, place: Fig, stretch: Stretch) -> Option<Fig> {
    if stretch.across_from == stretch.across_to {
        return Some(stretch.across_from);
    }
    let key = sheet.fresh_key("profile");
    sheet.work(key, &SPREAD, &[place, stretch.from, stretch.to, stretch.across_from, stretch.across_to])
}

/// The stretches as inputs of a formula.
pub(crate) fn inputs(head: &[Fig], stretches: &[Stretch]) -> Vec<Fig> {
    let mut all = head.to_vec();
    all.extend(stretches.iter().flat_map(|s| [s.from, s.to, s.across_from, s.across_to]));
    all
}
