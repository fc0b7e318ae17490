//! The README's tables are the program's own: exit codes and rules. `UPDATE_README=1 cargo test` rewrites them.

use std::path::Path;

fn block(text: &str, name: &str) -> (usize, usize) {
    let start = text
        .find(&format!("<!-- {name}:"))
        .unwrap_or_else(|| panic!("no {name} in the README"));
    let start = start + text[start..].find('\n').expect("a line") + 1;
    let end = start + text[start..].find("<!-- end -->").expect("an end");
    (start, end)
}

fn exit_codes() -> String {
    let mut out = String::from("| exit | meaning |\n|---|---|\n");
    for o in pipeline::Outcome::ALL {
        out += &format!("| {} | {} |\n", o.code(), o.meaning());
    }
    out
}

#[test]
fn tables_in_the_readme_are_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../README.md");
    let mut text = std::fs::read_to_string(&path).expect("a README");
    let mut stale = Vec::new();
    for (name, want) in [
        ("exit codes", exit_codes()),
        ("rules", report::rules_markdown()),
    ] {
        let (start, end) = block(&text, name);
        if text[start..end] != want {
            stale.push(name);
            text.replace_range(start..end, &want);
        }
    }
    if !stale.is_empty() && std::env::var_os("UPDATE_README").is_some() {
        std::fs::write(&path, &text).expect("written");
        return;
    }
    assert!(
        stale.is_empty(),
        "stale in the README: {stale:?}; UPDATE_README=1 cargo test --test readme rewrites them"
    );
}

/// The kit that the README shows is a kit.
#[test]
fn the_manifest_in_the_readme_is_read_without_a_fault() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../README.md");
    let text = std::fs::read_to_string(&path).expect("a README");
    let (_, after) = text.split_once("```toml\n").expect("a manifest");
    let (manifest, _) = after.split_once("```").expect("its end");
    let read = kit::read(manifest, "kit.toml", &rules::registry::ids());
    let kit = read.unwrap_or_else(|faults| panic!("{}", kit::render(&faults, manifest, false)));
    assert_eq!(kit.parts.len(), 2);
}
