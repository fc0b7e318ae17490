//! One 8-wide bounding volume tree over the triangles of a mesh, shared by every pass.
//!
//! [`Tree::build`] renumbers the mesh in tree order, so that triangles and vertices that lie near each
//! other in space lie near each other in memory. A leaf holds up to eight triangles in lanes.
//!
//! Culls run on eight lanes of f32 and are conservative: they may keep what cannot matter, never drop what
//! does. Decisions are taken in f64 on the f32 numbers of the mesh. Queries are thread-safe, allocate
//! nothing beyond a stack that only a degenerate tree outgrows, and give the same answer on any thread.
//!
//! Sources: Wald, Benthin, Boulos 2008 (wide trees); Ize 2013 (robust slabs); Woop, Benthin, Wald 2013
//! (watertight triangles); Barill et al. 2018 and Van Oosterom, Strackee 1983 (winding numbers).
//! This room knows geometry only: no shells, no parts, no limits.

mod build;
mod check;
mod closest;
mod node;
mod overlap;
mod ray;
mod ray_triangle;
mod renumber;
mod split;
mod stack;
mod winding;

pub use closest::{Closest, closest_on_triangle};
pub use node::{Box32, Leaf};
pub use ray::Hit;
pub use winding::solid_angle;

use crate::shape::Mesh;
use node::Node;
use winding::Dipoles;

/// Stands for "no triangle is skipped" in [`Tree::first_hit`].
pub const NONE: u32 = u32::MAX;

/// An 8-wide bounding volume tree; see the module.
///
/// Triangle ids are those of the renumbered mesh that [`Tree::build`] gives back beside it.
#[derive(Debug, Clone)]
pub struct Tree {
    /// Inner nodes, parents before children; the root is the first.
    nodes: Vec<Node>,
    /// Leaves from left to right: leaf after leaf covers the triangles in order.
    leaves: Vec<Leaf>,
    /// The greatest absolute coordinate: the error bounds of the f32 culls scale with it.
    reach: f32,
    /// Made on the first winding number asked for.
    dipoles: std::sync::OnceLock<Dipoles>,
}

impl Tree {
    /// Builds the tree and renumbers the mesh in its order: triangles left to right, vertices by first use.
    /// `filed` carries the file's triangle numbers along; vertices that no triangle names are left out.
    /// The result is the same with any number of threads. Takes memory of about 60 bytes a triangle.
    ///
    /// # Panics
    /// Where the mesh breaks its own promises (see [`Mesh::check`]).
    pub fn build(mesh: Mesh) -> (Mesh, Tree) {
        let plan = build::plan(&mesh);
        let mesh = renumber::renumber(mesh, &plan.order);
        let leaves = renumber::fill_leaves(&mesh, &plan.leaves);
        let reach = mesh
            .vertices
            .iter()
            .flatten()
            .fold(0.0f32, |m, x| m.max(x.abs()));
        let tree = Tree {
            nodes: plan.nodes,
            leaves,
            reach,
            dipoles: std::sync::OnceLock::new(),
        };
        debug_assert_eq!(tree.check(&mesh), Vec::<String>::new());
        (mesh, tree)
    }

    /// The leaves, from left to right.
    pub fn leaves(&self) -> &[Leaf] {
        &self.leaves
    }
}
