//! The settings of this machine, `settings.yaml`: which bench, and whether a bell may ring in this room.

use super::Faults;
use super::reader::Reader;
use super::yaml::{self, Read, Source};
use crate::diagnostic::{Diagnostic, Told};
use std::path::Path;
use std::sync::Arc;

/// The settings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// The folder of the bench, as it is written.
    pub bench: Option<Told<String>>,
    /// A bell rings where something is to be noticed without a look at the screen.
    pub bell: bool,
}

/// Reads the settings; where there are none, all is as usual. What is wrong is told, and is as usual too.
pub fn read(path: &Path) -> (Settings, Vec<Diagnostic>) {
    let file: Arc<Path> = path.into();
    let faults = Faults::default();
    let settings = match yaml::read(path, &file, &faults) {
        Read::Text(source) => of_text(&source, &faults),
        Read::Absent | Read::Refused => Settings::default(),
    };
    (settings, faults.into_list())
}

fn of_text(source: &Source, faults: &Faults) -> Settings {
    let Some(map) = yaml::parse(source, faults) else { return Settings::default() };
    let mut r = Reader::new(source, &map, source.at(), "the settings", faults);
    let bench = r.text("bench");
    let bell = r.get("bell").and_then(|value| value.yes()).is_some_and(|told| told.value);
    r.end();
    Settings { bench, bell }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> (bool, Vec<String>) {
        let faults = Faults::default();
        let settings = of_text(&Source::new(Path::new("settings.yaml").into(), text.to_owned()), &faults);
        (settings.bell, faults.into_list().into_iter().map(|fault| fault.what).collect())
    }

    #[test]
    fn the_bell_is_silent_unless_it_is_wanted() {
        assert_eq!(of("bench: ../yard\n"), (false, Vec::new()));
        assert_eq!(of("bell: yes\n"), (true, Vec::new()));
        assert_eq!(of("bell: no\n"), (false, Vec::new()));
        assert_eq!(of("bell: loud\n"), (false, vec!["\"loud\" is not known here".to_owned()]));
        assert_eq!(of("bel: yes\n"), (false, vec!["\"bel\" is not a key of the settings".to_owned()]));
    }
}
