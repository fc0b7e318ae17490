//! The closest point of the surface.

use super::Tree;
use super::node::{LEAF, Lanes, Leaf, Node, WIDTH, above, below, greater, lesser};
use super::stack::{Stack, mask_of};
use crate::vector::{Vec3, add, cross, dot, scale, sub};

/// The closest point of a surface to a query point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closest {
    /// Id of the triangle it lies on.
    pub triangle: u32,
    /// The point, mm.
    pub point: Vec3,
    /// Its distance from the query point, mm.
    pub distance: f64,
}

impl Tree {
    /// The closest point on the triangles that `accept` admits, at most `within` mm away; among equal
    /// distances the triangle with the least id. Computed in f64; distances under 1e19 mm.
    pub fn closest(
        &self,
        point: Vec3,
        within: f64,
        accept: impl Fn(u32) -> bool,
    ) -> Option<Closest> {
        self.closest_among(point, within, |_| true, accept)
    }

    /// Like [`Tree::closest`], looking only into leaves that `enter` admits by their number: for callers that know
    /// something about whole leaves.
    pub fn closest_among(
        &self,
        point: Vec3,
        within: f64,
        enter: impl Fn(usize) -> bool,
        accept: impl Fn(u32) -> bool,
    ) -> Option<Closest> {
        if within.is_nan() || within < 0.0 || point.iter().any(|x| !x.is_finite()) {
            return None;
        }
        let query = Query {
            low: point.map(below),
            high: point.map(above),
        };
        let mut best: Option<(u32, Vec3)> = None;
        let mut limit = within * within;
        let mut limit32 = cull(limit);
        let mut stack = Stack::new();
        stack.push((0.0, 0));
        while let Some((near, child)) = stack.pop() {
            if near > limit32 {
                continue;
            }
            if child & LEAF == 0 {
                let node = &self.nodes[child as usize];
                let (bound, mask) = query.boxes(node, limit32);
                if mask != 0 {
                    stack.push_nearest_last(mask, &bound, &node.child);
                }
                continue;
            }
            let number = (child & !LEAF) as usize;
            if !enter(number) {
                continue;
            }
            let leaf = &self.leaves[number];
            let mut mask = query.triangles(leaf, limit32) & ((1 << leaf.count) - 1);
            if mask != 0 {
                mask &= query.planes(leaf, limit32);
            }
            while mask != 0 {
                let lane = mask.trailing_zeros() as usize & 7;
                mask &= mask - 1;
                let triangle = leaf.first + lane as u32;
                // Asked first: it mostly costs less than the closest point, and drops half of what a ball
                // between two walls meets.
                if !accept(triangle) {
                    continue;
                }
                let at = closest_on_triangle(&leaf.corners(lane), point);
                let off = sub(at, point);
                let squared = dot(off, off);
                let nearer = match best {
                    None => squared <= limit,
                    Some((id, _)) => squared < limit || (squared == limit && triangle < id),
                };
                if nearer {
                    best = Some((triangle, at));
                    limit = squared;
                    limit32 = cull(limit);
                }
            }
        }
        best.map(|(triangle, at)| Closest {
            triangle,
            point: at,
            distance: limit.sqrt(),
        })
    }
}

/// The limit of a cull: finite, so that vacant lanes, infinitely far, stay out.
#[inline]
fn cull(squared: f64) -> f32 {
    lesser(above(squared), f32::MAX)
}

/// A query point between two f32 points.
struct Query {
    low: [f32; 3],
    high: [f32; 3],
}

/// Six roundings stand between a box and its squared distance: more than covered by 2^-20.
const SLACK: f32 = 1.0 - 1.0 / (1u32 << 20) as f32;

impl Query {
    #[inline(always)]
    fn boxes(&self, node: &Node, limit: f32) -> (Lanes, u32) {
        let mut squared = [0.0f32; WIDTH];
        for k in 0..3 {
            let [lower, upper] = &node.planes[k];
            for lane in 0..WIDTH {
                let gap = greater(
                    greater(lower[lane] - self.high[k], self.low[k] - upper[lane]),
                    0.0,
                );
                squared[lane] += gap * gap;
            }
        }
        within(squared, limit)
    }

    /// Which triangles of a leaf may be close enough, by their boxes.
    #[inline(always)]
    fn triangles(&self, leaf: &Leaf, limit: f32) -> u32 {
        let [a, b, c] = &leaf.corner;
        let mut squared = [0.0f32; WIDTH];
        for k in 0..3 {
            for lane in 0..WIDTH {
                let lower = lesser(lesser(a[k][lane], b[k][lane]), c[k][lane]);
                let upper = greater(greater(a[k][lane], b[k][lane]), c[k][lane]);
                let gap = greater(greater(lower - self.high[k], self.low[k] - upper), 0.0);
                squared[lane] += gap * gap;
            }
        }
        within(squared, limit).1
    }

    /// Which triangles of a leaf may be close enough, by their planes: a box may come near that its triangle,
    /// lying athwart in it, does not.
    ///
    /// With u, v the edges, n = u x v and q from a corner to the query, the plane is n.q / |n| away. Let U, V, Q
    /// be the sums of the coordinates of u, v, q, e the rounding of one operation (2^-24) and p how far the query may
    /// be from its f32 stand-in. Then n is off by at most 16 e U V and n.q by at most U V (64 e Q + 8 p): each
    /// difference, product and sum rounded once, constants rounded up. What overflows is never dropped.
    #[inline(always)]
    fn planes(&self, leaf: &Leaf, limit: f32) -> u32 {
        const E: f32 = 1.0 / (1u32 << 24) as f32;
        const TINY: f32 = 1e-30;
        let off = (self.high[0] - self.low[0])
            + (self.high[1] - self.low[1])
            + (self.high[2] - self.low[2]);
        let radius = limit.sqrt() * (1.0 + 8.0 * E);
        let [a, b, c] = &leaf.corner;
        let mut over = [0.0f32; WIDTH];
        for lane in 0..WIDTH {
            let (ax, ay, az) = (a[0][lane], a[1][lane], a[2][lane]);
            let (ux, uy, uz) = (b[0][lane] - ax, b[1][lane] - ay, b[2][lane] - az);
            let (vx, vy, vz) = (c[0][lane] - ax, c[1][lane] - ay, c[2][lane] - az);
            let (qx, qy, qz) = (self.low[0] - ax, self.low[1] - ay, self.low[2] - az);
            let (nx, ny, nz) = (uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx);
            let area = (ux.abs() + uy.abs() + uz.abs()) * (vx.abs() + vy.abs() + vz.abs());
            let far = qx.abs() + qy.abs() + qz.abs();
            let high = (nx * qx + ny * qy + nz * qz).abs();
            let long = (nx * nx + ny * ny + nz * nz).sqrt();
            let unsure = area * (64.0 * E * far + 8.0 * off) + TINY;
            let most = radius * (long + 16.0 * E * area) * (1.0 + 8.0 * E);
            over[lane] = high - unsure - most;
        }
        let mut may = [false; WIDTH];
        for lane in 0..WIDTH {
            // Not a number is not over.
            may[lane] = !matches!(
                over[lane].partial_cmp(&0.0),
                Some(std::cmp::Ordering::Greater)
            );
        }
        mask_of(&may)
    }
}

#[inline(always)]
fn within(mut squared: Lanes, limit: f32) -> (Lanes, u32) {
    let mut meets = [false; WIDTH];
    for lane in 0..WIDTH {
        squared[lane] *= SLACK;
        meets[lane] = squared[lane] <= limit;
    }
    (squared, mask_of(&meets))
}

/// The point of a triangle, borders included, that is closest to `point`. A triangle without area is its
/// longest edge, or its one point.
pub fn closest_on_triangle(corners: &[Vec3; 3], point: Vec3) -> Vec3 {
    let [a, b, c] = *corners;
    let (ab, ac, bc) = (sub(b, a), sub(c, a), sub(c, b));
    let (ap, bp) = (sub(point, a), sub(point, b));
    let normal = cross(ab, ac);
    // On which side of each edge's plane, along the normal.
    let beyond_ab = dot(cross(normal, ab), ap);
    let beyond_bc = dot(cross(normal, bc), bp);
    let beyond_ca = dot(cross(ac, normal), ap);
    let squared = dot(normal, normal);
    if squared > 0.0 && beyond_ab >= 0.0 && beyond_bc >= 0.0 && beyond_ca >= 0.0 {
        return sub(point, scale(normal, dot(normal, ap) / squared));
    }
    // Outside, or on a sliver where no side can be told: the closest of the edges, never farther than
    // the plane by more than rounding.
    let mut best = on_segment(a, ab, ap);
    for other in [on_segment(b, bc, bp), on_segment(a, ac, ap)] {
        let (new, old) = (sub(other, point), sub(best, point));
        if dot(new, new) < dot(old, old) {
            best = other;
        }
    }
    best
}

/// The point of the segment from `a` along `edge` that is closest to a + `off`.
#[inline]
fn on_segment(a: Vec3, edge: Vec3, off: Vec3) -> Vec3 {
    let squared = dot(edge, edge);
    if squared == 0.0 {
        return a;
    }
    add(a, scale(edge, (dot(off, edge) / squared).clamp(0.0, 1.0)))
}
