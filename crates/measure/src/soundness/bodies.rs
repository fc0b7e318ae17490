//! Shells by what they are, and bodies: shells that are one piece once printed.

use mesh::nesting::{Nesting, Role};
use mesh::vector::Vec3;
use mesh::{Bounds, Mesh, Shells, Topology};
use serde::{Deserialize, Serialize};

use super::spots;

/// One shell of a group.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShellFact {
    /// Its number among the pieces.
    pub shell: u32,
    /// A point on it, mm.
    pub at: Vec3,
    /// Outward direction of the surface there, as stored.
    pub outward: Option<Vec3>,
    /// Triangles.
    pub triangles: usize,
    /// Signed volume with turned facets wound like the rest, mm3.
    pub volume_mm3: f64,
    /// Area, mm2.
    pub area_mm2: f64,
    /// Sides of its box, mm.
    pub size_mm: Vec3,
    /// The smallest shell around it.
    pub within: Option<u32>,
}

/// Shells that are the same kind of thing.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct ShellGroup {
    /// How many.
    pub count: usize,
    /// Sum of their volumes without sign, mm3.
    pub volume_mm3: f64,
    /// The largest by volume, largest first.
    pub largest: Vec<ShellFact>,
}

impl ShellGroup {
    pub(super) fn of(
        mesh: &Mesh,
        shells: &Shells,
        nesting: &Nesting,
        role: Role,
        most: usize,
    ) -> ShellGroup {
        let mut own: Vec<u32> = (0..nesting.of_shell.len() as u32)
            .filter(|&s| nesting.of_shell[s as usize].role == role)
            .collect();
        let size = |s: u32| nesting.of_shell[s as usize].volume_mm3.abs();
        let volume_mm3 = own.iter().map(|&s| size(s)).sum();
        own.sort_by(|&a, &b| size(b).total_cmp(&size(a)).then(a.cmp(&b)));
        ShellGroup {
            count: own.len(),
            volume_mm3,
            largest: own
                .iter()
                .take(most)
                .map(|&s| fact(mesh, shells, nesting, s))
                .collect(),
        }
    }
}

fn fact(mesh: &Mesh, shells: &Shells, nesting: &Nesting, shell: u32) -> ShellFact {
    let s = &shells.list[shell as usize];
    let nest = &nesting.of_shell[shell as usize];
    let spot = spots::facet(mesh, s.first_triangle);
    ShellFact {
        shell,
        at: spot.at,
        outward: spot.outward,
        triangles: s.triangles,
        volume_mm3: nest.volume_mm3,
        area_mm2: s.area_mm2,
        size_mm: s.bounds.size(),
        within: nest.within.first().copied(),
    }
}

/// One separate body as printed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Body {
    /// A point on its largest shell, mm.
    pub at: Vec3,
    /// Outward direction there, as stored.
    pub outward: Option<Vec3>,
    /// Shells it is made of.
    pub shells: usize,
    /// Volume of its shells, mm3: cavities taken off, nested shells not counted, overlaps counted twice.
    pub volume_mm3: f64,
    /// Sides of its box, mm.
    pub size_mm: Vec3,
}

impl Body {
    /// Its longest side, mm.
    pub fn longest_mm(&self) -> f64 {
        self.size_mm.iter().copied().fold(0.0, f64::max)
    }
}

/// Bodies, and how many there are where edges hold nothing together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Bodies {
    /// Bodies where shells that share an edge are one piece, the largest volume first. A shared vertex holds nothing.
    pub list: Vec<Body>,
    /// Their number where a shared edge, a joint without width, holds nothing either.
    pub apart_at_edges: usize,
}

/// Separate bodies; `None` where there are several shells and their contacts are unknown.
pub(super) fn bodies(
    mesh: &Mesh,
    topology: &Topology,
    pieces: &Shells,
    nesting: &Nesting,
    piece_of_shell: &[u32],
    contacts: Option<&[[u32; 2]]>,
) -> Option<Bodies> {
    if contacts.is_none() && pieces.list.len() > 1 {
        return None;
    }
    let piece = |pair: &[u32; 2]| pair.map(|s| piece_of_shell[s as usize]);
    let mut touching: Vec<[u32; 2]> = contacts.unwrap_or_default().iter().map(piece).collect();
    // Facets back to back are a contact over their whole area.
    touching.extend(
        topology
            .edges
            .opposed
            .iter()
            .map(|p| p.map(|t| pieces.of_triangle[t as usize])),
    );
    let apart_at_edges = nesting.bodies(&touching).len();
    touching.extend(topology.fans.joined_at_edges.iter().map(piece));
    let mut list: Vec<Body> = nesting
        .bodies(&touching)
        .iter()
        .map(|group| body(mesh, pieces, nesting, group))
        .collect();
    list.sort_by(|a, b| b.volume_mm3.total_cmp(&a.volume_mm3));
    Some(Bodies {
        list,
        apart_at_edges,
    })
}

fn body(mesh: &Mesh, pieces: &Shells, nesting: &Nesting, group: &[u32]) -> Body {
    let list = &pieces.list;
    let size = |s: u32| nesting.of_shell[s as usize].volume_mm3.abs();
    let main = group.iter().copied().fold(
        group[0],
        |best, s| if size(s) > size(best) { s } else { best },
    );
    let spot = spots::facet(mesh, list[main as usize].first_triangle);
    let corners = group.iter().flat_map(|&s| {
        let b = &list[s as usize].bounds;
        [b.min, b.max]
    });
    Body {
        at: spot.at,
        outward: spot.outward,
        shells: group.len(),
        volume_mm3: group
            .iter()
            .map(|&s| &nesting.of_shell[s as usize])
            .filter(|n| n.role != Role::Nested)
            .map(|n| n.volume_mm3)
            .sum(),
        size_mm: Bounds::of(corners).map_or([0.0; 3], |b| b.size()),
    }
}
