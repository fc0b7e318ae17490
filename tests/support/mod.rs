//! What the whole-kit suites share: where the kits are, and how the program is run on them.

#![allow(dead_code, reason = "each suite uses a part of it")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The day that every test's check counts as.
pub const AS_OF: &str = "2026-01-01";

/// The project's folder.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("..")
        .canonicalize()
        .expect("the project's folder")
}

/// Every folder below `folder` that holds a kit.toml, sorted.
pub fn kits_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(at) = open.pop() {
        if at.join("kit.toml").is_file() {
            found.push(at);
            // What lies within a kit is the kit's own.
            continue;
        }
        for entry in std::fs::read_dir(&at).expect("a folder").flatten() {
            if entry.file_type().is_ok_and(|t| t.is_dir()) {
                open.push(entry.path());
            }
        }
    }
    found.sort();
    found
}

/// A kit's name in the project: `faulty/wall.thin/raises`.
pub fn name(kit: &Path) -> String {
    let below = kit.strip_prefix(root().join("kits")).unwrap_or(kit);
    below.to_string_lossy().replace('\\', "/")
}

/// The program, with an environment that no machine's settings reach.
pub fn kitproof() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitproof"));
    for name in ["CI", "NO_COLOR", "CLICOLOR_FORCE", "SOURCE_DATE_EPOCH"] {
        command.env_remove(name);
    }
    command.env("KITPROOF_PROGRESS", "never");
    // Every suite measures; what is reused has a suite of its own.
    command.env("KITPROOF_NO_CACHE", "true");
    command
}

/// Runs the program.
pub fn run(arguments: &[&str]) -> Output {
    kitproof()
        .args(arguments)
        .output()
        .expect("the program starts")
}

/// What the program printed to stdout.
pub fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// What the program printed to stderr.
pub fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Copies a folder with everything in it.
pub fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder").flatten() {
        let target = to.join(entry.file_name());
        if entry.file_type().is_ok_and(|t| t.is_dir()) {
            if entry.file_name() != "out" && entry.file_name() != "dist" {
                copy(&entry.path(), &target);
            }
        } else {
            std::fs::copy(entry.path(), target).expect("copied");
        }
    }
}

/// Every file below a folder with its bytes.
pub fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(at) = open.pop() {
        for entry in std::fs::read_dir(&at).expect("a folder").flatten() {
            if entry.file_type().is_ok_and(|t| t.is_dir()) {
                open.push(entry.path());
            } else {
                let name = entry.path();
                let name = name.strip_prefix(folder).expect("below").to_string_lossy();
                found.insert(
                    name.into_owned(),
                    std::fs::read(entry.path()).expect("a file"),
                );
            }
        }
    }
    found
}
