//! What the tree is made of: boxes of f32, nodes of eight children, leaves of eight triangles in lanes.

/// Children of a node, triangles of a leaf.
pub(super) const WIDTH: usize = 8;

/// An axis-aligned box of f32; exact around f32 vertices.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Box32 {
    /// Least corner, mm.
    pub min: [f32; 3],
    /// Greatest corner, mm.
    pub max: [f32; 3],
}

impl Box32 {
    /// The box of nothing: greater than any point below, less than any above.
    pub const EMPTY: Box32 = Box32 {
        min: [f32::INFINITY; 3],
        max: [f32::NEG_INFINITY; 3],
    };

    /// Grows to hold a point.
    #[inline]
    pub fn add(&mut self, p: [f32; 3]) {
        for k in 0..3 {
            self.min[k] = lesser(p[k], self.min[k]);
            self.max[k] = greater(p[k], self.max[k]);
        }
    }

    /// Grows to hold another box.
    #[inline]
    pub fn join(&mut self, other: &Box32) {
        for k in 0..3 {
            self.min[k] = lesser(other.min[k], self.min[k]);
            self.max[k] = greater(other.max[k], self.max[k]);
        }
    }

    /// Half of the surface area.
    #[inline]
    pub fn half_area(&self) -> f32 {
        let [x, y, z] = [0, 1, 2].map(|k| self.max[k] - self.min[k]);
        x * y + y * z + z * x
    }

    /// Whether two boxes have a point in common, borders included.
    #[inline]
    pub fn meets(&self, other: &Box32) -> bool {
        (0..3).all(|k| self.min[k] <= other.max[k] && other.min[k] <= self.max[k])
    }
}

/// The greater; `b` where `a` is not a number. One machine instruction, unlike `f32::max`.
#[inline(always)]
pub(super) fn greater(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

/// The lesser; `b` where `a` is not a number.
#[inline(always)]
pub(super) fn lesser(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

/// The least f32 that is not below `x`.
#[inline]
pub(super) fn above(x: f64) -> f32 {
    let f = x as f32;
    if f64::from(f) >= x { f } else { f.next_up() }
}

/// The greatest f32 that is not above `x`.
#[inline]
pub(super) fn below(x: f64) -> f32 {
    let f = x as f32;
    if f64::from(f) <= x { f } else { f.next_down() }
}

/// Eight f32, one a child or triangle.
pub(super) type Lanes = [f32; WIDTH];

/// Marks a child as a leaf; the other bits are its number.
pub(super) const LEAF: u32 = 1 << 31;
/// Marks a lane without a child.
pub(super) const VACANT: u32 = u32::MAX;

/// Eight children: their boxes in lanes and where they stand.
#[derive(Debug, Clone)]
#[repr(align(64))]
pub(super) struct Node {
    /// By axis, then lower or upper plane, then child. A vacant lane holds an empty box, which nothing meets.
    pub planes: [[Lanes; 2]; 3],
    /// A node's number, a leaf's number with [`LEAF`], or [`VACANT`].
    pub child: [u32; WIDTH],
    /// Number of the last leaf under each child: leaves are numbered from left to right.
    pub last_leaf: [u32; WIDTH],
}

impl Node {
    /// A node without children.
    pub fn vacant() -> Node {
        Node {
            planes: [[[f32::INFINITY; WIDTH], [f32::NEG_INFINITY; WIDTH]]; 3],
            child: [VACANT; WIDTH],
            last_leaf: [0; WIDTH],
        }
    }

    /// Sets the box of a lane.
    pub fn set_box(&mut self, lane: usize, bounds: &Box32) {
        for k in 0..3 {
            self.planes[k][0][lane] = bounds.min[k];
            self.planes[k][1][lane] = bounds.max[k];
        }
    }

    /// The box of a lane.
    pub fn lane_box(&self, lane: usize) -> Box32 {
        Box32 {
            min: [0, 1, 2].map(|k| self.planes[k][0][lane]),
            max: [0, 1, 2].map(|k| self.planes[k][1][lane]),
        }
    }
}

/// Up to eight triangles in lanes, with exact copies of their corners.
#[derive(Debug, Clone)]
#[repr(align(32))]
pub struct Leaf {
    /// By corner, then axis, then triangle, mm. Lanes beyond the count repeat the last triangle.
    pub corner: [[[f32; 8]; 3]; 3],
    /// Id of the first triangle; the others follow it.
    pub first: u32,
    /// How many triangles, 1 to 8.
    pub count: u32,
}

impl Leaf {
    /// The corners of the triangle in a lane, widened.
    #[inline(always)]
    pub fn corners(&self, lane: usize) -> [[f64; 3]; 3] {
        let [a, b, c] = &self.corner;
        // Written out: nested maps are not always laid out in line, and this is the heart of every query.
        let at = |p: &[[f32; 8]; 3]| {
            [
                f64::from(p[0][lane]),
                f64::from(p[1][lane]),
                f64::from(p[2][lane]),
            ]
        };
        [at(a), at(b), at(c)]
    }

    /// The box around all its triangles.
    pub fn bounds(&self) -> Box32 {
        let mut bounds = Box32::EMPTY;
        for corner in &self.corner {
            for lane in 0..WIDTH {
                bounds.add([corner[0][lane], corner[1][lane], corner[2][lane]]);
            }
        }
        bounds
    }
}
