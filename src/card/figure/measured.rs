//! The lengths of the card as they lie on the fly: from the tie to the tip, from the stem to the end of a fibre, from
//! where something wound begins to where it ends, across a bead.

use super::{Draw, Shape, Tone};
use crate::card::form::{Form, P3, Put, across_at};
use crate::card::hook_line::{P2, drawn};
use crate::card::{Card, WorkedPart};
use crate::why::Fig;

impl Draw {
    /// Marks the length that a form shows, where the card has a figure of it.
    pub(super) fn measure(&mut self, card: &Card, put: &Put) {
        let Some(part) = put.part.and_then(|part| card.parts.get(part)) else { return };
        let length = part.length.or(part.fibre);
        match &put.form {
            Form::Fan { s, lift, toward, length: reach, .. } => self.straight(*s, *lift, toward.map(|along| along * reach), length),
            Form::Ring { span, fibre, over, .. } => {
                let s = (span[0] + span[1]) / 2.0;
                let radius = across_at(over, s).or(over.last().map(|end| end[1])).unwrap_or(0.0) / 2.0;
                self.straight(s, radius, [0.0, *fibre, 0.0], part.fibre);
            }
            Form::Leaf { s, lift, tip, .. } => match spanned(card, part) {
                Some((ends, fig)) => self.along(ends, fig),
                None => self.straight(*s, *lift, *tip, part.length),
            },
            Form::Round { .. } | Form::Coil { .. } if put.line.is_some() => {
                if let Some(fig) = card.sheet.find(&format!("{}.beyond", part.name)).or(part.length) {
                    self.along([0.0, drawn(&card.sheet, fig)], fig);
                }
            }
            Form::Round { .. } | Form::Coil { .. } => {
                if let Some((ends, fig)) = spanned(card, part) {
                    self.along(ends, fig);
                }
            }
            Form::Ball { s, across } => self.straight(*s, -across / 2.0, [0.0, *across, 0.0], part.width),
            Form::Loose { .. } => {}
        }
    }

    fn straight(&mut self, s: f64, lift: f64, off: P3, fig: Option<Fig>) {
        if let Some(fig) = fig {
            let ends = vec![self.lifted(s, lift, [0.0; 3]), self.lifted(s, lift, off)];
            self.mark(self.layer, Tone::Plain, Shape::Measured(ends, fig));
        }
    }

    /// A length along the line itself, as finely as it bends.
    fn along(&mut self, [from, to]: [f64; 2], fig: Fig) {
        let strides = ((to - from).abs() / 0.4).ceil().clamp(1.0, 200.0) as u32;
        let places = (0..=strides).map(|i| from + (to - from) * f64::from(i) / f64::from(strides));
        let points: Vec<P2> = places.map(|s| self.edge(s, 0.0)).collect();
        self.mark(self.layer, Tone::Plain, Shape::Measured(points, fig));
    }
}

/// Where a part with a span begins and ends, and the card's figure of the way between.
fn spanned(card: &Card, part: &WorkedPart) -> Option<([f64; 2], Fig)> {
    let (from, to) = part.span?;
    let way = (card.sheet.value(from) - card.sheet.value(to)).abs();
    // Which of the two is the way along the hook hangs on what the dressing says of the part.
    let figures = ["span", "length"].iter().filter_map(|of| card.sheet.find(&format!("{}.{of}", part.name)));
    let fig = figures.into_iter().find(|fig| (card.sheet.value(*fig) - way).abs() < 1e-6).filter(|_| way > 1e-6)?;
    Some(([drawn(&card.sheet, from), drawn(&card.sheet, to)], fig))
}
