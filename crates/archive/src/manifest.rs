//! The manifest as it leaves the house: without costs, without references that do not ship, without comments.
//!
//! The text is parsed and written anew, so nothing that only a comment says can slip out. What referred to a
//! dropped reference goes with it, so that the result is still a manifest of its own. Order is kept.

use std::collections::BTreeSet;

use toml::{Table, Value};

/// The text is no TOML.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ManifestFault {
    /// Reading failed.
    #[error("the manifest cannot be read for the bundle: {0}")]
    Unreadable(String),
    /// Writing failed.
    #[error("the manifest cannot be written for the bundle: {0}")]
    Unwritable(String),
}

/// A key that tells what something costs: `cost` or `price`, alone or followed by a unit.
fn is_cost(key: &str) -> bool {
    ["cost", "price"].iter().any(|word| {
        key.strip_prefix(word)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
    })
}

fn without_costs(value: Value) -> Value {
    match value {
        Value::Table(table) => Value::Table(
            table
                .into_iter()
                .filter(|(key, _)| !is_cost(key))
                .map(|(key, value)| (key, without_costs(value)))
                .collect(),
        ),
        Value::Array(items) => Value::Array(items.into_iter().map(without_costs).collect()),
        other => other,
    }
}

fn id(item: &Value) -> Option<String> {
    item.get("id").and_then(Value::as_str).map(str::to_string)
}

/// Keeps the items of an array of tables that `keep` wants; an array that becomes empty goes.
fn retain(table: &mut Table, key: &str, keep: impl Fn(&Value) -> bool) {
    if let Some(Value::Array(items)) = table.get_mut(key) {
        items.retain(|item| keep(item));
        if items.is_empty() {
            table.remove(key);
        }
    }
}

/// The released form of a manifest's text. Dropped: every key `cost...` or `price...` at any depth, every
/// `[[reference]]` without `ship = true`, poses, fits and motions of such a reference, comments.
///
/// # Errors
/// [`ManifestFault`] when the text is no TOML.
pub fn released(text: &str) -> Result<String, ManifestFault> {
    let table: Table =
        toml::from_str(text).map_err(|e| ManifestFault::Unreadable(e.to_string()))?;
    let Value::Table(mut table) = without_costs(Value::Table(table)) else {
        return Ok(String::new());
    };
    let ids = |key: &str, wanted: &dyn Fn(&Value) -> bool| -> BTreeSet<String> {
        let items = table.get(key).and_then(Value::as_array);
        items
            .into_iter()
            .flatten()
            .filter(|item| wanted(item))
            .filter_map(id)
            .collect()
    };
    let ships = |item: &Value| item.get("ship").and_then(Value::as_bool) == Some(true);
    let parts = ids("part", &|_| true);
    let private: BTreeSet<String> = ids("reference", &|item| !ships(item))
        .difference(&parts)
        .cloned()
        .collect();
    let names_private = |value: Option<&Value>| match value {
        Some(Value::String(name)) => private.contains(name),
        Some(Value::Array(names)) => names
            .iter()
            .filter_map(Value::as_str)
            .any(|name| private.contains(name)),
        _ => false,
    };
    retain(&mut table, "reference", ships);
    for key in ["pose", "fit", "motion"] {
        retain(&mut table, key, |item| {
            !["part", "parts", "reference"]
                .iter()
                .any(|field| names_private(item.get(*field)))
        });
    }
    toml::to_string(&table).map_err(|e| ManifestFault::Unwritable(e.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = r#"#:schema ./kit.schema.json
format = 1 # first
rule-set = "2026.1"

[kit]
id = "lamp"      # bought the motor at a friend's for 3.20
title = "Lamp \"one\""
revision = "1.0.0"
license = "CC-BY-4.0"

[settings.body]
layer = 0.2
fill = 0.15

[materials.pla]
density = 1.24
cost-kg = 22

[[part]]
id = "base"
mesh = "meshes/base.stl"
rules."wall.thin" = "off"

[[part]]
id = "arm"
mesh = "meshes/arm.stl"

[[pose]]
part = "arm"
turn = [0, 0, 90]
repeat = { count = 8, about = [0, 0, 1], through = [0, 0, 0] }

[[pose]]
part = "motor"
move = [1, 2, 3]

[[reference]]
id = "motor"
mesh = "secret/motor.stl"

[[reference]]
id = "desk"
mesh = "reference/desk.stl"
ship = true

[[fit]]
id = "arm-on-motor"
parts = ["arm", "motor"]

[[fit]]
id = "arm-on-base"
parts = ["arm", "base"]
gap = [0.15, 0.35]

[extra]
price = 9.99
priceless = true
since = 2026-01-01
"#;

    #[test]
    fn costs_private_references_and_comments_go() {
        let got = released(TEXT).expect("TOML");
        for gone in ["cost", "motor", "secret", "friend", "price =", "9.99", "#"] {
            assert!(!got.contains(gone), "{gone} in\n{got}");
        }
        let table: Table = toml::from_str(&got).expect("TOML again");
        assert_eq!(table["reference"].as_array().map(Vec::len), Some(1));
        assert_eq!(table["fit"][0]["id"].as_str(), Some("arm-on-base"));
        assert_eq!(table["pose"].as_array().map(Vec::len), Some(1));
        assert_eq!(table["extra"]["priceless"].as_bool(), Some(true));
    }

    #[test]
    fn the_rest_is_kept_value_for_value_and_in_order() {
        let before: Table = toml::from_str(TEXT).expect("TOML");
        let got = released(TEXT).expect("TOML");
        let after: Table = toml::from_str(&got).expect("TOML again");
        for key in ["format", "rule-set", "kit", "settings", "part"] {
            assert_eq!(before[key], after[key]);
        }
        assert_eq!(before["pose"][0], after["pose"][0]);
        assert_eq!(
            before["materials"]["pla"]["density"],
            after["materials"]["pla"]["density"]
        );
        let place = |word: &str| got.find(word).expect("there");
        assert!(place("[kit]") < place("[settings.body]") && place("\"base\"") < place("\"arm\""));
        assert_eq!(
            released(&got),
            Ok(got.clone()),
            "released twice is released once"
        );
    }

    #[test]
    fn a_reference_that_shares_its_id_with_a_part_takes_nothing_along() {
        let text = "[[part]]\nid = \"a\"\n[[reference]]\nid = \"a\"\n[[pose]]\npart = \"a\"\n";
        let got = released(text).expect("TOML");
        assert!(got.contains("[[pose]]") && !got.contains("[[reference]]"));
    }

    #[test]
    fn text_that_is_no_toml_is_named() {
        assert!(matches!(
            released("a = = b"),
            Err(ManifestFault::Unreadable(_))
        ));
        let deep = format!("a = {}{}", "[".repeat(100_000), "]".repeat(100_000));
        assert!(released(&deep).is_err(), "bounded depth");
    }
}
