//! What `accept` shows: the values that were signed off beside those that are measured now.

use kit::SignOff;
use rules::measures;

use crate::list::columns;

/// A table of what changes between two sign-offs, part by part; `old` is `None` for a first one.
pub fn signoff_table(old: Option<&SignOff>, new: &SignOff) -> String {
    let mut rows = vec![row(["part", "value", "signed off", "now", "change", ""])];
    for (id, now) in &new.parts {
        let Some(then) = old.and_then(|old| old.parts.get(id)) else {
            let count = format!("{} values", now.values.len());
            rows.push(row([id, "all", "-", &count, "first sign-off", ""]));
            continue;
        };
        let mut marks = Vec::new();
        if then.mesh != now.mesh {
            marks.push("another mesh");
        }
        if then.settings != now.settings {
            marks.push("other settings");
        }
        if then.source != now.source {
            marks.push("another CAD file");
        }
        if !marks.is_empty() {
            rows.push(row([id, "made of", "", "", &marks.join(", "), ""]));
        }
        for measure in measures::all() {
            let (was, is) = (then.values.get(measure.key), now.values.get(measure.key));
            let say = |value: Option<&f64>| value.map_or("-".into(), |v| measure.say(*v));
            let (change, word) = match (was, is) {
                (Some(a), Some(b)) if !measure.differs(*a, *b) => continue,
                (Some(a), Some(b)) => (
                    change(*a, *b),
                    match measure.worsened(*a, *b) {
                        Some(by) if by > 0.0 => "worse",
                        Some(_) => "better",
                        None => "",
                    },
                ),
                (None, None) => continue,
                (None, Some(_)) => ("newly measured".to_string(), ""),
                (Some(_), None) => ("no longer measured".to_string(), ""),
            };
            rows.push(row([id, measure.title, &say(was), &say(is), &change, word]));
        }
    }
    for id in old.into_iter().flat_map(|old| old.parts.keys()) {
        if !new.parts.contains_key(id) {
            rows.push(row([id, "all", "", "-", "no longer in the kit", ""]));
        }
    }
    if rows.len() == 1 {
        return format!(
            "{} parts: nothing differs from the sign-off\n",
            new.parts.len()
        );
    }
    columns(&rows)
}

/// A change in per cent of what was, or as a difference where nothing was.
fn change(then: f64, now: f64) -> String {
    if then == 0.0 {
        format!("{:+.2}", now - then)
    } else {
        format!("{:+.1} %", 100.0 * (now - then) / then.abs())
    }
}

fn row(cells: [&str; 6]) -> Vec<String> {
    cells.map(str::to_string).to_vec()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use kit::{Revision, SignedPart};

    use super::*;

    fn signed(parts: &[(&str, f64, &str)]) -> SignOff {
        let part = |wall: f64, mesh: &str| SignedPart {
            mesh: mesh.repeat(64),
            settings: "b".repeat(64),
            source: None,
            values: BTreeMap::from([("min-wall".to_string(), wall)]),
        };
        SignOff {
            kit: "k".into(),
            revision: Revision::parse("1.0.0").expect("a revision"),
            engine: 1,
            parts: parts
                .iter()
                .map(|(id, wall, mesh)| (id.to_string(), part(*wall, mesh)))
                .collect(),
        }
    }

    #[test]
    fn old_and_new_stand_side_by_side() {
        let old = signed(&[("a", 0.8, "a"), ("b", 0.8, "a"), ("gone", 1.0, "a")]);
        let new = signed(&[("a", 0.6, "c"), ("b", 0.81, "a"), ("new", 1.0, "a")]);
        assert_eq!(
            signoff_table(Some(&old), &new),
            "part  value       signed off  now       change                \n\
             a     made of                           another mesh\n\
             a     least wall  0.80 mm     0.60 mm   -25.0 %               worse\n\
             new   all         -           1 values  first sign-off\n\
             gone  all                     -         no longer in the kit\n"
                .replace("change                \n", "change\n")
        );
        assert!(signoff_table(Some(&old), &old).contains("nothing differs"));
    }
}
