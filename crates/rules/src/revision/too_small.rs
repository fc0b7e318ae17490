//! `revision.too-small`: a step of the kit's revision that promises more than the parts hold.

use findings::{Level, Rule, Worse};

use crate::reprint::{Class, Step, enough, smallest};
use crate::{Case, Departure, Entry, Judge};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "revision.too-small",
        title: "a revision that changes more than its number says",
        level: Level::Block,
        worse: Worse::Unmeasured,
        measures: "The kit's revision against the base's, and the smallest step that the measured difference of \
                   its parts allows: major where any part must be printed again, minor where parts are new, \
                   recommended or retired, patch where anything else changed.",
        why: "Builders read the number as a promise: with the same first number every old part still fits.",
        fix: "Give the kit the revision that is named, or take back the change that asks for it; a `[[change]]` \
              with a `class` overrules what was computed, and the notes say so.",
        source: "Semantic Versioning 2.0.0, clauses 4 and 6 to 8, with a part that fits for an interface that holds",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Kit(judge),
};

fn judge(case: &Case) -> Vec<Departure> {
    let Some(against) = case.against else {
        return Vec::new();
    };
    let table = &against.table;
    let (base, present) = (&against.kit.revision, &case.kit.revision);
    if enough(base, present, table.step) {
        return Vec::new();
    }
    let because = table.step_from.map(|i| &table.rows[i]);
    let next = smallest(base, table.step);
    let message = match (table.step, because) {
        (Step::None, _) | (_, None) => format!("revision {present} lies before its base {base}"),
        (step, Some(row)) if row.class == Class::Same && row.more_copies() => format!(
            "a {} step is needed after {base}: more copies of {} are needed",
            step.word(),
            row.part
        ),
        (step, Some(row)) => format!(
            "a {} step is needed after {base}: {} is {}",
            step.word(),
            row.part,
            row.class.word()
        ),
    };
    let reading = match because {
        Some(row) => format!(
            "{present} after {base}, needs {next} ({}: {})",
            row.part, row.reason
        ),
        None => format!("{present} after {base}"),
    };
    vec![Departure {
        reading,
        message,
        fix: format!("set revision = \"{next}\" in [kit], or name another base with --base"),
        ..Departure::default()
    }]
}
