//! A light stand-in of a part for looking at: fewer triangles, smooth where the part is smooth.
//!
//! Simplified meshes are for looking at only; nothing is measured on them.

use std::collections::BTreeMap;

use mesh::vector::{Vec3, add, cross, dot, length, sub, unit, wide};
use meshopt::{SimplifyOptions, VertexDataAdapter};

use crate::plate::PrintMesh;

/// A preview has about this many triangles at most.
pub const MOST_TRIANGLES: usize = 4000;
/// Deviation that is allowed in the first attempt, as a part of the longest side.
const FIRST_ERROR: f32 = 0.01;
/// Facets that meet at less than this angle are shaded as one surface: 35 degrees.
const CREASE_COSINE: f64 = 0.819_152_044_288_991_8;

/// Positions with normals, indexed.
#[derive(Debug, Clone, PartialEq)]
pub struct Preview {
    /// mm, in the frame of the part.
    pub positions: Vec<[f32; 3]>,
    /// Unit vectors, one a position.
    pub normals: Vec<[f32; 3]>,
    /// Triangles by position.
    pub triangles: Vec<[u32; 3]>,
}

/// Why there is no preview.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PreviewFault {
    /// The simplifier refused its input.
    #[error("the preview could not be simplified: {0}")]
    Simplifier(String),
    /// Nothing is left that has an area.
    #[error("no triangle of the mesh has an area")]
    NoArea,
}

/// Simplifies a part to about [`MOST_TRIANGLES`] and computes normals. Small parts stay as they are.
///
/// # Errors
/// [`PreviewFault`].
pub fn preview(mesh: &PrintMesh) -> Result<Preview, PreviewFault> {
    let triangles = if mesh.triangles.len() > MOST_TRIANGLES {
        simplified(mesh)?
    } else {
        mesh.triangles.clone()
    };
    shaded(&mesh.vertices, &triangles).ok_or(PreviewFault::NoArea)
}

/// Fewer triangles on the same vertices. First within [`FIRST_ERROR`]; what is then still far above the
/// bound (parts of many small bodies, lattices) is simplified without keeping its topology.
fn simplified(mesh: &PrintMesh) -> Result<Vec<[u32; 3]>, PreviewFault> {
    let bytes: Vec<u8> = mesh
        .vertices
        .iter()
        .flatten()
        .flat_map(|x| x.to_le_bytes())
        .collect();
    let vertices = VertexDataAdapter::new(&bytes, 12, 0)
        .map_err(|e| PreviewFault::Simplifier(e.to_string()))?;
    let indices: Vec<u32> = mesh.triangles.iter().flatten().copied().collect();
    let target = 3 * MOST_TRIANGLES;
    // Without it, facets turn over on fans of slivers, such as the poles of a ball.
    let options = SimplifyOptions::RegularizeLight;
    let mut fewer = meshopt::simplify(&indices, &vertices, target, FIRST_ERROR, options, None);
    if fewer.len() > target {
        fewer = meshopt::simplify(&fewer, &vertices, target, 1.0, options, None);
    }
    if fewer.len() > 2 * target {
        fewer = meshopt::simplify_sloppy(&fewer, &vertices, target, 1.0, None);
    }
    Ok(fewer.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect())
}

/// Corner normals: at each corner the area-weighted mean of the facets around the vertex that turn away by
/// less than the crease angle; corners with the same vertex and normal become one. `None` when nothing has an
/// area.
fn shaded(vertices: &[[f32; 3]], triangles: &[[u32; 3]]) -> Option<Preview> {
    let facets: Vec<([u32; 3], Vec3, Vec3)> = triangles
        .iter()
        .filter_map(|&t| {
            let [a, b, c] = t.map(|v| wide(vertices[v as usize]));
            let area = cross(sub(b, a), sub(c, a));
            Some((t, area, unit(area)?))
        })
        .collect();
    let mut around: Vec<(u32, u32)> = facets
        .iter()
        .enumerate()
        .flat_map(|(f, (t, ..))| t.map(|v| (v, f as u32)))
        .collect();
    around.sort_unstable();
    let mut preview = Preview {
        positions: Vec::new(),
        normals: Vec::new(),
        triangles: Vec::with_capacity(facets.len()),
    };
    let mut known: BTreeMap<(u32, [u32; 3]), u32> = BTreeMap::new();
    for (t, _, own) in &facets {
        let corner = |v: u32| {
            let from = around.partition_point(|&(u, _)| u < v);
            let sum = around[from..]
                .iter()
                .take_while(|&&(u, _)| u == v)
                .map(|&(_, f)| &facets[f as usize])
                .filter(|(_, _, other)| dot(*own, *other) > CREASE_COSINE)
                .fold([0.0; 3], |sum, (_, area, _)| add(sum, *area));
            let normal = unit(sum).unwrap_or(*own).map(|x| x as f32 + 0.0);
            *known
                .entry((v, normal.map(f32::to_bits)))
                .or_insert_with(|| {
                    preview.positions.push(vertices[v as usize]);
                    preview.normals.push(normal);
                    preview.positions.len() as u32 - 1
                })
        };
        let corners = t.map(corner);
        preview.triangles.push(corners);
    }
    debug_assert!(
        preview
            .normals
            .iter()
            .all(|&n| (length(wide(n)) - 1.0).abs() < 1e-6)
    );
    (!preview.triangles.is_empty()).then_some(preview)
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::plate::{IDENTITY, set_down};
    use crate::stl::tests::cube;

    /// A ball of radius 10 mm, `n` rings of `2 n` facets.
    pub(crate) fn ball(n: usize) -> mesh::Mesh {
        let around = 2 * n;
        let mut vertices = vec![[0.0, 0.0, 10.0f32]];
        for i in 1..n {
            let (s, c) = libm::sincos(std::f64::consts::PI * i as f64 / n as f64);
            for j in 0..around {
                let (t, d) = libm::sincos(std::f64::consts::TAU * j as f64 / around as f64);
                vertices.push([s * d, s * t, c].map(|x| (10.0 * x) as f32));
            }
        }
        vertices.push([0.0, 0.0, -10.0]);
        let at = |i: usize, j: usize| (1 + (i - 1) * around + j % around) as u32;
        let last = vertices.len() as u32 - 1;
        let mut triangles = Vec::new();
        for j in 0..around {
            triangles.push([0, at(1, j), at(1, j + 1)]);
            for i in 1..n - 1 {
                triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
                triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
            }
            triangles.push([at(n - 1, j), last, at(n - 1, j + 1)]);
        }
        mesh::Mesh::new(vertices, triangles)
    }

    #[test]
    fn a_cube_keeps_its_sharp_edges() {
        let mesh = set_down(&cube([0.0; 3]), &IDENTITY).expect("set down");
        let got = preview(&mesh).expect("a cube has area");
        // 8 corners times 3 faces.
        assert_eq!((got.positions.len(), got.triangles.len()), (24, 12));
        assert!(
            got.normals
                .iter()
                .all(|n| n.iter().filter(|x| **x == 0.0).count() == 2)
        );
    }

    #[test]
    fn a_ball_is_smooth_and_light() {
        let mesh = set_down(&ball(100), &IDENTITY).expect("set down");
        assert_eq!(mesh.triangles.len(), 39_600);
        let got = preview(&mesh).expect("a ball has area");
        assert!(got.triangles.len() <= MOST_TRIANGLES && got.triangles.len() > 500);
        // On a ball every normal points away from the centre, and every point stays on the surface.
        let mut askew = 0;
        for (p, n) in got.positions.iter().zip(&got.normals) {
            let from_centre = sub(wide(*p), [10.0; 3]);
            assert!((length(from_centre) - 10.0).abs() < 0.01);
            let outward = dot(wide(*n), from_centre) / 10.0;
            assert!(outward > 0.0, "{p:?} {n:?}");
            askew += usize::from(outward < 0.97);
        }
        assert!(askew * 50 < got.positions.len(), "{askew}");
        for t in &got.triangles {
            let [a, b, c] = t.map(|v| sub(wide(got.positions[v as usize]), [10.0; 3]));
            assert!(
                dot(cross(sub(b, a), sub(c, a)), add(a, add(b, c))) > 0.0,
                "turned over"
            );
        }
        assert!(got.positions.len() < got.triangles.len());
    }

    #[test]
    fn nothing_with_an_area_is_a_fault() {
        let mesh = PrintMesh {
            vertices: vec![[0.0; 3], [1.0, 0.0, 0.0], [2.0, 0.0, 0.0]],
            triangles: vec![[0, 1, 2]],
        };
        assert_eq!(preview(&mesh), Err(PreviewFault::NoArea));
    }
}
