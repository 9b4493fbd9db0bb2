//! Several sizes in one value: `12, 14, 16`, `10-18`, or a list.

use super::value::{Value, pieces, size};
use crate::diagnostic::{At, Diagnostic, Told};
use crate::dressing::Size;
use std::collections::HashMap;

/// The sizes of a value. `between` gives the sizes a range stands for.
pub(crate) fn read(value: &Value<'_>, between: impl Fn(&Size, &Size) -> Option<Vec<Size>>) -> Vec<Told<Size>> {
    let mut sizes: Vec<Told<Size>> = Vec::new();
    for told in value.names("sizes", true) {
        for (piece, from) in pieces(&told.value) {
            let told = Told::new(piece.to_owned(), if told.at.within.is_some() { told.at.clone() } else { told.at.bytes(from..from + piece.len()) });
            match range(piece) {
                Some((from, to)) => match between(&from, &to) {
                    Some(all) => sizes.extend(all.into_iter().map(|size| Told::new(size, told.at.clone()))),
                    None => {
                        let fault = Diagnostic::error(format!("what sizes \"{piece}\" stands for is not clear"), told.at.clone());
                        value.faults.push(fault.right("write the sizes out, with commas between"));
                    }
                },
                None => sizes.extend(size(&told, value.faults)),
            }
        }
    }
    let mut first_at: HashMap<Size, At> = HashMap::new();
    sizes.retain(|size| match first_at.get(&size.value) {
        Some(first) => {
            value.faults.push(
                Diagnostic::error(format!("size {} is given twice", size.value), size.at.clone())
                    .also("given first here", first.clone())
                    .right("keep one of the two"),
            );
            false
        }
        None => {
            first_at.insert(size.value.clone(), size.at.clone());
            true
        }
    });
    sizes
}

/// The two ends of a range of sizes.
fn range(text: &str) -> Option<(Size, Size)> {
    let (from, to) = text.split_once(" to ").or_else(|| text.split_once('-')).or_else(|| text.split_once('–'))?;
    Some((Size::read(from)?, Size::read(to)?))
}

/// Every whole size from one to another, by rank.
pub(crate) fn every(from: &Size, to: &Size, old_scale: bool) -> Option<Vec<Size>> {
    let (a, b) = (from.rank(old_scale), to.rank(old_scale));
    let (a, b) = (a.min(b), a.max(b));
    if b.checked_sub(a)? > 100 {
        return None;
    }
    (a..=b).map(|rank| Size::of_rank(rank, old_scale)).collect()
}

/// Sizes as a list in words.
pub(crate) fn in_words<'s>(sizes: impl IntoIterator<Item = &'s Size>) -> String {
    sizes.into_iter().map(Size::text).collect::<Vec<_>>().join(", ")
}
