//! Joint lines: where two parts that are glued meet on faces that are seen.
//!
//! On the surface of one part the places at a fixed small distance from the other form a line that follows the joint.
//! It is found facet by facet, each split until it is as small as asked, by the distance at its corners. A stretch of
//! it counts where the surface goes on across the joint: a little further on the other part has a face on show that
//! looks the same way, flush within a tolerance. A joint in a corner, in a groove or under an edge is none.
//! It must not know limits or what a fit is: distances come in.

use mesh::Mesh;
use mesh::tree::Tree;
use mesh::vector::{Vec3, add, distance, dot, length, scale, sub, unit};

use super::scene::{Copy, Scene};

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asks {
    /// The line lies so far from the other part, mm: over the gap between them.
    pub reach_mm: f64,
    /// Facets are split until their sides are no longer, mm.
    pub step_mm: f64,
    /// The other part's face is flush within this, mm.
    pub flush_mm: f64,
    /// It faces alike by at least this cosine.
    pub alike: f64,
}

/// One of the two parts.
#[derive(Clone, Copy)]
pub struct Side<'a> {
    /// The part's number in the scene.
    pub part: usize,
    /// Its mesh.
    pub mesh: &'a Mesh,
    /// Its tree.
    pub tree: &'a Tree,
    /// The step of each facet on show, below 0 for the others.
    pub steps: &'a [f32],
}

impl Side<'_> {
    fn shows(&self, facet: usize) -> bool {
        self.steps.get(facet).is_some_and(|s| *s >= 0.0)
    }
}

/// The joint line of two parts.
#[derive(Debug, Clone, PartialEq)]
pub struct JointLine {
    /// The other part's number.
    pub other: usize,
    /// A place half way along it, in the first part's own frame.
    pub at: Vec3,
    /// The outward normal there.
    pub outward: Vec3,
    /// Its length on all copies together, mm.
    pub length_mm: f64,
    /// How far it reaches from that place on that copy, mm.
    pub reach_mm: f64,
}

/// Pieces of a facet, at most about: a larger surface is looked at more coarsely.
const MOST_PIECES: f64 = 1e6;

/// The line along which `a` meets `b` on show, on all copies of both; `None` where there is none.
pub fn line(scene: &Scene, a: &Side, b: &Side, asks: &Asks) -> Option<JointLine> {
    let shown: f64 = (0..a.mesh.triangles.len())
        .filter(|&t| a.shows(t))
        .map(|t| a.mesh.triangle_area(t))
        .sum();
    let asks = Asks {
        step_mm: asks.step_mm.max((shown / MOST_PIECES).sqrt()),
        ..*asks
    };
    let pairs: Vec<(usize, usize)> = scene
        .copies_of(a.part)
        .into_iter()
        .flat_map(|i| scene.copies_of(b.part).into_iter().map(move |k| (i, k)))
        .filter(|&(i, k)| scene.copy(i).is_near(scene.copy(k), asks.reach_mm))
        .collect();
    let stretches = parallel::map(&pairs, |_, &(i, k)| {
        along(a, b, scene.copy(i), scene.copy(k), &asks)
    });
    let all = |s: &[Stretch]| s.iter().map(|s| s.length_mm).sum::<f64>();
    let length_mm = stretches.iter().map(|s| all(s)).sum();
    let longest = stretches
        .iter()
        .reduce(|x, y| if all(y) > all(x) { y } else { x })?;
    let middle = longest.get(longest.len() / 2)?;
    Some(JointLine {
        other: b.part,
        at: middle.at,
        outward: middle.outward,
        length_mm,
        reach_mm: longest
            .iter()
            .map(|s| distance(s.at, middle.at))
            .fold(0.0, f64::max),
    })
}

/// A piece of the line; the first part's own frame.
struct Stretch {
    at: Vec3,
    outward: Vec3,
    length_mm: f64,
}

fn along(a: &Side, b: &Side, place_a: &Copy, place_b: &Copy, asks: &Asks) -> Vec<Stretch> {
    // Everything is looked at in the frame of `b`, whose tree is asked.
    let to_b = |p: Vec3| place_b.back(place_a.place(p));
    let to_a = |p: Vec3| place_a.back(place_b.place(p));
    let mut found = Vec::new();
    let mut open: Vec<[Vec3; 3]> = Vec::new();
    for t in (0..a.mesh.triangles.len()).filter(|&t| a.shows(t)) {
        let Some(outward) = a.mesh.normal(t) else {
            continue;
        };
        let normal = place_b.back_direction(place_a.direction(outward));
        open.push(a.mesh.corners(t).map(to_b));
        while let Some(corners) = open.pop() {
            let [p, q, r] = corners;
            let middle = scale(add(add(p, q), r), 1.0 / 3.0);
            let around = corners
                .iter()
                .map(|&c| distance(c, middle))
                .fold(0.0, f64::max);
            let near = b.tree.closest(middle, asks.reach_mm + around, |_| true);
            // No corner of it is as near as the line, or all of it is nearer.
            if near.is_none_or(|c| c.distance + around < asks.reach_mm) {
                continue;
            }
            let [pq, qr, rp] = [(p, q), (q, r), (r, p)].map(|(x, y)| scale(add(x, y), 0.5));
            let side = distance(p, q).max(distance(q, r)).max(distance(r, p));
            if side > asks.step_mm {
                open.extend([[p, pq, rp], [pq, q, qr], [rp, qr, r], [pq, qr, rp]]);
                continue;
            }
            let Some([from, to]) = crossing(b, &corners, asks) else {
                continue;
            };
            let at = scale(add(from, to), 0.5);
            if goes_on(b, at, normal, asks) {
                found.push(Stretch {
                    at: to_a(at),
                    outward,
                    length_mm: distance(from, to),
                });
            }
        }
    }
    found
}

/// Where the line enters and leaves a small facet.
fn crossing(b: &Side, corners: &[Vec3; 3], asks: &Asks) -> Option<[Vec3; 2]> {
    let far = asks.reach_mm + 2.0 * asks.step_mm;
    let over = corners.map(|c| {
        let near = b.tree.closest(c, far, |_| true);
        near.map_or(far, |n| n.distance) - asks.reach_mm
    });
    let mut ends = (0..3).filter_map(|i| {
        let j = (i + 1) % 3;
        ((over[i] < 0.0) != (over[j] < 0.0)).then(|| {
            let s = over[i] / (over[i] - over[j]);
            add(corners[i], scale(sub(corners[j], corners[i]), s))
        })
    });
    Some([ends.next()?, ends.next()?])
}

/// Whether the surface goes on across the joint: beyond it the other part has a face on show, flush and facing alike.
fn goes_on(b: &Side, at: Vec3, normal: Vec3, asks: &Asks) -> bool {
    let Some(near) = b.tree.closest(at, 2.0 * asks.reach_mm, |_| true) else {
        return false;
    };
    let toward = sub(near.point, at);
    let level = sub(toward, scale(normal, dot(toward, normal)));
    // Where the other part lies over or under the place, the line is the foot of a step.
    let Some(way) = unit(level).filter(|_| length(level) > LEVEL * asks.reach_mm) else {
        return false;
    };
    let beyond = add(at, scale(way, 2.0 * asks.reach_mm));
    b.tree
        .closest(beyond, asks.flush_mm, |_| true)
        .is_some_and(|c| {
            let facet = c.triangle as usize;
            let alike = |n: Vec3| dot(n, normal) >= asks.alike;
            b.shows(facet) && b.mesh.normal(facet).is_some_and(alike)
        })
}

/// The other part lies aside where at least this share of the way to it runs along the surface.
const LEVEL: f64 = 0.25;

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{Soup, cuboid, welded};

    const AS_FILED: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    /// The length of the joint line of two bodies with all facets on show, the second moved.
    fn between(one: &Soup, other: &Soup, move_mm: Vec3) -> f64 {
        let built = [one, other].map(|soup| Tree::build(welded(soup)));
        let steps = [0, 1].map(|i: usize| vec![0.0f32; built[i].0.triangles.len()]);
        let copies = [0, 1].map(|i: usize| {
            let at = if i == 0 { [0.0; 3] } else { move_mm };
            Copy::of(i, &built[i].0, &built[i].1, AS_FILED, at).expect("a copy")
        });
        let scene = Scene::new(copies.to_vec());
        let side = |i: usize| Side {
            part: i,
            mesh: &built[i].0,
            tree: &built[i].1,
            steps: &steps[i],
        };
        let asks = Asks {
            reach_mm: 0.4,
            step_mm: 1.0,
            flush_mm: 0.5,
            alike: 0.87,
        };
        line(&scene, &side(0), &side(1), &asks).map_or(0.0, |l| l.length_mm)
    }

    /// Two blocks of 20 x 10 x 10 end to end, 0.1 mm apart: the joint goes around 4 x 10 = 40 mm. Shifted up by 2 mm,
    /// the top and the foot are steps: 2 x 8 mm are left flush, within the reach at both corners.
    #[test]
    fn blocks_end_to_end_have_a_joint_all_round() {
        let block = cuboid([0.0; 3], [20.0, 10.0, 10.0]);
        let flush = between(&block, &block, [20.1, 0.0, 0.0]);
        assert!((flush - 40.0).abs() < 0.5, "{flush}");
        let shifted = between(&block, &block, [20.1, 0.0, 2.0]);
        assert!((shifted - 16.0).abs() < 2.0, "{shifted}");
        assert_eq!(between(&block, &block, [24.0, 0.0, 0.0]), 0.0);
    }

    #[test]
    fn a_joint_in_a_corner_or_in_a_groove_does_not_show() {
        let block = cuboid([0.0; 3], [20.0, 10.0, 10.0]);
        // A post on the middle of a block.
        let post = cuboid([0.0; 3], [4.0, 4.0, 20.0]);
        assert_eq!(between(&post, &block, [-8.0, -3.0, -10.1]), 0.0);
        // Both ends with a chamfer of 2 mm: the joint lies at the bottom of a groove.
        let mut end = cuboid([18.0, 0.0, 0.0], [20.0, 10.0, 10.0]);
        for p in end.iter_mut().flatten().filter(|p| p[0] > 19.0) {
            for x in &mut p[1..] {
                *x += if *x < 5.0 { 2.0 } else { -2.0 };
            }
        }
        let mut one = cuboid([0.0; 3], [18.0, 10.0, 10.0]);
        one.extend(end);
        let other: Soup = one
            .iter()
            .map(|f| {
                let [a, b, c] = f.map(|[x, y, z]| [0.0 - x, y, z]);
                [a, c, b]
            })
            .collect();
        assert_eq!(between(&one, &other, [40.1, 0.0, 0.0]), 0.0);
    }
}
