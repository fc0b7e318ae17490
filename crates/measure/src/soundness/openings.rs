//! Where the surface ends: every rim with its length, the distance across it, and whether merging closes it.

use mesh::merge::{Merged, merge};
use mesh::rims::rims;
use mesh::vector::{Vec3, add, length, scale};
use mesh::{Mesh, Topology};
use serde::{Deserialize, Serialize};

use super::Asked;

/// The most rims kept; their number is counted in full.
const MOST_RIMS: usize = 10_000;

/// One rim: a closed loop of edges where the surface ends.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rim {
    /// A point on it, mm.
    pub at: Vec3,
    /// Outward direction of the surface beside it.
    pub outward: Option<Vec3>,
    /// Edges in the loop.
    pub edges: usize,
    /// Length of the loop, mm.
    pub length_mm: f64,
    /// Diagonal of its box, mm.
    pub extent_mm: f64,
    /// Greatest distance across the opening, mm; `None` where it is more than was looked for.
    pub gap_mm: Option<f64>,
    /// Merging at the tolerance of [`Merging`] leaves nothing of it.
    pub closes_on_merge: bool,
    /// How flat the shell is that it bounds: length of the sum of its area vectors over its area. A flat sheet has 1,
    /// a closed shell with a small hole nearly 0.
    pub sheet: f64,
}

/// The second topology.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Merging {
    /// Vertices at most this far apart were one, mm.
    pub tolerance_mm: f64,
    /// The mesh has no rim any more.
    pub closes: bool,
    /// The least distance at which it has none, mm, where merging vertices of rims alone does it.
    pub closes_at_mm: Option<f64>,
    /// Vertices less than before.
    pub vertices_merged: usize,
    /// Facets that merging left without a surface.
    pub facets_collapsed: usize,
    /// Edges with one face, after.
    pub boundary_edges: usize,
    /// Edges with more than two faces, after.
    pub crowded_edges: usize,
    /// Edges with two faces that walk it the same way, after.
    pub same_direction_edges: usize,
}

/// All rims of a mesh.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Openings {
    /// Rims in all.
    pub total: usize,
    /// Their length together, mm.
    pub length_mm: f64,
    /// The rims, those whose other side was not found first, then the widest; at most ten thousand.
    pub rims: Vec<Rim>,
    /// The second topology; `None` where there is no rim, or where too many vertices lie too close.
    pub merging: Option<Merging>,
}

/// Shells put together where only a crack parts them: a crack right round a body makes two open shells of one closed
/// surface.
pub(super) struct Pieces {
    /// The piece of every shell, numbered by first shell.
    pub of_shell: Vec<u32>,
    /// Whether each has an inside: closed, or open by cracks only.
    pub sealed: Vec<bool>,
}

/// The openings of a mesh, and its pieces.
pub(super) fn measure(mesh: &Mesh, topology: &Topology, asked: &Asked) -> (Openings, Pieces) {
    let shells = &topology.shells;
    let mut leader: Vec<u32> = (0..shells.list.len() as u32).collect();
    let mut sealed = vec![true; shells.list.len()];
    if topology.edges.closed() {
        return (
            Openings::default(),
            Pieces {
                of_shell: leader,
                sealed,
            },
        );
    }
    let diagonal = mesh.bounds().map_or(0.0, |b| b.diagonal());
    let merged = merge(mesh, &topology.edges, asked.merge_share * diagonal);
    let still_loose = |h: &u32| {
        merged
            .as_ref()
            .is_none_or(|m| m.still_loose.binary_search(h).is_ok())
    };
    let flatness = flatness(mesh, topology);
    let mut openings = Openings::default();
    for rim in rims(mesh, &topology.edges, asked.gap_reach_mm) {
        let triangle = rim.half_edges[0] as usize / 3;
        let shell = shells.of_triangle[triangle] as usize;
        let closes_on_merge = !rim.half_edges.iter().any(still_loose);
        openings.total += 1;
        openings.length_mm += rim.length_mm;
        let crack = closes_on_merge || rim.gap_mm.is_some_and(|g| g <= asked.slit_mm);
        sealed[shell] &= crack;
        if crack {
            for h in &rim.across {
                let other = shells.of_triangle[*h as usize / 3] as usize;
                let (a, b) = (find(&leader, shell), find(&leader, other));
                leader[a.max(b)] = a.min(b) as u32;
            }
        }
        if openings.rims.len() < MOST_RIMS {
            openings.rims.push(Rim {
                at: rim.at,
                outward: mesh.normal(triangle),
                edges: rim.half_edges.len(),
                length_mm: rim.length_mm,
                extent_mm: rim.extent_mm,
                gap_mm: rim.gap_mm,
                closes_on_merge,
                sheet: flatness[shell],
            });
        }
    }
    openings.merging = merged.map(|m| in_short(&m));
    (openings, pieces(&leader, &sealed))
}

fn find(leader: &[u32], mut s: usize) -> usize {
    while leader[s] as usize != s {
        s = leader[s] as usize;
    }
    s
}

/// Numbers the groups; a piece has an inside where all its shells are sealed.
fn pieces(leader: &[u32], sealed: &[bool]) -> Pieces {
    let mut pieces = Pieces {
        of_shell: Vec::with_capacity(leader.len()),
        sealed: Vec::new(),
    };
    for s in 0..leader.len() {
        // A leader comes before its followers.
        let first = find(leader, s);
        let piece = if first == s {
            pieces.sealed.push(sealed[s]);
            pieces.sealed.len() as u32 - 1
        } else {
            let piece = pieces.of_shell[first];
            pieces.sealed[piece as usize] &= sealed[s];
            piece
        };
        pieces.of_shell.push(piece);
    }
    pieces
}

fn in_short(m: &Merged) -> Merging {
    Merging {
        tolerance_mm: m.tolerance_mm,
        closes: m.closes,
        closes_at_mm: m.closes_at_mm,
        vertices_merged: m.vertices_merged,
        facets_collapsed: m.facets_collapsed,
        boundary_edges: m.boundary_edges,
        crowded_edges: m.crowded_edges,
        same_direction_edges: m.same_direction,
    }
}

/// Of every shell: the length of the sum of its area vectors over its area. The sum depends on the rims only: it is
/// zero on every closed shell.
fn flatness(mesh: &Mesh, topology: &Topology) -> Vec<f64> {
    let shells = &topology.shells;
    let mut sums = vec![[0.0; 3]; shells.list.len()];
    for (t, &s) in shells.of_triangle.iter().enumerate() {
        if shells.list[s as usize].loose > 0 && topology.edges.counts(t as u32) {
            let sum = &mut sums[s as usize];
            *sum = add(*sum, scale(mesh.doubled_area_vector(t), 0.5));
        }
    }
    sums.iter()
        .zip(&shells.list)
        .map(|(&sum, shell)| {
            if shell.area_mm2 > 0.0 {
                length(sum) / shell.area_mm2
            } else {
                1.0
            }
        })
        .collect()
}
