//! When a part is worse than what was signed off.

use crate::typed::typed;

typed!(
    /// How a measured value is held against the one that was signed off.
    SignOff, signoff, "signoff.toml", {
    /// A value worse by this share and by its resolution is worse, per cent.
    worse: "worse",
    /// Decimals of a value in signoff.toml.
    decimals: "decimals",
    /// Thickness of walls, mm.
    wall: "resolution.wall",
    /// Sizes, mm.
    size: "resolution.size",
    /// Volumes, mm3.
    volume: "resolution.volume",
    /// Areas, mm2.
    area: "resolution.area",
    /// Volumes of supports, mm3.
    support: "resolution.support",
    /// Counts.
    count: "resolution.count",
    /// Spans of bridges, mm.
    span: "resolution.span",
    /// Angles, degrees.
    angle: "resolution.angle",
    /// Slenderness.
    ratio: "resolution.ratio",
    /// Steps on show faces, mm.
    step: "resolution.step",
});
