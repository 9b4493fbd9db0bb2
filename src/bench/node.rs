//! A file as written: scalars as the very text that stands there, lists and mappings in order.
//!
//! `serde_yaml::Value` turns `00` into text but `1.50` into 1.5 and `16` into a number; a size or a price must
//! arrive as written. So a file is walked twice: the first walk learns only which node is a scalar, a list or
//! a mapping (and counts them, so that aliases cannot unfold without end); the second, knowing the shape, asks
//! for every scalar as text. Both are generic over serde; which library reads the YAML is `yaml.rs`'s affair.

use crate::diagnostic::Key;
use indexmap::IndexMap;
use indexmap::map::Entry;
use serde::de::{DeserializeSeed, Deserializer, EnumAccess, Error, IgnoredAny, MapAccess, SeqAccess, VariantAccess, Visitor};
use std::cell::{Cell, RefCell};
use std::fmt;

/// The most nodes a file may have once its aliases are unfolded.
const MOST_NODES: usize = 300_000;

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
    /// Paths of nodes that bear a tag.
    pub(super) tagged: RefCell<Vec<Vec<Key>>>,
    /// Keys given twice.
    pub(super) twice: RefCell<Vec<Twice>>,
}

impl<'t> Walk<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        Walk { text, path: RefCell::default(), left: Cell::new(MOST_NODES), tagged: RefCell::default(), twice: RefCell::default() }
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

    fn visit_i64<E>(self, _: i64) -> Result<Shape, E> {
        Ok(Shape::Text)
    }

    fn visit_i128<E>(self, _: i128) -> Result<Shape, E> {
        Ok(Shape::Text)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Shape, E> {
        Ok(Shape::Text)
    }

    fn visit_u128<E>(self, _: u128) -> Result<Shape, E> {
        Ok(Shape::Text)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Shape, E> {
        Ok(Shape::Text)
    }

    fn visit_str<E>(self, _: &str) -> Result<Shape, E> {
        Ok(Shape::Text)
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
            shapes.push(self.0.inside(Key::Name(key.text), || map.next_value_seed(self))?);
        }
        Ok(Shape::Map(shapes))
    }

    fn visit_enum<A: EnumAccess<'de>>(self, tagged: A) -> Result<Shape, A::Error> {
        self.0.tagged.borrow_mut().push(self.0.path.borrow().clone());
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
            Shape::Text => Written(self.walk).deserialize(deserializer).map(Node::Text),
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
            let node = self.walk.inside(Key::Name(key.text.clone()), || map.next_value_seed(take))?;
            match nodes.entry(key.text) {
                Entry::Vacant(place) => {
                    place.insert(node);
                }
                Entry::Occupied(first) => {
                    let mut path = self.walk.path.borrow().clone();
                    path.push(Key::Name(first.key().clone()));
                    self.walk.twice.borrow_mut().push(Twice { path, again: key.start });
                }
            }
        }
        Ok(Node::Map(nodes))
    }
}
