//! What a draft of a manifest promises.

use crate::typed::typed;

typed!(
    /// The plate of a draft's promise.
    Draft, draft, "draft.toml", {
    /// Width, mm.
    plate_x: "plate-x",
    /// Depth, mm.
    plate_y: "plate-y",
    /// Height, mm.
    plate_z: "plate-z",
    /// Another way to rest is proposed where it touches the plate with this many times the area.
    better_contact: "better-contact",
});
