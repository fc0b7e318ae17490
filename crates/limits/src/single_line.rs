//! What a part must be to be printed as one closed line a layer.

use crate::typed::typed;

typed!(
    /// Limits of parts printed in one line.
    SingleLine, single_line, "single-line.toml", {
    /// A wall no wider is one line, line widths.
    wall: "wall",
    /// A piece longer than so many times its width is a strip.
    strip: "strip",
    /// A loop steps no further beside the one below, line widths.
    step: "step",
    /// Closed loops a layer.
    loops: "loops",
});
