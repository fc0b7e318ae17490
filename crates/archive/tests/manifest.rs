//! The released manifest of the demo kit is a manifest: the reader of the gate takes it without a fault, and what
//! matters to a builder has not changed.

/// The demo kit, with costs and a private reference put in.
fn filed() -> String {
    let own = include_str!("../../../kits/skerry-light/kit.toml");
    format!("{own}\n{PRIVATE}")
}

const PRIVATE: &str = r#"
[materials.asa]
cost-kg = 31.5

[[reference]]
id = "plinth"
mesh = "reference/plinth.stl"
units = "mm"

[[waiver]]
rule = "wall.thin"
part = "pane"
not-worse-than = 0.42
places = 1
reason = "Glazing bars are one line wide on purpose"
until-revision = "9.0.0"
"#;

/// Levels may be set for rules; which ids exist is not this test's matter.
const RULES: [&str; 1] = ["wall.thin"];

#[test]
fn the_reader_takes_what_was_released() {
    let before = filed();
    let filed = kit::read(&before, "kit.toml", &RULES).expect("the demo kit is sound");
    let text = archive::manifest::released(&before).expect("TOML");
    assert!(!text.contains("cost-kg") && !text.contains("plinth") && !text.contains('#'));
    let released = kit::read(&text, "kit.toml", &RULES).expect("still a manifest");
    assert_eq!(released.id, filed.id);
    assert_eq!(released.parts.len(), filed.parts.len());
    assert_eq!(released.placed.len(), filed.placed.len());
    assert_eq!(released.promises.len(), filed.promises.len());
    assert!(released.references.is_empty());
    for (a, b) in released.parts.iter().zip(&filed.parts) {
        assert_eq!((&a.id, a.rev, a.count), (&b.id, b.rev, b.count));
    }
}
