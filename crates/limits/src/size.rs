//! How close to the end of a plate a part may come.

use crate::typed::typed;

typed!(
    /// Limits of a part on its plate, mm.
    SizeLimits, size_limits, "size.toml", {
    /// Over by less than this counts as fitting, mm.
    rounding: "rounding",
    /// Free width at each edge of the plate below which a builder is told, mm.
    edge_margin: "edge-margin",
});
