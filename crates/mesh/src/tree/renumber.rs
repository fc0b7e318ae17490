//! The mesh in the order of the tree, and the leaves' own copies of the corners.

use super::node::{Leaf, WIDTH};
use crate::shape::Mesh;

/// Triangles in the given order (old numbers), vertices by first use; `filed` follows.
pub(super) fn renumber(mesh: Mesh, order: &[u32]) -> Mesh {
    let mut new_id = vec![u32::MAX; mesh.vertices.len()];
    let mut vertices = Vec::with_capacity(mesh.vertices.len());
    let mut triangles = Vec::with_capacity(order.len());
    let mut filed = Vec::with_capacity(order.len());
    for &old in order {
        let triangle = mesh.triangles[old as usize].map(|v| {
            let id = &mut new_id[v as usize];
            if *id == u32::MAX {
                *id = vertices.len() as u32;
                vertices.push(mesh.vertices[v as usize]);
            }
            *id
        });
        triangles.push(triangle);
        filed.push(mesh.filed[old as usize]);
    }
    Mesh {
        vertices,
        triangles,
        filed,
    }
}

/// The leaves with their lanes filled from a renumbered mesh.
pub(super) fn fill_leaves(mesh: &Mesh, runs: &[(u32, u32)]) -> Vec<Leaf> {
    let vacant = Leaf {
        corner: [[[0.0; WIDTH]; 3]; 3],
        first: 0,
        count: 0,
    };
    let mut leaves = vec![vacant; runs.len()];
    parallel::fill(&mut leaves, 1 << 11, |start, slice| {
        for (offset, leaf) in slice.iter_mut().enumerate() {
            let (first, count) = runs[start + offset];
            leaf.first = first;
            leaf.count = count;
            for lane in 0..WIDTH {
                let id = first as usize + lane.min(count as usize - 1);
                for (corner, &v) in mesh.triangles[id].iter().enumerate() {
                    for axis in 0..3 {
                        leaf.corner[corner][axis][lane] = mesh.vertices[v as usize][axis];
                    }
                }
            }
        }
    });
    leaves
}
