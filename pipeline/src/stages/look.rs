//! Look: what is only known once all parts of a kit are measured: which of them is most inclined to lift.

use measure::PartFacts;
use measure::print::warp;

/// Completes the facts of a kit's parts.
pub fn look(facts: &mut [PartFacts]) {
    let _span = tracing::info_span!("look").entered();
    warp::rank(facts, rules::warp::least_height_mm());
}
