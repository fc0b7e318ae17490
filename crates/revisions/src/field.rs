//! The signed distance of every vertex from the base, for pictures.

use mesh::vector::wide;

use crate::change::Body;
use crate::rigid::Rigid;
use crate::sign::inside;

/// Vertices a chunk.
const CHUNK: usize = 1 << 10;

/// Closer than this nothing shows, and no side is asked for, mm.
const UNSEEN: f64 = 1e-3;

/// Signed distance (mm) of each vertex of the present from the base laid onto it: positive outside the base (plastic
/// added), negative inside. Zero where the base has no surface.
pub fn field(present: Body<'_>, base: Body<'_>, onto: &Rigid) -> Vec<f32> {
    let back = onto.inverse();
    let mut out = vec![0.0f32; present.mesh.vertices.len()];
    parallel::fill(&mut out, CHUNK, |first, slice| {
        for (value, &vertex) in slice.iter_mut().zip(&present.mesh.vertices[first..]) {
            let point = back.at(wide(vertex));
            if let Some(found) = base.tree.closest(point, f64::INFINITY, |_| true) {
                let removed = found.distance > UNSEEN && inside(base, point, &found);
                let signed = if removed {
                    -found.distance
                } else {
                    found.distance
                };
                *value = signed as f32;
            }
        }
    });
    out
}
