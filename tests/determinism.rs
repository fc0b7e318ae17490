//! The same bytes on every run: with 1, 2 and 8 threads, from another folder, in another time zone and locale;
//! and two releases from two folders are one file.

mod support;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use support::{AS_OF, copy, err, files, kitproof, root, run};

fn check(kit: &Path, jobs: &str, environment: &[(&str, &str)]) -> BTreeMap<String, Vec<u8>> {
    let outputs = tempfile::tempdir().expect("a folder");
    let output = kitproof()
        .args(["check", "--as-of", AS_OF, "--jobs", jobs, "--out"])
        .arg(outputs.path())
        .arg(kit)
        .envs(environment.iter().copied())
        .output()
        .expect("started");
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    files(outputs.path())
}

fn assert_same(a: &BTreeMap<String, Vec<u8>>, b: &BTreeMap<String, Vec<u8>>, what: &str) {
    assert_eq!(
        a.keys().collect::<Vec<_>>(),
        b.keys().collect::<Vec<_>>(),
        "{what}"
    );
    for (name, bytes) in a {
        assert!(*bytes == b[name], "{what}: {name} differs");
    }
}

#[test]
fn threads_folders_time_zones_and_locales_change_no_byte() {
    let kit = root().join("kits/skerry-light");
    let one = check(&kit, "1", &[]);
    assert!(one.contains_key("report.html") && one.contains_key("report.json"));
    assert_same(&one, &check(&kit, "2", &[]), "2 threads");
    assert_same(&one, &check(&kit, "8", &[]), "8 threads");
    let elsewhere = tempfile::tempdir().expect("a folder");
    copy(&kit, &elsewhere.path().join("another name"));
    let abroad = [
        ("TZ", "Pacific/Kiritimati"),
        ("LC_ALL", "tr_TR.UTF-8"),
        ("LANG", "tr_TR.UTF-8"),
    ];
    assert_same(
        &one,
        &check(&elsewhere.path().join("another name"), "2", &abroad),
        "another folder, time zone and locale",
    );
}

#[test]
fn two_releases_from_two_folders_are_one_file_and_no_flipped_byte_passes() {
    let mut bundles = Vec::new();
    let folder = tempfile::tempdir().expect("a folder");
    for (name, jobs) in [("first", "1"), ("second", "2")] {
        let kit = folder.path().join(name);
        copy(&root().join("kits/skerry-light"), &kit);
        let kit_text = kit.to_string_lossy().into_owned();
        let output = run(&["release", &kit_text, "--jobs", jobs, "--as-of", AS_OF, "-q"]);
        assert_eq!(output.status.code(), Some(0), "{}", err(&output));
        let zip = fs::read_dir(kit.join("dist"))
            .expect("dist")
            .flatten()
            .map(|e| e.path())
            .find(|p| p.extension().is_some_and(|e| e == "zip"))
            .expect("a bundle");
        bundles.push((zip.clone(), fs::read(zip).expect("read")));
    }
    assert!(bundles[0].1 == bundles[1].1, "the bundles differ");

    let whole = bundles[0].0.to_string_lossy().into_owned();
    let output = run(&["verify", &whole]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    // Every byte is flipped in the tests of crate archive, on a small bundle; here some of a whole one.
    let bytes = &bundles[0].1;
    let flipped = folder.path().join("flipped.zip");
    for k in 0..24 {
        let at = (bytes.len() - 1) * k / 23;
        let mut copy = bytes.clone();
        copy[at] ^= 1 << (k % 8);
        fs::write(&flipped, &copy).expect("written");
        let output = run(&["verify", &flipped.to_string_lossy()]);
        assert_eq!(
            output.status.code(),
            Some(1),
            "byte {at} of {}",
            bytes.len()
        );
    }
}

#[test]
fn a_blocked_kit_is_not_released() {
    let folder = tempfile::tempdir().expect("a folder");
    let kit = folder.path().join("kit");
    copy(&root().join("kits/faulty/wall.lost/raises"), &kit);
    let output = run(&["release", &kit.to_string_lossy(), "--as-of", AS_OF]);
    assert_eq!(output.status.code(), Some(1));
    assert!(err(&output).contains("no bundle"), "{}", err(&output));
    assert!(!kit.join("dist").exists());
}
