//! Nearest of many line segments: a small tree of boxes, split at the median.
//!
//! Exact within f64 rounding. n log n to build; a search visits only boxes nearer than the best so far.

use crate::shape::Bounds;
use crate::vector::{Vec3, add, dot, length, scale, sub};

/// Segments a leaf.
const LEAF: usize = 4;

/// A tree over segments.
pub(crate) struct Segments {
    ends: Vec<[Vec3; 2]>,
    /// Segment numbers in tree order.
    order: Vec<u32>,
    /// Box of every node of a complete binary split, node 1 the root; children 2 i and 2 i + 1.
    boxes: Vec<Bounds>,
    depth: u32,
}

impl Segments {
    pub(crate) fn new(ends: Vec<[Vec3; 2]>) -> Segments {
        let n = ends.len();
        let depth = n.div_ceil(LEAF).max(1).next_power_of_two().trailing_zeros();
        let empty = Bounds {
            min: [f64::INFINITY; 3],
            max: [f64::NEG_INFINITY; 3],
        };
        let mut tree = Segments {
            order: (0..n as u32).collect(),
            boxes: vec![empty; 2 << depth],
            depth,
            ends,
        };
        let mut order = std::mem::take(&mut tree.order);
        tree.split(1, 0, &mut order);
        tree.order = order;
        tree
    }

    fn split(&mut self, node: usize, level: u32, order: &mut [u32]) {
        let points = order.iter().flat_map(|&s| self.ends[s as usize]);
        if let Some(b) = Bounds::of(points) {
            self.boxes[node] = b;
        }
        if level == self.depth {
            return;
        }
        let size = self.boxes[node].size();
        let axis = (0..3).fold(0, |best, k| if size[k] > size[best] { k } else { best });
        let middle = order.len() / 2;
        if order.len() > 1 {
            let ends = &self.ends;
            let key = |s: u32| ends[s as usize][0][axis] + ends[s as usize][1][axis];
            order
                .select_nth_unstable_by(middle, |&a, &b| key(a).total_cmp(&key(b)).then(a.cmp(&b)));
        }
        let (low, high) = order.split_at_mut(middle);
        self.split(2 * node, level + 1, low);
        self.split(2 * node + 1, level + 1, high);
    }

    /// Distance from `p` to the nearest segment that `admits`, if under `reach`, and its number.
    pub(crate) fn nearest(
        &self,
        p: Vec3,
        reach: f64,
        admits: impl Fn(u32) -> bool,
    ) -> Option<(f64, u32)> {
        let mut best = reach * reach;
        let mut found = None;
        // Node, level, first and last entry of `order`.
        let mut stack = vec![(1usize, 0u32, 0usize, self.order.len())];
        while let Some((node, level, from, to)) = stack.pop() {
            if from == to || squared_to_box(p, &self.boxes[node]) >= best {
                continue;
            }
            if level < self.depth {
                let middle = from + (to - from) / 2;
                stack.push((2 * node, level + 1, from, middle));
                stack.push((2 * node + 1, level + 1, middle, to));
                continue;
            }
            for &s in &self.order[from..to] {
                let d = squared_to_segment(p, self.ends[s as usize]);
                if d < best && admits(s) {
                    best = d;
                    found = Some(s);
                }
            }
        }
        found.map(|s| (best.sqrt(), s))
    }
}

fn squared_to_box(p: Vec3, b: &Bounds) -> f64 {
    (0..3)
        .map(|k| (b.min[k] - p[k]).max(p[k] - b.max[k]).max(0.0))
        .map(|d| d * d)
        .sum()
}

fn squared_to_segment(p: Vec3, [a, b]: [Vec3; 2]) -> f64 {
    let along = sub(b, a);
    let whole = dot(along, along);
    let s = if whole > 0.0 {
        (dot(sub(p, a), along) / whole).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let d = length(sub(p, add(a, scale(along, s))));
    d * d
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_trying_every_segment() {
        // A fixed linear congruential sequence (Knuth's MMIX constants).
        let mut state = 12_345u64;
        let mut random = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f64 / (1u64 << 24) as f64
        };
        for n in [0, 1, 2, 5, 17, 300] {
            let ends: Vec<[Vec3; 2]> = (0..n)
                .map(|_| {
                    let a = [random(), random(), random()];
                    [
                        a,
                        [
                            a[0] + 0.1 * random(),
                            a[1] + 0.1 * random(),
                            a[2] - 0.1 * random(),
                        ],
                    ]
                })
                .collect();
            let tree = Segments::new(ends.clone());
            for _ in 0..100 {
                let p = [random(), random(), random()];
                let want = ends
                    .iter()
                    .enumerate()
                    .filter(|(i, _)| i % 3 != 1)
                    .map(|(_, &e)| squared_to_segment(p, e).sqrt())
                    .fold(0.3, f64::min);
                let got = tree.nearest(p, 0.3, |s| s % 3 != 1).map_or(0.3, |n| n.0);
                assert!((got - want).abs() < 1e-12, "{n}: {got} {want}");
            }
        }
    }
}
