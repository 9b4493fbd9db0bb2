//! The demo bench, embedded: it lets a newcomer try everything before writing a file.

/// Each file's path within the bench, with its text.
macro_rules! files {
    ($($path:literal,)*) => { &[$(($path, include_str!(concat!("../../recipes-demo/", $path))),)*] };
}

/// The files of the demo bench: path within the bench, and text.
pub const FILES: &[(&str, &str)] = files![
    "bench.yaml",
    "dressings/ashgarth-dun.yaml",
    "dressings/beacon-hairwing.yaml",
    "dressings/belfry-parachute.yaml",
    "dressings/cartshed-nymph.yaml",
    "dressings/chantry-pennant.yaml",
    "dressings/cinder-spinner.yaml",
    "dressings/coalhole-beetle.yaml",
    "dressings/dovecote-thorax.yaml",
    "dressings/gorsedale-spider.yaml",
    "dressings/hopyard-quill.yaml",
    "dressings/juniper-hackle.yaml",
    "dressings/kiln-row-nymph.yaml",
    "dressings/limekiln-nymph.yaml",
    "dressings/lychgate-sedge.yaml",
    "dressings/nettlebed-wet.yaml",
    "dressings/osier-shrimp.yaml",
    "dressings/oxbow-drake.yaml",
    "dressings/pitprop-jig.yaml",
    "dressings/portcullis-tube.yaml",
    "dressings/quarry-bead.yaml",
    "dressings/ropewalk-emerger.yaml",
    "dressings/sluice-minnow.yaml",
    "dressings/stackyard-palmer.yaml",
    "dressings/tollbar-claret.yaml",
    "dressings/whinstone-spider.yaml",
    "hooks.yaml",
    "materials.yaml",
    "orders/hollow-tarn-half-dozens.yaml",
    "orders/penny-ferry-big-flies.yaml",
    "orders/reedholm-summer-trays.yaml",
    "orders/upper-lathe-spring-box.yaml",
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;
    use std::path::Path;

    fn walk(dir: &Path, root: &Path, found: &mut BTreeSet<String>) {
        for entry in std::fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, root, found);
            } else {
                found.insert(path.strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/"));
            }
        }
    }

    #[test]
    fn the_list_and_the_folder_agree() {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes-demo");
        let mut found = BTreeSet::new();
        walk(&root, &root, &mut found);
        let listed: BTreeSet<String> = FILES.iter().map(|(path, _)| (*path).to_owned()).collect();
        assert_eq!(found, listed, "recipes-demo/ and the list in demo.rs hold the same files");
    }
}
