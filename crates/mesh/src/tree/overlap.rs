//! Boxes through the tree: triangles in a box, leaves that meet leaves.

use super::node::{Box32, LEAF, Node, WIDTH, above, below};
use super::stack::{Stack, mask_of};
use super::{Leaf, Tree};
use crate::shape::Bounds;

impl Tree {
    /// Every triangle whose own box meets `bounds`, borders included, in order of their ids.
    pub fn in_box(&self, bounds: &Bounds, mut visit: impl FnMut(u32)) {
        let reach = Box32 {
            min: bounds.min.map(below),
            max: bounds.max.map(above),
        };
        self.leaves_meeting(&reach, 0, |number| {
            let leaf = &self.leaves[number as usize];
            let mask = lanes_meeting(leaf, &reach);
            for lane in 0..leaf.count {
                if mask & (1 << lane) != 0 {
                    visit(leaf.first + lane);
                }
            }
        });
    }

    /// Every leaf from number `from` on whose box meets `bounds`, in order. For pairs of a tree with itself
    /// start at each leaf's own number; for pairs of two trees ask one for each leaf box of the other.
    pub fn leaves_meeting(&self, bounds: &Box32, from: u32, mut visit: impl FnMut(u32)) {
        let mut stack = Stack::new();
        stack.push((0.0, 0));
        while let Some((_, child)) = stack.pop() {
            if child & LEAF != 0 {
                visit(child & !LEAF);
                continue;
            }
            let node = &self.nodes[child as usize];
            let mut mask = boxes_meeting(node, bounds, from);
            // The last child goes down first, so that the first comes up first.
            while mask != 0 {
                let lane = 31 - mask.leading_zeros();
                mask &= !(1 << lane);
                stack.push((0.0, node.child[lane as usize & 7]));
            }
        }
    }

    /// Every pair of leaves, one of this tree and one of the other, whose boxes meet.
    pub fn leaf_pairs(&self, other: &Tree, mut visit: impl FnMut(&Leaf, &Leaf)) {
        for leaf in &self.leaves {
            other.leaves_meeting(&leaf.bounds(), 0, |number| {
                visit(leaf, &other.leaves[number as usize]);
            });
        }
    }
}

#[inline(always)]
fn boxes_meeting(node: &Node, bounds: &Box32, from: u32) -> u32 {
    let mut meets = [true; WIDTH];
    for k in 0..3 {
        let [lower, upper] = &node.planes[k];
        for lane in 0..WIDTH {
            meets[lane] &= (lower[lane] <= bounds.max[k]) & (bounds.min[k] <= upper[lane]);
        }
    }
    for lane in 0..WIDTH {
        meets[lane] &= node.last_leaf[lane] >= from;
    }
    mask_of(&meets)
}

/// Which triangles of a leaf have a box that meets `bounds`: one bit a lane. Lanes beyond the leaf's count
/// repeat its last triangle.
#[inline(always)]
pub(crate) fn lanes_meeting(leaf: &Leaf, bounds: &Box32) -> u32 {
    use super::node::{greater, lesser};
    let [a, b, c] = &leaf.corner;
    let mut meets = [true; WIDTH];
    for k in 0..3 {
        for lane in 0..WIDTH {
            let lower = lesser(lesser(a[k][lane], b[k][lane]), c[k][lane]);
            let upper = greater(greater(a[k][lane], b[k][lane]), c[k][lane]);
            meets[lane] &= (lower <= bounds.max[k]) & (bounds.min[k] <= upper);
        }
    }
    mask_of(&meets)
}
