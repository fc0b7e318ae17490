//! Slicing: every layer of a posed mesh as chains of points, streamed.
//!
//! Layer k is cut at its middle, (k + 1/2) of the layer's height above the plate, from integers. **A vertex on a cut
//! counts as above it.** Every cut facet then has one edge walked up and one walked down, so on a mesh without rims
//! every chain closes, also through edges with more than two faces, whose faces were partnered by the wedge of
//! material they bound (`mesh::edges`). A flat at the height of a cut belongs to the layer when it looks up, and not
//! when it looks down. Chains that meet a rim stay open.
//!
//! Memory: 8 bytes a facet and 4 a vertex, and 4 a facet for every thread; independent of the number of layers.

use std::ops::Range;

use mesh::Edges;

use crate::contour::Layer;
use crate::join;
use crate::posed::Posed;
use crate::sweep::{RUN, Sweep, height, level};
use crate::walk::Walker;

/// Cuts a posed mesh. Holds no layer height: [`Slicer::stack`] does.
#[derive(Debug, Clone, Copy)]
pub struct Slicer<'a> {
    posed: &'a Posed<'a>,
    edges: &'a Edges,
}

impl<'a> Slicer<'a> {
    /// `edges` must be those of the posed mesh.
    pub fn new(posed: &'a Posed<'a>, edges: &'a Edges) -> Slicer<'a> {
        debug_assert_eq!(edges.twins.len(), 3 * posed.mesh.triangles.len());
        Slicer { posed, edges }
    }

    /// The cut at any height, mm: all facets are looked at. For single cuts; a stack is faster for many.
    pub fn at(&self, z_mm: f64) -> Layer {
        let points = &self.posed.points;
        let facets = 0..self.posed.mesh.triangles.len() as u32;
        let mut walker = Walker::new(facets.len());
        Layer {
            index: 0,
            z_mm,
            contours: walker.cut(self.posed, self.edges, z_mm, facets, |v| {
                points[v as usize][2] >= z_mm
            }),
        }
    }

    /// All layers of one height, mm, which must be positive.
    pub fn stack(&self, layer_mm: f64) -> Stack<'a> {
        Stack {
            posed: self.posed,
            edges: self.edges,
            layer_mm,
            gap_mm: None,
            sweep: Sweep::build(self.posed, self.edges, layer_mm),
        }
    }
}

/// The layers of a part at one layer height, cut when they are asked for.
pub struct Stack<'a> {
    posed: &'a Posed<'a>,
    edges: &'a Edges,
    layer_mm: f64,
    gap_mm: Option<f64>,
    sweep: Sweep,
}

impl<'a> Stack<'a> {
    /// From now on chains that a rim left open are closed within their layer over gaps of at most `gap_mm`
    /// ([`crate::join::close`]): cracks do not keep a layer from having an area.
    #[must_use]
    pub fn closing(mut self, gap_mm: f64) -> Stack<'a> {
        self.gap_mm = Some(gap_mm);
        self
    }

    /// Layers: those whose cut is at or below the top. A part lower than half a layer has none.
    pub fn count(&self) -> usize {
        self.sweep.layers
    }

    /// Height of a layer, mm.
    pub fn layer_mm(&self) -> f64 {
        self.layer_mm
    }

    /// Height of the cut of layer `k`, mm.
    pub fn z_mm(&self, k: usize) -> f64 {
        height(k, self.layer_mm)
    }

    /// The first layer whose cut lies above a height, mm, and the height as the cuts take it: one just under a cut
    /// counts as on it.
    pub fn first_above(&self, z_mm: f64) -> (usize, f64) {
        let k = level(z_mm, self.layer_mm) as usize;
        match k.checked_sub(1) {
            Some(under) => (k, z_mm.max(self.z_mm(under))),
            None => (k, z_mm),
        }
    }

    /// The part that is cut.
    pub fn posed(&self) -> &'a Posed<'a> {
        self.posed
    }

    /// Layer `k`; one without contours beyond the top.
    pub fn layer(&self, k: usize) -> Layer {
        self.run(k..k + 1).next().unwrap_or_default()
    }

    /// The layers of a range, in order; beyond the top they have no contours. One layer is held at a time.
    pub fn run(&self, layers: Range<usize>) -> Run<'_> {
        Run {
            stack: self,
            next: layers.start,
            end: layers.end,
            walker: Walker::new(self.posed.mesh.triangles.len()),
            first: 0,
            cut: vec![Vec::new(); RUN],
            ready: None,
        }
    }

    /// Maps every layer, in parallel by fixed chunks of `chunk` layers; results from the plate up.
    pub fn each<R: Send>(&self, chunk: usize, work: impl Fn(Layer) -> R + Sync) -> Vec<R> {
        self.runs(chunk, 0, |_, run| run.map(&work).collect::<Vec<R>>())
            .into_iter()
            .flatten()
            .collect()
    }

    /// Maps fixed chunks of `chunk` layers in parallel. `work` gets the chunk's own range and its layers, preceded
    /// by up to `before` layers below it (fewer at the plate), for what compares a layer with those under it.
    pub fn runs<R: Send>(
        &self,
        chunk: usize,
        before: usize,
        work: impl Fn(Range<usize>, Run<'_>) -> R + Sync,
    ) -> Vec<R> {
        parallel::chunks(self.count(), chunk, |own| {
            let run = self.run(own.start.saturating_sub(before)..own.end);
            work(own, run)
        })
    }

    /// Cuts below a vertex of the mesh, or on it.
    pub(crate) fn level(&self, vertex: u32) -> u32 {
        self.sweep.levels[vertex as usize]
    }

    /// Whether a facet counts: it is no second copy of another.
    pub(crate) fn counts(&self, triangle: u32) -> bool {
        self.edges.counts(triangle)
    }

    /// Volume by slices, mm3: areas by signed contours times the layer height.
    pub fn volume_mm3(&self) -> f64 {
        let areas = self.each(CHUNK, |layer| layer.area_mm2());
        areas.iter().sum::<f64>() * self.layer_mm
    }
}

/// Layers a chunk where the caller has no reason of its own.
pub const CHUNK: usize = 4 * RUN;

/// Layers of a range, one after the other.
pub struct Run<'s> {
    stack: &'s Stack<'s>,
    next: usize,
    end: usize,
    walker: Walker,
    /// The first layer of the filed run whose facets are in `cut`.
    first: usize,
    /// The facets that each layer of that run cuts.
    cut: Vec<Vec<u32>>,
    /// The filed run in `cut`.
    ready: Option<usize>,
}

impl Run<'_> {
    /// Sorts the facets of a filed run by the layers that cut them.
    fn prepare(&mut self, run: usize) {
        self.first = run * RUN;
        for list in &mut self.cut {
            list.clear();
        }
        let sweep = &self.stack.sweep;
        let triangles = &self.stack.posed.mesh.triangles;
        let wanted = self.next.max(self.first)..self.end.min(self.first + RUN);
        for t in sweep.of_run(run) {
            let [a, b, c] = triangles[t as usize].map(|v| sweep.levels[v as usize] as usize);
            let low = a.min(b).min(c).max(wanted.start);
            let high = a.max(b).max(c).min(wanted.end);
            for k in low..high {
                self.cut[k - self.first].push(t);
            }
        }
        self.ready = Some(run);
    }
}

impl Iterator for Run<'_> {
    type Item = Layer;

    fn next(&mut self) -> Option<Layer> {
        if self.next >= self.end {
            return None;
        }
        let k = self.next;
        let stack = self.stack;
        let mut layer = Layer {
            index: k,
            z_mm: stack.z_mm(k),
            contours: Vec::new(),
        };
        if k < stack.count() {
            if self.ready != Some(k / RUN) {
                self.prepare(k / RUN);
            }
            let levels = &stack.sweep.levels;
            layer.contours = self.walker.cut(
                stack.posed,
                stack.edges,
                layer.z_mm,
                self.cut[k - self.first].iter().copied(),
                |v| levels[v as usize] as usize > k,
            );
        }
        if let Some(gap_mm) = stack.gap_mm {
            join::close(&mut layer, gap_mm);
        }
        self.next += 1;
        Some(layer)
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        let left = self.end.saturating_sub(self.next);
        (left, Some(left))
    }
}

impl ExactSizeIterator for Run<'_> {}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::posed::Turn;
    use mesh::shapes::{cuboid, torus, welded};

    const UPRIGHT: Turn = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    #[test]
    fn a_box_is_one_ring_a_layer() {
        let mesh = welded(&cuboid([3.0, 4.0, 5.0], [13.0, 24.0, 8.0]));
        let edges = Edges::build(&mesh);
        let posed = Posed::new(&mesh, &UPRIGHT);
        let stack = Slicer::new(&posed, &edges).stack(0.2);
        assert_eq!(stack.count(), 15);
        for layer in stack.run(0..stack.count()) {
            assert_eq!(layer.contours.len(), 1);
            assert!(layer.contours[0].closed);
            assert!((layer.area_mm2() - 200.0).abs() < 1e-9);
        }
        assert!((stack.volume_mm3() - 600.0).abs() < 1e-6);
        assert!(stack.layer(15).contours.is_empty());
    }

    #[test]
    fn a_flat_on_a_cut_belongs_to_the_layer_when_it_looks_up() {
        let mesh = welded(&cuboid([0.0, 0.0, 0.0], [1.0, 1.0, 0.5]));
        let edges = Edges::build(&mesh);
        let posed = Posed::new(&mesh, &UPRIGHT);
        let slicer = Slicer::new(&posed, &edges);
        assert_eq!(slicer.at(0.5).area_mm2(), 1.0);
        assert_eq!(slicer.at(0.0).contours.len(), 0);
        let stack = slicer.stack(1.0);
        assert_eq!(stack.count(), 1);
        assert_eq!(stack.layer(0).area_mm2(), 1.0);
    }

    #[test]
    fn a_torus_has_a_hole_and_the_chunks_do_not_matter() {
        let mesh = welded(&torus(64, 32, 20.0, 5.0));
        let edges = Edges::build(&mesh);
        let posed = Posed::new(&mesh, &UPRIGHT);
        let stack = Slicer::new(&posed, &edges).stack(0.25);
        let areas = stack.each(7, |l| {
            let mut signs: Vec<bool> = l.contours.iter().map(|c| c.area_mm2() > 0.0).collect();
            signs.sort_unstable();
            assert_eq!(signs, [false, true]);
            l.area_mm2().to_bits()
        });
        assert_eq!(areas.len(), 40);
        assert_eq!(areas, stack.each(1, |l| l.area_mm2().to_bits()));
        let lone: Vec<u64> = (0..40)
            .map(|k| stack.layer(k).area_mm2().to_bits())
            .collect();
        assert_eq!(areas, lone);
    }

    #[test]
    fn runs_come_with_the_layers_below() {
        let mesh = welded(&cuboid([0.0; 3], [1.0, 1.0, 2.0]));
        let edges = Edges::build(&mesh);
        let posed = Posed::new(&mesh, &UPRIGHT);
        let stack = Slicer::new(&posed, &edges).stack(0.2);
        let seen = stack.runs(4, 2, |own, run| {
            (own, run.map(|l| l.index).collect::<Vec<_>>())
        });
        assert_eq!(seen[0], (0..4, vec![0, 1, 2, 3]));
        assert_eq!(seen[1], (4..8, vec![2, 3, 4, 5, 6, 7]));
        assert_eq!(seen[2], (8..10, vec![6, 7, 8, 9]));
    }

    #[test]
    fn an_open_box_gives_open_chains_of_the_same_length() {
        let mut soup = cuboid([0.0; 3], [10.0; 3]);
        // A wall is missing: two facets of one quad.
        soup.drain(4..6);
        let mesh = welded(&soup);
        let edges = Edges::build(&mesh);
        let posed = Posed::new(&mesh, &UPRIGHT);
        let layer = Slicer::new(&posed, &edges).at(5.0);
        assert_eq!(layer.contours.len(), 1);
        let chain = &layer.contours[0];
        assert!(!chain.closed);
        let length: f64 = chain
            .points
            .windows(2)
            .map(|w| (w[1][0] - w[0][0]).abs() + (w[1][1] - w[0][1]).abs())
            .sum();
        assert!((length - 30.0).abs() < 1e-9, "{:?}", chain.points);
    }

    #[test]
    fn one_turned_facet_does_not_turn_the_ring() {
        let mut soup = cuboid([0.0; 3], [10.0; 3]);
        for turned in 0..12 {
            soup[turned].swap(0, 1);
            let mesh = welded(&soup);
            let edges = Edges::build(&mesh);
            let posed = Posed::new(&mesh, &UPRIGHT);
            let layer = Slicer::new(&posed, &edges).at(4.0);
            assert!((layer.area_mm2() - 100.0).abs() < 1e-9, "{turned}");
            soup[turned].swap(0, 1);
        }
    }
}
