//! A file as written: scalars as the very text that stands there, lists and mappings in order.
//!
//! `serde_yaml::Value` turns `00` into text but `1.50` into 1.5 and `16` into a number; a size or a price must
//! arrive as written. So a file is walked twice: the first walk learns only which node is a scalar, a list or
//! a mapping (and counts them, so that aliases cannot unfold without end); the second, knowing the shape, asks
//! for every scalar as text. Both are generic over serde; which library reads the YAML is `yaml.rs`'s affair.

use super::syntax;
use crate::diagnostic::Key;
use indexmap::IndexMap;
use indexmap::map::Entry;
use serde::de::{DeserializeSeed, Deserializer, EnumAccess, Error, IgnoredAny, MapAccess, SeqAccess, VariantAccess, Visitor};
use std::cell::{Cell, RefCell};
use std::collections::{HashMap, HashSet};
use std::fmt;

/// The most nodes a file may have once its aliases are unfolded.
const MOST_NODES: usize = 300_000;

/// The most bytes of text a file may have once its aliases are unfolded.
const MOST_BYTES: usize = 16 * 1024 * 1024;

/// The most keys given twice, or places with a tag, that are kept; more are counted.
const MOST_KEPT: usize = 1000;

/// What the first walk says when there are more.
pub(super) const TOO_MANY: &str = "too many nodes";

/// One node of a file.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Node {
    /// Nothing: an empty place, `~` or `null`.
    Nothing,
    /// Text, numbers and all.
    Text(Scalar),
    /// A list.
    List(Vec<Node>),
    /// Keys with their values.
    Map(Map),
}

/// Keys with their values, in the order written.
pub(crate) type Map = IndexMap<String, Node>;

/// The text of a scalar.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Scalar {
    /// As written, without quotes.
    pub(crate) text: String,
    /// The byte of the file it starts at, where it stands there letter by letter.
    pub(crate) start: Option<usize>,
}

/// A key given twice in one mapping.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Twice {
    /// The path to the key.
    pub(crate) path: Vec<Key>,
    /// It is the first key of its mapping.
    pub(crate) is_first: bool,
    /// The byte of the file the second one starts at, where known.
    pub(crate) again: Option<usize>,
}

/// Which kind of node stands where, in the order of the file.
#[derive(Debug)]
pub(super) enum Shape {
    Nothing,
    Text,
    List(Vec<Shape>),
    Map(Vec<Shape>),
}

/// What both walks carry along.
pub(super) struct Walk<'t> {
    text: &'t str,
    path: RefCell<Vec<Key>>,
    left: Cell<usize>,
    bytes_left: Cell<usize>,
    /// The longest row of digits in the file: what reading one figure may cost.
    longest_figure: usize,
    /// Paths of nodes that bear a tag.
    pub(super) tagged: RefCell<Vec<Vec<Key>>>,
    /// Keys that bear a tag: their paths, and the byte each starts at.
    pub(super) tagged_keys: RefCell<Vec<(Vec<Key>, usize)>>,
    /// Keys given twice.
    pub(super) twice: RefCell<Vec<Twice>>,
    /// How many more were given twice or had a tag.
    pub(super) more: Cell<usize>,
    /// Places that are looked for, and where they were seen.
    sought: Option<Sought>,
}

/// Places that are looked for in one walk.
#[derive(Default)]
pub(super) struct Sought {
    /// Their paths.
    pub(super) paths: HashSet<Vec<Key>>,
    /// The byte a key starts at, and its text.
    pub(super) keys: RefCell<Seen>,
    /// The byte a scalar starts at, and its text.
    pub(super) scalars: RefCell<Seen>,
}

/// By path: the byte something starts at, and its text.
pub(super) type Seen = HashMap<Vec<Key>, (usize, String)>;

impl Sought {
    fn see(&self, path: &[Key], scalar: &Scalar, seen: &RefCell<Seen>) {
        if let Some(start) = scalar.start
            && self.paths.contains(path)
        {
            // The first of two keys is the one meant.
            seen.borrow_mut().entry(path.to_vec()).or_insert_with(|| (start, scalar.text.clone()));
        }
    }
}

impl<'t> Walk<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        let figures = text.as_bytes().split(|byte| !byte.is_ascii_digit() && *byte != b'.');
        Walk {
            text,
            path: RefCell::default(),
            left: Cell::new(MOST_NODES),
            bytes_left: Cell::new(MOST_BYTES),
            longest_figure: figures.map(<[u8]>::len).max().unwrap_or_default(),
            tagged: RefCell::default(),
            tagged_keys: RefCell::default(),
            twice: RefCell::default(),
            more: Cell::new(0),
            sought: None,
        }
    }

    /// A walk that looks for places.
    pub(super) fn seeking(text: &'t str, sought: Sought) -> Self {
        Walk { sought: Some(sought), ..Walk::new(text) }
    }

    /// What was seen of the places looked for.
    pub(super) fn sought(self) -> Option<Sought> {
        self.sought
    }

    fn count_bytes<E: Error>(&self, bytes: usize) -> Result<(), E> {
        self.bytes_left.set(self.bytes_left.get().checked_sub(bytes).ok_or_else(|| E::custom(TOO_MANY))?);
        Ok(())
    }

    /// Keeps a finding of the walk, or counts it where there are many.
    fn keep<T>(&self, list: &RefCell<Vec<T>>, found: impl FnOnce() -> T) {
        if list.borrow().len() < MOST_KEPT {
            let found = found();
            list.borrow_mut().push(found);
        } else {
            self.more.set(self.more.get() + 1);
        }
    }

    fn here(&self) -> Vec<Key> {
        self.path.borrow().clone()
    }

    fn inside<T>(&self, key: Key, work: impl FnOnce() -> T) -> T {
        self.path.borrow_mut().push(key);
        let done = work();
        self.path.borrow_mut().pop();
        done
    }

    /// Where a piece of the file that serde lent us starts.
    fn start_of(&self, piece: &str) -> Option<usize> {
        let start = (piece.as_ptr() as usize).checked_sub(self.text.as_ptr() as usize)?;
        (self.text.get(start..start.checked_add(piece.len())?)? == piece).then_some(start)
    }
}

/// The first walk.
#[derive(Clone, Copy)]
pub(super) struct Survey<'w>(pub(super) &'w Walk<'w>);

impl<'de> DeserializeSeed<'de> for Survey<'_> {
    type Value = Shape;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Shape, D::Error> {
        match self.0.left.get().checked_sub(1) {
            Some(left) => self.0.left.set(left),
            None => return Err(D::Error::custom(TOO_MANY)),
        }
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Survey<'_> {
    type Value = Shape;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("text, a list or keys with values")
    }

    fn visit_unit<E>(self) -> Result<Shape, E> {
        Ok(Shape::Nothing)
    }

    fn visit_none<E>(self) -> Result<Shape, E> {
        Ok(Shape::Nothing)
    }

    fn visit_bool<E>(self, _: bool) -> Result<Shape, E> {
        Ok(Shape::Text)
    }

    fn visit_i64<E: Error>(self, _: i64) -> Result<Shape, E> {
        self.0.count_bytes(self.0.longest_figure).map(|()| Shape::Text)
    }

    fn visit_i128<E: Error>(self, _: i128) -> Result<Shape, E> {
        self.0.count_bytes(self.0.longest_figure).map(|()| Shape::Text)
    }

    fn visit_u64<E: Error>(self, _: u64) -> Result<Shape, E> {
        self.0.count_bytes(self.0.longest_figure).map(|()| Shape::Text)
    }

    fn visit_u128<E: Error>(self, _: u128) -> Result<Shape, E> {
        self.0.count_bytes(self.0.longest_figure).map(|()| Shape::Text)
    }

    fn visit_f64<E: Error>(self, _: f64) -> Result<Shape, E> {
        self.0.count_bytes(self.0.longest_figure).map(|()| Shape::Text)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Shape, E> {
        self.0.count_bytes(text.len()).map(|()| Shape::Text)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Shape, A::Error> {
        let mut shapes = Vec::new();
        while let Some(shape) = self.0.inside(Key::Nth(shapes.len()), || list.next_element_seed(self))? {
            shapes.push(shape);
        }
        Ok(Shape::List(shapes))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Shape, A::Error> {
        let mut shapes = Vec::new();
        while let Some(key) = map.next_key_seed(Written(self.0))? {
            self.0.count_bytes(key.text.len())?;
            let tag = key.start.filter(|start| syntax::word_before(self.0.text, *start).starts_with('!'));
            let shape = self.0.inside(Key::Name(key.text), || {
                if let Some(start) = tag {
                    self.0.keep(&self.0.tagged_keys, || (self.0.here(), start));
                }
                map.next_value_seed(self)
            });
            shapes.push(shape?);
        }
        Ok(Shape::Map(shapes))
    }

    fn visit_enum<A: EnumAccess<'de>>(self, tagged: A) -> Result<Shape, A::Error> {
        self.0.keep(&self.0.tagged, || self.0.here());
        let (_, value) = tagged.variant::<IgnoredAny>()?;
        value.newtype_variant_seed(self)
    }
}

/// Asks for a scalar as written.
struct Written<'w>(&'w Walk<'w>);

impl<'de> DeserializeSeed<'de> for Written<'_> {
    type Value = Scalar;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Scalar, D::Error> {
        deserializer.deserialize_str(self)
    }
}

impl<'de> Visitor<'de> for Written<'_> {
    type Value = Scalar;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("text")
    }

    fn visit_str<E>(self, text: &str) -> Result<Scalar, E> {
        Ok(Scalar { text: text.to_owned(), start: None })
    }

    fn visit_borrowed_str<E>(self, text: &'de str) -> Result<Scalar, E> {
        Ok(Scalar { text: text.to_owned(), start: self.0.start_of(text) })
    }
}

/// The second walk, led by what the first has seen.
#[derive(Clone, Copy)]
pub(super) struct Take<'w> {
    pub(super) walk: &'w Walk<'w>,
    pub(super) shape: &'w Shape,
}

impl<'de> DeserializeSeed<'de> for Take<'_> {
    type Value = Node;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Node, D::Error> {
        match self.shape {
            Shape::Nothing => deserializer.deserialize_ignored_any(IgnoredAny).map(|IgnoredAny| Node::Nothing),
            Shape::Text => {
                let scalar = Written(self.walk).deserialize(deserializer)?;
                if let Some(sought) = &self.walk.sought {
                    sought.see(&self.walk.path.borrow(), &scalar, &sought.scalars);
                }
                Ok(Node::Text(scalar))
            }
            Shape::List(_) => deserializer.deserialize_seq(self),
            Shape::Map(_) => deserializer.deserialize_map(self),
        }
    }
}

impl<'de> Visitor<'de> for Take<'_> {
    type Value = Node;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("what the first walk saw")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Node, A::Error> {
        let Shape::List(shapes) = self.shape else { return Err(A::Error::custom("a list where none was seen")) };
        let mut nodes = Vec::with_capacity(shapes.len());
        for (nth, shape) in shapes.iter().enumerate() {
            let take = Take { walk: self.walk, shape };
            nodes.extend(self.walk.inside(Key::Nth(nth), || list.next_element_seed(take))?);
        }
        Ok(Node::List(nodes))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Node, A::Error> {
        let Shape::Map(shapes) = self.shape else { return Err(A::Error::custom("keys where none were seen")) };
        let mut nodes = Map::with_capacity(shapes.len());
        for shape in shapes {
            let Some(key) = map.next_key_seed(Written(self.walk))? else { break };
            let take = Take { walk: self.walk, shape };
            let node = self.walk.inside(Key::Name(key.text.clone()), || {
                if let Some(sought) = &self.walk.sought {
                    sought.see(&self.walk.path.borrow(), &key, &sought.keys);
                }
                map.next_value_seed(take)
            })?;
            match nodes.entry(key.text) {
                Entry::Vacant(place) => {
                    place.insert(node);
                }
                Entry::Occupied(first) => {
                    self.walk.keep(&self.walk.twice, || {
                        let mut path = self.walk.here();
                        path.push(Key::Name(first.key().clone()));
                        Twice { path, is_first: first.index() == 0, again: key.start }
                    });
                }
            }
        }
        Ok(Node::Map(nodes))
    }
}
