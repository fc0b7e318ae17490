//! What changed among the declared screws, inserts and bought parts.

use std::collections::BTreeMap;

use kit::Kit;

/// A line for each kind of hardware that the two revisions count differently.
pub fn changes(base: &Kit, present: &Kit) -> Vec<String> {
    let [was, is] = [base, present].map(counts);
    let mut lines = Vec::new();
    for (name, now) in &is {
        match was.get(name) {
            None => lines.push(format!("new: {now} x {name}")),
            Some(before) if before != now => {
                lines.push(format!("{name}: {now} needed, before {before}"));
            }
            Some(_) => {}
        }
    }
    for (name, before) in &was {
        if !is.contains_key(name) {
            lines.push(format!("no longer needed: {before} x {name}"));
        }
    }
    lines
}

/// Declared pieces by name: the standard or the words for what is bought, with its size.
fn counts(kit: &Kit) -> BTreeMap<String, i64> {
    let mut found = BTreeMap::new();
    let items = kit.later.get("hardware").and_then(toml::Value::as_array);
    for item in items.into_iter().flatten() {
        let text = |key: &str| item.get(key).and_then(toml::Value::as_str);
        // The designer's id is no name for a builder, unless there is no other.
        let mut words: Vec<&str> = ["standard", "bought", "size"]
            .iter()
            .filter_map(|key| text(key))
            .collect();
        if words.is_empty() {
            words.extend(text("id"));
        }
        if words.is_empty() {
            continue;
        }
        let count = item.get("count").and_then(toml::Value::as_integer);
        *found.entry(words.join(" ")).or_default() += count.unwrap_or(1);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kit(more: &str) -> Kit {
        let text = format!(
            "format = 1\nrule-set = \"2026.1\"\n[kit]\nid = \"k\"\ntitle = \"K\"\nrevision = \"1.0.0\"\n\
             license = \"CC0-1.0\"\n[[promise]]\nid = \"p\"\nplate = [100, 100, 100]\n[settings.body]\n\
             [defaults]\nunits = \"mm\"\n[[part]]\nid = \"a\"\nmesh = \"a.stl\"\n{more}"
        );
        kit::read(&text, "kit.toml", &rules::registry::ids())
            .unwrap_or_else(|f| panic!("{}", kit::render(&f, &text, false)))
    }

    #[test]
    fn hardware_is_counted_by_its_name() {
        let old = kit(
            "[[hardware]]\nstandard = \"ISO 7380-1\"\nsize = \"M3x8\"\ncount = 4\n\
                       [[hardware]]\nbought = \"a lamp\"\ncount = 1\n",
        );
        let new = kit(
            "[[hardware]]\nstandard = \"ISO 7380-1\"\nsize = \"M3x8\"\ncount = 6\n\
                       [[hardware]]\nbought = \"a switch\"\ncount = 1\n",
        );
        assert_eq!(
            changes(&old, &new),
            [
                "ISO 7380-1 M3x8: 6 needed, before 4",
                "new: 1 x a switch",
                "no longer needed: 1 x a lamp"
            ]
        );
        assert!(changes(&old, &old).is_empty());
    }
}
