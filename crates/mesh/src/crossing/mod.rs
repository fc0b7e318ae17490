//! Self-intersection: every pair of facets that have more in common than the vertices they share.
//!
//! Candidates come leaf against leaf from the tree; eight lanes of boxes and planes in f32, with proven
//! error bounds, drop most neighbours; what is left is decided by exact predicates on the numbers of the
//! mesh (Shewchuk 1997, through crate `robust`). A pair *crosses* where the insides of both facets have
//! points in common and they are not coplanar; it *touches* where they meet in a point, along an edge, or
//! lie on each other in one plane. The two together are the pairs whose closed triangles meet, as
//! libraries of computational geometry count them.
//!
//! The work is bounded by steps: some meshes have more pairs than anybody can test.
//! This room counts and gives places; whether a crossing matters is not its business.

mod cull;
mod exact;
mod pair;
mod place;
mod search;

pub use pair::{Meeting, meeting};
pub use search::{Crossings, Limits, Pair, crossings};
