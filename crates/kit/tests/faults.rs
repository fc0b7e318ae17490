//! Every fault of a bad manifest at once, each kind of fault by itself, and that nothing makes the reader fall.

use kit::{read, render};

/// Rules that the manifests here may name.
const RULES: &[&str] = &["wall.lost", "wall.thin", "mesh.open-edge"];

fn faults(text: &str) -> String {
    match read(text, "kit.toml", RULES) {
        Ok(_) => "no fault\n".to_string(),
        Err(faults) => render(&faults, text, false),
    }
}

#[test]
fn a_bad_manifest_is_told_everything_at_once() {
    insta::assert_snapshot!(faults(include_str!("manifests/bad.toml")));
}

#[test]
fn a_text_that_is_no_toml_is_told_every_place_of_it() {
    insta::assert_snapshot!(faults(include_str!("manifests/broken.toml")));
}

#[test]
fn what_a_key_written_twice_does_not_touch_is_still_checked() {
    insta::assert_snapshot!(faults(include_str!("manifests/twice.toml")));
}

/// One change to the commented manifest, and what must be said of it: line and words.
struct Change {
    good: String,
    bad: String,
    line: usize,
    words: String,
}

fn changes() -> Vec<Change> {
    let table: toml::Table = include_str!("manifests/one-by-one.toml")
        .parse()
        .expect("the list is TOML");
    let changes = table["change"].as_array().expect("a list of changes");
    let text = |change: &toml::Value, key: &str| change[key].as_str().expect(key).to_string();
    changes
        .iter()
        .map(|change| Change {
            good: text(change, "good"),
            bad: text(change, "bad"),
            line: change["line"].as_integer().expect("a line") as usize,
            words: text(change, "words"),
        })
        .collect()
}

fn changed(change: &Change) -> String {
    let template = kit::template();
    assert!(
        template.contains(&change.good),
        "the template no longer has {}",
        change.good
    );
    template.replacen(&change.good, &change.bad, 1)
}

#[test]
fn each_kind_of_fault_is_found_where_it_stands() {
    for change in changes() {
        let text = changed(&change);
        let found = read(&text, "kit.toml", RULES).err().unwrap_or_default();
        let hit = found
            .iter()
            .any(|fault| fault.message.contains(&change.words) && fault.line == change.line);
        assert!(
            hit,
            "{}: expected `{}` on line {}, found\n{}",
            change.bad,
            change.words,
            change.line,
            render(&found, &text, false)
        );
    }
}

/// The schema against a validator outside the project: library, version and command stand in the file.
/// What the schema refuses, the reader refuses; the schema cannot see references, so not the other way.
#[test]
fn an_independent_validator_agrees_with_the_schema() {
    let witness: serde_json::Value =
        serde_json::from_str(include_str!("../../../tests/witness/kit_schema.json")).expect("JSON");
    let schema: serde_json::Value =
        serde_json::from_str(&kit::schema()).expect("the schema is JSON");
    assert!(
        witness["schema"] == schema,
        "the schema has changed: run {}",
        witness["command"]
    );
    assert_eq!(witness["schema_is_valid"], true);
    assert_eq!(witness["template_errors"], 0);
    let verdicts = witness["changes"].as_array().expect("a list");
    let changes = changes();
    assert_eq!(verdicts.len(), changes.len());
    let mut refused = 0;
    for (change, verdict) in changes.iter().zip(verdicts) {
        assert_eq!(verdict["bad"], change.bad.as_str());
        if verdict["errors"] != 0 {
            refused += 1;
            assert!(
                read(&changed(change), "kit.toml", RULES).is_err(),
                "{}",
                change.bad
            );
        }
    }
    // An editor sees most slips of the pen before the gate does.
    assert!(
        refused * 2 > changes.len(),
        "the schema refuses {refused} of {}",
        changes.len()
    );
}

#[test]
fn a_text_too_long_to_be_a_manifest_is_refused_at_once() {
    let parts = "[[part]]\nid=\"a\"\nmesh=\"a.stl\"\n".repeat(3_500_000);
    let found = read(&parts, "kit.toml", RULES).expect_err("100 MB");
    assert!(found[0].message.contains("bytes"), "{found:?}");
}

#[test]
fn many_faults_are_cut_and_counted() {
    let parts = "[[part]]\nid=\"a\"\nmesh=\"a.stl\"\nmaterial=\"plaaa\"\n".repeat(9_999);
    let found = read(&parts, "kit.toml", RULES).expect_err("thousands of faults");
    assert_eq!(found.len(), 101);
    assert!(found[100].message.starts_with("and "), "{}", found[100]);
    let parts = "[[part]]\n".repeat(10_001);
    let found = read(&parts, "kit.toml", RULES).expect_err("too many parts");
    assert!(
        found
            .iter()
            .any(|f| f.message == "`part` has 10001 entries"),
        "{}",
        found[0]
    );
}

#[test]
fn deep_nesting_and_long_lines_are_refused_without_a_fall() {
    for text in [
        "x = ".to_string() + &"[".repeat(1_000_000),
        "x = ".to_string() + &"{a=".repeat(500_000),
        "a.".repeat(1_000_000) + "b = 1",
        "[".to_string() + &"a.".repeat(1_000_000) + "b]",
        "extra = ".to_string() + &"[".repeat(70) + &"]".repeat(70),
        "\"".repeat(1_000_000),
        "title = \"".to_string() + &"x".repeat(1_000_000) + "\"",
        "\u{feff}format = 1".to_string(),
        "format = 1\r\nrule-set = \"2026.1\"\r\n".to_string(),
        "\0".to_string(),
        String::new(),
    ] {
        let found = read(&text, "kit.toml", RULES).expect_err("no manifest");
        assert!(!found.is_empty());
        let shown = render(&found, &text, true);
        assert!(shown.len() < 400_000, "{} bytes of faults", shown.len());
    }
}

#[test]
fn bytes_that_are_no_text_are_refused_with_their_place() {
    let found = kit::read_bytes(b"format = 1\ntitle = \"\xff\"\n", "kit.toml", RULES)
        .expect_err("no UTF-8");
    assert_eq!((found[0].line, found[0].column), (2, 10));
}

#[test]
fn line_ends_and_a_byte_order_mark_of_other_editors_change_nothing() {
    let plain = read(kit::template(), "kit.toml", RULES).expect("the template");
    for text in [
        kit::template().replace('\n', "\r\n"),
        format!("\u{feff}{}", kit::template()),
    ] {
        assert_eq!(read(&text, "kit.toml", RULES).as_ref(), Ok(&plain));
    }
}

/// An earlier id names one part, and none of today: else a reprint table would mix two parts up.
#[test]
fn an_earlier_id_names_one_part() {
    let with = |was: &str| {
        let more = format!("\n[[part]]\nid = \"extra\"\nmesh = \"extra.stl\"\nwas = {was}\n");
        faults(&format!(
            "{}{more}",
            kit::template().split("[extra]").next().unwrap_or_default()
        ))
    };
    assert_eq!(with("\"very-old\""), "no fault\n");
    assert!(with("\"extra\"").contains("the part's own id"));
    assert!(with("\"wall-left\"").contains("the id of another part"));
    assert!(with("[\"a\", \"a\"]").contains("an earlier id of two parts"));
}
