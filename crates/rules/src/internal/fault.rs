//! `internal.fault`: the gate failed on a part.

use findings::{Level, Rule, Worse};

use crate::{Departure, Entry, Judge, PartCase};

/// The rule.
pub static ENTRY: Entry = Entry {
    rule: Rule {
        id: "internal.fault",
        title: "the gate itself failed on this part",
        level: Level::Block,
        worse: Worse::Unmeasured,
        measures: "Whether measuring a part ended by itself, instead of by a fault of the gate.",
        why: "A part that could not be measured is not proven, whatever the cause.",
        fix: "Report the fault with the part's mesh; the other parts' results hold.",
        source: "common practice, no source",
        limits: &[],
        aliases: &[],
    },
    judge: Judge::Part(judge),
};

fn judge(case: &PartCase) -> Vec<Departure> {
    let Some(words) = &case.facts.panicked else {
        return Vec::new();
    };
    vec![Departure {
        reading: format!("stopped: {words}"),
        message: "kitproof failed while measuring this part".into(),
        fix: "report this with the mesh; nothing on this part counts as measured".into(),
        ..Departure::default()
    }]
}
