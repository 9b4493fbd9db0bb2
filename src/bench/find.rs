//! Which bench: the one named, the one at hand, the one of the settings, or a private copy of the demo.

use super::{demo, settings};
use crate::diagnostic::{At, Diagnostic};
use std::fs;
use std::path::{Path, PathBuf};

/// The folders of the user, as the terminal's environment tells them.
#[derive(Clone, Debug)]
pub struct Surroundings {
    /// The folder the program was started in.
    pub cwd: PathBuf,
    /// Where the user's settings of all programs are kept (XDG_CONFIG_HOME, or what stands for it).
    pub config_dir: Option<PathBuf>,
    /// Where the user's data of all programs are kept (XDG_DATA_HOME, or what stands for it).
    pub data_dir: Option<PathBuf>,
}

impl Surroundings {
    /// Where the settings stand, if there is a folder for such things.
    pub fn settings_file(&self) -> Option<PathBuf> {
        self.own("settings.yaml")
    }

    /// Where the keys that a dresser has changed stand.
    pub fn keys_file(&self) -> Option<PathBuf> {
        self.own("keys.yaml")
    }

    fn own(&self, name: &str) -> Option<PathBuf> {
        self.config_dir.as_ref().map(|dir| dir.join("herl").join(name))
    }
}

/// A bench that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Its folder.
    pub dir: PathBuf,
    /// How it was found.
    pub how: How,
}

/// How a bench was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// Named on the command line.
    Named,
    /// At the folder the program was started in, or above it.
    AtHand,
    /// Named in the settings.
    Settings,
    /// The private copy of the demo, as it was left.
    Demo,
    /// The private copy of the demo, made just now.
    DemoMade,
}

impl Found {
    /// What the user is to be told of the way the bench was found, if anything.
    pub fn said(&self) -> Option<String> {
        match self.how {
            How::Named | How::AtHand | How::Settings => None,
            How::Demo => Some(format!("no bench here: this is your copy of the demo bench, {}", self.dir.display())),
            How::DemoMade => Some(format!("no bench here: a copy of the demo bench was made for you in {}", self.dir.display())),
        }
    }
}

/// Finds the bench. `named`: as given by `--bench`.
///
/// # Errors
/// The folder named is none, the settings are wrong, or the demo cannot be written.
pub fn find(named: Option<&Path>, around: &Surroundings) -> Result<Found, Vec<Diagnostic>> {
    if let Some(named) = named {
        let dir = around.cwd.join(named);
        return if dir.is_dir() {
            Ok(Found { dir, how: How::Named })
        } else {
            Err(vec![Diagnostic::error("there is no such folder", At::file(named)).right("the folder of a bench: the one that has bench.yaml in it")])
        };
    }
    if let Some(dir) = around.cwd.ancestors().find(|dir| dir.join("bench.yaml").is_file()) {
        return Ok(Found { dir: dir.to_owned(), how: How::AtHand });
    }
    if let Some(dir) = of_settings(around)? {
        return Ok(Found { dir, how: How::Settings });
    }
    match &around.data_dir {
        Some(data) => own_demo(&data.join("herl").join("demo-bench")),
        None => Err(vec![unplaced(
            "there is no bench here, and no folder of yours to keep a demo bench in",
            "go to a bench's folder, or say `--bench` and the folder",
        )]),
    }
}

fn unplaced(what: impl Into<String>, right: &str) -> Diagnostic {
    Diagnostic { at: None, ..Diagnostic::error(what, At::file(Path::new(""))).right(right) }
}

/// The bench that the settings name, if there are settings and they name one.
fn of_settings(around: &Surroundings) -> Result<Option<PathBuf>, Vec<Diagnostic>> {
    let Some(path) = around.settings_file() else { return Ok(None) };
    let (settings, mut faults) = settings::read(&path);
    // A path that does not begin at the root is counted from the settings' own folder.
    let dir = settings.bench.as_ref().map(|told| path.parent().unwrap_or(&path).join(told.value.trim()));
    if let (Some(dir), Some(told)) = (&dir, settings.bench)
        && !dir.is_dir()
    {
        faults.push(Diagnostic::error("there is no such folder", told.at).right("the folder of a bench: the one that has bench.yaml in it"));
    }
    if faults.iter().any(Diagnostic::is_error) { Err(faults) } else { Ok(dir) }
}

/// The private copy of the demo. What is there is left as it is, whatever the dresser did with it.
fn own_demo(dir: &Path) -> Result<Found, Vec<Diagnostic>> {
    if dir.exists() {
        return Ok(Found { dir: dir.to_owned(), how: How::Demo });
    }
    match write_demo(dir) {
        Ok(()) => Ok(Found { dir: dir.to_owned(), how: How::DemoMade }),
        Err(error) => {
            let what = format!("the demo bench cannot be written: {error}");
            Err(vec![Diagnostic::error(what, At::file(dir)).right("go to a bench's folder, or say `--bench` and the folder")])
        }
    }
}

/// Writes the demo beside its place and moves it there whole, so that it is never half there.
fn write_demo(dir: &Path) -> std::io::Result<()> {
    let parent = dir.parent().unwrap_or(dir);
    fs::create_dir_all(parent)?;
    let beside = tempfile::Builder::new().prefix(".demo-bench-").tempdir_in(parent)?;
    let whole = beside.path().join("bench");
    for (path, text) in demo::FILES {
        let path = whole.join(path);
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)?;
        }
        fs::write(path, text)?;
    }
    fs::rename(whole, dir)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn around(root: &Path) -> Surroundings {
        let cwd = root.join("somewhere").join("deep");
        fs::create_dir_all(&cwd).unwrap();
        Surroundings { cwd, config_dir: Some(root.join("config")), data_dir: Some(root.join("data")) }
    }

    #[test]
    fn a_bench_is_looked_for_near_then_in_the_settings_then_the_demo() {
        let root = tempfile::tempdir().unwrap();
        let around = around(root.path());
        let made = find(None, &around).unwrap();
        assert_eq!(made.how, How::DemoMade);
        let bench = made.dir.join("bench.yaml");
        assert_eq!(fs::read_to_string(&bench).unwrap(), demo::FILES[0].1, "the demo was written whole");

        fs::write(&bench, "bench: Mine\n").unwrap();
        assert_eq!(find(None, &around).unwrap().how, How::Demo);
        assert_eq!(fs::read_to_string(&bench).unwrap(), "bench: Mine\n", "what the dresser changed is left alone");

        let own = root.path().join("own");
        fs::create_dir_all(&own).unwrap();
        let settings = root.path().join("config").join("herl");
        fs::create_dir_all(&settings).unwrap();
        fs::write(settings.join("settings.yaml"), format!("bench: {}\n", own.display())).unwrap();
        assert_eq!(find(None, &around).unwrap(), Found { dir: own.clone(), how: How::Settings });

        fs::write(settings.join("settings.yaml"), "bench: gone\nbensh: x\n").unwrap();
        let wrong = find(None, &around).unwrap_err();
        assert_eq!(wrong.len(), 2, "the unknown key and the folder that is not there: {wrong:?}");

        fs::write(around.cwd.parent().unwrap().join("bench.yaml"), "bench: Near\n").unwrap();
        assert_eq!(find(None, &around).unwrap(), Found { dir: root.path().join("somewhere"), how: How::AtHand });
        assert_eq!(find(Some(&own), &around).unwrap().how, How::Named);
        assert!(find(Some(Path::new("nowhere")), &around).is_err());
    }
}
