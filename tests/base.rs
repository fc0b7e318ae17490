//! The base of a comparison: a folder, a bundle and a git tag hold the same release and give the same answer; what
//! cannot be had is said with the mend, and nothing else is put in its place.

mod support;

use std::path::{Path, PathBuf};
use std::process::Command;

use support::{AS_OF, copy, err, kitproof, out, root};

fn git(folder: &Path, arguments: &[&str]) {
    let output = Command::new("git")
        .arg("-C")
        .arg(folder)
        .args(["-c", "user.name=A", "-c", "user.email=a@example.org"])
        .args([
            "-c",
            "init.defaultBranch=main",
            "-c",
            "commit.gpgsign=false",
        ])
        .args(["-c", "protocol.file.allow=always"])
        .args(arguments)
        .output()
        .expect("git starts");
    assert!(
        output.status.success(),
        "git {arguments:?}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
}

fn revision(name: &str) -> PathBuf {
    root().join("kits/revisions/skerry-light").join(name)
}

/// Replaces what a folder holds beside its `.git`.
fn replace(folder: &Path, kit: &Path) {
    for entry in std::fs::read_dir(folder).expect("a folder").flatten() {
        if entry.file_name() == ".git" {
            continue;
        }
        if entry.file_type().expect("a type").is_dir() {
            std::fs::remove_dir_all(entry.path()).expect("removed");
        } else {
            std::fs::remove_file(entry.path()).expect("removed");
        }
    }
    copy(kit, folder);
}

/// A repository with 1.0.0 under the tag v1.0.0 and 1.1.0 in the working tree, in a folder of its own below.
fn repository(folder: &Path) -> PathBuf {
    let kit = folder.join("models/lantern");
    std::fs::create_dir_all(&kit).expect("a folder");
    git(folder, &["init", "-q"]);
    replace(&kit, &revision("1.0"));
    git(folder, &["add", "-A"]);
    git(folder, &["commit", "-qm", "1.0.0"]);
    git(folder, &["tag", "v1.0.0"]);
    replace(&kit, &revision("1.1"));
    git(folder, &["add", "-A"]);
    git(folder, &["commit", "-qm", "1.1.0"]);
    kit
}

fn diff(kit: &Path, base: &str, into: &Path) -> std::process::Output {
    kitproof()
        .args(["diff", "--as-of", AS_OF, "--base", base])
        .args(["--format", "json", "--out"])
        .arg(into)
        .arg(kit)
        .output()
        .expect("the program starts")
}

/// The difference without the name of its base.
fn said(output: &std::process::Output) -> serde_json::Value {
    let mut json: serde_json::Value = serde_json::from_str(&out(output))
        .unwrap_or_else(|e| panic!("{e}\n{}\n{}", out(output), err(output)));
    json["base"]["from"] = serde_json::Value::Null;
    json
}

#[test]
fn a_tag_a_folder_and_a_bundle_of_one_release_give_one_answer() {
    let folder = tempfile::tempdir().expect("a folder");
    let kit = repository(folder.path());
    let dist = folder.path().join("dist");
    let released = kitproof()
        .args(["release", "--as-of", AS_OF, "--quiet", "--out"])
        .arg(&dist)
        .arg(revision("1.0"))
        .output()
        .expect("the program starts");
    assert!(released.status.success(), "{}", err(&released));
    let bundle = dist.join("skerry-light-1.0.0.zip");
    let into = folder.path().join("out");
    let by_folder = diff(&kit, &revision("1.0").to_string_lossy(), &into);
    let by_tag = diff(&kit, "v1.0.0", &into);
    let by_bundle = diff(&kit, &bundle.to_string_lossy(), &into);
    assert_eq!(by_folder.status.code(), Some(0), "{}", err(&by_folder));
    assert_eq!(said(&by_tag), said(&by_folder));
    assert_eq!(said(&by_bundle), said(&by_folder));
}

#[test]
fn a_shallow_clone_gets_the_command_that_mends_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let origin = folder.path().join("origin");
    std::fs::create_dir(&origin).expect("a folder");
    repository(&origin);
    let clone = folder.path().join("clone");
    let url = format!("file://{}", origin.display());
    let target = clone.to_string_lossy().into_owned();
    git(
        folder.path(),
        &["clone", "-q", "--depth", "1", "--no-tags", &url, &target],
    );
    let kit = clone.join("models/lantern");
    let into = folder.path().join("out");
    let refused = diff(&kit, "v1.0.0", &into);
    assert_eq!(refused.status.code(), Some(2));
    let words = err(&refused);
    let mend = "git fetch --depth 1 origin tag v1.0.0";
    assert!(words.contains("shallow") && words.contains(mend), "{words}");
    // The command that is named does mend it.
    git(
        &clone,
        &["fetch", "-q", "--depth", "1", "origin", "tag", "v1.0.0"],
    );
    let mended = diff(&kit, "v1.0.0", &into);
    assert_eq!(mended.status.code(), Some(0), "{}", err(&mended));
}

#[test]
fn what_cannot_be_had_is_said_and_replaced_by_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let kit = repository(folder.path());
    let into = folder.path().join("out");
    let damaged = folder.path().join("damaged.zip");
    std::fs::write(&damaged, b"no bundle").expect("written");
    let alone = folder
        .path()
        .parent()
        .map(|_| tempfile::tempdir().expect("a folder"));
    let alone = alone.expect("a folder");
    copy(&revision("1.1"), alone.path());
    let other = root().join("kits/skerry-light").join("kit.toml");
    assert!(other.is_file());
    for (kit, base, words) in [
        (kit.as_path(), "v9", "the latest tags are v1.0.0"),
        (
            kit.as_path(),
            "--upload-pack=x",
            "no file, folder, tag or commit",
        ),
        (kit.as_path(), &*damaged.to_string_lossy(), "damaged.zip"),
        (
            alone.path(),
            "v1.0.0",
            "is in no repository that git can read",
        ),
        (
            kit.as_path(),
            &*folder.path().to_string_lossy(),
            "no such kit",
        ),
    ] {
        let refused = kitproof()
            .args(["check", "--as-of", AS_OF, "--emit", "json", "--out"])
            .arg(&into)
            .arg(format!("--base={base}"))
            .arg(kit)
            .env("GIT_CEILING_DIRECTORIES", std::env::temp_dir())
            .output()
            .expect("the program starts");
        assert_eq!(refused.status.code(), Some(2), "{base}: {}", err(&refused));
        assert!(err(&refused).contains(words), "{base}: {}", err(&refused));
        assert!(
            !into.join("report.json").exists(),
            "{base}: nothing is judged"
        );
    }
}

#[test]
fn a_kit_of_another_id_is_no_base() {
    let folder = tempfile::tempdir().expect("a folder");
    let refused = kitproof()
        .args(["diff", "--as-of", AS_OF, "--out"])
        .arg(folder.path())
        .arg("--base")
        .arg(root().join("kits/faulty/wall.lost/silent"))
        .arg(revision("1.1"))
        .output()
        .expect("the program starts");
    assert_eq!(refused.status.code(), Some(2));
    let words = err(&refused);
    assert!(
        words.contains("wall-lost-silent") && words.contains("skerry-light"),
        "{words}"
    );
}

#[test]
fn without_a_base_the_notes_are_those_of_a_first_release() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |base: &[&str]| {
        let output = kitproof()
            .args(["notes", "--as-of", AS_OF, "--out"])
            .arg(folder.path())
            .args(base)
            .arg(revision("1.0"))
            .output()
            .expect("the program starts");
        assert_eq!(output.status.code(), Some(0), "{}", err(&output));
        out(&output)
    };
    let notes = run(&[]);
    assert!(notes.contains("First release"), "{notes}");
    assert_eq!(run(&["--base", "none"]), notes);
    let written = std::fs::read_to_string(folder.path().join("NOTES.md")).expect("written");
    assert_eq!(written, notes);
}
