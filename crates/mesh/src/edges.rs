//! Which faces share an edge: half-edges by counting sort on the lower vertex, no hashing.
//!
//! Half-edge `3 t + k` runs from corner k of triangle t to its next corner. Three separate counts, as stored:
//! edges with one face, with more than two, and with two faces that walk it in the same direction. Then every
//! half-edge gets at most one partner (`twins`): where more than two faces meet, the surface is taken apart so that
//! each partner bounds the same wedge of material (module `joints`).
//!
//! Guarantee: the result depends on the mesh only, not on threads. Time linear in the faces for bounded vertex
//! degree, n log n within one vertex. Memory: 12 bytes a triangle kept, 28 more while building.

use std::sync::atomic::{AtomicU32, Ordering};

use crate::joints;
use crate::shape::Mesh;

/// No half-edge.
pub const NONE: u32 = u32::MAX;

/// Edges of a mesh and how its faces are joined over them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Edges {
    /// The partner of every half-edge, or [`NONE`]. Length 3 times the triangles.
    pub twins: Vec<u32>,
    /// Distinct edges.
    pub count: usize,
    /// Edges with one face only, as stored.
    pub boundary_edges: usize,
    /// Edges with exactly two faces that walk it in the same direction, as stored.
    pub same_direction: usize,
    /// The half-edges of all edges with more than two faces, edge after edge.
    pub crowded_half_edges: Vec<u32>,
    /// Where each crowded edge begins in `crowded_half_edges`; one more than there are edges.
    pub crowded_starts: Vec<u32>,
    /// Half-edges without a partner that belong to faces that count, ascending: the rims of the surface.
    pub loose: Vec<u32>,
    /// Partners that walk their edge in the same direction, as pairs of half-edges (lower first), ascending.
    pub turned: Vec<[u32; 2]>,
    /// Facets whose three vertices an earlier facet has with the same winding, ascending. They are joined to
    /// nothing: the surface is whole without them.
    pub repeated: Vec<u32>,
    /// The earlier facet of each entry of `repeated`.
    pub repeated_of: Vec<u32>,
    /// Pairs of facets with the same three vertices and opposite winding (lower first), ascending.
    pub opposed: Vec<[u32; 2]>,
}

/// What one range of vertices yields.
#[derive(Default)]
struct Found {
    count: usize,
    boundary: Vec<u32>,
    same: Vec<[u32; 2]>,
    crowded: Vec<u32>,
    crowded_lengths: Vec<u32>,
}

/// Vertices a chunk of the grouping pass.
const CHUNK: usize = 1 << 14;

impl Edges {
    /// Finds the edges. Triangles must name three different vertices each (see [`mod@crate::weld`]).
    pub fn build(mesh: &Mesh) -> Edges {
        let faces = mesh.triangles.len();
        let (starts, mut entries) = by_lower_vertex(mesh);
        let twins: Vec<AtomicU32> = (0..3 * faces).map(|_| AtomicU32::new(NONE)).collect();
        let found = group(&starts, &mut entries, &twins);
        drop(entries);
        drop(starts);
        let mut edges = Edges {
            twins: twins.into_iter().map(AtomicU32::into_inner).collect(),
            crowded_starts: vec![0],
            ..Edges::default()
        };
        let mut same = Vec::new();
        for f in found {
            edges.count += f.count;
            edges.loose.extend(f.boundary);
            same.extend(f.same);
            edges.crowded_half_edges.extend(f.crowded);
            for length in f.crowded_lengths {
                let last = edges.crowded_starts[edges.crowded_starts.len() - 1];
                edges.crowded_starts.push(last + length);
            }
        }
        edges.boundary_edges = edges.loose.len();
        edges.same_direction = same.len();
        joints::join(mesh, &mut edges, &same);
        edges
    }

    /// Edges with more than two faces, as stored.
    pub fn crowded_edges(&self) -> usize {
        self.crowded_starts.len().saturating_sub(1)
    }

    /// The half-edges of one crowded edge.
    pub fn crowded(&self, edge: usize) -> &[u32] {
        let range = self.crowded_starts[edge] as usize..self.crowded_starts[edge + 1] as usize;
        &self.crowded_half_edges[range]
    }

    /// Whether a facet counts: it is not a second copy of another.
    #[inline]
    pub fn counts(&self, triangle: u32) -> bool {
        self.repeated.is_empty() || self.repeated.binary_search(&triangle).is_err()
    }

    /// No rims: every face that counts has a partner over each of its edges.
    pub fn closed(&self) -> bool {
        self.loose.is_empty()
    }
}

/// The two ends of a half-edge, in the direction it is walked.
#[inline]
pub fn ends(mesh: &Mesh, half_edge: u32) -> [u32; 2] {
    let corners = &mesh.triangles[half_edge as usize / 3];
    let k = half_edge as usize % 3;
    [corners[k], corners[(k + 1) % 3]]
}

/// The vertex of the facet that is not on the half-edge.
#[inline]
pub fn opposite(mesh: &Mesh, half_edge: u32) -> u32 {
    mesh.triangles[half_edge as usize / 3][(half_edge as usize + 2) % 3]
}

/// Goes on round vertex `v`: from a half-edge that touches it to the other half-edge of the same facet that does.
#[inline]
pub fn other_at(mesh: &Mesh, half_edge: u32, v: u32) -> u32 {
    let (t, k) = (half_edge / 3, half_edge % 3);
    if mesh.triangles[t as usize][k as usize] == v {
        3 * t + (k + 2) % 3
    } else {
        3 * t + (k + 1) % 3
    }
}

/// Half-edges sorted by their lower vertex. An entry holds the higher vertex in its upper half, and the half-edge
/// with a direction bit (1: walked downward) in its lower half, so that entries of one edge sort side by side.
fn by_lower_vertex(mesh: &Mesh) -> (Vec<u32>, Vec<u64>) {
    let vertices = mesh.vertices.len();
    let mut starts = vec![0u32; vertices + 1];
    for &[a, b, c] in &mesh.triangles {
        starts[a.min(b) as usize + 1] += 1;
        starts[b.min(c) as usize + 1] += 1;
        starts[c.min(a) as usize + 1] += 1;
    }
    for v in 0..vertices {
        starts[v + 1] += starts[v];
    }
    let mut entries = vec![0u64; 3 * mesh.triangles.len()];
    // Two halves of the vertices: each reads all triangles and writes its own half.
    let middle = vertices / 2;
    let cut = starts[middle] as usize;
    let (low, high) = entries.split_at_mut(cut);
    parallel::join(
        || scatter(mesh, &starts[..=middle], 0, low),
        || scatter(mesh, &starts[middle..], middle, high),
    );
    (starts, entries)
}

/// Writes the half-edges whose lower vertex is `first..first + starts.len() - 1`.
fn scatter(mesh: &Mesh, starts: &[u32], first: usize, out: &mut [u64]) {
    let base = starts[0];
    let mut next: Vec<u32> = starts[..starts.len() - 1]
        .iter()
        .map(|s| s - base)
        .collect();
    for (t, &[a, b, c]) in mesh.triangles.iter().enumerate() {
        for (k, (from, to)) in [(a, b), (b, c), (c, a)].into_iter().enumerate() {
            let (lower, higher, down) = if from < to {
                (from, to, 0)
            } else {
                (to, from, 1)
            };
            if let Some(slot) = next.get_mut((lower as usize).wrapping_sub(first)) {
                out[*slot as usize] =
                    (u64::from(higher) << 32) | ((3 * t as u64 + k as u64) << 1) | down;
                *slot += 1;
            }
        }
    }
}

/// Pairs the half-edges of every edge; chunks of vertices in parallel.
fn group(starts: &[u32], entries: &mut [u64], twins: &[AtomicU32]) -> Vec<Found> {
    let vertices = starts.len() - 1;
    // Each chunk of vertices owns a stretch of the entries, which it sorts in place.
    let mut chunks = Vec::with_capacity(vertices / CHUNK + 1);
    let mut rest = entries;
    for first in (0..vertices).step_by(CHUNK) {
        let last = (first + CHUNK).min(vertices);
        let (own, others) = rest.split_at_mut((starts[last] - starts[first]) as usize);
        rest = others;
        chunks.push((first..last, own, Found::default()));
    }
    parallel::fill(&mut chunks, 1, |_, chunk| {
        for (vertices, own, found) in chunk {
            let base = starts[vertices.start];
            for v in vertices.clone() {
                let range = (starts[v] - base) as usize..(starts[v + 1] - base) as usize;
                let bucket = &mut own[range];
                sort(bucket);
                pair(bucket, twins, found);
            }
        }
    });
    chunks.into_iter().map(|(_, _, found)| found).collect()
}

#[inline]
fn sort(bucket: &mut [u64]) {
    if bucket.len() > 24 {
        bucket.sort_unstable();
        return;
    }
    for i in 1..bucket.len() {
        let x = bucket[i];
        let mut j = i;
        while j > 0 && bucket[j - 1] > x {
            bucket[j] = bucket[j - 1];
            j -= 1;
        }
        bucket[j] = x;
    }
}

#[inline]
fn pair(bucket: &[u64], twins: &[AtomicU32], found: &mut Found) {
    let half_edge = |entry: u64| (entry as u32) >> 1;
    let mut i = 0;
    while i < bucket.len() {
        let mut j = i + 1;
        while j < bucket.len() && bucket[j] >> 32 == bucket[i] >> 32 {
            j += 1;
        }
        found.count += 1;
        match j - i {
            1 => found.boundary.push(half_edge(bucket[i])),
            2 => {
                let [a, b] = [half_edge(bucket[i]), half_edge(bucket[i + 1])];
                twins[a as usize].store(b, Ordering::Relaxed);
                twins[b as usize].store(a, Ordering::Relaxed);
                if (bucket[i] ^ bucket[i + 1]) & 1 == 0 {
                    found.same.push([a, b]);
                }
            }
            n => {
                found
                    .crowded
                    .extend(bucket[i..j].iter().map(|&e| half_edge(e)));
                found.crowded_lengths.push(n as u32);
            }
        }
        i = j;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{cuboid, moved, reversed, torus, unit_cube, welded};

    fn counts(mesh: &Mesh) -> (usize, usize, usize) {
        let e = Edges::build(mesh);
        (e.boundary_edges, e.crowded_edges(), e.same_direction)
    }

    /// Euler-Poincare: V - E + F of closed triangle meshes, 3 F = 2 E.
    #[test]
    fn vertices_edges_faces_of_known_shapes() {
        let mut two = unit_cube();
        two.extend(moved(&unit_cube(), [5.0, 0.0, 0.0]));
        let mut at_vertex = unit_cube();
        at_vertex.extend(moved(&unit_cube(), [1.0, 1.0, 1.0]));
        let mut at_edge = unit_cube();
        at_edge.extend(moved(&unit_cube(), [1.0, 1.0, 0.0]));
        let mut open = unit_cube();
        open.remove(3);
        let mut void = cuboid([0.0; 3], [3.0; 3]);
        void.extend(reversed(&cuboid([1.0; 3], [2.0; 3])));
        for (name, soup, vef) in [
            ("cube", unit_cube(), (8, 18, 12)),
            (
                "torus 64 x 32",
                torus(64, 32, 20.0, 5.0),
                (2048, 6144, 4096),
            ),
            ("two cubes", two, (16, 36, 24)),
            ("two cubes at one vertex", at_vertex, (15, 36, 24)),
            ("two cubes along one edge", at_edge, (14, 35, 24)),
            ("cube less one triangle", open, (8, 18, 11)),
            ("cube with a void", void, (16, 36, 24)),
        ] {
            let mesh = welded(&soup);
            let edges = Edges::build(&mesh);
            let got = (mesh.vertices.len(), edges.count, mesh.triangles.len());
            assert_eq!(got, vef, "{name}");
        }
    }

    #[test]
    fn a_missing_facet_leaves_three_boundary_edges() {
        let mut soup = unit_cube();
        soup.remove(0);
        let mesh = welded(&soup);
        assert_eq!(counts(&mesh), (3, 0, 0));
        assert_eq!(Edges::build(&mesh).loose.len(), 3);
    }

    #[test]
    fn a_flipped_facet_has_three_edges_walked_twice_the_same_way() {
        let mut soup = unit_cube();
        soup[0] = [soup[0][0], soup[0][2], soup[0][1]];
        let edges = Edges::build(&welded(&soup));
        assert_eq!(edges.same_direction, 3);
        assert_eq!(edges.turned.len(), 3);
        assert!(edges.closed());
    }

    #[test]
    fn twins_point_at_each_other_and_share_their_ends() {
        let mut soup = torus(12, 9, 20.0, 5.0);
        soup.extend(unit_cube());
        soup.extend(moved(&unit_cube(), [1.0, 1.0, 0.0]));
        let mesh = welded(&soup);
        let edges = Edges::build(&mesh);
        for (h, &twin) in edges.twins.iter().enumerate() {
            assert_eq!(edges.twins[twin as usize], h as u32);
            let [a, b] = ends(&mesh, h as u32);
            assert_eq!(ends(&mesh, twin), [b, a]);
        }
    }
}
