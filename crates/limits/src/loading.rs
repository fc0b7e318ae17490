//! Sizes that betray a wrong unit.

use crate::typed::typed;

typed!(
    /// Limits of the longest side of a mesh as declared, mm.
    LoadingLimits, loading_limits, "loading.toml", {
    /// Shorter than this in its longest direction, a unit is doubted.
    least_side: "least-side",
    /// Longer than this, a unit is doubted.
    greatest_side: "greatest-side",
    /// From here a size speaks for a unit.
    likely_least: "likely-least",
    /// Up to here a size speaks for a unit.
    likely_greatest: "likely-greatest",
});
