//! Parts.

use super::{AXES, Demand, PathTo, SUPPORTS, Shape, Spec, UNITS, Word, may, need};

/// `[[part]]`
pub(crate) static PART: Spec = Spec {
    name: "[[part]]",
    doc: "One printed piece, with an id that never changes between revisions.",
    keys: &[
        need("id", Shape::Id, "Name of the part: a-z, 0-9 and hyphens; it never changes").or(&["name"]),
        may("mesh", Shape::Path(PathTo::Mesh), "Its mesh: .stl, .3mf, .obj or .ply in the kit's folder").or(&["file", "path", "model", "stl"]),
        may("object", Shape::Text, "The named object of a 3MF; default: all that its build lists"),
        may("mirror-of", Shape::Ref("part"), "The part whose mirror image it is; what it does not say is as there").or(&["mirrors"]),
        may("mirror", Shape::OneWord(AXES), "The coordinate whose sign turns"),
        may("units", Shape::OneWord(UNITS), "Unit of the mesh; default: that of [defaults]; a 3MF states its own, and this overrides it").or(&["unit"]),
        may("source", Shape::Path(PathTo::File), "The CAD file that the mesh was exported from").or(&["cad"]),
        may("material", Shape::Ref("material"), "Material; default: that of [defaults]"),
        may("settings", Shape::Ref("settings"), "Settings; default: those of [defaults]").or(&["setting"]),
        may("color", Shape::Text, "Colour, in words").or(&["colour"]),
        may("rev", Shape::Whole("part.rev"), "Revision of the part; default 1").or(&["revision", "version"]),
        may("count", Shape::Whole("part.count"), "Copies a kit needs; default 1").or(&["quantity", "qty", "copies", "number"]),
        may("spare", Shape::Whole("part.count"), "Copies on top; default 0").or(&["spares"]),
        may("bodies", Shape::Whole("part.bodies"), "Expected separate bodies; default 1"),
        may("up", Shape::Direction, "The mesh direction that points away from the plate; default +z").or(&["orientation"]),
        may("turn", Shape::Three("turn"), "Instead of up: degrees about the mesh's fixed x, then y, then z").or(&["rotate", "rotation"]),
        may("up-because", Shape::Text, "Why this orientation, in a few words"),
        may("show", Shape::WordOrTables(SHOW, &SHOW_DIRECTION), "Faces on show: a word, or directions with a cone; default visible"),
        may("supports", Shape::OneWord(SUPPORTS), "Tightens the promises' supports; default: the promises' own").or(&["support"]),
        may("min-wall", Shape::Number("part.min-wall"), "Thickness under which a thin wall blocks, mm").or(&["least-wall"]),
        may("was", Shape::OneOrList(&Shape::Id), "What it was called in earlier revisions of the kit: an id or a list of them").or(&["formerly", "renamed-from"]),
        may("coat", Shape::Later, "Coats of paint that close a gap"),
        may("body", Shape::Later, "Bodies inside one mesh: what each is for"),
        may("rules", Shape::Levels, "Levels of rules for this part: rules.\"wall.thin\" = \"off\"").or(&["rule"]),
    ],
    demands: &[
        Demand::AnyOf(&["mesh", "mirror-of"]),
        Demand::With("mirror-of", "mirror"),
        Demand::With("mirror", "mirror-of"),
        Demand::With("object", "mesh"),
        Demand::NotBoth("up", "turn"),
    ],
};

const SHOW: &[Word] = &[
    Word {
        word: "visible",
        doc: "those seen from outside in the assembled kit",
    },
    Word {
        word: "all",
        doc: "every face",
    },
    Word {
        word: "none",
        doc: "no face",
    },
];

static SHOW_DIRECTION: Spec = Spec {
    name: "a show direction",
    doc: "Faces whose normals lie within a cone.",
    keys: &[
        need(
            "toward",
            Shape::Direction,
            "Middle of the cone, in the mesh's own frame",
        )
        .or(&["direction", "axis"]),
        need(
            "cone",
            Shape::Number("show.cone"),
            "Half angle of the cone, degrees",
        )
        .or(&["angle"]),
    ],
    demands: &[],
};
