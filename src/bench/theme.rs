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
    let mut places = Vec::new();
    let mut colour = |key: &'static str| {
        let value = r.need(key, "a colour, such as `\"#8a7f5c\"`")?;
        places.push((key, value.at.clone()));
        colours::read(&value)
    };
    // All are asked for before any is missed, so that every fault is told at once.
    let [ground, ink, quiet, bright, weak, fault, steel] = ["ground", "ink", "quiet", "bright", "weak", "fault", "steel"].map(&mut colour);
    let colours = Colours { ground: ground?, ink: ink?, quiet: quiet?, bright: bright?, weak: weak?, fault: fault?, steel: steel? };
    for (key, ratio) in colours.hard_to_read() {
        let at = places.iter().find(|(own, _)| *own == key).map_or_else(|| r.at.clone(), |(_, at)| at.clone());
        let on = if ratio.on_bar { "the bar, which lies a tenth from `ground` toward `ink`," } else { "`ground`" };
        let what = format!("`{key}` on {on} has a contrast of {:.2} to 1, and is hard to read", ratio.contrast);
        r.faults
            .push(Diagnostic::advice(what, at).right(format!("{LEGIBLE} to 1 or more (WCAG 2.2, 1.4.3): lighter on a dark ground, darker on a bright one")));
    }
    Some(colours)
}

/// Contrast that text has at least (WCAG 2.2, success criterion 1.4.3).
pub const LEGIBLE: f64 = 4.5;

/// A pair of colours that text is shown in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// Its contrast.
    pub contrast: f64,
    /// On the bars at head and foot, not on the ground.
    pub on_bar: bool,
}

impl Colours {
    /// What the bars at the head and the foot lie on.
    pub fn raised(&self) -> Rgb {
        toward(self.ground, self.ink, 0.1)
    }

    /// The colours of text that are too near what they lie on, each once, by their keys.
    pub fn hard_to_read(&self) -> Vec<(&'static str, Pair)> {
        let on_ground = [("ink", self.ink), ("quiet", self.quiet), ("bright", self.bright), ("weak", self.weak), ("fault", self.fault)];
        let on_bar = [("ink", self.ink), ("bright", self.bright)];
        let mut found: Vec<(&'static str, Pair)> = Vec::new();
        for (on, all) in [(self.ground, &on_ground[..]), (self.raised(), &on_bar[..])] {
            for (key, colour) in all {
                let pair = Pair { contrast: contrast(*colour, on), on_bar: on != self.ground };
                if pair.contrast < LEGIBLE && !found.iter().any(|(other, _)| other == key) {
                    found.push((key, pair));
                }
            }
        }
        found
    }
}

/// A colour so far (0 to 1) toward another.
pub fn toward(from: Rgb, to: Rgb, share: f64) -> Rgb {
    let mix = |a: u8, b: u8| (f64::from(a) + (f64::from(b) - f64::from(a)) * share).round().clamp(0.0, 255.0) as u8;
    [mix(from[0], to[0]), mix(from[1], to[1]), mix(from[2], to[2])]
}

/// Contrast of two colours, 1 to 21 (WCAG 2.2, definitions of contrast ratio and relative luminance).
pub fn contrast(a: Rgb, b: Rgb) -> f64 {
    let luminance = |colour: Rgb| {
        let [red, green, blue] = colour.map(|part| {
            let share = f64::from(part) / 255.0;
            if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * red + 0.7152 * green + 0.0722 * blue
    };
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
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
    fn a_theme_of_ones_own_that_is_hard_to_read_is_told_by_its_colours() {
        let faults = Faults::default();
        // Grey 0x77 on white has 4.48 to 1, 0x76 has 4.54 (WCAG 2.2, contrast ratio).
        let text = "theme: pale\nground: white\nink: black\nquiet: \"#777777\"\nbright: \"#767676\"\nweak: black\nfault: black\nsteel: grey\n";
        assert!(read(&Source::new(Path::new("themes/pale.yaml").into(), text.to_owned()), &faults).is_some());
        let told: Vec<String> = faults.into_list().into_iter().filter(|fault| !fault.is_error()).map(|fault| fault.what).collect();
        assert_eq!(
            told,
            [
                "`quiet` on `ground` has a contrast of 4.48 to 1, and is hard to read",
                "`bright` on the bar, which lies a tenth from `ground` toward `ink`, has a contrast of 3.64 to 1, and is hard to read"
            ]
        );
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
