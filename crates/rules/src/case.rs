//! What is judged: the kit as checked, and everything that was measured on it.

use kit::{Date, Kit, Part};
use measure::{Beside, PartFacts};

use crate::Against;

/// A kit with its facts, as the rules see it.
pub struct Case<'a> {
    /// The checked manifest.
    pub kit: &'a Kit,
    /// Facts of every part, in the manifest's order.
    pub parts: &'a [PartFacts],
    /// What the kit names besides and that cannot be had.
    pub beside: &'a Beside,
    /// The earlier release it is compared with; `None` where there is none.
    pub against: Option<&'a Against>,
    /// What the check is for: some faults may wait until a release.
    pub purpose: crate::Purpose,
    /// The day the check counts as: it decides which waivers hold.
    pub as_of: Date,
}

/// One part of a kit with its facts.
#[derive(Clone, Copy)]
pub struct PartCase<'a> {
    /// The whole case.
    pub case: &'a Case<'a>,
    /// The part as declared.
    pub part: &'a Part,
    /// What was measured on it.
    pub facts: &'a PartFacts,
}

/// What a check is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// A look at the kit as it is.
    Check,
    /// A release that strangers will build.
    Release,
}
