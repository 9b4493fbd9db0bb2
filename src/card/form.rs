//! Solid forms on the hook's own line. Every worked part becomes forms first, from the card's figures alone; every
//! view is read off them, so that the drawing, the card and the plan cannot disagree.
//!
//! What no figure of the card tells (how far fibres lean, how a slip is rounded) is chosen here for the eye only,
//! and never changes a length.

use super::hook_line::{Backbone, Measures, P2, drawn};
use super::{Card, WorkedPart};
use crate::dressing::{Way, When};

/// A direction or point: along the hook toward the bend, away from the point, toward the one who looks at the side.
pub type P3 = [f64; 3];

/// What a form belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    /// The hook.
    Hook,
    /// The finished head of silk.
    Head,
    /// The bed of silk.
    Silk,
    /// A part of the dressing.
    Part,
}

/// A solid form; lengths mm, places mm along the wire.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// Something round about the wire: places with the diameter there.
    Round {
        /// Place and diameter, from the eye to the bend.
        profile: Vec<P2>,
        /// Furred, as dubbing is.
        furred: bool,
    },
    /// A strand wound over what lies beneath.
    Coil {
        /// Where it begins and where it ends.
        span: [f64; 2],
        /// Turns; the last may be a part of one.
        turns: f64,
        /// Width of the strand.
        across: f64,
        /// What it lies on: place and diameter.
        over: Vec<P2>,
        /// Wound the other way than the silk.
        other_way: bool,
        /// The turns touch: only the seams between them are seen.
        touching: bool,
    },
    /// Fibres that leave one place in one direction.
    Fan {
        /// Where they are tied in.
        s: f64,
        /// How far from the wire's centre line they begin.
        lift: f64,
        /// Where they point (of length 1).
        toward: P3,
        /// Their length, along `toward`.
        length: f64,
        /// How far the outermost diverge, radians.
        spread: f64,
        /// How many.
        count: u32,
        /// Thickness of the bundle at the tie.
        bundle: f64,
        /// Thickness of a fibre.
        fibre: f64,
        /// The tips stand in one level, as of hackle fibres; else a little rounded.
        even: bool,
    },
    /// Fibres that stand out all round the wire: a wound hackle, the flue of a strand.
    Ring {
        /// Where the first and the last turn lie.
        span: [f64; 2],
        /// Turns.
        turns: f64,
        /// Length of the fibres, from the stem.
        fibre: f64,
        /// What it is wound over: place and diameter.
        over: Vec<P2>,
        /// Lean of the fibres toward the bend at both ends of the span, radians.
        lean: [f64; 2],
        /// Fibres above and as many below that are drawn for each turn.
        each: u32,
    },
    /// Something flat with an outline: a slip of quill, a strip over the back.
    Leaf {
        /// Where it is tied in.
        s: f64,
        /// How far from the wire's centre line its place is.
        lift: f64,
        /// The outline, from that place.
        outline: Vec<P3>,
        /// From the tie to the tip.
        tip: P3,
    },
    /// The loose end of a strand that is tied in and not yet wound.
    Loose {
        /// Where it is tied in.
        s: f64,
        /// How far from the wire's centre line it begins.
        lift: f64,
        /// Length drawn.
        length: f64,
        /// Width of the strand.
        across: f64,
    },
    /// A ball: a bead, an eye.
    Ball {
        /// Its middle.
        s: f64,
        /// Its diameter.
        across: f64,
    },
}

/// A form put on the hook, with the steps between which it is to be seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Put {
    /// The part, by its place in [`Card::parts`]; `None` for the hook and the silk.
    pub part: Option<usize>,
    /// What it belongs to.
    pub role: Role,
    /// Seen once so many steps are done.
    pub from: usize,
    /// Seen no longer once so many steps are done.
    pub until: usize,
    /// The form.
    pub form: Form,
}

impl Put {
    /// Whether it is to be seen when `done` steps are done.
    pub fn seen(&self, done: usize) -> bool {
        self.from <= done && done < self.until
    }
}

/// Steps enough for everything to be seen.
pub const DONE: usize = usize::MAX - 1;

/// More turns than this are never drawn one by one.
pub(super) const MOST_TURNS: f64 = 600.0;

/// Every form of the card but the hook itself, in the order they come on to the hook.
pub fn forms(card: &Card) -> Vec<Put> {
    let hook = Measures::of(card);
    let works = Works { card, line: hook.backbone(), hook };
    let mut puts: Vec<((usize, usize), Put)> = Vec::new();
    // What has no place cannot be drawn.
    for (index, part) in card.parts.iter().enumerate().filter(|(_, part)| part.tied_in.is_some()) {
        let (tied, wound) = works.moments(index, part);
        let order = (wound, works.order(index, part));
        for form in works.part(part) {
            puts.push((order, Put { part: Some(index), role: Role::Part, from: wound, until: works.covered(index, part), form }));
        }
        if tied < wound {
            let form = works.loose(part);
            puts.push(((tied, index), Put { part: Some(index), role: Role::Part, from: tied, until: wound, form }));
        }
    }
    puts.sort_by_key(|(order, _)| *order);
    let mut all = works.silk();
    all.extend(puts.into_iter().map(|(_, put)| put));
    all.push(works.head());
    all
}

pub(super) struct Works<'a> {
    pub(super) card: &'a Card,
    pub(super) hook: Measures,
    pub(super) line: Backbone,
}

impl Works<'_> {
    pub(super) fn mm(&self, fig: Option<crate::why::Fig>) -> Option<f64> {
        fig.map(|fig| drawn(&self.card.sheet, fig))
    }

    /// Where a part is tied in; the eye where nobody says.
    pub(super) fn tied_in(&self, part: &WorkedPart) -> f64 {
        self.mm(part.tied_in).unwrap_or(0.0)
    }

    /// After how many steps the part is tied in, and after how many it is as it stays.
    fn moments(&self, index: usize, part: &WorkedPart) -> (usize, usize) {
        let steps = &self.card.steps;
        let tied = steps.iter().position(|step| step.ties.contains(&index)).map(|at| at + 1);
        let wound = steps.iter().position(|step| step.winds.contains(&index)).map(|at| at + 1);
        let (tied, wound) = match (tied, wound) {
            (Some(tied), Some(wound)) => (tied.min(wound), wound),
            (Some(at), None) | (None, Some(at)) => (at, at),
            // A bead goes on before all else; what no step names goes on when all is done.
            (None, None) if part.way == Way::Whole => (0, 0),
            (None, None) => (steps.len(), steps.len()),
        };
        if !self.is_case(part) {
            return (tied, wound);
        }
        // A case is brought over when all that it covers is wound.
        let below = self.card.parts.iter().enumerate().filter(|(_, other)| self.is_beneath(other, part));
        (tied, below.map(|(at, other)| self.moments(at, other).1).fold(wound, usize::max))
    }

    /// The order of parts that are finished in one step: as it winds them; a case after all; where no step says it, as
    /// listed, but a rib after what it is wound over.
    fn order(&self, index: usize, part: &WorkedPart) -> usize {
        let count = self.card.parts.len();
        if self.is_case(part) {
            return 4 * count + index;
        }
        if let Some(at) = self.card.steps.iter().find_map(|step| step.winds.iter().position(|wound| *wound == index)) {
            return 2 * count + at;
        }
        let last = self.card.parts.iter().enumerate().filter(|(_, other)| self.is_beneath(other, part)).map(|(at, _)| at).max();
        match last {
            Some(last) if part.way == Way::Wound && self.is_open(part) && last > index => 2 * last + 1,
            _ => 2 * index,
        }
    }

    /// Something flat that is brought from one place over to another.
    pub(super) fn is_case(&self, part: &WorkedPart) -> bool {
        let [low, high] = self.span(part);
        matches!(part.way, Way::Slip | Way::Pair | Way::Strip | Way::Sheet) && high - low > 1e-9 && part.length.is_none()
    }

    /// Whether `other` is something round and closed that shares a stretch of the wire with `part`.
    fn is_beneath(&self, other: &WorkedPart, part: &WorkedPart) -> bool {
        let ([low, high], [from, to]) = (self.span(part), self.span(other));
        let round = matches!(other.way, Way::Dubbed | Way::Spun) || (matches!(other.way, Way::Wound | Way::Rope | Way::Weight) && !self.is_open(other));
        round && from.max(low) < to.min(high) - 1e-9
    }

    /// A weight is seen only until something closed is wound over the whole of it.
    fn covered(&self, index: usize, part: &WorkedPart) -> usize {
        if part.way != Way::Weight {
            return usize::MAX;
        }
        let [low, high] = self.span(part);
        let covers = |other: &WorkedPart| {
            let [from, to] = self.span(other);
            from <= low + 1e-9 && to >= high - 1e-9 && (other.way == Way::Dubbed || (other.way == Way::Wound && !self.is_open(other)))
        };
        let over = |(at, other): (usize, &WorkedPart)| (at != index && covers(other)).then(|| self.moments(at, other).1);
        self.card.parts.iter().enumerate().filter_map(over).filter(|at| *at >= self.moments(index, part).1).min().unwrap_or(usize::MAX)
    }

    /// The span of a part from the eye to the bend; both ends the tie-in for a part without one.
    pub(super) fn span(&self, part: &WorkedPart) -> [f64; 2] {
        let [from, to] = self.way_of(part);
        [from.min(to), from.max(to)]
    }

    /// Where a part begins and ends, in the order it is wound.
    fn way_of(&self, part: &WorkedPart) -> [f64; 2] {
        let at = self.tied_in(part);
        part.span.map_or([at, at], |(from, to)| [drawn(&self.card.sheet, from), drawn(&self.card.sheet, to)])
    }

    /// What lies beneath a part: place and diameter, eye to bend; the bare wire where the card says nothing.
    pub(super) fn beneath(&self, part: &WorkedPart) -> Vec<P2> {
        let mm = |fig| drawn(&self.card.sheet, fig);
        let mut profile: Vec<P2> = Vec::new();
        for stretch in &part.beneath {
            profile.push([mm(stretch.from), mm(stretch.across_from)]);
            profile.push([mm(stretch.to), mm(stretch.across_to)]);
        }
        if profile.is_empty() {
            let [low, high] = self.span(part);
            profile = vec![[low, self.hook.wire], [high, self.hook.wire]];
        }
        // A stable sort keeps both sides of a step in their order.
        profile.sort_by(|a, b| a[0].total_cmp(&b[0]));
        profile
    }

    fn turns(&self, part: &WorkedPart) -> Option<f64> {
        self.mm(part.turns).map(|turns| turns.min(MOST_TURNS)).filter(|turns| *turns > 0.0)
    }

    /// Width of the strands over the length to be covered: 1 where the turns touch. `None` where the card does not
    /// tell the turns or the width.
    fn coverage(&self, part: &WorkedPart) -> Option<f64> {
        let (turns, width) = (self.mm(part.turns)?, self.mm(part.width).filter(|width| *width > 0.0)?);
        let beneath = self.beneath(part);
        let slope: f64 = beneath.iter().zip(beneath.iter().skip(1)).map(|(a, b)| slope(*a, *b)).sum();
        (slope > 0.0).then(|| turns * width / slope)
    }

    /// Whether the strand is wound in open turns, as a rib.
    pub(super) fn is_open(&self, part: &WorkedPart) -> bool {
        match self.coverage(part) {
            Some(coverage) => coverage < 1.0 - 1e-6,
            None => part.turns.is_some(),
        }
    }

    pub(super) fn part(&self, part: &WorkedPart) -> Vec<Form> {
        match part.way {
            Way::Wound | Way::Weight | Way::Rope => self.wound(part),
            Way::Hackle => self.hackle(part),
            Way::Dubbed | Way::Spun => self.dubbed(part),
            Way::Bunch => self.bunch(part),
            Way::Slip | Way::Pair | Way::Strip | Way::Sheet => self.slip(part),
            Way::Whole => self.whole(part),
            // A coat has no form of its own.
            Way::Coat => Vec::new(),
        }
    }

    fn wound(&self, part: &WorkedPart) -> Vec<Form> {
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
            forms.push(Form::Round { profile: outer, furred: false });
        } else if let Some(turns) = turns {
            // A collar of a strand, turn beside turn toward the eye.
            let room = (turns * width).min(low.max(0.0));
            let across = beneath.last().map_or(self.hook.wire, |end| end[1]) + 2.0 * thick;
            forms.push(Form::Round { profile: vec![[low - room, across], [low, across]], furred: false });
        }
        forms.extend(seams);
        forms.extend(flue);
        forms
    }

    /// The flue of a fluffy strand stands out to its outside diameter, measured from the middle of the strand.
    fn flue(&self, part: &WorkedPart, over: &[P2]) -> Option<Form> {
        let flue = part.flue.filter(|flue| flue.is_finite() && *flue > 0.0)?.min(50.0);
        let turns = self.turns(part).unwrap_or(8.0);
        let each = (60.0 / turns).clamp(1.0, 4.0) as u32;
        Some(Form::Ring { span: self.way_of(part), turns, fibre: flue / 2.0, over: over.to_vec(), lean: [-0.25, 0.25], each })
    }

    fn dubbed(&self, part: &WorkedPart) -> Vec<Form> {
        let (beneath, [from, to]) = (self.beneath(part), self.way_of(part));
        let thick = part.thick.map(|(a, b)| (drawn(&self.card.sheet, a), drawn(&self.card.sheet, b)));
        let outer = |s: f64, across: f64| match thick {
            Some((a, b)) if (to - from).abs() > 1e-12 => (a + (b - a) * ((s - from) / (to - from)).clamp(0.0, 1.0)).max(across),
            Some((a, b)) => a.max(b).max(across),
            None => 2.0 * across,
        };
        let profile = beneath.iter().map(|[s, across]| [*s, outer(*s, *across)]).collect();
        let mut forms = vec![Form::Round { profile, furred: true }];
        if let Some(fibre) = self.mm(part.fibre).filter(|fibre| *fibre > 0.0) {
            forms.push(Form::Ring { span: [from, to], turns: 8.0, fibre, over: beneath, lean: [-0.2, 0.3], each: 3 });
        }
        forms
    }

    /// Whether hackle is swept toward the bend in this kind of fly, as in all that is fished wet (common practice,
    /// no source).
    fn swept(&self) -> bool {
        let kind = self.card.kind.to_lowercase();
        !kind.contains("dry") && ["wet", "nymph", "spider", "loch", "salmon", "streamer", "lure"].iter().any(|word| kind.contains(word))
    }

    fn hackle(&self, part: &WorkedPart) -> Vec<Form> {
        let Some(fibre) = self.mm(part.fibre).or(self.mm(part.length)).filter(|fibre| *fibre > 0.0) else { return Vec::new() };
        let (over, [from, to]) = (self.beneath(part), self.way_of(part));
        let turns = self.turns(part).unwrap_or(3.0);
        let ring = |span: [f64; 2], turns: f64, lean: [f64; 2], each: u32| Form::Ring { span, turns, fibre, over: over.clone(), lean, each };
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

    fn whole(&self, part: &WorkedPart) -> Vec<Form> {
        let Some(across) = self.mm(part.width).filter(|across| *across > 0.0) else {
            return if part.length.is_some() { self.slip(part) } else { Vec::new() };
        };
        let [low, high] = self.span(part);
        let s = match (high > low, low < 1e-9) {
            // A bead sits in the middle of its seat; one without a known seat touches the eye; else an eye or the like.
            (true, _) => (low + high) / 2.0,
            (false, true) => across / 2.0,
            (false, false) => low,
        };
        vec![Form::Ball { s, across }]
    }

    fn loose(&self, part: &WorkedPart) -> Form {
        let s = self.tied_in(part);
        let length = self.mm(part.fibre).unwrap_or(self.hook.shank) * 0.8;
        let across = self.mm(part.width).filter(|width| *width > 0.0).unwrap_or(0.15).min(1.5);
        Form::Loose { s, lift: self.hook.wire / 2.0, length, across }
    }

    /// The seat of a bead at the eye: where it ends.
    fn bead_end(&self) -> f64 {
        let balls =
            self.card.parts.iter().filter(|part| part.way == Way::Whole).flat_map(|part| self.whole(part).into_iter().map(|form| (self.span(part), form)));
        balls
            .filter_map(|([low, high], form)| match form {
                Form::Ball { across, .. } if low < 1e-9 => Some(if high > low { high } else { across }),
                _ => None,
            })
            .fold(0.0, f64::max)
    }

    /// The head lies within one eye behind the eye, or half an eye behind a bead.
    fn head_span(&self) -> [f64; 2] {
        let bead = self.bead_end();
        if bead > 0.0 { [bead, bead + self.hook.eye / 2.0] } else { [0.0, self.hook.eye] }
    }

    fn head(&self) -> Put {
        let [front, rear] = self.head_span();
        let wire = self.hook.wire;
        let bead = self.bead_end() > 0.0;
        let profile = if bead {
            vec![[front, 2.2 * wire], [rear, 1.8 * wire]]
        } else {
            vec![[front, 1.25 * wire], [front + 0.75 * (rear - front), 2.6 * wire], [rear, 2.2 * wire]]
        };
        let finished = self.card.steps.iter().rposition(|step| step.when == When::AtTheVice).map_or(0, |at| at + 1);
        Put { part: None, role: Role::Head, from: finished, until: usize::MAX, form: Form::Round { profile, furred: false } }
    }

    /// The bed of silk, as thick as what lies beneath the first thing wound.
    fn silk(&self) -> Vec<Put> {
        let places = self.card.parts.iter().map(|part| self.span(part)[1]).filter(|s| *s <= self.hook.shank);
        let rear = places.fold(0.0, f64::max);
        let front = self.head_span()[1];
        let wound = self.card.parts.iter().enumerate().filter(|(_, part)| !part.beneath.is_empty());
        let Some((_, first)) = wound.min_by_key(|(index, part)| self.moments(*index, part).1) else { return Vec::new() };
        let across = self.beneath(first).iter().map(|[_, across]| *across).fold(f64::MAX, f64::min);
        if rear <= front || across <= self.hook.wire {
            return Vec::new();
        }
        let from = self.card.steps.iter().position(|step| !step.ties.is_empty()).map_or(0, |at| at + 1);
        let form = Form::Round { profile: vec![[front, across], [rear, across]], furred: false };
        vec![Put { part: None, role: Role::Silk, from, until: usize::MAX, form }]
    }
}

fn slope(a: P2, b: P2) -> f64 {
    // A step between two stretches adds nothing to the length to be covered.
    if (b[0] - a[0]).abs() < 1e-12 { 0.0 } else { (b[0] - a[0]).hypot((b[1] - a[1]) / 2.0) }
}
