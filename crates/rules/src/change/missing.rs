//! `change.missing`: a changed part of which the designer says nothing.

use findings::{Level, Rule, Worse};

use crate::reprint::Class;
use crate::{Case, Departure, Entry, Judge, Purpose};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "change.missing",
        title: "a changed part without a line on what changed",
        level: Level::Warn,
        worse: Worse::Unmeasured,
        measures: "Every part whose surface or settings changed against the base, and the manifest's [[change]] \
                   tables. A warning in check; in release it blocks.",
        why: "Builders who hold the old part want to know what the new one is for; a measured depth does not say it.",
        fix: "Write a [[change]] with the part's id and a sentence; `kitproof notes` drafts it.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Kit(judge),
};

fn judge(case: &Case) -> Vec<Departure> {
    let Some(against) = case.against else {
        return Vec::new();
    };
    let silent = against.table.rows.iter().filter(|row| {
        let own = row.overridden.as_ref().map_or(row.unbuilt, |o| o.computed);
        matches!(own, Class::Required | Class::Recommended | Class::Optional) && row.text.is_none()
    });
    silent
        .map(|row| Departure {
            parts: vec![row.part.clone()],
            level: (case.purpose == Purpose::Release).then_some(Level::Block),
            reading: format!("changed since {}: {}", against.kit.revision, row.reason),
            message: "changed, and no [[change]] says what for".into(),
            fix: format!(
                "add [[change]] part = \"{}\" with a text that a builder understands",
                row.part
            ),
            ..Departure::default()
        })
        .collect()
}
