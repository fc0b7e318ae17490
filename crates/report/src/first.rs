//! "Do first": the blocking findings that waste most plastic when the part fails, all copies counted.

use findings::Finding;
use serde::Serialize;

use crate::input::Checked;

/// At most so many lines.
const MOST: usize = 3;

/// One line of "Do first".
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct First {
    /// The finding's name.
    pub id: String,
    /// The part, or `kit`.
    pub part: String,
    /// What to do.
    pub fix: String,
}

/// At most three parts to mend first; empty where fewer than two findings block.
pub fn list(checked: &Checked) -> Vec<First> {
    let mut rows: Vec<(f64, &Finding)> = checked
        .verdict
        .findings
        .iter()
        .filter(|f| f.blocks())
        .map(|f| (at_risk(checked, f), f))
        .collect();
    if rows.len() < 2 {
        return Vec::new();
    }
    // What the manifest says of itself is mended last.
    let of_words = |f: &Finding| {
        let families = ["change.", "revision.", "waiver."];
        families.iter().any(|family| f.rule.starts_with(family))
    };
    rows.sort_by(|a, b| {
        let words = of_words(a.1).cmp(&of_words(b.1));
        words.then(b.0.total_cmp(&a.0))
    });
    let mut out: Vec<First> = Vec::new();
    for (_, f) in rows {
        let part = f.parts.first().map_or("kit", |p| p.id.as_str());
        if out.iter().all(|o| o.part != part) {
            out.push(First {
                id: f.id.clone(),
                part: part.to_string(),
                fix: f.fix.clone(),
            });
        }
        if out.len() == MOST {
            break;
        }
    }
    out
}

/// Plastic that is wasted when the finding's parts fail, mm3.
fn at_risk(checked: &Checked, f: &Finding) -> f64 {
    f.parts
        .iter()
        .filter_map(|p| {
            let part = checked.kit.part(&p.id)?;
            let facts = checked.facts.iter().find(|x| x.id == p.id)?;
            if facts.loaded().is_none() {
                // Without a mesh nothing of the part is known to print.
                return Some(f64::INFINITY);
            }
            Some(facts.volume_mm3().unwrap_or(0.0) * part.copies() as f64)
        })
        .sum()
}
