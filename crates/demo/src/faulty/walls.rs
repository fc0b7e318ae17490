//! Walls, edges, details and gaps that a nozzle of 0.4 mm cannot make.

use super::shapes::{block, cuboid, extruded, skyline, turned};
use super::{Faulty, Twins};
use crate::outline::rectangle;

pub(crate) const TWINS: &[Twins] = &[
    ("wall.lost", lost),
    ("wall.thin", thin),
    ("edge.feather", feather),
    ("detail.lost", detail_lost),
    ("gap.fused", gap_fused),
    ("wall.unmeasured", unmeasured),
];

/// A sheet that stands on its edge: thinner than one nozzle width, or two beads thick.
fn lost(raises: bool) -> Faulty {
    let thickness = if raises { 0.3 } else { 0.84 };
    let kit = Faulty::new()
        .brim()
        .part("sheet", &cuboid([0.0; 3], [30.0, thickness, 12.0]));
    if raises {
        kit.blocks("wall.lost", &["sheet"])
    } else {
        kit
    }
}

/// A plate with a hole near its edge; the web between them is 0.6 or 1.2 mm thick.
fn thin(raises: bool) -> Faulty {
    let web = if raises { 0.6 } else { 1.2 };
    let plate = rectangle([0.0, 0.0], [30.0, 20.0]);
    let slot = rectangle([8.0, web], [22.0, 8.0]);
    let kit = Faulty::new().part_with("plate", "up = \"-y\"", &extruded(&[plate, slot], 4.0));
    if raises {
        kit.warns("wall.thin", &["plate"])
    } else {
        kit
    }
}

/// A prism that runs out to an edge of 40 or 75 degrees.
fn feather(raises: bool) -> Faulty {
    // Tangents of 40 and 75 degrees times the run of 10 mm.
    let (run, rise) = if raises {
        (10.0, 8.390_996)
    } else {
        (3.0, 11.196_152)
    };
    let outline = vec![[0.0, 0.0], [20.0 + run, 0.0], [20.0, rise], [0.0, rise]];
    let kit = Faulty::new().part("prism", &extruded(&[outline], 20.0));
    if raises {
        kit.notes("edge.feather", &["prism"])
    } else {
        kit
    }
}

/// Three bars proud of a block by 0.4 mm, 0.25 or 0.9 mm wide.
fn detail_lost(raises: bool) -> Faulty {
    let width: f32 = if raises { 0.25 } else { 0.9 };
    let xs = [
        0.0,
        5.0,
        5.0 + width,
        10.0,
        10.0 + width,
        15.0,
        15.0 + width,
        20.0,
    ];
    let kit = Faulty::new().part(
        "panel",
        &skyline(&xs, &[8.0, 8.4, 8.0, 8.4, 8.0, 8.4, 8.0], 20.0),
    );
    if raises {
        kit.notes("detail.lost", &["panel"])
    } else {
        kit
    }
}

/// A slit from above, 0.15 or 1.0 mm wide and 10 mm deep.
fn gap_fused(raises: bool) -> Faulty {
    let width = if raises { 0.15 } else { 1.0 };
    let kit = Faulty::new().part(
        "block",
        &skyline(&[0.0, 10.0, 10.0 + width, 20.0], &[15.0, 5.0, 15.0], 20.0),
    );
    if raises {
        kit.warns("gap.fused", &["block"])
    } else {
        kit
    }
}

/// A surface with no inside: the block turned inside out, so that no wall can be measured.
fn unmeasured(raises: bool) -> Faulty {
    if raises {
        Faulty::new()
            .part("block", &turned(&block()))
            .blocks("mesh.inside-out", &["block"])
            .warns("wall.unmeasured", &["block"])
    } else {
        Faulty::new().part("block", &block())
    }
}
