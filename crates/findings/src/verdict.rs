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
