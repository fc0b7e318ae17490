//! Judge: every rule is asked once; the verdict feeds every output.

use findings::Verdict;
use kit::{Date, Kit};
use measure::{Beside, PartFacts};
use rules::signoff::Signed;
use rules::{Case, Purpose};

/// Judges a kit on its facts.
pub fn judge(
    kit: &Kit,
    facts: &[PartFacts],
    beside: &Beside,
    as_of: Date,
    purpose: Purpose,
    signed: Option<Signed>,
) -> Verdict {
    let _span = tracing::info_span!("judge").entered();
    rules::judge(&Case {
        kit,
        parts: facts,
        beside,
        as_of,
        purpose,
        signed,
    })
}
