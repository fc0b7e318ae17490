//! Every kit under kits/ is checked as a designer would: the findings that its expect.toml names, all of them and
//! no other; the terminal's text as a snapshot; every rule with a kit that raises it and a near twin that does not.

mod support;

use std::path::Path;

use support::{AS_OF, err, kits_below, name, out, root};

struct Checked {
    json: serde_json::Value,
    text: String,
    exit: i32,
}

fn check(kit: &Path) -> Checked {
    let folder = tempfile::tempdir().expect("a folder");
    let kit_path = kit.to_string_lossy().into_owned();
    // From the temporary folder, so that the text holds no path of this machine.
    let mut command = support::kitproof();
    if kit.join("base/kit.toml").is_file() {
        // From the kit's side, so that the text holds no path of this machine.
        command.env("KITPROOF_BASE", kit.join("base"));
    }
    let output = command
        .current_dir(folder.path())
        .args(["check", &kit_path, "-v", "--as-of", AS_OF, "--out", "out"])
        .output()
        .expect("the program starts");
    let report = std::fs::read_to_string(folder.path().join("out/report.json"))
        .unwrap_or_else(|e| panic!("{}: no report.json: {e}\n{}", name(kit), err(&output)));
    Checked {
        json: serde_json::from_str(&report).expect("report.json is JSON"),
        text: out(&output),
        exit: output.status.code().unwrap_or(-1),
    }
}

/// Findings as sorted lines: rule, level, parts, waived.
fn found(json: &serde_json::Value) -> Vec<String> {
    let mut lines: Vec<String> = json["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .map(|f| {
            let parts: Vec<&str> = f["parts"]
                .as_array()
                .expect("parts")
                .iter()
                .filter_map(|p| p["id"].as_str())
                .collect();
            format!(
                "{} {} [{}] waived {}",
                f["rule"].as_str().unwrap_or("?"),
                f["level"].as_str().unwrap_or("?"),
                parts.join(", "),
                !f["waived"].is_null()
            )
        })
        .collect();
    lines.sort();
    lines
}

fn expected(table: &toml::Table) -> Vec<String> {
    let mut lines: Vec<String> = table["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .map(|f| {
            let parts: Vec<&str> = f
                .get("parts")
                .and_then(|p| p.as_array())
                .map(|p| p.iter().filter_map(|x| x.as_str()).collect())
                .unwrap_or_default();
            format!(
                "{} {} [{}] waived {}",
                f["rule"].as_str().unwrap_or("?"),
                f["level"].as_str().unwrap_or("?"),
                parts.join(", "),
                f.get("waived")
                    .and_then(toml::Value::as_bool)
                    .unwrap_or(false)
            )
        })
        .collect();
    lines.sort();
    lines
}

#[test]
fn every_faulty_kit_raises_what_it_declares_and_nothing_else() {
    let kits = kits_below(&root().join("kits/faulty"));
    assert!(!kits.is_empty());
    for kit in kits {
        let path = kit.join("expect.toml");
        let expect: toml::Table = std::fs::read_to_string(&path)
            .unwrap_or_else(|e| panic!("{}: {e}", path.display()))
            .parse()
            .expect("expect.toml is TOML");
        let got = check(&kit);
        assert_eq!(found(&got.json), expected(&expect), "{}", name(&kit));
        assert_eq!(
            got.json["verdict"].as_str(),
            expect["verdict"].as_str(),
            "{}",
            name(&kit)
        );
        assert_eq!(
            Some(i64::from(got.exit)),
            expect["exit"].as_integer(),
            "{}",
            name(&kit)
        );
        insta::assert_snapshot!(name(&kit).replace(['/', '.'], "_"), got.text);
    }
}

#[test]
fn every_rule_has_a_kit_that_raises_it_and_a_near_twin() {
    for id in rules::registry::ids() {
        if id == "internal.fault" {
            // No kit can make the gate fail; the rule's own tests and those of the pipeline hold it.
            continue;
        }
        let folder = root().join("kits/faulty").join(id);
        let raises = folder.join("raises/expect.toml");
        let silent = folder.join("silent/expect.toml");
        let raises = std::fs::read_to_string(&raises).unwrap_or_else(|e| panic!("{id}: {e}"));
        let silent = std::fs::read_to_string(&silent).unwrap_or_else(|e| panic!("{id}: {e}"));
        let line = format!("rule = \"{id}\"");
        assert!(raises.contains(&line), "{id}: its kit does not raise it");
        assert!(!silent.contains(&line), "{id}: its twin raises it too");
    }
}

#[test]
fn the_demo_kit_is_ready_without_a_false_note() {
    let kit = root().join("kits/skerry-light");
    let got = check(&kit);
    assert_eq!(got.exit, 0, "{}", got.text);
    assert_eq!(
        found(&got.json),
        ["kit.unmeasured note [] waived false"],
        "only what no stage measures yet is noted"
    );
    assert!(got.json["parts"].as_array().expect("parts").len() >= 14);
    insta::assert_snapshot!("skerry-light", got.text);
}

/// Every revision could be published as it is; one warns of what the next mends.
#[test]
fn every_revision_of_a_kit_is_ready() {
    let kits = kits_below(&root().join("kits/revisions"));
    assert!(kits.len() >= 3);
    for kit in kits {
        let got = check(&kit);
        assert_eq!(got.exit, 0, "{}: {}", name(&kit), got.text);
        insta::assert_snapshot!(name(&kit).replace(['/', '.'], "_"), got.text);
    }
}

#[test]
fn no_line_is_wider_than_a_terminal_and_no_finding_longer_than_six() {
    for kit in kits_below(&root().join("kits")) {
        let text = check(&kit).text;
        for block in text.split("\n\n") {
            let lines: Vec<&str> = block.lines().filter(|l| !l.is_empty()).collect();
            let is_finding = lines.first().is_some_and(|l| {
                ["BLOCKED  ", "WARNING  ", "NOTE  "]
                    .iter()
                    .any(|w| l.starts_with(w))
            });
            if !is_finding {
                continue;
            }
            assert!(lines.len() <= 6, "{}:\n{block}", name(&kit));
            for line in lines {
                assert!(line.chars().count() <= 80, "{}: {line}", name(&kit));
            }
        }
    }
}
