//! Where the surface of a part goes through itself or touches itself, and what becomes of the material there.
//!
//! Two facets that cross part the space around them in four. With w the winding number on the outer side of
//! both, the others are w + 1, w + 1 and w + 2. Where w is not negative the surfaces overlap and unite: the part
//! is filled wherever the number is positive. Where w is negative the space between the two outer sides is inside
//! out: whether it is filled is for the reader of the file to guess.
//! Winding numbers: Jacobson, Kavan, Sorkine 2013, "Robust inside-outside segmentation using generalized winding
//! numbers".

use mesh::Mesh;
use mesh::crossing::{Crossings, Limits, Meeting, Pair, crossings};
use mesh::tree::{NONE, Tree};
use mesh::vector::{Vec3, add, length, scale};
use serde::{Deserialize, Serialize};

/// A place where the surface crosses or touches itself.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CrossingPlace {
    /// A point common to both facets, mm.
    pub at_mm: Vec3,
    /// Unit direction that leads away from both facets; `None` where they lie back to back.
    pub outward: Option<Vec3>,
    /// Length of the stretch that the two facets have in common, mm; nought where they touch.
    pub length_mm: f64,
    /// How deep the space is that is inside out, mm, along the outward direction; nought elsewhere.
    pub depth_mm: f64,
    /// The two facets by their numbers in the file, from 0.
    pub facets: [u32; 2],
}

/// All that is known of the crossings of a part.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct CrossingFacts {
    /// Pairs of facets of one shell that cross.
    pub pairs_within: u64,
    /// Pairs of facets of two shells that cross.
    pub pairs_between: u64,
    /// Pairs of facets of one shell that touch beyond the vertices they share.
    pub touching_within: u64,
    /// Pairs of facets of two shells that touch beyond the vertices they share.
    pub touching_between: u64,
    /// Shells that cross or touch, the lesser first, in order; by their numbers in the topology.
    pub shell_pairs: Vec<[u32; 2]>,
    /// Pairs of shells that cross.
    pub shells_crossing: usize,
    /// Pairs of shells that touch and do not cross.
    pub shells_touching: usize,
    /// Crossings that turn space inside out, the deepest first.
    pub inside_out: Vec<CrossingPlace>,
    /// Crossings within one shell that unite, the longest first.
    pub overlaps: Vec<CrossingPlace>,
    /// Crossings of two shells that unite, the longest first.
    pub between: Vec<CrossingPlace>,
    /// Touches of two shells.
    pub touches: Vec<CrossingPlace>,
    /// Whether every pair of facets was looked at; if not, all counts are lower bounds.
    pub complete: bool,
}

impl CrossingFacts {
    /// Pairs of facets whose closed triangles meet beyond shared vertices, touching or crossing, as libraries of
    /// computational geometry count self-intersections.
    pub fn pairs_total(&self) -> u64 {
        self.pairs_within + self.pairs_between + self.touching_within + self.touching_between
    }
}

/// Pairs whose places are looked at closely; spread over the whole mesh.
const SAMPLES: usize = 2000;
/// Sum of two unit normals below which they are opposite to within rounding.
const BACK_TO_BACK: f64 = 1e-6;
/// How far beside a crossing the winding number is taken, in lengths of the crossing.
const BESIDE: f64 = 1e-3;
/// Steps a triangle, and steps for any mesh: a sound mesh takes 3 to 15 a triangle.
const STEPS_A_TRIANGLE: u64 = 1000;
const STEPS: u64 = 100_000_000;

/// Whole numbers are expected; nearer to -1 than to 0 by a half more than the error of a fast winding number.
const INSIDE_OUT: f64 = -0.75;

/// Finds and looks into the crossings of a mesh in tree order; `shell_of` has the shell of each triangle.
pub fn crossing_facts(mesh: &Mesh, tree: &Tree, shell_of: &[u32]) -> CrossingFacts {
    let limits = Limits {
        steps: STEPS + STEPS_A_TRIANGLE * mesh.triangles.len() as u64,
        pairs: SAMPLES,
    };
    let found = crossings(mesh, tree, shell_of, &limits);
    let places = parallel::map(&found.pairs, |_, pair| looked_into(mesh, tree, pair));
    let mut facts = counted(&found);
    for (pair, (place, inverted)) in found.pairs.iter().zip(places) {
        let list = match (pair.meeting, pair.same_shell) {
            (Meeting::Crossing, _) if inverted => &mut facts.inside_out,
            (Meeting::Crossing, true) => &mut facts.overlaps,
            (Meeting::Crossing, false) => &mut facts.between,
            (_, false) => &mut facts.touches,
            _ => continue,
        };
        list.push(place);
    }
    facts
        .inside_out
        .sort_by(|a, b| b.depth_mm.total_cmp(&a.depth_mm));
    for list in [&mut facts.overlaps, &mut facts.between] {
        list.sort_by(|a, b| b.length_mm.total_cmp(&a.length_mm));
    }
    facts
}

fn counted(found: &Crossings) -> CrossingFacts {
    let mut shell_pairs = [&found.crossing_shells[..], &found.touching_shells[..]].concat();
    shell_pairs.sort_unstable();
    CrossingFacts {
        shell_pairs,
        pairs_within: found.crossing_within,
        pairs_between: found.crossing_between,
        touching_within: found.touching_within,
        touching_between: found.touching_between,
        shells_crossing: found.crossing_shells.len(),
        shells_touching: found.touching_shells.len(),
        complete: found.complete,
        ..CrossingFacts::default()
    }
}

/// The place of a pair, and whether the space on the outer side of both is inside out.
fn looked_into(mesh: &Mesh, tree: &Tree, pair: &Pair) -> (CrossingPlace, bool) {
    let [a, b] = pair.triangles.map(|t| t as usize);
    let mut place = CrossingPlace {
        at_mm: pair.at,
        outward: None,
        length_mm: pair.length,
        depth_mm: 0.0,
        facets: [mesh.filed[a], mesh.filed[b]],
    };
    let (Some(na), Some(nb)) = (mesh.normal(a), mesh.normal(b)) else {
        return (place, false);
    };
    let both = add(na, nb);
    // Back to back to within rounding there is no outer side of both.
    if length(both) < BACK_TO_BACK {
        return (place, false);
    }
    let outward = scale(both, 1.0 / length(both));
    place.outward = Some(outward);
    if pair.meeting != Meeting::Crossing {
        return (place, false);
    }
    let step = pair.length * BESIDE;
    let outside = add(pair.at, scale(outward, step));
    let winding = tree.winding_number(outside);
    // On an open surface the number is broken, and where nothing bounds the space it is open.
    let depth = if winding < INSIDE_OUT {
        tree.first_hit(outside, outward, f64::INFINITY, NONE)
            .map(|hit| hit.t + step)
    } else {
        None
    };
    place.depth_mm = depth.unwrap_or(0.0);
    let inverted = depth.is_some();
    (place, inverted)
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{Soup, cuboid, welded};

    fn facts(soup: &Soup) -> CrossingFacts {
        let (mesh, tree) = Tree::build(welded(soup));
        let topology = mesh::Topology::build(&mesh);
        crossing_facts(&mesh, &tree, &topology.shells.of_triangle)
    }

    /// A block of 20 mm with a square pit of 8 mm from above whose floor lies at `floor`.
    fn pit(floor: f32) -> Soup {
        let side = |from: [f32; 3], to: [f32; 3]| -> Soup { cuboid(from, to) };
        let block = side([0.0; 3], [20.0; 3]);
        let shaft = side([6.0, 6.0, floor], [14.0, 14.0, 20.0]);
        // The block without its lid, the shaft without its own, turned, and a lid with a square hole.
        let lid = |t: &[[f32; 3]; 3]| t.iter().all(|p| p[2] == 20.0);
        let mut soup: Soup = block.into_iter().filter(|t| !lid(t)).collect();
        soup.extend(
            shaft
                .into_iter()
                .filter(|t| !lid(t))
                .map(|[a, b, c]| [a, c, b]),
        );
        let outer = [[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [0.0, 20.0]];
        let inner = [[6.0, 6.0], [14.0, 6.0], [14.0, 14.0], [6.0, 14.0]];
        for k in 0..4 {
            let n = (k + 1) % 4;
            let up = |p: [f32; 2]| [p[0], p[1], 20.0];
            soup.push([up(outer[k]), up(outer[n]), up(inner[n])]);
            soup.push([up(outer[k]), up(inner[n]), up(inner[k])]);
        }
        soup
    }

    /// Analytic: below the block's floor the pit is 3 mm of space inside out.
    #[test]
    fn a_pit_deeper_than_its_block_is_inside_out_below() {
        let deep = facts(&pit(-3.0));
        assert!(deep.complete && deep.pairs_within > 0 && deep.pairs_between == 0);
        assert!(deep.overlaps.is_empty());
        let deepest = deep.inside_out.first().expect("inside out");
        // Halfway between the floor's and the pit's outer side: 3 mm down at 45 degrees.
        assert!(
            (deepest.depth_mm - 18.0f64.sqrt()).abs() < 1e-3,
            "{deepest:?}"
        );
        assert!(
            deepest.at_mm[2].abs() < 1e-6,
            "where the pit goes through the floor"
        );
        let shallow = facts(&pit(5.0));
        assert_eq!(shallow.pairs_total(), 0);
    }

    /// Two blocks that overlap unite; a hollow that sticks out of its block is inside out there.
    #[test]
    fn overlaps_unite_and_hollows_that_stick_out_do_not() {
        let block = cuboid([0.0; 3], [20.0; 3]);
        let other = cuboid([10.0, 7.0, 5.0], [30.0, 17.0, 15.0]);
        let mut united = block.clone();
        united.extend(other.clone());
        let found = facts(&united);
        assert!(found.pairs_between > 0 && found.pairs_within == 0);
        assert_eq!((found.shells_crossing, found.inside_out.len()), (1, 0));
        assert_eq!(found.between.len() as u64, found.pairs_between);
        let mut hollow = block;
        hollow.extend(other.into_iter().map(|[a, b, c]| [a, c, b]));
        let found = facts(&hollow);
        assert!(found.between.is_empty() && !found.inside_out.is_empty());
        assert!((found.inside_out[0].depth_mm) > 4.9);
    }

    #[test]
    fn blocks_side_by_side_only_touch() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup.extend(cuboid([20.0, 5.0, 2.0], [30.0, 15.0, 12.0]));
        let found = facts(&soup);
        assert_eq!((found.shells_touching, found.shells_crossing), (1, 0));
        assert_eq!(found.shell_pairs, [[0, 1]]);
        assert!(!found.touches.is_empty() && found.overlaps.is_empty());
        for touch in &found.touches {
            assert!((touch.at_mm[0] - 20.0).abs() < 1e-6);
        }
    }
}
