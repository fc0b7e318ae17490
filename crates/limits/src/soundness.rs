//! What of a mesh's soundness matters once it is printed.

use crate::typed::typed;

typed!(
    /// Limits of a mesh's soundness.
    SoundnessLimits, soundness_limits, "soundness.toml", {
    /// Vertices this share of the box's diagonal apart are one in the second topology.
    merge_share: "merge-share",
    /// An opening no wider is a slit that prints closed, mm.
    slit: "slit",
    /// How far across an opening its other side is looked for, mm.
    gap_reach: "gap-reach",
    /// A facet whose smallest height is less is a sliver, mm.
    sliver_height: "sliver-height",
    /// A patch of turned facets no larger does no harm, mm.
    turned_extent: "turned-extent",
    /// An open shell whose area vectors add up to more of its area is a flat sheet.
    sheet_flatness: "sheet-flatness",
    /// A body whose longest side is less is debris, mm.
    debris_extent: "debris-extent",
    /// A body or shell of less volume is debris, mm3.
    debris_volume: "debris-volume",
    /// How many places of each kind are kept.
    most_places: "most-places",
});
