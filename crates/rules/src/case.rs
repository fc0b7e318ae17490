//! What is judged: the kit as checked, and everything that was measured on it.

use kit::{Date, Kit, Part};
use measure::{Beside, PartFacts};

use crate::Against;
use crate::signoff::Signed;

/// What a kit is judged for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Purpose {
    /// To see how it stands.
    #[default]
    Check,
    /// To publish it: what a check only warns of may block.
    Release,
}

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
    /// The day the check counts as: it decides which waivers hold.
    pub as_of: Date,
    /// What it is judged for.
    pub purpose: Purpose,
    /// What its designer signed off; `None` where there is no sign-off.
    pub signed: Option<Signed<'a>>,
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
