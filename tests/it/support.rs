//! What several tests need: benches laid out in a folder of their own.

use std::fs;
use std::path::{Path, PathBuf};

/// The folder of test cases.
pub(crate) fn cases() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join("cases")
}

/// Copies a folder over another.
pub(crate) fn lay(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let there = to.join(path.file_name().unwrap());
        if path.is_dir() {
            lay(&path, &there);
        } else {
            fs::copy(&path, &there).unwrap();
        }
    }
}

/// A good small bench in a folder of its own.
pub(crate) fn good_bench() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    lay(&cases().join("base"), dir.path());
    dir
}

/// What loading a bench and working its cards has to say, as people read it.
pub(crate) fn report(dir: &Path) -> (herl::bench::Loaded, String) {
    let mut loaded = herl::bench::load(dir);
    let worked = herl::bench::cards::check(&loaded.bench);
    loaded.findings.extend(worked.into_iter().filter(|found| !loaded.findings.contains(found)).collect::<Vec<_>>());
    let page = page(dir, &loaded);
    (loaded, page)
}

/// What loading a bench alone has to say.
pub(crate) fn read(dir: &Path) -> (herl::bench::Loaded, String) {
    let loaded = herl::bench::load(dir);
    let page = page(dir, &loaded);
    (loaded, page)
}

fn page(dir: &Path, loaded: &herl::bench::Loaded) -> String {
    herl::bench::report::render(&loaded.findings, &|file| herl::bench::yaml::text_of(&dir.join(file)))
}
