//! On which side of a surface a point lies.

use mesh::tree::Closest;
use mesh::vector::{Vec3, cross, dot, length, sub};

use crate::change::Body;

/// Whether a point lies inside the body, told by its closest point where that lies well within a facet, else by the
/// winding number (open surfaces: half of it).
pub(crate) fn inside(body: Body<'_>, point: Vec3, closest: &Closest) -> bool {
    let corners = body.mesh.corners(closest.triangle as usize);
    let [a, b, c] = corners;
    let normal = cross(sub(b, a), sub(c, a));
    let off = sub(point, closest.point);
    let along = dot(off, normal);
    // Straight above the facet: no edge or corner is as close.
    if along.abs() >= (1.0 - 1e-9) * length(off) * length(normal)
        && well_within(&corners, closest.point)
    {
        return along < 0.0;
    }
    body.tree.winding_number(point) > 0.5
}

/// Whether a point of a triangle's plane is within it, a thousandth of its size from every edge.
fn well_within(corners: &[Vec3; 3], point: Vec3) -> bool {
    let [a, b, c] = *corners;
    let normal = cross(sub(b, a), sub(c, a));
    let doubled = dot(normal, normal);
    [(a, b), (b, c), (c, a)]
        .iter()
        .all(|&(from, to)| dot(cross(sub(to, from), sub(point, from)), normal) > 1e-3 * doubled)
}
