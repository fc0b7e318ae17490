//! When the faults of a mesh leave doubt about what is printed.

use crate::typed::typed;

typed!(
    /// Limits of doubt.
    AmbiguityLimits, ambiguity_limits, "ambiguity.toml", {
    /// Readings of a layer that differ by no more are the same, mm2.
    doubt: "doubt",
    /// Volumes by slices and by facets differ by no more, as a share.
    volume: "volume",
});
