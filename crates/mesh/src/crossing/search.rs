//! The search: leaf against leaf, in fixed chunks of leaves, bounded by steps.

use super::cull::{Block, Single};
use super::pair::{Meeting, meeting};
use super::place::place;
use crate::shape::Mesh;
use crate::tree::Tree;
use crate::vector::Vec3;

/// Bounds of the search.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Steps: a test of one facet against eight is one, an exact test of a pair is eight. A sound mesh of a
    /// million triangles takes 3 to 15 million. The search stops within twice this number.
    pub steps: u64,
    /// How many pairs are kept with their places.
    pub pairs: usize,
}

/// A pair of facets that meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Ids of the facets, the lesser first.
    pub triangles: [u32; 2],
    /// Touching or crossing.
    pub meeting: Meeting,
    /// Whether both are of one shell.
    pub same_shell: bool,
    /// A common point; the middle of the common stretch where they cross, mm.
    pub at: Vec3,
    /// Length of the stretch they have in common where they cross, mm.
    pub length: f64,
}

/// All pairs of facets that meet beyond the vertices they share.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Crossings {
    /// Pairs that cross within one shell.
    pub crossing_within: u64,
    /// Pairs of two shells that cross.
    pub crossing_between: u64,
    /// Pairs of one shell that touch.
    pub touching_within: u64,
    /// Pairs of two shells that touch.
    pub touching_between: u64,
    /// Some pairs with their places, from all over the mesh, in order; at most as many as asked for.
    pub pairs: Vec<Pair>,
    /// Shells that cross, the lesser first, in order.
    pub crossing_shells: Vec<[u32; 2]>,
    /// Shells that touch without a crossing, the lesser first, in order.
    pub touching_shells: Vec<[u32; 2]>,
    /// Steps taken.
    pub steps: u64,
    /// Whether every pair was looked at; if not, the counts are lower bounds.
    pub complete: bool,
}

impl Crossings {
    /// All pairs of facets whose closed triangles meet beyond shared vertices.
    pub fn total(&self) -> u64 {
        self.crossing_within + self.crossing_between + self.touching_within + self.touching_between
    }
}

/// Leaves of a chunk, and chunks that are worked on before the steps are counted.
const CHUNK: usize = 64;
const WAVE: usize = 64;
/// No chunk takes more than this part of all steps.
const SHARE: u64 = 32;
const EXACT_STEPS: u64 = 8;
/// Most pairs of either kind that a chunk keeps with their places.
const CHUNK_PAIRS: usize = 256;

/// Finds every pair of facets of a mesh in tree order that meet beyond the vertices they share. `shell_of`
/// has the shell of each triangle. Facets without area meet nothing. The result is the same with any
/// number of threads.
///
/// # Panics
/// Where `shell_of` is shorter than the triangles, or the tree is of another mesh.
pub fn crossings(mesh: &Mesh, tree: &Tree, shell_of: &[u32], limits: &Limits) -> Crossings {
    let job = Job {
        mesh,
        tree,
        shell_of,
        chunk_steps: (limits.steps / SHARE).max(1),
        chunk_pairs: limits.pairs.min(CHUNK_PAIRS),
    };
    let leaves = tree.leaves().len();
    let mut found = Found::default();
    let mut stopped = false;
    let mut first = 0;
    while first < leaves && !stopped {
        let wave = (leaves - first).min(CHUNK * WAVE);
        let part = parallel::chunks(wave, CHUNK, |range| {
            job.chunk(first + range.start..first + range.end)
        });
        for chunk in part {
            stopped |= chunk.stopped;
            found.join(chunk);
        }
        first += wave;
        stopped |= found.steps > limits.steps && first < leaves;
    }
    found.finish(limits.pairs, !stopped)
}

struct Job<'a> {
    mesh: &'a Mesh,
    tree: &'a Tree,
    shell_of: &'a [u32],
    chunk_steps: u64,
    chunk_pairs: usize,
}

/// What a chunk found.
#[derive(Default)]
struct Found {
    counts: [[u64; 2]; 2],
    pairs: Vec<Pair>,
    kept: [usize; 2],
    shells: [Vec<[u32; 2]>; 2],
    steps: u64,
    stopped: bool,
}

impl Job<'_> {
    fn chunk(&self, range: std::ops::Range<usize>) -> Found {
        let mut found = Found::default();
        for number in range {
            self.leaf(number as u32, &mut found);
        }
        for shells in &mut found.shells {
            shells.sort_unstable();
            shells.dedup();
        }
        found
    }

    fn leaf(&self, number: u32, found: &mut Found) {
        let leaves = self.tree.leaves();
        let leaf = &leaves[number as usize];
        let own = &self.mesh.triangles[leaf.first as usize..(leaf.first + leaf.count) as usize];
        let mut singles = [const { None }; 8];
        for (lane, &ids) in own.iter().enumerate() {
            singles[lane] = Some(Single::new(leaf, lane, ids));
        }
        let bounds = leaf.bounds();
        self.tree.leaves_meeting(&bounds, number, |other_number| {
            if found.stopped {
                return;
            }
            let other = &leaves[other_number as usize];
            let others =
                &self.mesh.triangles[other.first as usize..(other.first + other.count) as usize];
            let block = Block::new(other, others);
            let other_bounds = other.bounds();
            let filled = (1u32 << other.count) - 1;
            for (lane, single) in singles.iter().flatten().enumerate() {
                if !single.bounds.meets(&other_bounds) {
                    continue;
                }
                // Within a leaf each pair once.
                let later = if other_number == number {
                    filled & (!1 << lane)
                } else {
                    filled
                };
                found.steps += 1;
                let near = block.boxes(single) & later;
                if near == 0 {
                    continue;
                }
                let mut left = near & block.planes(single, other);
                if left != 0 {
                    left &= block.edges(single, other);
                }
                while left != 0 {
                    let at = left.trailing_zeros();
                    left &= left - 1;
                    found.steps += EXACT_STEPS;
                    self.test(leaf.first + lane as u32, other.first + at, found);
                }
            }
            found.stopped |= found.steps > self.chunk_steps;
        });
    }

    fn test(&self, a: u32, b: u32, found: &mut Found) {
        let ids = [a, b].map(|t| self.mesh.triangles[t as usize]);
        let corners = [a, b].map(|t| self.mesh.corners(t as usize));
        let meeting = meeting(&corners[0], ids[0], &corners[1], ids[1]);
        if meeting == Meeting::Apart {
            return;
        }
        let mut shells = [a, b].map(|t| self.shell_of[t as usize]);
        let same_shell = shells[0] == shells[1];
        let crossing = meeting == Meeting::Crossing;
        found.counts[usize::from(crossing)][usize::from(same_shell)] += 1;
        if !same_shell {
            shells.sort_unstable();
            let list = &mut found.shells[usize::from(crossing)];
            if list.last() != Some(&shells) {
                list.push(shells);
            }
        }
        let kept = &mut found.kept[usize::from(crossing)];
        if *kept < self.chunk_pairs {
            *kept += 1;
            let (at, length) = place(&corners[0], &corners[1], crossing);
            found.pairs.push(Pair {
                triangles: [a.min(b), a.max(b)],
                meeting,
                same_shell,
                at,
                length,
            });
        }
    }
}

impl Found {
    fn join(&mut self, other: Found) {
        for (mine, its) in self
            .counts
            .iter_mut()
            .flatten()
            .zip(other.counts.iter().flatten())
        {
            *mine += its;
        }
        self.pairs.extend(other.pairs);
        for (mine, its) in self.shells.iter_mut().zip(other.shells) {
            mine.extend(its);
            mine.sort_unstable();
            mine.dedup();
        }
        self.steps += other.steps;
    }

    fn finish(self, most: usize, complete: bool) -> Crossings {
        let [touching, crossing] = self.counts;
        let [mut touching_shells, crossing_shells] = self.shells;
        touching_shells.retain(|pair| crossing_shells.binary_search(pair).is_err());
        Crossings {
            crossing_within: crossing[1],
            crossing_between: crossing[0],
            touching_within: touching[1],
            touching_between: touching[0],
            pairs: thinned(self.pairs, most),
            crossing_shells,
            touching_shells,
            steps: self.steps,
            complete,
        }
    }
}

/// At most so many, evenly from all of them, in order; crossings before touches where both do not fit.
fn thinned(pairs: Vec<Pair>, most: usize) -> Vec<Pair> {
    if pairs.len() <= most {
        return pairs;
    }
    let (mut kept, touching): (Vec<Pair>, Vec<Pair>) = pairs
        .into_iter()
        .partition(|p| p.meeting == Meeting::Crossing);
    let evenly = |list: Vec<Pair>, most: usize| -> Vec<Pair> {
        if list.len() <= most {
            return list;
        }
        (0..most).map(|i| list[i * list.len() / most]).collect()
    };
    kept = evenly(kept, most);
    let room = most - kept.len();
    kept.extend(evenly(touching, room));
    kept
}
