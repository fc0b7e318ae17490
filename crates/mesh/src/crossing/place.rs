//! Where two facets meet: a point for a person to look at, in f64.

use super::exact::Corners;
use crate::tree::closest_on_triangle;
use crate::vector::{Vec3, add, cross, distance, dot, scale, sub};

/// The middle of the stretch that two facets have in common, and its length, mm. Where they only touch:
/// a common point, and nought.
pub(super) fn place(a: &Corners, b: &Corners, crossing: bool) -> (Vec3, f64) {
    if crossing {
        let line = cross(normal(a), normal(b));
        let mut ends: Vec<Vec3> = pierced(a, b).into_iter().chain(pierced(b, a)).collect();
        ends.sort_by(|p, q| dot(*p, line).total_cmp(&dot(*q, line)));
        // Two stretches of one line that overlap: the common one lies between the inner ends.
        if ends.len() >= 4 {
            let (p, q) = (ends[1], ends[ends.len() - 2]);
            return (scale(add(p, q), 0.5), distance(p, q));
        }
    }
    let mut at = scale(add(add(b[0], b[1]), b[2]), 1.0 / 3.0);
    // Projections to and fro between two convex sets that meet come to a common point.
    for _ in 0..64 {
        let next = closest_on_triangle(b, closest_on_triangle(a, at));
        if distance(next, at) < 1e-9 {
            break;
        }
        at = next;
    }
    (at, 0.0)
}

fn normal(t: &Corners) -> Vec3 {
    cross(sub(t[1], t[0]), sub(t[2], t[0]))
}

/// Where the edges of `t` go through the plane of `other`.
fn pierced(t: &Corners, other: &Corners) -> Vec<Vec3> {
    let n = normal(other);
    let height = t.map(|p| dot(n, sub(p, other[0])));
    (0..3)
        .filter_map(|k| {
            let (p, q) = (k, (k + 1) % 3);
            let apart = (height[p] > 0.0) != (height[q] > 0.0);
            apart.then(|| {
                let s = height[p] / (height[p] - height[q]);
                add(t[p], scale(sub(t[q], t[p]), s))
            })
        })
        .collect()
}
