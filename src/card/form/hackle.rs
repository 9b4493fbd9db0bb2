//! Forms of hackle: collar, palmer, and the ring that lies flat round a post.

use super::{Form, MOST_TURNS, Trim, Works};
use crate::card::hook_line::{Backbone, P2, drawn};
use crate::card::{Clipped, WorkedPart};
use crate::dressing::Base;

/// A post that stands on the hook.
pub(super) struct Post {
    /// From its foot upward.
    pub(super) line: Backbone,
    /// How thick it is.
    across: f64,
}

impl Works<'_> {
    /// Whether hackle is swept toward the bend in this kind of fly, as in all that is fished wet (common practice,
    /// no source).
    pub(super) fn swept(&self) -> bool {
        let kind = self.card.kind.to_lowercase();
        const WET: &[&str] = &["wet", "nymph", "spider", "soft hackle", "loch", "salmon", "streamer", "lure", "tube", "shrimp", "bead", "jig"];
        !kind.contains("dry") && WET.iter().any(|word| kind.contains(word))
    }

    pub(super) fn hackle(&self, part: &WorkedPart) -> Vec<Form> {
        let fibre = self.fibre(part);
        let trim = self.trim(part);
        let (over, [from, to]) = (self.beneath(part), self.way_of(part));
        let turns = self.turns(part).unwrap_or(3.0);
        let ring = |span: [f64; 2], turns: f64, lean: [f64; 2], each: u32| Form::Ring { span, turns, fibre, over: over.clone(), lean, each, trim };
        if (to - from).abs() > 1e-9 {
            let lean = if self.swept() { 0.9 } else { 0.3 };
            return vec![ring([from, to], turns, [lean, lean], 4)];
        }
        // Stems lie side by side; where the card does not tell their width, a quarter of a millimetre is drawn.
        let pitch = self.mm(part.width).filter(|width| *width > 0.0).unwrap_or(0.25).clamp(0.1, 0.5);
        let head = self.head_span()[1].min(from);
        let each = (18.0 / turns).ceil().clamp(2.0, 7.0) as u32;
        if self.swept() {
            return vec![ring([(from - turns * pitch).max(head), from], turns, [0.7, 0.95], each.min(4))];
        }
        match part.turns_split {
            Some((behind, before)) if behind.is_finite() && before.is_finite() && behind + before > 0.0 => {
                let (behind, before) = (behind.clamp(0.0, MOST_TURNS), before.clamp(0.0, MOST_TURNS));
                let rear = ring([from + pitch / 2.0, from + behind * pitch], behind, [0.0, 0.42], each);
                let front = ring([(from - before * pitch).max(head), from - pitch / 2.0], before, [-0.42, 0.0], each);
                [(behind, rear), (before, front)].into_iter().filter(|(turns, _)| *turns > 0.0).map(|(_, form)| form).collect()
            }
            _ => vec![ring([(from - turns * pitch).max(head), from], turns, [-0.4, 0.4], each)],
        }
    }

    /// Length of a hackle's fibre; where none is known, the usual 1.5 gap (common practice), or half of what has no gap.
    fn fibre(&self, part: &WorkedPart) -> f64 {
        let usual = if self.hook.gap > 0.0 { 1.5 * self.hook.gap } else { self.hook.shank / 3.0 };
        self.mm(part.fibre).or(self.mm(part.length)).filter(|fibre| *fibre > 0.0).unwrap_or(usual)
    }

    /// How a part is clipped, as a drawing needs it.
    pub(super) fn trim(&self, part: &WorkedPart) -> Trim {
        let s = self.tied_in(part);
        match part.clip {
            None => Trim::default(),
            Some(Clipped::To(fig)) => Trim { reach: Some(drawn(&self.card.sheet, fig)), floor: None, under_case: false },
            Some(Clipped::LevelWithPoint) => {
                let [_, y] = self.line.at(self.line.length()).0;
                Trim { floor: Some(y + self.hook.wire / 2.0), reach: None, under_case: false }
            }
            Some(Clipped::Beneath) => {
                let ([_, y], _) = self.line.at(s);
                let own = part.beneath.iter().flat_map(|on| [on.across_from, on.across_to]).map(|fig| drawn(&self.card.sheet, fig));
                let across = own.reduce(f64::max).unwrap_or_else(|| self.across_over(s));
                Trim { floor: Some(y - across / 2.0 - 0.1), reach: None, under_case: false }
            }
        }
    }

    /// The post a part goes round, if it goes round one: the other part stands where it is tied in, on all that is wound
    /// there.
    pub(super) fn post_of(&self, part: &WorkedPart) -> Option<Post> {
        let Base::Post(name) = &part.on else { return None };
        let post = self.card.parts.iter().find(|other| other.name.to_lowercase() == name.to_lowercase())?;
        let s = self.tied_in(post);
        let foot = self.line.beside(s, self.across_over(s) / 2.0);
        let (_, [along, up]) = self.line.at(s);
        let height = self.length(post);
        let across = post.thick.map_or(0.0, |(across, _)| drawn(&self.card.sheet, across));
        let across = if across > 0.0 { across } else { part.beneath.first().map_or(0.8, |stretch| drawn(&self.card.sheet, stretch.across_from)) };
        Some(Post { line: Backbone { line: vec![foot, [foot[0] - up * height, foot[1] + along * height]] }, across: across.min(height / 2.0) })
    }

    /// A hackle wound flat round a post, down from its top turn to the foot.
    pub(super) fn round_a_post(&self, part: &WorkedPart, post: &Post) -> Form {
        let turns = self.turns(part).unwrap_or(4.0);
        let pitch = self.mm(part.width).filter(|width| *width > 0.0).unwrap_or(0.2).clamp(0.05, 0.4);
        let top = (turns * pitch + pitch / 2.0).min(post.line.length() * 0.8);
        let over: Vec<P2> = vec![[0.0, post.across], [post.line.length(), post.across]];
        let each = (24.0 / turns).ceil().clamp(2.0, 9.0) as u32;
        Form::Ring { span: [top, pitch / 2.0], turns, fibre: self.fibre(part), over, lean: [0.06, 0.0], each, trim: self.trim(part) }
    }
}
