//! How firmly a part must stand while it grows, and how much it may be inclined to lift off the plate.

use crate::typed::typed;

typed!(
    /// Limits of standing and lifting.
    Stability, stability, "stability.toml", {
    /// A part that tips when it leans by less is held by grip alone, degrees.
    lean: "tips.lean",
    /// A part held by less grip is knocked off, mm2.
    grip: "tips.grip",
    /// No wider foot is proposed, mm.
    widest_foot: "tips.widest-foot",
    /// A foot longer than so many times its width is steadied at its two ends.
    long_foot: "tips.long-foot",
    /// Columns of a greater slenderness ratio sway.
    slender: "slender.ratio",
    /// Shorter columns are none, mm.
    column: "slender.length",
    /// A lift by the model that is worth a word, mm.
    lift: "warp.lift",
    /// Parts lower than this are not ranked, mm.
    warp_height: "warp.height",
    /// Temperature around a part, degrees Celsius.
    chamber: "warp.chamber",
    /// A brim at least this wide holds corners, mm.
    warp_brim: "warp.brim",
    /// Parts named, at most.
    warp_parts: "warp.parts",
});
