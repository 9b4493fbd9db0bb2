//! A dressing's file gets a new revision: lengths measured on a sample become rules again. It writes as `edit.rs` does:
//! a figure is changed where it stands, every other byte is kept, and what comes out is read back and worked before it
//! takes the file's place.
//!
//! A length is changed at the place that wins for the card it was measured against: in the part, under `at-size:`, or in
//! the variant. What the dressing leaves to the custom is written into the part.

mod held;
mod rule;

use super::node::Map;
use super::yaml::Source;
use super::{Bench, edit};
use crate::card::{self, Card, fill};
use crate::diagnostic::{At, Diagnostic, Told, near_or_all};
use crate::dressing::anew::{self, NEAR};
use crate::dressing::{Dressing, Length, Part, Place, Size};
use crate::measure::{Words, words};
use crate::why::{Fig, Geometry, Origin};
use held::numbered;
use rule::{Change, Says, Spot, change, rule_of, spliced, spot};
use std::collections::HashSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A length of a sample, measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Its key on the card's sheet: `tail.length`, `hackle.fibre`.
    pub key: String,
    /// The hook size that was tied.
    pub size: Size,
    /// The variant that was tied, by its name.
    pub variant: Option<String>,
    /// What the card said, mm.
    pub was_mm: f64,
    /// What it is, mm.
    pub is_mm: f64,
}

/// What was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Revised {
    /// The file, as the user would name it.
    pub file: Arc<Path>,
    /// The revision it has now.
    pub revision: u32,
    /// What changed, a line each; none where every length is as the card says, and no file was touched.
    pub said: Vec<String>,
    /// The copy of the file as it was.
    pub backup: Option<PathBuf>,
}

/// Keys of a part that are lengths, and the sheet's two for a taper.
const LENGTHS: &[&str] = &["length", "fibre", "thick", "thick-start", "thick-end", "width", "beyond", "clip", "loop"];
/// Places of a part: they may hang on a length.
const PLACES: &[&str] = &["at", "from", "to"];
/// The most that is measured, mm.
const MOST: f64 = 1000.0;
/// How often a place that a tip reaches is tried: round a bend, a millimetre along the wire is less straight along.
const TRIES: usize = 12;
/// Figures nearer than this are one.
const SAME: f64 = 1e-9;

/// Writes a new revision of a dressing, in which the lengths measured come out as they were measured. `noted`, such as
/// a date, goes into the comment that tells what changed.
///
/// # Errors
/// Where a length is not one the dressing's file says, where it cannot be changed alone, where the file means something
/// else than it did when the bench was read, and where it cannot be written. Nothing is changed then.
pub fn revise(bench: &Bench, dressing: &Dressing, measured: &[Measured], noted: &str) -> Result<Revised, Vec<Diagnostic>> {
    let file = dressing.name.at.file.clone();
    let whole = || At::file(file.clone());
    let Some(first) = measured.first() else { return Ok(untouched(dressing)) };
    let sitting = Sitting::new(bench, dressing, first)?;
    let path = bench.dir.join(&file);
    let bytes = fs::read(&path).map_err(|error| vec![Diagnostic::error(format!("the file cannot be read: {error}"), whole())])?;
    let (source, map) = edit::read(&path, &file)?;
    let meant = edit::meant(bench, &source, &map)?;
    if meant != *dressing || in_file(&bytes, &source.text, &source.text) != bytes {
        let fault = Diagnostic::error("nothing was written: the file was changed since the bench was read", whole());
        return Err(vec![fault.right("read the bench again, and measure against the card as it is now")]);
    }
    let card = sitting.card(&meant)?;
    let before = State { source, map, dressing: meant, card };
    let Worked { measured, changes, after } = sitting.worked(measured, &before).map_err(|fault| vec![*fault])?;
    let Some(after) = after else { return Ok(untouched(dressing)) };
    let cannot = |why: String| vec![nothing(&why, whole()).right("change the lengths in the file yourself, and its revision with them")];
    let (text, revision) = numbered(&after, dressing.revision, &changes, noted).map_err(cannot)?;
    let after = sitting.read(text).map_err(cannot)?;
    let said = sitting.held(&before, &after, &measured, &changes).map_err(cannot)?;
    match edit::replace(&path, &bytes, &in_file(&bytes, &before.source.text, &after.source.text)) {
        Ok(backup) => Ok(Revised { file, revision, said, backup: Some(backup) }),
        Err(error) => Err(vec![Diagnostic::error(format!("the file could not be written, and is as it was: {error}"), whole())]),
    }
}

fn untouched(dressing: &Dressing) -> Revised {
    Revised { file: dressing.name.at.file.clone(), revision: dressing.revision, said: Vec::new(), backup: None }
}

/// Why nothing was written.
type Refused = Box<Diagnostic>;

fn nothing(why: &str, at: At) -> Diagnostic {
    Diagnostic::error(format!("nothing was written: {why}"), at)
}

/// The bytes of the file that hold a text, as the file's own bytes hold the old one: behind its byte order mark, and
/// with its line ends where these are carriage returns alone.
fn in_file(bytes: &[u8], old: &str, new: &str) -> Vec<u8> {
    let alone = bytes.contains(&b'\r') && !bytes.contains(&b'\n');
    let mut whole = bytes.get(..bytes.len().saturating_sub(old.len())).unwrap_or_default().to_vec();
    whole.extend(new.bytes().map(|byte| if alone && byte == b'\n' { b'\r' } else { byte }));
    whole
}

/// A file's text with what it means.
struct State {
    source: Source,
    map: Map,
    dressing: Dressing,
    card: Card,
}

impl State {
    fn mm(&self, key: &str) -> Option<f64> {
        self.card.sheet.find(key).map(|fig| self.card.sheet.value(fig))
    }
}

/// Every length in turn.
struct Worked {
    /// What was measured, in the order in which it was worked.
    measured: Vec<Measured>,
    changes: Vec<Change>,
    /// The file as it is then; `None` where it stays.
    after: Option<State>,
}

/// The fly that was measured.
struct Sitting<'b> {
    bench: &'b Bench,
    file: Arc<Path>,
    size: Told<Size>,
    /// Folded.
    variant: Option<String>,
}

impl<'b> Sitting<'b> {
    fn new(bench: &'b Bench, dressing: &Dressing, first: &Measured) -> Result<Self, Vec<Diagnostic>> {
        let variant = first.variant.as_deref().map(words::fold);
        if let Some(variant) = variant.as_ref().filter(|variant| !dressing.variants.contains_key(*variant)) {
            let known = dressing.variants.values().map(|variant| variant.name.value.as_str());
            let fault = nothing(&format!("the dressing has no variant \"{}\"", Words::new(variant)), At::file(dressing.name.at.file.clone()));
            return Err(vec![fault.right(near_or_all(variant, known, "no variant: it has none"))]);
        }
        let own = dressing.sizes.iter().find(|told| told.value == first.size).cloned();
        let size = own.unwrap_or_else(|| Told::new(first.size.clone(), dressing.name.at.clone()));
        Ok(Sitting { bench, file: dressing.name.at.file.clone(), size, variant })
    }

    fn card(&self, dressing: &Dressing) -> Result<Card, Vec<Diagnostic>> {
        card::work(dressing, &self.size, self.variant.as_deref(), None, &self.bench.shelf)
    }

    fn read(&self, text: String) -> Result<State, String> {
        let (source, map, dressing) = edit::read_back(self.bench, &self.file, text)?;
        let card =
            self.card(&dressing).map_err(|faults| format!("then {}", faults.first().map_or("the card cannot be worked", |fault| fault.what.as_str())))?;
        Ok(State { source, map, dressing, card })
    }

    /// Every length in turn, those that others hang on first.
    fn worked(&self, measured: &[Measured], before: &State) -> Result<Worked, Refused> {
        let measured = in_turn(self.looked_at(measured, before)?, &before.card.sheet);
        let mut changes = Vec::new();
        let mut after: Option<State> = None;
        for one in &measured {
            let state = after.as_ref().unwrap_or(before);
            let now = state.mm(&one.key).unwrap_or(one.was_mm);
            if !near(now, one.is_mm) {
                let (change, next) = self.anew(state, one, now)?;
                changes.push(change);
                after = Some(next);
            }
        }
        Ok(Worked { measured, changes, after })
    }

    /// What was measured, each once, held against the card it was measured by.
    fn looked_at(&self, measured: &[Measured], before: &State) -> Result<Vec<Measured>, Refused> {
        let mut all: Vec<Measured> = Vec::new();
        for one in measured {
            let key = Words::new(&one.key);
            let cannot = |why: String| nothing(&why, At::file(self.file.clone()));
            if one.size != self.size.value || one.variant.as_deref().map(words::fold) != self.variant {
                return Err(cannot(format!("\"{key}\" was measured on another fly")).right("the lengths of one size and variant at a time").into());
            }
            let Some(was) = before.mm(&one.key) else {
                let known = before.card.sheet.keys().filter(|key| is_of(&before.card, key, LENGTHS));
                return Err(cannot(format!("the card has no length \"{key}\"")).right(near_or_all(&one.key, known, "a length of the card")).into());
            };
            if !(one.is_mm.is_finite() && one.is_mm > NEAR && one.is_mm <= MOST) {
                return Err(cannot(format!("\"{key}\" cannot be {} mm", one.is_mm)).right("a length measured, over 0.05 mm and up to a metre").into());
            }
            if !near(was, one.was_mm) {
                let why = format!("\"{key}\" is {was:.1} mm on the card now, not {:.1} mm as when it was measured", one.was_mm);
                return Err(cannot(why).right("measure against the card as it is now").into());
            }
            match all.iter().find(|other| other.key == one.key) {
                None => all.push(one.clone()),
                Some(other) if near(other.is_mm, one.is_mm) => {}
                Some(other) => {
                    let why = format!("\"{key}\" was measured twice, {:.1} mm and {:.1} mm", other.is_mm, one.is_mm);
                    return Err(cannot(why).right("one figure for one length").into());
                }
            }
        }
        Ok(all)
    }

    /// Says one rule anew.
    fn anew(&self, state: &State, one: &Measured, now: f64) -> Result<(Change, State), Refused> {
        let parts = self.parts(&state.dressing, &self.size, self.variant.as_deref());
        let (name, field) = one.key.rsplit_once('.').unwrap_or_default();
        let Some(part) = parts.iter().find(|part| part.name.value == name) else {
            let fault = nothing(&format!("\"{}\" is no length of a part", Words::new(&one.key)), At::file(self.file.clone()));
            return Err(fault.right("the lengths of the parts; those of the hook stand in hooks.yaml").into());
        };
        let rule = rule_of(part, field)?;
        let cannot = |why: &str| nothing(&format!("\"{}\" {why}", one.key), rule.at.clone());
        let by_hand = |why: &str| -> Refused { cannot(why).right(format!("change `{}:` yourself so that it comes to {:.1} mm", rule.key, one.is_mm)).into() };
        let (spot, old) = spot(state, &rule).map_err(|why| by_hand(&why))?;
        let names = state.dressing.part_names();
        let parent = part.name.at.parent();
        let write = |text: &str| match &spot {
            Spot::Here(range) => self.read(spliced(&state.source.text, range, text)).map_err(|why| by_hand(&format!("cannot be changed to `{text}`: {why}"))),
            Spot::Custom => {
                let line = fill::Line { key: rule.key, text: text.to_owned(), source: String::new() };
                let of_part = fill::OfPart { name: name.to_owned(), at: parent.clone(), lines: vec![line] };
                let insert = edit::into_part(&state.source, &state.map, &of_part)
                    .map_err(|mut faults| faults.pop().map_or_else(|| by_hand("cannot be put in"), Box::new))?;
                let (whole, _) = edit::put_in(&state.source.text, &[&insert]);
                self.read(whole).map_err(|why| by_hand(&format!("cannot be written as `{text}`: {why}")))
            }
        };
        let (new, next) = match &rule.says {
            Says::Length(said, end) => {
                let own = state.mm(&rule.own).ok_or_else(|| by_hand("has no figure of its own"))?;
                let wanted = own + one.is_mm - now;
                let rule = Length::read(&old, &names).ok().filter(|read| read == said).and_then(|said| {
                    let new = anew::length(&said, *end, own, wanted).filter(|_| wanted > 0.0)?;
                    anew::length_text(&old, &said, &new, &names)
                });
                let new = rule.ok_or_else(|| by_hand("cannot be said by the same rule"))?;
                let next = write(&new)?;
                (new, next)
            }
            Says::Place(said) => self.reached(state, one, now, (said, &old, &names), &write)?.ok_or_else(|| by_hand("cannot be reached by the same rule"))?,
        };
        let comes_to = next.mm(&one.key).filter(|mm| near(*mm, one.is_mm));
        if comes_to.is_none() {
            let got = next.mm(&one.key).map_or_else(|| "nothing".to_owned(), |mm| format!("{mm:.2} mm"));
            return Err(by_hand(&format!("would come to {got} by `{}: {new}`, not to what was measured", rule.key)));
        }
        if matches!(spot, Spot::Custom) {
            self.same_custom(&state.dressing, name, field, &old).map_err(|why| by_hand(&why))?;
        }
        Ok((change(one, &rule, &spot, (&old, new), &parent), next))
    }

    /// Tries places until the tip reaches what was measured.
    fn reached(
        &self,
        state: &State,
        one: &Measured,
        now: f64,
        (said, old, names): (&Place, &str, &[&str]),
        write: &impl Fn(&str) -> Result<State, Refused>,
    ) -> Result<Option<(String, State)>, Refused> {
        let Some(rule) = Place::read(old, names).ok().filter(|read| read == said) else { return Ok(None) };
        // Toward the bend where the tip lies behind the tie-in, else toward the eye.
        let sheet = &state.card.sheet;
        let ends = sheet.find(&one.key).map(|fig| &sheet.at(fig).origin);
        let sign = match ends {
            Some(Origin::Worked { inputs, .. }) => match inputs.as_slice() {
                [tip, tied_in] if sheet.value(*tip) < sheet.value(*tied_in) => -1.0,
                _ => 1.0,
            },
            _ => 1.0,
        };
        let mut by = sign * (one.is_mm - now);
        for _ in 0..TRIES {
            let Some(text) = anew::place(&rule, by).and_then(|new| anew::place_text(old, &rule, &new, names)) else { return Ok(None) };
            let next = write(&text)?;
            let Some(got) = next.mm(&one.key) else { return Ok(None) };
            if near(got, one.is_mm) {
                return Ok(Some((text, next)));
            }
            by += sign * (one.is_mm - got);
        }
        Ok(None)
    }

    fn parts(&self, dressing: &Dressing, size: &Told<Size>, variant: Option<&str>) -> Vec<Part> {
        fill::completed(dressing, size, variant, &self.bench.shelf).unwrap_or_default()
    }

    /// A line of the part holds for every size and variant; where the custom says something else there, it must not.
    fn same_custom(&self, dressing: &Dressing, name: &str, field: &str, text: &str) -> Result<(), String> {
        for (variant, size) in cards(dressing) {
            let parts = self.parts(dressing, size, variant);
            let rule = parts.iter().find(|part| part.name.value == name).and_then(|part| rule_of(part, field).ok());
            let other = rule.and_then(|rule| rule.at.rule.clone()).filter(|rule| rule.text != text);
            if let Some(other) = other {
                let of = variant.map_or_else(String::new, |variant| format!(" \"{variant}\""));
                return Err(format!("is left to the custom, which says `{}` of size {}{of}; a line of the part would hold there too", other.text, size.value));
            }
        }
        Ok(())
    }
}

/// Whether two lengths are one as they are measured.
fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= NEAR + SAME
}

/// Every card of a dressing: each size of each variant and of none.
fn cards(dressing: &Dressing) -> impl Iterator<Item = (Option<&str>, &Told<Size>)> {
    let variants = std::iter::once(None).chain(dressing.variants.keys().map(|name| Some(name.as_str())));
    variants.flat_map(|variant| dressing.sizes.iter().map(move |size| (variant, size)))
}

/// Whether a key of the sheet is one of these of a part.
fn is_of(card: &Card, key: &str, fields: &[&str]) -> bool {
    key.rsplit_once('.').is_some_and(|(part, field)| fields.contains(&field) && card.parts.iter().any(|own| own.name == part))
}

/// Whether a figure is worked from one of these, near or far.
fn leans_on(sheet: &Geometry, fig: Fig, on: &HashSet<Fig>) -> bool {
    let (mut seen, mut left) = (HashSet::new(), vec![fig]);
    while let Some(fig) = left.pop() {
        if on.contains(&fig) {
            return true;
        }
        if let Origin::Worked { inputs, .. } = &sheet.at(fig).origin {
            left.extend(inputs.iter().filter(|input| seen.insert(**input)));
        }
    }
    false
}

/// The lengths that others hang on first.
fn in_turn(mut left: Vec<Measured>, sheet: &Geometry) -> Vec<Measured> {
    let mut done = Vec::new();
    while !left.is_empty() {
        let hangs = |nth: usize| {
            let others = left.iter().enumerate().filter(|(other, _)| *other != nth).filter_map(|(_, other)| sheet.find(&other.key)).collect();
            left.get(nth).and_then(|one| sheet.find(&one.key)).is_some_and(|fig| leans_on(sheet, fig, &others))
        };
        let next = (0..left.len()).find(|nth| !hangs(*nth)).unwrap_or(0);
        done.push(left.remove(next));
    }
    done
}
