//! A ray against a triangle, decided in f64 so that no ray slips between two triangles that share an edge
//! (Woop, Benthin, Wald 2013, "Watertight ray/triangle intersection").
//!
//! Corners are sheared into a frame in which the ray runs along z through the origin of x and y. The
//! sheared place of a corner depends on the corner and the ray only, and the sign of an edge is exact on
//! sheared places; so neighbours agree about their common edge. Edges and corners belong to the triangle.

use crate::vector::{Vec3, sub};

/// The frame of a ray.
pub(super) struct Frame {
    pub origin: Vec3,
    /// Axis of the greatest direction component, and the other two in turn.
    pub axes: [usize; 3],
    /// Shear along the other two axes.
    pub shear: [f64; 2],
    /// Reciprocal of the greatest component.
    pub along: f64,
}

impl Frame {
    /// `None` for a direction without length or with a component that is not finite.
    pub fn new(origin: Vec3, direction: Vec3) -> Option<Frame> {
        let size = direction.map(f64::abs);
        let mut z = if size[1] > size[0] { 1 } else { 0 };
        if size[2] > size[z] {
            z = 2;
        }
        let sound = direction.iter().chain(&origin).all(|x| x.is_finite());
        if !sound || size[z] == 0.0 {
            return None;
        }
        let (x, y) = ((z + 1) % 3, (z + 2) % 3);
        Some(Frame {
            origin,
            axes: [z, x, y],
            shear: [direction[x] / direction[z], direction[y] / direction[z]],
            along: 1.0 / direction[z],
        })
    }

    #[inline]
    fn sheared(&self, corner: Vec3) -> Vec3 {
        let p = sub(corner, self.origin);
        let [z, x, y] = self.axes;
        [
            p[x] - self.shear[0] * p[z],
            p[y] - self.shear[1] * p[z],
            p[z],
        ]
    }

    /// Where the ray's line meets the triangle, as a multiple of the direction (it may be negative), and
    /// whether it comes from the outer side. `None` for a miss and for a triangle seen edge-on.
    pub fn meet(&self, corners: &[Vec3; 3]) -> Option<(f64, bool)> {
        let [a, b, c] = corners.map(|p| self.sheared(p));
        let u = edge(c, b);
        let v = edge(a, c);
        let w = edge(b, a);
        let outside = u.min(v).min(w) < 0.0 && u.max(v).max(w) > 0.0;
        let det = u + v + w;
        if outside || det == 0.0 {
            return None;
        }
        // Adding nought makes -0.0 the plain one.
        let t = (u * a[2] + v * b[2] + w * c[2]) / det * self.along + 0.0;
        // The frame is right-handed where the ray runs up its z axis.
        let outer = (det > 0.0) == (self.along > 0.0);
        t.is_finite().then_some((t, outer))
    }
}

/// Twice the signed area of the triangle (p, q, origin) in x and y; its sign is exact.
#[inline]
fn edge(p: Vec3, q: Vec3) -> f64 {
    let plus = p[0] * q[1];
    let minus = p[1] * q[0];
    let value = plus - minus;
    // The error is below 2 units in the last place of the products; see Shewchuk 1997.
    if value.abs() > 4.0 * f64::EPSILON * (plus.abs() + minus.abs()) {
        return value;
    }
    robust::orient2d(
        robust::Coord { x: p[0], y: p[1] },
        robust::Coord { x: q[0], y: q[1] },
        robust::Coord { x: 0.0, y: 0.0 },
    )
}
