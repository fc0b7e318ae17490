//! What a rule says of itself, whatever kit it meets.

use crate::Level;

/// Which way a measured value gets worse: a waiver's floor needs to know.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Worse {
    /// A smaller value is worse (a wall's thickness).
    Lower,
    /// A larger value is worse (a count of holes, a length over the plate).
    Higher,
    /// The rule measures no number.
    Unmeasured,
}

/// The words and the weight of one rule. Everything a reader is told about a rule comes from here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rule {
    /// `stage.fault`, never reused.
    pub id: &'static str,
    /// The fault in a few words, without a full stop ("a wall thinner than one line").
    pub title: &'static str,
    /// The weight unless kit or part say otherwise.
    pub level: Level,
    /// Which way the measured value gets worse.
    pub worse: Worse,
    /// What is measured, and how: one or two sentences.
    pub measures: &'static str,
    /// Why it matters to the person who prints: one to three sentences.
    pub why: &'static str,
    /// How to mend it, in general: one or two sentences.
    pub fix: &'static str,
    /// Standard, paper, or "common practice, no source".
    pub source: &'static str,
    /// The rows of the limits' tables that it meets: "walls.toml lost.lines".
    pub limits: &'static [&'static str],
    /// Earlier ids of the same rule.
    pub aliases: &'static [&'static str],
}

impl Rule {
    /// The part of the id before the dot: `wall` of `wall.thin`.
    pub fn family(&self) -> &'static str {
        self.id.split('.').next().unwrap_or(self.id)
    }
}
