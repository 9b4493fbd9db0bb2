//! Forms of what goes on beyond the hook: extended bodies, and bodies made on a needle or on nylon. They go on straight
//! from where they leave the hook, raised a little so that they stand clear of the bend (common practice, no source).

use super::bunch::Stance;
use super::{Form, Works};
use crate::card::hook_line::{Backbone, P2, drawn};
use crate::card::{Stretch, WorkedPart};
use crate::dressing::Way;

/// How far such a body is raised above the line of the shank, radians.
const RAISED: f64 = 0.16;

impl Works<'_> {
    /// Whether nothing of the part lies on the hook itself.
    pub(super) fn is_off_the_hook(&self, part: &WorkedPart) -> bool {
        let [low, high] = self.span(part);
        let round = matches!(part.way, Way::Wound | Way::Rope | Way::Dubbed | Way::Spun);
        round && !part.beyond.is_empty() && high - low < 1e-9
    }

    /// The forms of a part beyond the hook, with the line each stands on.
    pub(super) fn beyond(&self, part: &WorkedPart) -> Vec<(Form, Backbone)> {
        let Some((line, beneath, _)) = self.spur(&part.beyond) else { return Vec::new() };
        let Some(end) = beneath.last().map(|end| end[0]) else { return Vec::new() };
        let mm = |fig| drawn(&self.card.sheet, fig);
        let width = self.mm(part.width).filter(|width| *width > 0.0).unwrap_or(0.15);
        let strand = self.mm(part.strand_thick).filter(|thick| *thick > 0.0).unwrap_or(width);
        // Turns are spread over the hook and beyond alike.
        let [low, high] = self.span(part);
        let on_hook = if self.is_off_the_hook(part) { 0.0 } else { high - low };
        let turns = self.turns(part).map(|turns| turns * end / (end + on_hook).max(1e-9));
        let furred = matches!(part.way, Way::Dubbed | Way::Spun);
        let forms = match part.way {
            Way::Wound | Way::Rope | Way::Weight if self.is_open(part) => {
                let turns = turns.unwrap_or(4.0);
                vec![Form::Coil { span: [0.0, end], turns, across: width, over: beneath, other_way: part.other_way, touching: false }]
            }
            Way::Wound | Way::Rope | Way::Weight | Way::Dubbed | Way::Spun => {
                let thick = part.thick.map(|(a, b)| mm(a).max(mm(b)));
                let outer = |across: f64| thick.filter(|_| furred).unwrap_or(across + 2.0 * strand).max(across);
                let mut profile: Vec<P2> = beneath.iter().map(|[s, across]| [*s, outer(*across)]).collect();
                // The far end is closed off round.
                if let Some(last) = profile.last().copied() {
                    let back = (last[1] * 0.5).min(end * 0.3);
                    profile.pop();
                    profile.extend([[last[0] - back, last[1]], [last[0] - back * 0.4, last[1] * 0.8], [last[0], last[1] * 0.35]]);
                    profile.sort_by(|a, b| a[0].total_cmp(&b[0]));
                }
                let seams = turns.filter(|_| !furred).map(|turns| Form::Coil {
                    span: [0.0, end],
                    turns,
                    across: width,
                    over: profile.clone(),
                    other_way: part.other_way,
                    touching: true,
                });
                let mut forms = vec![Form::Round { profile, furred, floor: None }];
                forms.extend(seams);
                forms
            }
            _ => Vec::new(),
        };
        forms.into_iter().map(|form| (form, line.clone())).collect()
    }

    /// The line that stretches beyond the hook lie on, what they measure there from where they leave the hook, and that
    /// place.
    fn spur(&self, beyond: &[Stretch]) -> Option<(Backbone, Vec<P2>, f64)> {
        let mm = |fig| drawn(&self.card.sheet, fig);
        let leaves = beyond.iter().map(|stretch| mm(stretch.from)).reduce(f64::min)?;
        let mut beneath: Vec<P2> = Vec::new();
        for stretch in beyond {
            beneath.push([mm(stretch.from) - leaves, mm(stretch.across_from)]);
            beneath.push([mm(stretch.to) - leaves, mm(stretch.across_to)]);
        }
        beneath.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let length = beneath.last()?[0];
        let (from, [along, up]) = self.line.at(leaves);
        let (sin, cos) = RAISED.sin_cos();
        let toward = [along * cos - up * sin, up * cos + along * sin];
        Some((Backbone { line: vec![from, [from[0] + toward[0] * length, from[1] + toward[1] * length]] }, beneath, leaves))
    }

    /// The fibres of a tail that is tied in where something goes on beyond the hook: they stand out of its far end.
    pub(super) fn tail_beyond(&self, part: &WorkedPart) -> Option<Vec<(Form, Option<Backbone>)>> {
        if part.way != Way::Bunch || self.stance(part) != Stance::Back {
            return None;
        }
        let s = self.tied_in(part);
        let spurs = self.card.parts.iter().filter_map(|other| self.spur(&other.beyond));
        let (line, _, _) = spurs.filter(|(_, _, leaves)| (leaves - s).abs() < 1e-6).max_by(|a, b| a.0.length().total_cmp(&b.0.length()))?;
        let ([x, y], [along, up]) = line.at(line.length());
        let out = Backbone { line: vec![[x, y], [x + along, y + up]] };
        let there = |form: Form| match form {
            Form::Fan { toward, length, spread, count, bundle, fibre, even, course, trim, .. } => {
                Form::Fan { s: 0.0, lift: 0.0, toward: [1.0, 0.0, toward[2]], length, spread, count, bundle, fibre, even, course, trim }
            }
            other => other,
        };
        Some(self.bunch(part).into_iter().map(|form| (there(form), Some(out.clone()))).collect())
    }
}
