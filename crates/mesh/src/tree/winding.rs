//! The generalised winding number of a point: how often the surface turns around it. 1 inside a closed
//! shell, 0 outside, 2 where two shells overlap, negative inside a shell that is turned inside out.
//!
//! Near triangles count by their exact solid angle (Van Oosterom, Strackee 1983); far subtrees by their
//! dipole (Barill, Dickson, Schmidt, Levin, Jacobson 2018). A subtree is far beyond [`FAR`] times its
//! radius; the sum is then within a few hundredths of the exact value.

use super::Tree;
use super::node::{LEAF, Leaf, VACANT, WIDTH};
use super::stack::Stack;
use crate::vector::{Vec3, cross, dot, length, scale, sub};

/// Distance in radii beyond which a subtree counts as one dipole.
const FAR: f64 = 3.0;

/// What a subtree looks like from afar.
#[derive(Debug, Clone, Copy)]
struct Dipole {
    /// Mean of the triangle centroids, weighted by area.
    centre: Vec3,
    /// Sum of the area vectors, mm2.
    area: Vec3,
    /// No corner lies farther from the centre.
    radius: f64,
}

/// The dipoles of the children of every node, in the order of the nodes.
#[derive(Debug, Clone)]
pub(super) struct Dipoles(Vec<[Dipole; WIDTH]>);

/// Sums from which a dipole is made.
#[derive(Clone, Copy, Default)]
struct Moments {
    weighted: Vec3,
    weight: f64,
    area: Vec3,
    first: u32,
    last: u32,
}

impl Tree {
    /// The winding number of the surface around a point. For a closed mesh round it to the nearest whole
    /// number; on an open one it says how much of the point's view the surface covers.
    pub fn winding_number(&self, point: Vec3) -> f64 {
        // Not in parallel: a thread that waits for others inside would wait for itself.
        let dipoles = self.dipoles.get_or_init(|| self.make_dipoles());
        let mut turned = 0.0;
        let mut stack = Stack::new();
        stack.push((0.0, 0));
        while let Some((_, number)) = stack.pop() {
            let node = &self.nodes[number as usize];
            for lane in 0..WIDTH {
                let child = node.child[lane];
                if child == VACANT {
                    continue;
                }
                let dipole = &dipoles.0[number as usize][lane];
                let off = sub(dipole.centre, point);
                let squared = dot(off, off);
                let far = FAR * dipole.radius;
                if squared > far * far {
                    turned += dot(off, dipole.area) / (squared * squared.sqrt());
                } else if child & LEAF != 0 {
                    turned += leaf_angle(&self.leaves[(child & !LEAF) as usize], point);
                } else {
                    stack.push((0.0, child));
                }
            }
        }
        turned / (4.0 * std::f64::consts::PI)
    }

    /// The winding number by the exact solid angle of every triangle: slow, the witness of the fast one.
    pub fn winding_number_exact(&self, point: Vec3) -> f64 {
        let turned: f64 = self.leaves.iter().map(|leaf| leaf_angle(leaf, point)).sum();
        turned / (4.0 * std::f64::consts::PI)
    }

    fn make_dipoles(&self) -> Dipoles {
        let vacant = Dipole {
            centre: [0.0; 3],
            area: [0.0; 3],
            radius: 0.0,
        };
        let mut dipoles = vec![[vacant; WIDTH]; self.nodes.len()];
        let mut sums = vec![Moments::default(); self.nodes.len()];
        // Children stand after their parents: from the last node up, sums are ready when asked for.
        for number in (0..self.nodes.len()).rev() {
            let mut whole = Moments {
                first: u32::MAX,
                ..Moments::default()
            };
            for lane in 0..WIDTH {
                let child = self.nodes[number].child[lane];
                if child == VACANT {
                    continue;
                }
                let sum = if child & LEAF != 0 {
                    self.leaf_moments(child & !LEAF)
                } else {
                    sums[child as usize]
                };
                dipoles[number][lane] = self.dipole(number, lane, &sum);
                for k in 0..3 {
                    whole.weighted[k] += sum.weighted[k];
                    whole.area[k] += sum.area[k];
                }
                whole.weight += sum.weight;
                whole.first = whole.first.min(sum.first);
                whole.last = sum.last;
            }
            sums[number] = whole;
        }
        Dipoles(dipoles)
    }

    fn leaf_moments(&self, number: u32) -> Moments {
        let leaf = &self.leaves[number as usize];
        let mut sum = Moments {
            first: number,
            last: number,
            ..Moments::default()
        };
        for lane in 0..leaf.count as usize {
            let [a, b, c] = leaf.corners(lane);
            let area = scale(cross(sub(b, a), sub(c, a)), 0.5);
            let weight = length(area);
            for k in 0..3 {
                sum.weighted[k] += weight * (a[k] + b[k] + c[k]) / 3.0;
                sum.area[k] += area[k];
            }
            sum.weight += weight;
        }
        sum
    }

    fn dipole(&self, number: usize, lane: usize, sum: &Moments) -> Dipole {
        let bounds = self.nodes[number].lane_box(lane);
        let centre = if sum.weight > 0.0 {
            scale(sum.weighted, 1.0 / sum.weight)
        } else {
            [0, 1, 2].map(|k| 0.5 * (f64::from(bounds.min[k]) + f64::from(bounds.max[k])))
        };
        let mut radius = length([0, 1, 2].map(|k| {
            (f64::from(bounds.max[k]) - centre[k]).max(centre[k] - f64::from(bounds.min[k]))
        }));
        // A tighter radius from the corners themselves where there are few.
        if sum.last - sum.first < WIDTH as u32 {
            let mut farthest = 0.0f64;
            for leaf in &self.leaves[sum.first as usize..=sum.last as usize] {
                for at in 0..leaf.count as usize {
                    for corner in leaf.corners(at) {
                        farthest = farthest.max(length(sub(corner, centre)));
                    }
                }
            }
            radius = radius.min(farthest);
        }
        Dipole {
            centre,
            area: sum.area,
            radius,
        }
    }
}

/// Solid angle of all triangles of a leaf, in steradians.
fn leaf_angle(leaf: &Leaf, point: Vec3) -> f64 {
    (0..leaf.count as usize)
        .map(|lane| solid_angle(&leaf.corners(lane), point))
        .sum()
}

/// Signed solid angle of a triangle seen from a point, -2 pi to 2 pi: positive where the point sees its
/// back. Nought from a point on the triangle itself (Van Oosterom, Strackee 1983).
pub fn solid_angle(corners: &[Vec3; 3], point: Vec3) -> f64 {
    let [a, b, c] = corners.map(|p| sub(p, point));
    let (la, lb, lc) = (length(a), length(b), length(c));
    let volume = dot(a, cross(b, c));
    let below = la * lb * lc + dot(a, b) * lc + dot(b, c) * la + dot(c, a) * lb;
    if volume == 0.0 {
        return 0.0;
    }
    2.0 * libm::atan2(volume, below)
}
