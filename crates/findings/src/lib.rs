//! The shape of a verdict: rule, level, place, measured value, finding, waiver.
//!
//! A leaf: it knows no kit, no mesh, no limit. What a finding says is worded by the rule that raised it;
//! the views only lay it out.

mod finding;
mod level;
mod place;
mod rule;
mod since;
mod verdict;

pub use finding::{Finding, PartRef, Waived};
pub use level::Level;
pub use place::Place;
pub use rule::{Rule, Worse};
pub use since::Since;
pub use verdict::{NotMeasured, PromiseVerdict, Verdict};
