//! What of a surface that crosses itself matters once it is printed.

use crate::typed::typed;

typed!(
    /// Limits of crossings.
    CrossingLimits, crossing_limits, "crossings.toml", {
    /// Space that is inside out no deeper does no harm, mm.
    inside_out_depth: "inside-out-depth",
    /// Facets of one shell that cross along no more are not worth a word, mm.
    overlap_length: "overlap-length",
    /// How many places a finding carries.
    most_places: "most-places",
});
