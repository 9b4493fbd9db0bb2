//! What several tests need: benches laid out in a folder of their own.

use std::fs;
use std::path::{Path, PathBuf};

/// The folder of test cases.
pub fn cases() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join("cases")
}

/// Copies a folder over another.
pub fn lay(from: &Path, to: &Path) {
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
pub fn good_bench() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    lay(&cases().join("base"), dir.path());
    dir
}

/// What loading a bench and working its cards has to say, as people read it.
pub fn report(dir: &Path) -> (herl::bench::Loaded, String) {
    let mut loaded = herl::bench::load(dir);
    let worked = herl::bench::cards::check(&loaded.bench);
    loaded.findings.extend(worked.into_iter().filter(|found| !loaded.findings.contains(found)).collect::<Vec<_>>());
    let text = |file: &Path| fs::read(dir.join(file)).ok().map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
    let page = herl::bench::report::render(&loaded.findings, &text);
    (loaded, page)
}
