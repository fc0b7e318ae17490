//! READY or BLOCKED, and what it rests on.

use serde::{Deserialize, Serialize};

use crate::{Finding, Level};

/// Something that no stage could measure; it never reads as a pass.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NotMeasured {
    /// The part, or empty for the kit.
    pub part: String,
    /// What was not measured ("walls").
    pub what: String,
    /// Why.
    pub why: String,
}

/// The verdict on one promise.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PromiseVerdict {
    /// The promise's id.
    pub id: String,
    /// Whether nothing blocks on it.
    pub ready: bool,
}

/// The one verdict that feeds every output.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Verdict {
    /// Whether nothing blocks.
    pub ready: bool,
    /// A verdict for each promise, in the manifest's order.
    pub promises: Vec<PromiseVerdict>,
    /// Every finding: blocking ones first, then by part in the manifest's order.
    pub findings: Vec<Finding>,
    /// What could not be measured.
    pub not_measured: Vec<NotMeasured>,
}

impl Verdict {
    /// The verdict that findings amount to on promises, given by their ids in the manifest's order.
    pub fn of(
        promises: impl IntoIterator<Item = String>,
        findings: Vec<Finding>,
        not_measured: Vec<NotMeasured>,
    ) -> Verdict {
        let blocks_on = |id: &String| {
            let touched = |f: &&Finding| f.promises.is_empty() || f.promises.contains(id);
            findings.iter().filter(touched).any(Finding::blocks)
        };
        let promises = promises
            .into_iter()
            .map(|id| PromiseVerdict {
                ready: !blocks_on(&id),
                id,
            })
            .collect();
        Verdict {
            ready: !findings.iter().any(Finding::blocks),
            promises,
            findings,
            not_measured,
        }
    }

    /// The verdict on what a revision brought, and the findings that the base has already. A finding of which the
    /// base says nothing counts as brought: what was not compared is never passed over.
    #[must_use]
    pub fn only_new(self) -> (Verdict, Vec<Finding>) {
        let (old, new): (Vec<Finding>, Vec<Finding>) = self
            .findings
            .into_iter()
            .partition(|f| f.since.as_ref().is_some_and(|s| !s.new));
        let promises = self.promises.into_iter().map(|p| p.id);
        (Verdict::of(promises, new, self.not_measured), old)
    }

    /// How many findings of a level stand without a waiver.
    pub fn count(&self, level: Level) -> usize {
        self.findings
            .iter()
            .filter(|f| f.level == level && f.waived.is_none())
            .count()
    }

    /// Whether a run fails that tolerates nothing from a level on; what blocks always fails. Exit codes and
    /// every view ask this.
    pub fn fails(&self, least: Level) -> bool {
        !self.ready || self.findings.iter().any(|f| f.fails(least))
    }

    /// The word of the verdict.
    pub fn word(&self) -> &'static str {
        if self.ready { "READY" } else { "BLOCKED" }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Since;

    fn finding(id: &str, level: Level, promise: &str, new: Option<bool>) -> Finding {
        Finding {
            id: id.into(),
            rule: "wall.lost".into(),
            level,
            parts: vec![],
            promises: vec![promise.into()],
            measured: None,
            limit: None,
            unit: String::new(),
            reading: String::new(),
            places: vec![],
            places_total: 0,
            since: new.map(|new| Since {
                new,
                base: "1.0.0".into(),
                measured: None,
                words: String::new(),
            }),
            message: String::new(),
            fix: String::new(),
            waived: None,
        }
    }

    fn promises() -> Vec<String> {
        vec!["common".into(), "small".into()]
    }

    #[test]
    fn a_promise_is_ready_where_nothing_blocks_on_it() {
        let findings = vec![
            finding("a", Level::Block, "small", None),
            finding("b", Level::Warn, "common", None),
        ];
        let verdict = Verdict::of(promises(), findings, vec![]);
        assert!(!verdict.ready);
        assert_eq!(
            [verdict.promises[0].ready, verdict.promises[1].ready],
            [true, false]
        );
        assert!(verdict.fails(Level::Block) && verdict.fails(Level::Note));
    }

    #[test]
    fn what_the_base_has_already_does_not_count_and_what_was_not_compared_does() {
        let findings = vec![
            finding("old", Level::Block, "small", Some(false)),
            finding("new", Level::Warn, "common", Some(true)),
            finding("not compared", Level::Note, "common", None),
        ];
        let (verdict, old) = Verdict::of(promises(), findings, vec![]).only_new();
        assert!(verdict.ready && verdict.promises.iter().all(|p| p.ready));
        assert!(verdict.fails(Level::Warn) && !verdict.fails(Level::Block));
        let ids = |findings: &[Finding]| -> Vec<String> {
            findings.iter().map(|f| f.id.clone()).collect()
        };
        assert_eq!(ids(&verdict.findings), ["new", "not compared"]);
        assert_eq!(ids(&old), ["old"]);
    }
}
