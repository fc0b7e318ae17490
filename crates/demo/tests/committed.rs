//! The committed files under kits/ are what the generator makes, byte for byte, and nothing else lies there.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn kits() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../kits")
}

/// Every file below a folder by its path under kits/; outputs of a check (`out`, `dist`) are no part of a kit.
fn read(folder: &Path, into: &mut BTreeMap<String, Vec<u8>>) {
    for entry in std::fs::read_dir(folder).expect("the folder can be read") {
        let path = entry.expect("the entry can be read").path();
        let name = path.file_name().unwrap_or_default();
        if path.is_dir() {
            if name != "out" && name != "dist" {
                read(&path, into);
            }
        } else {
            let key = path
                .strip_prefix(kits())
                .expect("below kits/")
                .to_string_lossy()
                .replace('\\', "/");
            into.insert(key, std::fs::read(&path).expect("the file can be read"));
        }
    }
}

#[test]
fn the_committed_kits_are_what_the_generator_makes() {
    let made = demo::all().expect("every part is sound");
    let again = demo::all().expect("every part is sound");
    assert!(made == again, "two runs differ");
    let made: BTreeMap<String, Vec<u8>> = made.into_iter().collect();
    let mut committed = BTreeMap::new();
    for folder in ["skerry-light", "faulty", "revisions"] {
        let folder = kits().join(folder);
        if folder.exists() {
            read(&folder, &mut committed);
        }
    }
    let names = |m: &BTreeMap<String, Vec<u8>>| m.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&made), names(&committed), "run `cargo run -p demo`");
    for (name, bytes) in &made {
        assert!(
            committed[name] == *bytes,
            "kits/{name} is not what the generator makes: run `cargo run -p demo`"
        );
    }
    let total: usize = made.values().map(Vec::len).sum();
    assert!(total < 20_000_000, "kits/ holds {total} bytes");
}
