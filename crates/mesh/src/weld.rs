//! Exact weld: corners at the same point become one vertex.
//!
//! Two points are the same when their three f32 are the same bits, with -0 made +0. Near-duplicates are never
//! merged here: [`crate::merge`] measures at which distance they would.
//!
//! Guarantee: vertices are numbered by first appearance, corner by corner in the order of the triangles, so the
//! result depends on the input only. Linear in the corners; scratch of 4 to 8 bytes a slot, at most 2.5 slots a vertex.
//! It must not know files: decoders hand it plain arrays.

use crate::edges::Edges;
use crate::shape::Mesh;
use crate::weld_table::Table;
use serde::{Deserialize, Serialize};

/// Which sharing of vertices the mesh was built from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Basis {
    /// Corners at the same point were made one vertex.
    ExactWeld,
    /// The file's own vertex numbers, kept because its mesh is closed and manifold with them.
    /// (3MF core specification 1.4, 4.1.3: duplicate vertices are right where merging would crowd an edge.)
    AsFiled,
}

/// A welded mesh, and what the weld took out.
#[derive(Debug, Clone, PartialEq)]
pub struct Welded {
    /// The mesh: no two corners of a triangle are the same vertex, every vertex is used.
    pub mesh: Mesh,
    /// The triangles that it does not hold.
    pub collapsed: Collapsed,
    /// Which sharing was used.
    pub basis: Basis,
}

/// The triangles that named one vertex twice after the weld. They have no area and no surface, so no later pass
/// sees them.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Collapsed {
    /// The number each had in its file, from 0.
    pub filed: Vec<u32>,
    /// Points (mm) where the first of them lie: one a triangle, at most [`PLACES`].
    pub at: Vec<[f32; 3]>,
}

/// How many places of collapsed triangles are kept.
pub const PLACES: usize = 64;

/// The most triangles that the kernel numbers: half-edges and a direction bit share 32 bits.
pub const MOST_TRIANGLES: usize = (u32::MAX / 6) as usize;

/// Welds corners that lie at the same point. `indexed` says that the file had vertex numbers of its own
/// (3MF, OBJ, PLY): these are kept where they make a closed manifold mesh.
///
/// Coordinates must be finite and indices within `vertices`; decoders see to both.
pub fn weld(vertices: Vec<[f32; 3]>, triangles: Vec<[u32; 3]>, indexed: bool) -> Welded {
    debug_assert!(triangles.len() <= MOST_TRIANGLES);
    if indexed {
        let own = as_filed(&vertices, &triangles);
        let edges = Edges::build(&own.mesh);
        if edges.boundary_edges == 0 && edges.crowded_edges() == 0 && edges.same_direction == 0 {
            return own;
        }
    }
    exact(vertices, triangles)
}

fn exact(vertices: Vec<[f32; 3]>, mut triangles: Vec<[u32; 3]>) -> Welded {
    let soup = vertices.len() == 3 * triangles.len()
        && triangles.iter().enumerate().all(|(t, c)| {
            let first = 3 * t as u32;
            *c == [first, first + 1, first + 2]
        });
    if soup {
        let kept = crate::weld_soup::number(&vertices, &mut triangles);
        drop(vertices);
        return without_collapsed(kept, triangles, Basis::ExactWeld);
    }
    let mut table = Table::for_corners(3 * triangles.len());
    let mut renumbered = vec![u32::MAX; vertices.len()];
    let mut kept = Vec::with_capacity(vertices.len());
    for triangle in &mut triangles {
        for v in triangle {
            let old = *v as usize;
            if renumbered[old] == u32::MAX {
                renumbered[old] = table.number(&mut kept, vertices[old].map(without_minus_zero));
            }
            *v = renumbered[old];
        }
    }
    without_collapsed(kept, triangles, Basis::ExactWeld)
}

/// The file's own numbers, unused vertices left out, numbered by first appearance.
fn as_filed(vertices: &[[f32; 3]], triangles: &[[u32; 3]]) -> Welded {
    let mut renumbered = vec![u32::MAX; vertices.len()];
    let mut kept = Vec::with_capacity(vertices.len());
    let triangles = triangles
        .iter()
        .map(|triangle| {
            triangle.map(|v| {
                let id = &mut renumbered[v as usize];
                if *id == u32::MAX {
                    *id = kept.len() as u32;
                    kept.push(vertices[v as usize].map(without_minus_zero));
                }
                *id
            })
        })
        .collect();
    without_collapsed(kept, triangles, Basis::AsFiled)
}

/// Takes out the triangles that name a vertex twice. A vertex that only such triangles used goes too.
fn without_collapsed(
    vertices: Vec<[f32; 3]>,
    mut triangles: Vec<[u32; 3]>,
    basis: Basis,
) -> Welded {
    let collapses = |t: &[u32; 3]| t[0] == t[1] || t[1] == t[2] || t[2] == t[0];
    if !triangles.iter().any(collapses) {
        return Welded {
            mesh: Mesh::new(vertices, triangles),
            collapsed: Collapsed::default(),
            basis,
        };
    }
    let mut collapsed = Collapsed::default();
    let mut filed = Vec::with_capacity(triangles.len());
    for (t, corners) in triangles.iter().enumerate() {
        if !collapses(corners) {
            filed.push(t as u32);
            continue;
        }
        collapsed.filed.push(t as u32);
        if collapsed.at.len() < PLACES {
            collapsed.at.push(vertices[corners[0] as usize]);
        }
    }
    triangles.retain(|t| !collapses(t));
    let mut renumbered = vec![u32::MAX; vertices.len()];
    let mut kept = Vec::with_capacity(vertices.len());
    for v in triangles.iter_mut().flatten() {
        let id = &mut renumbered[*v as usize];
        if *id == u32::MAX {
            *id = kept.len() as u32;
            kept.push(vertices[*v as usize]);
        }
        *v = *id;
    }
    Welded {
        mesh: Mesh {
            vertices: kept,
            triangles,
            filed,
        },
        collapsed,
        basis,
    }
}

/// -0 and +0 are one place. (IEEE 754: -0 + +0 is +0 when rounding to nearest.)
#[inline]
pub(crate) fn without_minus_zero(x: f32) -> f32 {
    x + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{soup, unit_cube};

    #[test]
    fn a_cube_of_soup_has_eight_vertices_in_order_of_appearance() {
        let (vertices, triangles) = soup(&unit_cube());
        let first = vertices[0];
        let welded = weld(vertices, triangles, false);
        assert_eq!(welded.mesh.vertices.len(), 8); // Euler-Poincare: cube V 8, F 12
        assert_eq!(welded.mesh.triangles.len(), 12);
        assert_eq!(welded.mesh.triangles[0], [0, 1, 2]);
        assert_eq!(welded.mesh.vertices[0], first);
        assert!(welded.mesh.check().is_empty());
    }

    #[test]
    fn minus_zero_is_plus_zero() {
        let vertices = vec![
            [0.0, 0.0, 0.0],
            [1.0, 0.0, 0.0],
            [0.0, 1.0, 0.0],
            [-0.0, -0.0, 0.0],
            [0.0, 1.0, -0.0],
            [0.0, 0.0, 1.0],
        ];
        let welded = weld(vertices, vec![[0, 1, 2], [3, 4, 5]], false);
        assert_eq!(welded.mesh.vertices.len(), 4);
        assert_eq!(welded.mesh.vertices[0].map(f32::to_bits), [0, 0, 0]);
    }

    #[test]
    fn one_unit_in_the_last_place_apart_stays_apart() {
        let next = f32::from_bits(1.0f32.to_bits() + 1);
        let vertices = vec![
            [1.0, 0.0, 0.0],
            [0.0, 1.0, 0.0],
            [0.0, 0.0, 0.0],
            [next, 0.0, 0.0],
            [0.0, 0.0, 0.0],
            [0.0, 1.0, 0.0],
        ];
        let welded = weld(vertices, vec![[0, 1, 2], [3, 4, 5]], false);
        assert_eq!(welded.mesh.vertices.len(), 4);
    }

    #[test]
    fn a_triangle_that_names_a_vertex_twice_is_taken_out_and_reported() {
        let mut cube = unit_cube();
        let a = cube[0][0];
        let b = cube[0][1];
        cube.insert(5, [a, a, b]);
        let (vertices, triangles) = soup(&cube);
        let welded = weld(vertices, triangles, false);
        assert_eq!(welded.collapsed.filed, vec![5]);
        assert_eq!(welded.collapsed.at, vec![a]);
        assert_eq!(welded.mesh.triangles.len(), 12);
        assert_eq!(welded.mesh.filed[4], 4);
        assert_eq!(welded.mesh.filed[5], 6);
    }

    #[test]
    fn many_scattered_points_make_the_table_grow() {
        // No point twice: three times as many vertices as the table was made for.
        let triangles: Vec<[[f32; 3]; 3]> = (0..5000)
            .map(|i| [0, 1, 2].map(|k| [(3 * i + k) as f32, (i * i % 977) as f32, k as f32]))
            .collect();
        let (vertices, indices) = soup(&triangles);
        let welded = weld(vertices.clone(), indices.clone(), false);
        assert_eq!(welded.mesh.vertices, vertices);
        assert_eq!(welded.mesh.triangles, indices);
    }

    #[test]
    fn a_files_own_duplicates_are_kept_where_they_make_it_manifold() {
        // 3MF core 1.4, 4.1.3: two boxes that meet along an edge, each with vertices of its own.
        let mut both = unit_cube();
        both.extend(
            unit_cube()
                .iter()
                .map(|t| t.map(|p| [p[0] + 1.0, p[1] + 1.0, p[2]])),
        );
        let half = 12;
        let a = weld(soup(&both[..half]).0, soup(&both[..half]).1, false).mesh;
        let b = weld(soup(&both[half..]).0, soup(&both[half..]).1, false).mesh;
        let mut vertices = a.vertices.clone();
        vertices.extend(&b.vertices);
        vertices.push([9.0, 9.0, 9.0]); // named by no triangle
        let mut triangles = a.triangles.clone();
        triangles.extend(b.triangles.iter().map(|t| t.map(|v| v + 8)));
        let own = weld(vertices.clone(), triangles.clone(), true);
        assert_eq!(own.basis, Basis::AsFiled);
        assert_eq!(own.mesh.vertices.len(), 16);
        let welded = weld(vertices.clone(), triangles.clone(), false);
        assert_eq!(welded.basis, Basis::ExactWeld);
        assert_eq!(welded.mesh.vertices.len(), 14); // Euler-Poincare: two cubes along one edge, V 14
        // With a hole the file's numbers are not manifold: the weld is used.
        triangles.pop();
        assert_eq!(weld(vertices, triangles, true).basis, Basis::ExactWeld);
    }
}
