//! Whether a kit has pieces that a small child could choke on: the read-me of a bundle then says so.

use measure::PartFacts;

/// Whether a part may be a small part in the sense of 16 CFR 1501.4. What is undecided counts as small: the
/// diagonal of its box is at least its longest distance, and a part that was not measured may be small.
pub fn may_be_small(facts: &PartFacts) -> bool {
    facts.size.as_ref().is_none_or(|size| {
        let [x, y, z] = size.mesh_mm;
        (x * x + y * y + z * z).sqrt() <= limits::small_parts().longest.value
    })
}
