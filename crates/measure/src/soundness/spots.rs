//! Places on a mesh, and lists of them that are cut while their counts are not.

use mesh::Mesh;
use mesh::edges::ends;
use mesh::vector::{Vec3, add, distance, scale, wide};
use serde::{Deserialize, Serialize};

/// One place, in the mesh's own frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Spot {
    /// The point, mm.
    pub at: Vec3,
    /// Outward unit direction of the surface there, where it has one.
    pub outward: Option<Vec3>,
    /// How far the fault reaches about the point, mm.
    pub reach_mm: f64,
    /// The value measured there, where there is one.
    pub measured: Option<f64>,
}

impl Spot {
    /// A bare point.
    pub fn at(at: Vec3) -> Spot {
        Spot {
            at,
            outward: None,
            reach_mm: 0.0,
            measured: None,
        }
    }
}

/// A number of places and the first of them.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Spots {
    /// All of them.
    pub count: usize,
    /// The first.
    pub first: Vec<Spot>,
}

impl Spots {
    /// The first `most` of `list`, each looked up by `at`.
    pub(super) fn of(count: usize, list: &[u32], most: usize, at: &dyn Fn(u32) -> Spot) -> Spots {
        Spots {
            count,
            first: list.iter().take(most).map(|&i| at(i)).collect(),
        }
    }
}

/// The middle of a half-edge, outward as its facet.
pub(super) fn edge(mesh: &Mesh, half_edge: u32) -> Spot {
    let [a, b] = ends(mesh, half_edge).map(|v| wide(mesh.vertices[v as usize]));
    Spot {
        at: scale(add(a, b), 0.5),
        outward: mesh.normal(half_edge as usize / 3),
        reach_mm: 0.5 * distance(a, b),
        measured: None,
    }
}

/// The centre of a facet.
pub(super) fn facet(mesh: &Mesh, triangle: u32) -> Spot {
    let at = mesh.triangle_centroid(triangle as usize);
    let [a, b, c] = mesh.corners(triangle as usize);
    Spot {
        at,
        outward: mesh.normal(triangle as usize),
        reach_mm: distance(at, a).max(distance(at, b)).max(distance(at, c)),
        measured: None,
    }
}
