//! What every view is made from.

use findings::Verdict;
use kit::Kit;
use measure::PartFacts;
use rules::Against;

/// A finished check.
#[derive(Clone, Copy)]
pub struct Checked<'a> {
    /// The manifest.
    pub kit: &'a Kit,
    /// Facts of every part, in the manifest's order.
    pub facts: &'a [PartFacts],
    /// The verdict.
    pub verdict: &'a Verdict,
    /// The day the check counts as, `YYYY-MM-DD`.
    pub as_of: &'a str,
    /// Whether the whole kit was checked.
    pub extent: &'a Extent,
    /// The base and what changed since; `None` where there is none.
    pub against: Option<&'a Against>,
}

/// How much of the kit a check covers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Extent {
    /// Every part on every promise.
    Whole,
    /// Every part on every promise, but only findings that the base does not have; the words say how many it has.
    New(String),
    /// Only what was asked for; the words say what.
    Partial(String),
    /// The run was stopped; the words say how far it came.
    Incomplete(String),
}

impl Extent {
    /// The words of a limited extent; `None` for a whole check.
    pub fn words(&self) -> Option<&str> {
        match self {
            Extent::Whole => None,
            Extent::New(words) | Extent::Partial(words) | Extent::Incomplete(words) => Some(words),
        }
    }
}

/// The version that made an output.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");
