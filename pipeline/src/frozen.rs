//! `--frozen`: a run that may write nothing beside its outputs, and on which a missing or outdated sign-off is a
//! fault of the request.

use rules::signoff::{self, Signed};

use crate::outcome::Outcome;
use crate::proof::Proof;
use crate::say::Said;
use crate::stages::read::Opened;
use crate::stages::signed::SIGNOFF;

/// Whether a kit has the sign-off that a frozen run needs; says so where it has none.
pub fn has_signoff(opened: &Opened, said: &mut dyn Said) -> bool {
    if opened.signed.is_none() {
        said.fault(&format!(
            "--frozen: {} does not exist; run `kitproof accept` and commit it, or leave --frozen out",
            opened.folder.join(SIGNOFF).display()
        ));
    }
    opened.signed.is_some()
}

/// The outcome of a frozen run: the sign-off must be of these files and of these values.
pub fn outcome(proof: &Proof, said: &mut dyn Said) -> Outcome {
    let Some(accepted) = &proof.signed else {
        return Outcome::BadRequest;
    };
    let signed = Signed {
        accepted,
        now: &proof.prints,
    };
    let whole = proof.extent == report::Extent::Whole;
    let stale = signoff::outdated(&proof.kit, &proof.facts, signed, whole);
    if stale.is_empty() {
        return Outcome::Ready;
    }
    said.fault(&format!(
        "--frozen: {SIGNOFF} is outdated:\n  {}\nlook at the values, run `kitproof accept` and commit it",
        stale.join("\n  ")
    ));
    Outcome::BadRequest
}
