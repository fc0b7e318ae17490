//! Closing cracks: rims whose vertices nearly meet become one.
//!
//! Many programs write the two sides of a seam with numbers that differ in the last digits. Whether such a mesh
//! may be released is not decided here; where it is, both STL and 3MF hold it closed, and the read-me says by how
//! much vertices were moved. Only vertices on an open rim are touched, and only where that closes the mesh.

use mesh::Mesh;
use mesh::vector::{distance, wide};

use crate::half_edges;
use crate::plate::real_triangles;

/// Beyond so many near pairs of rim vertices the rims are a cloud, not a seam.
const MOST_PAIRS: usize = 4_000_000;

/// A mesh made closed.
#[derive(Debug, Clone, PartialEq)]
pub struct Closed {
    /// The mesh; vertices that gave way are still listed and no longer used.
    pub mesh: Mesh,
    /// Vertices that gave way to another.
    pub merged: usize,
    /// The farthest that one of them moved, mm.
    pub farthest_mm: f64,
}

/// Merges rim vertices at most `tolerance_mm` apart, chains of such included; each group moves to its vertex of
/// least number. The tolerance is that of the measurement which found that the cracks close; one as large as a
/// hole would close the hole too. `None` where the mesh is closed already, where this does not close it, or where the rims crowd
/// so much that too many pairs would have to be looked at.
pub fn close_cracks(mesh: &Mesh, tolerance_mm: f64) -> Option<Closed> {
    let triangles = real_triangles(&mesh.triangles);
    let mut rim = half_edges::rim_vertices(&triangles);
    if rim.is_empty() {
        return None;
    }
    let at = |v: u32| wide(mesh.vertices[v as usize]);
    rim.sort_by(|&a, &b| at(a)[0].total_cmp(&at(b)[0]).then(a.cmp(&b)));
    let mut leader: Vec<u32> = (0..mesh.vertices.len() as u32).collect();
    let mut pairs = 0;
    for (k, &a) in rim.iter().enumerate() {
        for &b in &rim[k + 1..] {
            if at(b)[0] - at(a)[0] > tolerance_mm {
                break;
            }
            pairs += 1;
            if pairs > MOST_PAIRS {
                return None;
            }
            if distance(at(a), at(b)) <= tolerance_mm {
                let (a, b) = (found(&mut leader, a), found(&mut leader, b));
                leader[a.max(b) as usize] = a.min(b);
            }
        }
    }
    let (mut merged, mut farthest_mm) = (0, 0.0f64);
    for v in 0..leader.len() as u32 {
        let to = found(&mut leader, v);
        leader[v as usize] = to;
        merged += usize::from(to != v);
        farthest_mm = farthest_mm.max(distance(at(v), at(to)));
    }
    let joined: Vec<[u32; 3]> = triangles
        .iter()
        .map(|t| t.map(|v| leader[v as usize]))
        .collect();
    let joined = real_triangles(&joined);
    (!joined.is_empty() && half_edges::open_edges(&joined) == 0).then(|| Closed {
        mesh: Mesh::new(mesh.vertices.clone(), joined),
        merged,
        farthest_mm,
    })
}

fn found(leader: &mut [u32], mut v: u32) -> u32 {
    while leader[v as usize] != v {
        leader[v as usize] = leader[leader[v as usize] as usize];
        v = leader[v as usize];
    }
    v
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stl::tests::cube;

    /// A cube whose top has four corners of its own, `gap_mm` above.
    fn cracked(gap_mm: f32) -> Mesh {
        let mut mesh = cube([0.0; 3]);
        for v in 4..8 {
            let [x, y, z] = mesh.vertices[v];
            mesh.vertices.push([x, y, z + gap_mm]);
        }
        for v in mesh.triangles[2..4].iter_mut().flatten() {
            *v += 4;
        }
        mesh
    }

    #[test]
    fn a_crack_closes_within_the_tolerance_and_only_then() {
        let mesh = cracked(2e-5);
        assert_eq!(half_edges::open_edges(&mesh.triangles), 8);
        let closed = close_cracks(&mesh, 3e-5).expect("closes");
        assert_eq!(closed.merged, 4);
        assert!((closed.farthest_mm - 2e-5).abs() < 1e-6);
        assert_eq!(half_edges::open_edges(&closed.mesh.triangles), 0);
        assert_eq!(closed.mesh.triangles.len(), 12);
        assert_eq!(close_cracks(&mesh, 1e-5), None);
    }

    #[test]
    fn holes_and_closed_meshes_are_left_alone() {
        assert_eq!(close_cracks(&cube([0.0; 3]), 0.1), None);
        let mut hole = cube([0.0; 3]);
        hole.triangles.pop();
        let hole = Mesh::new(hole.vertices, hole.triangles);
        assert_eq!(close_cracks(&hole, 0.1), None);
    }
}
