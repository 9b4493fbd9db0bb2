//! A sheet that is kept: written as data, and read back with its formulas as words.
//!
//! A row is `[key, value, origin, [inputs]]`. Where figures come from is told in a list of its own, each origin once: a given
//! figure's with its unit and standing, a formula with the units it takes and gives. The unit and the standing of a worked row
//! follow from these and from its inputs, so they cannot be told otherwise than they were.

use super::{Fig, Geometry, Origin, Row, Sheet, Source, Standing, Working};
use crate::measure::{Unit, Words};
use foldhash::fast::FixedState;
use indexmap::{IndexMap, IndexSet};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de, ser};
use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::Arc;

/// More rows than this are no card's sheet; the longest dressing that can be read comes to less than a tenth of it.
const MOST_ROWS: usize = 200_000;

/// What is known of a formula that this program may not have any more: all but the function itself.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct KeptFormula {
    /// The formula in words and signs.
    pub text: String,
    /// Where it comes from.
    pub source: String,
    /// Units of the first inputs, in order.
    pub takes: Vec<Unit>,
    /// Units of the inputs after those, repeated as often as needed.
    pub then: Vec<Unit>,
    /// Unit of the result.
    pub gives: Unit,
}

/// Where figures come from.
#[derive(Serialize, Deserialize, PartialEq, Eq, Hash)]
#[serde(rename_all = "kebab-case")]
enum KeptOrigin<'a> {
    /// From where, unit, standing.
    Given(Cow<'a, str>, Unit, Standing),
    /// Text, source, takes, then, gives.
    Worked(Cow<'a, str>, Cow<'a, str>, Cow<'a, [Unit]>, Cow<'a, [Unit]>, Unit),
}

/// Key, value, place in the list of origins, inputs.
#[derive(Serialize, Deserialize)]
struct KeptRow<'a>(Cow<'a, str>, f64, usize, Cow<'a, [Fig]>);

#[derive(Serialize, Deserialize)]
struct KeptSheet<'a> {
    origins: Vec<KeptOrigin<'a>>,
    rows: Vec<KeptRow<'a>>,
}

impl Serialize for Geometry {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.rows.len() > MOST_ROWS {
            return Err(ser::Error::custom(too_many(self.rows.len())));
        }
        let mut origins = IndexSet::new();
        let mut rows = Vec::with_capacity(self.rows.len());
        for (key, row) in &self.rows {
            // JSON has no word for these, and would say nothing in their place.
            if !row.value.is_finite() {
                return Err(ser::Error::custom(format_args!("{} is not a finite figure", Words::new(key))));
            }
            let (origin, inputs) = match &row.origin {
                Origin::Given { from } => {
                    let words = match from {
                        Source::Words(words) => Cow::Borrowed(words.as_ref()),
                        Source::Told(at) => Cow::Owned(at.in_words()),
                    };
                    (KeptOrigin::Given(words, row.unit, row.standing), &[][..])
                }
                Origin::Worked { formula, inputs } => {
                    let (takes, then) = (formula.takes().into(), formula.then().into());
                    (KeptOrigin::Worked(formula.text().into(), formula.source().into(), takes, then, row.unit), inputs.as_slice())
                }
            };
            let (origin, _) = origins.insert_full(origin);
            rows.push(KeptRow(key.into(), row.value, origin, inputs.into()));
        }
        KeptSheet { origins: origins.into_iter().collect(), rows }.serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Geometry {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        read_back(KeptSheet::deserialize(deserializer)?).map_err(de::Error::custom)
    }
}

/// An origin made ready to be shared by its rows.
enum Ready {
    Given(Source, Unit, Standing),
    Worked(Arc<KeptFormula>),
}

impl From<KeptOrigin<'_>> for Ready {
    fn from(kept: KeptOrigin<'_>) -> Self {
        match kept {
            KeptOrigin::Given(from, unit, standing) => Ready::Given(Source::Words(Cow::Owned(from.into_owned())), unit, standing),
            KeptOrigin::Worked(text, source, takes, then, gives) => Ready::Worked(Arc::new(KeptFormula {
                text: text.into_owned(),
                source: source.into_owned(),
                takes: takes.into_owned(),
                then: then.into_owned(),
                gives,
            })),
        }
    }
}

fn too_many(rows: usize) -> String {
    format!("it has {rows} rows, and {MOST_ROWS} at most are kept")
}

/// The sheet; an error in words where its rows do not bear each other out.
fn read_back(kept: KeptSheet<'_>) -> Result<Geometry, String> {
    if kept.rows.len() > MOST_ROWS {
        return Err(too_many(kept.rows.len()));
    }
    let origins: Vec<Ready> = kept.origins.into_iter().map(Ready::from).collect();
    let mut sheet = Sheet { rows: IndexMap::with_capacity_and_hasher(kept.rows.len(), FixedState::default()), numbers: HashMap::default() };
    for KeptRow(key, value, origin, inputs) in kept.rows {
        let named = || Words::new(&key);
        if sheet.rows.contains_key(key.as_ref()) {
            return Err(format!("{} stands on the sheet twice", named()));
        }
        if let Some(input) = inputs.iter().find(|input| !sheet.has(**input)) {
            return Err(format!("{} is worked from row {}, which does not stand before it", named(), input.0));
        }
        let row = match origins.get(origin) {
            None => return Err(format!("{} comes from origin {origin}, and there are {}", named(), origins.len())),
            Some(Ready::Given(..)) if !inputs.is_empty() => return Err(format!("{} is given, and worked from other rows too", named())),
            Some(Ready::Given(from, unit, standing)) => Row { value, unit: *unit, standing: *standing, origin: Origin::Given { from: from.clone() } },
            Some(Ready::Worked(formula)) => {
                let (working, inputs) = (Working::Kept(formula.clone()), inputs.into_owned());
                let weakest = inputs.iter().map(|input| sheet.at(*input).standing).max();
                let Some(standing) = weakest.filter(|_| sheet.units_fit(&working, &inputs)) else {
                    return Err(format!("{} is worked from rows whose units its formula does not take", named()));
                };
                Row { value, unit: formula.gives, standing, origin: Origin::Worked { formula: working, inputs } }
            }
        };
        sheet.rows.insert(key.into_owned(), row);
    }
    Ok(sheet)
}
