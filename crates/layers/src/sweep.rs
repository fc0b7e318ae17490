//! Which facets are cut by which layers, found once for all of them.
//!
//! Every vertex gets a level: the number of cuts below it or on it. A facet is then cut by the layers from its
//! lowest corner's level up to its highest corner's. Layers are taken in runs; each facet is filed once, in the
//! smallest dyadic block of runs that holds its whole span (an interval tree over the runs: Edelsbrunner 1980), so
//! that the memory does not depend on the number of layers or on how many of them a facet crosses.

use mesh::Edges;

use crate::posed::Posed;

/// A vertex this little under a cut lies on it, mm. The corners of a flat that was not modelled upright differ by
/// the rounding of f32 (1.5e-5 mm at 256 mm, twice over after turning): without this, a flat that stands at the
/// middle of a layer would be cut in rags.
pub const ON_CUT_MM: f64 = 5e-5;

/// Layers a run: facets are filed by runs of so many layers.
pub(crate) const RUN: usize = 8;

/// Vertices or facets a chunk.
const CHUNK: usize = 1 << 14;

/// No level is higher: beyond so many layers the height is not a print.
const MOST_LAYERS: f64 = 1e8;

/// Facets by the layers that cut them.
pub(crate) struct Sweep {
    /// Cuts below each vertex, or on it.
    pub(crate) levels: Vec<u32>,
    /// The highest level: so many layers there are.
    pub(crate) layers: usize,
    /// Runs of layers, as a power of two.
    depth: u32,
    /// Where each block's facets begin in `filed`; blocks are numbered as a heap, from 1.
    starts: Vec<u32>,
    filed: Vec<u32>,
}

/// The height of a layer's cut, mm.
#[inline]
pub(crate) fn height(layer: usize, layer_mm: f64) -> f64 {
    (layer as f64 + 0.5) * layer_mm
}

/// Cuts at or under a height.
#[inline]
pub(crate) fn level(z: f64, layer_mm: f64) -> u32 {
    ((z + ON_CUT_MM) / layer_mm + 0.5)
        .floor()
        .clamp(0.0, MOST_LAYERS) as u32
}

impl Sweep {
    pub(crate) fn build(posed: &Posed, edges: &Edges, layer_mm: f64) -> Sweep {
        let mut levels = vec![0u32; posed.points.len()];
        parallel::fill(&mut levels, CHUNK, |first, out| {
            for (l, p) in out.iter_mut().zip(&posed.points[first..]) {
                *l = level(p[2], layer_mm);
            }
        });
        let layers = level(posed.height_mm, layer_mm) as usize;
        let runs = layers.div_ceil(RUN).max(1);
        let depth = runs.next_power_of_two().trailing_zeros();
        // 0 means: not cut by any layer.
        let mut blocks = vec![0u32; posed.mesh.triangles.len()];
        parallel::fill(&mut blocks, CHUNK, |first, out| {
            for (block, t) in out.iter_mut().zip(first..) {
                let [a, b, c] = posed.mesh.triangles[t].map(|v| levels[v as usize]);
                let (low, high) = (a.min(b).min(c), a.max(b).max(c));
                if low < high {
                    *block = block_of(low, high, depth);
                }
            }
        });
        for &t in &edges.repeated {
            blocks[t as usize] = 0;
        }
        let (starts, filed) = file(&blocks, 2 << depth);
        Sweep {
            levels,
            layers,
            depth,
            starts,
            filed,
        }
    }

    /// The facets that may be cut in a run: every one that is, and those of the blocks around it.
    pub(crate) fn of_run(&self, run: usize) -> impl Iterator<Item = u32> + '_ {
        let leaf = (1usize << self.depth) + run;
        (0..=self.depth).flat_map(move |up| {
            let block = leaf >> up;
            let range = self.starts[block] as usize..self.starts[block + 1] as usize;
            self.filed[range].iter().copied()
        })
    }
}

/// The smallest block whose runs hold the layers `low..high`.
#[inline]
fn block_of(low: u32, high: u32, depth: u32) -> u32 {
    let (first, last) = (low / RUN as u32, (high - 1) / RUN as u32);
    let up = u32::BITS - (first ^ last).leading_zeros();
    (1 << (depth - up)) + (first >> up)
}

/// Facets by block, in the order of the mesh.
fn file(blocks: &[u32], count: usize) -> (Vec<u32>, Vec<u32>) {
    let mut starts = vec![0u32; count + 1];
    for &b in blocks.iter().filter(|&&b| b != 0) {
        starts[b as usize + 1] += 1;
    }
    for b in 0..count {
        starts[b + 1] += starts[b];
    }
    let mut next = starts.clone();
    let mut filed = vec![0u32; starts[count] as usize];
    for (t, &b) in blocks.iter().enumerate().filter(|(_, b)| **b != 0) {
        filed[next[b as usize] as usize] = t as u32;
        next[b as usize] += 1;
    }
    (starts, filed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{torus, welded};

    #[test]
    fn a_run_has_every_facet_that_its_layers_cut() {
        let mesh = welded(&torus(40, 32, 20.0, 6.0));
        let edges = Edges::build(&mesh);
        let posed = Posed::new(&mesh, &[[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]);
        let sweep = Sweep::build(&posed, &edges, 0.07);
        assert_eq!(sweep.layers, 171);
        for run in 0..sweep.layers.div_ceil(RUN) {
            let mut given: Vec<u32> = sweep.of_run(run).collect();
            given.sort_unstable();
            assert!(given.windows(2).all(|w| w[0] != w[1]), "each once");
            for t in 0..mesh.triangles.len() {
                let levels = mesh.triangles[t].map(|v| sweep.levels[v as usize] as usize);
                let (low, high) = (
                    levels[0].min(levels[1]).min(levels[2]),
                    levels[0].max(levels[1]).max(levels[2]),
                );
                let crosses = low < (run + 1) * RUN && high > run * RUN && low < high;
                assert!(!crosses || given.binary_search(&(t as u32)).is_ok());
            }
        }
    }

    #[test]
    fn the_level_counts_the_cuts_at_or_under_a_height() {
        for layer_mm in [0.04, 0.1, 0.12, 0.2, 0.28, 0.3] {
            for k in 0..2000 {
                let z = height(k, layer_mm);
                assert_eq!(level(z, layer_mm) as usize, k + 1, "on {layer_mm} {k}");
                assert_eq!(level(z - 1e-3, layer_mm) as usize, k);
                assert_eq!(level(z + 1e-3, layer_mm) as usize, k + 1);
            }
        }
    }
}
