//! The JSON Schema (draft 2020-12) of a manifest, written from the table of keys that also reads it.

use serde_json::{Map, Value, json};

use crate::keys::{Demand, LEVELS, PathTo, ROOT, Shape, Spec, Word};
use crate::path::MESH_ENDINGS;

/// The schema as a text, for editors that know `#:schema`.
pub fn schema() -> String {
    let mut root = Map::new();
    root.insert(
        "$schema".into(),
        json!("https://json-schema.org/draft/2020-12/schema"),
    );
    root.insert("title".into(), json!("kit.toml"));
    if let Value::Object(table) = table(&ROOT) {
        root.extend(table);
    }
    let mut text = serde_json::to_string_pretty(&Value::Object(root)).unwrap_or_default();
    text.push('\n');
    text
}

fn table(spec: &'static Spec) -> Value {
    let mut properties = Map::new();
    for key in spec.keys {
        let mut value = shape(&key.shape);
        if let Value::Object(map) = &mut value {
            let said = map
                .remove("description")
                .and_then(|d| d.as_str().map(str::to_string));
            let text = match said {
                Some(words) => format!("{}. {words}", key.doc),
                None => key.doc.to_string(),
            };
            map.insert("description".into(), json!(text));
        }
        properties.insert(key.name.into(), value);
    }
    let required: Vec<&str> = spec
        .keys
        .iter()
        .filter(|k| k.required)
        .map(|k| k.name)
        .collect();
    let mut out = Map::new();
    out.insert("type".into(), json!("object"));
    out.insert("description".into(), json!(spec.doc));
    out.insert("properties".into(), Value::Object(properties));
    if !required.is_empty() {
        out.insert("required".into(), json!(required));
    }
    out.insert("additionalProperties".into(), json!(false));
    let demands: Vec<Value> = spec.demands.iter().map(demand).collect();
    if !demands.is_empty() {
        out.insert("allOf".into(), Value::Array(demands));
    }
    Value::Object(out)
}

fn demand(demand: &Demand) -> Value {
    let there = |key: &&str| json!({ "required": [key] });
    match demand {
        Demand::AnyOf(keys) => json!({ "anyOf": keys.iter().map(there).collect::<Vec<_>>() }),
        Demand::OneOf(keys) => json!({ "oneOf": keys.iter().map(there).collect::<Vec<_>>() }),
        Demand::NotBoth(a, b) => json!({ "not": { "required": [a, b] } }),
        Demand::With(a, b) => json!({ "dependentRequired": { *a: [b] } }),
        Demand::When {
            key,
            word,
            usual,
            needs,
            bars,
        } => json!({
            "if": { "properties": { *key: { "const": word } }, "required": if *usual { vec![] } else { vec![key] } },
            "then": {
                "required": needs,
                "properties": Value::Object(bars.iter().map(|bar| ((*bar).into(), json!(false))).collect()),
            },
        }),
    }
}

fn shape(shape: &'static Shape) -> Value {
    let most = |range: &str| limits::manifest::span(range).most as u64;
    match shape {
        Shape::Text | Shape::Reason => text(most("text")),
        Shape::Rule => json!({ "type": "string", "pattern": RULE }),
        Shape::Id => json!({ "type": "string", "pattern": ID, "maxLength": most("id") }),
        Shape::Ref(what) => json!({ "type": "string", "description": format!("Id of a {what}") }),
        Shape::Path(to) => path(*to, most("path")),
        Shape::Number(range) => number(range),
        Shape::Whole(range) => {
            let mut value = number(range);
            value["type"] = json!("integer");
            value
        }
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::OneWord(words) => one_word(words),
        Shape::Three(range) => numbers(range, 3),
        Shape::Two(range) => numbers(range, 2),
        Shape::Direction => json!({
            "oneOf": [{ "enum": ["+x", "-x", "+y", "-y", "+z", "-z", "x", "y", "z"] }, numbers("direction", 3)]
        }),
        Shape::Revision => {
            json!({ "type": "string", "pattern": r"^\d+\.\d+\.\d+(-[0-9A-Za-z.-]+)?$" })
        }
        Shape::Date => json!({ "type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$" }),
        Shape::License => text(most("license")),
        Shape::Scale => json!({ "type": "string", "pattern": r"^[1-9]\d*:[1-9]\d*$" }),
        Shape::List(inner) => {
            json!({ "type": "array", "minItems": 1, "items": self::shape(inner) })
        }
        Shape::OneOrList(inner) => json!({
            "oneOf": [self::shape(inner), { "type": "array", "minItems": 1, "items": self::shape(inner) }]
        }),
        Shape::WordOrTables(words, spec) => json!({
            "oneOf": [
                one_word(words),
                { "type": "array", "minItems": 1, "maxItems": most("show.directions"), "items": table(spec) },
            ]
        }),
        Shape::Table(spec) => table(spec),
        Shape::Tables(spec) => json!({
            "type": "array",
            "minItems": 1,
            "maxItems": most("entries"),
            "items": table(spec),
        }),
        Shape::Named(spec) => json!({
            "type": "object",
            "propertyNames": { "pattern": ID, "maxLength": most("id") },
            "additionalProperties": table(spec),
        }),
        Shape::Values(range) => json!({ "type": "object", "additionalProperties": number(range) }),
        Shape::Levels => json!({
            "type": "object",
            "propertyNames": { "pattern": RULE },
            "additionalProperties": one_word(LEVELS),
        }),
        Shape::Later => json!({ "description": "Known and kept, not measured yet" }),
        Shape::Free => json!({}),
    }
}

const ID: &str = "^[a-z0-9]([a-z0-9-]*[a-z0-9])?$";
const RULE: &str = r"^[a-z0-9-]+\.[a-z0-9-]+$";

fn text(most: u64) -> Value {
    json!({ "type": "string", "minLength": 1, "maxLength": most })
}

fn path(to: PathTo, most: u64) -> Value {
    let mut value = json!({
        "type": "string",
        "maxLength": most,
        "not": { "pattern": r"\\|://|^/|^[A-Za-z]:|(^|/)\.{0,2}(/|$)" },
    });
    if to == PathTo::Mesh {
        let endings: Vec<String> = MESH_ENDINGS
            .iter()
            .map(|ending| ending.chars().map(either_case).collect())
            .collect();
        value["pattern"] = json!(format!(r"\.({})$", endings.join("|")));
    }
    value
}

fn either_case(c: char) -> String {
    if c.is_ascii_alphabetic() {
        format!("[{}{}]", c.to_ascii_lowercase(), c.to_ascii_uppercase())
    } else {
        c.to_string()
    }
}

fn number(range: &str) -> Value {
    let range = limits::manifest::span(range);
    let plain = |n: f64| {
        if n == n.trunc() {
            json!(n as i64)
        } else {
            json!(n)
        }
    };
    json!({ "type": "number", "minimum": plain(range.least), "maximum": plain(range.most) })
}

fn numbers(range: &str, count: usize) -> Value {
    json!({ "type": "array", "minItems": count, "maxItems": count, "items": number(range) })
}

fn one_word(words: &[Word]) -> Value {
    let list: Vec<&str> = words.iter().map(|word| word.word).collect();
    let said: Vec<String> = words
        .iter()
        .map(|word| format!("{}: {}", word.word, word.doc))
        .collect();
    json!({ "type": "string", "enum": list, "description": said.join("; ") })
}

#[cfg(test)]
mod tests {
    use super::schema;

    /// The committed schema is the one that `#:schema` names; `kitproof schema` prints the same.
    #[test]
    fn the_committed_schema_is_current() {
        let committed = include_str!("../kit.schema.json");
        assert!(
            committed == schema(),
            "kit.schema.json is stale: write what `kitproof schema` prints there"
        );
    }
}
