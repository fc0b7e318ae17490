//! The house keeps its walls: which crate may use which, who may touch threads and disk, how large a file
//! may grow, and that a rule holds no limit of its own.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Who may depend on whom (rooms of this workspace only).
const EDGES: &[(&str, &[&str])] = &[
    ("parallel", &[]),
    ("findings", &[]),
    ("limits", &[]),
    ("mesh", &["parallel"]),
    ("layers", &["mesh", "parallel"]),
    ("kit", &["limits", "findings"]),
    ("measure", &["layers", "mesh", "parallel"]),
    ("revisions", &["mesh", "parallel"]),
    (
        "rules",
        &["findings", "kit", "limits", "measure", "mesh", "revisions"],
    ),
    ("picture", &["findings", "layers", "mesh", "parallel"]),
    (
        "report",
        &[
            "findings",
            "kit",
            "limits",
            "measure",
            "picture",
            "revisions",
            "rules",
        ],
    ),
    ("archive", &["mesh", "parallel"]),
    ("demo", &[]),
    (
        "pipeline",
        &[
            "archive",
            "findings",
            "kit",
            "layers",
            "limits",
            "measure",
            "mesh",
            "parallel",
            "picture",
            "report",
            "revisions",
            "rules",
        ],
    ),
];

fn manifest(crate_name: &str) -> toml::Table {
    let folder = if crate_name == "pipeline" {
        root().join("pipeline")
    } else {
        root().join("crates").join(crate_name)
    };
    let path = folder.join("Cargo.toml");
    std::fs::read_to_string(&path)
        .unwrap_or_else(|e| panic!("{}: {e}", path.display()))
        .parse()
        .unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn dependencies(table: &toml::Table, section: &str) -> Vec<String> {
    table
        .get(section)
        .and_then(|d| d.as_table())
        .map(|d| d.keys().cloned().collect())
        .unwrap_or_default()
}

fn sources(below: &Path) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    let mut open = vec![below.to_path_buf()];
    while let Some(folder) = open.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder").flatten() {
            let path = entry.path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let text = std::fs::read_to_string(&path).expect("a source file");
                found.push((path, text));
            }
        }
    }
    found.sort();
    found
}

/// A file without its tests and comments.
fn code(text: &str) -> String {
    let body = text.split("#[cfg(test)]").next().unwrap_or(text);
    body.lines()
        .map(|line| line.split("//").next().unwrap_or(line))
        .collect::<Vec<_>>()
        .join("\n")
}

#[test]
fn crates_depend_only_downwards() {
    let rooms: BTreeMap<&str, &[&str]> = EDGES.iter().copied().collect();
    for entry in std::fs::read_dir(root().join("crates"))
        .expect("crates")
        .flatten()
    {
        let name = entry.file_name().to_string_lossy().into_owned();
        assert!(
            rooms.contains_key(name.as_str()),
            "{name}: a new room needs its edges listed here"
        );
    }
    for (name, allowed) in &rooms {
        for dependency in dependencies(&manifest(name), "dependencies") {
            if rooms.contains_key(dependency.as_str()) {
                assert!(
                    allowed.contains(&dependency.as_str()),
                    "{name} may not depend on {dependency}"
                );
            }
            if dependency == "rayon" {
                assert_eq!(*name, "parallel", "only crate parallel calls rayon");
            }
        }
    }
}

#[test]
fn only_the_pipeline_touches_the_disk() {
    for (path, text) in sources(&root().join("crates")) {
        let shown = path.to_string_lossy();
        if !shown.contains("/src/") || shown.contains("/src/bin/") {
            continue;
        }
        for word in [
            "std::fs",
            "std::env::",
            "std::process",
            "std::time",
            "std::net",
        ] {
            assert!(
                !code(&text).contains(word),
                "{}: {word} belongs in pipeline",
                path.display()
            );
        }
    }
    for (path, text) in sources(&root().join("pipeline/src")) {
        if !path.ends_with("disk.rs") {
            assert!(
                !code(&text).contains("std::fs"),
                "{}: files are read and written in disk.rs only",
                path.display()
            );
        }
    }
}

#[test]
fn no_file_is_larger_than_a_room() {
    for folder in ["crates", "pipeline", "tests"] {
        for (path, text) in sources(&root().join(folder)) {
            let lines = text.lines().count();
            assert!(
                lines <= 800,
                "{}: {lines} lines; split at 800",
                path.display()
            );
        }
    }
}

/// Code without what stands between quotes.
fn unquoted(code: &str) -> String {
    let mut inside = false;
    let mut before = ' ';
    let mut bare = String::new();
    for c in code.chars() {
        if c == '"' && before != '\\' {
            inside = !inside;
            bare.push(' ');
        } else if !inside {
            bare.push(c);
        }
        before = c;
    }
    bare
}

#[test]
fn a_rule_holds_no_limit_of_its_own() {
    let rules = root().join("crates/rules/src");
    for (path, text) in sources(&rules) {
        let depth = path
            .strip_prefix(&rules)
            .expect("below src")
            .components()
            .count();
        if depth < 2 || path.ends_with("mod.rs") {
            continue;
        }
        // The length of an array type is no limit: `[f64; 3]`.
        let bare = unquoted(&code(&text))
            .replace("; 3]", "; _]")
            .replace("; 2]", "; _]");
        for word in bare.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == '.')) {
            if !word.starts_with(|c: char| c.is_ascii_digit()) {
                continue;
            }
            // Ranges such as `0..1` split into plain digits.
            let plain = word
                .split("..")
                .all(|n| matches!(n.trim_end_matches('.'), "" | "0" | "1" | "0.0" | "1.0"));
            assert!(
                plain,
                "{}: the number {word} belongs in a table of crate limits",
                path.display()
            );
        }
    }
}
