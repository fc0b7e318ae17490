//! Promises, settings, materials.

use super::{Demand, PROCESSES, SUPPORTS, Shape, Spec, Word, may, need};

/// `[[promise]]`
pub(crate) static PROMISE: Spec = Spec {
    name: "[[promise]]",
    doc: "The least machine and material the kit promises to print on.",
    keys: &[
        need("id", Shape::Id, "Name of the promise: a-z, 0-9 and hyphens"),
        may("kind", Shape::OneWord(PROCESSES), "How the machine prints; default filament").or(&["type", "process"]),
        need(
            "plate",
            Shape::Three("promise.plate"),
            "Plate and height: x, y, z in mm",
        )
        .or(&["bed", "size", "volume"]),
        may(
            "edge-margin",
            Shape::Number("promise.edge-margin"),
            "Kept free along the edges in x and y, mm; default 0",
        )
        .or(&["margin"]),
        may(
            "nozzle",
            Shape::Number("promise.nozzle"),
            "Nozzle width, mm; filament only; default 0.4",
        ),
        may(
            "layers",
            Shape::Two("promise.layers"),
            "Least and greatest layer height a builder may choose, mm; filament only; default 0.3 to 0.7 of the nozzle",
        )
        .or(&["layer"]),
        may(
            "pixel",
            Shape::Number("promise.pixel"),
            "Side of a pixel, mm; vat only",
        ),
        may(
            "least-wall",
            Shape::Number("promise.least-wall"),
            "Thinnest wall that prints, mm; vat only",
        )
        .or(&["min-wall"]),
        may(
            "materials",
            Shape::List(&Shape::Ref("material")),
            "Admitted materials; default: all of the kind",
        )
        .or(&["material"]),
        may(
            "supports",
            Shape::OneWord(SUPPORTS),
            "Which supports are allowed; default none",
        )
        .or(&["support"]),
    ],
    demands: &[
        Demand::When {
            key: "kind",
            word: "filament",
            usual: true,
            needs: &[],
            bars: &["pixel", "least-wall"],
        },
        Demand::When {
            key: "kind",
            word: "vat",
            usual: false,
            needs: &["pixel", "least-wall"],
            bars: &["nozzle", "layers"],
        },
    ],
};

/// `[settings.ID]`
pub(crate) static SETTINGS: Spec = Spec {
    name: "[settings.ID]",
    doc: "How parts are meant to be printed.",
    keys: &[
        may(
            "nozzle",
            Shape::Number("settings.nozzle"),
            "The nozzle these settings are meant for, mm; default 0.4",
        ),
        may(
            "layer",
            Shape::Number("settings.layer"),
            "Layer height, mm; default half the nozzle",
        )
        .or(&["layers"]),
        may(
            "bead",
            Shape::Number("settings.bead"),
            "Line width, mm; on another nozzle it scales with it; default 1.05 of the nozzle",
        )
        .or(&["line-width", "width"]),
        may(
            "contours",
            Shape::Whole("settings.contours"),
            "Number of contours; default 3",
        )
        .or(&["walls", "shells"]),
        may(
            "floor",
            Shape::Number("settings.floor"),
            "Thickness of closed floors, mm; default 0.8",
        )
        .or(&["bottom"]),
        may(
            "roof",
            Shape::Number("settings.roof"),
            "Thickness of closed roofs, mm; default 0.8",
        )
        .or(&["top"]),
        may(
            "fill",
            Shape::Number("settings.fill"),
            "Share of the inside that is filled, 0 to 1; default 0.2",
        )
        .or(&["infill"]),
        may(
            "overhang",
            Shape::Number("settings.overhang"),
            "Steepest overhang without support, degrees from vertical; default 45",
        ),
        may(
            "brim",
            Shape::Number("settings.brim"),
            "Brim width, mm; default 0",
        ),
        may(
            "mode",
            Shape::OneWord(MODES),
            "How the inside is made; default solid",
        ),
    ],
    demands: &[],
};

const MODES: &[Word] = &[
    Word {
        word: "solid",
        doc: "contours, floors, roofs and fill",
    },
    Word {
        word: "single-line",
        doc: "one closed loop a layer, judged by rules of its own",
    },
];

/// `[materials.ID]`
pub(crate) static MATERIAL: Spec = Spec {
    name: "[materials.ID]",
    doc: "A material: what a built-in one is said to be, or one of the kit's own.",
    keys: &[
        may(
            "kind",
            Shape::OneWord(PROCESSES),
            "How it is printed; default filament",
        ),
        may(
            "density",
            Shape::Number("material.density"),
            "g/cm3; a material of your own needs it",
        ),
        may(
            "cte",
            Shape::Number("material.cte"),
            "Coefficient of thermal expansion, 1/K",
        ),
        may(
            "tg",
            Shape::Number("material.tg"),
            "Glass transition, degrees Celsius",
        ),
        may(
            "shrink",
            Shape::Number("material.shrink"),
            "Shrinkage, per cent",
        ),
        may(
            "cost-kg",
            Shape::Number("material.cost-kg"),
            "Cost of a kilogram in your own currency; the bundle drops it",
        )
        .or(&["cost", "price"]),
    ],
    demands: &[],
};
