//! What of the first layer holds, and what its spread closes.

use crate::typed::typed;

typed!(
    /// Limits of the first layer.
    FirstLayer, first_layer, "first-layer.toml", {
    /// A piece with less area is dragged off, mm2.
    piece: "small.piece",
    /// What a larger piece has at this height it holds, mm.
    joined: "small.joined",
    /// The first layers bulge by at least this, mm a side.
    spread_least: "spread.least",
    /// The first layers bulge by at most this, mm a side.
    spread_most: "spread.most",
    /// A foot is chamfered up to this height, mm.
    chamfer_height: "spread.chamfer-height",
    /// Shorter slits are nicks, mm.
    spread_run: "spread.run",
    /// The width of a slit changes by less, mm per mm.
    spread_steepest: "spread.steepest",
    /// Narrower features of a foot are told, mm.
    feature: "measure.feature",
    /// Side of a pixel, mm.
    pixel: "measure.pixel",
    /// How many places are kept.
    most_places: "measure.most-places",
});
