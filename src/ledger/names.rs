//! Names: the ledger knows things by its own numbers, and every name they ever had.
//!
//! A dresser's file may call a thing otherwise tomorrow; `formerly:` beside it moves the name, and all that was booked
//! under the old one stays with it. A name the files no longer have is told with the nearest that they have, and never
//! dropped.

use super::act::Fault;
use super::{Error, Ledger};
use crate::diagnostic::nearest;
use crate::measure::Words;
use crate::measure::words::fold;
use crate::stores::{Named, Refusal, Sort};
use rusqlite::{Connection, OptionalExtension, params};
use std::collections::HashMap;

/// A name that moved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Renaming {
    /// What sort of thing.
    pub sort: Sort,
    /// Its name until now.
    pub was: Words,
    /// Its name from now on.
    pub now: Words,
    /// Whether it moved. It cannot where the ledger knows another thing by the new name already: the two are kept
    /// apart, for what was booked under each is its own.
    pub moved: bool,
}

/// A name the ledger knows and the files do not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stranger {
    /// What sort of thing.
    pub sort: Sort,
    /// Its name in the ledger.
    pub name: Words,
    /// The name of that sort the files have that is near enough to be a slip of the pen.
    pub nearest: Option<Words>,
    /// Whether any of it is on hand.
    pub on_hand: bool,
}

/// The number of what has this name, or had it last.
pub(super) fn number(at: &Connection, sort: Sort, of: Option<i64>, name: &str) -> Result<Option<i64>, Fault> {
    const SQL: &str = "select named from known_as where sort = ? and of = ? and folded = ? order by until is not null, until desc, named desc limit 1";
    Ok(at.prepare_cached(SQL)?.query_row(params![sort.name(), of.unwrap_or(0), fold(name)], |row| row.get(0)).optional()?)
}

/// The number of what has this name; a new one where nothing ever had it.
pub(super) fn number_or_new(at: &Connection, now: i64, sort: Sort, of: Option<i64>, name: &Words) -> Result<i64, Fault> {
    if let Some(number) = number(at, sort, of, name.as_str())? {
        return Ok(number);
    }
    if fold(name.as_str()).is_empty() {
        return Err(Refusal::Senseless { what: format!("a {} without a name", sort.name()), right: "its name in the bench's files".to_owned() }.into());
    }
    at.prepare_cached("insert into named (sort, of) values (?, ?)")?.execute(params![sort.name(), of])?;
    let number = at.last_insert_rowid();
    call(at, now, sort, of, number, name.as_str())?;
    Ok(number)
}

fn call(at: &Connection, now: i64, sort: Sort, of: Option<i64>, number: i64, name: &str) -> Result<(), Fault> {
    const SQL: &str = "insert into known_as (named, sort, of, name, folded, since) values (?, ?, ?, ?, ?, ?)";
    at.prepare_cached(SQL)?.execute(params![number, sort.name(), of.unwrap_or(0), name, fold(name), now])?;
    Ok(())
}

/// The names of a sort as they are now.
pub(super) fn all_of(at: &Connection, sort: Sort) -> Result<Vec<Words>, Fault> {
    let mut all = at.prepare_cached("select name from known_as where sort = ? and until is null order by folded")?;
    let names = all.query_map([sort.name()], |row| row.get::<_, String>(0).map(Words::from))?;
    Ok(names.collect::<Result<_, _>>()?)
}

/// Of each sort and owner, by folded name, the number and the name as it is now.
type Current = HashMap<(Sort, i64, String), (i64, String)>;

fn current(at: &Connection) -> Result<Current, Fault> {
    let mut all = at.prepare_cached("select sort, of, folded, named, name from known_as where until is null")?;
    let mut rows = all.query([])?;
    let mut found = HashMap::new();
    while let Some(row) = rows.next()? {
        let sort = read_sort(&row.get::<_, String>(0)?)?;
        found.insert((sort, row.get(1)?, row.get(2)?), (row.get(3)?, row.get(4)?));
    }
    Ok(found)
}

pub(super) fn read_sort(name: &str) -> Result<Sort, Fault> {
    Sort::ALL.into_iter().find(|sort| sort.name() == name).ok_or_else(|| Fault::Damaged(format!("\"{name}\" is no sort of name")))
}

impl Ledger {
    /// Takes the names of the files: where one was `formerly` another that the ledger knows, what is known by the old name
    /// goes on under the new one, and one spelt otherwise (by case or spaces) is shown as it is spelt now. Things the
    /// ledger does not know yet are left alone. Two names may be exchanged in one go. Gives what moved, and what could not.
    ///
    /// # Errors
    /// A ledger opened for reading; the disk.
    pub fn name_things(&mut self, at: i64, names: &[Named]) -> Result<Vec<Renaming>, Error> {
        self.act("taking names from the files", |deed| {
            let known = current(deed)?;
            // All is decided by the names as they were, so that an exchange of two is one.
            let mut moves: Vec<(usize, i64, i64, String)> = Vec::new();
            for (nth, named) in names.iter().enumerate() {
                let of = match &named.of {
                    None => 0,
                    Some(of) => match known.get(&(Sort::Dressing, 0, of.folded())) {
                        Some((number, _)) => *number,
                        None => continue,
                    },
                };
                let now = named.name.folded();
                let before = named.formerly.iter().filter(|was| was.folded() != now).find_map(|was| known.get(&(named.sort, of, was.folded())));
                match (before, known.get(&(named.sort, of, now))) {
                    (Some((number, was)), _) if !moves.iter().any(|(_, _, moved, _)| moved == number) => moves.push((nth, of, *number, was.clone())),
                    (None, Some((number, was))) if was.as_str() != named.name.as_str() => moves.push((nth, of, *number, was.clone())),
                    _ => {}
                }
            }
            // A new name is free where nothing has it, or what has it moves on as well.
            let mut renamed = Vec::new();
            loop {
                let going: Vec<i64> = moves.iter().map(|(_, _, number, _)| *number).collect();
                let taken = moves.iter().position(|(nth, of, number, _)| {
                    let named = names.get(*nth);
                    let holder = named.and_then(|named| known.get(&(named.sort, *of, named.name.folded())));
                    holder.is_some_and(|(holder, _)| holder != number && !going.contains(holder))
                });
                let Some(place) = taken else { break };
                let (nth, _, _, was) = moves.remove(place);
                if let Some(named) = names.get(nth) {
                    renamed.push(Renaming { sort: named.sort, was: Words::from(was), now: named.name.clone(), moved: false });
                }
            }
            for (_, _, number, _) in &moves {
                deed.prepare_cached("update known_as set until = max(since, ?) where named = ? and until is null")?.execute([at, *number])?;
            }
            for (nth, of, number, was) in moves {
                let Some(named) = names.get(nth) else { continue };
                call(deed, at, named.sort, (of != 0).then_some(of), number, named.name.as_str())?;
                renamed.push(Renaming { sort: named.sort, was: Words::from(was), now: named.name.clone(), moved: true });
            }
            Ok(renamed)
        })
    }

    /// Every name a thing of the files ever had, the present one first.
    ///
    /// # Errors
    /// The disk.
    pub fn names_of(&self, sort: Sort, name: &Words) -> Result<Vec<Words>, Error> {
        self.look("reading names", |at| {
            let Some(number) = number(at, sort, None, name.as_str())? else { return Ok(Vec::new()) };
            let mut all = at.prepare_cached("select name from known_as where named = ? order by until is not null, until desc, since desc")?;
            let names = all.query_map([number], |row| row.get::<_, String>(0).map(Words::from))?;
            Ok(names.collect::<Result<_, _>>()?)
        })
    }

    /// The names of a sort the ledger knows now.
    ///
    /// # Errors
    /// The disk.
    pub fn known_names(&self, sort: Sort) -> Result<Vec<Words>, Error> {
        self.look("reading names", |at| all_of(at, sort))
    }

    /// Names the ledger knows and the files do not, each with the nearest the files have: nothing of them is dropped.
    ///
    /// # Errors
    /// The disk.
    pub fn strangers(&self, names: &[Named]) -> Result<Vec<Stranger>, Error> {
        self.look("reading names", |at| strangers(at, names))
    }
}

pub(super) fn strangers(at: &Connection, names: &[Named]) -> Result<Vec<Stranger>, Fault> {
    let known = current(at)?;
    let dressing = |of: i64| known.iter().find(|(_, (number, _))| *number == of).map(|((_, _, folded), _)| folded.clone());
    let mut found = Vec::new();
    for ((sort, of, folded), (number, name)) in &known {
        let owner = if *of == 0 { None } else { dressing(*of) };
        let alike = |named: &&Named| named.sort == *sort && named.of.as_ref().map(Words::folded) == owner;
        if names.iter().filter(alike).any(|named| named.name.folded() == *folded) {
            continue;
        }
        let nearest = nearest(folded, names.iter().filter(alike).map(|named| named.name.as_str())).map(Words::new);
        const ON_HAND: &str = "select exists (select 1 from balance join thing on thing.id = balance.thing where thing.named = ?1 and balance.quantity <> 0)";
        let on_hand = at.prepare_cached(ON_HAND)?.query_row([number], |row| row.get(0))?;
        found.push(Stranger { sort: *sort, name: Words::new(name), nearest, on_hand });
    }
    found.sort_by(|one, other| (one.sort, &one.name).cmp(&(other.sort, &other.name)));
    Ok(found)
}
