//! Rays through the tree: the first hit, and every hit.

use super::node::{LEAF, Lanes, Leaf, Node, WIDTH, above, below, greater, lesser};
use super::ray_triangle::Frame;
use super::stack::{Stack, mask_of};
use super::{NONE, Tree};
use crate::vector::Vec3;

/// Where a ray meets a triangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// Id of the triangle.
    pub triangle: u32,
    /// Distance from the origin as a multiple of the direction's length: mm for a unit direction.
    pub t: f64,
    /// Whether the ray comes from the outer side, the one the normal points to.
    pub outer: bool,
}

impl Tree {
    /// The first triangle that the ray meets with t in 0..=t_max, both faces, edges and corners included;
    /// among equal t the least id. `skip` is the id of a triangle that does not count (the facet a ray
    /// starts on) or [`NONE`]. The direction should be about one long; zero components of either sign are
    /// welcome. A triangle seen edge-on is not hit, its neighbours are.
    pub fn first_hit(&self, origin: Vec3, direction: Vec3, t_max: f64, skip: u32) -> Option<Hit> {
        let mut best: Option<Hit> = None;
        let cast = Cast::new(origin, direction, self.reach)?;
        self.walk(&cast, t_max, |hit, limit| {
            let nearer = match &best {
                None => true,
                Some(b) => hit.t < b.t || (hit.t == b.t && hit.triangle < b.triangle),
            };
            if nearer && hit.triangle != skip {
                best = Some(hit);
                *limit = hit.t;
            }
        });
        best
    }

    /// Every triangle that the ray meets with t in 0..=t_max, in no stated order (the same on every run).
    /// A ray through an edge or corner meets every triangle there.
    pub fn all_hits(&self, origin: Vec3, direction: Vec3, t_max: f64, mut visit: impl FnMut(Hit)) {
        if let Some(cast) = Cast::new(origin, direction, self.reach) {
            self.walk(&cast, t_max, |hit, _| visit(hit));
        }
    }

    /// Calls `found` for hits with 0 <= t <= limit; it may lower the limit.
    fn walk(&self, cast: &Cast, t_max: f64, mut found: impl FnMut(Hit, &mut f64)) {
        if t_max.is_nan() || t_max < 0.0 {
            return;
        }
        let mut limit = t_max;
        let mut limit32 = above(limit);
        let mut stack = Stack::new();
        stack.push((0.0, 0));
        while let Some((near, child)) = stack.pop() {
            if near > limit32 {
                continue;
            }
            if child & LEAF == 0 {
                let node = &self.nodes[child as usize];
                let (bound, mask) = cast.boxes(node, limit32);
                if mask != 0 {
                    stack.push_nearest_last(mask, &bound, &node.child);
                }
                continue;
            }
            let leaf = &self.leaves[(child & !LEAF) as usize];
            let mut mask = cast.triangles(leaf, limit32) & ((1 << leaf.count) - 1);
            while mask != 0 {
                let lane = mask.trailing_zeros() as usize & 7;
                mask &= mask - 1;
                if let Some((t, outer)) = cast.frame.meet(&leaf.corners(lane))
                    && t >= 0.0
                    && t <= limit
                {
                    let triangle = leaf.first + lane as u32;
                    found(Hit { triangle, t, outer }, &mut limit);
                    limit32 = above(limit);
                }
            }
        }
    }
}

/// A ray made ready for the culls.
struct Cast {
    frame: Frame,
    /// Which plane of a box the ray meets first, by axis.
    side: [usize; 3],
    /// The origin moved by rounding so that near planes only come nearer and far planes go farther.
    near_origin: [f32; 3],
    far_origin: [f32; 3],
    near_scale: [f32; 3],
    far_scale: [f32; 3],
    origin32: [f32; 3],
    shear32: [f32; 2],
    /// Greatest component, with its sign.
    steep32: f32,
    /// Bound on the error of a sheared place, mm.
    blur: f32,
}

/// Three roundings stand between a plane and its t: more than covered by 2^-21 (Ize 2013).
const SLACK: f64 = 1.0 / (1u32 << 21) as f64;
/// Below this a direction component moves no ray out of a box of printable size: taken as zero.
const LEVEL: f64 = 1e-30;

impl Cast {
    fn new(origin: Vec3, direction: Vec3, reach: f32) -> Option<Cast> {
        let frame = Frame::new(origin, direction)?;
        let mut cast = Cast {
            side: [0; 3],
            near_origin: [0.0; 3],
            far_origin: [0.0; 3],
            near_scale: [0.0; 3],
            far_scale: [0.0; 3],
            origin32: origin.map(|x| x as f32),
            shear32: frame.shear.map(|x| x as f32),
            steep32: (1.0 / frame.along) as f32,
            // Origin, difference, shear and product each round once, on numbers of at most the reach of
            // mesh and origin together: below 2^-21 of it.
            blur: (SLACK * (f64::from(reach) + origin.iter().fold(0.0f64, |m, x| m.max(x.abs()))))
                as f32,
            frame,
        };
        for k in 0..3 {
            // -0.0 counts as going up; the reciprocal is taken of the absolute value.
            let down = direction[k] < -LEVEL;
            let sign = if down { -1.0 } else { 1.0 };
            let size = direction[k].abs();
            let inverse = if size > LEVEL {
                1.0 / size
            } else {
                f64::INFINITY
            };
            cast.side[k] = usize::from(down);
            let (low, high) = (below(origin[k]), above(origin[k]));
            (cast.near_origin[k], cast.far_origin[k]) =
                if down { (low, high) } else { (high, low) };
            cast.near_scale[k] = (sign * inverse * (1.0 - SLACK)) as f32;
            cast.far_scale[k] = (sign * inverse * (1.0 + SLACK)) as f32;
        }
        Some(cast)
    }

    /// Lower bounds of t for the boxes of a node, and which of them the ray may meet up to the limit.
    #[inline(always)]
    fn boxes(&self, node: &Node, limit: f32) -> (Lanes, u32) {
        let mut near = [0.0f32; WIDTH];
        let mut far = [limit; WIDTH];
        for k in 0..3 {
            let near_plane = &node.planes[k][self.side[k]];
            let far_plane = &node.planes[k][1 - self.side[k]];
            for lane in 0..WIDTH {
                // Nought times infinity is not a number: `greater` and `lesser` then keep the old bound.
                let n = (near_plane[lane] - self.near_origin[k]) * self.near_scale[k];
                let f = (far_plane[lane] - self.far_origin[k]) * self.far_scale[k];
                near[lane] = greater(n, near[lane]);
                far[lane] = lesser(f, far[lane]);
            }
        }
        let mut meets = [false; WIDTH];
        for lane in 0..WIDTH {
            meets[lane] = near[lane] <= far[lane];
        }
        (near, mask_of(&meets))
    }

    /// Which triangles of a leaf the ray may meet up to the limit: edge signs in f32 with an error bound.
    #[inline(always)]
    fn triangles(&self, leaf: &Leaf, limit: f32) -> u32 {
        let [z, x, y] = self.frame.axes;
        let blur = self.blur;
        let up = self.steep32 > 0.0;
        let farthest = limit * self.steep32.abs() * (1.0 + 4.0 * f32::EPSILON) + blur;
        let mut px = [[0.0f32; WIDTH]; 3];
        let mut py = [[0.0f32; WIDTH]; 3];
        let mut pz = [[0.0f32; WIDTH]; 3];
        for c in 0..3 {
            let corner = &leaf.corner[c];
            for lane in 0..WIDTH {
                let depth = corner[z][lane] - self.origin32[z];
                px[c][lane] = (corner[x][lane] - self.origin32[x]) - self.shear32[0] * depth;
                py[c][lane] = (corner[y][lane] - self.origin32[y]) - self.shear32[1] * depth;
                pz[c][lane] = if up { depth } else { -depth };
            }
        }
        let mut keep = [false; WIDTH];
        for lane in 0..WIDTH {
            let [ax, bx, cx] = [px[0][lane], px[1][lane], px[2][lane]];
            let [ay, by, cy] = [py[0][lane], py[1][lane], py[2][lane]];
            let u = cx * by - cy * bx;
            let v = ax * cy - ay * cx;
            let w = bx * ay - by * ax;
            let size = ax.abs() + bx.abs() + cx.abs() + ay.abs() + by.abs() + cy.abs();
            // Each product is off by at most blur times the sizes, plus the rounding of the product.
            let error = 2.0 * blur * (size + blur);
            let least = lesser(lesser(u, v), w);
            let most = greater(greater(u, v), w);
            let first = lesser(lesser(pz[0][lane], pz[1][lane]), pz[2][lane]);
            let last = greater(greater(pz[0][lane], pz[1][lane]), pz[2][lane]);
            // Written so that numbers that are not (overflow) keep the triangle.
            let out = ((least < -error) & (most > error)) | (last < -blur) | (first > farthest);
            keep[lane] = !out;
        }
        mask_of(&keep)
    }
}

/// [`NONE`] never is the id of a triangle, since ids are places in a vector of less than 2^31 items.
const _: () = assert!(NONE > LEAF);
