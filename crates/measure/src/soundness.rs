//! Soundness: whether a mesh bounds solids, and every place where it does not.
//!
//! Counts are as stored after the exact weld; the second topology, after merging at a stated tolerance, stands beside
//! them and replaces nothing. Openings carry the distance across them, shells what they are by sign and nesting, so
//! that whoever judges can tell a crack from a hole and a cavity from a shell that is inside out. Lists are cut at
//! [`Asked::most_places`]; their counts never are. Places are in the mesh's own frame, mm.

mod bodies;
mod openings;
mod spots;

use std::borrow::Cow;

use mesh::nesting::{Nesting, Role};
use mesh::{Basis, Collapsed, Mesh, Topology};
use serde::{Deserialize, Serialize};

pub use bodies::{Bodies, Body, ShellFact, ShellGroup};
pub use openings::{Merging, Openings, Rim};
pub use spots::{Spot, Spots};

/// What is asked: lengths and shares that a caller takes from its limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// Vertices this share of the box's diagonal apart are one in the second topology.
    pub merge_share: f64,
    /// An opening no wider than this does not keep its shell from having an inside, mm.
    pub slit_mm: f64,
    /// How far across an opening its other side is looked for, mm.
    pub gap_reach_mm: f64,
    /// A facet whose smallest height is less is a sliver, mm.
    pub sliver_height_mm: f64,
    /// The most places kept of each kind.
    pub most_places: usize,
}

/// Facets that lie against the rest of their shell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Turned {
    /// Connected patches of them, the largest in area first; a spot's value is the diagonal of the patch's box, mm.
    pub patches: Spots,
    /// Facets in all patches.
    pub facets: usize,
    /// Their area, mm2.
    pub area_mm2: f64,
    /// The greatest extent of a patch, mm.
    pub extent_mm: f64,
    /// Shells that have one side only.
    pub one_sided: usize,
}

/// Volume, area, centroid and inertia as stored, second copies of facets left out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Mass {
    /// Signed volume, mm3.
    pub volume_mm3: f64,
    /// Area, mm2.
    pub area_mm2: f64,
    /// Centre of mass, mm.
    pub centroid_mm: [f64; 3],
    /// Inertia tensor about it, mm5.
    pub inertia_mm5: [[f64; 3]; 3],
}

impl From<mesh::MassProperties> for Mass {
    fn from(of: mesh::MassProperties) -> Mass {
        Mass {
            volume_mm3: of.volume_mm3,
            area_mm2: of.area_mm2,
            centroid_mm: of.centroid_mm,
            inertia_mm5: of.inertia_mm5,
        }
    }
}

/// Everything about the soundness of one mesh.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Soundness {
    /// Triangles in the file.
    pub triangles: usize,
    /// Vertices after the weld.
    pub vertices: usize,
    /// Distinct edges.
    pub edges: usize,
    /// The file's own vertex numbers were kept, because its mesh is closed and manifold with them.
    pub as_filed: bool,
    /// Edges with one face.
    pub boundary_edges: usize,
    /// Edges with more than two faces, second copies of facets among them.
    pub crowded_edges: usize,
    /// Those with more than two faces when second copies are left out.
    pub crowded: Spots,
    /// Edges with exactly two faces that walk it in the same direction.
    pub same_direction_edges: usize,
    /// Where the surface ends.
    pub openings: Openings,
    /// Vertices where sheets touch and no edge is shared.
    pub pinched: Spots,
    /// Facets wound against their shell.
    pub turned: Turned,
    /// Triangles that name one vertex twice after the weld.
    pub collapsed: Spots,
    /// Triangles with three different vertices on one line.
    pub without_area: Spots,
    /// Triangles whose smallest height is less than asked; a spot's value is that height, mm.
    pub slivers: Spots,
    /// The least height of a sliver, mm.
    pub least_sliver_mm: Option<f64>,
    /// Facets that are there a second time with the same winding.
    pub repeated: Spots,
    /// Facets back to back within one shell: the same three vertices, opposite winding. (Of two shells, they are
    /// where the shells touch.)
    pub opposed: Spots,
    /// Shells: edge-connected pieces of surface.
    pub shells: usize,
    /// Shells once those that only a crack parts are one. The groups that follow go by these.
    pub pieces: usize,
    /// Closed outward shells with no material around them.
    pub solids: usize,
    /// Outward shells within the material of another.
    pub nested: ShellGroup,
    /// Inward shells within the material of another.
    pub cavities: ShellGroup,
    /// Inward shells with no material around them.
    pub inside_out: ShellGroup,
    /// Shells that enclose nothing.
    pub flat: ShellGroup,
    /// Sum of the genera of the closed shells with two sides.
    pub genus: usize,
    /// False where the bounded search for nested shells had to stop early.
    pub nesting_complete: bool,
    /// Separate bodies as printed; `None` where shells are many and nobody has measured which of them touch.
    pub bodies: Option<Bodies>,
    /// Integrals.
    pub mass: Mass,
}

impl Soundness {
    /// The surface ends nowhere.
    pub fn watertight(&self) -> bool {
        self.openings.total == 0
    }

    /// Closed as stored, or once vertices are merged; `None` where the merge could not be tried.
    pub fn closes_on_merge(&self) -> Option<bool> {
        match &self.openings.merging {
            _ if self.watertight() => Some(true),
            Some(merging) => Some(merging.closes),
            None => None,
        }
    }
}

/// Measures a welded mesh. `collapsed` and `basis` come from the weld; `contacts` are pairs of shells that touch or
/// cross, `None` where that is not known.
pub fn soundness(
    mesh: &Mesh,
    topology: &Topology,
    collapsed: &Collapsed,
    basis: Basis,
    contacts: Option<&[[u32; 2]]>,
    asked: &Asked,
) -> Soundness {
    let Topology {
        edges,
        shells,
        fans,
        winding,
    } = topology;
    let most = asked.most_places;
    let (openings, pieces) = openings::measure(mesh, topology, asked);
    let joined = pieces.sealed.len() < shells.list.len();
    let whole = if joined {
        Cow::Owned(shells.joined(&pieces.of_shell))
    } else {
        Cow::Borrowed(shells)
    };
    let mut volume = vec![0.0; whole.list.len()];
    for (s, &piece) in pieces.of_shell.iter().enumerate() {
        volume[piece as usize] += winding.volume_of(shells, s as u32);
    }
    let nesting = Nesting::build(mesh, edges, &whole, &volume, &pieces.sealed);
    let facets = mesh::facets::Facets::build(mesh, asked.sliver_height_mm, most);
    let group = |role| ShellGroup::of(mesh, &whole, &nesting, role, most);
    let spots = |list: &[u32], at: &dyn Fn(u32) -> Spot| Spots::of(list.len(), list, most, at);
    let single = |e: &u32| {
        edges
            .crowded(*e as usize)
            .iter()
            .filter(|h| edges.counts(*h / 3))
            .count()
            > 2
    };
    let crowded: Vec<u32> = (0..edges.crowded_edges() as u32).filter(single).collect();
    let turned_patches = Spots {
        count: winding.patches.len(),
        first: winding
            .patches
            .iter()
            .take(most)
            .map(|p| Spot {
                measured: Some(p.extent_mm),
                reach_mm: p.extent_mm,
                ..Spot::at(p.at)
            })
            .collect(),
    };
    let same_shell =
        |p: &&[u32; 2]| shells.of_triangle[p[0] as usize] == shells.of_triangle[p[1] as usize];
    let opposed: Vec<u32> = edges
        .opposed
        .iter()
        .filter(same_shell)
        .map(|p| p[0])
        .collect();
    Soundness {
        triangles: mesh.triangles.len() + collapsed.filed.len(),
        vertices: mesh.vertices.len(),
        edges: edges.count,
        as_filed: basis == Basis::AsFiled,
        boundary_edges: edges.boundary_edges,
        crowded_edges: edges.crowded_edges(),
        crowded: spots(&crowded, &|e| {
            spots::edge(mesh, edges.crowded(e as usize)[0])
        }),
        same_direction_edges: edges.same_direction,
        openings,
        pinched: spots(&fans.pinched, &|v| {
            Spot::at(mesh::vector::wide(mesh.vertices[v as usize]))
        }),
        turned: Turned {
            facets: winding.patches.iter().map(|p| p.facets).sum(),
            area_mm2: winding.patches.iter().map(|p| p.area_mm2).sum(),
            extent_mm: winding.patches.iter().fold(0.0, |m, p| p.extent_mm.max(m)),
            patches: turned_patches,
            one_sided: winding.one_sided.len(),
        },
        collapsed: Spots {
            count: collapsed.filed.len(),
            first: collapsed
                .at
                .iter()
                .take(most)
                .map(|&p| Spot::at(mesh::vector::wide(p)))
                .collect(),
        },
        without_area: Spots::of(
            facets.without_area.count,
            &facets.without_area.first,
            most,
            &|t| spots::facet(mesh, t),
        ),
        slivers: Spots::of(facets.slivers.count, &facets.slivers.first, most, &|t| {
            Spot {
                measured: Some(mesh::facets::least_height(mesh.corners(t as usize))),
                ..spots::facet(mesh, t)
            }
        }),
        least_sliver_mm: facets.least_height_mm,
        repeated: spots(&edges.repeated, &|t| spots::facet(mesh, t)),
        opposed: spots(&opposed, &|t| spots::facet(mesh, t)),
        shells: shells.list.len(),
        pieces: whole.list.len(),
        solids: nesting
            .of_shell
            .iter()
            .filter(|n| n.role == Role::Body)
            .count(),
        nested: group(Role::Nested),
        cavities: group(Role::Cavity),
        inside_out: group(Role::InsideOut),
        flat: group(Role::Flat),
        genus: (0..shells.list.len())
            .filter_map(|s| topology.genus_of_shell(s))
            .sum(),
        nesting_complete: nesting.complete,
        bodies: bodies::bodies(mesh, topology, &whole, &nesting, &pieces.of_shell, contacts),
        mass: shells.mass.into(),
    }
}

#[cfg(test)]
#[path = "soundness/tests.rs"]
mod tests;
