//! Parts that do not lie on the promised plate, or only just.

use super::shapes::{block, cuboid};
use super::{Faulty, Twins};

pub(crate) const TWINS: &[Twins] = &[
    ("size.over-plate", over_plate),
    ("size.diagonal-only", diagonal_only),
    ("size.edge-margin", edge_margin),
    ("promise.none", promise_none),
];

/// A square slab: too long at any angle, or 10 mm shorter than the plate.
fn over_plate(raises: bool) -> Faulty {
    let side = if raises { 230.0 } else { 210.0 };
    let kit = Faulty::new().part("slab", &cuboid([0.0; 3], [side, side, 12.0]));
    if raises {
        kit.blocks("size.over-plate", &["slab"])
    } else {
        kit
    }
}

/// A bar that fits only across the corners, or along the side.
fn diagonal_only(raises: bool) -> Faulty {
    let length = if raises { 260.0 } else { 210.0 };
    let kit = Faulty::new().part("bar", &cuboid([0.0; 3], [length, 10.0, 12.0]));
    if raises {
        kit.notes("size.diagonal-only", &["bar"])
    } else {
        kit
    }
}

/// A slab that leaves 1 mm or 5 mm on each side.
fn edge_margin(raises: bool) -> Faulty {
    let side = if raises { 218.0 } else { 210.0 };
    let kit = Faulty::new().part("slab", &cuboid([0.0; 3], [side, side, 12.0]));
    if raises {
        kit.notes("size.edge-margin", &["slab"])
    } else {
        kit
    }
}

/// A part of a material that no promise admits.
fn promise_none(raises: bool) -> Faulty {
    let material = if raises { "abs" } else { "petg" };
    let kit = Faulty::new()
        .instead(
            "layers = [0.12, 0.28]\n",
            "layers = [0.12, 0.28]\nmaterials = [\"pla\", \"petg\"]\n",
        )
        .part_with("block", &format!("material = \"{material}\""), &block());
    if raises {
        kit.blocks("promise.none", &["block"])
    } else {
        kit
    }
}
