//! A base with all that was measured and judged on it, and what came of comparing it with the present kit.

use findings::Verdict;
use kit::Kit;
use measure::PartFacts;
use revisions::Compared;

use super::class::{Table, table};

/// The earlier release that a kit is compared with.
pub struct Against {
    /// Where the base comes from, as typed: a tag, a folder, a bundle.
    pub from: String,
    /// The base's manifest.
    pub kit: Kit,
    /// What this version measures on the base, part by part.
    pub facts: Vec<PartFacts>,
    /// What this version says of the base.
    pub verdict: Verdict,
    /// The surfaces, pair by pair.
    pub compared: Compared,
    /// The reprint table.
    pub table: Table,
}

impl Against {
    /// Puts the comparison together; `now` is what is said of the present kit alone.
    pub fn of(
        from: String,
        base: (Kit, Vec<PartFacts>, Verdict),
        compared: Compared,
        present: &Kit,
        now: &Verdict,
    ) -> Against {
        let (kit, facts, verdict) = base;
        let table = table(&kit, &verdict, &compared, present, now);
        Against {
            from,
            kit,
            facts,
            verdict,
            compared,
            table,
        }
    }

    /// The base's facts of one of its parts.
    pub fn facts_of(&self, id: &str) -> Option<&PartFacts> {
        self.facts.iter().find(|f| f.id == id)
    }
}
