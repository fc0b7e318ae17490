//! When a part is the same as before, when a change of it touches a fit, and what a caliper shows.

use crate::typed::typed;

typed!(
    /// Limits of the comparison of two revisions.
    Revisions, revisions, "revisions.toml", {
    /// Surfaces no farther apart are the same, mm.
    same: "compare.same",
    /// Larger facets are sampled between their corners, mm.
    sample: "compare.sample",
    /// Moved places closer than this are one region, mm.
    region_gap: "compare.region-gap",
    /// Regions listed a part, at most.
    regions: "compare.regions",
    /// A face this near to a posed neighbour faces it, mm.
    fit_reach: "fit.reach",
    /// A move by more than this share of a fit's gap range asks for a reprint.
    fit_share: "fit.share",
    /// The same where no gap is declared, mm.
    fit_move: "fit.move",
    /// Diameter taken for what a declared hole takes where its size is not said, mm.
    hole: "fit.hole",
    /// A finding no farther from one of the base is the same one, mm.
    same_place: "compare.same-place",
    /// Parts under other names whose volumes, areas and radii differ by no more are laid over each other.
    alike_share: "rename.alike",
    /// A difference that a caliper shows between two prints, mm.
    caliper_least: "caliper.least",
});
