//! The custom of each kind of fly: proportions by part, from published tables and the trade's own habit.
//!
//! The figures stand in `customs.csv`, one row a rule with its source, so that they can be mended without touching
//! the program. Of several rows for one thing the first that can be had is the one used; all together are the range a
//! dressing is held against. Books write of kinds and parts in many words, so both are matched without case, a
//! hyphen counts as a space, and a few names of one thing are known.

use crate::dressing::{Length, Place, Way};
use crate::measure::{Fraction, words};
use std::collections::HashMap;
use std::sync::LazyLock;

const CUSTOMS: &str = include_str!("customs.csv");

/// The kind whose rows hold for every fly.
const ANY: &str = "any fly";

/// A rule as meant, read once: a bench asks for it on every card.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Meaning {
    /// A place, with parts by the table's own names.
    Place(Place),
    /// A length, with parts by the table's own names.
    Length(Length),
    /// One number, or the two ends of a range.
    Numbers(Fraction, Fraction),
    /// A word or a name.
    Word,
}

/// What a row of `customs.csv` says.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The kind of fly.
    pub kind: &'static str,
    /// The part; empty where the row speaks of the kind itself.
    pub part: &'static str,
    /// It holds only for a part that goes on so.
    pub goes_on: Option<Way>,
    /// The key of the part it says.
    pub field: &'static str,
    /// As it would stand in a dressing.
    pub rule: &'static str,
    /// Where it was published; else `from memory` or `common practice, no source`.
    pub source: &'static str,
    pub(super) meaning: Meaning,
}

impl Row {
    /// Whether it was published.
    pub fn is_published(&self) -> bool {
        !self.source.starts_with("from memory") && !self.source.starts_with("common practice")
    }

    /// Whose custom it is, and where it was published.
    pub fn told(&self) -> String {
        format!("custom of {} ({})", self.kind, self.source)
    }
}

static TABLE: LazyLock<Vec<Row>> = LazyLock::new(|| rows(CUSTOMS).filter_map(row).collect());

/// The rows by kind: a card asks for many, and a bench has many cards.
static BY_KIND: LazyLock<HashMap<&'static str, Vec<&'static Row>>> = LazyLock::new(|| {
    let mut kinds: HashMap<&'static str, Vec<&'static Row>> = HashMap::new();
    for row in TABLE.iter() {
        kinds.entry(row.kind).or_default().push(row);
    }
    kinds
});

/// Every name of a kind, a hyphen being a space, with the kind.
static NAMES: LazyLock<HashMap<String, &'static str>> = LazyLock::new(|| {
    let also = TABLE.iter().filter(|row| row.part.is_empty() && row.field == "also").map(|row| (plain(row.rule), row.kind));
    // The kind's own name stands before another's other name.
    also.chain(TABLE.iter().map(|row| (plain(row.kind), row.kind))).filter(|(_, kind)| *kind != ANY).collect()
});

/// Names of parts that the table speaks of.
static PARTS: LazyLock<Vec<&'static str>> = LazyLock::new(|| {
    let mut parts: Vec<&str> = rows(CUSTOMS).filter_map(|row| row.get(1).copied()).filter(|part| !part.is_empty()).collect();
    parts.sort_unstable();
    parts.dedup();
    parts
});

/// Other names of parts.
const ALSO: &[(&str, &str)] = &[
    ("abdomen", "body"),
    ("under body", "body"),
    ("ribbing", "rib"),
    ("tails", "tail"),
    ("whisks", "tail"),
    ("whisk", "tail"),
    ("wings", "wing"),
    ("beard", "throat"),
    ("beard hackle", "throat"),
    ("throat hackle", "throat"),
    ("false hackle", "throat"),
    ("leg", "legs"),
    ("wingcase", "wing case"),
    ("wing cases", "wing case"),
    ("wing pads", "wing case"),
    ("shellback", "back"),
    ("shell back", "back"),
    ("back strip", "back"),
    ("shell", "back"),
    ("trailing shuck", "shuck"),
    ("goldhead", "bead"),
    ("gold head", "bead"),
    ("bead head", "bead"),
    ("beads", "bead"),
    ("lead", "weight"),
    ("weighting", "weight"),
    ("under weight", "weight"),
    ("underweight", "weight"),
    ("tip", "tag"),
    ("wing post", "post"),
    ("parachute post", "post"),
    ("body hackle", "palmer hackle"),
    ("palmered hackle", "palmer hackle"),
    ("palmer", "palmer hackle"),
    ("collar", "hackle"),
    ("collar hackle", "hackle"),
    ("parachute hackle", "hackle"),
];

fn row(fields: Vec<&'static str>) -> Option<Row> {
    match fields.as_slice() {
        [kind, part, goes_on, field, rule, source] => Some(Row { kind, part, goes_on: way(goes_on)?, field, rule, source, meaning: meaning(field, rule)? }),
        _ => None,
    }
}

fn meaning(field: &str, rule: &str) -> Option<Meaning> {
    Some(match field {
        "at" | "from" | "to" | "reach" => Meaning::Place(Place::read(rule, &PARTS).ok()?),
        "length" | "fibre" | "thick" | "width" => Meaning::Length(Length::read(rule, &PARTS).ok()?),
        "count" | "turns" => match rule.split_once(" to ") {
            Some((low, high)) => Meaning::Numbers(Fraction::parse(low)?, Fraction::parse(high)?),
            None => Fraction::parse(rule).map(|one| Meaning::Numbers(one, one))?,
        },
        _ => Meaning::Word,
    })
}

/// The rows of a table that stands in the program: comments and the line of the columns' names left out. A field
/// with a comma in it stands in double quotes; no field has a quote of its own.
pub(super) fn rows(table: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    table.lines().filter(|line| !line.starts_with('#') && !line.is_empty()).skip(1).map(fields)
}

fn fields(line: &'static str) -> Vec<&'static str> {
    let mut quoted = false;
    let between = |c: char| {
        quoted ^= c == '"';
        c == ',' && !quoted
    };
    line.split(between).map(|field| field.trim_matches('"')).collect()
}

/// A way of going on by its word; `Some(None)` where no word stands.
pub(super) fn way(word: &str) -> Option<Option<Way>> {
    if word.is_empty() { Some(None) } else { Way::ALL.iter().find(|(own, _)| *own == word).map(|(_, way)| Some(*way)) }
}

/// A name without case, a hyphen being a space.
fn plain(name: &str) -> String {
    words::fold(&name.replace('-', " "))
}

/// The kinds of fly that have a custom, in the order of the table.
pub fn kinds() -> Vec<&'static str> {
    let mut kinds = Vec::new();
    for row in TABLE.iter().filter(|row| row.kind != ANY) {
        if !kinds.contains(&row.kind) {
            kinds.push(row.kind);
        }
    }
    kinds
}

/// The kind a name means, if it is the name of one.
fn kind_of(name: &str) -> Option<&'static str> {
    NAMES.get(&plain(name)).copied()
}

/// All rows of a kind.
pub(super) fn of(kind: &str) -> impl Iterator<Item = &'static Row> {
    BY_KIND.get(kind).into_iter().flatten().copied()
}

/// What the table calls a part: by its own name, else by its last word (`oval rib` is a rib).
pub fn part_of(name: &str) -> Option<&'static str> {
    let name = plain(name);
    let known = |name: &str| {
        let own = PARTS.iter().copied().find(|part| *part == name);
        own.or_else(|| ALSO.iter().find(|(also, _)| *also == name).map(|(_, part)| *part))
    };
    known(&name).or_else(|| known(name.rsplit(' ').next()?))
}

/// Names of parts the table speaks of.
#[cfg(test)]
pub(super) fn part_names() -> &'static [&'static str] {
    &PARTS
}

/// The custom a dressing falls under: that of its kind, of the kind this one is like, and so on.
#[derive(Clone, Debug)]
pub struct Custom {
    kinds: Vec<&'static str>,
}

impl Custom {
    /// The custom of a kind; what it is said to be like comes first.
    ///
    /// ```
    /// use herl::card::custom::Custom;
    /// assert_eq!(Custom::of("Bead-Head Nymph", None).name(), Some("bead-head"));
    /// assert_eq!(Custom::of("mayfly of my own", Some("nymph")).name(), Some("nymph"));
    /// assert_eq!(Custom::of("mayfly of my own", None).name(), None);
    /// ```
    pub fn of(kind: &str, like: Option<&str>) -> Self {
        let mut kinds: Vec<&'static str> = Vec::new();
        for start in like.into_iter().chain([kind]).filter_map(kind_of) {
            let mut next = Some(start);
            while let Some(kind) = next.filter(|kind| !kinds.contains(kind)) {
                kinds.push(kind);
                next = of(kind).find(|row| row.part.is_empty() && row.field == "like").and_then(|row| kind_of(row.rule));
            }
        }
        kinds.push(ANY);
        Custom { kinds }
    }

    /// The kind it is the custom of; `None` where there is none for it.
    pub fn name(&self) -> Option<&'static str> {
        self.kinds.first().copied().filter(|kind| *kind != ANY)
    }

    /// The rows that say a key of a part that goes on in this way, of the nearest kind that has any.
    pub fn rows(&self, part: &str, field: &str, goes_on: Option<Way>) -> Vec<&'static Row> {
        let fits = |row: &&'static Row| row.part == part && row.field == field && (row.goes_on.is_none() || row.goes_on == goes_on);
        self.kinds.iter().map(|kind| of(kind).filter(fits).collect::<Vec<_>>()).find(|rows| !rows.is_empty()).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read_and_names_its_source() {
        assert!(TABLE.len() > 400, "only {} rows", TABLE.len());
        assert_eq!(TABLE.len(), rows(CUSTOMS).count(), "a row was not understood");
        assert!(!CUSTOMS.contains("\"\""), "no field has a quote of its own");
        for row in TABLE.iter() {
            assert!(!row.source.is_empty() && !row.rule.is_empty(), "{row:?}");
            assert!(row.part.is_empty() == matches!(row.field, "like" | "also"), "{row:?}");
            if row.field == "like" {
                assert!(kind_of(row.rule).is_some(), "{row:?}");
            }
        }
    }

    #[test]
    fn every_kind_a_book_writes_of_is_there() {
        for kind in [
            "upwinged dry",
            "parachute",
            "thorax",
            "spider",
            "winged wet",
            "nymph",
            "bead-head",
            "hair-wing sedge",
            "streamer",
            "palmer",
            "spent spinner",
            "emerger",
            "shrimp",
            "jig nymph",
            "hair-wing",
            "tube",
            "foam beetle",
        ] {
            assert_eq!(Custom::of(kind, None).name(), Some(kind));
        }
        assert!(kinds().len() >= 17);
    }

    #[test]
    fn a_part_is_known_by_other_names_and_by_its_last_word() {
        assert_eq!(part_of("Abdomen"), Some("body"));
        assert_eq!(part_of("beard"), Some("throat"));
        assert_eq!(part_of("ribbing"), Some("rib"));
        assert_eq!(part_of("goldhead"), Some("bead"));
        assert_eq!(part_of("oval rib"), Some("rib"));
        assert_eq!(part_of("front hackle"), Some("hackle"));
        assert_eq!(part_of("wing-case"), Some("wing case"));
        assert_eq!(part_of("egg"), None);
    }

    #[test]
    fn a_kind_that_is_like_another_says_what_it_does_not_leave_to_it() {
        let parachute = Custom::of("parachute", None);
        assert_eq!(parachute.rows("hackle", "fibre", None)[0].rule, "1/2 overall");
        assert_eq!(parachute.rows("tail", "length", None)[0].kind, "upwinged dry");
        assert!(parachute.rows("egg", "length", None).is_empty());
        let wing = |way| Custom::of("winged wet", None).rows("wing", "count", Some(way))[0].rule;
        assert_eq!((wing(Way::Slip), wing(Way::Bunch)), ("2", "30"));
    }
}
