//! Judge: every rule is asked once; the verdict feeds every output.

use findings::Verdict;
use kit::{Date, Kit};
use measure::{Beside, PartFacts};
use rules::signoff::Signed;
use rules::{Against, Case, Purpose};

/// Judges a kit on its facts.
pub fn judge(
    kit: &Kit,
    facts: &[PartFacts],
    beside: &Beside,
    against: Option<&Against>,
    purpose: Purpose,
    signed: Option<Signed>,
    as_of: Date,
) -> Verdict {
    let _span = tracing::info_span!("judge").entered();
    rules::judge(&Case {
        kit,
        parts: facts,
        beside,
        against,
        as_of,
        purpose,
        signed,
    })
}
