//! The keys in force: those of the table, but where a dresser's file of keys gives others. Dispatch, the hints at the foot
//! and the help ask here and nowhere else.

use super::{ACTIONS, Action, Deed, Key, Place, heading, headings};
use crate::bench::keys_file::Change;
use crate::diagnostic::{At, Diagnostic, Told, did_you_mean, near_or_all};
use crate::measure::words::fold;
use crate::tui::ink::width;
use std::borrow::Cow;

/// Leaves whatever else is changed.
const LAST_WAY_OUT: Key = Key::Control('c');

/// The keys in force.
#[derive(Clone, Debug)]
pub struct Keymap {
    /// In the order of the table, and place by place within a row.
    bound: Vec<Bound>,
}

/// The keys of one row of the table in one place.
#[derive(Clone, Debug)]
struct Bound {
    action: &'static Action,
    place: Place,
    keys: Cow<'static, [Key]>,
    changed: bool,
}

/// An action as it is listed under a place.
#[derive(Clone, Copy, Debug)]
pub struct Listed<'k> {
    /// The action.
    pub action: &'static Action,
    /// Its keys there.
    pub keys: &'k [Key],
    /// They are a dresser's own.
    pub changed: bool,
}

impl Listed<'_> {
    /// The keys as they are shown.
    pub fn shown(&self) -> String {
        self.keys.iter().map(Key::to_string).collect::<Vec<_>>().join(" ")
    }
}

impl Default for Keymap {
    /// The program's own keys.
    fn default() -> Self {
        let each =
            |action: &'static Action| action.places.iter().map(move |place| Bound { action, place: *place, keys: Cow::Borrowed(action.keys), changed: false });
        Keymap { bound: ACTIONS.iter().flat_map(each).collect() }
    }
}

impl Keymap {
    /// The program's own keys with a dresser's changes. An action that is named has the keys that are told and no others;
    /// of several headings that name it in one place, that of the fewest places counts. `Ctrl-c` leaves in any case.
    ///
    /// # Errors
    /// Every fault of the changes, with its place: what is no heading, action or key, and keys that would do two things,
    /// be typed as letters, or could not leave any more.
    pub fn new(changes: &[Change]) -> Result<Keymap, Vec<Diagnostic>> {
        let mut faults = Vec::new();
        let wanted: Vec<Wanted<'_>> = changes.iter().filter_map(|change| Wanted::of(change, &mut faults)).collect();
        let mut map = Keymap::default();
        // By which of the changes each row has its keys.
        let mut by = Vec::with_capacity(map.bound.len());
        let mut taken: Vec<(&str, Place)> = Vec::new();
        for bound in &mut map.bound {
            let chosen = choose(&wanted, bound, &mut faults);
            by.push(chosen);
            let Some(chosen) = chosen.and_then(|nth| wanted.get(nth)) else { continue };
            // Rows of one name are one action: the first of them takes the keys, the others have none.
            let own = (bound.action.name, bound.place);
            let mut keys = if taken.contains(&own) { Vec::new() } else { chosen.keys() };
            taken.push(own);
            if bound.action.deed == Deed::LeaveAtOnce && !keys.contains(&LAST_WAY_OUT) {
                keys.push(LAST_WAY_OUT);
            }
            (bound.keys, bound.changed) = (Cow::Owned(keys), true);
        }
        map.letters(&wanted, &by, &mut faults);
        map.clashes(&wanted, &by, &mut faults);
        if faults.is_empty() { Ok(map) } else { Err(faults) }
    }

    /// Tells the keys that would be typed as letters where they should do something.
    fn letters(&self, wanted: &[Wanted<'_>], by: &[Option<usize>], faults: &mut Vec<Diagnostic>) {
        let mut typed: Vec<(&At, &Wanted<'_>, Key, Vec<Place>)> = Vec::new();
        for (bound, wanted) in self.bound.iter().zip(by).filter_map(|(bound, nth)| Some((bound, wanted.get((*nth)?)?))) {
            for (key, at) in &wanted.keys {
                if !matches!(key, Key::Char(sign) if bound.place.types(*sign)) {
                    continue;
                }
                match typed.iter_mut().find(|(known, ..)| known == at) {
                    Some((.., places)) => places.push(bound.place),
                    None => typed.push((at, wanted, *key, vec![bound.place])),
                }
            }
        }
        for (at, wanted, key, places) in typed {
            let what = format!("{key} is typed as it stands {}, so it cannot be \"{}\" there", in_words(&places), wanted.name);
            let right = "a key that types nothing (Tab, an arrow, F1 to F24), or a heading without that place, such as `where nothing is typed`";
            faults.push(Diagnostic::error(what, at.clone()).right(right));
        }
    }

    /// Tells the keys that would do two things in one place. Where something else is wrong, only those that are told twice:
    /// once the rest is mended, the other action may well have other keys.
    fn clashes(&self, wanted: &[Wanted<'_>], by: &[Option<usize>], faults: &mut Vec<Diagnostic>) {
        let mut clashes: Vec<Clash> = Vec::new();
        for (nth, one) in self.bound.iter().enumerate() {
            for (other, other_by) in self.bound.iter().zip(by).skip(nth + 1) {
                if one.place != other.place || one.action.name == other.action.name {
                    continue;
                }
                // A change comes after what is the program's own, and a later line after an earlier one.
                let mut pair = [(by.get(nth).copied().flatten(), one.action.name), (*other_by, other.action.name)];
                pair.sort_by_key(|(by, _)| *by);
                for key in one.keys.iter().filter(|key| other.keys.contains(key)) {
                    match clashes.iter_mut().find(|clash| clash.key == *key && clash.pair == pair) {
                        Some(clash) => clash.places.push(one.place),
                        None => clashes.push(Clash { key: *key, pair, places: vec![one.place] }),
                    }
                }
            }
        }
        let sure = faults.is_empty();
        for Clash { key, pair: [(before, first), (after, second)], places } in clashes {
            let at = |by: Option<usize>| by.and_then(|nth| wanted.get(nth)?.at(key)).cloned();
            let Some(place) = at(after) else { continue };
            let fault = Diagnostic::error(format!("{key} would do two things {}: \"{first}\" and \"{second}\"", in_words(&places)), place);
            match at(before) {
                Some(other) => faults.push(fault.also(format!("it is given to \"{first}\" here"), other).right("another key for one of the two")),
                None if sure => faults.push(fault.right(format!("another key; or give \"{first}\", whose own key it is, other keys as well"))),
                None => {}
            }
        }
    }

    /// What the key does in this place.
    pub fn deed(&self, key: Key, place: Place) -> Option<Deed> {
        self.bound.iter().find(|bound| bound.place == place && bound.keys.contains(&key)).map(|bound| bound.action.deed)
    }

    /// The key that does this here, as a text on the screen names it: the one wished for where it still does it, else the
    /// first that does; `None` where none does.
    pub fn key(&self, deed: Deed, place: Place, wish: Key) -> Option<String> {
        let all = || self.bound.iter().filter(|bound| bound.place == place && bound.action.deed == deed).flat_map(|bound| bound.keys.iter());
        all().find(|key| **key == wish).or_else(|| all().next()).map(Key::to_string)
    }

    /// The hints for the foot of the screen as `(key, label)`, as many as fit into `columns` with two between them; `open`
    /// tells whether a deed would do anything now.
    pub fn hints(&self, place: Place, columns: usize, open: &dyn Fn(Deed) -> bool) -> Vec<(String, &'static str)> {
        let mut chosen: Vec<(u8, usize, String, &'static str)> = self
            .bound
            .iter()
            .enumerate()
            .filter(|(_, bound)| !bound.action.label.is_empty() && bound.place == place && open(bound.action.deed))
            .filter_map(|(nth, bound)| Some((bound.action.priority, nth, bound.keys.first()?.to_string(), bound.action.label)))
            .collect();
        chosen.sort_by_key(|(priority, nth, ..)| (*priority, *nth));
        let mut used = 0;
        chosen.retain(|(_, _, key, label)| {
            let wanted = width(key) + 1 + width(label) + if used == 0 { 0 } else { 2 };
            let fits = used + wanted <= columns;
            used += if fits { wanted } else { 0 };
            fits
        });
        chosen.sort_by_key(|(_, nth, ..)| *nth);
        chosen.into_iter().map(|(_, _, key, label)| (key, label)).collect()
    }

    /// Everything that works in one place, in the order of the table; what has been left without a key stands there too.
    pub fn at(&self, place: Place) -> impl Iterator<Item = Listed<'_>> {
        let here = move |bound: &&Bound| bound.place == place;
        let of = |bound: &Bound, name: &str| bound.action.name == name && !bound.keys.is_empty();
        self.bound
            .iter()
            .filter(here)
            .enumerate()
            .filter(move |(nth, bound)| {
                // A row whose keys another row of its name has taken is none.
                let elsewhere = || self.bound.iter().filter(here).any(|other| of(other, bound.action.name));
                let before = || self.bound.iter().filter(here).take(*nth).any(|other| other.action.name == bound.action.name);
                !bound.keys.is_empty() || !(elsewhere() || before())
            })
            .map(|(_, bound)| Listed { action: bound.action, keys: &bound.keys, changed: bound.changed })
    }

    /// Every action with its keys under the first place where it has these, `here` before all others.
    pub fn listed(&self, here: Place) -> Vec<(Place, Vec<Listed<'_>>)> {
        let mut told: Vec<(&str, &str, &[Key])> = Vec::new();
        let mut all = Vec::new();
        for place in [here].into_iter().chain(Place::ALL.iter().copied().filter(|place| *place != here)) {
            let mut rows: Vec<Listed<'_>> = self.at(place).collect();
            rows.retain(|row| {
                let row = (row.action.name, row.action.help, row.keys);
                let first = !told.contains(&row);
                told.extend(first.then_some(row));
                first
            });
            if !rows.is_empty() {
                all.push((place, rows));
            }
        }
        all
    }
}

/// A key that would do two things.
struct Clash {
    key: Key,
    /// By which change, if by any, and what; the one that came first before the other.
    pair: [(Option<usize>, &'static str); 2],
    places: Vec<Place>,
}

/// Which of the changes gives a row its keys.
fn choose(wanted: &[Wanted<'_>], bound: &Bound, faults: &mut Vec<Diagnostic>) -> Option<usize> {
    let mut naming: Vec<(usize, &Wanted<'_>)> =
        wanted.iter().enumerate().filter(|(_, wanted)| wanted.name == bound.action.name && wanted.places.contains(&bound.place)).collect();
    naming.sort_by_key(|(_, wanted)| wanted.places.len());
    if let [(_, first), (_, second), ..] = *naming
        && first.places.len() == second.places.len()
    {
        let what = format!("\"{}\" is given its keys {} twice", first.name, in_words(&[bound.place]));
        let fault = Diagnostic::error(what, second.action.clone()).also("given first here", first.action.clone()).right("keep one of the two");
        // Rows of one name and places of one heading would say it again.
        if !faults.iter().any(|known| known.at == fault.at && known.also == fault.also) {
            faults.push(fault);
        }
    }
    naming.first().map(|(nth, _)| *nth)
}

/// A change of which it is known what it is about.
struct Wanted<'c> {
    name: &'static str,
    places: &'static [Place],
    /// Where the action is named.
    action: &'c At,
    keys: Vec<(Key, &'c At)>,
}

impl<'c> Wanted<'c> {
    fn of(change: &'c Change, faults: &mut Vec<Diagnostic>) -> Option<Self> {
        let Some(places) = heading(&fold(&change.heading.value)) else {
            let fault = Diagnostic::error(format!("there is no place \"{}\"", change.heading.value), change.heading.at.clone());
            let names: Vec<String> = headings().map(|(name, _)| name).collect();
            let fault = fault.right(near_or_all(&change.heading.value, names.iter().map(String::as_str), ""));
            // Told once, whatever stands under it.
            if !faults.contains(&fault) {
                faults.push(fault);
            }
            return None;
        };
        let name = fold(&change.action.value);
        let here = || ACTIONS.iter().filter(|action| action.places.iter().any(|place| places.contains(place)));
        let Some(action) = here().find(|action| action.name == name) else {
            let mut names: Vec<&str> = here().map(|action| action.name).collect();
            names.sort_unstable();
            names.dedup();
            let elsewhere: Vec<Place> = ACTIONS.iter().filter(|action| action.name == name).flat_map(|action| action.places).copied().collect();
            let right = if elsewhere.is_empty() { near_or_all(&name, names, "") } else { format!("it can be done {}", in_words(&elsewhere)) };
            // "Nothing that can be done everywhere" would be something else.
            let there = if places.len() < Place::ALL.len() { format!(" {}", fold(&change.heading.value)) } else { String::new() };
            let what = format!("\"{}\" is nothing that can be done{there}", change.action.value);
            faults.push(Diagnostic::error(what, change.action.at.clone()).right(right));
            return None;
        };
        let keys = change.keys.iter().filter_map(|told| Some((read(told, action, faults)?, &told.at))).collect();
        Some(Wanted { name: action.name, places, action: &change.action.at, keys })
    }

    /// Its keys, each once.
    fn keys(&self) -> Vec<Key> {
        let mut keys = Vec::new();
        for (key, _) in &self.keys {
            if !keys.contains(key) {
                keys.push(*key);
            }
        }
        keys
    }

    fn at(&self, key: Key) -> Option<&'c At> {
        self.keys.iter().find(|(own, _)| *own == key).map(|(_, at)| *at)
    }
}

/// A key as it is written in the file.
fn read(told: &Told<String>, action: &Action, faults: &mut Vec<Diagnostic>) -> Option<Key> {
    let written = told.value.trim();
    let fault = |what: String, right: String| Diagnostic::error(what, told.at.clone()).right(right);
    match Key::read(written) {
        Some(LAST_WAY_OUT) if action.deed != Deed::LeaveAtOnce => {
            faults.push(fault(format!("{LAST_WAY_OUT} always leaves and can do nothing else"), "another key".to_owned()));
            None
        }
        Some(key) => Some(key),
        None => {
            let several: Vec<&str> = written.split(',').map(str::trim).collect();
            let right = match Key::sent_instead(written) {
                Some(sent) => format!("{sent}: a terminal sends the same for both"),
                None if several.len() > 1 && several.iter().all(|one| Key::read(one).is_some()) => {
                    format!("several keys stand in brackets: [{}]", several.join(", "))
                }
                None => {
                    let near = did_you_mean(written, Key::names()).map(|near| format!("{near} ")).unwrap_or_default();
                    format!("{near}a key is written as {}", Key::how_written())
                }
            };
            faults.push(fault(format!("\"{}\" is no key", told.value), right));
            None
        }
    }
}

/// `at the vice`; `in the list of dressings and on a plan`; `on a plan and in 3 more places`.
fn in_words(places: &[Place]) -> String {
    let mut places = places.to_vec();
    places.dedup();
    match *places {
        [] => String::new(),
        [one] => fold(one.words()),
        [one, other] => format!("{} and {}", fold(one.words()), fold(other.words())),
        [one, ref more @ ..] => format!("{} and in {} more places", fold(one.words()), more.len()),
    }
}
