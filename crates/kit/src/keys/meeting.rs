//! How parts meet: fits and holes.

use super::{Shape, Spec, Word, may, need};

/// `[[fit]]`
pub(crate) static FIT: Spec = Spec {
    name: "[[fit]]",
    doc: "How two parts meet, with a gap per side as modelled.",
    keys: &[
        need(
            "id",
            Shape::Id,
            "Name of the fit: a-z, 0-9 and hyphens; it never changes",
        )
        .or(&["name"]),
        need(
            "parts",
            Shape::List(&Shape::Ref("part or reference")),
            "The two that meet, by id",
        )
        .or(&["between", "part"]),
        need("kind", Shape::OneWord(FIT_KINDS), "How they meet").or(&["type"]),
        may(
            "gap",
            Shape::Two("fit.gap"),
            "Least and greatest gap per side as modelled, mm; negative for interference",
        )
        .or(&["clearance", "gaps"]),
        may(
            "insert",
            Shape::Direction,
            "The way the first goes into the second, in the assembled kit",
        )
        .or(&["direction"]),
        may(
            "masked",
            Shape::Flag,
            "Whether paint is kept off; default false: coats close the gap",
        ),
    ],
    demands: &[],
};

const FIT_KINDS: &[Word] = &[
    Word {
        word: "press",
        doc: "held by interference",
    },
    Word {
        word: "snug",
        doc: "no play, put together by hand",
    },
    Word {
        word: "slide",
        doc: "slides without play to be felt",
    },
    Word {
        word: "free",
        doc: "turns or moves freely",
    },
    Word {
        word: "glued",
        doc: "glued for good: neither can be had alone again",
    },
    Word {
        word: "snap",
        doc: "springs over an edge",
    },
    Word {
        word: "stretch",
        doc: "a soft part stretched over another",
    },
    Word {
        word: "thread",
        doc: "screwed together by printed threads",
    },
];

/// `[[hole]]`
pub(crate) static HOLE: Spec = Spec {
    name: "[[hole]]",
    doc: "A hole in a part, and what goes in.",
    keys: &[
        need("part", Shape::Ref("part"), "Id of the part"),
        need(
            "at",
            Shape::Three("move"),
            "A point on its axis, mm, in the mesh's own frame",
        ),
        need(
            "axis",
            Shape::Direction,
            "Its axis, in the mesh's own frame",
        )
        .or(&["along"]),
        may(
            "takes",
            Shape::Text,
            "What goes in, such as M3 or the id of a piece of hardware",
        ),
        may("use", Shape::OneWord(HOLE_USES), "What it is for").or(&["purpose", "for"]),
    ],
    demands: &[],
};

const HOLE_USES: &[Word] = &[
    Word {
        word: "clear",
        doc: "a screw passes freely",
    },
    Word {
        word: "thread",
        doc: "a screw cuts its thread, or it is tapped",
    },
    Word {
        word: "insert",
        doc: "a threaded insert is set in",
    },
    Word {
        word: "nut",
        doc: "a nut lies in",
    },
    Word {
        word: "lamp",
        doc: "a lamp is put in",
    },
    Word {
        word: "pin",
        doc: "a pin or axle",
    },
    Word {
        word: "magnet",
        doc: "a magnet is set in",
    },
    Word {
        word: "bearing",
        doc: "a bearing is pressed in",
    },
    Word {
        word: "wire",
        doc: "a wire is led through",
    },
];
