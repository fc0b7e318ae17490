//! The smaller tables.

use super::{Demand, PathTo, Shape, Spec, UNITS, Word, may, need};

/// `[[pose]]`
pub(crate) static POSE: Spec = Spec {
    name: "[[pose]]",
    doc: "Where a copy of a part sits in the assembled kit; it acts on the mesh as filed.",
    keys: &[
        need(
            "part",
            Shape::Ref("part or reference"),
            "Id of the part or reference",
        ),
        may(
            "turn",
            Shape::Three("turn"),
            "Degrees about the mesh's fixed x, then y, then z; default none",
        )
        .or(&["rotate", "rotation"]),
        may(
            "move",
            Shape::Three("move"),
            "Move after the turn, mm; default none",
        )
        .or(&["at", "position", "translate"]),
        may(
            "repeat",
            Shape::Table(&REPEAT),
            "Copies about an axis, evenly over a full turn",
        ),
    ],
    demands: &[],
};

static REPEAT: Spec = Spec {
    name: "repeat",
    doc: "Copies about an axis, evenly over a full turn.",
    keys: &[
        need(
            "count",
            Shape::Whole("repeat.count"),
            "Number of copies, the first included",
        ),
        need(
            "about",
            Shape::Direction,
            "Direction of the axis in the assembled kit",
        ),
        may(
            "through",
            Shape::Three("move"),
            "A point on the axis, mm; default the origin",
        ),
    ],
    demands: &[],
};

/// `[[reference]]`
pub(crate) static REFERENCE: Spec = Spec {
    name: "[[reference]]",
    doc: "A body that is not printed; it may be an open mesh.",
    keys: &[
        need(
            "id",
            Shape::Id,
            "Name of the reference: a-z, 0-9 and hyphens",
        )
        .or(&["name"]),
        need(
            "mesh",
            Shape::Path(PathTo::Mesh),
            "Its mesh: .stl, .3mf, .obj or .ply in the kit's folder",
        )
        .or(&["file", "path"]),
        may(
            "object",
            Shape::Text,
            "The named object of a 3MF; default: all that its build lists",
        ),
        may(
            "units",
            Shape::OneWord(UNITS),
            "Unit of the mesh; default: that of [defaults]",
        )
        .or(&["unit"]),
        may(
            "ship",
            Shape::Flag,
            "Whether it is part of a release; default false",
        ),
    ],
    demands: &[],
};

/// `[[file]]`
pub(crate) static FILE: Spec = Spec {
    name: "[[file]]",
    doc: "Another file of the release.",
    keys: &[
        need(
            "path",
            Shape::Path(PathTo::File),
            "The file, in the kit's folder",
        )
        .or(&["file", "name"]),
        may(
            "kind",
            Shape::OneWord(FILE_KINDS),
            "What it is; default other",
        )
        .or(&["type"]),
        may("text", Shape::Text, "What it is for"),
    ],
    demands: &[],
};

const FILE_KINDS: &[Word] = &[
    Word {
        word: "decal",
        doc: "a decal sheet",
    },
    Word {
        word: "mask",
        doc: "a painting mask",
    },
    Word {
        word: "license",
        doc: "a licence text",
    },
    Word {
        word: "photo",
        doc: "a photo",
    },
    Word {
        word: "document",
        doc: "a document to read",
    },
    Word {
        word: "other",
        doc: "anything else",
    },
];

/// `[[waiver]]`
pub(crate) static WAIVER: Spec = Spec {
    name: "[[waiver]]",
    doc: "A written permission to release with a finding.",
    keys: &[
        need("rule", Shape::Rule, "Id of the rule"),
        may(
            "part",
            Shape::Ref("part"),
            "Id of the part; left out for a finding of the whole kit",
        ),
        may(
            "not-worse-than",
            Shape::Number("waiver.not-worse-than"),
            "Holds only down to this measured value, in the rule's unit",
        ),
        may(
            "places",
            Shape::Whole("waiver.places"),
            "Holds for at most so many places",
        ),
        need(
            "reason",
            Shape::Reason,
            "Why, in words that a builder would accept",
        )
        .or(&["because", "why"]),
        may(
            "until-revision",
            Shape::Revision,
            "It no longer holds from this revision of the kit on",
        ),
        may("until", Shape::Date, "It no longer holds after this day").or(&["expires"]),
        may(
            "tell-builders",
            Shape::Flag,
            "Printed under \"Known limits\"; default false",
        ),
    ],
    demands: &[Demand::OneOf(&["until-revision", "until"])],
};

/// `[[change]]`
pub(crate) static CHANGE: Spec = Spec {
    name: "[[change]]",
    doc: "A line for a changed part.",
    keys: &[
        need("part", Shape::Ref("part"), "Id of the part"),
        need("text", Shape::Text, "What changed"),
        may(
            "class",
            Shape::OneWord(CHANGE_CLASSES),
            "Overrules what is computed of reprinting the part; the notes say so",
        )
        .or(&["reprint"]),
    ],
    demands: &[],
};

const CHANGE_CLASSES: &[Word] = &[
    Word {
        word: "required",
        doc: "the old part does not serve any more",
    },
    Word {
        word: "recommended",
        doc: "the new part is better",
    },
    Word {
        word: "optional",
        doc: "either serves",
    },
    Word {
        word: "same",
        doc: "nothing that a builder would notice",
    },
];
