//! The mesh that every pass shares: welded vertices, triangles, and where each triangle stood in the file.

use crate::vector::{Vec3, cross, length, scale, sub, unit, wide};
use serde::{Deserialize, Serialize};

/// A triangle mesh in millimetres. Triangles turn counter-clockwise seen from outside.
///
/// Invariant (checked by [`Mesh::check`]): every index is within `vertices`, every coordinate is finite,
/// `filed` has one entry a triangle.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Mesh {
    /// Vertex positions, mm, in the mesh's own frame as exported.
    pub vertices: Vec<[f32; 3]>,
    /// Vertex ids of each triangle.
    pub triangles: Vec<[u32; 3]>,
    /// The number each triangle had in its file, from 0: triangles are renumbered in space.
    pub filed: Vec<u32>,
}

impl Mesh {
    /// A mesh whose triangles stand in the order of the file.
    pub fn new(vertices: Vec<[f32; 3]>, triangles: Vec<[u32; 3]>) -> Mesh {
        let filed = (0..triangles.len() as u32).collect();
        Mesh {
            vertices,
            triangles,
            filed,
        }
    }

    /// The three corners of a triangle, widened.
    #[inline]
    pub fn corners(&self, triangle: usize) -> [Vec3; 3] {
        let [a, b, c] = self.triangles[triangle];
        let at = |v: u32| wide(self.vertices[v as usize]);
        [at(a), at(b), at(c)]
    }

    /// Twice the area along the outward normal, mm2.
    #[inline]
    pub fn doubled_area_vector(&self, triangle: usize) -> Vec3 {
        let [a, b, c] = self.corners(triangle);
        cross(sub(b, a), sub(c, a))
    }

    /// Outward unit normal; `None` for a triangle without area.
    #[inline]
    pub fn normal(&self, triangle: usize) -> Option<Vec3> {
        unit(self.doubled_area_vector(triangle))
    }

    /// Area of a triangle, mm2.
    #[inline]
    pub fn triangle_area(&self, triangle: usize) -> f64 {
        0.5 * length(self.doubled_area_vector(triangle))
    }

    /// Centroid of a triangle.
    #[inline]
    pub fn triangle_centroid(&self, triangle: usize) -> Vec3 {
        let [a, b, c] = self.corners(triangle);
        scale(
            [a[0] + b[0] + c[0], a[1] + b[1] + c[1], a[2] + b[2] + c[2]],
            1.0 / 3.0,
        )
    }

    /// The box around all vertices; `None` for a mesh without vertices.
    pub fn bounds(&self) -> Option<Bounds> {
        Bounds::of(self.vertices.iter().map(|&p| wide(p)))
    }

    /// The mirror image in the plane where coordinate `axis` (0, 1, 2) is nothing, turned so that outside
    /// stays outside.
    #[must_use]
    pub fn mirrored(mut self, axis: usize) -> Mesh {
        for p in &mut self.vertices {
            // -0 would be another number to every pass that compares bits.
            p[axis] = 0.0 - p[axis];
        }
        for t in &mut self.triangles {
            t.swap(1, 2);
        }
        self
    }

    /// Every broken promise of the type, in words; empty when sound. Run in debug builds on every mesh built.
    pub fn check(&self) -> Vec<String> {
        let mut broken = Vec::new();
        if self.filed.len() != self.triangles.len() {
            broken.push(format!(
                "{} filed numbers for {} triangles",
                self.filed.len(),
                self.triangles.len()
            ));
        }
        let n = self.vertices.len();
        if let Some(t) = self
            .triangles
            .iter()
            .position(|t| t.iter().any(|&v| v as usize >= n))
        {
            broken.push(format!("triangle {t} names a vertex beyond {n}"));
        }
        if let Some(v) = self
            .vertices
            .iter()
            .position(|p| p.iter().any(|x| !x.is_finite()))
        {
            broken.push(format!("vertex {v} is not finite"));
        }
        broken
    }
}

/// An axis-aligned box, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Least corner.
    pub min: Vec3,
    /// Greatest corner.
    pub max: Vec3,
}

impl Bounds {
    /// The least box around points; `None` for none.
    pub fn of(points: impl IntoIterator<Item = Vec3>) -> Option<Bounds> {
        let mut points = points.into_iter();
        let first = points.next()?;
        let mut b = Bounds {
            min: first,
            max: first,
        };
        for p in points {
            for k in 0..3 {
                b.min[k] = b.min[k].min(p[k]);
                b.max[k] = b.max[k].max(p[k]);
            }
        }
        Some(b)
    }

    /// Side lengths, mm.
    pub fn size(&self) -> Vec3 {
        sub(self.max, self.min)
    }

    /// Centre.
    pub fn centre(&self) -> Vec3 {
        [0, 1, 2].map(|k| 0.5 * (self.min[k] + self.max[k]))
    }

    /// Length of the space diagonal, mm.
    pub fn diagonal(&self) -> f64 {
        length(self.size())
    }
}
