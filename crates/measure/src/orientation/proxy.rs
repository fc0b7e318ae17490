//! A light stand-in of a part, for ranking directions only: nothing that is reported is measured on it.
//!
//! Above [`CLUSTERED`] triangles, vertices are first joined within the cells of a grid (J. Rossignac, P. Borrel,
//! "Multi-resolution 3D approximations for rendering complex scenes", 1993), then edges collapse by quadric error
//! (M. Garland, P. S. Heckbert, "Surface simplification using quadric error metrics", SIGGRAPH 1997) in `meshopt`.
//! Of the vertices in a cell one that lies on flats stands for the others, so that flats stay flat.

use meshopt::{SimplifyOptions, VertexDataAdapter};

use super::normal_image::{Flats, NormalImage};
use super::surface::Surface;
use mesh::vector::{dot, wide};

/// Larger meshes are clustered before edges collapse.
const CLUSTERED: usize = 100_000;
/// Cells that a surface of this many triangles takes, about: two triangles a vertex.
const CELLS: f64 = 30_000.0;
/// Deviation that is allowed, as a share of the longest side.
const DEVIATION: f32 = 0.01;
/// A facet this near to a flat's direction lies on it, cosine: 0.05 degrees.
const ON_FLAT: f64 = 0.999_999_62;

/// A stand-in of at most about `most` triangles; the surface itself where it has no more.
pub(super) fn proxy(
    surface: &Surface,
    flats: &Flats,
    image: &NormalImage,
    most: usize,
) -> Option<Surface> {
    if surface.triangles.len() <= most {
        return None;
    }
    let triangles = if surface.triangles.len() > CLUSTERED {
        clustered(surface, flats)
    } else {
        surface.triangles.clone()
    };
    let (triangles, corners) = compact(&triangles, &surface.corners);
    let triangles = collapsed(&corners, &triangles, most).unwrap_or(triangles);
    let (triangles, corners) = compact(&triangles, &corners);
    (!triangles.is_empty()).then(|| surface.simplified(triangles, corners, flats, image))
}

/// Triangles that are left once the vertices of each cell are one.
fn clustered(surface: &Surface, flats: &Flats) -> Vec<[u32; 3]> {
    let cell = (surface.area_mm2() / CELLS).sqrt().max(1e-6);
    // How many corners of facets on flats a vertex is: those count before others.
    let mut weight = vec![0u8; surface.corners.len()];
    for (t, f) in surface.triangles.iter().zip(&surface.facets) {
        let n = wide(f.normal);
        if let Some(k) = flats.normals.iter().position(|m| dot(*m, n) > ON_FLAT) {
            for &v in t {
                // A bit a flat, the eight largest: a corner of three flats stands for one of two.
                weight[v as usize] |= 1 << k.min(7);
            }
        }
    }
    // 21 bits an axis hold every cell: the part is at most a few thousand cells long.
    let key = |p: &[f32; 3]| {
        p.iter().fold(0u64, |key, &x| {
            let k = (f64::from(x) / cell)
                .floor()
                .clamp(-1_048_576.0, 1_048_575.0) as i64
                + 1_048_576;
            key << 21 | k as u64
        })
    };
    let mut order: Vec<(u64, u32)> = surface
        .corners
        .iter()
        .enumerate()
        .map(|(v, p)| (key(p), v as u32))
        .collect();
    parallel::sort_by_key(&mut order, |o| *o);
    let mut stands_for: Vec<u32> = vec![0; surface.corners.len()];
    let mut from = 0;
    while from < order.len() {
        let to = from + order[from..].partition_point(|o| o.0 == order[from].0);
        let chosen = order[from..to]
            .iter()
            .map(|o| o.1)
            .max_by_key(|&v| (weight[v as usize].count_ones(), std::cmp::Reverse(v)))
            .unwrap_or(order[from].1);
        for o in &order[from..to] {
            stands_for[o.1 as usize] = chosen;
        }
        from = to;
    }
    surface
        .triangles
        .iter()
        .map(|t| t.map(|v| stands_for[v as usize]))
        .filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0])
        .collect()
}

/// Edges collapsed down to about `most` triangles; `None` where the simplifier refuses.
fn collapsed(corners: &[[f32; 3]], triangles: &[[u32; 3]], most: usize) -> Option<Vec<[u32; 3]>> {
    let bytes: Vec<u8> = corners
        .iter()
        .flatten()
        .flat_map(|x| x.to_le_bytes())
        .collect();
    let vertices = VertexDataAdapter::new(&bytes, 12, 0).ok()?;
    let indices: Vec<u32> = triangles.iter().flatten().copied().collect();
    let options = SimplifyOptions::RegularizeLight;
    let fewer = meshopt::simplify(&indices, &vertices, 3 * most, DEVIATION, options, None);
    Some(fewer.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect())
}

/// Triangles renumbered to the corners they use.
fn compact(triangles: &[[u32; 3]], corners: &[[f32; 3]]) -> (Vec<[u32; 3]>, Vec<[f32; 3]>) {
    let mut number = vec![u32::MAX; corners.len()];
    let mut used = Vec::new();
    let triangles = triangles
        .iter()
        .map(|t| {
            t.map(|v| {
                let n = &mut number[v as usize];
                if *n == u32::MAX {
                    *n = used.len() as u32;
                    used.push(corners[v as usize]);
                }
                *n
            })
        })
        .collect();
    (triangles, used)
}
