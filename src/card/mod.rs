//! The worked card: a dressing worked out for one hook. Every length, count, turn and amount stands on its
//! sheet with its derivation; the drawing, the steps, the plan and the price are all read off it.

mod amount;
mod astray;
mod complete;
pub mod custom;
pub mod fill;
mod formulas;
mod hook;
mod order;
mod origin;
mod part;
mod place_and_length;
mod profile;
mod silk;
pub mod text;
mod usual;
mod usual_words;
mod work;
mod worker;

pub use hook::faults as hook_faults;
pub use hook::one as hook_figure;
pub use origin::from as place;
use work::elsewhere;
pub use work::work;
pub mod differs;
pub mod figure;
pub mod form;
pub mod frozen;
pub mod hook_line;
pub mod hook_outline;
#[cfg(test)]
pub(crate) mod sample;

use crate::diagnostic::Diagnostic;
use crate::dressing::{Base, EyeTurn, HookShape, Laid, Per, Rides, Shape, Size, Way, When};
use crate::measure::Shown;
use crate::why::{Fig, Geometry};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// A dressing worked out for one hook size and variant. Written as data it goes without its sheet and its advice; whole cards
/// are kept by [`frozen`].
#[derive(Clone, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Card {
    /// Every figure, with its derivation.
    #[serde(skip)]
    pub sheet: Geometry,
    /// The dressing's name.
    pub dressing: String,
    /// Its kind.
    pub kind: String,
    /// Its revision.
    pub revision: u32,
    /// The hook size.
    pub size: Size,
    /// The variant's name as written.
    pub variant: Option<String>,
    /// The chart's name as written.
    pub chart: String,
    /// How its figures are shown.
    #[serde(default)]
    pub shown: Shown,
    /// The hook.
    pub hook: Hook,
    /// The tying silk's material (folded).
    pub silk: String,
    /// The silk of the last finish (folded), where it is another.
    pub head_silk: Option<String>,
    /// Parts in tying order.
    #[serde(default)]
    pub parts: Vec<WorkedPart>,
    /// Steps in order, written or usual.
    #[serde(default)]
    pub steps: Vec<WorkedStep>,
    /// What one fly needs.
    #[serde(default)]
    pub needs: Vec<Need>,
    /// Advice met on the way.
    #[serde(skip)]
    pub advice: Vec<Diagnostic>,
}

/// The hook's figures: rows of the card's sheet, all mm but angles (degrees) and `mass` (g).
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Hook {
    /// Its shape.
    pub shape: HookShape,
    /// Whether the point rides down or up.
    pub rides: Rides,
    /// From the point square to the shank, clear; `None` for what has no bend.
    pub gap: Option<Fig>,
    /// Rear of the eye to the start of the bend, along the wire; the length of a tube.
    pub shank: Fig,
    /// Diameter of the wire; the outside of a tube.
    pub wire: Fig,
    /// Diameter the first turns lie on: the wire's, or that of a double's two wires together.
    pub across: Fig,
    /// Front of the eye to the outside of the bend, straight along the hook.
    pub overall: Fig,
    /// Length of the eye along the wire; of a tube, the length a head is counted by.
    pub eye: Fig,
    /// The barb, along the wire from the rear of the eye.
    pub barb: Option<Fig>,
    /// The point, dropped square on to the shank, along the wire from the rear of the eye.
    pub point: Option<Fig>,
    /// The rearmost, straight from the rear of the eye.
    pub bend: Fig,
    /// Semi-axes of the bend, in the line of the shank's end and square to it, where the shank is bent.
    pub bend_axes: Option<(Fig, Fig)>,
    /// The lower limb, where the shank is curved; else it is shank less point.
    pub limb: Option<Fig>,
    /// Of a jig: from the rear of the eye to its corner.
    pub front: Option<Fig>,
    /// The turn of a curved or swimming shank, the angle of a jig, the spread of a double; degrees.
    pub angle: Option<Fig>,
    /// The bore of a tube.
    pub inside: Option<Fig>,
    /// Mass of the bare hook, g.
    pub mass: Fig,
    /// Which way the eye is turned.
    pub turn: EyeTurn,
}

/// A stretch of the thickness profile: from `from` to `to` along the wire the diameter goes evenly from
/// `across_from` to `across_to` (all rows of the sheet, mm).
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
#[serde(from = "[Fig; 4]", into = "[Fig; 4]")]
pub struct Stretch {
    /// Nearer the eye.
    pub from: Fig,
    /// Nearer the bend.
    pub to: Fig,
    /// Diameter at `from`.
    pub across_from: Fig,
    /// Diameter at `to`.
    pub across_to: Fig,
}

impl From<[Fig; 4]> for Stretch {
    fn from([from, to, across_from, across_to]: [Fig; 4]) -> Self {
        Stretch { from, to, across_from, across_to }
    }
}

impl From<Stretch> for [Fig; 4] {
    fn from(stretch: Stretch) -> Self {
        [stretch.from, stretch.to, stretch.across_from, stretch.across_to]
    }
}

/// A part worked out. Figures are rows of the card's sheet; places are mm along the wire from the rear of the eye.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct WorkedPart {
    /// Its name.
    pub name: String,
    /// Its material (folded name); the first of several.
    pub material: String,
    /// Every material of it, in the order they are named; one at least.
    #[serde(default)]
    pub pieces: Vec<WorkedPiece>,
    /// How several materials lie.
    pub laid: Laid,
    /// How it goes on.
    pub way: Way,
    /// What it goes on.
    pub on: Base,
    /// The part whose fibres go on in this one.
    pub carries_on: Option<String>,
    /// How far it is clipped.
    pub clip: Option<Clipped>,
    /// How it stands.
    #[serde(default)]
    pub shape: Shape,
    /// Where it is tied in (its `at`, else its `from`); `None` where nobody says.
    pub tied_in: Option<Fig>,
    /// Where it begins and ends, for a part with a span; `from` may lie behind or before `to`.
    pub span: Option<(Fig, Fig)>,
    /// Its length beyond the tie-in, for bunches and slips.
    pub length: Option<Fig>,
    /// Length of a hackle's fibre.
    pub fibre: Option<Fig>,
    /// Outside diameter at `from` and at `to`, for a dubbed body; the bundle's thickness twice for a bunch by `thick`.
    pub thick: Option<(Fig, Fig)>,
    /// Turns.
    pub turns: Option<Fig>,
    /// Turns on the bend side and the eye side of the tie-in, where told apart (`4 behind, 3 before`).
    pub turns_split: Option<(f64, f64)>,
    /// Fibres, slips or things.
    pub count: Option<Fig>,
    /// Width of the strand or the slip, diameter of a bead; mm.
    pub width: Option<Fig>,
    /// Thickness of a strand, mm.
    pub strand_thick: Option<Fig>,
    /// Outside of a fluffy strand, mm, for the drawing.
    pub flue: Option<f64>,
    /// Wound the other way than the silk.
    #[serde(default)]
    pub other_way: bool,
    /// What lies beneath it when it is wound, eye to bend, over its span.
    #[serde(default)]
    pub beneath: Vec<Stretch>,
    /// What it is wound on beyond the hook when it is wound, from where it leaves the hook to its far end; places
    /// go on straight from there. Empty for a part that stays on the hook.
    #[serde(default)]
    pub beyond: Vec<Stretch>,
    /// What one fly takes of it, all materials together; nought for fibres that go on from another part; `None` where
    /// something of the part is open.
    pub amount: Option<Fig>,
    /// Keys the dressing leaves out and the custom of its kind says.
    #[serde(default)]
    pub by_custom: Vec<Cow<'static, str>>,
}

/// One material of a part. What is `None` is as in the part.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct WorkedPiece {
    /// The material (folded name).
    pub material: String,
    /// Its own stretch, where materials are laid one after the other.
    pub span: Option<(Fig, Fig)>,
    /// Its own turns.
    pub turns: Option<Fig>,
    /// Its fibres, slips, things, or pairs.
    pub count: Option<Fig>,
    /// Its own width, mm.
    pub width: Option<Fig>,
    /// Its own thickness as a strand, mm.
    pub strand_thick: Option<Fig>,
    /// What one fly takes of it.
    pub amount: Option<Fig>,
}

/// How far a part is clipped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Clipped {
    /// To this length from the middle of the wire or post, mm.
    To(Fig),
    /// Below, level with the point of the hook.
    LevelWithPoint,
    /// Flat beneath.
    Beneath,
}

/// A step with its figures.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct WorkedStep {
    /// Before the vice, at it, or after.
    pub when: When,
    /// Parts (by place in [`Card::parts`]) tied in here.
    #[serde(default)]
    pub ties: Vec<usize>,
    /// Parts wound here.
    #[serde(default)]
    pub winds: Vec<usize>,
    /// What to do, figures filled in.
    pub text: String,
    /// Seconds, for a fly, a dozen or a run.
    pub time: Option<(Fig, Per)>,
    /// Seconds of drying.
    pub dries: Option<Fig>,
}

/// What one fly needs of one material.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Need {
    /// The part's name, or `hook`, `silk`, or a coat's material.
    pub part: String,
    /// The material (folded name); the chart's for the hook.
    pub material: String,
    /// The size of hook or feather, where that matters.
    pub size: Option<Size>,
    /// How it goes on; [`Way::Whole`] for the hook, [`Way::Wound`] for silk.
    pub way: Way,
    /// The amount a fly, in the way's own unit.
    pub amount: Fig,
    /// The amount as a share of a whole pack, where the bench knows what a pack gives in flies.
    pub share: Option<Fig>,
    /// Of something flat: the share of one piece as sold, by its usable length or area.
    pub share_of_piece: Option<Fig>,
    /// Of a strip in its own width: the length, m.
    pub along: Option<Fig>,
}
