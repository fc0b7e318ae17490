//! The manifest's top level, the kit's own table and the defaults.

use super::entries::{CHANGE, FILE, POSE, REFERENCE, WAIVER};
use super::machine::{MATERIAL, PROMISE, SETTINGS};
use super::meeting::{FIT, HOLE};
use super::part::PART;
use super::{Key, Shape, Spec, UNITS, Word, may, need};

/// The whole manifest.
pub(crate) static ROOT: Spec = Spec {
    name: "the manifest",
    doc: "A kit: a multi-part model to print at home, and the machines it promises to print on.",
    keys: &[
        need("format", Shape::Whole("format"), "Format of this manifest: 1").or(&["version"]),
        need("rule-set", Shape::OneWord(RULE_SETS), "Rule set the kit is held to; new rules arrive as notes until the kit moves on"),
        need("kit", Shape::Table(&KIT), "What the kit is"),
        need("promise", Shape::Tables(&PROMISE), "The least machine and material the kit promises to print on; each is proven separately").or(&["promises", "machine"]),
        need("settings", Shape::Named(&SETTINGS), "How parts are meant to be printed, by id").or(&["setting"]),
        may("materials", Shape::Named(&MATERIAL), "Materials by id; built in: pla petg abs asa pc pa tpu resin, and any key of them can be overridden").or(&["filament", "filaments"]),
        may("defaults", Shape::Table(&DEFAULTS), "What holds for every part that does not say otherwise"),
        need("part", Shape::Tables(&PART), "One printed piece").or(&["parts", "piece", "model"]),
        may("pose", Shape::Tables(&POSE), "Where a copy of a part sits in the assembled kit").or(&["poses", "placement"]),
        may("reference", Shape::Tables(&REFERENCE), "A body that is not printed: a scan, a motor, a lamp; it may be an open mesh").or(&["references"]),
        may("fit", Shape::Tables(&FIT), "How two parts meet").or(&["fits"]),
        may("motion", Shape::Later, "How parts move"),
        may("hardware", Shape::Later, "Screws, nuts, inserts and bought pieces"),
        may("hole", Shape::Tables(&HOLE), "What a hole takes").or(&["holes"]),
        may("choice", Shape::Later, "Variants of the kit"),
        may("dimensions", Shape::Later, "True sizes of the assembled kit that must hold"),
        may("step", Shape::Later, "The build guide, in order"),
        may("supply", Shape::Later, "Glue, primer, paint, abrasive"),
        may("budget", Shape::Later, "Mass, time, plates and growth that the kit keeps to"),
        may("file", Shape::Tables(&FILE), "Another file of the release: decal, mask, licence, photo").or(&["files"]),
        may("printed", Shape::Later, "What was really printed"),
        may("rules", Shape::Levels, "Levels of rules for the whole kit").or(&["rule"]),
        may("waiver", Shape::Tables(&WAIVER), "A written permission to release with a finding").or(&["waivers", "waive", "allow"]),
        may("change", Shape::Tables(&CHANGE), "A line for each changed part").or(&["changes", "changelog"]),
        may("extra", Shape::Free, "Free content, never validated"),
    ],
    demands: &[],
};

const RULE_SETS: &[Word] = &[Word {
    word: "2026.1",
    doc: "the first rule set",
}];

static KIT: Spec = Spec {
    name: "[kit]",
    doc: "What the kit is.",
    keys: &[
        need("id", Shape::Id, "Name in files and reports: a-z, 0-9 and hyphens; it never changes"),
        need("title", Shape::Text, "Title as builders read it").or(&["name"]),
        need("revision", Shape::Revision, "Revision of the kit: major, a required reprint; minor, new parts and every old part still fits; patch, the same or optional").or(&["version", "rev"]),
        may("designer", Shape::Text, "Who designed it").or(&["author"]),
        need("license", Shape::License, "SPDX licence expression, such as CC-BY-NC-4.0, or LicenseRef-NAME for terms of your own").or(&["licence"]),
        may("scale", Shape::Scale, "Model scale, such as 1:48"),
        may("poses", Shape::OneWord(POSES), "Where copies sit in the assembled kit: listed (the default) or as-modelled"),
    ],
    demands: &[],
};

const POSES: &[Word] = &[
    Word {
        word: "listed",
        doc: "each copy has a [[pose]]",
    },
    Word {
        word: "as-modelled",
        doc: "the meshes already share the assembled kit's frame",
    },
];

static DEFAULTS: Spec = Spec {
    name: "[defaults]",
    doc: "What holds for every part that does not say otherwise.",
    keys: DEFAULT_KEYS,
    demands: &[],
};

const DEFAULT_KEYS: &[Key] = &[
    may(
        "units",
        Shape::OneWord(UNITS),
        "Unit of the meshes; STL, OBJ and PLY carry none",
    )
    .or(&["unit"]),
    may(
        "material",
        Shape::Ref("material"),
        "Material; else the first that the first promise names, else pla (resin on a vat)",
    ),
    may(
        "settings",
        Shape::Ref("settings"),
        "Settings; may be left out where there is only one table of them",
    ),
];
