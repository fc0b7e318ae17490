//! `kit.unmeasured`: the manifest declares what no stage measures yet.

use findings::{Level, Rule, Worse};

use crate::words::count;
use crate::{Case, Departure, Entry, Judge};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "kit.unmeasured",
        title: "declared in the manifest, not measured by this version",
        level: Level::Note,
        worse: Worse::Unmeasured,
        measures: "Which tables and keys of the manifest are known and kept, but have no stage that measures \
                   them in this version.",
        why: "READY says nothing about them: what is not measured is not proven.",
        fix: "Nothing to mend: keep them, and look at these matters by hand before a release.",
        source: "common practice, no source",
        aliases: &[],
    },
    judge: Judge::Kit(judge),
};

fn judge(case: &Case) -> Vec<Departure> {
    let names = &case.kit.declared_unmeasured;
    if names.is_empty() {
        return Vec::new();
    }
    let many = count(names.len() as u64, "matter is", "matters are");
    vec![Departure {
        reading: names.join(", "),
        message: format!("{many} declared and not measured by this version"),
        fix: "keep them in the manifest, and look at them by hand before a release".into(),
        ..Departure::default()
    }]
}
