//! A key as it is pressed, and how it is written: on the screen, and in a file of keys. A pedal or a presenter sends what a
//! keyboard could send, so whatever comes from a keyboard has a name.

use crate::measure::Words;
use std::fmt;
use unicode_width::UnicodeWidthChar as _;

/// A key as it is pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Key {
    /// A letter, figure or sign.
    Char(char),
    /// A letter with the control key.
    Control(char),
    /// A function key, 1 to 24.
    F(u8),
    /// Arrow up.
    Up,
    /// Arrow down.
    Down,
    /// Arrow left.
    Left,
    /// Arrow right.
    Right,
    /// Page up.
    PageUp,
    /// Page down.
    PageDown,
    /// Home.
    Home,
    /// End.
    End,
    /// Insert.
    Insert,
    /// Delete.
    Delete,
    /// Enter.
    Enter,
    /// Escape.
    Escape,
    /// Tab.
    Tab,
    /// Shift and tab.
    BackTab,
    /// Backspace.
    Backspace,
}

/// The keys that are no letters, by their names.
const NAMED: &[(&str, Key)] = &[
    ("Space", Key::Char(' ')),
    ("Enter", Key::Enter),
    ("Esc", Key::Escape),
    ("Tab", Key::Tab),
    ("Shift-Tab", Key::BackTab),
    ("Backspace", Key::Backspace),
    ("Insert", Key::Insert),
    ("Delete", Key::Delete),
    ("Home", Key::Home),
    ("End", Key::End),
    ("PageUp", Key::PageUp),
    ("PageDown", Key::PageDown),
    ("Up", Key::Up),
    ("Down", Key::Down),
    ("Left", Key::Left),
    ("Right", Key::Right),
];

/// What else keyboards have printed on those keys.
const ALSO: &[(&str, Key)] = &[
    ("Spacebar", Key::Char(' ')),
    ("Return", Key::Enter),
    ("Escape", Key::Escape),
    ("BackTab", Key::BackTab),
    ("Ins", Key::Insert),
    ("Del", Key::Delete),
    ("PgUp", Key::PageUp),
    ("PgDn", Key::PageDown),
];

/// Signs by name, for those that mean something to YAML or are hard to see.
const SIGNS: &[(&str, char)] = &[
    ("Plus", '+'),
    ("Minus", '-'),
    ("Equals", '='),
    ("Slash", '/'),
    ("Backslash", '\\'),
    ("Comma", ','),
    ("Period", '.'),
    ("Colon", ':'),
    ("Semicolon", ';'),
    ("Question", '?'),
    ("Exclamation", '!'),
    ("Quote", '"'),
    ("Apostrophe", '\''),
    ("Grave", '`'),
    ("Tilde", '~'),
    ("Hash", '#'),
    ("Percent", '%'),
    ("Ampersand", '&'),
    ("Asterisk", '*'),
    ("At", '@'),
    ("Dollar", '$'),
    ("Caret", '^'),
    ("Underscore", '_'),
    ("Bar", '|'),
    ("Less", '<'),
    ("Greater", '>'),
];

impl Key {
    /// Reads a key by its name: `down`, `PageDown` or `Page Down`, `F13`, `Shift-Tab`, `Ctrl-c`, `Minus`, or the letter or
    /// sign itself. Names may be in any case; letters by themselves may not: `w` and `W` are two keys.
    pub fn read(name: &str) -> Option<Key> {
        let mut chars = name.chars();
        if let (Some(only), None) = (chars.next(), chars.next()) {
            return typed(only).then_some(Key::Char(only));
        }
        let bare = squeezed(name);
        if let Some((_, key)) = NAMED.iter().chain(ALSO).find(|(named, _)| squeezed(named) == bare) {
            return Some(*key);
        }
        if let Some((_, sign)) = SIGNS.iter().find(|(named, _)| squeezed(named) == bare) {
            return Some(Key::Char(*sign));
        }
        if let Some(nth) = function(&bare) {
            return Some(Key::F(nth));
        }
        let (before, with) = name.split_once(['-', '+'])?;
        match before.trim().to_ascii_lowercase().as_str() {
            "ctrl" | "control" => control(with.trim()),
            "shift" => shift(with.trim()),
            _ => None,
        }
    }

    /// Every name a key may have but those of letters, of `F2` to `F24` and of keys with Ctrl.
    pub fn names() -> impl Iterator<Item = &'static str> {
        NAMED.iter().map(|(name, _)| *name).chain(SIGNS.iter().map(|(name, _)| *name))
    }

    /// How keys are written, for whoever wrote one otherwise.
    pub fn how_written() -> String {
        let named: Vec<&str> = NAMED.iter().map(|(name, _)| *name).collect();
        format!(
            "a letter, figure or sign by itself (p, P, 5, \"?\"), {}, F1 to F24, Ctrl- and a letter, or a sign's name (Minus, Slash, Question)",
            named.join(", ")
        )
    }

    /// What a terminal sends for a key that is written so, where it cannot send that very key.
    pub fn sent_instead(name: &str) -> Option<Key> {
        let bare = squeezed(name);
        // ECMA-48: HT, CR and ESC are Ctrl with I, M and [; BS is H, which is Backspace on some terminals and not on others.
        [("ctrli", Key::Tab), ("ctrlm", Key::Enter), ("ctrl[", Key::Escape), ("shiftspace", Key::Char(' ')), ("shiftenter", Key::Enter)]
            .into_iter()
            .find(|(written, _)| *written == bare.replace("control", "ctrl"))
            .map(|(_, key)| key)
    }
}

/// Whether a sign can be typed and shown by itself.
fn typed(sign: char) -> bool {
    Words::new(sign.encode_utf8(&mut [0; 4])).as_str().chars().eq([sign]) && sign.width().is_some_and(|width| width > 0)
}

/// A name without what people put between its words.
fn squeezed(name: &str) -> String {
    name.chars().filter(|c| !matches!(c, ' ' | '-' | '_')).collect::<String>().to_ascii_lowercase()
}

fn function(bare: &str) -> Option<u8> {
    let nth = bare.strip_prefix('f')?;
    let plain = nth.bytes().all(|b| b.is_ascii_digit()) && !nth.starts_with('0');
    nth.parse().ok().filter(|nth| plain && (1..=24).contains(nth))
}

fn control(with: &str) -> Option<Key> {
    if squeezed(with) == "space" {
        return Some(Key::Control(' '));
    }
    let mut chars = with.chars();
    let letter = chars.next().filter(|c| c.is_ascii_alphabetic() && chars.next().is_none())?.to_ascii_lowercase();
    (!matches!(letter, 'i' | 'm')).then_some(Key::Control(letter))
}

fn shift(with: &str) -> Option<Key> {
    let mut chars = with.chars();
    if let (Some(letter @ 'a'..='z' | letter @ 'A'..='Z'), None) = (chars.next(), chars.next()) {
        return Some(Key::Char(letter.to_ascii_uppercase()));
    }
    if squeezed(with) == "tab" {
        return Some(Key::BackTab);
    }
    // Most terminals send the same for both.
    function(&squeezed(with)).filter(|nth| *nth <= 12).map(|nth| Key::F(nth + 12))
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (NAMED.iter().find(|(_, key)| key == self), self) {
            (Some((name, _)), _) => f.write_str(name),
            (None, Key::Char(c)) => write!(f, "{c}"),
            (None, Key::Control(' ')) => f.write_str("Ctrl-Space"),
            (None, Key::Control(c)) => write!(f, "Ctrl-{c}"),
            (None, Key::F(nth)) => write!(f, "F{nth}"),
            (None, _) => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_reads_back_from_its_name_in_any_case() {
        let named = NAMED.iter().chain(ALSO).map(|(_, key)| *key).chain((1..=24).map(Key::F)).chain([Key::Control('c'), Key::Control(' ')]);
        for key in named {
            let name = key.to_string();
            for written in [name.clone(), name.to_lowercase(), name.to_uppercase()] {
                assert_eq!(Key::read(&written), Some(key), "{written}");
            }
        }
        for (name, sign) in SIGNS {
            assert_eq!(Key::read(name), Some(Key::Char(*sign)));
            assert_eq!(Key::read(&sign.to_string()), Some(Key::Char(*sign)));
        }
        for (written, key) in [
            ("page down", Key::PageDown),
            ("Page-Up", Key::PageUp),
            ("pgdn", Key::PageDown),
            ("return", Key::Enter),
            ("Shift-F1", Key::F(13)),
            ("Shift+Tab", Key::BackTab),
        ] {
            assert_eq!(Key::read(written), Some(key), "{written}");
        }
        assert_eq!((Key::read("w"), Key::read("W"), Key::read("shift-w")), (Some(Key::Char('w')), Some(Key::Char('W')), Some(Key::Char('W'))));
        assert_eq!((Key::read("F"), Key::read("-"), Key::read("ß")), (Some(Key::Char('F')), Some(Key::Char('-')), Some(Key::Char('ß'))));
    }

    #[test]
    fn what_is_no_key_is_none() {
        for written in
            ["", "F0", "F25", "F013", "F+1", "Ctrl-", "Ctrl-i", "Ctrl-é", "Ctrl-cc", "Alt-x", "pedal", "\u{202e}", "\u{7}", "e\u{301}", "\u{301}", "--"]
        {
            assert_eq!(Key::read(written), None, "{written:?}");
        }
        assert_eq!((Key::sent_instead("Ctrl-I"), Key::sent_instead("shift space"), Key::sent_instead("Ctrl-a")), (Some(Key::Tab), Some(Key::Char(' ')), None));
    }
}
