//! Names the engine by the source of everything that measures, judges and draws, so that no result of other code is
//! ever taken for one of this code. A number kept by hand would have to be raised by hand.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::Command;

use sha2::{Digest, Sha256};

/// What a result cannot depend on: the writers of kits, and tests.
const APART: [&str; 4] = ["demo", "tests", "benches", "examples"];

fn main() -> io::Result<()> {
    let here = PathBuf::from(std::env::var("CARGO_MANIFEST_DIR").map_err(io::Error::other)?);
    let root = here.parent().unwrap_or(&here).to_path_buf();
    // Features and profiles of dependencies, and flags of the C++ compiler, change numbers too.
    let mut files: Vec<PathBuf> = [
        "Cargo.lock",
        "Cargo.toml",
        "pipeline/Cargo.toml",
        ".cargo/config.toml",
    ]
    .iter()
    .map(|name| root.join(name))
    .filter(|path| path.is_file())
    .collect();
    let mut open = vec![root.join("crates"), here.join("src")];
    while let Some(folder) = open.pop() {
        println!("cargo::rerun-if-changed={}", folder.display());
        for entry in fs::read_dir(&folder)? {
            let path = entry?.path();
            let name = path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned();
            if path.is_dir() {
                if !APART.contains(&name.as_str()) && name != "snapshots" {
                    open.push(path);
                }
            } else {
                files.push(path);
            }
        }
    }
    files.sort();
    let mut hasher = Sha256::new();
    for file in &files {
        println!("cargo::rerun-if-changed={}", file.display());
        hasher.update(within(file, &root).as_bytes());
        hasher.update(fs::read(file)?);
    }
    for name in ["TARGET", "PROFILE", "OPT_LEVEL"] {
        hasher.update(format!(
            "{name}={}\n",
            std::env::var(name).unwrap_or_default()
        ));
    }
    hasher.update(compiler()?);
    let hex: String = hasher
        .finalize()
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect();
    println!("cargo::rustc-env=KITPROOF_ENGINE={hex}");
    Ok(())
}

/// What the compiler says of itself.
fn compiler() -> io::Result<Vec<u8>> {
    let rustc = std::env::var_os("RUSTC").ok_or_else(|| io::Error::other("no RUSTC"))?;
    Ok(Command::new(rustc).arg("-vV").output()?.stdout)
}

/// The path in the project, so that the name is the same wherever the project lies.
fn within(file: &Path, root: &Path) -> String {
    let path = file.strip_prefix(root).unwrap_or(file);
    path.to_string_lossy().replace('\\', "/")
}
