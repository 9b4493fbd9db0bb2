//! One value of a file, to be asked for as what it should be. Whatever it is not is told, with its place.

use super::Faults;
use super::node::Node;
use super::reader::Reader;
use super::yaml::Source;
use super::{syntax, traps};
use crate::diagnostic::{At, Diagnostic, Told, near_or_all};
use crate::dressing::{Per, Price, Size, Time};
use crate::measure::{Dimension, Fault, Fraction, Quantity, Unit};
use rust_decimal::Decimal;

/// Within what a figure must lie.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bounds {
    /// Nought is allowed.
    pub(crate) nought: bool,
    /// The most, in the unit asked for.
    pub(crate) most: f64,
}

impl Bounds {
    /// Lengths of hooks, parts and strands across: above nought, a metre at most.
    pub(crate) const PART: Bounds = Bounds { nought: false, most: 1000.0 };
    /// Measures of a hook: the longest for pike and sea stay below.
    pub(crate) const HOOK: Bounds = Bounds { nought: false, most: 150.0 };
    /// Lengths that may be nought.
    pub(crate) const WASTE: Bounds = Bounds { nought: true, most: 1000.0 };
    /// Lengths of pieces off a spool.
    pub(crate) const PIECE: Bounds = Bounds { nought: false, most: 100_000.0 };
    /// Times up to a month, in seconds.
    pub(crate) const TIME: Bounds = Bounds { nought: true, most: 31.0 * 86_400.0 };
}

/// A value and its place.
#[derive(Clone)]
pub(crate) struct Value<'a> {
    pub(crate) source: &'a Source,
    pub(crate) node: &'a Node,
    pub(crate) at: At,
    pub(crate) faults: &'a Faults,
}

impl<'a> Value<'a> {
    /// Tells a fault of this value.
    pub(crate) fn fault(&self, fault: Fault) {
        self.faults.push(Diagnostic::error(fault.what, self.at.bytes(fault.within)).right_if(fault.right));
    }

    /// Tells that this value is wrong.
    pub(crate) fn wrong(&self, what: impl Into<String>, right: impl Into<String>) {
        self.faults.push(Diagnostic::error(what, self.at.clone()).right(right));
    }

    /// Tells what is wrong with a value that was read already, unless it is right.
    pub(crate) fn told<T>(&self, read: Result<T, Fault>) -> Option<Told<T>> {
        read.map_err(|fault| self.fault(fault)).ok().map(|value| Told::new(value, self.at.clone()))
    }

    /// Text.
    pub(crate) fn text(&self) -> Option<Told<String>> {
        let scalar = match self.node {
            Node::Text(scalar) => scalar,
            Node::Nothing => return None, // told where its key was read
            Node::List(_) | Node::Map(_) => {
                let sign = self.sign();
                match sign {
                    Some(sign @ ('{' | '[')) => {
                        self.wrong(
                            format!("a text that begins with {sign} is not read as text"),
                            "take the brackets away, or put the whole text in quotes: \"...\"",
                        );
                    }
                    _ => self.wrong("one value is wanted here, not several", "text or a figure on the line of its key"),
                }
                return None;
            }
        };
        let anchored = match scalar.start {
            Some(start) => syntax::word_before(&self.source.text, start).starts_with('&'),
            None => matches!(self.sign(), Some('&' | '*')),
        };
        if anchored {
            self.wrong("a text that begins with & or * loses its first word", "put the whole text in quotes: \"...\"");
            return None;
        }
        if scalar.text.trim().is_empty() {
            self.wrong("nothing stands between the quotes", "a word, or take the line away");
            return None;
        }
        Some(Told::new(scalar.text.clone(), self.at.clone()))
    }

    /// The sign the value begins with in the file.
    fn sign(&self) -> Option<char> {
        self.source.from(&self.at)?.chars().next()
    }

    /// Text that a dresser may write freely: if a `#` cuts it short, that is pointed out.
    pub(crate) fn prose(&self) -> Option<Told<String>> {
        let told = self.text()?;
        if let Node::Text(scalar) = self.node
            && let Some(start) = scalar.start
            && let Some(after) = self.source.text.get(start + scalar.text.len()..)
            && let Some(line) = after.split('\n').next()
            && line.trim_start().starts_with('#')
            && line.starts_with([' ', '\t'])
        {
            let sign = start + scalar.text.len() + line.len() - line.trim_start().len();
            let (line, column) = syntax::line_and_column(&self.source.text, sign);
            self.faults.push(
                Diagnostic::advice("what follows a # is a comment and no part of the text before it", self.at.line(line, column))
                    .right("nothing to do if it is meant so; else put the whole text in quotes"),
            );
        }
        Some(told)
    }

    /// Whether it is a list.
    pub(crate) fn is_list(&self) -> bool {
        matches!(self.node, Node::List(_))
    }

    /// Whether it is a mapping.
    pub(crate) fn is_map(&self) -> bool {
        matches!(self.node, Node::Map(_))
    }

    /// Keys with values.
    pub(crate) fn reader(&self, what: &'static str) -> Option<Reader<'a>> {
        match self.node {
            Node::Map(map) => Some(Reader::new(self.source, map, self.at.clone(), what, self.faults)),
            Node::Nothing => None,
            Node::Text(_) | Node::List(_) => {
                self.wrong(format!("{what} is written as keys with values"), "one key a line, further in than the key above");
                None
            }
        }
    }

    /// Names of the dresser's own with their values, none of them empty.
    pub(crate) fn entries(&self, what: &str) -> Vec<(Told<String>, Value<'a>)> {
        let mut entries = self.bare_entries(what);
        if let Node::Map(map) = self.node {
            let mut cut = Vec::new();
            for (key, _) in &entries {
                cut.extend(traps::cut_decimal(map, &self.at, &key.value, self.faults).map(|rest| [key.value.clone(), rest.to_owned()]));
            }
            entries.retain(|(key, _)| !cut.iter().flatten().any(|name| *name == key.value));
            for (key, _) in entries.iter().filter(|(_, value)| *value.node == Node::Nothing) {
                traps::nothing_after(self.source, map, &self.at, &key.value, self.faults);
            }
        }
        entries
    }

    /// Names of the dresser's own; outside braces a name alone will do, and its value is nothing.
    pub(crate) fn bare_entries(&self, what: &str) -> Vec<(Told<String>, Value<'a>)> {
        match self.node {
            Node::Map(map) => {
                let entries = map.iter().map(|(key, node)| (Told::new(key.clone(), self.at.key(key).the_key()), self.child(node, self.at.key(key))));
                let (named, nameless): (Vec<_>, Vec<_>) = entries.partition(|(key, _)| !key.value.trim().is_empty());
                for (key, _) in nameless {
                    self.faults.push(Diagnostic::error("a name is missing before this colon", key.at).right("a name, or take the entry away"));
                }
                named
            }
            Node::Nothing => Vec::new(),
            Node::Text(_) | Node::List(_) => {
                self.wrong(format!("{what} are written as keys with values"), "one name a line, a colon after it");
                Vec::new()
            }
        }
    }

    /// The items of a list.
    pub(crate) fn items(&self, what: &str) -> Vec<Value<'a>> {
        match self.node {
            Node::List(list) => {
                let items: Vec<Value<'a>> = list.iter().enumerate().map(|(nth, node)| self.child(node, self.at.nth(nth))).collect();
                for item in items.iter().filter(|item| *item.node == Node::Nothing) {
                    traps::nothing_in_list(&item.at, self.faults);
                }
                items
            }
            Node::Nothing => Vec::new(),
            Node::Text(_) | Node::Map(_) => {
                self.wrong(format!("{what} are written as a list"), "each on a line of its own, after a dash");
                Vec::new()
            }
        }
    }

    /// Names: a list, or a single one. `commas`: one text may hold several, since none has a comma in it.
    pub(crate) fn names(&self, what: &str, commas: bool) -> Vec<Told<String>> {
        if !matches!(self.node, Node::Text(_)) {
            return self.items(what).iter().filter_map(Value::text).collect();
        }
        let Some(told) = self.text() else { return Vec::new() };
        if !commas {
            return vec![told];
        }
        pieces(&told.value).map(|(name, from)| Told::new(name.to_owned(), told.at.bytes(from..from + name.len()))).collect()
    }

    /// The items of a list, told or not what else it is.
    pub(crate) fn quiet_items(&self) -> Vec<Value<'a>> {
        match self.node {
            Node::List(list) => list.iter().enumerate().map(|(nth, node)| self.child(node, self.at.nth(nth))).collect(),
            _ => Vec::new(),
        }
    }

    /// The entries of a mapping, told or not what else it is.
    pub(crate) fn quiet_entries(&self) -> Vec<(&'a str, Value<'a>)> {
        match self.node {
            Node::Map(map) => map.iter().map(|(key, node)| (key.as_str(), self.child(node, self.at.key(key)))).collect(),
            _ => Vec::new(),
        }
    }

    /// The value of a key, if this is a mapping that has it.
    pub(crate) fn quiet_get(&self, key: &str) -> Option<Value<'a>> {
        match self.node {
            Node::Map(map) => map.get(key).map(|node| self.child(node, self.at.key(key))),
            _ => None,
        }
    }

    /// The text, if it is one.
    pub(crate) fn quiet_text(&self) -> Option<Told<String>> {
        match self.node {
            Node::Text(scalar) => Some(Told::new(scalar.text.clone(), self.at.clone())),
            _ => None,
        }
    }

    fn child(&self, node: &'a Node, at: At) -> Value<'a> {
        Value { source: self.source, node, at, faults: self.faults }
    }

    /// One of some words.
    pub(crate) fn choice<T: Clone>(&self, words: &[(&str, T)]) -> Option<Told<T>> {
        let told = self.text()?;
        let folded = crate::measure::words::fold(&told.value);
        if let Some((_, meant)) = words.iter().find(|(word, _)| *word == folded) {
            return Some(Told::new(meant.clone(), told.at));
        }
        let all: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        let right = near_or_all(&folded, all.iter().copied(), "leave it out");
        self.wrong(format!("\"{}\" is not known here", told.value), right);
        None
    }

    /// Yes or no.
    pub(crate) fn yes(&self) -> Option<Told<bool>> {
        self.choice(&[("yes", true), ("no", false), ("true", true), ("false", false)])
    }

    /// A figure with a unit of one dimension.
    pub(crate) fn quantity(&self, dimension: Dimension, example: &str) -> Option<Told<Quantity>> {
        let told = self.text()?;
        let quantity = self.told(Quantity::read(&told.value))?;
        if quantity.value.dimension() == dimension {
            return Some(quantity);
        }
        let wanted = noun(dimension);
        if quantity.value.unit == Unit::One {
            self.wrong(format!("\"{}\" has no unit; {wanted} is wanted", told.value), format!("{wanted} such as `{example}`"));
        } else {
            let given = noun(quantity.value.dimension());
            self.wrong(format!("\"{}\" is {given}, where {wanted} is wanted", told.value), format!("{wanted} such as `{example}`"));
        }
        None
    }

    /// A quantity in one unit, within bounds.
    pub(crate) fn within(&self, unit: Unit, bounds: Bounds, example: &str) -> Option<Told<f64>> {
        let quantity = self.quantity(unit.dimension(), example)?;
        let figure = quantity.value.in_unit(unit).filter(|figure| figure.is_finite());
        let Some(figure) = figure else {
            self.wrong("the figure is too large", format!("{} such as `{example}`", noun(unit.dimension())));
            return None;
        };
        self.bounded(figure, unit, bounds, example).then(|| quantity.map(|_| figure))
    }

    /// A length in mm.
    pub(crate) fn mm(&self, bounds: Bounds, example: &str) -> Option<Told<f64>> {
        self.within(Unit::Mm, bounds, example)
    }

    fn bounded(&self, figure: f64, unit: Unit, bounds: Bounds, example: &str) -> bool {
        let noun = noun(unit.dimension());
        let most = || format!("{} {}", bounds.most, unit.name());
        if figure < 0.0 {
            self.wrong(format!("{noun} cannot be less than nought"), format!("{noun} such as `{example}`"));
        } else if figure == 0.0 && !bounds.nought {
            self.wrong("nought will not do here", format!("{noun} such as `{example}`"));
        } else if figure > bounds.most {
            self.wrong(
                format!("{noun} over {} cannot be meant here", most().trim()),
                format!("{noun} such as `{example}`{}", if unit == Unit::One { "" } else { "; is the unit right?" }),
            );
        } else {
            return true;
        }
        false
    }

    /// A bare figure within bounds.
    pub(crate) fn figure(&self, bounds: Bounds, example: &str) -> Option<Told<Fraction>> {
        self.counted(bounds, &[], example)
    }

    /// A figure that may bear a word such as `turns`.
    pub(crate) fn counted(&self, bounds: Bounds, words: &[&str], example: &str) -> Option<Told<Fraction>> {
        let told = self.text()?;
        let bare = told.value.trim();
        let bare = words.iter().find_map(|word| bare.strip_suffix(word)).unwrap_or(bare).trim_end();
        let quantity = self.told(Quantity::read(bare).map_err(|fault| match fault.right {
            Some(_) if !fault.what.contains("comma") => fault.right(format!("a number such as `{example}`")),
            _ => fault,
        }))?;
        if quantity.value.unit != Unit::One {
            let given = noun(quantity.value.dimension());
            self.wrong(format!("\"{}\" is {given}, where a number is wanted", told.value), format!("a number such as `{example}`"));
            return None;
        }
        let figure = quantity.value.figure;
        self.bounded(figure.to_f64(), Unit::One, bounds, example).then(|| Told::new(figure, told.at))
    }

    /// A whole number within limits.
    pub(crate) fn whole(&self, least: u32, most: u32, words: &[&str], example: &str) -> Option<Told<u32>> {
        let told = self.counted(Bounds { nought: true, most: f64::MAX }, words, example)?;
        let whole = told.value.as_whole().and_then(|whole| u32::try_from(whole).ok()).filter(|whole| (least..=most).contains(whole));
        if whole.is_none() {
            self.wrong(format!("a whole number from {least} to {most} is wanted"), format!("`{example}`"));
        }
        whole.map(|whole| Told::new(whole, told.at))
    }

    /// A share such as `12 %`, as 0.12.
    pub(crate) fn share(&self, most: Decimal) -> Option<Told<Decimal>> {
        let told = self.text()?;
        let quantity = self.told(Quantity::read(&told.value).map_err(|fault| match fault.what.contains("comma") {
            true => fault,
            false => fault.right("a share such as `5 %`"),
        }))?;
        let share = quantity.value.decimal_in(Unit::One);
        let percent = told.value.contains('%');
        match share {
            None => self.wrong(format!("\"{}\" is {}, where a share is wanted", told.value, noun(quantity.value.dimension())), "a share such as `5 %`"),
            Some(share) if share.is_sign_negative() && !share.is_zero() => self.wrong("a share cannot be less than nought", "a share such as `5 %`"),
            Some(share) if share > most && percent => {
                self.wrong(format!("a share over {} % will not do here", (most * Decimal::ONE_HUNDRED).normalize()), "a share such as `5 %`");
            }
            Some(share) if percent || share <= Decimal::ONE => return Some(Told::new(share, told.at)),
            _ => self.wrong(format!("\"{}\" is not a share", told.value), format!("`{} %`, with its sign", told.value.trim())),
        }
        None
    }

    /// A share as a binary figure.
    pub(crate) fn share_f64(&self, most: Decimal) -> Option<Told<f64>> {
        use rust_decimal::prelude::ToPrimitive as _;
        let told = self.share(most)?;
        told.value.to_f64().map(|share| Told::new(share, told.at))
    }

    /// A sum of money in the bench's currency.
    pub(crate) fn money(&self) -> Option<Told<Decimal>> {
        let told = self.text()?;
        let sum = self.told(money(&told.value))?;
        Some(sum)
    }

    /// A price, `27.00 a dozen` or `2.50 each`.
    pub(crate) fn price(&self) -> Option<Told<Price>> {
        let told = self.text()?;
        let endings = [("a dozen", 12), ("each", 1), ("a fly", 1)];
        let text = told.value.trim_end();
        let Some((sum, flies)) = endings.iter().find_map(|(ending, flies)| Some((text.strip_suffix(ending)?.trim_end(), *flies))) else {
            let sum = text.split_whitespace().next().filter(|sum| money(sum).is_ok()).unwrap_or("27.00");
            self.wrong(format!("\"{text}\" does not say for how many flies"), format!("`{sum} a dozen` or `{sum} each`"));
            return None;
        };
        self.told(money(sum).map(|sum| Price { sum, flies }))
    }

    /// A time: `45 s`, `4 min a dozen`, `20 min a run`.
    pub(crate) fn time(&self) -> Option<Told<Time>> {
        let told = self.text()?;
        let endings = [("a dozen", Per::Dozen), ("a run", Per::Run), ("a fly", Per::Fly)];
        let text = told.value.trim_end();
        let (bare, per) = endings.iter().find_map(|(ending, per)| Some((text.strip_suffix(ending)?.trim_end(), *per))).unwrap_or((text, Per::Fly));
        let quantity = self.told(Quantity::read(bare))?.value;
        let (Dimension::Time, Some(seconds)) = (quantity.dimension(), quantity.in_unit(Unit::S)) else {
            let given = noun(quantity.dimension());
            let what =
                if quantity.unit == Unit::One { format!("\"{bare}\" has no unit of time") } else { format!("\"{bare}\" is {given}, where a time is wanted") };
            self.wrong(what, "a time such as `45 s`, `2 min`, `4 min a dozen` or `20 min a run`");
            return None;
        };
        if !self.bounded(seconds, Unit::S, Bounds::TIME, "45 s") {
            return None;
        }
        let seconds = Fraction::new(quantity.unit.factor() as i64, 1).and_then(|factor| factor.times(quantity.figure));
        if seconds.is_none() {
            self.wrong("the figure is too large", "a time such as `45 s`");
        }
        seconds.map(|seconds| Told::new(Time { seconds, per }, told.at))
    }

    /// A day as `2026-12-18`.
    pub(crate) fn date(&self) -> Option<Told<jiff::civil::Date>> {
        let told = self.text()?;
        match day(&told.value) {
            Some(date) => Some(Told::new(date, told.at)),
            None => {
                self.wrong(format!("\"{}\" is not a day of the calendar", told.value), "year, month, day, as in `2026-12-18`");
                None
            }
        }
    }
}

/// A size, from text told somewhere (a key or a value).
pub(crate) fn size(told: &Told<String>, faults: &Faults) -> Option<Told<Size>> {
    let size = Size::read(&told.value).map(|size| Told::new(size, told.at.clone()));
    if size.is_none() {
        faults.push(
            Diagnostic::error(format!("\"{}\" is not a size", told.value), told.at.clone())
                .right("a size such as `16`, `2/0`, `00` or `2 in`; several with commas between"),
        );
    }
    size
}

/// A day as `2026-12-18`.
pub(crate) fn day(text: &str) -> Option<jiff::civil::Date> {
    let text = text.trim();
    let plain = text.len() == 10 && text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
    if plain { text.parse().ok() } else { None }
}

/// The pieces between commas, trimmed, each with the byte it starts at.
pub(crate) fn pieces(text: &str) -> impl Iterator<Item = (&str, usize)> {
    let mut from = 0;
    text.split(',').filter_map(move |piece| {
        let start = from + piece.len() - piece.trim_start().len();
        from += piece.len() + 1;
        let piece = piece.trim();
        (!piece.is_empty()).then_some((piece, start))
    })
}

/// A sum of money.
pub(crate) fn money(text: &str) -> Result<Decimal, Fault> {
    let bare = text.trim();
    let whole = 0..text.len();
    if let Some((pounds, pence)) = bare.split_once(',')
        && pence.len() <= 2
        && bare.bytes().all(|b| b.is_ascii_digit() || b == b',')
    {
        return Err(Fault::new("a decimal takes a point, not a comma", whole).right(format!("`{pounds}.{pence}`")));
    }
    if let Some(owed) = bare.strip_prefix('-').filter(|owed| owed.parse::<Decimal>().is_ok()) {
        return Err(Fault::new("a sum of money cannot be less than nought here", whole).right(format!("`{}`", owed.trim())));
    }
    let figures = bare.bytes().all(|b| b.is_ascii_digit() || b == b'.') && bare.starts_with(|c: char| c.is_ascii_digit());
    match bare.parse::<Decimal>() {
        Ok(sum) if figures && sum <= Decimal::from(1_000_000_000) => Ok(sum),
        _ => {
            Err(Fault::new(format!("\"{bare}\" is not a sum of money"), whole).right("figures alone, such as `2.40`; the currency is said once, in bench.yaml"))
        }
    }
}

/// What a dimension measures, with its article.
pub(crate) fn noun(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Number => "a number",
        Dimension::Length => "a length",
        Dimension::Area => "an area",
        Dimension::Volume => "a volume",
        Dimension::Mass => "a mass",
        Dimension::Density => "a density",
        Dimension::Time => "a time",
        Dimension::LinearDensity => "the weight of a thread by length",
        Dimension::Angle => "an angle",
        Dimension::Feathers => "a number of feathers",
        Dimension::Fibres => "a number of fibres",
        Dimension::Drops => "a number of drops",
        Dimension::Pieces => "a number of pieces",
        Dimension::Money => "a sum of money",
        Dimension::MoneyAnHour => "money an hour",
    }
}
