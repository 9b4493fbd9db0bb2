//! Themes: a few named colours in a file, from which every style of the screen is made. Three come with the program;
//! a bench's own stand in its folder `themes/` and win over those of the same name.

use super::Faults;
use super::colours;
use super::reader::Reader;
use super::yaml::{self, Read, Source};
use crate::diagnostic::{Diagnostic, Told, near_or_all};
use crate::measure::words::fold;
use std::path::Path;

/// Red, green, blue.
pub type Rgb = [u8; 3];

/// The themes that come with the program: file, text.
const BUILT_IN: &[(&str, &str)] = &[
    ("themes/dark-bench.yaml", include_str!("../../themes/dark-bench.yaml")),
    ("themes/bright-bench.yaml", include_str!("../../themes/bright-bench.yaml")),
    ("themes/no-colour.yaml", include_str!("../../themes/no-colour.yaml")),
];

/// A theme.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Theme {
    /// Its name.
    pub name: String,
    /// Its colours; `None` is a theme without any.
    pub colours: Option<Colours>,
}

/// The colours of a theme.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colours {
    /// What everything lies on.
    pub ground: Rgb,
    /// Text and figures.
    pub ink: Rgb,
    /// What stands back: headings of columns, the rule, hints.
    pub quiet: Rgb,
    /// What stands out: what is chosen, titles, keys.
    pub bright: Rgb,
    /// Figures that are weak: rules of thumb, assumptions; advice.
    pub weak: Rgb,
    /// What is broken.
    pub fault: Rgb,
    /// The steel of the hook.
    pub steel: Rgb,
}

impl Default for Theme {
    /// The first of those that come with the program.
    fn default() -> Self {
        built_in().into_iter().next().unwrap_or(Theme { name: "no colour".to_owned(), colours: None })
    }
}

/// The themes that come with the program.
pub fn built_in() -> Vec<Theme> {
    let faults = Faults::default();
    BUILT_IN.iter().filter_map(|(file, text)| read(&Source::new(Path::new(file).into(), (*text).to_owned()), &faults)).collect()
}

/// The theme a bench asks for, from its own folder or from those that come with the program; the usual one where it
/// asks for none, or for one that is not there.
pub(super) fn of_bench(dir: &Path, asked: Option<&Told<String>>, faults: &Faults) -> Theme {
    let mut themes = Vec::new();
    for (path, file) in super::folder(dir, "themes", faults) {
        if let Read::Text(source) = yaml::read(&path, &file, faults) {
            themes.extend(read(&source, faults));
        }
    }
    themes.extend(built_in());
    let Some(asked) = asked else { return Theme::default() };
    let wanted = fold(&asked.value);
    match themes.iter().find(|theme| fold(&theme.name) == wanted) {
        Some(theme) => theme.clone(),
        None => {
            let hint = near_or_all(&asked.value, themes.iter().map(|theme| theme.name.as_str()), "no theme: there is none");
            faults.push(Diagnostic::advice(format!("there is no theme \"{}\"", asked.value), asked.at.clone()).right(hint));
            Theme::default()
        }
    }
}

fn read(source: &Source, faults: &Faults) -> Option<Theme> {
    let map = yaml::parse(source, faults)?;
    let mut r = Reader::new(source, &map, source.at(), "a theme", faults);
    let name = r.need("theme", "a name, such as `theme: my bench`")?.text()?.value;
    let none = r.get("colours").and_then(|value| value.choice(&[("none", ())])).is_some();
    let colours = if none { None } else { Some(all(&mut r)) };
    r.end();
    match colours {
        None => Some(Theme { name, colours: None }),
        Some(colours) => Some(Theme { name, colours: Some(colours?) }),
    }
}

fn all(r: &mut Reader<'_>) -> Option<Colours> {
    let mut colour = |key: &'static str| r.need(key, "a colour, such as `\"#8a7f5c\"`").and_then(|value| colours::read(&value));
    // All are asked for before any is missed, so that every fault is told at once.
    let [ground, ink, quiet, bright, weak, fault, steel] = ["ground", "ink", "quiet", "bright", "weak", "fault", "steel"].map(&mut colour);
    Some(Colours { ground: ground?, ink: ink?, quiet: quiet?, bright: bright?, weak: weak?, fault: fault?, steel: steel? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_built_in_themes_are_read_without_a_fault() {
        let faults = Faults::default();
        for (file, text) in BUILT_IN {
            assert!(read(&Source::new(Path::new(file).into(), (*text).to_owned()), &faults).is_some(), "{file}");
        }
        assert_eq!(faults.into_list(), []);
        assert_eq!(Theme::default().name, "dark bench");
    }

    #[test]
    fn a_theme_that_is_not_there_is_told_with_the_nearest() {
        let faults = Faults::default();
        let asked = Told::new("brigth bench".to_owned(), crate::diagnostic::At::file(Path::new("bench.yaml")).key("theme"));
        assert_eq!(of_bench(Path::new("no such folder"), Some(&asked), &faults), Theme::default());
        let told = faults.into_list();
        assert_eq!(told.len(), 1);
        assert!(told.iter().all(|fault| !fault.is_error() && fault.right.as_deref() == Some("did you mean \"bright bench\"?")), "{told:?}");
    }
}
