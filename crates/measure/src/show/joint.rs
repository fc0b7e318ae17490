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
use serde::{Deserialize, Serialize};

use super::regions::regions;
use super::sampling::Sample;
use super::scene::{Copy, Scene};
use super::visible::seen;

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
    /// Rays from each place whose sight is asked.
    pub rays: usize,
    /// It is seen when at least this share of them gets out.
    pub least_share: f64,
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
    /// Whether it shows what is seen in the assembled kit: then each place is asked, since facets may be large.
    pub sighted: bool,
}

impl Side<'_> {
    fn shows(&self, facet: usize) -> bool {
        self.steps.get(facet).is_some_and(|s| *s >= 0.0)
    }
}

/// The joint line of two parts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JointLine {
    /// The other part's number.
    pub other: usize,
    /// A place amid its longest stretch, in the first part's own frame.
    pub at: Vec3,
    /// The outward normal there.
    pub outward: Vec3,
    /// Its length on all copies together, mm.
    pub length_mm: f64,
    /// Its longest stretch that faces alike, mm.
    pub longest_mm: f64,
    /// How far that stretch reaches from the place, mm.
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
        let found = along(a, b, scene.copy(i), scene.copy(k), &asks);
        let sight = |side: &Side, copy: usize, places: Vec<Sample>| {
            if side.sighted {
                seen(scene, &[copy], &places, asks.rays, asks.least_share)
            } else {
                vec![true; places.len()]
            }
        };
        let here = sight(a, i, found.iter().map(|s| s.here).collect());
        let beyond = sight(b, k, found.iter().map(|s| s.beyond).collect());
        let both = here.into_iter().zip(beyond).map(|(h, b)| h && b);
        found
            .into_iter()
            .zip(both)
            .filter_map(|(s, seen)| seen.then_some(s.here))
            .collect::<Vec<Sample>>()
    });
    // What stands for an area elsewhere stands for a length here.
    let length_mm = stretches.iter().flatten().map(|s| s.area_mm2).sum();
    let longest = stretches
        .iter()
        .filter_map(|s| regions(s, |_| Some(1.0)).first().copied())
        .reduce(|x, y| if y.area_mm2 > x.area_mm2 { y } else { x })?;
    Some(JointLine {
        other: b.part,
        at: longest.at,
        outward: longest.outward,
        length_mm,
        longest_mm: longest.area_mm2,
        reach_mm: longest.reach_mm,
    })
}

/// A piece of the line: its place on the first part, and the one beyond the joint on the other, each in the part's own
/// frame; each stands for the piece's length.
struct Stretch {
    here: Sample,
    beyond: Sample,
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
            if let Some((facet, point, facing)) = goes_on(b, at, normal, asks) {
                let place = |at, normal, triangle| Sample {
                    at,
                    normal,
                    triangle,
                    area_mm2: distance(from, to),
                };
                found.push(Stretch {
                    here: place(to_a(at), outward, t as u32),
                    beyond: place(point, facing, facet),
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

/// Where the surface goes on across the joint: beyond it the other part has a face on show, flush and facing alike.
fn goes_on(b: &Side, at: Vec3, normal: Vec3, asks: &Asks) -> Option<(u32, Vec3, Vec3)> {
    let near = b.tree.closest(at, 2.0 * asks.reach_mm, |_| true)?;
    let toward = sub(near.point, at);
    let level = sub(toward, scale(normal, dot(toward, normal)));
    // Where the other part lies over or under the place, the line is the foot of a step.
    let way = unit(level).filter(|_| length(level) > LEVEL * asks.reach_mm)?;
    let beyond = add(at, scale(way, 2.0 * asks.reach_mm));
    let hit = b.tree.closest(beyond, asks.flush_mm, |_| true)?;
    let facing = b.mesh.normal(hit.triangle as usize)?;
    let same = b.shows(hit.triangle as usize) && dot(facing, normal) >= asks.alike;
    same.then_some((hit.triangle, hit.point, facing))
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
        let scene = Scene::new(copies.to_vec()).standing();
        let side = |i: usize| Side {
            part: i,
            mesh: &built[i].0,
            tree: &built[i].1,
            steps: &steps[i],
            sighted: true,
        };
        let asks = Asks {
            reach_mm: 0.4,
            step_mm: 1.0,
            flush_mm: 0.5,
            alike: 0.87,
            rays: 32,
            least_share: 0.15,
        };
        line(&scene, &side(0), &side(1), &asks).map_or(0.0, |l| l.length_mm)
    }

    /// Two blocks of 20 x 10 x 10 end to end, 0.1 mm apart: the joint goes around three sides that are seen, 30 mm, and
    /// the one they stand on. Shifted up by 2 mm, the top is a step: 2 x 8 mm are left flush, within the reach at corners.
    #[test]
    fn blocks_end_to_end_have_a_joint_all_round() {
        let block = cuboid([0.0; 3], [20.0, 10.0, 10.0]);
        let flush = between(&block, &block, [20.1, 0.0, 0.0]);
        assert!((flush - 30.0).abs() < 0.5, "{flush}");
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
