//! The rule that says a length of a part, and where it stands in the file.

use super::super::edit;
use super::super::node::Node;
use super::{LENGTHS, Measured, Refused, State, nothing};
use crate::diagnostic::{At, Key, Told};
use crate::dressing::anew::End;
use crate::dressing::{Clip, Length, Part, Place, Way};
use crate::measure::Words;
use std::ops::Range;

/// What was changed.
pub(super) struct Change {
    /// Key of the sheet.
    pub(super) key: String,
    /// The key of the rule's own figure, where the length is made up of several.
    pub(super) own: String,
    /// Where, if not in the part itself.
    pub(super) place: String,
    /// The rule before and now, with its key where that is not the last word of the sheet's.
    pub(super) old: String,
    pub(super) new: String,
    /// What else is to be said.
    pub(super) besides: &'static str,
    /// The path of the value.
    pub(super) path: Vec<Key>,
}

/// A rule of a part.
pub(super) struct Rule {
    /// Its key in the file.
    pub(super) key: &'static str,
    pub(super) at: At,
    pub(super) says: Says,
    /// The key of the sheet its own figure has.
    pub(super) own: String,
}

pub(super) enum Says {
    Length(Length, Option<End>),
    Place(Place),
}

/// Where a rule's text stands.
pub(super) enum Spot {
    /// These bytes.
    Here(Range<usize>),
    /// Nowhere: the custom says it.
    Custom,
}

/// The rule that says a figure of a part.
pub(super) fn rule_of(part: &Part, field: &str) -> Result<Rule, Refused> {
    let (name, fields) = (&part.name.value, &part.fields);
    let own = |field: &str| format!("{name}.{field}");
    let rule = |key: &'static str, told: &Option<Told<Length>>, end: Option<End>, own: String| {
        told.as_ref().map(|told| Rule { key, at: told.at.clone(), says: Says::Length(told.value.clone(), end), own })
    };
    let found = match field {
        "length" if fields.length.is_some() => rule("length", &fields.length, None, own(field)),
        "length" => match &fields.reach {
            Some(told) => Some(Rule { key: "reach", at: told.at.clone(), says: Says::Place(told.value.clone()), own: own(field) }),
            None => rule("beyond", &fields.beyond, None, own("beyond")),
        },
        "fibre" => rule("fibre", &fields.fibre, None, own(field)),
        "width" => rule("width", &fields.width, None, own(field)),
        "thick" => rule("thick", &fields.thick, None, own(field)),
        "thick-start" => rule("thick", &fields.thick, Some(End::First), own(field)),
        "thick-end" => rule("thick", &fields.thick, Some(End::Second), own(field)),
        "beyond" => rule("beyond", &fields.beyond, None, own(field)),
        "loop" => rule("loop", &fields.loop_length, None, own(field)),
        "clip" => match &fields.clip {
            Some(Told { value: Clip::To(length), at }) => Some(Rule { key: "clip", at: at.clone(), says: Says::Length(length.clone(), None), own: own(field) }),
            _ => None,
        },
        _ => None,
    };
    found.ok_or_else(|| {
        let spans = fields.over.is_some() || fields.under.is_some() || fields.to.is_some();
        let flat = fields.way.as_ref().is_some_and(|way| matches!(way.value, Way::Slip | Way::Strip | Way::Sheet));
        let (why, right) = match field {
            "length" if spans => (
                "is the way from one place to another, and no rule of its own",
                format!("change `from:` and `to:` yourself, or those of the part it goes over{}", if flat { "; or give it a `length:`" } else { "" }),
            ),
            _ if LENGTHS.contains(&field) => (
                "is not said by the dressing: it comes from the material, or from other figures",
                format!("write `{field}:` into the part yourself, or change the material in materials.yaml"),
            ),
            _ => ("is no length that a part says", "a length of the card, such as `tail.length` or `hackle.fibre`".to_owned()),
        };
        nothing(&format!("\"{name}.{}\" {why}", Words::new(field)), part.name.at.clone()).right(right).into()
    })
}

/// Where a rule's text stands, and the text.
pub(super) fn spot(state: &State, rule: &Rule) -> Result<(Spot, String), String> {
    if let Some(ruled) = &rule.at.rule {
        return Ok((Spot::Custom, ruled.text.clone()));
    }
    let scalar = match edit::node(&state.map, &rule.at.path) {
        Some(Node::Text(scalar)) => scalar,
        _ => return Err("is not where it was".to_owned()),
    };
    let start = scalar.start.filter(|start| state.source.text.get(*start..).is_some_and(|rest| rest.starts_with(&scalar.text)));
    let Some(start) = start.filter(|_| !scalar.text.contains(['\n', '\r'])) else {
        return Err("is written over several lines, by an anchor, or with signs for letters".to_owned());
    };
    // A length may be only the end of a value: `to 0.8 gap`.
    let from = rule.at.within.as_ref().map_or(0, |within| within.start);
    let text = scalar.text.get(from..).ok_or("is not where it was")?;
    Ok((Spot::Here(start + from..start + scalar.text.len()), text.to_owned()))
}

pub(super) fn spliced(text: &str, range: &Range<usize>, with: &str) -> String {
    format!("{}{with}{}", text.get(..range.start).unwrap_or_default(), text.get(range.end..).unwrap_or_default())
}

pub(super) fn change(one: &Measured, rule: &Rule, spot: &Spot, (old, new): (&str, String), part: &At) -> Change {
    let plain = rule.key == "thick" || one.key.ends_with(&format!(".{}", rule.key));
    let named = if plain { String::new() } else { format!("{} ", rule.key) };
    let name = |nth: usize| match rule.at.path.get(nth) {
        Some(Key::Name(name)) => name.as_str(),
        _ => "",
    };
    let place = match (spot, name(0), name(2)) {
        (Spot::Here(_), "at-size", _) => format!(" (at-size {})", name(1)),
        (Spot::Here(_), "variants", "at-size") => format!(" (variant {}, at-size {})", name(1), name(3)),
        (_, "variants", _) => format!(" (variant {})", name(1)),
        _ => String::new(),
    };
    let besides = match (spot, &rule.says) {
        (Spot::Custom, _) => "; the custom said it before, now the part does",
        (_, Says::Length(Length::Between(..), _)) => "; the range is as wide as it was",
        _ => "",
    };
    let path = match spot {
        Spot::Here(_) => rule.at.path.to_vec(),
        Spot::Custom => part.key(rule.key).path.to_vec(),
    };
    Change { key: one.key.clone(), own: rule.own.clone(), place, old: format!("{named}{}", old.trim()), new: format!("{named}{}", new.trim()), besides, path }
}
