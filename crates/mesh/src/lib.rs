//! The 3-D kernel: decode, weld, edges, shells, tree, rays, mass properties.
//! It knows no kit, limit or verdict.

pub mod edges;
pub(crate) mod joints;
pub mod mass;
pub mod shape;
pub mod shapes;
pub mod tree;
pub mod vector;
pub mod weld;

pub use edges::Edges;
pub use mass::MassProperties;
pub use shape::{Bounds, Mesh};
pub use weld::{Welded, weld};
