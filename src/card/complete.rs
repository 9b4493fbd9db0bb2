//! Before a card is worked, what its dressing leaves out is taken from the custom of its kind. What is said is never
//! touched; whatever is taken carries the rule it was taken from, and so its standing and its source.

use super::custom::{self, Custom, Meaning, Row};
use super::work::is_bead;
use crate::diagnostic::{At, Rule, Told};
use crate::dressing::{Base, Dressing, HookLength, HookShape, Landmark, Length, Material, Of, Part, PartFields, Place, Shape, Shelf, Term, Turns, Way};
use crate::measure::words;
use std::borrow::Borrow;

/// Completes the parts of one size and variant.
pub(super) fn parts(parts: &mut [Part], dressing: &Dressing, shelf: &Shelf, shape: HookShape) {
    let mut ground = Ground::new(parts, dressing, shape);
    for part in parts.iter_mut().filter(|part| part.fields.way.is_none()) {
        let material = part.fields.of.as_ref().and_then(|of| shelf.materials.get(&words::fold(&of.value)));
        part.fields.way = ground.way(part, material);
    }
    ground.look_for_bead(parts, shelf);
    for nth in 0..parts.len() {
        let Some(mut part) = parts.get(nth).cloned() else { continue };
        ground.fill(&mut part, parts, shelf);
        if let Some(place) = parts.get_mut(nth) {
            *place = part;
        }
    }
}

fn way(part: &Part) -> Option<Way> {
    part.fields.way.as_ref().map(|way| way.value)
}

/// What a rule of the custom is read against.
pub(super) struct Ground {
    pub(super) custom: Custom,
    /// What the table calls a part, and what the dressing calls it.
    names: Vec<(&'static str, String)>,
    bead: bool,
    shape: HookShape,
}

impl Ground {
    pub(super) fn new(parts: &[impl Borrow<Part>], dressing: &Dressing, shape: HookShape) -> Self {
        let custom = Custom::of(&dressing.kind.value, dressing.like.as_ref().map(|like| like.value.as_str()));
        let mut names: Vec<(&'static str, String)> = Vec::new();
        for part in parts {
            let part = part.borrow();
            if let Some(known) = called(part)
                // The part that bears the very name stands before one that only ends in it.
                && (!names.iter().any(|(other, _)| *other == known) || part.name.value == known)
            {
                names.retain(|(other, _)| *other != known);
                names.push((known, part.name.value.clone()));
            }
        }
        Ground { custom, names, bead: false, shape }
    }

    /// Whatever lies behind the bead needs one whose width is known.
    pub(super) fn look_for_bead(&mut self, parts: &[impl Borrow<Part>], shelf: &Shelf) {
        self.bead = parts.iter().any(|part| {
            let part = part.borrow();
            let material = part.fields.of.as_ref().and_then(|of| shelf.materials.get(&words::fold(&of.value)));
            way(part) == Some(Way::Whole) && material.is_some_and(|material| is_bead(material) && material.width.is_some())
        });
    }

    /// The dressing's own name of a part the table speaks of.
    fn own_name(&self, known: &str) -> Option<String> {
        self.names.iter().find(|(name, _)| *name == known).map(|(_, own)| own.clone())
    }

    /// How a part goes on: by the custom, else by what its material is.
    fn way(&self, part: &Part, material: Option<&Material>) -> Option<Told<Way>> {
        let known = called(part);
        let by_material = material.and_then(|material| by_material(material, known)).map(|(way, word)| {
            let source = format!("what {word} is commonly used for (common practice, no source)");
            Told::new(way, part.name.at.ruled(Rule { custom: true, text: way.word().to_owned(), source }))
        });
        // What is brought over the back is a slip, a strip or a bunch, as the material will have it.
        if matches!(known, Some("wing case" | "back")) && by_material.is_some() {
            return by_material;
        }
        if let Some(row) = known.and_then(|known| self.custom.rows(known, "as", None).first().copied())
            && let Some(Some(way)) = custom::way(row.rule)
        {
            return Some(Told::new(way, ruled(&part.name.at, row, row.rule.to_owned())));
        }
        by_material
    }

    /// Fills in what a part does not say.
    fn fill(&self, part: &mut Part, all: &[Part], shelf: &Shelf) {
        let (Some(known), Some(way)) = (called(part), way(part)) else { return };
        // A strip or sheet of a width that the bench knows goes on as wide as it is.
        let has_width = |of: &Told<String>| shelf.materials.get(&words::fold(&of.value)).is_some_and(|material| material.width.is_some());
        let as_wide = matches!(way, Way::Strip | Way::Sheet) && part.fields.materials().all(has_width);
        let mut filling = Filling { ground: self, known, way, all, part, as_wide };
        filling.place();
        filling.figures();
    }

    /// A place of the table in the dressing's own names; `None` where it cannot be had in this fly.
    pub(super) fn place(&self, row: &Row) -> Option<(Place, String)> {
        let Meaning::Place(mut place) = row.meaning.clone() else { return None };
        let gapless = !self.shape.has_bend();
        if (place.mark == Landmark::Bead && !self.bead)
            || (gapless && matches!(place.mark, Landmark::Barb | Landmark::Point | Landmark::Bend | Landmark::ShankEnd))
        {
            return None;
        }
        let mut renamed = self.rename(&mut place.off)?;
        if let Landmark::Start(name) | Landmark::Middle(name) | Landmark::End(name) = &mut place.mark {
            *name = self.own_name(name)?;
            renamed = true;
        }
        let text = if renamed { place.to_string() } else { row.rule.to_owned() };
        Some((place, text))
    }

    /// A length of the table in the dressing's own names; `None` where it cannot be had in this fly.
    pub(super) fn length(&self, row: &Row) -> Option<(Length, String)> {
        let Meaning::Length(mut length) = row.meaning.clone() else { return None };
        let renamed = match &mut length {
            Length::One(terms) => self.rename(terms)?,
            Length::Between(a, b) | Length::Taper(a, b) => {
                let first = self.rename(a)?;
                self.rename(b)? || first
            }
        };
        let text = if renamed { length.to_string() } else { row.rule.to_owned() };
        Some((length, text))
    }

    /// Whether any name was put in; `None` where a term cannot be had.
    fn rename(&self, terms: &mut [Term]) -> Option<bool> {
        let gapless = !self.shape.has_bend();
        let mut renamed = false;
        for term in terms {
            match &mut term.of {
                Of::Part(name) => {
                    *name = self.own_name(name)?;
                    renamed = true;
                }
                Of::Hook(HookLength::Gap) if gapless => return None,
                Of::Hook(HookLength::HookWire) if self.shape == HookShape::Tube => return None,
                _ => {}
            }
        }
        Some(renamed)
    }
}

/// What the table calls a part. A hackle that is said to go over something is a palmer hackle.
pub(super) fn called(part: &Part) -> Option<&'static str> {
    let known = custom::part_of(&part.name.value)?;
    let fields = &part.fields;
    let said = |at: Option<&At>| at.is_some_and(|at| at.rule.is_none());
    let along = said(fields.over.as_ref().map(|over| &over.at)) || (said(fields.from.as_ref().map(|from| &from.at)) && fields.to.is_some());
    Some(if known == "hackle" && along { "palmer hackle" } else { known })
}

fn ruled(at: &At, row: &Row, text: String) -> At {
    at.ruled(Rule { custom: true, text, source: row.told() })
}

/// How a part stands, in the words of the table.
pub(super) fn shape(rule: &str) -> Option<Shape> {
    let mut shape = Shape::default();
    for word in rule.split(", ") {
        match word {
            "upright" => shape.upright = true,
            "divided" => shape.divided = true,
            "spent" => shape.spent = true,
            "flat" => shape.flat = true,
            "over the back" => shape.over_the_back = true,
            "beneath" => shape.beneath = true,
            _ => {
                let degrees = word.strip_prefix("split ")?.strip_suffix(" deg")?;
                shape.divided = true;
                shape.split_degrees = Some(degrees.parse().ok()?);
            }
        }
    }
    Some(shape)
}

/// One part while it is filled in.
struct Filling<'a> {
    ground: &'a Ground,
    known: &'static str,
    way: Way,
    all: &'a [Part],
    part: &'a mut Part,
    as_wide: bool,
}

impl Filling<'_> {
    fn rows(&self, field: &str) -> Vec<&'static Row> {
        self.ground.custom.rows(self.known, field, Some(self.way))
    }

    /// Fills one key by the first row that can be had.
    fn take(&mut self, field: &str) -> bool {
        self.rows(field).into_iter().any(|row| self.set(field, row).is_some())
    }

    fn set(&mut self, field: &str, row: &Row) -> Option<()> {
        let at = |text: String| ruled(&self.part.name.at, row, text);
        match field {
            "on" => {
                let own = self.ground.own_name(row.rule.strip_prefix("post of ")?).filter(|own| !self.leans_back(own))?;
                let at = at(format!("post of {own}"));
                self.part.fields.on = Some(Told::new(Base::Post(own), at));
            }
            "over" => {
                let own = self.ground.own_name(row.rule).filter(|own| !self.leans_back(own))?;
                let at = at(own.clone());
                self.part.fields.over = Some(Told::new(own, at));
            }
            "at" | "from" | "to" | "reach" => {
                let (place, text) = self.ground.place(row)?;
                if place.parts().any(|name| self.leans_back(name)) {
                    return None;
                }
                let told = Some(Told::new(place, at(text)));
                let fields = &mut self.part.fields;
                match field {
                    "at" => fields.at = told,
                    "from" => fields.from = told,
                    "to" => fields.to = told,
                    _ => fields.reach = told,
                }
            }
            "length" | "fibre" | "thick" | "width" => {
                let (length, text) = self.ground.length(row)?;
                if length.parts().any(|name| self.leans_back(name)) {
                    return None;
                }
                let told = Some(Told::new(length, at(text)));
                let fields = &mut self.part.fields;
                match field {
                    "length" => fields.length = told,
                    "fibre" => fields.fibre = told,
                    "thick" => fields.thick = told,
                    _ => fields.width = told,
                }
            }
            // Of a range of fibres or turns the lower is taken: a sparse fly can be mended.
            "count" => {
                let Meaning::Numbers(low, _) = row.meaning else { return None };
                let at = at(low.to_string());
                self.part.fields.count = Some(Told::new(low, at));
            }
            "turns" => {
                let Meaning::Numbers(low, _) = row.meaning else { return None };
                let at = at(low.to_string());
                self.part.fields.turns = Some(Told::new(Turns::Count(low), at));
            }
            "shape" => {
                let at = at(row.rule.to_owned());
                self.part.fields.shape = Some(Told::new(shape(row.rule)?, at));
            }
            _ => return None,
        }
        Some(())
    }

    /// Whether another part leans on this one already, or is this one: a rule by it would close a circle.
    fn leans_back(&self, other: &str) -> bool {
        let own = &self.part.name.value;
        other == own || self.all.iter().any(|part| part.name.value == other && leans_on(&part.fields, own))
    }

    /// Where it goes.
    fn place(&mut self) {
        let fields = &self.part.fields;
        let by_turns = fields.turns.as_ref().is_some_and(|told| matches!(&told.value, Turns::Split { of, .. } if !of.is_empty()));
        let elsewhere = fields.on.as_ref().is_some_and(|on| on.value != Base::Hook) || fields.beyond.is_some();
        if fields.at.is_some() || fields.under.is_some() || elsewhere || (by_turns && fields.from.is_none() && fields.over.is_none()) {
            return;
        }
        let spans = matches!(self.way, Way::Wound | Way::Weight | Way::Dubbed | Way::Spun | Way::Rope);
        let may_span = spans || matches!(self.way, Way::Slip | Way::Strip | Way::Sheet | Way::Hackle);
        match (fields.from.is_some(), fields.to.is_some()) {
            (true, true) => {}
            // Counted turns run on from where they begin.
            (true, false) => {
                if spans && fields.turns.is_none() {
                    self.take("to");
                }
            }
            (false, true) => {
                self.take("from");
            }
            (false, false) if fields.over.is_some() => {}
            (false, false) => {
                let counted = self.way == Way::Weight && (fields.turns.is_some() || !self.rows("turns").is_empty());
                if counted && self.take("from") {
                    return;
                }
                // A hackle round a post lies where the post is.
                if self.way == Way::Hackle && self.part.fields.on.is_none() && self.take("on") {
                    return;
                }
                if may_span && (self.take("over") || self.span()) {
                    return;
                }
                self.take("at");
            }
        }
    }

    /// Both ends or none.
    fn span(&mut self) -> bool {
        if self.take("from") && self.take("to") {
            return true;
        }
        self.part.fields.from = None;
        false
    }

    /// How long, how thick, how many.
    fn figures(&mut self) {
        let fields = &self.part.fields;
        let brought_over = fields.to.is_some() || fields.over.is_some() || fields.under.is_some() || fields.beyond.is_some();
        match self.way {
            Way::Wound | Way::Rope => self.turns(),
            Way::Weight if self.part.fields.to.is_none() => self.turns(),
            Way::Weight => {}
            Way::Hackle => {
                if self.part.fields.fibre.is_none() {
                    self.take("fibre");
                }
                self.turns();
            }
            Way::Bunch => {
                self.length();
                if self.part.fields.thick.is_none() {
                    self.count();
                }
            }
            Way::Dubbed | Way::Spun => {
                if self.part.fields.thick.is_none() {
                    self.take("thick");
                }
            }
            Way::Slip | Way::Strip | Way::Sheet => {
                let fields = &self.part.fields;
                let wide = fields.several.as_ref().is_some_and(|told| told.value.iter().all(|stuff| stuff.width.is_some()));
                if fields.width.is_none() && !wide && !self.as_wide {
                    self.take("width");
                }
                if !brought_over {
                    self.length();
                }
                if self.way == Way::Slip {
                    self.count();
                }
            }
            Way::Pair => {
                self.length();
                self.count();
            }
            Way::Whole | Way::Coat => {}
        }
        if matches!(self.way, Way::Bunch | Way::Slip | Way::Pair) && self.part.fields.shape.is_none() {
            self.take("shape");
        }
    }

    fn turns(&mut self) {
        if self.part.fields.turns.is_none() {
            self.take("turns");
        }
    }

    fn count(&mut self) {
        // Fibres that go on are counted where they come from; several materials may each have a number of their own.
        let fields = &self.part.fields;
        let counted = fields.several.as_ref().is_some_and(|told| told.value.iter().all(|stuff| stuff.count.is_some()));
        if fields.count.is_none() && fields.carries_on.is_none() && !counted {
            self.take("count");
        }
    }

    fn length(&mut self) {
        let fields = &self.part.fields;
        if fields.length.is_none() && fields.reach.is_none() && fields.beyond.is_none() && !self.take("length") {
            self.take("reach");
        }
    }
}

/// Whether anything said of a part leans on the part of this name.
fn leans_on(fields: &PartFields, name: &str) -> bool {
    let places = [&fields.at, &fields.from, &fields.to, &fields.reach];
    let lengths = [&fields.length, &fields.thick, &fields.width, &fields.fibre];
    fields.over.as_ref().is_some_and(|over| over.value == name)
        || places.into_iter().flatten().any(|place| place.value.parts().any(|part| part == name))
        || lengths.into_iter().flatten().any(|length| length.value.parts().any(|part| part == name))
}

/// How a material commonly goes on (common practice, no source), with the word that tells.
fn by_material(material: &Material, known: Option<&str>) -> Option<(Way, &'static str)> {
    let text = material.kind.as_ref().map_or(material.name.value.as_str(), |kind| kind.value.as_str());
    let text = words::fold(text);
    let has = |words: &[&'static str]| words.iter().copied().find(|word| text.split(|c: char| !c.is_alphanumeric()).any(|own| own == *word));
    let is_hackle = matches!(known, Some("hackle" | "palmer hackle"));
    let is_body = matches!(known, Some("body" | "abdomen"));
    let is_wing = matches!(known, Some("wing" | "post" | "wing case" | "back"));
    const STRANDS: &[&str] = &["wire", "tinsel", "floss", "chenille", "herl", "wool", "yarn", "silk", "thread", "lace", "raffia", "ribbon", "rib"];
    if let Some(word) = has(&["lead", "weight"]) {
        return Some((Way::Weight, word));
    }
    if let Some(word) = has(&["bead", "beads", "eyes", "cone", "part"]) {
        return Some((Way::Whole, word));
    }
    if let Some(word) = has(&["varnish", "resin", "lacquer", "cement"]) {
        return Some((Way::Coat, word));
    }
    if let Some(word) = has(&["dubbing", "fur", "underfur"]) {
        return Some((Way::Dubbed, word));
    }
    if let Some(word) = has(&["cape", "saddle", "neck", "hackle", "hackles", "feather", "feathers", "flank"]) {
        return Some((if is_hackle { Way::Hackle } else { Way::Bunch }, word));
    }
    if let Some(word) = has(&["quill", "quills"]) {
        // A body of quill is a strip of it wound; a wing or case of quill is a slip.
        return Some((if is_body { Way::Wound } else { Way::Slip }, word));
    }
    if let Some(word) = has(&["foam", "film", "latex", "skin"]) {
        return Some((Way::Strip, word));
    }
    if let Some(word) = has(STRANDS) {
        return Some((if is_wing { Way::Bunch } else { Way::Wound }, word));
    }
    has(&["hair", "fibres", "fibre", "bucktail", "marabou", "poly"]).map(|word| (Way::Bunch, word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_of_the_table_is_read() {
        let mut seen = 0;
        for kind in custom::kinds().into_iter().chain(["any fly"]) {
            for row in custom::of(kind) {
                let names = custom::part_names();
                let read = match row.field {
                    "at" | "from" | "to" | "reach" => matches!(row.meaning, Meaning::Place(_)),
                    "length" | "fibre" | "thick" | "width" => matches!(row.meaning, Meaning::Length(_)),
                    "count" | "turns" => matches!(row.meaning, Meaning::Numbers(..)),
                    "shape" => shape(row.rule).is_some(),
                    "over" => names.contains(&row.rule),
                    "on" => row.rule.strip_prefix("post of ").is_some_and(|post| names.contains(&post)),
                    "as" => custom::way(row.rule).is_some(),
                    "like" | "also" => true,
                    _ => false,
                };
                assert!(read, "{row:?}");
                seen += 1;
            }
        }
        assert!(seen > 400, "only {seen} rows");
    }
}
