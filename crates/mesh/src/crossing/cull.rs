//! Eight facets at once against one: boxes, and planes in f32 with an error bound.
//!
//! A facet wholly on one side of the other's plane, the shared vertices aside, has nothing more in common
//! with it. Bound: with edges e, f and a difference d, each computed once in f32, every term of
//! (e x f) . d is a product of three rounded numbers, added up five times over; the error of the sum is
//! below 9 u S, S the sum of the absolute terms and u = 2^-24. The bound used is 16 u S, with S computed in
//! f32 (off by less than 8 u of itself). Products that underflow are covered by a floor on the bound.
//!
//! Facets of one plane pass that test; there a plane through an edge, square to the facet, parts nearly all.

use crate::tree::{Box32, Leaf};

const WIDTH: usize = 8;
type Lanes = [f32; WIDTH];

/// 16 u.
const BOUND: f32 = 1.0 / (1u32 << 20) as f32;
/// 32 u: products of four rounded numbers, each sum of two inside one of three; below 18 u S.
const EDGE_BOUND: f32 = 1.0 / (1u32 << 19) as f32;
/// More than what the products of a sum can lose by underflow.
const FLOOR: f32 = 1e-35;

/// A leaf made ready.
pub(super) struct Block {
    min: [Lanes; 3],
    max: [Lanes; 3],
    origin: [Lanes; 3],
    normal: [Lanes; 3],
    /// Sums of the absolute products of the normal.
    spread: [Lanes; 3],
    ids: [[u32; WIDTH]; 3],
}

/// One facet made ready.
pub(super) struct Single {
    pub bounds: Box32,
    corner: [[f32; 3]; 3],
    normal: [f32; 3],
    spread: [f32; 3],
    ids: [u32; 3],
}

/// a < b; what is not a number is under nothing, so it counts on both sides of a plane.
#[inline(always)]
fn under(a: f32, b: f32) -> bool {
    a < b
}

#[inline(always)]
fn least(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

#[inline(always)]
fn most(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

impl Single {
    #[inline]
    pub fn new(leaf: &Leaf, lane: usize, ids: [u32; 3]) -> Single {
        let corner = [0, 1, 2].map(|c| [0, 1, 2].map(|k| leaf.corner[c][k][lane]));
        let mut bounds = Box32::EMPTY;
        for p in corner {
            bounds.add(p);
        }
        let e = [0, 1, 2].map(|k| corner[1][k] - corner[0][k]);
        let f = [0, 1, 2].map(|k| corner[2][k] - corner[0][k]);
        let mut normal = [0.0; 3];
        let mut spread = [0.0; 3];
        for k in 0..3 {
            let (i, j) = ((k + 1) % 3, (k + 2) % 3);
            normal[k] = e[i] * f[j] - e[j] * f[i];
            spread[k] = (e[i] * f[j]).abs() + (e[j] * f[i]).abs();
        }
        Single {
            bounds,
            corner,
            normal,
            spread,
            ids,
        }
    }
}

impl Block {
    #[inline]
    pub fn new(leaf: &Leaf, triangles: &[[u32; 3]]) -> Block {
        let [a, b, c] = &leaf.corner;
        let zero = [[0.0f32; WIDTH]; 3];
        let mut block = Block {
            min: zero,
            max: zero,
            origin: *a,
            normal: zero,
            spread: zero,
            ids: [[u32::MAX; WIDTH]; 3],
        };
        let (mut e, mut f) = (zero, zero);
        for k in 0..3 {
            for lane in 0..WIDTH {
                block.min[k][lane] = least(least(a[k][lane], b[k][lane]), c[k][lane]);
                block.max[k][lane] = most(most(a[k][lane], b[k][lane]), c[k][lane]);
                e[k][lane] = b[k][lane] - a[k][lane];
                f[k][lane] = c[k][lane] - a[k][lane];
            }
        }
        for k in 0..3 {
            let (i, j) = ((k + 1) % 3, (k + 2) % 3);
            for lane in 0..WIDTH {
                let (p, q) = (e[i][lane] * f[j][lane], e[j][lane] * f[i][lane]);
                block.normal[k][lane] = p - q;
                block.spread[k][lane] = p.abs() + q.abs();
            }
        }
        for (lane, triangle) in triangles.iter().enumerate().take(WIDTH) {
            for c in 0..3 {
                block.ids[c][lane] = triangle[c];
            }
        }
        block
    }

    /// Which lanes have a box that meets the facet's box.
    #[inline(always)]
    pub fn boxes(&self, one: &Single) -> u32 {
        let mut meets = [true; WIDTH];
        for k in 0..3 {
            let (low, high) = (one.bounds.min[k], one.bounds.max[k]);
            for lane in 0..WIDTH {
                meets[lane] &= (self.min[k][lane] <= high) & (low <= self.max[k][lane]);
            }
        }
        mask_of(&meets)
    }

    /// Which lanes may have more in common with the facet than shared vertices.
    #[inline(always)]
    pub fn planes(&self, one: &Single, leaf: &Leaf) -> u32 {
        let mut keep = [true; WIDTH];
        // The lanes' corners against the facet's plane.
        let (mut some_up, mut some_down) = ([false; WIDTH], [false; WIDTH]);
        for c in 0..3 {
            for lane in 0..WIDTH {
                let mut sum = 0.0;
                let mut bound = 0.0;
                for k in 0..3 {
                    let d = leaf.corner[c][k][lane] - one.corner[0][k];
                    sum += one.normal[k] * d;
                    bound += one.spread[k] * d.abs();
                }
                let bound = bound * BOUND + FLOOR;
                let id = self.ids[c][lane];
                let alone = (id != one.ids[0]) & (id != one.ids[1]) & (id != one.ids[2]);
                some_up[lane] |= alone & !under(sum, -bound);
                some_down[lane] |= alone & !under(bound, sum);
            }
        }
        for lane in 0..WIDTH {
            keep[lane] &= some_up[lane] & some_down[lane];
        }
        // The facet's corners against the lanes' planes.
        let (mut some_up, mut some_down) = ([false; WIDTH], [false; WIDTH]);
        for c in 0..3 {
            for lane in 0..WIDTH {
                let mut sum = 0.0;
                let mut bound = 0.0;
                for k in 0..3 {
                    let d = one.corner[c][k] - self.origin[k][lane];
                    sum += self.normal[k][lane] * d;
                    bound += self.spread[k][lane] * d.abs();
                }
                let bound = bound * BOUND + FLOOR;
                let id = one.ids[c];
                let alone = (id != self.ids[0][lane])
                    & (id != self.ids[1][lane])
                    & (id != self.ids[2][lane]);
                some_up[lane] |= alone & !under(sum, -bound);
                some_down[lane] |= alone & !under(bound, sum);
            }
        }
        for lane in 0..WIDTH {
            keep[lane] &= some_up[lane] & some_down[lane];
        }
        mask_of(&keep)
    }

    /// Which lanes are not parted from the facet by a plane through one of its edges, square to the facet, nor
    /// the other way round. Only shared vertices on that edge may lie in the plane.
    #[inline(never)]
    pub fn edges(&self, one: &Single, leaf: &Leaf) -> u32 {
        let mut parted = [false; WIDTH];
        for edge in 0..3 {
            let next = (edge + 1) % 3;
            // The facet's edge, the lanes' corners.
            let from = one.corner[edge];
            let along = [0, 1, 2].map(|k| one.corner[next][k] - from[k]);
            let mut beyond = [true; WIDTH];
            for c in 0..3 {
                for lane in 0..WIDTH {
                    let off = [0, 1, 2].map(|k| leaf.corner[c][k][lane] - from[k]);
                    let out = outside(&one.normal, &one.spread, &along, &off);
                    let id = self.ids[c][lane];
                    beyond[lane] &= out | (id == one.ids[edge]) | (id == one.ids[next]);
                }
            }
            for lane in 0..WIDTH {
                parted[lane] |= beyond[lane];
            }
            // The lanes' edges, the facet's corners.
            let mut beyond = [true; WIDTH];
            for c in 0..3 {
                let id = one.ids[c];
                for lane in 0..WIDTH {
                    let from = [0, 1, 2].map(|k| leaf.corner[edge][k][lane]);
                    let along = [0, 1, 2].map(|k| leaf.corner[next][k][lane] - from[k]);
                    let off = [0, 1, 2].map(|k| one.corner[c][k] - from[k]);
                    let normal = [0, 1, 2].map(|k| self.normal[k][lane]);
                    let spread = [0, 1, 2].map(|k| self.spread[k][lane]);
                    let out = outside(&normal, &spread, &along, &off);
                    beyond[lane] &=
                        out | (id == self.ids[edge][lane]) | (id == self.ids[next][lane]);
                }
            }
            for lane in 0..WIDTH {
                parted[lane] |= beyond[lane];
            }
        }
        !mask_of(&parted) & 0xff
    }
}

/// Whether a point surely lies beyond the edge `along` of a facet with that normal, `off` from the edge's
/// beginning: normal . (along x off) is negative by more than its error.
#[inline(always)]
fn outside(normal: &[f32; 3], spread: &[f32; 3], along: &[f32; 3], off: &[f32; 3]) -> bool {
    let mut sum = 0.0;
    let mut bound = 0.0;
    for k in 0..3 {
        let (i, j) = ((k + 1) % 3, (k + 2) % 3);
        let (p, q) = (along[i] * off[j], along[j] * off[i]);
        sum += normal[k] * (p - q);
        bound += spread[k] * (p.abs() + q.abs());
    }
    under(sum, -(bound * EDGE_BOUND + FLOOR))
}

#[inline(always)]
fn mask_of(lanes: &[bool; WIDTH]) -> u32 {
    let mut mask = 0;
    for (lane, &set) in lanes.iter().enumerate() {
        mask |= u32::from(set) << lane;
    }
    mask
}
