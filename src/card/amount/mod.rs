//! What one fly takes of a part, by the way it goes on: one file a family of ways.

mod body;
mod bundle;
mod carried;
mod feather;
mod flat;
mod ground;
mod small;
mod strand;

pub(super) use body::body;
pub(super) use bundle::bunch;
pub(super) use carried::resolve;
pub(super) use feather::{hackle, pair};
pub(super) use flat::flat;
pub(super) use ground::{Growth, grow};
pub(super) use small::{coat, coating, whole};
pub(super) use strand::{strand_width, wound};

use super::WorkedPart;
use super::formulas::*;
use super::worker::{Lean, Worker, from, standing};
use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::{Laid, Length, Material, Part, Size, Way};
use crate::measure::{Fraction, Unit, words};
use crate::why::{Fig, Formula, Standing};

/// A part while it is worked.
pub(super) struct Making {
    /// The part as it will stand on the card.
    pub(super) part: WorkedPart,
    /// What it adds to what lies on the hook.
    pub(super) growth: Vec<Growth>,
    /// Silk it takes besides the turns, such as a loop twice over; rows in mm.
    pub(super) silk: Vec<Fig>,
}

/// One material of a part.
pub(super) struct Piece<'a> {
    /// The first words of its keys: the part's name, with the material's behind it where there are several.
    pub(super) stem: String,
    /// Its name, folded.
    pub(super) name: String,
    /// Where it was told.
    pub(super) at: At,
    /// The material.
    pub(super) material: &'a Material,
    /// It is the only one.
    pub(super) alone: bool,
    count: Option<Told<Fraction>>,
    width: Option<Told<Length>>,
    share: Option<Told<Fraction>>,
}

/// What a fly takes of one material of a part.
pub(super) struct Taken {
    /// The amount, not yet on the sheet.
    pub(super) reckoned: Reckoned,
    /// The feather's size by the gauge.
    pub(super) size: Option<Size>,
    /// Share of one piece as sold: of a quill's vane, of a sheet.
    pub(super) share_of_piece: Option<Fig>,
    /// Length of a strip that is sold in its own width, m.
    pub(super) along: Option<Fig>,
}

impl From<Reckoned> for Taken {
    fn from(reckoned: Reckoned) -> Self {
        Taken { reckoned, size: None, share_of_piece: None, along: None }
    }
}

/// An amount before the bench's own knowledge is asked: the last formula and its inputs, not yet on the sheet as
/// `part.amount`, and what it scales by with the size.
pub(super) struct Reckoned {
    pub(super) formula: &'static Formula<f64>,
    pub(super) inputs: Vec<Fig>,
    /// The body's volume, by which `gives` is scaled.
    pub(super) volume: Option<Fig>,
}

impl Reckoned {
    fn new(formula: &'static Formula<f64>, inputs: Vec<Fig>) -> Self {
        Reckoned { formula, inputs, volume: None }
    }

    pub(super) fn named(self, w: &mut Worker<'_>, stem: &str, at: &At) -> Option<Fig> {
        w.work(&format!("{stem}.amount"), self.formula, &self.inputs, at)
    }
}

/// The materials of a part, each with the stem of its keys.
pub(super) fn pieces<'a>(w: &Worker<'a>, part: &Part) -> Option<Vec<Piece<'a>>> {
    let name = part.name.value.as_str();
    let Some(several) = &part.fields.several else {
        let of = part.fields.of.as_ref()?;
        let material = w.material(&of.value)?;
        let piece =
            Piece { stem: name.to_owned(), name: words::fold(&of.value), at: of.at.clone(), material, alone: true, count: None, width: None, share: None };
        return Some(vec![piece]);
    };
    let mut all: Vec<Piece<'a>> = Vec::new();
    for stuff in &several.value {
        let material = w.material(&stuff.of.value)?;
        let folded = words::fold(&stuff.of.value);
        // One material may come again, as in a body of three bands.
        let before = all.iter().filter(|other| other.name == folded).count();
        let again = if before == 0 { String::new() } else { format!(" {}", before + 1) };
        all.push(Piece {
            stem: format!("{name}.{folded}{again}"),
            name: folded,
            at: stuff.of.at.clone(),
            material,
            alone: false,
            count: stuff.count.clone(),
            width: stuff.width.clone(),
            share: stuff.share.clone(),
        });
    }
    Some(all)
}

/// How the materials of a part lie.
pub(super) fn laid(part: &Part) -> Laid {
    part.fields.laid.as_ref().map(|told| told.value).unwrap_or_default()
}

/// Whether several materials can lie so in a part of this way; else the fault is told.
fn can_lie(w: &mut Worker<'_>, part: &Part, pieces: &[Piece<'_>], may: &[Laid]) -> Option<()> {
    let laid = laid(part);
    if pieces.len() == 1 || may.contains(&laid) {
        return Some(());
    }
    let word = |laid: Laid| Laid::ALL.iter().find(|(_, other)| *other == laid).map_or("", |(word, _)| *word);
    let way = part.fields.way.as_ref().map_or("", |way| way.value.word());
    let at = part.fields.laid.as_ref().map_or(&part.name.at, |told| &told.at).clone();
    let right = may.iter().map(|laid| format!("`laid: {}`", word(*laid))).collect::<Vec<_>>().join(" or ");
    let right = if right.is_empty() { "a part of each material".to_owned() } else { right };
    w.fault(Diagnostic::error(format!("several materials of a part that is `as: {way}` cannot lie {}", word(laid)), at).right(right));
    None
}

/// A material's own figure as a row `stem.key`, or a default that says so.
fn own(w: &mut Worker<'_>, stem: &str, key: &str, told: Option<&Told<f64>>, unit: Unit, default: (f64, Standing, &'static str)) -> Fig {
    let key = format!("{stem}.{key}");
    if let Some(fig) = w.sheet.find(&key) {
        return fig;
    }
    match told {
        Some(told) => w.told(&key, told, unit, Standing::Stated),
        None => w.sheet.given(key, default.0, unit, default.1, default.2),
    }
}

const NONE_STATED: &str = "none stated in materials.yaml";

fn loss(w: &mut Worker<'_>, piece: &Piece<'_>) -> Fig {
    own(w, &piece.stem, "loss", piece.material.loss.as_ref(), Unit::One, (0.0, Standing::Stated, NONE_STATED))
}

fn lost_and_grip(w: &mut Worker<'_>, piece: &Piece<'_>) -> (Fig, Fig) {
    let lost = own(w, &piece.stem, "lost-at-tie", piece.material.lost_at_tie.as_ref(), Unit::Mm, (0.0, Standing::Stated, NONE_STATED));
    let grip = own(w, &piece.stem, "grip", piece.material.grip.as_ref(), Unit::Mm, (0.0, Standing::Stated, NONE_STATED));
    (lost, grip)
}

/// A number told in a file, as a row.
fn number(w: &mut Worker<'_>, key: &str, told: &Told<Fraction>) -> Fig {
    w.common(key, told.value.to_f64(), Unit::One, standing(&told.at), from(&told.at))
}

/// The share of a part each of its materials has: told, else what is left in equal shares. Gives a row each.
fn shares(w: &mut Worker<'_>, part: &Part, pieces: &[Piece<'_>]) -> Option<Vec<Fig>> {
    let told: Vec<Option<f64>> = pieces.iter().map(|piece| piece.share.as_ref().map(|share| share.value.to_f64())).collect();
    let (sum, open) = (told.iter().flatten().sum::<f64>(), told.iter().filter(|share| share.is_none()).count());
    if (open == 0 && (sum - 1.0).abs() > 1e-9) || (open > 0 && sum > 1.0 - 1e-9) {
        let at = pieces.iter().find_map(|piece| piece.share.as_ref()).map_or(&part.name.at, |share| &share.at).clone();
        let what = if open == 0 {
            format!("the shares of \"{}\" come to {sum:.3}, not to the whole", part.name.value)
        } else {
            format!("the shares of \"{}\" leave nothing for the rest", part.name.value)
        };
        w.fault(Diagnostic::error(what, at).right("shares that add up to 1, such as 1/3 and 2/3; what says none takes an equal part of what is left"));
        return None;
    }
    let mut figs = Vec::new();
    for piece in pieces.iter().filter(|piece| piece.share.is_some()) {
        if let Some(told) = &piece.share {
            figs.push(number(w, &format!("{}.share", piece.stem), told));
        }
    }
    let left = match open {
        0 => None,
        open => {
            let key = format!("{}.shares-open", part.name.value);
            let open = w.common(&key, open as f64, Unit::One, Standing::Stated, "materials of the part that tell no share");
            let mut inputs = vec![open];
            inputs.extend(&figs);
            Some(inputs)
        }
    };
    let mut all = Vec::new();
    for piece in pieces {
        let key = format!("{}.share", piece.stem);
        let fig = match (w.sheet.find(&key), &left) {
            (Some(fig), _) => fig,
            (None, Some(inputs)) => w.work(&key, &SHARE_LEFT, inputs, &piece.at)?,
            (None, None) => return None,
        };
        all.push(fig);
    }
    Some(all)
}

/// How many of each material: its own number, else its share of the part's, else `each`. Gives rows `stem.key`, and
/// `None` for a material of which no number is known.
fn numbers(
    w: &mut Worker<'_>,
    part: &Part,
    pieces: &[Piece<'_>],
    key: &str,
    whole: Option<Fig>,
    each: Option<(f64, &'static str)>,
) -> Option<Vec<Option<Fig>>> {
    let leans = whole.is_some() && pieces.iter().any(|piece| piece.count.is_none());
    let shares = if leans && pieces.len() > 1 { Some(shares(w, part, pieces)?) } else { None };
    let mut all = Vec::new();
    for (nth, piece) in pieces.iter().enumerate() {
        let key = format!("{}.{key}", piece.stem);
        let share = shares.as_ref().and_then(|shares| shares.get(nth).copied());
        all.push(match (w.sheet.find(&key), &piece.count, whole, share, each) {
            (Some(fig), ..) => Some(fig),
            (None, Some(told), ..) => Some(number(w, &key, told)),
            (None, None, Some(whole), Some(share), _) => Some(w.work(&key, &SHARED, &[share, whole], &piece.at)?),
            (None, None, Some(whole), None, _) => Some(whole),
            (None, None, None, _, Some((each, source))) => Some(w.sheet.given(key, each, Unit::One, Standing::Usual, source)),
            (None, None, None, _, None) => None,
        });
    }
    Some(all)
}

/// The sum of some rows as `key`: the row itself where it is the only one.
fn sum_of_numbers(w: &mut Worker<'_>, key: &str, figs: &[Fig], at: &At) -> Option<Fig> {
    match (w.sheet.find(key), figs) {
        (Some(fig), _) => Some(fig),
        (None, [only]) => Some(*only),
        (None, several) => w.work(key, &SUM_ONE, several, at),
    }
}

/// What would say what is open.
pub(super) const LENGTH_RIGHT: &str = "`length:` such as `1 shank`, or `reach:` with a place such as `bend + 1 mm`";
const TURNS_RIGHT: &str = "`turns:` with a number, such as `3` or `4 behind, 3 before the wing`";
const WIDTH_RIGHT: &str = "`width:` such as `0.5 gap`";
const THICK_RIGHT: &str = "`thick:` such as `0.3 gap`, or `0.25 gap rising to 0.4 gap`";
const COUNT_RIGHT: &str = "`count: 6`, or `thick:` of the bundle such as `0.5 gap`";
const FIBRE_RIGHT: &str = "`fibre:` such as `1.5 gap`";

/// Notes what the part wants for its way and nobody says, whatever else is open: all of it is told in one go.
pub(super) fn unsaid(w: &mut Worker<'_>, part: &Part, pieces: &[Piece<'_>]) {
    let (name, fields) = (part.name.value.as_str(), &part.fields);
    let Some(way) = fields.way.as_ref().map(|way| way.value) else { return };
    let mut note = |open: bool, what: &'static str, right: &'static str| {
        if open {
            let _: Option<()> = w.missing(name, what, right);
        }
    };
    let over = fields.over.is_some() && fields.turns.is_none();
    let span = fields.to.is_some() || fields.over.is_some() || fields.under.is_some();
    let short = fields.length.is_none() && fields.reach.is_none() && fields.beyond.is_none();
    note(short && (matches!(way, Way::Bunch | Way::Pair) || (way == Way::Slip && !span)), "how long it is", LENGTH_RIGHT);
    match way {
        Way::Hackle => {
            note(fields.fibre.is_none(), "how long its fibres are", FIBRE_RIGHT);
            note(fields.turns.is_none(), "how many turns it has", TURNS_RIGHT);
        }
        Way::Wound | Way::Rope => note(over, "how many turns it has", TURNS_RIGHT),
        Way::Slip => note(fields.width.is_none() && pieces.iter().any(|piece| piece.width.is_none()), "how wide it is", WIDTH_RIGHT),
        Way::Dubbed | Way::Spun => note(fields.thick.is_none(), "how thick it is", THICK_RIGHT),
        Way::Bunch => {
            let none = fields.count.is_none() && fields.thick.is_none() && fields.carries_on.is_none();
            note(none && pieces.iter().any(|piece| piece.count.is_none()), "how many fibres it has", COUNT_RIGHT);
        }
        _ => {}
    }
}

/// The length of a part that must say one.
fn own_length(w: &mut Worker<'_>, nth: usize, part: &Part) -> Option<Fig> {
    let fields = &part.fields;
    if fields.length.is_none() && fields.reach.is_none() && fields.beyond.is_none() {
        return w.missing(&part.name.value, "how long it is", LENGTH_RIGHT);
    }
    w.figure_of(nth, Lean::Length, &part.name.at)
}

/// Advice where a material is shorter than the part that is made of it.
fn long_enough(w: &mut Worker<'_>, part: &Part, piece: &Piece<'_>, length: Fig) {
    let Some(usable) = piece.material.usable.as_ref().filter(|usable| w.value(length) > usable.value + 1e-9) else { return };
    w.advise(
        Diagnostic::advice(
            format!(
                "\"{}\" is {:.1} mm long here, but only {:.1} mm of \"{}\" can be used",
                part.name.value,
                w.value(length),
                usable.value,
                piece.material.name.value
            ),
            part.name.at.clone(),
        )
        .right("a longer material, or a shorter part"),
    );
}

/// The unit a way's amount is told in.
pub(super) fn unit_of(way: Way) -> Unit {
    match way {
        Way::Wound | Way::Weight | Way::Rope => Unit::M,
        Way::Hackle | Way::Pair => Unit::Feather,
        Way::Bunch => Unit::Fibre,
        Way::Dubbed | Way::Spun => Unit::G,
        Way::Slip | Way::Strip | Way::Sheet => Unit::Mm2,
        Way::Whole => Unit::One,
        Way::Coat => Unit::Ml,
    }
}

/// The sum of amounts in one unit.
pub(super) fn sum_of(unit: Unit) -> &'static Formula<f64> {
    match unit {
        Unit::M => &SUM_M,
        Unit::G => &SUM_G,
        Unit::Ml => &SUM_ML,
        Unit::Mm2 => &SUM_MM2,
        Unit::Feather => &SUM_FEATHER,
        Unit::Fibre => &SUM_FIBRE,
        _ => &SUM_ONE,
    }
}
