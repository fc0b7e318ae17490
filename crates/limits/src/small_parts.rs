//! Pieces that a small child could choke on.

use crate::typed::typed;

typed!(
    /// The limit of small parts.
    SmallParts, small_parts, "small-parts.toml", {
    /// A piece with a longer distance between two of its points is none, mm.
    longest: "longest",
});
