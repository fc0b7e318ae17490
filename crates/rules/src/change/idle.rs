//! `change.idle`: a line on a part that did not change.

use findings::{Level, Rule, Worse};

use crate::reprint::Class;
use crate::{Case, Departure, Entry, Judge};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "change.idle",
        title: "a line on a part that did not change",
        level: Level::Note,
        worse: Worse::Unmeasured,
        measures: "The manifest's [[change]] tables against the parts that changed since the base.",
        why: "It may be left over from an earlier revision, or the changed mesh was not exported.",
        fix: "Take the [[change]] out, or export the part again.",
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
    let same = |part: &str| {
        against.table.row(part).is_some_and(|row| {
            let own = row.overridden.as_ref().map_or(row.unbuilt, |o| o.computed);
            own == Class::Same && !row.more_copies()
        })
    };
    case.kit
        .changes
        .iter()
        .filter(|change| same(&change.part))
        .map(|change| Departure {
            parts: vec![change.part.clone()],
            reading: format!(
                "{} line {}, and the same as in {}",
                case.kit.file, change.line, against.kit.revision
            ),
            message: "has a [[change]] and did not change".into(),
            fix: "take the [[change]] out, or export the part again".into(),
            ..Departure::default()
        })
        .collect()
}
