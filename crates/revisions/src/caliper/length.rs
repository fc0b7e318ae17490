//! Length of the whole part along the axes of the present's frame.

use mesh::Bounds;
use mesh::vector::wide;

use super::{Caliper, Dimension, Side};

/// The box of a revision as it lies in the present's frame.
pub(super) fn extent(side: &Side<'_>) -> Option<Bounds> {
    if side.show.is_identity() {
        return side.body.mesh.bounds();
    }
    Bounds::of(
        side.body
            .mesh
            .vertices
            .iter()
            .map(|&p| side.show.at(wide(p))),
    )
}

/// The three lengths.
pub(super) fn lengths(base: &Side<'_>, present: &Side<'_>) -> Vec<Caliper> {
    let (Some(old), Some(new)) = (extent(base), extent(present)) else {
        return Vec::new();
    };
    (0..3)
        .map(|k| {
            let mut along = [0.0; 3];
            along[k] = 1.0;
            Caliper {
                dimension: Dimension::Length,
                outside: true,
                at: new.centre(),
                along,
                base_mm: old.size()[k],
                present_mm: new.size()[k],
            }
        })
        .collect()
}
