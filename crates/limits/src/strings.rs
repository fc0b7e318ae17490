//! When many small pieces of a layer draw hairs between them.

use crate::typed::typed;

typed!(
    /// Limits of strings.
    Strings, strings, "strings.toml", {
    /// A piece of a layer with no more area is small, mm2.
    piece: "piece",
    /// Pieces less far apart are one, mm.
    least_gap: "least-gap",
    /// Pieces no further apart are neighbours, mm.
    gap: "gap",
    /// So many small neighbours make a layer stringy.
    pieces: "pieces",
    /// Stringy layers of less height together are none, mm.
    height: "height",
});
