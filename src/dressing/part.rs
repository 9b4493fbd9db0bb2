//! A part of a dressing: one component, in tying order, with the rules for its place, length and amount.

use super::{Length, Place};
use crate::diagnostic::{At, Told};
use crate::measure::{Fraction, Quantity};
use serde::{Deserialize, Serialize};
use std::ops::{Deref, DerefMut};
use std::sync::Arc;

/// A part as meant for one size and variant.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its name, unique in the dressing, folded for comparing.
    pub name: Told<String>,
    /// What was said of it.
    pub fields: Held<PartFields>,
}

/// Shared by all who have it, until one of them changes it: that one then has its own. Most cards of a dressing change
/// little of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Held<T>(Arc<T>);

impl<T> Deref for Held<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.0
    }
}

impl<T: Clone> DerefMut for Held<T> {
    fn deref_mut(&mut self) -> &mut T {
        Arc::make_mut(&mut self.0)
    }
}

impl<T> From<T> for Held<T> {
    fn from(thing: T) -> Self {
        Held(Arc::new(thing))
    }
}

/// How a part goes on to the hook.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// A strand wound round what lies beneath.
    Wound,
    /// A feather wound by its stem: collar, palmer.
    Hackle,
    /// Fibres or hair tied in as a bundle.
    Bunch,
    /// A body of dubbing, by its thickness.
    Dubbed,
    /// Spun in a loop.
    Spun,
    /// Twisted together and wound.
    Rope,
    /// A section of a quill feather.
    Slip,
    /// A strip.
    Strip,
    /// A sheet.
    Sheet,
    /// Feathers as a pair.
    Pair,
    /// A whole thing: bead, eyes, made part.
    Whole,
    /// A wound strand that lies beneath for its weight.
    Weight,
    /// Varnish or resin.
    Coat,
}

impl Way {
    /// Every way, with its word.
    pub const ALL: &'static [(&'static str, Way)] = &[
        ("wound", Way::Wound),
        ("hackle", Way::Hackle),
        ("bunch", Way::Bunch),
        ("dubbed", Way::Dubbed),
        ("spun", Way::Spun),
        ("rope", Way::Rope),
        ("slip", Way::Slip),
        ("strip", Way::Strip),
        ("sheet", Way::Sheet),
        ("pair", Way::Pair),
        ("whole", Way::Whole),
        ("weight", Way::Weight),
        ("coat", Way::Coat),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Way::ALL.iter().find(|(_, way)| *way == self).map_or("", |(word, _)| word)
    }
}

/// How many turns.
#[derive(Clone, Debug, PartialEq)]
pub enum Turns {
    /// A stated number: `5`, `2½`.
    Count(Fraction),
    /// `4 behind, 3 before the wing`.
    Split {
        /// Turns on the bend side.
        behind: Fraction,
        /// Turns on the eye side.
        before: Fraction,
        /// The part they go on both sides of, folded; empty where none is named.
        of: String,
    },
    /// Each turn against the last.
    Touching,
}

/// One of several materials in a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Stuff {
    /// The material.
    pub of: Told<String>,
    /// Its own number of fibres, slips or things.
    pub count: Option<Told<Fraction>>,
    /// Its own width, of a slip in a married wing.
    pub width: Option<Told<Length>>,
    /// Its share of the part, such as 1/3.
    pub share: Option<Told<Fraction>>,
}

/// How several materials lie in one part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Laid {
    /// Mixed or side by side, as one.
    #[default]
    Together,
    /// Each after the last.
    OneAfterTheOther,
    /// Slips joined edge to edge.
    Married,
    /// One on each side of the hook.
    OneEachSide,
}

impl Laid {
    /// Every way of lying, with its words.
    pub const ALL: &'static [(&'static str, Laid)] =
        &[("together", Laid::Together), ("one after the other", Laid::OneAfterTheOther), ("married", Laid::Married), ("one each side", Laid::OneEachSide)];
}

/// What a part is wound or tied on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Base {
    /// The hook.
    Hook,
    /// The post another part makes.
    Post(String),
    /// A needle drawn out afterwards; its diameter in mm.
    Needle(f64),
    /// Nylon that stays inside; its diameter in mm.
    Nylon(f64),
    /// A loop of silk.
    Loop,
}

/// How far a part is clipped.
#[derive(Clone, Debug, PartialEq)]
pub enum Clip {
    /// To a length.
    To(Length),
    /// Below, level with the point of the hook.
    LevelWithPoint,
    /// Flat beneath.
    Beneath,
}

/// How a part stands or lies, for the drawing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, rename_all = "kebab-case")]
pub struct Shape {
    /// Stands up from the shank.
    pub upright: bool,
    /// In two halves.
    pub divided: bool,
    /// Out to both sides.
    pub spent: bool,
    /// Flat over the back.
    pub flat: bool,
    /// Down over the back.
    pub over_the_back: bool,
    /// Below the hook: a throat or beard.
    pub beneath: bool,
    /// Split by so many degrees, as a tail.
    pub split_degrees: Option<u16>,
    /// Doubled into a loop.
    pub looped: bool,
    /// Cut to shape.
    pub cut: bool,
    /// Burnt to shape.
    pub burnt: bool,
    /// Knotted, as legs.
    pub knotted: bool,
}

/// What may be said of a part. In the part itself and in a change alike: a change replaces what it says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartFields {
    /// The material; the first of several.
    pub of: Option<Told<String>>,
    /// All materials, where there are several.
    pub several: Option<Told<Vec<Stuff>>>,
    /// How several materials lie.
    pub laid: Option<Told<Laid>>,
    /// What it goes on.
    pub on: Option<Told<Base>>,
    /// The part it lies under, whose span it takes.
    pub under: Option<Told<String>>,
    /// The part whose fibres go on in this one.
    pub carries_on: Option<Told<String>>,
    /// How far it goes on beyond its place.
    pub beyond: Option<Told<Length>>,
    /// How far it is clipped.
    pub clip: Option<Told<Clip>>,
    /// Length of the loop it is spun in.
    pub loop_length: Option<Told<Length>>,
    /// How it goes on.
    pub way: Option<Told<Way>>,
    /// The one place it is tied in at.
    pub at: Option<Told<Place>>,
    /// Where it begins.
    pub from: Option<Told<Place>>,
    /// Where it ends.
    pub to: Option<Told<Place>>,
    /// The part it is wound over, whose span it takes.
    pub over: Option<Told<String>>,
    /// Its length.
    pub length: Option<Told<Length>>,
    /// The place its tip reaches, instead of a length.
    pub reach: Option<Told<Place>>,
    /// Thickness across, of a body or a bundle.
    pub thick: Option<Told<Length>>,
    /// Number of fibres, slips or things.
    pub count: Option<Told<Fraction>>,
    /// Width of a slip.
    pub width: Option<Told<Length>>,
    /// Length of a hackle's fibre.
    pub fibre: Option<Told<Length>>,
    /// Turns.
    pub turns: Option<Told<Turns>>,
    /// Strands wound together.
    pub strands: Option<Told<Fraction>>,
    /// Drops a coat.
    pub drops: Option<Told<Fraction>>,
    /// Coats.
    pub coats: Option<Told<Fraction>>,
    /// A stated amount, which wins over what is reckoned.
    pub amount: Option<Told<Quantity>>,
    /// Wound the other way.
    pub other_way: Option<Told<bool>>,
    /// The part that ties it down.
    pub tied_down_by: Option<Told<String>>,
    /// How it stands.
    pub shape: Option<Told<Shape>>,
    /// Tied in by the tip or the butt (as said).
    pub by_the: Option<Told<String>>,
    /// A remark.
    pub note: Option<Told<String>>,
}

impl PartFields {
    /// Lays a change over what was said: what the change says replaces it.
    pub fn overlay(&mut self, change: &PartFields) {
        macro_rules! replace {
            ($($field:ident),*) => { $( if change.$field.is_some() { self.$field.clone_from(&change.$field); } )* };
        }
        // A length and a reach say the same thing in two ways: the newer one stands alone.
        if change.length.is_some() {
            self.reach = None;
        }
        if change.reach.is_some() {
            self.length = None;
        }
        if change.count.is_some() && self.way.as_ref().is_some_and(|way| way.value == Way::Bunch) {
            self.thick = None;
        }
        // A single material takes the place of several.
        if change.of.is_some() {
            self.several = None;
        }
        replace!(
            of,
            several,
            laid,
            on,
            under,
            carries_on,
            beyond,
            clip,
            loop_length,
            way,
            at,
            from,
            to,
            over,
            length,
            reach,
            thick,
            count,
            width,
            fibre,
            turns,
            strands,
            drops,
            coats,
            amount,
            other_way,
            tied_down_by,
            shape,
            by_the,
            note
        );
    }

    /// Every material it names, in order.
    pub fn materials(&self) -> impl Iterator<Item = &Told<String>> {
        let several = self.several.iter().flat_map(|told| &told.value).map(|stuff| &stuff.of);
        several.chain(self.of.iter().filter(|_| self.several.is_none()))
    }

    /// Every material it names, to be changed.
    pub fn materials_mut(&mut self) -> impl Iterator<Item = &mut Told<String>> {
        let several = self.several.iter_mut().flat_map(|told| &mut told.value).map(|stuff| &mut stuff.of);
        several.chain(self.of.iter_mut())
    }

    /// The fields that were said, by their keys with their places.
    pub fn said(&self) -> Vec<(&'static str, &At)> {
        macro_rules! said {
            ($($field:ident => $key:literal),*) => {{
                let mut all = Vec::new();
                $( if let Some(told) = &self.$field { all.push(($key, &told.at)); } )*
                all
            }};
        }
        said!(
            of => "of", laid => "laid", on => "on", under => "under", carries_on => "carries-on", beyond => "beyond", clip => "clip",
            loop_length => "loop", way => "as", at => "at", from => "from", to => "to", over => "over", length => "length", reach => "reach",
            thick => "thick", count => "count", width => "width", fibre => "fibre", turns => "turns", strands => "strands",
            drops => "drops", coats => "coats", amount => "amount", other_way => "way", tied_down_by => "tied down by",
            shape => "shape", by_the => "by the", note => "note"
        )
    }
}
