//! The sign-off: measured values that the designer accepted.

use super::{Key, may};
use super::{Shape, Spec, need};

/// The whole of signoff.toml.
pub(crate) static SIGNOFF: Spec = Spec {
    name: "the sign-off",
    doc: "Measured values that the designer accepted; `kitproof accept` writes them.",
    keys: &[
        need(
            "format",
            Shape::Whole("signoff.format"),
            "Format of this file: 1",
        ),
        need("kit", Shape::Id, "Id of the kit"),
        need(
            "revision",
            Shape::Revision,
            "Revision of the kit when it was signed off",
        ),
        need(
            "engine",
            Shape::Whole("signoff.engine"),
            "Number of the way of measuring",
        ),
        may("parts", Shape::Named(&SIGNED_PART), "Parts by id"),
    ],
    demands: &[],
};

static SIGNED_PART: Spec = Spec {
    name: "[parts.ID]",
    doc: "One part as it was signed off.",
    keys: SIGNED_KEYS,
    demands: &[],
};

const SIGNED_KEYS: &[Key] = &[
    need("mesh", Shape::Text, "SHA-256 of the mesh file"),
    need(
        "settings",
        Shape::Text,
        "SHA-256 of what the part is printed with",
    ),
    may("source", Shape::Text, "SHA-256 of the CAD file"),
    need(
        "values",
        Shape::Values("signoff.number"),
        "Measured values by name",
    ),
];
