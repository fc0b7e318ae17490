//! What a manifest says against what lies in the kit: mirrors, references, files, waivers, later tables.

use super::shapes::{Facet, block, cuboid, mirrored_x};
use super::{Faulty, Twins};
use crate::write::stl_facets;

pub(crate) const TWINS: &[Twins] = &[
    ("mirror.differs", mirror_differs),
    ("reference.unreadable", reference_unreadable),
    ("file.missing", file_missing),
    ("kit.unmeasured", kit_unmeasured),
    ("waiver.stale", waiver_stale),
    ("waiver.ended", waiver_ended),
    ("waiver.ends-soon", waiver_ends_soon),
];

/// A block with a step, so that it differs from its mirror image; `step` is the step's height.
fn stepped(step: f32) -> Vec<Facet> {
    super::shapes::skyline(&[0.0, 10.0, 20.0], &[10.0, step], 20.0)
}

/// The right part has a mesh of its own whose step is 0.5 mm higher than the left one's.
fn mirror_differs(raises: bool) -> Faulty {
    let right = mirrored_x(&stepped(if raises { 6.5 } else { 6.0 }));
    let kit = Faulty::new().part("left", &stepped(6.0)).part_with(
        "right",
        "mirror-of = \"left\"\nmirror = \"x\"",
        &right,
    );
    if raises {
        kit.blocks("mirror.differs", &["right"])
    } else {
        kit
    }
}

fn reference_unreadable(raises: bool) -> Faulty {
    let whole = stl_facets("faulty kit, invented", &block());
    let bytes = if raises { whole[..200].to_vec() } else { whole };
    let kit = Faulty::new()
        .part("block", &block())
        .file("motor.stl", bytes)
        .toml("[[reference]]\nid = \"motor\"\nmesh = \"motor.stl\"\nunits = \"mm\"");
    if raises {
        kit.warns("reference.unreadable", &[])
    } else {
        kit
    }
}

fn file_missing(raises: bool) -> Faulty {
    let kit = Faulty::new()
        .part("block", &block())
        .toml("[[file]]\npath = \"guide.md\"\nkind = \"document\"");
    if raises {
        kit.blocks("file.missing", &[])
    } else {
        kit.file("guide.md", b"# How to build it\n".to_vec())
    }
}

fn kit_unmeasured(raises: bool) -> Faulty {
    let kit = Faulty::new().part("block", &block());
    if raises {
        kit.toml("[budget]\nmass-g = 20")
            .notes("kit.unmeasured", &[])
    } else {
        kit
    }
}

/// A sheet of 0.6 mm with a waiver for its thin wall.
fn waived_sheet(thickness: f32, revision: &str) -> Faulty {
    Faulty::new()
        .brim()
        .part("sheet", &cuboid([0.0; 3], [30.0, thickness, 20.0]))
        .toml(&format!(
            "[[waiver]]\nrule = \"wall.thin\"\npart = \"sheet\"\nnot-worse-than = 0.5\n\
             reason = \"A sail: one bead is meant\"\nuntil-revision = \"{revision}\""
        ))
}

/// The waiver outlived its finding: the sheet has grown to 0.84 mm.
fn waiver_stale(raises: bool) -> Faulty {
    if raises {
        waived_sheet(0.84, "2.0.0").warns("waiver.stale", &[])
    } else {
        waived_sheet(0.6, "2.0.0").waived("wall.thin", "warn", &["sheet"])
    }
}

/// The waiver ends with the kit's own revision, or later.
fn waiver_ended(raises: bool) -> Faulty {
    if raises {
        waived_sheet(0.6, "1.0.0")
            .warns("waiver.ended", &[])
            .warns("wall.thin", &["sheet"])
    } else {
        waived_sheet(0.6, "2.0.0").waived("wall.thin", "warn", &["sheet"])
    }
}

/// The waiver ends with the next patch, or much later.
fn waiver_ends_soon(raises: bool) -> Faulty {
    if raises {
        waived_sheet(0.6, "1.0.1")
            .waived("wall.thin", "warn", &["sheet"])
            .notes("waiver.ends-soon", &[])
    } else {
        waived_sheet(0.6, "2.0.0").waived("wall.thin", "warn", &["sheet"])
    }
}
