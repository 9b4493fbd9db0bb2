//! Solid forms on the hook's own line. Every worked part becomes forms first, from the card's figures alone; every
//! view is read off them, so that the drawing, the card and the plan cannot disagree.
//!
//! What no figure of the card tells (how far fibres lean, how a slip is rounded) is chosen here for the eye only,
//! and never changes a length.

mod bunch;
mod hackle;
mod leaf;
mod moments;
mod off_hook;
mod several;
mod wound;

use super::hook_line::{Backbone, Measures, P2, drawn};
use super::{Card, WorkedPart};
use crate::dressing::{HookShape, Way, When};

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
        /// Clipped flat at this height, as a trim's floor.
        floor: Option<f64>,
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
        /// How each fibre runs.
        course: Course,
        /// How it is clipped.
        trim: Trim,
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
        /// How it is clipped.
        trim: Trim,
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
        /// The stem of a feather, from that place; empty for none.
        stem: Vec<P3>,
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

/// How the fibres of a fan run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Course {
    /// Straight to the tip.
    Straight,
    /// Out to the full length and back again.
    Loop,
    /// Out to the knot, then bent.
    Knee,
}

/// Where fibres end short of their tips.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Trim {
    /// Nothing reaches lower than this, mm above the rear of the eye as the point hangs down.
    pub floor: Option<f64>,
    /// Nothing reaches further than this from the middle of what it stands on, mm.
    pub reach: Option<f64>,
    /// A case over the back holds down all that would stand up.
    pub under_case: bool,
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
    /// Which of the part's materials it is of, counted from 0.
    pub piece: usize,
    /// No rule tells its length: a usual one is drawn, dotted.
    pub open: bool,
    /// The line it stands on where that is not the hook's: a post, a needle. Its places count along that line.
    pub line: Option<Backbone>,
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
        let until = works.covered(index, part);
        let open = works.is_open_length(part);
        // A case that comes over later leaves only what hangs down at the sides.
        let covered = works.under_case(part).map(|case| case.max(wound)).unwrap_or(usize::MAX);
        for Made { form, line, piece } in works.made(part) {
            let mut put = |from: usize, until: usize, form: Form| {
                if from < until {
                    puts.push((order, Put { part: Some(index), role: Role::Part, from, until, piece, open, line: line.clone(), form }));
                }
            };
            match held_down(&form) {
                Some(below) if line.is_none() => {
                    put(wound, until.min(covered), form);
                    put(covered, until, below);
                }
                _ => put(wound, until, form),
            }
        }
        if tied < wound {
            let form = works.loose(part);
            puts.push(((tied, index), Put { part: Some(index), role: Role::Part, from: tied, until: wound, piece: 0, open: false, line: None, form }));
        }
    }
    puts.sort_by_key(|(order, _)| *order);
    let mut all = works.silk();
    all.extend(puts.into_iter().map(|(_, put)| put));
    all.push(works.head());
    all
}

/// Standing fibres as a case holds them down.
fn held_down(form: &Form) -> Option<Form> {
    let Form::Ring { trim, .. } = form else { return None };
    let mut below = form.clone();
    let under = Trim { under_case: true, ..*trim };
    if let Form::Ring { trim, .. } = &mut below {
        *trim = under;
    }
    Some(below)
}

/// A form with the line it stands on and the material it is of.
pub(super) struct Made {
    form: Form,
    line: Option<Backbone>,
    piece: usize,
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
            profile = vec![[low, self.hook.across], [high, self.hook.across]];
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
        let mm = |fig| drawn(&self.card.sheet, fig);
        let beyond = part.beyond.iter().map(|on| slope([mm(on.from), mm(on.across_from)], [mm(on.to), mm(on.across_to)]));
        let slope: f64 = beneath.iter().zip(beneath.iter().skip(1)).map(|(a, b)| slope(*a, *b)).chain(beyond).sum();
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
            Way::Slip | Way::Pair | Way::Strip | Way::Sheet => self.flat(part),
            Way::Whole => self.whole(part),
            // A coat has no form of its own.
            Way::Coat => Vec::new(),
        }
    }

    /// Every form of a part as it stays, on whatever it stands.
    fn made(&self, part: &WorkedPart) -> Vec<Made> {
        let mut made: Vec<(Form, Option<Backbone>)> = Vec::new();
        match self.post_of(part) {
            Some(post) => made.push((self.round_a_post(part, &post), Some(post.line))),
            None if self.is_off_the_hook(part) => {}
            None if self.tail_beyond(part).is_some() => made.extend(self.tail_beyond(part).into_iter().flatten()),
            None => made.extend(self.part(part).into_iter().map(|form| (form, None))),
        }
        made.extend(self.beyond(part).into_iter().map(|(form, line)| (form, Some(line))));
        several::lay(self, part, made)
    }

    /// Whether a part that has a length by its nature has none on the card.
    fn is_open_length(&self, part: &WorkedPart) -> bool {
        match part.way {
            Way::Bunch | Way::Hackle => part.length.is_none() && part.fibre.is_none(),
            Way::Slip | Way::Pair | Way::Strip | Way::Sheet => part.length.is_none() && part.fibre.is_none() && !self.is_case(part),
            _ => false,
        }
    }

    fn whole(&self, part: &WorkedPart) -> Vec<Form> {
        if part.shape.knotted {
            return self.bunch(part);
        }
        let Some(across) = self.mm(part.width).filter(|across| *across > 0.0) else {
            return if part.length.is_some() { self.flat(part) } else { Vec::new() };
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

    /// The thickest of all that is wound at a place, mm; the bare wire where there is nothing.
    pub(super) fn across_over(&self, s: f64) -> f64 {
        let rounds = self.card.parts.iter().flat_map(|other| self.round_of(other));
        rounds.filter_map(|profile| across_at(&profile, s)).fold(self.hook.across, f64::max)
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
        let profile = if self.hook.shape == HookShape::Tube {
            vec![[front, 1.15 * wire], [front + 0.6 * (rear - front), 1.35 * wire], [rear, 1.3 * wire]]
        } else if bead {
            vec![[front, 2.2 * wire], [rear, 1.8 * wire]]
        } else {
            vec![[front, 1.25 * wire], [front + 0.75 * (rear - front), 2.6 * wire], [rear, 2.2 * wire]]
        };
        let finished = self.card.steps.iter().rposition(|step| step.when == When::AtTheVice).map_or(0, |at| at + 1);
        Put {
            part: None,
            role: Role::Head,
            from: finished,
            until: usize::MAX,
            piece: 0,
            open: false,
            line: None,
            form: Form::Round { profile, furred: false, floor: None },
        }
    }

    /// The bed of silk, as thick as what lies beneath the first thing wound.
    fn silk(&self) -> Vec<Put> {
        let places = self.card.parts.iter().map(|part| self.span(part)[1]).filter(|s| *s <= self.hook.shank);
        let rear = places.fold(0.0, f64::max);
        let front = self.head_span()[1];
        let wound = self.card.parts.iter().enumerate().filter(|(_, part)| !part.beneath.is_empty());
        let Some((_, first)) = wound.min_by_key(|(index, part)| self.moments(*index, part).1) else { return Vec::new() };
        let across = self.beneath(first).iter().map(|[_, across]| *across).fold(f64::MAX, f64::min);
        if rear <= front || across <= self.hook.across {
            return Vec::new();
        }
        let from = self.card.steps.iter().position(|step| !step.ties.is_empty()).map_or(0, |at| at + 1);
        let form = Form::Round { profile: vec![[front, across], [rear, across]], furred: false, floor: None };
        vec![Put { part: None, role: Role::Silk, from, until: usize::MAX, piece: 0, open: false, line: None, form }]
    }
}

fn slope(a: P2, b: P2) -> f64 {
    // A step between two stretches adds nothing to the length to be covered.
    if (b[0] - a[0]).abs() < 1e-12 { 0.0 } else { (b[0] - a[0]).hypot((b[1] - a[1]) / 2.0) }
}

/// Diameter of a profile at a place; `None` outside it.
pub(super) fn across_at(profile: &[P2], s: f64) -> Option<f64> {
    profile.iter().zip(profile.iter().skip(1)).find(|(a, b)| a[0] <= s && s <= b[0]).map(|(a, b)| {
        let part = if b[0] > a[0] { (s - a[0]) / (b[0] - a[0]) } else { 0.0 };
        a[1] + (b[1] - a[1]) * part
    })
}

/// The same direction with length 1.
pub(super) fn unit(toward: P3) -> P3 {
    let size = toward.iter().map(|along| along * along).sum::<f64>().sqrt();
    if size > 0.0 { toward.map(|along| along / size) } else { [1.0, 0.0, 0.0] }
}
