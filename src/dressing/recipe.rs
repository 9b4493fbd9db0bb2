//! The dressing itself: the recipe of a fly.

use super::{Change, Part, PartFields, Size, SizeRule, Step, Time};
use crate::diagnostic::{At, Diagnostic, Told};
use indexmap::IndexMap;

/// A dressing.
#[derive(Clone, Debug, PartialEq)]
pub struct Dressing {
    /// Its name.
    pub name: Told<String>,
    /// Its kind, free text.
    pub kind: Told<String>,
    /// The kind whose custom it borrows.
    pub like: Option<Told<String>>,
    /// Its revision, from 1.
    pub revision: u32,
    /// The hook chart it is tied on.
    pub hook: Told<String>,
    /// The sizes it is tied in.
    pub sizes: Vec<Told<Size>>,
    /// Silks; the first is the tying silk.
    pub silks: Vec<Silk>,
    /// How near the next fly must be: mm each way.
    pub within: Option<Told<f64>>,
    /// Parts in tying order.
    pub parts: Vec<Part>,
    /// Changes by size.
    pub at_size: Vec<Change>,
    /// Variants by folded name.
    pub variants: IndexMap<String, Variant>,
    /// Steps as written; empty when left out.
    pub steps: Vec<Step>,
    /// Share of flies that do not pass.
    pub rejects: Option<Told<rust_decimal::Decimal>>,
    /// One figure for the whole time.
    pub time: Option<Told<Time>>,
    /// A remark.
    pub note: Option<String>,
}

/// A silk, for the whole fly or for a part of the work.
#[derive(Clone, Debug, PartialEq)]
pub struct Silk {
    /// What it is for; empty for all.
    pub for_what: String,
    /// The material.
    pub of: Told<String>,
}

/// A variant: what it replaces, adds and leaves out.
#[derive(Clone, Debug, PartialEq)]
pub struct Variant {
    /// Its name as written.
    pub name: Told<String>,
    /// What it replaces.
    pub replace: Vec<(Told<String>, PartFields)>,
    /// Parts it adds, each after the part named (`None`: at the end).
    pub add: Vec<(Part, Option<Told<String>>)>,
    /// Parts it leaves out.
    pub leave_out: Vec<Told<String>>,
    /// Its own changes by size.
    pub at_size: Vec<Change>,
    /// Its own hook.
    pub hook: Option<Told<String>>,
    /// Its own silk.
    pub silk: Option<Told<String>>,
}

impl Variant {
    /// Puts the parts it adds among others.
    pub fn put_in(&self, parts: &mut Vec<Part>) {
        for (part, after) in &self.add {
            let place = after.as_ref().and_then(|after| parts.iter().position(|p| p.name.value == after.value)).map_or(parts.len(), |i| i + 1);
            parts.insert(place, part.clone());
        }
    }
}

impl Dressing {
    /// The names of all parts, those that variants add among them.
    pub fn part_names(&self) -> Vec<&str> {
        let own = self.parts.iter().map(|part| part.name.value.as_str());
        own.chain(self.variants.values().flat_map(|variant| variant.add.iter().map(|(part, _)| part.name.value.as_str()))).collect()
    }

    /// The parts as they are for one size and variant (folded name). Which change wins: the dressing, then the
    /// variant, then at-size, the variant's own at-size last; one size beats a range beats `and smaller`.
    ///
    /// # Errors
    /// Two changes that tie, and a variant's change to a part that it leaves out.
    pub fn parts_for(&self, size: &Size, old_scale: bool, variant: Option<&str>) -> Result<Vec<Part>, Vec<Diagnostic>> {
        let mut parts = self.parts.clone();
        let mut faults = Vec::new();
        let mut left_out: Vec<&Told<String>> = Vec::new();
        let chosen = variant.and_then(|name| self.variants.get(name));
        if let Some(variant) = chosen {
            variant.put_in(&mut parts);
            for gone in &variant.leave_out {
                parts.retain(|part| part.name.value != gone.value);
                left_out.push(gone);
            }
            for (name, fields) in &variant.replace {
                lay_over(&mut parts, name, fields, &left_out, &mut faults);
            }
        }
        // The dressing's own changes are for all its variants, whether they keep the part or not; a variant that
        // leaves a part out and changes it contradicts itself.
        let own_sets = [(Some(&self.at_size), &[][..]), (chosen.map(|variant| &variant.at_size), left_out.as_slice())];
        for (changes, left_out) in own_sets.into_iter().filter_map(|(changes, left_out)| Some((changes?, left_out))) {
            let mut fitting: Vec<&Change> = changes.iter().filter(|change| change.rule.fits(size, old_scale)).collect();
            fitting.sort_by_key(|change| change.rule.strength());
            tied(&fitting, &mut faults);
            for change in fitting {
                for (name, fields) in &change.parts {
                    lay_over(&mut parts, name, fields, left_out, &mut faults);
                }
            }
        }
        if faults.is_empty() { Ok(parts) } else { Err(faults) }
    }
}

fn lay_over(parts: &mut [Part], name: &Told<String>, fields: &PartFields, left_out: &[&Told<String>], faults: &mut Vec<Diagnostic>) {
    if let Some(part) = parts.iter_mut().find(|part| part.name.value == name.value) {
        part.fields.overlay(fields);
    } else if let Some(gone) = left_out.iter().find(|gone| gone.value == name.value) {
        faults.push(
            Diagnostic::error(format!("\"{}\" is changed here, but the variant leaves it out", name.value), name.at.the_key())
                .also("left out here", gone.at.clone())
                .right("take away one of the two"),
        );
    }
}

/// After how many ties no more are looked for.
const MOST_TIED: usize = 100;

/// Two changes of one strength that say the same field of the same part.
fn tied(fitting: &[&Change], faults: &mut Vec<Diagnostic>) {
    for (nth, a) in fitting.iter().enumerate() {
        // Where so many tie, the first of them tell what is wrong.
        if faults.len() > MOST_TIED {
            return;
        }
        for b in fitting.iter().skip(nth + 1).filter(|b| b.rule.strength() == a.rule.strength()) {
            for (name, fields) in &a.parts {
                for (_, others) in b.parts.iter().filter(|(other, _)| other.value == name.value) {
                    let theirs = others.said();
                    for (key, at) in fields.said() {
                        if let Some((_, other)) = theirs.iter().find(|(other, _)| *other == key) {
                            let fault = Diagnostic::error(format!("two changes say `{key}` of \"{}\", and neither is the narrower", name.value), at.clone());
                            faults.push(fault.also("the other one", (*other).clone()).right("take away one of the two, or name one size"));
                        }
                    }
                }
            }
        }
    }
}

/// Where a change was told and the rule it stands under.
impl Change {
    /// The place of its rule.
    pub fn place(&self) -> &At {
        &self.at
    }
}

impl SizeRule {
    /// A narrower rule is stronger and is laid over later.
    pub fn strength(&self) -> u8 {
        match self {
            SizeRule::Open { .. } => 0,
            SizeRule::Range(..) => 1,
            SizeRule::These(_) => 2,
        }
    }
}
