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

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{cuboid, welded};
    use mesh::tree::Tree;

    /// A box that grew by 0.5 mm on every side lies 0.5 mm out at its faces, sqrt(3) x 0.5 mm at its corners; shrunk it
    /// lies as far in; against a base that lies elsewhere in its file, the motion takes it back.
    #[test]
    fn outside_is_added_and_inside_is_taken_away() {
        let boxed = |by: f32| {
            let soup = cuboid([-by; 3], [10.0 + by; 3]);
            Tree::build(welded(&soup))
        };
        let (base, base_tree) = boxed(0.0);
        let base = Body {
            mesh: &base,
            tree: &base_tree,
        };
        for by in [0.5f32, -0.5] {
            let (mesh, tree) = boxed(by);
            let found = field(
                Body {
                    mesh: &mesh,
                    tree: &tree,
                },
                base,
                &Rigid::IDENTITY,
            );
            let corner = if by > 0.0 { by * 3f32.sqrt() } else { by };
            assert!(found.iter().all(|d| (d - corner).abs() < 1e-5), "{found:?}");
        }
        let (mesh, tree) = Tree::build(welded(&cuboid([7.0, 0.0, 0.0], [17.0, 10.0, 10.0])));
        let moved = Body {
            mesh: &mesh,
            tree: &tree,
        };
        let onto = Rigid::shift([7.0, 0.0, 0.0]);
        assert!(field(moved, base, &onto).iter().all(|d| d.abs() < 1e-5));
        let still = field(moved, base, &Rigid::IDENTITY);
        assert!(still.iter().any(|d| (d - 7.0).abs() < 1e-5), "{still:?}");
    }
}
